/* Words of one line, cut out of a copy of the file in place.  Knows characters, quotes, commas and
 * comments; it does not know what any word means, nor which line belongs to which. */
#include "text/lexer.h"

#include <string.h>

#include "base/limits.h"
#include "base/utf8.h"

enum {
  BLANK = 1,
  COMMA = 2,
  QUOTE = 4,
  HIGH = 8,
  CONTROL = 16,
  LINE_END = 32,
  WORD_END = BLANK | COMMA | QUOTE
};

static const unsigned char kinds[256] = {[0 ... 8] = CONTROL,
                                         ['\t'] = BLANK,
                                         ['\n'] = LINE_END,
                                         [11 ... 12] = CONTROL,
                                         ['\r'] = LINE_END,
                                         [14 ... 31] = CONTROL,
                                         [' '] = BLANK,
                                         ['"'] = QUOTE,
                                         [','] = COMMA,
                                         [127] = CONTROL,
                                         [128 ... 255] = HIGH};

static unsigned kind_of(char c) {
  return kinds[(unsigned char)c];
}

void pl_lexer_error(struct pl_lexer *lexer,
                    size_t start,
                    size_t end,
                    const char *text,
                    const char *remedy) {
  struct pl_span span = {lexer->file, (uint32_t)start, (uint32_t)end};

  pl_findings_error(lexer->findings, span, text, remedy);
}

/* Are the next eight bytes all from ' ' to '}'?  In each, the top bit of a sum or difference says
 * whether it is above or below, and what is carried from byte to byte only errs towards no. */
static bool is_plain(const char *text) {
  const uint64_t each = 0x0101010101010101u;
  uint64_t eight;

  memcpy(&eight, text, sizeof eight);
  return ((eight | (eight + 2 * each) | (eight - ' ' * each)) & 0x80 * each) == 0;
}

size_t pl_lexer_line_end(const struct pl_lexer *lexer, size_t at, unsigned *holds) {
  unsigned seen = 0;

  while (lexer->size - at >= 8 && is_plain(lexer->text + at))
    at += 8;
  while (at < lexer->size) {
    unsigned kind = kind_of(lexer->text[at]);

    if (kind == LINE_END)
      break;
    seen |= kind;
    at++;
  }
  *holds =
      ((seen & HIGH) != 0 ? PL_LINE_HIGH : 0u) | ((seen & CONTROL) != 0 ? PL_LINE_CONTROL : 0u);
  return at;
}

/* A text of the usual manner has a word in five bytes and a line in 24 to 50. */
void pl_lexer_estimate(const struct pl_lexer *lexer, size_t *words, size_t *lines) {
  *words = lexer->size / 5 + 16;
  *lines = lexer->size / 20 + 16;
}

/* ---- characters ---- */

static bool is_blank(uint32_t code) {
  if (code == 0x00A0)
    return true;
  if (code == 0x1680)
    return true;
  if (code >= 0x2000 && code <= 0x200A)
    return true;
  if (code == 0x202F)
    return true;
  if (code == 0x205F)
    return true;
  return code == 0x3000;
}

static bool is_unseen(uint32_t code) {
  if (code == 0x00AD)
    return true;
  if (code == 0x034F)
    return true;
  if (code == 0x061C)
    return true;
  if (code == 0x180E)
    return true;
  if (code >= 0x200B && code <= 0x200F)
    return true;
  if (code >= 0x202A && code <= 0x202E)
    return true;
  if (code >= 0x2060 && code <= 0x206F)
    return true;
  return code == 0xFEFF;
}

static bool is_fancy_quote(uint32_t code) {
  if (code >= 0x201C && code <= 0x201F)
    return true;
  if (code == 0x00AB)
    return true;
  if (code == 0x00BB)
    return true;
  return code == 0xFF02;
}

/* Lines from `at` on that hold such bytes, the first counted. */
static size_t count_lines(const struct pl_lexer *lexer, size_t at, unsigned what) {
  size_t lines = 0;

  while (at < lexer->size) {
    unsigned holds;
    size_t end = pl_lexer_line_end(lexer, at, &holds);

    if ((holds & what) != 0 &&
        (what == PL_LINE_CONTROL || pl_utf8_check(lexer->text + at, end - at) < end - at))
      lines++;
    at = end + 1;
  }
  return lines;
}

static const char *
with_lines(struct pl_lexer *lexer, const char *text, size_t start, unsigned what) {
  size_t lines = count_lines(lexer, start, what);

  if (lines < 2)
    return text;
  return pl_arena_printf(lexer->arena, "%s; %zu lines of this file have such bytes", text, lines);
}

static bool clean_controls(struct pl_lexer *lexer, size_t start, size_t end) {
  size_t at = start;
  const char *text;

  if (lexer->told_controls)
    return false;
  lexer->told_controls = true;
  while (at + 1 < end && kind_of(lexer->text[at]) != CONTROL)
    at++;
  text = pl_arena_printf(lexer->arena,
                         "expected plain text, found a control character (byte 0x%02X)",
                         (unsigned)(unsigned char)lexer->text[at]);
  pl_lexer_error(lexer,
                 at,
                 at + 1,
                 with_lines(lexer, text, start, PL_LINE_CONTROL),
                 "delete it; if the file is not a text at all, name the .loom file instead");
  return false;
}

static bool clean_bytes(struct pl_lexer *lexer, size_t start, size_t end) {
  size_t at = start + pl_utf8_check(lexer->text + start, end - start);
  const char *text;

  if (at == end)
    return true;
  if (lexer->told_bytes)
    return false;
  lexer->told_bytes = true;
  text = pl_arena_printf(lexer->arena,
                         "expected text in UTF-8, found the byte 0x%02X, which cannot stand there",
                         (unsigned)(unsigned char)lexer->text[at]);
  pl_lexer_error(lexer,
                 at,
                 at + 1,
                 with_lines(lexer, text, start, PL_LINE_HIGH),
                 "save the file again with the encoding UTF-8");
  return false;
}

/* One character above U+007F. */
static bool
clean_character(struct pl_lexer *lexer, size_t at, size_t length, uint32_t code, bool in_text) {
  const char *text, *remedy;

  if (pl_utf8_is_control(code)) {
    text = pl_arena_printf(lexer->arena,
                           "expected plain text, found the control character U+%04X",
                           (unsigned)code);
    remedy = "delete it";
  } else if (in_text) {
    return true;
  } else if (is_blank(code)) {
    memset(lexer->text + at, ' ', length);
    return true;
  } else if (is_fancy_quote(code)) {
    text = "expected a plain quote, found a typographic one";
    remedy = "type a plain \" in its place";
  } else if (is_unseen(code)) {
    text = pl_arena_printf(lexer->arena,
                           "found a character that cannot be seen (U+%04X)",
                           (unsigned)code);
    remedy = "delete the word with it and type it again";
  } else {
    return true;
  }
  pl_lexer_error(lexer, at, at + length, text, remedy);
  return false;
}

bool pl_lexer_clean(struct pl_lexer *lexer, size_t start, size_t end, unsigned holds) {
  bool in_text = false;
  bool at_start = true;

  if ((holds & PL_LINE_CONTROL) != 0)
    return clean_controls(lexer, start, end);
  if ((holds & PL_LINE_HIGH) == 0)
    return true;
  if (!clean_bytes(lexer, start, end))
    return false;
  for (size_t at = start; at < end;) {
    char c = lexer->text[at];
    uint32_t code = 0;
    size_t length = 1;

    if (c == '#' && at_start && !in_text)
      break;
    if (kind_of(c) == HIGH) {
      length = pl_utf8_decode(lexer->text + at, end - at, &code);
      if (!clean_character(lexer, at, length, code, in_text))
        return false;
      c = lexer->text[at];
    }
    if (c == '"')
      in_text = !in_text; /* a doubled one turns twice */
    at_start = (kind_of(c) & WORD_END) != 0;
    at += length;
  }
  return true;
}

/* ---- words ---- */

static void push(struct pl_lexer *lexer,
                 struct pl_tree *tree,
                 enum pl_word_kind kind,
                 const char *text,
                 size_t start,
                 size_t end,
                 uint32_t cell) {
  struct pl_word word = {text,
                         {lexer->file, (uint32_t)start, (uint32_t)end},
                         kind,
                         cell & 0xFFFFFF};

  PL_PUSH(tree->arena, &tree->words, word);
}

/* A minus sign as documents set it (U+2212, or an en dash U+2013) becomes '-' where a number may
 * begin or where it stands alone. Shortens the word in place. */
static size_t fold_minus(char *word, size_t n) {
  size_t to = 0;

  for (size_t from = 0; from < n;) {
    bool dash = n - from >= 3 && (memcmp(word + from, "\xE2\x88\x92", 3) == 0 ||
                                  memcmp(word + from, "\xE2\x80\x93", 3) == 0);

    if (dash &&
        (n == 3 || ((to == 0 || word[to - 1] == '.') && from + 3 < n &&
                    ((word[from + 3] >= '0' && word[from + 3] <= '9') || word[from + 3] == '.')))) {
      word[to++] = '-';
      from += 3;
    } else {
      word[to++] = word[from++];
    }
  }
  return to;
}

/* Names joined by dots are measured one by one. */
static bool name_too_long(const char *word, size_t n) {
  size_t length = 0;

  for (size_t i = 0; i < n; i++) {
    if (word[i] == '.')
      length = 0;
    else
      length = length + 1;
    if (length > PL_LIMIT_NAME)
      return true;
  }
  return false;
}

/* A word at `at`: returns where it ends, or 0 after an error.  The byte behind it is still to be
 * read: the caller ends it. */
static size_t
lex_word(struct pl_lexer *lexer, struct pl_tree *tree, size_t at, size_t end, uint32_t cell) {
  char *text = lexer->text;
  size_t stop = at;
  size_t n;
  bool colon, high = false;

  while (stop < end && (kind_of(text[stop]) & WORD_END) == 0)
    high |= kind_of(text[stop++]) == HIGH;
  colon = text[stop - 1] == ':';
  n = stop - at - (colon ? 1 : 0);
  if (n > PL_LIMIT_NAME && name_too_long(text + at, n)) {
    pl_lexer_error(lexer,
                   at,
                   stop,
                   pl_arena_printf(lexer->arena,
                                   "this word has %zu bytes; a name has at most %d",
                                   n,
                                   PL_LIMIT_NAME),
                   "shorten it, or put it in \"double quotes\" if it is for people");
    return 0;
  }
  if (n > 0) {
    size_t kept = n;
    if (high)
      kept = fold_minus(text + at, n);

    if (kept < n || colon)
      text[at + kept] = '\0';
    push(lexer, tree, PL_WORD, text + at, at, at + n, cell);
  }
  if (colon)
    push(lexer, tree, PL_COLON, ":", stop - 1, stop, cell);
  return stop;
}

/* A text whose opening quote stands at `at`: returns the offset behind its closing quote, or 0
 * after an error. */
static size_t
lex_text(struct pl_lexer *lexer, struct pl_tree *tree, size_t at, size_t end, uint32_t cell) {
  char *text = lexer->text;
  size_t from = at + 1;
  size_t to = at + 1;

  for (;; from++) {
    if (from >= end) {
      bool inches = at > 0 && tree->words.n > 0 &&
                    tree->words.at[tree->words.n - 1].span.end == at && text[at - 1] >= '0' &&
                    text[at - 1] <= '9';

      while (end > at + 1 && (kind_of(text[end - 1]) & BLANK) != 0)
        end--;
      pl_lexer_error(lexer,
                     at,
                     end,
                     "expected a closing quote before the end of the line, found none",
                     inches ? "for inches write in behind the number: 12 in"
                            : "close the text with \" on the same line");
      return 0;
    }
    if (text[from] == '"') {
      if (from + 1 >= end)
        break;
      if (text[from + 1] != '"')
        break;
      from++;
    }
    text[to++] = text[from];
  }
  if (to - at - 1 > PL_LIMIT_TEXT) {
    pl_lexer_error(lexer,
                   at,
                   from + 1,
                   pl_arena_printf(lexer->arena,
                                   "this text has %zu bytes; a text has at most %d",
                                   to - at - 1,
                                   PL_LIMIT_TEXT),
                   "shorten it");
    return 0;
  }
  text[to] = '\0';
  push(lexer, tree, PL_TEXT, text + at + 1, at, from + 1, cell);
  return from + 1;
}

bool pl_lexer_words(struct pl_lexer *lexer,
                    struct pl_tree *tree,
                    size_t at,
                    size_t end,
                    struct pl_line *line) {
  uint32_t first = tree->words.n;
  uint32_t cell = 0;
  uint32_t tabs = 0;
  char *text = lexer->text;
  char *cut = NULL;

  *line = (struct pl_line){.first = first};
  while (at < end) {
    char c = text[at];

    if (cut != NULL) {
      *cut = '\0'; /* ends the word before; c has the byte that stood there */
      cut = NULL;
    }
    if (c == '#')
      break;
    if (c == ' ' || c == '\t') {
      tabs += c == '\t';
      at++;
      continue;
    }
    cell += tabs;
    line->tabbed |= tabs > 0 && tree->words.n > first;
    tabs = 0;
    if (c == ',') {
      push(lexer, tree, PL_COMMA, ",", at, at + 1, cell);
      at++;
    } else if (c == '"') {
      at = lex_text(lexer, tree, at, end, cell);
    } else {
      at = lex_word(lexer, tree, at, end, cell);
      cut = text + at;
    }
    if (at == 0) {
      tree->words.n = first;
      return false;
    }
  }
  if (cut != NULL)
    *cut = '\0';
  line->count = tree->words.n - first;
  if (line->count > 0)
    line->span = (struct pl_span){lexer->file,
                                  tree->words.at[first].span.start,
                                  tree->words.at[tree->words.n - 1].span.end};
  return true;
}
