/* Label sizes with their sources. */
#include "standard/label_sizes.h"

#include <math.h>

#define INCH_SERIES "common practice: 2:1 shrink sleeve of the inch series, second hand"

const struct pl_sleeve pl_sleeves[] = {
    {2.4, 1.2, INCH_SERIES},
    {3.2, 1.6, INCH_SERIES},
    {4.8, 2.4, INCH_SERIES},
    {6.4, 3.2, INCH_SERIES},
    {9.5, 4.8, INCH_SERIES},
    {12.7, 6.4, INCH_SERIES},
    {19.1, 9.5, INCH_SERIES},
    {25.4, 12.7, INCH_SERIES},
    {38.1, 19.1, INCH_SERIES},
};
const uint32_t pl_sleeve_count = sizeof pl_sleeves / sizeof pl_sleeves[0];

#define SLIPS_OVER 1.2 /* supplied width as a multiple of the wire's outside: from memory */
#define GRIPS 0.95     /* recovered width as a multiple of it, at most: our choice */

uint32_t pl_sleeve_for(double outside) {
  if (!isfinite(outside))
    return UINT32_MAX;
  for (uint32_t i = 0; i < pl_sleeve_count; i++)
    if (pl_sleeves[i].supplied >= SLIPS_OVER * outside &&
        pl_sleeves[i].recovered <= GRIPS * outside)
      return i;
  return UINT32_MAX;
}

const double pl_label_text_height =
    2.0; /* common practice: 2 mm read at arm's length; 1.27 mm is a military least, second hand */
const double pl_flag_width = 36,
             pl_flag_height =
                 15; /* our choice: room for the name of a pin beside a code of 33 modules */
const double pl_code_module = 0.4; /* common practice for phone cameras, second hand */
