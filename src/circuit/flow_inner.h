/* Which way things face: how far every pin is from the supply and from ground. */
#ifndef PL_CIRCUIT_FLOW_INNER_H
#define PL_CIRCUIT_FLOW_INNER_H

#include "harness/harness.h"

struct pl_flow {
  const struct pl_harness *harness;
  double *feed,
      *ground; /* by pin: hops along conductors from the supply / from the battery's earthed pole;
                * PL_FLOW_LOAD more for every load on the way; INFINITY when there is no way */
  pl_id *source, *through; /* by pin: where the feed came from; the last switch or relay pin it
                              passed (PL_NONE: none) */
};
#define PL_FLOW_LOAD 1e6

struct pl_flow *pl_flow_make(const struct pl_harness *harness, struct pl_arena *arena);
/* Smaller is nearer to the top of the page. */
double pl_flow_height(const struct pl_flow *flow, pl_id pin);
bool pl_flow_fed(const struct pl_flow *flow,
                 pl_id pin); /* conductors lead to the supply, without a load between */
bool pl_flow_grounded(const struct pl_flow *flow, pl_id pin); /* the same for ground */
/* DIN 72552 designation of the supply a node hangs on: "30", "15"...; "+" when it has none; "" when
 * it is no supply. */
const char *pl_flow_rail(const struct pl_flow *flow, pl_id pin);

#endif
