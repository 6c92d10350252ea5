/* Single faults: which are listed, what they are called, and small machines under them, worked by
 * hand. */
#include "test_fault.h"

#include <setjmp.h>

#include "network_kit.h"
#include "standard/defaults.h"

/* ---- the list ---- */

/* A battery, a fuse, a switch, a relay that feeds a pump, and a two-pin connector. */
static void pump_machine(struct kit *kit) {
  struct pl_device d = pl_device_blank();
  kit_start(kit);
  kit_battery(kit, "BAT", 12, 0.5);
  d.ohms = 0.5;
  kit_device(kit, d, PL_KIND_FUSE, "F3", "in out");
  kit_device(kit, pl_device_blank(), PL_KIND_SWITCH, "KEY", "in out");
  kit_throw(kit, "KEY", "off", NULL, NULL);
  kit_throw(kit, "KEY", "start", "KEY.in", "KEY.out");
  d = pl_device_blank();
  d.coil_ohms = 100;
  d.pull_in = 8;
  d.drop_out = 2;
  d.ohms = 0.5;
  kit_device(kit, d, PL_KIND_RELAY, "K2", "85 86 30 87");
  kit_join(kit, &kit_at(kit, "K2")->make, "K2.30", "K2.87");
  d = pl_device_blank();
  d.ohms = 10;
  kit_device(kit, d, PL_KIND_PUMP, "M1", "+ -");
  kit_no_contacts(kit);
  kit_wire(kit, "BAT.+", "F3.in", 0.5);
  kit_wire(kit, "F3.out", "KEY.in", 0.5);
  kit_wire(kit, "KEY.out", "K2.86", 0.5);
  kit_wire(kit, "K2.85", "BAT.-", 0.5);
  kit_wire(kit, "F3.out", "K2.30", 0.5);
  kit_wire(kit, "K2.87", "M1.+", 0.5);
  kit_wire(kit, "M1.-", "BAT.-", 0.5);
}

static struct pl_state started(struct kit *kit, uint32_t position) {
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  kit_set(kit, &state, "KEY", position);
  return state;
}

static const char *text_at(struct kit *kit, const pl_faults *faults, uint32_t i) {
  if (i < faults->n)
    return pl_fault_text(&kit->harness, &faults->at[i], &kit->arena);
  return "none";
}

static void listed_and_named(void) {
  static const char *const expected[] = {"wire 1 broken",
                                         "wire 1 high in resistance",
                                         "wire 1 chafed to chassis",
                                         "wire 1 chafed to a live feed",
                                         "wire 2 broken",
                                         "wire 2 high in resistance",
                                         "wire 2 chafed to chassis",
                                         "wire 2 chafed to a live feed"};
  static const char *const devices[] = {"fuse F3 open",
                                        "switch KEY stuck in off",
                                        "switch KEY stuck in start",
                                        "contacts of switch KEY open",
                                        "coil of relay K2 open",
                                        "relay K2 stuck pulled in",
                                        "relay K2 does not pull in",
                                        "pump M1 open",
                                        "pump M1 shorted inside",
                                        "none"};
  struct kit kit;
  pl_faults faults;
  pump_machine(&kit);
  pl_faults_list(&kit.harness, &kit.arena, &faults);
  for (uint32_t i = 0; i < 8; i++)
    PL_CHECK_STR(text_at(&kit, &faults, i), expected[i], "wires, in the order of the text");
  for (uint32_t i = 0; i < 10; i++)
    PL_CHECK_STR(text_at(&kit, &faults, 28 + i), devices[i], "devices, in the order of the text");
  PL_CHECK_CLOSE(faults.at[1].ohms,
                 PL_DEFAULT(FAULT_HIGH),
                 1e-12,
                 "a power wire high in resistance");
  PL_CHECK_CLOSE(faults.at[2].ohms, PL_DEFAULT(FAULT_CHAFED), 1e-12, "a chafe");
  PL_CHECK_INT(faults.at[2].pin_a,
               kit_pin(&kit, "F3.in"),
               "not on the battery, where a chafe to the feed changes nothing");
  kit_end(&kit);
}

/* Cavities side by side or one above the other, both wired; a broken wire with an end in the air
 * can only chafe. */
static void connectors_and_modules(void) {
  struct kit kit;
  pl_faults faults;
  struct pl_connector c = pl_connector_blank();
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12, 0.5);
  struct pl_device d = pl_device_blank();
  d.kind = PL_KIND_MODULE;
  d.name = "ECM";
  c.device = pl_harness_add_device(&kit.harness, d);
  c.name = "A";
  c.rows = c.columns = 2;
  pl_id connector = pl_harness_add_connector(&kit.harness, c);
  for (uint32_t i = 0; i < 4; i++) {
    struct pl_pin pin = pl_pin_blank();
    pin.device = c.device;
    pin.connector = connector;
    pin.name = pl_arena_printf(&kit.arena, "A%u", i + 1);
    pin.cavity = pl_arena_printf(&kit.arena, "%u", i + 1);
    pin.row = 1 + i / 2;
    pin.column = 1 + i % 2;
    if (i == 0)
      pin.role = PL_ROLE_LOW_SIDE;
    else if (i == 1)
      pin.role = PL_ROLE_SIGNAL_INPUT;
    else
      pin.role = PL_ROLE_GROUND;
    pl_harness_add_pin(&kit.harness, pin);
  }
  kit_stud(&kit, "S");
  kit_wire(&kit, "ECM.A1", "S", 0.1);
  kit_wire(&kit, "ECM.A2", "S", 0.1);
  pl_id air = kit_wire(&kit, "ECM.A3", "S", 0.1);
  kit.harness.wires.at[air].end[1] = PL_NONE;
  pl_faults_list(&kit.harness, &kit.arena, &faults);
  PL_CHECK_INT(faults.n, 4 + 4 + 2 + 2 + 2, "wires, output, joined pins");
  PL_CHECK_CLOSE(faults.at[5].ohms,
                 PL_DEFAULT(FAULT_HIGH_SIGNAL),
                 1e-12,
                 "a signal wire high in resistance");
  PL_CHECK_STR(text_at(&kit, &faults, 8), "wire 3 chafed to chassis", "an end in the air");
  PL_CHECK_STR(text_at(&kit, &faults, 10), "ECM.A1 always on", "output");
  PL_CHECK_STR(text_at(&kit, &faults, 11), "ECM.A1 always off", "output");
  PL_CHECK_STR(text_at(&kit, &faults, 12), "pins 1 and 2 of ECM.A joined", "side by side");
  PL_CHECK_STR(text_at(&kit, &faults, 13), "pins 1 and 3 of ECM.A joined", "one above the other");
  kit_end(&kit);
}

/* ---- by hand ---- */

static struct pl_fault broken(enum pl_fault_kind kind) {
  return (struct pl_fault){.kind = kind,
                           .wire = PL_NONE,
                           .device = PL_NONE,
                           .pin_a = PL_NONE,
                           .pin_b = PL_NONE};
}

static void solve_with(struct kit *kit, const struct pl_state *state, struct pl_fault fault) {
  if (kit->network == NULL)
    kit->network = pl_network_new(&kit->harness, &kit->arena);
  pl_network_solve_fault(kit->network, state, &fault, &kit->solution);
}

/* Healthy, started: the coil has 100 ohms, the pump 10; from the battery: 0.5 inside, 0.5 wire 1,
 * 0.5 fuse. */
static void by_hand(void) {
  struct kit kit;
  pump_machine(&kit);
  struct pl_state start = started(&kit, 1);
  struct pl_state off = started(&kit, 0);
  struct pl_fault fault = broken(PL_FAULT_OPEN);
  fault.wire = 5; /* K2.87 to M1.+ */
  solve_with(&kit, &start, fault);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "wire 6 broken");
  PL_CHECK(kit_on(&kit, "K2"), "the relay pulls in all the same");
  PL_CHECK_CLOSE(kit_volts(&kit, "M1.+"), 0, 1e-9, "the pump pulls its plus to ground");
  PL_CHECK_CLOSE(kit.solution.wire_amps[5], 0, 1e-12, "no amps");
  fault.wire = 6; /* the pump's ground: its minus rises to its plus */
  solve_with(&kit, &start, fault);
  PL_CHECK_CLOSE(kit_volts(&kit, "M1.-"), kit_volts(&kit, "M1.+"), 1e-12, "wire 7 broken");
  fault.wire = 2;
  solve_with(&kit, &start, fault);
  PL_CHECK(!kit_on(&kit, "K2") && isnan(kit_volts(&kit, "K2.87")) == false,
           "wire 3 broken: the relay stays out");
  PL_CHECK_CLOSE(kit_amps(&kit, "M1"), 0, 1e-12, "and the pump stands");
  fault = broken(PL_FAULT_STUCK_IN);
  fault.device = pl_harness_find_device(&kit.harness, "K2");
  solve_with(&kit, &off, fault);
  PL_CHECK_CLOSE(kit_amps(&kit, "M1"),
                 12 / 13.5,
                 1e-6,
                 "stuck pulled in: 0.5 battery, 0.5 fuse, 4 x 0.5 wires, 0.5 contact, 10 pump");
  fault.kind = PL_FAULT_STUCK_OUT;
  solve_with(&kit, &start, fault);
  PL_CHECK_CLOSE(kit_amps(&kit, "M1"), 0, 1e-12, "does not pull in");
  fault = broken(PL_FAULT_RESISTANCE);
  fault.wire = 5;
  fault.ohms = 13.5;
  struct pl_fault in = broken(PL_FAULT_STUCK_IN);
  in.device = pl_harness_find_device(&kit.harness, "K2");
  solve_with(&kit, &off, in);
  double whole = kit_amps(&kit, "M1");
  kit_at(&kit, "KEY")->rest = 1;
  solve_with(&kit, &start, fault);
  PL_CHECK(kit_amps(&kit, "M1") < 0.55 * whole && kit_amps(&kit, "M1") > 0.45 * whole,
           "as many ohms again: about half the amps");
  kit_at(&kit, "KEY")->rest = 0;
  struct pl_fault held = broken(PL_FAULT_STUCK_POSITION);
  held.device = pl_harness_find_device(&kit.harness, "KEY");
  held.position = 1;
  solve_with(&kit, &off, held);
  PL_CHECK(kit_on(&kit, "K2"), "switch stuck in start");
  fault = broken(PL_FAULT_TO_CHASSIS);
  fault.pin_a = kit_pin(&kit, "F3.out");
  fault.ohms = 0.5;
  solve_with(&kit, &off, fault);
  PL_CHECK_CLOSE(kit.solution.elements[kit.solution.element_count - 1].amps,
                 12 / 2.0,
                 1e-6,
                 "12 V over four times 0.5 ohm");
  PL_CHECK_CLOSE(kit_volts(&kit, "F3.out"), 3, 1e-6, "a quarter of them over the chafe");
  fault.kind = PL_FAULT_TO_BATTERY;
  fault.pin_a = kit_pin(&kit, "M1.+");
  fault.ohms = 1;
  solve_with(&kit, &off, fault);
  PL_CHECK_CLOSE(kit_amps(&kit, "M1"), 12 / 12.0, 1e-6, "0.5 battery, 1 chafe, 10 pump, 0.5 wire");
  fault = broken(PL_FAULT_SHORTED);
  fault.device = pl_harness_find_device(&kit.harness, "M1");
  fault.ohms = 1;
  solve_with(&kit, &off, in);
  solve_with(&kit, &start, fault);
  double loop = kit.solution.elements[kit.solution.element_count - 1].amps / kit_amps(&kit, "M1");
  PL_CHECK_CLOSE(loop, 10, 1e-6, "1 ohm beside the pump's 10 takes ten times its amps");
  held.kind = PL_FAULT_OPEN;
  held.device = pl_harness_find_device(&kit.harness, "F3");
  solve_with(&kit, &start, held);
  PL_CHECK(isnan(kit_volts(&kit, "F3.in")) == false && fabs(kit_volts(&kit, "F3.in") - 12) < 1e-9 &&
               !kit_on(&kit, "K2"),
           "fuse open");
  kit_end(&kit);
}

/* What an open cuts off from 0 V has no volts: not 0, not what the equations make of it. */
static void cut_off(void) {
  struct kit kit;
  pump_machine(&kit);
  struct pl_state off = started(&kit, 0);
  struct pl_fault fault = broken(PL_FAULT_OPEN);
  fault.wire = 1; /* F3.out to KEY.in: the switch is open, so KEY.in hangs on it alone */
  solve_with(&kit, &off, fault);
  PL_CHECK(isnan(kit_volts(&kit, "KEY.in")), "floats");
  PL_CHECK(!isnan(kit_volts(&kit, "F3.out")), "does not");
  kit_end(&kit);
}

/* ---- order and failures ---- */

struct order {
  const pl_faults *faults;
  uint32_t at;
  unsigned solved, cycles, none, floating;
  bool good;
  uint32_t nodes;
};

static void take(void *context, const struct pl_fault_view *view) {
  struct order *order = context;
  order->good = order->good && view->fault == &order->faults->at[order->at++];
  order->solved += view->status == PL_SOLVED;
  order->cycles += view->status == PL_SOLVE_CYCLE;
  order->none += view->status == PL_SOLVE_NO_SOURCE;
  for (uint32_t n = 0; n < order->nodes; n++) {
    order->floating += isnan(view->node_volts[n]) ? 1 : 0;
    if (view->status != PL_SOLVED)
      order->good = order->good && isnan(view->node_volts[n]) && view->failure != NULL;
  }
}

static void in_order(void) {
  struct kit kit;
  pl_faults faults;
  pump_machine(&kit);
  kit.network = pl_network_new(&kit.harness, &kit.arena);
  pl_faults_list(&kit.harness, &kit.arena, &faults);
  struct order order = {.faults = &faults,
                        .good = true,
                        .nodes = pl_network_node_count(kit.network)};
  pl_network_sweep(kit.network, PL_NONE, faults.at, faults.n, take, &order);
  PL_CHECK(order.good && order.at == faults.n, "each fault once, in the order given");
  PL_CHECK_INT(order.solved, faults.n, "all solved, at rest");
  order = (struct order){.faults = &faults, .good = true, .nodes = order.nodes};
  pl_network_sweep(kit.network, PL_NONE, faults.at, 0, take, &order);
  PL_CHECK_INT(order.at, 0, "no fault, no call");
  kit_end(&kit);
}

/* A relay whose break contact feeds its own coil buzzes; with the coil's wire broken it rests. */
static void buzzing_state(void) {
  struct kit kit;
  pl_faults faults;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12, 0.01);
  kit_device(&kit, pl_device_blank(), PL_KIND_RELAY, "K1", "85 86 30 87a");
  kit_join(&kit, &kit_at(&kit, "K1")->brk, "K1.30", "K1.87a");
  kit_wire(&kit, "BAT.+", "K1.30", 0.01);
  kit_wire(&kit, "K1.87a", "K1.86", 0.01);
  kit_wire(&kit, "K1.85", "BAT.-", 0.01);
  kit.network = pl_network_new(&kit.harness, &kit.arena);
  pl_faults_list(&kit.harness, &kit.arena, &faults);
  struct order order = {.faults = &faults,
                        .good = true,
                        .nodes = pl_network_node_count(kit.network)};
  pl_network_sweep(kit.network, PL_NONE, faults.at, faults.n, take, &order);
  PL_CHECK(order.good && order.at == faults.n, "in order, and no volts where it buzzes");
  PL_CHECK(order.cycles > 0 && order.solved > 0 && order.cycles + order.solved == faults.n,
           "some faults cure the buzzing, some do not");
  kit_end(&kit);
}

static void without_battery(void) {
  struct kit kit;
  pl_faults faults;
  kit_start(&kit);
  kit_resistor(&kit, "R1", 10);
  kit_stud(&kit, "S");
  kit_wire(&kit, "R1.1", "S", 0.1);
  kit.network = pl_network_new(&kit.harness, &kit.arena);
  pl_faults_list(&kit.harness, &kit.arena, &faults);
  struct order order = {.faults = &faults,
                        .good = true,
                        .nodes = pl_network_node_count(kit.network)};
  pl_network_sweep(kit.network, PL_NONE, faults.at, faults.n, take, &order);
  PL_CHECK(order.good && order.none == faults.n && faults.n > 0, "no source");
  kit_end(&kit);
}

/* Faults that name nothing in the harness change nothing. */
static void faults_of_nothing(void) {
  struct kit kit;
  pump_machine(&kit);
  struct pl_state start = started(&kit, 1);
  kit_solve_as(&kit, &start);
  double healthy = kit_amps(&kit, "M1");
  PL_CHECK(healthy > 0.8, "the pump runs");
  for (int kind = PL_FAULT_OPEN; kind <= PL_FAULT_STUCK_OFF; kind++) {
    struct pl_fault fault = broken((enum pl_fault_kind)kind);
    solve_with(&kit, &start, fault);
    PL_CHECK_CLOSE(kit_amps(&kit, "M1"), healthy, 1e-9, "nothing broken");
    PL_CHECK(pl_fault_text(&kit.harness, &fault, &kit.arena)[0] != '\0', "has a text");
  }
  kit_end(&kit);
}

/* Memory that runs out at any of the first allocations of a sweep: the handler takes over, and
 * everything can be released. */
static void out_of_memory(void *context) {
  longjmp(*(jmp_buf *)context, 1);
}

static void memory_runs_out(void) {
  static jmp_buf back;
  volatile bool done = false;
  for (volatile uint64_t k = 1; k < 400 && !done; k++) {
    struct kit kit;
    pl_faults faults;
    pump_machine(&kit);
    kit.network = pl_network_new(&kit.harness, &kit.arena);
    pl_faults_list(&kit.harness, &kit.arena, &faults);
    struct order order = {.faults = &faults, .good = true};
    kit.arena.on_oom = out_of_memory;
    kit.arena.oom_context = &back;
    kit.arena.fail_at = kit.arena.calls + k;
    if (setjmp(back) == 0) {
      pl_network_sweep(kit.network, PL_NONE, faults.at, faults.n, take, &order);
      done = true;
    }
    kit_end(&kit);
  }
  PL_CHECK(done, "in the end there was enough");
}

CU_TestInfo fault_list_tests[] = {{"listed and named", listed_and_named},
                                  {"connectors and modules", connectors_and_modules},
                                  CU_TEST_INFO_NULL};
CU_TestInfo fault_law_tests[] = {{"by hand", by_hand},
                                 {"cut off", cut_off},
                                 {"in order", in_order},
                                 {"a buzzing state", buzzing_state},
                                 {"without a battery", without_battery},
                                 {"faults of nothing", faults_of_nothing},
                                 {"memory runs out", memory_runs_out},
                                 CU_TEST_INFO_NULL};

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("list", fault_list_tests),
                           PL_SUITE("laws", fault_law_tests),
                           PL_SUITE("fast against full", fault_compare_tests),
                           CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
