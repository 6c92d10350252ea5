/* The table of defaults as data, for the laws and for printing. */
#include "network/defaults.h"

#define PL_DEFAULT_ROW(name, value, unit, meaning, source) {#name, (value), (unit), (meaning), (source)},
const struct pl_network_default pl_network_defaults[PL_NETWORK_DEFAULT_COUNT] = {PL_NETWORK_DEFAULTS(PL_DEFAULT_ROW)};
