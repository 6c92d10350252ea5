/* What the files of this room share while one harness is built. */
#ifndef PL_MODEL_BUILDER_INNER_H
#define PL_MODEL_BUILDER_INNER_H

#include "base/nearest.h"
#include "model/build.h"
#include "text/cursor.h"

struct pl_item { /* a statement in the order of the text, includes opened in place */
  const struct pl_tree *tree;
  const struct pl_statement *statement;
  const struct pl_opening *opening;
  const struct pl_opening *kind; /* of a part that was read: what opens such a device */
  bool shipped;                  /* from the shipped parts */
  bool lost_lines; /* lines that describe it stand at the margin, and were reported there */
};

struct pl_unknown { /* a name that nothing declares: one error, however often it is used */
  uint32_t finding;
  uint32_t others, last_line; /* further lines that use it */
  struct pl_buffer lines;
};

struct pl_double {
  uint32_t finding;
  const char *pins;
}; /* a device whose name was taken: the error, and its pins as " in out " */

struct pl_fixup {
  pl_id device;
  const char *chassis;
  struct pl_span span;
}; /* `case on` and `to`, resolved when all devices are known */

struct pl_measuring {
  pl_id device;
  bool table;
  struct pl_span span;
}; /* what measures a quantity, and whether its figures have a unit kind */

struct pl_known_size {
  const char *figure, *unit;
  bool metric;
  double area;
  const char *text;
  double ohms_per_m;
}; /* of wires: "14" "AWG" */

struct pl_builder {
  struct pl_arena *arena;
  struct pl_sources *sources;
  struct pl_findings *findings;
  struct pl_harness *harness;
  const struct pl_reader *reader;
  PL_VEC(struct pl_item) items;
  PL_VEC(const char *) files;                /* paths read already, in order */
  PL_VEC(const char *) chain;                /* includes open now, outermost first */
  struct pl_table parts;                     /* name -> item */
  struct pl_table terminals, places, broken; /* broken: names whose statement had an error */
  PL_VEC(struct pl_fixup) fixups;
  struct pl_table unknown_names; /* "place cab" -> unknowns */
  PL_VEC(struct pl_unknown) unknowns;
  PL_VEC(struct pl_measuring) measuring;
  struct pl_draft *spare; /* of device.c: the lists of the last draft, to be used again */
  pl_id *touched;         /* by device: the circuit (plus one) that a wire joined it to last */
  PL_VEC(struct pl_double) doubled;
  PL_VEC(struct pl_known_size) sizes;
  bool lines_lost; /* some lines could not even be split into words: unknown names may have been on
                      them */
  bool machine_seen;
  struct pl_table machine_said; /* words of the lines of the machine that were read */
};

typedef void (*pl_statement_fn)(struct pl_builder *builder, struct pl_item *item);

enum pl_pass {
  PL_PASS_NONE,
  PL_PASS_FIRST,
  PL_PASS_DEVICES,
  PL_PASS_WIRES,
  PL_PASS_STATES
};

struct pl_opening { /* a word that opens a statement */
  const char *word;
  enum pl_pass pass;
  pl_statement_fn read;
  enum pl_kind kind; /* of devices */
  const char *example;
};

extern const struct pl_opening pl_openings[];
extern const uint32_t pl_opening_count;
const struct pl_opening *
pl_opening_match(const struct pl_cursor *cursor); /* looks at the first words; NULL */

/* A describing line of a statement: keyword and what reads the rest into `target`. */
struct pl_body_row {
  const char *word; /* one or more words */
  void (*read)(struct pl_builder *builder, struct pl_cursor *cursor, void *target);
  const char *example;
};

/* What the words at the cursor describe ("place", "relay, starter"); "" when they begin no
 * describing line. */
const char *pl_builder_describes(struct pl_builder *builder, const struct pl_cursor *cursor);

const char *pl_builder_describes_thing(
    const struct pl_cursor *cursor); /* the same for things that are no devices */

/* Reads every describing line by the table; unknown words get the nearest known one.  False when
 * one had an error. */
bool pl_builder_body(struct pl_builder *builder,
                     struct pl_item *item,
                     const struct pl_body_row *rows,
                     uint32_t count,
                     void *target);

void pl_builder_open(struct pl_builder *builder,
                     const struct pl_item *item,
                     uint32_t line,
                     const char *example,
                     struct pl_cursor *cursor);
void pl_builder_fault(struct pl_builder *builder,
                      struct pl_span span,
                      const char *rule,
                      const char *place,
                      const char *text,
                      const char *remedy);
void pl_builder_default(struct pl_builder *builder,
                        const char *what,
                        const char *value,
                        const char *source);

/* Number with unit for messages: "12 V". */
const char *pl_builder_quantity(struct pl_builder *builder, double value, const char *unit);

/* `names` offered for a wrong word: "did you mean X?" or "". */
const char *pl_builder_mean(struct pl_builder *builder, const struct pl_nearest *nearest);

/* Finders that report: PL_NONE after an error (silent when the name is broken). */
pl_id pl_builder_place(struct pl_builder *builder, struct pl_cursor *cursor);
pl_id pl_builder_device(struct pl_builder *builder,
                        struct pl_cursor *cursor,
                        const struct pl_word *word);
pl_id pl_builder_pin(struct pl_builder *builder,
                     struct pl_cursor *cursor,
                     const struct pl_word *word);
pl_id pl_builder_terminal(struct pl_builder *builder, struct pl_cursor *cursor, const char *name);

/* The circuit of that name, made when it is not there yet. */
pl_id pl_builder_circuit(struct pl_builder *builder, const char *name, struct pl_span span);

/* Adds to every error about an unknown name the other lines that use it. */
void pl_builder_unknowns(struct pl_builder *builder);

/* The end of an opening line: what is left over was meant as text without quotes or, where a device
 * has no place yet (`may_sit`), as a place without `at`. */
bool pl_builder_end(struct pl_builder *builder, struct pl_cursor *cursor, bool may_sit);

/* Statements, one function for each opening word or group of them. */
void pl_read_machine(struct pl_builder *builder, struct pl_item *item);
void pl_read_place(struct pl_builder *builder, struct pl_item *item);
void pl_read_run(struct pl_builder *builder, struct pl_item *item);
void pl_read_terminal(struct pl_builder *builder, struct pl_item *item);
void pl_read_part(struct pl_builder *builder, struct pl_item *item);
void pl_read_device(struct pl_builder *builder, struct pl_item *item);
void pl_read_circuit(struct pl_builder *builder, struct pl_item *item);
void pl_read_wires(struct pl_builder *builder, struct pl_item *item);
void pl_read_state(struct pl_builder *builder, struct pl_item *item);
void pl_read_require(struct pl_builder *builder, struct pl_item *item);
void pl_read_waive(struct pl_builder *builder, struct pl_item *item);

/* The quantity of that name; PL_NONE. */
bool pl_builder_level(struct pl_cursor *cursor,
                      enum pl_measure measure,
                      double *value); /* a figure in units of that kind */
pl_id pl_builder_measured(const struct pl_builder *builder, const char *name);
/* The lines of a state that begin with a word of their own: no quantity is called so. */
extern const struct pl_body_row pl_state_rows[];
extern const uint32_t pl_state_row_count;

void pl_build_fixups(struct pl_builder *builder);
void pl_build_measures(struct pl_builder *builder); /* the unit kind of every quantity, and whether
                                                       all that measure it agree */
void pl_build_routes(struct pl_builder *builder);   /* lengths, temperatures, bundles */

#endif
