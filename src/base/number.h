/* Numbers in and out, the same in every locale. */
#ifndef PL_BASE_NUMBER_H
#define PL_BASE_NUMBER_H

#include <stdbool.h>
#include <stddef.h>

/* Reads a decimal number ("12", "-0.5", ".5", "1e3") from the first bytes of text (length n, need
 * not be NUL-terminated); stores how many bytes it took.  False when no number stands there or it
 * is not finite. */
bool pl_number_parse(const char *text, size_t n, double *value, size_t *used);

enum {
  PL_NUMBER_SIZE = 40
};

/* Prints with at most `digits` significant digits, no exponent between 1e-6 and 1e15, no trailing
 * zeros, never "-0". Returns buffer. */
const char *pl_number_print(char buffer[PL_NUMBER_SIZE], double value, int digits);

/* Fixed decimals ("13.80"), never "-0.00". */
const char *pl_number_fixed(char buffer[PL_NUMBER_SIZE], double value, int decimals);

/* Shortest text that reads back as the same double: for JSON, CSV and SPICE.  All three printers
 * write "nan", "inf" and
 * "-inf" for what is no number: the caller says what that means to its reader. */
const char *pl_number_exact(char buffer[PL_NUMBER_SIZE], double value);

#endif
