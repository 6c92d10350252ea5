/* What gauges show on the wired machine: two on one sender share its current, a ground that other
 * currents lift moves the needle.  The needle is read from the solved network, in every state and
 * with the sender at either end of its table; the tables alone are gauge-mismatch's business. */
#include <math.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/limits_data.h"

struct pair {
  pl_id gauge, sender, signal, minus;
};

struct needle {
  double off, shown, right; /* shares of the dial; the quantity shown, and as the tables say */
  const char *when;
};

/* The one sender on the gauge's signal net that measures in its unit; PL_NONE: none or several. */
static pl_id sender_of(const struct pl_check *check, pl_id gauge, pl_id signal) {
  const struct pl_harness *h = check->harness;
  pl_id found = PL_NONE;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is(device->kind, PL_FEEDS_GAUGE))
      continue;
    if (device->signal == PL_NONE)
      continue;
    if (device->points.n < 2)
      continue;
    if (device->measure != h->devices.at[gauge].measure)
      continue;
    if (!pl_same_net(check, device->signal, signal))
      continue;
    if (found != PL_NONE)
      return PL_NONE;
    found = d;
  }
  return found;
}

static void look(const struct pl_check *check,
                 const struct pair *pair,
                 const struct pl_solution *solution,
                 double ohms,
                 const char *when,
                 struct needle *worst) {
  const struct pl_device *gauge = &check->harness->devices.at[pair->gauge];
  double dial = fabs(gauge->points.at[gauge->points.n - 1].x - gauge->points.at[0].x);
  if (solution->status != PL_SOLVED)
    return;
  if (!(dial > 0))
    return;
  double shown = pl_gauge_reading(check->harness, solution, pair->gauge);
  double right = pl_device_quantity_at(gauge, ohms);
  double off = fabs(shown - right) / dial;
  if (off > worst->off)
    *worst = (struct needle){off, shown, right, when};
}

/* What the sender has in a state: by its table where the state says the quantity. */
static double ohms_in(const struct pl_state *state, const struct pl_device *sender) {
  double level = NAN;
  if (sender->quantity != PL_NONE)
    level = pl_state_level(state, sender->quantity);
  if (!isnan(level))
    return pl_device_reading(sender, level);
  if (isfinite(sender->ohms))
    return sender->ohms;
  return pl_device_reading(sender, pl_device_middle(sender));
}

/* The sender at either end of its table, in the last state in which the gauge is fed. */
static void look_at_ends(const struct pl_check *check,
                         const struct pair *pair,
                         pl_id base,
                         struct needle *worst) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *sender = &h->devices.at[pair->sender];
  struct pl_solution solution = {0};
  if (base == PL_NONE || sender->quantity == PL_NONE)
    return;
  for (int end = 0; end < 2; end++) {
    double value = sender->points.at[end == 0 ? 0 : sender->points.n - 1].x;
    struct pl_state state =
        pl_state_with_level(&h->states.at[base], sender->quantity, value, check->arena);
    pl_network_solve_as(check->network, &state, &solution, NULL);
    look(check,
         pair,
         &solution,
         pl_device_reading(sender, value),
         pl_state_name(check, base),
         worst);
  }
}

/* Another gauge on the same sender; PL_NONE. */
static pl_id shares_with(const struct pl_check *check, const struct pair *pair) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    pl_id plus, minus, signal;
    if (d == pair->gauge)
      continue;
    if (!pl_device_is(h, d, PL_IS_GAUGE))
      continue;
    pl_gauge_pins(h, d, &plus, &minus, &signal);
    if (signal != PL_NONE && pl_same_net(check, signal, pair->signal))
      return d;
  }
  return PL_NONE;
}

/* The most by which the sender's ground stands off the gauge's, volts. */
static double ground_lift(const struct pl_check *check, const struct pair *pair) {
  pl_id back = check->harness->devices.at[pair->sender].minus;
  double most = 0;
  if (back == PL_NONE || pair->minus == PL_NONE)
    return 0;
  for (pl_id s = 0; s < check->harness->states.n; s++) {
    const struct pl_solution *solution = &check->solutions[s];
    double lift = fabs(solution->pin_volts[back] - solution->pin_volts[pair->minus]);
    if (lift > most)
      most = lift;
  }
  return most;
}

static const char *
say_quantity(const struct pl_check *check, const struct pl_device *gauge, double value) {
  const char *unit;
  double shown = pl_measure_shown(gauge->measure, value, &unit);
  return pl_say(check->arena, shown, unit);
}

static void report(struct pl_check *check, const struct pair *pair, const struct needle *worst) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *gauge = &h->devices.at[pair->gauge];
  const struct pl_device *sender = &h->devices.at[pair->sender];
  pl_id other = shares_with(check, pair);
  double lift = ground_lift(check, pair);
  const char *why = "ohms on the way to its sender, or another current there, move the needle";
  const char *remedy = pl_arena_printf(check->arena,
                                       "look at the wires between %s and %s, there and back",
                                       gauge->name,
                                       sender->name);
  if (other != PL_NONE) {
    why = pl_arena_printf(check->arena,
                          "%s hangs on the same sender and shares its current",
                          h->devices.at[other].name);
    remedy = pl_arena_printf(check->arena, "a sender of its own for %s", h->devices.at[other].name);
  } else if (1000 * lift > pl_limit_sensor_lift.value) {
    why = pl_arena_printf(check->arena,
                          "the ground of %s stands %s off that of %s: other currents share it",
                          sender->name,
                          pl_say(check->arena, lift, "V"),
                          gauge->name);
    remedy = pl_arena_printf(check->arena,
                             "ground %s and %s at one place, by wires of their own",
                             sender->name,
                             gauge->name);
  }
  struct pl_finding f = pl_finding_new("gauge-misled", PL_FAULT, gauge->span, gauge->name);
  f.state = worst->when;
  f.figure = 100 * worst->off;
  f.limit = pl_limit_needle.value;
  f.unit = "%";
  f.text = pl_arena_printf(check->arena,
                           "%s shows %s where %s should bring it to %s: %s",
                           gauge->name,
                           say_quantity(check, gauge, worst->shown),
                           sender->name,
                           say_quantity(check, gauge, worst->right),
                           why);
  f.remedy = remedy;
  pl_findings_add(check->findings, f);
}

void pl_rule_gauge_misled(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    if (!pl_device_is(h, d, PL_IS_GAUGE))
      continue;
    if (h->devices.at[d].points.n < 2)
      continue;
    struct pair pair = {.gauge = d};
    pl_id plus;
    pl_gauge_pins(h, d, &plus, &pair.minus, &pair.signal);
    if (pair.signal == PL_NONE)
      continue;
    pair.sender = sender_of(check, d, pair.signal);
    if (pair.sender == PL_NONE)
      continue;
    pl_id back = h->devices.at[pair.sender].minus;
    if (back != PL_NONE && check->facts->reach[back] == 0)
      continue; /* load-without-return says it */
    struct needle worst = {0};
    pl_id base = PL_NONE;
    for (pl_id s = 0; s < h->states.n; s++) {
      const struct pl_solution *solution = &check->solutions[s];
      if (!check->facts->live[s])
        continue;
      if (isnan(pl_gauge_reading(h, solution, d)))
        continue;
      base = s;
      double ohms = ohms_in(&h->states.at[s], &h->devices.at[pair.sender]);
      look(check, &pair, solution, ohms, pl_state_name(check, s), &worst);
    }
    look_at_ends(check, &pair, base, &worst);
    if (100 * worst.off > pl_limit_needle.value)
      report(check, &pair, &worst);
  }
}
