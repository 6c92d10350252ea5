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

  if (e->kind == PL_ELEMENT_DIODE)
    return true;
  return e->kind == PL_ELEMENT_SOURCE && point->trial.network->drives.at[k].blocks;
}

/* What conducts does so in floating parts too; fixed amps and steady watts flow only where both
 * ends are reached. */
struct pl_flow pl_point_law(const struct pl_operating_point *point, uint32_t k) {
  const struct pl_trial *trial = &point->trial;
  const struct pl_element *e = &trial->elements[k];
  struct pl_flow flow = {.a = e->node_a, .b = e->node_b};
  double tangent = trial->tangent[k];

  if (e->node_a == e->node_b)
    return flow;
  if (trial->mode[k] == PL_MODE_CONDUCTS) {
    flow.siemens = 1 / e->ohms;
    if (e->kind == PL_ELEMENT_SOURCE || e->kind == PL_ELEMENT_DIODE)
      flow.offset = e->volts;
    return flow;
  }
  if (trial->mode[k] != PL_MODE_STEADY)
    return flow;
  if (!pl_trial_reaches(trial, e))
    return flow;
  if (e->watts > 0) { /* amps = watts / volts as a line about the tangent's volts */
    flow.siemens = -e->watts / (tangent * tangent);
    flow.offset = 2 * tangent;
  } else {
    if (e->kind == PL_ELEMENT_SOURCE)
      flow.amps = -e->limit;
    else
      flow.amps = e->limit;
  }
  return flow;
}

void pl_point_flag(struct pl_operating_point *point, uint32_t k) {
  struct pl_element *e = &point->trial.elements[k];
  uint8_t mode = point->trial.mode[k];
  bool joined = pl_trial_reaches(&point->trial, e);

  e->open = !joined || mode == PL_MODE_OPEN || mode == PL_MODE_BLOCKS;
  e->limited = joined && mode == PL_MODE_STEADY;
  if (e->limited && e->watts > 0)
    e->limit = e->amps;
}

void pl_point_refresh(struct pl_operating_point *point, uint32_t k) {
  point->flows[k] = pl_point_law(point, k);
}

/* All that may be asked for, where that is not too much. */
static uint32_t room_for(size_t nodes, size_t elements) {
  size_t room = PL_FAULT_ROOM / nodes;

  if (room > nodes + elements)
    room = nodes + elements;
  return room > PL_FAULT_COLUMNS ? (uint32_t)room : PL_FAULT_COLUMNS;
}

static void make_trial(struct pl_trial *trial, const struct pl_network *network) {
  struct pl_arena *arena = network->arena;
  size_t nodes = network->node_count;
  size_t elements = network->elements.n;
  size_t devices = network->harness->devices.n;

  trial->elements = PL_NEW_ARRAY(arena, struct pl_element, elements);
  trial->mode = PL_NEW_ARRAY(arena, uint8_t, elements);
  trial->tangent = PL_NEW_ARRAY(arena, double, elements);
  trial->reached = PL_NEW_ARRAY(arena, bool, nodes);
  trial->on = PL_NEW_ARRAY(arena, bool, devices);
  trial->fed = PL_NEW_ARRAY(arena, bool, devices);
  trial->high = PL_NEW_ARRAY(arena, double, nodes);
  trial->low = PL_NEW_ARRAY(arena, double, nodes);
}

struct pl_operating_point *pl_point_new(struct pl_sweep *sweep) {
  const struct pl_network *network = &sweep->shadow->network;
  struct pl_arena *arena = network->arena;
  struct pl_operating_point *point = PL_NEW(arena, struct pl_operating_point);
  size_t nodes = network->node_count;
  size_t elements = network->elements.n;
  size_t devices = network->harness->devices.n;

  point->sweep = sweep;
  make_trial(&point->trial, network);
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
  point->column = pl_arena_alloc(arena, point->column_room * nodes, sizeof(double));
  point->place = PL_NEW_ARRAY(arena, uint32_t, nodes + elements);
  point->sparse =
      pl_sparse_new(arena, network->node_count - 1, sweep->shadow->stamps, network->elements.n);
  return point;
}

/* ---- what is copied ---- */

/* The trial's own arrays keep their places: what they hold is copied. */
static void copy_arrays(struct pl_trial *to, const struct pl_trial *from) {
  const struct pl_network *network = from->network;
  size_t nodes = network->node_count;
  size_t elements = network->elements.n;
  size_t devices = network->harness->devices.n;

  memcpy(to->elements, from->elements, elements * sizeof *to->elements);
  memcpy(to->mode, from->mode, elements * sizeof *to->mode);
  memcpy(to->tangent, from->tangent, elements * sizeof *to->tangent);
  memcpy(to->reached, from->reached, nodes * sizeof *to->reached);
  memcpy(to->on, from->on, devices * sizeof *to->on);
  memcpy(to->fed, from->fed, devices * sizeof *to->fed);
}

uint8_t pl_point_standing(const struct pl_trial *trial, pl_id device) {
  return (uint8_t)((trial->on[device] ? PL_STANDS_ON : 0) |
                   (trial->fed[device] ? PL_STANDS_FED : 0));
}

static void copy_trial(struct pl_operating_point *point, const struct pl_trial *trial) {
  size_t nodes = trial->network->node_count;
  size_t elements = trial->network->elements.n;
  struct pl_trial mine = point->trial;

  copy_arrays(&mine, trial);
  point->trial = *trial;
  point->trial.elements = mine.elements;
  point->trial.mode = mine.mode;
  point->trial.tangent = mine.tangent;
  point->trial.reached = mine.reached;
  point->trial.on = mine.on;
  point->trial.fed = mine.fed;
  point->trial.high = mine.high;
  point->trial.low = mine.low;
  memcpy(point->tangent, trial->tangent, elements * sizeof *point->tangent);
  memcpy(point->reached, trial->reached, nodes * sizeof *point->reached);
  for (size_t n = 0; n < nodes; n++) {
    if (trial->reached[n])
      point->high[n] = trial->high[n];
    else
      point->high[n] = 0;
    if (trial->reached[n])
      point->low[n] = trial->low[n];
    else
      point->low[n] = 0;
  }
  for (uint32_t i = 0; i < trial->switching_count; i++)
    point->config[i] = pl_point_standing(trial, trial->switching[i]);
}

/* ---- parts that float ---- */

/* Neither open nor a plain conductor: what it does in a part that is joined again must be asked. */
static bool is_mixed(const struct pl_operating_point *point, uint32_t k) {
  enum pl_element_kind kind = point->trial.elements[k].kind;

  switch ((enum pl_mode)point->trial.mode[k]) {
    case PL_MODE_OPEN:
      return false;
    case PL_MODE_STEADY:
    case PL_MODE_BLOCKS:
      return true;
    case PL_MODE_CONDUCTS:
      return kind == PL_ELEMENT_CURRENT || pl_point_is_one_way(point, k);
  }
  return false;
}

/* Everything that conducts on from `first` is of one part: breadth first, each element looked at
 * twice. */
static void spread_part(struct pl_operating_point *point, uint32_t first, uint32_t part) {
  const struct pl_network *network = point->trial.network;
  uint32_t *queue = point->sweep->queue;
  uint32_t tail = 0;

  point->part[first] = part;
  queue[tail++] = first;
  for (uint32_t head = 0; head < tail; head++) {
    uint32_t node = queue[head];
    const uint32_t *end = pl_touch_end(network, node);
    for (const uint32_t *at = pl_touch_first(network, node); at < end; at++) {
      uint32_t k = *at;
      uint32_t other = pl_element_other(&point->trial.elements[k], node);
      if (is_mixed(point, k))
        point->mixed[part] = true;
      if (point->trial.mode[k] != PL_MODE_CONDUCTS)
        continue;
      if (point->part[other] != PL_NONE)
        continue;
      if (point->reached[other])
        continue;
      point->part[other] = part;
      queue[tail++] = other;
    }
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
  const struct pl_flow *flow = &point->flows[k];

  if (point->trial.mode[k] != PL_MODE_CONDUCTS)
    return false;
  if (flow->a == flow->b)
    return false;
  return !pl_point_is_one_way(point, k);
}

static void enter_node(struct pl_operating_point *point, uint32_t node, uint32_t time) {
  point->enter[node] = time;
  point->low_enter[node] = time;
  point->order[time] = node;
}

static void lower(uint32_t *to, uint32_t value) {
  if (value < *to)
    *to = value;
}

/* Depth first from `root`, without recursion; `next` holds how far each node's list was followed.
 * Each node learns when it was entered and the earliest node that a way back from its branch leads
 * to: an element whose branch has none is a bridge, and cutting it cuts the branch off (Tarjan, "A
 * note on finding the bridges of a graph", 1974).  One look at every element. */
static uint32_t
grow_tree(struct pl_operating_point *point, uint32_t root, uint32_t time, const uint32_t **next) {
  const struct pl_network *network = point->trial.network;
  uint32_t *stack = point->sweep->queue;
  uint32_t depth = 0;

  point->way[root] = PL_NONE;
  stack[depth++] = root;
  enter_node(point, root, time++);
  next[root] = pl_touch_first(network, root);
  while (depth > 0) {
    uint32_t node = stack[depth - 1];
    if (next[node] == pl_touch_end(network, node)) {
      point->last[node] = time;
      depth--;
      if (depth > 0)
        lower(&point->low_enter[stack[depth - 1]], point->low_enter[node]);
      continue;
    }
    uint32_t k = *next[node]++;
    if (!leads(point, k))
      continue;
    if (k == point->way[node])
      continue;
    const struct pl_flow *flow = &point->flows[k];
    uint32_t other = flow->a == node ? flow->b : flow->a;
    if (point->enter[other] != PL_NONE) {
      lower(&point->low_enter[node], point->enter[other]);
      continue;
    }
    point->way[other] = k;
    enter_node(point, other, time++);
    next[other] = pl_touch_first(network, other);
    stack[depth++] = other;
  }
  return time;
}

static void grow_trees(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  const uint32_t **next = point->sweep->next_touch;
  uint32_t time;

  for (uint32_t n = 0; n < network->node_count; n++)
    point->enter[n] = PL_NONE;
  time = grow_tree(point, network->reference, 0, next);
  point->first_tree = time;
  for (uint32_t n = 0; n < network->node_count; n++)
    if (point->enter[n] == PL_NONE)
      time = grow_tree(point, n, time, next);
}

/* ---- what decides ---- */

static void add_look(struct pl_operating_point *point, uint32_t node) {
  uint32_t *mark = point->sweep->mark;

  if (node == PL_NONE)
    return;
  if (node == point->trial.network->reference)
    return;
  if (mark[node] == 1)
    return;
  mark[node] = 1;
  point->look[point->look_count++] = node;
}

static void look_at_ends(struct pl_operating_point *point, uint32_t k) {
  const struct pl_element *e = &point->trial.elements[k];

  add_look(point, e->node_a);
  add_look(point, e->node_b);
}

static void look_at_device(struct pl_operating_point *point, pl_id id) {
  const struct pl_network *network = point->trial.network;
  const struct pl_shadow *shadow = point->sweep->shadow;
  const struct pl_device *d = &network->harness->devices.at[id];

  for (uint32_t j = shadow->of_start[id]; j < shadow->of_start[id + 1]; j++)
    look_at_ends(point, shadow->of_device[j]);
  for (uint32_t i = 0; i < d->pin_count; i++)
    add_look(point, network->pin_node[d->first_pin + i]);
  add_look(point, network->inner_ground[id]);
  add_look(point, network->inner_feed[id]);
}

static void list_deciders(struct pl_operating_point *point) {
  const struct pl_trial *trial = &point->trial;
  const struct pl_network *network = trial->network;

  memset(point->sweep->mark, 0, network->node_count * sizeof *point->sweep->mark);
  point->modal_count = 0;
  point->look_count = 0;
  for (uint32_t k = 0; k < network->elements.n; k++) {
    if (!pl_trial_has_modes(trial, k))
      continue;
    point->modal[point->modal_count++] = k;
    look_at_ends(point, k);
  }
  for (uint32_t i = 0; i < trial->switching_count; i++)
    look_at_device(point, trial->switching[i]);
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

/* Amps left over in the floating parts, into what flows in by row. */
static void balance_parts(const struct pl_operating_point *point, double *x) {
  const struct pl_network *network = point->trial.network;
  const double *high = point->high;
  const double *low = point->low;

  memset(x, 0, network->node_count * sizeof *x);
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_flow *f = &point->flows[k];
    if (f->siemens == 0)
      continue;
    if (point->reached[f->a])
      continue;
    if (point->reached[f->b])
      continue;
    double across = (high[f->a] - high[f->b] - f->offset) + (low[f->a] - low[f->b]);
    double amps = f->siemens * across;
    x[pl_row_of(network, f->a)] -= amps;
    x[pl_row_of(network, f->b)] += amps;
  }
  for (uint32_t p = 1; p < point->parts; p++) {
    uint32_t node = point->anchor[p];
    x[pl_row_of(network, node)] -= high[node] + low[node];
  }
}

static bool correct_parts(struct pl_operating_point *point, const double *x) {
  const struct pl_network *network = point->trial.network;

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
  return true;
}

/* Volts within the floating parts against their anchors. */
static bool solve_parts(struct pl_operating_point *point) {
  double *x = point->sweep->work;

  for (int round = 0; round < ROUNDS && point->parts > 1; round++) {
    balance_parts(point, x);
    if (!pl_sparse_solve(point->sparse, x))
      return false;
    if (!correct_parts(point, x))
      return false;
  }
  return true;
}

static void clear_changes(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  size_t keys = (size_t)network->node_count + network->elements.n;

  point->term_count = 0;
  point->too_many = false;
  point->reach_changed = false;
  point->amps_changed = false;
  point->flags_changed = false;
  point->column_count = 0;
  for (size_t i = 0; i < keys; i++)
    point->place[i] = PL_NONE;
}

bool pl_point_take(struct pl_operating_point *point, const struct pl_trial *trial) {
  uint32_t elements = trial->network->elements.n;
  size_t size = trial->network->node_count * sizeof(double);

  copy_trial(point, trial);
  for (uint32_t k = 0; k < elements; k++)
    pl_point_refresh(point, k);
  find_parts(point);
  list_deciders(point);
  grow_trees(point);
  clear_changes(point);
  if (!factor(point))
    return false;
  if (!solve_parts(point))
    return false;
  memcpy(point->trial.high, point->high, size);
  memcpy(point->trial.low, point->low, size);
  for (uint32_t k = 0; k < elements; k++) {
    point->amps[k] = shown(pl_trial_amps(&point->trial, k));
    point->trial.elements[k].amps = point->amps[k];
    pl_point_flag(point, k);
  }
  return true;
}
