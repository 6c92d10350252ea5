/* Every wire of the machines removed in turn: each must be told, and by name.  The model is edited,
 * not the text: the wire's row says `removed`, and the machine is solved and judged again. */
#include "prove/prove.h"
#include "test_rules.h"

static const char *const machines[] = {"harnesses/pump-skid/pump-skid.loom",
                                       "harnesses/snowplow/snowplow.loom"};

struct taken {
  struct judged sound;
  bool *matters; /* by wire: the failure table has a row for it open */
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

/* The finding speaks of a device by its name or that of one of its pins. */
static bool tells_of(const struct pl_harness *h, const struct pl_finding *f, pl_id pin) {
  const char *said[] = {f->place, f->text, f->blames, f->follows};
  for (size_t k = 0; k < sizeof said / sizeof *said; k++)
    if (speaks_of(said[k], h->devices.at[h->pins.at[pin].device].name))
      return true;
  return false;
}

/* It names what is at an end of the wire or, where that is a splice, what another wire there leads
 * to: for a break within a backbone the next device is what a mechanic looks for. */
static bool names_break(const struct pl_harness *h, const struct pl_finding *f, pl_id wire) {
  const struct pl_wire *w = &h->wires.at[wire];
  for (int e = 0; e < 2; e++) {
    if (tells_of(h, f, w->end[e]))
      return true;
    const struct pl_pin *pin = &h->pins.at[w->end[e]];
    if (!pl_device_is(h, pin->device, PL_IS_SPLICE))
      continue;
    for (uint32_t k = 0; k < pin->wires.n; k++) {
      pl_id far = pl_wire_other_end(&h->wires.at[pin->wires.at[k]], w->end[e]);
      if (pin->wires.at[k] != wire && far != PL_NONE && tells_of(h, f, far))
        return true;
    }
  }
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
  t->named += verdict.named || !t->matters[wire];
  if (!verdict.named || getenv("PL_SAY") != NULL)
    printf("\n%s wire %s (%s to %s): %s",
           verdict.named       ? "ok"
           : !t->matters[wire] ? "REDUNDANT"
           : verdict.found     ? "NOT NAMED"
                               : "SILENT",
           w->number,
           h->pins.at[w->end[0]].full,
           h->pins.at[w->end[1]].full,
           verdict.said);
  pl_arena_release(&arena);
}

/* Wires that the failure table does not call redundant. */
static void find_matters(struct taken *t) {
  struct judged *m = &t->sound;
  pl_effects effects = {0};
  t->matters = PL_NEW_ARRAY(&m->arena, bool, m->harness.wires.n + 1);
  pl_prove_effects(pl_proof_new(&m->harness, m->network, m->solutions, &m->arena), &effects);
  for (uint32_t i = 0; i < effects.n; i++)
    if (effects.at[i].fault.kind == PL_FAULT_OPEN && effects.at[i].fault.wire != PL_NONE)
      t->matters[effects.at[i].fault.wire] = true;
}

static bool picked(const char *number) {
  const char *only = getenv("PL_WIRES");
  char word[64];
  snprintf(word, sizeof word, ",%s,", number);
  return only == NULL || strstr(only, word) != NULL;
}

static void test_every_wire(void) {
  for (size_t m = 0; m < sizeof machines / sizeof *machines; m++) {
    struct taken t = {0};
    judge(&t.sound, pl_test_path(machines[m]), NULL);
    if (!t.sound.read)
      continue;
    find_matters(&t);
    for (pl_id w = 0; w < t.sound.harness.wires.n; w++)
      if (joins(&t.sound.harness.wires.at[w]) && picked(t.sound.harness.wires.at[w].number))
        remove_wire(&t, w);
    printf("\n%s: %u wires, %u found, %u named or redundant\n",
           machines[m],
           t.wires,
           t.found,
           t.named);
    PL_CHECK(t.named == t.wires, machines[m]);
    judge_end(&t.sound);
  }
}

/* ---- the failure table against brute force ---- */

/* Had at least half its volts and keeps less than a tenth; a coil, starter or module was on. */
static bool has_stopped(const struct pl_harness *h,
                        const struct pl_solution *before,
                        const struct pl_solution *after,
                        pl_id d) {
  const struct pl_device *device = &h->devices.at[d];
  double nominal = device->volts > 0 ? device->volts : h->machine.volts;
  if (pl_kind_is(device->kind, PL_IS_COIL | PL_IS_MODULE))
    return before->device_on[d] && !after->device_on[d];
  if (!pl_kind_is(device->kind, PL_IS_LOAD))
    return false;
  double was = fabs(before->device_volts[d]);
  double is = fabs(after->device_volts[d]);
  return was >= nominal / 2 && !(is >= nominal / 10);
}

static bool has_row(const pl_effects *effects, const struct pl_fault *fault, pl_id state, pl_id d) {
  for (uint32_t i = 0; i < effects->n; i++) {
    const struct pl_effect *e = &effects->at[i];
    if (e->fault.kind != fault->kind || e->fault.wire != fault->wire)
      continue;
    if (e->fault.device != fault->device || e->fault.pin_a != fault->pin_a || e->state != state)
      continue;
    for (uint32_t k = 0; k < e->stopped.n; k++)
      if (e->stopped.at[k] == d)
        return true;
  }
  return false;
}

/* What one fault stops, solved in full state by state, against the table; the devices stopped. */
static unsigned
compare_fault(struct judged *m, const pl_effects *effects, const struct pl_fault *fault) {
  struct pl_harness *h = &m->harness;
  unsigned stopped = 0;
  for (pl_id s = 0; s < h->states.n; s++) {
    struct pl_solution after = {0};
    pl_network_solve_fault(m->network, &h->states.at[s], fault, &after);
    if (after.status != PL_SOLVED)
      continue;
    for (pl_id d = 0; d < h->devices.n; d++) {
      if (!has_stopped(h, &m->solutions[s], &after, d))
        continue;
      stopped++;
      if (!has_row(effects, fault, s, d))
        PL_CHECK(false,
                 pl_arena_printf(&m->arena,
                                 "%s stops %s in state %s: the table does not say so",
                                 pl_fault_text(h, fault, &m->arena),
                                 h->devices.at[d].name,
                                 h->states.at[s].name));
    }
  }
  return stopped;
}

static void test_table(void) {
  for (size_t k = 0; k < sizeof machines / sizeof *machines; k++) {
    struct judged m;
    pl_effects effects = {0};
    unsigned faults = 0;
    unsigned stopped = 0;
    judge(&m, pl_test_path(machines[k]), NULL);
    if (!m.read)
      continue;
    pl_prove_effects(pl_proof_new(&m.harness, m.network, m.solutions, &m.arena), &effects);
    struct pl_fault fault = {.kind = PL_FAULT_OPEN, .pin_a = PL_NONE, .pin_b = PL_NONE};
    for (pl_id w = 0; w < m.harness.wires.n; w++) {
      fault.wire = w;
      fault.device = PL_NONE;
      if (!joins(&m.harness.wires.at[w]))
        continue;
      faults++;
      stopped += compare_fault(&m, &effects, &fault);
    }
    fault.wire = PL_NONE;
    for (pl_id d = 0; d < m.harness.devices.n; d++) {
      fault.device = d;
      fault.kind = pl_device_is(&m.harness, d, PL_IS_MODULE) ? PL_FAULT_DEAD : PL_FAULT_OPEN;
      if (!pl_kind_breaks(m.harness.devices.at[d].kind, PL_BREAKS_OPEN | PL_BREAKS_DEAD) ||
          pl_device_is(&m.harness, d, PL_IS_SETTABLE))
        continue;
      faults++;
      stopped += compare_fault(&m, &effects, &fault);
    }
    fault = (struct pl_fault){.kind = PL_FAULT_UNPLUGGED,
                              .wire = PL_NONE,
                              .device = PL_NONE,
                              .pin_b = PL_NONE};
    for (pl_id c = 0; c < m.harness.connectors.n; c++) {
      fault.pin_a = m.harness.connectors.at[c].first_pin;
      const struct pl_device *d = &m.harness.devices.at[m.harness.connectors.at[c].device];
      if (pl_kind_is(d->kind, PL_IS_INLINE) && c != d->first_connector)
        continue; /* the other half of the same pair */
      if (m.harness.connectors.at[c].pin_count < 2)
        continue;
      faults++;
      stopped += compare_fault(&m, &effects, &fault);
    }
    printf("(%s: %u faults, %u devices stopped) ", machines[k], faults, stopped);
    PL_CHECK(stopped > faults / 2, machines[k]);
    judge_end(&m);
  }
}

/* ---- a ground that is lifted alike in every state ---- */

static void test_lifted_alike(void) {
  static const char text[] =
      "machine \"Bench\"\n  drop at most 10 %%\nbattery BAT\n  cca 600 A\nfuse F1\n"
      "  rating 10 A\nfuse F2\n  rating 20 A\nmodule ECM\n"
      "  A1 battery feed, 1 A, 6..16 V\n  A2 ground\n"
      "  A3 signal input, pull-up 1 kohm to 5 V\nsensor BCT\n  resistance 2500 ohm\n"
      "heater R1\n  draws 15 A\nsplice G\nwires of bench\n"
      "  1 BAT.+ F1.in 14 AWG RD length 0.1 m\n  2 F1.out ECM.A1 14 AWG RD length 1 m\n"
      "  3 ECM.A2 BAT.- 12 AWG BK length 1 m\n  4 BAT.+ F2.in 12 AWG RD length 0.1 m\n"
      "  5 F2.out R1.+ 12 AWG RD length 1 m\n  6 R1.- G 12 AWG BK length 0.5 m\n"
      "  7 G BAT.- 12 AWG BK length 2 m\n  8 ECM.A3 BCT.signal 18 AWG YE length 1 m\n"
      "  9 BCT.return %s 18 AWG BN length 1 m\nstate on\n";
  char flawed[2048];
  struct judged judged;
  snprintf(flawed, sizeof flawed, text, "G");
  judge(&judged, "lifted", flawed);
  judged_only(&judged, "sensor-ground-lifted", "BCT", "the heater's return lifts it in all states");
  judge_end(&judged);
  snprintf(flawed, sizeof flawed, text, "ECM.A2");
  judge(&judged, "own return", flawed);
  PL_CHECK_INT(judged_count(&judged, "sensor-ground-lifted"), 0, "a return of its own");
  judge_end(&judged);
}

CU_TestInfo rules_served_tests[] = {{"every wire removed", test_every_wire},
                                    {"every open wire and dead device is in the table", test_table},
                                    {"a ground lifted alike in every state", test_lifted_alike},
                                    CU_TEST_INFO_NULL};
