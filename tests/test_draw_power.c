/* The power pages: each fuse once, texts apart and on the page, the same twice, with amps and
 * without. */
#include "test_draw.h"

#include "draw/drawings.h"
#include "draw/graph_inner.h"
#include "model/build.h"
#include "network/network.h"

static const char *const demos[] = {"harnesses/pump-skid/pump-skid.loom",
                                    "harnesses/snowplow/snowplow.loom"};

static uint32_t times_drawn(const pl_scenes *pages, const char *name) {
  uint32_t n = 0;
  for (uint32_t p = 0; p < pages->n; p++)
    for (uint32_t i = 0; i < pages->at[p].items.n; i++) {
      const struct pl_item *item = &pages->at[p].items.at[i];
      n += item->kind == PL_SHAPE_OPEN && strcmp(item->what, "device") == 0 &&
           strcmp(item->name, name) == 0;
    }
  return n;
}

static uint32_t fills(const pl_scenes *pages, enum pl_fill fill) {
  uint32_t n = 0;
  for (uint32_t p = 0; p < pages->n; p++)
    for (uint32_t i = 0; i < pages->at[p].items.n; i++)
      n += pages->at[p].items.at[i].fill == fill;
  return n;
}

static bool says(const pl_scenes *pages, const char *text) {
  for (uint32_t p = 0; p < pages->n; p++)
    for (uint32_t i = 0; i < pages->at[p].items.n; i++) {
      const struct pl_item *item = &pages->at[p].items.at[i];
      if (item->kind == PL_SHAPE_TEXT && strstr(item->text, text) != NULL)
        return true;
    }
  return false;
}

static void check_pages(const struct pl_harness *harness, const pl_scenes *pages, const char *row) {
  for (uint32_t p = 0; p < pages->n; p++) {
    draw_check_texts(&pages->at[p], row);
    char file[40] = "power.svg";
    if (p > 0)
      snprintf(file, sizeof file, "power-p%u.svg", p + 1);
    PL_CHECK_STR(pages->at[p].file, file, row);
  }
  for (pl_id d = 0; d < harness->devices.n; d++)
    if (pl_kind_is_protection(harness->devices.at[d].kind))
      PL_CHECK_INT(times_drawn(pages, harness->devices.at[d].name),
                   1,
                   pl_arena_printf(harness->arena, "%s: %s", row, harness->devices.at[d].name));
}

static void
check_kit(const struct draw_kit *kit, const char *row, pl_scenes *pages, struct pl_arena *arena) {
  pl_draw_power(&kit->harness, NULL, NULL, arena, pages);
  check_pages(&kit->harness, pages, row);
}

/* Each fed load that is named in full has its drop: volts lost in the worst lasting state over its
 * own volts. */
static uint32_t check_drops(const struct pl_harness *harness,
                            const struct pl_network *network,
                            const struct pl_solution *solutions,
                            const pl_scenes *pages,
                            const char *row) {
  uint32_t said = 0;
  for (pl_id d = 0; d < harness->devices.n; d++) {
    const struct pl_device *device = &harness->devices.at[d];
    if (device->kind != PL_KIND_LAMP && device->kind != PL_KIND_PUMP && device->kind != PL_KIND_FAN)
      continue;
    double worst = 0;
    for (pl_id s = 0; s < harness->states.n; s++) {
      const struct pl_state *state = &harness->states.at[s];
      if (solutions[s].status != PL_SOLVED)
        continue;
      if (state->lasts < 60)
        continue;
      if (state->engine == PL_ENGINE_CRANKING)
        continue;
      if (!(fabs(solutions[s].device_volts[d]) > 0.5 * device->volts))
        continue;
      worst = fmax(worst,
                   pl_solution_drop(network, &solutions[s], device->plus, device->minus) /
                       device->volts);
    }
    char name[80], drop[40];
    snprintf(name, sizeof name, "%s  %.20s", device->name, device->text);
    snprintf(drop, sizeof drop, ", drop %.1f %%", 100 * worst);
    for (uint32_t p = 0; p < pages->n; p++)
      for (uint32_t i = 0; i < pages->at[p].items.n; i++) {
        const struct pl_item *item = &pages->at[p].items.at[i];
        const char *at = NULL;
        if (item->kind == PL_SHAPE_TEXT && strncmp(item->text, name, strlen(name)) == 0)
          at = strstr(item->text, ", drop ");
        if (at == NULL)
          continue;
        PL_CHECK_STR(at, drop, pl_arena_printf(harness->arena, "%s: %s", row, device->name));
        said++;
      }
  }
  return said;
}

static void demo_pages(void) {
  uint32_t drops = 0;
  for (size_t d = 0; d < sizeof demos / sizeof demos[0]; d++) {
    struct pl_arena arena;
    struct pl_sources sources;
    struct pl_findings findings;
    struct pl_harness harness;
    pl_test_arena(&arena);
    pl_sources_init(&sources, &arena);
    pl_findings_init(&findings, &arena);
    pl_harness_init(&harness, &arena);
    CU_ASSERT_TRUE_FATAL(
        pl_build(pl_test_path(demos[d]), &pl_reader_disk, &sources, &findings, &harness));
    struct pl_network *network = pl_network_new(&harness, &arena);
    struct pl_solution *solutions = PL_NEW_ARRAY(&arena, struct pl_solution, harness.states.n);
    for (pl_id s = 0; s < harness.states.n; s++)
      pl_network_solve(network, s, &solutions[s], NULL);
    pl_scenes solved = {0};
    pl_scenes again = {0};
    pl_scenes bare = {0};
    pl_scenes letter = {0};
    pl_draw_power(&harness, network, solutions, &arena, &solved);
    pl_draw_power(&harness, network, solutions, &arena, &again);
    pl_draw_power(&harness, NULL, NULL, &arena, &bare);
    CU_ASSERT_TRUE(solved.n > 0 && bare.n > 0);
    check_pages(&harness, &solved, demos[d]);
    check_pages(&harness, &bare, "without amps");
    draw_check_same(&solved, &again, demos[d]);
    drops += check_drops(&harness, network, solutions, &solved, demos[d]);
    for (uint32_t p = 0; p < solved.n; p++) /* ISO 216: A4 */
      PL_CHECK(fabs(solved.at[p].width - 297) < 1e-9 && fabs(solved.at[p].height - 210) < 1e-9,
               solved.at[p].file);
    CU_ASSERT_TRUE(says(&solved, " %") && says(&solved, ", most "));
    CU_ASSERT_TRUE(says(&bare, "amps not worked out") && !says(&bare, ", most "));
    harness.machine.units = PL_UNITS_US;
    pl_draw_power(&harness, network, solutions, &arena, &letter);
    check_pages(&harness, &letter, "Letter");
    for (uint32_t p = 0; p < letter.n; p++)
      PL_CHECK(fabs(letter.at[p].width - 279.4) < 1e-9, letter.at[p].file);
    pl_network_release(network);
    pl_arena_release(&arena);
  }
  CU_ASSERT_TRUE(drops > 5);
}

/* 8 A for good, 12 A while cranking, 14 A for a moment: a fuse of 15 A is used to 53 %. */
static void shares(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_small_machine(&kit);
  struct pl_harness *harness = &kit.harness;
  pl_id f1 = pl_harness_find_device(harness, "F1");
  pl_id f2 = pl_harness_find_device(harness, "F2");
  harness->machine.fuse_share = 0.75;
  harness->devices.at[f1].rating = 15;
  harness->devices.at[f2].rating = 10;
  const double amps[] = {8, 5, 12, 14};
  struct pl_solution solutions[4];
  const char *const names[] = {"night", "day", "start", "brief"};
  for (int s = 0; s < 4; s++) {
    struct pl_state state = {.name = names[s], .title = "", .lasts = s == 3 ? 1 : INFINITY};
    if (s == 2)
      state.engine = PL_ENGINE_CRANKING;
    PL_PUSH(&kit.arena, &harness->states, state);
    solutions[s] = (struct pl_solution){.state = (pl_id)s, .status = PL_SOLVED};
    solutions[s].wire_amps = PL_NEW_ARRAY(&kit.arena, double, harness->wires.n);
    solutions[s].pin_volts =
        PL_NEW_ARRAY(&kit.arena, double, harness->pins.n); /* all 0: nothing is on, no drop */
    solutions[s].device_amps = PL_NEW_ARRAY(&kit.arena, double, harness->devices.n);
    solutions[s].device_amps[f1] = amps[s];
    solutions[s].device_amps[f2] = -amps[s];
    for (pl_id w = 0; w < harness->wires.n; w++)
      if (strcmp(harness->wires.at[w].number, "12") == 0)
        solutions[s].wire_amps[w] = amps[s];
  }
  pl_scenes pages = {0};
  struct pl_network *network = pl_network_new(harness, &kit.arena);
  pl_draw_power(harness, network, solutions, &kit.arena, &pages);
  pl_network_release(network);
  check_pages(harness, &pages, "shares");
  CU_ASSERT_TRUE(says(&pages, "53 %") && says(&pages, "most 8 A, state night"));
  CU_ASSERT_TRUE(says(&pages, "80 %: too much")); /* 8 of 10 A, and the machine allows 75 % */
  CU_ASSERT_TRUE(says(&pages, "M1  lift pump 8 A") && says(&pages, "10: 14 AWG"));
  CU_ASSERT_FALSE(says(&pages, "drop "));
  PL_CHECK_INT(fills(&pages, PL_FILL_LITTLE), 1, "53 %");
  PL_CHECK_INT(fills(&pages, PL_FILL_OVER), 1, "80 %");
  CU_ASSERT_FALSE(says(&pages, "most 12") || says(&pages, "most 14") || says(&pages, "pump 12"));
  draw_kit_end(&kit);
}

/* Far more fuses on a stud than a page holds, and more loads behind one than are named. */
static void many_fuses(void) {
  struct draw_kit kit;
  struct pl_arena arena;
  pl_scenes pages = {0};
  draw_kit_start(&kit);
  pl_test_arena(&arena);
  draw_device(&kit, PL_KIND_BATTERY, "BAT", "", "+ -");
  draw_device(&kit, PL_KIND_STUD, "BUS", "all hangs on it", "");
  pl_id circuit = draw_circuit(&kit, "all", "All of it");
  draw_wire(&kit, circuit, NULL, "BAT.+", "BUS", "RD", "");
  for (uint32_t i = 1; i <= 300; i++) {
    const char *fuse = pl_arena_printf(&kit.arena, "F%u", i);
    const char *lamp = pl_arena_printf(&kit.arena, "H%u", i);
    draw_device(&kit, PL_KIND_FUSE, fuse, "one of many", "in out");
    draw_device(&kit, PL_KIND_LAMP, lamp, "lamp", "+ -");
    draw_wire(&kit, circuit, NULL, "BUS", pl_arena_printf(&kit.arena, "%s.in", fuse), "RD", "");
    draw_wire(&kit,
              circuit,
              NULL,
              i <= 40 ? "F1.out" : pl_arena_printf(&kit.arena, "%s.out", fuse),
              pl_arena_printf(&kit.arena, "%s.+", lamp),
              "RD",
              "");
  }
  check_kit(&kit, "many fuses", &pages, &arena);
  CU_ASSERT_TRUE(pages.n > 20 && says(&pages, "more: see circuit page All of it") &&
                 says(&pages, "more: page "));
  pl_arena_release(&arena);
  draw_kit_end(&kit);
}

/* A row of fuses longer than the page is wide, fuses on nothing, and no fuse at all. */
static void odd_ways(void) {
  struct draw_kit kit;
  struct pl_arena arena;
  pl_scenes pages = {0};
  pl_scenes none = {0};
  draw_kit_start(&kit);
  pl_test_arena(&arena);
  draw_device(&kit, PL_KIND_BATTERY, "BAT", "", "+ -");
  pl_id circuit = draw_circuit(&kit, "long", "");
  pl_draw_power(&kit.harness, NULL, NULL, &arena, &none);
  PL_CHECK_INT(none.n, 0, "no fuse, no page");
  const char *from = "BAT.+";
  for (uint32_t i = 1; i <= 25; i++) {
    const char *name = pl_arena_printf(&kit.arena, "F%u", i);
    draw_device(&kit,
                i % 3 == 0 ? PL_KIND_BREAKER : PL_KIND_FUSE,
                name,
                "one behind the other",
                "in out");
    draw_wire(&kit, circuit, NULL, from, pl_arena_printf(&kit.arena, "%s.in", name), "RD", "");
    from = pl_arena_printf(&kit.arena, "%s.out", name);
  }
  draw_device(&kit, PL_KIND_FUSIBLE_LINK, "FX", "on nothing", "in out");
  draw_device(&kit, PL_KIND_FUSE, "FY", "behind it", "in out");
  draw_wire(&kit, circuit, NULL, "FX.out", "FY.in", "RD", "");
  check_kit(&kit, "odd ways", &pages, &arena);
  CU_ASSERT_TRUE(pages.n > 3 && says(&pages, "NO FEED FOUND; on nothing"));
  pl_arena_release(&arena);
  draw_kit_end(&kit);
}

/* An alternator feeds the stud through its fuse: it stands at the left of that fuse, which stands
 * left of the stud. */
static void alternator_first(void) {
  struct draw_kit kit;
  pl_scenes pages = {0};
  draw_kit_start(&kit);
  draw_device(&kit, PL_KIND_BATTERY, "BAT", "", "+ -");
  draw_device(&kit, PL_KIND_STUD, "BUS", "", "");
  draw_device(&kit, PL_KIND_ALTERNATOR, "ALT", "", "B+ B-");
  draw_device(&kit, PL_KIND_FUSE, "FA", "", "in out");
  draw_device(&kit, PL_KIND_FUSE, "FB", "", "in out");
  pl_id circuit = draw_circuit(&kit, "all", "");
  draw_wire(&kit, circuit, "1", "BAT.+", "BUS", "RD", "");
  draw_wire(&kit, circuit, "2", "BUS", "FA.in", "RD", "");
  draw_wire(&kit, circuit, "3", "FA.out", "ALT.B+", "RD", "");
  draw_wire(&kit, circuit, "4", "BUS", "FB.in", "RD", "");
  pl_draw_power(&kit.harness, NULL, NULL, &kit.arena, &pages);
  check_pages(&kit.harness, &pages, "alternator");
  CU_ASSERT_EQUAL_FATAL(pages.n, 1);
  static const char *const names[] = {"ALT", "FA", "BUS", "FB"};
  double x[4] = {0, 0, 0, 0};
  for (uint32_t i = 0; i + 1 < pages.at[0].items.n; i++)
    for (int k = 0; k < 4; k++)
      if (pages.at[0].items.at[i].kind == PL_SHAPE_OPEN &&
          strcmp(pages.at[0].items.at[i].name, names[k]) == 0)
        x[k] = pages.at[0].items.at[i + 1].x;
  CU_ASSERT_TRUE(x[0] > 0 && x[0] < x[1] && x[1] < x[2] && x[2] < x[3]);
  draw_kit_end(&kit);
}

static void random_power(void) {
  for (uint32_t seed = 1; seed <= 120; seed++) {
    struct draw_kit kit;
    struct pl_arena arena;
    pl_scenes pages = {0};
    char row[40];
    draw_kit_start(&kit);
    pl_test_arena(&arena);
    draw_random_machine(&kit, seed * 104729u);
    snprintf(row, sizeof row, "random machine %u", seed);
    check_kit(&kit, row, &pages, &arena);
    pl_arena_release(&arena);
    draw_kit_end(&kit);
  }
}

/* Columns follow the feeders, boxes of a column stand apart in the order of the feeders; with and
 * without Graphviz. */
static void graph_places(void) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  for (uint32_t n = 4; n <= 404; n += 40) {
    struct pl_graph_node *nodes = PL_NEW_ARRAY(&arena, struct pl_graph_node, n);
    struct pl_graph_edge *edges = PL_NEW_ARRAY(&arena, struct pl_graph_edge, n);
    for (uint32_t i = 0; i < n; i++) {
      nodes[i].width = 20.5 + i % 7;
      nodes[i].height = 8.25 + i % 3;
      if (i > 0)
        edges[i - 1] = (struct pl_graph_edge){i < 4 ? 0 : 1 + i % 3, i};
    }
    bool laid = pl_graph_lay(nodes, n, edges, n - 1, 3, &arena);
    PL_CHECK(laid == (n <= 250), "Graphviz up to 250 boxes");
    double top = INFINITY;
    for (uint32_t i = 0; i < n; i++) {
      PL_CHECK_INT(nodes[i].column, i == 0 ? 0 : i < 4 ? 1 : 2, "column");
      top = fmin(top, nodes[i].y - nodes[i].height / 2);
      for (uint32_t k = 0; k < i; k++)
        if (nodes[k].column == nodes[i].column)
          PL_CHECK(fabs(nodes[k].y - nodes[i].y) > (nodes[k].height + nodes[i].height) / 2 + 2.9,
                   "apart");
    }
    PL_CHECK(fabs(top) < 1, "begins at 0");
    CU_ASSERT_TRUE(nodes[1].y < nodes[2].y && nodes[2].y < nodes[3].y);
  }
  struct pl_graph_node ring[3] = {{10, 5, 0, 0}, {10, 5, 0, 0}, {10, 5, 0, 0}};
  struct pl_graph_edge round[3] = {{0, 1}, {1, 2}, {2, 0}};
  CU_ASSERT_FALSE(pl_graph_lay(ring, 3, round, 3, 3, &arena));
  pl_arena_release(&arena);
}

CU_TestInfo draw_power_tests[] = {{"pages of both demos", demo_pages},
                                  {"shares of ratings", shares},
                                  {"many fuses", many_fuses},
                                  {"odd ways", odd_ways},
                                  {"alternator", alternator_first},
                                  {"random machines", random_power},
                                  {"places of boxes", graph_places},
                                  CU_TEST_INFO_NULL};
