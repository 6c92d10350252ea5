/* One fault asked for by itself: the shadow is broken, solved from rest and mended. */
#include "fault/shadow_inner.h"

static void solve_broken(struct pl_shadow *shadow,
                         const struct pl_state *state,
                         const struct pl_fault *fault,
                         struct pl_solution *solution) {
  pl_shadow_break(shadow, fault);
  pl_shadow_solve(shadow, state, solution);
  pl_shadow_mend(shadow);
}

void pl_network_ask_fault(struct pl_network *network,
                          const struct pl_state *state,
                          const struct pl_fault *fault,
                          struct pl_solution *solution) {
  struct pl_shadow *shadow = pl_sweep_shadow(network);

  pl_shadow_at_places(shadow);
  solve_broken(shadow, state, fault, solution);
}

void pl_network_solve_fault(struct pl_network *network,
                            const struct pl_state *state,
                            const struct pl_fault *fault,
                            struct pl_solution *solution) {
  struct pl_shadow *shadow = pl_sweep_shadow(network);

  *solution = (struct pl_solution){.state = PL_NONE};
  pl_shadow_warm(shadow, state);
  solve_broken(shadow, state, fault, solution);
}

struct pl_meter *pl_meter_new_fault(struct pl_network *network,
                                    const struct pl_fault *fault,
                                    struct pl_arena *arena) {
  struct pl_shadow *shadow = pl_sweep_shadow(network);

  pl_shadow_break(shadow, fault);
  struct pl_meter *meter = pl_meter_new(&shadow->network, NULL, NULL, arena);
  pl_shadow_mend(shadow);
  return meter;
}
