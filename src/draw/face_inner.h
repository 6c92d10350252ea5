/* A connector's page: its faces (face.c) and the list of its cavities (face_list.c). */
#ifndef PL_DRAW_FACE_INNER_H
#define PL_DRAW_FACE_INNER_H

#include "draw/frame.h"

/* Wide where there is room; else closer, so that sixty and more cavities stay on one page.  The
 * third has no functions: the tables have them. */
struct pl_manner {
  double row, cell_height;
  uint32_t columns;
  bool functions;
};

struct pl_face {
  struct pl_manner manner;
  const struct pl_harness *harness;
  const struct pl_connector *connector;
  const struct pl_device *device;
  struct pl_arena *arena;
  struct pl_scene *scene;
};

/* pin..last: a run of empty cavities */
struct pl_face_entry {
  const struct pl_pin *pin, *last;
  const struct pl_wire *wire;
};

const struct pl_wire *
pl_face_wire(const struct pl_face *face, const struct pl_pin *pin, uint32_t i);

/* "plugged", "unused", "no wire"; "" when there is a wire. */
const char *pl_face_state(const struct pl_pin *pin);

void pl_face_draw_swatch(const struct pl_face *face,
                         const struct pl_wire *wire,
                         double x,
                         double y,
                         double length,
                         double thick);

/* Of its first wire, with a plus when there are more. */
const char *pl_face_number(const struct pl_face *face, const struct pl_pin *pin);

/* What the pin is for. */
const char *pl_face_function(const struct pl_pin *pin);

/* How many rows of the list fit from y on. */
uint32_t pl_face_list_rows(const struct pl_face *face, struct pl_room room, double y);

/* Draws entries from `from` on as far as the room goes; returns the first that did not fit. */
uint32_t pl_face_draw_list(const struct pl_face *face,
                           const struct pl_face_entry *entries,
                           uint32_t n,
                           uint32_t from,
                           struct pl_room room,
                           double y);

#endif
