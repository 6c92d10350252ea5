/* The pages: all tables, and the index of a folder.  XHTML that is good HTML too; no script, nothing fetched from
 * outside. */
#ifndef PL_OUT_XHTML_H
#define PL_OUT_XHTML_H

#include "draw/scene.h"
#include "finding/finding.h"
#include "sheet/sheet.h"

/* Every sheet, with the drawing of a connector above its table when `drawings` has it.  False: a fault of the
 * program. */
bool pl_xhtml_tables(struct pl_buffer *out, const struct pl_harness *harness, const pl_sheets *sheets,
                     const pl_scenes *drawings, struct pl_arena *arena);

/* What is in the folder, what stands against powering the machine, and what to print.  `findings` NULL: not checked. */
bool pl_xhtml_index(struct pl_buffer *out, const struct pl_harness *harness, const struct pl_findings *findings,
                    const pl_sheets *sheets, const pl_scenes *drawings, struct pl_arena *arena);

#endif
