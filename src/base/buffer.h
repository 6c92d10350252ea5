/* Growing text in an arena, always NUL-terminated.  Writers write into a buffer; the file is
 * written at the end. */
#ifndef PL_BASE_BUFFER_H
#define PL_BASE_BUFFER_H

#include "base/arena.h"

struct pl_buffer {
  struct pl_arena *arena;
  char *at;
  size_t n, cap;
};

void pl_buffer_init(struct pl_buffer *buffer, struct pl_arena *arena);
void pl_buffer_add(struct pl_buffer *buffer, const char *bytes, size_t n);
void pl_buffer_puts(struct pl_buffer *buffer, const char *text);

/* `text` as a terminal may have it: controls, marks that turn text and bytes that are no UTF-8
 * become "?".  Returns the columns it takes; `buffer` NULL: only that. */
size_t pl_buffer_put_safe(struct pl_buffer *buffer, const char *text);
void pl_buffer_printf(struct pl_buffer *buffer, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

#endif
