/* Words of one line.  Private to this room: tree.c cuts the file into lines and gives them here. */
#ifndef PL_TEXT_LEXER_H
#define PL_TEXT_LEXER_H

#include "text/syntax_tree.h"

struct pl_lexer {
  struct pl_arena *arena;
  struct pl_findings *findings;
  char *text; /* a copy of the file, NUL-terminated: words are cut out of it in place */
  size_t size;
  uint32_t file;
  bool told_bytes, told_controls; /* said once for a file: one cause, one message */
};

/* What a line holds, gathered while its end is looked for. */
enum {
  PL_LINE_HIGH = 1,
  PL_LINE_CONTROL = 2
};

/* Offset of the line end (LF or CR) at or after `at`, or the size. */
size_t pl_lexer_line_end(const struct pl_lexer *lexer, size_t at, unsigned *holds);

/* Refuses bytes that are not UTF-8, control characters, characters nobody can see and typographic
 * quotes; turns blanks of other kinds (no-break space) into plain ones.  Texts keep theirs.  False
 * when an error was reported or had been for this file. */
bool pl_lexer_clean(struct pl_lexer *lexer, size_t start, size_t end, unsigned holds);

/* Pushes the words of [at, end) to tree->words and fills the line; count 0 for an empty one.  False
 * when an error was reported; then nothing was pushed.  Writes NULs into the copy up to text[end].
 */
bool pl_lexer_words(struct pl_lexer *lexer,
                    struct pl_tree *tree,
                    size_t at,
                    size_t end,
                    struct pl_line *line);

/* A guess at how many words and lines the file has, not far too low. */
void pl_lexer_estimate(const struct pl_lexer *lexer, size_t *words, size_t *lines);

void pl_lexer_error(struct pl_lexer *lexer,
                    size_t start,
                    size_t end,
                    const char *text,
                    const char *remedy);

#endif
