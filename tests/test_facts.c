/* Every row of model/facts.def, walked: its example is read on every kind it fits, compare tells
 * the change to its other value, the reference has it, and defaults lists what is left unsaid. */
#include "base/file.h"
#include "base/number.h"
#include "model/build.h"
#include "model/facts.h"
#include "pl_test.h"
#include "sheet/changes.h"

static struct pl_arena arena;

static int set_up(void) {
  pl_test_arena(&arena);
  return 0;
}

static int clear(void) {
  pl_arena_release(&arena);
  return 0;
}

/* The harness of a text; NULL with the errors printed when it cannot be read. */
static struct pl_harness *built(const char *text) {
  struct pl_sources *sources = PL_NEW(&arena, struct pl_sources);
  struct pl_findings *findings = PL_NEW(&arena, struct pl_findings);
  struct pl_harness *harness = PL_NEW(&arena, struct pl_harness);
  struct pl_reader reader = pl_reader_text(text);
  pl_sources_init(sources, &arena);
  pl_findings_init(findings, &arena);
  pl_harness_init(harness, &arena);
  if (pl_build("m.loom", &reader, sources, findings, harness))
    return harness;
  struct pl_buffer out;
  pl_buffer_init(&out, &arena);
  pl_findings_print(&out, findings, sources);
  printf("%s%s", text, out.at);
  return NULL;
}

/* ---- a text around a line ---- */

/* What a device of a kind cannot do without. */
static const char *least_of(enum pl_kind kind) {
  if (pl_kind_is(kind, PL_IS_STORE))
    return "  cca 900 A\n";
  if (pl_kind_is(kind, PL_IS_GENERATOR))
    return "  output 1..2 A\n";
  if (pl_kind_is(kind, PL_IS_STARTER))
    return "  cranks 1 A at 9 V\n";
  if (pl_kind_is(kind, PL_IS_PROTECTION))
    return "  rating 5 A\n";
  if (pl_kind_is(kind, PL_IS_SETTABLE))
    return "  position closed: 1 to 2\n  position open\n";
  if (pl_kind_is(kind, PL_IS_LOAD))
    return "  draws 1 A\n";
  if (pl_kind_is(kind, PL_IS_RESISTANCE))
    return "  resistance 1 ohm\n";
  if (pl_kind_is(kind, PL_IS_BOND))
    return "  to BLOCK\n";
  return "";
}

/* What a line cannot be read without: these stand before it. */
static const struct {
  const char *word;
  pl_properties of; /* kinds; 0: all that it fits */
  const char *lines;
} befores[] = {{"signal at", 0, "  supply resistance 5 kohm\n"},
               {"signal", 0, "  supply resistance 5 kohm\n"},
               {"measures", PL_IS_SETTABLE, "  stands in closed below 50 kPa\n"},
               {"stands in", 0, "  measures oil\n"},
               {"latching", 0, "  reset coil 88 to 85\n"},
               {"reset coil", 0, "  latching\n"},
               {"codes", 0, "  A10 switch input\n  A11 switch input\n"}};

static const char *before(enum pl_kind kind, const char *word) {
  for (size_t i = 0; i < sizeof befores / sizeof befores[0]; i++)
    if (strcmp(befores[i].word, word) == 0 &&
        (befores[i].of == 0 || pl_kind_is(kind, befores[i].of)))
      return befores[i].lines;
  return "";
}

/* A device that is a connector must say its cavities, but once. */
static const char *cavities_of(enum pl_kind kind, const char *line) {
  bool says = strncmp(line, "cavities", 8) == 0 || strncmp(line, "connector", 9) == 0;
  return pl_kind_is(kind, PL_IS_PLUG) && !says ? "  cavities 2\n" : "";
}

#define PLACES "place bay\nplace engine-left\nchassis BLOCK\nchassis FRAME\n"

static const char *device_text(enum pl_kind kind, const struct pl_fact_row *row, const char *line) {
  bool bare = line[0] == '\0' && strcmp(row->word, "latching") == 0; /* its coil goes with it */
  return pl_arena_printf(&arena,
                         "machine \"m\"\n" PLACES "%s T1\n%s%s%s%s%s\n",
                         pl_kind_name(kind),
                         least_of(kind),
                         cavities_of(kind, line[0] != '\0' ? line : row->example),
                         bare ? "" : before(kind, row->word),
                         line[0] != '\0' ? "  " : "",
                         line);
}

/* Statements that all other lines are written into; %s is the line with its indent. */
#define FAMILIES "terminal sealed 1.5\nterminal sealed 2.8\n"
static const struct {
  const char *thing, *text;
} things[] = {
    {"machine", "machine \"m\"\n%s"},
    {"place", "machine \"m\"\nplace cab\n%s"},
    {"run", "machine \"m\"\nplace a\nplace b\nrun a to b\n  length 1 m\n%s"},
    {"terminal", "machine \"m\"\nterminal big\n%s"},
    {"circuit", "machine \"m\"\ncircuit lights\n%s"},
    {"state",
     "machine \"m\"\nswitch KEY\n  position off\n  position run: 1 to 2\n  position start: 1 to 3\n"
     "module ECM\n  A12 low-side output\n  A13 low-side output\n"
     "sensor B1\n  measures coolant\n  reading 0 degC at 900 ohm, 100 degC at 100 ohm\n"
     "motor M2\n  draws 1 A\nrelay K5\n  latching\n  reset coil 88 to 85\n"
     "alternator G1\n  output 1..2 A\nstate s\n%s"},
    {"connector", "machine \"m\"\n" FAMILIES "module ECM\n  connector A 6 cavities%s"},
    {"pin", "machine \"m\"\n" FAMILIES "module ECM\n  A1 signal input%s"},
};

static const char *thing_text(const struct pl_fact_row *row, const char *line) {
  for (size_t i = 0; i < sizeof things / sizeof things[0]; i++) {
    if (strcmp(things[i].thing, row->thing) != 0)
      continue;
    bool fact = strcmp(row->thing, "connector") == 0 || strcmp(row->thing, "pin") == 0;
    const char *lead = "  ";
    if (line[0] == '\0')
      lead = "";
    else if (fact)
      lead = ", ";
    const char *at = strstr(things[i].text, "%s");
    return pl_arena_printf(&arena,
                           "%.*s%s%s\n",
                           (int)(at - things[i].text),
                           things[i].text,
                           lead,
                           line);
  }
  CU_FAIL("a thing that this test knows no text for");
  return "";
}

/* ---- the walk ---- */

static void change_is_told(const char *with, const char *without, const char *what) {
  const struct pl_harness *one = built(with);
  const struct pl_harness *two = built(without);
  pl_changes changes = {0};
  pl_changes back = {0};
  if (!PL_CHECK(one != NULL && two != NULL, what))
    return;
  pl_changes_find(one, two, &arena, &changes);
  pl_changes_find(two, one, &arena, &back);
  PL_CHECK(changes.n > 0 && back.n > 0, what);
  pl_changes same = {0};
  pl_changes_find(one, built(with), &arena, &same);
  PL_CHECK(same.n == 0, what);
}

static void every_line_is_read_and_told(void) {
  CU_ASSERT_FATAL(pl_fact_count > 100);
  for (uint32_t i = 0; i < pl_fact_count; i++) {
    const struct pl_fact_row *row = &pl_facts[i];
    if (strcmp(row->thing, "device") != 0) {
      change_is_told(thing_text(row, row->example), thing_text(row, row->other), row->example);
      continue;
    }
    int kinds = 0;
    for (int k = 0; k < PL_KIND_COUNT; k++) {
      enum pl_kind kind = (enum pl_kind)k;
      if (!pl_fits(&row->fits, kind))
        continue;
      kinds++;
      change_is_told(device_text(kind, row, row->example),
                     device_text(kind, row, row->other),
                     pl_arena_printf(&arena, "%s of a %s", row->example, pl_kind_name(kind)));
    }
    PL_CHECK(kinds > 0, row->word);
  }
}

/* ---- defaults ---- */

static const struct pl_default *listed(const struct pl_harness *harness, const char *what) {
  for (uint32_t i = 0; i < harness->defaults.n; i++)
    if (strcmp(harness->defaults.at[i].what, what) == 0)
      return &harness->defaults.at[i];
  return NULL;
}

static const struct pl_fact_row *row_of(const char *thing, const char *word) {
  for (uint32_t i = 0; i < pl_fact_count; i++)
    if (strcmp(pl_facts[i].thing, thing) == 0 && strcmp(pl_facts[i].word, word) == 0)
      return &pl_facts[i];
  return NULL;
}

static void device_default_is_listed(const struct pl_fact_default *one, enum pl_kind kind) {
  const struct pl_fact_row *row = row_of("device", one->word);
  const char *name = pl_kind_name(kind);
  const char *what = pl_arena_printf(&arena, "%s of %s T1", one->what, name);
  if (!PL_CHECK(row != NULL && pl_fits(&row->fits, kind), what))
    return;
  /* with a resistor's least line it would have said what is to be left out */
  const char *least = pl_kind_is(kind, PL_IS_RESISTANCE) ? "" : least_of(kind);
  const char *form = "machine \"m\"\nchassis BLOCK\n%s T1\n%s%s%s%s%s\n";
  const char *lines = before(kind, row->word);
  const char *cavities = cavities_of(kind, "");
  const struct pl_harness *silent =
      built(pl_arena_printf(&arena, form, name, least, cavities, lines, "", ""));
  const struct pl_harness *said =
      built(pl_arena_printf(&arena, form, name, least, cavities, lines, "  ", row->example));
  if (!PL_CHECK(silent != NULL && said != NULL, what))
    return;
  const struct pl_default *used = listed(silent, what);
  PL_CHECK(used != NULL && strcmp(used->source, pl_standard_defaults[one->id].source) == 0, what);
  PL_CHECK(listed(said, what) == NULL, what);
}

static void every_default_is_listed(void) {
  for (uint32_t i = 0; i < pl_fact_default_count; i++)
    for (int kind = 0; kind < PL_KIND_COUNT; kind++)
      if (pl_fits(&pl_fact_defaults[i].fits, (enum pl_kind)kind))
        device_default_is_listed(&pl_fact_defaults[i], (enum pl_kind)kind);
  const struct pl_harness *silent = built("machine \"m\"\n");
  CU_ASSERT_FATAL(silent != NULL);
  for (uint32_t i = 0; i < pl_machine_default_count; i++) {
    const char *word = pl_machine_defaults[i].word;
    const struct pl_fact_row *row = row_of("machine", word);
    if (!PL_CHECK(row != NULL && listed(silent, word) != NULL, word))
      continue;
    const struct pl_harness *said = built(thing_text(row, row->other));
    PL_CHECK(said != NULL && listed(said, word) == NULL, word);
  }
}

/* ---- the reference ---- */

static void add_default(struct pl_buffer *out, const char *value, const char *source) {
  pl_buffer_printf(out, "%s%s (%s)", out->n > 0 ? "; " : "", value, source);
}

/* "12.6 V for 12 V (common practice)" for each default of the line. */
static const char *defaults_text(const struct pl_fact_row *row) {
  struct pl_buffer out;
  char number[PL_NUMBER_SIZE];
  pl_buffer_init(&out, &arena);
  for (uint32_t i = 0; i < pl_fact_default_count; i++) {
    const struct pl_fact_default *one = &pl_fact_defaults[i];
    if (strcmp(row->thing, "device") != 0)
      continue;
    if (strcmp(one->word, row->word) != 0)
      continue;
    const char *kind = "";
    for (int k = 0; k < PL_KIND_COUNT; k++)
      if (pl_fits(&one->fits, (enum pl_kind)k))
        kind = pl_arena_printf(&arena,
                               "%s%s%s",
                               kind,
                               kind[0] != '\0' ? ", " : "",
                               pl_kind_name((enum pl_kind)k));
    pl_number_print(number, pl_fact_default_value(one, 12.0), 4);
    const char *value = pl_arena_printf(&arena,
                                        "%s: %s %s%s",
                                        kind,
                                        number,
                                        one->unit,
                                        one->scale == PL_SCALE_PLAIN ? "" : " at 12 V");
    add_default(&out, value, pl_standard_defaults[one->id].source);
  }
  for (uint32_t i = 0; i < pl_machine_default_count; i++) {
    const struct pl_machine_default *one = &pl_machine_defaults[i];
    if (strcmp(row->thing, "machine") != 0)
      continue;
    if (strcmp(one->word, row->word) != 0)
      continue;
    pl_number_print(number, one->limit->value, 4);
    const char *value = pl_arena_printf(&arena, "%s %s", number, one->limit->unit);
    add_default(&out, value, one->source[0] != '\0' ? one->source : one->limit->source);
  }
  return out.n > 0 ? out.at : "";
}

static const char *kinds_text(const struct pl_fact_row *row) {
  struct pl_buffer fits, lacks;
  uint32_t lacking = 0;
  if (strcmp(row->thing, "device") != 0)
    return row->thing;
  pl_buffer_init(&fits, &arena);
  pl_buffer_init(&lacks, &arena);
  for (int k = 0; k < PL_KIND_COUNT; k++) {
    bool good = pl_fits(&row->fits, (enum pl_kind)k);
    struct pl_buffer *out = good ? &fits : &lacks;
    pl_buffer_printf(out, "%s%s", out->n > 0 ? ", " : "", pl_kind_name((enum pl_kind)k));
    lacking += !good;
  }
  if (lacking == 0)
    return "every kind";
  if (lacking <= 5)
    return pl_arena_printf(&arena, "every kind but %s", lacks.at);
  return fits.at;
}

static const char *documented(const struct pl_fact_row *row) {
  return pl_arena_printf(&arena,
                         "| `%s` | %s | %s | %s |\n",
                         row->example,
                         kinds_text(row),
                         row->help,
                         defaults_text(row));
}

/* The table of the reference is these rows and no others. */
static void every_line_is_in_the_reference(void) {
  static const char head[] = "| line | describes | what it says | when it is not there |\n"
                             "| --- | --- | --- | --- |\n";
  struct pl_buffer table;
  const char *text;
  size_t size;
  pl_buffer_init(&table, &arena);
  pl_buffer_puts(&table, head);
  for (uint32_t i = 0; i < pl_fact_count; i++)
    pl_buffer_puts(&table, documented(&pl_facts[i]));
  CU_ASSERT_FATAL(pl_file_read(&arena, pl_test_path("docs/language.md"), &text, &size) ==
                  PL_FILE_OK);
  const char *at = strstr(text, head);
  CU_ASSERT_FATAL(at != NULL);
  const char *end = strstr(at, "\n\n");
  CU_ASSERT_FATAL(end != NULL);
  if (getenv("PL_REWRITE") != NULL) {
    FILE *file = fopen(pl_test_path("docs/language.md"), "w");
    CU_ASSERT_FATAL(file != NULL);
    fprintf(file, "%.*s%s%s", (int)(at - text), text, table.at, end + 1);
    fclose(file);
    return;
  }
  for (uint32_t i = 0; i < pl_fact_count; i++)
    PL_CHECK(strstr(at, documented(&pl_facts[i])) != NULL, documented(&pl_facts[i]));
  PL_CHECK((size_t)(end + 1 - at) == table.n, "the reference lists no line that is not read");
}

static CU_TestInfo tests[] = {
    {"every line is read on the kinds it fits, and compare tells its change",
     every_line_is_read_and_told},
    {"every default is listed when nothing is said", every_default_is_listed},
    {"every line is in the reference", every_line_is_in_the_reference},
    CU_TEST_INFO_NULL};

int main(void) {
  CU_SuiteInfo suites[] = {{"facts", set_up, clear, NULL, NULL, tests}, CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
