/* `pinloom book`, `draw` and `tables`: which sections, the folder, and what is said meanwhile. What
 * is in them is made in out/. */
#include "cli/book.h"

#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "base/nearest.h"
#include "cli/fault_table.h"
#include "cli/find_names.h"
#include "cli/write.h"
#include "write/xml.h"

#define PATIENCE 0.7 /* seconds of work after which a terminal is told how far it is */

struct progress {
  double start;
  bool told;
};

static double now(void) {
  struct timespec time = {0, 0};
  clock_gettime(CLOCK_MONOTONIC, &time);
  return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

static void tell(void *context, uint32_t section) {
  struct progress *progress = context;
  if (!progress->told && now() - progress->start < PATIENCE)
    return;
  progress->told = true;
  fprintf(stderr, "\r%u of %u: %-40s", section + 1, pl_section_count, pl_sections[section].title);
  fflush(stderr);
}

static void tell_end(const struct progress *progress) {
  if (progress->told)
    fprintf(stderr, "\r%-60s\r", "");
}

static struct pl_output_inputs inputs(struct pl_session *session, struct progress *progress) {
  *progress = (struct progress){.start = now()};
  struct pl_output_inputs in = {.harness = &session->harness,
                                .network = session->network,
                                .solutions = session->solutions,
                                .findings = &session->findings,
                                .sources = &session->sources,
                                .proof = session->proof};
  if (isatty(STDERR_FILENO)) {
    in.progress = tell;
    in.progress_context = progress;
  }
  return in;
}

static const char *folder(struct pl_session *session, const struct pl_options *options) {
  if (options->folder != NULL)
    return options->folder;
  return pl_write_default_folder(session->arena, options->arguments[0]);
}

/* ---- --only ---- */

static int unknown_section(struct pl_session *session, const char *name) {
  struct pl_nearest nearest;
  struct pl_buffer known;
  pl_nearest_init(&nearest, name);
  pl_buffer_init(&known, session->arena);
  for (uint32_t i = 0; i < pl_section_count; i++) {
    pl_nearest_offer(&nearest, pl_sections[i].name);
    pl_buffer_printf(&known, "%s%s", i > 0 ? ", " : "", pl_sections[i].name);
  }
  if (nearest.best != NULL)
    return pl_cli_complain(
        PL_EXIT_TEXT,
        "the book has no section `%s`; did you mean `%s`? (the sections are: %s)",
        name,
        nearest.best,
        known.at);
  return pl_cli_complain(PL_EXIT_TEXT,
                         "the book has no section `%s`; the sections are: %s",
                         name,
                         known.at);
}

/* "cutting,labels": 0, or an exit status after a complaint. */
static int choose(struct pl_session *session, const char *only, struct pl_output_inputs *in) {
  if (only == NULL)
    return 0;
  bool *chosen = PL_NEW_ARRAY(session->arena, bool, pl_section_count);
  for (const char *at = only;; at++) {
    size_t n = strcspn(at, ",");
    const char *name = pl_arena_strndup(session->arena, at, n);
    uint32_t i = 0;
    while (i < pl_section_count && strcmp(pl_sections[i].name, name) != 0)
      i++;
    if (i == pl_section_count)
      return unknown_section(session, name);
    chosen[i] = true;
    at += n;
    if (*at == '\0')
      break;
  }
  in->sections = chosen;
  return 0;
}

/* ---- the commands ---- */

int pl_book_ready(void) {
  const char *missing = pl_xml_missing();
  if (missing == NULL)
    return 0;
  return pl_cli_complain(PL_EXIT_MACHINE,
                         "the library that writes drawings and sheets cannot be loaded: %s; "
                         "install the package libxml2",
                         missing);
}

int pl_run_draw(struct pl_session *session, const struct pl_options *options) {
  pl_outputs outputs = {0};
  struct progress progress;
  if (pl_book_ready() != 0)
    return PL_EXIT_MACHINE;
  struct pl_output_inputs in = inputs(session, &progress);
  if (options->state != NULL) {
    pl_id state = pl_cli_find_state(session, options->state);
    if (state == PL_NONE)
      return PL_EXIT_TEXT;
    in.shown = &session->solutions[state];
    if (in.shown->status != PL_SOLVED)
      return pl_cli_complain(PL_EXIT_FINDINGS,
                             "state %s has no solution: %s",
                             options->state,
                             in.shown->failure);
  }
  in.full_length = options->full_length;
  pl_output_drawings(&in, session->arena, &outputs);
  return pl_write_outputs(session->arena, folder(session, options), &outputs, PL_EXIT_FINE);
}

int pl_run_tables(struct pl_session *session, const struct pl_options *options) {
  pl_outputs outputs = {0};
  struct progress progress;
  struct pl_output_inputs in = inputs(session, &progress);
  int status = choose(session, options->only, &in);
  if (status == 0)
    status = pl_book_ready();
  if (status != 0)
    return status;
  pl_output_tables(&in, session->arena, &outputs);
  tell_end(&progress);
  return pl_write_outputs(session->arena, folder(session, options), &outputs, PL_EXIT_FINE);
}

int pl_run_book(struct pl_session *session, const struct pl_options *options) {
  pl_outputs outputs = {0};
  struct progress progress;
  struct pl_output_inputs in = inputs(session, &progress);
  in.full_length = options->full_length;
  struct pl_buffer out;
  int status = choose(session, options->only, &in);
  if (status == 0)
    status = pl_book_ready();
  if (status != 0)
    return status;
  struct pl_suspects suspects;
  pl_cli_fault_table(session, folder(session, options), &suspects);
  in.suspects = &suspects;
  pl_output_book(&in, session->arena, &outputs);
  tell_end(&progress);
  status = pl_write_outputs(session->arena, folder(session, options), &outputs, PL_EXIT_FINE);
  if (status != PL_EXIT_FINE)
    return status;
  pl_buffer_init(&out, session->arena);
  pl_findings_print(&out, &session->findings, &session->sources);
  return pl_cli_print(out.at, out.n, pl_session_status(session));
}
