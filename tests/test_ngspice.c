/* Random machines solved a second time by ngspice, an independent circuit simulator, from the laws
 * of docs/electrical.md and not from what settled: its netlist has a piecewise diode, a controlled
 * switch for every contact of a relay, controlled sources for loads of steady current and power and
 * for sources at their limit.  It is run where it is installed and left out elsewhere (exit status
 * 77).
 *
 * A machine is told by its seed and how many things it has; a thing is the same however many
 * follow.  One that differs is halved as long as it still differs, and told.  PL_MACHINES=n looks
 * at n machines instead, PL_SEED=s begins there. */
#include <time.h>
#include <unistd.h>

#include "network_kit.h"

enum {
  MACHINES = 320,
  TOGETHER = 16,
  FIRST_SEED = 4100,
  LEAST_THINGS = 4,
  MOST_THINGS = 400
};
static const double close_linear = 1e-6, close_modes = 1e-4,
                    no_volts = 2e-8; /* shares of the volts; volts too small to be told in shares */

/* ---- a machine ---- */

struct machine {
  uint32_t seed, things;
  bool linear;
  double amps;
}; /* amps: of all loads together, about */

/* The same numbers on every machine: splitmix64 (Steele, Lea and Flood 2014, from memory); each
 * thing has its own row of them. */
static uint64_t mixed(uint64_t z) {
  z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
  z = (z ^ z >> 27) * 0x94d049bb133111ebu;
  return z ^ z >> 31;
}
static double uniform(uint64_t *row) {
  return (double)(mixed(*row += 0x9e3779b97f4a7c15u) >> 11) / 9007199254740992.0;
}
static uint32_t below(uint64_t *row, uint32_t n) {
  return (uint32_t)(uniform(row) * n);
}
static double log_uniform(uint64_t *row, double low, double high) {
  return low * pow(high / low, uniform(row));
}

static struct machine machine_of(uint32_t seed) {
  uint64_t row = mixed(seed);
  struct machine m = {.seed = seed, .linear = seed % 3 == 0};
  m.things = (uint32_t)log_uniform(&row, LEAST_THINGS, MOST_THINGS);
  m.amps = 12.0 / m.things;
  return m;
}

static const char *name(struct kit *kit, const char *letter, uint32_t i) {
  return pl_arena_printf(&kit->arena, "%s%u", letter, i);
}
static const char *pin(struct kit *kit, const char *device, const char *of) {
  return pl_arena_printf(&kit->arena, "%s.%s", device, of);
}

/* A feed stud F and a ground stud G before thing i; one in four times a stud S that a contact or
 * diode of an earlier thing feeds. */
static const char *a_feed(struct kit *kit, uint64_t *row, uint32_t i) {
  uint32_t j = below(row, i);
  const char *behind = name(kit, "S", j);
  if (below(row, 4) == 0 && pl_harness_find_device(&kit->harness, behind) != PL_NONE)
    return behind;
  return name(kit, "F", j);
}
static const char *a_ground(struct kit *kit, uint64_t *row, uint32_t i) {
  return name(kit, "G", below(row, i));
}

static void add_load(struct kit *kit,
                     uint64_t *row,
                     const struct machine *m,
                     const char *device,
                     const char *plus,
                     const char *minus) {
  struct pl_device d = pl_device_blank();
  uint32_t law = m->linear ? 0 : below(row, 3);
  double amps = m->amps * log_uniform(row, 0.1, 3);
  if (law == 0)
    d.ohms = 12 / amps;
  else
    d.law = law == 1 ? PL_LAW_CURRENT : PL_LAW_POWER, d.load_volts = 12, d.load_amps = amps,
    d.need_min = 5 + 2 * uniform(row);
  kit_device(kit, d, PL_KIND_LOAD, device, "+ -");
  kit_wire(kit, plus, pin(kit, device, "+"), log_uniform(row, 1e-3, 0.2));
  kit_wire(kit, pin(kit, device, "-"), minus, log_uniform(row, 1e-3, 0.2));
}

static void
add_relay(struct kit *kit, uint64_t *row, const char *device, const char *stud, uint32_t i) {
  struct pl_device d = pl_device_blank();
  d.ohms = log_uniform(row, 1e-3, 0.02);
  d.coil_ohms = 60 + 100 * uniform(row);
  d.pull_in = 5;
  d.drop_out = 4.6;
  kit_device(kit, d, PL_KIND_RELAY, device, "86 85 30 87 87a");
  kit_join(kit, &kit_at(kit, device)->make, pin(kit, device, "30"), pin(kit, device, "87"));
  kit_join(kit, &kit_at(kit, device)->brk, pin(kit, device, "30"), pin(kit, device, "87a"));
  kit_wire(kit, a_feed(kit, row, i), pin(kit, device, "86"), 0.05);
  kit_wire(kit, pin(kit, device, "85"), a_ground(kit, row, i), 0.05);
  kit_wire(kit,
           name(kit, "F", below(row, i)),
           pin(kit, device, "30"),
           log_uniform(row, 1e-3, 0.05));
  kit_wire(kit,
           pin(kit, device, below(row, 3) == 0 ? "87a" : "87"),
           stud,
           log_uniform(row, 1e-3, 0.05));
}

static void
add_switch(struct kit *kit, uint64_t *row, const char *device, const char *stud, uint32_t i) {
  struct pl_device d = pl_device_blank();
  d.ohms = log_uniform(row, 1e-3, 0.02);
  kit_device(kit, d, PL_KIND_SWITCH, device, "in out");
  kit_throw(kit, device, "off", NULL, NULL);
  kit_throw(kit, device, "on", pin(kit, device, "in"), pin(kit, device, "out"));
  kit_at(kit, device)->rest = below(row, 2);
  kit_wire(kit, a_feed(kit, row, i), pin(kit, device, "in"), 0.01);
  kit_wire(kit, pin(kit, device, "out"), stud, 0.01);
}

/* One in three the wrong way round. */
static void
add_diode(struct kit *kit, uint64_t *row, const char *device, const char *stud, uint32_t i) {
  struct pl_device d = pl_device_blank();
  bool wrong = below(row, 3) == 0;
  d.drop = 0.3 + uniform(row);
  d.ohms = log_uniform(row, 5e-3, 0.1);
  kit_device(kit, d, PL_KIND_DIODE, device, "A K");
  kit_wire(kit, a_feed(kit, row, i), pin(kit, device, wrong ? "K" : "A"), 0.01);
  kit_wire(kit, pin(kit, device, wrong ? "A" : "K"), stud, 0.01);
}

static void add_alternator(struct kit *kit, uint64_t *row, const char *device, uint32_t i) {
  struct pl_device d = pl_device_blank();
  d.set_volts = 12 + 3 * uniform(row); /* some below the battery: they give nothing */
  d.ohms = log_uniform(row, 5e-3, 0.05);
  d.idle_amps = log_uniform(row, 1, 60);
  d.self_exciting = true;
  kit_device(kit, d, PL_KIND_ALTERNATOR, device, "B+ B-");
  kit_wire(kit, pin(kit, device, "B+"), name(kit, "F", below(row, i)), 0.005);
  kit_wire(kit, pin(kit, device, "B-"), name(kit, "G", below(row, i)), 0.005);
}

/* Each thing brings a feed and a ground stud on its tree, sometimes a second way to it, and a part
 * with what hangs on it. */
static void add_thing(struct kit *kit, const struct machine *m, uint32_t i) {
  uint64_t own = mixed(((uint64_t)m->seed << 32) + i);
  uint64_t *row = &own;
  const char *device = name(kit, "D", i);
  const char *stud = name(kit, "S", i);
  uint32_t kind = m->linear ? below(row, 3) : below(row, 8);
  kit_stud(kit, name(kit, "F", i));
  kit_stud(kit, name(kit, "G", i));
  kit_wire(kit, name(kit, "F", below(row, i)), name(kit, "F", i), log_uniform(row, 1e-3, 0.05));
  kit_wire(kit, name(kit, "G", below(row, i)), name(kit, "G", i), log_uniform(row, 1e-3, 0.05));
  if (below(row, 4) == 0)
    kit_wire(kit, name(kit, "F", below(row, i)), name(kit, "F", i), log_uniform(row, 1e-3, 0.5));
  if (kind == 0 || kind == 7) {
    add_load(kit, row, m, device, a_feed(kit, row, i), a_ground(kit, row, i));
    return;
  }
  if (kind == 6 && i % 5 == 0) {
    add_alternator(kit, row, device, i);
    return;
  }
  const char *load = name(kit, "L", i);
  if (kind == 2 || kind == 3 || kind == 4 || kind == 5)
    kit_stud(kit, stud);
  if (kind == 2)
    add_switch(kit, row, device, stud, i);
  if (kind == 3 || kind == 4)
    add_relay(kit, row, device, stud, i);
  if (kind == 5)
    add_diode(kit, row, device, stud, i);
  add_load(kit,
           row,
           m,
           load,
           kind >= 2 && kind <= 5 ? stud : name(kit, "F", i),
           a_ground(kit, row, i));
}

static void build(struct kit *kit, const struct machine *m) {
  uint64_t row = mixed(m->seed + 1000003u);
  kit_start(kit);
  kit_battery(kit, "BAT", 12.6, log_uniform(&row, 2e-3, 0.02));
  kit_stud(kit, "F0");
  kit_stud(kit, "G0");
  kit_wire(kit, "BAT.+", "F0", 0.002);
  kit_wire(kit, "G0", "BAT.-", 0.002);
  for (uint32_t i = 1; i <= m->things; i++)
    add_thing(kit, m, i);
  kit_no_contacts(kit);
}

/* ---- its netlist, from the laws ---- */

enum law {
  AS_IS,
  POWER_AS_CURRENT
}; /* the second is wrong on purpose */

static uint32_t node(const struct kit *kit, pl_id pin) {
  if (pin == kit->harness.devices.at[0].first_pin + 1)
    return 0;
  return pin + 1;
}

static void put_load(FILE *f, const struct kit *kit, pl_id id, enum law law) {
  const struct pl_device *d = &kit->harness.devices.at[id];
  uint32_t a = node(kit, d->first_pin);
  uint32_t b = node(kit, d->first_pin + 1);
  double amps = d->load_amps;
  double watts = d->load_volts * d->load_amps;
  double knee = d->need_min;
  if (d->law == PL_LAW_RESISTANCE)
    fprintf(f, "R%u %u %u %.15g\n", id, a, b, d->ohms);
  else if (d->law == PL_LAW_CURRENT || law == POWER_AS_CURRENT)
    fprintf(f,
            "B%u %u %u I = V(%u,%u) > %.15g ? %.15g : V(%u,%u)*%.15g\n",
            id,
            a,
            b,
            a,
            b,
            knee,
            amps,
            a,
            b,
            amps / knee);
  else
    fprintf(f,
            "B%u %u %u I = V(%u,%u) > %.15g ? %.15g/V(%u,%u) : V(%u,%u)*%.15g\n",
            id,
            a,
            b,
            a,
            b,
            knee,
            watts,
            a,
            b,
            a,
            b,
            watts / (knee * knee));
}

static void put_relay(FILE *f, const struct kit *kit, pl_id id) {
  const struct pl_device *d = &kit->harness.devices.at[id];
  uint32_t p[5];
  for (uint32_t i = 0; i < 5; i++)
    p[i] = node(kit, d->first_pin + i);
  fprintf(f, "R%u %u %u %.15g\n", id, p[0], p[1], d->coil_ohms);
  fprintf(f, "S%u %u %u %u %u make%u\n", id, p[2], p[3], p[0], p[1], id);
  fprintf(f, ".model make%u SW(vt=4.8 vh=0.2 ron=%.15g roff=1e13)\n", id, d->ohms);
  fprintf(f,
          "S%ub %u %u %u %u brk%u ON\n",
          id,
          p[2],
          p[4],
          p[1],
          p[0],
          id); /* the coil turned round: closed below */
  fprintf(f, ".model brk%u SW(vt=-4.8 vh=0.2 ron=%.15g roff=1e13)\n", id, d->ohms);
}

static void put_device(FILE *f, const struct kit *kit, pl_id id, enum law law) {
  const struct pl_device *d = &kit->harness.devices.at[id];
  if (d->pin_count < 2)
    return;
  uint32_t a = node(kit, d->first_pin);
  uint32_t b = node(kit, d->first_pin + 1);
  switch ((int)d->kind) { /* the few kinds that this test builds */
    case PL_KIND_BATTERY:
      fprintf(f, "V%u i%u %u %.15g\nR%u i%u %u %.15g\n", id, id, b, d->emf, id, id, a, d->ohms);
      break;
    case PL_KIND_LOAD:
      put_load(f, kit, id, law);
      break;
    case PL_KIND_RELAY:
      put_relay(f, kit, id);
      break;
    case PL_KIND_SWITCH:
      if (d->rest == 1)
        fprintf(f, "R%u %u %u %.15g\n", id, a, b, d->ohms);
      break;
    case PL_KIND_DIODE:
      fprintf(f,
              "B%u %u %u I = V(%u,%u) > %.15g ? (V(%u,%u)-%.15g)*%.15g : 0\n",
              id,
              a,
              b,
              a,
              b,
              d->drop,
              a,
              b,
              d->drop,
              1 / d->ohms);
      break;
    case PL_KIND_ALTERNATOR:
      fprintf(f,
              "B%u %u %u I = min(max((%.15g-V(%u,%u))*%.15g,0),%.15g)\n",
              id,
              b,
              a,
              d->set_volts,
              a,
              b,
              1 / d->ohms,
              d->idle_amps);
      break;
    default:
      CU_FAIL("a kind without a law here");
  }
}

/* What no element joins floats here; a resistance far above all others gives every node one answer
 * there. */
static void write_netlist(const struct kit *kit, const char *path, enum law law) {
  FILE *f = fopen(path, "w");
  CU_ASSERT_FATAL(f != NULL);
  fprintf(f, "* a random machine\n");
  for (pl_id w = 0; w < kit->harness.wires.n; w++) {
    const struct pl_wire *wire = &kit->harness.wires.at[w];
    fprintf(f,
            "Rw%u %u %u %.15g\n",
            w,
            node(kit, wire->end[0]),
            node(kit, wire->end[1]),
            wire->ohms_per_m * wire->length + 2e-12);
  }
  for (pl_id id = 0; id < kit->harness.devices.n; id++)
    put_device(f, kit, id, law);
  for (pl_id p = 0; p < kit->harness.pins.n; p++)
    if (node(kit, p) != 0)
      fprintf(f, "Rn%u %u 0 1e13\n", p, node(kit, p));
  for (pl_id p = 0; p < kit->harness.pins.n;
       p++) /* where it may begin to look; what it then finds is its own */
    if (node(kit, p) != 0 && !isnan(kit->solution.pin_volts[p]))
      fprintf(f, ".nodeset V(%u)=%.3f\n", node(kit, p), kit->solution.pin_volts[p]);
  fprintf(f, ".options reltol=1e-9 abstol=1e-12 vntol=1e-10 gmin=1e-15 itl1=2000\n.end\n");
  fclose(f);
}

/* ---- both answers ---- */

struct compared {
  double worst;
  pl_id where;
  uint32_t nodes, elements;
  bool told;
}; /* told: the simulator found an answer; worst: in shares of what is allowed */

static bool read_raw(const char *path, double *volts, uint32_t nodes) {
  char line[400];
  uint32_t count = 0;
  uint32_t at = 0;
  int part = 0;
  bool operating = false;
  FILE *file = fopen(path, "r");
  if (file == NULL)
    return false;
  uint32_t *order = malloc(((size_t)nodes + 64) * 2 * sizeof *order);
  while (fgets(line, sizeof line, file) != NULL) {
    unsigned index, number;
    if (strncmp(line, "Plotname: Operating Point", 25) == 0)
      operating = true;
    if (strncmp(line, "Variables:", 10) == 0)
      part = 1;
    else if (strncmp(line, "Values:", 7) == 0)
      part = 2;
    else if (part == 1 && count < 2 * nodes)
      order[count++] =
          sscanf(line, " %u v(%u)", &index, &number) == 2 && number < nodes ? number : UINT32_MAX;
    else if (part == 2 && at < count) {
      const char *value = strrchr(line, '\t');
      if (value != NULL && order[at] != UINT32_MAX)
        volts[order[at]] = strtod(value + 1, NULL);
      if (value != NULL)
        at++;
    }
  }
  free(order);
  fclose(file);
  return operating && at == count && count > 0;
}

static void
compare(const struct kit *kit, const struct machine *m, const char *raw, struct compared *c) {
  uint32_t nodes = kit->harness.pins.n + 1;
  double *volts = malloc(nodes * sizeof *volts);
  double near = m->linear ? close_linear : close_modes;
  for (uint32_t i = 0; i < nodes; i++)
    volts[i] = NAN;
  *c = (struct compared){.told = read_raw(raw, volts, nodes),
                         .elements = kit->solution.element_count,
                         .where = PL_NONE};
  for (pl_id p = 0; c->told && p < kit->harness.pins.n; p++) {
    double ours = kit->solution.pin_volts[p];
    double theirs = volts[node(kit, p)];
    if (node(kit, p) == 0 || isnan(ours))
      continue;
    double off = fabs(ours - theirs) / (near * fabs(ours) + no_volts);
    c->nodes++;
    if (off <= c->worst)
      continue;
    c->worst = isnan(off) ? INFINITY : off;
    c->where = p;
  }
  free(volts);
}

struct workshop {
  char folder[40];
};

/* Solves machines here and in one run of ngspice. */
static void solve_both(const struct workshop *shop,
                       const struct machine *machines,
                       uint32_t count,
                       enum law law,
                       struct compared *results) {
  struct kit *kits = malloc(count * sizeof *kits);
  char path[100], command[200];
  snprintf(path, sizeof path, "%s/run.cir", shop->folder);
  FILE *run = fopen(path, "w");
  CU_ASSERT_FATAL(run != NULL && kits != NULL);
  fprintf(run, "* run\n.control\nset filetype=ascii\nset numdgt=15\n");
  for (uint32_t i = 0; i < count; i++) {
    build(&kits[i], &machines[i]);
    kit_solve(&kits[i], PL_ENGINE_IDLE);
    snprintf(path, sizeof path, "%s/%u.cir", shop->folder, i);
    write_netlist(&kits[i], path, law);
    fprintf(run, "source %u.cir\nop\nwrite %u.raw all\ndestroy all\nremcirc\n", i, i);
  }
  fprintf(run, "quit\n.endc\n.end\n");
  fclose(run);
  snprintf(command,
           sizeof command,
           "cd %s && timeout 20 ngspice -b run.cir >out 2>&1",
           shop->folder);
  int status = system(command);
  (void)status; /* what it did not solve has no raw file */
  for (uint32_t i = 0; i < count; i++) {
    snprintf(path, sizeof path, "%s/%u.raw", shop->folder, i);
    compare(&kits[i], &machines[i], path, &results[i]);
    if (kits[i].solution.status != PL_SOLVED)
      results[i].worst = INFINITY;
    remove(path);
    snprintf(path, sizeof path, "%s/%u.cir", shop->folder, i);
    remove(path);
    kit_end(&kits[i]);
  }
  free(kits);
}

/* Halves a machine that differs as long as it still does; the smallest in words. */
static struct machine shrink(const struct workshop *shop,
                             struct machine m,
                             enum law law,
                             struct compared *c,
                             char text[300]) {
  for (;;) {
    struct machine half = m;
    struct compared result;
    half.things = m.things / 2;
    if (half.things < 1)
      break;
    solve_both(shop, &half, 1, law, &result);
    if (!result.told || !(result.worst > 1))
      break;
    m = half;
    *c = result;
  }
  struct kit kit;
  build(&kit, &m);
  snprintf(text,
           300,
           "seed %u, %u things, %u elements: %s differs by %.3g times what is allowed",
           m.seed,
           m.things,
           c->elements,
           c->where == PL_NONE ? "the state" : kit.harness.pins.at[c->where].full,
           c->worst);
  kit_end(&kit);
  return m;
}

static void open_shop(struct workshop *shop) {
  snprintf(shop->folder, sizeof shop->folder, "/tmp/pinloom-ngspice-XXXXXX");
  CU_ASSERT_FATAL(mkdtemp(shop->folder) != NULL);
}

static void close_shop(struct workshop *shop) {
  static const char *const files[] = {"run.cir", "out", "bsim4v5.out"};
  char path[100];
  for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
    snprintf(path, sizeof path, "%s/%s", shop->folder, files[i]);
    remove(path);
  }
  rmdir(shop->folder);
}

/* ---- tests ---- */

static uint32_t number_or(const char *variable, uint32_t other) {
  const char *text = getenv(variable);
  if (text != NULL)
    return (uint32_t)strtoul(text, NULL, 10);
  return other;
}

static void random_machines(void) {
  struct workshop shop;
  uint32_t machines = number_or("PL_MACHINES", MACHINES);
  uint32_t seed = number_or("PL_SEED", FIRST_SEED);
  uint32_t compared = 0;
  uint32_t untold = 0;
  uint32_t modes = 0;
  uint32_t nodes = 0;
  uint32_t least = UINT32_MAX;
  uint32_t most = 0;
  double worst[2] = {0, 0};
  open_shop(&shop);
  for (uint32_t done = 0; done < machines; done += TOGETHER) {
    struct machine some[TOGETHER];
    struct compared results[TOGETHER];
    uint32_t n = machines - done < TOGETHER ? machines - done : TOGETHER;
    for (uint32_t i = 0; i < n; i++)
      some[i] = machine_of(seed + done + i);
    solve_both(&shop, some, n, AS_IS, results);
    for (uint32_t i = 0; i < n; i++) {
      if (!results[i].told) {
        untold++;
        continue;
      }
      compared++;
      modes += !some[i].linear;
      nodes += results[i].nodes;
      if (results[i].elements < least)
        least = results[i].elements;
      if (results[i].elements > most)
        most = results[i].elements;
      worst[some[i].linear] = fmax(worst[some[i].linear], results[i].worst);
      char text[300] = "";
      if (results[i].worst > 1)
        shrink(&shop, some[i], AS_IS, &results[i], text);
      PL_CHECK(text[0] == '\0', text);
    }
  }
  close_shop(&shop);
  if (machines >= MACHINES)
    PL_CHECK(compared >= 300 && modes >= 150,
             "ngspice found an answer for 300 at least, half of them with modes");
  if (machines >= MACHINES)
    PL_CHECK(least <= 30 && most >= 2500 && nodes > 100000, "from 20 to 3,000 elements");
  printf("(%u machines, %u with modes, %u to %u elements, %u volts; ngspice gave up on %u; worst "
         "%.1e linear, %.1e with modes) ",
         compared,
         modes,
         least,
         most,
         nodes,
         untold,
         worst[1] * close_linear,
         worst[0] * close_modes);
}

/* The test must be able to fail: a wrong law is seen, and the machine that shows it is halved. */
static void wrong_law_is_seen(void) {
  struct workshop shop;
  unsigned seen = 0;
  unsigned halved = 0;
  open_shop(&shop);
  for (uint32_t seed = 1; seed <= 12; seed++) {
    struct machine m = machine_of(seed);
    struct machine small;
    struct compared result;
    char text[300];
    if (m.linear || m.things < 30)
      continue;
    solve_both(&shop, &m, 1, POWER_AS_CURRENT, &result);
    if (!result.told || !(result.worst > 1))
      continue;
    seen++;
    small = shrink(&shop, m, POWER_AS_CURRENT, &result, text);
    halved += small.things <= m.things / 2;
    PL_CHECK(result.worst > 1 && result.where != PL_NONE, text);
  }
  close_shop(&shop);
  PL_CHECK(seen >= 2 && halved >= 2, "steady power taken as steady current");
  printf("(%u seen, %u halved) ", seen, halved);
}

static CU_TestInfo tests[] = {{"random machines by their laws", random_machines},
                              {"a wrong law is seen", wrong_law_is_seen},
                              CU_TEST_INFO_NULL};

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("ngspice", tests), CU_SUITE_INFO_NULL};
  if (system("ngspice --version >/dev/null 2>&1") != 0) {
    printf("test_ngspice: SKIPPED, ngspice is not installed (apt-get install ngspice)\n");
    return 77;
  }
  return pl_test_main(suites);
}
