/* All ways that conduct between two pins in a solved state. */
#ifndef PL_PROBE_WAYS_BETWEEN_H
#define PL_PROBE_WAYS_BETWEEN_H

#include "network/network.h"

/* Ways listed; steps tried before the search is given up. */
enum {
  PL_PATHS_MOST = 20,
  PL_PATHS_STEPS = 200000
};

struct pl_path_step {
  uint32_t element; /* of the solution */
  bool reversed;    /* walked from node b to node a */
};
struct pl_path {
  PL_VEC(struct pl_path_step) steps;
};

struct pl_paths {
  PL_VEC(struct pl_path) list;
  bool through_loads; /* wires, fuses and closed contacts alone do not join them: the ways go
                         through loads or other resistances */
  bool more;          /* there are more than are listed, or the search was given up */
};

/* Ways from one pin to the other in the order of the text, no node twice on one way, none through
 * the chassis or a source in between.  First by wires, fuses, contacts and conducting diodes alone;
 * when those do not join the pins, through one load, coil, sensor or module besides.  Memory is the
 * arena's. */
void pl_probe_paths(const struct pl_harness *harness,
                    const struct pl_network *network,
                    const struct pl_solution *solution,
                    pl_id from,
                    pl_id to,
                    struct pl_arena *arena,
                    struct pl_paths *paths);

/* Volts lost along a step, in the direction walked: positive when the current runs that way. */
double pl_probe_step_drop(const struct pl_solution *solution, struct pl_path_step step);

#endif
