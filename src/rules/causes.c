/* One mistake, one finding: what only follows from another finding, or cannot be judged while that
 * stands, is folded into it.  A table says which rule explains which; a finding is never folded
 * into a milder one, a waived one neither folds nor is folded.
 *
 * Each link of the table is tried on all pairs of its two rules' findings, in the table's order;
 * the first that holds becomes the parent.  Parents are then followed to their root; two that
 * explain each other both stay.  Links x findings^2 at worst, and findings are few. */
#include <string.h>

#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

enum relation {
  ALWAYS,       /* whatever it is about */
  IN_ITS_STATE, /* in a state that the short is in; without a state: when all are */
  OF_DEVICE,    /* about the device that the cause is about; of a battery: whatever it is about */
  SAME_PLACE,
  BLAMES_IT, /* the effect blames the cause's place, or its device */
  BLAMED,    /* the cause blames the effect's place, or its device */
  SAME_BLAME /* both blame the same */
};

static const struct {
  const char *cause, *effect; /* effect NULL: every rule that asks what solutions or ways say */
  enum relation relation;
} links[] = {
    {"poles-swapped", NULL, OF_DEVICE},
    {"poles-swapped", "role-conflict", OF_DEVICE},
    {"poles-swapped", "load-without-feed", OF_DEVICE},
    {"poles-swapped", "load-without-return", OF_DEVICE},
    {"dead-short",
     "role-conflict",
     SAME_PLACE}, /* the battery's own; at an output's pin that one tells more */
    {"role-conflict", "dead-short", ALWAYS},
    {"dead-short", NULL, IN_ITS_STATE},
    {"load-without-feed", "not-proven", ALWAYS}, /* a broken machine proves nothing */
    {"load-without-return", "not-proven", ALWAYS},
    {"input-undriven", "not-proven", ALWAYS},
    {"dead-end", "not-proven", ALWAYS},
    {"no-charge", "not-proven", ALWAYS},
    {"no-charge", "dead-end", BLAMED},
    {"no-charge", "no-exciter", OF_DEVICE},
    {"load-without-feed", "no-charge", SAME_BLAME},
    {"pin-duty", "load-without-feed", OF_DEVICE},
    {"pin-duty", "load-without-return", OF_DEVICE},
    {"load-without-feed", "dead-end", ALWAYS}, /* the other side of the same break */
    {"load-without-return", "dead-end", ALWAYS},
    {"input-undriven", "dead-end", ALWAYS},
    {"load-without-feed", "cavity-unplugged", BLAMED},
    {"load-without-return", "cavity-unplugged", BLAMED},
    {"keyed-node-live", "no-exciter", BLAMES_IT},
    {"require-broken", "switch-idle", BLAMED},
    {"wire-current", "wire-hot", SAME_PLACE},
    {"wire-hot", "fuse-too-slow", BLAMES_IT},
    {"wire-current", "fuse-too-slow", BLAMES_IT},
    {"wire-brief-current", "crank-circuit", BLAMES_IT},
    {"sneak-path", "sneak-path", SAME_BLAME},
    {"terminal-current", "terminal-current", SAME_BLAME},
};

/* "S1.2" is of "S1", and so is "S1" itself. */
static bool is_of(const char *place, const char *device) {
  size_t n = strlen(device);
  if (n == 0)
    return false;
  if (strncmp(place, device, n) != 0)
    return false;
  return place[n] == '\0' || place[n] == '.';
}

static bool meets(const char *a, const char *b) {
  return is_of(a, b) || is_of(b, a);
}

static bool all_shorted(const struct pl_check *check) {
  for (pl_id s = 0; s < check->harness->states.n; s++)
    if (!check->shorted[s])
      return false;
  return true;
}

static bool in_shorted_state(const struct pl_check *check, const struct pl_finding *effect) {
  for (pl_id s = 0; s < check->harness->states.n; s++)
    if (check->shorted[s] && strcmp(effect->state, check->harness->states.at[s].name) == 0)
      return true;
  return all_shorted(check);
}

static bool is_battery(const struct pl_check *check, const char *place) {
  pl_id d = pl_harness_find_device(check->harness, place);
  return d != PL_NONE && pl_device_is(check->harness, d, PL_IS_STORE);
}

static bool applies(const struct pl_check *check,
                    uint32_t link,
                    const struct pl_finding *cause,
                    const struct pl_finding *effect) {
  if (links[link].effect == NULL) {
    const struct pl_rule *rule = pl_rule_find(effect->rule);
    if (rule != NULL && rule->reads == PL_READS_DESCRIPTION)
      return false;
  }
  switch (links[link].relation) {
    case ALWAYS:
      return true;
    case IN_ITS_STATE:
      return in_shorted_state(check, effect);
    case OF_DEVICE:
      return is_battery(check, cause->place) || meets(effect->place, cause->place);
    case SAME_PLACE:
      return strcmp(effect->place, cause->place) == 0;
    case BLAMES_IT:
      return meets(effect->blames, cause->place);
    case BLAMED:
      return meets(cause->blames, effect->place);
    case SAME_BLAME:
      break;
  }
  if (effect->blames[0] == '\0')
    return false;
  if (strcmp(effect->blames, cause->blames) != 0)
    return false;
  return strcmp(effect->state, cause->state) == 0;
}

static bool explains(const struct pl_check *check, uint32_t link, uint32_t c, uint32_t e) {
  const struct pl_finding *cause = &check->findings->list.at[c];
  const struct pl_finding *effect = &check->findings->list.at[e];
  if (c == e || cause->waived != NULL)
    return false;
  if (effect->waived != NULL)
    return false;
  if (effect->severity == PL_ERROR)
    return false;
  if (effect->severity > cause->severity)
    return false;
  if (links[link].relation == SAME_BLAME && c > e)
    return false; /* the first of equals */
  return applies(check, link, cause, effect);
}

const char *pl_rules_say_follows(struct pl_arena *arena, const char *const *names, uint32_t n) {
  return pl_arena_printf(arena,
                         "%u more finding%s, to be looked at again when this is mended: %s%s",
                         n,
                         n == 1 ? "" : "s",
                         pl_say_list(arena, names, n, 3),
                         n > 3 ? " (pinloom check --all lists them)" : "");
}

static const char *say_follows(const struct pl_check *check, const uint32_t *root, uint32_t cause) {
  const struct pl_finding *list = check->findings->list.at;
  PL_VEC(const char *) names = {0};
  for (uint32_t i = 0; i < check->findings->list.n; i++)
    if (i != cause && root[i] == cause)
      PL_PUSH(check->arena,
              &names,
              pl_arena_printf(check->arena, "%s at %s", list[i].rule, list[i].place));
  return pl_rules_say_follows(check->arena, names.at, names.n);
}

typedef PL_VEC(uint32_t) indices;

static indices of_rule(const struct pl_check *check, const char *rule) {
  indices found = {0};
  for (uint32_t i = 0; i < check->findings->list.n; i++)
    if (rule == NULL || strcmp(check->findings->list.at[i].rule, rule) == 0)
      PL_PUSH(check->arena, &found, i);
  return found;
}

/* By finding: the one it is folded into, itself when none. */
static uint32_t *find_roots(const struct pl_check *check) {
  uint32_t n = check->findings->list.n;
  uint32_t *root = PL_NEW_ARRAY(check->arena, uint32_t, (size_t)n + 1);
  for (uint32_t i = 0; i < n; i++)
    root[i] = i;
  for (uint32_t l = 0; l < sizeof links / sizeof links[0]; l++) {
    indices causes = of_rule(check, links[l].cause);
    indices effects = {0};
    if (causes.n > 0)
      effects = of_rule(check, links[l].effect);
    for (uint32_t e = 0; e < effects.n; e++)
      for (uint32_t c = 0, i = effects.at[e]; c < causes.n && root[i] == i; c++) {
        if (root[causes.at[c]] == i)
          continue;
        if (!explains(check, l, causes.at[c], i))
          continue;
        root[i] = causes.at[c];
      }
  }
  for (uint32_t i = 0; i < n; i++) {
    for (uint32_t turn = 0; turn < n && root[root[i]] != root[i]; turn++)
      root[i] = root[root[i]];
    if (root[root[i]] != root[i])
      root[i] = i; /* they explain each other: both stay */
  }
  return root;
}

void pl_findings_fold(struct pl_check *check) {
  struct pl_finding *list = check->findings->list.at;
  uint32_t n = check->findings->list.n;
  uint32_t kept = 0;
  uint32_t *root = find_roots(check);
  uint32_t *count = PL_NEW_ARRAY(check->arena, uint32_t, (size_t)n + 1);
  for (uint32_t i = 0; i < n; i++)
    count[root[i]] += root[i] != i;
  for (uint32_t i = 0; i < n; i++) {
    if (count[i] == 0)
      continue;
    list[i].follow_count = count[i];
    list[i].follows = say_follows(check, root, i);
  }
  for (uint32_t i = 0; i < n; i++)
    if (root[i] == i)
      list[kept++] = list[i];
  check->findings->list.n = kept;
}
