/* Fuse gates, interrupt ratings, short-circuit heat, switch derating and bundle geometry, each row
 * with where it was seen.  Knows nothing of the harness. */
#include "standard/fuse_gates.h"

#include <math.h>
#include <string.h>

#include "standard/interpolate_inner.h"
#include "standard/words_inner.h"

#define NOTES "engineering notes that cite the datasheet page, second hand; ISO 8820-3 not seen"
#define MEMORY "from memory"
#define UL "UL 248-14 small fuses, second hand"
#define ANY 0, 1000
#define HOURS 360000

struct gate { /* at this share of its rating a fuse opens not before `least` and not after `most` s
               */
  const char *family;
  double rating_min, rating_max; /* the ratings the gate was printed for */
  double percent;
  double least, most; /* NAN: that edge is not printed */
  const char *source;
};

/* The gates of one family stand together, smallest share first. */
/* clang-format off */
static const struct gate gates[] = {
  {"blade", 35, 40, 100, HOURS, NAN, NOTES},
  {"blade", 35, 40, 135, 0.75, 600, NOTES},
  {"blade", 10, 10, 160, 0.25, 50, NOTES},
  {"blade", 10, 40, 200, 0.15, 5, NOTES},
  {"blade", 35, 40, 350, 0.08, 0.5, NOTES},
  {"blade", 35, 40, 600, NAN, 0.15, NOTES},
  {"mini blade", 10, 25, 110, HOURS, NAN, NOTES},
  {"mini blade", 10, 25, 135, 0.75, 600, NOTES},
  {"mini blade", 10, 25, 200, 0.15, 5, NOTES},
  {"mini blade", 10, 10, 350, 0.08, 0.5, NOTES},
  {"mini blade", 10, 10, 600, 0.03, 0.1, NOTES},
  {"maxi blade", 40, 40, 100, HOURS, NAN, NOTES},
  {"maxi blade", 40, 40, 135, 60, 1800, NOTES},
  {"maxi blade", 40, 40, 200, 2, 50, NOTES},
  {"maxi blade", 40, 40, 350, 0.2, 7, NOTES},
  {"maxi blade", 40, 40, 600, 0.04, 1, NOTES},
  {"bolt-down", ANY, 100, 14400, NAN, MEMORY},
  {"bolt-down", ANY, 135, 120, 1800, MEMORY},
  {"bolt-down", ANY, 200, 1, 15, MEMORY},
  {"bolt-down", ANY, 350, 0.3, 5, MEMORY},
  {"bolt-down", ANY, 500, 0.1, 1, MEMORY},
  {"glass", ANY, 100, HOURS, NAN, UL},
  {"glass", ANY, 135, NAN, 3600, UL},
  {"glass", ANY, 200, NAN, 120, UL},
};
/* clang-format on */
static const uint32_t gate_count = sizeof gates / sizeof gates[0];

static double edge_of(const struct gate *gate, bool slow) {
  return slow ? gate->most : gate->least;
}

static double edge(const char *family, double rating, double amps, bool slow) {
  const struct gate *below = NULL;
  const struct gate *above = NULL;
  const struct gate *last = NULL;
  double percent = 100 * amps / rating;
  bool known = false;
  if (!(rating > 0))
    return NAN;
  if (!(amps >= 0))
    return NAN;
  for (uint32_t i = 0; i < gate_count; i++) {
    const struct gate *gate = &gates[i];
    if (!pl_word_same(gate->family, family))
      continue;
    known = true;
    if (isnan(edge_of(gate, slow)))
      continue;
    last = gate;
    if (gate->percent <= percent * (1 + 1e-12))
      below = gate;
    if (gate->percent >= percent * (1 - 1e-12) && above == NULL)
      above = gate;
  }
  if (!known)
    return NAN;
  if (last == NULL)
    return slow ? INFINITY : 0;
  if (below == NULL)
    return slow ? INFINITY : above->least;
  if (below == above)
    return edge_of(below, slow);
  if (above != NULL)
    return pl_power_between(percent,
                            below->percent,
                            edge_of(below, slow),
                            above->percent,
                            edge_of(above, slow));
  return edge_of(last, slow) * (last->percent / percent) * (last->percent / percent);
}

double pl_fuse_opens_within(const char *family, double rating, double amps) {
  return edge(family, rating, amps, true);
}
double pl_fuse_holds_for(const char *family, double rating, double amps) {
  return edge(family, rating, amps, false);
}

double pl_fuse_amps_to_open(const char *family, double rating, double seconds) {
  double low = rating;
  double high = 1000 * rating;
  if (isnan(pl_fuse_opens_within(family, rating, low)))
    return NAN;
  for (int i = 0; i < 60; i++) { /* the slow edge falls with the current */
    double middle = sqrt(low * high);
    if (pl_fuse_opens_within(family, rating, middle) <= seconds)
      high = middle;
    else
      low = middle;
  }
  return high;
}

const char *pl_fuse_gate_source(const char *family, double rating) {
  const char *source = "no gates are known";
  const char *printed = NULL;
  for (uint32_t i = 0; i < gate_count; i++) {
    const struct gate *gate = &gates[i];
    if (!pl_word_same(gate->family, family))
      continue;
    source = gate->source;
    if (rating >= gate->rating_min && rating <= gate->rating_max)
      printed = gate->source;
  }
  if (printed != NULL)
    return printed;
  if (strcmp(source, NOTES) == 0)
    return "gates printed for other ratings of the family "
           "(engineering notes, second hand; ISO 8820-3 not seen)";
  return source;
}

double pl_fuse_interrupts(const char *family, const char **source) {
  static const struct {
    const char *family;
    double amps;
    const char *source;
  } rows[] = {
      {"blade",
       1000,
       "engineering notes that cite the datasheet page, second hand: 1,000 A at 32 V"},
      {"maxi blade",
       1000,
       "engineering notes that cite the datasheet page, second hand: 1,000 A at 32 V"},
      {"mini blade", 1000, "from memory: 1,000 A at 32 V"},
  };
  for (uint32_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    if (pl_word_same(rows[i].family, family)) {
      if (source != NULL)
        *source = rows[i].source;
      return rows[i].amps;
    }
  return NAN;
}

/* ---- copper ---- */

double pl_insulation_brief_limit(double rated) {
  return rated >= 110 ? 250 : 160;
} /* ICEA P-32-382: 250 cross-linked; 160 PVC as printed for 115 A s^0.5/mm2 */

double pl_copper_seconds(double area, double amps, double from, double to) {
  const double circular_mils = 1973.5;
  const double copper = 0.0297; /* in a mm2; ICEA P-32-382 */
  double density = amps / (area * circular_mils);
  if (to <= from)
    return 0;
  return copper * log10((to + 234) / (from + 234)) / (density * density);
}

double pl_wire_damage_seconds(double area,
                              double amps,
                              double from,
                              double rated,
                              double to,
                              double steady) {
  double adiabatic = pl_copper_seconds(area, amps, from, to);
  if (!(steady > 0))
    return adiabatic;
  if (!(rated > from))
    return adiabatic;
  double share = (to - from) / ((rated - from) * (amps / steady) *
                                (amps / steady)); /* of the rise it would end at */
  if (share >= 1)
    return INFINITY;
  return adiabatic * -log1p(-share) / share;
}

double pl_copper_fusing_amps(double diameter) {
  return 10244 * pow(diameter / 25.4, 1.5);
}

/* ---- switches, bundles ---- */

double pl_switch_derating(enum pl_load_class load, double volts) {
  static const double at_12[] = {5, 2, 1, 2};
  static const double at_28[] = {8, 4, 2, 3};
  return (volts > 18 ? at_28 : at_12)[load];
}

double pl_bundle_of_equal(uint32_t count) {
  static const double over[] = {0,     1,     2,     2.155, 2.414, 2.701, 3,
                                3,     3.304, 3.613, 3.813, 3.923, 4.029, 4.236,
                                4.328, 4.521, 4.615, 4.792, 4.863, 4.863, 5.122};
  if (count < sizeof over / sizeof over[0])
    return over[count];
  return NAN;
}
