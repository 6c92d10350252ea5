/* Wires warm up with their own current, and warm copper resists more: temperature and current are
 * found together, round by round, on the settled network.  Each round moves every wire towards
 * where its present current would bring it, by the secant through its last two rounds, and costs as
 * a rule one correction with the factors that are there.  Law and its limits: docs/electrical.md.
 * It changes no modes. */
#include <math.h>

#include "network/network_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

static const double melts =
    1085; /* degC: copper; hotter than that nothing is computed (from memory) */
static const double steepest = -20, flattest = 0.5; /* bounds of the slope that a wire's target is
                                                       taken to have over its own temperature */

/* Neighbours are mostly of one make: the table is asked once for them. */
struct pl_heat pl_heat_of(const struct pl_wire *wire,
                          const struct pl_wire *before,
                          const struct pl_heat *of_before) {
  double around = 20.0;
  if (isfinite(wire->hot))
    around = wire->hot;
  struct pl_heat heat = {.ohms20 = pl_wire_copper_ohms(wire) / pl_copper_factor(around),
                         .around = around};

  if (before != NULL && before->area == wire->area && before->metric == wire->metric &&
      before->insulation == wire->insulation) {
    heat.per_square = of_before->per_square;
    return heat;
  }
  struct pl_amperage a = pl_wire_amperage(wire->area, wire->metric, wire->insulation, false, 1);
  if (a.table > 0 && a.rise > 0)
    heat.per_square = a.rise / (a.table * a.table);
  return heat;
}

static double around_of(const struct pl_trial *trial, pl_id wire) {
  if (isfinite(trial->state->ambient))
    return trial->state->ambient;
  return trial->network->heat[wire].around;
}

/* The wire's resistance at a temperature: that of the network's element, which was made for its
 * place, and what the copper has more or less. */
static double ohms_at(const struct pl_network *network, pl_id wire, double temperature) {
  const struct pl_heat *heat = &network->heat[wire];
  double more = pl_copper_factor(temperature) - pl_copper_factor(heat->around);
  uint32_t k = network->wire_element[wire];
  double ohms = network->elements.at[k].ohms + heat->ohms20 * more +
                (network->shift != NULL ? network->shift->ohms[k] : 0);

  if (ohms > PL_DEFAULT(LEAST))
    return ohms;
  return PL_DEFAULT(LEAST);
}

void pl_heat_begin(struct pl_trial *trial) {
  const struct pl_network *network = trial->network;

  for (pl_id w = 0; w < network->harness->wires.n; w++) {
    uint32_t k = network->wire_element[w];
    if (network->wires_at != NULL)
      trial->warm[w] = network->wires_at[w];
    else
      trial->warm[w] = around_of(trial, w);
    trial->warm_before[w] = NAN;
    if (k != PL_NONE)
      trial->elements[k].ohms = ohms_at(network, w, trial->warm[w]);
  }
}

/* Where the wire's temperature would come to rest with the amps it has now. */
static double target_of(const struct pl_trial *trial, pl_id wire, double amps) {
  double around = around_of(trial, wire);
  double rise = trial->network->heat[wire].per_square * amps * amps;

  if (isfinite(trial->state->lasts) && rise > 0) /* over soon: no hotter than if no heat left it */
    rise = fmin(rise,
                pl_copper_heat(trial->network->harness->wires.at[wire].area,
                               fabs(amps),
                               trial->state->lasts,
                               around) -
                    around);
  return fmin(around + rise, fmax(melts, around));
}

/* The next guess: the secant through the last two, which goes straight to the answer where one hot
 * wire decides its own current. */
static double next_guess(struct pl_trial *trial, pl_id wire, double target) {
  double now = trial->warm[wire];
  double before = trial->warm_before[wire];
  double slope = 0;

  if (now != before && isfinite(before))
    slope = (target - trial->target_before[wire]) / (now - before);
  if (!(slope <= flattest))
    slope = slope > flattest ? flattest : 0;
  trial->warm_before[wire] = now;
  trial->target_before[wire] = target;
  return now + (target - now) / (1 - fmax(slope, steepest));
}

double pl_heat_step(struct pl_trial *trial) {
  const struct pl_network *network = trial->network;
  double most = 0;

  if (network->wires_at != NULL)
    return 0;
  for (pl_id w = 0; w < network->harness->wires.n; w++) {
    uint32_t k = network->wire_element[w];
    if (k == PL_NONE)
      continue;
    if (!(network->heat[w].per_square > 0))
      continue;
    if (trial->mode[k] != PL_MODE_CONDUCTS)
      continue;
    double target = target_of(trial, w, pl_trial_amps(trial, k));
    if (target == trial->warm[w])
      continue;
    double guess = next_guess(trial, w, target);
    double ohms = ohms_at(network, w, guess);
    double change = fabs(ohms_at(network, w, target) - trial->elements[k].ohms) / ohms;
    if (change > most)
      most = change;
    trial->warm[w] = guess;
    trial->elements[k].ohms = ohms;
  }
  return most;
}
