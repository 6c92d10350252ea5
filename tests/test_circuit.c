/* Tests of src/circuit: what stands on current-path pages, their geometry, the symbols. */
#include "test_circuit.h"

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("pages", circuit_page_tests),
                           PL_SUITE("geometry", circuit_geometry_tests),
                           PL_SUITE("symbols", circuit_symbol_tests),
                           CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
