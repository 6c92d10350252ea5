/* The command as its user meets it: exit status, messages, files, the same bytes every time.  Runs
 * the built program. */
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/file.h"
#include "pl_test.h"

struct ran {
  int status;
  char *out; /* stdout and stderr together, in the arena */
};

static struct pl_arena arena;
static char folder[] = "/tmp/pinloom-test-XXXXXX";

static int set_up(void) {
  pl_test_arena(&arena);
  return mkdtemp(folder) == NULL;
}

static int clear(void) {
  char command[256];
  snprintf(command, sizeof command, "rm -rf '%s'", folder);
  pl_arena_release(&arena);
  return system(command) != 0;
}

/* Runs the shell words after the program's name, in the tests' own folder. */
static struct ran run(const char *words) {
  const char *build = getenv("PL_BUILD");
  char *command = pl_arena_printf(&arena,
                                  "cd '%s' && '%s/pinloom' %s 2>&1",
                                  folder,
                                  build == NULL ? "." : build,
                                  words);
  FILE *pipe = popen(command, "r");
  CU_ASSERT_FATAL(pipe != NULL);
  struct pl_buffer {
    char *at;
    size_t n, cap;
  } b = {malloc(1 << 20), 0, 1 << 20};
  b.n = fread(b.at, 1, b.cap - 1, pipe);
  b.at[b.n] = '\0';
  char drain[4096];
  while (fread(drain, 1, sizeof drain, pipe) > 0)
    continue;
  int status = pclose(pipe);
  struct ran ran = {WIFEXITED(status) ? WEXITSTATUS(status) : -1, pl_arena_strdup(&arena, b.at)};
  free(b.at);
  return ran;
}

static const char *file(const char *name, const char *text) {
  const char *path = pl_arena_printf(&arena, "%s/%s", folder, name);
  CU_ASSERT_FATAL(pl_file_write(path, text, strlen(text), false) == PL_FILE_OK);
  return path;
}

static void has(struct ran ran, const char *text, const char *row) {
  if (!PL_CHECK(strstr(ran.out, text) != NULL, row))
    printf("  <%s> is not in <%.600s>\n", text, ran.out);
}

static void has_not(struct ran ran, const char *text, const char *row) {
  if (!PL_CHECK(strstr(ran.out, text) == NULL, row))
    printf("  <%s> is in <%.600s>\n", text, ran.out);
}

static void status_of(const char *words, int expected, const char *text) {
  struct ran ran = run(words);
  if (!PL_CHECK_INT(ran.status, expected, words))
    printf("%.800s\n", ran.out);
  has(ran, text, words);
}

static const char demo[] = "harnesses/pump-skid/pump-skid.loom";

static void words_are_read(void) {
  status_of("", 2, "pinloom help");
  status_of("help", 0, "Exit status: 0 fine");
  status_of("--help", 0, "pinloom check FILE");
  status_of("help pin", 0, "pinloom pin FILE DEVICE.PIN");
  status_of("version", 0, "pinloom 0.");
  status_of("chek x", 2, "did you mean `check`?");
  status_of("help chek", 2, "did you mean `check`?");
  status_of("frobnicate", 2, "there is no command");
  status_of("check", 2, "something is missing");
  status_of("check a b", 2, "one word too many");
  status_of("check --spice a", 2, "takes no `--spice`");
  status_of("solve a --state", 2, "needs a value");
  status_of("help help", 0, "Exit status: 0 fine");
  status_of("parts", 0, "relay");
  status_of("parts mini relay changeover 24", 0, "    pins: 30 85 86 87 87a\n    volts 24 V\n");
  status_of("parts frobnicate", 2, "no part has `frobnicate`");
  status_of("rules", 0, "wire-current");
  status_of("rules fuse", 0, "fuse-over-wire");
  status_of("rules wire-curent", 2, "did you mean `wire-current`?");
  status_of("digger.loom", 2, "pinloom check digger.loom");
  has_not(run("help pin"), "--state", "help of a command shows its own options only");
  has_not(run("help"), " \n", "no blanks at the ends of lines");
  has_not(run("rules fuse"), "wire-current", "rules with a word");
  has_not(run("parts mini relay"), "micro", "parts with words");
  status_of("explain fuse-too-slow", 0, "ICEA P-32-382");
  status_of("explain wire-to-small", 2, "did you mean `wire-too-small`?");
}

static void states_of_a_text_have_their_status(void) {
  file("broken.loom", "machine \"m\"\nfuze F1\n");
  file("faulty.loom",
       "machine \"m\"\nbattery BAT\n  cca 600 A\nlamp E1\n  draws 3 A\nwires of lights\n 1 E1.+ - "
       "14 AWG RD\n");
  status_of("check broken.loom", 2, "broken.loom:2:1: error:");
  status_of("compare faulty.loom faulty.loom", 0, "Nothing is different.");
  status_of("compare faulty.loom broken.loom", 2, "broken.loom:2:1: error:");
  status_of("compare broken.loom faulty.loom", 2, "broken.loom:2:1: error:");
  status_of("compare faulty.loom nowhere.loom", 2, "nowhere.loom");
  status_of("compare faulty.loom", 2, "something is missing");
  file("thicker.loom",
       "machine \"m\"\nbattery BAT\n  cca 600 A\nlamp E1\n  draws 3 A\nwires of lights\n 1 E1.+ - "
       "12 AWG RD\n");
  status_of("compare faulty.loom thicker.loom", 1, "wire 1  resized  size: 14 AWG -> 12 AWG");
  status_of("compare faulty.loom thicker.loom -o changes", 1, "files written to changes");
  status_of("check broken.loom --json", 2, "\"severity\":");
  status_of("check nowhere.loom", 2, "cannot read nowhere.loom: no such file");
  status_of("check .", 2, "cannot read");
  status_of("check faulty.loom", 1, "faulty.loom:7:");
  status_of(pl_arena_printf(&arena, "check '%s'", pl_test_path("harnesses/starter/starter.loom")),
            0,
            "");
}

static void starter_is_written_once(void) {
  status_of("new digger", 0, "digger.loom written");
  status_of("check digger.loom", 0, "no findings");
  status_of("new digger", 2, "exists already and is left as it is");
  status_of("new ''", 2, "is no name for a file");
  status_of("new nowhere/x", 3, "cannot write nowhere/x.loom");
  struct ran ran = run("solve digger.loom --json");
  PL_CHECK_INT(ran.status, 0, "solve");
  has(ran, "{\"state\":", "solve");
}

static void pins_and_states_are_found(void) {
  const char *path = pl_test_path(demo);
  status_of(pl_arena_printf(&arena, "pin '%s' BAT1.+", path), 0, "Volts to expect");
  status_of(pl_arena_printf(&arena, "pin '%s' BAT1.x", path), 2, "did you mean `BAT1.");
  status_of(pl_arena_printf(&arena, "pin '%s' K1", path),
            2,
            "which one? K1.30, K1.85, K1.86, K1.87");
  status_of(pl_arena_printf(&arena, "pin K1.30 '%s'", path), 2, "the file comes first");
  status_of(pl_arena_printf(&arena, "pin '%s' K1.86", path), 0, "coil of relay K1");
  status_of(pl_arena_printf(&arena, "pin '%s' GND", path), 0, "  stud (ground stud");
  status_of(pl_arena_printf(&arena, "pin '%s' K1.86", path),
            0,
            "from KEY.B: through switch KEY to KEY.IGN");
  status_of(pl_arena_printf(&arena, "solve '%s' --state of", path),
            2,
            "did you mean `off`? (the states are: off, ");
  status_of(pl_arena_printf(&arena, "solve '%s' --state off", path), 0, "BAT1.+");
  status_of(pl_arena_printf(&arena, "solve '%s' --state off --spice", path), 0, ".end");
  status_of(pl_arena_printf(&arena, "defaults '%s'", path), 0, "common practice");
}

static void files_appear_whole(void) {
  const char *path = pl_test_path(demo);
  file("plain", "a file where a folder should be");
  status_of(pl_arena_printf(&arena, "book '%s' -o book", path), 0, "files written to book");
  status_of(pl_arena_printf(&arena, "draw '%s' -o drawings", path), 0, "files written");
  status_of(pl_arena_printf(&arena, "tables '%s' -o tables", path), 0, "files written");
  status_of(pl_arena_printf(&arena, "draw '%s'", path), 0, "out/pump-skid");
  status_of(pl_arena_printf(&arena, "book '%s' --only donr", path),
            2,
            "no section `donr`; did you mean `donor`? (the sections are: findings, ");
  status_of(pl_arena_printf(&arena, "book '%s' --only ''", path),
            2,
            "the sections are: findings, ");
  status_of(pl_arena_printf(&arena, "book '%s' -o part --only fuses,lists", path),
            0,
            "files written to part");
  status_of(pl_arena_printf(&arena, "book '%s' -o plain/below", path), 3, "cannot make the folder");
  status_of(pl_arena_printf(&arena, "check '%s' > /dev/full", path), 3, "");
  status_of("help > /dev/full", 3, "");
}

static void same_text_same_bytes(void) {
  const char *path = pl_test_path("harnesses/snowplow/snowplow.loom");
  const char *build = getenv("PL_BUILD");
  run(pl_arena_printf(&arena, "book '%s' -o one", path));
  char *again = pl_arena_printf(&arena,
                                "cd '%s' && LC_ALL=de_DE.UTF-8 TZ=Asia/Tokyo '%s/pinloom' book "
                                "'%s' -o two > /dev/null 2>&1; diff -r one two",
                                folder,
                                build == NULL ? "." : build,
                                path);
  PL_CHECK(system(again) == 0, "another locale, another time zone, another process");
}

static void json_has_its_keys(void) {
  static const char *const keys[] = {"rule",
                                     "severity",
                                     "file",
                                     "line",
                                     "col",
                                     "place",
                                     "state",
                                     "figure",
                                     "limit",
                                     "unit",
                                     "text",
                                     "remedy",
                                     "source",
                                     "waived"};
  struct ran ran = run("check faulty.loom --json");
  PL_CHECK_INT(ran.status, 1, "check --json");
  for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++)
    has(ran, pl_arena_printf(&arena, "\"%s\":", keys[i]), keys[i]);
  has(ran, "\"counts\":", "counts");
}

/* Under the sanitizers this also tells what is copied from nowhere. */
static void next_to_nothing_is_no_trouble(void) {
  static const char *const texts[] = {"",
                                      "\n",
                                      "machine \"x\"\n",
                                      "place A \"b\"\n",
                                      "place A\nstud X at A\n",
                                      "place A\nmodule M at A\n  connector J 2 cavities\n"};
  static const char *const commands[] = {"check t.loom",
                                         "solve t.loom",
                                         "faults t.loom",
                                         "defaults t.loom",
                                         "suspect t.loom -o folder",
                                         "compare t.loom t.loom -o folder",
                                         "book t.loom -o folder",
                                         "draw t.loom -o folder",
                                         "tables t.loom -o folder"};
  for (size_t t = 0; t < sizeof texts / sizeof texts[0]; t++) {
    file("t.loom", texts[t]);
    for (size_t c = 0; c < sizeof commands / sizeof commands[0]; c++) {
      struct ran ran = run(commands[c]);
      const char *row = pl_arena_printf(&arena, "%s with text %u", commands[c], (unsigned)t);
      if (!PL_CHECK(ran.status >= 0 && ran.status <= 2, row))
        printf("%.800s\n", ran.out);
      has_not(ran, "runtime error", row);
    }
  }
}

static const char *content(const char *name) {
  const char *text;
  size_t size;
  const char *path = pl_arena_printf(&arena, "%s/%s", folder, name);
  if (pl_file_read(&arena, path, &text, &size) != PL_FILE_OK)
    return "";
  return text;
}

/* A fuse that is too small, in a file of its own that the machine includes. */
static const char fused[] = "machine \"m\"\n  drop at most 10 %\nbattery BAT\n  cca 600 A\n"
                            "include \"fuses.loom\"\nload R1\n  draws 8 A\n  steady current\n"
                            "wires of load\n"
                            "  1 BAT.+  F1.in  12 AWG RD length 0.15 m\n"
                            "  2 F1.out R1.+   12 AWG RD length 1 m\n"
                            "  3 R1.-   BAT.-  12 AWG BK length 1 m\n"
                            "state on\n";
static const char small[] = "fuse F1\n  rating 10 A # of the load\n";
static const char large[] = "fuse F1\n  rating 15 A # of the load\n";

static void remedies_are_written(void) {
  file("fused.loom", fused);
  file("fuses.loom", small);
  status_of("check fused.loom --json", 1, "\"fix\": [{\"file\": \"fuses.loom\", \"line\": 2");
  PL_CHECK_STR(content("fuses.loom"), small, "a check writes nothing");
  status_of("check fused.loom --apply",
            0,
            "written: fuses.loom; the old text is kept as fuses.loom.bak");
  PL_CHECK_STR(content("fuses.loom"), large, "the new text");
  PL_CHECK_STR(content("fuses.loom.bak"), small, "the old text");
  PL_CHECK_STR(content("fused.loom"), fused, "a file without an edit");
  PL_CHECK_STR(content("fused.loom.bak"), "", "has no old text beside it");
  status_of("check fused.loom", 0, "no findings");
  status_of("check fused.loom --apply", 0, "nothing was written");
  file("fuses.loom", small);
  status_of("check fused.loom --apply", 0, "kept as fuses.loom.bak.2");
  PL_CHECK_STR(content("fuses.loom.bak"), small, "an older one is not written over");
}

static void remedies_are_not_written_on_errors(void) {
  static const char wrong[] = "fuse F1\n  rating 10 A\n  ratting 3\n";
  file("fuses.loom", wrong);
  status_of("check fused.loom --apply", 2, "fuses.loom:3:");
  PL_CHECK_STR(content("fuses.loom"), wrong, "an unreadable text");
  file("fuses.loom", small);
  status_of("check fused.loom --apply --json", 2, "--apply goes alone");
  PL_CHECK_STR(content("fuses.loom"), small, "a wrong command line");
}

/* A battery with its cables changed over: the rest is folded, and --all has it. */
static void all_shows_what_is_folded(void) {
  const char *mistake = pl_test_path("harnesses/mistakes/poles-swapped.loom");
  struct ran few = run(pl_arena_printf(&arena, "check '%s'", mistake));
  struct ran all = run(pl_arena_printf(&arena, "check --all '%s'", mistake));
  has(few, "explains: ", "folded");
  has(few, "check --all lists them", "the way to see them");
  has_not(few, "[load-without-feed]", "folded");
  has(all, "[load-without-feed]", "all");
  has_not(all, "explains: ", "all");
}

static CU_TestInfo tests[] = {
    {"words are read", words_are_read},
    {"a text's state is the exit status", states_of_a_text_have_their_status},
    {"the starter text is written once", starter_is_written_once},
    {"pins and states are found", pins_and_states_are_found},
    {"files appear whole", files_appear_whole},
    {"JSON has its keys", json_has_its_keys},
    {"same text, same bytes", same_text_same_bytes},
    {"next to nothing is no trouble", next_to_nothing_is_no_trouble},
    {"remedies are written", remedies_are_written},
    {"not on errors", remedies_are_not_written_on_errors},
    {"--all shows what is folded", all_shows_what_is_folded},
    CU_TEST_INFO_NULL};

int main(void) {
  CU_SuiteInfo suites[] = {{"command", set_up, clear, NULL, NULL, tests}, CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
