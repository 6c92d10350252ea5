/* A shipped machine, built, solved and written into fresh memory. */
#ifndef OUT_DEMO_H
#define OUT_DEMO_H

#include "model/build.h"
#include "pl_test.h"
#include "write/output.h"

struct demo {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  pl_outputs outputs;
};

/* The book of the text at `path`. */
static inline void demo_make(struct demo *demo, const char *path) {
  *demo = (struct demo){0};
  pl_test_arena(&demo->arena);
  pl_sources_init(&demo->sources, &demo->arena);
  pl_findings_init(&demo->findings, &demo->arena);
  pl_harness_init(&demo->harness, &demo->arena);
  CU_ASSERT_TRUE_FATAL(pl_build(pl_test_path(path),
                                &pl_reader_disk,
                                &demo->sources,
                                &demo->findings,
                                &demo->harness));
  pl_build_digest(&demo->sources, &demo->harness);
  struct pl_network *network = pl_network_new(&demo->harness, &demo->arena);
  struct pl_solution *solutions =
      PL_NEW_ARRAY(&demo->arena, struct pl_solution, demo->harness.states.n);
  for (pl_id s = 0; s < demo->harness.states.n; s++)
    pl_network_solve(network, s, &solutions[s], &demo->findings);
  struct pl_output_inputs in = {.harness = &demo->harness,
                                .network = network,
                                .solutions = solutions,
                                .findings = &demo->findings,
                                .sources = &demo->sources};
  pl_output_book(&in, &demo->arena, &demo->outputs);
  pl_network_release(network);
}

static inline void demo_release(struct demo *demo) {
  pl_arena_release(&demo->arena);
}

static const char *const demo_paths[] = {"harnesses/pump-skid/pump-skid.loom",
                                         "harnesses/snowplow/snowplow.loom"};
enum {
  DEMOS = sizeof demo_paths / sizeof demo_paths[0]
};

#endif
