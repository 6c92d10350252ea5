/* The order within each rank, with few crossings.  Works on cells (cells.c).  Knows no millimetres.
 *
 * The least number of crossings is out of reach (NP-hard: Garey and Johnson, 1983), so: sweeps down
 * and up in which each slot goes to the mean place of what it is joined to (barycentres: Sugiyama,
 * Tagawa and Toda, 1981), the best order kept; then sifting (each slot is tried in every place of
 * its rank: Matuszewski, Schoenfeld and Molitor, 1999) and exchanges of neighbouring pins; small
 * pages also from other starts.  A sweep costs about links times log links; counting the crossings
 * of a channel the square of its links, which is why sifting is for small pages. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "circuit/page_inner.h"

#define NONE UINT32_MAX
/* Cells of a page that is improved place by place, and of one that is also tried from other starts:
 * more takes long. */
enum {
  MOST_IMPROVED = 160,
  MOST_STARTS = 90,
  STARTS = 8
};

static uint32_t tie_cell(const struct pl_page *page, const struct pl_tie *tie) {
  if (tie->spot == NONE)
    return tie->cell;
  return page->spots.at[tie->spot].cell;
}

/* ---- order within ranks ---- */

/* A slot is a part or, with the top bit, the cell of a passing wire. */
#define PASSING 0x80000000u

struct order {
  struct pl_page *page;
  struct {
    uint32_t *at;
    uint32_t n;
  } * ranks;
  uint32_t *spot_link; /* by spot */
  PL_VEC(uint32_t) * channel_links;
};

struct key {
  double weight;
  uint32_t turn, value;
};

static int by_weight(const void *left, const void *right) {
  const struct key *a = left;
  const struct key *b = right;
  if (a->weight < b->weight)
    return -1;
  if (a->weight > b->weight)
    return 1;
  if (a->turn < b->turn)
    return -1;
  return a->turn > b->turn;
}

static void number_places(struct order *order, uint32_t rank) {
  struct pl_page *page = order->page;
  uint32_t place = 0;
  for (uint32_t i = 0; i < order->ranks[rank].n; i++) {
    uint32_t slot = order->ranks[rank].at[i];
    if ((slot & PASSING) != 0) {
      page->cells.at[slot & ~PASSING].place = place++;
      continue;
    }
    const struct pl_part *part = &page->parts.at[slot];
    for (uint32_t k = 0; k < part->cell_count; k++)
      page->cells.at[part->first_cell + k].place = place++;
  }
}

static double tie_place(const struct order *order, const struct pl_tie *tie) {
  return order->page->cells.at[tie_cell(order->page, tie)].place;
}

static double far_place(const struct order *order, uint32_t link, uint32_t spot) {
  const struct pl_link *one = &order->page->links.at[link];
  return tie_place(order, &one->tie[one->tie[0].spot == spot ? 1 : 0]);
}

/* Mean place of what hangs on the slot's side(s); its own place when nothing does. */
static double
slot_weight(const struct order *order, uint32_t slot, bool up, bool down, double own) {
  const struct pl_page *page = order->page;
  double sum = 0;
  uint32_t n = 0;
  if ((slot & PASSING) != 0) {
    const struct pl_cell *cell = &page->cells.at[slot & ~PASSING];
    uint32_t links[2] = {up ? cell->up : NONE, down ? cell->down : NONE};
    for (int i = 0; i < 2; i++) {
      if (links[i] == NONE)
        continue;
      const struct pl_link *link = &page->links.at[links[i]];
      bool mine = link->tie[0].spot == NONE && link->tie[0].cell == (slot & ~PASSING);
      sum += tie_place(order, &link->tie[mine ? 1 : 0]);
      n++;
    }
    return n == 0 ? own : sum / n;
  }
  const struct pl_part *part = &page->parts.at[slot];
  for (int side = 0; side < 2; side++) {
    if (side == 0 ? !up : !down)
      continue;
    uint32_t count = side == 0 ? part->tops.n : part->bottoms.n;
    const uint32_t *spots = side == 0 ? part->tops.at : part->bottoms.at;
    for (uint32_t i = 0; i < count; i++) {
      if (order->spot_link[spots[i]] == NONE)
        continue;
      sum += far_place(order, order->spot_link[spots[i]], spots[i]) - i;
      n++;
    }
  }
  return n == 0 ? own : sum / n;
}

/* Orders one side of a part by what its spots lead to; spots of one pin stay together. */
static void order_side(struct order *order, uint32_t *spots, uint32_t n) {
  struct key *keys = PL_NEW_ARRAY(order->page->arena, struct key, (size_t)n + 1);
  for (uint32_t i = 0; i < n; i++) {
    double pin_sum = 0;
    uint32_t pin_count = 0;
    pl_id pin = order->page->spots.at[spots[i]].pin;
    for (uint32_t k = 0; k < n; k++) {
      if (order->page->spots.at[spots[k]].pin != pin)
        continue;
      if (order->spot_link[spots[k]] == NONE)
        continue;
      pin_sum += far_place(order, order->spot_link[spots[k]], spots[k]);
      pin_count++;
    }
    keys[i] = (struct key){pin_count == 0 ? i : pin_sum / pin_count, i, spots[i]};
  }
  qsort(keys, n, sizeof *keys, by_weight);
  for (uint32_t i = 0; i < n;) { /* within a pin */
    uint32_t k = i;
    pl_id pin = order->page->spots.at[keys[i].value].pin;
    for (; k < n && order->page->spots.at[keys[k].value].pin == pin; k++)
      if (order->spot_link[keys[k].value] != NONE)
        keys[k].weight = far_place(order, order->spot_link[keys[k].value], keys[k].value);
    qsort(keys + i, k - i, sizeof *keys, by_weight);
    i = k;
  }
  bool together = true; /* two pins of the same mean may have been mixed */
  for (uint32_t i = 0; i + 1 < n && together; i++)
    for (uint32_t k = i + 2; k < n; k++) {
      if (order->page->spots.at[keys[k].value].pin != order->page->spots.at[keys[i].value].pin)
        continue;
      if (order->page->spots.at[keys[k - 1].value].pin == order->page->spots.at[keys[i].value].pin)
        continue;
      together = false;
    }
  if (!together)
    return;
  for (uint32_t i = 0; i < n; i++)
    spots[i] = keys[i].value;
}

static void order_rank(struct order *order, uint32_t rank, bool up, bool down) {
  uint32_t n = order->ranks[rank].n;
  uint32_t *slots = order->ranks[rank].at;
  struct key *keys = PL_NEW_ARRAY(order->page->arena, struct key, (size_t)n + 1);
  for (uint32_t i = 0; i < n; i++) {
    uint32_t cell;
    if ((slots[i] & PASSING) != 0)
      cell = slots[i] & ~PASSING;
    else
      cell = order->page->parts.at[slots[i]].first_cell;
    keys[i] =
        (struct key){slot_weight(order, slots[i], up, down, order->page->cells.at[cell].place),
                     i,
                     slots[i]};
  }
  qsort(keys, n, sizeof *keys, by_weight);
  for (uint32_t i = 0; i < n; i++) {
    slots[i] = keys[i].value;
    if ((slots[i] & PASSING) != 0)
      continue;
    struct pl_part *part = &order->page->parts.at[slots[i]];
    if (up)
      order_side(order, part->tops.at, part->tops.n);
    if (down)
      order_side(order, part->bottoms.at, part->bottoms.n);
    pl_cells_number_spots(order->page, part);
  }
  number_places(order, rank);
}

/* A link as its channel sees it: from the place at the upper edge to that at the lower, or, when
 * both ends are on one edge, a turn from one place to the other. */
struct stretch {
  double upper, lower;
  bool turns, above; /* a turn: at the upper edge */
};

static struct stretch stretch_of(const struct order *order, uint32_t link) {
  const struct pl_tie *tie = order->page->links.at[link].tie;
  double first = tie_place(order, &tie[0]);
  double second = tie_place(order, &tie[1]);
  struct stretch stretch = {.turns = tie[0].from_above == tie[1].from_above,
                            .above = tie[0].from_above};
  bool upside_down = !stretch.turns && !tie[0].from_above;
  stretch.upper = upside_down ? second : first;
  stretch.lower = upside_down ? first : second;
  return stretch;
}

static bool turns_cross(const struct stretch *a, const struct stretch *b) {
  if (a->above != b->above)
    return false;
  double a_left = fmin(a->upper, a->lower);
  double a_right = fmax(a->upper, a->lower);
  double b_left = fmin(b->upper, b->lower);
  double b_right = fmax(b->upper, b->lower);
  bool a_first = a_left < b_left && b_left < a_right && a_right < b_right;
  bool b_first = b_left < a_left && a_left < b_right && b_right < a_right;
  return a_first || b_first;
}

static bool turn_crosses(const struct stretch *turn, const struct stretch *other) {
  double left = fmin(turn->upper, turn->lower);
  double right = fmax(turn->upper, turn->lower);
  double place = turn->above ? other->upper : other->lower;
  return left < place && place < right;
}

static bool stretches_cross(const struct stretch *a, const struct stretch *b) {
  if (a->turns && b->turns)
    return turns_cross(a, b);
  if (a->turns)
    return turn_crosses(a, b);
  if (b->turns)
    return turn_crosses(b, a);
  return (a->upper - b->upper) * (a->lower - b->lower) < 0;
}

/* Crossings in one channel, with a little for length. */
static double channel_cost(const struct order *order, uint32_t channel) {
  const uint32_t *links = order->channel_links[channel].at;
  uint32_t n = order->channel_links[channel].n;
  double cost = 0;
  for (uint32_t i = 0; i < n; i++) {
    struct stretch a = stretch_of(order, links[i]);
    cost += fabs(a.lower - a.upper) * 0.01;
    for (uint32_t k = i + 1; k < n; k++) {
      struct stretch b = stretch_of(order, links[k]);
      cost += stretches_cross(&a, &b);
    }
  }
  return cost;
}

static double total_cost(const struct order *order) {
  double cost = 0;
  for (uint32_t c = 0; c <= order->page->row_count; c++)
    cost += channel_cost(order, c);
  return cost;
}

struct saved {
  uint32_t *slots, *spots;
};

static void keep(const struct order *order, struct saved *saved, bool back) {
  uint32_t slot = 0;
  uint32_t spot = 0;
  for (uint32_t r = 0; r < order->page->row_count; r++)
    for (uint32_t i = 0; i < order->ranks[r].n; i++, slot++) {
      if (back)
        order->ranks[r].at[i] = saved->slots[slot];
      else
        saved->slots[slot] = order->ranks[r].at[i];
    }
  for (uint32_t p = 0; p < order->page->parts.n; p++) {
    struct pl_part *part = &order->page->parts.at[p];
    for (uint32_t i = 0; i < part->tops.n + part->bottoms.n; i++, spot++) {
      uint32_t *at;
      if (i < part->tops.n)
        at = &part->tops.at[i];
      else
        at = &part->bottoms.at[i - part->tops.n];
      if (back)
        *at = saved->spots[spot];
      else
        saved->spots[spot] = *at;
    }
    if (back)
      pl_cells_number_spots(order->page, part);
  }
  if (back)
    for (uint32_t r = 0; r < order->page->row_count; r++)
      number_places((struct order *)order, r);
}

static double near_cost(const struct order *order, uint32_t rank) {
  return channel_cost(order, rank) + channel_cost(order, rank + 1);
}

/* Moves each symbol and passing wire to the best place within its rank. */
static bool sift(struct order *order, uint32_t rank) {
  uint32_t n = order->ranks[rank].n;
  uint32_t *slots = order->ranks[rank].at;
  bool better = false;
  for (uint32_t i = 0; i < n; i++) {
    double least = near_cost(order, rank) - 1e-9;
    uint32_t best = i;
    uint32_t at = i;
    uint32_t slot = slots[i];
    for (uint32_t step = 1; step < n; step++) { /* round the rank, one place at a time */
      uint32_t next = (at + 1) % n;
      if (next == 0) {
        memmove(slots + 1, slots, (n - 1) * sizeof *slots);
      } else {
        slots[at] = slots[next];
      }
      slots[next] = slot;
      at = next;
      number_places(order, rank);
      double cost = near_cost(order, rank);
      if (cost >= least)
        continue;
      least = cost;
      best = at;
    }
    better = better || best != i;
    for (uint32_t k = at; k > best; k--)
      slots[k] = slots[k - 1];
    for (uint32_t k = at; k < best; k++)
      slots[k] = slots[k + 1];
    slots[best] = slot;
    number_places(order, rank);
  }
  return better;
}

static uint32_t place_in(const struct order *order, uint32_t rank, uint32_t slot) {
  for (uint32_t i = 0; i < order->ranks[rank].n; i++)
    if (order->ranks[rank].at[i] == slot)
      return i;
  return NONE;
}

/* Two wires change places in every rank that both pass; done again it is undone. */
static void swap_ways(struct order *order, uint32_t a, uint32_t b) {
  const struct pl_page *page = order->page;
  if (a == NONE || b == NONE)
    return;
  if (a == b)
    return;
  const struct pl_edge *one = &page->edges.at[a];
  const struct pl_edge *two = &page->edges.at[b];
  for (uint32_t i = 0; i + 1 < one->link_count; i++)
    for (uint32_t k = 0; k + 1 < two->link_count; k++) {
      uint32_t mine = page->links.at[one->first_link + i].tie[1].cell;
      uint32_t rank = page->cells.at[mine].rank;
      uint32_t other = page->links.at[two->first_link + k].tie[1].cell;
      if (page->cells.at[other].rank != rank)
        continue;
      uint32_t at = place_in(order, rank, mine | PASSING);
      uint32_t there = place_in(order, rank, other | PASSING);
      if (at == NONE || there == NONE)
        continue;
      order->ranks[rank].at[at] = other | PASSING;
      order->ranks[rank].at[there] = mine | PASSING;
      number_places(order, rank);
    }
}

/* Neighbouring stretches from..middle..to of a side change places, with the ways of their first
 * wires if asked for. */
static bool try_swap(struct order *order,
                     struct pl_part *part,
                     uint32_t *spots,
                     uint32_t from,
                     uint32_t middle,
                     uint32_t to,
                     bool ways) {
  const struct pl_page *page = order->page;
  uint32_t a = page->spots.at[spots[from]].edge;
  uint32_t b = page->spots.at[spots[middle]].edge;
  uint32_t n = to - from;
  uint32_t *kept = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)n + 1);
  double before = ways ? total_cost(order) : near_cost(order, part->rank);
  memcpy(kept, spots + from, n * sizeof *spots);
  memcpy(spots + from, kept + (middle - from), (to - middle) * sizeof *spots);
  memcpy(spots + from + (to - middle), kept, (middle - from) * sizeof *spots);
  pl_cells_number_spots(order->page, part);
  if (ways)
    swap_ways(order, a, b);
  if ((ways ? total_cost(order) : near_cost(order, part->rank)) < before - 1e-9)
    return true;
  if (ways)
    swap_ways(order, a, b);
  memcpy(spots + from, kept, n * sizeof *spots);
  pl_cells_number_spots(order->page, part);
  return false;
}

/* The end of the spots that share a pin with the one at `from`. */
static uint32_t
pin_end(const struct pl_page *page, const uint32_t *spots, uint32_t n, uint32_t from) {
  uint32_t end = from + 1;
  while (end < n && page->spots.at[spots[end]].pin == page->spots.at[spots[from]].pin)
    end++;
  return end;
}

/* Swaps neighbouring wires of a pin, and neighbouring pins on one side of a symbol, where that
 * helps. */
static bool swap_pins(struct order *order, struct pl_part *part, uint32_t *spots, uint32_t n) {
  const struct pl_page *page = order->page;
  bool better = false;
  for (uint32_t i = 0; i + 1 < n; i++)
    if (page->spots.at[spots[i]].pin == page->spots.at[spots[i + 1]].pin)
      for (int ways = 0; ways < 2; ways++)
        if (try_swap(order, part, spots, i, i + 1, i + 2, ways == 1)) {
          better = true;
          break;
        }
  for (uint32_t i = 0, middle; (middle = pin_end(page, spots, n, i)) < n;
       i = pin_end(page, spots, n, i))
    for (int ways = 0; ways < 2; ways++)
      if (try_swap(order, part, spots, i, middle, pin_end(page, spots, n, middle), ways == 1)) {
        better = true;
        break;
      }
  return better;
}

static void improve(struct order *order) {
  struct pl_page *page = order->page;
  for (int round = 0; round < 6; round++) {
    bool better = false;
    for (uint32_t r = 0; r < page->row_count; r++)
      if (sift(order, r))
        better = true;
    for (uint32_t p = 0; p < page->parts.n; p++) {
      struct pl_part *part = &page->parts.at[p];
      if (swap_pins(order, part, part->tops.at, part->tops.n))
        better = true;
      if (swap_pins(order, part, part->bottoms.at, part->bottoms.n))
        better = true;
    }
    if (!better)
      return;
  }
}

static void append(struct order *order, uint32_t rank, uint32_t slot) {
  order->ranks[rank].at[order->ranks[rank].n++] = slot;
}

/* First order: along the paths, in the order of the text. */
static void first_order(struct order *order) {
  struct pl_page *page = order->page;
  bool *part_done = PL_NEW_ARRAY(page->arena, bool, (size_t)page->parts.n + 1),
       *edge_done = PL_NEW_ARRAY(page->arena, bool, (size_t)page->edges.n + 1);
  uint32_t *stack =
      PL_NEW_ARRAY(page->arena, uint32_t, (size_t)page->spots.n * 2 + page->parts.n + 1);
  for (uint32_t start = 0; start < page->edges.n + page->parts.n; start++) {
    uint32_t depth = 0;
    stack[depth++] = start < page->edges.n ? page->spots.at[page->edges.at[start].spot[0]].part
                                           : start - page->edges.n;
    while (depth > 0) {
      uint32_t at = stack[--depth];
      if (part_done[at])
        continue;
      part_done[at] = true;
      const struct pl_part *part = &page->parts.at[at];
      append(order, part->rank, at);
      uint32_t base = depth;
      for (uint32_t i = 0; i < part->tops.n + part->bottoms.n; i++) {
        uint32_t spot;
        if (i < part->bottoms.n)
          spot = part->bottoms.at[i];
        else
          spot = part->tops.at[i - part->bottoms.n];
        uint32_t edge = page->spots.at[spot].edge;
        if (edge == NONE)
          continue;
        if (!edge_done[edge]) {
          edge_done[edge] = true;
          for (uint32_t l = 0; l + 1 < page->edges.at[edge].link_count; l++) {
            uint32_t cell = page->links.at[page->edges.at[edge].first_link + l].tie[1].cell;
            append(order, page->cells.at[cell].rank, cell | PASSING);
          }
        }
        uint32_t far;
        if (page->edges.at[edge].spot[0] == spot)
          far = page->edges.at[edge].spot[1];
        else
          far = page->edges.at[edge].spot[0];
        stack[depth++] = page->spots.at[far].part;
      }
      for (uint32_t l = base, r = depth; l + 1 < r;
           l++, r--) { /* the first wire on top of the stack */
        uint32_t swap = stack[l];
        stack[l] = stack[r - 1];
        stack[r - 1] = swap;
      }
    }
  }
  for (uint32_t r = 0; r < page->row_count; r++)
    number_places(order, r);
}

static void start_order(struct order *order, struct pl_page *page) {
  order->page = page;
  order->ranks = pl_arena_alloc(page->arena, (size_t)page->row_count + 1, sizeof *order->ranks);
  order->channel_links =
      pl_arena_alloc(page->arena, (size_t)page->row_count + 2, sizeof *order->channel_links);
  order->spot_link = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)page->spots.n + 1);
  for (uint32_t i = 0; i < page->spots.n; i++)
    order->spot_link[i] = NONE;
  for (uint32_t r = 0; r < page->row_count; r++)
    order->ranks[r].at = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)page->cells.n + 1);
  for (uint32_t l = 0; l < page->links.n; l++) {
    const struct pl_link *link = &page->links.at[l];
    PL_PUSH(page->arena, &order->channel_links[link->channel], l);
    for (int t = 0; t < 2; t++) {
      if (link->tie[t].spot != NONE)
        order->spot_link[link->tie[t].spot] = l;
      else if (link->tie[t].from_above)
        page->cells.at[link->tie[t].cell].down = l;
      else
        page->cells.at[link->tie[t].cell].up = l;
    }
  }
}

/* ---- all of it ---- */

/* From the order as it is: sweeps down and up, then place by place; `best` keeps the order with the
 * least cost. */
static void search(struct order *order, struct saved *best, double *least) {
  struct pl_page *page = order->page;
  struct saved here = {PL_NEW_ARRAY(page->arena, uint32_t, (size_t)page->cells.n + 1),
                       PL_NEW_ARRAY(page->arena, uint32_t, (size_t)page->spots.n + 1)};
  double cost = total_cost(order);
  keep(order, &here, false);
  uint32_t sweeps = 16;
  if (page->cells.n > 400)
    sweeps = 6;
  for (uint32_t sweep = 0; sweep < sweeps && page->row_count > 0; sweep++) {
    for (uint32_t i = 0; i < page->row_count; i++) {
      uint32_t r = sweep % 2 == 0 ? i : page->row_count - 1 - i;
      order_rank(order, r, sweep % 2 == 0 || sweep % 4 == 3, sweep % 2 == 1 || sweep % 4 == 2);
    }
    double now = total_cost(order);
    if (now >= cost)
      continue;
    cost = now;
    keep(order, &here, false);
  }
  keep(order, &here, true);
  if (page->cells.n <= MOST_IMPROVED)
    improve(order);
  cost = total_cost(order);
  if (cost >= *least)
    return;
  *least = cost;
  keep(order, best, false);
}

/* Another order to start from, by lot but the same every time. */
static void shuffle(struct order *order, uint32_t seed) {
  for (uint32_t r = 0; r < order->page->row_count; r++) {
    for (uint32_t i = order->ranks[r].n; i > 1; i--) {
      seed = seed * 1664525u + 1013904223u;
      uint32_t k = (seed >> 8) % i;
      uint32_t swap = order->ranks[r].at[i - 1];
      order->ranks[r].at[i - 1] = order->ranks[r].at[k];
      order->ranks[r].at[k] = swap;
    }
    number_places(order, r);
  }
}

void pl_order_cells(struct pl_page *page) {
  struct order order;
  start_order(&order, page);
  first_order(&order);
  struct saved best = {PL_NEW_ARRAY(page->arena, uint32_t, (size_t)page->cells.n + 1),
                       PL_NEW_ARRAY(page->arena, uint32_t, (size_t)page->spots.n + 1)};
  double least = INFINITY;
  search(&order, &best, &least);
  for (uint32_t start = 1; least >= 1 && page->cells.n <= MOST_STARTS && start <= STARTS; start++) {
    shuffle(&order, start);
    search(&order, &best, &least);
  }
  keep(&order, &best, true);
  for (uint32_t l = 0; l < page->links.n; l++)
    for (int t = 0; t < 2; t++)
      page->links.at[l].tie[t].cell = tie_cell(page, &page->links.at[l].tie[t]);
}
