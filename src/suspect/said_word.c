/* One word of a reading: a name of the harness, a word of the trade, or a figure with its unit. */
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/nearest.h"
#include "base/number.h"
#include "suspect/said_inner.h"

static void
unknown_word(struct pl_said_reader *r, struct pl_said_line *line, const char *word, uint32_t at) {
  const struct pl_harness *h = r->harness;
  struct pl_nearest nearest;

  pl_nearest_init(&nearest, word);
  for (pl_id i = 0; i < h->pins.n; i++)
    pl_nearest_offer(&nearest, h->pins.at[i].full);
  for (pl_id i = 0; i < h->devices.n; i++)
    pl_nearest_offer(&nearest, h->devices.at[i].name);
  for (pl_id i = 0; i < h->states.n; i++)
    pl_nearest_offer(&nearest, h->states.at[i].name);
  for (uint32_t i = 0; i < pl_reading_word_count; i++)
    pl_nearest_offer(&nearest, pl_reading_words[i].word);
  pl_said_complain_at(
      r,
      line,
      at,
      at + (uint32_t)strlen(word),
      pl_arena_printf(r->arena, "`%s` is no pin, device, state or word of a reading", word),
      nearest.best != NULL ? pl_arena_printf(r->arena, "did you mean `%s`?", nearest.best)
                           : pl_arena_printf(r->arena,
                                             "write it like: ECM.A1 to ground, key-on: 9.8 V, "
                                             "or: M2 does not run, key-on; the states are %s",
                                             pl_said_states(r)));
}

/* ---- names ---- */

static pl_id find_pin(const struct pl_harness *h, const char *word) {
  pl_id pin = pl_harness_find_pin(h, word);

  for (pl_id i = 0; i < h->pins.n && pin == PL_NONE; i++)
    if (strcasecmp(h->pins.at[i].full, word) == 0)
      pin = i;
  return pin;
}

static pl_id find_device(const struct pl_harness *h, const char *word) {
  pl_id device = pl_harness_find_device(h, word);

  for (pl_id i = 0; i < h->devices.n && device == PL_NONE; i++)
    if (strcasecmp(h->devices.at[i].name, word) == 0)
      device = i;
  return device;
}

static pl_id find_state(const struct pl_harness *h, const char *word) {
  for (pl_id i = 0; i < h->states.n; i++)
    if (strcasecmp(h->states.at[i].name, word) == 0)
      return i;
  return PL_NONE;
}

/* "key run": the first state with that switch in that position. */
static pl_id state_by_switch(const struct pl_harness *h, pl_id device, const char *word) {
  const struct pl_device *d = &h->devices.at[device];

  for (uint32_t t = 0; t < d->throws.n; t++)
    for (pl_id s = 0; s < h->states.n && strcasecmp(d->throws.at[t].name, word) == 0; s++)
      if (pl_position_in(h, &h->states.at[s], device) == t)
        return s;
  return PL_NONE;
}

static pl_id find_place(const struct pl_harness *h, const char *word) {
  for (pl_id i = 0; i < h->places.n; i++)
    if (strcasecmp(h->places.at[i].name, word) == 0)
      return i;
  return PL_NONE;
}

static pl_id find_wire(const struct pl_harness *h, const char *word) {
  for (pl_id i = 0; i < h->wires.n; i++)
    if (strcasecmp(h->wires.at[i].number, word) == 0)
      return i;
  return PL_NONE;
}

/* ---- one word ---- */

static void
take_unit(struct pl_said_reader *r, struct pl_said_line *line, const char *word, uint32_t at) {
  if (line->has_value && line->unit == PL_UNIT_NOT_SAID &&
      pl_reading_unit(word, &line->unit, &line->value))
    return;
  unknown_word(r, line, word, at);
}

/* "9,8" is 9.8 to many; "1,200" is two things. */
static bool
take_comma(struct pl_said_reader *r, struct pl_said_line *line, char *word, uint32_t at) {
  char *comma = strchr(word, ',');

  if (comma == NULL)
    return true;
  if (strspn(comma + 1, "0123456789") == 3 &&
      strspn(word, "+-0123456789") == (size_t)(comma - word)) {
    pl_said_complain_at(r,
                        line,
                        at,
                        at + (uint32_t)strlen(word),
                        pl_arena_printf(r->arena, "`%s` may be a part of one or a thousand", word),
                        "write it with a point, or without the comma");
    return false;
  }
  *comma = '.';
  return true;
}

static bool
take_number(struct pl_said_reader *r, struct pl_said_line *line, char *word, uint32_t at) {
  size_t used;
  size_t n = strlen(word);
  bool second = line->has_value;

  if (!pl_number_parse(word, n, &line->value, &used))
    return false;
  if (second)
    pl_said_complain_at(r,
                        line,
                        at,
                        at + (uint32_t)n,
                        "two figures in one reading",
                        "one reading a line: where, when, and one figure with its unit");
  if (!take_comma(r, line, word, at))
    return true;
  if (!pl_number_parse(word, n, &line->value, &used))
    return true;
  line->has_value = true;
  if (used < n && !pl_reading_unit(word + used, &line->unit, &line->value))
    pl_said_complain_at(
        r,
        line,
        at + (uint32_t)used,
        at + (uint32_t)n,
        pl_arena_printf(r->arena, "`%s` is no unit of a reading", word + used),
        "readings are in V, mV, ohm, kohm or Mohm; of a gauge in degC, kPa, bar, psi, % or rpm");
  return true;
}

static bool take_name(struct pl_said_reader *r, struct pl_said_line *line, const char *word) {
  const struct pl_harness *h = r->harness;
  pl_id pin = find_pin(h, word);
  pl_id device = find_device(h, word);
  pl_id state = find_state(h, word);
  pl_id place = find_place(h, word);
  pl_id by = line->switched != PL_NONE ? line->switched : line->device;
  pl_id by_switch = PL_NONE;
  if (by != PL_NONE)
    by_switch = state_by_switch(h, by, word);

  if (by_switch != PL_NONE && line->state == PL_NONE) {
    line->state = by_switch;
    if (line->switched == PL_NONE)
      line->device = PL_NONE;
  } else if (state == PL_NONE && device != PL_NONE && line->device != PL_NONE &&
             h->devices.at[device].throws.n > 0) {
    line->switched = device;
  } else if (state != PL_NONE) {
    line->state = state;
  } else if (device != PL_NONE && (pin == PL_NONE || line->device == PL_NONE)) {
    line->device = device;
    if (pin != PL_NONE && line->pin_count < 2)
      line->pins[line->pin_count++] = pin;
  } else if (pin != PL_NONE) {
    if (line->pin_count < 2)
      line->pins[line->pin_count++] = pin;
  } else if (place != PL_NONE) {
    line->place = place;
  } else {
    return false;
  }
  return true;
}

static bool take_keyword(struct pl_said_line *line, const char *word) {
  const struct pl_reading_word *row = pl_reading_word_find(word);

  if (row == NULL)
    return false;
  switch (row->kind) {
    case PL_WORD_FILLER:
      break;
    case PL_WORD_NOT:
      line->negated = true;
      break;
    case PL_WORD_GROUND:
      line->ground = true;
      break;
    case PL_WORD_OFF:
      line->off = true;
      break;
    case PL_WORD_INSIDE:
      line->inside = true;
      break;
    case PL_WORD_ALL:
      line->all = true;
      break;
    case PL_WORD_FUSES:
      line->fuses = true;
      break;
    case PL_WORD_CODE:
      line->code = true;
      break;
    case PL_WORD_NEW:
      line->fresh = true;
      break;
    case PL_WORD_SEARCH:
      line->search = true;
      break;
    case PL_WORD_NOTHING:
      line->nothing = true;
      break;
    case PL_WORD_WIRE:
      line->wire_word = 1;
      break;
    case PL_WORD_LINK:
      line->link = true;
      break;
    case PL_WORD_SHOULD:
      line->should = true;
      break;
    case PL_WORD_LOW:
      line->needle = 1;
      break;
    case PL_WORD_HIGH:
      line->needle = 3;
      break;
    case PL_WORD_OPEN:
      line->has_value = true;
      line->value = INFINITY;
      line->unit = PL_UNIT_OHMS;
      break;
    case PL_WORD_RUNS:
    case PL_WORD_WEAK:
    case PL_WORD_DEAD:
    case PL_WORD_BLOWN:
    case PL_WORD_GOOD:
    case PL_WORD_WARM:
    case PL_WORD_COLD:
    case PL_WORD_HOLDS:
      line->said = row->kind;
      break;
  }
  return true;
}

void pl_said_word(struct pl_said_reader *r, struct pl_said_line *line, char *word, uint32_t at) {
  if (line->wire_word == 1) {
    line->wire = find_wire(r->harness, word);
    line->wire_word = 2;
    if (line->wire == PL_NONE)
      pl_said_complain_at(r,
                          line,
                          at,
                          at + (uint32_t)strlen(word),
                          pl_arena_printf(r->arena, "there is no wire `%s`", word),
                          "wires are told by their number");
    return;
  }
  if (take_name(r, line, word))
    return;
  if (take_keyword(line, word))
    return;
  if (!take_number(r, line, word, at))
    take_unit(r, line, word, at);
}
