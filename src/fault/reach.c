/* What a fault cuts off from 0 V and what it joins to it, from the tree of what conducts and, where
 * that does not say, from the search that every solution starts with.  A part cut off is held to 0
 * V by an anchor, so that the equations keep a single answer; its volts are not shown. */
#include "fault/rest_inner.h"

#include <string.h>

/* ---- questions ---- */

static bool conducted(const struct pl_term *term) {
  return term->mode_before == PL_MODE_CONDUCTS && term->before.node_a != term->before.node_b;
}

static bool conducts(const struct pl_rest *level, const struct pl_term *term) {
  return level->trial.mode[term->element] == PL_MODE_CONDUCTS &&
         level->flows[term->element].a != level->flows[term->element].b;
}

static uint32_t part_of(const struct pl_rest *level, uint32_t node) {
  return level->part[node];
}

/* The node below this element in the tree, when it is the only two-way lead between the node's
 * branch and the rest; else PL_NONE. */
static uint32_t branch_below(const struct pl_rest *level, uint32_t k) {
  uint32_t a = level->flows[k].a;
  uint32_t b = level->flows[k].b;
  uint32_t below;

  if (level->way[a] == k)
    below = a;
  else if (level->way[b] == k)
    below = b;
  else
    return PL_NONE;
  return level->low_enter[below] >= level->enter[below] ? below : PL_NONE;
}

static bool is_in_branch(const struct pl_rest *level, uint32_t below, uint32_t node) {
  return level->enter[node] >= level->enter[below] && level->enter[node] < level->last[below];
}

enum branch {
  PLAIN, /* nothing at it but what is open and what conducts both ways: cut off, it just floats */
  LEANS, /* and loads of fixed amps that lead out of it: they become resistors and hold it */
  KNOTTY
};

static enum branch what_branch(const struct pl_rest *level, uint32_t below) {
  const struct pl_network *network = level->trial.network;
  enum branch found = PLAIN;

  for (uint32_t t = level->enter[below]; t < level->last[below]; t++) {
    uint32_t node = level->order[t];
    for (uint32_t i = network->touch_start[node]; i < network->touch_start[node + 1]; i++) {
      uint32_t k = network->touch[i];
      uint32_t other = level->flows[k].a == node ? level->flows[k].b : level->flows[k].a;
      enum pl_mode mode = (enum pl_mode)level->trial.mode[k];
      if (mode == PL_MODE_BLOCKS || (mode == PL_MODE_CONDUCTS && pl_is_one_way(level, k)))
        return KNOTTY;
      if (mode != PL_MODE_STEADY)
        continue;
      if (level->trial.elements[k].kind != PL_ELEMENT_CURRENT ||
          is_in_branch(level, below, other) || !level->reached[other])
        return KNOTTY;
      found = LEANS;
    }
  }
  return found;
}

/* ---- simple answers ---- */

static void cut_branch(struct pl_rest *level, uint32_t below) {
  for (uint32_t t = level->enter[below]; t < level->last[below]; t++)
    level->trial.reached[level->order[t]] = false;
  level->reach_changed = true;
  pl_rest_hold(level, below, 1);
}

static void lean_branch(struct pl_rest *level, uint32_t below) {
  const struct pl_network *network = level->trial.network;

  for (uint32_t t = level->enter[below]; t < level->last[below]; t++) {
    uint32_t node = level->order[t];
    for (uint32_t i = network->touch_start[node]; i < network->touch_start[node + 1]; i++) {
      uint32_t k = network->touch[i];
      if (level->trial.mode[k] != PL_MODE_STEADY || pl_rest_touch(level, k) == NULL)
        continue;
      level->trial.mode[k] = PL_MODE_CONDUCTS;
      pl_rest_refresh(level, k);
    }
  }
}

static void join_part(struct pl_rest *level, uint32_t part) {
  uint32_t nodes = level->trial.network->node_count;

  for (uint32_t n = 0; n < nodes; n++)
    if (level->part[n] == part)
      level->trial.reached[n] = true;
  level->reach_changed = true;
  pl_rest_hold(level, level->anchor[part], -1);
}

/* ---- the search ---- */

/* What would not conduct at the start from rest, unless it must, is put back there for the search.
 */
static void relax(struct pl_rest *level) {
  struct pl_trial *trial = &level->trial;

  for (uint32_t i = 0; i < level->modal_count; i++) {
    uint32_t k = level->modal[i];
    level->kept[i] = trial->mode[k];
    if (trial->mode[k] != PL_MODE_CONDUCTS)
      continue;
    if (trial->elements[k].kind == PL_ELEMENT_DIODE)
      trial->mode[k] = PL_MODE_BLOCKS;
    if (trial->elements[k].kind == PL_ELEMENT_CURRENT)
      trial->mode[k] = PL_MODE_STEADY;
  }
}

/* What conducted goes on as it was where both its ends are reached; the others are changes. */
static void unrelax(struct pl_rest *level) {
  struct pl_trial *trial = &level->trial;

  for (uint32_t i = 0; i < level->modal_count; i++) {
    uint32_t k = level->modal[i];
    const struct pl_element *e = &trial->elements[k];
    uint8_t found = trial->mode[k];
    if (trial->reached[e->node_a] && trial->reached[e->node_b] &&
        level->kept[i] == PL_MODE_CONDUCTS)
      found = PL_MODE_CONDUCTS;
    trial->mode[k] = level->kept[i];
    if (found == level->kept[i] || pl_rest_touch(level, k) == NULL)
      continue;
    trial->mode[k] = found;
  }
}

/* Parts that no anchor holds any more, or not yet. */
static void hold_loose(struct pl_rest *level) {
  const struct pl_network *network = level->trial.network;
  uint32_t *queue = level->sweep->queue;
  uint32_t *mark = level->sweep->mark;
  const bool *reached = level->trial.reached;
  const struct pl_flow *join =
      &level->flows[level->sweep->shadow->join]; /* the lists of touching elements do not have it */

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
      uint32_t part = part_of(level, node);
      held = held || (part != 0 && level->anchor[part] == node);
      for (uint32_t i = network->touch_start[node]; i < network->touch_start[node + 1]; i++) {
        const struct pl_flow *f = &level->flows[network->touch[i]];
        uint32_t other = f->a == node ? f->b : f->a;
        if (level->trial.mode[network->touch[i]] != PL_MODE_CONDUCTS || reached[other] ||
            mark[other] != 0)
          continue;
        mark[other] = 1;
        queue[tail++] = other;
      }
      if ((join->a != node && join->b != node) ||
          level->trial.mode[level->sweep->shadow->join] != PL_MODE_CONDUCTS)
        continue;
      uint32_t other = join->a == node ? join->b : join->a;
      if (reached[other] || mark[other] != 0)
        continue;
      mark[other] = 1;
      queue[tail++] = other;
    }
    if (!held)
      pl_rest_hold(level, first, 1);
  }
  for (uint32_t p = 1; p < level->parts; p++)
    if (reached[level->anchor[p]])
      pl_rest_hold(level, level->anchor[p], -1);
}

static bool search(struct pl_rest *level) {
  struct pl_trial *trial = &level->trial;

  relax(level);
  trial->network->loose = level->sweep->shadow->join;
  pl_islands_search(trial);
  trial->network->loose = PL_NONE;
  unrelax(level);
  level->reach_changed = true;
  for (uint32_t i = 0; i < level->modal_count && !level->too_many; i++) {
    uint32_t k = level->modal[i];
    struct pl_flow now = pl_rest_law(level, k);
    if (now.siemens != level->flows[k].siemens || now.offset != level->flows[k].offset ||
        now.amps != level->flows[k].amps)
      pl_rest_touch(level, k);
  }
  for (uint32_t i = 0; i < level->term_count; i++) {
    struct pl_term *term = &level->terms[i];
    if (term->element == PL_NONE)
      continue;
    pl_rest_refresh(level, term->element);
    if (trial->reached[level->flows[term->element].a] ||
        trial->reached[level->flows[term->element].b])
      term->idle = false;
  }
  hold_loose(level);
  return !level->too_many;
}

/* ---- all of it ---- */

static void drop_anchors(struct pl_rest *level) {
  uint32_t kept = 0;

  for (uint32_t i = 0; i < level->term_count; i++)
    if (level->terms[i].element != PL_NONE)
      level->terms[kept++] = level->terms[i];
  level->term_count = kept;
  if (level->reach_changed) {
    memcpy(level->trial.reached,
           level->reached,
           level->trial.network->node_count * sizeof *level->reached);
    level->flags_changed = true;
  }
  level->reach_changed = false;
}

bool pl_rest_reach(struct pl_rest *level) {
  const struct pl_term *cut = NULL;
  const struct pl_term *joining = NULL;
  uint32_t cuts = 0;
  uint32_t joins = 0;
  bool crossing = false, knotty = false, split = false;

  drop_anchors(level);
  for (uint32_t i = 0; i < level->term_count; i++) {
    struct pl_term *term = &level->terms[i];
    bool was = conducted(term), is = conducts(level, term);
    uint32_t a = level->flows[term->element].a;
    uint32_t b = level->flows[term->element].b;
    bool floats = part_of(level, a) != 0 && part_of(level, b) != 0;
    term->idle = floats && was && !is;
    split = split || term->idle;
    if (was == is || term->idle)
      continue;
    if (was && level->trial.mode[term->element] == PL_MODE_STEADY &&
        level->trial.elements[term->element].kind == PL_ELEMENT_CURRENT)
      continue; /* a load above its knee is fed by something else: it held nothing; where that is
                   wrong, no single answer is left */
    if (was) {
      cut = term;
      cuts++;
    } else if (part_of(level, a) != part_of(level, b) &&
               (part_of(level, a) == 0 || part_of(level, b) == 0)) {
      joining = term;
      joins++;
    }
  }
  if (cuts == 0 && joins == 0)
    return true;
  if (split)
    return search(level);
  if (cuts == 0 && joins == 1) {
    uint32_t part = part_of(level, level->flows[joining->element].a) +
                    part_of(level, level->flows[joining->element].b);
    if (level->mixed[part])
      return search(level);
    join_part(level, part);
    return !level->too_many;
  }
  if (cuts != 1 || joins != 0)
    return search(level);
  if (pl_is_one_way(level, cut->element)) {
    uint32_t a = level->flows[cut->element].a;
    uint32_t b = level->flows[cut->element].b;
    if (level->enter[a] < level->first_tree && level->enter[b] < level->first_tree)
      return true;
    return search(level);
  }
  uint32_t below = branch_below(level, cut->element);
  if (below == PL_NONE)
    return level->trial.mode[cut->element] != PL_MODE_BLOCKS;
  for (uint32_t i = 0; i < level->term_count; i++) {
    const struct pl_flow *f = &level->flows[level->terms[i].element];
    if (conducted(&level->terms[i]) || !conducts(level, &level->terms[i]) ||
        is_in_branch(level, below, f->a) == is_in_branch(level, below, f->b))
      continue;
    crossing = crossing || !pl_is_one_way(level, level->terms[i].element);
    knotty = true;
  }
  if (crossing)
    return true;
  if (knotty)
    return search(level);
  switch (what_branch(level, below)) {
    case PLAIN:
      cut_branch(level, below);
      break;
    case LEANS:
      lean_branch(level, below);
      break;
    case KNOTTY:
      return search(level);
  }
  return !level->too_many;
}
