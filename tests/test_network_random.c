/* The sparse solver against others: a small dense elimination written here, and ngspice where it is
 * installed; and its speed. */
#include <time.h>
#include <unistd.h>

#include "network_kit.h"

#include "write/spice.h"

/* The same numbers on every machine: a linear congruential generator, constants of Numerical
 * Recipes (from memory). */
static uint32_t next(uint32_t *seed) {
  return *seed = *seed * 1664525u + 1013904223u;
}
static double uniform(uint32_t *seed) {
  return (double)(next(seed) >> 8) / 16777216.0;
}
static double log_uniform(uint32_t *seed, double low, double high) {
  return low * pow(high / low, uniform(seed));
}

enum {
  DENSE = 80
};

/* Gaussian elimination with row pivoting, in long double. */
static bool dense_solve(long double a[DENSE][DENSE + 1], int n) {
  for (int c = 0; c < n; c++) {
    int best = c;
    for (int r = c + 1; r < n; r++)
      if (fabsl(a[r][c]) > fabsl(a[best][c]))
        best = r;
    if (a[best][c] == 0)
      return false;
    for (int k = 0; k <= n; k++) {
      long double t = a[c][k];
      a[c][k] = a[best][k];
      a[best][k] = t;
    }
    for (int r = 0; r < n; r++) {
      if (r == c)
        continue;
      long double f = a[r][c] / a[c][c];
      for (int k = c; k <= n; k++)
        a[r][k] -= f * a[c][k];
    }
  }
  for (int r = 0; r < n; r++)
    a[r][n] /= a[r][r];
  return true;
}

static const char *stud(struct kit *kit, int i) {
  return pl_arena_printf(&kit->arena, "N%d", i);
}

/* Rails and rungs of random ohms, chords, two batteries. */
static void ladder(struct kit *kit, uint32_t *seed) {
  int rungs = 3 + (int)(next(seed) >> 16) % 30;
  kit_start(kit);
  kit_battery(kit, "B1", 6 + 20 * uniform(seed), log_uniform(seed, 1e-3, 1));
  kit_battery(kit, "B2", 6 + 20 * uniform(seed), log_uniform(seed, 1e-3, 1));
  for (int i = 0; i < 2 * rungs; i++)
    kit_stud(kit, stud(kit, i));
  kit_no_contacts(kit);
  for (int i = 0; i < rungs; i++) {
    kit_wire(kit, stud(kit, 2 * i), stud(kit, 2 * i + 1), log_uniform(seed, 0.1, 1000));
    if (i == 0)
      continue;
    kit_wire(kit, stud(kit, 2 * i - 2), stud(kit, 2 * i), log_uniform(seed, 1e-3, 10));
    kit_wire(kit, stud(kit, 2 * i - 1), stud(kit, 2 * i + 1), log_uniform(seed, 1e-3, 10));
    if (next(seed) >> 31)
      kit_wire(kit,
               stud(kit, (int)(next(seed) >> 16) % (2 * i)),
               stud(kit, 2 * i),
               log_uniform(seed, 1e-3, 100));
  }
  kit_wire(kit, "B1.+", "N0", log_uniform(seed, 1e-3, 0.1));
  kit_wire(kit, "B1.-", "N1", log_uniform(seed, 1e-3, 0.1));
  kit_wire(kit, "B2.+", stud(kit, 2 * rungs - 2), log_uniform(seed, 1e-3, 0.1));
  kit_wire(kit, "B2.-", stud(kit, 2 * rungs - 1), log_uniform(seed, 1e-3, 0.1));
}

/* Straight from the harness: pin by pin, wire by wire, without a look at the network's own
 * elements. */
static double against_dense(const struct kit *kit) {
  static long double a[DENSE][DENSE + 1];
  const struct pl_harness *h = &kit->harness;
  int n = (int)h->pins.n;
  double worst = 0;
  double most = 0;
  CU_ASSERT_FATAL(n <= DENSE);
  memset(a, 0, sizeof a);
  for (pl_id w = 0; w < h->wires.n; w++) {
    long double g = 1 / ((long double)h->wires.at[w].ohms_per_m + 2e-12L);
    pl_id p = h->wires.at[w].end[0];
    pl_id q = h->wires.at[w].end[1];
    a[p][p] += g;
    a[q][q] += g;
    a[p][q] -= g;
    a[q][p] -= g;
  }
  for (pl_id d = 0; d < 2; d++) {
    const struct pl_device *b = &h->devices.at[d];
    long double g = 1 / (long double)b->ohms;
    pl_id p = b->first_pin;
    pl_id q = p + 1;
    a[p][p] += g;
    a[q][q] += g;
    a[p][q] -= g;
    a[q][p] -= g;
    a[p][n] += g * (long double)b->emf;
    a[q][n] -= g * (long double)b->emf;
  }
  for (int k = 0; k <= n; k++)
    a[1][k] = 0; /* pin 1, B1's minus, is the reference */
  a[1][1] = 1;
  if (!dense_solve(a, n))
    return INFINITY;
  for (int i = 0; i < n; i++) {
    worst = fmax(worst, fabs((double)a[i][n] - kit->solution.pin_volts[i]));
    most = fmax(most, fabs((double)a[i][n]));
  }
  return worst / most;
}

static void ladders(void) {
  uint32_t seed = 20240607;
  double worst = 0;
  for (int i = 0; i < 300; i++) {
    struct kit kit;
    ladder(&kit, &seed);
    kit_solve(&kit, PL_ENGINE_STOPPED);
    PL_CHECK_INT(kit.solution.status, PL_SOLVED, "ladder");
    double error = against_dense(&kit);
    PL_CHECK(error <= 1e-9, "against the dense elimination");
    worst = fmax(worst, error);
    kit_end(&kit);
  }
  printf("(worst of 300: %.1e) ", worst);
}

/* ---- ngspice ---- */

/* Diodes, steady loads, switches and an alternator between the studs of a ladder. */
static void piecewise(struct kit *kit, uint32_t *seed) {
  ladder(kit, seed);
  int studs = (int)kit->harness.pins.n - 4;
  for (int i = 0; i < 12; i++) {
    struct pl_device d = pl_device_blank();
    const char *name = pl_arena_printf(&kit->arena, "X%d", i);
    const char *plus;
    const char *minus;
    int kind = i % 4;
    if (kind == 0)
      d.ohms = NAN;
    else
      d.ohms = log_uniform(seed, 0.01, 1);
    if (kind == 1)
      d.law = i % 8 == 5 ? PL_LAW_CURRENT : PL_LAW_POWER, d.load_amps = log_uniform(seed, 0.1, 20),
      d.load_volts = 12, d.ohms = NAN;
    if (kind == 2)
      d.set_volts = 10 + 6 * uniform(seed), d.idle_amps = log_uniform(seed, 1, 60),
      d.self_exciting = true;
    static const enum pl_kind kinds[] = {PL_KIND_DIODE,
                                         PL_KIND_PUMP,
                                         PL_KIND_ALTERNATOR,
                                         PL_KIND_RESISTOR};
    static const char *const pins[] = {"A K", "+ -", "B+ B- D+", "1 2"};
    static const char *const first[] = {"A", "+", "B+", "1"};
    static const char *const second[] = {"K", "-", "B-", "2"};
    kit_device(kit, d, kinds[kind], name, pins[kind]);
    plus = pl_arena_printf(&kit->arena, "%s.%s", name, first[kind]);
    minus = pl_arena_printf(&kit->arena, "%s.%s", name, second[kind]);
    kit_wire(kit, stud(kit, (int)(next(seed) >> 16) % studs), plus, log_uniform(seed, 1e-3, 1));
    kit_wire(kit, minus, stud(kit, (int)(next(seed) >> 16) % studs), log_uniform(seed, 1e-3, 1));
  }
}

/* Volts of "v(NUMBER)" from ngspice's raw file (text form); they are matched by the order of its
 * variables. */
static double against_raw(const struct kit *kit, const char *path) {
  static double by_number[1000];
  static unsigned order[2000];
  static const unsigned no = 9999;
  char line[400];
  unsigned count = 0;
  unsigned at = 0;
  unsigned matched = 0;
  bool variables = false;
  bool values = false;
  FILE *file = fopen(path, "r");
  if (file == NULL)
    return INFINITY;
  for (int i = 0; i < 1000; i++)
    by_number[i] = NAN;
  while (fgets(line, sizeof line, file) != NULL) {
    unsigned index, number;
    double value;
    if (strncmp(line, "Variables:", 10) == 0) {
      variables = true;
      continue;
    }
    if (strncmp(line, "Values:", 7) == 0) {
      values = true;
      variables = false;
      continue;
    }
    if (variables && count < 2000)
      order[count++] =
          sscanf(line, " %u v(%u)", &index, &number) == 2 && number < 1000 ? number : no;
    if (!values || at >= count)
      continue;
    if (at == 0 ? sscanf(line, " 0 %lf", &value) == 1 : sscanf(line, " %lf", &value) == 1) {
      if (order[at] != no)
        by_number[order[at]] = value;
      at++;
    }
  }
  fclose(file);
  double worst = 0;
  double most = 1;
  uint32_t number = 0;
  for (uint32_t n = 0; n < pl_network_node_count(kit->network); n++) {
    double volts = kit->solution.node_volts[n];
    if (isnan(volts) || n == pl_network_reference(kit->network))
      continue;
    number++;
    most = fmax(most, fabs(volts));
    if (number < 1000 && !isnan(by_number[number])) {
      matched++;
      worst = fmax(worst, fabs(volts - by_number[number]));
    }
  }
  return matched == number && number > 0 ? worst / most : INFINITY;
}

/* ngspice 39 agrees to about the 1e-6 of its own figures; it is run where it is installed and left
 * out elsewhere. */
static void against_ngspice(void) {
  uint32_t seed = 77;
  double worst = 0;
  char folder[] = "/tmp/pinloom-spice-XXXXXX";
  char deck[64];
  char raw[64];
  char command[300];
  if (system("ngspice --version >/dev/null 2>&1") != 0) {
    printf("(left out: ngspice is not installed) ");
    return;
  }
  CU_ASSERT_FATAL(mkdtemp(folder) != NULL);
  snprintf(deck, sizeof deck, "%s/deck.cir", folder);
  snprintf(raw, sizeof raw, "%s/raw", folder);
  snprintf(command,
           sizeof command,
           "cd %s && SPICE_ASCIIRAWFILE=1 ngspice -b -r raw deck.cir >/dev/null 2>&1",
           folder);
  for (int i = 0; i < 25; i++) {
    struct kit kit;
    struct pl_buffer out;
    piecewise(&kit, &seed);
    kit_solve(&kit, PL_ENGINE_IDLE);
    PL_CHECK_INT(kit.solution.status, PL_SOLVED, "piecewise ladder");
    pl_buffer_init(&out, &kit.arena);
    pl_spice_write(&out, kit.network, &kit.solution, &kit.harness);
    FILE *file = fopen(deck, "w");
    CU_ASSERT_FATAL(file != NULL);
    fwrite(out.at, 1, out.n, file);
    fclose(file);
    remove(raw);
    PL_CHECK_INT(system(command), 0, "ngspice runs the netlist");
    double error = against_raw(&kit, raw);
    PL_CHECK(error <= 1e-6, "against ngspice");
    worst = fmax(worst, error);
    kit_end(&kit);
  }
  remove(raw);
  remove(deck);
  rmdir(folder);
  printf("(worst of 25: %.1e) ", worst);
}

/* Every settled mode agrees with its own volts. */
static void modes_agree(void) {
  uint32_t seed = 5;
  unsigned steps = 0;
  unsigned limited = 0;
  unsigned open = 0;
  unsigned powers = 0;
  for (int i = 0; i < 300; i++) {
    struct kit kit;
    piecewise(&kit, &seed);
    kit_solve(&kit, PL_ENGINE_IDLE);
    PL_CHECK_INT(kit.solution.status, PL_SOLVED, "piecewise ladder");
    PL_CHECK(kit.solution.residual <= 1e-9, "Kirchhoff");
    if (kit.solution.steps > steps)
      steps = kit.solution.steps;
    for (uint32_t k = 0; k < kit.solution.element_count; k++) {
      const struct pl_element *e = &kit.solution.elements[k];
      double volts = kit.solution.node_volts[e->node_a] - kit.solution.node_volts[e->node_b];
      if (isnan(volts))
        continue;
      limited += e->limited;
      powers += e->limited && e->watts > 0;
      if (e->limited && e->watts > 0)
        PL_CHECK_CLOSE(volts * e->amps, e->watts, 1e-8, "steady power: volts times amps");
      open += e->open;
      if (e->kind == PL_ELEMENT_CURRENT && e->limited)
        PL_CHECK(volts >= e->volts - 1e-6, "a steady load above its knee");
      if (e->kind == PL_ELEMENT_CURRENT && !e->limited)
        PL_CHECK(volts <= e->volts + 1e-6, "a resistor below it");
      if (e->kind == PL_ELEMENT_DIODE)
        PL_CHECK(e->open ? volts <= e->volts + 1e-6 : e->amps >= -1e-6, "a diode one way");
      if (e->kind == PL_ELEMENT_SOURCE && strcmp(e->what, "alternator") == 0 && !e->open)
        PL_CHECK(-e->amps >= -1e-6 && -e->amps <= e->limit * (1 + 1e-6),
                 "an alternator between nothing and its limit");
    }
    kit_end(&kit);
  }
  PL_CHECK(limited > 100 && open > 100 && powers > 30, "the networks used their modes");
  printf("(most steps: %u) ", steps);
}

/* ---- speed ---- */

static double seconds(void) {
  return (double)clock() / CLOCKS_PER_SEC;
} /* of the processor: others may be using it too */

/* A tree of `wires` wires from one battery, a load at every leaf, half of them steady, ground on
 * one chassis. */
static void tree(struct kit *kit, int wires) {
  uint32_t seed = 11;
  int nodes = wires / 2;
  kit_start(kit);
  kit_battery(kit, "BAT", 12.6, 0.005);
  kit_device(kit, pl_device_blank(), PL_KIND_CHASSIS, "FRAME", ".");
  for (int i = 0; i < nodes; i++)
    kit_stud(kit, stud(kit, i));
  for (int i = 0; i < nodes; i++) {
    struct pl_device d = pl_device_blank();
    if (i % 4 == 1)
      d.law = PL_LAW_POWER;
    else if (i % 4 == 3)
      d.law = PL_LAW_CURRENT;
    else
      d.law = PL_LAW_RESISTANCE;
    d.load_volts = 12;
    d.load_amps = 0.001 + 0.01 * uniform(&seed);
    kit_device(kit, d, PL_KIND_LOAD, pl_arena_printf(&kit->arena, "L%d", i), "+ -");
    kit_join(kit,
             &kit->harness.devices.at[kit->harness.devices.n - 1].fixed,
             pl_arena_printf(&kit->arena, "L%d.-", i),
             "FRAME");
  }
  kit_wire(kit, "BAT.-", "FRAME", 0.0005);
  kit_wire(kit, "BAT.+", "N0", 0.0005);
  for (int i = 0; i < nodes; i++) {
    if (i > 0)
      kit_wire(kit, stud(kit, (i - 1) / 3), stud(kit, i), 0.001 + 0.01 * uniform(&seed));
    kit_wire(kit, stud(kit, i), pl_arena_printf(&kit->arena, "L%d.+", i), 0.01);
  }
  for (pl_id w = 0; w < kit->harness.wires.n; w++)
    kit->harness.wires.at[w].area =
        w < 20 ? 6 : 0.5; /* so they warm themselves: by 5 degC at most */
}

/* 5,000 wires, four states: the figure is printed; the bound leaves room for sanitizers and slow
 * machines. */
static void speed(void) {
  struct kit kit;
  tree(&kit, 5000);
  double start = seconds();
  kit.network = pl_network_new(&kit.harness, &kit.arena);
  for (int i = 0; i < 4; i++) {
    kit_solve(&kit,
              i == 0   ? PL_ENGINE_STOPPED
              : i == 1 ? PL_ENGINE_CRANKING
              : i == 2 ? PL_ENGINE_IDLE
                       : PL_ENGINE_SPEED);
    PL_CHECK_INT(kit.solution.status, PL_SOLVED, "tree");
  }
  double took = seconds() - start;
  PL_CHECK(kit.harness.wires.n >= 5000, "5,000 wires");
  PL_CHECK(took < 2, "in time");
  PL_CHECK(kit.solution.wire_temperature[1] > 21, "the wires warm themselves");
  printf("(%u wires, 4 states: %.0f ms, %u steps) ",
         kit.harness.wires.n,
         took * 1000,
         kit.solution.steps);
  kit_end(&kit);
}

CU_TestInfo network_random_tests[] = {{"300 ladders against a dense elimination", ladders},
                                      {"300 piecewise ladders agree with their modes", modes_agree},
                                      {"netlists against ngspice", against_ngspice},
                                      {"speed of 5,000 wires", speed},
                                      CU_TEST_INFO_NULL};
