/* Stands in for CUnit where its library cannot be linked (musl): the part of its interface that
 * pl_test.h and the tests use. */
#ifndef PL_TEST_CUNIT_STAND_IN
#define PL_TEST_CUNIT_STAND_IN

#include <setjmp.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#define CU_TRUE 1
#define CU_FALSE 0
#define CU_BRM_NORMAL 0
#define CU_TEST_INFO_NULL \
  { NULL, NULL }
#define CU_SUITE_INFO_NULL \
  { NULL, NULL, NULL, NULL, NULL, NULL }

typedef int CU_BOOL;
typedef enum {
  CUE_SUCCESS
} CU_ErrorCode;
typedef struct CU_TestInfo {
  const char *pName;
  void (*pTestFunc)(void);
} CU_TestInfo;
typedef struct CU_SuiteInfo {
  const char *pName;
  int (*pInitFunc)(void), (*pCleanupFunc)(void);
  void (*pSetUpFunc)(void), (*pTearDownFunc)(void);
  CU_TestInfo *pTests;
} CU_SuiteInfo;

struct cu_run {
  CU_SuiteInfo *suites;
  unsigned tests, tests_failed, checks, failures;
  jmp_buf out; /* of the test that runs, for a check that ends it */
};
extern struct cu_run cu_run; /* in run.c */

CU_BOOL CU_assertImplementation(CU_BOOL good,
                                unsigned line,
                                const char *condition,
                                const char *file,
                                const char *function,
                                CU_BOOL fatal);

#define CU_CHECK_THAT(good, text, fatal) \
  ((void)CU_assertImplementation((good), __LINE__, (text), __FILE__, "", (fatal)))
#define CU_ASSERT(good) CU_CHECK_THAT((good) ? 1 : 0, #good, 0)
#define CU_ASSERT_FATAL(good) CU_CHECK_THAT((good) ? 1 : 0, #good, 1)
#define CU_FAIL(text) CU_CHECK_THAT(0, text, 0)
#define CU_ASSERT_TRUE(good) CU_ASSERT(good)
#define CU_ASSERT_TRUE_FATAL(good) CU_ASSERT_FATAL(good)
#define CU_ASSERT_FALSE(bad) CU_ASSERT(!(bad))
#define CU_ASSERT_FALSE_FATAL(bad) CU_ASSERT_FATAL(!(bad))
#define CU_ASSERT_EQUAL(a, b) CU_CHECK_THAT((a) == (b), #a " == " #b, 0)
#define CU_ASSERT_EQUAL_FATAL(a, b) CU_CHECK_THAT((a) == (b), #a " == " #b, 1)
#define CU_ASSERT_NOT_EQUAL(a, b) CU_CHECK_THAT((a) != (b), #a " != " #b, 0)
#define CU_ASSERT_PTR_EQUAL(a, b) CU_ASSERT((const void *)(a) == (const void *)(b))
#define CU_ASSERT_PTR_NOT_EQUAL(a, b) CU_ASSERT((const void *)(a) != (const void *)(b))
#define CU_ASSERT_PTR_NULL(a) CU_ASSERT((a) == NULL)
#define CU_ASSERT_PTR_NOT_NULL(a) CU_ASSERT((a) != NULL)
#define CU_ASSERT_PTR_NOT_NULL_FATAL(a) CU_ASSERT_FATAL((a) != NULL)
#define CU_ASSERT_STRING_EQUAL(a, b) CU_CHECK_THAT(strcmp((a), (b)) == 0, #a " is " #b, 0)
#define CU_ASSERT_STRING_NOT_EQUAL(a, b) CU_CHECK_THAT(strcmp((a), (b)) != 0, #a " is not " #b, 0)

CU_ErrorCode CU_register_suites(CU_SuiteInfo *suites);
CU_ErrorCode CU_basic_run_tests(void);
unsigned CU_get_number_of_tests_run(void);
unsigned CU_get_number_of_tests_failed(void);
unsigned CU_get_number_of_failures(void);
#define CU_get_number_of_suites_failed() 0u
#define CU_initialize_registry() CUE_SUCCESS
#define CU_cleanup_registry() ((void)0)
#define CU_get_error_msg() ""
#define CU_basic_set_mode(mode) ((void)(mode))

#endif
