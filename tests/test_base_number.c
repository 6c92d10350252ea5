/* Numbers in and out. */
#include <float.h>
#include <locale.h>

#include "base/number.h"
#include "test_base.h"

static void reads_numbers(void) {
  static const struct {
    const char *text;
    double value;
    size_t used;
  } rows[] = {
      {"12", 12, 2},
      {"-0.5", -0.5, 4},
      {".5", 0.5, 2},
      {"1e3", 1000, 3},
      {"+7", 7, 2},
      {"1E+2", 100, 4},
      {"5e-1", 0.5, 4},
      {"0.1mm2", 0.1, 3},
      {"12.", 12, 2},
      {"12.x", 12, 2},
      {"1e", 1, 1},
      {"1e+", 1, 1},
      {"1ex", 1, 1},
      {"0x10", 0, 1},
      {"1,5", 1, 1},
      {"1.2.3", 1.2, 3},
      {"007", 7, 3},
      {"-0", 0, 2},
      {"1e-400", 0, 6},
      {"0e999999999999999999999", 0, 23},
      {"0.000001", 1e-6, 8},
      {"1_0", 1, 1},
      {"3 V", 3, 1},
      {"1e0000000000000000000000002", 100, 27},
      /* exact arithmetic: 2^53+1 is half way, to even; 1e23 is not exact; the least and greatest
         doubles of IEEE 754 */
      {"9007199254740993", 9007199254740992.0, 16},
      {"9007199254740993.0000000000000000000000000001", 9007199254740994.0, 45},
      {"1e23", 1e23, 4},
      {"1.00000000000000011102230246251565404236316680908203125", 1.0, 55},
      {"1.00000000000000011102230246251565404236316680908203126", 1.0 + DBL_EPSILON, 55},
      {"5e-324", 4.9406564584124654e-324, 6},
      {"2.2250738585072014e-308", DBL_MIN, 23},
      {"1.7976931348623157e308", DBL_MAX, 22},
      {"123456789012345678901234567890", 123456789012345678901234567890.0, 30},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    double value = -77;
    size_t used = 77;

    PL_CHECK(pl_number_parse(rows[i].text, strlen(rows[i].text), &value, &used), rows[i].text);
    PL_CHECK(value == rows[i].value, rows[i].text);
    PL_CHECK(value != 0 || !signbit(value), rows[i].text);
    PL_CHECK_INT(used, rows[i].used, rows[i].text);
  }
}

static void refuses_what_is_no_number(void) {
  static const char *rows[] = {"",
                               "-",
                               "+",
                               ".",
                               "-.",
                               "e5",
                               ".e5",
                               "inf",
                               "-inf",
                               "infinity",
                               "nan",
                               "NAN",
                               "x",
                               " 1",
                               "--1",
                               "+-1",
                               "\xef\xbc\x91",
                               "1e309",
                               "-1e309",
                               "1e999999999999999999",
                               ",5"};

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    double value = -77;
    size_t used = 77;

    PL_CHECK(!pl_number_parse(rows[i], strlen(rows[i]), &value, &used), rows[i]);
    PL_CHECK(value == -77 && used == 77, rows[i]);
  }
}

static void stops_at_the_length(void) {
  double value;
  size_t used;

  CU_ASSERT(pl_number_parse("12345", 2, &value, &used) && value == 12 && used == 2);
  CU_ASSERT(pl_number_parse("1.5e3", 2, &value, &used) && value == 1 && used == 1);
  CU_ASSERT(pl_number_parse("1.5e3", 4, &value, &used) && value == 1.5 && used == 3);
  CU_ASSERT_FALSE(pl_number_parse("12", 0, &value, &used));
  CU_ASSERT_FALSE(pl_number_parse("-12", 1, &value, &used));
}

static void reads_very_long_numbers(void) {
  enum {
    N = 200000
  };
  char *text = malloc(N + 1);
  double value;
  size_t used;

  CU_ASSERT_PTR_NOT_NULL_FATAL(text);
  memset(text, '9', N);
  CU_ASSERT_FALSE(pl_number_parse(text, N, &value, &used)); /* not finite */
  text[1] = '.';
  CU_ASSERT(pl_number_parse(text, N, &value, &used) && value == 10 && used == N);
  memset(text, '0', N);
  text[1] = '.';
  text[N - 1] = '5';
  CU_ASSERT(pl_number_parse(text, N, &value, &used) && value == 0 && used == N);
  memset(text, '0', N);
  text[N - 1] = '5';
  CU_ASSERT(pl_number_parse(text, N, &value, &used) && value == 5 && used == N);
  /* half way between 1 and the next double, then 1000 zeros and a 1: beyond half way (exact
   * arithmetic) */
  memset(text, '0', N);
  memcpy(text, "1.00000000000000011102230246251565404236316680908203125", 55);
  CU_ASSERT(pl_number_parse(text, 1055, &value, &used) && value == 1.0 && used == 1055);
  text[1055] = '1';
  CU_ASSERT(pl_number_parse(text, 1056, &value, &used) && value == 1.0 + DBL_EPSILON &&
            used == 1056);
  free(text);
}

static void prints_numbers(void) {
  static const struct {
    double value;
    int digits;
    const char *text;
  } rows[] = {
      {0, 6, "0"},
      {-0.0, 6, "0"},
      {12, 6, "12"},
      {-0.5, 6, "-0.5"},
      {13.8, 3, "13.8"},
      {1.0 / 3, 3, "0.333"},
      {2.0 / 3, 3, "0.667"},
      {999.9, 3, "1000"},
      {1234567, 3, "1230000"},
      {0.1 + 0.2, 15, "0.3"},
      {1e-6, 6, "0.000001"},
      {1.5e-7, 3, "1.5e-7"},
      {1e15, 3, "1000000000000000"},
      {1e16, 3, "1e16"},
      {9.9999e-7, 2, "0.000001"},
      {1.25e300, 6, "1.25e300"},
      {100, 1, "100"},
      {150, 0, "200"},
      {0.1, 99, "0.10000000000000001"},
      {NAN, 6, "nan"},
      {INFINITY, 6, "inf"},
      {-INFINITY, 6, "-inf"},
      {-1e-300, 2, "-1e-300"},
      {-1.2345678901234567e-6, 17, "-0.0000012345678901234567"},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    char buffer[PL_NUMBER_SIZE];

    CU_ASSERT_PTR_EQUAL(pl_number_print(buffer, rows[i].value, rows[i].digits), buffer);
    PL_CHECK_STR(buffer, rows[i].text, rows[i].text);
  }
}

static void prints_fixed(void) {
  static const struct {
    double value;
    int decimals;
    const char *text;
  } rows[] = {
      {13.8, 2, "13.80"},
      {0, 2, "0.00"},
      {-0.0, 2, "0.00"},
      {-0.004, 2, "0.00"},
      {-0.006, 2, "-0.01"},
      {12.5, 0, "12"},
      {2.675, 2, "2.67"},
      {1e14, 1, "100000000000000.0"},
      {1e20, 2, "1e20"},
      {NAN, 2, "nan"},
      {-INFINITY, 2, "-inf"},
      {5, -3, "5"},
      {0.999, 2, "1.00"},
      {-0.4, 0, "0"},
      {-999999999999999.0, 17, "-999999999999999.00000000000000000"},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    char buffer[PL_NUMBER_SIZE];

    CU_ASSERT_PTR_EQUAL(pl_number_fixed(buffer, rows[i].value, rows[i].decimals), buffer);
    PL_CHECK_STR(buffer, rows[i].text, rows[i].text);
  }
}

static void prints_exactly(void) {
  static const struct {
    double value;
    const char *text;
  } rows[] = {
      {0.1, "0.1"},
      {1.0 / 3, "0.3333333333333333"},
      {0.1 + 0.2, "0.30000000000000004"},
      {13.8, "13.8"},
      {1e23, "1e23"},
      {4.9406564584124654e-324, "5e-324"},
      {DBL_MIN, "2.2250738585072014e-308"},
      {DBL_MAX, "1.7976931348623157e308"},
      {NAN, "nan"},
      {-INFINITY, "-inf"},
      {-0.0, "0"},
      {123456789, "123456789"},
      {9007199254740993.0, "9007199254740992"},
  };
  uint64_t bits = 88172645463325252u;
  int wrong = 0;
  int tried = 0;
  char buffer[PL_NUMBER_SIZE];

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    PL_CHECK_STR(pl_number_exact(buffer, rows[i].value), rows[i].text, rows[i].text);
  for (int i = 0; i < 200000; i++) {
    double value;
    double again = 0;
    size_t used = 0;

    bits ^= bits << 13; /* xorshift: any bits are a double */
    bits ^= bits >> 7;
    bits ^= bits << 17;
    memcpy(&value, &bits, sizeof value);
    if (!isfinite(value))
      continue;
    tried++;
    pl_number_exact(buffer, value);
    wrong += !pl_number_parse(buffer, strlen(buffer), &again, &used) || again != value ||
             used != strlen(buffer) || strtod(buffer, NULL) != value || strlen(buffer) > 26;
  }
  CU_ASSERT(tried > 190000);
  CU_ASSERT_EQUAL(wrong, 0);
}

/* ---- against the C library ---- */

static uint64_t draw(uint64_t *bits) { /* xorshift */
  *bits ^= *bits << 13;
  *bits ^= *bits >> 7;
  return *bits ^= *bits << 17;
}

/* Values of every kind that is printed: any double, figures of a machine, short decimals, half-way
 * cases, powers of two. */
static double drawn(uint64_t *bits, int kind) {
  uint64_t a = draw(bits);
  uint64_t b = draw(bits);
  double value;

  switch (kind % 6) {
    case 0:
      memcpy(&value, &a, sizeof value);
      return value;
    case 1:
      return ldexp((double)(a >> 11), (int)(b % 120) - 113);
    case 2:
      return (double)(a % 1000000) / pow(10, (double)(b % 12));
    case 3:
      return ((double)(a % 100000) + 0.5) / pow(10, (double)(b % 9));
    case 4:
      return ldexp(1 + (double)(a % 3) * DBL_EPSILON - (double)(a % 2) * DBL_EPSILON / 2,
                   (int)(b % 100) - 50);
    default:
      return -(double)(a >> 11) / 9007199254740992.0 * 14;
  }
}

/* What snprintf says, without an exponent between 1e-6 and 1e15. */
static void by_library(char *out, double value, int digits) {
  char text[64], figures[32];
  int n = 0;
  int exponent;
  int at = 0;

  snprintf(text, sizeof text, "%.*e", digits - 1, fabs(value));
  for (const char *c = text; *c != 'e'; c++)
    if (*c != '.')
      figures[n++] = *c;
  exponent = atoi(strchr(text, 'e') + 1);
  while (n > 1 && figures[n - 1] == '0')
    n--;
  if (value < 0)
    out[at++] = '-';
  if (exponent < -6 || exponent > 15) {
    at += sprintf(out + at, n > 1 ? "%c." : "%c", figures[0]);
    sprintf(out + at, "%.*se%d", n - 1, figures + 1, exponent);
    return;
  }
  for (int i = exponent < 0 ? exponent : 0; i < n || i <= exponent; i++) {
    out[at++] = i < 0 ? '0' : i < n ? figures[i] : '0';
    if (i == exponent && (i + 1 < n || exponent < 0))
      out[at++] = '.';
  }
  out[at] = '\0';
}

static void prints_as_the_library(void) {
  uint64_t bits = 88172645463325252u;
  int wrong = 0;
  int tried = 0;

  for (int i = 0; i < 600000; i++) {
    double value = drawn(&bits, i);
    int digits = 1 + (int)(draw(&bits) % 17);
    int decimals = (int)(draw(&bits) % 7);
    char ours[PL_NUMBER_SIZE], theirs[64];

    if (!isfinite(value) || value == 0)
      continue;
    tried++;
    by_library(theirs, value, digits);
    if (strcmp(pl_number_print(ours, value, digits), theirs) != 0 && wrong++ < 3)
      printf("\n    %d digits: %s, the library says %s ", digits, ours, theirs);
    if (!(fabs(value) < 1e15))
      continue;
    snprintf(theirs, sizeof theirs, "%.*f", decimals, value);
    if (strspn(theirs, "-0.") == strlen(theirs))
      memmove(theirs, theirs + (theirs[0] == '-'), strlen(theirs) + (theirs[0] != '-'));
    if (strcmp(pl_number_fixed(ours, value, decimals), theirs) != 0 && wrong++ < 3)
      printf("\n    %d decimals: %s, the library says %s ", decimals, ours, theirs);
  }
  CU_ASSERT(tried > 550000);
  CU_ASSERT_EQUAL(wrong, 0);
}

static void reads_back_as_the_library_does(void) {
  uint64_t bits = 1181783497276652981u;
  int wrong = 0;
  int tried = 0;

  for (int i = 0; i < 600000; i++) {
    double value = drawn(&bits, i);
    char ours[PL_NUMBER_SIZE], theirs[64];

    if (!isfinite(value) || fabs(value) < DBL_MIN)
      continue;
    tried++;
    pl_number_exact(ours, value);
    for (int digits = 15; digits <= 17; digits++) {
      by_library(theirs, value, digits);
      if (strtod(theirs, NULL) == value)
        break;
    }
    if ((strcmp(ours, theirs) != 0 || strtod(ours, NULL) != value) && wrong++ < 3)
      printf("\n    %s, the library says %s ", ours, theirs);
  }
  CU_ASSERT(tried > 550000);
  CU_ASSERT_EQUAL(wrong, 0);
}

/* Where the system has a locale with a decimal comma; otherwise there is nothing to be misled by.
 */
static void locale_changes_nothing(void) {
  static const char *names[] =
      {"de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "nl_NL.UTF-8", "ps_AF", "pl_comma"};
  char buffer[PL_NUMBER_SIZE];
  bool found = false;
  double value;
  size_t used;

  for (size_t i = 0; i < sizeof names / sizeof names[0] && !found; i++)
    found = setlocale(LC_ALL, names[i]) != NULL && strcmp(localeconv()->decimal_point, ".") != 0;
  if (!found)
    printf("\n    (no locale with a decimal comma is installed: checked with the plain one only) ");
  CU_ASSERT_STRING_EQUAL(pl_number_print(buffer, 13.85, 6), "13.85");
  CU_ASSERT_STRING_EQUAL(pl_number_fixed(buffer, 13.85, 1), "13.8");
  CU_ASSERT_STRING_EQUAL(pl_number_exact(buffer, 1.0 / 3), "0.3333333333333333");
  CU_ASSERT_STRING_EQUAL(pl_number_exact(buffer, 1.5e-300), "1.5e-300");
  CU_ASSERT(pl_number_parse("1.5", 3, &value, &used) && value == 1.5 && used == 3);
  CU_ASSERT(pl_number_parse("1.2345678901234567e-30", 22, &value, &used) &&
            value == 1.2345678901234567e-30);
  CU_ASSERT(pl_number_parse("1,5", 3, &value, &used) && value == 1 && used == 1);
  setlocale(LC_ALL, "C");
}

CU_TestInfo number_tests[] = {
    {"reads numbers", reads_numbers},
    {"refuses what is no number", refuses_what_is_no_number},
    {"stops at the length given", stops_at_the_length},
    {"reads very long numbers", reads_very_long_numbers},
    {"prints with few digits", prints_numbers},
    {"prints fixed decimals", prints_fixed},
    {"prints what reads back the same", prints_exactly},
    {"prints as the C library", prints_as_the_library},
    {"reads back as the C library does", reads_back_as_the_library_does},
    {"the locale changes nothing", locale_changes_nothing},
    CU_TEST_INFO_NULL,
};
