/* Widths of a table's columns.  A browser gives a column with one long note as much room as one with many: these are
 * chosen for low rows, so that a sheet takes few pages. */
#include "out/page.h"

#include <math.h>
#include <string.h>

enum { ROWS_SEEN = 400 }; /* rows that the widths are chosen by */

#define TEXT_SIZE 3.35 /* mm: 9.5 pt */
#define WIDE_SIZE 0.95 /* of that in sheets with many columns: 9 pt */
#define GAP 2.6        /* mm beside a cell's text */
#define SAMPLE 9.5     /* mm of a colour sample */
#define HAND 12.0      /* mm more in a column to write in */
#define BROKEN 34.0    /* mm: words that are wider are broken anywhere */
#define RAGGED 1.06    /* lines are not filled to their ends */

static double widest_word(const char *text, bool bold) {
  double widest = 0;
  char word[PL_PAGE_LONG_WORD * 4 + 1];
  while (*text != '\0') {
    size_t n = strcspn(text, " -");
    if (text[n] == '-') n++; /* lines may break behind it */
    if (n < sizeof word) {
      memcpy(word, text, n);
      word[n] = '\0';
      double width = pl_text_width(word, TEXT_SIZE, bold);
      widest = width > widest ? width : widest;
    } else {
      widest = BROKEN;
    }
    text += n;
    text += strspn(text, " ");
  }
  return widest < BROKEN ? widest : BROKEN;
}

/* The least width of a column, mm: no word broken, short texts on one line. */
double pl_page_least_width(const struct pl_sheet *sheet, uint32_t column, bool turned) {
  const struct pl_column *c = &sheet->columns[column];
  double extra = c->blank ? GAP + HAND : GAP, least = turned ? TEXT_SIZE * 1.2 : widest_word(c->head, true);
  for (uint32_t r = 0; r < sheet->rows.n; r++) {
    const char *text = sheet->rows.at[r].cells[column];
    bool whole = c->narrow && strlen(text) <= PL_PAGE_NARROW;
    double width = whole ? pl_text_width(text, TEXT_SIZE, column == 0) : widest_word(text, column == 0);
    least = width > least ? width : least;
    if (sheet->rows.at[r].links[column].kind == PL_LINK_COLOUR) extra = GAP + SAMPLE;
  }
  return (least + extra) * (sheet->wide ? WIDE_SIZE : 1);
}

/* Widths of a table's columns being chosen. */
struct widths {
  uint32_t columns, rows; /* rows looked at: at most ROWS_SEEN, from all over the sheet */
  double *width;          /* by column, mm */
  double *text;           /* by row and column: its text on one line, with the gap */
};

static double lines_of(const struct widths *widths, uint32_t column, double width) {
  double lines = 0;
  for (uint32_t r = 0; r < widths->rows; r++) {
    double text = widths->text[(size_t)r * widths->columns + column];
    lines += text <= width ? 1 : ceil(RAGGED * text / width);
  }
  return lines;
}

/* The spare millimetres go, piece by piece, where one saves most lines; what saves none is shared out. */
static void share_out(struct widths *widths, double spare) {
  while (spare >= 1) {
    double best = 0, best_grow = 0;
    uint32_t best_column = 0;
    for (uint32_t c = 0; c < widths->columns; c++) {
      double now = lines_of(widths, c, widths->width[c]);
      for (double grow = 1; grow <= spare && grow <= 64; grow *= 2) {
        double gain = (now - lines_of(widths, c, widths->width[c] + grow)) / grow;
        if (gain <= best) continue;
        best = gain;
        best_grow = grow;
        best_column = c;
      }
    }
    if (best <= 0) break;
    widths->width[best_column] += best_grow;
    spare -= best_grow;
  }
  for (uint32_t c = 0; spare > 0 && c < widths->columns; c++) widths->width[c] += spare / widths->columns;
}

double *pl_page_widths(struct pl_arena *arena, const struct pl_sheet *sheet, const uint32_t *columns, uint32_t count,
                       bool turned, double paper) {
  uint32_t n = sheet->rows.n, seen = n < ROWS_SEEN ? n : ROWS_SEEN;
  struct widths widths = {count, seen, PL_NEW_ARRAY(arena, double, count),
                          PL_NEW_ARRAY(arena, double, (size_t)seen *count)};
  for (uint32_t c = 0; c < count; c++) {
    widths.width[c] = pl_page_least_width(sheet, columns[c], turned && sheet->columns[columns[c]].reading);
    paper -= widths.width[c];
    for (uint32_t r = 0; r < seen; r++) {
      const struct pl_row *row = &sheet->rows.at[(uint64_t)r * n / seen];
      double extra = row->links[columns[c]].kind == PL_LINK_COLOUR ? GAP + SAMPLE : GAP;
      widths.text[(size_t)r * count + c] =
          (pl_text_width(row->cells[columns[c]], TEXT_SIZE, columns[c] == 0) + extra) * (sheet->wide ? WIDE_SIZE : 1);
    }
  }
  share_out(&widths, paper);
  return widths.width;
}
