/* What a gauge's needle shows in a solved state: the ohms it sees at its sender terminal, by its
 * own scale.  Solves nothing. */
#include <math.h>
#include <string.h>

#include "network/network_inner.h"

static pl_id pin_named(const struct pl_harness *harness,
                       const struct pl_device *d,
                       pl_id pin,
                       const char *name) {
  for (uint32_t i = 0; pin == PL_NONE && i < d->pin_count; i++)
    if (strcmp(harness->pins.at[d->first_pin + i].name, name) == 0)
      pin = d->first_pin + i;
  return pin;
}

void pl_gauge_pins(const struct pl_harness *harness,
                   pl_id gauge,
                   pl_id *plus,
                   pl_id *minus,
                   pl_id *signal) {
  const struct pl_device *d = &harness->devices.at[gauge];

  *plus = pin_named(harness, d, d->plus, "+");
  *minus = pin_named(harness, d, d->minus, "-");
  *signal = pin_named(harness, d, d->signal, "S");
}

double
pl_gauge_ohms(const struct pl_harness *harness, const struct pl_solution *solution, pl_id gauge) {
  pl_id plus, minus, signal;

  if (!pl_kind_is(harness->devices.at[gauge].kind, PL_IS_GAUGE))
    return NAN;
  if (solution->status != PL_SOLVED)
    return NAN;
  pl_gauge_pins(harness, gauge, &plus, &minus, &signal);
  if (plus == PL_NONE || minus == PL_NONE)
    return NAN;
  if (signal == PL_NONE)
    return NAN;
  return pl_gauge_ohms_at(harness,
                          gauge,
                          solution->pin_volts[plus],
                          solution->pin_volts[minus],
                          solution->pin_volts[signal]);
}

double pl_gauge_ohms_at(const struct pl_harness *harness,
                        pl_id gauge,
                        double plus,
                        double minus,
                        double signal) {
  const struct pl_device *d = &harness->devices.at[gauge];
  double fed = fabs(plus - minus);
  double least = pl_first_good(d->need_min, pl_network_supply(harness, d) * PL_DEFAULT(KNEE));

  if (!(fed >= least))
    return NAN;
  if (isnan(signal))
    return NAN;
  double over = (plus - signal) / (plus - minus);
  double under =
      (signal - minus) / (plus - minus); /* shares of its supply; over: across its winding */
  if (over * PL_DEFAULT(MOST) <= pl_first_good(d->ohms, PL_DEFAULT(GAUGE)))
    return INFINITY;
  return fmax(under / over * pl_first_good(d->ohms, PL_DEFAULT(GAUGE)), 0);
}

double pl_gauge_reading(const struct pl_harness *harness,
                        const struct pl_solution *solution,
                        pl_id gauge) {
  return pl_device_quantity_at(&harness->devices.at[gauge],
                               pl_gauge_ohms(harness, solution, gauge));
}
