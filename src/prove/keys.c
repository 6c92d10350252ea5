/* Keys: switches that the machine is turned off with; the nets that only a key feeds, and whether
 * they are dead with that key at rest. */
#include <math.h>

#include "prove/search_inner.h"

/* ---- keys ---- */

static bool closes_nothing(const struct pl_device *d, uint32_t position) {
  return d->throws.at[position].joins.n == 0;
}

/* A key stands open at rest, stays in one other position and springs back from another; or a
 * module's keyed input is fed through it. */
static bool is_key(const struct pl_proof *proof, pl_id id, const bool *feeds_input) {
  const struct pl_device *d = &proof->harness->devices.at[id];
  bool stays = false;
  bool springs = false;

  if (!pl_kind_is_but(d->kind, PL_IS_SETTABLE, PL_IS_DISCONNECT))
    return false;
  if (d->throws.n < 2)
    return false;
  if (d->thresholds.n > 0)
    return false;
  if (!closes_nothing(d, d->rest))
    return false;
  for (uint32_t t = 0; t < d->throws.n; t++) {
    if (t == d->rest)
      continue;
    if (closes_nothing(d, t))
      continue;
    if (d->throws.at[t].momentary)
      springs = true;
    else
      stays = true;
  }
  return stays && (springs || feeds_input[id]);
}

/* Marks the switches through which contacts alone lead to the net. */
static void mark_feeds(struct pl_proof *proof, uint32_t net, bool *feeds) {
  uint32_t tail = 0;

  proof->stamp++;
  proof->queue[tail++] = net;
  proof->mark[net] = proof->stamp;
  for (uint32_t head = 0; head < tail; head++) {
    uint32_t n = proof->queue[head];
    if (proof->live_rail[n])
      continue;
    if (proof->earth_rail[n])
      continue;
    for (uint32_t i = proof->start[n]; i < proof->start[n + 1]; i++) {
      const struct pl_element *e = &proof->elements[proof->around[i]];
      enum pl_branch branch = pl_branch_at(proof, proof->around[i]);
      if (!pl_branch_is_contact(branch))
        continue;
      if (branch == PL_BRANCH_THROW)
        feeds[e->device] = true;
      uint32_t other = pl_proof_far_net(proof, proof->around[i], n);
      if (proof->mark[other] == proof->stamp)
        continue;
      proof->mark[other] = proof->stamp;
      proof->queue[tail++] = other;
    }
  }
}

static bool *find_keys(struct pl_proof *proof) {
  bool *feeds = PL_NEW_ARRAY(proof->arena, bool, proof->harness->devices.n),
       *keys = PL_NEW_ARRAY(proof->arena, bool, proof->harness->devices.n);

  for (pl_id p = 0; p < proof->harness->pins.n; p++) {
    if (proof->harness->pins.at[p].role != PL_ROLE_KEYED_INPUT)
      continue;
    if (proof->harness->pins.at[p].wires.n == 0)
      continue;
    mark_feeds(proof, proof->net[pl_network_pin_node(proof->network, p)], feeds);
  }
  for (pl_id d = 0; d < proof->harness->devices.n; d++)
    keys[d] = is_key(proof, d, feeds);
  return keys;
}

/* Nets that contacts lead to from a live rail, with the key `but` at rest; any other contact
 * closed, no load or diode passed. */
static bool *fed_nets(struct pl_proof *proof, pl_id but) {
  bool *fed = PL_NEW_ARRAY(proof->arena, bool, proof->net_count);
  uint32_t tail = 0;

  for (uint32_t n = 0; n < proof->net_count; n++) {
    fed[n] = proof->live_rail[n];
    if (fed[n])
      proof->queue[tail++] = n;
  }
  for (uint32_t head = 0; head < tail; head++) {
    uint32_t n = proof->queue[head];
    for (uint32_t i = proof->start[n]; i < proof->start[n + 1]; i++) {
      uint32_t k = proof->around[i];
      const struct pl_element *e = &proof->elements[k];
      enum pl_branch branch = pl_branch_at(proof, k);
      if (!pl_branch_moves(branch))
        continue;
      if (branch == PL_BRANCH_THROW && e->device == but &&
          !proof->closed_in[k][proof->harness->devices.at[but].rest])
        continue;
      uint32_t other = pl_proof_far_net(proof, proof->around[i], n);
      if (fed[other])
        continue;
      if (proof->earth_rail[other])
        continue;
      fed[other] = true;
      proof->queue[tail++] = other;
    }
  }
  return fed;
}

/* By net: the key that alone feeds it, PL_NONE. */
pl_id *pl_prove_keyed_nets(struct pl_proof *proof) {
  bool *keys = find_keys(proof);
  pl_id *key = PL_NEW_ARRAY(proof->arena, pl_id, proof->net_count);
  bool *always = fed_nets(proof, PL_NONE);

  for (uint32_t n = 0; n < proof->net_count; n++)
    key[n] = PL_NONE;
  for (pl_id d = 0; d < proof->harness->devices.n; d++) {
    if (!keys[d])
      continue;
    bool *without = fed_nets(proof, d);
    for (uint32_t n = 0; n < proof->net_count; n++)
      if (always[n] && !without[n])
        key[n] = d;
  }
  return key;
}

/* ---- nets that only a key feeds ---- */

struct watch_net {
  pl_id key;
  uint32_t node;
  const struct pl_cone *cone;
  struct pl_keyed_live *live;
  bool found;
};

static enum pl_verdict judge(struct pl_positions *p, void *context, struct pl_split *split) {
  const struct watch_net *watch = context;
  const struct pl_proof *proof = p->proof;

  if (!pl_positions_may_be_live(p, watch->node))
    return PL_NONE_OF_THEM;
  if (pl_positions_pick_live(p, watch->node, split))
    return PL_CUT;
  if (pl_positions_pick_near(p,
                             proof->net[watch->node],
                             proof->net[proof->reference],
                             PL_WORST_HIGH,
                             split))
    return PL_CUT;
  return PL_LIKE_ONE;
}

static enum pl_verdict confirm(struct pl_proof *proof, void *context) {
  static const double least = 1.0; /* volts */
  const struct watch_net *watch = context;

  if (!proof->look.unsure && !pl_look_may_be_live(proof, watch->node))
    return PL_NONE_OF_THEM;
  enum pl_verdict unsolved;
  const struct pl_solution *solution = pl_search_solve(proof, &unsolved);
  if (solution == NULL)
    return unsolved;
  if (fabs(solution->node_volts[watch->node]) >= least)
    return PL_ALL_OF_THEM;
  return PL_NONE_OF_THEM;
}

static void keep(struct pl_proof *proof, void *context, double count) {
  struct watch_net *watch = context;
  struct pl_keyed_live *live = watch->live;

  live->others += count;
  if (watch->found)
    return;
  const struct pl_solution *solution = pl_look_solve(proof);
  if (solution == NULL || solution->status != PL_SOLVED)
    return;
  watch->found = true;
  live->others = count - 1;
  live->volts = fabs(solution->node_volts[watch->node]);
  const struct pl_device *key = &proof->harness->devices.at[watch->key];
  live->combination =
      pl_arena_printf(proof->arena,
                      "%s in %s%s%s",
                      key->name,
                      key->throws.at[key->rest].name,
                      proof->look.departures > 0 ? ", " : "",
                      proof->look.departures > 0 ? pl_combo_text(proof, watch->cone) : "");
  live->path = pl_prove_path(proof, solution, live->pin, proof->harness->machine.positive_earth);
}

/* The pin to name: a keyed input on the net, else the first. */
static pl_id net_pin(const struct pl_proof *proof, uint32_t net) {
  pl_id first = PL_NONE;

  for (pl_id p = 0; p < proof->harness->pins.n; p++) {
    uint32_t node = pl_network_pin_node(proof->network, p);
    if (node == PL_NONE)
      continue;
    if (proof->net[node] != net)
      continue;
    if (proof->harness->pins.at[p].role == PL_ROLE_KEYED_INPUT)
      return p;
    if (first == PL_NONE)
      first = p;
  }
  return first;
}

static void prove_net(struct pl_proof *proof, struct pl_keyed_live live, pl_keyed_lives *found) {
  struct pl_cone cone;
  struct watch_net watch = {.key = live.key,
                            .node = pl_network_pin_node(proof->network, live.pin),
                            .cone = &cone,
                            .live = &live};
  struct pl_goal goal = {&watch, judge, confirm, keep};
  uint32_t kept = 0;

  pl_cone_init(proof, &cone);
  pl_cone_add_node(proof, &cone, watch.node);
  for (uint32_t f = 0; f < cone.factors.n; f++) /* the key stays at rest */
    if (cone.factors.at[f].kind != PL_FACTOR_SWITCH || cone.factors.at[f].id != live.key)
      cone.factors.at[kept++] = cone.factors.at[f];
  cone.factors.n = kept;
  struct pl_positions *p = pl_positions_of(proof, &cone);
  uint64_t *start = PL_NEW_ARRAY(proof->arena, uint64_t, p->words + 1);
  pl_search_all(p, start);
  pl_search(p, start, 1, &goal, &live.covered);
  pl_positions_end(p);
  if (watch.found || !live.covered.all)
    PL_PUSH(proof->arena, found, live);
}

void pl_prove_keyed(struct pl_proof *proof, pl_keyed_lives *found) {
  if (proof->reference == PL_NONE)
    return;
  pl_id *key = pl_prove_keyed_nets(proof);
  for (uint32_t net = 0; net < proof->net_count; net++) {
    struct pl_keyed_live live = {.key = key[net], .pin = PL_NONE};
    if (key[net] == PL_NONE)
      continue;
    if ((live.pin = net_pin(proof, net)) == PL_NONE)
      continue;
    prove_net(proof, live, found);
  }
}
