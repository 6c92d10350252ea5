/* What a fault cuts off from 0 V and what it joins to it, from the tree of what conducts and, where
 * that does not say, from the search that every solution starts with.  A part cut off is held to 0
 * V by an anchor, so that the equations keep a single answer; its volts are not shown. */
#include "fault/sweep_inner.h"

#include <string.h>

/* ---- questions ---- */

static bool conducted(const struct pl_term *term) {
  return term->mode_before == PL_MODE_CONDUCTS && term->before.node_a != term->before.node_b;
}

static bool conducts(const struct pl_operating_point *point, const struct pl_term *term) {
  return point->trial.mode[term->element] == PL_MODE_CONDUCTS &&
         point->flows[term->element].a != point->flows[term->element].b;
}

static uint32_t part_of(const struct pl_operating_point *point, uint32_t node) {
  return point->part[node];
}

/* The node below this element in the tree, when it is the only two-way lead between the node's
 * branch and the rest; else PL_NONE. */
static uint32_t branch_below(const struct pl_operating_point *point, uint32_t k) {
  uint32_t a = point->flows[k].a;
  uint32_t b = point->flows[k].b;
  uint32_t below;

  if (point->way[a] == k)
    below = a;
  else if (point->way[b] == k)
    below = b;
  else
    return PL_NONE;
  return point->low_enter[below] >= point->enter[below] ? below : PL_NONE;
}

static bool is_in_branch(const struct pl_operating_point *point, uint32_t below, uint32_t node) {
  return point->enter[node] >= point->enter[below] && point->enter[node] < point->last[below];
}

enum branch {
  FLOATS, /* nothing at it but what is open and what conducts both ways: cut off, it just floats */
  HELD,   /* and loads of fixed amps that lead out of it: they become resistors and hold it */
  SEARCH
};

static enum branch what_branch(const struct pl_operating_point *point, uint32_t below) {
  const struct pl_network *network = point->trial.network;
  enum branch found = FLOATS;

  for (uint32_t t = point->enter[below]; t < point->last[below]; t++) {
    uint32_t node = point->order[t];
    for (uint32_t i = network->touch_start[node]; i < network->touch_start[node + 1]; i++) {
      uint32_t k = network->touch[i];
      uint32_t other = point->flows[k].a == node ? point->flows[k].b : point->flows[k].a;
      enum pl_mode mode = (enum pl_mode)point->trial.mode[k];
      if (mode == PL_MODE_BLOCKS || (mode == PL_MODE_CONDUCTS && pl_point_is_one_way(point, k)))
        return SEARCH;
      if (mode != PL_MODE_STEADY)
        continue;
      if (point->trial.elements[k].kind != PL_ELEMENT_CURRENT ||
          is_in_branch(point, below, other) || !point->reached[other])
        return SEARCH;
      found = HELD;
    }
  }
  return found;
}

/* ---- simple answers ---- */

static void cut_branch(struct pl_operating_point *point, uint32_t below) {
  for (uint32_t t = point->enter[below]; t < point->last[below]; t++)
    point->trial.reached[point->order[t]] = false;
  point->reach_changed = true;
  pl_point_hold(point, below, 1);
}

static void hold_branch(struct pl_operating_point *point, uint32_t below) {
  const struct pl_network *network = point->trial.network;

  for (uint32_t t = point->enter[below]; t < point->last[below]; t++) {
    uint32_t node = point->order[t];
    for (uint32_t i = network->touch_start[node]; i < network->touch_start[node + 1]; i++) {
      uint32_t k = network->touch[i];
      if (point->trial.mode[k] != PL_MODE_STEADY || pl_point_touch(point, k) == NULL)
        continue;
      point->trial.mode[k] = PL_MODE_CONDUCTS;
      pl_point_refresh(point, k);
    }
  }
}

static void join_part(struct pl_operating_point *point, uint32_t part) {
  uint32_t nodes = point->trial.network->node_count;

  for (uint32_t n = 0; n < nodes; n++)
    if (point->part[n] == part)
      point->trial.reached[n] = true;
  point->reach_changed = true;
  pl_point_hold(point, point->anchor[part], -1);
}

/* ---- the search ---- */

/* What would not conduct at the start from rest, unless it must, is put back there for the search.
 */
static void relax(struct pl_operating_point *point) {
  struct pl_trial *trial = &point->trial;

  for (uint32_t i = 0; i < point->modal_count; i++) {
    uint32_t k = point->modal[i];
    point->kept[i] = trial->mode[k];
    if (trial->mode[k] != PL_MODE_CONDUCTS)
      continue;
    if (trial->elements[k].kind == PL_ELEMENT_DIODE)
      trial->mode[k] = PL_MODE_BLOCKS;
    if (trial->elements[k].kind == PL_ELEMENT_CURRENT)
      trial->mode[k] = PL_MODE_STEADY;
  }
}

/* What conducted goes on as it was where both its ends are reached; the others are changes. */
static void unrelax(struct pl_operating_point *point) {
  struct pl_trial *trial = &point->trial;

  for (uint32_t i = 0; i < point->modal_count; i++) {
    uint32_t k = point->modal[i];
    const struct pl_element *e = &trial->elements[k];
    uint8_t found = trial->mode[k];
    if (trial->reached[e->node_a] && trial->reached[e->node_b] &&
        point->kept[i] == PL_MODE_CONDUCTS)
      found = PL_MODE_CONDUCTS;
    trial->mode[k] = point->kept[i];
    if (found == point->kept[i] || pl_point_touch(point, k) == NULL)
      continue;
    trial->mode[k] = found;
  }
}

/* Parts that no anchor holds any more, or not yet. */
static void hold_loose(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  uint32_t *queue = point->sweep->queue;
  uint32_t *mark = point->sweep->mark;
  const bool *reached = point->trial.reached;
  const struct pl_flow *join =
      &point->flows[point->sweep->shadow->join]; /* the lists of touching elements do not have it */

  memset(mark, 0, network->node_count * sizeof *mark);
  for (uint32_t first = 0; first < network->node_count; first++) {
    uint32_t head = 0;
    uint32_t tail = 0;
    bool held = false;
    if (reached[first] || mark[first] != 0)
      continue;
    mark[first] = 1;
    queue[tail++] = first;
    for (; head < tail; head++) {
      uint32_t node = queue[head];
      uint32_t part = part_of(point, node);
      held = held || (part != 0 && point->anchor[part] == node);
      for (uint32_t i = network->touch_start[node]; i < network->touch_start[node + 1]; i++) {
        const struct pl_flow *f = &point->flows[network->touch[i]];
        uint32_t other = f->a == node ? f->b : f->a;
        if (point->trial.mode[network->touch[i]] != PL_MODE_CONDUCTS || reached[other] ||
            mark[other] != 0)
          continue;
        mark[other] = 1;
        queue[tail++] = other;
      }
      if ((join->a != node && join->b != node) ||
          point->trial.mode[point->sweep->shadow->join] != PL_MODE_CONDUCTS)
        continue;
      uint32_t other = join->a == node ? join->b : join->a;
      if (reached[other] || mark[other] != 0)
        continue;
      mark[other] = 1;
      queue[tail++] = other;
    }
    if (!held)
      pl_point_hold(point, first, 1);
  }
  for (uint32_t p = 1; p < point->parts; p++)
    if (reached[point->anchor[p]])
      pl_point_hold(point, point->anchor[p], -1);
}

static bool search(struct pl_operating_point *point) {
  struct pl_trial *trial = &point->trial;

  relax(point);
  trial->network->loose = point->sweep->shadow->join;
  pl_islands_search(trial);
  trial->network->loose = PL_NONE;
  unrelax(point);
  point->reach_changed = true;
  for (uint32_t i = 0; i < point->modal_count && !point->too_many; i++) {
    uint32_t k = point->modal[i];
    struct pl_flow now = pl_point_law(point, k);
    if (now.siemens != point->flows[k].siemens || now.offset != point->flows[k].offset ||
        now.amps != point->flows[k].amps)
      pl_point_touch(point, k);
  }
  for (uint32_t i = 0; i < point->term_count; i++) {
    struct pl_term *term = &point->terms[i];
    if (term->element == PL_NONE)
      continue;
    pl_point_refresh(point, term->element);
    if (trial->reached[point->flows[term->element].a] ||
        trial->reached[point->flows[term->element].b])
      term->idle = false;
  }
  hold_loose(point);
  return !point->too_many;
}

/* ---- all of it ---- */

static void drop_anchors(struct pl_operating_point *point) {
  uint32_t kept = 0;

  for (uint32_t i = 0; i < point->term_count; i++)
    if (point->terms[i].element != PL_NONE)
      point->terms[kept++] = point->terms[i];
  point->term_count = kept;
  if (point->reach_changed) {
    memcpy(point->trial.reached,
           point->reached,
           point->trial.network->node_count * sizeof *point->reached);
    point->flags_changed = true;
  }
  point->reach_changed = false;
}

bool pl_point_reach(struct pl_operating_point *point) {
  const struct pl_term *cut = NULL;
  const struct pl_term *joining = NULL;
  uint32_t cuts = 0;
  uint32_t joins = 0;
  bool crossing = false, one_way_across = false, split = false;

  drop_anchors(point);
  for (uint32_t i = 0; i < point->term_count; i++) {
    struct pl_term *term = &point->terms[i];
    bool was = conducted(term), is = conducts(point, term);
    uint32_t a = point->flows[term->element].a;
    uint32_t b = point->flows[term->element].b;
    bool floats = part_of(point, a) != 0 && part_of(point, b) != 0;
    term->idle = floats && was && !is;
    split = split || term->idle;
    if (was == is || term->idle)
      continue;
    if (was && point->trial.mode[term->element] == PL_MODE_STEADY &&
        point->trial.elements[term->element].kind == PL_ELEMENT_CURRENT)
      continue; /* a load above its knee is fed by something else: it held nothing; where that is
                   wrong, no single answer is left */
    if (was) {
      cut = term;
      cuts++;
    } else if (part_of(point, a) != part_of(point, b) &&
               (part_of(point, a) == 0 || part_of(point, b) == 0)) {
      joining = term;
      joins++;
    }
  }
  if (cuts == 0 && joins == 0)
    return true;
  if (split)
    return search(point);
  if (cuts == 0 && joins == 1) {
    uint32_t part = part_of(point, point->flows[joining->element].a) +
                    part_of(point, point->flows[joining->element].b);
    if (point->mixed[part])
      return search(point);
    join_part(point, part);
    return !point->too_many;
  }
  if (cuts != 1 || joins != 0)
    return search(point);
  if (pl_point_is_one_way(point, cut->element)) {
    uint32_t a = point->flows[cut->element].a;
    uint32_t b = point->flows[cut->element].b;
    if (point->enter[a] < point->first_tree && point->enter[b] < point->first_tree)
      return true;
    return search(point);
  }
  uint32_t below = branch_below(point, cut->element);
  if (below == PL_NONE)
    return point->trial.mode[cut->element] != PL_MODE_BLOCKS;
  for (uint32_t i = 0; i < point->term_count; i++) {
    const struct pl_flow *f = &point->flows[point->terms[i].element];
    if (conducted(&point->terms[i]) || !conducts(point, &point->terms[i]) ||
        is_in_branch(point, below, f->a) == is_in_branch(point, below, f->b))
      continue;
    crossing = crossing || !pl_point_is_one_way(point, point->terms[i].element);
    one_way_across = true;
  }
  if (crossing)
    return true;
  if (one_way_across)
    return search(point);
  switch (what_branch(point, below)) {
    case FLOATS:
      cut_branch(point, below);
      break;
    case HELD:
      hold_branch(point, below);
      break;
    case SEARCH:
      return search(point);
  }
  return !point->too_many;
}
