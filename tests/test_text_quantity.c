/* Units, quantities, ranges and wire sizes: every unit with its factor, every message with its
 * caret. */
#include "test_text.h"
#include "text/units_inner.h"

static void open_line(struct reading *reading,
                      struct pl_cursor *cursor,
                      const char *text,
                      const char *example) {
  read_text(reading, text);
  CU_ASSERT_EQUAL_FATAL(reading->tree.lines.n, 1);
  pl_cursor_open(cursor, &reading->tree, 0, example, &reading->findings);
}

/* ---- units ---- */

/* SI prefixes: SI brochure, 9th edition, table 7.  Inch 25.4 mm, foot 0.3048 m: NIST SP 811:2008
 * appendix B.8.  degF by (F - 32) / 1.8: NIST SP 811:2008 appendix B.8.  Minute, hour: SI brochure,
 * table 8. */
static const struct {
  const char *text;
  enum pl_unit kind;
  double value;
} units[] = {
    {"15 mm", PL_UNIT_LENGTH, 0.015},
    {"1800mm", PL_UNIT_LENGTH, 1.8},
    {"15 cm", PL_UNIT_LENGTH, 0.15},
    {"2.4 m", PL_UNIT_LENGTH, 2.4},
    {"10 in", PL_UNIT_LENGTH, 0.254},
    {"8 ft", PL_UNIT_LENGTH, 2.4384},
    {"3 feet", PL_UNIT_LENGTH, 0.9144},
    {"1 foot", PL_UNIT_LENGTH, 0.3048},
    {"2 inches", PL_UNIT_LENGTH, 0.0508},
    {"12\xE2\x80\xB3", PL_UNIT_LENGTH, 0.3048},
    {"6\xE2\x80\xB2", PL_UNIT_LENGTH, 1.8288},
    {"2 metres", PL_UNIT_LENGTH, 2},
    {"2 meters", PL_UNIT_LENGTH, 2},
    {"500 uA", PL_UNIT_CURRENT, 0.0005},
    {"500 \xC2\xB5"
     "A",
     PL_UNIT_CURRENT,
     0.0005},
    {"500\xCE\xBC"
     "A",
     PL_UNIT_CURRENT,
     0.0005},
    {"20 mA", PL_UNIT_CURRENT, 0.02},
    {"15A", PL_UNIT_CURRENT, 15},
    {"15 amps", PL_UNIT_CURRENT, 15},
    {"1.5e1 A", PL_UNIT_CURRENT, 15},
    {".5 A", PL_UNIT_CURRENT, 0.5},
    {"700 mV", PL_UNIT_VOLTAGE, 0.7},
    {"12 V", PL_UNIT_VOLTAGE, 12},
    {"12v", PL_UNIT_VOLTAGE, 12},
    {"-5 V", PL_UNIT_VOLTAGE, -5},
    {"12 volts", PL_UNIT_VOLTAGE, 12},
    {"55 W", PL_UNIT_POWER, 55},
    {"2 kW", PL_UNIT_POWER, 2000},
    {"55 watts", PL_UNIT_POWER, 55},
    {"5 mohm", PL_UNIT_RESISTANCE, 0.005},
    {"5 m\xCE\xA9", PL_UNIT_RESISTANCE, 0.005},
    {"5 m\xE2\x84\xA6", PL_UNIT_RESISTANCE, 0.005},
    {"90 ohm", PL_UNIT_RESISTANCE, 90},
    {"90 ohms", PL_UNIT_RESISTANCE, 90},
    {"90\xCE\xA9", PL_UNIT_RESISTANCE, 90},
    {"90 \xE2\x84\xA6", PL_UNIT_RESISTANCE, 90},
    {"10 kohm", PL_UNIT_RESISTANCE, 10000},
    {"10k\xCE\xA9", PL_UNIT_RESISTANCE, 10000},
    {"10 k\xE2\x84\xA6", PL_UNIT_RESISTANCE, 10000},
    {"2 Mohm", PL_UNIT_RESISTANCE, 2e6},
    {"2 M\xCE\xA9", PL_UNIT_RESISTANCE, 2e6},
    {"0 ohm", PL_UNIT_RESISTANCE, 0},
    {"85 degC", PL_UNIT_TEMPERATURE, 85},
    {"-40 degC", PL_UNIT_TEMPERATURE, -40},
    {"85 \xC2\xB0"
     "C",
     PL_UNIT_TEMPERATURE,
     85},
    {"85\xC2\xB0"
     "C",
     PL_UNIT_TEMPERATURE,
     85},
    {"85 \xE2\x84\x83", PL_UNIT_TEMPERATURE, 85},
    {"85 deg C", PL_UNIT_TEMPERATURE, 85},
    {"85 \xC2\xB0 C", PL_UNIT_TEMPERATURE, 85},
    {"85 C", PL_UNIT_TEMPERATURE, 85},
    {"\xE2\x88\x92"
     "40 degC",
     PL_UNIT_TEMPERATURE,
     -40},
    {"212 degF", PL_UNIT_TEMPERATURE, 100},
    {"32 degF", PL_UNIT_TEMPERATURE, 0},
    {"-40\xC2\xB0"
     "F",
     PL_UNIT_TEMPERATURE,
     -40},
    {"212 \xE2\x84\x89", PL_UNIT_TEMPERATURE, 100},
    {"212 degrees F", PL_UNIT_TEMPERATURE, 100},
    {"250 ms", PL_UNIT_TIME, 0.25},
    {"10 s", PL_UNIT_TIME, 10},
    {"10 sec", PL_UNIT_TIME, 10},
    {"5 min", PL_UNIT_TIME, 300},
    {"2 h", PL_UNIT_TIME, 7200},
    {"2 hours", PL_UNIT_TIME, 7200},
    {"100 Ah", PL_UNIT_CHARGE, 100},
    {"3 %", PL_UNIT_SHARE, 0.03},
    {"75%", PL_UNIT_SHARE, 0.75},
    {"50 percent", PL_UNIT_SHARE, 0.5},
    {"5 times", PL_UNIT_MULTIPLE, 5},
    {"150 %", PL_UNIT_MULTIPLE, 1.5},
    {"50 kPa", PL_UNIT_PRESSURE, 50},
    {"-20 kPa", PL_UNIT_PRESSURE, -20},
    {"0.5 bar", PL_UNIT_PRESSURE, 50},
    {"1 psi",
     PL_UNIT_PRESSURE,
     6.8947572931683613}, /* NIST SP 811: 6.894757 kPa; from the pound-force and the inch */
    {"1500 rpm", PL_UNIT_SPEED, 1500},
    {"1.5 mm2", PL_UNIT_SIZE, 1.5},
    {"14 AWG", PL_UNIT_SIZE, 14},
};

static void reads_every_unit(void) {
  for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
    struct reading reading;
    struct pl_cursor c;
    double value = NAN;

    open_line(&reading, &c, units[i].text, NULL);
    PL_CHECK(pl_cursor_is_quantity(&c, units[i].kind) && !pl_cursor_is_range(&c, units[i].kind),
             units[i].text);
    PL_CHECK(pl_cursor_quantity(&c, units[i].kind, &value) && pl_cursor_end(&c), units[i].text);
    PL_CHECK_CLOSE(value, units[i].value, 1e-15, units[i].text);
    done_reading(&reading);
  }
}

/* Every row of the table is in the test above, and no spelling means two things, but that per cent
 * may be a share or a multiple. */
static void leaves_no_unit_out(void) {
  struct pl_arena arena;

  pl_test_arena(&arena);
  for (size_t i = 0; i < pl_unit_row_count; i++) {
    const struct pl_unit_row *row = &pl_unit_rows[i];
    char *list = pl_arena_printf(&arena, "%s %s", row->name, row->words);
    char *rest = list;
    bool tested = false;

    for (char *word; (word = strtok_r(rest, " ", &rest)) != NULL;) {
      const struct pl_unit_row *any = pl_unit_find_any(word, strlen(word));

      PL_CHECK(any == row || (row->kind == PL_UNIT_MULTIPLE && any->kind == PL_UNIT_SHARE &&
                              strcmp(any->name, row->name) == 0),
               word);
      PL_CHECK(pl_unit_find(row->kind, word, strlen(word)) == row, word);
    }
    for (size_t j = 0; j < sizeof units / sizeof units[0]; j++) {
      size_t n = strlen(units[j].text);
      size_t m = strlen(row->name);

      tested |=
          units[j].kind == row->kind && n > m && strcmp(units[j].text + n - m, row->name) == 0;
    }
    PL_CHECK(tested, row->name);
  }
  pl_arena_release(&arena);
}

static void knows_each_kind(void) {
  static const char *lists[] = {"AWG, mm2",
                                "mm, cm, m, in, ft",
                                "uA, mA, A",
                                "mV, V",
                                "W, kW",
                                "mohm, ohm, kohm, Mohm",
                                "degC, degF",
                                "ms, s, min, h",
                                "Ah",
                                "%"};
  struct pl_arena arena;

  pl_test_arena(&arena);
  for (int kind = PL_UNIT_SIZE; kind <= PL_UNIT_SHARE; kind++) {
    const struct pl_unit_kind *about = pl_unit_kind((enum pl_unit)kind);
    struct reading reading;
    struct pl_cursor c;
    double low, high;

    PL_CHECK_STR(pl_unit_list(&arena, (enum pl_unit)kind), lists[kind], about->noun);
    open_line(&reading, &c, pl_arena_printf(&arena, "%s %s", about->example, about->range), NULL);
    PL_CHECK(pl_cursor_quantity(&c, (enum pl_unit)kind, &low), "the example reads");
    PL_CHECK(pl_cursor_range(&c, (enum pl_unit)kind, &low, &high) && pl_cursor_end(&c),
             "the range reads");
    done_reading(&reading);
  }
  pl_arena_release(&arena);
}

CU_TestInfo unit_tests[] = {
    {"every unit and its factor", reads_every_unit},
    {"no unit is left out, no spelling has two meanings", leaves_no_unit_out},
    {"kinds", knows_each_kind},
    CU_TEST_INFO_NULL};

/* ---- ranges and sizes ---- */

static void reads_ranges(void) {
  static const struct {
    const char *text;
    enum pl_unit kind;
    double low, high;
  } ranges[] = {
      {"9..16 V", PL_UNIT_VOLTAGE, 9, 16},
      {"9..16V", PL_UNIT_VOLTAGE, 9, 16},
      {"9 .. 16 V", PL_UNIT_VOLTAGE, 9, 16},
      {"9.. 16 V", PL_UNIT_VOLTAGE, 9, 16},
      {"9 ..16 V", PL_UNIT_VOLTAGE, 9, 16},
      {"9V..16V", PL_UNIT_VOLTAGE, 9, 16},
      {"9 V .. 16 V", PL_UNIT_VOLTAGE, 9, 16},
      {"9\xE2\x80\xA6"
       "16 V",
       PL_UNIT_VOLTAGE,
       9,
       16},
      {"-20..40 degC", PL_UNIT_TEMPERATURE, -20, 40},
      {"-30..-20 degC", PL_UNIT_TEMPERATURE, -30, -20},
      {"\xE2\x88\x92"
       "30..\xE2\x88\x92"
       "20 \xC2\xB0"
       "C",
       PL_UNIT_TEMPERATURE,
       -30,
       -20},
      {"-40..212 degF", PL_UNIT_TEMPERATURE, -40, 100},
      {"-20 deg C..40 deg C", PL_UNIT_TEMPERATURE, -20, 40},
      {"0.5..1.5 A", PL_UNIT_CURRENT, 0.5, 1.5},
      {"500 mA..1.5 A", PL_UNIT_CURRENT, 0.5, 1.5},
      {"5..5 A", PL_UNIT_CURRENT, 5, 5},
      {"1.2..2.4 mm", PL_UNIT_LENGTH, 0.0012, 0.0024},
  };

  for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
    struct reading reading;
    struct pl_cursor c;
    double low = NAN;
    double high = NAN;

    open_line(&reading, &c, ranges[i].text, NULL);
    PL_CHECK(pl_cursor_is_quantity(&c, ranges[i].kind) && pl_cursor_is_range(&c, ranges[i].kind),
             ranges[i].text);
    PL_CHECK(pl_cursor_range(&c, ranges[i].kind, &low, &high) && pl_cursor_end(&c), ranges[i].text);
    PL_CHECK_CLOSE(low, ranges[i].low, 1e-15, ranges[i].text);
    PL_CHECK_CLOSE(high, ranges[i].high, 1e-15, ranges[i].text);
    done_reading(&reading);
  }
}

static void reads_sizes(void) {
  static const struct {
    const char *text;
    bool metric;
    int awg;
    double area;
  } sizes[] = {
      {"14 AWG", false, 14, 0},
      {"14AWG", false, 14, 0},
      {"14 ga", false, 14, 0},
      {"0 AWG", false, 0, 0},
      {"1/0 AWG", false, 0, 0},
      {"2/0 AWG", false, -1, 0},
      {"3/0AWG", false, -2, 0},
      {"4/0 AWG", false, -3, 0},
      {"00 AWG", false, -1, 0},
      {"000 AWG", false, -2, 0},
      {"0000 AWG", false, -3, 0},
      {"40 AWG", false, 40, 0},
      {"1.5 mm2", true, 0, 1.5},
      {"0.35mm2", true, 0, 0.35},
      {"2.5 mm\xC2\xB2", true, 0, 2.5},
      {"120 mm^2", true, 0, 120},
  };

  for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
    struct reading reading;
    struct pl_cursor c;
    struct pl_size size = {false, 99, -1};

    open_line(&reading, &c, sizes[i].text, NULL);
    PL_CHECK(pl_cursor_is_size(&c), sizes[i].text);
    PL_CHECK(pl_cursor_size(&c, &size) && pl_cursor_end(&c), sizes[i].text);
    PL_CHECK(size.metric == sizes[i].metric && size.awg == sizes[i].awg &&
                 size.area == sizes[i].area,
             sizes[i].text);
    done_reading(&reading);
  }
}

static void reads_size_ranges(void) {
  static const struct {
    const char *text;
    double thin, thick;
  } ranges[] = {
      {"20..16 AWG", 20, 16},
      {"16..20 AWG", 20, 16},
      {"2/0..4/0 AWG", -1, -3},
      {"1..2/0 AWG", 1, -1},
      {"0.5..1.5 mm2", 0.5, 1.5},
  };

  for (size_t i = 0; i < sizeof ranges / sizeof ranges[0]; i++) {
    struct reading reading;
    struct pl_cursor c;
    struct pl_size thin = {0};
    struct pl_size thick = {0};

    open_line(&reading, &c, ranges[i].text, NULL);
    PL_CHECK(pl_cursor_size_range(&c, &thin, &thick) && pl_cursor_end(&c), ranges[i].text);
    PL_CHECK_CLOSE(thin.metric ? thin.area : thin.awg, ranges[i].thin, 0, ranges[i].text);
    PL_CHECK_CLOSE(thick.metric ? thick.area : thick.awg, ranges[i].thick, 0, ranges[i].text);
    done_reading(&reading);
  }
}

static void looks_ahead(void) {
  static const struct {
    const char *text;
    enum pl_unit kind;
    bool quantity;
  } looks[] = {
      {"15 A", PL_UNIT_CURRENT, true},
      {"15 A", PL_UNIT_VOLTAGE, false},
      {"15 V", PL_UNIT_CURRENT, false},
      {"15", PL_UNIT_CURRENT, false},
      {"A", PL_UNIT_CURRENT, false},
      {"15 , A", PL_UNIT_CURRENT, false},
      {"\"15 A\"", PL_UNIT_CURRENT, false},
      {"2,5 A", PL_UNIT_CURRENT, true},
      {"2,5 A", PL_UNIT_VOLTAGE, false},
      {"2,5A", PL_UNIT_CURRENT, true},
      {"9 A, 16 V", PL_UNIT_VOLTAGE, false},
      {"0,5..1,5 A", PL_UNIT_CURRENT, true},
      {"A20..A24", PL_UNIT_CURRENT, false},
      {"9..A", PL_UNIT_CURRENT, false},
  };

  for (size_t i = 0; i < sizeof looks / sizeof looks[0]; i++) {
    struct reading reading;
    struct pl_cursor c;

    open_line(&reading, &c, looks[i].text, NULL);
    PL_CHECK(pl_cursor_is_quantity(&c, looks[i].kind) == looks[i].quantity, looks[i].text);
    PL_CHECK_INT(reading.findings.errors, 0, looks[i].text);
    PL_CHECK_INT(c.at, 0, looks[i].text);
    done_reading(&reading);
  }
}

/* ---- messages ---- */

enum want {
  QUANTITY,
  RANGE,
  SIZE,
  SIZES
};

static const struct {
  const char *name;
  enum want want;
  enum pl_unit kind;
  const char *line, *printed;
} errors[] = {
    {"no unit",
     QUANTITY,
     PL_UNIT_CURRENT,
     "15\n",
     "x.loom:1:1: error: expected a current such as 15 A, found a number without a unit [text]\n"
     "  15\n"
     "  ^~\n"
     "  try: units that fit: uA, mA, A\n"},
    {"no unit before a comma",
     QUANTITY,
     PL_UNIT_CURRENT,
     "15, x\n",
     "x.loom:1:1: error: expected a current such as 15 A, found a number without a unit [text]\n"
     "  15, x\n"
     "  ^~\n"
     "  try: units that fit: uA, mA, A\n"},
    {"no unit before a number",
     QUANTITY,
     PL_UNIT_CURRENT,
     "15 20 A\n",
     "x.loom:1:1: error: expected a current such as 15 A, found a number without a unit [text]\n"
     "  15 20 A\n"
     "  ^~\n"
     "  try: units that fit: uA, mA, A\n"},
    {"no unit before a text",
     QUANTITY,
     PL_UNIT_LENGTH,
     "15 \"x\"\n",
     "x.loom:1:1: error: expected a length such as 2.4 m, found a number without a unit [text]\n"
     "  15 \"x\"\n"
     "  ^~\n"
     "  try: units that fit: mm, cm, m, in, ft\n"},
    {"unit of another kind",
     QUANTITY,
     PL_UNIT_CURRENT,
     "15 V\n",
     "x.loom:1:4: error: expected a current such as 15 A, but V is a unit of voltage [text]\n"
     "  15 V\n"
     "     ^\n"
     "  try: units that fit: uA, mA, A\n"},
    {"unit of another kind, joined",
     QUANTITY,
     PL_UNIT_LENGTH,
     "15AWG\n",
     "x.loom:1:3: error: expected a length such as 2.4 m, but AWG is a unit of wire size [text]\n"
     "  15AWG\n"
     "    ^~~\n"
     "  try: units that fit: mm, cm, m, in, ft\n"},
    {"unknown unit, nearest",
     QUANTITY,
     PL_UNIT_RESISTANCE,
     "90 omh\n",
     "x.loom:1:4: error: expected a resistance such as 90 ohm, but \"omh\" is not a unit [text]\n"
     "  90 omh\n"
     "     ^~~\n"
     "  try: did you mean ohm? (units that fit: mohm, ohm, kohm, Mohm)\n"},
    {"unknown unit, joined",
     QUANTITY,
     PL_UNIT_TEMPERATURE,
     "85dgeC\n",
     "x.loom:1:3: error: expected a temperature such as 85 degC, but \"dgeC\" is not a unit "
     "[text]\n"
     "  85dgeC\n"
     "    ^~~~\n"
     "  try: did you mean degC? (units that fit: degC, degF)\n"},
    {"unknown unit, nothing near",
     QUANTITY,
     PL_UNIT_CURRENT,
     "15 at 12 V\n",
     "x.loom:1:4: error: expected a current such as 15 A, but \"at\" is not a unit [text]\n"
     "  15 at 12 V\n"
     "     ^~\n"
     "  try: units that fit: uA, mA, A\n"},
    {"unknown unit, very long",
     QUANTITY,
     PL_UNIT_CURRENT,
     "15 abcdefghijklmnopqrstuvwxyzabcdefghijkl\n",
     "x.loom:1:4: error: expected a current such as 15 A, but \"abcdefghijklmnopqrstuvwx\" is not "
     "a unit [text]\n"
     "  15 abcdefghijklmnopqrstuvwxyzabcdefghijkl\n"
     "     ^~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~\n"
     "  try: units that fit: uA, mA, A\n"},
    {"no number",
     QUANTITY,
     PL_UNIT_CURRENT,
     "fifteen A\n",
     "x.loom:1:1: error: expected a current such as 15 A, found \"fifteen\" [text]\n"
     "  fifteen A\n"
     "  ^~~~~~~\n"
     "  try: write the number in digits, then the unit\n"},
    {"nothing",
     QUANTITY,
     PL_UNIT_CURRENT,
     ", x\n",
     "x.loom:1:1: error: expected a current such as 15 A, found a comma [text]\n"
     "  , x\n"
     "  ^\n"
     "  try: write the number in digits, then the unit\n"},
    {"a text",
     QUANTITY,
     PL_UNIT_CURRENT,
     "\"15 A\"\n",
     "x.loom:1:1: error: expected a current such as 15 A, found the text \"15 A\" [text]\n"
     "  \"15 A\"\n"
     "  ^~~~~~\n"
     "  try: leave out the quotes\n"},
    {"decimal comma",
     QUANTITY,
     PL_UNIT_VOLTAGE,
     "2,5 V\n",
     "x.loom:1:1: error: a number has a decimal point, this one has a comma [text]\n"
     "  2,5 V\n"
     "  ^~~\n"
     "  try: write 2.5\n"},
    {"decimal comma, joined",
     QUANTITY,
     PL_UNIT_VOLTAGE,
     "12,75V\n",
     "x.loom:1:1: error: a number has a decimal point, this one has a comma [text]\n"
     "  12,75V\n"
     "  ^~~~~~\n"
     "  try: write 12.75\n"},
    {"comma for thousands",
     QUANTITY,
     PL_UNIT_POWER,
     "1,200 W\n",
     "x.loom:1:1: error: a number has a decimal point, this one has a comma [text]\n"
     "  1,200 W\n"
     "  ^~~~~\n"
     "  try: write 1.200, or 1200 for thousands\n"},
    {"fraction",
     QUANTITY,
     PL_UNIT_LENGTH,
     "1/2 in\n",
     "x.loom:1:1: error: expected a length such as 2.4 m, found a fraction [text]\n"
     "  1/2 in\n"
     "  ^~~\n"
     "  try: write it as a decimal number: 0.5\n"},
    {"fraction behind a whole number",
     QUANTITY,
     PL_UNIT_LENGTH,
     "3 1/4 ft\n",
     "x.loom:1:3: error: expected a length such as 2.4 m, found a fraction [text]\n"
     "  3 1/4 ft\n"
     "    ^~~\n"
     "  try: write it as a decimal number: 3.25\n"},
    {"fraction by nothing",
     QUANTITY,
     PL_UNIT_LENGTH,
     "1/0 in\n",
     "x.loom:1:1: error: expected a length such as 2.4 m, found a fraction [text]\n"
     "  1/0 in\n"
     "  ^~~\n"
     "  try: write it as a decimal number: 0.5 for 1/2\n"},
    {"a range for one value",
     QUANTITY,
     PL_UNIT_VOLTAGE,
     "9..16 V\n",
     "x.loom:1:1: error: expected a voltage such as 12 V, found a range [text]\n"
     "  9..16 V\n"
     "  ^~~~~~~\n"
     "  try: write one value\n"},
    {"a dash for one value",
     QUANTITY,
     PL_UNIT_VOLTAGE,
     "9-16 V\n",
     "x.loom:1:1: error: expected a voltage such as 12 V, found two numbers without dots between "
     "them [text]\n"
     "  9-16 V\n"
     "  ^~~~\n"
     "  try: write one value\n"},
    {"negative length",
     QUANTITY,
     PL_UNIT_LENGTH,
     "-5 m\n",
     "x.loom:1:1: error: a length cannot be negative, found -5 [text]\n"
     "  -5 m\n"
     "  ^~~~\n"
     "  try: write it without the minus\n"},
    {"negative current",
     QUANTITY,
     PL_UNIT_CURRENT,
     "\xE2\x88\x92"
     "5 A\n",
     "x.loom:1:1: error: a current cannot be negative, found -5 [text]\n"
     "  \xE2\x88\x92"
     "5 A\n"
     "  ^~~~\n"
     "  try: write it without the minus\n"},
    {"negative resistance",
     QUANTITY,
     PL_UNIT_RESISTANCE,
     "-1 ohm\n",
     "x.loom:1:1: error: a resistance cannot be negative, found -1 [text]\n"
     "  -1 ohm\n"
     "  ^~~~~~\n"
     "  try: write it without the minus\n"},
    {"negative power",
     QUANTITY,
     PL_UNIT_POWER,
     "-1 W\n",
     "x.loom:1:1: error: a power cannot be negative, found -1 [text]\n"
     "  -1 W\n"
     "  ^~~~\n"
     "  try: write it without the minus\n"},
    {"negative time",
     QUANTITY,
     PL_UNIT_TIME,
     "-1 s\n",
     "x.loom:1:1: error: a time cannot be negative, found -1 [text]\n"
     "  -1 s\n"
     "  ^~~~\n"
     "  try: write it without the minus\n"},
    {"negative charge",
     QUANTITY,
     PL_UNIT_CHARGE,
     "-1 Ah\n",
     "x.loom:1:1: error: a charge cannot be negative, found -1 [text]\n"
     "  -1 Ah\n"
     "  ^~~~~\n"
     "  try: write it without the minus\n"},
    {"negative share",
     QUANTITY,
     PL_UNIT_SHARE,
     "-1 %\n",
     "x.loom:1:1: error: a share cannot be negative, found -1 [text]\n"
     "  -1 %\n"
     "  ^~~~\n"
     "  try: write it without the minus\n"},
    {"below absolute zero",
     QUANTITY,
     PL_UNIT_TEMPERATURE,
     "-300 degC\n",
     "x.loom:1:1: error: expected a temperature of at least -273.15 degC, found -300 degC [text]\n"
     "  -300 degC\n"
     "  ^~~~~~~~~\n"
     "  try: check the number and its unit\n"},
    {"too large",
     QUANTITY,
     PL_UNIT_LENGTH,
     "18000 m\n",
     "x.loom:1:1: error: expected a length of at most 10000 m, found 18000 m [text]\n"
     "  18000 m\n"
     "  ^~~~~~~\n"
     "  try: check the number and its unit\n"},
    {"infinite",
     QUANTITY,
     PL_UNIT_CURRENT,
     "1e999 A\n",
     "x.loom:1:1: error: expected a current such as 15 A, found a number too large to work with "
     "[text]\n"
     "  1e999 A\n"
     "  ^~~~~\n"
     "  try: check the number and its unit\n"},
    {"more than all",
     QUANTITY,
     PL_UNIT_SHARE,
     "300 %\n",
     "x.loom:1:1: error: expected a share of at most 100 %, found 300 % [text]\n"
     "  300 %\n"
     "  ^~~~~\n"
     "  try: check the number and its unit\n"},
    {"infinity is no number",
     QUANTITY,
     PL_UNIT_CURRENT,
     "inf A\n",
     "x.loom:1:1: error: expected a current such as 15 A, found \"inf\" [text]\n"
     "  inf A\n"
     "  ^~~\n"
     "  try: write the number in digits, then the unit\n"},
    {"nan is no number",
     QUANTITY,
     PL_UNIT_CURRENT,
     "nan A\n",
     "x.loom:1:1: error: expected a current such as 15 A, found \"nan\" [text]\n"
     "  nan A\n"
     "  ^~~\n"
     "  try: write the number in digits, then the unit\n"},
    {"hexadecimal is no number",
     QUANTITY,
     PL_UNIT_CURRENT,
     "0x10 A\n",
     "x.loom:1:2: error: expected a current such as 15 A, but \"x10\" is not a unit [text]\n"
     "  0x10 A\n"
     "   ^~~\n"
     "  try: units that fit: uA, mA, A\n"},
    {"one value for a range",
     RANGE,
     PL_UNIT_VOLTAGE,
     "12 V\n",
     "x.loom:1:1: error: expected a range such as 9..16 V, found one value [text]\n"
     "  12 V\n"
     "  ^~~~\n"
     "  try: write both ends, the lower one first\n"},
    {"a dash for a range",
     RANGE,
     PL_UNIT_VOLTAGE,
     "9-16 V\n",
     "x.loom:1:1: error: expected a range such as 9..16 V, found two numbers without dots between "
     "them [text]\n"
     "  9-16 V\n"
     "  ^~~~\n"
     "  try: put two dots between the numbers: 9..16 V\n"},
    {"a long dash for a range",
     RANGE,
     PL_UNIT_VOLTAGE,
     "9\xE2\x80\x93"
     "16 V\n",
     "x.loom:1:1: error: expected a range such as 9..16 V, found two numbers without dots between "
     "them [text]\n"
     "  9\xE2\x80\x93"
     "16 V\n"
     "  ^~~~\n"
     "  try: put two dots between the numbers: 9..16 V\n"},
    {"a word for a range",
     RANGE,
     PL_UNIT_VOLTAGE,
     "9 to 16 V\n",
     "x.loom:1:3: error: expected a range such as 9..16 V, found two numbers without dots between "
     "them [text]\n"
     "  9 to 16 V\n"
     "    ^~\n"
     "  try: put two dots between the numbers: 9..16 V\n"},
    {"three dots",
     RANGE,
     PL_UNIT_TEMPERATURE,
     "-20...40 degC\n",
     "x.loom:1:1: error: expected a range such as -20..40 degC, found more than two dots [text]\n"
     "  -20...40 degC\n"
     "  ^~~~~~~~\n"
     "  try: put two dots between the numbers: -20..40 degC\n"},
    {"backwards",
     RANGE,
     PL_UNIT_VOLTAGE,
     "16..9 V\n",
     "x.loom:1:1: error: expected the lower end of the range first, found the higher one [text]\n"
     "  16..9 V\n"
     "  ^~~~~~~\n"
     "  try: write 9..16 V\n"},
    {"backwards in two units",
     RANGE,
     PL_UNIT_CURRENT,
     "1 A..20 mA\n",
     "x.loom:1:1: error: expected the lower end of the range first, found the higher one [text]\n"
     "  1 A..20 mA\n"
     "  ^~~~~~~~~~\n"
     "  try: swap the ends\n"},
    {"range without unit",
     RANGE,
     PL_UNIT_VOLTAGE,
     "9..16\n",
     "x.loom:1:1: error: expected a range such as 9..16 V, found a range without a unit [text]\n"
     "  9..16\n"
     "  ^~~~~\n"
     "  try: units that fit: mV, V\n"},
    {"range without its end",
     RANGE,
     PL_UNIT_VOLTAGE,
     "9.. V\n",
     "x.loom:1:5: error: expected a range such as 9..16 V, found \"V\" [text]\n"
     "  9.. V\n"
     "      ^\n"
     "  try: write two numbers with two dots between them, then the unit\n"},
    {"range that stops",
     RANGE,
     PL_UNIT_VOLTAGE,
     "9..\n",
     "x.loom:1:4: error: expected a range such as 9..16 V, found the end of the line [text]\n"
     "  9..\n"
     "     ^\n"
     "  try: write two numbers with two dots between them, then the unit\n"},
    {"range of another kind",
     RANGE,
     PL_UNIT_VOLTAGE,
     "9..16 A\n",
     "x.loom:1:7: error: expected a range such as 9..16 V, but A is a unit of current [text]\n"
     "  9..16 A\n"
     "        ^\n"
     "  try: units that fit: mV, V\n"},
    {"three ends",
     RANGE,
     PL_UNIT_VOLTAGE,
     "9..16V..20\n",
     "x.loom:1:7: error: expected a range such as 9..16 V, but \"..20\" is not a unit [text]\n"
     "  9..16V..20\n"
     "        ^~~~\n"
     "  try: units that fit: mV, V\n"},
    {"decimal commas in a range",
     RANGE,
     PL_UNIT_VOLTAGE,
     "9,5..16,5 V\n",
     "x.loom:1:1: error: a number has a decimal point, this one has a comma [text]\n"
     "  9,5..16,5 V\n"
     "  ^~~~~~~\n"
     "  try: write 9.5\n"},
    {"size without unit",
     SIZE,
     PL_UNIT_SIZE,
     "14\n",
     "x.loom:1:1: error: expected a wire size such as 14 AWG, found a number without a unit "
     "[text]\n"
     "  14\n"
     "  ^~\n"
     "  try: units that fit: AWG, mm2\n"},
    {"size, turned",
     SIZE,
     PL_UNIT_SIZE,
     "AWG 14\n",
     "x.loom:1:1: error: expected a wire size such as 14 AWG, found \"AWG\" [text]\n"
     "  AWG 14\n"
     "  ^~~\n"
     "  try: write 14 AWG\n"},
    {"size, turned and joined",
     SIZE,
     PL_UNIT_SIZE,
     "AWG2/0\n",
     "x.loom:1:1: error: expected a wire size such as 14 AWG, found \"AWG2/0\" [text]\n"
     "  AWG2/0\n"
     "  ^~~~~~\n"
     "  try: write 2/0 AWG\n"},
    {"size, decimal comma",
     SIZE,
     PL_UNIT_SIZE,
     "2,5 mm2\n",
     "x.loom:1:1: error: a number has a decimal point, this one has a comma [text]\n"
     "  2,5 mm2\n"
     "  ^~~\n"
     "  try: write 2.5\n"},
    {"size of zero",
     SIZE,
     PL_UNIT_SIZE,
     "0 mm2\n",
     "x.loom:1:1: error: expected a wire size such as 1.5 mm2, found 0 mm2 [text]\n"
     "  0 mm2\n"
     "  ^~~~~\n"
     "  try: write the size of the conductor\n"},
    {"size, aught of mm2",
     SIZE,
     PL_UNIT_SIZE,
     "2/0 mm2\n",
     "x.loom:1:1: error: expected a wire size such as 1.5 mm2, found 2/0 mm2 [text]\n"
     "  2/0 mm2\n"
     "  ^~~~~~~\n"
     "  try: sizes such as 2/0 are AWG\n"},
    {"size, negative",
     SIZE,
     PL_UNIT_SIZE,
     "-2 mm2\n",
     "x.loom:1:1: error: a wire size cannot be negative, found -2 [text]\n"
     "  -2 mm2\n"
     "  ^~~~~~\n"
     "  try: write it without the minus\n"},
    {"size, too large",
     SIZE,
     PL_UNIT_SIZE,
     "2501 mm2\n",
     "x.loom:1:1: error: expected a wire size of at most 2500 mm2, found 2501 mm2 [text]\n"
     "  2501 mm2\n"
     "  ^~~~~~~~\n"
     "  try: check the number and its unit\n"},
    {"size, no AWG",
     SIZE,
     PL_UNIT_SIZE,
     "41 AWG\n",
     "x.loom:1:1: error: expected a whole AWG size from 4/0 to 40, found 41 [text]\n"
     "  41 AWG\n"
     "  ^~~~~~\n"
     "  try: for square millimetres write mm2\n"},
    {"size, half an AWG",
     SIZE,
     PL_UNIT_SIZE,
     "1.5 AWG\n",
     "x.loom:1:1: error: expected a whole AWG size from 4/0 to 40, found 1.5 [text]\n"
     "  1.5 AWG\n"
     "  ^~~~~~~\n"
     "  try: for square millimetres write mm2\n"},
    {"size, AWG below 0",
     SIZE,
     PL_UNIT_SIZE,
     "-1 AWG\n",
     "x.loom:1:1: error: expected a whole AWG size from 4/0 to 40, found -1 [text]\n"
     "  -1 AWG\n"
     "  ^~~~~~\n"
     "  try: thicker than 0 AWG are 1/0, 2/0, 3/0 and 4/0 AWG\n"},
    {"size, no 5/0",
     SIZE,
     PL_UNIT_SIZE,
     "5/0 AWG\n",
     "x.loom:1:1: error: expected a wire size such as 14 AWG, found a size thicker than 4/0 AWG "
     "[text]\n"
     "  5/0 AWG\n"
     "  ^~~\n"
     "  try: write thicker conductors in mm2\n"},
    {"size, a text",
     SIZE,
     PL_UNIT_SIZE,
     "\"14 AWG\"\n",
     "x.loom:1:1: error: expected a wire size such as 14 AWG, found the text \"14 AWG\" [text]\n"
     "  \"14 AWG\"\n"
     "  ^~~~~~~~\n"
     "  try: leave out the quotes\n"},
    {"size, in mm",
     SIZE,
     PL_UNIT_SIZE,
     "1.5 mm\n",
     "x.loom:1:5: error: expected a wire size such as 14 AWG, but mm is a unit of length [text]\n"
     "  1.5 mm\n"
     "      ^~\n"
     "  try: units that fit: AWG, mm2\n"},
    {"size, a range",
     SIZE,
     PL_UNIT_SIZE,
     "20..16 AWG\n",
     "x.loom:1:1: error: expected a wire size such as 14 AWG, found a range [text]\n"
     "  20..16 AWG\n"
     "  ^~~~~~~~~~\n"
     "  try: write one value\n"},
    {"sizes, one",
     SIZES,
     PL_UNIT_SIZE,
     "16 AWG\n",
     "x.loom:1:1: error: expected a range such as 0.5..1.5 mm2, found one value [text]\n"
     "  16 AWG\n"
     "  ^~~~~~\n"
     "  try: write both ends, the lower one first\n"},
    {"sizes, backwards",
     SIZES,
     PL_UNIT_SIZE,
     "1.5..0.5 mm2\n",
     "x.loom:1:1: error: expected the lower end of the range first, found the higher one [text]\n"
     "  1.5..0.5 mm2\n"
     "  ^~~~~~~~~~~~\n"
     "  try: write 0.5..1.5 mm2\n"},
    {"sizes in two units",
     SIZES,
     PL_UNIT_SIZE,
     "20 AWG..1.5 mm2\n",
     "x.loom:1:1: error: expected both ends of the range in one unit, found AWG and mm2 [text]\n"
     "  20 AWG..1.5 mm2\n"
     "  ^~~~~~~~~~~~~~~\n"
     "  try: write both in AWG or both in mm2\n"},
};
#define ERRORS (sizeof errors / sizeof errors[0])

static void says_what_is_wrong(void) {
  for (size_t i = 0; i < ERRORS; i++) {
    struct reading reading;
    struct pl_cursor c;
    struct pl_size thin, thick;
    double low, high;
    bool good = true;

    open_line(&reading, &c, errors[i].line, NULL);
    switch (errors[i].want) {
      case QUANTITY:
        good = pl_cursor_quantity(&c, errors[i].kind, &low);
        break;
      case RANGE:
        good = pl_cursor_range(&c, errors[i].kind, &low, &high);
        break;
      case SIZE:
        good = pl_cursor_size(&c, &thin);
        break;
      case SIZES:
        good = pl_cursor_size_range(&c, &thin, &thick);
        break;
    }
    PL_CHECK(!good && c.failed, errors[i].name);
    PL_CHECK_STR(printed(&reading), errors[i].printed, errors[i].name);
    done_reading(&reading);
  }
}

static void gives_the_end_of_the_line(void) {
  struct reading reading;
  struct pl_cursor c;
  double value;

  open_line(&reading, &c, "rating  # none\n", "rating 15 A");
  pl_cursor_next(&c);
  PL_CHECK(!pl_cursor_quantity(&c, PL_UNIT_CURRENT, &value), "nothing there");
  PL_CHECK_STR(
      printed(&reading),
      "x.loom:1:7: error: expected a current such as 15 A, found the end of the line [text]\n"
      "  rating  # none\n"
      "        ^\n"
      "  try: for example: rating 15 A\n",
      "nothing there");
  done_reading(&reading);
}

CU_TestInfo quantity_tests[] = {{"ranges", reads_ranges},
                                {"wire sizes", reads_sizes},
                                {"ranges of wire sizes", reads_size_ranges},
                                {"looking ahead takes and says nothing", looks_ahead},
                                {"what is wrong, with carets", says_what_is_wrong},
                                {"a line that ends too soon", gives_the_end_of_the_line},
                                CU_TEST_INFO_NULL};
