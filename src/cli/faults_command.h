/* The table that `pinloom faults` prints. */
#ifndef PL_CLI_FAULTS_H
#define PL_CLI_FAULTS_H

#include "network/network.h"

void pl_faults_write(struct pl_buffer *out,
                     const struct pl_harness *harness,
                     struct pl_network *network,
                     const struct pl_solution *solutions,
                     struct pl_arena *arena);

#endif
