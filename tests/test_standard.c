/* Published tables: runs the suites. */
#include "test_standard.h"
#include "pl_test.h"

int main(void) {
  CU_SuiteInfo suites[] = {
      PL_SUITE("wire", standard_wire_tests),
      PL_SUITE("amperage", standard_amperage_tests),
      PL_SUITE("fuses, limits, letters", standard_limits_tests),
      CU_SUITE_INFO_NULL,
  };
  return pl_test_main(suites);
}
