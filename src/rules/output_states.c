/* States: what modules give in them.  What must hold in every one is proved in proofs.c. */
#include <math.h>

#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

static bool gives(enum pl_role role) {
  return role == PL_ROLE_HIGH_SIDE || role == PL_ROLE_LOW_SIDE || role == PL_ROLE_SENSOR_SUPPLY;
}

void pl_rule_output_overload(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id p = 0; p < h->pins.n; p++) {
    const struct pl_pin *pin = &h->pins.at[p];
    if (!gives(pin->role))
      continue;
    if (!(pin->amps > 0))
      continue;
    if (pin->wires.n == 0)
      continue;
    double amps = 0;
    double limit = pin->role == PL_ROLE_SENSOR_SUPPLY
                       ? pin->amps * 0.999
                       : pin->amps * (1 + 1e-9); /* a supply stops at its limit */
    pl_id state = PL_NONE;
    for (pl_id s = 0; s < h->states.n; s++) {
      double now = 0;
      if (check->solutions[s].status == PL_SOLVED)
        now = pl_rule_pin_amps(check, s, p);
      if (now <= amps)
        continue;
      amps = now;
      state = s;
    }
    if (!(amps > limit))
      continue;
    struct pl_finding f =
        pl_finding_new("output-overload", PL_FAULT, pl_pin_wiring_span(h, p), pin->full);
    f.state = pl_state_name(check, state);
    f.figure = amps;
    f.limit = pin->amps;
    f.unit = "A";
    if (pin->role == PL_ROLE_SENSOR_SUPPLY)
      f.text = pl_arena_printf(check->arena,
                               "%s is asked for more than its %s and loses its volts",
                               pl_say_place(check, p),
                               pl_say(check->arena, pin->amps, "A"));
    else
      f.text = pl_arena_printf(check->arena,
                               "%s carries %s, its limit is %s",
                               pl_say_place(check, p),
                               pl_say(check->arena, amps, "A"),
                               pl_say(check->arena, pin->amps, "A"));
    if (pin->role == PL_ROLE_SENSOR_SUPPLY)
      f.remedy = "take sensors off this supply, or look for the short to ground";
    else
      f.remedy = "drive a relay from this output and let the relay carry the load";
    pl_findings_add(check->findings, f);
  }
}
