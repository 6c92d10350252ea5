/* Every file of harnesses/mistakes/: RULE.loom gives exactly the findings its first lines announce
 * ("# expect: RULE SEVERITY"), RULE.ok.loom none at all that is not waived.  And what a finding
 * proposes is tried out. */
#include <dirent.h>

#include "base/file.h"
#include "test_rules.h"

enum {
  MOST = 200
};

static int compare(const void *a, const void *b) {
  return strcmp(*(char *const *)a, *(char *const *)b);
}

/* Files of the folder that end in .loom, sorted. */
static unsigned list(char *names[MOST], struct pl_arena *arena) {
  unsigned n = 0;
  DIR *folder = opendir(pl_test_path("harnesses/mistakes"));
  CU_ASSERT_FATAL(folder != NULL);
  for (struct dirent *entry; (entry = readdir(folder)) != NULL && n < MOST;) {
    size_t length = strlen(entry->d_name);
    if (length > 5 && strcmp(entry->d_name + length - 5, ".loom") == 0)
      names[n++] = pl_arena_strdup(arena, entry->d_name);
  }
  closedir(folder);
  qsort(names, n, sizeof names[0], compare);
  return n;
}

static bool is_near_miss(const char *name) {
  return strstr(name, ".ok.loom") != NULL;
}

/* "RULE SEVERITY" of every expected finding, sorted, one a line. */
static const char *expected(const char *text, struct pl_arena *arena) {
  char *rows[MOST];
  unsigned n = 0;
  const char *mark = "# expect: ";
  for (const char *at = strstr(text, mark); at != NULL && n < MOST; at = strstr(at, mark)) {
    at += strlen(mark);
    rows[n++] = pl_arena_strndup(arena, at, strcspn(at, "\r\n"));
  }
  qsort(rows, n, sizeof rows[0], compare);
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  pl_buffer_puts(&out, "");
  for (unsigned i = 0; i < n; i++)
    pl_buffer_printf(&out, "%s\n", rows[i]);
  return out.at;
}

static const char *given(const struct judged *judged, struct pl_arena *arena) {
  char *rows[MOST];
  unsigned n = 0;
  for (uint32_t i = 0; i < judged->findings.list.n && n < MOST; i++) {
    const struct pl_finding *f = &judged->findings.list.at[i];
    if (f->waived == NULL)
      rows[n++] = pl_arena_printf(arena, "%s %s", f->rule, pl_severity_name(f->severity));
  }
  qsort(rows, n, sizeof rows[0], compare);
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  pl_buffer_puts(&out, "");
  for (unsigned i = 0; i < n; i++)
    pl_buffer_printf(&out, "%s\n", rows[i]);
  return out.at;
}

/* What every finding owes its reader. */
static void check_manners(const struct judged *judged, const char *name) {
  for (uint32_t i = 0; i < judged->findings.list.n; i++) {
    const struct pl_finding *f = &judged->findings.list.at[i];
    PL_CHECK(f->span.file != PL_NO_FILE, name);
    PL_CHECK(f->text[0] != '\0' && f->remedy[0] != '\0' && f->place[0] != '\0', name);
    PL_CHECK(strchr(f->text, '\n') == NULL && f->text[strlen(f->text) - 1] != '.', name);
    PL_CHECK(pl_rule_find(f->rule) != NULL, f->rule);
  }
}

static void every_file(void) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  char *names[MOST];
  unsigned n = list(names, &arena);
  CU_ASSERT_FATAL(n >= 40);
  for (unsigned i = 0; i < n; i++) {
    struct judged judged;
    const char *path = pl_test_path(pl_arena_printf(&arena, "harnesses/mistakes/%s", names[i]));
    judge(&judged, path, NULL);
    if (judged.read) {
      const char *text = judged.sources.files.at[0].text;
      for (uint32_t k = 0; k < judged.sources.files.n; k++)
        if (strcmp(judged.sources.files.at[k].path, path) == 0)
          text = judged.sources.files.at[k].text;
      const char *want = expected(text, &arena);
      PL_CHECK(is_near_miss(names[i]) == (want[0] == '\0'), names[i]);
      PL_CHECK_STR(given(&judged, &arena), want, names[i]);
      check_manners(&judged, names[i]);
      if (!is_near_miss(names[i])) {
        const char *rule = pl_arena_strndup(&arena, names[i], strlen(names[i]) - 5);
        PL_CHECK(judged_count(&judged, rule) > 0, rule);
      }
    }
    judge_end(&judged);
  }
  pl_arena_release(&arena);
}

static void every_rule_has_its_files(void) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  char *names[MOST];
  unsigned n = list(names, &arena);
  unsigned pairs = 0;
  for (uint32_t r = 0; r < pl_rule_count; r++) {
    if (strcmp(pl_rules[r].name, "not-solved") == 0)
      continue; /* no text provokes it */
    const char *bad = pl_arena_printf(&arena, "%s.loom", pl_rules[r].name);
    const char *good = pl_arena_printf(&arena, "%s.ok.loom", pl_rules[r].name);
    bool bad_there = false;
    bool good_there = false;
    for (unsigned i = 0; i < n; i++) {
      bad_there = bad_there || strcmp(names[i], bad) == 0;
      good_there = good_there || strcmp(names[i], good) == 0;
    }
    PL_CHECK(bad_there, bad);
    PL_CHECK(good_there, good);
    pairs++;
  }
  PL_CHECK_INT(n, 2 * pairs, "no file without its rule");
  pl_arena_release(&arena);
}

/* The file with one text in place of another. */
static void judge_changed(struct judged *judged,
                          struct pl_arena *arena,
                          const char *name,
                          const char *from,
                          const char *to) {
  const char *text;
  size_t size;
  const char *path = pl_test_path(pl_arena_printf(arena, "harnesses/mistakes/%s.loom", name));
  CU_ASSERT_FATAL(pl_file_read(arena, path, &text, &size) == PL_FILE_OK);
  const char *at = strstr(text, from);
  CU_ASSERT_FATAL(at != NULL);
  judge(judged,
        name,
        pl_arena_printf(arena, "%.*s%s%s", (int)(at - text), text, to, at + strlen(from)));
}

/* "16 AWG on wire 2 would drop 2.67 %": with a limit below, the solver must say so too. */
static void drop_remedy_is_true(void) {
  struct pl_arena arena;
  struct judged judged;
  pl_test_arena(&arena);
  judge(&judged, pl_test_path("harnesses/mistakes/wire-drop.loom"), NULL);
  PL_CHECK_STR(judged_only(&judged, "wire-drop", "wire 2", "as it is")->remedy,
               "16 AWG on wire 2 would drop 2.67 %",
               "remedy");
  judge_end(&judged);
  judge_changed(&judged, &arena, "wire-drop.ok", "at most 3 %", "at most 1 %");
  PL_CHECK_CLOSE(judged_find(&judged, "wire-drop", 0)->figure,
                 2.67,
                 0.005,
                 "16 AWG: a little less, because it stays cooler");
  judge_end(&judged);
  pl_arena_release(&arena);
}

static void size_remedies_are_true(void) {
  static const struct {
    const char *file, *rule, *remedy, *from, *to;
  } rows[] = {
      {"wire-current",
       "wire-current",
       "use 14 AWG, which may carry 33.1 A here",
       "F1.out R1.+   16",
       "F1.out R1.+   14"},
      {"wire-brief-current",
       "wire-brief-current",
       "use 6 AWG, or keep this current off it by a heavier path beside it",
       "BAT.-  8 AWG",
       "BAT.-  6 AWG"},
      {"fuse-over-wire",
       "fuse-over-wire",
       "the largest fuse that fits is 35 A; or 16 AWG or larger on wire 2",
       "rating 40 A",
       "rating 35 A"},
      {"fuse-load",
       "fuse-load",
       "a fuse of 15 A if the wires behind it bear that (see `fuse-over-wire`), or share its loads "
       "out",
       "rating 10 A",
       "rating 15 A"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_arena arena;
    struct judged judged;
    pl_test_arena(&arena);
    judge_changed(&judged, &arena, rows[i].file, rows[i].from, rows[i].from);
    PL_CHECK_STR(judged_find(&judged, rows[i].rule, 0)->remedy, rows[i].remedy, rows[i].file);
    judge_end(&judged);
    judge_changed(&judged, &arena, rows[i].file, rows[i].from, rows[i].to);
    PL_CHECK_INT(judged_count(&judged, rows[i].rule), 0, rows[i].file);
    judge_end(&judged);
    pl_arena_release(&arena);
  }
}

CU_TestInfo rules_mistake_tests[] = {
    {"every file gives what it announces", every_file},
    {"every rule has its two files", every_rule_has_its_files},
    {"the proposed wire drops what was promised", drop_remedy_is_true},
    {"proposed sizes and fuses cure the finding", size_remedies_are_true},
    CU_TEST_INFO_NULL,
};
