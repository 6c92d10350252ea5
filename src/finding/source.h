/* Source texts and places in them.  A span is bytes; line and column are worked out when printing.
 */
#ifndef PL_FINDING_SOURCE_H
#define PL_FINDING_SOURCE_H

#include "base/arena.h"

struct pl_span {
  uint32_t file;       /* index into pl_sources.files; PL_NO_FILE when there is no place */
  uint32_t start, end; /* byte offsets, end exclusive */
};

#define PL_NO_FILE UINT32_MAX
#define PL_NO_SPAN ((struct pl_span){PL_NO_FILE, 0, 0})

/* Where a line and column are known already, so that a place far down a large text is found without
 * counting from the top.  Belongs to source.c. */
struct pl_source_mark;

struct pl_source {
  const char *
      path; /* as the user typed it, or relative to that; "<parts>" style names for built-in text */
  const char *text; /* NUL-terminated */
  size_t size;
  const struct pl_source_mark *marks;
  uint32_t mark_count;
};

struct pl_sources {
  struct pl_arena *arena;
  PL_VEC(struct pl_source) files;
};

void pl_sources_init(struct pl_sources *sources, struct pl_arena *arena);
uint32_t
pl_sources_add(struct pl_sources *sources, const char *path, const char *text, size_t size);

/* 1-based; columns count characters as a terminal shows them (tab stops of 8, wide characters 2),
 * as GNU asks. */
struct pl_position {
  uint32_t line, column;
};
struct pl_position pl_source_position(const struct pl_sources *sources, struct pl_span span);

/* The line a span starts in: the offset of its first byte and the one after its last (without CR
 * and LF). */
struct pl_source_line {
  uint32_t start, end;
};
struct pl_source_line pl_source_line(const struct pl_sources *sources, struct pl_span span);

/* The nearest place at or before `offset` that is known without counting: its offset (the first
 * byte of a character) and the columns before it in its line.  For printers of very long lines. */
uint32_t
pl_source_mark(const struct pl_sources *sources, uint32_t file, uint32_t offset, uint32_t *columns);

/* Steps over the character at text[0..n-1] (n > 0) that starts with *columns columns before it;
 * returns its bytes. A broken byte and a control character take one column, CR before LF none. */
size_t pl_source_step(const char *text, size_t n, uint32_t *columns);

#endif
