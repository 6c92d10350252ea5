/* The run over the rules, and waivers. */
#include "rules/rules.h"

#include <string.h>

#include "base/nearest.h"
#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

/* In the order of pl_rules, whose file knows no function: rules look themselves up in it. */
static pl_rule_function *const functions[] = {
#define PL_RULE(name, function, reads, question, source) function,
#define PL_RULE_ELSEWHERE(name, reads, question, source) NULL,
#include "rules/rules.def"
#undef PL_RULE
#undef PL_RULE_ELSEWHERE
};

/* Places where that rule found something. */
static const char *places_of(const struct pl_check *check, const char *rule, uint32_t n) {
  PL_VEC(const char *) places = {0};
  for (uint32_t i = 0; i < n; i++)
    if (strcmp(check->findings->list.at[i].rule, rule) == 0)
      PL_PUSH(check->arena, &places, check->findings->list.at[i].place);
  return pl_say_some(check, places.at, places.n, 4);
}

static void report_idle(struct pl_check *check, const struct pl_waiver *waiver, uint32_t n) {
  struct pl_finding f = pl_finding_new("idle-waiver", PL_ADVICE, waiver->span, waiver->place);
  f.remedy = "take the waiver out";
  if (pl_rule_find(waiver->rule) == NULL) {
    struct pl_nearest nearest;
    pl_nearest_init(&nearest, waiver->rule);
    for (uint32_t i = 0; i < pl_rule_count; i++)
      pl_nearest_offer(&nearest, pl_rules[i].name);
    f.text = pl_arena_printf(check->arena, "no rule is called `%s`", waiver->rule);
    if (nearest.best != NULL)
      f.remedy = pl_arena_printf(check->arena, "did you mean %s?", nearest.best);
  } else {
    const char *places = places_of(check, waiver->rule, n);
    f.text = pl_arena_printf(check->arena,
                             "accepts nothing: %s finds nothing at %s",
                             waiver->rule,
                             waiver->place);
    if (places[0] != '\0')
      f.remedy =
          pl_arena_printf(check->arena,
                          "%s finds something at %s: write the place so, or take the waiver out",
                          waiver->rule,
                          places);
  }
  pl_findings_add(check->findings, f);
}

void pl_rules_waive(struct pl_check *check) {
  uint32_t n = check->findings->list.n;
  for (uint32_t w = 0; w < check->harness->waivers.n; w++) {
    const struct pl_waiver *waiver = &check->harness->waivers.at[w];
    bool used = false;
    for (uint32_t i = 0; i < n; i++) {
      struct pl_finding *f = &check->findings->list.at[i];
      if (f->severity == PL_ERROR)
        continue;
      if (strcmp(f->rule, waiver->rule) != 0)
        continue;
      if (strcmp(f->place, waiver->place) != 0)
        continue;
      if (f->waived == NULL)
        f->waived = waiver->reason;
      used = true;
    }
    if (!used)
      report_idle(check, waiver, n);
  }
}

void pl_rules_begin(struct pl_check *check) {
  check->facts = pl_facts_new(check);
  check->shorted = PL_NEW_ARRAY(check->arena, bool, (size_t)check->harness->states.n + 1);
}

void pl_rule_run(struct pl_check *check, uint32_t rule) {
  if (functions[rule] != NULL)
    functions[rule](check);
}

void pl_rules_judge(struct pl_check *check) {
  pl_rules_begin(check);
  for (uint32_t i = 0; i < pl_rule_count; i++)
    pl_rule_run(check, i);
  pl_rules_waive(check);
}

static void keep_every(struct pl_check *check) {
  uint32_t n = check->findings->list.n;
  struct pl_finding *every = PL_NEW_ARRAY(check->arena, struct pl_finding, (size_t)n + 1);
  for (uint32_t i = 0; i < n; i++)
    every[i] = check->findings->list.at[i];
  check->every = every;
  check->every_count = n;
}

void pl_rules_run(struct pl_check *check) {
  pl_rules_judge(check);
  keep_every(check);
  if (!check->keep_all)
    pl_findings_fold(check);
}
