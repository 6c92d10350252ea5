/* Arena, growing arrays, buffer and hash table, and what happens when memory runs out. */
#include <setjmp.h>
#include <stdalign.h>

#include "base/buffer.h"
#include "base/table.h"
#include "test_base.h"

static void jump(void *context) {
  longjmp(*(jmp_buf *)context, 1);
}

static void arena_is_zeroed_and_aligned(void) {
  struct pl_arena arena;
  const size_t sizes[] = {0, 1, 7, 16, 100, 20000, 70000, 3, 1000000, 5};

  pl_test_arena(&arena);
  for (int round = 0; round < 50; round++)
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
      unsigned char *at = pl_arena_alloc(&arena, sizes[i], 1);
      size_t dirty = 0;

      CU_ASSERT_PTR_NOT_NULL_FATAL(at);
      CU_ASSERT_EQUAL((uintptr_t)at % alignof(max_align_t), 0);
      for (size_t k = 0; k < sizes[i]; k++)
        dirty += at[k] != 0;
      CU_ASSERT_EQUAL(dirty, 0);
      memset(at, 0xff, sizes[i]); /* the next one must not see it */
    }
  CU_ASSERT_EQUAL(arena.calls, 500);
  CU_ASSERT(arena.total >= 50 * 1090132u);
  pl_arena_release(&arena);
  CU_ASSERT_PTR_NULL(arena.blocks);
}

static void arena_pieces_do_not_overlap(void) {
  enum {
    N = 3000
  };
  struct pl_arena arena;
  uint32_t *pieces[N];
  int wrong = 0;

  pl_test_arena(&arena);
  for (uint32_t i = 0; i < N; i++) {
    pieces[i] = PL_NEW_ARRAY(&arena, uint32_t, 1 + i % 400 * 13);
    for (uint32_t k = 0; k < 1 + i % 400 * 13; k++)
      pieces[i][k] = i;
  }
  for (uint32_t i = 0; i < N; i++)
    for (uint32_t k = 0; k < 1 + i % 400 * 13; k++)
      wrong += pieces[i][k] != i;
  CU_ASSERT_EQUAL(wrong, 0);
  pl_arena_release(&arena);
}

/* True when `act` ran out of memory. */
/* What was handed out last grows where it is, anything else is copied; either way what is new is
 * zero. */
static void arena_regrows(void) {
  struct pl_arena arena;
  char *first, *last, *grown;

  pl_test_arena(&arena);
  first = pl_arena_strdup(&arena, "first");
  last = pl_arena_strdup(&arena, "last");
  CU_ASSERT_PTR_EQUAL(pl_arena_regrow(&arena, last, 5, 100000), last);
  CU_ASSERT_STRING_EQUAL(last, "last");
  for (int i = 5; i < 100000; i++)
    if (last[i] != 0)
      CU_FAIL("not zero");
  grown = pl_arena_regrow(&arena, first, 6, 1000);
  CU_ASSERT_PTR_NOT_EQUAL(grown, first);
  CU_ASSERT_STRING_EQUAL(grown, "first");
  for (int i = 6; i < 1000; i++)
    if (grown[i] != 0)
      CU_FAIL("not zero");
  last = pl_arena_regrow(&arena, grown, 1000, 64 * 1024 * 1024); /* more than a block */
  CU_ASSERT_PTR_NOT_EQUAL(last, grown);
  CU_ASSERT_STRING_EQUAL(last, "first");
  CU_ASSERT_EQUAL(last[64 * 1024 * 1024 - 1], 0);
  pl_arena_release(&arena);
}

static bool runs_out(void (*act)(struct pl_arena *), uint64_t fail_at, uint64_t *calls) {
  static struct pl_arena arena; /* static: changed between setjmp and longjmp */
  jmp_buf back;
  volatile bool out = true;

  pl_arena_init(&arena, jump, &back);
  arena.fail_at = fail_at;
  if (setjmp(back) == 0) {
    act(&arena);
    out = false;
  }
  if (calls != NULL)
    *calls = arena.calls;
  pl_arena_release(&arena);
  return out;
}

static void ask_product(struct pl_arena *arena) {
  pl_arena_alloc(arena, SIZE_MAX / 2 + 2, 2);
}

static void ask_wrapped_product(struct pl_arena *arena) {
  enum {
    HALF = sizeof(size_t) * 4
  };                                                                 /* bits */
  pl_arena_alloc(arena, (size_t)1 << (HALF + 1), (size_t)1 << HALF); /* wraps to 2 */
}

static void ask_all(struct pl_arena *arena) {
  pl_arena_alloc(arena, SIZE_MAX, 1);
}

static void ask_almost_all(struct pl_arena *arena) {
  pl_arena_alloc(arena, SIZE_MAX - 64, 1);
}

static void ask_all_text(struct pl_arena *arena) {
  pl_arena_strndup(arena, "x", SIZE_MAX);
}

static void ask_wide_array(struct pl_arena *arena) {
  uint32_t cap = UINT32_MAX / 2 + 1;

  pl_vec_grow(arena, NULL, 0, &cap, 1);
}

static void ask_little(struct pl_arena *arena) {
  pl_arena_alloc(arena, 3, 5);
}

static void too_much_is_reported(void) {
  CU_ASSERT(runs_out(ask_product, 0, NULL));
  CU_ASSERT(runs_out(ask_wrapped_product, 0, NULL));
  CU_ASSERT(runs_out(ask_all, 0, NULL));
  CU_ASSERT(runs_out(ask_almost_all, 0, NULL));
  CU_ASSERT(runs_out(ask_all_text, 0, NULL));
  CU_ASSERT(runs_out(ask_wide_array, 0, NULL));
  CU_ASSERT_FALSE(runs_out(ask_little, 0, NULL));
}

/* Uses everything that grows. */
static void use_all(struct pl_arena *arena) {
  struct pl_buffer buffer;
  struct pl_table table;
  PL_VEC(uint32_t) numbers = {NULL, 0, 0};

  pl_buffer_init(&buffer, arena);
  pl_table_init(&table, arena);
  for (uint32_t i = 0; i < 300; i++) {
    const char *key = pl_arena_printf(arena, "pin %u", (unsigned)i);

    pl_table_add(&table, key, i);
    PL_PUSH(arena, &numbers, i);
    pl_buffer_printf(&buffer, "%s and some more, ", key);
    pl_buffer_puts(&buffer, key);
  }
  pl_arena_strdup(arena, buffer.at);
}

static void every_allocation_may_fail(void) {
  uint64_t calls, reached;

  CU_ASSERT_FALSE_FATAL(runs_out(use_all, 0, &calls));
  CU_ASSERT(calls > 300);
  for (uint64_t k = 1; k <= calls; k++) {
    CU_ASSERT(runs_out(use_all, k, &reached));
    CU_ASSERT_EQUAL(reached, k);
  }
  CU_ASSERT_FALSE(runs_out(use_all, calls + 1, NULL));
}

static void texts_are_copied(void) {
  struct pl_arena arena;
  char source[] = "ECM.A12";
  const char *copy, *part;

  pl_test_arena(&arena);
  copy = pl_arena_strdup(&arena, source);
  part = pl_arena_strndup(&arena, source, 3);
  source[0] = 'x';
  CU_ASSERT_STRING_EQUAL(copy, "ECM.A12");
  CU_ASSERT_STRING_EQUAL(part, "ECM");
  CU_ASSERT_STRING_EQUAL(pl_arena_strndup(&arena, "", 0), "");
  CU_ASSERT_STRING_EQUAL(pl_arena_printf(&arena, "%s:%d", "a", 7), "a:7");
  pl_arena_release(&arena);
}

static void arrays_grow(void) {
  struct pl_arena arena;
  PL_VEC(struct {
    uint32_t a;
    double b;
  })
  list = {NULL, 0, 0};
  int wrong = 0;

  pl_test_arena(&arena);
  for (uint32_t i = 0; i < 100000; i++) {
    if (list.n == list.cap)
      list.at = pl_vec_grow(&arena, list.at, list.n, &list.cap, sizeof *list.at);
    list.at[list.n].a = i;
    list.at[list.n++].b = i / 2.0;
  }
  for (uint32_t i = 0; i < 100000; i++)
    wrong += list.at[i].a != i || list.at[i].b != i / 2.0;
  CU_ASSERT_EQUAL(list.n, 100000);
  CU_ASSERT_EQUAL(wrong, 0);
  pl_arena_release(&arena);
}

static void buffers_grow_and_end_with_nul(void) {
  struct pl_arena arena;
  struct pl_buffer buffer;
  size_t wrong = 0;

  pl_test_arena(&arena);
  pl_buffer_init(&buffer, &arena);
  CU_ASSERT_STRING_EQUAL(buffer.at, "");
  pl_buffer_add(&buffer, NULL, 0);
  for (int i = 0; i < 5000; i++) {
    pl_buffer_printf(&buffer, "%05d", i);
    pl_buffer_add(&buffer, "\0x", 2);
    wrong += buffer.at[buffer.n] != '\0';
  }
  CU_ASSERT_EQUAL(buffer.n, 35000);
  for (int i = 0; i < 5000; i++)
    wrong += atoi(buffer.at + 7 * i) != i || memcmp(buffer.at + 7 * i + 5, "\0x", 2) != 0;
  CU_ASSERT_EQUAL(wrong, 0);
  pl_arena_release(&arena);
}

/* The room that is left must take the text and its NUL: lengths around it. */
static void buffers_fill_to_the_brim(void) {
  for (int length = 250; length < 262; length++)
    for (int more = 0; more < 8; more++) {
      struct pl_arena arena;
      struct pl_buffer buffer;

      pl_test_arena(&arena);
      pl_buffer_init(&buffer, &arena);
      pl_buffer_printf(&buffer, "%*d", length, 7);
      pl_buffer_printf(&buffer, "%.*s", more, "abcdefgh");
      CU_ASSERT_EQUAL(buffer.n, (size_t)(length + more));
      CU_ASSERT_EQUAL(strlen(buffer.at), buffer.n);
      CU_ASSERT_EQUAL(buffer.at[length - 1], '7');
      pl_arena_release(&arena);
    }
}

static void tables_find_what_was_added(void) {
  struct pl_arena arena;
  struct pl_table table;
  uint32_t value = 99;
  uint32_t wrong = 0;

  pl_test_arena(&arena);
  pl_table_init(&table, &arena);
  CU_ASSERT_FALSE(pl_table_find(&table, "nothing", &value));
  for (uint32_t i = 0; i < 50000; i++)
    wrong += !pl_table_add(&table, pl_arena_printf(&arena, "W%u", (unsigned)i), i);
  for (uint32_t i = 0; i < 50000; i++) {
    const char *key = pl_arena_printf(&arena, "W%u", (unsigned)i);

    wrong += pl_table_add(&table, key, i + 1); /* there already */
    wrong += !pl_table_find(&table, key, &value) || value != i;
  }
  CU_ASSERT_EQUAL(wrong, 0);
  CU_ASSERT_EQUAL(table.entries.n, 50000);
  value = 99;
  CU_ASSERT_FALSE(pl_table_find(&table, "W50000", &value));
  CU_ASSERT_FALSE(pl_table_find(&table, "w1", &value));
  CU_ASSERT_FALSE(pl_table_find(&table, "", &value));
  CU_ASSERT_EQUAL(value, 99);
  CU_ASSERT(pl_table_add(&table, "", 5));
  CU_ASSERT(pl_table_find(&table, "", &value));
  CU_ASSERT_EQUAL(value, 5);
  CU_ASSERT(pl_table_find(&table, "W7", NULL));
  pl_arena_release(&arena);
}

CU_TestInfo memory_tests[] = {
    {"arena memory is zeroed and aligned", arena_is_zeroed_and_aligned},
    {"arena pieces do not overlap", arena_pieces_do_not_overlap},
    {"arena regrows", arena_regrows},
    {"too much, or a product that wraps, is out of memory", too_much_is_reported},
    {"every single allocation may fail", every_allocation_may_fail},
    {"texts are copied", texts_are_copied},
    {"arrays grow", arrays_grow},
    {"buffers grow and end with NUL", buffers_grow_and_end_with_nul},
    {"buffers fill to the brim", buffers_fill_to_the_brim},
    {"tables find what was added, and only the first", tables_find_what_was_added},
    CU_TEST_INFO_NULL,
};
