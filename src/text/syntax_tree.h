/* The text as a tree: statements at the margin, the indented lines under them, words in lines. This
 * room knows the shape of a harness text, not what its words mean; meaning is given in build/. */
#ifndef PL_TEXT_TREE_H
#define PL_TEXT_TREE_H

#include <stdbool.h>

#include "finding/finding.h"

enum pl_word_kind {
  PL_WORD, /* any run of characters without blanks, commas and quotes: KEY, ECM.A1, 14, -20..40,
              RD/WH */
  PL_TEXT, /* "for people", quotes taken off */
  PL_COMMA,
  PL_COLON /* a ':' at the end of a word */
};

struct pl_word {
  const char *text;
  struct pl_span span;
  enum pl_word_kind kind : 8;
  uint32_t cell : 24; /* how many tabs stand before it on its line, indent not counted */
};

struct pl_line {
  uint32_t first, count; /* words */
  bool tabbed;           /* has a tab between words: cells of a spreadsheet */
  struct pl_span span;   /* first to last word */
};

struct pl_statement {
  uint32_t line;                   /* the opening line */
  uint32_t body_first, body_count; /* the describing lines follow it */
};

struct pl_tree {
  struct pl_arena *arena;
  PL_VEC(struct pl_word) words;
  PL_VEC(struct pl_line) lines;
  PL_VEC(struct pl_statement) statements;
};

void pl_tree_init(struct pl_tree *tree, struct pl_arena *arena);

/* Reads file `file` of `sources` and appends its statements.  Reports (once each, without
 * cascades): bytes that are not UTF-8 or are control characters, a text without its closing quote,
 * lines, names and texts beyond the limits, an indented line with nothing above it, deeper indent
 * than the lines beside it.  A line with an error is left out of the tree.  CRLF, lone CR, a byte
 * order mark and a missing last line end are fine. A UTF-16 file is recognised by its mark and
 * named as such.  Several files may be appended to one tree. */
void pl_tree_read(struct pl_tree *tree,
                  const struct pl_sources *sources,
                  uint32_t file,
                  struct pl_findings *findings);

#endif
