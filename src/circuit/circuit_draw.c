/* Draws a page that has its millimetres: supply lines, wires with their labels, symbols, column
 * numbers; counts crossings. With a solved state each label has the volts and amps there, and wires
 * that carry current are drawn heavier. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "circuit/symbol_inner.h"
#include "draw/file_names.h"
#include "draw/frame.h"
#include "draw/metrics.h"

#define NONE UINT32_MAX
#define JOG 2.4
#define HEAVY 1.5      /* mm: a wire that carries current */
#define TOUCH 0.02     /* mm: ends that near meet, and do not cross */
#define SOME_AMPS 1e-3 /* what counts as current */

static const struct pl_wire *wire_of(const struct pl_page *page, const struct pl_edge *edge) {
  return &page->paths->harness->wires.at[page->paths->wires.at[edge->wire].wire];
}

/* ---- labels ---- */

static const char *label_number(const struct pl_page *page, const struct pl_wire *wire) {
  return pl_text_fit(page->arena, wire->number, PL_TEXT_SIZE, true, 18);
}

static double wire_amps(const struct pl_page *page, const struct pl_edge *edge) {
  return page->paths->solution->wire_amps[page->paths->wires.at[edge->wire].wire];
}

/* Volts at the end where the label stands, amps, and "up" where they flow up the page. */
static const char *label_figures(const struct pl_page *page, const struct pl_edge *edge) {
  const struct pl_solution *solution = page->paths->solution;
  if (solution == NULL)
    return "";
  const struct pl_path_wire *wire = &page->paths->wires.at[edge->wire];
  const struct pl_wire *row = wire_of(page, edge);
  pl_id pin = row->end[edge->label_tie == 0 ? wire->upper : !wire->upper];
  if (pin == PL_NONE)
    pin = pl_wire_other_end(row, PL_NONE);
  double volts = NAN;
  if (pin != PL_NONE)
    volts = solution->pin_volts[pin];
  double amps = wire_amps(page, edge);
  char text[PL_NUMBER_SIZE];
  char more[PL_NUMBER_SIZE];
  const char *shown = "floats";
  if (!isnan(volts))
    shown = pl_arena_printf(page->arena, "%s V", pl_number_fixed(text, volts, 1));
  if (fabs(amps) < SOME_AMPS)
    return pl_arena_printf(page->arena, "%s 0 A", shown);
  bool up = (amps > 0) != (wire->upper == 0);
  return pl_arena_printf(page->arena,
                         "%s %s A%s",
                         shown,
                         pl_number_print(more, fabs(amps), 2),
                         up ? " up" : "");
}

double pl_label_height(const struct pl_page *page) {
  return (page->flat_labels ? 4.3 : 7.4) + (page->paths->solution != NULL ? 3.0 : 0);
}

double pl_label_width(const struct pl_page *page, const struct pl_edge *edge) {
  const struct pl_wire *wire = wire_of(page, edge);
  char colour[16];
  pl_colour_text(&wire->colour, colour);
  double first = pl_text_width(label_number(page, wire), PL_TEXT_SIZE, true);
  if (colour[0] != '\0')
    first += 1.0 + pl_text_width(colour, PL_TEXT_SIZE, false);
  double size = pl_text_width(wire->size, PL_TEXT_SIZE, false);
  double figures = pl_text_width(label_figures(page, edge), PL_TEXT_SIZE, true);
  double width = page->flat_labels ? first + 1.0 + size : fmax(first, size);
  return fmax(width, figures) + 1.0;
}

static void
draw_label(const struct pl_page *page, const struct pl_edge *edge, struct pl_scene *scene) {
  const struct pl_wire *wire = wire_of(page, edge);
  const struct pl_spot *spot = &page->spots.at[edge->spot[edge->label_tie]];
  uint32_t c = page->parts.at[spot->part].rank + (spot->top ? 0 : 1);
  double x = spot->x + 1.3;
  double high = pl_label_height(page);
  double y;
  if (spot->top)
    y = page->channels[c].y_down - high + 0.4;
  else
    y = page->channels[c].y_up + 0.6;
  const char *number = label_number(page, wire);
  const char *figures = label_figures(page, edge);
  char colour[16];
  pl_colour_text(&wire->colour, colour);
  pl_scene_box(scene, PL_STROKE_THIN, PL_FILL_PAPER, x, y, edge->label_width, high - 1);
  pl_scene_bold(scene, x + 0.5, y + 2.6, PL_TEXT_SIZE, PL_ANCHOR_START, number);
  pl_scene_text(scene,
                x + 1.5 + pl_text_width(number, PL_TEXT_SIZE, true),
                y + 2.6,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                pl_arena_strdup(page->arena, colour));
  if (page->flat_labels)
    pl_scene_text(scene,
                  x + edge->label_width - 0.5,
                  y + 2.6,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_END,
                  wire->size);
  else
    pl_scene_text(scene, x + 0.5, y + 5.6, PL_TEXT_SIZE, PL_ANCHOR_START, wire->size);
  pl_scene_bold(scene, x + 0.5, y + high - 1.8, PL_TEXT_SIZE, PL_ANCHOR_START, figures);
}

/* ---- wires ---- */

static bool same(double a, double b) {
  return !(a < b) && !(a > b);
}

static void add_point(struct pl_mm *points, uint32_t *n, double x, double y) {
  if (*n >= 2) {
    const struct pl_mm *last = &points[*n - 1];
    const struct pl_mm *before = &points[*n - 2];
    bool upright = same(last->x, x) && same(before->x, x);
    bool flat = same(last->y, y) && same(before->y, y);
    if (upright || flat)
      (*n)--;
  }
  points[(*n)++] = (struct pl_mm){x, y};
}

static uint32_t
trace(const struct pl_page *page, const struct pl_edge *edge, struct pl_mm *points) {
  const struct pl_spot *a = &page->spots.at[edge->spot[0]];
  const struct pl_spot *b = &page->spots.at[edge->spot[1]];
  uint32_t n = 0;
  add_point(points, &n, a->x, a->y);
  for (uint32_t l = edge->first_link; l < edge->first_link + edge->link_count; l++) {
    const struct pl_link *link = &page->links.at[l];
    if (link->lane == NONE)
      continue;
    const struct pl_channel *channel = &page->channels[link->channel];
    double y = channel->y_lanes + link->lane * PL_LANE;
    for (int t = 0; t < 2; t++) {
      double x = page->column_x[page->cells.at[link->tie[t].cell].column];
      if (!link->jog[t]) {
        add_point(points, &n, x, y);
      } else if (t == 0) {
        add_point(points, &n, x, channel->y_jog);
        add_point(points, &n, x + JOG, channel->y_jog);
        add_point(points, &n, x + JOG, y);
      } else {
        add_point(points, &n, x + JOG, y);
        add_point(points, &n, x + JOG, channel->y_jog);
        add_point(points, &n, x, channel->y_jog);
      }
    }
  }
  add_point(points, &n, b->x, b->y);
  return n;
}

static struct pl_mm *new_points(const struct pl_page *page, const struct pl_edge *edge) {
  return PL_NEW_ARRAY(page->arena, struct pl_mm, (size_t)edge->link_count * 6 + 4);
}

static const char *end_name(const struct pl_page *page, pl_id pin) {
  if (pin == PL_NONE)
    return "an open end";
  return page->paths->harness->pins.at[pin].full;
}

static void
draw_edge(const struct pl_page *page, const struct pl_edge *edge, struct pl_scene *scene) {
  struct pl_mm *points = new_points(page, edge);
  uint32_t n = trace(page, edge, points);
  if (edge->wire == NONE) {
    for (uint32_t i = 0; i + 1 < n; i++)
      pl_scene_line(scene,
                    PL_STROKE_NORMAL,
                    points[i].x,
                    points[i].y,
                    points[i + 1].x,
                    points[i + 1].y);
    return;
  }
  const struct pl_wire *wire = wire_of(page, edge);
  char colour[16];
  const char *figures = label_figures(page, edge);
  const char *title = pl_arena_printf(page->arena,
                                      "Wire %s, %s %s, from %s to %s%s%s",
                                      wire->number,
                                      wire->size,
                                      pl_colour_text(&wire->colour, colour),
                                      end_name(page, wire->end[0]),
                                      end_name(page, wire->end[1]),
                                      figures[0] != '\0' ? ", " : "",
                                      figures);
  pl_scene_open_of(scene,
                   pl_arena_printf(page->arena, "w-%s", pl_safe_name(page->arena, wire->number)),
                   title,
                   "",
                   "wire",
                   wire->number);
  pl_scene_wire(scene, wire->colour, points, n);
  if (page->paths->solution != NULL && fabs(wire_amps(page, edge)) >= SOME_AMPS)
    scene->items.at[scene->items.n - 1].size = HEAVY;
  draw_label(page, edge, scene);
  pl_scene_close(scene);
}

/* ---- crossings ---- */

struct run { /* a straight stretch; flat: from (x, y) to (to, y); upright: from (x, y) to (x, to) */
  double x, y, to;
};

static int by_y(const void *left, const void *right) {
  const struct run *a = left;
  const struct run *b = right;
  if (a->y < b->y)
    return -1;
  return a->y > b->y;
}

uint32_t pl_page_crossings(const struct pl_page *page, bool supply) {
  uint32_t count = 0;
  uint32_t most = page->rails.n;
  uint32_t flat_count = 0;
  uint32_t up_count = 0;
  if (page->column_count == 0)
    return 0;
  for (uint32_t e = 0; e < page->edges.n; e++)
    most += page->edges.at[e].link_count * 6 + 4;
  struct run *flat = PL_NEW_ARRAY(page->arena, struct run, (size_t)most + 1);
  struct run *up = PL_NEW_ARRAY(page->arena, struct run, (size_t)most + 1);
  double right =
      page->column_x[page->column_count - 1] + page->column_right[page->column_count - 1];
  for (uint32_t i = 0; supply && i < page->rails.n; i++)
    flat[flat_count++] = (struct run){page->column_x[0] - page->column_left[0],
                                      pl_symbol_rail_y(page, page->rails.at[i]),
                                      right};
  for (uint32_t e = 0; e < page->edges.n; e++) {
    struct pl_mm *points = new_points(page, &page->edges.at[e]);
    uint32_t n = trace(page, &page->edges.at[e], points);
    for (uint32_t i = 0; i + 1 < n; i++) {
      struct pl_mm a = points[i];
      struct pl_mm b = points[i + 1];
      if (same(a.y, b.y))
        flat[flat_count++] = (struct run){fmin(a.x, b.x), a.y, fmax(a.x, b.x)};
      else
        up[up_count++] = (struct run){a.x, fmin(a.y, b.y), fmax(a.y, b.y)};
    }
  }
  qsort(flat, flat_count, sizeof *flat, by_y);
  for (uint32_t u = 0; u < up_count; u++)
    for (uint32_t f = 0; f < flat_count && flat[f].y < up[u].to - TOUCH; f++) {
      bool below_top = flat[f].y > up[u].y + TOUCH;
      bool between = up[u].x > flat[f].x + TOUCH && up[u].x < flat[f].to - TOUCH;
      count += below_top && between;
    }
  return count;
}

/* ---- the page ---- */

static void draw_rails(const struct pl_page *page, double right, struct pl_scene *scene) {
  double left = page->column_x[0] - page->column_left[0];
  for (uint32_t i = 0; i < page->rails.n; i++) {
    double y = pl_symbol_rail_y(page, page->rails.at[i]);
    pl_scene_bold(scene, left - 1.2, y + 1.1, 3.2, PL_ANCHOR_END, page->rails.at[i]);
    pl_scene_line(scene, PL_STROKE_BOLD, left, y, right, y);
  }
  if (!page->has_earth)
    return;
  double y = page->rows[page->row_count - 1].y2 - 4.2;
  pl_scene_bold(scene, left - 1.2, y + 1.1, 3.2, PL_ANCHOR_END, "31");
  pl_scene_line(scene, PL_STROKE_BOLD, left, y, right, y);
}

void pl_page_draw(struct pl_page *page, struct pl_scene *scene) {
  if (page->column_count == 0)
    return;
  uint32_t last = page->column_count - 1;
  double right = page->column_x[last] + page->column_right[last];
  draw_rails(page, right, scene);
  for (uint32_t e = 0; e < page->edges.n; e++)
    draw_edge(page, &page->edges.at[e], scene);
  for (uint32_t i = 0; i < page->parts.n; i++)
    pl_symbol_draw(page, i, scene);
  double y = page->rows[page->row_count - 1].y2 + 1;
  pl_scene_line(scene, PL_STROKE_THIN, page->column_x[0] - page->column_left[0], y, right, y);
  for (uint32_t c = 0; c <= last; c++) {
    pl_scene_open(scene, pl_arena_printf(page->arena, "c-%u", c + 1), "", "");
    pl_scene_line(scene, PL_STROKE_THIN, page->column_x[c], y, page->column_x[c], y + 0.8);
    pl_scene_text(scene,
                  page->column_x[c],
                  y + 3.6,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_MIDDLE,
                  pl_arena_printf(page->arena, "%u", c + 1));
    pl_scene_close(scene);
  }
}
