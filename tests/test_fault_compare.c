/* The fast way through single faults against full solutions: demos, small machines, random networks. */
#include <time.h>

#include "build/build.h"
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
  double *largest;  /* by node, amps */
};

static void complain(struct comparing *c, const char *what, uint32_t where, double got, double expected) {
  struct compared *all = c->compared;
  if (all->wrong++ > 0) return;
  snprintf(all->first, sizeof all->first, "state %s, %s (fault %u): %s %u: got %.12g, in full %.12g", c->state->name,
           pl_fault_text(c->harness, &c->faults->at[c->at], c->arena), c->at, what, where, got, expected);
}

static void measure_nodes(struct comparing *c, const struct pl_solution *full) {
  for (uint32_t n = 0; n < pl_network_node_count(c->network); n++) c->largest[n] = 0;
  for (uint32_t k = 0; k < full->element_count; k++) {
    const struct pl_element *e = &full->elements[k];
    c->largest[e->node_a] = fmax(c->largest[e->node_a], fabs(e->amps));
    c->largest[e->node_b] = fmax(c->largest[e->node_b], fabs(e->amps));
  }
}

static void compare_volts(struct comparing *c, const struct pl_fault_view *view, const struct pl_solution *full) {
  double most = 0;
  uint32_t nodes = pl_network_node_count(c->network);
  for (uint32_t n = 0; n < nodes; n++)
    if (!isnan(full->node_volts[n])) most = fmax(most, fabs(full->node_volts[n]));
  for (uint32_t n = 0; n < nodes; n++) {
    double got = view->node_volts[n], expected = full->node_volts[n], off = fabs(got - expected) / (most + 1);
    if (isnan(got) != isnan(expected)) {
      complain(c, "floating node", n, got, expected);
      continue;
    }
    if (isnan(got)) continue;
    c->compared->worst_volts = fmax(c->compared->worst_volts, off);
    if (!(off <= 1e-9)) complain(c, "volts of node", n, got, expected);
  }
}

static void compare_elements(struct comparing *c, const struct pl_fault_view *view, const struct pl_solution *full) {
  measure_nodes(c, full);
  for (uint32_t k = 0; k < full->element_count; k++) {
    const struct pl_element *got = &view->elements[k], *expected = &full->elements[k];
    double most = fmax(c->largest[expected->node_a], c->largest[expected->node_b]), off = fabs(got->amps - expected->amps) / (most + 1);
    c->compared->worst_amps = fmax(c->compared->worst_amps, off);
    if (!(off <= 1e-9)) complain(c, "amps of element", k, got->amps, expected->amps);
    if ((got->open != expected->open || got->limited != expected->limited) && fmax(fabs(got->amps), fabs(expected->amps)) > 1e-9)
      complain(c, "mode of element", k, got->open * 2 + got->limited, expected->open * 2 + expected->limited);
    if (got->node_a != expected->node_a || got->node_b != expected->node_b) complain(c, "ends of element", k, got->node_a, expected->node_a);
  }
}

/* Another network of the same harness, since the sweep's own is in use; anew when its arena has grown. */
static void renew(struct comparing *c) {
  if (c->network != NULL) {
    pl_network_release(c->network);
    pl_arena_release(c->arena);
  }
  pl_test_arena(c->arena);
  c->network = pl_network_new(c->harness, c->arena);
  c->largest = PL_NEW_ARRAY(c->arena, double, pl_network_node_count(c->network) + 1);
}

static void compare_fault(void *context, const struct pl_fault_view *view) {
  struct comparing *c = context;
  struct pl_solution full;
  struct compared *all = c->compared;
  PL_CHECK(view->fault == &c->faults->at[c->at], "in order");
  all->faults++;
  all->in_full += view->in_full;
  if (c->network == NULL || c->arena->total > 64u << 20) renew(c);
  pl_network_solve_fault(c->network, c->state, view->fault, &full);
  if (view->status != full.status) complain(c, "status", 0, view->status, full.status);
  all->not_solved += full.status != PL_SOLVED;
  if (view->element_count != full.element_count) complain(c, "elements", 0, view->element_count, full.element_count);
  if (view->status == full.status && view->element_count == full.element_count) {
    compare_volts(c, view, &full);
    compare_elements(c, view, &full);
    for (pl_id d = 0; d < c->harness->devices.n; d++)
      if (view->device_on[d] != full.device_on[d]) complain(c, "device", d, view->device_on[d], full.device_on[d]);
  }
  c->at++;
}

void compare_state(struct pl_network *network, const struct pl_harness *harness, pl_id state, const pl_faults *faults, struct compared *compared) {
  struct pl_state rest = pl_state_blank();
  struct pl_arena own;
  struct comparing c = {.harness = harness, .faults = faults, .arena = &own, .compared = compared,
                        .state = state < harness->states.n ? &harness->states.at[state] : &rest};
  pl_test_arena(&own);
  pl_network_sweep(network, state, faults->at, faults->n, compare_fault, &c);
  PL_CHECK_INT(c.at, faults->n, "each fault once");
  if (c.network != NULL) pl_network_release(c.network);
  pl_arena_release(&own);
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
    for (pl_id state = 0; state < harness.states.n; state++) compare_state(network, &harness, state, &faults, all);
    pl_network_release(network);
  }
  pl_arena_release(&arena);
}

static void report(const struct compared *all, const char *what) {
  if (all->wrong > 0) printf("%s: %u differ, the first: %s\n", what, all->wrong, all->first);
  PL_CHECK_INT(all->wrong, 0, what);
  printf("(%u faults, %u in full, %u not solved; volts %.1e, amps %.1e) ", all->faults, all->in_full, all->not_solved, all->worst_volts, all->worst_amps);
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

CU_TestInfo fault_compare_tests[] = {{"pump skid, every state", pump_skid}, {"snowplow, every state", snowplow}, CU_TEST_INFO_NULL};
