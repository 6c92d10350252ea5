/* Tests of findings: the list, its order and limits, JSON, and memory running out. */
#include <setjmp.h>

#include "base/limits.h"
#include "finding/finding.h"
#include "test_finding.h"

static void missing_texts_become_empty(void) {
  struct pl_arena arena;
  struct pl_findings findings;
  const struct pl_finding *finding;

  pl_test_arena(&arena);
  pl_findings_init(&findings, &arena);
  pl_findings_add(&findings, (struct pl_finding){.severity = PL_FAULT, .span = PL_NO_SPAN});
  pl_findings_error(&findings, (struct pl_span){0, 3, 5}, "expected a name, found 7", NULL);
  CU_ASSERT_EQUAL_FATAL(findings.list.n, 2);
  finding = &findings.list.at[0];
  CU_ASSERT_STRING_EQUAL(finding->rule, "");
  CU_ASSERT_STRING_EQUAL(finding->place, "");
  CU_ASSERT_STRING_EQUAL(finding->state, "");
  CU_ASSERT_STRING_EQUAL(finding->unit, "");
  CU_ASSERT_STRING_EQUAL(finding->text, "");
  CU_ASSERT_STRING_EQUAL(finding->remedy, "");
  CU_ASSERT_STRING_EQUAL(finding->source, "");
  CU_ASSERT_PTR_NULL(finding->waived);
  finding = &findings.list.at[1];
  CU_ASSERT_STRING_EQUAL(finding->rule, "text");
  CU_ASSERT_EQUAL(finding->severity, PL_ERROR);
  CU_ASSERT_EQUAL(finding->span.start, 3);
  CU_ASSERT(isnan(finding->figure) && isnan(finding->limit));
  CU_ASSERT_STRING_EQUAL(finding->remedy, "");
  CU_ASSERT_EQUAL(findings.errors, 1);
  pl_arena_release(&arena);
}

/* PL_LIMIT_ERRORS: the first are kept, all are counted, other findings are not held up by them. */
static void errors_are_limited(void) {
  struct pl_arena arena;
  struct pl_findings findings;
  struct pl_finding_counts counts;

  pl_test_arena(&arena);
  pl_findings_init(&findings, &arena);
  for (uint32_t i = 0; i < PL_LIMIT_ERRORS + 50; i++)
    pl_findings_error(&findings, (struct pl_span){0, i, i}, "t", "");
  pl_findings_add(&findings, (struct pl_finding){.severity = PL_DANGER});
  CU_ASSERT_EQUAL(findings.errors, PL_LIMIT_ERRORS + 50);
  CU_ASSERT_EQUAL_FATAL(findings.list.n, PL_LIMIT_ERRORS + 1);
  CU_ASSERT_EQUAL(findings.list.at[PL_LIMIT_ERRORS - 1].span.start, PL_LIMIT_ERRORS - 1);
  CU_ASSERT_EQUAL(findings.list.at[PL_LIMIT_ERRORS].severity, PL_DANGER);
  counts = pl_findings_count(&findings);
  CU_ASSERT_EQUAL(counts.of[PL_ERROR], PL_LIMIT_ERRORS + 50);
  CU_ASSERT_EQUAL(counts.of[PL_DANGER], 1);
  CU_ASSERT_EQUAL(counts.of[PL_FAULT] + counts.of[PL_ADVICE] + counts.waived, 0);
  pl_arena_release(&arena);
}

/* The rows in the order they must come out; the last two differ in nothing that orders them. */
static const struct pl_finding ordered[] = {
    {.rule = "b", .severity = PL_ADVICE, .span = {0, 0, 1}, .place = "z", .text = "0"},
    {.rule = "b", .severity = PL_ERROR, .span = {0, 2, 3}, .place = "z", .text = "1"},
    {.rule = "b", .severity = PL_DANGER, .span = {0, 2, 3}, .place = "z", .text = "2"},
    {.rule = "b", .severity = PL_FAULT, .span = {0, 2, 3}, .place = "z", .text = "3"},
    {.rule = "a", .severity = PL_ADVICE, .span = {0, 2, 3}, .place = "z", .text = "4"},
    {.rule = "b", .severity = PL_ADVICE, .span = {0, 2, 3}, .place = "y", .text = "5"},
    {.rule = "b", .severity = PL_ADVICE, .span = {0, 2, 3}, .place = "z", .text = "6"},
    {.rule = "b", .severity = PL_DANGER, .span = {0, 5, 6}, .place = "a", .text = "7"},
    {.rule = "b", .severity = PL_DANGER, .span = {1, 0, 1}, .place = "a", .text = "8"},
    {.rule = "b", .severity = PL_ERROR, .span = {PL_NO_FILE, 0, 0}, .place = "a", .text = "9"},
    {.rule = "b",
     .severity = PL_ADVICE,
     .span = {PL_NO_FILE, 0, 0},
     .place = "a",
     .text = "same 1"},
    {.rule = "b",
     .severity = PL_ADVICE,
     .span = {PL_NO_FILE, 0, 0},
     .place = "a",
     .text = "same 2"},
};

static void order_is_the_same_every_time(void) {
  enum {
    N = sizeof ordered / sizeof ordered[0]
  };
  uint32_t seed = 7;

  for (int round = 0; round < 500; round++) {
    struct pl_arena arena;
    struct pl_sources sources;
    struct pl_findings findings;
    uint32_t rows[N];

    pl_test_arena(&arena);
    pl_sources_init(&sources, &arena);
    pl_sources_add(&sources, "z.loom", "abc\ndef\n", 8);
    pl_sources_add(&sources, "a.loom", "abc\n", 4);
    pl_findings_init(&findings, &arena);
    for (uint32_t i = 0; i < N; i++)
      rows[i] = i;
    for (uint32_t i = N - 1; i > 0; i--) {
      uint32_t k = (seed = seed * 1664525u + 1013904223u) >> 8;
      uint32_t keep = rows[i];

      rows[i] = rows[k % (i + 1)];
      rows[k % (i + 1)] = keep;
    }
    /* equals keep the order they were added in */
    for (uint32_t i = 0, same = N - 2; i < N; i++)
      pl_findings_add(&findings, ordered[rows[i] >= N - 2 ? same++ : rows[i]]);
    pl_findings_sort(&findings, &sources);
    for (uint32_t i = 0; i < N; i++)
      CU_ASSERT_STRING_EQUAL(findings.list.at[i].text, ordered[i].text);
    pl_arena_release(&arena);
  }
}

static void many_findings_are_sorted(void) {
  enum {
    N = 50000
  };
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  char *text = malloc(2 * N);
  uint32_t wrong = 0;

  CU_ASSERT_PTR_NOT_NULL_FATAL(text);
  for (int i = 0; i < N; i++)
    memcpy(text + 2 * i, i % 10 == 9 ? "x\n" : "xy", 2);
  pl_test_arena(&arena);
  pl_sources_init(&sources, &arena);
  pl_sources_add(&sources, "a.loom", text, 2 * N);
  pl_findings_init(&findings, &arena);
  for (uint32_t i = 0; i < N; i++) {
    uint32_t at = i * 7919u % N * 2;

    pl_findings_add(&findings, (struct pl_finding){.severity = PL_FAULT, .span = {0, at, at + 1}});
  }
  pl_findings_sort(&findings, &sources);
  for (uint32_t i = 0; i < N; i++)
    wrong += findings.list.at[i].span.start != 2 * i;
  CU_ASSERT_EQUAL(wrong, 0);
  pl_arena_release(&arena);
  free(text);
}

static void certificates_are_told(void) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_buffer out;

  pl_test_arena(&arena);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_sources_add(&sources, "a.loom", "require M1 off when S1 in off\n", 30);
  struct pl_certificate c = {.span = {0, 0, 7},
                             .what = "M1 off \x1b[2J",
                             .result = "proven",
                             .text = "proven for all 12 combinations of positions",
                             .combinations = 12,
                             .sets = 3,
                             .solved = 1};
  PL_PUSH(&arena, &findings.certificates, c);
  pl_buffer_init(&out, &arena);
  pl_certificates_print(&out, &findings, &sources);
  CU_ASSERT_STRING_EQUAL(out.at, /* what a terminal could take for an order is not passed on */
                         "a.loom:1:1: proven for all 12 combinations of positions: M1 off ?[2J\n");
  pl_buffer_init(&out, &arena);
  pl_findings_print_json(&out, &findings, &sources);
  CU_ASSERT_PTR_NOT_NULL(
      strstr(out.at,
             "\"line\": 1, \"result\": \"proven\", \"text\": \"proven for all 12 "
             "combinations of positions\", \"combinations\": 12, \"sets\": 3, "
             "\"solved\": 1}"));
  pl_arena_release(&arena);
}

static void json_is_as_documented(void) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_buffer out;

  pl_test_arena(&arena);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_buffer_init(&out, &arena);
  pl_findings_print_json(&out, &findings, &sources);
  CU_ASSERT_STRING_EQUAL(
      out.at,
      "{\"findings\": [], \"proofs\": [], \"counts\": {\"danger\": 0, \"fault\": 0, \"advice\": 0, "
      "\"error\": 0, \"waived\": 0}}\n");
  pl_sources_add(&sources, "a\n.loom", "wire 41\n", 8);
  pl_findings_add(&findings,
                  (struct pl_finding){.rule = "r",
                                      .severity = PL_DANGER,
                                      .span = {0, 5, 7},
                                      .place = "wire 41",
                                      .state = "run",
                                      .figure = 62.5,
                                      .limit = 0.1,
                                      .unit = "A",
                                      .text = "t",
                                      .remedy = "do",
                                      .source = "s"});
  pl_findings_add(&findings,
                  (struct pl_finding){.rule = "q",
                                      .severity = PL_ADVICE,
                                      .span = PL_NO_SPAN,
                                      .figure = NAN,
                                      .limit = -INFINITY,
                                      .waived = "the \"reason\""});
  pl_buffer_init(&out, &arena);
  pl_findings_print_json(&out, &findings, &sources);
  CU_ASSERT_STRING_EQUAL(
      out.at,
      "{\"findings\": [\n"
      "{\"rule\": \"r\", \"severity\": \"danger\", \"file\": \"a\\n.loom\", "
      "\"line\": 1, \"col\": 6, "
      "\"place\": \"wire 41\", \"state\": \"run\", \"figure\": 62.5, \"limit\": "
      "0.1, \"unit\": \"A\", \"text\": \"t\", "
      "\"remedy\": \"do\", "
      "\"source\": \"s\", \"waived\": null, \"follows\": 0},\n"
      "{\"rule\": \"q\", \"severity\": \"advice\", \"file\": null, \"line\": "
      "null, \"col\": null, \"place\": \"\", "
      "\"state\": \"\", \"figure\": null, \"limit\": null, \"unit\": \"\", "
      "\"text\": \"\", \"remedy\": \"\", "
      "\"source\": \"\", \"waived\": \"the \\\"reason\\\"\", \"follows\": 0}\n"
      "], \"proofs\": [], \"counts\": {\"danger\": 1, \"fault\": 0, \"advice\": 0, \"error\": "
      "0, \"waived\": 1}}\n");
  pl_arena_release(&arena);
}

static void jump(void *context) {
  longjmp(*(jmp_buf *)context, 1);
}

static void report_and_print(struct pl_arena *arena) {
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_buffer out;

  pl_sources_init(&sources, arena);
  pl_findings_init(&findings, arena);
  for (uint32_t i = 0; i < 30; i++) {
    pl_sources_add(&sources, "a.loom", "wire 41\n", 8);
    pl_findings_error(&findings, (struct pl_span){29 - i, i % 8, i % 8 + 1}, "t", "r");
  }
  pl_findings_sort(&findings, &sources);
  pl_buffer_init(&out, arena);
  pl_findings_print(&out, &findings, &sources);
  pl_findings_print_json(&out, &findings, &sources);
}

static bool runs_out(uint64_t fail_at, uint64_t *calls) {
  static struct pl_arena arena; /* static: changed between setjmp and longjmp */
  jmp_buf back;
  volatile bool out = true;

  pl_arena_init(&arena, jump, &back);
  arena.fail_at = fail_at;
  if (setjmp(back) == 0) {
    report_and_print(&arena);
    out = false;
  }
  *calls = arena.calls;
  pl_arena_release(&arena);
  return out;
}

static void every_allocation_may_fail(void) {
  uint64_t calls, reached;

  CU_ASSERT_FALSE_FATAL(runs_out(0, &calls));
  CU_ASSERT(calls > 35);
  for (uint64_t k = 1; k <= calls; k++) {
    CU_ASSERT(runs_out(k, &reached));
    CU_ASSERT_EQUAL(reached, k);
  }
}

static void severities_have_names(void) {
  CU_ASSERT_STRING_EQUAL(pl_severity_name(PL_ADVICE), "advice");
  CU_ASSERT_STRING_EQUAL(pl_severity_name(PL_FAULT), "fault");
  CU_ASSERT_STRING_EQUAL(pl_severity_name(PL_DANGER), "danger");
  CU_ASSERT_STRING_EQUAL(pl_severity_name(PL_ERROR), "error");
}

static CU_TestInfo list_tests[] = {
    {"missing texts become empty", missing_texts_become_empty},
    {"errors are kept to PL_LIMIT_ERRORS and all counted", errors_are_limited},
    {"the order is the same every time", order_is_the_same_every_time},
    {"many findings are sorted", many_findings_are_sorted},
    {"certificates are told", certificates_are_told},
    {"JSON is as documented", json_is_as_documented},
    {"every single allocation may fail", every_allocation_may_fail},
    {"severities have names", severities_have_names},
    CU_TEST_INFO_NULL,
};

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("places", source_tests),
                           PL_SUITE("the list and JSON", list_tests),
                           PL_SUITE("the print", print_tests),
                           CU_SUITE_INFO_NULL};

  return pl_test_main(suites);
}
