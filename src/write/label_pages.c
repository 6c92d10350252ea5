/* The rows of the sheet of labels as labels to draw. */
#include "write/label_pages_inner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "draw/label_sheet.h"
#include "standard/label_sizes.h"

#define PI 3.14159265358979323846
#define SLEEVE_LEAST 4.0 /* mm: height of a label that lies in a sleeve */
#define SLEEVE_MOST 8.0
#define CONNECTOR_WIDTH 61.0 /* three beside each other */
#define CONNECTOR_HEIGHT 17.0

enum {
  KIND,
  TEXT,
  BELOW,
  CODE,
  AROUND,
  SLEEVE
};

static double figure(const char *text) {
  double value;
  size_t used;
  size_t n = strlen(text);
  if (n > 0 && pl_number_parse(text, n, &value, &used))
    return value;
  return NAN;
}

static struct pl_label label_of(const struct pl_row *row, struct pl_arena *arena) {
  struct pl_label label = {.text = row->cells[TEXT],
                           .below = row->cells[BELOW],
                           .code = row->cells[CODE],
                           .group = "Connectors"};
  double around = figure(row->cells[AROUND]);
  double sleeve = figure(row->cells[SLEEVE]);
  if (strcmp(row->cells[KIND], "flag") == 0) {
    label.group = "Flags for wires: fold on the dashed lines around the wire, back to back";
    label.flag = true;
    label.width = pl_flag_width;
    label.height = pl_flag_height;
    if (isfinite(around))
      label.wrap = PI * around;
    else
      label.wrap = 0;
  } else if (strcmp(row->cells[KIND], "sleeve") == 0) {
    if (isfinite(sleeve))
      label.group =
          pl_arena_printf(arena,
                          "Sleeve of %s mm before shrinking: over the wire before its terminal",
                          row->cells[SLEEVE]);
    else
      label.group = "No sleeve of the series fits these wires: tie or wrap";
    label.height = isfinite(sleeve) ? fmin(fmax(PI * sleeve / 2, SLEEVE_LEAST), SLEEVE_MOST)
                                    : SLEEVE_MOST; /* flat, a sleeve is half its girth wide */
  } else {
    label.width = CONNECTOR_WIDTH;
    label.height = CONNECTOR_HEIGHT;
  }
  return label;
}

void pl_output_labels(const pl_sheets *sheets, struct pl_arena *arena, pl_scenes *pages) {
  pl_labels labels = {0};
  for (uint32_t i = 0; i < sheets->n; i++)
    for (uint32_t r = 0; strcmp(sheets->at[i].file, "labels") == 0 && r < sheets->at[i].rows.n;
         r++) {
      struct pl_label label = label_of(&sheets->at[i].rows.at[r], arena);
      PL_PUSH(arena, &labels, label);
    }
  pl_draw_labels(&labels, arena, pages);
}
