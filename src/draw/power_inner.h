/* What hangs on the supply, as a tree from which the power pages are drawn. */
#ifndef PL_DRAW_POWER_H
#define PL_DRAW_POWER_H

#include "harness/harness.h"
#include "network/network.h"

struct pl_fed { /* something that takes current, behind one stop */
  pl_id device;
  pl_ids pins; /* where it is fed */
  const char *name;
};

/* A stop on the way from the supply: a pole, stud, disconnect, switch, fuse...  [0] is the supply
 * itself: it stands for nothing that can be touched. */
struct pl_stop {
  pl_id device, pin; /* pin: where the way from the supply comes in */
  uint32_t parent;   /* UINT32_MAX: [0] */
  pl_ids wires;      /* from the parent, in order; those of splices between them too */
  PL_VEC(uint32_t) kids;
  PL_VEC(struct pl_fed) fed;
  pl_id meets;   /* a device whose feed this one joins; PL_NONE */
  bool source;   /* a battery or an alternator */
  bool backward; /* current comes from here to the parent: an alternator and what lies before it */
};

struct pl_power {
  const struct pl_harness *harness;
  struct pl_arena *arena;
  PL_VEC(struct pl_stop) stops;
};

/* Every fuse, breaker and fusible link is a stop of its own, once. */
void pl_power_make(struct pl_power *power,
                   const struct pl_harness *harness,
                   struct pl_arena *arena);

#endif
