/* Pages of hand-built and of random harnesses keep to the rules of geometry. */
#include "test_circuit.h"

#include "circuit/circuit.h"
#include "draw/drawings.h"

static void check_all(const struct draw_kit *kit, const char *row) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  for (pl_id c = 0; c < kit->harness.circuits.n; c++) {
    pl_scenes pages = {0};
    pl_draw_circuit(&kit->harness, c, &arena, &pages);
    draw_check_pages(&kit->harness, c, &pages, row);
  }
  for (pl_id c = 0; c < kit->harness.connectors.n; c++) {
    pl_scenes pages = {0};
    pl_draw_connector(&kit->harness, c, &arena, &pages);
    for (uint32_t p = 0; p < pages.n; p++)
      draw_check_texts(&pages.at[p], row);
  }
  pl_arena_release(&arena);
}

static void small_machine(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_small_machine(&kit);
  check_all(&kit, "small machine");
  draw_kit_end(&kit);
}

/* A splice with many wires and a controller with many pins: several pages. */
static void wide_circuit(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_connector_device(&kit, PL_KIND_MODULE, "ECM", 60, 4, PL_SHAPE_RECT);
  draw_device(&kit, PL_KIND_SPLICE, "SP1", "a splice with far too many wires for one crimp", "");
  draw_device(&kit, PL_KIND_BATTERY, "BAT", "", "+ -");
  pl_id circuit = draw_circuit(&kit, "wide", "");
  draw_wire(&kit, circuit, NULL, "BAT.+", "SP1", "RD", "");
  for (uint32_t i = 1; i <= 60; i++) {
    const char *name = pl_arena_printf(&kit.arena, "L%u", i);
    draw_device(&kit, PL_KIND_LAMP, name, "a lamp", "+ -");
    draw_wire(&kit, circuit, NULL, "SP1", pl_arena_printf(&kit.arena, "%s.+", name), "YE", "BK");
    draw_wire(&kit,
              circuit,
              NULL,
              pl_arena_printf(&kit.arena, "%s.-", name),
              pl_arena_printf(&kit.arena, "ECM.A%u", i),
              "BN",
              "WH");
  }
  check_all(&kit, "wide circuit");
  draw_kit_end(&kit);
}

/* A path far longer than a page is high. */
static void long_path(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_device(&kit, PL_KIND_BATTERY, "BAT", "", "+ -");
  pl_id circuit = draw_circuit(&kit, "long", "");
  const char *from = "BAT.+";
  for (uint32_t i = 1; i <= 25; i++) {
    const char *name = pl_arena_printf(&kit.arena, "F%u", i);
    draw_device(&kit, PL_KIND_FUSE, name, "one of many", "in out");
    draw_wire(&kit, circuit, NULL, from, pl_arena_printf(&kit.arena, "%s.in", name), "RD", "");
    from = pl_arena_printf(&kit.arena, "%s.out", name);
  }
  draw_wire(&kit, circuit, NULL, from, "BAT.-", "BK", "");
  check_all(&kit, "long path");
  draw_kit_end(&kit);
}

/* Names as long as they may be, wide letters, and words that cannot be broken. */
static void long_names(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  const char *name = "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW";
  draw_device(&kit,
              PL_KIND_LAMP,
              name,
              "Donaudampfschifffahrtselektrizit\xC3\xA4tenhauptbetriebswerk "
              "\xE6\xBC\xA2\xE5\xAD\x97\xE6\xBC\xA2\xE5\xAD\x97",
              "+ -");
  draw_device(&kit,
              PL_KIND_SWITCH,
              "S_a_name_with_many_underscores_and_more",
              "x",
              "common_pin_of_the_switch out_pin_of_the_switch another_one");
  draw_device(&kit,
              PL_KIND_SPLICE,
              "SPLICE_WITH_A_VERY_LONG_NAME_INDEED_0123456789",
              "and a long text that goes on and on and on and on",
              "");
  pl_id circuit = draw_circuit(
      &kit,
      "a circuit whose name is so long that no title block in the world would ever hold it",
      "");
  draw_wire(&kit,
            circuit,
            "NUMBER-OF-A-WIRE-THAT-IS-VERY-LONG-0123456789",
            "S_a_name_with_many_underscores_and_more.another_one",
            pl_arena_printf(&kit.arena, "%s.+", name),
            "GNYE",
            "RD");
  draw_wire(&kit,
            circuit,
            "2",
            "SPLICE_WITH_A_VERY_LONG_NAME_INDEED_0123456789",
            "S_a_name_with_many_underscores_and_more.common_pin_of_the_switch",
            "",
            "");
  draw_wire(&kit,
            circuit,
            "3",
            "SPLICE_WITH_A_VERY_LONG_NAME_INDEED_0123456789",
            pl_arena_printf(&kit.arena, "%s.-", name),
            "XX",
            "");
  check_all(&kit, "long names");
  draw_kit_end(&kit);
}

/* ---- random harnesses ---- */

static void random_machines(void) {
  for (uint32_t seed = 1; seed <= 150; seed++) {
    struct draw_kit kit;
    draw_kit_start(&kit);
    draw_random_machine(&kit, seed * 7919u);
    char row[40];
    snprintf(row, sizeof row, "random machine %u", seed);
    check_all(&kit, row);
    draw_kit_end(&kit);
  }
}

CU_TestInfo circuit_geometry_tests[] = {{"small machine", small_machine},
                                        {"wide circuit", wide_circuit},
                                        {"long path", long_path},
                                        {"long names", long_names},
                                        {"random machines", random_machines},
                                        CU_TEST_INFO_NULL};
