/* All findings of a harness: a remedy for each, worst finding first; what a remedy takes away
 * besides is folded under it, and remedies that meet at one wire or fuse are made one. */
#include <string.h>

#include "remedy/remedy_inner.h"

struct entry { /* of check->findings->list */
  struct pl_cure cure;
  uint32_t under; /* the entry whose remedy takes it away; itself: none */
  PL_VEC(const char *) gone;
};

static bool is_asked(const struct pl_finding *f) {
  if (f->waived != NULL)
    return false;
  if (f->severity == PL_ERROR)
    return false;
  return pl_cure_knows(f->rule);
}

static const char *name_of(const struct pl_check *check, const struct pl_finding *f) {
  return pl_arena_printf(check->arena, "%s at %s", f->rule, f->place);
}

static void say_cure(const struct pl_check *check, struct pl_finding *f, const pl_steps *steps) {
  struct pl_buffer out;
  pl_buffer_init(&out, check->arena);
  for (uint32_t i = 0; i < steps->n; i++)
    pl_buffer_printf(&out, "%s%s", i > 0 ? "; and " : "", pl_step_say(check, &steps->at[i]));
  pl_buffer_puts(&out, " (tried: this finding goes, nothing new comes)");
  f->remedy = out.at;
}

static void set_fixes(const struct pl_seek *seek, struct pl_finding *f, const pl_steps *steps) {
  pl_fixes fixes = {0};
  for (uint32_t i = 0; i < steps->n; i++)
    pl_step_edit(seek->check, seek->sources, &steps->at[i], &fixes);
  pl_fixes_sort(fixes.at, fixes.n);
  f->fixes = fixes.at;
  f->fix_count = fixes.n;
}

/* What a rule says when nothing that was tried helps: what stood in the way, then its own words of
 * what else there is. */
static void
say_none(const struct pl_check *check, struct pl_finding *f, const struct pl_cure *cure) {
  if (!cure->tried)
    return;
  if (pl_cure_else(f->rule) == NULL)
    return;
  f->remedy = pl_arena_printf(check->arena,
                              "%s; %s%s",
                              pl_cure_else(f->rule),
                              cure->obstacle == NULL ? "what was tried in the text does not cure it"
                                                     : "tried in vain: ",
                              cure->obstacle == NULL ? "" : cure->obstacle);
}

/* Entries that the remedy of `at` takes away too come under it; the worst of them leads. */
static void fold_gone(struct pl_seek *seek, struct entry *entries, uint32_t at) {
  struct pl_findings *findings = seek->check->findings;
  struct pl_trial trial;
  uint32_t lead = at;
  seek->left_of_one = PL_REMEDY_OF_ONE;
  if (!pl_trial_run(seek, &entries[at].cure.steps, NULL, true, &trial))
    return;
  for (uint32_t i = 0; i < findings->list.n; i++) {
    const struct pl_finding *f = &findings->list.at[i];
    if (i == at || f->waived != NULL)
      continue;
    if (f->severity == PL_ERROR)
      continue;
    if (entries[i].under != i)
      continue;
    if (entries[i].cure.found)
      continue;
    if (pl_trial_has(&trial, f))
      continue;
    entries[i].under = at;
    if (f->severity > findings->list.at[lead].severity)
      lead = i;
  }
  pl_trial_end(&trial);
  if (lead == at)
    return;
  entries[lead].cure = entries[at].cure;
  for (uint32_t i = 0; i < findings->list.n; i++)
    if (entries[i].under == at || i == at)
      entries[i].under = lead;
}

/* Steps at one wire or fuse in remedies of two findings: the farther one in both where it works
 * for both. */
static void agree(struct pl_seek *seek, struct entry *entries, uint32_t a, uint32_t b) {
  struct pl_findings *findings = seek->check->findings;
  pl_steps both = {0};
  bool differs = false;
  for (uint32_t i = 0; i < entries[a].cure.steps.n; i++) {
    struct pl_step step = entries[a].cure.steps.at[i];
    for (uint32_t k = 0; k < entries[b].cure.steps.n; k++) {
      const struct pl_step *other = &entries[b].cure.steps.at[k];
      if (other->kind != step.kind)
        continue;
      if (other->what != step.what)
        continue;
      if (other->value == step.value)
        continue;
      if (step.kind != PL_STEP_SIZE)
        continue;
      if (other->value < step.value)
        continue;
      step.value = other->value;
      differs = true;
    }
    PL_PUSH(seek->check->arena, &both, step);
  }
  struct pl_trial trial;
  seek->left_of_one = PL_REMEDY_OF_ONE;
  if (!differs)
    return;
  if (!pl_trial_run(seek, &both, &findings->list.at[a], true, &trial))
    return;
  if (trial.whole && !pl_trial_has(&trial, &findings->list.at[a]) &&
      pl_trial_new(seek, &trial) == NULL)
    entries[a].cure.steps = both;
  pl_trial_end(&trial);
}

static void seek_all(struct pl_seek *seek, struct entry *entries) {
  struct pl_findings *findings = seek->check->findings;
  for (int severity = PL_DANGER; severity >= PL_ADVICE; severity--)
    for (uint32_t i = 0; i < findings->list.n; i++) {
      const struct pl_finding *f = &findings->list.at[i];
      if (!is_asked(f))
        continue;
      if (f->severity != (enum pl_severity)severity)
        continue;
      if (entries[i].under != i)
        continue;
      if (entries[i].cure.found)
        continue;
      seek->counts.findings++;
      entries[i].cure = pl_cure_seek(seek, f);
      if (!entries[i].cure.found)
        continue;
      seek->counts.mended++;
      fold_gone(seek, entries, i);
    }
  for (uint32_t a = 0; a < findings->list.n; a++)
    for (uint32_t b = 0; b < findings->list.n; b++) {
      if (a == b)
        continue;
      if (!entries[a].cure.found)
        continue;
      if (!entries[b].cure.found)
        continue;
      agree(seek, entries, a, b);
    }
}

static void fold(struct pl_check *check, struct entry *entries) {
  struct pl_finding *list = check->findings->list.at;
  uint32_t n = check->findings->list.n;
  uint32_t kept = 0;
  for (uint32_t i = 0; i < n; i++) {
    uint32_t lead = entries[i].under;
    if (lead == i)
      continue;
    PL_PUSH(check->arena, &entries[lead].gone, name_of(check, &list[i]));
    list[lead].follow_count += 1 + list[i].follow_count;
  }
  for (uint32_t i = 0; i < n; i++) {
    struct entry *e = &entries[i];
    if (e->gone.n > 0) {
      const char *before = list[i].follows;
      list[i].follows = pl_rules_say_follows(check->arena, e->gone.at, e->gone.n);
      if (before[0] != '\0')
        list[i].follows = pl_arena_printf(check->arena, "%s; %s", before, list[i].follows);
    }
  }
  for (uint32_t i = 0; i < n; i++)
    if (entries[i].under == i)
      list[kept++] = list[i];
  check->findings->list.n = kept;
}

/* All stay; what a remedy takes away carries the same remedy. */
static void share(struct pl_check *check, const struct entry *entries) {
  struct pl_finding *list = check->findings->list.at;
  for (uint32_t i = 0; i < check->findings->list.n; i++) {
    const struct pl_finding *lead = &list[entries[i].under];
    if (entries[i].under == i)
      continue;
    list[i].remedy =
        pl_arena_printf(check->arena, "goes with %s: %s", name_of(check, lead), lead->remedy);
    list[i].fixes = lead->fixes;
    list[i].fix_count = lead->fix_count;
  }
}

/* A bound on the work, not on time: the same text gives the same remedies on every machine. */
static uint32_t most_trials(const struct pl_check *check) {
  uint32_t wires = check->harness->wires.n + 1;
  uint32_t most = PL_REMEDY_WORK / wires;
  if (most > PL_REMEDY_TRIALS)
    return PL_REMEDY_TRIALS;
  return most < PL_REMEDY_LEAST ? PL_REMEDY_LEAST : most;
}

struct pl_remedy_counts
pl_remedies_seek(struct pl_check *check, const struct pl_sources *sources, const char *path) {
  struct pl_seek seek = {check, sources, path, most_trials(check), PL_REMEDY_OF_ONE, {0}};
  uint32_t n = check->findings->list.n;
  bool any = false;
  for (uint32_t i = 0; i < n; i++)
    any = any || is_asked(&check->findings->list.at[i]);
  if (!any)
    return seek.counts;
  struct entry *entries = PL_NEW_ARRAY(check->arena, struct entry, (size_t)n + 1);
  for (uint32_t i = 0; i < n; i++)
    entries[i].under = i;
  seek_all(&seek, entries);
  for (uint32_t i = 0; i < n; i++) {
    struct pl_finding *f = &check->findings->list.at[i];
    if (entries[i].under != i)
      continue;
    if (entries[i].cure.found) {
      say_cure(check, f, &entries[i].cure.steps);
      set_fixes(&seek, f, &entries[i].cure.steps);
    } else {
      say_none(check, f, &entries[i].cure);
    }
  }
  if (check->keep_all)
    share(check, entries);
  else
    fold(check, entries);
  return seek.counts;
}

/* ---- all together ---- */

static bool meets(const pl_fixes *all, const struct pl_fix *fix) {
  for (uint32_t i = 0; i < all->n; i++) {
    const struct pl_fix *other = &all->at[i];
    if (other->span.file != fix->span.file)
      continue;
    if (other->span.start < fix->span.end && fix->span.start < other->span.end)
      return true;
    if (other->span.start == fix->span.start)
      return true;
  }
  return false;
}

/* The same edit is done once. */
static bool has(const pl_fixes *all, const struct pl_fix *fix) {
  for (uint32_t i = 0; i < all->n; i++)
    if (all->at[i].span.file == fix->span.file && all->at[i].span.start == fix->span.start &&
        all->at[i].span.end == fix->span.end && strcmp(all->at[i].text, fix->text) == 0)
      return true;
  return false;
}

static bool add_fixes(struct pl_arena *arena, pl_fixes *all, const struct pl_finding *f) {
  for (uint32_t i = 0; i < f->fix_count; i++) {
    if (has(all, &f->fixes[i]))
      continue;
    if (meets(all, &f->fixes[i]))
      return false;
    PL_PUSH(arena, all, f->fixes[i]);
  }
  return true;
}

struct pl_remedy_plan
pl_remedies_plan(struct pl_check *check, const struct pl_sources *sources, const char *path) {
  struct pl_seek seek = {check, sources, path, most_trials(check), PL_REMEDY_OF_ONE, {0}};
  struct pl_remedy_plan plan = {0};
  uint32_t n = check->findings->list.n;
  plan.taken = PL_NEW_ARRAY(check->arena, bool, (size_t)n + 1);
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_finding *f = &check->findings->list.at[i];
    pl_fixes all = {0};
    struct pl_trial trial;
    if (f->waived != NULL)
      continue;
    if (f->fix_count == 0)
      continue;
    for (uint32_t k = 0; k < plan.fix_count; k++)
      PL_PUSH(check->arena, &all, plan.fixes[k]);
    if (!add_fixes(check->arena, &all, f))
      continue;
    seek.left_of_one = PL_REMEDY_OF_ONE;
    if (!pl_trial_run_fixes(&seek, all.at, all.n, f, true, &trial))
      continue;
    bool holds = trial.whole && !pl_trial_has(&trial, f) && pl_trial_new(&seek, &trial) == NULL;
    for (uint32_t k = 0; k < i && holds; k++)
      holds = !plan.taken[k] || !pl_trial_has(&trial, &check->findings->list.at[k]);
    pl_trial_end(&trial);
    if (!holds)
      continue;
    plan.taken[i] = true;
    plan.fixes = all.at;
    plan.fix_count = all.n;
  }
  return plan;
}
