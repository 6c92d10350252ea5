/* What a word of the language means, from the tables that the reader itself uses. */
#include "cli/help_words.h"

#include <string.h>

#include "harness/kind.h"
#include "model/facts.h"

static void help_kind(struct pl_buffer *out, const struct pl_kind_row *row) {
  pl_buffer_printf(out, "%s: %s\n", row->word, row->help);
  if (row->pins[0] != '\0')
    pl_buffer_printf(out, "  its pins: %s\n", row->pins);
  pl_buffer_printf(out, "  for example: %s\n", row->example);
}

static void help_fact(struct pl_buffer *out, const struct pl_fact_row *row) {
  pl_buffer_printf(out, "%s, of a %s: %s\n", row->word, row->thing, row->help);
  pl_buffer_printf(out, "  for example: %s\n", row->example);
}

/* A word may be a kind and describe several things; all are told. */
bool pl_help_word(struct pl_buffer *out, const char *word) {
  bool known = false;
  for (int kind = 0; kind < PL_KIND_COUNT; kind++)
    if (strcmp(pl_kind_name((enum pl_kind)kind), word) == 0) {
      help_kind(out, pl_kind_row((enum pl_kind)kind));
      known = true;
    }
  for (uint32_t i = 0; word[0] != '\0' && i < pl_fact_count; i++)
    if (strcmp(pl_facts[i].word, word) == 0) {
      help_fact(out, &pl_facts[i]);
      known = true;
    }
  return known;
}
