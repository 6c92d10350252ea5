/* The ways of least resistance: from the live post of a battery to every node, and from every node
 * to the earthed post, through wires and contacts in whatever position they carry; which fuse and
 * which contact lie last on each.  Parallel ways are left out: what has no other way beside it is
 * told, the rest is solved (prospective_inner.h).  Private to this room. */
#ifndef PL_RULES_WAYS_INNER_H
#define PL_RULES_WAYS_INNER_H

#include "rules/rules.h"

struct pl_ways {
  const struct pl_element
      *elements; /* of one solution: ohms, kinds and nodes are the same in all */
  uint32_t element_count, node_count;
  double *feed, *back;         /* by node: ohms; INFINITY where no way leads */
  uint32_t *feed_by, *back_by; /* by node: the element through which it is reached; UINT32_MAX at a
                                  post or where no way leads */
  pl_id *fuse;                 /* by node: the last protection on its feed; PL_NONE */
  pl_id *gate;     /* by node: the last switch, disconnect or relay on its feed; PL_NONE */
  bool *only_feed; /* by node: its feed is the only one; never with several batteries */
  bool *bridge;    /* by element: all that is fed through it has no other feed; so too */
  double volts,
      ohms; /* of the battery: open-circuit volts, inner ohms; of several side by side together */
};

/* `pole` by pin and `live` its bit, as struct pl_facts has them. */
const struct pl_ways *pl_ways_new(const struct pl_check *check, const uint8_t *pole, uint8_t live);

static inline uint32_t pl_element_far_node(const struct pl_element *element, uint32_t node) {
  return element->node_a == node ? element->node_b : element->node_a;
}

double pl_ways_feed(const struct pl_check *check, pl_id pin);
double pl_ways_back(const struct pl_check *check, pl_id pin);
pl_id pl_ways_fuse(const struct pl_check *check, pl_id pin);
/* The last contact on the way to the pin; PL_NONE. */
pl_id pl_ways_gate(const struct pl_check *check, pl_id pin);
/* The pin has one feed and no other: the current of a short there is told by its ohms alone. */
bool pl_ways_is_only_feed(const struct pl_check *check, pl_id pin);
/* Whatever feeds the pin goes through its fuse: other ways beside only add to the fuse's current
 * (Rayleigh's monotonicity law). */
bool pl_ways_fuse_is_bridge(const struct pl_check *check, pl_id pin);
/* Amps of a dead short between two pins; the pin alone (`minus` PL_NONE): to the earthed post with
 * nothing between.  0 where no way leads. */
double pl_ways_short(const struct pl_check *check, pl_id plus, pl_id minus);

#endif
