/* The change sheet of two texts: which printed pages are out of date, and the page of changes. */
#ifndef PL_OUT_COMPARE_H
#define PL_OUT_COMPARE_H

#include "sheet/changes.h"
#include "write/output.h"

/* The change sheets of a harness already built by `old`, to be what `in` says.  A page of the
 * printed set counts as out of date when its bytes differ, the title block apart: drawings as SVG,
 * tables as CSV with the words around them.  Both must be solved; checked, so that findings are
 * compared too. */
void pl_output_changes(const struct pl_output_inputs *old,
                       const struct pl_output_inputs *in,
                       struct pl_arena *arena,
                       pl_sheets *sheets);

/* changes.html and csv/changes*.csv. */
void pl_output_compare(const struct pl_output_inputs *old,
                       const struct pl_output_inputs *in,
                       const pl_sheets *sheets,
                       struct pl_arena *arena,
                       pl_outputs *outputs);

#endif
