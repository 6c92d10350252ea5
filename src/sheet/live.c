/* The machine with some devices unplugged: the same harness, in which those devices join nothing.
 */
#include "sheet/live_inner.h"

#include <math.h>
#include <string.h>

static const double powered_share = 0.5; /* of the supply: from here on a pin has power */

struct pl_live pl_live_solve(const struct pl_sheet_maker *maker, const bool *out, pl_id state) {
  struct pl_harness *harness = PL_NEW(maker->arena, struct pl_harness);
  struct pl_live live = {.solution = PL_NEW(maker->arena, struct pl_solution)};
  *harness = *maker->harness;
  harness->devices.at = PL_NEW_ARRAY(maker->arena, struct pl_device, harness->devices.n);
  memcpy(harness->devices.at,
         maker->harness->devices.at,
         harness->devices.n * sizeof *harness->devices.at);
  for (pl_id d = 0; d < harness->devices.n; d++) {
    struct pl_device *device = &harness->devices.at[d];
    if (!out[d])
      continue;
    device->kind = PL_KIND_CONNECTOR; /* cavities that nothing joins */
    device->fixed.n = 0;
    device->body = PL_NONE;
  }
  live.network = pl_network_new(harness, maker->arena);
  pl_network_solve(live.network, state, live.solution, NULL);
  return live;
}

void pl_live_release(struct pl_live *live) {
  pl_network_release(live->network);
}

static bool
is_powered(const struct pl_sheet_maker *maker, const struct pl_solution *solution, pl_id pin) {
  return fabs(solution->pin_volts[pin]) > powered_share * maker->harness->machine.volts;
}

bool pl_live_has_power(const struct pl_sheet_maker *maker, const struct pl_live *live, pl_id pin) {
  if (live->solution->status != PL_SOLVED)
    return false;
  return is_powered(maker, live->solution, pin);
}

/* ---- fuses on the way ---- */

struct reach {
  const struct pl_sheet_maker *maker;
  const struct pl_live *live;
  uint32_t *start, *touch; /* elements at a node */
  pl_id *fuse;             /* by node */
  bool *seen;              /* by node */
  uint32_t *queue, *later; /* nodes of this round, elements that lead on through a fuse */
  uint32_t queued, waiting;
};

static bool leads_on(const struct pl_element *e) {
  if (!(!e->open))
    return false;
  return e->kind == PL_ELEMENT_WIRE || e->kind == PL_ELEMENT_CONTACT;
}

static void list_touching(struct reach *reach, uint32_t nodes) {
  const struct pl_solution *solution = reach->live->solution;
  reach->start = PL_NEW_ARRAY(reach->maker->arena, uint32_t, (size_t)nodes + 2);
  reach->touch = PL_NEW_ARRAY(reach->maker->arena, uint32_t, 2 * (size_t)solution->element_count);
  for (uint32_t k = 0; k < solution->element_count; k++) {
    const struct pl_element *e = &solution->elements[k];
    reach->start[e->node_a + 2]++;
    reach->start[e->node_b + 2]++;
  }
  for (uint32_t n = 0; n < nodes; n++)
    reach->start[n + 2] += reach->start[n + 1];
  for (uint32_t k = 0; k < solution->element_count; k++) {
    const struct pl_element *e = &solution->elements[k];
    reach->touch[reach->start[e->node_a + 1]++] = k;
    reach->touch[reach->start[e->node_b + 1]++] = k;
  }
}

static void visit(struct reach *reach, uint32_t node, pl_id fuse) {
  if (reach->seen[node])
    return;
  reach->seen[node] = true;
  reach->fuse[node] = fuse;
  reach->queue[reach->queued++] = node;
}

/* All that is come to without another fuse; those fuses wait. */
static void flood(struct reach *reach, uint32_t from) {
  const struct pl_harness *harness = reach->maker->harness;
  for (uint32_t head = from; head < reach->queued; head++) {
    uint32_t node = reach->queue[head];
    for (uint32_t i = reach->start[node]; i < reach->start[node + 1]; i++) {
      const struct pl_element *e = &reach->live->solution->elements[reach->touch[i]];
      if (!leads_on(e))
        continue;
      if (e->device != PL_NONE && pl_kind_is_protection(harness->devices.at[e->device].kind))
        reach->later[reach->waiting++] = reach->touch[i];
      else
        visit(reach, e->node_a == node ? e->node_b : e->node_a, reach->fuse[node]);
    }
  }
}

/* From the batteries' posts, not through the earthed one: everything is earthed. */
static void flood_batteries(struct reach *reach) {
  const struct pl_harness *harness = reach->maker->harness;
  uint32_t reference = pl_network_reference(reach->live->network);

  if (reference != PL_NONE)
    reach->seen[reference] = true;
  for (pl_id d = 0; d < harness->devices.n; d++) {
    const struct pl_device *device = &harness->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_STORE))
      continue;
    for (uint32_t i = 0; i < device->pin_count; i++)
      visit(reach, pl_network_pin_node(reach->live->network, device->first_pin + i), PL_NONE);
  }
  flood(reach, 0);
}

/* Through the fuses that wait, first come first served: round by round a fuse more on the way. */
static void flood_fuses(struct reach *reach, pl_ids *order) {
  struct pl_arena *arena = reach->maker->arena;
  bool *taken = PL_NEW_ARRAY(arena, bool, reach->maker->harness->devices.n);

  for (uint32_t done = 0; done < reach->waiting; done++) {
    const struct pl_element *e = &reach->live->solution->elements[reach->later[done]];
    uint32_t before = reach->queued;
    uint32_t next = reach->seen[e->node_a] ? e->node_b : e->node_a;
    if (reach->seen[next])
      continue;
    if (!taken[e->device])
      PL_PUSH(arena, order, e->device);
    taken[e->device] = true;
    visit(reach, next, e->device);
    flood(reach, before);
  }
}

static pl_id *none_of(struct pl_arena *arena, uint32_t n) {
  pl_id *ids = PL_NEW_ARRAY(arena, pl_id, n);

  for (uint32_t i = 0; i < n; i++)
    ids[i] = PL_NONE;
  return ids;
}

pl_id *
pl_live_fuses(const struct pl_sheet_maker *maker, const struct pl_live *live, pl_ids *order) {
  struct pl_arena *arena = maker->arena;
  uint32_t pins = maker->harness->pins.n;
  uint32_t nodes = pl_network_node_count(live->network);
  size_t ends = 2 * (size_t)live->solution->element_count;
  pl_id *by_pin = none_of(arena, pins);
  struct reach reach = {.maker = maker,
                        .live = live,
                        .fuse = none_of(arena, nodes),
                        .seen = PL_NEW_ARRAY(arena, bool, nodes),
                        .queue = PL_NEW_ARRAY(arena, uint32_t, nodes),
                        .later = PL_NEW_ARRAY(arena, uint32_t, ends)};

  if (live->solution->status != PL_SOLVED)
    return by_pin;
  list_touching(&reach, nodes);
  flood_batteries(&reach);
  flood_fuses(&reach, order);
  for (pl_id p = 0; p < pins; p++)
    by_pin[p] = reach.fuse[pl_network_pin_node(live->network, p)];
  return by_pin;
}

/* ---- key on ---- */

/* How many wired pins of modules have power. */
static uint32_t powered(const struct pl_sheet_maker *maker, const struct pl_solution *solution) {
  const struct pl_harness *harness = maker->harness;
  uint32_t n = 0;

  if (solution->status != PL_SOLVED)
    return 0;
  for (pl_id p = 0; p < harness->pins.n; p++) {
    const struct pl_pin *pin = &harness->pins.at[p];
    if (pin->wires.n > 0 && pl_device_is(harness, pin->device, PL_IS_MODULE))
      n += is_powered(maker, solution, p);
  }
  return n;
}

/* Judged with everything plugged in: the states are solved already. */
pl_id pl_live_key_on(const struct pl_sheet_maker *maker, const struct pl_live *rest) {
  uint32_t most = powered(maker, rest->solution);
  pl_id best = PL_NONE;
  for (pl_id s = 0; s < maker->harness->states.n; s++) {
    if (maker->harness->states.at[s].engine != PL_ENGINE_STOPPED)
      continue;
    uint32_t n = powered(maker, &maker->solutions[s]);
    if (n <= most)
      continue;
    most = n;
    best = s;
  }
  return best;
}
