/* Reading words with expectations: what is taken, what is only looked at, and every message with
 * its caret. */
#include "base/limits.h"
#include "test_text.h"

static void open_line(struct reading *reading,
                      struct pl_cursor *cursor,
                      const char *text,
                      const char *example) {
  read_text(reading, text);
  CU_ASSERT_EQUAL_FATAL(reading->tree.lines.n, 1);
  pl_cursor_open(cursor, &reading->tree, 0, example, &reading->findings);
}

static void walks_a_line(void) {
  struct reading reading;
  struct pl_cursor c;
  struct pl_span span;

  open_line(&reading, &c, "part big relay 12 V is relay, \"t\" run: battery feed \"u\" 12\n", NULL);
  PL_CHECK(pl_cursor_is(&c, "part") && !pl_cursor_is(&c, "par") && !pl_cursor_is(&c, "parts"),
           "is");
  PL_CHECK(!pl_cursor_take(&c, "relay") && pl_cursor_take(&c, "part"), "take");
  PL_CHECK_STR(pl_cursor_peek(&c)->text, "big", "peek");
  PL_CHECK_STR(pl_cursor_peek_at(&c, 4)->text, "is", "peek_at");
  PL_CHECK(pl_cursor_peek_at(&c, 13) != NULL && pl_cursor_peek_at(&c, 14) == NULL,
           "peek_at the end");
  PL_CHECK(pl_cursor_peek_at(&c, UINT32_MAX) == NULL, "peek_at far beyond");
  PL_CHECK_STR(pl_cursor_words(&c, "is", "a name", &span), "big relay 12 V", "words");
  PL_CHECK_INT(span.start, 5, "words from");
  PL_CHECK_INT(span.end, 19, "words to");
  PL_CHECK(pl_cursor_need(&c, "is"), "need");
  PL_CHECK_STR(pl_cursor_words(&c, NULL, "a kind", NULL), "relay", "words end at a comma");
  PL_CHECK(!pl_cursor_take_kind(&c, PL_COLON) && pl_cursor_take_kind(&c, PL_COMMA), "take_kind");
  PL_CHECK(!pl_cursor_is(&c, "t"), "a text is no word");
  PL_CHECK_STR(pl_cursor_text_if(&c), "t", "text_if");
  PL_CHECK_STR(pl_cursor_text_if(&c), "", "text_if without one");
  PL_CHECK_STR(pl_cursor_name(&c, "a position")->text, "run", "name");
  PL_CHECK(pl_cursor_take_kind(&c, PL_COLON), "colon");
  PL_CHECK(!pl_cursor_take_words(&c, "battery fed") && !pl_cursor_take_words(&c, "battery feed u"),
           "all or none");
  PL_CHECK(pl_cursor_take_words(&c, "battery feed"), "take_words");
  PL_CHECK_STR(pl_cursor_text(&c, "a title"), "u", "text");
  PL_CHECK(!pl_cursor_done(&c) && pl_cursor_next(&c) != NULL && pl_cursor_done(&c), "done");
  PL_CHECK(pl_cursor_next(&c) == NULL && pl_cursor_peek(&c) == NULL && pl_cursor_end(&c),
           "the end");
  PL_CHECK_INT(reading.findings.errors, 0, "errors");
  done_reading(&reading);
}

static void is_silent_after_an_error(void) {
  struct reading reading;
  struct pl_cursor c;
  struct pl_size size;
  double low, high;
  uint32_t count;

  open_line(&reading, &c, "a b c \"d\"\n", NULL);
  PL_CHECK(!pl_cursor_need(&c, "x"), "the mistake");
  PL_CHECK_INT(reading.findings.errors, 1, "reported");
  PL_CHECK(c.failed && pl_cursor_done(&c) && !pl_cursor_end(&c), "failed");
  PL_CHECK(pl_cursor_peek(&c) == NULL && pl_cursor_next(&c) == NULL && !pl_cursor_is(&c, "a"),
           "nothing is seen");
  PL_CHECK(!pl_cursor_take(&c, "a") && !pl_cursor_need(&c, "a") && !pl_cursor_take_words(&c, "a b"),
           "nothing is taken");
  PL_CHECK(pl_cursor_name(&c, "n") == NULL && pl_cursor_words(&c, NULL, "n", NULL) == NULL,
           "no names");
  PL_CHECK(pl_cursor_text(&c, "t") == NULL && pl_cursor_text_if(&c)[0] == '\0', "no texts");
  PL_CHECK(!pl_cursor_quantity(&c, PL_UNIT_CURRENT, &low) &&
               !pl_cursor_range(&c, PL_UNIT_CURRENT, &low, &high),
           "none");
  PL_CHECK(!pl_cursor_size(&c, &size) && !pl_cursor_size_range(&c, &size, &size), "no sizes");
  PL_CHECK(!pl_cursor_count(&c, 9, &count) && !pl_cursor_number(&c, &low), "no numbers");
  PL_CHECK(!pl_cursor_is_quantity(&c, PL_UNIT_CURRENT) &&
               !pl_cursor_is_range(&c, PL_UNIT_CURRENT) && !pl_cursor_is_size(&c),
           "looks see none");
  pl_cursor_error(&c, NULL, "more", "");
  PL_CHECK_INT(reading.findings.errors, 1, "said once");
  done_reading(&reading);
}

static void need_to(struct pl_cursor *c) {
  pl_cursor_next(c);
  pl_cursor_need(c, "to");
}
static void a_name(struct pl_cursor *c) {
  pl_cursor_name(c, "the name of a place");
}
static void some_words(struct pl_cursor *c) {
  pl_cursor_words(c, "is", "the name of a part", NULL);
}
static void a_title(struct pl_cursor *c) {
  pl_cursor_text(c, "the title");
}
static void the_end(struct pl_cursor *c) {
  pl_cursor_next(c);
  pl_cursor_end(c);
}
static void a_count(struct pl_cursor *c) {
  uint32_t count;

  pl_cursor_count(c, PL_LIMIT_CAVITIES, &count);
}
static void a_number(struct pl_cursor *c) {
  double value;

  pl_cursor_number(c, &value);
}

/* NAME65 stands for a name of 65 bytes in two parts. */
#define PART32 "abcdefghijklmnopqrstuvwxyzabcdef"

static const struct {
  const char *name;
  void (*read)(struct pl_cursor *);
  const char *example, *line, *printed;
} errors[] = {
    {"need, nearest word",
     need_to,
     NULL,
     "a too b\n",
     "x.loom:1:3: error: expected \"to\", found \"too\" [text]\n"
     "  a too b\n"
     "    ^~~\n"
     "  try: did you mean to?\n"},
    {"need, far off: the example",
     need_to,
     "run cab to bay",
     "a cab\n",
     "x.loom:1:3: error: expected \"to\", found \"cab\" [text]\n"
     "  a cab\n"
     "    ^~~\n"
     "  try: for example: run cab to bay\n"},
    {"need, at the end",
     need_to,
     "run cab to bay",
     "a\n",
     "x.loom:1:2: error: expected \"to\", found the end of the line [text]\n"
     "  a\n"
     "   ^\n"
     "  try: for example: run cab to bay\n"},
    {"need, a comma",
     need_to,
     NULL,
     "a , b\n",
     "x.loom:1:3: error: expected \"to\", found a comma [text]\n"
     "  a , b\n"
     "    ^\n"},
    {"need, in quotes",
     need_to,
     NULL,
     "a \"to\" b\n",
     "x.loom:1:3: error: expected \"to\", found the text \"to\" [text]\n"
     "  a \"to\" b\n"
     "    ^~~~\n"
     "  try: write to without quotes\n"},
    {"name, a text",
     a_name,
     NULL,
     "\"cab\"\n",
     "x.loom:1:1: error: expected the name of a place, found the text \"cab\" [text]\n"
     "  \"cab\"\n"
     "  ^~~~~\n"
     "  try: a name stands without quotes and has no blanks\n"},
    {"name, a colon",
     a_name,
     "place cab",
     ": cab\n",
     "x.loom:1:1: error: expected the name of a place, found a colon [text]\n"
     "  : cab\n"
     "  ^\n"
     "  try: for example: place cab\n"},
    {"name, too long",
     a_name,
     NULL,
     PART32 "." PART32 "\n",
     "x.loom:1:1: error: the name of a place has 65 bytes; a name has at most 64 [text]\n"
     "  abcdefghijklmnopqrstuvwxyzabcdef.abcdefghijklmnopqrstuvwxyzabcdef\n"
     "  ^~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~\n"
     "  try: shorten it\n"},
    {"words, none",
     some_words,
     "part big relay is relay",
     "is relay\n",
     "x.loom:1:1: error: expected the name of a part, found \"is\" [text]\n"
     "  is relay\n"
     "  ^~\n"
     "  try: for example: part big relay is relay\n"},
    {"words, too long",
     some_words,
     NULL,
     PART32 " " PART32 "\n",
     "x.loom:1:1: error: the name of a part has 65 bytes; a name has at most 64 [text]\n"
     "  abcdefghijklmnopqrstuvwxyzabcdef abcdefghijklmnopqrstuvwxyzabcdef\n"
     "  ^~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~\n"
     "  try: shorten it\n"},
    {"text, a word",
     a_title,
     NULL,
     "Pump set\n",
     "x.loom:1:1: error: expected the title in \"double quotes\", found \"Pump\" [text]\n"
     "  Pump set\n"
     "  ^~~~\n"
     "  try: put \" before and after the words\n"},
    {"text, a comma",
     a_title,
     "machine \"Pump set\"",
     ", x\n",
     "x.loom:1:1: error: expected the title in \"double quotes\", found a comma [text]\n"
     "  , x\n"
     "  ^\n"
     "  try: for example: machine \"Pump set\"\n"},
    {"end",
     the_end,
     "reach easy",
     "a b c\n",
     "x.loom:1:3: error: expected the end of the line, found \"b\" [text]\n"
     "  a b c\n"
     "    ^\n"
     "  try: for example: reach easy\n"},
    {"end, a long text",
     the_end,
     NULL,
     "a \"0123456789012345678901234567890123456789\xC3\xA4"
     "more\"\n",
     "x.loom:1:3: error: expected the end of the line, found the text "
     "\"0123456789012345678901234567890123456789...\" [text]\n"
     "  a \"0123456789012345678901234567890123456789\xC3\xA4more\"\n"
     "    ^~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~~\n"},
    {"count, a word",
     a_count,
     "connector A 12 cavities",
     "twelve\n",
     "x.loom:1:1: error: expected a whole number, found \"twelve\" [text]\n"
     "  twelve\n"
     "  ^~~~~~\n"
     "  try: for example: connector A 12 cavities\n"},
    {"count, with its word",
     a_count,
     NULL,
     "12cavities\n",
     "x.loom:1:1: error: expected a whole number, found \"12cavities\" [text]\n"
     "  12cavities\n"
     "  ^~~~~~~~~~\n"
     "  try: write it with digits only, and a blank behind it\n"},
    {"count, negative",
     a_count,
     NULL,
     "-3\n",
     "x.loom:1:1: error: expected a whole number, found \"-3\" [text]\n"
     "  -3\n"
     "  ^~\n"},
    {"count, a fraction",
     a_count,
     NULL,
     "2.5\n",
     "x.loom:1:1: error: expected a whole number, found \"2.5\" [text]\n"
     "  2.5\n"
     "  ^~~\n"
     "  try: write it with digits only, and a blank behind it\n"},
    {"count, too many",
     a_count,
     NULL,
     "1001\n",
     "x.loom:1:1: error: \"1001\" is too many; at most 1000 are possible here [text]\n"
     "  1001\n"
     "  ^~~~\n"
     "  try: check the number\n"},
    {"count, huge",
     a_count,
     NULL,
     "99999999999999999999999999\n",
     "x.loom:1:1: error: \"99999999999999999999999999\" is too many; at most 1000 are possible "
     "here [text]\n"
     "  99999999999999999999999999\n"
     "  ^~~~~~~~~~~~~~~~~~~~~~~~~~\n"
     "  try: check the number\n"},
    {"number, a word",
     a_number,
     NULL,
     "x\n",
     "x.loom:1:1: error: expected a number, found \"x\" [text]\n"
     "  x\n"
     "  ^\n"},
    {"number, with a unit",
     a_number,
     NULL,
     "15A\n",
     "x.loom:1:1: error: expected a number alone, found \"15A\" [text]\n"
     "  15A\n"
     "  ^~~\n"
     "  try: leave out what follows the digits\n"},
    {"number, decimal comma",
     a_number,
     NULL,
     "0,5\n",
     "x.loom:1:1: error: a number has a decimal point, this one has a comma [text]\n"
     "  0,5\n"
     "  ^~~\n"
     "  try: write 0.5\n"},
    {"number, huge",
     a_number,
     NULL,
     "1e999\n",
     "x.loom:1:1: error: expected a number, found \"1e999\" [text]\n"
     "  1e999\n"
     "  ^~~~~\n"
     "  try: check the number\n"},
};
#define ERRORS (sizeof errors / sizeof errors[0])

static void says_what_is_wrong(void) {
  for (size_t i = 0; i < ERRORS; i++) {
    struct reading reading;
    struct pl_cursor cursor;

    open_line(&reading, &cursor, errors[i].line, errors[i].example);
    errors[i].read(&cursor);
    PL_CHECK_STR(printed(&reading), errors[i].printed, errors[i].name);
    PL_CHECK(cursor.failed, errors[i].name);
    done_reading(&reading);
  }
}

static void reads_numbers(void) {
  struct reading reading;
  struct pl_cursor c;
  double value = 0;
  uint32_t count = 0;

  open_line(&reading, &c, "12 0 1000 007 -0.5 -0 1e3 12,2\n", NULL);
  PL_CHECK(pl_cursor_count(&c, 1000, &count) && count == 12, "12");
  PL_CHECK(pl_cursor_count(&c, 1000, &count) && count == 0, "0");
  PL_CHECK(pl_cursor_count(&c, 1000, &count) && count == 1000, "1000");
  PL_CHECK(pl_cursor_count(&c, 1000, &count) && count == 7, "007");
  PL_CHECK(pl_cursor_number(&c, &value) && value == -0.5, "-0.5");
  PL_CHECK(pl_cursor_number(&c, &value) && value == 0 && !signbit(value), "-0");
  PL_CHECK(pl_cursor_number(&c, &value) && value == 1000, "1e3");
  PL_CHECK(pl_cursor_count(&c, 1000, &count) && count == 12 && pl_cursor_take_kind(&c, PL_COMMA) &&
               pl_cursor_count(&c, 1000, &count) && count == 2,
           "a comma parts counts");
  PL_CHECK_INT(reading.findings.errors, 0, "errors");
  done_reading(&reading);
}

CU_TestInfo cursor_tests[] = {{"a line from end to end", walks_a_line},
                              {"silent after an error", is_silent_after_an_error},
                              {"numbers without units", reads_numbers},
                              {"what is wrong, with carets", says_what_is_wrong},
                              CU_TEST_INFO_NULL};
