/* The sparse solver, over SuiteSparse KLU: chains and trees in an order of our own, AMD on the rest
 * of the symmetric pattern, one symbolic analysis for a pattern, numeric refactoring for new
 * numbers.  Entries are summed before the matrix is compressed, because KLU refuses duplicates. */
#include "network/sparse_inner.h"

#include <math.h>
#include <suitesparse/klu.h>

#include "base/pages.h"
#include "network/elimination_inner.h"

/* Below this the pivots are rounding noise of one another: eps of a double is 2.2e-16. */
static const double least_rcond = 1e-15;

enum {
  MUCH = 128 * 1024,
  HEAD = 64
}; /* bytes: worth large pages; more than the C library writes before a piece */

struct slots {
  uint32_t aa, bb, ab, ba;
}; /* where a stamp's four entries are; PL_NO_ROW = none */

struct pl_sparse {
  uint32_t n, entries, stamps;
  int *column, *row; /* compressed columns, rows ascending */
  double *value;
  uint32_t *diagonal; /* entry of (i, i) */
  struct slots *slots;
  uint32_t *scratch; /* of the making, then of the ordering */
  uint32_t *start;
  klu_common common;
  klu_symbolic *symbolic;
  klu_numeric *numeric;
  void *held; /* see make_room */
  size_t held_size;
};

/* A stamp off the diagonal has two halves: 2k in the row of its end a and the column of b, 2k + 1
 * the other way round. */
static uint32_t row_of(const struct pl_stamp *stamps, uint32_t half) {
  if ((half & 1) == 0)
    return stamps[half / 2].a;
  return stamps[half / 2].b;
}

static bool is_joining(struct pl_stamp stamp) {
  if (stamp.a == PL_NO_ROW)
    return false;
  if (stamp.b == PL_NO_ROW)
    return false;
  return stamp.a != stamp.b;
}

/* Halves row by row; start[i] becomes where those of row i end.  As many are in a column as in the
 * row of that number. */
static void list_by_row(struct pl_sparse *sparse, const struct pl_stamp *stamps, uint32_t *halves) {
  uint32_t *start = sparse->start;

  for (uint32_t i = 0; i <= sparse->n; i++)
    start[i] = 0;
  for (uint32_t k = 0; k < sparse->stamps; k++) {
    if (!is_joining(stamps[k]))
      continue;
    start[stamps[k].a + 1]++;
    start[stamps[k].b + 1]++;
  }
  for (uint32_t i = 0; i < sparse->n; i++)
    start[i + 1] += start[i];
  for (uint32_t k = 0; k < sparse->stamps; k++) {
    if (!is_joining(stamps[k]))
      continue;
    halves[start[stamps[k].a]++] = 2 * k;
    halves[start[stamps[k].b]++] = 2 * k + 1;
  }
}

/* Taken row by row and put down column by column, the rows of every column come to ascend. */
static void list_by_column(struct pl_sparse *sparse,
                           const struct pl_stamp *stamps,
                           const uint32_t *halves,
                           uint32_t *by_column) {
  uint32_t *next = sparse->diagonal;
  uint32_t count = 0;
  if (sparse->n > 0)
    count = sparse->start[sparse->n - 1];

  for (uint32_t i = 0; i < sparse->n; i++)
    next[i] = i > 0 ? sparse->start[i - 1] : 0;
  for (uint32_t i = 0; i < count; i++)
    by_column[next[row_of(stamps, halves[i] ^ 1)]++] = halves[i];
}

/* One column, with its diagonal in its place; halves of the same row share an entry.  Returns how
 * many entries there are now. */
static uint32_t compress(struct pl_sparse *sparse,
                         const struct pl_stamp *stamps,
                         uint32_t column,
                         const uint32_t *half,
                         const uint32_t *end,
                         uint32_t used) {
  bool placed = false;

  for (uint32_t last = PL_NO_ROW; half < end; half++) {
    uint32_t row = row_of(stamps, *half);
    if (!placed && row > column) {
      placed = true;
      sparse->diagonal[column] = used;
      sparse->row[used++] = (int)column;
    }
    if (row != last)
      sparse->row[used++] = (int)row;
    last = row;
    *((*half & 1) == 0 ? &sparse->slots[*half / 2].ab : &sparse->slots[*half / 2].ba) = used - 1;
  }
  if (!placed) {
    sparse->diagonal[column] = used;
    sparse->row[used++] = (int)column;
  }
  return used;
}

void pl_sparse_renew(struct pl_sparse *sparse, const struct pl_stamp *stamps) {
  uint32_t *halves = sparse->scratch;
  uint32_t *by_column = halves + 2 * (size_t)sparse->stamps;
  uint32_t used = 0;

  if (sparse->numeric != NULL)
    klu_free_numeric(&sparse->numeric, &sparse->common);
  if (sparse->symbolic != NULL)
    klu_free_symbolic(&sparse->symbolic, &sparse->common);
  list_by_row(sparse, stamps, halves);
  list_by_column(sparse, stamps, halves, by_column);
  for (uint32_t k = 0; k < sparse->stamps; k++)
    sparse->slots[k] = (struct slots){PL_NO_ROW, PL_NO_ROW, PL_NO_ROW, PL_NO_ROW};
  for (uint32_t i = 0; i < sparse->n; i++) {
    sparse->column[i] = (int)used;
    used = compress(sparse,
                    stamps,
                    i,
                    by_column + (i > 0 ? sparse->start[i - 1] : 0),
                    by_column + sparse->start[i],
                    used);
  }
  sparse->column[sparse->n] = (int)used;
  sparse->entries = used;
  for (uint32_t k = 0; k < sparse->stamps; k++) {
    if (stamps[k].a == stamps[k].b)
      continue; /* both ends on one node: no current of its own */
    if (stamps[k].a != PL_NO_ROW)
      sparse->slots[k].aa = sparse->diagonal[stamps[k].a];
    if (stamps[k].b != PL_NO_ROW)
      sparse->slots[k].bb = sparse->diagonal[stamps[k].b];
  }
}

/* KLU asks for its memory piece by piece, about this much in all; the C library gives pieces out
 * from the low end of what it has.  What lies there below the next large page is held, and the
 * pieces then come from large ones. */
static void make_room(struct pl_sparse *sparse) {
  size_t bytes = 80 * (size_t)sparse->n + 24 * (size_t)sparse->entries;
  size_t most = pl_pages_whole(bytes) + pl_pages_whole(1);
  void *room;

  if (bytes < MUCH)
    return;
  room = klu_malloc(most, 1, &sparse->common);
  sparse->held_size = pl_pages_before((uintptr_t)room + HEAD);
  klu_free(room, most, 1, &sparse->common);
  sparse->held = klu_malloc(sparse->held_size, 1, &sparse->common);
  most = pl_pages_whole(bytes) + 2 * HEAD;
  room = klu_malloc(most, 1, &sparse->common);
  if (room != NULL)
    pl_pages_large(room, bytes);
  klu_free(room, most, 1, &sparse->common);
}

struct pl_sparse *
pl_sparse_new(struct pl_arena *arena, uint32_t n, const struct pl_stamp *stamps, uint32_t count) {
  struct pl_sparse *sparse = PL_NEW(arena, struct pl_sparse);
  size_t most = (size_t)n + 2 * (size_t)count;

  sparse->n = n;
  sparse->stamps = count;
  sparse->slots = PL_NEW_ARRAY(arena, struct slots, count);
  sparse->diagonal = PL_NEW_ARRAY(arena, uint32_t, n);
  sparse->column = PL_NEW_ARRAY(arena, int, (size_t)n + 1);
  sparse->row = PL_NEW_ARRAY(arena, int, most);
  sparse->value = PL_NEW_ARRAY(arena, double, most);
  sparse->scratch = PL_NEW_ARRAY(arena, uint32_t, 3 * most + 5 * (size_t)n + 1);
  sparse->start = PL_NEW_ARRAY(arena, uint32_t, (size_t)n + 1);
  klu_defaults(&sparse->common);
  sparse->common.ordering = 0; /* AMD: COLAMD blows up on ground nodes with many wires */
  sparse->common.btf = 0; /* the pattern is symmetric: blocks would be the islands, found already */
  sparse->common.scale =
      2; /* rows by their largest entry, so that rcond speaks of the equations, not of the units */
  sparse->common.halt_if_singular = 1;
  sparse->common.initmem =
      3; /* room for the factors to begin with, as a multiple of the matrix: there is little fill */
  pl_sparse_renew(sparse, stamps);
  make_room(sparse);
  return sparse;
}

void pl_sparse_release(struct pl_sparse *sparse) {
  if (sparse->numeric != NULL)
    klu_free_numeric(&sparse->numeric, &sparse->common);
  if (sparse->symbolic != NULL)
    klu_free_symbolic(&sparse->symbolic, &sparse->common);
  sparse->held = klu_free(sparse->held, sparse->held_size, 1, &sparse->common);
}

void pl_sparse_clear(struct pl_sparse *sparse) {
  for (uint32_t i = 0; i < sparse->entries; i++)
    sparse->value[i] = 0;
}

void pl_sparse_add(struct pl_sparse *sparse, uint32_t stamp, double siemens) {
  const struct slots *s = &sparse->slots[stamp];

  if (s->aa != PL_NO_ROW)
    sparse->value[s->aa] += siemens;
  if (s->bb != PL_NO_ROW)
    sparse->value[s->bb] += siemens;
  if (s->ab != PL_NO_ROW) {
    sparse->value[s->ab] -= siemens;
    sparse->value[s->ba] -= siemens;
  }
}

void pl_sparse_hold(struct pl_sparse *sparse, uint32_t row, double siemens) {
  sparse->value[sparse->diagonal[row]] += siemens;
}

void pl_sparse_aim(struct pl_sparse *sparse, uint32_t stamp, uint32_t row) {
  sparse->slots[stamp] = (struct slots){row == PL_NO_ROW ? PL_NO_ROW : sparse->diagonal[row],
                                        PL_NO_ROW,
                                        PL_NO_ROW,
                                        PL_NO_ROW};
}

void pl_sparse_pin(struct pl_sparse *sparse, uint32_t row) {
  sparse->value[sparse->diagonal[row]] = 1;
}

static klu_symbolic *analyse(struct pl_sparse *sparse) {
  int n = (int)sparse->n;
  int *column = (int *)(sparse->scratch + pl_order_words(sparse->n, sparse->entries));
  int *row = column + n + 1;
  int *left = row + sparse->entries;
  struct pl_order order;

  pl_order_init(&order, sparse->n, sparse->entries, sparse->column, sparse->row, sparse->scratch);
  pl_order_chains(&order);
  uint32_t rest = pl_order_remainder(&order, column, row, left);
  if (rest > 0) {
    klu_symbolic *of_rest = klu_analyze((int)rest, column, row, &sparse->common);
    if (of_rest == NULL)
      return NULL;
    for (uint32_t k = 0; k < rest; k++)
      order.order[order.done + k] = left[of_rest->Q[k]];
    klu_free_symbolic(&of_rest, &sparse->common);
  }
  return klu_analyze_given(n,
                           sparse->column,
                           sparse->row,
                           order.order,
                           order.order,
                           &sparse->common);
}

static enum pl_sparse_status why(const struct pl_sparse *sparse, uint32_t *row) {
  int bad = sparse->common.singular_col;

  if (sparse->common.status == KLU_OUT_OF_MEMORY)
    return PL_SPARSE_NO_MEMORY;
  if (sparse->common.status == KLU_TOO_LARGE)
    return PL_SPARSE_NO_MEMORY;
  if (bad >= 0 && (uint32_t)bad < sparse->n)
    *row = (uint32_t)bad;
  return PL_SPARSE_SINGULAR;
}

enum pl_sparse_status pl_sparse_factor(struct pl_sparse *sparse, uint32_t *row) {
  klu_common *common = &sparse->common;
  bool good = false;

  *row = PL_NO_ROW;
  if (sparse->n == 0)
    return PL_SPARSE_GOOD;
  if (sparse->symbolic == NULL) {
    sparse->symbolic = analyse(sparse);
    if (sparse->symbolic == NULL)
      return why(sparse, row);
  }
  if (sparse->numeric != NULL) {
    good = klu_refactor(sparse->column,
                        sparse->row,
                        sparse->value,
                        sparse->symbolic,
                        sparse->numeric,
                        common) &&
           common->status == KLU_OK;
    if (!good)
      klu_free_numeric(&sparse->numeric, common); /* other pivots may do: start afresh */
  }
  if (!good) {
    sparse->numeric =
        klu_factor(sparse->column, sparse->row, sparse->value, sparse->symbolic, common);
    if (sparse->numeric == NULL || common->status != KLU_OK)
      return why(sparse, row);
  }
  common->singular_col = -1;
  if (!klu_rcond(sparse->symbolic, sparse->numeric, common) || !(common->rcond >= least_rcond))
    return why(sparse, row);
  return PL_SPARSE_GOOD;
}

bool pl_sparse_solve(struct pl_sparse *sparse, double *x) {
  if (sparse->n == 0)
    return true;
  return klu_solve(sparse->symbolic, sparse->numeric, (int)sparse->n, 1, x, &sparse->common) != 0;
}

bool pl_sparse_solve_many(struct pl_sparse *sparse, uint32_t count, double *x) {
  if (sparse->n == 0 || count == 0)
    return true;
  return klu_solve(sparse->symbolic,
                   sparse->numeric,
                   (int)sparse->n,
                   (int)count,
                   x,
                   &sparse->common) != 0;
}
