/* A solved state as a SPICE netlist, so that any circuit simulator can solve the same linear
 * network again. */
#ifndef PL_OUT_SPICE_H
#define PL_OUT_SPICE_H

#include "network/network.h"

/* Every element as it settled in the state: resistors, voltage and current sources only.  Node 0 is
 * the earthed pole; comments say which pin each node is and the volts Pinloom found there.  What
 * floats is left out.  A state that is not solved gives a netlist of comments that says why. */
void pl_spice_write(struct pl_buffer *out,
                    const struct pl_network *network,
                    const struct pl_solution *solution,
                    const struct pl_harness *harness);

#endif
