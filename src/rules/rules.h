/* Rules: each is one row of rules.def (name, question, source, function), one function in a file of its family, one paragraph in docs/rules.md,
 * one triggering file in harnesses/mistakes/.  Rules see the model and its solutions, never syntax. */
#ifndef PL_RULES_RULES_H
#define PL_RULES_RULES_H

#include "network/network.h"

struct pl_check {                      /* what a rule may look at */
  const struct pl_harness *harness;
  const struct pl_network *network;
  const struct pl_solution *solutions; /* one for each state, in order */
  struct pl_arena *arena;
  struct pl_findings *findings;
};

struct pl_rule {
  const char *name;                    /* trade words: "wire-current" */
  const char *question;                /* one line */
  const char *source;
  void (*run)(struct pl_check *check);
};

extern const struct pl_rule pl_rules[];
extern const uint32_t pl_rule_count;
const struct pl_rule *pl_rule_find(const char *name);  /* NULL when unknown */

/* Runs every rule, then marks what waivers accept (rule and place equal) and reports waivers that match nothing (rule "idle-waiver"). */
void pl_rules_run(struct pl_check *check);

#endif
