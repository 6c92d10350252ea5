/* Interpolation shared by the tables: private to this room. */
#ifndef PL_STANDARD_INTERPOLATE_INNER_H
#define PL_STANDARD_INTERPOLATE_INNER_H

#include <math.h>

/* The power law through two points of positive numbers, at x. */
static inline double pl_power_between(double x, double x0, double y0, double x1, double y1) {
  return y0 * pow(x / x0, log(y1 / y0) / log(x1 / x0));
}

#endif
