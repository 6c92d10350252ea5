/* Writes scenes as SVG.  Computes nothing: where things are is settled in the scene. */
#include "write/svg.h"

#include <string.h>

#include "base/number.h"
#include "standard/limits_data.h"

#define CASING "#333333"
#define NO_COLOUR "#e4e4e4"

/* Classes, so that a page may light or dim wires.  Print keeps the colours. */
const char pl_svg_style[] =
    ".pl-s{font-family:\"Liberation "
    "Sans\",Arial,Helvetica,sans-serif;-webkit-print-color-adjust:exact;print-color-adjust:exact}\n"
    ".pl-s text{fill:#1a1a1a;stroke:none}\n"
    ".pl-b{font-weight:bold}\n"
    ".pl-m{text-anchor:middle}\n"
    ".pl-e{text-anchor:end}\n"
    ".pl-k{stroke:#1a1a1a;stroke-linecap:square}\n"
    ".pl-t{stroke-width:.18}\n"
    ".pl-n{stroke-width:.35}\n"
    ".pl-o{stroke-width:.7}\n"
    ".pl-d{stroke-width:.25;stroke-dasharray:1.2 .9;stroke-linecap:butt}\n"
    ".pl-x{stroke:none}\n"
    ".pl-f{fill:none}\n"
    ".pl-p{fill:#fff}\n"
    ".pl-i{fill:#1a1a1a}\n"
    ".pl-g{fill:#e9e9e9}\n"
    ".pl-l{fill:#bfdcf2}\n"
    ".pl-a{fill:#ffd27a}\n"
    ".pl-r{fill:#f2a09a}\n"
    ".pl-w path{fill:none;stroke-linejoin:round}\n";

static void trimmed(char text[PL_NUMBER_SIZE], double value) {
  pl_number_fixed(text, value, 2);
  size_t n = strlen(text);
  while (n > 0 && text[n - 1] == '0')
    n--;
  if (n > 0 && text[n - 1] == '.')
    n--;
  text[n] = '\0';
}

static void number(struct pl_buffer *buffer, double value) {
  char text[PL_NUMBER_SIZE];
  trimmed(text, value);
  pl_buffer_puts(buffer, text);
}

static void attribute(struct pl_xml *xml, const char *name, double value) {
  char text[PL_NUMBER_SIZE];
  trimmed(text, value);
  pl_xml_attribute(xml, name, text);
}

static const char *rgb_of(const char *letters) {
  uint32_t row;
  if (letters[0] == '\0')
    row = UINT32_MAX;
  else
    row = pl_colour_find(letters, (uint32_t)strlen(letters));
  if (row == UINT32_MAX)
    return NO_COLOUR;
  return pl_colours[row].rgb;
}

static void shape_class(struct pl_xml *xml, const struct pl_item *item) {
  static const char *const strokes[] = {"pl-k pl-t", "pl-k pl-n", "pl-k pl-o", "pl-k pl-d", "pl-x"};
  static const char *const fills[] =
      {" pl-f", " pl-p", " pl-i", " pl-g", " pl-l", " pl-a", " pl-r"};
  char text[32];
  size_t n = strlen(strokes[item->stroke]);
  memcpy(text, strokes[item->stroke], n);
  if (item->kind == PL_SHAPE_LINE)
    text[n] = '\0';
  else
    memcpy(text + n, fills[item->fill], strlen(fills[item->fill]) + 1);
  pl_xml_attribute(xml, "class", text);
}

static void write_text(struct pl_xml *xml, const struct pl_item *item, struct pl_arena *arena) {
  static const char *const names[] = {"", "pl-m", "pl-e", "pl-b", "pl-b pl-m", "pl-b pl-e"};
  const char *name = names[item->anchor + (item->bold ? 3 : 0)];
  pl_xml_start(xml, "text");
  attribute(xml, "x", item->x);
  attribute(xml, "y", item->y);
  attribute(xml, "font-size", item->size);
  if (name[0] != '\0')
    pl_xml_attribute(xml, "class", name);
  if (item->angle < 0 || item->angle > 0) {
    struct pl_buffer turn;
    pl_buffer_init(&turn, arena);
    pl_buffer_puts(&turn, "rotate(");
    number(&turn, item->angle);
    pl_buffer_puts(&turn, " ");
    number(&turn, item->x);
    pl_buffer_puts(&turn, " ");
    number(&turn, item->y);
    pl_buffer_puts(&turn, ")");
    pl_xml_attribute(xml, "transform", turn.at);
  }
  pl_xml_text(xml, item->text);
  pl_xml_end(xml);
}

struct layer {
  const char *colour;
  double width, on, off, shift;
};

static void
write_layer(struct pl_xml *xml, const char *data, struct layer layer, struct pl_arena *arena) {
  pl_xml_start(xml, "path");
  pl_xml_attribute(xml, "d", data);
  pl_xml_attribute(xml, "stroke", layer.colour);
  attribute(xml, "stroke-width", layer.width);
  if (layer.on > 0) {
    struct pl_buffer dashes;
    pl_buffer_init(&dashes, arena);
    number(&dashes, layer.on);
    pl_buffer_puts(&dashes, " ");
    number(&dashes, layer.off);
    pl_xml_attribute(xml, "stroke-dasharray", dashes.at);
    if (layer.shift > 0)
      attribute(xml, "stroke-dashoffset", -layer.shift);
  }
  pl_xml_end(xml);
}

/* Dark casing, base, and the stripe as dashes with a thin dark edge, so that base and stripe are
 * told apart in grey print too. */
static void write_wire(struct pl_xml *xml, const struct pl_item *item, struct pl_arena *arena) {
  struct pl_buffer data;
  pl_buffer_init(&data, arena);
  for (uint32_t i = 0; i < item->point_count; i++) {
    pl_buffer_puts(&data, i == 0 ? "M" : "L");
    number(&data, item->points[i].x);
    pl_buffer_puts(&data, " ");
    number(&data, item->points[i].y);
  }
  double width = item->size;
  double dash = 2;
  bool two = item->colour.stripe2[0] != '\0';
  pl_xml_start(xml, "g");
  pl_xml_attribute(xml, "class", "pl-w");
  write_layer(xml, data.at, (struct layer){CASING, width + 0.5, 0, 0, 0}, arena);
  write_layer(xml, data.at, (struct layer){rgb_of(item->colour.base), width, 0, 0, 0}, arena);
  const char *stripes[] = {item->colour.stripe, item->colour.stripe2};
  for (int i = 0; i < 2; i++) {
    if (stripes[i][0] == '\0')
      continue;
    double off = two ? 3 * dash : dash;
    double shift = dash / 2 + i * 2 * dash;
    write_layer(xml,
                data.at,
                (struct layer){CASING, width * 0.36 + 0.3, dash + 0.24, off - 0.24, shift - 0.12},
                arena);
    write_layer(xml,
                data.at,
                (struct layer){rgb_of(stripes[i]), width * 0.36 + 0.1, dash, off, shift},
                arena);
  }
  pl_xml_end(xml);
}

static void write_box(struct pl_xml *xml, const struct pl_item *item) {
  pl_xml_start(xml, "rect");
  attribute(xml, "x", item->x);
  attribute(xml, "y", item->y);
  attribute(xml, "width", item->x2);
  attribute(xml, "height", item->y2);
  shape_class(xml, item);
  pl_xml_end(xml);
}

static void write_path(struct pl_xml *xml, const struct pl_item *item, struct pl_arena *arena) {
  pl_xml_start(xml, "path");
  pl_xml_attribute(xml, "d", item->text);
  struct pl_buffer move;
  pl_buffer_init(&move, arena);
  pl_buffer_puts(&move, "translate(");
  number(&move, item->x);
  pl_buffer_puts(&move, " ");
  number(&move, item->y);
  pl_buffer_puts(&move, ")");
  pl_xml_attribute(xml, "transform", move.at);
  shape_class(xml, item);
  pl_xml_end(xml);
}

static void write_shape(struct pl_xml *xml, const struct pl_item *item, struct pl_arena *arena) {
  switch (item->kind) {
    case PL_SHAPE_LINE:
      pl_xml_start(xml, "line");
      attribute(xml, "x1", item->x);
      attribute(xml, "y1", item->y);
      attribute(xml, "x2", item->x2);
      attribute(xml, "y2", item->y2);
      shape_class(xml, item);
      pl_xml_end(xml);
      break;
    case PL_SHAPE_CIRCLE:
      pl_xml_start(xml, "circle");
      attribute(xml, "cx", item->x);
      attribute(xml, "cy", item->y);
      attribute(xml, "r", item->x2);
      shape_class(xml, item);
      pl_xml_end(xml);
      break;
    case PL_SHAPE_BOX:
      write_box(xml, item);
      break;
    case PL_SHAPE_PATH:
      write_path(xml, item, arena);
      break;
    case PL_SHAPE_TEXT:
      write_text(xml, item, arena);
      break;
    case PL_SHAPE_WIRE:
      write_wire(xml, item, arena);
      break;
    case PL_SHAPE_OPEN:
    case PL_SHAPE_CLOSE:
      break;
  }
  pl_xml_break(xml);
}

static void write_open(struct pl_xml *xml,
                       const struct pl_item *item,
                       const char *prefix,
                       struct pl_arena *arena) {
  pl_xml_start(xml, "g");
  if (item->id[0] != '\0')
    pl_xml_attribute(xml, "id", pl_arena_printf(arena, "%s%s", prefix, item->id));
  if (item->text[0] != '\0') {
    pl_xml_attribute(xml, "role", "graphics-symbol img");
    pl_xml_attribute(xml, "aria-label", item->text);
  }
  if (item->what[0] != '\0') {
    pl_xml_attribute(xml, "data-what", item->what);
    pl_xml_attribute(xml, "data-name", item->name);
  }
  pl_xml_break(xml);
  if (item->link[0] != '\0') {
    pl_xml_start(xml, "a");
    pl_xml_attribute(xml, "xlink:href", item->link);
  }
}

static void
write_svg(struct pl_xml *xml, const struct pl_scene *scene, const char *prefix, bool style) {
  struct pl_arena *arena = scene->arena;
  char width[PL_NUMBER_SIZE], height[PL_NUMBER_SIZE];
  trimmed(width, scene->width);
  trimmed(height, scene->height);
  pl_xml_start(xml, "svg");
  pl_xml_attribute(xml, "xmlns", "http://www.w3.org/2000/svg");
  pl_xml_attribute(xml, "xmlns:xlink", "http://www.w3.org/1999/xlink");
  pl_xml_attribute(xml, "version", "1.1");
  pl_xml_attribute(xml, "width", pl_arena_printf(arena, "%smm", width));
  pl_xml_attribute(xml, "height", pl_arena_printf(arena, "%smm", height));
  pl_xml_attribute(xml, "viewBox", pl_arena_printf(arena, "0 0 %s %s", width, height));
  pl_xml_attribute(xml, "role", "graphics-document document");
  pl_xml_attribute(xml, "aria-labelledby", pl_arena_printf(arena, "%st %sd", prefix, prefix));
  pl_xml_attribute(xml, "class", "pl-s");
  pl_xml_break(xml);
  const char *names[] = {"title", "desc"};
  const char *texts[] = {scene->title, scene->description};
  for (int i = 0; i < 2; i++) {
    pl_xml_start(xml, names[i]);
    pl_xml_attribute(xml, "id", pl_arena_printf(arena, "%s%c", prefix, names[i][0]));
    pl_xml_text(xml, texts[i]);
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  if (style) {
    pl_xml_element(xml, "style", pl_svg_style);
    pl_xml_break(xml);
  }
  pl_xml_start(xml, "rect");
  pl_xml_attribute(xml, "width", width);
  pl_xml_attribute(xml, "height", height);
  pl_xml_attribute(xml, "class", "pl-p");
  pl_xml_end(xml);
  pl_xml_break(xml);
  bool linked[PL_XML_DEPTH] = {false};
  uint32_t depth = 0;
  for (uint32_t i = 0; i < scene->items.n; i++) {
    const struct pl_item *item = &scene->items.at[i];
    if (item->kind == PL_SHAPE_OPEN) {
      write_open(xml, item, prefix, arena);
      if (depth < PL_XML_DEPTH)
        linked[depth] = item->link[0] != '\0';
      depth++;
    } else if (item->kind == PL_SHAPE_CLOSE) {
      if (depth == 0)
        continue;
      depth--;
      if (depth < PL_XML_DEPTH && linked[depth])
        pl_xml_end(xml);
      pl_xml_end(xml);
      pl_xml_break(xml);
    } else {
      write_shape(xml, item, arena);
    }
  }
  for (; depth > 0; depth--) {
    if (depth <= PL_XML_DEPTH && linked[depth - 1])
      pl_xml_end(xml);
    pl_xml_end(xml);
  }
  pl_xml_end(xml);
}

void pl_svg_element(struct pl_xml *xml, const struct pl_scene *scene, const char *prefix) {
  write_svg(xml, scene, prefix, false);
}

void pl_svg_write(struct pl_buffer *out, const struct pl_scene *scene) {
  struct pl_xml xml;
  pl_xml_begin(&xml, out, PL_XML_PLAIN);
  write_svg(&xml, scene, "", true);
  pl_xml_finish(&xml);
}
