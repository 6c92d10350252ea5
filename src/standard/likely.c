/* The table of likelihoods as data. */
#include "standard/likely.h"

#define PL_LIKELY_ROW(name, value, unit, meaning, source) \
  {#name, (value), (unit), (meaning), (source)},
const struct pl_standard_likely pl_standard_likely[PL_STANDARD_LIKELY_COUNT] = {
    PL_STANDARD_LIKELY(PL_LIKELY_ROW)};

const double pl_standard_words[3][3] = {{0.967, 0.03, 0.003},
                                        {0.25, 0.5, 0.25},
                                        {0.003, 0.03, 0.967}};
const double pl_standard_seen[3][2] = {{0.005, 0.99}, {0.05, 0.8}, {0.03, 0.95}};
const double pl_standard_needle[4][4] = {{0.6, 0.34, 0.02, 0.04},
                                         {0.25, 0.66, 0.07, 0.02},
                                         {0.01, 0.04, 0.91, 0.04},
                                         {0.02, 0.02, 0.07, 0.89}};
