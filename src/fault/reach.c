/* What a fault cuts off from 0 V and what it joins to it, from the tree of what conducts and, where
 * that does not say, from the search that every solution starts with.  A part cut off is held to 0
 * V by an anchor, so that the equations keep a single answer; its volts are not shown. */
#include "fault/sweep_inner.h"

#include <string.h>

/* ---- questions ---- */

static bool conducted(const struct pl_term *term) {
  if (term->mode_before != PL_MODE_CONDUCTS)
    return false;
  return term->before.node_a != term->before.node_b;
}

static bool conducts(const struct pl_operating_point *point, const struct pl_term *term) {
  const struct pl_flow *flow = &point->flows[term->element];

  if (point->trial.mode[term->element] != PL_MODE_CONDUCTS)
    return false;
  return flow->a != flow->b;
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
  if (point->low_enter[below] >= point->enter[below])
    return below;
  return PL_NONE;
}

static bool is_in_branch(const struct pl_operating_point *point, uint32_t below, uint32_t node) {
  if (!(point->enter[node] >= point->enter[below]))
    return false;
  return point->enter[node] < point->last[below];
}

enum branch {
  FLOATS, /* nothing at it but what is open and what conducts both ways: cut off, it just floats */
  HELD,   /* and loads of fixed amps that lead out of it: they become resistors and hold it */
  SEARCH
};

/* The element as seen from a node of the branch. */
static enum branch
what_element(const struct pl_operating_point *point, uint32_t below, uint32_t node, uint32_t k) {
  const struct pl_flow *flow = &point->flows[k];
  uint32_t other = flow->a == node ? flow->b : flow->a;

  switch ((enum pl_mode)point->trial.mode[k]) {
    case PL_MODE_OPEN:
      return FLOATS;
    case PL_MODE_BLOCKS:
      return SEARCH;
    case PL_MODE_CONDUCTS:
      return pl_point_is_one_way(point, k) ? SEARCH : FLOATS;
    case PL_MODE_STEADY:
      if (point->trial.elements[k].kind != PL_ELEMENT_CURRENT)
        return SEARCH;
      if (is_in_branch(point, below, other))
        return SEARCH;
      if (!point->reached[other])
        return SEARCH;
      return HELD;
  }
  return SEARCH;
}

static enum branch what_branch(const struct pl_operating_point *point, uint32_t below) {
  const struct pl_network *network = point->trial.network;
  enum branch found = FLOATS;

  for (uint32_t t = point->enter[below]; t < point->last[below]; t++) {
    uint32_t node = point->order[t];
    const uint32_t *end = pl_touch_end(network, node);
    for (const uint32_t *at = pl_touch_first(network, node); at < end; at++) {
      enum branch one = what_element(point, below, node, *at);
      if (one == SEARCH)
        return SEARCH;
      if (one == HELD)
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
    const uint32_t *end = pl_touch_end(network, node);
    for (const uint32_t *at = pl_touch_first(network, node); at < end; at++) {
      uint32_t k = *at;
      if (point->trial.mode[k] != PL_MODE_STEADY)
        continue;
      if (pl_point_touch(point, k) == NULL)
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
    uint8_t before = point->kept[i];
    uint8_t found = trial->mode[k];
    if (before == PL_MODE_CONDUCTS && pl_trial_reaches(trial, &trial->elements[k]))
      found = PL_MODE_CONDUCTS;
    trial->mode[k] = before;
    if (found == before)
      continue;
    if (pl_point_touch(point, k) == NULL)
      continue;
    trial->mode[k] = found;
  }
}

/* A search through one part that is not reached. */
struct part_search {
  struct pl_operating_point *point;
  uint32_t *queue, *mark;
  uint32_t tail;
  bool held; /* an anchor of the healthy state is in it */
};

static void visit(struct part_search *search, uint32_t node) {
  const struct pl_operating_point *point = search->point;
  uint32_t part = point->part[node];

  if (point->trial.reached[node])
    return;
  if (search->mark[node] != 0)
    return;
  search->mark[node] = 1;
  search->queue[search->tail++] = node;
  if (part != 0 && point->anchor[part] == node)
    search->held = true;
}

static void follow(struct part_search *search, uint32_t node, uint32_t k) {
  const struct pl_flow *flow = &search->point->flows[k];

  if (search->point->trial.mode[k] == PL_MODE_CONDUCTS)
    visit(search, flow->a == node ? flow->b : flow->a);
}

static void search_part(struct part_search *search, uint32_t first) {
  const struct pl_network *network = search->point->trial.network;
  uint32_t join = search->point->sweep->shadow->join; /* not in the lists of touching elements */
  const struct pl_flow *flow = &search->point->flows[join];

  search->tail = 0;
  search->held = false;
  visit(search, first);
  for (uint32_t head = 0; head < search->tail; head++) {
    uint32_t node = search->queue[head];
    const uint32_t *end = pl_touch_end(network, node);
    for (const uint32_t *at = pl_touch_first(network, node); at < end; at++)
      follow(search, node, *at);
    if (flow->a == node || flow->b == node)
      follow(search, node, join);
  }
}

/* Parts that no anchor holds any more, or not yet. */
static void hold_loose(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  const bool *reached = point->trial.reached;
  struct part_search search = {.point = point,
                               .queue = point->sweep->queue,
                               .mark = point->sweep->mark};

  memset(search.mark, 0, network->node_count * sizeof *search.mark);
  for (uint32_t first = 0; first < network->node_count; first++) {
    if (reached[first])
      continue;
    if (search.mark[first] != 0)
      continue;
    search_part(&search, first);
    if (!search.held)
      pl_point_hold(point, first, 1);
  }
  for (uint32_t p = 1; p < point->parts; p++)
    if (reached[point->anchor[p]])
      pl_point_hold(point, point->anchor[p], -1);
}

static bool is_same_law(const struct pl_flow *x, const struct pl_flow *y) {
  if (x->siemens != y->siemens)
    return false;
  if (x->offset != y->offset)
    return false;
  return x->amps == y->amps;
}

/* Laws that follow from what is reached now. */
static void take_new_laws(struct pl_operating_point *point) {
  for (uint32_t i = 0; i < point->modal_count && !point->too_many; i++) {
    uint32_t k = point->modal[i];
    struct pl_flow now = pl_point_law(point, k);
    if (!is_same_law(&now, &point->flows[k]))
      pl_point_touch(point, k);
  }
  for (uint32_t i = 0; i < point->term_count; i++) {
    struct pl_term *term = &point->terms[i];
    if (term->element == PL_NONE)
      continue;
    pl_point_refresh(point, term->element);
    const struct pl_flow *flow = &point->flows[term->element];
    if (point->trial.reached[flow->a] || point->trial.reached[flow->b])
      term->idle = false;
  }
}

static bool search(struct pl_operating_point *point) {
  struct pl_network *network = point->trial.network;

  relax(point);
  network->loose = point->sweep->shadow->join;
  pl_islands_search(&point->trial);
  network->loose = PL_NONE;
  unrelax(point);
  point->reach_changed = true;
  take_new_laws(point);
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
  pl_point_forget_reach(point);
}

/* What the terms do to what hangs together. */
struct changes {
  const struct pl_term *cut, *joining; /* the last of each */
  uint32_t cuts, joins;
  bool split; /* something within a floating part no longer conducts */
};

/* A load above its knee is fed by something else: it held nothing; where that is wrong, no single
 * answer is left. */
static bool is_load_above_knee(const struct pl_operating_point *point, uint32_t k) {
  if (point->trial.mode[k] != PL_MODE_STEADY)
    return false;
  return point->trial.elements[k].kind == PL_ELEMENT_CURRENT;
}

static void count_change(const struct pl_operating_point *point,
                         struct pl_term *term,
                         struct changes *changes) {
  const struct pl_flow *flow = &point->flows[term->element];
  uint32_t part_a = point->part[flow->a];
  uint32_t part_b = point->part[flow->b];
  bool was = conducted(term);
  bool is = conducts(point, term);

  term->idle = part_a != 0 && part_b != 0 && was && !is;
  if (term->idle)
    changes->split = true;
  if (was == is || term->idle)
    return;
  if (was) {
    if (is_load_above_knee(point, term->element))
      return;
    changes->cut = term;
    changes->cuts++;
  } else if (part_a != part_b && (part_a == 0 || part_b == 0)) {
    changes->joining = term;
    changes->joins++;
  }
}

static bool reach_join(struct pl_operating_point *point, const struct pl_term *joining) {
  const struct pl_flow *flow = &point->flows[joining->element];
  uint32_t part = point->part[flow->a] + point->part[flow->b]; /* one of them is 0 */

  if (point->mixed[part])
    return search(point);
  join_part(point, part);
  return !point->too_many;
}

/* Does a new conductor lead from the branch to the rest?  One that conducts both ways: HELD;
 * one-way ones alone: SEARCH. */
static enum branch what_crosses(const struct pl_operating_point *point, uint32_t below) {
  enum branch found = FLOATS;

  for (uint32_t i = 0; i < point->term_count; i++) {
    const struct pl_term *term = &point->terms[i];
    const struct pl_flow *f = &point->flows[term->element];
    if (conducted(term))
      continue;
    if (!conducts(point, term))
      continue;
    if (is_in_branch(point, below, f->a) == is_in_branch(point, below, f->b))
      continue;
    if (!pl_point_is_one_way(point, term->element))
      return HELD;
    found = SEARCH;
  }
  return found;
}

static bool reach_cut(struct pl_operating_point *point, const struct pl_term *cut) {
  const struct pl_flow *flow = &point->flows[cut->element];
  uint32_t below;
  enum branch crossing;

  if (pl_point_is_one_way(point, cut->element)) {
    bool a = point->enter[flow->a] < point->first_tree;
    bool b = point->enter[flow->b] < point->first_tree;
    return (a && b) || search(point);
  }
  below = branch_below(point, cut->element);
  if (below == PL_NONE)
    return point->trial.mode[cut->element] != PL_MODE_BLOCKS;
  crossing = what_crosses(point, below);
  if (crossing == HELD)
    return true;
  if (crossing == SEARCH)
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

bool pl_point_reach(struct pl_operating_point *point) {
  struct changes changes = {0};

  drop_anchors(point);
  for (uint32_t i = 0; i < point->term_count; i++)
    count_change(point, &point->terms[i], &changes);
  if (changes.cuts == 0 && changes.joins == 0)
    return true;
  if (changes.split || changes.cuts + changes.joins > 1)
    return search(point);
  if (changes.joins == 1)
    return reach_join(point, changes.joining);
  return reach_cut(point, changes.cut);
}
