/* Arena: the one way Pinloom owns memory.  Everything made while one harness is worked on lives in
 * one arena and is freed with it.  This room knows nothing of harnesses. */
#ifndef PL_BASE_ARENA_H
#define PL_BASE_ARENA_H

#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

/* Called when memory cannot be had.  It must not return: the command ends the process (exit 3), a
 * test jumps back.  The library itself never exits. */
typedef void (*pl_oom_fn)(void *context);

struct pl_arena_block;

struct pl_arena {
  struct pl_arena_block *blocks; /* newest first */
  pl_oom_fn on_oom;
  void *oom_context;
  size_t total;     /* bytes handed out */
  uint64_t calls;   /* allocations made so far */
  uint64_t fail_at; /* tests: the call with this number fails; 0 = never */
};

void pl_arena_init(struct pl_arena *arena, pl_oom_fn on_oom, void *context);
void pl_arena_release(struct pl_arena *arena);

/* Zeroed memory, aligned for any type; never NULL.  A product that overflows counts as out of
 * memory. */
void *pl_arena_alloc(struct pl_arena *arena, size_t count, size_t size);

/* `before` bytes handed out at `at` made `size` of them (more), what is behind them zero: in place
 * where nothing was handed out since, else copied. */
void *pl_arena_regrow(struct pl_arena *arena, void *at, size_t before, size_t size);

char *pl_arena_strndup(struct pl_arena *arena, const char *text, size_t length);
char *pl_arena_strdup(struct pl_arena *arena, const char *text);

/* As sprintf into fresh arena memory.  Numbers for people go through pl_number_print, not %g. */
char *pl_arena_printf(struct pl_arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

#define PL_NEW(arena, type) ((type *)pl_arena_alloc((arena), 1, sizeof(type)))
#define PL_NEW_ARRAY(arena, type, count) ((type *)pl_arena_alloc((arena), (count), sizeof(type)))

/* A growing array in an arena: declare with PL_VEC(struct pl_wire) wires; elements at
 * v.at[0..v.n-1].  Growing moves the elements: keep indices, not pointers. */
#define PL_VEC(type) \
  struct {           \
    type *at;        \
    uint32_t n, cap; \
  }
#define PL_PUSH(arena, vec, value)                                                           \
  do {                                                                                       \
    if ((vec)->n == (vec)->cap)                                                              \
      (vec)->at = pl_vec_grow((arena), (vec)->at, (vec)->n, &(vec)->cap, sizeof *(vec)->at); \
    (vec)->at[(vec)->n++] = (value);                                                         \
  } while (0)
/* Makes room at once for `more` elements that are likely to come, so that growing leaves no copies
 * behind. */
#define PL_RESERVE(arena, vec, more) \
  ((vec)->at = pl_vec_reserve((arena), (vec)->at, (vec)->n, &(vec)->cap, (more), sizeof *(vec)->at))
void *pl_vec_grow(struct pl_arena *arena, void *at, uint32_t n, uint32_t *cap, size_t size);
void *pl_vec_reserve(struct pl_arena *arena,
                     void *at,
                     uint32_t n,
                     uint32_t *cap,
                     size_t more,
                     size_t size);

#endif
