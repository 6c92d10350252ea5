/* One law at a time: each device between a battery of 12 V (1 micro-ohm inside) and ground, its
 * current worked by hand. */
#include "network_kit.h"

#include "standard/defaults.h"
#include "standard/limits_data.h"

static void start(struct kit *kit) {
  kit_start(kit);
  kit_battery(kit, "BAT", 12, 1e-6);
}

static void feed(struct kit *kit, const char *plus, const char *minus) {
  kit_no_contacts(kit);
  if (plus != NULL)
    kit_wire(kit, "BAT.+", plus, 0);
  if (minus != NULL)
    kit_wire(kit, minus, "BAT.-", 0);
}

static void load_by_watts(void) { /* 55 W at 12 V: 2.618 ohm; at 12 V 4.583 A */
  struct kit kit;
  struct pl_device d = pl_device_blank();
  start(&kit);
  d.load_volts = 12;
  d.load_amps = 55.0 / 12;
  kit_device(&kit, d, PL_KIND_LAMP, "E1", "+ -");
  feed(&kit, "E1.+", "E1.-");
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_amps(&kit, "E1"), 55.0 / 12, 1e-5, "55 W at 12 V");
  kit_end(&kit);
}

/* A 6 A pump, needs 9 V: 6 A at 12 V, 6 A at 9 V, at 4.5 V a resistor of 1.5 ohm draws 3 A. */
static void steady_current(void) {
  static const struct { double volts, amps; } rows[] = {{12, 6}, {9.001, 6}, {4.5, 3}, {0.15, 0.1}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    struct kit kit;
    struct pl_device d = pl_device_blank();
    kit_start(&kit);
    kit_battery(&kit, "BAT", rows[i].volts, 1e-6);
    d.law = PL_LAW_CURRENT;
    d.load_volts = 12;
    d.load_amps = 6;
    d.need_min = 9;
    kit_device(&kit, d, PL_KIND_PUMP, "M1", "+ -");
    feed(&kit, "M1.+", "M1.-");
    kit_solve(&kit, PL_ENGINE_STOPPED);
    PL_CHECK_CLOSE(kit_amps(&kit, "M1"), rows[i].amps, 1e-4, "6 A down to 9 V, 1.5 ohm below");
    kit_end(&kit);
  }
}

static void
half_volts_knee(void) { /* nothing said about least volts: down to half of 12 V; at 3 V 6 A x 3/6 */
  struct kit kit;
  struct pl_device d = pl_device_blank();
  kit_start(&kit);
  kit_battery(&kit, "BAT", 3, 1e-6);
  d.law = PL_LAW_CURRENT;
  d.load_volts = 12;
  d.load_amps = 6;
  kit_device(&kit, d, PL_KIND_PUMP, "M1", "+ -");
  feed(&kit, "M1.+", "M1.-");
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_amps(&kit, "M1"), 3, 1e-5, "below the knee");
  kit_end(&kit);
}

/* The feed is off: 0 V at its plus, not kilovolts below ground; likewise with the ground off, where
 * both ends stand at 12 V. */
static void steady_current_without_a_way(void) {
  for (int which = 0; which < 2; which++) {
    struct kit kit;
    struct pl_device d = pl_device_blank();
    start(&kit);
    d.law = PL_LAW_CURRENT;
    d.load_volts = 12;
    d.load_amps = 6;
    kit_device(&kit, d, PL_KIND_PUMP, "M1", "+ -");
    kit_resistor(&kit, "R", 100);
    feed(&kit, which == 0 ? NULL : "M1.+", which == 0 ? "M1.-" : NULL);
    kit_wire(&kit, "BAT.+", "R.1", 0);
    kit_wire(&kit, "BAT.-", "R.2", 0);
    kit_solve(&kit, PL_ENGINE_STOPPED);
    PL_CHECK_INT(kit.solution.status, PL_SOLVED, "solved");
    PL_CHECK_CLOSE(kit_volts(&kit, "M1.+"), which == 0 ? 0 : 12, 1e-5, "plus");
    PL_CHECK_CLOSE(kit_volts(&kit, "M1.-"), which == 0 ? 0 : 12, 1e-5, "minus");
    PL_CHECK_CLOSE(kit_amps(&kit, "M1"), 0, 1e-9, "nothing flows");
    kit_end(&kit);
  }
}

/* Through 100 kohm (a corroded joint): 12 V over 100 kohm + 1 ohm, no 6 A and no -600 kV. */
static void steady_current_behind_a_bad_joint(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  start(&kit);
  d.law = PL_LAW_CURRENT;
  d.load_volts = 12;
  d.load_amps = 6;
  kit_device(&kit, d, PL_KIND_PUMP, "M1", "+ -");
  kit_no_contacts(&kit);
  kit_wire(&kit, "BAT.+", "M1.+", 1e5);
  kit_wire(&kit, "M1.-", "BAT.-", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_volts(&kit, "M1.+"), 12.0 / 100001, 1e-5, "0.12 mV");
  kit_end(&kit);
}

/* Two steady loads in series over 24 V: the smaller, 1 A, keeps its current; the other, 10 A (0.6
 * ohm below its knee), gets 0.6 V. */
static void steady_currents_in_series(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 24, 1e-6);
  for (int i = 0; i < 2; i++) {
    struct pl_device d = pl_device_blank();
    d.law = PL_LAW_CURRENT;
    d.load_volts = 12;
    d.load_amps = i == 0 ? 10 : 1;
    kit_device(&kit, d, PL_KIND_PUMP, i == 0 ? "M1" : "M2", "+ -");
  }
  feed(&kit, "M1.+", "M2.-");
  kit_wire(&kit, "M1.-", "M2.+", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "solved");
  PL_CHECK_CLOSE(kit_amps(&kit, "M1"), 1, 1e-9, "one current");
  PL_CHECK_CLOSE(kit_device_volts(&kit, "M1"), 0.6, 1e-6, "0.6 V");
  kit_end(&kit);
}

static void fuses(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  start(&kit);
  d.rating = 15;
  d.family = "blade";
  kit_device(&kit, d, PL_KIND_FUSE, "F1", "in out");
  d.ohms = 0.02;
  kit_device(&kit, d, PL_KIND_BREAKER, "F2", "in out");
  kit_resistor(&kit, "R", 1);
  feed(&kit, "F1.in", "R.2");
  kit_wire(&kit, "F2.in", "F1.out", 0);
  kit_wire(&kit, "F2.out", "R.1", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  double amps = 12 / (1 + 0.02 + pl_fuse_ohms("blade", 15));
  PL_CHECK_CLOSE(kit_amps(&kit, "F1"), amps, 1e-5, "by its rating");
  PL_CHECK_CLOSE(kit_amps(&kit, "F2"), amps, 1e-5, "as stated; no sign");
  PL_CHECK_CLOSE(kit_device_volts(&kit, "F2"), amps * 0.02, 1e-5, "across the breaker");
  kit_end(&kit);
}

/* Each position of a key switch, 10 mohm a contact: rest (off), run feeds both, start drops the
 * accessories. */
static void switches(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  start(&kit);
  kit_device(&kit, d, PL_KIND_SWITCH, "KEY", "B IGN ACC");
  kit_throw(&kit, "KEY", "off", NULL, NULL);
  pl_id run = kit_throw(&kit, "KEY", "run", "KEY.B", "KEY.IGN");
  kit_join(&kit, &kit_at(&kit, "KEY")->throws.at[run].joins, "KEY.B", "KEY.ACC");
  pl_id crank = kit_throw(&kit, "KEY", "start", "KEY.B", "KEY.IGN");
  kit_resistor(&kit, "R1", 1.99);
  kit_resistor(&kit, "R2", 3.99);
  feed(&kit, "KEY.B", "R1.2");
  kit_wire(&kit, "R2.2", "BAT.-", 0);
  kit_wire(&kit, "KEY.IGN", "R1.1", 0);
  kit_wire(&kit, "KEY.ACC", "R2.1", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_volts(&kit, "KEY.IGN"), 0, 1e-9, "at rest");
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  kit_set(&kit, &state, "KEY", run);
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit_amps(&kit, "R1"), 6, 1e-5, "12/(1.99 + 0.01)");
  PL_CHECK_CLOSE(kit_amps(&kit, "R2"), 3, 1e-5, "12/(3.99 + 0.01)");
  PL_CHECK_CLOSE(kit_amps(&kit, "KEY"), 6, 1e-5, "its busiest contact");
  state.settings.at[0].position = crank;
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit_amps(&kit, "R1"), 6, 1e-5, "run and start");
  PL_CHECK_CLOSE(kit_amps(&kit, "R2"), 0, 1e-9, "not in start");
  state.settings.at[0].position = 77; /* no such position */
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit_amps(&kit, "R1"), 0, 1e-9, "nothing joined");
  kit_end(&kit);
}

static void disconnect_without_positions(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  start(&kit);
  d.ohms = 0.5;
  kit_device(&kit, d, PL_KIND_DISCONNECT, "DISC", "in out");
  kit_resistor(&kit, "R", 1.5);
  feed(&kit, "DISC.in", "R.2");
  kit_wire(&kit, "DISC.out", "R.1", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_amps(&kit, "R"), 6, 1e-5, "closed");
  kit_end(&kit);
}

static void sensors(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  start(&kit);
  d.ohms = 2400;
  kit_device(&kit, d, PL_KIND_SENSOR, "B1", "signal return");
  d.ohms = 5000;
  d.signal_share = 0.2;
  kit_device(&kit, d, PL_KIND_SENSOR, "B2", "signal return supply");
  struct pl_point points[] = {{0, 240}, {50, 90}, {100, 33}};
  d = pl_device_blank();
  for (int i = 0; i < 3; i++)
    PL_PUSH(&kit.arena, &d.points, points[i]);
  kit_device(&kit, d, PL_KIND_SENDER, "B3", "signal case");
  d = pl_device_blank();
  d.ohms = 150;
  kit_device(&kit, d, PL_KIND_GAUGE, "P3", "+ - S");
  feed(&kit, "B1.signal", "B1.return");
  kit_wire(&kit, "BAT.+", "B2.supply", 0);
  kit_wire(&kit, "B2.return", "BAT.-", 0);
  kit_wire(&kit, "BAT.+", "P3.+", 0);
  kit_wire(&kit, "P3.-", "BAT.-", 0);
  kit_wire(&kit, "P3.S", "B3.signal", 0);
  kit_wire(&kit, "B3.case", "BAT.-", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_amps(&kit, "B1"), 0.005, 1e-5, "12 V over 2400 ohm");
  PL_CHECK_CLOSE(kit_volts(&kit, "B2.signal"), 2.4, 1e-5, "20 % of its supply");
  PL_CHECK_CLOSE(kit_volts(&kit, "B3.signal"),
                 12 * 90 / 240.0,
                 1e-5,
                 "gauge 150 ohm over a sender in the middle of its table");
  PL_CHECK_CLOSE(kit_amps(&kit, "P3"), 12.0 / 150, 1e-5, "plus to minus");
  kit_end(&kit);
}

/* 12 V through a diode (0.7 V, 0.02 ohm) into 11.28 ohm: (12 - 0.7)/11.3 = 1 A; the other way round
 * nothing. */
static void diodes(void) {
  for (int wrong = 0; wrong < 2; wrong++) {
    struct kit kit;
    struct pl_device d = pl_device_blank();
    start(&kit);
    kit_device(&kit, d, PL_KIND_DIODE, "V1", "A K");
    kit_resistor(&kit, "R", 11.28);
    feed(&kit, wrong ? "V1.K" : "V1.A", "R.2");
    kit_wire(&kit, wrong ? "V1.A" : "V1.K", "R.1", 0);
    kit_solve(&kit, PL_ENGINE_STOPPED);
    PL_CHECK_CLOSE(kit_amps(&kit, "R"), wrong ? 0 : 1, 1e-5, wrong ? "blocks" : "conducts");
    kit_end(&kit);
  }
}

static void diode_into_nothing(void) { /* a meter behind a diode shows the supply less its drop */
  struct kit kit;
  struct pl_device d = pl_device_blank();
  start(&kit);
  d.drop = 0.5;
  kit_device(&kit, d, PL_KIND_DIODE, "V1", "A K");
  kit_resistor(&kit, "R", 10);
  feed(&kit, "V1.A", "R.2");
  kit_wire(&kit, "BAT.+", "R.1", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_volts(&kit, "V1.K"), 11.5, 1e-5, "12 - 0.5");
  PL_CHECK_CLOSE(kit_amps(&kit, "V1"), 0, 1e-9, "without current");
  kit_end(&kit);
}

static void terminators(void) { /* SAE J1939-11: two of 120 ohm make 60 ohm */
  struct kit kit;
  struct pl_device d = pl_device_blank();
  start(&kit);
  kit_device(&kit, d, PL_KIND_TERMINATOR, "T1", "1 2");
  kit_device(&kit, d, PL_KIND_TERMINATOR, "T2", "1 2");
  feed(&kit, "T1.1", "T1.2");
  kit_wire(&kit, "T1.1", "T2.1", 0);
  kit_wire(&kit, "T1.2", "T2.2", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(12 / kit_amps(&kit, "BAT"), 60, 1e-5, "SAE J1939-11");
  kit_end(&kit);
}

/* Ground by bond and chassis only; the lamp's case sits on the chassis by a joint inside.  1 + 5 +
 * 1 mohm. */
static void bonds_cases_and_inlines(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  start(&kit);
  pl_id frame = kit_device(&kit, d, PL_KIND_CHASSIS, "FRAME", ".");
  d.body = frame;
  d.ohms = 0.5;
  kit_device(&kit, d, PL_KIND_BOND, "G1", ".");
  d = pl_device_blank();
  d.ohms = 1.25;
  kit_device(&kit, d, PL_KIND_INLINE, "X1", "P1 S1");
  d = pl_device_blank();
  d.ohms = 4.25;
  kit_device(&kit, d, PL_KIND_LAMP, "E1", "+ -");
  kit_join(&kit, &kit_at(&kit, "E1")->fixed, "E1.-", "FRAME");
  kit_join(&kit,
           &kit_at(&kit, "G1")->fixed,
           "G1",
           "FRAME"); /* said twice: one joint all the same */
  kit_join(&kit, &kit_at(&kit, "X1")->fixed, "X1.P1", "X1.S1");
  feed(&kit, "X1.P1", "G1");
  kit_wire(&kit, "X1.S1", "E1.+", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_amps(&kit, "E1"),
                 12 / (0.5 + 1.25 + 4.25 + PL_DEFAULT(CASE)),
                 1e-5,
                 "bond, inline pair, lamp, case");
  PL_CHECK_CLOSE(kit_volts(&kit, "FRAME"),
                 kit_amps(&kit, "E1") * 0.5,
                 1e-5,
                 "the frame lies above ground by the bond's drop");
  PL_CHECK_CLOSE(kit_amps(&kit, "G1"), kit_amps(&kit, "E1"), 1e-9, "through the bond");
  kit_end(&kit);
}

/* SAE J537: (12.6 - 7.2)/CCA; 540 A: 10 mohm.  Stated resistance wins. */
static void batteries(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  kit_start(&kit);
  d.cca = 540;
  kit_device(&kit, d, PL_KIND_BATTERY, "BAT", "+ -");
  kit_resistor(&kit, "R", 0.116);
  feed(&kit, "R.1", "R.2");
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_amps(&kit, "BAT"), 12.6 / 0.126, 2e-5, "12.6 V behind 10 mohm");
  PL_CHECK_CLOSE(kit_device_volts(&kit, "BAT"), 11.6, 2e-5, "100 A x 10 mohm below");
  kit_end(&kit);
}

CU_TestInfo network_law_tests[] = {
    {"load by watts", load_by_watts},
    {"steady current", steady_current},
    {"steady current, no least volts said", half_volts_knee},
    {"steady current without a way", steady_current_without_a_way},
    {"steady current behind a bad joint", steady_current_behind_a_bad_joint},
    {"steady currents in series", steady_currents_in_series},
    {"fuses", fuses},
    {"switches", switches},
    {"disconnect", disconnect_without_positions},
    {"sensors, senders, gauges", sensors},
    {"diodes", diodes},
    {"diode into nothing", diode_into_nothing},
    {"terminators", terminators},
    {"bonds, cases, inline pairs", bonds_cases_and_inlines},
    {"batteries", batteries},
    CU_TEST_INFO_NULL};
