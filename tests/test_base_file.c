/* Files in whole and out whole, folders and paths.  Each test works in a fresh folder and takes it
 * away again. */
#define _XOPEN_SOURCE 700 /* symlink, mkdtemp */

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "base/file.h"
#include "base/limits.h"
#include "test_base.h"

static char folder[200];

static void enter(void) {
  const char *top = getenv("TMPDIR");

  snprintf(folder,
           sizeof folder,
           "%.150s/pl-test-XXXXXX",
           top == NULL || top[0] == '\0' ? "/tmp" : top);
  CU_ASSERT_PTR_NOT_NULL_FATAL(mkdtemp(folder));
}

static const char *in(const char *name) {
  static char paths[4][8192];
  static unsigned turn;
  char *path = paths[turn++ % 4];

  snprintf(path, sizeof paths[0], "%s/%s", folder, name);
  return path;
}

/* Counts what is in a folder, hidden files too; takes it away when asked. */
static int entries(const char *path, bool take_away) {
  DIR *dir = opendir(path);
  struct dirent *entry;
  int n = 0;

  if (dir == NULL)
    return -1;
  while ((entry = readdir(dir)) != NULL) {
    char below[1000];

    if (strcmp(entry->d_name, ".") == 0)
      continue;
    if (strcmp(entry->d_name, "..") == 0)
      continue;
    n++;
    snprintf(below, sizeof below, "%.500s/%.400s", path, entry->d_name);
    if (take_away && unlink(below) != 0)
      entries(below, true);
  }
  closedir(dir);
  if (take_away)
    rmdir(path);
  return n;
}

static void leave(void) {
  chmod(folder, 0700);
  entries(folder, true);
}

static void holds(const char *path, const char *expected) {
  struct pl_arena arena;
  const char *text = NULL;
  size_t size = 0;

  pl_test_arena(&arena);
  PL_CHECK_INT(pl_file_read(&arena, path, &text, &size), PL_FILE_OK, path);
  PL_CHECK_STR(text, expected, path);
  PL_CHECK_INT(size, strlen(expected), path);
  pl_arena_release(&arena);
}

static enum pl_file_status write_text(const char *path, const char *text, bool create_only) {
  return pl_file_write(path, text, strlen(text), create_only);
}

static enum pl_file_status read_status(const char *path) {
  struct pl_arena arena;
  enum pl_file_status status;
  const char *text;
  size_t size;

  pl_test_arena(&arena);
  status = pl_file_read(&arena, path, &text, &size);
  pl_arena_release(&arena);
  return status;
}

static void writes_and_reads(void) {
  struct pl_arena arena;
  char bytes[3000];
  const char *text;
  size_t size;

  enter();
  pl_test_arena(&arena);
  CU_ASSERT_EQUAL(write_text(in("a"), "one\n", false), PL_FILE_OK);
  holds(in("a"), "one\n");
  CU_ASSERT_EQUAL(write_text(in("a"), "two", false), PL_FILE_OK);
  holds(in("a"), "two");
  CU_ASSERT_EQUAL(write_text(in("a"), "", false), PL_FILE_OK);
  holds(in("a"), "");
  for (size_t i = 0; i < sizeof bytes; i++)
    bytes[i] = (char)i;
  CU_ASSERT_EQUAL(pl_file_write(in("b"), bytes, sizeof bytes, true), PL_FILE_OK);
  CU_ASSERT_EQUAL_FATAL(pl_file_read(&arena, in("b"), &text, &size), PL_FILE_OK);
  CU_ASSERT_EQUAL_FATAL(size, sizeof bytes);
  CU_ASSERT_EQUAL(memcmp(text, bytes, size), 0);
  CU_ASSERT_EQUAL(text[size], '\0');
  CU_ASSERT_EQUAL(entries(folder, false), 2);
  pl_arena_release(&arena);
  leave();
}

static void create_only_leaves_what_is_there(void) {
  enter();
  CU_ASSERT_EQUAL(write_text(in("a"), "first", true), PL_FILE_OK);
  CU_ASSERT_EQUAL(write_text(in("a"), "second", true), PL_FILE_EXISTS);
  holds(in("a"), "first");
  CU_ASSERT_EQUAL_FATAL(symlink("nowhere", in("link")), 0);
  CU_ASSERT_EQUAL(write_text(in("link"), "x", true), PL_FILE_EXISTS);
  CU_ASSERT_EQUAL_FATAL(mkdir(in("d"), 0700), 0);
  CU_ASSERT_EQUAL(write_text(in("d"), "x", true), PL_FILE_EXISTS);
  CU_ASSERT_EQUAL(entries(folder, false), 3);
  leave();
}

/* Many at once: exactly one may win, and its text is whole. */
static void create_only_has_no_race(void) {
  enum {
    RUNNERS = 12
  };
  pid_t children[RUNNERS];
  int won = 0;
  int lost = 0;

  enter();
  for (int i = 0; i < RUNNERS; i++) {
    children[i] = fork();
    if (children[i] == 0)
      _exit((int)write_text(in("a"), "whole", true));
  }
  for (int i = 0; i < RUNNERS; i++) {
    int status = 0;

    CU_ASSERT_EQUAL_FATAL(waitpid(children[i], &status, 0), children[i]);
    won += WIFEXITED(status) && WEXITSTATUS(status) == PL_FILE_OK;
    lost += WIFEXITED(status) && WEXITSTATUS(status) == PL_FILE_EXISTS;
  }
  CU_ASSERT_EQUAL(won, 1);
  CU_ASSERT_EQUAL(lost, RUNNERS - 1);
  holds(in("a"), "whole");
  CU_ASSERT_EQUAL(entries(folder, false), 1);
  leave();
}

static void keeps_links_and_modes(void) {
  struct stat about;

  enter();
  CU_ASSERT_EQUAL(write_text(in("a"), "one", false), PL_FILE_OK);
  CU_ASSERT_EQUAL_FATAL(chmod(in("a"), 0640), 0);
  CU_ASSERT_EQUAL_FATAL(symlink("a", in("link")), 0);
  CU_ASSERT_EQUAL(write_text(in("link"), "two", false), PL_FILE_OK);
  holds(in("a"), "two");
  CU_ASSERT_EQUAL_FATAL(lstat(in("link"), &about), 0);
  CU_ASSERT(S_ISLNK(about.st_mode));
  CU_ASSERT_EQUAL_FATAL(stat(in("a"), &about), 0);
  CU_ASSERT_EQUAL(about.st_mode & 07777, 0640);
  CU_ASSERT_EQUAL_FATAL(symlink("nowhere", in("dangling")), 0);
  CU_ASSERT_EQUAL(write_text(in("dangling"), "x", false), PL_FILE_MISSING);
  CU_ASSERT_EQUAL(entries(folder, false), 3);
  leave();
}

static void refuses_what_is_no_file(void) {
  enter();
  CU_ASSERT_EQUAL_FATAL(mkdir(in("d"), 0700), 0);
  CU_ASSERT_EQUAL_FATAL(mkfifo(in("pipe"), 0600), 0);
  CU_ASSERT_EQUAL(read_status(in("d")), PL_FILE_NOT_REGULAR);
  CU_ASSERT_EQUAL(read_status(in("pipe")), PL_FILE_NOT_REGULAR); /* without waiting for a writer */
  CU_ASSERT_EQUAL(read_status("/dev/zero"), PL_FILE_NOT_REGULAR);
  CU_ASSERT_EQUAL(read_status(in("none")), PL_FILE_MISSING);
  CU_ASSERT_EQUAL(read_status(""), PL_FILE_MISSING);
  CU_ASSERT_EQUAL(write_text(in("d"), "x", false), PL_FILE_NOT_REGULAR);
  CU_ASSERT_EQUAL(write_text(in("pipe"), "x", false), PL_FILE_NOT_REGULAR);
  CU_ASSERT_EQUAL(write_text("/dev/null", "x", false), PL_FILE_NOT_REGULAR);
  CU_ASSERT_EQUAL(write_text(in("none/a"), "x", false), PL_FILE_MISSING);
  CU_ASSERT_EQUAL(write_text(in("none/a"), "x", true), PL_FILE_MISSING);
  CU_ASSERT_EQUAL(write_text("", "x", false), PL_FILE_MISSING);
  CU_ASSERT_EQUAL(entries(folder, false), 2);
  leave();
}

static void refuses_names_too_long(void) {
  char name[6000];

  enter();
  memset(name, 'n', sizeof name);
  name[300] = '\0'; /* longer than a name may be */
  CU_ASSERT_EQUAL(write_text(in(name), "x", false), PL_FILE_FAILED);
  CU_ASSERT_EQUAL(write_text(in(name), "x", true), PL_FILE_FAILED);
  CU_ASSERT_EQUAL(read_status(in(name)), PL_FILE_FAILED);
  CU_ASSERT_EQUAL(pl_folder_make(in(name)), PL_FILE_FAILED);
  name[300] = 'n';
  name[sizeof name - 1] = '\0'; /* longer than a path may be */
  CU_ASSERT_EQUAL(write_text(in(name), "x", false), PL_FILE_FAILED);
  CU_ASSERT_EQUAL(write_text(in(name), "x", true), PL_FILE_FAILED);
  CU_ASSERT_EQUAL(pl_folder_make(in(name)), PL_FILE_FAILED);
  CU_ASSERT_EQUAL(entries(folder, false), 0);
  leave();
}

/* Runs in a process of its own, as an ordinary user (the superuser may write anywhere). */
static int as_ordinary_user(int (*act)(void)) {
  pid_t child = fork();
  int status = 0;

  if (child == 0) {
    if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0))
      _exit(100);
    _exit(act());
  }
  CU_ASSERT_EQUAL_FATAL(waitpid(child, &status, 0), child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 101;
}

static int replace_a(void) {
  return (int)write_text(in("a"), "new", false);
}

static int create_b(void) {
  return (int)write_text(in("b"), "new", true);
}

static int read_a(void) {
  return (int)read_status(in("a"));
}

static int make_below(void) {
  return (int)pl_folder_make(in("x/y"));
}

static void permissions_are_respected(void) {
  enter();
  CU_ASSERT_EQUAL(write_text(in("a"), "old", false), PL_FILE_OK);
  CU_ASSERT_EQUAL_FATAL(chmod(in("a"), 0444), 0);
  CU_ASSERT_EQUAL_FATAL(chmod(folder, 0777), 0);
  CU_ASSERT_EQUAL(as_ordinary_user(replace_a),
                  PL_FILE_DENIED); /* a file somebody locked, in an open folder */
  CU_ASSERT_EQUAL_FATAL(chmod(in("a"), 0666), 0);
  CU_ASSERT_EQUAL_FATAL(chmod(folder, 0555), 0);
  CU_ASSERT_EQUAL(as_ordinary_user(replace_a),
                  PL_FILE_DENIED); /* a folder that takes no new names */
  CU_ASSERT_EQUAL(as_ordinary_user(create_b), PL_FILE_DENIED);
  CU_ASSERT_EQUAL(as_ordinary_user(make_below), PL_FILE_DENIED);
  CU_ASSERT_EQUAL_FATAL(chmod(in("a"), 0000), 0);
  CU_ASSERT_EQUAL(as_ordinary_user(read_a), PL_FILE_DENIED);
  CU_ASSERT_EQUAL_FATAL(chmod(in("a"), 0600), 0);
  holds(in("a"), "old");
  CU_ASSERT_EQUAL(entries(folder, false), 1);
  leave();
}

/* A disk that takes 100000 bytes and no more. */
static int write_beyond_the_room(void) {
  static char bytes[300000];
  const struct rlimit limit = {100000, 100000};

  signal(SIGXFSZ, SIG_IGN);
  if (setrlimit(RLIMIT_FSIZE, &limit) != 0)
    return 100;
  if (pl_file_write(in("b"), bytes, sizeof bytes, true) == PL_FILE_OK)
    return 102;
  if (pl_file_write(in("a"), bytes, 100000, false) != PL_FILE_OK)
    return 103;
  if (pl_file_write(in("a"), bytes, sizeof bytes, false) == PL_FILE_OK)
    return 104;
  return 0;
}

static void a_full_disk_leaves_nothing(void) {
  struct stat about;

  enter();
  CU_ASSERT_EQUAL(write_text(in("a"), "old", false), PL_FILE_OK);
  CU_ASSERT_EQUAL_FATAL(chmod(in("a"), 0666), 0);
  CU_ASSERT_EQUAL_FATAL(chmod(folder, 0777), 0);
  CU_ASSERT_EQUAL(as_ordinary_user(write_beyond_the_room), 0);
  CU_ASSERT_EQUAL_FATAL(stat(in("a"), &about), 0);
  CU_ASSERT_EQUAL(about.st_size, 100000); /* the last whole one */
  CU_ASSERT_EQUAL(entries(folder, false), 1);
  leave();
}

static void sized(const char *path, off_t size) {
  int file = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);

  CU_ASSERT_FATAL(file >= 0);
  CU_ASSERT_EQUAL_FATAL(ftruncate(file, size), 0);
  close(file);
}

/* PL_LIMIT_FILE */
static void large_files_are_refused(void) {
  enter();
  sized(in("most"), PL_LIMIT_FILE);
  sized(in("more"), (off_t)PL_LIMIT_FILE + 1);
  sized(in("huge"), (off_t)1 << (sizeof(off_t) > 4 ? 40 : 30));
  CU_ASSERT_EQUAL(read_status(in("most")), PL_FILE_OK);
  CU_ASSERT_EQUAL(read_status(in("more")), PL_FILE_TOO_LARGE);
  CU_ASSERT_EQUAL(read_status(in("huge")), PL_FILE_TOO_LARGE);
  leave();
}

/* Files that say 0 bytes and have more: the kernel's. */
static void files_that_grow_are_read_whole(void) {
  struct pl_arena arena;
  const char *text;
  size_t size = 0;

  pl_test_arena(&arena);
  if (access("/proc/self/status", R_OK) == 0) {
    CU_ASSERT_EQUAL_FATAL(pl_file_read(&arena, "/proc/self/status", &text, &size), PL_FILE_OK);
    CU_ASSERT(size > 100);
    CU_ASSERT_EQUAL(text[size], '\0');
    CU_ASSERT_EQUAL(strlen(text), size);
  }
  pl_arena_release(&arena);
}

static void folders_are_made(void) {
  enter();
  CU_ASSERT_EQUAL(pl_folder_make(in("x/y//z")), PL_FILE_OK);
  CU_ASSERT_EQUAL(pl_folder_make(in("x/y/z/")), PL_FILE_OK);
  CU_ASSERT_EQUAL(access(in("x/y/z"), W_OK), 0);
  CU_ASSERT_EQUAL(pl_folder_make("/"), PL_FILE_OK);
  CU_ASSERT_EQUAL(pl_folder_make("."), PL_FILE_OK);
  CU_ASSERT_EQUAL(pl_folder_make(""), PL_FILE_MISSING);
  CU_ASSERT_EQUAL(write_text(in("a"), "", false), PL_FILE_OK);
  CU_ASSERT_EQUAL(pl_folder_make(in("a")), PL_FILE_EXISTS);
  CU_ASSERT_EQUAL(pl_folder_make(in("a/b")), PL_FILE_EXISTS);
  CU_ASSERT_EQUAL_FATAL(symlink("x", in("link")), 0);
  CU_ASSERT_EQUAL(pl_folder_make(in("link/new")), PL_FILE_OK);
  CU_ASSERT_EQUAL(access(in("x/new"), W_OK), 0);
  leave();
}

static void paths_are_folded(void) {
  static const struct {
    const char *from, *name, *path;
  } rows[] = {
      {"a/b.loom", "c.loom", "a/c.loom"},
      {"b.loom", "c.loom", "c.loom"},
      {"a/b", "./c", "a/c"},
      {"a/b", "x/../c", "a/c"},
      {"a/b", "../c", "c"},
      {"a/b", "../../c", "../c"},
      {"../a/b", "../c", "../c"},
      {"../b", "../c", "../../c"},
      {"/a/b", "../../../c", "/c"},
      {"a/b", "/x//y/./z/..", "/x/y"},
      {"a/b", "..", "."},
      {"b", ".", "."},
      {"./b", "c", "c"},
      {"a//b", "c/", "a/c"},
      {"/b", "c", "/c"},
      {"a/b", "...", "a/..."},
      {"a/b", "..c", "a/..c"},
      {"<parts>", "c", "c"},
      {"", "c", "c"},
      {"a/b/c", "../../..", ".."},
      {"/a/..", "c", "/a/c"},
      {"a/b", "", "a"},
      {"/", "..", "/"},
  };

  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_arena arena;

    pl_test_arena(&arena);
    PL_CHECK_STR(pl_path_beside(&arena, rows[i].from, rows[i].name), rows[i].path, rows[i].name);
    pl_arena_release(&arena);
  }
}

static void statuses_have_texts(void) {
  for (int a = PL_FILE_OK; a <= PL_FILE_FAILED; a++)
    for (int b = PL_FILE_OK; b < a; b++)
      CU_ASSERT_STRING_NOT_EQUAL(pl_file_status_text((enum pl_file_status)a),
                                 pl_file_status_text((enum pl_file_status)b));
}

CU_TestInfo file_tests[] = {
    {"writes and reads", writes_and_reads},
    {"create_only leaves what is there", create_only_leaves_what_is_there},
    {"create_only has no race", create_only_has_no_race},
    {"keeps links and modes", keeps_links_and_modes},
    {"refuses what is no file", refuses_what_is_no_file},
    {"refuses names too long", refuses_names_too_long},
    {"respects permissions", permissions_are_respected},
    {"a full disk leaves nothing half", a_full_disk_leaves_nothing},
    {"refuses files beyond PL_LIMIT_FILE", large_files_are_refused},
    {"reads files that grow", files_that_grow_are_read_whole},
    {"makes folders", folders_are_made},
    {"folds paths", paths_are_folded},
    {"each status has its text", statuses_have_texts},
    CU_TEST_INFO_NULL,
};
