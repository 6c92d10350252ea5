/* An alternator that gives nothing in any running state, and why: its cable or its return leads to
 * no battery, or its field gets no current.  The solved states say whether; what is joined and
 * the volts around D+ say where. */
#include <math.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "rules/stretch_inner.h"
#include "standard/limits_data.h"

static bool is_running(const struct pl_check *check, pl_id state) {
  enum pl_engine engine = check->harness->states.at[state].engine;
  return engine == PL_ENGINE_IDLE || engine == PL_ENGINE_SPEED;
}

/* The first running state, when it gives nothing in any; PL_NONE. */
static pl_id idle_state(const struct pl_check *check, pl_id generator) {
  pl_id first = PL_NONE;
  for (pl_id s = 0; s < check->harness->states.n; s++) {
    if (!is_running(check, s))
      continue;
    if (check->solutions[s].status != PL_SOLVED)
      return PL_NONE;
    if (1000 * fabs(check->solutions[s].device_amps[generator]) > pl_limit_charges.value)
      return PL_NONE;
    if (first == PL_NONE)
      first = s;
  }
  return first;
}

static bool store_on_net(const struct pl_check *check, pl_id pin, bool minus) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    pl_id post = minus ? device->minus : device->plus;
    if (pl_kind_is(device->kind, PL_IS_STORE) && post != PL_NONE && pl_same_net(check, pin, post))
      return true;
  }
  return false;
}

/* Where what wires, fuses and joints tie to the pin breaks off. */
static pl_id gap_of_net(const struct pl_check *check, pl_id pin) {
  pl_id *pins = PL_BY_PIN(check, pl_id);
  uint32_t n = 0;
  pins[n++] = pin; /* the last where nothing tells more */
  for (pl_id p = 0; p < check->harness->pins.n; p++) {
    if (p == pin)
      continue;
    if (!pl_same_net(check, p, pin))
      continue;
    pins[n++] = p;
  }
  if (n == 1)
    return pin;
  return pl_stretch_gap(check, pins, n);
}

/* No current flows there, so all that leads to D+ stands at its volts: what stands between those
 * and a live node stops the field's current. */
static pl_id
stopper(const struct pl_check *check, const struct pl_solution *solution, pl_id field) {
  const struct pl_harness *h = check->harness;
  uint32_t nodes = pl_network_node_count(check->network);
  bool *reached = PL_NEW_ARRAY(check->arena, bool, (size_t)nodes + 1);
  double live = 0.5 * h->machine.volts;
  double here = solution->pin_volts[field];
  if (isnan(here))
    here = 0;
  reached[pl_network_pin_node(check->network, field)] = true;
  pl_id found = PL_NONE;
  for (bool more = true; more;) {
    more = false;
    for (uint32_t k = 0; k < solution->element_count; k++) {
      const struct pl_element *e = &solution->elements[k];
      if (e->kind == PL_ELEMENT_SOURCE)
        continue;
      if (reached[e->node_a] == reached[e->node_b])
        continue;
      uint32_t next = reached[e->node_a] ? e->node_b : e->node_a;
      double volts = solution->node_volts[next];
      if (fabs(volts - here) > live) {
        bool blocks = e->kind == PL_ELEMENT_DIODE || found == PL_NONE;
        if (e->open && e->device != PL_NONE && blocks)
          found = e->device;
        continue;
      }
      if (next == pl_network_reference(check->network))
        continue;
      reached[next] = true;
      more = true;
    }
  }
  return found;
}

static const char *say_field(const struct pl_check *check, pl_id state, pl_id field, pl_id *gap) {
  const struct pl_harness *h = check->harness;
  const char *name = h->pins.at[field].full;
  if (pl_pin_wires_there(h, field) == 0)
    return pl_arena_printf(check->arena, "no wire leads to %s, which excites its field", name);
  pl_id device = stopper(check, &check->solutions[state], field);
  if (device == PL_NONE) {
    *gap = gap_of_net(check, field);
    return pl_arena_printf(check->arena,
                           "no current comes to %s, which excites its field: the way ends at %s",
                           name,
                           h->pins.at[*gap].full);
  }
  enum pl_kind kind = h->devices.at[device].kind;
  *gap = h->devices.at[device].first_pin;
  return pl_arena_printf(check->arena,
                         "no current comes to %s, which excites its field: %s %s %s",
                         name,
                         pl_kind_name(kind),
                         h->devices.at[device].name,
                         pl_kind_is(kind, PL_IS_ONE_WAY)
                             ? "blocks, it is turned the wrong way round"
                             : "stands open on the way");
}

static void report(struct pl_check *check, pl_id generator, const char *why, pl_id gap) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *device = &h->devices.at[generator];
  struct pl_finding f = pl_finding_new("no-charge", PL_FAULT, device->span, device->name);
  f.text = pl_arena_printf(check->arena,
                           "%s charges in no running state: %s; the battery runs down while the "
                           "engine runs",
                           device->name,
                           why);
  f.remedy = pl_arena_printf(check->arena, "mend the way at %s", h->pins.at[gap].full);
  f.blames = h->pins.at[gap].full;
  pl_findings_add(check->findings, f);
}

void pl_rule_no_charge(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_GENERATOR))
      continue;
    if (device->spare)
      continue;
    pl_id state = idle_state(check, d);
    pl_id plus = device->plus;
    pl_id minus = device->minus;
    pl_id field = pl_pin_named(h, d, "D+");
    if (state == PL_NONE || plus == PL_NONE)
      continue;
    pl_id gap = plus;
    if (!store_on_net(check, plus, false)) {
      gap = gap_of_net(check, plus);
      report(check,
             d,
             pl_arena_printf(check->arena,
                             "its plus leads to no battery, the way ends at %s",
                             h->pins.at[gap].full),
             gap);
    } else if (minus != PL_NONE && !store_on_net(check, minus, true)) {
      gap = gap_of_net(check, minus);
      report(check,
             d,
             pl_arena_printf(check->arena,
                             "its minus leads to no battery, the way ends at %s",
                             h->pins.at[gap].full),
             gap);
    } else if (field != PL_NONE && !check->solutions[state].device_on[d]) {
      gap = field;
      const char *why = say_field(check, state, field, &gap);
      report(check, d, why, gap);
    }
  }
}
