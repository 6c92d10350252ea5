/* What reads wrong under a fault: gauges by their own scale, inputs of modules that stay awake by
 * their volts, a data link that is touched. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "prove/prove_inner.h"
#include "standard/defaults.h"
#include "standard/limits_data.h"

struct reading {
  pl_id pin, device; /* an input and its module; or a gauge, pin PL_NONE */
  double span;       /* volts that its pull or supply gives; the gauge's dial */
};

struct pl_readings {
  PL_VEC(struct reading) list;
  struct pl_solution seen; /* only what a gauge looks at is filled in */
  bool *data;              /* by net: a data line */
};

static double input_span(const struct pl_proof *proof, const struct pl_pin *pin) {
  const struct pl_device *module = &proof->harness->devices.at[pin->device];
  if (pin->pull_volts > 0)
    return pin->pull_volts;
  if (pin->role == PL_ROLE_SIGNAL_INPUT)
    return PL_DEFAULT(SENSOR_VOLTS);
  return pl_prove_supply(proof->harness, module);
}

struct pl_readings *pl_readings_new(struct pl_proof *proof) {
  const struct pl_harness *h = proof->harness;
  struct pl_readings *readings = PL_NEW(proof->arena, struct pl_readings);

  readings->seen.status = PL_SOLVED;
  readings->seen.pin_volts = PL_NEW_ARRAY(proof->arena, double, h->pins.n + 1);
  readings->data = PL_NEW_ARRAY(proof->arena, bool, proof->net_count + 1);
  for (pl_id p = 0; p < h->pins.n; p++) {
    const struct pl_pin *pin = &h->pins.at[p];
    uint32_t node = pl_network_pin_node(proof->network, p);
    if ((pin->role == PL_ROLE_DATA_HIGH || pin->role == PL_ROLE_DATA_LOW) && node != PL_NONE)
      readings->data[proof->net[node]] = true;
    if (pin->role != PL_ROLE_SIGNAL_INPUT && pin->role != PL_ROLE_SWITCH_INPUT)
      continue;
    if (pin->wires.n == 0)
      continue;
    if (proof->ground[pin->device] == PL_NONE)
      continue;
    struct reading reading = {p, pin->device, input_span(proof, pin)};
    PL_PUSH(proof->arena, &readings->list, reading);
  }
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *gauge = &h->devices.at[d];
    if (!pl_kind_is(gauge->kind, PL_IS_GAUGE))
      continue;
    if (gauge->points.n < 2)
      continue;
    struct reading reading = {
        PL_NONE,
        d,
        fabs(gauge->points.at[gauge->points.n - 1].x - gauge->points.at[0].x)};
    PL_PUSH(proof->arena, &readings->list, reading);
  }
  return readings;
}

static double gauge_shows(struct pl_proof *proof,
                          struct pl_readings *readings,
                          pl_id gauge,
                          const double *node_volts) {
  const struct pl_device *d = &proof->harness->devices.at[gauge];
  for (pl_id p = d->first_pin; p < pl_pins_end(d); p++) {
    uint32_t node = pl_network_pin_node(proof->network, p);
    if (node == PL_NONE)
      readings->seen.pin_volts[p] = NAN;
    else
      readings->seen.pin_volts[p] = node_volts[node];
  }
  return pl_gauge_reading(proof->harness, &readings->seen, gauge);
}

static const char *say(struct pl_proof *proof, double value, const char *unit) {
  char number[PL_NUMBER_SIZE];
  if (fabs(value) < 0.1)
    value = 0; /* a ground lifted by millivolts reads as none here */
  return pl_arena_printf(proof->arena,
                         "%s%s%s",
                         pl_number_print(number, value, 2),
                         unit[0] == '\0' ? "" : " ",
                         unit);
}

static void judge_gauge(struct pl_proof *proof,
                        struct pl_readings *readings,
                        const struct reading *reading,
                        const double *healthy,
                        const double *now,
                        struct pl_buffer *dead,
                        struct pl_buffer *out) {
  const struct pl_device *d = &proof->harness->devices.at[reading->device];
  const char *unit;
  double was = gauge_shows(proof, readings, reading->device, healthy);
  double is = gauge_shows(proof, readings, reading->device, now);
  if (!isnan(was) && isnan(is))
    pl_buffer_printf(dead, "%s%s", dead->n > 0 ? ", " : "", d->name);
  if (isnan(was) || isnan(is))
    return;
  if (fabs(is - was) <= pl_limit_needle.value / 100 * reading->span)
    return;
  double shown_was = pl_measure_shown(d->measure, was, &unit);
  double shown_is = pl_measure_shown(d->measure, is, &unit);
  pl_buffer_printf(out,
                   "%s%s shows %s for %s",
                   out->n > 0 ? ", " : "",
                   d->name,
                   say(proof, shown_is, unit),
                   say(proof, shown_was, unit));
}

/* An input floats when nothing but its own megohm holds it: 0 V then. */
static double
input_volts(struct pl_proof *proof, const struct reading *reading, const double *node_volts) {
  double volts = node_volts[pl_network_pin_node(proof->network, reading->pin)] -
                 node_volts[proof->ground[reading->device]];
  return isnan(volts) ? 0 : volts;
}

static void judge_input(struct pl_proof *proof,
                        const struct reading *reading,
                        const double *healthy,
                        const double *now,
                        struct pl_buffer *out) {
  const struct pl_pin *pin = &proof->harness->pins.at[reading->pin];
  double was = input_volts(proof, reading, healthy);
  double is = input_volts(proof, reading, now);
  double share = pin->role == PL_ROLE_SWITCH_INPUT ? 50 : pl_limit_misread.value;
  if (!(fabs(is - was) > share / 100 * reading->span))
    return;
  pl_buffer_printf(out,
                   "%s%s sees %s for %s",
                   out->n > 0 ? ", " : "",
                   pin->full,
                   say(proof, is, "V"),
                   say(proof, was, "V"));
}

static bool on_data(const struct pl_proof *proof, const struct pl_readings *readings, pl_id pin) {
  uint32_t node = PL_NONE;
  if (pin != PL_NONE)
    node = pl_network_pin_node(proof->network, pin);
  return node != PL_NONE && readings->data[proof->net[node]];
}

/* Both lines are passive here, so volts do not tell; the fault does. */
static bool cuts_link(const struct pl_proof *proof,
                      const struct pl_readings *readings,
                      const struct pl_fault *fault) {
  if (fault->kind == PL_FAULT_OPEN && fault->wire != PL_NONE)
    return on_data(proof, readings, proof->harness->wires.at[fault->wire].end[0]);
  if (fault->kind == PL_FAULT_SHORTED && fault->device != PL_NONE &&
      pl_device_is(proof->harness, fault->device, PL_IS_TERMINATOR))
    return true;
  if (fault->kind != PL_FAULT_TO_CHASSIS && fault->kind != PL_FAULT_TO_BATTERY &&
      fault->kind != PL_FAULT_SHORTED)
    return false;
  if (on_data(proof, readings, fault->pin_a))
    return true;
  return on_data(proof, readings, fault->pin_b);
}

void pl_readings_judge(struct pl_proof *proof,
                       struct pl_readings *readings,
                       const struct pl_solution *healthy,
                       const struct pl_fault_view *view,
                       struct pl_buffer *dead,
                       struct pl_buffer *out) {
  for (uint32_t i = 0; i < readings->list.n; i++) {
    const struct reading *reading = &readings->list.at[i];
    if (reading->pin == PL_NONE)
      judge_gauge(proof, readings, reading, healthy->node_volts, view->node_volts, dead, out);
    else if (healthy->device_on[reading->device] && view->device_on[reading->device])
      judge_input(proof, reading, healthy->node_volts, view->node_volts, out);
  }
  if (cuts_link(proof, readings, view->fault))
    pl_buffer_printf(out, "%sthe data link may fall silent", out->n > 0 ? ", " : "");
}
