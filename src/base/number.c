/* Numbers in and out.  The C library's conversions follow the locale, so reading hands strtod an
 * integer with an exponent (no decimal point in it), and printing takes only the digits and the
 * exponent from snprintf. */
#include "base/number.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* 767 significant digits decide the rounding of any double (the longest exact half-way case has
 * that many); of those beyond only "is one of them not zero" matters. */
enum {
  DIGITS_KEPT = 780,
  EXPONENT_MOST = 100000000
};

struct decimal {
  bool negative;
  char digits[DIGITS_KEPT + 2];
  size_t n;           /* digits kept, without leading zeros */
  long long exponent; /* value = digits * 10^exponent */
  bool dropped;       /* a digit other than zero was left out at the end */
};

static bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

static void take_digit(struct decimal *number, char digit, bool after_point) {
  if (number->n == 0 && digit == '0') {
    number->exponent -= after_point;
  } else if (number->n < DIGITS_KEPT) {
    number->digits[number->n++] = digit;
    number->exponent -= after_point;
  } else {
    number->dropped |= digit != '0';
    number->exponent += !after_point;
  }
}

/* number = [ "+" | "-" ] ( digits [ "." digits ] | "." digits ) [ ( "e" | "E" ) [ "+" | "-" ]
 * digits ] */
static bool scan(const char *text, size_t n, struct decimal *number, size_t *used) {
  size_t at = 0;
  size_t exponent_at;
  bool any = false;
  bool minus = false;
  long long exponent = 0;

  number->negative = n > 0 && text[0] == '-';
  number->n = 0;
  number->exponent = 0;
  number->dropped = false;
  if (n > 0 && (text[0] == '-' || text[0] == '+'))
    at = 1;
  for (; at < n && is_digit(text[at]); at++, any = true)
    take_digit(number, text[at], false);
  if (n - at >= 2 && text[at] == '.' && is_digit(text[at + 1]))
    for (at++; at < n && is_digit(text[at]); at++, any = true)
      take_digit(number, text[at], true);
  if (!any)
    return false;
  *used = at;
  if (at == n)
    return true;
  if (text[at] != 'e' && text[at] != 'E')
    return true;
  exponent_at = at + 1;
  if (exponent_at < n && (text[exponent_at] == '-' || text[exponent_at] == '+'))
    minus = text[exponent_at++] == '-';
  if (exponent_at == n)
    return true;
  if (!is_digit(text[exponent_at]))
    return true;
  for (at = exponent_at; at < n && is_digit(text[at]); at++)
    if (exponent < EXPONENT_MOST)
      exponent = exponent * 10 + (text[at] - '0');
  number->exponent += minus ? -exponent : exponent;
  *used = at;
  return true;
}

/* Up to 2^53 the digits are exact in a double, and so is 10^22: one operation then rounds once, as
 * it must. */
static bool convert_small(const struct decimal *number, double *value) {
#if defined(FLT_EVAL_METHOD) && FLT_EVAL_METHOD == 0
  static const double tens[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
  uint64_t whole = 0;

  if (number->n > 15)
    return false;
  if (number->exponent < -22)
    return false;
  if (number->exponent > 22)
    return false;
  for (size_t i = 0; i < number->n; i++)
    whole = whole * 10 + (uint64_t)(number->digits[i] - '0');
  if (number->exponent < 0)
    *value = (double)whole / tens[-number->exponent];
  else
    *value = (double)whole * tens[number->exponent];
  return true;
#else
  (void)number;
  (void)value;
  return false;
#endif
}

static double convert(struct decimal *number) {
  char text[DIGITS_KEPT + 40];
  long long exponent = number->exponent;
  double value;

  if (number->n == 0)
    return 0.0;
  if (convert_small(number, &value))
    return value;
  if (number->dropped) {
    number->digits[number->n++] = '1';
    exponent--;
  }
  snprintf(text, sizeof text, "%.*se%lld", (int)number->n, number->digits, exponent);
  return strtod(text, NULL);
}

bool pl_number_parse(const char *text, size_t n, double *value, size_t *used) {
  struct decimal number;
  size_t took;
  double magnitude;

  if (!scan(text, n, &number, &took))
    return false;
  magnitude = convert(&number);
  if (!isfinite(magnitude))
    return false;
  if (number.negative && magnitude != 0.0)
    *value = -magnitude;
  else
    *value = magnitude;
  *used = took;
  return true;
}

/* ---- printing ---- */

enum {
  DIGITS_MOST = 17,
  FIVES = 27
}; /* 17 digits tell any double; 5^27 is the last power of five below 2^63 */

enum reads_back {
  READS_BACK,
  OTHERWISE,
  NOT_KNOWN
}; /* do these digits read back as the same double? */

#ifdef __SIZEOF_INT128__
__extension__ typedef unsigned __int128 wide;

static const uint64_t fives[FIVES + 1] = {1u,
                                          5u,
                                          25u,
                                          125u,
                                          625u,
                                          3125u,
                                          15625u,
                                          78125u,
                                          390625u,
                                          1953125u,
                                          9765625u,
                                          48828125u,
                                          244140625u,
                                          1220703125u,
                                          6103515625u,
                                          30517578125u,
                                          152587890625u,
                                          762939453125u,
                                          3814697265625u,
                                          19073486328125u,
                                          95367431640625u,
                                          476837158203125u,
                                          2384185791015625u,
                                          11920928955078125u,
                                          59604644775390625u,
                                          298023223876953125u,
                                          1490116119384765625u,
                                          7450580596923828125u};

/* value = m * 2^(exponent - 53), read from its bits as IEEE 754 lays them out: where there are
 * numbers of 128 bits, doubles are such. */
static uint64_t mantissa(double value, int *exponent) {
  const uint64_t one = (uint64_t)1 << (DBL_MANT_DIG - 1);
  uint64_t bits;

  memcpy(&bits, &value, sizeof bits);
  *exponent = (int)(bits >> (DBL_MANT_DIG - 1)) + DBL_MIN_EXP - 1;
  if (value < DBL_MIN)
    return (uint64_t)ldexp(frexp(value, exponent), DBL_MANT_DIG);
  return (bits & (one - 1)) | one;
}

/* value * 10^tens to a whole number, exactly: value is m * 2^e with m below 2^53, so m * 5^tens
 * fits in 116 bits, and what is left is a shift by whole bits.  Half way goes to the even one, as
 * the C library prints.  False where the numbers do not fit this way. */
static bool scale(double value, int tens, uint64_t *whole, enum reads_back *back) {
  int exponent;
  uint64_t m = mantissa(value, &exponent);
  int down = DBL_MANT_DIG - exponent - tens;
  wide exact, rest, half;

  if (tens < 0 || tens > FIVES)
    return false;
  if (down < 1 || down > 116)
    return false;
  if (value < DBL_MIN)
    return false;
  exact = (wide)m * fives[tens];
  half = (wide)1 << (down - 1);
  rest = exact & ((half << 1) - 1);
  if ((exact >> down) > UINT64_MAX / 2)
    return false;
  *whole = (uint64_t)(exact >> down);
  if (rest > half || (rest == half && (*whole & 1) != 0)) {
    ++*whole;
    rest = (half << 1) - rest;
  }
  /* the next doubles are 1 away in m, below a power of two half of that; half way between two is
   * left to others */
  if (rest * 4 < fives[tens])
    *back = READS_BACK;
  else if (m == (uint64_t)1 << (DBL_MANT_DIG - 1) || rest * 2 == fives[tens])
    *back = NOT_KNOWN;
  else if (rest * 2 < fives[tens])
    *back = READS_BACK;
  else
    *back = OTHERWISE;
  return true;
}
#else
static uint64_t mantissa(double value, int *exponent) {
  return (uint64_t)ldexp(frexp(value, exponent), DBL_MANT_DIG);
}

static bool scale(double value, int tens, uint64_t *whole, enum reads_back *back) {
  (void)value;
  (void)tens;
  (void)whole;
  (void)back;
  return false;
}
#endif

/* Digits of a whole number, first one first; how many. */
static int write_whole(uint64_t whole, char *out) {
  char back[24];
  char *at = back + sizeof back;

  for (; whole >= 100; whole /= 100) {
    unsigned two = (unsigned)(whole % 100);

    *--at = (char)('0' + two % 10);
    *--at = (char)('0' + two / 10);
  }
  if (whole >= 10)
    *--at = (char)('0' + whole % 10);
  *--at = (char)('0' + (whole >= 10 ? whole / 10 : whole));
  memcpy(out, at, (size_t)(back + sizeof back - at));
  return (int)(back + sizeof back - at);
}

/* The exponent of its first digit, or one less. */
static int tens_below(double value) {
  int exponent, tens;
  double exact;

  mantissa(value, &exponent);
  exact = (exponent - 1) * 0.30102999566398119; /* log10 of 2 */
  tens = (int)exact;
  return tens - (tens > exact);
}

/* `digits` significant digits as a whole number, and the exponent of the first.  False as in scale.
 */
static bool
scale_digits(double value, int digits, uint64_t *whole, int *exponent, enum reads_back *back) {
  static const uint64_t tens[DIGITS_MOST + 1] = {1u,
                                                 10u,
                                                 100u,
                                                 1000u,
                                                 10000u,
                                                 100000u,
                                                 1000000u,
                                                 10000000u,
                                                 100000000u,
                                                 1000000000u,
                                                 10000000000u,
                                                 100000000000u,
                                                 1000000000000u,
                                                 10000000000000u,
                                                 100000000000000u,
                                                 1000000000000000u,
                                                 10000000000000000u,
                                                 100000000000000000u};

  for (*exponent = tens_below(value);; ++*exponent) {
    if (!scale(value, digits - 1 - *exponent, whole, back))
      return false;
    if (*whole < tens[digits])
      return true;
  }
}

/* The same without trailing zeros, but at least one digit. */
static int write_figures(uint64_t whole, char *out) {
  int n = write_whole(whole, out);

  while (n > 1 && out[n - 1] == '0')
    n--;
  return n;
}

/* The significant digits of a value above zero without trailing zeros (at least one), and the
 * exponent of the first. */
static int digits_of(double value, int digits, char out[24], int *exponent) {
  char text[48];
  const char *at = text;
  enum reads_back back;
  uint64_t whole;
  int n = 0;

  if (scale_digits(value, digits, &whole, exponent, &back))
    return write_figures(whole, out);
  snprintf(text, sizeof text, "%.*e", digits - 1, value);
  for (; *at != 'e' && *at != '\0'; at++)
    if (is_digit(*at) && n < 20)
      out[n++] = *at;
  if (*at == 'e')
    *exponent = atoi(at + 1);
  else
    *exponent = 0;
  while (n > 1 && out[n - 1] == '0')
    n--;
  return n;
}

static const char *not_finite(char buffer[PL_NUMBER_SIZE], double value) {
  return strcpy(buffer, isnan(value) ? "nan" : value < 0 ? "-inf" : "inf");
}

static char *write_exponent(char *to, int exponent) {
  *to++ = 'e';
  if (exponent < 0)
    *to++ = '-';
  to += write_whole((uint64_t)abs(exponent), to);
  return to;
}

/* Digits and the exponent of the first, laid out for people. */
static const char *
lay_out(char buffer[PL_NUMBER_SIZE], bool minus, const char *figures, int n, int exponent) {
  char *to = buffer;
  int before;

  if (minus)
    *to++ = '-';
  if (exponent < -6 || exponent > 15) {
    *to++ = figures[0];
    if (n > 1)
      *to++ = '.';
    memcpy(to, figures + 1, (size_t)n - 1);
    *write_exponent(to + n - 1, exponent) = '\0';
    return buffer;
  }
  if (exponent < 0) {
    *to++ = '0';
    *to++ = '.';
    for (int i = -1; i > exponent; i--)
      *to++ = '0';
  }
  before = exponent < 0       ? 0
           : exponent + 1 < n ? exponent + 1
                              : n; /* figures in front of the point */
  memcpy(to, figures, (size_t)before);
  to += before;
  for (int i = n; i <= exponent; i++)
    *to++ = '0';
  if (before > 0 && before < n)
    *to++ = '.';
  memcpy(to, figures + before, (size_t)(n - before));
  to[n - before] = '\0';
  return buffer;
}

const char *pl_number_print(char buffer[PL_NUMBER_SIZE], double value, int digits) {
  char figures[24] = "0";
  int exponent = 0;
  int n = 1;

  if (!isfinite(value))
    return not_finite(buffer, value);
  if (value != 0)
    n = digits_of(fabs(value),
                  digits < 1             ? 1
                  : digits > DIGITS_MOST ? DIGITS_MOST
                                         : digits,
                  figures,
                  &exponent);
  return lay_out(buffer, value < 0, figures, n, exponent);
}

/* Fixed decimals by whole numbers; false where they do not fit. */
static bool quick_fixed(char *buffer, double value, int decimals) {
  char figures[24];
  char *to = buffer;
  enum reads_back back;
  uint64_t whole = 0;
  int n;

  if (value != 0 && !scale(fabs(value), decimals, &whole, &back))
    return false;
  n = write_whole(whole, figures);
  if (value < 0 && whole > 0)
    *to++ = '-';
  for (int i = n; i <= decimals; i++) { /* "0.0" before the digits of a small one */
    *to++ = '0';
    if (i == n && decimals > 0)
      *to++ = '.';
  }
  for (int i = 0; i < n; i++) {
    if (i > 0 && i == n - decimals)
      *to++ = '.';
    *to++ = figures[i];
  }
  *to = '\0';
  return true;
}

const char *pl_number_fixed(char buffer[PL_NUMBER_SIZE], double value, int decimals) {
  char text[PL_NUMBER_SIZE + 8];
  char *to = buffer;
  bool zero = true;

  if (decimals < 0)
    decimals = 0;
  else if (decimals > 17)
    decimals = 17;
  if (!(fabs(value) <
        1e15)) /* not so many places that the buffer would not hold them; nan and infinities too */
    return pl_number_print(buffer, value, 17);
  if (quick_fixed(buffer, value, decimals))
    return buffer;
  snprintf(text, sizeof text, "%.*f", decimals, fabs(value));
  for (const char *at = text; *at != '\0'; at++)
    zero = zero && (*at == '0' || !is_digit(*at));
  if (value < 0 && !zero)
    *to++ = '-';
  for (const char *at = text; *at != '\0'; at++)
    if (is_digit(*at))
      *to++ = *at;
    else if (is_digit(at[1])) /* last byte of the locale's decimal point */
      *to++ = '.';
  *to = '\0';
  return buffer;
}

const char *pl_number_exact(char buffer[PL_NUMBER_SIZE], double value) {
  /* every decimal of up to 15 digits survives a normal double, so 15 find any shorter one; tiny
   * values carry fewer */
  int digits = 15;
  if (fabs(value) < DBL_MIN)
    digits = 1;
  char figures[24];

  if (!isfinite(value))
    return not_finite(buffer, value);
  for (; digits <= DIGITS_MOST && value != 0; digits++) {
    enum reads_back back;
    uint64_t whole;
    double again;
    size_t used;
    int exponent;

    if (!scale_digits(fabs(value), digits, &whole, &exponent, &back))
      back = NOT_KNOWN;
    if (back == OTHERWISE)
      continue;
    if (back == READS_BACK)
      return lay_out(buffer, value < 0, figures, write_figures(whole, figures), exponent);
    pl_number_print(buffer, value, digits);
    if (digits < DIGITS_MOST && pl_number_parse(buffer, strlen(buffer), &again, &used) &&
        again == value)
      return buffer;
  }
  return pl_number_print(buffer, value, DIGITS_MOST);
}
