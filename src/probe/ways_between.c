/* All ways of current between two pins: a depth-first search with its own stack.
 *
 * Idea: simple paths can be very many, so the search is held to nodes from which the goal can be
 * reached at all (one sweep breadth first from the goal), passes one load at most and not the
 * chassis, and stops after PL_PATHS_STEPS steps or PL_PATHS_MOST ways; it then says that there are
 * more.  Ways without a load are looked for first.  Cost: the steps, each a look at one element. */
#include "probe/ways_between.h"

#include <math.h>
#include <string.h>

struct search {
  const struct pl_network *network;
  const struct pl_harness *harness;
  const struct pl_solution *solution;
  struct pl_arena *arena;
  struct pl_paths *paths;
  uint32_t nodes, from, to, reference;
  bool loads;
  uint32_t *start, *touch; /* by node: conducting elements there */
  bool *hopeful, *on_way;  /* by node: the goal can be reached from here; it is on the way now */
  uint32_t *at;            /* by depth: the next of the node's elements to try */
  uint32_t *node;          /* by depth */
  PL_VEC(struct pl_path_step) way;
};

/* Loads, coils, sensors, and whatever is inside a module: a way goes through one device of that
 * kind at most, or everything would lead everywhere. */
static bool is_load(const struct search *s, const struct pl_element *e) {
  if (e->kind == PL_ELEMENT_RESISTANCE)
    return true;
  if (e->kind == PL_ELEMENT_CURRENT)
    return true;
  if (e->device == PL_NONE)
    return false;
  return pl_device_is(s->harness, e->device, PL_IS_MODULE);
}

static bool conducts(const struct search *s, const struct pl_element *e) {
  if (e->open)
    return false;
  if (e->node_a == e->node_b)
    return false;
  if (e->kind == PL_ELEMENT_SOURCE)
    return false;
  return s->loads || !is_load(s, e);
}

/* The elements at every node, node after node: counted first, then laid down. */
static void list_touches(struct search *s) {
  const struct pl_solution *solution = s->solution;
  uint32_t *at;

  s->start = PL_NEW_ARRAY(s->arena, uint32_t, (size_t)s->nodes + 2);
  for (uint32_t k = 0; k < solution->element_count; k++) {
    const struct pl_element *e = &solution->elements[k];
    if (!conducts(s, e))
      continue;
    s->start[e->node_a + 1]++;
    s->start[e->node_b + 1]++;
  }
  for (uint32_t i = 0; i < s->nodes; i++)
    s->start[i + 1] += s->start[i];
  s->touch = PL_NEW_ARRAY(s->arena, uint32_t, (size_t)s->start[s->nodes] + 1);
  at = PL_NEW_ARRAY(s->arena, uint32_t, (size_t)s->nodes + 1);
  memcpy(at, s->start, s->nodes * sizeof *at);
  for (uint32_t k = 0; k < solution->element_count; k++) {
    const struct pl_element *e = &solution->elements[k];
    if (!conducts(s, e))
      continue;
    s->touch[at[e->node_a]++] = k;
    s->touch[at[e->node_b]++] = k;
  }
}

static uint32_t other_node(const struct search *s, uint32_t k, uint32_t node) {
  const struct pl_element *e = &s->solution->elements[k];

  if (e->node_a == node)
    return e->node_b;
  return e->node_a;
}

static bool may_pass(const struct search *s, uint32_t node) {
  if (node != s->reference)
    return true;
  if (node == s->from)
    return true;
  return node == s->to;
}

static void mark_hopeful(struct search *s) {
  uint32_t *queue = PL_NEW_ARRAY(s->arena, uint32_t, (size_t)s->nodes + 1);
  uint32_t n = 0;

  s->hopeful = PL_NEW_ARRAY(s->arena, bool, (size_t)s->nodes + 1);
  s->hopeful[s->to] = true;
  queue[n++] = s->to;
  for (uint32_t i = 0; i < n; i++) {
    uint32_t node = queue[i];
    if (!may_pass(s, node))
      continue;
    for (uint32_t j = s->start[node]; j < s->start[node + 1]; j++) {
      uint32_t next = other_node(s, s->touch[j], node);
      if (s->hopeful[next])
        continue;
      s->hopeful[next] = true;
      queue[n++] = next;
    }
  }
}

static void keep_way(struct search *s) {
  struct pl_path path = {{0}};

  for (uint32_t i = 0; i < s->way.n; i++)
    PL_PUSH(s->arena, &path.steps, s->way.at[i]);
  PL_PUSH(s->arena, &s->paths->list, path);
}

/* Another load than the one on the way already. */
static bool is_second_load(const struct search *s, uint32_t k) {
  const struct pl_element *e = &s->solution->elements[k];

  for (uint32_t i = 0; i < s->way.n && is_load(s, e); i++) {
    const struct pl_element *before = &s->solution->elements[s->way.at[i].element];
    if (is_load(s, before) && before->device != e->device)
      return true;
  }
  return false;
}

/* Whether element `k` leads on to `next`, not round in a circle. */
static bool may_take(const struct search *s, uint32_t k, uint32_t next) {
  if (s->on_way[next])
    return false;
  if (!s->hopeful[next])
    return false;
  if (!may_pass(s, next))
    return false;
  return !s->loads || !is_second_load(s, k);
}

static void walk(struct search *s) {
  uint32_t depth = 0;
  uint32_t steps = 0;

  s->node[0] = s->from;
  s->at[0] = s->start[s->from];
  s->on_way[s->from] = true;
  for (;;) {
    uint32_t here = s->node[depth];
    if (s->at[depth] == s->start[here + 1]) {
      s->on_way[here] = false;
      if (depth-- == 0)
        return;
      s->way.n--;
      continue;
    }
    uint32_t k = s->touch[s->at[depth]++];
    uint32_t next = other_node(s, k, here);
    if (!may_take(s, k, next))
      continue;
    bool one_too_many = next == s->to && s->paths->list.n == PL_PATHS_MOST;
    if (++steps > PL_PATHS_STEPS || one_too_many) {
      s->paths->more = true;
      return;
    }
    struct pl_path_step step = {k, s->solution->elements[k].node_a != here};
    PL_PUSH(s->arena, &s->way, step);
    if (next == s->to) {
      keep_way(s);
      s->way.n--;
      continue;
    }
    s->node[++depth] = next;
    s->at[depth] = s->start[next];
    s->on_way[next] = true;
  }
}

void pl_probe_paths(const struct pl_harness *harness,
                    const struct pl_network *network,
                    const struct pl_solution *solution,
                    pl_id from,
                    pl_id to,
                    struct pl_arena *arena,
                    struct pl_paths *paths) {
  struct search s = {.network = network,
                     .harness = harness,
                     .solution = solution,
                     .arena = arena,
                     .paths = paths};

  *paths = (struct pl_paths){.through_loads = false};
  s.nodes = pl_network_node_count(network);
  s.from = pl_network_pin_node(network, from);
  s.to = pl_network_pin_node(network, to);
  s.reference = pl_network_reference(network);
  if (solution->status != PL_SOLVED)
    return;
  if (s.from == s.to)
    return;
  s.on_way = PL_NEW_ARRAY(arena, bool, (size_t)s.nodes + 1);
  s.at = PL_NEW_ARRAY(arena, uint32_t, (size_t)s.nodes + 1);
  s.node = PL_NEW_ARRAY(arena, uint32_t, (size_t)s.nodes + 1);
  for (int loads = 0; loads < 2 && paths->list.n == 0 && !paths->more; loads++) {
    s.loads = paths->through_loads = loads == 1;
    list_touches(&s);
    mark_hopeful(&s);
    if (s.hopeful[s.from])
      walk(&s);
  }
}

double pl_probe_step_drop(const struct pl_solution *solution, struct pl_path_step step) {
  const struct pl_element *e = &solution->elements[step.element];
  double drop = solution->node_volts[e->node_a] - solution->node_volts[e->node_b];

  return step.reversed ? -drop : drop;
}
