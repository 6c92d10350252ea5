/* Requirements over all combinations of their cone, healthy and under each single fault.
 *
 * An exhaustive proof: the cone of the subject and of the requirement's switches is enumerated
 * (combos.c), each combination looked at, only a doubtful one solved.  Of the single faults those
 * are tried that touch a net of the cone which is no rail; faults that join the same two nets are
 * one condition and tried once.  Cost: faults x combinations x a look; at most PL_PROVE_EXACT_MOST
 * solved ones for each requirement under faults.  What was left out is told (struct pl_covered). */
#include <math.h>
#include <string.h>

#include "prove/prove_inner.h"

/* ---- on or off ---- */

/* The element that says whether the subject is on: a coil, a load, a module's
 * keyed input; PL_NONE. */
static uint32_t element_of(const struct pl_proof *proof, pl_id subject) {
  const struct pl_device *d = &proof->harness->devices.at[subject];
  uint32_t first = PL_NONE;

  if (proof->coil[subject] != PL_NONE)
    return proof->coil[subject];
  for (uint32_t k = 0; k < proof->element_count; k++) {
    const struct pl_element *e = &proof->elements[k];
    if (e->device != subject)
      continue;
    if (proof->branch[k] != PL_BRANCH_LOAD)
      continue;
    if (!pl_kind_is(d->kind, PL_IS_MODULE))
      return k;
    if (e->pin_a != PL_NONE && proof->harness->pins.at[e->pin_a].role == PL_ROLE_KEYED_INPUT)
      return k;
    if (first == PL_NONE)
      first = k;
  }
  return first;
}

static bool pulls_in(const struct pl_proof *proof, pl_id subject) {
  enum pl_kind kind = proof->harness->devices.at[subject].kind;
  return pl_kind_is(kind, PL_IS_COIL | PL_IS_MODULE);
}

/* As in the rules: a relay that has pulled in, a load with a tenth of its volts. */
static bool
solved_on(const struct pl_proof *proof, const struct pl_solution *solution, pl_id subject) {
  const struct pl_device *d = &proof->harness->devices.at[subject];

  if (pulls_in(proof, subject))
    return solution->device_on[subject];
  return fabs(solution->device_volts[subject]) >=
         0.1 * pl_prove_supply(proof->harness, d); /* NAN is off */
}

enum answer {
  OFF,
  ON,
  DOUBT
};

static enum answer quick(struct pl_proof *proof, pl_id subject, uint32_t element) {
  if (proof->look.unsure || element == PL_NONE)
    return DOUBT;
  if (pulls_in(proof, subject))
    return proof->look.on[subject] ? ON : OFF; /* a coil in doubt makes the look unsure */
  if (pl_look_is_firm(proof, element))
    return ON;
  return pl_look_may_carry(proof, element) ? DOUBT : OFF;
}

static bool clauses_hold(const struct pl_proof *proof, const struct pl_require *require) {
  for (uint32_t i = 0; i < require->clauses.n; i++) {
    pl_id device = require->clauses.at[i].device;
    if (proof->look.position[device] != require->clauses.at[i].position)
      return false;
  }
  return true;
}

/* ---- the cone of a requirement ---- */

static void require_cone(struct pl_proof *proof,
                         const struct pl_require *require,
                         uint32_t element,
                         struct pl_cone *cone) {
  pl_cone_init(proof, cone);
  for (uint32_t i = 0; i < require->clauses.n; i++) {
    pl_cone_add_switch(proof, cone, require->clauses.at[i].device);
    if (i < cone->factors.n)
      cone->factors.at[i].tell = true;
  }
  for (uint32_t i = 0; i < cone->factors.n; i++)
    cone->factors.at[i].tell = true;
  if (element != PL_NONE)
    pl_cone_add_element(proof, cone, element);
}

static bool is_declared_on(const struct pl_harness *harness, pl_id pin) {
  for (pl_id s = 0; s < harness->states.n; s++)
    for (uint32_t i = 0; i < harness->states.at[s].outputs_on.n; i++)
      if (harness->states.at[s].outputs_on.at[i] == pin)
        return true;
  return false;
}

/* What must be on may hang on outputs: those that some declared state has on stand on, the others
 * off; none is tried. */
static void hold_outputs(struct pl_proof *proof, struct pl_cone *cone) {
  uint32_t kept = 0;

  for (uint32_t i = 0; i < cone->factors.n; i++) {
    struct pl_factor f = cone->factors.at[i];
    if (f.kind != PL_FACTOR_OUTPUT)
      cone->factors.at[kept++] = f;
    else if (is_declared_on(proof->harness, f.id))
      PL_PUSH(proof->arena, &cone->held, f.id);
  }
  cone->factors.n = kept;
}

/* Outputs on that no declared state has on. */
static bool is_by_output(const struct pl_proof *proof, const struct pl_cone *cone) {
  for (uint32_t i = 0; i < cone->factors.n; i++)
    if (cone->factors.at[i].kind == PL_FACTOR_OUTPUT &&
        proof->look.output_on[cone->factors.at[i].id] &&
        !is_declared_on(proof->harness, cone->factors.at[i].id))
      return true;
  return false;
}

/* ---- healthy ---- */

struct prove {
  const struct pl_require *require;
  const struct pl_cone *cone;
  uint32_t element;
  struct pl_broken *broken;
  uint32_t rank; /* of the combination kept: declared first, then without odd outputs, then the
                    fewest departures */
  bool short_of;
};

static void keep(struct pl_proof *proof, struct prove *p, pl_id state) {
  bool by_output = is_by_output(proof, p->cone);
  uint32_t rank = (state == PL_NONE ? 10000u : state) + (by_output ? 100000u : 0u) +
                  (state == PL_NONE ? proof->look.departures : 0);

  if (p->broken->broken)
    p->broken->others++;
  if (p->broken->broken && rank >= p->rank)
    return;
  p->rank = rank;
  p->broken->broken = true;
  p->broken->state = state;
  p->broken->by_output = by_output;
  p->broken->combination = pl_combo_text(proof, p->cone);
  p->broken->path = "";
  if (p->require->on)
    return;
  const struct pl_solution *solution = pl_look_solve(proof);
  if (solution == NULL || solution->status != PL_SOLVED)
    return;
  if (p->element == PL_NONE)
    return;
  const struct pl_element *e = &solution->elements[p->element];
  pl_id feed = e->amps < 0 ? e->pin_b : e->pin_a;
  if (feed != PL_NONE)
    p->broken->path = pl_prove_path(proof, solution, feed, false);
}

static bool prove_one(struct pl_proof *proof, pl_id state, void *context) {
  struct prove *p = context;
  const struct pl_require *require = p->require;

  if (clauses_hold(proof, require) == require->unless)
    return true;
  if (proof->look.shorted && state == PL_NONE)
    return true; /* a fuse opens: not this rule's business */
  enum answer answer = quick(proof, require->subject, p->element);
  if (answer == DOUBT) {
    const struct pl_solution *solution = pl_look_solve(proof);
    if (solution == NULL)
      p->short_of = true;
    if (solution == NULL || solution->status != PL_SOLVED)
      return true;
    if (solved_on(proof, solution, require->subject))
      answer = ON;
    else
      answer = OFF;
  }
  if ((answer == ON) != require->on)
    keep(proof, p, state);
  return true;
}

/* The declared states as they were solved, in which more may matter than the cone holds. */
static void prove_declared(struct pl_proof *proof, struct prove *p) {
  for (pl_id s = 0; s < proof->harness->states.n; s++) {
    const struct pl_state *state = &proof->harness->states.at[s];
    if (proof->solutions[s].status != PL_SOLVED)
      continue;
    for (pl_id d = 0; d < proof->harness->devices.n; d++)
      proof->look.position[d] = pl_position_in(proof->harness, state, d);
    if (clauses_hold(proof, p->require) == p->require->unless)
      continue;
    if (solved_on(proof, &proof->solutions[s], p->require->subject) == p->require->on)
      continue;
    if (p->broken->broken) {
      p->broken->others++;
      continue;
    }
    p->broken->broken = true;
    p->broken->state = s;
    p->broken->combination = state->name;
    p->broken->path = "";
    if (p->require->on)
      continue;
    if (p->element == PL_NONE)
      continue;
    const struct pl_element *e = &proof->solutions[s].elements[p->element];
    pl_id feed = e->amps < 0 ? e->pin_b : e->pin_a;
    if (feed != PL_NONE)
      p->broken->path = pl_prove_path(proof, &proof->solutions[s], feed, false);
  }
}

void pl_prove_require(struct pl_proof *proof, uint32_t index, struct pl_broken *broken) {
  const struct pl_require *require = &proof->harness->requires.at[index];
  struct pl_cone cone;
  struct prove p = {.require = require,
                    .cone = &cone,
                    .broken = broken,
                    .element = element_of(proof, require->subject)};

  *broken =
      (struct pl_broken){.state = PL_NONE, .combination = "", .path = "", .covered = {.all = true}};
  prove_declared(proof, &p);
  if (broken->broken || proof->reference == PL_NONE)
    return;
  require_cone(proof, require, p.element, &cone);
  if (require->on)
    hold_outputs(proof, &cone);
  pl_combos(proof, &cone, PL_PROVE_MOST, &broken->covered, prove_one, &p);
  broken->covered.all = broken->covered.all && !p.short_of;
}

/* ---- under single faults ---- */

static bool is_pin_in(const struct pl_proof *proof, const bool *net_in, pl_id pin) {
  uint32_t node = PL_NONE;
  if (pin != PL_NONE)
    node = pl_network_pin_node(proof->network, pin);

  if (node == PL_NONE)
    return false;
  if (!net_in[proof->net[node]])
    return false;
  if (proof->live_rail[proof->net[node]])
    return false;
  return !proof->earth_rail[proof->net[node]];
}

static bool is_device_in(const struct pl_proof *proof, const bool *net_in, pl_id id) {
  const struct pl_device *d = &proof->harness->devices.at[id];

  for (pl_id pin = d->first_pin; pin < pl_pins_end(d); pin++)
    if (is_pin_in(proof, net_in, pin))
      return true;
  return false;
}

/* Does the fault touch a net of the cone that is no rail, or cut a way of one of its devices to a
 * rail? */
static bool
concerns(const struct pl_proof *proof, const bool *net_in, const struct pl_fault *fault) {
  const struct pl_harness *h = proof->harness;

  if (fault->wire != PL_NONE && fault->kind == PL_FAULT_OPEN) {
    const struct pl_wire *wire = &h->wires.at[fault->wire];
    for (int i = 0; i < 2; i++)
      if (wire->end[i] != PL_NONE && is_device_in(proof, net_in, h->pins.at[wire->end[i]].device))
        return true;
    return false;
  }
  if (fault->pin_a != PL_NONE)
    return is_pin_in(proof, net_in, fault->pin_a) || is_pin_in(proof, net_in, fault->pin_b);
  if (fault->device == PL_NONE)
    return false;
  return is_device_in(proof, net_in, fault->device);
}

/* Do both faults do the same to the joints?  Chafed wires of one net do. */
static bool same_condition(const struct pl_proof *proof,
                           const uint32_t *net,
                           const struct pl_fault *a,
                           const struct pl_fault *b) {
  if (a->kind != b->kind)
    return false;
  if (a->kind != PL_FAULT_TO_CHASSIS && a->kind != PL_FAULT_TO_BATTERY)
    return false;
  return net[pl_network_pin_node(proof->network, a->pin_a)] ==
         net[pl_network_pin_node(proof->network, b->pin_a)];
}

struct defeat {
  const struct pl_require *require;
  const struct pl_cone *cone;
  uint32_t element, exact, departures;
  bool found, undecided;
  const char *combination;
};

static bool defeat_one(struct pl_proof *proof, pl_id state, void *context) {
  struct defeat *d = context;

  (void)state;
  if (clauses_hold(proof, d->require) == d->require->unless || proof->look.shorted)
    return true; /* shorted: a fuse opens */
  if (is_by_output(proof, d->cone))
    return true;
  enum answer answer = quick(proof, d->require->subject, d->element);
  if (answer == DOUBT) {
    if (d->exact >= PL_PROVE_EXACT_MOST) {
      d->undecided = true;
      return true;
    }
    d->exact++;
    const struct pl_solution *solution = pl_look_solve(proof);
    if (solution == NULL)
      d->undecided = true;
    if (solution == NULL || solution->status != PL_SOLVED)
      return true;
    if (solved_on(proof, solution, d->require->subject))
      answer = ON;
    else
      answer = OFF;
  }
  if (answer != (d->require->on ? OFF : ON))
    return true;
  if (d->found && proof->look.departures >= d->departures)
    return true;
  d->found = true;
  d->departures = proof->look.departures;
  d->combination = pl_combo_text(proof, d->cone);
  return true;
}

/* What drives the subject, as it may be while the requirement is asked. */
static void defeat_cone(struct pl_proof *proof,
                        const struct defeat *d,
                        const struct pl_fault *fault,
                        struct pl_cone *cone) {
  require_cone(proof, d->require, d->element, cone);
  if (fault != NULL) {
    pl_cone_add_node(proof, cone, pl_network_pin_node(proof->network, fault->pin_a));
    pl_cone_add_node(proof, cone, pl_network_pin_node(proof->network, fault->pin_b));
  }
  if (d->require->on)
    hold_outputs(proof, cone);
}

static void try_fault(struct pl_proof *proof,
                      const struct pl_fault *fault,
                      uint32_t most,
                      struct defeat *d,
                      struct pl_covered *covered) {
  struct pl_cone wider;
  struct pl_covered now;
  const struct pl_cone *cone = d->cone;

  d->found = d->undecided = false;
  if (fault->pin_b != PL_NONE) { /* pins joined: what drives the other circuit matters too */
    defeat_cone(proof, d, fault, &wider);
    d->cone = &wider;
  }
  pl_proof_nets(proof, fault);
  proof->look.fault = fault;
  pl_combos(proof, d->cone, most, &now, defeat_one, d);
  if (now.there_are > covered->there_are)
    *covered = (struct pl_covered){now.tried, covered->all, now.there_are};
  covered->all = covered->all && now.all;
  proof->look.fault = NULL;
  pl_proof_nets(proof, NULL);
  d->cone = cone;
}

void pl_prove_defeats(struct pl_proof *proof,
                      uint32_t index,
                      pl_defeats *defeats,
                      struct pl_covered *covered,
                      uint32_t *undecided) {
  const struct pl_require *require = &proof->harness->requires.at[index];
  struct pl_cone cone;
  pl_faults mine = {0};
  struct defeat d = {.require = require,
                     .cone = &cone,
                     .element = element_of(proof, require->subject)};

  *undecided = 0;
  *covered = (struct pl_covered){.all = true};
  if (proof->reference == PL_NONE)
    return;
  if (d.element == PL_NONE)
    return;
  defeat_cone(proof, &d, NULL, &cone);
  const pl_faults *all = pl_proof_faults(proof);
  uint32_t *healthy = PL_NEW_ARRAY(proof->arena, uint32_t, proof->node_count);
  memcpy(healthy, proof->net, proof->node_count * sizeof *healthy);
  bool *net_in = PL_NEW_ARRAY(proof->arena, bool, proof->net_count);
  for (uint32_t i = 0; i < cone.nets.n; i++)
    net_in[cone.nets.at[i]] = true;
  for (uint32_t i = 0; i < all->n; i++)
    if (concerns(proof, net_in, &all->at[i]))
      PL_PUSH(proof->arena, &mine, all->at[i]);
  struct defeat *done = PL_NEW_ARRAY(proof->arena, struct defeat, mine.n + 1);
  for (uint32_t i = 0; i < mine.n; i++) {
    uint32_t before = 0;
    while (before < i && !same_condition(proof, healthy, &mine.at[before], &mine.at[i]))
      before++;
    if (before < i) {
      done[i] = done[before];
    } else {
      try_fault(proof, &mine.at[i], PL_PROVE_FAULT_MOST, &d, covered);
      *undecided += d.undecided;
      done[i] = d;
    }
    if (!done[i].found)
      continue;
    struct pl_defeat defeat = {index,
                               mine.at[i],
                               pl_fault_text(proof->harness, &mine.at[i], proof->arena),
                               done[i].combination};
    PL_PUSH(proof->arena, defeats, defeat);
  }
}
