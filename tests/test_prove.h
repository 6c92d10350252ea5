/* A harness with its network and proofs, from a file of harnesses/mistakes or from a text. */
#ifndef TEST_PROVE_H
#define TEST_PROVE_H

#include "model/build.h"
#include "pl_test.h"
#include "prove/search_inner.h"
#include "sheet/sheet.h"

struct bench {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_network *network;
  struct pl_solution *solutions;
  struct pl_proof *proof;
};

/* `text` NULL: the file `path` of harnesses/mistakes. */
static inline bool set_up(struct bench *b, const char *path, const char *text) {
  memset(b, 0, sizeof *b);
  pl_test_arena(&b->arena);
  pl_sources_init(&b->sources, &b->arena);
  pl_findings_init(&b->findings, &b->arena);
  pl_harness_init(&b->harness, &b->arena);
  struct pl_reader memory = pl_reader_text(text);
  const char *whole =
      text != NULL ? path
                   : pl_test_path(pl_arena_printf(&b->arena, "harnesses/mistakes/%s.loom", path));
  bool good = pl_build(whole,
                       text == NULL ? &pl_reader_disk : &memory,
                       &b->sources,
                       &b->findings,
                       &b->harness);
  PL_CHECK(good, path);
  if (!good)
    return false;
  b->network = pl_network_new(&b->harness, &b->arena);
  b->solutions = PL_NEW_ARRAY(&b->arena, struct pl_solution, b->harness.states.n + 1);
  for (pl_id s = 0; s < b->harness.states.n; s++)
    pl_network_solve(b->network, s, &b->solutions[s], NULL);
  b->proof = pl_proof_new(&b->harness, b->network, b->solutions, &b->arena);
  return true;
}

static inline void tear_down(struct bench *b) {
  if (b->network != NULL)
    pl_network_release(b->network);
  pl_arena_release(&b->arena);
}

extern CU_TestInfo exact_tests[];

#endif
