/* The single faults of a harness, in the order of its text, and their names in the words of the
 * trade.  Solves nothing. */
#include <math.h>

#include "fault/fault.h"
#include "standard/defaults.h"

static const struct pl_fault nothing = {.wire = PL_NONE,
                                        .device = PL_NONE,
                                        .pin_a = PL_NONE,
                                        .pin_b = PL_NONE};

/* ---- wires ---- */

/* Sensors and signals work with milliamps: what disturbs them is not what disturbs a lamp. */
static bool is_signal_pin(const struct pl_harness *harness, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  enum pl_kind kind = harness->devices.at[p->device].kind;

  switch (p->role) {
    case PL_ROLE_SENSOR_SUPPLY:
    case PL_ROLE_SENSOR_RETURN:
    case PL_ROLE_SIGNAL_INPUT:
    case PL_ROLE_SWITCH_INPUT:
    case PL_ROLE_KEYED_INPUT:
    case PL_ROLE_DATA_HIGH:
    case PL_ROLE_DATA_LOW:
    case PL_ROLE_SHIELD:
      return true;
    case PL_ROLE_PASSIVE:
    case PL_ROLE_PLUS:
    case PL_ROLE_MINUS:
    case PL_ROLE_BATTERY_FEED:
    case PL_ROLE_GROUND:
    case PL_ROLE_HIGH_SIDE:
    case PL_ROLE_LOW_SIDE:
    case PL_ROLE_UNUSED:
      break;
  }
  return pl_kind_is(kind, PL_IS_SIGNAL);
}

/* The end where a chafe says most: not on the battery itself, where it would change nothing. */
static pl_id chafed_end(const struct pl_harness *harness, const struct pl_wire *wire) {
  for (int i = 0; i < 2; i++)
    if (wire->end[i] != PL_NONE &&
        !pl_kind_is(harness->devices.at[harness->pins.at[wire->end[i]].device].kind, PL_IS_STORE))
      return wire->end[i];
  if (wire->end[0] != PL_NONE)
    return wire->end[0];
  return wire->end[1];
}

static void
list_wire(const struct pl_harness *harness, pl_id id, struct pl_arena *arena, pl_faults *faults) {
  const struct pl_wire *wire = &harness->wires.at[id];
  struct pl_fault fault = nothing;

  if (wire->status == PL_WIRE_DONOR_REMOVED)
    return;
  fault.wire = id;
  if (wire->end[0] != PL_NONE && wire->end[1] != PL_NONE && wire->end[0] != wire->end[1]) {
    bool signal = is_signal_pin(harness, wire->end[0]) || is_signal_pin(harness, wire->end[1]);
    fault.kind = PL_FAULT_OPEN;
    PL_PUSH(arena, faults, fault);
    fault.kind = PL_FAULT_RESISTANCE;
    if (signal)
      fault.ohms = PL_DEFAULT(FAULT_HIGH_SIGNAL);
    else
      fault.ohms = PL_DEFAULT(FAULT_HIGH);
    PL_PUSH(arena, faults, fault);
  }
  fault.pin_a = chafed_end(harness, wire);
  if (fault.pin_a == PL_NONE)
    return;
  fault.ohms = PL_DEFAULT(FAULT_CHAFED);
  fault.kind = PL_FAULT_TO_CHASSIS;
  PL_PUSH(arena, faults, fault);
  fault.kind = PL_FAULT_TO_BATTERY;
  PL_PUSH(arena, faults, fault);
}

/* ---- devices ---- */

static void
add_kind(struct pl_arena *arena, pl_faults *faults, pl_id device, enum pl_fault_kind kind) {
  struct pl_fault fault = nothing;

  fault.kind = kind;
  fault.device = device;
  if (kind == PL_FAULT_SHORTED)
    fault.ohms = PL_DEFAULT(FAULT_SHORTED);
  if (kind == PL_FAULT_RESISTANCE)
    fault.ohms = PL_DEFAULT(FAULT_HIGH);
  PL_PUSH(arena, faults, fault);
}

static void list_outputs(const struct pl_harness *harness,
                         pl_id id,
                         struct pl_arena *arena,
                         pl_faults *faults) {
  const struct pl_device *d = &harness->devices.at[id];

  for (pl_id pin = d->first_pin; pin < d->first_pin + d->pin_count; pin++) {
    enum pl_role role = harness->pins.at[pin].role;
    struct pl_fault fault = nothing;
    if (harness->pins.at[pin].wires.n == 0)
      continue;
    if (role != PL_ROLE_HIGH_SIDE && role != PL_ROLE_LOW_SIDE)
      continue;
    fault.device = id;
    fault.pin_a = pin;
    fault.kind = PL_FAULT_STUCK_ON;
    PL_PUSH(arena, faults, fault);
    fault.kind = PL_FAULT_STUCK_OFF;
    PL_PUSH(arena, faults, fault);
  }
}

static void
list_positions(const struct pl_device *d, pl_id id, struct pl_arena *arena, pl_faults *faults) {
  struct pl_fault stuck = nothing;

  stuck.kind = PL_FAULT_STUCK_POSITION;
  stuck.device = id;
  for (stuck.position = 0; stuck.position < d->throws.n; stuck.position++)
    PL_PUSH(arena, faults, stuck);
}

/* What the kind's row says can be wrong with it.  Loose and unplugged connectors, weak batteries
 * and sensors that drift are not among the single faults of a proof. */
static void
list_device(const struct pl_harness *harness, pl_id id, struct pl_arena *arena, pl_faults *faults) {
  static const struct {
    enum pl_breaks breaks;
    enum pl_fault_kind fault;
  } plain[] = {{PL_BREAKS_OPEN, PL_FAULT_OPEN},
               {PL_BREAKS_SHORTED, PL_FAULT_SHORTED},
               {PL_BREAKS_RESISTANCE, PL_FAULT_RESISTANCE},
               {PL_BREAKS_STUCK_IN, PL_FAULT_STUCK_IN},
               {PL_BREAKS_STUCK_OUT, PL_FAULT_STUCK_OUT}};
  const struct pl_device *d = &harness->devices.at[id];

  if (pl_kind_breaks(d->kind, PL_BREAKS_POSITION))
    list_positions(d, id, arena, faults);
  for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++)
    if (pl_kind_breaks(d->kind, plain[i].breaks))
      add_kind(arena, faults, id, plain[i].fault);
  if (pl_kind_breaks(d->kind, PL_BREAKS_OUTPUTS))
    list_outputs(harness, id, arena, faults);
}

/* ---- connectors ---- */

static bool are_neighbours(const struct pl_pin *a, const struct pl_pin *b) {
  if (a->row == 0)
    return false;
  if (b->row == 0)
    return false;
  if (a->row == b->row && a->column + 1 == b->column)
    return true;
  return a->column == b->column && a->row + 1 == b->row;
}

/* Wired cavities side by side or one above the other.  The second half of an inline pair faces the
 * first: the same pins once more. */
static void list_connector(const struct pl_harness *harness,
                           pl_id id,
                           struct pl_arena *arena,
                           pl_faults *faults) {
  const struct pl_connector *c = &harness->connectors.at[id];
  const struct pl_device *d = &harness->devices.at[c->device];

  if (pl_kind_is(d->kind, PL_IS_INLINE) && id != d->first_connector)
    return;
  for (pl_id a = c->first_pin; a < c->first_pin + c->pin_count; a++) {
    if (harness->pins.at[a].wires.n == 0)
      continue;
    for (pl_id b = c->first_pin; b < c->first_pin + c->pin_count; b++) {
      struct pl_fault fault = nothing;
      if (harness->pins.at[b].wires.n == 0)
        continue;
      if (!are_neighbours(&harness->pins.at[a], &harness->pins.at[b]))
        continue;
      fault.kind = PL_FAULT_SHORTED;
      fault.pin_a = a;
      fault.pin_b = b;
      fault.ohms = PL_DEFAULT(FAULT_SHORTED);
      PL_PUSH(arena, faults, fault);
    }
  }
}

void pl_faults_list(const struct pl_harness *harness, struct pl_arena *arena, pl_faults *faults) {
  *faults = (pl_faults){NULL, 0, 0};
  for (pl_id id = 0; id < harness->wires.n; id++)
    list_wire(harness, id, arena, faults);
  for (pl_id id = 0; id < harness->devices.n; id++)
    list_device(harness, id, arena, faults);
  for (pl_id id = 0; id < harness->connectors.n; id++)
    list_connector(harness, id, arena, faults);
}

/* ---- words ---- */

static const char *
connector_name(const struct pl_harness *harness, pl_id connector, struct pl_arena *arena) {
  const struct pl_connector *c = &harness->connectors.at[connector];
  const char *device = harness->devices.at[c->device].name;

  if (c->name[0] == '\0')
    return device;
  return pl_arena_printf(arena, "%s.%s", device, c->name);
}

static const char *joined_text(const struct pl_harness *harness,
                               const struct pl_fault *fault,
                               struct pl_arena *arena) {
  if (fault->pin_a == PL_NONE)
    return "nothing joined";
  if (fault->pin_b == PL_NONE)
    return "nothing joined";
  const struct pl_pin *a = &harness->pins.at[fault->pin_a];
  const struct pl_pin *b = &harness->pins.at[fault->pin_b];

  if (a->connector != PL_NONE && a->connector == b->connector && a->cavity[0] != '\0' &&
      b->cavity[0] != '\0')
    return pl_arena_printf(arena,
                           "pins %s and %s of %s joined",
                           a->cavity,
                           b->cavity,
                           connector_name(harness, a->connector, arena));
  return pl_arena_printf(arena, "%s and %s joined", a->full, b->full);
}

static const char *pin_text(const struct pl_harness *harness,
                            const struct pl_fault *fault,
                            const char *what,
                            struct pl_arena *arena) {
  if (fault->pin_a == PL_NONE)
    return "nothing broken";
  return pl_arena_printf(arena, "%s %s", harness->pins.at[fault->pin_a].full, what);
}

static const char *device_text(const struct pl_harness *harness,
                               const struct pl_fault *fault,
                               const char *before,
                               const char *what,
                               struct pl_arena *arena) {
  const struct pl_device *d = &harness->devices.at[fault->device];

  return pl_arena_printf(arena, "%s%s %s %s", before, pl_kind_name(d->kind), d->name, what);
}

static const char *position_text(const struct pl_harness *harness,
                                 const struct pl_fault *fault,
                                 struct pl_arena *arena) {
  const struct pl_device *d = &harness->devices.at[fault->device];
  const char *name = "no position";
  if (fault->position < d->throws.n)
    name = d->throws.at[fault->position].name;

  return pl_arena_printf(arena, "%s %s stuck in %s", pl_kind_name(d->kind), d->name, name);
}

/* What is open in a device that has more than one part. */
static const char *
open_text(const struct pl_harness *harness, const struct pl_fault *fault, struct pl_arena *arena) {
  static const struct {
    pl_properties of;
    const char *before, *what;
  } words[] = {{PL_IS_RELAY, "coil of ", "open"},
               {PL_IS_STARTER, "motor of ", "open"},
               {PL_IS_BOND, "", "off"},
               {PL_IS_GENERATOR, "", "dead"},
               {PL_IS_SETTABLE, "contacts of ", "open"}};
  enum pl_kind kind = harness->devices.at[fault->device].kind;

  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
    if (pl_kind_is(kind, words[i].of))
      return device_text(harness, fault, words[i].before, words[i].what, arena);
  return device_text(harness, fault, "", "open", arena);
}

static const char *
unplugged_text(const struct pl_harness *harness, pl_id connector, struct pl_arena *arena) {
  const struct pl_connector *c = &harness->connectors.at[connector];
  const struct pl_device *d = &harness->devices.at[c->device];

  if (c->name[0] == '\0' || pl_kind_is(d->kind, PL_IS_INLINE))
    return pl_arena_printf(arena, "connector of %s not plugged together", d->name);
  return pl_arena_printf(arena, "connector %s.%s not plugged in", d->name, c->name);
}

static const char *
loose_text(const struct pl_harness *harness, const struct pl_fault *fault, struct pl_arena *arena) {
  const struct pl_device *d = &harness->devices.at[fault->device];
  uint32_t wires = 0;

  for (uint32_t i = 0; i < d->pin_count; i++)
    wires += harness->pins.at[d->first_pin + i].wires.n;
  return device_text(harness,
                     fault,
                     "",
                     pl_arena_printf(arena, "loose: all %u wires on it high in resistance", wires),
                     arena);
}

const char *pl_fault_text(const struct pl_harness *harness,
                          const struct pl_fault *fault,
                          struct pl_arena *arena) {
  bool wire = fault->wire < harness->wires.n;
  bool device = fault->device < harness->devices.n;
  const char *number = "";
  if (wire)
    number = harness->wires.at[fault->wire].number;

  switch (fault->kind) {
    case PL_FAULT_OPEN:
      if (wire)
        return pl_arena_printf(arena, "wire %s broken", number);
      if (device)
        return open_text(harness, fault, arena);
      break;
    case PL_FAULT_RESISTANCE:
      if (wire)
        return pl_arena_printf(arena, "wire %s high in resistance", number);
      if (device)
        return device_text(harness, fault, "", "high in resistance", arena);
      break;
    case PL_FAULT_TO_CHASSIS:
      if (wire)
        return pl_arena_printf(arena, "wire %s chafed to chassis", number);
      return pin_text(harness, fault, "joined to chassis", arena);
    case PL_FAULT_TO_BATTERY:
      if (wire)
        return pl_arena_printf(arena, "wire %s chafed to a live feed", number);
      return pin_text(harness, fault, "joined to a live feed", arena);
    case PL_FAULT_SHORTED:
      if (device)
        return device_text(harness, fault, "", "shorted inside", arena);
      return joined_text(harness, fault, arena);
    case PL_FAULT_STUCK_IN:
      if (device)
        return device_text(harness, fault, "", "stuck pulled in", arena);
      break;
    case PL_FAULT_STUCK_OUT:
      if (device)
        return device_text(harness, fault, "", "does not pull in", arena);
      break;
    case PL_FAULT_STUCK_POSITION:
      if (device)
        return position_text(harness, fault, arena);
      break;
    case PL_FAULT_STUCK_ON:
      return pin_text(harness, fault, "always on", arena);
    case PL_FAULT_STUCK_OFF:
      return pin_text(harness, fault, "always off", arena);
    case PL_FAULT_UNPLUGGED:
      if (fault->pin_a != PL_NONE && harness->pins.at[fault->pin_a].connector != PL_NONE)
        return unplugged_text(harness, harness->pins.at[fault->pin_a].connector, arena);
      break;
    case PL_FAULT_LOOSE:
      if (device)
        return loose_text(harness, fault, arena);
      break;
    case PL_FAULT_DEAD:
      if (device)
        return device_text(harness, fault, "", "dead", arena);
      break;
  }
  return "nothing broken";
}
