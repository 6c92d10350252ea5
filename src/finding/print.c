/* Findings as text for people and editors: one line in GNU form, the source line with a caret, what
 * to do.  Whatever comes from the user's text is made harmless for a terminal here. */
#include <string.h>

#include "base/limits.h"
#include "base/utf8.h"
#include "finding/finding.h"

enum {
  SHOWN = 100, /* columns of a source line; longer lines are shown around the span */
  CUT = 3,     /* columns of "..." */
  MARGIN = 20, /* columns kept visible beside a wide span */
  SCAN = 8192  /* bytes of a line looked at before and after the span's start */
};

#define UNKNOWN UINT32_MAX /* columns not met yet */

static const char indent[] = "  ";

static void put_many(struct pl_buffer *out, char c, uint32_t n) {
  while (n-- > 0)
    pl_buffer_add(out, &c, 1);
}

/* A piece of a source line: bytes, the columns before them in the line, and the columns of the
 * span. */
struct view {
  const char *text;
  uint32_t start, end, columns;
  uint32_t span_from, span_to;
  uint32_t width;    /* of the whole line; UNKNOWN when it goes on beyond `end` */
  uint32_t from, to; /* the columns shown */
  bool cut_left, cut_right;
};

/* Measures the line; a line of megabytes is looked at only near the span. */
static void measure(struct view *view,
                    const struct pl_sources *sources,
                    struct pl_span span,
                    struct pl_source_line line) {
  const struct pl_source *source = &sources->files.at[span.file];
  uint32_t start = span.start < line.end ? span.start : line.end;
  uint32_t end = span.end < line.end ? span.end : line.end;
  uint32_t at, columns;

  *view = (struct view){.text = source->text, .start = line.start, .end = line.end};
  if (start - line.start > SCAN)
    view->start = pl_source_mark(sources, span.file, start - SCAN / 2, &view->columns);
  if (line.end - start > SCAN)
    view->end = start + SCAN;
  at = view->start;
  columns = view->columns;
  view->span_from = view->span_to = UNKNOWN;
  while (at < view->end) {
    uint32_t before = columns;
    uint32_t took = (uint32_t)pl_source_step(source->text + at, line.end - at, &columns);

    if (at <= start && start < at + took)
      view->span_from = before;
    if (start < end && end > at && end <= at + took)
      view->span_to = columns;
    at += took;
  }
  view->end = at;
  if (start >= line.end)
    view->span_from = columns;
  if (start < end && view->span_to == UNKNOWN)
    view->span_to = columns;
  if (start >= end || view->span_to <= view->span_from)
    view->span_to = view->span_from + 1;
  if (at < line.end)
    view->width = columns + SHOWN;
  else
    view->width = columns;
}

/* Chooses SHOWN columns around the span. */
static void choose(struct view *view) {
  uint32_t width = view->width;
  uint32_t span = view->span_to - view->span_from;
  uint32_t side;

  view->from = 0;
  view->to = width;
  if (width <= SHOWN)
    return;
  if (span > SHOWN - 2 * MARGIN)
    span = SHOWN - 2 * MARGIN;
  side = (SHOWN - span) / 2;
  if (view->span_from > side)
    view->from = view->span_from - side;
  else
    view->from = 0;
  if (view->from + SHOWN > width)
    view->from = width - SHOWN;
  view->to = view->from + SHOWN;
  view->cut_left = view->from > 0;
  view->cut_right = view->to < width;
}

/* The bytes between two columns; a tab or wide character across an edge leaves spaces. */
static void
put_columns(struct pl_buffer *out, const struct view *view, uint32_t from, uint32_t to) {
  uint32_t columns = view->columns;
  uint32_t filled = from;

  for (uint32_t at = view->start; at < view->end;) {
    uint32_t before = columns;
    uint32_t code = 0;
    const char *text = view->text + at;
    size_t took = pl_source_step(text, view->end - at, &columns);
    bool whole = before >= from && columns <= to;

    at += (uint32_t)took;
    if (columns < from || before > to)
      continue;
    if (before == columns && (before <= from || before > to))
      continue;
    if (whole && *text != '\t') {
      put_many(out, ' ', before > filled ? before - filled : 0);
      filled = columns;
      if (pl_utf8_decode(text, took, &code) == 0 || pl_utf8_is_control(code))
        pl_buffer_puts(out, "?");
      else if (!pl_utf8_turns_text(code))
        pl_buffer_add(out, text, took);
    }
  }
  if (view->width > to)
    put_many(out, ' ', to > filled ? to - filled : 0);
}

static void
put_source_line(struct pl_buffer *out, const struct pl_sources *sources, struct pl_span span) {
  struct pl_source_line line = pl_source_line(sources, span);
  struct view view;
  uint32_t visible_to;

  if (line.start == line.end)
    return; /* an empty line, or the end of the text: there is nothing to show */
  measure(&view, sources, span, line);
  choose(&view);
  pl_buffer_puts(out, indent);
  if (view.cut_left)
    pl_buffer_puts(out, "...");
  put_columns(out,
              &view,
              view.from + (view.cut_left ? CUT : 0),
              view.to - (view.cut_right ? CUT : 0));
  pl_buffer_puts(out, view.cut_right ? "...\n" : "\n");
  pl_buffer_puts(out, indent);
  put_many(out, ' ', view.span_from - view.from);
  if (view.cut_right && view.span_to > view.to - CUT)
    visible_to = view.to - CUT;
  else
    visible_to = view.span_to;
  pl_buffer_puts(out, "^");
  if (visible_to > view.span_from + 1)
    put_many(out, '~', visible_to - view.span_from - 1);
  pl_buffer_puts(out, "\n");
}

/* path:line:col: or the program's name, as GNU asks. */
static void
put_place(struct pl_buffer *out, const struct pl_sources *sources, struct pl_span span) {
  struct pl_position position = pl_source_position(sources, span);

  if (span.file >= sources->files.n) {
    pl_buffer_puts(out, "pinloom: ");
    return;
  }
  pl_buffer_put_safe(out, sources->files.at[span.file].path);
  pl_buffer_printf(out, ":%u:%u: ", (unsigned)position.line, (unsigned)position.column);
}

static void put_detail(struct pl_buffer *out, const char *name, const char *text) {
  if (text[0] == '\0')
    return;
  pl_buffer_printf(out, "%s%s: ", indent, name);
  pl_buffer_put_safe(out, text);
  pl_buffer_puts(out, "\n");
}

static void put_finding(struct pl_buffer *out,
                        const struct pl_finding *finding,
                        const struct pl_sources *sources) {
  put_place(out, sources, finding->span);
  pl_buffer_printf(out, "%s: ", pl_severity_name(finding->severity));
  pl_buffer_put_safe(out, finding->text);
  if (finding->rule[0] != '\0') {
    pl_buffer_puts(out, " [");
    pl_buffer_put_safe(out, finding->rule);
    pl_buffer_puts(out, "]");
  }
  pl_buffer_puts(out, "\n");
  if (finding->span.file < sources->files.n)
    put_source_line(out, sources, finding->span);
  put_detail(out, "in state", finding->state);
  put_detail(out, finding->severity == PL_ERROR ? "try" : "do", finding->remedy);
  put_detail(out, "limit from", finding->source);
  put_detail(out, "explains", finding->follows);
}

static void put_waived(struct pl_buffer *out,
                       const struct pl_finding *finding,
                       const struct pl_sources *sources) {
  put_place(out, sources, finding->span);
  pl_buffer_puts(out, "waived: ");
  pl_buffer_put_safe(out, finding->text);
  if (finding->waived[0] != '\0') {
    pl_buffer_puts(out, " (");
    pl_buffer_put_safe(out, finding->waived);
    pl_buffer_puts(out, ")");
  }
  pl_buffer_puts(out, "\n");
}

static void
put_count(struct pl_buffer *out, uint32_t n, const char *one, const char *many, bool *first) {
  if (n == 0)
    return;
  pl_buffer_printf(out, "%s%u %s", *first ? "" : ", ", (unsigned)n, n == 1 ? one : many);
  *first = false;
}

static void put_summary(struct pl_buffer *out, const struct pl_findings *findings) {
  struct pl_finding_counts counts = pl_findings_count(findings);
  bool first = true;

  put_count(out, counts.of[PL_ERROR], "error", "errors", &first);
  if (findings->errors > PL_LIMIT_ERRORS)
    pl_buffer_printf(out, " (the first %d are shown)", PL_LIMIT_ERRORS);
  put_count(out, counts.of[PL_DANGER], "danger", "dangers", &first);
  put_count(out, counts.of[PL_FAULT], "fault", "faults", &first);
  put_count(out, counts.of[PL_ADVICE], "advice", "advice", &first);
  put_count(out, counts.waived, "waived", "waived", &first);
  pl_buffer_puts(out, first ? "no findings\n" : "\n");
}

void pl_findings_print(struct pl_buffer *out,
                       const struct pl_findings *findings,
                       const struct pl_sources *sources) {
  for (uint32_t i = 0; i < findings->list.n; i++)
    if (findings->list.at[i].waived == NULL)
      put_finding(out, &findings->list.at[i], sources);
  for (uint32_t i = 0; i < findings->list.n; i++)
    if (findings->list.at[i].waived != NULL)
      put_waived(out, &findings->list.at[i], sources);
  put_summary(out, findings);
}

void pl_certificates_print(struct pl_buffer *out,
                           const struct pl_findings *findings,
                           const struct pl_sources *sources) {
  for (uint32_t i = 0; i < findings->certificates.n; i++) {
    const struct pl_certificate *c = &findings->certificates.at[i];
    put_place(out, sources, c->span);
    pl_buffer_put_safe(out, c->text);
    pl_buffer_puts(out, ": ");
    pl_buffer_put_safe(out, c->what);
    pl_buffer_puts(out, "\n");
  }
}
