/* Graphviz as a library: its layered layout in this process, asked for columns and heights only.
 * Sizes go in as whole millimetres, one for each of its inches, so that no decimal point meets a
 * locale.  Nothing of it lives on. */
#include "draw/graph_inner.h"

#include <graphviz/gvc.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>

#include "base/library.h"

#define UNIT 72.0 /* Graphviz counts in points of its inches */
enum {
  MOST = 250
}; /* more boxes than that would keep its layout busy for seconds */

/* The layout is named here, so that no list of plugins is read, no font system started. */
extern gvplugin_library_t gvplugin_dot_layout_LTX_library;

/* clang-format off */
#define NAMES(X)                                                                     \
  X(Agdirected)                                                                      \
  X(agclose)                                                                         \
  X(agedge)                                                                          \
  X(agnode) X(agopen) X(agsafeset) X(agseterrf) X(gvContextPlugins) X(gvFreeContext) \
      X(gvFreeLayout) X(gvLayout) X(gvplugin_dot_layout_LTX_library)
/* clang-format on */

struct library {
  NAMES(PL_LIBRARY_MEMBER)
};

static bool load(struct library *graphviz) {
#define NAME(name) PL_LIBRARY_NAME(struct library, name),
  static const struct pl_library_name names[] = {NAMES(NAME)};
  return pl_library_load(PL_LAYOUT_LIBRARY, names, sizeof names / sizeof names[0], graphviz);
}

/* ---- without it ---- */

/* Columns by the longest way; false when edges run in a circle. */
static bool find_columns(struct pl_graph_node *nodes,
                         uint32_t node_count,
                         const struct pl_graph_edge *edges,
                         uint32_t edge_count) {
  for (uint32_t i = 0; i < node_count; i++)
    nodes[i].column = 0;
  bool more = true;
  for (uint32_t round = 0; more && round < node_count; round++) {
    more = false;
    for (uint32_t e = 0; e < edge_count; e++) {
      uint32_t least = nodes[edges[e].from].column + 1;
      if (nodes[edges[e].to].column >= least)
        continue;
      more = true;
      if (least < node_count)
        nodes[edges[e].to].column = least;
    }
  }
  return !more;
}

static void
stack_columns(struct pl_graph_node *nodes, uint32_t node_count, double gap, double *bottom) {
  for (uint32_t i = 0; i < node_count; i++) {
    double *from = &bottom[nodes[i].column];
    nodes[i].y = *from + nodes[i].height / 2;
    *from += nodes[i].height + gap;
  }
}

/* ---- with Graphviz ---- */

static void
set_whole(const struct library *graphviz, void *object, const char *name, double value) {
  char text[24];
  snprintf(text, sizeof text, "%u", (unsigned)fmax(1, ceil(value)));
  graphviz->agsafeset(object, (char *)name, text, "");
}

static void
set_text(const struct library *graphviz, void *object, const char *name, const char *text) {
  graphviz->agsafeset(object, (char *)name, (char *)text, "");
}

static int keep_quiet(char *text) {
  (void)text;
  return 0;
}

struct piece {
  const struct library *graphviz;
  struct pl_graph_node *nodes;
  const struct pl_graph_edge *edges;
  uint32_t node_count, edge_count;
  const uint32_t *piece_of; /* by node */
  uint32_t number;
  Agnode_t **made; /* by node; NULL outside of this piece */
};

static Agraph_t *make_graph(const struct piece *piece, double gap) {
  const struct library *graphviz = piece->graphviz;
  Agraph_t *graph = graphviz->agopen((char *)"feeders", *graphviz->Agdirected, NULL);
  if (graph == NULL)
    return NULL;
  set_text(graphviz, graph, "rankdir", "LR");
  set_text(graphviz, graph, "ordering", "out");
  set_text(graphviz, graph, "splines", "");
  set_whole(graphviz, graph, "nodesep", gap);
  set_text(graphviz, graph, "ranksep", "4");
  for (uint32_t i = 0; i < piece->node_count; i++) {
    if (piece->piece_of[i] != piece->number)
      continue;
    Agnode_t *node = piece->made[i] = graphviz->agnode(graph, NULL, 1);
    set_text(graphviz, node, "label", ""); /* no text: no fonts are looked for */
    set_text(graphviz, node, "shape", "box");
    set_text(graphviz, node, "fixedsize", "true");
    set_whole(graphviz, node, "width", piece->nodes[i].width);
    set_whole(graphviz, node, "height", piece->nodes[i].height);
  }
  for (uint32_t e = 0; e < piece->edge_count; e++) {
    const struct pl_graph_edge *edge = &piece->edges[e];
    if (piece->piece_of[edge->from] == piece->number)
      graphviz->agedge(graph, piece->made[edge->from], piece->made[edge->to], NULL, 1);
  }
  return graph;
}

/* Its uppermost box begins at `from`; returns where the lowest ends. */
static double read_places(const struct piece *piece, double from) {
  int first = INT_MAX;
  double top = -INFINITY;
  double bottom = from;
  for (uint32_t i = 0; i < piece->node_count; i++) {
    if (piece->piece_of[i] != piece->number)
      continue;
    if (ND_rank(piece->made[i]) < first)
      first = ND_rank(piece->made[i]);
    top = fmax(top, ND_coord(piece->made[i]).y / UNIT + piece->nodes[i].height / 2);
  }
  for (uint32_t i = 0; i < piece->node_count; i++) {
    if (piece->piece_of[i] != piece->number)
      continue;
    struct pl_graph_node *node = &piece->nodes[i];
    node->column = (uint32_t)(ND_rank(piece->made[i]) - first);
    node->y = from + top - ND_coord(piece->made[i]).y / UNIT;
    bottom = fmax(bottom, node->y + node->height / 2);
  }
  return bottom;
}

static bool lay_piece(const struct piece *piece, double gap, double *from) {
  const struct library *graphviz = piece->graphviz;
  lt_symlist_t layouts[] = {
      {"gvplugin_dot_layout_LTX_library", graphviz->gvplugin_dot_layout_LTX_library},
      {NULL, NULL}};
  GVC_t *context = graphviz->gvContextPlugins(layouts, 0);
  Agraph_t *graph = NULL;
  if (context != NULL)
    graph = make_graph(piece, gap);
  bool laid = graph != NULL && graphviz->gvLayout(context, graph, "dot") == 0;
  if (laid) {
    *from = read_places(piece, *from) + gap;
    graphviz->gvFreeLayout(context, graph);
  }
  if (graph != NULL)
    graphviz->agclose(graph);
  if (context != NULL)
    graphviz->gvFreeContext(context);
  return laid;
}

/* Numbers what hangs together, in the order of the first box of each; returns how many pieces there
 * are. */
static uint32_t find_pieces(uint32_t node_count,
                            const struct pl_graph_edge *edges,
                            uint32_t edge_count,
                            uint32_t *piece_of) {
  uint32_t pieces = 0;
  for (uint32_t i = 0; i < node_count; i++)
    piece_of[i] = i;
  for (bool more = true; more;) {
    more = false;
    for (uint32_t e = 0; e < edge_count; e++) {
      uint32_t *a = &piece_of[edges[e].from];
      uint32_t *b = &piece_of[edges[e].to];
      more = more || *a != *b;
      if (*a < *b)
        *b = *a;
      else
        *a = *b;
    }
  }
  for (uint32_t i = 0; i < node_count; i++)
    piece_of[i] = piece_of[i] == i ? pieces++ : piece_of[piece_of[i]];
  return pieces;
}

bool pl_graph_lay(struct pl_graph_node *nodes,
                  uint32_t node_count,
                  const struct pl_graph_edge *edges,
                  uint32_t edge_count,
                  double gap,
                  struct pl_arena *arena) {
  if (node_count == 0)
    return true;
  /* all memory of ours before the first of theirs: when ours cannot be had, nothing of theirs is
   * left behind */
  double *bottom = PL_NEW_ARRAY(arena, double, node_count);
  double from = 0;
  uint32_t *piece_of = PL_NEW_ARRAY(arena, uint32_t, node_count);
  Agnode_t **made = PL_NEW_ARRAY(arena, Agnode_t *, node_count);
  struct library graphviz;
  bool laid =
      find_columns(nodes, node_count, edges, edge_count) && node_count <= MOST && load(&graphviz);
  if (laid) { /* a circle would cost its version 2.42 memory, too */
    uint32_t pieces = find_pieces(node_count, edges, edge_count, piece_of);
    agusererrf before = graphviz.agseterrf(keep_quiet);
    for (uint32_t i = 0; laid && i < pieces;
         i++) { /* one by one: of several at once it loses memory */
      struct piece piece = {&graphviz, nodes, edges, node_count, edge_count, piece_of, i, made};
      laid = lay_piece(&piece, gap, &from);
    }
    graphviz.agseterrf(before);
  }
  if (!laid)
    stack_columns(nodes, node_count, gap, bottom);
  return laid;
}
