/* The assembly board drawn: tiles at 1:1 with rings, tails and crosses at their corners. */
#include <math.h>
#include <string.h>

#include "base/buffer.h"
#include "base/number.h"
#include "draw/board_inner.h"
#include "draw/drawings.h"
#include "draw/file_names.h"
#include "draw/frame.h"
#include "draw/metrics.h"

#define NONE UINT32_MAX
#define RING 2.5
#define CROSS 3.5
#define NUMBER 4.0 /* height of a ring's number */
enum {
  NOTES = 4,
  STAY_LINES = 3
};

struct sheet { /* one tile on its page */
  const struct pl_board *board;
  const struct pl_tile *tile;
  struct pl_scene scene;
  double x0, y0; /* of the strip's left end and middle, on the page */
};

static double run_metres(const struct pl_board *board, uint32_t twig) {
  return board->tree.harness->runs.at[board->tree.twigs.at[twig].run].length;
}

/* As it is measured on a bench: millimetres, or inches. */
static const char *mm_words(const struct pl_board *board, double mm) {
  char text[PL_NUMBER_SIZE];
  if (board->tree.harness->machine.units == PL_UNITS_US)
    return pl_arena_printf(board->arena,
                           "%s in",
                           pl_number_print(text, round(mm / 25.4 * 100) / 100, 7));
  return pl_arena_printf(board->arena, "%s mm", pl_number_print(text, round(mm * 10) / 10, 7));
}

static const char *run_length(const struct pl_board *board, uint32_t twig) {
  return mm_words(board, 1000 * run_metres(board, twig));
}

/* ---- the frame of a tile ---- */

static void draw_cross(struct pl_scene *scene, double x, double y) {
  pl_scene_circle(scene, PL_STROKE_THIN, PL_FILL_NONE, x, y, 2);
  pl_scene_line(scene, PL_STROKE_THIN, x - CROSS, y, x + CROSS, y);
  pl_scene_line(scene, PL_STROKE_THIN, x, y - CROSS, x, y + CROSS);
}

/* Crosses at the corners; a line of dashes where another tile is laid on. */
static void draw_edges(struct sheet *sheet) {
  const struct pl_room *window = &sheet->board->window;
  const struct pl_tile *tile = sheet->tile;
  double left = sheet->x0 + tile->from;
  double right = sheet->x0 + tile->to;
  double bottom = window->y + window->height;
  const double xs[] = {left, right};
  const bool joins[] = {tile->joins_left, tile->joins_right};
  for (int i = 0; i < 2; i++) {
    draw_cross(&sheet->scene, xs[i], window->y);
    draw_cross(&sheet->scene, xs[i], bottom);
    if (joins[i])
      pl_scene_line(&sheet->scene,
                    PL_STROKE_DASHED,
                    xs[i],
                    window->y + CROSS,
                    xs[i],
                    bottom - CROSS);
  }
}

/* 100 mm or 4 in, so that the printer's scale is known before anything is cut. */
static void draw_ruler(struct sheet *sheet) {
  const struct pl_room *room = &sheet->board->room;
  bool us = sheet->board->tree.harness->machine.units == PL_UNITS_US;
  double x = room->x + 4;
  double y = room->y + room->height - 4.2;
  double step = us ? 25.4 / 4 : 10;
  int ticks = us ? 16 : 10;
  pl_scene_open(&sheet->scene, "ruler", us ? "ruler, 4 inches" : "ruler, 100 millimetres", "");
  pl_scene_line(&sheet->scene, PL_STROKE_NORMAL, x, y, x + ticks * step, y);
  for (int i = 0; i <= ticks; i++) {
    double high = 1.6;
    if (i % (us ? 4 : 5) == 0)
      high = 2.6;
    pl_scene_line(&sheet->scene, PL_STROKE_NORMAL, x + i * step, y, x + i * step, y - high);
  }
  pl_scene_close(&sheet->scene);
  pl_scene_text(
      &sheet->scene,
      x,
      y + 3.2,
      PL_TEXT_SIZE,
      PL_ANCHOR_START,
      us ? "4 in. If it measures otherwise, print again at 100 %, not fitted to the page."
         : "100 mm. If it measures otherwise, print again at 100 %, not fitted to the page.");
}

static const char *beside(const struct sheet *sheet, int step) {
  const struct pl_tile *tile = sheet->tile + step;
  if (step < 0 ? !sheet->tile->joins_left : !sheet->tile->joins_right)
    return "none";
  return pl_board_name(sheet->board, tile);
}

static const char *run_words(const struct pl_board *board, uint32_t twig) {
  return pl_arena_printf(board->arena,
                         "%s, %s",
                         run_length(board, twig),
                         pl_tree_run_words(&board->tree, &board->tree.twigs.at[twig]));
}

static void draw_head(struct sheet *sheet) {
  const struct pl_board *board = sheet->board;
  const struct pl_tile *tile = sheet->tile;
  double x = board->room.x + 4;
  double right = board->room.x + board->room.width - 4;
  double y = board->room.y + 3.4;
  const char *sides = pl_arena_printf(board->arena,
                                      "left of it: %s; right of it: %s",
                                      beside(sheet, -1),
                                      beside(sheet, 1));
  double room = right - x - pl_text_width(sides, PL_TEXT_SIZE, false) - 4;
  const char *title = pl_text_fit(board->arena, pl_board_tile_title(board, tile), 3.4, true, room);
  pl_scene_bold(&sheet->scene, x, y, 3.4, PL_ANCHOR_START, title);
  pl_scene_text(&sheet->scene, right, y, PL_TEXT_SIZE, PL_ANCHOR_END, sides);
  double after = pl_text_width(title, 3.4, true) + 3;
  const char *text;
  if (tile->twig == NONE)
    text = "";
  else
    text = board->tree.harness->places.at[board->tree.twigs.at[tile->twig].place].text;
  if (after + 12 < room)
    pl_scene_text(&sheet->scene,
                  x + after,
                  y,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  pl_text_fit(board->arena, text, PL_TEXT_SIZE, false, room - after));
  const char *in = "";
  if (tile->run != NONE)
    in = pl_arena_printf(board->arena,
                         "From ring %u, %s: %s",
                         pl_board_peg(board, board->tree.twigs.at[tile->run].parent),
                         pl_board_place_name(board, board->tree.twigs.at[tile->run].parent),
                         run_words(board, tile->run));
  pl_scene_text(&sheet->scene,
                x,
                y + 4.2,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                pl_text_fit(board->arena, in, PL_TEXT_SIZE, false, right - x));
}

/* Takeoffs whose wires all stay at the place and have lengths of their own. */
static void draw_stays(struct sheet *sheet) {
  const struct pl_board *board = sheet->board;
  const char *lines[STAY_LINES];
  struct pl_buffer text;
  if (sheet->tile->twig == NONE)
    return;
  if (sheet->tile->part > 0)
    return;
  const pl_takeoffs *takeoffs =
      &board->tree.takeoffs[board->tree.twigs.at[sheet->tile->twig].place];
  pl_buffer_init(&text, board->arena);
  for (uint32_t i = 0; i < takeoffs->n; i++)
    if (takeoffs->at[i].tailed == 0)
      pl_buffer_printf(&text,
                       "%s%s\302\240%u",
                       text.n == 0 ? "Only wired here, lengths in the wire list: " : ", ",
                       takeoffs->at[i].name,
                       takeoffs->at[i].wires);
  if (text.n == 0)
    return;
  double x = board->room.x + 116;
  double y = board->room.y + board->room.height - 7.2;
  uint32_t n = pl_text_wrap(board->arena,
                            text.at,
                            PL_TEXT_SIZE,
                            false,
                            board->room.x + board->room.width - 4 - x,
                            lines,
                            STAY_LINES);
  for (uint32_t i = 0; i < n; i++)
    pl_scene_text(&sheet->scene, x, y + i * PL_LEADING, PL_TEXT_SIZE, PL_ANCHOR_START, lines[i]);
}

/* ---- runs and rings ---- */

static void draw_break(struct sheet *sheet, double x, double y, double half) {
  double h = half + 2;
  pl_scene_box(&sheet->scene,
               PL_STROKE_NONE,
               PL_FILL_PAPER,
               x - 1,
               y - half - 0.4,
               2,
               2 * half + 0.8);
  for (int i = -1; i <= 1; i += 2)
    pl_scene_line(&sheet->scene, PL_STROKE_NORMAL, x + i - 0.8, y + h, x + i + 0.8, y - h);
}

/* As thick as it is; dashed where no wire is in it. */
static void
draw_run(struct sheet *sheet, uint32_t twig, double from, double to, struct pl_gap gap) {
  const struct pl_board *board = sheet->board;
  const struct pl_run *run = &board->tree.harness->runs.at[board->tree.twigs.at[twig].run];
  double thick = pl_board_thick(board, twig);
  double x = sheet->x0 + from;
  double x2 = sheet->x0 + to;
  double y = sheet->y0;
  const char *name = pl_arena_printf(board->arena,
                                     "%s to %s",
                                     board->tree.harness->places.at[run->a].name,
                                     board->tree.harness->places.at[run->b].name);
  pl_scene_open_of(&sheet->scene, "", name, "", "run", name);
  if (thick > 0.2) {
    pl_scene_box(&sheet->scene,
                 PL_STROKE_NONE,
                 run->covering[0] != '\0' ? PL_FILL_GREY : PL_FILL_PAPER,
                 x,
                 y - thick / 2,
                 x2 - x,
                 thick);
    for (int i = -1; i <= 1; i += 2)
      pl_scene_line(&sheet->scene, PL_STROKE_NORMAL, x, y + i * thick / 2, x2, y + i * thick / 2);
  } else {
    pl_scene_line(&sheet->scene, PL_STROKE_DASHED, x, y, x2, y);
  }
  if (!isnan(gap.at))
    draw_break(sheet, sheet->x0 + gap.at, y, thick / 2);
  pl_scene_close(&sheet->scene);
}

static void draw_ring(struct sheet *sheet, uint32_t twig, double at, bool again) {
  const struct pl_board *board = sheet->board;
  double x = sheet->x0 + at;
  double y = sheet->y0;
  double thick =
      fmax(pl_board_thick(board, sheet->tile->run), pl_board_thick(board, sheet->tile->next));
  pl_scene_circle(&sheet->scene,
                  again ? PL_STROKE_DASHED : PL_STROKE_BOLD,
                  PL_FILL_PAPER,
                  x,
                  y,
                  RING);
  pl_scene_line(&sheet->scene, PL_STROKE_THIN, x - RING, y, x + RING, y);
  pl_scene_line(&sheet->scene, PL_STROKE_THIN, x, y - RING, x, y + RING);
  pl_scene_bold(&sheet->scene,
                x - 1,
                y - fmax(thick / 2, RING) - 1.4,
                NUMBER,
                PL_ANCHOR_END,
                pl_arena_printf(board->arena, "%u", pl_board_peg(board, twig)));
}

/* On a long run, how far it is from the ring before. */
static void draw_way_marks(struct sheet *sheet, double ring) {
  const struct pl_tile *tile = sheet->tile;
  bool us = sheet->board->tree.harness->machine.units == PL_UNITS_US;
  double step = us ? 101.6 : 100;
  double low = pl_board_thick(sheet->board, tile->run) / 2;
  for (double at = ceil((tile->from - ring + 1) / step) * step; at < tile->to - ring - 1;
       at += step) {
    double x = sheet->x0 + ring + at;
    pl_scene_line(&sheet->scene, PL_STROKE_THIN, x, sheet->y0 + low + 0.5, x, sheet->y0 + low + 3);
    if (x > sheet->x0 + tile->from + 12 && x < sheet->x0 + tile->to - 12)
      pl_scene_text(&sheet->scene,
                    x,
                    sheet->y0 + low + 6,
                    PL_TEXT_SIZE,
                    PL_ANCHOR_MIDDLE,
                    mm_words(sheet->board, at));
  }
}

static const char *gap_words(const struct pl_board *board, uint32_t twig, struct pl_gap gap) {
  return pl_arena_printf(board->arena,
                         "%s left out; ring to ring %s",
                         mm_words(board, gap.mm),
                         run_length(board, twig));
}

static void draw_runs(struct sheet *sheet) {
  const struct pl_board *board = sheet->board;
  const struct pl_tile *tile = sheet->tile;
  struct pl_gap whole = {NAN, 0};
  if (tile->twig == NONE) {
    double from = isnan(tile->begin) ? tile->from : tile->begin;
    double to = isnan(tile->end) ? tile->to : tile->end;
    draw_run(sheet, tile->run, from, to, whole);
    return;
  }
  if (tile->run != NONE) {
    double from = tile->ring - 10;
    if (!isnan(tile->begin))
      from = tile->begin;
    else if (tile->joins_left)
      from = tile->from;
    draw_run(sheet, tile->run, from, tile->ring, tile->in);
    if (!isnan(tile->in.at))
      pl_scene_text(&sheet->scene,
                    sheet->x0 + tile->from + 2,
                    sheet->y0 + pl_board_thick(board, tile->run) / 2 + 4.6,
                    PL_TEXT_SIZE,
                    PL_ANCHOR_START,
                    pl_arena_printf(board->arena, "%s left out", mm_words(board, tile->in.mm)));
  }
  if (tile->next == NONE)
    return;
  draw_run(sheet, tile->next, tile->ring, tile->to, tile->out);
  double right = sheet->x0 + tile->to - 3;
  double room = tile->to - tile->ring - 30;
  double low = pl_board_thick(board, tile->next) / 2;
  const char *on = pl_arena_printf(board->arena,
                                   "to ring %u, %s: %s",
                                   pl_board_peg(board, tile->next),
                                   pl_board_place_name(board, tile->next),
                                   run_words(board, tile->next));
  pl_scene_text(&sheet->scene,
                right,
                sheet->y0 - low - 2.6,
                PL_TEXT_SIZE,
                PL_ANCHOR_END,
                pl_text_fit(board->arena, on, PL_TEXT_SIZE, false, room));
  if (!isnan(tile->out.at))
    pl_scene_bold(&sheet->scene,
                  right,
                  sheet->y0 + low + 4.6,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_END,
                  pl_text_fit(board->arena,
                              gap_words(board, tile->next, tile->out),
                              PL_TEXT_SIZE,
                              true,
                              room));
}

/* ---- stubs ---- */

/* A slant to the lane, then along it: together as long as a tail. */
static double draw_way(struct sheet *sheet, enum pl_stroke stroke, double y) {
  double x = sheet->x0 + sheet->tile->ring;
  double down = fabs(y);
  double end = x + down + sheet->board->tail_drawn - down * sqrt(2);
  pl_scene_line(&sheet->scene, stroke, x, sheet->y0, x + down, sheet->y0 + y);
  pl_scene_line(&sheet->scene, stroke, x + down, sheet->y0 + y, end, sheet->y0 + y);
  if (fabs(sheet->board->tail - sheet->board->tail_drawn) > 0.01)
    draw_break(sheet, end - 6, sheet->y0 + y, 0);
  return end;
}

/* Where the words may begin. */
static double
draw_outline(struct sheet *sheet, const struct pl_takeoff *takeoff, double x, double y) {
  const struct pl_harness *h = sheet->board->tree.harness;
  struct pl_scene *scene = &sheet->scene;
  if (takeoff->connector != PL_NONE &&
      h->connectors.at[takeoff->connector].shape == PL_SHAPE_ROUND) {
    pl_scene_circle(scene, PL_STROKE_NORMAL, PL_FILL_PAPER, x + 2, y, 2);
    return x + 5;
  }
  if (takeoff->connector != PL_NONE) {
    pl_scene_box(scene, PL_STROKE_NORMAL, PL_FILL_PAPER, x, y - 1.7, 6, 3.4);
    return x + 7;
  }
  if (pl_kind_is(h->devices.at[takeoff->device].kind, PL_IS_SPLICE)) {
    pl_scene_circle(scene, PL_STROKE_NONE, PL_FILL_INK, x + 0.9, y, 0.9);
    return x + 3;
  }
  pl_scene_circle(scene, PL_STROKE_NORMAL, PL_FILL_PAPER, x + 1.2, y, 1.2);
  return x + 3.5;
}

static void draw_takeoff(struct sheet *sheet, const struct pl_stub *stub) {
  const struct pl_board *board = sheet->board;
  const struct pl_takeoff *takeoff = stub->takeoff;
  const struct pl_device *device = &board->tree.harness->devices.at[takeoff->device];
  const char *link;
  if (takeoff->connector == PL_NONE)
    link = "";
  else
    link = pl_connector_file(board->arena, board->tree.harness, takeoff->connector);
  pl_scene_open_of(&sheet->scene, "", takeoff->name, link, "device", device->name);
  double y = sheet->y0 + stub->y;
  double end = draw_way(sheet, PL_STROKE_NORMAL, stub->y);
  double x = draw_outline(sheet, takeoff, end, y);
  double room = sheet->x0 + sheet->tile->to - 3 - x;
  const char *count = pl_arena_printf(board->arena,
                                      "%u wire%s%s",
                                      takeoff->wires,
                                      takeoff->wires == 1 ? "" : "s",
                                      takeoff->written ? "*" : "");
  double wide = pl_text_width(count, PL_TEXT_SIZE, false);
  const char *name =
      pl_text_fit(board->arena, takeoff->name, PL_TEXT_SIZE, true, room - wide - 1.5);
  double after = pl_text_width(name, PL_TEXT_SIZE, true) + 1.5;
  pl_scene_bold(&sheet->scene, x, y + 0.9, PL_TEXT_SIZE, PL_ANCHOR_START, name);
  pl_scene_text(&sheet->scene, x + after, y + 0.9, PL_TEXT_SIZE, PL_ANCHOR_START, count);
  after += wide + 1.5;
  if (room - after > 8)
    pl_scene_text(&sheet->scene,
                  x + after,
                  y + 0.9,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  pl_text_fit(board->arena, device->text, PL_TEXT_SIZE, false, room - after));
  pl_scene_close(&sheet->scene);
}

/* A branch goes on on another tile. */
static void draw_branch(struct sheet *sheet, const struct pl_stub *stub) {
  const struct pl_board *board = sheet->board;
  const struct pl_tile *home = pl_board_home(board, stub->twig);
  bool again = board->tree.twigs.at[stub->twig].again;
  pl_scene_open_of(&sheet->scene,
                   "",
                   pl_board_place_name(board, stub->twig),
                   home == NULL ? "" : home->file,
                   "reference",
                   pl_board_place_name(board, stub->twig));
  double y = sheet->y0 + stub->y;
  double x = draw_way(sheet, PL_STROKE_BOLD, stub->y);
  pl_scene_path(&sheet->scene, PL_STROKE_NORMAL, PL_FILL_INK, x, y, "M0-1.4L3 0L0 1.4z");
  const char *words = pl_arena_printf(board->arena,
                                      "%s to ring %u, %s",
                                      run_length(board, stub->twig),
                                      pl_board_peg(board, stub->twig),
                                      pl_board_place_name(board, stub->twig));
  const char *where = "";
  if (home != NULL)
    where = pl_arena_printf(board->arena,
                            "%s %s",
                            again ? "ends on tile" : "tile",
                            pl_board_name(board, home));
  double room = sheet->x0 + sheet->tile->to - 3 - x - 4.5;
  double wide = pl_text_width(where, PL_TEXT_SIZE, false);
  words = pl_text_fit(board->arena, words, PL_TEXT_SIZE, true, room - wide - 1.5);
  pl_scene_bold(&sheet->scene, x + 4.5, y + 0.9, PL_TEXT_SIZE, PL_ANCHOR_START, words);
  pl_scene_text(&sheet->scene,
                x + 6 + pl_text_width(words, PL_TEXT_SIZE, true),
                y + 0.9,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                where);
  pl_scene_close(&sheet->scene);
}

/* ---- pages ---- */

static const char *tail_note(const struct pl_board *board) {
  const char *length = mm_words(board, board->tail);
  if (fabs(board->tail - board->tail_drawn) < 0.01)
    return pl_arena_printf(board->arena,
                           "Ring to box is a tail, %s, along its bend. Nails at rings and bends.",
                           length);
  return pl_arena_printf(board->arena,
                         "TAILS ARE NOT TO LENGTH HERE: each is %s. Nails at rings, bends.",
                         length);
}

static const char *slack_note(const struct pl_board *board) {
  char slack[PL_NUMBER_SIZE];
  return pl_arena_printf(
      board->arena,
      "* a wire of it has a length of its own. Cut lengths: wire list (%s %% slack in them).",
      pl_number_print(slack, 100 * board->tree.harness->machine.slack, 3));
}

static void draw_tile(const struct pl_board *board,
                      const struct pl_tile *tile,
                      double ring,
                      uint32_t page,
                      uint32_t pages,
                      pl_scenes *scenes) {
  struct sheet sheet = {.board = board, .tile = tile};
  const char *notes[NOTES] = {
      "Scale 1:1. Lay the tiles of a strip edge to edge, cross on cross; the map is board.svg.",
      tail_note(board),
      "Box or circle: connector; small ring: lug or blade; dot: splice.",
      slack_note(board)};
  const char *title =
      pl_arena_printf(board->arena, "Assembly board, tile %s", pl_board_name(board, tile));
  pl_scene_init(&sheet.scene, board->arena, tile->file, title, board->paper.x, board->paper.y);
  sheet.scene.description = pl_board_tile_title(board, tile);
  sheet.x0 = board->window.x - tile->from;
  sheet.y0 = board->window.y + board->window.height / 2;
  pl_frame_draw(&sheet.scene,
                board->tree.harness,
                &(struct pl_frame){title, notes, NOTES, page, pages});
  draw_head(&sheet);
  draw_ruler(&sheet);
  draw_edges(&sheet);
  draw_stays(&sheet);
  draw_runs(&sheet);
  if (tile->twig == NONE)
    draw_way_marks(&sheet, ring);
  for (uint32_t i = 0; i < tile->stubs.n; i++)
    if (tile->stubs.at[i].twig == NONE)
      draw_takeoff(&sheet, &tile->stubs.at[i]);
    else
      draw_branch(&sheet, &tile->stubs.at[i]);
  for (uint32_t i = 0; i < tile->stubs.n; i++) /* nails at the bends */
    pl_scene_circle(&sheet.scene,
                    PL_STROKE_THIN,
                    PL_FILL_PAPER,
                    sheet.x0 + tile->ring + fabs(tile->stubs.at[i].y),
                    sheet.y0 + tile->stubs.at[i].y,
                    0.7);
  uint32_t run = tile->run;
  if (!isnan(tile->begin))
    draw_ring(&sheet, board->tree.twigs.at[run].parent, tile->begin, true);
  if (!isnan(tile->end))
    draw_ring(&sheet, run, tile->end, true);
  if (tile->twig != NONE)
    draw_ring(&sheet, tile->twig, tile->ring, tile->part > 0);
  PL_PUSH(board->arena, scenes, sheet.scene);
}

void pl_draw_board(const struct pl_harness *harness,
                   bool full,
                   struct pl_arena *arena,
                   pl_scenes *scenes) {
  struct pl_board board;
  pl_board_make(&board, harness, full, arena);
  if (board.tiles.n == 0)
    return;
  uint32_t maps = pl_board_map_draw(&board, scenes);
  double ring = NAN;
  for (uint32_t i = 0; i < board.tiles.n; i++) {
    const struct pl_tile *tile = &board.tiles.at[i];
    if (!isnan(tile->begin))
      ring = tile->begin;
    draw_tile(&board, tile, ring, maps + i + 1, maps + board.tiles.n, scenes);
    if (!isnan(tile->ring))
      ring = tile->ring;
  }
}
