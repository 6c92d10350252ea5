/* Inside the network room: the parts that may differ from their figures, one row each.  Nobody
 * outside includes this. */
#ifndef PL_NETWORK_TOLERANCE_H
#define PL_NETWORK_TOLERANCE_H

#include "network/network_inner.h"

enum pl_sway_of {
  PL_SWAY_OHMS,
  PL_SWAY_VOLTS,
  PL_SWAY_AMPS /* or watts: down and up are shares of them */
};

struct pl_sway { /* one part: its two ends are chosen together */
  uint32_t
      element[2]; /* [1]: moves with [0], as the lower part of a three-wire sensor does; PL_NONE */
  enum pl_sway_of of;
  double down[2], up[2]; /* what is added to the figure at each end, with its sign */
};
typedef PL_VEC(struct pl_sway) pl_sways;

/* Those that move anything with the solution's modes held; `all`: also those that carry no current
 * or stand open. */
void pl_sways_list(const struct pl_network *network,
                   const struct pl_state *state,
                   const struct pl_solution *solution,
                   bool all,
                   pl_sways *sways);

#endif
