/* What the sheets of the work share: the harness in the pieces it is built in.  Private to this
 * room. */
#ifndef PL_SHEET_WORK_INNER_H
#define PL_SHEET_WORK_INNER_H

#include "sheet/rows_inner.h"

/* A piece that is built, rung out and signed for in one go: a plug, or what has no plug at one
 * place. */
enum pl_block_kind {
  PL_BLOCK_PLUG,
  PL_BLOCK_LOOSE,
  PL_BLOCK_SPLICES,
  PL_BLOCK_STUDS
};
struct pl_block {
  enum pl_block_kind kind;
  pl_id id;         /* connector of a plug, else the place; PL_NONE: no place is said */
  const char *name; /* "ECM, connector A", "Splices at dash" */
  pl_ids pins;      /* in the order of the text */
  pl_ids wires;     /* that end in it, each once, in the order of its pins */
};
typedef PL_VEC(struct pl_block) pl_blocks;

/* Plugs, loose blades and leads, splices, studs; each pin of the harness in exactly one. */
void pl_blocks_make(const struct pl_sheet_maker *maker, pl_blocks *blocks);

/* "12, 14, 15" in the order given. */
const char *pl_work_wires(const struct pl_sheet_maker *maker, const pl_ids *wires);

/* "at dash"; "" when no place is said. */
const char *pl_work_at(const struct pl_sheet_maker *maker, pl_id place);

/* What is to be done to the wire `at` of the pin's, at this end: "new; in one terminal with 12". */
const char *
pl_work_end(const struct pl_sheet_maker *maker, pl_id pin, uint32_t at, enum pl_block_kind kind);

bool pl_work_cut(
    const struct pl_wire *wire); /* a length of it comes off the spool: new and extended wires */

/* The sheets of the sections build, checks, power-up and readings. */
void pl_sheet_steps(struct pl_sheet_maker *maker);
void pl_sheet_build_ends(struct pl_sheet_maker *maker);
void pl_sheet_checks(struct pl_sheet_maker *maker);
void pl_sheet_powerup(struct pl_sheet_maker *maker);
void pl_sheet_readings(struct pl_sheet_maker *maker);

#endif
