/* Bands: worked examples by hand, each part moved by itself in the model (no look at the network's
 * own slopes), and parts drawn at random within their tolerances on both demos: every reading must
 * lie inside its band. */
#include <math.h>

#include "model/build.h"
#include "network/band.h"
#include "network/tolerance_inner.h"
#include "network_kit.h"

static struct pl_reading volts_of(struct kit *kit, const char *pin) {
  return (struct pl_reading){PL_READING_VOLTS, kit_pin(kit, pin), PL_NONE, PL_NONE};
}

static struct pl_bands *taken(struct kit *kit, enum pl_engine engine) {
  struct pl_state state = kit_state(engine);
  PL_PUSH(&kit->arena, &kit->harness.states, state);
  kit->network = pl_network_new(&kit->harness, &kit->arena);
  pl_network_solve(kit->network, 0, &kit->solution, &kit->findings);
  return pl_bands_take(kit->network, &kit->solution);
}

static void
check_band(struct pl_band band, double low, double high, double relative, const char *what) {
  PL_CHECK_CLOSE(band.low, low, relative, what);
  PL_CHECK_CLOSE(band.high, high, relative, what);
}

/* 12.6 V behind 10 mohm, 0.1 ohm of wire, a lamp of 1.2 ohm: the example of docs/electrical.md. */
static void lamp_machine(struct kit *kit) {
  struct pl_device d = pl_device_blank();
  kit_start(kit);
  kit_battery(kit, "BAT", 12.6, 0.010);
  d.ohms = 1.2;
  kit_device(kit, d, PL_KIND_LAMP, "E1", "+ -");
  kit_no_contacts(kit);
  kit_wire(kit, "BAT.+", "E1.+", 0.1);
  kit_wire(kit, "E1.-", "BAT.-", 0);
}

static void by_hand(void) {
  struct kit kit;
  lamp_machine(&kit);
  struct pl_bands *bands = taken(&kit, PL_ENGINE_STOPPED);
  /* T = 1.31 ohm, V = 12.6 x 1.2/T = 11.5420.  dV/dE = 1.2/T, E 1.6 %: 0.18467; battery -12.6
   * x 1.2/T2 = -8.8107 V/ohm, -5 and +2.5 mohm: +0.04405, -0.02203; wire 5 %: 0.04405; lamp 12.6 x
   * 0.11/T2 = 0.80764 V/ohm, 0.12 ohm: 0.09692 */
  check_band(pl_band_of(bands, volts_of(&kit, "E1.+")),
             11.541985 - 0.347669,
             11.541985 + 0.369696,
             2e-6,
             "volts at the lamp");
  check_band(pl_band_solved(bands, volts_of(&kit, "E1.+")),
             12.3984 * 1.08 / 1.1975,
             12.8016 * 1.32 / 1.42,
             2e-6,
             "the same with its ends solved");
  struct pl_reading drop = {PL_READING_DROP, kit_pin(&kit, "E1.+"), kit_pin(&kit, "E1.-"), PL_NONE};
  check_band(pl_band_of(bands, drop),
             0.961832 - 0.149752,
             0.961832 + 0.151588,
             1e-5,
             "drop there and back");
  check_band(pl_band_solved(bands, drop),
             12.3984 * 0.095 / (0.095 + 0.0125 + 1.32),
             12.8016 * 0.105 / (0.105 + 0.005 + 1.08),
             1e-5,
             "solved");
  struct pl_reading amps = {PL_READING_WIRE_AMPS, 0, PL_NONE, PL_NONE};
  struct pl_reading through = {PL_READING_DEVICE_AMPS, 1, PL_NONE, PL_NONE};
  check_band(pl_band_of(bands, amps), 9.618321 - 1.090027, 9.618321 + 1.108383, 1e-5, "amps");
  check_band(pl_band_of(bands, through),
             9.618321 - 1.090027,
             9.618321 + 1.108383,
             1e-5,
             "the lamp's amps");
  struct pl_reading loop = {PL_READING_LOOP, drop.a, drop.b, 1};
  struct pl_reading across = {PL_READING_DEVICE_VOLTS, 1, PL_NONE, PL_NONE};
  check_band(pl_band_of(bands, loop),
             0.095,
             0.105,
             3e-5,
             "ohms there and back: the lamp and the battery do not matter");
  check_band(pl_band_solved(bands, loop), 0.095, 0.105, 3e-5, "solved");
  check_band(pl_band_of(bands, across),
             11.541985 - 0.347669,
             11.541985 + 0.369696,
             2e-6,
             "volts across the lamp");
  kit_end(&kit);
}

/* A state that names its battery's volts and wear leaves nothing of them open. */
static void stated_battery(void) {
  struct kit kit;
  lamp_machine(&kit);
  struct pl_state state = kit_state(PL_ENGINE_STOPPED);
  state.battery_volts = 12.6;
  state.battery_worn = 1;
  PL_PUSH(&kit.arena, &kit.harness.states, state);
  kit.network = pl_network_new(&kit.harness, &kit.arena);
  pl_network_solve(kit.network, 0, &kit.solution, NULL);
  check_band(pl_band_of(pl_bands_take(kit.network, &kit.solution), volts_of(&kit, "E1.+")),
             11.541985 - 0.140970,
             11.541985 + 0.140970,
             2e-6,
             "0.04405 of the wire and 0.09692 of the lamp");
  kit_end(&kit);
}

static void contacts(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12, 1e-6);
  kit_at(&kit, "BAT")->tolerance = 0;
  d.law = PL_LAW_CURRENT;
  d.load_amps = 10;
  d.tolerance = 0;
  kit_device(&kit, d, PL_KIND_PUMP, "M1", "+ -");
  kit_no_contacts(&kit);
  struct pl_terminal blade = {.name = "blade", .ohms = 0.004, .wires_max = 9};
  PL_PUSH(&kit.arena, &kit.harness.terminals, blade);
  kit.harness.pins.at[kit_pin(&kit, "M1.+")].terminal = kit.harness.terminals.n - 1;
  kit_wire(&kit, "BAT.+", "M1.+", 0.02);
  kit_wire(&kit, "M1.-", "BAT.-", 0);
  struct pl_bands *bands = taken(&kit, PL_ENGINE_STOPPED);
  struct pl_reading drop = {PL_READING_DROP, kit_pin(&kit, "M1.+"), kit_pin(&kit, "M1.-"), PL_NONE};
  check_band(pl_band_of(bands, drop),
             0.24 - 0.01 - 0.02,
             0.24 + 0.01 + 0.04,
             1e-4,
             "copper 20 mohm 5 %, contact 4 mohm: half when new, twice when worn");
  kit_end(&kit);
}

static void gauge(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12, 1e-6);
  d.ohms = 150;
  d.tolerance = 0;
  kit_device(&kit, d, PL_KIND_GAUGE, "P1", "+ - S");
  d.ohms = 90;
  d.tolerance = 0.1;
  kit_device(&kit, d, PL_KIND_SENDER, "B1", "signal case");
  kit_no_contacts(&kit);
  kit_wire(&kit, "BAT.+", "P1.+", 0);
  kit_wire(&kit, "P1.-", "BAT.-", 0);
  kit_wire(&kit, "P1.S", "B1.signal", 0);
  kit_wire(&kit, "B1.case", "BAT.-", 0);
  struct pl_bands *bands = taken(&kit, PL_ENGINE_STOPPED);
  struct pl_reading reading = {PL_READING_GAUGE,
                               pl_harness_find_device(&kit.harness, "P1"),
                               PL_NONE,
                               PL_NONE};
  check_band(pl_band_of(bands, reading), 81, 99, 1e-4, "the sender's 10 %, whatever the battery");
  check_band(pl_band_solved(bands, reading), 81, 99, 1e-4, "solved");
  kit_end(&kit);
}

/* A relay 0.1 V above its pull-in: with a low battery it stays out, and the lamp behind it is dark.
 */
static void relay_on_the_edge(void) {
  struct kit kit;
  struct pl_device d = pl_device_blank();
  kit_start(&kit);
  kit_battery(&kit, "BAT", 12, 0.001);
  d.coil_ohms = 80;
  d.pull_in = 11.9;
  kit_device(&kit, d, PL_KIND_RELAY, "K1", "86 85 30 87");
  kit_join(&kit, &kit_at(&kit, "K1")->make, "K1.30", "K1.87");
  d = pl_device_blank();
  d.ohms = 12;
  kit_device(&kit, d, PL_KIND_LAMP, "E1", "+ -");
  kit_no_contacts(&kit);
  kit_wire(&kit, "BAT.+", "K1.86", 0);
  kit_wire(&kit, "K1.85", "BAT.-", 0);
  kit_wire(&kit, "BAT.+", "K1.30", 0);
  kit_wire(&kit, "K1.87", "E1.+", 0);
  kit_wire(&kit, "E1.-", "BAT.-", 0);
  struct pl_bands *bands = taken(&kit, PL_ENGINE_STOPPED);
  PL_CHECK(kit_on(&kit, "K1"), "in, with 12 V");
  PL_CHECK_INT(pl_band_solved(bands, volts_of(&kit, "E1.+")).moves,
               pl_harness_find_device(&kit.harness, "K1"),
               "12 V less 1.6 % are 11.808 V: it may stay out");
  PL_CHECK_INT(pl_band_solved(bands, volts_of(&kit, "K1.86")).moves,
               PL_NONE,
               "that does not matter at its own coil");
  struct pl_band *pins = PL_NEW_ARRAY(&kit.arena, struct pl_band, kit.harness.pins.n);
  pl_band_pins(bands, pins);
  PL_CHECK_INT(pins[kit_pin(&kit, "E1.+")].moves,
               pl_harness_find_device(&kit.harness, "K1"),
               "all pins at once");
  PL_CHECK_INT(pins[kit_pin(&kit, "K1.30")].moves, PL_NONE, "its feed stays within its band");
  struct pl_band one = pl_band_of(bands, volts_of(&kit, "E1.+"));
  check_band(pins[kit_pin(&kit, "E1.+")], one.low, one.high, 1e-12, "one by one the same");
  kit_end(&kit);
}

static void nothing_there(void) {
  struct kit kit;
  lamp_machine(&kit);
  kit_stud(&kit, "N1");
  struct pl_bands *bands = taken(&kit, PL_ENGINE_STOPPED);
  PL_CHECK(isnan(pl_band_of(bands, volts_of(&kit, "N1")).low),
           "a stud that nothing joins reads open");
  struct pl_reading drop = {PL_READING_DROP, kit_pin(&kit, "N1"), kit_pin(&kit, "E1.-"), PL_NONE};
  PL_CHECK(isnan(pl_band_solved(bands, drop).high), "no drop where nothing flows");
  PL_CHECK(pl_band_of(bands, volts_of(&kit, "BAT.-")).high == 0, "0 V is exact");
  kit_end(&kit);
  kit_start(&kit);
  kit_stud(&kit, "N1");
  bands = taken(&kit, PL_ENGINE_STOPPED);
  PL_CHECK(isnan(pl_band_of(bands, volts_of(&kit, "N1")).low), "no battery");
  struct pl_band pin;
  pl_band_pins(bands, &pin);
  PL_CHECK(isnan(pin.low) && isnan(pin.high), "all pins without a battery");
  kit_end(&kit);
}

/* ---- every part by itself, in the model ---- */

static uint32_t next(uint32_t *seed) {
  return *seed = *seed * 1664525u + 1013904223u;
} /* Numerical Recipes (from memory) */
static double uniform(uint32_t *seed) {
  return (double)(next(seed) >> 8) / 16777216.0;
}

enum {
  STUDS = 12,
  LOADS = 8,
  PARTS = 60
};

/* A chain of studs with two batteries, an alternator, loads of each law, a diode; `part` is moved
 * by `share` of its figure. */
static void chain(struct kit *kit, uint32_t seed, int part, double share) {
  int at = 0;
#define MOVED(figure) ((figure) * (at++ == part ? 1 + share : 1))
  kit_start(kit);
  kit_battery(kit, "B1", MOVED(12.6), 0.02);
  kit_battery(kit, "B2", MOVED(12.5), 0.03);
  for (int i = 0; i < 2; i++)
    kit->harness.devices.at[i].tolerance = 0;
  for (int i = 0; i < STUDS; i++)
    kit_stud(kit, pl_arena_printf(&kit->arena, "N%d", i));
  struct pl_device d = pl_device_blank();
  d.ohms = 0.01;
  d.tolerance = 0;
  d.set_volts = MOVED(14.2);
  d.idle_amps = 400;
  d.self_exciting = true;
  kit_device(kit, d, PL_KIND_ALTERNATOR, "G1", "B+ B-");
  for (int i = 0; i < LOADS; i++) {
    static const enum pl_load_law laws[] = {PL_LAW_RESISTANCE, PL_LAW_CURRENT, PL_LAW_POWER};
    d = pl_device_blank();
    d.law = laws[i % 3];
    d.load_volts = 12;
    d.tolerance = 0.1;
    d.load_amps = 0.5 + 4 * uniform(&seed);
    if (i % 3 == 0)
      d.ohms = MOVED(12 / d.load_amps);
    else
      d.load_amps = MOVED(d.load_amps);
    kit_device(kit, d, PL_KIND_LOAD, pl_arena_printf(&kit->arena, "M%d", i), "+ -");
  }
  kit_no_contacts(kit);
  kit_wire(kit, "B1.-", "B2.-", MOVED(0.01));
  kit_wire(kit, "B1.+", "N0", MOVED(0.01));
  kit_wire(kit, "B2.+", "N6", MOVED(0.02));
  kit_wire(kit, "G1.B+", "N3", MOVED(0.02));
  kit_wire(kit, "G1.B-", "B2.-", MOVED(0.01));
  for (int i = 1; i < STUDS; i++)
    kit_wire(kit,
             pl_arena_printf(&kit->arena, "N%d", i - 1),
             pl_arena_printf(&kit->arena, "N%d", i),
             MOVED(0.01 + 0.05 * uniform(&seed)));
  for (int i = 0; i < LOADS; i++) {
    kit_wire(kit,
             pl_arena_printf(&kit->arena, "N%u", (next(&seed) >> 8) % STUDS),
             pl_arena_printf(&kit->arena, "M%d.+", i),
             MOVED(0.05 + 0.1 * uniform(&seed)));
    kit_wire(kit,
             pl_arena_printf(&kit->arena, "M%d.-", i),
             "B1.-",
             MOVED(0.02 + 0.05 * uniform(&seed)));
  }
#undef MOVED
  CU_ASSERT_FATAL(at <= PARTS);
}

/* The tolerances of the parts in the order in which chain() counts them. */
static double spread(int part) {
  if (part < 2)
    return PL_DEFAULT(EMF_SPREAD);
  if (part == 2)
    return PL_DEFAULT(ALTERNATOR_SPREAD);
  return part < 3 + LOADS ? 0.1 : PL_DEFAULT(LENGTH_SPREAD);
}

enum {
  READINGS = 41
};

static struct pl_reading chain_reading(const struct kit *kit, int i) {
  pl_id load = pl_harness_find_device(&kit->harness, "M0") + (pl_id)(i % LOADS);
  const struct pl_device *d = &kit->harness.devices.at[load];
  switch (i / LOADS) {
    case 0:
      return (struct pl_reading){PL_READING_VOLTS, d->first_pin, PL_NONE, PL_NONE};
    case 1:
      return (struct pl_reading){PL_READING_DEVICE_VOLTS, load, PL_NONE, PL_NONE};
    case 2:
      return (struct pl_reading){PL_READING_DEVICE_AMPS, load, PL_NONE, PL_NONE};
    case 3:
      return (struct pl_reading){PL_READING_WIRE_AMPS, (pl_id)(i % LOADS), PL_NONE, PL_NONE};
    case 4:
      return (struct pl_reading){PL_READING_VOLTS, d->first_pin + 1, kit_pin(kit, "M0.+"), PL_NONE};
    default:
      return (
          struct pl_reading){PL_READING_SUPPLY, 0, 1, pl_harness_find_device(&kit->harness, "G1")};
  }
}

static double chain_figure(uint32_t seed, int part, double share, int reading) {
  static double figures[2][PARTS + 1][READINGS]; /* solved once for all readings */
  static uint32_t done_seed;
  static bool done[2][PARTS + 1];
  int side = share > 0;
  int at = part + 1;
  if (done_seed != seed)
    memset(done, 0, sizeof done);
  done_seed = seed;
  if (!done[side][at]) {
    struct kit kit;
    chain(&kit, seed, part, share);
    kit_solve(&kit, PL_ENGINE_IDLE);
    PL_CHECK_INT(kit.solution.status, PL_SOLVED, "chain");
    for (int i = 0; i < READINGS; i++)
      figures[side][at][i] = pl_reading_figure(kit.network, &kit.solution, chain_reading(&kit, i));
    kit_end(&kit);
    done[side][at] = true;
  }
  return figures[side][at][reading];
}

static void part_by_part(void) {
  double worst = 0;
  for (uint32_t seed = 1; seed <= 20; seed++) {
    struct kit kit;
    chain(&kit, seed, -1, 0);
    struct pl_bands *bands = taken(&kit, PL_ENGINE_IDLE);
    int parts = 3 + LOADS + (int)kit.harness.wires.n;
    for (int i = 0; i < READINGS; i++) {
      double half = 0;
      for (int part = 0; part < parts; part++)
        half += fabs(chain_figure(seed, part, spread(part), i) -
                     chain_figure(seed, part, -spread(part), i)) /
                2;
      struct pl_band band = pl_band_of(bands, chain_reading(&kit, i));
      double off = fabs((band.high - band.low) / 2 - half) / half;
      PL_CHECK(off < 0.02, "half a band is the sum of what each part does by itself");
      worst = fmax(worst, off);
    }
    kit_end(&kit);
  }
  printf("(820 bands, within %.1e) ", worst);
}

/* ---- drawn at random ---- */

struct draw {
  struct pl_network *network;
  const struct pl_harness *harness;
  struct pl_shift shift;
  pl_deviations all;
  unsigned drawn, outside, moved;
  double furthest;
};

/* Every part somewhere within its tolerance; every third time at one end or the other. */
static void draw_parts(struct draw *draw, uint32_t *seed) {
  bool ends = next(seed) >> 8 & 1;
  for (uint32_t k = 0; k < draw->network->elements.n; k++)
    draw->shift.ohms[k] = draw->shift.volts[k] = 0, draw->shift.times[k] = 1;
  for (uint32_t i = 0; i < draw->all.n; i++) {
    const struct pl_deviation *deviation = &draw->all.at[i];
    double at = 2 * uniform(seed) - 1;
    if (ends)
      at = at < 0 ? -1 : 1;
    for (int j = 0; j < 2; j++) {
      double by;
      if (at < 0)
        by = -at * deviation->down[j];
      else
        by = at * deviation->up[j];
      uint32_t k = deviation->element[j];
      if (k == PL_NONE)
        continue;
      if (deviation->of == PL_DEVIATES_OHMS)
        draw->shift.ohms[k] += by;
      if (deviation->of == PL_DEVIATES_VOLTS)
        draw->shift.volts[k] += by;
      if (deviation->of == PL_DEVIATES_AMPS)
        draw->shift.times[k] *= 1 + by;
    }
  }
}

static bool
is_same_set(const struct draw *draw, const struct pl_solution *a, const struct pl_solution *b) {
  for (pl_id d = 0; d < draw->harness->devices.n; d++)
    if (a->device_on[d] != b->device_on[d])
      return false;
  for (uint32_t k = 0; k < a->element_count; k++)
    if (a->elements[k].open != b->elements[k].open ||
        a->elements[k].limited != b->elements[k].limited)
      return false;
  return true;
}

static void
draw_state(struct draw *draw, pl_id state, unsigned times, uint32_t *seed, struct pl_arena *arena) {
  struct pl_solution solution;
  struct pl_solution other = {0};
  pl_network_solve(draw->network, state, &solution, NULL);
  if (solution.status != PL_SOLVED)
    return;
  struct pl_bands *bands = pl_bands_take(draw->network, &solution);
  struct pl_band *pins = PL_NEW_ARRAY(arena, struct pl_band, draw->harness->pins.n);
  pl_band_pins(bands, pins);
  draw->all.n = 0;
  pl_deviations_list(draw->network, &draw->harness->states.at[state], &solution, true, &draw->all);
  for (unsigned i = 0; i < times; i++) {
    draw_parts(draw, seed);
    draw->network->shift = &draw->shift;
    pl_network_solve_again(draw->network, &draw->harness->states.at[state], &other, NULL);
    draw->network->shift = NULL;
    if (!is_same_set(draw, &solution, &other)) {
      draw->moved++;
      continue;
    }
    for (pl_id p = 0; p < draw->harness->pins.n; p++) {
      double width = pins[p].high - pins[p].low;
      double out = fmax(pins[p].low - other.pin_volts[p], other.pin_volts[p] - pins[p].high);
      if (isnan(other.pin_volts[p]))
        continue;
      draw->drawn++;
      if (out > 0)
        draw->furthest = fmax(draw->furthest, out / (width + 1e-3));
      if (out > 0.1 * width + 2e-3)
        draw->outside++;
    }
  }
}

static void draw_demo(const char *path, unsigned times) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  uint32_t seed = 7;
  pl_test_arena(&arena);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_harness_init(&harness, &arena);
  CU_ASSERT_FATAL(pl_build(path, &pl_reader_disk, &sources, &findings, &harness));
  struct draw draw = {.network = pl_network_new(&harness, &arena), .harness = &harness};
  uint32_t n = draw.network->elements.n;
  draw.shift = (struct pl_shift){PL_NEW_ARRAY(&arena, double, n),
                                 PL_NEW_ARRAY(&arena, double, n),
                                 PL_NEW_ARRAY(&arena, double, n)};
  for (pl_id s = 0; s < harness.states.n; s++)
    draw_state(&draw, s, times, &seed, &arena);
  PL_CHECK(draw.drawn > 1000, "readings were drawn");
  PL_CHECK(draw.outside * 10000 <= draw.drawn,
           "all but one of ten thousand inside their bands, which slopes only estimate");
  printf("(%u readings drawn, %.1e of a band outside at most; %u draws changed a relay, module or "
         "limit) ",
         draw.drawn,
         draw.furthest,
         draw.moved);
  pl_network_release(draw.network);
  pl_arena_release(&arena);
}

static void draw_pump_skid(void) {
  draw_demo(pl_test_path("harnesses/pump-skid/pump-skid.loom"), 40);
}
static void draw_snowplow(void) {
  draw_demo(pl_test_path("harnesses/snowplow/snowplow.loom"), 12);
}

CU_TestInfo network_band_tests[] = {{"a lamp by hand", by_hand},
                                    {"a battery that the state names", stated_battery},
                                    {"contacts new and worn", contacts},
                                    {"gauge", gauge},
                                    {"a relay on the edge", relay_on_the_edge},
                                    {"nothing to read", nothing_there},
                                    {"part by part", part_by_part},
                                    {"drawn at random: pump skid", draw_pump_skid},
                                    {"drawn at random: snowplow", draw_snowplow},
                                    CU_TEST_INFO_NULL};
