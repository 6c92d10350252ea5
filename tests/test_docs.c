/* Documents against code: every example of the language's reference is read; every word, rule,
 * command and option that the program knows is in the documents, and the documents know no command
 * or rule that the program lacks. */
#define _GNU_SOURCE /* strcasestr */
#include "base/file.h"
#include "cli/cli.h"
#include "model/build.h"
#include "pl_test.h"

static struct pl_arena arena;

static int set_up(void) {
  pl_test_arena(&arena);
  return 0;
}

static int clear(void) {
  pl_arena_release(&arena);
  return 0;
}

static const char *document(const char *name) {
  const char *text;
  size_t size;
  CU_ASSERT_FATAL(pl_file_read(&arena, pl_test_path(name), &text, &size) == PL_FILE_OK);
  return text;
}

static void example_is_read(char *example, const char *row) {
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_reader reader = pl_reader_text(example);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_harness_init(&harness, &arena);
  if (PL_CHECK(pl_build("example.loom", &reader, &sources, &findings, &harness), row))
    return;
  struct pl_buffer out;
  pl_buffer_init(&out, &arena);
  pl_findings_print(&out, &findings, &sources);
  printf("%s", out.at);
}

static void every_example_is_read(void) {
  static const char fence[] = "```loom\n";
  const char *at = document("docs/language.md");
  int n = 0;
  while ((at = strstr(at, fence)) != NULL) {
    at += sizeof fence - 1;
    const char *end = strstr(at, "```\n");
    CU_ASSERT_FATAL(end != NULL);
    example_is_read(pl_arena_strndup(&arena, at, (size_t)(end - at)),
                    pl_arena_printf(&arena, "example %d of docs/language.md", ++n));
    at = end + 4;
  }
  PL_CHECK(n >= 12, "the reference has its examples");
}

static void every_word_is_explained(void) {
  const struct pl_language_word *words;
  uint32_t n = pl_language_words(&words, &arena);
  const char *text = document("docs/language.md");
  CU_ASSERT_FATAL(n > 40);
  for (uint32_t i = 0; i < n; i++) {
    /* as code, or at the beginning of a line of a statement's list */
    const char *code = pl_arena_printf(&arena, "`%s", words[i].word);
    const char *line = pl_arena_printf(&arena, "    %s ", words[i].word);
    const char *bare = pl_arena_printf(&arena, "      %s\n", words[i].word);
    const char *donor = pl_arena_printf(&arena, "    %s  ", words[i].word);
    PL_CHECK(strstr(text, code) || strstr(text, line) || strstr(text, bare) || strstr(text, donor),
             words[i].word);
    PL_CHECK(strncmp(words[i].example, words[i].word, strlen(words[i].word)) == 0,
             words[i].example);
  }
}

static void every_command_is_in_the_man_page(void) {
  const char *man = document("docs/pinloom.1");
  const char *readme = document("README.md");
  for (int i = 0; i < pl_command_count; i++) {
    PL_CHECK(strstr(man, pl_arena_printf(&arena, "%s\n", pl_commands[i].name)) ||
                 strstr(man, pl_arena_printf(&arena, "\"%s \"", pl_commands[i].name)),
             pl_commands[i].name);
    const char *help = pl_commands[i].help;
    PL_CHECK(strcasestr(man, help) != NULL, help);
  }
  const char *said[] = {"pinloom new",
                        "pinloom check",
                        "pinloom book",
                        "pinloom pin",
                        "pinloom solve"};
  for (size_t i = 0; i < sizeof said / sizeof said[0]; i++)
    PL_CHECK(strstr(readme, said[i]) != NULL, said[i]);
  for (const char *at = readme; (at = strstr(at, "\n    pinloom ")) != NULL;
       at++) { /* and the README knows no other */
    const char *word = at + strlen("\n    pinloom ");
    bool known = false;
    for (int i = 0; i < pl_command_count; i++)
      known = known || strncmp(word, pl_commands[i].name, strlen(pl_commands[i].name)) == 0;
    PL_CHECK(known, pl_arena_strndup(&arena, word, strcspn(word, "\n")));
  }
}

/* The finding that README shows is what the program prints, line by line. */
static void readme_shows_a_real_finding(void) {
  struct pl_session session;
  struct pl_buffer out;
  pl_session_init(&session, &arena);
  PL_CHECK(pl_session_run(&session,
                          pl_test_path("harnesses/mistakes/wire-drop.loom"),
                          &pl_reader_disk,
                          PL_STAGE_CHECKED),
           "wire-drop.loom");
  pl_buffer_init(&out, &arena);
  pl_findings_print(&out, &session.findings, &session.sources);
  const char *readme = document("README.md");
  const char *from = strstr(out.at, "harnesses/mistakes/");
  for (int i = 0; i < 6 && from != NULL;
       i++) { /* the finding with its source line, caret, state, remedy and limit */
    size_t n = strcspn(from, "\n");
    const char *line = pl_arena_strndup(&arena, from, n);
    PL_CHECK(strstr(readme, line) != NULL, line);
    from += n + 1;
  }
  pl_session_release(&session);
}

static void every_option_is_in_the_man_page(void) {
  const char *man = document("docs/pinloom.1");
  const char *options[] = {"-o ", "--state ", "--only ", "--json", "--spice"};
  for (size_t i = 0; i < sizeof options / sizeof options[0]; i++)
    PL_CHECK(strstr(man, options[i]) != NULL, options[i]);
}

static void every_rule_has_its_paragraph(void) {
  const char *text = document("docs/rules.md");
  for (uint32_t i = 0; i < pl_rule_count; i++)
    PL_CHECK(strstr(text, pl_arena_printf(&arena, "\n### %s\n", pl_rules[i].name)) != NULL,
             pl_rules[i].name);
  for (const char *at = text; (at = strstr(at, "\n### ")) != NULL; at++) {
    const char *name = pl_arena_strndup(&arena, at + 5, strcspn(at + 5, "\n"));
    PL_CHECK(pl_rule_find(name) != NULL, name);
  }
}

static CU_TestInfo tests[] = {
    {"every example of the language is read", every_example_is_read},
    {"every word of the language is explained", every_word_is_explained},
    {"every command is in the man page", every_command_is_in_the_man_page},
    {"README shows a real finding", readme_shows_a_real_finding},
    {"every option is in the man page", every_option_is_in_the_man_page},
    {"every rule has its paragraph", every_rule_has_its_paragraph},
    CU_TEST_INFO_NULL};

int main(void) {
  CU_SuiteInfo suites[] = {{"documents", set_up, clear, NULL, NULL, tests}, CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
