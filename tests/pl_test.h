/* Helper of the CUnit programs, one program for each room.  A program lists its suites and ends
 * through
 * pl_test_main(), because CUnit's own run returns 0 even when tests failed.
 *
 *   static CU_TestInfo number_tests[] = {{"reads 1e3", reads_exponent}, CU_TEST_INFO_NULL};
 *   int main(void) {
 *     CU_SuiteInfo suites[] = {PL_SUITE("numbers", number_tests), CU_SUITE_INFO_NULL};
 *     return pl_test_main(suites);
 *   }
 */
#ifndef PL_TEST_H
#define PL_TEST_H

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <CUnit/Basic.h>
#include <CUnit/CUnit.h>

#include "base/arena.h"

#define PL_SUITE(name, tests) \
  { (name), NULL, NULL, NULL, NULL, (tests) }

/* 0 only when every suite could be set up, at least one test ran and none failed. */
static inline int pl_test_main(CU_SuiteInfo *suites) {
  setvbuf(stdout, NULL, _IONBF, 0);
  if (CU_initialize_registry() != CUE_SUCCESS || CU_register_suites(suites) != CUE_SUCCESS) {
    fprintf(stderr, "the tests cannot be registered: %s\n", CU_get_error_msg());
    CU_cleanup_registry();
    return 1;
  }
  CU_basic_set_mode(CU_BRM_NORMAL);
  CU_ErrorCode code = CU_basic_run_tests();
  bool bad = code != CUE_SUCCESS || CU_get_number_of_tests_failed() > 0 ||
             CU_get_number_of_failures() > 0 || CU_get_number_of_suites_failed() > 0 ||
             CU_get_number_of_tests_run() == 0;
  CU_cleanup_registry();
  return bad ? 1 : 0;
}

/* The file `name` of the source tree ("harnesses/..."), wherever the build folder is.  The text is
 * overwritten by the next call but three. */
static inline const char *pl_test_path(const char *name) {
  static char paths[4][4096];
  static unsigned turn;
  const char *top = getenv("PL_TOP");
  if (top == NULL || top[0] == '\0')
    top = getenv("srcdir");
  if (top == NULL || top[0] == '\0')
    top = ".";
  char *path = paths[turn++ % 4];
  snprintf(path, sizeof paths[0], "%s/%s", top, name);
  return path;
}

/* An out-of-memory handler for tests that do not expect to need one. */
static inline void pl_test_oom(void *context) {
  (void)context;
  fprintf(stderr, "out of memory in a test\n");
  abort();
}

static inline void pl_test_arena(struct pl_arena *arena) {
  pl_arena_init(arena, pl_test_oom, NULL);
}

/* Checks that name the row of a table they came from and show what differed. */
#define PL_CHECK(condition, row) pl_test_check((condition), #condition, (row), __FILE__, __LINE__)
#define PL_CHECK_STR(actual, expected, row) \
  pl_test_str((actual), (expected), (row), __FILE__, __LINE__)
#define PL_CHECK_CLOSE(actual, expected, relative, row) \
  pl_test_close((actual), (expected), (relative), (row), __FILE__, __LINE__)
#define PL_CHECK_INT(actual, expected, row) \
  pl_test_int((long long)(actual), (long long)(expected), (row), __FILE__, __LINE__)

static inline bool pl_test_report(bool good, const char *text, const char *file, unsigned line) {
  CU_assertImplementation(good ? CU_TRUE : CU_FALSE, line, text, file, "", CU_FALSE);
  return good;
}

static inline bool
pl_test_check(bool good, const char *condition, const char *row, const char *file, unsigned line) {
  char text[1024];
  snprintf(text, sizeof text, "%s: %s", row, condition);
  return pl_test_report(good, text, file, line);
}

static inline bool pl_test_str(const char *actual,
                               const char *expected,
                               const char *row,
                               const char *file,
                               unsigned line) {
  char text[4096];
  snprintf(text,
           sizeof text,
           "%s: got <%s>, expected <%s>",
           row,
           actual == NULL ? "(null)" : actual,
           expected == NULL ? "(null)" : expected);
  bool good =
      actual == NULL || expected == NULL ? actual == expected : strcmp(actual, expected) == 0;
  return pl_test_report(good, text, file, line);
}

/* Within `relative` of the expected value; an expected 0 takes `relative` as an absolute bound. */
static inline bool pl_test_close(double actual,
                                 double expected,
                                 double relative,
                                 const char *row,
                                 const char *file,
                                 unsigned line) {
  char text[1024];
  double bound = fabs(expected) > 0 ? fabs(expected) * relative : relative;
  snprintf(text,
           sizeof text,
           "%s: got %.12g, expected %.12g within %g",
           row,
           actual,
           expected,
           bound);
  return pl_test_report(isfinite(actual) && fabs(actual - expected) <= bound, text, file, line);
}

static inline bool pl_test_int(long long actual,
                               long long expected,
                               const char *row,
                               const char *file,
                               unsigned line) {
  char text[1024];
  snprintf(text, sizeof text, "%s: got %lld, expected %lld", row, actual, expected);
  return pl_test_report(actual == expected, text, file, line);
}

#endif
