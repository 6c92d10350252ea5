/* Published figures of copper wire: sizes, resistance, amperage.  Every row of the tables behind
 * this header names its source. */
#ifndef PL_STANDARD_WIRE_H
#define PL_STANDARD_WIRE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct pl_insulation {
  const char *name; /* "GXL", "PVC", "ISO C" */
  const char *text; /* "cross-linked, thin wall" */
  double hot, cold; /* degC the conductor may reach / may be flexed at */
  const char *wall; /* "extra thin", "thin", "standard", "" */
  const char *source;
};
extern const struct pl_insulation pl_insulations[];
extern const uint32_t pl_insulation_count;
/* Row, or UINT32_MAX when unknown; letter case, spaces and hyphens do not matter ("ISO-C" is "ISO
 * C"). */
uint32_t pl_insulation_find(const char *name);
/* Row 0: the default insulation. */
enum {
  PL_INSULATION_DEFAULT = 0
};

/* AWG sizes as whole numbers: 4/0 = -3, 3/0 = -2, 2/0 = -1, 1/0 = 0, then 1..30. */
double pl_awg_diameter_mm(int awg); /* 0.127 mm x 92^((36-n)/39), ASTM B258 */
double pl_awg_area_mm2(int awg);
double pl_awg_ohms_per_m(int awg); /* at 20 degC */
enum {
  PL_AWG_LARGEST = -3,
  PL_AWG_SMALLEST = 30
};
bool pl_awg_parse(const char *text,
                  int *awg);      /* "14", "2/0", "00"; false, *awg untouched, for anything else */
const char *pl_awg_name(int awg); /* "14", "2/0"; "" outside 4/0..30 */
bool pl_awg_is_sold(int awg);     /* sizes people can buy: 24, 22 ... 4, 2, 1, 1/0, 2/0, 3/0, 4/0 */
/* Least copper a vehicle wire sold under that number may hold (SAE J1128 / J1127): about a tenth
 * less than the true AWG area. NAN for sizes without a row. */
double pl_awg_sae_min_mm2(int awg);

/* Aircraft wire: AC 43.13-1B Table 11-9.  Continuous amps of a wire in a bundle of 33 or more (8
 * AWG and larger: 9 or more), 70 degC around it, by the conductor's rating; ohms are the greatest
 * allowed at 20 degC, tin-plated. */
struct pl_aircraft_wire {
  int awg;
  double amps_105, amps_150, amps_200, ohms_per_1000ft, circular_mils;
};
extern const struct pl_aircraft_wire pl_aircraft_wires[]; /* from 24 AWG up */
extern const uint32_t pl_aircraft_wire_count;

/* Metric sizes: nominal areas that IEC 60228 / ISO 6722 list, smallest first; greatest resistance
 * at 20 degC of plain flexible copper.  `common`: a size of the series that shops sell everywhere.
 */
struct pl_metric_size {
  double area, ohms_per_km;
  bool common;
  const char *source;
};
extern const struct pl_metric_size pl_metric_sizes[];
extern const uint32_t pl_metric_count;
/* Table value; between rows resistance falls as a power of the area, outside the table as 1/area
 * from its last row. */
double pl_metric_ohms_per_m(double area);

/* R(T)/R(20) of copper: (234.5 + T)/254.5, AC 43.13-1B. */
double pl_copper_factor(double temperature);

/* Largest overall diameter of the insulated wire, mm.  wall "standard" reads the thick column,
 * anything else the thin one; between rows it is interpolated.  *memory (may be NULL) is set: true
 * when the rows are from memory, as all are at present. NAN when the area is not a positive number.
 */
double pl_wire_outside_mm(double area, const char *wall, bool *memory);

/* Allowed amperage, continuous, of one conductor. */
struct pl_amperage {
  double table; /* before factors */
  double engine_factor, bundle_factor;
  double amps;        /* after factors */
  const char *source; /* "33 CFR 183.425 Table 5", ... with what was interpolated said in words */
  double
      rise; /* degC that the conductor is hotter than what is around it at `table` amps: its
             * column's rating less 30 degC (Table 5), 35 degC (Table 11-9); NAN without a size */
};
/* `area` mm2, metric or AWG; `insulation` row (an unknown one counts as the default);
 * `engine_space`: 50 degC around it instead of 30; `carrying` current-carrying wires in the fullest
 * bundle. Sizes from 18 AWG up: 33 CFR 183.425 Table 5, the column of the highest temperature not
 * above the insulation's.  An AWG size that the table leaves out takes the next smaller row; a
 * metric one is interpolated (log-log in area).  Smaller than 18 AWG: the 105 degC column of AC
 * 43.13-1B Table 11-9, which is a bundle rating in 70 degC: no bundle factor on top of it, and the
 * engine space's only for insulation rated below 105 degC.  `amps` is NAN when the area is not a
 * positive number. */
struct pl_amperage pl_wire_amperage(double area,
                                    bool metric,
                                    uint32_t insulation,
                                    bool engine_space,
                                    uint32_t carrying);

/* The size that people can buy (AWG or metric series) `step` places above (1, 2...) or below (-1,
 * -2...) `area`; 0 when there is none. */
double pl_wire_next_area(double area, bool metric, int step);
/* "14 AWG", "1.5 mm2" for an area in that family; an area that is no AWG size prints in mm2. */
const char *pl_wire_size_text(char buffer[24], double area, bool metric);
double pl_wire_ohms_per_m(double area, bool metric);

#endif
