/* What a finding is about: its wires, those that its current comes by, its pins. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "remedy/remedy_inner.h"

static pl_id wire_named(const struct pl_harness *h, const char *place) {
  uint32_t id = PL_NONE;
  if (strncmp(place, "wire ", 5) != 0)
    return PL_NONE;
  if (!pl_table_find(&h->wire_numbers, place + 5, &id))
    return PL_NONE;
  return id;
}

static pl_id state_named(const struct pl_harness *h, const char *name) {
  for (pl_id s = 0; s < h->states.n; s++)
    if (strcmp(h->states.at[s].name, name) == 0)
      return s;
  return PL_NONE;
}

struct lossy {
  pl_id wire;
  double volts;
};

static int by_loss(const void *a, const void *b) {
  const struct lossy *x = a;
  const struct lossy *y = b;
  if (x->volts != y->volts)
    return x->volts < y->volts ? 1 : -1;
  return (x->wire > y->wire) - (x->wire < y->wire);
}

typedef PL_VEC(struct lossy) losses;

static void add_way(const struct pl_check *check,
                    const struct pl_solution *solution,
                    pl_id pin,
                    bool minus,
                    losses *list) {
  uint32_t *path = NULL;
  if (pin == PL_NONE)
    return;
  uint32_t n = pl_solution_path(check->network, solution, pin, minus, check->arena, &path);
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_element *e = &solution->elements[path[i]];
    if (e->wire == PL_NONE)
      continue;
    struct lossy loss = {e->wire, fabs(e->amps) * (e->ohms - e->contact_ohms)};
    PL_PUSH(check->arena, list, loss);
  }
}

/* The pins that current goes in and out by at a place, "K1" or "ECM.A1". */
static void ends_of(const struct pl_harness *h, const char *place, pl_id *plus, pl_id *minus) {
  pl_id pin = pl_harness_find_pin(h, place);
  pl_id d = pl_harness_find_device(h, place);
  *plus = *minus = PL_NONE;
  if (d == PL_NONE && pin != PL_NONE)
    d = h->pins.at[pin].device;
  if (d == PL_NONE)
    return;
  const struct pl_device *device = &h->devices.at[d];
  *plus = device->plus;
  *minus = pl_device_return(h, d);
  if (pl_kind_is(device->kind, PL_IS_MODULE))
    for (pl_id p = device->first_pin; p < pl_pins_end(device) && *plus == PL_NONE; p++)
      if (h->pins.at[p].role == PL_ROLE_BATTERY_FEED)
        *plus = p;
  if (pin != PL_NONE && d != pl_harness_find_device(h, place))
    *plus = pin;
  if (pl_kind_is(device->kind, PL_IS_RELAY)) {
    *plus = device->coil_a;
    *minus = device->coil_b;
  }
}

pl_ids pl_cure_way(const struct pl_check *check, const struct pl_finding *f) {
  const struct pl_harness *h = check->harness;
  losses list = {0};
  pl_ids wires = {0};
  pl_id plus, minus;
  pl_id state = state_named(h, f->state);
  ends_of(h, f->place, &plus, &minus);
  for (pl_id s = 0; s < h->states.n && list.n == 0; s++) {
    if (state != PL_NONE && s != state)
      continue;
    if (check->solutions[s].status != PL_SOLVED)
      continue;
    add_way(check, &check->solutions[s], plus, false, &list);
    add_way(check, &check->solutions[s], minus, true, &list);
  }
  if (list.n > 1)
    qsort(list.at, list.n, sizeof *list.at, by_loss);
  for (uint32_t i = 0; i < list.n; i++)
    PL_PUSH(check->arena, &wires, list.at[i].wire);
  return wires;
}

pl_ids pl_cure_wires(const struct pl_check *check, const struct pl_finding *f) {
  pl_ids wires = {0};
  pl_id wire = wire_named(check->harness, f->place);
  for (uint32_t i = 0; i < f->wire_count; i++)
    PL_PUSH(check->arena, &wires, f->wires[i]);
  if (wires.n > 0)
    return wires;
  if (wire == PL_NONE)
    return pl_cure_way(check, f);
  PL_PUSH(check->arena, &wires, wire);
  return wires;
}

pl_ids pl_cure_pins(const struct pl_check *check, const char *place) {
  const struct pl_harness *h = check->harness;
  pl_ids pins = {0};
  pl_id d = pl_harness_find_device(h, place);
  pl_id pin = pl_harness_find_pin(h, place);
  if (d == PL_NONE && pin != PL_NONE)
    PL_PUSH(check->arena, &pins, pin);
  if (d != PL_NONE)
    for (pl_id p = h->devices.at[d].first_pin; p < pl_pins_end(&h->devices.at[d]); p++)
      PL_PUSH(check->arena, &pins, p);
  return pins;
}
