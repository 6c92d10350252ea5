/* The way of a current in words, wire by wire, and whether it goes through another load or against
 * its usual direction. */
#include <math.h>
#include <string.h>

#include "prove/prove_inner.h"
#include "standard/defaults.h"

double pl_prove_supply(const struct pl_harness *harness, const struct pl_device *device) {
  if (device->volts > 0)
    return device->volts;
  if (harness->machine.volts > 0)
    return harness->machine.volts;
  return 12.0;
}

/* Does the current run through it from minus to plus (coil_b to coil_a)? */
static bool is_backwards(const struct pl_proof *proof, const struct pl_element *e) {
  const struct pl_device *d = &proof->harness->devices.at[e->device];

  if (!pl_kind_is(d->kind, PL_IS_LOAD | PL_IS_GAUGE))
    return false;
  if (e->pin_a != d->plus)
    return false;
  return e->amps < 0;
}

static const char *step_text(const struct pl_proof *proof, const struct pl_element *e) {
  const struct pl_harness *h = proof->harness;

  if (e->wire != PL_NONE)
    return pl_arena_printf(proof->arena, "wire %s", h->wires.at[e->wire].number);
  const struct pl_device *d = &h->devices.at[e->device];
  if (e->kind == PL_ELEMENT_SOURCE ||
      (pl_kind_is(d->kind, PL_IS_MODULE) && e->pin_a != PL_NONE && e->kind != PL_ELEMENT_CONTACT))
    return e->pin_a != PL_NONE ? h->pins.at[e->pin_a].full : d->name;
  return pl_arena_printf(proof->arena,
                         "%s %s%s",
                         pl_kind_name(d->kind),
                         d->name,
                         is_backwards(proof, e) ? " backwards" : "");
}

const char *pl_prove_path(struct pl_proof *proof,
                          const struct pl_solution *solution,
                          pl_id pin,
                          bool to_minus) {
  uint32_t *path;
  uint32_t n = pl_solution_path(proof->network, solution, pin, to_minus, proof->arena, &path);
  struct pl_buffer out;
  const char *last = "";

  pl_buffer_init(&out, proof->arena);
  pl_buffer_puts(&out, "");
  for (uint32_t i = 0; i < n; i++) {
    const char *step = step_text(proof, &solution->elements[path[to_minus ? i : n - 1 - i]]);
    if (strcmp(step, last) == 0)
      continue;
    pl_buffer_printf(&out, "%s%s", out.n > 0 ? ", " : "", step);
    last = step;
  }
  return out.at;
}

/* A thing that is meant to use current, not to pass it on; an alternator's exciter is there to be
 * fed through a lamp. */
static bool is_consumer(const struct pl_proof *proof, uint32_t k) {
  const struct pl_element *e = &proof->elements[k];

  if (proof->branch[k] == PL_BRANCH_EXCITER)
    return true;
  if (proof->branch[k] == PL_BRANCH_PULL)
    return true;
  if (proof->branch[k] != PL_BRANCH_LOAD)
    return false;
  if (e->device == PL_NONE)
    return false;
  enum pl_kind kind = proof->harness->devices.at[e->device].kind;
  return !pl_kind_is_but(kind, PL_IS_RESISTANCE, PL_IS_TERMINATOR);
}

/* The load through which that current comes; PL_NONE. */
pl_id pl_prove_crossing(struct pl_proof *proof,
                        const struct pl_solution *solution,
                        pl_id pin,
                        bool to_minus,
                        uint32_t subject) {
  uint32_t *path;
  uint32_t n = pl_solution_path(proof->network, solution, pin, to_minus, proof->arena, &path);

  for (uint32_t i = 0; i < n; i++)
    if (path[i] != subject && is_consumer(proof, path[i]))
      return proof->elements[path[i]].device;
  return PL_NONE;
}

bool pl_prove_is_sneaky(struct pl_proof *proof,
                        const struct pl_solution *solution,
                        pl_id pin,
                        bool to_minus,
                        uint32_t subject,
                        bool reverse_counts) {
  uint32_t *path;
  uint32_t n = pl_solution_path(proof->network, solution, pin, to_minus, proof->arena, &path);

  for (uint32_t i = 0; i < n; i++) {
    uint32_t k = path[i];
    if (k == subject)
      continue;
    if (proof->branch[k] == PL_BRANCH_BATTERY)
      continue;
    if (proof->branch[k] == PL_BRANCH_TURNING)
      continue;
    if (is_consumer(proof, k))
      return true;
    if (reverse_counts && proof->usual[k] != 0 &&
        (proof->usual[k] & (solution->elements[k].amps > 0 ? 1 : 2)) == 0)
      return true;
  }
  return false;
}
