/* The machine on its way to first power: solved with controllers unplugged and fuses out.  Private
 * to this room. */
#ifndef PL_SHEET_LIVE_INNER_H
#define PL_SHEET_LIVE_INNER_H

#include "sheet/rows_inner.h"

/* Solved in a state of the harness (PL_NONE: at rest) without the devices in `out`: they are in
 * their places, but unplugged. */
struct pl_live {
  struct pl_network *network;
  struct pl_solution *solution;
};
struct pl_live pl_live_solve(const struct pl_sheet_maker *maker, const bool *out, pl_id state);
void pl_live_release(struct pl_live *live);

/* By pin: the last fuse, breaker or link on the way from the battery along wires and closed
 * contacts, the way with the fewest of them; PL_NONE: none, or no such way.  `order`: the
 * protections themselves, as they are come to. */
pl_id *pl_live_fuses(const struct pl_sheet_maker *maker, const struct pl_live *live, pl_ids *order);

/* "key on": the state with the engine stopped in which most pins of controllers have power; PL_NONE
 * when none has more than at rest. */
pl_id pl_live_key_on(const struct pl_sheet_maker *maker, const struct pl_live *rest);

bool pl_live_has_power(const struct pl_sheet_maker *maker,
                       const struct pl_live *live,
                       pl_id pin); /* more than half of the supply */

#endif
