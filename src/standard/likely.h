/* How likely each kind of fault is before anything was measured, what a meter and people's words
 * are worth, and what it costs to take a reading. One row each: name, value, unit, meaning, where
 * the value comes from.  Published failure shares of wiring by kind were not found: the rows say
 * what workshops go by (connectors and grounds before wire, fuses and lamps before modules), so
 * only their order and rough size mean something. docs/troubleshooting.md prints the same rows; a
 * test compares them. */
#ifndef PL_STANDARD_LIKELY_H
#define PL_STANDARD_LIKELY_H

/* clang-format off */
#define PL_STANDARD_LIKELY(ROW)                                                                 \
  ROW(WIRE_RUN, 1, "weight",                                                                    \
      "a wire broken or bad somewhere along its run",                                           \
      "our choice: the measure of all other weights")                                           \
  ROW(END_CONNECTOR, 2, "weight",                                                               \
      "more for each of its ends in a connector",                                               \
      "common practice: connectors before wire")                                                \
  ROW(END_OPEN_AIR, 3, "weight",                                                                \
      "more for each of its ends on a stud, bond, splice or post",                              \
      "common practice: grounds and joints first")                                              \
  ROW(ENGINE_SPACE, 1.5, "times",                                                               \
      "for a wire that passes the engine or another hot place",                                 \
      "common practice: heat and shaking")                                                      \
  ROW(CHAFED, 1.5, "weight",                                                                    \
      "a wire chafed to chassis",                                                               \
      "common practice")                                                                        \
  ROW(CHAFED_LIVE, 0.3, "weight",                                                               \
      "a wire chafed to a live feed",                                                           \
      "common practice: rarer, two wires must be bare")                                         \
  ROW(CHAFED_TOGETHER, 0.3, "weight",                                                           \
      "two wires twisted together chafed on each other",                                        \
      "our choice: as a wire on a live feed")                                                   \
  ROW(JOINED, 0.2, "weight",                                                                    \
      "two neighbouring pins joined",                                                           \
      "common practice: water or a bent pin")                                                   \
  ROW(FUSE, 5, "weight",                                                                        \
      "a fuse blown by itself, or its holder burnt",                                            \
      "common practice: looked at first")                                                       \
  ROW(SWITCH, 3, "weight",                                                                      \
      "a switch whose contacts do not close, or stuck in a position",                           \
      "common practice")                                                                        \
  ROW(RELAY, 3, "weight",                                                                       \
      "a relay whose coil is open or which does not pull in",                                   \
      "common practice")                                                                        \
  ROW(RELAY_WELDED, 0.7, "weight",                                                              \
      "a relay or starter stuck pulled in",                                                     \
      "common practice: rarer than not closing")                                                \
  ROW(BOND, 5, "weight",                                                                        \
      "a ground strap or bond off or bad",                                                      \
      "common practice: grounds first")                                                         \
  ROW(LAMP, 6, "weight",                                                                        \
      "a lamp burnt out",                                                                       \
      "common practice")                                                                        \
  ROW(LOAD, 3, "weight",                                                                        \
      "another load open inside",                                                               \
      "common practice")                                                                        \
  ROW(SHORTED, 0.7, "weight",                                                                   \
      "a part shorted inside",                                                                  \
      "common practice")                                                                        \
  ROW(SENSOR, 3, "weight",                                                                      \
      "a sensor, sender or gauge open, shorted or drifted",                                     \
      "common practice")                                                                        \
  ROW(SMALL, 1, "weight",                                                                       \
      "a diode, resistor or terminator open",                                                   \
      "common practice")                                                                        \
  ROW(ALTERNATOR, 4, "weight",                                                                  \
      "an alternator that does not charge",                                                     \
      "common practice")                                                                        \
  ROW(BATTERY, 6, "weight",                                                                     \
      "a weak battery",                                                                         \
      "common practice: battery first")                                                         \
  ROW(OUTPUT, 0.4, "weight",                                                                    \
      "one output of a module dead or always on",                                               \
      "common practice: the module last")                                                       \
  ROW(MODULE, 0.3, "weight",                                                                    \
      "a module dead altogether",                                                               \
      "common practice: the module last")                                                       \
  ROW(UNPLUGGED, 2, "weight",                                                                   \
      "a connector off: all its wires open at once",                                            \
      "common practice")                                                                        \
  ROW(JOINT, 1.5, "weight",                                                                     \
      "a splice, stud or bond loose: all its wires high in resistance at once",                 \
      "common practice")                                                                        \
  ROW(HIGH_LESS, 0.2, "times",                                                                  \
      "a high resistance may also be this much of the usual one",                               \
      "our choice")                                                                             \
  ROW(HIGH_MORE, 10, "times",                                                                   \
      "or this much",                                                                           \
      "our choice")                                                                             \
  ROW(WEAK_EMF, 11.6, "V for 12 V",                                                             \
      "open-circuit volts of a weak battery",                                                   \
      "common practice: below 11.8 V it is empty")                                              \
  ROW(WEAK_WORN, 4, "times",                                                                    \
      "inner resistance of a weak battery",                                                     \
      "our choice")                                                                             \
  ROW(DRIFTED, 1680, "ohm",                                                                     \
      "more in a sensor or terminator that drifted",                                            \
      "seen once: a terminator of 120 ohm at 1.8 kohm")                                         \
  ROW(OVERLOAD, 1.35, "times its rating",                                                       \
      "opens a breaker or link without published gates",                                        \
      "common practice: the first gate of fuses")                                               \
  ROW(OVERLOAD_TIME, 600, "s",                                                                  \
      "a state lasts so long when the text does not say how long",                              \
      "our choice")                                                                             \
  ROW(METER_SHARE, 0.01, "of the reading",                                                      \
      "a meter is off by",                                                                      \
      "common practice: 1 %")                                                                   \
  ROW(METER_LEAST, 0.01, "V",                                                                   \
      "and by",                                                                                 \
      "common practice: 10 mV")                                                                 \
  ROW(PARTS_SHARE, 0.02, "of the volts",                                                        \
      "parts and battery are off by",                                                           \
      "our choice")                                                                             \
  ROW(PARTS_LEAST, 0.02, "V",                                                                   \
      "and by",                                                                                 \
      "our choice")                                                                             \
  ROW(NEGLIGIBLE, 0.25, "of what meter and parts leave open",                                   \
      "differences of volts below this are left out",                                           \
      "our choice")                                                                             \
  ROW(GHOST, 0.15, "V",                                                                         \
      "a meter shows on a pin that nothing joins to anything: 0 give or take",                  \
      "common practice: ghost volts")                                                           \
  ROW(OHMS_SPREAD, 0.12, "decades",                                                             \
      "an ohms reading is off by",                                                              \
      "our choice: parts, cold and warm")                                                       \
  ROW(OHMS_BETWEEN, 0.05, "decades",                                                            \
      "ohms between two pins are off by, and by twice that more where the leads are all there " \
      "is",                                                                                     \
      "our choice")                                                                             \
  ROW(GAUGE_SPREAD, 0.1, "decades",                                                             \
      "a needle is off by, in ohms of its sender",                                              \
      "our choice: needles are read to a division")                                             \
  ROW(LINK_LEAST, 40, "ohm",                                                                    \
      "a data link with less between its lines is dead",                                        \
      "our choice: two terminators of 120 ohm make 60")                                         \
  ROW(LINK_MOST, 130, "ohm",                                                                    \
      "a data link with more between its lines is dead",                                        \
      "our choice: one terminator of 120 ohm may still do")                                     \
  ROW(LEADS, 0.2, "ohm",                                                                        \
      "of the meter's leads and touch",                                                         \
      "common practice")                                                                        \
  ROW(OPEN_OHMS, 1e6, "ohm",                                                                    \
      "from here on a reading is open",                                                         \
      "our choice")                                                                             \
  ROW(MISREAD, 0.02, "of readings",                                                             \
      "are of the wrong pin, state or range",                                                   \
      "our choice")                                                                             \
  ROW(RUNS, 0.75, "of its rated amps",                                                          \
      "from here on a load runs as it should",                                                  \
      "our choice")                                                                             \
  ROW(WEAKLY, 0.3, "of its rated amps",                                                         \
      "from here on it runs weakly, glows or hums; below it is dead",                           \
      "our choice")                                                                             \
  ROW(SLOW, 0.85, "of its cranking amps",                                                       \
      "from here on a starter turns as it should; below it slowly",                             \
      "our choice")                                                                             \
  ROW(WARM, 0.4, "of its rating",                                                               \
      "from here on a fuse is warm to the finger",                                              \
      "from memory")                                                                            \
  ROW(CODE, 0.5, "V",                                                                           \
      "a module notices its input when it is off by",                                           \
      "our choice: a tenth of 5 V")                                                             \
  ROW(CERTAIN, 0.95, "of all weight",                                                           \
      "from here on a suspect is called certain, when it explains every reading",               \
      "our choice")                                                                             \
  ROW(BORNE, 3, "readings",                                                                     \
      "and may be wrong, whichever they are, before it is called certain",                      \
      "our choice")                                                                             \
  ROW(AGAIN, 0.5, "times",                                                                      \
      "the same reading once more is worth, against another one",                               \
      "our choice: who mistook a pin may do so twice")                                          \
  ROW(READING, 7, "min",                                                                        \
      "every reading: to think, to walk, to note it",                                           \
      "our choice")                                                                             \
  ROW(REACH_EASY, 2, "min",                                                                     \
      "to get a meter to a pin that is easy to reach",                                          \
      "our choice")                                                                             \
  ROW(REACH_MIDDLING, 3, "min",                                                                 \
      "middling, or no place said",                                                             \
      "our choice")                                                                             \
  ROW(REACH_HARD, 5, "min",                                                                     \
      "hard",                                                                                   \
      "our choice")                                                                             \
  ROW(LOOK, 2, "min",                                                                           \
      "to look and listen what everything does in a state",                                     \
      "our choice")                                                                             \
  ROW(PANEL, 2, "min",                                                                          \
      "more to look at all fuses of a place",                                                   \
      "our choice")                                                                             \
  ROW(UNWRAP, 3, "min",                                                                         \
      "more at a splice: it is taped or sleeved",                                               \
      "our choice")                                                                             \
  ROW(CRANKING, 2, "min",                                                                       \
      "more in a state that cranks: a helper at the key",                                       \
      "our choice")                                                                             \
  ROW(RUNNING, 1, "min",                                                                        \
      "more in a state with the engine running",                                                \
      "our choice")                                                                             \
  ROW(PIECE, 1, "min",                                                                          \
      "more for each piece to unplug in a search for a short",                                  \
      "our choice")                                                                             \
  ROW(UNPLUG, 3, "min",                                                                         \
      "more for ohms: power off, an end or a plug off",                                         \
      "our choice")
/* clang-format on */

#define PL_LIKELY_ID(name, value, unit, meaning, source) PL_LIKELY_##name,
enum pl_standard_likely_id {
  PL_STANDARD_LIKELY(PL_LIKELY_ID) PL_STANDARD_LIKELY_COUNT
};
#undef PL_LIKELY_ID

struct pl_standard_likely {
  const char *name;
  double value;
  const char *unit, *meaning, *source;
};
extern const struct pl_standard_likely pl_standard_likely[PL_STANDARD_LIKELY_COUNT];

#define PL_LIKELY(name) (pl_standard_likely[PL_LIKELY_##name].value)

/* What people's words are worth: how often a load that stands so (0 dead, 1 weakly, 2 as it should)
 * is called dead, weak, running.  Our choice. */
extern const double pl_standard_words[3][3]; /* [as it stands][as it is called]; rows sum to 1 */
/* Yes-or-no answers: a fuse seen blown, a fuse felt warm, a code: how often said of one that is /
 * is not.  Our choice. */
extern const double pl_standard_seen[3][2]; /* [blown, warm, code][is not, is] */

/* How often a needle that shows so (0 nothing, 1 less, 2 as it should, 3 more) is called so.  Our
 * choice: one that is not fed rests at an end. */
extern const double pl_standard_needle[4][4]; /* [as it stands][as it is called]; rows sum to 1 */

#endif
