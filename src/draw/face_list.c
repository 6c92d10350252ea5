/* The list beside a connector's face: what sits in each cavity. */
#include "draw/face_inner.h"

#include <math.h>
#include <string.h>

#include "draw/metrics.h"

const struct pl_wire *
pl_face_wire(const struct pl_face *face, const struct pl_pin *pin, uint32_t i) {
  return &face->harness->wires.at[pin->wires.at[i]];
}

const char *pl_face_state(const struct pl_pin *pin) {
  if (pin->wires.n > 0)
    return "";
  if (pin->plugged)
    return "plugged";
  if (pin->role == PL_ROLE_UNUSED)
    return "unused";
  if (pin->need == PL_NEED_UNUSED)
    return "unused";
  return "no wire";
}

/* ---- one cavity; the box around its middle is w by h ---- */

void pl_face_draw_swatch(const struct pl_face *face,
                         const struct pl_wire *wire,
                         double x,
                         double y,
                         double length,
                         double thick) {
  struct pl_mm points[2] = {{x, y}, {x + length, y}};
  pl_scene_wire(face->scene, wire->colour, points, 2);
  face->scene->items.at[face->scene->items.n - 1].size = thick;
}

const char *pl_face_number(const struct pl_face *face, const struct pl_pin *pin) {
  const struct pl_wire *wire = pl_face_wire(face, pin, 0);
  if (pin->wires.n > 1)
    return pl_arena_printf(face->arena, "%s+", wire->number);
  return wire->number;
}

enum {
  LIST_COLUMNS = 6
};
struct list_layout {
  double at[LIST_COLUMNS + 1];
};

static struct list_layout layout_of(double width, bool functions) {
  /* cavity, wire, colour (with swatch), size, goes to, function */
  double fixed[] = {13, 15, 23, 16, 26};
  double at = 0;
  struct list_layout layout;
  for (int i = 0; i < LIST_COLUMNS; i++) {
    layout.at[i] = at;
    if (i < (functions ? 5 : 4))
      at += fixed[i];
    else if (i == 4)
      at = width;
  }
  layout.at[LIST_COLUMNS] = width;
  return layout;
}

static void put(const struct pl_face *face,
                const struct list_layout *layout,
                double x,
                double y,
                int column,
                const char *text,
                bool bold,
                double shift) {
  double width = layout->at[column + 1] - layout->at[column] - 1 - shift;
  const char *shown = pl_text_fit(face->arena, text, PL_TEXT_SIZE, bold, width);
  if (bold)
    pl_scene_bold(face->scene,
                  x + layout->at[column] + shift,
                  y,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  shown);
  else
    pl_scene_text(face->scene,
                  x + layout->at[column] + shift,
                  y,
                  PL_TEXT_SIZE,
                  PL_ANCHOR_START,
                  shown);
}

static const char *goes_to(const struct pl_face *face, const struct pl_face_entry *entry) {
  pl_id pin = (pl_id)(entry->pin - face->harness->pins.at);
  pl_id other = pl_wire_other_end(entry->wire, pin);
  if (other == PL_NONE)
    return "open end";
  return face->harness->pins.at[other].full;
}

const char *pl_face_function(const struct pl_pin *pin) {
  if (pin->text[0] != '\0')
    return pin->text;
  if (pin->role == PL_ROLE_PASSIVE)
    return pin->text;
  if (pin->role == PL_ROLE_UNUSED)
    return pin->text;
  return pl_role_name(pin->role);
}

static void draw_entry(const struct pl_face *face,
                       const struct list_layout *layout,
                       const struct pl_face_entry *entry,
                       bool first,
                       double x,
                       double y) {
  const char *cavity;
  if (entry->pin == entry->last)
    cavity = entry->pin->cavity;
  else
    cavity = pl_arena_printf(face->arena, "%s..%s", entry->pin->cavity, entry->last->cavity);
  if (first)
    put(face, layout, x, y, 0, cavity, true, 0);
  if (first && face->manner.functions)
    put(face, layout, x, y, 5, pl_face_function(entry->pin), false, 0);
  if (entry->wire == NULL) {
    put(face, layout, x, y, 1, pl_face_state(entry->pin), false, 0);
    return;
  }
  char colour[16];
  pl_colour_text(&entry->wire->colour, colour);
  put(face, layout, x, y, 1, entry->wire->number, false, 0);
  pl_face_draw_swatch(face, entry->wire, x + layout->at[2], y - 0.9, 6, 1.3);
  put(face, layout, x, y, 2, pl_arena_strdup(face->arena, colour), false, 7);
  put(face, layout, x, y, 3, entry->wire->size, false, 0);
  put(face, layout, x, y, 4, goes_to(face, entry), false, 0);
}

static void
draw_heads(const struct pl_face *face, const struct list_layout *layout, double x, double y) {
  static const char *const heads[] = {"cavity", "wire", "colour", "size", "goes to", "function"};
  for (int i = 0; i < (face->manner.functions ? LIST_COLUMNS : LIST_COLUMNS - 1); i++)
    put(face, layout, x, y + 2.6, i, heads[i], true, 0);
  pl_scene_line(face->scene, PL_STROKE_NORMAL, x, y + 3.6, x + layout->at[LIST_COLUMNS], y + 3.6);
}

uint32_t pl_face_list_rows(const struct pl_face *face, struct pl_room room, double y) {
  return (uint32_t)fmax(1, floor((room.y + room.height - y - 4.4) / face->manner.row));
}

/* Draws entries from `from` on as far as the room goes; returns the first that did not fit. */
uint32_t pl_face_draw_list(const struct pl_face *face,
                           const struct pl_face_entry *entries,
                           uint32_t n,
                           uint32_t from,
                           struct pl_room room,
                           double y) {
  uint32_t rows = pl_face_list_rows(face, room, y);
  uint32_t left = n - from;
  uint32_t columns = 1;
  if (left > rows)
    columns = face->manner.columns;
  double width;
  if (columns > 1)
    width = (room.width - 6 * (columns - 1)) / columns;
  else
    width = fmin(room.width, 180);
  struct list_layout layout = layout_of(width, face->manner.functions);
  if (left < columns * rows)
    rows = (left + columns - 1) / columns;
  for (uint32_t column = 0; column < columns && from < n; column++) {
    double x = room.x + column * (width + 6);
    draw_heads(face, &layout, x, y);
    for (uint32_t i = 0; i < rows && from < n; i++, from++) {
      double at = y + 4.4 + (i + 1) * face->manner.row - 0.9;
      draw_entry(face,
                 &layout,
                 &entries[from],
                 from == 0 || i == 0 || entries[from].pin != entries[from - 1].pin,
                 x,
                 at);
      pl_scene_line(face->scene, PL_STROKE_THIN, x, at + 0.8, x + width, at + 0.8);
    }
  }
  return from;
}
