/* Cells and links: a symbol takes as many neighbouring cells as it has wires on one side, a passing
 * wire takes one in every rank it passes; a link is the stretch of a wire between two ranks. */
#include "circuit/page_inner.h"

#define NONE UINT32_MAX

static uint32_t new_cell(struct pl_page *page, uint32_t part, uint32_t edge, uint32_t rank) {
  struct pl_cell cell = {.part = part, .edge = edge, .rank = rank, .up = NONE, .down = NONE};
  PL_PUSH(page->arena, &page->cells, cell);
  return page->cells.n - 1;
}

void pl_cells_number_spots(struct pl_page *page, struct pl_part *part) {
  for (uint32_t i = 0; i < part->tops.n; i++)
    page->spots.at[part->tops.at[i]].cell = part->first_cell + i;
  for (uint32_t i = 0; i < part->bottoms.n; i++)
    page->spots.at[part->bottoms.at[i]].cell = part->first_cell + i;
}

static void make_cells(struct pl_page *page) {
  for (uint32_t i = 0; i < page->parts.n; i++) {
    struct pl_part *part = &page->parts.at[i];
    part->first_cell = page->cells.n;
    if (part->tops.n > part->bottoms.n)
      part->cell_count = part->tops.n;
    else
      part->cell_count = part->bottoms.n;
    for (uint32_t k = 0; k < part->cell_count; k++)
      new_cell(page, i, NONE, part->rank);
    pl_cells_number_spots(page, part);
  }
}

static struct pl_tie spot_tie(const struct pl_page *page, uint32_t spot) {
  return (struct pl_tie){.spot = spot, .cell = NONE, .from_above = !page->spots.at[spot].top};
}

static uint32_t spot_channel(const struct pl_page *page, uint32_t spot) {
  const struct pl_spot *one = &page->spots.at[spot];
  return page->parts.at[one->part].rank + (one->top ? 0 : 1);
}

static void make_links(struct pl_page *page) {
  for (uint32_t e = 0; e < page->edges.n; e++) {
    struct pl_edge *edge = &page->edges.at[e];
    uint32_t a = edge->spot[0];
    uint32_t b = edge->spot[1];
    if (spot_channel(page, a) > spot_channel(page, b)) {
      edge->spot[0] = b;
      edge->spot[1] = a;
      a = edge->spot[0];
      b = edge->spot[1];
      edge->label_tie = !edge->label_tie;
    }
    uint32_t from = spot_channel(page, a);
    uint32_t to = spot_channel(page, b);
    edge->first_link = page->links.n;
    struct pl_tie last = spot_tie(page, a);
    for (uint32_t c = from; c <= to; c++) {
      struct pl_link link = {.edge = e, .channel = c, .tie = {last}, .lane = NONE};
      if (c == to) {
        link.tie[1] = spot_tie(page, b);
      } else {
        uint32_t cell = new_cell(page, NONE, e, c);
        link.tie[1] = (struct pl_tie){.spot = NONE, .cell = cell, .from_above = false};
        last = (struct pl_tie){.spot = NONE, .cell = cell, .from_above = true};
      }
      PL_PUSH(page->arena, &page->links, link);
    }
    edge->link_count = page->links.n - edge->first_link;
  }
}

void pl_cells_make(struct pl_page *page) {
  make_cells(page);
  make_links(page);
}
