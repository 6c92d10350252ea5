/* Controllers: how good their feeds and grounds are, where these go, whether the keyed feed lives
 * while cranking, how many joints lie in line. */
#include <math.h>
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/margin_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/limits_data.h"

/* A controller: something that drives outputs or feeds sensors, not a display. */
static bool controls(const struct pl_harness *h, const struct pl_device *device) {
  if (!pl_kind_is(device->kind, PL_IS_MODULE))
    return false;
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++) {
    enum pl_role role = h->pins.at[p].role;
    if ((role == PL_ROLE_HIGH_SIDE || role == PL_ROLE_LOW_SIDE || role == PL_ROLE_SENSOR_SUPPLY) &&
        h->pins.at[p].wires.n > 0)
      return true;
  }
  return false;
}

static pl_id
pin_of_role(const struct pl_check *check, const struct pl_device *device, enum pl_role role) {
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++)
    if (check->harness->pins.at[p].role == role && pl_pin_wires_there(check->harness, p) > 0)
      return p;
  return PL_NONE;
}

static double stated_amps(const struct pl_harness *h, const struct pl_device *device) {
  double amps = 0;
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++) {
    if (h->pins.at[p].role != PL_ROLE_BATTERY_FEED)
      continue;
    if (!(h->pins.at[p].amps > 0))
      continue;
    amps += h->pins.at[p].amps;
  }
  return amps;
}

/* ---- loop ---- */

void pl_rule_module_loop(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_MODULE))
      continue;
    if (!(stated_amps(h, device) >= pl_limit_module_loop_from.value))
      continue;
    pl_id feed = pin_of_role(check, device, PL_ROLE_BATTERY_FEED);
    pl_id ground = pin_of_role(check, device, PL_ROLE_GROUND);
    if (feed == PL_NONE || ground == PL_NONE)
      continue;
    double ohms = INFINITY;
    double limit = pl_limit_module_loop.value * pl_nominal_volts(h, d) / 12;
    pl_id state = PL_NONE;
    for (pl_id s = 0; s < h->states.n; s++) { /* with least of other loads on the same way */
      const struct pl_solution *solution = &check->solutions[s];
      double amps = fabs(solution->device_amps[d]);
      if (solution->status != PL_SOLVED)
        continue;
      if (h->states.at[s].engine != PL_ENGINE_STOPPED)
        continue;
      if (!(amps > 1e-4))
        continue;
      double now = pl_solution_drop(check->network, solution, feed, ground) / amps;
      if (!(now < ohms))
        continue;
      ohms = now;
      state = s;
    }
    if (state == PL_NONE)
      continue;
    if (!(1000 * ohms > limit))
      continue;
    struct pl_finding f =
        pl_finding_new("module-loop", PL_FAULT, h->pins.at[feed].span, device->name);
    f.state = pl_state_name(check, state);
    f.figure = 1000 * ohms;
    f.limit = limit;
    f.unit = "mohm";
    struct pl_margin near = {state, {PL_READING_LOOP, feed, ground, d}, 1000, limit, false};
    f.text = pl_arena_printf(
        check->arena,
        "from the battery to %s and back it is %s; a controller at %s should see at most %s%s",
        device->name,
        pl_say(check->arena, f.figure, "mohm"),
        pl_say(check->arena, pl_nominal_volts(h, d), "V"),
        pl_say(check->arena, limit, "mohm"),
        pl_say_good_end(check, near, "mohm"));
    f.remedy = "all its feed and ground pins wired, thicker wires, fewer joints, straight from the "
               "battery posts";
    pl_findings_add(check->findings, f);
  }
}

/* ---- where feeds and returns go ---- */

static bool strange_company(const struct pl_harness *h,
                            const struct pl_element *e,
                            bool feed,
                            const char **what) {
  pl_id pins[2] = {e->pin_a, e->pin_b};
  for (int i = 0; i < 2; i++) {
    const struct pl_device *device;
    if (pins[i] == PL_NONE)
      device = NULL;
    else
      device = pl_pin_device(h, pins[i]);
    if (device == NULL)
      continue;
    bool heavy = pl_kind_is(device->kind, PL_IS_STARTER);
    if (!feed && pl_kind_is_but(device->kind, PL_IS_GENERATOR | PL_IS_GROUND, PL_IS_BOND))
      heavy = true;
    if (heavy) {
      *what = device->name;
      return true;
    }
  }
  return false;
}

void pl_rule_module_feed_shared(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const struct pl_ways *ways = check->facts->ways;
  if (ways->node_count == 0)
    return;
  bool starts = false;
  for (pl_id d = 0; d < h->devices.n; d++)
    if (pl_device_is(h, d, PL_IS_STARTER))
      starts = true;
  for (pl_id d = 0; starts && d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!controls(h, device))
      continue;
    for (int way = 0; way < 2; way++) {
      bool feed = way == 0;
      pl_id pin =
          pin_of_role(check,
                      device,
                      (feed != h->machine.positive_earth) ? PL_ROLE_BATTERY_FEED : PL_ROLE_GROUND);
      if (pin == PL_NONE)
        continue;
      uint32_t node = pl_network_pin_node(check->network, pin);
      const uint32_t *by = feed ? ways->feed_by : ways->back_by;
      const char *what = NULL;
      for (uint32_t turn = 0; by[node] != UINT32_MAX && turn < ways->node_count && what == NULL;
           turn++) {
        const struct pl_element *e = &ways->elements[by[node]];
        strange_company(h, e, feed, &what);
        if (e->node_a == node)
          node = e->node_b;
        else
          node = e->node_a;
      }
      if (what == NULL)
        continue;
      struct pl_finding f = pl_finding_new("module-feed-shared",
                                           PL_FAULT,
                                           pl_pin_wiring_span(h, pin),
                                           h->pins.at[pin].full);
      f.text = pl_arena_printf(
          check->arena,
          "%s goes to the battery through %s: what the starter draws there moves its volts",
          pl_say_place(check, pin),
          what);
      f.remedy = pl_arena_printf(check->arena,
                                 "run the %s of %s straight to the battery post, %s",
                                 feed ? "feed" : "return",
                                 device->name,
                                 feed ? "with its fuse there" : "beside the feed");
      pl_findings_add(check->findings, f);
    }
  }
}

/* ---- keyed feed while cranking ---- */

void pl_rule_keyed_feed_dies(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    pl_id key = PL_NONE;
    if (pl_kind_is(device->kind, PL_IS_MODULE) && controls(h, device))
      key = pin_of_role(check, device, PL_ROLE_KEYED_INPUT);
    pl_id dead = PL_NONE;
    bool runs = false;
    if (key == PL_NONE)
      continue;
    for (pl_id s = 0; s < h->states.n; s++) {
      if (check->solutions[s].status != PL_SOLVED)
        continue;
      bool on = check->solutions[s].device_on[d];
      enum pl_engine engine = h->states.at[s].engine;
      if (engine == PL_ENGINE_CRANKING && !on && dead == PL_NONE)
        dead = s;
      if (on && engine != PL_ENGINE_CRANKING)
        runs = true;
    }
    if (dead == PL_NONE || !runs)
      continue;
    double volts = check->solutions[dead].pin_volts[key];
    struct pl_finding f = pl_finding_new("keyed-feed-dies",
                                         PL_FAULT,
                                         pl_pin_wiring_span(h, key),
                                         h->pins.at[key].full);
    f.state = pl_state_name(check, dead);
    f.figure = fabs(volts);
    f.unit = "V";
    f.text =
        pl_arena_printf(check->arena,
                        "%s wakes %s in run, but while cranking it stands at %s: the engine cranks "
                        "and does not start",
                        h->pins.at[key].full,
                        device->name,
                        isnan(volts) ? "nothing (open)"
                                     : pl_say(check->arena, fabs(volts) < 0.001 ? 0 : volts, "V"));
    f.remedy =
        "take it from a contact that is closed in run and in start (15, not the accessory contact)";
    pl_findings_add(check->findings, f);
  }
}

/* ---- joints ---- */

static uint32_t count_joints(const struct pl_check *check, pl_id pin, bool feed) {
  const struct pl_ways *ways = check->facts->ways;
  const uint32_t *by = feed ? ways->feed_by : ways->back_by;
  uint32_t node = pl_network_pin_node(check->network, pin);
  uint32_t n = 0;
  for (uint32_t turn = 0; by[node] != UINT32_MAX && turn < ways->node_count; turn++) {
    const struct pl_element *e = &ways->elements[by[node]];
    if (e->node_a == node)
      node = e->node_b;
    else
      node = e->node_a;
    pl_id at = pl_network_node_pin(check->network, node);
    if (e->wire == PL_NONE) {
      n += pl_device_is(check->harness, e->device, PL_IS_PLUG);
    } else if (at != PL_NONE) {
      pl_id device = check->harness->pins.at[at].device;
      n += pl_device_is(check->harness, device, PL_IS_SPLICE | PL_IS_STUD);
    }
  }
  return n;
}

void pl_rule_joints(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  if (check->facts->ways->node_count == 0)
    return;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!controls(h, device))
      continue;
    for (pl_id p = device->first_pin; p < pl_pins_end(device); p++) {
      enum pl_role role = h->pins.at[p].role;
      if (role != PL_ROLE_BATTERY_FEED && role != PL_ROLE_GROUND)
        continue;
      if (pl_pin_wires_there(h, p) == 0)
        continue;
      uint32_t n =
          count_joints(check, p, (role == PL_ROLE_BATTERY_FEED) != h->machine.positive_earth);
      if (n <= pl_limit_joints.value)
        continue;
      struct pl_finding f =
          pl_finding_new("joints", PL_ADVICE, pl_pin_wiring_span(h, p), h->pins.at[p].full);
      f.figure = n;
      f.limit = pl_limit_joints.value;
      f.text = pl_arena_printf(check->arena,
                               "%u splices, studs and plugs lie in line between %s and the "
                               "battery: each is a place for rust",
                               n,
                               pl_say_place(check, p));
      f.remedy = "run it in one piece from the battery or its fuse";
      pl_findings_add(check->findings, f);
    }
  }
}
