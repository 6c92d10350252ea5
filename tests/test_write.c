/* Writers: runs the suites. */
#include "test_write.h"
#include "pl_test.h"

int main(void) {
  CU_SuiteInfo suites[] = {
      PL_SUITE("CSV", out_csv_tests),
      PL_SUITE("pages", out_page_tests),
      PL_SUITE("book", out_book_tests),
      PL_SUITE("solved states", out_solution_tests),
      PL_SUITE("XML", out_xml_tests),
      PL_SUITE("SVG", out_svg_tests),
      CU_SUITE_INFO_NULL,
  };
  return pl_test_main(suites);
}
