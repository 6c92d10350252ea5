/* What the tests of the text room share: a text read into a tree, and its findings as people see
 * them. */
#ifndef PL_TEST_TEXT_H
#define PL_TEST_TEXT_H

#include "pl_test.h"
#include "text/cursor.h"

struct reading {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_tree tree;
};

/* Reads n bytes as the file x.loom. */
void read_bytes(struct reading *reading, const char *text, size_t n);
void read_text(struct reading *reading, const char *text);
void read_more(struct reading *reading, const char *text); /* another file into the same tree */
void done_reading(struct reading *reading);

/* The printed findings without the closing count; "" when there are none. */
const char *printed(struct reading *reading);

/* The tree in short: one line for each statement, "opening words{body words;body words}"; texts in
 * quotes. */
const char *outline(struct reading *reading);

extern CU_TestInfo tree_tests[], tree_error_tests[], cursor_tests[], unit_tests[], quantity_tests[];

#endif
