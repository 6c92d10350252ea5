/* measure N COMMAND...: runs the command N times with its output thrown away and prints "median_ms max_rss_MB status".  A measuring tool for the
 * bench, not part of the program. */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static int by_value(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

int main(int argc, char **argv) {
  int n = argc > 2 ? atoi(argv[1]) : 0, status = 0;
  if (n < 1 || n > 1000) {
    fputs("usage: measure N COMMAND...\n", stderr);
    return 2;
  }
  double *ms = calloc((size_t)n, sizeof *ms);
  if (ms == NULL) return 3;
  for (int i = 0; i < n; i++) {
    struct timespec begin, end;
    clock_gettime(CLOCK_MONOTONIC, &begin);
    pid_t child = fork();
    if (child == 0) {
      int sink = open("/dev/null", O_WRONLY);
      dup2(sink, 1);
      dup2(sink, 2);
      execvp(argv[2], argv + 2);
      _exit(127);
    }
    waitpid(child, &status, 0);
    clock_gettime(CLOCK_MONOTONIC, &end);
    ms[i] = (double)(end.tv_sec - begin.tv_sec) * 1e3 + (double)(end.tv_nsec - begin.tv_nsec) / 1e6;
  }
  struct rusage usage;
  getrusage(RUSAGE_CHILDREN, &usage);
  qsort(ms, (size_t)n, sizeof *ms, by_value);
  printf("%.1f %.1f %d\n", ms[n / 2], (double)usage.ru_maxrss / 1024.0, WIFEXITED(status) ? WEXITSTATUS(status) : -1);
  free(ms);
  return 0;
}
