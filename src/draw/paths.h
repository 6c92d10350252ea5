/* Private to draw/: what one circuit page is made of, before and after layout.
 *
 *   pl_flow   - which way things face: how far every pin is from the supply and from ground
 *             (flow.c)
 *   pl_paths  - the circuit as pieces (symbols) with ports (wire ends), still without places
 *             (pieces.c)
 *   pl_page   - some of the ports on one page: ranks, order (order.c), columns (columns.c), lanes
 *             (route.c),
 * millimetres (page.c)
 */
#ifndef PL_DRAW_PATHS_H
#define PL_DRAW_PATHS_H

#include "base/buffer.h"
#include "draw/scene.h"
#include "network/network.h"

/* ---- flow.c ---- */

struct pl_flow {
  const struct pl_harness *harness;
  double *feed,
      *ground; /* by pin: hops along conductors from the supply / from the battery's earthed pole;
                * PL_FLOW_LOAD more for every load on the way; INFINITY when there is no way */
  pl_id *source, *through; /* by pin: where the feed came from; the last switch or relay pin it
                              passed (PL_NONE: none) */
};
#define PL_FLOW_LOAD 1e6

struct pl_flow *pl_flow_make(const struct pl_harness *harness, struct pl_arena *arena);
/* Smaller is nearer to the top of the page. */
double pl_flow_height(const struct pl_flow *flow, pl_id pin);
bool pl_flow_fed(const struct pl_flow *flow,
                 pl_id pin); /* conductors lead to the supply, without a load between */
bool pl_flow_grounded(const struct pl_flow *flow, pl_id pin); /* the same for ground */
/* DIN 72552 designation of the supply a node hangs on: "30", "15"...; "+" when it has none; "" when
 * it is no supply. */
const char *pl_flow_rail(const struct pl_flow *flow, pl_id pin);
/* The pole of a battery that feeds the machine / that is earthed; PL_NONE. */
pl_id pl_flow_pole(const struct pl_harness *harness, pl_id battery, bool earthed);

/* ---- pieces.c ---- */

enum pl_symbol {
  PL_SYM_RAIL,
  PL_SYM_EARTH,
  PL_SYM_AIR,
  PL_SYM_REFERENCE, /* ends of wires */
  PL_SYM_BAR,       /* splice, stud: one node */
  PL_SYM_TWO,       /* upright, one pin above, one below */
  PL_SYM_CAVITY,    /* a cavity of an inline pair */
  PL_SYM_COIL,
  PL_SYM_CONTACTS,
  PL_SYM_BOX
};

struct pl_contact {
  pl_id common, out;
  bool closed;
  const char *label;
};

enum {
  PL_PIECE_LINES = 6
};

struct pl_piece {
  enum pl_symbol symbol;
  pl_id device;
  bool flipped; /* PL_SYM_TWO: its plus (first) pin is below; PL_SYM_CONTACTS: the common pin is
                   below */
  bool split;   /* may stand on several pages, some ports on each */
  uint32_t first_port, port_count;
  PL_VEC(struct pl_contact) contacts;
  const char *lines[PL_PIECE_LINES];
  uint32_t line_count; /* [0] is the designation */
  uint32_t twin; /* coil <-> contacts of the same relay: next piece of the device, UINT32_MAX */
};

/* The wires of other circuits at a pin: those from the supply side first. */
enum {
  PL_ELSEWHERE = 2
};
struct pl_elsewhere {
  pl_id wires[PL_ELSEWHERE];
  uint32_t n, all; /* kept; found */
};

struct pl_where {
  uint32_t page, column; /* from 1; page 0: nowhere, or not yet */
};

/* Where every wire of the harness came to stand, once all circuits are laid out. */
struct pl_atlas {
  struct pl_where *wires; /* by wire */
  uint32_t *pages;        /* by circuit */
};

struct pl_port {
  uint32_t piece;
  pl_id pin;     /* PL_NONE: an end in the air */
  uint32_t wire; /* index into pl_paths.wires; UINT32_MAX: no wire in this circuit */
  int end;
  bool top;
  struct pl_elsewhere elsewhere; /* without a wire: where it goes on */
  bool earthed;                  /* without a wire: through its case to the chassis */
  struct pl_where where;
};

enum pl_end_kind {
  PL_END_PORT,
  PL_END_RAIL,
  PL_END_EARTH
};

struct pl_wire_end {
  enum pl_end_kind kind;
  uint32_t port;
  const char *rail;
};

struct pl_path_wire {
  pl_id wire;
  struct pl_wire_end end[2];
  int upper; /* the end nearer to the top */
};

struct pl_paths {
  const struct pl_harness *harness;
  const struct pl_flow *flow;
  struct pl_arena *arena;
  pl_id circuit;
  PL_VEC(struct pl_path_wire) wires;
  PL_VEC(struct pl_piece) pieces;
  PL_VEC(struct pl_port) ports;
  pl_id battery; /* drawn between the rails when both its poles are touched; PL_NONE */
  const struct pl_atlas *atlas;       /* NULL while pages are planned */
  const struct pl_solution *solution; /* its volts and amps are shown; NULL */
};

void pl_paths_make(struct pl_paths *paths,
                   const struct pl_flow *flow,
                   const struct pl_solution *solution,
                   pl_id circuit,
                   struct pl_arena *arena);

/* ---- one page ---- */

#define PL_TEXT_SIZE 2.5
#define PL_NAME_SIZE 2.8
#define PL_LEADING 3.1
#define PL_LANE 3.0

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
const struct pl_wire *pl_page_wire(const struct pl_page *page, const struct pl_edge *edge);
/* The label of a wire: number, colour, size, and in a solved state volts and amps. */
double pl_label_width(const struct pl_page *page, const struct pl_edge *edge);
double pl_label_height(const struct pl_page *page);

/* The spots of a part, those above first. */
struct pl_spot *pl_part_spot(const struct pl_page *page, const struct pl_part *part, uint32_t i);

/* refer.c */
#define PL_PLACE_TEXT "page 88, col. 88"
struct pl_elsewhere pl_elsewhere_at(const struct pl_paths *paths, pl_id pin);
/* The first of them comes from above the pin. */
bool pl_elsewhere_feeds(const struct pl_paths *paths,
                        const struct pl_elsewhere *elsewhere,
                        pl_id pin);
const char *pl_refer_place(const struct pl_page *page,
                           uint32_t far_port);            /* "col. 4", "page 2, col. 4" */
uint32_t pl_refer_line_count(const struct pl_spot *spot); /* 0: no reference */
double pl_refer_height(const struct pl_spot *spot);
double pl_refer_width(const struct pl_page *page, const struct pl_spot *spot);
void pl_refer_draw(const struct pl_page *page,
                   const struct pl_spot *spot,
                   double x,
                   double y,
                   struct pl_scene *scene);
/* Two lines of text without a box: "from power", "wire 3, col. 4". */
double pl_refer_plain_width(const struct pl_page *page, pl_id wire, const char *word);
void pl_refer_plain(const struct pl_page *page,
                    pl_id wire,
                    const char *word,
                    double x,
                    double y,
                    struct pl_scene *scene);

/* rank.c */
void pl_order_ranks(struct pl_page *page);
/* order.c */
void pl_order_cells(struct pl_page *page);
/* columns.c */
void pl_order_columns(struct pl_page *page);
/* route.c */
void pl_route_lanes(struct pl_page *page);
/* symbol.c */
void pl_symbol_measure(struct pl_page *page, uint32_t part);
void pl_symbol_draw(struct pl_page *page, uint32_t part, struct pl_scene *scene);
double pl_symbol_rail_y(const struct pl_page *page, const char *rail);

/* shape.c: a device between its leads at y (above) and y2; a coil; the small sign inside a box */
void pl_shape_two(struct pl_scene *scene,
                  enum pl_kind kind,
                  bool flipped,
                  double x,
                  double y,
                  double y2);
void pl_shape_coil(struct pl_scene *scene, double x, double y, double y2);
void pl_shape_inner(struct pl_scene *scene, enum pl_kind kind, double x, double y);
void pl_shape_chassis(struct pl_scene *scene, double x, double y);
void pl_shape_cavity(struct pl_scene *scene, double x, double y, double y2); /* of an inline pair */
/* A contact PL_CONTACT high from the shared bar to its own pin; `turn` -1 draws it upside down. */
#define PL_CONTACT 9.0
void pl_shape_contact(struct pl_scene *scene,
                      double x,
                      double bar,
                      double pin,
                      bool closed,
                      bool relay,
                      double turn);
/* What moves a contact at (x, y): a relay's coil, a hand; a head for one that springs back. */
void pl_shape_hand(struct pl_scene *scene, double x, double y, bool relay, bool springs);
void pl_shape_switch(struct pl_scene *scene,
                     double x,
                     double y,
                     double y2,
                     bool closed,
                     bool relay,
                     bool springs);

/* frame.c: border, legend and title block; `room` gets what is left for the drawing. */
struct pl_room {
  double x, y, width, height;
};
struct pl_frame {
  const char *title;
  const char *const *notes;
  uint32_t note_count;
  uint32_t page, pages;
};
/* A4, or Letter where the sheets are in US units; both landscape. */
struct pl_mm pl_frame_paper(const struct pl_harness *harness);
struct pl_room pl_frame_room(double width, double height, uint32_t notes);
void pl_frame_draw(struct pl_scene *scene,
                   const struct pl_harness *harness,
                   const struct pl_frame *frame);

/* Shows every page of every circuit, placed but not drawn, with its circuit's title. */
void pl_circuits_look(const struct pl_harness *harness,
                      struct pl_arena *arena,
                      void (*look)(void *context, const struct pl_page *page, const char *title),
                      void *context);

/* Breaks a text into at most `most` lines of `width` mm; the last is shortened. Returns how many.
 */
uint32_t pl_text_wrap(struct pl_arena *arena,
                      const char *text,
                      double size,
                      bool bold,
                      double width,
                      const char **lines,
                      uint32_t most);

#endif
