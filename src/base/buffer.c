/* Growing text.  Doubles its room, so that adding n bytes costs about n. */
#include "base/buffer.h"

#include "base/utf8.h"

#include <stdio.h>
#include <string.h>

void pl_buffer_init(struct pl_buffer *buffer, struct pl_arena *arena) {
  *buffer = (struct pl_buffer){.arena = arena, .cap = 256};
  buffer->at = pl_arena_alloc(arena, buffer->cap, 1);
}

/* Room for n more bytes and the NUL, where there is not enough. */
static void widen(struct pl_buffer *buffer, size_t n) {
  size_t cap = buffer->cap;

  if (n > SIZE_MAX / 4 || cap > SIZE_MAX / 4)
    cap = SIZE_MAX; /* cannot be had: the arena reports it */
  else
    while (cap - buffer->n <= n)
      cap *= 2;
  buffer->at = pl_arena_regrow(buffer->arena, buffer->at, buffer->cap, cap);
  buffer->cap = cap;
}

void pl_buffer_add(struct pl_buffer *buffer, const char *bytes, size_t n) {
  if (n == 0)
    return;
  if (n >= buffer->cap - buffer->n)
    widen(buffer, n);
  memcpy(buffer->at + buffer->n, bytes, n);
  buffer->n += n;
  buffer->at[buffer->n] = '\0';
}

void pl_buffer_puts(struct pl_buffer *buffer, const char *text) {
  pl_buffer_add(buffer, text, strlen(text));
}

void pl_buffer_printf(struct pl_buffer *buffer, const char *format, ...) {
  va_list args, again;
  int length;

  va_start(args, format);
  va_copy(again, args);
  length = vsnprintf(buffer->at + buffer->n, buffer->cap - buffer->n, format, args);
  va_end(args);
  if (length < 0) { /* longer than an int can say */
    va_end(again);
    widen(buffer, SIZE_MAX);
    return;
  }
  if ((size_t)length >= buffer->cap - buffer->n) {
    buffer->at[buffer->n] = '\0';
    widen(buffer, (size_t)length);
    vsnprintf(buffer->at + buffer->n, buffer->cap - buffer->n, format, again);
  }
  va_end(again);
  buffer->n += (size_t)length;
}

size_t pl_buffer_put_safe(struct pl_buffer *buffer, const char *text) {
  size_t left = strlen(text);
  size_t columns = 0;
  while (left > 0) {
    uint32_t code = 0;
    size_t took = pl_utf8_decode(text, left, &code);
    bool good = took > 0 && !pl_utf8_is_control(code) && !pl_utf8_turns_text(code);
    if (buffer != NULL)
      pl_buffer_add(buffer, good ? text : "?", good ? took : 1);
    columns += good ? (size_t)pl_utf8_width(code) : 1;
    took = took == 0 ? 1 : took;
    text += took;
    left -= took;
  }
  return columns;
}
