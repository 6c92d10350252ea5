/* The forms in which the tables of the book are written for other programs: one row each.  A new
 * one is a row here, its writer, and its line in docs/output.md, which a test asks for. */
#ifndef PL_OUT_FORMATS_H
#define PL_OUT_FORMATS_H

#include "write/output.h"

struct pl_table_format {
  const char *name; /* folder and ending of its files: "csv/wires.csv" */
  bool xml;         /* its files are XML */
  void (*write)(struct pl_buffer *out, const struct pl_sheet *sheet);
};
extern const struct pl_table_format pl_table_formats[];
extern const uint32_t pl_table_format_count;

/* The files of one sheet, one in each form. */
void pl_table_files(const struct pl_sheet *sheet, struct pl_arena *arena, pl_outputs *outputs);

/* The row whose folder an output's name begins with; NULL: it is a page or a drawing. */
const struct pl_table_format *pl_table_format_of(const char *output);

#endif
