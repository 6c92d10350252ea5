/* Connector faces. */
#include "test_draw.h"

#include "draw/drawings.h"

static const struct pl_item *find_group(const struct pl_scene *scene, const char *id) {
  for (uint32_t i = 0; i < scene->items.n; i++)
    if (scene->items.at[i].kind == PL_SHAPE_OPEN && strcmp(scene->items.at[i].id, id) == 0)
      return &scene->items.at[i];
  return NULL;
}

static uint32_t count_text(const pl_scenes *pages, const char *text, bool bold) {
  uint32_t n = 0;
  for (uint32_t p = 0; p < pages->n; p++)
    for (uint32_t i = 0; i < pages->at[p].items.n; i++) {
      const struct pl_item *item = &pages->at[p].items.at[i];
      n += item->kind == PL_SHAPE_TEXT && item->bold == bold && strcmp(item->text, text) == 0;
    }
  return n;
}

static void
start(struct draw_kit *kit, uint32_t cavities, uint32_t rows, enum pl_shape shape, uint32_t wires) {
  draw_kit_start(kit);
  draw_connector_device(kit, PL_KIND_MODULE, "ECM", cavities, rows, shape);
  draw_device(kit, PL_KIND_SPLICE, "SP1", "", "");
  pl_id circuit = draw_circuit(kit, "c", "");
  for (uint32_t i = 1; i <= wires; i++)
    draw_wire(kit,
              circuit,
              NULL,
              pl_arena_printf(&kit->arena, "ECM.A%u", i),
              "SP1",
              "YE",
              i % 2 == 0 ? "BK" : "");
}

/* Cavities count from the upper left on the wire side (docs/language.md); the mating side is its
 * mirror image. */
static void mirrored(void) {
  struct draw_kit kit;
  start(&kit, 12, 2, PL_SHAPE_RECT, 4);
  pl_scenes pages = {0};
  pl_draw_connector(&kit.harness, 0, &kit.arena, &pages);
  CU_ASSERT_EQUAL_FATAL(pages.n, 1);
  double wire_side[12], mating[12];
  for (uint32_t i = 0; i < 12; i++) {
    char id[16];
    snprintf(id, sizeof id, "v-%u", i + 1);
    const struct pl_item *v = find_group(&pages.at[0], id);
    snprintf(id, sizeof id, "m-%u", i + 1);
    const struct pl_item *m = find_group(&pages.at[0], id);
    CU_ASSERT_FATAL(v != NULL && m != NULL);
    wire_side[i] = v[1].x;
    mating[i] = m[1].x;
    PL_CHECK_CLOSE(v[1].y, m[1].y, 1e-9, "same height");
  }
  for (uint32_t i = 1; i < 6; i++)
    PL_CHECK(wire_side[i] > wire_side[i - 1] && mating[i] < mating[i - 1],
             "left to right and right to left");
  for (uint32_t i = 0; i < 6; i++)
    PL_CHECK_CLOSE(wire_side[i] - wire_side[0], mating[0] - mating[i], 1e-9, "mirror image");
  PL_CHECK_CLOSE(wire_side[6], wire_side[0], 1e-9, "second row");
  PL_CHECK_INT(count_text(&pages, "Wire side", true), 1, "said in words");
  PL_CHECK_INT(count_text(&pages, "Mating side (mirrored)", true), 1, "said in words");
  draw_kit_end(&kit);
}

static void words(void) {
  struct draw_kit kit;
  start(&kit, 12, 2, PL_SHAPE_RECT, 4);
  kit.harness.pins.at[5].role = PL_ROLE_UNUSED;
  pl_scenes pages = {0};
  pl_draw_connector(&kit.harness, 0, &kit.arena, &pages);
  PL_CHECK_INT(count_text(&pages, "plug", false), 4, "cavities 5 and 10 on two faces");
  PL_CHECK_INT(count_text(&pages, "plugged", false), 2, "and in the list");
  PL_CHECK_INT(count_text(&pages, "unused", false), 3, "cavity 6 on two faces and in the list");
  PL_CHECK_INT(count_text(&pages, "YE/BK", false), 2, "colours in the list");
  const struct pl_item *one = find_group(&pages.at[0], "v-2");
  CU_ASSERT_FATAL(one != NULL);
  PL_CHECK_STR(one->text, "Cavity 2, lamp: wire 101 YE/BK 14 AWG", "for a screen reader");
  PL_CHECK_STR(one->name, "ECM.A2", "the pin");
  PL_CHECK(strstr(pages.at[0].description, "two ribs left") != NULL, "keying");
  draw_kit_end(&kit);
}

static void sizes(void) {
  static const struct {
    uint32_t cavities, rows, wires, pages;
    enum pl_shape shape;
    const char *name;
  } rows[] = {
      {2, 1, 2, 1, PL_SHAPE_RECT, "2"},
      {36, 4, 30, 1, PL_SHAPE_RECT, "36"},
      {64, 4, 64, 1, PL_SHAPE_RECT, "64, all wired, on one A4"},
      {1, 1, 1, 1, PL_SHAPE_ROUND, "1 round"},
      {7, 1, 5, 1, PL_SHAPE_ROUND, "7 round"},
      {31, 1, 31, 1, PL_SHAPE_ROUND, "31 round"},
      {19, 3, 19, 1, PL_SHAPE_ROUND, "3 rings"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct draw_kit kit;
    start(&kit, rows[i].cavities, rows[i].rows, rows[i].shape, rows[i].wires);
    pl_scenes pages = {0};
    pl_draw_connector(&kit.harness, 0, &kit.arena, &pages);
    PL_CHECK_INT(pages.n, rows[i].pages, rows[i].name);
    for (uint32_t p = 0; p < pages.n; p++)
      draw_check_texts(&pages.at[p], rows[i].name);
    char last[16];
    snprintf(last, sizeof last, "m-%u", rows[i].cavities);
    PL_CHECK(find_group(&pages.at[0], last) != NULL, rows[i].name);
    draw_kit_end(&kit);
  }
}

/* PL_LIMIT_CAVITIES of them: several pages, every wire in the list once. */
static void very_large(void) {
  struct draw_kit kit;
  start(&kit, 1000, 20, PL_SHAPE_RECT, 1000);
  pl_scenes pages = {0};
  pl_draw_connector(&kit.harness, 0, &kit.arena, &pages);
  PL_CHECK(pages.n > 1, "several pages");
  uint32_t listed = 0;
  for (uint32_t p = 0; p < pages.n; p++) {
    draw_check_texts(&pages.at[p], "1000 cavities");
    for (uint32_t i = 0; i < pages.at[p].items.n; i++)
      listed += pages.at[p].items.at[i].kind == PL_SHAPE_TEXT &&
                strcmp(pages.at[p].items.at[i].text, "SP1") == 0;
  }
  PL_CHECK_INT(listed, 1000, "rows of the list");
  draw_kit_end(&kit);
}

CU_TestInfo draw_face_tests[] = {{"mirrored", mirrored},
                                 {"words", words},
                                 {"sizes", sizes},
                                 {"very large", very_large},
                                 CU_TEST_INFO_NULL};
