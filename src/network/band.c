/* Bands: a reading is a form of a few nodes' volts and one element's amps.  One solve of the
 * state's equations for that form gives its slope over every part at once: with A v = J and y = c
 * v, A w = c, a part of element k that changes the amps left over at its ends by q changes y by
 * (w_a - w_b) q (Tellegen's theorem: the adjoint network; A is symmetric, so it is its own).  Which
 * parts differ: tolerance.c. */
#include "network/band.h"

#include <math.h>
#include <string.h>

#include "network/tolerance_inner.h"

enum {
  BATCH = 8,
  OWN = 16,
  FORM = 4 + 2 * OWN
};
static const double beyond =
    0.1; /* share of a band's width by which a solved end must lie outside to be called a change */

struct form { /* y = sum of weight x volts, + own_weight x what a part of an element in `own` does
                 to its amps besides */
  uint32_t node[FORM], n, own[OWN], owns;
  double weight[FORM], own_weight;
};

struct row {
  uint32_t a, b, element;
  double down, up;
}; /* of a part at one element: unknowns at its ends, amps left over there at either end */

struct pl_bands {
  struct pl_network *network;
  const struct pl_solution *solution;
  const struct pl_element *elements; /* with of_state: to know the same solution again */
  pl_id of_state;
  const struct pl_state *state;
  struct pl_state rest;
  struct pl_sparse *sparse;
  uint32_t unknowns; /* w[unknowns] stays 0: the reference */
  bool factored;
  pl_deviations deviations;
  PL_VEC(struct row)
  rows;      /* one of each deviation, a second where it moves two elements: their sum counts */
  double *w; /* BATCH answers, each of unknowns + 1 */
  double *packed; /* the same as the solver wants them */
  struct pl_shift shift;
  struct pl_solution ends[2]; /* solved again: low and high, or weak and strong */
  bool watched;
};

/* ---- readings ---- */

static uint32_t node_of(const struct pl_network *network, pl_id pin) {
  return pl_network_pin_node(network, pin);
}

static void put(struct form *form, uint32_t node, double weight) {
  form->node[form->n] = node;
  form->weight[form->n++] = weight;
}

/* Change of amps with volts, modes held; of steady power below 0. */
static double siemens_of(const struct pl_solution *solution, const struct pl_element *e) {
  if (e->open)
    return 0;
  if (!e->limited)
    return 1 / e->ohms;
  if (e->watts > 0)
    return -e->amps / (solution->node_volts[e->node_a] - solution->node_volts[e->node_b]);
  return 0;
}

/* Element k's amps from a to b, times weight, as a form. */
static void
put_amps(struct form *form, const struct pl_solution *solution, uint32_t k, double weight) {
  const struct pl_element *e = &solution->elements[k];
  double siemens = siemens_of(solution, e);

  form->own[form->owns++] = k;
  form->own_weight = weight;
  if (siemens == 0)
    return;
  put(form, e->node_a, weight * siemens);
  put(form, e->node_b, -weight * siemens);
}

/* R (s - m)/(p - s) */
static bool gauge_form(const struct pl_network *network,
                       const struct pl_solution *solution,
                       pl_id gauge,
                       struct form *form) {
  double ohms = pl_first_good(network->harness->devices.at[gauge].ohms, PL_DEFAULT(GAUGE));
  pl_id plus, minus, signal;

  pl_gauge_pins(network->harness, gauge, &plus, &minus, &signal);
  if (!isfinite(pl_gauge_ohms(network->harness, solution, gauge)))
    return false;
  double p = solution->pin_volts[plus];
  double m = solution->pin_volts[minus];
  double s = solution->pin_volts[signal];
  put(form, node_of(network, signal), ohms * (p - m) / ((p - s) * (p - s)));
  put(form, node_of(network, minus), -ohms / (p - s));
  put(form, node_of(network, plus), -ohms * (s - m) / ((p - s) * (p - s)));
  return true;
}

static bool drop_form(const struct pl_network *network,
                      const struct pl_solution *solution,
                      struct pl_reading reading,
                      double weight,
                      struct form *form) {
  uint32_t above = pl_path_end(network, solution, reading.a, false);
  uint32_t below = pl_path_end(network, solution, reading.b, true);

  if (above == PL_NONE || below == PL_NONE)
    return false;
  put(form, above, weight);
  put(form, node_of(network, reading.a), -weight);
  put(form, node_of(network, reading.b), weight);
  put(form, below, -weight);
  return true;
}

/* drop/amps; a module's amps are those of its draws. */
static bool loop_form(const struct pl_network *network,
                      const struct pl_solution *solution,
                      struct pl_reading reading,
                      struct form *form) {
  double amps = fabs(solution->device_amps[reading.c]);
  double weight = -pl_solution_drop(network, solution, reading.a, reading.b) / (amps * amps);
  uint32_t main = network->main[reading.c];

  if (main != PL_NONE)
    put_amps(form, solution, main, solution->elements[main].amps < 0 ? -weight : weight);
  for (uint32_t k = 0; main == PL_NONE && k < network->elements.n; k++) {
    const struct pl_element *e = &solution->elements[k];
    if (e->device != reading.c)
      continue;
    if (e->kind != PL_ELEMENT_CURRENT || e->open)
      continue;
    if (form->owns == OWN)
      return false;
    put_amps(form, solution, k, weight);
  }
  if (!(form->owns > 0))
    return false;
  return drop_form(network, solution, reading, 1 / amps, form);
}

static bool device_form(const struct pl_network *network,
                        const struct pl_solution *solution,
                        struct pl_reading reading,
                        struct form *form) {
  pl_id id = reading.a;
  uint32_t k = network->main[id];

  if (pl_kind_is(network->harness->devices.at[id].kind, PL_IS_MODULE) &&
      reading.kind == PL_READING_DEVICE_VOLTS) {
    put(form, network->inner_feed[id], 1);
    put(form, network->inner_ground[id], -1);
    return true;
  }
  if (k == PL_NONE)
    return false;
  const struct pl_element *e = &solution->elements[k];
  if (reading.kind == PL_READING_DEVICE_VOLTS) {
    put(form, e->node_a, 1);
    put(form, e->node_b, -1);
  } else if (!e->open) {
    put_amps(form, solution, k, e->amps < 0 ? -1 : 1);
  }
  return true;
}

/* A source gives what flows out of its plus: against its element's direction. */
static bool supply_form(const struct pl_network *network,
                        const struct pl_solution *solution,
                        struct pl_reading reading,
                        struct form *form) {
  const pl_id sources[] = {reading.a, reading.b, reading.c};

  for (int i = 0; i < 3; i++) {
    uint32_t k;
    if (sources[i] == PL_NONE)
      k = PL_NONE;
    else
      k = network->main[sources[i]];
    if (k != PL_NONE && !solution->elements[k].open)
      put_amps(form, solution, k, -1);
  }
  return form->owns > 0;
}

static double supply(const struct pl_solution *solution, struct pl_reading reading) {
  double amps = solution->device_amps[reading.a];

  if (reading.b != PL_NONE)
    amps += solution->device_amps[reading.b];
  if (reading.c == PL_NONE)
    return amps;
  return amps + solution->device_amps[reading.c];
}

/* The reading as a form about the solution; false: there is no such reading. */
static bool form_of(const struct pl_network *network,
                    const struct pl_solution *solution,
                    struct pl_reading reading,
                    struct form *form) {
  form->n = form->owns = 0;
  if (isnan(pl_reading_figure(network, solution, reading)))
    return false;
  switch (reading.kind) {
    case PL_READING_VOLTS:
      put(form, node_of(network, reading.a), 1);
      if (reading.b != PL_NONE)
        put(form, node_of(network, reading.b), -1);
      return true;
    case PL_READING_WIRE_AMPS:
      if (network->wire_element[reading.a] != PL_NONE &&
          !solution->elements[network->wire_element[reading.a]].open)
        put_amps(form, solution, network->wire_element[reading.a], 1);
      return true;
    case PL_READING_DEVICE_VOLTS:
    case PL_READING_DEVICE_AMPS:
      return device_form(network, solution, reading, form);
    case PL_READING_DROP:
      return drop_form(network, solution, reading, 1, form);
    case PL_READING_LOOP:
      return loop_form(network, solution, reading, form);
    case PL_READING_GAUGE:
      return gauge_form(network, solution, reading.a, form);
    case PL_READING_SUPPLY:
      return supply_form(network, solution, reading, form);
  }
  return false;
}

double pl_reading_figure(const struct pl_network *network,
                         const struct pl_solution *solution,
                         struct pl_reading reading) {
  double amps;

  if (solution->status != PL_SOLVED)
    return NAN;
  switch (reading.kind) {
    case PL_READING_VOLTS:
      return solution->pin_volts[reading.a] -
             (reading.b == PL_NONE ? 0 : solution->pin_volts[reading.b]);
    case PL_READING_WIRE_AMPS:
      return solution->wire_amps[reading.a];
    case PL_READING_DEVICE_VOLTS:
      return solution->device_volts[reading.a];
    case PL_READING_DEVICE_AMPS:
      return fabs(solution->device_amps[reading.a]);
    case PL_READING_DROP:
      return pl_solution_drop(network, solution, reading.a, reading.b);
    case PL_READING_LOOP:
      amps = fabs(solution->device_amps[reading.c]);
      if (amps > 0)
        return pl_solution_drop(network, solution, reading.a, reading.b) / amps;
      return NAN;
    case PL_READING_GAUGE:
      return pl_gauge_ohms(network->harness, solution, reading.a);
    case PL_READING_SUPPLY:
      return supply(solution, reading);
  }
  return NAN;
}

/* ---- one state ---- */

static uint32_t row_of(const struct pl_bands *bands, uint32_t node) {
  uint32_t reference = bands->network->reference;

  if (node == reference)
    return bands->unknowns;
  return node - (node > reference);
}

/* Amps left over at the ends of an element (into a, out of b) for one unit of what its part is
 * measured in. */
static double left_over(const struct pl_element *e, enum pl_deviation_of of) {
  switch (of) {
    case PL_DEVIATES_OHMS:
      return e->amps / e->ohms;
    case PL_DEVIATES_VOLTS:
      return 1 / e->ohms;
    case PL_DEVIATES_AMPS:
      return -e->amps;
  }
  return 0;
}

static void make_rows(struct pl_bands *bands) {
  const struct pl_solution *solution = bands->solution;

  bands->rows.n = 0;
  for (uint32_t i = 0; i < bands->deviations.n; i++)
    for (int j = 0; j < 2; j++) {
      const struct pl_deviation *deviation = &bands->deviations.at[i];
      if (deviation->element[j] == PL_NONE)
        continue;
      const struct pl_element *e = &solution->elements[deviation->element[j]];
      double unit = left_over(e, deviation->of);
      struct row row = {row_of(bands, e->node_a),
                        row_of(bands, e->node_b),
                        deviation->element[j],
                        unit * deviation->down[j],
                        unit * deviation->up[j]};
      PL_PUSH(bands->network->arena, &bands->rows, row);
    }
}

static bool factor(struct pl_bands *bands) {
  const struct pl_network *network = bands->network;
  const struct pl_solution *solution = bands->solution;
  uint32_t row;

  pl_sparse_clear(bands->sparse);
  for (uint32_t k = 0; k < network->elements.n; k++) {
    double siemens = siemens_of(solution, &solution->elements[k]);
    if (siemens != 0)
      pl_sparse_add(bands->sparse, k, siemens);
  }
  for (uint32_t n = 0; n < network->node_count; n++)
    if (isnan(solution->node_volts[n]))
      pl_sparse_pin(bands->sparse, row_of(bands, n));
  return pl_sparse_factor(bands->sparse, &row) == PL_SPARSE_GOOD;
}

static void release(void *what) {
  struct pl_bands *bands = what;

  if (bands->sparse != NULL)
    pl_sparse_release(bands->sparse);
}

static struct pl_bands *make(struct pl_network *network) {
  struct pl_arena *arena = network->arena;
  struct pl_bands *bands = PL_NEW(arena, struct pl_bands);
  uint32_t elements = network->elements.n;
  struct pl_stamp *stamps = PL_NEW_ARRAY(arena, struct pl_stamp, elements);

  bands->network = network;
  if (network->node_count > 0)
    bands->unknowns = network->node_count - 1;
  else
    bands->unknowns = 0;
  bands->rest = pl_state_blank();
  bands->w = PL_NEW_ARRAY(arena, double, (size_t)BATCH *((size_t)bands->unknowns + 1));
  bands->packed = PL_NEW_ARRAY(arena, double, (size_t)BATCH *((size_t)bands->unknowns + 1));
  bands->shift = (struct pl_shift){PL_NEW_ARRAY(arena, double, elements),
                                   PL_NEW_ARRAY(arena, double, elements),
                                   PL_NEW_ARRAY(arena, double, elements)};
  pl_network_attach(network, bands, release);
  if (network->reference == PL_NONE)
    return bands;
  for (uint32_t k = 0; k < elements; k++) {
    uint32_t a = row_of(bands, network->elements.at[k].node_a);
    uint32_t b = row_of(bands, network->elements.at[k].node_b);
    stamps[k] = (struct pl_stamp){a == bands->unknowns ? PL_NO_ROW : a,
                                  b == bands->unknowns ? PL_NO_ROW : b};
  }
  bands->sparse = pl_sparse_new(arena, bands->unknowns, stamps, elements);
  return bands;
}

struct pl_bands *pl_bands_take(struct pl_network *network, const struct pl_solution *solution) {
  struct pl_bands *bands = pl_network_attached(network, release);
  bool known = solution->state < network->harness->states.n;

  if (bands == NULL)
    bands = make(network);
  if (bands->factored && bands->solution == solution && bands->elements == solution->elements &&
      bands->of_state == solution->state)
    return bands;
  bands->solution = solution;
  bands->elements = solution->elements;
  bands->of_state = solution->state;
  if (known)
    bands->state = &network->harness->states.at[solution->state];
  else
    bands->state = &bands->rest;
  bands->watched = false;
  bands->factored = bands->sparse != NULL && solution->status == PL_SOLVED &&
                    solution->element_count == network->elements.n && factor(bands);
  if (!bands->factored)
    return bands;
  pl_deviations_list(network, bands->state, solution, false, &bands->deviations);
  make_rows(bands);
  return bands;
}

/* ---- slopes ---- */

static bool solve_forms(struct pl_bands *bands, const struct form *forms, uint32_t count) {
  size_t n = bands->unknowns;

  memset(bands->packed, 0, count * n * sizeof *bands->packed);
  for (uint32_t f = 0; f < count; f++)
    for (uint32_t i = 0; i < forms[f].n; i++) {
      uint32_t row = row_of(bands, forms[f].node[i]);
      if (row < n)
        bands->packed[f * n + row] += forms[f].weight[i];
    }
  if (!pl_sparse_solve_many(bands->sparse, count, bands->packed))
    return false;
  for (uint32_t f = 0; f < count; f++) {
    memcpy(bands->w + f * (n + 1), bands->packed + f * n, n * sizeof *bands->w);
    bands->w[f * (n + 1) + n] = 0;
  }
  return true;
}

/* How the reading moves when deviation i, whose first row is `row`, goes to either end. */
static void slope(const struct pl_bands *bands,
                  const struct form *form,
                  const double *w,
                  uint32_t i,
                  uint32_t row,
                  double *down,
                  double *up) {
  uint32_t rows = 2;
  if (bands->deviations.at[i].element[1] == PL_NONE)
    rows = 1;

  *down = *up = 0;
  for (const struct row *r = &bands->rows.at[row]; rows > 0; rows--, r++) {
    double by = w[r->a] - w[r->b];
    for (uint32_t k = 0; k < form->owns; k++)
      if (r->element == form->own[k])
        by -= form->own_weight;
    *down += by * r->down;
    *up += by * r->up;
  }
}

static struct pl_band
sum(const struct pl_bands *bands, const struct form *form, const double *w, double figure) {
  struct pl_band band = {figure, figure, PL_NONE};
  uint32_t row = 0;

  for (uint32_t i = 0; i < bands->deviations.n;
       row += bands->deviations.at[i].element[1] == PL_NONE ? 1 : 2, i++) {
    double down, up;
    slope(bands, form, w, i, row, &down, &up);
    band.low += fmin(fmin(down, up), 0);
    band.high += fmax(fmax(down, up), 0);
  }
  return band;
}

static const struct pl_band no_band = {NAN, NAN, PL_NONE};

/* The first device that is not as it was. */
static pl_id changed(const struct pl_bands *bands, const struct pl_solution *end) {
  const struct pl_solution *solution = bands->solution;

  for (pl_id id = 0; id < bands->network->harness->devices.n; id++)
    if (end->device_on[id] != solution->device_on[id])
      return id;
  for (uint32_t k = 0; k < solution->element_count; k++)
    if (solution->elements[k].device != PL_NONE &&
        (end->elements[k].open != solution->elements[k].open ||
         end->elements[k].limited != solution->elements[k].limited))
      return solution->elements[k].device;
  return PL_NONE;
}

static bool is_outside(const struct pl_band *band, double figure, double solved) {
  double margin = beyond * (band->high - band->low) + 1e-6 * fabs(figure);

  return !(solved >= band->low - margin && solved <= band->high + margin);
}

static pl_id watched(const struct pl_bands *bands,
                     struct pl_reading reading,
                     const struct pl_band *band,
                     double figure) {
  for (int end = 0; bands->watched && end < 2; end++)
    if (is_outside(band, figure, pl_reading_figure(bands->network, &bands->ends[end], reading)))
      return changed(bands, &bands->ends[end]);
  return PL_NONE;
}

struct pl_band pl_band_of(struct pl_bands *bands, struct pl_reading reading) {
  struct form form;

  if (!bands->factored)
    return no_band;
  if (!form_of(bands->network, bands->solution, reading, &form))
    return no_band;
  if (!solve_forms(bands, &form, 1))
    return no_band;
  double figure = pl_reading_figure(bands->network, bands->solution, reading);
  struct pl_band band = sum(bands, &form, bands->w, figure);
  band.moves = watched(bands, reading, &band, figure);
  return band;
}

void pl_band_pins(struct pl_bands *bands, struct pl_band *by_pin) {
  const struct pl_network *network = bands->network;
  uint32_t pins = network->harness->pins.n;

  pl_bands_watch(bands);
  for (pl_id next = 0; next < pins;) {
    struct form forms[BATCH];
    pl_id asked[BATCH];
    uint32_t n = 0;
    for (; next < pins && n < BATCH; next++) {
      pl_id first = pl_network_node_pin(network, node_of(network, next));
      by_pin[next] = first < next ? by_pin[first]
                                  : no_band; /* the other holes of a stud come after its first */
      if (first < next || !bands->factored)
        continue;
      if (isnan(bands->solution->pin_volts[next]))
        continue;
      asked[n] = next;
      form_of(network,
              bands->solution,
              (struct pl_reading){PL_READING_VOLTS, next, PL_NONE, PL_NONE},
              &forms[n++]);
    }
    if (n == 0)
      continue;
    if (!solve_forms(bands, forms, n))
      continue;
    for (uint32_t i = 0; i < n; i++) {
      double figure = bands->solution->pin_volts[asked[i]];
      struct pl_band *band = &by_pin[asked[i]];
      *band = sum(bands, &forms[i], bands->w + i * ((size_t)bands->unknowns + 1), figure);
      band->moves = watched(bands,
                            (struct pl_reading){PL_READING_VOLTS, asked[i], PL_NONE, PL_NONE},
                            band,
                            figure);
    }
  }
}

/* ---- solved again ---- */

static void no_shift(struct pl_bands *bands) {
  for (uint32_t k = 0; k < bands->network->elements.n; k++) {
    bands->shift.ohms[k] = bands->shift.volts[k] = 0;
    bands->shift.times[k] = 1;
  }
}

static void move_part(struct pl_bands *bands, const struct pl_deviation *deviation, bool up) {
  for (int j = 0; j < 2; j++) {
    uint32_t k = deviation->element[j];
    double by = up ? deviation->up[j] : deviation->down[j];
    if (k == PL_NONE)
      continue;
    if (deviation->of == PL_DEVIATES_OHMS)
      bands->shift.ohms[k] += by;
    if (deviation->of == PL_DEVIATES_VOLTS)
      bands->shift.volts[k] += by;
    if (deviation->of == PL_DEVIATES_AMPS)
      bands->shift.times[k] *= 1 + by;
  }
}

static void solve_end(struct pl_bands *bands, int end) {
  struct pl_network *network = bands->network;

  network->shift = &bands->shift;
  pl_network_solve_again(network, bands->state, &bands->ends[end], NULL);
  network->shift = NULL;
  if (network->trial != NULL)
    network->trial->state = NULL;
}

/* Less volts, more ohms on the way and more draw. */
static bool is_weak_up(const struct pl_bands *bands, const struct pl_deviation *deviation) {
  enum pl_element_kind kind = bands->solution->elements[deviation->element[0]].kind;

  if (deviation->of == PL_DEVIATES_AMPS)
    return kind == PL_ELEMENT_CURRENT;
  if (deviation->of == PL_DEVIATES_VOLTS)
    return kind == PL_ELEMENT_DIODE;
  return kind != PL_ELEMENT_RESISTANCE;
}

void pl_bands_watch(struct pl_bands *bands) {
  if (bands->watched || !bands->factored)
    return;
  pl_deviations all = {0};
  pl_deviations_list(bands->network, bands->state, bands->solution, true, &all);
  for (int end = 0; end < 2; end++) {
    no_shift(bands);
    for (uint32_t i = 0; i < all.n; i++)
      move_part(bands, &all.at[i], is_weak_up(bands, &all.at[i]) == (end == 0));
    solve_end(bands, end);
  }
  bands->watched = true;
}

struct pl_band pl_band_solved(struct pl_bands *bands, struct pl_reading reading) {
  struct form form;
  double figures[2];
  double figure = pl_reading_figure(bands->network, bands->solution, reading);

  if (!bands->factored)
    return no_band;
  if (!form_of(bands->network, bands->solution, reading, &form))
    return no_band;
  if (!solve_forms(bands, &form, 1))
    return no_band;
  struct pl_band band = sum(bands, &form, bands->w, figure);
  struct pl_band estimate = band;
  bands->watched = false; /* its two ends are used here */
  for (int end = 0; end < 2; end++) {
    uint32_t row = 0;
    no_shift(bands);
    for (uint32_t i = 0; i < bands->deviations.n;
         row += bands->deviations.at[i].element[1] == PL_NONE ? 1 : 2, i++) {
      double down, up;
      slope(bands, &form, bands->w, i, row, &down, &up);
      if (end == 0 ? fmin(down, up) < 0 : fmax(down, up) > 0)
        move_part(bands, &bands->deviations.at[i], end == 0 ? up < down : up > down);
    }
    solve_end(bands, end);
    figures[end] = pl_reading_figure(bands->network, &bands->ends[end], reading);
    if (band.moves == PL_NONE && is_outside(&estimate, figure, figures[end]))
      band.moves = changed(bands, &bands->ends[end]);
  }
  if (isfinite(figures[0]))
    band.low = fmin(figures[0], figure);
  if (isfinite(figures[1]))
    band.high = fmax(figures[1], figure);
  return band;
}
