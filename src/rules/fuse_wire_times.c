/* Does the fuse open before the wire behind it is hurt? */
#include <math.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/fuse_times_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/fuse_gates.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

#define GATES_END                                                                                \
  6.0 /* times its rating: from here both fuse and wire go by amps squared seconds, so more amps \
         change nothing */
#define CFR_SHARE (pl_limit_fuse_over_wire.value / 100)

typedef PL_VEC(struct pl_prospect) prospects;

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
  double opens = pl_fuse_opens_within(pl_fuse_family(fuse), fuse->rating, amps);
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
      pl_say_seconds(check, race->fuse),
      pl_say(check->arena, race->amps, "A"),
      wire->number,
      wire->size,
      pl_say(check->arena, to, "degC"),
      pl_wire_insulation(wire)->name,
      pl_say_seconds(check, race->wire_seconds),
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
  pl_ids wires = {0};
  PL_PUSH(check->arena, &wires, race->wire);
  f.wires = wires.at;
  f.wire_count = 1;
  f.source = pl_arena_printf(check->arena,
                             "%s; ICEA P-32-382",
                             pl_fuse_gate_source(pl_fuse_family(fuse), fuse->rating));
  pl_findings_add(check->findings, f);
}

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
  if (!pl_fuse_has_times(&check->harness->devices.at[d]))
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
  if (!pl_ways_fuse_is_bridge(check, end) || most < GATES_END * fuse->rating) {
    doubt.most = NAN;
    PL_PUSH(check->arena, shorts, ((struct pl_prospect){end, PL_NONE, d, 0, false}));
  }
  PL_PUSH(check->arena, list, doubt);
}

void pl_rule_fuse_too_slow(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  struct race *worst = PL_BY_DEVICE(check, struct race);
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
