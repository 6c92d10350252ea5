/* Shapes of the devices: plain geometry with the meaning that IEC 60617 gives the symbols (common
 * practice; own drawings). */
#include "draw/shape.h"

#include "draw/sign.h"

static void line(struct pl_scene *scene, double x, double y, double x2, double y2) {
  pl_scene_line(scene, PL_STROKE_NORMAL, x, y, x2, y2);
}

/* A path around the middle of a lead from y to y2; the lead stops `half` before and after. */
static void
upright(struct pl_scene *scene, double x, double y, double y2, const char *body, double half) {
  double middle = (y + y2) / 2;
  line(scene, x, y, x, middle - half);
  line(scene, x, middle + half, x, y2);
  pl_scene_path(scene, PL_STROKE_NORMAL, PL_FILL_NONE, x, middle, body);
}

static void draw_circle_with(struct pl_scene *scene,
                             double x,
                             double y,
                             double y2,
                             const char *letter,
                             const char *more) {
  double middle = (y + y2) / 2;
  line(scene, x, y, x, middle - 4);
  line(scene, x, middle + 4, x, y2);
  pl_scene_circle(scene, PL_STROKE_NORMAL, PL_FILL_NONE, x, middle, 4);
  if (letter[0] != '\0')
    pl_scene_bold(scene,
                  x,
                  middle + (more[0] != '\0' ? 1.9 : 1.3),
                  more[0] != '\0' ? 3.2 : 3.6,
                  PL_ANCHOR_MIDDLE,
                  letter);
  if (more[0] != '\0')
    pl_scene_path(scene, PL_STROKE_NORMAL, PL_FILL_NONE, x, middle, more);
}

static void draw_battery(struct pl_scene *scene, double x, double y, double y2, bool flipped) {
  double middle = (y + y2) / 2;
  double plus = flipped ? 0.8 : -0.8;
  line(scene, x, y, x, middle - 2.6);
  line(scene, x, middle + 2.6, x, y2);
  pl_scene_line(scene, PL_STROKE_DASHED, x, middle - 0.9, x, middle + 0.9);
  for (int i = -1; i < 2; i += 2) {
    double at = middle + i * 1.7;
    line(scene, x - 4, at + plus, x + 4, at + plus);
    pl_scene_line(scene, PL_STROKE_BOLD, x - 2, at - plus, x + 2, at - plus);
  }
}

void pl_shape_two(struct pl_scene *scene,
                  enum pl_sign sign,
                  bool flipped,
                  double x,
                  double y,
                  double y2) {
  const struct pl_sign_row *row = pl_sign_row(sign);
  switch (row->body) {
    case PL_BODY_CELLS:
      draw_battery(scene, x, y, y2, flipped);
      return;
    case PL_BODY_CIRCLE:
      draw_circle_with(scene, x, y, y2, row->letter, row->path);
      return;
    case PL_BODY_PATH:
      break;
  }
  const char *path = row->path;
  if (flipped && row->flipped != NULL)
    path = row->flipped;
  upright(scene, x, y, y2, path, row->half);
}

void pl_shape_coil(struct pl_scene *scene, double x, double y, double y2) {
  upright(scene, x, y, y2, "M-4-2.6H4V2.6H-4z", 2.6);
}

void pl_shape_inner(struct pl_scene *scene, enum pl_sign sign, double x, double y) {
  const struct pl_sign_row *row = pl_sign_row(sign);
  const char *letter = row->inner_letter;
  if (letter != NULL)
    pl_scene_circle(scene, PL_STROKE_NORMAL, PL_FILL_NONE, x, y, 3.6);
  if (letter != NULL && letter[0] != '\0')
    pl_scene_bold(scene, x, y + 1.2, 3.4, PL_ANCHOR_MIDDLE, letter);
  if (row->inner_path != NULL)
    pl_scene_path(scene, PL_STROKE_NORMAL, PL_FILL_NONE, x, y, row->inner_path);
}

void pl_shape_chassis(struct pl_scene *scene, double x, double y) {
  pl_scene_path(scene,
                PL_STROKE_NORMAL,
                PL_FILL_NONE,
                x,
                y,
                "M-2.6 0H2.6M-2.6 0l-1 2M0 0l-1 2M2.6 0l-1 2");
}

void pl_shape_cavity(struct pl_scene *scene, double x, double y, double y2) {
  double middle = (y + y2) / 2;
  line(scene, x, y, x, middle - 2.4);
  line(scene, x, middle + 1.2, x, y2);
  pl_scene_line(scene, PL_STROKE_BOLD, x, middle - 2.4, x, middle + 0.2);
  pl_scene_path(scene,
                PL_STROKE_NORMAL,
                PL_FILL_NONE,
                x,
                middle - 0.6,
                "M-1.8 0A1.8 1.8 0 0 0 1.8 0");
}

/* The blade turns on the pin's side. */
void pl_shape_contact(struct pl_scene *scene,
                      double x,
                      double bar,
                      double pin,
                      bool closed,
                      bool relay,
                      double turn) {
  double fixed = bar + turn * 1.6;
  double pivot = bar + turn * (PL_CONTACT - 1.2);
  line(scene, x, bar, x, fixed);
  line(scene, x, pivot, x, pin);
  pl_scene_circle(scene, PL_STROKE_THIN, PL_FILL_INK, x, pivot, 0.45);
  if (closed && relay) { /* break contact: the blade rests on a tick */
    line(scene, x, fixed, x + 2.2, fixed);
    line(scene, x, pivot, x + 1.6, fixed - turn * 0.6);
  } else if (closed) {
    line(scene, x, pivot, x, fixed);
    pl_scene_circle(scene, PL_STROKE_THIN, PL_FILL_PAPER, x, fixed, 0.45);
  } else {
    line(scene, x, pivot, x - 2.6, fixed + turn * 0.4);
  }
}

void pl_shape_hand(struct pl_scene *scene, double x, double y, bool relay, bool springs) {
  pl_scene_line(scene, PL_STROKE_DASHED, x - (relay ? 4.4 : 4.2), y, x - 1.5, y);
  if (!relay)
    pl_scene_path(scene,
                  PL_STROKE_NORMAL,
                  PL_FILL_NONE,
                  x - 4.2,
                  y,
                  springs ? "M0-1.4H-1V1.4H0" : "M0-1.4V1.4");
}

void pl_shape_switch(struct pl_scene *scene,
                     double x,
                     double y,
                     double y2,
                     bool closed,
                     bool relay,
                     bool springs) {
  double bar = (y + y2) / 2 - PL_CONTACT / 2;
  line(scene, x, y, x, bar);
  pl_shape_contact(scene, x, bar, y2, closed, relay, 1);
  pl_shape_hand(scene, x, bar + PL_CONTACT / 2 + 0.4, relay, springs);
}
