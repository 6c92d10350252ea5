/* One solved state: for machines and for people.  docs/output.md says what the keys mean. */
#ifndef PL_OUT_SOLUTION_JSON_H
#define PL_OUT_SOLUTION_JSON_H

#include "network/network.h"

/* {"state": ..., "solved": ..., "volts": {"DEVICE.PIN": number or null}, "amps": {"wire": number},
 * "on": ["DEVICE"]}, numbers exact, in the order of the model.  null: the pin floats. */
void pl_solution_write_json(struct pl_buffer *out,
                            const struct pl_harness *harness,
                            const struct pl_solution *solution);

/* The same as text in columns: pins with volts, wires with amps, devices that are on. */
void pl_solution_write_table(struct pl_buffer *out,
                             const struct pl_harness *harness,
                             const struct pl_solution *solution);

#endif
