/* What the tests of src/circuit share with each other and with those of src/draw. */
#ifndef PL_TEST_CIRCUIT_H
#define PL_TEST_CIRCUIT_H

#include "circuit/circuit.h"
#include "test_draw.h"

extern CU_TestInfo circuit_page_tests[], circuit_geometry_tests[], circuit_symbol_tests[];

#endif
