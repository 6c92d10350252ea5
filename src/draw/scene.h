/* A scene: a drawing as plain numbers and texts, ready for any writer.  Layout makes it;
 * write/svg.c writes it.  Millimetres, y downward. */
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

typedef PL_VEC(struct pl_scene) pl_scenes;

#endif
