/* The failure table: what each single fault changes in each declared state.  The network's sweep
 * solves them; this only compares. */
#include <math.h>
#include <string.h>

#include "prove/prove_inner.h"
#include "standard/defaults.h"

struct table {
  struct pl_proof *proof;
  pl_effects *effects;
  pl_id state;
  const struct pl_solution *healthy;
  struct pl_readings *readings;
  uint32_t *main; /* by device: the element that says whether it is on; PL_NONE */
};

static bool tells_by_on(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_COIL | PL_IS_MODULE);
}

/* The amps from which a load counts as on: half of its own, or of 10 % of its volts over 100 ohm
 * where it has none. */
static double least_amps(const struct pl_proof *proof, const struct pl_device *d) {
  if (d->load_amps > 0)
    return d->load_amps / 2;
  return 0.1 * pl_prove_supply(proof->harness, d) / 100;
}

/* A starter turns with a tenth of its amps and more, an alternator charges with any worth telling:
 * its solenoid or field alone does neither. */
static double turning_amps(const struct pl_device *d) {
  static const double charges = 0.05;
  if (pl_kind_is(d->kind, PL_IS_GENERATOR))
    return charges;
  if (d->crank_amps > 0)
    return d->crank_amps / 10;
  return PL_DEFAULT(CRANK_AMPS) / 10;
}

static bool
is_on(const struct table *t, pl_id id, const struct pl_element *elements, const bool *device_on) {
  const struct pl_device *d = &t->proof->harness->devices.at[id];

  if (pl_kind_is(d->kind, PL_IS_STARTER | PL_IS_GENERATOR))
    return device_on[id] && t->main[id] != PL_NONE &&
           fabs(elements[t->main[id]].amps) >= turning_amps(d);
  if (tells_by_on(d->kind))
    return device_on[id];
  if (t->main[id] == PL_NONE)
    return false;
  return fabs(elements[t->main[id]].amps) >= least_amps(t->proof, d);
}

/* A lamp of little power tells, it does not light. */
static bool is_warning(const struct pl_device *d, const struct pl_proof *proof) {
  static const double watts = 3;

  if (pl_kind_is(d->kind, PL_IS_WARNING))
    return true;
  if (!pl_kind_is(d->kind, PL_IS_LAMP))
    return false;
  if (!(d->load_amps > 0))
    return false;
  return d->load_amps * pl_prove_supply(proof->harness, d) <= watts;
}

/* The five lists of one fault's effects, as they are told. */
struct lists {
  struct pl_buffer stops, starts, opens, warns, misreads;
  pl_ids stopped;
};

static void append(struct pl_buffer *list, const char *name) {
  if (list->n > 0)
    pl_buffer_puts(list, ", ");
  pl_buffer_puts(list, name);
}

static const char *text_of(const struct pl_buffer *list) {
  if (list->n > 0)
    return list->at;
  return "";
}

/* A fuse that carries more than its rating with the fault, and not without. */
static void
judge_fuse(const struct table *t, const struct pl_fault_view *view, pl_id id, struct lists *lists) {
  const struct pl_device *d = &t->proof->harness->devices.at[id];
  double now = fabs(view->elements[t->main[id]].amps);
  double before = fabs(t->healthy->elements[t->main[id]].amps);

  if (now > d->rating && before <= d->rating)
    append(&lists->opens, d->name);
}

static void
judge_user(const struct table *t, const struct pl_fault_view *view, pl_id id, struct lists *lists) {
  struct pl_proof *proof = t->proof;
  const struct pl_device *d = &proof->harness->devices.at[id];
  bool now = is_on(t, id, view->elements, view->device_on);
  bool before = is_on(t, id, t->healthy->elements, t->healthy->device_on);

  if (now == before)
    return;
  if (!now) {
    append(&lists->stops, d->name);
    PL_PUSH(proof->arena, &lists->stopped, id);
  } else if (is_warning(d, proof)) {
    append(&lists->warns, d->name);
  } else {
    append(&lists->starts, d->name);
  }
}

static void
judge_devices(const struct table *t, const struct pl_fault_view *view, struct lists *lists) {
  const struct pl_harness *h = t->proof->harness;

  for (pl_id id = 0; id < h->devices.n; id++) {
    const struct pl_device *d = &h->devices.at[id];
    bool has_main = t->main[id] != PL_NONE;
    if (has_main && pl_kind_is_protection(d->kind) && d->rating > 0)
      judge_fuse(t, view, id, lists);
    else if (has_main || tells_by_on(d->kind))
      judge_user(t, view, id, lists);
  }
}

static bool is_empty(const struct lists *lists) {
  return lists->stops.n + lists->starts.n + lists->opens.n + lists->warns.n + lists->misreads.n ==
         0;
}

static void look_at(void *context, const struct pl_fault_view *view) {
  struct table *t = context;
  struct pl_proof *proof = t->proof;
  struct lists lists = {0};
  bool solved = view->status == PL_SOLVED;

  pl_buffer_init(&lists.stops, proof->arena);
  pl_buffer_init(&lists.starts, proof->arena);
  pl_buffer_init(&lists.opens, proof->arena);
  pl_buffer_init(&lists.warns, proof->arena);
  pl_buffer_init(&lists.misreads, proof->arena);
  if (solved) {
    judge_devices(t, view, &lists);
    pl_readings_judge(proof, t->readings, t->healthy, view, &lists.stops, &lists.misreads);
    if (is_empty(&lists))
      return;
  }
  struct pl_effect effect = {.fault = *view->fault,
                             .state = t->state,
                             .what = pl_fault_text(proof->harness, view->fault, proof->arena),
                             .stops = text_of(&lists.stops),
                             .starts = text_of(&lists.starts),
                             .opens = text_of(&lists.opens),
                             .warns = text_of(&lists.warns),
                             .misreads = text_of(&lists.misreads),
                             .stopped = lists.stopped,
                             .solved = solved};
  PL_PUSH(proof->arena, t->effects, effect);
}

static uint32_t *mains(struct pl_proof *proof) {
  uint32_t *main = PL_NEW_ARRAY(proof->arena, uint32_t, proof->harness->devices.n);

  for (pl_id id = 0; id < proof->harness->devices.n; id++)
    main[id] = PL_NONE;
  for (uint32_t k = proof->element_count; k-- > 0;) {
    const struct pl_element *e = &proof->elements[k];
    if (e->device == PL_NONE)
      continue;
    enum pl_kind kind = proof->harness->devices.at[e->device].kind;
    bool main_of_kind = strcmp(e->what, "motor") == 0 || strcmp(e->what, "alternator") == 0 ||
                        strcmp(e->what, "load") == 0;
    if (main_of_kind || pl_kind_is_protection(kind))
      main[e->device] = k;
  }
  return main;
}

static bool same_fault(const struct pl_fault *a, const struct pl_fault *b) {
  if (a->kind != b->kind)
    return false;
  if (a->wire != b->wire)
    return false;
  if (a->device != b->device)
    return false;
  if (a->pin_a != b->pin_a)
    return false;
  if (a->pin_b != b->pin_b)
    return false;
  return a->position == b->position;
}

/* Rows of one fault together, states in their order: the sweep goes state by state, this is a
 * stable sort by fault. */
static void by_fault(struct pl_proof *proof, const pl_faults *faults, pl_effects *effects) {
  struct pl_effect *sorted = PL_NEW_ARRAY(proof->arena, struct pl_effect, effects->n + 1);
  uint32_t states = proof->harness->states.n;
  uint32_t n = 0;
  uint32_t *at = PL_NEW_ARRAY(proof->arena, uint32_t, states + 1);
  uint32_t *end = PL_NEW_ARRAY(proof->arena, uint32_t, states + 1);

  for (uint32_t s = 0, i = 0; s < states; s++) {
    at[s] = i;
    while (i < effects->n && effects->at[i].state == s)
      i++;
    end[s] = i;
  }
  for (uint32_t f = 0; f < faults->n; f++)
    for (uint32_t s = 0; s < states; s++)
      while (at[s] < end[s] && same_fault(&effects->at[at[s]].fault, &faults->at[f]))
        sorted[n++] = effects->at[at[s]++];
  if (n > 0 && n == effects->n)
    memcpy(effects->at, sorted, n * sizeof *sorted);
}

static const struct pl_fault nothing = {.wire = PL_NONE,
                                        .device = PL_NONE,
                                        .pin_a = PL_NONE,
                                        .pin_b = PL_NONE};

/* Of an inline pair the first half stands for both; a plug of one wire is that wire. */
static bool comes_off(const struct pl_harness *h, pl_id connector) {
  const struct pl_connector *c = &h->connectors.at[connector];
  const struct pl_device *d = &h->devices.at[c->device];
  uint32_t wires = 0;
  if (pl_kind_is(d->kind, PL_IS_INLINE) && connector != d->first_connector)
    return false;
  for (pl_id p = c->first_pin; p < c->first_pin + c->pin_count; p++)
    wires += h->pins.at[p].wires.n;
  return wires > 1;
}

/* Those of the proofs and, behind them, each module dead and each connector off. */
void pl_prove_effects(struct pl_proof *proof, pl_effects *effects) {
  const struct pl_harness *h = proof->harness;
  const pl_faults *listed = pl_proof_faults(proof);
  pl_faults faults = {0};

  for (uint32_t i = 0; i < listed->n; i++)
    PL_PUSH(proof->arena, &faults, listed->at[i]);
  for (pl_id d = 0; d < h->devices.n; d++) {
    struct pl_fault dead = nothing;
    dead.kind = PL_FAULT_DEAD;
    dead.device = d;
    if (pl_kind_breaks(h->devices.at[d].kind, PL_BREAKS_DEAD))
      PL_PUSH(proof->arena, &faults, dead);
  }
  for (pl_id c = 0; c < h->connectors.n; c++) {
    struct pl_fault off = nothing;
    off.kind = PL_FAULT_UNPLUGGED;
    off.pin_a = h->connectors.at[c].first_pin;
    if (comes_off(h, c))
      PL_PUSH(proof->arena, &faults, off);
  }
  pl_prove_effects_of(proof, &faults, effects);
}

void pl_prove_effects_of(struct pl_proof *proof, const pl_faults *faults, pl_effects *effects) {
  struct table table = {.proof = proof, .effects = effects, .main = mains(proof)};

  if (proof->reference == PL_NONE)
    return;
  pl_proof_nets(proof, NULL);
  table.readings = pl_readings_new(proof);
  for (pl_id s = 0; s < proof->harness->states.n; s++) {
    if (proof->solutions[s].status != PL_SOLVED)
      continue;
    table.state = s;
    table.healthy = &proof->solutions[s];
    pl_network_sweep(proof->network, s, faults->at, faults->n, look_at, &table);
  }
  by_fault(proof, faults, effects);
}

static bool wants_on(const struct pl_proof *proof, const struct pl_require *require, pl_id state) {
  bool all = true;
  for (uint32_t i = 0; i < require->clauses.n; i++)
    all = all && pl_position_in(proof->harness,
                                &proof->harness->states.at[state],
                                require->clauses.at[i].device) == require->clauses.at[i].position;
  return require->on && all != require->unless;
}

void pl_prove_switches_off(const struct pl_proof *proof,
                           uint32_t r,
                           const pl_effects *effects,
                           pl_effect_rows *rows) {
  const struct pl_require *require = &proof->harness->requires.at[r];

  for (uint32_t i = 0; i < effects->n; i++) {
    const struct pl_effect *effect = &effects->at[i];
    bool stops = false;
    bool told = rows->n > 0 && strcmp(rows->at[rows->n - 1]->what, effect->what) == 0;
    for (uint32_t k = 0; k < effect->stopped.n; k++)
      if (effect->stopped.at[k] == require->subject)
        stops = true;
    if (stops && !told && wants_on(proof, require, effect->state))
      PL_PUSH(proof->arena, rows, effect);
  }
}
