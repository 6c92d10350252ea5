/* The file as statements and their describing lines.  Knows line ends, indents and what to leave
 * out after a mistake, so that one mistake gives one message; it does not know what any word means.
 */
#include "text/syntax_tree.h"

#include <string.h>

#include "base/limits.h"
#include "base/utf8.h"
#include "text/lexer.h"

enum above {
  ABOVE_NOTHING,
  ABOVE_STATEMENT,
  ABOVE_MISTAKE
};

struct reader {
  struct pl_lexer lexer;
  struct pl_tree *tree;
  enum above above; /* what an indented line would describe */
  bool told_deep;   /* the lines just before were too deep and said to be */
  bool has_indent;  /* of the first describing line: */
  size_t indent_at, indent_n;
  uint32_t indent_width, widest;
};

void pl_tree_init(struct pl_tree *tree, struct pl_arena *arena) {
  *tree = (struct pl_tree){.arena = arena};
}

static size_t skip_indent(const char *text, size_t at, size_t end, uint32_t *width) {
  *width = 0;
  for (; at < end && (text[at] == ' ' || text[at] == '\t'); at++)
    *width = text[at] == '\t' ? (*width / 8 + 1) * 8 : *width + 1;
  return at;
}

/* Tabs that follow the indent of the statement's first describing line: empty cells at the left of
 * a pasted row. */
static uint32_t empty_cells(const struct reader *reader, size_t start, size_t at) {
  const char *text = reader->lexer.text;
  size_t n = reader->indent_n;

  if (!reader->has_indent)
    return 0;
  if (at - start <= n)
    return 0;
  if (memcmp(text + start, text + reader->indent_at, n) != 0)
    return 0;
  for (size_t i = start + n; i < at; i++)
    if (text[i] != '\t')
      return 0;
  return (uint32_t)(at - start - n);
}

/* Any indent is the one level there is, and small differences do no harm.  Deeper by as much again
 * as the first describing line is taken for a third level; one tab alone never is. */
static bool too_deep(struct reader *reader, size_t start, size_t at, uint32_t width) {
  uint32_t step = 2;
  if (reader->indent_width > 2)
    step = reader->indent_width;

  if (!reader->has_indent) {
    reader->has_indent = true;
    reader->indent_at = start;
    reader->indent_n = at - start;
    reader->indent_width = reader->widest = width;
    return false;
  }
  if (at - start == 1)
    return false;
  if (width >= reader->widest + step)
    return true;
  if (width > reader->widest)
    reader->widest = width;
  return false;
}

/* A line with words at the margin. */
static void add_opening(struct reader *reader, const struct pl_line *line) {
  struct pl_tree *tree = reader->tree;
  struct pl_statement statement = {.line = tree->lines.n, .body_first = tree->lines.n + 1};

  PL_PUSH(tree->arena, &tree->lines, *line);
  PL_PUSH(tree->arena, &tree->statements, statement);
  reader->above = ABOVE_STATEMENT;
  reader->told_deep = reader->has_indent = false;
}

/* An indented line with words; false when it does not belong in the tree. */
static bool add_describing(struct reader *reader,
                           struct pl_line *line,
                           size_t start,
                           size_t at,
                           uint32_t width) {
  struct pl_tree *tree = reader->tree;
  uint32_t cells = empty_cells(reader, start, at);

  if (reader->above == ABOVE_NOTHING) {
    pl_lexer_error(
        &reader->lexer,
        line->span.start,
        line->span.end,
        "expected a line at the margin first, found an indented line with nothing above it",
        "move it to the margin, or put the line it describes above it");
    reader->above = ABOVE_MISTAKE;
  }
  if (reader->above == ABOVE_MISTAKE)
    return false;
  if (line->tabbed && cells > 0) {
    for (uint32_t i = 0; i < line->count; i++) {
      struct pl_word *word = &tree->words.at[line->first + i];

      word->cell = (word->cell + cells) & 0xFFFFFF;
    }
  } else if (too_deep(reader, start, at, width) && !line->tabbed) {
    if (!reader->told_deep)
      pl_lexer_error(
          &reader->lexer,
          line->span.start,
          line->span.end,
          "this line is indented deeper than the lines beside it; there are only two levels",
          "indent it like the line above it");
    reader->told_deep = true;
    return false;
  }
  reader->told_deep = false;
  PL_PUSH(tree->arena, &tree->lines, *line);
  tree->statements.at[tree->statements.n - 1].body_count++;
  return true;
}

/* What stands below a line at the margin that could not be read describes nothing; a comment opens
 * nothing. */
static void leave_out(struct reader *reader, size_t start, size_t end) {
  const char *text = reader->lexer.text;
  bool no_break = end - start >= 2 && memcmp(text + start, "\xC2\xA0", 2) == 0;

  if (start < end && text[start] != ' ' && text[start] != '\t' && text[start] != '#' && !no_break)
    reader->above = ABOVE_MISTAKE;
}

static void read_line(struct reader *reader, size_t start, size_t end, unsigned holds) {
  struct pl_lexer *lexer = &reader->lexer;
  struct pl_tree *tree = reader->tree;
  struct pl_line line;
  uint32_t width;
  size_t at;

  if (end - start > PL_LIMIT_LINE) {
    uint32_t code;
    size_t first = skip_indent(lexer->text, start, end, &width);
    size_t length = 0;
    if (first < end)
      length = pl_utf8_decode(lexer->text + first, end - first, &code);

    pl_lexer_error(lexer,
                   first,
                   first + (length > 0 ? length : 1),
                   pl_arena_printf(lexer->arena,
                                   "this line has %zu bytes; a line has at most %d",
                                   end - start,
                                   PL_LIMIT_LINE),
                   "break it up: one fact a line, one row a wire");
    leave_out(reader, start, end);
    return;
  }
  if (holds != 0 && !pl_lexer_clean(lexer, start, end, holds)) {
    leave_out(reader, start, end);
    return;
  }
  at = skip_indent(lexer->text, start, end, &width);
  if (!pl_lexer_words(lexer, tree, at, end, &line)) {
    leave_out(reader, start, end);
    return;
  }
  if (line.count == 0)
    return;
  if (at == start)
    add_opening(reader, &line);
  else if (!add_describing(reader, &line, start, at, width))
    tree->words.n = line.first;
}

/* UTF-16 by its mark, or by the empty halves of its first letters. */
static bool is_utf16(const char *text, size_t size) {
  if (size >= 2 && (memcmp(text, "\xFF\xFE", 2) == 0 || memcmp(text, "\xFE\xFF", 2) == 0))
    return true;
  if (!(size >= 4))
    return false;
  return ((text[0] == '\0' && text[1] != '\0' && text[2] == '\0' && text[3] != '\0') ||
          (text[0] != '\0' && text[1] == '\0' && text[2] != '\0' && text[3] == '\0'));
}

void pl_tree_read(struct pl_tree *tree,
                  const struct pl_sources *sources,
                  uint32_t file,
                  struct pl_findings *findings) {
  const struct pl_source *source = &sources->files.at[file];
  struct reader reader = {
      .lexer = {.arena = tree->arena, .findings = findings, .size = source->size, .file = file},
      .tree = tree};
  struct pl_lexer *lexer = &reader.lexer;
  size_t words;
  size_t lines;
  size_t at = 0;

  if (source->size > PL_LIMIT_FILE) {
    pl_lexer_error(lexer,
                   0,
                   0,
                   pl_arena_printf(tree->arena,
                                   "this file has %zu bytes; a file has at most %d",
                                   source->size,
                                   PL_LIMIT_FILE),
                   "put it into several files and include them");
    return;
  }
  if (is_utf16(source->text, source->size)) {
    pl_lexer_error(lexer,
                   0,
                   2,
                   "expected UTF-8, found a file in UTF-16",
                   "save the file again with the encoding UTF-8");
    return;
  }
  lexer->text = pl_arena_strndup(tree->arena, source->text, source->size);
  pl_lexer_estimate(lexer, &words, &lines);
  PL_RESERVE(tree->arena, &tree->words, words);
  PL_RESERVE(tree->arena, &tree->lines, lines);
  if (source->size >= 3 && memcmp(source->text, "\xEF\xBB\xBF", 3) == 0)
    at = 3;
  while (at < lexer->size) {
    unsigned holds;
    size_t end = pl_lexer_line_end(lexer, at, &holds);
    size_t next = end + 1;

    if (end + 1 < lexer->size && lexer->text[end] == '\r' && lexer->text[end + 1] == '\n')
      next++;
    read_line(&reader, at, end, holds);
    at = next;
  }
}
