/* One trial: a copy of the text with its edits, read, solved and checked.  The finding's own rule
 * runs first: most trials end there, after one rule instead of all. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "remedy/remedy_inner.h"

/* ---- the edited text ---- */

static int by_place(const void *a, const void *b) {
  const struct pl_fix *x = a;
  const struct pl_fix *y = b;
  if (x->span.file != y->span.file)
    return x->span.file < y->span.file ? -1 : 1;
  if (x->span.start != y->span.start)
    return x->span.start < y->span.start ? -1 : 1;
  return (x->span.end > y->span.end) - (x->span.end < y->span.end);
}

void pl_fixes_sort(struct pl_fix *fixes, uint32_t n) {
  if (n > 1)
    qsort(fixes, n, sizeof *fixes, by_place);
}

const char *pl_remedy_text(const struct pl_sources *sources,
                           uint32_t file,
                           const struct pl_fix *fixes,
                           uint32_t n,
                           struct pl_arena *arena,
                           size_t *size) {
  const struct pl_source *source = &sources->files.at[file];
  struct pl_fix *sorted = PL_NEW_ARRAY(arena, struct pl_fix, (size_t)n + 1);
  struct pl_buffer out;
  uint32_t at = 0;
  if (n > 0)
    memcpy(sorted, fixes, n * sizeof *fixes);
  pl_fixes_sort(sorted, n);
  pl_buffer_init(&out, arena);
  for (uint32_t i = 0; i < n; i++) {
    if (sorted[i].span.file != file)
      continue;
    if (sorted[i].span.start < at)
      return NULL;
    pl_buffer_add(&out, source->text + at, sorted[i].span.start - at);
    pl_buffer_puts(&out, sorted[i].text);
    at = sorted[i].span.end;
  }
  pl_buffer_add(&out, source->text + at, source->size - at);
  *size = out.n;
  if (out.at == NULL)
    return "";
  return out.at;
}

struct edited {
  const struct pl_sources *sources;
  const struct pl_fix *fixes;
  uint32_t n;
};

/* The files as they were read, with the edits; the disk is not asked again. */
static enum pl_file_status read_edited(void *context,
                                       struct pl_arena *arena,
                                       const char *path,
                                       const char **text,
                                       size_t *size) {
  const struct edited *edited = context;
  for (uint32_t i = 0; i < edited->sources->files.n; i++) {
    if (strcmp(edited->sources->files.at[i].path, path) != 0)
      continue;
    *text = pl_remedy_text(edited->sources, i, edited->fixes, edited->n, arena, size);
    return *text == NULL ? PL_FILE_FAILED : PL_FILE_OK;
  }
  return PL_FILE_MISSING;
}

/* ---- the check of it ---- */

bool pl_trial_has(const struct pl_trial *trial, const struct pl_finding *f) {
  for (uint32_t i = 0; i < trial->findings.list.n; i++) {
    const struct pl_finding *other = &trial->findings.list.at[i];
    if (other->waived != NULL)
      continue;
    if (strcmp(other->rule, f->rule) == 0 && strcmp(other->place, f->place) == 0)
      return true;
  }
  return false;
}

static void check_copy(struct pl_trial *trial, const struct pl_finding *of, bool whole) {
  struct pl_solution *solutions =
      PL_NEW_ARRAY(&trial->arena, struct pl_solution, (size_t)trial->harness.states.n + 1);
  trial->network = pl_network_new(&trial->harness, &trial->arena);
  for (pl_id s = 0; s < trial->harness.states.n; s++)
    pl_network_solve(trial->network, s, &solutions[s], &trial->findings);
  struct pl_check check = {.harness = &trial->harness,
                           .network = trial->network,
                           .solutions = solutions,
                           .arena = &trial->arena,
                           .findings = &trial->findings};
  uint32_t own = pl_rule_count;
  for (uint32_t r = 0; of != NULL && r < pl_rule_count; r++)
    if (strcmp(pl_rules[r].name, of->rule) == 0)
      own = r;
  pl_rules_begin(&check);
  if (own < pl_rule_count)
    pl_rule_run(&check, own);
  trial->cured = of == NULL || !pl_trial_has(trial, of);
  if (!trial->cured || !whole)
    return;
  for (uint32_t r = 0; r < pl_rule_count; r++)
    if (r != own)
      pl_rule_run(&check, r);
  pl_rules_waive(&check);
  trial->whole = true;
}

bool pl_trial_run_fixes(struct pl_seek *seek,
                        const struct pl_fix *fixes,
                        uint32_t n,
                        const struct pl_finding *of,
                        bool whole,
                        struct pl_trial *trial) {
  struct edited edited = {seek->sources, fixes, n};
  struct pl_reader reader = {read_edited, &edited};
  if (seek->left == 0)
    return false;
  if (seek->left_of_one == 0)
    return false;
  seek->left--;
  seek->left_of_one--;
  seek->counts.trials++;
  memset(trial, 0, sizeof *trial);
  pl_arena_init(&trial->arena, seek->check->arena->on_oom, seek->check->arena->oom_context);
  pl_sources_init(&trial->sources, &trial->arena);
  pl_findings_init(&trial->findings, &trial->arena);
  pl_harness_init(&trial->harness, &trial->arena);
  trial->read = pl_build(seek->path, &reader, &trial->sources, &trial->findings, &trial->harness);
  if (trial->read)
    check_copy(trial, of, whole);
  return true;
}

bool pl_trial_run(struct pl_seek *seek,
                  const pl_steps *steps,
                  const struct pl_finding *of,
                  bool whole,
                  struct pl_trial *trial) {
  pl_fixes fixes = {0};
  for (uint32_t i = 0; i < steps->n; i++)
    if (!pl_step_edit(seek->check, seek->sources, &steps->at[i], &fixes))
      return false;
  return pl_trial_run_fixes(seek, fixes.at, fixes.n, of, whole, trial);
}

void pl_trial_end(struct pl_trial *trial) {
  if (trial->network != NULL)
    pl_network_release(trial->network);
  pl_arena_release(&trial->arena);
}

/* ---- what is new ---- */

/* How far beyond its limit, as a share of it; 0 where there is none. */
static double beyond(const struct pl_finding *f) {
  if (isnan(f->figure))
    return 0;
  if (isnan(f->limit))
    return 0;
  if (f->limit == 0)
    return 0;
  return fabs(f->figure - f->limit) / fabs(f->limit);
}

static bool is_worse(const struct pl_finding *now, const struct pl_finding *before) {
  if (now->severity > before->severity)
    return true;
  return beyond(now) > 1.1 * beyond(before) + 0.01;
}

const struct pl_finding *pl_trial_new(const struct pl_seek *seek, const struct pl_trial *trial) {
  const struct pl_check *check = seek->check;
  bool *used = PL_NEW_ARRAY(check->arena, bool, (size_t)check->every_count + 1);
  for (uint32_t i = 0; i < trial->findings.list.n; i++) {
    const struct pl_finding *f = &trial->findings.list.at[i];
    bool old = f->waived != NULL;
    for (uint32_t k = 0; k < check->every_count && !old; k++) {
      const struct pl_finding *before = &check->every[k];
      if (used[k])
        continue;
      if (strcmp(before->rule, f->rule) != 0)
        continue;
      if (strcmp(before->place, f->place) != 0)
        continue;
      if (is_worse(f, before))
        continue;
      used[k] = true;
      old = true;
    }
    if (!old)
      return f;
  }
  return NULL;
}
