/* The network: Ohm's law through whole machines, the reference node, islands, and what is reported.
 * Expected figures are worked by hand from the law beside each check. */
#include "network_kit.h"

#include "base/number.h"
#include "standard/defaults.h"
#include "standard/wire.h"
#include "write/spice.h"

/* A battery, one wire of so many feet there, a steady load, a return without resistance: the volts
 * the wire loses. */
static double wire_drop(double ohms_per_ft, double feet, double amps) {
  struct kit kit;
  struct pl_device load = pl_device_blank();
  kit_start(&kit);
  kit_battery(&kit, "BAT", 28, 1e-6);
  load.law = PL_LAW_CURRENT;
  load.load_amps = amps;
  load.load_volts = 28;
  kit_device(&kit, load, PL_KIND_LOAD, "L", "+ -");
  kit_no_contacts(&kit);
  pl_id wire = kit_wire(&kit, "BAT.+", "L.+", ohms_per_ft / 0.3048);
  kit.harness.wires.at[wire].length = feet * 0.3048;
  kit_wire(&kit, "L.-", "BAT.-", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "drop example");
  PL_CHECK_CLOSE(kit.solution.wire_amps[wire], amps, 1e-12, "drop example");
  double drop =
      pl_solution_drop(kit.network, &kit.solution, kit_pin(&kit, "L.+"), kit_pin(&kit, "L.-"));
  PL_CHECK_CLOSE(drop,
                 kit_volts(&kit, "BAT.+") - kit_volts(&kit, "L.+") + kit_volts(&kit, "L.-"),
                 1e-12,
                 "drop there and back");
  drop = kit_volts(&kit, "BAT.+") - kit_volts(&kit, "L.+");
  kit_end(&kit);
  return drop;
}

/* AC 43.13-1B tables 11-7 and 11-8: ohms per foot x feet x amps, as printed there. */
static void drop_examples(void) {
  static const struct {
    double ohms, feet, amps, printed, digits;
    const char *row;
  } rows[] = {
      {0.00044, 107, 20, 0.942, 0.0005, "AC 43.13-1B table 11-7: 0.00044 x 107 x 20"},
      {0.00028, 90, 20, 0.504, 0.0005, "AC 43.13-1B table 11-7: 0.00028 x 90 x 20"},
      {0.00306, 100, 20, 6.12, 0.005, "AC 43.13-1B table 11-8: 0.00306 x 100 x 20"},
      {0.00126, 39, 20, 0.98, 0.005, "AC 43.13-1B table 11-8: 0.00126 x 39 x 20"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    double drop = wire_drop(rows[i].ohms, rows[i].feet, rows[i].amps);
    PL_CHECK_CLOSE(drop, rows[i].ohms * rows[i].feet * rows[i].amps, 1e-9, rows[i].row);
    PL_CHECK(fabs(drop - rows[i].printed) <= rows[i].digits, rows[i].row);
  }
}

/* AC 43.13-1B: R(T) = R(20) (234.5 + T)/254.5; at 105 degC 1.3340, at 20 degC 1. */
static void warm_wire(void) {
  struct pl_wire wire = pl_wire_blank();
  wire.ohms_per_m = 0.01;
  wire.length = 3;
  wire.hot = 20;
  PL_CHECK_CLOSE(pl_wire_copper_ohms(&wire), 0.03, 1e-12, "20 degC");
  wire.hot = 105;
  PL_CHECK_CLOSE(pl_wire_copper_ohms(&wire), 0.03 * 339.5 / 254.5, 1e-12, "105 degC");
  wire.hot = NAN;
  PL_CHECK_CLOSE(pl_wire_copper_ohms(&wire), 0.03, 1e-12, "place not known: as at 20 degC");
  wire.ohms_per_m = NAN;
  wire.area = 1;
  PL_CHECK_CLOSE(pl_wire_copper_ohms(&wire),
                 3 * pl_wire_ohms_per_m(1, false),
                 1e-12,
                 "by its area");
}

/* Contacts: the family's at a crimped end, a lug's at posts and studs and for large wires, a
 * splice's in a splice. */
static void wire_ends(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12.6, 0.01);
  kit_resistor(&kit, "R", 10);
  kit_stud(&kit, "S");
  kit_device(&kit, pl_device_blank(), PL_KIND_SPLICE, "SP", ".");
  kit_wire(&kit, "BAT.+", "R.1", 0.1);
  kit_wire(&kit, "S", "SP", 0.1);
  pl_id thick = kit_wire(&kit, "R.2", "BAT.-", 0.001);
  kit.harness.wires.at[thick].area = 50;
  kit_solve(&kit, PL_ENGINE_STOPPED);
  double plain = kit.harness.terminals.at[0].ohms;
  PL_CHECK_CLOSE(kit.solution.wire_ohms[0],
                 0.1 + PL_DEFAULT(BOLTED) + plain,
                 1e-12,
                 "post to crimped contact");
  PL_CHECK_CLOSE(kit.solution.wire_ohms[1],
                 0.1 + PL_DEFAULT(BOLTED) + PL_DEFAULT(SPLICE),
                 1e-12,
                 "stud to splice");
  PL_CHECK_CLOSE(kit.solution.wire_ohms[2],
                 0.001 + 2 * PL_DEFAULT(BOLTED),
                 1e-5,
                 "large wire, hardly warmer than its place");
  struct pl_terminal family = {.name = "sealed 1.5", .ohms = 0.005};
  PL_PUSH(&kit.arena, &kit.harness.terminals, family);
  kit.harness.pins.at[kit_pin(&kit, "SP")].terminal = kit.harness.terminals.n - 1;
  pl_network_release(kit.network);
  kit.network = NULL;
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit.solution.wire_ohms[1],
                 0.1 + PL_DEFAULT(BOLTED) + 0.005,
                 1e-12,
                 "a terminal that is named wins");
  PL_CHECK_CLOSE(kit.solution.elements[1].contact_ohms,
                 PL_DEFAULT(BOLTED) + 0.005,
                 1e-12,
                 "its contacts' share");
  kit_end(&kit);
}

static void add_lamp(struct kit *kit, const char *name, double ohms) {
  struct pl_device lamp = pl_device_blank();
  lamp.ohms = ohms;
  kit_device(kit, lamp, PL_KIND_LAMP, name, "+ -");
}

/* 12.6 V behind 0.1 ohm, 0.4 ohm of wire, a lamp of 12 ohm, 0.1 ohm back: 12.6/12.6 = 1 A. */
static void one_lamp(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12.6, 0.1);
  add_lamp(&kit, "E1", 12);
  kit_no_contacts(&kit);
  kit_wire(&kit, "BAT.+", "E1.+", 0.4);
  kit_wire(&kit, "E1.-", "BAT.-", 0.1);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_amps(&kit, "E1"), 1, 1e-9, "amps of the lamp");
  PL_CHECK_CLOSE(kit_amps(&kit, "BAT"), 1, 1e-9, "out of the battery's plus");
  PL_CHECK_CLOSE(kit_device_volts(&kit, "E1"), 12, 1e-9, "across the lamp");
  PL_CHECK_CLOSE(kit_volts(&kit, "BAT.-"), 0, 1e-15, "earthed pole");
  PL_CHECK_CLOSE(kit_volts(&kit, "E1.-"), 0.1, 1e-9, "lamp's minus");
  PL_CHECK_CLOSE(kit.solution.wire_amps[0], 1, 1e-9, "from end 0 to end 1");
  PL_CHECK(kit.solution.residual <= 1e-9, "Kirchhoff");
  uint32_t *path;
  uint32_t n =
      pl_solution_path(kit.network, &kit.solution, kit_pin(&kit, "E1.+"), false, &kit.arena, &path);
  PL_CHECK_INT(n, 2, "wire, battery");
  if (n == 2) {
    PL_CHECK_INT(kit.solution.elements[path[0]].wire, 0, "first the wire");
    PL_CHECK_STR(kit.solution.elements[path[1]].what, "battery", "then the battery");
  }
  n = pl_solution_path(kit.network, &kit.solution, kit_pin(&kit, "E1.-"), true, &kit.arena, &path);
  PL_CHECK_INT(n, 2, "wire back, battery");
  if (n == 2)
    PL_CHECK_INT(kit.solution.elements[path[0]].wire, 1, "the wire back");
  PL_CHECK_CLOSE(
      pl_solution_drop(kit.network, &kit.solution, kit_pin(&kit, "E1.+"), kit_pin(&kit, "E1.-")),
      0.5,
      1e-9,
      "there and back");
  kit_end(&kit);
}

static void positive_earth(void) {
  struct kit kit;
  kit_start(&kit);
  kit.harness.machine.positive_earth = true;
  kit_battery(&kit, "BAT", 12.6, 0.1);
  add_lamp(&kit, "E1", 12);
  kit_no_contacts(&kit);
  kit_wire(&kit, "BAT.-", "E1.-", 0.4);
  kit_wire(&kit, "E1.+", "BAT.+", 0.1);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_CLOSE(kit_volts(&kit, "BAT.+"), 0, 1e-15, "the plus is earthed");
  PL_CHECK_CLOSE(kit_volts(&kit, "E1.+"), -0.1, 1e-9, "lamp's plus below earth");
  PL_CHECK_CLOSE(kit_volts(&kit, "BAT.-"), -12.5, 1e-9, "the live pole is negative");
  PL_CHECK_CLOSE(kit_amps(&kit, "E1"), 1, 1e-9, "amps");
  kit_end(&kit);
}

/* Two batteries of 12.6 V in series, the upper one first in the text: 24 V lamp of 25 ohm, 0.2 ohm
 * inside: 25.2/25.2 = 1 A. */
static void series_batteries(void) {
  for (int positive = 0; positive < 2; positive++) {
    struct kit kit;
    kit_start(&kit);
    kit.harness.machine.positive_earth = positive != 0;
    kit_battery(&kit, positive ? "LOW" : "UP", 12.6, 0.1);
    kit_battery(&kit, positive ? "UP" : "LOW", 12.6, 0.1);
    add_lamp(&kit, "E1", 25);
    kit_no_contacts(&kit);
    kit_wire(&kit, "UP.-", "LOW.+", 0);
    kit_wire(&kit, "UP.+", "E1.+", 0);
    kit_wire(&kit, "E1.-", "LOW.-", 0);
    kit_solve(&kit, PL_ENGINE_STOPPED);
    PL_CHECK_CLOSE(kit_volts(&kit, positive ? "UP.+" : "LOW.-"),
                   0,
                   1e-15,
                   positive ? "plus of the upper" : "minus of the lower");
    PL_CHECK_CLOSE(kit_amps(&kit, "E1"), 1, 1e-6, "amps");
    PL_CHECK_CLOSE(kit_volts(&kit, positive ? "LOW.+" : "UP.-"),
                   positive ? -12.5 : 12.5,
                   1e-6,
                   "the middle");
    kit_end(&kit);
  }
}

/* A ring of three with nothing to the battery: a solver factors it without complaint; the search
 * finds it first. */
static void floating_ring(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12.6, 0.1);
  add_lamp(&kit, "E1", 12);
  kit_stud(&kit, "A");
  kit_stud(&kit, "B");
  kit_stud(&kit, "C");
  kit_stud(&kit, "ALONE");
  kit_wire(&kit, "BAT.+", "E1.+", 0.1);
  kit_wire(&kit, "E1.-", "BAT.-", 0.1);
  pl_id ring = kit_wire(&kit, "A", "B", 0.1);
  kit_wire(&kit, "B", "C", 0.2);
  kit_wire(&kit, "C", "A", 0.3);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "the rest is solved");
  PL_CHECK(isnan(kit_volts(&kit, "A")) && isnan(kit_volts(&kit, "B")) &&
               isnan(kit_volts(&kit, "C")),
           "the ring floats");
  PL_CHECK(isnan(kit_volts(&kit, "ALONE")), "an empty stud floats");
  PL_CHECK(kit.solution.wire_amps[ring] == 0 && kit.solution.elements[ring].open, "no current");
  PL_CHECK(kit_volts(&kit, "E1.+") > 12, "the lamp is fed");
  PL_CHECK_INT(kit.findings.list.n, 0, "no finding: a ring without a source hurts nobody");
  kit_end(&kit);
}

static void floating_source(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12.6, 0.1);
  kit_battery(&kit, "AUX", 12.6, 0.1);
  add_lamp(&kit, "E1", 12);
  add_lamp(&kit, "E2", 12);
  kit_wire(&kit, "BAT.+", "E1.+", 0.1);
  kit_wire(&kit, "E1.-", "BAT.-", 0.1);
  kit_wire(&kit, "AUX.+", "E2.+", 0.1);
  kit_wire(&kit, "E2.-", "AUX.-", 0.1);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  kit_solve(&kit, PL_ENGINE_IDLE);
  PL_CHECK_INT(kit_count(&kit, "floating-source"), 1, "once, not in every state");
  if (kit.findings.list.n > 0)
    PL_CHECK_STR(kit.findings.list.at[0].place, "AUX", "which one");
  PL_CHECK(isnan(kit_volts(&kit, "E2.+")), "its island is left out");
  PL_CHECK_CLOSE(kit_amps(&kit, "E2"), 0, 1e-15, "no amps told");
  kit_end(&kit);
}

static void no_source(void) {
  struct kit kit;
  kit_start(&kit);
  add_lamp(&kit, "E1", 12);
  kit_stud(&kit, "A");
  kit_wire(&kit, "A", "E1.+", 0.1);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVE_NO_SOURCE, "no battery");
  PL_CHECK_STR(kit.solution.failure, "there is no battery", "no battery");
  PL_CHECK(isnan(kit_volts(&kit, "A")), "no volts");
  PL_CHECK_INT(pl_network_reference(kit.network), PL_NONE, "no reference");
  kit_end(&kit);
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12.6, 0.1);
  add_lamp(&kit, "E1", 12);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVE_NO_SOURCE, "battery without a wire");
  kit_end(&kit);
  kit_start(&kit);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVE_NO_SOURCE, "an empty harness");
  kit_end(&kit);
}

/* An 12 uA pull beside a 1000 A short: both close to 1e-9 of their own currents. */
static void great_beside_small(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12, 0.002);
  kit_resistor(&kit, "SHORT", 0.01);
  kit_resistor(&kit, "PULL", 1e6);
  kit_no_contacts(&kit);
  kit_wire(&kit, "BAT.+", "SHORT.1", 0);
  kit_wire(&kit, "SHORT.2", "BAT.-", 0);
  kit_wire(&kit, "SHORT.1", "PULL.1", 0);
  pl_id back = kit_wire(&kit, "PULL.2", "BAT.-", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "solved");
  PL_CHECK(kit.solution.residual <= 1e-9, "Kirchhoff");
  double g = 1 / (0.01 + 1e-6) + 1 / 1e6;
  double up = 12 / (0.002 + 1e-6 + 1 / g); /* wires keep 1 micro-ohm */
  PL_CHECK_CLOSE(kit_amps(&kit, "BAT"), up, 1e-8, "short");
  PL_CHECK_CLOSE(kit.solution.wire_amps[back],
                 kit_amps(&kit, "PULL"),
                 1e-9,
                 "the pull's current closes through a micro-ohm");
  kit_end(&kit);
}

/* Figures that make no sense never reach the sums: not-solved, or solved with what is left, but
 * never a crash or a NAN among joined pins. */
static void absurd_figures(void) {
  static const double bad[] = {0, -1, 1e300, 1e-300, INFINITY, -INFINITY, NAN};
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
    struct kit kit;
    struct pl_device load = pl_device_blank();
    kit_start(&kit);
    kit_battery(&kit, "BAT", bad[i], bad[(i + 1) % 7]);
    load.law = PL_LAW_CURRENT;
    load.load_amps = bad[i];
    load.load_volts = bad[(i + 2) % 7];
    kit_device(&kit, load, PL_KIND_PUMP, "M", "+ -");
    kit_resistor(&kit, "R", bad[i]);
    kit_wire(&kit, "BAT.+", "M.+", bad[i]);
    kit_wire(&kit, "M.-", "BAT.-", bad[(i + 3) % 7]);
    kit_wire(&kit, "BAT.+", "R.1", 0.1);
    kit_wire(&kit, "BAT.-", "R.2", 0.1);
    kit_solve(&kit, PL_ENGINE_STOPPED);
    PL_CHECK(kit.solution.status == PL_SOLVED || kit_count(&kit, "not-solved") == 1,
             "solved, or said so");
    for (pl_id pin = 0; pin < kit.harness.pins.n; pin++)
      PL_CHECK(!isinf(kit.solution.pin_volts[pin]), "no infinity shown");
    kit_end(&kit);
  }
}

/* Two joints of 1e300 V do not add up: reported at the pin, nothing shown. */
static void not_solved(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 1e306, 1e-6);
  add_lamp(&kit, "E1", 1);
  kit_wire(&kit, "BAT.+", "E1.+", 0);
  kit_wire(&kit, "E1.-", "BAT.-", 0);
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVE_FAILED, "failed");
  PL_CHECK_INT(kit_count(&kit, "not-solved"), 1, "reported");
  PL_CHECK(isnan(kit_volts(&kit, "E1.+")) && kit_amps(&kit, "E1") == 0, "nothing is shown");
  PL_CHECK(kit.findings.list.n == 1 && kit.findings.list.at[0].place[0] != '\0', "names a pin");
  kit_end(&kit);
}

static void wires_that_do_not_conduct(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12.6, 0.1);
  add_lamp(&kit, "E1", 12);
  pl_id gone = kit_wire(&kit, "BAT.+", "E1.+", 0.1);
  pl_id air = kit_wire(&kit, "BAT.+", "E1.+", 0.1);
  pl_id loop = kit_wire(&kit, "BAT.+", "BAT.+", 0.1);
  kit_wire(&kit, "E1.-", "BAT.-", 0.1);
  kit.harness.wires.at[gone].status = PL_WIRE_DONOR_REMOVED;
  kit.harness.wires.at[air].end[1] = PL_NONE;
  kit_solve(&kit, PL_ENGINE_STOPPED);
  PL_CHECK_INT(kit.solution.status, PL_SOLVED, "solved");
  PL_CHECK_CLOSE(kit_volts(&kit, "E1.+"),
                 0,
                 1e-12,
                 "removed and loose wires feed nothing; the lamp pulls its plus to ground");
  PL_CHECK(kit.solution.wire_amps[gone] == 0 && kit.solution.wire_amps[air] == 0 &&
               kit.solution.wire_amps[loop] == 0,
           "no amps");
  kit_end(&kit);
}

/* A settled state as resistors, voltage and current sources; open and floating things are left out;
 * no text breaks out of its comment. */
static void netlist(void) {
  struct kit kit;
  struct pl_buffer out;
  struct pl_device d = pl_device_blank();
  kit_start(&kit);
  kit.harness.machine.title = "Pump\n.include /etc/passwd";
  kit_battery(&kit, "BAT", 12.5, 0.25);
  d.law = PL_LAW_CURRENT;
  d.load_amps = 2;
  kit_device(&kit, d, PL_KIND_PUMP, "M1", "+ -");
  kit_device(&kit, pl_device_blank(), PL_KIND_DIODE, "V1", "A K");
  kit_resistor(&kit, "LOOSE", 5);
  kit_no_contacts(&kit);
  kit_wire(&kit, "BAT.+", "V1.A", 0.5);
  kit_wire(&kit, "V1.K", "M1.+", 0.5);
  kit_wire(&kit, "M1.-", "BAT.-", 0.5);
  for (pl_id w = 0; w < 3; w++)
    kit.harness.wires.at[w].ohms_per_m = 0.5 - 2e-12; /* half an ohm with both contacts */
  kit_solve(&kit, PL_ENGINE_STOPPED);
  pl_buffer_init(&out, &kit.arena);
  pl_spice_write(&out, kit.network, &kit.solution, &kit.harness);
  PL_CHECK_STR(out.at,
               "* Pump?.include /etc/passwd, at rest\n"
               "* Every element as it settled: open contacts are left out, loads and limits are "
               "what they are in this state.\n"
               "* node, volts, pin\n"
               "* 1 12 BAT.+\n"
               "* 0 0 BAT.-\n"
               "* 2 9.26 M1.+\n"
               "* 3 1 M1.-\n"
               "* 4 11 V1.A\n"
               "* 5 10.26 V1.K\n"
               "* 1 wire\nR0 1 4 0.5\n"
               "* 2 wire\nR1 5 2 0.5\n"
               "* 3 wire\nR2 3 0 0.5\n"
               "* BAT battery\nV3 1 9 12.5\nR3 9 0 0.25\n"
               "* M1 load\nI4 2 3 2\n"
               "* V1 diode\nV5 4 11 0.7\nR5 11 5 0.02\n"
               ".op\n.end\n",
               "netlist");
  kit.solution.status = PL_SOLVE_FAILED;
  kit.solution.failure = "reason";
  struct pl_buffer none;
  pl_buffer_init(&none, &kit.arena);
  pl_spice_write(&none, kit.network, &kit.solution, &kit.harness);
  PL_CHECK(strstr(none.at, "* This state is not solved: reason\n.end\n") != NULL, none.at);
  kit_end(&kit);
}

/* docs/electrical.md prints the table of defaults: every row of it, value, unit and source. */
static void defaults_in_docs(void) {
  FILE *file = fopen(pl_test_path("docs/electrical.md"), "rb");
  CU_ASSERT_FATAL(file != NULL);
  static char text[200000];
  size_t n = fread(text, 1, sizeof text - 1, file);
  fclose(file);
  text[n] = '\0';
  for (int i = 0; i < PL_STANDARD_DEFAULT_COUNT; i++) {
    const struct pl_standard_default *d = &pl_standard_defaults[i];
    char row[400], value[PL_NUMBER_SIZE];
    snprintf(row,
             sizeof row,
             "| %s | %s %s | %s |",
             d->meaning,
             pl_number_print(value, d->value, 6),
             d->unit,
             d->source);
    PL_CHECK(strstr(text, row) != NULL, row);
  }
}

static CU_TestInfo basic_tests[] = {{"worked drop examples of AC 43.13-1B", drop_examples},
                                    {"warm copper", warm_wire},
                                    {"wire ends", wire_ends},
                                    {"one lamp", one_lamp},
                                    {"positive earth", positive_earth},
                                    {"two batteries in series", series_batteries},
                                    {"floating ring", floating_ring},
                                    {"floating source", floating_source},
                                    {"no source", no_source},
                                    {"great currents beside small ones", great_beside_small},
                                    {"absurd figures", absurd_figures},
                                    {"not solved", not_solved},
                                    {"wires that do not conduct", wires_that_do_not_conduct},
                                    {"netlist", netlist},
                                    {"defaults in the docs", defaults_in_docs},
                                    CU_TEST_INFO_NULL};

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("network", basic_tests),
                           PL_SUITE("laws", network_law_tests),
                           PL_SUITE("modes", network_mode_tests),
                           PL_SUITE("bands", network_band_tests),
                           PL_SUITE("conditions of states", network_condition_tests),
                           PL_SUITE("ohm-meter", network_ohms_tests),
                           PL_SUITE("order of elimination", network_order_tests),
                           PL_SUITE("random networks", network_random_tests),
                           CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
