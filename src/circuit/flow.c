/* Which way things face on a current-path page: how many conductors lie between each pin and the
 * supply, and between it and the earthed pole of the battery.  A breadth-first walk; loads count as
 * far more than any number of conductors. Computes no volts.  Cost: pins plus wires, and
 * the devices for each chassis that is reached. */
#include "circuit/flow_inner.h"

#include <math.h>
#include <string.h>

#include "draw/supply.h"
#include "standard/limits_data.h"

struct walk {
  const struct pl_harness *harness;
  double *hops;
  pl_id *source, *through; /* NULL when not wanted */
  const double *wall;      /* pins with a finite value here are not entered; NULL */
  bool solid;              /* stops at switches and relays */
  struct pl_arena *arena;
  PL_VEC(pl_id) queue, heavy, beyond; /* heavy: reached, loads of it not yet crossed */
  uint32_t head;
};

static void reach(struct walk *walk, pl_id pin, double hops, pl_id source, pl_id through) {
  if (pin == PL_NONE)
    return;
  if (walk->hops[pin] <= hops)
    return;
  if (walk->wall != NULL && !isinf(walk->wall[pin]))
    return;
  if (!isinf(walk->hops[pin]))
    return; /* first come: the walk goes by distance */
  walk->hops[pin] = hops;
  if (walk->source != NULL) {
    walk->source[pin] = source;
    walk->through[pin] = through;
  }
  PL_PUSH(walk->arena, &walk->queue, pin);
}

static void step(struct walk *walk, pl_id from, pl_id to, bool switched) {
  pl_id source = walk->source == NULL ? PL_NONE : walk->source[from];
  pl_id through = PL_NONE;
  if (walk->through != NULL)
    through = switched ? to : walk->through[from];
  reach(walk, to, walk->hops[from] + 1, source, through);
}

static void
step_joins(struct walk *walk, const struct pl_join *joins, uint32_t n, pl_id from, bool switched) {
  for (uint32_t i = 0; i < n; i++) {
    if (joins[i].a == from)
      step(walk, from, joins[i].b, switched);
    else if (joins[i].b == from)
      step(walk, from, joins[i].a, switched);
  }
}

static bool passes(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_PROTECTION | PL_IS_DISCONNECT);
}

static void step_inside(struct walk *walk, pl_id from) {
  const struct pl_harness *harness = walk->harness;
  const struct pl_device *device = &harness->devices.at[harness->pins.at[from].device];
  bool switched =
      pl_kind_is(device->kind, PL_IS_CONTACTS) && !pl_kind_is(device->kind, PL_IS_DISCONNECT);
  if (passes(device->kind) && device->pin_count <= 4) {
    for (uint32_t i = 0; i < device->pin_count; i++)
      if (device->first_pin + i != from)
        step(walk, from, device->first_pin + i, false);
  }
  step_joins(walk, device->fixed.at, device->fixed.n, from, false);
  if (walk->solid)
    return;
  if (pl_kind_is(device->kind, PL_IS_ONE_WAY) && device->pin_count == 2) {
    /* anode first; feed goes with the arrow, ground against it */
    pl_id anode = device->plus != PL_NONE ? device->plus : device->first_pin;
    pl_id cathode = anode == device->first_pin ? device->first_pin + 1 : device->first_pin;
    if (from == (walk->source != NULL ? anode : cathode))
      step(walk, from, from == anode ? cathode : anode, false);
  }
  step_joins(walk, device->make.at, device->make.n, from, switched);
  step_joins(walk, device->brk.at, device->brk.n, from, switched);
  for (uint32_t i = 0; i < device->throws.n; i++)
    step_joins(walk, device->throws.at[i].joins.at, device->throws.at[i].joins.n, from, switched);
}

static void spread(struct walk *walk) {
  for (; walk->head < walk->queue.n; walk->head++) {
    pl_id pin = walk->queue.at[walk->head];
    const struct pl_pin *one = &walk->harness->pins.at[pin];
    for (uint32_t i = 0; i < one->wires.n; i++)
      step(walk, pin, pl_wire_other_end(&walk->harness->wires.at[one->wires.at[i]], pin), false);
    step_inside(walk, pin);
    /* a bond and its chassis */
    const struct pl_device *device = &walk->harness->devices.at[one->device];
    if (pl_kind_is(device->kind, PL_IS_BOND) && device->body != PL_NONE &&
        walk->harness->devices.at[device->body].pin_count > 0)
      step(walk, pin, walk->harness->devices.at[device->body].first_pin, false);
    PL_PUSH(walk->arena, &walk->heavy, pin);
  }
}

/* From each chassis to what is bolted to it, since bodies point the other way. */
static void spread_chassis(struct walk *walk) {
  for (bool more = true; more;) {
    spread(walk);
    more = false;
    for (pl_id i = 0; i < walk->harness->devices.n; i++) {
      const struct pl_device *device = &walk->harness->devices.at[i];
      if (!pl_kind_is(device->kind, PL_IS_BOND))
        continue;
      if (device->body == PL_NONE)
        continue;
      if (device->pin_count == 0)
        continue;
      const struct pl_device *body = &walk->harness->devices.at[device->body];
      if (body->pin_count == 0)
        continue;
      if (isinf(walk->hops[body->first_pin]))
        continue;
      if (!isinf(walk->hops[device->first_pin]))
        continue;
      step(walk, body->first_pin, device->first_pin, false);
      more = true;
    }
  }
}

enum {
  MOST_CROSSED_PINS = 8 /* a device with more is no load with two ends */
};

static bool can_be_crossed(const struct walk *walk, const struct pl_device *device) {
  const struct pl_kind_row *kind = pl_kind_row(device->kind);
  if (device->pin_count > MOST_CROSSED_PINS)
    return false;
  if (kind->form == PL_FORM_CONTACTS)
    return false;
  if ((kind->properties & (PL_IS_MODULE | PL_IS_PLUG | PL_IS_STORE)) != 0)
    return false;
  bool feed = walk->source != NULL;
  return !feed || (kind->properties & PL_IS_GENERATOR) == 0;
}

/* Over every load that one side of has been reached. */
static void cross_loads(struct walk *walk, double level) {
  walk->beyond.n = 0;
  for (uint32_t i = 0; i < walk->heavy.n; i++)
    PL_PUSH(walk->arena, &walk->beyond, walk->heavy.at[i]);
  walk->heavy.n = 0;
  for (uint32_t i = 0; i < walk->beyond.n; i++) {
    pl_id from = walk->beyond.at[i];
    const struct pl_device *device =
        &walk->harness->devices.at[walk->harness->pins.at[from].device];
    if (!can_be_crossed(walk, device))
      continue;
    bool coil = device->coil_a != PL_NONE && device->coil_b != PL_NONE;
    for (uint32_t k = 0; k < device->pin_count; k++) {
      pl_id to = device->first_pin + k;
      if (pl_kind_is(device->kind, PL_IS_RELAY) && coil &&
          !((from == device->coil_a && to == device->coil_b) ||
            (from == device->coil_b && to == device->coil_a)))
        continue;
      pl_id source = walk->source == NULL ? PL_NONE : walk->source[from];
      pl_id through = walk->through == NULL ? PL_NONE : walk->through[from];
      if (isinf(walk->hops[to]))
        reach(walk,
              to,
              level * PL_FLOW_LOAD + fmod(walk->hops[from], PL_FLOW_LOAD) + 1,
              source,
              through);
    }
  }
}

/* A pole that another battery's other pole is wired to is the middle of a row of batteries. */
static bool middle_pole(const struct pl_harness *harness, pl_id pole, bool earthed) {
  const struct pl_pin *pin = &harness->pins.at[pole];
  for (uint32_t i = 0; i < pin->wires.n; i++) {
    pl_id other = pl_wire_other_end(&harness->wires.at[pin->wires.at[i]], pole);
    if (other == PL_NONE)
      continue;
    pl_id device = harness->pins.at[other].device;
    if (pl_kind_is(harness->devices.at[device].kind, PL_IS_STORE) &&
        other == pl_supply_pole(harness, device, !earthed))
      return true;
  }
  return false;
}

static bool seed_poles(struct walk *walk, bool earthed) {
  bool any = false;
  for (pl_id i = 0; i < walk->harness->devices.n; i++) {
    if (!pl_kind_is(walk->harness->devices.at[i].kind, PL_IS_STORE))
      continue;
    pl_id pole = pl_supply_pole(walk->harness, i, earthed);
    if (pole == PL_NONE)
      continue;
    if (middle_pole(walk->harness, pole, earthed))
      continue;
    reach(walk, pole, 0, pole, PL_NONE);
    any = true;
  }
  return any;
}

/* From all devices that have the property `is` and not `but`. */
static void seed(struct walk *walk, pl_properties is, pl_properties but) {
  for (pl_id i = 0; i < walk->harness->devices.n; i++) {
    const struct pl_device *device = &walk->harness->devices.at[i];
    if (!pl_kind_is(device->kind, is))
      continue;
    if (pl_kind_is(device->kind, but))
      continue;
    if (device->pin_count == 0)
      continue;
    pl_id pin = device->plus != PL_NONE ? device->plus : device->first_pin;
    reach(walk, pin, 0, pin, PL_NONE);
  }
}

/* The bodies first: a bond is joined to one. */
static void seed_ground(struct walk *walk) {
  seed(walk, PL_IS_GROUND, PL_IS_BOND);
  seed(walk, PL_IS_BOND, 0);
}

/* Pins of modules from which things hang down. */
static bool hangs(const struct pl_pin *pin) {
  switch (pin->role) {
    case PL_ROLE_HIGH_SIDE:
    case PL_ROLE_SENSOR_SUPPLY:
    case PL_ROLE_SENSOR_RETURN:
    case PL_ROLE_SIGNAL_INPUT:
    case PL_ROLE_DATA_HIGH:
    case PL_ROLE_DATA_LOW:
    case PL_ROLE_SHIELD:
      return true;
    case PL_ROLE_SWITCH_INPUT:
      return !(pin->pull_volts >= 0 && pin->pull_volts <= 0);
    case PL_ROLE_PASSIVE:
    case PL_ROLE_BATTERY_FEED:
    case PL_ROLE_GROUND:
    case PL_ROLE_KEYED_INPUT:
    case PL_ROLE_LOW_SIDE:
    case PL_ROLE_PLUS:
    case PL_ROLE_MINUS:
    case PL_ROLE_UNUSED:
      return false;
  }
  return false;
}

static void walk_from_poles(struct walk *walk, bool feed) {
  if (!seed_poles(walk, !feed)) {
    if (feed)
      seed(walk, PL_IS_GENERATOR, 0);
    else
      seed_ground(walk);
  }
  if (feed)
    spread(walk);
  else
    spread_chassis(walk);
}

/* What is joined to a pole by wires, studs and fuses alone: a switch that joins a motor to supply
 * or to ground must not let the one walk run into the other's land. */
static double *solid_land(const struct pl_harness *harness, struct pl_arena *arena, bool feed) {
  double *hops = PL_NEW_ARRAY(arena, double, (size_t)harness->pins.n + 1);
  for (uint32_t i = 0; i < harness->pins.n; i++)
    hops[i] = INFINITY;
  struct walk walk = {.harness = harness, .hops = hops, .arena = arena, .solid = true};
  walk_from_poles(&walk, feed);
  return hops;
}

static void walk_all(struct walk *walk, bool feed) {
  const struct pl_harness *harness = walk->harness;
  walk_from_poles(walk, feed);
  for (pl_id i = 0; i < harness->pins.n; i++) {
    const struct pl_pin *pin = &harness->pins.at[i];
    bool ground = pin->role == PL_ROLE_GROUND || pin->role == PL_ROLE_LOW_SIDE;
    bool starts = feed ? hangs(pin) : ground;
    if (starts && pl_kind_is(harness->devices.at[pin->device].kind, PL_IS_MODULE))
      reach(walk, i, 0, i, PL_NONE);
  }
  if (!feed) {
    seed_ground(walk);
  }
  spread(walk);
  walk->wall = NULL;
  for (double level = 1; level < 64; level++) {
    uint32_t before = walk->queue.n;
    cross_loads(walk, level);
    spread(walk);
    if (walk->queue.n == before)
      break;
  }
}

struct pl_flow *pl_flow_make(const struct pl_harness *harness, struct pl_arena *arena) {
  struct pl_flow *flow = PL_NEW(arena, struct pl_flow);
  uint32_t n = harness->pins.n;
  flow->harness = harness;
  flow->feed = PL_NEW_ARRAY(arena, double, n + 1);
  flow->ground = PL_NEW_ARRAY(arena, double, n + 1);
  flow->source = PL_NEW_ARRAY(arena, pl_id, n + 1);
  flow->through = PL_NEW_ARRAY(arena, pl_id, n + 1);
  for (uint32_t i = 0; i < n; i++) {
    flow->feed[i] = flow->ground[i] = INFINITY;
    flow->source[i] = flow->through[i] = PL_NONE;
  }
  struct walk feed = {.harness = harness,
                      .hops = flow->feed,
                      .source = flow->source,
                      .through = flow->through,
                      .arena = arena,
                      .wall = solid_land(harness, arena, false)};
  walk_all(&feed, true);
  struct walk ground = {.harness = harness,
                        .hops = flow->ground,
                        .arena = arena,
                        .wall = solid_land(harness, arena, true)};
  walk_all(&ground, false);
  return flow;
}

bool pl_flow_fed(const struct pl_flow *flow, pl_id pin) {
  return flow->feed[pin] < PL_FLOW_LOAD;
}
bool pl_flow_grounded(const struct pl_flow *flow, pl_id pin) {
  return flow->ground[pin] < PL_FLOW_LOAD;
}

double pl_flow_height(const struct pl_flow *flow, pl_id pin) {
  if (pl_flow_fed(flow, pin))
    return flow->feed[pin];
  if (pl_flow_grounded(flow, pin))
    return 3e12 - flow->ground[pin];
  if (isinf(flow->feed[pin]))
    return 1e12;
  return flow->feed[pin];
}

const char *pl_flow_rail(const struct pl_flow *flow, pl_id pin) {
  static const char *const customary[][2] = {{"IGN", "15"},
                                             {"RUN", "15"},
                                             {"ST", "50"},
                                             {"START", "50"},
                                             {"BAT", "30"}}; /* common practice */
  const struct pl_harness *harness = flow->harness;
  if (!pl_flow_fed(flow, pin))
    return "";
  pl_id source = flow->source[pin];
  if (source == PL_NONE)
    return "";
  if (pl_kind_is(harness->devices.at[harness->pins.at[source].device].kind, PL_IS_MODULE))
    return "";
  if (flow->through[pin] == PL_NONE)
    return "30";
  const char *name = harness->pins.at[flow->through[pin]].name;
  for (size_t i = 0; i < sizeof customary / sizeof customary[0]; i++)
    if (strcmp(name, customary[i][0]) == 0)
      return customary[i][1];
  if (strlen(name) >= 2 && strlen(name) <= 4 && pl_din_meaning(name) != NULL)
    return name;
  return "+";
}
