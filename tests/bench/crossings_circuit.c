/* crossings FILE: for each circuit page how many wires cross as Pinloom lays it out, and as plain
 * `dot` lays out the same symbols and wires with orthogonal splines: symbols as boxes of the same
 * size, supply lines above, ground below, wires free to meet a symbol anywhere on its edge.  What
 * lies on each other in dot's drawing is told apart; our wires over supply lines are left out,
 * since dot has no such lines.  Figures for people, never a test. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "circuit/page_inner.h"
#include "model/build.h"

enum {
  MOST_POINTS = 400,
  MOST_EDGES = 4000
};

struct edge {
  struct pl_mm points[MOST_POINTS];
  uint32_t n;
};

struct bench {
  const char *folder;
  uint32_t pages, ours, theirs, along, edges, fewer, more;
  struct edge *list;
};

static void write_graph(const struct pl_page *page, FILE *out) {
  fprintf(out,
          "digraph g { graph [splines=ortho nodesep=0.2 ranksep=0.4]; node [shape=box "
          "fixedsize=true label=\"\"]; "
          "edge [arrowhead=none];\n");
  for (uint32_t i = 0; i < page->parts.n; i++) {
    const struct pl_part *part = &page->parts.at[i];
    fprintf(out,
            "n%u [width=%.3f height=%.3f];\n",
            i,
            fmax(part->x2 - part->x1, 2) / 25.4,
            fmax(part->y2 - part->y1, 2) / 25.4);
  }
  for (int side = 0; side < 2; side++) {
    fprintf(out, "{ rank=%s;", side == 0 ? "min" : "max");
    for (uint32_t i = 0; i < page->parts.n; i++)
      if (page->parts.at[i].symbol == (side == 0 ? PL_SYM_RAIL : PL_SYM_EARTH))
        fprintf(out, " n%u;", i);
    fprintf(out, " }\n");
  }
  for (uint32_t e = 0; e < page->edges.n; e++)
    fprintf(out,
            "n%u -> n%u;\n",
            page->spots.at[page->edges.at[e].spot[0]].part,
            page->spots.at[page->edges.at[e].spot[1]].part);
  fprintf(out, "}\n");
}

/* `edge TAIL HEAD N X1 Y1 ...` of the plain format: every third point of a spline is on the line.
 */
static uint32_t read_plain(FILE *in, struct edge *edges) {
  static char line[200000];
  uint32_t n = 0;
  while (fgets(line, sizeof line, in) != NULL && n < MOST_EDGES) {
    unsigned count;
    int used;
    if (sscanf(line, "edge %*s %*s %u%n", &count, &used) != 1)
      continue;
    struct edge *edge = &edges[n++];
    edge->n = 0;
    const char *at = line + used;
    for (unsigned i = 0; i < count; i++) {
      char *end;
      double x = strtod(at, &end) * 25.4, y = strtod(end, &end) * 25.4;
      at = end;
      if (i % 3 == 0 && edge->n < MOST_POINTS)
        edge->points[edge->n++] = (struct pl_mm){x, y};
    }
  }
  return n;
}

static void
compare(const struct edge *a, const struct edge *b, uint32_t *crossings, uint32_t *along) {
  const double near = 0.05;
  for (uint32_t i = 0; i + 1 < a->n; i++)
    for (uint32_t k = 0; k + 1 < b->n; k++) {
      struct pl_mm p = a->points[i], q = a->points[i + 1], r = b->points[k], s = b->points[k + 1];
      bool up = fabs(p.x - q.x) < near, up2 = fabs(r.x - s.x) < near;
      if (up == up2) {
        double apart = up ? fabs(p.x - r.x) : fabs(p.y - r.y);
        double from =
            up ? fmax(fmin(p.y, q.y), fmin(r.y, s.y)) : fmax(fmin(p.x, q.x), fmin(r.x, s.x));
        double to =
            up ? fmin(fmax(p.y, q.y), fmax(r.y, s.y)) : fmin(fmax(p.x, q.x), fmax(r.x, s.x));
        *along += apart < near && to - from > 1;
        continue;
      }
      double x = up ? p.x : r.x, y = up ? r.y : p.y;
      double left = up ? fmin(r.x, s.x) : fmin(p.x, q.x),
             right = up ? fmax(r.x, s.x) : fmax(p.x, q.x);
      double low = up ? fmin(p.y, q.y) : fmin(r.y, s.y),
             high = up ? fmax(p.y, q.y) : fmax(r.y, s.y);
      *crossings += x > left + near && x < right - near && y > low + near && y < high - near;
    }
}

static void look(void *context, const struct pl_page *page, const char *title) {
  struct bench *bench = context;
  char path[500], command[600];
  snprintf(path, sizeof path, "%s/page.dot", bench->folder);
  FILE *out = fopen(path, "w");
  if (out == NULL)
    return;
  write_graph(page, out);
  fclose(out);
  snprintf(command, sizeof command, "dot -Tplain '%s' 2>/dev/null", path);
  FILE *in = popen(command, "r");
  if (in == NULL)
    return;
  uint32_t n = read_plain(in, bench->list), theirs = 0, along = 0,
           ours = pl_page_crossings(page, false);
  pclose(in);
  for (uint32_t i = 0; i < n; i++)
    for (uint32_t k = 0; k < i; k++)
      compare(&bench->list[i], &bench->list[k], &theirs, &along);
  printf("  %-44.44s page %u: %3u wires, crossings %3u, dot %3u and %3u lying on each other\n",
         title,
         page->number,
         page->edges.n,
         ours,
         theirs,
         along);
  bench->pages++;
  bench->ours += ours;
  bench->theirs += theirs;
  bench->along += along;
  bench->edges += page->edges.n;
  bench->fewer += ours < theirs;
  bench->more += ours > theirs;
}

static void out_of_memory(void *context) {
  (void)context;
  fprintf(stderr, "out of memory\n");
  exit(3);
}

int main(int argc, char **argv) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  if (argc != 3) {
    fprintf(stderr, "usage: crossings FILE FOLDER-FOR-SCRATCH\n");
    return 2;
  }
  pl_arena_init(&arena, out_of_memory, NULL);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_harness_init(&harness, &arena);
  if (!pl_build(argv[1], &pl_reader_disk, &sources, &findings, &harness))
    return 2;
  struct bench bench = {.folder = argv[2], .list = PL_NEW_ARRAY(&arena, struct edge, MOST_EDGES)};
  pl_circuits_look(&harness, &arena, look, &bench);
  printf("  all: %u pages, %u wires, crossings %u, dot %u and %u lying on each other; fewer than "
         "dot on %u pages, more "
         "on %u\n",
         bench.pages,
         bench.edges,
         bench.ours,
         bench.theirs,
         bench.along,
         bench.fewer,
         bench.more);
  pl_arena_release(&arena);
  return 0;
}
