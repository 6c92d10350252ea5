/* What a dead short draws: enough to open its fuse in time, and no more than the fuse can break? */
#include <math.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/fuse_times_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/fuse_gates.h"
#include "standard/limits_data.h"

typedef PL_VEC(struct pl_prospect) prospects;

/* ---- shorts that are too weak ---- */

struct weak {
  pl_id plus, minus;
  double amps;
  uint32_t others;
};

static bool opens_in_time(const struct pl_device *fuse, double amps) {
  return pl_fuse_opens_within(pl_fuse_family(fuse), fuse->rating, amps) <= pl_limit_short.value;
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
  if (!pl_fuse_has_times(&check->harness->devices.at[d]))
    return;
  if (opens_in_time(&check->harness->devices.at[d], amps) && pl_ways_fuse_is_bridge(check, plus))
    return;
  PL_PUSH(check->arena, doubtful, ((struct pl_prospect){plus, minus, d, 0, false}));
}

static void report_weak(struct pl_check *check, pl_id d, const struct weak *weak) {
  const struct pl_device *fuse = &check->harness->devices.at[d];
  double need = pl_fuse_amps_to_open(pl_fuse_family(fuse), fuse->rating, pl_limit_short.value);
  double opens = pl_fuse_opens_within(pl_fuse_family(fuse), fuse->rating, weak->amps);
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
                   : pl_arena_printf(check->arena, "may take %s", pl_say_seconds(check, opens)),
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
                             pl_fuse_gate_source(pl_fuse_family(fuse), fuse->rating));
  pl_findings_add(check->findings, f);
}

void pl_rule_short_too_weak(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  struct weak *weak = PL_BY_DEVICE(check, struct weak);
  prospects doubtful = {0};
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (pl_kind_is_load(device->kind))
      doubt_short(check, device->plus, device->minus, &doubtful);
    if (!pl_kind_is(device->kind, PL_IS_MODULE))
      continue;
    pl_id ground = PL_NONE;
    for (pl_id p = device->first_pin; p < pl_pins_end(device) && ground == PL_NONE; p++) {
      if (h->pins.at[p].role != PL_ROLE_GROUND)
        continue;
      if (!isfinite(pl_ways_back(check, p)))
        continue;
      ground = p;
    }
    for (pl_id p = device->first_pin; p < pl_pins_end(device); p++)
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
    for (pl_id p = device->first_pin; p < pl_pins_end(device); p++) {
      if (!isfinite(pl_ways_back(check, p)))
        continue;
      if (nearest == PL_NONE || pl_ways_back(check, p) < pl_ways_back(check, nearest))
        nearest = p;
    }
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
      pl_fuse_family(fuse),
      pl_say(check->arena, burst->most, "A"),
      burst->others.n == 0
          ? ""
          : pl_arena_printf(check->arena,
                            " (so may %s)",
                            pl_say_some(check, burst->others.at, burst->others.n, 4)));
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
      most = pl_fuse_interrupts(pl_fuse_family(fuse), &source);
    pl_id in = PL_NONE;
    pl_id out = isnan(most) ? PL_NONE : pl_fuse_out(check, d, &in);
    if (out == PL_NONE)
      continue;
    bool lone = pl_ways_is_only_feed(check, out);
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
