/* How hard a crimped sample is pulled.  Every row names its source. */
#include <math.h>

#include "standard/limits_data.h"
#include "standard/wire.h"

#define MEMORY "UL 486A class, from memory"

static const struct {
  int awg;
  double newtons;
  const char *source;
} pulls[] = {
    {22, 36, MEMORY},
    {20, 58, MEMORY},
    {18, 89, MEMORY},
    {16, 133, MEMORY},
    {14, 222, MEMORY},
    {12, 311, MEMORY},
    {10, 356, MEMORY},
};
static const uint32_t pull_count = sizeof pulls / sizeof pulls[0];

double pl_crimp_newtons(double area) {
  const double nearly = 0.9; /* wire sold under a size may hold a tenth less copper: SAE J1128 */
  double newtons = NAN;
  if (area * nearly > pl_awg_area_mm2(pulls[pull_count - 1].awg))
    return NAN;
  for (uint32_t i = 0; i < pull_count; i++)
    if (area >= nearly * pl_awg_area_mm2(pulls[i].awg))
      newtons = pulls[i].newtons;
  return newtons;
}
