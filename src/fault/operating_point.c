/* One point: the healthy state at one rest of relays and modules, taken while it is solved, with
 * factors of its own.  Parts that float are held to 0 V by 1 S at one node each, so that a fault
 * that joins them is a change of few terms too. */
#include "fault/sweep_inner.h"

#include <math.h>
#include <string.h>

enum {
  ROUNDS = 6
};
static const double rounding = 1e-12; /* amps: less is shown as none, as in result.c */

static double shown(double amps) {
  return fabs(amps) < rounding ? 0 : amps;
}

bool pl_point_is_one_way(const struct pl_operating_point *point, uint32_t k) {
  const struct pl_element *e = &point->trial.elements[k];

  return e->kind == PL_ELEMENT_DIODE ||
         (e->kind == PL_ELEMENT_SOURCE && point->trial.network->drives.at[k].blocks);
}

/* What conducts does so in floating parts too; fixed amps and steady watts flow only where both
 * ends are reached. */
struct pl_flow pl_point_law(const struct pl_operating_point *point, uint32_t k) {
  const struct pl_trial *trial = &point->trial;
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

void pl_point_flag(struct pl_operating_point *point, uint32_t k) {
  struct pl_element *e = &point->trial.elements[k];
  bool joined = point->trial.reached[e->node_a] && point->trial.reached[e->node_b];

  e->open =
      !joined || point->trial.mode[k] == PL_MODE_OPEN || point->trial.mode[k] == PL_MODE_BLOCKS;
  e->limited = joined && point->trial.mode[k] == PL_MODE_STEADY;
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

struct pl_operating_point *pl_point_new(struct pl_sweep *sweep) {
  const struct pl_network *network = &sweep->shadow->network;
  struct pl_arena *arena = network->arena;
  struct pl_operating_point *point = PL_NEW(arena, struct pl_operating_point);
  size_t nodes = network->node_count;
  size_t elements = network->elements.n;
  size_t devices = network->harness->devices.n;

  point->sweep = sweep;
  point->trial.elements = PL_NEW_ARRAY(arena, struct pl_element, elements);
  point->trial.mode = PL_NEW_ARRAY(arena, uint8_t, elements);
  point->trial.tangent = PL_NEW_ARRAY(arena, double, elements);
  point->trial.reached = PL_NEW_ARRAY(arena, bool, nodes);
  point->trial.on = PL_NEW_ARRAY(arena, bool, devices);
  point->trial.fed = PL_NEW_ARRAY(arena, bool, devices);
  point->trial.high = PL_NEW_ARRAY(arena, double, nodes);
  point->trial.low = PL_NEW_ARRAY(arena, double, nodes);
  point->flows = PL_NEW_ARRAY(arena, struct pl_flow, elements);
  point->high = PL_NEW_ARRAY(arena, double, nodes);
  point->low = PL_NEW_ARRAY(arena, double, nodes);
  point->amps = PL_NEW_ARRAY(arena, double, elements);
  point->tangent = PL_NEW_ARRAY(arena, double, elements);
  point->reached = PL_NEW_ARRAY(arena, bool, nodes);
  point->config = PL_NEW_ARRAY(arena, uint8_t, devices);
  point->part = PL_NEW_ARRAY(arena, uint32_t, nodes);
  point->anchor = PL_NEW_ARRAY(arena, uint32_t, nodes + 1);
  point->mixed = PL_NEW_ARRAY(arena, bool, nodes + 1);
  point->order = PL_NEW_ARRAY(arena, uint32_t, nodes);
  point->enter = PL_NEW_ARRAY(arena, uint32_t, nodes);
  point->last = PL_NEW_ARRAY(arena, uint32_t, nodes);
  point->low_enter = PL_NEW_ARRAY(arena, uint32_t, nodes);
  point->way = PL_NEW_ARRAY(arena, uint32_t, nodes);
  point->modal = PL_NEW_ARRAY(arena, uint32_t, elements);
  point->kept = PL_NEW_ARRAY(arena, uint8_t, elements);
  point->look = PL_NEW_ARRAY(arena, uint32_t, nodes);
  point->column_room = room_for(nodes, elements);
  point->columns = PL_NEW_ARRAY(arena, struct pl_column, point->column_room);
  point->column = PL_NEW_ARRAY(arena, double, point->column_room *nodes);
  point->place = PL_NEW_ARRAY(arena, uint32_t, nodes + elements);
  point->sparse =
      pl_sparse_new(arena, network->node_count - 1, sweep->shadow->stamps, network->elements.n);
  return point;
}

/* ---- what is copied ---- */

static void copy_trial(struct pl_operating_point *point, const struct pl_trial *trial) {
  const struct pl_network *network = trial->network;
  struct pl_trial mine = point->trial;
  size_t nodes = network->node_count;
  size_t elements = network->elements.n;
  size_t devices = network->harness->devices.n;

  point->trial = *trial;
  point->trial.elements = mine.elements;
  point->trial.mode = mine.mode;
  point->trial.tangent = mine.tangent;
  point->trial.reached = mine.reached;
  point->trial.on = mine.on;
  point->trial.fed = mine.fed;
  point->trial.high = mine.high;
  point->trial.low = mine.low;
  memcpy(mine.elements, trial->elements, elements * sizeof *mine.elements);
  memcpy(mine.mode, trial->mode, elements * sizeof *mine.mode);
  memcpy(mine.tangent, trial->tangent, elements * sizeof *mine.tangent);
  memcpy(point->tangent, trial->tangent, elements * sizeof *point->tangent);
  memcpy(mine.reached, trial->reached, nodes * sizeof *mine.reached);
  memcpy(point->reached, trial->reached, nodes * sizeof *point->reached);
  memcpy(mine.on, trial->on, devices * sizeof *mine.on);
  memcpy(mine.fed, trial->fed, devices * sizeof *mine.fed);
  for (size_t n = 0; n < nodes; n++) {
    point->high[n] = trial->reached[n] ? trial->high[n] : 0;
    point->low[n] = trial->reached[n] ? trial->low[n] : 0;
  }
  for (uint32_t i = 0; i < trial->switching_count; i++)
    point->config[i] = (uint8_t)((trial->on[trial->switching[i]] ? 1 : 0) |
                                 (trial->fed[trial->switching[i]] ? 2 : 0));
}

/* ---- parts that float ---- */

static void spread_part(struct pl_operating_point *point, uint32_t first, uint32_t part) {
  const struct pl_network *network = point->trial.network;
  uint32_t *queue = point->sweep->queue;
  uint32_t head = 0;
  uint32_t tail = 0;

  point->part[first] = part;
  queue[tail++] = first;
  for (; head < tail; head++)
    for (uint32_t i = network->touch_start[queue[head]]; i < network->touch_start[queue[head] + 1];
         i++) {
      uint32_t k = network->touch[i];
      const struct pl_element *e = &point->trial.elements[k];
      uint32_t other = e->node_a == queue[head] ? e->node_b : e->node_a;
      if (point->trial.mode[k] == PL_MODE_STEADY || point->trial.mode[k] == PL_MODE_BLOCKS ||
          (point->trial.mode[k] == PL_MODE_CONDUCTS && pl_point_is_one_way(point, k)) ||
          (point->trial.mode[k] == PL_MODE_CONDUCTS && e->kind == PL_ELEMENT_CURRENT))
        point->mixed[part] = true;
      if (point->trial.mode[k] != PL_MODE_CONDUCTS || point->part[other] != PL_NONE ||
          point->reached[other])
        continue;
      point->part[other] = part;
      queue[tail++] = other;
    }
}

static void find_parts(struct pl_operating_point *point) {
  uint32_t nodes = point->trial.network->node_count;

  point->parts = 1;
  for (uint32_t n = 0; n < nodes; n++)
    point->part[n] = point->reached[n] ? 0 : PL_NONE;
  for (uint32_t n = 0; n < nodes; n++) {
    if (point->part[n] != PL_NONE)
      continue;
    point->mixed[point->parts] = false;
    point->anchor[point->parts] = n;
    spread_part(point, n, point->parts++);
  }
}

/* ---- the tree ---- */

static bool leads(const struct pl_operating_point *point, uint32_t k) {
  return point->trial.mode[k] == PL_MODE_CONDUCTS && !pl_point_is_one_way(point, k) &&
         point->flows[k].a != point->flows[k].b;
}

/* Depth first from `root`, without recursion; `next` holds how far each node's list was followed.
 */
static uint32_t
grow_tree(struct pl_operating_point *point, uint32_t root, uint32_t time, uint32_t *next) {
  const struct pl_network *network = point->trial.network;
  uint32_t *stack = point->sweep->queue;
  uint32_t depth = 0;

  point->way[root] = PL_NONE;
  stack[depth++] = root;
  point->enter[root] = point->low_enter[root] = time;
  point->order[time++] = root;
  next[root] = network->touch_start[root];
  while (depth > 0) {
    uint32_t node = stack[depth - 1];
    if (next[node] < network->touch_start[node + 1]) {
      uint32_t k = network->touch[next[node]++];
      uint32_t other;
      if (!leads(point, k) || k == point->way[node])
        continue;
      other = point->flows[k].a == node ? point->flows[k].b : point->flows[k].a;
      if (point->enter[other] != PL_NONE) {
        if (point->enter[other] < point->low_enter[node])
          point->low_enter[node] = point->enter[other];
        continue;
      }
      point->way[other] = k;
      point->enter[other] = point->low_enter[other] = time;
      point->order[time++] = other;
      next[other] = network->touch_start[other];
      stack[depth++] = other;
    } else {
      point->last[node] = time;
      depth--;
      if (depth > 0 && point->low_enter[node] < point->low_enter[stack[depth - 1]])
        point->low_enter[stack[depth - 1]] = point->low_enter[node];
    }
  }
  return time;
}

static void grow_trees(struct pl_operating_point *point) {
  uint32_t nodes = point->trial.network->node_count;
  uint32_t time;

  for (uint32_t n = 0; n < nodes; n++)
    point->enter[n] = PL_NONE;
  time = point->first_tree =
      grow_tree(point, point->trial.network->reference, 0, point->sweep->mark);
  for (uint32_t n = 0; n < nodes; n++)
    if (point->enter[n] == PL_NONE)
      time = grow_tree(point, n, time, point->sweep->mark);
}

/* ---- what decides ---- */

static void add_look(struct pl_operating_point *point, uint32_t node) {
  if (node == PL_NONE || node == point->trial.network->reference || point->sweep->mark[node] == 1)
    return;
  point->sweep->mark[node] = 1;
  point->look[point->look_count++] = node;
}

static void list_deciders(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  const struct pl_shadow *shadow = point->sweep->shadow;

  memset(point->sweep->mark, 0, network->node_count * sizeof(uint32_t));
  point->modal_count = point->look_count = 0;
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_element *e = &point->trial.elements[k];
    if (e->kind != PL_ELEMENT_CURRENT && e->kind != PL_ELEMENT_DIODE &&
        !(e->kind == PL_ELEMENT_SOURCE && (isfinite(e->limit) || network->drives.at[k].blocks)))
      continue;
    point->modal[point->modal_count++] = k;
    add_look(point, e->node_a);
    add_look(point, e->node_b);
  }
  for (uint32_t i = 0; i < point->trial.switching_count; i++) {
    pl_id id = point->trial.switching[i];
    const struct pl_device *d = &network->harness->devices.at[id];
    for (uint32_t j = shadow->of_start[id]; j < shadow->of_start[id + 1]; j++) {
      add_look(point, point->trial.elements[shadow->of_device[j]].node_a);
      add_look(point, point->trial.elements[shadow->of_device[j]].node_b);
    }
    for (pl_id pin = d->first_pin; pin < d->first_pin + d->pin_count; pin++)
      add_look(point, network->pin_node[pin]);
    add_look(point, network->inner_ground[id]);
    add_look(point, network->inner_feed[id]);
  }
}

/* ---- the factors ---- */

static bool factor(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  uint32_t row;

  pl_sparse_clear(point->sparse);
  for (uint32_t k = 0; k < network->elements.n; k++)
    if (point->flows[k].siemens != 0)
      pl_sparse_add(point->sparse, k, point->flows[k].siemens);
  for (uint32_t p = 1; p < point->parts; p++)
    pl_sparse_hold(point->sparse, pl_row_of(network, point->anchor[p]), 1);
  return pl_sparse_factor(point->sparse, &row) == PL_SPARSE_GOOD;
}

/* Volts within the floating parts against their anchors. */
static bool solve_parts(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  double *x = point->sweep->work;

  for (int round = 0; round < ROUNDS && point->parts > 1; round++) {
    memset(x, 0, network->node_count * sizeof *x);
    for (uint32_t k = 0; k < network->elements.n; k++) {
      const struct pl_flow *f = &point->flows[k];
      if (f->siemens == 0 || point->reached[f->a] || point->reached[f->b])
        continue;
      double amps = f->siemens * ((point->high[f->a] - point->high[f->b] - f->offset) +
                                  (point->low[f->a] - point->low[f->b]));
      x[pl_row_of(network, f->a)] -= amps;
      x[pl_row_of(network, f->b)] += amps;
    }
    for (uint32_t p = 1; p < point->parts; p++)
      x[pl_row_of(network, point->anchor[p])] -=
          point->high[point->anchor[p]] + point->low[point->anchor[p]];
    if (!pl_sparse_solve(point->sparse, x))
      return false;
    for (uint32_t n = 0; n < network->node_count; n++) {
      if (point->reached[n])
        continue;
      double more = point->low[n] + x[pl_row_of(network, n)];
      double sum = point->high[n] + more;
      point->low[n] = more - (sum - point->high[n]);
      point->high[n] = sum;
      if (!isfinite(sum))
        return false;
    }
  }
  return true;
}

bool pl_point_take(struct pl_operating_point *point, const struct pl_trial *trial) {
  copy_trial(point, trial);
  for (uint32_t k = 0; k < trial->network->elements.n; k++)
    point->flows[k] = pl_point_law(point, k);
  find_parts(point);
  list_deciders(point);
  grow_trees(point);
  point->term_count = 0;
  point->too_many = point->reach_changed = false;
  point->amps_changed = point->flags_changed = false;
  point->column_count = 0;
  for (uint32_t i = 0; i < trial->network->node_count + trial->network->elements.n; i++)
    point->place[i] = PL_NONE;
  if (!factor(point) || !solve_parts(point))
    return false;
  memcpy(point->trial.high, point->high, trial->network->node_count * sizeof(double));
  memcpy(point->trial.low, point->low, trial->network->node_count * sizeof(double));
  for (uint32_t k = 0; k < trial->network->elements.n; k++)
    point->amps[k] = shown(pl_trial_amps(&point->trial, k));
  for (uint32_t k = 0; k < trial->network->elements.n; k++) {
    point->trial.elements[k].amps = point->amps[k];
    pl_point_flag(point, k);
  }
  return true;
}
