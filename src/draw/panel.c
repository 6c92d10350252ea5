/* Fuses and relays at one place, as a panel seen from the front, in the order of the text. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "draw/drawings.h"
#include "draw/file_names.h"
#include "draw/metrics.h"
#include "standard/limits_data.h"

#define WIDTH 190.0
#define HEIGHT 222.0 /* most: leaves room for a heading on the page */
#define TOP 10.0
#define GAP 1.5
#define EDGE 0.5 /* so that no stroke is cut by the page's edge */
#define CELL_HEIGHT 25.0
#define PAD 1.6
enum {
  ACROSS = 5
};

struct panel {
  const struct pl_harness *harness;
  struct pl_arena *arena;
  pl_scenes *pages;
  struct pl_scene *page;
  pl_id place;
  uint32_t number, cells; /* pages and cells so far */
  double y;               /* of the row being filled */
};

static const char *place_name(const struct panel *panel) {
  if (panel->place < panel->harness->places.n)
    return panel->harness->places.at[panel->place].name;
  return "no place said";
}

static void new_page(struct panel *panel) {
  struct pl_scene page;
  const char *name = pl_safe_name(panel->arena, place_name(panel));
  const char *title = pl_arena_printf(panel->arena, "Panel at %s", place_name(panel));
  panel->number++;
  if (panel->number > 1) {
    name = pl_arena_printf(panel->arena, "%s_-p%u", name, panel->number);
    title = pl_arena_printf(panel->arena, "%s, page %u", title, panel->number);
  }
  pl_scene_init(&page,
                panel->arena,
                pl_arena_printf(panel->arena, "panel-%s.svg", name),
                title,
                WIDTH,
                TOP);
  page.description = "Fuses and relays seen from the front, in the order of the text";
  PL_PUSH(panel->arena, panel->pages, page);
  panel->page = &panel->pages->at[panel->pages->n - 1];
  pl_scene_bold(panel->page,
                0,
                4.5,
                4,
                PL_ANCHOR_START,
                pl_text_fit(panel->arena, title, 4, true, 110));
  pl_scene_text(panel->page,
                WIDTH,
                4.5,
                2.8,
                PL_ANCHOR_END,
                "seen from the front; positions in the order of the text");
  panel->y = TOP - CELL_HEIGHT - GAP;
  panel->cells = 0;
}

/* The corner of the next cell. */
static double next_cell(struct panel *panel, bool new_row) {
  if (new_row && panel->cells % ACROSS != 0)
    panel->cells += ACROSS - panel->cells % ACROSS;
  if (panel->page == NULL ||
      (panel->cells % ACROSS == 0 && panel->y + 2 * (CELL_HEIGHT + GAP) > HEIGHT))
    new_page(panel);
  if (panel->cells % ACROSS == 0) {
    panel->y += CELL_HEIGHT + GAP;
    panel->page->height = panel->y + CELL_HEIGHT + GAP;
  }
  return EDGE + (panel->cells++ % ACROSS) * ((WIDTH - 2 * EDGE + GAP) / (double)ACROSS);
}

/* The colour of a fuse as a wire of that colour would be drawn; the word stands beside it. */
static const char *letters_of(const char *word) {
  static const char *const rows[][2] = {{"grey", "GY"},
                                        {"violet", "VT"},
                                        {"pink", "PK"},
                                        {"brown", "BN"},
                                        {"red", "RD"},
                                        {"blue", "BU"},
                                        {"yellow", "YE"},
                                        {"clear", "WH"},
                                        {"green", "GN"},
                                        {"blue-green", "TQ"},
                                        {"orange", "OG"},
                                        {"black", "BK"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    if (strcmp(rows[i][0], word) == 0)
      return rows[i][1];
  return "";
}

static void put_colour(struct panel *panel, double x, double y, const char *word) {
  const char *letters = letters_of(word);
  struct pl_mm points[] = {{x, y}, {x + 8, y}};
  if (word[0] == '\0')
    return;
  if (letters[0] != '\0') {
    pl_scene_wire(panel->page, (struct pl_colour){letters, "", ""}, points, 2);
    panel->page->items.at[panel->page->items.n - 1].size = 2.4;
  }
  pl_scene_text(panel->page, letters[0] != '\0' ? x + 9.5 : x, y + 1, 2.8, PL_ANCHOR_START, word);
}

/* At most two lines of what it is for. */
static void put_purpose(struct panel *panel, double x, double y, double width, const char *text) {
  for (int line = 0; line < 2 && *text != '\0'; line++) {
    size_t n = strlen(text);
    size_t all = n;
    while (n > 0 && pl_text_width(pl_arena_strndup(panel->arena, text, n), 2.6, false) > width) {
      size_t cut = n - 1;
      while (cut > 0 && text[cut] != ' ')
        cut--;
      if (cut == 0)
        break;
      n = cut;
    }
    if (line == 1)
      n = all;
    pl_scene_text(
        panel->page,
        x,
        y + 3.1 * line,
        2.6,
        PL_ANCHOR_START,
        pl_text_fit(panel->arena, pl_arena_strndup(panel->arena, text, n), 2.6, false, width));
    text += n;
    text += strspn(text, " ");
  }
}

static void put_cell(struct panel *panel, pl_id id, bool new_row) {
  const struct pl_device *device = &panel->harness->devices.at[id];
  bool relay = pl_kind_is(device->kind, PL_IS_RELAY);
  double x = next_cell(panel, new_row);
  double y = panel->y;
  double width = (WIDTH - 2 * EDGE + GAP) / (double)ACROSS - GAP;
  double room = width - 2 * PAD;
  char number[PL_NUMBER_SIZE];
  const char *rating = "";
  if (isfinite(device->rating))
    rating = pl_arena_printf(panel->arena, "%s A", pl_number_print(number, device->rating, 4));
  struct pl_scene *page = panel->page;
  pl_scene_open_of(
      page,
      pl_arena_printf(panel->arena, "d-%s", pl_safe_name(panel->arena, device->name)),
      pl_arena_printf(panel->arena, "%s %s %s", pl_kind_name(device->kind), device->name, rating),
      "",
      "device",
      device->name);
  pl_scene_box(page,
               relay ? PL_STROKE_BOLD : PL_STROKE_NORMAL,
               PL_FILL_PAPER,
               x,
               y,
               width,
               CELL_HEIGHT);
  pl_scene_text(page,
                x + width - PAD,
                y + 4,
                2.8,
                PL_ANCHOR_END,
                pl_arena_printf(panel->arena,
                                "%s %u",
                                relay ? "relay" : "no.",
                                pl_device_position(panel->harness, id)));
  pl_scene_bold(page,
                x + PAD,
                y + 4.6,
                3.8,
                PL_ANCHOR_START,
                pl_text_fit(panel->arena, device->name, 3.8, true, room - 12));
  pl_scene_bold(page, x + PAD, y + 11, 4.6, PL_ANCHOR_START, rating);
  if (!relay && pl_kind_row(device->kind)->sign != PL_SIGN_FUSE)
    pl_scene_text(page, x + width - PAD, y + 11, 2.8, PL_ANCHOR_END, pl_kind_name(device->kind));
  if (relay)
    pl_scene_text(page,
                  x + PAD,
                  y + 15.2,
                  2.6,
                  PL_ANCHOR_START,
                  pl_text_fit(panel->arena, device->part, 2.6, false, room));
  else
    put_colour(panel, x + PAD, y + 14.3, pl_fuse_colour(device->family, device->rating));
  put_purpose(panel, x + PAD, y + 19.6, room, device->text);
  pl_scene_close(page);
}

void pl_draw_panels(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages) {
  for (pl_id place = 0; place <= harness->places.n; place++) {
    struct panel panel = {.harness = harness,
                          .arena = arena,
                          .pages = pages,
                          .place = place < harness->places.n ? place : PL_NONE};
    for (int relays = 0; relays < 2; relays++) {
      pl_properties wanted = relays == 0 ? PL_IS_PROTECTION : PL_IS_RELAY;
      bool first = true;
      for (pl_id id = 0; id < harness->devices.n; id++) {
        const struct pl_device *device = &harness->devices.at[id];
        if (device->place != panel.place)
          continue;
        if (!pl_kind_is(device->kind, wanted))
          continue;
        put_cell(&panel, id, first);
        first = false;
      }
    }
  }
}
