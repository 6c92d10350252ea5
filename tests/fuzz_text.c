/* Fuzz target of the text room: any bytes are read as a file, then every line is walked through
 * every typed read.  What was read must hold: words lie within their line, values are finite, a
 * failed cursor has reported. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "text/cursor.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void out_of_memory(void *context) {
  (void)context;
  abort();
}

static void must(bool holds) {
  if (!holds)
    abort();
}

static void check_words(const struct pl_tree *tree, size_t size) {
  for (uint32_t i = 0; i < tree->lines.n; i++) {
    const struct pl_line *line = &tree->lines.at[i];

    must(line->count > 0 && line->first + line->count <= tree->words.n && line->span.end <= size);
    for (uint32_t w = line->first; w < line->first + line->count; w++) {
      const struct pl_word *word = &tree->words.at[w];

      must(word->span.start >= line->span.start && word->span.start < word->span.end &&
           word->span.end <= line->span.end);
      must(strlen(word->text) <= word->span.end - word->span.start &&
           (word->kind != PL_WORD || word->text[0] != '\0'));
      must(w == line->first || word->span.start >= tree->words.at[w - 1].span.end);
    }
  }
  for (uint32_t i = 0; i < tree->statements.n; i++) {
    const struct pl_statement *statement = &tree->statements.at[i];

    must(statement->line < tree->lines.n &&
         statement->body_first + statement->body_count <= tree->lines.n);
  }
}

/* One read, picked by `turn`. */
static void read_something(struct pl_cursor *cursor, uint32_t turn) {
  enum pl_unit unit = (enum pl_unit)(turn / 16 % 10);
  double low = 0;
  double high = 0;
  struct pl_size thin, thick;
  struct pl_span span;
  uint32_t count;
  bool looks;

  switch (turn % 16) {
    case 0:
      pl_cursor_next(cursor);
      break;
    case 1:
      pl_cursor_name(cursor, "a name");
      break;
    case 2:
      pl_cursor_words(cursor, "is", "some words", &span);
      break;
    case 3:
      pl_cursor_text(cursor, "a title");
      break;
    case 4:
      pl_cursor_text_if(cursor);
      break;
    case 5:
      pl_cursor_need(cursor, "position");
      break;
    case 6:
      pl_cursor_take_words(cursor, "battery feed");
      break;
    case 7:
      pl_cursor_count(cursor, 1000, &count);
      break;
    case 8:
      if (pl_cursor_number(cursor, &low))
        must(isfinite(low));
      break;
    case 9:
      pl_cursor_take_kind(cursor, PL_COMMA);
      break;
    case 10:
      looks = pl_cursor_is_quantity(cursor, unit);
      must(looks || !pl_cursor_is_range(cursor, unit));
      if (pl_cursor_quantity(cursor, unit, &low))
        must(looks && isfinite(low));
      break;
    case 11:
      looks = pl_cursor_is_range(cursor, unit);
      if (pl_cursor_range(cursor, unit, &low, &high))
        must(looks && isfinite(low) && isfinite(high) && low <= high);
      break;
    case 12:
      looks = pl_cursor_is_size(cursor);
      if (pl_cursor_size(cursor, &thin))
        must(looks && (thin.metric ? thin.area > 0 : thin.awg >= -3 && thin.awg <= 40));
      break;
    case 13:
      if (pl_cursor_size_range(cursor, &thin, &thick))
        must(thin.metric == thick.metric &&
             (thin.metric ? thin.area <= thick.area : thin.awg >= thick.awg));
      break;
    case 14:
      pl_cursor_take(cursor, "at");
      break;
    default:
      pl_cursor_end(cursor);
      break;
  }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_tree tree;
  struct pl_buffer out;
  uint32_t file;
  uint32_t mix = (uint32_t)size; /* which reads are tried depends on the bytes */

  for (size_t i = 0; i < size && i < 64; i++)
    mix = mix * 31 + data[i];
  pl_arena_init(&arena, out_of_memory, NULL);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_tree_init(&tree, &arena);
  file = pl_sources_add(&sources,
                        "fuzz.loom",
                        pl_arena_strndup(&arena, (const char *)data, size),
                        size);
  pl_tree_read(&tree, &sources, file, &findings);
  check_words(&tree, size);
  for (uint32_t line = 0; line < tree.lines.n && line < 24; line++) {
    for (uint32_t i = 0; i < 20; i++) {
      uint32_t turn = (mix + i * 41 + line * 7) % 160;
      uint32_t before = findings.errors;
      uint32_t skip = turn / 16 % tree.lines.at[line].count;
      struct pl_cursor cursor;

      pl_cursor_open(&cursor, &tree, line, turn % 2 == 0 ? NULL : "rating 15 A", &findings);
      while (skip-- > 0)
        pl_cursor_next(&cursor);
      for (uint32_t step = 0; step < 8 && !pl_cursor_done(&cursor); step++)
        read_something(&cursor, turn + step * 7);
      pl_cursor_end(&cursor);
      must(findings.errors == before + (cursor.failed ? 1 : 0));
    }
  }
  pl_findings_sort(&findings, &sources);
  pl_buffer_init(&out, &arena);
  pl_findings_print(&out, &findings, &sources);
  pl_findings_print_json(&out, &findings, &sources);
  must(pl_utf8_check(out.at, out.n) == out.n);
  pl_arena_release(&arena);
  return 0;
}
