/* Ways that end nowhere: wires through which no current can flow in any position of anything.
 *
 * Kirchhoff's current law: what is the only element at a node carries nothing, so it can be taken
 * away, and then the next.  The elements of the solved network are taken off in this manner, as
 * leaves of a graph, each whatever its mode; contacts of one switch that never close together count
 * as one at their node.  Nodes at pins of modules and bare plugs are never taken off: what they
 * listen to needs no current.  What is taken off hangs together in pieces; a piece with a wire in
 * it is a finding, which names the end from which nothing leads on.  Cost: elements + nodes. */
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "rules/stretch_inner.h"

struct pruning {
  const struct pl_check *check;
  const struct pl_element *elements;
  uint32_t element_count, node_count;
  const uint32_t *first, *around; /* elements at a node */
  bool *held;                     /* by node */
  bool *gone;                     /* by element */
  uint32_t *queue;                /* of nodes */
  bool *queued;
};

static uint32_t far_node(const struct pl_element *e, uint32_t node) {
  if (e->node_a == node)
    return e->node_b;
  return e->node_a;
}

static void list_around(struct pruning *p) {
  uint32_t *first = PL_NEW_ARRAY(p->check->arena, uint32_t, (size_t)p->node_count + 2);
  uint32_t *around = PL_NEW_ARRAY(p->check->arena, uint32_t, 2 * (size_t)p->element_count + 1);
  for (uint32_t k = 0; k < p->element_count; k++) {
    first[p->elements[k].node_a + 2]++;
    first[p->elements[k].node_b + 2]++;
  }
  for (uint32_t n = 2; n < p->node_count + 2; n++)
    first[n] += first[n - 1];
  for (uint32_t k = 0; k < p->element_count; k++) {
    around[first[p->elements[k].node_a + 1]++] = k;
    around[first[p->elements[k].node_b + 1]++] = k;
  }
  p->first = first;
  p->around = around;
}

/* What has a pin there that no element stands for listens or speaks: modules, tools, tachometers.
 * A shield ends where it should end. */
static void hold_nodes(struct pruning *p) {
  const struct pl_harness *h = p->check->harness;
  bool *modelled = PL_BY_PIN(p->check, bool);
  for (uint32_t k = 0; k < p->element_count; k++) {
    const struct pl_element *e = &p->elements[k];
    if (e->device == PL_NONE)
      continue;
    if (e->pin_a != PL_NONE)
      modelled[e->pin_a] = true;
    if (e->pin_b != PL_NONE)
      modelled[e->pin_b] = true;
  }
  for (pl_id pin = 0; pin < h->pins.n; pin++) {
    enum pl_kind kind = pl_pin_device(h, pin)->kind;
    uint32_t node = pl_network_pin_node(p->check->network, pin);
    if (node == PL_NONE)
      continue;
    if (pl_pin_wires_there(h, pin) == 0)
      continue;
    bool tool = pl_kind_is_but(kind, PL_IS_PLUG, PL_IS_INLINE);
    bool joint = pl_kind_is(kind, PL_IS_NODE) || pl_passes_on(kind);
    if (pl_kind_is(kind, PL_IS_MODULE) || tool || (!modelled[pin] && !joint))
      p->held[node] = true;
  }
  for (pl_id w = 0; w < h->wires.n; w++)
    for (int e = 0; e < 2; e++) {
      if (!pl_wire_joins(&h->wires.at[w]))
        continue;
      if (!h->wires.at[w].shield)
        continue;
      p->held[pl_network_pin_node(p->check->network, h->wires.at[w].end[e])] = true;
    }
}

/* Of these contacts, how many that are left have an end at the node. */
static uint32_t
count_contacts(const struct pruning *p, uint32_t node, pl_id device, const pl_joins *joins) {
  uint32_t n = 0;
  for (uint32_t i = 0; i < joins->n; i++) {
    bool left = false;
    for (uint32_t k = p->first[node]; k < p->first[node + 1] && !left; k++) {
      const struct pl_element *e = &p->elements[p->around[k]];
      left = !p->gone[p->around[k]] && e->device == device && e->pin_a == joins->at[i].a &&
             e->pin_b == joins->at[i].b;
    }
    n += left;
  }
  return n;
}

/* All that is left at the node are contacts of one device that never close together. */
static bool only_in_turn(const struct pruning *p, uint32_t node) {
  pl_id device = PL_NONE;
  for (uint32_t k = p->first[node]; k < p->first[node + 1]; k++) {
    const struct pl_element *e = &p->elements[p->around[k]];
    if (p->gone[p->around[k]])
      continue;
    if (e->kind != PL_ELEMENT_CONTACT)
      return false;
    if (e->device == PL_NONE)
      return false;
    if (device != PL_NONE && e->device != device)
      return false;
    device = e->device;
  }
  if (device == PL_NONE)
    return false;
  if (!pl_device_is(p->check->harness, device, PL_IS_CONTACTS))
    return false;
  const struct pl_device *d = &p->check->harness->devices.at[device];
  for (uint32_t t = 0; t < d->throws.n; t++)
    if (count_contacts(p, node, device, &d->throws.at[t].joins) > 1)
      return false;
  if (!(count_contacts(p, node, device, &d->make) < 2))
    return false;
  return count_contacts(p, node, device, &d->brk) < 2;
}

static uint32_t left_at(const struct pruning *p, uint32_t node) {
  uint32_t n = 0;
  for (uint32_t k = p->first[node]; k < p->first[node + 1]; k++)
    n += !p->gone[p->around[k]];
  return n;
}

static void prune(struct pruning *p) {
  uint32_t n = 0;
  for (uint32_t node = 0; node < p->node_count; node++) {
    p->queue[n++] = node;
    p->queued[node] = true;
  }
  while (n > 0) {
    uint32_t node = p->queue[--n];
    p->queued[node] = false;
    if (p->held[node])
      continue;
    if (left_at(p, node) == 0)
      continue;
    if (left_at(p, node) > 1 && !only_in_turn(p, node))
      continue;
    for (uint32_t k = p->first[node]; k < p->first[node + 1]; k++) {
      uint32_t element = p->around[k];
      uint32_t next = far_node(&p->elements[element], node);
      if (p->gone[element])
        continue;
      p->gone[element] = true;
      if (!p->queued[next])
        p->queue[n++] = next;
      p->queued[next] = true;
    }
  }
}

/* ---- pieces ---- */

struct piece {
  pl_ids wires, devices; /* devices: fuses, loads, sources and the like that lie in it */
  pl_ids pins;           /* at its nodes from which nothing leads on */
};

/* Takes all elements that hang together with this one and are gone; `seen` by element. */
static struct piece take_piece(struct pruning *p, uint32_t element, bool *seen, bool *device_seen) {
  struct pl_arena *arena = p->check->arena;
  struct piece piece = {0};
  uint32_t n = 0;
  p->queue[n++] = element;
  seen[element] = true;
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_element *e = &p->elements[p->queue[i]];
    uint32_t ends[2] = {e->node_a, e->node_b};
    if (e->wire != PL_NONE)
      PL_PUSH(arena, &piece.wires, e->wire);
    else if (e->device != PL_NONE && !device_seen[e->device])
      PL_PUSH(arena, &piece.devices, e->device);
    if (e->device != PL_NONE)
      device_seen[e->device] = true;
    for (int k = 0; k < 2; k++) {
      if (p->held[ends[k]])
        continue;
      if (left_at(p, ends[k]) > 0)
        continue;
      for (uint32_t m = p->first[ends[k]]; m < p->first[ends[k] + 1]; m++) {
        uint32_t next = p->around[m];
        if (seen[next])
          continue;
        seen[next] = true;
        p->queue[n++] = next;
      }
    }
  }
  for (uint32_t i = 0; i < piece.devices.n; i++)
    device_seen[piece.devices.at[i]] = false;
  return piece;
}

static void collect_pins(const struct pruning *p, struct piece *piece) {
  const struct pl_harness *h = p->check->harness;
  bool *added = PL_BY_PIN(p->check, bool);
  pl_ids ends = {0};
  for (uint32_t i = 0; i < piece->wires.n; i++)
    for (int e = 0; e < 2; e++)
      PL_PUSH(p->check->arena, &ends, h->wires.at[piece->wires.at[i]].end[e]);
  for (uint32_t i = 0; i < piece->devices.n; i++) {
    const struct pl_device *device = &h->devices.at[piece->devices.at[i]];
    for (pl_id pin = device->first_pin; pin < pl_pins_end(device); pin++)
      PL_PUSH(p->check->arena, &ends, pin);
  }
  for (uint32_t i = 0; i < ends.n; i++) {
    uint32_t node = pl_network_pin_node(p->check->network, ends.at[i]);
    if (node == PL_NONE)
      continue;
    if (p->held[node])
      continue;
    if (left_at(p, node) > 0)
      continue;
    if (added[ends.at[i]])
      continue;
    added[ends.at[i]] = true;
    PL_PUSH(p->check->arena, &piece->pins, ends.at[i]);
  }
}

/* Devices that a finding has already told to be cut off. */
static bool *told_devices(const struct pl_check *check) {
  static const char *const rules[] = {"load-without-feed",
                                      "load-without-return",
                                      "input-undriven",
                                      "required-pin-empty",
                                      "unused-pin-wired",
                                      "wire-end-in-air",
                                      "must-hear"};
  const struct pl_harness *h = check->harness;
  bool *told = PL_BY_DEVICE(check, bool);
  for (uint32_t i = 0; i < check->findings->list.n; i++) {
    const struct pl_finding *f = &check->findings->list.at[i];
    const char *places[2] = {f->place, f->blames};
    bool counts = false;
    for (size_t r = 0; r < sizeof rules / sizeof *rules; r++)
      counts = counts || strcmp(f->rule, rules[r]) == 0;
    for (int k = 0; counts && k < 2; k++) {
      const char *name = pl_arena_strndup(check->arena, places[k], strcspn(places[k], "."));
      pl_id device = pl_harness_find_device(h, name);
      if (device != PL_NONE)
        told[device] = true;
    }
  }
  return told;
}

static bool is_told(const struct pl_check *check, const struct piece *piece, const bool *told) {
  const struct pl_harness *h = check->harness;
  for (uint32_t i = 0; i < piece->devices.n; i++)
    if (told[piece->devices.at[i]])
      return true;
  for (uint32_t i = 0; i < piece->pins.n; i++)
    if (told[h->pins.at[piece->pins.at[i]].device])
      return true;
  for (uint32_t i = 0; i < piece->wires.n; i++)
    for (int e = 0; e < 2; e++) {
      pl_id device = h->pins.at[h->wires.at[piece->wires.at[i]].end[e]].device;
      if (told[device] && !pl_device_is(h, device, PL_IS_NODE | PL_IS_PLUG | PL_IS_MODULE))
        return true;
    }
  return false;
}

static void report_piece(struct pl_check *check, const struct piece *piece) {
  const struct pl_harness *h = check->harness;
  pl_id gap = pl_stretch_gap(check, piece->pins.at, piece->pins.n);
  if (pl_kind_is(pl_pin_device(h, gap)->kind, PL_IS_STUD))
    return; /* a stud is there so that more can be bolted on */
  PL_VEC(const char *) names = {0};
  for (uint32_t i = 0; i < piece->devices.n; i++) {
    const struct pl_device *device = &h->devices.at[piece->devices.at[i]];
    PL_PUSH(check->arena,
            &names,
            pl_arena_printf(check->arena, "%s %s", pl_kind_name(device->kind), device->name));
  }
  struct pl_finding f = pl_finding_new("dead-end",
                                       PL_FAULT,
                                       h->wires.at[piece->wires.at[0]].span,
                                       h->pins.at[gap].full);
  bool empty = pl_pin_wires_there(h, gap) == 0;
  f.text = pl_arena_printf(check->arena,
                           "no current can flow through %s%s%s in any position of anything: the "
                           "way ends at %s%s",
                           pl_say_wires(check, piece->wires.at, piece->wires.n),
                           names.n == 0 ? "" : ", ",
                           pl_say_some(check, names.at, names.n, 4),
                           h->pins.at[gap].full,
                           empty ? ", to which no wire leads" : ", from which no wire leads on");
  f.remedy = pl_arena_printf(check->arena,
                             "put in the wire that is missing at %s, or take out what leads there; "
                             "what is kept for later says `spare`",
                             h->pins.at[gap].full);
  pl_findings_add(check->findings, f);
}

/* ---- positions that lead to an empty pin ---- */

/* A pole can be reached from the pin without the switch `device` and without going through another
 * switch in two positions at once. */
static bool
is_supply_side(const struct pl_check *check, pl_id pin, pl_id device, uint32_t *by, pl_id *queue) {
  const struct pl_facts *facts = check->facts;
  uint32_t n = 0;
  for (pl_id p = 0; p < check->harness->pins.n; p++)
    by[p] = UINT32_MAX;
  queue[n++] = pin;
  by[pin] = UINT32_MAX - 1;
  for (uint32_t i = 0; i < n; i++) {
    pl_id at = queue[i];
    const struct pl_link *came = NULL;
    if (by[at] < UINT32_MAX - 1)
      came = &facts->links[by[at]];
    if (facts->pole[at] != 0)
      return true;
    for (uint32_t k = facts->first[at]; k < facts->first[at + 1]; k++) {
      const struct pl_link *link = pl_link_at(facts, k);
      pl_id q = pl_link_other(link, at);
      bool contact = link->tie == PL_TIE_CONTACT;
      bool turned = came != NULL && contact && came->tie == PL_TIE_CONTACT &&
                    came->device == link->device && came->position != link->position;
      if (by[q] != UINT32_MAX || turned)
        continue;
      if (contact && link->device == device)
        continue;
      if (link->tie == PL_TIE_OUTPUT && at == link->b)
        continue;
      by[q] = facts->around[k];
      queue[n++] = q;
    }
  }
  return false;
}

/* The empty pin that is all a position leads to from a side that waits for current; PL_NONE. */
static pl_id empty_throw(const struct pl_check *check, pl_id device, const struct pl_throw *throw) {
  const struct pl_harness *h = check->harness;
  pl_id empty = PL_NONE;
  for (uint32_t i = 0; i < throw->joins.n; i++) {
    pl_id a = throw->joins.at[i].a;
    pl_id b = throw->joins.at[i].b;
    bool has_a = pl_pin_wires_there(h, a) > 0;
    bool has_b = pl_pin_wires_there(h, b) > 0;
    if (has_a == has_b)
      return PL_NONE;
    pl_id wired = has_a ? a : b;
    if (is_supply_side(check, wired, device, PL_BY_PIN(check, uint32_t), PL_BY_PIN(check, pl_id)))
      return PL_NONE;
    empty = has_a ? b : a;
  }
  return empty;
}

/* At rest a changeover contact may well lead to nothing. */
static void check_throws(struct pl_check *check, pl_id device) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *d = &h->devices.at[device];
  for (uint32_t t = 0; t < d->throws.n; t++) {
    pl_id pin = PL_NONE;
    if (t != d->rest)
      pin = empty_throw(check, device, &d->throws.at[t]);
    if (pin == PL_NONE)
      continue;
    struct pl_finding f = pl_finding_new("dead-end", PL_FAULT, d->span, h->pins.at[pin].full);
    f.text = pl_arena_printf(check->arena,
                             "%s in %s leads only to %s, to which no wire leads: what it should "
                             "switch gets nothing there",
                             d->name,
                             d->throws.at[t].name,
                             h->pins.at[pin].full);
    f.remedy = pl_arena_printf(check->arena,
                               "put in the wire that is missing at %s",
                               h->pins.at[pin].full);
    pl_findings_add(check->findings, f);
    return;
  }
}

void pl_rule_dead_end(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  if (h->states.n == 0)
    return;
  if (!check->facts->any_solved)
    return;
  struct pruning p = {.check = check, .node_count = pl_network_node_count(check->network)};
  for (pl_id s = 0; s < h->states.n && p.elements == NULL; s++)
    if (check->solutions[s].status == PL_SOLVED) {
      p.elements = check->solutions[s].elements;
      p.element_count = check->solutions[s].element_count;
    }
  uint32_t room = p.element_count + p.node_count + 1;
  p.held = PL_NEW_ARRAY(check->arena, bool, (size_t)p.node_count + 1);
  p.queued = PL_NEW_ARRAY(check->arena, bool, (size_t)p.node_count + 1);
  p.gone = PL_NEW_ARRAY(check->arena, bool, (size_t)p.element_count + 1);
  p.queue = PL_NEW_ARRAY(check->arena, uint32_t, (size_t)room);
  list_around(&p);
  hold_nodes(&p);
  prune(&p);
  bool *seen = PL_NEW_ARRAY(check->arena, bool, (size_t)p.element_count + 1);
  bool *device_seen = PL_BY_DEVICE(check, bool);
  bool *told = told_devices(check);
  bool *in_piece = PL_BY_DEVICE(check, bool);
  for (uint32_t k = 0; k < p.element_count; k++) {
    if (!p.gone[k])
      continue;
    if (seen[k])
      continue;
    struct piece piece = take_piece(&p, k, seen, device_seen);
    if (piece.wires.n == 0)
      continue;
    for (uint32_t i = 0; i < piece.devices.n; i++)
      in_piece[piece.devices.at[i]] = true;
    collect_pins(&p, &piece);
    if (piece.pins.n > 0 && !is_told(check, &piece, told))
      report_piece(check, &piece);
  }
  for (pl_id d = 0; d < h->devices.n; d++) {
    if (!pl_kind_is_but(h->devices.at[d].kind, PL_IS_SETTABLE, PL_IS_DISCONNECT))
      continue;
    if (told[d])
      continue;
    if (in_piece[d])
      continue;
    check_throws(check, d);
  }
}
