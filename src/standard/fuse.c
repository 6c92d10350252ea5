/* Fuses: ratings, colours and cold resistance by family.  Knows nothing of wires, gates or the
 * harness. */
#include <math.h>
#include <string.h>

#include "standard/interpolate_inner.h"
#include "standard/limits_data.h"
#include "standard/words_inner.h"

#define SEEN \
  "ISO 8820-3 colour code, second hand; cold resistance from a maker's sheet, second hand"
#define COLOUR "ISO 8820-3 colour code, second hand"
#define PARTLY "cold resistance from a maker's sheet, second hand; colour from memory"
#define MEMORY "from memory"
#define BLADE(rating, colour, ohms, source) \
  { "blade", rating, colour, ohms, source }
#define MINI(rating, colour) \
  { "mini blade", rating, colour, NAN, COLOUR }
#define MAXI(rating, colour, ohms, source) \
  { "maxi blade", rating, colour, ohms, source }
#define BOLT(rating) \
  { "bolt-down", rating, "", NAN, MEMORY }
#define GLASS(rating) \
  { "glass", rating, "", NAN, MEMORY }

/* Each family's rows stand together, smallest rating first. */
/* clang-format off */
const struct pl_fuse_row pl_fuses[] = {
  MINI(2, "grey"),
  MINI(3, "violet"),
  MINI(4, "pink"),
  MINI(5, "tan"),
  MINI(7.5, "brown"),
  MINI(10, "red"),
  MINI(15, "blue"),
  MINI(20, "yellow"),
  MINI(25, "clear"),
  MINI(30, "green"),
  BLADE(1, "black", 0.123, SEEN),
  BLADE(2, "grey", 0.0535, SEEN),
  BLADE(3, "violet", NAN, COLOUR),
  BLADE(4, "pink", 0.0228, SEEN),
  BLADE(5, "tan", NAN, COLOUR),
  BLADE(7.5, "brown", NAN, COLOUR),
  BLADE(10, "red", 0.00770, SEEN),
  BLADE(15, "blue", NAN, COLOUR),
  BLADE(20, "yellow", NAN, COLOUR),
  BLADE(25, "clear", NAN, COLOUR),
  BLADE(30, "green", NAN, COLOUR),
  BLADE(35, "blue-green", NAN, COLOUR),
  BLADE(40, "orange", 0.00144, SEEN),
  MAXI(20, "yellow", NAN, COLOUR),
  MAXI(30, "green", 0.0019, SEEN),
  MAXI(35, "brown", 0.0017, PARTLY),
  MAXI(40, "orange", 0.0014, SEEN),
  MAXI(50, "red", NAN, COLOUR),
  MAXI(60, "blue", NAN, COLOUR),
  MAXI(70, "tan", NAN, COLOUR),
  MAXI(80, "clear", NAN, COLOUR),
  MAXI(100, "violet", NAN, MEMORY),
  BOLT(40),
  BOLT(50),
  BOLT(60),
  BOLT(70),
  BOLT(80),
  BOLT(100),
  BOLT(125),
  BOLT(150),
  BOLT(175),
  BOLT(200),
  BOLT(225),
  BOLT(250),
  BOLT(300),
  BOLT(350),
  BOLT(400),
  BOLT(500),
  GLASS(1),
  GLASS(2),
  GLASS(3),
  GLASS(4),
  GLASS(5),
  GLASS(7.5),
  GLASS(10),
  GLASS(15),
  GLASS(20),
  GLASS(25),
  GLASS(30),
};
/* clang-format on */
const uint32_t pl_fuse_count = sizeof pl_fuses / sizeof pl_fuses[0];

const char *pl_fuse_colour(const char *family, double rating) {
  for (uint32_t i = 0; i < pl_fuse_count; i++)
    if (strcmp(pl_fuses[i].family, family) == 0 && fabs(pl_fuses[i].rating - rating) < 1e-9)
      return pl_fuses[i].colour;
  return "";
}

bool pl_fuse_family_known(const char *family) {
  for (uint32_t i = 0; i < pl_fuse_count; i++) {
    if (pl_word_same(pl_fuses[i].family, family))
      return true;
  }
  return false;
}

/* The family whose cold resistances are used. */
static const char *resistance_family(const char *family) {
  if (pl_word_same(family, "maxi blade"))
    return "maxi blade";
  if (pl_word_same(family, "bolt-down"))
    return "maxi blade";
  return "blade";
}

/* Nearest rows with a figure below (or at) and above (or at) the rating. */
static void rows_around(const char *family,
                        double rating,
                        const struct pl_fuse_row **below,
                        const struct pl_fuse_row **above) {
  *below = *above = NULL;
  for (uint32_t i = 0; i < pl_fuse_count; i++) {
    const struct pl_fuse_row *row = &pl_fuses[i];
    if (isnan(row->cold_ohms))
      continue;
    if (strcmp(row->family, family) != 0)
      continue;
    if (row->rating <= rating)
      *below = row;
    if (row->rating >= rating && *above == NULL)
      *above = row;
  }
}

double pl_fuse_ohms(const char *family, double rating) {
  const double slope =
      -1.2; /* blade rows: 1.20 from 1 to 2 A, 1.23 to 4 A, 1.18 to 10 A, 1.21 to 40 A */
  if (!(rating > 0))
    return NAN;
  if (!isfinite(rating))
    return NAN;
  const struct pl_fuse_row *below, *above;
  rows_around(resistance_family(family), rating, &below, &above);
  if (below != NULL && below == above)
    return below->cold_ohms;
  if (below != NULL && above != NULL) {
    return pl_power_between(rating,
                            below->rating,
                            below->cold_ohms,
                            above->rating,
                            above->cold_ohms);
  }
  const struct pl_fuse_row *end = above;
  if (below != NULL)
    end = below;
  return end->cold_ohms * pow(rating / end->rating, slope);
}

const char *pl_fuse_ohms_source(const char *family, double rating) {
  const struct pl_fuse_row *below, *above;
  const char *rows = resistance_family(family);
  if (!(rating > 0))
    return "no rating is known";
  if (!isfinite(rating))
    return "no rating is known";
  rows_around(rows, rating, &below, &above);
  if (!pl_word_same(family, rows)) {
    if (strcmp(rows, "blade") == 0)
      return "estimated from the cold resistance of blade fuses";
    return "estimated from the cold resistance of maxi blade fuses";
  }
  if (below != NULL && below == above)
    return "cold resistance from a maker's sheet, second hand";
  return "estimated from the cold resistance of other ratings of the family";
}

double pl_fuse_at_least(const char *family, double amps) {
  for (uint32_t i = 0; i < pl_fuse_count; i++) {
    if (pl_word_same(pl_fuses[i].family, family) && pl_fuses[i].rating >= amps)
      return pl_fuses[i].rating;
  }
  return 0;
}

double pl_fuse_at_most(const char *family, double amps) {
  double best = 0;
  for (uint32_t i = 0; i < pl_fuse_count; i++) {
    if (pl_word_same(pl_fuses[i].family, family) && pl_fuses[i].rating <= amps)
      best = pl_fuses[i].rating;
  }
  return best;
}
