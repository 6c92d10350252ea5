/* Prospective short-circuit currents, solved: the fuse's amps with the whole network around the
 * short, all parallel ways and all that else hangs on the fuse counted, the wires as warm as they
 * were.  Private to this room. */
#ifndef PL_RULES_PROSPECTIVE_INNER_H
#define PL_RULES_PROSPECTIVE_INNER_H

#include "rules/facts_inner.h"

struct pl_prospect {
  pl_id plus, minus; /* pins that touch; minus PL_NONE: the earthed post, with nothing between */
  pl_id fuse;        /* whose amps are asked */
  double amps;       /* result */
  bool known;        /* the amps are there already: nothing to solve */
};

/* Fills in the amps, each in a declared state in which `plus` is live (engine stopped if there is
 * one), the shorts of one state together.  Without such a state, or where it cannot be solved: by
 * the one way of least resistance. */
void pl_prospects_solve(const struct pl_check *check, struct pl_prospect *prospects, uint32_t n);

/* The same for one. */
double pl_prospect_amps(const struct pl_check *check, pl_id plus, pl_id minus, pl_id fuse);

#endif
