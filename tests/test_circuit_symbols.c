/* Every kind has a symbol: it is drawn, stands in the legend, and no two signs look alike. */
#include "test_circuit.h"

#include "base/buffer.h"
#include "base/number.h"
#include "draw/drawings.h"
#include "draw/shape.h"
#include "draw/sign.h"

/* One device T1 of the kind, with a wire at each of its pins. */
static void start_machine(struct draw_kit *kit, enum pl_kind kind) {
  draw_kit_start(kit);
  const char *pins = pl_kind_row(kind)->pins;
  if (pins[0] == '\0' && !pl_kind_is(kind, PL_IS_NODE))
    pins = "1 2";
  pl_id device = draw_device(kit, kind, "T1", "", pins);
  pl_id circuit = draw_circuit(kit, "one", "");
  const struct pl_device *row = &kit->harness.devices.at[device];
  for (uint32_t i = 0; i < row->pin_count; i++) {
    const char *full = kit->harness.pins.at[row->first_pin + i].full;
    draw_wire(kit, circuit, NULL, full, "-", "RD", "");
  }
}

static bool is_ink(const struct pl_item *item) {
  switch (item->kind) {
    case PL_SHAPE_PATH:
      return item->text[0] != '\0';
    case PL_SHAPE_LINE:
    case PL_SHAPE_BOX:
    case PL_SHAPE_CIRCLE:
    case PL_SHAPE_WIRE:
      return true;
    case PL_SHAPE_TEXT:
    case PL_SHAPE_OPEN:
    case PL_SHAPE_CLOSE:
      break;
  }
  return false;
}

static uint32_t group_end(const struct pl_scene *scene, uint32_t open) {
  uint32_t depth = 1;
  uint32_t i = open + 1;
  for (; i < scene->items.n && depth > 0; i++) {
    depth += scene->items.at[i].kind == PL_SHAPE_OPEN;
    depth -= scene->items.at[i].kind == PL_SHAPE_CLOSE;
  }
  return i;
}

/* What a pencil would draw, as text: two symbols are alike when their texts are. */
static void trace_item(struct pl_buffer *text, const struct pl_item *item) {
  if (item->kind == PL_SHAPE_TEXT && item->anchor == PL_ANCHOR_START)
    return; /* the words beside the symbol */
  const double at[] = {item->x, item->y, item->x2, item->y2};
  pl_buffer_printf(text, "%d %d %s", (int)item->kind, (int)item->fill, item->text);
  for (int k = 0; k < 4; k++) {
    char number[PL_NUMBER_SIZE];
    pl_buffer_printf(text, " %s", pl_number_fixed(number, at[k], 2));
  }
  pl_buffer_puts(text, ";");
}

/* The symbol in the legend of a machine that has only this kind; NULL: it is not there. */
static const char *legend_symbol(struct draw_kit *kit, enum pl_kind kind, uint32_t *ink) {
  const char *name = pl_sign_row(pl_kind_row(kind)->sign)->name;
  pl_scenes pages = {0};
  pl_draw_legend(&kit->harness, &kit->arena, &pages);
  const struct pl_scene *scene = &pages.at[0];
  for (uint32_t i = 0; i < scene->items.n; i++) {
    const struct pl_item *open = &scene->items.at[i];
    if (open->kind != PL_SHAPE_OPEN)
      continue;
    if (strcmp(open->text, name) != 0)
      continue;
    struct pl_buffer text;
    pl_buffer_init(&text, &kit->arena);
    for (uint32_t k = i + 1; k < group_end(scene, i); k++) {
      *ink += is_ink(&scene->items.at[k]);
      trace_item(&text, &scene->items.at[k]);
    }
    return text.at;
  }
  return NULL;
}

static uint32_t page_ink(struct draw_kit *kit) {
  pl_scenes pages = {0};
  uint32_t ink = 0;
  pl_draw_circuit(&kit->harness, 0, &kit->arena, &pages);
  for (uint32_t p = 0; p < pages.n; p++) {
    const struct pl_scene *scene = &pages.at[p];
    for (uint32_t i = 0; i < scene->items.n; i++) {
      const struct pl_item *open = &scene->items.at[i];
      if (open->kind != PL_SHAPE_OPEN)
        continue;
      if (strcmp(open->what, "device") != 0)
        continue;
      if (strcmp(open->name, "T1") != 0)
        continue;
      for (uint32_t k = i + 1; k < group_end(scene, i); k++)
        ink += is_ink(&scene->items.at[k]);
    }
  }
  return ink;
}

/* Metal is the ground line of the page: its sign hangs there, in no group of its own. */
static uint32_t ground_ink(struct draw_kit *kit) {
  struct pl_scene sign;
  pl_scenes pages = {0};
  uint32_t found = 0;
  pl_scene_init(&sign, &kit->arena, "", "", 10, 10);
  pl_shape_chassis(&sign, 0, 0);
  pl_draw_circuit(&kit->harness, 0, &kit->arena, &pages);
  for (uint32_t p = 0; p < pages.n; p++)
    for (uint32_t i = 0; i < pages.at[p].items.n; i++)
      found += strcmp(pages.at[p].items.at[i].text, sign.items.at[0].text) == 0;
  return found;
}

static void each_kind(void) {
  for (enum pl_kind kind = 0; kind < PL_KIND_COUNT; kind++) {
    struct draw_kit kit;
    start_machine(&kit, kind);
    uint32_t ink = 0;
    bool ground = pl_kind_is(kind, PL_IS_GROUND);
    uint32_t drawn = ground ? ground_ink(&kit) : page_ink(&kit);
    PL_CHECK(drawn > 0, pl_kind_name(kind));
    PL_CHECK(legend_symbol(&kit, kind, &ink) != NULL, pl_kind_name(kind));
    PL_CHECK(ink > 0, pl_kind_name(kind));
    draw_kit_end(&kit);
  }
}

static void each_row(void) {
  for (enum pl_sign sign = 0; sign < PL_SIGN_COUNT; sign++) {
    const struct pl_sign_row *row = pl_sign_row(sign);
    bool whole = row->name != NULL && row->words != NULL;
    CU_ASSERT_TRUE(whole);
    CU_ASSERT_TRUE(row->body == PL_BODY_CELLS || row->path != NULL);
    CU_ASSERT_TRUE(row->body != PL_BODY_PATH || row->half > 0);
    CU_ASSERT_TRUE(row->body != PL_BODY_CIRCLE || row->letter != NULL);
    bool boxed = row->figure == PL_FIGURE_BOX;
    CU_ASSERT_TRUE(!boxed || row->pins != NULL || pl_sign_has_inner(sign));
  }
}

static void no_two_alike(void) {
  struct draw_kit kits[PL_KIND_COUNT];
  const char *symbols[PL_KIND_COUNT];
  for (enum pl_kind kind = 0; kind < PL_KIND_COUNT; kind++) {
    uint32_t ink = 0;
    start_machine(&kits[kind], kind);
    symbols[kind] = legend_symbol(&kits[kind], kind, &ink);
    CU_ASSERT_PTR_NOT_NULL_FATAL(symbols[kind]);
  }
  for (enum pl_kind a = 0; a < PL_KIND_COUNT; a++)
    for (enum pl_kind b = 0; b < a; b++) {
      bool same_sign = pl_kind_row(a)->sign == pl_kind_row(b)->sign;
      bool alike = strcmp(symbols[a], symbols[b]) == 0;
      PL_CHECK(alike == same_sign, pl_kind_name(a));
    }
  for (enum pl_kind kind = 0; kind < PL_KIND_COUNT; kind++)
    draw_kit_end(&kits[kind]);
}

CU_TestInfo circuit_symbol_tests[] = {{"each kind", each_kind},
                                      {"each row", each_row},
                                      {"no two alike", no_two_alike},
                                      CU_TEST_INFO_NULL};
