/* Places and runs as trees, and what leaves the harness at each place.  The
 * routing plan and the assembly board are both drawn from it. */
#ifndef PL_DRAW_TREE_H
#define PL_DRAW_TREE_H

#include "harness/harness.h"

/* A connector, or the bare pins of a device, at a place. */
struct pl_takeoff {
  pl_id device, connector; /* connector PL_NONE: studs, blades, flying leads */
  const char *name;        /* "ECM.A", "F3" */
  uint32_t wires;          /* there, removed ones not counted */
  uint32_t leaving;        /* of them, how many go through a run */
  uint32_t tailed; /* of them, how many have a tail: those that leave, and those whose length nobody
                      wrote */
  bool written;    /* one of those has its length written in the text */
};
typedef PL_VEC(struct pl_takeoff) pl_takeoffs;

/* A place as it is met on the way out from the root; a run that closes a ring ends in a twig that
 * is `again`. */
struct pl_twig {
  pl_id place, run; /* run: from the parent; PL_NONE at a root */
  uint32_t parent;  /* UINT32_MAX at a root */
  bool again;       /* the place itself stands elsewhere: pegs[place] */
  double far;       /* metres from the root */
  double reach;     /* metres of the longest way on from here */
  uint32_t depth;
  struct pl_bundle bundle; /* of the run */
  PL_VEC(uint32_t)
  kids; /* branches in the order of the text; last the one with the longest way behind it */
};

struct pl_tree {
  const struct pl_harness *harness;
  struct pl_arena *arena;
  PL_VEC(struct pl_twig) twigs; /* each before its kids, kids in order: the order of the pegs */
  uint32_t *twig_of;            /* by place */
  uint32_t *peg_of;             /* by place: its number, from 1 */
  pl_takeoffs *takeoffs;        /* by place, in the order of the text */
};

/* The first root is where the first battery sits; other parts of the machine that no run joins have
 * roots of their own. Ways are the shortest from the root, as wires take them. */
void pl_tree_make(struct pl_tree *tree, const struct pl_harness *harness, struct pl_arena *arena);

/* Numbers of wires that are there and lie in no run though their ends are at different places or at
 * none: "12, 14 and 7 more"; "" when there are none. */
const char *pl_tree_strays(const struct pl_tree *tree, uint32_t most);

/* "1.6 m" or "63 in" as the sheets are. */
const char *pl_tree_length(const struct pl_tree *tree, double metres);
/* "34 wires, about 27 mm over them, split conduit 50 mm" */
const char *pl_tree_run_words(const struct pl_tree *tree, const struct pl_twig *twig);

#endif
