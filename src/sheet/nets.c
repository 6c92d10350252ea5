/* Nets of wires alone, and the pairs that prove every wire of them.
 *
 * Idea: pins that wires and studs join are one set (union-find with path halving, the lower pin
 * stays its head: Tarjan, J. ACM 22, 1975): all but linear in pins and wires.  From the first pin
 * of a net, where a clip holds best, a walk breadth first gives every other pin that can be probed
 * its way of fewest wires, so that one clip stays where it is while the net is probed; a wire that
 * no such way uses is lifted at one end and read alone. */
#include "sheet/nets_inner.h"

#include <string.h>

/* ---- nets ---- */

static const struct pl_device *device_of(const struct pl_harness *harness, pl_id pin) {
  return &harness->devices.at[harness->pins.at[pin].device];
}

static bool is_node(const struct pl_harness *harness, pl_id pin) {
  return pl_kind_is(device_of(harness, pin)->kind, PL_IS_NODE);
}

static uint32_t first_of(uint32_t *parent, uint32_t pin) {
  while (parent[pin] != pin) {
    parent[pin] = parent[parent[pin]];
    pin = parent[pin];
  }
  return pin;
}

static void unite(uint32_t *parent, uint32_t a, uint32_t b) {
  uint32_t first_a = first_of(parent, a);
  uint32_t first_b = first_of(parent, b);

  if (first_a < first_b)
    parent[first_b] = first_a;
  else
    parent[first_a] = first_b;
}

static bool is_joined(const struct pl_harness *harness, const struct pl_wire *wire) {
  if (!(wire->end[0] < harness->pins.n))
    return false;
  if (!(wire->end[1] < harness->pins.n))
    return false;
  return wire->status != PL_WIRE_DONOR_REMOVED;
}

static bool is_ground(const struct pl_sheet_maker *maker, pl_id pin) {
  enum pl_kind kind = device_of(maker->harness, pin)->kind;
  const struct pl_network *network = maker->network;

  if (pl_kind_is(kind, PL_IS_GROUND))
    return true;
  if (!pl_kind_is(kind, PL_IS_STORE))
    return false;
  if (network == NULL)
    return false;
  return pl_network_pin_node(network, pin) == pl_network_reference(network);
}

/* A clip holds best on a stud, then on a blade; a probe goes into a cavity. */
static int clip_rank(const struct pl_harness *harness, pl_id pin) {
  if (is_node(harness, pin))
    return 0;
  if (harness->pins.at[pin].connector == PL_NONE)
    return 1;
  return 2;
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
    for (pl_id p = 0; p < harness->pins.n; p++) {
      if (clip_rank(harness, p) != rank)
        continue;
      if (!is_probed(harness, p))
        continue;
      PL_PUSH(maker->arena, &nets->pins[nets->net[p]], p);
    }
  for (pl_id p = 0; p < harness->pins.n; p++)
    if (is_ground(maker, p))
      nets->ground[nets->net[p]] = true;
}

/* A stud, bond or splice is represented by its first pin. */
static pl_id node_pin(const struct pl_harness *harness, pl_id pin) {
  if (is_node(harness, pin))
    return device_of(harness, pin)->first_pin;
  return pin;
}

/* By pin, the head of its set. */
static uint32_t *join_pins(const struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  uint32_t *parent = PL_NEW_ARRAY(maker->arena, uint32_t, harness->pins.n);

  for (pl_id p = 0; p < harness->pins.n; p++)
    parent[p] = p;
  for (pl_id p = 0; p < harness->pins.n; p++)
    unite(parent, p, node_pin(harness, p));
  for (pl_id w = 0; w < harness->wires.n; w++) {
    const struct pl_wire *wire = &harness->wires.at[w];
    if (is_joined(harness, wire))
      unite(parent, wire->end[0], wire->end[1]);
  }
  return parent;
}

void pl_nets_make(const struct pl_sheet_maker *maker, struct pl_nets *nets) {
  uint32_t pins = maker->harness->pins.n;
  uint32_t *parent = join_pins(maker);

  *nets = (struct pl_nets){.net = PL_NEW_ARRAY(maker->arena, uint32_t, pins)};
  for (pl_id p = 0; p < pins; p++) {
    uint32_t first = first_of(parent, p);
    if (first == p)
      nets->net[p] = nets->count++;
    else
      nets->net[p] = nets->net[first];
  }
  collect(maker, nets);
}

/* ---- pairs ---- */

struct walk {      /* from the first pin of a net over its wires, breadth first */
  uint32_t *queue; /* pins, of a stud or splice the first */
  uint32_t tail;
  pl_id *by_wire, *from; /* by pin: how it was come to */
  bool *seen;            /* by pin */
  bool *used;            /* by wire: in a pair */
};

/* Over the wires at pin `p` of what `at` stands for. */
static void walk_on(const struct pl_harness *harness, struct walk *walk, pl_id at, pl_id p) {
  const struct pl_pin *pin = &harness->pins.at[p];

  for (uint32_t i = 0; i < pin->wires.n; i++) {
    pl_id id = pin->wires.at[i];
    const struct pl_wire *wire = &harness->wires.at[id];
    if (!is_joined(harness, wire))
      continue;
    pl_id other = node_pin(harness, pl_wire_other_end(wire, p));
    if (walk->seen[other])
      continue;
    walk->seen[other] = true;
    walk->by_wire[other] = id;
    walk->from[other] = at;
    walk->queue[walk->tail++] = other;
  }
}

static void walk_from(const struct pl_harness *harness, struct walk *walk, pl_id pin) {
  pl_id start = node_pin(harness, pin);

  walk->tail = 0;
  walk->seen[start] = true;
  walk->by_wire[start] = PL_NONE;
  walk->queue[walk->tail++] = start;
  for (uint32_t head = 0; head < walk->tail; head++) {
    pl_id at = walk->queue[head];
    uint32_t pins = 1;
    if (is_node(harness, at))
      pins = device_of(harness, at)->pin_count;
    for (uint32_t i = 0; i < pins; i++)
      walk_on(harness, walk, at, at + i);
  }
}

static void
add_pair(const struct pl_sheet_maker *maker, struct walk *walk, pl_id a, pl_id b, pl_pairs *pairs) {
  struct pl_pair pair = {.a = a, .b = b, .lift = PL_NONE};
  pl_ids back = {0};
  pl_id at = node_pin(maker->harness, b);

  for (; walk->by_wire[at] != PL_NONE; at = walk->from[at])
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
    if (!is_joined(harness, wire))
      continue;
    if (walk->used[w])
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
    pl_id clip = pins->at[0];
    walk_from(harness, &walk, clip);
    for (uint32_t i = 1; i < pins->n; i++)
      if (node_pin(harness, pins->at[i]) != node_pin(harness, clip))
        add_pair(maker, &walk, clip, pins->at[i], pairs);
  }
  add_lifted(maker, &walk, pairs);
}

/* ---- neighbours ---- */

/* To the right of it, or below. */
static bool is_next(const struct pl_pin *pin, const struct pl_pin *other) {
  if (other->connector != pin->connector)
    return false;
  if (other->row == pin->row)
    return other->column == pin->column + 1;
  if (other->row != pin->row + 1)
    return false;
  return other->column == pin->column;
}

void pl_nets_neighbours(const struct pl_sheet_maker *maker,
                        const struct pl_nets *nets,
                        pl_id pin,
                        pl_ids *neighbours) {
  const struct pl_harness *harness = maker->harness;
  const struct pl_pin *p = &harness->pins.at[pin];
  const struct pl_device *device = &harness->devices.at[p->device];
  if (p->connector == PL_NONE)
    return;
  if (p->row == 0)
    return;
  if (!is_probed(harness, pin))
    return;
  for (pl_id q = device->first_pin; q < device->first_pin + device->pin_count; q++) {
    if (nets->net[q] == nets->net[pin])
      continue;
    if (!is_next(p, &harness->pins.at[q]))
      continue;
    if (is_probed(harness, q))
      PL_PUSH(maker->arena, neighbours, q);
  }
}

struct pl_meter *pl_bench_meter(const struct pl_sheet_maker *maker) {
  bool *off = PL_NEW_ARRAY(maker->arena, bool, maker->harness->pins.n);
  memset(off, true, maker->harness->pins.n);
  if (maker->network == NULL)
    return NULL;
  return pl_meter_new(maker->network, NULL, off, maker->arena);
}
