/* What a state says beyond switches: quantities, battery, weather, motors held fast, what was set
 * or excited before; loads of steady power, and wires that warm with their own current.  Every
 * expected figure is worked out by hand beside its check. */
#include <math.h>

#include "network_kit.h"
#include "standard/defaults.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

static void start(struct kit *kit, double emf, double ohms) {
  kit_start(kit);
  kit_battery(kit, "BAT", emf, ohms);
}

static pl_id
load(struct kit *kit, enum pl_kind kind, enum pl_load_law law, double amps, double needs) {
  struct pl_device d = pl_device_blank();
  d.law = law;
  d.load_volts = 12;
  d.load_amps = amps;
  d.need_min = needs;
  return kit_device(kit, d, kind, "M", "+ -");
}

static void between_posts(struct kit *kit, const char *plus, const char *minus) {
  kit_no_contacts(kit);
  kit_wire(kit, "BAT.+", plus, 0);
  kit_wire(kit, minus, "BAT.-", 0);
}

/* 60 W behind 12 V and r: V (12 - V)/r = 60, so V = 6 + sqrt(36 - 60 r). */
static void steady_power(void) {
  static const struct {
    double ohms, needs, volts;
    const char *what;
  } rows[] = {
      {0.01, NAN, 11.9497905, "6 + sqrt(35.4) = 11.94979"},
      {0.5, NAN, 8.4494897, "6 + sqrt(6) = 8.44949"},
      {0.59, NAN, 6.7745967, "6 + sqrt(0.6) = 6.77460: hardly any more to be had"},
      {0.61,
       NAN,
       5.9504132,
       "more than there is: below 6 V a resistor of 6 V x 6 V/60 W = 0.6 ohm, 12 x 0.6/1.21"},
      {0.5,
       10,
       9.2307692,
       "8.45 V is less than it needs: a resistor of 10 V x 10 V/60 W, 12 x 1.6667/2.1667"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct kit kit;
    start(&kit, 12, rows[i].ohms);
    load(&kit, PL_KIND_LOAD, PL_LAW_POWER, 5, rows[i].needs);
    between_posts(&kit, "M.+", "M.-");
    kit_solve(&kit, PL_ENGINE_STOPPED);
    PL_CHECK_INT(kit.solution.status, PL_SOLVED, rows[i].what);
    PL_CHECK_CLOSE(kit_device_volts(&kit, "M"),
                   rows[i].volts,
                   3e-5,
                   rows[i].what); /* the wires' 2 microohm */
    if (i < 3)
      PL_CHECK_CLOSE(kit_device_volts(&kit, "M") * kit_amps(&kit, "M"),
                     60,
                     1e-9,
                     "its watts, exactly");
    kit_end(&kit);
  }
}

static void steady_power_without_feed(void) {
  struct kit kit;
  start(&kit, 12, 0.01);
  load(&kit, PL_KIND_LOAD, PL_LAW_POWER, 5, NAN);
  kit_resistor(&kit, "R", 10);
  between_posts(&kit, "R.1", "R.2");
  kit_wire(&kit, "M.-", "BAT.-", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "one end only");
  PL_CHECK_CLOSE(kit_volts(&kit, "M.+") + 1, 1, 1e-12, "an open feed reads 0 V through the load");
  PL_CHECK(kit_amps(&kit, "M") == 0, "and nothing flows");
  kit_end(&kit);
}

/* Behind an open switch, the first held as a resistor of 28.8 ohm, the second's line of -25.8 ohm:
 * that answer of 217 V is none. */
static void two_powers_without_feed(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  start(&kit, 12.6, 0.01);
  kit_device(&kit, d, PL_KIND_SWITCH, "S1", "in out");
  kit_throw(&kit, "S1", "off", NULL, NULL);
  d.law = PL_LAW_POWER;
  d.load_volts = 12;
  d.load_amps = 1.58354 / 12;
  d.need_min = sqrt(28.77 * 1.58354);
  kit_device(&kit, d, PL_KIND_LOAD, "M1", "+ -");
  d.load_amps = 5.58394 / 12;
  d.need_min = sqrt(6.344 * 5.58394);
  kit_device(&kit, d, PL_KIND_LOAD, "M2", "+ -");
  between_posts(&kit, "S1.in", "M1.-");
  kit_wire(&kit, "S1.out", "M1.+", 0.003);
  kit_wire(&kit, "S1.out", "M2.+", 0.137);
  kit_wire(&kit, "M2.-", "BAT.-", 0.1);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "two loads of steady power on a dead feed");
  PL_CHECK(fabs(kit_volts(&kit, "M2.+")) < 1e-9, "read 0 V");
  kit_end(&kit);
}

/* ---- warm wires ---- */

/* 14 AWG, 125 degC column of 33 CFR 183.425 Table 5: 40 A.  1 ohm of copper at 20 degC. */
static pl_id sized_wire(struct kit *kit, const char *from, const char *to, double ohms) {
  pl_id id = kit_wire(kit, from, to, ohms);
  struct pl_wire *wire = &kit->harness.wires.at[id];
  wire->area = pl_awg_area_mm2(14);
  wire->metric = false;
  wire->insulation = pl_insulation_find("GXL");
  wire->hot = 30;
  return id;
}

static void steady_wire(struct kit *kit, double amps) {
  start(kit, 24, 0.001);
  load(kit, PL_KIND_LOAD, PL_LAW_CURRENT, amps, NAN);
  sized_wire(kit, "BAT.+", "M.+", 0.1);
  kit_wire(kit, "M.-", "BAT.-", 0);
  kit_no_contacts(kit);
}

static void warm_wire(void) {
  struct kit kit;
  steady_wire(&kit, 10);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit.solution.wire_temperature[0], 35.9375, 1e-9, "30 + (10/40)^2 x 95");
  PL_CHECK_CLOSE(kit.solution.wire_ohms[0],
                 0.1 * (234.5 + 35.9375) / 254.5,
                 1e-9,
                 "AC 43.13-1B's formula at 35.94 degC");
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  state.ambient = -18;
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit.solution.wire_temperature[0], -12.0625, 1e-9, "in -18 degC");
  state.lasts = 0.5;
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit.solution.wire_temperature[0],
                 pl_copper_heat(pl_awg_area_mm2(14), 10, 0.5, -18),
                 1e-9,
                 "half a second: ICEA P-32-382");
  PL_CHECK(kit.solution.wire_temperature[0] < -17.5, "which is hardly warm");
  state.lasts = 3600;
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit.solution.wire_temperature[0], -12.0625, 1e-9, "an hour: as for good");
  kit_end(&kit);
}

/* A resistor behind hot copper: its own current decides how hot.  The answer must agree with both
 * laws at once. */
static void temperature_and_current_agree(void) {
  static const double loads[] = {2, 0.5, 0.1, 0.02, 0.001};
  for (size_t i = 0; i < sizeof loads / sizeof loads[0]; i++) {
    struct kit kit;
    start(&kit, 12, 0.001);
    kit_resistor(&kit, "R", loads[i]);
    sized_wire(&kit, "BAT.+", "R.1", 0.05);
    kit_wire(&kit, "R.2", "BAT.-", 0);
    kit_no_contacts(&kit);
    kit_solve(&kit, PL_ENGINE_STOPPED);
    PL_CHECK_INT(kit.solution.status, PL_SOLVED, "hot");
    double amps = kit_amps(&kit, "R");
    double rise = fmin(95 * amps * amps / 1600, 1055);
    double hot = 30 + rise;
    PL_CHECK_CLOSE(kit.solution.wire_temperature[0], hot, 1e-7, "temperature after the current");
    PL_CHECK_CLOSE(amps,
                   12 / (0.001 + loads[i] + 2.01e-6 + 0.05 * (234.5 + hot) / 254.5),
                   2e-5,
                   "current after the temperature");
    kit_end(&kit);
  }
}

/* ---- quantities ---- */

static void at_point(struct kit *kit, struct pl_device *d, double x, double ohms) {
  struct pl_point point = {x, ohms};
  PL_PUSH(&kit->arena, &d->points, point);
}

static void set_level(struct kit *kit, struct pl_state *state, pl_id quantity, double value) {
  struct pl_level level = {.quantity = quantity, .value = value};
  PL_PUSH(&kit->arena, &state->levels, level);
}

/* 2500 ohm at 20 degC, 1152 at 40, 176 at 100: common practice, seen in a public manual. */
static struct pl_device table(struct kit *kit) {
  struct pl_device d = pl_device_blank();
  d.kind = PL_KIND_SENSOR;
  d.measure = PL_MEASURE_TEMPERATURE;
  d.quantity = 0;
  at_point(kit, &d, 20, 2500);
  at_point(kit, &d, 40, 1152);
  at_point(kit, &d, 100, 176);
  return d;
}

static void readings(void) {
  struct kit kit;
  start(&kit, 12, 0.01);
  struct pl_device d = table(&kit);
  PL_CHECK_CLOSE(pl_device_reading(&d, 30),
                 sqrt(2500.0 * 1152),
                 1e-12,
                 "half way between two temperatures: the geometric mean");
  PL_CHECK_CLOSE(pl_device_reading(&d, 40), 1152, 1e-12, "at a point");
  PL_CHECK_CLOSE(pl_device_reading(&d, -40), 2500, 1e-12, "beyond its end");
  PL_CHECK_CLOSE(pl_device_reading(&d, 150), 176, 1e-12, "beyond its other end");
  PL_CHECK_CLOSE(pl_device_quantity_at(&d, sqrt(2500.0 * 1152)), 30, 1e-12, "back again");
  PL_CHECK_CLOSE(pl_device_quantity_at(&d, INFINITY), 20, 1e-12, "open");
  PL_CHECK_CLOSE(pl_device_quantity_at(&d, 0), 100, 1e-12, "shorted");
  d.measure = PL_MEASURE_PRESSURE;
  PL_CHECK_CLOSE(pl_device_reading(&d, 30), 1826, 1e-12, "other quantities: the mean");
  d = pl_device_blank();
  d.beta = 3450, d.beta_ohms = 2252, d.beta_at = 25;
  PL_CHECK_CLOSE(pl_device_reading(&d, 25), 2252, 1e-12, "where it is anchored");
  PL_CHECK_CLOSE(pl_device_reading(&d, 80), 371.5, 1e-3, "2252 exp(3450 (1/353.15 - 1/298.15))");
  PL_CHECK_CLOSE(pl_device_quantity_at(&d, pl_device_reading(&d, -30)), -30, 1e-9, "back again");
  d = pl_device_blank();
  PL_CHECK(isnan(pl_device_reading(&d, 25)) && isnan(pl_device_middle(&d)),
           "neither table nor beta");
  kit_end(&kit);
}

static void sensors_follow(void) {
  struct kit kit;
  start(&kit, 12, 0.001);
  kit_device(&kit, table(&kit), PL_KIND_SENSOR, "B1", "signal return");
  struct pl_device d = pl_device_blank();
  d.quantity = 1, d.ohms = 500, d.measure = PL_MEASURE_PRESSURE, d.plus = 0;
  at_point(&kit, &d, 0, 0.1);
  at_point(&kit, &d, 1000, 0.9);
  d.plus = PL_NONE;
  kit_device(&kit, d, PL_KIND_SENSOR, "B2", "signal return supply");
  kit_at(&kit, "B2")->plus = kit_pin(&kit, "B2.supply");
  between_posts(&kit, "B1.signal", "B1.return");
  kit_wire(&kit, "BAT.+", "B2.supply", 0);
  kit_wire(&kit, "B2.return", "BAT.-", 0);
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit_amps(&kit, "B1"),
                 12 / (1152 * pow(176.0 / 1152, 1.0 / 3)),
                 1e-5,
                 "nothing said: the middle of its table, 60 degC");
  PL_CHECK_CLOSE(kit_volts(&kit, "B2.signal"),
                 6,
                 1e-5,
                 "nothing said: the middle of its table, half its supply");
  set_level(&kit, &state, 0, 40);
  set_level(&kit, &state, 1, 250);
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit_amps(&kit, "B1"), 12 / 1152.0, 1e-5, "40 degC");
  PL_CHECK_CLOSE(kit_volts(&kit, "B2.signal"),
                 12 * 0.3,
                 1e-5,
                 "a quarter of the way from 10 % to 90 %");
  kit_end(&kit);
}

static void threshold_switch(void) {
  struct kit kit;
  start(&kit, 12, 0.001);
  kit_device(&kit, pl_device_blank(), PL_KIND_SWITCH, "B4", "1 2");
  kit_resistor(&kit, "R", 12);
  kit_throw(&kit, "B4", "closed", "B4.1", "B4.2");
  kit_throw(&kit, "B4", "open", NULL, NULL);
  struct pl_threshold threshold = {.position = 1, .above = true, .at = 50};
  kit_at(&kit, "B4")->quantity = 0;
  PL_PUSH(&kit.arena, &kit_at(&kit, "B4")->thresholds, threshold);
  between_posts(&kit, "B4.1", "R.2");
  kit_wire(&kit, "B4.2", "R.1", 0);
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  kit_solve_as(&kit, &state);
  PL_CHECK(kit_amps(&kit, "R") > 0.99, "nothing said: at rest, closed");
  set_level(&kit, &state, 0, 50);
  kit_solve_as(&kit, &state);
  PL_CHECK(kit_amps(&kit, "R") > 0.99, "at its threshold it has not moved");
  state.levels.n = 0;
  set_level(&kit, &state, 0, 50.1);
  kit_solve_as(&kit, &state);
  PL_CHECK(kit_amps(&kit, "R") == 0, "above: open");
  kit_set(&kit, &state, "B4", 0);
  kit_solve_as(&kit, &state);
  PL_CHECK(kit_amps(&kit, "R") > 0.99, "what the state says of it wins");
  kit_end(&kit);
}

/* ---- gauges ---- */

static struct kit gauge_kit(double sender, double lift) {
  struct kit kit;
  start(&kit, 12, 1e-6);
  struct pl_device d = pl_device_blank();
  d.ohms = 150;
  d.measure = PL_MEASURE_NUMBER;
  at_point(&kit, &d, 0, 240);
  at_point(&kit, &d, 50, 103);
  at_point(&kit, &d, 100, 33);
  kit_device(&kit, d, PL_KIND_GAUGE, "P", "+ - S");
  kit_resistor(&kit, "B", sender);
  kit_resistor(&kit, "G", lift > 0 ? lift : 1e-6);
  between_posts(&kit, "P.+", "P.-");
  kit_wire(&kit, "P.S", "B.1", 0);
  kit_wire(&kit, "B.2", "G.1", 0);
  kit_wire(&kit, "G.2", "BAT.-", 0);
  return kit;
}

static void gauges(void) {
  static const struct {
    double sender, lift, shows;
    const char *what;
  } rows[] = {
      {103, 0, 50, "a sender of its own family"},
      {68, 0, 75, "half way from 103 to 33 ohm"},
      {10, 0, 100, "a sender of another family at its empty end: the needle stands at full"},
      {180, 0, (240 - 180) / (240 - 103.0) * 50, "and at its full end"},
      {103, 20, 50 - 20 / 137.0 * 50, "20 ohm of bad ground: (240 - 123)/137 of half the scale"},
      {2e8, 0, 0, "open"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct kit kit = gauge_kit(rows[i].sender, rows[i].lift);
    kit_solve(&kit, PL_ENGINE_STOPPED);
    double shows =
        pl_gauge_reading(&kit.harness, &kit.solution, pl_harness_find_device(&kit.harness, "P"));
    PL_CHECK(fabs(shows - rows[i].shows) < 1e-3, rows[i].what);
    kit_end(&kit);
  }
  struct kit kit = gauge_kit(103, 0);
  kit_at(&kit, "BAT")->emf = 5;
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK(
      isnan(
          pl_gauge_reading(&kit.harness, &kit.solution, pl_harness_find_device(&kit.harness, "P"))),
      "5 V: not fed");
  PL_CHECK(
      isnan(pl_gauge_ohms(&kit.harness, &kit.solution, pl_harness_find_device(&kit.harness, "B"))),
      "no gauge");
  kit_end(&kit);
}

/* ---- battery ---- */

/* 24 V, 600 A cold-cranking, 8 mohm stated: cold (12.6 - 7.2)/600 for each 12 V, 18 mohm in all
 * (from the test of SAE J537). */
static void battery_condition(void) {
  static const struct {
    double volts, worn, ambient, emf, ohms;
    const char *what;
  } rows[] = {{NAN, NAN, NAN, 25.2, 0.008, "as described"},
              {12.2, NAN, NAN, 24.4, 0.008, "12.2 V for each 12 V"},
              {NAN, 1.5, NAN, 25.2, 0.012, "worn 150 %"},
              {NAN, NAN, -18, 25.2, 0.018, "cold: by its cold-cranking amps"},
              {NAN, NAN, -40, 25.2, 0.018, "colder still: nothing is known, the same"},
              {NAN, NAN, 3.5, 25.2, 0.013, "half way between -18 and 25 degC"},
              {NAN, NAN, 40, 25.2, 0.008, "warm: as stated"},
              {12, 2, -18, 24, 0.036, "flat, worn and cold"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct kit kit;
    kit_start(&kit);
    kit.harness.machine.volts = 24;
    kit_battery(&kit, "BAT", 25.2, 0.008);
    kit_at(&kit, "BAT")->cca = 600;
    kit_resistor(&kit, "R", 0.1);
    between_posts(&kit, "R.1", "R.2");
    struct pl_state state = kit_state(PL_ENGINE_STOPPED);
    state.battery_volts = rows[i].volts, state.battery_worn = rows[i].worn,
    state.ambient = rows[i].ambient;
    kit_solve_as(&kit, &state);
    PL_CHECK_CLOSE(kit_amps(&kit, "R"), rows[i].emf / (0.1 + rows[i].ohms), 3e-5, rows[i].what);
    kit_end(&kit);
  }
}

/* ---- what was before ---- */

static void latching(void) {
  static const struct {
    bool was, set, reset, is;
    const char *what;
  } rows[] = {{false, false, false, false, "nothing: as it was, reset"},
              {true, false, false, true, "nothing: as it was, set"},
              {false, true, false, true, "set"},
              {true, false, true, false, "reset"},
              {false, true, true, false, "both: as it was, reset"},
              {true, true, true, true, "both: as it was, set"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct kit kit;
    start(&kit, 12, 0.001);
    struct pl_device d = pl_device_blank();
    d.latching = true, d.coil_ohms = 60, d.pull_in = 8;
    pl_id relay = kit_device(&kit, d, PL_KIND_RELAY, "K5", "30 85 86 87 88");
    kit_at(&kit, "K5")->reset_a = kit_pin(&kit, "K5.88");
    kit_at(&kit, "K5")->reset_b = kit_pin(&kit, "K5.85");
    kit_join(&kit, &kit_at(&kit, "K5")->make, "K5.30", "K5.87");
    kit_resistor(&kit, "R", 12);
    between_posts(&kit, "K5.30", "K5.85");
    kit_wire(&kit, "K5.87", "R.1", 0);
    kit_wire(&kit, "R.2", "BAT.-", 0);
    if (rows[i].set)
      kit_wire(&kit, "BAT.+", "K5.86", 0);
    if (rows[i].reset)
      kit_wire(&kit, "BAT.+", "K5.88", 0);
    struct pl_state state = kit_state(PL_ENGINE_STOPPED);
    if (rows[i].was)
      PL_PUSH(&kit.arena, &state.set, relay);
    kit_solve_as(&kit, &state);
    PL_CHECK_INT(kit_on(&kit, "K5"), rows[i].is, rows[i].what);
    PL_CHECK_INT(kit_amps(&kit, "R") > 0.9, rows[i].is, rows[i].what);
    if (rows[i].reset)
      PL_CHECK_CLOSE(kit_volts(&kit, "K5.88"), 12, 1e-3, "the reset coil is fed");
    kit_end(&kit);
  }
}

/* 2 A at 12 V, five times that when held fast: 12 V/10 A = 1.2 ohm; at 6 V it draws 5 A. */
static void held_fast(void) {
  struct kit kit;
  start(&kit, 6, 1e-6);
  pl_id motor = load(&kit, PL_KIND_MOTOR, PL_LAW_CURRENT, 2, NAN);
  between_posts(&kit, "M.+", "M.-");
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit_amps(&kit, "M"), 2, 1e-5, "running");
  PL_PUSH(&kit.arena, &state.locked, motor);
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit_amps(&kit, "M"), 5, 1e-5, "6 V over 1.2 ohm");
  PL_CHECK(!kit.solution.elements[0].limited, "as a resistor");
  kit_at(&kit, "M")->locked = 8;
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit_amps(&kit, "M"), 8, 1e-5, "stated: 8 times");
  kit_end(&kit);
}

/* ---- alternators ---- */

static struct kit alternator_kit(double feed) {
  struct kit kit;
  start(&kit, 12, 0.01);
  struct pl_device d = pl_device_blank();
  d.set_volts = 14, d.ohms = 0.01, d.idle_amps = 40, d.speed_amps = 100, d.exciter_ohms = 10;
  kit_device(&kit, d, PL_KIND_ALTERNATOR, "ALT", "B+ D+ W B-");
  between_posts(&kit, "ALT.B+", "ALT.B-");
  kit_resistor(&kit, "H", feed > 0 ? feed : 1);
  if (feed > 0)
    kit_wire(&kit, "BAT.+", "H.1", 0);
  kit_wire(&kit, "H.2", "ALT.D+", 0);
  return kit;
}

/* 12 V over lamp and exciter: 0.05 A at 230 + 10 ohm. */
static void excitation(void) {
  static const struct {
    double feed;
    enum pl_engine engine;
    bool was, self, charges;
    const char *what;
  } rows[] = {{72, PL_ENGINE_IDLE, false, false, true, "a charge lamp of 2 W"},
              {229, PL_ENGINE_IDLE, false, false, true, "just enough"},
              {231, PL_ENGINE_IDLE, false, false, false, "just too little"},
              {0, PL_ENGINE_SPEED, false, false, false, "no feed: it does not charge at any speed"},
              {0, PL_ENGINE_SPEED, true, false, true, "no feed, but it was excited before"},
              {0, PL_ENGINE_IDLE, false, true, true, "no feed, but it needs none"},
              {72, PL_ENGINE_STOPPED, true, true, false, "it does not turn"},
              {72, PL_ENGINE_CRANKING, true, true, false, "it hardly turns"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct kit kit = alternator_kit(rows[i].feed);
    struct pl_state state = kit_state(rows[i].engine);
    kit_at(&kit, "ALT")->self_exciting = rows[i].self;
    if (rows[i].was)
      PL_PUSH(&kit.arena, &state.set, pl_harness_find_device(&kit.harness, "ALT"));
    kit_solve_as(&kit, &state);
    PL_CHECK_INT(kit.solution.status, PL_SOLVED, rows[i].what);
    PL_CHECK_INT(kit_on(&kit, "ALT"), rows[i].charges, rows[i].what);
    PL_CHECK_INT(kit_amps(&kit, "ALT") > 1, rows[i].charges, rows[i].what);
    if (rows[i].charges && rows[i].feed == 0)
      PL_CHECK_CLOSE(kit_volts(&kit, "ALT.D+"), 14, 1e-4, "D+ is live by itself");
    kit_end(&kit);
  }
}

/* (14 - 12)/0.02 ohm would be 100 A: at idle it gives its 40. */
static void output_at_idle(void) {
  struct kit kit = alternator_kit(72);
  kit_solve(&kit, PL_ENGINE_IDLE);
  PL_CHECK_CLOSE(kit_amps(&kit, "ALT"), 40, 1e-9, "at idle its limit");
  kit_at(&kit, "ALT")->speed_amps = 120;
  pl_network_release(kit.network);
  kit.network = NULL;
  kit_solve(&kit, PL_ENGINE_SPEED);
  PL_CHECK_CLOSE(kit_amps(&kit, "ALT"), 2 / 0.020002, 2e-3, "at speed what the volts ask for");
  kit_end(&kit);
}

/* ---- figures of parts ---- */

static void multiples(void) {
  struct pl_device d = pl_device_blank();
  double seconds;
  d.kind = PL_KIND_LAMP;
  PL_CHECK_CLOSE(pl_device_inrush(&d, &seconds), 10, 1e-12, "a cold lamp: common practice");
  PL_CHECK_CLOSE(seconds, PL_DEFAULT(INRUSH_LAMP_TIME), 1e-12, "for so long");
  d.kind = PL_KIND_FAN;
  PL_CHECK_CLOSE(pl_device_inrush(&d, NULL),
                 PL_DEFAULT(LOCKED),
                 1e-12,
                 "a motor that begins to turn is locked: from memory");
  d.locked = 7;
  PL_CHECK_CLOSE(pl_device_inrush(&d, NULL), 7, 1e-12, "as it states its locked current");
  d.inrush = 3, d.inrush_seconds = 1;
  PL_CHECK_CLOSE(pl_device_inrush(&d, &seconds), 3, 1e-12, "as stated");
  PL_CHECK_CLOSE(seconds, 1, 1e-12, "as stated");
  d = pl_device_blank();
  d.kind = PL_KIND_HEATER;
  PL_CHECK_CLOSE(pl_device_inrush(&d, &seconds), 1, 1e-12, "a heater: none");
  PL_CHECK(seconds == 0, "for no time");
  PL_CHECK_CLOSE(pl_device_tolerance(&d), 0.1, 1e-12, "our choice");
  d.tolerance = 0.02;
  PL_CHECK_CLOSE(pl_device_tolerance(&d), 0.02, 1e-12, "as stated");
}

CU_TestInfo network_condition_tests[] = {
    {"steady power", steady_power},
    {"steady power without feed", steady_power_without_feed},
    {"two loads of steady power without feed", two_powers_without_feed},
    {"a warm wire", warm_wire},
    {"temperature and current agree", temperature_and_current_agree},
    {"readings of tables and thermistors", readings},
    {"sensors follow the state", sensors_follow},
    {"threshold switch", threshold_switch},
    {"gauges", gauges},
    {"battery condition", battery_condition},
    {"latching relay", latching},
    {"a motor held fast", held_fast},
    {"excitation", excitation},
    {"alternator output at idle and at speed", output_at_idle},
    {"multiples of the rated current", multiples},
    CU_TEST_INFO_NULL};
