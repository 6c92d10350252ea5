/* Sheets as CSV.  Whatever the user typed lands as text: quoted, and never as a formula. */
#include "write/csv.h"

#include <string.h>

#include "base/number.h"
#include "base/utf8.h"

/* The full-width forms of = + - @ that some spreadsheets read alike. */
static bool is_wide_sign(const char *text) {
  static const char *const signs[] = {"\xEF\xBC\x9D",
                                      "\xEF\xBC\x8B",
                                      "\xEF\xBC\x8D",
                                      "\xEF\xBC\xA0"};
  for (int i = 0; i < 4; i++)
    if (strncmp(text, signs[i], 3) == 0)
      return true;
  return false;
}

bool pl_csv_is_formula(const char *text) {
  size_t n = strlen(text);
  size_t used = 0;
  double value;
  if (n == 0)
    return false;
  if ((strchr("=+-@\t\r\n", text[0]) == NULL && !is_wide_sign(text)))
    return false;
  if (n == 1 && (text[0] == '+' || text[0] == '-'))
    return false;
  if (text[0] != '-')
    return true;
  if (!pl_number_parse(text, n, &value, &used))
    return true;
  return used != n;
}

/* Broken bytes and control characters but tab and line end become U+FFFD, so that the file is UTF-8
 * text. */
static void put_text(struct pl_buffer *out, const char *text) {
  size_t left = strlen(text);
  while (left > 0) {
    uint32_t code = 0;
    size_t took = pl_utf8_decode(text, left, &code);
    bool good = took > 0 && (code >= 0x20 || code == '\t' || code == '\n') &&
                !(code >= 0x7F && code < 0xA0);
    if (!good)
      pl_buffer_puts(out, "\xEF\xBF\xBD");
    else if (code == '"')
      pl_buffer_puts(out, "\"\"");
    else
      pl_buffer_add(out, text, took);
    took = took == 0 ? 1 : took;
    text += took;
    left -= took;
  }
}

/* Blanks at the ends are kept by the quotes; so is a row of one empty field. */
static bool wants_quotes(const char *text) {
  size_t n = strlen(text);
  if (strpbrk(text, ",\"\r\n\t") != NULL)
    return true;
  return n > 0 && (text[0] == ' ' || text[n - 1] == ' ');
}

static void put_field(struct pl_buffer *out, const char *text, bool first) {
  bool quotes = wants_quotes(text);
  if (!first)
    pl_buffer_puts(out, ",");
  if (quotes)
    pl_buffer_puts(out, "\"");
  if (pl_csv_is_formula(text))
    pl_buffer_puts(out, "'");
  put_text(out, text);
  if (quotes)
    pl_buffer_puts(out, "\"");
}

void pl_csv_write(struct pl_buffer *out, const struct pl_sheet *sheet) {
  for (uint32_t c = 0; c < sheet->column_count; c++)
    put_field(out, sheet->columns[c].head, c == 0);
  pl_buffer_puts(out, "\r\n");
  for (uint32_t r = 0; r < sheet->rows.n; r++) {
    for (uint32_t c = 0; c < sheet->column_count; c++)
      put_field(out, sheet->rows.at[r].cells[c], c == 0);
    pl_buffer_puts(out, "\r\n");
  }
}
