/* What an ohm-meter shows between two pins with the power off: batteries disconnected, engine
 * stopped, relays and starter at rest, switches and quantities as a state says, and whatever the
 * caller names unplugged.  One meter answers for any number of pins; it works on the elements of
 * the network as they are now, so on those of a faulty one too.
 *
 * A reading comes with bounds.  Ohms between two points never fall when any part of the way has
 * more (Rayleigh's law of monotonicity), so with every part at the least it may have and then at
 * the most, no machine as described can read outside them: wires and resistances by their
 * tolerance, contacts from nothing, lamps and motors from cold and still to hot and running,
 * sensors over their whole table where the state names no quantity.  What nobody can foretell of a
 * part (electronics, diodes in the direction the meter opens) counts from a dead short to open. */
#ifndef PL_NETWORK_OHMS_H
#define PL_NETWORK_OHMS_H

#include "network/network.h"

struct pl_ohms {
  double least, ohms, most; /* INFINITY: open; all NAN: cannot be computed */
};

struct pl_meter;

/* `state`: NULL is everything at rest.  `off`: by pin, true where what is inside the device does
 * not join it: a plug pulled off (all pins of the connector), a fuse or relay taken out (all pins
 * of the device); the pin itself stays, as the harness's cavity.  NULL: nothing is unplugged. The
 * network, the state and `off` are only read, and only here; memory is the arena's.  Never fails.
 */
struct pl_meter *pl_meter_new(const struct pl_network *network,
                              const struct pl_state *state,
                              const bool *off,
                              struct pl_arena *arena);
void pl_meter_release(struct pl_meter *meter); /* frees what KLU holds; the rest is the arena's */

/* Leads on two pins; between a pin and itself 0. */
struct pl_ohms pl_meter_ohms(struct pl_meter *meter, pl_id a, pl_id b);

/* In `off`: everything of a device, or one of its plugs. */
void pl_meter_unplug_device(const struct pl_harness *harness, pl_id device, bool *off);
void pl_meter_unplug_connector(const struct pl_harness *harness, pl_id connector, bool *off);

#endif
