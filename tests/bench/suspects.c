/* suspects FILE [WRONG]: every single fault of a harness is simulated; the tool gets the symptom and then the readings it asks for, from a meter that is off
 * by up to 1 % + 10 mV (fixed seed).  Counts how soon the true fault, or one that no reading can tell from it, is first.  Half-splitting along the
 * circuit is done on the same cases.  With WRONG: so many of the readings are of a wrong pin.  A measuring tool for the bench. */
#include <stdio.h>
#include <sys/resource.h>

#include "bench/suspects.h"
#include "build/build.h"

static void no_memory(void *context) {
  (void)context;
  fputs("out of memory\n", stderr);
  _Exit(3);
}

static double seconds(void) {
  struct rusage usage;
  getrusage(RUSAGE_SELF, &usage);
  return (double)usage.ru_utime.tv_sec + (double)usage.ru_utime.tv_usec / 1e6;
}

enum { MOST = 5, WAYS = 8 };

struct score {
  unsigned cases, silent, right[MOST + 1], settled[MOST + 2], certain, certain_wrong, asked;
  double took, took_most;
  unsigned answers;
};

static bool is_first(const struct pl_suspects *table, const struct pl_verdict *verdict, uint32_t suspect) {
  return verdict->at[0].suspect == suspect || pl_weigh_alike(table, verdict->at[0].suspect, suspect);
}

/* A reading of another pin taken for this one. */
static bool read_wrongly(const struct bench_truth *truth, uint32_t question, uint64_t *seed, struct pl_evidence *e) {
  const struct pl_suspects *table = truth->table;
  for (int i = 0; i < 100; i++) {
    uint32_t other = (uint32_t)(bench_random(seed) * table->questions.n);
    if (table->questions.at[other].ask != table->questions.at[question].ask || !bench_read(truth, other, seed, e)) continue;
    e->question = question;
    return true;
  }
  return false;
}

static void try_case(const struct bench_truth *truth, uint32_t symptom, struct pl_arena *arena, uint64_t *seed, unsigned wrong, struct score *score, bool show) {
  const struct pl_suspects *table = truth->table;
  pl_evidences evidences = {0};
  struct pl_verdict verdict;
  struct pl_next next[WAYS];
  unsigned k, since = 0, most = MOST + wrong;
  bool was = false;

  bench_answer(truth, symptom, seed, &evidences, arena);
  for (k = 0;; k++) {
    double start = seconds();
    pl_weigh(table, &evidences, arena, &verdict);
    bool right = is_first(table, &verdict, truth->suspect);
    if (right && !was) since = k;
    was = right;
    if (k <= MOST) score->right[k] += right;
    uint32_t ways = k < most && !(verdict.certain && wrong == 0) ? pl_weigh_next(table, &evidences, &verdict, arena, WAYS, next) : 0;
    double took = seconds() - start;
    score->took += took;
    score->took_most = fmax(score->took_most, took);
    score->answers++;
    if (verdict.certain && wrong > 0 && k >= wrong && !right) score->certain_wrong++, ways = 0;
    if (ways == 0) break;
    struct pl_evidence e;
    uint32_t i = 0;
    if (k < wrong) {
      while (i < ways && !read_wrongly(truth, next[i].question, seed, &e)) i++;
      if (i < ways) PL_PUSH(arena, &evidences, e);
    } else {
      while (i < ways && !bench_answer(truth, next[i].question, seed, &evidences, arena)) i++;
    }
    if (i == ways) break;
    score->asked++;
  }
  for (unsigned j = k + 1; j <= MOST; j++) score->right[j] += was;
  score->settled[was && since <= MOST ? since : MOST + 1]++;
  score->certain += verdict.certain;
  if (wrong == 0 && verdict.certain && !was) score->certain_wrong++;
  if (show && !was) {
    printf("  missed: %s (said: %s)", table->suspects.at[truth->suspect].text, table->suspects.at[verdict.at[0].suspect].text);
    for (uint32_t i = 0; i < evidences.n; i++) {
      const struct pl_question *q = &table->questions.at[evidences.at[i].question];
      if (evidences.at[i].said == PL_SAID_SEEN) { printf(" [look %d %s]", q->ask, q->ask == PL_ASK_LOOK ? truth->harness->states.at[q->id].name : truth->harness->places.at[q->id].name); continue; }
      if (evidences.at[i].said == PL_SAID_RUNS && evidences.at[i].value == table->questions.at[evidences.at[i].question].healthy) continue;
      printf(" [%d %s %s %.3f]", q->ask, q->state == PL_NONE ? "" : truth->harness->states.at[q->state].name,
             q->ask == PL_ASK_VOLTS ? truth->harness->pins.at[q->id].full : q->ask == PL_ASK_WIRE ? truth->harness->wires.at[q->id].number : q->ask == PL_ASK_LEAK ? truth->harness->wires.at[q->id / 2].number : truth->harness->devices.at[q->id].name, evidences.at[i].value);
    }
    printf("\n");
  }
}

int main(int argc, char **argv) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_suspects table;
  struct score score = {0};
  uint64_t seed = 20240229;
  unsigned wrong = argc > 2 ? (unsigned)atoi(argv[2]) : 0;
  unsigned every = argc > 3 ? (unsigned)atoi(argv[3]) : 1;
  bool show = argc > 4;

  if (argc < 2) return fputs("usage: suspects FILE [WRONG]\n", stderr), 2;
  pl_arena_init(&arena, no_memory, NULL);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_harness_init(&harness, &arena);
  if (!pl_build(argv[1], &pl_reader_disk, &sources, &findings, &harness)) return 2;
  struct pl_network *network = pl_network_new(&harness, &arena);
  struct pl_solution *healthy = PL_NEW_ARRAY(&arena, struct pl_solution, harness.states.n);
  for (pl_id s = 0; s < harness.states.n; s++) pl_network_solve(network, s, &healthy[s], NULL);
  double start = seconds();
  pl_suspects_make(&harness, network, healthy, &arena, &table);
  printf("table: %u suspects, %u questions, %u answers, %.2f s\n", table.suspects.n, table.questions.n, table.entry_questions.n, seconds() - start);
  for (uint32_t s = 0; s < table.suspects.n; s += every) {
    struct pl_arena one;
    uint32_t look = PL_NONE, symptom;
    if (table.suspects.at[s].kind != PL_SUSPECT_FAULT) continue;
    pl_arena_init(&one, no_memory, NULL);
    struct bench_truth truth = {.table = &table, .harness = &harness, .healthy = healthy, .suspect = s};
    bench_truth_make(&truth, &one);
    score.cases++;
    symptom = bench_symptom(&truth, &look);
    if (symptom != PL_NONE)
      try_case(&truth, argc > 5 ? symptom : look, &one, &seed, wrong, &score, show);
    else
      score.silent++;
    pl_arena_release(&one);
  }
  unsigned tried = score.cases - score.silent;
  printf("%u faults, %u without a symptom in any declared state, %u tried; %.1f readings asked on average\n", score.cases, score.silent, tried, (double)score.asked / tried);
  for (int k = 0; k <= MOST; k++) printf("  first after %d readings: %u (%.1f %%)\n", k, score.right[k], 100.0 * score.right[k] / tried);
  for (int k = 0; k <= MOST + 1; k++) printf("  first from reading %d on: %u\n", k, score.settled[k]);
  printf("  certain %u, certain of a wrong fault %u; an answer takes %.1f ms, at most %.1f ms\n", score.certain, score.certain_wrong, 1000 * score.took / score.answers, 1000 * score.took_most);
  return 0;
}
