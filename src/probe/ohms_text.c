/* What an ohm-meter should show, in words of the bench. */
#include <math.h>

#include "base/number.h"
#include "probe/probe.h"
#include "standard/limits_data.h"

static const char *ohms_number(double ohms, double unit, struct pl_arena *arena) {
  char text[PL_NUMBER_SIZE];
  double shown = ohms / unit;
  if (unit == 1 && shown < 10)
    shown = round(shown * 100) / 100; /* a shop meter's last digit */
  return pl_arena_strdup(arena, pl_number_print(text, shown, 3));
}

static double unit_of(double ohms, const char **name) {
  if (ohms >= 1e6) {
    *name = "Mohm";
    return 1e6;
  }
  if (ohms >= 1e3) {
    *name = "kohm";
    return 1e3;
  }
  *name = "ohm";
  return 1;
}

const char *pl_probe_ohms(double ohms, struct pl_arena *arena) {
  const char *name;
  if (isnan(ohms))
    return "not known";
  if (isinf(ohms))
    return "open";
  double unit = unit_of(ohms, &name);
  return pl_arena_printf(arena, "%s %s", ohms_number(ohms, unit, arena), name);
}

static const char *from_to(double low, double high, struct pl_arena *arena) {
  const char *low_name, *high_name;
  double low_unit = unit_of(low, &low_name);
  double high_unit = unit_of(high, &high_name);
  const char *from = ohms_number(low, low_unit, arena);
  const char *to = ohms_number(high, high_unit, arena);

  if (low_unit == high_unit)
    return pl_arena_printf(arena, "%s to %s %s", from, to, low_name);
  return pl_arena_printf(arena, "%s %s to %s %s", from, low_name, to, high_name);
}

const char *pl_probe_ohms_band(struct pl_ohms ohms, struct pl_arena *arena) {
  double low = ohms.least - pl_limit_meter.value;
  double high = ohms.most + pl_limit_meter.value;

  if (isnan(ohms.least))
    return "not known";
  if (isnan(ohms.most))
    return "not known";
  if (isinf(ohms.least))
    return pl_arena_printf(arena,
                           "open (%s kohm or more)",
                           ohms_number(pl_limit_insulation.value, 1, arena));
  if (isinf(ohms.most) && low <= 0)
    return "cannot be told";
  if (isinf(ohms.most))
    return pl_arena_printf(arena, "%s or more", pl_probe_ohms(low, arena));
  if (low <= 0)
    return pl_arena_printf(arena, "under %s", pl_probe_ohms(high, arena));
  return from_to(low, high, arena);
}
