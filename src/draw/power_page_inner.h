/* The power pages between sharing out (power_page.c) and drawing (power_draw.c).
 */
#ifndef PL_DRAW_POWER_PAGE_H
#define PL_DRAW_POWER_PAGE_H

#include "draw/frame.h"

#include "draw/power_inner.h"

#define PL_POWER_FUSE_WIDTH 58.0
#define PL_POWER_FUSE_HEIGHT 12.2
#define PL_POWER_INSET 1.2
enum {
  PL_POWER_NOTES = 4,
  PL_POWER_LINES = 6
};

/* `listed`: what a fuse feeds stands at its right; then `width` holds that too. */
enum pl_power_box_kind {
  PL_BOX_STOP,
  PL_BOX_FUSE,
  PL_BOX_LIST,
  PL_BOX_HEAD
};

struct pl_power_box {
  enum pl_power_box_kind kind;
  uint32_t stop;
  bool listed;
  uint32_t to; /* kids of it up to here stand on this sheet; PL_BOX_HEAD, PL_BOX_STOP */
  const char *lines[PL_POWER_LINES];
  uint32_t line_count;
  double width, height, x, y; /* y: middle */
  uint32_t column;
};

struct pl_power_feeder {
  uint32_t from, to; /* boxes */
  const char *label;
  double label_width, entry, lane;
};

struct pl_power_part {
  uint32_t head, from, to; /* the kids of stop `head`, from..to-1 */
};

struct pl_power_sheet {
  PL_VEC(struct pl_power_part) parts; /* one, until small sheets are laid together */
  PL_VEC(struct pl_power_box) boxes;
  PL_VEC(struct pl_power_feeder) feeders;
  double list_width, gap, width, height;
  uint32_t columns;
};

struct pl_power_book {
  const struct pl_harness *harness;
  const struct pl_network *network;
  const struct pl_solution *solutions; /* NULL: without amps */
  struct pl_arena *arena;
  struct pl_power power;
  uint32_t *limit,
      *weight; /* by stop: how many kids stand beside it; how many stops lie behind it */
  PL_VEC(struct pl_power_sheet) sheets;
  double *drop; /* by device: most volts lost there and back in a lasting state, as a share of its
                   own; NAN */
  double *worst_drop; /* by stop: of all that hangs on it; NAN */
  struct pl_room room;
};

struct pl_power_worst {
  double amps; /* NAN: not solved */
  pl_id state;
};

/* ---- amps (power_amps.c) ---- */

/* The most a fuse carries, or what flows in at the pins something is fed at, in any lasting state.
 */
struct pl_power_worst
pl_power_worst(const struct pl_power_book *book, pl_id device, const pl_ids *pins);
/* Fills in the drops of a book. */
void pl_power_find_drops(struct pl_power_book *book);
/* "2.1 %" */
const char *pl_power_drop_text(const struct pl_power_book *book, double share);
const char *pl_power_figure(const struct pl_power_book *book, double value);

/* ---- words ---- */

/* "a", between and "b"; only one of them when the other is empty. */
const char *
pl_power_join(const struct pl_power_book *book, const char *a, const char *between, const char *b);
const struct pl_device *pl_power_device(const struct pl_power_book *book, uint32_t stop);
bool pl_power_is_fuse(const struct pl_power_book *book, uint32_t stop);

/* ---- pages (power_page.c) ---- */

/* All stops onto sheets that fit the room, in the order in which they are read. */
void pl_power_share_out(struct pl_power_book *book);
/* The page on which the kids of a stop from number `from` stand. */
uint32_t pl_power_page_of(const struct pl_power_book *book, uint32_t stop, uint32_t from);
/* The page on which a stop itself stands. */
uint32_t pl_power_home_of(const struct pl_power_book *book, uint32_t stop);

#endif
