/* The suites of the ground floor's tests, one file each. */
#ifndef TEST_BASE_H
#define TEST_BASE_H

#include "pl_test.h"

extern CU_TestInfo memory_tests[], word_tests[], number_tests[], file_tests[], json_tests[];

#endif
