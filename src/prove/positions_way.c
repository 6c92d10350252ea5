/* Ways in a set of combinations: is there one, may it bring enough, and which undecided contact on
 * it to cut the set at. */
#include <math.h>
#include <string.h>

#include "prove/positions_inner.h"
#include "prove/positions_way_inner.h"

enum {
  LIVE = PL_POLE_LIVE,
  EARTH = PL_POLE_EARTH
};

/* ---- walking ---- */

/* A source that feeds net n weakly; `up` as below. */
static bool is_source(const struct pl_positions *p, uint32_t k, uint32_t n, bool up) {
  const struct pl_proof *proof = p->proof;

  if (!up)
    return false;
  if (proof->net_a[k] != n)
    return false;
  if (proof->broken[k])
    return false;
  switch (pl_branch_at(proof, k)) {
    case PL_BRANCH_EXCITER:
      return pl_positions_turning(p) != PL_HOLD_OPEN;
    case PL_BRANCH_SUPPLY:
    case PL_BRANCH_PULL:
      return p->may[proof->elements[k].device];
    case PL_BRANCH_JOINT:
    case PL_BRANCH_THROW:
    case PL_BRANCH_MAKE:
    case PL_BRANCH_BREAK:
    case PL_BRANCH_OUTPUT:
    case PL_BRANCH_MOTOR:
    case PL_BRANCH_LOAD:
    case PL_BRANCH_STANDING:
    case PL_BRANCH_DIODE:
    case PL_BRANCH_BATTERY:
    case PL_BRANCH_TURNING:
      break;
  }
  return false;
}

/* The net on the other side when current may pass k, seen from net n; PL_NONE.  `up`: the walk goes
 * against the current. */
static uint32_t pass(const struct pl_positions *p, uint32_t k, uint32_t n, bool up) {
  const struct pl_proof *proof = p->proof;
  bool passes = false;

  if (proof->broken[k])
    return PL_NONE;
  switch (pl_branch_at(proof, k)) {
    case PL_BRANCH_JOINT:
    case PL_BRANCH_LOAD:
    case PL_BRANCH_STANDING:
    case PL_BRANCH_PULL:
      passes = true;
      break;
    case PL_BRANCH_THROW:
    case PL_BRANCH_MAKE:
    case PL_BRANCH_BREAK:
    case PL_BRANCH_OUTPUT:
      passes = pl_positions_contact(p, k) != PL_HOLD_OPEN;
      break;
    case PL_BRANCH_MOTOR:
      passes = p->may[proof->elements[k].device];
      break;
    case PL_BRANCH_DIODE:
      passes = (proof->net_b[k] == n) == up;
      break;
    case PL_BRANCH_EXCITER:
    case PL_BRANCH_SUPPLY:
    case PL_BRANCH_BATTERY:
    case PL_BRANCH_TURNING:
      break;
  }
  if (!passes)
    return PL_NONE;
  return pl_proof_far_net(proof, k, n);
}

/* Live in those combinations in which the alternator turns. */
static bool is_live_when_turning(const struct pl_positions *p, uint32_t n) {
  if (pl_positions_turning(p) != PL_HOLD_MAYBE)
    return false;
  return (p->proof->base[1][n] & LIVE) != 0;
}

/* The net at which a way from net n to the pole ends, not over element `but`, not through net
 * `but_net` and not through the other pole; PL_NONE.  The way is in came and from. */
static uint32_t
lead(struct pl_positions *p, uint32_t n, uint8_t pole, uint32_t but, uint32_t but_net) {
  struct pl_proof *proof = p->proof;
  uint32_t head = 0;
  uint32_t tail = 0;
  bool up = pole == pl_prove_plus(proof);

  proof->stamp++;
  proof->queue[tail++] = n;
  proof->mark[n] = proof->stamp;
  p->came[n] = PL_NONE;
  if (but_net != PL_NONE)
    proof->mark[but_net] = proof->stamp;
  while (head < tail) {
    n = proof->queue[head++];
    uint8_t here = pl_positions_pole(p, n);
    if (here & pole)
      return n;
    if (here != 0)
      continue;
    if (pole == LIVE && is_live_when_turning(p, n))
      return n;
    for (uint32_t i = proof->start[n]; i < proof->start[n + 1]; i++) {
      uint32_t k = proof->around[i];
      if (k == but)
        continue;
      if (is_source(p, k, n, up))
        return n;
      uint32_t other = pass(p, k, n, up);
      if (other == PL_NONE)
        continue;
      if (proof->mark[other] == proof->stamp)
        continue;
      proof->mark[other] = proof->stamp;
      p->came[other] = k;
      p->from[other] = n;
      proof->queue[tail++] = other;
    }
  }
  return PL_NONE;
}

static bool
leads_to(struct pl_positions *p, uint32_t n, uint8_t pole, uint32_t but, uint32_t but_net) {
  return lead(p, n, pole, but, but_net) != PL_NONE;
}

bool pl_positions_may_reach(struct pl_positions *p, uint32_t net, uint8_t pole) {
  return leads_to(p, net, pole, PL_NONE, PL_NONE);
}

bool pl_positions_may_be_live(struct pl_positions *p, uint32_t node) {
  return leads_to(p, p->proof->net[node], LIVE, PL_NONE, PL_NONE);
}

/* ---- how much a way may bring ---- */

/* The most siemens that an element of a known law offers; INFINITY. */
static double siemens(const struct pl_element *e) {
  if (e->kind == PL_ELEMENT_CURRENT)
    return e->volts > 0 ? fabs(e->limit) / e->volts : INFINITY;
  if (e->ohms > 0)
    return 1 / e->ohms;
  return INFINITY;
}

/* The siemens of all that joins the net, and what contacts and diodes may join to it, to anything
 * else but over `but`; INFINITY where that reaches a pole.  No more current can come in by this
 * side than the volts of the sources drive through so much. */
static double siemens_of(struct pl_positions *p, uint32_t n, uint32_t but) {
  struct pl_proof *proof = p->proof;
  uint32_t head = 0;
  uint32_t tail = 0;
  double sum = 0;

  proof->stamp++;
  proof->queue[tail++] = n;
  proof->mark[n] = proof->stamp;
  while (head < tail) {
    n = proof->queue[head++];
    if (pl_positions_pole(p, n) != 0)
      return INFINITY;
    if (is_live_when_turning(p, n))
      return INFINITY;
    for (uint32_t i = proof->start[n]; i < proof->start[n + 1]; i++) {
      uint32_t k = proof->around[i];
      enum pl_branch branch = pl_branch_at(proof, k);
      if (k == but || proof->broken[k])
        continue;
      if (!pl_branch_moves(branch) && branch != PL_BRANCH_DIODE) {
        sum += siemens(&proof->elements[k]);
        continue;
      }
      if (pl_branch_moves(branch) && pl_positions_contact(p, k) == PL_HOLD_OPEN)
        continue;
      uint32_t other = pl_proof_far_net(proof, k, n);
      if (proof->mark[other] == proof->stamp)
        continue;
      proof->mark[other] = proof->stamp;
      proof->queue[tail++] = other;
    }
  }
  return sum;
}

/* Surely less than `volts` across k: one of its sides is joined to the rest by too little. */
static bool is_weak(struct pl_positions *p, uint32_t k, double volts) {
  static const double worst = 1.1; /* parts and bends of the laws at their worst */
  const struct pl_element *e = &p->proof->elements[k];

  if (volts <= 0 || e->kind != PL_ELEMENT_RESISTANCE)
    return false;
  for (int side = 0; side < 2; side++) {
    uint32_t n;
    if (side == 0)
      n = p->proof->net_a[k];
    else
      n = p->proof->net_b[k];
    double share = siemens_of(p, n, k) * e->ohms;
    if (isfinite(share) && worst * p->most_volts * share / (1 + share) < volts)
      return true;
  }
  return false;
}

bool pl_positions_may_carry(struct pl_positions *p, uint32_t k, double volts) {
  uint32_t a = p->proof->net_a[k];
  uint32_t b = p->proof->net_b[k];

  if (p->proof->broken[k])
    return false;
  if (a == b)
    return false;
  if (pl_positions_firm(p, k))
    return true;
  bool forward = leads_to(p, a, LIVE, k, b) && leads_to(p, b, EARTH, k, a);
  if (!forward && !(leads_to(p, b, LIVE, k, a) && leads_to(p, a, EARTH, k, b)))
    return false;
  return !is_weak(p, k, volts);
}

/* ---- what to cut ---- */

static bool is_undecided(const struct pl_positions *p, uint32_t factor) {
  if (factor == PL_NONE)
    return false;
  return pl_value_count(p, p->left, factor) > 1;
}

static bool cut_at(const struct pl_positions *p, uint32_t factor, struct pl_split *split) {
  if (!is_undecided(p, factor))
    return false;
  *split = (struct pl_split){.factor = factor, .element = PL_NONE};
  return true;
}

/* The factor of the contact itself, if that decides it. */
bool pl_positions_cut_contact(const struct pl_positions *p, uint32_t k, struct pl_split *split) {
  const struct pl_element *e = &p->proof->elements[k];

  if (pl_positions_contact(p, k) != PL_HOLD_MAYBE)
    return false;
  if (p->proof->branch[k] == PL_BRANCH_OUTPUT)
    return cut_at(p, p->output_factor[e->pin_a], split);
  if (p->proof->branch[k] != PL_BRANCH_THROW)
    return false;
  *split = (struct pl_split){p->switch_factor[e->device], k, true};
  return true;
}

static bool pick_carry(struct pl_positions *p, uint32_t k, struct pl_split *split);
static bool pick_on_way(struct pl_positions *p,
                        uint32_t n,
                        uint8_t pole,
                        uint32_t but,
                        uint32_t but_net,
                        struct pl_split *split);

static bool pick_device(struct pl_positions *p, pl_id id, struct pl_split *split) {
  const struct pl_proof *proof = p->proof;
  const struct pl_device *d = &proof->harness->devices.at[id];
  uint8_t plus = pl_prove_plus(proof);

  if (p->visited[id] == p->visit_stamp)
    return false;
  if (p->must[id])
    return false;
  if (!p->may[id])
    return false;
  p->visited[id] = p->visit_stamp;
  if (cut_at(p, p->latch_factor[id], split))
    return true;
  pl_id resets[] = {d->reset_a, d->reset_b};
  for (int i = 0; i < 2; i++)
    if (resets[i] != PL_NONE) {
      uint32_t net = proof->net[pl_network_pin_node(proof->network, resets[i])];
      if (pick_on_way(p, net, LIVE, PL_NONE, PL_NONE, split))
        return true;
      if (pick_on_way(p, net, EARTH, PL_NONE, PL_NONE, split))
        return true;
    }
  const pl_ids *needs[] = {&proof->wakes[id], &proof->feeds[id]};
  for (int of = 0; of < 2; of++)
    for (uint32_t i = 0; i < needs[of]->n; i++) {
      uint32_t net = proof->net[pl_network_pin_node(proof->network, needs[of]->at[i])];
      if (pick_on_way(p, net, plus, PL_NONE, PL_NONE, split))
        return true;
    }
  if (proof->ground[id] != PL_NONE &&
      pick_on_way(p, proof->net[proof->ground[id]], (LIVE | EARTH) - plus, PL_NONE, PL_NONE, split))
    return true;
  if (proof->coil[id] == PL_NONE)
    return false;
  return pick_carry(p, proof->coil[id], split);
}

static bool pick_contact(struct pl_positions *p, uint32_t k, struct pl_split *split) {
  enum pl_branch branch = pl_branch_at(p->proof, k);

  if (pl_positions_cut_contact(p, k, split))
    return true;
  if (branch == PL_BRANCH_THROW)
    return false;
  if (branch != PL_BRANCH_MOTOR && branch != PL_BRANCH_PULL && !pl_branch_moves(branch))
    return false;
  return pick_device(p, p->proof->elements[k].device, split);
}

/* Walks a way once more from its end: the undecided contacts on it, then what drives those of
 * relays.  Cutting a way at all of them shows whether it is one. */
static bool pick_on_way(struct pl_positions *p,
                        uint32_t n,
                        uint8_t pole,
                        uint32_t but,
                        uint32_t but_net,
                        struct pl_split *split) {
  uint32_t base = p->trail.n;
  uint32_t end = lead(p, n, pole, but, but_net);
  bool found = false;

  if (end == PL_NONE)
    return false;
  if (pl_positions_pole(p, end) == 0 &&
      cut_at(p, p->engine_factor, split)) /* by an alternator or its exciter */
    return true;
  for (; p->came[end] != PL_NONE; end = p->from[end])
    PL_PUSH(p->proof->arena, &p->trail, p->came[end]);
  for (uint32_t i = base; i < p->trail.n && !found; i++)
    found = pl_positions_cut_contact(p, p->trail.at[i], split);
  for (uint32_t i = base; i < p->trail.n && !found; i++)
    found = pick_contact(p, p->trail.at[i], split);
  p->trail.n = base;
  return found;
}

static bool pick_carry(struct pl_positions *p, uint32_t k, struct pl_split *split) {
  uint32_t a = p->proof->net_a[k];
  uint32_t b = p->proof->net_b[k];

  for (int turn = 0; turn < 2; turn++) {
    uint32_t live = turn == 0 ? a : b;
    uint32_t earth = turn == 0 ? b : a;
    if (!leads_to(p, live, LIVE, k, earth))
      continue;
    if (!leads_to(p, earth, EARTH, k, live))
      continue;
    if (pick_on_way(p, live, LIVE, k, earth, split))
      return true;
    if (pick_on_way(p, earth, EARTH, k, live, split))
      return true;
  }
  return false;
}

bool pl_positions_pick_way(struct pl_positions *p, uint32_t element, struct pl_split *split) {
  p->visit_stamp++;
  return pick_carry(p, element, split);
}

bool pl_positions_pick_live(struct pl_positions *p, uint32_t node, struct pl_split *split) {
  p->visit_stamp++;
  return pick_on_way(p, p->proof->net[node], LIVE, PL_NONE, PL_NONE, split);
}

bool pl_positions_pick_contact(struct pl_positions *p, uint32_t element, struct pl_split *split) {
  p->visit_stamp++;
  return pick_contact(p, element, split);
}

bool pl_positions_pick_device(struct pl_positions *p, pl_id device, struct pl_split *split) {
  p->visit_stamp++;
  return pick_device(p, device, split);
}

/* ---- what changes the volts ---- */

struct near_by {
  struct pl_positions *p;
  uint32_t tail;
  bool may_wish, high; /* the worst is the most volts between the nets */
  bool through;        /* walk on through nets that contacts join to a pole, up to the rails */
  uint8_t firm;        /* the pole that one of the two nets firmly hangs on */
};

static void enter(struct near_by *near, uint32_t net) {
  struct pl_positions *p = near->p;

  if (p->island[net] == p->island_stamp)
    return;
  p->island[net] = p->island_stamp;
  p->queue[near->tail++] = net;
}

static void enter_element(struct near_by *near, uint32_t k) {
  enter(near, near->p->proof->net_a[k]);
  enter(near, near->p->proof->net_b[k]);
}

static void enter_device(struct near_by *near, pl_id id) {
  const struct pl_proof *proof = near->p->proof;
  const struct pl_device *d = &proof->harness->devices.at[id];

  near->may_wish = false; /* what raises one coil may lower another's subject */
  if (proof->coil[id] != PL_NONE)
    enter_element(near, proof->coil[id]);
  for (uint32_t i = 0; i < proof->wakes[id].n; i++)
    enter(near, proof->net[pl_network_pin_node(proof->network, proof->wakes[id].at[i])]);
  for (uint32_t i = 0; i < proof->feeds[id].n; i++)
    enter(near, proof->net[pl_network_pin_node(proof->network, proof->feeds[id].at[i])]);
  pl_id resets[] = {d->reset_a, d->reset_b};
  for (int i = 0; i < 2; i++)
    if (resets[i] != PL_NONE)
      enter(near, proof->net[pl_network_pin_node(proof->network, resets[i])]);
}

/* A contact met from net n: does it matter, may it be wished for, or must the set be cut at it?
 * What is beyond it is a load or a source to all that lies before it (Rayleigh's monotonicity law:
 * one more way to a pole moves all volts towards that pole). */
static bool weigh(struct near_by *near, uint32_t k, uint32_t n, struct pl_split *split) {
  struct pl_positions *p = near->p;
  if (p->weighed[k] == p->island_stamp)
    return false;
  p->weighed[k] = p->island_stamp;
  uint32_t other = pl_proof_far_net(p->proof, k, n);
  uint8_t here_is = pl_positions_pole(p, n);
  bool live = here_is != EARTH && leads_to(p, other, LIVE, k, n);
  bool earth = here_is != LIVE && leads_to(p, other, EARTH, k, n);
  struct pl_split here;

  if (!live && !earth)
    return false;
  if (!pl_positions_cut_contact(p, k, &here))
    return false;
  if (!near->may_wish || (live && earth)) {
    *split = here;
    return true;
  }
  /* From a net whose partner is firmly earthed, more from the live pole means more volts. */
  bool raises = (near->firm == EARTH) == live;
  struct pl_wish wish = {here, raises == near->high};
  PL_PUSH(p->proof->arena, &p->wishes, wish);
  return false;
}

static bool look_around(struct near_by *near, uint32_t n, struct pl_split *split) {
  struct pl_positions *p = near->p;
  const struct pl_proof *proof = p->proof;
  uint8_t here = pl_positions_pole(p, n);

  for (uint32_t i = proof->start[n]; i < proof->start[n + 1]; i++) {
    uint32_t k = proof->around[i];
    enum pl_branch branch = pl_branch_at(proof, k);
    pl_id device = proof->elements[k].device;
    if (proof->broken[k])
      continue;
    if (here != 0 && !pl_branch_moves(branch) && branch != PL_BRANCH_DIODE)
      continue; /* what a pole feeds does not feed the pole */
    if (branch == PL_BRANCH_STANDING || branch == PL_BRANCH_EXCITER ||
        branch == PL_BRANCH_TURNING) {
      if (cut_at(p, p->engine_factor, split))
        return true;
    }
    if (branch == PL_BRANCH_BATTERY || branch == PL_BRANCH_TURNING)
      continue;
    if (pl_branch_moves(branch)) {
      enum pl_hold hold = pl_positions_contact(p, k);
      if (hold == PL_HOLD_OPEN)
        continue;
      if (hold == PL_HOLD_MAYBE && weigh(near, k, n, split))
        return true;
    }
    bool driven = branch == PL_BRANCH_MAKE || branch == PL_BRANCH_BREAK ||
                  branch == PL_BRANCH_OUTPUT || branch == PL_BRANCH_MOTOR ||
                  branch == PL_BRANCH_SUPPLY || branch == PL_BRANCH_PULL;
    if (driven && p->may[device] && !p->must[device])
      enter_device(near, device);
    enter_element(near, k);
  }
  return false;
}

/* Can one value of each factor grant all wishes about it? */
static bool wishes_agree(struct pl_positions *p, struct pl_split *split) {
  for (uint32_t i = 0; i < p->wishes.n; i++) {
    uint32_t f = p->wishes.at[i].split.factor;
    bool some = false;
    for (uint32_t value = 0; value < p->cone->factors.at[f].value_count && !some; value++)
      some = pl_positions_grants(p, p->left, f, value);
    if (some)
      continue;
    *split = p->wishes.at[i].split;
    return false;
  }
  return true;
}

bool pl_positions_grants(const struct pl_positions *p,
                         const uint64_t *left,
                         uint32_t f,
                         uint32_t value) {
  if (!pl_value_in(p, left, f, value))
    return false;
  for (uint32_t i = 0; i < p->wishes.n; i++) {
    const struct pl_wish *wish = &p->wishes.at[i];
    if (wish->split.factor != f)
      continue;
    bool closed = value == 1;
    if (wish->split.by_contact)
      closed = p->proof->closed_in[wish->split.element][value];
    if (closed != wish->closed)
      return false;
  }
  return true;
}

bool pl_positions_pick_near(struct pl_positions *p,
                            uint32_t net_a,
                            uint32_t net_b,
                            enum pl_worst worst,
                            struct pl_split *split) {
  uint8_t pole_a = pl_positions_pole(p, net_a);
  uint8_t pole_b = pl_positions_pole(p, net_b);
  struct near_by near = {.p = p, .high = worst == PL_WORST_HIGH};

  p->wishes.n = 0;
  p->island_stamp++;
  near.firm = pole_a != 0 ? pole_a : pole_b;
  near.through = worst == PL_WORST_WAY;
  near.may_wish = (worst == PL_WORST_HIGH || worst == PL_WORST_LOW) &&
                  (pole_a == 0) != (pole_b == 0) && near.firm != (LIVE | EARTH);
  enter(&near, net_a);
  enter(&near, net_b);
  for (uint32_t head = 0; head < near.tail; head++) {
    uint32_t n = p->queue[head];
    if (near.through && (p->proof->live_rail[n] || p->proof->earth_rail[n]))
      continue;
    if (pl_positions_pole(p, n) != 0 && !near.through)
      continue;
    bool wished = near.may_wish;
    if (look_around(&near, n, split))
      return true;
    if (wished && !near.may_wish && p->wishes.n > 0) { /* taken back: a relay is in doubt */
      *split = p->wishes.at[0].split;
      p->wishes.n = 0;
      return true;
    }
  }
  if (wishes_agree(p, split))
    return false;
  p->wishes.n = 0;
  return true;
}
