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
  *name = ohms >= 1e6 ? "Mohm" : ohms >= 1e3 ? "kohm" : "ohm";
  return ohms >= 1e6 ? 1e6 : ohms >= 1e3 ? 1e3 : 1;
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

const char *pl_probe_ohms_band(struct pl_ohms ohms, struct pl_arena *arena) {
  double low = ohms.least - pl_limit_meter.value;
  double high = ohms.most + pl_limit_meter.value;
  const char *low_name, *high_name;
  if (isnan(ohms.least) || isnan(ohms.most))
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
  double low_unit = unit_of(low, &low_name);
  double high_unit = unit_of(high, &high_name);
  return low_unit == high_unit ? pl_arena_printf(arena,
                                                 "%s to %s %s",
                                                 ohms_number(low, low_unit, arena),
                                                 ohms_number(high, low_unit, arena),
                                                 low_name)
                               : pl_arena_printf(arena,
                                                 "%s %s to %s %s",
                                                 ohms_number(low, low_unit, arena),
                                                 low_name,
                                                 ohms_number(high, high_unit, arena),
                                                 high_name);
}
