/* Reads amounts word by word and byte by byte.  It reports nothing and does not know where an
 * amount is wanted. */
#include "text/amount_inner.h"

#include <string.h>

#include "base/number.h"

const struct pl_word *pl_spot_word(const struct pl_spot *spot) {
  if (spot->at < spot->cursor->end)
    return &spot->cursor->tree->words.at[spot->at];
  return NULL;
}

/* The rest of the word, or the next word when it is used up; "" when none of kind PL_WORD follows.
 */
static const char *rest_of(struct pl_spot *spot) {
  const struct pl_word *word = pl_spot_word(spot);

  if (word != NULL && spot->off > 0 && word->text[spot->off] == '\0') {
    spot->at++;
    spot->off = 0;
    word = pl_spot_word(spot);
  }
  if (word != NULL && word->kind == PL_WORD)
    return word->text + spot->off;
  return "";
}

/* Bytes of the dots of a range: ".." or the one character that word processors make of them. */
static size_t dots(const char *text) {
  if (text[0] == '.')
    return text[1] == '.' ? 2 : 0;
  if (text[0] == '\xE2' && text[1] == '\x80' && text[2] == '\xA6')
    return 3;
  return 0;
}

static size_t before_dots(const char *text) {
  size_t n = 0;

  while (text[n] != '\0' && dots(text + n) == 0)
    n++;
  return n;
}

static void blame(struct pl_amount *amount, const struct pl_spot *spot, size_t n) {
  const struct pl_word *word = pl_spot_word(spot);
  struct pl_span line = spot->cursor->line->span;

  amount->bad = "";
  amount->bad_n = 0;
  amount->bad_word = word;
  amount->bad_span = (struct pl_span){line.file, line.end, line.end};
  if (word == NULL)
    return;
  amount->bad_span = word->span;
  if (word->kind != PL_WORD)
    return;
  amount->bad = word->text + spot->off;
  amount->bad_n = n;
  if (strlen(word->text) ==
      word->span.end - word->span.start) { /* else a minus was folded: the whole word then */
    amount->bad_span.start += (uint32_t)spot->off;
    amount->bad_span.end = amount->bad_span.start + (uint32_t)n;
  }
}

/* "2/0" and "00", which only wire sizes have. */
static size_t parse_aught(const char *text, size_t n, double *value) {
  size_t zeros = 0;

  if (n >= 3 && text[0] >= '1' && text[0] <= '4' && text[1] == '/' && text[2] == '0' &&
      (n == 3 || !pl_is_digit(text[3]))) {
    *value = '1' - text[0];
    return 3;
  }
  while (zeros < n && text[zeros] == '0')
    zeros++;
  if (zeros < 2 || zeros > 4)
    return 0;
  if (zeros < n && (pl_is_digit(text[zeros]) || text[zeros] == '.'))
    return 0;
  *value = 1 - (double)zeros;
  return zeros;
}

/* Two words that a comma without blanks ties together: a decimal comma. */
static bool decimal_comma(const struct pl_spot *spot) {
  const struct pl_word *word = pl_spot_word(spot);

  if (word == NULL)
    return false;
  if (word->kind != PL_WORD)
    return false;
  if (!(spot->at + 2 < spot->cursor->end))
    return false;
  if (word->text[spot->off] != '\0')
    return false;
  if (word[1].kind != PL_COMMA)
    return false;
  if (word[2].kind != PL_WORD)
    return false;
  if (word[1].span.start != word->span.end)
    return false;
  if (word[2].span.start != word[1].span.end)
    return false;
  return pl_is_digit(word[2].text[0]);
}

enum pl_problem pl_amount_number(struct pl_spot *spot,
                                 enum pl_unit kind,
                                 struct pl_number *number,
                                 struct pl_amount *amount) {
  const char *text = rest_of(spot);
  size_t n = before_dots(text);
  size_t used = 0;
  size_t sign = text[0] == '-' || text[0] == '+';

  *number = (struct pl_number){.text = text};
  if (kind == PL_UNIT_SIZE && (used = parse_aught(text, n, &number->value)) > 0) {
    number->aught = true;
  } else if (n == 0 ||
             (!pl_is_digit(text[sign]) && !(text[sign] == '.' && pl_is_digit(text[sign + 1])))) {
    blame(amount, spot, strlen(text));
    return PL_NOT_A_NUMBER;
  } else if (!pl_number_parse(text, n, &number->value, &used)) {
    blame(amount, spot, n);
    return PL_TOO_BIG;
  }
  number->n = used;
  spot->off += used;
  if (decimal_comma(spot)) {
    const struct pl_word *word = pl_spot_word(spot);

    amount->bad = number->text;
    amount->part = (struct pl_spot){spot->cursor, spot->at + 2, strspn(word[2].text, "0123456789")};
    amount->bad_span = (struct pl_span){word->span.file, word->span.start, word[2].span.end};
    return PL_COMMA_DECIMAL;
  }
  return PL_PROBLEM_NONE;
}

/* "deg C" in two words. */
static const struct pl_unit_row *
two_word_degrees(struct pl_spot *spot, const char *text, size_t n) {
  const struct pl_word *next = pl_spot_word(spot) + 1;
  size_t length;

  if (!((n == 3 && memcmp(text, "deg", 3) == 0) || (n == 2 && memcmp(text, "\xC2\xB0", 2) == 0) ||
        (n == 7 && memcmp(text, "degrees", 7) == 0)))
    return NULL;
  if (text[n] != '\0')
    return NULL;
  if (spot->at + 1 >= spot->cursor->end)
    return NULL;
  if (next->kind != PL_WORD)
    return NULL;
  length = before_dots(next->text);
  if (length != 1)
    return NULL;
  if (next->text[0] != 'C' && next->text[0] != 'F')
    return NULL;
  spot->at++;
  spot->off = length;
  return pl_unit_find(PL_UNIT_TEMPERATURE, next->text, 1);
}

static enum pl_problem read_unit(struct pl_spot *spot,
                                 enum pl_unit kind,
                                 const struct pl_unit_row **unit,
                                 struct pl_amount *amount) {
  const char *text = rest_of(spot);
  size_t n = before_dots(text);
  const struct pl_word *word = pl_spot_word(spot);

  *unit = NULL;
  if (spot->off == 0 && pl_is_digit(text[0]) &&
      text[strspn(text, "0123456789")] == '/') { /* 3 1/2 ft */
    blame(amount, spot, n);
    return PL_FRACTION;
  }
  if (n == 0 || (spot->off == 0 && (pl_is_digit(text[0]) || text[0] == '-'))) {
    const struct pl_word *first = &spot->cursor->tree->words.at[spot->cursor->at];
    uint32_t last;
    if (spot->off > 0 || spot->at == spot->cursor->at)
      last = spot->at;
    else
      last = spot->at - 1;

    amount->bad_span = first->span;
    amount->bad_span.end = spot->cursor->tree->words.at[last].span.end;
    return PL_NO_UNIT;
  }
  *unit = pl_unit_find(kind, text, n);
  if (*unit != NULL) {
    spot->off += n;
    return PL_PROBLEM_NONE;
  }
  if (kind == PL_UNIT_TEMPERATURE && (*unit = two_word_degrees(spot, text, n)) != NULL)
    return PL_PROBLEM_NONE;
  blame(amount, spot, n);
  if (spot->off > 0 && text[0] == '/' && pl_is_digit(text[1])) {
    amount->bad_span.start = word->span.start;
    return PL_FRACTION;
  }
  if (spot->off > 0 &&
      ((text[0] == '-' && pl_is_digit(text[1])) || strncmp(text, "\xE2\x80\x93", 3) == 0)) {
    amount->bad_span.start = word->span.start;
    return PL_DASH_RANGE;
  }
  if (strcmp(text, "to") == 0 && spot->at + 1 < spot->cursor->end && word[1].kind == PL_WORD &&
      pl_is_digit(word[1].text[0]))
    return PL_DASH_RANGE;
  return PL_BAD_UNIT;
}

enum pl_problem
pl_amount_read(const struct pl_cursor *cursor, enum pl_unit kind, struct pl_amount *amount) {
  struct pl_spot spot = {cursor, cursor->at, 0};
  const struct pl_word *last;
  enum pl_problem problem;
  size_t n;

  *amount = (struct pl_amount){.bad = ""};
  if ((problem = pl_amount_number(&spot, kind, &amount->low, amount)) != PL_PROBLEM_NONE)
    return problem;
  amount->high = amount->low;
  if (dots(rest_of(&spot)) == 0) {
    if ((problem = read_unit(&spot, kind, &amount->low_unit, amount)) != PL_PROBLEM_NONE)
      return problem;
    amount->unit = amount->low_unit;
  }
  if ((n = dots(rest_of(&spot))) > 0) {
    spot.off += n;
    amount->range = true;
    if (rest_of(&spot)[0] == '.') {
      blame(amount, &spot, strlen(rest_of(&spot)));
      amount->bad_span.start = pl_spot_word(&spot)->span.start;
      return PL_MANY_DOTS;
    }
    if ((problem = pl_amount_number(&spot, kind, &amount->high, amount)) != PL_PROBLEM_NONE)
      return problem;
    if ((problem = read_unit(&spot, kind, &amount->unit, amount)) != PL_PROBLEM_NONE)
      return problem;
    if (amount->low_unit == NULL)
      amount->low_unit = amount->unit;
  }
  last = pl_spot_word(&spot);
  if (last != NULL && spot.off > 0 && last->text[spot.off] != '\0') {
    blame(amount, &spot, strlen(last->text + spot.off));
    return PL_BAD_UNIT;
  }
  if (spot.off > 0)
    amount->next = spot.at + 1;
  else
    amount->next = spot.at;
  amount->span = cursor->tree->words.at[cursor->at].span;
  amount->span.end = cursor->tree->words.at[amount->next - 1].span.end;
  return PL_PROBLEM_NONE;
}

/* Behind a decimal comma: is what follows a unit of this kind, were the comma a point? */
static bool fits_after_comma(enum pl_unit kind, struct pl_amount *amount) {
  const struct pl_unit_row *unit;
  struct pl_spot *spot = &amount->part;
  struct pl_spot before = *spot;
  size_t n = dots(rest_of(spot));
  bool fits;

  if (n > 0) { /* 0,5..1,5 mm2 */
    amount->range = true;
    spot->off += n;
    spot->off += strspn(rest_of(spot), "-0123456789.");
    if (decimal_comma(spot)) {
      spot->at += 2;
      spot->off = strspn(pl_spot_word(spot)->text, "0123456789");
    }
  }
  fits = read_unit(spot, kind, &unit, amount) == PL_PROBLEM_NONE;
  *spot = before;
  return fits;
}

bool pl_amount_is(const struct pl_cursor *cursor, enum pl_unit kind, struct pl_amount *amount) {
  enum pl_problem problem = cursor->failed ? PL_NO_UNIT : pl_amount_read(cursor, kind, amount);

  if (problem == PL_PROBLEM_NONE)
    return true;
  return problem == PL_COMMA_DECIMAL && fits_after_comma(kind, amount);
}
