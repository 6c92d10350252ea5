/* Sheets: tables as rows of text, ready for any writer.  Knows the model, its solutions and
 * findings; knows no file format. */
#ifndef PL_SHEET_SHEET_H
#define PL_SHEET_SHEET_H

#include "probe/probe.h"

struct pl_column {
  const char *head;
  bool number;   /* set to the right */
  bool narrow;   /* short words: never broken */
  bool key;      /* names the row: a page that splits the sheet shows it in every piece */
  bool reading;  /* a meter reading in one state: a page may set these apart */
  bool chief;    /* the reading that is shown where there is room for one */
  bool csv_only; /* for machines: a page leaves it out, what it says stands in the page another way
                  */
  bool blank;    /* to write in: a page keeps room for a hand */
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
  const char *heading;    /* rows from here on stand under it; NULL: under the one before */
  const char *note;       /* a sentence beneath the heading; "" */
};

struct pl_sheet {
  const char *file; /* "wires": stable, safe; the CSV's name.  "" for a connector's: whoever writes
                       names it */
  uint32_t section; /* row of pl_sections */
  const char *title, *note; /* note: one line under the title; "" */
  const char *drawing;      /* svg file to show beside it; "" until whoever writes names it */
  pl_id connector;          /* the connector it shows; PL_NONE */
  bool wide;                /* many columns: may turn the paper on its side */
  bool tick;                /* rows are ticked off as they are done */
  bool csv_only;            /* not printed as a table: a drawing shows it */
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

/* A section of the printed set; the table's order is the order of the work. */
struct pl_sheet_maker;
struct pl_section {
  const char *name;          /* as --only says it: letters and '-' */
  const char *title, *intro; /* intro: one or two sentences under the title; "" */
  const char
      *plates; /* beginnings of the names of drawings that take pages here, blanks between; "" */
  const char *const *cautions; /* printed where the work is done; ends with NULL; NULL: none */
  void (*make)(struct pl_sheet_maker *maker); /* its sheets; NULL: drawings only */
};
extern const struct pl_section pl_sections[];
extern const uint32_t pl_section_count;

/* What sheets are made from. */
struct pl_proof;
struct pl_sheet_inputs {
  const struct pl_harness *harness;
  struct pl_network *network; /* NULL: not solved */
  const struct pl_solution
      *solutions; /* one for each state, in order; NULL: not solved, sheets are without readings */
  const struct pl_findings *findings; /* NULL: not checked */
  const struct pl_sources *sources;   /* NULL: findings without places in the text */
  struct pl_proof *proof;             /* NULL: made when a sheet needs it and there are solutions */
  const bool *chosen;                 /* by section; NULL: all */
  void (*progress)(void *context,
                   uint32_t section); /* called as each section begins; NULL: nobody asks */
  void *progress_context;
};

/* The sheets of the chosen sections.  Every wire end at a pin stands in exactly one row of the
 * connector and pin tables. Sheets without rows are left out. */
void pl_sheets_make(const struct pl_sheet_inputs *in, struct pl_arena *arena, pl_sheets *sheets);

#endif
