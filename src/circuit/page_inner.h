/* One circuit page: some of the ports of a circuit on paper.  Each step fills in its own fields:
 *
 *   circuit_page.c   what stands on the page; last of all its millimetres
 *   rank.c           rank of each part
 *   cells.c          cells and links
 *   rank_order.c     order within ranks
 *   columns.c        column of each cell
 *   lanes.c          lane of each link
 *   symbol_size.c    room each part takes
 *   circuit_draw.c   the scene
 */
#ifndef PL_CIRCUIT_PAGE_INNER_H
#define PL_CIRCUIT_PAGE_INNER_H

#include "circuit/pieces_inner.h"
#include "draw/scene.h"

#define PL_LANE 3.0 /* mm between neighbouring wires that run across */

struct pl_spot {             /* a port on this page */
  uint32_t source;           /* into pl_paths.ports; UINT32_MAX: made for this page */
  uint32_t part, cell, edge; /* edge UINT32_MAX: nothing is drawn here */
  pl_id pin;
  bool top, earthed;
  const char *reference; /* to another page of this circuit: its first line */
  uint32_t far_port;     /* the port of the circuit that it refers to: page and column come later;
                            UINT32_MAX */
  struct pl_elsewhere elsewhere; /* in other circuits */
  double x, y;
};

struct pl_part {
  enum pl_symbol symbol;
  uint32_t piece; /* UINT32_MAX: an end */
  uint32_t rank, first_cell, cell_count;
  PL_VEC(uint32_t) tops, bottoms; /* spots in order */
  const char *lines[PL_PIECE_LINES];
  uint32_t line_count;
  const char *rail;
  pl_id feeder; /* an end on a line: the wire of another circuit by which it hangs on supply or
                   ground; PL_NONE */
  double height, above, below; /* of the symbol; of references above and below it */
  double x1, x2, y1, y2;       /* what it covers */
};

struct pl_cell {
  uint32_t part; /* UINT32_MAX: a wire passing */
  uint32_t edge, rank, place, column;
  uint32_t up, down; /* links; UINT32_MAX */
  double left, right;
};

struct pl_tie {        /* one end of a link */
  uint32_t spot, cell; /* spot UINT32_MAX: a wire passing */
  bool from_above;     /* the cell is in the rank above the channel */
};

struct pl_link { /* a stretch of an edge within one channel */
  uint32_t edge, channel;
  struct pl_tie tie[2];
  uint32_t lane; /* UINT32_MAX: straight */
  bool jog[2];   /* this end steps aside, because another wire comes down in its column */
};

struct pl_edge {
  uint32_t wire; /* into pl_paths.wires; UINT32_MAX: a plain line (battery to rail) */
  uint32_t spot[2];
  uint32_t first_link, link_count;
  uint32_t label_tie; /* the label stands at this spot (0 or 1) */
  double label_width;
};

struct pl_row {
  double y1, y2;
  PL_VEC(uint32_t) cells;
};
struct pl_channel {
  double up, down;
  uint32_t lanes;
  bool jogs;
  double y_lanes, y_jog, y_up, y_down;
};

struct pl_page {
  const struct pl_paths *paths;
  struct pl_arena *arena;
  bool *cut;               /* by wire: broken with references on this page */
  const uint32_t *page_of; /* by port of the circuit */
  uint32_t number;
  bool flat_labels; /* labels of one line */
  PL_VEC(struct pl_spot) spots;
  PL_VEC(struct pl_part) parts;
  PL_VEC(struct pl_cell) cells;
  PL_VEC(struct pl_link) links;
  PL_VEC(struct pl_edge) edges;
  struct pl_row *rows;
  uint32_t row_count;
  struct pl_channel *channels; /* row_count + 1; channel i lies above row i */
  uint32_t column_count;
  double *column_x, *column_left, *column_right;
  PL_VEC(const char *) rails; /* designations, top to bottom */
  double rail_width;          /* room for their labels at the left */
  bool has_earth;
  uint32_t *spot_of_port; /* UINT32_MAX: not here */
  double width, height;   /* needed for the diagram itself */
};

/* Everything but millimetres on the paper; afterwards width and height are known. */
void pl_page_plan(struct pl_page *page,
                  const struct pl_paths *paths,
                  const uint32_t *page_of,
                  uint32_t number,
                  double room_height,
                  struct pl_arena *arena);
/* Puts it at (x, y), spread over the given room where it is smaller. */
void pl_page_place(struct pl_page *page, double x, double y, double room_width, double room_height);
void pl_page_draw(struct pl_page *page, struct pl_scene *scene);
/* Wires over wires, and if asked for over supply lines, once it is placed. */
uint32_t pl_page_crossings(const struct pl_page *page, bool supply);
/* The label of a wire: number, colour, size, and in a solved state volts and amps. */
double pl_label_width(const struct pl_page *page, const struct pl_edge *edge);
double pl_label_height(const struct pl_page *page);

/* The spots of a part, those above first. */
static inline struct pl_spot *
pl_part_spot(const struct pl_page *page, const struct pl_part *part, uint32_t i) {
  uint32_t above = part->tops.n;
  uint32_t spot = i < above ? part->tops.at[i] : part->bottoms.at[i - above];
  return &page->spots.at[spot];
}

/* rank.c: also the number of rows. */
void pl_order_ranks(struct pl_page *page);
/* cells.c: cells and links; the spots of a part get the cells in their order. */
void pl_cells_make(struct pl_page *page);
void pl_cells_number_spots(struct pl_page *page, struct pl_part *part);
/* rank_order.c */
void pl_order_cells(struct pl_page *page);
/* columns.c */
void pl_order_columns(struct pl_page *page);
/* lanes.c */
void pl_route_lanes(struct pl_page *page);

/* Shows every page of every circuit, placed but not drawn, with its circuit's title. */
void pl_circuits_look(const struct pl_harness *harness,
                      struct pl_arena *arena,
                      void (*look)(void *context, const struct pl_page *page, const char *title),
                      void *context);

#endif
