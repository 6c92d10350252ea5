/* The order of elimination against elimination itself on a small table of neighbours. */
#include "network_kit.h"

#include "network/elimination_inner.h"

enum {
  MOST = 40,
  ENTRIES = MOST * MOST
};

struct graph {
  uint32_t n;
  bool joined[MOST][MOST];
};

static uint32_t next(uint32_t *seed) {
  return *seed = *seed * 1664525u + 1013904223u;
}

/* Chains, a tree or a star, with a few chords: what harnesses are made of. */
static struct graph draw(uint32_t *seed) {
  struct graph g = {.n = 1 + (next(seed) >> 16) % MOST};
  uint32_t kind = next(seed) >> 30;
  uint32_t chords;
  if (kind == 3)
    chords = g.n;
  else
    chords = (next(seed) >> 16) % 4;
  for (uint32_t i = 1; i < g.n; i++) {
    uint32_t other;
    if (kind == 0)
      other = i - 1;
    else if (kind == 1)
      other = 0;
    else
      other = (next(seed) >> 16) % i;
    if ((next(seed) >> 16) % 16 == 0)
      continue; /* some hang alone */
    g.joined[i][other] = g.joined[other][i] = true;
  }
  for (uint32_t c = 0; c < chords; c++) {
    uint32_t a = (next(seed) >> 16) % g.n;
    uint32_t b = (next(seed) >> 16) % g.n;
    if (a != b)
      g.joined[a][b] = g.joined[b][a] = true;
  }
  return g;
}

static uint32_t compress(const struct graph *g, int *column, int *row) {
  uint32_t used = 0;
  for (uint32_t j = 0; j < g->n; j++) {
    column[j] = (int)used;
    for (uint32_t i = 0; i < g->n; i++)
      if (i == j || g->joined[i][j])
        row[used++] = (int)i;
  }
  column[g->n] = (int)used;
  return used;
}

/* Takes an unknown out, its neighbours become neighbours; returns how many it had. */
static uint32_t take_out(struct graph *g, uint32_t unknown) {
  uint32_t neighbours[MOST];
  uint32_t count = 0;
  for (uint32_t i = 0; i < g->n; i++) {
    if (!g->joined[unknown][i])
      continue;
    g->joined[unknown][i] = g->joined[i][unknown] = false;
    neighbours[count++] = i;
  }
  for (uint32_t a = 0; a < count; a++)
    for (uint32_t b = 0; b < count; b++)
      g->joined[neighbours[a]][neighbours[b]] |= a != b;
  return count;
}

static void hold_to(struct graph *g) {
  static int column[MOST + 1], row[ENTRIES], rest_column[MOST + 1], rest_row[ENTRIES], left[MOST];
  static uint32_t memory[2 * ENTRIES + 3 * MOST];
  bool out[MOST] = {false};
  uint32_t entries = compress(g, column, row);
  struct pl_order order;
  CU_ASSERT_FATAL(pl_order_words(g->n, entries) <= sizeof memory / sizeof *memory);
  pl_order_init(&order, g->n, entries, column, row, memory);
  pl_order_chains(&order);
  for (uint32_t k = 0; k < order.done; k++) {
    uint32_t unknown = (uint32_t)order.order[k];
    CU_ASSERT_FATAL(unknown < g->n && !out[unknown]);
    out[unknown] = true;
    CU_ASSERT(take_out(g, unknown) <= 2);
  }
  uint32_t rest = pl_order_remainder(&order, rest_column, rest_row, left);
  CU_ASSERT_EQUAL_FATAL(rest, g->n - order.done);
  for (uint32_t j = 0; j < rest; j++) {
    bool seen[MOST] = {false};
    uint32_t unknown = (uint32_t)left[j];
    uint32_t neighbours = 1;
    CU_ASSERT_FATAL(!out[unknown] && (j == 0 || left[j - 1] < left[j]));
    for (uint32_t i = 0; i < g->n; i++)
      neighbours += g->joined[unknown][i];
    CU_ASSERT_EQUAL((uint32_t)(rest_column[j + 1] - rest_column[j]), neighbours);
    for (int e = rest_column[j]; e < rest_column[j + 1]; e++) {
      uint32_t other = (uint32_t)left[rest_row[e]];
      CU_ASSERT(!seen[other] && (other == unknown || g->joined[unknown][other]));
      seen[other] = true;
    }
  }
}

static void random_graphs(void) {
  uint32_t seed = 7;
  for (int i = 0; i < 2000; i++) {
    struct graph g = draw(&seed);
    hold_to(&g);
  }
}

static uint32_t left_of(const struct graph *g) {
  int column[MOST + 1], row[ENTRIES];
  static uint32_t memory[2 * ENTRIES + 3 * MOST];
  struct pl_order order;
  pl_order_init(&order, g->n, compress(g, column, row), column, row, memory);
  pl_order_chains(&order);
  return g->n - order.done;
}

static void join(struct graph *g, uint32_t a, uint32_t b) {
  g->joined[a][b] = g->joined[b][a] = true;
}

/* A chain, a ring, a star and a ladder of any length come apart altogether; four that all know each
 * other do not. */
static void what_comes_apart(void) {
  struct graph chain = {.n = MOST};
  struct graph ring;
  struct graph star = {.n = MOST};
  struct graph ladder = {.n = MOST};
  struct graph four = {.n = 4};
  for (uint32_t i = 1; i < MOST; i++) {
    join(&chain, i - 1, i);
    join(&star, 0, i);
    if (i >= 2)
      join(&ladder, i - 2, i);
    if (i % 2 == 1)
      join(&ladder, i - 1, i);
  }
  ring = chain;
  join(&ring, 0, MOST - 1);
  for (uint32_t i = 0; i < 4; i++)
    for (uint32_t k = 0; k < i; k++)
      join(&four, i, k);
  CU_ASSERT_EQUAL(left_of(&chain), 0);
  CU_ASSERT_EQUAL(left_of(&ring), 0);
  CU_ASSERT_EQUAL(left_of(&star), 0);
  CU_ASSERT_EQUAL(left_of(&four), 4);
  CU_ASSERT(left_of(&ladder) < MOST);
}

CU_TestInfo network_order_tests[] = {{"2,000 random graphs", random_graphs},
                                     {"what comes apart", what_comes_apart},
                                     CU_TEST_INFO_NULL};
