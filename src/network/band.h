/* Bands: how far a computed reading may lie from its figure on a sound machine, because its parts
 * differ from what the text says: wires a little longer, contacts new or worn, batteries fuller or
 * older, loads that draw more or less.  Which part may differ by how much: standard/defaults.h
 * ("bands"), a part's own `tolerance`; law and a worked example: docs/electrical.md, "Bands".
 *
 * A band is the worst case: every part at that end of its tolerance which moves this reading most,
 * all of them at once.  So a meter that shows a figure outside says for certain that some part is
 * beyond its tolerance.  What the state itself says (temperatures, battery volts, quantities) is
 * taken as it is. */
#ifndef PL_NETWORK_BAND_H
#define PL_NETWORK_BAND_H

#include "network/network.h"

enum pl_reading_kind {
  PL_READING_VOLTS,        /* pin a against pin b; b PL_NONE: against the earthed pole */
  PL_READING_WIRE_AMPS,    /* wire a, from end[0] to end[1] */
  PL_READING_DEVICE_VOLTS, /* device a: as solution->device_volts */
  PL_READING_DEVICE_AMPS,  /* device a with one main element (load, coil, fuse, starter's motor,
                              battery): as solution->device_amps, without sign */
  PL_READING_DROP,         /* pins a, b: as pl_solution_drop */
  PL_READING_LOOP,         /* ohms: the drop to pins a, b over the amps of device c */
  PL_READING_GAUGE,        /* gauge a: the ohms it sees, as pl_gauge_ohms */
  PL_READING_SUPPLY /* batteries and alternators a, b, c (PL_NONE: none) together: the amps they
                       give, as solution->device_amps with their signs */
};
struct pl_reading {
  enum pl_reading_kind kind;
  pl_id a, b, c;
};

/* The reading in a solution of this network; NAN: there is none (it floats, nothing flows, the
 * state is not solved). */
double pl_reading_figure(const struct pl_network *network,
                         const struct pl_solution *solution,
                         struct pl_reading reading);

struct pl_band {
  double low, high; /* the figure lies between; both NAN: there is no such reading */
  pl_id moves;      /* a device that changes over inside the band (a relay drops out, a module falls
                       asleep, a load starves), so that the reading may lie outside it; PL_NONE:
                       none is known to */
};

/* The bands of one state.  `solution` is one of this network's states in the harness; it must stay,
 * and is not changed.  What was taken before is no longer valid; memory is the network's.  Never
 * NULL. */
struct pl_bands;
struct pl_bands *pl_bands_take(struct pl_network *network, const struct pl_solution *solution);

/* By the reading's slopes over all parts about the solution, with every relay, module and limit as
 * it is: one solve on factors made once for the state. moves is PL_NONE unless pl_bands_watch was
 * called. */
struct pl_band pl_band_of(struct pl_bands *bands, struct pl_reading reading);

/* The volts of every pin against the earthed pole, as pl_band_of after pl_bands_watch. */
void pl_band_pins(struct pl_bands *bands, struct pl_band *by_pin);

/* Solves the state twice more, with every part at its weak and at its strong end; what then changes
 * over is told as `moves` of the readings it takes out of their bands. */
void pl_bands_watch(struct pl_bands *bands);

/* The ends of a band solved, not estimated: the state from rest with every part moved the way the
 * slopes say, twice.  For what a finding says; some hundred times dearer than pl_band_of. */
struct pl_band pl_band_solved(struct pl_bands *bands, struct pl_reading reading);

#endif
