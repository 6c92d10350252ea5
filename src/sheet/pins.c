/* Tables of pins: one for each connector, and one for each group of devices that have studs, blades or leads of their
 * own. */
#include <math.h>
#include <string.h>

#include "sheet/rows.h"

static bool has_readings(const struct pl_sheet_maker *maker) {
  return maker->solutions != NULL && maker->harness->states.n > 0;
}

static void pin_columns(struct pl_sheet_maker *maker, const char *first) {
  struct pl_column *name = pl_sheet_column(maker, first);
  name->narrow = name->key = true;
  if (maker->sheet.connector != PL_NONE) pl_sheet_column(maker, "pin")->csv_only = true;
  pl_sheet_wire_columns(maker);
  pl_sheet_column(maker, "goes to");
  pl_sheet_column(maker, "function")->key = true;
  pl_sheet_column(maker, "role");
  pl_sheet_column(maker, "terminal");
  pl_sheet_column(maker, "known from");
  for (pl_id s = 0; has_readings(maker) && s < maker->harness->states.n; s++) {
    struct pl_column *column =
        pl_sheet_column(maker, pl_arena_printf(maker->arena, "%s V", maker->harness->states.at[s].name));
    column->number = column->narrow = column->reading = true;
  }
}

/* "pedal position (web)": a fact nobody vouches for says so wherever it stands. */
static const char *marked(struct pl_sheet_maker *maker, const char *text, const struct pl_pin *pin) {
  const char *unsure = pl_pin_unsure(pin);
  return unsure[0] == '\0' || text[0] == '\0' ? text : pl_arena_printf(maker->arena, "%s (%s)", text, unsure);
}

static const char *known_from(struct pl_sheet_maker *maker, const struct pl_pin *pin) {
  const char *sure = pl_sure_name(pin->sure);
  return pin->sure_text[0] == '\0' ? sure : pl_arena_printf(maker->arena, "%s: %s", sure, pin->sure_text);
}

/* The column's head has the unit. */
static const char *reading(struct pl_sheet_maker *maker, pl_id state, pl_id pin) {
  const char *text = pl_probe_reading(&maker->solutions[state], pin, maker->arena);
  size_t n = strlen(text);
  return n > 2 && strcmp(text + n - 2, " V") == 0 ? pl_arena_strndup(maker->arena, text, n - 2) : text;
}

static const char *empty_cavity(const struct pl_sheet_maker *maker, const struct pl_pin *pin) {
  if (pin->connector == PL_NONE) return "no wire";
  if (pin->plugged) return "cavity plug";
  return maker->harness->connectors.at[pin->connector].sealed ? "empty, no plug" : "empty";
}

/* One row for each wire at the pin; one row when there is none. */
static void pin_rows(struct pl_sheet_maker *maker, pl_id id, const char *name, const char *function) {
  const struct pl_pin *pin = &maker->harness->pins.at[id];
  bool node = pl_kind_is_node(maker->harness->devices.at[pin->device].kind);
  for (uint32_t i = 0; i == 0 || i < pin->wires.n; i++) {
    pl_sheet_row(maker, PL_LINK_PIN, id);
    pl_sheet_text(maker, name);
    if (maker->sheet.connector != PL_NONE) pl_sheet_text(maker, pin->full);
    if (pin->wires.n > 0) {
      pl_sheet_wire_cells(maker, pin->wires.at[i]);
      pl_sheet_end_cell(maker, pin->wires.at[i], id);
    } else {
      for (int blank = 0; blank < 3; blank++) pl_sheet_text(maker, "");
      pl_sheet_text(maker, empty_cavity(maker, pin));
    }
    pl_sheet_text(maker, marked(maker, function, pin));
    pl_sheet_text(maker, node ? pl_kind_name(maker->harness->devices.at[pin->device].kind)
                              : marked(maker, pl_role_name(pin->role), pin));
    pl_sheet_text(maker, node ? "" : pl_pin_terminal(maker->harness, id)->name);
    pl_sheet_text(maker, known_from(maker, pin));
    for (pl_id s = 0; has_readings(maker) && s < maker->harness->states.n; s++)
      pl_sheet_text(maker, reading(maker, s, id));
  }
}

static void add_fact(struct pl_buffer *note, const char *fact) {
  if (fact[0] == '\0') return;
  pl_buffer_puts(note, note->n > 0 ? ", " : "");
  pl_buffer_puts(note, fact);
}

static void add_named(struct pl_sheet_maker *maker, struct pl_buffer *note, const char *name, const char *fact) {
  if (fact[0] != '\0') add_fact(note, pl_arena_printf(maker->arena, "%s %s", name, fact));
}

static const char *connector_note(struct pl_sheet_maker *maker, const struct pl_connector *connector) {
  const struct pl_harness *harness = maker->harness;
  const struct pl_device *device = &harness->devices.at[connector->device];
  struct pl_buffer note;
  pl_buffer_init(&note, maker->arena);
  add_fact(&note, device->text);
  add_fact(&note, device->place < harness->places.n
                      ? pl_arena_printf(maker->arena, "at %s", harness->places.at[device->place].name)
                      : "");
  add_fact(&note, pl_arena_printf(maker->arena, connector->pin_count == 1 ? "%u cavity" : "%u cavities",
                                  connector->pin_count));
  add_fact(&note, connector->shape == PL_SHAPE_ROUND ? "round" : "");
  add_fact(&note, connector->sealed ? "sealed" : "not sealed");
  add_fact(&note, connector->pin_half ? "harness half carries pins" : "harness half carries sockets");
  add_fact(&note, connector->colour);
  add_named(maker, &note, "keyed", connector->key);
  add_named(maker, &note, "mates", connector->mate);
  add_named(maker, &note, "part", connector->part);
  return note.at;
}

static void connector_sheet(struct pl_sheet_maker *maker, pl_id id) {
  const struct pl_harness *harness = maker->harness;
  const struct pl_connector *connector = &harness->connectors.at[id];
  const struct pl_device *device = &harness->devices.at[connector->device];
  const char *title = connector->name[0] == '\0'
                          ? pl_arena_printf(maker->arena, "Connector of %s", device->name)
                          : pl_arena_printf(maker->arena, "%s, connector %s", device->name, connector->name);
  pl_sheet_begin(maker, "", title, connector_note(maker, connector));
  maker->sheet.connector = id;
  maker->sheet.tick = true;
  pin_columns(maker, "cavity");
  for (pl_id p = device->first_pin; p < device->first_pin + device->pin_count; p++) {
    const struct pl_pin *pin = &harness->pins.at[p];
    if (pin->connector == id) pin_rows(maker, p, pin->cavity, pin->text);
  }
  pl_sheet_end(maker);
}

void pl_sheet_connectors(struct pl_sheet_maker *maker) {
  for (pl_id id = 0; id < maker->harness->connectors.n; id++) connector_sheet(maker, id);
}

struct group {
  const char *file, *title;
  bool (*holds)(enum pl_kind kind);
};

static bool is_source(enum pl_kind kind) {
  return kind == PL_KIND_BATTERY || kind == PL_KIND_ALTERNATOR || kind == PL_KIND_STARTER;
}
static bool is_switch(enum pl_kind kind) { return kind == PL_KIND_SWITCH || kind == PL_KIND_DISCONNECT; }
static bool is_relay(enum pl_kind kind) { return kind == PL_KIND_RELAY; }
static bool is_sensor(enum pl_kind kind) {
  return kind == PL_KIND_SENSOR || kind == PL_KIND_SENDER || kind == PL_KIND_GAUGE;
}
static bool is_splice(enum pl_kind kind) { return kind == PL_KIND_SPLICE; }
static bool is_stud(enum pl_kind kind) { return pl_kind_is_node(kind) && kind != PL_KIND_SPLICE; }
static bool is_small(enum pl_kind kind) {
  return kind == PL_KIND_DIODE || kind == PL_KIND_RESISTOR || kind == PL_KIND_TERMINATOR;
}

/* The last one takes what no other takes. */
static const struct group groups[] = {{"pins-sources", "Battery, alternator, starter", is_source},
                                      {"pins-fuses", "Fuses and breakers", pl_kind_is_protection},
                                      {"pins-relays", "Relays", is_relay},
                                      {"pins-switches", "Switches and disconnects", is_switch},
                                      {"pins-loads", "Lamps, motors and other loads", pl_kind_is_load},
                                      {"pins-sensors", "Sensors, senders, gauges", is_sensor},
                                      {"pins-small", "Diodes, resistors, terminators", is_small},
                                      {"splices", "Splices", is_splice},
                                      {"studs", "Studs, grounds, chassis", is_stud},
                                      {"pins-other", "Other devices", NULL}};
enum { GROUPS = sizeof groups / sizeof groups[0] };

static int group_of(enum pl_kind kind) {
  int i = 0;
  while (i < GROUPS - 1 && !groups[i].holds(kind)) i++;
  return i;
}

/* "lift pump; at tank": devices share a sheet, so that each row says where it is. */
static const char *pin_function(struct pl_sheet_maker *maker, const struct pl_pin *pin,
                                const struct pl_device *device) {
  const char *text = pin->text[0] != '\0' ? pin->text : device->text;
  if (device->place >= maker->harness->places.n) return text;
  const char *place = maker->harness->places.at[device->place].name;
  return text[0] == '\0' ? pl_arena_printf(maker->arena, "at %s", place)
                         : pl_arena_printf(maker->arena, "%s, at %s", text, place);
}

void pl_sheet_devices_pins(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  for (int g = 0; g < GROUPS; g++) {
    pl_sheet_begin(maker, groups[g].file, groups[g].title, "");
    maker->sheet.tick = true;
    pin_columns(maker, "pin");
    for (pl_id p = 0; p < harness->pins.n; p++) {
      const struct pl_pin *pin = &harness->pins.at[p];
      const struct pl_device *device = &harness->devices.at[pin->device];
      if (pin->connector == PL_NONE && group_of(device->kind) == g)
        pin_rows(maker, p, pin->full, pin_function(maker, pin, device));
    }
    pl_sheet_end(maker);
  }
}
