/* Figures near their limits: what sound parts within their tolerances make of them.  Private to
 * this room. */
#ifndef PL_RULES_MARGIN_INNER_H
#define PL_RULES_MARGIN_INNER_H

#include "network/band.h"
#include "rules/rules.h"

struct pl_margin {
  pl_id state;
  struct pl_reading reading;
  double times, limit; /* the finding's figure is the reading, without sign, times this */
  bool least;          /* it must not be under the limit; else not over it */
};

/* For a finding whose limit is kept at the good end: "; with short wires, new contacts and good
 * parts it would be 2.9 %, within the limit"; else "". */
const char *pl_say_good_end(const struct pl_check *check, struct pl_margin near, const char *unit);

/* For one whose limit is broken at the bad end: "; with long wires, worn contacts and poor parts it
 * would be 6.7 V"; else "". */
const char *pl_say_bad_end(const struct pl_check *check, struct pl_margin near, const char *unit);

#endif
