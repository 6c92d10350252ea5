/* What moves with the volts: relays, starters, alternators, modules that wake.  Positions and
 * figures are worked by hand. */
#include "network_kit.h"

#include "base/limits.h"
#include "standard/defaults.h"

/* A relay of 90 ohm, pulls in at 8 V, drops out at 1.5 V, its lamp of 12 ohm on 87, over a supply
 * of `volts`. */
static void relay_machine(struct kit *kit, double volts) {
  struct pl_device d = pl_device_blank();
  kit_start(kit);
  kit_battery(kit, "BAT", volts, 1e-6);
  d.coil_ohms = 90;
  d.pull_in = 8;
  d.drop_out = 1.5;
  kit_device(kit, d, PL_KIND_RELAY, "K1", "30 85 86 87 87a");
  kit_join(kit, &kit_at(kit, "K1")->make, "K1.30", "K1.87");
  kit_join(kit, &kit_at(kit, "K1")->brk, "K1.30", "K1.87a");
  kit_resistor(kit, "R87", 12);
  kit_resistor(kit, "R87A", 24);
  kit_resistor(kit, "RC", 1);
  kit_no_contacts(kit);
  kit_wire(kit, "BAT.+", "K1.30", 0);
  kit_wire(kit, "K1.87", "R87.1", 0);
  kit_wire(kit, "K1.87a", "R87A.1", 0);
  kit_wire(kit, "R87.2", "BAT.-", 0);
  kit_wire(kit, "R87A.2", "BAT.-", 0);
  kit_wire(kit, "RC.2", "K1.86", 0);
  kit_wire(kit, "K1.85", "BAT.-", 0);
}

static void relay(void) {
  struct kit kit;
  relay_machine(&kit, 12);
  kit_wire(&kit, "BAT.+", "RC.1", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK(kit_on(&kit, "K1"), "pulled in: 12 V x 90/91 = 11.9 V");
  PL_CHECK_CLOSE(kit_amps(&kit, "K1"), 12.0 / 91, 1e-5, "coil current");
  PL_CHECK_CLOSE(kit_device_volts(&kit, "K1"), 12.0 * 90 / 91, 1e-5, "coil volts");
  PL_CHECK_CLOSE(kit_amps(&kit, "R87"), 12 / (12 + PL_DEFAULT(RELAY)), 1e-5, "make contact");
  PL_CHECK_CLOSE(kit_amps(&kit, "R87A"), 0, 1e-9, "break contact open");
  PL_CHECK_INT(kit.solution.steps, 2, "at rest, then pulled in");
  kit_end(&kit);

  relay_machine(&kit, 8); /* 7.91 V across the coil: not enough */
  kit_wire(&kit, "BAT.+", "RC.1", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK(!kit_on(&kit, "K1"), "8 V over 91 ohm leave 7.91 V");
  PL_CHECK_CLOSE(kit_amps(&kit, "R87A"),
                 8 / (24 + PL_DEFAULT(RELAY)),
                 1e-5,
                 "break contact at rest");
  kit_end(&kit);
}

/* 680 ohm across the coil, common practice: 90 and 680 in parallel. */
static void suppression(void) {
  struct kit kit;
  relay_machine(&kit, 12);
  kit_at(&kit, "K1")->suppression = "resistor 680 ohm";
  kit_wire(&kit, "BAT.+", "RC.1", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_amps(&kit, "BAT") - kit_amps(&kit, "R87"),
                 12 / (1 + 1 / (1 / 90.0 + 1 / 680.0)),
                 1e-5,
                 "coil and resistor");
  kit_end(&kit);
}

/* Hysteresis: once in, the relay's own load pulls its supply from 11.9 V down to 6 V: below
 * pull-in, above drop-out, so it holds. */
static void holds_below_pull_in(void) {
  struct kit kit;
  relay_machine(&kit, 12);
  kit.harness.devices.at[0].ohms = 12; /* battery behind 12 ohm; 12 ohm lamp */
  kit_wire(&kit, "BAT.+", "RC.1", 0);
  kit_resistor(&kit, "UNUSED", 1);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  /* at rest: 24 ohm and 91 ohm in parallel against 12 ohm; that leaves 7.35 V: too little here, so
   * the break lamp is taken away */
  PL_CHECK(!kit_on(&kit, "K1"), "starved by the lamp on its break contact");
  kit_end(&kit);
  relay_machine(&kit, 12);
  kit.harness.devices.at[0].ohms = 12;
  kit_at(&kit, "K1")->brk.n = 0;
  kit_wire(&kit, "BAT.+", "RC.1", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  double load = 1 / (1 / (12 + PL_DEFAULT(RELAY)) + 1 / 91.0);
  PL_CHECK(kit_on(&kit, "K1"), "holds at 5.5 V");
  PL_CHECK_CLOSE(kit_volts(&kit, "BAT.+"), 12 * load / (load + 12), 1e-5, "5.6 V");
  PL_CHECK_INT(kit.findings.list.n, 0, "no finding");
  kit_end(&kit);
}

/* The coil is fed through the relay's own break contact: a buzzer. */
static void buzzing(void) {
  struct kit kit;
  relay_machine(&kit, 12);
  kit_wire(&kit, "K1.87a", "RC.1", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  kit_solve(&kit, PL_ENGINE_IDLE);
  PL_CHECK_INT(kit.solution.status, PL_SOLVE_CYCLE, "never rests");
  PL_CHECK_INT(kit_count(&kit, "buzzing-relay"), 1, "said once");
  CU_ASSERT_FATAL(kit.findings.list.n == 1);
  PL_CHECK_STR(kit.findings.list.at[0].place, "K1", "which");
  PL_CHECK_STR(kit.findings.list.at[0].text,
               "K1 does not come to rest: pulling in takes away the coil's own supply, dropping "
               "out gives it back",
               "in words");
  PL_CHECK(isnan(kit_volts(&kit, "BAT.+")) && !kit_on(&kit, "K1"), "nothing is shown");
  kit_end(&kit);
}

static void add_relay(struct kit *kit, const char *name) {
  struct pl_device d = pl_device_blank();
  kit_device(kit, d, PL_KIND_RELAY, name, "30 85 86 87 87a");
}

/* K1 feeds K2, K2's break contact feeds K1: both hop. */
static void buzzing_pair(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12, 0.01);
  add_relay(&kit, "K1");
  add_relay(&kit, "K2");
  kit_join(&kit, &kit_at(&kit, "K1")->make, "K1.30", "K1.87");
  kit_join(&kit, &kit_at(&kit, "K2")->brk, "K2.30", "K2.87a");
  kit_wire(&kit, "BAT.+", "K1.30", 0.01);
  kit_wire(&kit, "BAT.+", "K2.30", 0.01);
  kit_wire(&kit, "K1.87", "K2.86", 0.01);
  kit_wire(&kit, "K2.87a", "K1.86", 0.01);
  kit_wire(&kit, "K1.85", "BAT.-", 0.01);
  kit_wire(&kit, "K2.85", "BAT.-", 0.01);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVE_CYCLE, "never rests");
  CU_ASSERT_FATAL(kit.findings.list.n == 1);
  PL_CHECK(strncmp(kit.findings.list.at[0].text, "K1 and K2 do not come to rest", 29) == 0,
           kit.findings.list.at[0].text);
  kit_end(&kit);
}

/* Each is fed through the other's break contact: whichever is faster wins, and that is said. */
static void racing_pair(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12, 0.01);
  add_relay(&kit, "K1");
  add_relay(&kit, "K2");
  kit_join(&kit, &kit_at(&kit, "K1")->brk, "K1.30", "K1.87a");
  kit_join(&kit, &kit_at(&kit, "K2")->brk, "K2.30", "K2.87a");
  kit_wire(&kit, "BAT.+", "K1.30", 0.01);
  kit_wire(&kit, "BAT.+", "K2.30", 0.01);
  kit_wire(&kit, "K1.87a", "K2.86", 0.01);
  kit_wire(&kit, "K2.87a", "K1.86", 0.01);
  kit_wire(&kit, "K1.85", "BAT.-", 0.01);
  kit_wire(&kit, "K2.85", "BAT.-", 0.01);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "it ends somewhere");
  PL_CHECK(kit_on(&kit, "K1") != kit_on(&kit, "K2"), "one of them is in");
  CU_ASSERT_FATAL(kit.findings.list.n == 1);
  PL_CHECK(strstr(kit.findings.list.at[0].text, "K1 and K2 race") != NULL,
           kit.findings.list.at[0].text);
  kit_end(&kit);
}

/* A chain of relays of 9 kohm, each feeding the next. */
static void chain_machine(struct kit *kit, int relays) {
  char a[16], b[16];
  kit_start(kit);
  kit_battery(kit, "BAT", 12, 0.001);
  for (int i = 0; i < relays; i++) {
    char contact[2][20];
    snprintf(a, sizeof a, "K%d", i);
    add_relay(kit, a);
    kit_at(kit, a)->coil_ohms = 9000;
    snprintf(contact[0], sizeof contact[0], "%s.30", a);
    snprintf(contact[1], sizeof contact[1], "%s.87", a);
    kit_join(kit, &kit_at(kit, a)->make, contact[0], contact[1]);
  }
  for (int i = 0; i < relays; i++) {
    snprintf(a, sizeof a, "K%d.30", i);
    kit_wire(kit, "BAT.+", a, 0.001);
    snprintf(a, sizeof a, "K%d.85", i);
    kit_wire(kit, a, "BAT.-", 0.001);
    snprintf(a, sizeof a, "K%d.86", i);
    snprintf(b, sizeof b, "K%d.87", i - 1);
    kit_wire(kit, i == 0 ? "BAT.+" : b, a, 0.001);
  }
}

/* They pull in one after the other: as many steps as relays, and no cycle.  More than
 * PL_LIMIT_MODES are given up, and that is said. */
static void relay_chain(void) {
  struct kit kit;
  chain_machine(&kit, 50);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "all in");
  PL_CHECK(kit_on(&kit, "K49"), "the last");
  PL_CHECK_INT(kit.solution.steps, 51, "one step a relay");
  kit_end(&kit);
  chain_machine(&kit, PL_LIMIT_MODES - 1);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "just within the limit");
  PL_CHECK_INT(kit.solution.steps, PL_LIMIT_MODES, "steps");
  kit_end(&kit);
  chain_machine(&kit, PL_LIMIT_MODES);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVE_FAILED, "one more is too many");
  PL_CHECK_INT(kit_count(&kit, "not-solved"), 1, "and is reported");
  kit_end(&kit);
}

/* 14.2 V set, 40 A at idle, 110 A at speed, 10 mohm; a battery of 12.6 V behind 10 mohm; a load of
 * 0.5 ohm. */
static void alternator_machine(struct kit *kit, double load) {
  struct pl_device d = pl_device_blank();
  kit_start(kit);
  kit_battery(kit, "BAT", 12.6, 0.01);
  d.set_volts = 14.2;
  d.idle_amps = 40;
  d.speed_amps = 110;
  d.exciter_ohms = 10;
  d.ohms = 0.01;
  kit_device(kit, d, PL_KIND_ALTERNATOR, "G", "B+ D+ W B-");
  kit_resistor(kit, "R", load);
  kit_resistor(kit, "EX", 10);
  kit_no_contacts(kit);
  kit_wire(kit, "BAT.+", "G.B+", 0);
  kit_wire(kit, "BAT.-", "G.B-", 0);
  kit_wire(kit, "BAT.+", "R.1", 0);
  kit_wire(kit, "BAT.-", "R.2", 0);
  kit_wire(kit, "BAT.+", "EX.1", 0);
  kit_wire(kit, "EX.2", "G.D+", 0);
}

static void alternator(void) {
  struct kit kit;
  alternator_machine(&kit, 0.5);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_amps(&kit, "G"), 0, 1e-9, "stands: no current back into it");
  PL_CHECK_CLOSE(kit_amps(&kit, "EX"),
                 kit_volts(&kit, "BAT.+") / 20,
                 1e-4,
                 "exciter 10 ohm to ground");
  kit_solve(&kit, PL_ENGINE_CRANKING);
  PL_CHECK_CLOSE(kit_amps(&kit, "G"), 0, 1e-9, "cranking: likewise");
  kit_solve(&kit, PL_ENGINE_IDLE);
  PL_CHECK_CLOSE(kit_amps(&kit, "G"), 40, 1e-9, "idle: at its limit");
  double volts = (12.6 / 0.01 + 40) / (1 / 0.01 + 1 / 0.5);
  PL_CHECK_CLOSE(kit_volts(&kit, "BAT.+"), volts, 1e-4, "40 A and the battery share the load");
  PL_CHECK(fabs(kit_amps(&kit, "EX")) < 0.2, "D+ stands near the set volts");
  kit_solve(&kit, PL_ENGINE_SPEED);
  volts = (12.6 / 0.01 + 14.2 / 0.01) / (1 / 0.01 + 1 / 0.01 + 1 / 0.5);
  PL_CHECK_CLOSE(kit_volts(&kit, "BAT.+"), volts, 2e-3, "speed: behind its own 10 mohm");
  PL_CHECK_CLOSE(kit_amps(&kit, "G"), (14.2 - volts) / 0.01, 2e-2, "below its limit");
  PL_CHECK(kit_amps(&kit, "BAT") < 0, "the battery is charged");
  kit_end(&kit);
  alternator_machine(&kit, 100);
  kit.harness.devices.at[0].emf = 15; /* something holds the net above its set volts */
  kit_solve(&kit, PL_ENGINE_SPEED);
  PL_CHECK_CLOSE(kit_amps(&kit, "G"), 0, 1e-9, "takes nothing back");
  kit_end(&kit);
}

/* 400 A at 9 V: 22.5 mohm.  12.6 V behind 9 mohm: 400 A, 9 V. */
static void starter(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12.6, 0.009);
  d.crank_amps = 400;
  d.crank_volts = 9;
  d.coil_ohms = 1000; /* next to nothing, so that the sum is easy */
  d.pull_in = 8;
  d.drop_out = 3;
  kit_device(&kit, d, PL_KIND_STARTER, "M1", "30 50 31");
  kit_device(&kit, pl_device_blank(), PL_KIND_SWITCH, "KEY", "B ST");
  kit_throw(&kit, "KEY", "off", NULL, NULL);
  kit_throw(&kit, "KEY", "start", "KEY.B", "KEY.ST");
  kit_no_contacts(&kit);
  kit_wire(&kit, "BAT.+", "M1.30", 0);
  kit_wire(&kit, "M1.31", "BAT.-", 0);
  kit_wire(&kit, "M1.30", "KEY.B", 0);
  kit_wire(&kit, "KEY.ST", "M1.50", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK(!kit_on(&kit, "M1"), "at rest");
  PL_CHECK_CLOSE(kit_volts(&kit, "M1.30"), 12.6, 1e-9, "no load");
  struct pl_state state = kit_state(PL_ENGINE_CRANKING);
  kit_set(&kit, &state, "KEY", 1);
  kit_solve_as(&kit, &state);
  PL_CHECK(kit_on(&kit, "M1"), "engaged");
  PL_CHECK_CLOSE(kit_amps(&kit, "M1"), 400, 1e-3, "amps of the motor");
  PL_CHECK_CLOSE(kit_device_volts(&kit, "M1"),
                 9,
                 1e-3,
                 "volts at the motor: above drop-out, so it stays in");
  kit_end(&kit);
}

/* ---- modules ---- */

static pl_id
module_pin(struct kit *kit, pl_id device, const char *name, enum pl_role role, double amps) {
  struct pl_pin pin = pl_pin_blank();
  pin.device = device;
  pin.name = name;
  pin.role = role;
  pin.amps = amps;
  pl_id id = pl_harness_add_pin(&kit->harness, pin);
  CU_ASSERT_FATAL(id != PL_NONE);
  return id;
}

/* A controller: feed 6 A (50 mA asleep), ground, key, outputs, 5 V supply and return, inputs, data;
 * behind 12 V. */
static void module_machine(struct kit *kit) {
  kit_start(kit);
  kit_battery(kit, "BAT", 12, 1e-6);
  kit_resistor(kit, "LAMP", 11.9);
  kit_resistor(kit, "COIL", 11.9);
  kit_resistor(kit, "T", 2400);
  pl_id m = kit_device(kit, pl_device_blank(), PL_KIND_MODULE, "ECM", "");
  pl_id feed = module_pin(kit, m, "A1", PL_ROLE_BATTERY_FEED, 6);
  module_pin(kit, m, "A2", PL_ROLE_GROUND, NAN);
  module_pin(kit, m, "A3", PL_ROLE_KEYED_INPUT, NAN);
  module_pin(kit, m, "A4", PL_ROLE_LOW_SIDE, 1);
  module_pin(kit, m, "A5", PL_ROLE_HIGH_SIDE, 2);
  module_pin(kit, m, "A6", PL_ROLE_SENSOR_SUPPLY, 0.1);
  module_pin(kit, m, "A7", PL_ROLE_SENSOR_RETURN, NAN);
  pl_id up = module_pin(kit, m, "A8", PL_ROLE_SIGNAL_INPUT, NAN);
  module_pin(kit, m, "A9", PL_ROLE_DATA_HIGH, NAN);
  pl_id battery_up = module_pin(kit, m, "A10", PL_ROLE_SWITCH_INPUT, NAN);
  module_pin(kit, m, "A11", PL_ROLE_UNUSED, NAN);
  module_pin(kit, m, "A12", PL_ROLE_BATTERY_FEED, NAN);
  module_pin(kit, m, "A13", PL_ROLE_GROUND, NAN);
  kit->harness.pins.at[feed].sleep_amps = 0.05;
  kit->harness.pins.at[up].pull_ohms = 2400;
  kit->harness.pins.at[up].pull_volts = 5;
  kit->harness.pins.at[battery_up].pull_ohms = 2000;
  kit_device(kit, pl_device_blank(), PL_KIND_SWITCH, "KEY", "B IGN");
  kit_throw(kit, "KEY", "off", NULL, NULL);
  kit_throw(kit, "KEY", "run", "KEY.B", "KEY.IGN");
  kit_no_contacts(kit);
  kit_wire(kit, "BAT.+", "ECM.A1", 0);
  kit_wire(kit, "ECM.A2", "BAT.-", 0);
  kit_wire(kit, "BAT.+", "KEY.B", 0);
  kit_wire(kit, "KEY.IGN", "ECM.A3", 0);
  kit_wire(kit, "BAT.+", "COIL.1", 0);
  kit_wire(kit, "COIL.2", "ECM.A4", 0);
  kit_wire(kit, "ECM.A5", "LAMP.1", 0);
  kit_wire(kit, "LAMP.2", "BAT.-", 0);
  kit_wire(kit, "ECM.A8", "T.1", 0);
  kit_wire(kit, "T.2", "ECM.A7", 0);
}

static void module_states(void) {
  struct kit kit;
  module_machine(&kit);
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  pl_id outputs[2] = {kit_pin(&kit, "ECM.A4"), kit_pin(&kit, "ECM.A5")};
  for (int i = 0; i < 2; i++)
    PL_PUSH(&kit.arena, &state.outputs_on, outputs[i]);
  kit_solve_as(&kit, &state);
  PL_CHECK(!kit_on(&kit, "ECM"), "key off: asleep");
  PL_CHECK_CLOSE(kit_amps(&kit, "ECM"), 0.05, 1e-9, "draws its sleep amps");
  PL_CHECK_CLOSE(kit_volts(&kit, "ECM.A4"), 12, 1e-3, "low side open: the coil lifts it to 12 V");
  PL_CHECK_CLOSE(kit_volts(&kit, "LAMP.1"), 0, 1e-9, "high side off");
  PL_CHECK_CLOSE(kit_volts(&kit, "ECM.A8"), 0, 1e-2, "no 5 V inside");
  PL_CHECK(isnan(kit_volts(&kit, "ECM.A6")), "sensor supply off and nothing on it: open");
  PL_CHECK_CLOSE(kit_volts(&kit, "ECM.A10"),
                 12,
                 1e-3,
                 "pull-up to the feed lives with the battery");
  kit_set(&kit, &state, "KEY", 1);
  kit_solve_as(&kit, &state);
  PL_CHECK(kit_on(&kit, "ECM"), "key on: awake");
  PL_CHECK_CLOSE(kit_amps(&kit, "ECM"), 6, 1e-9, "its feed's amps");
  double ground = (6 + 0.012 + 1 + 1e-3) * PL_DEFAULT(MODULE_JOIN);
  PL_CHECK(fabs(kit_volts(&kit, "ECM.A9") - ground) < 2e-3, "data reads the ground inside");
  PL_CHECK_CLOSE(kit_amps(&kit, "COIL"), 1, 5e-3, "low side: 12 V over 11.9 + 0.1 ohm");
  PL_CHECK_CLOSE(kit_amps(&kit, "LAMP"), 1, 5e-3, "high side: likewise");
  PL_CHECK_CLOSE(kit_volts(&kit, "ECM.A6") - ground, 5, 1e-3, "sensor supply");
  PL_CHECK_CLOSE(kit_volts(&kit, "ECM.A8") - ground,
                 2.5,
                 1e-3,
                 "2400 ohm up and 2400 ohm down: half of 5 V");
  PL_CHECK(isnan(kit_volts(&kit, "ECM.A11")), "unused pin");
  kit_end(&kit);
}

/* Short on the 5 V supply: 100 mA and no more; backfed from 12 V: nothing goes in, and it reads 12
 * V. */
static void sensor_supply_limits(void) {
  struct kit kit;
  module_machine(&kit);
  kit_resistor(&kit, "S", 1);
  kit_no_contacts(&kit);
  kit_wire(&kit, "ECM.A6", "S.1", 0);
  pl_id back = kit_wire(&kit, "S.2", "ECM.A7", 0);
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  kit_set(&kit, &state, "KEY", 1);
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit_amps(&kit, "S"), 0.1, 1e-9, "limit");
  kit.harness.wires.at[back].end[1] = kit_pin(&kit, "BAT.+");
  pl_network_release(kit.network);
  kit.network = NULL;
  kit_solve_as(&kit, &state);
  PL_CHECK_CLOSE(kit_volts(&kit, "ECM.A6"), 12, 1e-5, "lies at battery volts");
  PL_CHECK_CLOSE(kit_amps(&kit, "S"), 0, 1e-9, "takes nothing");
  kit_end(&kit);
}

/* The module's ground wire is off: everything inside rises towards the battery, and it falls
 * asleep. */
static void module_without_ground(void) {
  struct kit kit;
  module_machine(&kit);
  kit.harness.wires.at[1].end[0] = PL_NONE;
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  kit_set(&kit, &state, "KEY", 1);
  kit_solve_as(&kit, &state);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "solved");
  PL_CHECK(!kit_on(&kit, "ECM"), "no volts across its key");
  PL_CHECK(kit_volts(&kit, "ECM.A2") > 11, "its ground pin reads near battery");
  kit_end(&kit);
}

/* A main relay that the module holds itself, and that feeds the module; `logic`: amps of a feed
 * that is always live, 0: none. */
static void self_held(struct kit *kit, double logic) {
  module_machine(kit);
  add_relay(kit, "K1");
  kit_join(kit, &kit_at(kit, "K1")->make, "K1.30", "K1.87");
  kit->harness.wires.at[0].end[0] = kit_pin(kit, "K1.87"); /* the feed comes from the relay */
  kit_wire(kit, "BAT.+", "K1.30", 0.001);
  kit_wire(kit, "BAT.+", "K1.86", 0.001);
  kit_wire(kit, "K1.85", "ECM.A4", 0.001);
  if (!(logic > 0))
    return;
  kit->harness.pins.at[kit_pin(kit, "ECM.A12")].amps = logic;
  kit_wire(kit, "BAT.+", "ECM.A12", 0.001);
}

static void module_cannot_start_itself(void) {
  struct kit kit;
  self_held(&kit, 0);
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  pl_id output = kit_pin(&kit, "ECM.A4");
  PL_PUSH(&kit.arena, &state.outputs_on, output);
  kit_solve_as(&kit, &state);
  PL_CHECK(!kit_on(&kit, "K1") && !kit_on(&kit, "ECM"), "key off: all rests");
  kit_set(&kit, &state, "KEY", 1);
  kit_solve_as(&kit, &state);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "settles");
  PL_CHECK(!kit_on(&kit, "K1") && !kit_on(&kit, "ECM"), "nothing feeds what is to pull it in");
  PL_CHECK_CLOSE(kit_volts(&kit, "ECM.A4"), 12, 1e-3, "its output is off");
  kit_end(&kit);
}

static void module_holds_its_relay(void) {
  struct kit kit;
  self_held(&kit, 0.5);
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  pl_id output = kit_pin(&kit, "ECM.A4");
  PL_PUSH(&kit.arena, &state.outputs_on, output);
  kit_solve_as(&kit, &state);
  PL_CHECK(!kit_on(&kit, "K1") && !kit_on(&kit, "ECM"), "key off: all rests");
  kit_set(&kit, &state, "KEY", 1);
  kit_solve_as(&kit, &state);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "settles");
  PL_CHECK(kit_on(&kit, "K1") && kit_on(&kit, "ECM"), "awake and fed");
  PL_CHECK_CLOSE(kit_amps(&kit, "ECM"), 6.5, 1e-9, "full draw");
  PL_CHECK_INT(kit.findings.list.n, 0, "nothing to report");
  kit_end(&kit);
  self_held(&kit, 0.1); /* less than a twentieth of 6 A: a memory feed */
  kit_set(&kit, &state, "KEY", 1);
  kit_solve_as(&kit, &state);
  PL_CHECK(!kit_on(&kit, "K1") && !kit_on(&kit, "ECM"), "its memory alone wakes nothing");
  kit_end(&kit);
  self_held(&kit, 0.5);
  kit.harness.pins.at[kit_pin(&kit, "ECM.A12")].memory_only = true;
  kit_solve_as(&kit, &state);
  PL_CHECK(!kit_on(&kit, "ECM"), "said to be for memory only");
  kit_end(&kit);
}

/* What a module needs: one of its feeds, one of its grounds, and its key. */
static void module_needs(void) {
  static const struct {
    uint32_t off[2]; /* wires: 0 and 10 are feeds, 1 and 11 grounds, 3 the key */
    bool runs;
    const char *what;
  } cases[] = {{{10, 11}, true, "first feed and first ground"},
               {{0, 0}, true, "second feed"},
               {{1, 1}, true, "second ground"},
               {{0, 10}, false, "both feeds off"},
               {{1, 11}, false, "both grounds off"},
               {{3, 3}, false, "key off"}};
  for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
    struct kit kit;
    module_machine(&kit);
    kit_wire(&kit, "BAT.+", "ECM.A12", 0);
    kit_wire(&kit, "ECM.A13", "BAT.-", 0);
    for (int w = 0; w < 2; w++)
      kit.harness.wires.at[cases[i].off[w]].end[0] = PL_NONE;
    struct pl_state state = kit_state(PL_ENGINE_STOPPED);
    pl_id output = kit_pin(&kit, "ECM.A4");
    PL_PUSH(&kit.arena, &state.outputs_on, output);
    kit_set(&kit, &state, "KEY", 1);
    kit_solve_as(&kit, &state);
    PL_CHECK(kit_on(&kit, "ECM") == cases[i].runs, cases[i].what);
    PL_CHECK((kit_amps(&kit, "COIL") > 0.5) == cases[i].runs, "its output");
    PL_CHECK((kit_volts(&kit, "ECM.A6") > 4) == cases[i].runs, "its 5 V");
    kit_end(&kit);
  }
}

/* Woken through a resistor that its own draw starves: it cannot stay awake. */
static void module_that_starves_itself(void) {
  struct kit kit;
  module_machine(&kit);
  kit.harness.devices.at[0].ohms =
      3; /* awake it draws as 1 ohm does: 3 V left; asleep 0.05 A leave 11.85 V */
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  kit_set(&kit, &state, "KEY", 1);
  kit_solve_as(&kit, &state);
  PL_CHECK_INT(kit.solution.status, PL_SOLVE_CYCLE, "wakes and sleeps");
  PL_CHECK_INT(kit_count(&kit, "buzzing-relay"), 1, "reported");
  if (kit.findings.list.n > 0)
    PL_CHECK_STR(kit.findings.list.at[0].place, "ECM", "at the module");
  kit_end(&kit);
}

CU_TestInfo network_mode_tests[] = {{"relay", relay},
                                    {"suppression resistor", suppression},
                                    {"relay holds below pull-in", holds_below_pull_in},
                                    {"buzzing relay", buzzing},
                                    {"two relays that hop", buzzing_pair},
                                    {"two relays that race", racing_pair},
                                    {"a chain of relays", relay_chain},
                                    {"alternator", alternator},
                                    {"starter", starter},
                                    {"module asleep and awake", module_states},
                                    {"sensor supply", sensor_supply_limits},
                                    {"module without ground", module_without_ground},
                                    {"what a module needs", module_needs},
                                    {"main relay that nothing starts", module_cannot_start_itself},
                                    {"main relay held by its module", module_holds_its_relay},
                                    {"module that starves itself", module_that_starves_itself},
                                    CU_TEST_INFO_NULL};
