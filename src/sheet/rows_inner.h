/* Building sheets row by row: private to this room. */
#ifndef PL_SHEET_ROWS_INNER_H
#define PL_SHEET_ROWS_INNER_H

#include "sheet/sheet.h"

struct pl_sheet_maker {
  const struct pl_harness *harness;
  struct pl_network *network;          /* NULL: none */
  const struct pl_solution *solutions; /* NULL: none */
  const struct pl_findings *findings;
  const struct pl_sources *sources;
  struct pl_proof *proof; /* through pl_sheet_proof only */
  struct pl_arena *arena;
  uint32_t section; /* being made */
  pl_sheets *sheets;
  struct pl_sheet sheet; /* being made */
  uint32_t column_room;
  struct pl_row row;                  /* being made */
  const char *heading, *heading_note; /* of the next row; NULL: none */
  uint32_t filled;                    /* its cells so far */
};

/* A sheet; columns, then rows follow; pl_sheet_end hands it over, unless it has no rows. */
void pl_sheet_begin(struct pl_sheet_maker *maker,
                    const char *file,
                    const char *title,
                    const char *note);
struct pl_column *pl_sheet_column(struct pl_sheet_maker *maker, const char *head);
void pl_sheet_narrow(struct pl_sheet_maker *maker, const char *head);
void pl_sheet_number(struct pl_sheet_maker *maker, const char *head);
void pl_sheet_end(struct pl_sheet_maker *maker);

/* The next row and those after it stand under a heading; when none follows it is left out. */
void pl_sheet_heading(struct pl_sheet_maker *maker, const char *heading, const char *note);

/* A column that has one text in all its cells, or none, is left out on paper; what to say over the
 * sheet instead: " `what`: text." or
 * "". */
const char *pl_sheet_say_once(struct pl_sheet_maker *maker, const char *head, const char *what);

/* Cells go in from left to right; what is left when the next row begins stays empty. */
void pl_sheet_row(struct pl_sheet_maker *maker, enum pl_link_kind kind, pl_id subject);
void pl_sheet_text(struct pl_sheet_maker *maker, const char *text);
void pl_sheet_link(struct pl_sheet_maker *maker,
                   const char *text,
                   enum pl_link_kind kind,
                   pl_id id);
/* At most `digits` significant digits; empty when it is not a number. */
void pl_sheet_figure(struct pl_sheet_maker *maker, double value, int digits);

void pl_sheet_amps(struct pl_sheet_maker *maker, double amps);

/* Figures of a wire or device over all states.  Amps NAN and state PL_NONE when no state was
 * solved; state PL_NONE too when no current flows. */
struct pl_worst {
  double amps;
  pl_id state;
};
struct pl_worst pl_worst_wire(const struct pl_sheet_maker *maker, pl_id wire);
struct pl_worst pl_worst_device(const struct pl_sheet_maker *maker, pl_id device);
const char *pl_sheet_state(const struct pl_sheet_maker *maker, pl_id state); /* its name; "" */

/* Cells that several sheets have. */
void pl_sheet_wire_cells(struct pl_sheet_maker *maker, pl_id wire); /* number, colour, size */
void pl_sheet_wire_columns(struct pl_sheet_maker *maker);
void pl_sheet_place_cell(struct pl_sheet_maker *maker, pl_id place);
void pl_sheet_end_cell(struct pl_sheet_maker *maker,
                       pl_id wire,
                       pl_id pin); /* what is at the other end of the wire, seen from `pin` */
void pl_sheet_wire_end(struct pl_sheet_maker *maker,
                       const struct pl_wire *wire,
                       int end); /* its pin, "capped", "in the air" */
bool pl_sheet_in_feet(
    const struct pl_sheet_maker *maker); /* feet and inches instead of metres and millimetres */
#define PL_FEET_PER_METRE (1 / 0.3048)   /* the international foot, 1959 */

/* What is crimped on the end of a wire at `pin`: the family's name; "splice" and "ring" at nodes
 * without a family. */
const char *pl_sheet_terminal(const struct pl_harness *harness, pl_id pin);
/* The outside of the wire that the seal at `pin` takes, mm: "1.2 to 2.4"; "" without a seal. */
const char *pl_sheet_seal(const struct pl_sheet_maker *maker, pl_id pin);
/* What joins the wires of a splice: "for 3 wires, 7.88 mm2 together". */
const char *pl_sheet_splice(const struct pl_sheet_maker *maker, const struct pl_pin *splice);
/* Whether this end of the wire gets a new terminal: ends of new wires, and of a donor's wire that
 * was extended those that do not sit on the donor's parts. */
bool pl_sheet_new_end(const struct pl_harness *harness, const struct pl_wire *wire, int end);
/* Metres to cut for a wire: a new one's whole length, what is spliced to a donor's wire that is
 * extended (its whole way when that is not said); 0 for all others. */
double pl_sheet_cut_length(const struct pl_wire *wire);
/* New wires and extensions, sorted for cutting: by insulation, size, colour, the longest first. */
void pl_sheet_cut_order(const struct pl_sheet_maker *maker, pl_ids *wires);

/* Wire of one size and insulation, whatever its colour; "14 AWG GXL". */
bool pl_sheet_same_wire(const struct pl_wire *a, const struct pl_wire *b);
const char *pl_sheet_wire_kind(const struct pl_sheet_maker *maker, const struct pl_wire *wire);
/* Millimetres, or inches; empty when nothing is said. */
void pl_sheet_strip(struct pl_sheet_maker *maker, double metres);
/* Metres of the spool that wires[from] comes from, in their order of cutting; `end`: where the next
 * one begins. */
double
pl_sheet_spool(const struct pl_harness *harness, const pl_ids *wires, uint32_t from, uint32_t *end);
/* That and the spare share, in whole metres or feet. */
double pl_sheet_to_buy(const struct pl_sheet_maker *maker, double metres);

/* "web", "guess": a fact nobody vouches for; "" otherwise. */
const char *pl_pin_unsure(const struct pl_pin *pin);

/* The proof, made when it is first asked for; NULL when nothing is solved. */
struct pl_proof *pl_sheet_proof(struct pl_sheet_maker *maker);

/* The sheets, each in its file; see pl_sections. */
void pl_sheet_connectors(struct pl_sheet_maker *maker);
void pl_sheet_devices_pins(struct pl_sheet_maker *maker);
void pl_sheet_cutting(struct pl_sheet_maker *maker);  /* cut list, totals by spool, twisted pairs */
void pl_sheet_labels(struct pl_sheet_maker *maker);   /* what stands on labels */
void pl_sheet_shopping(struct pl_sheet_maker *maker); /* what to buy */
void pl_sheet_ends(struct pl_sheet_maker *maker);     /* terminals and seals, by crimp */
void pl_sheet_wires(struct pl_sheet_maker *maker);
void pl_sheet_fuses(struct pl_sheet_maker *maker);
void pl_sheet_relays(struct pl_sheet_maker *maker);
void pl_sheet_donor(struct pl_sheet_maker *maker);
void pl_sheet_expects(struct pl_sheet_maker *maker); /* what a donor's controllers look for */
void pl_sheet_findings(struct pl_sheet_maker *maker);
void pl_sheet_waivers(struct pl_sheet_maker *maker);
void pl_sheet_proofs(struct pl_sheet_maker *maker);  /* requirements and their certificates */
void pl_sheet_defeats(struct pl_sheet_maker *maker); /* single faults that defeat a requirement */
void pl_sheet_states(struct pl_sheet_maker *maker);
void pl_sheet_device_list(struct pl_sheet_maker *maker);
void pl_sheet_defaults(struct pl_sheet_maker *maker);

#endif
