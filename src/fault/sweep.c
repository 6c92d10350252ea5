/* Many faults in one state.  The healthy state is solved once and taken down at every rest on its
 * way: those are the levels.  Under a fault the same way is gone again from rest, each level by a
 * few terms on its own factors; where relays or modules stand otherwise than at any level, the
 * difference is a few terms more.  What does not fit is solved in full.  So the answer is the one
 * that a full solution from rest finds. */
#include "fault/rest_inner.h"

#include <math.h>
#include <string.h>

enum {
  LEVELS = 16, /* rests on the way of the healthy state; longer ways are solved in full */
  STEPS = 24,  /* rests under a fault */
  ROUNDS = 8,  /* of modes at one rest */
  APART = 6,   /* devices that may stand otherwise than at the nearest level */
  LINES = 12   /* terms with which a steady power may still be taken about new volts */
};
static const double bend = 1e-3; /* relative change of volts beyond which a steady power's line is
                                    laid anew before modes are judged */
static const double break_off =
    0.05; /* beyond which it must be: its amps would be off by the square of this */

/* ---- making ---- */

static struct pl_sweep *sweep_of(struct pl_network *network) {
  if (network->sweep != NULL)
    return network->sweep;
  struct pl_arena *arena = network->arena;
  struct pl_sweep *sweep = network->sweep = PL_NEW(arena, struct pl_sweep);
  size_t nodes = network->node_count;

  sweep->network = network;
  sweep->shadow = pl_shadow_new(network);
  sweep->volts = PL_NEW_ARRAY(arena, double, nodes);
  sweep->work = PL_NEW_ARRAY(arena, double, PL_FAULT_AHEAD *nodes);
  sweep->amps = PL_NEW_ARRAY(arena, double, sweep->shadow->network.elements.n);
  sweep->balance = PL_NEW_ARRAY(arena, double, nodes);
  sweep->largest = PL_NEW_ARRAY(arena, double, nodes);
  sweep->queue = PL_NEW_ARRAY(arena, uint32_t, nodes);
  sweep->mark = PL_NEW_ARRAY(arena, uint32_t, nodes);
  sweep->want = PL_NEW_ARRAY(arena, uint8_t, network->harness->devices.n);
  return sweep;
}

struct pl_shadow *pl_sweep_shadow(struct pl_network *network) {
  return sweep_of(network)->shadow;
}

void pl_sweep_release(struct pl_sweep *sweep) {
  if (sweep->shadow != NULL && sweep->shadow->network.sparse != NULL)
    pl_sparse_release(sweep->shadow->network.sparse);
  for (uint32_t i = 0; i < sweep->levels.n; i++)
    pl_sparse_release(sweep->levels.at[i]->sparse);
}

/* ---- the healthy state ---- */

/* One rest.  A second way from rest (devices one at a time, after a cycle) begins with no more
 * steps than the first had. */
static void take_level(void *context, const struct pl_trial *trial) {
  struct pl_sweep *sweep = context;

  if (trial->steps <= sweep->steps || sweep->used == LEVELS)
    sweep->irregular = true;
  sweep->steps = trial->steps;
  if (sweep->irregular)
    return;
  if (sweep->used == sweep->levels.n) {
    struct pl_rest *level = pl_rest_new(sweep); /* before it is counted: memory may run out in it */
    PL_PUSH(sweep->network->arena, &sweep->levels, level);
  }
  if (pl_rest_take(sweep->levels.at[sweep->used], trial))
    sweep->used++;
  else
    sweep->irregular = true;
}

static void go_through(struct pl_sweep *sweep, const struct pl_state *state) {
  struct pl_network *network = &sweep->shadow->network;

  sweep->used = sweep->steps = 0;
  sweep->irregular = false;
  sweep->state = state;
  pl_shadow_warm(sweep->shadow, state);
  network->watch = take_level;
  network->watch_context = sweep;
  pl_shadow_solve(sweep->shadow, state, &sweep->healthy);
  network->watch = NULL;
  if (sweep->healthy.status != PL_SOLVED || sweep->used == 0)
    sweep->irregular = true;
  for (uint32_t i = 0; i < sweep->used; i++)
    sweep->levels.at[i]->trial.state = state;
}

/* ---- one rest under a fault ---- */

static uint32_t apart(const struct pl_rest *level, const uint8_t *want, uint32_t most) {
  uint32_t n = 0;

  for (uint32_t i = 0; i < level->trial.switching_count && n < most; i++)
    n += level->config[i] != want[i];
  return n;
}

/* The level nearest to where the devices want to stand: the one after `after` when it is the same,
 * else the best. */
static struct pl_rest *nearest(const struct pl_sweep *sweep, uint32_t after) {
  uint32_t best = 0;
  uint32_t least = APART + 1;

  for (uint32_t j = 0; j < sweep->used; j++) {
    uint32_t i = (after + j) % sweep->used;
    uint32_t n = apart(sweep->levels.at[i], sweep->want, least);
    if (n >= least)
      continue;
    least = n;
    best = i;
    if (n == 0)
      break;
  }
  return least <= APART ? sweep->levels.at[best] : NULL;
}

static void break_level(struct pl_rest *level) {
  const struct pl_shadow *shadow = level->sweep->shadow;

  for (uint32_t i = 0; i < shadow->touched_count; i++) {
    uint32_t k = shadow->touched[i];
    if (shadow->network.drives.at[k].kind == PL_DRIVE_NEVER && level->trial.mode[k] == PL_MODE_OPEN)
      continue;
    if (pl_rest_touch(level, k) == NULL)
      return;
    if (k == shadow->join)
      level->trial.elements[k] = shadow->network.elements.at[k];
    else
      level->trial.elements[k].ohms +=
          shadow->network.elements.at[k].ohms - shadow->healthy->elements.at[k].ohms;
    pl_trial_drive_one(&level->trial, k);
    pl_rest_refresh(level, k);
  }
}

static bool is_same_flow(const struct pl_flow *a, const struct pl_flow *b) {
  return a->siemens == b->siemens && a->offset == b->offset && a->amps == b->amps;
}

/* Devices into the places they want; their driven elements follow. */
static void place_devices(struct pl_rest *level) {
  const struct pl_sweep *sweep = level->sweep;

  for (uint32_t i = 0; i < level->trial.switching_count; i++) {
    pl_id id = level->trial.switching[i];
    if (level->config[i] == sweep->want[i])
      continue;
    level->trial.on[id] = (sweep->want[i] & 1) != 0;
    level->trial.fed[id] = (sweep->want[i] & 2) != 0;
    for (uint32_t j = sweep->shadow->of_start[id]; j < sweep->shadow->of_start[id + 1]; j++) {
      uint32_t k = sweep->shadow->of_device[j];
      uint32_t before = level->term_count;
      if (sweep->shadow->network.drives.at[k].kind == PL_DRIVE_NONE)
        continue;
      if (pl_rest_touch(level, k) == NULL)
        return;
      uint8_t mode = level->trial.mode[k];
      struct pl_flow flow = level->flows[k];
      pl_trial_drive_one(&level->trial, k);
      pl_rest_refresh(level, k);
      if (level->term_count > before && mode == level->trial.mode[k] &&
          is_same_flow(&flow, &level->flows[k]) &&
          level->trial.elements[k].limit == level->terms[before].before.limit &&
          level->trial.elements[k].volts == level->terms[before].before.volts)
        level->term_count--; /* as it was */
    }
  }
}

/* Devices back where the level has them. */
static void unplace_devices(struct pl_rest *level) {
  for (uint32_t i = 0; i < level->trial.switching_count; i++) {
    level->trial.on[level->trial.switching[i]] = (level->config[i] & 1) != 0;
    level->trial.fed[level->trial.switching[i]] = (level->config[i] & 2) != 0;
  }
}

/* Modes that the volts contradict, as terms. */
static bool flip(struct pl_rest *level) {
  struct pl_trial *trial = &level->trial;
  bool any = false;

  for (uint32_t i = 0; i < level->modal_count; i++) {
    uint32_t k = level->modal[i];
    enum pl_mode wanted;
    if (trial->mode[k] == PL_MODE_OPEN)
      continue;
    wanted = pl_trial_wanted(trial, k);
    if (wanted == (enum pl_mode)trial->mode[k])
      continue;
    if (pl_rest_touch(level, k) == NULL)
      return true;
    trial->mode[k] = (uint8_t)wanted;
    if (trial->elements[k].watts > 0 && wanted == PL_MODE_STEADY)
      trial->tangent[k] =
          fmax(trial->network->drives.at[k].awake,
               pl_trial_volts(trial, trial->elements[k].node_a, trial->elements[k].node_b));
    pl_rest_refresh(level, k);
    any = true;
  }
  return any;
}

/* Steady powers about the volts they have now. */
static bool bend_lines(struct pl_rest *level) {
  struct pl_trial *trial = &level->trial;
  const struct pl_network *network = trial->network;
  bool any = false;

  for (uint32_t i = 0; i < network->powers.n; i++) {
    uint32_t k = network->powers.at[i];
    const struct pl_element *e = &trial->elements[k];
    if (trial->mode[k] != PL_MODE_STEADY || !(e->watts > 0) || !trial->reached[e->node_a] ||
        !trial->reached[e->node_b])
      continue;
    double volts = pl_trial_volts(trial, e->node_a, e->node_b);
    double off = fabs(volts / trial->tangent[k] - 1);
    if (!(off > bend) || (level->term_count >= LINES && !(off > break_off)) ||
        pl_rest_touch(level, k) == NULL)
      continue;
    trial->tangent[k] = volts;
    pl_rest_refresh(level, k);
    any = true;
  }
  return any;
}

static bool settle(struct pl_rest *level) {
  for (int round = 0; round < ROUNDS; round++) {
    if (level->too_many || !pl_rest_reach(level) || !pl_rest_combine(level))
      return false;
    pl_rest_look(level);
    if (flip(level) || level->too_many)
      continue;
    if (!bend_lines(level) && !level->too_many)
      return true;
  }
  return false;
}

static void read_places(struct pl_rest *level, uint8_t *want) {
  for (uint32_t i = 0; i < level->trial.switching_count; i++) {
    pl_id id = level->trial.switching[i];
    want[i] = (uint8_t)((level->trial.on[id] ? 1 : 0) | (level->trial.fed[id] ? 2 : 0));
  }
}

/* ---- showing ---- */

/* Amps and flags of all elements, as far as they may be otherwise than they stand there. */
static void show_all(struct pl_rest *level) {
  const struct pl_network *network = level->trial.network;
  const double *amps = level->still ? level->amps : level->sweep->amps;
  const bool *reached = level->trial.reached;
  struct pl_element *elements = level->trial.elements;

  for (uint32_t k = 0;
       k < network->elements.n && (!level->still || level->amps_changed || level->reach_changed);
       k++)
    elements[k].amps = reached[elements[k].node_a] && reached[elements[k].node_b] ? amps[k] : 0;
  for (uint32_t k = 0; k < network->elements.n && (level->flags_changed || level->reach_changed);
       k++)
    pl_rest_flag(level, k);
  for (uint32_t i = 0; i < level->term_count; i++)
    if (level->terms[i].element != PL_NONE)
      pl_rest_flag(level, level->terms[i].element);
  for (uint32_t i = 0; i < network->powers.n; i++)
    pl_rest_flag(level, network->powers.at[i]);
  level->amps_changed = !level->still || level->reach_changed;
  level->flags_changed = false;
}

/* Everything at the level where it came to rest; false: it does not close, or the closed volts
 * contradict a mode or a place. */
static bool finish(struct pl_rest *level) {
  struct pl_sweep *sweep = level->sweep;
  const struct pl_network *network = level->trial.network;
  if (!level->still) {
    if (!pl_rest_close(level) || flip(level) || pl_trial_move(&level->trial, true))
      return false;
  } else if (level->amps_changed) {
    memcpy(level->trial.high, level->high, network->node_count * sizeof(double));
    memcpy(level->trial.low, level->low, network->node_count * sizeof(double));
  }
  show_all(level);
  for (uint32_t n = 0; n < network->node_count; n++)
    sweep->volts[n] = level->trial.reached[n] ? level->trial.high[n] + level->trial.low[n] : NAN;
  return true;
}

/* The rest that the healthy state comes to, with nothing changed at it. */
static bool is_healthy(const struct pl_sweep *sweep, const struct pl_rest *level) {
  return level == sweep->levels.at[sweep->used - 1] && apart(level, sweep->want, 1) == 0 &&
         level->still && !level->reach_changed;
}

static void leave(struct pl_rest *level) {
  pl_rest_undo(level);
  unplace_devices(level);
}

/* The way from rest under the fault that the shadow carries; true: shown. */
static bool
go_fast(struct pl_sweep *sweep, const struct pl_fault *fault, pl_fault_fn each, void *context) {
  const struct pl_network *network = &sweep->shadow->network;
  const struct pl_rest *first = sweep->levels.at[0];
  uint32_t after = 0;

  memcpy(sweep->want, first->config, first->trial.switching_count);
  for (uint32_t i = 0; i < first->trial.switching_count && network->held != NULL; i++)
    if (first->trial.switching[i] == network->held->device)
      sweep->want[i] = (uint8_t)((sweep->want[i] & 2) | (network->held->on ? 1 : 0));
  for (uint32_t step = 0; step < STEPS; step++) {
    struct pl_rest *level = nearest(sweep, after);
    if (level == NULL)
      return false;
    place_devices(level);
    break_level(level);
    bool good = settle(level);
    if (good && pl_trial_move(&level->trial, true)) {
      read_places(level, sweep->want);
      leave(level);
      after = step + 1 < sweep->used ? step + 1 : sweep->used - 1;
      continue;
    }
    good = good && finish(level);
    if (good) {
      struct pl_fault_view view = {.fault = fault,
                                   .status = PL_SOLVED,
                                   .node_volts = sweep->volts,
                                   .device_on = level->trial.on,
                                   .elements = level->trial.elements,
                                   .element_count = network->elements.n,
                                   .unchanged = is_healthy(sweep, level)};
      each(context, &view);
    } else {
      level->amps_changed = level->flags_changed = true;
    }
    leave(level);
    return good;
  }
  return false;
}

static void
go_in_full(struct pl_sweep *sweep, const struct pl_fault *fault, pl_fault_fn each, void *context) {
  pl_shadow_solve(sweep->shadow, sweep->state, &sweep->full);
  struct pl_fault_view view = {.fault = fault,
                               .status = sweep->full.status,
                               .node_volts = sweep->full.node_volts,
                               .device_on = sweep->full.device_on,
                               .elements = sweep->full.elements,
                               .element_count = sweep->full.element_count,
                               .failure = sweep->full.failure,
                               .in_full = true};
  each(context, &view);
}

/* A stuck switch holds its place at all levels: they share it. */
static uint32_t *stuck_place(struct pl_sweep *sweep) {
  return sweep->shadow->setting.device == PL_NONE
             ? NULL
             : &sweep->levels.at[0]->trial.position[sweep->shadow->setting.device];
}

static void
go(struct pl_sweep *sweep, const struct pl_fault *fault, pl_fault_fn each, void *context) {
  bool shown = false;

  pl_shadow_break(sweep->shadow, fault);
  uint32_t *place = sweep->irregular ? NULL : stuck_place(sweep);
  uint32_t before = place != NULL ? *place : 0;
  if (place != NULL)
    *place = sweep->shadow->setting.position;
  if (!sweep->irregular)
    shown = go_fast(sweep, fault, each, context);
  if (!shown)
    go_in_full(sweep, fault, each, context);
  if (place != NULL)
    *place = before;
  pl_shadow_mend(sweep->shadow);
}

void pl_network_sweep(struct pl_network *network,
                      pl_id state,
                      const struct pl_fault *faults,
                      uint32_t count,
                      pl_fault_fn each,
                      void *context) {
  struct pl_sweep *sweep = sweep_of(network);
  struct pl_state rest = pl_state_blank();

  go_through(sweep,
             state < network->harness->states.n ? &network->harness->states.at[state] : &rest);
  for (uint32_t i = 0; i < count; i++) {
    sweep->next = faults + i + 1;
    sweep->next_count = count - i - 1 < 16 ? count - i - 1 : 16;
    go(sweep, &faults[i], each, context);
  }
  sweep->state = NULL;
}
