/* The table of defaults as data, for the laws and for printing. */
#include "standard/defaults.h"

#define PL_DEFAULT_ROW(name, value, unit, meaning, source) \
  {#name, (value), (unit), (meaning), (source)},
const struct pl_standard_default pl_standard_defaults[PL_STANDARD_DEFAULT_COUNT] = {
    PL_STANDARD_DEFAULTS(PL_DEFAULT_ROW)};
