/* First power-up in stages: what goes in next, what must read what, and when to stop. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "sheet/live_inner.h"
#include "sheet/work_inner.h"
#include "standard/limits_data.h"

struct powerup {
  struct pl_sheet_maker *maker;
  struct pl_live dark;        /* controllers unplugged, fuses out, at rest */
  struct pl_live rest, on;    /* fuses in; `on` as `rest` when there is no key */
  pl_id key_on;               /* state; PL_NONE */
  pl_id *rest_fuse, *on_fuse; /* by pin */
  pl_ids rest_order, on_order;
  uint32_t stage, step;
};

static const struct pl_harness *harness_of(const struct powerup *up) {
  return up->maker->harness;
}
static const char *device_name(const struct powerup *up, pl_id device) {
  return harness_of(up)->devices.at[device].name;
}
static const char *pin_name(const struct powerup *up, pl_id pin) {
  return harness_of(up)->pins.at[pin].full;
}

static const char *number(const struct powerup *up, double value, int digits) {
  char text[PL_NUMBER_SIZE];
  return pl_arena_strdup(up->maker->arena, pl_number_print(text, value, digits));
}

static void stage(struct powerup *up, const char *title, const char *note) {
  if (up->step > 0 || up->stage == 0)
    up->stage++;
  up->step = 0;
  pl_sheet_heading(up->maker, pl_arena_printf(up->maker->arena, "%u. %s", up->stage, title), note);
}

static void step(struct powerup *up, const char *what, const char *must) {
  pl_sheet_row(up->maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_text(up->maker, pl_arena_printf(up->maker->arena, "%u.%u", up->stage, ++up->step));
  pl_sheet_text(up->maker, what);
  pl_sheet_text(up->maker, must);
}

/* ---- readings of several pins ---- */

/* "12.6 V at FE1.out, ECM.A1, ECM.A2; 4.98 V at ..": pins that read the same stand together. */
static const char *
volts_at(const struct powerup *up, const struct pl_solution *solution, const pl_ids *pins) {
  struct pl_buffer out;
  bool *done = PL_NEW_ARRAY(up->maker->arena, bool, pins->n);
  pl_buffer_init(&out, up->maker->arena);
  for (uint32_t i = 0; i < pins->n; i++) {
    if (done[i])
      continue;
    const char *reading = pl_probe_reading(solution, pins->at[i], up->maker->arena);
    pl_buffer_printf(&out, "%s%s at %s", out.n > 0 ? "; " : "", reading, pin_name(up, pins->at[i]));
    for (uint32_t k = i + 1; k < pins->n; k++) {
      if (done[k])
        continue;
      if (strcmp(reading, pl_probe_reading(solution, pins->at[k], up->maker->arena)) != 0)
        continue;
      done[k] = true;
      pl_buffer_printf(&out, ", %s", pin_name(up, pins->at[k]));
    }
  }
  if (out.n == 0)
    return "";
  return out.at;
}

static bool is_module_pin(const struct powerup *up, pl_id pin) {
  return pl_device_is(harness_of(up), harness_of(up)->pins.at[pin].device, PL_IS_MODULE);
}

static pl_id load_side(const struct powerup *up, const pl_id *by_pin, pl_id fuse) {
  const struct pl_device *device = &harness_of(up)->devices.at[fuse];
  for (uint32_t i = 0; i < device->pin_count; i++)
    if (by_pin[device->first_pin + i] == fuse)
      return device->first_pin + i;
  return PL_NONE;
}

/* Its own load side, and what it feeds at the unplugged plugs of controllers and at other fuses. */
static void behind(const struct powerup *up,
                   const struct pl_live *live,
                   const pl_id *by_pin,
                   pl_id fuse,
                   pl_ids *pins) {
  pl_id own = load_side(up, by_pin, fuse);
  if (own != PL_NONE)
    PL_PUSH(up->maker->arena, pins, own);
  for (pl_id p = 0; p < harness_of(up)->pins.n; p++) {
    if (p == own)
      continue;
    if (by_pin[p] != fuse)
      continue;
    if (!is_module_pin(up, p))
      continue;
    if (!(harness_of(up)->pins.at[p].wires.n > 0))
      continue;
    if (!pl_live_has_power(up->maker, live, p))
      continue;
    PL_PUSH(up->maker->arena, pins, p);
  }
}

/* ---- the stages ---- */

static void before(struct powerup *up) {
  const struct pl_harness *harness = harness_of(up);
  stage(up,
        "Before anything is connected",
        "A second person stands at the battery disconnect until the engine has stopped again. "
        "Extinguisher in reach. Local codes, the makers' manuals and licensed practice "
        "come first.");
  step(up,
       "Wheels or tracks blocked, attachments down or pinned, gearbox in neutral, parking brake on",
       "nothing can move");
  step(up,
       "Fuel shut off, or the injection disabled as the engine's maker says; belts and fan clear "
       "of hands and leads",
       "the engine cannot start");
  step(up,
       "Sheets of \"Checks before power\" looked through",
       "every row ticked and signed, no finding of danger open");
  for (pl_id d = 0; d < harness->devices.n; d++) {
    if (!pl_device_is(harness, d, PL_IS_STORE))
      continue;
    if (up->dark.solution->status != PL_SOLVED)
      continue;
    step(up,
         pl_arena_printf(up->maker->arena,
                         "%s: meter across the posts, cables off",
                         harness->devices.at[d].name),
         pl_arena_printf(up->maker->arena,
                         "%s V; a flat battery makes every figure below too low",
                         number(up, fabs(up->dark.solution->device_volts[d]), 3)));
  }
}

static double battery_amps(const struct powerup *up, const struct pl_live *live) {
  double amps = 0;
  for (pl_id d = 0; d < harness_of(up)->devices.n; d++) {
    if (!pl_device_is(harness_of(up), d, PL_IS_STORE))
      continue;
    if (live->solution->status != PL_SOLVED)
      continue;
    amps = fmax(amps, fabs(live->solution->device_amps[d]));
  }
  return amps;
}

static const char *lamp_text(const struct powerup *up, double amps) {
  const double seen = 0.05; /* amps that make no bulb glow; from memory */
  if (!(amps > seen))
    return "dark";
  return pl_arena_printf(up->maker->arena, "glows: %s A flow", number(up, amps, 2));
}

static void through_a_lamp(struct powerup *up) {
  struct pl_arena *arena = up->maker->arena;
  double volts = harness_of(up)->machine.volts;
  pl_ids feeds = {0};
  stage(up,
        "Battery, through a lamp",
        pl_arena_printf(
            arena,
            "Every fuse out, every controller unplugged, key off. A %s V %s W bulb in series lets "
            "no more than %s A through. Bright: a short. Stop, cable off, find it.",
            number(up, volts, 3),
            number(up, pl_limit_test_lamp.value, 3),
            number(up, pl_limit_test_lamp.value / volts, 2)));
  step(up,
       "Live cable on its post through the bulb, the earthed cable last, disconnect closed",
       pl_arena_printf(arena, "bulb %s", lamp_text(up, battery_amps(up, &up->dark))));
  step(up,
       "Disconnect open: bulb out, cable on its post. Disconnect closed",
       "no spark, nothing warm, no smell");
  for (pl_id d = 0; d < harness_of(up)->devices.n; d++) {
    const struct pl_device *device = &harness_of(up)->devices.at[d];
    for (uint32_t i = 0; pl_kind_is_protection(device->kind) && i < device->pin_count; i++) {
      if (!(harness_of(up)->pins.at[device->first_pin + i].wires.n > 0))
        continue;
      if (!pl_live_has_power(up->maker, &up->dark, device->first_pin + i))
        continue;
      PL_PUSH(arena, &feeds, device->first_pin + i);
    }
  }
  if (feeds.n > 0)
    step(up,
         "Meter at the supply side of the fuses, black lead on the earthed post",
         volts_at(up, up->dark.solution, &feeds));
}

static const char *fuse_text(const struct powerup *up, pl_id fuse) {
  const struct pl_device *device = &harness_of(up)->devices.at[fuse];
  return pl_arena_printf(up->maker->arena,
                         "%s%s%s%s, %s A",
                         device->name,
                         device->text[0] != '\0' ? " (" : "",
                         device->text,
                         device->text[0] != '\0' ? ")" : "",
                         isfinite(device->rating) ? number(up, device->rating, 3)
                                                  : "rating not said:");
}

static void fuse_rows(struct powerup *up,
                      const struct pl_live *live,
                      const pl_id *by_pin,
                      const pl_ids *order,
                      const bool *in) {
  for (uint32_t i = 0; i < order->n; i++) {
    pl_ids pins = {0};
    if (in != NULL && in[order->at[i]])
      continue;
    behind(up, live, by_pin, order->at[i], &pins);
    step(up,
         fuse_text(up, order->at[i]),
         pl_arena_printf(up->maker->arena,
                         "bulb %s; %s",
                         lamp_text(up, fabs(live->solution->device_amps[order->at[i]])),
                         volts_at(up, live->solution, &pins)));
  }
}

static void fuses(struct powerup *up) {
  bool *in = PL_NEW_ARRAY(up->maker->arena, bool, harness_of(up)->devices.n);
  stage(up,
        "One fuse at a time, key off",
        "Disconnect open, bulb in the fuse's place, disconnect closed, look; then a 1 to 3 A fuse; "
        "then its own and no larger. In this order. Stop when the bulb is brighter than "
        "said, a fuse opens, or a pin has volts that no row names: that fuse out again.");
  fuse_rows(up, &up->rest, up->rest_fuse, &up->rest_order, NULL);
  for (uint32_t i = 0; i < up->rest_order.n; i++)
    in[up->rest_order.at[i]] = true;
  if (up->key_on == PL_NONE)
    return;
  stage(up,
        "Key on, controllers still unplugged",
        pl_arena_printf(up->maker->arena,
                        "Switches as in the state %s. The same with the fuses that only the key "
                        "feeds. This is the stage that saves the controllers.",
                        harness_of(up)->states.at[up->key_on].name));
  fuse_rows(up, &up->on, up->on_fuse, &up->on_order, in);
  step(up,
       "Every wired cavity of every controller's plug, by the sheet \"At the unplugged "
       "controllers\"",
       "each as said, key off and key on");
}

static bool is_keyed(const struct powerup *up, pl_id pin) {
  if (harness_of(up)->pins.at[pin].wires.n == 0)
    return false;
  if (!pl_live_has_power(up->maker, &up->on, pin))
    return false;
  double volts = up->rest.solution->pin_volts[pin];
  return isnan(volts) || fabs(volts) < pl_limit_dead.value;
}

static void key_off_again(struct powerup *up) {
  struct pl_buffer out;
  uint32_t n = 0;
  pl_buffer_init(&out, up->maker->arena);
  for (pl_id p = 0; p < harness_of(up)->pins.n; p++) {
    const struct pl_device *device = &harness_of(up)->devices.at[harness_of(up)->pins.at[p].device];
    bool told = pl_kind_is(device->kind, PL_IS_PROTECTION | PL_IS_STUD) ||
                harness_of(up)->pins.at[p].role == PL_ROLE_KEYED_INPUT;
    if (told && is_keyed(up, p))
      pl_buffer_printf(&out, "%s%s", n++ > 0 ? ", " : "", pin_name(up, p));
  }
  stage(up,
        "Key off again",
        "Every keyed point must die, or something feeds it from behind and the engine may run on. "
        "Stop and find it before a controller is plugged in.");
  if (n > 0)
    step(up,
         pl_arena_printf(up->maker->arena, "Meter at %s", out.at),
         pl_arena_printf(up->maker->arena,
                         "under %s V at each",
                         number(up, pl_limit_dead.value, 2)));
}

static void controllers(struct powerup *up) {
  const struct pl_harness *harness = harness_of(up);
  pl_id state = 0;
  if (up->key_on != PL_NONE)
    state = up->key_on;
  stage(up,
        "Controllers, one at a time",
        "Key off and disconnect open for each plug. Then disconnect closed, key on. Stop when a "
        "fuse opens, a case gets warm or the supply drops.");
  for (pl_id d = 0; d < harness->devices.n; d++) {
    pl_ids pins = {0};
    const struct pl_device *device = &harness->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_MODULE))
      continue;
    for (pl_id p = device->first_pin; p < device->first_pin + device->pin_count; p++) {
      enum pl_role role = harness->pins.at[p].role;
      if (harness->pins.at[p].wires.n > 0 &&
          (role == PL_ROLE_BATTERY_FEED || role == PL_ROLE_GROUND || role == PL_ROLE_KEYED_INPUT ||
           role == PL_ROLE_SENSOR_SUPPLY))
        PL_PUSH(up->maker->arena, &pins, p);
    }
    step(up,
         pl_arena_printf(up->maker->arena,
                         "Plug in %s%s%s, key on; back-probe, never pierce",
                         device->name,
                         device->text[0] != '\0' ? ", " : "",
                         device->text),
         harness->states.n > 0 && up->maker->solutions[state].status == PL_SOLVED
             ? volts_at(up, &up->maker->solutions[state], &pins)
             : "lamps as its maker says");
  }
}

/* ---- interlocks, cranking, running ---- */

static const char *clause_text(const struct powerup *up,
                               const struct pl_require *require,
                               uint32_t other,
                               uint32_t position) {
  struct pl_buffer out;
  pl_buffer_init(&out, up->maker->arena);
  for (uint32_t i = 0; i < require->clauses.n; i++) {
    const struct pl_device *device = &harness_of(up)->devices.at[require->clauses.at[i].device];
    uint32_t at = position;
    if (i != other)
      at = require->clauses.at[i].position;
    pl_buffer_printf(&out,
                     "%s%s in %s",
                     out.n > 0 ? ", " : "",
                     device->name,
                     at < device->throws.n ? device->throws.at[at].name : "?");
  }
  return out.at;
}

/* `unless`: with each clause broken in turn, in every other position; `when`: as it says. */
static void require_rows(struct powerup *up, const struct pl_require *require) {
  const char *subject = device_name(up, require->subject);
  const char *must = require->on ? "comes on" : "stays off";
  if (!require->unless)
    step(up,
         clause_text(up, require, PL_NONE, 0),
         pl_arena_printf(up->maker->arena, "%s %s", subject, must));
  for (uint32_t i = 0; require->unless && i < require->clauses.n; i++) {
    const struct pl_device *device = &harness_of(up)->devices.at[require->clauses.at[i].device];
    for (uint32_t t = 0; t < device->throws.n; t++)
      if (t != require->clauses.at[i].position)
        step(up,
             pl_arena_printf(up->maker->arena,
                             "%s; all else set for it to come on",
                             clause_text(up, require, i, t)),
             pl_arena_printf(up->maker->arena, "%s %s", subject, must));
  }
}

static void interlocks(struct powerup *up) {
  stage(up,
        "Interlocks, fuel still off",
        "From the seat, brake on, nobody near belts, wheels or attachments. Never bypass an "
        "interlock, not even to test. One that fails: power off, nobody starts the engine.");
  for (uint32_t i = 0; i < harness_of(up)->requires.n; i++)
    require_rows(up, &harness_of(up)->requires.at[i]);
}

static void add_supplies(const struct powerup *up, pl_ids *pins) {
  const struct pl_harness *harness = harness_of(up);
  for (pl_id p = 0; p < harness->pins.n; p++) {
    const struct pl_pin *pin = &harness->pins.at[p];
    enum pl_kind kind = harness->devices.at[pin->device].kind;
    bool feed = pl_kind_is(kind, PL_IS_MODULE) && pin->role == PL_ROLE_BATTERY_FEED;
    bool post = pl_kind_is(kind, PL_IS_STORE) && p != harness->devices.at[pin->device].minus;
    if ((feed || post) && pin->wires.n > 0)
      PL_PUSH(up->maker->arena, pins, p);
  }
}

static void states_with(struct powerup *up, enum pl_engine engine, const char *what) {
  pl_ids pins = {0};
  add_supplies(up, &pins);
  for (pl_id s = 0; s < harness_of(up)->states.n; s++) {
    const struct pl_state *state = &harness_of(up)->states.at[s];
    if (state->engine != engine)
      continue;
    if (up->maker->solutions[s].status != PL_SOLVED)
      continue;
    step(up,
         pl_arena_printf(up->maker->arena,
                         "%s: %s%s%s",
                         what,
                         state->name,
                         state->title[0] != '\0' ? ", " : "",
                         state->title),
         volts_at(up, &up->maker->solutions[s], &pins));
  }
}

static bool has_any(const struct powerup *up, pl_properties any) {
  for (pl_id d = 0; d < harness_of(up)->devices.n; d++)
    if (pl_device_is(harness_of(up), d, any))
      return true;
  return false;
}

static void running(struct powerup *up) {
  bool starter = has_any(up, PL_IS_STARTER);
  stage(up,
        "Crank, fuel still off",
        "At most 30 s at a time, then let the starter cool. Watch the lowest volts: a controller "
        "that starts over while cranking has too little.");
  states_with(up, PL_ENGINE_CRANKING, "Crank");
  stage(up,
        "First start",
        "Fuel on, from the seat, neutral, brake on. Someone keeps a hand on the fuel or air "
        "shut-off. Stop at once on smoke, a warning lamp that stays, or no oil pressure.");
  if (starter) {
    step(up, "Start; stop by the key", "stops at once, and stays stopped");
    step(up, "Start; stop by the emergency stop", "stops at once");
    step(up, "Charge lamp", "on with the key, out when the engine runs");
  }
  states_with(up, PL_ENGINE_IDLE, "Running");
  stage(up,
        "Under load",
        "Feel splices, plugs and fuses: none may be too hot to hold. Then by the sheets of "
        "readings, pin by pin where something is off.");
  states_with(up, PL_ENGINE_SPEED, "Running");
  for (pl_id s = 0; starter && s < harness_of(up)->states.n && s < 1; s++) {
    if (harness_of(up)->states.at[s].engine != PL_ENGINE_STOPPED)
      continue;
    if (up->maker->solutions[s].status != PL_SOLVED)
      continue;
    step(up,
         pl_arena_printf(
             up->maker->arena,
             "Engine stopped, state %s, controllers asleep: ammeter in the earthed cable",
             harness_of(up)->states.at[s].name),
         pl_arena_printf(
             up->maker->arena,
             "%s mA",
             number(up,
                    1000 * battery_amps(
                               up,
                               &(struct pl_live){NULL,
                                                 (struct pl_solution *)&up->maker->solutions[s]}),
                    2)));
  }
  stage(up, "Wrap, and once more", "A plug half home often shows only after the bundle was moved.");
  step(up,
       "Close the last wrappings and clips; then \"Key off again\" and \"Interlocks\" once more",
       "as before");
  step(up, "Drawings, this book and spare fuses into a pouch in the machine", "they are there");
}

static void stages_sheet(struct powerup *up) {
  struct pl_sheet_maker *maker = up->maker;
  pl_sheet_begin(
      maker,
      "power-stages",
      "First power-up, stage by stage",
      "Volts are solved with a battery as described, black lead on its earthed post; half a volt "
      "lower throughout is a tired battery. One row after the other: a row that is not as it "
      "must be is mended before the next.");
  maker->sheet.tick = true;
  struct pl_column *name = pl_sheet_column(maker, "step");
  name->narrow = name->key = true;
  pl_sheet_column(maker, "do");
  pl_sheet_column(maker, "must be");
  pl_sheet_column(maker, "seen")->blank = true;
  before(up);
  through_a_lamp(up);
  fuses(up);
  if (up->key_on != PL_NONE)
    key_off_again(up);
  controllers(up);
  interlocks(up);
  running(up);
  pl_sheet_end(maker);
}

/* ---- cavity by cavity ---- */

static void plugs_sheet(struct powerup *up) {
  struct pl_sheet_maker *maker = up->maker;
  const struct pl_harness *harness = maker->harness;
  pl_id connector = PL_NONE;
  pl_sheet_begin(maker,
                 "power-plugs",
                 "At the unplugged controllers",
                 "All fuses in, controllers unplugged, red lead in the cavity, black lead on the "
                 "earthed post. open: nothing joins it; a meter drifts there.");
  struct pl_column *pin = pl_sheet_column(maker, "cavity");
  pin->narrow = pin->key = true;
  pl_sheet_column(maker, "wire")->narrow = true;
  pl_sheet_column(maker, "function");
  pl_sheet_narrow(maker, "key off");
  pl_sheet_column(maker, "off read")->blank = true;
  if (up->key_on != PL_NONE) {
    pl_sheet_narrow(maker, "key on");
    pl_sheet_column(maker, "on read")->blank = true;
  }
  for (pl_id p = 0; p < harness->pins.n; p++) {
    const struct pl_pin *one = &harness->pins.at[p];
    if (!is_module_pin(up, p))
      continue;
    if (one->wires.n == 0)
      continue;
    if (one->connector != connector && one->connector != PL_NONE) {
      const struct pl_connector *c = &harness->connectors.at[one->connector];
      pl_sheet_heading(maker,
                       pl_arena_printf(maker->arena,
                                       "%s%s%s",
                                       device_name(up, c->device),
                                       c->name[0] != '\0' ? ", connector " : "",
                                       c->name),
                       "");
    }
    connector = one->connector;
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_link(maker, one->full, PL_LINK_PIN, p);
    pl_sheet_text(maker, pl_work_wires(maker, &one->wires));
    pl_sheet_text(maker, one->text);
    pl_sheet_text(maker, pl_probe_reading(up->rest.solution, p, maker->arena));
    pl_sheet_text(maker, "");
    if (up->key_on != PL_NONE)
      pl_sheet_text(maker, pl_probe_reading(up->on.solution, p, maker->arena));
  }
  pl_sheet_end(maker);
}

void pl_sheet_powerup(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  struct powerup up = {.maker = maker};
  if (maker->network == NULL)
    return;
  if (maker->solutions == NULL)
    return;
  if (!harness->grounded)
    return;
  bool *out = PL_NEW_ARRAY(maker->arena, bool, harness->devices.n),
       *dark = PL_NEW_ARRAY(maker->arena, bool, harness->devices.n);
  for (pl_id d = 0; d < harness->devices.n; d++) {
    out[d] = pl_device_is(harness, d, PL_IS_MODULE);
    dark[d] = out[d] || pl_kind_is_protection(harness->devices.at[d].kind);
  }
  up.dark = pl_live_solve(maker, dark, PL_NONE);
  up.rest = pl_live_solve(maker, out, PL_NONE);
  up.key_on = pl_live_key_on(maker, &up.rest);
  if (up.key_on == PL_NONE)
    up.on = up.rest;
  else
    up.on = pl_live_solve(maker, out, up.key_on);
  up.rest_fuse = pl_live_fuses(maker, &up.rest, &up.rest_order);
  up.on_fuse = pl_live_fuses(maker, &up.on, &up.on_order);
  stages_sheet(&up);
  plugs_sheet(&up);
  pl_live_release(&up.dark);
  pl_live_release(&up.rest);
  if (up.key_on != PL_NONE)
    pl_live_release(&up.on);
}
