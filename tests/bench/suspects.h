/* One fault as it would be met: what is true under it, from a full solution (not from the table that is tried), read with a noisy meter. */
#ifndef PL_BENCH_SUSPECTS_H
#define PL_BENCH_SUSPECTS_H

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "probe/weigh.h"
#include "standard/likely.h"

struct bench_truth {
  const struct pl_suspects *table;
  const struct pl_harness *harness;
  const struct pl_solution *healthy;
  struct pl_solution *states;     /* under the fault, blown fuses open */
  uint32_t suspect;
};

static inline double bench_random(uint64_t *seed) {  /* 0..1: Knuth's MMIX generator */
  *seed = *seed * 6364136223846793005u + 1442695040888963407u;
  return (double)(*seed >> 11) / 9007199254740992.0;
}

/* The fuses that the table says are blown are opened in a copy of the model; the rest is solved in full. */
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
    if (q != PL_NONE && !itself && pl_suspects_answer(table, suspect->first, q) == 1) copy.devices.at[id].ohms = 1e9;
  }
  struct pl_network *network = pl_network_new(&copy, arena);
  truth->states = PL_NEW_ARRAY(arena, struct pl_solution, h->states.n);
  for (pl_id s = 0; s < h->states.n; s++) pl_network_solve_fault(network, &h->states.at[s], &suspect->fault, &truth->states[s]);
  pl_network_release(network);
}

static inline int bench_runs(const struct bench_truth *truth, const struct pl_solution *solution, pl_id id) {
  const struct pl_device *d = &truth->harness->devices.at[id];

  if (!pl_kind_is_load(d->kind)) return solution->device_on[id] ? 2 : 0;
  double amps = 0, rated = d->load_amps;
  for (uint32_t k = 0; k < solution->element_count; k++) {
    const struct pl_element *e = &solution->elements[k];
    if (e->device != id || strcmp(e->what, "load") != 0) continue;
    amps = fabs(e->amps);
    if (!(rated > 0)) rated = (d->volts > 0 ? d->volts : truth->harness->machine.volts) / e->ohms;
    break;
  }
  return amps >= PL_LIKELY(RUNS) * rated ? 2 : amps >= PL_LIKELY(WEAKLY) * rated ? 1 : 0;
}

/* What the meter, eye or finger finds; false: cannot be said (a state without solution). */
static inline bool bench_read(const struct bench_truth *truth, uint32_t question, uint64_t *seed, struct pl_evidence *e) {
  const struct pl_suspects *table = truth->table;
  const struct pl_question *q = &table->questions.at[question];
  static const enum pl_said said[PL_ASK_COUNT] = {PL_SAID_VOLTS, PL_SAID_RUNS, PL_SAID_WARM, PL_SAID_SEEN, PL_SAID_FUSE, PL_SAID_SEEN, PL_SAID_FOUND, PL_SAID_FOUND, PL_SAID_OHMS, PL_SAID_OHMS,
                                                     PL_SAID_OHMS};
  double noise = 2 * bench_random(seed) - 1;

  *e = (struct pl_evidence){.said = said[q->ask], .question = question, .other = PL_NONE, .text = ""};
  if (q->state != PL_NONE && truth->states[q->state].status != PL_SOLVED) return false;
  if (q->ask == PL_ASK_VOLTS) {
    double volts = truth->states[q->state].pin_volts[q->id];
    if (isnan(volts)) volts = 0;
    e->value = volts + noise * (PL_LIKELY(METER_SHARE) * fabs(volts) + PL_LIKELY(METER_LEAST));
  } else if (q->ask == PL_ASK_RUNS) {
    e->value = bench_runs(truth, &truth->states[q->state], q->id);
  } else if (q->ask == PL_ASK_WARM || q->ask == PL_ASK_FUSE || q->ask == PL_ASK_REFIT || q->ask == PL_ASK_SEARCH) {
    e->value = pl_suspects_answer(table, table->suspects.at[truth->suspect].first, question);
    if (e->value < 0) return false;
  } else if (q->ask == PL_ASK_LOOK || q->ask == PL_ASK_PANEL) {
    e->value = 0;
  } else {
    double decades = pl_suspects_answer(table, table->suspects.at[truth->suspect].first, question) / 1000.0;
    e->value = pow(10, decades) >= PL_LIKELY(OPEN_OHMS) ? INFINITY : fmax(0, (pow(10, decades) - PL_LIKELY(LEADS)) * (1 + 0.01 * noise));
  }
  return true;
}

/* The answer to a question as evidence; a look brings one for each thing seen. */
static inline bool bench_answer(const struct bench_truth *truth, uint32_t question, uint64_t *seed, pl_evidences *evidences, struct pl_arena *arena) {
  const struct pl_suspects *table = truth->table;
  struct pl_evidence e;

  if (!bench_read(truth, question, seed, &e)) return false;
  PL_PUSH(arena, evidences, e);
  for (uint32_t q = 0; q < table->questions.n && e.said == PL_SAID_SEEN; q++) {
    struct pl_evidence part;
    if (pl_suspects_is_seen(table, question, q) && bench_read(truth, q, seed, &part)) PL_PUSH(arena, evidences, part);
  }
  return true;
}

/* What is noticed first, in the order of states and text: a load that does not do what it should.  Relays and modules are not looked at.
 * PL_NONE: nothing in any state.  Returns the question of that load; *look: of all that is seen in that state. */
static inline uint32_t bench_symptom(const struct bench_truth *truth, uint32_t *look) {
  for (pl_id s = 0; s < truth->harness->states.n; s++)
    for (pl_id id = 0; id < truth->harness->devices.n; id++) {
      enum pl_kind kind = truth->harness->devices.at[id].kind;
      uint32_t q = pl_suspects_question(truth->table, PL_ASK_RUNS, s, id);
      if (q == PL_NONE || (!pl_kind_is_load(kind) && kind != PL_KIND_STARTER)) continue;
      if (truth->states[s].status != PL_SOLVED || truth->healthy[s].status != PL_SOLVED) continue;
      if (bench_runs(truth, &truth->states[s], id) == bench_runs(truth, &truth->healthy[s], id)) continue;
      *look = pl_suspects_question(truth->table, PL_ASK_LOOK, PL_NONE, s);
      return q;
    }
  return PL_NONE;
}

#endif
