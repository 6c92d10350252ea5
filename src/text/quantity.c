/* Numbers with units for build/: what was read is held to what is wanted, and what is wrong is said
 * in plain words. */
#include "text/cursor.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#include "text/amount_inner.h"
#include "text/cursor_inner.h"
#include "text/units_inner.h"

/* ---- messages ---- */

static const char *with_article(struct pl_arena *arena, const char *noun) {
  return pl_arena_printf(arena, "%s %s", strchr("aeio", noun[0]) != NULL ? "an" : "a", noun);
}

static const char *fitting(struct pl_arena *arena, enum pl_unit kind) {
  return pl_arena_printf(arena, "units that fit: %s", pl_unit_list(arena, kind));
}

static void say_bad_unit(struct pl_cursor *cursor,
                         enum pl_unit kind,
                         const struct pl_amount *amount,
                         const char *wanted) {
  struct pl_arena *arena = cursor->tree->arena;
  const struct pl_unit_row *other = pl_unit_find_any(amount->bad, amount->bad_n);
  const struct pl_unit_row *nearest = NULL;
  if (other == NULL)
    nearest = pl_unit_nearest(arena, kind, amount->bad, amount->bad_n);
  const char *text;
  const char *remedy = fitting(arena, kind);
  int shown = amount->bad_n > 24 ? 24 : (int)amount->bad_n;

  while (shown > 0 && (amount->bad[shown] & 0xC0) == 0x80)
    shown--;
  if (other != NULL && other->kind != kind)
    text = pl_arena_printf(arena,
                           "expected %s, but %s is a unit of %s",
                           wanted,
                           other->name,
                           pl_unit_kind(other->kind)->noun);
  else
    text = pl_arena_printf(arena,
                           "expected %s, but \"%.*s\" is not a unit",
                           wanted,
                           shown,
                           amount->bad);
  if (nearest != NULL)
    remedy = pl_arena_printf(arena, "did you mean %s? (%s)", nearest->name, remedy);
  pl_cursor_error_at(cursor, amount->bad_span, text, remedy);
}

/* "1/2" as far as "/2" or, behind a whole number, "1/2" of "3 1/2". */
static void say_fraction(struct pl_cursor *cursor,
                         enum pl_unit kind,
                         const struct pl_amount *amount,
                         const char *wanted) {
  struct pl_arena *arena = cursor->tree->arena;
  const char *remedy = "write it as a decimal number: 0.5 for 1/2";
  const char *slash = strchr(amount->bad, '/');
  double value = amount->high.value;
  double above = 0;
  double below;
  char buffer[PL_NUMBER_SIZE];
  size_t used;

  if (slash != NULL && pl_number_parse(slash + 1, strlen(slash + 1), &below, &used) && below > 0 &&
      (slash == amount->bad ||
       pl_number_parse(amount->bad, (size_t)(slash - amount->bad), &above, &used))) {
    if (slash == amount->bad)
      value = value / below;
    else
      value = value + above / below;
    remedy = pl_arena_printf(arena,
                             "write it as a decimal number: %s",
                             pl_number_print(buffer, value, 6));
  }
  if (kind == PL_UNIT_SIZE && slash == amount->bad && slash[1] == '0')
    pl_cursor_error_at(
        cursor,
        amount->bad_span,
        pl_arena_printf(arena, "expected %s, found a size thicker than 4/0 AWG", wanted),
        "write thicker conductors in mm2");
  else
    pl_cursor_error_at(cursor,
                       amount->bad_span,
                       pl_arena_printf(arena, "expected %s, found a fraction", wanted),
                       remedy);
}

static void say_comma(struct pl_cursor *cursor, const struct pl_amount *amount) {
  struct pl_arena *arena = cursor->tree->arena;
  const char *part = pl_spot_word(&amount->part)->text;
  int digits;
  if (amount->part.off > 20)
    digits = 20;
  else
    digits = (int)amount->part.off;
  int whole = (int)strnlen(amount->bad, 40);
  const char *remedy = pl_arena_printf(arena, "write %.*s.%.*s", whole, amount->bad, digits, part);

  if (digits == 3 && amount->bad[0] != '0')
    remedy = pl_arena_printf(arena,
                             "%s, or %.*s%.*s for thousands",
                             remedy,
                             whole,
                             amount->bad,
                             digits,
                             part);
  pl_cursor_error_at(cursor,
                     amount->bad_span,
                     "a number has a decimal point, this one has a comma",
                     remedy);
}

/* "AWG 14" and "AWG14": the size stands before the unit. */
static const char *turned_size(struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  const struct pl_word *next = pl_cursor_peek_at(cursor, 1);
  const char *number;

  if (word == NULL || word->kind != PL_WORD)
    return "";
  if (strncmp(word->text, "AWG", 3) != 0 && strncmp(word->text, "awg", 3) != 0)
    return "";
  if (word->text[3] != '\0')
    number = word->text + 3;
  else if (next != NULL && next->kind == PL_WORD)
    number = next->text;
  else
    number = "";
  if (!pl_is_digit(number[0]))
    return "";
  if (strlen(number) > 4)
    return "";
  return pl_arena_printf(cursor->tree->arena, "write %s AWG", number);
}

static void say(struct pl_cursor *cursor,
                enum pl_unit kind,
                const struct pl_amount *amount,
                enum pl_problem problem,
                const char *wanted,
                bool want_range) {
  struct pl_arena *arena = cursor->tree->arena;
  const struct pl_unit_kind *about = pl_unit_kind(kind);
  const char *found = "";
  const char *remedy = "";

  switch (problem) {
    case PL_PROBLEM_NONE:
      return;
    case PL_NOT_A_NUMBER:
      found = pl_arena_printf(arena, "found %s", pl_cursor_shown(cursor, amount->bad_word));
      if (kind == PL_UNIT_SIZE)
        remedy = turned_size(cursor);
      if (amount->bad_word != NULL && amount->bad_word->kind == PL_TEXT)
        remedy = "leave out the quotes";
      if (remedy[0] == '\0' && cursor->example == NULL)
        remedy = want_range ? "write two numbers with two dots between them, then the unit"
                            : "write the number in digits, then the unit";
      break;
    case PL_TOO_BIG:
      found = "found a number too large to work with";
      remedy = "check the number and its unit";
      break;
    case PL_COMMA_DECIMAL:
      say_comma(cursor, amount);
      return;
    case PL_FRACTION:
      say_fraction(cursor, kind, amount, wanted);
      return;
    case PL_DASH_RANGE:
      found = "found two numbers without dots between them";
      if (want_range)
        remedy = pl_arena_printf(arena, "put two dots between the numbers: %s", about->range);
      else
        remedy = "write one value";
      break;
    case PL_MANY_DOTS:
      found = "found more than two dots";
      remedy = pl_arena_printf(arena, "put two dots between the numbers: %s", about->range);
      break;
    case PL_NO_UNIT:
      found = amount->range ? "found a range without a unit" : "found a number without a unit";
      remedy = fitting(arena, kind);
      break;
    case PL_BAD_UNIT:
      say_bad_unit(cursor, kind, amount, wanted);
      return;
  }
  pl_cursor_error_at(cursor,
                     amount->bad_span,
                     pl_arena_printf(arena, "expected %s, %s", wanted, found),
                     remedy);
}

static const char *shown_number(struct pl_arena *arena, const struct pl_number *number) {
  return pl_arena_printf(arena, "%.*s", (int)(number->n > 40 ? 40 : number->n), number->text);
}

/* Converts and holds to the bounds of the kind. */
static bool convert(struct pl_cursor *cursor,
                    enum pl_unit kind,
                    const struct pl_amount *amount,
                    const struct pl_number *number,
                    const struct pl_unit_row *unit,
                    double *value) {
  struct pl_arena *arena = cursor->tree->arena;
  const struct pl_unit_kind *about = pl_unit_kind(kind);
  double converted = pl_unit_convert(unit, number->value);

  if (converted < about->low && about->low == 0) {
    pl_cursor_error_at(cursor,
                       amount->span,
                       pl_arena_printf(arena,
                                       "%s cannot be negative, found %s",
                                       with_article(arena, about->noun),
                                       shown_number(arena, number)),
                       "write it without the minus");
    return false;
  }
  if (converted < about->low || !(converted <= about->high)) {
    bool low = converted < about->low;

    pl_cursor_error_at(cursor,
                       amount->span,
                       pl_arena_printf(arena,
                                       "expected %s of at %s %s, found %s %s",
                                       with_article(arena, about->noun),
                                       low ? "least" : "most",
                                       low ? about->low_text : about->high_text,
                                       shown_number(arena, number),
                                       unit->name),
                       "check the number and its unit");
    return false;
  }
  *value = converted == 0 ? 0 : converted; /* never -0 */
  return true;
}

static bool to_size(struct pl_cursor *cursor,
                    const struct pl_amount *amount,
                    const struct pl_number *number,
                    const struct pl_unit_row *unit,
                    struct pl_size *size) {
  bool metric = strcmp(unit->name, "mm2") == 0;
  struct pl_arena *arena = cursor->tree->arena;
  double area;

  if (metric) {
    if (number->aught || number->value == 0) {
      pl_cursor_error_at(cursor,
                         amount->span,
                         pl_arena_printf(arena,
                                         "expected a wire size such as 1.5 mm2, found %s mm2",
                                         shown_number(arena, number)),
                         number->aught ? "sizes such as 2/0 are AWG"
                                       : "write the size of the conductor");
      return false;
    }
    if (!convert(cursor, PL_UNIT_SIZE, amount, number, unit, &area))
      return false;
    *size = (struct pl_size){.metric = true, .area = area};
    return true;
  }
  if ((number->value < 0 && !number->aught) || number->value > 40 ||
      number->value != floor(number->value)) {
    pl_cursor_error_at(cursor,
                       amount->span,
                       pl_arena_printf(arena,
                                       "expected a whole AWG size from 4/0 to 40, found %s",
                                       shown_number(arena, number)),
                       number->value < 0 ? "thicker than 0 AWG are 1/0, 2/0, 3/0 and 4/0 AWG"
                                         : "for square millimetres write mm2");
    return false;
  }
  *size = (struct pl_size){.metric = false, .awg = (int)number->value};
  return true;
}

/* ---- what build/ calls ---- */

bool pl_cursor_is_quantity(const struct pl_cursor *cursor, enum pl_unit unit) {
  struct pl_amount amount;

  return pl_amount_is(cursor, unit, &amount);
}

bool pl_cursor_is_range(const struct pl_cursor *cursor, enum pl_unit unit) {
  struct pl_amount amount;

  return pl_amount_is(cursor, unit, &amount) && amount.range;
}

bool pl_cursor_is_size(const struct pl_cursor *cursor) {
  return pl_cursor_is_quantity(cursor, PL_UNIT_SIZE);
}

static bool read_one(struct pl_cursor *cursor, enum pl_unit unit, struct pl_amount *amount) {
  struct pl_arena *arena = cursor->tree->arena;
  const struct pl_unit_kind *about = pl_unit_kind(unit);
  const char *wanted;
  enum pl_problem problem;

  if (cursor->failed)
    return false;
  problem = pl_amount_read(cursor, unit, amount);
  if (problem == PL_PROBLEM_NONE && !amount->range)
    return true;
  wanted =
      pl_arena_printf(arena, "%s such as %s", with_article(arena, about->noun), about->example);
  if (problem == PL_PROBLEM_NONE)
    pl_cursor_error_at(cursor,
                       amount->span,
                       pl_arena_printf(arena, "expected %s, found a range", wanted),
                       "write one value");
  say(cursor, unit, amount, problem, wanted, false);
  return false;
}

static bool read_two(struct pl_cursor *cursor, enum pl_unit unit, struct pl_amount *amount) {
  struct pl_arena *arena = cursor->tree->arena;
  const struct pl_unit_kind *about = pl_unit_kind(unit);
  const char *wanted;
  enum pl_problem problem;

  if (cursor->failed)
    return false;
  problem = pl_amount_read(cursor, unit, amount);
  if (problem == PL_PROBLEM_NONE && amount->range)
    return true;
  wanted = pl_arena_printf(arena, "a range such as %s", about->range);
  if (problem == PL_PROBLEM_NONE)
    pl_cursor_error_at(cursor,
                       amount->span,
                       pl_arena_printf(arena, "expected %s, found one value", wanted),
                       "write both ends, the lower one first");
  say(cursor, unit, amount, problem, wanted, true);
  return false;
}

static void say_backwards(struct pl_cursor *cursor, const struct pl_amount *amount) {
  struct pl_arena *arena = cursor->tree->arena;
  const char *low = shown_number(arena, &amount->low);
  const char *high = shown_number(arena, &amount->high);
  const char *unit = amount->low_unit->name;

  if (amount->low_unit != amount->unit)
    pl_cursor_error_at(cursor,
                       amount->span,
                       "expected the lower end of the range first, found the higher one",
                       "swap the ends");
  else
    pl_cursor_error_at(cursor,
                       amount->span,
                       "expected the lower end of the range first, found the higher one",
                       pl_arena_printf(arena, "write %s..%s %s", high, low, unit));
}

bool pl_cursor_quantity(struct pl_cursor *cursor, enum pl_unit unit, double *value) {
  struct pl_amount amount;

  if (!read_one(cursor, unit, &amount))
    return false;
  if (!convert(cursor, unit, &amount, &amount.low, amount.unit, value))
    return false;
  cursor->at = amount.next;
  return true;
}

bool pl_cursor_range(struct pl_cursor *cursor, enum pl_unit unit, double *low, double *high) {
  struct pl_amount amount;

  if (!read_two(cursor, unit, &amount))
    return false;
  if (!convert(cursor, unit, &amount, &amount.low, amount.low_unit, low))
    return false;
  if (!convert(cursor, unit, &amount, &amount.high, amount.unit, high))
    return false;
  if (*low > *high) {
    say_backwards(cursor, &amount);
    return false;
  }
  cursor->at = amount.next;
  return true;
}

bool pl_cursor_size(struct pl_cursor *cursor, struct pl_size *size) {
  struct pl_amount amount;

  if (!read_one(cursor, PL_UNIT_SIZE, &amount))
    return false;
  if (!to_size(cursor, &amount, &amount.low, amount.unit, size))
    return false;
  cursor->at = amount.next;
  return true;
}

bool pl_cursor_size_range(struct pl_cursor *cursor, struct pl_size *thin, struct pl_size *thick) {
  struct pl_amount amount;

  if (!read_two(cursor, PL_UNIT_SIZE, &amount))
    return false;
  if (!to_size(cursor, &amount, &amount.low, amount.low_unit, thin))
    return false;
  if (!to_size(cursor, &amount, &amount.high, amount.unit, thick))
    return false;
  if (thin->metric != thick->metric) {
    pl_cursor_error_at(cursor,
                       amount.span,
                       "expected both ends of the range in one unit, found AWG and mm2",
                       "write both in AWG or both in mm2");
    return false;
  }
  if (thin->metric && thin->area > thick->area) {
    say_backwards(cursor, &amount);
    return false;
  }
  if (!thin->metric &&
      thin->awg <
          thick->awg) { /* 16..20 AWG is as often written as 20..16 AWG, and cannot be misread */
    struct pl_size swapped = *thin;

    *thin = *thick;
    *thick = swapped;
  }
  cursor->at = amount.next;
  return true;
}

/* ---- numbers without a unit ---- */

static void say_number(struct pl_cursor *cursor, const char *what, const char *remedy) {
  const struct pl_word *word = pl_cursor_peek(cursor);

  pl_cursor_error(cursor,
                  word,
                  pl_arena_printf(cursor->tree->arena,
                                  "expected %s, found %s",
                                  what,
                                  pl_cursor_shown(cursor, word)),
                  remedy);
}

/* A word that is a number from end to end; the number's problem is reported. */
bool pl_cursor_number(struct pl_cursor *cursor, double *value) {
  struct pl_spot spot = {cursor, cursor->at, 0};
  struct pl_amount amount = {.bad = ""};
  struct pl_number number;
  enum pl_problem problem;

  if (cursor->failed)
    return false;
  problem = pl_amount_number(&spot, PL_UNIT_SHARE, &number, &amount);
  if (problem == PL_COMMA_DECIMAL)
    say_comma(cursor, &amount);
  else if (problem != PL_PROBLEM_NONE)
    say_number(cursor, "a number", problem == PL_TOO_BIG ? "check the number" : "");
  else if (pl_spot_word(&spot)->text[spot.off] != '\0')
    say_number(cursor, "a number alone", "leave out what follows the digits");
  if (cursor->failed)
    return false;
  *value = number.value == 0 ? 0 : number.value; /* never -0 */
  cursor->at++;
  return true;
}

bool pl_cursor_count(struct pl_cursor *cursor, uint32_t max, uint32_t *value) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  uint64_t count = 0;
  size_t n = 0;

  if (cursor->failed)
    return false;
  if (word != NULL && word->kind == PL_WORD)
    for (; pl_is_digit(word->text[n]); n++)
      count = count > UINT32_MAX ? count : count * 10 + (uint64_t)(word->text[n] - '0');
  if (n == 0 || word->text[n] != '\0') {
    say_number(cursor,
               "a whole number",
               n > 0 ? "write it with digits only, and a blank behind it" : "");
    return false;
  }
  if (count > max) {
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(cursor->tree->arena,
                                    "%s is too many; at most %u are possible here",
                                    pl_cursor_shown(cursor, word),
                                    (unsigned)max),
                    "check the number");
    return false;
  }
  *value = (uint32_t)count;
  cursor->at++;
  return true;
}
