/* Mistakes that make everything else look wrong: a source whose poles meet without a load, and
 * poles that are swapped.  What follows from them is folded into them by causes.c. */
#include <math.h>
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

/* ---- dead shorts ---- */

/* Conducts in this state and limits nothing: copper, contacts, a diode the way it lets through. */
static bool shorts(const struct pl_element *e) {
  if (e->open)
    return false;
  if (e->kind == PL_ELEMENT_WIRE)
    return true;
  if (e->kind == PL_ELEMENT_CONTACT)
    return true;
  return e->kind == PL_ELEMENT_DIODE;
}

static uint32_t root_of(uint32_t *parent, uint32_t n) {
  while (parent[n] != n)
    n = parent[n] = parent[parent[n]];
  return n;
}

static void
unite(const struct pl_check *check, const struct pl_solution *solution, uint32_t *parent) {
  for (uint32_t n = pl_network_node_count(check->network); n-- > 0;)
    parent[n] = n;
  for (uint32_t i = 0; i < solution->element_count; i++) {
    const struct pl_element *e = &solution->elements[i];
    if (!shorts(e))
      continue;
    uint32_t a = root_of(parent, e->node_a);
    uint32_t b = root_of(parent, e->node_b);
    parent[a < b ? b : a] = a < b ? a : b;
  }
}

static const char *step_text(const struct pl_check *check, const struct pl_element *e) {
  if (e->wire != PL_NONE)
    return pl_say_wire(check, e->wire);
  if (e->device == PL_NONE)
    return "";
  const struct pl_device *d = &check->harness->devices.at[e->device];
  if (pl_kind_is(d->kind, PL_IS_INLINE | PL_IS_GROUND))
    return d->name;
  return pl_arena_printf(check->arena, "%s %s", pl_kind_name(d->kind), d->name);
}

/* The way of fewest pieces from one node to another over what shorts, in words; its wires. */
static const char *way(const struct pl_check *check,
                       const struct pl_solution *solution,
                       uint32_t from,
                       uint32_t to,
                       pl_ids *wires) {
  uint32_t nodes = pl_network_node_count(check->network);
  uint32_t n = 0;
  uint32_t *by = PL_NEW_ARRAY(check->arena, uint32_t, (size_t)nodes + 1);
  uint32_t *queue = PL_NEW_ARRAY(check->arena, uint32_t, (size_t)nodes + 1);
  for (uint32_t k = 0; k < nodes; k++)
    by[k] = UINT32_MAX;
  by[to] = UINT32_MAX - 1;
  queue[n++] = to; /* searched from the end, so that the words come out from the start */
  for (uint32_t i = 0; i < n && by[from] == UINT32_MAX; i++)
    for (uint32_t k = 0; k < solution->element_count; k++) {
      const struct pl_element *e = &solution->elements[k];
      if (!shorts(e))
        continue;
      if (e->node_a != queue[i] && e->node_b != queue[i])
        continue;
      uint32_t next = e->node_a == queue[i] ? e->node_b : e->node_a;
      if (by[next] != UINT32_MAX)
        continue;
      by[next] = k;
      queue[n++] = next;
    }
  struct pl_buffer out;
  const char *last = "";
  pl_buffer_init(&out, check->arena);
  pl_buffer_puts(&out, "");
  for (uint32_t node = from, turn = 0; by[node] < UINT32_MAX - 1 && turn < nodes; turn++) {
    const struct pl_element *e = &solution->elements[by[node]];
    const char *step = step_text(check, e);
    if (step[0] != '\0' && strcmp(step, last) != 0)
      pl_buffer_printf(&out, "%s%s", out.n > 0 ? ", " : "", step);
    last = step;
    if (e->wire != PL_NONE)
      PL_PUSH(check->arena, wires, e->wire);
    if (e->node_a == node)
      node = e->node_b;
    else
      node = e->node_a;
  }
  return out.at;
}

/* Does the battery's unearthed post meet the earthed side, or its own other post? */
static bool
is_shorted(const struct pl_check *check, uint32_t *parent, pl_id d, uint32_t *from, uint32_t *to) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *device = &h->devices.at[d];
  if (!pl_kind_is(device->kind, PL_IS_STORE))
    return false;
  if (device->plus == PL_NONE)
    return false;
  if (device->minus == PL_NONE)
    return false;
  pl_id live = pl_live_pin(h, device);
  pl_id other = h->machine.positive_earth ? device->plus : device->minus;
  uint32_t a = pl_network_pin_node(check->network, live);
  uint32_t b = pl_network_pin_node(check->network, other);
  uint32_t reference = pl_network_reference(check->network);
  *from = a;
  *to = b;
  if (root_of(parent, a) == root_of(parent, b))
    return true;
  *to = reference;
  if (reference == PL_NONE)
    return false;
  if (a == reference)
    return false;
  return root_of(parent, a) == root_of(parent, reference);
}

void pl_rule_dead_short(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  uint32_t *parent =
      PL_NEW_ARRAY(check->arena, uint32_t, (size_t)pl_network_node_count(check->network) + 1);
  uint32_t from = 0;
  uint32_t to = 0;
  PL_VEC(const char *) states = {0};
  const char *path = "";
  pl_ids wires = {0};
  pl_id battery = PL_NONE;
  for (pl_id s = 0; s < h->states.n; s++) {
    if (check->solutions[s].status != PL_SOLVED)
      continue;
    unite(check, &check->solutions[s], parent);
    for (pl_id d = 0; d < h->devices.n; d++) {
      if (!is_shorted(check, parent, d, &from, &to))
        continue;
      if (states.n == 0) {
        path = way(check, &check->solutions[s], from, to, &wires);
        battery = d;
      }
      PL_PUSH(check->arena, &states, pl_state_name(check, s));
      check->shorted[s] = true;
      break;
    }
  }
  if (battery == PL_NONE)
    return;
  const struct pl_device *device = &h->devices.at[battery];
  pl_id live = pl_live_pin(h, device);
  struct pl_finding f =
      pl_finding_new("dead-short", PL_DANGER, pl_pin_wiring_span(h, live), device->name);
  f.wires = wires.at;
  f.wire_count = wires.n;
  bool all = states.n == h->states.n;
  if (all)
    f.state = "";
  else
    f.state = pl_say_some(check, states.at, states.n, 4);
  f.text = pl_arena_printf(check->arena,
                           "the poles of %s meet with no load between%s: %s",
                           device->name,
                           all ? ", in every state" : "",
                           path);
  f.remedy = "one piece of that way is in the wrong place: take it out, or put the load into it, "
             "before any battery is connected";
  pl_findings_add(check->findings, f);
}

/* ---- poles ---- */

/* By pin: the battery poles that lead here through wires, fuses and contacts in any position;
 * alternators are left out, they are asked about. */
static const uint8_t *battery_reach(const struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const struct pl_facts *facts = check->facts;
  uint8_t *reach = PL_BY_PIN(check, uint8_t);
  pl_id *queue = PL_BY_PIN(check, pl_id);
  for (uint8_t bit = PL_POLE_PLUS; bit <= PL_POLE_MINUS; bit++) {
    uint32_t n = 0;
    for (pl_id d = 0; d < h->devices.n; d++) {
      pl_id post;
      if (bit == PL_POLE_PLUS)
        post = h->devices.at[d].plus;
      else
        post = h->devices.at[d].minus;
      if (!pl_device_is(h, d, PL_IS_STORE))
        continue;
      if (post == PL_NONE)
        continue;
      if (facts->pole[post] != bit)
        continue;
      if (reach[post] & bit)
        continue;
      reach[post] |= bit;
      queue[n++] = post;
    }
    for (uint32_t i = 0; i < n; i++) {
      pl_id at = queue[i];
      for (uint32_t k = facts->first[at]; k < facts->first[at + 1]; k++) {
        const struct pl_link *link = pl_link_at(facts, k);
        pl_id q = pl_link_other(link, at);
        if (link->tie >= PL_TIE_OUTPUT)
          continue;
        if (reach[q] & bit)
          continue;
        if (facts->pole[q] != 0 && facts->pole[q] != bit)
          continue;
        reach[q] |= bit;
        queue[n++] = q;
      }
    }
  }
  return reach;
}

static pl_id
pin_with(const struct pl_harness *h, pl_id d, enum pl_role role, const uint8_t *reach) {
  const struct pl_device *device = &h->devices.at[d];
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++)
    if (h->pins.at[p].role == role && reach[p] != 0)
      return p;
  return PL_NONE;
}

/* 1: the right way round, -1: the wrong way, 0: both or none. */
static int stands(const struct pl_check *check, const uint8_t *reach, pl_id d) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *device = &h->devices.at[d];
  pl_id plus = device->plus;
  pl_id minus = device->minus;
  if (pl_kind_is(device->kind, PL_IS_STORE | PL_IS_SENSING | PL_IS_ONE_WAY))
    return 0;
  if (pl_kind_is(device->kind, PL_IS_MODULE)) {
    plus = pin_with(h, d, PL_ROLE_BATTERY_FEED, reach);
    minus = pin_with(h, d, PL_ROLE_GROUND, reach);
  }
  if (pl_kind_is(device->kind, PL_IS_STARTER)) {
    plus = pl_pin_named(h, d, "30");
    minus = pl_case_pin(h, d);
  }
  if (plus == PL_NONE || minus == PL_NONE)
    return 0;
  if (reach[plus] == PL_POLE_PLUS && reach[minus] == PL_POLE_MINUS)
    return 1;
  if (reach[plus] == PL_POLE_MINUS && reach[minus] == PL_POLE_PLUS)
    return -1;
  return 0;
}

/* What a swapped device does; NULL: it does not mind. */
static const char *minds(enum pl_kind kind, enum pl_severity *severity) {
  *severity = PL_DANGER;
  if (pl_kind_is(kind, PL_IS_GENERATOR))
    return "its diodes conduct at once and burn, and the battery with them";
  if (pl_kind_is(kind, PL_IS_MODULE))
    return "it is destroyed, or blows its fuse";
  *severity = PL_FAULT;
  if (pl_kind_is(kind, PL_IS_MOTOR))
    return "it turns backwards";
  if (pl_kind_is(kind, PL_IS_POLAR))
    return "it does not work";
  return NULL;
}

static void report_device(struct pl_check *check, pl_id d) {
  const struct pl_device *device = &check->harness->devices.at[d];
  enum pl_severity severity;
  const char *what = minds(device->kind, &severity);
  if (what == NULL)
    return;
  struct pl_finding f = pl_finding_new("poles-swapped", severity, device->span, device->name);
  f.text =
      pl_arena_printf(check->arena,
                      "%s %s is connected the wrong way round, its plus to the battery's minus: %s",
                      pl_kind_name(device->kind),
                      device->name,
                      what);
  f.remedy = "swap the two wires at it";
  pl_findings_add(check->findings, f);
}

void pl_rule_poles_swapped(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const uint8_t *reach = battery_reach(check);
  pl_id battery = PL_NONE;
  uint32_t right = 0;
  uint32_t wrong = 0;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    int way_round = stands(check, reach, d);
    right += way_round > 0;
    wrong += way_round < 0;
    if (battery == PL_NONE && pl_kind_is(device->kind, PL_IS_STORE))
      battery = d;
  }
  if (battery == PL_NONE || wrong == 0)
    return;
  if (wrong <= right) {
    for (pl_id d = 0; d < h->devices.n; d++)
      if (stands(check, reach, d) < 0)
        report_device(check, d);
    return;
  }
  const struct pl_device *device = &h->devices.at[battery];
  struct pl_finding f = pl_finding_new("poles-swapped", PL_DANGER, device->span, device->name);
  f.text =
      pl_arena_printf(check->arena,
                      "%s is connected the wrong way round: its %s goes to what should be live, "
                      "its %s to ground (%u devices hang on it so%s)",
                      device->name,
                      h->machine.positive_earth ? "plus" : "minus",
                      h->machine.positive_earth ? "minus" : "plus",
                      wrong,
                      right == 0 ? "" : pl_arena_printf(check->arena, ", %u the right way", right));
  f.remedy = pl_arena_printf(
      check->arena,
      "swap its two cables; or, where the other pole is earthed on this machine, write `earth %s`",
      h->machine.positive_earth ? "negative" : "positive");
  pl_findings_add(check->findings, f);
}
