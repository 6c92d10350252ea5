/* What a person says about the machine, one reading a line, as evidence.  A small forgiving grammar
 * of trade words:
 *   ECM.A1 to ground, key-on: 9.8 V            volts at a pin in a state
 *   ECM.A1 to FE1.out, key-on: 2.1 V           ... against another pin
 *   ECM.A20 to ECM.A21, power off: 118 ohm     ohms between two pins, everything plugged in
 *   wire 52: open                              ohms of a wire, both ends off
 *   wire 52 off at FE1.out to ground: 0.1 ohm  ohms to chassis of what hangs on it
 *   K1 inside: 92 ohm                          a part unplugged
 *   F3 warm, key-on / F3 blown / fuses at dash good
 *   pump M2 does not run, key-on / H1 is dim, run / all as it should, idle
 *   gauge P1 reads high, idle / P1 reads 80 degC, idle
 *   data link dead / ECM data link dead        nothing is heard of it
 *   code ECM.B7                                the module complains of that input
 *   new F3 holds / new F3 blows, key-on; search from F3: wire 31
 * A state is told by its name or by a switch and its position ("key run").  `#` begins a remark. */
#ifndef PL_SUSPECT_SAID_READINGS_H
#define PL_SUSPECT_SAID_READINGS_H

#include "suspect/weigh.h"

/* Ohms between two pins that were said, not yet predicted: evidence.question is PL_NONE, `value`
 * the ohms. */
struct pl_between {
  uint32_t evidence;
  pl_id a, b;
};
typedef PL_VEC(struct pl_between) pl_betweens;

/* Reads one source of readings (an index of pl_sources).  What cannot be read becomes an error in
 * `findings`, with its place and the nearest word; returns false when there was one. */
bool pl_readings_read(const struct pl_suspects *table,
                      const struct pl_sources *sources,
                      uint32_t file,
                      struct pl_findings *findings,
                      pl_evidences *evidences,
                      pl_betweens *betweens);

/* Predicts what an ohm-meter shows between those pins under every suspect that can matter. */
void pl_readings_predict(const struct pl_suspects *table,
                         struct pl_network *network,
                         const pl_betweens *betweens,
                         pl_evidences *evidences);

#endif
