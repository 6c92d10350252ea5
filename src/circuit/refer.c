/* References: where a conductor goes on, on another page of the circuit or in another circuit, by
 * page, column and wire. Each is a link as well.  Room for them is kept before the places are
 * known. */
#include "circuit/refer_inner.h"

#include <math.h>
#include <string.h>

#include "draw/file_names.h"
#include "draw/frame.h"
#include "draw/metrics.h"

#define NONE UINT32_MAX
#define TITLE 30.0 /* mm: circuits' names are shortened to this */
#define NUMBER 14.0

static const char *circuit_title(const struct pl_harness *harness, pl_id circuit) {
  if (circuit == PL_NONE)
    return "";
  if (circuit >= harness->circuits.n)
    return "";
  const struct pl_circuit *one = &harness->circuits.at[circuit];
  if (one->title != NULL && one->title[0] != '\0')
    return one->title;
  return one->name;
}

static double far_height(const struct pl_paths *paths, pl_id wire, pl_id pin) {
  pl_id other = pl_wire_other_end(&paths->harness->wires.at[wire], pin);
  if (other == PL_NONE)
    return INFINITY;
  return pl_flow_height(paths->flow, other);
}

struct pl_elsewhere pl_elsewhere_at(const struct pl_paths *paths, pl_id pin) {
  struct pl_elsewhere found = {.wires = {PL_NONE}};
  const struct pl_pin *one = &paths->harness->pins.at[pin];
  for (uint32_t i = 0; i < one->wires.n; i++) {
    pl_id wire = one->wires.at[i];
    if (paths->harness->wires.at[wire].circuit == paths->circuit)
      continue;
    found.all++;
    uint32_t at = found.n;
    while (at > 0 && far_height(paths, wire, pin) < far_height(paths, found.wires[at - 1], pin))
      at--;
    if (at == PL_ELSEWHERE)
      continue;
    if (found.n < PL_ELSEWHERE)
      found.n++;
    for (uint32_t k = found.n - 1; k > at; k--)
      found.wires[k] = found.wires[k - 1];
    found.wires[at] = wire;
  }
  return found;
}

bool pl_elsewhere_feeds(const struct pl_paths *paths,
                        const struct pl_elsewhere *elsewhere,
                        pl_id pin) {
  if (!(elsewhere->n > 0))
    return false;
  return far_height(paths, elsewhere->wires[0], pin) < pl_flow_height(paths->flow, pin);
}

/* ---- words ---- */

static const char *at_place(struct pl_arena *arena, struct pl_where where, uint32_t pages) {
  if (pages <= 1)
    return pl_arena_printf(arena, "col. %u", where.column);
  return pl_arena_printf(arena, "page %u, col. %u", where.page, where.column);
}

const char *pl_refer_place(const struct pl_page *page, uint32_t far_port) {
  const struct pl_port *port = &page->paths->ports.at[far_port];
  return at_place(page->arena, port->where, port->where.page == page->number ? 1 : 2);
}

static const char *wire_words(const struct pl_page *page, pl_id wire) {
  const struct pl_harness *harness = page->paths->harness;
  const struct pl_wire *row = &harness->wires.at[wire];
  const char *number = pl_text_fit(page->arena, row->number, PL_TEXT_SIZE, false, NUMBER);
  const struct pl_atlas *atlas = page->paths->atlas;
  if (atlas == NULL || row->circuit >= harness->circuits.n || atlas->wires[wire].page == 0)
    return pl_arena_printf(page->arena, "wire %s", number);
  return pl_arena_printf(page->arena,
                         "wire %s, %s",
                         number,
                         at_place(page->arena, atlas->wires[wire], atlas->pages[row->circuit]));
}

static const char *title_words(const struct pl_page *page, pl_id wire) {
  const struct pl_harness *harness = page->paths->harness;
  return pl_text_fit(page->arena,
                     circuit_title(harness, harness->wires.at[wire].circuit),
                     PL_TEXT_SIZE,
                     false,
                     TITLE);
}

static const char *link_to(const struct pl_page *page, pl_id wire) {
  const struct pl_harness *harness = page->paths->harness;
  const struct pl_atlas *atlas = page->paths->atlas;
  pl_id circuit = harness->wires.at[wire].circuit;
  if (atlas == NULL)
    return "";
  if (circuit >= harness->circuits.n)
    return "";
  if (atlas->wires[wire].page == 0)
    return "";
  const char *file = pl_circuit_file(page->arena, harness, circuit, atlas->wires[wire].page);
  return pl_arena_printf(page->arena,
                         "%s#w-%s",
                         file,
                         pl_safe_name(page->arena, harness->wires.at[wire].number));
}

/* ---- boxes ---- */

uint32_t pl_refer_line_count(const struct pl_spot *spot) {
  if (spot->far_port != NONE)
    return 2;
  bool more = spot->elsewhere.all > spot->elsewhere.n;
  return 2 * spot->elsewhere.n + (more ? 1 : 0);
}

double pl_refer_height(const struct pl_spot *spot) {
  return pl_refer_line_count(spot) * PL_LEADING + 0.6;
}

/* As wide as the longest place could make it: places come later. */
double pl_refer_width(const struct pl_page *page, const struct pl_spot *spot) {
  double width = 0;
  if (spot->far_port != NONE) {
    width = fmax(pl_text_width(spot->reference, PL_TEXT_SIZE, false),
                 pl_text_width(PL_PLACE_TEXT, PL_TEXT_SIZE, false));
  } else {
    for (uint32_t i = 0; i < spot->elsewhere.n; i++) {
      pl_id wire = spot->elsewhere.wires[i];
      const char *number = pl_text_fit(page->arena,
                                       page->paths->harness->wires.at[wire].number,
                                       PL_TEXT_SIZE,
                                       false,
                                       NUMBER);
      width = fmax(width, pl_text_width(title_words(page, wire), PL_TEXT_SIZE, false));
      width = fmax(width,
                   pl_text_width(pl_arena_printf(page->arena, "wire %s, " PL_PLACE_TEXT, number),
                                 PL_TEXT_SIZE,
                                 false));
    }
  }
  return width + 1.6;
}

/* As wide as what it says now. */
static void
put_box(struct pl_scene *scene, double x, double y, const char *const *lines, uint32_t n) {
  double width = 0;
  for (uint32_t i = 0; i < n; i++)
    width = fmax(width, pl_text_width(lines[i], PL_TEXT_SIZE, false));
  pl_scene_box(scene,
               PL_STROKE_NORMAL,
               PL_FILL_PAPER,
               x - 3.6,
               y,
               fmax(width + 1.6, 7),
               n * PL_LEADING + 0.6);
  for (uint32_t i = 0; i < n; i++)
    pl_scene_text(scene,
                  x - 2.8,
                  y + 2.8 + i * PL_LEADING,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  lines[i]);
}

static void draw_inside(const struct pl_page *page,
                        const struct pl_spot *spot,
                        double x,
                        double y,
                        struct pl_scene *scene) {
  const struct pl_port *port = &page->paths->ports.at[spot->far_port];
  const char *place = pl_refer_place(page, spot->far_port);
  const char *link = "";
  if (port->where.page != page->number) {
    const char *file =
        pl_circuit_file(page->arena, page->paths->harness, page->paths->circuit, port->where.page);
    link = pl_arena_printf(page->arena, "%s#c-%u", file, port->where.column);
  }
  pl_scene_open_of(scene,
                   "",
                   pl_arena_printf(page->arena, "Goes on: %s, %s", spot->reference, place),
                   link,
                   "reference",
                   spot->reference);
  put_box(scene, x, y, (const char *[]){spot->reference, place}, 2);
  pl_scene_close(scene);
}

static void draw_outside(const struct pl_page *page,
                         const struct pl_spot *spot,
                         double x,
                         double y,
                         struct pl_scene *scene) {
  const struct pl_elsewhere *all = &spot->elsewhere;
  const char *first = wire_words(page, all->wires[0]);
  pl_scene_open_of(
      scene,
      "",
      pl_arena_printf(page->arena, "Goes on in: %s, %s", title_words(page, all->wires[0]), first),
      link_to(page, all->wires[0]),
      "reference",
      first);
  const char *lines[2 * PL_ELSEWHERE + 1];
  uint32_t n = 0;
  for (uint32_t i = 0; i < all->n; i++) {
    lines[n++] = title_words(page, all->wires[i]);
    lines[n++] = wire_words(page, all->wires[i]);
  }
  if (all->all > all->n)
    lines[n++] = pl_arena_printf(page->arena, "and %u more", all->all - all->n);
  put_box(scene, x, y, lines, n);
  pl_scene_close(scene);
}

void pl_refer_draw(const struct pl_page *page,
                   const struct pl_spot *spot,
                   double x,
                   double y,
                   struct pl_scene *scene) {
  if (spot->far_port != NONE)
    draw_inside(page, spot, x, y, scene);
  else
    draw_outside(page, spot, x, y, scene);
}

/* ---- a line of texts without a box: what feeds a point of a supply line, where the other half of
 * a relay is ---- */

double pl_refer_plain_width(const struct pl_page *page, pl_id wire, const char *word) {
  const char *number = pl_text_fit(page->arena,
                                   page->paths->harness->wires.at[wire].number,
                                   PL_TEXT_SIZE,
                                   false,
                                   NUMBER);
  double first = pl_text_width(pl_arena_printf(page->arena, "%s %s", word, title_words(page, wire)),
                               PL_TEXT_SIZE,
                               false);
  return fmax(first,
              pl_text_width(pl_arena_printf(page->arena, "wire %s, " PL_PLACE_TEXT, number),
                            PL_TEXT_SIZE,
                            false));
}

void pl_refer_plain(const struct pl_page *page,
                    pl_id wire,
                    const char *word,
                    double x,
                    double y,
                    struct pl_scene *scene) {
  const char *title = pl_arena_printf(page->arena, "%s %s", word, title_words(page, wire));
  const char *place = wire_words(page, wire);
  pl_scene_open(scene,
                "",
                pl_arena_printf(page->arena, "%s, %s", title, place),
                link_to(page, wire));
  pl_scene_text(scene, x, y, PL_TEXT_SIZE, PL_ANCHOR_START, title);
  pl_scene_text(scene, x, y + PL_LEADING, PL_TEXT_SIZE, PL_ANCHOR_START, place);
  pl_scene_close(scene);
}
