/* What stands on current-path pages. */
#include "test_circuit.h"

#include <setjmp.h>

#include "circuit/circuit.h"

static bool has_text(const struct pl_scene *scene, const char *text) {
  for (uint32_t i = 0; i < scene->items.n; i++)
    if (scene->items.at[i].kind == PL_SHAPE_TEXT && strcmp(scene->items.at[i].text, text) == 0)
      return true;
  return false;
}

static const struct pl_item *find_text(const struct pl_scene *scene, const char *text) {
  for (uint32_t i = 0; i < scene->items.n; i++)
    if (scene->items.at[i].kind == PL_SHAPE_TEXT && strcmp(scene->items.at[i].text, text) == 0)
      return &scene->items.at[i];
  return NULL;
}

static const struct pl_item *find_wire(const struct pl_scene *scene, const char *number) {
  for (uint32_t i = 0; i + 1 < scene->items.n; i++)
    if (scene->items.at[i].kind == PL_SHAPE_OPEN && strcmp(scene->items.at[i].what, "wire") == 0 &&
        strcmp(scene->items.at[i].name, number) == 0)
      return &scene->items.at[i + 1];
  return NULL;
}

static void words(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_small_machine(&kit);
  pl_scenes pages = {0};
  pl_draw_circuit(&kit.harness, 1, &kit.arena, &pages);
  CU_ASSERT_EQUAL_FATAL(pages.n, 1);
  const struct pl_scene *page = &pages.at[0];
  static const char *const texts[] = {
      "30",
      "31",
      "MAIN",
      "G1",
      "F1",
      "K1",
      "KEY",
      "ECM",
      "B1",
      "SP1",
      "lift pump relay",
      "14 AWG",
      "RD/WH",
      "87a",
      "capped", /* circuit */
      "Drawn at rest: key off, engine stopped, cold, no pressure.",
      "Test carrier",
      "Fuel supply & <warning>",
      "B",
      "2026-01-31",
      "bench",
      "0123456789ab",
      "1 of 1", /* title block */
  };
  kit.harness.wires.at[kit.harness.wires.n - 1].status = PL_WIRE_DONOR_CAPPED;
  pl_scenes again = {0};
  pl_draw_circuit(&kit.harness, 1, &kit.arena, &again);
  for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
    PL_CHECK(has_text(&again.at[0], texts[i]), texts[i]);
  PL_CHECK(has_text(page, "open end"), "an end in the air that nobody capped");
  PL_CHECK_STR(page->title, "Fuel supply & <warning>", "title");
  PL_CHECK(strstr(page->description, "13 from M1.- to G1") != NULL, "description lists the wires");
  PL_CHECK_CLOSE(page->width, 297, 1e-9, "A4");
  PL_CHECK_CLOSE(page->height, 210, 1e-9, "A4");
  draw_kit_end(&kit);
}

/* Supply is above ground, and so is every wire's supply end: common practice. */
static void downward(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_small_machine(&kit);
  pl_scenes pages = {0};
  pl_draw_circuit(&kit.harness, 1, &kit.arena, &pages);
  const struct pl_scene *page = &pages.at[0];
  const struct pl_item *plus = find_text(page, "30");
  const struct pl_item *ground = find_text(page, "31");
  CU_ASSERT_FATAL(plus != NULL && ground != NULL);
  PL_CHECK(plus->y < ground->y, "30 above 31");
  static const char *const chain[] = {"10", "11", "12", "13"};
  double last = 0;
  for (size_t i = 0; i < 4; i++) {
    const struct pl_item *wire = find_wire(page, chain[i]);
    CU_ASSERT_FATAL(wire != NULL);
    PL_CHECK(wire->points[0].y > last && wire->points[0].y < wire->points[wire->point_count - 1].y,
             chain[i]);
    PL_CHECK_CLOSE(wire->points[0].x,
                   wire->points[wire->point_count - 1].x,
                   1e-9,
                   "a plain path is a straight column");
    last = wire->points[wire->point_count - 1].y;
  }
  draw_kit_end(&kit);
}

/* The coil names the column of its contact and the other way round. */
static void relay_halves(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_small_machine(&kit);
  pl_scenes pages = {0};
  pl_draw_circuit(&kit.harness, 1, &kit.arena, &pages);
  const struct pl_scene *page = &pages.at[0];
  uint32_t found = 0;
  for (uint32_t i = 0; i < page->items.n; i++) {
    const struct pl_item *item = &page->items.at[i];
    bool coil = item->kind == PL_SHAPE_TEXT && strncmp(item->text, "coil: col. ", 11) == 0;
    bool contact = item->kind == PL_SHAPE_TEXT && strncmp(item->text, "contact: col. ", 14) == 0;
    if (!coil && !contact)
      continue;
    found++;
    const struct pl_item *column = NULL;
    const struct pl_item *wire =
        find_wire(page, coil ? "17" : "11");     /* 86 of the coil, 30 of the contact */
    for (uint32_t k = 0; k < page->items.n; k++) /* the column numbers are the last texts */
      if (page->items.at[k].kind == PL_SHAPE_TEXT &&
          strcmp(page->items.at[k].text, item->text + (coil ? 11 : 14)) == 0)
        column = &page->items.at[k];
    CU_ASSERT_FATAL(column != NULL && wire != NULL);
    PL_CHECK_CLOSE(column->x, wire->points[wire->point_count - 1].x, 1e-9, item->text);
  }
  PL_CHECK_INT(found, 2, "one at the coil, one at the contact");
  draw_kit_end(&kit);
}

static void a_changeover_to_ground(void) {
  /* A switch that joins a motor to supply or to ground does not make ground a supply. */
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_device(&kit, PL_KIND_BATTERY, "BAT", "", "+ -");
  draw_device(&kit, PL_KIND_SWITCH, "S1", "", "53 53a 31");
  draw_device(&kit, PL_KIND_MOTOR, "M1", "", "+ -");
  draw_device(&kit, PL_KIND_STUD, "GB", "ground stud", "");
  draw_device(&kit, PL_KIND_LAMP, "H1", "", "+ -");
  pl_id power = draw_circuit(&kit, "power", "");
  pl_id wiper = draw_circuit(&kit, "wiper", "");
  draw_wire(&kit, power, NULL, "BAT.-", "GB", "BK", "");
  draw_wire(&kit, wiper, "1", "BAT.+", "S1.53a", "RD", "");
  draw_wire(&kit, wiper, "2", "S1.31", "GB", "BK", "");
  draw_wire(&kit, wiper, "3", "S1.53", "M1.+", "GN", "");
  draw_wire(&kit, wiper, "4", "M1.-", "GB", "BK", "");
  draw_wire(&kit, wiper, "5", "BAT.+", "H1.+", "RD", "");
  draw_wire(&kit, wiper, "6", "H1.-", "GB", "BK", "");
  pl_scenes pages = {0};
  pl_draw_circuit(&kit.harness, wiper, &kit.arena, &pages);
  const struct pl_item *ground = find_text(&pages.at[0], "31");
  CU_ASSERT_FATAL(ground != NULL);
  for (uint32_t i = 0; i < pages.at[0].items.n; i++) {
    const struct pl_item *item = &pages.at[0].items.at[i];
    if (item->kind == PL_SHAPE_TEXT && strcmp(item->text, "GB") == 0)
      PL_CHECK(item->y > 100, "GB is below");
  }
  draw_check_pages(&kit.harness, wiper, &pages, "changeover");
  draw_kit_end(&kit);
}

/* ---- references ---- */

static uint32_t column_at(const struct pl_scene *scene, double x) {
  for (uint32_t i = scene->items.n; i-- > 0;) { /* the column numbers come last */
    const struct pl_item *item = &scene->items.at[i];
    if (item->kind == PL_SHAPE_TEXT && item->anchor == PL_ANCHOR_MIDDLE && fabs(item->x - x) < 0.01)
      return (uint32_t)atoi(item->text);
  }
  return 0;
}

static void points_at(const char *text, uint32_t own, uint32_t *page, uint32_t *column) {
  *page = own;
  *column = 0;
  if (sscanf(text, "page %u, col. %u", page, column) == 2)
    return;
  *page = own;
  sscanf(text, "col. %u", column);
}

/* The reference box whose edge the wire ends on. */
static bool ends_in(const struct pl_item *wire, const struct pl_item *box) {
  for (int e = 0; e < 2; e++) {
    struct pl_mm at = wire->points[e == 0 ? 0 : wire->point_count - 1];
    if (at.x > box->x && at.x < box->x + box->x2 &&
        (fabs(at.y - box->y) < 0.01 || fabs(at.y - box->y - box->y2) < 0.01))
      return true;
  }
  return false;
}

static void check_references(const pl_scenes *pages, const char *row) {
  uint32_t outward = 0;
  for (uint32_t p = 0; p < pages->n; p++) {
    const struct pl_scene *scene = &pages->at[p];
    for (uint32_t i = 0; i + 3 < scene->items.n; i++) {
      const struct pl_item *open = &scene->items.at[i];
      const struct pl_item *box = open + 1;
      const struct pl_item *first = open + 2;
      const struct pl_item *second = open + 3;
      if (open->kind != PL_SHAPE_OPEN)
        continue;
      if (strcmp(open->what, "reference") != 0)
        continue;
      if (strncmp(first->text, "to ", 3) != 0)
        continue;
      outward++;
      uint32_t page;
      uint32_t column;
      uint32_t back_page = 0;
      uint32_t back_column = 0;
      uint32_t found = 0;
      points_at(second->text, p + 1, &page, &column);
      const char *number = "";
      for (uint32_t k = 0; k + 1 < scene->items.n; k++)
        if (scene->items.at[k].kind == PL_SHAPE_OPEN &&
            strcmp(scene->items.at[k].what, "wire") == 0 && ends_in(&scene->items.at[k + 1], box))
          number = scene->items.at[k].name;
      CU_ASSERT_FATAL(page >= 1 && page <= pages->n);
      const struct pl_scene *there = &pages->at[page - 1];
      char back[64];
      snprintf(back, sizeof back, "wire %s", number);
      for (uint32_t k = 0; k + 3 < there->items.n; k++) {
        const struct pl_item *other = &there->items.at[k];
        if (other->kind != PL_SHAPE_OPEN)
          continue;
        if (strcmp(other->what, "reference") != 0)
          continue;
        if (strcmp(other[2].text, back) != 0)
          continue;
        if (column_at(there, other[1].x + 3.6) != column)
          continue;
        points_at(other[3].text, page, &back_page, &back_column);
        found++;
      }
      PL_CHECK_INT(found, 1, row);
      /* and it points at the other end of the wire, which starts on this page in that column */
      PL_CHECK_INT(back_page, p + 1, row);
      const struct pl_item *wire = find_wire(scene, number);
      CU_ASSERT_FATAL(wire != NULL);
      PL_CHECK(column_at(scene, wire->points[0].x) == back_column ||
                   column_at(scene, wire->points[wire->point_count - 1].x) == back_column,
               row);
    }
  }
  PL_CHECK(outward > 0, row);
}

static void references(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_device(&kit, PL_KIND_BATTERY, "BAT", "", "+ -");
  draw_device(&kit, PL_KIND_SPLICE, "SP1", "", "");
  draw_connector_device(&kit, PL_KIND_MODULE, "ECM", 40, 4, PL_SHAPE_RECT);
  pl_id wide = draw_circuit(&kit, "wide", "");
  pl_id tall = draw_circuit(&kit, "long", "");
  for (uint32_t i = 1; i <= 40; i++) {
    const char *name = pl_arena_printf(&kit.arena, "L%u", i);
    draw_device(&kit, PL_KIND_LAMP, name, "a lamp", "+ -");
    draw_wire(&kit, wide, NULL, "SP1", pl_arena_printf(&kit.arena, "%s.+", name), "YE", "BK");
    draw_wire(&kit,
              wide,
              NULL,
              pl_arena_printf(&kit.arena, "%s.-", name),
              pl_arena_printf(&kit.arena, "ECM.A%u", i),
              "BN",
              "WH");
  }
  const char *from = "BAT.+";
  for (uint32_t i = 1; i <= 14; i++) {
    const char *name = pl_arena_printf(&kit.arena, "R%u", i);
    draw_device(&kit, PL_KIND_RESISTOR, name, "", "1 2");
    draw_wire(&kit, tall, NULL, from, pl_arena_printf(&kit.arena, "%s.1", name), "RD", "");
    from = pl_arena_printf(&kit.arena, "%s.2", name);
  }
  for (pl_id c = wide; c <= tall; c++) {
    pl_scenes pages = {0};
    pl_draw_circuit(&kit.harness, c, &kit.arena, &pages);
    check_references(&pages, c == wide ? "wide" : "long");
    PL_CHECK(c == tall || pages.n > 1, "more than one page");
    for (uint32_t p = 0; p < pages.n; p++)
      PL_CHECK_CLOSE(pages.at[p].width, 297, 1e-9, "every page is A4");
  }
  draw_kit_end(&kit);
}

/* A wire that goes on in another circuit says which. */
static void other_circuits(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_device(&kit, PL_KIND_BATTERY, "BAT", "", "+ -");
  draw_device(&kit, PL_KIND_FUSE, "F1", "", "in out");
  draw_device(&kit, PL_KIND_LAMP, "H1", "", "+ -");
  pl_id power = draw_circuit(&kit, "power", "Supply");
  pl_id lamp = draw_circuit(&kit, "lamp", "");
  draw_wire(&kit, power, "7", "BAT.+", "F1.in", "RD", "");
  draw_wire(&kit, lamp, "8", "F1.out", "H1.+", "RD", "");
  pl_scenes pages = {0};
  pl_draw_circuit(&kit.harness, lamp, &kit.arena, &pages);
  PL_CHECK(has_text(&pages.at[0], "wire 7, col. 1") && has_text(&pages.at[0], "Supply"),
           "reference to another circuit");
  draw_kit_end(&kit);
}

/* ISO 216 A4; ANSI/ASME Y14.1 A, which is Letter. */
static void paper(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_small_machine(&kit);
  kit.harness.machine.units = PL_UNITS_US;
  pl_scenes pages = {0};
  pl_draw_all_in(&kit.harness, NULL, &kit.arena, &pages);
  for (uint32_t p = 0; p < pages.n; p++) {
    PL_CHECK_CLOSE(pages.at[p].width, 279.4, 1e-9, "11 in");
    PL_CHECK_CLOSE(pages.at[p].height, 215.9, 1e-9, "8.5 in");
    draw_check_texts(&pages.at[p], "Letter");
  }
  draw_kit_end(&kit);
}

/* Memory that cannot be had: the arena's handler gets it, whichever allocation it is, and nothing
 * is left behind. */
static jmp_buf out_of_memory;

static void jump_back(void *context) {
  (void)context;
  longjmp(out_of_memory, 1);
}

static void no_memory(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  draw_small_machine(&kit);
  volatile uint32_t failures = 0;
  for (volatile uint64_t k = 1; k < 40000; k += 1 + k / 16) {
    struct pl_arena arena;
    pl_arena_init(&arena, jump_back, NULL);
    arena.fail_at = k;
    if (setjmp(out_of_memory) == 0) {
      pl_scenes pages = {0};
      pl_draw_all_in(&kit.harness, NULL, &arena, &pages);
    } else {
      failures++;
    }
    pl_arena_release(&arena);
  }
  PL_CHECK(failures > 50, "most of the counts fail");
  draw_kit_end(&kit);
}

static void empty_circuit(void) {
  struct draw_kit kit;
  draw_kit_start(&kit);
  pl_id circuit = draw_circuit(&kit, "nothing", "");
  pl_scenes pages = {0};
  pl_draw_circuit(&kit.harness, circuit, &kit.arena, &pages);
  PL_CHECK_INT(pages.n, 1, "a page all the same");
  PL_CHECK(has_text(&pages.at[0], "nothing"), "with its name");
  draw_kit_end(&kit);
}

static bool same_items(const struct pl_scene *a, const struct pl_scene *b) {
  if (a->items.n != b->items.n)
    return false;
  if (strcmp(a->file, b->file) != 0)
    return false;
  if (strcmp(a->description, b->description) != 0)
    return false;
  for (uint32_t i = 0; i < a->items.n; i++) {
    const struct pl_item *x = &a->items.at[i];
    const struct pl_item *y = &b->items.at[i];
    if (x->kind != y->kind)
      return false;
    if (fabs(x->x - y->x) > 0)
      return false;
    if (fabs(x->y - y->y) > 0)
      return false;
    if (strcmp(x->text, y->text) != 0)
      return false;
  }
  return true;
}

static void same_again(void) {
  struct draw_kit kits[2];
  pl_scenes pages[2] = {{0}, {0}};
  for (int k = 0; k < 2; k++) {
    draw_kit_start(&kits[k]);
    if (k == 1)
      pl_arena_alloc(&kits[k].arena, 12345, 1); /* other addresses */
    draw_small_machine(&kits[k]);
    pl_draw_all_in(&kits[k].harness, NULL, &kits[k].arena, &pages[k]);
  }
  PL_CHECK_INT(pages[0].n, pages[1].n, "pages");
  for (uint32_t p = 0; p < pages[0].n && p < pages[1].n; p++)
    PL_CHECK(same_items(&pages[0].at[p], &pages[1].at[p]), pages[0].at[p].file);
  PL_CHECK(pages[0].n == 5, "two circuits, one connector, symbols and colours");
  for (int k = 0; k < 2; k++)
    draw_kit_end(&kits[k]);
}

CU_TestInfo circuit_page_tests[] = {{"words", words},
                                    {"downward", downward},
                                    {"relay halves", relay_halves},
                                    {"a changeover to ground", a_changeover_to_ground},
                                    {"references", references},
                                    {"other circuits", other_circuits},
                                    {"an empty circuit", empty_circuit},
                                    {"the same again", same_again},
                                    {"paper", paper},
                                    {"no memory", no_memory},
                                    CU_TEST_INFO_NULL};
