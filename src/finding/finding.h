/* Findings: the one way Pinloom reports.  A message is data first; printers make text or JSON of
 * it. */
#ifndef PL_FINDING_FINDING_H
#define PL_FINDING_FINDING_H

#include <math.h>

#include "base/buffer.h"
#include "finding/source.h"

enum pl_severity {
  PL_ADVICE, /* worth a look */
  PL_FAULT,  /* will not work as meant, or will wear out */
  PL_DANGER, /* can burn, run away or hurt somebody */
  PL_ERROR   /* the text cannot be read, or the machine failed */
};

/* Bytes of a source text and what is to stand there instead. */
struct pl_fix {
  struct pl_span span;
  const char *text;
};

struct pl_finding {
  const char *rule; /* name of the rule, or "text" for reading errors */
  enum pl_severity severity;
  struct pl_span span;
  const char *place;    /* "wire 41", "ECM.A12"; "" when there is none */
  const char *state;    /* name of the state it occurs in; "" when it is in all or in none */
  double figure, limit; /* NAN when there is none */
  const char *unit;     /* of both; "" */
  const char *text;     /* what is wrong and why: one line, lower case start, no full stop */
  const char *remedy;   /* what to do: one line; "" */
  const char *source;   /* where the limit comes from; "" */
  const char *waived;   /* the written reason, or NULL */
  const char *blames; /* the place its cause lies at where that is not `place`: what joins it to the
                         finding of that place; "" */
  const char *follows;   /* what only follows from it and is therefore not listed by itself:
                            "fuse-load at F1 and 17 more"; "" */
  uint32_t follow_count; /* how many those are */
  const uint32_t *wires; /* wires of the model whose size, or being there, it hangs on: those that
                            count most first */
  uint32_t wire_count;
  const struct pl_fix *fixes; /* the remedy as edits, in the order of the text; only what was tried
                                 stands here */
  uint32_t fix_count;
};

/* What was asked to be proven, and how that ended: told beside the findings, to whoever asks. */
struct pl_certificate {
  struct pl_span span;
  const char *what;      /* "STARTER off unless RANGE in neutral" */
  const char *result;    /* "proven", "broken", "not proven" */
  const char *text;      /* "proven for all 6,140 combinations of positions" */
  double combinations;   /* there are; 0 where a declared state decided */
  uint32_t sets, solved; /* sets of combinations looked at, combinations solved */
};

struct pl_findings {
  struct pl_arena *arena;
  PL_VEC(struct pl_finding) list;
  PL_VEC(struct pl_certificate) certificates; /* in the order of the text */
  uint32_t errors; /* how many PL_ERROR were reported, those beyond PL_LIMIT_ERRORS included */
};

void pl_findings_init(struct pl_findings *findings, struct pl_arena *arena);

/* Copies the record; missing strings become "".  Texts must live in the arena or be static. */
void pl_findings_add(struct pl_findings *findings, struct pl_finding finding);

/* An error of the text: `text` says what was expected and what was found, `remedy` one thing to try
 * ("did you mean KEY?"). */
void pl_findings_error(struct pl_findings *findings,
                       struct pl_span span,
                       const char *text,
                       const char *remedy);

/* By file, line, column, severity (worst first), rule, place: the same order every time. */
void pl_findings_sort(struct pl_findings *findings, const struct pl_sources *sources);

/* How many there are of each severity, waived ones left out and counted apart; errors beyond
 * PL_LIMIT_ERRORS count. */
struct pl_finding_counts {
  uint32_t of[PL_ERROR + 1];
  uint32_t waived;
};
struct pl_finding_counts pl_findings_count(const struct pl_findings *findings);

const char *pl_severity_name(enum pl_severity severity); /* "advice", "fault", "danger", "error" */

/* GNU form, one finding a line, then the source line with a caret as wide as the span, then
 * indented lines for state, remedy and source.  Control characters of the user's text are shown as
 * '?'.  `waived` findings are listed last, briefly. */
void pl_findings_print(struct pl_buffer *out,
                       const struct pl_findings *findings,
                       const struct pl_sources *sources);

/* "pump.loom:68:1: proven for all 12 combinations of positions: M1 off unless KEY in start", a line
 * for each certificate. */
void pl_certificates_print(struct pl_buffer *out,
                           const struct pl_findings *findings,
                           const struct pl_sources *sources);

/* {"findings": [...], "counts": {...}} as docs/output.md says.  Counts leave waived findings out
 * and count them apart. */
void pl_findings_print_json(struct pl_buffer *out,
                            const struct pl_findings *findings,
                            const struct pl_sources *sources);

#endif
