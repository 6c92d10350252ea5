/* The way of power as a tree: from the batteries' live poles along wires, studs, disconnects,
 * switches and contacts of relays to every fuse, and what takes current behind each.  Two walks:
 * ground first, which the way of power must not enter; then power.  Knows no volts and no page. */
#include "draw/power_inner.h"

#include <string.h>

#include "draw/supply.h"

#define NONE UINT32_MAX

/* A wire that is there and joins two pins. */
static bool joins_pins(const struct pl_wire *wire) {
  if (wire->status == PL_WIRE_DONOR_REMOVED)
    return false;
  if (wire->status == PL_WIRE_DONOR_CAPPED)
    return false;
  if (wire->end[0] == PL_NONE)
    return false;
  return wire->end[1] != PL_NONE;
}

/* Pins of one device that are reached together: by one wire, then inside. */
struct group {
  pl_id device, pin, wire; /* pin and wire of entry */
  uint32_t parent, kids;   /* kids: kept ones */
  bool kept;               /* there is a fuse or an alternator behind it */
  bool twin;               /* the other end of a fuse that was met before */
  uint32_t stop;
  pl_id meets;
};

struct walk {
  const struct pl_harness *harness;
  struct pl_arena *arena;
  const uint32_t *wall; /* pins that have a group here are not entered; NULL */
  bool ground;
  uint32_t *group_of; /* by pin; NONE */
  pl_id *queue;
  uint32_t head, queued;
  PL_VEC(struct group) groups;
};

static void start_walk(struct walk *walk,
                       const struct pl_harness *harness,
                       const uint32_t *wall,
                       struct pl_arena *arena) {
  *walk = (struct walk){.harness = harness, .arena = arena, .wall = wall, .ground = wall == NULL};
  walk->group_of = PL_NEW_ARRAY(arena, uint32_t, (size_t)harness->pins.n + 1);
  walk->queue = PL_NEW_ARRAY(arena, pl_id, (size_t)harness->pins.n + 1);
  for (uint32_t i = 0; i < harness->pins.n; i++)
    walk->group_of[i] = NONE;
}

static void enter(struct walk *walk, pl_id pin, uint32_t parent, pl_id wire) {
  struct group group =
      {walk->harness->pins.at[pin].device, pin, wire, parent, 0, false, false, NONE, PL_NONE};
  walk->group_of[pin] = walk->groups.n;
  walk->queue[walk->queued++] = pin;
  PL_PUSH(walk->arena, &walk->groups, group);
}

/* A way that comes in where another came in before. */
static void note_meeting(struct walk *walk, uint32_t from, uint32_t to) {
  if (from == to)
    return;
  if (walk->groups.at[from].parent == to)
    return;
  if (walk->groups.at[to].parent == from)
    return;
  if (walk->groups.at[from].meets == PL_NONE)
    walk->groups.at[from].meets = to;
}

static void reach(struct walk *walk, pl_id from, pl_id pin, pl_id wire) {
  if (pin == PL_NONE || pin == from)
    return;
  if (walk->wall != NULL && walk->wall[pin] != NONE)
    return;
  uint32_t group = walk->group_of[from];
  if (walk->group_of[pin] != NONE) {
    note_meeting(walk, group, walk->group_of[pin]);
    return;
  }
  const struct pl_harness *harness = walk->harness;
  if (wire != PL_NONE || harness->pins.at[pin].device != harness->pins.at[from].device) {
    enter(walk, pin, group, wire);
    return;
  }
  walk->group_of[pin] = group;
  walk->queue[walk->queued++] = pin;
}

static void reach_joined(struct walk *walk, pl_id from, const struct pl_join *joins, uint32_t n) {
  for (uint32_t i = 0; i < n; i++) {
    if (joins[i].a == from)
      reach(walk, from, joins[i].b, PL_NONE);
    if (joins[i].b == from)
      reach(walk, from, joins[i].a, PL_NONE);
  }
}

static bool passes(enum pl_kind kind) {
  bool resistor = pl_kind_is(kind, PL_IS_RESISTANCE) && !pl_kind_is(kind, PL_IS_TERMINATOR);
  return resistor || pl_kind_is(kind, PL_IS_PROTECTION | PL_IS_DISCONNECT);
}

/* Power inside a device; ground knows only what is joined for good. */
static void reach_inside(struct walk *walk, pl_id from) {
  const struct pl_device *device = &walk->harness->devices.at[walk->harness->pins.at[from].device];
  reach_joined(walk, from, device->fixed.at, device->fixed.n);
  if (walk->ground)
    return;
  if (passes(device->kind) && device->pin_count <= 4)
    for (uint32_t i = 0; i < device->pin_count; i++)
      reach(walk, from, device->first_pin + i, PL_NONE);
  if (pl_kind_is(device->kind, PL_IS_ONE_WAY) && device->pin_count == 2) {
    pl_id anode = device->plus != PL_NONE ? device->plus : device->first_pin;
    bool forward = (from == anode) != walk->harness->machine.positive_earth;
    if (forward)
      reach(walk, from, from == device->first_pin ? from + 1 : device->first_pin, PL_NONE);
  }
  reach_joined(walk, from, device->make.at, device->make.n);
  reach_joined(walk, from, device->brk.at, device->brk.n);
  for (uint32_t i = 0; i < device->throws.n; i++)
    reach_joined(walk, from, device->throws.at[i].joins.at, device->throws.at[i].joins.n);
}

static void spread(struct walk *walk) {
  for (; walk->head < walk->queued; walk->head++) {
    pl_id pin = walk->queue[walk->head];
    const struct pl_pin *one = &walk->harness->pins.at[pin];
    for (uint32_t i = 0; i < one->wires.n; i++) {
      const struct pl_wire *wire = &walk->harness->wires.at[one->wires.at[i]];
      if (joins_pins(wire))
        reach(walk, pin, pl_wire_other_end(wire, pin), one->wires.at[i]);
    }
    reach_inside(walk, pin);
  }
}

/* The wire from a pole to the opposite pole of another battery: they stand in a row. */
static pl_id row_wire(const struct pl_harness *harness, pl_id pole, bool earthed, pl_id *battery) {
  const struct pl_pin *pin = &harness->pins.at[pole];
  for (uint32_t i = 0; i < pin->wires.n; i++) {
    if (!joins_pins(&harness->wires.at[pin->wires.at[i]]))
      continue;
    pl_id other = pl_wire_other_end(&harness->wires.at[pin->wires.at[i]], pole);
    pl_id device = harness->pins.at[other].device;
    if (!pl_kind_is(harness->devices.at[device].kind, PL_IS_STORE))
      continue;
    if (other != pl_supply_pole(harness, device, !earthed))
      continue;
    *battery = device;
    return pin->wires.at[i];
  }
  return PL_NONE;
}

static void walk_ground(struct walk *walk) {
  const struct pl_harness *harness = walk->harness;
  for (pl_id d = 0; d < harness->devices.n; d++) {
    const struct pl_device *device = &harness->devices.at[d];
    pl_id pole = PL_NONE;
    pl_id other;
    if (pl_kind_is(device->kind, PL_IS_STORE))
      pole = pl_supply_pole(harness, d, true);
    if (pole != PL_NONE && row_wire(harness, pole, true, &other) != PL_NONE)
      pole = PL_NONE;
    if (pl_kind_is(device->kind, PL_IS_GROUND) && device->pin_count > 0)
      pole = device->first_pin;
    if (pole != PL_NONE && walk->group_of[pole] == NONE)
      enter(walk, pole, NONE, PL_NONE);
  }
  spread(walk);
}

/* From all batteries at once, then from alternators that none of them reaches, then from fuses that
 * hang on nothing. */
static void walk_power(struct walk *walk) {
  const struct pl_harness *harness = walk->harness;
  for (pl_id d = 0; d < harness->devices.n; d++) {
    if (!pl_kind_is(harness->devices.at[d].kind, PL_IS_STORE))
      continue;
    pl_id pole = pl_supply_pole(harness, d, false);
    if (pole != PL_NONE && walk->group_of[pole] == NONE)
      enter(walk, pole, NONE, PL_NONE);
  }
  spread(walk);
  for (int pass = 0; pass < 2; pass++)
    for (pl_id d = 0; d < harness->devices.n; d++) {
      const struct pl_device *device = &harness->devices.at[d];
      if (!pl_kind_is(device->kind, pass == 0 ? PL_IS_GENERATOR : PL_IS_PROTECTION))
        continue;
      pl_id pin = pass == 0 && device->plus != PL_NONE ? device->plus : device->first_pin;
      bool there = device->pin_count == 0;
      for (uint32_t i = 0; i < device->pin_count; i++)
        there = there || (walk->group_of[device->first_pin + i] != NONE &&
                          (pass == 1 || device->first_pin + i == pin));
      if (there)
        continue;
      enter(walk, pin, NONE, PL_NONE);
      spread(walk);
    }
}

/* ---- stops ---- */

static enum pl_kind kind_of(const struct walk *walk, const struct group *group) {
  return walk->harness->devices.at[group->device].kind;
}

static bool is_alternator_output(const struct walk *walk, const struct group *group) {
  const struct pl_device *device = &walk->harness->devices.at[group->device];
  if (!pl_kind_is(device->kind, PL_IS_GENERATOR))
    return false;
  return group->pin == (device->plus != PL_NONE ? device->plus : device->first_pin);
}

static void keep_ways(struct walk *walk) {
  bool *seen = PL_NEW_ARRAY(walk->arena, bool, (size_t)walk->harness->devices.n + 1);
  for (uint32_t g = 0; g < walk->groups.n;
       g++) { /* a fuse fed from both its ends stands where it is met first */
    struct group *group = &walk->groups.at[g];
    bool fuse = pl_kind_is_protection(kind_of(walk, group));
    group->twin = fuse && seen[group->device];
    group->kept = (fuse && !group->twin) || is_alternator_output(walk, group);
    if (fuse)
      seen[group->device] = true;
  }
  for (uint32_t g = walk->groups.n; g-- > 0;) {
    const struct group *group = &walk->groups.at[g];
    if (!group->kept || group->parent == NONE)
      continue;
    walk->groups.at[group->parent].kept = true;
    walk->groups.at[group->parent].kids++;
  }
}

/* Shown only where ways part. */
static bool is_plain(const struct walk *walk, const struct group *group) {
  pl_properties shown = PL_IS_PROTECTION | PL_IS_STUD | PL_IS_CONTACTS | PL_IS_STORE;
  if (!(!pl_kind_is(kind_of(walk, group), shown)))
    return false;
  return !is_alternator_output(walk, group);
}

static uint32_t add_stop(struct pl_power *power, pl_id device, pl_id pin, uint32_t parent) {
  struct pl_stop stop = {.device = device, .pin = pin, .parent = parent, .meets = PL_NONE};
  if (device != PL_NONE) {
    enum pl_kind kind = power->harness->devices.at[device].kind;
    stop.source = pl_kind_is(kind, PL_IS_SOURCE);
  }
  PL_PUSH(power->arena, &power->stops, stop);
  if (parent != NONE)
    PL_PUSH(power->arena, &power->stops.at[parent].kids, power->stops.n - 1);
  return power->stops.n - 1;
}

static void make_stops(struct pl_power *power, struct walk *walk) {
  pl_ids *ways =
      PL_NEW_ARRAY(walk->arena, pl_ids, (size_t)walk->groups.n + 1); /* wires since the last stop */
  for (uint32_t g = 0; g < walk->groups.n; g++) {
    struct group *group = &walk->groups.at[g];
    group->stop = 0;
    if (group->parent != NONE) {
      const struct group *parent = &walk->groups.at[group->parent];
      group->stop = parent->stop;
      if (!group->kept)
        continue;
      const pl_ids *before = &ways[group->parent];
      for (uint32_t i = 0; i < before->n; i++)
        PL_PUSH(walk->arena, &ways[g], before->at[i]);
    }
    if (!group->kept)
      continue;
    if (group->wire != PL_NONE)
      PL_PUSH(walk->arena, &ways[g], group->wire);
    if (group->parent != NONE && (group->twin || (is_plain(walk, group) && group->kids < 2)))
      continue;
    group->stop = add_stop(power, group->device, group->pin, group->stop);
    power->stops.at[group->stop].wires = ways[g];
    ways[g] = (pl_ids){0};
  }
}

static const char *fed_name(const struct walk *walk, const struct group *group) {
  const struct pl_device *device = &walk->harness->devices.at[group->device];
  if (pl_kind_is(device->kind, PL_IS_RELAY))
    return pl_arena_printf(walk->arena, "%s coil", device->name);
  if (pl_kind_is(device->kind, PL_IS_STARTER | PL_IS_GENERATOR))
    return walk->harness->pins.at[group->pin].full;
  return device->name;
}

static bool takes_current(const struct walk *walk, const struct group *group) {
  const struct pl_device *device = &walk->harness->devices.at[group->device];
  pl_properties is = pl_kind_row(device->kind)->properties;
  if ((is & PL_IS_RELAY) != 0)
    return group->pin == device->coil_a || group->pin == device->coil_b;
  if ((is & PL_IS_GENERATOR) != 0)
    return !is_alternator_output(walk, group);
  if ((is & PL_IS_PLUG) != 0)
    return (is & PL_IS_INLINE) == 0; /* what is plugged into a bare connector */
  return (is & (PL_IS_USER | PL_IS_MEASURING)) != 0;
}

static void add_fed(struct pl_power *power, const struct walk *walk) {
  uint32_t *last = PL_NEW_ARRAY(walk->arena,
                                uint32_t,
                                (size_t)walk->harness->devices.n + 1); /* its place, plus one */
  pl_id *at = PL_NEW_ARRAY(walk->arena, pl_id, (size_t)walk->harness->devices.n + 1);
  for (uint32_t g = 0; g < walk->groups.n; g++) {
    const struct group *group = &walk->groups.at[g];
    if (group->stop == 0)
      continue;
    if (!takes_current(walk, group))
      continue;
    struct pl_stop *stop = &power->stops.at[group->stop];
    if (stop->device == group->device)
      continue;
    const char *name = fed_name(walk, group);
    if (last[group->device] > 0 &&
        at[group->device] == group->stop) { /* two pins of one controller */
      struct pl_fed *fed = &stop->fed.at[last[group->device] - 1];
      if (strcmp(fed->name, name) == 0) {
        PL_PUSH(walk->arena, &fed->pins, group->pin);
        continue;
      }
    }
    struct pl_fed fed = {.device = group->device, .name = name};
    PL_PUSH(walk->arena, &fed.pins, group->pin);
    PL_PUSH(walk->arena, &stop->fed, fed);
    last[group->device] = stop->fed.n;
    at[group->device] = group->stop;
  }
}

static void add_meetings(struct pl_power *power, const struct walk *walk) {
  for (uint32_t g = 0; g < walk->groups.n; g++) {
    const struct group *group = &walk->groups.at[g];
    struct pl_stop *stop = &power->stops.at[group->stop];
    if (group->meets == PL_NONE)
      continue;
    if (group->stop == 0)
      continue;
    if (stop->meets != PL_NONE)
      continue;
    uint32_t other = walk->groups.at[group->meets].stop;
    if (other != 0 && other != group->stop)
      stop->meets = power->stops.at[other].device;
  }
}

/* ---- sources ---- */

/* A battery stands before the one whose earthed pole its live pole is wired to. */
static void set_rows(struct pl_power *power) {
  for (uint32_t s = 1; s < power->stops.n; s++) {
    struct pl_stop *stop = &power->stops.at[s];
    if (!stop->source)
      continue;
    if (stop->parent != 0)
      continue;
    if (!pl_kind_is(power->harness->devices.at[stop->device].kind, PL_IS_STORE))
      continue;
    pl_id pole = pl_supply_pole(power->harness, stop->device, true);
    pl_id lower = PL_NONE;
    pl_id wire = PL_NONE;
    if (pole != PL_NONE)
      wire = row_wire(power->harness, pole, true, &lower);
    if (wire == PL_NONE || lower == stop->device)
      continue;
    for (uint32_t k = 1; k < power->stops.n; k++) {
      uint32_t up = k;
      while (up != 0 && up != s)
        up = power->stops.at[up].parent;
      if (power->stops.at[k].device != lower)
        continue;
      if (up == s)
        continue;
      uint32_t n = 0;
      for (uint32_t i = 0; i < power->stops.at[0].kids.n; i++)
        if (power->stops.at[0].kids.at[i] != s)
          power->stops.at[0].kids.at[n++] = power->stops.at[0].kids.at[i];
      power->stops.at[0].kids.n = n;
      PL_PUSH(power->arena, &power->stops.at[k].kids, s);
      stop->parent = k;
      stop->wires.n = 0;
      PL_PUSH(power->arena, &stop->wires, wire);
      break;
    }
  }
}

/* What lies between an alternator and the place where ways part carries current from the
 * alternator. */
static void turn_alternators(struct pl_power *power) {
  for (uint32_t s = 1; s < power->stops.n; s++) {
    const struct pl_stop *stop = &power->stops.at[s];
    if (!stop->source)
      continue;
    if (stop->kids.n > 0)
      continue;
    if (stop->parent == 0)
      continue;
    if (!pl_kind_is(power->harness->devices.at[stop->device].kind, PL_IS_GENERATOR))
      continue;
    uint32_t top = stop->parent;
    while (top != 0 && power->stops.at[top].kids.n == 1 && power->stops.at[top].fed.n == 0 &&
           !power->stops.at[top].source)
      top = power->stops.at[top].parent;
    if (top == 0)
      continue;
    if (power->stops.at[top].kids.n < 2)
      continue;
    for (uint32_t at = s; at != top; at = power->stops.at[at].parent)
      power->stops.at[at].backward = true;
  }
}

/* Batteries in parallel or in a row have nothing but another battery behind them, and are shown all
 * the same. */
static void keep_batteries(struct walk *walk) {
  for (uint32_t g = 0; g < walk->groups.n; g++) {
    struct group *group = &walk->groups.at[g];
    if (group->parent == NONE && pl_kind_is(kind_of(walk, group), PL_IS_STORE))
      group->kept = true;
  }
}

void pl_power_make(struct pl_power *power,
                   const struct pl_harness *harness,
                   struct pl_arena *arena) {
  struct walk ground, walk;
  *power = (struct pl_power){.harness = harness, .arena = arena};
  add_stop(power, PL_NONE, PL_NONE, NONE);
  start_walk(&ground, harness, NULL, arena);
  walk_ground(&ground);
  start_walk(&walk, harness, ground.group_of, arena);
  walk_power(&walk);
  keep_ways(&walk);
  keep_batteries(&walk);
  make_stops(power, &walk);
  add_fed(power, &walk);
  add_meetings(power, &walk);
  set_rows(power);
  turn_alternators(power);
}
