/* The frame of a page: border, notes and title block; sizes of the lettering inside it. */
#ifndef PL_DRAW_FRAME_H
#define PL_DRAW_FRAME_H

#include "draw/scene.h"

/* mm: height of text, of names; from line to line. */
#define PL_TEXT_SIZE 2.5
#define PL_NAME_SIZE 2.8
#define PL_LEADING 3.1

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

#endif
