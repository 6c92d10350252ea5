/* Stretches of wiring that reach no source, and where they break off.  Looks at what is joined,
 * asks no solution. */
#include "rules/stretch_inner.h"

uint32_t
pl_stretch(const struct pl_check *check, pl_id end, uint32_t id, uint32_t *seen, pl_id *queue) {
  const struct pl_facts *facts = check->facts;
  uint32_t n = 0;
  queue[n++] = end;
  seen[end] = id;
  for (uint32_t i = 0; i < n; i++) {
    pl_id at = queue[i];
    for (uint32_t k = facts->first[at]; k < facts->first[at + 1]; k++) {
      const struct pl_link *link = pl_link_at(facts, k);
      pl_id q = pl_link_other(link, at);
      if (seen[q] == id)
        continue;
      if (facts->pole[q] != 0)
        continue;
      if (link->tie == PL_TIE_OUTPUT && at == link->b)
        continue; /* what an output feeds does not feed it */
      seen[q] = id;
      queue[n++] = q;
    }
  }
  return n;
}

bool pl_passes_on(enum pl_kind kind) {
  if (pl_kind_is(kind, PL_IS_PROTECTION | PL_IS_CONTACTS | PL_IS_INLINE | PL_IS_ONE_WAY))
    return true;
  return pl_kind_is_but(kind, PL_IS_RESISTANCE, PL_IS_TERMINATOR);
}

static uint32_t ways_at(const struct pl_check *check, pl_id pin) {
  return check->facts->first[pin + 1] - check->facts->first[pin];
}

/* How surely a wire is missing at an empty pin: 2 where the device is there to join just two ends,
 * else twice the share of the device's contact ends that are here, 1 when all its contacts go
 * through this pin; 0: not at all. */
static double emptiness(const struct pl_check *check, pl_id pin) {
  const struct pl_device *device = pl_pin_device(check->harness, pin);
  if (pl_pin_wires_there(check->harness, pin) > 0)
    return 0;
  if (!pl_passes_on(device->kind))
    return 0;
  if (ways_at(check, pin) == 0)
    return 0;
  if (!pl_kind_is(device->kind, PL_IS_CONTACTS))
    return 2;
  uint32_t contacts = 0;
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++)
    contacts += ways_at(check, p) - pl_pin_wires_there(check->harness, p);
  return 2.0 * ways_at(check, pin) / contacts;
}

static bool is_joint(const struct pl_check *check, pl_id pin) {
  return pl_kind_is(pl_pin_device(check->harness, pin)->kind, PL_IS_STUD | PL_IS_SPLICE);
}

pl_id pl_stretch_gap(const struct pl_check *check, const pl_id *queue, uint32_t n) {
  pl_id empty = PL_NONE;
  pl_id single = PL_NONE;
  pl_id common = PL_NONE;
  for (uint32_t i = 0; i < n; i++) {
    double now = emptiness(check, queue[i]);
    if (now > 0 && (empty == PL_NONE || now >= emptiness(check, empty)))
      empty = queue[i];
    if (!is_joint(check, queue[i]))
      continue;
    if (pl_pin_wires_there(check->harness, queue[i]) == 1)
      single = queue[i];
    if (common == PL_NONE || ways_at(check, queue[i]) > ways_at(check, common))
      common = queue[i];
  }
  if (empty != PL_NONE && emptiness(check, empty) >= 1)
    return empty; /* a spare contact of a switch is none */
  if (single != PL_NONE)
    return single;
  if (common != PL_NONE)
    return common;
  if (empty != PL_NONE)
    return empty;
  return queue[n - 1];
}

pl_id pl_loose_end(const struct pl_check *check, uint8_t pole) {
  const struct pl_harness *h = check->harness;
  pl_id found = PL_NONE;
  for (pl_id p = 0; p < h->pins.n; p++) {
    if (!(check->facts->reach[p] & pole))
      continue;
    bool single =
        pl_kind_is(pl_pin_device(h, p)->kind, PL_IS_SPLICE) && pl_pin_wires_there(h, p) == 1;
    if (!single && emptiness(check, p) < 1)
      continue;
    if (found != PL_NONE)
      return PL_NONE;
    found = p;
  }
  return found;
}
