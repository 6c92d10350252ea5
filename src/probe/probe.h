/* Probing: everything about one pin, and what a meter should show there.  Reads the model and its
 * solutions. */
#ifndef PL_PROBE_PROBE_H
#define PL_PROBE_PROBE_H

#include "network/band.h"
#include "network/ohms.h"

/* One step of a trace: through a wire, or through a device from one pin to another. */
struct pl_hop {
  pl_id wire;     /* PL_NONE when the hop is inside a device */
  pl_id device;   /* PL_NONE when the hop is a wire */
  pl_id from, to; /* pins; to PL_NONE: the wire ends in the air */
  uint32_t depth; /* branches are indented: 0 from the pin itself, one more wherever a pin leads on
                     in several ways */
};
typedef PL_VEC(struct pl_hop) pl_hops;

/* Where a pin goes, cavity by cavity: wires, and on through fuses, contacts (in any position),
 * inline pairs, splices, studs, diodes and resistors, up to sources, loads, modules and grounds;
 * each wire once, a branch walked to its end before the next.  Behind a fuse, on its supply side,
 * only the way to the source is followed. */
void pl_probe_trace(const struct pl_harness *harness,
                    pl_id pin,
                    struct pl_arena *arena,
                    pl_hops *hops);

/* Volts to expect at a pin in a state, as a person would write it: "12.4 V", "0.45 V", "0 V",
 * "open"; "not known" of a state that could not be solved. */
const char *pl_probe_reading(const struct pl_solution *solution, pl_id pin, struct pl_arena *arena);

/* The same with its band: "12.4 V (11.9 to 12.8 V)"; only the figure where the band is no wider
 * than what is printed of it.  A device that changes over inside the band is named: "(11.9 to 12.8
 * V; other volts if K3 changes over)". */
const char *pl_probe_reading_band(const struct pl_harness *harness,
                                  const struct pl_solution *solution,
                                  pl_id pin,
                                  struct pl_band band,
                                  struct pl_arena *arena);

/* Ohms as a meter shows them: "0.02 ohm", "2.5 kohm", "open". */
const char *pl_probe_ohms(double ohms, struct pl_arena *arena);
/* What may be read there by a sound machine, with what the meter itself may be off near nothing:
 * "54 to 66 ohm", "under 0.5 ohm", "open (100 kohm or more)", "cannot be told". */
const char *pl_probe_ohms_band(struct pl_ohms ohms, struct pl_arena *arena);

/* Where a wire goes, seen from one end: "F3.out"; "capped", "in the air", "removed". */
const char *pl_probe_far_end(const struct pl_harness *harness, pl_id wire, pl_id pin);

#endif
