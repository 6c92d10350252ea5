/* Every wire of the machines removed in turn: each must be told, and by name.  The model is edited,
 * not the text: the wire's row says `removed`, and the machine is solved and judged again. */
#include "test_rules.h"

struct taken {
  struct judged sound;
  unsigned wires, found, named;
};

/* A new finding's key is its rule and place. */
static bool is_old(const struct judged *sound, const struct pl_finding *f) {
  for (uint32_t i = 0; i < sound->findings.list.n; i++) {
    const struct pl_finding *old = &sound->findings.list.at[i];
    if (strcmp(old->rule, f->rule) == 0 && strcmp(old->place, f->place) == 0)
      return true;
  }
  return false;
}

static bool is_mark(char c) {
  return c != '\0' && strchr(" ,;:()\"'", c) == NULL;
}

/* `name` as a word of its own, or as the device of a pin. */
static bool speaks_of(const char *text, const char *name) {
  size_t n = strlen(name);
  for (const char *at = strstr(text, name); at != NULL; at = strstr(at + 1, name)) {
    bool begins = at == text || !is_mark(at[-1]);
    if (begins && (!is_mark(at[n]) || at[n] == '.'))
      return true;
  }
  return false;
}

static bool names_break(const struct pl_harness *h, const struct pl_finding *f, pl_id wire) {
  const struct pl_wire *w = &h->wires.at[wire];
  const char *said[] = {f->place, f->text, f->blames, f->follows};
  for (size_t k = 0; k < sizeof said / sizeof *said; k++)
    for (int e = 0; e < 2; e++)
      if (speaks_of(said[k], h->devices.at[h->pins.at[w->end[e]].device].name))
        return true;
  return false;
}

static bool joins(const struct pl_wire *w) {
  if (w->status == PL_WIRE_DONOR_REMOVED || w->status == PL_WIRE_DONOR_CAPPED)
    return false;
  return w->end[0] != PL_NONE && w->end[1] != PL_NONE;
}

/* Proofs take most of the time; what the other rules name needs none. */
static bool is_proof(const char *rule) {
  static const char *const proofs[] = {"require-broken",
                                       "require-defeated",
                                       "sneak-path",
                                       "keyed-node-live"};
  for (size_t i = 0; i < sizeof proofs / sizeof *proofs; i++)
    if (strcmp(rule, proofs[i]) == 0)
      return true;
  return false;
}

struct verdict {
  bool found, named;
  const char *said;
};

static struct verdict weigh(const struct taken *t, const struct pl_findings *findings, pl_id wire) {
  struct verdict verdict = {.said = "nothing"};
  for (uint32_t i = 0; i < findings->list.n; i++) {
    const struct pl_finding *f = &findings->list.at[i];
    if (is_old(&t->sound, f))
      continue;
    verdict.found = true;
    if (!verdict.named)
      verdict.said = pl_arena_printf(findings->arena, "%s at %s: %s", f->rule, f->place, f->text);
    verdict.named = verdict.named || names_break(&t->sound.harness, f, wire);
  }
  return verdict;
}

/* Solves the harness as it stands now and judges it until the wire is named. */
static struct verdict judge_again(struct taken *t, struct pl_arena *arena, pl_id wire) {
  struct pl_harness *h = &t->sound.harness;
  struct pl_findings findings;
  pl_findings_init(&findings, arena);
  struct pl_network *network = pl_network_new(h, arena);
  struct pl_solution *solutions = PL_NEW_ARRAY(arena, struct pl_solution, h->states.n + 1);
  for (pl_id s = 0; s < h->states.n; s++)
    pl_network_solve(network, s, &solutions[s], &findings);
  struct pl_check check = {.harness = h,
                           .network = network,
                           .solutions = solutions,
                           .arena = arena,
                           .findings = &findings};
  struct verdict verdict = {0};
  pl_rules_begin(&check);
  for (int proofs = 0; proofs < 2 && !verdict.named; proofs++) {
    for (uint32_t r = 0; r < pl_rule_count; r++)
      if (is_proof(pl_rules[r].name) == (proofs == 1))
        pl_rule_run(&check, r);
    verdict = weigh(t, &findings, wire);
  }
  pl_network_release(network);
  return verdict;
}

static void remove_wire(struct taken *t, pl_id wire) {
  struct pl_harness *h = &t->sound.harness;
  struct pl_wire *w = &h->wires.at[wire];
  struct pl_arena arena;
  enum pl_wire_status before = w->status;
  pl_test_arena(&arena);
  w->status = PL_WIRE_DONOR_REMOVED;
  struct verdict verdict = judge_again(t, &arena, wire);
  w->status = before;
  t->wires++;
  t->found += verdict.found;
  t->named += verdict.named;
  if (!verdict.named || getenv("PL_SAY") != NULL)
    printf("\n%s wire %s (%s to %s): %s",
           verdict.named   ? "ok"
           : verdict.found ? "NOT NAMED"
                           : "SILENT",
           w->number,
           h->pins.at[w->end[0]].full,
           h->pins.at[w->end[1]].full,
           verdict.said);
  pl_arena_release(&arena);
}

static bool picked(const char *number) {
  const char *only = getenv("PL_WIRES");
  char word[64];
  snprintf(word, sizeof word, ",%s,", number);
  return only == NULL || strstr(only, word) != NULL;
}

static void test_every_wire(void) {
  static const unsigned most_missed[] = {0, 10};
  static const char *const machines[] = {"harnesses/pump-skid/pump-skid.loom",
                                         "harnesses/snowplow/snowplow.loom"};
  for (size_t m = 0; m < sizeof machines / sizeof *machines; m++) {
    struct taken t = {0};
    judge(&t.sound, pl_test_path(machines[m]), NULL);
    for (pl_id w = 0; w < t.sound.harness.wires.n; w++)
      if (joins(&t.sound.harness.wires.at[w]) && picked(t.sound.harness.wires.at[w].number))
        remove_wire(&t, w);
    printf("\n%s: %u wires, %u found, %u named\n", machines[m], t.wires, t.found, t.named);
    PL_CHECK(t.named + most_missed[m] >= t.wires, machines[m]);
    judge_end(&t.sound);
  }
}

CU_TestInfo rules_served_tests[] = {{"every wire removed", test_every_wire}, CU_TEST_INFO_NULL};
