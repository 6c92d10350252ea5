/* Figures near their limits: what sound parts within their tolerances make of them, solved
 * (network/band.h).  One sentence for a finding; nothing here finds anything by itself. */
#include <math.h>

#include "rules/margin_inner.h"
#include "rules/rule_words_inner.h"

static const double doubt =
    0.1; /* share of its width by which a band told by its slopes may be off */

/* The end of the band that is better or worse for the limit, as the finding's figure. */
static double end_of(const struct pl_margin *near, struct pl_band band, double figure, bool good) {
  double low = figure < 0 ? -band.high : band.low;
  double high = figure < 0 ? -band.low : band.high;

  return near->times * (good == near->least ? high : low);
}

static bool passes(const struct pl_margin *near, double figure) {
  if (near->least)
    return figure >= near->limit;
  return figure <= near->limit;
}

/* What the figure is with every part at the end of its tolerance that is best for it (`good`) or
 * worst; NAN when that does not carry it over its limit: when a broken limit stays broken, a kept
 * one kept.  *moves: " (K3 then changes over)" or "". */
static double near_end(const struct pl_check *check,
                       const struct pl_margin *near,
                       bool good,
                       const char **moves) {
  struct pl_bands *bands = pl_bands_take(check->network, &check->solutions[near->state]);
  double figure = pl_reading_figure(check->network, &check->solutions[near->state], near->reading);
  struct pl_band band = pl_band_of(bands, near->reading);
  double spare = doubt * near->times * (band.high - band.low);
  double end = end_of(near, band, figure, good);

  *moves = "";
  if (isnan(end))
    return NAN;
  if (passes(near, end + (good == near->least ? spare : -spare)) != good)
    return NAN;
  band = pl_band_solved(bands, near->reading);
  end = end_of(near, band, figure, good);
  if (band.moves != PL_NONE)
    *moves = pl_arena_printf(check->arena,
                             " (%s then changes over)",
                             check->harness->devices.at[band.moves].name);
  if (isnan(end))
    return NAN;
  if (passes(near, end) != good)
    return NAN;
  return end;
}

const char *pl_say_good_end(const struct pl_check *check, struct pl_margin near, const char *unit) {
  const char *moves;
  double end = near_end(check, &near, true, &moves);

  if (isnan(end))
    return "";
  return pl_arena_printf(
      check->arena,
      "; with short wires, new contacts and good parts it would be %s, within the limit%s",
      pl_say(check->arena, end, unit),
      moves);
}

const char *pl_say_bad_end(const struct pl_check *check, struct pl_margin near, const char *unit) {
  const char *moves;
  double end = near_end(check, &near, false, &moves);

  if (isnan(end))
    return "";
  return pl_arena_printf(check->arena,
                         "; with long wires, worn contacts and poor parts it would be %s%s",
                         pl_say(check->arena, end, unit),
                         moves);
}
