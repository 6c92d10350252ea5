/* Between weigh.c and weigh_next.c.  Nobody outside includes this. */
#ifndef PL_SUSPECT_WEIGH_INNER_H
#define PL_SUSPECT_WEIGH_INNER_H

#include "suspect/weigh.h"

#define PL_WEIGH_NEGLIGIBLE 1e-4 /* of all weight: not compared, not asked about */

/* Above BORNE. */
enum {
  PL_WEIGH_BORNE_MOST = 8
};

/* Of a suspect's variants the one with the most weight. */
uint32_t pl_weigh_heaviest(const struct pl_suspect *suspect, const double *shares);

/* Goes through the questions that one of two variants answers otherwise than a healthy machine: i
 * and j start at their first entries; false: no more. */
bool pl_weigh_step(const struct pl_suspects *table,
                   const struct pl_variant *x,
                   const struct pl_variant *y,
                   uint32_t *i,
                   uint32_t *j,
                   uint32_t *question,
                   int16_t *of_x,
                   int16_t *of_y);

/* No reading tells the two answers apart. */
bool pl_weigh_answers_alike(const struct pl_suspects *table,
                            uint32_t question,
                            int16_t a,
                            int16_t b);

#endif
