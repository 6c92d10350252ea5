/* One level: the healthy state at one rest of relays and modules, taken while it is solved, with
 * factors of its own.  Parts that float are held to 0 V by 1 S at one node each, so that a fault
 * that joins them is a change of few terms too. */
#include "fault/rest_inner.h"

#include <math.h>
#include <string.h>

enum {
  ROUNDS = 6
};
static const double rounding = 1e-12; /* amps: less is shown as none, as in result.c */

static double shown(double amps) {
  return fabs(amps) < rounding ? 0 : amps;
}

bool pl_is_one_way(const struct pl_rest *level, uint32_t k) {
  const struct pl_element *e = &level->trial.elements[k];

  return e->kind == PL_ELEMENT_DIODE ||
         (e->kind == PL_ELEMENT_SOURCE && level->trial.network->drives.at[k].blocks);
}

/* What conducts does so in floating parts too; fixed amps and steady watts flow only where both
 * ends are reached. */
struct pl_flow pl_rest_law(const struct pl_rest *level, uint32_t k) {
  const struct pl_trial *trial = &level->trial;
  const struct pl_element *e = &trial->elements[k];
  struct pl_flow flow = {.a = e->node_a, .b = e->node_b};
  bool joined = trial->reached[e->node_a] && trial->reached[e->node_b];

  if (e->node_a == e->node_b)
    return flow;
  if (trial->mode[k] == PL_MODE_CONDUCTS) {
    flow.siemens = 1 / e->ohms;
    if (e->kind == PL_ELEMENT_SOURCE || e->kind == PL_ELEMENT_DIODE)
      flow.offset = e->volts;
  } else if (trial->mode[k] == PL_MODE_STEADY && joined && e->watts > 0) {
    flow.siemens = -e->watts / (trial->tangent[k] * trial->tangent[k]);
    flow.offset = 2 * trial->tangent[k];
  } else if (trial->mode[k] == PL_MODE_STEADY && joined) {
    flow.amps = e->kind == PL_ELEMENT_SOURCE ? -e->limit : e->limit;
  }
  return flow;
}

void pl_rest_flag(struct pl_rest *level, uint32_t k) {
  struct pl_element *e = &level->trial.elements[k];
  bool joined = level->trial.reached[e->node_a] && level->trial.reached[e->node_b];

  e->open =
      !joined || level->trial.mode[k] == PL_MODE_OPEN || level->trial.mode[k] == PL_MODE_BLOCKS;
  e->limited = joined && level->trial.mode[k] == PL_MODE_STEADY;
  if (e->limited && e->watts > 0)
    e->limit = e->amps;
}

/* All that may be asked for, where that is not too much. */
static uint32_t room_for(size_t nodes, size_t elements) {
  size_t room = PL_FAULT_ROOM / nodes;

  if (room > nodes + elements)
    room = nodes + elements;
  return room > PL_FAULT_COLUMNS ? (uint32_t)room : PL_FAULT_COLUMNS;
}

struct pl_rest *pl_rest_new(struct pl_sweep *sweep) {
  const struct pl_network *network = &sweep->shadow->network;
  struct pl_arena *arena = network->arena;
  struct pl_rest *level = PL_NEW(arena, struct pl_rest);
  size_t nodes = network->node_count;
  size_t elements = network->elements.n;
  size_t devices = network->harness->devices.n;

  level->sweep = sweep;
  level->trial.elements = PL_NEW_ARRAY(arena, struct pl_element, elements);
  level->trial.mode = PL_NEW_ARRAY(arena, uint8_t, elements);
  level->trial.tangent = PL_NEW_ARRAY(arena, double, elements);
  level->trial.reached = PL_NEW_ARRAY(arena, bool, nodes);
  level->trial.on = PL_NEW_ARRAY(arena, bool, devices);
  level->trial.fed = PL_NEW_ARRAY(arena, bool, devices);
  level->trial.high = PL_NEW_ARRAY(arena, double, nodes);
  level->trial.low = PL_NEW_ARRAY(arena, double, nodes);
  level->flows = PL_NEW_ARRAY(arena, struct pl_flow, elements);
  level->high = PL_NEW_ARRAY(arena, double, nodes);
  level->low = PL_NEW_ARRAY(arena, double, nodes);
  level->amps = PL_NEW_ARRAY(arena, double, elements);
  level->tangent = PL_NEW_ARRAY(arena, double, elements);
  level->reached = PL_NEW_ARRAY(arena, bool, nodes);
  level->config = PL_NEW_ARRAY(arena, uint8_t, devices);
  level->part = PL_NEW_ARRAY(arena, uint32_t, nodes);
  level->anchor = PL_NEW_ARRAY(arena, uint32_t, nodes + 1);
  level->mixed = PL_NEW_ARRAY(arena, bool, nodes + 1);
  level->order = PL_NEW_ARRAY(arena, uint32_t, nodes);
  level->enter = PL_NEW_ARRAY(arena, uint32_t, nodes);
  level->last = PL_NEW_ARRAY(arena, uint32_t, nodes);
  level->low_enter = PL_NEW_ARRAY(arena, uint32_t, nodes);
  level->way = PL_NEW_ARRAY(arena, uint32_t, nodes);
  level->modal = PL_NEW_ARRAY(arena, uint32_t, elements);
  level->kept = PL_NEW_ARRAY(arena, uint8_t, elements);
  level->look = PL_NEW_ARRAY(arena, uint32_t, nodes);
  level->column_room = room_for(nodes, elements);
  level->columns = PL_NEW_ARRAY(arena, struct pl_column, level->column_room);
  level->column = PL_NEW_ARRAY(arena, double, level->column_room *nodes);
  level->place = PL_NEW_ARRAY(arena, uint32_t, nodes + elements);
  level->sparse =
      pl_sparse_new(arena, network->node_count - 1, sweep->shadow->stamps, network->elements.n);
  return level;
}

/* ---- what is copied ---- */

static void copy_trial(struct pl_rest *level, const struct pl_trial *trial) {
  const struct pl_network *network = trial->network;
  struct pl_trial mine = level->trial;
  size_t nodes = network->node_count;
  size_t elements = network->elements.n;
  size_t devices = network->harness->devices.n;

  level->trial = *trial;
  level->trial.elements = mine.elements;
  level->trial.mode = mine.mode;
  level->trial.tangent = mine.tangent;
  level->trial.reached = mine.reached;
  level->trial.on = mine.on;
  level->trial.fed = mine.fed;
  level->trial.high = mine.high;
  level->trial.low = mine.low;
  memcpy(mine.elements, trial->elements, elements * sizeof *mine.elements);
  memcpy(mine.mode, trial->mode, elements * sizeof *mine.mode);
  memcpy(mine.tangent, trial->tangent, elements * sizeof *mine.tangent);
  memcpy(level->tangent, trial->tangent, elements * sizeof *level->tangent);
  memcpy(mine.reached, trial->reached, nodes * sizeof *mine.reached);
  memcpy(level->reached, trial->reached, nodes * sizeof *level->reached);
  memcpy(mine.on, trial->on, devices * sizeof *mine.on);
  memcpy(mine.fed, trial->fed, devices * sizeof *mine.fed);
  for (size_t n = 0; n < nodes; n++) {
    level->high[n] = trial->reached[n] ? trial->high[n] : 0;
    level->low[n] = trial->reached[n] ? trial->low[n] : 0;
  }
  for (uint32_t i = 0; i < trial->switching_count; i++)
    level->config[i] = (uint8_t)((trial->on[trial->switching[i]] ? 1 : 0) |
                                 (trial->fed[trial->switching[i]] ? 2 : 0));
}

/* ---- parts that float ---- */

static void spread_part(struct pl_rest *level, uint32_t first, uint32_t part) {
  const struct pl_network *network = level->trial.network;
  uint32_t *queue = level->sweep->queue;
  uint32_t head = 0;
  uint32_t tail = 0;

  level->part[first] = part;
  queue[tail++] = first;
  for (; head < tail; head++)
    for (uint32_t i = network->touch_start[queue[head]]; i < network->touch_start[queue[head] + 1];
         i++) {
      uint32_t k = network->touch[i];
      const struct pl_element *e = &level->trial.elements[k];
      uint32_t other = e->node_a == queue[head] ? e->node_b : e->node_a;
      if (level->trial.mode[k] == PL_MODE_STEADY || level->trial.mode[k] == PL_MODE_BLOCKS ||
          (level->trial.mode[k] == PL_MODE_CONDUCTS && pl_is_one_way(level, k)) ||
          (level->trial.mode[k] == PL_MODE_CONDUCTS && e->kind == PL_ELEMENT_CURRENT))
        level->mixed[part] = true;
      if (level->trial.mode[k] != PL_MODE_CONDUCTS || level->part[other] != PL_NONE ||
          level->reached[other])
        continue;
      level->part[other] = part;
      queue[tail++] = other;
    }
}

static void find_parts(struct pl_rest *level) {
  uint32_t nodes = level->trial.network->node_count;

  level->parts = 1;
  for (uint32_t n = 0; n < nodes; n++)
    level->part[n] = level->reached[n] ? 0 : PL_NONE;
  for (uint32_t n = 0; n < nodes; n++) {
    if (level->part[n] != PL_NONE)
      continue;
    level->mixed[level->parts] = false;
    level->anchor[level->parts] = n;
    spread_part(level, n, level->parts++);
  }
}

/* ---- the tree ---- */

static bool leads(const struct pl_rest *level, uint32_t k) {
  return level->trial.mode[k] == PL_MODE_CONDUCTS && !pl_is_one_way(level, k) &&
         level->flows[k].a != level->flows[k].b;
}

/* Depth first from `root`, without recursion; `next` holds how far each node's list was followed.
 */
static uint32_t grow_tree(struct pl_rest *level, uint32_t root, uint32_t time, uint32_t *next) {
  const struct pl_network *network = level->trial.network;
  uint32_t *stack = level->sweep->queue;
  uint32_t depth = 0;

  level->way[root] = PL_NONE;
  stack[depth++] = root;
  level->enter[root] = level->low_enter[root] = time;
  level->order[time++] = root;
  next[root] = network->touch_start[root];
  while (depth > 0) {
    uint32_t node = stack[depth - 1];
    if (next[node] < network->touch_start[node + 1]) {
      uint32_t k = network->touch[next[node]++];
      uint32_t other;
      if (!leads(level, k) || k == level->way[node])
        continue;
      other = level->flows[k].a == node ? level->flows[k].b : level->flows[k].a;
      if (level->enter[other] != PL_NONE) {
        if (level->enter[other] < level->low_enter[node])
          level->low_enter[node] = level->enter[other];
        continue;
      }
      level->way[other] = k;
      level->enter[other] = level->low_enter[other] = time;
      level->order[time++] = other;
      next[other] = network->touch_start[other];
      stack[depth++] = other;
    } else {
      level->last[node] = time;
      depth--;
      if (depth > 0 && level->low_enter[node] < level->low_enter[stack[depth - 1]])
        level->low_enter[stack[depth - 1]] = level->low_enter[node];
    }
  }
  return time;
}

static void grow_trees(struct pl_rest *level) {
  uint32_t nodes = level->trial.network->node_count;
  uint32_t time;

  for (uint32_t n = 0; n < nodes; n++)
    level->enter[n] = PL_NONE;
  time = level->first_tree =
      grow_tree(level, level->trial.network->reference, 0, level->sweep->mark);
  for (uint32_t n = 0; n < nodes; n++)
    if (level->enter[n] == PL_NONE)
      time = grow_tree(level, n, time, level->sweep->mark);
}

/* ---- what decides ---- */

static void add_look(struct pl_rest *level, uint32_t node) {
  if (node == PL_NONE || node == level->trial.network->reference || level->sweep->mark[node] == 1)
    return;
  level->sweep->mark[node] = 1;
  level->look[level->look_count++] = node;
}

static void list_deciders(struct pl_rest *level) {
  const struct pl_network *network = level->trial.network;
  const struct pl_shadow *shadow = level->sweep->shadow;

  memset(level->sweep->mark, 0, network->node_count * sizeof(uint32_t));
  level->modal_count = level->look_count = 0;
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_element *e = &level->trial.elements[k];
    if (e->kind != PL_ELEMENT_CURRENT && e->kind != PL_ELEMENT_DIODE &&
        !(e->kind == PL_ELEMENT_SOURCE && (isfinite(e->limit) || network->drives.at[k].blocks)))
      continue;
    level->modal[level->modal_count++] = k;
    add_look(level, e->node_a);
    add_look(level, e->node_b);
  }
  for (uint32_t i = 0; i < level->trial.switching_count; i++) {
    pl_id id = level->trial.switching[i];
    const struct pl_device *d = &network->harness->devices.at[id];
    for (uint32_t j = shadow->of_start[id]; j < shadow->of_start[id + 1]; j++) {
      add_look(level, level->trial.elements[shadow->of_device[j]].node_a);
      add_look(level, level->trial.elements[shadow->of_device[j]].node_b);
    }
    for (pl_id pin = d->first_pin; pin < d->first_pin + d->pin_count; pin++)
      add_look(level, network->pin_node[pin]);
    add_look(level, network->inner_ground[id]);
    add_look(level, network->inner_feed[id]);
  }
}

/* ---- the factors ---- */

static bool factor(struct pl_rest *level) {
  const struct pl_network *network = level->trial.network;
  uint32_t row;

  pl_sparse_clear(level->sparse);
  for (uint32_t k = 0; k < network->elements.n; k++)
    if (level->flows[k].siemens != 0)
      pl_sparse_add(level->sparse, k, level->flows[k].siemens);
  for (uint32_t p = 1; p < level->parts; p++)
    pl_sparse_hold(level->sparse, pl_row_of(network, level->anchor[p]), 1);
  return pl_sparse_factor(level->sparse, &row) == PL_SPARSE_GOOD;
}

/* Volts within the floating parts against their anchors. */
static bool solve_parts(struct pl_rest *level) {
  const struct pl_network *network = level->trial.network;
  double *x = level->sweep->work;

  for (int round = 0; round < ROUNDS && level->parts > 1; round++) {
    memset(x, 0, network->node_count * sizeof *x);
    for (uint32_t k = 0; k < network->elements.n; k++) {
      const struct pl_flow *f = &level->flows[k];
      if (f->siemens == 0 || level->reached[f->a] || level->reached[f->b])
        continue;
      double amps = f->siemens * ((level->high[f->a] - level->high[f->b] - f->offset) +
                                  (level->low[f->a] - level->low[f->b]));
      x[pl_row_of(network, f->a)] -= amps;
      x[pl_row_of(network, f->b)] += amps;
    }
    for (uint32_t p = 1; p < level->parts; p++)
      x[pl_row_of(network, level->anchor[p])] -=
          level->high[level->anchor[p]] + level->low[level->anchor[p]];
    if (!pl_sparse_solve(level->sparse, x))
      return false;
    for (uint32_t n = 0; n < network->node_count; n++) {
      if (level->reached[n])
        continue;
      double more = level->low[n] + x[pl_row_of(network, n)];
      double sum = level->high[n] + more;
      level->low[n] = more - (sum - level->high[n]);
      level->high[n] = sum;
      if (!isfinite(sum))
        return false;
    }
  }
  return true;
}

bool pl_rest_take(struct pl_rest *level, const struct pl_trial *trial) {
  copy_trial(level, trial);
  for (uint32_t k = 0; k < trial->network->elements.n; k++)
    level->flows[k] = pl_rest_law(level, k);
  find_parts(level);
  list_deciders(level);
  grow_trees(level);
  level->term_count = 0;
  level->too_many = level->reach_changed = false;
  level->amps_changed = level->flags_changed = false;
  level->column_count = 0;
  for (uint32_t i = 0; i < trial->network->node_count + trial->network->elements.n; i++)
    level->place[i] = PL_NONE;
  if (!factor(level) || !solve_parts(level))
    return false;
  memcpy(level->trial.high, level->high, trial->network->node_count * sizeof(double));
  memcpy(level->trial.low, level->low, trial->network->node_count * sizeof(double));
  for (uint32_t k = 0; k < trial->network->elements.n; k++)
    level->amps[k] = shown(pl_trial_amps(&level->trial, k));
  for (uint32_t k = 0; k < trial->network->elements.n; k++) {
    level->trial.elements[k].amps = level->amps[k];
    pl_rest_flag(level, k);
  }
  return true;
}
