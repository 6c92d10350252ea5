/* Shapes of the symbols: plain geometry with the meaning that IEC 60617 gives them (common
 * practice; own drawings).  Millimetres, y downward. */
#ifndef PL_DRAW_SHAPE_H
#define PL_DRAW_SHAPE_H

#include "draw/scene.h"

/* shape.c: a device between its leads at y (above) and y2; a coil; the small sign inside a box */
void pl_shape_two(struct pl_scene *scene,
                  enum pl_sign sign,
                  bool flipped,
                  double x,
                  double y,
                  double y2);
void pl_shape_coil(struct pl_scene *scene, double x, double y, double y2);
void pl_shape_inner(struct pl_scene *scene, enum pl_sign sign, double x, double y);
void pl_shape_chassis(struct pl_scene *scene, double x, double y);
void pl_shape_cavity(struct pl_scene *scene, double x, double y, double y2); /* of an inline pair */
/* A contact PL_CONTACT high from the shared bar to its own pin; `turn` -1 draws it upside down. */
#define PL_CONTACT 9.0
void pl_shape_contact(struct pl_scene *scene,
                      double x,
                      double bar,
                      double pin,
                      bool closed,
                      bool relay,
                      double turn);
/* What moves a contact at (x, y): a relay's coil, a hand; a head for one that springs back. */
void pl_shape_hand(struct pl_scene *scene, double x, double y, bool relay, bool springs);
void pl_shape_switch(struct pl_scene *scene,
                     double x,
                     double y,
                     double y2,
                     bool closed,
                     bool relay,
                     bool springs);

#endif
