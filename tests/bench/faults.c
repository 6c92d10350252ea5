/* faults FILE [REPEATS]: open, high resistance, short to chassis and short to battery on every wire
 * of a harness, in every state, by the fast way. Prints processor time (median of the repeats), how
 * many faults were solved in full, and peak memory.  A measuring tool for the bench. */
#include <setjmp.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>

#include "fault/fault.h"
#include "model/build.h"

static void no_memory(void *context) {
  longjmp(*(jmp_buf *)context, 1);
}

static double seconds(void) {
  struct rusage usage;
  getrusage(RUSAGE_SELF, &usage);
  return (double)usage.ru_utime.tv_sec + (double)usage.ru_utime.tv_usec / 1e6;
}

static int by_value(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

struct counts {
  unsigned faults, in_full, unsolved;
};

static void count(void *context, const struct pl_fault_view *view) {
  struct counts *counts = context;
  counts->faults++;
  counts->in_full += view->in_full;
  counts->unsolved += view->status != PL_SOLVED;
}

int main(int argc, char **argv) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  pl_faults all, wires = {NULL, 0, 0};
  jmp_buf back;
  struct counts counts = {0};
  static double took[1000];
  int repeats = argc > 2 ? atoi(argv[2]) : 5;

  if (argc < 2 || repeats < 1 || repeats > 1000) {
    fputs("usage: faults FILE [REPEATS]\n", stderr);
    return 2;
  }
  if (setjmp(back) != 0)
    return 3;
  pl_arena_init(&arena, no_memory, &back);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_harness_init(&harness, &arena);
  if (!pl_build(argv[1], &pl_reader_disk, &sources, &findings, &harness))
    return 2;
  pl_faults_list(&harness, &arena, &all);
  for (uint32_t i = 0; i < all.n; i++)
    if (all.at[i].wire != PL_NONE)
      PL_PUSH(&arena, &wires, all.at[i]);
  struct pl_network *network = pl_network_new(&harness, &arena);
  for (int i = 0; i < repeats; i++) {
    double start = seconds();
    counts = (struct counts){0};
    for (pl_id state = 0; state < harness.states.n; state++)
      pl_network_sweep(network, state, wires.at, wires.n, count, &counts);
    took[i] = seconds() - start;
  }
  qsort(took, (size_t)repeats, sizeof *took, by_value);
  struct rusage usage;
  getrusage(RUSAGE_SELF, &usage);
  printf("%u wires, %u states, %u faults: %.2f s of processor time, %.0f microseconds each; %u in "
         "full, %u not solved; %.0f MB\n",
         harness.wires.n,
         harness.states.n,
         counts.faults,
         took[repeats / 2],
         took[repeats / 2] / counts.faults * 1e6,
         counts.in_full,
         counts.unsolved,
         (double)usage.ru_maxrss / 1024.0);
  pl_network_release(network);
  pl_arena_release(&arena);
  return 0;
}
