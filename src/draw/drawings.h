/* The drawings, but for the circuit pages (circuit/circuit.h).  Each call appends its pages. */
#ifndef PL_DRAW_DRAWINGS_H
#define PL_DRAW_DRAWINGS_H

#include "draw/scene.h"

/* One connector, wire side and mating side on one page. */
void pl_draw_connector(const struct pl_harness *harness,
                       pl_id connector,
                       struct pl_arena *arena,
                       pl_scenes *pages);
/* Its two faces alone, for the head of a table: beside each other or, when they are wide, above
 * each other.  False when it has no cavities. */
bool pl_draw_faces(const struct pl_harness *harness,
                   pl_id connector,
                   struct pl_arena *arena,
                   struct pl_scene *faces);
/* From battery and alternator to every fuse and what it feeds; without network and solutions (one
 * for each state; NULL) it shows no amps.  No page when there is no fuse. */
struct pl_network;
struct pl_solution;
void pl_draw_power(const struct pl_harness *harness,
                   const struct pl_network *network,
                   const struct pl_solution *solutions,
                   struct pl_arena *arena,
                   pl_scenes *pages);
/* Places and runs to scale, as a tree.  No page when there is no run. */
void pl_draw_plan(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages);
/* The assembly board, 1:1: a page with the map of its tiles, then a page for each tile.  `full`: no
 * run is shortened. */
void pl_draw_board(const struct pl_harness *harness,
                   bool full,
                   struct pl_arena *arena,
                   pl_scenes *pages);
/* Fuses and relays at each place, seen from the front: "panel-PLACE.svg", 190 mm wide and as high
 * as they need. */
void pl_draw_panels(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages);
/* The symbols and the wire colours that this machine uses: legend-symbols.svg, legend-colours.svg.
 */
void pl_draw_legend(const struct pl_harness *harness, struct pl_arena *arena, pl_scenes *pages);

#endif
