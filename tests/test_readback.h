/* What the two files of tests/test_readback share. */
#ifndef PL_TEST_READBACK_TESTS_H
#define PL_TEST_READBACK_TESTS_H

#include "readback.h"
#include "test_draw.h"
#include "write/svg.h"

extern CU_TestInfo readback_mutation_tests[];

#endif
