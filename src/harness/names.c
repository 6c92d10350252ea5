/* The words the language uses for kinds, roles and the like: one table each, read by the builder
 * and by every writer. */
#include <stddef.h>

#include "harness/harness.h"

static const char *const role_names[PL_ROLE_COUNT] = {
    [PL_ROLE_PASSIVE] = "contact",
    [PL_ROLE_BATTERY_FEED] = "battery feed",
    [PL_ROLE_GROUND] = "ground",
    [PL_ROLE_KEYED_INPUT] = "keyed input",
    [PL_ROLE_HIGH_SIDE] = "high-side output",
    [PL_ROLE_LOW_SIDE] = "low-side output",
    [PL_ROLE_SENSOR_SUPPLY] = "sensor supply",
    [PL_ROLE_SENSOR_RETURN] = "sensor return",
    [PL_ROLE_SIGNAL_INPUT] = "signal input",
    [PL_ROLE_SWITCH_INPUT] = "switch input",
    [PL_ROLE_DATA_HIGH] = "data high",
    [PL_ROLE_DATA_LOW] = "data low",
    [PL_ROLE_SHIELD] = "shield",
    [PL_ROLE_PLUS] = "plus",
    [PL_ROLE_MINUS] = "minus",
    [PL_ROLE_UNUSED] = "unused",
};

const char *pl_role_name(enum pl_role role) {
  return role_names[role];
}

const char *pl_sure_name(enum pl_sure sure) {
  static const char *const names[] = {"", "maker", "measured", "web", "guess"};
  return names[sure];
}

const char *pl_wire_status_name(enum pl_wire_status status) {
  static const char *const names[] = {"new",
                                      "donor",
                                      "donor extended",
                                      "donor capped",
                                      "donor removed"};
  return names[status];
}

const char *pl_engine_name(enum pl_engine engine) {
  static const char *const names[] = {"stopped", "cranking", "idle", "speed"};
  return names[engine];
}
