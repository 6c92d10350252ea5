/* The map of the assembly board: a box for each tile, strip below strip, and how to use them. */
#include "draw/board_inner.h"
#include "draw/file_names.h"
#include "draw/frame.h"
#include "draw/metrics.h"

#define NONE UINT32_MAX
enum {
  MAP_LINES = 7,
  MAP_ROW = 7
};

struct map {
  const struct pl_board *board;
  double left, step, high; /* of boxes */
  uint32_t rows;           /* of boxes on a page */
};

static uint32_t map_row_count(const struct pl_board *board) {
  uint32_t rows = 0;
  for (uint32_t i = 0; i < board->tiles.n; i++)
    rows += (board->tiles.at[i].number - 1) % MAP_ROW == 0;
  return rows;
}

static void draw_map_box(const struct map *map,
                         const struct pl_tile *tile,
                         double x,
                         double y,
                         struct pl_scene *scene) {
  const struct pl_board *board = map->board;
  const char *what;
  if (tile->twig == NONE)
    what = "only the run";
  else
    what = pl_arena_printf(board->arena,
                           "%u %s",
                           pl_board_peg(board, tile->twig),
                           pl_board_place_name(board, tile->twig));
  pl_scene_open_of(scene,
                   "",
                   pl_board_tile_title(board, tile),
                   tile->file,
                   "reference",
                   pl_board_name(board, tile));
  pl_scene_box(scene, PL_STROKE_NORMAL, PL_FILL_PAPER, x, y, map->step - 2, map->high);
  pl_scene_bold(scene, x + 1.2, y + 3.6, PL_NAME_SIZE, PL_ANCHOR_START, pl_board_name(board, tile));
  pl_scene_text(scene,
                x + 1.2,
                y + 7,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                pl_text_fit(board->arena, what, PL_TEXT_SIZE, false, map->step - 4.4));
  pl_scene_close(scene);
}

static const char *strip_words(const struct pl_board *board, const struct pl_tile *tile) {
  uint32_t parent;
  if (tile->run == NONE)
    parent = NONE;
  else
    parent = board->tree.twigs.at[tile->run].parent;
  if (tile->part > 0)
    return pl_arena_printf(board->arena, "on ring %u", pl_board_peg(board, tile->twig));
  if (parent == NONE)
    return "begins";
  return pl_arena_printf(board->arena, "from ring %u", pl_board_peg(board, parent));
}

static void draw_map_rows(const struct map *map, uint32_t from, double y, struct pl_scene *scene) {
  const struct pl_board *board = map->board;
  uint32_t row = 0;
  for (uint32_t i = 0; i < board->tiles.n; i++) {
    const struct pl_tile *tile = &board->tiles.at[i];
    uint32_t column = (tile->number - 1) % MAP_ROW;
    if (column == 0)
      row++;
    if (row <= from)
      continue;
    if (row > from + map->rows)
      continue;
    double x = map->left + 24 + column * map->step;
    double top = y + (row - from - 1) * (map->high + 2.6);
    if (column == 0) {
      pl_scene_bold(scene,
                    map->left,
                    top + 3.6,
                    PL_TEXT_SIZE,
                    PL_ANCHOR_START,
                    pl_arena_printf(board->arena, "Strip %u", tile->strip));
      pl_scene_text(scene,
                    map->left,
                    top + 7,
                    PL_TEXT_SIZE,
                    PL_ANCHOR_START,
                    tile->number == 1 ? strip_words(board, tile) : "goes on");
    }
    if (column > 0)
      pl_scene_line(scene, PL_STROKE_BOLD, x - 2, top + map->high / 2, x, top + map->high / 2);
    draw_map_box(map, tile, x, top, scene);
  }
}

static void draw_map_words(const struct pl_board *board, struct pl_scene *scene) {
  bool us = board->tree.harness->machine.units == PL_UNITS_US;
  const char *lines[MAP_LINES] = {
      pl_arena_printf(board->arena,
                      "%u tile%s on %s paper. Print them on its side at 100 %%, not fitted; "
                      "measure the ruler on the "
                      "first before you go on.",
                      board->tiles.n,
                      board->tiles.n == 1 ? "" : "s",
                      us ? "Letter" : "A4"),
      "Cut along the dashes. Lay the tiles of a strip edge to edge from left to right, cross on "
      "cross, and tape them "
      "to the board.",
      "A strip that begins at a ring of dashes belongs on the ring of the same number: lay it from "
      "there at any angle.",
      board->full ? "At full length: nothing is left out, but a run of more than 100 tiles."
                  : "At a break the paper may be cut: pull the halves apart until the rings are as "
                    "far apart as the "
                    "figure says. Nothing left out: --full-length.",
      "Drive a nail through each ring and each bend. Lay every wire from its box along the tail to "
      "the ring, through "
      "the runs, to its other box.",
      "Cut by the wire list, not by the board; pull nothing tight; cover and tie when every wire "
      "was rung out.",
      "A ring is a place of the routing plan (routing.svg). Boxes are no picture of a housing: "
      "cavities stand on the "
      "connector's own page."};
  for (int i = 0; i < MAP_LINES; i++)
    pl_scene_text(scene,
                  board->room.x + 4,
                  board->room.y + 4 + i * 3.6,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  pl_text_fit(board->arena, lines[i], PL_TEXT_SIZE, false, board->room.width - 8));
}

static void
draw_map(const struct map *map, uint32_t page, uint32_t maps, uint32_t pages, pl_scenes *scenes) {
  const struct pl_board *board = map->board;
  struct pl_scene scene;
  const char *notes[] = {"Numbers in rings are those of the routing plan.", "", "", ""};
  const char *title = "Assembly board, map";
  if (maps != 1)
    title = pl_arena_printf(board->arena, "Assembly board, map, page %u of %u", page, maps);
  pl_scene_init(&scene,
                board->arena,
                pl_board_map_file(board->arena, page),
                title,
                board->paper.x,
                board->paper.y);
  scene.description =
      pl_arena_printf(board->arena, "Map of the %u tiles of the assembly board.", board->tiles.n);
  pl_frame_draw(&scene,
                board->tree.harness,
                &(struct pl_frame){"Assembly board, map", notes, 1, page, pages});
  draw_map_words(board, &scene);
  draw_map_rows(map,
                (page - 1) * map->rows,
                board->room.y + 4 + (double)MAP_LINES * 3.6 + 2,
                &scene);
  PL_PUSH(board->arena, scenes, scene);
}

uint32_t pl_board_map_draw(const struct pl_board *board, pl_scenes *scenes) {
  struct map map = {.board = board, .left = board->room.x + 4, .high = 9};
  double words = (double)MAP_LINES * 3.6;
  map.step = (board->room.width - 32) / (double)MAP_ROW;
  map.rows = (uint32_t)((board->room.height - 8 - words) / (map.high + 2.6));
  uint32_t rows = map_row_count(board);
  uint32_t maps = (rows + map.rows - 1) / map.rows;
  for (uint32_t page = 1; page <= maps; page++)
    draw_map(&map, page, maps, maps + board->tiles.n, scenes);
  return maps;
}
