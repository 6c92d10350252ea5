/* A machine from its text or file, every state solved, with its whole table of suspects. */
#ifndef PL_TEST_SUSPECT_KIT_H
#define PL_TEST_SUSPECT_KIT_H

#include "model/build.h"
#include "pl_test.h"
#include "suspect/suspects.h"

struct made {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_network *network;
  struct pl_solution *healthy;
  struct pl_suspects table;
};

static inline void made_make(struct made *m, const char *path, char *text) {
  struct pl_reader given = pl_reader_text(text);
  pl_test_arena(&m->arena);
  pl_sources_init(&m->sources, &m->arena);
  pl_findings_init(&m->findings, &m->arena);
  pl_harness_init(&m->harness, &m->arena);
  CU_ASSERT_FATAL(pl_build(path,
                           text != NULL ? &given : &pl_reader_disk,
                           &m->sources,
                           &m->findings,
                           &m->harness));
  pl_build_digest(&m->sources, &m->harness);
  m->network = pl_network_new(&m->harness, &m->arena);
  m->healthy = PL_NEW_ARRAY(&m->arena, struct pl_solution, m->harness.states.n);
  for (pl_id s = 0; s < m->harness.states.n; s++)
    pl_network_solve(m->network, s, &m->healthy[s], NULL);
  pl_suspects_make(&m->harness, m->network, m->healthy, &m->arena, &m->table);
}

static inline void made_end(struct made *m) {
  pl_network_release(m->network);
  pl_arena_release(&m->arena);
}

#endif
