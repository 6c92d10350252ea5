/* One linear solve of a set of modes, and which modes the answer contradicts.  Volts are kept as
 * the sum of two numbers and refined until Kirchhoff's law closes: in one number a microamp beside
 * a milliohm would drown in the rounding of 12 volts. */
#include <math.h>
#include <string.h>

#include "network/network_inner.h"

static const double closes = 1e-9; /* relative Kirchhoff error that is let pass */
static const double no_current =
    1e-6;                         /* a node's currents are measured against this at least, amps */
static const double slack = 1e-9; /* volts (or share of amps) a mode may be beyond its corner */
static const double fast =
    1e-3; /* what a correction leaves of the error, at most, for old factors to be kept */
enum {
  REFINEMENTS = 12
};

/* ---- drives ---- */

bool pl_trial_turning(const struct pl_trial *trial) {
  return trial->state->engine == PL_ENGINE_IDLE || trial->state->engine == PL_ENGINE_SPEED;
}

static double shifted_times(const struct pl_trial *trial, uint32_t k) {
  if (trial->network->shift != NULL)
    return trial->network->shift->times[k];
  return 1;
}

static void drive_draw(struct pl_trial *trial, uint32_t k, bool awake) {
  struct pl_element *e = &trial->elements[k];
  const struct pl_drive *drive = &trial->network->drives.at[k];

  e->limit = (awake ? drive->awake : drive->asleep) * shifted_times(trial, k);
  if (e->limit > 0)
    e->ohms = e->volts / e->limit;
  else
    e->ohms = INFINITY;
  if (e->ohms < PL_DEFAULT(LEAST))
    e->ohms = PL_DEFAULT(LEAST);
}

static bool is_driven_open(struct pl_trial *trial, uint32_t k) {
  struct pl_element *e = &trial->elements[k];
  const struct pl_drive *drive = &trial->network->drives.at[k];
  pl_id device = e->device;
  bool awake = device != PL_NONE && trial->on[device];

  switch (drive->kind) {
    case PL_DRIVE_NONE:
      return false;
    case PL_DRIVE_THROW:
      return trial->position[device] != drive->index;
    case PL_DRIVE_MAKE:
      return !awake;
    case PL_DRIVE_BREAK:
      return awake;
    case PL_DRIVE_OUTPUT:
      return !awake || !trial->output_on[drive->index];
    case PL_DRIVE_SUPPLY:
      return !awake;
    case PL_DRIVE_PULL:
      e->volts = awake ? trial->network->elements.at[k].volts : 0;
      if (trial->network->shift != NULL && e->volts > 0)
        e->volts += trial->network->shift->volts[k];
      return false;
    case PL_DRIVE_DRAW:
      drive_draw(trial, k, awake);
      return !(e->ohms <= PL_DEFAULT(MOST));
    case PL_DRIVE_ALTERNATOR:
      e->limit = (trial->state->engine == PL_ENGINE_SPEED ? drive->awake : drive->asleep) *
                 shifted_times(trial, k);
      return !awake;
    case PL_DRIVE_EXCITER:
      return !awake;
    case PL_DRIVE_STANDING:
      return awake;
    case PL_DRIVE_QUANTITY:
    case PL_DRIVE_UPPER:
    case PL_DRIVE_LOWER:
      return false;
    case PL_DRIVE_NEVER:
      return true;
  }
  return false;
}

static enum pl_mode first_mode(const struct pl_element *e) {
  if (e->kind == PL_ELEMENT_CURRENT)
    return PL_MODE_STEADY;
  return e->kind == PL_ELEMENT_DIODE ? PL_MODE_BLOCKS : PL_MODE_CONDUCTS;
}

void pl_trial_drive_one(struct pl_trial *trial, uint32_t k) {
  if (is_driven_open(trial, k))
    trial->mode[k] = PL_MODE_OPEN;
  else if (trial->mode[k] == PL_MODE_OPEN)
    trial->mode[k] = (uint8_t)first_mode(&trial->elements[k]);
}

void pl_trial_drive(struct pl_trial *trial) {
  for (uint32_t k = 0; k < trial->network->elements.n; k++)
    pl_trial_drive_one(trial, k);
}

/* ---- volts and amps ---- */

/* a - b - offset without losing the small part: the rounding of each subtraction is carried on. */
static inline double difference(double a, double b, double offset, double low) {
  double s = a - b;
  double t = s - a;
  double rounding = (a - (s - t)) - (b + t);

  return (s - offset) + (rounding + low);
}

static inline double across(const struct pl_trial *trial, uint32_t a, uint32_t b, double offset) {
  return difference(trial->high[a], trial->high[b], offset, trial->low[a] - trial->low[b]);
}

double pl_trial_volts(const struct pl_trial *trial, uint32_t a, uint32_t b) {
  if (a == PL_NONE || b == PL_NONE)
    return NAN;
  if (!trial->reached[a])
    return NAN;
  if (!trial->reached[b])
    return NAN;
  return across(trial, a, b, 0);
}

static bool is_offset(const struct pl_element *e) {
  return e->kind == PL_ELEMENT_SOURCE || e->kind == PL_ELEMENT_DIODE;
}

/* A steady power as a line about the volts of the step before, at which it is watts over volts. */
static double tangent_amps(const struct pl_trial *trial, uint32_t k) {
  const struct pl_element *e = &trial->elements[k];
  double at = trial->tangent[k];
  double beyond = across(trial, e->node_a, e->node_b, at);

  return e->watts / at * (1 - beyond / at);
}

double pl_trial_amps(const struct pl_trial *trial, uint32_t k) {
  const struct pl_element *e = &trial->elements[k];
  double offset = 0;
  if (is_offset(e))
    offset = e->volts;

  if (!pl_trial_reaches(trial, e))
    return 0;
  switch ((enum pl_mode)trial->mode[k]) {
    case PL_MODE_CONDUCTS:
      return across(trial, e->node_a, e->node_b, offset) / e->ohms;
    case PL_MODE_STEADY:
      if (e->watts > 0)
        return tangent_amps(trial, k);
      if (e->kind == PL_ELEMENT_SOURCE)
        return -e->limit;
      return e->limit;
    case PL_MODE_OPEN:
    case PL_MODE_BLOCKS:
      break;
  }
  return 0;
}

/* ---- the linear solve ---- */

static void make_sparse(struct pl_network *network) {
  struct pl_stamp *stamps = PL_NEW_ARRAY(network->arena, struct pl_stamp, network->elements.n);

  for (uint32_t k = 0; k < network->elements.n; k++)
    stamps[k] = (struct pl_stamp){pl_row_of(network, network->elements.at[k].node_a),
                                  pl_row_of(network, network->elements.at[k].node_b)};
  network->sparse =
      pl_sparse_new(network->arena, network->node_count - 1, stamps, network->elements.n);
}

/* What flows, as one law for every kind and mode: amps = siemens * (volts across - offset) + fixed.
 */
static struct pl_branch branch_of(const struct pl_trial *trial, uint32_t k) {
  const struct pl_element *e = &trial->elements[k];
  struct pl_branch branch = {.element = k, .a = e->node_a, .b = e->node_b};

  if (trial->mode[k] == PL_MODE_CONDUCTS) {
    branch.siemens = 1 / e->ohms;
    if (is_offset(e))
      branch.offset = e->volts;
    else
      branch.offset = 0;
  } else if (e->watts > 0) { /* its tangent, as in pl_trial_amps */
    branch.fixed = e->watts / trial->tangent[k];
    branch.siemens = -branch.fixed / trial->tangent[k];
    branch.offset = trial->tangent[k];
  } else {
    if (e->kind == PL_ELEMENT_SOURCE)
      branch.fixed = -e->limit;
    else
      branch.fixed = e->limit;
  }
  return branch;
}

static void list_branches(struct pl_trial *trial) {
  uint32_t n = 0;

  for (uint32_t k = 0; k < trial->network->elements.n; k++) {
    const struct pl_element *e = &trial->elements[k];
    if (trial->mode[k] != PL_MODE_CONDUCTS && trial->mode[k] != PL_MODE_STEADY)
      continue;
    if (pl_trial_reaches(trial, e))
      trial->branches[n++] = branch_of(trial, k);
  }
  trial->branch_count = n;
}

/* The matrix of the branches that are listed, and its factors. */
static enum pl_step factor(struct pl_trial *trial) {
  struct pl_network *network = trial->network;
  uint32_t row;

  if (network->sparse == NULL)
    make_sparse(network);
  pl_sparse_clear(network->sparse);
  for (uint32_t i = 0; i < trial->branch_count; i++)
    if (trial->branches[i].siemens != 0)
      pl_sparse_add(network->sparse, trial->branches[i].element, trial->branches[i].siemens);
  for (uint32_t n = 0; n < network->node_count; n++)
    if (!trial->reached[n])
      pl_sparse_pin(network->sparse, pl_row_of(network, n));
  enum pl_sparse_status status = pl_sparse_factor(network->sparse, &row);
  if (status == PL_SPARSE_GOOD)
    return PL_STEP_GOOD;
  if (status == PL_SPARSE_NO_MEMORY)
    return PL_STEP_NO_MEMORY;
  if (row != PL_NO_ROW)
    trial->worst_node = row + (row >= network->reference);
  return PL_STEP_SINGULAR;
}

/* Amps left over at every node, and the worst of them against the largest current through its node.
 */
static bool balance(struct pl_trial *trial) {
  const struct pl_network *network = trial->network;
  size_t size = network->node_count * sizeof(double);
  double *left = trial->balance;
  double *largest = trial->largest;

  memset(left, 0, size);
  memset(largest, 0, size);
  for (uint32_t i = 0; i < trial->branch_count; i++) {
    const struct pl_branch *f = &trial->branches[i];
    double amps = f->siemens * across(trial, f->a, f->b, f->offset) + f->fixed;
    double size_of = fabs(amps);
    if (!isfinite(amps)) {
      trial->worst_node = f->a;
      return false;
    }
    left[f->a] -= amps;
    left[f->b] += amps;
    if (size_of > largest[f->a])
      largest[f->a] = size_of;
    if (size_of > largest[f->b])
      largest[f->b] = size_of;
  }
  left[network->reference] = 0; /* it takes what the others leave */
  trial->worst = 0;
  for (uint32_t n = 0; n < network->node_count; n++) {
    double most = no_current;
    if (largest[n] > no_current)
      most = largest[n];
    if (!(fabs(left[n]) > trial->worst * most))
      continue;
    trial->worst = fabs(left[n]) / most;
    trial->worst_node = n;
  }
  return true;
}

/* Adds a correction to the volts of nodes from..to. */
static bool add(struct pl_trial *trial, uint32_t from, uint32_t to, const double *correction) {
  double *high = trial->high;
  double *low = trial->low;

  for (uint32_t n = from; n < to; n++) {
    double more = low[n] + correction[n - from];
    double sum = high[n] + more;
    low[n] = more - (sum - high[n]);
    high[n] = sum;
    if (!isfinite(sum)) {
      trial->worst_node = n;
      return false;
    }
  }
  return true;
}

/* Adds to the volts what the amps left over ask for.  Nothing flows at nodes that are not reached:
 * they have none left. */
static bool correct(struct pl_trial *trial) {
  uint32_t reference = trial->network->reference;
  uint32_t nodes = trial->network->node_count;
  double *unknown = trial->unknown;

  memcpy(unknown, trial->balance, reference * sizeof *unknown);
  memcpy(unknown + reference,
         trial->balance + reference + 1,
         (nodes - reference - 1) * sizeof *unknown);
  if (!pl_sparse_solve(trial->network->sparse, unknown))
    return false;
  if (!add(trial, 0, reference, unknown))
    return false;
  return add(trial, reference + 1, nodes, unknown + reference);
}

/* Corrects the volts until the currents close.  Factors of other figures do while they get on fast;
 * else they are made afresh. */
static enum pl_step refine(struct pl_trial *trial, bool other_factors) {
  double before = INFINITY;

  for (int round = 0;; round++) {
    if (!balance(trial))
      return PL_STEP_OPEN_SUM;
    if (trial->worst <= closes * 1e-3)
      return PL_STEP_GOOD;
    if (trial->worst <= closes && trial->worst > before / 2)
      return PL_STEP_GOOD;
    if (round == REFINEMENTS)
      return trial->worst <= closes ? PL_STEP_GOOD : PL_STEP_OPEN_SUM;
    if (other_factors && trial->worst > before * fast) {
      enum pl_step step = factor(trial);
      if (step != PL_STEP_GOOD)
        return step;
      other_factors = false;
    }
    before = trial->worst;
    if (!correct(trial))
      return PL_STEP_OPEN_SUM;
  }
}

enum pl_step pl_trial_again(struct pl_trial *trial) {
  list_branches(trial);
  if (refine(trial, true) == PL_STEP_GOOD)
    return PL_STEP_GOOD;
  return pl_trial_solve(trial);
}

enum pl_step pl_trial_solve(struct pl_trial *trial) {
  trial->worst_node = PL_NONE;
  list_branches(trial);
  enum pl_step step = factor(trial);
  if (step != PL_STEP_GOOD)
    return step;
  memset(trial->high, 0, trial->network->node_count * sizeof(double));
  memset(trial->low, 0, trial->network->node_count * sizeof(double));
  return refine(trial, false); /* its first round starts from 0 V everywhere: the solution itself */
}

double pl_trial_tangents(struct pl_trial *trial) {
  const struct pl_network *network = trial->network;
  double most = 0;

  for (uint32_t i = 0; i < network->powers.n; i++) {
    uint32_t k = network->powers.at[i];
    const struct pl_element *e = &trial->elements[k];
    if (!pl_trial_is_power(trial, k))
      continue;
    double volts = across(trial, e->node_a, e->node_b, 0);
    double off = fabs(volts / trial->tangent[k] - 1);
    most = fmax(most, off * off); /* the tangent's own error: of second order */
    trial->tangent[k] = volts;    /* not below its knee: that is another mode */
  }
  return most;
}

/* ---- modes against the answer ---- */

/* Every kind has its corners; `slack` keeps rounding from moving a mode to and fro at one. */
static enum pl_mode current_wants(const struct pl_element *e, enum pl_mode mode, double volts) {
  if (mode == PL_MODE_STEADY)
    return volts < e->volts - slack ? PL_MODE_CONDUCTS : mode;
  if (volts > e->volts + slack)
    return PL_MODE_STEADY;
  return mode;
}

static enum pl_mode diode_wants(const struct pl_element *e, enum pl_mode mode, double volts) {
  if (mode == PL_MODE_BLOCKS)
    return volts > e->volts + slack ? PL_MODE_CONDUCTS : mode;
  if (volts < e->volts - slack)
    return PL_MODE_BLOCKS;
  return mode;
}

static enum pl_mode source_wants(const struct pl_trial *trial, uint32_t k, double volts) {
  const struct pl_element *e = &trial->elements[k];
  enum pl_mode mode = (enum pl_mode)trial->mode[k];
  double at_limit = e->volts - e->limit * e->ohms; /* its volts when it gives its most amps */

  if (mode == PL_MODE_STEADY)
    return volts > at_limit + slack ? PL_MODE_CONDUCTS : mode;
  if (mode == PL_MODE_BLOCKS)
    return volts < e->volts - slack ? PL_MODE_CONDUCTS : mode;
  if (-pl_trial_amps(trial, k) > e->limit * (1 + slack) && volts < at_limit - slack)
    return PL_MODE_STEADY;
  if (trial->network->drives.at[k].blocks && volts > e->volts + slack)
    return PL_MODE_BLOCKS;
  return mode;
}

static enum pl_mode mode_wanted(const struct pl_trial *trial, uint32_t k) {
  const struct pl_element *e = &trial->elements[k];
  enum pl_mode mode = (enum pl_mode)trial->mode[k];
  double volts = across(trial, e->node_a, e->node_b, 0);

  if (e->kind == PL_ELEMENT_CURRENT)
    return current_wants(e, mode, volts);
  if (e->kind == PL_ELEMENT_DIODE)
    return diode_wants(e, mode, volts);
  return source_wants(trial, k, volts);
}

bool pl_trial_has_modes(const struct pl_trial *trial, uint32_t k) {
  const struct pl_element *e = &trial->elements[k];

  switch (e->kind) {
    case PL_ELEMENT_CURRENT:
    case PL_ELEMENT_DIODE:
      return true;
    case PL_ELEMENT_SOURCE:
      return isfinite(e->limit) || trial->network->drives.at[k].blocks;
    case PL_ELEMENT_WIRE:
    case PL_ELEMENT_CONTACT:
    case PL_ELEMENT_RESISTANCE:
      return false;
  }
  return false;
}

static bool has_modes(const struct pl_trial *trial, uint32_t k) {
  if (trial->mode[k] == PL_MODE_OPEN)
    return false;
  if (!pl_trial_reaches(trial, &trial->elements[k]))
    return false;
  return pl_trial_has_modes(trial, k);
}

enum pl_mode pl_trial_wanted(const struct pl_trial *trial, uint32_t k) {
  if (has_modes(trial, k))
    return mode_wanted(trial, k);
  return (enum pl_mode)trial->mode[k];
}

static void change_mode(struct pl_trial *trial, uint32_t k, enum pl_mode wanted) {
  const struct pl_element *e = &trial->elements[k];

  trial->mode[k] = (uint8_t)wanted;
  if (e->watts > 0) /* steady power again: its line is laid from above, so that the next steps come
                       down on the upper answer */
    trial->tangent[k] =
        fmax(trial->network->drives.at[k].awake, across(trial, e->node_a, e->node_b, 0));
}

/* A steady power whose line gives amps backwards at the volts it has found: the line is laid there
 * instead. */
static bool lay_again(struct pl_trial *trial, uint32_t k) {
  const struct pl_element *e = &trial->elements[k];
  double volts = across(trial, e->node_a, e->node_b, 0);

  if (!(e->watts > 0))
    return false;
  if (trial->mode[k] != PL_MODE_STEADY)
    return false;
  if (!(volts > 2 * trial->tangent[k]))
    return false;
  trial->tangent[k] = volts;
  return true;
}

bool pl_trial_flip(struct pl_trial *trial, bool all) {
  uint32_t first = PL_NONE; /* what the search forces comes last: it would be forced again, and what
                               is really wrong would never have its turn */
  bool any = false;

  for (uint32_t i = 0; i < trial->moded_count; i++) {
    uint32_t k = trial->moded[i];
    if (!has_modes(trial, k))
      continue;
    enum pl_mode wanted = mode_wanted(trial, k);
    any = lay_again(trial, k) || any;
    if (wanted == (enum pl_mode)trial->mode[k])
      continue;
    any = true;
    if (all)
      change_mode(trial, k, wanted);
    else if (first == PL_NONE || (trial->forced[first] && !trial->forced[k]))
      first = k;
  }
  if (first != PL_NONE)
    change_mode(trial, first, mode_wanted(trial, first));
  return any;
}
