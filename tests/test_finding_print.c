/* Findings printed for people: the exact text, with whatever a user's text may contain. */
#include "base/limits.h"
#include "base/utf8.h"
#include "finding/finding.h"
#include "test_finding.h"

/* One finding over one text, printed, without the summary line. */
static const char *
printed(struct pl_arena *arena, const char *text, size_t size, uint32_t start, uint32_t end) {
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_buffer out;
  char *summary;

  pl_sources_init(&sources, arena);
  pl_sources_add(&sources, "a.loom", text, size);
  pl_findings_init(&findings, arena);
  pl_findings_add(
      &findings,
      (struct pl_finding){.rule = "r", .severity = PL_FAULT, .span = {0, start, end}, .text = "t"});
  pl_buffer_init(&out, arena);
  pl_findings_print(&out, &findings, &sources);
  summary = strstr(out.at, "1 fault\n");
  if (summary != NULL)
    *summary = '\0';
  return out.at;
}

static void carets_stand_under_the_span(void) {
  static const struct {
    const char *name, *text;
    uint32_t start, end;
    const char *expected;
  } rows[] = {
      {"plain", "wire 41 red\n", 5, 7, "a.loom:1:6: fault: t [r]\n  wire 41 red\n       ^~\n"},
      {"one wide", "wire 41 red\n", 8, 9, "a.loom:1:9: fault: t [r]\n  wire 41 red\n          ^\n"},
      {"empty span",
       "wire 41 red\n",
       8,
       8,
       "a.loom:1:9: fault: t [r]\n  wire 41 red\n          ^\n"},
      {"backward span",
       "wire 41 red\n",
       8,
       2,
       "a.loom:1:9: fault: t [r]\n  wire 41 red\n          ^\n"},
      {"tab before",
       "\twire\n",
       1,
       5,
       "a.loom:1:9: fault: t [r]\n          wire\n          ^~~~\n"},
      {"tab within", "a\tb\n", 0, 3, "a.loom:1:1: fault: t [r]\n  a       b\n  ^~~~~~~~~\n"},
      {"the tab itself", "abc\td\n", 3, 4, "a.loom:1:4: fault: t [r]\n  abc     d\n     ^~~~~\n"},
      {"wide glyphs",
       "\xe7\x94\xb5\xe6\xb1\xa0 x\n",
       3,
       6,
       "a.loom:1:3: fault: t [r]\n  \xe7\x94\xb5\xe6\xb1\xa0 x\n    ^~\n"},
      {"after wide glyphs",
       "\xe7\x94\xb5\xe6\xb1\xa0 x\n",
       7,
       8,
       "a.loom:1:6: fault: t [r]\n  \xe7\x94\xb5\xe6\xb1\xa0 x\n       ^\n"},
      {"end within a glyph",
       "\xe7\x94\xb5\xe6\xb1\xa0 x\n",
       0,
       4,
       "a.loom:1:1: fault: t [r]\n  \xe7\x94\xb5\xe6\xb1\xa0 x\n  ^~~~\n"},
      {"combining", "e\xcc\x81 x\n", 0, 3, "a.loom:1:1: fault: t [r]\n  e\xcc\x81 x\n  ^\n"},
      {"combining at the end",
       "xe\xcc\x81\n",
       0,
       1,
       "a.loom:1:1: fault: t [r]\n  xe\xcc\x81\n  ^\n"},
      {"mark of byte order",
       "\xef\xbb\xbfwire\n",
       3,
       7,
       "a.loom:1:1: fault: t [r]\n  wire\n  ^~~~\n"},
      {"CRLF", "wire\r\nend\r\n", 2, 6, "a.loom:1:3: fault: t [r]\n  wire\n    ^~\n"},
      {"CRLF, second line", "wire\r\nend\r\n", 6, 9, "a.loom:2:1: fault: t [r]\n  end\n  ^~~\n"},
      {"at the line's end", "wire\nend\n", 4, 5, "a.loom:1:5: fault: t [r]\n  wire\n      ^\n"},
      {"over lines", "wire\nend\n", 2, 8, "a.loom:1:3: fault: t [r]\n  wire\n    ^~\n"},
      {"end of file, no LF", "wire", 4, 4, "a.loom:1:5: fault: t [r]\n  wire\n      ^\n"},
      {"end of file after LF", "wire\n", 5, 5, "a.loom:2:1: fault: t [r]\n"},
      {"empty line", "\n\nx", 1, 2, "a.loom:2:1: fault: t [r]\n"},
      {"empty file", "", 0, 0, "a.loom:1:1: fault: t [r]\n"},
      {"beyond the file", "wire", 400, 500, "a.loom:1:5: fault: t [r]\n  wire\n      ^\n"},
      {"controls",
       "a\x1b[31m\x7f\x01 x\n",
       9,
       10,
       "a.loom:1:10: fault: t [r]\n  a?[31m?? x\n           ^\n"},
      {"C1 control", "a\xc2\x9b x\n", 4, 5, "a.loom:1:4: fault: t [r]\n  a? x\n     ^\n"},
      {"broken bytes", "a\xff\xfe x\n", 4, 5, "a.loom:1:5: fault: t [r]\n  a?? x\n      ^\n"},
      {"turned text",
       "a\xe2\x80\xae"
       "bc x\n",
       7,
       8,
       "a.loom:1:5: fault: t [r]\n  abc x\n      ^\n"},
      {"line separator",
       "a\xe2\x80\xa8"
       "b\n",
       4,
       5,
       "a.loom:1:3: fault: t [r]\n  a?b\n    ^\n"},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_arena arena;

    pl_test_arena(&arena);
    PL_CHECK_STR(printed(&arena, rows[i].text, strlen(rows[i].text), rows[i].start, rows[i].end),
                 rows[i].expected,
                 rows[i].name);
    pl_arena_release(&arena);
  }
}

/* Columns of a piece of the output. */
static uint32_t columns_of(const char *text, size_t n) {
  uint32_t columns = 0;

  while (n > 0) {
    uint32_t code = 'x';
    size_t took = pl_utf8_decode(text, n, &code);

    columns += (uint32_t)pl_utf8_width(code);
    took = took == 0 ? 1 : took;
    text += took;
    n -= took;
  }
  return columns;
}

static char text_300[301];

/* 300 columns, every place: the window has 100 columns, and under the caret stands the byte that is
 * meant. */
static void long_lines_are_windowed(void) {
  for (uint32_t i = 0; i < 300; i++)
    text_300[i] = (char)('!' + i % 90);
  for (uint32_t start = 0; start < 300; start++) {
    struct pl_arena arena;
    const char *line, *caret;
    size_t line_length, place;

    pl_test_arena(&arena);
    line = strchr(printed(&arena, text_300, 300, start, start + 5), '\n') + 1;
    caret = strchr(line, '\n') + 1;
    line_length = (size_t)(caret - line) - 1;
    place = strcspn(caret, "^");
    CU_ASSERT_EQUAL(line_length, 102);
    CU_ASSERT_EQUAL(line[place], text_300[start]);
    CU_ASSERT_EQUAL(strncmp(line, "  ...", 5) == 0, start > 47);
    CU_ASSERT_EQUAL(strncmp(line + 99, "...", 3) == 0, start < 247);
    CU_ASSERT_EQUAL(strspn(caret + place + 1, "~"), start + 5 <= 300 ? 4 : 299 - start);
    pl_arena_release(&arena);
  }
}

static void a_line_of_100_columns_is_whole(void) {
  struct pl_arena arena;
  const char *out;

  pl_test_arena(&arena);
  memset(text_300, 'x', 300);
  out = strchr(printed(&arena, text_300, 100, 99, 100), '\n') + 1;
  CU_ASSERT_EQUAL(strcspn(out, "\n"), 102);
  CU_ASSERT_EQUAL(strncmp(out + 2, text_300, 100), 0);
  out = strchr(printed(&arena, text_300, 101, 0, 101), '\n') + 1;
  CU_ASSERT_EQUAL(strcspn(out, "\n"), 102);
  CU_ASSERT_EQUAL(strncmp(out + 99, "...\n", 4), 0);
  CU_ASSERT_EQUAL(strspn(strchr(out, '\n') + 4, "~"),
                  96); /* the caret's tail stops where the text is cut */
  pl_arena_release(&arena);
}

/* Wide glyphs and tabs across the edges of the window leave spaces: never more than 100 columns,
 * carets right. */
static void wide_glyphs_are_windowed(void) {
  static char text[1000];
  size_t n = 0;

  for (int i = 0; i < 60; i++) {
    memcpy(text + n, i % 7 == 3 ? "\t" : "\xe7\x94\xb5\xce\xa9", i % 7 == 3 ? 1 : 5);
    n += i % 7 == 3 ? 1 : 5;
  }
  for (uint32_t start = 0; start < n; start++) {
    struct pl_arena arena;
    const char *line, *caret;
    size_t place, at;

    if (((unsigned char)text[start] & 0xc0) == 0x80)
      continue;
    if (text[start] == '\t')
      continue;
    pl_test_arena(&arena);
    line = strchr(printed(&arena, text, n, start, start + 1), '\n') + 1;
    caret = strchr(line, '\n') + 1;
    CU_ASSERT(columns_of(line, (size_t)(caret - line) - 1) <= 102);
    CU_ASSERT_EQUAL(pl_utf8_check(line, strlen(line)), strlen(line));
    place = strcspn(caret, "^");
    for (at = 2; columns_of(line, at) < place || ((unsigned char)line[at] & 0xc0) == 0x80; at++)
      continue;
    CU_ASSERT_EQUAL(line[at], text[start]);
    pl_arena_release(&arena);
  }
}

/* Lines of megabytes: the print stays small, wherever the span is. */
static void endless_lines_stay_small(void) {
  enum {
    SIZE = 3 * 1000 * 1000
  };
  char *text = malloc(SIZE);

  CU_ASSERT_PTR_NOT_NULL_FATAL(text);
  for (int kind = 0; kind < 2; kind++) {
    for (size_t i = 0; i + 2 <= SIZE; i += 2)
      memcpy(text + i,
             kind == 0 ? "ab" : "\xcc\x81",
             2); /* letters; then marks of no width at all */
    for (uint32_t start = 0; start <= SIZE; start += SIZE / 8) {
      struct pl_arena arena;
      const char *out;

      pl_test_arena(&arena);
      out = printed(&arena, text, SIZE, start, SIZE);
      CU_ASSERT(strlen(out) < (kind == 0 ? 300u : 40000u));
      CU_ASSERT_PTR_NOT_NULL(strchr(out, '^'));
      pl_arena_release(&arena);
    }
  }
  free(text);
}

static void
add_some(struct pl_arena *arena, struct pl_sources *sources, struct pl_findings *findings) {
  static const char text[] = "wire 41 ECM.A12 to BAT.1\nwire 42\n";

  pl_sources_init(sources, arena);
  pl_sources_add(sources, "a.loom", text, strlen(text));
  pl_findings_init(findings, arena);
  pl_findings_add(findings,
                  (struct pl_finding){.rule = "fuse-size",
                                      .severity = PL_DANGER,
                                      .span = {0, 5, 7},
                                      .place = "wire 41",
                                      .state = "cranking",
                                      .figure = 62.5,
                                      .limit = 40,
                                      .unit = "A",
                                      .text = "carries more than it may",
                                      .remedy = "use a thicker wire",
                                      .source = "a table"});
  pl_findings_add(findings,
                  (struct pl_finding){.rule = "spare",
                                      .severity = PL_ADVICE,
                                      .span = {0, 30, 32},
                                      .figure = NAN,
                                      .limit = NAN,
                                      .text = "leads nowhere",
                                      .waived = "kept as \"spare\""});
  pl_findings_add(findings,
                  (struct pl_finding){.rule = "ground",
                                      .severity = PL_FAULT,
                                      .span = PL_NO_SPAN,
                                      .figure = NAN,
                                      .limit = INFINITY,
                                      .text = "no ground",
                                      .waived = NULL});
  pl_findings_add(findings,
                  (struct pl_finding){.rule = "spare",
                                      .severity = PL_FAULT,
                                      .span = PL_NO_SPAN,
                                      .text = "x",
                                      .waived = ""});
}

static void whole_print(void) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_buffer out;

  pl_test_arena(&arena);
  add_some(&arena, &sources, &findings);
  pl_buffer_init(&out, &arena);
  pl_findings_print(&out, &findings, &sources);
  CU_ASSERT_STRING_EQUAL(out.at,
                         "a.loom:1:6: danger: carries more than it may [fuse-size]\n"
                         "  wire 41 ECM.A12 to BAT.1\n"
                         "       ^~\n"
                         "  in state: cranking\n"
                         "  do: use a thicker wire\n"
                         "  limit from: a table\n"
                         "pinloom: fault: no ground [ground]\n"
                         "a.loom:2:6: waived: leads nowhere (kept as \"spare\")\n"
                         "pinloom: waived: x\n"
                         "1 danger, 1 fault, 2 waived\n");
  pl_arena_release(&arena);
}

static void summary_counts(void) {
  static const struct {
    int errors, dangers, faults, advice, waived;
    const char *line;
  } rows[] = {
      {0, 0, 0, 0, 0, "no findings\n"},
      {0, 0, 2, 1, 3, "2 faults, 1 advice, 3 waived\n"},
      {1, 2, 1, 2, 0, "1 error, 2 dangers, 1 fault, 2 advice\n"},
      {PL_LIMIT_ERRORS, 0, 0, 0, 0, "100 errors\n"},
      {PL_LIMIT_ERRORS + 37, 0, 0, 0, 1, "137 errors (the first 100 are shown), 1 waived\n"},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const int many[] = {rows[i].advice,
                        rows[i].faults,
                        rows[i].dangers,
                        rows[i].errors,
                        rows[i].waived};
    struct pl_arena arena;
    struct pl_sources sources;
    struct pl_findings findings;
    struct pl_buffer out;

    pl_test_arena(&arena);
    pl_sources_init(&sources, &arena);
    pl_findings_init(&findings, &arena);
    for (int k = 0; k < 5; k++)
      for (int n = 0; n < many[k]; n++)
        pl_findings_add(&findings,
                        (struct pl_finding){.severity = k < 4 ? (enum pl_severity)k : PL_FAULT,
                                            .span = PL_NO_SPAN,
                                            .waived = k == 4 ? "why" : NULL});
    pl_buffer_init(&out, &arena);
    pl_findings_print(&out, &findings, &sources);
    PL_CHECK(out.n >= strlen(rows[i].line), rows[i].line);
    PL_CHECK_STR(out.at + out.n - strlen(rows[i].line), rows[i].line, rows[i].line);
    pl_arena_release(&arena);
  }
}

/* Nothing a user can write makes a second line, a control sequence or a turned text. */
static void hostile_texts_are_harmless(void) {
  static const char nasty[] = "x\ny\r\x1b[2J\x7f\xc2\x9b\xff\xe2\x80\xae\xe2\x81\xa6\xe2\x80\xa9z";
  static const char shown[] = "x?y??[2J??????z";
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_buffer out, expected;

  pl_test_arena(&arena);
  pl_sources_init(&sources, &arena);
  pl_sources_add(&sources, nasty, "w", 1);
  pl_findings_init(&findings, &arena);
  pl_findings_add(&findings,
                  (struct pl_finding){.rule = nasty,
                                      .severity = PL_FAULT,
                                      .span = {0, 0, 1},
                                      .text = nasty,
                                      .state = nasty,
                                      .remedy = nasty,
                                      .source = nasty});
  pl_findings_add(&findings,
                  (struct pl_finding){.span = {0, 0, 1}, .text = nasty, .waived = nasty});
  pl_buffer_init(&out, &arena);
  pl_findings_print(&out, &findings, &sources);
  pl_buffer_init(&expected, &arena);
  pl_buffer_printf(&expected,
                   "%s:1:1: fault: %s [%s]\n  w\n  ^\n  in state: %s\n  do: %s\n  limit from: %s\n",
                   shown,
                   shown,
                   shown,
                   shown,
                   shown,
                   shown);
  pl_buffer_printf(&expected, "%s:1:1: waived: %s (%s)\n1 fault, 1 waived\n", shown, shown, shown);
  CU_ASSERT_STRING_EQUAL(out.at, expected.at);
  pl_arena_release(&arena);
}

CU_TestInfo print_tests[] = {
    {"carets stand under the span", carets_stand_under_the_span},
    {"a line of 300 columns is windowed", long_lines_are_windowed},
    {"a line of 100 columns is whole", a_line_of_100_columns_is_whole},
    {"wide glyphs and tabs are windowed", wide_glyphs_are_windowed},
    {"endless lines stay small", endless_lines_stay_small},
    {"the whole print", whole_print},
    {"the summary counts, PL_LIMIT_ERRORS", summary_counts},
    {"hostile texts are harmless", hostile_texts_are_harmless},
    CU_TEST_INFO_NULL,
};
