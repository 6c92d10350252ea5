/* A symmetric sparse system of equations with a fixed pattern: analysed once, given new numbers and
 * factored as often as wanted. It knows no wires.  Its implementation is the only file that sees
 * KLU. */
#ifndef PL_NETWORK_SPARSE_INNER_H
#define PL_NETWORK_SPARSE_INNER_H

#include <stdbool.h>

#include "base/arena.h"

#define PL_NO_ROW UINT32_MAX /* an end of a stamp that is no unknown: the reference */

struct pl_stamp {
  uint32_t a, b;
}; /* the unknowns an element joins */

enum pl_sparse_status {
  PL_SPARSE_GOOD,
  PL_SPARSE_SINGULAR, /* or so nearly that its answers mean nothing */
  PL_SPARSE_NO_MEMORY
};

struct pl_sparse;

/* `n` unknowns and the pattern of `count` stamps; several stamps may share entries.  Memory is the
 * arena's. */
struct pl_sparse *
pl_sparse_new(struct pl_arena *arena, uint32_t n, const struct pl_stamp *stamps, uint32_t count);
void pl_sparse_release(struct pl_sparse *sparse); /* what KLU holds */

void pl_sparse_clear(struct pl_sparse *sparse);
void pl_sparse_add(struct pl_sparse *sparse,
                   uint32_t stamp,
                   double siemens); /* +g on both diagonals, -g on both others */
void pl_sparse_pin(struct pl_sparse *sparse,
                   uint32_t row); /* 1 on its diagonal: an unknown nothing joins */

/* Factors what was stamped.  *row: the unknown at which it failed, PL_NO_ROW when that cannot be
 * said. */
enum pl_sparse_status pl_sparse_factor(struct pl_sparse *sparse, uint32_t *row);

/* x: right-hand side in, answer out.  Only after a good factor. */
bool pl_sparse_solve(struct pl_sparse *sparse, double *x);

/* The same for `count` right-hand sides, one behind the other in x: the factors are read once for
 * all of them. */
bool pl_sparse_solve_many(struct pl_sparse *sparse, uint32_t count, double *x);

/* Adds to one diagonal: an unknown held to the reference. */
void pl_sparse_hold(struct pl_sparse *sparse, uint32_t row, double siemens);

/* From now on this stamp joins `row` and the reference; the pattern has room for that. */
void pl_sparse_aim(struct pl_sparse *sparse, uint32_t stamp, uint32_t row);

/* Another pattern of the same size (`n` and `count` as it was made with), in the same memory; it is
 * analysed afresh at the next factor. */
void pl_sparse_renew(struct pl_sparse *sparse, const struct pl_stamp *stamps);

#endif
