/* What a gauge's needle shows in a solved state: the ohms it sees at its sender terminal, by its own scale.  Solves nothing. */
#include <math.h>
#include <string.h>

#include "network/inner.h"

static double volts_at(const struct pl_harness *harness, const struct pl_solution *solution, const struct pl_device *d, pl_id pin,
                       const char *name) {
  for (uint32_t i = 0; pin == PL_NONE && i < d->pin_count; i++)
    if (strcmp(harness->pins.at[d->first_pin + i].name, name) == 0) pin = d->first_pin + i;
  return pin == PL_NONE ? NAN : solution->pin_volts[pin];
}

double pl_gauge_ohms(const struct pl_harness *harness, const struct pl_solution *solution, pl_id gauge) {
  const struct pl_device *d = &harness->devices.at[gauge];

  if (d->kind != PL_KIND_GAUGE || solution->status != PL_SOLVED) return NAN;
  double plus = volts_at(harness, solution, d, d->plus, "+"), minus = volts_at(harness, solution, d, d->minus, "-");
  double signal = volts_at(harness, solution, d, d->signal, "S"), fed = fabs(plus - minus);
  double least = pl_first_good(d->need_min, pl_network_supply(harness, d) * PL_DEFAULT(KNEE));

  if (!(fed >= least) || isnan(signal)) return NAN;
  double over = (plus - signal) / (plus - minus), under = (signal - minus) / (plus - minus);  /* shares of its supply; over: across its winding */
  if (over * PL_DEFAULT(MOST) <= pl_first_good(d->ohms, PL_DEFAULT(GAUGE))) return INFINITY;
  return fmax(under / over * pl_first_good(d->ohms, PL_DEFAULT(GAUGE)), 0);
}

double pl_gauge_reading(const struct pl_harness *harness, const struct pl_solution *solution, pl_id gauge) {
  return pl_device_quantity_at(&harness->devices.at[gauge], pl_gauge_ohms(harness, solution, gauge));
}
