/* Elimination of chains and trees on the graph alone: the minimum degree order (Tinney and Walker,
 * "Direct solutions of sparse network equations by optimally ordered triangular factorization",
 * 1967) for as long as the degree is two or less, where it costs no search: every unknown is taken
 * once, in time linear in the number of entries, and nothing fills in.  Each entry knows the one
 * that leads back, so that an unknown between two others is taken out without a search through
 * their entries: a ground stud has thousands. */
#include "network/elimination_inner.h"

#include <stdbool.h>

size_t pl_order_words(uint32_t n, uint32_t entries) {
  return 2 * (size_t)entries + 3 * (size_t)n;
}

/* Rows below the diagonal come up in the order of the columns, so each column's next entry above
 * its diagonal is the other half. */
static void pair(struct pl_order *order) {
  uint32_t *next = order->stack;

  for (uint32_t i = 0; i < order->n; i++)
    next[i] = (uint32_t)order->column[i];
  for (uint32_t j = 0; j < order->n; j++)
    for (uint32_t e = (uint32_t)order->column[j]; e < (uint32_t)order->column[j + 1]; e++) {
      uint32_t i = (uint32_t)order->row[e];
      if (i == j)
        order->to[e] = PL_ORDER_GONE;
      else
        order->to[e] = i;
      if (i <= j)
        continue;
      order->twin[e] = next[i]++;
      order->twin[order->twin[e]] = e;
    }
}

void pl_order_init(struct pl_order *order,
                   uint32_t n,
                   uint32_t entries,
                   const int *column,
                   const int *row,
                   uint32_t *memory) {
  *order = (struct pl_order){.n = n,
                             .column = column,
                             .row = row,
                             .to = memory,
                             .twin = memory + entries,
                             .degree = memory + 2 * (size_t)entries};
  order->stack = order->degree + n;
  order->order = (int *)(order->stack + n);
  pair(order);
  for (uint32_t i = 0; i < n; i++)
    order->degree[i] = (uint32_t)(column[i + 1] - column[i]) - 1;
}

/* The unknown at the other side of an entry has one less. */
static void drop(struct pl_order *order, uint32_t entry, uint32_t *waiting) {
  uint32_t other = order->to[entry];

  order->to[order->twin[entry]] = PL_ORDER_GONE;
  if (--order->degree[other] == 2)
    order->stack[(*waiting)++] = other;
}

/* The two that an unknown stood between are neighbours. */
static void join(struct pl_order *order, uint32_t entry, uint32_t other_entry) {
  uint32_t back = order->twin[entry];
  uint32_t other_back = order->twin[other_entry];

  order->to[back] = order->to[other_entry];
  order->to[other_back] = order->to[entry];
  order->twin[back] = other_back;
  order->twin[other_back] = back;
}

static void eliminate(struct pl_order *order, uint32_t unknown, uint32_t *waiting) {
  uint32_t found[2];
  uint32_t n = 0;

  for (uint32_t e = (uint32_t)order->column[unknown]; n < order->degree[unknown]; e++)
    if (order->to[e] != PL_ORDER_GONE)
      found[n++] = e;
  order->degree[unknown] = PL_ORDER_GONE;
  order->order[order->done++] = (int)unknown;
  if (n == 2 && order->to[found[0]] != order->to[found[1]])
    join(order, found[0], found[1]);
  else
    for (uint32_t i = 0; i < n; i++)
      drop(order, found[i], waiting);
}

void pl_order_chains(struct pl_order *order) {
  uint32_t waiting = 0;

  for (uint32_t i = 0; i < order->n; i++) {
    if (order->degree[i] > 2)
      continue;
    order->stack[waiting++] = i;
    while (waiting > 0) {
      uint32_t unknown = order->stack[--waiting];
      if (order->degree[unknown] != PL_ORDER_GONE)
        eliminate(order, unknown, &waiting);
    }
  }
}

uint32_t pl_order_remainder(const struct pl_order *order, int *column, int *row, int *left) {
  uint32_t *number = order->stack;
  uint32_t rest = 0;
  uint32_t used = 0;
  int *seen = order->order + order->done; /* the places still to be given: by number, the last
                                             column that it was entered in */

  for (uint32_t i = 0; i < order->n; i++)
    if (order->degree[i] != PL_ORDER_GONE) {
      seen[rest] = -1;
      left[rest] = (int)i;
      number[i] = rest++;
    }
  for (uint32_t j = 0; j < rest; j++) {
    uint32_t unknown = (uint32_t)left[j];
    column[j] = (int)used;
    seen[j] = (int)j;
    row[used++] = (int)j;
    for (uint32_t e = (uint32_t)order->column[unknown]; e < (uint32_t)order->column[unknown + 1];
         e++) {
      uint32_t i;
      if (order->to[e] == PL_ORDER_GONE)
        i = j;
      else
        i = number[order->to[e]];
      if (seen[i] == (int)j)
        continue;
      seen[i] = (int)j;
      row[used++] = (int)i;
    }
  }
  column[rest] = (int)used;
  return rest;
}
