/* Between the files of single faults: the shadow network that carries one fault at a time, and what
 * a fault does to it. Nobody outside includes this. */
#ifndef PL_FAULT_SHADOW_INNER_H
#define PL_FAULT_SHADOW_INNER_H

#include "fault/fault.h"
#include "network/system.h"

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

/* Solves the healthy state and keeps its wires as warm as they are then.  Before any fault. */
void pl_shadow_warm(struct pl_shadow *shadow, const struct pl_state *state);

/* Every wire as warm as the hottest place on its way, whatever it carries. */
void pl_shadow_at_places(struct pl_shadow *shadow);

/* Solves the shadow, broken or not, from rest. */
void pl_shadow_solve(struct pl_shadow *shadow,
                     const struct pl_state *state,
                     struct pl_solution *solution);

/* sweep.c: the shadow of a network, made when it is first asked for. */
struct pl_shadow *pl_sweep_shadow(struct pl_network *network);

#endif
