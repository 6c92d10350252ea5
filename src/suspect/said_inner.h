/* Between the files that read what a person says about the machine: one line of it, taken apart. */
#ifndef PL_SUSPECT_SAID_INNER_H
#define PL_SUSPECT_SAID_INNER_H

#include "suspect/reading_words_inner.h"
#include "suspect/said_readings.h"

struct pl_said_reader {
  const struct pl_suspects *table;
  const struct pl_harness *harness;
  struct pl_findings *findings;
  pl_evidences *evidences;
  pl_betweens *betweens;
  struct pl_arena *arena;
  const char *text; /* of the source */
  uint32_t file;
  bool good;
};

/* One line, taken apart. */
struct pl_said_line {
  uint32_t start, end;
  const char *whole;
  pl_id pins[2], device, wire, place, state;
  pl_id switched; /* a switch named beside the device: "H1 dark, key run" */
  uint32_t pin_count, wire_word;
  bool has_value;
  double value; /* volts or ohms */
  enum pl_word_unit unit;
  enum pl_word_kind said; /* the verb: runs, dead, blown, ... */
  bool negated, ground, off, inside, all, fuses, code, fresh, search, nothing, link, should;
  int needle; /* 1 low, 3 high; 0 not said */
  bool bad;
};

/* said_complaint.c: the line cannot be read: an error of its part from `start` to `end` of the
 * source, or of the whole line.  Only the first of a line is kept. */
void pl_said_complain_at(struct pl_said_reader *r,
                         struct pl_said_line *line,
                         uint32_t start,
                         uint32_t end,
                         const char *text,
                         const char *remedy);
void pl_said_complain(struct pl_said_reader *r,
                      struct pl_said_line *line,
                      const char *text,
                      const char *remedy);

/* The names of all states, parted by commas. */
const char *pl_said_states(struct pl_said_reader *r);

/* said_word.c: takes one word, which begins at `at` of the source, into the line. */
void pl_said_word(struct pl_said_reader *r, struct pl_said_line *line, char *word, uint32_t at);

/* said_meaning.c: the line is whole: which reading it is, as evidence. */
void pl_said_understand(struct pl_said_reader *r, struct pl_said_line *line);

#endif
