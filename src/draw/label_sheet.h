/* Sheets of labels to print at 100 % and cut out. */
#ifndef PL_DRAW_LABEL_H
#define PL_DRAW_LABEL_H

#include "draw/scene.h"

enum {
  PL_QR_LONGEST = 200
}; /* bytes: a longer text makes a code that is too fine to read */

struct pl_label {
  const char *group;        /* labels of one group stand together under it: "Sleeve 3.2 mm" */
  const char *text, *below; /* the first line, bold; the second, small; "" */
  const char *code;         /* what its QR code says; "" for none */
  double width, height;     /* mm; width 0: as long as the text */
  bool flag;   /* folds in the middle: two halves of width x height, the same on both */
  double wrap; /* mm between the halves: around the wire */
};
typedef PL_VEC(struct pl_label) pl_labels;

/* labels-p1.svg, labels-p2.svg ...: pages that stand upright, for A4 and Letter, with a scale to
 * check the printer by. */
void pl_draw_labels(const pl_labels *labels, struct pl_arena *arena, pl_scenes *pages);

/* A QR code of level M as SVG path data with its quiet zone, squares of `module` mm; `size`: its
 * whole width, mm.  "" and 0 when the text is too long. */
const char *pl_qr_path(struct pl_arena *arena, const char *text, double module, double *size);

#endif
