/* Findings as JSON, one finding a line. */
#include <math.h>

#include "base/json.h"
#include "finding/finding.h"

/* 1-based, in characters of its line: what cuts a text wants neither bytes nor the columns of a
 * terminal. */
static double character(const struct pl_sources *sources, struct pl_span line, uint32_t offset) {
  const char *text = sources->files.at[line.file].text;
  double n = 1;
  for (uint32_t at = pl_source_line(sources, line).start; at < offset; at++)
    n += ((unsigned char)text[at] & 0xc0) != 0x80;
  return n;
}

/* The edits of a remedy that was tried; none spans lines. */
static void put_fixes(struct pl_json *json,
                      const struct pl_finding *finding,
                      const struct pl_sources *sources) {
  if (finding->fix_count == 0)
    return;
  pl_json_list(json, "fix");
  for (uint32_t i = 0; i < finding->fix_count; i++) {
    const struct pl_fix *fix = &finding->fixes[i];
    struct pl_position from = pl_source_position(sources, fix->span);
    pl_json_object(json, NULL);
    pl_json_text(json, "file", sources->files.at[fix->span.file].path);
    pl_json_number(json, "line", from.line);
    pl_json_number(json, "col", character(sources, fix->span, fix->span.start));
    pl_json_number(json, "end", character(sources, fix->span, fix->span.end));
    pl_json_text(json, "new", fix->text);
    pl_json_close(json);
  }
  pl_json_close(json);
}

static void put_finding(struct pl_json *json,
                        const struct pl_finding *finding,
                        const struct pl_sources *sources) {
  struct pl_position position = pl_source_position(sources, finding->span);
  bool placed = finding->span.file < sources->files.n;

  pl_json_object(json, NULL);
  pl_json_text(json, "rule", finding->rule);
  pl_json_text(json, "severity", pl_severity_name(finding->severity));
  pl_json_text(json, "file", placed ? sources->files.at[finding->span.file].path : NULL);
  pl_json_number(json, "line", placed ? (double)position.line : NAN);
  pl_json_number(json, "col", placed ? (double)position.column : NAN);
  pl_json_text(json, "place", finding->place);
  pl_json_text(json, "state", finding->state);
  pl_json_number(json, "figure", finding->figure);
  pl_json_number(json, "limit", finding->limit);
  pl_json_text(json, "unit", finding->unit);
  pl_json_text(json, "text", finding->text);
  pl_json_text(json, "remedy", finding->remedy);
  pl_json_text(json, "source", finding->source);
  pl_json_text(json, "waived", finding->waived);
  pl_json_number(json, "follows", finding->follow_count);
  put_fixes(json, finding, sources);
  pl_json_close(json);
}

static void put_counts(struct pl_json *json, const struct pl_findings *findings) {
  static const enum pl_severity order[] = {PL_DANGER, PL_FAULT, PL_ADVICE, PL_ERROR};
  struct pl_finding_counts counts = pl_findings_count(findings);

  pl_json_object(json, "counts");
  for (size_t i = 0; i < sizeof order / sizeof order[0]; i++)
    pl_json_number(json, pl_severity_name(order[i]), counts.of[order[i]]);
  pl_json_number(json, "waived", counts.waived);
  pl_json_close(json);
}

static void put_certificates(struct pl_json *json,
                             const struct pl_findings *findings,
                             const struct pl_sources *sources) {
  pl_json_list(json, "proofs");
  for (uint32_t i = 0; i < findings->certificates.n; i++) {
    const struct pl_certificate *c = &findings->certificates.at[i];
    struct pl_position position = pl_source_position(sources, c->span);
    bool placed = c->span.file < sources->files.n;
    pl_json_line(json, 0);
    pl_json_object(json, NULL);
    pl_json_text(json, "require", c->what);
    pl_json_text(json, "file", placed ? sources->files.at[c->span.file].path : NULL);
    pl_json_number(json, "line", placed ? (double)position.line : NAN);
    pl_json_text(json, "result", c->result);
    pl_json_text(json, "text", c->text);
    pl_json_number(json, "combinations", c->combinations);
    pl_json_number(json, "sets", c->sets);
    pl_json_number(json, "solved", c->solved);
    pl_json_close(json);
  }
  if (findings->certificates.n > 0)
    pl_json_line(json, 0);
  pl_json_close(json);
}

void pl_findings_print_json(struct pl_buffer *out,
                            const struct pl_findings *findings,
                            const struct pl_sources *sources) {
  struct pl_json json;

  pl_json_begin(&json, out, true);
  pl_json_object(&json, NULL);
  pl_json_list(&json, "findings");
  for (uint32_t i = 0; i < findings->list.n; i++) {
    pl_json_line(&json, 0);
    put_finding(&json, &findings->list.at[i], sources);
  }
  if (findings->list.n > 0)
    pl_json_line(&json, 0);
  pl_json_close(&json);
  put_certificates(&json, findings, sources);
  put_counts(&json, findings);
  pl_json_finish(&json);
  pl_buffer_puts(out, "\n");
}
