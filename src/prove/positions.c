/* What is known of all combinations of a set: three-valued contacts, the nets that are surely
 * joined, the relays that may be and surely are on.
 *
 * The bounds are those of the state the machine comes to rest in, from rest: `may` grows from
 * nothing with every contact that is not surely open (a break contact is closed until its relay
 * pulls in), so that a relay that only holds itself is never in it; `must` grows from nothing with
 * the contacts that are surely closed; then what no way is left for leaves `may`, which closes
 * break contacts, and so on until nothing changes.  Each step is linear in the cone. */
#include <math.h>
#include <string.h>

#include "prove/positions_inner.h"
#include "prove/positions_way_inner.h"
#include "standard/defaults.h"

enum {
  LIVE = PL_POLE_LIVE,
  EARTH = PL_POLE_EARTH,
  ROUNDS = 16 /* of leaving `may`; fewer are less exact, not wrong */
};

/* ---- sets of values ---- */

bool pl_value_in(const struct pl_positions *p, const uint64_t *left, uint32_t f, uint32_t value) {
  return (left[p->first[f] + value / 64] >> (value % 64) & 1) != 0;
}

static void put_value(const struct pl_positions *p, uint64_t *left, uint32_t f, uint32_t value) {
  left[p->first[f] + value / 64] |= (uint64_t)1 << (value % 64);
}

uint32_t pl_value_count(const struct pl_positions *p, const uint64_t *left, uint32_t f) {
  uint32_t n = 0;

  for (uint32_t value = 0; value < p->cone->factors.at[f].value_count; value++)
    n += pl_value_in(p, left, f, value);
  return n;
}

static enum pl_hold hold_of(bool some_closed, bool some_open) {
  if (!some_open)
    return PL_HOLD_CLOSED;
  if (some_closed)
    return PL_HOLD_MAYBE;
  return PL_HOLD_OPEN;
}

static bool
is_value_closed(const struct pl_positions *p, const struct pl_split *split, uint32_t value) {
  if (split->by_contact)
    return p->proof->closed_in[split->element][value];
  return value == 1;
}

void pl_positions_cut(const struct pl_positions *p,
                      const struct pl_split *split,
                      const uint64_t *left,
                      uint64_t *closed,
                      uint64_t *open) {
  uint32_t f = split->factor;

  memcpy(closed, left, p->words * sizeof *left);
  memcpy(open, left, p->words * sizeof *left);
  for (uint32_t w = p->first[f]; w < p->first[f + 1]; w++)
    closed[w] = open[w] = 0;
  for (uint32_t value = 0; value < p->cone->factors.at[f].value_count; value++)
    if (pl_value_in(p, left, f, value))
      put_value(p, is_value_closed(p, split, value) ? closed : open, f, value);
}

/* A factor with two values, not tried: at rest. */
static enum pl_hold two_values(const struct pl_positions *p, uint32_t factor, bool rest) {
  if (factor == PL_NONE)
    return hold_of(rest, !rest);
  return hold_of(pl_value_in(p, p->left, factor, 1), pl_value_in(p, p->left, factor, 0));
}

/* ---- contacts ---- */

static enum pl_hold throw_hold(const struct pl_positions *p, uint32_t k) {
  const struct pl_proof *proof = p->proof;
  pl_id device = proof->elements[k].device;
  const bool *closed_in = proof->closed_in[k];
  const struct pl_fault *held = pl_prove_fault_at(p->proof, PL_FAULT_STUCK_POSITION, device);
  uint32_t f = p->switch_factor[device];
  bool closed = false;
  bool open = false;

  if (held != NULL)
    return closed_in[held->position] ? PL_HOLD_CLOSED : PL_HOLD_OPEN;
  if (f == PL_NONE)
    return closed_in[proof->look.position[device]] ? PL_HOLD_CLOSED : PL_HOLD_OPEN;
  for (uint32_t value = 0; value < p->cone->factors.at[f].value_count; value++) {
    if (!pl_value_in(p, p->left, f, value))
      continue;
    closed = closed || closed_in[value];
    open = open || !closed_in[value];
  }
  return hold_of(closed, open);
}

static enum pl_hold output_hold(const struct pl_positions *p, const struct pl_element *e) {
  const struct pl_fault *fault = p->proof->look.fault;
  bool mine = fault != NULL &&
              (fault->pin_a == e->pin_a || (fault->pin_a == PL_NONE && fault->device == e->device));
  enum pl_hold asked =
      two_values(p, p->output_factor[e->pin_a], p->proof->look.output_on[e->pin_a]);

  if (mine && fault->kind == PL_FAULT_STUCK_ON)
    return PL_HOLD_CLOSED;
  if (mine && fault->kind == PL_FAULT_STUCK_OFF)
    return PL_HOLD_OPEN;
  if (asked == PL_HOLD_OPEN)
    return PL_HOLD_OPEN;
  if (!p->may[e->device])
    return PL_HOLD_OPEN;
  if (asked == PL_HOLD_CLOSED && p->must[e->device])
    return PL_HOLD_CLOSED;
  return PL_HOLD_MAYBE;
}

enum pl_hold pl_positions_contact(const struct pl_positions *p, uint32_t k) {
  const struct pl_proof *proof = p->proof;
  const struct pl_element *e = &proof->elements[k];

  if (proof->broken[k])
    return PL_HOLD_OPEN;
  switch (pl_branch_at(proof, k)) {
    case PL_BRANCH_THROW:
      return throw_hold(p, k);
    case PL_BRANCH_MAKE:
      return hold_of(p->may[e->device], !p->must[e->device]);
    case PL_BRANCH_BREAK:
      return hold_of(!p->must[e->device], p->may[e->device]);
    case PL_BRANCH_OUTPUT:
      return output_hold(p, e);
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
  return PL_HOLD_CLOSED;
}

/* ---- nets that are surely joined ---- */

enum pl_hold pl_positions_turning(const struct pl_positions *p) {
  return two_values(p, p->engine_factor, false);
}

uint32_t pl_positions_root(struct pl_positions *p, uint32_t net) {
  if (p->fresh[net] != p->fresh_stamp) {
    p->fresh[net] = p->fresh_stamp;
    p->parent[net] = net;
    p->pole[net] = p->proof->base[pl_positions_turning(p) == PL_HOLD_CLOSED][net];
  }
  while (p->parent[net] != net) {
    p->parent[net] = p->parent[p->parent[net]];
    net = p->parent[net];
  }
  return net;
}

uint8_t pl_positions_pole(struct pl_positions *p, uint32_t net) {
  return p->pole[pl_positions_root(p, net)];
}

static bool unite(struct pl_positions *p, uint32_t a, uint32_t b) {
  a = pl_positions_root(p, a);
  b = pl_positions_root(p, b);
  if (a == b)
    return false;
  if (a > b) {
    uint32_t other = a;
    a = b;
    b = other;
  }
  p->parent[b] = a;
  p->pole[a] |= p->pole[b];
  return true;
}

static bool unite_closed(struct pl_positions *p, bool throws_only) {
  const struct pl_proof *proof = p->proof;
  bool moved = false;

  for (uint32_t i = 0; i < p->cone->active.n; i++) {
    uint32_t k = p->cone->active.at[i];
    if (throws_only && proof->branch[k] != PL_BRANCH_THROW)
      continue;
    if (pl_positions_contact(p, k) == PL_HOLD_CLOSED)
      moved = unite(p, proof->net_a[k], proof->net_b[k]) || moved;
  }
  return moved;
}

/* A diode from a pole holds what is behind it almost as firmly: 0.7 V less. */
static bool lead_on(struct pl_positions *p, uint32_t from, uint32_t to, uint8_t pole) {
  uint32_t root = pl_positions_root(p, to);

  if ((pl_positions_pole(p, from) & pole) == 0)
    return false;
  if ((p->pole[root] & pole) != 0)
    return false;
  p->pole[root] |= pole;
  return true;
}

static bool pass_diodes(struct pl_positions *p) {
  const struct pl_proof *proof = p->proof;
  uint8_t plus = pl_prove_plus(proof);
  bool moved = false;

  for (uint32_t i = 0; i < p->cone->diodes.n; i++) {
    uint32_t k = p->cone->diodes.at[i];
    if (proof->broken[k])
      continue;
    moved = lead_on(p, proof->net_a[k], proof->net_b[k], plus) || moved;
    moved = lead_on(p, proof->net_b[k], proof->net_a[k], (LIVE | EARTH) - plus) || moved;
  }
  return moved;
}

bool pl_positions_firm(struct pl_positions *p, uint32_t k) {
  uint8_t a = pl_positions_pole(p, p->proof->net_a[k]);
  uint8_t b = pl_positions_pole(p, p->proof->net_b[k]);

  if (!(!p->proof->broken[k]))
    return false;
  if (a == b)
    return false;
  return (a | b) == (LIVE | EARTH);
}

static bool is_shorted(struct pl_positions *p) {
  const struct pl_proof *proof = p->proof;

  for (uint32_t i = 0; i < proof->sources.n; i++) {
    uint32_t k = proof->sources.at[i];
    if (pl_positions_pole(p, proof->net_a[k]) == (LIVE | EARTH))
      return true;
    if (pl_positions_pole(p, proof->net_b[k]) == (LIVE | EARTH))
      return true;
  }
  return false;
}

/* The nets once more, with all contacts joined that may be closed.  The sure nets are lost. */
bool pl_positions_pick_short(struct pl_positions *p, struct pl_split *split) {
  const struct pl_proof *proof = p->proof;
  const pl_ids *active = &p->cone->active;

  for (uint32_t i = 0; i < active->n; i++)
    if (pl_positions_contact(p, active->at[i]) != PL_HOLD_OPEN)
      unite(p, proof->net_a[active->at[i]], proof->net_b[active->at[i]]);
  if (!is_shorted(p))
    return false;
  for (uint32_t i = 0; i < active->n; i++) {
    uint32_t k = active->at[i];
    if (pl_positions_contact(p, k) != PL_HOLD_MAYBE)
      continue;
    if (pl_positions_pole(p, proof->net_a[k]) != (LIVE | EARTH))
      continue;
    if (pl_positions_cut_contact(p, k, split))
      return true;
  }
  return false;
}

/* ---- what pulls in ---- */

static double drop_out_volts(const struct pl_positions *p, const struct pl_device *d) {
  double supply = pl_prove_supply(p->proof->harness, d);

  if (d->drop_out > 0)
    return d->drop_out;
  if (pl_kind_is(d->kind, PL_IS_STARTER))
    return supply * PL_DEFAULT(STARTER_OUT);
  return supply * PL_DEFAULT(RELAY_OUT);
}

/* May current reach one of the pins from plus, or is there none? */
static bool may_any_reach(struct pl_positions *p, const pl_ids *pins) {
  for (uint32_t i = 0; i < pins->n; i++)
    if (pl_positions_may_reach(p,
                               p->proof->net[pl_network_pin_node(p->proof->network, pins->at[i])],
                               pl_prove_plus(p->proof)))
      return true;
  return pins->n == 0;
}

static bool may_wake(struct pl_positions *p, pl_id id) {
  if (!may_any_reach(p, &p->proof->wakes[id]))
    return false;
  return may_any_reach(p, &p->proof->feeds[id]);
}

static bool is_any_up(struct pl_positions *p, const pl_ids *pins) {
  const struct pl_proof *proof = p->proof;
  uint8_t plus = pl_prove_plus(proof);

  for (uint32_t i = 0; i < pins->n; i++) {
    uint32_t node = pl_network_pin_node(proof->network, pins->at[i]);
    if (pl_positions_pole(p, proof->net[node]) == plus)
      return true;
  }
  return pins->n == 0;
}

static bool must_wake(struct pl_positions *p, pl_id id) {
  const struct pl_proof *proof = p->proof;
  uint8_t plus = pl_prove_plus(proof);

  if (proof->wakes[id].n + proof->feeds[id].n == 0)
    return true;
  if (proof->ground[id] == PL_NONE)
    return false;
  if (pl_positions_pole(p, proof->net[proof->ground[id]]) != (LIVE | EARTH) - plus)
    return false;
  if (!is_any_up(p, &proof->wakes[id]))
    return false;
  return is_any_up(p, &proof->feeds[id]);
}

static bool may_reset(struct pl_positions *p, const struct pl_device *d) {
  if (d->reset_a == PL_NONE)
    return false;
  if (d->reset_b == PL_NONE)
    return false;
  if (pl_positions_may_be_live(p, pl_network_pin_node(p->proof->network, d->reset_a)))
    return true;
  return pl_positions_may_be_live(p, pl_network_pin_node(p->proof->network, d->reset_b));
}

/* A latching relay begins as its factor says and may be set or reset by its coils. */
static bool may_pull_in(struct pl_positions *p, pl_id id) {
  const struct pl_device *d = &p->proof->harness->devices.at[id];
  uint32_t coil = p->proof->coil[id];

  if (pl_prove_fault_at(p->proof, PL_FAULT_STUCK_IN, id) != NULL)
    return true;
  if (pl_prove_fault_at(p->proof, PL_FAULT_STUCK_OUT, id) != NULL)
    return false;
  if (pl_kind_is(d->kind, PL_IS_MODULE))
    return may_wake(p, id);
  if (d->latching && two_values(p, p->latch_factor[id], false) != PL_HOLD_OPEN)
    return true;
  if (coil == PL_NONE)
    return false;
  return pl_positions_may_carry(p, coil, drop_out_volts(p, d));
}

static bool must_pull_in(struct pl_positions *p, pl_id id) {
  const struct pl_device *d = &p->proof->harness->devices.at[id];
  uint32_t coil = p->proof->coil[id];

  if (pl_prove_fault_at(p->proof, PL_FAULT_STUCK_IN, id) != NULL)
    return true;
  if (pl_prove_fault_at(p->proof, PL_FAULT_STUCK_OUT, id) != NULL)
    return false;
  if (pl_kind_is(d->kind, PL_IS_MODULE))
    return must_wake(p, id);
  if (d->latching && may_reset(p, d))
    return false;
  if (d->latching && two_values(p, p->latch_factor[id], false) == PL_HOLD_CLOSED)
    return true;
  return coil != PL_NONE && pl_positions_firm(p, coil);
}

/* From the subject's drivers to theirs is the order of `watch`: backwards most settle in one round.
 */
static void grow_may(struct pl_positions *p) {
  for (bool moved = true; moved;) {
    moved = false;
    for (uint32_t i = p->cone->watch.n; i-- > 0;) {
      pl_id id = p->cone->watch.at[i];
      if (p->may[id])
        continue;
      if (!may_pull_in(p, id))
        continue;
      p->may[id] = moved = true;
    }
  }
}

static void grow_must(struct pl_positions *p) {
  for (bool moved = true; moved;) {
    moved = unite_closed(p, false);
    while (pass_diodes(p))
      moved = true;
    for (uint32_t i = p->cone->watch.n; i-- > 0;) {
      pl_id id = p->cone->watch.at[i];
      if (p->must[id])
        continue;
      if (!p->may[id])
        continue;
      if (!must_pull_in(p, id))
        continue;
      p->must[id] = moved = true;
      for (uint32_t j = 0; j < p->made[id].n; j++) {
        uint32_t k = p->made[id].at[j];
        if (pl_positions_contact(p, k) == PL_HOLD_CLOSED)
          unite(p, p->proof->net_a[k], p->proof->net_b[k]);
      }
    }
  }
}

static bool shrink_may(struct pl_positions *p) {
  bool moved = false;

  for (uint32_t i = p->cone->watch.n; i-- > 0;) {
    pl_id id = p->cone->watch.at[i];
    if (!p->may[id])
      continue;
    if (p->must[id])
      continue;
    if (may_pull_in(p, id))
      continue;
    p->may[id] = false;
    moved = true;
  }
  return moved;
}

static void begin(struct pl_positions *p) {
  p->fresh_stamp++;
  for (uint32_t i = 0; i < p->cone->watch.n; i++)
    p->may[p->cone->watch.at[i]] = p->must[p->cone->watch.at[i]] = false;
  unite_closed(p, true);
  while (pass_diodes(p))
    continue;
  grow_may(p);
}

void pl_positions_settle(struct pl_positions *p, uint64_t *left) {
  p->left = left;
  begin(p);
  grow_must(p);
  for (int round = 0; round < ROUNDS && shrink_may(p); round++)
    grow_must(p);
  p->shorted = is_shorted(p);
}

/* What is in doubt at rest may hang on how it came there: a coil that a break contact feeds for a
 * moment may hold itself afterwards.  The ways of such coils as they were at the first moment, no
 * relay having pulled in yet.  What settling found is lost. */
bool pl_positions_pick_early(struct pl_positions *p, struct pl_split *split) {
  const pl_ids *watch = &p->cone->watch;
  uint32_t wishes = p->wishes.n;
  bool found = false;

  p->doubtful.n = 0;
  for (uint32_t i = 0; i < watch->n; i++) {
    if (!p->may[watch->at[i]])
      continue;
    if (p->must[watch->at[i]])
      continue;
    PL_PUSH(p->proof->arena, &p->doubtful, watch->at[i]);
  }
  if (p->doubtful.n == 0)
    return false;
  begin(p);
  for (uint32_t i = 0; i < p->doubtful.n && !found; i++) {
    uint32_t coil = p->proof->coil[p->doubtful.at[i]];
    found = pl_positions_pick_device(p, p->doubtful.at[i], split) ||
            (coil != PL_NONE && pl_positions_pick_near(p,
                                                       p->proof->net_a[coil],
                                                       p->proof->net_b[coil],
                                                       PL_WORST_NONE,
                                                       split));
  }
  p->wishes.n = wishes;
  return found;
}

/* ---- making ---- */

static double most_volts(const struct pl_proof *proof) {
  double batteries = 0;
  double most = 0;

  for (uint32_t i = 0; i < proof->sources.n; i++) {
    uint32_t k = proof->sources.at[i];
    if (proof->branch[k] == PL_BRANCH_BATTERY)
      batteries += fabs(proof->elements[k].volts);
    most = fmax(most, fabs(proof->elements[k].volts));
  }
  return fmax(most, batteries);
}

static struct pl_positions *positions_new(struct pl_proof *proof) {
  struct pl_arena *arena = proof->arena;
  struct pl_positions *p = PL_NEW(arena, struct pl_positions);
  size_t nets = proof->node_count;
  size_t devices = proof->harness->devices.n;

  p->proof = proof;
  p->switch_factor = PL_NEW_ARRAY(arena, uint32_t, devices);
  p->latch_factor = PL_NEW_ARRAY(arena, uint32_t, devices);
  p->output_factor = PL_NEW_ARRAY(arena, uint32_t, proof->harness->pins.n);
  for (pl_id d = 0; d < devices; d++)
    p->switch_factor[d] = p->latch_factor[d] = PL_NONE;
  for (pl_id pin = 0; pin < proof->harness->pins.n; pin++)
    p->output_factor[pin] = PL_NONE;
  p->may = PL_NEW_ARRAY(arena, bool, devices);
  p->must = PL_NEW_ARRAY(arena, bool, devices);
  p->visited = PL_NEW_ARRAY(arena, uint32_t, devices);
  p->made = PL_NEW_ARRAY(arena, pl_ids, devices);
  for (uint32_t i = 0; i < proof->moving.n; i++) {
    uint32_t k = proof->moving.at[i];
    if (proof->branch[k] == PL_BRANCH_MAKE || proof->branch[k] == PL_BRANCH_OUTPUT)
      PL_PUSH(arena, &p->made[proof->elements[k].device], k);
  }
  p->parent = PL_NEW_ARRAY(arena, uint32_t, nets);
  p->fresh = PL_NEW_ARRAY(arena, uint32_t, nets);
  p->pole = PL_NEW_ARRAY(arena, uint8_t, nets);
  p->came = PL_NEW_ARRAY(arena, uint32_t, nets);
  p->from = PL_NEW_ARRAY(arena, uint32_t, nets);
  p->island = PL_NEW_ARRAY(arena, uint32_t, nets);
  p->queue = PL_NEW_ARRAY(arena, uint32_t, nets);
  p->weighed = PL_NEW_ARRAY(arena, uint32_t, proof->element_count);
  p->most_volts = most_volts(proof);
  return p;
}

static void forget_factors(struct pl_positions *p) {
  p->engine_factor = PL_NONE;
  for (uint32_t i = 0; p->cone != NULL && i < p->cone->factors.n; i++) {
    const struct pl_factor *f = &p->cone->factors.at[i];
    if (f->kind == PL_FACTOR_SWITCH)
      p->switch_factor[f->id] = PL_NONE;
    else if (f->kind == PL_FACTOR_OUTPUT)
      p->output_factor[f->id] = PL_NONE;
    else if (f->kind == PL_FACTOR_LATCH)
      p->latch_factor[f->id] = PL_NONE;
  }
}

struct pl_positions *pl_positions_of(struct pl_proof *proof, const struct pl_cone *cone) {
  if (proof->positions == NULL)
    proof->positions = positions_new(proof);
  struct pl_positions *p = proof->positions;
  p->cone = cone;
  p->first = PL_NEW_ARRAY(p->proof->arena, uint32_t, cone->factors.n + 1);
  p->words = 0;
  for (uint32_t i = 0; i < cone->factors.n; i++) {
    const struct pl_factor *f = &cone->factors.at[i];
    p->first[i] = p->words;
    p->words += (f->value_count + 63) / 64;
    if (f->kind == PL_FACTOR_SWITCH)
      p->switch_factor[f->id] = i;
    else if (f->kind == PL_FACTOR_OUTPUT)
      p->output_factor[f->id] = i;
    else if (f->kind == PL_FACTOR_LATCH)
      p->latch_factor[f->id] = i;
    else
      p->engine_factor = i;
  }
  p->first[cone->factors.n] = p->words;
  return p;
}

void pl_positions_end(struct pl_positions *p) {
  forget_factors(p);
  p->cone = NULL;
}
