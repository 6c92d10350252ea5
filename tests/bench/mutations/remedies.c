/* Remedies against the program's own word: each is done to a copy of the text, here by the bench's
 * own splicing, and the copy is judged from the start. */
#include <time.h>

#include "bench.h"

static unsigned count(const struct pl_finding *list, uint32_t n, const struct pl_finding *f) {
  unsigned found = 0;
  for (uint32_t i = 0; i < n; i++)
    found += list[i].waived == NULL && strcmp(list[i].rule, f->rule) == 0 &&
             strcmp(list[i].place, f->place) == 0;
  return found;
}

/* NULL: it works; else why not. */
static const char *fails(const struct bench_judged *before,
                         const char *text,
                         size_t size,
                         const struct pl_finding *f,
                         struct pl_arena *arena) {
  struct bench_judged after;
  struct pl_buffer out;
  const char *why = NULL;
  uint32_t at = 0;
  pl_buffer_init(&out, arena);
  for (uint32_t k = 0; k < f->fix_count; k++) {
    pl_buffer_add(&out, text + at, f->fixes[k].span.start - at);
    pl_buffer_puts(&out, f->fixes[k].text);
    at = f->fixes[k].span.end;
  }
  pl_buffer_add(&out, text + at, size - at);
  bench_judge(&after, out.at, out.n, true);
  if (!after.read)
    why = "the edited text cannot be read";
  else if (count(after.check.every, after.check.every_count, f) > 0)
    why = "its finding stays";
  for (uint32_t i = 0; i < after.check.every_count && why == NULL; i++) {
    const struct pl_finding *now = &after.check.every[i];
    if (now->waived == NULL && count(after.check.every, after.check.every_count, now) >
                                   count(before->check.every, before->check.every_count, now))
      why = pl_arena_printf(arena, "%s comes at %s", now->rule, now->place);
  }
  bench_judged_end(&after);
  return why;
}

void bench_remedies_try(struct bench_judged *judged,
                        const char *text,
                        size_t size,
                        struct bench_remedies *sum,
                        const char **said,
                        struct pl_arena *arena) {
  clock_t start = clock();
  struct pl_remedy_counts counts =
      pl_remedies_seek(&judged->check, &judged->sources, "machine.loom");
  unsigned before = sum->tried;
  sum->seconds += (double)(clock() - start) / CLOCKS_PER_SEC;
  sum->trials += counts.trials;
  for (uint32_t i = 0; i < judged->findings.list.n; i++) {
    const struct pl_finding *f = &judged->findings.list.at[i];
    if (f->waived != NULL || f->fix_count == 0)
      continue;
    const char *why = fails(judged, text, size, f, arena);
    sum->tried++;
    sum->working += why == NULL;
    if (why != NULL)
      *said = pl_arena_printf(arena, "%s at %s: %s: %s", f->rule, f->place, f->remedy, why);
  }
  sum->machines += sum->tried > before;
}
