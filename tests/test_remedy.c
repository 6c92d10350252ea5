/* Tests of remedies: every one that is said is done to a copy of the text, by this file's own
 * splicing, and the copy is judged by all rules. */
#include <dirent.h>

#include "pl_test.h"
#include "remedy/remedy.h"

struct judged {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_network *network;
  struct pl_check check;
  struct pl_remedy_counts counts;
  bool read;
};

static void judge(struct judged *j, const char *text, bool remedies) {
  struct pl_reader memory = pl_reader_text(text);
  memset(j, 0, sizeof *j);
  pl_test_arena(&j->arena);
  pl_sources_init(&j->sources, &j->arena);
  pl_findings_init(&j->findings, &j->arena);
  pl_harness_init(&j->harness, &j->arena);
  j->read = pl_build("test.loom", &memory, &j->sources, &j->findings, &j->harness);
  if (!j->read)
    return;
  struct pl_solution *solutions =
      PL_NEW_ARRAY(&j->arena, struct pl_solution, (size_t)j->harness.states.n + 1);
  j->network = pl_network_new(&j->harness, &j->arena);
  for (pl_id s = 0; s < j->harness.states.n; s++)
    pl_network_solve(j->network, s, &solutions[s], &j->findings);
  j->check = (struct pl_check){.harness = &j->harness,
                               .network = j->network,
                               .solutions = solutions,
                               .arena = &j->arena,
                               .findings = &j->findings};
  pl_rules_run(&j->check);
  if (remedies)
    j->counts = pl_remedies_seek(&j->check, &j->sources, "test.loom");
}

static void judge_end(struct judged *j) {
  if (j->network != NULL)
    pl_network_release(j->network);
  pl_arena_release(&j->arena);
}

static unsigned count(const struct pl_finding *list, uint32_t n, const struct pl_finding *f) {
  unsigned found = 0;
  for (uint32_t i = 0; i < n; i++)
    found += list[i].waived == NULL && strcmp(list[i].rule, f->rule) == 0 &&
             strcmp(list[i].place, f->place) == 0;
  return found;
}

/* The text with the edits of a finding, which stand in the order of the text. */
static char *splice(const char *text, const struct pl_finding *f, struct pl_arena *arena) {
  struct pl_buffer out;
  size_t at = 0;
  pl_buffer_init(&out, arena);
  for (uint32_t i = 0; i < f->fix_count; i++) {
    pl_buffer_add(&out, text + at, f->fixes[i].span.start - at);
    pl_buffer_puts(&out, f->fixes[i].text);
    at = f->fixes[i].span.end;
  }
  pl_buffer_puts(&out, text + at);
  return out.at;
}

/* The finding is gone and nothing came that was not there before, folded or not. */
static void
check_works(const struct judged *before, const char *text, uint32_t i, const char *name) {
  const struct pl_finding *f = &before->findings.list.at[i];
  struct judged after;
  struct pl_arena arena;
  pl_test_arena(&arena);
  judge(&after, splice(text, f, &arena), false);
  PL_CHECK(after.read, name);
  PL_CHECK_INT(count(after.check.every, after.check.every_count, f), 0, name);
  for (uint32_t k = 0; k < after.check.every_count; k++) {
    const struct pl_finding *now = &after.check.every[k];
    if (now->waived != NULL)
      continue;
    bool old = count(after.check.every, after.check.every_count, now) <=
               count(before->check.every, before->check.every_count, now);
    PL_CHECK(old, pl_arena_printf(&arena, "%s: %s at %s", name, now->rule, now->place));
  }
  judge_end(&after);
  pl_arena_release(&arena);
}

/* ---- the files of harnesses/mistakes ---- */

static void every_remedy_works(void) {
  DIR *folder = opendir(pl_test_path("harnesses/mistakes"));
  struct pl_arena arena;
  unsigned files = 0, remedies = 0, trials = 0;
  CU_ASSERT_FATAL(folder != NULL);
  pl_test_arena(&arena);
  for (struct dirent *entry; (entry = readdir(folder)) != NULL;) {
    const char *text;
    size_t size;
    struct judged j;
    if (strstr(entry->d_name, ".loom") == NULL)
      continue;
    const char *name = pl_arena_printf(&arena, "harnesses/mistakes/%s", entry->d_name);
    if (pl_file_read(&arena, pl_test_path(name), &text, &size) != PL_FILE_OK)
      continue;
    judge(&j, text, true);
    files++;
    trials += j.counts.trials;
    if (strstr(name, ".ok.loom") != NULL)
      PL_CHECK_INT(j.counts.trials, 0, name); /* what has no findings pays nothing */
    for (uint32_t i = 0; i < j.findings.list.n; i++) {
      if (j.findings.list.at[i].fix_count == 0)
        continue;
      remedies++;
      check_works(&j, text, i, name);
    }
    judge_end(&j);
  }
  closedir(folder);
  printf("(%u files, %u remedies, all done to copies, %u trials to find them) ",
         files,
         remedies,
         trials);
  PL_CHECK(remedies >= 20, "remedies of harnesses/mistakes");
  pl_arena_release(&arena);
}

/* Rules whose mistake is a figure or a row of the text: its file must get an edit. */
static void figures_get_edits(void) {
  static const char *const rules[] = {
      "wire-current",   "wire-hot",       "wire-brief-current", "wire-drop",
      "wire-too-small", "load-starved",   "module-loop",        "crank-circuit",
      "fuse-load",      "fuse-over-wire", "fuse-too-slow",      "fuse-order",
      "inrush",         "tach-pulses",    "short-too-weak",     "poles-swapped",
      "dead-short",     "twist-missing",  "terminal-crimp",     "idle-waiver",
      "pin-duty",       "cavity-crossed", "switch-idle",        "coil-unsuppressed"};
  struct pl_arena arena;
  pl_test_arena(&arena);
  for (size_t r = 0; r < sizeof rules / sizeof *rules; r++) {
    const char *text;
    size_t size;
    struct judged j;
    const char *path =
        pl_test_path(pl_arena_printf(&arena, "harnesses/mistakes/%s.loom", rules[r]));
    bool edit = false;
    CU_ASSERT_FATAL(pl_file_read(&arena, path, &text, &size) == PL_FILE_OK);
    judge(&j, text, true);
    for (uint32_t i = 0; i < j.findings.list.n; i++)
      edit = edit || (strcmp(j.findings.list.at[i].rule, rules[r]) == 0 &&
                      j.findings.list.at[i].fix_count > 0 &&
                      strstr(j.findings.list.at[i].remedy, "tried: this finding goes") != NULL);
    PL_CHECK(edit, rules[r]);
    judge_end(&j);
  }
  pl_arena_release(&arena);
}

/* ---- texts of their own ---- */

static const struct pl_finding *find(const struct judged *j, const char *rule) {
  for (uint32_t i = 0; i < j->findings.list.n; i++)
    if (strcmp(j->findings.list.at[i].rule, rule) == 0)
      return &j->findings.list.at[i];
  return NULL;
}

/* 14 A continuous through a fuse of 15 A on 18 AWG: the next fuse, 20 A, is under the load of 14 A
 * with 75 %, and the thin wires want another size for it. */
static const char load_of_14_amps[] = "machine \"Bench\"\n"
                                      "  drop at most 10 %\n"
                                      "battery BAT\n"
                                      "  cca 600 A\n"
                                      "fuse F1\n"
                                      "  rating 15 A\n"
                                      "load R1\n"
                                      "  draws 14 A\n"
                                      "  steady current\n"
                                      "wires of load\n"
                                      "  1 BAT.+  F1.in  12 AWG RD length 0.15 m\n"
                                      "  2 F1.out R1.+   16 AWG RD length 1 m\n"
                                      "  3 R1.-   BAT.-  16 AWG BK length 1 m\n"
                                      "state on\n";

static void a_larger_fuse_takes_its_wire_along(void) {
  struct judged j;
  judge(&j, load_of_14_amps, true);
  const struct pl_finding *f = find(&j, "fuse-load");
  CU_ASSERT_FATAL(f != NULL);
  PL_CHECK(strstr(f->remedy, "20 A instead of 15 A at F1") == f->remedy, f->remedy);
  PL_CHECK(f->fix_count >= 1, f->remedy);
  for (uint32_t i = 0; i < j.findings.list.n; i++)
    if (j.findings.list.at[i].fix_count > 0)
      check_works(&j, load_of_14_amps, i, "14 A");
  judge_end(&j);
}

/* The same wire is too thin for its amps and for its drop: one remedy, one finding. */
static void one_wire_one_remedy(void) {
  static const char text[] = "machine \"Bench\"\n"
                             "  drop at most 3 %\n"
                             "battery BAT\n"
                             "  cca 600 A\n"
                             "fuse F1\n"
                             "  rating 40 A\n"
                             "load R1\n"
                             "  draws 28 A\n"
                             "  steady current\n"
                             "wires of load\n"
                             "  1 BAT.+  F1.in  6 AWG RD length 0.15 m\n"
                             "  2 F1.out R1.+   16 AWG RD length 1.2 m\n"
                             "  3 R1.-   BAT.-  6 AWG BK length 1.2 m\n"
                             "state on\n";
  struct judged j;
  const char *size = NULL;
  judge(&j, text, true);
  for (uint32_t i = 0; i < j.findings.list.n; i++) {
    const struct pl_finding *f = &j.findings.list.at[i];
    for (uint32_t k = 0; k < f->fix_count; k++) {
      if (strncmp(text + f->fixes[k].span.start, "16 AWG", 6) != 0)
        continue;
      if (size != NULL)
        PL_CHECK_STR(f->fixes[k].text, size, "two remedies of wire 2");
      size = f->fixes[k].text;
    }
    if (f->fix_count > 0)
      check_works(&j, text, i, "28 A");
  }
  PL_CHECK(size != NULL, "wire 2 gets a size");
  struct pl_remedy_plan plan = pl_remedies_plan(&j.check, &j.sources, "test.loom");
  PL_CHECK(plan.fix_count > 0, "a plan");
  judge_end(&j);
}

/* No wire that is sold brings 12 V to 30 m of feeder from a battery of 11 V: it says so. */
static void what_nothing_cures_is_said(void) {
  static const char text[] = "machine \"Bench\"\n"
                             "  drop at most 10 %\n"
                             "battery BAT\n"
                             "  cca 600 A\n"
                             "fuse F1\n"
                             "  rating 15 A\n"
                             "motor M1\n"
                             "  draws 5 A\n"
                             "  needs 12.6..16 V\n"
                             "wires of load\n"
                             "  1 BAT.+  F1.in  12 AWG RD length 0.15 m\n"
                             "  2 F1.out M1.+   12 AWG RD length 1 m\n"
                             "  3 M1.-   BAT.-  12 AWG BK length 1 m\n"
                             "state on\n";
  struct judged j;
  judge(&j, text, true);
  const struct pl_finding *f = find(&j, "load-starved");
  CU_ASSERT_FATAL(f != NULL);
  PL_CHECK_INT(f->fix_count, 0, f->remedy);
  PL_CHECK(strstr(f->remedy, "(tried: this") == NULL, f->remedy);
  PL_CHECK(strstr(f->remedy, "does not cure it") != NULL, f->remedy);
  judge_end(&j);
}

/* A text with CR LF, a comment and a note behind the figures keeps them. */
static void edits_keep_what_stands_beside(void) {
  static const char text[] = "machine \"Bench\"\r\n"
                             "  drop at most 10 %\r\n"
                             "battery BAT\r\n"
                             "  cca 600 A\r\n"
                             "fuse F1 # of the lamps\r\n"
                             "  rating 10 A # was 7.5 A\r\n"
                             "load R1\r\n"
                             "  draws 8 A\r\n"
                             "  steady current\r\n"
                             "wires of load\r\n"
                             "  1 BAT.+  F1.in  12 AWG RD length 0.15 m\r\n"
                             "  2 F1.out R1.+   12 AWG RD length 1 m\r\n"
                             "  3 R1.-   BAT.-  12 AWG BK length 1 m\r\n"
                             "state on\r\n";
  struct judged j;
  judge(&j, text, true);
  const struct pl_finding *f = find(&j, "fuse-load");
  CU_ASSERT_FATAL(f != NULL && f->fix_count == 1);
  PL_CHECK(strstr(splice(text, f, &j.arena), "  rating 15 A # was 7.5 A\r\n") != NULL, "comment");
  judge_end(&j);
}

/* Edits that meet are not written over each other. */
static void edits_that_meet_are_refused(void) {
  struct judged j;
  size_t size;
  judge(&j, load_of_14_amps, false);
  struct pl_fix fixes[2] = {{{0, 10, 20}, "a"}, {{0, 15, 25}, "b"}};
  PL_CHECK(pl_remedy_text(&j.sources, 0, fixes, 2, &j.arena, &size) == NULL, "they overlap");
  fixes[1].span.start = 20;
  PL_CHECK(pl_remedy_text(&j.sources, 0, fixes, 2, &j.arena, &size) != NULL, "they touch");
  PL_CHECK_INT(size, sizeof load_of_14_amps - 1 - 15 + 2, "two bytes for fifteen");
  judge_end(&j);
}

/* The forgotten ground of two loads: neither is told to be wired to the other. */
static void no_load_hangs_on_another(void) {
  static const char text[] = "machine \"Bench\"\n"
                             "  drop at most 10 %\n"
                             "battery BAT\n"
                             "  cca 600 A\n"
                             "fuse F1\n"
                             "  rating 15 A\n"
                             "load R1\n"
                             "  draws 5 A\n"
                             "load R2\n"
                             "  draws 5 A\n"
                             "wires of load\n"
                             "  1 BAT.+  F1.in  14 AWG RD length 0.15 m\n"
                             "  2 F1.out R1.+   14 AWG RD length 2 m\n"
                             "  3 R1.-   R2.-   14 AWG BK length 2 m\n"
                             "  4 F1.out R2.+   14 AWG RD length 2 m\n"
                             "state on\n";
  struct judged j;
  judge(&j, text, true);
  const struct pl_finding *f = find(&j, "load-without-return");
  CU_ASSERT_FATAL(f != NULL);
  PL_CHECK(strstr(f->remedy, "wire R1.- to ground") == f->remedy, f->remedy);
  judge_end(&j);
}

/* Columns of edits count characters, tabs and wide ones as one. */
static void json_counts_characters(void) {
  static const char text[] = "machine \"Bench\"\n"
                             "  drop at most 10 %\n"
                             "battery BAT\n"
                             "  cca 600 A\n"
                             "fuse F1\n"
                             "\trating 10 A\n"
                             "load R1\n"
                             "  draws 8 A\n"
                             "  steady current\n"
                             "wires of load\n"
                             "  1 BAT.+  F1.in  12 AWG RD length 0.15 m\n"
                             "  2 F1.out R1.+   12 AWG RD length 1 m\n"
                             "  3 R1.-   BAT.-  12 AWG BK length 1 m\n"
                             "state on\n";
  struct judged j;
  struct pl_buffer out;
  judge(&j, text, true);
  pl_buffer_init(&out, &j.arena);
  pl_findings_print_json(&out, &j.findings, &j.sources);
  PL_CHECK(strstr(out.at, "\"line\": 6, \"col\": 2, \"end\": 13, \"new\": \"rating 15 A\"") != NULL,
           out.at);
  judge_end(&j);
}

static CU_TestInfo remedy_tests[] = {
    {"every remedy of the mistakes works", every_remedy_works},
    {"a wrong figure gets an edit", figures_get_edits},
    {"a larger fuse takes its wire along", a_larger_fuse_takes_its_wire_along},
    {"one wire, one remedy", one_wire_one_remedy},
    {"what nothing cures is said", what_nothing_cures_is_said},
    {"no load hangs on another", no_load_hangs_on_another},
    {"JSON counts characters", json_counts_characters},
    {"edits keep what stands beside", edits_keep_what_stands_beside},
    {"edits that meet are refused", edits_that_meet_are_refused},
    CU_TEST_INFO_NULL};

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("remedies", remedy_tests), CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
