/* Rules proved over combinations: sneak paths, keyed nets, requirements healthy and under single
 * faults.  The proving is src/prove's; here it gets its words. */
#include <math.h>

#include "base/number.h"
#include "prove/prove.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

static struct pl_proof *proof_of(struct pl_check *check) {
  if (check->proof == NULL)
    check->proof = pl_proof_new(check->harness, check->network, check->solutions, check->arena);
  return check->proof;
}

static bool any_solved(const struct pl_check *check) {
  for (pl_id s = 0; s < check->harness->states.n; s++)
    if (check->solutions[s].status == PL_SOLVED)
      return true;
  return false;
}

static const char *
others_text(const struct pl_check *check, double others, const struct pl_covered *covered) {
  if (!(others > 0))
    return "";
  return pl_arena_printf(check->arena,
                         ", and in %s%s other combination%s",
                         covered->counted ? "" : "at least ",
                         pl_prove_count_text(check->arena, others),
                         others > 1 ? "s" : "");
}

/* What could not be decided is no all-clear. */
static void add_not_proven(struct pl_check *check,
                           enum pl_severity severity,
                           struct pl_span span,
                           const char *place,
                           const char *what,
                           const struct pl_covered *covered) {
  struct pl_finding f = pl_finding_new("not-proven", severity, span, place);

  f.text = pl_arena_printf(check->arena,
                           "it is not proven that %s: of all %s combinations of positions some "
                           "are not decided, because %s",
                           what,
                           pl_prove_count_text(check->arena, covered->there_are),
                           covered->why);
  f.remedy =
      "take it as open: try those positions on the machine with a meter, or give the thing a "
      "way of its own that fewer switches, relays and loads have a part in";
  pl_findings_add(check->findings, f);
}

static const char *sneak_place(const struct pl_check *check, const struct pl_sneak *s) {
  if (s->pin != PL_NONE)
    return check->harness->pins.at[s->pin].full;
  return check->harness->devices.at[s->device].name;
}

static struct pl_span sneak_span(const struct pl_check *check, const struct pl_sneak *s) {
  if (s->pin != PL_NONE)
    return pl_pin_wiring_span(check->harness, s->pin);
  return check->harness->devices.at[s->device].span;
}

/* One finding for all of them: it is one search that did not come to its end. */
static void report_open_sneaks(struct pl_check *check, const pl_sneaks *sneaks) {
  const struct pl_sneak *first = NULL;
  PL_VEC(const char *) places = {0};

  for (uint32_t i = 0; i < sneaks->n; i++) {
    if (!sneaks->at[i].undecided)
      continue;
    if (first == NULL)
      first = &sneaks->at[i];
    PL_PUSH(check->arena, &places, sneak_place(check, &sneaks->at[i]));
  }
  if (first == NULL)
    return;
  add_not_proven(check,
                 PL_ADVICE,
                 sneak_span(check, first),
                 places.at[0],
                 pl_arena_printf(check->arena,
                                 "no stray current reaches %s",
                                 pl_say_some(check, places.at, places.n, 8)),
                 &first->covered);
}

void pl_rule_sneak_path(struct pl_check *check) {
  pl_sneaks sneaks = {0};

  if (!any_solved(check))
    return;
  pl_prove_sneaks(proof_of(check), &sneaks);
  for (uint32_t i = 0; i < sneaks.n; i++) {
    const struct pl_sneak *s = &sneaks.at[i];
    const struct pl_device *device = &check->harness->devices.at[s->device];
    const char *place = sneak_place(check, s);
    if (s->undecided)
      continue;
    struct pl_finding f =
        pl_finding_new("sneak-path",
                       pl_kind_is(device->kind, PL_IS_STARTER) ? PL_DANGER : PL_FAULT,
                       sneak_span(check, s),
                       place);
    f.figure = s->figure;
    f.limit = s->limit;
    f.unit = s->unit;
    if (s->via == PL_NONE)
      f.blames = "";
    else
      f.blames = check->harness->devices.at[s->via].name;
    f.text =
        pl_arena_printf(check->arena,
                        "%s gets %s though nothing asks for it, with %s%s: the current comes by %s",
                        place,
                        pl_say(check->arena, s->figure, s->unit),
                        s->combination,
                        others_text(check, s->others, &s->covered),
                        s->path);
    f.remedy = "part the two circuits where the way crosses from one to the other: a diode, a "
               "contact of its own, a feed of its own";
    pl_findings_add(check->findings, f);
  }
  report_open_sneaks(check, &sneaks);
}

void pl_rule_keyed_node_live(struct pl_check *check) {
  pl_keyed_lives lives = {0};

  if (!any_solved(check))
    return;
  pl_prove_keyed(proof_of(check), &lives);
  for (uint32_t i = 0; i < lives.n; i++) {
    const struct pl_keyed_live *l = &lives.at[i];
    const struct pl_pin *pin = &check->harness->pins.at[l->pin];
    if (l->combination == NULL) {
      add_not_proven(check,
                     PL_ADVICE,
                     pl_pin_wiring_span(check->harness, l->pin),
                     pin->full,
                     pl_arena_printf(check->arena,
                                     "%s is dead with %s at rest",
                                     pl_say_place(check, l->pin),
                                     check->harness->devices.at[l->key].name),
                     &l->covered);
      continue;
    }
    struct pl_finding f = pl_finding_new("keyed-node-live",
                                         PL_DANGER,
                                         pl_pin_wiring_span(check->harness, l->pin),
                                         pin->full);
    f.figure = l->volts;
    f.limit = 1;
    f.unit = "V";
    f.text = pl_arena_printf(
        check->arena,
        "%s has %s with %s%s, though only %s should feed it: the current comes by %s",
        pl_say_place(check, l->pin),
        pl_say(check->arena, l->volts, "V"),
        l->combination,
        others_text(check, l->others, &l->covered),
        check->harness->devices.at[l->key].name,
        l->path[0] != '\0' ? l->path : "another way");
    f.remedy = "put a diode into that way so that nothing comes back, or feed its end from "
               "somewhere else: what hangs on the key must die with it";
    pl_findings_add(check->findings, f);
  }
}

/* ---- requirements ---- */

static const char *clause_text(const struct pl_check *check, const struct pl_require *require) {
  PL_VEC(const char *) texts = {0};
  for (uint32_t i = 0; i < require->clauses.n; i++) {
    const struct pl_device *device = &check->harness->devices.at[require->clauses.at[i].device];
    uint32_t position = require->clauses.at[i].position;
    const char *name = "?";
    if (position < device->throws.n)
      name = device->throws.at[position].name;
    PL_PUSH(check->arena, &texts, pl_arena_printf(check->arena, "%s in %s", device->name, name));
  }
  return pl_say_some(check, texts.at, texts.n, 8);
}

static void
report_broken(struct pl_check *check, const struct pl_require *require, const struct pl_broken *b) {
  const char *subject = check->harness->devices.at[require->subject].name;
  struct pl_finding f =
      pl_finding_new("require-broken", b->by_output ? PL_FAULT : PL_DANGER, require->span, subject);

  f.state = pl_state_name(check, b->state);
  if (require->clauses.n > 0)
    f.blames = check->harness->devices.at[require->clauses.at[0].device].name;
  const char *where;
  if (b->state != PL_NONE)
    where = pl_arena_printf(check->arena, "in state %s", f.state);
  else
    where = pl_arena_printf(check->arena, "with %s", b->combination);
  const char *path = "";
  if (b->path[0] != '\0')
    path = pl_arena_printf(check->arena, ": the current comes by %s", b->path);
  f.text = pl_arena_printf(check->arena,
                           "%s must be %s %s %s, but is %s %s%s%s",
                           subject,
                           require->on ? "on" : "off",
                           require->unless ? "unless" : "when",
                           clause_text(check, require),
                           require->on ? "off" : "on",
                           where,
                           others_text(check, b->others, &b->covered),
                           path);
  if (require->on)
    f.remedy = "follow its feed and return in that position: something on the way is open";
  else if (b->by_output)
    f.remedy = "only the module's program prevents this: put a contact of that "
               "switch in series, or say who vouches for the program";
  else
    f.remedy = "put a contact of that switch in series with its feed or coil, so "
               "that nothing goes round it";
  pl_findings_add(check->findings, f);
}

static void report_open(struct pl_check *check,
                        const struct pl_require *require,
                        const struct pl_covered *covered,
                        const char *under) {
  const char *subject = check->harness->devices.at[require->subject].name;

  add_not_proven(check,
                 PL_FAULT,
                 require->span,
                 subject,
                 pl_arena_printf(check->arena,
                                 "%s is %s %s %s%s",
                                 subject,
                                 require->on ? "on" : "off",
                                 require->unless ? "unless" : "when",
                                 clause_text(check, require),
                                 under),
                 covered);
}

static void
add_certificate(struct pl_check *check, uint32_t require, const struct pl_broken *broken) {
  static const char *const results[] =
      {[PL_PROOF_PROVEN] = "proven", [PL_PROOF_BROKEN] = "broken", [PL_PROOF_OPEN] = "not proven"};
  struct pl_certificate c = {
      .span = check->harness->requires.at[require].span,
      .what = pl_prove_require_text(check->harness, require, check->arena),
      .result = results[pl_prove_result(broken)],
      .text = pl_prove_certificate(proof_of(check), require),
      .combinations = broken->covered.there_are,
      .sets = broken->covered.sets,
      .solved = broken->covered.solved,
  };

  PL_PUSH(check->findings->arena, &check->findings->certificates, c);
}

void pl_rule_require_broken(struct pl_check *check) {
  const struct pl_harness *h = check->harness;

  if (!any_solved(check))
    return;
  for (uint32_t i = 0; i < h->requires.n; i++) {
    const struct pl_broken *broken = pl_proof_of(proof_of(check), i);
    if (broken->broken)
      report_broken(check, &h->requires.at[i], broken);
    else if (!broken->covered.all)
      report_open(check, &h->requires.at[i], &broken->covered, "");
    add_certificate(check, i, broken);
  }
}

/* What hurts somebody when it starts by itself; a lamp does not. */
static bool can_hurt(enum pl_kind kind) {
  return !pl_kind_is(kind, PL_TELLS_ONLY);
}

static const char *starts_text(const struct pl_check *check, pl_id subject) {
  const struct pl_device *device = &check->harness->devices.at[subject];
  if (pl_kind_is(device->kind, PL_IS_STARTER))
    return "cranks the engine";
  return pl_arena_printf(check->arena, "switches %s on", device->name);
}

/* The fault to tell first: a chafed wire is what happens, and what the reader can follow. */
static uint32_t example(const pl_defeats *defeats) {
  for (uint32_t i = 0; i < defeats->n; i++)
    if (defeats->at[i].fault.kind == PL_FAULT_TO_BATTERY)
      return i;
  return 0;
}

void pl_rule_require_defeated(struct pl_check *check) {
  const struct pl_harness *h = check->harness;

  if (!any_solved(check))
    return;
  for (uint32_t i = 0; i < h->requires.n; i++) {
    const struct pl_require *require = &h->requires.at[i];
    pl_defeats defeats = {0};
    struct pl_covered covered;
    uint32_t undecided;
    if (require->on)
      continue;
    if (!can_hurt(h->devices.at[require->subject].kind))
      continue;
    if (pl_proof_of(proof_of(check), i)->broken)
      continue;
    pl_prove_defeats(proof_of(check), i, &defeats, &covered, &undecided);
    if (undecided > 0)
      report_open(check,
                  require,
                  &covered,
                  pl_arena_printf(check->arena,
                                  " under every single fault (%u fault%s left open)",
                                  undecided,
                                  undecided == 1 ? "" : "s"));
    if (defeats.n == 0)
      continue;
    const struct pl_defeat *first = &defeats.at[example(&defeats)];
    const char *subject = h->devices.at[require->subject].name;
    struct pl_finding f =
        pl_finding_new("require-defeated",
                       pl_device_is(h, require->subject, PL_IS_STARTER) ? PL_DANGER : PL_FAULT,
                       require->span,
                       subject);
    const char *more;
    if (defeats.n == 1)
      more = "";
    else if (defeats.n == 2)
      more = "; 1 other single fault does too";
    else
      more = pl_arena_printf(check->arena, "; %u other single faults do too", defeats.n - 1);
    f.text = pl_arena_printf(check->arena,
                             "%s must be off %s %s, but %s %s with %s%s",
                             subject,
                             require->unless ? "unless" : "when",
                             clause_text(check, require),
                             first->fault_text,
                             starts_text(check, require->subject),
                             first->combination,
                             more);
    f.remedy = "keep the wires behind the interlock short, sleeved and apart from live ones, or "
               "switch its other side too by a second contact";
    pl_findings_add(check->findings, f);
  }
}
