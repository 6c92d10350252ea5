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
  const struct pl_element *e = &point->trial.elements[k];
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
                           .a = e->node_a,
                           .b = e->node_b,
                           .before = *e,
                           .flow_before = point->flows[k],
                           .tangent_before = point->trial.tangent[k],
                           .mode_before = point->trial.mode[k],
                           .plus = PL_NONE,
                           .minus = PL_NONE};
  return term;
}

void pl_point_hold(struct pl_operating_point *point, uint32_t node, double siemens) {
  double volts = point->high[node] + point->low[node];

  if (point->term_count == PL_FAULT_TERMS) {
    point->too_many = true;
    return;
  }
  point->terms[point->term_count++] = (struct pl_term){.element = PL_NONE,
                                                       .a = node,
                                                       .b = point->trial.network->reference,
                                                       .siemens = siemens,
                                                       .amps = siemens * volts,
                                                       .plus = PL_NONE,
                                                       .minus = PL_NONE};
}

void pl_point_forget_reach(struct pl_operating_point *point) {
  size_t nodes = point->trial.network->node_count;

  if (!point->reach_changed)
    return;
  memcpy(point->trial.reached, point->reached, nodes * sizeof *point->reached);
  point->flags_changed = true;
  point->reach_changed = false;
}

static void undo_term(struct pl_operating_point *point, const struct pl_term *term) {
  uint32_t k = term->element;

  if (k == PL_NONE)
    return;
  point->trial.elements[k] = term->before;
  point->trial.elements[k].amps = point->amps[k];
  point->trial.mode[k] = term->mode_before;
  point->trial.tangent[k] = term->tangent_before;
  point->flows[k] = term->flow_before;
  pl_point_flag(point, k);
}

static void undo_tangents(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;

  for (uint32_t i = 0; i < network->powers.n; i++) {
    uint32_t k = network->powers.at[i];
    if (point->trial.tangent[k] == point->tangent[k])
      continue;
    point->trial.tangent[k] = point->tangent[k];
    pl_point_refresh(point, k);
  }
}

void pl_point_undo(struct pl_operating_point *point) {
  pl_point_forget_reach(point);
  while (point->term_count > 0)
    undo_term(point, &point->terms[--point->term_count]);
  point->too_many = false;
  undo_tangents(point);
}

/* ---- the small system ---- */

/* The largest of a column from its diagonal down comes up to the diagonal, its whole row with it.
 * Returns the largest number of that row. */
static double bring_up_pivot(struct pl_operating_point *point, uint32_t c) {
  uint32_t n = point->term_count;
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
  return size;
}

/* LU with partial pivoting in place (Golub and Van Loan, "Matrix Computations", 3.4): n is the
 * number of terms, a handful, so n cubed is less than one solve with the large factors. */
static bool factor_small(struct pl_operating_point *point) {
  uint32_t n = point->term_count;

  for (uint32_t c = 0; c < n; c++) {
    const double *pivot = point->matrix[c];
    double size = bring_up_pivot(point, c);
    if (!(fabs(pivot[c]) > least_pivot * fmax(size, 1)))
      return false;
    for (uint32_t r = c + 1; r < n; r++) {
      double *row = point->matrix[r];
      double factor = row[c] / pivot[c];
      row[c] = factor;
      for (uint32_t k = c + 1; k < n; k++)
        row[k] -= factor * pivot[k];
    }
  }
  return true;
}

static void solve_small(const struct pl_operating_point *point, double *x) {
  uint32_t n = point->term_count;

  for (uint32_t c = 0; c < n; c++) {
    uint32_t with = point->swap[c];
    double t = x[c];
    x[c] = x[with];
    x[with] = t;
  }
  for (uint32_t r = 0; r < n; r++) {
    const double *row = point->matrix[r];
    for (uint32_t k = 0; k < r; k++)
      x[r] -= row[k] * x[k];
  }
  for (uint32_t r = n; r-- > 0;) {
    const double *row = point->matrix[r];
    for (uint32_t k = r + 1; k < n; k++)
      x[r] -= row[k] * x[k];
    x[r] /= row[r];
  }
}

/* Amps of a law at volts that are sums of two numbers: Knuth's two-sum keeps what the subtraction
 * of the high parts rounds away, as in step.c. */
static inline double flow_at(const struct pl_flow *f, const double *high, const double *low) {
  double a = high[f->a];
  double b = high[f->b];
  double s = a - b;
  double t = s - a;
  double off = (a - (s - t)) - (b + t);
  double under = off + (low[f->a] - low[f->b]);

  return f->siemens * ((s - f->offset) + under) + f->amps;
}

/* What the changed element does otherwise at the healthy volts. */
static void measure_term(struct pl_operating_point *point, struct pl_term *term) {
  const struct pl_flow *now = &point->flows[term->element];
  struct pl_flow was = term->flow_before;

  if (term->before.node_a != now->a || term->before.node_b != now->b) {
    term->a = now->a;
    term->b = now->b;
  }
  was.a = now->a;
  was.b = now->b;
  term->siemens = 0;
  term->amps = 0;
  if (term->idle)
    return;
  term->siemens = now->siemens - was.siemens;
  term->amps = flow_at(now, point->high, point->low) - flow_at(&was, point->high, point->low);
}

/* I + D S, row by row: what an ampere through term c moves the amps of term r. */
static void fill_small(struct pl_operating_point *point) {
  for (uint32_t r = 0; r < point->term_count; r++) {
    const struct pl_term *term = &point->terms[r];
    double *row = point->matrix[r];
    for (uint32_t c = 0; c < point->term_count; c++) {
      const struct pl_term *of = &point->terms[c];
      double s = 0;
      if (!of->idle && term->siemens != 0)
        s = pl_point_reply(point, of, term->a) - pl_point_reply(point, of, term->b);
      row[c] = (r == c ? 1 : 0) + term->siemens * s;
    }
    point->share[r] = term->amps;
  }
}

static bool is_finite(const double *x, uint32_t n) {
  for (uint32_t i = 0; i < n; i++)
    if (!isfinite(x[i]))
      return false;
  return true;
}

bool pl_point_combine(struct pl_operating_point *point) {
  uint32_t n = point->term_count;

  point->still = true;
  for (uint32_t i = 0; i < n; i++) {
    struct pl_term *term = &point->terms[i];
    if (term->element == PL_NONE)
      continue;
    measure_term(point, term);
    if (!(fabs(term->amps) <= stirs))
      point->still = false;
  }
  if (point->still) {
    memset(point->share, 0, n * sizeof *point->share);
    return true;
  }
  if (!pl_point_fetch_columns(point))
    return false;
  fill_small(point);
  if (!factor_small(point))
    return false;
  solve_small(point, point->share);
  return is_finite(point->share, n);
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
  const struct pl_network *network = point->trial.network;
  const double *column;

  if (place == PL_NONE || by == 0)
    return;
  column = pl_point_column(point, place);
  for (uint32_t i = 0; i < point->look_count; i++)
    more[i] -= by * column[pl_row_of(network, point->look[i])];
}

void pl_point_look(struct pl_operating_point *point) {
  double *more = point->sweep->work;
  double *high = point->trial.high;
  double *low = point->trial.low;

  memset(more, 0, point->look_count * sizeof *more);
  for (uint32_t j = 0; j < point->term_count; j++) {
    const struct pl_term *term = &point->terms[j];
    spread_look(point, term->plus, point->share[j], more);
    spread_look(point, term->minus, -point->share[j], more);
  }
  for (uint32_t i = 0; i < point->look_count; i++) {
    uint32_t n = point->look[i];
    high[n] = point->high[n];
    low[n] = point->low[n];
    if (more[i] != 0)
      add_small(&high[n], &low[n], more[i]);
  }
}

/* work -= by times column, by row. */
static void subtract(double *work, const double *column, double by, uint32_t rows) {
  for (uint32_t r = 0; r < rows; r++)
    work[r] -= by * column[r];
}

static void
subtract_pair(double *work, const double *plus, const double *minus, double by, uint32_t rows) {
  for (uint32_t r = 0; r < rows; r++)
    work[r] -= by * (plus[r] - minus[r]);
}

/* work -= Z share, by row. */
static void spread(const struct pl_operating_point *point, const double *share, double *work) {
  uint32_t rows = pl_point_rows(point);

  for (uint32_t j = 0; j < point->term_count; j++) {
    const struct pl_term *term = &point->terms[j];
    bool plus = term->plus != PL_NONE;
    bool minus = term->minus != PL_NONE;
    if (share[j] == 0)
      continue;
    if (plus && minus)
      subtract_pair(work,
                    pl_point_column(point, term->plus),
                    pl_point_column(point, term->minus),
                    share[j],
                    rows);
    else if (plus)
      subtract(work, pl_point_column(point, term->plus), share[j], rows);
    else if (minus)
      subtract(work, pl_point_column(point, term->minus), -share[j], rows);
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

/* The worst of the amps left over, against the largest current at the node; NAN: not finite. */
static double worst_balance(const struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  const struct pl_sweep *sweep = point->sweep;
  double worst = 0;

  for (uint32_t n = 0; n < network->node_count; n++) {
    double error = fabs(sweep->balance[n]);
    double largest = sweep->largest[n];
    double than = largest > no_current ? largest : no_current;
    if (error > worst * than && n != network->reference)
      worst = error / than;
    if (!(error < INFINITY))
      return NAN;
  }
  return worst;
}

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

  memset(balance, 0, network->node_count * sizeof *balance);
  memset(largest, 0, network->node_count * sizeof *largest);
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_flow *f = &point->flows[k];
    shown[k] = 0;
    if (f->siemens == 0 && f->amps == 0)
      continue;
    if (!reached[f->a])
      continue;
    if (!reached[f->b])
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
  return worst_balance(point);
}

/* Laws of steady power about the volts of now. */
static void set_tangents(struct pl_operating_point *point) {
  struct pl_trial *trial = &point->trial;
  const struct pl_network *network = trial->network;

  for (uint32_t i = 0; i < network->powers.n; i++) {
    uint32_t k = network->powers.at[i];
    const struct pl_element *e = &trial->elements[k];
    if (!pl_trial_is_power(trial, k))
      continue;
    double volts = pl_trial_volts(trial, e->node_a, e->node_b);
    if (!(volts > e->volts / 2))
      continue;
    trial->tangent[k] = volts;
    pl_point_refresh(point, k);
  }
}

static double volts_at(const struct pl_network *network, const double *by_row, uint32_t node) {
  if (node == network->reference)
    return 0;
  return by_row[pl_row_of(network, node)];
}

static bool correct(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;
  const double *balance = point->sweep->balance;
  double *x = point->sweep->work;
  double share[PL_FAULT_TERMS];

  for (uint32_t n = 0, r = 0; n < network->node_count; n++) {
    if (n == network->reference)
      continue;
    x[r++] = point->trial.reached[n] ? balance[n] : 0;
  }
  if (!pl_sparse_solve(point->sparse, x))
    return false;
  for (uint32_t i = 0; i < point->term_count; i++) {
    const struct pl_term *term = &point->terms[i];
    double a = volts_at(network, x, term->a);
    double b = volts_at(network, x, term->b);
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

  memset(work, 0, pl_point_rows(point) * sizeof *work);
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
    if (round == REFINEMENTS)
      return false;
    if (round > 6 && worst > before)
      return false;
    before = worst;
    if (!correct(point))
      return false;
  }
}
