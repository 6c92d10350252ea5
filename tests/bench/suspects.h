/* One fault as it would be met: what is true under it, from a full solution (not from the table
 * that is tried), read with a noisy meter. */
#ifndef PL_BENCH_SUSPECTS_H
#define PL_BENCH_SUSPECTS_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

#include "standard/likely.h"
#include "suspect/weigh.h"

struct bench_truth {
  const struct pl_suspects *table;
  const struct pl_harness *harness;
  const struct pl_solution *healthy;
  struct pl_solution *states; /* under the fault, blown fuses open */
  uint32_t suspect;
};

static inline double bench_random(uint64_t *seed) { /* 0..1: Knuth's MMIX generator */
  *seed = *seed * 6364136223846793005u + 1442695040888963407u;
  return (double)(*seed >> 11) / 9007199254740992.0;
}

/* The fuses that the table says are blown are opened in a copy of the model; the rest is solved in
 * full. */
static inline void bench_truth_make(struct bench_truth *truth, struct pl_arena *arena) {
  const struct pl_suspects *table = truth->table;
  const struct pl_harness *h = truth->harness;
  struct pl_harness copy = *h;
  const struct pl_suspect *suspect = &table->suspects.at[truth->suspect];

  copy.devices.at = PL_NEW_ARRAY(arena, struct pl_device, h->devices.n);
  memcpy(copy.devices.at, h->devices.at, h->devices.n * sizeof *h->devices.at);
  for (pl_id id = 0; id < h->devices.n; id++) {
    uint32_t q = pl_suspects_question(table, PL_ASK_FUSE, PL_NONE, id);
    bool itself = suspect->fault.device == id;
    if (q != PL_NONE && !itself && pl_suspects_answer(table, suspect->first, q) == 1)
      copy.devices.at[id].ohms = 1e9;
  }
  struct pl_network *network = pl_network_new(&copy, arena);
  truth->states = PL_NEW_ARRAY(arena, struct pl_solution, h->states.n);
  for (pl_id s = 0; s < h->states.n; s++)
    pl_network_solve_fault(network, &h->states.at[s], &suspect->fault, &truth->states[s]);
  pl_network_release(network);
}

static inline int
bench_runs(const struct bench_truth *truth, const struct pl_solution *solution, pl_id id) {
  const struct pl_device *d = &truth->harness->devices.at[id];

  if (d->kind == PL_KIND_STARTER ? !solution->device_on[id] : !pl_kind_is_load(d->kind))
    return solution->device_on[id] ? 2 : 0;
  double amps = 0;
  double rated = d->kind == PL_KIND_STARTER && d->crank_amps > 0 ? d->crank_amps : d->load_amps;
  for (uint32_t k = 0; k < solution->element_count; k++) {
    const struct pl_element *e = &solution->elements[k];
    if (e->device != id || (strcmp(e->what, "load") != 0 && strcmp(e->what, "motor") != 0))
      continue;
    amps = fabs(e->amps);
    if (!(rated > 0))
      rated = (d->volts > 0 ? d->volts : truth->harness->machine.volts) / e->ohms;
    break;
  }
  return amps >= (d->kind == PL_KIND_STARTER ? PL_LIKELY(SLOW) : PL_LIKELY(RUNS)) * rated ? 2
         : amps >= PL_LIKELY(WEAKLY) * rated                                              ? 1
                                                                                          : 0;
}

/* What the meter, eye or finger finds; false: cannot be said (a state without solution). */
static inline bool bench_read(const struct bench_truth *truth,
                              uint32_t question,
                              uint64_t *seed,
                              struct pl_evidence *e) {
  const struct pl_suspects *table = truth->table;
  const struct pl_question *q = &table->questions.at[question];
  static const enum pl_said said[PL_ASK_COUNT] = {PL_SAID_VOLTS,
                                                  PL_SAID_RUNS,
                                                  PL_SAID_WARM,
                                                  PL_SAID_SEEN,
                                                  PL_SAID_FUSE,
                                                  PL_SAID_SEEN,
                                                  PL_SAID_FOUND,
                                                  PL_SAID_FOUND,
                                                  PL_SAID_OHMS,
                                                  PL_SAID_OHMS,
                                                  PL_SAID_OHMS,
                                                  PL_SAID_OHMS,
                                                  PL_SAID_LINK,
                                                  PL_SAID_NEEDLE};
  double noise = 2 * bench_random(seed) - 1;

  *e = (struct pl_evidence){.said = said[q->ask],
                            .question = question,
                            .other = PL_NONE,
                            .text = ""};
  if (q->state != PL_NONE && truth->states[q->state].status != PL_SOLVED)
    return false;
  if (q->ask == PL_ASK_VOLTS) {
    double volts = truth->states[q->state].pin_volts[q->id];
    if (isnan(volts))
      volts = 0;
    e->value = volts + noise * (PL_LIKELY(METER_SHARE) * fabs(volts) + PL_LIKELY(METER_LEAST));
  } else if (q->ask == PL_ASK_RUNS) {
    e->value = bench_runs(truth, &truth->states[q->state], q->id);
  } else if (q->ask == PL_ASK_GAUGE) {
    double ohms = pl_gauge_ohms(truth->harness, &truth->states[q->state], q->id);
    e->value =
        pl_suspects_needle(table, question, isnan(ohms) ? PL_ANSWER_OPEN : pl_suspects_ohms(ohms));
  } else if (q->ask == PL_ASK_LINK || q->ask == PL_ASK_WARM || q->ask == PL_ASK_FUSE ||
             q->ask == PL_ASK_REFIT || q->ask == PL_ASK_SEARCH) {
    e->value = pl_suspects_answer(table, table->suspects.at[truth->suspect].first, question);
    if (e->value < 0)
      return false;
  } else if (q->ask == PL_ASK_LOOK || q->ask == PL_ASK_PANEL) {
    e->value = 0;
  } else {
    double decades =
        pl_suspects_answer(table, table->suspects.at[truth->suspect].first, question) / 1000.0;
    e->value = pow(10, decades) >= PL_LIKELY(OPEN_OHMS)
                   ? INFINITY
                   : fmax(0, (pow(10, decades) - PL_LIKELY(LEADS)) * (1 + 0.01 * noise));
  }
  return true;
}

/* The answer to a question as evidence; a look brings one for each thing seen. */
static inline bool bench_answer(const struct bench_truth *truth,
                                uint32_t question,
                                uint64_t *seed,
                                pl_evidences *evidences,
                                struct pl_arena *arena) {
  const struct pl_suspects *table = truth->table;
  struct pl_evidence e;

  if (!bench_read(truth, question, seed, &e))
    return false;
  PL_PUSH(arena, evidences, e);
  for (uint32_t q = 0; q < table->questions.n && e.said == PL_SAID_SEEN; q++) {
    struct pl_evidence part;
    if (pl_suspects_is_seen(table, question, q) && bench_read(truth, q, seed, &part))
      PL_PUSH(arena, evidences, part);
  }
  return true;
}

/* What is noticed first, in the order of states and text: a load that does not do what it should.
 * Relays and modules are not looked at. PL_NONE: nothing in any state.  Returns the question of
 * that load; *look: of all that is seen in that state. */
static inline uint32_t bench_symptom(const struct bench_truth *truth, uint32_t *look) {
  for (pl_id s = 0; s < truth->harness->states.n; s++)
    for (pl_id id = 0; id < truth->harness->devices.n; id++) {
      enum pl_kind kind = truth->harness->devices.at[id].kind;
      uint32_t q = pl_suspects_question(truth->table, PL_ASK_RUNS, s, id);
      if (q == PL_NONE || (!pl_kind_is_load(kind) && kind != PL_KIND_STARTER))
        continue;
      if (truth->states[s].status != PL_SOLVED || truth->healthy[s].status != PL_SOLVED)
        continue;
      if (bench_runs(truth, &truth->states[s], id) == bench_runs(truth, &truth->healthy[s], id))
        continue;
      *look = pl_suspects_question(truth->table, PL_ASK_LOOK, PL_NONE, s);
      return q;
    }
  return PL_NONE;
}

/* ---- the search ---- */

static inline double bench_seconds(void) {
  struct rusage usage;
  getrusage(RUSAGE_SELF, &usage);
  return (double)usage.ru_utime.tv_sec + (double)usage.ru_utime.tv_usec / 1e6;
}

enum {
  BENCH_MOST = 5,
  BENCH_LONG = 12,
  BENCH_WAYS = 8
}; /* readings scored, and taken at most to be certain */

struct bench_score {
  unsigned most; /* readings taken at most; 0: BENCH_LONG */
  unsigned cases, silent, right[BENCH_MOST + 1], settled[BENCH_MOST + 2], certain[BENCH_LONG + 1],
      certain_wrong, asked;
  double took, took_most, minutes;
  unsigned answers;
};

static inline bool bench_is_first(const struct pl_suspects *table,
                                  const struct pl_verdict *verdict,
                                  uint32_t suspect) {
  return verdict->at[0].suspect == suspect ||
         pl_weigh_alike(table, verdict->at[0].suspect, suspect);
}

/* A reading of another pin taken for this one. */
static inline bool bench_read_wrongly(const struct bench_truth *truth,
                                      uint32_t question,
                                      uint64_t *seed,
                                      struct pl_evidence *e) {
  const struct pl_suspects *table = truth->table;
  for (int i = 0; i < 100; i++) {
    uint32_t other = (uint32_t)(bench_random(seed) * table->questions.n);
    if (table->questions.at[other].ask != table->questions.at[question].ask ||
        !bench_read(truth, other, seed, e))
      continue;
    e->question = question;
    return true;
  }
  return false;
}

/* What was read, and what the one said and the true one would show. */
static inline void bench_show(const char *show,
                              const struct bench_truth *truth,
                              const struct pl_verdict *verdict,
                              const pl_evidences *evidences,
                              struct pl_arena *arena) {
  const struct pl_suspects *table = truth->table;
  const struct pl_harness *h = truth->harness;
  uint32_t said = table->suspects.at[verdict->at[0].suspect].first;
  uint32_t real = table->suspects.at[truth->suspect].first;

  printf("  missed, %s: %s (prior %.2f), said: %s (prior %.2f, %.4f)\n",
         show,
         table->suspects.at[truth->suspect].text,
         table->suspects.at[truth->suspect].weight,
         table->suspects.at[verdict->at[0].suspect].text,
         table->suspects.at[verdict->at[0].suspect].weight,
         verdict->at[0].weight);
  for (uint32_t i = 0; i < evidences->n; i++) {
    const struct pl_evidence *e = &evidences->at[i];
    const struct pl_question *q = &table->questions.at[e->question];
    if (e->said == PL_SAID_RUNS && e->value == q->healthy)
      continue;
    printf("    %d %s %s: %.3f; said one %s%s, true one %s%s, healthy %s\n",
           q->ask,
           q->state == PL_NONE ? "" : h->states.at[q->state].name,
           q->ask == PL_ASK_VOLTS                              ? h->pins.at[q->id].full
           : q->ask == PL_ASK_WIRE                             ? h->wires.at[q->id].number
           : q->ask == PL_ASK_LEAK                             ? h->wires.at[q->id / 2].number
           : q->ask == PL_ASK_LOOK                             ? "look"
           : q->ask == PL_ASK_PANEL                            ? "panel"
           : q->ask == PL_ASK_BETWEEN || q->ask == PL_ASK_LINK ? "between"
                                                               : h->devices.at[q->id].name,
           e->value,
           pl_weigh_answer_text(table,
                                e->question,
                                pl_suspects_answer(table, said, e->question),
                                arena),
           pl_weigh_explains(table, said, e) ? "" : " (no)",
           pl_weigh_answer_text(table,
                                e->question,
                                pl_suspects_answer(table, real, e->question),
                                arena),
           pl_weigh_explains(table, real, e) ? "" : " (no)",
           pl_weigh_answer_text(table, e->question, q->healthy, arena));
  }
}

static inline void bench_try(const struct bench_truth *truth,
                             uint32_t symptom,
                             struct pl_arena *arena,
                             uint64_t *seed,
                             unsigned wrong,
                             struct bench_score *score,
                             const char *show) {
  const struct pl_suspects *table = truth->table;
  pl_evidences evidences = {0};
  struct pl_verdict verdict;
  struct pl_next next[BENCH_WAYS];
  unsigned k;
  unsigned since = 0;
  unsigned most = score->most > 0 ? score->most : BENCH_LONG;
  bool was = false;

  bench_answer(truth, symptom, seed, &evidences, arena);
  for (k = 0;; k++) {
    double start = bench_seconds();
    pl_weigh(table, &evidences, arena, &verdict);
    bool right = bench_is_first(table, &verdict, truth->suspect);
    if (right && !was)
      since = k;
    was = right;
    if (k <= BENCH_MOST)
      score->right[k] += right;
    uint32_t ways =
        k < most ? pl_weigh_next(table, &evidences, &verdict, arena, BENCH_WAYS, next) : 0;
    double took = bench_seconds() - start;
    score->took += took;
    score->took_most = fmax(score->took_most, took);
    score->answers++;
    if (ways == 0 || verdict.certain)
      break;
    struct pl_evidence e;
    uint32_t i = 0;
    if (k < wrong) {
      while (i < ways && !bench_read_wrongly(truth, next[i].question, seed, &e))
        i++;
      if (i < ways)
        PL_PUSH(arena, &evidences, e);
    } else {
      while (i < ways && !bench_answer(truth, next[i].question, seed, &evidences, arena))
        i++;
    }
    if (i == ways)
      break;
    if (k >= BENCH_MOST)
      continue;
    score->asked++;
    score->minutes += fmin(table->questions.at[next[i].question].effort, 60);
  }
  for (unsigned j = k + 1; j <= BENCH_MOST; j++)
    score->right[j] += was;
  score->settled[was && since <= BENCH_MOST ? since : BENCH_MOST + 1]++;
  for (unsigned j = k; j <= BENCH_LONG; j++)
    score->certain[j] += verdict.certain;
  score->certain_wrong += verdict.certain && !was;
  if (show != NULL && (wrong == 0 ? !was || since > BENCH_MOST : !was && verdict.certain))
    bench_show(show, truth, &verdict, &evidences, arena);
}

#endif
