/* The order in which the unknowns of a network are eliminated.  A harness is mostly chains and
 * trees: a pin between a wire and a lamp, a splice at the end of a branch.  Whatever touches at
 * most two others goes first, and leaves those two joined: that fills in nothing, and what is left
 * for a real ordering is small.  It knows the pattern only. */
#ifndef PL_NETWORK_ELIMINATION_INNER_H
#define PL_NETWORK_ELIMINATION_INNER_H

#include <stddef.h>
#include <stdint.h>

#define PL_ORDER_GONE UINT32_MAX

struct pl_order {
  uint32_t n;
  const int *column,
      *row; /* a symmetric pattern in compressed columns, rows ascending, every diagonal there */
  uint32_t *to, *twin; /* by entry: the unknown it now leads to, PL_ORDER_GONE when to none; the
                          entry that leads back */
  uint32_t *degree;    /* by unknown: entries that lead somewhere, itself not counted; PL_ORDER_GONE
                          once eliminated */
  uint32_t *stack;
  int *order;    /* the unknowns, first one first */
  uint32_t done; /* how many have their place */
};

/* How many words the arrays take, all in one piece; and cuts it up. */
size_t pl_order_words(uint32_t n, uint32_t entries);
void pl_order_init(struct pl_order *order,
                   uint32_t n,
                   uint32_t entries,
                   const int *column,
                   const int *row,
                   uint32_t *memory);

/* Gives their places to all unknowns that touch at most two others, or come to. */
void pl_order_chains(struct pl_order *order);

/* The pattern of what is left, numbered 0 upwards as in `left` (by number: the unknown): compressed
 * columns, no entry twice, rows in no order. The arrays have room for n + 1, entries and n. Returns
 * how many unknowns are left. */
uint32_t pl_order_remainder(const struct pl_order *order, int *column, int *row, int *left);

#endif
