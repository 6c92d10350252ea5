/* Requirements over all combinations of their cone, healthy and under each single fault.
 *
 * An exhaustive proof: the cone of the subject and of the requirement's switches is enumerated
 * (combos.c), each combination looked at, only a doubtful one solved.  Of the single faults those
 * are tried that touch a net of the cone which is no rail; faults that join the same two nets are
 * one condition and tried once.  Cost: faults x combinations x a look; at most PL_PROVE_EXACT_MOST
 * solved ones for each requirement under faults.  What was left out is told (struct pl_covered). */
#include <math.h>
#include <string.h>

#include "prove/search_inner.h"

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

/* What must be on may hang on outputs: those that some declared state has on stand on, the others
 * off; none is tried. */
static void hold_outputs(struct pl_proof *proof, struct pl_cone *cone) {
  uint32_t kept = 0;

  for (uint32_t i = 0; i < cone->factors.n; i++) {
    struct pl_factor f = cone->factors.at[i];
    if (f.kind != PL_FACTOR_OUTPUT)
      cone->factors.at[kept++] = f;
    else if (pl_prove_is_declared_on(proof->harness, f.id))
      PL_PUSH(proof->arena, &cone->held, f.id);
  }
  cone->factors.n = kept;
}

/* Outputs on that no declared state has on. */
static bool is_by_output(const struct pl_proof *proof, const struct pl_cone *cone) {
  for (uint32_t i = 0; i < cone->factors.n; i++)
    if (cone->factors.at[i].kind == PL_FACTOR_OUTPUT &&
        proof->look.output_on[cone->factors.at[i].id] &&
        !pl_prove_is_declared_on(proof->harness, cone->factors.at[i].id))
      return true;
  return false;
}

/* ---- what a proof looks for ---- */

struct quest {
  const struct pl_require *require;
  const struct pl_cone *cone;
  uint32_t element;
  struct pl_broken *broken; /* of the healthy machine; else NULL */
};

/* Sets of combinations in which the requirement speaks: all clauses hold, or one after the other is
 * the first that does not. */
static uint64_t *
starts_of(struct pl_positions *p, const struct pl_require *require, uint32_t *count) {
  uint32_t most = 1;
  if (require->unless)
    most = require->clauses.n;
  uint64_t *starts = PL_NEW_ARRAY(p->proof->arena, uint64_t, ((size_t)most + 1) * (p->words + 1));

  *count = 0;
  for (uint32_t failing = 0; failing < most; failing++) {
    uint64_t *left = starts + (size_t)*count * p->words;
    uint32_t holding = require->unless ? failing : require->clauses.n;
    bool none = false;
    pl_search_all(p, left);
    for (uint32_t i = 0; i < holding + (require->unless ? 1 : 0); i++) {
      const struct pl_clause *clause = &require->clauses.at[i];
      uint32_t f = pl_search_factor(p, PL_FACTOR_SWITCH, clause->device);
      bool rests = clause->position == p->proof->harness->devices.at[clause->device].rest;
      if (f == PL_NONE)
        none = none || rests != (i < holding); /* it has one position */
      else if (i < holding)
        pl_search_only(p, left, f, clause->position);
      else
        pl_search_without(p, left, f, clause->position);
    }
    *count += !none;
  }
  return starts;
}

/* Surely on, surely off, or in doubt in all combinations of the set. */
static enum answer settled(struct pl_positions *p, const struct quest *q) {
  pl_id subject = q->require->subject;
  double volts =
      0.09 * pl_prove_supply(p->proof->harness,
                             &p->proof->harness->devices.at[subject]); /* off below 0.1 */

  if (q->element == PL_NONE)
    return DOUBT;
  if (pulls_in(p->proof, subject)) {
    if (p->must[subject])
      return ON;
    return p->may[subject] ? DOUBT : OFF;
  }
  if (pl_positions_firm(p, q->element))
    return ON;
  if (pl_positions_may_carry(p, q->element, volts))
    return DOUBT;
  return OFF;
}

static enum pl_verdict judge(struct pl_positions *p, void *context, struct pl_split *split) {
  const struct quest *q = context;
  const struct pl_proof *proof = p->proof;
  enum answer answer = settled(p, q);

  if (answer != DOUBT)
    return (answer == ON) == q->require->on ? PL_NONE_OF_THEM : PL_ALL_OF_THEM;
  if (q->element == PL_NONE)
    return PL_LIKE_ONE;
  if (pulls_in(proof, q->require->subject) ? pl_positions_pick_device(p, q->require->subject, split)
                                           : pl_positions_pick_way(p, q->element, split))
    return PL_CUT;
  if (pl_positions_pick_near(p,
                             proof->net_a[q->element],
                             proof->net_b[q->element],
                             q->require->on ? PL_WORST_LOW : PL_WORST_HIGH,
                             split))
    return PL_CUT;
  return PL_LIKE_ONE;
}

static enum pl_verdict confirm(struct pl_proof *proof, void *context) {
  const struct quest *q = context;
  enum answer answer = quick(proof, q->require->subject, q->element);

  if (answer == DOUBT) {
    const struct pl_solution *solution = pl_look_solve(proof);
    if (solution == NULL)
      return PL_CUT;
    if (solution->status != PL_SOLVED && solution->status != PL_SOLVE_NO_SOURCE)
      return PL_CUT;
    if (proof->look.unsure && solution->status == PL_SOLVED && !pl_look_as_solved(proof, solution))
      return PL_NONE_OF_THEM;
    bool on = solution->status == PL_SOLVED && solved_on(proof, solution, q->require->subject);
    answer = on ? ON : OFF;
  }
  if ((answer == ON) == q->require->on)
    return PL_NONE_OF_THEM;
  return PL_ALL_OF_THEM;
}

static bool search(struct pl_proof *proof,
                   struct quest *q,
                   const struct pl_goal *goal,
                   struct pl_covered *covered) {
  uint32_t count;

  struct pl_positions *p = pl_positions_of(proof, q->cone);
  uint64_t *starts = starts_of(p, q->require, &count);
  if (q->broken == NULL) /* a module's program is not what breaks */
    for (uint32_t f = 0; f < q->cone->factors.n; f++) {
      const struct pl_factor *factor = &q->cone->factors.at[f];
      if (factor->kind != PL_FACTOR_OUTPUT)
        continue;
      if (pl_prove_is_declared_on(proof->harness, factor->id))
        continue;
      for (uint32_t i = 0; i < count; i++)
        pl_search_only(p, starts + (size_t)i * p->words, f, 0);
    }
  bool found = pl_search(p, starts, count, goal, covered);
  pl_positions_end(p);
  return found;
}

/* ---- healthy ---- */

static void keep(struct pl_proof *proof, void *context, double count) {
  const struct quest *q = context;
  struct pl_broken *broken = q->broken;

  broken->others += count;
  if (broken->broken)
    return; /* the first has the fewest departures */
  broken->broken = true;
  broken->others = count - 1;
  broken->departures = proof->look.departures;
  broken->by_output = is_by_output(proof, q->cone);
  broken->combination = pl_combo_text(proof, q->cone);
  if (q->require->on)
    return;
  const struct pl_solution *solution = pl_look_solve(proof);
  if (solution == NULL || solution->status != PL_SOLVED)
    return;
  if (q->element == PL_NONE)
    return;
  const struct pl_element *e = &solution->elements[q->element];
  pl_id feed = e->amps < 0 ? e->pin_b : e->pin_a;
  if (feed != PL_NONE)
    broken->path = pl_prove_path(proof, solution, feed, false);
}

/* The declared states as they were solved, in which more may matter than the cone holds. */
static void prove_declared(struct pl_proof *proof, const struct quest *p) {
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
  struct quest q = {.require = require,
                    .cone = &cone,
                    .broken = broken,
                    .element = element_of(proof, require->subject)};
  struct pl_goal goal = {&q, judge, confirm, keep};

  *broken = (struct pl_broken){.state = PL_NONE,
                               .combination = "",
                               .path = "",
                               .covered = {.all = true, .why = ""}};
  prove_declared(proof, &q);
  if (broken->broken || proof->reference == PL_NONE)
    return;
  require_cone(proof, require, q.element, &cone);
  if (require->on)
    hold_outputs(proof, &cone);
  search(proof, &q, &goal, &broken->covered);
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

/* What drives the subject, as it may be while the requirement is asked. */
static void defeat_cone(struct pl_proof *proof,
                        const struct quest *q,
                        const struct pl_fault *fault,
                        struct pl_cone *cone) {
  require_cone(proof, q->require, q->element, cone);
  if (fault != NULL) {
    pl_cone_add_node(proof, cone, pl_network_pin_node(proof->network, fault->pin_a));
    pl_cone_add_node(proof, cone, pl_network_pin_node(proof->network, fault->pin_b));
  }
  if (q->require->on)
    hold_outputs(proof, cone);
}

/* The combination in which the fault defeats the requirement; NULL when none does. */
static const char *try_fault(struct pl_proof *proof,
                             const struct pl_fault *fault,
                             struct quest q,
                             struct pl_covered *covered) {
  struct pl_goal goal = {&q, judge, confirm, NULL};
  struct pl_cone wider;
  const char *combination = NULL;

  if (fault->pin_b != PL_NONE) { /* pins joined: what drives the other circuit matters too */
    defeat_cone(proof, &q, fault, &wider);
    q.cone = &wider;
  }
  pl_proof_nets(proof, fault);
  proof->look.fault = fault;
  if (search(proof, &q, &goal, covered))
    combination = pl_combo_text(proof, q.cone);
  proof->look.fault = NULL;
  pl_proof_nets(proof, NULL);
  return combination;
}

/* The faults of wires and devices of the cone. */
static pl_faults faults_of(struct pl_proof *proof, const struct quest *q, const pl_faults *all) {
  const struct pl_cone *cone = q->cone;
  pl_faults mine = {0};
  bool *net_in = PL_NEW_ARRAY(proof->arena, bool, proof->net_count);

  for (uint32_t i = 0; i < cone->nets.n; i++)
    net_in[cone->nets.at[i]] = true;
  for (uint32_t i = 0; i < all->n; i++)
    if (all->at[i].device == q->require->subject || concerns(proof, net_in, &all->at[i]))
      PL_PUSH(proof->arena, &mine, all->at[i]);
  return mine;
}

static void add_up(struct pl_covered *covered, const struct pl_covered *now) {
  covered->there_are = fmax(covered->there_are, now->there_are);
  covered->sets += now->sets;
  covered->solved += now->solved;
  if (covered->all)
    covered->why = now->why;
  covered->all = covered->all && now->all;
}

void pl_prove_defeats(struct pl_proof *proof,
                      uint32_t index,
                      pl_defeats *defeats,
                      struct pl_covered *covered,
                      uint32_t *undecided) {
  const struct pl_require *require = &proof->harness->requires.at[index];
  struct pl_cone cone;
  struct quest q = {.require = require,
                    .cone = &cone,
                    .element = element_of(proof, require->subject)};

  *undecided = 0;
  *covered = (struct pl_covered){.all = true, .why = ""};
  if (proof->reference == PL_NONE)
    return;
  if (q.element == PL_NONE)
    return;
  defeat_cone(proof, &q, NULL, &cone);
  pl_faults mine = faults_of(proof, &q, pl_proof_faults(proof));
  uint32_t *healthy = PL_NEW_ARRAY(proof->arena, uint32_t, proof->node_count);
  memcpy(healthy, proof->net, proof->node_count * sizeof *healthy);
  const char **done = PL_NEW_ARRAY(proof->arena, const char *, mine.n + 1);
  for (uint32_t i = 0; i < mine.n; i++) {
    uint32_t before = 0;
    while (before < i && !same_condition(proof, healthy, &mine.at[before], &mine.at[i]))
      before++;
    if (before < i) {
      done[i] = done[before];
    } else {
      struct pl_covered now;
      done[i] = try_fault(proof, &mine.at[i], q, &now);
      *undecided += !now.all && done[i] == NULL;
      add_up(covered, &now);
    }
    if (done[i] == NULL)
      continue;
    struct pl_defeat defeat = {index,
                               mine.at[i],
                               pl_fault_text(proof->harness, &mine.at[i], proof->arena),
                               done[i]};
    PL_PUSH(proof->arena, defeats, defeat);
  }
}
