/* Findings as JSON (RFC 8259), one finding a line. */
#include <string.h>

#include "base/number.h"
#include "base/utf8.h"
#include "finding/finding.h"

/* How many bytes from here on stand in a string as they are. */
static size_t plain(const char *text) {
  size_t n = 0;

  while (text[n] >= ' ' && text[n] <= '~' && text[n] != '"' && text[n] != '\\')
    n++;
  return n;
}

void pl_json_string(struct pl_buffer *out, const char *text) {
  const char *at = text == NULL ? "" : text;
  size_t n = plain(at);
  size_t left = strlen(at + n);

  pl_buffer_add(out, "\"", 1);
  pl_buffer_add(out, at, n);
  at += n;
  while (left > 0) {
    uint32_t code;
    size_t took = pl_utf8_decode(at, left, &code);

    if (took == 0) {
      pl_buffer_puts(out, "\xef\xbf\xbd");
      took = 1;
    } else if (code == '"' || code == '\\') {
      pl_buffer_puts(out, code == '"' ? "\\\"" : "\\\\");
    } else if (code == '\n' || code == '\t') {
      pl_buffer_puts(out, code == '\n' ? "\\n" : "\\t");
    } else if (code < 0x20 || (code >= 0x7f && code < 0xa0) || code == 0x2028 || code == 0x2029) {
      pl_buffer_printf(out, "\\u%04x", (unsigned)code);
    } else {
      pl_buffer_add(out, at, took);
    }
    at += took;
    left -= took;
  }
  pl_buffer_add(out, "\"", 1);
}

static void put_string(struct pl_buffer *out, const char *key, const char *text) {
  pl_buffer_printf(out, ", \"%s\": ", key);
  if (text == NULL)
    pl_buffer_puts(out, "null");
  else
    pl_json_string(out, text);
}

static void put_number(struct pl_buffer *out, const char *key, double value) {
  char number[PL_NUMBER_SIZE];

  pl_buffer_printf(out,
                   ", \"%s\": %s",
                   key,
                   isfinite(value) ? pl_number_exact(number, value) : "null");
}

static void put_finding(struct pl_buffer *out,
                        const struct pl_finding *finding,
                        const struct pl_sources *sources) {
  struct pl_position position = pl_source_position(sources, finding->span);
  bool placed = finding->span.file < sources->files.n;

  pl_buffer_puts(out, "{\"rule\": ");
  pl_json_string(out, finding->rule);
  put_string(out, "severity", pl_severity_name(finding->severity));
  put_string(out, "file", placed ? sources->files.at[finding->span.file].path : NULL);
  put_number(out, "line", placed ? (double)position.line : NAN);
  put_number(out, "col", placed ? (double)position.column : NAN);
  put_string(out, "place", finding->place);
  put_string(out, "state", finding->state);
  put_number(out, "figure", finding->figure);
  put_number(out, "limit", finding->limit);
  put_string(out, "unit", finding->unit);
  put_string(out, "text", finding->text);
  put_string(out, "remedy", finding->remedy);
  put_string(out, "source", finding->source);
  put_string(out, "waived", finding->waived);
  put_number(out, "follows", finding->follow_count);
  pl_buffer_puts(out, "}");
}

static void put_counts(struct pl_buffer *out, const struct pl_findings *findings) {
  struct pl_finding_counts counts = pl_findings_count(findings);

  pl_buffer_printf(out,
                   "{\"danger\": %u, \"fault\": %u, \"advice\": %u, \"error\": %u, \"waived\": %u}",
                   (unsigned)counts.of[PL_DANGER],
                   (unsigned)counts.of[PL_FAULT],
                   (unsigned)counts.of[PL_ADVICE],
                   (unsigned)counts.of[PL_ERROR],
                   (unsigned)counts.waived);
}

void pl_findings_print_json(struct pl_buffer *out,
                            const struct pl_findings *findings,
                            const struct pl_sources *sources) {
  pl_buffer_puts(out, "{\"findings\": [");
  for (uint32_t i = 0; i < findings->list.n; i++) {
    pl_buffer_puts(out, i == 0 ? "\n" : ",\n");
    put_finding(out, &findings->list.at[i], sources);
  }
  pl_buffer_puts(out, findings->list.n == 0 ? "], \"counts\": " : "\n], \"counts\": ");
  put_counts(out, findings);
  pl_buffer_puts(out, "}\n");
}
