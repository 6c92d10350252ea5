/* Limits that the rules judge by, each with its unit and source, and the battery's resistance from
 * its cranking amps. Knows nothing of the rules. */
#include <math.h>

#include "standard/limits_data.h"

#include <stddef.h>

const struct pl_limit pl_limit_drop_critical = {
    3,
    "%",
    "ISO 13297:2021 and ABYC E-11 as quoted, circuits that must not fail"};
const struct pl_limit pl_limit_drop_other = {
    10,
    "%",
    "ISO 13297:2021 and ABYC E-11 as quoted, all other circuits"};
const struct pl_limit pl_limit_fuse_share = {75,
                                             "%",
                                             "common practice, continuous load at 25 degC"};
const struct pl_limit pl_limit_slack = {5, "%", "common practice"};
const struct pl_limit pl_limit_tail = {150, "mm", "common practice"};
const struct pl_limit pl_limit_spare = {10, "%", "common practice"};
const struct pl_limit pl_limit_place_cold = {-20, "degC", "common practice, a temperate winter"};
const struct pl_limit pl_limit_place_hot = {40, "degC", "common practice, a temperate summer"};
const struct pl_limit pl_limit_fuse_over_wire = {
    150,
    "%",
    "33 CFR 183.455(c)(1), under 50 V, of the Table 5 amperage"};
const struct pl_limit pl_limit_unfused_bare = {7, "in", "33 CFR 183.455(b)(1)"};
const struct pl_limit pl_limit_unfused_sheathed = {
    40,
    "in",
    "33 CFR 183.455(b)(2), sheathed or enclosed all the way"};
const struct pl_limit pl_limit_unfused_battery = {
    72,
    "in",
    "common practice, sheathed all the way from a battery post"};
const struct pl_limit pl_limit_small_current = {1, "A", "33 CFR 183.425(g), electronic circuits"};
const struct pl_limit pl_limit_module_loop = {50,
                                              "mohm",
                                              "common practice at 12 V; twice that at 24 V"};
/* Starting motors are held to 30 s, and their cables are sized by drop, not by steady heat. */
const struct pl_limit pl_limit_brief = {60,
                                        "s",
                                        "common practice, shorter states do not size a wire"};

const struct pl_limit pl_limit_crank = {30, "s", "common practice: crank no longer in one go"};
const struct pl_limit pl_limit_loaded = {10,
                                         "%",
                                         "common practice: less does not warm its neighbours"};

const struct pl_limit pl_limit_short = {5,
                                        "s",
                                        "common practice: a dead short is cleared within 5 s"};
const struct pl_limit pl_limit_fuse_order = {2,
                                             "times",
                                             "common practice: two to one between fuses in line"};
const struct pl_limit pl_limit_crank_low = {
    9,
    "V",
    "common practice for 12 V: volts at a controller while cranking"};
const struct pl_limit pl_limit_crank_least = {
    7,
    "V",
    "common practice for 12 V: a controller starts over below this"};
const struct pl_limit pl_limit_crank_circuit = {
    2,
    "mohm",
    "SAE J541 as summarised: 0.2 V for each 100 A at 12 V, twice that at 24 V"};
const struct pl_limit pl_limit_crank_heavy = {
    1,
    "mohm",
    "SAE J541 as summarised, heavy duty: 0.1 V for each 100 A at 12 V, 0.17 V at 24 V"};
const struct pl_limit pl_limit_crank_heavy_from = {500, "A", "our choice: heavy duty"};
const struct pl_limit pl_limit_charge_share = {
    80,
    "%",
    "common practice: lasting loads take 75 to 80 % of the alternator"};
const struct pl_limit pl_limit_drain = {50, "mA", "common practice"};
const struct pl_limit pl_limit_flat = {
    50,
    "%",
    "common practice: half empty it does not crank a cold engine"};
const struct pl_limit pl_limit_module_loop_from = {5,
                                                   "A",
                                                   "our choice: engine and gearbox controllers"};
const struct pl_limit pl_limit_sensor_lift = {50, "mV", "our choice: 1 % of a 5 V range"};
const struct pl_limit pl_limit_low_battery = {11,
                                              "V",
                                              "common practice: nearly empty, engine stopped"};
const struct pl_limit pl_limit_link_low = {54,
                                           "ohm",
                                           "common practice: 60 ohm across the pair, a tenth less"};
const struct pl_limit pl_limit_link_high = {
    66,
    "ohm",
    "common practice: 60 ohm across the pair, a tenth more"};
double pl_coil_resistor(double volts) {
  static const struct { double volts, ohms; } rows[] = {{12, 680}, {24, 2700}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
    if (rows[i].volts == volts)
      return rows[i].ohms;
  return 0;
}

const struct pl_limit pl_limit_heavy = {
    60,
    "A",
    "common practice: its own protection, a short cable, a relay rated for it"};
const struct pl_limit pl_limit_pulses = {2, "%", "our choice: belts slip about as much"};
const struct pl_limit pl_limit_misread = {5, "%", "our choice: a twentieth of the input's volts"};
const struct pl_limit pl_limit_charges = {
    50,
    "mA",
    "our choice: less does not make up for what a parked machine takes"};
const struct pl_limit pl_limit_series = {
    25,
    "%",
    "our choice: what gets less through another load is not meant to be fed so"};
const struct pl_limit pl_limit_needle = {10, "%", "our choice: a tenth of the dial"};
const struct pl_limit pl_limit_least_area = {
    0.5,
    "mm2",
    "common practice: thinner wire breaks where machines shake"};
const struct pl_limit pl_limit_joints = {4, "joints", "our choice"};
const struct pl_limit pl_limit_continuity = {1,
                                             "ohm",
                                             "common practice: a sound wire from end to end"};
const struct pl_limit pl_limit_meter = {0.3,
                                        "ohm",
                                        "from memory: a shop meter and its leads, leads taken off"};
const struct pl_limit pl_limit_insulation = {100,
                                             "kohm",
                                             "common practice: to ground and to its neighbours"};
const struct pl_limit pl_limit_tug = {45, "N", "common practice: 10 lb on each wire of a plug"};
const struct pl_limit pl_limit_dead = {1,
                                       "V",
                                       "common practice: key off, a keyed node falls below it"};
const struct pl_limit pl_limit_test_lamp = {
    21,
    "W",
    "common practice: a signal bulb in series, about 1.6 A at most"};

double pl_copper_heat(double area, double amps, double seconds, double from) {
  const double circular_mils = 1973.5;
  const double copper = 0.0297; /* in a mm2; ICEA P-32-382 */
  double density = amps / (area * circular_mils);
  return (from + 234) * pow(10, density * density * seconds / copper) - 234;
}

double pl_battery_ohms(double volts, double cca) {
  if (!(volts > 0))
    return NAN;
  if (!(cca > 0))
    return NAN;
  if (!isfinite(volts))
    return NAN;
  if (!isfinite(cca))
    return NAN;
  return (12.6 - 7.2) / cca * (volts / 12.0);
}
