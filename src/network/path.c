/* Ways through a solved network: from a pin against or along the current to the source that drives
 * it.  Solves nothing. */
#include <math.h>

#include "network/network_inner.h"

static const double no_current = 1e-9; /* amps: less is nothing */

/* Amps that the element brings into the node (out of it when to_minus). */
static double brought(const struct pl_element *e, uint32_t node, bool to_minus) {
  double in = e->node_b == node ? e->amps : -e->amps;

  return to_minus ? -in : in;
}

static uint32_t strongest(const struct pl_network *network,
                          const struct pl_solution *solution,
                          uint32_t node,
                          bool to_minus) {
  uint32_t best = PL_NONE;
  double most = no_current;

  for (uint32_t i = network->touch_start[node]; i < network->touch_start[node + 1]; i++) {
    uint32_t k = network->touch[i];
    double amps = brought(&solution->elements[k], node, to_minus);
    if (!(amps > most))
      continue;
    most = amps;
    best = k;
  }
  return best;
}

/* Does the current come out of this source, seen from the node the walk is at? */
static bool is_giving(const struct pl_element *e) {
  return e->kind == PL_ELEMENT_SOURCE && e->amps < 0;
}

/* Walks until a source that gives; visits elements through `path` when it is not NULL.  Returns how
 * many, 0 when no current flows. */
static uint32_t walk(const struct pl_network *network,
                     const struct pl_solution *solution,
                     uint32_t node,
                     bool to_minus,
                     uint32_t *path,
                     uint32_t *last_node) {
  for (uint32_t n = 0; n < network->elements.n;
       n++) { /* volts rise with every element: it cannot come round, but trust no rounding */
    uint32_t k = strongest(network, solution, node, to_minus);
    if (k == PL_NONE)
      return 0;
    if (path != NULL)
      path[n] = k;
    if (is_giving(&solution->elements[k])) {
      *last_node = node;
      return n + 1;
    }
    if (solution->elements[k].node_a == node)
      node = solution->elements[k].node_b;
    else
      node = solution->elements[k].node_a;
  }
  return 0;
}

uint32_t pl_solution_path(const struct pl_network *network,
                          const struct pl_solution *solution,
                          pl_id pin,
                          bool to_minus,
                          struct pl_arena *arena,
                          uint32_t **path) {
  uint32_t node = pl_network_pin_node(network, pin);
  uint32_t last;
  uint32_t count;

  *path = NULL;
  if (solution->status != PL_SOLVED || node == PL_NONE)
    return 0;
  count = walk(network, solution, node, to_minus, NULL, &last);
  if (count == 0)
    return 0;
  *path = PL_NEW_ARRAY(arena, uint32_t, count);
  return walk(network, solution, node, to_minus, *path, &last);
}

uint32_t pl_path_end(const struct pl_network *network,
                     const struct pl_solution *solution,
                     pl_id pin,
                     bool to_minus) {
  uint32_t node = pl_network_pin_node(network, pin);
  uint32_t last;

  if (solution->status != PL_SOLVED || node == PL_NONE)
    return PL_NONE;
  if (walk(network, solution, node, to_minus, NULL, &last) == 0)
    return PL_NONE;
  return last;
}

double pl_solution_drop(const struct pl_network *network,
                        const struct pl_solution *solution,
                        pl_id plus,
                        pl_id minus) {
  uint32_t above = pl_path_end(network, solution, plus, false);
  uint32_t below = pl_path_end(network, solution, minus, true);
  const double *volts = solution->node_volts;

  if (above == PL_NONE || below == PL_NONE)
    return NAN;
  return volts[above] - volts[network->pin_node[plus]] + volts[network->pin_node[minus]] -
         volts[below];
}
