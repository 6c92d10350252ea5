#ifndef PL_TEST_SUSPECT_H
#define PL_TEST_SUSPECT_H
#include "pl_test.h"
extern CU_TestInfo suspect_reading_tests[], suspect_full_tests[];
#endif
