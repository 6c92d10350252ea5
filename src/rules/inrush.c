/* Does a fuse bear what its loads take at switching on? */
#include <math.h>
#include <stdlib.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/fuse_times_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/fuse_gates.h"
#include "standard/limits_data.h"

struct rush {
  pl_id fuse, gate, load;
  double extra, seconds; /* amps above the running ones */
};
typedef PL_VEC(struct rush) rushes;

/* The surge falls off to its running amps: as many amps squared seconds as at the peak for T/(2 ln
 * k). */
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

/* Loads behind one fuse that one switch turns on. */
static bool is_one_rush(const struct rush *a, const struct rush *b) {
  return a->fuse == b->fuse && a->gate == b->gate;
}

static rushes collect_rushes(const struct pl_check *check, pl_id state) {
  const struct pl_harness *h = check->harness;
  rushes list = {0};
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    double times;
    double seconds;
    double amps = fabs(check->solutions[state].device_amps[d]);
    pl_id pin = pl_live_pin(h, device);
    if (!pl_kind_is_load(device->kind))
      continue;
    if (pin == PL_NONE)
      continue;
    if (!(amps > 0))
      continue;
    surge_of(device, &times, &seconds);
    if (!(times > 1))
      continue;
    pl_id gate = pl_ways_gate(check, pin);
    for (uint32_t turn = 0; turn < 8; turn++) { /* every fuse on its way */
      struct rush rush = {pl_ways_fuse(check, pin), gate, d, (times - 1) * amps, seconds};
      if (rush.fuse == PL_NONE)
        break;
      PL_PUSH(check->arena, &list, rush);
      pl_id in = PL_NONE;
      if (pl_fuse_out(check, rush.fuse, &in) == PL_NONE)
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
  if (!pl_fuse_has_times(fuse))
    return;
  for (uint32_t i = 0; i < n; i++) {
    extra += rush[i].extra;
    seconds = fmax(seconds, rush[i].seconds);
  }
  double amps = fabs(check->solutions[state].device_amps[rush->fuse]) + extra;
  double holds = pl_fuse_holds_for(pl_fuse_family(fuse), fuse->rating, amps);
  if (!(holds < seconds))
    return;
  if (!(seconds / fmax(holds, 1e-6) >
        (worst->amps > 0 ? worst->seconds / fmax(worst->holds, 1e-6) : 0)))
    return;
  *worst = (struct peak){amps, seconds, holds, state, rush->load, n};
}

void pl_rule_inrush(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  struct peak *worst = PL_BY_DEVICE(check, struct peak);
  for (pl_id s = 0; s < h->states.n; s++) {
    if (check->solutions[s].status != PL_SOLVED)
      continue;
    rushes list = collect_rushes(check, s);
    for (uint32_t i = 0, k; i < list.n; i = k) {
      for (k = i + 1; k < list.n && is_one_rush(&list.at[k], &list.at[i]);)
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
        pl_say_seconds(check, peak->seconds),
        pl_say_seconds(check, peak->holds));
    double next = 0;
    for (double rating = fuse->rating;
         (next = pl_fuse_at_least(pl_fuse_family(fuse), rating * 1.001)) > 0;
         rating = next)
      if (pl_fuse_holds_for(pl_fuse_family(fuse), next, peak->amps) >= peak->seconds)
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
                               pl_fuse_gate_source(pl_fuse_family(fuse), fuse->rating));
    pl_findings_add(check->findings, f);
  }
}
