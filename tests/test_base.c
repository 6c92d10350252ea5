/* Tests of the ground floor. */
#include "test_base.h"

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("memory, text and tables", memory_tests),
                           PL_SUITE("words and digests", word_tests),
                           PL_SUITE("numbers", number_tests),
                           PL_SUITE("files and paths", file_tests),
                           PL_SUITE("JSON", json_tests),
                           CU_SUITE_INFO_NULL};

  return pl_test_main(suites);
}
