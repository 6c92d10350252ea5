/* Metric wire: resistance by IEC 60228 class 5 (flexible, plain copper) and by ISO 6722 for the
 * sizes that IEC 60228 leaves out, and the overall diameters of insulated wire.  Knows nothing of
 * amperage or the harness. */
#include <math.h>
#include <string.h>

#include "standard/interpolate_inner.h"
#include "standard/wire.h"

#define IEC "IEC 60228 class 5, plain"
#define ISO "ISO 6722, from memory"

const struct pl_metric_size pl_metric_sizes[] = {
    {0.13, 136, false, ISO},  {0.22, 84.4, false, ISO}, {0.35, 54.4, true, ISO},
    {0.5, 39.0, true, IEC},   {0.75, 26.0, true, IEC},  {1, 19.5, true, IEC},
    {1.25, 14.9, false, ISO}, {1.5, 13.3, true, IEC},   {2, 9.42, false, ISO},
    {2.5, 7.98, true, IEC},   {3, 6.15, false, ISO},    {4, 4.95, true, IEC},
    {5, 3.94, false, ISO},    {6, 3.30, true, IEC},     {8, 2.38, false, ISO},
    {10, 1.91, true, IEC},    {12, 1.52, false, ISO},   {16, 1.21, true, IEC},
    {20, 0.955, false, ISO},  {25, 0.780, true, IEC},   {35, 0.554, true, IEC},
    {50, 0.386, true, IEC},   {70, 0.272, true, IEC},   {95, 0.206, true, IEC},
    {120, 0.161, true, IEC},
};
const uint32_t pl_metric_count = sizeof pl_metric_sizes / sizeof pl_metric_sizes[0];

double pl_metric_ohms_per_m(double area) {
  const struct pl_metric_size *size = pl_metric_sizes;
  const struct pl_metric_size *last = size + pl_metric_count - 1;
  if (area <= size->area)
    return size->ohms_per_km / 1000.0 * (size->area / area);
  if (area >= last->area)
    return last->ohms_per_km / 1000.0 * (last->area / area);
  while (size < last && area > size->area * 1.0005)
    size++;
  if (fabs(area - size->area) <= size->area * 0.0005)
    return size->ohms_per_km / 1000.0;
  return pl_power_between(area,
                          size[-1].area,
                          size[-1].ohms_per_km,
                          size->area,
                          size->ohms_per_km) /
         1000.0;
}

/* Largest overall diameters, mm: ISO 6722 thin and thick wall, from memory.  Sizes whose figure is
 * not remembered have no row. */
struct outside {
  double area, mm;
};

/* clang-format off */
static const struct outside thin[] = {
  {0.22, 1.2}, {0.35, 1.4}, {0.5, 1.6}, {0.75, 1.9}, {1, 2.1},  {1.5, 2.4}, {2, 2.8},  {2.5, 3.0},
  {3, 3.4},    {4, 3.7},    {5, 4.2},   {6, 4.3},    {8, 5.0},  {10, 6.0},  {12, 6.5}, {16, 7.2},
  {20, 7.8},   {25, 8.7},
};
/* clang-format on */
static const struct outside thick[] = {
    {0.5, 2.3},
    {0.75, 2.5},
    {1, 2.7},
    {1.5, 3.0},
    {2.5, 3.6},
    {4, 4.4},
    {6, 5.0},
    {10, 6.5},
    {16, 8.3},
    {25, 10.4},
    {35, 11.6},
    {50, 13.5},
    {70, 15.5},
    {95, 18.0},
    {120, 19.7},
};

/* Outside the rows the wall is kept as thick as in the last row, over a round conductor of that
 * share of copper. */
static double outside_mm(const struct outside *row, uint32_t n, double area) {
  const struct outside *last = row + n - 1;
  if (area < row->area || area > last->area) {
    const struct outside *end = last;
    if (area < row->area)
      end = row;
    const double stranding =
        1.25; /* a bundle of strands against solid copper of that area: common practice, about */
    return end->mm +
           stranding * sqrt(4.0 / 3.14159265358979323846) * (sqrt(area) - sqrt(end->area));
  }
  while (row < last && area > row->area)
    row++;
  if (fabs(area - row->area) <= row->area * 0.0005)
    return row->mm;
  return pl_power_between(area, row[-1].area, row[-1].mm, row->area, row->mm);
}

double pl_wire_outside_mm(double area, const char *wall, bool *memory) {
  if (memory != NULL)
    *memory = true;
  if (!(area > 0))
    return NAN;
  if (!isfinite(area))
    return NAN;
  if (strcmp(wall, "standard") == 0)
    return outside_mm(thick, sizeof thick / sizeof thick[0], area);
  return outside_mm(thin, sizeof thin / sizeof thin[0], area);
}
