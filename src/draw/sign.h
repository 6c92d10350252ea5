/* The symbols: one row for each sign of a kind (harness/kind.h) with its geometry and with what the
 * legend says of it.  A new symbol is a row here and nothing else: pages, legend and tests walk the
 * table. */
#ifndef PL_DRAW_SIGN_H
#define PL_DRAW_SIGN_H

#include <stdbool.h>

#include "harness/kind.h"

/* How the legend shows it. */
enum pl_figure {
  PL_FIGURE_UPRIGHT, /* between two leads */
  PL_FIGURE_BOX,     /* a box with its inner sign, or pins named in it */
  PL_FIGURE_COIL,
  PL_FIGURE_SWITCH,
  PL_FIGURE_CAVITY,
  PL_FIGURE_SPLICE,
  PL_FIGURE_STUD,
  PL_FIGURE_CHASSIS
};

/* What stands in the middle of the lead. */
enum pl_body {
  PL_BODY_PATH,   /* `path` alone */
  PL_BODY_CIRCLE, /* round `letter` and `path` */
  PL_BODY_CELLS   /* of a battery */
};

/* Paths are svg path data in mm round the middle. */
struct pl_sign_row {
  enum pl_figure figure;
  const char *name, *words; /* in the legend */
  enum pl_body body;
  const char *path;
  const char *flipped; /* the path when it stands upside down; NULL: the same */
  double half;         /* mm: the lead stops that far before and after the middle */
  const char *letter;
  const char *inner_path; /* inside a box; NULL: none */
  const char
      *inner_letter; /* in a circle inside a box; NULL: no circle, "": a circle round the path */
  const char *pins;  /* of a box without an inner sign, in the legend */
};

/* `sign` is one of enum pl_sign. */
const struct pl_sign_row *pl_sign_row(enum pl_sign sign);

/* A box of this kind has a small sign inside. */
bool pl_sign_has_inner(enum pl_sign sign);

#endif
