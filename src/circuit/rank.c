/* Ranks from supply to ground: every symbol stands below what feeds it.  Knows no millimetres.
 *
 * Layers by the longest way, the first step of drawing in layers (Sugiyama, Tagawa and Toda, 1981):
 * a depth-first walk with a stack of its own gives an order in which every part comes after what
 * feeds it; one pass in that order finds the longest way.  An edge that leads back to a part still
 * on the way closes a ring and is left out.  Cost: parts plus edges. */
#include "circuit/page_inner.h"

static bool is_end(const struct pl_part *part) {
  return part->symbol == PL_SYM_RAIL || part->symbol == PL_SYM_EARTH;
}

/* upper part first; false when the edge says nothing about ranks */
static bool edge_parts(const struct pl_page *page,
                       const struct pl_edge *edge,
                       uint32_t *upper,
                       uint32_t *lower) {
  const struct pl_spot *a = &page->spots.at[edge->spot[0]];
  const struct pl_spot *b = &page->spots.at[edge->spot[1]];
  if (a->top == b->top)
    return false;
  if (a->part == b->part)
    return false;
  if (a->top)
    *upper = b->part;
  else
    *upper = a->part;
  if (a->top)
    *lower = a->part;
  else
    *lower = b->part;
  return true;
}

struct visit {
  uint32_t part, next;
};

/* Longest way from above, without recursion; an edge that closes a ring is left out. */
static void longest_ways(struct pl_page *page) {
  uint32_t n = page->parts.n;
  uint32_t *first = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 2);
  uint32_t *list = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)page->edges.n + 1);
  for (uint32_t pass = 0; pass < 2; pass++) {
    for (uint32_t e = 0; e < page->edges.n; e++) {
      uint32_t upper, lower;
      if (!edge_parts(page, &page->edges.at[e], &upper, &lower))
        continue;
      if (pass == 0)
        first[upper + 2]++;
      else
        list[first[upper + 1]++] = lower;
    }
    if (pass == 0)
      for (uint32_t i = 2; i < n + 2; i++)
        first[i] += first[i - 1];
  }
  char *state = PL_NEW_ARRAY(page->arena, char, (size_t)n + 1); /* 1 on the way, 2 done */
  bool *ring = PL_NEW_ARRAY(page->arena, bool, (size_t)page->edges.n + 1);
  uint32_t *done = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 1);
  uint32_t done_count = 0;
  struct visit *stack = PL_NEW_ARRAY(page->arena, struct visit, (size_t)n + 1);
  for (uint32_t start = 0; start < n; start++) {
    if (state[start] != 0)
      continue;
    uint32_t depth = 0;
    stack[depth++] = (struct visit){start, first[start]};
    state[start] = 1;
    while (depth > 0) {
      struct visit *top = &stack[depth - 1];
      if (top->next == first[top->part + 1]) {
        state[top->part] = 2;
        done[done_count++] = top->part;
        depth--;
        continue;
      }
      uint32_t edge = top->next++;
      uint32_t to = list[edge];
      if (state[to] == 1)
        ring[edge] = true;
      else if (state[to] == 0) {
        state[to] = 1;
        stack[depth++] = (struct visit){to, first[to]};
      }
    }
  }
  for (uint32_t i = done_count; i-- > 0;) {
    uint32_t part = done[i];
    uint32_t rank = page->parts.at[part].rank;
    for (uint32_t k = first[part]; k < first[part + 1]; k++) {
      struct pl_part *to = &page->parts.at[list[k]];
      if (!ring[k] && to->rank < rank + 1)
        to->rank = rank + 1;
    }
  }
}

/* References that stand above what they feed come down to it. */
static void settle_references(struct pl_page *page) {
  for (uint32_t e = 0; e < page->edges.n; e++) {
    uint32_t upper, lower;
    if (!edge_parts(page, &page->edges.at[e], &upper, &lower))
      continue;
    struct pl_part *part = &page->parts.at[upper];
    if ((part->symbol == PL_SYM_REFERENCE || part->symbol == PL_SYM_AIR) &&
        page->parts.at[lower].rank > 0)
      part->rank = page->parts.at[lower].rank - 1;
  }
}

void pl_order_ranks(struct pl_page *page) {
  for (uint32_t i = 0; i < page->parts.n; i++)
    page->parts.at[i].rank = is_end(&page->parts.at[i]) ? 0 : 1;
  longest_ways(page);
  settle_references(page);
  uint32_t last = 0;
  for (uint32_t i = 0; i < page->parts.n; i++) {
    const struct pl_part *part = &page->parts.at[i];
    if (part->symbol != PL_SYM_EARTH && part->rank > last)
      last = part->rank;
  }
  for (uint32_t i = 0; i < page->parts.n; i++) {
    struct pl_part *part = &page->parts.at[i];
    if (part->symbol == PL_SYM_EARTH)
      part->rank = last + 1;
    if (part->symbol == PL_SYM_RAIL)
      part->rank = 0;
  }
  page->row_count = last + 2;
}
