/* A sheet as CSV (RFC 4180): one head line, CRLF, fields quoted only where they must be, the same
 * count in each record. */
#ifndef PL_OUT_CSV_H
#define PL_OUT_CSV_H

#include "base/buffer.h"
#include "sheet/sheet.h"

/* Cells that a spreadsheet would take for a formula begin with an apostrophe: see
 * pl_csv_is_formula. */
void pl_csv_write(struct pl_buffer *out, const struct pl_sheet *sheet);

/* Begins with = + - @ (full-width too), a tab or a line end, is no plain number ("-0.3") and more
 * than a sign alone
 * ("+", a battery's pin). */
bool pl_csv_is_formula(const char *text);

#endif
