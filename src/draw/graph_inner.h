/* Places for boxes joined by feeders, from left to right: which column each stands in and how high.
 * Millimetres, y downward.  The same input gives the same places, whatever the locale. */
#ifndef PL_DRAW_GRAPH_H
#define PL_DRAW_GRAPH_H

#include <stdbool.h>

#include "base/arena.h"

struct pl_graph_node {
  double width, height;
  uint32_t column; /* out: from 0, left to right */
  double y;        /* out: middle of the box; the uppermost box begins at 0 */
};

struct pl_graph_edge {
  uint32_t from, to;
};

/* What does not hang together stands one below the other.  Edges of one node keep their order, the
 * first above.  `gap` is left between boxes of one column.  False when it was not Graphviz that did
 * it (more than 250 boxes, edges in a circle, its library is not there): then columns by the
 * longest way and boxes in the order given, good enough to be read. */
bool pl_graph_lay(struct pl_graph_node *nodes,
                  uint32_t node_count,
                  const struct pl_graph_edge *edges,
                  uint32_t edge_count,
                  double gap,
                  struct pl_arena *arena);

#endif
