/* The exciter of an alternator: one way of known resistance to a keyed feed, and none back. */
#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

enum {
  RESISTS = 1,
  BLOCKS = 2
}; /* what lies on the way */

struct seek {
  uint8_t *seen; /* by pin, RESISTS | BLOCKS | 4 */
  pl_id *queue;
  uint32_t n;
  bool keyed, live, bare, shared_bare;
  uint32_t resistors;
  pl_id shared; /* a keyed input or run solenoid on the same node, with no diode between */
};

static void reach(struct seek *s, pl_id pin, uint8_t how) {
  if (pin == PL_NONE)
    return;
  if (s->seen[pin] != 0)
    return;
  s->seen[pin] = (uint8_t)(how | 4);
  s->queue[s->n++] = pin;
}

static pl_id through(const struct pl_device *device, pl_id pin) {
  if (device->plus == pin)
    return device->minus;
  if (device->minus == pin)
    return device->plus;
  if (device->pin_count == 2)
    return pin == device->first_pin ? device->first_pin + 1 : device->first_pin;
  return PL_NONE;
}

/* From D+ to what feeds it: through wires, plugs, fuses and diodes, and once through a lamp or
 * resistor. */
static void seek_feed(const struct pl_check *check, struct seek *s) {
  const struct pl_harness *h = check->harness;
  const struct pl_facts *facts = check->facts;
  uint8_t live = h->machine.positive_earth ? PL_POLE_MINUS : PL_POLE_PLUS;
  for (uint32_t i = 0; i < s->n; i++) {
    pl_id p = s->queue[i];
    uint8_t how = s->seen[p] & 3;
    const struct pl_device *device = pl_pin_device(h, p);
    if (facts->pole[p] == live) {
      s->live = true;
      if (!(how & RESISTS))
        s->bare = true;
      continue;
    }
    if (facts->pole[p] != 0)
      continue;
    bool resists = pl_kind_is(device->kind, PL_EXCITES);
    if (resists && !(how & RESISTS)) {
      s->resistors++;
      reach(s, through(device, p), how | RESISTS);
    }
    if (pl_kind_is(device->kind, PL_IS_ONE_WAY))
      reach(s, through(device, p), how | BLOCKS);
    if (h->pins.at[p].role == PL_ROLE_KEYED_INPUT ||
        (pl_kind_is(device->kind, PL_IS_WINDING) && p != device->minus)) {
      if (!(how & BLOCKS) && s->shared == PL_NONE)
        s->shared = p;
    }
    for (uint32_t k = facts->first[p]; k < facts->first[p + 1]; k++) {
      const struct pl_link *link = pl_link_at(facts, k);
      pl_id q = pl_link_other(link, p);
      if (link->tie == PL_TIE_CONTACT && (facts->reach[q] & live) &&
          !pl_device_is(h, link->device, PL_IS_DISCONNECT)) {
        s->keyed = true;
        if (!(how & RESISTS))
          s->bare = true;
      }
      if (link->tie <= PL_TIE_FUSE)
        reach(s, q, how);
    }
  }
}

static void report_exciter(struct pl_check *check,
                           pl_id pin,
                           enum pl_severity severity,
                           const char *text,
                           const char *remedy,
                           pl_id blames) {
  struct pl_finding f = pl_finding_new("no-exciter",
                                       severity,
                                       pl_pin_wiring_span(check->harness, pin),
                                       check->harness->pins.at[pin].full);
  f.text = text;
  f.remedy = remedy;
  if (blames == PL_NONE)
    f.blames = "";
  else
    f.blames = check->harness->pins.at[blames].full;
  pl_findings_add(check->findings, f);
}

void pl_rule_no_exciter(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    pl_id pin = PL_NONE;
    if (pl_device_is(h, d, PL_IS_GENERATOR))
      pin = pl_pin_named(h, d, "D+");
    if (pin == PL_NONE || h->devices.at[d].self_exciting || pl_pin_wires_there(h, pin) == 0)
      continue; /* one that starts itself */
    struct seek s = {.seen = PL_BY_PIN(check, uint8_t),
                     .queue = PL_BY_PIN(check, pl_id),
                     .shared = PL_NONE};
    reach(&s, pin, 0);
    seek_feed(check, &s);
    const char *name = h->pins.at[pin].full;
    if (!s.keyed && !s.live)
      report_exciter(
          check,
          pin,
          PL_FAULT,
          pl_arena_printf(
              check->arena,
              "%s gets no exciting current from anywhere: the alternator may never begin to charge",
              name),
          "feed it from a node that is live in run, through the charge lamp or a resistor",
          PL_NONE);
    else if (s.bare)
      report_exciter(check,
                     pin,
                     PL_FAULT,
                     pl_arena_printf(check->arena,
                                     "%s is joined to its feed without lamp or resistor: running, "
                                     "the alternator feeds the machine through that wire",
                                     name),
                     "put the charge lamp, with a resistor beside it, into that wire",
                     PL_NONE);
    else if (s.live && !s.keyed)
      report_exciter(check,
                     pin,
                     PL_FAULT,
                     pl_arena_printf(check->arena,
                                     "%s is fed with the key off too: its field drains the battery",
                                     name),
                     "take the feed from a node that is live in run only",
                     PL_NONE);
    else if (s.shared != PL_NONE)
      report_exciter(check,
                     pin,
                     PL_DANGER,
                     pl_arena_printf(check->arena,
                                     "%s can feed back to %s through the charge lamp with the key "
                                     "off: the engine may not stop",
                                     name,
                                     pl_say_place(check, s.shared)),
                     "a diode in the exciter's wire, its ring (K) towards the alternator",
                     s.shared);
  }
}
