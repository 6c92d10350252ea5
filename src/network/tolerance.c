/* Which parts of a solved state may differ from their figures, and by how much: rows for band.c.
 * Defaults: standard/defaults.h, printed in docs/electrical.md.  It solves nothing. */
#include <math.h>
#include <string.h>

#include "network/tolerance_inner.h"

static const double no_current = 1e-12; /* amps: a part without current moves nothing */

struct range {
  double down, up;
}; /* shares of the figure: -0.1, 0.1 */

static struct range even(double share) {
  return (struct range){-share, share};
}
static struct range contact(void) {
  return (struct range){PL_DEFAULT(CONTACT_NEW) - 1, PL_DEFAULT(CONTACT_WORN) - 1};
}

static void add(struct pl_arena *arena,
                pl_deviations *deviations,
                uint32_t element,
                enum pl_deviation_of of,
                double figure,
                struct range range) {
  struct pl_deviation deviation = {.element = {element, PL_NONE},
                                   .of = of,
                                   .down = {figure * range.down, 0},
                                   .up = {figure * range.up, 0}};

  if (figure != 0 && (range.down != 0 || range.up != 0))
    PL_PUSH(arena, deviations, deviation);
}

/* ---- by kind of element ---- */

static void add_wire(const struct pl_network *network,
                     const struct pl_element *e,
                     uint32_t k,
                     pl_deviations *deviations) {
  double length = PL_DEFAULT(LENGTH_SPREAD);
  double copper = fmax(e->ohms - e->contact_ohms, 0);
  struct range worn = contact();
  struct range all = {-length * copper + worn.down * e->contact_ohms,
                      length * copper + worn.up * e->contact_ohms};

  add(network->arena, deviations, k, PL_DEVIATES_OHMS, 1, all);
}

static void add_battery(const struct pl_network *network,
                        const struct pl_state *state,
                        const struct pl_element *e,
                        uint32_t k,
                        pl_deviations *deviations) {
  const struct pl_device *d = &network->harness->devices.at[e->device];
  struct range ohms = {PL_DEFAULT(BATTERY_GOOD) - 1, PL_DEFAULT(BATTERY_POOR) - 1};

  if (isfinite(d->tolerance))
    ohms = even(d->tolerance);
  if (isnan(state->battery_worn))
    add(network->arena, deviations, k, PL_DEVIATES_OHMS, e->ohms, ohms);
  if (isnan(state->battery_volts))
    add(network->arena, deviations, k, PL_DEVIATES_VOLTS, e->volts, even(PL_DEFAULT(EMF_SPREAD)));
}

static void add_source(const struct pl_network *network,
                       const struct pl_state *state,
                       const struct pl_element *e,
                       uint32_t k,
                       pl_deviations *deviations) {
  const struct pl_device *d = &network->harness->devices.at[e->device];
  struct pl_arena *arena = network->arena;

  if (pl_kind_is(d->kind, PL_IS_STORE)) {
    add_battery(network, state, e, k, deviations);
    return;
  }
  if (e->limited) {
    add(arena, deviations, k, PL_DEVIATES_AMPS, 1, even(pl_device_tolerance(d)));
    return;
  }
  double ohms = pl_device_tolerance(d);
  double volts = PL_DEFAULT(ALTERNATOR_SPREAD);
  if (pl_kind_is(d->kind, PL_IS_MODULE)) {
    volts = PL_DEFAULT(REGULATED_SPREAD);
    if (network->drives.at[k].kind == PL_DRIVE_PULL)
      ohms = PL_DEFAULT(TOLERANCE_RESISTOR);
  }
  add(arena, deviations, k, PL_DEVIATES_OHMS, e->ohms, even(ohms));
  add(arena, deviations, k, PL_DEVIATES_VOLTS, e->volts, even(volts));
}

/* The two parts of a three-wire sensor: their sum by its tolerance, the tap by the spread of its
 * share. */
static void add_tapped(const struct pl_network *network,
                       const struct pl_solution *solution,
                       uint32_t k,
                       pl_deviations *deviations) {
  uint32_t lower = k + 1;
  const struct pl_element *e = &solution->elements[k];
  double tolerance = pl_device_tolerance(&network->harness->devices.at[e->device]);
  double share;

  if (lower >= network->elements.n || network->drives.at[lower].kind != PL_DRIVE_LOWER ||
      solution->elements[lower].device != e->device) {
    add(network->arena, deviations, k, PL_DEVIATES_OHMS, e->ohms, even(tolerance));
    return;
  }
  double below = solution->elements[lower].ohms;
  double whole = e->ohms + below;
  struct pl_deviation sum = {.element = {k, lower},
                             .of = PL_DEVIATES_OHMS,
                             .down = {-tolerance * e->ohms, -tolerance * below},
                             .up = {tolerance * e->ohms, tolerance * below}};
  PL_PUSH(network->arena, deviations, sum);
  share = PL_DEFAULT(SHARE_SPREAD);
  double down = fmin(share * whole, below);
  double up = fmin(share * whole, e->ohms); /* a tap goes no further than its ends */
  struct pl_deviation tap = {.element = {k, lower},
                             .of = PL_DEVIATES_OHMS,
                             .down = {down, -down},
                             .up = {-up, up}};
  PL_PUSH(network->arena, deviations, tap);
}

static void add_resistance(const struct pl_network *network,
                           const struct pl_solution *solution,
                           uint32_t k,
                           pl_deviations *deviations) {
  const struct pl_element *e = &solution->elements[k];
  const struct pl_device *d = &network->harness->devices.at[e->device];
  bool pull = pl_kind_is(d->kind, PL_IS_MODULE) && strncmp(e->what, "pull", 4) == 0;
  enum pl_drive_kind drive = network->drives.at[k].kind;
  double share = pull ? PL_DEFAULT(TOLERANCE_RESISTOR) : pl_device_tolerance(d);

  if (drive == PL_DRIVE_UPPER)
    add_tapped(network, solution, k, deviations);
  else if (drive != PL_DRIVE_LOWER) /* that one goes with its upper part */
    add(network->arena, deviations, k, PL_DEVIATES_OHMS, e->ohms, even(share));
}

static void add_element(const struct pl_network *network,
                        const struct pl_state *state,
                        const struct pl_solution *solution,
                        uint32_t k,
                        pl_deviations *deviations) {
  const struct pl_element *e = &solution->elements[k];
  const struct pl_device *d = NULL;
  if (e->device != PL_NONE)
    d = &network->harness->devices.at[e->device];
  struct pl_arena *arena = network->arena;

  switch (e->kind) {
    case PL_ELEMENT_WIRE:
      add_wire(network, e, k, deviations);
      break;
    case PL_ELEMENT_CONTACT:
      add(arena,
          deviations,
          k,
          PL_DEVIATES_OHMS,
          e->ohms,
          pl_kind_is_protection(d->kind) || network->drives.at[k].kind == PL_DRIVE_OUTPUT
              ? even(pl_device_tolerance(d))
              : contact());
      break;
    case PL_ELEMENT_RESISTANCE:
      add_resistance(network, solution, k, deviations);
      break;
    case PL_ELEMENT_CURRENT:
      add(arena, deviations, k, PL_DEVIATES_AMPS, 1, even(pl_device_tolerance(d)));
      break;
    case PL_ELEMENT_SOURCE:
      add_source(network, state, e, k, deviations);
      break;
    case PL_ELEMENT_DIODE:
      add(arena, deviations, k, PL_DEVIATES_OHMS, e->ohms, even(pl_device_tolerance(d)));
      add(arena, deviations, k, PL_DEVIATES_VOLTS, e->volts, even(PL_DEFAULT(DIODE_SPREAD)));
      break;
  }
}

void pl_deviations_list(const struct pl_network *network,
                        const struct pl_state *state,
                        const struct pl_solution *solution,
                        bool all,
                        pl_deviations *deviations) {
  deviations->n = 0;
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_element *e = &solution->elements[k];
    bool drives =
        e->kind == PL_ELEMENT_SOURCE && !e->limited; /* its volts matter without current too */
    if (!all && (e->open || (!drives && !(fabs(e->amps) > no_current))))
      continue;
    add_element(network, state, solution, k, deviations);
  }
}
