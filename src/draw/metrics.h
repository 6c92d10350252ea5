/* Widths of lettering, and texts made to fit. */
#ifndef PL_DRAW_METRICS_H
#define PL_DRAW_METRICS_H

#include <stdbool.h>

#include "base/arena.h"

/* Width in mm of text set at `size` mm in the drawing face (metrics of Liberation Sans / Helvetica,
 * AFM widths). */
double pl_text_width(const char *text, double size, bool bold);
/* Text shortened with "..." to fit `width`, in the arena. */
const char *
pl_text_fit(struct pl_arena *arena, const char *text, double size, bool bold, double width);

/* Breaks a text into at most `most` lines of `width` mm; the last is shortened. Returns how many.
 */
uint32_t pl_text_wrap(struct pl_arena *arena,
                      const char *text,
                      double size,
                      bool bold,
                      double width,
                      const char **lines,
                      uint32_t most);

#endif
