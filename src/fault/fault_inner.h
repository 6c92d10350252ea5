/* Between the files of single faults: the shadow network that carries one fault at a time, and what
 * a fault does to it. Nobody outside includes this. */
#ifndef PL_NETWORK_FAULT_INNER_H
#define PL_NETWORK_FAULT_INNER_H

#include "fault/fault.h"
#include "network/network_inner.h"

/* The network once more, with one element added last: the join of a chafe or short, open unless a
 * fault makes it. */
struct pl_shadow {
  struct pl_network network;
  const struct pl_network *healthy;
  uint32_t join;       /* the last element */
  uint32_t live;       /* node of the battery's unearthed post; PL_NONE */
  uint32_t *of_device; /* elements of device d: of_device[of_start[d]..of_start[d + 1]) */
  uint32_t *of_start;
  uint32_t *touched; /* elements the fault in force changed: put back by pl_shadow_mend */
  uint32_t touched_count;
  struct pl_held held;
  struct pl_setting setting; /* of the switch that is stuck; device PL_NONE: none is */
  uint32_t aimed_a, aimed_b; /* nodes of the join that the equations' pattern has a place for */
  struct pl_state state;     /* with room for one setting more */
  struct pl_stamp *stamps;
  struct pl_solution warm; /* the healthy state, with the temperatures that the fault finds */
  double *wires_at;
};

struct pl_shadow *pl_shadow_new(struct pl_network *network);

/* Breaks the shadow: elements, drives, held relay, stuck switch.  In `touched` the elements that
 * are no longer as they were, the join included. */
void pl_shadow_break(struct pl_shadow *shadow, const struct pl_fault *fault);
void pl_shadow_mend(struct pl_shadow *shadow);

/* The state with the stuck switch where it is stuck; valid until the next call. */
const struct pl_state *pl_shadow_state(struct pl_shadow *shadow, const struct pl_state *state);

/* Solves the healthy state and keeps its wires as warm as they are then.  Before any fault. */
void pl_shadow_warm(struct pl_shadow *shadow, const struct pl_state *state);

/* Solves the shadow, broken or not, from rest. */
void pl_shadow_solve(struct pl_shadow *shadow,
                     const struct pl_state *state,
                     struct pl_solution *solution);

/* fault_sweep.c: the sweep of a network, made when it is first asked for; its shadow. */
struct pl_shadow *pl_sweep_shadow(struct pl_network *network);

/* The numbering of unknowns, as in step.c: the reference has none. */
static inline uint32_t pl_row_of(const struct pl_network *network, uint32_t node) {
  return node == network->reference ? PL_NO_ROW : node - (node > network->reference);
}

#endif
