/* The failure table: what each single fault changes in each declared state.  The network's sweep
 * solves them; this only compares. */
#include <math.h>
#include <string.h>

#include "prove/prove_inner.h"

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

static double most(const struct pl_proof *proof, const struct pl_device *d) {
  if (d->load_amps > 0)
    return d->load_amps / 2;
  return 0.1 * pl_prove_supply(proof->harness, d) / 100;
}

static bool
is_on(const struct table *t, pl_id id, const struct pl_element *elements, const bool *device_on) {
  const struct pl_device *d = &t->proof->harness->devices.at[id];

  if (tells_by_on(d->kind))
    return device_on[id];
  return t->main[id] != PL_NONE && fabs(elements[t->main[id]].amps) >= most(t->proof, d);
}

static bool is_warning(const struct pl_device *d, const struct pl_proof *proof) {
  if (pl_kind_is(d->kind, PL_IS_WARNING))
    return true;
  return pl_kind_is(d->kind, PL_IS_LAMP) && d->load_amps > 0 &&
         d->load_amps * pl_prove_supply(proof->harness, d) <=
             3; /* a lamp of 3 W at most tells, it does not light */
}

static void name(struct pl_buffer *list, const char *text) {
  pl_buffer_printf(list, "%s%s", list->n > 0 ? ", " : "", text);
}

static void look_at(void *context, const struct pl_fault_view *view) {
  struct table *t = context;
  struct pl_proof *proof = t->proof;
  const struct pl_harness *h = proof->harness;
  struct pl_buffer stops, starts, opens, warns, misreads;
  pl_ids stopped = {0};

  pl_buffer_init(&stops, proof->arena);
  pl_buffer_init(&starts, proof->arena);
  pl_buffer_init(&opens, proof->arena);
  pl_buffer_init(&warns, proof->arena);
  pl_buffer_init(&misreads, proof->arena);
  if (view->status == PL_SOLVED)
    for (pl_id id = 0; id < h->devices.n; id++) {
      const struct pl_device *d = &h->devices.at[id];
      if (pl_kind_is_protection(d->kind) && t->main[id] != PL_NONE && d->rating > 0) {
        if (fabs(view->elements[t->main[id]].amps) > d->rating &&
            fabs(t->healthy->elements[t->main[id]].amps) <= d->rating)
          name(&opens, d->name);
        continue;
      }
      if (t->main[id] == PL_NONE && !tells_by_on(d->kind))
        continue;
      bool now = is_on(t, id, view->elements, view->device_on);
      bool before = is_on(t, id, t->healthy->elements, t->healthy->device_on);
      if (now == before)
        continue;
      name(!now ? &stops : is_warning(d, proof) ? &warns : &starts, d->name);
      if (!now)
        PL_PUSH(proof->arena, &stopped, id);
    }
  if (view->status == PL_SOLVED)
    pl_readings_judge(proof, t->readings, t->healthy, view, &stops, &misreads);
  if (view->status == PL_SOLVED && stops.n + starts.n + opens.n + warns.n + misreads.n == 0)
    return;
  struct pl_effect effect = {.fault = *view->fault,
                             .state = t->state,
                             .what = pl_fault_text(h, view->fault, proof->arena),
                             .stops = stops.n > 0 ? stops.at : "",
                             .starts = starts.n > 0 ? starts.at : "",
                             .opens = opens.n > 0 ? opens.at : "",
                             .warns = warns.n > 0 ? warns.at : "",
                             .misreads = misreads.n > 0 ? misreads.at : "",
                             .stopped = stopped};
  effect.solved = view->status == PL_SOLVED;
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
    if (strcmp(e->what, "load") == 0 || pl_kind_is_protection(kind))
      main[e->device] = k;
  }
  return main;
}

static bool same_fault(const struct pl_fault *a, const struct pl_fault *b) {
  return a->kind == b->kind && a->wire == b->wire && a->device == b->device &&
         a->pin_a == b->pin_a && a->pin_b == b->pin_b && a->position == b->position;
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

void pl_prove_effects(struct pl_proof *proof, pl_effects *effects) {
  pl_prove_effects_of(proof, pl_proof_faults(proof), effects);
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
      stops = stops || effect->stopped.at[k] == require->subject;
    if (stops && !told && wants_on(proof, require, effect->state))
      PL_PUSH(proof->arena, rows, effect);
  }
}
