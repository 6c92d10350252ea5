/* The pages: the printed set, and the index of a folder.  XHTML that is good HTML too; no script,
 * nothing fetched from outside. */
#ifndef PL_OUT_XHTML_H
#define PL_OUT_XHTML_H

#include "draw/scene.h"
#include "finding/finding.h"
#include "sheet/sheet.h"

/* What the printed set is made of. */
struct pl_book {
  const char *what, *file; /* "Book", "book.html" */
  const struct pl_harness *harness;
  const struct pl_findings *findings; /* NULL: not checked */
  const pl_sheets *sheets;
  const pl_scenes *drawings;
  const bool *chosen; /* by section; NULL: all */
  bool plates; /* with the drawings that take a page; else only those that stand above a table */
};

/* A drawing or a table with its number: 9.3 is the third of part 9. */
struct pl_book_entry {
  uint32_t part, number;
  uint32_t section;        /* row of pl_sections */
  uint32_t drawing, sheet; /* which of the book's; PL_NONE for the other one */
  const char *title;
};
/* In the order of the book. */
uint32_t pl_xhtml_entries(const struct pl_book *book,
                          struct pl_arena *arena,
                          struct pl_book_entry **entries);

/* Cover, contents, then section after section in the order of the work.  False: a fault of the
 * program. */
bool pl_xhtml_book(struct pl_buffer *out, const struct pl_book *book, struct pl_arena *arena);

/* What is in the folder, what stands against powering the machine, and what to print; it points
 * into the book. */
bool pl_xhtml_index(struct pl_buffer *out, const struct pl_book *book, struct pl_arena *arena);

/* The assembly board's pages, to be printed 1:1.  False, and nothing written, when there are none.
 */
bool pl_xhtml_board(struct pl_buffer *out, const pl_scenes *drawings, struct pl_arena *arena);

#endif
