/* What cannot be read becomes an error with its place, one for each line. */
#include "suspect/said_inner.h"

void pl_said_complain_at(struct pl_said_reader *r,
                         struct pl_said_line *line,
                         uint32_t start,
                         uint32_t end,
                         const char *text,
                         const char *remedy) {
  if (line->bad)
    return;
  line->bad = true;
  r->good = false;
  pl_findings_error(r->findings, (struct pl_span){r->file, start, end}, text, remedy);
}

void pl_said_complain(struct pl_said_reader *r,
                      struct pl_said_line *line,
                      const char *text,
                      const char *remedy) {
  pl_said_complain_at(r, line, line->start, line->end, text, remedy);
}

const char *pl_said_states(struct pl_said_reader *r) {
  struct pl_buffer known;

  pl_buffer_init(&known, r->arena);
  for (pl_id s = 0; s < r->harness->states.n; s++)
    pl_buffer_printf(&known, "%s%s", s > 0 ? ", " : "", r->harness->states.at[s].name);
  if (known.n > 0)
    return known.at;
  return "none is declared";
}
