/* Which combinations of a cone are tried, in which order: all of them where there are few; else
 * every declared state, then every single, then every pairwise departure from each of them, as many
 * as the cap allows.  Most interaction faults need one or two factors (Kuhn, Kacker, Lei, NIST SP
 * 800-142, from memory), so what the cap leaves out is the unlikely rest.  n factors of k values:
 * k^n combinations, against states x (1 + n(k-1) + n(n-1)(k-1)^2/2); tried ones are known by an
 * FNV-1a hash, linear probing. */
#include <string.h>

#include "prove/prove_inner.h"

struct run {
  struct pl_proof *proof;
  const struct pl_cone *cone;
  uint32_t *values;    /* of the combination at hand */
  uint32_t **declared; /* by state: its values */
  uint32_t **seen;     /* hash table of values tried; NULL when all are tried, each once */
  uint32_t seen_size, most, tried;
  pl_combo_fn each;
  void *context;
  bool stopped;
};

/* ---- values and looks ---- */

static uint32_t
value_in(const struct pl_proof *proof, pl_id state, const struct pl_factor *factor) {
  const struct pl_state *s = &proof->harness->states.at[state];

  switch (factor->kind) {
    case PL_FACTOR_SWITCH:
      return pl_position_in(proof->harness, s, factor->id); /* by its thresholds too */
    case PL_FACTOR_OUTPUT:
      for (uint32_t i = 0; i < s->outputs_on.n; i++)
        if (s->outputs_on.at[i] == factor->id)
          return 1;
      return 0;
    case PL_FACTOR_LATCH:
      for (uint32_t i = 0; i < s->set.n; i++)
        if (s->set.at[i] == factor->id)
          return 1;
      return 0;
    case PL_FACTOR_ENGINE:
      break;
  }
  return s->engine == PL_ENGINE_IDLE || s->engine == PL_ENGINE_SPEED;
}

static void set_look(struct run *run) {
  struct pl_look *look = &run->proof->look;

  look->departures = 0;
  for (uint32_t i = 0; i < run->cone->factors.n; i++) {
    const struct pl_factor *f = &run->cone->factors.at[i];
    look->departures += run->values[i] != f->at_rest;
    switch (f->kind) {
      case PL_FACTOR_SWITCH:
        look->position[f->id] = run->values[i];
        break;
      case PL_FACTOR_OUTPUT:
        look->output_on[f->id] = run->values[i] == 1;
        break;
      case PL_FACTOR_LATCH:
        look->set[f->id] = run->values[i] == 1;
        break;
      case PL_FACTOR_ENGINE:
        look->turning = run->values[i] == 1;
        break;
    }
  }
}

static void rest_look(struct pl_proof *proof) {
  struct pl_look *look = &proof->look;

  for (pl_id d = 0; d < proof->harness->devices.n; d++)
    look->position[d] = proof->harness->devices.at[d].rest;
  memset(look->output_on, 0, proof->harness->pins.n * sizeof *look->output_on);
  memset(look->set, 0, proof->harness->devices.n * sizeof *look->set);
  memset(look->on, 0, proof->harness->devices.n * sizeof *look->on);
  look->turning = false;
}

static bool same(const struct run *run, const uint32_t *a, const uint32_t *b) {
  return memcmp(a, b, run->cone->factors.n * sizeof *a) == 0;
}

/* The declared state with these values; one that cranks only when no other fits. */
static pl_id state_of(const struct run *run) {
  for (pl_id s = 0; s < run->proof->harness->states.n; s++)
    if (same(run, run->declared[s], run->values))
      return s;
  return PL_NONE;
}

/* ---- trying ---- */

/* Remembers the values; false when they were tried before. */
static bool remember(struct run *run) {
  uint32_t hash = 2166136261u;

  if (run->seen == NULL)
    return true;
  for (uint32_t i = 0; i < run->cone->factors.n; i++)
    hash = (hash ^ run->values[i]) * 16777619u;
  uint32_t at = hash % run->seen_size;
  while (run->seen[at] != NULL) {
    if (same(run, run->seen[at], run->values))
      return false;
    at = (at + 1) % run->seen_size;
  }
  run->seen[at] = PL_NEW_ARRAY(run->proof->arena, uint32_t, run->cone->factors.n + 1);
  memcpy(run->seen[at], run->values, run->cone->factors.n * sizeof *run->values);
  return true;
}

static void try_values(struct run *run) {
  if (run->stopped)
    return;
  if (run->tried >= run->most)
    return;
  if (!remember(run))
    return;
  run->tried++;
  set_look(run);
  pl_look(run->proof);
  run->stopped = !run->each(run->proof, state_of(run), run->context);
}

static void try_all(struct run *run) {
  uint32_t n = run->cone->factors.n;
  uint32_t i;

  for (i = 0; i < n; i++)
    run->values[i] = run->cone->factors.at[i].at_rest;
  for (;;) { /* an odometer that starts and ends with everything at rest */
    try_values(run);
    for (i = n; i-- > 0;) {
      const struct pl_factor *f = &run->cone->factors.at[i];
      run->values[i] = (run->values[i] + 1) % f->value_count;
      if (run->values[i] != f->at_rest)
        break;
    }
    if (i == UINT32_MAX || run->stopped)
      return;
  }
}

static void depart(struct run *run, uint32_t from, int depth) {
  if (depth == 0) {
    try_values(run);
    return;
  }
  for (uint32_t i = from; i < run->cone->factors.n && !run->stopped && run->tried < run->most;
       i++) {
    uint32_t home = run->values[i];
    for (uint32_t value = 0; value < run->cone->factors.at[i].value_count; value++) {
      if (value == home)
        continue;
      run->values[i] = value;
      depart(run, i + 1, depth - 1);
    }
    run->values[i] = home;
  }
}

static void try_departures(struct run *run) {
  const struct pl_harness *harness = run->proof->harness;
  uint32_t n = run->cone->factors.n;
  uint32_t *rest = PL_NEW_ARRAY(run->proof->arena, uint32_t, n + 1);

  run->seen_size = 2 * run->most + 1;
  run->seen = PL_NEW_ARRAY(run->proof->arena, uint32_t *, run->seen_size);
  for (uint32_t i = 0; i < n; i++)
    rest[i] = run->cone->factors.at[i].at_rest;
  for (int depth = 0; depth <= 2; depth++)
    for (pl_id s = 0; s <= harness->states.n; s++) { /* the last is everything at rest */
      memcpy(run->values, s < harness->states.n ? run->declared[s] : rest, n * sizeof *rest);
      depart(run, 0, depth);
    }
}

void pl_combos(struct pl_proof *proof,
               const struct pl_cone *cone,
               uint32_t most,
               struct pl_covered *covered,
               pl_combo_fn each,
               void *context) {
  struct run run = {.proof = proof, .cone = cone, .most = most, .each = each, .context = context};
  uint32_t n = cone->factors.n;
  uint32_t states = proof->harness->states.n;

  run.values = PL_NEW_ARRAY(proof->arena, uint32_t, n + 1);
  run.declared = PL_NEW_ARRAY(proof->arena, uint32_t *, states + 1);
  for (pl_id s = 0; s < states; s++) {
    run.declared[s] = PL_NEW_ARRAY(proof->arena, uint32_t, n + 1);
    for (uint32_t i = 0; i < n; i++)
      run.declared[s][i] = value_in(proof, s, &cone->factors.at[i]);
  }
  rest_look(proof);
  for (uint32_t i = 0; i < cone->held.n; i++)
    proof->look.output_on[cone->held.at[i]] = true;
  proof->watch = cone->watch;
  proof->active = cone->active;
  covered->there_are = 1;
  for (uint32_t i = 0; i < n; i++)
    covered->there_are *= cone->factors.at[i].value_count;
  covered->all = covered->there_are <= most;
  if (covered->all)
    try_all(&run);
  else
    try_departures(&run);
  covered->tried = run.tried;
}

/* ---- words ---- */

const char *pl_combo_text(const struct pl_proof *proof, const struct pl_cone *cone) {
  struct pl_buffer out;
  const struct pl_harness *h = proof->harness;

  pl_buffer_init(&out, proof->arena);
  pl_buffer_puts(&out, "");
  for (uint32_t i = 0; i < cone->factors.n; i++) {
    const struct pl_factor *f = &cone->factors.at[i];
    const char *comma = "";
    if (out.n > 0)
      comma = ", ";
    if (f->kind == PL_FACTOR_SWITCH) {
      const struct pl_device *d = &h->devices.at[f->id];
      uint32_t position = proof->look.position[f->id];
      if (f->tell || position != f->at_rest)
        pl_buffer_printf(&out, "%s%s in %s", comma, d->name, d->throws.at[position].name);
    } else if (f->kind == PL_FACTOR_OUTPUT && proof->look.output_on[f->id])
      pl_buffer_printf(&out, "%s%s on", comma, h->pins.at[f->id].full);
    else if (f->kind == PL_FACTOR_LATCH && proof->look.set[f->id])
      pl_buffer_printf(&out, "%s%s set", comma, h->devices.at[f->id].name);
    else if (f->kind == PL_FACTOR_ENGINE && proof->look.turning)
      pl_buffer_printf(&out, "%sengine running", comma);
  }
  if (out.n > 0)
    return out.at;
  return "everything at rest";
}
