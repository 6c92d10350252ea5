/* What is taken of a device when the text says nothing, by the builder and by the network.  One row
 * each: name, value, unit, meaning, where the value comes from. docs/electrical.md prints the same
 * rows; a test compares them. */
#ifndef PL_STANDARD_DEFAULTS_H
#define PL_STANDARD_DEFAULTS_H

#include <stdint.h>

/* Values with the unit "of supply" are shares of the device's nominal volts. */
/* clang-format off */
#define PL_STANDARD_DEFAULTS(ROW)                                                                \
  ROW(LEAST, 1e-6, "ohm",                                                                        \
      "least resistance of a wire, contact or load",                                             \
      "our choice: far below any meter")                                                         \
  ROW(MOST, 1e8, "ohm",                                                                          \
      "a resistance above this counts as open",                                                  \
      "our choice: above a meter's 10 Mohm")                                                     \
  ROW(TERMINAL, 0.005, "ohm",                                                                    \
      "a crimped and mated contact whose family states none",                                    \
      "common practice")                                                                         \
  ROW(BOLTED, 0.0001, "ohm",                                                                     \
      "a bolted lug: battery post, stud, bond, starter, alternator, any wire from the next row " \
      "up",                                                                                      \
      "common practice")                                                                         \
  ROW(BOLTED_FROM, 8, "mm2",                                                                     \
      "wires of this size and larger end in lugs",                                               \
      "common practice")                                                                         \
  ROW(SPLICE, 0.0005, "ohm",                                                                     \
      "one wire end in a splice",                                                                \
      "from memory")                                                                             \
  ROW(BOND, 0.001, "ohm",                                                                        \
      "a bond to its chassis",                                                                   \
      "common practice")                                                                         \
  ROW(CASE, 0.001, "ohm",                                                                        \
      "a case on its chassis and other joints inside a device",                                  \
      "common practice")                                                                         \
  ROW(FUSE, 0.005, "ohm",                                                                        \
      "a fuse or breaker without rating and resistance",                                         \
      "from memory")                                                                             \
  ROW(SWITCH, 0.01, "ohm",                                                                       \
      "a closed switch contact",                                                                 \
      "common practice")                                                                         \
  ROW(PROXIMITY, 0.01, "A",                                                                      \
      "what a proximity switch draws for itself between + and -",                                \
      "from memory")                                                                             \
  ROW(DISCONNECT, 0.0005, "ohm",                                                                 \
      "a closed battery disconnect",                                                             \
      "common practice")                                                                         \
  ROW(RELAY, 0.005, "ohm",                                                                       \
      "a closed relay contact: 50 mV at 10 A",                                                   \
      "common practice")                                                                         \
  ROW(RELAY_COIL, 90, "ohm",                                                                     \
      "a relay coil at 12 V nominal; rises with the square of the volts",                        \
      "from memory")                                                                             \
  ROW(RELAY_IN, 0.6667, "of supply",                                                             \
      "a relay pulls in",                                                                        \
      "common practice")                                                                         \
  ROW(RELAY_OUT, 0.125, "of supply",                                                             \
      "a relay drops out",                                                                       \
      "common practice")                                                                         \
  ROW(EMF, 1.05, "of supply",                                                                    \
      "open-circuit volts of a battery: 2.1 V a cell",                                           \
      "common practice")                                                                         \
  ROW(BATTERY, 0.008, "ohm",                                                                     \
      "a battery without resistance and cold-cranking amps, for each 12 V",                      \
      "from memory")                                                                             \
  ROW(ALTERNATOR_SET, 1.1833, "of supply",                                                       \
      "set volts of an alternator: 14.2 V at 12 V",                                              \
      "common practice")                                                                         \
  ROW(ALTERNATOR, 0.01, "ohm",                                                                   \
      "an alternator's output behind its regulator",                                             \
      "from memory")                                                                             \
  ROW(EXCITER, 10, "ohm",                                                                        \
      "between D+ and B- while it does not turn",                                                \
      "from memory")                                                                             \
  ROW(STARTER_COIL, 0.6, "ohm",                                                                  \
      "a starter's solenoid at 12 V nominal; rises with the square of the volts",                \
      "from memory")                                                                             \
  ROW(STARTER_IN, 0.6667, "of supply",                                                           \
      "a starter's solenoid pulls in",                                                           \
      "common practice")                                                                         \
  ROW(STARTER_OUT, 0.25, "of supply",                                                            \
      "a starter's solenoid drops out",                                                          \
      "from memory")                                                                             \
  ROW(CRANK_AMPS, 300, "A",                                                                      \
      "a starter that states no amps",                                                           \
      "from memory")                                                                             \
  ROW(CRANK_VOLTS, 0.75, "of supply",                                                            \
      "volts at which a starter draws its amps: 9 V at 12 V",                                    \
      "common practice")                                                                         \
  ROW(MODULE_JOIN, 0.005, "ohm",                                                                 \
      "a module's feed or ground pin to the node inside",                                        \
      "from memory")                                                                             \
  ROW(WAKES, 0.5, "of supply",                                                                   \
      "volts on a keyed input (or feed) above which a module is awake",                          \
      "common practice")                                                                         \
  ROW(SLEEPS, 0.4, "of supply",                                                                  \
      "volts below which it falls asleep again",                                                 \
      "from memory")                                                                             \
  ROW(MEMORY_FEED, 0.05, "of the largest",                                                       \
      "a module's battery feed of fewer amps keeps only its memory",                             \
      "our choice")                                                                              \
  ROW(KEYED, 1000, "ohm",                                                                        \
      "a keyed input to the ground inside",                                                      \
      "from memory")                                                                             \
  ROW(OUTPUT, 0.1, "ohm",                                                                        \
      "an output that is on",                                                                    \
      "from memory")                                                                             \
  ROW(SENSOR_VOLTS, 5, "V",                                                                      \
      "a sensor supply that states no volts",                                                    \
      "common practice")                                                                         \
  ROW(SENSOR_SUPPLY, 1, "ohm",                                                                   \
      "behind a sensor supply",                                                                  \
      "from memory")                                                                             \
  ROW(SENSOR_RETURN, 0.1, "ohm",                                                                 \
      "a sensor return to the ground inside",                                                    \
      "from memory")                                                                             \
  ROW(INPUT, 1e6, "ohm",                                                                         \
      "a signal or switch input without pull to the ground inside",                              \
      "from memory")                                                                             \
  ROW(DATA, 1e5, "ohm",                                                                          \
      "data high, data low or shield to the ground inside: passive",                             \
      "from memory")                                                                             \
  ROW(SENSOR, 2500, "ohm",                                                                       \
      "a sensor that states no resistance (a coolant sensor near 20 degC)",                      \
      "from memory")                                                                             \
  ROW(SENSOR_SHARE, 0.5, "of supply",                                                            \
      "signal of a three-wire sensor",                                                           \
      "our choice: half way")                                                                    \
  ROW(SENDER, 90, "ohm",                                                                         \
      "a sender that states neither resistance nor reading",                                     \
      "from memory")                                                                             \
  ROW(GAUGE, 150, "ohm",                                                                         \
      "a gauge's winding",                                                                       \
      "from memory")                                                                             \
  ROW(DIODE_DROP, 0.7, "V",                                                                      \
      "across a conducting diode",                                                               \
      "common practice")                                                                         \
  ROW(DIODE, 0.02, "ohm",                                                                        \
      "in series with that",                                                                     \
      "from memory")                                                                             \
  ROW(TERMINATOR, 120, "ohm",                                                                    \
      "a terminator of a data link",                                                             \
      "SAE J1939-11")                                                                            \
  ROW(KNEE, 0.5, "of rated volts",                                                               \
      "below this a load of steady current or power is a resistor, when it states no least "     \
      "volts",                                                                                   \
      "common practice")                                                                         \
  ROW(EXCITES, 0.05, "A",                                                                        \
      "least current into D+ that excites a turning alternator",                                 \
      "from memory")                                                                             \
  ROW(BATTERY_COLD, -18, "degC",                                                                 \
      "where a battery has the resistance of its cold-cranking amps",                            \
      "SAE J537")                                                                                \
  ROW(BATTERY_WARM, 25, "degC",                                                                  \
      "where a battery has the resistance it states",                                            \
      "our choice: room temperature")                                                            \
  ROW(LOCKED, 5, "times",                                                                        \
      "current of a motor, pump or fan held fast",                                               \
      "from memory")                                                                             \
  ROW(INRUSH_LAMP, 10, "times",                                                                  \
      "current of a cold lamp",                                                                  \
      "common practice")                                                                         \
  ROW(INRUSH_LAMP_TIME, 0.05, "s",                                                               \
      "how long that lasts",                                                                     \
      "from memory")                                                                             \
  ROW(INRUSH_MOTOR_TIME, 0.2, "s",                                                               \
      "how long a motor, pump or fan draws its locked current at switching on",                  \
      "from memory")                                                                             \
  ROW(TOLERANCE, 0.1, "of its figure",                                                           \
      "resistance or draw of a part that states no tolerance",                                   \
      "our choice")                                                                              \
  ROW(TOLERANCE_RESISTOR, 0.05, "of its figure",                                                 \
      "resistance of a resistor or terminator",                                                  \
      "common practice")                                                                         \
  ROW(LENGTH_SPREAD, 0.05, "of its figure",                                                      \
      "bands: length of a wire, longer or shorter",                                              \
      "common practice")                                                                         \
  ROW(CONTACT_NEW, 0.5, "times",                                                                 \
      "bands: a contact, lug, splice, bond or joint as good as it gets",                         \
      "our choice")                                                                              \
  ROW(CONTACT_WORN, 2, "times",                                                                  \
      "bands: a contact, lug, splice, bond or joint worn, before it counts as bad",              \
      "common practice")                                                                         \
  ROW(EMF_SPREAD, 0.016, "of its figure",                                                        \
      "bands: open-circuit volts of a battery, 12.4 V to 12.8 V about 12.6 V",                   \
      "common practice: three quarters charged to full")                                         \
  ROW(BATTERY_GOOD, 0.5, "times",                                                                \
      "bands: resistance of a battery, warm and new",                                            \
      "from memory")                                                                             \
  ROW(BATTERY_POOR, 1.25, "times",                                                               \
      "bands: resistance of a battery at 80 % of its cold-cranking amps",                        \
      "common practice: below that it is replaced")                                              \
  ROW(ALTERNATOR_SPREAD, 0.03, "of its figure",                                                  \
      "bands: set volts of an alternator, 13.8 V to 14.6 V about 14.2 V",                        \
      "common practice")                                                                         \
  ROW(REGULATED_SPREAD, 0.05, "of its figure",                                                   \
      "bands: a sensor supply or pull-up, 4.75 V to 5.25 V",                                     \
      "common practice")                                                                         \
  ROW(SHARE_SPREAD, 0.02, "of supply",                                                           \
      "bands: signal of a three-wire sensor",                                                    \
      "from memory")                                                                             \
  ROW(DIODE_SPREAD, 0.15, "of its figure",                                                       \
      "bands: volts across a conducting diode, 0.6 V to 0.8 V",                                  \
      "common practice")                                                                         \
  ROW(FAULT_CHAFED, 0.05, "ohm",                                                                 \
      "single faults: a wire chafed to chassis or to a live feed",                               \
      "our choice")                                                                              \
  ROW(FAULT_SHORTED, 0.01, "ohm",                                                                \
      "single faults: two pins joined, a load shorted inside",                                   \
      "our choice")                                                                              \
  ROW(FAULT_HIGH, 1, "ohm",                                                                      \
      "single faults: added to a power wire that is high in resistance",                         \
      "our choice")                                                                              \
  ROW(FAULT_HIGH_SIGNAL, 1000, "ohm",                                                            \
      "single faults: added to a wire of a sensor, signal or data pin",                          \
      "our choice")
/* clang-format on */

#define PL_DEFAULT_ID(name, value, unit, meaning, source) PL_DEFAULT_##name,
enum pl_standard_default_id {
  PL_STANDARD_DEFAULTS(PL_DEFAULT_ID) PL_STANDARD_DEFAULT_COUNT
};
#undef PL_DEFAULT_ID

struct pl_standard_default {
  const char *name;
  double value;
  const char *unit, *meaning, *source;
};
extern const struct pl_standard_default pl_standard_defaults[PL_STANDARD_DEFAULT_COUNT];

#define PL_DEFAULT(name) (pl_standard_defaults[PL_DEFAULT_##name].value)

#endif
