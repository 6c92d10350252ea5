/* Nets of wires alone, and the pairs that prove every wire of them. */
#include "sheet/nets_inner.h"

#include <string.h>

/* ---- nets ---- */

static uint32_t first_of(uint32_t *parent, uint32_t pin) {
  while (parent[pin] != pin)
    pin = parent[pin] = parent[parent[pin]];
  return pin;
}

static void unite(uint32_t *parent, uint32_t a, uint32_t b) {
  a = first_of(parent, a);
  b = first_of(parent, b);
  parent[a > b ? a : b] = a > b ? b : a;
}

static bool is_joined(const struct pl_harness *harness, const struct pl_wire *wire) {
  return wire->end[0] < harness->pins.n && wire->end[1] < harness->pins.n &&
         wire->status != PL_WIRE_DONOR_REMOVED;
}

static bool is_ground(const struct pl_sheet_maker *maker, pl_id pin) {
  enum pl_kind kind = maker->harness->devices.at[maker->harness->pins.at[pin].device].kind;
  if (pl_kind_is(kind, PL_IS_GROUND))
    return true;
  return pl_kind_is(kind, PL_IS_STORE) && maker->network != NULL &&
         pl_network_pin_node(maker->network, pin) == pl_network_reference(maker->network);
}

/* A clip holds best on a stud, then on a blade; a probe goes into a cavity. */
static int clip_rank(const struct pl_harness *harness, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  if (pl_kind_is_node(harness->devices.at[p->device].kind))
    return 0;
  return p->connector == PL_NONE ? 1 : 2;
}

static bool is_probed(const struct pl_harness *harness, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  for (uint32_t i = 0; i < p->wires.n; i++)
    if (harness->wires.at[p->wires.at[i]].status != PL_WIRE_DONOR_REMOVED)
      return !pl_device_is(harness, p->device, PL_IS_SPLICE);
  return false;
}

static void collect(const struct pl_sheet_maker *maker, struct pl_nets *nets) {
  const struct pl_harness *harness = maker->harness;
  nets->pins = PL_NEW_ARRAY(maker->arena, pl_ids, nets->count);
  nets->ground = PL_NEW_ARRAY(maker->arena, bool, nets->count);
  for (int rank = 0; rank < 3; rank++)
    for (pl_id p = 0; p < harness->pins.n; p++)
      if (clip_rank(harness, p) == rank && is_probed(harness, p))
        PL_PUSH(maker->arena, &nets->pins[nets->net[p]], p);
  for (pl_id p = 0; p < harness->pins.n; p++)
    if (is_ground(maker, p))
      nets->ground[nets->net[p]] = true;
}

void pl_nets_make(const struct pl_sheet_maker *maker, struct pl_nets *nets) {
  const struct pl_harness *harness = maker->harness;
  uint32_t *parent = PL_NEW_ARRAY(maker->arena, uint32_t, harness->pins.n);
  uint32_t count = 0;
  *nets = (struct pl_nets){.net = PL_NEW_ARRAY(maker->arena, uint32_t, harness->pins.n)};
  for (pl_id p = 0; p < harness->pins.n; p++) {
    const struct pl_device *device = &harness->devices.at[harness->pins.at[p].device];
    parent[p] = p;
    if (pl_kind_is_node(device->kind) && p > device->first_pin)
      unite(parent, p, device->first_pin);
  }
  for (pl_id w = 0; w < harness->wires.n; w++)
    if (is_joined(harness, &harness->wires.at[w]))
      unite(parent, harness->wires.at[w].end[0], harness->wires.at[w].end[1]);
  for (pl_id p = 0; p < harness->pins.n; p++) {
    uint32_t first = first_of(parent, p);
    nets->net[p] = first == p ? count++ : nets->net[first];
  }
  nets->count = count;
  collect(maker, nets);
}

/* ---- pairs ---- */

struct walk {            /* from the first pin of a net over its wires, breadth first */
  uint32_t *queue;       /* pins, of a stud or splice the first */
  pl_id *by_wire, *from; /* by pin: how it was come to */
  bool *seen;            /* by pin */
  bool *used;            /* by wire: in a pair */
};

static pl_id node_pin(const struct pl_harness *harness, pl_id pin) {
  const struct pl_device *device = &harness->devices.at[harness->pins.at[pin].device];
  return pl_kind_is_node(device->kind) ? device->first_pin : pin;
}

static void walk_from(const struct pl_harness *harness, struct walk *walk, pl_id start) {
  uint32_t head = 0;
  uint32_t tail = 0;
  start = node_pin(harness, start);
  walk->seen[start] = true;
  walk->by_wire[start] = PL_NONE;
  walk->queue[tail++] = start;
  while (head < tail) {
    pl_id at = walk->queue[head++];
    const struct pl_device *device = &harness->devices.at[harness->pins.at[at].device];
    uint32_t pins = pl_kind_is_node(device->kind) ? device->pin_count : 1;
    for (pl_id p = at; p < at + pins; p++)
      for (uint32_t i = 0; i < harness->pins.at[p].wires.n; i++) {
        pl_id wire = harness->pins.at[p].wires.at[i];
        if (!is_joined(harness, &harness->wires.at[wire]))
          continue;
        pl_id other = node_pin(harness, pl_wire_other_end(&harness->wires.at[wire], p));
        if (walk->seen[other])
          continue;
        walk->seen[other] = true;
        walk->by_wire[other] = wire;
        walk->from[other] = at;
        walk->queue[tail++] = other;
      }
  }
}

static void
add_pair(const struct pl_sheet_maker *maker, struct walk *walk, pl_id a, pl_id b, pl_pairs *pairs) {
  struct pl_pair pair = {.a = a, .b = b, .lift = PL_NONE};
  pl_ids back = {0};
  for (pl_id at = node_pin(maker->harness, b); walk->by_wire[at] != PL_NONE; at = walk->from[at])
    PL_PUSH(maker->arena, &back, walk->by_wire[at]);
  for (uint32_t i = back.n; i-- > 0;) {
    PL_PUSH(maker->arena, &pair.wires, back.at[i]);
    walk->used[back.at[i]] = true;
  }
  PL_PUSH(maker->arena, pairs, pair);
}

/* Wires that no pair above goes through: beside others, or on to a splice where nothing can be
 * read. */
static void
add_lifted(const struct pl_sheet_maker *maker, const struct walk *walk, pl_pairs *pairs) {
  const struct pl_harness *harness = maker->harness;
  for (pl_id w = 0; w < harness->wires.n; w++) {
    const struct pl_wire *wire = &harness->wires.at[w];
    struct pl_pair pair = {.a = wire->end[0], .b = wire->end[1], .lift = w};
    if (!is_joined(harness, wire) || walk->used[w])
      continue;
    PL_PUSH(maker->arena, &pair.wires, w);
    PL_PUSH(maker->arena, pairs, pair);
  }
}

void pl_nets_pairs(const struct pl_sheet_maker *maker,
                   const struct pl_nets *nets,
                   pl_pairs *pairs) {
  const struct pl_harness *harness = maker->harness;
  struct walk walk = {.queue = PL_NEW_ARRAY(maker->arena, uint32_t, harness->pins.n),
                      .by_wire = PL_NEW_ARRAY(maker->arena, pl_id, harness->pins.n),
                      .from = PL_NEW_ARRAY(maker->arena, pl_id, harness->pins.n),
                      .seen = PL_NEW_ARRAY(maker->arena, bool, harness->pins.n),
                      .used = PL_NEW_ARRAY(maker->arena, bool, harness->wires.n)};
  for (uint32_t n = 0; n < nets->count; n++) {
    const pl_ids *pins = &nets->pins[n];
    if (pins->n < 2)
      continue;
    walk_from(harness, &walk, pins->at[0]);
    for (uint32_t i = 1; i < pins->n; i++)
      if (node_pin(harness, pins->at[i]) != node_pin(harness, pins->at[0]))
        add_pair(maker, &walk, pins->at[0], pins->at[i], pairs);
  }
  add_lifted(maker, &walk, pairs);
}

/* ---- neighbours ---- */

void pl_nets_neighbours(const struct pl_sheet_maker *maker,
                        const struct pl_nets *nets,
                        pl_id pin,
                        pl_ids *neighbours) {
  const struct pl_harness *harness = maker->harness;
  const struct pl_pin *p = &harness->pins.at[pin];
  const struct pl_device *device = &harness->devices.at[p->device];
  if (p->connector == PL_NONE || p->row == 0 || !is_probed(harness, pin))
    return;
  for (pl_id q = device->first_pin; q < device->first_pin + device->pin_count; q++) {
    const struct pl_pin *other = &harness->pins.at[q];
    bool right = other->row == p->row && other->column == p->column + 1,
         below = other->row == p->row + 1 && other->column == p->column;
    if (other->connector == p->connector && (right || below) && is_probed(harness, q) &&
        nets->net[q] != nets->net[pin])
      PL_PUSH(maker->arena, neighbours, q);
  }
}

struct pl_meter *pl_bench_meter(const struct pl_sheet_maker *maker) {
  bool *off = PL_NEW_ARRAY(maker->arena, bool, maker->harness->pins.n);
  memset(off, true, maker->harness->pins.n);
  return maker->network == NULL ? NULL : pl_meter_new(maker->network, NULL, off, maker->arena);
}
