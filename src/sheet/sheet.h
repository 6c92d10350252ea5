/* Sheets: tables as rows of text, ready for any writer.  Knows the model, its solutions and findings; knows no file
 * format. */
#ifndef PL_SHEET_SHEET_H
#define PL_SHEET_SHEET_H

#include "probe/probe.h"

struct pl_column {
  const char *head;
  bool number;   /* set to the right */
  bool narrow;   /* short words: never broken */
  bool key;      /* names the row: a page that splits the sheet shows it in every piece */
  bool reading;  /* a meter reading in one state: a page may set these apart */
  bool csv_only; /* for machines: a page leaves it out, what it says stands in the page another way */
};

/* What a row or a cell is about, so that a writer can mark and join them. */
enum pl_link_kind {
  PL_LINK_NONE,
  PL_LINK_PIN,    /* the name of a pin */
  PL_LINK_WIRE,   /* the number of a wire */
  PL_LINK_DEVICE, /* the name of a device */
  PL_LINK_COLOUR  /* the colours of wire `id` */
};
struct pl_link {
  enum pl_link_kind kind;
  pl_id id;
};

struct pl_row {
  const char **cells;     /* as many as columns; "" for empty, never NULL */
  struct pl_link *links;  /* as many as columns */
  struct pl_link subject; /* what the row is about */
};

struct pl_sheet {
  const char *file;         /* "wires": stable, safe; the CSV's name.  "" for a connector's: whoever writes names it */
  const char *group;        /* heading it stands under: "Connectors", "Wires" */
  const char *title, *note; /* note: one line under the title; "" */
  const char *drawing;      /* svg file to show beside it; "" until whoever writes names it */
  pl_id connector;          /* the connector it shows; PL_NONE */
  bool wide;                /* many columns: wants the paper on its side */
  bool tick;                /* rows are ticked off as they are done */
  struct pl_column *columns;
  uint32_t column_count;
  PL_VEC(struct pl_row) rows;
};

typedef PL_VEC(struct pl_sheet) pl_sheets;

struct pl_title_block {
  const char *machine, *revision, *date, *author, *digest;
};

/* The machine's; "" for what the text does not say. */
struct pl_title_block pl_title_block_of(const struct pl_harness *harness);

/* Findings, states, connector tables, pins of devices without connectors, splices and studs, wire list, fuses, donor
 * wires, devices, waivers, defaults
 * used.  Every wire end at a pin stands in exactly one row of the connector and pin tables.  `solutions`: one for
 * each state, in order; may be NULL: then without readings.  Sheets without rows are left out. */
void pl_sheets_make(const struct pl_harness *harness, const struct pl_network *network,
                    const struct pl_solution *solutions, const struct pl_findings *findings,
                    const struct pl_sources *sources, struct pl_arena *arena, pl_sheets *sheets);

/* The single faults that defeat a requirement, as one more sheet; none when there are none. */
struct pl_proof;
void pl_sheet_defeats(const struct pl_harness *harness, struct pl_proof *proof, struct pl_arena *arena,
                      pl_sheets *sheets);

#endif
