/* The commands, one row each; what they show is made elsewhere, they only choose and write. */
#include <stdio.h>
#include <string.h>

#include "base/limits.h"
#include "base/nearest.h"
#include "base/number.h"
#include "cli/apply.h"
#include "cli/book.h"
#include "cli/cli.h"
#include "cli/compare_command.h"
#include "cli/explain.h"
#include "cli/faults_command.h"
#include "cli/find_names.h"
#include "cli/pin.h"
#include "cli/suspect.h"
#include "cli/write.h"
#include "write/solution_json.h"
#include "write/spice.h"

/* ---- check ---- */

static int run_check(struct pl_session *session, const struct pl_options *options) {
  struct pl_buffer out;
  if (options->apply)
    return pl_cli_apply(session, options);
  pl_buffer_init(&out, session->arena);
  if (options->json)
    pl_findings_print_json(&out, &session->findings, &session->sources);
  else
    pl_findings_print(&out, &session->findings, &session->sources);
  if (options->proofs && !options->json)
    pl_certificates_print(&out, &session->findings, &session->sources);
  return pl_cli_print(out.at, out.n, pl_session_status(session));
}

/* ---- solve ---- */

static int run_solve(struct pl_session *session, const struct pl_options *options) {
  struct pl_buffer out;
  pl_id state = pl_cli_find_state(session, options->state);
  if (state == PL_NONE)
    return PL_EXIT_TEXT;
  struct pl_solution *solution = PL_NEW(session->arena, struct pl_solution);
  session->network = pl_network_new(&session->harness, session->arena);
  pl_network_solve(session->network, state, solution, NULL);
  if (solution->status != PL_SOLVED)
    return pl_cli_complain(PL_EXIT_FINDINGS,
                           "state %s has no solution: %s",
                           session->harness.states.at[state].name,
                           solution->failure);
  pl_buffer_init(&out, session->arena);
  if (options->spice)
    pl_spice_write(&out, session->network, solution, &session->harness);
  else if (options->json)
    pl_solution_write_json(&out, &session->harness, solution);
  else
    pl_solution_write_table(&out, &session->harness, solution);
  return pl_cli_print(out.at, out.n, PL_EXIT_FINE);
}

/* ---- faults ---- */

static int run_faults(struct pl_session *session, const struct pl_options *options) {
  struct pl_buffer out;
  (void)options;
  pl_buffer_init(&out, session->arena);
  pl_faults_write(&out, &session->harness, session->network, session->solutions, session->arena);
  return pl_cli_print(out.at, out.n, PL_EXIT_FINE);
}

/* ---- files ---- */

static int run_new(struct pl_session *session, const struct pl_options *options) {
  return pl_write_starter(session->arena, options->arguments[0]);
}

/* ---- lists ---- */

static bool matches(const struct pl_part_entry *entry, const struct pl_options *options) {
  for (int i = 0; i < options->argument_count; i++)
    if (strstr(entry->name, options->arguments[i]) == NULL &&
        strstr(pl_kind_name(entry->kind), options->arguments[i]) == NULL)
      return false;
  return true;
}

/* The pins a part brings: seen on a device that takes it over. */
static void
part_pins(struct pl_buffer *out, struct pl_arena *arena, const struct pl_part_entry *entry) {
  struct pl_session session;
  char *text = pl_arena_printf(arena,
                               "machine \"m\"\n%s X\n  part %s\n",
                               pl_kind_name(entry->kind),
                               entry->name);
  struct pl_reader reader = pl_reader_text(text);
  pl_session_init(&session, arena);
  if (!pl_session_run(&session, "", &reader, PL_STAGE_BUILT))
    return;
  if (session.harness.pins.n == 0)
    return;
  pl_buffer_puts(out, "    pins:");
  for (uint32_t i = 0; i < session.harness.pins.n; i++)
    pl_buffer_printf(out, " %s", session.harness.pins.at[i].name);
  pl_buffer_puts(out, "\n");
}

static void part_lines(struct pl_buffer *out, const char *lines) {
  while (*lines != '\0') {
    size_t n = strcspn(lines, "\n");
    pl_buffer_printf(out, "    %.*s\n", (int)n, lines);
    lines += n + 1;
  }
}

static int run_parts(struct pl_session *session, const struct pl_options *options) {
  struct pl_part_entry *entries;
  uint32_t count;
  struct pl_buffer out;
  pl_build_list_parts(session->arena, &entries, &count);
  pl_buffer_init(&out, session->arena);
  for (uint32_t i = 0; i < count; i++) {
    const struct pl_part_entry *entry = &entries[i];
    if (!matches(entry, options))
      continue;
    pl_buffer_printf(&out,
                     "%-12s %s%s%s\n",
                     pl_kind_name(entry->kind),
                     entry->name,
                     entry->text[0] != '\0' ? "  " : "",
                     entry->text);
    if (options->argument_count == 0)
      continue;
    part_pins(&out, session->arena, entry);
    part_lines(&out, entry->lines);
  }
  if (out.n == 0)
    return pl_cli_complain(PL_EXIT_TEXT,
                           "no part has `%s` in its name; `pinloom parts` lists them all",
                           options->arguments[0]);
  return pl_cli_print(out.at, out.n, PL_EXIT_FINE);
}

static int run_defaults(struct pl_session *session, const struct pl_options *options) {
  struct pl_buffer out;
  (void)options;
  pl_buffer_init(&out, session->arena);
  for (uint32_t i = 0; i < session->harness.defaults.n; i++) {
    const struct pl_default *used = &session->harness.defaults.at[i];
    pl_buffer_printf(&out, "%s: %s (%s)\n", used->what, used->value, used->source);
  }
  return pl_cli_print(out.at, out.n, PL_EXIT_FINE);
}

static int unknown_rule(const char *name) {
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, name);
  for (uint32_t i = 0; i < pl_rule_count; i++)
    pl_nearest_offer(&nearest, pl_rules[i].name);
  if (nearest.best != NULL)
    return pl_cli_complain(PL_EXIT_TEXT,
                           "there is no rule `%s`; did you mean `%s`?",
                           name,
                           nearest.best);
  return pl_cli_complain(PL_EXIT_TEXT,
                         "there is no rule `%s`; `pinloom rules` lists them all",
                         name);
}

static int run_rules(struct pl_session *session, const struct pl_options *options) {
  struct pl_buffer out;
  pl_buffer_init(&out, session->arena);
  for (uint32_t i = 0; i < pl_rule_count; i++)
    if (options->argument_count == 0 || strstr(pl_rules[i].name, options->arguments[0]) != NULL)
      pl_buffer_printf(&out,
                       "%s\n    %s\n    source: %s\n",
                       pl_rules[i].name,
                       pl_rules[i].question,
                       pl_rules[i].source);
  if (out.n == 0)
    return unknown_rule(options->arguments[0]);
  return pl_cli_print(out.at, out.n, PL_EXIT_FINE);
}

static int run_explain(struct pl_session *session, const struct pl_options *options) {
  struct pl_buffer out;
  struct pl_nearest nearest;
  const char *name = options->arguments[0];
  const struct pl_rule *rule = pl_rule_find(name);
  pl_buffer_init(&out, session->arena);
  if (rule != NULL && pl_explain(&out, name)) {
    pl_buffer_printf(&out, "\n  Limit from: %s\n", rule->source);
    return pl_cli_print(out.at, out.n, PL_EXIT_FINE);
  }
  pl_nearest_init(&nearest, name);
  for (uint32_t i = 0; i < pl_rule_count; i++)
    pl_nearest_offer(&nearest, pl_rules[i].name);
  if (nearest.best != NULL)
    return pl_cli_complain(PL_EXIT_TEXT,
                           "there is no rule `%s`; did you mean `%s`?",
                           name,
                           nearest.best);
  return pl_cli_complain(PL_EXIT_TEXT, "there is no rule `%s`; `pinloom rules` lists them", name);
}

/* clang-format off */
const struct pl_command pl_commands[] = {
    {"new", "NAME",
     "write a commented first text, NAME.loom, that checks clean",
     1, 1, PL_STAGE_NONE, "", run_new},
    {"check", "FILE [--json | --proofs | --apply] [--all]",
     "say what is wrong with the harness and what to do",
     1, 1, PL_STAGE_CHECKED, "jray", run_check},
    {"book", "FILE [-o DIR] [--only SECTIONS] [--full-length]",
     "write the printed set to a folder: book.html with drawings and tables in the order of "
     "the work, CSV, an index page; then check",
     1, 1, PL_STAGE_CHECKED, "onf", pl_run_book},
    {"draw", "FILE [-o DIR] [--state STATE] [--full-length]",
     "write the drawings: power distribution, routing plan, assembly board, and a page for "
     "each circuit and each connector; with a state: its volts and amps at every wire",
     1, 1, PL_STAGE_SOLVED, "osf", pl_run_draw},
    {"tables", "FILE [-o DIR] [--only SECTIONS]",
     "write the tables alone as one printable page, and each as CSV",
     1, 1, PL_STAGE_CHECKED, "on", pl_run_tables},
    {"compare", "OLD NEW [-o DIR]",
     "say what to change on a harness built by the old text: wires, devices, cavities, tests, "
     "pages to print again",
     2, 2, PL_STAGE_CHECKED, "o", pl_run_compare},
    {"pin", "FILE DEVICE.PIN",
     "say where a pin goes and what a meter shows there in each state",
     2, 2, PL_STAGE_SOLVED, "", pl_run_pin},
    {"trace", "FILE FROM TO [--state STATE]",
     "list every way that conducts between two pins in a state, with the drop of each piece",
     3, 3, PL_STAGE_SOLVED, "s", pl_run_trace},
    {"solve", "FILE [--state STATE] [--json | --spice]",
     "show the volts and amps of a state",
     1, 1, PL_STAGE_BUILT, "sjp", run_solve},
    {"faults", "FILE",
     "say what each single fault stops, starts and opens, and which defeat a requirement",
     1, 1, PL_STAGE_SOLVED, "", run_faults},
    {"suspect", "FILE [READING | READINGS.txt]... [--json | --table] [-o DIR]",
     "weigh what you read and see at the machine: what is wrong, and what to read next",
     1, PL_CLI_ARGUMENTS, PL_STAGE_BUILT, "ojt", pl_run_suspect},
    {"defaults", "FILE",
     "list every figure that was taken because the text says nothing",
     1, 1, PL_STAGE_BUILT, "", run_defaults},
    {"parts", "[WORD...]",
     "list the generic parts that come with Pinloom; with words: those that have them all, "
     "with pins and figures",
     0, 8, PL_STAGE_NONE, "", run_parts},
    {"rules", "[WORD]",
     "list the rules with what they ask and where their limits come from; with a word: those "
     "that have it in their name",
     0, 1, PL_STAGE_NONE, "", run_rules},
    {"explain", "RULE",
     "say what a rule asks, by which formula and source, with an example, and how to waive it",
     1, 1, PL_STAGE_NONE, "", run_explain},
};
/* clang-format on */
const int pl_command_count = sizeof pl_commands / sizeof pl_commands[0];
