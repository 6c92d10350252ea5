/* suspects FILE [EVERY [FROM [misses|score|wrong [SEEDS]]]]: every single fault of a harness (or
 * every so many-th, from the one of that number on) is simulated; the tool gets the symptom and
 * then the readings it asks for, from a meter that is off by up to 1 % + 10 mV (fixed seed). Counts
 * how soon the true fault, or one that no reading can tell from it, is first; the same with three
 * readings of wrong pins first; half-splitting along the circuit on the same cases.  `misses`
 * prints what is not found; `score` takes five readings and no more, none of them wrong, and prints
 * what is not found after them: a quarter of the time; `wrong` tries the wrong readings only, SEEDS
 * times, and prints where the tool becomes certain of a wrong fault.  A measuring tool for the
 * bench. */
#include <stdio.h>

#include "bench/half_split.h"
#include "bench/suspects.h"
#include "model/build.h"

static void no_memory(void *context) {
  (void)context;
  fputs("out of memory\n", stderr);
  _Exit(3);
}

struct run {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_suspects table;
  struct pl_network *network;
  struct pl_solution *healthy;
};

static bool prepare(struct run *run, const char *path) {
  pl_arena_init(&run->arena, no_memory, NULL);
  pl_sources_init(&run->sources, &run->arena);
  pl_findings_init(&run->findings, &run->arena);
  pl_harness_init(&run->harness, &run->arena);
  if (!pl_build(path, &pl_reader_disk, &run->sources, &run->findings, &run->harness))
    return false;
  run->network = pl_network_new(&run->harness, &run->arena);
  run->healthy = PL_NEW_ARRAY(&run->arena, struct pl_solution, run->harness.states.n);
  for (pl_id s = 0; s < run->harness.states.n; s++)
    pl_network_solve(run->network, s, &run->healthy[s], NULL);
  double start = bench_seconds();
  pl_suspects_make(&run->harness, run->network, run->healthy, &run->arena, &run->table);
  printf("table: %u suspects, %u questions, %u answers, %.2f s\n",
         run->table.suspects.n,
         run->table.questions.n,
         run->table.entry_questions.n,
         bench_seconds() - start);
  return true;
}

static void print_score(const char *what, const struct bench_score *score) {
  unsigned tried = score->cases - score->silent, median = 0, sum = 0;

  while (median <= BENCH_MOST && 2 * (sum += score->settled[median]) < tried)
    median++;
  printf("%s: %u faults, %u without a symptom in any declared state, %u tried; %.1f readings and "
         "%.0f minutes each, median %u until right for good\n",
         what,
         score->cases,
         score->silent,
         tried,
         (double)score->asked / tried,
         score->minutes / tried,
         median);
  printf("  right after 0..%d readings:", BENCH_MOST);
  for (int k = 0; k <= BENCH_MOST; k++)
    printf(" %.1f %%", 100.0 * score->right[k] / tried);
  printf("\n  certain within 5, 8, %d readings: %u, %u, %u; of a wrong fault %u; an answer takes "
         "%.1f ms, at most %.1f ms\n",
         BENCH_LONG,
         score->certain[BENCH_MOST],
         score->certain[8],
         score->certain[BENCH_LONG],
         score->certain_wrong,
         1000 * score->took / score->answers,
         1000 * score->took_most);
}

int main(int argc, char **argv) {
  static struct run run;
  static struct bench_score one_load, whole_state, wrong;
  static struct half_score half;
  uint64_t seed = 20240229;
  unsigned every = argc > 2 ? (unsigned)atoi(argv[2]) : 1;
  const char *only = argc > 4 ? argv[4] : "";
  bool misses = strcmp(only, "misses") == 0, only_wrong = strcmp(only, "wrong") == 0,
       only_score = strcmp(only, "score") == 0;
  unsigned seeds = argc > 5 ? (unsigned)atoi(argv[5]) : 1;

  if (argc < 2 || every == 0)
    return fputs("usage: suspects FILE [EVERY [FROM [misses|score|wrong [SEEDS]]]]\n", stderr), 2;
  if (!prepare(&run, argv[1]))
    return 2;
  if (only_score)
    one_load.most = whole_state.most = BENCH_MOST;
  for (uint32_t s = argc > 3 ? (uint32_t)atoi(argv[3]) : 0; s < run.table.suspects.n; s += every) {
    struct pl_arena one;
    uint32_t look = PL_NONE, load;
    if (run.table.suspects.at[s].kind != PL_SUSPECT_FAULT)
      continue;
    pl_arena_init(&one, no_memory, NULL);
    struct bench_truth truth = {.table = &run.table,
                                .harness = &run.harness,
                                .healthy = run.healthy,
                                .suspect = s};
    bench_truth_make(&truth, &one);
    load = bench_symptom(&truth, &look);
    one_load.cases++, whole_state.cases++, wrong.cases++;
    if (load == PL_NONE) {
      one_load.silent++, whole_state.silent++, wrong.silent++;
    } else {
      if (!only_wrong) {
        bench_try(&truth,
                  look,
                  &one,
                  &seed,
                  0,
                  &whole_state,
                  misses || only_score ? "whole state" : NULL);
        bench_try(&truth,
                  load,
                  &one,
                  &seed,
                  0,
                  &one_load,
                  misses || only_score ? "one load" : NULL);
        half_split(&truth, run.network, load, &half);
      }
      wrong.cases += seeds - 1;
      for (unsigned i = 0; i < seeds && !only_score; i++)
        bench_try(&truth, look, &one, &seed, 3, &wrong, only_wrong ? "wrong readings" : NULL);
    }
    pl_arena_release(&one);
  }
  if (!only_wrong) {
    print_score("told all that is wrong in the first state", &whole_state);
    print_score("told one load only", &one_load);
    print_half(&half);
  }
  if (!only_score)
    print_score("three wrong readings first", &wrong);
  pl_network_release(run.network);
  return 0;
}
