/* Sheets: tables as rows of text, ready for any writer. */
#ifndef PL_SHEET_SHEET_H
#define PL_SHEET_SHEET_H

#include "probe/probe.h"

struct pl_column { const char *head; bool number; bool narrow; };  /* number: set to the right */

struct pl_row { const char **cells; };          /* as many as columns; "" for empty, never NULL */

struct pl_sheet {
  const char *file;         /* "connector-ECM-A": stable, safe; the CSV's name */
  const char *group;        /* heading it stands under: "Connectors", "Cut list" */
  const char *title, *note; /* note: one line under the title; "" */
  const char *drawing;      /* svg file to show beside it; "" */
  const struct pl_column *columns; uint32_t column_count;
  PL_VEC(struct pl_row) rows;
};

typedef PL_VEC(struct pl_sheet) pl_sheets;

struct pl_title_block { const char *machine, *revision, *date, *author, *digest; };

/* Connector tables, pins of devices without connectors, wire list, findings and waivers.  `solutions` may be NULL: then without readings. */
void pl_sheets_make(const struct pl_harness *harness, const struct pl_network *network, const struct pl_solution *solutions,
                    const struct pl_findings *findings, const struct pl_sources *sources, struct pl_arena *arena, pl_sheets *sheets);

#endif
