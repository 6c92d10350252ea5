/* A quantity, a range or a wire size as it stands in the text, and what is wrong with it.  Private
 * to this room. Reading finds out; saying it is left to quantity.c, so that looking ahead and
 * reading share one way through the words. */
#ifndef PL_TEXT_AMOUNT_INNER_H
#define PL_TEXT_AMOUNT_INNER_H

#include "text/units_inner.h"

enum pl_problem {
  PL_PROBLEM_NONE,
  PL_NOT_A_NUMBER,  /* no digits where a number should stand */
  PL_TOO_BIG,       /* digits no double holds */
  PL_COMMA_DECIMAL, /* 2,5 */
  PL_FRACTION,      /* 1/2 */
  PL_DASH_RANGE,    /* 9-16 or 9 to 16 */
  PL_MANY_DOTS,     /* 9...16 */
  PL_NO_UNIT,
  PL_BAD_UNIT
};

/* Where the reading stands: a byte of a word. */
struct pl_spot {
  const struct pl_cursor *cursor;
  uint32_t at;
  size_t off;
};

struct pl_number {
  double value;
  bool aught; /* 2/0 and 00: wire sizes thicker than 0 AWG, value -1, -2, -3 */
  const char *text;
  size_t n;
};

struct pl_amount {
  struct pl_number low, high;
  bool range;
  const struct pl_unit_row *low_unit, *unit; /* low_unit: its own, or the one at the end */
  uint32_t next;                             /* word behind it */
  struct pl_span span;
  const char *bad;                /* what the problem is about, and where */
  const struct pl_word *bad_word; /* NULL: the end of the line */
  size_t bad_n;
  struct pl_spot part; /* PL_COMMA_DECIMAL: the digits behind the comma */
  struct pl_span bad_span;
};

static inline bool pl_is_digit(char c) {
  return c >= '0' && c <= '9';
}

const struct pl_word *pl_spot_word(const struct pl_spot *spot);

/* A number at the spot, which moves behind it.  Wire sizes may be "2/0" and "00". */
enum pl_problem pl_amount_number(struct pl_spot *spot,
                                 enum pl_unit kind,
                                 struct pl_number *number,
                                 struct pl_amount *amount);

/* number [ unit ] [ ".." number unit ]; blanks may stand between all parts. */
enum pl_problem
pl_amount_read(const struct pl_cursor *cursor, enum pl_unit kind, struct pl_amount *amount);

/* Would it read as this kind?  A decimal comma counts as a point here: it is then reported as what
 * it was meant to be.
 */
bool pl_amount_is(const struct pl_cursor *cursor, enum pl_unit kind, struct pl_amount *amount);

#endif
