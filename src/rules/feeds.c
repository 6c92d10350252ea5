/* Feeds and returns: can current get from a source to everything that needs it and back, and is
 * every load on in some state. The first two look at what is joined, in any position of any switch;
 * only the last needs solutions. */
#include <math.h>
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "rules/stretch_inner.h"
#include "standard/limits_data.h"

struct consumer {
  pl_id device, plus, minus; /* minus or plus PL_NONE: only the other is asked */
  const char *what;          /* "coil"; "" */
};
typedef PL_VEC(struct consumer) consumers;

static void push(const struct pl_check *check,
                 consumers *list,
                 pl_id device,
                 pl_id plus,
                 pl_id minus,
                 const char *what) {
  struct consumer consumer = {device, plus, minus, what};
  PL_PUSH(check->arena, list, consumer);
}

static bool joined(const struct pl_check *check, pl_id pin) {
  return check->facts->first[pin + 1] > check->facts->first[pin];
}

static bool device_wired(const struct pl_check *check, const struct pl_device *device) {
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++)
    if (pl_pin_wires_there(check->harness, p) > 0)
      return true;
  return false;
}

static void push_module(const struct pl_check *check, consumers *list, pl_id d) {
  const struct pl_device *device = &check->harness->devices.at[d];
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++) {
    enum pl_role role = check->harness->pins.at[p].role;
    if (pl_pin_wires_there(check->harness, p) == 0)
      continue; /* required-pin-empty's business */
    if (role == PL_ROLE_BATTERY_FEED || role == PL_ROLE_KEYED_INPUT)
      push(check, list, d, p, PL_NONE, "");
    if (role == PL_ROLE_GROUND || role == PL_ROLE_SHIELD)
      push(check, list, d, PL_NONE, p, "");
  }
}

/* A sensor or sender that is wired: its return, and its supply where it has one. */
static void push_sensor(const struct pl_check *check, consumers *list, pl_id d) {
  const struct pl_device *device = &check->harness->devices.at[d];
  if (device->signal == PL_NONE)
    return;
  if (pl_pin_wires_there(check->harness, device->signal) == 0)
    return;
  if (device->minus != PL_NONE)
    push(check, list, d, PL_NONE, device->minus, "");
  if (device->plus != PL_NONE && device->plus != device->signal)
    push(check, list, d, device->plus, PL_NONE, "");
}

static consumers collect(const struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  consumers list = {0};
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!device_wired(check, device))
      continue; /* not-wired's business, or a spare */
    pl_id plus = device->plus;
    pl_id minus = device->minus;
    pl_id signal;
    if (pl_kind_is(device->kind, PL_IS_GAUGE))
      pl_gauge_pins(h, d, &plus, &minus, &signal);
    if (pl_kind_is(device->kind, PL_IS_LOAD | PL_IS_GAUGE) && plus != PL_NONE && minus != PL_NONE)
      push(check, &list, d, plus, minus, "");
    if (pl_kind_is(device->kind, PL_IS_MODULE))
      push_module(check, &list, d);
    if (pl_kind_is(device->kind, PL_IS_SENSING))
      push_sensor(check, &list, d);
    if (!pl_kind_is(device->kind, PL_IS_COIL))
      continue;
    if (device->coil_a != PL_NONE && device->coil_b != PL_NONE)
      push(check, &list, d, device->coil_a, device->coil_b, "coil");
    pl_id stud = PL_NONE;
    if (pl_kind_is(device->kind, PL_IS_STARTER))
      stud = pl_pin_named(h, d, "30");
    if (stud != PL_NONE && pl_case_pin(h, d) != PL_NONE)
      push(check, &list, d, stud, pl_case_pin(h, d), "motor");
  }
  return list;
}

/* It hangs in series with another load and gets a share of the volts that lets it work, in some
 * state; millivolts between two grounds do not count. */
static bool works_in_series(const struct pl_check *check, const struct consumer *c) {
  const struct pl_harness *h = check->harness;
  double least = pl_limit_series.value / 100 * pl_nominal_volts(h, c->device);
  bool motor = pl_kind_is(h->devices.at[c->device].kind, PL_IS_STARTER);
  for (pl_id s = 0; s < h->states.n; s++) {
    const struct pl_solution *solution = &check->solutions[s];
    if (solution->status != PL_SOLVED)
      continue;
    double volts = solution->pin_volts[c->plus] - solution->pin_volts[c->minus];
    if (fabs(volts) >= least)
      return true;
    if (solution->device_on[c->device] && !motor)
      return true;
  }
  return false;
}

/* The end at which `pole` is lacking; PL_NONE when nothing lacks there. */
static pl_id lacking_end(const struct pl_check *check, const struct consumer *c, uint8_t pole) {
  const uint8_t *reach = check->facts->reach;
  bool either = pl_device_is(check->harness, c->device, PL_IS_SENSING) ||
                (c->plus == PL_NONE && check->harness->pins.at[c->minus].role == PL_ROLE_SHIELD);
  if (either && c->plus == PL_NONE && reach[c->minus] != 0)
    return PL_NONE; /* a resistance or a shield: with plus earth the case is on plus */
  if (c->minus == PL_NONE)
    return pole == PL_POLE_PLUS && !(reach[c->plus] & PL_POLE_PLUS) ? c->plus : PL_NONE;
  if (c->plus == PL_NONE)
    return pole == PL_POLE_MINUS && !(reach[c->minus] & PL_POLE_MINUS) ? c->minus : PL_NONE;
  uint8_t a = reach[c->plus];
  uint8_t b = reach[c->minus];
  if ((a & PL_POLE_PLUS) && (b & PL_POLE_MINUS))
    return PL_NONE;
  if ((b & PL_POLE_PLUS) && (a & PL_POLE_MINUS))
    return PL_NONE;
  if (works_in_series(check, c))
    return PL_NONE;
  bool feed = !((a | b) & PL_POLE_PLUS);
  bool back = !feed && !((a | b) & PL_POLE_MINUS);
  if (!feed && !back)
    feed = a == 0;
  if (feed)
    return pole != PL_POLE_PLUS                          ? PL_NONE
           : (a & PL_POLE_MINUS) && !(b & PL_POLE_MINUS) ? c->minus
                                                         : c->plus;
  if (pole != PL_POLE_MINUS)
    return PL_NONE;
  if (a & PL_POLE_PLUS)
    return c->minus;
  return c->plus;
}

/* Things that lack the same pole in the same stretch of wiring: one cause, one finding. */
struct group {
  uint32_t first, count;
  pl_id end, last;
  bool silent;
  PL_VEC(const char *) joints; /* other joints of the stretch, where the gap is a joint */
  PL_VEC(const char *) others;
};
typedef PL_VEC(struct group) groups;

/* Walks what the end is joined to; silent when an empty required pin or a wire end in the air
 * explains it. */
static struct group
explore(const struct pl_check *check, pl_id end, uint32_t id, uint32_t *group_of, pl_id *queue) {
  const struct pl_harness *h = check->harness;
  struct group group = {.count = 1, .end = end, .last = end};
  group_of[end] = id;
  if (check->facts->pole[end] != 0)
    return group; /* it is the other pole: nothing on the way is missing */
  uint32_t n = pl_stretch(check, end, id, group_of, queue);
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_pin *pin = &h->pins.at[queue[i]];
    if (pin->need == PL_NEED_REQUIRED && pl_pin_wires_there(h, queue[i]) == 0)
      group.silent = true;
    for (uint32_t k = 0; k < pin->wires.n; k++) {
      const struct pl_wire *wire = &h->wires.at[pin->wires.at[k]];
      if (wire->status != PL_WIRE_DONOR_REMOVED && wire->status != PL_WIRE_DONOR_CAPPED &&
          !pl_wire_joins(wire))
        group.silent = true;
    }
  }
  group.last = pl_stretch_gap(check, queue, n);
  if (!pl_kind_is(pl_pin_device(h, group.last)->kind, PL_IS_STUD | PL_IS_SPLICE))
    return group;
  for (uint32_t i = 0; i < n; i++) {
    if (queue[i] == group.last)
      continue;
    if (!pl_kind_is(pl_pin_device(h, queue[i])->kind, PL_IS_STUD | PL_IS_SPLICE))
      continue;
    PL_PUSH(check->arena, &group.joints, h->pins.at[queue[i]].full);
  }
  return group;
}

static const char *name_of(const struct pl_check *check, const struct consumer *c) {
  const struct pl_harness *h = check->harness;
  const char *device = h->devices.at[c->device].name;
  if (c->minus == PL_NONE)
    return h->pins.at[c->plus].full;
  if (c->plus == PL_NONE)
    return h->pins.at[c->minus].full;
  if (c->what[0] == '\0')
    return device;
  return pl_arena_printf(check->arena, "%s (%s)", device, c->what);
}

/* Where the way from a consumer's end breaks off. */
static const char *say_gap(const struct pl_check *check, const struct group *g, const char *pole) {
  const struct pl_harness *h = check->harness;
  const char *last = h->pins.at[g->last].full;
  if (pl_pin_wires_there(h, g->last) == 0)
    return pl_arena_printf(check->arena,
                           "the way from %s ends at %s, to which no wire leads",
                           h->pins.at[g->end].full,
                           last);
  const char *with = "";
  if (g->joints.n > 0)
    with = pl_arena_printf(check->arena,
                           " (joined with %s)",
                           pl_say_some(check, g->joints.at, g->joints.n, 4));
  return pl_arena_printf(check->arena,
                         "the way from %s ends at %s%s, which nothing joins to a source's %s in "
                         "any position of any switch",
                         h->pins.at[g->end].full,
                         last,
                         with,
                         pole);
}

static void
report_lack(struct pl_check *check, const struct consumer *c, const struct group *g, bool feed) {
  const struct pl_harness *h = check->harness;
  const struct pl_pin *end = &h->pins.at[g->end];
  const struct pl_pin *last = &h->pins.at[g->last];
  enum pl_kind kind = h->devices.at[last->device].kind;
  bool own_pin = pl_kind_is(kind, PL_IS_STUD | PL_IS_SPLICE);
  /* It is not led on from the pin of another load or sensor. */
  bool other_load =
      last->device != end->device && (pl_kind_is_load(kind) || pl_kind_is(kind, PL_IS_SENSING));
  const struct pl_pin *to = other_load ? end : last;
  const char *place;
  if (c->minus == PL_NONE || c->plus == PL_NONE)
    place = end->full;
  else
    place = h->devices.at[c->device].name;
  struct pl_finding f = pl_finding_new(feed ? "load-without-feed" : "load-without-return",
                                       PL_FAULT,
                                       pl_pin_wiring_span(h, g->end),
                                       place);
  const char *pole = feed ? "plus" : "minus";
  pl_id live_end = PL_NONE;
  const char *way;
  if (check->facts->pole[g->end] != 0)
    way = pl_arena_printf(check->arena,
                          "%s leads to a source's %s only",
                          end->full,
                          feed ? "minus" : "plus");
  else if (!joined(check, g->end))
    way = pl_arena_printf(check->arena, "nothing is wired to %s", end->full);
  else
    way = say_gap(check, g, pole);
  if (check->facts->pole[g->end] == 0)
    live_end = pl_loose_end(check, feed ? PL_POLE_PLUS : PL_POLE_MINUS);
  if (live_end != PL_NONE && live_end != g->last)
    way = pl_arena_printf(check->arena,
                          "%s, and %s, which %s, leads to nothing",
                          way,
                          h->pins.at[live_end].full,
                          feed ? "has the feed" : "has the ground");
  const char *others;
  if (g->others.n == 0)
    others = "";
  else
    others = pl_arena_printf(check->arena,
                             " (%s too)",
                             pl_say_some(check, g->others.at, g->others.n, 4));
  f.text = pl_arena_printf(check->arena,
                           "%s has no %s: %s%s",
                           name_of(check, c),
                           feed ? "feed" : "return",
                           way,
                           others);
  f.remedy =
      pl_arena_printf(check->arena,
                      "wire %s to %s",
                      to->full,
                      feed      ? "a fused feed, or to the switch or output that should feed it"
                      : own_pin ? "the battery's minus, or to the block or frame that is its earth"
                                : "ground, or to the output that should sink it");
  f.blames = last->full;
  pl_findings_add(check->findings, f);
}

static void check_pole(struct pl_check *check, uint8_t pole) {
  const struct pl_harness *h = check->harness;
  if (!h->grounded)
    return; /* no battery at all: the solver says so */
  consumers list = collect(check);
  groups found = {0};
  uint32_t *group_of = PL_BY_PIN(check, uint32_t);
  pl_id *queue = PL_BY_PIN(check, pl_id);
  for (uint32_t i = 0; i < list.n; i++) {
    pl_id end = lacking_end(check, &list.at[i], pole);
    if (end == PL_NONE)
      continue;
    if (group_of[end] != 0) {
      struct group *g = &found.at[group_of[end] - 1];
      g->count++;
      PL_PUSH(check->arena, &g->others, name_of(check, &list.at[i]));
      continue;
    }
    struct group g = explore(check, end, found.n + 1, group_of, queue);
    g.first = i;
    PL_PUSH(check->arena, &found, g);
  }
  for (uint32_t i = 0; i < found.n; i++)
    if (!found.at[i].silent)
      report_lack(check, &list.at[found.at[i].first], &found.at[i], pole == PL_POLE_PLUS);
}

void pl_rule_load_feed(struct pl_check *check) {
  check_pole(check, PL_POLE_PLUS);
}
void pl_rule_load_return(struct pl_check *check) {
  check_pole(check, PL_POLE_MINUS);
}

/* ---- never on ---- */

/* By pin: the link that leads to the pole over the fewest contacts that never close. */
static uint32_t *ways_to(const struct pl_check *check, uint8_t pole) {
  const struct pl_facts *facts = check->facts;
  uint32_t pins = check->harness->pins.n;
  uint32_t *back = PL_NEW_ARRAY(check->arena, uint32_t, (size_t)pins + 1);
  pl_id *now = PL_NEW_ARRAY(check->arena, pl_id, (size_t)pins + 1);
  pl_id *later = PL_NEW_ARRAY(check->arena, pl_id, 2 * (size_t)facts->link_count + 1);
  uint32_t *later_by = PL_NEW_ARRAY(check->arena, uint32_t, 2 * (size_t)facts->link_count + 1);
  uint32_t n = 0;
  uint32_t waiting = 0;
  uint32_t taken = 0;
  for (pl_id p = 0; p < pins; p++) {
    back[p] = UINT32_MAX;
    if (facts->pole[p] != pole)
      continue;
    back[p] = UINT32_MAX - 1;
    now[n++] = p;
  }
  for (uint32_t i = 0; i < n || taken < waiting;) {
    if (i == n) { /* all that needs no more open contacts is done: cross one */
      if (back[later[taken]] == UINT32_MAX) {
        back[later[taken]] = later_by[taken];
        now[n++] = later[taken];
      }
      taken++;
      continue;
    }
    pl_id p = now[i++];
    for (uint32_t k = facts->first[p]; k < facts->first[p + 1]; k++) {
      uint32_t link = facts->around[k];
      pl_id q = pl_link_other(&facts->links[link], p);
      if (back[q] != UINT32_MAX)
        continue;
      if (facts->pole[q] != 0 && facts->pole[q] != pole)
        continue;
      if (facts->closed[link]) {
        back[q] = link;
        now[n++] = q;
      } else {
        later[waiting] = q;
        later_by[waiting++] = link;
      }
    }
  }
  return back;
}

/* The first contact on the way that never closes; PL_NONE. */
static uint32_t blocking(const struct pl_facts *facts, const uint32_t *back, pl_id pin) {
  while (back[pin] < UINT32_MAX - 1) {
    if (!facts->closed[back[pin]])
      return back[pin];
    pin = pl_link_other(&facts->links[back[pin]], pin);
  }
  return PL_NONE;
}

static const char *blocked_by(const struct pl_check *check, uint32_t link, const char **remedy) {
  const struct pl_link *l = &check->facts->links[link];
  const struct pl_device *device = &check->harness->devices.at[l->device];
  if (l->tie == PL_TIE_OUTPUT) {
    const char *pin = check->harness->pins.at[l->a].full;
    *remedy = pl_arena_printf(check->arena, "declare a state with `%s on`", pin);
    return pl_arena_printf(check->arena, "output %s is on in none", pin);
  }
  if (pl_kind_is(device->kind, PL_IS_RELAY)) {
    *remedy = pl_arena_printf(check->arena,
                              "declare a state in which %s %s",
                              device->name,
                              l->position == 1 ? "pulls in" : "is at rest");
    return pl_arena_printf(check->arena,
                           "relay %s %s in none",
                           device->name,
                           l->position == 1 ? "pulls in" : "drops out");
  }
  const char *position = device->throws.at[l->position].name;
  *remedy =
      pl_arena_printf(check->arena, "declare a state with `%s in %s`", device->name, position);
  return pl_arena_printf(check->arena, "%s stands in %s in none", device->name, position);
}

struct idle {
  pl_id device;
  uint32_t link;
  PL_VEC(const char *) others;
};
typedef PL_VEC(struct idle) idles;

static void report_idle(struct pl_check *check, const struct idle *idle) {
  const struct pl_device *device = &check->harness->devices.at[idle->device];
  struct pl_finding f = pl_finding_new("load-never-on", PL_ADVICE, device->span, device->name);
  const char *remedy = "declare a state in which it is on, so that its wires and fuse are checked";
  const char *why;
  if (idle->link == PL_NONE)
    why = "the contacts on its way are never closed together";
  else
    why = blocked_by(check, idle->link, &remedy);
  f.text = pl_arena_printf(check->arena,
                           "%s%s%s is on in no declared state: %s",
                           device->name,
                           idle->others.n == 0 ? "" : " with ",
                           pl_say_some(check, idle->others.at, idle->others.n, 4),
                           why);
  f.remedy = remedy;
  pl_findings_add(check->findings, f);
}

static bool floats(const struct pl_check *check, pl_id pin) {
  for (pl_id s = 0; s < check->harness->states.n; s++)
    if (!isnan(check->solutions[s].pin_volts[pin]))
      return false;
  return true;
}

void pl_rule_load_never_on(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const struct pl_facts *facts = check->facts;
  if (!facts->any_solved)
    return;
  for (pl_id s = 0; s < h->states.n; s++)
    if (check->solutions[s].status != PL_SOLVED)
      return; /* that state may be the one */
  uint32_t *plus = ways_to(check, PL_POLE_PLUS);
  uint32_t *minus = ways_to(check, PL_POLE_MINUS);
  idles found = {0};
  uint32_t *seen =
      PL_NEW_ARRAY(check->arena,
                   uint32_t,
                   (size_t)facts->link_count + 1); /* by link, the last for none: idle + 1 */
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is_load(device->kind))
      continue;
    if (device->plus == PL_NONE)
      continue;
    if (device->minus == PL_NONE)
      continue;
    uint8_t a = facts->reach[device->plus];
    uint8_t b = facts->reach[device->minus];
    bool forward = (a & PL_POLE_PLUS) && (b & PL_POLE_MINUS);
    bool backward = (b & PL_POLE_PLUS) && (a & PL_POLE_MINUS);
    if (!forward && !backward)
      continue;
    if (facts->device_on[d])
      continue;
    if (facts->device_most[d] > 0.1 * (isnan(device->load_amps) ? 0 : device->load_amps) + 1e-3)
      continue;
    uint32_t link = blocking(facts, plus, forward ? device->plus : device->minus);
    if (link == PL_NONE)
      link = blocking(facts, minus, forward ? device->minus : device->plus);
    if (link == PL_NONE && floats(check, device->plus))
      continue; /* floating-source says it */
    uint32_t *slot = &seen[link == PL_NONE ? facts->link_count : link];
    if (*slot == 0) {
      struct idle idle = {.device = d, .link = link};
      PL_PUSH(check->arena, &found, idle);
      *slot = found.n;
    } else {
      PL_PUSH(check->arena, &found.at[*slot - 1].others, device->name);
    }
  }
  for (uint32_t i = 0; i < found.n; i++)
    report_idle(check, &found.at[i]);
}
