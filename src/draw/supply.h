/* Which end of the supply is which. */
#ifndef PL_DRAW_SUPPLY_H
#define PL_DRAW_SUPPLY_H

#include "harness/harness.h"

/* The pole of a battery that feeds the machine / that is earthed; PL_NONE. */
pl_id pl_supply_pole(const struct pl_harness *harness, pl_id battery, bool earthed);

#endif
