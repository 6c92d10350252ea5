/* The network as joints and branches: which kind each element is, what the joints alone tie
 * together, which way current usually runs. */
#include <math.h>
#include <string.h>

#include "prove/prove_inner.h"

static bool is_what(const struct pl_element *e, const char *what) {
  return strcmp(e->what, what) == 0;
}

static bool joins(const pl_joins *list, pl_id a, pl_id b) {
  for (uint32_t i = 0; i < list->n; i++) {
    const struct pl_join *join = &list->at[i];
    if (join->a == a && join->b == b)
      return true;
    if (join->a == b && join->b == a)
      return true;
  }
  return false;
}

/* A contact of a switch or relay; anything else that is a contact always joins. */
static enum pl_branch contact_branch(struct pl_proof *proof, uint32_t k) {
  const struct pl_element *e = &proof->elements[k];
  const struct pl_device *d = &proof->harness->devices.at[e->device];
  bool any = false;

  if (pl_kind_is(d->kind, PL_IS_MODULE))
    return is_what(e, "output") ? PL_BRANCH_OUTPUT : PL_BRANCH_JOINT;
  if (!is_what(e, "contact"))
    return PL_BRANCH_JOINT;
  if (pl_kind_is(d->kind, PL_IS_RELAY) || d->make.n + d->brk.n > 0) {
    if (joins(&d->make, e->pin_a, e->pin_b))
      return PL_BRANCH_MAKE;
    if (joins(&d->brk, e->pin_a, e->pin_b))
      return PL_BRANCH_BREAK;
  }
  if (d->throws.n == 0)
    return PL_BRANCH_JOINT;
  proof->closed_in[k] = PL_NEW_ARRAY(proof->arena, bool, d->throws.n);
  for (uint32_t t = 0; t < d->throws.n; t++) {
    proof->closed_in[k][t] = joins(&d->throws.at[t].joins, e->pin_a, e->pin_b);
    if (proof->closed_in[k][t])
      any = true;
  }
  return any ? PL_BRANCH_THROW : PL_BRANCH_JOINT;
}

static enum pl_branch source_branch(const struct pl_element *e) {
  if (is_what(e, "battery"))
    return PL_BRANCH_BATTERY;
  if (is_what(e, "alternator"))
    return PL_BRANCH_TURNING;
  if (is_what(e, "exciter"))
    return PL_BRANCH_EXCITER;
  return is_what(e, "pull-up") ? PL_BRANCH_PULL : PL_BRANCH_SUPPLY;
}

static enum pl_branch branch_of(struct pl_proof *proof, uint32_t k) {
  const struct pl_element *e = &proof->elements[k];

  switch (e->kind) {
    case PL_ELEMENT_WIRE:
      return PL_BRANCH_JOINT;
    case PL_ELEMENT_CONTACT:
      return contact_branch(proof, k);
    case PL_ELEMENT_SOURCE:
      return source_branch(e);
    case PL_ELEMENT_DIODE:
      return PL_BRANCH_DIODE;
    case PL_ELEMENT_RESISTANCE:
      if (is_what(e, "motor"))
        return PL_BRANCH_MOTOR;
      return is_what(e, "exciter") ? PL_BRANCH_STANDING : PL_BRANCH_LOAD;
    case PL_ELEMENT_CURRENT:
      break;
  }
  return PL_BRANCH_LOAD;
}

/* ---- nets ---- */

static uint32_t root_of(uint32_t *parent, uint32_t n) {
  while (parent[n] != n) {
    parent[n] = parent[parent[n]];
    n = parent[n];
  }
  return n;
}

static void unite(uint32_t *parent, uint32_t a, uint32_t b) {
  a = root_of(parent, a);
  b = root_of(parent, b);
  if (a < b)
    parent[b] = a;
  else
    parent[a] = b;
}

static uint32_t unearthed(const struct pl_proof *proof, const struct pl_element *e) {
  if (proof->harness->machine.positive_earth)
    return e->node_b;
  return e->node_a;
}

/* The unearthed post of a battery: any of them is live. */
static uint32_t live_node(const struct pl_proof *proof) {
  for (uint32_t i = 0; i < proof->sources.n; i++)
    if (proof->branch[proof->sources.at[i]] == PL_BRANCH_BATTERY)
      return unearthed(proof, &proof->elements[proof->sources.at[i]]);
  return PL_NONE;
}

static bool is_fault_open(const struct pl_proof *proof, const struct pl_fault *fault, uint32_t k) {
  const struct pl_element *e = &proof->elements[k];

  if (fault == NULL || fault->kind != PL_FAULT_OPEN)
    return false;
  if (fault->wire != PL_NONE)
    return e->wire == fault->wire;
  if (fault->device == PL_NONE)
    return false;
  if (e->device != fault->device)
    return false;
  enum pl_kind kind = proof->harness->devices.at[fault->device].kind;
  if (pl_kind_is(kind, PL_IS_RELAY))
    return proof->coil[fault->device] == k;
  if (pl_kind_is(kind, PL_IS_STARTER))
    return is_what(e, "motor");
  return !pl_kind_is_load(kind) || is_what(e, "load");
}

/* The two nodes of a device that is shorted inside. */
static void ends_of(const struct pl_proof *proof, pl_id device, uint32_t *a, uint32_t *b) {
  for (uint32_t k = 0; k < proof->element_count; k++) {
    if (proof->elements[k].device != device)
      continue;
    if (proof->branch[k] != PL_BRANCH_LOAD && proof->branch[k] != PL_BRANCH_DIODE)
      continue;
    *a = proof->elements[k].node_a;
    *b = proof->elements[k].node_b;
    return;
  }
}

static void fault_joins(struct pl_proof *proof, const struct pl_fault *fault, uint32_t *parent) {
  uint32_t a = PL_NONE;
  if (fault->pin_a != PL_NONE)
    a = pl_network_pin_node(proof->network, fault->pin_a);
  uint32_t b = PL_NONE;

  if (fault->kind == PL_FAULT_TO_CHASSIS)
    b = proof->reference;
  if (fault->kind == PL_FAULT_TO_BATTERY)
    b = live_node(proof);
  if (fault->kind == PL_FAULT_SHORTED && fault->device != PL_NONE)
    ends_of(proof, fault->device, &a, &b);
  if (fault->kind == PL_FAULT_SHORTED && fault->pin_b != PL_NONE)
    b = pl_network_pin_node(proof->network, fault->pin_b);
  if (a != PL_NONE && b != PL_NONE)
    unite(parent, a, b);
}

static void list_around(struct pl_proof *proof) {
  memset(proof->start, 0, ((size_t)proof->node_count + 2) * sizeof *proof->start);
  for (uint32_t k = 0; k < proof->element_count; k++) {
    if (proof->branch[k] == PL_BRANCH_JOINT)
      continue;
    proof->start[proof->net_a[k] + 2]++;
    proof->start[proof->net_b[k] + 2]++;
  }
  for (uint32_t n = 0; n < proof->net_count; n++)
    proof->start[n + 2] += proof->start[n + 1];
  for (uint32_t k = 0; k < proof->element_count; k++) {
    if (proof->branch[k] == PL_BRANCH_JOINT)
      continue;
    proof->around[proof->start[proof->net_a[k] + 1]++] = k;
    proof->around[proof->start[proof->net_b[k] + 1]++] = k;
  }
}

/* Nets that a pole reaches whatever the switches do, with disconnects at rest. */
static void find_rails(struct pl_proof *proof, uint32_t *parent) {
  for (uint32_t i = 0; i < proof->moving.n; i++) {
    uint32_t k = proof->moving.at[i];
    const struct pl_element *e = &proof->elements[k];
    if (proof->branch[k] != PL_BRANCH_THROW)
      continue;
    const struct pl_device *d = &proof->harness->devices.at[e->device];
    if (pl_kind_is(d->kind, PL_IS_DISCONNECT) && proof->closed_in[k][d->rest])
      unite(parent, e->node_a, e->node_b);
  }
  for (uint32_t n = 0; n < proof->net_count; n++)
    proof->live_rail[n] = proof->earth_rail[n] = false;
  for (uint32_t n = 0; n < proof->node_count; n++) {
    uint32_t root = root_of(parent, n);
    if (proof->reference != PL_NONE && root == root_of(parent, proof->reference))
      proof->earth_rail[proof->net[n]] = true;
    for (uint32_t i = 0; i < proof->sources.n; i++) {
      uint32_t k = proof->sources.at[i];
      if (proof->branch[k] != PL_BRANCH_BATTERY)
        continue;
      if (root != root_of(parent, unearthed(proof, &proof->elements[k])))
        continue;
      proof->live_rail[proof->net[n]] = true;
    }
  }
}

static void mark_poles(struct pl_proof *proof) {
  for (int turning = 0; turning < 2; turning++) {
    memset(proof->base[turning], 0, proof->net_count);
    if (proof->reference != PL_NONE)
      proof->base[turning][proof->net[proof->reference]] = PL_POLE_EARTH;
    for (uint32_t i = 0; i < proof->sources.n; i++) {
      uint32_t k = proof->sources.at[i];
      if (proof->broken[k])
        continue;
      if (proof->branch[k] == PL_BRANCH_TURNING && turning == 0)
        continue;
      proof->base[turning][proof->net[unearthed(proof, &proof->elements[k])]] |= PL_POLE_LIVE;
    }
  }
}

void pl_proof_nets(struct pl_proof *proof, const struct pl_fault *fault) {
  uint32_t *parent = proof->queue;

  for (uint32_t n = 0; n < proof->node_count; n++)
    parent[n] = n;
  for (uint32_t k = 0; k < proof->element_count; k++) {
    proof->broken[k] = is_fault_open(proof, fault, k);
    if (proof->branch[k] == PL_BRANCH_JOINT && !proof->broken[k])
      unite(parent, proof->elements[k].node_a, proof->elements[k].node_b);
  }
  if (fault != NULL)
    fault_joins(proof, fault, parent);
  proof->net_count = 0;
  for (uint32_t n = 0; n < proof->node_count; n++)
    if (root_of(parent, n) == n)
      proof->net[n] = proof->net_count++;
  for (uint32_t n = 0; n < proof->node_count; n++)
    proof->net[n] = proof->net[root_of(parent, n)];
  for (uint32_t k = 0; k < proof->element_count; k++) {
    proof->net_a[k] = proof->net[proof->elements[k].node_a];
    proof->net_b[k] = proof->net[proof->elements[k].node_b];
  }
  mark_poles(proof);
  list_around(proof);
  if (fault == NULL)
    find_rails(proof, parent);
}

static void find_usual(struct pl_proof *proof) {
  static const double some = 1e-3; /* amps: less is a leak */

  for (pl_id s = 0; s < proof->harness->states.n; s++) {
    if (proof->solutions[s].status != PL_SOLVED)
      continue;
    for (uint32_t k = 0; k < proof->element_count; k++) {
      double amps = proof->solutions[s].elements[k].amps;
      if (fabs(amps) > some)
        proof->usual[k] |= amps > 0 ? 1 : 2;
    }
  }
}

const pl_faults *pl_proof_faults(struct pl_proof *proof) {
  pl_faults all;

  if (proof->faults.n > 0)
    return &proof->faults;
  pl_faults_list(proof->harness, proof->arena, &all);
  for (uint32_t i = 0; i < all.n; i++)
    if (all.at[i].kind != PL_FAULT_RESISTANCE)
      PL_PUSH(proof->arena, &proof->faults, all.at[i]);
  return &proof->faults;
}

/* ---- the whole ---- */

static bool is_switching(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_COIL | PL_IS_MODULE);
}

static void list_wakes(struct pl_proof *proof, pl_id id) {
  const struct pl_device *d = &proof->harness->devices.at[id];

  for (pl_id pin = d->first_pin; pin < pl_pins_end(d); pin++) {
    if (proof->harness->pins.at[pin].role == PL_ROLE_KEYED_INPUT)
      PL_PUSH(proof->arena, &proof->wakes[id], pin);
    if (pl_pin_keeps_alive(proof->harness, pin))
      PL_PUSH(proof->arena, &proof->feeds[id], pin);
  }
}

static bool is_module_ground(const struct pl_element *e) {
  if (is_what(e, "ground"))
    return true;
  if (is_what(e, "keyed input"))
    return true;
  return is_what(e, "draw");
}

static void sort_out(struct pl_proof *proof) {
  for (uint32_t k = 0; k < proof->element_count; k++) {
    const struct pl_element *e = &proof->elements[k];
    proof->branch[k] = (uint8_t)branch_of(proof, k);
    enum pl_branch branch = pl_branch_at(proof, k);
    if (pl_branch_moves(branch))
      PL_PUSH(proof->arena, &proof->moving, k);
    if (branch == PL_BRANCH_THROW && pl_device_is(proof->harness, e->device, PL_IS_DISCONNECT))
      PL_PUSH(proof->arena, &proof->disconnects, k);
    if (pl_branch_is_source(branch))
      PL_PUSH(proof->arena, &proof->sources, k);
    if (e->kind == PL_ELEMENT_RESISTANCE && is_what(e, "coil"))
      proof->coil[e->device] = k;
    if (is_module_ground(e))
      proof->ground[e->device] = e->node_b;
  }
}

struct pl_proof *pl_proof_new(const struct pl_harness *harness,
                              struct pl_network *network,
                              const struct pl_solution *solutions,
                              struct pl_arena *arena) {
  struct pl_proof *proof = PL_NEW(arena, struct pl_proof);
  size_t nodes = pl_network_node_count(network);
  size_t devices = harness->devices.n;

  *proof = (struct pl_proof){.harness = harness,
                             .network = network,
                             .solutions = solutions,
                             .arena = arena};
  proof->node_count = (uint32_t)nodes;
  proof->reference = pl_network_reference(network);
  const struct pl_solution *any = solutions;
  if (harness->states.n == 0) {
    pl_network_solve(network, PL_NONE, &proof->exact, NULL);
    any = &proof->exact;
  }
  proof->elements = any->elements;
  proof->element_count = any->element_count;
  proof->branch = PL_NEW_ARRAY(arena, uint8_t, proof->element_count);
  proof->closed_in = PL_NEW_ARRAY(arena, bool *, proof->element_count);
  proof->usual = PL_NEW_ARRAY(arena, uint8_t, proof->element_count);
  proof->broken = PL_NEW_ARRAY(arena, bool, proof->element_count);
  proof->coil = PL_NEW_ARRAY(arena, uint32_t, devices);
  proof->ground = PL_NEW_ARRAY(arena, uint32_t, devices);
  proof->wakes = PL_NEW_ARRAY(arena, pl_ids, devices);
  proof->feeds = PL_NEW_ARRAY(arena, pl_ids, devices);
  for (pl_id d = 0; d < devices; d++) {
    proof->coil[d] = proof->ground[d] = PL_NONE;
    if (is_switching(harness->devices.at[d].kind))
      PL_PUSH(arena, &proof->switching, d);
    if (pl_device_is(harness, d, PL_IS_MODULE))
      list_wakes(proof, d);
  }
  proof->net = PL_NEW_ARRAY(arena, uint32_t, nodes);
  proof->net_a = PL_NEW_ARRAY(arena, uint32_t, proof->element_count);
  proof->net_b = PL_NEW_ARRAY(arena, uint32_t, proof->element_count);
  proof->identity = PL_NEW_ARRAY(arena, uint32_t, nodes);
  for (uint32_t n = 0; n < nodes; n++)
    proof->identity[n] = n;
  proof->base[0] = PL_NEW_ARRAY(arena, uint8_t, nodes);
  proof->base[1] = PL_NEW_ARRAY(arena, uint8_t, nodes);
  proof->start = PL_NEW_ARRAY(arena, uint32_t, nodes + 2);
  proof->around = PL_NEW_ARRAY(arena, uint32_t, 2 * (size_t)proof->element_count);
  proof->live_rail = PL_NEW_ARRAY(arena, bool, nodes);
  proof->earth_rail = PL_NEW_ARRAY(arena, bool, nodes);
  proof->root = PL_NEW_ARRAY(arena, uint32_t, nodes);
  proof->pole = PL_NEW_ARRAY(arena, uint8_t, nodes);
  proof->queue = PL_NEW_ARRAY(arena, uint32_t, nodes);
  proof->net_seen = PL_NEW_ARRAY(arena, uint32_t, nodes);
  proof->device_seen = PL_NEW_ARRAY(arena, uint32_t, devices);
  proof->element_seen = PL_NEW_ARRAY(arena, uint32_t, proof->element_count);
  proof->mark = PL_NEW_ARRAY(arena, uint32_t, nodes);
  proof->look.position = PL_NEW_ARRAY(arena, uint32_t, devices);
  proof->look.on = PL_NEW_ARRAY(arena, bool, devices);
  proof->look.doubted = PL_NEW_ARRAY(arena, bool, devices);
  proof->look.set = PL_NEW_ARRAY(arena, bool, devices);
  proof->look.output_on = PL_NEW_ARRAY(arena, bool, harness->pins.n);
  sort_out(proof);
  pl_proof_nets(proof, NULL);
  find_usual(proof);
  proof->watch = proof->switching;
  proof->active = proof->moving;
  for (pl_id d = 0; d < devices; d++)
    proof->look.position[d] = harness->devices.at[d].rest;
  pl_look(proof);
  proof->dead_at_rest = proof->look.shorted;
  return proof;
}
