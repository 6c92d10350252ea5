/* From the sheet of labels to their drawing. */
#ifndef PL_OUT_LABELS_H
#define PL_OUT_LABELS_H

#include "draw/scene.h"
#include "sheet/sheet.h"

/* Pages of labels; none when `sheets` has no sheet "labels". */
void pl_output_labels(const pl_sheets *sheets, struct pl_arena *arena, pl_scenes *pages);

#endif
