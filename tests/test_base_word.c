/* UTF-8, the nearest word, and SHA-256. */
#include "base/digest.h"
#include "base/nearest.h"
#include "base/utf8.h"
#include "test_base.h"

static void decodes_valid_text(void) {
  static const struct {
    const char *name, *bytes;
    uint32_t code;
  } rows[] = {
      /* RFC 3629 section 7 and the ends of the table in section 3 */
      {"U+0041", "\x41", 0x41},
      {"U+2262", "\xe2\x89\xa2", 0x2262},
      {"U+0391", "\xce\x91", 0x391},
      {"U+D55C", "\xed\x95\x9c", 0xd55c},
      {"U+65E5", "\xe6\x97\xa5", 0x65e5},
      {"U+233B4", "\xf0\xa3\x8e\xb4", 0x233b4},
      {"U+007F", "\x7f", 0x7f},
      {"U+0080", "\xc2\x80", 0x80},
      {"U+07FF", "\xdf\xbf", 0x7ff},
      {"U+0800", "\xe0\xa0\x80", 0x800},
      {"U+D7FF", "\xed\x9f\xbf", 0xd7ff},
      {"U+E000", "\xee\x80\x80", 0xe000},
      {"U+FFFF", "\xef\xbf\xbf", 0xffff},
      {"U+10000", "\xf0\x90\x80\x80", 0x10000},
      {"U+10FFFF", "\xf4\x8f\xbf\xbf", 0x10ffff},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    size_t n = strlen(rows[i].bytes);
    uint32_t code = 0;

    PL_CHECK_INT(pl_utf8_decode(rows[i].bytes, n, &code), n, rows[i].name);
    PL_CHECK_INT(code, rows[i].code, rows[i].name);
    for (size_t k = 0; k < n; k++)
      PL_CHECK_INT(pl_utf8_decode(rows[i].bytes, k, &code), 0, rows[i].name);
  }
}

static void refuses_invalid_text(void) {
  static const struct {
    const char *name, *bytes;
  } rows[] = {
      /* RFC 3629 sections 3, 4 and 10 */
      {"overlong NUL", "\xc0\x80"},
      {"overlong slash", "\xc0\xaf"},
      {"overlong 2 in 3", "\xe0\x9f\xbf"},
      {"overlong 3 in 4", "\xf0\x8f\xbf\xbf"},
      {"surrogate D800", "\xed\xa0\x80"},
      {"surrogate DFFF", "\xed\xbf\xbf"},
      {"above 10FFFF", "\xf4\x90\x80\x80"},
      {"five bytes", "\xf8\x88\x80\x80\x80"},
      {"tail alone", "\x80"},
      {"FE", "\xfe"},
      {"FF", "\xff"},
      {"tail missing", "\xe2\x89z"},
  };
  const char *text = "ok \xe2\x89\xa2 \xc0\xaf";
  uint32_t code;

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    PL_CHECK_INT(pl_utf8_decode(rows[i].bytes, strlen(rows[i].bytes), &code), 0, rows[i].name);
    PL_CHECK_INT(pl_utf8_check(rows[i].bytes, strlen(rows[i].bytes)), 0, rows[i].name);
  }
  CU_ASSERT_EQUAL(pl_utf8_check(text, strlen(text)), 7);
  CU_ASSERT_EQUAL(pl_utf8_check(text, 7), 7);
  CU_ASSERT_EQUAL(pl_utf8_check(text, 5), 3);
  CU_ASSERT_EQUAL(pl_utf8_check("", 0), 0);
}

static void knows_widths(void) {
  static const struct {
    const char *name;
    uint32_t code;
    int width;
  } rows[] = {
      /* Unicode 14.0: EastAsianWidth.txt and the general categories of UnicodeData.txt */
      {"a", 'a', 1},
      {"control", 0x1b, 1},
      {"soft hyphen shows", 0xad, 1},
      {"degree", 0xb0, 1},
      {"ohm (Greek)", 0x3a9, 1},
      {"combining acute, Mn", 0x301, 0},
      {"enclosing circle, Me", 0x20dd, 0},
      {"zero width space, Cf", 0x200b, 0},
      {"left-to-right mark, Cf", 0x200e, 0},
      {"right-to-left override, Cf", 0x202e, 0},
      {"byte order mark, Cf", 0xfeff, 0},
      {"Hangul vowel", 0x1161, 0},
      {"Hangul lead, W", 0x1100, 2},
      {"dash, A", 0x2014, 1},
      {"high voltage sign, W", 0x26a1, 2},
      {"CJK first, W", 0x4e00, 2},
      {"CJK last, W", 0x9fff, 2},
      {"Hangul syllable, W", 0xac00, 2},
      {"full-width A, F", 0xff21, 2},
      {"half-width katakana, H", 0xff71, 1},
      {"variation selector 16, Mn", 0xfe0f, 0},
      {"grinning face, W", 0x1f600, 2},
      {"CJK extension B, W", 0x20000, 2},
      {"variation selector 17, Mn", 0xe0100, 0},
      {"last of all", 0x10ffff, 1},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    PL_CHECK_INT(pl_utf8_width(rows[i].code), rows[i].width, rows[i].name);
}

static void counts_slips(void) {
  static const struct {
    const char *a, *b;
    int limit, distance;
  } rows[] = {
      {"wire", "wire", 3, 0},
      {"wire", "wier", 3, 1},
      {"wire", "wre", 3, 1},
      {"wire", "wiire", 3, 1},
      {"wire", "wise", 3, 1},
      {"", "abc", 3, 3},
      {"", "", 0, 0},
      {"abcd", "", 3, 4},
      {"kitten", "sitting", 3, 3},
      {"ecm", "ECM", 3, 0},
      {"connector", "konektor", 3, 3},
      {"gauge", "gague", 1, 1},
      {"ca", "abc", 3, 3}, /* optimal string alignment: no piece edited twice */
      {"abcdef", "uvwxyz", 3, 4},
      {"abcdef", "uvwxyz", 5, 6},
      {"abcdef", "uvwxyz", 6, 6},
      {"abcdef", "abcdfe", 0, 1},
      {"\xc3\xa9t", "et", 3, 1},
      {"\xff"
       "a",
       "a",
       3,
       1},
  };
  char long_a[400], long_b[400];

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    PL_CHECK_INT(pl_word_distance(rows[i].a, rows[i].b, rows[i].limit),
                 rows[i].distance,
                 rows[i].a);
    PL_CHECK_INT(pl_word_distance(rows[i].b, rows[i].a, rows[i].limit),
                 rows[i].distance,
                 rows[i].b);
  }
  memset(long_a, 'x', sizeof long_a - 1);
  long_a[sizeof long_a - 1] = '\0';
  strcpy(long_b, long_a);
  CU_ASSERT_EQUAL(pl_word_distance(long_a, long_b, 3), 0);
  long_b[3] = 'y';
  CU_ASSERT_EQUAL(pl_word_distance(long_a, long_b, 3), 4); /* no name is so long: not compared */
  long_a[128] = long_b[128] = '\0';
  CU_ASSERT_EQUAL(pl_word_distance(long_a, long_b, 3), 1);
}

static void offers_the_nearest(void) {
  static const struct {
    const char *word, *candidates[4], *best;
  } rows[] = {
      {"gague", {"colour", "gauge", "gate"}, "gauge"},
      {"relay", {"delay", "rely"}, "delay"}, /* the first of equals */
      {"ecm", {"ECM", "EGR"}, "ECM"},        /* case does not count */
      {"Ecm", {"ECM", "ecm", "eCM"}, "ecm"}, /* except between equals */
      {"splice", {"connector", "battery"}, NULL},
      {"connectorxxxx", {"connector"}, NULL},       /* four slips */
      {"connectorxxx", {"connector"}, "connector"}, /* three */
      {"ab", {"xyz", "cd"}, NULL},                  /* more than half of the word */
      {"pn", {"pin"}, "pin"},
      {"", {"a"}, NULL},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_nearest nearest;

    pl_nearest_init(&nearest, rows[i].word);
    CU_ASSERT_PTR_NULL(nearest.best);
    for (size_t k = 0; k < 4 && rows[i].candidates[k] != NULL; k++)
      pl_nearest_offer(&nearest, rows[i].candidates[k]);
    PL_CHECK_STR(nearest.best, rows[i].best, rows[i].word);
  }
}

static const char *digest_of(const char *bytes, size_t n, size_t repeat, char hex[65]) {
  struct pl_digest digest;

  pl_digest_init(&digest);
  for (size_t i = 0; i < repeat; i++)
    pl_digest_add(&digest, bytes, n);
  pl_digest_finish(&digest, hex);
  return hex;
}

static void digests_match_the_standard(void) {
  static const char *two_blocks = "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq";
  char hex[65], again[65], text[300];

  /* FIPS 180-4 with its example computations "SHA256.pdf" (NIST): one block, two blocks */
  CU_ASSERT_STRING_EQUAL(digest_of("abc", 3, 1, hex),
                         "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CU_ASSERT_STRING_EQUAL(digest_of(two_blocks, 56, 1, hex),
                         "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  /* FIPS 180-2 appendix B.3: one million times "a" */
  CU_ASSERT_STRING_EQUAL(digest_of("a", 1, 1000000, hex),
                         "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
  /* NIST CAVP, SHA256ShortMsg, length 0 */
  CU_ASSERT_STRING_EQUAL(digest_of("", 0, 0, hex),
                         "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  /* the same in pieces, for every length around the block's edges */
  memset(text, 'q', sizeof text);
  for (size_t n = 0; n < sizeof text; n++) {
    digest_of(text, n, 1, hex);
    digest_of(text, 1, n, again);
    CU_ASSERT_STRING_EQUAL(hex, again);
  }
}

CU_TestInfo word_tests[] = {
    {"decodes valid UTF-8", decodes_valid_text},
    {"refuses invalid UTF-8", refuses_invalid_text},
    {"knows the width of characters", knows_widths},
    {"counts slips between words", counts_slips},
    {"offers the nearest word", offers_the_nearest},
    {"SHA-256 matches the standard's examples", digests_match_the_standard},
    CU_TEST_INFO_NULL,
};
