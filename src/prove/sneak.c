/* Current that nothing asks for: loads, coils and inputs energised while every usual way of theirs
 * is broken; and nets that only a key feeds, live with that key at rest.
 *
 * Sneak circuit analysis looks for paths that work though no part has failed (common
 * practice in aerospace) by known shapes of circuit.  Here no shapes: every declared state teaches
 * which contacts, closed together, usually energise a subject (learn_asks); in every combination of
 * its cone where no such set is closed it must be dead.  Cones within a larger one share its
 * enumeration: hunt_all takes the largest first.  Cost: combinations of the largest cones x
 * subjects x a look, the doubtful ones solved. */
#include <math.h>
#include <string.h>

#include "prove/prove_inner.h"
#include "standard/defaults.h"

/* ---- subjects and how they are usually asked ---- */

/* The end through which a subject is fed in a solution, and the other. */
static pl_id feed_pin(const struct pl_proof *proof,
                      const struct pl_solution *solution,
                      const struct pl_subject *subject,
                      pl_id *back) {
  const struct pl_element *e = &proof->elements[subject->element];
  bool forward = !(solution->elements[subject->element].amps < 0);

  *back = PL_NONE;
  if (subject->pin != PL_NONE)
    return subject->pin;
  *back = forward ? e->pin_b : e->pin_a;
  return forward ? e->pin_a : e->pin_b;
}

/* How strongly it is energised, and the figure from which it counts. */
static double figure_of(const struct pl_proof *proof,
                        const struct pl_solution *solution,
                        const struct pl_subject *subject,
                        double *limit,
                        const char **unit) {
  const struct pl_element *e = &solution->elements[subject->element];
  const struct pl_device *d = &proof->harness->devices.at[subject->device];
  double supply = pl_prove_supply(proof->harness, d);
  double volts = solution->node_volts[e->node_a] - solution->node_volts[e->node_b];
  bool starter = pl_kind_is(d->kind, PL_IS_STARTER);

  *unit = "V";
  if (isnan(volts))
    volts = 0;
  if (subject->pin != PL_NONE) {
    *limit = supply / 2;
    if (subject->to_minus)
      return *limit + (*limit - fabs(volts));
    return fabs(volts);
  }
  if (pl_kind_is(d->kind, PL_IS_RELAY) || starter) {
    if (d->drop_out > 0)
      *limit = d->drop_out;
    else
      *limit = supply * (starter ? PL_DEFAULT(STARTER_OUT) : PL_DEFAULT(RELAY_OUT));
    return fabs(volts);
  }
  if (d->load_amps > 0) {
    *limit = d->load_amps / 2;
    *unit = "A";
    return fabs(e->amps);
  }
  *limit = supply / 2;
  return fabs(volts);
}

static bool is_energised(const struct pl_proof *proof,
                         const struct pl_solution *solution,
                         const struct pl_subject *subject,
                         double *figure,
                         double *limit,
                         const char **unit) {
  *figure = figure_of(proof, solution, subject, limit, unit);
  return solution->status == PL_SOLVED && *figure >= *limit;
}

static void ask_along(struct pl_proof *proof,
                      const struct pl_solution *solution,
                      pl_id pin,
                      bool to_minus,
                      struct pl_ask *ask) {
  uint32_t *path;
  uint32_t n = pl_solution_path(proof->network, solution, pin, to_minus, proof->arena, &path);

  for (uint32_t i = 0; i < n; i++) {
    uint32_t k = path[i];
    enum pl_branch branch = pl_branch_at(proof, k);
    if (!pl_branch_moves(branch))
      continue;
    if (pl_device_is(proof->harness, proof->elements[k].device, PL_IS_DISCONNECT))
      continue;
    PL_PUSH(proof->arena, &ask->elements, k);
  }
}

/* A sneak in a declared state asks for nothing: where there is a way through no other load, ways
 * through one do not count. */
static void keep_clean(struct pl_subject *subject) {
  uint32_t kept = 0;
  uint32_t clean = 0;

  for (uint32_t i = 0; i < subject->asks.n; i++)
    clean += subject->asks.at[i].clean;
  if (clean == 0)
    return;
  for (uint32_t i = 0; i < subject->asks.n; i++)
    if (subject->asks.at[i].clean)
      subject->asks.at[kept++] = subject->asks.at[i];
  subject->asks.n = kept;
}

static void learn_asks(struct pl_proof *proof, struct pl_subject *subject) {
  static const double meant = 0.2; /* share of the limit: two lamps in series are on by halves */

  for (pl_id s = 0; s < proof->harness->states.n; s++) {
    const struct pl_solution *solution = &proof->solutions[s];
    double figure, limit;
    const char *unit;
    pl_id back;
    is_energised(proof, solution, subject, &figure, &limit, &unit);
    if (solution->status != PL_SOLVED)
      continue;
    if (figure < limit * meant)
      continue;
    pl_id feed = feed_pin(proof, solution, subject, &back);
    struct pl_ask ask = {0};
    if (feed != PL_NONE)
      ask_along(proof, solution, feed, subject->to_minus, &ask);
    if (back != PL_NONE)
      ask_along(proof, solution, back, true, &ask);
    ask.clean =
        (feed == PL_NONE ||
         !pl_prove_is_sneaky(proof, solution, feed, subject->to_minus, subject->element, false)) &&
        (back == PL_NONE ||
         !pl_prove_is_sneaky(proof, solution, back, true, subject->element, false));
    PL_PUSH(proof->arena, &subject->asks, ask);
  }
  keep_clean(subject);
}

/* Is every contact of some usual way closed in the combination at hand? */
static bool is_asked(const struct pl_proof *proof, const struct pl_subject *subject) {
  for (uint32_t i = 0; i < subject->asks.n; i++) {
    const struct pl_ask *ask = &subject->asks.at[i];
    uint32_t n = 0;
    while (n < ask->elements.n && pl_look_closed(proof, ask->elements.at[n]))
      n++;
    if (n == ask->elements.n)
      return true;
  }
  return false;
}

typedef PL_VEC(struct pl_subject) subjects;

static subjects list_subjects(struct pl_proof *proof) {
  subjects list = {0};

  for (uint32_t k = 0; k < proof->element_count; k++) {
    const struct pl_element *e = &proof->elements[k];
    if (e->device == PL_NONE)
      continue;
    if (proof->branch[k] != PL_BRANCH_LOAD && proof->branch[k] != PL_BRANCH_PULL)
      continue;
    const struct pl_device *d = &proof->harness->devices.at[e->device];
    struct pl_subject subject = {.device = e->device, .pin = PL_NONE, .element = k};
    if (pl_kind_is(d->kind, PL_IS_MODULE)) {
      if (e->pin_a == PL_NONE)
        continue;
      enum pl_role role = proof->harness->pins.at[e->pin_a].role;
      subject.pin = e->pin_a;
      subject.to_minus =
          role == PL_ROLE_SWITCH_INPUT && !(proof->harness->pins.at[e->pin_a].pull_volts <= 0);
      if (role != PL_ROLE_KEYED_INPUT && (role != PL_ROLE_SWITCH_INPUT || subject.to_minus))
        continue;
    } else if (proof->coil[e->device] != k &&
               (!pl_kind_is_load(d->kind) || strcmp(e->what, "load") != 0)) {
      continue;
    }
    bool fed = proof->live_rail[proof->net[e->node_a]];
    bool grounded = proof->earth_rail[proof->net[e->node_b]];
    if (fed && grounded)
      continue; /* always on */
    learn_asks(proof, &subject);
    PL_PUSH(proof->arena, &list, subject);
  }
  return list;
}

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
static pl_id *keyed_nets(struct pl_proof *proof, const bool *keys) {
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

static bool key_at_rest(const struct pl_proof *proof, pl_id key) {
  if (key == PL_NONE)
    return false;
  return proof->look.position[key] == proof->harness->devices.at[key].rest;
}

/* ---- the search ---- */

struct hunt {
  struct pl_subject *subjects;
  uint32_t count;
  struct pl_cone *cones;      /* by subject */
  const struct pl_cone *cone; /* of this round */
  bool *mine;                 /* by subject: judged in this round */
  pl_id *key;                 /* by net */
  struct pl_sneak *found;     /* by subject; device PL_NONE: nothing */
  uint32_t *departures;
  bool *short_of; /* by subject: a combination could not be decided */
};

static void
judge(struct pl_proof *proof, struct hunt *hunt, uint32_t i, const struct pl_solution *solution) {
  struct pl_subject *subject = &hunt->subjects[i];
  struct pl_sneak *sneak = &hunt->found[i];
  double figure, limit;
  const char *unit;
  pl_id back;
  pl_id feed = feed_pin(proof, solution, subject, &back);

  if (!is_energised(proof, solution, subject, &figure, &limit, &unit))
    return;
  bool reverse = subject->asks.n > 0;
  bool sneaky =
      feed != PL_NONE &&
      pl_prove_is_sneaky(proof, solution, feed, subject->to_minus, subject->element, reverse);
  if (!sneaky && back != PL_NONE) {
    sneaky = pl_prove_is_sneaky(proof, solution, back, true, subject->element, reverse);
    if (sneaky)
      feed = back;
  }
  if (!sneaky)
    return;
  if (sneak->device != PL_NONE) {
    sneak->others++;
    if (proof->look.departures >= hunt->departures[i])
      return;
  }
  hunt->departures[i] = proof->look.departures;
  *sneak = (struct pl_sneak){.device = subject->device,
                             .pin = subject->pin,
                             .figure = figure,
                             .limit = limit,
                             .unit = unit,
                             .others = sneak->others};
  sneak->combination = pl_combo_text(proof, &hunt->cones[i]);
  sneak->path = pl_prove_path(proof, solution, feed, feed == back || subject->to_minus);
  sneak->via =
      pl_prove_crossing(proof, solution, feed, feed == back || subject->to_minus, subject->element);
}

static bool hunt_one(struct pl_proof *proof, pl_id state, void *context) {
  struct hunt *hunt = context;
  const struct pl_solution *solution = NULL;

  (void)state;
  if (proof->look.shorted)
    return true;
  for (uint32_t i = 0; i < hunt->count; i++) {
    if (!hunt->mine[i])
      continue;
    if (hunt->short_of[i])
      continue;
    const struct pl_subject *subject = &hunt->subjects[i];
    const struct pl_element *e = &proof->elements[subject->element];
    if (!proof->look.unsure) {
      if (!pl_look_may_carry(proof, subject->element))
        continue;
      if (is_asked(proof, subject))
        continue;
      if (subject->asks.n == 0 && pl_look_is_firm(proof, subject->element))
        continue;
    }
    if (key_at_rest(proof, hunt->key[proof->net[e->node_a]]))
      continue;
    if (key_at_rest(proof, hunt->key[proof->net[e->node_b]]))
      continue;
    if (solution == NULL)
      solution = pl_look_solve(proof);
    if (solution == NULL) {
      hunt->short_of[i] = true;
      continue;
    }
    if (proof->look.unsure) /* the solver knows better what is pulled in */
      for (uint32_t s = 0; s < proof->switching.n; s++) {
        pl_id device = proof->switching.at[s];
        proof->look.on[device] = solution->device_on[device];
      }
    if (!is_asked(proof, subject))
      judge(proof, hunt, i, solution);
  }
  return true;
}

/* The largest cone first; with it all subjects whose cones lie within. */
static void hunt_all(struct pl_proof *proof, struct hunt *hunt) {
  bool *done = PL_NEW_ARRAY(proof->arena, bool, hunt->count);

  hunt->mine = PL_NEW_ARRAY(proof->arena, bool, hunt->count);
  for (;;) {
    uint32_t best = PL_NONE;
    struct pl_covered covered;
    for (uint32_t i = 0; i < hunt->count; i++) {
      if (done[i])
        continue;
      if (best == PL_NONE || hunt->cones[i].factors.n > hunt->cones[best].factors.n)
        best = i;
    }
    if (best == PL_NONE)
      return;
    double there_are = 1;
    for (uint32_t f = 0; f < hunt->cones[best].factors.n; f++)
      there_are *= hunt->cones[best].factors.at[f].value_count;
    for (uint32_t i = 0; i < hunt->count; i++) {
      bool alike = pl_cone_within(&hunt->cones[i], &hunt->cones[best]) &&
                   (there_are <= (double)PL_PROVE_MOST ||
                    hunt->cones[i].factors.n == hunt->cones[best].factors.n);
      hunt->mine[i] = !done[i] && (i == best || alike);
      if (hunt->mine[i])
        done[i] = true;
    }
    hunt->cone = &hunt->cones[best];
    pl_combos(proof, hunt->cone, PL_PROVE_MOST, &covered, hunt_one, hunt);
    for (uint32_t i = 0; i < hunt->count; i++)
      if (hunt->mine[i]) {
        hunt->found[i].covered = covered;
        hunt->found[i].covered.all = covered.all && !hunt->short_of[i];
      }
  }
}

void pl_prove_sneaks(struct pl_proof *proof, pl_sneaks *sneaks) {
  struct hunt hunt = {0};

  if (proof->reference == PL_NONE)
    return;
  subjects all = list_subjects(proof);
  hunt.subjects = all.at;
  hunt.count = all.n;
  hunt.key = keyed_nets(proof, find_keys(proof));
  hunt.cones = PL_NEW_ARRAY(proof->arena, struct pl_cone, hunt.count);
  hunt.found = PL_NEW_ARRAY(proof->arena, struct pl_sneak, hunt.count);
  hunt.departures = PL_NEW_ARRAY(proof->arena, uint32_t, hunt.count);
  hunt.short_of = PL_NEW_ARRAY(proof->arena, bool, hunt.count);
  for (uint32_t i = 0; i < hunt.count; i++) {
    hunt.found[i].device = PL_NONE;
    pl_cone_init(proof, &hunt.cones[i]);
    pl_cone_add_element(proof, &hunt.cones[i], hunt.subjects[i].element);
  }
  hunt_all(proof, &hunt);
  for (uint32_t i = 0; i < hunt.count; i++)
    if (hunt.found[i].device != PL_NONE)
      PL_PUSH(proof->arena, sneaks, hunt.found[i]);
}

/* ---- nets that only a key feeds ---- */

struct watch_net {
  pl_id key;
  uint32_t node;
  const struct pl_cone *cone;
  struct pl_keyed_live *live;
  uint32_t departures;
  bool found, short_of;
};

static bool watch_one(struct pl_proof *proof, pl_id state, void *context) {
  static const double least = 1.0; /* volts */
  struct watch_net *watch = context;

  (void)state;
  if (proof->look.shorted)
    return true;
  if (!proof->look.unsure && !pl_look_may_be_live(proof, watch->node))
    return true;
  const struct pl_solution *solution = pl_look_solve(proof);
  watch->short_of = solution == NULL;
  if (watch->short_of)
    return false;
  double volts = fabs(solution->node_volts[watch->node]);
  if (solution->status != PL_SOLVED)
    return true;
  if (!(volts >= least))
    return true;
  if (watch->found)
    watch->live->others++;
  if (watch->found && proof->look.departures >= watch->departures)
    return true;
  watch->found = true;
  watch->departures = proof->look.departures;
  watch->live->volts = volts;
  const struct pl_device *key = &proof->harness->devices.at[watch->key];
  watch->live->combination =
      pl_arena_printf(proof->arena,
                      "%s in %s%s%s",
                      key->name,
                      key->throws.at[key->rest].name,
                      proof->look.departures > 0 ? ", " : "",
                      proof->look.departures > 0 ? pl_combo_text(proof, watch->cone) : "");
  watch->live->path =
      pl_prove_path(proof, solution, watch->live->pin, proof->harness->machine.positive_earth);
  return true;
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

void pl_prove_keyed(struct pl_proof *proof, pl_keyed_lives *found) {
  if (proof->reference == PL_NONE)
    return;
  pl_id *key = keyed_nets(proof, find_keys(proof));
  for (uint32_t net = 0; net < proof->net_count; net++) {
    struct pl_keyed_live live = {.key = key[net], .pin = PL_NONE};
    struct pl_cone cone;
    if (key[net] == PL_NONE)
      continue;
    if ((live.pin = net_pin(proof, net)) == PL_NONE)
      continue;
    struct watch_net watch = {.key = key[net],
                              .node = pl_network_pin_node(proof->network, live.pin),
                              .cone = &cone,
                              .live = &live};
    pl_cone_init(proof, &cone);
    pl_cone_add_node(proof, &cone, watch.node);
    uint32_t kept = 0;
    for (uint32_t f = 0; f < cone.factors.n; f++) /* the key stays at rest */
      if (cone.factors.at[f].kind != PL_FACTOR_SWITCH || cone.factors.at[f].id != live.key)
        cone.factors.at[kept++] = cone.factors.at[f];
    cone.factors.n = kept;
    pl_combos(proof, &cone, PL_PROVE_MOST, &live.covered, watch_one, &watch);
    live.covered.all = live.covered.all && !watch.short_of;
    if (watch.found)
      PL_PUSH(proof->arena, found, live);
  }
}
