/* The functions behind the rows of rules.def.  Private to this room. */
#ifndef PL_RULES_FAMILIES_INNER_H
#define PL_RULES_FAMILIES_INNER_H

#include "rules/rules.h"

typedef void pl_rule_function(struct pl_check *check);

#define PL_RULE(name, function, reads, question, source) pl_rule_function function;
#define PL_RULE_ELSEWHERE(name, reads, question, source)
#include "rules/rules.def"
#undef PL_RULE
#undef PL_RULE_ELSEWHERE

/* Amps through a contact: what its wires bring in together. */
double pl_rule_pin_amps(const struct pl_check *check, pl_id state, pl_id pin);

/* A short tap from `start` to a protection of its own, as near as 33 CFR 183.455(b) wants it: that
 * one protects it. */
bool pl_wire_is_tap(const struct pl_check *check, const struct pl_wire *wire, pl_id start);

/* Folds findings into their causes: causes.c. */
void pl_findings_fold(struct pl_check *check);

#endif
