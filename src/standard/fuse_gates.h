/* How fast fuses open and how fast copper is hurt: the published gates of fuse families and the
 * short-circuit equation of ICEA P-32-382. */
#ifndef PL_STANDARD_FUSE_GATES_H
#define PL_STANDARD_FUSE_GATES_H

#include <stdbool.h>
#include <stdint.h>

/* Seconds after which a fuse is surely open / before which it surely is not, at `amps`.  Between
 * gates a power law through both; below the first opening gate INFINITY; beyond the last gate its
 * amps squared seconds are held, as for a strip that melts before heat can leave it (our choice).
 * NAN when no gates of the family are known (breakers, fusible links). */
double pl_fuse_opens_within(const char *family, double rating, double amps);
double pl_fuse_holds_for(const char *family, double rating, double amps);
/* Least amps that open it within `seconds`; NAN without gates. */
double pl_fuse_amps_to_open(const char *family, double rating, double seconds);
const char *pl_fuse_gate_source(const char *family, double rating);

/* Amps it can interrupt at up to 32 V; NAN when no figure was seen. */
double pl_fuse_interrupts(const char *family, const char **source);

/* degC at which the insulation is hurt within seconds: 250 cross-linked, 160 thermoplastic. */
double pl_insulation_brief_limit(double rated);

/* Seconds until copper of `area` mm2, `from` degC before, is at `to` degC with no heat leaving:
 * ICEA P-32-382, (I/A)^2 t = 0.0297 log10((T2 + 234)/(T1 + 234)), A in circular mils. */
double pl_copper_seconds(double area, double amps, double from, double to);

/* The same joined to the steady limit: a wire that bears `steady` amps for ever (then at `rated`
 * degC) warms towards rated - from times (amps/steady)^2 as an exponential whose beginning is the
 * equation above.  INFINITY when it never gets to `to`. */
double pl_wire_damage_seconds(double area,
                              double amps,
                              double from,
                              double rated,
                              double to,
                              double steady);

/* Preece: steady amps that melt a copper wire in still air, 10244 d^1.5, d in inches; `diameter` in
 * mm. */
double pl_copper_fusing_amps(double diameter);

/* AC 43.13-1B table 11-4: a switch's nominal rating must be this many times the load at nominal
 * volts. */
enum pl_load_class {
  PL_CLASS_LAMP,
  PL_CLASS_INDUCTIVE,
  PL_CLASS_RESISTIVE,
  PL_CLASS_MOTOR
};
double pl_switch_derating(enum pl_load_class load, double volts);

/* Diameter over `count` equal round wires of diameter 1, packed as tight as can be (exact geometry,
 * up to 20); NAN beyond. */
double pl_bundle_of_equal(uint32_t count);

#endif
