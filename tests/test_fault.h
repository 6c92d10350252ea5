/* Comparing the fast way through single faults with full solutions. */
#ifndef TEST_FAULT_H
#define TEST_FAULT_H

#include "fault/fault.h"
#include "pl_test.h"

struct compared {
  unsigned faults, in_full, not_solved, only_fast, wrong;
  double worst_volts, worst_amps; /* relative, as below */
  char first[600];                /* the first that differed, in words */
};

/* Sweeps the state and solves every fault in full beside it.  Volts may differ by 1e-9 of the
 * largest volts in the network plus 1e-9 V; amps by 1e-9 of the largest amps at either end of the
 * element plus 1e-9 A; what floats, conducts or is on must be the same.  Where there are loads of
 * steady power both ways agree with their law to 1e-9 only, and 1e-8 is allowed. */
void compare_state(struct pl_network *network,
                   const struct pl_harness *harness,
                   pl_id state,
                   const pl_faults *faults,
                   struct compared *compared);

extern CU_TestInfo fault_list_tests[], fault_law_tests[], fault_compare_tests[];

#endif
