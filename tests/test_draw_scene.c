/* Safe names, file names, and widths of text. */
#include "test_draw.h"

#include "draw/file_names.h"
#include "draw/metrics.h"
#include "draw/scene.h"

static void safe_names(void) {
  static const struct {
    const char *name, *safe;
  } rows[] = {
      {"", "_"},
      {"41", "41"},
      {"K1-a", "K1-a"},
      {"_", "__"},
      {"a b", "a_20b"},
      {"../etc", "_2E_2E_2Fetc"},
      {"\xC3\xA4", "_C3_A4"},
      {"_20", "__20"},
  };
  struct pl_arena arena;
  pl_test_arena(&arena);
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    PL_CHECK_STR(pl_safe_name(&arena, rows[i].name), rows[i].safe, rows[i].name);
  /* two names never meet: all names of up to three letters of the awkward ones */
  static const char letters[] = "_2Ea. ";
  struct pl_table seen;
  pl_table_init(&seen, &arena);
  uint32_t n = sizeof letters - 1;
  uint32_t made = 0;
  for (uint32_t i = 0; i <= n; i++)
    for (uint32_t k = 0; k <= n; k++)
      for (uint32_t m = 0; m <= n; m++) {
        char name[4] = "";
        uint32_t at = 0;
        uint32_t picks[] = {i, k, m};
        bool gap = false;
        for (int p = 0; p < 3; p++) {
          if (picks[p] == n)
            gap = true;
          else if (gap)
            at = 9;
          else
            name[at++] = letters[picks[p]];
          if (at > 3)
            break;
        }
        if (at > 3)
          continue;
        name[at] = '\0';
        if (!pl_table_add(&seen, pl_safe_name(&arena, name), made++)) {
          /* the same name may come twice by way of gaps; anything else is a meeting */
          uint32_t first = 0;
          PL_CHECK(pl_table_find(&seen, pl_safe_name(&arena, name), &first), name);
          made--;
        }
      }
  PL_CHECK_INT(made, 6 * 6 * 6 + 6 * 6 + 6 + 1, "distinct names");
  pl_arena_release(&arena);
}

static void file_names(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  pl_id a = draw_circuit(&kit, "Lights", "");
  pl_id b = draw_circuit(&kit, "lights", "");
  pl_id c = draw_circuit(&kit, "cab fan", "");
  PL_CHECK_STR(pl_circuit_file(&kit.arena, &kit.harness, a, 1), "circuit-Lights.svg", "first");
  PL_CHECK_STR(pl_circuit_file(&kit.arena, &kit.harness, b, 1),
               "circuit-lights_-2.svg",
               "same but for case");
  PL_CHECK_STR(pl_circuit_file(&kit.arena, &kit.harness, c, 1), "circuit-cab_20fan.svg", "space");
  PL_CHECK_STR(pl_circuit_file(&kit.arena, &kit.harness, c, 2),
               "circuit-cab_20fan_-p2.svg",
               "page 2");
  draw_connector_device(&kit, PL_KIND_MODULE, "ECM", 4, 1, PL_SHAPE_RECT);
  draw_connector_device(&kit, PL_KIND_MODULE, "ecm", 4, 1, PL_SHAPE_RECT);
  PL_CHECK_STR(pl_connector_file(&kit.arena, &kit.harness, 0),
               "connector-ECM_-c-A.svg",
               "connector");
  PL_CHECK_STR(pl_connector_file(&kit.arena, &kit.harness, 1),
               "connector-ecm_-c-A_-2.svg",
               "connector, same but for case");
  draw_kit_end(&kit);
}

/* Advance widths of the Helvetica and Helvetica-Bold AFM files, in thousandths: A 667/722, W
 * 944/944, i 222/278, space 278/278, 0 556/556, m 833/889, eacute 556/556, ae 889/889. */
static void widths(void) {
  static const struct {
    const char *text;
    double regular, bold;
  } rows[] = {
      {"", 0, 0},
      {"A", 667, 722},
      {"W", 944, 944},
      {"i", 222, 278},
      {" ", 278, 278},
      {"0", 556, 556},
      {"m", 833, 889},
      {"\xC3\xA9", 556, 556},
      {"\xC3\xA6", 889, 889},
      {"RD/WH", 722 + 722 + 278 + 944 + 722, 722 + 722 + 278 + 944 + 722},
      {"\xE6\xBC\xA2", 1000, 1000}, /* a wide glyph: one em, our own rule */
      {"\xFF", 1000, 1000},         /* a broken byte shows as U+FFFD */
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    PL_CHECK_CLOSE(pl_text_width(rows[i].text, 2.5, false),
                   rows[i].regular * 0.0025,
                   1e-9,
                   rows[i].text);
    PL_CHECK_CLOSE(pl_text_width(rows[i].text, 10, true), rows[i].bold * 0.01, 1e-9, rows[i].text);
  }
}

static void fitting(void) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  static const char *const texts[] = {"coolant temperature",
                                      "WWWWWWWW",
                                      "\xC3\xA4\xC3\xB6\xC3\xBC\xC3\xA4\xC3\xB6\xC3\xBC",
                                      "a b c d e f g h"};
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
    for (double width = 3; width < 40; width += 1.7) {
      const char *fit = pl_text_fit(&arena, texts[i], 2.5, i % 2 == 0, width);
      PL_CHECK(pl_text_width(fit, 2.5, i % 2 == 0) <= width + 1e-9, texts[i]);
      PL_CHECK(pl_text_width(texts[i], 2.5, i % 2 == 0) > width || strcmp(fit, texts[i]) == 0,
               texts[i]);
    }
  PL_CHECK_STR(pl_text_fit(&arena, "coolant temperature", 2.5, false, 14),
               "coolant te...",
               "shortened");
  pl_arena_release(&arena);
}

static void groups(void) {
  struct pl_arena arena;
  struct pl_scene scene;
  pl_test_arena(&arena);
  pl_scene_init(&scene, &arena, "x.svg", "title", 100, 50);
  struct pl_mm points[] = {{1, 1}, {1, 1}, {5, 1}, {5, 1}};
  pl_scene_wire(&scene, (struct pl_colour){"RD", "", ""}, points, 4);
  PL_CHECK_INT(scene.items.at[0].point_count, 2, "points that fall together are one");
  pl_scene_text(&scene, 1, 1, 3, PL_ANCHOR_END, "");
  PL_CHECK_INT(scene.items.n, 1, "an empty text is nothing");
  pl_scene_open_of(&scene, "w-1", "Wire 1", "", "wire", "1");
  pl_scene_close(&scene);
  PL_CHECK_STR(scene.items.at[1].what, "wire", "group");
  PL_CHECK_INT(scene.items.at[2].kind, PL_SHAPE_CLOSE, "group");
  pl_arena_release(&arena);
}

CU_TestInfo draw_scene_tests[] = {{"safe names", safe_names},
                                  {"file names", file_names},
                                  {"widths", widths},
                                  {"fitting", fitting},
                                  {"groups", groups},
                                  CU_TEST_INFO_NULL};
