/* Machines with as many variants of faults as their array has room for: "nothing broken" has no row
 * in it, and what lies behind its end is not read. */
#include "test_suspect.h"
#include "test_suspect_kit.h"

#include "base/buffer.h"
#include "suspect/weigh.h"

/* A fuse, a lamp and three wires are one circuit; `more` wires lie beside the first one's feed. */
static char *circuits(struct pl_arena *arena, int count, int more) {
  struct pl_buffer text;
  int number = 1;

  pl_buffer_init(&text, arena);
  pl_buffer_puts(&text,
                 "machine \"Full\"\n  supply 12 V\n  earth negative\n"
                 "battery BAT\n  part battery 12 V 750 CCA\n");
  for (int i = 0; i < count; i++) {
    pl_buffer_printf(&text, "fuse F%d\n  part blade fuse 10 A\n", i);
    pl_buffer_printf(&text, "lamp E%d\n  part warning lamp 2 W 12 V\n", i);
  }
  pl_buffer_puts(&text, "wires of lamps\n");
  for (int i = 0; i < count; i++) {
    pl_buffer_printf(&text, "  %d BAT.+ F%d.in 14 AWG RD length 1 m\n", number++, i);
    pl_buffer_printf(&text, "  %d F%d.out E%d.+ 14 AWG RD length 1 m\n", number++, i, i);
    pl_buffer_printf(&text, "  %d E%d.- BAT.- 14 AWG BK length 1 m\n", number++, i);
  }
  for (int i = 0; i < more; i++)
    pl_buffer_printf(&text, "  %d F0.out E0.+ 14 AWG RD length 1 m\n", number++);
  pl_buffer_puts(&text, "state on\n");
  return text.at;
}

static bool is_healthy(const struct pl_suspects *table) {
  for (uint32_t q = 0; q < table->questions.n; q++)
    if (pl_suspects_answer(table, table->variants.n, q) != table->questions.at[q].healthy)
      return false;
  return true;
}

/* An array that ends where its rows do: the numbers of circuits are those that fill it. */
static void filled(void) {
  static const struct {
    int circuits, more;
    uint32_t variants;
  } rows[] = {{3, 0, 64}, {11, 4, 256}, {47, 6, 1024}};

  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    struct made m;
    struct pl_arena arena;
    pl_evidences none = {0};
    struct pl_verdict verdict;
    pl_test_arena(&arena);
    made_make(&m, "full.loom", circuits(&arena, rows[i].circuits, rows[i].more));
    PL_CHECK_INT(m.table.variants.n, rows[i].variants, "variants");
    PL_CHECK_INT(m.table.variants.n, m.table.variants.cap, "no room is left");
    PL_CHECK(is_healthy(&m.table), "nothing broken answers as a healthy machine");
    pl_weigh(&m.table, &none, &m.arena, &verdict);
    PL_CHECK(verdict.healthy, "nothing read speaks against it");
    made_end(&m);
    pl_arena_release(&arena);
  }
}

/* Whatever lies behind the last row: here one that would answer every question wrongly. */
static void nothing_behind_the_end(void) {
  struct made m;
  struct pl_arena arena;

  pl_test_arena(&arena);
  made_make(&m, "full.loom", circuits(&arena, 1, 0));
  struct pl_suspects *table = &m.table;
  uint32_t n = table->questions.n;
  struct pl_variant *rows = PL_NEW_ARRAY(&arena, struct pl_variant, table->variants.n + 1);
  memcpy(rows, table->variants.at, table->variants.n * sizeof *rows);
  rows[table->variants.n] = (struct pl_variant){.first = table->entry_questions.n, .count = n};
  for (uint32_t q = 0; q < n; q++) {
    PL_PUSH(table->arena, &table->entry_questions, q);
    PL_PUSH(table->arena, &table->entry_answers, (int16_t)(table->questions.at[q].healthy + 1));
  }
  table->variants.at = rows;
  PL_CHECK(is_healthy(table), "the row behind the end is not asked");
  made_end(&m);
  pl_arena_release(&arena);
}

CU_TestInfo suspect_full_tests[] = {{"filled to the last row", filled},
                                    {"nothing behind the end is read", nothing_behind_the_end},
                                    CU_TEST_INFO_NULL};
