/* Harnesses by lot, for the tests of drawings: anything may be wired to anything. */
#include "test_draw.h"

static uint32_t rolled(uint32_t *seed,
                       uint32_t n) { /* a linear congruential generator, the same everywhere */
  *seed = *seed * 1664525u + 1013904223u;
  return (*seed >> 8) % n;
}

static void random_device(struct draw_kit *kit, uint32_t *seed, uint32_t i) {
  static const struct {
    enum pl_kind kind;
    const char *pins;
  } rows[] = {
      {PL_KIND_BATTERY, "+ -"},
      {PL_KIND_ALTERNATOR, "B+ D+ W B-"},
      {PL_KIND_STARTER, "30 50 31"},
      {PL_KIND_FUSE, "in out"},
      {PL_KIND_BREAKER, "in out"},
      {PL_KIND_FUSIBLE_LINK, "in out"},
      {PL_KIND_SWITCH, "1 2"},
      {PL_KIND_SWITCH, "B IGN ACC ST"},
      {PL_KIND_SWITCH, "1 2 3 4 5 6 7 8 9 10 11 12"},
      {PL_KIND_DISCONNECT, "in out"},
      {PL_KIND_RELAY, "30 85 86 87"},
      {PL_KIND_RELAY, "30 85 86 87 87a"},
      {PL_KIND_LAMP, "+ -"},
      {PL_KIND_MOTOR, "+ -"},
      {PL_KIND_FAN, "+ -"},
      {PL_KIND_SOLENOID, "+ -"},
      {PL_KIND_HEATER, "+ -"},
      {PL_KIND_HORN, "+ -"},
      {PL_KIND_BUZZER, "+ -"},
      {PL_KIND_LOAD, "+ - x"},
      {PL_KIND_SENSOR, "signal return"},
      {PL_KIND_SENSOR, "supply signal return"},
      {PL_KIND_SENDER, "signal case"},
      {PL_KIND_GAUGE, "+ - S"},
      {PL_KIND_DIODE, "A K"},
      {PL_KIND_RESISTOR, "1 2"},
      {PL_KIND_TERMINATOR, "1 2"},
      {PL_KIND_STUD, ""},
      {PL_KIND_SPLICE, ""},
      {PL_KIND_CHASSIS, ""},
      {PL_KIND_BOND, ""},
      {PL_KIND_INLINE, "P1 S1 P2 S2 P3 S3"},
      {PL_KIND_CONNECTOR, "A B C D"},
  };
  static const char *const texts[] = {"",
                                      "lamp",
                                      "a text of some length",
                                      "lift pump, left side of the engine, behind the filter"};
  const char *name = pl_arena_printf(&kit->arena, "D%u", i);
  if (rolled(seed, 9) == 0) {
    draw_connector_device(kit,
                          PL_KIND_MODULE,
                          name,
                          4 + rolled(seed, 30),
                          1 + rolled(seed, 3),
                          rolled(seed, 2) == 0 ? PL_SHAPE_RECT : PL_SHAPE_ROUND);
    return;
  }
  uint32_t row = rolled(seed, sizeof rows / sizeof rows[0]);
  draw_device(kit, rows[row].kind, name, texts[rolled(seed, 4)], rows[row].pins);
}

void draw_random_machine(struct draw_kit *kit, uint32_t seed) {
  static const char *const colours[] = {"BK", "BN", "RD", "WH", "GN", ""};
  uint32_t devices = 2 + rolled(&seed, 30);
  uint32_t wires = 1 + rolled(&seed, 60);
  uint32_t circuits = 1 + rolled(&seed, 3);
  for (uint32_t i = 0; i < devices; i++)
    random_device(kit, &seed, i);
  kit->harness.machine.positive_earth = rolled(&seed, 5) == 0;
  if (rolled(&seed, 3) == 0)
    kit->harness.machine.units = PL_UNITS_US;
  else
    kit->harness.machine.units = PL_UNITS_METRIC;
  for (uint32_t i = 0; i < circuits; i++)
    draw_circuit(kit, pl_arena_printf(&kit->arena, "circuit %u", i), "");
  for (uint32_t i = 0; i < wires; i++) {
    const char *ends[2];
    for (int e = 0; e < 2; e++)
      ends[e] = rolled(&seed, 40) == 0
                    ? "-"
                    : kit->harness.pins.at[rolled(&seed, kit->harness.pins.n)].full;
    const char *base = colours[rolled(&seed, 6)];
    draw_wire(kit,
              rolled(&seed, circuits),
              NULL,
              ends[0],
              ends[1],
              base,
              base[0] == '\0' ? "" : colours[rolled(&seed, 6)]);
  }
}
