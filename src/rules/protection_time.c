/* Protection over time: does the fuse open before the wire is hurt, does a far short open it at
 * all, which of two opens first, can it break the current, and does it bear what its loads take at
 * switching on. */
#include <math.h>
#include <stdlib.h>

#include "rules/facts.h"
#include "rules/families.h"
#include "rules/prospective.h"
#include "standard/fuse_gates.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

#define GATES_END                                                                                \
  6.0 /* times its rating: from here both fuse and wire go by amps squared seconds, so more amps \
         change nothing */
#define CFR_SHARE (pl_limit_fuse_over_wire.value / 100)

static const char *family_of(const struct pl_device *fuse) {
  if (fuse->family[0] == '\0')
    return "blade";
  return fuse->family;
}

static bool has_gates(const struct pl_device *fuse) {
  return pl_kind_is(fuse->kind, PL_HAS_FAMILY) && fuse->rating > 0 &&
         !isnan(pl_fuse_opens_within(family_of(fuse), fuse->rating, fuse->rating));
}

static const char *seconds_text(const struct pl_check *check, double seconds) {
  if (seconds < 0.1)
    return pl_say(check->arena, 1000 * seconds, "ms");
  return pl_say(check->arena, seconds, "s");
}

/* ---- fuse against wire ---- */

struct race {
  pl_id wire;
  double amps, fuse, wire_seconds, ratio;
  uint32_t others;
};

/* The wire loses against the fuse at these amps: by how much. */
static double loses_at(const struct pl_wire *wire,
                       const struct pl_device *fuse,
                       double steady,
                       double amps,
                       struct race *race) {
  double opens = pl_fuse_opens_within(family_of(fuse), fuse->rating, amps);
  double rated = pl_wire_insulation(wire)->hot;
  double hurt = pl_wire_damage_seconds(wire->area,
                                       amps,
                                       wire->hot,
                                       rated,
                                       pl_insulation_brief_limit(rated),
                                       steady);
  if (isinf(opens) || isinf(hurt))
    return 0;
  double ratio = opens / hurt;
  bool brief = amps >= 2 * fuse->rating * (1 - 1e-9);
  bool kept = race->ratio > 1 && race->amps >= 2 * fuse->rating * (1 - 1e-9);
  if (brief && ratio > 1 && !kept
          ? true
          : ratio > race->ratio && (brief || !kept)) { /* a short before a long overload */
    race->ratio = ratio;
    race->amps = amps;
    race->fuse = opens;
    race->wire_seconds = hurt;
  }
  return ratio;
}

static void run_race(const struct pl_wire *wire,
                     const struct pl_device *fuse,
                     double steady,
                     double most,
                     struct race *race) {
  static const double shares[] = {1.35, 1.6, 2, 3.5, 5, GATES_END};
  double before = 0;
  race->ratio = 0;
  for (uint32_t i = 0; i < sizeof shares / sizeof shares[0];
       i++) { /* at the gates, and between them where it is close */
    double amps = shares[i] * fuse->rating;
    if (amps > most)
      break;
    double ratio = loses_at(wire, fuse, steady, amps, race);
    if (before > 0 && fmax(ratio, race->ratio) > 0.1)
      for (int k = 1; k < 4; k++)
        loses_at(wire, fuse, steady, before * pow(amps / before, k / 4.0), race);
    before = amps;
  }
  loses_at(wire, fuse, steady, most, race);
}

/* The protection on the way to a wire, and the short-circuit current at its far end. */
static pl_id wire_fuse(const struct pl_check *check,
                       const struct pl_wire *wire,
                       double *amps,
                       pl_id *start,
                       pl_id *end) {
  double a = pl_ways_feed(check, wire->end[0]);
  double b = pl_ways_feed(check, wire->end[1]);
  if (!isfinite(a) && !isfinite(b))
    return PL_NONE;
  pl_id near = a <= b ? wire->end[0] : wire->end[1];
  pl_id far = a <= b ? wire->end[1] : wire->end[0];
  *amps = pl_ways_short(check, far, PL_NONE);
  *start = near;
  *end = far;
  return pl_ways_fuse(check, near);
}

static void report_race(struct pl_check *check, pl_id d, const struct race *race) {
  const struct pl_device *fuse = &check->harness->devices.at[d];
  const struct pl_wire *wire = &check->harness->wires.at[race->wire];
  double rated = pl_wire_insulation(wire)->hot;
  double to = pl_insulation_brief_limit(rated);
  bool brief = race->amps >= 2 * fuse->rating;
  struct pl_finding f =
      pl_finding_new("fuse-too-slow", brief ? PL_DANGER : PL_ADVICE, fuse->span, fuse->name);
  f.figure = race->fuse;
  f.limit = race->wire_seconds;
  f.unit = "s";
  f.blames = pl_say_wire(check, race->wire);
  f.text = pl_arena_printf(
      check->arena,
      "%s of %s may take %s to open at %s; wire %s, %s, is at %s (%s insulation is hurt) after "
      "%s%s; 33 CFR 183.455 allows the fuse by its rating, it asks no times",
      fuse->name,
      pl_say(check->arena, fuse->rating, "A"),
      seconds_text(check, race->fuse),
      pl_say(check->arena, race->amps, "A"),
      wire->number,
      wire->size,
      pl_say(check->arena, to, "degC"),
      pl_wire_insulation(wire)->name,
      seconds_text(check, race->wire_seconds),
      race->others == 0 ? "" : pl_arena_printf(check->arena, " (and %u more)", race->others));
  struct race tried = {.wire = race->wire};
  char size[24];
  double area = wire->area;
  double feed = pl_ways_short(check, wire->end[0], PL_NONE);
  for (int step = 1; step < 24; step++) {
    struct pl_wire other = *wire;
    other.area = pl_wire_next_area(area, wire->metric, step);
    if (!(other.area > 0))
      break;
    run_race(&other,
             fuse,
             pl_rule_wire_amps(&other, 1, NULL),
             fmax(feed, 2 * fuse->rating),
             &tried);
    if (tried.ratio > 1)
      continue;
    f.remedy =
        pl_arena_printf(check->arena,
                        "%s on wire %s, or a smaller fuse if its load allows (see `fuse-load`)",
                        pl_wire_size_text(size, other.area, other.metric),
                        wire->number);
    break;
  }
  if (f.remedy[0] == '\0')
    f.remedy = "a smaller fuse, or one of a faster family";
  f.source = pl_arena_printf(check->arena,
                             "%s; ICEA P-32-382",
                             pl_fuse_gate_source(family_of(fuse), fuse->rating));
  pl_findings_add(check->findings, f);
}

typedef PL_VEC(struct pl_prospect) prospects;

/* A wire that its fuse would not save from some current: the short at its far end tells whether
 * such a current can flow.  Solved where other ways may take part in it. */
struct doubt {
  pl_id wire, fuse;
  double steady, most; /* amps; most NAN: prospects[solved] has it */
  uint32_t solved;
};
typedef PL_VEC(struct doubt) doubts;

static void doubt_wire(const struct pl_check *check, pl_id w, doubts *list, prospects *shorts) {
  const struct pl_wire *wire = &check->harness->wires.at[w];
  double most = 0;
  pl_id start = PL_NONE;
  pl_id end = PL_NONE;
  if (!pl_wire_joins(wire))
    return;
  if (!(wire->area > 0))
    return;
  pl_id d = wire_fuse(check, wire, &most, &start, &end);
  if (d == PL_NONE)
    return;
  if (pl_wire_is_tap(check, wire, start))
    return;
  if (!has_gates(&check->harness->devices.at[d]))
    return;
  const struct pl_device *fuse = &check->harness->devices.at[d];
  double steady = pl_rule_wire_amps(wire, 1, NULL);
  struct pl_amperage law = pl_wire_amperage(wire->area,
                                            wire->metric,
                                            wire->insulation,
                                            wire->engine_space || wire->hot >= 50,
                                            1);
  if (!(steady > 0) || fuse->rating > CFR_SHARE * law.table * law.engine_factor * (1 + 1e-9))
    return; /* place-too-hot and fuse-over-wire say it */
  struct race race = {.wire = w};
  run_race(wire, fuse, steady, fmax(most, GATES_END * fuse->rating), &race);
  if (!(race.ratio > 1))
    return;
  struct doubt doubt = {w, d, steady, most, shorts->n};
  if (!pl_ways_sole(check, end) || most < GATES_END * fuse->rating) {
    doubt.most = NAN;
    PL_PUSH(check->arena, shorts, ((struct pl_prospect){end, PL_NONE, d, 0, false}));
  }
  PL_PUSH(check->arena, list, doubt);
}

void pl_rule_fuse_too_slow(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  struct race *worst = PL_NEW_ARRAY(check->arena, struct race, (size_t)h->devices.n + 1);
  doubts list = {0};
  prospects shorts = {0};
  for (pl_id w = 0; w < h->wires.n; w++)
    doubt_wire(check, w, &list, &shorts);
  pl_prospects_solve(check, shorts.at, shorts.n);
  for (uint32_t i = 0; i < list.n; i++) {
    const struct doubt *doubt = &list.at[i];
    const struct pl_device *fuse = &h->devices.at[doubt->fuse];
    struct race race = {.wire = doubt->wire};
    struct race *most = &worst[doubt->fuse];
    run_race(&h->wires.at[doubt->wire],
             fuse,
             doubt->steady,
             isnan(doubt->most) ? shorts.at[doubt->solved].amps : doubt->most,
             &race);
    if (!(race.ratio > 1))
      continue;
    uint32_t others = 0;
    if (most->ratio > 0)
      others = most->others + 1;
    bool brief = race.amps >= 2 * fuse->rating;
    bool kept = most->amps >= 2 * fuse->rating;
    if (brief == kept ? race.ratio > most->ratio : brief)
      *most = race;
    most->others = others;
  }
  for (pl_id d = 0; d < h->devices.n; d++)
    if (worst[d].ratio > 0)
      report_race(check, d, &worst[d]);
}

/* ---- shorts that are too weak ---- */

struct weak {
  pl_id plus, minus;
  double amps;
  uint32_t others;
};

static bool opens_in_time(const struct pl_device *fuse, double amps) {
  return pl_fuse_opens_within(family_of(fuse), fuse->rating, amps) <= pl_limit_short.value;
}

/* A short to be solved: other ways beside the least one may make it strong enough, or take their
 * share from the fuse. */
static void
doubt_short(const struct pl_check *check, pl_id plus, pl_id minus, prospects *doubtful) {
  if (plus == PL_NONE || minus == PL_NONE)
    return;
  if (check->harness->machine.positive_earth) {
    pl_id swap = plus;
    plus = minus;
    minus = swap;
  }
  double amps = pl_ways_short(check, plus, minus);
  pl_id d = pl_ways_fuse(check, plus);
  if (!(amps > 0))
    return;
  if (d == PL_NONE)
    return;
  if (!has_gates(&check->harness->devices.at[d]))
    return;
  if (opens_in_time(&check->harness->devices.at[d], amps) && pl_ways_sole(check, plus))
    return;
  PL_PUSH(check->arena, doubtful, ((struct pl_prospect){plus, minus, d, 0, false}));
}

static void report_weak(struct pl_check *check, pl_id d, const struct weak *weak) {
  const struct pl_device *fuse = &check->harness->devices.at[d];
  double need = pl_fuse_amps_to_open(family_of(fuse), fuse->rating, pl_limit_short.value);
  double opens = pl_fuse_opens_within(family_of(fuse), fuse->rating, weak->amps);
  struct pl_finding f = pl_finding_new("short-too-weak", PL_FAULT, fuse->span, fuse->name);
  f.figure = weak->amps;
  f.limit = need;
  f.unit = "A";
  f.text = pl_arena_printf(
      check->arena,
      "a dead short between %s and %s draws only %s, %s of %s %s; %s are needed to open it within "
      "%s%s",
      check->harness->pins.at[weak->plus].full,
      check->harness->pins.at[weak->minus].full,
      pl_say(check->arena, weak->amps, "A"),
      fuse->name,
      pl_say(check->arena, fuse->rating, "A"),
      isinf(opens) ? "may never open"
                   : pl_arena_printf(check->arena, "may take %s", seconds_text(check, opens)),
      pl_say(check->arena, need, "A"),
      pl_say(check->arena, pl_limit_short.value, "s"),
      weak->others == 0 ? ""
                        : pl_arena_printf(check->arena, " (and so for %u more)", weak->others));
  f.remedy = pl_arena_printf(
      check->arena,
      "bring the loop to %s or less (thicker or shorter wires there and back), or a smaller fuse",
      pl_say(check->arena, 1000 * check->facts->ways->volts / need, "mohm"));
  f.source = pl_arena_printf(check->arena,
                             "%s; %s",
                             pl_limit_short.source,
                             pl_fuse_gate_source(family_of(fuse), fuse->rating));
  pl_findings_add(check->findings, f);
}

void pl_rule_short_too_weak(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  struct weak *weak = PL_NEW_ARRAY(check->arena, struct weak, (size_t)h->devices.n + 1);
  prospects doubtful = {0};
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (pl_kind_is_load(device->kind))
      doubt_short(check, device->plus, device->minus, &doubtful);
    if (!pl_kind_is(device->kind, PL_IS_MODULE))
      continue;
    pl_id ground = PL_NONE;
    for (pl_id p = device->first_pin;
         p < device->first_pin + device->pin_count && ground == PL_NONE;
         p++)
      if (h->pins.at[p].role == PL_ROLE_GROUND && isfinite(pl_ways_back(check, p)))
        ground = p;
    for (pl_id p = device->first_pin; p < device->first_pin + device->pin_count; p++)
      if (h->pins.at[p].role == PL_ROLE_BATTERY_FEED)
        doubt_short(check, p, ground, &doubtful);
  }
  pl_prospects_solve(check, doubtful.at, doubtful.n);
  for (uint32_t i = 0; i < doubtful.n; i++) {
    const struct pl_prospect *p = &doubtful.at[i];
    struct weak *w = &weak[p->fuse];
    if (opens_in_time(&h->devices.at[p->fuse], p->amps))
      continue;
    uint32_t others = 0;
    if (w->plus != w->minus)
      others = w->others + 1;
    if (w->plus == w->minus || p->amps < w->amps)
      *w = (struct weak){p->plus, p->minus, p->amps, 0};
    w->others = others;
  }
  for (pl_id d = 0; d < h->devices.n; d++)
    if (weak[d].plus != weak[d].minus)
      report_weak(check, d, &weak[d]);
}

/* ---- two fuses in line ---- */

/* The pin of a fuse at which current leaves it. */
static pl_id out_of(const struct pl_check *check, pl_id d, pl_id *in) {
  pl_id a = pl_pin_named(check->harness, d, "in");
  pl_id b = pl_pin_named(check->harness, d, "out");
  if (a == PL_NONE || b == PL_NONE)
    return PL_NONE;
  bool forward = pl_ways_feed(check, a) <= pl_ways_feed(check, b);
  *in = forward ? a : b;
  return forward ? b : a;
}

void pl_rule_fuse_order(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *fuse = &h->devices.at[d];
    pl_id in = PL_NONE;
    pl_id out;
    pl_id above;
    if (!pl_kind_is_protection(fuse->kind))
      continue;
    if (!(fuse->rating > 0))
      continue;
    out = out_of(check, d, &in);
    if (out == PL_NONE)
      continue;
    if ((above = pl_ways_fuse(check, in)) == PL_NONE)
      continue;
    if (above == d)
      continue;
    const struct pl_device *upper = &h->devices.at[above];
    if (!(upper->rating > 0))
      continue;
    if (upper->rating >= pl_limit_fuse_order.value * fuse->rating * (1 - 1e-9))
      continue;
    bool first = upper->rating <= fuse->rating;
    struct pl_finding f =
        pl_finding_new("fuse-order", first ? PL_FAULT : PL_ADVICE, fuse->span, fuse->name);
    f.figure = upper->rating;
    f.limit = pl_limit_fuse_order.value * fuse->rating;
    f.unit = "A";
    double amps = pl_prospect_amps(check, out, PL_NONE, d);
    const char *times = "";
    if (has_gates(fuse) && has_gates(upper) && amps > fuse->rating) {
      double slow = pl_fuse_opens_within(family_of(fuse), fuse->rating, amps);
      double fast = pl_fuse_holds_for(family_of(upper), upper->rating, amps);
      if (isfinite(slow) && isfinite(fast))
        times = pl_arena_printf(check->arena,
                                "; at a short of %s it may take %s, the other may be open after %s",
                                pl_say(check->arena, amps, "A"),
                                seconds_text(check, slow),
                                seconds_text(check, fast));
    }
    f.text = pl_arena_printf(check->arena,
                             "%s of %s lies behind %s of %s: a short there %s open the other%s%s",
                             fuse->name,
                             pl_say(check->arena, fuse->rating, "A"),
                             upper->name,
                             pl_say(check->arena, upper->rating, "A"),
                             first ? "will rather" : "may",
                             first ? " and all it feeds" : "",
                             times);
    double least = pl_fuse_at_least(upper->family, f.limit);
    double most = pl_fuse_at_most(fuse->family, upper->rating / pl_limit_fuse_order.value);
    f.remedy = pl_arena_printf(
        check->arena,
        "%s%s%s%s",
        most > 0
            ? pl_arena_printf(check->arena, "%s at %s", pl_say(check->arena, most, "A"), fuse->name)
            : "",
        most > 0 && least > 0 ? ", or " : "",
        least > 0 ? pl_arena_printf(check->arena,
                                    "%s at %s if its wires bear that",
                                    pl_say(check->arena, least, "A"),
                                    upper->name)
                  : "",
        most > 0 || least > 0 ? "" : "feed them from one point side by side");
    pl_findings_add(check->findings, f);
  }
}

/* ---- interrupt rating ---- */

/* The nearest ground where the fuse sits; PL_NONE when that is not known: a tool across the fuse
 * panel may be a better ground than any. */
static pl_id ground_at(const struct pl_check *check, pl_id place) {
  const struct pl_harness *h = check->harness;
  pl_id nearest = PL_NONE;
  for (pl_id d = 0; place != PL_NONE && d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (device->place != place)
      continue;
    for (pl_id p = device->first_pin; p < device->first_pin + device->pin_count; p++)
      if (isfinite(pl_ways_back(check, p)) &&
          (nearest == PL_NONE || pl_ways_back(check, p) < pl_ways_back(check, nearest)))
        nearest = p;
  }
  return nearest;
}

struct burst {
  pl_id fuse;
  double amps, most;
  const char *source;
  PL_VEC(const char *) others; /* of the same family at the same place: one cause */
};
typedef PL_VEC(struct burst) bursts;

static void keep_burst(const struct pl_check *check, bursts *list, struct burst burst) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *fuse = &h->devices.at[burst.fuse];
  for (uint32_t i = 0; i < list->n; i++) {
    struct burst *other = &list->at[i];
    if (h->devices.at[other->fuse].place != fuse->place)
      continue;
    if (other->most != burst.most)
      continue;
    PL_PUSH(check->arena, &other->others, fuse->name);
    other->amps = fmax(other->amps, burst.amps);
    return;
  }
  PL_PUSH(check->arena, list, burst);
}

static void report_burst(struct pl_check *check, const struct burst *burst) {
  const struct pl_device *fuse = &check->harness->devices.at[burst->fuse];
  struct pl_finding f = pl_finding_new("fuse-interrupt", PL_FAULT, fuse->span, fuse->name);
  f.figure = burst->amps;
  f.limit = burst->most;
  f.unit = "A";
  f.source = burst->source;
  f.text = pl_arena_printf(
      check->arena,
      "a short right behind %s draws %s from the battery; a %s fuse is known to break %s: it may "
      "burst or go on burning%s",
      fuse->name,
      pl_say(check->arena, burst->amps, "A"),
      family_of(fuse),
      pl_say(check->arena, burst->most, "A"),
      burst->others.n == 0
          ? ""
          : pl_arena_printf(check->arena,
                            " (so may %s)",
                            pl_say_list(check->arena, burst->others.at, burst->others.n, 4)));
  f.remedy = pl_arena_printf(check->arena,
                             "%s more on the way to it (a longer or thinner lead that its fuse "
                             "still protects), or a fuse that breaks more, bolted to the post",
                             pl_say(check->arena,
                                    1000 * (check->facts->ways->volts / burst->most -
                                            check->facts->ways->volts / burst->amps),
                                    "mohm"));
  pl_findings_add(check->findings, f);
}

void pl_rule_fuse_interrupt(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  bursts asked = {0};
  bursts list = {0};
  prospects shorts = {0}; /* of `asked`, in its order */
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *fuse = &h->devices.at[d];
    const char *source = "";
    double most = NAN;
    if (pl_kind_is(fuse->kind, PL_HAS_FAMILY))
      most = pl_fuse_interrupts(family_of(fuse), &source);
    pl_id in = PL_NONE;
    pl_id out = isnan(most) ? PL_NONE : out_of(check, d, &in);
    if (out == PL_NONE)
      continue;
    bool lone = pl_ways_lone(check, out);
    if (lone && !(pl_ways_short(check, out, PL_NONE) > most))
      continue; /* not even with no ohms back */
    pl_id ground = ground_at(check, fuse->place);
    double amps = pl_ways_short(check, out, ground);
    PL_PUSH(check->arena,
            &shorts,
            ((struct pl_prospect){out, ground, d, amps, lone && amps > most}));
    PL_PUSH(check->arena, &asked, ((struct burst){.fuse = d, .most = most, .source = source}));
  }
  pl_prospects_solve(check, shorts.at, shorts.n);
  for (uint32_t i = 0; i < asked.n; i++) {
    asked.at[i].amps = shorts.at[i].amps;
    if (asked.at[i].amps > asked.at[i].most)
      keep_burst(check, &list, asked.at[i]);
  }
  for (uint32_t i = 0; i < list.n; i++)
    report_burst(check, &list.at[i]);
}

/* ---- what has no gates ---- */

void pl_rule_times_unknown(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  PL_VEC(const char *) names = {0};
  pl_id first = PL_NONE;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is_protection(device->kind))
      continue;
    if (!(device->rating > 0))
      continue;
    if (has_gates(device))
      continue;
    if (!(check->facts->device_most[d] > 0))
      continue;
    if (first == PL_NONE)
      first = d;
    PL_PUSH(check->arena,
            &names,
            pl_arena_printf(check->arena,
                            "%s (%s)",
                            device->name,
                            pl_kind_is(device->kind, PL_HAS_FAMILY) ? family_of(device)
                                                                    : pl_kind_name(device->kind)));
  }
  if (first == PL_NONE)
    return;
  struct pl_finding f = pl_finding_new("times-unknown",
                                       PL_ADVICE,
                                       h->devices.at[first].span,
                                       h->devices.at[first].name);
  f.text = pl_arena_printf(check->arena,
                           "how fast %s open%s is in no table here: judged by rating only, not "
                           "against the wires behind %s",
                           pl_say_list(check->arena, names.at, names.n, 8),
                           names.n == 1 ? "s" : "",
                           names.n == 1 ? "it" : "them");
  f.remedy = "compare the maker's curve with those wires, or take a fuse of a family whose times "
             "are known";
  pl_findings_add(check->findings, f);
}

/* ---- switching on ---- */

struct rush {
  pl_id fuse, gate, load;
  double extra, seconds; /* amps above the running ones */
};
typedef PL_VEC(struct rush) rushes;

/* It falls off to its running amps: as many amps squared seconds as at the peak for T/(2 ln k). */
static void surge_of(const struct pl_device *device, double *times, double *seconds) {
  *times = pl_device_inrush(device, seconds);
  if (*times > 1)
    *seconds /= 2 * log(*times);
}

static int by_fuse_and_gate(const void *a, const void *b) {
  const struct rush *x = a;
  const struct rush *y = b;
  if (x->fuse != y->fuse)
    return x->fuse < y->fuse ? -1 : 1;
  if (x->gate != y->gate)
    return x->gate < y->gate ? -1 : 1;
  return (x->load > y->load) - (x->load < y->load);
}

static rushes collect_rushes(const struct pl_check *check, pl_id state) {
  const struct pl_harness *h = check->harness;
  rushes list = {0};
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    double times;
    double seconds;
    double amps = fabs(check->solutions[state].device_amps[d]);
    pl_id pin = h->machine.positive_earth ? device->minus : device->plus;
    if (!pl_kind_is_load(device->kind))
      continue;
    if (pin == PL_NONE)
      continue;
    if (!(amps > 0))
      continue;
    surge_of(device, &times, &seconds);
    if (!(times > 1))
      continue;
    if (check->facts->ways->node_count == 0)
      continue;
    pl_id gate = check->facts->ways->gate[pl_network_pin_node(check->network, pin)];
    for (uint32_t turn = 0; turn < 8; turn++) { /* every fuse on its way */
      struct rush rush = {pl_ways_fuse(check, pin), gate, d, (times - 1) * amps, seconds};
      if (rush.fuse == PL_NONE)
        break;
      PL_PUSH(check->arena, &list, rush);
      pl_id in = PL_NONE;
      if (out_of(check, rush.fuse, &in) == PL_NONE)
        break;
      pin = in;
    }
  }
  if (list.n > 1)
    qsort(list.at, list.n, sizeof list.at[0], by_fuse_and_gate);
  return list;
}

struct peak {
  double amps, seconds, holds;
  pl_id state, load;
  uint32_t loads;
};

static void judge_rush(const struct pl_check *check,
                       pl_id state,
                       const struct rush *rush,
                       uint32_t n,
                       struct peak *worst) {
  const struct pl_device *fuse = &check->harness->devices.at[rush->fuse];
  double extra = 0;
  double seconds = 0;
  if (!has_gates(fuse))
    return;
  for (uint32_t i = 0; i < n; i++) {
    extra += rush[i].extra;
    seconds = fmax(seconds, rush[i].seconds);
  }
  double amps = fabs(check->solutions[state].device_amps[rush->fuse]) + extra;
  double holds = pl_fuse_holds_for(family_of(fuse), fuse->rating, amps);
  if (!(holds < seconds))
    return;
  if (!(seconds / fmax(holds, 1e-6) >
        (worst->amps > 0 ? worst->seconds / fmax(worst->holds, 1e-6) : 0)))
    return;
  *worst = (struct peak){amps, seconds, holds, state, rush->load, n};
}

void pl_rule_inrush(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  struct peak *worst = PL_NEW_ARRAY(check->arena, struct peak, (size_t)h->devices.n + 1);
  for (pl_id s = 0; s < h->states.n; s++) {
    if (check->solutions[s].status != PL_SOLVED)
      continue;
    rushes list = collect_rushes(check, s);
    for (uint32_t i = 0, k; i < list.n; i = k) {
      for (k = i + 1;
           k < list.n && list.at[k].fuse == list.at[i].fuse && list.at[k].gate == list.at[i].gate;)
        k++;
      judge_rush(check, s, &list.at[i], k - i, &worst[list.at[i].fuse]);
    }
  }
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct peak *peak = &worst[d];
    const struct pl_device *fuse = &h->devices.at[d];
    if (!(peak->amps > 0))
      continue;
    struct pl_finding f = pl_finding_new("inrush", PL_ADVICE, fuse->span, fuse->name);
    f.state = pl_state_name(check, peak->state);
    f.figure = peak->amps;
    f.limit = fuse->rating;
    f.unit = "A";
    f.text = pl_arena_printf(
        check->arena,
        "switching on %s%s takes %s through %s of %s for %s; such a fuse may open after %s",
        h->devices.at[peak->load].name,
        peak->loads == 1 ? "" : pl_arena_printf(check->arena, " and %u more", peak->loads - 1),
        pl_say(check->arena, peak->amps, "A"),
        fuse->name,
        pl_say(check->arena, fuse->rating, "A"),
        seconds_text(check, peak->seconds),
        seconds_text(check, peak->holds));
    double next = 0;
    for (double rating = fuse->rating;
         (next = pl_fuse_at_least(family_of(fuse), rating * 1.001)) > 0;
         rating = next)
      if (pl_fuse_holds_for(family_of(fuse), next, peak->amps) >= peak->seconds)
        break;
    if (next > 0)
      f.remedy = pl_arena_printf(check->arena,
                                 "%s if the wires behind it bear that (see `fuse-over-wire`), "
                                 "or a slower family, or switch the loads one by one",
                                 pl_say(check->arena, next, "A"));
    else
      f.remedy = "a slower family, or a fuse for each load";
    f.source = pl_arena_printf(check->arena,
                               "the load's `inrush`, or the default for its kind; %s",
                               pl_fuse_gate_source(family_of(fuse), fuse->rating));
    pl_findings_add(check->findings, f);
  }
}
