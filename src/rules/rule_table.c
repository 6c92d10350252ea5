/* The table of rules: what is said of each, without its function. */
#include <string.h>

#include "rules/rules.h"

const struct pl_rule pl_rules[] = {
#define PL_RULE(name, function, reads, question, source) {name, question, source, PL_READS_##reads},
#define PL_RULE_ELSEWHERE(name, reads, question, source) {name, question, source, PL_READS_##reads},
#include "rules/rules.def"
#undef PL_RULE
#undef PL_RULE_ELSEWHERE
};
const uint32_t pl_rule_count = sizeof pl_rules / sizeof pl_rules[0];

const struct pl_rule *pl_rule_find(const char *name) {
  for (uint32_t i = 0; i < pl_rule_count; i++)
    if (strcmp(pl_rules[i].name, name) == 0)
      return &pl_rules[i];
  return NULL;
}
