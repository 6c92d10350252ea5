/* `pinloom explain`: the paragraph of docs/rules.md about one rule, built into the program. */
#ifndef PL_CLI_EXPLAIN_H
#define PL_CLI_EXPLAIN_H

#include <stdbool.h>

#include "base/buffer.h"

extern const unsigned char
    pl_rules_document[]; /* docs/rules.md, followed by a NUL; written while building */

/* The paragraph under the heading of that name, wrapped to 78 columns, onto `out`; false when there
 * is none. */
bool pl_explain(struct pl_buffer *out, const char *rule);

#endif
