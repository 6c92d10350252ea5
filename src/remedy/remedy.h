/* Remedies that were tried: what a finding proposes is done to a copy of the text, the copy is
 * read, solved and checked again, and only what takes the finding away and brings nothing new is
 * said. The room knows which change may help which rule; it prints and writes nothing. */
#ifndef PL_REMEDY_REMEDY_H
#define PL_REMEDY_REMEDY_H

#include "model/build.h"
#include "rules/rules.h"

enum {
  PL_REMEDY_TRIALS = 400,  /* copies checked for one harness at most, */
  PL_REMEDY_WORK = 100000, /* fewer where they have more wires than this together, */
  PL_REMEDY_LEAST = 20,    /* but so many */
  PL_REMEDY_OF_ONE = 60    /* for one finding */
};

/* What was tried and what came of it. */
struct pl_remedy_counts {
  uint32_t findings; /* for which something could be tried */
  uint32_t mended;   /* of those, with a remedy that works; others' folded under them not counted */
  uint32_t trials;   /* copies that were made */
};

/* For each finding that is not waived and for whose rule there is a change to try, worst first: the
 * least change that cures it.  Then `remedy` says it and `fixes` holds its edits; other findings
 * that the same change takes away are folded under the finding (check->keep_all: they get the same
 * remedy and stay).  Where nothing cures, `remedy` says so and what stood in the way.  `path` is
 * the harness's first file, as `sources` has it.  Findings are those of check->findings after
 * pl_rules_run.  Costs nothing without such findings, else one check of a copy for each trial. */
struct pl_remedy_counts
pl_remedies_seek(struct pl_check *check, const struct pl_sources *sources, const char *path);

/* The text of file `file` with all edits that lie in it; NULL when two of them meet. */
const char *pl_remedy_text(const struct pl_sources *sources,
                           uint32_t file,
                           const struct pl_fix *fixes,
                           uint32_t n,
                           struct pl_arena *arena,
                           size_t *size);

/* All remedies of a harness done together: findings in their order, each on top of those before it
 * and only where all that came so far still holds.  `taken[i]` says whether finding i's edits are
 * among them. */
struct pl_remedy_plan {
  struct pl_fix *fixes; /* of all that were taken */
  uint32_t fix_count;
  bool *taken; /* by finding */
};
struct pl_remedy_plan
pl_remedies_plan(struct pl_check *check, const struct pl_sources *sources, const char *path);

#endif
