/* measure N COMMAND...: runs the command N times with its output thrown away and prints "median_ms
 * median_cpu_ms max_rss_MB status".  The CPU time says more on a busy machine.  A measuring tool
 * for the bench, not part of the program. */
#define _DEFAULT_SOURCE /* wait4 */
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
  double *ms = calloc((size_t)n, sizeof *ms), *cpu = calloc((size_t)n, sizeof *cpu);
  struct rusage usage = {0};
  long rss = 0;
  if (ms == NULL || cpu == NULL)
    return 3;
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
    wait4(child, &status, 0, &usage);
    clock_gettime(CLOCK_MONOTONIC, &end);
    ms[i] = (double)(end.tv_sec - begin.tv_sec) * 1e3 + (double)(end.tv_nsec - begin.tv_nsec) / 1e6;
    cpu[i] = (double)(usage.ru_utime.tv_sec + usage.ru_stime.tv_sec) * 1e3 +
             (double)(usage.ru_utime.tv_usec + usage.ru_stime.tv_usec) / 1e3;
    if (usage.ru_maxrss > rss)
      rss = usage.ru_maxrss;
  }
  qsort(ms, (size_t)n, sizeof *ms, by_value);
  qsort(cpu, (size_t)n, sizeof *cpu, by_value);
  printf("%.1f %.1f %.1f %d\n",
         ms[n / 2],
         cpu[n / 2],
         (double)rss / 1024.0,
         WIFEXITED(status) ? WEXITSTATUS(status) : -1);
  free(ms);
  free(cpu);
  return 0;
}
