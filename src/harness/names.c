/* The words the language uses for kinds, roles and the like: one table each, read by the builder
 * and by every writer. */
#include <stddef.h>

#include "harness/harness.h"

static const char *const kind_names[PL_KIND_COUNT] = {[PL_KIND_BATTERY] = "battery",
                                                      [PL_KIND_ALTERNATOR] = "alternator",
                                                      [PL_KIND_STARTER] = "starter",
                                                      [PL_KIND_FUSE] = "fuse",
                                                      [PL_KIND_BREAKER] = "breaker",
                                                      [PL_KIND_FUSIBLE_LINK] = "fusible link",
                                                      [PL_KIND_SWITCH] = "switch",
                                                      [PL_KIND_DISCONNECT] = "disconnect",
                                                      [PL_KIND_RELAY] = "relay",
                                                      [PL_KIND_LAMP] = "lamp",
                                                      [PL_KIND_MOTOR] = "motor",
                                                      [PL_KIND_PUMP] = "pump",
                                                      [PL_KIND_FAN] = "fan",
                                                      [PL_KIND_SOLENOID] = "solenoid",
                                                      [PL_KIND_HEATER] = "heater",
                                                      [PL_KIND_HORN] = "horn",
                                                      [PL_KIND_BUZZER] = "buzzer",
                                                      [PL_KIND_LOAD] = "load",
                                                      [PL_KIND_MODULE] = "module",
                                                      [PL_KIND_SENSOR] = "sensor",
                                                      [PL_KIND_SENDER] = "sender",
                                                      [PL_KIND_GAUGE] = "gauge",
                                                      [PL_KIND_DIODE] = "diode",
                                                      [PL_KIND_RESISTOR] = "resistor",
                                                      [PL_KIND_TERMINATOR] = "terminator",
                                                      [PL_KIND_STUD] = "stud",
                                                      [PL_KIND_SPLICE] = "splice",
                                                      [PL_KIND_CHASSIS] = "chassis",
                                                      [PL_KIND_BOND] = "bond",
                                                      [PL_KIND_INLINE] = "inline",
                                                      [PL_KIND_CONNECTOR] = "connector"};

static const char *const role_names[PL_ROLE_COUNT] = {[PL_ROLE_PASSIVE] = "contact",
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
                                                      [PL_ROLE_UNUSED] = "unused"};

const char *pl_kind_name(enum pl_kind kind) {
  return kind_names[kind];
}

bool pl_kind_is_load(enum pl_kind kind) {
  return kind >= PL_KIND_LAMP && kind <= PL_KIND_LOAD;
}

bool pl_kind_is_protection(enum pl_kind kind) {
  return kind == PL_KIND_FUSE || kind == PL_KIND_BREAKER || kind == PL_KIND_FUSIBLE_LINK;
}

bool pl_kind_is_node(enum pl_kind kind) {
  return kind == PL_KIND_STUD || kind == PL_KIND_SPLICE || kind == PL_KIND_CHASSIS ||
         kind == PL_KIND_BOND;
}

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
