/* A state to its solution.  Inside: diodes, limits and steady-current loads are stepped until they
 * agree with the volts.  Outside: relays, starters and modules then move, all at once, from rest,
 * until none wants to; a set of positions that comes back is a cycle. */
#include <math.h>
#include <string.h>

#include "base/limits.h"
#include "network/network_inner.h"

enum {
  TOGETHER = 40
}; /* steps in which all disagreeing modes change at once; after that the first of them alone */

enum {
  ROUNDS = 60
}; /* in which temperatures and steady powers must agree with the currents */
static const double agrees =
    1e-9; /* relative change of a wire's ohms, relative error of a steady power */

enum outcome {
  SETTLED,
  CYCLE,
  TOO_LONG,
  TOO_HOT,
  UNSOLVED,
  NO_MEMORY
};

/* ---- making ---- */

struct pl_network *pl_network_new(const struct pl_harness *harness, struct pl_arena *arena) {
  struct pl_network *network = PL_NEW(arena, struct pl_network);

  network->harness = harness;
  network->arena = arena;
  pl_network_build(network);
  return network;
}

void pl_network_release(struct pl_network *network) {
  if (network == NULL)
    return;
  if (network->sparse != NULL)
    pl_sparse_release(network->sparse);
  for (struct pl_attached *a = network->attached; a != NULL; a = a->next)
    a->release(a->what);
}

void pl_network_attach(struct pl_network *network, void *what, void (*release)(void *what)) {
  struct pl_attached *attached = PL_NEW(network->arena, struct pl_attached);

  *attached = (struct pl_attached){network->attached, what, release};
  network->attached = attached;
}

void *pl_network_attached(const struct pl_network *network, void (*release)(void *what)) {
  for (struct pl_attached *a = network->attached; a != NULL; a = a->next)
    if (a->release == release)
      return a->what;
  return NULL;
}

uint32_t pl_network_node_count(const struct pl_network *network) {
  return network->node_count;
}

uint32_t pl_network_pin_node(const struct pl_network *network, pl_id pin) {
  if (pin < network->harness->pins.n)
    return network->pin_node[pin];
  return PL_NONE;
}

uint32_t pl_network_reference(const struct pl_network *network) {
  return network->reference;
}

pl_id pl_network_node_pin(const struct pl_network *network, uint32_t node) {
  if (node < network->node_count)
    return network->node_pin[node];
  return PL_NONE;
}

static bool is_switching(const struct pl_network *network, pl_id id) {
  if (network->coil[id] != PL_NONE)
    return true;
  if (network->standing[id] != PL_NONE)
    return true;
  return pl_kind_is(network->harness->devices.at[id].kind, PL_IS_MODULE);
}

static struct pl_trial *make_trial(struct pl_network *network) {
  struct pl_arena *arena = network->arena;
  size_t nodes = network->node_count;
  size_t elements = network->elements.n;
  size_t devices = network->harness->devices.n;
  struct pl_trial *trial = PL_NEW(arena, struct pl_trial);

  trial->network = network;
  trial->position = PL_NEW_ARRAY(arena, uint32_t, devices);
  trial->output_on = PL_NEW_ARRAY(arena, bool, network->harness->pins.n);
  trial->mode = PL_NEW_ARRAY(arena, uint8_t, elements);
  trial->reached = PL_NEW_ARRAY(arena, bool, nodes);
  trial->forced = PL_NEW_ARRAY(arena, bool, elements);
  trial->cycling = PL_NEW_ARRAY(arena, bool, devices);
  trial->cycling_again = PL_NEW_ARRAY(arena, bool, devices);
  trial->on = PL_NEW_ARRAY(arena, bool, devices);
  trial->fed = PL_NEW_ARRAY(arena, bool, devices);
  trial->switching = PL_NEW_ARRAY(arena, uint32_t, devices);
  trial->branches = PL_NEW_ARRAY(arena, struct pl_branch, elements);
  trial->tangent = PL_NEW_ARRAY(arena, double, elements);
  trial->warm = PL_NEW_ARRAY(arena, double, network->harness->wires.n);
  trial->warm_before = PL_NEW_ARRAY(arena, double, network->harness->wires.n);
  trial->target_before = PL_NEW_ARRAY(arena, double, network->harness->wires.n);
  trial->high = PL_NEW_ARRAY(arena, double, nodes);
  trial->low = PL_NEW_ARRAY(arena, double, nodes);
  trial->balance = PL_NEW_ARRAY(arena, double, nodes);
  trial->largest = PL_NEW_ARRAY(arena, double, nodes);
  trial->unknown = PL_NEW_ARRAY(arena, double, nodes);
  trial->queue = PL_NEW_ARRAY(arena, uint32_t, nodes);
  trial->deferred = PL_NEW_ARRAY(arena, uint32_t, elements);
  trial->sets = PL_NEW_ARRAY(arena, uint8_t *, PL_LIMIT_MODES + 1);
  trial->moded = PL_NEW_ARRAY(arena, uint32_t, elements);
  for (uint32_t k = 0; k < elements; k++) {
    enum pl_element_kind kind = network->elements.at[k].kind;
    if (kind == PL_ELEMENT_CURRENT || kind == PL_ELEMENT_SOURCE || kind == PL_ELEMENT_DIODE)
      trial->moded[trial->moded_count++] = k;
  }
  for (pl_id id = 0; id < devices; id++)
    if (is_switching(network, id))
      trial->switching[trial->switching_count++] = id;
  network->trial = trial;
  return trial;
}

/* ---- relays and modules ---- */

static double above_zero(double volts) {
  return isnan(volts) ? 0 : volts;
}

/* Volts that drive a current: a coil that is broken pulls nothing in. */
static double coil_volts(const struct pl_trial *trial, uint32_t coil) {
  if (coil == PL_NONE)
    return 0;
  if (trial->mode[coil] == PL_MODE_OPEN)
    return 0;
  return fabs(above_zero(
      pl_trial_volts(trial, trial->elements[coil].node_a, trial->elements[coil].node_b)));
}

static bool coil_wants(const struct pl_trial *trial, pl_id id) {
  const struct pl_network *network = trial->network;
  const struct pl_device *d = &network->harness->devices.at[id];
  double supply = pl_network_supply(network->harness, d);
  double volts = coil_volts(trial, network->coil[id]);
  bool starter = pl_kind_is(d->kind, PL_IS_STARTER);
  double in =
      pl_first_good(d->pull_in, supply * (starter ? PL_DEFAULT(STARTER_IN) : PL_DEFAULT(RELAY_IN)));
  double out = pl_first_good(d->drop_out,
                             supply * (starter ? PL_DEFAULT(STARTER_OUT) : PL_DEFAULT(RELAY_OUT)));

  if (d->latching) { /* both coils at once: it stays as it was */
    bool set = volts >= in;
    bool reset = coil_volts(trial, network->reset_coil[id]) >= in;
    if (set == reset)
      return trial->on[id];
    return set;
  }
  return volts >= (trial->on[id] ? fmin(out, in) : in);
}

/* Excited: enough current came in at D+ while it was not, and it turns.  It stays so. */
static bool alternator_wants(const struct pl_trial *trial, pl_id id) {
  if (trial->on[id] || !pl_trial_turning(trial))
    return trial->on[id];
  return pl_trial_amps(trial, trial->network->standing[id]) >= PL_DEFAULT(EXCITES);
}

static bool is_up(double volts, double supply, bool was) {
  return above_zero(volts) > supply * (was ? PL_DEFAULT(SLEEPS) : PL_DEFAULT(WAKES));
}

/* Awake: its feeds are up against its grounds, and so is a keyed input where it has one.  A module
 * without a feed pin lives from its keyed input. */
static bool module_wants(const struct pl_trial *trial, pl_id id, bool *fed) {
  const struct pl_network *network = trial->network;
  const struct pl_device *d = &network->harness->devices.at[id];
  double supply = pl_network_supply(network->harness, d);
  uint32_t ground = network->inner_ground[id];
  bool keyed = false;
  bool up = false;
  bool feeds = false;

  for (pl_id pin = d->first_pin; pin < d->first_pin + d->pin_count; pin++) {
    enum pl_role role = network->harness->pins.at[pin].role;
    feeds = feeds || pl_pin_keeps_alive(network->harness, pin);
    if (role != PL_ROLE_KEYED_INPUT)
      continue;
    keyed = true;
    up = up || is_up(pl_trial_volts(trial, network->pin_node[pin], ground), supply, trial->on[id]);
  }
  *fed = !feeds ||
         is_up(pl_trial_volts(trial, network->inner_feed[id], ground), supply, trial->fed[id]);
  return *fed && (up || !keyed);
}

/* Moves what disagrees with the volts: everything, or the first device alone. */
bool pl_trial_move(struct pl_trial *trial, bool all) {
  bool any = false;

  for (uint32_t i = 0; i < trial->switching_count && (all || !any); i++) {
    pl_id id = trial->switching[i];
    bool fed = false, on;
    if (trial->network->held != NULL && trial->network->held->device == id)
      on = trial->network->held->on;
    else if (trial->network->coil[id] != PL_NONE)
      on = coil_wants(trial, id);
    else if (trial->network->standing[id] != PL_NONE)
      on = alternator_wants(trial, id);
    else
      on = module_wants(trial, id, &fed);
    any = any || on != trial->on[id] || fed != trial->fed[id];
    trial->on[id] = on;
    trial->fed[id] = fed;
  }
  return any;
}

/* ---- remembered sets ---- */

static void keep_set(struct pl_trial *trial, uint32_t at) {
  if (trial->sets[at] == NULL)
    trial->sets[at] = PL_NEW_ARRAY(trial->network->arena, uint8_t, trial->switching_count / 4 + 1);
  memset(trial->sets[at], 0, trial->switching_count / 4 + 1);
  for (uint32_t i = 0; i < trial->switching_count; i++) {
    pl_id id = trial->switching[i];
    unsigned bits = (trial->on[id] ? 1u : 0u) | (trial->fed[id] ? 2u : 0u);
    trial->sets[at][i / 4] = (uint8_t)(trial->sets[at][i / 4] | bits << (i % 4 * 2));
  }
}

static bool is_known_set(const struct pl_trial *trial, uint32_t at, uint32_t *first) {
  for (*first = 0; *first < at; (*first)++)
    if (memcmp(trial->sets[*first], trial->sets[at], trial->switching_count / 4 + 1) == 0)
      return true;
  return false;
}

/* Devices whose place differs between the sets from..to. */
static void mark_cycling(const struct pl_trial *trial, uint32_t from, uint32_t to, bool *cycling) {
  for (uint32_t i = 0; i < trial->switching_count; i++)
    for (uint32_t at = from + 1; at <= to; at++)
      if (((trial->sets[at][i / 4] ^ trial->sets[from][i / 4]) >> (i % 4 * 2) & 3) != 0)
        cycling[trial->switching[i]] = true;
}

/* ---- stepping ---- */

static enum outcome outcome_of(enum pl_step step) {
  if (step == PL_STEP_GOOD)
    return SETTLED;
  return step == PL_STEP_NO_MEMORY ? NO_MEMORY : UNSOLVED;
}

/* Temperatures of wires and steady powers after the currents of settled modes, until nothing
 * changes; *flipped: a mode wants to change on the way. */
static enum outcome agree(struct pl_trial *trial, bool all, bool *flipped, enum pl_step *step) {
  *flipped = false;
  for (int round = 0; round < ROUNDS; round++) {
    double off = fmax(pl_trial_tangents(trial), pl_heat_step(trial));
    if (off <= agrees)
      return SETTLED;
    *step = pl_trial_again(trial);
    if (*step != PL_STEP_GOOD)
      return outcome_of(*step);
    *flipped = pl_trial_flip(trial, all);
    if (*flipped)
      return SETTLED;
  }
  return TOO_HOT;
}

/* Diodes, limits and loads at fixed positions of relays and modules. */
static enum outcome settle(struct pl_trial *trial, enum pl_step *step) {
  for (uint32_t n = 0; trial->steps < PL_LIMIT_MODES; n++) {
    pl_islands_search(trial);
    trial->steps++;
    *step = pl_trial_solve(trial);
    if (*step != PL_STEP_GOOD)
      return outcome_of(*step);
    if (pl_trial_flip(trial, n < TOGETHER))
      continue;
    bool flipped;
    enum outcome outcome = agree(trial, n < TOGETHER, &flipped, step);
    if (outcome != SETTLED || !flipped)
      return outcome;
  }
  return TOO_LONG;
}

static enum outcome run(struct pl_trial *trial, bool together, bool *cycling, enum pl_step *step) {
  const struct pl_network *network = trial->network;
  uint32_t first;

  memcpy(trial->elements, network->elements.at, network->elements.n * sizeof *trial->elements);
  memset(trial->mode, PL_MODE_OPEN, network->elements.n * sizeof *trial->mode);
  pl_trial_condition(trial);
  pl_trial_start(trial);
  if (network->held != NULL)
    trial->on[network->held->device] = network->held->on;
  trial->steps = 0;
  for (uint32_t at = 0; at <= PL_LIMIT_MODES; at++) {
    keep_set(trial, at);
    if (is_known_set(trial, at, &first)) {
      mark_cycling(trial, first, at, cycling);
      return CYCLE;
    }
    pl_trial_drive(trial);
    enum outcome outcome = settle(trial, step);
    if (outcome != SETTLED)
      return outcome;
    if (network->watch != NULL)
      network->watch(network->watch_context, trial);
    if (!pl_trial_move(trial, together))
      return SETTLED;
  }
  return TOO_LONG;
}

static void take_state(struct pl_trial *trial, const struct pl_state *state) {
  const struct pl_harness *harness = trial->network->harness;

  trial->state = state;
  for (pl_id id = 0; id < harness->devices.n; id++) {
    const struct pl_device *d = &harness->devices.at[id];
    if (d->throws.n > 0)
      trial->position[id] = pl_position_in(harness, state, id);
    else
      trial->position[id] = d->rest;
  }
  memset(trial->output_on, 0, harness->pins.n * sizeof *trial->output_on);
  for (uint32_t i = 0; i < state->outputs_on.n; i++) {
    pl_id pin = state->outputs_on.at[i];
    if (pin < harness->pins.n)
      trial->output_on[pin] = true;
  }
}

/* ---- outcomes ---- */

static void fail(struct pl_trial *trial,
                 struct pl_solution *solution,
                 enum pl_solve_status status,
                 const char *why,
                 struct pl_findings *findings) {
  pl_solution_blank(trial->network, solution);
  solution->steps = trial->steps;
  solution->residual = trial->worst;
  solution->status = status;
  solution->failure = why;
  if (status == PL_SOLVE_FAILED)
    pl_report_failure(trial, why, findings);
}

static bool has_source(const struct pl_network *network) {
  for (pl_id id = 0; id < network->harness->devices.n; id++) {
    const struct pl_device *d = &network->harness->devices.at[id];
    if (!pl_kind_is(d->kind, PL_IS_STORE))
      continue;
    for (pl_id pin = d->first_pin; pin < d->first_pin + d->pin_count; pin++)
      if (network->harness->pins.at[pin].wires.n > 0)
        return true;
  }
  return false;
}

static const char *why_not(enum outcome outcome, enum pl_step step) {
  switch (outcome) {
    case SETTLED:
      break;
    case CYCLE:
      return "a relay never comes to rest: it pulls in and drops out again and again";
    case TOO_LONG:
      return "its diodes, limits and relays did not agree within the steps allowed";
    case TOO_HOT:
      return "its currents and what follows from them (warm wires, loads of steady power) did not "
             "agree within the rounds allowed";
    case UNSOLVED:
      if (step == PL_STEP_SINGULAR)
        return "its equations have no single answer";
      return "the currents do not add up to zero there";
    case NO_MEMORY:
      return "the computer's memory does not hold its equations";
  }
  return "";
}

static void
solve_trial(struct pl_trial *trial, struct pl_solution *solution, struct pl_findings *findings) {
  enum pl_step step = PL_STEP_GOOD;
  size_t size = trial->network->harness->devices.n * sizeof *trial->cycling;
  enum outcome outcome;

  memset(trial->cycling, 0, size);
  memset(trial->cycling_again, 0, size);
  outcome = run(trial, true, trial->cycling, &step);
  if (outcome == CYCLE) { /* one at a time may come to rest: then it is a race between them */
    outcome = run(trial, false, trial->cycling_again, &step);
    if (outcome == SETTLED || outcome == CYCLE)
      pl_report_buzz(trial, trial->cycling, outcome == SETTLED, findings);
  }
  if (outcome == SETTLED) {
    pl_solution_fill(trial, solution);
    pl_report_floating(trial, findings);
    return;
  }
  enum pl_solve_status status = outcome == CYCLE ? PL_SOLVE_CYCLE : PL_SOLVE_FAILED;
  fail(trial, solution, status, why_not(outcome, step), findings);
}

void pl_network_solve_as(struct pl_network *network,
                         const struct pl_state *state,
                         struct pl_solution *solution,
                         struct pl_findings *findings) {
  *solution = (struct pl_solution){.state = PL_NONE};
  pl_network_solve_again(network, state, solution, findings);
}

void pl_network_solve_again(struct pl_network *network,
                            const struct pl_state *state,
                            struct pl_solution *solution,
                            struct pl_findings *findings) {
  pl_solution_room(network, solution);
  if (network->reference == PL_NONE || !has_source(network)) {
    pl_solution_blank(network, solution);
    solution->status = PL_SOLVE_NO_SOURCE;
    if (network->reference == PL_NONE)
      solution->failure = "there is no battery";
    else
      solution->failure = "nothing is connected to the battery";
    return;
  }
  struct pl_trial *trial = network->trial != NULL ? network->trial : make_trial(network);
  trial->elements = solution->elements;
  trial->worst = 0;
  trial->worst_node = PL_NONE;
  take_state(trial, state);
  solve_trial(trial, solution, findings);
}

void pl_network_solve(struct pl_network *network,
                      pl_id state,
                      struct pl_solution *solution,
                      struct pl_findings *findings) {
  const struct pl_state rest = pl_state_blank();
  bool known = state < network->harness->states.n;

  pl_network_solve_as(network,
                      known ? &network->harness->states.at[state] : &rest,
                      solution,
                      findings);
  solution->state = known ? state : PL_NONE;
  if (network->trial != NULL)
    network->trial->state = NULL;
}
