/* Allowed continuous amperage of one conductor: 33 CFR 183.425 Table 5 with its factors, and
 * AC 43.13-1B Table 11-9 for wire smaller than the regulation lists.  Knows nothing of loads,
 * states or the harness. */
#include <math.h>

#include "standard/interpolate_inner.h"
#include "standard/wire.h"

enum {
  COLUMNS = 7
};

/* 33 CFR 183.425 Table 5, amperes by the temperature rating of the insulation; the 105 degC column
 * also as two catalogues print it. */
static const double column_hot[COLUMNS] = {60, 75, 80, 90, 105, 125, 200};
static const double room = 30;          /* degC around a wire of Table 5 */
static const double aircraft_rise = 35; /* Table 11-9: from 70 to 105 degC */
static const struct {
  int awg;
  double amps[COLUMNS];
} table5[] = {
    /* smallest first */
    {18, {10, 10, 15, 20, 20, 25, 25}},
    {16, {15, 15, 20, 25, 25, 30, 35}},
    {14, {20, 20, 25, 30, 35, 40, 45}},
    {12, {25, 25, 35, 40, 45, 50, 55}},
    {10, {40, 40, 50, 55, 60, 70, 70}},
    {8, {55, 65, 70, 70, 80, 90, 100}},
    {6, {80, 95, 100, 100, 120, 125, 135}},
    {4, {105, 125, 130, 135, 160, 170, 180}},
    {3, {120, 145, 150, 155, 180, 195, 210}},
    {2, {140, 170, 175, 180, 210, 225, 240}},
    {1, {165, 195, 210, 210, 245, 265, 280}},
    {0, {195, 230, 245, 245, 285, 305, 325}},
    {-1, {225, 265, 285, 285, 330, 355, 370}},
    {-2, {260, 310, 330, 330, 385, 410, 430}},
    {-3, {300, 360, 385, 385, 445, 475, 510}},
};
enum {
  TABLE5_ROWS = sizeof table5 / sizeof table5[0]
};

/* Share left in an engine space (50 degC against 30).  105 degC: as printed in three catalogues;
 * 90: agrees with a printed pair (135 A, 111 A); the others from memory. */
static const double engine_space_factor[COLUMNS] = {0.58, 0.75, 0.78, 0.82, 0.85, 0.89, 1.0};

/* AC 43.13-1B Table 11-9. */
const struct pl_aircraft_wire pl_aircraft_wires[] = {
    {24, 2.5, 4, 5, 28.4, 475},
    {22, 3, 5, 6, 16.2, 755},
    {20, 4, 7, 9, 9.88, 1216},
    {18, 6, 9, 12, 6.23, 1900},
    {16, 7, 11, 14, 4.81, 2426},
    {14, 10, 14, 18, 3.06, 3831},
    {12, 13, 19, 25, 2.02, 5874},
    {10, 17, 26, 32, 1.26, 9354},
    {8, 38, 57, 71, 0.70, 16983},
    {6, 50, 76, 97, 0.44, 26818},
    {4, 68, 103, 133, 0.28, 42615},
    {2, 95, 141, 179, 0.18, 66500},
    {1, 113, 166, 210, 0.15, 81700},
    {0, 128, 192, 243, 0.12, 104500},
    {-1, 147, 222, 285, 0.09, 133000},
    {-2, 172, 262, 335, 0.07, 166500},
    {-3, 204, 310, 395, 0.06, 210900},
};
const uint32_t pl_aircraft_wire_count = sizeof pl_aircraft_wires / sizeof pl_aircraft_wires[0];

/* How a figure was found in its table. */
enum how {
  EXACT,
  SMALLER,
  BETWEEN,
  BEYOND,
  HOWS
};

#define BUNDLE "; bundle factor of 33 CFR 183.435(b), law from 50 V up, a cautious choice below"
#define PLACES(base, engine)          \
  {                                   \
    {base, base BUNDLE}, {            \
      base engine, base engine BUNDLE \
    }                                 \
  }
#define COLUMN(degrees, engine)                                                                  \
  {                                                                                              \
    PLACES("33 CFR 183.425 Table 5, " degrees " degC column", engine),                           \
        PLACES("33 CFR 183.425 Table 5, " degrees                                                \
               " degC column, the next smaller size that it lists",                              \
               engine),                                                                          \
        PLACES("33 CFR 183.425 Table 5, " degrees                                                \
               " degC column, interpolated between its AWG sizes",                               \
               engine),                                                                          \
        PLACES("33 CFR 183.425 Table 5, " degrees " degC column, held at its largest size, 4/0", \
               engine)                                                                           \
  }
#define CATALOGUE "; engine space factor of 33 CFR 183.425 as printed in wire catalogues"
#define REMEMBERED "; engine space factor of 33 CFR 183.425, from memory"

static const char *const table5_source[COLUMNS][HOWS][2][2] = {
    COLUMN("60", REMEMBERED),
    COLUMN("75", REMEMBERED),
    COLUMN("80", REMEMBERED),
    COLUMN("90", REMEMBERED),
    COLUMN("105", CATALOGUE),
    COLUMN("125", REMEMBERED),
    COLUMN("200", REMEMBERED),
};

#define AIRCRAFT                                                                            \
  "AC 43.13-1B Table 11-9, 105 degC column, a bundle rating (33 CFR 183.425 lists nothing " \
  "smaller than 18 AWG)"
static const char *const aircraft_source[HOWS][2] = {
    {AIRCRAFT, AIRCRAFT REMEMBERED},
    {AIRCRAFT ", the next smaller size that it lists",
     AIRCRAFT ", the next smaller size that it lists" REMEMBERED},
    {AIRCRAFT ", interpolated between its AWG sizes",
     AIRCRAFT ", interpolated between its AWG sizes" REMEMBERED},
    {AIRCRAFT ", scaled down by area from its smallest size, 24 AWG (common practice)",
     AIRCRAFT ", scaled down by area from its smallest size, 24 AWG (common practice)" REMEMBERED},
};

static bool same_area(double a, double b) {
  return fabs(a - b) <= b * 0.001;
}

static int column_of(double hot) {
  int column = 0;
  while (column + 1 < COLUMNS && column_hot[column + 1] <= hot)
    column++;
  return column;
}

static double table5_amps(double area, bool metric, int column, enum how *how) {
  int row = 0; /* the last row not above the area; the caller sees to it that there is one */
  while (row + 1 < TABLE5_ROWS && pl_awg_area_mm2(table5[row + 1].awg) <= area * 1.001)
    row++;
  double here = pl_awg_area_mm2(table5[row].awg);
  double amps = table5[row].amps[column];
  *how = EXACT;
  if (same_area(area, here))
    return amps;
  if (row + 1 == TABLE5_ROWS) {
    *how = BEYOND;
    return amps;
  }
  *how = metric ? BETWEEN : SMALLER;
  if (!metric)
    return amps;
  return pl_power_between(area,
                          here,
                          amps,
                          pl_awg_area_mm2(table5[row + 1].awg),
                          table5[row + 1].amps[column]);
}

static double aircraft_amps(double area, bool metric, enum how *how) {
  const struct pl_aircraft_wire *row = pl_aircraft_wires;
  double here = pl_awg_area_mm2(row->awg);
  *how = BEYOND;
  if (area < here && !same_area(area, here))
    return row->amps_105 * area / here;
  while (pl_awg_area_mm2(row[1].awg) <= area * 1.001)
    row++; /* ends at 18 AWG: the caller's area is smaller */
  here = pl_awg_area_mm2(row->awg);
  *how = EXACT;
  if (same_area(area, here))
    return row->amps_105;
  *how = metric ? BETWEEN : SMALLER;
  if (!metric)
    return row->amps_105;
  return pl_power_between(area, here, row->amps_105, pl_awg_area_mm2(row[1].awg), row[1].amps_105);
}

/* 33 CFR 183.435(b), as two catalogues and the compliance guideline print it. */
static double bundle_factor(uint32_t carrying) {
  if (carrying < 3)
    return 1.0;
  if (carrying == 3)
    return 0.7;
  if (carrying <= 6)
    return 0.6;
  return carrying <= 24 ? 0.5 : 0.4;
}

/* The 105 degC column of the aircraft table stands for a rise of at most 35 degC above 70 degC: in
 * 30 degC, and with the factor in 50 degC, that also keeps below the ratings under 105 degC. */
struct pl_amperage pl_wire_amperage(double area,
                                    bool metric,
                                    uint32_t insulation,
                                    bool engine_space,
                                    uint32_t carrying) {
  struct pl_amperage result = {NAN, 1.0, 1.0, NAN, "no size is known", NAN};
  if (!(area > 0))
    return result;
  if (!isfinite(area))
    return result;
  if (insulation >= pl_insulation_count)
    insulation = PL_INSULATION_DEFAULT;
  double hot = pl_insulations[insulation].hot;
  int column = column_of(hot);
  double smallest = pl_awg_area_mm2(table5[0].awg);
  enum how how;
  if (area < smallest && !same_area(area, smallest)) {
    bool warm = engine_space && hot < 105;
    result.table = aircraft_amps(area, metric, &how);
    result.rise = aircraft_rise;
    if (warm)
      result.engine_factor = engine_space_factor[column];
    result.source = aircraft_source[how][warm];
  } else {
    result.table = table5_amps(area, metric, column, &how);
    result.rise = column_hot[column] - room;
    if (engine_space)
      result.engine_factor = engine_space_factor[column];
    result.bundle_factor = bundle_factor(carrying);
    result.source = table5_source[column][how][engine_space][carrying >= 3];
  }
  result.amps = result.table * result.engine_factor * result.bundle_factor;
  return result;
}
