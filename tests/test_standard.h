/* Suites of the program test_standard. */
#ifndef TEST_STANDARD_H
#define TEST_STANDARD_H

#include <CUnit/CUnit.h>

extern CU_TestInfo standard_wire_tests[], standard_amperage_tests[], standard_limits_tests[];

#endif
