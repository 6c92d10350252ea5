/* The model built by hand, without any text: names and ids, pins and their wires, positions, tables
 * of sensors, bundles, returns. */
#include "harness/harness.h"
#include "pl_test.h"
#include "standard/defaults.h"
#include "standard/wire.h"

struct machine {
  struct pl_arena arena;
  struct pl_harness harness;
};

static void begin(struct machine *m) {
  pl_test_arena(&m->arena);
  pl_harness_init(&m->harness, &m->arena);
}

static void end(struct machine *m) {
  pl_arena_release(&m->arena);
}

static pl_id add_device(struct machine *m, const char *name, enum pl_kind kind) {
  struct pl_device device = pl_device_blank();
  device.name = name;
  device.kind = kind;
  return pl_harness_add_device(&m->harness, device);
}

static pl_id add_pin(struct machine *m, pl_id device, pl_id connector, const char *name) {
  struct pl_pin pin = pl_pin_blank();
  pin.device = device;
  pin.connector = connector;
  pin.name = name;
  if (connector == PL_NONE)
    pin.cavity = "";
  else
    pin.cavity = name + strcspn(name, "0123456789");
  return pl_harness_add_pin(&m->harness, pin);
}

static pl_id add_wire(struct machine *m, const char *number, pl_id from, pl_id to, double area) {
  struct pl_wire wire = pl_wire_blank();
  wire.number = number;
  wire.end[0] = from;
  wire.end[1] = to;
  wire.area = area;
  return pl_harness_add_wire(&m->harness, wire);
}

/* ---- names and ids ---- */

static void ids_follow_the_order_of_adding(void) {
  struct machine m;
  begin(&m);
  PL_CHECK_INT(m.harness.terminals.n, 1, "the default family is there from the start");
  for (uint32_t i = 0; i < 300; i++)
    PL_CHECK_INT(add_device(&m, pl_arena_printf(&m.arena, "D%u", i), PL_KIND_STUD), i, "device");
  PL_CHECK_INT(pl_harness_find_device(&m.harness, "D0"), 0, "first");
  PL_CHECK_INT(pl_harness_find_device(&m.harness, "D299"), 299, "last");
  PL_CHECK_INT(pl_harness_find_device(&m.harness, "D300"), PL_NONE, "unknown");
  PL_CHECK_INT(pl_harness_find_device(&m.harness, ""), PL_NONE, "empty");
  PL_CHECK_INT(pl_harness_find_device(&m.harness, "d0"), PL_NONE, "letters count as they are");
  end(&m);
}

static void a_name_is_given_once(void) {
  struct machine m;
  begin(&m);
  pl_id lamp = add_device(&m, "E1", PL_KIND_LAMP);
  PL_CHECK_INT(add_device(&m, "E1", PL_KIND_MOTOR), PL_NONE, "device");
  PL_CHECK_INT(m.harness.devices.n, 1, "nothing was added");
  CU_ASSERT_EQUAL(m.harness.devices.at[lamp].kind, PL_KIND_LAMP);
  pl_id plus = add_pin(&m, lamp, PL_NONE, "+");
  PL_CHECK_INT(add_pin(&m, lamp, PL_NONE, "+"), PL_NONE, "pin");
  PL_CHECK_INT(m.harness.devices.at[lamp].pin_count, 1, "pins");
  add_wire(&m, "7", plus, PL_NONE, 1);
  PL_CHECK_INT(add_wire(&m, "7", plus, PL_NONE, 1), PL_NONE, "wire");
  PL_CHECK_INT(m.harness.pins.at[plus].wires.n, 1, "the refused wire hangs nowhere");
  end(&m);
}

/* ---- pins ---- */

static void pins_are_found_by_every_name(void) {
  struct machine m;
  begin(&m);
  pl_id ecm = add_device(&m, "ECM", PL_KIND_MODULE);
  struct pl_connector connector = pl_connector_blank();
  connector.device = ecm;
  connector.name = "A";
  pl_id face = pl_harness_add_connector(&m.harness, connector);
  pl_id first = add_pin(&m, ecm, face, "A1");
  pl_id second = add_pin(&m, ecm, face, "A12");
  pl_id splice = add_device(&m, "S5", PL_KIND_SPLICE);
  pl_id node = add_pin(&m, splice, PL_NONE, "");

  CU_ASSERT_STRING_EQUAL(m.harness.pins.at[second].full, "ECM.A12");
  CU_ASSERT_STRING_EQUAL(m.harness.pins.at[node].full, "S5");
  PL_CHECK_INT(pl_harness_find_pin(&m.harness, "ECM.A12"), second, "short");
  PL_CHECK_INT(pl_harness_find_pin(&m.harness, "ECM.A.12"), second, "long");
  PL_CHECK_INT(pl_harness_find_pin(&m.harness, "S5"), node, "one node");
  PL_CHECK_INT(pl_harness_find_pin(&m.harness, "ECM"), PL_NONE, "a device is no pin");
  PL_CHECK_INT(pl_harness_find_pin(&m.harness, "ECM.A2"), PL_NONE, "no such cavity");
  PL_CHECK_INT(m.harness.connectors.at[face].first_pin, first, "first of the connector");
  PL_CHECK_INT(m.harness.connectors.at[face].pin_count, 2, "cavities");
  PL_CHECK_INT(m.harness.devices.at[ecm].first_pin, first, "first of the device");
  PL_CHECK_INT(m.harness.devices.at[ecm].connector_count, 1, "connectors");
  end(&m);
}

static void wires_hang_at_both_ends(void) {
  struct machine m;
  begin(&m);
  pl_id stud = add_device(&m, "X", PL_KIND_STUD);
  pl_id one = add_pin(&m, stud, PL_NONE, "");
  pl_id lamp = add_device(&m, "E", PL_KIND_LAMP);
  pl_id two = add_pin(&m, lamp, PL_NONE, "+");
  pl_id wire = add_wire(&m, "1", one, two, 1.5);
  pl_id capped = add_wire(&m, "2", two, PL_NONE, 1.5);

  PL_CHECK_INT(pl_wire_other_end(&m.harness.wires.at[wire], one), two, "there");
  PL_CHECK_INT(pl_wire_other_end(&m.harness.wires.at[wire], two), one, "and back");
  PL_CHECK_INT(pl_wire_other_end(&m.harness.wires.at[capped], two), PL_NONE, "in the air");
  PL_CHECK_INT(m.harness.pins.at[one].wires.n, 1, "at the stud");
  PL_CHECK_INT(m.harness.pins.at[two].wires.n, 2, "at the lamp");
  PL_CHECK_INT(m.harness.pins.at[two].wires.at[1], capped, "in the order of the wires");
  end(&m);
}

static void the_nearest_terminal_holds(void) {
  struct machine m;
  begin(&m);
  PL_PUSH(&m.arena, &m.harness.terminals, ((struct pl_terminal){.name = "connector's"}));
  PL_PUSH(&m.arena, &m.harness.terminals, ((struct pl_terminal){.name = "pin's"}));
  pl_id module = add_device(&m, "M", PL_KIND_MODULE);
  struct pl_connector connector = pl_connector_blank();
  connector.device = module;
  pl_id plain = pl_harness_add_connector(&m.harness, connector);
  pl_id at_plain = add_pin(&m, module, plain, "1");
  connector.terminal = 1;
  pl_id other = pl_harness_add_connector(&m.harness, connector);
  pl_id at_other = add_pin(&m, module, other, "2");
  pl_id own = add_pin(&m, module, other, "3");
  m.harness.pins.at[own].terminal = 2;

  CU_ASSERT_STRING_EQUAL(pl_pin_terminal(&m.harness, at_plain)->name, "plain");
  CU_ASSERT_STRING_EQUAL(pl_pin_terminal(&m.harness, at_other)->name, "connector's");
  CU_ASSERT_STRING_EQUAL(pl_pin_terminal(&m.harness, own)->name, "pin's");
  end(&m);
}

/* ---- returns and places in the box ---- */

static void current_comes_back_by_minus_ground_or_case(void) {
  struct machine m;
  begin(&m);
  pl_id frame = add_device(&m, "FRAME", PL_KIND_CHASSIS);
  pl_id metal = add_pin(&m, frame, PL_NONE, "");
  pl_id lamp = add_device(&m, "E", PL_KIND_LAMP);
  pl_id minus = add_pin(&m, lamp, PL_NONE, "-");
  m.harness.devices.at[lamp].minus = minus;
  pl_id module = add_device(&m, "ECM", PL_KIND_MODULE);
  pl_id ground = add_pin(&m, module, PL_NONE, "G");
  m.harness.pins.at[ground].role = PL_ROLE_GROUND;

  PL_CHECK_INT(pl_device_return(&m.harness, lamp), minus, "a load's minus");
  PL_CHECK_INT(pl_device_return(&m.harness, module), PL_NONE, "no ground wired, no case");
  m.harness.devices.at[module].body = frame;
  PL_CHECK_INT(pl_device_return(&m.harness, module), metal, "its case");
  pl_id wire = add_wire(&m, "1", ground, metal, 1);
  PL_CHECK_INT(pl_device_return(&m.harness, module), ground, "its ground");
  m.harness.wires.at[wire].status = PL_WIRE_DONOR_REMOVED;
  PL_CHECK_INT(pl_device_return(&m.harness, module), metal, "a removed wire is none");
  end(&m);
}

static void fuses_are_counted_by_place(void) {
  static const enum pl_kind kinds[] = {PL_KIND_FUSE, PL_KIND_RELAY, PL_KIND_BREAKER, PL_KIND_FUSE};
  static const uint32_t places[] = {0, 0, 0, 1}, wanted[] = {1, 1, 2, 1};
  static const char *const names[] = {"F1", "K1", "F2", "F3"};
  struct machine m;
  begin(&m);
  for (int i = 0; i < 2; i++)
    pl_harness_add_place(&m.harness, pl_place_blank());
  for (int i = 0; i < 4; i++) {
    pl_id id = add_device(&m, names[i], kinds[i]);
    m.harness.devices.at[id].place = places[i];
    PL_CHECK_INT(pl_device_position(&m.harness, id), wanted[i], names[i]);
  }
  end(&m);
}

static void a_battery_earths_the_machine(void) {
  struct machine m;
  begin(&m);
  add_device(&m, "E", PL_KIND_LAMP);
  CU_ASSERT_FALSE(m.harness.grounded);
  add_device(&m, "BAT", PL_KIND_BATTERY);
  CU_ASSERT_TRUE(m.harness.grounded);
  end(&m);
}

/* ---- tables of sensors and senders ---- */

static void push(struct machine *m, struct pl_device *device, double x, double ohms) {
  PL_PUSH(&m->arena, &device->points, ((struct pl_point){x, ohms}));
}

static void tables_are_read_between_their_points(void) {
  struct machine m;
  begin(&m);
  struct pl_device fuel = pl_device_blank();
  fuel.kind = PL_KIND_SENDER;
  fuel.measure = PL_MEASURE_SHARE;
  push(&m, &fuel, 0, 240); /* a falling sender: 240 ohm empty, 33 ohm full; common practice */
  push(&m, &fuel, 0.5, 103);
  push(&m, &fuel, 1, 33);
  PL_CHECK_CLOSE(pl_device_reading(&fuel, 0.5), 103, 1e-12, "at a point");
  PL_CHECK_CLOSE(pl_device_reading(&fuel, 0.25), 171.5, 1e-12, "half way runs straight");
  PL_CHECK_CLOSE(pl_device_reading(&fuel, -1), 240, 1e-12, "before its end");
  PL_CHECK_CLOSE(pl_device_reading(&fuel, 9), 33, 1e-12, "beyond its end");
  CU_ASSERT_TRUE(isnan(pl_device_reading(&fuel, NAN)));
  for (double x = 0; x <= 1; x += 0.125)
    PL_CHECK_CLOSE(pl_device_quantity_at(&fuel, pl_device_reading(&fuel, x)), x, 1e-9, "back");
  PL_CHECK_CLOSE(pl_device_quantity_at(&fuel, 1e6), 0, 1e-12, "the needle stays at its end");
  PL_CHECK_CLOSE(pl_device_middle(&fuel), 0.5, 1e-12, "middle");
  end(&m);
}

static void thermistors_follow_their_beta(void) {
  struct machine m;
  begin(&m);
  struct pl_device ntc = pl_device_blank();
  ntc.kind = PL_KIND_SENSOR;
  ntc.measure = PL_MEASURE_TEMPERATURE;
  ntc.beta = 3500;
  ntc.beta_ohms = 2500;
  ntc.beta_at = 25;
  /* R = R25 exp(B (1/T - 1/298.15)), T in kelvin: IEC 60539-1, definition of the B value */
  PL_CHECK_CLOSE(pl_device_reading(&ntc, 25), 2500, 1e-12, "where it is anchored");
  PL_CHECK_CLOSE(pl_device_reading(&ntc, 80),
                 2500 * exp(3500 * (1 / 353.15 - 1 / 298.15)),
                 1e-12,
                 "80 degC");
  PL_CHECK_CLOSE(pl_device_quantity_at(&ntc, pl_device_reading(&ntc, 95)), 95, 1e-9, "back");
  CU_ASSERT_TRUE(isnan(pl_device_quantity_at(&ntc, 0)));
  PL_CHECK_CLOSE(pl_device_middle(&ntc), 25, 1e-12, "middle");

  struct pl_device table = pl_device_blank();
  table.kind = PL_KIND_SENSOR;
  table.measure = PL_MEASURE_TEMPERATURE;
  push(&m, &table, 0, 10000);
  push(&m, &table, 100, 100);
  PL_CHECK_CLOSE(pl_device_reading(&table, 50), 1000, 1e-12, "the logarithm runs straight");
  end(&m);
}

static void a_silent_device_has_no_reading(void) {
  struct pl_device bare = pl_device_blank();
  CU_ASSERT_TRUE(isnan(pl_device_reading(&bare, 20)));
  CU_ASSERT_TRUE(isnan(pl_device_quantity_at(&bare, 100)));
  CU_ASSERT_TRUE(isnan(pl_device_middle(&bare)));
}

static void quantities_are_shown_in_their_units(void) {
  static const struct {
    enum pl_measure measure;
    double value, shown;
    const char *unit;
  } rows[] = {{PL_MEASURE_NUMBER, 3, 3, ""},
              {PL_MEASURE_TEMPERATURE, 80, 80, "degC"},
              {PL_MEASURE_PRESSURE, 400, 400, "kPa"},
              {PL_MEASURE_SHARE, 0.25, 25, "%"},
              {PL_MEASURE_SPEED, 800, 800, "rpm"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const char *unit = NULL;
    PL_CHECK_CLOSE(pl_measure_shown(rows[i].measure, rows[i].value, &unit),
                   rows[i].shown,
                   1e-12,
                   "figure");
    PL_CHECK_STR(unit, rows[i].unit, "unit");
  }
}

static void multiples_are_stated_or_by_kind(void) {
  struct pl_device motor = pl_device_blank();
  double seconds;
  motor.kind = PL_KIND_MOTOR;
  PL_CHECK_CLOSE(pl_device_locked(&motor), PL_DEFAULT(LOCKED), 1e-12, "by kind");
  motor.locked = 7;
  PL_CHECK_CLOSE(pl_device_locked(&motor), 7, 1e-12, "stated");
  PL_CHECK_CLOSE(pl_device_inrush(&motor, &seconds), 7, 1e-12, "a motor starts locked");
  PL_CHECK_CLOSE(seconds, PL_DEFAULT(INRUSH_MOTOR_TIME), 1e-12, "for so long");

  struct pl_device heater = pl_device_blank();
  heater.kind = PL_KIND_HEATER;
  PL_CHECK_CLOSE(pl_device_inrush(&heater, NULL), 1, 1e-12, "none to speak of");
  PL_CHECK_CLOSE(pl_device_tolerance(&heater), PL_DEFAULT(TOLERANCE), 1e-12, "by kind");
  heater.tolerance = 0.02;
  PL_CHECK_CLOSE(pl_device_tolerance(&heater), 0.02, 1e-12, "stated");
}

/* ---- positions ---- */

static void positions_come_from_the_state_then_from_thresholds(void) {
  struct machine m;
  begin(&m);
  pl_id sw = add_device(&m, "OILSW", PL_KIND_SWITCH);
  struct pl_device *d = &m.harness.devices.at[sw];
  struct pl_state state = pl_state_blank();
  d->quantity = 0;
  d->rest = 0;
  PL_PUSH(&m.arena, &d->thresholds, ((struct pl_threshold){.position = 1, .at = 50}));
  PL_PUSH(&m.arena,
          &d->thresholds,
          ((struct pl_threshold){.position = 2, .above = true, .at = 700}));
  PL_CHECK_INT(pl_position_in(&m.harness, &state, sw), 0, "nothing said: at rest");
  CU_ASSERT_TRUE(isnan(pl_state_level(&state, 0)));
  CU_ASSERT_TRUE(isnan(pl_state_level(&state, PL_NONE)));
  PL_PUSH(&m.arena, &state.levels, ((struct pl_level){.quantity = 0, .value = 20}));
  PL_CHECK_INT(pl_position_in(&m.harness, &state, sw), 1, "below");
  PL_PUSH(&m.arena, &state.levels, ((struct pl_level){.quantity = 0, .value = 50}));
  PL_CHECK_INT(pl_position_in(&m.harness, &state, sw), 0, "the last level counts; not below 50");
  PL_PUSH(&m.arena, &state.levels, ((struct pl_level){.quantity = 0, .value = 800}));
  PL_CHECK_INT(pl_position_in(&m.harness, &state, sw), 2, "above");
  PL_PUSH(&m.arena, &state.settings, ((struct pl_setting){.device = sw, .position = 1}));
  PL_CHECK_INT(pl_position_in(&m.harness, &state, sw), 1, "the state has the last word");
  end(&m);
}

/* ---- bundles and words ---- */

static void bundles_are_as_thick_as_their_wires(void) {
  static const struct {
    uint32_t wires;
    double diameters;
    const char *row;
  } rows[] = {/* equal circles in the smallest circle: 2, 1 + 2/sqrt(3), 1 + sqrt(2), 3 */
              {1, 1, "one"},
              {2, 2, "two"},
              {3, 2.154700538, "three"},
              {4, 2.414213562, "four"},
              {7, 3, "seven"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct machine m;
    struct pl_run run = {0};
    begin(&m);
    for (uint32_t w = 0; w < rows[i].wires; w++)
      PL_PUSH(&m.arena,
              &run.wires,
              add_wire(&m, pl_arena_printf(&m.arena, "%u", w), PL_NONE, PL_NONE, 1.5));
    double one = pl_wire_outside_mm(1.5, pl_wire_insulation(&m.harness.wires.at[0])->wall, NULL);
    struct pl_bundle bundle = pl_run_bundle(&m.harness, &run);
    PL_CHECK_INT(bundle.wires, rows[i].wires, rows[i].row);
    PL_CHECK_CLOSE(bundle.mm, rows[i].diameters * one, 1e-3, rows[i].row);
    m.harness.wires.at[0].status = PL_WIRE_DONOR_REMOVED;
    PL_CHECK_INT(pl_run_bundle(&m.harness, &run).wires, rows[i].wires - 1, "a removed one is none");
    end(&m);
  }
}

static void colours_are_letters_with_strokes(void) {
  char text[16];
  /* IEC 60757: RD, WH, BK, ... */
  CU_ASSERT_STRING_EQUAL(pl_colour_text(&(struct pl_colour){"RD", "WH", ""}, text), "RD/WH");
  CU_ASSERT_STRING_EQUAL(pl_colour_text(&(struct pl_colour){"BK", "", ""}, text), "BK");
  CU_ASSERT_STRING_EQUAL(pl_colour_text(&(struct pl_colour){"RD", "WH", "BK"}, text), "RD/WH/BK");
  CU_ASSERT_STRING_EQUAL(pl_colour_text(&(struct pl_colour){NULL, NULL, NULL}, text), "");
}

static void every_word_of_a_list_is_its_own(void) {
  for (int a = 0; a < PL_ROLE_COUNT; a++)
    for (int b = 0; b < a; b++)
      CU_ASSERT_STRING_NOT_EQUAL(pl_role_name((enum pl_role)a), pl_role_name((enum pl_role)b));
  for (int a = 0; a < PL_KIND_COUNT; a++)
    for (int b = 0; b < a; b++)
      CU_ASSERT_STRING_NOT_EQUAL(pl_kind_name((enum pl_kind)a), pl_kind_name((enum pl_kind)b));
  CU_ASSERT_STRING_EQUAL(pl_sure_name(PL_SURE_NOT_SAID), "");
  CU_ASSERT_STRING_EQUAL(pl_engine_name(PL_ENGINE_SPEED), "speed");
  CU_ASSERT_STRING_EQUAL(pl_wire_status_name(PL_WIRE_DONOR_REMOVED), "donor removed");
}

static CU_TestInfo record_tests[] = {
    {"ids follow the order of adding", ids_follow_the_order_of_adding},
    {"a name is given once", a_name_is_given_once},
    {"pins are found by every name", pins_are_found_by_every_name},
    {"wires hang at both ends", wires_hang_at_both_ends},
    {"the nearest terminal holds", the_nearest_terminal_holds},
    {"current comes back by minus, ground or case", current_comes_back_by_minus_ground_or_case},
    {"fuses are counted by place", fuses_are_counted_by_place},
    {"a battery earths the machine", a_battery_earths_the_machine},
    CU_TEST_INFO_NULL,
};
static CU_TestInfo reading_tests[] = {
    {"tables are read between their points", tables_are_read_between_their_points},
    {"thermistors follow their beta", thermistors_follow_their_beta},
    {"a silent device has no reading", a_silent_device_has_no_reading},
    {"quantities are shown in their units", quantities_are_shown_in_their_units},
    {"multiples are stated or by kind", multiples_are_stated_or_by_kind},
    {"positions come from the state, then from thresholds",
     positions_come_from_the_state_then_from_thresholds},
    {"bundles are as thick as their wires", bundles_are_as_thick_as_their_wires},
    {"colours are letters with strokes", colours_are_letters_with_strokes},
    {"every word of a list is its own", every_word_of_a_list_is_its_own},
    CU_TEST_INFO_NULL,
};

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("records", record_tests),
                           PL_SUITE("readings", reading_tests),
                           CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
