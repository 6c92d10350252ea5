/* What the words of a line say together: which reading it is, of which question, and its value. */
#include <math.h>
#include <strings.h>

#include "suspect/said_inner.h"

/* ---- evidence ---- */

static void put(struct pl_said_reader *r,
                const struct pl_said_line *line,
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

static uint32_t asked(struct pl_said_reader *r,
                      struct pl_said_line *line,
                      enum pl_ask what,
                      pl_id state,
                      pl_id id,
                      const char *why_not,
                      const char *remedy) {
  uint32_t question = pl_suspects_question(r->table, what, state, id);

  if (question == PL_NONE)
    pl_said_complain(r, line, why_not, remedy);
  return question;
}

static bool need_state(struct pl_said_reader *r, struct pl_said_line *line) {
  if (line->state == PL_NONE && r->harness->states.n == 1)
    line->state = 0;
  if (line->state == PL_NONE)
    pl_said_complain(r,
                     line,
                     "in which state was that? Volts, and what runs, belong to a state",
                     pl_arena_printf(r->arena, "add one of: %s", pl_said_states(r)));
  return !line->bad;
}

static void say_volts(struct pl_said_reader *r, struct pl_said_line *line) {
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
    pl_said_complain(r,
                     line,
                     "volts, but at which pin?",
                     "write DEVICE.PIN, for example F3.out to ground, key-on: 12.4 V");
  if (line->bad)
    return;
  if (!need_state(r, line))
    return;
  a = asked(r, line, PL_ASK_VOLTS, line->state, line->pins[0], no, remedy);
  if (line->pin_count == 2)
    b = asked(r, line, PL_ASK_VOLTS, line->state, line->pins[1], no, remedy);
  if (!line->bad)
    put(r, line, PL_SAID_VOLTS, a, b, line->value);
}

/* The wire end that is off: the one at the pin named; else the first that a wire comes off. */
static uint32_t end_off(const struct pl_said_reader *r, const struct pl_said_line *line) {
  const struct pl_wire *w = &r->harness->wires.at[line->wire];

  for (uint32_t i = 0; i < 2 && line->pin_count > 0; i++)
    if (w->end[i] == line->pins[0])
      return i;
  uint32_t first = pl_suspects_question(r->table, PL_ASK_LEAK, PL_NONE, 2 * line->wire);
  if (first != PL_NONE && isfinite(r->table->questions.at[first].effort))
    return 0;
  return 1;
}

/* Of the two lines of a data link the table has the ohms. */
static uint32_t link_question(const struct pl_said_reader *r, const struct pl_said_line *line) {
  for (int i = 0; i < 2; i++)
    if (pl_suspects_low_of(r->harness, line->pins[i]) == line->pins[1 - i])
      return pl_suspects_question(r->table, PL_ASK_BETWEEN, PL_NONE, line->pins[i]);
  return PL_NONE;
}

static void say_ohms(struct pl_said_reader *r, struct pl_said_line *line) {
  const char *no = "nothing is known of those ohms";
  const char *remedy =
      "read between two pins with the power off, a wire with both ends off, or a part unplugged";

  if (line->state != PL_NONE && strcasecmp(r->harness->states.at[line->state].name, "off") != 0)
    pl_said_complain(
        r,
        line,
        pl_arena_printf(
            r->arena,
            "ohms in state %s: with the power on an ohm-meter shows anything, and may break",
            r->harness->states.at[line->state].name),
        "key off, batteries off, then read, and write: power off; or say volts");
  if (line->value < 0)
    pl_said_complain(r,
                     line,
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
    pl_said_complain(r, line, "ohms of what?", remedy);
  }
}

static void say_fuse(struct pl_said_reader *r, struct pl_said_line *line, bool yes) {
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
static int word_of(const struct pl_said_line *line) {
  if (line->said == PL_WORD_WEAK)
    return line->negated ? 2 : 1;
  if ((line->said == PL_WORD_RUNS) != line->negated)
    return 2;
  return 0;
}

/* Without a state: the first in which that is not as it should be. */
static void guess_state(struct pl_said_reader *r, struct pl_said_line *line, int word) {
  for (pl_id s = 0; s < r->harness->states.n && line->state == PL_NONE; s++) {
    uint32_t q = pl_suspects_question(r->table, PL_ASK_RUNS, s, line->device);
    if (q != PL_NONE && r->table->questions.at[q].healthy >= 0 &&
        (r->table->questions.at[q].healthy == 2) != (word == 2))
      line->state = s;
  }
}

static void say_runs(struct pl_said_reader *r, struct pl_said_line *line) {
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

static void say_as_it_should(struct pl_said_reader *r, struct pl_said_line *line) {
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
    pl_said_complain(r,
                     line,
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
static void guess_gauge_state(const struct pl_said_reader *r, struct pl_said_line *line) {
  for (pl_id s = 0; s < r->harness->states.n && line->state == PL_NONE; s++) {
    uint32_t q = pl_suspects_question(r->table, PL_ASK_GAUGE, s, line->device);
    if (q != PL_NONE && r->table->questions.at[q].healthy > PL_ANSWER_UNKNOWN)
      line->state = s;
  }
}

static bool is_gauge(const struct pl_said_reader *r, const struct pl_said_line *line) {
  if (line->device == PL_NONE)
    return false;
  return pl_device_is(r->harness, line->device, PL_IS_GAUGE);
}

static int needle_of(const struct pl_said_reader *r, const struct pl_said_line *line, uint32_t q) {
  if (line->needle != 0)
    return line->negated ? 2 : line->needle;
  if (line->nothing || line->off)
    return 0;
  if (line->said != PL_WORD_FILLER ? word_of(line) != 2 : line->negated)
    return 0;
  if (r->table->questions.at[q].healthy == PL_ANSWER_OPEN)
    return 0;
  return 2;
}

static void say_gauge(struct pl_said_reader *r, struct pl_said_line *line) {
  const struct pl_device *d = &r->harness->devices.at[line->device];
  const char *unit;

  if (line->has_value && line->unit != unit_of(d->measure)) {
    pl_measure_shown(d->measure, 0, &unit);
    pl_said_complain(
        r,
        line,
        pl_arena_printf(r->arena, "the scale of gauge %s is in another unit", d->name),
        unit[0] != '\0'
            ? pl_arena_printf(r->arena, "say it in %s, or: low, high, nothing, as it should", unit)
            : "say: low, high, nothing, as it should");
  }
  guess_gauge_state(r, line);
  if (line->bad)
    return;
  if (!need_state(r, line))
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
  double ohms = NAN;
  if (line->has_value)
    ohms = pl_device_reading(d, line->value);
  if (line->has_value && isnan(ohms))
    pl_said_complain(r,
                     line,
                     "nothing is known of the scale of that gauge",
                     "say: low, high, nothing, as it should");
  else if (line->has_value)
    put(r, line, PL_SAID_GAUGE, q, PL_NONE, ohms);
  else
    put(r, line, PL_SAID_NEEDLE, q, PL_NONE, needle_of(r, line, q));
}

/* Of one that is named; else of every one that is on a link. */
static void say_link(struct pl_said_reader *r, struct pl_said_line *line) {
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
    pl_said_complain(r,
                     line,
                     "this harness has no data link",
                     "a data link is two wires between pins that are `data high` and `data low`");
}

static bool is_said_already(const struct pl_said_reader *r, uint32_t question) {
  for (uint32_t i = 0; i < r->evidences->n; i++)
    if (r->evidences->at[i].question == question)
      return true;
  return false;
}

/* All that is not named otherwise in this state, or all fuses of a place, is as it should be. */
static void say_all(struct pl_said_reader *r, struct pl_said_line *line) {
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
    if (!pl_suspects_is_seen(r->table, look, q))
      continue;
    if (is_said_already(r, q))
      continue;
    if (part->healthy < 0)
      continue;
    put(r, line, fuses ? PL_SAID_FUSE : PL_SAID_RUNS, q, PL_NONE, part->healthy);
  }
}

static void say_new_fuse(struct pl_said_reader *r, struct pl_said_line *line) {
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
static double piece_of(const struct pl_said_reader *r, uint32_t question, pl_id wire) {
  for (uint32_t s = 0; s < r->table->suspects.n; s++) {
    const struct pl_suspect *suspect = &r->table->suspects.at[s];
    if (suspect->kind != PL_SUSPECT_FAULT)
      continue;
    if (suspect->fault.kind != PL_FAULT_TO_CHASSIS)
      continue;
    if (suspect->fault.wire != wire)
      continue;
    int16_t answer = pl_suspects_answer(r->table, suspect->first, question);
    return answer > 0 ? answer : 1.0 + wire;
  }
  return 1.0 + wire;
}

static void say_search(struct pl_said_reader *r, struct pl_said_line *line) {
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
    pl_said_complain(r,
                     line,
                     "what did the search find?",
                     "write: search from F3: wire 31, or a pin of the device, or: nothing");
  if (!line->bad)
    put(r, line, PL_SAID_FOUND, q, PL_NONE, found);
}

static void say_code(struct pl_said_reader *r, struct pl_said_line *line) {
  if (line->pin_count == 0)
    pl_said_complain(r,
                     line,
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

void pl_said_understand(struct pl_said_reader *r, struct pl_said_line *line) {
  if (line->has_value && line->unit == PL_UNIT_NOT_SAID)
    pl_said_complain(r,
                     line,
                     "a figure without a unit",
                     is_gauge(r, line) ? "say it as its scale does, for example 80 degC"
                                       : "say V or ohm behind the figure: 9.8 V");
  if (line->bad)
    return;
  bool electric = line->unit == PL_UNIT_VOLTS || line->unit == PL_UNIT_OHMS;
  if (line->has_value && !electric && !is_gauge(r, line))
    pl_said_complain(r,
                     line,
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
    pl_said_complain(r,
                     line,
                     "this says neither where something was read nor what does not run",
                     "write it like: ECM.A1 to ground, key-on: 9.8 V, or: M2 does not run, key-on");
  }
}
