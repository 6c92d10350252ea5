/* Signals: grounds of sensors that are lifted by other currents, sensors shared with gauges, gauges
 * with the wrong sender, the data link. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "model/build.h"
#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/margin_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/defaults.h"
#include "standard/limits_data.h"

/* ---- grounds of sensors ---- */

static pl_id return_of(const struct pl_harness *h, const struct pl_device *module) {
  pl_id ground = PL_NONE;
  for (pl_id p = module->first_pin; p < pl_pins_end(module); p++) {
    if (h->pins.at[p].role == PL_ROLE_SENSOR_RETURN && pl_pin_wires_there(h, p) > 0)
      return p;
    if (h->pins.at[p].role == PL_ROLE_GROUND && pl_pin_wires_there(h, p) > 0 && ground == PL_NONE)
      ground = p;
  }
  return ground;
}

/* By net: the first module input that listens there. */
static pl_id *listeners(const struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  pl_id *by = PL_BY_PIN(check, pl_id);
  for (pl_id p = 0; p <= h->pins.n; p++)
    by[p] = PL_NONE;
  for (pl_id p = 0; p < h->pins.n; p++) {
    if (h->pins.at[p].role != PL_ROLE_SIGNAL_INPUT)
      continue;
    if (by[check->facts->net[p]] != PL_NONE)
      continue;
    by[check->facts->net[p]] = p;
  }
  return by;
}

/* The wire on the sensor's return that another current fills most. */
static pl_id
fullest_wire(const struct pl_check *check, const struct pl_solution *solution, pl_id pin) {
  uint32_t *path = NULL;
  uint32_t n = pl_solution_path(check->network, solution, pin, true, check->arena, &path);
  pl_id wire = PL_NONE;
  double most = 0;
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_element *e = &solution->elements[path[i]];
    if (e->wire == PL_NONE)
      continue;
    if (!(fabs(e->amps) * e->ohms > most))
      continue;
    most = fabs(e->amps) * e->ohms;
    wire = e->wire;
  }
  return wire;
}

/* The least by which the sensor's ground moves between the two states, millivolts, with every part
 * at its best for that; shown when it keeps the limit. */
static const char *
good_lift(const struct pl_check *check, pl_id minus, pl_id back, pl_id high, pl_id low) {
  struct pl_reading lift = {PL_READING_VOLTS, minus, back, PL_NONE};
  double most = pl_band_solved(pl_bands_take(check->network, &check->solutions[high]), lift).low;
  double least = pl_band_solved(pl_bands_take(check->network, &check->solutions[low]), lift).high;
  double shift = 1000 * fmax(most - least, 0);
  if (!(shift <= pl_limit_sensor_lift.value))
    return "";
  return pl_arena_printf(
      check->arena,
      "; with short wires, new contacts and good parts it would move by %s, within the limit",
      pl_say(check->arena, shift, "mV"));
}

/* How far the sensor's ground stands above the module's, most and least, and in which states. */
struct lift {
  double most, least;
  pl_id high, low; /* PL_NONE: the module is awake in no solved state */
};

static struct lift find_lift(const struct pl_check *check, pl_id module, pl_id minus, pl_id back) {
  struct lift lift = {-INFINITY, INFINITY, PL_NONE, PL_NONE};
  for (pl_id s = 0; s < check->harness->states.n; s++) {
    const struct pl_solution *solution = &check->solutions[s];
    if (solution->status != PL_SOLVED)
      continue;
    if (!solution->device_on[module])
      continue;
    double now = solution->pin_volts[minus] - solution->pin_volts[back];
    if (isnan(now))
      continue;
    if (now > lift.most) {
      lift.most = now;
      lift.high = s;
    }
    if (now < lift.least) {
      lift.least = now;
      lift.low = s;
    }
  }
  return lift;
}

void pl_rule_sensor_ground_lifted(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const pl_id *by = listeners(check);
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *sensor = &h->devices.at[d];
    if (!pl_kind_is(sensor->kind, PL_IS_SENSING))
      continue;
    if (sensor->signal == PL_NONE)
      continue;
    if (sensor->minus == PL_NONE)
      continue;
    pl_id input = by[check->facts->net[sensor->signal]];
    if (input == PL_NONE)
      continue;
    pl_id module = h->pins.at[input].device;
    pl_id back = return_of(h, &h->devices.at[module]);
    if (back == PL_NONE)
      continue;
    struct lift lift = find_lift(check, module, sensor->minus, back);
    double shift = 1000 * (lift.most - lift.least);
    double worst = fmax(fabs(lift.most), fabs(lift.least));
    if (lift.high == PL_NONE)
      continue;
    bool moves = shift > pl_limit_sensor_lift.value;
    if (!moves && !(1000 * worst > pl_limit_sensor_lift.value))
      continue;
    pl_id state = lift.low;
    if (fabs(lift.most) >= fabs(lift.least))
      state = lift.high;
    pl_id wire = fullest_wire(check, &check->solutions[state], sensor->minus);
    struct pl_finding f = pl_finding_new("sensor-ground-lifted",
                                         PL_FAULT,
                                         pl_pin_wiring_span(h, sensor->minus),
                                         sensor->name);
    f.state = pl_state_name(check, state);
    if (moves)
      f.figure = shift;
    else
      f.figure = 1000 * worst;
    f.limit = pl_limit_sensor_lift.value;
    f.unit = "mV";
    f.text =
        pl_arena_printf(check->arena,
                        "the ground of %s stands %s off the return of %s%s: other currents share "
                        "it%s%s, so %s reads wrong%s",
                        sensor->name,
                        pl_say(check->arena, 1000 * worst, "mV"),
                        h->devices.at[module].name,
                        !moves ? ""
                               : pl_arena_printf(check->arena,
                                                 ", and moves by %s from state to state",
                                                 pl_say(check->arena, shift, "mV")),
                        wire == PL_NONE ? "" : ", most in ",
                        wire == PL_NONE ? "" : pl_say_wire(check, wire),
                        h->pins.at[input].full,
                        good_lift(check, sensor->minus, back, lift.high, lift.low));
    const struct pl_device *reader = &h->devices.at[module];
    for (pl_id p = reader->first_pin; p < pl_pins_end(reader); p++) {
      if (h->pins.at[p].role != PL_ROLE_SENSOR_RETURN)
        continue;
      if (h->pins.at[back].role == PL_ROLE_SENSOR_RETURN)
        continue;
      back = p;
    }
    f.remedy = pl_arena_printf(check->arena,
                               "run the sensor's return to %s alone",
                               pl_say_place(check, back));
    pl_findings_add(check->findings, f);
  }
}

/* ---- shared sensors ---- */

void pl_rule_sensor_to_gauge(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  const pl_id *by = listeners(check);
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *gauge = &h->devices.at[d];
    pl_id signal = PL_NONE;
    if (pl_kind_is(gauge->kind, PL_IS_GAUGE))
      signal = pl_pin_named(h, d, "S");
    pl_id input = PL_NONE;
    if (signal != PL_NONE)
      input = by[check->facts->net[signal]];
    if (input == PL_NONE)
      continue;
    struct pl_finding f = pl_finding_new("sensor-to-gauge",
                                         PL_FAULT,
                                         pl_pin_wiring_span(h, signal),
                                         h->pins.at[signal].full);
    f.text = pl_arena_printf(check->arena,
                             "gauge %s and controller input %s share one sensor: the gauge's "
                             "current moves what the controller reads",
                             gauge->name,
                             h->pins.at[input].full);
    f.remedy =
        "a sender of its own for the gauge, or a gauge that takes its figure from the data link";
    pl_findings_add(check->findings, f);
  }
}

/* ---- gauges ---- */

/* A shipped sender whose name carries the gauge's range. */
static const char *fitting_part(const struct pl_check *check, const struct pl_device *gauge) {
  struct pl_part_entry *parts;
  uint32_t count;
  char first[PL_NUMBER_SIZE], last[PL_NUMBER_SIZE];
  const struct pl_point *p = gauge->points.at;
  const char *range = pl_arena_printf(check->arena,
                                      "%s-%s",
                                      pl_number_print(first, p[0].ohms, 4),
                                      pl_number_print(last, p[gauge->points.n - 1].ohms, 4));
  pl_build_list_parts(check->arena, &parts, &count);
  for (uint32_t i = 0; i < count; i++)
    if (pl_kind_is(parts[i].kind, PL_FEEDS_GAUGE) && strstr(parts[i].name, range) != NULL)
      return pl_arena_printf(check->arena, " (part %s)", parts[i].name);
  return "";
}

static const char *
say_quantity(const struct pl_check *check, const struct pl_device *gauge, double value) {
  const char *unit;
  double shown = pl_measure_shown(gauge->measure, value, &unit);
  return pl_say(check->arena, shown, unit);
}

struct needle {
  double off, at, shown;
}; /* where it is furthest from the truth */

/* With every ohm of the sender `times` what its table says. */
static struct needle
furthest(const struct pl_device *gauge, const struct pl_device *sender, double times) {
  struct needle worst = {0, 0, 0};
  for (uint32_t i = 0; i + 1 < sender->points.n; i++)
    for (int k = 0; k <= 8; k++) {
      const struct pl_point *a = &sender->points.at[i];
      const struct pl_point *b = a + 1;
      double x = a->x + (b->x - a->x) * k / 8.0;
      double needle = pl_device_quantity_at(gauge, times * pl_device_reading(sender, x));
      if (fabs(needle - x) > worst.off)
        worst = (struct needle){fabs(needle - x), x, needle};
    }
  return worst;
}

/* Does a sender that is good within its tolerance keep the needle within the limit? */
static const char *good_sender(const struct pl_check *check,
                               const struct pl_device *gauge,
                               const struct pl_device *sender,
                               double dial) {
  double tolerance = pl_device_tolerance(sender);
  double least = INFINITY;
  for (int k = -4; k <= 4; k++)
    least = fmin(least, furthest(gauge, sender, 1 + tolerance * k / 4).off);
  if (100 * least / dial > pl_limit_needle.value)
    return "";
  return pl_arena_printf(
      check->arena,
      "; with a sender at the good end of its tolerance (%s) it would be %s off, within the limit",
      pl_say(check->arena, 100 * tolerance, "%"),
      pl_say(check->arena, 100 * least / dial, "%"));
}

static void judge_pair(struct pl_check *check, pl_id g, pl_id s) {
  const struct pl_device *gauge = &check->harness->devices.at[g];
  const struct pl_device *sender = &check->harness->devices.at[s];
  const struct pl_point *first = &gauge->points.at[0];
  const struct pl_point *last = &gauge->points.at[gauge->points.n - 1];
  double dial = fabs(last->x - first->x);
  if (!(dial > 0))
    return;
  if (gauge->measure != sender->measure)
    return;
  struct needle worst = furthest(gauge, sender, 1);
  if (!(100 * worst.off / dial > pl_limit_needle.value))
    return;
  struct pl_finding f = pl_finding_new("gauge-mismatch", PL_FAULT, gauge->span, gauge->name);
  f.figure = 100 * worst.off / dial;
  f.limit = pl_limit_needle.value;
  f.unit = "%";
  f.text = pl_arena_printf(check->arena,
                           "%s shows %s where sender %s stands at %s: their ranges differ%s",
                           gauge->name,
                           say_quantity(check, gauge, worst.shown),
                           sender->name,
                           say_quantity(check, gauge, worst.at),
                           good_sender(check, gauge, sender, dial));
  f.remedy = pl_arena_printf(check->arena,
                             "a sender of %s at %s and %s at %s%s",
                             pl_say(check->arena, first->ohms, "ohm"),
                             say_quantity(check, gauge, first->x),
                             pl_say(check->arena, last->ohms, "ohm"),
                             say_quantity(check, gauge, last->x),
                             fitting_part(check, gauge));
  pl_findings_add(check->findings, f);
}

void pl_rule_gauge_mismatch(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  pl_id *sender = PL_BY_PIN(check, pl_id);
  for (pl_id p = 0; p <= h->pins.n; p++)
    sender[p] = PL_NONE;
  for (pl_id d = 0; d < h->devices.n; d++) {
    if (!pl_device_is(h, d, PL_FEEDS_GAUGE))
      continue;
    if (h->devices.at[d].signal == PL_NONE)
      continue;
    if (h->devices.at[d].points.n < 2)
      continue;
    sender[check->facts->net[h->devices.at[d].signal]] = d;
  }
  for (pl_id d = 0; d < h->devices.n; d++) {
    pl_id signal = PL_NONE;
    if (pl_device_is(h, d, PL_IS_GAUGE) && h->devices.at[d].points.n > 1)
      signal = pl_pin_named(h, d, "S");
    if (signal != PL_NONE && sender[check->facts->net[signal]] != PL_NONE)
      judge_pair(check, d, sender[check->facts->net[signal]]);
  }
}
