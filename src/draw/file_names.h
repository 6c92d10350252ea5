/* Names of the drawings' files, and of things inside them. */
#ifndef PL_DRAW_FILE_NAMES_H
#define PL_DRAW_FILE_NAMES_H

#include "harness/harness.h"

/* A name safe as file name and XML id: ASCII letters, digits, '-'; others escaped as _XX, '_'
 * itself as "__"; the empty name is "_"; two names never meet (but "k1" and "K1" do on file systems
 * that do not tell them apart: the files of pl_draw_* keep them apart with "_-2"). */
const char *pl_safe_name(struct pl_arena *arena, const char *name);

/* Files of the drawings: "circuit-starting.svg", page 2 of it "circuit-starting_-p2.svg";
 * "connector-ECM_-c-A.svg"; "power.svg", page 2 of it "power-p2.svg". */
const char *pl_circuit_file(struct pl_arena *arena,
                            const struct pl_harness *harness,
                            pl_id circuit,
                            uint32_t page);
const char *
pl_connector_file(struct pl_arena *arena, const struct pl_harness *harness, pl_id connector);
const char *pl_power_file(struct pl_arena *arena, uint32_t page);
const char *pl_plan_file(struct pl_arena *arena,
                         uint32_t page); /* "routing.svg", "routing-p2.svg" */
/* The map: "board.svg", "board_-p2.svg"; a place's tile: "board-PLACE.svg", more of it (part 1...)
 * "board-PLACE_-p2.svg". */
const char *pl_board_map_file(struct pl_arena *arena, uint32_t page);
const char *
pl_board_file(struct pl_arena *arena, const struct pl_harness *harness, pl_id place, uint32_t part);

#endif
