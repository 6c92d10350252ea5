/* The driver: text -> model -> network -> solutions -> findings, as far as a command needs it.  It
 * opens no file itself: the reader does. */
#include "cli/cli.h"

void pl_session_init(struct pl_session *session, struct pl_arena *arena) {
  *session = (struct pl_session){.arena = arena};
  pl_sources_init(&session->sources, arena);
  pl_findings_init(&session->findings, arena);
  pl_harness_init(&session->harness, arena);
}

static void solve(struct pl_session *session, enum pl_stage stage) {
  struct pl_harness *harness = &session->harness;
  session->network = pl_network_new(harness, session->arena);
  session->solutions = PL_NEW_ARRAY(session->arena, struct pl_solution, harness->states.n);
  for (pl_id state = 0; state < harness->states.n; state++)
    pl_network_solve(session->network,
                     state,
                     &session->solutions[state],
                     stage == PL_STAGE_CHECKED ? &session->findings : NULL);
}

bool pl_session_run(struct pl_session *session,
                    const char *path,
                    const struct pl_reader *reader,
                    enum pl_stage stage) {
  if (stage == PL_STAGE_NONE)
    return true;
  bool good = pl_build(path, reader, &session->sources, &session->findings, &session->harness);
  if (stage >= PL_STAGE_SOLVED)
    pl_build_digest(&session->sources, &session->harness); /* drawings and tables name it */
  if (good && stage >= PL_STAGE_SOLVED)
    solve(session, stage);
  if (good && stage >= PL_STAGE_CHECKED) {
    struct pl_check check = {.harness = &session->harness,
                             .network = session->network,
                             .solutions = session->solutions,
                             .arena = session->arena,
                             .findings = &session->findings};
    check.keep_all = session->all;
    pl_rules_run(&check);
    session->proof = check.proof;
    pl_findings_sort(&session->findings, &session->sources);
    session->remedies = pl_remedies_seek(&check, &session->sources, path);
    session->check = check;
  }
  pl_findings_sort(&session->findings, &session->sources);
  return good;
}

void pl_session_release(struct pl_session *session) {
  if (session->network != NULL)
    pl_network_release(session->network);
  session->network = NULL;
}

int pl_session_status(const struct pl_session *session) {
  for (uint32_t i = 0; i < session->findings.list.n; i++)
    if (session->findings.list.at[i].waived == NULL)
      return PL_EXIT_FINDINGS;
  return PL_EXIT_FINE;
}
