/* What hangs together by wires alone, with every plug off: what is rung out.  Private to this room.
 */
#ifndef PL_SHEET_NETS_INNER_H
#define PL_SHEET_NETS_INNER_H

#include "sheet/rows_inner.h"

struct pl_nets {
  uint32_t *net; /* by pin */
  uint32_t count;
  pl_ids *pins; /* by net: the pins with wires that a lead can be held to (no splices), where to
                   hold the first lead first */
  bool *ground; /* by net: it ends on the earthed battery post, a chassis or a bond */
};

void pl_nets_make(const struct pl_sheet_maker *maker, struct pl_nets *nets);

/* A pair to ring out, and what lies between. */
struct pl_pair {
  pl_id a, b;
  pl_ids wires;
  pl_id lift; /* PL_NONE; else: a wire of its own beside others, to be lifted at one end and read
                 alone */
};
typedef PL_VEC(struct pl_pair) pl_pairs;
/* Every wire is in one pair at least; pairs of one net stand together and share their first pin. */
void pl_nets_pairs(const struct pl_sheet_maker *maker, const struct pl_nets *nets, pl_pairs *pairs);

/* Cavities beside each other in one plug, that are wired and must not conduct. */
void pl_nets_neighbours(const struct pl_sheet_maker *maker,
                        const struct pl_nets *nets,
                        pl_id pin,
                        pl_ids *neighbours);

/* Everything unplugged. */
struct pl_meter *pl_bench_meter(const struct pl_sheet_maker *maker);

#endif
