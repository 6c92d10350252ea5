/* Reading the words of one line with typed expectations.  The first thing that does not fit is
 * reported, with what was expected, what was found and an example; after that every read fails in
 * silence, so that one mistake gives one message. */
#ifndef PL_TEXT_CURSOR_H
#define PL_TEXT_CURSOR_H

#include "text/syntax_tree.h"

enum pl_unit {
  PL_UNIT_SIZE,        /* AWG or mm2: read with pl_cursor_size */
  PL_UNIT_LENGTH,      /* -> m */
  PL_UNIT_CURRENT,     /* -> A */
  PL_UNIT_VOLTAGE,     /* -> V */
  PL_UNIT_POWER,       /* -> W */
  PL_UNIT_RESISTANCE,  /* -> ohm */
  PL_UNIT_TEMPERATURE, /* -> degC */
  PL_UNIT_TIME,        /* -> s */
  PL_UNIT_CHARGE,      /* -> Ah */
  PL_UNIT_SHARE,       /* % -> 0..1 */
  PL_UNIT_MULTIPLE,    /* "5 times", "150 %" -> 5, 1.5 */
  PL_UNIT_PRESSURE,    /* above that of the air around -> kPa */
  PL_UNIT_SPEED        /* -> rpm */
};

struct pl_cursor {
  const struct pl_tree *tree;
  const struct pl_line *line;
  uint32_t at, end;    /* word indices */
  const char *example; /* a right line, shown with errors: "rating 15 A"; may be NULL */
  struct pl_findings *findings;
  bool failed;
};

void pl_cursor_open(struct pl_cursor *cursor,
                    const struct pl_tree *tree,
                    uint32_t line,
                    const char *example,
                    struct pl_findings *findings);

const struct pl_word *
pl_cursor_peek(const struct pl_cursor *cursor); /* NULL at the end of the line */
const struct pl_word *pl_cursor_peek_at(const struct pl_cursor *cursor, uint32_t ahead);
bool pl_cursor_done(const struct pl_cursor *cursor);            /* at the end or failed */
const struct pl_word *pl_cursor_next(struct pl_cursor *cursor); /* any word, NULL at the end */

bool pl_cursor_is(const struct pl_cursor *cursor, const char *word); /* looks only */
bool pl_cursor_take(struct pl_cursor *cursor, const char *word);     /* takes it when it is there */
bool pl_cursor_take_kind(struct pl_cursor *cursor, enum pl_word_kind kind);
bool pl_cursor_take_words(struct pl_cursor *cursor,
                          const char *words); /* "battery feed": all of them or none */
bool pl_cursor_need(struct pl_cursor *cursor, const char *word); /* error when it is not there */

/* A plain word of at most PL_LIMIT_NAME bytes; `what` for the message: "the name of a place".  NULL
 * on error. */
const struct pl_word *pl_cursor_name(struct pl_cursor *cursor, const char *what);

/* Words up to (not with) `stop`, a comma, a text or the end, joined by single blanks: a name of
 * several words.  NULL when there is none. */
const char *
pl_cursor_words(struct pl_cursor *cursor, const char *stop, const char *what, struct pl_span *span);

const char *pl_cursor_text(struct pl_cursor *cursor,
                           const char *what);            /* a "text"; NULL on error */
const char *pl_cursor_text_if(struct pl_cursor *cursor); /* a "text" or "" */

bool pl_cursor_quantity(struct pl_cursor *cursor,
                        enum pl_unit unit,
                        double *value); /* "15 A", "15A" */
bool pl_cursor_range(struct pl_cursor *cursor,
                     enum pl_unit unit,
                     double *low,
                     double *high); /* "9..16 V"; low <= high is checked */
bool pl_cursor_is_quantity(
    const struct pl_cursor *cursor,
    enum pl_unit unit); /* would a quantity (or the range's last unit) of this kind stand here? */
bool pl_cursor_is_range(const struct pl_cursor *cursor, enum pl_unit unit);
bool pl_cursor_count(struct pl_cursor *cursor,
                     uint32_t max,
                     uint32_t *value);                          /* a whole number without unit */
bool pl_cursor_number(struct pl_cursor *cursor, double *value); /* a number without unit */

struct pl_size {
  bool metric;
  int awg;
  double area;
}; /* area mm2 (metric); AWG -3..40 */
bool pl_cursor_size(struct pl_cursor *cursor,
                    struct pl_size *size); /* "14 AWG", "2/0 AWG", "1.5 mm2" */
bool pl_cursor_is_size(const struct pl_cursor *cursor);
/* "20..16 AWG" (either order), "0.5..1.5 mm2"; both in one unit */
bool pl_cursor_size_range(struct pl_cursor *cursor, struct pl_size *thin, struct pl_size *thick);

bool pl_cursor_end(
    struct pl_cursor *cursor); /* error when words are left over; false when failed */

/* Reports at a word (NULL: just behind the last word of the line) and marks the cursor failed.
 * `remedy` may be "": the example is offered. */
void pl_cursor_error(struct pl_cursor *cursor,
                     const struct pl_word *word,
                     const char *text,
                     const char *remedy);

#endif
