/* The writer of JSON: bytes of every kind of value, and that no order of calls breaks the form. */
#include <math.h>

#include "base/json.h"
#include "test_base.h"

static void strings_are_escaped(void) {
  static const struct {
    const char *text, *json;
  } rows[] = {
      /* RFC 8259 section 7 */
      {"", "\"\""},
      {"plain", "\"plain\""},
      {"say \"hi\" \\ there", "\"say \\\"hi\\\" \\\\ there\""},
      {"a\nb\tc\rd", "\"a\\nb\\tc\\u000dd\""},
      {"\x01\x1f\x7f", "\"\\u0001\\u001f\\u007f\""},
      {"\xce\xa9 \xf0\x9f\x98\x80", "\"\xce\xa9 \xf0\x9f\x98\x80\""},
      /* RFC 3629 section 3: no such bytes, an overlong form, half a surrogate pair */
      {"\xff"
       "a\xc0\x80",
       "\"\xef\xbf\xbd"
       "a\xef\xbf\xbd\xef\xbf\xbd\""},
      {"\xed\xa0\x80", "\"\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd\""},
      {"cut off \xe2\x80", "\"cut off \xef\xbf\xbd\xef\xbf\xbd\""},
      {"\xe2\x80\xa8", "\"\\u2028\""},
      {NULL, "null"},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_arena arena;
    struct pl_buffer out;
    struct pl_json json;

    pl_test_arena(&arena);
    pl_buffer_init(&out, &arena);
    pl_json_begin(&json, &out, false);
    pl_json_text(&json, NULL, rows[i].text);
    CU_ASSERT_TRUE(pl_json_finish(&json));
    PL_CHECK_STR(out.at, rows[i].json, rows[i].json);
    pl_arena_release(&arena);
  }
}

static void numbers_are_plain_or_null(void) {
  static const struct {
    double value;
    const char *exact, *rounded;
  } rows[] = {
      /* RFC 8259 section 6: no NaN, no infinity, no leading plus */
      {0, "0", "0"},
      {-0.0, "0", "0"},
      {100000, "100000", "100000"},
      {4294967295.0, "4294967295", "4290000000"},
      {0.1, "0.1", "0.1"},
      {-12.3456, "-12.3456", "-12.3"},
      {NAN, "null", "null"},
      {INFINITY, "null", "null"},
      {-INFINITY, "null", "null"},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_arena arena;
    struct pl_buffer out;
    struct pl_json json;
    char wanted[80];

    pl_test_arena(&arena);
    pl_buffer_init(&out, &arena);
    pl_json_begin(&json, &out, false);
    pl_json_list(&json, NULL);
    pl_json_number(&json, NULL, rows[i].value);
    pl_json_rounded(&json, NULL, rows[i].value, 3);
    CU_ASSERT_TRUE(pl_json_finish(&json));
    snprintf(wanted, sizeof wanted, "[%s,%s]", rows[i].exact, rows[i].rounded);
    PL_CHECK_STR(out.at, wanted, wanted);
    pl_arena_release(&arena);
  }
}

static void some_of_everything(struct pl_json *json) {
  pl_json_object(json, NULL);
  pl_json_text(json, "say \"name\"", "x");
  pl_json_list(json, "empty");
  pl_json_close(json);
  pl_json_object(json, "none");
  pl_json_close(json);
  pl_json_line(json, 1);
  pl_json_list(json, "list");
  pl_json_line(json, 2);
  pl_json_bool(json, NULL, true);
  pl_json_bool(json, NULL, false);
  pl_json_line(json, 0);
  pl_json_close(json);
  pl_json_number(json, "last", 1.5);
}

static void commas_blanks_and_lines_are_its_own(void) {
  static const char *const wanted[] = {
      "{\"say \\\"name\\\"\":\"x\",\"empty\":[],\"none\":{},\n \"list\":[\n  "
      "true,false\n],\"last\":1.5}",
      "{\"say \\\"name\\\"\": \"x\", \"empty\": [], \"none\": {},\n \"list\": [\n  true, false\n], "
      "\"last\": 1.5}"};

  for (int spaced = 0; spaced < 2; spaced++) {
    struct pl_arena arena;
    struct pl_buffer out;
    struct pl_json json;

    pl_test_arena(&arena);
    pl_buffer_init(&out, &arena);
    pl_json_begin(&json, &out, spaced == 1);
    some_of_everything(&json);
    CU_ASSERT_TRUE(pl_json_finish(&json)); /* closes what is open */
    CU_ASSERT_STRING_EQUAL(out.at, wanted[spaced]);
    pl_arena_release(&arena);
  }
}

static void what_may_not_stand_is_left_out(void) {
  struct pl_arena arena;
  struct pl_buffer out;
  struct pl_json json;

  pl_test_arena(&arena);
  pl_buffer_init(&out, &arena);
  pl_json_begin(&json, &out, false);
  pl_json_text(&json, "a name without an object", "x");
  pl_json_object(&json, NULL);
  pl_json_number(&json, NULL, 1); /* no name in an object */
  pl_json_list(&json, NULL);      /* with all in it */
  pl_json_number(&json, NULL, 2);
  pl_json_close(&json);
  pl_json_list(&json, "good");
  pl_json_number(&json, "a name in a list", 3);
  pl_json_number(&json, NULL, 4);
  pl_json_close(&json);
  pl_json_close(&json);
  pl_json_number(&json, NULL, 5); /* a second value */
  pl_json_close(&json);           /* nothing is open */
  CU_ASSERT_FALSE(pl_json_finish(&json));
  CU_ASSERT_STRING_EQUAL(out.at, "{\"good\":[4]}");

  pl_buffer_init(&out, &arena);
  pl_json_begin(&json, &out, false);
  CU_ASSERT_FALSE(pl_json_finish(&json)); /* no value at all */
  pl_arena_release(&arena);
}

static void depth_has_an_end(void) {
  struct pl_arena arena;
  struct pl_buffer out;
  struct pl_json json;
  char wanted[2 * PL_JSON_DEPTH + 2] = "";

  memset(wanted, '[', PL_JSON_DEPTH);
  wanted[PL_JSON_DEPTH] = '7';
  memset(wanted + PL_JSON_DEPTH + 1, ']', PL_JSON_DEPTH);
  pl_test_arena(&arena);
  pl_buffer_init(&out, &arena);
  pl_json_begin(&json, &out, false);
  for (int i = 0; i < PL_JSON_DEPTH + 3; i++)
    pl_json_list(&json, NULL);
  pl_json_number(&json, NULL, 6);
  for (int i = 0; i < 3; i++)
    pl_json_close(&json);
  pl_json_number(&json, NULL, 7);
  CU_ASSERT_FALSE(pl_json_finish(&json));
  CU_ASSERT_STRING_EQUAL(out.at, wanted);
  pl_arena_release(&arena);
}

CU_TestInfo json_tests[] = {
    {"strings are escaped", strings_are_escaped},
    {"numbers are plain or null", numbers_are_plain_or_null},
    {"commas, blanks and lines are its own", commas_blanks_and_lines_are_its_own},
    {"what may not stand is left out", what_may_not_stand_is_left_out},
    {"depth has an end", depth_has_an_end},
    CU_TEST_INFO_NULL,
};
