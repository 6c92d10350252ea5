/* Tests of the rules: the program, and how a text is judged. */
#include "test_rules.h"

void judge(struct judged *judged, const char *path, const char *text) {
  memset(judged, 0, sizeof *judged);
  pl_test_arena(&judged->arena);
  pl_sources_init(&judged->sources, &judged->arena);
  pl_findings_init(&judged->findings, &judged->arena);
  pl_harness_init(&judged->harness, &judged->arena);
  struct pl_reader memory = pl_reader_text(text);
  judged->read = pl_build(path,
                          text == NULL ? &pl_reader_disk : &memory,
                          &judged->sources,
                          &judged->findings,
                          &judged->harness);
  PL_CHECK(judged->read, path);
  if (!judged->read) {
    for (uint32_t i = 0; i < judged->findings.list.n; i++)
      printf("\n%s: %s\n", path, judged->findings.list.at[i].text);
    return;
  }
  uint32_t states = judged->harness.states.n;
  judged->network = pl_network_new(&judged->harness, &judged->arena);
  judged->solutions = PL_NEW_ARRAY(&judged->arena, struct pl_solution, states + 1);
  for (pl_id s = 0; s < states; s++)
    pl_network_solve(judged->network, s, &judged->solutions[s], &judged->findings);
  struct pl_check check = {.harness = &judged->harness,
                           .network = judged->network,
                           .solutions = judged->solutions,
                           .arena = &judged->arena,
                           .findings = &judged->findings};
  pl_rules_run(&check);
  pl_findings_sort(&judged->findings, &judged->sources);
}

void judge_end(struct judged *judged) {
  if (judged->network != NULL)
    pl_network_release(judged->network);
  pl_arena_release(&judged->arena);
}

const struct pl_finding *judged_find(const struct judged *judged, const char *rule, unsigned n) {
  for (uint32_t i = 0; i < judged->findings.list.n; i++)
    if (strcmp(judged->findings.list.at[i].rule, rule) == 0 && n-- == 0)
      return &judged->findings.list.at[i];
  return NULL;
}

unsigned judged_count(const struct judged *judged, const char *rule) {
  unsigned n = 0;
  while (judged_find(judged, rule, n) != NULL)
    n++;
  return n;
}

const struct pl_finding *
judged_only(const struct judged *judged, const char *rule, const char *place, const char *row) {
  PL_CHECK_INT(judged_count(judged, rule), 1, row);
  const struct pl_finding *finding = judged_find(judged, rule, 0);
  CU_ASSERT_FATAL(finding != NULL);
  PL_CHECK_STR(finding->place, place, row);
  return finding;
}

int main(void) {
  CU_SuiteInfo suites[] = {
      PL_SUITE("figures by hand", rules_hand_tests),
      PL_SUITE("connections and roles", rules_connection_tests),
      PL_SUITE("mistakes and near misses", rules_mistake_tests),
      PL_SUITE("protection over time, starting, controllers", rules_time_tests),
      PL_SUITE("table, files and document agree", rules_paper_tests),
      PL_SUITE("every wire removed in turn", rules_served_tests),
      CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
