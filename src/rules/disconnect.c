/* What a battery disconnect leaves live, and what the alternator goes on feeding behind it. */
#include <math.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

/* What is not told: it feeds, joins or holds up the rest, or is meant to stay live. */
static bool held_off(const struct pl_device *device) {
  pl_properties feeds = PL_IS_STORE | PL_IS_PROTECTION | PL_IS_MODULE | PL_IS_DISCONNECT;
  pl_properties joins = PL_IS_NODE | PL_IS_PLUG | PL_IS_ONE_WAY | PL_IS_RESISTANCE;
  return pl_kind_is(device->kind, feeds | joins);
}

/* By copper: what a module's pull-ups hold up is no more than milliamps. */
static bool device_is_live(const struct pl_check *check,
                           const struct pl_solution *solution,
                           const struct pl_device *device) {
  const struct pl_harness *h = check->harness;
  uint8_t earthed = h->machine.positive_earth ? PL_POLE_PLUS : PL_POLE_MINUS;
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++) {
    if (!(fabs(solution->pin_volts[p]) > 0.5 * h->machine.volts))
      continue; /* NAN is not */
    if (pl_pin_wires_there(h, p) == 0)
      continue;
    if (!isfinite(pl_ways_feed(check, p)))
      continue;
    if (check->facts->pole[p] != earthed)
      return true;
  }
  return false;
}

static uint32_t open_position(const struct pl_device *device) {
  for (uint32_t t = 0; t < device->throws.n; t++)
    if (device->throws.at[t].joins.n == 0)
      return t;
  return PL_NONE;
}

void pl_rule_disconnect(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *disconnect = &h->devices.at[d];
    uint32_t open = PL_NONE;
    if (pl_kind_is(disconnect->kind, PL_IS_DISCONNECT))
      open = open_position(disconnect);
    if (open == PL_NONE)
      continue;
    struct pl_state state = pl_state_blank();
    struct pl_setting setting = {.device = d, .position = open};
    struct pl_solution stopped, running;
    state.name = "disconnect open";
    PL_PUSH(check->arena, &state.settings, setting);
    pl_network_solve_as(check->network, &state, &stopped, NULL);
    state.engine = PL_ENGINE_SPEED;
    pl_network_solve_as(check->network, &state, &running, NULL);
    if (stopped.status != PL_SOLVED)
      continue;
    PL_VEC(const char *) live = {0};
    uint32_t fed = 0;
    for (pl_id k = 0; k < h->devices.n; k++) {
      const struct pl_device *device = &h->devices.at[k];
      bool now = device_is_live(check, &stopped, device);
      if (now && !held_off(device))
        PL_PUSH(check->arena, &live, device->name);
      fed += !now && running.status == PL_SOLVED && pl_kind_is_load(device->kind) &&
             device_is_live(check, &running, device);
    }
    if (live.n == 0)
      continue;
    bool heavy = false;
    for (pl_id k = 0; k < h->devices.n; k++) {
      if (!pl_device_is(h, k, PL_IS_STARTER | PL_IS_GENERATOR))
        continue;
      if (!device_is_live(check, &stopped, &h->devices.at[k]))
        continue;
      heavy = true;
    }
    struct pl_finding f = pl_finding_new("disconnect-leaves-live",
                                         heavy ? PL_DANGER : PL_FAULT,
                                         disconnect->span,
                                         disconnect->name);
    f.text = pl_arena_printf(
        check->arena,
        "with %s open there is still battery volts on %s%s",
        disconnect->name,
        pl_say_some(check, live.at, live.n, 5),
        fed == 0
            ? ""
            : pl_arena_printf(
                  check->arena,
                  "; and opened while the engine runs, the alternator goes on feeding %u load%s",
                  fed,
                  fed == 1 ? "" : "s"));
    f.remedy = "move their feeds to the far side of the disconnect; only fused memory feeds of "
               "controllers belong before it";
    pl_findings_add(check->findings, f);
  }
}
