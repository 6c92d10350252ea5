/* Numbers in and out.  The C library's conversions follow the locale, so reading hands strtod an integer with an
 * exponent (no decimal point in it), and printing takes only the digits and the exponent from snprintf. */
#include "base/number.h"

#include <float.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* 767 significant digits decide the rounding of any double (the longest exact half-way case has that many);
 * of those beyond only "is one of them not zero" matters. */
enum { DIGITS_KEPT = 780, EXPONENT_MOST = 100000000 };

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

/* number = [ "+" | "-" ] ( digits [ "." digits ] | "." digits ) [ ( "e" | "E" ) [ "+" | "-" ] digits ] */
static bool scan(const char *text, size_t n, struct decimal *number, size_t *used) {
  size_t at = 0, exponent_at;
  bool any = false, minus = false;
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
  if (at == n || (text[at] != 'e' && text[at] != 'E'))
    return true;
  exponent_at = at + 1;
  if (exponent_at < n && (text[exponent_at] == '-' || text[exponent_at] == '+'))
    minus = text[exponent_at++] == '-';
  if (exponent_at == n || !is_digit(text[exponent_at]))
    return true;
  for (at = exponent_at; at < n && is_digit(text[at]); at++)
    if (exponent < EXPONENT_MOST)
      exponent = exponent * 10 + (text[at] - '0');
  number->exponent += minus ? -exponent : exponent;
  *used = at;
  return true;
}

/* Up to 2^53 the digits are exact in a double, and so is 10^22: one operation then rounds once, as it must. */
static bool convert_small(const struct decimal *number, double *value) {
#if defined(FLT_EVAL_METHOD) && FLT_EVAL_METHOD == 0
  static const double tens[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
  uint64_t whole = 0;

  if (number->n > 15 || number->exponent < -22 || number->exponent > 22)
    return false;
  for (size_t i = 0; i < number->n; i++)
    whole = whole * 10 + (uint64_t)(number->digits[i] - '0');
  *value = number->exponent < 0 ? (double)whole / tens[-number->exponent] : (double)whole * tens[number->exponent];
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
  *value = number.negative && magnitude != 0.0 ? -magnitude : magnitude;
  *used = took;
  return true;
}

/* The significant digits of a finite value without trailing zeros (at least one), and the exponent of the first. */
static int digits_of(double value, int digits, char out[24], int *exponent) {
  char text[48];
  const char *at = text;
  int n = 0;

  snprintf(text, sizeof text, "%.*e", digits - 1, fabs(value));
  for (; *at != 'e' && *at != '\0'; at++)
    if (is_digit(*at) && n < 20)
      out[n++] = *at;
  *exponent = *at == 'e' ? atoi(at + 1) : 0;
  while (n > 1 && out[n - 1] == '0')
    n--;
  return n;
}

static const char *not_finite(char buffer[PL_NUMBER_SIZE], double value) {
  return strcpy(buffer, isnan(value) ? "nan" : value < 0 ? "-inf" : "inf");
}

const char *pl_number_print(char buffer[PL_NUMBER_SIZE], double value, int digits) {
  char figures[24], *to = buffer;
  int exponent, n;

  if (!isfinite(value))
    return not_finite(buffer, value);
  n = digits_of(value, digits < 1 ? 1 : digits > 17 ? 17 : digits, figures, &exponent);
  if (value < 0)
    *to++ = '-';
  if (exponent < -6 || exponent > 15) {
    *to++ = figures[0];
    if (n > 1)
      *to++ = '.';
    memcpy(to, figures + 1, (size_t)n - 1);
    snprintf(to + n - 1, 8, "e%d", exponent);
    return buffer;
  }
  if (exponent < 0) {
    *to++ = '0';
    *to++ = '.';
    for (int i = -1; i > exponent; i--)
      *to++ = '0';
  }
  for (int i = 0; i < n || i <= exponent; i++) {
    *to++ = i < n ? figures[i] : '0';
    if (i == exponent && i + 1 < n)
      *to++ = '.';
  }
  *to = '\0';
  return buffer;
}

const char *pl_number_fixed(char buffer[PL_NUMBER_SIZE], double value, int decimals) {
  char text[PL_NUMBER_SIZE + 8], *to = buffer;
  bool zero = true;

  decimals = decimals < 0 ? 0 : decimals > 17 ? 17 : decimals;
  if (!(fabs(value) < 1e15))  /* not so many places that the buffer would not hold them; nan and infinities too */
    return pl_number_print(buffer, value, 17);
  snprintf(text, sizeof text, "%.*f", decimals, fabs(value));
  for (const char *at = text; *at != '\0'; at++)
    zero = zero && (*at == '0' || !is_digit(*at));
  if (value < 0 && !zero)
    *to++ = '-';
  for (const char *at = text; *at != '\0'; at++)
    if (is_digit(*at))
      *to++ = *at;
    else if (is_digit(at[1]))  /* last byte of the locale's decimal point */
      *to++ = '.';
  *to = '\0';
  return buffer;
}

const char *pl_number_exact(char buffer[PL_NUMBER_SIZE], double value) {
  /* every decimal of up to 15 digits survives a normal double, so 15 find any shorter one; tiny values carry fewer */
  int digits = fabs(value) < DBL_MIN ? 1 : 15;

  if (!isfinite(value))
    return not_finite(buffer, value);
  for (; digits < 17; digits++) {
    double again;
    size_t used;

    pl_number_print(buffer, value, digits);
    if (pl_number_parse(buffer, strlen(buffer), &again, &used) && again == value)
      return buffer;
  }
  return pl_number_print(buffer, value, 17);
}
