/* Scenes: a growing list of plain shapes and texts.  Knows nothing of layout, nor of any file
 * format. */
#include "draw/scene.h"

#include <string.h>

void pl_scene_init(struct pl_scene *scene,
                   struct pl_arena *arena,
                   const char *file,
                   const char *title,
                   double width,
                   double height) {
  *scene = (struct pl_scene){.arena = arena,
                             .file = file,
                             .title = title,
                             .description = "",
                             .width = width,
                             .height = height};
}

static struct pl_item blank(enum pl_shape_kind kind) {
  return (struct pl_item){.kind = kind,
                          .stroke = PL_STROKE_NORMAL,
                          .text = "",
                          .id = "",
                          .link = "",
                          .what = "",
                          .name = ""};
}

static void put(struct pl_scene *scene, struct pl_item item) {
  PL_PUSH(scene->arena, &scene->items, item);
}

void pl_scene_line(struct pl_scene *scene,
                   enum pl_stroke stroke,
                   double x,
                   double y,
                   double x2,
                   double y2) {
  struct pl_item item = blank(PL_SHAPE_LINE);
  item.stroke = stroke;
  item.x = x;
  item.y = y;
  item.x2 = x2;
  item.y2 = y2;
  put(scene, item);
}

void pl_scene_box(struct pl_scene *scene,
                  enum pl_stroke stroke,
                  enum pl_fill fill,
                  double x,
                  double y,
                  double width,
                  double height) {
  struct pl_item item = blank(PL_SHAPE_BOX);
  item.stroke = stroke;
  item.fill = fill;
  item.x = x;
  item.y = y;
  item.x2 = width;
  item.y2 = height;
  put(scene, item);
}

void pl_scene_circle(struct pl_scene *scene,
                     enum pl_stroke stroke,
                     enum pl_fill fill,
                     double x,
                     double y,
                     double radius) {
  struct pl_item item = blank(PL_SHAPE_CIRCLE);
  item.stroke = stroke;
  item.fill = fill;
  item.x = x;
  item.y = y;
  item.x2 = radius;
  put(scene, item);
}

void pl_scene_path(struct pl_scene *scene,
                   enum pl_stroke stroke,
                   enum pl_fill fill,
                   double x,
                   double y,
                   const char *data) {
  struct pl_item item = blank(PL_SHAPE_PATH);
  item.stroke = stroke;
  item.fill = fill;
  item.x = x;
  item.y = y;
  item.text = data;
  put(scene, item);
}

static void add_text(struct pl_scene *scene,
                     double x,
                     double y,
                     double size,
                     enum pl_anchor anchor,
                     const char *text,
                     bool bold) {
  struct pl_item item = blank(PL_SHAPE_TEXT);
  item.anchor = anchor;
  item.x = x;
  item.y = y;
  item.size = size;
  item.bold = bold;
  item.text = text;
  if (text[0] != '\0')
    put(scene, item);
}

void pl_scene_text(struct pl_scene *scene,
                   double x,
                   double y,
                   double size,
                   enum pl_anchor anchor,
                   const char *text) {
  add_text(scene, x, y, size, anchor, text, false);
}

void pl_scene_bold(struct pl_scene *scene,
                   double x,
                   double y,
                   double size,
                   enum pl_anchor anchor,
                   const char *text) {
  add_text(scene, x, y, size, anchor, text, true);
}

void pl_scene_wire(struct pl_scene *scene,
                   struct pl_colour colour,
                   const struct pl_mm *points,
                   uint32_t count) {
  struct pl_item item = blank(PL_SHAPE_WIRE);
  item.colour = colour;
  if (strcmp(colour.base, "GNYE") == 0) /* IEC 60757: one insulation of two colours */
    item.colour = (struct pl_colour){"GN", "YE", colour.stripe};
  item.size = 0.9;
  item.points = PL_NEW_ARRAY(scene->arena, struct pl_mm, count);
  for (uint32_t i = 0; i < count; i++) { /* no point twice: dashes and ends depend on it */
    uint32_t n = item.point_count;
    if (n > 0 && item.points[n - 1].x == points[i].x && item.points[n - 1].y == points[i].y)
      continue;
    item.points[item.point_count++] = points[i];
  }
  if (item.point_count > 0) {
    item.x = item.points[0].x;
    item.y = item.points[0].y;
    put(scene, item);
  }
}

void pl_scene_open_of(struct pl_scene *scene,
                      const char *id,
                      const char *title,
                      const char *link,
                      const char *what,
                      const char *name) {
  struct pl_item item = blank(PL_SHAPE_OPEN);
  item.id = id;
  item.text = title;
  item.link = link;
  item.what = what;
  item.name = name;
  put(scene, item);
}

void pl_scene_open(struct pl_scene *scene, const char *id, const char *title, const char *link) {
  pl_scene_open_of(scene, id, title, link, "", "");
}

void pl_scene_close(struct pl_scene *scene) {
  put(scene, blank(PL_SHAPE_CLOSE));
}
