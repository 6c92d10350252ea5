/* Making and asking a harness model: records in order, names to ids.  Nothing here reads text or
 * computes volts. */
#include "harness/harness.h"

#include <math.h>
#include <string.h>

#include "base/limits.h"
#include "standard/defaults.h"
#include "standard/limits_data.h"

void pl_harness_init(struct pl_harness *harness, struct pl_arena *arena) {
  *harness = (struct pl_harness){0};
  harness->arena = arena;
  harness->machine = (struct pl_machine){.title = "",
                                         .volts = 12.0,
                                         .drop_limit = pl_limit_drop_critical.value / 100.0,
                                         .fuse_share = pl_limit_fuse_share.value / 100.0,
                                         .slack = pl_limit_slack.value / 100.0,
                                         .tail = pl_limit_tail.value / 1000.0,
                                         .spare = pl_limit_spare.value / 100.0,
                                         .revision = "",
                                         .author = "",
                                         .date = "",
                                         .span = PL_NO_SPAN};
  harness->digest = "";
  pl_table_init(&harness->device_names, arena);
  pl_table_init(&harness->pin_names, arena);
  pl_table_init(&harness->wire_numbers, arena);
  pl_table_init(&harness->state_names, arena);
  pl_table_init(&harness->circuit_names, arena);
  /* Family 0: an open blade terminal as sold for general use; figures are common practice, contact
   * from memory. */
  struct pl_terminal plain = {.name = "plain",
                              .area_min = 0.3,
                              .area_max = 120.0,
                              .od_min = NAN,
                              .od_max = NAN,
                              .amps = NAN,
                              .ohms = 0.002,
                              .wires_max = 99,
                              .span = PL_NO_SPAN};
  PL_PUSH(arena, &harness->terminals, plain);
}

static pl_id find(const struct pl_table *table, const char *name) {
  uint32_t value;
  if (pl_table_find(table, name, &value))
    return value;
  return PL_NONE;
}

pl_id pl_harness_find_pin(const struct pl_harness *harness, const char *name) {
  return find(&harness->pin_names, name);
}

pl_id pl_harness_find_device(const struct pl_harness *harness, const char *name) {
  return find(&harness->device_names, name);
}

pl_id pl_wire_other_end(const struct pl_wire *wire, pl_id pin) {
  if (wire->end[0] == pin)
    return wire->end[1];
  return wire->end[0];
}

static bool is_wired(const struct pl_harness *harness, const struct pl_pin *pin) {
  for (uint32_t i = 0; i < pin->wires.n; i++)
    if (harness->wires.at[pin->wires.at[i]].status != PL_WIRE_DONOR_REMOVED)
      return true;
  return false;
}

bool pl_pin_keeps_alive(const struct pl_harness *harness, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  const struct pl_device *d = &harness->devices.at[p->device];

  if (p->role != PL_ROLE_BATTERY_FEED || p->memory_only)
    return false;
  for (pl_id other = d->first_pin; other < pl_pins_end(d); other++) {
    const struct pl_pin *o = &harness->pins.at[other];
    if (o->role == PL_ROLE_BATTERY_FEED && p->amps < o->amps * PL_DEFAULT(MEMORY_FEED))
      return false;
  }
  return true;
}

bool pl_device_is(const struct pl_harness *harness, pl_id device, pl_properties any) {
  return pl_kind_is(harness->devices.at[device].kind, any);
}

pl_id pl_device_return(const struct pl_harness *harness, pl_id device) {
  const struct pl_device *d = &harness->devices.at[device];
  if (d->kind != PL_KIND_MODULE)
    return d->minus;
  for (pl_id p = d->first_pin; p < d->first_pin + d->pin_count; p++)
    if (harness->pins.at[p].role == PL_ROLE_GROUND && is_wired(harness, &harness->pins.at[p]))
      return p;
  if (d->body == PL_NONE)
    return PL_NONE;
  return harness->devices.at[d->body].first_pin;
}

const struct pl_terminal *pl_pin_terminal(const struct pl_harness *harness, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  pl_id terminal = p->terminal;
  if (terminal == PL_NONE && p->connector != PL_NONE)
    terminal = harness->connectors.at[p->connector].terminal;
  return &harness->terminals.at[terminal == PL_NONE ? 0 : terminal];
}

uint32_t pl_device_position(const struct pl_harness *harness, pl_id id) {
  const struct pl_device *device = &harness->devices.at[id];
  uint32_t position = 1;
  for (pl_id i = 0; i < id; i++) {
    const struct pl_device *other = &harness->devices.at[i];
    bool same;
    if (pl_kind_is_protection(device->kind))
      same = pl_kind_is_protection(other->kind);
    else
      same = other->kind == device->kind;
    position += same && other->place == device->place;
  }
  return position;
}

const char *pl_colour_text(const struct pl_colour *colour, char buffer[16]) {
  const char *parts[3] = {colour->base, colour->stripe, colour->stripe2};
  size_t n = 0;
  for (int i = 0; i < 3; i++) {
    if (parts[i] == NULL)
      break;
    if (parts[i][0] == '\0')
      break;
    size_t length = strlen(parts[i]);
    if (n + length + 2 > 16)
      break;
    if (i > 0)
      buffer[n++] = '/';
    memcpy(buffer + n, parts[i], length);
    n += length;
  }
  buffer[n] = '\0';
  return buffer;
}

/* ---- adding ---- */

void pl_harness_reserve(struct pl_harness *harness,
                        uint32_t devices,
                        uint32_t pins,
                        uint32_t wires) {
  PL_RESERVE(harness->arena, &harness->devices, devices);
  PL_RESERVE(harness->arena, &harness->pins, pins);
  PL_RESERVE(harness->arena, &harness->wires, wires);
  pl_table_reserve(&harness->device_names, devices);
  pl_table_reserve(&harness->pin_names, pins);
  pl_table_reserve(&harness->wire_numbers, wires);
}

pl_id pl_harness_add_place(struct pl_harness *harness, struct pl_place place) {
  PL_PUSH(harness->arena, &harness->places, place);
  return harness->places.n - 1;
}

pl_id pl_harness_add_device(struct pl_harness *harness, struct pl_device device) {
  pl_id id = harness->devices.n;
  if (!pl_table_add(&harness->device_names, device.name, id))
    return PL_NONE;
  device.first_pin = harness->pins.n;
  device.pin_count = 0;
  device.first_connector = harness->connectors.n;
  device.connector_count = 0;
  if (device.kind == PL_KIND_BATTERY)
    harness->grounded = true;
  PL_PUSH(harness->arena, &harness->devices, device);
  return id;
}

pl_id pl_harness_add_connector(struct pl_harness *harness, struct pl_connector connector) {
  pl_id id = harness->connectors.n;
  connector.first_pin = harness->pins.n;
  connector.pin_count = 0;
  harness->devices.at[connector.device].connector_count++;
  PL_PUSH(harness->arena, &harness->connectors, connector);
  return id;
}

/* "device.pin", without the slow ways of a format: there is one for every pin. */
static const char *dotted(struct pl_arena *arena, const char *device, const char *pin) {
  size_t before = strlen(device);
  size_t length = strlen(pin);
  char *name = pl_arena_alloc(arena, before + length + 2, 1);
  memcpy(name, device, before);
  name[before] = '.';
  memcpy(name + before + 1, pin, length);
  return name; /* fresh memory of the arena is zero: the text has its end */
}

pl_id pl_harness_add_pin(struct pl_harness *harness, struct pl_pin pin) {
  pl_id id = harness->pins.n;
  struct pl_device *device = &harness->devices.at[pin.device];
  if (pin.name[0] == '\0')
    pin.full = device->name;
  else
    pin.full = dotted(harness->arena, device->name, pin.name);
  if (!pl_table_add(&harness->pin_names, pin.full, id))
    return PL_NONE;
  device->pin_count++;
  if (pin.connector != PL_NONE) {
    struct pl_connector *connector = &harness->connectors.at[pin.connector];
    if (connector->pin_count == 0)
      connector->first_pin = id;
    connector->pin_count++;
    if (connector->name[0] !=
        '\0') /* the longer way to write it; the first meaning of a name stays */
      pl_table_add(
          &harness->pin_names,
          pl_arena_printf(harness->arena, "%s.%s.%s", device->name, connector->name, pin.cavity),
          id);
  }
  PL_PUSH(harness->arena, &harness->pins, pin);
  return id;
}

pl_id pl_harness_add_wire(struct pl_harness *harness, struct pl_wire wire) {
  pl_id id = harness->wires.n;
  if (!pl_table_add(&harness->wire_numbers, wire.number, id))
    return PL_NONE;
  for (int i = 0; i < 2; i++)
    if (wire.end[i] != PL_NONE)
      PL_PUSH(harness->arena, &harness->pins.at[wire.end[i]].wires, id);
  PL_PUSH(harness->arena, &harness->wires, wire);
  return id;
}

/* ---- blank records ---- */

struct pl_place pl_place_blank(void) {
  return (struct pl_place){.name = "",
                           .text = "",
                           .cold = pl_limit_place_cold.value,
                           .hot = pl_limit_place_hot.value,
                           .reach = 2,
                           .span = PL_NO_SPAN};
}

struct pl_device pl_device_blank(void) {
  return (struct pl_device){.name = "",
                            .text = "",
                            .part = "",
                            .place = PL_NONE,
                            .volts = NAN,
                            .rating = NAN,
                            .ohms = NAN,
                            .family = "",
                            .emf = NAN,
                            .cca = NAN,
                            .amp_hours = NAN,
                            .set_volts = NAN,
                            .idle_amps = NAN,
                            .speed_amps = NAN,
                            .exciter_ohms = NAN,
                            .crank_amps = NAN,
                            .crank_volts = NAN,
                            .coil_a = PL_NONE,
                            .coil_b = PL_NONE,
                            .coil_ohms = NAN,
                            .pull_in = NAN,
                            .drop_out = NAN,
                            .suppression = "",
                            .plus = PL_NONE,
                            .minus = PL_NONE,
                            .signal = PL_NONE,
                            .signal_share = NAN,
                            .load_volts = NAN,
                            .load_amps = NAN,
                            .need_min = NAN,
                            .need_max = NAN,
                            .drop = NAN,
                            .inrush = NAN,
                            .inrush_seconds = NAN,
                            .locked = NAN,
                            .reset_a = PL_NONE,
                            .reset_b = PL_NONE,
                            .quantity = PL_NONE,
                            .beta = NAN,
                            .beta_ohms = NAN,
                            .beta_at = NAN,
                            .tolerance = NAN,
                            .poles = NAN,
                            .pulley_ratio = NAN,
                            .pulses = NAN,
                            .on_seconds = NAN,
                            .body = PL_NONE,
                            .span = PL_NO_SPAN};
}

struct pl_state pl_state_blank(void) {
  return (struct pl_state){.name = "",
                           .title = "",
                           .lasts = INFINITY,
                           .battery_volts = NAN,
                           .battery_worn = NAN,
                           .ambient = NAN,
                           .span = PL_NO_SPAN};
}

struct pl_connector pl_connector_blank(void) {
  return (struct pl_connector){.device = PL_NONE,
                               .name = "",
                               .rows = 1,
                               .columns = 1,
                               .terminal = PL_NONE,
                               .colour = "",
                               .key = "",
                               .mate = "",
                               .part = "",
                               .span = PL_NO_SPAN};
}

struct pl_pin pl_pin_blank(void) {
  return (struct pl_pin){.device = PL_NONE,
                         .connector = PL_NONE,
                         .name = "",
                         .cavity = "",
                         .full = "",
                         .text = "",
                         .amps = NAN,
                         .sleep_amps = NAN,
                         .volts_min = NAN,
                         .volts_max = NAN,
                         .volts = NAN,
                         .pull_ohms = NAN,
                         .pull_volts = NAN,
                         .terminal = PL_NONE,
                         .sure_text = "",
                         .span = PL_NO_SPAN};
}

struct pl_wire pl_wire_blank(void) {
  return (struct pl_wire){.number = "",
                          .end = {PL_NONE, PL_NONE},
                          .area = NAN,
                          .size = "",
                          .ohms_per_m = NAN,
                          .colour = {"", "", ""},
                          .length = NAN,
                          .extension = NAN,
                          .cold = pl_limit_place_cold.value,
                          .hot = pl_limit_place_hot.value,
                          .circuit = PL_NONE,
                          .twist = "",
                          .note = "",
                          .span = PL_NO_SPAN,
                          .end_span = {PL_NO_SPAN, PL_NO_SPAN},
                          .size_span = PL_NO_SPAN};
}
