/* The runner behind the stand-in: every test of every suite, then one line that tells the sum. */
#include <CUnit/CUnit.h>

struct cu_run cu_run;

CU_BOOL CU_assertImplementation(CU_BOOL good,
                                unsigned line,
                                const char *condition,
                                const char *file,
                                const char *function,
                                CU_BOOL fatal) {
  (void)function;
  cu_run.checks++;
  if (good)
    return CU_TRUE;
  cu_run.failures++;
  printf("%s:%u  - %s\n", file, line, condition);
  if (fatal)
    longjmp(cu_run.out, 1);
  return CU_FALSE;
}

CU_ErrorCode CU_register_suites(CU_SuiteInfo *suites) {
  cu_run.suites = suites;
  return CUE_SUCCESS;
}

static void run_test(const CU_TestInfo *test) {
  unsigned before = cu_run.failures;
  cu_run.tests++;
  if (setjmp(cu_run.out) == 0)
    test->pTestFunc();
  if (cu_run.failures == before)
    return;
  cu_run.tests_failed++;
  printf("failed: %s\n", test->pName);
}

CU_ErrorCode CU_basic_run_tests(void) {
  for (CU_SuiteInfo *suite = cu_run.suites; suite->pName != NULL; suite++)
    for (CU_TestInfo *test = suite->pTests; test->pName != NULL; test++)
      run_test(test);
  printf("%u tests, %u failed, %u checks\n", cu_run.tests, cu_run.tests_failed, cu_run.checks);
  return CUE_SUCCESS;
}

unsigned CU_get_number_of_tests_run(void) {
  return cu_run.tests;
}

unsigned CU_get_number_of_tests_failed(void) {
  return cu_run.tests_failed;
}

unsigned CU_get_number_of_failures(void) {
  return cu_run.failures;
}
