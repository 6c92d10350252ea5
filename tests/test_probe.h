#ifndef PL_TEST_PROBE_H
#define PL_TEST_PROBE_H
#include "pl_test.h"
extern CU_TestInfo probe_path_tests[];
#endif
