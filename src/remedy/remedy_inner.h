/* What the files of this room share.  Private to it. */
#ifndef PL_REMEDY_REMEDY_INNER_H
#define PL_REMEDY_REMEDY_INNER_H

#include "remedy/remedy.h"

/* ---- one change of the model, and its edits of the text ---- */

enum pl_step_kind {
  PL_STEP_SIZE,     /* wire `what` of `value` mm2 */
  PL_STEP_RATING,   /* fuse `what` of `value` amps */
  PL_STEP_TURN,     /* the wires at pins `what` and `other` change places */
  PL_STEP_OUT,      /* wire `what` is taken out */
  PL_STEP_TWIST,    /* wires `what` and `other` twisted together */
  PL_STEP_PULSES,   /* gauge `what` takes `value` pulses */
  PL_STEP_SUPPRESS, /* coil of `what` gets a resistor of `value` ohms */
  PL_STEP_WAIVER    /* waiver `what` is taken out */
};

struct pl_step {
  enum pl_step_kind kind;
  pl_id what, other;
  double value;
};

typedef PL_VEC(struct pl_step) pl_steps;
typedef PL_VEC(struct pl_fix) pl_fixes;

/* Into the order of the text. */
void pl_fixes_sort(struct pl_fix *fixes, uint32_t n);

/* The edits of a step; false when the text does not allow it (a shipped part, a row in columns). */
bool pl_step_edit(const struct pl_check *check,
                  const struct pl_sources *sources,
                  const struct pl_step *step,
                  pl_fixes *fixes);

/* "16 AWG instead of 18 AWG on wire 2" */
const char *pl_step_say(const struct pl_check *check, const struct pl_step *step);

/* ---- a trial ---- */

struct pl_seek { /* the checked harness, and how much may still be tried */
  struct pl_check *check;
  const struct pl_sources *sources;
  const char *path;
  uint32_t left, left_of_one;
  struct pl_remedy_counts counts;
};

struct pl_trial { /* a copy: read, solved, checked.  Ended by pl_trial_end */
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings; /* before any is folded, waivers matched */
  struct pl_harness harness;
  struct pl_network *network;
  bool read;  /* false: an edit made the text unreadable */
  bool cured; /* the finding asked for is gone */
  bool whole; /* all rules were run, not only that of the finding */
};

/* Checks the harness with `steps` done.  `of` may be NULL; else its own rule runs first, and the
 * others only when it finds nothing at that place any more and `whole` asks for them.  False when
 * nothing may be tried any more or the steps cannot be written; then there is nothing to end. */
bool pl_trial_run(struct pl_seek *seek,
                  const pl_steps *steps,
                  const struct pl_finding *of,
                  bool whole,
                  struct pl_trial *trial);
bool pl_trial_run_fixes(struct pl_seek *seek,
                        const struct pl_fix *fixes,
                        uint32_t n,
                        const struct pl_finding *of,
                        bool whole,
                        struct pl_trial *trial);
void pl_trial_end(struct pl_trial *trial);

/* A finding of a whole trial that the checked harness has not, or has milder; NULL: none. */
const struct pl_finding *pl_trial_new(const struct pl_seek *seek, const struct pl_trial *trial);

/* Whether `f` is still there, not waived. */
bool pl_trial_has(const struct pl_trial *trial, const struct pl_finding *f);

/* ---- the search ---- */

/* What was found for one finding. */
struct pl_cure {
  pl_steps steps;
  const char *obstacle; /* what came of the nearest miss: "then terminal-crimp at E1.+"; NULL */
  bool tried;           /* something was */
  bool found;
};

/* The least change that cures `f`. */
struct pl_cure pl_cure_seek(struct pl_seek *seek, const struct pl_finding *f);

/* True when there is a change to try for this rule. */
bool pl_cure_knows(const char *rule);

/* What there is for this rule that is no edit of the text; NULL: the rule's own words say it. */
const char *pl_cure_else(const char *rule);

/* Wires that a finding hangs on, those that count most first: what the finding names, else those on
 * the way of its place's current. */
pl_ids pl_cure_wires(const struct pl_check *check, const struct pl_finding *f);

/* Wires on the way of the current that its place draws, from the source and back, in its state or
 * the first in which any flows: those whose copper loses most first. */
pl_ids pl_cure_way(const struct pl_check *check, const struct pl_finding *f);

/* The pin that a place names, or all pins of the device it names. */
pl_ids pl_cure_pins(const struct pl_check *check, const char *place);

#endif
