/* Between the files of positions: what walks ask of the settled nets. */
#ifndef PL_PROVE_POSITIONS_WAY_INNER_H
#define PL_PROVE_POSITIONS_WAY_INNER_H

#include "prove/positions_inner.h"

enum pl_hold pl_positions_turning(const struct pl_positions *p);
uint32_t pl_positions_root(struct pl_positions *p, uint32_t net);
uint8_t pl_positions_pole(struct pl_positions *p, uint32_t net);

/* The factor of the contact itself, if that decides it. */
bool pl_positions_cut_contact(const struct pl_positions *p,
                              uint32_t element,
                              struct pl_split *split);

#endif
