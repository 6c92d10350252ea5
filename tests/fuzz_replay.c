/* Runs a fuzz target over files and folders given on the command line, without the fuzzer: `make
 * check` replays the seeds and every input that once made trouble.  Each file has ten seconds; a
 * hang ends the program by SIGALRM. */
#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum {
  SECONDS = 10,
  SIZE_MAX_REPLAY = 4 * 1024 * 1024
};

static unsigned long run_count;

static int replay_file(const char *path, size_t size) {
  FILE *file = fopen(path, "rb");
  uint8_t *data = malloc(size + 1);
  if (file == NULL || data == NULL) {
    fprintf(stderr, "replay: %s cannot be read\n", path);
    if (file != NULL)
      fclose(file);
    free(data);
    return 1;
  }
  size_t got = fread(data, 1, size, file);
  fclose(file);
  /* An exact copy, so that the sanitizer sees a read behind the end. */
  uint8_t *exact = malloc(got > 0 ? got : 1);
  if (exact == NULL) {
    free(data);
    return 1;
  }
  memcpy(exact, data, got);
  free(data);
  fprintf(stderr, "replay: %s\n", path);
  alarm(SECONDS);
  LLVMFuzzerTestOneInput(exact, got);
  alarm(0);
  free(exact);
  run_count++;
  return 0;
}

static int replay(const char *path) {
  struct stat info;
  if (stat(path, &info) != 0) {
    fprintf(stderr, "replay: no %s\n", path);
    return 1;
  }
  if (!S_ISDIR(info.st_mode))
    return info.st_size > SIZE_MAX_REPLAY ? 0 : replay_file(path, (size_t)info.st_size);
  struct dirent **names;
  int count = scandir(path, &names, NULL, alphasort);
  int bad = count < 0;
  for (int i = 0; i < count; i++) {
    char inner[4096];
    int length = snprintf(inner, sizeof inner, "%s/%s", path, names[i]->d_name);
    if (names[i]->d_name[0] != '.' && length > 0 && (size_t)length < sizeof inner)
      bad |= replay(inner);
    free(names[i]);
  }
  if (count >= 0)
    free(names);
  return bad;
}

int main(int argc, char **argv) {
  int bad = 0;
  for (int i = 1; i < argc; i++)
    bad |= replay(argv[i]);
  printf("%s: %lu passed, %d failed\n", "replay", run_count, bad);
  return bad != 0 || run_count == 0 ? 1 : 0;
}
