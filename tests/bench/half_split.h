/* The workshop's standard method, for comparison: from the dead load, volts at its plus; then
 * halves of the way to the source, or of its ground side; a dead relay contact leads on to the
 * relay's coil.  It ends at one piece.  Readings are exact. */
#ifndef PL_BENCH_HALF_SPLIT_H
#define PL_BENCH_HALF_SPLIT_H

#include <stdio.h>

#include "bench/suspects.h"

enum {
  HALF_MOST = 24
};
struct half_score {
  unsigned cases, fits, right, right_in_5, readings[HALF_MOST + 1];
};

struct half {
  const struct bench_truth *truth;
  struct pl_network *network;
  pl_id state;
  unsigned readings;
  pl_id wire, device; /* found */
  struct pl_arena arena;
};

/* Live where the healthy machine is live, by a lamp or meter: more than half of what should be
 * there. */
static inline bool half_live(struct half *h, pl_id pin) {
  double volts = h->truth->states[h->state].pin_volts[pin];

  h->readings++;
  return !isnan(volts) && volts > 0.5 * h->truth->harness->machine.volts;
}

/* The far pin of an element of the way, seen from the load. */
static inline pl_id
half_far(const struct pl_element *e, pl_id from, const struct pl_network *network) {
  return pl_network_pin_node(network, e->pin_a) == pl_network_pin_node(network, from) ? e->pin_b
                                                                                      : e->pin_a;
}

/* Points from the pin to the source; in points[0] the pin itself. */
static inline uint32_t
half_way(struct half *h, pl_id pin, bool to_minus, uint32_t **path, pl_id **points) {
  const struct pl_solution *healthy = &h->truth->healthy[h->state];
  uint32_t n = pl_solution_path(h->network, healthy, pin, to_minus, &h->arena, path);

  *points = PL_NEW_ARRAY(&h->arena, pl_id, n + 1);
  (*points)[0] = pin;
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_element *e = &healthy->elements[(*path)[i]];
    if (e->pin_a == PL_NONE || e->pin_b == PL_NONE)
      return i;
    (*points)[i + 1] = half_far(e, (*points)[i], h->network);
  }
  return n;
}

/* The piece between the last point that reads as near the load and the first that does not. */
static inline const struct pl_element *
half_search(struct half *h, const uint32_t *path, const pl_id *points, uint32_t n, bool near) {
  uint32_t low = 0, high = n;

  if (n == 0)
    return NULL;
  while (high - low > 1) {
    uint32_t middle = (low + high) / 2;
    if (half_live(h, points[middle]) == near)
      low = middle;
    else
      high = middle;
  }
  return &h->truth->healthy[h->state].elements[path[low]];
}

static inline void half_between(struct half *h, pl_id plus, pl_id minus, int depth) {
  uint32_t *path, n;
  pl_id *points;
  const struct pl_element *found;

  if (plus == PL_NONE || minus == PL_NONE)
    return;
  bool fed = half_live(h, plus), lifted = fed && half_live(h, minus);
  if (fed && !lifted) {
    h->device = h->truth->harness->pins.at[plus].device; /* both sides are good: the load itself */
    return;
  }
  n = half_way(h, fed ? minus : plus, fed, &path, &points);
  found = half_search(h, path, points, n, fed);
  if (found == NULL)
    return;
  h->wire = found->wire;
  h->device = found->device;
  if (found->device == PL_NONE || depth == 3)
    return;
  const struct pl_device *d = &h->truth->harness->devices.at[found->device];
  if (d->kind == PL_KIND_RELAY && h->truth->healthy[h->state].device_on[found->device])
    half_between(h, d->coil_a, d->coil_b, depth + 1);
}

static inline void half_split(const struct bench_truth *truth,
                              struct pl_network *network,
                              uint32_t question,
                              struct half_score *score) {
  const struct pl_question *q = &truth->table->questions.at[question];
  const struct pl_device *d = &truth->harness->devices.at[q->id];
  const struct pl_fault *fault = &truth->table->suspects.at[truth->suspect].fault;
  struct half h = {.truth = truth,
                   .network = network,
                   .state = q->state,
                   .wire = PL_NONE,
                   .device = PL_NONE};

  score->cases++;
  if (q->healthy != 2 || d->plus == PL_NONE || d->minus == PL_NONE)
    return; /* something runs that should not: nothing to split */
  score->fits++;
  pl_arena_init(&h.arena, truth->table->arena->on_oom, NULL);
  half_between(&h, d->plus, d->minus, 0);
  pl_arena_release(&h.arena);
  bool right = (fault->wire != PL_NONE && fault->wire == h.wire) ||
               (fault->device != PL_NONE && fault->device == h.device);
  score->right += right;
  score->right_in_5 += right && h.readings <= 5;
  if (right)
    score->readings[h.readings < HALF_MOST ? h.readings : HALF_MOST]++;
}

static inline void print_half(const struct half_score *score) {
  unsigned median = 0, sum = 0;

  while (median < HALF_MOST && 2 * (sum += score->readings[median]) < score->right)
    median++;
  printf("half-splitting on the same cases: %u of %u have a dead load to start from; right piece "
         "named in %u (%.1f %% of all), within 5 readings in %u (%.1f %%); median %u readings "
         "where right\n",
         score->fits,
         score->cases,
         score->right,
         100.0 * score->right / score->cases,
         score->right_in_5,
         100.0 * score->right_in_5 / score->cases,
         median);
}

#endif
