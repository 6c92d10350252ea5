/* Changes on top of one factorisation: A' = A + U D U', one column of U a changed element.  By the
 * Woodbury identity
 *   A'^-1 r = y - Z (I + D S)^-1 D U'y,  with y = A^-1 r, Z = A^-1 U, S = U'Z,
 * and the step from the healthy volts is -Z (I + D S)^-1 q, q the change of each element's amps at
 * those volts.  What rounding leaves is found by
 * Kirchhoff's law over all elements and corrected with the same factors. */
#include "fault/rest_inner.h"

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

struct pl_term *pl_rest_touch(struct pl_rest *level, uint32_t k) {
  struct pl_term *term;

  for (uint32_t i = 0; i < level->term_count; i++)
    if (level->terms[i].element == k)
      return &level->terms[i];
  if (level->term_count == PL_FAULT_TERMS) {
    level->too_many = true;
    return NULL;
  }
  term = &level->terms[level->term_count++];
  *term = (struct pl_term){.element = k,
                           .a = level->trial.elements[k].node_a,
                           .b = level->trial.elements[k].node_b,
                           .before = level->trial.elements[k],
                           .flow_before = level->flows[k],
                           .tangent_before = level->trial.tangent[k],
                           .mode_before = level->trial.mode[k],
                           .plus = PL_NONE,
                           .minus = PL_NONE};
  return term;
}

void pl_rest_refresh(struct pl_rest *level, uint32_t k) {
  level->flows[k] = pl_rest_law(level, k);
}

void pl_rest_hold(struct pl_rest *level, uint32_t node, double siemens) {
  if (level->term_count == PL_FAULT_TERMS) {
    level->too_many = true;
    return;
  }
  level->terms[level->term_count++] =
      (struct pl_term){.element = PL_NONE,
                       .a = node,
                       .b = level->trial.network->reference,
                       .siemens = siemens,
                       .amps = siemens * (level->high[node] + level->low[node]),
                       .plus = PL_NONE,
                       .minus = PL_NONE};
}

void pl_rest_undo(struct pl_rest *level) {
  if (level->reach_changed)
    memcpy(level->trial.reached,
           level->reached,
           level->trial.network->node_count * sizeof *level->reached);
  if (level->reach_changed)
    level->flags_changed = true;
  level->reach_changed = false;
  while (level->term_count > 0) {
    const struct pl_term *term = &level->terms[--level->term_count];
    if (term->element == PL_NONE)
      continue;
    level->trial.elements[term->element] = term->before;
    level->trial.elements[term->element].amps = level->amps[term->element];
    level->trial.mode[term->element] = term->mode_before;
    level->trial.tangent[term->element] = term->tangent_before;
    level->flows[term->element] = term->flow_before;
    pl_rest_flag(level, term->element);
  }
  level->too_many = false;
  const struct pl_network *network = level->trial.network;
  for (uint32_t i = 0; i < network->powers.n; i++) {
    uint32_t k = network->powers.at[i];
    if (level->trial.tangent[k] == level->tangent[k])
      continue;
    level->trial.tangent[k] = level->tangent[k];
    level->flows[k] = pl_rest_law(level, k);
  }
}

/* ---- columns ---- */

static uint32_t rows_of(const struct pl_rest *level) {
  return level->trial.network->node_count - 1;
}

/* Where the next one goes: to the end, or in place of the one unused for longest. */
static uint32_t place_for(struct pl_rest *level) {
  uint32_t best = 0;

  if (level->column_count < level->column_room)
    return level->column_count++;
  for (uint32_t i = 1; i < level->column_room; i++)
    if (level->columns[i].used < level->columns[best].used)
      best = i;
  level->place[level->columns[best].key] = PL_NONE;
  return best;
}

struct wanted {
  uint32_t n, key[PL_FAULT_AHEAD];
};

static void want(const struct pl_rest *level, struct wanted *wanted, uint32_t key) {
  if (wanted->n == PL_FAULT_AHEAD || key == PL_NONE || level->place[key] != PL_NONE)
    return;
  for (uint32_t i = 0; i < wanted->n; i++)
    if (wanted->key[i] == key)
      return;
  wanted->key[wanted->n++] = key;
}

static uint32_t pair_key(const struct pl_rest *level, uint32_t element) {
  return level->flows[element].a == level->flows[element].b
             ? PL_NONE
             : level->trial.network->node_count + element;
}

static void want_node(const struct pl_rest *level, struct wanted *wanted, pl_id pin) {
  uint32_t node = pl_network_pin_node(level->trial.network, pin);

  if (node != PL_NONE && node != level->trial.network->reference)
    want(level, wanted, node);
}

/* Columns that the faults to come will ask for. */
static void want_ahead(const struct pl_rest *level, struct wanted *wanted) {
  const struct pl_network *network = level->trial.network;

  for (uint32_t i = 0; i < level->sweep->next_count && wanted->n < PL_FAULT_AHEAD; i++) {
    const struct pl_fault *fault = &level->sweep->next[i];
    if ((fault->kind == PL_FAULT_OPEN || fault->kind == PL_FAULT_RESISTANCE) &&
        fault->wire < network->harness->wires.n) {
      uint32_t k = network->wire_element[fault->wire];
      if (k != PL_NONE)
        want(level, wanted, pair_key(level, k));
    } else if (fault->kind == PL_FAULT_TO_CHASSIS || fault->kind == PL_FAULT_TO_BATTERY) {
      want_node(level, wanted, fault->pin_a);
    } else if (fault->kind == PL_FAULT_SHORTED && fault->device == PL_NONE) {
      want_node(level, wanted, fault->pin_a);
      want_node(level, wanted, fault->pin_b);
    }
  }
}

static bool solve_wanted(struct pl_rest *level, const struct wanted *wanted) {
  const struct pl_network *network = level->trial.network;
  uint32_t rows = rows_of(level);
  uint32_t nodes = network->node_count;
  double *work = level->sweep->work;

  memset(work, 0, (size_t)wanted->n * rows * sizeof *work);
  for (uint32_t i = 0; i < wanted->n; i++) {
    bool pair = wanted->key[i] >= nodes;
    uint32_t a = pair ? level->flows[wanted->key[i] - nodes].a : wanted->key[i];
    uint32_t b = pair ? level->flows[wanted->key[i] - nodes].b : network->reference;
    if (a != network->reference)
      work[(size_t)i * rows + pl_row_of(network, a)] += 1;
    if (b != network->reference)
      work[(size_t)i * rows + pl_row_of(network, b)] -= 1;
  }
  if (!pl_sparse_solve_many(level->sparse, wanted->n, work))
    return false;
  for (uint32_t i = 0; i < wanted->n; i++) {
    uint32_t place = place_for(level);
    memcpy(level->column + (size_t)place * rows, work + (size_t)i * rows, rows * sizeof *work);
    level->columns[place] = (struct pl_column){wanted->key[i], ++level->sweep->turn};
    level->place[wanted->key[i]] = place;
  }
  return true;
}

/* An element's own ends are one column; a join of the fault, or an anchor, is made of two that
 * other faults use too. */
static bool is_pair(const struct pl_rest *level, const struct pl_term *term) {
  return term->element != PL_NONE && term->element != level->sweep->shadow->join;
}

static uint32_t use_column(struct pl_rest *level, uint32_t key) {
  struct wanted wanted = {0};

  if (key == PL_NONE)
    return PL_NONE;
  if (level->place[key] == PL_NONE) {
    want(level, &wanted, key);
    want_ahead(level, &wanted);
    if (!solve_wanted(level, &wanted))
      return PL_NONE;
  }
  level->columns[level->place[key]].used = ++level->sweep->turn;
  return level->place[key];
}

/* Columns of all terms.  Those in use were used last, and there are more places than terms, so none
 * is pushed out by another. */
static bool fetch_columns(struct pl_rest *level) {
  uint32_t reference = level->trial.network->reference;

  for (int round = 0; round < 2; round++) /* the second finds them all where the first put them */
    for (uint32_t i = 0; i < level->term_count; i++) {
      struct pl_term *term = &level->terms[i];
      if (term->idle)
        continue;
      if (is_pair(level, term)) {
        term->plus = use_column(level, pair_key(level, term->element));
        term->minus = PL_NONE;
        if (term->plus == PL_NONE)
          return false;
        continue;
      }
      term->plus = term->a == reference ? PL_NONE : use_column(level, term->a);
      term->minus = term->b == reference ? PL_NONE : use_column(level, term->b);
    }
  return true;
}

static double column_at(const struct pl_rest *level, uint32_t column, uint32_t node) {
  const struct pl_network *network = level->trial.network;

  if (column == PL_NONE || node == network->reference)
    return 0;
  return level->column[(size_t)column * rows_of(level) + pl_row_of(network, node)];
}

/* Volts at a node for one ampere through the term. */
static double reply(const struct pl_rest *level, const struct pl_term *term, uint32_t node) {
  return column_at(level, term->plus, node) - column_at(level, term->minus, node);
}

/* ---- the small system ---- */

static bool factor_small(struct pl_rest *level) {
  uint32_t n = level->term_count;

  for (uint32_t c = 0; c < n; c++) {
    uint32_t best = c;
    double size = 0;
    for (uint32_t r = c; r < n; r++)
      if (fabs(level->matrix[r][c]) > fabs(level->matrix[best][c]))
        best = r;
    level->swap[c] = best;
    for (uint32_t k = 0; k < n; k++) {
      double t = level->matrix[c][k];
      level->matrix[c][k] = level->matrix[best][k];
      level->matrix[best][k] = t;
      size = fmax(size, fabs(level->matrix[c][k]));
    }
    if (!(fabs(level->matrix[c][c]) > least_pivot * fmax(size, 1)))
      return false;
    for (uint32_t r = c + 1; r < n; r++) {
      double f = level->matrix[r][c] /= level->matrix[c][c];
      for (uint32_t k = c + 1; k < n; k++)
        level->matrix[r][k] -= f * level->matrix[c][k];
    }
  }
  return true;
}

static void solve_small(const struct pl_rest *level, double *x) {
  uint32_t n = level->term_count;

  for (uint32_t c = 0; c < n; c++) {
    double t = x[c];
    x[c] = x[level->swap[c]];
    x[level->swap[c]] = t;
  }
  for (uint32_t r = 0; r < n; r++)
    for (uint32_t k = 0; k < r; k++)
      x[r] -= level->matrix[r][k] * x[k];
  for (uint32_t r = n; r-- > 0;) {
    for (uint32_t k = r + 1; k < n; k++)
      x[r] -= level->matrix[r][k] * x[k];
    x[r] /= level->matrix[r][r];
  }
}

static inline double flow_at(const struct pl_flow *f, const double *high, const double *low) {
  double s = high[f->a] - high[f->b];
  double t = s - high[f->a];
  double off = (high[f->a] - (s - t)) - (high[f->b] + t);

  return f->siemens * ((s - f->offset) + (off + (low[f->a] - low[f->b]))) + f->amps;
}

bool pl_rest_combine(struct pl_rest *level) {
  level->still = true;
  for (uint32_t i = 0; i < level->term_count; i++) {
    struct pl_term *term = &level->terms[i];
    if (term->element == PL_NONE)
      continue;
    const struct pl_flow *now = &level->flows[term->element];
    term->siemens = term->idle ? 0 : now->siemens - term->flow_before.siemens;
    if (term->before.node_a != now->a || term->before.node_b != now->b)
      term->a = now->a, term->b = now->b;
    struct pl_flow was = term->flow_before;
    was.a = now->a;
    was.b = now->b;
    term->amps =
        term->idle ? 0
                   : flow_at(now, level->high, level->low) - flow_at(&was, level->high, level->low);
    if (!(fabs(term->amps) <= stirs))
      level->still = false;
  }
  if (level->still) {
    memset(level->share, 0, level->term_count * sizeof *level->share);
    return true;
  }
  if (!fetch_columns(level))
    return false;
  for (uint32_t r = 0; r < level->term_count; r++) {
    const struct pl_term *term = &level->terms[r];
    for (uint32_t c = 0; c < level->term_count; c++) {
      double s =
          level->terms[c].idle || term->siemens == 0
              ? 0
              : reply(level, &level->terms[c], term->a) - reply(level, &level->terms[c], term->b);
      level->matrix[r][c] = (r == c ? 1 : 0) + term->siemens * s;
    }
    level->share[r] = term->amps;
  }
  if (!factor_small(level))
    return false;
  solve_small(level, level->share);
  for (uint32_t r = 0; r < level->term_count; r++)
    if (!isfinite(level->share[r]))
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
static void spread_look(const struct pl_rest *level, uint32_t place, double by, double *more) {
  const double *column = level->column + (size_t)place * rows_of(level);
  const struct pl_network *network = level->trial.network;

  if (place == PL_NONE || by == 0)
    return;
  for (uint32_t i = 0; i < level->look_count; i++)
    more[i] -= by * column[pl_row_of(network, level->look[i])];
}

void pl_rest_look(struct pl_rest *level) {
  double *more = level->sweep->work;

  memset(more, 0, level->look_count * sizeof *more);
  for (uint32_t j = 0; j < level->term_count; j++) {
    spread_look(level, level->terms[j].plus, level->share[j], more);
    spread_look(level, level->terms[j].minus, -level->share[j], more);
  }
  for (uint32_t i = 0; i < level->look_count; i++) {
    uint32_t n = level->look[i];
    level->trial.high[n] = level->high[n];
    level->trial.low[n] = level->low[n];
    if (more[i] != 0)
      add_small(&level->trial.high[n], &level->trial.low[n], more[i]);
  }
}

/* work -= Z share, by row. */
static void spread(const struct pl_rest *level, const double *share, double *work) {
  uint32_t rows = rows_of(level);

  for (uint32_t j = 0; j < level->term_count; j++) {
    const struct pl_term *term = &level->terms[j];
    if (share[j] == 0)
      continue;
    const double *plus = term->plus == PL_NONE ? NULL : level->column + (size_t)term->plus * rows;
    const double *minus =
        term->minus == PL_NONE ? NULL : level->column + (size_t)term->minus * rows;
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

static void add_volts(struct pl_rest *level,
                      const double *from_high,
                      const double *from_low,
                      const double *more) {
  uint32_t nodes = level->trial.network->node_count;
  uint32_t reference = level->trial.network->reference;
  double *high = level->trial.high;
  double *low = level->trial.low;

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
static double weigh(struct pl_rest *level) {
  const struct pl_network *network = level->trial.network;
  const double *high = level->trial.high;
  const double *low = level->trial.low;
  const bool *reached = level->trial.reached;
  double *balance = level->sweep->balance;
  double *largest = level->sweep->largest;
  double *shown = level->sweep->amps;
  double worst = 0;

  memset(balance, 0, network->node_count * sizeof *balance);
  memset(largest, 0, network->node_count * sizeof *largest);
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_flow *f = &level->flows[k];
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
static void set_tangents(struct pl_rest *level) {
  const struct pl_network *network = level->trial.network;

  for (uint32_t i = 0; i < network->powers.n; i++) {
    uint32_t k = network->powers.at[i];
    const struct pl_element *e = &level->trial.elements[k];
    if (level->trial.mode[k] != PL_MODE_STEADY || !(e->watts > 0) ||
        !level->trial.reached[e->node_a] || !level->trial.reached[e->node_b])
      continue;
    double volts = pl_trial_volts(&level->trial, e->node_a, e->node_b);
    if (!(volts > e->volts / 2))
      continue;
    level->trial.tangent[k] = volts;
    level->flows[k] = pl_rest_law(level, k);
  }
}

static bool correct(struct pl_rest *level) {
  const struct pl_network *network = level->trial.network;
  double *x = level->sweep->work;
  double share[PL_FAULT_TERMS];

  for (uint32_t n = 0, r = 0; n < network->node_count; n++) {
    if (n == network->reference)
      continue;
    x[r++] = level->trial.reached[n] ? level->sweep->balance[n] : 0;
  }
  if (!pl_sparse_solve(level->sparse, x))
    return false;
  for (uint32_t i = 0; i < level->term_count; i++) {
    const struct pl_term *term = &level->terms[i];
    double a = term->a == network->reference ? 0 : x[pl_row_of(network, term->a)];
    double b = term->b == network->reference ? 0 : x[pl_row_of(network, term->b)];
    share[i] = term->siemens * (a - b);
  }
  solve_small(level, share);
  spread(level, share, x);
  add_volts(level, level->trial.high, level->trial.low, x);
  return true;
}

bool pl_rest_close(struct pl_rest *level) {
  double *work = level->sweep->work;
  double before = INFINITY;
  double worst;

  memset(work, 0, rows_of(level) * sizeof *work);
  spread(level, level->share, work);
  add_volts(level, level->high, level->low, work);
  for (int round = 0;; round++) {
    if (level->trial.network->powers.n > 0)
      set_tangents(level);
    worst = weigh(level);
    if (isnan(worst))
      return false;
    if (worst <= closes)
      return true;
    if (round == REFINEMENTS || (round > 6 && worst > before))
      return false;
    before = worst;
    if (!correct(level))
      return false;
  }
}
