/* The fast way through single faults against full solutions: demos, small machines, random
 * networks. */
#include <glob.h>

#include "fault/shadow_inner.h"
#include "model/build.h"
#include "network_kit.h"
#include "test_fault.h"

/* ---- comparing ---- */

struct comparing {
  struct pl_network *network;
  const struct pl_harness *harness;
  const struct pl_state *state;
  const pl_faults *faults;
  struct pl_arena *arena;
  struct compared *compared;
  uint32_t at;
  double *largest; /* by node, amps */
  struct pl_solution full;
  double near;
};

static void
complain(struct comparing *c, const char *what, uint32_t where, double got, double expected) {
  struct compared *all = c->compared;
  if (all->wrong++ > 0)
    return;
  snprintf(all->first,
           sizeof all->first,
           "state %s, %s (fault %u): %s %u: got %.12g, in full %.12g",
           c->state->name,
           pl_fault_text(c->harness, &c->faults->at[c->at], c->arena),
           c->at,
           what,
           where,
           got,
           expected);
}

static void measure_nodes(struct comparing *c, const struct pl_solution *full) {
  for (uint32_t n = 0; n < pl_network_node_count(c->network); n++)
    c->largest[n] = 0;
  for (uint32_t k = 0; k < full->element_count; k++) {
    const struct pl_element *e = &full->elements[k];
    c->largest[e->node_a] = fmax(c->largest[e->node_a], fabs(e->amps));
    c->largest[e->node_b] = fmax(c->largest[e->node_b], fabs(e->amps));
  }
}

static void compare_volts(struct comparing *c,
                          const struct pl_fault_view *view,
                          const struct pl_solution *full) {
  double most = 0;
  uint32_t nodes = pl_network_node_count(c->network);
  for (uint32_t n = 0; n < nodes; n++)
    if (!isnan(full->node_volts[n]))
      most = fmax(most, fabs(full->node_volts[n]));
  for (uint32_t n = 0; n < nodes; n++) {
    double got = view->node_volts[n];
    double expected = full->node_volts[n];
    double off = fabs(got - expected) / (most + 1);
    if (isnan(got) != isnan(expected)) {
      complain(c, "floating node", n, got, expected);
      continue;
    }
    if (isnan(got))
      continue;
    c->compared->worst_volts = fmax(c->compared->worst_volts, off);
    if (!(off <= c->near))
      complain(c, "volts of node", n, got, expected);
  }
}

static void compare_elements(struct comparing *c,
                             const struct pl_fault_view *view,
                             const struct pl_solution *full) {
  measure_nodes(c, full);
  for (uint32_t k = 0; k < full->element_count; k++) {
    const struct pl_element *got = &view->elements[k];
    const struct pl_element *expected = &full->elements[k];
    double most = fmax(c->largest[expected->node_a], c->largest[expected->node_b]);
    double off = fabs(got->amps - expected->amps) / (most + 1);
    c->compared->worst_amps = fmax(c->compared->worst_amps, off);
    if (!(off <= c->near))
      complain(c, "amps of element", k, got->amps, expected->amps);
    if ((got->open != expected->open || got->limited != expected->limited) &&
        fmax(fabs(got->amps), fabs(expected->amps)) > 1e-9)
      complain(c,
               "mode of element",
               k,
               got->open * 2 + got->limited,
               expected->open * 2 + expected->limited);
    if (got->node_a != expected->node_a || got->node_b != expected->node_b)
      complain(c, "ends of element", k, got->node_a, expected->node_a);
  }
}

/* In full, into the same arrays each time and with the healthy state solved but once:
 * pl_network_solve_fault in parts.  Now and then that itself. */
static void
solve_in_full(struct comparing *c, const struct pl_fault *fault, struct pl_solution *full) {
  struct pl_shadow *shadow = pl_sweep_shadow(c->network);
  if (c->at % 97 == 0) {
    struct pl_solution whole;
    pl_network_solve_fault(c->network, c->state, fault, &whole);
    PL_CHECK_INT(whole.element_count, shadow->join + 1, "one element more: the join");
  }
  if (c->at == 0)
    pl_shadow_warm(shadow, c->state);
  pl_shadow_break(shadow, fault);
  pl_shadow_solve(shadow, c->state, full);
  pl_shadow_mend(shadow);
}

static void compare_fault(void *context, const struct pl_fault_view *view) {
  struct comparing *c = context;
  struct pl_solution full = c->full;
  struct compared *all = c->compared;
  PL_CHECK(view->fault == &c->faults->at[c->at], "in order");
  all->faults++;
  all->in_full += view->in_full;
  solve_in_full(c, view->fault, &full);
  c->full = full;
  if (view->status == PL_SOLVED &&
      full.status ==
          PL_SOLVE_FAILED) { /* the full way gave up within its steps; the fast way closed */
    all->only_fast++;
    c->at++;
    return;
  }
  if (view->status != full.status)
    complain(c, "status", 0, view->status, full.status);
  all->not_solved += full.status != PL_SOLVED;
  if (view->element_count != full.element_count)
    complain(c, "elements", 0, view->element_count, full.element_count);
  if (view->status == full.status && view->element_count == full.element_count) {
    compare_volts(c, view, &full);
    compare_elements(c, view, &full);
    for (pl_id d = 0; d < c->harness->devices.n; d++)
      if (view->device_on[d] != full.device_on[d])
        complain(c, "device", d, view->device_on[d], full.device_on[d]);
  }
  c->at++;
}

void compare_state(struct pl_network *network,
                   const struct pl_harness *harness,
                   pl_id state,
                   const pl_faults *faults,
                   struct compared *compared) {
  struct pl_state rest = pl_state_blank();
  struct pl_arena own;
  struct comparing c = {.harness = harness,
                        .faults = faults,
                        .arena = &own,
                        .compared = compared,
                        .state = state < harness->states.n ? &harness->states.at[state] : &rest};
  c.near = 1e-9;
  for (pl_id d = 0; d < harness->devices.n; d++)
    if (harness->devices.at[d].law == PL_LAW_POWER)
      c.near = 1e-8;
  pl_test_arena(&own);
  c.network = pl_network_new(harness, &own); /* the sweep's own is in use */
  c.largest = PL_NEW_ARRAY(&own, double, pl_network_node_count(network) + 1);
  pl_network_sweep(network, state, faults->at, faults->n, compare_fault, &c);
  PL_CHECK_INT(c.at, faults->n, "each fault once");
  pl_network_release(c.network);
  pl_arena_release(&own);
}

/* ---- more than one thing broken ---- */

static struct pl_fault shared(enum pl_fault_kind kind, pl_id device, pl_id pin) {
  return (struct pl_fault){.kind = kind,
                           .wire = PL_NONE,
                           .device = device,
                           .pin_a = pin,
                           .pin_b = PL_NONE};
}

/* Causes that many faults share, and every third single fault once more with one or two fuses blown
 * besides. */
static void
add_shared(const struct pl_harness *harness, struct pl_arena *arena, pl_faults *faults) {
  uint32_t singles = faults->n;
  pl_ids fuses = {0};

  for (pl_id c = 0; c < harness->connectors.n; c++)
    if (harness->connectors.at[c].pin_count > 0)
      PL_PUSH(arena,
              faults,
              shared(PL_FAULT_UNPLUGGED, PL_NONE, harness->connectors.at[c].first_pin));
  for (pl_id d = 0; d < harness->devices.n; d++) {
    enum pl_kind kind = harness->devices.at[d].kind;
    if (pl_kind_is_node(kind))
      PL_PUSH(arena, faults, shared(PL_FAULT_LOOSE, d, PL_NONE));
    if (kind == PL_KIND_MODULE)
      PL_PUSH(arena, faults, shared(PL_FAULT_DEAD, d, PL_NONE));
    if (pl_kind_is_protection(kind))
      PL_PUSH(arena, &fuses, d);
  }
  for (uint32_t i = 0; i < singles && fuses.n > 0; i += 3) {
    struct pl_fault fault = faults->at[i];
    pl_id *blown = PL_NEW_ARRAY(arena, pl_id, 2);
    blown[0] = fuses.at[i % fuses.n];
    blown[1] = fuses.at[(i + 1) % fuses.n];
    fault.blown = blown;
    fault.blown_count = 1 + i % 2;
    PL_PUSH(arena, faults, fault);
  }
}

/* ---- texts ---- */

static void compare_text(const char *path, struct compared *all) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  pl_faults faults;
  pl_test_arena(&arena);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_harness_init(&harness, &arena);
  if (pl_build(path, &pl_reader_disk, &sources, &findings, &harness)) {
    struct pl_network *network = pl_network_new(&harness, &arena);
    pl_faults_list(&harness, &arena, &faults);
    add_shared(&harness, &arena, &faults);
    for (pl_id state = 0; state < harness.states.n; state++)
      compare_state(network, &harness, state, &faults, all);
    pl_network_release(network);
  }
  pl_arena_release(&arena);
}

static void report(const struct compared *all, const char *what) {
  if (all->wrong > 0)
    printf("%s: %u differ, the first: %s\n", what, all->wrong, all->first);
  PL_CHECK_INT(all->wrong, 0, what);
  printf(
      "(%u faults, %u in full, %u not solved, %u solved the fast way only; volts %.1e, amps %.1e) ",
      all->faults,
      all->in_full,
      all->not_solved,
      all->only_fast,
      all->worst_volts,
      all->worst_amps);
}

static void pump_skid(void) {
  struct compared all = {0};
  compare_text(pl_test_path("harnesses/pump-skid/pump-skid.loom"), &all);
  PL_CHECK(all.faults > 100, "the skid has faults");
  report(&all, "pump skid");
}

static void snowplow(void) {
  struct compared all = {0};
  compare_text(pl_test_path("harnesses/snowplow/snowplow.loom"), &all);
  PL_CHECK(all.faults > 1000, "the snowplow has faults");
  report(&all, "snowplow");
}

/* Every small harness of the rules, sound or not. */
static void small_harnesses(void) {
  struct compared all = {0};
  glob_t found;
  CU_ASSERT_FATAL(glob(pl_test_path("harnesses/mistakes/*.loom"), 0, NULL, &found) == 0);
  for (size_t i = 0; i < found.gl_pathc; i++)
    compare_text(found.gl_pathv[i], &all);
  PL_CHECK(found.gl_pathc > 40 && all.faults > 1000, "there are small harnesses");
  globfree(&found);
  report(&all, "small harnesses");
}

/* ---- random machines ---- */

/* The same numbers on every machine: a linear congruential generator, constants of Numerical
 * Recipes (from memory). */
static uint32_t next(uint32_t *seed) {
  return *seed = *seed * 1664525u + 1013904223u;
}
static uint32_t below(uint32_t *seed, uint32_t n) {
  return (next(seed) >> 8) % n;
}
static double uniform(uint32_t *seed) {
  return (double)(next(seed) >> 8) / 16777216.0;
}
static double log_uniform(uint32_t *seed, double low, double high) {
  return low * pow(high / low, uniform(seed));
}

static const char *name_of(struct kit *kit, const char *letter, uint32_t i) {
  return pl_arena_printf(&kit->arena, "%s%u", letter, i);
}

static const char *pin_of(struct kit *kit, const char *device, const char *pin) {
  return pl_arena_printf(&kit->arena, "%s.%s", device, pin);
}

static const char *a_stud(struct kit *kit, uint32_t *seed, uint32_t studs) {
  return name_of(kit, "N", below(seed, studs));
}

static void wire_up(struct kit *kit,
                    uint32_t *seed,
                    uint32_t studs,
                    const char *device,
                    const char *a,
                    const char *b) {
  kit_wire(kit, a_stud(kit, seed, studs), pin_of(kit, device, a), log_uniform(seed, 1e-3, 0.3));
  kit_wire(kit,
           pin_of(kit, device, b),
           below(seed, 3) == 0 ? a_stud(kit, seed, studs) : "N0",
           log_uniform(seed, 1e-3, 0.3));
}

static void add_random(struct kit *kit, uint32_t *seed, uint32_t studs, uint32_t i) {
  struct pl_device d = pl_device_blank();
  const char *name = name_of(kit, "D", i);
  switch (below(seed, 9)) {
    case 0:
      kit_device(kit, d, PL_KIND_DIODE, name, "A K");
      wire_up(kit, seed, studs, name, "A", "K");
      break;
    case 1:
    case 2:
    case 3: {
      uint32_t law = below(seed, 4);
      if (law == 0)
        d.law = PL_LAW_POWER;
      else if (law == 1)
        d.law = PL_LAW_RESISTANCE;
      else
        d.law = PL_LAW_CURRENT;
      d.load_volts = 12;
      d.load_amps = log_uniform(seed, 0.05, 8);
      kit_device(kit, d, PL_KIND_PUMP, name, "+ -");
      wire_up(kit, seed, studs, name, "+", "-");
      break;
    }
    case 4:
    case 5:
      kit_device(kit, d, PL_KIND_RELAY, name, "85 86 30 87 87a");
      kit_join(kit, &kit_at(kit, name)->make, pin_of(kit, name, "30"), pin_of(kit, name, "87"));
      kit_join(kit, &kit_at(kit, name)->brk, pin_of(kit, name, "30"), pin_of(kit, name, "87a"));
      wire_up(kit, seed, studs, name, "86", "85");
      wire_up(kit, seed, studs, name, "30", "87");
      if (below(seed, 2))
        kit_wire(kit, pin_of(kit, name, "87a"), a_stud(kit, seed, studs), 0.05);
      break;
    case 6:
      kit_device(kit, d, PL_KIND_SWITCH, name, "in out");
      kit_throw(kit, name, "off", NULL, NULL);
      kit_throw(kit, name, "on", pin_of(kit, name, "in"), pin_of(kit, name, "out"));
      kit_at(kit, name)->rest = below(seed, 2);
      wire_up(kit, seed, studs, name, "in", "out");
      break;
    case 7:
      d.rating = 15;
      kit_device(kit, d, PL_KIND_FUSE, name, "in out");
      wire_up(kit, seed, studs, name, "in", "out");
      break;
    default:
      d.set_volts = 13 + 2 * uniform(seed);
      d.idle_amps = log_uniform(seed, 5, 80);
      d.self_exciting = below(seed, 2) == 0;
      kit_device(kit, d, PL_KIND_ALTERNATOR, name, "B+ B- D+");
      wire_up(kit, seed, studs, name, "B+", "B-");
      break;
  }
}

/* A battery between N0 and N1, studs on a tree with a few chords, and things between them. */
static void random_machine(struct kit *kit, uint32_t seed) {
  uint32_t studs = 4 + below(&seed, 12);
  uint32_t things = 3 + below(&seed, 14);
  kit_start(kit);
  kit_battery(kit, "BAT", 12.6, log_uniform(&seed, 2e-3, 0.05));
  for (uint32_t i = 0; i < studs; i++)
    kit_stud(kit, name_of(kit, "N", i));
  kit_wire(kit, "BAT.-", "N0", 0.001);
  kit_wire(kit, "BAT.+", "N1", 0.001);
  for (uint32_t i = 2; i < studs; i++)
    kit_wire(kit,
             name_of(kit, "N", 1 + below(&seed, i - 1)),
             name_of(kit, "N", i),
             log_uniform(&seed, 1e-3, 0.3));
  for (uint32_t i = 0; i < things; i++)
    add_random(kit, &seed, studs, i);
  struct pl_state state = kit_state(below(&seed, 2) ? PL_ENGINE_IDLE : PL_ENGINE_STOPPED);
  PL_PUSH(&kit->arena, &kit->harness.states, state);
}

static void random_machines(void) {
  enum {
    SEED = 20250
  };
  const char *more = getenv("PL_MACHINES"); /* for a long run by hand */
  uint32_t machines = 200;
  if (more != NULL)
    machines = (uint32_t)strtoul(more, NULL, 10);
  struct compared all = {0};
  unsigned wrong = 0;
  for (uint32_t i = 0; i < machines; i++) {
    struct kit kit;
    pl_faults faults;
    random_machine(&kit, SEED + i);
    kit.network = pl_network_new(&kit.harness, &kit.arena);
    pl_faults_list(&kit.harness, &kit.arena, &faults);
    add_shared(&kit.harness, &kit.arena, &faults);
    compare_state(kit.network, &kit.harness, 0, &faults, &all);
    if (all.wrong > 0)
      printf("seed %u: %u differ, the first: %s\n", SEED + i, all.wrong, all.first);
    wrong += all.wrong;
    all.wrong = 0;
    kit_end(&kit);
  }
  PL_CHECK(all.faults > 10000, "many faults");
  PL_CHECK(all.only_fast < all.faults / 2000, "the full way gives up on few");
  PL_CHECK(all.in_full < all.faults / 20, "most of them the fast way");
  all.wrong = wrong;
  report(&all, "random machines");
}

CU_TestInfo fault_compare_tests[] = {{"pump skid, every state", pump_skid},
                                     {"snowplow, every state", snowplow},
                                     {"small harnesses, every state", small_harnesses},
                                     {"200 random machines", random_machines},
                                     CU_TEST_INFO_NULL};
