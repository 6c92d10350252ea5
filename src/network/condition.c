/* The state's conditions put into figures, before anything is solved: battery, temperatures,
 * quantities at sensors, motors held fast, what was set or excited before.  It decides no modes. */
#include <math.h>
#include <string.h>

#include "network/network_inner.h"
#include "standard/limits_data.h"

/* No published formula gives a warm battery's resistance from its cold-cranking amps.  So: what the
 * battery states holds from 25 degC up, what its cold-cranking amps say (SAE J537, the test at -18
 * degC) from there down, and a straight line between; never less than stated. */
static double battery_ohms(const struct pl_harness *harness,
                           const struct pl_device *d,
                           double stated,
                           double ambient) {
  double cold = pl_battery_ohms(pl_network_supply(harness, d), d->cca);
  double low = PL_DEFAULT(BATTERY_COLD);
  double high = PL_DEFAULT(BATTERY_WARM);

  if (!isfinite(ambient))
    return stated;
  if (!(cold > stated))
    return stated;
  if (ambient >= high)
    return stated;
  if (ambient <= low)
    return cold;
  return stated + (cold - stated) * (high - ambient) / (high - low);
}

static void set_battery(struct pl_trial *trial, pl_id id) {
  const struct pl_harness *harness = trial->network->harness;
  const struct pl_device *d = &harness->devices.at[id];
  struct pl_element *e = &trial->elements[trial->network->main[id]];

  e->ohms = battery_ohms(harness, d, e->ohms, trial->state->ambient) *
            pl_first_good(trial->state->battery_worn, 1);
  if (trial->state->battery_volts >= 0)
    e->volts = trial->state->battery_volts * pl_network_supply(harness, d) / 12.0;
}

/* A sensor or sender at a quantity that the state names. */
static void set_sensor(struct pl_trial *trial, pl_id id) {
  const struct pl_network *network = trial->network;
  const struct pl_device *d = &network->harness->devices.at[id];
  double value = pl_device_reading(d, pl_state_level(trial->state, d->quantity));

  if (isnan(value))
    return;
  for (uint32_t k = network->main[id];
       k < network->elements.n && network->elements.at[k].device == id;
       k++) {
    struct pl_element *e = &trial->elements[k];
    const struct pl_drive *drive = &network->drives.at[k];
    double whole = drive->awake;
    if (drive->kind == PL_DRIVE_QUANTITY)
      e->ohms = value;
    else if (drive->kind == PL_DRIVE_UPPER)
      e->ohms = whole * (1 - fmin(value, 1));
    else if (drive->kind == PL_DRIVE_LOWER)
      e->ohms = whole * fmax(value, 0);
    else
      continue;
    e->ohms = fmax(e->ohms, PL_DEFAULT(LEAST));
  }
}

static void set_locked(struct pl_trial *trial, pl_id id) {
  const struct pl_device *d = &trial->network->harness->devices.at[id];
  struct pl_element *e = &trial->elements[trial->network->main[id]];
  double rated = pl_first_good(d->load_volts, pl_network_supply(trial->network->harness, d));

  if (!(d->load_amps > 0))
    return;
  if (e->kind == PL_ELEMENT_CONTACT)
    return;
  e->kind = PL_ELEMENT_RESISTANCE;
  e->watts = 0;
  e->limit = INFINITY;
  e->ohms = fmax(rated / (d->load_amps * pl_device_locked(d)), PL_DEFAULT(LEAST));
}

/* Parts at the ends of their tolerances; wires are in heat.c, what follows a drive in step.c. */
static void shift_elements(struct pl_trial *trial, const struct pl_shift *shift) {
  for (uint32_t k = 0; k < trial->network->elements.n; k++) {
    struct pl_element *e = &trial->elements[k];
    if (e->kind == PL_ELEMENT_WIRE)
      continue;
    e->ohms =
        fmax((e->ohms + shift->ohms[k]) / (e->kind == PL_ELEMENT_CURRENT ? shift->times[k] : 1),
             PL_DEFAULT(LEAST));
    e->volts += shift->volts[k];
    e->limit *= shift->times[k];
    e->watts *= shift->times[k];
  }
}

static bool has_element(const struct pl_network *network, pl_id id) {
  if (!(id < network->harness->devices.n))
    return false;
  return network->main[id] != PL_NONE;
}

void pl_trial_condition(struct pl_trial *trial) {
  const struct pl_network *network = trial->network;
  const struct pl_harness *harness = network->harness;
  const struct pl_state *state = trial->state;

  pl_heat_begin(trial);
  for (uint32_t i = 0; i < network->conditioned.n; i++) {
    pl_id id = network->conditioned.at[i];
    if (!has_element(network, id))
      continue;
    if (pl_kind_is(harness->devices.at[id].kind, PL_IS_STORE))
      set_battery(trial, id);
    else if (state->levels.n > 0)
      set_sensor(trial, id);
  }
  for (uint32_t i = 0; i < state->locked.n; i++) {
    if (!has_element(network, state->locked.at[i]))
      continue;
    if (!pl_kind_is_load(harness->devices.at[state->locked.at[i]].kind))
      continue;
    set_locked(trial, state->locked.at[i]);
  }
  if (network->shift != NULL)
    shift_elements(trial, network->shift);
  for (uint32_t i = 0; i < network->powers.n; i++)
    trial->tangent[network->powers.at[i]] = network->drives.at[network->powers.at[i]].awake;
}

static bool is_listed(const pl_ids *ids, pl_id id) {
  for (uint32_t i = 0; i < ids->n; i++)
    if (ids->at[i] == id)
      return true;
  return false;
}

/* A turning alternator stays excited once it was; one without an exciter terminal excites itself.
 */
static bool starts_excited(const struct pl_trial *trial, pl_id id) {
  const struct pl_network *network = trial->network;

  if (!pl_trial_turning(trial))
    return false;
  if (network->standing[id] == PL_NONE)
    return true;
  if (network->harness->devices.at[id].self_exciting)
    return true;
  return is_listed(&trial->state->set, id);
}

void pl_trial_start(struct pl_trial *trial) {
  const struct pl_harness *harness = trial->network->harness;

  memset(trial->on, 0, harness->devices.n * sizeof *trial->on);
  memset(trial->fed, 0, harness->devices.n * sizeof *trial->fed);
  for (uint32_t i = 0; i < trial->network->alternators.n; i++)
    trial->on[trial->network->alternators.at[i]] =
        starts_excited(trial, trial->network->alternators.at[i]);
  for (uint32_t i = 0; i < trial->state->set.n; i++) {
    pl_id id = trial->state->set.at[i];
    if (id < harness->devices.n && harness->devices.at[id].latching)
      trial->on[id] = true;
  }
}
