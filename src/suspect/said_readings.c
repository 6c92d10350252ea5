/* Words of a reading are looked at one by one: names of the harness, figures with units, words of
 * the trade.  What they are together says which reading it is. */
#include "suspect/said_readings.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/nearest.h"
#include "base/number.h"
#include "suspect/reading_words.h"

struct reader {
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
struct line {
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

/* ---- errors ---- */

static void complain(struct reader *r,
                     struct line *line,
                     uint32_t start,
                     uint32_t end,
                     const char *text,
                     const char *remedy) {
  if (line->bad)
    return;
  line->bad = true;
  r->good = false;
  pl_findings_error(r->findings, (struct pl_span){r->file, start, end}, text, remedy);
}

static const char *states_known(struct reader *r) {
  struct pl_buffer known;

  pl_buffer_init(&known, r->arena);
  for (pl_id s = 0; s < r->harness->states.n; s++)
    pl_buffer_printf(&known, "%s%s", s > 0 ? ", " : "", r->harness->states.at[s].name);
  return known.n > 0 ? known.at : "none is declared";
}

static void unknown_word(struct reader *r, struct line *line, const char *word, uint32_t at) {
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
  complain(r,
           line,
           at,
           at + (uint32_t)strlen(word),
           pl_arena_printf(r->arena, "`%s` is no pin, device, state or word of a reading", word),
           nearest.best != NULL ? pl_arena_printf(r->arena, "did you mean `%s`?", nearest.best)
                                : pl_arena_printf(r->arena,
                                                  "write it like: ECM.A1 to ground, key-on: 9.8 V, "
                                                  "or: M2 does not run, key-on; the states are %s",
                                                  states_known(r)));
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

static void take_unit(struct reader *r, struct line *line, const char *word, uint32_t at) {
  if (line->has_value && line->unit == PL_UNIT_NOT_SAID &&
      pl_reading_unit(word, &line->unit, &line->value))
    return;
  unknown_word(r, line, word, at);
}

/* "9,8" is 9.8 to many; "1,200" is two things. */
static bool take_comma(struct reader *r, struct line *line, char *word, uint32_t at) {
  char *comma = strchr(word, ',');

  if (comma == NULL)
    return true;
  if (strspn(comma + 1, "0123456789") == 3 &&
      strspn(word, "+-0123456789") == (size_t)(comma - word)) {
    complain(r,
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

static bool take_number(struct reader *r, struct line *line, char *word, uint32_t at) {
  size_t used;
  size_t n = strlen(word);
  bool second = line->has_value;

  if (!pl_number_parse(word, n, &line->value, &used))
    return false;
  if (second)
    complain(r,
             line,
             at,
             at + (uint32_t)n,
             "two figures in one reading",
             "one reading a line: where, when, and one figure with its unit");
  if (!take_comma(r, line, word, at) || !pl_number_parse(word, n, &line->value, &used))
    return true;
  line->has_value = true;
  if (used < n && !pl_reading_unit(word + used, &line->unit, &line->value))
    complain(
        r,
        line,
        at + (uint32_t)used,
        at + (uint32_t)n,
        pl_arena_printf(r->arena, "`%s` is no unit of a reading", word + used),
        "readings are in V, mV, ohm, kohm or Mohm; of a gauge in degC, kPa, bar, psi, % or rpm");
  return true;
}

static bool take_name(struct reader *r, struct line *line, const char *word) {
  const struct pl_harness *h = r->harness;
  pl_id pin = find_pin(h, word);
  pl_id device = find_device(h, word);
  pl_id state = find_state(h, word);
  pl_id place = find_place(h, word);
  pl_id by = line->switched != PL_NONE ? line->switched : line->device;
  pl_id by_switch = by != PL_NONE ? state_by_switch(h, by, word) : PL_NONE;

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

static bool take_keyword(struct line *line, const char *word) {
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
    default:
      line->said = row->kind;
      break;
  }
  return true;
}

static void take_word(struct reader *r, struct line *line, char *word, uint32_t at) {
  if (line->wire_word == 1) {
    line->wire = find_wire(r->harness, word);
    line->wire_word = 2;
    if (line->wire == PL_NONE)
      complain(r,
               line,
               at,
               at + (uint32_t)strlen(word),
               pl_arena_printf(r->arena, "there is no wire `%s`", word),
               "wires are told by their number");
    return;
  }
  if (take_name(r, line, word) || take_keyword(line, word))
    return;
  if (!take_number(r, line, word, at))
    take_unit(r, line, word, at);
}

/* ---- what it says ---- */

static void put(struct reader *r,
                const struct line *line,
                enum pl_said said,
                uint32_t question,
                uint32_t other,
                double value) {
  PL_PUSH(r->arena,
          r->evidences,
          ((struct pl_evidence){.said = said,
                                .question = question,
                                .other = other,
                                .value = value,
                                .text = line->whole}));
}

static uint32_t asked(struct reader *r,
                      struct line *line,
                      enum pl_ask what,
                      pl_id state,
                      pl_id id,
                      const char *why_not,
                      const char *remedy) {
  uint32_t question = pl_suspects_question(r->table, what, state, id);

  if (question == PL_NONE)
    complain(r, line, line->start, line->end, why_not, remedy);
  return question;
}

static bool need_state(struct reader *r, struct line *line) {
  if (line->state == PL_NONE && r->harness->states.n == 1)
    line->state = 0;
  if (line->state == PL_NONE)
    complain(r,
             line,
             line->start,
             line->end,
             "in which state was that? Volts, and what runs, belong to a state",
             pl_arena_printf(r->arena, "add one of: %s", states_known(r)));
  return !line->bad;
}

static void say_volts(struct reader *r, struct line *line) {
  const char *no = "no wire ends at that pin, so nothing is known of its volts";
  const char *remedy = "read at a pin that a wire ends at";
  uint32_t a;
  uint32_t b = PL_NONE;

  if (line->pin_count == 0 && line->device != PL_NONE) {
    const struct pl_device *d = &r->harness->devices.at[line->device];
    if (d->plus != PL_NONE && d->minus != PL_NONE)
      line->pins[line->pin_count++] = d->plus, line->pins[line->pin_count++] = d->minus;
  }
  if (line->pin_count == 0)
    complain(r,
             line,
             line->start,
             line->end,
             "volts, but at which pin?",
             "write DEVICE.PIN, for example F3.out to ground, key-on: 12.4 V");
  if (line->bad || !need_state(r, line))
    return;
  a = asked(r, line, PL_ASK_VOLTS, line->state, line->pins[0], no, remedy);
  if (line->pin_count == 2)
    b = asked(r, line, PL_ASK_VOLTS, line->state, line->pins[1], no, remedy);
  if (!line->bad)
    put(r, line, PL_SAID_VOLTS, a, b, line->value);
}

/* The wire end that is off: the one at the pin named; else the first that a wire comes off. */
static uint32_t end_off(const struct reader *r, const struct line *line) {
  const struct pl_wire *w = &r->harness->wires.at[line->wire];

  for (uint32_t i = 0; i < 2 && line->pin_count > 0; i++)
    if (w->end[i] == line->pins[0])
      return i;
  uint32_t first = pl_suspects_question(r->table, PL_ASK_LEAK, PL_NONE, 2 * line->wire);
  return first != PL_NONE && isfinite(r->table->questions.at[first].effort) ? 0 : 1;
}

/* Of the two lines of a data link the table has the ohms. */
static uint32_t link_question(const struct reader *r, const struct line *line) {
  for (int i = 0; i < 2; i++)
    if (pl_suspects_low_of(r->harness, line->pins[i]) == line->pins[1 - i])
      return pl_suspects_question(r->table, PL_ASK_BETWEEN, PL_NONE, line->pins[i]);
  return PL_NONE;
}

static void say_ohms(struct reader *r, struct line *line) {
  const char *no = "nothing is known of those ohms";
  const char *remedy =
      "read between two pins with the power off, a wire with both ends off, or a part unplugged";

  if (line->state != PL_NONE && strcasecmp(r->harness->states.at[line->state].name, "off") != 0)
    complain(r,
             line,
             line->start,
             line->end,
             pl_arena_printf(
                 r->arena,
                 "ohms in state %s: with the power on an ohm-meter shows anything, and may break",
                 r->harness->states.at[line->state].name),
             "key off, batteries off, then read, and write: power off; or say volts");
  if (line->value < 0)
    complain(r,
             line,
             line->start,
             line->end,
             "ohms below 0 are no reading of a thing without power",
             "switch everything off and read again");
  if (line->bad)
    return;
  if (line->wire != PL_NONE && line->ground) {
    uint32_t q =
        asked(r, line, PL_ASK_LEAK, PL_NONE, 2 * line->wire + end_off(r, line), no, remedy);
    if (!line->bad)
      put(r, line, PL_SAID_OHMS, q, PL_NONE, line->value);
  } else if (line->wire != PL_NONE) {
    uint32_t q = asked(r, line, PL_ASK_WIRE, PL_NONE, line->wire, no, remedy);
    if (!line->bad)
      put(r, line, PL_SAID_OHMS, q, PL_NONE, line->value);
  } else if (line->pin_count == 2 && link_question(r, line) != PL_NONE) {
    put(r, line, PL_SAID_OHMS, link_question(r, line), PL_NONE, line->value);
  } else if (line->pin_count == 2 || (line->pin_count == 1 && line->ground)) {
    struct pl_between between = {r->evidences->n,
                                 line->pins[0],
                                 line->pin_count == 2 ? line->pins[1] : PL_NONE};
    put(r, line, PL_SAID_BETWEEN, PL_NONE, PL_NONE, line->value);
    PL_PUSH(r->arena, r->betweens, between);
  } else if (line->device != PL_NONE) {
    uint32_t q = asked(r, line, PL_ASK_INSIDE, PL_NONE, line->device, no, remedy);
    if (!line->bad)
      put(r, line, PL_SAID_OHMS, q, PL_NONE, line->value);
  } else {
    complain(r, line, line->start, line->end, "ohms of what?", remedy);
  }
}

static void say_fuse(struct reader *r, struct line *line, bool yes) {
  bool warm = line->said == PL_WORD_WARM || line->said == PL_WORD_COLD;

  if (warm && !need_state(r, line))
    return;
  uint32_t q = asked(r,
                     line,
                     warm ? PL_ASK_WARM : PL_ASK_FUSE,
                     warm ? line->state : PL_NONE,
                     line->device,
                     "that is said of a fuse, breaker or link",
                     "name a fuse, for example: F3 blown");
  if (!line->bad)
    put(r, line, warm ? PL_SAID_WARM : PL_SAID_FUSE, q, PL_NONE, yes != line->negated);
}

/* 0 dead, 1 weak, 2 runs; "does not run" and "is not dead". */
static int word_of(const struct line *line) {
  if (line->said == PL_WORD_WEAK)
    return line->negated ? 2 : 1;
  return (line->said == PL_WORD_RUNS) != line->negated ? 2 : 0;
}

/* Without a state: the first in which that is not as it should be. */
static void guess_state(struct reader *r, struct line *line, int word) {
  for (pl_id s = 0; s < r->harness->states.n && line->state == PL_NONE; s++) {
    uint32_t q = pl_suspects_question(r->table, PL_ASK_RUNS, s, line->device);
    if (q != PL_NONE && r->table->questions.at[q].healthy >= 0 &&
        (r->table->questions.at[q].healthy == 2) != (word == 2))
      line->state = s;
  }
}

static void say_runs(struct reader *r, struct line *line) {
  int word = word_of(line);

  guess_state(r, line, word);
  if (!need_state(r, line))
    return;
  uint32_t q = asked(
      r,
      line,
      PL_ASK_RUNS,
      line->state,
      line->device,
      "that does not run or light by itself",
      "name a lamp, motor, pump, relay, starter or module; of a fuse say warm, good or blown");
  if (!line->bad)
    put(r, line, PL_SAID_RUNS, q, PL_NONE, word);
}

static void say_as_it_should(struct reader *r, struct line *line) {
  if (!need_state(r, line))
    return;
  uint32_t q = asked(r,
                     line,
                     PL_ASK_RUNS,
                     line->state,
                     line->device,
                     "that does not run or light by itself",
                     "name a lamp, motor, pump, relay, starter, module or gauge");
  if (line->bad)
    return;
  if (r->table->questions.at[q].healthy == PL_ANSWER_UNKNOWN)
    complain(r,
             line,
             line->start,
             line->end,
             "what it should do in that state is not known: the state has no solution",
             "run pinloom check, and say it of another state");
  else
    put(r, line, PL_SAID_RUNS, q, PL_NONE, r->table->questions.at[q].healthy);
}

/* ---- gauges and the data link ---- */

static enum pl_word_unit unit_of(enum pl_measure measure) {
  static const enum pl_word_unit units[] = {[PL_MEASURE_NUMBER] = PL_UNIT_NOT_SAID,
                                            [PL_MEASURE_TEMPERATURE] = PL_UNIT_DEGREES,
                                            [PL_MEASURE_PRESSURE] = PL_UNIT_PRESSURE,
                                            [PL_MEASURE_SHARE] = PL_UNIT_SHARE,
                                            [PL_MEASURE_SPEED] = PL_UNIT_SPEED};

  return units[measure];
}

/* The first state in which the needle should show something. */
static void guess_gauge_state(const struct reader *r, struct line *line) {
  for (pl_id s = 0; s < r->harness->states.n && line->state == PL_NONE; s++) {
    uint32_t q = pl_suspects_question(r->table, PL_ASK_GAUGE, s, line->device);
    if (q != PL_NONE && r->table->questions.at[q].healthy > PL_ANSWER_UNKNOWN)
      line->state = s;
  }
}

static bool is_gauge(const struct reader *r, const struct line *line) {
  return line->device != PL_NONE && pl_device_is(r->harness, line->device, PL_IS_GAUGE);
}

static int needle_of(const struct reader *r, const struct line *line, uint32_t q) {
  if (line->needle != 0)
    return line->negated ? 2 : line->needle;
  if (line->nothing || line->off ||
      (line->said != PL_WORD_FILLER ? word_of(line) != 2 : line->negated))
    return 0;
  return r->table->questions.at[q].healthy == PL_ANSWER_OPEN ? 0 : 2;
}

static void say_gauge(struct reader *r, struct line *line) {
  const struct pl_device *d = &r->harness->devices.at[line->device];
  const char *unit;

  if (line->has_value && line->unit != unit_of(d->measure)) {
    pl_measure_shown(d->measure, 0, &unit);
    complain(
        r,
        line,
        line->start,
        line->end,
        pl_arena_printf(r->arena, "the scale of gauge %s is in another unit", d->name),
        unit[0] != '\0'
            ? pl_arena_printf(r->arena, "say it in %s, or: low, high, nothing, as it should", unit)
            : "say: low, high, nothing, as it should");
  }
  guess_gauge_state(r, line);
  if (line->bad || !need_state(r, line))
    return;
  uint32_t q = asked(r,
                     line,
                     PL_ASK_GAUGE,
                     line->state,
                     line->device,
                     "nothing is known of that gauge",
                     "read volts at its pins");
  if (line->bad)
    return;
  double ohms = line->has_value ? pl_device_reading(d, line->value) : NAN;
  if (line->has_value && isnan(ohms))
    complain(r,
             line,
             line->start,
             line->end,
             "nothing is known of the scale of that gauge",
             "say: low, high, nothing, as it should");
  else if (line->has_value)
    put(r, line, PL_SAID_GAUGE, q, PL_NONE, ohms);
  else
    put(r, line, PL_SAID_NEEDLE, q, PL_NONE, needle_of(r, line, q));
}

/* Of one that is named; else of every one that is on a link. */
static void say_link(struct reader *r, struct line *line) {
  bool dead = line->nothing || line->off ||
              (line->said != PL_WORD_FILLER ? word_of(line) == 0 : line->negated);
  uint32_t told = 0;

  if (line->device != PL_NONE) {
    uint32_t q = asked(r,
                       line,
                       PL_ASK_LINK,
                       PL_NONE,
                       line->device,
                       "that is on no data link",
                       "name a module or the diagnostic connector, or nobody: data link dead");
    if (!line->bad)
      put(r, line, PL_SAID_LINK, q, PL_NONE, dead);
    return;
  }
  for (uint32_t q = 0; q < r->table->questions.n; q++) {
    if (r->table->questions.at[q].ask != PL_ASK_LINK)
      continue;
    put(r, line, PL_SAID_LINK, q, PL_NONE, dead);
    told++;
  }
  if (told == 0)
    complain(r,
             line,
             line->start,
             line->end,
             "this harness has no data link",
             "a data link is two wires between pins that are `data high` and `data low`");
}

static bool is_said_already(const struct reader *r, uint32_t question) {
  for (uint32_t i = 0; i < r->evidences->n; i++)
    if (r->evidences->at[i].question == question)
      return true;
  return false;
}

/* All that is not named otherwise in this state, or all fuses of a place, is as it should be. */
static void say_all(struct reader *r, struct line *line) {
  bool fuses = line->fuses;

  if (!fuses && !need_state(r, line))
    return;
  uint32_t look = asked(r,
                        line,
                        fuses ? PL_ASK_PANEL : PL_ASK_LOOK,
                        PL_NONE,
                        fuses ? line->place : line->state,
                        "at which place are those fuses?",
                        "write: fuses at dash good");
  if (line->bad)
    return;
  put(r, line, PL_SAID_SEEN, look, PL_NONE, 0);
  for (uint32_t q = 0; q < r->table->questions.n; q++) {
    const struct pl_question *part = &r->table->questions.at[q];
    if (!pl_suspects_is_seen(r->table, look, q) || is_said_already(r, q) || part->healthy < 0)
      continue;
    put(r, line, fuses ? PL_SAID_FUSE : PL_SAID_RUNS, q, PL_NONE, part->healthy);
  }
}

static void say_new_fuse(struct reader *r, struct line *line) {
  bool holds = line->said == PL_WORD_HOLDS;

  if (!holds && !need_state(r, line))
    return;
  uint32_t q = asked(r,
                     line,
                     PL_ASK_REFIT,
                     PL_NONE,
                     line->device,
                     "a new one of what?",
                     "name the fuse: new F3 blows, key-on");
  if (!line->bad)
    put(r, line, PL_SAID_FOUND, q, PL_NONE, holds ? 0 : 1 + line->state);
}

/* The first wire of the piece that a wire belongs to is the least answer any chafe of a piece-mate
 * has. */
static double piece_of(const struct reader *r, uint32_t question, pl_id wire) {
  for (uint32_t s = 0; s < r->table->suspects.n; s++) {
    const struct pl_suspect *suspect = &r->table->suspects.at[s];
    if (suspect->kind != PL_SUSPECT_FAULT || suspect->fault.kind != PL_FAULT_TO_CHASSIS ||
        suspect->fault.wire != wire)
      continue;
    int16_t answer = pl_suspects_answer(r->table, suspect->first, question);
    return answer > 0 ? answer : 1.0 + wire;
  }
  return 1.0 + wire;
}

static void say_search(struct reader *r, struct line *line) {
  uint32_t q = asked(r,
                     line,
                     PL_ASK_SEARCH,
                     PL_NONE,
                     line->device,
                     "a search from where?",
                     "name the fuse or battery: search from F3: wire 31");
  double found = 0;

  if (line->bad)
    return;
  if (line->wire != PL_NONE)
    found = piece_of(r, q, line->wire);
  else if (line->pin_count > 0)
    found = 1 + r->harness->wires.n + r->harness->pins.at[line->pins[0]].device;
  else if (!line->nothing)
    complain(r,
             line,
             line->start,
             line->end,
             "what did the search find?",
             "write: search from F3: wire 31, or a pin of the device, or: nothing");
  if (!line->bad)
    put(r, line, PL_SAID_FOUND, q, PL_NONE, found);
}

static void say_code(struct reader *r, struct line *line) {
  if (line->pin_count == 0)
    complain(r,
             line,
             line->start,
             line->end,
             "a code for which input?",
             "name the module's pin: code ECM.B7, key-on");
  if (line->bad)
    return;
  if (line->state == PL_NONE)
    line->state = r->harness->states.n > 1 ? 1 : 0;
  uint32_t q = asked(r,
                     line,
                     PL_ASK_VOLTS,
                     line->state,
                     line->pins[0],
                     "no wire ends at that pin",
                     "name a pin that a wire ends at");
  if (!line->bad)
    put(r, line, PL_SAID_CODE, q, PL_NONE, !line->negated);
}

static void understand(struct reader *r, struct line *line) {
  if (line->has_value && line->unit == PL_UNIT_NOT_SAID)
    complain(r,
             line,
             line->start,
             line->end,
             "a figure without a unit",
             is_gauge(r, line) ? "say it as its scale does, for example 80 degC"
                               : "say V or ohm behind the figure: 9.8 V");
  if (line->bad)
    return;
  bool electric = line->unit == PL_UNIT_VOLTS || line->unit == PL_UNIT_OHMS;
  if (line->has_value && !electric && !is_gauge(r, line))
    complain(r,
             line,
             line->start,
             line->end,
             "that unit is a gauge's, and no gauge is named",
             "name the gauge; of a pin say V, of a wire or part ohm");
  else if (is_gauge(r, line) && !(line->has_value && electric))
    say_gauge(r, line);
  else if (line->link)
    say_link(r, line);
  else if (line->search)
    say_search(r, line);
  else if (line->fresh)
    say_new_fuse(r, line);
  else if (line->has_value && line->unit == PL_UNIT_VOLTS)
    say_volts(r, line);
  else if (line->has_value)
    say_ohms(r, line);
  else if (line->code)
    say_code(r, line);
  else if (line->fuses || (line->all && line->device == PL_NONE))
    say_all(r, line);
  else if (line->device != PL_NONE && (line->said == PL_WORD_BLOWN || line->said == PL_WORD_GOOD))
    say_fuse(r, line, line->said == PL_WORD_BLOWN);
  else if (line->device != PL_NONE && (line->said == PL_WORD_WARM || line->said == PL_WORD_COLD))
    say_fuse(r, line, line->said == PL_WORD_WARM);
  else if (line->device != PL_NONE &&
           (line->said != PL_WORD_FILLER || line->off || line->negated)) {
    if (line->said == PL_WORD_FILLER)
      line->said = line->off ? PL_WORD_DEAD : PL_WORD_RUNS;
    say_runs(r, line);
  } else if (line->device != PL_NONE && line->should) {
    say_as_it_should(r, line);
  } else {
    complain(r,
             line,
             line->start,
             line->end,
             "this says neither where something was read nor what does not run",
             "write it like: ECM.A1 to ground, key-on: 9.8 V, or: M2 does not run, key-on");
  }
}

/* ---- lines ---- */

static bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/* A comma between two figures belongs to the number. */
static bool is_decimal(const struct reader *r, uint32_t start, uint32_t end, uint32_t at) {
  return r->text[at] == ',' && at > start && at + 1 < end && is_digit(r->text[at - 1]) &&
         is_digit(r->text[at + 1]);
}

static bool is_gap(char c) {
  return c == ' ' || c == '\t' || c == ',' || c == ';' || c == '\r';
}

static void read_line(struct reader *r, uint32_t start, uint32_t end) {
  struct line line = {.start = start,
                      .end = end,
                      .pins = {PL_NONE, PL_NONE},
                      .device = PL_NONE,
                      .wire = PL_NONE,
                      .place = PL_NONE,
                      .state = PL_NONE,
                      .switched = PL_NONE};
  bool any = false;

  while (line.start < end && is_gap(r->text[line.start]))
    line.start++;
  while (line.end > line.start && is_gap(r->text[line.end - 1]))
    line.end--;
  line.whole = pl_arena_strndup(r->arena, r->text + line.start, line.end - line.start);
  for (uint32_t at = line.start; at < line.end && !line.bad;) {
    uint32_t from = at;
    while (at < line.end && (!is_gap(r->text[at]) || is_decimal(r, line.start, line.end, at)))
      at++;
    uint32_t to = at > from && r->text[at - 1] == ':' ? at - 1 : at;
    while (at < line.end && is_gap(r->text[at]))
      at++;
    if (to == from)
      continue;
    any = true;
    take_word(r, &line, pl_arena_strndup(r->arena, r->text + from, to - from), from);
  }
  if (any && !line.bad)
    understand(r, &line);
}

/* "all as it should" speaks of what no other line names: such lines are read last. */
static bool is_about_all(const char *text, uint32_t n) {
  static const char *const words[] =
      {"all ", "rest ", "everything ", "fuses ", "the rest ", "else "};

  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (n > strlen(words[i]) && strncasecmp(text, words[i], strlen(words[i])) == 0)
      return true;
  return false;
}

bool pl_readings_read(const struct pl_suspects *table,
                      const struct pl_sources *sources,
                      uint32_t file,
                      struct pl_findings *findings,
                      pl_evidences *evidences,
                      pl_betweens *betweens) {
  const struct pl_source *source = &sources->files.at[file];
  struct reader r = {.table = table,
                     .harness = table->harness,
                     .findings = findings,
                     .evidences = evidences,
                     .betweens = betweens,
                     .arena = table->arena,
                     .text = source->text,
                     .file = file,
                     .good = true};

  for (int last = 0; last < 2; last++)
    for (uint32_t at = 0; at < source->size;) {
      uint32_t n = (uint32_t)strcspn(source->text + at, "\n");
      uint32_t words = (uint32_t)strcspn(source->text + at, "#\n");
      uint32_t lead = (uint32_t)strspn(source->text + at, " \t");
      if (is_about_all(source->text + at + lead, words - (lead < words ? lead : words)) ==
          (last == 1))
        read_line(&r, at, at + words);
      at += n + 1;
    }
  return r.good;
}
