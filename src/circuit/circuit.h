/* Current-path pages: each circuit from the supply at the top to ground at the bottom. */
#ifndef PL_CIRCUIT_CIRCUIT_H
#define PL_CIRCUIT_CIRCUIT_H

#include "draw/scene.h"

struct pl_solution;

/* Current-path pages of one circuit: usually one, more when it does not fit. */
void pl_draw_circuit(const struct pl_harness *harness,
                     pl_id circuit,
                     struct pl_arena *arena,
                     pl_scenes *pages);
/* All circuits and connectors of a harness and the legend, in a stable order; the circuits with the
 * volts and amps of a solved state.  NULL, or a state without a solution: without. */
void pl_draw_all_in(const struct pl_harness *harness,
                    const struct pl_solution *solution,
                    struct pl_arena *arena,
                    pl_scenes *pages);

#endif
