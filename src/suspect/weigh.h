/* Weighing: readings against the table of suspects.  The weight of a suspect is what it had before
 * anything was read times how well it explains each reading; the next reading is the one that
 * divides the weight best for its minutes.  Plain sums over whole numbers: docs/troubleshooting.md
 * has every formula, and the shop page does the same. */
#ifndef PL_SUSPECT_WEIGH_H
#define PL_SUSPECT_WEIGH_H

#include "suspect/suspects.h"

enum pl_said {
  PL_SAID_VOLTS, /* `value` volts at `question` (PL_ASK_VOLTS), less those at `other` when it is one
                  */
  PL_SAID_RUNS,  /* `value` 0 dead, 1 weakly, 2 runs: `question` is PL_ASK_RUNS */
  PL_SAID_WARM,  /* 0 cold, 1 warm: PL_ASK_WARM */
  PL_SAID_FUSE,  /* 0 good, 1 blown: PL_ASK_FUSE */
  PL_SAID_FOUND, /* `value` as PL_ASK_REFIT or PL_ASK_SEARCH answer */
  PL_SAID_SEEN,  /* everything at `question` (LOOK, PANEL) was looked at: the words for each stand
                    beside it.  Weighs nothing itself */
  PL_SAID_LINK,  /* 1 nothing is heard of it on the data link, 0 it is heard: PL_ASK_LINK */
  PL_SAID_NEEDLE, /* 0 nothing, 1 less than it should, 2 as it should, 3 more: PL_ASK_GAUGE */
  PL_SAID_GAUGE,  /* the needle stands where `value` ohms of its sender put it: PL_ASK_GAUGE */
  PL_SAID_CODE,   /* 1 the module complains of this input, 0 it does not: PL_ASK_VOLTS of its pin */
  PL_SAID_OHMS,   /* `value` ohms (INFINITY open): PL_ASK_WIRE, PL_ASK_LEAK, PL_ASK_INSIDE or
                     PL_ASK_BETWEEN */
  PL_SAID_BETWEEN /* `value` ohms between two pins with everything plugged in and the power off:
                     `predicted` has them by variant */
};

struct pl_evidence {
  enum pl_said said;
  uint32_t question, other; /* PL_NONE */
  double value;
  const double *predicted; /* PL_SAID_BETWEEN: ohms by variant, NAN not known; last (variants.n) the
                              healthy ones */
  const char *text;        /* as it was said, for messages */
};
typedef PL_VEC(struct pl_evidence) pl_evidences;

struct pl_ranked {
  uint32_t suspect;
  double weight;    /* share of all weight: the sum over all suspects is 1 */
  uint32_t against; /* how many readings it does not explain */
  uint32_t group;   /* suspects of one number cannot be told apart by any reading; numbers count up
                       from 0 in the order of the list */
};

struct pl_verdict {
  struct pl_ranked *at; /* heaviest first; all of them */
  uint32_t n;
  const double *shares;   /* by variant: its share of all weight */
  uint32_t grouped;       /* so many at the head of the list have a group */
  bool healthy;           /* a machine with nothing broken explains every reading */
  bool likely;            /* the first group has CERTAIN of the weight */
  uint32_t contradiction; /* the last evidence that the first does not explain and that was not read
                             otherwise twice; PL_NONE */
  uint32_t borne; /* when likely: so many readings may be wrong, whichever they are, and the others
                     still say so; at most BORNE */
  const double *doubt; /* when likely, by variant: the prior of one that too few readings speak
                          against; else 0 */
  bool certain;        /* likely, nothing contradicts, and BORNE readings may be wrong */
};

/* How likely the reading is under a variant (variants.n: nothing broken): a density for volts and
 * ohms, a probability for words. */
double
pl_weigh_fit(const struct pl_suspects *table, uint32_t variant, const struct pl_evidence *evidence);
/* Does it explain the reading: within three times the spread, or a word that is not far-fetched. */
bool pl_weigh_explains(const struct pl_suspects *table,
                       uint32_t variant,
                       const struct pl_evidence *evidence);

void pl_weigh(const struct pl_suspects *table,
              const pl_evidences *evidences,
              struct pl_arena *arena,
              struct pl_verdict *verdict);

/* No reading tells these two suspects apart: in no question do their answers differ by more than
 * twice the spread. */
bool pl_weigh_alike(const struct pl_suspects *table, uint32_t a, uint32_t b);

/* `verdict` is pl_weigh's on the same evidences.  The best readings to take next, most bits for the
 * minute first; returns how many were stored (at most `most`).  0: no reading tells more.  When one
 * is likely they are those that would make it certain: most doubt for the minute first. */
struct pl_next {
  uint32_t question;
  double bits, score;
  bool again; /* it was taken already: once more */
  bool sure;  /* to make sure of the first; `bits` is 0 */
};
uint32_t pl_weigh_next(const struct pl_suspects *table,
                       const pl_evidences *evidences,
                       const struct pl_verdict *verdict,
                       struct pl_arena *arena,
                       uint32_t most,
                       struct pl_next *next);

/* One question's outcomes for printing: what each ranked suspect of the head would read.  Text in
 * the arena: "12.5 V", "open", "runs", "blown", "118 ohm". */
const char *pl_weigh_answer_text(const struct pl_suspects *table,
                                 uint32_t question,
                                 int16_t answer,
                                 struct pl_arena *arena);

#endif
