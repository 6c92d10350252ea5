/* The assembly board, 1:1, between laying out (board.c) and drawing
 * (board_draw.c).
 *
 * The harness is laid out in straight strips, from ring to ring; a strip is cut into tiles, one for
 * each place, with the tails of that place fanned out to their true length.  Millimetres along the
 * strip from its left end; across it 0 is the middle of the run.  Where a run is longer than the
 * paper between two places needs to be, part of it is left out and the break says how much; at full
 * length nothing is left out. */
#ifndef PL_DRAW_BOARD_H
#define PL_DRAW_BOARD_H

#include "draw/frame.h"
#include "draw/place_tree_inner.h"

struct pl_stub { /* what leaves the run at a ring: a branch, or a takeoff's tail */
  uint32_t twig; /* UINT32_MAX: a takeoff */
  const struct pl_takeoff *takeoff;
  double y; /* across the strip */
};

struct pl_gap {  /* a run is broken there */
  double at, mm; /* NAN: it is not; how much is left out */
};

struct pl_tile {
  uint32_t strip, number; /* from 1: "3.2" */
  double from, to;        /* cut lines */
  uint32_t twig;          /* whose ring stands on it; UINT32_MAX: a run passes */
  uint32_t run;           /* twig whose run comes in at the left; UINT32_MAX */
  uint32_t next;          /* twig that the run goes on to at the right; UINT32_MAX */
  double ring, begin,
      end;               /* of the place; repeated, of the place the strip begins or ends at; NAN */
  struct pl_gap in, out; /* of the run that comes in, and that goes on */
  uint32_t part;         /* 1: more takeoffs of a place than one tile holds */
  bool joins_left, joins_right; /* a tile of the same strip */
  PL_VEC(struct pl_stub) stubs;
  const char *file;
};

struct pl_board {
  struct pl_tree tree;
  struct pl_arena *arena;
  bool full;
  struct pl_mm paper;
  struct pl_room room, window;  /* of a page; of a tile on it */
  double tail, tail_drawn;      /* mm; different: drawn shorter or longer, and the page says so */
  PL_VEC(struct pl_tile) tiles; /* strip by strip */
  uint32_t *home;               /* by place: the tile its ring stands on; UINT32_MAX */
};

/* Laid out; no tile when nothing leaves the harness anywhere. */
void pl_board_make(struct pl_board *board,
                   const struct pl_harness *harness,
                   bool full,
                   struct pl_arena *arena);
/* mm of bundle as drawn: the run that leads to a twig. */
double pl_board_thick(const struct pl_board *board, uint32_t twig);
/* The tile on which the ring of a twig's place stands; NULL. */
const struct pl_tile *pl_board_home(const struct pl_board *board, uint32_t twig);
const char *pl_board_name(const struct pl_board *board, const struct pl_tile *tile); /* "3.2" */

/* The place of a twig; the number of its ring. */
const char *pl_board_place_name(const struct pl_board *board, uint32_t twig);
uint32_t pl_board_peg(const struct pl_board *board, uint32_t twig);
const char *pl_board_tile_title(const struct pl_board *board, const struct pl_tile *tile);

/* The pages of the map (board_map.c); returns how many. */
uint32_t pl_board_map_draw(const struct pl_board *board, pl_scenes *scenes);

#endif
