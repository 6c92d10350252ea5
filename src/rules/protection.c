/* Protection: the share of a fuse that is used, fuses larger than the wires behind them, live wires
 * without any. */
#include <math.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

#define METRES_PER_INCH 0.0254

/* ---- load ---- */

void pl_rule_fuse_load(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is_protection(device->kind))
      continue;
    if (!(device->rating > 0))
      continue;
    double amps = 0;
    double usable = device->rating * h->machine.fuse_share;
    pl_id state = PL_NONE;
    for (pl_id s = 0; s < h->states.n; s++) {
      if (!check->facts->live[s])
        continue;
      if (!(fabs(check->solutions[s].device_amps[d]) > amps))
        continue;

      amps = fabs(check->solutions[s].device_amps[d]);
      state = s;
    }
    if (!(amps > usable * (1 + 1e-9)))
      continue;
    struct pl_finding f = pl_finding_new("fuse-load", PL_FAULT, device->span, device->name);
    f.state = pl_state_name(check, state);
    f.figure = amps;
    f.limit = usable;
    f.unit = "A";
    f.text = pl_arena_printf(check->arena,
                             "%s %s carries %s, continuous use is at most %s (%s of %s)%s",
                             pl_kind_name(device->kind),
                             device->name,
                             pl_say(check->arena, amps, "A"),
                             pl_say(check->arena, usable, "A"),
                             pl_say(check->arena, 100 * h->machine.fuse_share, "%"),
                             pl_say(check->arena, device->rating, "A"),
                             amps > device->rating ? ": it will open" : "");
    double next = pl_fuse_at_least(device->family, amps / h->machine.fuse_share);
    if (next > 0)
      f.remedy = pl_arena_printf(check->arena,
                                 "a fuse of %s if the wires behind it bear that (see "
                                 "`fuse-over-wire`), or share its loads out",
                                 pl_say(check->arena, next, "A"));
    else
      f.remedy = "share its loads out over more fuses";
    pl_findings_add(check->findings, f);
  }
}

/* ---- fuse over wire ---- */

static pl_id live_pole(const struct pl_harness *h, pl_id d) {
  if (h->machine.positive_earth)
    return h->devices.at[d].minus;
  return h->devices.at[d].plus;
}

static uint8_t live_bit(const struct pl_harness *h) {
  return h->machine.positive_earth ? PL_POLE_MINUS : PL_POLE_PLUS;
}

/* What carries a short circuit's current on without limiting it. */
static bool carries(const struct pl_check *check, const struct pl_link *link) {
  if (link->tie == PL_TIE_SERIES)
    return pl_device_is(check->harness, link->device, PL_IS_ONE_WAY);
  if (link->tie == PL_TIE_WIRE)
    return true;
  if (link->tie == PL_TIE_FIXED)
    return true;
  return link->tie == PL_TIE_CONTACT;
}

static bool beyond(const struct pl_check *check, pl_id pin) {
  uint8_t pole = check->facts->pole[pin];
  return pole != 0 && pole != live_bit(check->harness);
}

/* By pin: how many protections lie between a battery's live pole and it; UINT32_MAX: nothing leads
 * there. */
static uint32_t *depths(const struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const struct pl_facts *facts = check->facts;
  uint32_t *depth = PL_BY_PIN(check, uint32_t);
  pl_id *queue = PL_BY_PIN(check, pl_id);
  pl_id *next = PL_NEW_ARRAY(check->arena, pl_id, 2 * (size_t)facts->link_count + 1);
  pl_id *swap_from = PL_NEW_ARRAY(check->arena, pl_id, 2 * (size_t)facts->link_count + 1);
  uint32_t waiting = 0;
  for (pl_id p = 0; p < h->pins.n; p++)
    depth[p] = UINT32_MAX;
  for (pl_id d = 0; d < h->devices.n; d++) {
    if (!pl_device_is(h, d, PL_IS_STORE))
      continue;
    if (live_pole(h, d) == PL_NONE)
      continue;
    if (waiting >= facts->link_count)
      continue;
    next[waiting++] = live_pole(h, d);
  }
  for (uint32_t level = 0; waiting > 0; level++) {
    uint32_t n = 0;
    uint32_t later = 0;
    for (uint32_t i = 0; i < waiting; i++)
      if (depth[next[i]] == UINT32_MAX) {
        depth[next[i]] = level;
        queue[n++] = next[i];
      }
    for (uint32_t i = 0; i < n; i++) {
      pl_id at = queue[i];
      for (uint32_t k = facts->first[at]; k < facts->first[at + 1]; k++) {
        const struct pl_link *link = pl_link_at(facts, k);
        pl_id q = pl_link_other(link, at);
        if (depth[q] != UINT32_MAX)
          continue;
        if (beyond(check, q))
          continue;
        if (link->tie == PL_TIE_FUSE)
          swap_from[later++] = q;
        if (!carries(check, link))
          continue;
        depth[q] = level;
        queue[n++] = q;
      }
    }
    pl_id *old = next;
    next = swap_from;
    swap_from = old;
    waiting = later;
  }
  return depth;
}

/* Allowed by law before the bundle factor: Table 5 with its engine-space factor. */
static double law_amps(const struct pl_wire *wire) {
  struct pl_amperage a = pl_wire_amperage(wire->area,
                                          wire->metric,
                                          wire->insulation,
                                          wire->engine_space || wire->hot >= 50,
                                          1);
  return a.table * a.engine_factor;
}

static double stretch_limit(bool sheathed) {
  return METRES_PER_INCH *
         (sheathed ? pl_limit_unfused_sheathed.value : pl_limit_unfused_bare.value);
}

/* A short tap to a protection of its own, as near as 33 CFR 183.455(b) wants it: that one protects
 * it. */
bool pl_wire_is_tap(const struct pl_check *check, const struct pl_wire *wire, pl_id start) {
  const struct pl_harness *h = check->harness;
  for (int i = 0; i < 2; i++)
    if (wire->end[i] != start && pl_kind_is_protection(pl_pin_device(h, wire->end[i])->kind))
      return wire->length <= stretch_limit(pl_wire_is_sheathed(h, wire));
  return false;
}

struct behind {
  pl_ids over;
  pl_id least;
  double amps;
}; /* wires whose 150 % is below the rating; the smallest of all */

static struct behind walk_behind(const struct pl_check *check,
                                 pl_id start,
                                 const uint32_t *depth,
                                 pl_id *queue,
                                 uint32_t *stamp,
                                 uint32_t turn,
                                 double rating) {
  const struct pl_facts *facts = check->facts;
  struct behind result = {.least = PL_NONE, .amps = INFINITY};
  uint32_t n = 0;
  queue[n++] = start;
  stamp[start] = turn;
  for (uint32_t i = 0; i < n; i++) {
    pl_id at = queue[i];
    for (uint32_t k = facts->first[at]; k < facts->first[at + 1]; k++) {
      const struct pl_link *link = pl_link_at(facts, k);
      pl_id q = pl_link_other(link, at);
      if (!carries(check, link))
        continue;
      if (beyond(check, q))
        continue;
      if (depth[q] < depth[start])
        continue;
      bool seen = stamp[q] == turn;
      if (link->tie == PL_TIE_WIRE && (!seen || i == 0) &&
          !pl_wire_is_tap(check, &check->harness->wires.at[link->wire], start)) {
        double amps = law_amps(&check->harness->wires.at[link->wire]);
        if (rating > pl_limit_fuse_over_wire.value / 100 * amps * (1 + 1e-9))
          PL_PUSH(check->arena, &result.over, link->wire);
        if (amps < result.amps) {
          result.amps = amps;
          result.least = link->wire;
        }
      }
      if (seen)
        continue;
      stamp[q] = turn;
      queue[n++] = q;
    }
  }
  return result;
}

static const char *fuse_remedy(const struct pl_check *check, pl_id d, const struct behind *behind) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *device = &h->devices.at[d];
  const struct pl_wire *wire = &h->wires.at[behind->least];
  double most = pl_limit_fuse_over_wire.value / 100 * behind->amps;
  double fits = pl_fuse_at_most(device->family, most);
  double load = 0;
  for (pl_id s = 0; s < h->states.n; s++)
    if (check->facts->live[s])
      load = fmax(load, fabs(check->solutions[s].device_amps[d]));
  const char *wires = pl_say_wires(check, behind->over.at, behind->over.n);
  const char *thicker = NULL;
  for (int step = 1; step < 24 && thicker == NULL; step++) {
    struct pl_wire other = *wire;
    char size[24];
    other.area = pl_wire_next_area(wire->area, wire->metric, step);
    if (!(other.area > 0))
      break;
    if (device->rating <= pl_limit_fuse_over_wire.value / 100 * law_amps(&other))
      thicker = pl_arena_printf(check->arena,
                                "%s or larger on %s",
                                pl_wire_size_text(size, other.area, other.metric),
                                wires);
  }
  if (thicker == NULL)
    thicker = pl_arena_printf(check->arena, "larger wire on %s", wires);
  if (fits > 0 && load <= fits * h->machine.fuse_share)
    return pl_arena_printf(check->arena,
                           "the largest fuse that fits is %s; or %s",
                           pl_say(check->arena, fits, "A"),
                           thicker);
  if (fits > 0)
    return pl_arena_printf(check->arena, "%s: a fuse that small would not carry the load", thicker);
  return pl_arena_printf(check->arena,
                         "a rating of at most %s, or %s",
                         pl_say(check->arena, most, "A"),
                         thicker);
}

static void report_fuse(struct pl_check *check, pl_id d, const struct behind *behind) {
  const struct pl_device *device = &check->harness->devices.at[d];
  const struct pl_wire *wire = &check->harness->wires.at[behind->least];
  bool in_table = wire->area >= 0.99 * pl_awg_area_mm2(18);
  struct pl_finding f =
      pl_finding_new("fuse-over-wire", in_table ? PL_DANGER : PL_FAULT, device->span, device->name);
  f.figure = device->rating;
  f.limit = pl_limit_fuse_over_wire.value / 100 * behind->amps;
  f.unit = "A";
  const char *others;
  if (behind->over.n <= 1)
    others = "";
  else
    others = pl_arena_printf(check->arena, " (%u wires behind it are too small)", behind->over.n);
  f.text =
      pl_arena_printf(check->arena,
                      "%s %s of %s is to protect wire %s, %s, which bears a fuse of %s at most%s%s",
                      pl_kind_name(device->kind),
                      device->name,
                      pl_say(check->arena, device->rating, "A"),
                      wire->number,
                      wire->size,
                      pl_say(check->arena, f.limit, "A"),
                      in_table ? "" : ", by the cautious aircraft table for wire under 18 AWG",
                      others);
  f.remedy = fuse_remedy(check, d, behind);
  f.wires = behind->over.at;
  f.wire_count = behind->over.n;
  pl_findings_add(check->findings, f);
}

void pl_rule_fuse_over_wire(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const uint32_t *depth = depths(check);
  pl_id *queue = PL_BY_PIN(check, pl_id);
  uint32_t *stamp = PL_BY_PIN(check, uint32_t);
  uint32_t turn = 0;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is_protection(device->kind))
      continue;
    if (!(device->rating > 0))
      continue;
    pl_id in = pl_pin_named(h, d, "in");
    pl_id out = pl_pin_named(h, d, "out");
    if (in == PL_NONE || out == PL_NONE)
      continue;
    if (depth[in] == UINT32_MAX && depth[out] == UINT32_MAX)
      continue;
    pl_id start = out;
    if (depth[in] > depth[out])
      start = in;
    struct behind behind = walk_behind(check, start, depth, queue, stamp, ++turn, device->rating);
    if (behind.over.n > 0)
      report_fuse(check, d, &behind);
  }
}

/* ---- unfused ---- */

struct stretch {
  double metres;
  bool sheathed;
};

static void start_at(struct stretch *far, pl_id *queue, bool *waiting, uint32_t *n, pl_id pin) {
  if (pin == PL_NONE || waiting[pin])
    return;
  far[pin] = (struct stretch){0, true};
  waiting[pin] = true;
  queue[(*n)++] = pin;
}

/* By pin: the shortest way of unprotected wire from a source with that property; the ends of
 * starter cables count
 * as the source. */
static struct stretch *stretches(const struct pl_check *check, pl_properties source) {
  const struct pl_harness *h = check->harness;
  const struct pl_facts *facts = check->facts;
  uint32_t room = h->pins.n + 1;
  uint32_t n = 0;
  uint32_t head = 0;
  struct stretch *far = PL_NEW_ARRAY(check->arena, struct stretch, room);
  bool *waiting = PL_NEW_ARRAY(check->arena, bool, room);
  pl_id *queue = PL_NEW_ARRAY(check->arena, pl_id, room);
  for (pl_id p = 0; p < room; p++)
    far[p] = (struct stretch){INFINITY, false};
  for (pl_id d = 0; d < h->devices.n; d++)
    if (pl_device_is(h, d, source))
      start_at(far, queue, waiting, &n, live_pole(h, d));
  for (pl_id w = 0; source == PL_IS_STORE && w < h->wires.n; w++)
    for (int i = 0; facts->exempt[w] && i < 2; i++)
      if (!beyond(check, h->wires.at[w].end[i]))
        start_at(far, queue, waiting, &n, h->wires.at[w].end[i]);
  for (uint32_t count = n; count > 0; count--) {
    pl_id p = queue[head];
    head = (head + 1) % room;
    waiting[p] = false;
    for (uint32_t k = facts->first[p]; k < facts->first[p + 1]; k++) {
      const struct pl_link *link = pl_link_at(facts, k);
      pl_id q = pl_link_other(link, p);
      if (!carries(check, link))
        continue;
      if (beyond(check, q))
        continue;
      struct stretch next = far[p];
      if (link->tie == PL_TIE_WIRE) {
        next.metres += fmax(h->wires.at[link->wire].length, 0);
        next.sheathed = next.sheathed && pl_wire_is_sheathed(h, &h->wires.at[link->wire]);
      }
      if (!(next.metres < far[q].metres))
        continue;
      far[q] = next;
      if (waiting[q])
        continue;
      waiting[q] = true;
      queue[n % room] = q;
      n = (n + 1) % room;
      count++;
    }
  }
  return far;
}

static void
report_unfused(struct pl_check *check, pl_id w, double metres, bool sheathed, bool alternator) {
  const struct pl_harness *h = check->harness;
  const struct pl_wire *wire = &h->wires.at[w];
  bool small =
      check->facts->any_solved && check->facts->wires[w].amps < pl_limit_small_current.value;
  struct pl_finding f = pl_finding_new("unfused-wire",
                                       small ? PL_FAULT : PL_DANGER,
                                       wire->span,
                                       pl_say_wire(check, w));
  const struct pl_limit *limit = sheathed ? &pl_limit_unfused_sheathed : &pl_limit_unfused_bare;
  f.figure = 1000 * metres;
  f.limit = 1000 * stretch_limit(sheathed);
  f.unit = "mm";
  f.source = limit->source;
  f.text = pl_arena_printf(check->arena,
                           "wire %s ends %s from the %s without a fuse or breaker on the way, "
                           "allowed is %s (%s) for wire that is %s",
                           wire->number,
                           pl_say(check->arena, 1000 * metres, "mm"),
                           alternator ? "alternator, whose output it cannot carry," : "source",
                           pl_say(check->arena, f.limit, "mm"),
                           pl_say(check->arena, limit->value, "in"),
                           sheathed ? "covered all the way" : "not covered all the way");
  f.remedy = pl_arena_printf(
      check->arena,
      "protect it within %s of the source by a fuse of %s or less%s",
      pl_say(check->arena, f.limit, "mm"),
      pl_say(check->arena, pl_limit_fuse_over_wire.value / 100 * law_amps(wire), "A"),
      wire->length_written ? "" : "; if it is shorter than that, write its length on the row");
  pl_findings_add(check->findings, f);
}

/* How the wire leaves its limit behind: true when it starts within it and ends beyond. */
static bool crosses(const struct pl_check *check,
                    const struct stretch *far,
                    pl_id w,
                    double *metres,
                    bool *sheathed) {
  const struct pl_wire *wire = &check->harness->wires.at[w];
  if (!pl_wire_joins(wire))
    return false;
  if (check->facts->exempt[w])
    return false;
  const struct stretch *near;
  if (far[wire->end[0]].metres <= far[wire->end[1]].metres)
    near = &far[wire->end[0]];
  else
    near = &far[wire->end[1]];
  if (!isfinite(near->metres))
    return false;
  if (near->metres > stretch_limit(near->sheathed))
    return false;
  *metres = near->metres + fmax(wire->length, 0);
  *sheathed = near->sheathed && pl_wire_is_sheathed(check->harness, wire);
  return *metres > stretch_limit(*sheathed) + 1e-9;
}

/* What an alternator can give at most; INFINITY when that is not said. */
static double output_of(const struct pl_device *alternator) {
  if (isnan(alternator->speed_amps))
    return INFINITY;
  return alternator->speed_amps;
}

void pl_rule_unfused_wire(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const struct stretch *battery = stretches(check, PL_IS_STORE);
  const struct stretch *alternator = stretches(check, PL_IS_GENERATOR);
  double most =
      0; /* an alternator limits itself: only wire that cannot carry its output is asked */
  for (pl_id d = 0; d < h->devices.n; d++)
    if (pl_device_is(h, d, PL_IS_GENERATOR))
      most = fmax(most, output_of(&h->devices.at[d]));
  for (pl_id w = 0; w < h->wires.n; w++) {
    double metres;
    bool sheathed;
    if (crosses(check, battery, w, &metres, &sheathed)) {
      report_unfused(check, w, metres, sheathed, false);
      continue;
    }
    const struct pl_wire *wire = &h->wires.at[w];
    if (!pl_wire_joins(wire))
      continue;
    if (isfinite(battery[wire->end[0]].metres))
      continue; /* the battery's business */
    if (!crosses(check, alternator, w, &metres, &sheathed))
      continue;
    if (law_amps(wire) < most)
      report_unfused(check, w, metres, sheathed, true);
  }
}
