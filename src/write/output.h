/* What goes to the user's folder, made in memory: names and bytes.  The command writes the files.
 */
#ifndef PL_OUT_OUTPUT_H
#define PL_OUT_OUTPUT_H

#include "draw/scene.h"
#include "sheet/sheet.h"
#include "suspect/suspects.h"

struct pl_output {
  const char *name;
  const char *bytes;
  size_t size;
}; /* name: "csv/wires.csv", with '/' only */
typedef PL_VEC(struct pl_output) pl_outputs;

struct pl_output_inputs {
  const struct pl_harness *harness;
  struct pl_network *network;          /* NULL: not solved */
  const struct pl_solution *solutions; /* one for each state, in order; NULL: not solved */
  const struct pl_findings *findings;  /* NULL: not checked */
  const struct pl_sources *sources;    /* NULL: findings without places in the text */
  const struct pl_solution
      *shown;             /* the state whose volts and amps the circuits show; NULL: none */
  bool full_length;       /* of the assembly board: no run shortened */
  struct pl_proof *proof; /* NULL: made when a sheet asks for it */
  const struct pl_suspects *suspects; /* for the shop page; NULL: it is without suspects */
  const bool *sections; /* of the book and its tables, by row of pl_sections; NULL: all */
  void (*progress)(void *context,
                   uint32_t section); /* NULL, or told as the sheets of each section begin */
  void *progress_context;
};

/* All drawings: power.svg, circuit-*.svg, connector-*.svg. */
void pl_output_drawings(const struct pl_output_inputs *in,
                        struct pl_arena *arena,
                        pl_outputs *outputs);

/* tables.html, all tables to print, and csv/NAME.csv for each. */
void pl_output_tables(const struct pl_output_inputs *in,
                      struct pl_arena *arena,
                      pl_outputs *outputs);

/* book.html, the printed set in the order of the work; csv/NAME.csv for each of its tables; all
 * drawings; index.html. */
void pl_output_book(const struct pl_output_inputs *in, struct pl_arena *arena, pl_outputs *outputs);

/* The tables of the chosen sections, with the names that their files get. */
void pl_output_sheets(const struct pl_output_inputs *in, struct pl_arena *arena, pl_sheets *sheets);
/* All drawings but the labels, which are made from their table. */
void pl_output_scenes(const struct pl_output_inputs *in, struct pl_arena *arena, pl_scenes *scenes);

#endif
