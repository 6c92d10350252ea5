/* The table of rules and docs/rules.md say the same: every rule has its heading, in the order of
 * the table, with its question. */
#include "base/file.h"
#include "test_rules.h"

static const char *document(struct pl_arena *arena) {
  const char *text;
  size_t size;
  CU_ASSERT_FATAL(pl_file_read(arena, pl_test_path("docs/rules.md"), &text, &size) == PL_FILE_OK);
  return text;
}

static void every_rule_has_its_paragraph(void) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  const char *at = document(&arena);
  for (uint32_t r = 0; r < pl_rule_count; r++) {
    const char *found =
        strstr(at, pl_arena_printf(&arena, "\n### %s\n%s", pl_rules[r].name, pl_rules[r].question));
    PL_CHECK(found != NULL, pl_rules[r].name);
    if (found != NULL)
      at = found + 1;
  }
  pl_arena_release(&arena);
}

static void every_paragraph_has_its_rule(void) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  unsigned n = 0;
  for (const char *at = strstr(document(&arena), "\n### "); at != NULL; at = strstr(at, "\n### ")) {
    at += 5;
    const char *name = pl_arena_strndup(&arena, at, strcspn(at, "\n"));
    PL_CHECK(pl_rule_find(name) != NULL, name);
    n++;
  }
  PL_CHECK_INT(n, pl_rule_count, "paragraphs");
  pl_arena_release(&arena);
}

static void the_table_is_in_order(void) {
  for (uint32_t r = 0; r < pl_rule_count; r++) {
    PL_CHECK(pl_rule_find(pl_rules[r].name) == &pl_rules[r], pl_rules[r].name); /* no name twice */
    PL_CHECK(pl_rules[r].source[0] != '\0', pl_rules[r].name);
    PL_CHECK(pl_rules[r].question[strlen(pl_rules[r].question) - 1] == '?', pl_rules[r].name);
  }
  PL_CHECK(pl_rule_find("no-such-rule") == NULL, "unknown");
}

CU_TestInfo rules_paper_tests[] = {
    {"every rule has its paragraph, with its question", every_rule_has_its_paragraph},
    {"every paragraph has its rule", every_paragraph_has_its_rule},
    {"names are found, sources are named", the_table_is_in_order},
    CU_TEST_INFO_NULL,
};
