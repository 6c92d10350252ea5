/* Reading words with expectations.  Knows what kinds of words there are and how to say what was
 * expected; it does not know what any word stands for.  Numbers and their units are read in
 * quantity.c. */
#include "text/cursor.h"

#include <string.h>

#include "base/limits.h"
#include "base/nearest.h"
#include "base/utf8.h"
#include "text/cursor_inner.h"

enum {
  SHOWN_MAX = 40
}; /* bytes of the user's text within a message */

void pl_cursor_open(struct pl_cursor *cursor,
                    const struct pl_tree *tree,
                    uint32_t line,
                    const char *example,
                    struct pl_findings *findings) {
  const struct pl_line *opened = &tree->lines.at[line];

  *cursor = (struct pl_cursor){tree,
                               opened,
                               opened->first,
                               opened->first + opened->count,
                               example,
                               findings,
                               false};
}

const struct pl_word *pl_cursor_peek_at(const struct pl_cursor *cursor, uint32_t ahead) {
  if (cursor->failed)
    return NULL;
  if (ahead >= cursor->end - cursor->at)
    return NULL;
  return &cursor->tree->words.at[cursor->at + ahead];
}

const struct pl_word *pl_cursor_peek(const struct pl_cursor *cursor) {
  return pl_cursor_peek_at(cursor, 0);
}

bool pl_cursor_done(const struct pl_cursor *cursor) {
  return pl_cursor_peek(cursor) == NULL;
}

const struct pl_word *pl_cursor_next(struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);

  if (word != NULL)
    cursor->at++;
  return word;
}

/* ---- messages ---- */

const char *pl_cursor_shown(const struct pl_cursor *cursor, const struct pl_word *word) {
  size_t n;
  size_t at = 0;
  size_t length;
  uint32_t code;

  if (word == NULL)
    return "the end of the line";
  if (word->kind == PL_COMMA)
    return "a comma";
  if (word->kind == PL_COLON)
    return "a colon";
  n = strlen(word->text);
  if (n > SHOWN_MAX) {
    while ((length = pl_utf8_decode(word->text + at, n - at, &code)) > 0 &&
           at + length <= SHOWN_MAX)
      at += length;
    n = at;
  }
  return pl_arena_printf(cursor->tree->arena,
                         "%s\"%.*s%s\"",
                         word->kind == PL_TEXT ? "the text " : "",
                         (int)n,
                         word->text,
                         word->text[n] != '\0' ? "..." : "");
}

void pl_cursor_error_at(struct pl_cursor *cursor,
                        struct pl_span span,
                        const char *text,
                        const char *remedy) {
  if (cursor->failed)
    return;
  cursor->failed = true;
  if ((remedy == NULL || remedy[0] == '\0') && cursor->example != NULL)
    remedy = pl_arena_printf(cursor->tree->arena, "for example: %s", cursor->example);
  pl_findings_error(cursor->findings, span, text, remedy == NULL ? "" : remedy);
}

void pl_cursor_error(struct pl_cursor *cursor,
                     const struct pl_word *word,
                     const char *text,
                     const char *remedy) {
  struct pl_span span = cursor->line->span;

  span.start = span.end;
  pl_cursor_error_at(cursor, word == NULL ? span : word->span, text, remedy);
}

static void expected(struct pl_cursor *cursor, const char *what, const char *remedy) {
  const struct pl_word *word = pl_cursor_peek(cursor);

  if (!cursor->failed)
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(cursor->tree->arena,
                                    "expected %s, found %s",
                                    what,
                                    pl_cursor_shown(cursor, word)),
                    remedy);
}

/* ---- words ---- */

static bool is_at(const struct pl_cursor *cursor, uint32_t ahead, const char *word, size_t n) {
  const struct pl_word *found = pl_cursor_peek_at(cursor, ahead);

  if (found == NULL)
    return false;
  if (found->text[0] != word[0])
    return false;
  if (found->kind != PL_WORD)
    return false;
  if (strncmp(found->text, word, n) != 0)
    return false;
  return found->text[n] == '\0';
}

bool pl_cursor_is(const struct pl_cursor *cursor, const char *word) {
  return is_at(cursor, 0, word, strlen(word));
}

bool pl_cursor_take(struct pl_cursor *cursor, const char *word) {
  if (!pl_cursor_is(cursor, word))
    return false;
  cursor->at++;
  return true;
}

bool pl_cursor_take_kind(struct pl_cursor *cursor, enum pl_word_kind kind) {
  const struct pl_word *word = pl_cursor_peek(cursor);

  if (word == NULL || word->kind != kind)
    return false;
  cursor->at++;
  return true;
}

bool pl_cursor_take_words(struct pl_cursor *cursor, const char *words) {
  const struct pl_word *first = pl_cursor_peek(cursor);
  uint32_t ahead = 0;

  if (first == NULL || first->text[0] != words[0]) /* most of a table of words go no further */
    return false;
  while (*words != '\0') {
    size_t n = strcspn(words, " ");

    if (!is_at(cursor, ahead, words, n))
      return false;
    ahead++;
    words += n;
    words += strspn(words, " ");
  }
  cursor->at += ahead;
  return ahead > 0;
}

bool pl_cursor_need(struct pl_cursor *cursor, const char *word) {
  const struct pl_word *found = pl_cursor_peek(cursor);
  struct pl_arena *arena = cursor->tree->arena;
  const char *remedy = "";

  if (pl_cursor_take(cursor, word))
    return true;
  if (cursor->failed)
    return false;
  if (found != NULL && found->kind == PL_WORD) {
    struct pl_nearest nearest;

    pl_nearest_init(&nearest, found->text);
    pl_nearest_offer(&nearest, word);
    if (nearest.best != NULL)
      remedy = pl_arena_printf(arena, "did you mean %s?", word);
  } else if (found != NULL && found->kind == PL_TEXT && strcmp(found->text, word) == 0) {
    remedy = pl_arena_printf(arena, "write %s without quotes", word);
  }
  expected(cursor, pl_arena_printf(arena, "\"%s\"", word), remedy);
  return false;
}

const struct pl_word *pl_cursor_name(struct pl_cursor *cursor, const char *what) {
  const struct pl_word *word = pl_cursor_peek(cursor);

  if (word == NULL || word->kind != PL_WORD) {
    expected(cursor,
             what,
             word != NULL && word->kind == PL_TEXT
                 ? "a name stands without quotes and has no blanks"
                 : "");
    return NULL;
  }
  if (strlen(word->text) > PL_LIMIT_NAME) {
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(cursor->tree->arena,
                                    "%s has %zu bytes; a name has at most %d",
                                    what,
                                    strlen(word->text),
                                    PL_LIMIT_NAME),
                    "shorten it");
    return NULL;
  }
  cursor->at++;
  return word;
}

const char *pl_cursor_words(struct pl_cursor *cursor,
                            const char *stop,
                            const char *what,
                            struct pl_span *span) {
  const struct pl_tree *tree = cursor->tree;
  uint32_t first = cursor->at;
  uint32_t last = first;
  struct pl_span whole;
  size_t n = 0;
  char *joined;

  if (cursor->failed)
    return NULL;
  for (; last < cursor->end && tree->words.at[last].kind == PL_WORD; last++) {
    if (stop != NULL && strcmp(tree->words.at[last].text, stop) == 0)
      break;
    n += strlen(tree->words.at[last].text) + (last > first ? 1 : 0);
  }
  if (last == first) {
    expected(cursor, what, "");
    return NULL;
  }
  whole = tree->words.at[first].span;
  whole.end = tree->words.at[last - 1].span.end;
  if (n > PL_LIMIT_NAME) {
    pl_cursor_error_at(cursor,
                       whole,
                       pl_arena_printf(tree->arena,
                                       "%s has %zu bytes; a name has at most %d",
                                       what,
                                       n,
                                       PL_LIMIT_NAME),
                       "shorten it");
    return NULL;
  }
  cursor->at = last;
  if (span != NULL)
    *span = whole;
  if (last == first + 1)
    return tree->words.at[first].text;
  joined = pl_arena_alloc(tree->arena, n + 1, 1);
  for (char *to = joined; first < last; first++) {
    size_t length = strlen(tree->words.at[first].text);

    if (to > joined)
      *to++ = ' ';
    memcpy(to, tree->words.at[first].text, length);
    to += length;
  }
  return joined;
}

const char *pl_cursor_text(struct pl_cursor *cursor, const char *what) {
  const struct pl_word *word = pl_cursor_peek(cursor);

  if (word == NULL || word->kind != PL_TEXT) {
    expected(cursor,
             pl_arena_printf(cursor->tree->arena, "%s in \"double quotes\"", what),
             word != NULL && word->kind == PL_WORD ? "put \" before and after the words" : "");
    return NULL;
  }
  cursor->at++;
  return word->text;
}

const char *pl_cursor_text_if(struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);

  if (word == NULL || word->kind != PL_TEXT)
    return "";
  cursor->at++;
  return word->text;
}

bool pl_cursor_end(struct pl_cursor *cursor) {
  if (cursor->failed)
    return false;
  if (cursor->at == cursor->end)
    return true;
  expected(cursor, "the end of the line", "");
  return false;
}
