/* The exact search over positions: sets of combinations, the likeliest first, each either done with
 * as a whole, or cut in two at a contact that matters.  Nobody outside the prove room includes
 * this. */
#ifndef PL_PROVE_SEARCH_INNER_H
#define PL_PROVE_SEARCH_INNER_H

#include "prove/positions_inner.h"

enum pl_verdict {
  PL_NONE_OF_THEM, /* no combination of the set is what is looked for */
  PL_ALL_OF_THEM,
  PL_CUT,     /* it depends: on `split` */
  PL_LIKE_ONE /* nothing that matters is left open: they are as one of them; where wishes are left,
                 as bad as that one at most */
};

struct pl_goal {
  void *context;
  /* What is known of all combinations of the settled set. */
  enum pl_verdict (*judge)(struct pl_positions *p, void *context, struct pl_split *split);
  /* One combination (proof->look, looked at): PL_NONE_OF_THEM or PL_ALL_OF_THEM; PL_LIKE_ONE: not
   * this one, but a milder one of the set may be; PL_CUT: it could not be decided. */
  enum pl_verdict (*confirm)(struct pl_proof *proof, void *context);
  /* A set that is what was looked for: the one with the fewest departures from rest in proof->look,
   * how many they are.  NULL: the first one ends the search. */
  void (*found)(struct pl_proof *proof, void *context, double count);
};

enum {
  PL_SEARCH_SETS = 20000, /* looked at for one question */
  PL_SEARCH_SOLVES = 400, /* combinations that the network is asked for one question */
  PL_SEARCH_COUNT = 1000  /* sets looked at after the first that was found, to count the others */
};

/* `starts`: sets to begin with, each positions->words long, in one row; they must not overlap.
 * True when something was found; then proof->look is the combination with the fewest departures
 * (without outputs that no declared state has on, if it can be). */
bool pl_search(struct pl_positions *p,
               const uint64_t *starts,
               uint32_t start_count,
               const struct pl_goal *goal,
               struct pl_covered *covered);

/* The combination of proof->look as the network solves it, for a goal's `confirm`.  NULL: there is
 * nothing to ask of it, and `verdict` is what to answer: it could not be decided, no source is
 * joined, or its poles meet. */
const struct pl_solution *pl_search_solve(struct pl_proof *proof, enum pl_verdict *verdict);

/* All values of every factor; `left` has positions->words. */
void pl_search_all(const struct pl_positions *p, uint64_t *left);
/* How many combinations a set holds; everything at rest, with what the cone holds; the look of the
 * one with the fewest departures. */
double pl_search_size(const struct pl_positions *p, const uint64_t *left);
void pl_search_rest(struct pl_proof *proof, const struct pl_cone *cone);
void pl_search_show(const struct pl_positions *p, const uint64_t *left);
/* Only this value, or all but it. */
void pl_search_only(const struct pl_positions *p, uint64_t *left, uint32_t factor, uint32_t value);
void pl_search_without(const struct pl_positions *p,
                       uint64_t *left,
                       uint32_t factor,
                       uint32_t value);
uint32_t pl_search_factor(const struct pl_positions *p, enum pl_factor_kind kind, pl_id id);

#endif
