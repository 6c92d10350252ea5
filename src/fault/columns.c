/* Columns of A^-1: the answers of the healthy network to one ampere in at one node and out at
 * another.  A fault takes a few of them, and neighbouring faults take the same: they are kept,
 * those unused for longest give way, and what the next faults of a sweep will ask for is solved
 * along, because the solver reads its factors once for several right-hand sides. */
#include <string.h>

#include "fault/sweep_inner.h"

uint32_t pl_point_rows(const struct pl_operating_point *point) {
  return point->trial.network->node_count - 1;
}

/* Where the next one goes: to the end, or in place of the one unused for longest. */
static uint32_t place_for(struct pl_operating_point *point) {
  uint32_t best = 0;

  if (point->column_count < point->column_room)
    return point->column_count++;
  for (uint32_t i = 1; i < point->column_room; i++)
    if (point->columns[i].used < point->columns[best].used)
      best = i;
  point->place[point->columns[best].key] = PL_NONE;
  return best;
}

struct wanted {
  uint32_t n, key[PL_FAULT_AHEAD];
};

static void want(const struct pl_operating_point *point, struct wanted *wanted, uint32_t key) {
  if (wanted->n == PL_FAULT_AHEAD || key == PL_NONE)
    return;
  if (point->place[key] != PL_NONE)
    return;
  for (uint32_t i = 0; i < wanted->n; i++)
    if (wanted->key[i] == key)
      return;
  wanted->key[wanted->n++] = key;
}

static uint32_t pair_key(const struct pl_operating_point *point, uint32_t element) {
  const struct pl_flow *flow = &point->flows[element];

  if (flow->a == flow->b)
    return PL_NONE;
  return point->trial.network->node_count + element;
}

static void want_node(const struct pl_operating_point *point, struct wanted *wanted, pl_id pin) {
  uint32_t node = pl_network_pin_node(point->trial.network, pin);

  if (node != PL_NONE && node != point->trial.network->reference)
    want(point, wanted, node);
}

/* Columns that one of the faults to come will ask for. */
static void want_for(const struct pl_operating_point *point,
                     struct wanted *wanted,
                     const struct pl_fault *fault) {
  const struct pl_network *network = point->trial.network;
  uint32_t k;

  switch (fault->kind) {
    case PL_FAULT_OPEN:
    case PL_FAULT_RESISTANCE:
      if (fault->wire >= network->harness->wires.n)
        return;
      k = network->wire_element[fault->wire];
      if (k != PL_NONE)
        want(point, wanted, pair_key(point, k));
      return;
    case PL_FAULT_TO_CHASSIS:
    case PL_FAULT_TO_BATTERY:
      want_node(point, wanted, fault->pin_a);
      return;
    case PL_FAULT_SHORTED:
      if (fault->device != PL_NONE)
        return;
      want_node(point, wanted, fault->pin_a);
      want_node(point, wanted, fault->pin_b);
      return;
    case PL_FAULT_STUCK_IN:
    case PL_FAULT_STUCK_OUT:
    case PL_FAULT_STUCK_POSITION:
    case PL_FAULT_STUCK_ON:
    case PL_FAULT_STUCK_OFF:
    case PL_FAULT_UNPLUGGED:
    case PL_FAULT_LOOSE:
    case PL_FAULT_DEAD:
      return; /* several elements, each changed in its own way: not foretold */
  }
}

static void want_ahead(const struct pl_operating_point *point, struct wanted *wanted) {
  const struct pl_sweep *sweep = point->sweep;

  for (uint32_t i = 0; i < sweep->next_count && wanted->n < PL_FAULT_AHEAD; i++)
    want_for(point, wanted, &sweep->next[i]);
}

double *pl_point_column(const struct pl_operating_point *point, uint32_t place) {
  return point->column + (size_t)place * pl_point_rows(point);
}

/* One ampere in at the key's first node and out at its second. */
static void inject(const struct pl_operating_point *point, uint32_t key, double *amps) {
  const struct pl_network *network = point->trial.network;
  uint32_t a = key;
  uint32_t b = network->reference;

  if (key >= network->node_count) {
    const struct pl_flow *flow = &point->flows[key - network->node_count];
    a = flow->a;
    b = flow->b;
  }
  if (a != network->reference)
    amps[pl_row_of(network, a)] += 1;
  if (b != network->reference)
    amps[pl_row_of(network, b)] -= 1;
}

static bool solve_wanted(struct pl_operating_point *point, const struct wanted *wanted) {
  size_t rows = pl_point_rows(point);
  double *work = point->sweep->work;

  memset(work, 0, wanted->n * rows * sizeof *work);
  for (uint32_t i = 0; i < wanted->n; i++)
    inject(point, wanted->key[i], work + i * rows);
  if (!pl_sparse_solve_many(point->sparse, wanted->n, work))
    return false;
  for (uint32_t i = 0; i < wanted->n; i++) {
    uint32_t key = wanted->key[i];
    uint32_t place = place_for(point);
    memcpy(pl_point_column(point, place), work + i * rows, rows * sizeof *work);
    point->columns[place] = (struct pl_column){key, ++point->sweep->turn};
    point->place[key] = place;
  }
  return true;
}

/* An element's own ends are one column; a join of the fault, or an anchor, is made of two that
 * other faults use too. */
static bool is_pair(const struct pl_operating_point *point, const struct pl_term *term) {
  if (term->element == PL_NONE)
    return false;
  return term->element != point->sweep->shadow->join;
}

static uint32_t use_column(struct pl_operating_point *point, uint32_t key) {
  struct wanted wanted = {0};

  if (key == PL_NONE)
    return PL_NONE;
  if (point->place[key] == PL_NONE) {
    want(point, &wanted, key);
    want_ahead(point, &wanted);
    if (!solve_wanted(point, &wanted))
      return PL_NONE;
  }
  point->columns[point->place[key]].used = ++point->sweep->turn;
  return point->place[key];
}

/* The column of a node against the reference. */
static uint32_t use_node(struct pl_operating_point *point, uint32_t node) {
  if (node == point->trial.network->reference)
    return PL_NONE;
  return use_column(point, node);
}

static bool fetch_column(struct pl_operating_point *point, struct pl_term *term) {
  if (term->idle)
    return true;
  if (!is_pair(point, term)) {
    term->plus = use_node(point, term->a);
    term->minus = use_node(point, term->b);
    return true;
  }
  term->plus = use_column(point, pair_key(point, term->element));
  term->minus = PL_NONE;
  return term->plus != PL_NONE;
}

/* Columns of all terms.  Those in use were used last, and there are more places than terms, so none
 * is pushed out by another. */
bool pl_point_fetch_columns(struct pl_operating_point *point) {
  for (int round = 0; round < 2; round++) /* the second finds them all where the first put them */
    for (uint32_t i = 0; i < point->term_count; i++)
      if (!fetch_column(point, &point->terms[i]))
        return false;
  return true;
}

static double column_at(const struct pl_operating_point *point, uint32_t column, uint32_t node) {
  const struct pl_network *network = point->trial.network;

  if (column == PL_NONE || node == network->reference)
    return 0;
  return pl_point_column(point, column)[pl_row_of(network, node)];
}

/* Volts at a node for one ampere through the term. */
double
pl_point_reply(const struct pl_operating_point *point, const struct pl_term *term, uint32_t node) {
  return column_at(point, term->plus, node) - column_at(point, term->minus, node);
}
