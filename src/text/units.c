/* The table of units: factors to the program's base units and the spellings people use.  SI
 * prefixes and the 1959 inch (25.4 mm exactly, the foot 304.8 mm) are exact; degF by (F - 32) * 5 /
 * 9; a pound-force is 4.4482216152605 N.  It does not know where a quantity stands.
 */
#include "text/units_inner.h"

#include <string.h>

#include "base/nearest.h"

#define OHM "\xCE\xA9"          /* Greek capital omega */
#define OHM_SIGN "\xE2\x84\xA6" /* ohm sign */
#define MICRO "\xC2\xB5"        /* micro sign */
#define MU "\xCE\xBC"           /* Greek small mu */
#define DEG "\xC2\xB0"

const struct pl_unit_row pl_unit_rows[] = {
    {PL_UNIT_SIZE, "AWG", 0, 1, 1, "awg Awg ga GA gauge"},
    {PL_UNIT_SIZE, "mm2", 0, 1, 1, "mm\xC2\xB2 mm^2 MM2 sqmm qmm"},
    {PL_UNIT_LENGTH, "mm", 0, 1, 1000, "MM millimetre millimetres millimeter millimeters"},
    {PL_UNIT_LENGTH, "cm", 0, 1, 100, "CM centimetre centimetres centimeter centimeters"},
    {PL_UNIT_LENGTH, "m", 0, 1, 1, "metre metres meter meters"},
    {PL_UNIT_LENGTH, "in", 0, 254, 10000, "IN inch inches \xE2\x80\xB3"},
    {PL_UNIT_LENGTH, "ft", 0, 3048, 10000, "FT foot feet \xE2\x80\xB2"},
    {PL_UNIT_CURRENT, "uA", 0, 1, 1000000, MICRO "A " MU "A microamp microamps"},
    {PL_UNIT_CURRENT, "mA", 0, 1, 1000, "ma milliamp milliamps"},
    {PL_UNIT_CURRENT, "A", 0, 1, 1, "a amp amps Amp Amps ampere amperes"},
    {PL_UNIT_VOLTAGE, "mV", 0, 1, 1000, "mv millivolt millivolts"},
    {PL_UNIT_VOLTAGE, "V", 0, 1, 1, "v volt volts Volt Volts"},
    {PL_UNIT_POWER, "W", 0, 1, 1, "w watt watts Watt Watts"},
    {PL_UNIT_POWER, "kW", 0, 1000, 1, "kw KW Kw kilowatt kilowatts"},
    {PL_UNIT_RESISTANCE,
     "mohm",
     0,
     1,
     1000,
     "mohms mOhm mOhms m" OHM " m" OHM_SIGN " milliohm milliohms"},
    {PL_UNIT_RESISTANCE, "ohm", 0, 1, 1, "ohms Ohm Ohms OHM " OHM " " OHM_SIGN},
    {PL_UNIT_RESISTANCE,
     "kohm",
     0,
     1000,
     1,
     "kohms kOhm kOhms Kohm k" OHM " k" OHM_SIGN " K" OHM " K" OHM_SIGN
     " kiloohm kiloohms kilohm kilohms"},
    {PL_UNIT_RESISTANCE,
     "Mohm",
     0,
     1000000,
     1,
     "Mohms MOhm MOhms M" OHM " M" OHM_SIGN " megohm megohms megaohm megaohms"},
    {PL_UNIT_TEMPERATURE,
     "degC",
     0,
     1,
     1,
     DEG "C " DEG "c degc DegC \xE2\x84\x83 C celsius Celsius"},
    {PL_UNIT_TEMPERATURE,
     "degF",
     32,
     5,
     9,
     DEG "F " DEG "f degf DegF \xE2\x84\x89 F fahrenheit Fahrenheit"},
    {PL_UNIT_TIME, "ms", 0, 1, 1000, "millisecond milliseconds"},
    {PL_UNIT_TIME, "s", 0, 1, 1, "sec secs second seconds"},
    {PL_UNIT_TIME, "min", 0, 60, 1, "mins minute minutes"},
    {PL_UNIT_TIME, "h", 0, 3600, 1, "hr hrs hour hours"},
    {PL_UNIT_CHARGE, "Ah", 0, 1, 1, "ah AH amp-hour amp-hours"},
    {PL_UNIT_SHARE, "%", 0, 1, 100, "percent pct"},
    {PL_UNIT_MULTIPLE, "times", 0, 1, 1, "x fold"},
    {PL_UNIT_MULTIPLE, "%", 0, 1, 100, "percent pct"},
    {PL_UNIT_PRESSURE, "kPa", 0, 1, 1, "kpa KPa kilopascal kilopascals"},
    {PL_UNIT_PRESSURE, "bar", 0, 100, 1, "Bar bars"},
    {PL_UNIT_PRESSURE, "psi", 0, 4.4482216152605, 0.64516, "PSI Psi"},
    {PL_UNIT_SPEED, "rpm", 0, 1, 1, "RPM Rpm r/min"}};
const size_t pl_unit_row_count = sizeof pl_unit_rows / sizeof pl_unit_rows[0];

static const struct pl_unit_kind unit_kinds[] = {
    /* IEC 60228 ends at 2500 mm2; the other ends are far outside any machine: from memory */
    [PL_UNIT_SIZE] = {"wire size", "14 AWG", "0.5..1.5 mm2", 0, 2500, "0", "2500 mm2"},
    [PL_UNIT_LENGTH] = {"length", "2.4 m", "1.2..2.4 mm", 0, 10000, "0", "10000 m"},
    [PL_UNIT_CURRENT] = {"current", "15 A", "40..110 A", 0, 100000, "0", "100000 A"},
    [PL_UNIT_VOLTAGE] = {"voltage", "12 V", "9..16 V", -10000, 10000, "-10000 V", "10000 V"},
    [PL_UNIT_POWER] = {"power", "40 W", "20..40 W", 0, 10000000, "0", "10000 kW"},
    [PL_UNIT_RESISTANCE] = {"resistance", "90 ohm", "33..240 ohm", 0, 1e9, "0", "1000 Mohm"},
    [PL_UNIT_TEMPERATURE] =
        {"temperature", "85 degC", "-20..40 degC", -273.15, 2000, "-273.15 degC", "2000 degC"},
    [PL_UNIT_TIME] = {"time", "10 s", "5..10 s", 0, 36000000, "0", "10000 h"},
    [PL_UNIT_CHARGE] = {"charge", "100 Ah", "60..100 Ah", 0, 1000000, "0", "1000000 Ah"},
    [PL_UNIT_SHARE] = {"share", "3 %", "3..10 %", 0, 1, "0", "100 %"},
    [PL_UNIT_MULTIPLE] = {"multiple", "5 times", "2..5 times", 0, 1000, "0", "1000 times"},
    [PL_UNIT_PRESSURE] =
        {"pressure", "50 kPa", "0..10 bar", -101.325, 1e6, "-101.325 kPa", "10000 bar"},
    [PL_UNIT_SPEED] = {"speed", "1500 rpm", "600..2500 rpm", 0, 200000, "0", "200000 rpm"}};

const struct pl_unit_kind *pl_unit_kind(enum pl_unit kind) {
  return &unit_kinds[kind];
}

/* The next word of a list with blanks between; its length, 0 at the end. */
static size_t next_word(const char **list) {
  *list += strspn(*list, " ");
  return strcspn(*list, " ");
}

static bool is_name(const struct pl_unit_row *row, const char *word, size_t n) {
  if (strncmp(row->name, word, n) != 0)
    return false;
  return row->name[n] == '\0';
}

static bool is_spelling(const struct pl_unit_row *row, const char *word, size_t n) {
  const char *list = row->words;

  for (size_t length; (length = next_word(&list)) > 0; list += length)
    if (length == n && memcmp(list, word, n) == 0)
      return true;
  return false;
}

const struct pl_unit_row *pl_unit_find(enum pl_unit kind, const char *word, size_t n) {
  for (size_t i = 0; i < pl_unit_row_count && n > 0; i++)
    if (pl_unit_rows[i].kind == kind && is_name(&pl_unit_rows[i], word, n))
      return &pl_unit_rows[i];
  for (size_t i = 0; i < pl_unit_row_count && n > 0; i++)
    if (pl_unit_rows[i].kind == kind && is_spelling(&pl_unit_rows[i], word, n))
      return &pl_unit_rows[i];
  return NULL;
}

const struct pl_unit_row *pl_unit_find_any(const char *word, size_t n) {
  for (size_t i = 0; i < pl_unit_row_count && n > 0; i++)
    if (is_name(&pl_unit_rows[i], word, n) || is_spelling(&pl_unit_rows[i], word, n))
      return &pl_unit_rows[i];
  return NULL;
}

const struct pl_unit_row *
pl_unit_nearest(struct pl_arena *arena, enum pl_unit kind, const char *word, size_t n) {
  const struct pl_unit_row *best = NULL;
  struct pl_nearest nearest;

  if (n > 24)
    return NULL;
  pl_nearest_init(&nearest, pl_arena_strndup(arena, word, n));
  for (size_t i = 0; i < pl_unit_row_count; i++) {
    const struct pl_unit_row *row = &pl_unit_rows[i];
    const char *before = nearest.best;
    const char *list = row->words;

    if (row->kind != kind)
      continue;
    pl_nearest_offer(&nearest, row->name);
    for (size_t length; (length = next_word(&list)) > 0; list += length)
      pl_nearest_offer(&nearest, pl_arena_strndup(arena, list, length));
    if (nearest.best != before)
      best = row;
  }
  /* a word of two letters is a slip of almost any unit */
  if (best != NULL && (size_t)nearest.distance * 2 < n)
    return best;
  return NULL;
}

const char *pl_unit_list(struct pl_arena *arena, enum pl_unit kind) {
  struct pl_buffer out;

  pl_buffer_init(&out, arena);
  for (size_t i = 0; i < pl_unit_row_count; i++)
    if (pl_unit_rows[i].kind == kind)
      pl_buffer_printf(&out, "%s%s", out.n > 0 ? ", " : "", pl_unit_rows[i].name);
  return out.at;
}

double pl_unit_convert(const struct pl_unit_row *row, double number) {
  return (number - row->zero) * row->times / row->over;
}
