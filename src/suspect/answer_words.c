/* An answer in words: "12.5 V", "open", "runs", "118 ohm". */
#include <math.h>

#include "base/number.h"
#include "standard/likely.h"
#include "suspect/weigh.h"

/* Without the meter's leads. */
static double ohms_shown(int16_t answer) {
  return fmax(pow(10, answer / 1000.0) - PL_LIKELY(LEADS), 0);
}

static const char *gauge_text(const struct pl_suspects *table,
                              uint32_t question,
                              int16_t answer,
                              struct pl_arena *arena) {
  static const char *const needles[] = {"nothing",
                                        "less than it should",
                                        "as it should",
                                        "more than it should"};
  const struct pl_device *d = &table->harness->devices.at[table->questions.at[question].id];
  double quantity = NAN;
  char number[PL_NUMBER_SIZE];
  const char *unit;

  if (answer != PL_ANSWER_OPEN)
    quantity = pl_device_quantity_at(d, ohms_shown(answer));
  if (isnan(quantity))
    return needles[pl_suspects_needle(table, question, answer)];
  double shown = pl_measure_shown(d->measure, quantity, &unit);
  const char *blank = "";
  if (unit[0] != '\0')
    blank = " ";
  return pl_arena_printf(arena, "%s%s%s", pl_number_print(number, shown, 2), blank, unit);
}

static const char *
volts_text(const struct pl_suspects *table, int16_t answer, struct pl_arena *arena) {
  char number[PL_NUMBER_SIZE];
  double volts = answer * table->volt;

  if (answer == PL_ANSWER_OPEN)
    return "open (0 V)";
  return pl_arena_printf(arena,
                         "%s V",
                         pl_number_fixed(number, volts, fabs(volts) < 0.995 ? 2 : 1));
}

static const char *ohms_text(int16_t answer, struct pl_arena *arena) {
  char number[PL_NUMBER_SIZE];
  double ohms = pow(10, answer / 1000.0);

  if (answer >= pl_suspects_ohms(INFINITY))
    return "open";
  if (ohms >= 1000)
    return pl_arena_printf(arena, "%s kohm", pl_number_print(number, ohms / 1000, 2));
  int digits = ohms < 10 ? 1 : 2;
  return pl_arena_printf(arena, "%s ohm", pl_number_print(number, ohms_shown(answer), digits));
}

const char *pl_weigh_answer_text(const struct pl_suspects *table,
                                 uint32_t question,
                                 int16_t answer,
                                 struct pl_arena *arena) {
  static const char *const runs[] = {"dead", "weak", "runs"};

  if (answer == PL_ANSWER_UNKNOWN)
    return "not known";
  switch (table->questions.at[question].ask) {
    case PL_ASK_VOLTS:
      return volts_text(table, answer, arena);
    case PL_ASK_RUNS:
      return runs[answer];
    case PL_ASK_WARM:
      return answer ? "warm" : "cold";
    case PL_ASK_FUSE:
      return answer ? "blown" : "good";
    case PL_ASK_LINK:
      return answer ? "not heard" : "heard";
    case PL_ASK_GAUGE:
      return gauge_text(table, question, answer, arena);
    case PL_ASK_LOOK: /* found and seen: told by whoever has the names (cli/suspect.c) */
    case PL_ASK_PANEL:
    case PL_ASK_REFIT:
    case PL_ASK_SEARCH:
    case PL_ASK_WIRE:
    case PL_ASK_LEAK:
    case PL_ASK_INSIDE:
    case PL_ASK_BETWEEN:
      break;
  }
  return ohms_text(answer, arena);
}
