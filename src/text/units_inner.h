/* Units as people type them.  Private to this room. */
#ifndef PL_TEXT_UNITS_INNER_H
#define PL_TEXT_UNITS_INNER_H

#include "text/cursor.h"

/* Value in base units = (number - zero) * times / over. */
struct pl_unit_row {
  enum pl_unit kind;
  const char *name; /* as docs/language.md writes it */
  double zero, times, over;
  const char *words; /* further spellings, with blanks between */
};

struct pl_unit_kind {
  const char *noun, *example, *range; /* "current", "15 A", "0.5..2 A" */
  double low,
      high; /* in base units; what no machine exceeds, so that slips of the finger are caught */
  const char *low_text, *high_text; /* "100000 A" */
};

extern const struct pl_unit_row pl_unit_rows[];
extern const size_t pl_unit_row_count;

const struct pl_unit_kind *pl_unit_kind(enum pl_unit kind);

/* The row of this kind that is spelled so (n bytes), or NULL. */
const struct pl_unit_row *pl_unit_find(enum pl_unit kind, const char *word, size_t n);
const struct pl_unit_row *pl_unit_find_any(const char *word, size_t n);

/* The unit of this kind that was probably meant, or NULL. */
const struct pl_unit_row *
pl_unit_nearest(struct pl_arena *arena, enum pl_unit kind, const char *word, size_t n);

const char *pl_unit_list(struct pl_arena *arena, enum pl_unit kind); /* "uA, mA, A" */

double pl_unit_convert(const struct pl_unit_row *row, double number);

#endif
