/* The cone of influence: from a subject outwards over everything that can carry current, in any
 * position of any contact, up to the nets that a pole reaches whatever the switches do; and from
 * each relay contact, output and exciter on to what drives it.  What lies outside cannot change the
 * subject: cutting it off is the cone-of-influence reduction of model checking (Clarke, Grumberg,
 * Peled: Model Checking, from memory).  Breadth first, each net and element once: linear. */
#include "prove/prove_inner.h"

static void add_active(struct pl_proof *proof, struct pl_cone *cone, uint32_t element) {
  if (proof->element_seen[element] == proof->cone_stamp)
    return;
  proof->element_seen[element] = proof->cone_stamp;
  PL_PUSH(proof->arena, &cone->active, element);
}

void pl_cone_init(struct pl_proof *proof, struct pl_cone *cone) {
  *cone = (struct pl_cone){0};
  proof->cone_stamp++;
  for (uint32_t i = 0; i < proof->disconnects.n; i++)
    add_active(proof, cone, proof->disconnects.at[i]);
}

static void add_factor(struct pl_proof *proof,
                       struct pl_cone *cone,
                       enum pl_factor_kind kind,
                       pl_id id,
                       uint32_t value_count,
                       uint32_t at_rest) {
  for (uint32_t i = 0; i < cone->factors.n; i++)
    if (cone->factors.at[i].kind == kind && cone->factors.at[i].id == id)
      return;
  struct pl_factor factor = {kind, id, value_count, at_rest, false};
  if (value_count > 1)
    PL_PUSH(proof->arena, &cone->factors, factor);
}

void pl_cone_add_switch(struct pl_proof *proof, struct pl_cone *cone, pl_id device) {
  const struct pl_device *d = &proof->harness->devices.at[device];
  add_factor(proof, cone, PL_FACTOR_SWITCH, device, d->throws.n, d->rest);
}

struct nets {
  PL_VEC(uint32_t) list;
};

static void enter(struct pl_proof *proof, struct pl_cone *cone, struct nets *todo, uint32_t net) {
  if (proof->net_seen[net] == proof->cone_stamp)
    return;
  proof->net_seen[net] = proof->cone_stamp;
  PL_PUSH(proof->arena, &cone->nets, net);
  if (!proof->live_rail[net] && !proof->earth_rail[net])
    PL_PUSH(proof->arena, &todo->list, net);
}

static void
enter_element(struct pl_proof *proof, struct pl_cone *cone, struct nets *todo, uint32_t k) {
  enter(proof, cone, todo, proof->net[proof->elements[k].node_a]);
  enter(proof, cone, todo, proof->net[proof->elements[k].node_b]);
}

/* What drives a relay's contact or a module's output. */
static void
enter_driver(struct pl_proof *proof, struct pl_cone *cone, struct nets *todo, pl_id id) {
  const struct pl_device *d = &proof->harness->devices.at[id];

  if (proof->device_seen[id] == proof->cone_stamp)
    return;
  proof->device_seen[id] = proof->cone_stamp;
  PL_PUSH(proof->arena, &cone->watch, id);
  if (d->latching)
    add_factor(proof, cone, PL_FACTOR_LATCH, id, 2, 0);
  if (proof->coil[id] != PL_NONE)
    enter_element(proof, cone, todo, proof->coil[id]);
  pl_id resets[] = {d->reset_a, d->reset_b};
  for (int i = 0; i < 2; i++)
    if (resets[i] != PL_NONE)
      enter(proof, cone, todo, proof->net[pl_network_pin_node(proof->network, resets[i])]);
  if (!pl_kind_is(d->kind, PL_IS_MODULE))
    return;
  for (pl_id pin = d->first_pin; pin < pl_pins_end(d); pin++)
    if (proof->harness->pins.at[pin].role == PL_ROLE_KEYED_INPUT ||
        proof->harness->pins.at[pin].role == PL_ROLE_BATTERY_FEED)
      enter(proof, cone, todo, proof->net[pl_network_pin_node(proof->network, pin)]);
}

static void cross(struct pl_proof *proof, struct pl_cone *cone, struct nets *todo, uint32_t k) {
  const struct pl_element *e = &proof->elements[k];
  enum pl_branch branch = pl_branch_at(proof, k);

  if (pl_branch_moves(branch))
    add_active(proof, cone, k);
  if (branch == PL_BRANCH_DIODE && proof->element_seen[k] != proof->cone_stamp) {
    proof->element_seen[k] = proof->cone_stamp;
    PL_PUSH(proof->arena, &cone->diodes, k);
  }
  switch (branch) {
    case PL_BRANCH_THROW:
      if (!pl_device_is(proof->harness, e->device, PL_IS_DISCONNECT))
        pl_cone_add_switch(proof, cone, e->device);
      break;
    case PL_BRANCH_OUTPUT:
      add_factor(proof, cone, PL_FACTOR_OUTPUT, e->pin_a, 2, 0);
      enter_driver(proof, cone, todo, e->device);
      break;
    case PL_BRANCH_MAKE:
    case PL_BRANCH_BREAK:
    case PL_BRANCH_MOTOR:
    case PL_BRANCH_SUPPLY:
    case PL_BRANCH_PULL:
      enter_driver(proof, cone, todo, e->device);
      break;
    case PL_BRANCH_EXCITER:
    case PL_BRANCH_TURNING:
    case PL_BRANCH_STANDING:
      add_factor(proof, cone, PL_FACTOR_ENGINE, PL_NONE, 2, 0);
      break;
    case PL_BRANCH_JOINT:
    case PL_BRANCH_LOAD:
    case PL_BRANCH_DIODE:
    case PL_BRANCH_BATTERY:
      break; /* nothing drives them */
  }
  if (!pl_branch_is_source(branch))
    enter_element(proof, cone, todo, k);
}

static void walk(struct pl_proof *proof, struct pl_cone *cone, struct nets *todo) {
  for (uint32_t i = 0; i < todo->list.n; i++) {
    uint32_t net = todo->list.at[i];
    for (uint32_t j = proof->start[net]; j < proof->start[net + 1]; j++)
      cross(proof, cone, todo, proof->around[j]);
  }
}

void pl_cone_add_element(struct pl_proof *proof, struct pl_cone *cone, uint32_t element) {
  struct nets todo = {0};
  enter_element(proof, cone, &todo, element);
  pl_id device = proof->elements[element].device;
  if (device != PL_NONE &&
      (proof->coil[device] == element || pl_device_is(proof->harness, device, PL_IS_MODULE)))
    enter_driver(proof, cone, &todo, device);
  walk(proof, cone, &todo);
}

void pl_cone_add_node(struct pl_proof *proof, struct pl_cone *cone, uint32_t node) {
  struct nets todo = {0};
  enter(proof, cone, &todo, proof->net[node]);
  walk(proof, cone, &todo);
}

bool pl_prove_is_declared_on(const struct pl_harness *harness, pl_id pin) {
  for (pl_id s = 0; s < harness->states.n; s++)
    for (uint32_t i = 0; i < harness->states.at[s].outputs_on.n; i++)
      if (harness->states.at[s].outputs_on.at[i] == pin)
        return true;
  return false;
}
