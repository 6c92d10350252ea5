/* Widths of a table's columns.  A browser gives a column with one long note as much room as one
 * with many: these are chosen for low rows, so that a sheet takes few pages. */
#include <math.h>
#include <string.h>

#include "draw/metrics.h"
#include "write/html_page_inner.h"

enum {
  ROWS_SEEN = 400
}; /* rows that the widths are chosen by */

#define TEXT_SIZE 3.35 /* mm: 9.5 pt */
#define GAP 2.4        /* mm beside a cell's text */
#define FINE_GAP 1.9   /* the same in smaller print, before it is scaled */
#define SAMPLE 9.5     /* mm of a colour sample */
#define HAND 12.0      /* mm more in a column to write in */
#define BROKEN 34.0    /* mm: words that are wider are broken anywhere */
#define STEP 0.25      /* mm: widths are told apart by it */
#define RAGGED 1.06    /* lines are not filled to their ends */

static double widest_word(const char *text, bool bold) {
  double widest = 0;
  char word[PL_PAGE_LONG_WORD * 4 + 1];
  while (*text != '\0') {
    size_t n = strcspn(text, " -");
    if (text[n] == '-')
      n++; /* lines may break behind it */
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

/* No word broken, short texts on one line. */
static double least_width(const struct pl_sheet *sheet, uint32_t column, bool turned, double gap) {
  const struct pl_column *c = &sheet->columns[column];
  double extra = c->blank ? gap + HAND : gap;
  double least = turned ? TEXT_SIZE * 1.2 : widest_word(c->head, true);
  for (uint32_t r = 0; r < sheet->rows.n; r++) {
    const char *text = sheet->rows.at[r].cells[column];
    bool whole = c->narrow && strlen(text) <= PL_PAGE_NARROW;
    double width;
    if (whole)
      width = pl_text_width(text, TEXT_SIZE, column == 0);
    else
      width = widest_word(text, column == 0);
    least = width > least ? width : least;
    if (sheet->rows.at[r].links[column].kind == PL_LINK_COLOUR)
      extra = gap + SAMPLE;
  }
  return least + extra;
}

double pl_page_least_width(const struct pl_sheet *sheet, uint32_t column, bool turned) {
  return least_width(sheet, column, turned, GAP);
}

/* Widths of a table's columns being chosen. */
struct widths {
  const struct pl_sheet *sheet;
  const uint32_t *column;
  uint32_t columns, rows; /* rows looked at: at most ROWS_SEEN, from all over the sheet */
  double *width;          /* by column, mm */
  double *text;           /* by row and column: its text on one line, with the gap */
  uint8_t *lines;         /* by row and column, at the width now */
  uint8_t *others;        /* by row and column: the most lines of the other columns */
};

static uint8_t lines_at(double text, double width) {
  double lines = text <= width ? 1 : ceil(RAGGED * text / width);
  return lines < UINT8_MAX ? (uint8_t)lines : UINT8_MAX;
}

static void count_lines(struct widths *widths) {
  for (uint32_t r = 0; r < widths->rows; r++) {
    size_t at = (size_t)r * widths->columns;
    uint8_t most = 0;
    uint8_t second = 0;
    for (uint32_t c = 0; c < widths->columns; c++) {
      uint8_t n = widths->lines[at + c] = lines_at(widths->text[at + c], widths->width[c]);
      if (n > most)
        second = most;
      else if (n > second)
        second = n;
      most = n > most ? n : most;
    }
    for (uint32_t c = 0; c < widths->columns; c++)
      widths->others[at + c] = widths->lines[at + c] == most ? second : most;
  }
}

/* What a wider column saves: lines of rows; and, as two long texts in one row only shrink together,
 * a little for lines of its own. */
static double saved_by(const struct widths *widths, uint32_t column, double width) {
  const double own = 0.1;
  double saved = 0;
  for (uint32_t r = 0; r < widths->rows; r++) {
    size_t at = (size_t)r * widths->columns + column;
    uint8_t now = widths->lines[at];
    uint8_t then = lines_at(widths->text[at], width);
    uint8_t others = widths->others[at];
    saved += own * (now - then) + (now > others ? now : others) - (then > others ? then : others);
  }
  return saved;
}

/* The spare millimetres go, piece by piece, where one saves most. */
static double share_out(struct widths *widths, double spare) {
  static const double grows[] =
      {1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 16, 24, 32, 64}; /* mm that are tried */
  while (spare >= 1) {
    double best = 0;
    double best_grow = 0;
    uint32_t best_column = 0;
    for (uint32_t c = 0; c < widths->columns; c++)
      for (size_t i = 0; i < sizeof grows / sizeof grows[0] && grows[i] <= spare; i++) {
        double grow = grows[i];
        double gain = saved_by(widths, c, widths->width[c] + grow) / grow;
        if (gain <= best)
          continue;
        best = gain;
        best_grow = grow;
        best_column = c;
      }
    if (best <= 0)
      break;
    double saved = best * best_grow;
    while (best_grow > STEP &&
           saved_by(widths, best_column, widths->width[best_column] + best_grow - STEP) >= saved)
      best_grow -= STEP;
    widths->width[best_column] += best_grow;
    spare -= best_grow;
    count_lines(widths);
  }
  return spare;
}

/* What saves nothing is for the hand, up to a signature's width; the rest for all alike. */
static void give_away(struct widths *widths, double spare) {
  const double signature = 34;
  double total = 0;
  for (uint32_t c = 0; c < widths->columns; c++) {
    double more = signature - widths->width[c];
    if (!widths->sheet->columns[widths->column[c]].blank)
      continue;
    if (more <= 0 || spare <= 0)
      continue;
    more = more < spare ? more : spare;
    widths->width[c] += more;
    spare -= more;
  }
  for (uint32_t c = 0; c < widths->columns; c++)
    total += widths->width[c];
  for (uint32_t c = 0; spare > 0 && c < widths->columns; c++)
    widths->width[c] *= 1 + spare / total;
}

/* mm of all rows, as the lines of those that were looked at tell. */
static double height_of(const struct widths *widths, double scale) {
  const double line = 1.22 * TEXT_SIZE;
  const double padding = 1.45;
  const double heading = 3; /* lines, over a group of rows */
  double lines = 0;
  uint32_t headings = 0;
  uint32_t n = widths->sheet->rows.n;
  for (uint32_t r = 0; r < widths->rows; r++) {
    uint8_t most = 1;
    for (uint32_t c = 0; c < widths->columns; c++) {
      uint8_t now = widths->lines[(size_t)r * widths->columns + c];
      most = now > most ? now : most;
    }
    lines += most;
  }
  for (uint32_t r = 0; r < n; r++)
    headings += widths->sheet->rows.at[r].heading != NULL;
  return scale * (line * (lines * n / (widths->rows > 0 ? widths->rows : 1) + heading * headings) +
                  padding * n);
}

struct pl_page_fit pl_page_fit_of(struct pl_arena *arena,
                                  const struct pl_sheet *sheet,
                                  const uint32_t *columns,
                                  uint32_t count,
                                  bool turned,
                                  double paper,
                                  double scale) {
  uint32_t n = sheet->rows.n;
  uint32_t seen = n < ROWS_SEEN ? n : ROWS_SEEN;
  size_t cells = (size_t)seen * count;
  double gap = scale < 1 ? FINE_GAP : GAP;
  struct widths widths = {sheet,
                          columns,
                          count,
                          seen,
                          PL_NEW_ARRAY(arena, double, count),
                          PL_NEW_ARRAY(arena, double, cells),
                          PL_NEW_ARRAY(arena, uint8_t, cells),
                          PL_NEW_ARRAY(arena, uint8_t, cells)};
  for (uint32_t c = 0; c < count; c++) {
    widths.width[c] =
        scale * least_width(sheet, columns[c], turned && sheet->columns[columns[c]].reading, gap);
    paper -= widths.width[c];
    for (uint32_t r = 0; r < seen; r++) {
      const struct pl_row *row = &sheet->rows.at[(uint64_t)r * n / seen];
      double extra = gap;
      if (row->links[columns[c]].kind == PL_LINK_COLOUR)
        extra = gap + SAMPLE;
      widths.text[(size_t)r * count + c] =
          scale * (pl_text_width(row->cells[columns[c]], TEXT_SIZE, columns[c] == 0) + extra);
    }
  }
  count_lines(&widths);
  give_away(&widths, share_out(&widths, paper));
  double height = height_of(&widths, scale);
  return (struct pl_page_fit){widths.width,
                              height,
                              n > 0 ? height / scale / (n * (1.22 * TEXT_SIZE + 1.45)) : 1,
                              paper >= 0};
}

/* Lines of rows `from` to `to`. */
uint32_t pl_page_lines(const struct pl_sheet *sheet,
                       const uint32_t *columns,
                       uint32_t count,
                       const double *widths,
                       double scale,
                       uint32_t from,
                       uint32_t to) {
  uint32_t lines = 0;
  for (uint32_t r = from; r < to; r++) {
    uint8_t most = 1;
    for (uint32_t c = 0; c < count; c++) {
      double text =
          scale *
          (pl_text_width(sheet->rows.at[r].cells[columns[c]], TEXT_SIZE, columns[c] == 0) + GAP);
      uint8_t n = lines_at(text, widths[c]);
      most = n > most ? n : most;
    }
    lines += most;
  }
  return lines;
}
