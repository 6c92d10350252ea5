/* The words that all rules use: findings to fill in, numbers with units, wires, pins, lists of
 * them. Private to this room. */
#ifndef PL_RULES_RULE_WORDS_INNER_H
#define PL_RULES_RULE_WORDS_INNER_H

#include "rules/rules.h"

struct pl_finding
pl_finding_new(const char *rule, enum pl_severity severity, struct pl_span span, const char *place);
const char *pl_say(struct pl_arena *arena, double value, const char *unit); /* "22.4 A" */
const char *pl_say_wire(const struct pl_check *check, pl_id wire);          /* "wire 41" */
const char *pl_say_wires(const struct pl_check *check,
                         const pl_id *wires,
                         uint32_t n);                              /* "wires 41, 42 and 7 more" */
const char *pl_say_place(const struct pl_check *check, pl_id pin); /* "ECM.A1 (battery feed)" */
const char *pl_say_connector(const struct pl_check *check, pl_id connector); /* "ECM.A", "E1" */
const char *pl_state_name(const struct pl_check *check, pl_id state);        /* "" for PL_NONE */
/* "a, b and 3 more" of texts; at most `most` are named. */
const char *
pl_say_list(struct pl_arena *arena, const char *const *texts, uint32_t n, uint32_t most);

/* The same of a finding's text; all of them where nothing is to be left out (check->keep_all). */
const char *
pl_say_some(const struct pl_check *check, const char *const *texts, uint32_t n, uint32_t most);

/* Where the wiring at a pin is written: the end of its first wire there, else the pin's own row. */
struct pl_span pl_pin_wiring_span(const struct pl_harness *harness, pl_id pin);

#endif
