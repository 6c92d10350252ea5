/* The nearest known word, for "did you mean". */
#ifndef PL_BASE_NEAREST_H
#define PL_BASE_NEAREST_H

#include <stddef.h>

enum {
  PL_NEAREST_MAX = 3
}; /* words further off than this many slips are not offered */

/* Slips (insert, delete, replace, swap of neighbours) between two words; the case of a letter is no
 * slip. Stops counting above `limit` and returns limit + 1. */
int pl_word_distance(const char *a, const char *b, int limit);

struct pl_nearest {
  const char *word; /* what was typed */
  const char *best; /* nearest so far, or NULL */
  int distance;
};

void pl_nearest_init(struct pl_nearest *nearest, const char *word);

/* Of equally near words the one that also fits in case wins, then the first.  A word more than half
 * of which would have to change is not offered. */
void pl_nearest_offer(struct pl_nearest *nearest, const char *candidate);

#endif
