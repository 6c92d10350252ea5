/* Changes on top of one factorisation: A' = A + U D U', one column of U a changed element.  By the
 * Woodbury identity
 *   A'^-1 r = y - Z (I + D S)^-1 D U'y,  with y = A^-1 r, Z = A^-1 U, S = U'Z,
 * and the step from the healthy volts is -Z (I + D S)^-1 q, q the change of each element's amps at
 * those volts.  What rounding leaves is found by
 * Kirchhoff's law over all elements and corrected with the same factors. */
#include "fault/sweep_inner.h"

#include <math.h>
#include <string.h>

enum {
  REFINEMENTS = 24
};
static const double closes = 1e-9; /* relative Kirchhoff error that is let pass, as in step.c */
static const double no_current =
    1e-4; /* amps: a node's currents are measured against this at least: what is left over moves a
             megohm by 0.1 microvolt */
static const double stirs =
    1e-13; /* amps: what changes less leaves all volts as they are (no_current times closes) */
static const double least_pivot = 1e-13; /* below it a cut is complete as far as numbers can tell */
static const double rounding = 1e-12;    /* amps: less is shown as none, as in result.c */

/* ---- terms ---- */

struct pl_term *pl_point_touch(struct pl_operating_point *point, uint32_t k) {
  struct pl_term *term;

  for (uint32_t i = 0; i < point->term_count; i++)
    if (point->terms[i].element == k)
      return &point->terms[i];
  if (point->term_count == PL_FAULT_TERMS) {
    point->too_many = true;
    return NULL;
  }
  term = &point->terms[point->term_count++];
  *term = (struct pl_term){.element = k,
                           .a = point->trial.elements[k].node_a,
                           .b = point->trial.elements[k].node_b,
                           .before = point->trial.elements[k],
                           .flow_before = point->flows[k],
                           .tangent_before = point->trial.tangent[k],
                           .mode_before = point->trial.mode[k],
                           .plus = PL_NONE,
                           .minus = PL_NONE};
  return term;
}

void pl_point_refresh(struct pl_operating_point *point, uint32_t k) {
  point->flows[k] = pl_point_law(point, k);
}

void pl_point_hold(struct pl_operating_point *point, uint32_t node, double siemens) {
  if (point->term_count == PL_FAULT_TERMS) {
    point->too_many = true;
    return;
  }
  point->terms[point->term_count++] =
      (struct pl_term){.element = PL_NONE,
                       .a = node,
                       .b = point->trial.network->reference,
                       .siemens = siemens,
                       .amps = siemens * (point->high[node] + point->low[node]),
                       .plus = PL_NONE,
                       .minus = PL_NONE};
}

void pl_point_undo(struct pl_operating_point *point) {
  if (point->reach_changed)
    memcpy(point->trial.reached,
           point->reached,
           point->trial.network->node_count * sizeof *point->reached);
  if (point->reach_changed)
    point->flags_changed = true;
  point->reach_changed = false;
  while (point->term_count > 0) {
    const struct pl_term *term = &point->terms[--point->term_count];
    if (term->element == PL_NONE)
      continue;
    point->trial.elements[term->element] = term->before;
    point->trial.elements[term->element].amps = point->amps[term->element];
    point->trial.mode[term->element] = term->mode_before;
    point->trial.tangent[term->element] = term->tangent_before;
    point->flows[term->element] = term->flow_before;
    pl_point_flag(point, term->element);
  }
  point->too_many = false;
  const struct pl_network *network = point->trial.network;
  for (uint32_t i = 0; i < network->powers.n; i++) {
    uint32_t k = network->powers.at[i];
    if (point->trial.tangent[k] == point->tangent[k])
      continue;
    point->trial.tangent[k] = point->tangent[k];
    point->flows[k] = pl_point_law(point, k);
  }
}

/* ---- columns ---- */

static uint32_t rows_of(const struct pl_operating_point *point) {
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
  if (wanted->n == PL_FAULT_AHEAD || key == PL_NONE || point->place[key] != PL_NONE)
    return;
  for (uint32_t i = 0; i < wanted->n; i++)
    if (wanted->key[i] == key)
      return;
  wanted->key[wanted->n++] = key;
}

static uint32_t pair_key(const struct pl_operating_point *point, uint32_t element) {
  return point->flows[element].a == point->flows[element].b
             ? PL_NONE
             : point->trial.network->node_count + element;
}

static void want_node(const struct pl_operating_point *point, struct wanted *wanted, pl_id pin) {
  uint32_t node = pl_network_pin_node(point->trial.network, pin);

  if (node != PL_NONE && node != point->trial.network->reference)
    want(point, wanted, node);
}

/* Columns that the faults to come will ask for. */
static void want_ahead(const struct pl_operating_point *point, struct wanted *wanted) {
  const struct pl_network *network = point->trial.network;

  for (uint32_t i = 0; i < point->sweep->next_count && wanted->n < PL_FAULT_AHEAD; i++) {
    const struct pl_fault *fault = &point->sweep->next[i];
    if ((fault->kind == PL_FAULT_OPEN || fault->kind == PL_FAULT_RESISTANCE) &&
        fault->wire < network->harness->wires.n) {
      uint32_t k = network->wire_element[fault->wire];
      if (k != PL_NONE)
        want(point, wanted, pair_key(point, k));
    } else if (fault->kind == PL_FAULT_TO_CHASSIS || fault->kind == PL_FAULT_TO_BATTERY) {
      want_node(point, wanted, fault->pin_a);
    } else if (fault->kind == PL_FAULT_SHORTED && fault->device == PL_NONE) {
      want_node(point, wanted, fault->pin_a);
      want_node(point, wanted, fault->pin_b);
    }
  }
}

static bool solve_wanted(struct pl_operating_point *point, const struct wanted *wanted) {
  const struct pl_network *network = point->trial.network;
  uint32_t rows = rows_of(point);
  uint32_t nodes = network->node_count;
  double *work = point->sweep->work;

  memset(work, 0, (size_t)wanted->n * rows * sizeof *work);
  for (uint32_t i = 0; i < wanted->n; i++) {
    bool pair = wanted->key[i] >= nodes;
    uint32_t a = pair ? point->flows[wanted->key[i] - nodes].a : wanted->key[i];
    uint32_t b = pair ? point->flows[wanted->key[i] - nodes].b : network->reference;
    if (a != network->reference)
      work[(size_t)i * rows + pl_row_of(network, a)] += 1;
    if (b != network->reference)
      work[(size_t)i * rows + pl_row_of(network, b)] -= 1;
  }
  if (!pl_sparse_solve_many(point->sparse, wanted->n, work))
    return false;
  for (uint32_t i = 0; i < wanted->n; i++) {
    uint32_t place = place_for(point);
    memcpy(point->column + (size_t)place * rows, work + (size_t)i * rows, rows * sizeof *work);
    point->columns[place] = (struct pl_column){wanted->key[i], ++point->sweep->turn};
    point->place[wanted->key[i]] = place;
  }
  return true;
}

/* An element's own ends are one column; a join of the fault, or an anchor, is made of two that
 * other faults use too. */
static bool is_pair(const struct pl_operating_point *point, const struct pl_term *term) {
  return term->element != PL_NONE && term->element != point->sweep->shadow->join;
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

/* Columns of all terms.  Those in use were used last, and there are more places than terms, so none
 * is pushed out by another. */
static bool fetch_columns(struct pl_operating_point *point) {
  uint32_t reference = point->trial.network->reference;

  for (int round = 0; round < 2; round++) /* the second finds them all where the first put them */
    for (uint32_t i = 0; i < point->term_count; i++) {
      struct pl_term *term = &point->terms[i];
      if (term->idle)
        continue;
      if (is_pair(point, term)) {
        term->plus = use_column(point, pair_key(point, term->element));
        term->minus = PL_NONE;
        if (term->plus == PL_NONE)
          return false;
        continue;
      }
      term->plus = term->a == reference ? PL_NONE : use_column(point, term->a);
      term->minus = term->b == reference ? PL_NONE : use_column(point, term->b);
    }
  return true;
}

static double column_at(const struct pl_operating_point *point, uint32_t column, uint32_t node) {
  const struct pl_network *network = point->trial.network;

  if (column == PL_NONE || node == network->reference)
    return 0;
  return point->column[(size_t)column * rows_of(point) + pl_row_of(network, node)];
}

/* Volts at a node for one ampere through the term. */
static double
reply(const struct pl_operating_point *point, const struct pl_term *term, uint32_t node) {
  return column_at(point, term->plus, node) - column_at(point, term->minus, node);
}

/* ---- the small system ---- */

static bool factor_small(struct pl_operating_point *point) {
  uint32_t n = point->term_count;

  for (uint32_t c = 0; c < n; c++) {
    uint32_t best = c;
    double size = 0;
    for (uint32_t r = c; r < n; r++)
      if (fabs(point->matrix[r][c]) > fabs(point->matrix[best][c]))
        best = r;
    point->swap[c] = best;
    for (uint32_t k = 0; k < n; k++) {
      double t = point->matrix[c][k];
      point->matrix[c][k] = point->matrix[best][k];
      point->matrix[best][k] = t;
      size = fmax(size, fabs(point->matrix[c][k]));
    }
    if (!(fabs(point->matrix[c][c]) > least_pivot * fmax(size, 1)))
      return false;
    for (uint32_t r = c + 1; r < n; r++) {
      double f = point->matrix[r][c] /= point->matrix[c][c];
      for (uint32_t k = c + 1; k < n; k++)
        point->matrix[r][k] -= f * point->matrix[c][k];
    }
  }
  return true;
}

static void solve_small(const struct pl_operating_point *point, double *x) {
  uint32_t n = point->term_count;

  for (uint32_t c = 0; c < n; c++) {
    double t = x[c];
    x[c] = x[point->swap[c]];
    x[point->swap[c]] = t;
  }
  for (uint32_t r = 0; r < n; r++)
    for (uint32_t k = 0; k < r; k++)
      x[r] -= point->matrix[r][k] * x[k];
  for (uint32_t r = n; r-- > 0;) {
    for (uint32_t k = r + 1; k < n; k++)
      x[r] -= point->matrix[r][k] * x[k];
    x[r] /= point->matrix[r][r];
  }
}

static inline double flow_at(const struct pl_flow *f, const double *high, const double *low) {
  double s = high[f->a] - high[f->b];
  double t = s - high[f->a];
  double off = (high[f->a] - (s - t)) - (high[f->b] + t);

  return f->siemens * ((s - f->offset) + (off + (low[f->a] - low[f->b]))) + f->amps;
}

bool pl_point_combine(struct pl_operating_point *point) {
  point->still = true;
  for (uint32_t i = 0; i < point->term_count; i++) {
    struct pl_term *term = &point->terms[i];
    if (term->element == PL_NONE)
      continue;
    const struct pl_flow *now = &point->flows[term->element];
    term->siemens = term->idle ? 0 : now->siemens - term->flow_before.siemens;
    if (term->before.node_a != now->a || term->before.node_b != now->b)
      term->a = now->a, term->b = now->b;
    struct pl_flow was = term->flow_before;
    was.a = now->a;
    was.b = now->b;
    term->amps =
        term->idle ? 0
                   : flow_at(now, point->high, point->low) - flow_at(&was, point->high, point->low);
    if (!(fabs(term->amps) <= stirs))
      point->still = false;
  }
  if (point->still) {
    memset(point->share, 0, point->term_count * sizeof *point->share);
    return true;
  }
  if (!fetch_columns(point))
    return false;
  for (uint32_t r = 0; r < point->term_count; r++) {
    const struct pl_term *term = &point->terms[r];
    for (uint32_t c = 0; c < point->term_count; c++) {
      double s =
          point->terms[c].idle || term->siemens == 0
              ? 0
              : reply(point, &point->terms[c], term->a) - reply(point, &point->terms[c], term->b);
      point->matrix[r][c] = (r == c ? 1 : 0) + term->siemens * s;
    }
    point->share[r] = term->amps;
  }
  if (!factor_small(point))
    return false;
  solve_small(point, point->share);
  for (uint32_t r = 0; r < point->term_count; r++)
    if (!isfinite(point->share[r]))
      return false;
  return true;
}

/* ---- volts ---- */

static void add_small(double *high, double *low, double more) {
  more += *low;
  double sum = *high + more;
  *low = more - (sum - *high);
  *high = sum;
}

/* more -= by times the column, at the nodes that are looked at. */
static void
spread_look(const struct pl_operating_point *point, uint32_t place, double by, double *more) {
  const double *column = point->column + (size_t)place * rows_of(point);
  const struct pl_network *network = point->trial.network;

  if (place == PL_NONE || by == 0)
    return;
  for (uint32_t i = 0; i < point->look_count; i++)
    more[i] -= by * column[pl_row_of(network, point->look[i])];
}

void pl_point_look(struct pl_operating_point *point) {
  double *more = point->sweep->work;

  memset(more, 0, point->look_count * sizeof *more);
  for (uint32_t j = 0; j < point->term_count; j++) {
    spread_look(point, point->terms[j].plus, point->share[j], more);
    spread_look(point, point->terms[j].minus, -point->share[j], more);
  }
  for (uint32_t i = 0; i < point->look_count; i++) {
    uint32_t n = point->look[i];
    point->trial.high[n] = point->high[n];
    point->trial.low[n] = point->low[n];
    if (more[i] != 0)
      add_small(&point->trial.high[n], &point->trial.low[n], more[i]);
  }
}

/* work -= Z share, by row. */
static void spread(const struct pl_operating_point *point, const double *share, double *work) {
  uint32_t rows = rows_of(point);

  for (uint32_t j = 0; j < point->term_count; j++) {
    const struct pl_term *term = &point->terms[j];
    if (share[j] == 0)
      continue;
    const double *plus = term->plus == PL_NONE ? NULL : point->column + (size_t)term->plus * rows;
    const double *minus =
        term->minus == PL_NONE ? NULL : point->column + (size_t)term->minus * rows;
    double by = share[j];
    if (plus != NULL && minus != NULL)
      for (uint32_t r = 0; r < rows; r++)
        work[r] -= by * (plus[r] - minus[r]);
    else if (plus != NULL)
      for (uint32_t r = 0; r < rows; r++)
        work[r] -= by * plus[r];
    else if (minus != NULL)
      for (uint32_t r = 0; r < rows; r++)
        work[r] += by * minus[r];
  }
}

static void add_volts(struct pl_operating_point *point,
                      const double *from_high,
                      const double *from_low,
                      const double *more) {
  uint32_t nodes = point->trial.network->node_count;
  uint32_t reference = point->trial.network->reference;
  double *high = point->trial.high;
  double *low = point->trial.low;

  for (uint32_t n = 0, r = 0; n < nodes; n++) {
    double m = from_low[n];
    double h = from_high[n];
    if (n != reference)
      m += more[r++];
    double sum = h + m;
    low[n] = m - (sum - h);
    high[n] = sum;
  }
}

/* ---- Kirchhoff's law ---- */

/* Amps of every element into the sweep's, what is left over at each node, and the worst of it
 * against the largest current there; NAN: not finite. */
static double weigh(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  const double *high = point->trial.high;
  const double *low = point->trial.low;
  const bool *reached = point->trial.reached;
  double *balance = point->sweep->balance;
  double *largest = point->sweep->largest;
  double *shown = point->sweep->amps;
  double worst = 0;

  memset(balance, 0, network->node_count * sizeof *balance);
  memset(largest, 0, network->node_count * sizeof *largest);
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_flow *f = &point->flows[k];
    shown[k] = 0;
    if ((f->siemens == 0 && f->amps == 0) || !reached[f->a] || !reached[f->b])
      continue;
    double amps = flow_at(f, high, low);
    double size = fabs(amps);
    if (size >= rounding)
      shown[k] = amps;
    balance[f->a] -= amps;
    balance[f->b] += amps;
    if (size > largest[f->a])
      largest[f->a] = size;
    if (size > largest[f->b])
      largest[f->b] = size;
  }
  for (uint32_t n = 0; n < network->node_count; n++) {
    double error = fabs(balance[n]);
    double than = largest[n] > no_current ? largest[n] : no_current;
    if (error > worst * than && n != network->reference)
      worst = error / than;
    if (!(error < INFINITY))
      return NAN;
  }
  return worst;
}

/* Laws of steady power about the volts of now. */
static void set_tangents(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;

  for (uint32_t i = 0; i < network->powers.n; i++) {
    uint32_t k = network->powers.at[i];
    const struct pl_element *e = &point->trial.elements[k];
    if (point->trial.mode[k] != PL_MODE_STEADY || !(e->watts > 0) ||
        !point->trial.reached[e->node_a] || !point->trial.reached[e->node_b])
      continue;
    double volts = pl_trial_volts(&point->trial, e->node_a, e->node_b);
    if (!(volts > e->volts / 2))
      continue;
    point->trial.tangent[k] = volts;
    point->flows[k] = pl_point_law(point, k);
  }
}

static bool correct(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  double *x = point->sweep->work;
  double share[PL_FAULT_TERMS];

  for (uint32_t n = 0, r = 0; n < network->node_count; n++) {
    if (n == network->reference)
      continue;
    x[r++] = point->trial.reached[n] ? point->sweep->balance[n] : 0;
  }
  if (!pl_sparse_solve(point->sparse, x))
    return false;
  for (uint32_t i = 0; i < point->term_count; i++) {
    const struct pl_term *term = &point->terms[i];
    double a = term->a == network->reference ? 0 : x[pl_row_of(network, term->a)];
    double b = term->b == network->reference ? 0 : x[pl_row_of(network, term->b)];
    share[i] = term->siemens * (a - b);
  }
  solve_small(point, share);
  spread(point, share, x);
  add_volts(point, point->trial.high, point->trial.low, x);
  return true;
}

bool pl_point_close(struct pl_operating_point *point) {
  double *work = point->sweep->work;
  double before = INFINITY;
  double worst;

  memset(work, 0, rows_of(point) * sizeof *work);
  spread(point, point->share, work);
  add_volts(point, point->high, point->low, work);
  for (int round = 0;; round++) {
    if (point->trial.network->powers.n > 0)
      set_tangents(point);
    worst = weigh(point);
    if (isnan(worst))
      return false;
    if (worst <= closes)
      return true;
    if (round == REFINEMENTS || (round > 6 && worst > before))
      return false;
    before = worst;
    if (!correct(point))
      return false;
  }
}
