/* Arena: blocks of large pages from the system, given back together; of a block only what is used
 * costs anything.  Large requests get a block of their own, so that the block being filled is not
 * given up for them, and a large array can move with its block.  Must not know what is kept in it.
 */
#include "base/arena.h"

#include <stdalign.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/pages.h"

enum {
  BLOCK = 8 * 1024 * 1024,
  ALONE = 2 * 1024 * 1024
};

struct pl_arena_block {
  struct pl_arena_block *next;
  size_t used, size; /* bytes of `bytes` */
  bool alone;        /* made for one request */
  alignas(max_align_t) unsigned char bytes[];
};

void pl_arena_init(struct pl_arena *arena, pl_oom_fn on_oom, void *context) {
  *arena = (struct pl_arena){.on_oom = on_oom, .oom_context = context};
}

static void free_block(struct pl_arena_block *block) {
  pl_pages_free(block, sizeof *block + block->size);
}

void pl_arena_release(struct pl_arena *arena) {
  struct pl_arena_block *block = arena->blocks;

  while (block != NULL) {
    struct pl_arena_block *next = block->next;

    free_block(block);
    block = next;
  }
  arena->blocks = NULL;
  arena->total = 0;
}

static _Noreturn void out_of_memory(const struct pl_arena *arena) {
  if (arena->on_oom != NULL)
    arena->on_oom(arena->oom_context);
  abort(); /* a handler that returns breaks its contract; going on would write through NULL */
}

/* A block of `size` bytes with its head, or a little more. */
static struct pl_arena_block *new_block(const struct pl_arena *arena, size_t size) {
  struct pl_arena_block *block = pl_pages_new(&size);

  if (block == NULL)
    out_of_memory(arena);
  block->size = size - sizeof *block;
  return block;
}

/* A block with room for `bytes`: a fresh one to go on filling, or one for this request alone, put
 * second. */
static struct pl_arena_block *room_for(struct pl_arena *arena, size_t bytes) {
  struct pl_arena_block *first = arena->blocks;
  struct pl_arena_block *block;
  size_t whole = bytes + sizeof *block;

  if (first != NULL && first->size - first->used >= bytes)
    return first;
  if (whole < bytes)
    out_of_memory(arena);
  if (first != NULL && bytes > ALONE) {
    block = new_block(arena, whole);
    block->alone = true;
    block->next = first->next;
    first->next = block;
    return block;
  }
  block = new_block(arena, whole > BLOCK ? whole : BLOCK);
  block->next = first;
  arena->blocks = block;
  return block;
}

/* As much as is handed out for `bytes`. */
static size_t aligned(size_t bytes) {
  const size_t align = alignof(max_align_t);

  if (bytes == 0)
    return align;
  return (bytes + align - 1) / align * align;
}

/* Counts the call, and how many bytes it takes, aligned. */
static size_t bytes_of(struct pl_arena *arena, size_t count, size_t size) {
  arena->calls++;
  if (arena->fail_at != 0 && arena->calls == arena->fail_at)
    out_of_memory(arena);
  if (size != 0 && count > (SIZE_MAX - alignof(max_align_t)) / size)
    out_of_memory(arena);
  return aligned(count * size);
}

/* Fresh memory of the block, which is zero since it was made and never handed out twice. */
static void *take(struct pl_arena *arena, size_t bytes) {
  struct pl_arena_block *block = room_for(arena, bytes);
  void *at = block->bytes + block->used;

  block->used += bytes;
  arena->total += bytes;
  return at;
}

void *pl_arena_alloc(struct pl_arena *arena, size_t count, size_t size) {
  return take(arena, bytes_of(arena, count, size));
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
  char *text, brief[256];
  int length;

  va_start(args, format);
  va_copy(again, args);
  length = vsnprintf(brief, sizeof brief, format, args);
  va_end(args);
  if (length < 0) {
    va_end(again);
    out_of_memory(arena);
  }
  text = pl_arena_alloc(arena, (size_t)length + 1, 1);
  if ((size_t)length < sizeof brief)
    memcpy(text, brief, (size_t)length + 1);
  else
    vsnprintf(text, (size_t)length + 1, format, again);
  va_end(again);
  return text;
}

/* What was handed out last grows where it is, while its block has room. */
static bool stretch(struct pl_arena *arena, const void *at, size_t before, size_t bytes) {
  struct pl_arena_block *block = arena->blocks;

  if (at == NULL || block == NULL)
    return false;
  if (bytes - before > block->size - block->used)
    return false;
  if ((const unsigned char *)at + before != block->bytes + block->used)
    return false;
  block->used += bytes - before;
  arena->total += bytes - before;
  return true;
}

void *pl_arena_regrow(struct pl_arena *arena, void *at, size_t before, size_t size) {
  size_t bytes = bytes_of(arena, size, 1);
  void *grown;

  if (stretch(arena, at, aligned(before), bytes))
    return at;
  grown = take(arena, bytes);
  if (before != 0)
    memcpy(grown, at, before);
  return grown;
}

/* The link to the block that holds nothing but the array at `at`; NULL when it shares its block. */
static struct pl_arena_block **link_to(struct pl_arena *arena, const void *at) {
  for (struct pl_arena_block **link = &arena->blocks; *link != NULL; link = &(*link)->next)
    if ((*link)->bytes == at)
      return (*link)->alone ? link : NULL;
  return NULL;
}

/* A large array moves to a block of its own again, so that the old copy is not kept. */
static void *grow_alone(struct pl_arena *arena, struct pl_arena_block **link, size_t bytes) {
  struct pl_arena_block *old = *link;
  struct pl_arena_block *block = old;

  arena->total += bytes - old->used;
  if (bytes > old->size) {
    block = new_block(arena, bytes > SIZE_MAX - sizeof *block ? SIZE_MAX : bytes + sizeof *block);
    block->alone = true;
    block->next = old->next;
    *link = block;
    memcpy(block->bytes, old->bytes, old->used);
    free_block(old);
  }
  block->used = bytes;
  return block->bytes;
}

static void *
widen(struct pl_arena *arena, void *at, uint32_t n, uint32_t *cap, uint32_t wider, size_t size) {
  struct pl_arena_block **link;
  size_t bytes = bytes_of(arena, wider, size);
  void *grown;

  if (bytes > ALONE && at != NULL)
    link = link_to(arena, at);
  else
    link = NULL;
  if (link != NULL) {
    grown = grow_alone(arena, link, bytes);
  } else if (stretch(arena, at, aligned(*cap * size), bytes)) {
    grown = at;
  } else {
    grown = take(arena, bytes);
    if (n != 0)
      memcpy(grown, at, n * size);
  }
  *cap = wider;
  return grown;
}

void *pl_vec_grow(struct pl_arena *arena, void *at, uint32_t n, uint32_t *cap, size_t size) {
  if (*cap > UINT32_MAX / 2)
    out_of_memory(arena);
  return widen(arena, at, n, cap, *cap == 0 ? 8 : *cap * 2, size);
}

void *pl_vec_reserve(struct pl_arena *arena,
                     void *at,
                     uint32_t n,
                     uint32_t *cap,
                     size_t more,
                     size_t size) {
  size_t wanted = more > UINT32_MAX / 2 ? 0 : n + more;

  if (wanted <= *cap || wanted > UINT32_MAX / 2)
    return at;
  if (wanted < *cap * (size_t)2)
    wanted = *cap * (size_t)2;
  if (wanted > UINT32_MAX / 2)
    return at;
  return widen(arena, at, n, cap, (uint32_t)wanted, size);
}
