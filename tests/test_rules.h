/* Judging a text in the tests of the rules: read, solved in every state, checked. */
#ifndef TEST_RULES_H
#define TEST_RULES_H

#include "model/build.h"
#include "pl_test.h"
#include "rules/rules.h"

struct judged {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_network *network;
  struct pl_solution *solutions;
  bool read;
};

/* `text` NULL: the file `path` is read from the disk. */
void judge(struct judged *judged, const char *path, const char *text);
void judge_end(struct judged *judged);

/* The n-th finding of that rule, or NULL; waived ones count. */
const struct pl_finding *judged_find(const struct judged *judged, const char *rule, unsigned n);
unsigned judged_count(const struct judged *judged, const char *rule);
/* Checks that there is exactly one finding of the rule, at that place, and returns it (never NULL:
 * the test ends). */
const struct pl_finding *
judged_only(const struct judged *judged, const char *rule, const char *place, const char *row);

extern CU_TestInfo rules_hand_tests[], rules_connection_tests[], rules_mistake_tests[],
    rules_paper_tests[], rules_time_tests[], rules_served_tests[];

#endif
