/* The ohm-meter against hand figures, and against star-mesh elimination (Rosen's theorem) written
 * here: another way to the same ohms. */
#include "network_kit.h"

#include "network/ohms.h"
#include "standard/defaults.h"

static uint32_t next(uint32_t *seed) {
  return *seed = *seed * 1664525u + 1013904223u;
} /* Numerical Recipes (from memory) */
static double uniform(uint32_t *seed) {
  return (double)(next(seed) >> 8) / 16777216.0;
}

static struct pl_ohms read_between(struct kit *kit,
                                   const struct pl_state *state,
                                   const bool *off,
                                   const char *a,
                                   const char *b) {
  if (kit->network == NULL)
    kit->network = pl_network_new(&kit->harness, &kit->arena);
  struct pl_meter *meter = pl_meter_new(kit->network, state, off, &kit->arena);
  struct pl_ohms ohms = pl_meter_ohms(meter, kit_pin(kit, a), kit_pin(kit, b));
  pl_meter_release(meter);
  return ohms;
}

/* ---- star and mesh ---- */

enum {
  NODES = 24
};

static double star_mesh(double g[NODES][NODES], int n, int a, int b) {
  for (int k = 0; k < n; k++) {
    double sum = 0;
    if (k == a || k == b)
      continue;
    for (int i = 0; i < n; i++)
      sum += i == k ? 0 : g[k][i];
    for (int i = 0; i < n; i++)
      for (int j = 0; j < n; j++)
        if (i != j && i != k && j != k && sum > 0)
          g[i][j] += g[k][i] * g[k][j] / sum;
    for (int i = 0; i < n; i++)
      g[k][i] = g[i][k] = 0;
  }
  if (g[a][b] > 0)
    return 1 / g[a][b];
  return INFINITY;
}

/* Resistors of +-5 % and wires of +-10 % between studs; every pair asked, with bounds, and parts at
 * random within theirs. */
static void random_nets(void) {
  uint32_t seed = 7;
  unsigned pairs = 0;
  unsigned open = 0;
  for (int round = 0; round < 60; round++) {
    struct kit kit;
    int n = 3 + (int)(next(&seed) >> 16) % 10;
    int parts = n - 1 + (int)(next(&seed) >> 16) % 8;
    double ohms[32], tolerance[32];
    int from[32], to[32];
    kit_start(&kit);
    kit_battery(&kit, "BAT", 12.6, 0.01);
    for (int i = 0; i < n; i++)
      kit_stud(&kit, pl_arena_printf(&kit.arena, "N%d", i));
    for (int k = 0; k < parts; k++) {
      from[k] = (int)(next(&seed) >> 16) % n;
      to[k] = (int)(next(&seed) >> 16) % n;
      ohms[k] = pow(10, 4 * uniform(&seed) - 1);
      if (k % 2 == 0)
        tolerance[k] = PL_DEFAULT(TOLERANCE_RESISTOR);
      else
        tolerance[k] = PL_DEFAULT(TOLERANCE);
      if (k % 2 == 0)
        kit_resistor(&kit, pl_arena_printf(&kit.arena, "R%d", k), ohms[k]);
    }
    kit_no_contacts(&kit);
    for (int k = 0; k < parts; k++) {
      const char *a = pl_arena_printf(&kit.arena, "N%d", from[k]);
      const char *b = pl_arena_printf(&kit.arena, "N%d", to[k]);
      if (k % 2 == 1) {
        kit_wire(&kit, a, b, ohms[k]);
        continue;
      }
      kit_wire(&kit, a, pl_arena_printf(&kit.arena, "R%d.1", k), 0);
      kit_wire(&kit, b, pl_arena_printf(&kit.arena, "R%d.2", k), 0);
    }
    kit_wire(&kit, "BAT.+", "N0", 0.01);
    kit_wire(&kit, "BAT.-", "N1", 0.01);
    for (int a = 0; a < n; a++)
      for (int b = 0; b < a; b++) {
        double stated[NODES][NODES] = {{0}};
        double other[NODES][NODES] = {{0}};
        char row[64];
        for (int k = 0; k < parts; k++) {
          double g = 1 / ohms[k];
          double h = g / (1 + tolerance[k] * (2 * uniform(&seed) - 1));
          if (from[k] == to[k])
            continue;
          stated[from[k]][to[k]] += g, stated[to[k]][from[k]] += g;
          other[from[k]][to[k]] += h, other[to[k]][from[k]] += h;
        }
        snprintf(row, sizeof row, "net %d, N%d to N%d", round, a, b);
        struct pl_ohms got = read_between(&kit,
                                          NULL,
                                          NULL,
                                          pl_arena_printf(&kit.arena, "N%d", a),
                                          pl_arena_printf(&kit.arena, "N%d", b));
        double expected = star_mesh(stated, n, a, b);
        double varied = star_mesh(other, n, a, b);
        pairs++;
        if (isinf(expected)) {
          open++;
          PL_CHECK(isinf(got.least) && isinf(got.ohms) && isinf(got.most), row);
        } else {
          PL_CHECK_CLOSE(got.ohms,
                         expected,
                         1e-4,
                         row); /* wires of the least resistance stand in series */
          PL_CHECK(got.least <= varied * 1.0001 && varied <= got.most * 1.0001 &&
                       got.least < got.ohms && got.ohms < got.most,
                   row);
        }
      }
    kit_end(&kit);
  }
  CU_ASSERT_TRUE(pairs > 1000 && open > 20 && open < pairs / 2);
}

/* ---- by hand ---- */

/* SAE J1939-11: two terminators of 120 ohm; one of them gone: 120. */
static void data_link(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  kit_start(&kit);
  kit_device(&kit, d, PL_KIND_TERMINATOR, "T1", "1 2");
  kit_device(&kit, d, PL_KIND_TERMINATOR, "T2", "1 2");
  kit_no_contacts(&kit);
  kit_wire(&kit, "T1.1", "T2.1", 0.5);
  kit_wire(&kit, "T1.2", "T2.2", 0.5);
  PL_CHECK_CLOSE(read_between(&kit, NULL, NULL, "T1.1", "T1.2").ohms,
                 120 * 121 / 241.0,
                 1e-6,
                 "two terminators and the pair between");
  PL_CHECK_CLOSE(read_between(&kit, NULL, NULL, "T1.1", "T1.2").least,
                 114 * 114.9 / 228.9,
                 1e-6,
                 "5 % less, wires 10 % less");
  bool *off = PL_NEW_ARRAY(&kit.arena, bool, kit.harness.pins.n);
  pl_meter_unplug_device(&kit.harness, pl_harness_find_device(&kit.harness, "T2"), off);
  PL_CHECK_CLOSE(read_between(&kit, NULL, off, "T1.1", "T1.2").ohms, 120, 1e-6, "one is out");
  PL_CHECK_CLOSE(read_between(&kit, NULL, off, "T1.1", "T2.1").ohms,
                 0.5,
                 1e-5,
                 "its cavity is still there");
  PL_CHECK(isinf(read_between(&kit, NULL, off, "T2.1", "T2.2").ohms) == 0, "through the other one");
  pl_meter_unplug_device(&kit.harness, pl_harness_find_device(&kit.harness, "T1"), off);
  PL_CHECK(isinf(read_between(&kit, NULL, off, "T1.1", "T1.2").least),
           "both out: open for certain");
  PL_CHECK(read_between(&kit, NULL, NULL, "T1.1", "T1.1").most == 0, "a pin to itself");
  struct pl_meter *meter = pl_meter_new(kit.network, NULL, NULL, &kit.arena);
  PL_CHECK(isnan(pl_meter_ohms(meter, 0, PL_NONE).ohms), "no such pin");
  pl_meter_release(meter);
  kit_end(&kit);
}

static void power_is_off(void) {
  struct kit kit;
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12.6, 0.01);
  PL_CHECK(isinf(read_between(&kit, NULL, NULL, "BAT.+", "BAT.-").least),
           "the battery is disconnected");
  kit_end(&kit);
}

static pl_id load(struct kit *kit,
                  enum pl_kind kind,
                  const char *name,
                  enum pl_load_law law,
                  double volts,
                  double amps) {
  struct pl_device d = pl_device_blank();
  d.law = law;
  d.load_volts = volts;
  d.load_amps = amps;
  return kit_device(kit, d, kind, name, "+ -");
}

/* 12 V and 2 A: 6 ohm hot; a cold filament takes ten times the amps (common practice), a motor held
 * fast five times (from memory). */
static void cold_loads(void) {
  struct kit kit;
  kit_start(&kit);
  load(&kit, PL_KIND_LAMP, "E1", PL_LAW_RESISTANCE, 12, 2);
  load(&kit, PL_KIND_FAN, "M1", PL_LAW_CURRENT, 12, 2);
  load(&kit, PL_KIND_LOAD, "A1", PL_LAW_CURRENT, 12, 2);
  load(&kit, PL_KIND_HEATER, "R1", PL_LAW_RESISTANCE, 12, 2);
  struct pl_ohms lamp = read_between(&kit, NULL, NULL, "E1.+", "E1.-");
  struct pl_ohms fan = read_between(&kit, NULL, NULL, "M1.+", "M1.-");
  struct pl_ohms box = read_between(&kit, NULL, NULL, "A1.+", "A1.-");
  struct pl_ohms heater = read_between(&kit, NULL, NULL, "R1.+", "R1.-");
  PL_CHECK_CLOSE(lamp.ohms, 0.6, 1e-9, "cold filament");
  PL_CHECK_CLOSE(lamp.most, 6.6, 1e-9, "never more than hot");
  PL_CHECK_CLOSE(fan.ohms, 1.2, 1e-9, "standing motor");
  PL_CHECK(isinf(box.ohms) && box.least == 0, "electronics: nobody knows");
  PL_CHECK_CLOSE(heater.ohms, 6, 1e-9, "heater");
  PL_CHECK_CLOSE(heater.most, 6.6, 1e-9, "its tolerance");
  kit_end(&kit);
}

static void contacts(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  kit_start(&kit);
  d.coil_ohms = 90;
  kit_device(&kit, d, PL_KIND_RELAY, "K1", "30 87 87a 86 85");
  kit_at(&kit, "K1")->coil_a = kit_pin(&kit, "K1.86");
  kit_at(&kit, "K1")->coil_b = kit_pin(&kit, "K1.85");
  kit_join(&kit, &kit_at(&kit, "K1")->make, "K1.30", "K1.87");
  kit_join(&kit, &kit_at(&kit, "K1")->brk, "K1.30", "K1.87a");
  kit_device(&kit, pl_device_blank(), PL_KIND_SWITCH, "S1", "1 2");
  kit_throw(&kit, "S1", "off", NULL, NULL);
  uint32_t on = kit_throw(&kit, "S1", "on", "S1.1", "S1.2");
  kit_device(&kit, pl_device_blank(), PL_KIND_DIODE, "V1", "A K");
  kit_at(&kit, "V1")->plus = kit_pin(&kit, "V1.A");
  kit_at(&kit, "V1")->minus = kit_pin(&kit, "V1.K");
  struct pl_state state = kit_state(PL_ENGINE_IDLE);
  PL_CHECK(isinf(read_between(&kit, NULL, NULL, "K1.30", "K1.87").least), "make contact at rest");
  PL_CHECK_CLOSE(read_between(&kit, NULL, NULL, "K1.30", "K1.87a").ohms,
                 PL_DEFAULT(RELAY),
                 1e-9,
                 "break contact at rest");
  PL_CHECK_CLOSE(read_between(&kit, NULL, NULL, "K1.86", "K1.85").ohms, 90, 1e-9, "coil");
  PL_CHECK(isinf(read_between(&kit, &state, NULL, "S1.1", "S1.2").least), "switch at rest");
  kit_set(&kit, &state, "S1", on);
  PL_CHECK_CLOSE(read_between(&kit, &state, NULL, "S1.1", "S1.2").ohms,
                 PL_DEFAULT(SWITCH),
                 1e-9,
                 "switch on");
  struct pl_ohms diode = read_between(&kit, NULL, NULL, "V1.A", "V1.K");
  PL_CHECK(isinf(diode.ohms) && diode.least == 0, "a diode: open, unless the meter opens it");
  kit_end(&kit);
}

static void sender_over_its_table(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  struct pl_quantity quantity = {.name = "fuel", .measure = PL_MEASURE_SHARE};
  struct pl_level level = {.quantity = 0, .value = 1};
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  kit_start(&kit);
  PL_PUSH(&kit.arena, &kit.harness.quantities, quantity);
  d.quantity = 0;
  d.measure = PL_MEASURE_SHARE;
  d.tolerance = 0.1;
  PL_PUSH(&kit.arena, &d.points, ((struct pl_point){0, 240}));
  PL_PUSH(&kit.arena, &d.points, ((struct pl_point){1, 33}));
  kit_device(&kit, d, PL_KIND_SENDER, "B1", "signal case");
  struct pl_ohms any = read_between(&kit, &state, NULL, "B1.signal", "B1.case");
  PL_CHECK_CLOSE(any.least, 33 * 0.9, 1e-9, "the full end, a tenth less");
  PL_CHECK_CLOSE(any.most, 240 * 1.1, 1e-9, "the empty end, a tenth more");
  PL_PUSH(&kit.arena, &state.levels, level);
  PL_CHECK_CLOSE(read_between(&kit, &state, NULL, "B1.signal", "B1.case").ohms,
                 33,
                 1e-9,
                 "full, as the state says");
  kit_end(&kit);
}

CU_TestInfo network_ohms_tests[] = {
    {"60 random nets against star-mesh elimination, with bounds", random_nets},
    {"data link", data_link},
    {"batteries are disconnected", power_is_off},
    {"cold lamps, standing motors, electronics", cold_loads},
    {"relays and switches at rest, diodes", contacts},
    {"a sender over its table", sender_over_its_table},
    CU_TEST_INFO_NULL};
