/* Expected readings: volts at every pin in every state, ohms at the controllers' plugs, sensors
 * over what they measure. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "sheet/live_inner.h"
#include "sheet/work_inner.h"
#include "standard/limits_data.h"

static void pin_link(struct pl_sheet_maker *maker, pl_id pin) {
  pl_sheet_link(maker, maker->harness->pins.at[pin].full, PL_LINK_PIN, pin);
}

static const char *function_of(const struct pl_harness *harness, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  if (p->text[0] != '\0')
    return p->text;
  return harness->devices.at[p->device].text;
}

#define NO_VOLTS 0.005 /* half of a shop meter's last digit */

/* ---- volts ---- */

/* "12.4 (11.9..12.8)": the column's head has the unit. */
static const char *volts_cell(const struct pl_sheet_maker *maker,
                              const struct pl_solution *solution,
                              pl_id pin,
                              struct pl_band band) {
  const char *figure = pl_probe_reading(solution, pin, maker->arena);
  char low[PL_NUMBER_SIZE], high[PL_NUMBER_SIZE];
  size_t n = strlen(figure);
  if (n < 2)
    return figure;
  if (strcmp(figure + n - 2, " V") != 0)
    return figure;
  figure = pl_arena_strndup(maker->arena, figure, n - 2);
  int places = fabs(solution->pin_volts[pin]) < 0.995 ? 2 : 1; /* as the figure has */
  if (isnan(band.low))
    return figure;
  if (isnan(band.high))
    return figure;
  if (fmax(fabs(band.low), fabs(band.high)) < NO_VOLTS)
    return figure;
  const char *from = pl_number_fixed(low, band.low, places);
  const char *to = pl_number_fixed(high, band.high, places);
  const char *moves;
  if (band.moves == PL_NONE)
    moves = "";
  else
    moves = pl_arena_printf(maker->arena,
                            " unless %s changes over",
                            maker->harness->devices.at[band.moves].name);
  if (strcmp(from, to) == 0 && strcmp(from, figure) == 0)
    return pl_arena_printf(maker->arena, "%s%s", figure, moves);
  return pl_arena_printf(maker->arena, "%s (%s..%s)%s", figure, from, to, moves);
}

static void volts(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  struct pl_band **bands = PL_NEW_ARRAY(maker->arena, struct pl_band *, harness->states.n);
  pl_blocks blocks = {0};
  pl_blocks_make(maker, &blocks);
  for (pl_id s = 0; s < harness->states.n; s++) {
    bands[s] = PL_NEW_ARRAY(maker->arena, struct pl_band, harness->pins.n);
    for (pl_id p = 0; p < harness->pins.n; p++)
      bands[s][p] = (struct pl_band){NAN, NAN, PL_NONE};
    if (maker->solutions[s].status == PL_SOLVED)
      pl_band_pins(pl_bands_take(maker->network, &maker->solutions[s]), bands[s]);
  }
  pl_sheet_begin(maker,
                 "readings-volts",
                 "Volts at every pin",
                 "The figure, and from where to where a sound machine may read when its parts "
                 "differ within their tolerances, for the battery and the weather of the state. "
                 "Back-probe, never pierce; an unplugged plug proves nothing under load.");
  maker->sheet.wide = true;
  struct pl_column *pin = pl_sheet_column(maker, "pin");
  pin->narrow = pin->key = true;
  pl_sheet_column(maker, "function")->csv_only = true;
  for (pl_id s = 0; s < harness->states.n; s++) {
    struct pl_column *column =
        pl_sheet_column(maker, pl_arena_printf(maker->arena, "%s V", harness->states.at[s].name));
    column->number = column->narrow = column->reading = true;
  }
  for (uint32_t b = 0; b < blocks.n; b++) {
    for (uint32_t i = 0; i < blocks.at[b].pins.n; i++) {
      pl_id p = blocks.at[b].pins.at[i];
      if (harness->pins.at[p].wires.n == 0)
        continue;
      pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
      pin_link(maker, p);
      pl_sheet_text(maker, function_of(harness, p));
      for (pl_id s = 0; s < harness->states.n; s++)
        pl_sheet_text(maker, volts_cell(maker, &maker->solutions[s], p, bands[s][p]));
    }
  }
  pl_sheet_end(maker);
}

/* ---- from a device to the plug where it is read ---- */

struct search {
  const struct pl_sheet_maker *maker;
  uint32_t *seen; /* by pin: number of the search */
  pl_id *queue;
  uint32_t turn, tail;
};

static void meet(struct search *search, pl_id pin) {
  if (pin >= search->maker->harness->pins.n)
    return;
  if (search->seen[pin] == search->turn)
    return;
  search->seen[pin] = search->turn;
  search->queue[search->tail++] = pin;
}

static bool is_signal(const struct pl_harness *harness, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  const struct pl_device *device = &harness->devices.at[p->device];

  if (pl_kind_is(device->kind, PL_IS_GAUGE))
    return pin == device->signal;
  if (!pl_kind_is(device->kind, PL_IS_MODULE))
    return false;
  if (p->role == PL_ROLE_BATTERY_FEED)
    return false;
  if (p->role == PL_ROLE_GROUND)
    return false;
  return p->role != PL_ROLE_KEYED_INPUT;
}

/* What hangs on a pin by wires and inside its device. */
static void meet_neighbours(struct search *search, pl_id at) {
  const struct pl_harness *harness = search->maker->harness;
  const struct pl_pin *pin = &harness->pins.at[at];
  const struct pl_device *device = &harness->devices.at[pin->device];

  for (uint32_t i = 0; i < pin->wires.n; i++) {
    const struct pl_wire *wire = &harness->wires.at[pin->wires.at[i]];
    if (wire->status != PL_WIRE_DONOR_REMOVED)
      meet(search, pl_wire_other_end(wire, at));
  }
  for (uint32_t i = 0; i < device->fixed.n; i++) {
    struct pl_join join = device->fixed.at[i];
    if (join.a == at)
      meet(search, join.b);
    else if (join.b == at)
      meet(search, join.a);
  }
  if (!pl_kind_is_node(device->kind))
    return;
  for (uint32_t i = 0; i < device->pin_count; i++)
    meet(search, device->first_pin + i);
}

/* Along wires, splices, studs and inline plugs to a controller's cavity (or a gauge) that is
 * neither fed nor grounded there; else to the first ground or fuse on the way; else the pin itself.
 * Breadth first: the nearest of each; a pin is met once. */
static pl_id read_at(struct search *search, pl_id start) {
  const struct pl_harness *harness = search->maker->harness;
  pl_id second = start;

  if (start == PL_NONE)
    return PL_NONE;
  search->turn++;
  search->tail = 0;
  meet(search, start);
  for (uint32_t head = 0; head < search->tail; head++) {
    pl_id at = search->queue[head];
    pl_id device = harness->pins.at[at].device;
    if (is_signal(harness, at))
      return at;
    if (second == start &&
        pl_device_is(harness, device, PL_IS_GROUND | PL_IS_STUD | PL_IS_PROTECTION))
      second = at;
    meet_neighbours(search, at);
  }
  return second;
}

static struct search search_of(const struct pl_sheet_maker *maker) {
  return (struct search){.maker = maker,
                         .seen = PL_NEW_ARRAY(maker->arena, uint32_t, maker->harness->pins.n),
                         .queue = PL_NEW_ARRAY(maker->arena, pl_id, maker->harness->pins.n)};
}

static bool is_module(const struct pl_harness *harness, pl_id pin) {
  if (!is_signal(harness, pin))
    return false;
  return pl_device_is(harness, harness->pins.at[pin].device, PL_IS_MODULE);
}

/* ---- ohms ---- */

struct ohms_sheet {
  struct pl_sheet_maker *maker;
  struct pl_meter *meter;
  struct search search;
};

static void ohms_row(struct ohms_sheet *sheet, pl_id device, const char *what, pl_id a, pl_id b) {
  struct pl_sheet_maker *maker = sheet->maker;
  const struct pl_harness *harness = maker->harness;
  if (a == PL_NONE || b == PL_NONE)
    return;
  if (harness->pins.at[a].wires.n == 0)
    return;
  if (harness->pins.at[b].wires.n == 0)
    return;
  pl_id from = read_at(&sheet->search, a);
  pl_id to = read_at(&sheet->search, b);
  if (!is_module(harness, from) && !is_module(harness, to))
    return;
  if (from == to)
    return;
  struct pl_ohms ohms = pl_meter_ohms(sheet->meter, from, to);
  const char *text = harness->devices.at[device].text;
  if (!(ohms.least > pl_limit_meter.value) && isinf(ohms.most))
    return; /* nobody can tell */
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pin_link(maker, is_module(harness, from) ? from : to);
  pin_link(maker, is_module(harness, from) ? to : from);
  pl_sheet_link(maker, harness->devices.at[device].name, PL_LINK_DEVICE, device);
  if (what[0] != '\0' && text[0] != '\0')
    what = pl_arena_printf(maker->arena, "%s; %s", text, what);
  pl_sheet_text(maker, what[0] != '\0' ? what : text);
  pl_sheet_text(maker, pl_probe_ohms(ohms.ohms, maker->arena));
  pl_sheet_text(maker, pl_probe_ohms_band(ohms, maker->arena));
}

static bool has_join(const pl_joins *joins, struct pl_join join) {
  for (uint32_t k = 0; k < joins->n; k++)
    if (joins->at[k].a == join.a && joins->at[k].b == join.b)
      return true;
  return false;
}

/* The same pair closes in an earlier position too. */
static bool closes_before(const struct pl_device *device, uint32_t position, struct pl_join join) {
  for (uint32_t t = 0; t < position; t++)
    if (has_join(&device->throws.at[t].joins, join))
      return true;
  return false;
}

static void switch_rows(struct ohms_sheet *sheet, pl_id id, const struct pl_device *device) {
  const char *rest = "rest";
  if (device->rest < device->throws.n)
    rest = device->throws.at[device->rest].name;
  const char *what = pl_arena_printf(sheet->maker->arena, "in %s", rest);

  for (uint32_t t = 0; t < device->throws.n; t++) {
    const pl_joins *joins = &device->throws.at[t].joins;
    for (uint32_t j = 0; j < joins->n; j++)
      if (!closes_before(device, t, joins->at[j]))
        ohms_row(sheet, id, what, joins->at[j].a, joins->at[j].b);
  }
}

static void device_rows(struct ohms_sheet *sheet, pl_id id) {
  const struct pl_device *device = &sheet->maker->harness->devices.at[id];
  pl_id first = device->first_pin;
  if (pl_kind_is_load(device->kind))
    ohms_row(sheet,
             id,
             pl_device_inrush(device, NULL) > 1 ? "cold, at rest" : "",
             device->plus,
             device->minus);
  if (pl_kind_is(device->kind, PL_IS_RELAY))
    ohms_row(sheet, id, "coil", device->coil_a, device->coil_b);
  if (pl_kind_is(device->kind, PL_IS_SENSING)) {
    ohms_row(sheet, id, "", device->signal, device->minus);
    ohms_row(sheet, id, "supply side", device->plus, device->signal);
  }
  if (pl_kind_is(device->kind, PL_IS_RESISTANCE) && device->pin_count >= 2)
    ohms_row(sheet, id, "", first, first + 1);
  if (pl_kind_is_but(device->kind, PL_IS_SETTABLE, PL_IS_DISCONNECT))
    switch_rows(sheet, id, device);
}

static void ohms(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  struct ohms_sheet sheet = {.maker = maker, .search = search_of(maker)};
  bool *off = PL_NEW_ARRAY(maker->arena, bool, harness->pins.n);
  for (pl_id d = 0; d < harness->devices.n; d++)
    if (pl_device_is(harness, d, PL_IS_MODULE))
      pl_meter_unplug_device(harness, d, off);
  sheet.meter = pl_meter_new(maker->network, NULL, off, maker->arena);
  pl_sheet_begin(
      maker,
      "readings-ohms",
      "Ohms at the controllers' plugs",
      "Power off, both battery cables off, every controller unplugged, all else connected, fuses "
      "in, switches at rest: what lies beyond the plug, wiring and all. "
      "A reading of a part on the bench says less.");
  struct pl_column *pin = pl_sheet_column(maker, "cavity");
  pin->narrow = pin->key = true;
  pl_sheet_narrow(maker, "to");
  pl_sheet_narrow(maker, "device");
  pl_sheet_column(maker, "what it is");
  pl_sheet_narrow(maker, "solved");
  pl_sheet_column(maker, "good");
  pl_sheet_column(maker, "read")->blank = true;
  for (pl_id d = 0; d < harness->devices.n; d++)
    device_rows(&sheet, d);
  pl_sheet_end(maker);
  pl_meter_release(sheet.meter);
}

/* ---- sensors over what they measure ---- */

/* Rows of a sensor at most. */
enum {
  STEPS = 9
};
static const double temperatures[] = {
    -30,
    -10,
    0,
    20,
    40,
    60,
    80,
    100,
    120}; /* degC, of a thermistor that is told by its beta; our choice */

/* Where its table has points, or where a thermistor is looked at. */
static uint32_t values_of(const struct pl_device *device, double values[STEPS]) {
  uint32_t n = device->points.n;
  uint32_t take = n < STEPS ? n : STEPS;
  if (n < 2) {
    memcpy(values, temperatures, sizeof temperatures);
    return isfinite(device->beta) ? STEPS : 0;
  }
  for (uint32_t i = 0; i < take; i++)
    values[i] = device->points.at[i * (n - 1) / (take - 1)].x;
  return take;
}

static const char *
quantity_text(const struct pl_sheet_maker *maker, enum pl_measure measure, double value) {
  char number[PL_NUMBER_SIZE];
  const char *unit;
  double shown = pl_measure_shown(measure, value, &unit);
  return pl_arena_printf(maker->arena,
                         "%s%s%s",
                         pl_number_print(number, shown, 4),
                         unit[0] == '\0' ? "" : " ",
                         unit);
}

static const char *part_text(const struct pl_sheet_maker *maker,
                             const struct pl_device *device,
                             double reading,
                             const char **good) {
  char number[PL_NUMBER_SIZE];
  double tolerance = pl_device_tolerance(device);
  *good = "";
  if (pl_kind_row(device->kind)->elements == PL_ELEMENTS_SENSOR && device->plus != PL_NONE &&
      device->plus != device->signal)
    return pl_arena_printf(maker->arena,
                           "%s %% of supply",
                           pl_number_print(number, 100 * reading, 3));
  *good = pl_probe_ohms_band(
      (struct pl_ohms){reading * (1 - tolerance), reading, reading * (1 + tolerance)},
      maker->arena);
  return pl_probe_ohms(reading, maker->arena);
}

struct sensors {
  struct pl_sheet_maker *maker;
  struct pl_harness harness; /* every sensor without a quantity measures one of its own there */
  struct pl_network *network;
  struct search search;
  pl_id state;
};

static void own_quantities(struct sensors *sensors) {
  struct pl_harness *harness = &sensors->harness;
  struct pl_arena *arena = sensors->maker->arena;
  const struct pl_harness *of = sensors->maker->harness;
  *harness = *of;
  harness->devices.at = PL_NEW_ARRAY(arena, struct pl_device, of->devices.n);
  if (of->devices.n > 0) /* else there is nothing to copy from */
    memcpy(harness->devices.at, of->devices.at, of->devices.n * sizeof *of->devices.at);
  harness->quantities.at = NULL;
  harness->quantities.n = harness->quantities.cap = 0;
  for (uint32_t i = 0; i < of->quantities.n; i++)
    PL_PUSH(arena, &harness->quantities, of->quantities.at[i]);
  for (pl_id d = 0; d < harness->devices.n; d++) {
    struct pl_device *device = &harness->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_SENSING))
      continue;
    if (device->quantity != PL_NONE)
      continue;
    device->quantity = harness->quantities.n;
    PL_PUSH(arena,
            &harness->quantities,
            ((struct pl_quantity){.name = "", .measure = device->measure, .span = PL_NO_SPAN}));
  }
  sensors->network = pl_network_new(harness, arena);
}

/* The state with this one quantity set. */
static struct pl_solution *solve_at(const struct sensors *sensors, pl_id quantity, double value) {
  const struct pl_state *state = &sensors->harness.states.at[sensors->state];
  struct pl_arena *arena = sensors->maker->arena;
  struct pl_state with = pl_state_with_level(state, quantity, value, arena);
  struct pl_solution *solution = PL_NEW(arena, struct pl_solution);
  pl_network_solve_as(sensors->network, &with, solution, NULL);
  return solution;
}

static void sensor_rows(struct sensors *sensors, pl_id id) {
  struct pl_sheet_maker *maker = sensors->maker;
  const struct pl_harness *harness = &sensors->harness;
  const struct pl_device *device = &harness->devices.at[id];
  double values[STEPS];
  uint32_t n = values_of(device, values);
  if (n == 0 || device->signal == PL_NONE)
    return;
  pl_id seen = read_at(&sensors->search, device->signal);
  enum pl_measure measure = PL_MEASURE_TEMPERATURE;
  if (device->points.n >= 2)
    measure = device->measure;
  pl_sheet_heading(maker,
                   pl_arena_printf(maker->arena,
                                   "%s%s%s",
                                   device->name,
                                   device->text[0] != '\0' ? ": " : "",
                                   device->text),
                   pl_arena_printf(maker->arena,
                                   "Volts at %s, state %s.",
                                   harness->pins.at[seen].full,
                                   harness->states.at[sensors->state].name));
  for (uint32_t i = 0; i < n; i++) {
    const char *good;
    const char *part = part_text(maker, device, pl_device_reading(device, values[i]), &good);
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_link(maker, device->name, PL_LINK_DEVICE, id);
    pl_sheet_text(maker, harness->quantities.at[device->quantity].name);
    pl_sheet_text(maker, quantity_text(maker, measure, values[i]));
    pl_sheet_text(maker, part);
    pl_sheet_text(maker, good);
    pl_sheet_link(maker, harness->pins.at[seen].full, PL_LINK_PIN, seen);
    pl_sheet_text(maker, harness->states.at[sensors->state].name);
    pl_sheet_text(
        maker,
        pl_probe_reading(solve_at(sensors, device->quantity, values[i]), seen, maker->arena));
  }
}

static void sensors_sheet(struct pl_sheet_maker *maker) {
  struct pl_solution rest = {.status = PL_SOLVE_FAILED};
  struct sensors sensors = {.maker = maker, .search = search_of(maker)};
  pl_id on = pl_live_key_on(maker, &(struct pl_live){maker->network, &rest});
  sensors.state = on == PL_NONE ? 0 : on;
  own_quantities(&sensors);
  pl_sheet_begin(
      maker,
      "readings-sensors",
      "Sensors and senders over what they measure",
      "Part: its own ohms, unplugged. Volts: where its signal arrives, everything plugged in, "
      "black lead on the earthed post; a sensor's return lies a little above it.");
  struct pl_column *name = pl_sheet_column(maker, "device");
  name->key = name->csv_only = true;
  pl_sheet_column(maker, "quantity")->csv_only = true;
  pl_sheet_column(maker, "at")->narrow = true;
  pl_sheet_narrow(maker, "part");
  pl_sheet_column(maker, "good");
  pl_sheet_column(maker, "signal at")->csv_only = true;
  pl_sheet_column(maker, "state")->csv_only = true;
  pl_sheet_narrow(maker, "signal V");
  pl_sheet_column(maker, "read")->blank = true;
  for (pl_id d = 0; d < maker->harness->devices.n; d++)
    if (pl_device_is(maker->harness, d, PL_IS_SENSING))
      sensor_rows(&sensors, d);
  pl_sheet_end(maker);
  pl_network_release(sensors.network);
}

void pl_sheet_readings(struct pl_sheet_maker *maker) {
  if (maker->network == NULL)
    return;
  if (maker->solutions == NULL)
    return;
  if (maker->harness->states.n == 0)
    return;
  volts(maker);
  ohms(maker);
  sensors_sheet(maker);
}
