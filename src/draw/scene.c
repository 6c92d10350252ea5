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

const char *pl_safe_name(struct pl_arena *arena, const char *name) {
  static const char hex[] = "0123456789ABCDEF";
  if (name[0] == '\0')
    return "_";
  char *safe = pl_arena_alloc(arena, strlen(name) * 3 + 1, 1);
  char *to = safe;
  for (const char *from = name; *from != '\0'; from++) {
    char c = *from;
    if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-') {
      *to++ = c;
    } else if (c == '_') {
      *to++ = '_';
      *to++ = '_';
    } else {
      *to++ = '_';
      *to++ = hex[(unsigned char)c >> 4];
      *to++ = hex[(unsigned char)c & 15];
    }
  }
  *to = '\0';
  return safe;
}

static bool same_but_case(const char *a, const char *b) {
  for (;; a++, b++) {
    char x = *a >= 'A' && *a <= 'Z' ? (char)(*a + 32) : *a;
    char y = *b >= 'A' && *b <= 'Z' ? (char)(*b + 32) : *b;
    if (x != y)
      return false;
    if (x == '\0')
      return true;
  }
}

/* "_-2" and so on: no escape is followed by '-', so that it meets no name. */
static const char *suffix(struct pl_arena *arena, uint32_t twins) {
  return twins == 0 ? "" : pl_arena_printf(arena, "_-%u", twins + 1);
}

const char *pl_circuit_file(struct pl_arena *arena,
                            const struct pl_harness *harness,
                            pl_id circuit,
                            uint32_t page) {
  const char *name = harness->circuits.at[circuit].name;
  uint32_t twins = 0;
  for (pl_id i = 0; i < circuit; i++)
    twins += same_but_case(harness->circuits.at[i].name, name);
  const char *safe = pl_safe_name(arena, name);
  if (page <= 1)
    return pl_arena_printf(arena, "circuit-%s%s.svg", safe, suffix(arena, twins));
  return pl_arena_printf(arena, "circuit-%s%s_-p%u.svg", safe, suffix(arena, twins), page);
}

const char *pl_power_file(struct pl_arena *arena, uint32_t page) {
  return page <= 1 ? "power.svg" : pl_arena_printf(arena, "power-p%u.svg", page);
}

const char *pl_plan_file(struct pl_arena *arena, uint32_t page) {
  return page <= 1 ? "routing.svg" : pl_arena_printf(arena, "routing-p%u.svg", page);
}

const char *pl_board_map_file(struct pl_arena *arena, uint32_t page) {
  return page <= 1 ? "board.svg" : pl_arena_printf(arena, "board_-p%u.svg", page);
}

const char *pl_board_file(struct pl_arena *arena,
                          const struct pl_harness *harness,
                          pl_id place,
                          uint32_t part) {
  const char *name = harness->places.at[place].name;
  uint32_t twins = 0;
  for (pl_id i = 0; i < place; i++)
    twins += same_but_case(harness->places.at[i].name, name);
  const char *stem =
      pl_arena_printf(arena, "board-%s%s", pl_safe_name(arena, name), suffix(arena, twins));
  return part == 0 ? pl_arena_printf(arena, "%s.svg", stem)
                   : pl_arena_printf(arena, "%s_-p%u.svg", stem, part + 1);
}

static const char *
connector_stem(struct pl_arena *arena, const struct pl_harness *harness, pl_id connector) {
  const struct pl_connector *one = &harness->connectors.at[connector];
  const char *device = pl_safe_name(arena, harness->devices.at[one->device].name);
  /* "_-" cannot come out of an escape, so that device "A-B" and connector B of device "A" differ */
  return one->name[0] == '\0'
             ? device
             : pl_arena_printf(arena, "%s_-c-%s", device, pl_safe_name(arena, one->name));
}

const char *
pl_connector_file(struct pl_arena *arena, const struct pl_harness *harness, pl_id connector) {
  const char *stem = connector_stem(arena, harness, connector);
  uint32_t twins = 0;
  for (pl_id i = 0; i < connector; i++) {
    const struct pl_connector *one = &harness->connectors.at[i];
    const struct pl_connector *this = &harness->connectors.at[connector];
    if (!same_but_case(harness->devices.at[one->device].name,
                       harness->devices.at[this->device].name))
      continue;
    twins += same_but_case(one->name, this->name);
  }
  return pl_arena_printf(arena, "connector-%s%s.svg", stem, suffix(arena, twins));
}
