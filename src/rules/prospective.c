/* Prospective short-circuit currents by the fast way through single faults (network/fault.h), state
 * by state. */
#include "rules/prospective_inner.h"

#include <math.h>

#include "fault/fault.h"
#include "rules/facts_inner.h"
#include "standard/defaults.h"

/* A declared state, engine stopped if there is one, in which that pin is live. */
static pl_id live_state(const struct pl_check *check, pl_id pin) {
  const struct pl_harness *h = check->harness;
  pl_id found = PL_NONE;
  for (pl_id s = 0; s < h->states.n; s++) {
    const struct pl_solution *solution = &check->solutions[s];
    if (solution->status != PL_SOLVED)
      continue;
    if (!(fabs(solution->pin_volts[pin]) > 0.5 * h->machine.volts))
      continue;
    if (h->states.at[s].engine == PL_ENGINE_STOPPED)
      return s;
    if (found == PL_NONE)
      found = s;
  }
  return found;
}

struct asked {
  struct pl_prospect *prospects;
  const uint32_t *which;   /* of them, in the order of the faults */
  const uint32_t *element; /* by device: the fuse's own */
  uint32_t n;
};

static void take(void *context, const struct pl_fault_view *view) {
  struct asked *asked = context;
  struct pl_prospect *p = &asked->prospects[asked->which[asked->n++]];
  if (view->status == PL_SOLVED)
    p->amps = fabs(view->elements[asked->element[p->fuse]].amps);
}

static const uint32_t *elements_of(const struct pl_check *check, pl_id state) {
  const struct pl_solution *solution = &check->solutions[state];
  uint32_t *element = PL_BY_DEVICE(check, uint32_t);
  for (uint32_t k = solution->element_count; k-- > 0;)
    if (solution->elements[k].device != PL_NONE)
      element[solution->elements[k].device] = k;
  return element;
}

void pl_prospects_solve(const struct pl_check *check, struct pl_prospect *prospects, uint32_t n) {
  pl_id *state = pl_arena_alloc(check->arena, (size_t)n + 1, sizeof *state);
  struct pl_fault *faults = pl_arena_alloc(check->arena, (size_t)n + 1, sizeof *faults);
  uint32_t *which = pl_arena_alloc(check->arena, (size_t)n + 1, sizeof *which);
  for (uint32_t i = 0; i < n; i++) {
    state[i] = PL_NONE;
    if (prospects[i].known)
      continue;
    prospects[i].amps = pl_ways_short(check, prospects[i].plus, prospects[i].minus);
    if (prospects[i].fuse != PL_NONE)
      state[i] = live_state(check, prospects[i].plus);
  }
  for (pl_id s = 0; s < check->harness->states.n; s++) {
    uint32_t count = 0;
    for (uint32_t i = 0; i < n; i++) {
      if (state[i] != s)
        continue;
      which[count] = i;
      faults[count++] = (struct pl_fault){
          .kind = prospects[i].minus == PL_NONE ? PL_FAULT_TO_CHASSIS : PL_FAULT_SHORTED,
          .wire = PL_NONE,
          .device = PL_NONE,
          .pin_a = prospects[i].plus,
          .pin_b = prospects[i].minus,
          .ohms = PL_DEFAULT(LEAST)};
    }
    if (count == 0)
      continue;
    struct asked asked = {prospects, which, elements_of(check, s), 0};
    pl_network_sweep(check->network, s, faults, count, take, &asked);
  }
}

double pl_prospect_amps(const struct pl_check *check, pl_id plus, pl_id minus, pl_id fuse) {
  struct pl_prospect one = {plus, minus, fuse, 0, false};
  pl_prospects_solve(check, &one, 1);
  return one.amps;
}
