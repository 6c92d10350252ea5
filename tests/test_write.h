/* Suites of the program test_out. */
#ifndef TEST_OUT_H
#define TEST_OUT_H

#include <CUnit/CUnit.h>

extern CU_TestInfo out_csv_tests[], out_book_tests[], out_page_tests[], out_solution_tests[],
    out_svg_tests[], out_xml_tests[];

#endif
