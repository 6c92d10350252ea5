/* The table of suspects as JSON, for the shop page and other programs: docs/troubleshooting.md,
 * "The table", says what each part means. */
#ifndef PL_OUT_SUSPECTS_JSON_H
#define PL_OUT_SUSPECTS_JSON_H

#include "suspect/suspects.h"

/* Adds one JSON object.  Ids are places in the lists of the harness, in the order of its text: the
 * same as in the shop page's data. */
void pl_suspects_write_json(struct pl_buffer *out, const struct pl_suspects *table);

#endif
