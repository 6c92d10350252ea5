/* The assembly board laid out: places along strips, strips cut into tiles, tails in lanes. */
#include "draw/board_inner.h"

#include <math.h>

#include "draw/file_names.h"
#include "draw/frame.h"

#define NONE UINT32_MAX
#define HEAD 13.0      /* above a tile's window: its name, what comes in */
#define FOOT 14.0      /* below: ruler, wires that stay at the place */
#define LEFT 36.0      /* from a cut line to the ring of a tile that a run comes in at */
#define ROOT_LEFT 12.0 /* to the ring of a tile that none comes in at */
#define RING_LEFT 8.0  /* to the ring that a strip begins or ends at */
#define BRANCH 40.0    /* most from there to the first place, unless at full length */
#define BRANCH_LEAST 16.0
#define LANE 5.0 /* least from lane to lane */
#define LANE_MOST 9.0
#define BREAK_RIGHT 14.0
#define LABEL 44.0 /* room for words behind a tail */
enum {
  NOTES = 4,
  RUN_TILES = 100
}; /* a run longer than that many tiles is broken all the same */

double pl_board_thick(const struct pl_board *board, uint32_t twig) {
  if (twig == NONE)
    return 0;
  return fmin(board->tree.twigs.at[twig].bundle.mm, 60);
}

static double length_of(const struct pl_board *board, uint32_t twig) {
  return board->tree.harness->runs.at[board->tree.twigs.at[twig].run].length * 1000;
}

const char *pl_board_name(const struct pl_board *board, const struct pl_tile *tile) {
  return pl_arena_printf(board->arena, "%u.%u", tile->strip, tile->number);
}

const struct pl_tile *pl_board_home(const struct pl_board *board, uint32_t twig) {
  uint32_t home = board->home[board->tree.twigs.at[twig].place];
  if (home == NONE)
    return NULL;
  return &board->tiles.at[home];
}

/* ---- lanes ---- */

/* The first lane beside the run: its words stand between. */
static double first_lane(const struct pl_board *board, const struct pl_tile *tile) {
  double thick = fmax(pl_board_thick(board, tile->run), pl_board_thick(board, tile->next));
  if (tile->run == NONE && tile->next == NONE)
    return 4;
  return thick / 2 + 7;
}

static uint32_t lanes_of(const struct pl_board *board, const struct pl_tile *tile) {
  double room = board->window.height / 2 - 5 - first_lane(board, tile);
  if (room < 0)
    return 1;
  return 1 + (uint32_t)(room / LANE);
}

/* From the top: half above the run, half below. */
static void set_lanes(const struct pl_board *board, struct pl_tile *tile) {
  uint32_t n = tile->stubs.n;
  uint32_t above = (n + 1) / 2;
  double first = first_lane(board, tile);
  double room = board->window.height / 2 - 5 - first;
  double step = LANE_MOST;
  if (above > 1)
    step = fmin(LANE_MOST, room / (above - 1));
  for (uint32_t i = 0; i < n; i++)
    tile->stubs.at[i].y =
        i < above ? -(first + (above - 1 - i) * step) : first + (i - above) * step;
}

/* ---- tiles ---- */

static struct pl_tile blank_tile(uint32_t strip, uint32_t number) {
  return (struct pl_tile){.strip = strip,
                          .number = number,
                          .twig = NONE,
                          .run = NONE,
                          .next = NONE,
                          .ring = NAN,
                          .begin = NAN,
                          .end = NAN,
                          .in = {NAN, 0},
                          .out = {NAN, 0},
                          .file = ""};
}

/* What the ring of a place on paper and the ring of the next one need between them. */
static double least_between(const struct pl_tile *tile) {
  return tile->to - tile->ring + LEFT;
}

/* The strip goes straight on to the kid with the longest way, if there is room for this tile. */
static uint32_t straight_on(const struct pl_board *board, const struct pl_tile *tile) {
  const struct pl_twig *twig = &board->tree.twigs.at[tile->twig];
  if (twig->kids.n == 0)
    return NONE;
  uint32_t kid = twig->kids.at[twig->kids.n - 1];
  if (board->tree.twigs.at[kid].again)
    return NONE;
  if (length_of(board, kid) < least_between(tile))
    return NONE;
  return kid;
}

static void name_run_tile(const struct pl_board *board, struct pl_tile *tile) {
  tile->file = pl_arena_printf(board->arena, "board_-tile-%u-%u.svg", tile->strip, tile->number);
}

/* From `at` to `to`, only a run. */
static void add_run_tiles(struct pl_board *board, struct pl_tile *last, uint32_t run, double to) {
  double rest = to - last->to;
  uint32_t n = (uint32_t)ceil(rest / board->window.width - 1e-9);
  for (uint32_t i = 0; i < n; i++) {
    struct pl_tile tile = blank_tile(last->strip, last->number + 1);
    tile.from = last->to;
    tile.to = fmin(to, tile.from + board->window.width);
    if (i + 1 == n)
      tile.to = to;
    tile.run = tile.next = run;
    name_run_tile(board, &tile);
    PL_PUSH(board->arena, &board->tiles, tile);
    *last = tile;
  }
}

static bool at_full(const struct pl_board *board, double rest) {
  if (!board->full)
    return false;
  return rest <= (double)RUN_TILES * board->window.width;
}

/* All that leaves at a place: branches, then takeoffs that have a tail. */
static uint32_t
gather(const struct pl_board *board, uint32_t twig, uint32_t straight, struct pl_stub **list) {
  const struct pl_twig *one = &board->tree.twigs.at[twig];
  const pl_takeoffs *takeoffs = &board->tree.takeoffs[one->place];
  struct pl_stub *stubs =
      PL_NEW_ARRAY(board->arena, struct pl_stub, (size_t)one->kids.n + takeoffs->n + 1);
  uint32_t n = 0;
  for (uint32_t i = 0; i < one->kids.n; i++)
    if (one->kids.at[i] != straight)
      stubs[n++].twig = one->kids.at[i];
  for (uint32_t i = 0; i < takeoffs->n; i++)
    if (takeoffs->at[i].tailed > 0)
      stubs[n++] = (struct pl_stub){NONE, &takeoffs->at[i], 0};
  *list = stubs;
  return n;
}

struct over { /* takeoffs that found no lane; they get tiles of their own, after the strips */
  uint32_t twig, n;
  const struct pl_stub *stubs;
};
typedef PL_VEC(struct over) overs;

/* The ring stands where the caller put it; the tile takes what it holds. */
static void fill_tile(struct pl_board *board, struct pl_tile *tile, overs *rest) {
  struct pl_stub *stubs;
  tile->to = tile->from + board->window.width;
  tile->next = straight_on(board, tile);
  uint32_t n = gather(board, tile->twig, tile->next, &stubs);
  uint32_t most = 2 * lanes_of(board, tile);
  for (uint32_t i = 0; i < n && i < most; i++)
    PL_PUSH(board->arena, &tile->stubs, stubs[i]);
  if (n > most) {
    struct over over = {tile->twig, n - most, stubs + most};
    PL_PUSH(board->arena, rest, over);
  }
  set_lanes(board, tile);
  tile->file =
      pl_board_file(board->arena, board->tree.harness, board->tree.twigs.at[tile->twig].place, 0);
}

/* The first tile of a strip: from the ring it hangs on, if there is one, to its first place. */
static struct pl_tile begin_strip(struct pl_board *board, uint32_t strip, uint32_t twig) {
  struct pl_tile tile = blank_tile(strip, 1);
  tile.twig = twig;
  tile.ring = ROOT_LEFT;
  if (board->tree.twigs.at[twig].parent == NONE)
    return tile;
  double length = length_of(board, twig);
  double drawn = fmin(length, BRANCH);
  tile.run = twig;
  if (length <
      BRANCH_LEAST) { /* two rings would lie on each other: the head of the page says the length */
    tile.ring = RING_LEFT + BRANCH_LEAST;
    return tile;
  }
  if (length > BRANCH && at_full(board, length)) { /* run tiles first */
    struct pl_tile run = blank_tile(strip, 0);
    uint32_t first = board->tiles.n;
    add_run_tiles(board, &run, twig, RING_LEFT + length - LEFT);
    board->tiles.at[first].begin = RING_LEFT;
    for (uint32_t i = first; i < board->tiles.n; i++)
      board->tiles.at[i].joins_right = true;
    tile.number = run.number + 1;
    tile.from = run.to;
    tile.ring = RING_LEFT + length;
    return tile;
  }
  tile.begin = RING_LEFT;
  tile.ring = RING_LEFT + drawn;
  if (length > drawn)
    tile.in = (struct pl_gap){RING_LEFT + drawn / 2, length - drawn};
  return tile;
}

static void
lay_strip(struct pl_board *board, uint32_t strip, uint32_t twig, bool *done, overs *rest) {
  struct pl_tile tile = begin_strip(board, strip, twig);
  for (;;) {
    done[tile.twig] = true;
    fill_tile(board, &tile, rest);
    double length = tile.next == NONE ? 0 : length_of(board, tile.next);
    double least = least_between(&tile);
    bool whole = at_full(board, length) || length <= least;
    if (tile.next != NONE && !whole)
      tile.out = (struct pl_gap){tile.to - BREAK_RIGHT, length - least};
    PL_PUSH(board->arena, &board->tiles, tile);
    if (tile.next == NONE)
      return;
    struct pl_tile last = tile;
    struct pl_tile next = blank_tile(strip, 0);
    if (whole)
      add_run_tiles(board, &last, tile.next, tile.ring + length - LEFT);
    next.number = last.number + 1;
    next.from = last.to;
    next.ring = next.from + LEFT;
    next.twig = next.run = tile.next;
    tile = next;
  }
}

/* At full length a run that closes a ring is laid out too, between the rings it joins. */
static void lay_closing(struct pl_board *board, uint32_t strip, uint32_t twig) {
  struct pl_tile last = blank_tile(strip, 0);
  uint32_t first = board->tiles.n;
  double length = length_of(board, twig);
  add_run_tiles(board, &last, twig, length + 2 * RING_LEFT);
  board->tiles.at[first].begin = RING_LEFT;
  board->tiles.at[board->tiles.n - 1].end = RING_LEFT + length;
}

/* A ring again, for takeoffs that its own tile had no lane for. */
static void lay_over(struct pl_board *board, uint32_t strip, const struct over *over) {
  for (uint32_t i = 0, part = 1; i < over->n; part++) {
    struct pl_tile tile = blank_tile(strip, part);
    tile.twig = over->twig;
    tile.part = part;
    tile.ring = ROOT_LEFT;
    tile.to = board->window.width;
    for (uint32_t most = 2 * lanes_of(board, &tile); most > 0 && i < over->n; most--, i++)
      PL_PUSH(board->arena, &tile.stubs, over->stubs[i]);
    set_lanes(board, &tile);
    tile.file = pl_board_file(board->arena,
                              board->tree.harness,
                              board->tree.twigs.at[over->twig].place,
                              part);
    PL_PUSH(board->arena, &board->tiles, tile);
  }
}

static bool worth_a_tile(const struct pl_board *board, uint32_t twig) {
  const struct pl_twig *one = &board->tree.twigs.at[twig];
  if (one->parent != NONE)
    return true;
  if (one->kids.n > 0)
    return true;
  return board->tree.takeoffs[one->place].n > 0;
}

static void join_tiles(struct pl_board *board) {
  for (uint32_t i = 0; i + 1 < board->tiles.n; i++) {
    struct pl_tile *one = &board->tiles.at[i];
    struct pl_tile *two = &board->tiles.at[i + 1];
    bool joined = one->strip == two->strip && two->part == 0;
    one->joins_right = two->joins_left = joined;
  }
}

static bool any_takeoff(const struct pl_board *board) {
  for (pl_id p = 0; p < board->tree.harness->places.n; p++)
    if (board->tree.takeoffs[p].n > 0)
      return true;
  return false;
}

/* The longest lane needs its slant: a tail shorter than that, or longer than the paper, is not
 * drawn to length. */
static void set_tail(struct pl_board *board) {
  double least = board->window.height / 2 * sqrt(2);
  double most = board->window.width - RING_LEFT - BRANCH - LABEL;
  board->tail = board->tree.harness->machine.tail * 1000;
  if (board->tail >= least && board->tail <= most)
    board->tail_drawn = board->tail;
  else
    board->tail_drawn = fmax(least, fmin(most, board->tail));
}

void pl_board_make(struct pl_board *board,
                   const struct pl_harness *harness,
                   bool full,
                   struct pl_arena *arena) {
  *board = (struct pl_board){.arena = arena, .full = full, .paper = pl_frame_paper(harness)};
  pl_tree_make(&board->tree, harness, arena);
  struct pl_room room = pl_frame_room(board->paper.x, board->paper.y, NOTES);
  double width = floor(room.width - 8);
  board->room = room;
  board->window = (struct pl_room){room.x + (room.width - width) / 2,
                                   room.y + HEAD,
                                   width,
                                   room.height - HEAD - FOOT};
  board->home = PL_NEW_ARRAY(arena, uint32_t, (size_t)harness->places.n + 1);
  for (pl_id p = 0; p < harness->places.n; p++)
    board->home[p] = NONE;
  if (!any_takeoff(board))
    return;
  set_tail(board);
  bool *done = PL_NEW_ARRAY(arena, bool, (size_t)board->tree.twigs.n + 1);
  overs rest = {0};
  uint32_t strip = 0;
  for (uint32_t t = 0; t < board->tree.twigs.n; t++) {
    if (done[t])
      continue;
    if (!worth_a_tile(board, t))
      continue;
    if (!board->tree.twigs.at[t].again)
      lay_strip(board, ++strip, t, done, &rest);
    else if (full && length_of(board, t) > BRANCH_LEAST && at_full(board, length_of(board, t)))
      lay_closing(board, ++strip, t);
  }
  for (uint32_t i = 0; i < rest.n; i++)
    lay_over(board, ++strip, &rest.at[i]);
  join_tiles(board);
  for (uint32_t i = 0; i < board->tiles.n; i++) {
    if (board->tiles.at[i].twig == NONE)
      continue;
    if (board->tiles.at[i].part != 0)
      continue;
    board->home[board->tree.twigs.at[board->tiles.at[i].twig].place] = i;
  }
}

/* ---- words ---- */

const char *pl_board_place_name(const struct pl_board *board, uint32_t twig) {
  return board->tree.harness->places.at[board->tree.twigs.at[twig].place].name;
}

uint32_t pl_board_peg(const struct pl_board *board, uint32_t twig) {
  return board->tree.peg_of[board->tree.twigs.at[twig].place];
}

const char *pl_board_tile_title(const struct pl_board *board, const struct pl_tile *tile) {
  if (tile->twig == NONE)
    return pl_arena_printf(board->arena,
                           "Tile %s: the run to ring %u, %s",
                           pl_board_name(board, tile),
                           pl_board_peg(board, tile->run),
                           pl_board_place_name(board, tile->run));
  return pl_arena_printf(board->arena,
                         "Tile %s: ring %u, %s%s",
                         pl_board_name(board, tile),
                         pl_board_peg(board, tile->twig),
                         pl_board_place_name(board, tile->twig),
                         tile->part > 0 ? ", more of it" : "");
}
