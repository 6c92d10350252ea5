/* The list of findings and its order.  Must not know how a finding is printed or what rule made it.
 */
#include "finding/finding.h"

#include <stdlib.h>
#include <string.h>

#include "base/limits.h"

void pl_findings_init(struct pl_findings *findings, struct pl_arena *arena) {
  *findings = (struct pl_findings){.arena = arena};
}

static void fill(const char **text) {
  if (*text == NULL)
    *text = "";
}

void pl_findings_add(struct pl_findings *findings, struct pl_finding finding) {
  if (finding.severity == PL_ERROR && ++findings->errors > PL_LIMIT_ERRORS)
    return;
  fill(&finding.rule);
  fill(&finding.place);
  fill(&finding.state);
  fill(&finding.unit);
  fill(&finding.text);
  fill(&finding.remedy);
  fill(&finding.source);
  fill(&finding.blames);
  fill(&finding.follows);
  PL_PUSH(findings->arena, &findings->list, finding);
}

void pl_findings_error(struct pl_findings *findings,
                       struct pl_span span,
                       const char *text,
                       const char *remedy) {
  pl_findings_add(findings,
                  (struct pl_finding){.rule = "text",
                                      .severity = PL_ERROR,
                                      .span = span,
                                      .figure = NAN,
                                      .limit = NAN,
                                      .text = text,
                                      .remedy = remedy});
}

const char *pl_severity_name(enum pl_severity severity) {
  switch (severity) {
    case PL_ADVICE:
      return "advice";
    case PL_FAULT:
      return "fault";
    case PL_DANGER:
      return "danger";
    case PL_ERROR:
      break;
  }
  return "error";
}

struct pl_finding_counts pl_findings_count(const struct pl_findings *findings) {
  struct pl_finding_counts counts = {{0}, 0};

  for (uint32_t i = 0; i < findings->list.n; i++)
    if (findings->list.at[i].waived != NULL)
      counts.waived++;
    else
      counts.of[findings->list.at[i].severity]++;
  if (findings->errors > PL_LIMIT_ERRORS)
    counts.of[PL_ERROR] += findings->errors - PL_LIMIT_ERRORS;
  return counts;
}

struct entry {
  struct pl_position position;
  struct pl_finding finding;
  uint32_t index;
};

static int by_number(uint32_t a, uint32_t b) {
  return (a > b) - (a < b);
}

static int by_order(const void *left, const void *right) {
  const struct entry *a = left;
  const struct entry *b = right;
  int order = by_number(a->finding.span.file, b->finding.span.file);

  if (order == 0)
    order = by_number(a->position.line, b->position.line);
  if (order == 0)
    order = by_number(a->position.column, b->position.column);
  if (order == 0)
    order = by_number(b->finding.severity, a->finding.severity);
  if (order == 0)
    order = strcmp(a->finding.rule, b->finding.rule);
  if (order == 0)
    order = strcmp(a->finding.place, b->finding.place);
  if (order != 0)
    return order;
  return by_number(a->index, b->index);
}

void pl_findings_sort(struct pl_findings *findings, const struct pl_sources *sources) {
  uint32_t n = findings->list.n;
  struct entry *entries;

  if (n < 2)
    return;
  entries = PL_NEW_ARRAY(findings->arena, struct entry, n);
  for (uint32_t i = 0; i < n; i++) {
    entries[i].finding = findings->list.at[i];
    entries[i].position = pl_source_position(sources, entries[i].finding.span);
    entries[i].index = i;
  }
  qsort(entries, n, sizeof *entries, by_order);
  for (uint32_t i = 0; i < n; i++)
    findings->list.at[i] = entries[i].finding;
}
