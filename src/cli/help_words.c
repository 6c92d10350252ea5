/* What a word of the language means, from the tables that the reader itself uses. */
#include "cli/help_words.h"

#include <string.h>

#include "harness/kind.h"

static void help_kind(struct pl_buffer *out, const struct pl_kind_row *row) {
  pl_buffer_printf(out, "%s: %s\n", row->word, row->help);
  if (row->pins[0] != '\0')
    pl_buffer_printf(out, "  its pins: %s\n", row->pins);
  pl_buffer_printf(out, "  for example: %s\n", row->example);
}

bool pl_help_word(struct pl_buffer *out, const char *word) {
  for (int kind = 0; kind < PL_KIND_COUNT; kind++)
    if (strcmp(pl_kind_name((enum pl_kind)kind), word) == 0) {
      help_kind(out, pl_kind_row((enum pl_kind)kind));
      return true;
    }
  return false;
}
