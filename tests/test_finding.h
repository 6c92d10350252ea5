/* The suites of the findings' tests, one file each. */
#ifndef TEST_FINDING_H
#define TEST_FINDING_H

#include "pl_test.h"

extern CU_TestInfo source_tests[], print_tests[];

#endif
