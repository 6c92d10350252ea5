/* Published and customary limits used by the rules: each with its source, so that no rule hides a
 * figure. */
#ifndef PL_STANDARD_LIMITS_DATA_H
#define PL_STANDARD_LIMITS_DATA_H

#include <stdbool.h>
#include <stdint.h>

struct pl_fuse_row {  /* one rating of one family */
  const char *family; /* "mini blade", "blade", "maxi blade", "bolt-down", "glass" */
  double rating;
  const char *colour; /* "" when the family has none */
  double cold_ohms;   /* NAN when no figure was seen: pl_fuse_ohms estimates */
  const char *source;
};
extern const struct pl_fuse_row pl_fuses[];
extern const uint32_t pl_fuse_count;
bool pl_fuse_family_known(const char *family);
/* The colour of a rating; "" when its family has none. */
const char *pl_fuse_colour(const char *family, double rating);
/* Cold resistance, ohms: the row's figure; between rows with figures a power law through both;
 * outside them rating^-1.2, the slope that the rows themselves follow (1.19 to 1.23).  A family
 * without figures borrows: bolt-down from maxi blade, all others from blade. That is an estimate:
 * see pl_fuse_ohms_source.  NAN when the rating is not a positive number. */
double pl_fuse_ohms(const char *family, double rating);
const char *pl_fuse_ohms_source(const char *family, double rating);
/* Smallest / largest rating of the family not below / not above amps; 0 when none. */
double pl_fuse_at_least(const char *family, double amps);
double pl_fuse_at_most(const char *family, double amps);

/* As published, in `unit`: 3 with "%", 7 with "in", 50 with "mohm". */
struct pl_limit {
  double value;
  const char *unit, *source;
};
extern const struct pl_limit pl_limit_drop_critical; /* 3 % */
extern const struct pl_limit pl_limit_drop_other;    /* 10 % */
extern const struct pl_limit pl_limit_fuse_share;    /* 75 % continuous */
extern const struct pl_limit pl_limit_slack;         /* 5 % added to a length by its runs */
extern const struct pl_limit pl_limit_tail;          /* 150 mm added at both its ends */
extern const struct pl_limit pl_limit_spare;         /* 10 % bought on top of what is counted */
extern const struct pl_limit pl_limit_place_cold;    /* -20 degC around the harness at a place */
extern const struct pl_limit pl_limit_place_hot;     /* 40 degC */
extern const struct pl_limit
    pl_limit_fuse_over_wire; /* 150 % of Table 5 under 50 V, 33 CFR 183.455(c)(1) */
extern const struct pl_limit pl_limit_unfused_bare;     /* 7 in */
extern const struct pl_limit pl_limit_unfused_sheathed; /* 40 in, 33 CFR 183.455(b)(2) */
extern const struct pl_limit
    pl_limit_unfused_battery; /* 72 in sheathed from a battery post (quoted practice) */
extern const struct pl_limit
    pl_limit_small_current; /* electronics under 1 A: exempt, 33 CFR 183.425(g) */
extern const struct pl_limit
    pl_limit_module_loop;                     /* 50 mohm at 12 V, 100 at 24 V: value for 12 V */
extern const struct pl_limit pl_limit_brief;  /* seconds below which a state does not size a wire */
extern const struct pl_limit pl_limit_crank;  /* seconds of the longest crank in one go */
extern const struct pl_limit pl_limit_loaded; /* % of its table amperage: loaded, in a bundle */

extern const struct pl_limit
    pl_limit_short; /* seconds within which a dead short is to be cleared */
extern const struct pl_limit pl_limit_fuse_order; /* times the rating of the fuse behind it */
extern const struct pl_limit pl_limit_crank_low,
    pl_limit_crank_least; /* V for 12 V at a module while cranking: advice, fault */
extern const struct pl_limit pl_limit_crank_circuit, pl_limit_crank_heavy; /* mohm, for 12 V */
extern const struct pl_limit
    pl_limit_crank_heavy_from;                      /* A: a starter drawing more is heavy duty */
extern const struct pl_limit pl_limit_charge_share; /* % of the alternator's amps */
extern const struct pl_limit pl_limit_drain;        /* mA with the key off */
extern const struct pl_limit
    pl_limit_flat; /* % of its ampere-hours a battery may lose and still crank */
extern const struct pl_limit
    pl_limit_module_loop_from; /* A: a module drawing this much is held to the loop limit */
extern const struct pl_limit pl_limit_sensor_lift; /* mV */
extern const struct pl_limit pl_limit_low_battery; /* V for 12 V: nearly empty, engine stopped */
extern const struct pl_limit pl_limit_link_low, pl_limit_link_high; /* ohm across a data link */
/* Ohms across a relay's coil that keep its kick small, at 12 or 24 V; 0 for other volts.  From
 * memory, as the shipped relays have it. */
double pl_coil_resistor(double volts);
extern const struct pl_limit pl_limit_heavy;      /* A: a load that gets a fuse of its own */
extern const struct pl_limit pl_limit_pulses;     /* % that a tachometer may be off */
extern const struct pl_limit pl_limit_misread;    /* % of an input's volts */
extern const struct pl_limit pl_limit_charges;    /* mA */
extern const struct pl_limit pl_limit_series;     /* % of its volts */
extern const struct pl_limit pl_limit_needle;     /* % of the dial */
extern const struct pl_limit pl_limit_least_area; /* mm2 of a wire on its own */
extern const struct pl_limit pl_limit_joints;     /* joints in line */
extern const struct pl_limit
    pl_limit_continuity;                     /* ohm end to end of a wire, meter leads taken off */
extern const struct pl_limit pl_limit_meter; /* ohm that a shop meter may be off near nothing */
extern const struct pl_limit pl_limit_insulation; /* kohm and more: not joined */
extern const struct pl_limit pl_limit_tug;        /* N on a wire in its plug */
extern const struct pl_limit pl_limit_dead;       /* V: a keyed node with the key off is below it */
extern const struct pl_limit pl_limit_test_lamp;  /* W of the lamp in series at first power, 12 V */

/* Pull on a crimped sample, newtons: the figure of the next thinner size with a row.  NAN beyond
 * both ends. */
double pl_crimp_newtons(double area); /* mm2 */

/* IEC 60757 colour letters and what to draw them with. */
struct pl_colour_row {
  const char *code, *name, *german, *rgb, *source;
};
extern const struct pl_colour_row pl_colours[];
extern const uint32_t pl_colour_count;
/* Row, or UINT32_MAX; letter case does not matter; German letters too, after the IEC ones. */
uint32_t pl_colour_find(const char *letters, uint32_t n);

/* DIN 72552 terminal designations offered as meanings. */
struct pl_din_row {
  const char *terminal, *meaning, *source;
};
extern const struct pl_din_row pl_din_terminals[];
extern const uint32_t pl_din_count;
const char *pl_din_meaning(const char *terminal); /* NULL when none */

/* degC of copper after `seconds` at `amps`, started at `from`, when no heat leaves it: ICEA
 * P-32-382, (I/A)^2 t = 0.0297 log10((T2 + 234)/(T1 + 234)), A in circular mils; `area` in mm2. */
double pl_copper_heat(double area, double amps, double seconds, double from);

/* Battery: internal ohms from cold-cranking amps, (12.6 - 7.2)/CCA at -18 degC for each 12 V in
 * series (derived from SAE J537's test; a warm battery has less, no published factor was seen). NAN
 * when volts or cca is not a positive number. */
double pl_battery_ohms(double volts, double cca);

#endif
