/* American wire gauge: geometry by ASTM B258, resistance of annealed copper at 20 degC, and the
 * least area that vehicle wire may have.  Knows nothing of amperage, insulation or the harness. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "standard/wire.h"

static const double PI = 3.14159265358979323846;

/* Resistivity of annealed copper at 20 degC, 1/58 ohm mm2/m: IEC 60228 Annex B. */
static const double COPPER_OHM_MM2_PER_M = 1.0 / 58.0;

/* ASTM B258: 36 AWG is 0.005 in, 4/0 is 0.460 in, and 39 equal ratios lie between. */
double pl_awg_diameter_mm(int awg) {
  return 0.127 * pow(92.0, (36.0 - awg) / 39.0);
}

double pl_awg_area_mm2(int awg) {
  double diameter = pl_awg_diameter_mm(awg);
  return PI / 4.0 * diameter * diameter;
}

double pl_awg_ohms_per_m(int awg) {
  return COPPER_OHM_MM2_PER_M / pl_awg_area_mm2(awg);
}

/* Zero-resistance intercept of copper, -234.5 degC: AC 43.13-1B, Tables 11-7 and 11-8. */
double pl_copper_factor(double temperature) {
  return (234.5 + temperature) / 254.5;
}

static const char *const names[] = {
    "4/0", "3/0", "2/0", "1/0", "1",  "2",  "3",  "4",  "5",  "6",  "7",  "8",
    "9",   "10",  "11",  "12",  "13", "14", "15", "16", "17", "18", "19", "20",
    "21",  "22",  "23",  "24",  "25", "26", "27", "28", "29", "30",
};

const char *pl_awg_name(int awg) {
  if (awg < PL_AWG_LARGEST || awg > PL_AWG_SMALLEST)
    return "";
  return names[awg - PL_AWG_LARGEST];
}

bool pl_awg_parse(const char *text, int *awg) {
  static const char *const zeros[] = {"0", "00", "000", "0000"};
  for (int i = 0; i < 4; i++) {
    if (strcmp(text, zeros[i]) == 0) {
      *awg = -i;
      return true;
    }
  }
  for (int size = PL_AWG_LARGEST; size <= PL_AWG_SMALLEST; size++) {
    if (strcmp(text, pl_awg_name(size)) == 0) {
      *awg = size;
      return true;
    }
  }
  return false;
}

/* Smallest first: common practice of the wire trade. */
static const int sold[] = {24, 22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3};
enum {
  SOLD = sizeof sold / sizeof sold[0]
};

bool pl_awg_is_sold(int awg) {
  for (int i = 0; i < SOLD; i++) {
    if (sold[i] == awg)
      return true;
  }
  return false;
}

/* Minimum conductor areas of SAE vehicle wire in circular mils, as printed by two wire catalogues
 * (3/0: by one). */
static const struct {
  int awg;
  double circular_mils;
} sae_minimum[] = {
    {18, 1537},
    {16, 2336},
    {14, 3702},
    {12, 5833},
    {10, 9343},
    {8, 14810},
    {6, 24538},
    {4, 37360},
    {2, 62450},
    {1, 77790},
    {0, 98980},
    {-1, 125100},
    {-2, 158600},
    {-3, 205500},
};

double pl_awg_sae_min_mm2(int awg) {
  const double mm2_per_circular_mil = PI / 4.0 * 0.0254 * 0.0254; /* definition */
  for (size_t i = 0; i < sizeof sae_minimum / sizeof sae_minimum[0]; i++) {
    if (sae_minimum[i].awg == awg)
      return sae_minimum[i].circular_mils * mm2_per_circular_mil;
  }
  return NAN;
}

/* Sizes that are the same but for the rounding of the area (consecutive AWG areas differ by a
 * quarter). */
static bool above(double area, double than) {
  return area > than * 1.001;
}

/* Area of the i-th size sold, smallest first; 0 past the end. */
static double sold_area(bool metric, uint32_t i) {
  if (!metric)
    return i < SOLD ? pl_awg_area_mm2(sold[i]) : 0;
  for (uint32_t row = 0; row < pl_metric_count; row++) {
    if (!pl_metric_sizes[row].common)
      continue;
    if (i == 0)
      return pl_metric_sizes[row].area;
    i--;
  }
  return 0;
}

double pl_wire_next_area(double area, bool metric, int step) {
  if (step == 0)
    return area;
  uint32_t larger = 0;
  uint32_t smaller = 0; /* first size above the area; count of sizes below it */
  for (uint32_t i = 0; sold_area(metric, i) > 0; i++) {
    if (!above(sold_area(metric, i), area))
      larger = i + 1;
    if (above(area, sold_area(metric, i)))
      smaller = i + 1;
  }
  if (step > 0)
    return sold_area(metric, larger + (uint32_t)(step - 1));
  uint32_t down = (uint32_t)(-(step + 1)) + 1;
  if (down > smaller)
    return 0;
  return sold_area(metric, smaller - down);
}

/* The gauge law of pl_awg_diameter_mm turned round: neighbours are 26 % of area apart. */
static int nearest_awg(double area) {
  double diameter = sqrt(area * 4.0 / PI);
  double awg = 36.0 - 39.0 * log(diameter / 0.127) / log(92.0);
  if (awg > -100.0 && awg < 100.0)
    return (int)lround(awg);
  return PL_AWG_SMALLEST + 1;
}

const char *pl_wire_size_text(char buffer[24], double area, bool metric) {
  char number[PL_NUMBER_SIZE];
  const char *text = NULL;
  const char *unit = " mm2";
  int awg = metric ? PL_AWG_SMALLEST + 1 : nearest_awg(area);
  if (awg >= PL_AWG_LARGEST && awg <= PL_AWG_SMALLEST &&
      fabs(area - pl_awg_area_mm2(awg)) <= pl_awg_area_mm2(awg) * 0.01) {
    text = pl_awg_name(awg);
    unit = " AWG";
  }
  if (text == NULL)
    text = pl_number_print(number, area, 4);
  size_t n = strlen(text);
  size_t room = 24 - strlen(unit) - 1;
  if (n > room)
    n = room;
  memcpy(buffer, text, n);
  memcpy(buffer + n, unit, strlen(unit) + 1);
  return buffer;
}

double pl_wire_ohms_per_m(double area, bool metric) {
  return metric ? pl_metric_ohms_per_m(area) : COPPER_OHM_MM2_PER_M / area;
}
