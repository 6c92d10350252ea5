/* Columns: cells that a wire joins are put one under the other where no other such pair stands in
 * the way, so that wires run straight; what is joined moves as one block.  Takes the order within
 * the ranks as settled.
 *
 * In each channel the links that become straight are the heaviest set without crossings: a heaviest
 * rising sequence, by the square of the links.  Aligned cells are blocks, as in Brandes and Koepf
 * (2002); blocks get the leftmost column by the longest way, then some rounds move each towards the
 * median column of what it leads to, as far as its neighbours leave room. */
#include <math.h>
#include <stdlib.h>

#include "circuit/page_inner.h"

#define NONE UINT32_MAX

static uint32_t root_of(uint32_t *block, uint32_t cell) {
  while (block[cell] != cell)
    cell = block[cell] = block[block[cell]];
  return cell;
}

struct pair {
  uint32_t above, below, link;
  double weight;
};

static int by_above(const void *left, const void *right) {
  const struct pair *a = left;
  const struct pair *b = right;
  if (a->above < b->above)
    return -1;
  return a->above > b->above;
}

/* Of the links of one channel that could be straight, the heaviest set without crossings becomes
 * straight. */
static void align_channel(struct pl_page *page, uint32_t channel, uint32_t *block) {
  uint32_t n = 0;
  uint32_t count = page->links.n;
  struct pair *pairs = PL_NEW_ARRAY(page->arena, struct pair, (size_t)count + 1);
  for (uint32_t i = 0; i < count; i++) {
    const struct pl_link *link = &page->links.at[i];
    if (link->channel != channel)
      continue;
    if (link->tie[0].from_above == link->tie[1].from_above)
      continue;
    int above = 1;
    if (link->tie[0].from_above)
      above = 0;
    const struct pl_tie *upper = &link->tie[above];
    const struct pl_tie *lower = &link->tie[!above];
    bool inner = upper->spot == NONE && lower->spot == NONE;
    struct pair *pair = &pairs[n++];
    pair->above = page->cells.at[upper->cell].place;
    pair->below = page->cells.at[lower->cell].place;
    pair->link = i;
    pair->weight = inner ? 3 : 2;
  }
  qsort(pairs, n, sizeof *pairs, by_above);
  double *best = PL_NEW_ARRAY(page->arena, double, (size_t)n + 1);
  double top = 0;
  uint32_t *before = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 1);
  uint32_t last = NONE;
  for (uint32_t i = 0; i < n; i++) {
    best[i] = pairs[i].weight;
    before[i] = NONE;
    for (uint32_t k = 0; k < i; k++) {
      double weight = best[k] + pairs[i].weight;
      bool crosses = pairs[k].below >= pairs[i].below;
      if (crosses || weight <= best[i])
        continue;
      best[i] = weight;
      before[i] = k;
    }
    if (best[i] > top) {
      top = best[i];
      last = i;
    }
  }
  for (; last != NONE; last = before[last]) {
    const struct pl_link *link = &page->links.at[pairs[last].link];
    uint32_t a = root_of(block, link->tie[0].cell);
    uint32_t b = root_of(block, link->tie[1].cell);
    uint32_t first = a < b ? a : b;
    uint32_t second = a < b ? b : a;
    block[second] = first;
  }
}

struct rank_cells {
  uint32_t *at;
  uint32_t n;
};

/* Leftmost columns in which neighbours of a rank stay apart and blocks stay straight. */
static uint32_t *block_columns(const struct pl_page *page,
                               const struct rank_cells *ranks,
                               uint32_t *block,
                               uint32_t **turn,
                               uint32_t *turn_count) {
  uint32_t n = page->cells.n;
  uint32_t *column = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 1);
  uint32_t *waits = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 1);
  PL_VEC(uint32_t) *next = pl_arena_alloc(page->arena, (size_t)n + 1, sizeof *next);
  for (uint32_t r = 0; r < page->row_count; r++)
    for (uint32_t i = 0; i + 1 < ranks[r].n; i++) {
      uint32_t a = root_of(block, ranks[r].at[i]);
      uint32_t b = root_of(block, ranks[r].at[i + 1]);
      PL_PUSH(page->arena, &next[a], b);
      waits[b]++;
    }
  uint32_t *queue = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 1);
  uint32_t head = 0;
  uint32_t tail = 0;
  for (uint32_t i = 0; i < n; i++) {
    if (root_of(block, i) != i)
      continue;
    if (waits[i] != 0)
      continue;
    queue[tail++] = i;
  }
  for (; head < tail; head++) {
    uint32_t from = queue[head];
    uint32_t least = column[from] + 1;
    for (uint32_t k = 0; k < next[from].n; k++) {
      uint32_t to = next[from].at[k];
      if (column[to] < least)
        column[to] = least;
      waits[to]--;
      if (waits[to] == 0)
        queue[tail++] = to;
    }
  }
  *turn = queue;
  *turn_count = tail;
  return column;
}

static int by_value(const void *left, const void *right) {
  double a = *(const double *)left;
  double b = *(const double *)right;
  return a < b ? -1 : a > b;
}

/* Moves blocks within their room towards what they lead to. */
static void relax(struct pl_page *page,
                  const struct rank_cells *ranks,
                  uint32_t *block,
                  uint32_t *column,
                  const uint32_t *turn,
                  uint32_t turns) {
  uint32_t n = page->cells.n;
  uint32_t most = 0;
  PL_VEC(uint32_t) *members = pl_arena_alloc(page->arena, (size_t)n + 1, sizeof *members),
                   *links = pl_arena_alloc(page->arena, (size_t)n + 1, sizeof *links);
  for (uint32_t i = 0; i < n; i++) {
    uint32_t root = root_of(block, i);
    PL_PUSH(page->arena, &members[root], i);
    if (column[root] > most)
      most = column[root];
  }
  for (uint32_t l = 0; l < page->links.n; l++) {
    uint32_t a = root_of(block, page->links.at[l].tie[0].cell);
    uint32_t b = root_of(block, page->links.at[l].tie[1].cell);
    if (a == b)
      continue;
    PL_PUSH(page->arena, &links[a], b);
    PL_PUSH(page->arena, &links[b], a);
  }
  double *wants = PL_NEW_ARRAY(page->arena, double, (size_t)page->links.n * 2 + 1);
  for (int round = 0; round < 8; round++)
    for (uint32_t t = 0; t < turns; t++) {
      uint32_t root;
      if (round % 2 == 0)
        root = turn[turns - 1 - t];
      else
        root = turn[t];
      uint32_t low = 0;
      uint32_t high = most;
      if (links[root].n == 0)
        continue;
      for (uint32_t m = 0; m < members[root].n; m++) {
        const struct pl_cell *cell = &page->cells.at[members[root].at[m]];
        const struct rank_cells *rank = &ranks[cell->rank];
        if (cell->place > 0) {
          uint32_t left = column[root_of(block, rank->at[cell->place - 1])] + 1;
          if (left > low)
            low = left;
        }
        if (cell->place + 1 < rank->n) {
          uint32_t right = column[root_of(block, rank->at[cell->place + 1])] - 1;
          if (right < high)
            high = right;
        }
      }
      for (uint32_t k = 0; k < links[root].n; k++)
        wants[k] = column[links[root].at[k]];
      qsort(wants, links[root].n, sizeof *wants, by_value);
      uint32_t want = (uint32_t)wants[(links[root].n - 1) / 2];
      if (want < low)
        column[root] = low;
      else if (want > high)
        column[root] = high;
      else
        column[root] = want;
    }
}

void pl_order_columns(struct pl_page *page) {
  uint32_t n = page->cells.n;
  uint32_t *block = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 1);
  struct rank_cells *ranks =
      PL_NEW_ARRAY(page->arena, struct rank_cells, (size_t)page->row_count + 1);
  for (uint32_t r = 0; r < page->row_count; r++)
    ranks[r].at = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 1);
  for (uint32_t i = 0; i < n; i++) {
    block[i] = i;
    ranks[page->cells.at[i].rank].at[page->cells.at[i].place] = i;
    ranks[page->cells.at[i].rank].n++;
  }
  for (uint32_t c = 0; c <= page->row_count; c++)
    align_channel(page, c, block);
  uint32_t *turn;
  uint32_t turns;
  uint32_t *column = block_columns(page, ranks, block, &turn, &turns);
  relax(page, ranks, block, column, turn, turns);
  uint32_t *used = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 2);
  for (uint32_t i = 0; i < n; i++)
    used[column[root_of(block, i)]] = 1;
  uint32_t count = 0;
  for (uint32_t c = 0; c <= n; c++) {
    uint32_t mine = count;
    if (used[c] != 0)
      mine = count++;
    used[c] = mine;
  }
  for (uint32_t i = 0; i < n; i++)
    page->cells.at[i].column = used[column[root_of(block, i)]];
  page->column_count = count;
  for (uint32_t r = 0; r < page->row_count; r++)
    for (uint32_t i = 0; i < ranks[r].n; i++)
      PL_PUSH(page->arena, &page->rows[r].cells, ranks[r].at[i]);
}
