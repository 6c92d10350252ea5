/* Lengths: every wire takes the shortest way through the runs between its devices' places; a
 * written length wins.  Temperatures and bundles follow from the same way. */
#include <math.h>

#include "model/builder_inner.h"

/* Where an unknown length is taken from nowhere, this stands in, and the finding says so. */
#define STAND_IN_LENGTH 1.0
#define CAPPED_LENGTH 0.3

struct tree { /* shortest ways from one place */
  bool made;
  double *far; /* by place */
  pl_id *by;   /* run that leads to the place */
};

struct gap { /* why wires have no length: a device without a place, or two parts of the machine that
                no run joins */
  pl_id device, part[2];
  uint32_t finding, count;
  struct pl_buffer others; /* numbers of the wires behind the first */
};

struct router {
  struct pl_builder *builder;
  struct pl_harness *harness;
  struct tree *trees; /* by place */
  pl_ids *runs_at;    /* by place */
  PL_VEC(struct gap) gaps;
};

/* Dijkstra's algorithm over places, scanning for the nearest: places are few.  Ties fall to the
 * earlier place and run. */
static const struct tree *tree_from(struct router *router, pl_id from) {
  struct pl_harness *h = router->harness;
  struct tree *tree = &router->trees[from];
  if (tree->made)
    return tree;
  uint32_t n = h->places.n;
  bool *done = PL_NEW_ARRAY(h->arena, bool, n);
  tree->far = PL_NEW_ARRAY(h->arena, double, n);
  tree->by = PL_NEW_ARRAY(h->arena, pl_id, n);
  for (uint32_t i = 0; i < n; i++) {
    tree->far[i] = INFINITY;
    tree->by[i] = PL_NONE;
  }
  tree->far[from] = 0.0;
  tree->made = true;
  for (;;) {
    pl_id at = PL_NONE;
    for (uint32_t i = 0; i < n; i++) {
      if (done[i])
        continue;
      if (!isfinite(tree->far[i]))
        continue;
      if (!(at == PL_NONE || tree->far[i] < tree->far[at]))
        continue;
      at = i;
    }
    if (at == PL_NONE)
      return tree;
    done[at] = true;
    for (uint32_t i = 0; i < router->runs_at[at].n; i++) {
      pl_id id = router->runs_at[at].at[i];
      const struct pl_run *run = &h->runs.at[id];
      pl_id next = run->a == at ? run->b : run->a;
      if (tree->far[at] + run->length < tree->far[next]) {
        tree->far[next] = tree->far[at] + run->length;
        tree->by[next] = id;
      }
    }
  }
}

static pl_id place_of(const struct pl_harness *harness, pl_id pin) {
  if (pin == PL_NONE)
    return PL_NONE;
  return harness->devices.at[harness->pins.at[pin].device].place;
}

static void widen(struct pl_wire *wire, double cold, double hot, bool engine_space) {
  if (cold < wire->cold)
    wire->cold = cold;
  if (hot > wire->hot)
    wire->hot = hot;
  wire->engine_space = wire->engine_space || engine_space;
}

static void
walk(struct router *router, pl_id wire_id, const struct tree *tree, pl_id from, pl_id to) {
  struct pl_harness *h = router->harness;
  struct pl_wire *wire = &h->wires.at[wire_id];
  for (pl_id at = to; at != from;) {
    pl_id id = tree->by[at];
    struct pl_run *run = &h->runs.at[id];
    PL_PUSH(h->arena, &wire->route, id);
    PL_PUSH(h->arena, &run->wires, wire_id);
    widen(wire, run->cold, run->hot, run->engine_space);
    if (run->a == at)
      at = run->b;
    else
      at = run->a;
  }
  for (uint32_t i = 0, k = wire->route.n; i + 1 < k; i++, k--) { /* found backwards */
    pl_id swap = wire->route.at[i];
    wire->route.at[i] = wire->route.at[k - 1];
    wire->route.at[k - 1] = swap;
  }
}

/* One fault for each cause: the wires that share it are listed behind the first. */
static void stand_in(struct router *router,
                     struct pl_wire *wire,
                     struct gap gap,
                     const char *why,
                     const char *remedy) {
  struct pl_builder *builder = router->builder;
  wire->length = STAND_IN_LENGTH;
  for (uint32_t i = 0; i < router->gaps.n; i++) {
    struct gap *known = &router->gaps.at[i];
    if (known->device != gap.device)
      continue;
    if (known->part[0] != gap.part[0])
      continue;
    if (known->part[1] != gap.part[1])
      continue;
    pl_buffer_printf(&known->others, "%s%s", known->count > 0 ? ", " : "", wire->number);
    known->count++;
    return;
  }
  gap.finding = builder->findings->list.n;
  pl_buffer_init(&gap.others, builder->arena);
  PL_PUSH(builder->arena, &router->gaps, gap);
  pl_builder_fault(builder,
                   wire->span,
                   "length-unknown",
                   pl_arena_printf(builder->arena, "wire %s", wire->number),
                   pl_arena_printf(builder->arena,
                                   "wire %s has no length: %s; 1 m was taken",
                                   wire->number,
                                   why),
                   remedy);
}

/* The first place that can be reached from this one: the same for all that runs join. */
static pl_id part_of(struct router *router, pl_id place) {
  const struct tree *tree = tree_from(router, place);
  pl_id first = 0;
  while (!isfinite(tree->far[first]))
    first++;
  return first;
}

static void say_gaps(struct router *router) {
  struct pl_builder *builder = router->builder;
  for (uint32_t i = 0; i < router->gaps.n; i++) {
    const struct gap *gap = &router->gaps.at[i];
    struct pl_finding *finding = &builder->findings->list.at[gap->finding];
    if (gap->count > 0)
      finding->text = pl_arena_printf(builder->arena,
                                      "%s (so for wire%s %s)",
                                      finding->text,
                                      gap->count > 1 ? "s" : "",
                                      gap->others.at);
  }
}

static void route_wire(struct router *router, pl_id id) {
  struct pl_builder *builder = router->builder;
  struct pl_harness *h = router->harness;
  struct pl_wire *wire = &h->wires.at[id];
  pl_id places[2] = {place_of(h, wire->end[0]), place_of(h, wire->end[1])};
  bool first = true;
  for (int i = 0; i < 2; i++) {
    if (places[i] == PL_NONE)
      continue;
    const struct pl_place *place = &h->places.at[places[i]];
    if (first) {
      wire->cold = place->cold;
      wire->hot = place->hot;
    }
    first = false;
    widen(wire, place->cold, place->hot, place->engine_space);
  }
  if (wire->end[0] == PL_NONE || wire->end[1] == PL_NONE) {
    if (!wire->length_written)
      wire->length = CAPPED_LENGTH;
    return;
  }
  for (int i = 0; i < 2; i++)
    if (places[i] == PL_NONE) {
      if (!wire->length_written)
        stand_in(
            router,
            wire,
            (struct gap){.device = h->places.n == 0 ? PL_NONE : h->pins.at[wire->end[i]].device,
                         .part = {PL_NONE, PL_NONE}},
            pl_arena_printf(builder->arena,
                            "%s has no place",
                            h->devices.at[h->pins.at[wire->end[i]].device].name),
            h->places.n == 0 ? "describe the places and the runs between them, or write every "
                               "wire's length on its row: length 2.4 m"
                             : "say where it sits (at PLACE), or write the wire's length on its "
                               "row: length 2.4 m");
      return;
    }
  const struct tree *tree = tree_from(router, places[0]);
  double far = tree->far[places[1]];
  if (isfinite(far)) {
    walk(router, id, tree, places[0], places[1]);
    if (!wire->length_written)
      wire->length = (far + 2.0 * h->machine.tail) * (1.0 + h->machine.slack);
  } else if (!wire->length_written) {
    pl_id a = part_of(router, places[0]);
    pl_id b = part_of(router, places[1]);
    stand_in(
        router,
        wire,
        (struct gap){.device = PL_NONE, .part = {a < b ? a : b, a < b ? b : a}},
        pl_arena_printf(builder->arena,
                        "no run leads from %s to %s",
                        h->places.at[places[0]].name,
                        h->places.at[places[1]].name),
        "describe the run (run PLACE to PLACE, length), or write the wire's length on its row");
  }
}

void pl_build_routes(struct pl_builder *builder) {
  struct pl_harness *h = builder->harness;
  struct router router = {.builder = builder,
                          .harness = h,
                          .trees = PL_NEW_ARRAY(h->arena, struct tree, h->places.n + 1),
                          .runs_at = PL_NEW_ARRAY(h->arena, pl_ids, h->places.n + 1)};
  for (uint32_t i = 0; i < h->runs.n; i++) {
    PL_PUSH(h->arena, &router.runs_at[h->runs.at[i].a], i);
    PL_PUSH(h->arena, &router.runs_at[h->runs.at[i].b], i);
  }
  for (uint32_t i = 0; i < h->wires.n; i++)
    route_wire(&router, i);
  say_gaps(&router);
}
