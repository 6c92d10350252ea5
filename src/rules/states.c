/* States: what modules give in them, and what must hold in every one. */
#include <math.h>

#include "rules/facts.h"
#include "rules/families.h"

/* ---- outputs ---- */

static bool gives(enum pl_role role) {
  return role == PL_ROLE_HIGH_SIDE || role == PL_ROLE_LOW_SIDE || role == PL_ROLE_SENSOR_SUPPLY;
}

void pl_rule_output_overload(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id p = 0; p < h->pins.n; p++) {
    const struct pl_pin *pin = &h->pins.at[p];
    if (!gives(pin->role) || !(pin->amps > 0) || pin->wires.n == 0) continue;
    double amps = 0, limit = pin->role == PL_ROLE_SENSOR_SUPPLY
                                 ? pin->amps * 0.999
                                 : pin->amps * (1 + 1e-9); /* a supply stops at its limit */
    pl_id state = PL_NONE;
    for (pl_id s = 0; s < h->states.n; s++) {
      double now = check->solutions[s].status == PL_SOLVED ? pl_rule_pin_amps(check, s, p) : 0;
      if (now <= amps) continue;
      amps = now;
      state = s;
    }
    if (!(amps > limit)) continue;
    struct pl_finding f = pl_finding_new("output-overload", PL_FAULT, pl_pin_wiring_span(h, p), pin->full);
    f.state = pl_state_name(check, state);
    f.figure = amps;
    f.limit = pin->amps;
    f.unit = "A";
    f.text = pin->role == PL_ROLE_SENSOR_SUPPLY
                 ? pl_arena_printf(check->arena, "%s is asked for more than its %s and loses its volts",
                                   pl_say_place(check, p), pl_say(check->arena, pin->amps, "A"))
                 : pl_arena_printf(check->arena, "%s carries %s, its limit is %s", pl_say_place(check, p),
                                   pl_say(check->arena, amps, "A"), pl_say(check->arena, pin->amps, "A"));
    f.remedy = pin->role == PL_ROLE_SENSOR_SUPPLY ? "take sensors off this supply, or look for the short to ground"
                                                  : "drive a relay from this output and let the relay carry the load";
    pl_findings_add(check->findings, f);
  }
}

/* ---- require ---- */

static bool is_on(const struct pl_check *check, const struct pl_solution *solution, pl_id d) {
  const struct pl_device *device = &check->harness->devices.at[d];
  if (device->kind == PL_KIND_RELAY || device->kind == PL_KIND_STARTER || device->kind == PL_KIND_MODULE)
    return solution->device_on[d];
  double nominal = device->volts > 0 ? device->volts : check->harness->machine.volts;
  return fabs(solution->device_volts[d]) >= 0.1 * nominal; /* NAN is off */
}

static bool clauses_hold(const struct pl_check *check, const struct pl_require *require, pl_id state) {
  for (uint32_t i = 0; i < require->clauses.n; i++)
    if (pl_state_position(check->harness, state, require->clauses.at[i].device) != require->clauses.at[i].position)
      return false;
  return true;
}

static const char *clause_text(const struct pl_check *check, const struct pl_require *require) {
  PL_VEC(const char *) texts = {0};
  for (uint32_t i = 0; i < require->clauses.n; i++) {
    const struct pl_device *device = &check->harness->devices.at[require->clauses.at[i].device];
    uint32_t position = require->clauses.at[i].position;
    const char *name = position < device->throws.n ? device->throws.at[position].name : "?";
    PL_PUSH(check->arena, &texts, pl_arena_printf(check->arena, "%s in %s", device->name, name));
  }
  return pl_say_list(check->arena, texts.at, texts.n, 8);
}

void pl_rule_require_broken(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (uint32_t i = 0; i < h->requires.n; i++) {
    const struct pl_require *require = &h->requires.at[i];
    PL_VEC(const char *) broken = {0};
    pl_id first = PL_NONE;
    for (pl_id s = 0; s < h->states.n; s++) {
      if (check->solutions[s].status != PL_SOLVED || clauses_hold(check, require, s) == require->unless) continue;
      if (is_on(check, &check->solutions[s], require->subject) == require->on) continue;
      if (first == PL_NONE) first = s;
      PL_PUSH(check->arena, &broken, h->states.at[s].name);
    }
    if (first == PL_NONE) continue;
    const char *subject = h->devices.at[require->subject].name;
    struct pl_finding f = pl_finding_new("require-broken", PL_DANGER, require->span, subject);
    f.state = h->states.at[first].name;
    const char *others = broken.n == 1 ? ""
                                       : pl_arena_printf(check->arena, " (and in %s)",
                                                         pl_say_list(check->arena, broken.at + 1, broken.n - 1, 4));
    f.text = pl_arena_printf(check->arena, "%s must be %s %s %s, but is %s in state %s%s", subject,
                             require->on ? "on" : "off", require->unless ? "unless" : "when",
                             clause_text(check, require), require->on ? "off" : "on", h->states.at[first].name, others);
    f.remedy = require->on
                   ? "follow its feed and return in that state: something on the way is open"
                   : "put a contact of that switch in series with its feed or coil, so that nothing goes round it";
    pl_findings_add(check->findings, f);
  }
}
