/* Colour letters of IEC 60757 in its own order, with the German letters seen in vehicle papers and
 * the colour each is drawn in. Knows nothing of bases and stripes. */
#include <string.h>

#include "standard/limits_data.h"
#include "standard/words_inner.h"

#define IEC "IEC 60757 letters; German letters and drawn colour: common practice"
#define IEC_ONLY "IEC 60757 letters; drawn colour: common practice"

const struct pl_colour_row pl_colours[] = {
    {"BK", "black", "sw", "#1a1a1a", IEC},
    {"BN", "brown", "br", "#7b4a1e", IEC},
    {"RD", "red", "rt", "#d62728", IEC},
    {"OG", "orange", "or", "#ff8c1a", IEC},
    {"YE", "yellow", "ge", "#ffd92f", IEC},
    {"GN", "green", "gn", "#2ca02c", IEC},
    {"BU", "blue", "bl", "#1f5fbf", IEC},
    {"VT", "violet", "vi", "#7e3fb2", IEC},
    {"GY", "grey", "gr", "#8c8c8c", IEC},
    {"WH", "white", "ws", "#ffffff", IEC},
    {"PK", "pink", "rs", "#f7a6c4", IEC},
    {"GD", "gold", "", "#b8962e", IEC_ONLY},
    {"TQ", "turquoise", "tk", "#3fc1c0", IEC},
    {"SR", "silver", "", "#c4c8cc", IEC_ONLY},
    {"GNYE", "green-and-yellow", "gnge", "#2ca02c", IEC},
};
const uint32_t pl_colour_count = sizeof pl_colours / sizeof pl_colours[0];

static bool same_letters(const char *row, const char *letters, uint32_t n) {
  if (n == 0 || strlen(row) != n)
    return false;
  for (uint32_t i = 0; i < n; i++) {
    if (pl_word_lower(row[i]) != pl_word_lower(letters[i]))
      return false;
  }
  return true;
}

uint32_t pl_colour_find(const char *letters, uint32_t n) {
  for (uint32_t i = 0; i < pl_colour_count; i++) {
    if (same_letters(pl_colours[i].code, letters, n))
      return i;
  }
  for (uint32_t i = 0; i < pl_colour_count; i++) {
    if (same_letters(pl_colours[i].german, letters, n))
      return i;
  }
  return UINT32_MAX;
}
