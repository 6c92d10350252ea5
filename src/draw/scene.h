/* A scene: a drawing as plain numbers and texts, ready for any writer.  Layout makes it; out/svg.c
 * writes it. Millimetres, y downward. */
#ifndef PL_DRAW_SCENE_H
#define PL_DRAW_SCENE_H

#include "harness/harness.h"

enum pl_stroke {
  PL_STROKE_THIN,
  PL_STROKE_NORMAL,
  PL_STROKE_BOLD,
  PL_STROKE_DASHED,
  PL_STROKE_NONE
};
/* The last three: a share of what is allowed that is used.  They say nothing alone: hatching and
 * words say it too. */
enum pl_fill {
  PL_FILL_NONE,
  PL_FILL_PAPER,
  PL_FILL_INK,
  PL_FILL_GREY,
  PL_FILL_LITTLE,
  PL_FILL_NEAR,
  PL_FILL_OVER
};
enum pl_anchor {
  PL_ANCHOR_START,
  PL_ANCHOR_MIDDLE,
  PL_ANCHOR_END
};

enum pl_shape_kind {
  PL_SHAPE_PATH,   /* svg path data in `text`, moved to (x, y) */
  PL_SHAPE_LINE,   /* (x, y) to (x2, y2) */
  PL_SHAPE_BOX,    /* corner (x, y), size (x2, y2) as width and height */
  PL_SHAPE_CIRCLE, /* centre (x, y), radius x2 */
  PL_SHAPE_TEXT,   /* baseline at (x, y), height `size` mm, turned by `angle` degrees */
  PL_SHAPE_WIRE, /* a polyline in a wire's colours, `size` mm wide: dark casing, base, dashed stripe
                  */
  PL_SHAPE_OPEN, /* begin of a named group: `text` = title for people, `id` = stable id, `link` =
                    href or "" */
  PL_SHAPE_CLOSE /* end of the group */
};

struct pl_mm {
  double x, y;
};

struct pl_item {
  enum pl_shape_kind kind;
  enum pl_stroke stroke;
  enum pl_fill fill;
  enum pl_anchor anchor;
  double x, y, x2, y2, size, angle;
  bool bold;
  const char *text, *id, *link;
  const char *what, *name; /* PL_SHAPE_OPEN: what the group shows ("wire", "device", "cavity",
                              "reference") and the user's name for it */
  struct pl_colour colour; /* PL_SHAPE_WIRE */
  struct pl_mm *points;
  uint32_t point_count;
};

struct pl_scene {
  struct pl_arena *arena;
  const char *file; /* "circuit-starting.svg": stable, safe in every file system */
  const char *title, *description;
  double width, height; /* mm: A4 landscape, Letter for sheets in US units; larger
                           only when one symbol needs it */
  PL_VEC(struct pl_item) items;
};

void pl_scene_init(struct pl_scene *scene,
                   struct pl_arena *arena,
                   const char *file,
                   const char *title,
                   double width,
                   double height);
void pl_scene_line(struct pl_scene *scene,
                   enum pl_stroke stroke,
                   double x,
                   double y,
                   double x2,
                   double y2);
void pl_scene_box(struct pl_scene *scene,
                  enum pl_stroke stroke,
                  enum pl_fill fill,
                  double x,
                  double y,
                  double width,
                  double height);
void pl_scene_circle(struct pl_scene *scene,
                     enum pl_stroke stroke,
                     enum pl_fill fill,
                     double x,
                     double y,
                     double radius);
void pl_scene_path(struct pl_scene *scene,
                   enum pl_stroke stroke,
                   enum pl_fill fill,
                   double x,
                   double y,
                   const char *data);
void pl_scene_text(struct pl_scene *scene,
                   double x,
                   double y,
                   double size,
                   enum pl_anchor anchor,
                   const char *text);
void pl_scene_bold(struct pl_scene *scene,
                   double x,
                   double y,
                   double size,
                   enum pl_anchor anchor,
                   const char *text);
void pl_scene_wire(struct pl_scene *scene,
                   struct pl_colour colour,
                   const struct pl_mm *points,
                   uint32_t count);
void pl_scene_open(struct pl_scene *scene, const char *id, const char *title, const char *link);
void pl_scene_open_of(struct pl_scene *scene,
                      const char *id,
                      const char *title,
                      const char *link,
                      const char *what,
                      const char *name);
void pl_scene_close(struct pl_scene *scene);

/* Width in mm of text set at `size` mm in the drawing face (metrics of Liberation Sans / Helvetica,
 * AFM widths). */
double pl_text_width(const char *text, double size, bool bold);
/* Text shortened with "..." to fit `width`, in the arena. */
const char *
pl_text_fit(struct pl_arena *arena, const char *text, double size, bool bold, double width);

/* ---- the pages ---- */
typedef PL_VEC(struct pl_scene) pl_scenes;

/* Current-path pages of one circuit: usually one, more when it does not fit. */
void pl_draw_circuit(const struct pl_harness *harness,
                     pl_id circuit,
                     struct pl_arena *arena,
                     pl_scenes *pages);
/* One connector, wire side and mating side on one page. */
void pl_draw_connector(const struct pl_harness *harness,
                       pl_id connector,
                       struct pl_arena *arena,
                       pl_scenes *pages);
/* Its two faces alone, for the head of a table: beside each other or, when they are wide, above
 * each other.  False when it has no cavities. */
bool pl_draw_faces(const struct pl_harness *harness,
                   pl_id connector,
                   struct pl_arena *arena,
                   struct pl_scene *faces);
/* From battery and alternator to every fuse and what it feeds; without network and solutions (one
 * for each state; NULL) it shows no amps.  No page when there is no fuse. */
struct pl_network;
struct pl_solution;
void pl_draw_power(const struct pl_harness *harness,
                   const struct pl_network *network,
                   const struct pl_solution *solutions,
                   struct pl_arena *arena,
                   pl_scenes *pages);
/* Places and runs to scale, as a tree.  No page when there is no run. */
void pl_draw_plan(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages);
/* The assembly board, 1:1: a page with the map of its tiles, then a page for each tile.  `full`: no
 * run is shortened. */
void pl_draw_board(const struct pl_harness *harness,
                   bool full,
                   struct pl_arena *arena,
                   pl_scenes *pages);
/* Fuses and relays at each place, seen from the front: "panel-PLACE.svg", 190 mm wide and as high
 * as they need. */
void pl_draw_panels(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages);
/* The symbols and the wire colours that this machine uses: legend-symbols.svg, legend-colours.svg.
 */
void pl_draw_legend(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages);
/* All circuits and connectors of a harness and the legend, in a stable order. */
void pl_draw_all(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages);
/* The same, the circuits with the volts and amps of a solved state; NULL, or a state without a
 * solution: without. */
void pl_draw_all_in(const struct pl_harness *harness,
                    const struct pl_solution *solution,
                    struct pl_arena *arena,
                    pl_scenes *pages);

/* A name safe as file name and XML id: ASCII letters, digits, '-'; others escaped as _XX, '_'
 * itself as "__"; the empty name is "_"; two names never meet (but "k1" and "K1" do on file systems
 * that do not tell them apart: the files of pl_draw_* keep them apart with "_-2"). */
const char *pl_safe_name(struct pl_arena *arena, const char *name);

/* Files of the drawings: "circuit-starting.svg", page 2 of it "circuit-starting_-p2.svg";
 * "connector-ECM_-c-A.svg"; "power.svg", page 2 of it "power-p2.svg". */
const char *pl_circuit_file(struct pl_arena *arena,
                            const struct pl_harness *harness,
                            pl_id circuit,
                            uint32_t page);
const char *
pl_connector_file(struct pl_arena *arena, const struct pl_harness *harness, pl_id connector);
const char *pl_power_file(struct pl_arena *arena, uint32_t page);
const char *pl_plan_file(struct pl_arena *arena,
                         uint32_t page); /* "routing.svg", "routing-p2.svg" */
/* The map: "board.svg", "board_-p2.svg"; a place's tile: "board-PLACE.svg", more of it (part 1...)
 * "board-PLACE_-p2.svg". */
const char *pl_board_map_file(struct pl_arena *arena, uint32_t page);
const char *
pl_board_file(struct pl_arena *arena, const struct pl_harness *harness, pl_id place, uint32_t part);

#endif
