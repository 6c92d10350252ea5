/* The words of a reading, besides the harness's own names.  One table: word, kind. */
#ifndef PL_SUSPECT_READING_WORDS_INNER_H
#define PL_SUSPECT_READING_WORDS_INNER_H

#include <stdbool.h>
#include <stdint.h>

enum pl_word_kind {
  PL_WORD_FILLER,
  PL_WORD_NOT,
  PL_WORD_GROUND,
  PL_WORD_OFF,
  PL_WORD_INSIDE,
  PL_WORD_ALL,
  PL_WORD_FUSES,
  PL_WORD_CODE,
  PL_WORD_NEW,
  PL_WORD_SEARCH,
  PL_WORD_NOTHING,
  PL_WORD_WIRE,
  PL_WORD_OPEN,
  PL_WORD_LINK,
  PL_WORD_SHOULD,
  PL_WORD_LOW,
  PL_WORD_HIGH,
  PL_WORD_RUNS,
  PL_WORD_WEAK,
  PL_WORD_DEAD,
  PL_WORD_BLOWN,
  PL_WORD_GOOD,
  PL_WORD_WARM,
  PL_WORD_COLD,
  PL_WORD_HOLDS
};
struct pl_reading_word {
  const char *word;
  enum pl_word_kind kind;
};
extern const struct pl_reading_word pl_reading_words[];
extern const uint32_t pl_reading_word_count;
const struct pl_reading_word *
pl_reading_word_find(const char *word); /* NULL; the case of a letter does not matter */

enum pl_word_unit {
  PL_UNIT_NOT_SAID,
  PL_UNIT_VOLTS,
  PL_UNIT_OHMS,
  PL_UNIT_DEGREES,
  PL_UNIT_PRESSURE,
  PL_UNIT_SHARE,
  PL_UNIT_SPEED
};
/* "V", "mV", "ohm", "kohm", "degC", "bar" ...: sets the unit and turns the value into volts, ohms,
 * degC, kPa, a share of 1 or rpm. */
bool pl_reading_unit(const char *word, enum pl_word_unit *unit, double *value);

#endif
