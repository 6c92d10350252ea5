/* Tests of src/text. */
#include "test_text.h"

void read_bytes(struct reading *reading, const char *text, size_t n) {
  pl_test_arena(&reading->arena);
  pl_sources_init(&reading->sources, &reading->arena);
  pl_findings_init(&reading->findings, &reading->arena);
  pl_tree_init(&reading->tree, &reading->arena);
  pl_sources_add(&reading->sources, "x.loom", pl_arena_strndup(&reading->arena, text, n), n);
  pl_tree_read(&reading->tree, &reading->sources, 0, &reading->findings);
}

void read_text(struct reading *reading, const char *text) {
  read_bytes(reading, text, strlen(text));
}

void read_more(struct reading *reading, const char *text) {
  uint32_t file = pl_sources_add(&reading->sources, "y.loom", text, strlen(text));

  pl_tree_read(&reading->tree, &reading->sources, file, &reading->findings);
}

void done_reading(struct reading *reading) {
  pl_arena_release(&reading->arena);
}

const char *printed(struct reading *reading) {
  struct pl_buffer out;
  char *last;

  pl_findings_sort(&reading->findings, &reading->sources);
  pl_buffer_init(&out, &reading->arena);
  pl_findings_print(&out, &reading->findings, &reading->sources);
  out.at[out.n - 1] = '\0';
  last = strrchr(out.at, '\n');
  if (last == NULL)
    return "";
  last[1] = '\0';
  return out.at;
}

static void outline_line(struct pl_buffer *out, const struct pl_tree *tree, uint32_t index) {
  const struct pl_line *line = &tree->lines.at[index];

  for (uint32_t i = 0; i < line->count; i++) {
    const struct pl_word *word = &tree->words.at[line->first + i];

    pl_buffer_printf(out,
                     word->kind == PL_TEXT ? "%s\"%s\"" : "%s%s",
                     i > 0 ? " " : "",
                     word->text);
  }
}

const char *outline(struct reading *reading) {
  const struct pl_tree *tree = &reading->tree;
  struct pl_buffer out;

  pl_buffer_init(&out, &reading->arena);
  for (uint32_t i = 0; i < tree->statements.n; i++) {
    const struct pl_statement *statement = &tree->statements.at[i];

    outline_line(&out, tree, statement->line);
    pl_buffer_puts(&out, "{");
    for (uint32_t j = 0; j < statement->body_count; j++) {
      pl_buffer_puts(&out, j > 0 ? ";" : "");
      outline_line(&out, tree, statement->body_first + j);
    }
    pl_buffer_puts(&out, "}\n");
  }
  return out.at;
}

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("tree", tree_tests),
                           PL_SUITE("mistakes of the tree", tree_error_tests),
                           PL_SUITE("cursor", cursor_tests),
                           PL_SUITE("units", unit_tests),
                           PL_SUITE("quantities", quantity_tests),
                           CU_SUITE_INFO_NULL};

  return pl_test_main(suites);
}
