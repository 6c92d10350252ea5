/* Of two fuses in line, which opens first; and which protections have no published times. */
#include <math.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/fuse_times_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/fuse_gates.h"
#include "standard/limits_data.h"

/* ---- two fuses in line ---- */

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
    out = pl_fuse_out(check, d, &in);
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
    if (pl_fuse_has_times(fuse) && pl_fuse_has_times(upper) && amps > fuse->rating) {
      double slow = pl_fuse_opens_within(pl_fuse_family(fuse), fuse->rating, amps);
      double fast = pl_fuse_holds_for(pl_fuse_family(upper), upper->rating, amps);
      if (isfinite(slow) && isfinite(fast))
        times = pl_arena_printf(check->arena,
                                "; at a short of %s it may take %s, the other may be open after %s",
                                pl_say(check->arena, amps, "A"),
                                pl_say_seconds(check, slow),
                                pl_say_seconds(check, fast));
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
    if (pl_fuse_has_times(device))
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
                            pl_kind_is(device->kind, PL_HAS_FAMILY) ? pl_fuse_family(device)
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
                           pl_say_some(check, names.at, names.n, 8),
                           names.n == 1 ? "s" : "",
                           names.n == 1 ? "it" : "them");
  f.remedy = "compare the maker's curve with those wires, or take a fuse of a family whose times "
             "are known";
  pl_findings_add(check->findings, f);
}
