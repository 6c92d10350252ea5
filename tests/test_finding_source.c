/* Places in source texts. */
#include "base/utf8.h"
#include "finding/source.h"
#include "test_finding.h"

static void places_are_counted(void) {
  static const struct {
    const char *name, *text;
    uint32_t offset, line, column;
  } rows[] = {
      {"start", "abc\ndef\n", 0, 1, 1},
      {"within", "abc\ndef\n", 5, 2, 2},
      {"at LF", "abc\ndef\n", 3, 1, 4},
      {"end after LF", "abc\ndef\n", 8, 3, 1},
      {"end without LF", "abc\ndef", 7, 2, 4},
      {"beyond the end", "abc", 999, 1, 4},
      {"far beyond the end", "abc", UINT32_MAX, 1, 4},
      {"empty text", "", 0, 1, 1},
      {"empty text, beyond", "", 5, 1, 1},
      {"after tab at 0", "\tx", 1, 1, 9},
      {"after tab at 7", "1234567\tx", 8, 1, 9},
      {"after tab at 8", "12345678\tx", 9, 1, 17},
      {"tab after wide", "\xe7\x94\xb5\tx", 4, 1, 9},
      {"after wide", "\xe7\x94\xb5x", 3, 1, 3},
      {"within wide", "\xe7\x94\xb5x", 2, 1, 1},
      {"after ohm", "\xce\xa9x", 2, 1, 2},
      {"after combining", "e\xcc\x81x", 3, 1, 2},
      {"after mark of byte order", "\xef\xbb\xbfx", 3, 1, 1},
      {"after broken byte", "\xffx", 1, 1, 2},
      {"after escape", "\x1b[x", 1, 1, 2},
      {"CRLF, second line", "ab\r\ncd\r\n", 5, 2, 2},
      {"at CR", "ab\r\ncd", 2, 1, 3},
      {"at LF of CRLF", "ab\r\ncd", 3, 1, 3},
      {"CR alone", "ab\rcd", 3, 1, 4},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_arena arena;
    struct pl_sources sources;
    struct pl_position position;

    pl_test_arena(&arena);
    pl_sources_init(&sources, &arena);
    PL_CHECK_INT(pl_sources_add(&sources, "a.loom", rows[i].text, strlen(rows[i].text)),
                 0,
                 rows[i].name);
    position = pl_source_position(&sources, (struct pl_span){0, rows[i].offset, rows[i].offset});
    PL_CHECK_INT(position.line, rows[i].line, rows[i].name);
    PL_CHECK_INT(position.column, rows[i].column, rows[i].name);
    pl_arena_release(&arena);
  }
}

static void files_have_numbers(void) {
  struct pl_arena arena;
  struct pl_sources sources;

  pl_test_arena(&arena);
  pl_sources_init(&sources, &arena);
  for (uint32_t i = 0; i < 100; i++)
    CU_ASSERT_EQUAL(
        pl_sources_add(&sources, pl_arena_printf(&arena, "f%u", (unsigned)i), "\n\nx", i % 4),
        i);
  CU_ASSERT_STRING_EQUAL(sources.files.at[42].path, "f42");
  CU_ASSERT_EQUAL(pl_source_position(&sources, (struct pl_span){3, 2, 3}).line, 3);
  CU_ASSERT_EQUAL(pl_source_position(&sources, PL_NO_SPAN).line, 0);
  CU_ASSERT_EQUAL(pl_source_position(&sources, (struct pl_span){100, 0, 0}).line, 0);
  pl_arena_release(&arena);
}

static void lines_are_found(void) {
  static const struct {
    const char *name, *text;
    uint32_t offset, start, end;
  } rows[] = {
      {"first", "abc\ndef\n", 1, 0, 3},
      {"at LF", "abc\ndef\n", 3, 0, 3},
      {"second", "abc\ndef\n", 4, 4, 7},
      {"end", "abc\ndef\n", 8, 8, 8},
      {"last, no LF", "abc\ndef", 7, 4, 7},
      {"CRLF", "abc\r\ndef", 1, 0, 3},
      {"at CR", "abc\r\ndef", 3, 0, 3},
      {"empty CRLF", "a\r\n\r\nb", 3, 3, 3},
      {"empty", "", 0, 0, 0},
      {"CR at the end", "a\r", 0, 0, 2},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_arena arena;
    struct pl_sources sources;
    struct pl_source_line line;

    pl_test_arena(&arena);
    pl_sources_init(&sources, &arena);
    pl_sources_add(&sources, "a", rows[i].text, strlen(rows[i].text));
    line = pl_source_line(&sources, (struct pl_span){0, rows[i].offset, rows[i].offset});
    PL_CHECK_INT(line.start, rows[i].start, rows[i].name);
    PL_CHECK_INT(line.end, rows[i].end, rows[i].name);
    pl_arena_release(&arena);
  }
}

/* Counts from the top, one place after the other. */
struct walk {
  uint32_t at, line, column;
};

static void walk_on(struct walk *walk, const char *text, size_t size) {
  uint32_t code;
  size_t took = pl_utf8_decode(text + walk->at, size - walk->at, &code);

  if (took == 0) {
    took = 1;
    code = 'x';
  }
  if (code == '\n') {
    walk->line++;
    walk->column = 1;
  } else if (code == '\t') {
    walk->column = (walk->column - 1) / 8 * 8 + 9;
  } else if (!(code == '\r' && walk->at + 1 < size && text[walk->at + 1] == '\n')) {
    walk->column += (uint32_t)pl_utf8_width(code);
  }
  walk->at += (uint32_t)took;
}

/* A large text with everything in it, lines from nothing to 5000 bytes: every place agrees with
 * plain counting. */
static void large_texts_agree_with_counting(void) {
  static const char *pieces[] =
      {"wire ", "\t", "\xe7\x94\xb5", "\xce\xa9", "e\xcc\x81", "\xff", "12.5 ", "\xf0\x9f\x98\x80"};
  enum {
    SIZE = 8 * 1024 * 1024
  };
  struct pl_arena arena;
  struct pl_sources sources;
  struct walk walk = {0, 1, 1};
  char *text = malloc(SIZE);
  uint32_t n = 0;
  uint32_t seed = 1;
  uint32_t wrong = 0;
  uint32_t looked = 0;
  uint32_t left = 0;

  CU_ASSERT_PTR_NOT_NULL_FATAL(text);
  while (n < SIZE - 16) {
    const char *piece = pieces[seed >> 16 & 7];

    if (left < 8) {
      piece = (seed >> 20 & 1) != 0 ? "\r\n" : "\n";
      if ((seed >> 8 & 63) == 0)
        left = 5000;
      else
        left = seed >> 8 & 127;
    }
    memcpy(text + n, piece, strlen(piece));
    n += (uint32_t)strlen(piece);
    if (left > strlen(piece))
      left = left - (uint32_t)strlen(piece);
    else
      left = 0;
    seed = seed * 1664525u + 1013904223u;
  }
  pl_test_arena(&arena);
  pl_sources_init(&sources, &arena);
  pl_sources_add(&sources, "large.loom", text, n);
  for (uint32_t step = 0; walk.at < n; step++) {
    if (step % 97 == 0) {
      struct pl_position position =
          pl_source_position(&sources, (struct pl_span){0, walk.at, walk.at});

      wrong += position.line != walk.line || position.column != walk.column;
      looked++;
    }
    walk_on(&walk, text, n);
  }
  CU_ASSERT(looked > 20000);
  CU_ASSERT(walk.line > 50000);
  CU_ASSERT_EQUAL(wrong, 0);
  pl_arena_release(&arena);
  free(text);
}

CU_TestInfo source_tests[] = {
    {"places are counted", places_are_counted},
    {"files have numbers", files_have_numbers},
    {"lines are found", lines_are_found},
    {"large texts agree with counting", large_texts_agree_with_counting},
    CU_TEST_INFO_NULL,
};
