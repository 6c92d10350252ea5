/* Inside the network room: the parts that may differ from their figures, one row each.  Nobody
 * outside includes this. */
#ifndef PL_NETWORK_TOLERANCE_INNER_H
#define PL_NETWORK_TOLERANCE_INNER_H

#include "network/network_inner.h"

enum pl_deviation_of {
  PL_DEVIATES_OHMS,
  PL_DEVIATES_VOLTS,
  PL_DEVIATES_AMPS /* or watts: down and up are shares of them */
};

struct pl_deviation { /* one part: its two ends are chosen together */
  uint32_t
      element[2]; /* [1]: moves with [0], as the lower part of a three-wire sensor does; PL_NONE */
  enum pl_deviation_of of;
  double down[2], up[2]; /* what is added to the figure at each end, with its sign */
};
typedef PL_VEC(struct pl_deviation) pl_deviations;

/* Those that move anything with the solution's modes held; `all`: also those that carry no current
 * or stand open. */
void pl_deviations_list(const struct pl_network *network,
                        const struct pl_state *state,
                        const struct pl_solution *solution,
                        bool all,
                        pl_deviations *deviations);

#endif
