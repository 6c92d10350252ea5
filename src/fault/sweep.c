/* Many faults in one state.  A full solution factors the matrix at every step of modes; here a
 * fault costs, beside what its few terms need, one pass over the elements, because its equations
 * differ from factored ones by a matrix of low rank (Hager, "Updating the inverse of a matrix",
 * SIAM Review 31, 1989; terms.c). The healthy state is solved once and taken down at every rest on
 * its way: those are the points.  Under a fault the same way is gone again from rest, each point by
 * a few terms on its own factors; where relays or modules stand otherwise than at any point, the
 * difference is a few terms more.  What does not fit is solved in full.  So the answer is the one
 * that a full solution from rest finds. */
#include "fault/sweep_inner.h"

#include <math.h>
#include <string.h>

enum {
  POINTS = 16, /* rests on the way of the healthy state; longer ways are solved in full */
  STEPS = 24,  /* rests under a fault */
  ROUNDS = 8,  /* of modes at one rest */
  APART = 6,   /* devices that may stand otherwise than at the nearest point */
  AHEAD = 16,  /* faults to come whose columns may be solved along */
  LINES = 12   /* terms with which a steady power may still be taken about new volts */
};
static const double bend = 1e-3; /* relative change of volts beyond which a steady power's line is
                                    laid anew before modes are judged */
static const double break_off =
    0.05; /* beyond which it must be: its amps would be off by the square of this */

/* ---- making ---- */

static void release(void *what) {
  struct pl_sweep *sweep = what;

  if (sweep->shadow != NULL && sweep->shadow->network.sparse != NULL)
    pl_sparse_release(sweep->shadow->network.sparse);
  for (uint32_t i = 0; i < sweep->points.n; i++)
    pl_sparse_release(sweep->points.at[i]->sparse);
}

static struct pl_sweep *sweep_of(struct pl_network *network) {
  struct pl_sweep *sweep = pl_network_attached(network, release);
  struct pl_arena *arena = network->arena;
  size_t nodes = network->node_count;

  if (sweep != NULL)
    return sweep;
  sweep = PL_NEW(arena, struct pl_sweep);
  pl_network_attach(network, sweep, release);
  sweep->network = network;
  sweep->shadow = pl_shadow_new(network);
  sweep->volts = PL_NEW_ARRAY(arena, double, nodes);
  sweep->work = PL_NEW_ARRAY(arena, double, PL_FAULT_AHEAD *nodes);
  sweep->amps = PL_NEW_ARRAY(arena, double, sweep->shadow->network.elements.n);
  sweep->balance = PL_NEW_ARRAY(arena, double, nodes);
  sweep->largest = PL_NEW_ARRAY(arena, double, nodes);
  sweep->queue = PL_NEW_ARRAY(arena, uint32_t, nodes);
  sweep->mark = PL_NEW_ARRAY(arena, uint32_t, nodes);
  sweep->next_touch = PL_NEW_ARRAY(arena, const uint32_t *, nodes);
  sweep->want = PL_NEW_ARRAY(arena, uint8_t, network->harness->devices.n);
  return sweep;
}

struct pl_shadow *pl_sweep_shadow(struct pl_network *network) {
  return sweep_of(network)->shadow;
}

/* ---- the healthy state ---- */

/* One rest.  A second way from rest (devices one at a time, after a cycle) begins with no more
 * steps than the first had. */
static void take_point(void *context, const struct pl_trial *trial) {
  struct pl_sweep *sweep = context;

  if (trial->steps <= sweep->steps || sweep->used == POINTS)
    sweep->irregular = true;
  sweep->steps = trial->steps;
  if (sweep->irregular)
    return;
  if (sweep->used == sweep->points.n) {
    struct pl_operating_point *point =
        pl_point_new(sweep); /* before it is counted: memory may run out in it */
    PL_PUSH(sweep->network->arena, &sweep->points, point);
  }
  if (pl_point_take(sweep->points.at[sweep->used], trial))
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
  network->watch = take_point;
  network->watch_context = sweep;
  pl_shadow_solve(sweep->shadow, state, &sweep->healthy);
  network->watch = NULL;
  if (sweep->healthy.status != PL_SOLVED || sweep->used == 0)
    sweep->irregular = true;
  for (uint32_t i = 0; i < sweep->used; i++)
    sweep->points.at[i]->trial.state = state;
}

/* ---- one rest under a fault ---- */

static uint32_t apart(const struct pl_operating_point *point, const uint8_t *want, uint32_t most) {
  uint32_t n = 0;

  for (uint32_t i = 0; i < point->trial.switching_count && n < most; i++)
    n += point->config[i] != want[i];
  return n;
}

/* The point nearest to where the devices want to stand: the one after `after` when it is the same,
 * else the best. */
static struct pl_operating_point *nearest(const struct pl_sweep *sweep, uint32_t after) {
  struct pl_operating_point *best = NULL;
  uint32_t least = APART + 1;

  for (uint32_t j = 0; j < sweep->used && least > 0; j++) {
    struct pl_operating_point *point = sweep->points.at[(after + j) % sweep->used];
    uint32_t n = apart(point, sweep->want, least);
    if (n >= least)
      continue;
    least = n;
    best = point;
  }
  return best;
}

static void apply_to(struct pl_operating_point *point, uint32_t k) {
  const struct pl_shadow *shadow = point->sweep->shadow;
  const struct pl_element *broken = &shadow->network.elements.at[k];
  struct pl_element *e = &point->trial.elements[k];

  if (k == shadow->join)
    *e = *broken;
  else
    e->ohms += broken->ohms - shadow->healthy->elements.at[k].ohms;
  pl_trial_drive_one(&point->trial, k);
  pl_point_refresh(point, k);
}

/* What the shadow's fault touches, as terms; an element that is open at this point and stays so is
 * no change. */
static void apply_fault(struct pl_operating_point *point) {
  const struct pl_shadow *shadow = point->sweep->shadow;

  for (uint32_t i = 0; i < shadow->touched_count; i++) {
    uint32_t k = shadow->touched[i];
    bool never = shadow->network.drives.at[k].kind == PL_DRIVE_NEVER;
    if (never && point->trial.mode[k] == PL_MODE_OPEN)
      continue;
    if (pl_point_touch(point, k) == NULL)
      return;
    apply_to(point, k);
  }
}

static bool is_same_flow(const struct pl_flow *a, const struct pl_flow *b) {
  if (a->siemens != b->siemens)
    return false;
  if (a->offset != b->offset)
    return false;
  return a->amps == b->amps;
}

/* Does the term change nothing after all? */
static bool is_idle_change(const struct pl_operating_point *point, const struct pl_term *term) {
  const struct pl_element *e = &point->trial.elements[term->element];

  if (point->trial.mode[term->element] != term->mode_before)
    return false;
  if (!is_same_flow(&term->flow_before, &point->flows[term->element]))
    return false;
  if (e->limit != term->before.limit)
    return false;
  return e->volts == term->before.volts;
}

/* An element that follows its device; false: there are too many terms. */
static bool drive_element(struct pl_operating_point *point, uint32_t k) {
  uint32_t before = point->term_count;

  if (point->sweep->shadow->network.drives.at[k].kind == PL_DRIVE_NONE)
    return true;
  if (pl_point_touch(point, k) == NULL)
    return false;
  pl_trial_drive_one(&point->trial, k);
  pl_point_refresh(point, k);
  if (point->term_count > before && is_idle_change(point, &point->terms[before]))
    point->term_count--;
  return true;
}

static void stand(struct pl_trial *trial, pl_id device, uint8_t as) {
  trial->on[device] = (as & PL_STANDS_ON) != 0;
  trial->fed[device] = (as & PL_STANDS_FED) != 0;
}

/* Devices into the places they want; their driven elements follow. */
static void place_devices(struct pl_operating_point *point) {
  const struct pl_sweep *sweep = point->sweep;
  const struct pl_shadow *shadow = sweep->shadow;

  for (uint32_t i = 0; i < point->trial.switching_count; i++) {
    pl_id id = point->trial.switching[i];
    if (point->config[i] == sweep->want[i])
      continue;
    stand(&point->trial, id, sweep->want[i]);
    for (uint32_t j = shadow->of_start[id]; j < shadow->of_start[id + 1]; j++)
      if (!drive_element(point, shadow->of_device[j]))
        return;
  }
}

/* Devices back where the point has them. */
static void unplace_devices(struct pl_operating_point *point) {
  for (uint32_t i = 0; i < point->trial.switching_count; i++)
    stand(&point->trial, point->trial.switching[i], point->config[i]);
}

/* A steady power that takes its watts again: its line is laid from above, as in step.c. */
static void lay_line(struct pl_trial *trial, uint32_t k) {
  const struct pl_element *e = &trial->elements[k];
  double rated = trial->network->drives.at[k].awake;

  trial->tangent[k] = fmax(rated, pl_trial_volts(trial, e->node_a, e->node_b));
}

/* Modes that the volts contradict, as terms. */
static bool flip(struct pl_operating_point *point) {
  struct pl_trial *trial = &point->trial;
  bool any = false;

  for (uint32_t i = 0; i < point->modal_count; i++) {
    uint32_t k = point->modal[i];
    enum pl_mode mode = (enum pl_mode)trial->mode[k];
    enum pl_mode wanted = pl_trial_wanted(trial, k);
    if (mode == PL_MODE_OPEN || wanted == mode)
      continue;
    if (pl_point_touch(point, k) == NULL)
      return true;
    trial->mode[k] = (uint8_t)wanted;
    if (trial->elements[k].watts > 0 && wanted == PL_MODE_STEADY)
      lay_line(trial, k);
    pl_point_refresh(point, k);
    any = true;
  }
  return any;
}

/* Steady powers about the volts they have now. */
static bool bend_lines(struct pl_operating_point *point) {
  struct pl_trial *trial = &point->trial;
  const struct pl_network *network = trial->network;
  bool any = false;

  for (uint32_t i = 0; i < network->powers.n; i++) {
    uint32_t k = network->powers.at[i];
    const struct pl_element *e = &trial->elements[k];
    if (!pl_trial_is_power(trial, k))
      continue;
    double volts = pl_trial_volts(trial, e->node_a, e->node_b);
    double off = fabs(volts / trial->tangent[k] - 1);
    double most = point->term_count < LINES ? bend : break_off;
    if (!(off > most))
      continue;
    if (pl_point_touch(point, k) == NULL)
      continue;
    trial->tangent[k] = volts;
    pl_point_refresh(point, k);
    any = true;
  }
  return any;
}

static bool settle(struct pl_operating_point *point) {
  for (int round = 0; round < ROUNDS; round++) {
    if (point->too_many || !pl_point_reach(point))
      return false;
    if (!pl_point_combine(point))
      return false;
    pl_point_look(point);
    if (flip(point) || point->too_many)
      continue;
    if (!bend_lines(point) && !point->too_many)
      return true;
  }
  return false;
}

static void read_places(const struct pl_operating_point *point, uint8_t *want) {
  for (uint32_t i = 0; i < point->trial.switching_count; i++)
    want[i] = pl_point_standing(&point->trial, point->trial.switching[i]);
}

/* ---- showing ---- */

/* Amps and flags of all elements, as far as they may be otherwise than they stand there. */
static void show_amps(struct pl_operating_point *point) {
  const struct pl_trial *trial = &point->trial;
  const double *amps = point->still ? point->amps : point->sweep->amps;

  for (uint32_t k = 0; k < trial->network->elements.n; k++) {
    struct pl_element *e = &trial->elements[k];
    if (pl_trial_reaches(trial, e))
      e->amps = amps[k];
    else
      e->amps = 0;
  }
}

static void show_flags(struct pl_operating_point *point) {
  const struct pl_network *network = point->trial.network;

  if (point->flags_changed || point->reach_changed)
    for (uint32_t k = 0; k < network->elements.n; k++)
      pl_point_flag(point, k);
  for (uint32_t i = 0; i < point->term_count; i++)
    if (point->terms[i].element != PL_NONE)
      pl_point_flag(point, point->terms[i].element);
  for (uint32_t i = 0; i < network->powers.n; i++)
    pl_point_flag(point, network->powers.at[i]);
}

/* Amps and flags of all elements, as far as they may be otherwise than they stand there. */
static void show_all(struct pl_operating_point *point) {
  bool moved = !point->still || point->reach_changed;

  if (moved || point->amps_changed)
    show_amps(point);
  show_flags(point);
  point->amps_changed = moved;
  point->flags_changed = false;
}

/* Everything at the point where it came to rest; false: it does not close, or the closed volts
 * contradict a mode or a place. */
static void show_volts(const struct pl_operating_point *point) {
  const struct pl_trial *trial = &point->trial;
  double *volts = point->sweep->volts;

  for (uint32_t n = 0; n < trial->network->node_count; n++)
    volts[n] = trial->reached[n] ? trial->high[n] + trial->low[n] : NAN;
}

/* Everything at the point where it came to rest; false: it does not close, or the closed volts
 * contradict a mode or a place. */
static bool finish(struct pl_operating_point *point) {
  size_t size = point->trial.network->node_count * sizeof(double);

  if (!point->still) {
    if (!pl_point_close(point))
      return false;
    if (flip(point))
      return false;
    if (pl_trial_move(&point->trial, true))
      return false;
  } else if (point->amps_changed) {
    memcpy(point->trial.high, point->high, size);
    memcpy(point->trial.low, point->low, size);
  }
  show_all(point);
  show_volts(point);
  return true;
}

/* The rest that the healthy state comes to, with nothing changed at it. */
static bool is_healthy(const struct pl_sweep *sweep, const struct pl_operating_point *point) {
  if (point != sweep->points.at[sweep->used - 1])
    return false;
  if (apart(point, sweep->want, 1) != 0)
    return false;
  if (!point->still)
    return false;
  return !point->reach_changed;
}

static void leave(struct pl_operating_point *point) {
  pl_point_undo(point);
  unplace_devices(point);
}

/* Where the devices stand at first: as in the healthy state, but for one that is stuck. */
static void begin(struct pl_sweep *sweep) {
  const struct pl_operating_point *first = sweep->points.at[0];
  const struct pl_held *held = sweep->shadow->network.held;
  uint32_t count = first->trial.switching_count;

  memcpy(sweep->want, first->config, count);
  for (uint32_t i = 0; held != NULL && i < count; i++) {
    if (first->trial.switching[i] != held->device)
      continue;
    sweep->want[i] &= PL_STANDS_FED;
    if (held->on)
      sweep->want[i] |= PL_STANDS_ON;
  }
}

static void show_fast(struct pl_sweep *sweep,
                      const struct pl_operating_point *point,
                      const struct pl_fault *fault,
                      pl_fault_fn each,
                      void *context) {
  struct pl_fault_view view = {.fault = fault,
                               .status = PL_SOLVED,
                               .node_volts = sweep->volts,
                               .device_on = point->trial.on,
                               .elements = point->trial.elements,
                               .element_count = sweep->shadow->network.elements.n,
                               .unchanged = is_healthy(sweep, point)};

  each(context, &view);
}

/* The way from rest under the fault that the shadow carries; true: shown. */
static bool
go_fast(struct pl_sweep *sweep, const struct pl_fault *fault, pl_fault_fn each, void *context) {
  uint32_t after = 0;

  begin(sweep);
  for (uint32_t step = 0; step < STEPS; step++) {
    struct pl_operating_point *point = nearest(sweep, after);
    if (point == NULL)
      return false;
    place_devices(point);
    apply_fault(point);
    bool good = settle(point);
    if (good && pl_trial_move(&point->trial, true)) {
      read_places(point, sweep->want);
      leave(point);
      if (step + 1 < sweep->used)
        after = step + 1;
      else
        after = sweep->used - 1;
      continue;
    }
    good = good && finish(point);
    if (good) {
      show_fast(sweep, point, fault, each, context);
    } else {
      point->amps_changed = true;
      point->flags_changed = true;
    }
    leave(point);
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

/* A stuck switch holds its place at all points: they share it. */
static uint32_t *stuck_place(struct pl_sweep *sweep) {
  pl_id device = sweep->shadow->setting.device;

  if (sweep->irregular || device == PL_NONE)
    return NULL;
  return &sweep->points.at[0]->trial.position[device];
}

static void
go(struct pl_sweep *sweep, const struct pl_fault *fault, pl_fault_fn each, void *context) {
  uint32_t *place;
  uint32_t before = 0;
  bool shown;

  pl_shadow_break(sweep->shadow, fault);
  place = stuck_place(sweep);
  if (place != NULL) {
    before = *place;
    *place = sweep->shadow->setting.position;
  }
  shown = !sweep->irregular && go_fast(sweep, fault, each, context);
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
  const struct pl_harness *harness = network->harness;
  struct pl_sweep *sweep = sweep_of(network);
  struct pl_state blank = pl_state_blank();

  go_through(sweep, state < harness->states.n ? &harness->states.at[state] : &blank);
  for (uint32_t i = 0; i < count; i++) {
    uint32_t left = count - i - 1;
    sweep->next = faults + i + 1;
    sweep->next_count = left < AHEAD ? left : AHEAD;
    go(sweep, &faults[i], each, context);
  }
  sweep->state = NULL;
}
