/* The quick look at one combination: joints and closed contacts make nets, nets hang on a pole or
 * not, coils between both poles pull in, until nothing changes.  What hangs on a pole only through
 * other loads is in doubt: the network solves that combination.
 *
 * Union-find (Tarjan 1975) over nets that are numbered once for each fault, so that a look touches
 * only the contacts and outputs of the cone: nearly linear in them.  Coils feed back on contacts;
 * rounds are repeated until no coil changes, ROUNDS at most, else it is in doubt. */
#include <math.h>
#include <string.h>

#include "prove/prove_inner.h"

enum {
  LIVE = PL_POLE_LIVE,
  EARTH = PL_POLE_EARTH,
  ROUNDS = 12 /* beside one for each device: then relays chase each other */
};

static uint32_t root_of(uint32_t *parent, uint32_t n) {
  while (parent[n] != n) {
    parent[n] = parent[parent[n]];
    n = parent[n];
  }
  return n;
}

static uint32_t net_a(const struct pl_proof *proof, uint32_t k) {
  return proof->net_a[k];
}
static uint32_t net_b(const struct pl_proof *proof, uint32_t k) {
  return proof->net_b[k];
}

/* ---- what is closed ---- */

const struct pl_fault *
pl_prove_fault_at(const struct pl_proof *proof, enum pl_fault_kind kind, pl_id device) {
  const struct pl_fault *fault = proof->look.fault;
  if (fault != NULL && fault->kind == kind && fault->device == device)
    return fault;
  return NULL;
}

static bool output_conducts(const struct pl_proof *proof, const struct pl_element *e) {
  const struct pl_fault *fault = proof->look.fault;
  bool mine = fault != NULL &&
              (fault->pin_a == e->pin_a || (fault->pin_a == PL_NONE && fault->device == e->device));

  if (mine && fault->kind == PL_FAULT_STUCK_ON)
    return true;
  if (mine && fault->kind == PL_FAULT_STUCK_OFF)
    return false;
  if (!proof->look.on[e->device])
    return false;
  return proof->look.output_on[e->pin_a];
}

bool pl_look_closed(const struct pl_proof *proof, uint32_t k) {
  const struct pl_element *e = &proof->elements[k];

  if (proof->broken[k])
    return false;
  switch (pl_branch_at(proof, k)) {
    case PL_BRANCH_THROW: {
      const struct pl_fault *held = pl_prove_fault_at(proof, PL_FAULT_STUCK_POSITION, e->device);
      return proof->closed_in[k][held != NULL ? held->position : proof->look.position[e->device]];
    }
    case PL_BRANCH_MAKE:
      return proof->look.on[e->device];
    case PL_BRANCH_BREAK:
      return !proof->look.on[e->device];
    case PL_BRANCH_OUTPUT:
      return output_conducts(proof, e);
    case PL_BRANCH_JOINT:
    case PL_BRANCH_MOTOR:
    case PL_BRANCH_LOAD:
    case PL_BRANCH_STANDING:
    case PL_BRANCH_DIODE:
    case PL_BRANCH_BATTERY:
    case PL_BRANCH_TURNING:
    case PL_BRANCH_EXCITER:
    case PL_BRANCH_SUPPLY:
    case PL_BRANCH_PULL:
      break; /* nothing in them moves */
  }
  return true;
}

/* ---- nets, poles, coils ---- */

static void gather(struct pl_proof *proof, uint32_t n) {
  proof->root[n] = root_of(proof->root, n);
  proof->pole[proof->root[n]] |= proof->pole[n];
}

static void unite(struct pl_proof *proof) {
  memcpy(proof->root, proof->identity, proof->net_count * sizeof *proof->root);
  memcpy(proof->pole, proof->base[proof->look.turning], proof->net_count);
  for (uint32_t i = 0; i < proof->active.n; i++) {
    uint32_t k = proof->active.at[i];
    if (!pl_look_closed(proof, k))
      continue;
    uint32_t a = root_of(proof->root, net_a(proof, k));
    uint32_t b = root_of(proof->root, net_b(proof, k));
    if (a < b)
      proof->root[b] = a;
    else
      proof->root[a] = b;
  }
  for (uint32_t i = 0; i < proof->active.n; i++) {
    gather(proof, net_a(proof, proof->active.at[i]));
    gather(proof, net_b(proof, proof->active.at[i]));
  }
}

bool pl_look_is_firm(const struct pl_proof *proof, uint32_t k) {
  uint8_t a = proof->pole[proof->root[net_a(proof, k)]];
  uint8_t b = proof->pole[proof->root[net_b(proof, k)]];

  if (proof->broken[k])
    return false;
  if (a == b)
    return false;
  return (a | b) == (LIVE | EARTH);
}

static bool
leads_to(struct pl_proof *proof, uint32_t n, uint8_t pole, uint32_t but, uint32_t but_net);

uint8_t pl_prove_plus(const struct pl_proof *proof) {
  if (proof->harness->machine.positive_earth)
    return EARTH;
  return LIVE;
}

/* Is one of the pins at plus, or is there none?  `may`: or may be, by current through other loads.
 */
static bool is_any_up(struct pl_proof *proof, const pl_ids *pins, bool may) {
  uint8_t plus = pl_prove_plus(proof);

  for (uint32_t i = 0; i < pins->n; i++) {
    uint32_t net = proof->net[pl_network_pin_node(proof->network, pins->at[i])];
    if (proof->pole[proof->root[net]] == plus)
      return true;
    if (may && leads_to(proof, net, plus, PL_NONE, PL_NONE))
      return true;
  }
  return pins->n == 0;
}

/* Firmly awake: fed, grounded and woken; `doubt` when given: may be, by current through other
 * loads. */
static bool module_on(struct pl_proof *proof, pl_id id, bool *doubt) {
  const pl_ids *wakes = &proof->wakes[id];
  const pl_ids *feeds = &proof->feeds[id];
  uint8_t plus = pl_prove_plus(proof);
  bool grounded = proof->ground[id] != PL_NONE &&
                  proof->pole[proof->root[proof->net[proof->ground[id]]]] == (LIVE | EARTH) - plus;

  if (wakes->n + feeds->n == 0)
    return true;
  bool on = grounded && is_any_up(proof, wakes, false) && is_any_up(proof, feeds, false);
  if (doubt != NULL)
    *doubt = !on && is_any_up(proof, wakes, true) && is_any_up(proof, feeds, true);
  return on;
}

static bool is_on(struct pl_proof *proof, pl_id id) {
  if (pl_prove_fault_at(proof, PL_FAULT_STUCK_IN, id) != NULL)
    return true;
  if (pl_prove_fault_at(proof, PL_FAULT_STUCK_OUT, id) != NULL)
    return false;
  if (pl_device_is(proof->harness, id, PL_IS_MODULE))
    return module_on(proof, id, NULL);
  if (proof->look.set[id])
    return true;
  if (proof->coil[id] == PL_NONE)
    return false;
  return pl_look_is_firm(proof, proof->coil[id]);
}

static bool is_doubtful(struct pl_proof *proof, pl_id id) {
  bool doubt = false;

  if (proof->look.on[id])
    return false;
  if (pl_prove_fault_at(proof, PL_FAULT_STUCK_OUT, id) != NULL)
    return false;
  if (pl_device_is(proof->harness, id, PL_IS_MODULE))
    module_on(proof, id, &doubt);
  else
    doubt = proof->coil[id] != PL_NONE && pl_look_may_carry(proof, proof->coil[id]);
  return doubt;
}

static bool is_shorted(const struct pl_proof *proof) {
  for (uint32_t i = 0; i < proof->sources.n; i++) {
    uint32_t k = proof->sources.at[i];
    if (proof->pole[proof->root[net_a(proof, k)]] == (LIVE | EARTH))
      return true;
    if (proof->pole[proof->root[net_b(proof, k)]] == (LIVE | EARTH))
      return true;
  }
  return false;
}

void pl_look(struct pl_proof *proof) {
  struct pl_look *look = &proof->look;
  bool moved = true;
  bool sagged = false; /* a short on the way to rest: what pulls in then, only the solver knows */

  for (uint32_t i = 0; i < proof->watch.n; i++)
    look->on[proof->watch.at[i]] = look->doubted[proof->watch.at[i]] = false;
  for (uint32_t round = 0; moved && round < ROUNDS + proof->watch.n; round++) {
    moved = false;
    unite(proof);
    for (uint32_t i = 0; i < proof->watch.n; i++)
      look->doubted[proof->watch.at[i]] =
          look->doubted[proof->watch.at[i]] || is_doubtful(proof, proof->watch.at[i]);
    for (uint32_t i = 0; i < proof->watch.n; i++) {
      pl_id id = proof->watch.at[i];
      bool on = is_on(proof, id);
      if (on != look->on[id])
        moved = true;
      look->on[id] = on;
    }
    sagged = sagged || (moved && is_shorted(proof));
  }
  look->unsure = moved || sagged;
  for (uint32_t i = 0; i < proof->watch.n && !look->unsure; i++) {
    pl_id id = proof->watch.at[i];
    look->unsure = proof->harness->devices.at[id].latching || (look->doubted[id] && !look->on[id]);
  }
  look->shorted = !look->unsure && is_shorted(proof);
}

bool pl_look_as_solved(struct pl_proof *proof, const struct pl_solution *solution) {
  for (uint32_t i = 0; i < proof->watch.n; i++)
    proof->look.on[proof->watch.at[i]] = solution->device_on[proof->watch.at[i]];
  unite(proof);
  return !is_shorted(proof);
}

bool pl_look_shorts_elsewhere(struct pl_proof *proof, const struct pl_solution *solution) {
  pl_ids watch = proof->watch;
  pl_ids active = proof->active;

  proof->watch = proof->switching;
  proof->active = proof->moving;
  bool shorted = !pl_look_as_solved(proof, solution);
  proof->watch = watch;
  proof->active = active;
  return shorted;
}

/* ---- ways through other loads ---- */

/* The net on the other side when current can pass k, seen from net n; PL_NONE.  `up`: the walk goes
 * against the current. */
static uint32_t pass(const struct pl_proof *proof, uint32_t k, uint32_t n, bool up, bool *source) {
  uint32_t a = net_a(proof, k);
  uint32_t b = net_b(proof, k);
  uint32_t other = a == n ? b : a;
  const struct pl_element *e = &proof->elements[k];

  if (proof->broken[k])
    return PL_NONE;
  switch (pl_branch_at(proof, k)) {
    case PL_BRANCH_JOINT:
    case PL_BRANCH_LOAD:
    case PL_BRANCH_STANDING:
      return other; /* an alternator may turn without being excited */
    case PL_BRANCH_THROW:
    case PL_BRANCH_MAKE:
    case PL_BRANCH_BREAK:
    case PL_BRANCH_OUTPUT:
      return pl_look_closed(proof, k) ? other : PL_NONE;
    case PL_BRANCH_MOTOR:
      return proof->look.on[e->device] ? other : PL_NONE;
    case PL_BRANCH_DIODE:
      return (b == n) == up ? other : PL_NONE;
    case PL_BRANCH_EXCITER:
      *source = up && a == n && proof->look.turning;
      return PL_NONE;
    case PL_BRANCH_SUPPLY:
      *source = up && a == n && proof->look.on[e->device];
      return PL_NONE;
    case PL_BRANCH_PULL:
      *source = up && a == n && proof->look.on[e->device];
      return other;
    case PL_BRANCH_BATTERY:
    case PL_BRANCH_TURNING:
      break;
  }
  return PL_NONE;
}

/* Is there a way from net n to the pole, not over element `but`, not through net `but_net` (its
 * other end) and not through the other pole? */
static bool
leads_to(struct pl_proof *proof, uint32_t n, uint8_t pole, uint32_t but, uint32_t but_net) {
  uint32_t head = 0;
  uint32_t tail = 0;
  bool up = pole == pl_prove_plus(proof);

  proof->stamp++;
  proof->queue[tail++] = n;
  proof->mark[n] = proof->stamp;
  if (but_net != PL_NONE)
    proof->mark[but_net] = proof->stamp;
  while (head < tail) {
    n = proof->queue[head++];
    uint8_t here = proof->pole[proof->root[n]];
    if (here & pole)
      return true;
    if (here != 0)
      continue;
    for (uint32_t i = proof->start[n]; i < proof->start[n + 1]; i++) {
      uint32_t k = proof->around[i];
      bool source = false;
      if (k == but)
        continue;
      uint32_t other = pass(proof, k, n, up, &source);
      if (source)
        return true;
      if (other == PL_NONE)
        continue;
      if (proof->mark[other] == proof->stamp)
        continue;
      proof->mark[other] = proof->stamp;
      proof->queue[tail++] = other;
    }
  }
  return false;
}

bool pl_look_may_carry(struct pl_proof *proof, uint32_t k) {
  uint32_t a = net_a(proof, k);
  uint32_t b = net_b(proof, k);

  if (proof->broken[k] || a == b)
    return false;
  if (pl_look_is_firm(proof, k))
    return true;
  if (leads_to(proof, a, LIVE, k, b) && leads_to(proof, b, EARTH, k, a))
    return true;
  if (!leads_to(proof, b, LIVE, k, a))
    return false;
  return leads_to(proof, a, EARTH, k, b);
}

bool pl_look_may_be_live(struct pl_proof *proof, uint32_t node) {
  return leads_to(proof, proof->net[node], LIVE, PL_NONE, PL_NONE);
}

bool pl_look_may_be_earthed(struct pl_proof *proof, uint32_t node) {
  return leads_to(proof, proof->net[node], EARTH, PL_NONE, PL_NONE);
}

/* ---- the network's answer ---- */

/* The combination as a state; its arrays are used again. */
static const struct pl_state *state_of_look(struct pl_proof *proof) {
  const struct pl_harness *harness = proof->harness;
  struct pl_state *state = &proof->asked;

  if (state->name == NULL)
    *state = pl_state_blank();
  state->settings.n = state->set.n = state->outputs_on.n = 0;
  state->name = state->title = "";
  state->lasts = INFINITY;
  if (proof->look.turning)
    state->engine = PL_ENGINE_IDLE;
  else
    state->engine = PL_ENGINE_STOPPED;
  for (pl_id d = 0; d < harness->devices.n; d++) {
    if (harness->devices.at[d].throws.n > 0) {
      struct pl_setting setting = {.device = d,
                                   .position = proof->look.position[d],
                                   .span = PL_NO_SPAN};
      PL_PUSH(proof->arena, &state->settings, setting);
    }
    bool excited = proof->look.turning &&
                   pl_device_is(harness, d, PL_IS_GENERATOR); /* once it was, it stays */
    if (proof->look.set[d] || excited)
      PL_PUSH(proof->arena, &state->set, d);
  }
  for (pl_id p = 0; p < harness->pins.n; p++)
    if (proof->look.output_on[p])
      PL_PUSH(proof->arena, &state->outputs_on, p);
  return state;
}

const struct pl_solution *pl_look_solve(struct pl_proof *proof) {
  if (proof->solves >= PL_PROVE_SOLVES)
    return NULL;
  proof->solves++;
  const struct pl_state *state = state_of_look(proof);
  if (proof->look.fault != NULL) {
    pl_network_ask_fault(proof->network, state, proof->look.fault, &proof->faulty);
    return &proof->faulty;
  }
  pl_network_solve_again(proof->network, state, &proof->exact, NULL);
  return &proof->exact;
}
