/* `pinloom compare`: two texts of one machine, the change sheet as lines of text, and as files when
 * a folder is named. */
#include "cli/compare_command.h"

#include <string.h>

#include "cli/book.h"
#include "cli/write.h"
#include "write/change_pages.h"

/* "wire 41  resized  size: 14 AWG -> 12 AWG": empty cells are left out; what names the row comes
 * first. */
static void difference_line(struct pl_buffer *out, const char *const *cells) {
  const char *group = cells[0];
  const char *name = cells[1];
  const char *what = cells[2];
  const char *aspect = cells[3];
  const char *was = cells[4];
  const char *is = cells[5];
  const char *todo = cells[6];
  pl_buffer_printf(out, "  %s%s%s  %s", group, name[0] != '\0' ? " " : "", name, what);
  if (aspect[0] != '\0')
    pl_buffer_printf(out,
                     "  %s: %s -> %s",
                     aspect,
                     was[0] != '\0' ? was : "nothing",
                     is[0] != '\0' ? is : "nothing");
  else if (was[0] != '\0' || is[0] != '\0')
    pl_buffer_printf(out, "  %s%s", was, is);
  if (todo[0] != '\0')
    pl_buffer_printf(out, "\n      do: %s", todo);
  pl_buffer_puts(out, "\n");
}

static void
plain_line(struct pl_buffer *out, const struct pl_sheet *sheet, const struct pl_row *row) {
  uint32_t said = 0;
  for (uint32_t c = 0; c < sheet->column_count; c++) {
    if (row->cells[c][0] == '\0')
      continue;
    pl_buffer_printf(out,
                     "%s%s%s%s",
                     said == 0 ? "  " : "  ",
                     said > 0 && !sheet->columns[c].key ? sheet->columns[c].head : "",
                     said > 0 && !sheet->columns[c].key ? ": " : "",
                     row->cells[c]);
    said++;
  }
  pl_buffer_puts(out, "\n");
}

static void write_sheets(struct pl_buffer *out, const pl_sheets *sheets) {
  if (sheets->n == 0)
    pl_buffer_puts(out, "Nothing is different.\n");
  for (uint32_t i = 0; i < sheets->n; i++) {
    const struct pl_sheet *sheet = &sheets->at[i];
    pl_buffer_printf(out, "%s%s\n", i > 0 ? "\n" : "", sheet->title);
    for (uint32_t r = 0; r < sheet->rows.n; r++) {
      if (strcmp(sheet->file, "changes") == 0)
        difference_line(out, sheet->rows.at[r].cells);
      else
        plain_line(out, sheet, &sheet->rows.at[r]);
    }
  }
}

static struct pl_output_inputs inputs_of(struct pl_session *session) {
  return (struct pl_output_inputs){.harness = &session->harness,
                                   .network = session->network,
                                   .solutions = session->solutions,
                                   .findings = &session->findings,
                                   .sources = &session->sources,
                                   .proof = session->proof};
}

static int
compare(struct pl_session *old, struct pl_session *session, const struct pl_options *options) {
  struct pl_output_inputs was = inputs_of(old);
  struct pl_output_inputs is = inputs_of(session);
  struct pl_buffer out;
  pl_sheets sheets = {0};
  pl_outputs outputs = {0};
  pl_output_changes(&was, &is, session->arena, &sheets);
  pl_buffer_init(&out, session->arena);
  write_sheets(&out, &sheets);
  int status = pl_cli_print(out.at, out.n, sheets.n > 0 ? PL_EXIT_FINDINGS : PL_EXIT_FINE);
  if (status == PL_EXIT_MACHINE || options->folder == NULL)
    return status;
  pl_output_compare(&was, &is, &sheets, session->arena, &outputs);
  return pl_write_outputs(session->arena, options->folder, &outputs, status);
}

int pl_run_compare(struct pl_session *old, const struct pl_options *options) {
  struct pl_session session;
  if (pl_book_ready() != 0)
    return PL_EXIT_MACHINE;
  pl_session_init(&session, old->arena);
  int status;
  if (pl_session_run(&session, options->arguments[1], &pl_reader_disk, PL_STAGE_CHECKED))
    status = compare(old, &session, options);
  else
    status = pl_cli_print_errors(&session, options);
  pl_session_release(&session);
  return status;
}
