/* Loads and feeders that burn: coils that bear only moments, loads above 60 A, charging cables
 * through the cab.  And the tachometer. */
#include <math.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/limits_data.h"

void pl_rule_on_too_long(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    pl_id worst = PL_NONE;
    if (!(device->on_seconds > 0))
      continue;
    for (pl_id s = 0; s < h->states.n; s++) {
      if (check->solutions[s].status != PL_SOLVED)
        continue;
      if (!(h->states.at[s].lasts > device->on_seconds))
        continue;
      if (!(fabs(check->solutions[s].device_amps[d]) > 0.5 * device->load_amps))
        continue;
      if (worst == PL_NONE || h->states.at[s].lasts > h->states.at[worst].lasts)
        worst = s;
    }
    if (worst == PL_NONE)
      continue;
    double lasts = h->states.at[worst].lasts;
    struct pl_finding f = pl_finding_new("on-too-long", PL_DANGER, device->span, device->name);
    f.state = pl_state_name(check, worst);
    f.figure = isfinite(lasts) ? lasts : NAN;
    f.limit = device->on_seconds;
    f.unit = "s";
    f.text = pl_arena_printf(check->arena,
                             "%s bears %s, but its feed holds it on %s%s: it burns out",
                             device->name,
                             pl_say(check->arena, device->on_seconds, "s"),
                             isfinite(lasts) ? "for " : "for as long as the state lasts",
                             isfinite(lasts) ? pl_say(check->arena, lasts, "s") : "");
    f.remedy = "feed a pull coil from the start position or through a timer, and leave the holding "
               "to the hold coil";
    pl_findings_add(check->findings, f);
  }
}

/* ---- heavy loads ---- */

void pl_rule_heavy_load(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    pl_id live = pl_live_pin(h, device);
    if (!pl_kind_is_load(device->kind))
      continue;
    if (live == PL_NONE)
      continue;
    if (!(check->facts->device_most[d] > pl_limit_heavy.value))
      continue;
    pl_id fuse = pl_ways_fuse(check, live);
    PL_VEC(const char *) others = {0};
    for (pl_id k = 0; fuse != PL_NONE && k < h->devices.n; k++) {
      const struct pl_device *other = &h->devices.at[k];
      if (k == d)
        continue;
      if (!pl_kind_is_load(other->kind) && !pl_kind_is(other->kind, PL_IS_MODULE))
        continue;
      for (pl_id p = other->first_pin; p < pl_pins_end(other); p++)
        if (pl_ways_fuse(check, p) == fuse && isfinite(pl_ways_feed(check, p)) &&
            (p == (pl_live_pin(h, other)) || h->pins.at[p].role == PL_ROLE_BATTERY_FEED)) {
          PL_PUSH(check->arena, &others, other->name);
          break;
        }
    }
    if (others.n == 0)
      continue;
    struct pl_finding f = pl_finding_new("heavy-load", PL_FAULT, device->span, device->name);
    f.figure = check->facts->device_most[d];
    f.limit = pl_limit_heavy.value;
    f.unit = "A";
    f.text =
        pl_arena_printf(check->arena,
                        "%s draws %s and shares %s with %s: its surge and its heat are theirs too",
                        device->name,
                        pl_say(check->arena, f.figure, "A"),
                        h->devices.at[fuse].name,
                        pl_say_some(check, others.at, others.n, 4));
    f.remedy = "a fuse of its own near the battery, a short cable, and a relay rated for it whose "
               "coil alone is switched";
    pl_findings_add(check->findings, f);
  }
}

/* ---- feeders through the cab ---- */

/* A place inside that the wire passes or ends in; PL_NONE. */
static pl_id inside_on(const struct pl_harness *h, const struct pl_wire *wire) {
  for (int e = 0; e < 2; e++) {
    pl_id place;
    if (wire->end[e] == PL_NONE)
      place = PL_NONE;
    else
      place = pl_pin_device(h, wire->end[e])->place;
    if (place != PL_NONE && h->places.at[place].inside)
      return place;
  }
  for (uint32_t i = 0; i < wire->route.n; i++) {
    const struct pl_run *run = &h->runs.at[wire->route.at[i]];
    if (h->places.at[run->a].inside)
      return run->a;
    if (h->places.at[run->b].inside)
      return run->b;
  }
  return PL_NONE;
}

void pl_rule_feeder_inside(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const struct pl_ways *ways = check->facts->ways;
  if (ways->node_count == 0)
    return;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *alternator = &h->devices.at[d];
    pl_id post = pl_live_pin(h, alternator);
    if (!pl_kind_is(alternator->kind, PL_IS_GENERATOR))
      continue;
    if (post == PL_NONE)
      continue;
    uint32_t node = pl_network_pin_node(check->network, post);
    for (uint32_t turn = 0; turn < ways->node_count && ways->feed_by[node] != UINT32_MAX; turn++) {
      const struct pl_element *e = &ways->elements[ways->feed_by[node]];
      pl_id place;
      if (e->wire == PL_NONE)
        place = PL_NONE;
      else
        place = inside_on(h, &h->wires.at[e->wire]);
      if (e->node_a == node)
        node = e->node_b;
      else
        node = e->node_a;
      if (place == PL_NONE)
        continue;
      struct pl_finding f = pl_finding_new("feeder-inside",
                                           PL_DANGER,
                                           h->wires.at[e->wire].span,
                                           pl_say_wire(check, e->wire));
      f.figure = alternator->speed_amps;
      f.unit = "A";
      f.text = pl_arena_printf(check->arena,
                               "wire %s carries all that %s charges through %s, where people sit: "
                               "%s at a loose nut start a fire there",
                               h->wires.at[e->wire].number,
                               alternator->name,
                               h->places.at[place].name,
                               pl_say(check->arena, alternator->speed_amps, "A"));
      f.remedy = "lead the charging cable straight to the battery; in the cab a voltmeter on a "
                 "keyed feed, or an ammeter with its shunt outside";
      pl_findings_add(check->findings, f);
      break;
    }
  }
}

/* ---- tachometer ---- */

void pl_rule_tach_pulses(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id g = 0; g < h->devices.n; g++) {
    const struct pl_device *gauge = &h->devices.at[g];
    pl_id signal = PL_NONE;
    if (gauge->pulses > 0)
      signal = pl_pin_named(h, g, "S");
    for (pl_id d = 0; signal != PL_NONE && d < h->devices.n; d++) {
      const struct pl_device *alternator = &h->devices.at[d];
      pl_id phase = PL_NONE;
      if (pl_kind_is(alternator->kind, PL_IS_GENERATOR))
        phase = pl_pin_named(h, d, "W");
      if (phase == PL_NONE)
        continue;
      if (!pl_same_net(check, phase, signal))
        continue;
      if (!(alternator->poles * alternator->pulley_ratio > 0))
        continue;
      double pulses = alternator->pulley_ratio * alternator->poles / 2;
      double off = 100 * fabs(gauge->pulses / pulses - 1);
      if (!(off > pl_limit_pulses.value))
        continue;
      struct pl_finding f = pl_finding_new("tach-pulses", PL_FAULT, gauge->span, gauge->name);
      f.figure = gauge->pulses;
      f.limit = pulses;
      f.unit = "pulses";
      f.text = pl_arena_printf(check->arena,
                               "%s is set for %s pulses a turn, %s gives %s (pulleys %s to 1, %s "
                               "poles): it shows %s rpm where the engine turns 1000",
                               gauge->name,
                               pl_say(check->arena, gauge->pulses, ""),
                               alternator->name,
                               pl_say(check->arena, pulses, ""),
                               pl_say(check->arena, alternator->pulley_ratio, ""),
                               pl_say(check->arena, alternator->poles, ""),
                               pl_say(check->arena, 1000 * pulses / gauge->pulses, ""));
      f.remedy = pl_arena_printf(
          check->arena,
          "set it to %s pulses, after counting the poles and measuring both pulleys",
          pl_say(check->arena, pulses, ""));
      pl_findings_add(check->findings, f);
    }
  }
}
