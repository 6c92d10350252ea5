/* What goes to the user's folder, made in memory: names and bytes.  The command writes the files. */
#ifndef PL_OUT_OUTPUT_H
#define PL_OUT_OUTPUT_H

#include "draw/scene.h"
#include "sheet/sheet.h"

struct pl_output {
  const char *name;
  const char *bytes;
  size_t size;
}; /* name: "csv/wires.csv", with '/' only */
typedef PL_VEC(struct pl_output) pl_outputs;

struct pl_output_inputs {
  const struct pl_harness *harness;
  const struct pl_network *network;    /* NULL: not solved */
  const struct pl_solution *solutions; /* one for each state, in order; NULL: not solved */
  const struct pl_findings *findings;  /* NULL: not checked */
  const struct pl_sources *sources;    /* NULL: findings without places in the text */
  struct pl_proof *proof;              /* NULL: without the sheet of defeated requirements */
};

/* All drawings: power.svg, circuit-*.svg, connector-*.svg. */
void pl_output_drawings(const struct pl_output_inputs *in, struct pl_arena *arena, pl_outputs *outputs);

/* tables.html, one printable page with everything in it, and csv/NAME.csv for each sheet. */
void pl_output_tables(const struct pl_output_inputs *in, struct pl_arena *arena, pl_outputs *outputs);

/* Drawings, tables and index.html. */
void pl_output_book(const struct pl_output_inputs *in, struct pl_arena *arena, pl_outputs *outputs);

/* The sheets with their names: `file` of every one and `drawing` of connectors. */
void pl_output_sheets(const struct pl_output_inputs *in, struct pl_arena *arena, pl_sheets *sheets);

#endif
