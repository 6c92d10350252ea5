/* Widths of text in the drawing face.  Advance widths of Helvetica as its AFM files give them, in
 * thousandths of the height; Liberation Sans has the same by design (checked against its horizontal
 * metrics table).  No kerning: real text is never wider. */
#include "draw/metrics.h"

#include <string.h>

#include "base/utf8.h"

/* clang-format off */
static const uint16_t regular[] = {
    /* space .. ~ */
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833,
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556,
    556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334,
    260, 334, 584,
    /* no-break space .. y with diaeresis */
    278, 333, 556, 556, 556, 556, 260, 556, 333, 737, 370, 556, 584, 333, 737, 552, 400, 549, 333, 333, 333, 576, 537,
    278, 333, 333, 365, 556, 834, 834, 834, 611, 667, 667, 667, 667, 667, 667, 1000, 722, 667, 667, 667, 667, 278, 278,
    278, 278, 722, 722, 778, 778, 778, 778, 778, 584, 778, 722, 722, 722, 722, 667, 667, 611, 556, 556, 556, 556, 556,
    556, 889, 500, 556, 556, 556, 556, 278, 278, 278, 278, 556, 556, 556, 556, 556, 556, 556, 549, 611, 556, 556, 556,
    556, 500, 556, 500};

static const uint16_t heavy[] = {
    278, 333,  474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556,
    556, 556,  556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722,
    611, 833,  722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584, 556, 333, 556,
    611, 556,  611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778,
    556, 556,  500, 389, 280, 389, 584, 278, 333, 556, 556, 556, 556, 280, 556, 333, 737, 370, 556, 584, 333, 737,
    552, 400,  549, 333, 333, 333, 576, 556, 278, 333, 333, 365, 556, 834, 834, 834, 611, 722, 722, 722, 722, 722,
    722, 1000, 722, 667, 667, 667, 667, 278, 278, 278, 278, 722, 722, 778, 778, 778, 778, 778, 584, 778, 722, 722,
    722, 722,  667, 667, 611, 556, 556, 556, 556, 556, 556, 889, 556, 556, 556, 556, 556, 278, 278, 278, 278, 611,
    611, 611,  611, 611, 611, 611, 549, 611, 611, 611, 611, 611, 556, 611, 556};
/* clang-format on */

_Static_assert(sizeof regular == sizeof heavy && sizeof regular == (95 + 96) * sizeof regular[0],
               "two full sets of widths");

static double width_of(uint32_t code, bool bold) {
  const uint16_t *widths = bold ? heavy : regular;
  if (code >= 0x20 && code < 0x7F)
    return widths[code - 0x20];
  if (code >= 0xA0 && code <= 0xFF)
    return widths[95 + code - 0xA0];
  int columns = pl_utf8_width(code);
  if (columns == 0)
    return 0;
  bool narrow = columns != 2 && code < 0x2000;
  return narrow ? 700 : 1000;
}

/* The width in thousandths of the letter at `at`, which moves on behind it; a broken byte counts as
 * U+FFFD. */
static double next_width(const char *text, size_t n, size_t *at, bool bold) {
  uint32_t code = 0;
  size_t length = pl_utf8_decode(text + *at, n - *at, &code);
  if (length == 0)
    code = 0xFFFD;
  *at += length == 0 ? 1 : length;
  return width_of(code, bold);
}

double pl_text_width(const char *text, double size, bool bold) {
  double width = 0;
  for (size_t n = strlen(text), at = 0; at < n;)
    width += next_width(text, n, &at, bold);
  return width * size / 1000;
}

const char *
pl_text_fit(struct pl_arena *arena, const char *text, double size, bool bold, double width) {
  if (pl_text_width(text, size, bold) <= width)
    return text;
  double room = width - pl_text_width("...", size, bold);
  double used = 0;
  size_t n = strlen(text);
  size_t at = 0;
  for (size_t next = 0; next < n; at = next) {
    used += next_width(text, n, &next, bold) * size / 1000;
    if (used > room)
      break;
  }
  while (at > 0 && text[at - 1] == ' ')
    at--;
  return pl_arena_printf(arena, "%.*s...", (int)at, text);
}

/* The longest part of the text that ends before a space (or after a comma, hyphen or slash) and
 * fits; at least one character. */
static size_t piece_that_fits(const char *text, double size, bool bold, double width) {
  size_t n = strlen(text);
  size_t at = 0;
  size_t good = 0;
  double used = 0;
  for (size_t next = 0; next < n;) {
    used += next_width(text, n, &next, bold) * size / 1000;
    if (used > width)
      break;
    at = next;
    if (at == n || text[at] == ' ')
      good = at;
  }
  return at == n ? n : good;
}

uint32_t pl_text_wrap(struct pl_arena *arena,
                      const char *text,
                      double size,
                      bool bold,
                      double width,
                      const char **lines,
                      uint32_t most) {
  uint32_t count = 0;
  while (*text == ' ')
    text++;
  while (*text != '\0' && count < most) {
    size_t n = 0;
    if (count + 1 < most)
      n = piece_that_fits(text, size, bold, width);
    if (n == 0) { /* the last line, or a word too long for any line */
      const char *end = strchr(text, ' ');
      size_t word;
      if (count + 1 == most || end == NULL)
        word = strlen(text);
      else
        word = (size_t)(end - text);
      lines[count++] = pl_text_fit(arena, pl_arena_strndup(arena, text, word), size, bold, width);
      n = word;
    } else {
      lines[count++] = pl_arena_strndup(arena, text, n);
    }
    text += n;
    while (*text == ' ')
      text++;
  }
  return count;
}
