/* What the rules of protection over time share.  Private to this room. */
#ifndef PL_RULES_FUSE_TIMES_INNER_H
#define PL_RULES_FUSE_TIMES_INNER_H

#include "rules/prospective_inner.h"

/* Its family, blade where none is said. */
const char *pl_fuse_family(const struct pl_device *fuse);

/* Its family and rating have published opening times (standard/fuse_gates.h). */
bool pl_fuse_has_times(const struct pl_device *fuse);

/* The pin of a fuse at which current leaves it, and the one at which it enters; PL_NONE. */
pl_id pl_fuse_out(const struct pl_check *check, pl_id fuse, pl_id *in);

/* "45 ms", "1.2 s" */
const char *pl_say_seconds(const struct pl_check *check, double seconds);

#endif
