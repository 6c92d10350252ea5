/* Shapes of the devices: plain geometry with the meaning that IEC 60617 gives the symbols (common
 * practice; own drawings). */
#include "draw/shape.h"

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
                  enum pl_kind kind,
                  bool flipped,
                  double x,
                  double y,
                  double y2) {
  switch (kind) {
    case PL_KIND_BATTERY:
      draw_battery(scene, x, y, y2, flipped);
      return;
    case PL_KIND_FUSE:
      upright(scene, x, y, y2, "M-1.6-4H1.6V4H-1.6zM0-4V4", 4);
      return;
    case PL_KIND_BREAKER:
      upright(scene,
              x,
              y,
              y2,
              "M0 4V2.4L-2.4-3M0-2.6V-4M-1-3.6L1-1.6M1-3.6L-1-1.6M-3.4-1.2h-1.4v2.4h1.4",
              4);
      return;
    case PL_KIND_FUSIBLE_LINK:
      upright(scene,
              x,
              y,
              y2,
              "M0-4.2C2.6-2.8-2.6-1.4 0 0S-2.6 2.8 0 4.2M-1.6-4.2H1.6M-1.6 4.2H1.6",
              4.2);
      return;
    case PL_KIND_DISCONNECT:
      upright(scene,
              x,
              y,
              y2,
              "M0-4.4V-2.6M0 4.4V2.6L-.6-2.6M-1.4-2.6H1.2M-4.6-1.4v2.8M-4.6 0h1M-2.9 0h1M-1.2 0h.8",
              4.4);
      return;
    case PL_KIND_LAMP:
      draw_circle_with(scene, x, y, y2, "", "M-2.83-2.83L2.83 2.83M-2.83 2.83L2.83-2.83");
      return;
    case PL_KIND_MOTOR:
      draw_circle_with(scene, x, y, y2, "M", "");
      return;
    case PL_KIND_PUMP:
      draw_circle_with(scene, x, y, y2, "M", "M-1.1-1.7L0-3.5L1.1-1.7z");
      return;
    case PL_KIND_FAN:
      draw_circle_with(scene, x, y, y2, "M", "M-2.2-2.4C-1.6-3.4-.6-3.2 0-2.5S1.6-1.6 2.2-2.6");
      return;
    case PL_KIND_SOLENOID:
      upright(scene, x, y, y2, "M-4-2.6H4V2.6H-4zM-4 2.6L0-2.6", 2.6);
      return;
    case PL_KIND_HEATER:
      upright(scene, x, y, y2, "M-1.6-4H1.6V4H-1.6zM-1.6-2H1.6M-1.6 0H1.6M-1.6 2H1.6", 4);
      return;
    case PL_KIND_HORN:
      upright(scene,
              x,
              y,
              y2,
              "M-2-3H1V3H-2zM1-1.6L4-3.4V3.4L1 1.6M-.5-4V-3M-.5 3V4M0-4H-.5M0 4H-.5",
              4);
      return;
    case PL_KIND_BUZZER:
      upright(scene, x, y, y2, "M-3.6 1.4A3.6 3.6 0 0 1 3.6 1.4zM0-4V-2.2M0 1.4V4", 4);
      return;
    case PL_KIND_DIODE:
      upright(scene,
              x,
              y,
              y2,
              flipped ? "M0-4V4M-2.8 2.4h5.6L0-2.4zM-2.8-2.4h5.6"
                      : "M0-4V4M-2.8-2.4h5.6L0 2.4zM-2.8 2.4h5.6",
              4);
      return;
    case PL_KIND_SENDER:
      upright(scene, x, y, y2, "M-1.6-4H1.6V4H-1.6zM-4.2 3.6L4-3.6M4-3.6l-1.9.5M4-3.6l-.8 1.8", 4);
      return;
    case PL_KIND_SENSOR:
      upright(scene, x, y, y2, "M-1.6-4H1.6V4H-1.6zM-4.4 3.6h1.8L3.4-3.6", 4);
      return;
    case PL_KIND_GAUGE:
      draw_circle_with(scene, x, y, y2, "", "M-2 2L1.8-1.8M1.8-1.8l-1.7.4M1.8-1.8l-.4 1.7");
      return;
    case PL_KIND_RESISTOR:
    case PL_KIND_TERMINATOR:
      upright(scene, x, y, y2, "M-1.6-4H1.6V4H-1.6z", 4);
      return;
    default:
      upright(scene, x, y, y2, "M-3.4-4H3.4V4H-3.4z", 4);
      return;
  }
}

void pl_shape_coil(struct pl_scene *scene, double x, double y, double y2) {
  upright(scene, x, y, y2, "M-4-2.6H4V2.6H-4z", 2.6);
}

void pl_shape_inner(struct pl_scene *scene, enum pl_kind kind, double x, double y) {
  switch (kind) {
    case PL_KIND_STARTER:
    case PL_KIND_ALTERNATOR:
    case PL_KIND_MOTOR:
    case PL_KIND_PUMP:
    case PL_KIND_FAN:
      pl_scene_circle(scene, PL_STROKE_NORMAL, PL_FILL_NONE, x, y, 3.6);
      pl_scene_bold(scene,
                    x,
                    y + 1.2,
                    3.4,
                    PL_ANCHOR_MIDDLE,
                    kind == PL_KIND_ALTERNATOR ? "G" : "M");
      return;
    case PL_KIND_GAUGE:
      pl_scene_circle(scene, PL_STROKE_NORMAL, PL_FILL_NONE, x, y, 3.6);
      pl_scene_path(scene,
                    PL_STROKE_NORMAL,
                    PL_FILL_NONE,
                    x,
                    y,
                    "M-2 2L1.8-1.8M1.8-1.8l-1.7.4M1.8-1.8l-.4 1.7");
      return;
    case PL_KIND_LAMP:
      pl_scene_circle(scene, PL_STROKE_NORMAL, PL_FILL_NONE, x, y, 3.6);
      pl_scene_path(scene,
                    PL_STROKE_NORMAL,
                    PL_FILL_NONE,
                    x,
                    y,
                    "M-2.55-2.55L2.55 2.55M-2.55 2.55L2.55-2.55");
      return;
    case PL_KIND_SENDER:
      pl_scene_path(scene,
                    PL_STROKE_NORMAL,
                    PL_FILL_NONE,
                    x,
                    y,
                    "M-1.3-3.4H1.3V3.4H-1.3zM-3.4 3L3.4-3M3.4-3l-1.9.5M3.4-3l-.8 1.8");
      return;
    case PL_KIND_SENSOR:
      pl_scene_path(scene,
                    PL_STROKE_NORMAL,
                    PL_FILL_NONE,
                    x,
                    y,
                    "M-1.3-3.4H1.3V3.4H-1.3zM-3.6 3h1.6L3-3");
      return;
    default:
      pl_scene_path(scene, PL_STROKE_NORMAL, PL_FILL_NONE, x, y, "M-1.3-3.4H1.3V3.4H-1.3z");
      return;
  }
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
