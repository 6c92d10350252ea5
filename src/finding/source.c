/* Source texts and places in them.  Adding a text walks over it once and leaves a mark every
 * MARK_EVERY bytes; a place is then found by counting from the mark before it.  Must not know the
 * language. */
#include "finding/source.h"

#include <string.h>

#include "base/utf8.h"

enum {
  MARK_EVERY = 1024,
  TAB = 8
};

struct pl_source_mark {
  uint32_t offset, line_start, line, columns;
};

void pl_sources_init(struct pl_sources *sources, struct pl_arena *arena) {
  *sources = (struct pl_sources){.arena = arena};
}

size_t pl_source_step(const char *text, size_t n, uint32_t *columns) {
  size_t took;
  uint32_t code;

  if (text[0] == '\t') {
    *columns = *columns / TAB * TAB + TAB;
    return 1;
  }
  if (text[0] == '\r' && n > 1 && text[1] == '\n')
    return 1;
  took = pl_utf8_decode(text, n, &code);
  if (took == 0) {
    ++*columns;
    return 1;
  }
  *columns += (uint32_t)pl_utf8_width(code);
  return took;
}

/* Goes on from a mark over the whole lines before `target`. */
static void
advance_lines(const struct pl_source *source, struct pl_source_mark *at, uint32_t target) {
  const char *feed;

  while (at->offset < target &&
         (feed = memchr(source->text + at->offset, '\n', target - at->offset)) != NULL) {
    at->offset = at->line_start = (uint32_t)(feed + 1 - source->text);
    at->line++;
    at->columns = 0;
  }
}

/* Goes on from a mark to the start of the character that holds `target` (or ends there). */
static void advance(const struct pl_source *source, struct pl_source_mark *at, uint32_t target) {
  advance_lines(source, at, target);
  while (at->offset < target) {
    const char *text = source->text + at->offset;
    uint32_t plain = 0;

    while (at->offset + plain < target && text[plain] >= ' ' && text[plain] <= '~')
      plain++;
    at->offset += plain;
    at->columns += plain;
    text += plain;
    if (at->offset == target)
      return;
    uint32_t columns = at->columns;
    size_t took = pl_source_step(text, source->size - at->offset, &columns);

    if (at->offset + took > target)
      return;
    at->offset += (uint32_t)took;
    at->columns = columns;
  }
}

static uint32_t within(const struct pl_source *source, uint32_t offset) {
  if (offset < source->size)
    return offset;
  return (uint32_t)source->size;
}

uint32_t
pl_sources_add(struct pl_sources *sources, const char *path, const char *text, size_t size) {
  struct pl_source source = {.path = path,
                             .text = text,
                             .size = size < UINT32_MAX ? size : UINT32_MAX - 1};
  struct pl_source_mark *marks;
  struct pl_source_mark at = {.line = 1};

  source.mark_count = (uint32_t)(source.size / MARK_EVERY) + 1;
  marks = PL_NEW_ARRAY(sources->arena, struct pl_source_mark, source.mark_count);
  for (uint32_t i = 0; i < source.mark_count; i++) {
    advance(&source, &at, i * MARK_EVERY);
    marks[i] = at;
  }
  source.marks = marks;
  PL_PUSH(sources->arena, &sources->files, source);
  return sources->files.n - 1;
}

static struct pl_source_mark find(const struct pl_source *source, uint32_t offset) {
  struct pl_source_mark at = source->marks[within(source, offset) / MARK_EVERY];

  advance(source, &at, within(source, offset));
  return at;
}

struct pl_position pl_source_position(const struct pl_sources *sources, struct pl_span span) {
  struct pl_source_mark at;

  if (span.file >= sources->files.n)
    return (struct pl_position){0, 0};
  at = find(&sources->files.at[span.file], span.start);
  return (struct pl_position){at.line, at.columns + 1};
}

struct pl_source_line pl_source_line(const struct pl_sources *sources, struct pl_span span) {
  const struct pl_source *source;
  struct pl_source_line line;
  const char *feed;

  if (span.file >= sources->files.n)
    return (struct pl_source_line){0, 0};
  source = &sources->files.at[span.file];
  line.start = find(source, span.start).line_start;
  feed = memchr(source->text + line.start, '\n', source->size - line.start);
  if (feed == NULL)
    line.end = (uint32_t)source->size;
  else
    line.end = (uint32_t)(feed - source->text);
  if (line.end > line.start && line.end < source->size && source->text[line.end - 1] == '\r')
    line.end--;
  return line;
}

uint32_t pl_source_mark(const struct pl_sources *sources,
                        uint32_t file,
                        uint32_t offset,
                        uint32_t *columns) {
  const struct pl_source *source = &sources->files.at[file];
  const struct pl_source_mark *mark = &source->marks[within(source, offset) / MARK_EVERY];

  *columns = mark->columns;
  return mark->offset;
}
