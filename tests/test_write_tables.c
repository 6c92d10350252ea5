/* Tables as they leave: CSV, pages, JSON.  Whatever the user typed lands as text. */
#include "test_write.h"

#include <ctype.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/file.h"
#include "base/number.h"
#include "draw/drawings.h"
#include "sheet_kit.h"
#include "write/change_pages.h"
#include "write/csv.h"
#include "write/formats.h"
#include "write/output.h"
#include "write/solution_json.h"
#include "write_demo.h"

static const char long_name[] = "50-characters-of-a-name-that-nobody-would-ever-writ50-characters-"
                                "of-a-name-that-nobody-would-ever-writ"
                                "50-characters-of-a-name-that-nobody-would-ever-writ50-characters-"
                                "of-a-name-that-nobody-would-ever-writ"
                                "50-characters-of-a-name-that-nobody-would-ever-writ50-characters-"
                                "of-a-name-that-nobody-would-ever-writ"
                                "50-characters-of-a-name-that-nobody-would-ever-writ50-characters-"
                                "of-a-name-that-nobody-would-ever-writ"
                                "50-characters-of-a-name-that-nobody-would-ever-writ50-characters-"
                                "of-a-name-that-nobody-would-ever-writ";

/* What people, spreadsheets and people with too much time type. */
static const char *const hostile[] = {"<script>alert(1)</script>",
                                      "</style></title><img src=x onerror=alert(1)>",
                                      "\"quoted\" and 'single'",
                                      "a & b &amp; c &#60;",
                                      "]]> --> <!-- <![CDATA[",
                                      "\"} body{display:none} @import url(x); \\",
                                      "\xE2\x80\xAEtfel-ot-thgir",
                                      "\xD7\xA9\xD7\xA0\xD7\x94",
                                      "=1+1",
                                      "+1+1",
                                      "-1+cmd|' /C calc'!A0",
                                      "@SUM(A1)",
                                      "\t=1",
                                      "line\nbreak, comma; \"quote\"",
                                      "../../etc/passwd",
                                      "C:\\x\\..\\y",
                                      "javascript:alert(1)",
                                      "%s%n%d",
                                      "\xFF\xFE broken \xC3",
                                      "\x01\x1B[31m\x7F",
                                      "",
                                      " ",
                                      long_name};
enum {
  HOSTILE = sizeof hostile / sizeof hostile[0]
};

/* ---- CSV ---- */

static void formulas(void) {
  static const struct {
    const char *text;
    bool formula;
  } rows[] = {{"", false},
              {"41", false},
              {"-0.3", false},
              {"-12", false},
              {"-1e3", false},
              {"+", false},
              {"-", false},
              {"RD/WH", false},
              {"a=b", false},
              {"BAT.+", false},
              {"=1", true},
              {"==", true},
              {"+1", true},
              {"--", true},
              {"-1+1", true},
              {"-x", true},
              {"@x", true},
              {"@", true},
              {"\tx", true},
              {"\rx", true},
              {"=", true},
              {"-0.3 V", true},
              {"-1|cmd", true},
              {"\xEF\xBC\x9D"
               "1",
               true},
              {"\xEF\xBC\x8B"
               "1",
               true},
              {"\nx", true},
              {"-inf", true}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    PL_CHECK(pl_csv_is_formula(rows[i].text) == rows[i].formula, rows[i].text);
}

/* A reader after RFC 4180, section 2: the field at *at, without quotes; *at is set behind it. */
static const char *read_field(struct pl_arena *arena, const char **at) {
  struct pl_buffer field;
  const char *from = *at;
  pl_buffer_init(&field, arena);
  if (*from == '"') {
    for (from++; *from != '\0' && !(from[0] == '"' && from[1] != '"'); from++) {
      if (*from == '"')
        from++;
      pl_buffer_add(&field, from, 1);
    }
    from++;
  } else {
    size_t n = strcspn(from, ",\r\n");
    PL_CHECK(memchr(from, '"', n) == NULL, "a quote in a field without quotes");
    pl_buffer_add(&field, from, n);
    from += n;
  }
  *at = from;
  return field.at;
}

/* The cell as the file holds it: an apostrophe before a formula; what is no text is U+FFFD. */
static const char *expected_field(struct pl_arena *arena, const char *text) {
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  if (pl_csv_is_formula(text))
    pl_buffer_puts(&out, "'");
  for (; *text != '\0'; text++) {
    unsigned char c = (unsigned char)*text;
    bool control = (c < 0x20 && c != '\t' && c != '\n') || c == 0x7F;
    if (control || c == 0xFF || c == 0xFE || (c == 0xC3 && ((unsigned char)text[1] & 0xC0) != 0x80))
      pl_buffer_puts(&out, "\xEF\xBF\xBD");
    else
      pl_buffer_add(&out, text, 1);
  }
  return out.at;
}

static void check_csv(struct pl_arena *arena, const struct pl_sheet *sheet, const char *row) {
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  pl_csv_write(&out, sheet);
  const char *at = out.at;
  for (uint32_t r = 0; r <= sheet->rows.n; r++) {
    for (uint32_t c = 0; c < sheet->column_count; c++) {
      const char *cell;
      if (r == 0)
        cell = sheet->columns[c].head;
      else
        cell = sheet->rows.at[r - 1].cells[c];
      const char *field = read_field(arena, &at);
      const char *due = expected_field(arena, cell);
      if (strcmp(field, due) != 0)
        PL_CHECK_STR(field, due, row);
      if (c + 1 < sheet->column_count && *at++ != ',')
        CU_FAIL_FATAL("a field is missing");
    }
    if (strncmp(at, "\r\n", 2) != 0)
      CU_FAIL_FATAL("a record does not end in CRLF");
    at += 2;
  }
  CU_ASSERT_EQUAL(at - out.at, (ptrdiff_t)out.n);
}

static void csv_reads_back(void) {
  for (int i = 0; i < HOSTILE; i++) {
    struct kit kit;
    pl_sheets sheets;
    kit_make(&kit, hostile[i]);
    kit_sheets(&kit, true, &sheets);
    for (uint32_t s = 0; s < sheets.n; s++)
      check_csv(&kit.arena, &sheets.at[s], hostile[i]);
    kit_release(&kit);
  }
}

static void csv_bytes(void) {
  struct pl_arena arena;
  struct pl_column columns[] = {{.head = "pin"}, {.head = "off V"}};
  const char *cells[] = {"BAT.+", "-0.03", "-", "=1,\"2\""};
  struct pl_row rows[] = {{.cells = cells}, {.cells = cells + 2}};
  struct pl_sheet sheet = {.columns = columns, .column_count = 2, .rows = {rows, 2, 2}};
  struct pl_buffer out;
  pl_test_arena(&arena);
  pl_buffer_init(&out, &arena);
  pl_csv_write(&out, &sheet);
  PL_CHECK_STR(out.at,
               "pin,off V\r\nBAT.+,-0.03\r\n-,\"'=1,\"\"2\"\"\"\r\n",
               "RFC 4180, section 2");
  pl_arena_release(&arena);
}

/* docs/output.md names every file and every column. */
static void columns_are_documented(void) {
  struct kit kit;
  pl_sheets sheets;
  const char *docs;
  size_t size;
  kit_make(&kit, "night");
  PL_PUSH(&kit.arena,
          &kit.harness.defaults,
          ((struct pl_default){"slack", "5 %", "common practice"}));
  CU_ASSERT_EQUAL_FATAL(pl_file_read(&kit.arena, pl_test_path("docs/output.md"), &docs, &size),
                        PL_FILE_OK);
  for (uint32_t i = 0; i < pl_section_count; i++) {
    const char *row = pl_arena_printf(&kit.arena, "| `%s` |", pl_sections[i].name);
    PL_CHECK(strstr(docs, row) != NULL, row);
  }
  for (uint32_t i = 0; i < pl_table_format_count; i++) {
    const char *form = pl_table_formats[i].name;
    const char *row = pl_arena_printf(&kit.arena, "| `%s/NAME.%s` |", form, form);
    PL_CHECK(strstr(docs, row) != NULL, row);
  }
  for (int units = 0; units < 2; units++) {
    kit.harness.machine.units = units == 0 ? PL_UNITS_METRIC : PL_UNITS_US;
    kit_sheets(&kit, true, &sheets);
    for (uint32_t s = 0; s < sheets.n; s++) {
      const struct pl_sheet *sheet = &sheets.at[s];
      const char *file = pl_arena_printf(&kit.arena,
                                         "`%s.csv`",
                                         sheet->connector == PL_NONE ? sheet->file : "connector-*");
      PL_CHECK(strstr(docs, file) != NULL, file);
      for (uint32_t c = 0; c < sheet->column_count; c++) {
        const char *head = pl_arena_printf(&kit.arena, "`%s`", sheet->columns[c].head);
        PL_CHECK(sheet->columns[c].reading || strstr(docs, head) != NULL, head);
      }
    }
  }
  kit_release(&kit);
}

CU_TestInfo out_csv_tests[] = {{"what is a formula", formulas},
                               {"exact bytes", csv_bytes},
                               {"hostile text reads back", csv_reads_back},
                               {"files and columns are documented", columns_are_documented},
                               CU_TEST_INFO_NULL};

/* ---- pages ---- */

static void make_book(struct kit *kit, pl_outputs *outputs) {
  struct pl_output_inputs in = {.harness = &kit->harness,
                                .solutions = kit->solutions,
                                .findings = &kit->findings,
                                .sources = &kit->sources};
  *outputs = (pl_outputs){0};
  pl_output_book(&in, &kit->arena, outputs);
}

static const struct pl_output *output_named(const pl_outputs *outputs, const char *name, size_t n) {
  for (uint32_t i = 0; i < outputs->n; i++)
    if (strlen(outputs->at[i].name) == n && strncmp(outputs->at[i].name, name, n) == 0)
      return &outputs->at[i];
  return NULL;
}

static bool ends_with(const char *text, const char *end) {
  size_t n = strlen(text);
  size_t m = strlen(end);
  return n >= m && strcmp(text + n - m, end) == 0;
}

static uint32_t count_of(const char *text, const char *part) {
  uint32_t n = 0;
  for (; (text = strstr(text, part)) != NULL; text += strlen(part))
    n++;
  return n;
}

/* Through the shell's xmllint, from its standard input. */
static bool reads_as_xml(const struct pl_output *output) {
  FILE *lint = popen("xmllint --noout --nonet - 2>&1", "w");
  if (lint == NULL)
    return false;
  size_t written = fwrite(output->bytes, 1, output->size, lint);
  int status = pclose(lint);
  return written == output->size && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

static bool have_xmllint(void) {
  int status = system("xmllint --version >/dev/null 2>&1");
  return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

static void hostile_pages(void) {
  bool lint = have_xmllint();
  if (!lint)
    printf("SKIPPED: no xmllint here, pages are not read back as XML\n");
  for (int i = 0; i < HOSTILE; i++) {
    struct kit kit;
    pl_outputs outputs;
    kit_make(&kit, hostile[i]);
    make_book(&kit, &outputs);
    for (uint32_t o = 0; o < outputs.n; o++) {
      const struct pl_output *output = &outputs.at[o];
      const struct pl_table_format *form = pl_table_format_of(output->name);
      if (form != NULL && !form->xml)
        continue;
      PL_CHECK(strlen(output->bytes) == output->size, "no NUL among the bytes");
      if (lint)
        PL_CHECK(reads_as_xml(output),
                 pl_arena_printf(&kit.arena, "%s with %s", output->name, hostile[i]));
      bool shop =
          strcmp(output->name, "shop.html") == 0; /* its packed data, three times, and its script,
                                                     named in its policy; all else runs nothing */
      PL_CHECK_INT(count_of(output->bytes, "<script"), shop ? 4 : 0, hostile[i]);
      PL_CHECK_INT(count_of(output->bytes, "</script>"), shop ? 4 : 0, hostile[i]);
      PL_CHECK(strstr(output->bytes, "<img src=x") == NULL, hostile[i]);
      PL_CHECK(strstr(output->bytes, "href=\"javascript") == NULL, hostile[i]);
      if (!ends_with(output->name, ".html"))
        continue;
      PL_CHECK_INT(count_of(output->bytes, "</style>"), shop ? 2 : 3, hostile[i]);
      const char *rules = strstr(output->bytes, "<style>");
      const char *body = strstr(output->bytes, "</head>");
      CU_ASSERT_TRUE_FATAL(rules != NULL && body != NULL && rules < body);
      rules = pl_arena_strndup(&kit.arena, rules, (size_t)(body - rules));
      PL_CHECK(strstr(rules, "@import") == NULL && strstr(rules, "url(") == NULL &&
                   strstr(rules, "} body") == NULL,
               hostile[i]);
      PL_CHECK(strstr(output->bytes, "<html") != NULL &&
                   strstr(output->bytes, "lang=\"en\"") != NULL,
               hostile[i]);
    }
    kit_release(&kit);
  }
}

/* Text that XML may hold comes back whole, in a cell. */
static void text_arrives(void) {
  static const char *const rows[][2] = {
      {"<script>alert(1)</script>", "&lt;script&gt;alert(1)&lt;/script&gt; (web)</td>"},
      {"a & b &amp; c", "a &amp; b &amp;amp; c (web)</td>"},
      {"=1+1", "<td>=1+1 (web)</td>"},
      {"\xD7\xA9\xD7\xA0\xD7\x94", "<td>\xD7\xA9\xD7\xA0\xD7\x94 (web)</td>"}};
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct kit kit;
    pl_outputs outputs;
    kit_make(&kit, rows[i][0]);
    make_book(&kit, &outputs);
    const struct pl_output *tables = output_named(&outputs, "book.html", 9);
    CU_ASSERT_PTR_NOT_NULL_FATAL(tables);
    PL_CHECK(strstr(tables->bytes, rows[i][1]) != NULL, rows[i][0]);
    kit_release(&kit);
  }
  struct kit kit;
  pl_outputs outputs;
  kit_make(&kit, long_name);
  make_book(&kit, &outputs);
  CU_ASSERT_TRUE(count_of(output_named(&outputs, "book.html", 9)->bytes, long_name) > 5);
  kit_release(&kit);
}

/* ---- pages as a whole ---- */

/* The value of the attribute that starts at `at` ("href=\""), in the arena. */
static const char *value_at(struct pl_arena *arena, const char *at) {
  at = strchr(at, '"') + 1;
  return pl_arena_strndup(arena, at, strcspn(at, "\""));
}

static void
collect_ids(struct pl_arena *arena, const struct pl_output *page, struct pl_table *ids) {
  pl_table_init(ids, arena);
  for (const char *at = page->bytes; (at = strstr(at, " id=\"")) != NULL; at++)
    PL_CHECK(pl_table_add(ids, value_at(arena, at), 0),
             pl_arena_printf(arena, "%s: an id twice: %s", page->name, value_at(arena, at)));
}

/* Every link leads to a row of the page or to a file of the folder (and a row there, when it is a
 * page). */
static void check_links(struct pl_arena *arena,
                        const pl_outputs *outputs,
                        const struct pl_output *page,
                        const struct pl_table *tables) {
  static const char *const names[] = {" href=\"", " src=\"", " xlink:href=\""};
  struct pl_table ids;
  uint32_t ignored;
  collect_ids(arena, page, &ids);
  for (int i = 0; i < 3; i++)
    for (const char *at = page->bytes; (at = strstr(at, names[i])) != NULL; at++) {
      const char *value = value_at(arena, at);
      const char *row = pl_arena_printf(arena, "%s: %s", page->name, value);
      size_t n = strcspn(value, "#");
      if (n > 0)
        PL_CHECK(output_named(outputs, value, n) != NULL, row);
      if (value[n] == '\0' || (n == 0 && strcmp(page->name, "shop.html") == 0))
        continue; /* its script answers there */
      const struct pl_output *there = NULL;
      if (n > 4 && strncmp(value + n - 4, ".svg", 4) == 0)
        there = output_named(outputs, value, n);
      if (there != NULL)
        PL_CHECK(strstr(there->bytes, pl_arena_printf(arena, " id=\"%s\"", value + n + 1)) != NULL,
                 row);
      else
        PL_CHECK(pl_table_find(n == 0 ? &ids : tables, value + n + 1, &ignored), row);
    }
}

static void check_headings(const struct pl_output *page) {
  char last = '0';
  uint32_t n = 0;
  for (const char *at = page->bytes; (at = strstr(at, "<h")) != NULL; at++) {
    if (!isdigit((unsigned char)at[2]))
      continue;
    PL_CHECK(at[2] <= last + 1, page->name);
    last = at[2];
    n += at[2] == '1';
  }
  PL_CHECK_INT(n, 1, page->name);
}

static void check_names(const pl_outputs *outputs) {
  for (uint32_t i = 0; i < outputs->n; i++) {
    const char *name = outputs->at[i].name;
    PL_CHECK(
        name[strspn(name, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789._-/")] ==
            '\0',
        name);
    PL_CHECK(strstr(name, "..") == NULL && name[0] != '/' && name[0] != '.', name);
    for (uint32_t k = 0; k < i; k++) { /* also on file systems that do not tell k1 from K1 */
      const char *a = name;
      const char *b = outputs->at[k].name;
      while (*a != '\0' && tolower((unsigned char)*a) == tolower((unsigned char)*b))
        a++, b++;
      if (*a == '\0' && *b == '\0')
        PL_CHECK(false, name);
    }
  }
}

static void check_folder(struct pl_arena *arena, const pl_outputs *outputs) {
  struct pl_table tables;
  const struct pl_output *page = output_named(outputs, "book.html", 9);
  if (page == NULL)
    page = output_named(outputs, "tables.html", 11);
  CU_ASSERT_PTR_NOT_NULL_FATAL(page);
  collect_ids(arena, page, &tables);
  check_names(outputs);
  for (uint32_t i = 0; i < outputs->n; i++) {
    if (!ends_with(outputs->at[i].name, ".html"))
      continue;
    check_links(arena, outputs, &outputs->at[i], &tables);
    check_headings(&outputs->at[i]);
    PL_CHECK(count_of(outputs->at[i].bytes, "<table") == count_of(outputs->at[i].bytes, "<caption"),
             outputs->at[i].name);
    PL_CHECK(strstr(outputs->at[i].bytes, "src=\"http") == NULL, outputs->at[i].name);
  }
}

static void kit_folders(void) {
  for (int i = 0; i < HOSTILE; i++) {
    struct kit kit;
    pl_outputs outputs;
    kit_make(&kit, hostile[i]);
    make_book(&kit, &outputs);
    check_folder(&kit.arena, &outputs);
    kit_release(&kit);
  }
}

/* Each cavity on both faces. */
static void check_faces(struct demo *demo) {
  const struct pl_harness *harness = &demo->harness;
  for (pl_id c = 0; c < harness->connectors.n; c++) {
    struct pl_scene faces;
    uint32_t cavities = 0;
    CU_ASSERT_TRUE_FATAL(pl_draw_faces(harness, c, &demo->arena, &faces));
    for (uint32_t i = 0; i < faces.items.n; i++)
      cavities +=
          faces.items.at[i].kind == PL_SHAPE_OPEN && strcmp(faces.items.at[i].what, "cavity") == 0;
    PL_CHECK_INT(cavities, 2 * harness->connectors.at[c].pin_count, faces.file);
  }
}

/* The printed book has the volts of every pin in every state that the CSV has: they are its
 * readings, wherever else they are left out. */
static void check_readings(struct demo *demo) {
  const struct pl_output *book = output_named(&demo->outputs, "book.html", strlen("book.html"));
  const struct pl_output *csv =
      output_named(&demo->outputs, "csv/readings-volts.csv", strlen("csv/readings-volts.csv"));
  CU_ASSERT_TRUE_FATAL(book != NULL && csv != NULL);
  const char *from = strstr(book->bytes, "id=\"s-readings-volts\"");
  const char *to = NULL;
  if (from != NULL)
    to = strstr(from, "</section>");
  CU_ASSERT_TRUE_FATAL(to != NULL);
  const char *section = pl_arena_strndup(&demo->arena, from, (size_t)(to - from));
  uint32_t rows = count_of(csv->bytes, "\n") - 1;
  PL_CHECK(rows > 20 && count_of(section, "<td") >= rows * demo->harness.states.n,
           "every pin's volts in every state are printed");
}

static void demo_folders(void) {
  bool lint = have_xmllint();
  for (size_t d = 0; d < DEMOS; d++) {
    struct demo demos[2];
    for (int i = 0; i < 2; i++)
      demo_make(&demos[i], demo_paths[d]);
    const pl_outputs *outputs[2] = {&demos[0].outputs, &demos[1].outputs};
    check_folder(&demos[0].arena, outputs[0]);
    check_faces(&demos[0]);
    check_readings(&demos[0]);
    CU_ASSERT_EQUAL_FATAL(outputs[0]->n, outputs[1]->n);
    for (uint32_t o = 0; o < outputs[0]->n; o++) {
      const struct pl_output *a = &outputs[0]->at[o];
      const struct pl_output *b = &outputs[1]->at[o];
      PL_CHECK(strcmp(a->name, b->name) == 0 && a->size == b->size &&
                   memcmp(a->bytes, b->bytes, a->size) == 0,
               a->name);
      if (lint && ends_with(a->name, ".html"))
        PL_CHECK(reads_as_xml(a), a->name);
    }
    for (int i = 0; i < 2; i++)
      demo_release(&demos[i]);
  }
}

static void nothing_at_all(void) {
  struct pl_arena arena;
  struct pl_harness harness;
  pl_outputs outputs = {0};
  pl_test_arena(&arena);
  pl_harness_init(&harness, &arena);
  struct pl_output_inputs in = {.harness = &harness};
  pl_output_book(&in, &arena, &outputs);
  check_folder(&arena, &outputs);
  CU_ASSERT_PTR_NOT_NULL(
      strstr(output_named(&outputs, "index.html", 10)->bytes, "was not checked"));
  pl_arena_release(&arena);
}

static void tables_alone(void) {
  struct kit kit;
  pl_outputs outputs = {0};
  kit_make(&kit, "night");
  struct pl_output_inputs in = {.harness = &kit.harness,
                                .solutions = kit.solutions,
                                .findings = &kit.findings,
                                .sources = &kit.sources};
  pl_output_tables(&in, &kit.arena, &outputs);
  check_folder(&kit.arena, &outputs);
  CU_ASSERT_PTR_NULL(output_named(&outputs, "index.html", 10));
  CU_ASSERT_PTR_NOT_NULL(output_named(&outputs, "csv/wires.csv", 13));
  CU_ASSERT_PTR_NOT_NULL(strstr(output_named(&outputs, "tables.html", 11)->bytes, "Mating side"));
  CU_ASSERT_PTR_NOT_NULL(
      strstr(output_named(&outputs, "tables.html", 11)->bytes, "Text 0123456789ab\""));
  outputs = (pl_outputs){0};
  pl_output_drawings(&in, &kit.arena, &outputs);
  for (uint32_t i = 0; i < outputs.n; i++)
    PL_CHECK(ends_with(outputs.at[i].name, ".svg") || strcmp(outputs.at[i].name, "board.html") == 0,
             outputs.at[i].name);
  CU_ASSERT_TRUE(outputs.n >= 2);
  kit_release(&kit);
}

/* Sections that were not chosen are not made, and nothing points at them. */
static void chosen_sections(void) {
  struct kit kit;
  pl_outputs outputs = {0};
  kit_make(&kit, "night");
  bool *chosen = PL_NEW_ARRAY(&kit.arena, bool, pl_section_count);
  for (uint32_t i = 0; i < pl_section_count; i++)
    chosen[i] = strcmp(pl_sections[i].name, "lists") == 0;
  struct pl_output_inputs in = {.harness = &kit.harness,
                                .solutions = kit.solutions,
                                .findings = &kit.findings,
                                .sources = &kit.sources,
                                .sections = chosen};
  pl_output_book(&in, &kit.arena, &outputs);
  check_folder(&kit.arena, &outputs);
  const char *book = output_named(&outputs, "book.html", 9)->bytes;
  PL_CHECK(strstr(book, "id=\"section-lists\"") != NULL &&
               strstr(book, "@page p1l{size:landscape;") != NULL,
           "lists are there");
  PL_CHECK(strstr(book, "section-findings") == NULL && strstr(book, "@page p2{") == NULL,
           "findings are not");
  CU_ASSERT_PTR_NOT_NULL(output_named(&outputs, "csv/wires.csv", 13));
  CU_ASSERT_PTR_NULL(output_named(&outputs, "csv/findings.csv", 16));
  kit_release(&kit);
}

/* A change sheet from one hostile machine to another: pages and CSV like all others, and nothing
 * said of a text and itself. */
static void change_sheets(void) {
  static const char *const names[] = {"<script>alert(1)</script>",
                                      "=1+1",
                                      "\"a\", 'b' & c",
                                      "\xE2\x80\xAEright to left"};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    struct kit old, kit;
    pl_sheets sheets = {0};
    pl_outputs outputs = {0};
    kit_make(&old, "night");
    kit_make(&kit, names[i]);
    struct pl_output_inputs was = {.harness = &old.harness,
                                   .solutions = old.solutions,
                                   .findings = &old.findings,
                                   .sources = &old.sources};
    struct pl_output_inputs is = {.harness = &kit.harness,
                                  .solutions = kit.solutions,
                                  .findings = &kit.findings,
                                  .sources = &kit.sources};
    pl_output_changes(&was, &is, &kit.arena, &sheets);
    pl_output_compare(&was, &is, &sheets, &kit.arena, &outputs);
    PL_CHECK(!have_xmllint() || reads_as_xml(&outputs.at[0]), names[i]);
    PL_CHECK_INT(sheets.n, 4, names[i]);
    CU_ASSERT_PTR_NULL(strstr(outputs.at[0].bytes, "<script"));
    sheets = (pl_sheets){0};
    pl_output_changes(&is, &is, &kit.arena, &sheets);
    PL_CHECK_INT(sheets.n, 0, "a text and itself");
    kit_release(&old);
    kit_release(&kit);
  }
}

CU_TestInfo out_page_tests[] = {
    {"change sheets", change_sheets},
    {"hostile text stays text", hostile_pages},
    {"text arrives whole", text_arrives},
    {"names, links, ids, headings", kit_folders},
    {"the demos' folders, twice the same", demo_folders},
    {"a harness with nothing in it", nothing_at_all},
    {"tables alone, drawings alone", tables_alone},
    {"chosen sections", chosen_sections},
    CU_TEST_INFO_NULL,
};

/* ---- solved states ---- */

static void json_text(void) {
  struct kit kit;
  struct pl_buffer out;
  char number[PL_NUMBER_SIZE];
  kit_make(&kit, "a\"b\\c");
  pl_buffer_init(&out, &kit.arena);
  pl_solution_write_json(&out, &kit.harness, &kit.solutions[1]);
  PL_CHECK(strncmp(out.at, "{\"state\": \"a\\\"b\\\\c\", \"solved\": true,\n \"volts\": {", 46) ==
               0,
           "head");
  PL_CHECK(strstr(out.at,
                  pl_arena_printf(&kit.arena,
                                  "\"BAT.+\": %s,",
                                  pl_number_exact(number, 12.34567890123))) != NULL,
           "all digits");
  PL_CHECK(strstr(out.at, "\"ECM.A3\": null,") != NULL, "a pin that floats");
  PL_CHECK(strstr(out.at, "\"1\": -7.5,") != NULL, "amps with their sign");
  PL_CHECK(strstr(out.at, "\"on\": [\"ECM\"]}\n") != NULL, "devices that are on");
  PL_CHECK(strchr(out.at, '\\') == strstr(out.at, "\\\"b"), "quotes are escaped");
  kit.solutions[1].status = PL_SOLVE_CYCLE;
  kit.solutions[1].failure = "K1 buzzes";
  pl_buffer_init(&out, &kit.arena);
  pl_solution_write_json(&out, &kit.harness, &kit.solutions[1]);
  PL_CHECK(strstr(out.at, "\"solved\": false, \"failure\": \"K1 buzzes\"") != NULL, "why not");
  PL_CHECK(strstr(out.at, "\"BAT.+\": null,") != NULL && strstr(out.at, "-7.5") == NULL,
           "no figure of a state that was not solved");
  kit_release(&kit);
}

static void table_text(void) {
  for (int i = 0; i < HOSTILE; i++) {
    struct kit kit;
    struct pl_buffer out;
    kit_make(&kit, hostile[i]);
    pl_buffer_init(&out, &kit.arena);
    pl_solution_write_table(&out, &kit.harness, &kit.solutions[1]);
    for (const char *at = out.at; *at != '\0'; at++)
      if (((unsigned char)*at < 0x20 && *at != '\n') || *at == 0x7F)
        PL_CHECK(false, hostile[i]);
    PL_CHECK(strstr(out.at, "\xE2\x80\xAE") == NULL, hostile[i]);
    PL_CHECK(strstr(out.at, "-7.500 A  BAT.+ to F1.in\n") != NULL, hostile[i]);
    PL_CHECK(strstr(out.at, "12.346 V\n") != NULL && strstr(out.at, "\nOn: ECM\n") != NULL,
             hostile[i]);
    kit_release(&kit);
  }
}

CU_TestInfo out_solution_tests[] = {{"JSON", json_text}, {"text", table_text}, CU_TEST_INFO_NULL};
