/* Arena: blocks that grow from 64 KiB, freed together.  Large requests get a block of their own, so that the
 * block being filled is not given up for them.  Must not know what is kept in it. */
#include "base/arena.h"

#include <stdalign.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK_FIRST = 64 * 1024, BLOCK_LAST = 4 * 1024 * 1024 };

struct pl_arena_block {
  struct pl_arena_block *next;
  size_t used, size;  /* bytes of `bytes` */
  alignas(max_align_t) unsigned char bytes[];
};

void pl_arena_init(struct pl_arena *arena, pl_oom_fn on_oom, void *context) {
  *arena = (struct pl_arena){.on_oom = on_oom, .oom_context = context};
}

void pl_arena_release(struct pl_arena *arena) {
  struct pl_arena_block *block = arena->blocks;

  while (block != NULL) {
    struct pl_arena_block *next = block->next;

    free(block);
    block = next;
  }
  arena->blocks = NULL;
  arena->total = 0;
}

static _Noreturn void out_of_memory(const struct pl_arena *arena) {
  if (arena->on_oom != NULL)
    arena->on_oom(arena->oom_context);
  abort();  /* a handler that returns breaks its contract; going on would write through NULL */
}

static struct pl_arena_block *new_block(const struct pl_arena *arena, size_t size) {
  struct pl_arena_block *block;

  if (size > PTRDIFF_MAX - sizeof *block)
    out_of_memory(arena);
  block = malloc(sizeof *block + size);
  if (block == NULL)
    out_of_memory(arena);
  block->next = NULL;
  block->used = 0;
  block->size = size;
  return block;
}

/* A block with room for `bytes`: a fresh one to go on filling, or one for this request alone, put second. */
static struct pl_arena_block *room_for(struct pl_arena *arena, size_t bytes) {
  struct pl_arena_block *first = arena->blocks, *block;
  size_t size = BLOCK_FIRST;

  if (first != NULL && first->size - first->used >= bytes)
    return first;
  if (first != NULL && first->size >= BLOCK_FIRST)
    size = first->size < BLOCK_LAST ? first->size * 2 : BLOCK_LAST;
  if (first != NULL && bytes > size / 4) {
    block = new_block(arena, bytes);
    block->next = first->next;
    first->next = block;
    return block;
  }
  block = new_block(arena, bytes > size ? bytes : size);
  block->next = first;
  arena->blocks = block;
  return block;
}

void *pl_arena_alloc(struct pl_arena *arena, size_t count, size_t size) {
  const size_t align = alignof(max_align_t);
  struct pl_arena_block *block;
  size_t bytes;
  void *at;

  arena->calls++;
  if (arena->fail_at != 0 && arena->calls == arena->fail_at)
    out_of_memory(arena);
  if (size != 0 && count > (SIZE_MAX - align) / size)
    out_of_memory(arena);
  bytes = count * size;
  bytes = bytes == 0 ? align : (bytes + align - 1) / align * align;
  block = room_for(arena, bytes);
  at = block->bytes + block->used;
  block->used += bytes;
  arena->total += bytes;
  return memset(at, 0, bytes);
}

char *pl_arena_strndup(struct pl_arena *arena, const char *text, size_t length) {
  char *copy;

  if (length == SIZE_MAX)
    out_of_memory(arena);
  copy = pl_arena_alloc(arena, length + 1, 1);
  if (length != 0)
    memcpy(copy, text, length);
  return copy;
}

char *pl_arena_strdup(struct pl_arena *arena, const char *text) {
  return pl_arena_strndup(arena, text, strlen(text));
}

char *pl_arena_printf(struct pl_arena *arena, const char *format, ...) {
  va_list args, again;
  char *text;
  int length;

  va_start(args, format);
  va_copy(again, args);
  length = vsnprintf(NULL, 0, format, args);
  va_end(args);
  if (length < 0) {
    va_end(again);
    out_of_memory(arena);
  }
  text = pl_arena_alloc(arena, (size_t)length + 1, 1);
  vsnprintf(text, (size_t)length + 1, format, again);
  va_end(again);
  return text;
}

void *pl_vec_grow(struct pl_arena *arena, void *at, uint32_t n, uint32_t *cap, size_t size) {
  uint32_t wider = *cap == 0 ? 8 : *cap * 2;
  void *grown;

  if (*cap > UINT32_MAX / 2)
    out_of_memory(arena);
  grown = pl_arena_alloc(arena, wider, size);
  if (n != 0)
    memcpy(grown, at, n * size);
  *cap = wider;
  return grown;
}
