/* Published figures of copper wire: sizes, resistance, amperage.  Every row of the tables behind this header names its source. */
#ifndef PL_STANDARD_WIRE_H
#define PL_STANDARD_WIRE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct pl_insulation {
  const char *name;        /* "GXL", "PVC", "ISO C" */
  const char *text;        /* "cross-linked, thin wall" */
  double hot, cold;        /* degC the conductor may reach / may be flexed at */
  const char *wall;        /* "thin", "standard", "" */
  const char *source;
};
extern const struct pl_insulation pl_insulations[];
extern const uint32_t pl_insulation_count;
uint32_t pl_insulation_find(const char *name);  /* UINT32_MAX when unknown; letter case does not matter */
enum { PL_INSULATION_DEFAULT = 0 };             /* row 0: the default insulation */

/* AWG sizes as whole numbers: 4/0 = -3, 3/0 = -2, 2/0 = -1, 1/0 = 0, then 1..30. */
double pl_awg_diameter_mm(int awg);    /* 0.127 mm x 92^((36-n)/39), ASTM B258 */
double pl_awg_area_mm2(int awg);
double pl_awg_ohms_per_m(int awg);     /* at 20 degC */
bool pl_awg_parse(const char *text, int *awg);        /* "14", "2/0", "00" */
const char *pl_awg_name(int awg);      /* "14", "2/0" */
bool pl_awg_is_sold(int awg);          /* sizes people can buy: 24, 22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 1/0, 2/0, 3/0, 4/0 */

/* Metric sizes: nominal areas that IEC 60228 / ISO 6722 list; resistance at 20 degC of plain flexible copper. */
struct pl_metric_size { double area, ohms_per_km; const char *source; };
extern const struct pl_metric_size pl_metric_sizes[];
extern const uint32_t pl_metric_count;
double pl_metric_ohms_per_m(double area);  /* table value, or rho/area between rows */

/* R(T)/R(20) of copper: (234.5 + T)/254.5, AC 43.13-1B. */
double pl_copper_factor(double temperature);

/* Overall diameter of the insulated wire, mm (thin wall); `memory` true when the row is from memory. */
double pl_wire_outside_mm(double area, const char *wall, bool *memory);

/* Allowed amperage, continuous, of one conductor. */
struct pl_amperage {
  double table;            /* before factors */
  double engine_factor, bundle_factor;
  double amps;             /* after factors */
  const char *source;      /* "33 CFR 183.425 Table 5", ... with what was interpolated said in words */
};
/* `area` mm2, metric or AWG; `insulation` row; `hot` degC of the hottest place; `carrying` current-carrying wires in the fullest bundle. */
struct pl_amperage pl_wire_amperage(double area, bool metric, uint32_t insulation, bool engine_space, uint32_t carrying);

/* Next sizes up in the family of `area` that people can buy (AWG or metric): 0 when there is none. `step` 1 = next larger, -1 = next smaller. */
double pl_wire_next_area(double area, bool metric, int step);
/* "14 AWG", "1.5 mm2" for an area in that family. buffer 24 bytes. */
const char *pl_wire_size_text(char buffer[24], double area, bool metric);
double pl_wire_ohms_per_m(double area, bool metric);

#endif
