/* What a device makes of a quantity: sensor and sender tables, thermistors, threshold switches, and
 * the multiples and tolerances that hold where the text is silent.  Looks at records only; no
 * network. */
#include <math.h>

#include "harness/harness.h"
#include "standard/defaults.h"

static const double kelvin = 273.15;

/* y at x on the line through two points; a thermistor's ohms lie on a line when their logarithm is
 * drawn. */
static double between(double x, double x0, double y0, double x1, double y1, bool logarithm) {
  double share = (x - x0) / (x1 - x0);

  if (logarithm && y0 > 0 && y1 > 0)
    return y0 * pow(y1 / y0, share);
  return y0 + share * (y1 - y0);
}

static bool is_logarithmic(const struct pl_device *device) {
  if (device->measure != PL_MEASURE_TEMPERATURE)
    return false;
  return !(device->kind == PL_KIND_SENSOR && device->plus != PL_NONE);
}

double pl_device_reading(const struct pl_device *device, double quantity) {
  uint32_t n = device->points.n;
  const struct pl_point *p = device->points.at;

  if (isnan(quantity))
    return NAN;
  if (n < 2)
    return isfinite(device->beta)
               ? device->beta_ohms *
                     exp(device->beta * (1 / (quantity + kelvin) - 1 / (device->beta_at + kelvin)))
               : NAN;
  bool rising = p[n - 1].x > p[0].x;
  for (uint32_t i = 0; i + 1 < n; i++) {
    if (i == 0 && (rising ? quantity <= p[0].x : quantity >= p[0].x))
      return p[0].ohms; /* beyond its ends a table stays where it ends */
    if (rising ? quantity <= p[i + 1].x : quantity >= p[i + 1].x)
      return between(quantity,
                     p[i].x,
                     p[i].ohms,
                     p[i + 1].x,
                     p[i + 1].ohms,
                     is_logarithmic(device));
  }
  return p[n - 1].ohms;
}

double pl_device_quantity_at(const struct pl_device *device, double ohms) {
  uint32_t n = device->points.n;
  const struct pl_point *p = device->points.at;

  if (isnan(ohms))
    return NAN;
  if (n < 2) {
    if (!isfinite(device->beta))
      return NAN;
    if (!(ohms > 0))
      return NAN;
    return 1 / (1 / (device->beta_at + kelvin) + log(ohms / device->beta_ohms) / device->beta) -
           kelvin;
  }
  bool rising = p[n - 1].ohms > p[0].ohms;
  for (uint32_t i = 0; i + 1 < n; i++) {
    if (i == 0 && (rising ? ohms <= p[0].ohms : ohms >= p[0].ohms))
      return p[0].x;
    if (!(rising ? ohms <= p[i + 1].ohms : ohms >= p[i + 1].ohms))
      continue;
    if (p[i].ohms == p[i + 1].ohms)
      continue;
    if (is_logarithmic(device) && p[i].ohms > 0 && p[i + 1].ohms > 0)
      return p[i].x +
             (p[i + 1].x - p[i].x) * log(ohms / p[i].ohms) / log(p[i + 1].ohms / p[i].ohms);
    return between(ohms, p[i].ohms, p[i].x, p[i + 1].ohms, p[i + 1].x, false);
  }
  return p[n - 1].x;
}

double pl_measure_shown(enum pl_measure measure, double value, const char **unit) {
  static const char *const units[] = {[PL_MEASURE_NUMBER] = "",
                                      [PL_MEASURE_TEMPERATURE] = "degC",
                                      [PL_MEASURE_PRESSURE] = "kPa",
                                      [PL_MEASURE_SHARE] = "%",
                                      [PL_MEASURE_SPEED] = "rpm"};

  *unit = units[measure];
  return measure == PL_MEASURE_SHARE ? 100 * value : value;
}

double pl_device_middle(const struct pl_device *device) {
  if (device->points.n >= 2)
    return (device->points.at[0].x + device->points.at[device->points.n - 1].x) / 2;
  if (isfinite(device->beta))
    return device->beta_at;
  return NAN;
}

double pl_state_level(const struct pl_state *state, pl_id quantity) {
  if (quantity != PL_NONE)
    for (uint32_t i = state->levels.n; i-- > 0;)
      if (state->levels.at[i].quantity == quantity)
        return state->levels.at[i].value;
  return NAN;
}

struct pl_state pl_state_with_level(const struct pl_state *state,
                                    pl_id quantity,
                                    double value,
                                    struct pl_arena *arena) {
  struct pl_state with = *state;
  struct pl_level level = {.quantity = quantity, .value = value};
  with.levels.n = 0;
  with.levels.at = NULL;
  with.levels.cap = 0;
  for (uint32_t i = 0; i < state->levels.n; i++)
    if (state->levels.at[i].quantity != quantity)
      PL_PUSH(arena, &with.levels, state->levels.at[i]);
  PL_PUSH(arena, &with.levels, level);
  return with;
}

uint32_t
pl_position_in(const struct pl_harness *harness, const struct pl_state *state, pl_id device) {
  const struct pl_device *d = &harness->devices.at[device];
  double level = pl_state_level(state, d->quantity);

  for (uint32_t i = state->settings.n; i-- > 0;)
    if (state->settings.at[i].device == device)
      return state->settings.at[i].position;
  for (uint32_t i = 0; i < d->thresholds.n; i++) {
    const struct pl_threshold *t = &d->thresholds.at[i];
    if (t->above ? level > t->at : level < t->at)
      return t->position;
  }
  return d->rest;
}

/* ---- multiples and tolerances ---- */

static bool is_motor(enum pl_kind kind) {
  return kind == PL_KIND_MOTOR || kind == PL_KIND_PUMP || kind == PL_KIND_FAN;
}

double pl_device_locked(const struct pl_device *device) {
  if (isfinite(device->locked))
    return device->locked;
  if (is_motor(device->kind))
    return PL_DEFAULT(LOCKED);
  return 1;
}

double pl_device_inrush(const struct pl_device *device, double *seconds) {
  bool lamp = device->kind == PL_KIND_LAMP;
  bool motor = is_motor(device->kind);
  double times = device->inrush;
  double lasts = device->inrush_seconds;

  if (isnan(times))
    times = lamp ? PL_DEFAULT(INRUSH_LAMP) : motor ? pl_device_locked(device) : 1;
  if (isnan(lasts))
    lasts = lamp        ? PL_DEFAULT(INRUSH_LAMP_TIME)
            : motor     ? PL_DEFAULT(INRUSH_MOTOR_TIME)
            : times > 1 ? PL_DEFAULT(INRUSH_LAMP_TIME)
                        : 0;
  if (seconds != NULL)
    *seconds = lasts;
  return times;
}

double pl_device_tolerance(const struct pl_device *device) {
  if (isfinite(device->tolerance))
    return device->tolerance;
  if (device->kind == PL_KIND_RESISTOR || device->kind == PL_KIND_TERMINATOR)
    return PL_DEFAULT(TOLERANCE_RESISTOR);
  return PL_DEFAULT(TOLERANCE);
}
