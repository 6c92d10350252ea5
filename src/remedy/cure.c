/* The least change that cures one finding.
 *
 * A table says what may help which rule, least change first.  Sizes: the wires that count most are
 * taken one by one, then the first two, the first three ... together; for each set the smallest
 * size that cures is found by halving between one size up and the largest sold, since a thicker
 * wire never loses more (some 4 trials of one rule), and that one is checked by all rules.
 * Ratings are tried one after the other from the present one on.  Where a change cures its finding
 * but brings another that a size can mend (a larger fuse on a thin wire), both together are tried.
 * Every trial counts against the two bounds of remedy.h. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "remedy/remedy_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

enum {
  SIZES = 1 << 0,     /* thicker wire */
  UP = 1 << 1,        /* the next fuses sold above */
  DOWN = 1 << 2,      /* ... below */
  TURN = 1 << 3,      /* its two ends changed over */
  OUT = 1 << 4,       /* one of its wires taken out */
  TWIST = 1 << 5,     /* its two wires twisted */
  PULSES = 1 << 6,    /* the pulses that come */
  SUPPRESS = 1 << 7,  /* a resistor across its coil */
  WAIVER = 1 << 8,    /* itself taken out */
  SWAP = 1 << 10,     /* two wires of one device changed over */
  OTHER_SIZE = 1 << 9 /* another size, thinner or thicker, that fits */
};

static const struct help {
  const char *rule;
  unsigned first, second; /* tried in this order; within one: as in `tries` below */
  const char *else_do;    /* where none of them cures: what is no edit of the text */
} knows[] = {
    {"wire-current",
     SIZES,
     0,
     "split the load over several wires, or take the wire out of the heat or the bundle"},
    {"wire-hot",
     SIZES,
     0,
     "split the load over several wires, or take the wire out of the heat or the bundle"},
    {"wire-brief-current", SIZES, 0, "give this current a heavier path beside the wire"},
    {"wire-too-small", SIZES, 0, "cover the wire all the way"},
    {"wire-drop",
     SIZES,
     0,
     "shorten the way, take a relay near the load, or mend the contact or part named first"},
    {"load-starved",
     SIZES,
     0,
     "a stronger source, a shorter way, or a feed straight from the battery posts"},
    {"crank-volts",
     SIZES,
     0,
     "feeds and grounds of the module straight from the battery posts, or a stronger battery"},
    {"crank-circuit", SIZES, 0, "shorter cables, or fewer and better joints in them"},
    {"module-loop",
     SIZES,
     0,
     "wire all its feed and ground pins, with fewer joints, straight from the battery posts"},
    {"relay-weak",
     SIZES,
     0,
     "feed the coil apart from what the contacts carry, or put the relay in a cooler place"},
    {"short-too-weak",
     DOWN,
     SIZES,
     "shorten the way there and back, or protect its far part by a fuse of its own"},
    {"fuse-load", UP, 0, "share its loads out over more fuses"},
    {"inrush", UP, 0, "a slower family, or switch the loads one by one"},
    {"fuse-over-wire",
     DOWN,
     SIZES,
     "protect the thin wires by a fuse of their own where they begin"},
    {"fuse-too-slow", DOWN, SIZES, "a fuse of a faster family"},
    {"fuse-order",
     DOWN,
     0,
     "a larger fuse before it if its wires bear that, or feed both from one point side by side"},
    {"poles-swapped",
     TURN,
     0,
     "look which of its wires goes to which pole, and what else is turned"},
    {"dead-short",
     OUT,
     0,
     "one piece of that way is in the wrong place: find it before any battery is connected"},
    {"role-conflict", OUT, SWAP, NULL},
    {"switch-idle", OUT, 0, NULL},
    {"keyed-node-live", OUT, 0, NULL},
    {"sneak-path", OUT, 0, NULL},
    {"require-broken", OUT, 0, NULL},
    {"pin-duty", SWAP, 0, NULL},
    {"cavity-crossed", SWAP, 0, NULL},
    {"twist-missing", TWIST, 0, "use a twisted pair and write the same `twist NAME` on both rows"},
    {"tach-pulses",
     PULSES,
     0,
     "count the poles, measure both pulleys, and set the gauge for what comes"},
    {"coil-unsuppressed", SUPPRESS, 0, "a part with a resistor or a diode across its coil"},
    {"terminal-crimp",
     OTHER_SIZE,
     0,
     "a terminal for this size, or a short thinner tail with a splice if the current allows it"},
    {"seal-range",
     OTHER_SIZE,
     0,
     "the seal for this wire, or insulation of another wall; measure the wire"},
    {"idle-waiver", WAIVER, 0, "look at what it was written for"},
};
enum {
  KNOWS = sizeof knows / sizeof *knows,
  SIZES_SOLD = 24, /* steps in the longer of both series, and to spare */
  TOGETHER = 6,    /* wires made thicker at once */
  ON_TOP = 3,      /* findings that a change brought and that another size mends */
  RATINGS = 8,     /* fuses tried above or below */
  PAIRS = 15,      /* of pins whose wires are changed over */
  WAYS_OUT = 12    /* wires of a short tried one by one */
};

/* NULL: no edit of the text helps that rule. */
static const struct help *help_for(const char *rule) {
  for (uint32_t i = 0; i < KNOWS; i++)
    if (strcmp(knows[i].rule, rule) == 0)
      return &knows[i];
  return NULL;
}

bool pl_cure_knows(const char *rule) {
  return help_for(rule) != NULL;
}

const char *pl_cure_else(const char *rule) {
  const struct help *help = help_for(rule);
  return help == NULL ? NULL : help->else_do;
}

/* ---- trying one set of steps ---- */

struct near_miss { /* steps that cure, and what they bring */
  pl_steps steps;
  struct pl_finding fresh;
};

struct search {
  struct pl_seek *seek;
  const struct pl_finding *f;
  struct pl_cure cure;
  PL_VEC(struct near_miss) near; /* tried again with more on top when no change does alone */
};

enum outcome {
  NOT_CURED,
  BRINGS_NEW,
  CURES
};

static void keep_obstacle(struct search *s, const pl_steps *steps, const struct pl_finding *fresh) {
  struct pl_arena *arena = s->seek->check->arena;
  if (s->cure.obstacle != NULL)
    return;
  s->cure.obstacle = pl_arena_printf(arena,
                                     "%s would bring %s at %s",
                                     pl_step_say(s->seek->check, &steps->at[0]),
                                     pl_arena_strdup(arena, fresh->rule),
                                     pl_arena_strdup(arena, fresh->place));
}

/* By its own rule alone. */
static bool is_cured(struct search *s, const pl_steps *steps, const struct pl_finding *of) {
  struct pl_trial trial;
  if (!pl_trial_run(s->seek, steps, of, false, &trial))
    return false;
  bool cured = trial.read && trial.cured;
  s->cure.tried = true;
  pl_trial_end(&trial);
  return cured;
}

/* Copied out of the trial: its arena goes with it. */
static struct pl_finding copy_out(const struct pl_check *check, const struct pl_finding *f) {
  struct pl_finding kept = *f;
  pl_ids wires = {0};
  kept.rule = pl_arena_strdup(check->arena, f->rule);
  kept.place = pl_arena_strdup(check->arena, f->place);
  kept.state = pl_arena_strdup(check->arena, f->state);
  for (uint32_t i = 0; i < f->wire_count; i++)
    PL_PUSH(check->arena, &wires, f->wires[i]);
  kept.wires = wires.at;
  return kept;
}

/* By all rules; what is new goes to `fresh`. */
static enum outcome judge(struct search *s, const pl_steps *steps, struct pl_finding *fresh) {
  struct pl_trial trial;
  enum outcome outcome = NOT_CURED;
  if (!pl_trial_run(s->seek, steps, s->f, true, &trial))
    return NOT_CURED;
  s->cure.tried = true;
  if (trial.whole && !pl_trial_has(&trial, s->f)) {
    const struct pl_finding *new = pl_trial_new(s->seek, &trial);
    outcome = new == NULL ? CURES : BRINGS_NEW;
    if (new != NULL) {
      *fresh = copy_out(s->seek->check, new);
      keep_obstacle(s, steps, new);
    }
  }
  pl_trial_end(&trial);
  return outcome;
}

static bool take(struct search *s, const pl_steps *steps) {
  s->cure.steps = *steps;
  s->cure.found = true;
  return true;
}

/* ---- sizes ---- */

static void put_step(struct pl_arena *arena, pl_steps *steps, struct pl_step step) {
  for (uint32_t i = 0; i < steps->n; i++) {
    if (steps->at[i].kind != step.kind)
      continue;
    if (steps->at[i].what != step.what)
      continue;

    steps->at[i] = step;
    return;
  }
  PL_PUSH(arena, steps, step);
}

/* `base` with the first `n` wires each `step` sizes up; false when one has no such size. */
static bool thicker(const struct search *s,
                    const pl_steps *base,
                    const pl_id *wires,
                    uint32_t n,
                    int step,
                    pl_steps *steps) {
  const struct pl_check *check = s->seek->check;
  *steps = (pl_steps){0};
  for (uint32_t i = 0; i < base->n; i++)
    PL_PUSH(check->arena, steps, base->at[i]);
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_wire *wire = &check->harness->wires.at[wires[i]];
    double area = pl_wire_next_area(wire->area, wire->metric, step);
    if (!(area > 0))
      return false;
    put_step(check->arena, steps, (struct pl_step){PL_STEP_SIZE, wires[i], PL_NONE, area});
  }
  return true;
}

/* The fewest sizes up that take `of` away; 0: none does. */
static int least_size(struct search *s,
                      const pl_steps *base,
                      const pl_id *wires,
                      uint32_t n,
                      const struct pl_finding *of) {
  pl_steps steps;
  int most = 0;
  while (most < SIZES_SOLD && thicker(s, base, wires, n, most + 1, &steps))
    most++;
  if (most == 0)
    return 0;
  thicker(s, base, wires, n, 1, &steps);
  if (is_cured(s, &steps, of))
    return 1; /* mostly */
  thicker(s, base, wires, n, most, &steps);
  if (most == 1)
    return 0;
  if (!is_cured(s, &steps, of))
    return 0;
  int fails = 1;
  int cures = most;
  while (cures - fails > 1) {
    int middle = (cures + fails) / 2;
    thicker(s, base, wires, n, middle, &steps);
    if (is_cured(s, &steps, of))
      cures = middle;
    else
      fails = middle;
  }
  return cures;
}

static void keep_near(struct search *s, const pl_steps *steps, const struct pl_finding *fresh) {
  struct near_miss near = {*steps, *fresh};
  PL_PUSH(s->seek->check->arena, &s->near, near);
}

/* Takes the steps when they cure; when they cure but bring something new they are kept, to be
 * mended on top. */
static bool try_steps(struct search *s, pl_steps *steps) {
  struct pl_finding fresh;
  enum outcome outcome = judge(s, steps, &fresh);
  if (outcome == CURES)
    return take(s, steps);
  if (outcome == BRINGS_NEW)
    keep_near(s, steps, &fresh);
  return false;
}

static bool try_set(struct search *s, const pl_steps *base, const pl_id *wires, uint32_t n) {
  pl_steps steps;
  int step = least_size(s, base, wires, n, s->f);
  if (step == 0)
    return false;
  thicker(s, base, wires, n, step, &steps);
  return try_steps(s, &steps);
}

static bool try_sizes(struct search *s) {
  const pl_steps none = {0};
  pl_ids wires = pl_cure_wires(s->seek->check, s->f);
  for (uint32_t i = 0; i < wires.n && i < TOGETHER; i++)
    if (try_set(s, &none, &wires.at[i], 1))
      return true;
  for (uint32_t n = 2; n <= wires.n && n <= TOGETHER; n++)
    if (try_set(s, &none, wires.at, n))
      return true;
  return false;
}

/* What a change brought is mended by sizes on top of it, a few times over. */
static bool mend_on_top(struct search *s, pl_steps *steps, struct pl_finding fresh) {
  for (int turn = 0; turn < ON_TOP; turn++) {
    pl_steps more;
    pl_ids wires = {0};
    const struct help *help = help_for(fresh.rule);
    if (help == NULL || ((help->first | help->second) & SIZES) == 0)
      return false;
    wires = pl_cure_wires(s->seek->check, &fresh);
    if (wires.n == 0)
      return false;
    if (wires.n > TOGETHER)
      return false;
    int step = least_size(s, steps, wires.at, wires.n, &fresh);
    if (step == 0)
      return false;
    thicker(s, steps, wires.at, wires.n, step, &more);
    *steps = more;
    enum outcome outcome = judge(s, steps, &fresh);
    if (outcome == CURES)
      return take(s, steps);
    if (outcome == NOT_CURED)
      return false;
  }
  return false;
}

/* Each other size from the nearest on, both ways. */
static bool try_other_sizes(struct search *s) {
  const struct pl_check *check = s->seek->check;
  pl_ids wires = pl_cure_wires(check, s->f);
  if (wires.n != 1)
    return false;
  const struct pl_wire *wire = &check->harness->wires.at[wires.at[0]];
  for (int step = 1; step <= RATINGS; step++)
    for (int way = -1; way <= 1; way += 2) {
      pl_steps steps = {0};
      struct pl_finding fresh;
      double area = pl_wire_next_area(wire->area, wire->metric, way * step);
      if (!(area > 0))
        continue;
      put_step(check->arena, &steps, (struct pl_step){PL_STEP_SIZE, wires.at[0], PL_NONE, area});
      if (judge(s, &steps, &fresh) == CURES)
        return take(s, &steps);
    }
  return false;
}

/* ---- one step ---- */

static bool try_step(struct search *s, struct pl_step step) {
  pl_steps steps = {0};
  PL_PUSH(s->seek->check->arena, &steps, step);
  return try_steps(s, &steps);
}

static bool try_ratings(struct search *s, bool up) {
  const struct pl_harness *h = s->seek->check->harness;
  pl_id d = pl_harness_find_device(h, s->f->place);
  if (d == PL_NONE)
    return false;
  if (!pl_kind_is(h->devices.at[d].kind, PL_HAS_FAMILY))
    return false;
  const struct pl_device *fuse = &h->devices.at[d];
  double amps = fuse->rating;
  for (int k = 0; k < RATINGS; k++) {
    if (up)
      amps = pl_fuse_at_least(fuse->family, amps * 1.001);
    else
      amps = pl_fuse_at_most(fuse->family, amps * 0.999);
    if (!(amps > 0))
      return false;
    if (try_step(s, (struct pl_step){PL_STEP_RATING, d, PL_NONE, amps}))
      return true;
  }
  return false;
}

static bool try_turn(struct search *s) {
  const struct pl_harness *h = s->seek->check->harness;
  pl_id d = pl_harness_find_device(h, s->f->place);
  if (d == PL_NONE)
    return false;
  const struct pl_device *device = &h->devices.at[d];
  if (device->plus == PL_NONE)
    return false;
  if (device->minus == PL_NONE)
    return false;
  return try_step(s, (struct pl_step){PL_STEP_TURN, device->plus, device->minus, 0});
}

/* Steps of which one may be the mistake itself.  Only where exactly one of them cures it is that
 * one said: two that do are a guess. */
static bool try_only(struct search *s, const pl_steps *list) {
  pl_steps found = {0};
  for (uint32_t i = 0; i < list->n; i++) {
    if (!try_step(s, list->at[i]))
      continue;
    PL_PUSH(s->seek->check->arena, &found, list->at[i]);
    s->cure.found = false;
  }
  s->near.n = 0; /* what brings something new is no such step */
  if (found.n != 1)
    return false;
  return take(s, &found);
}

/* A wire that goes round something, or joins what is meant apart, leaves both its ends with other
 * wires: what hangs by one wire alone is not proposed to be cut off. */
static bool is_spare(const struct pl_harness *h, pl_id w) {
  const struct pl_wire *wire = &h->wires.at[w];
  for (int end = 0; end < 2; end++)
    if (wire->end[end] == PL_NONE || h->pins.at[wire->end[end]].wires.n < 2)
      return false;
  return true;
}

static void add_out(const struct pl_check *check, pl_id wire, pl_steps *list) {
  if (list->n < WAYS_OUT && is_spare(check->harness, wire))
    put_step(check->arena, list, (struct pl_step){PL_STEP_OUT, wire, PL_NONE, 0});
}

static bool try_out(struct search *s) {
  const struct pl_check *check = s->seek->check;
  pl_ids pins = pl_cure_pins(check, s->f->place);
  pl_ids wires;
  if (s->f->wire_count > 0)
    wires = pl_cure_wires(check, s->f);
  else
    wires = pl_cure_way(check, s->f);
  pl_steps list = {0};
  for (uint32_t i = 0; i < pins.n && s->f->wire_count == 0; i++) {
    const struct pl_pin *pin = &check->harness->pins.at[pins.at[i]];
    for (uint32_t k = 0; k < pin->wires.n; k++)
      add_out(check, pin->wires.at[k], &list);
  }
  for (uint32_t i = 0; i < wires.n; i++)
    add_out(check, wires.at[i], &list);
  return try_only(s, &list);
}

static void add_pair(const struct pl_check *check, pl_id a, pl_id b, pl_steps *list) {
  const struct pl_harness *h = check->harness;
  if (list->n >= PAIRS || a == b)
    return;
  if (h->pins.at[a].wires.n == 0)
    return;
  if (h->pins.at[b].wires.n == 0)
    return;
  PL_PUSH(check->arena, list, ((struct pl_step){PL_STEP_TURN, a, b, 0}));
}

/* The pin a finding blames with its own, else all pairs of its device's pins, or its pin with the
 * others of the device. */
static bool try_swap(struct search *s) {
  const struct pl_check *check = s->seek->check;
  const struct pl_harness *h = check->harness;
  pl_ids pins = pl_cure_pins(check, s->f->place);
  pl_id blamed = pl_harness_find_pin(h, s->f->blames);
  pl_steps list = {0};
  if (pins.n == 1 && blamed != PL_NONE && h->pins.at[blamed].wires.n > 0) {
    add_pair(check, pins.at[0], blamed, &list);
  } else if (pins.n == 1) {
    const struct pl_device *device = &h->devices.at[h->pins.at[pins.at[0]].device];
    for (pl_id p = device->first_pin; p < pl_pins_end(device); p++)
      add_pair(check, pins.at[0], p, &list);
  } else {
    for (uint32_t i = 0; i < pins.n; i++)
      for (uint32_t k = i + 1; k < pins.n; k++)
        add_pair(check, pins.at[i], pins.at[k], &list);
  }
  return try_only(s, &list);
}

static bool try_twist(struct search *s) {
  if (s->f->wire_count != 2)
    return false;
  return try_step(s, (struct pl_step){PL_STEP_TWIST, s->f->wires[0], s->f->wires[1], 0});
}

static bool try_pulses(struct search *s) {
  pl_id d = pl_harness_find_device(s->seek->check->harness, s->f->place);
  double pulses = round(s->f->limit);
  if (d == PL_NONE || !(pulses >= 1))
    return false;
  return try_step(s, (struct pl_step){PL_STEP_PULSES, d, PL_NONE, pulses});
}

static bool try_suppress(struct search *s) {
  const struct pl_harness *h = s->seek->check->harness;
  pl_id d = pl_harness_find_device(h, s->f->place);
  if (d == PL_NONE || s->f->severity < PL_FAULT)
    return false; /* the text only does not say what is there: that is no change to make */
  double volts = h->devices.at[d].volts;
  if (isnan(volts))
    volts = h->machine.volts;
  double ohms = pl_coil_resistor(volts);
  if (!(ohms > 0))
    return false;
  return try_step(s, (struct pl_step){PL_STEP_SUPPRESS, d, PL_NONE, ohms});
}

static bool try_waiver(struct search *s) {
  const struct pl_harness *h = s->seek->check->harness;
  for (uint32_t w = 0; w < h->waivers.n; w++)
    if (h->waivers.at[w].span.file == s->f->span.file &&
        h->waivers.at[w].span.start == s->f->span.start)
      return try_step(s, (struct pl_step){PL_STEP_WAIVER, w, PL_NONE, 0});
  return false;
}

static bool try_up(struct search *s) {
  return try_ratings(s, true);
}

static bool try_down(struct search *s) {
  return try_ratings(s, false);
}

static const struct {
  unsigned bit;
  bool (*go)(struct search *s);
} tries[] = {
    {SIZES, try_sizes},
    {UP, try_up},
    {DOWN, try_down},
    {TURN, try_turn},
    {OUT, try_out},
    {SWAP, try_swap},
    {TWIST, try_twist},
    {PULSES, try_pulses},
    {SUPPRESS, try_suppress},
    {WAIVER, try_waiver},
    {OTHER_SIZE, try_other_sizes},
};

struct pl_cure pl_cure_seek(struct pl_seek *seek, const struct pl_finding *f) {
  struct search s = {.seek = seek, .f = f};
  seek->left_of_one = PL_REMEDY_OF_ONE;
  const struct help *help = help_for(f->rule);
  if (help == NULL)
    return s.cure;
  unsigned order[2] = {help->first, help->second};
  for (int k = 0; k < 2; k++)
    for (size_t t = 0; t < sizeof tries / sizeof *tries; t++)
      if ((order[k] & tries[t].bit) != 0 && tries[t].go(&s))
        return s.cure;
  for (uint32_t i = 0; i < s.near.n; i++)
    if (mend_on_top(&s, &s.near.at[i].steps, s.near.at[i].fresh))
      break;
  return s.cure;
}
