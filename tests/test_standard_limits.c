/* Fuses, limits, colour letters, terminal numbers and battery resistance against printed figures.
 */
#include "pl_test.h"
#include "test_standard.h"

#include "standard/limits_data.h"

static const struct pl_fuse_row *fuse(const char *family, double rating) {
  for (uint32_t i = 0; i < pl_fuse_count; i++) {
    if (strcmp(pl_fuses[i].family, family) == 0 && fabs(pl_fuses[i].rating - rating) < 1e-9)
      return &pl_fuses[i];
  }
  return NULL;
}

/* ISO 8820-3 colour code as fuse guides print it. */
static const struct {
  const char *family;
  double rating;
  const char *colour;
} colours[] = {
    {"mini blade", 2, "grey"},   {"mini blade", 3, "violet"},  {"mini blade", 4, "pink"},
    {"mini blade", 5, "tan"},    {"mini blade", 7.5, "brown"}, {"mini blade", 10, "red"},
    {"mini blade", 15, "blue"},  {"mini blade", 20, "yellow"}, {"mini blade", 25, "clear"},
    {"mini blade", 30, "green"}, {"blade", 1, "black"},        {"blade", 2, "grey"},
    {"blade", 3, "violet"},      {"blade", 4, "pink"},         {"blade", 5, "tan"},
    {"blade", 7.5, "brown"},     {"blade", 10, "red"},         {"blade", 15, "blue"},
    {"blade", 20, "yellow"},     {"blade", 25, "clear"},       {"blade", 30, "green"},
    {"blade", 35, "blue-green"}, {"blade", 40, "orange"},      {"maxi blade", 20, "yellow"},
    {"maxi blade", 30, "green"}, {"maxi blade", 40, "orange"}, {"maxi blade", 50, "red"},
    {"maxi blade", 60, "blue"},  {"maxi blade", 70, "tan"},    {"maxi blade", 80, "clear"},
};

static void fuse_colours(void) {
  for (size_t i = 0; i < sizeof colours / sizeof colours[0]; i++) {
    char row[40];
    snprintf(row, sizeof row, "%s %g A", colours[i].family, colours[i].rating);
    const struct pl_fuse_row *found = fuse(colours[i].family, colours[i].rating);
    PL_CHECK(found != NULL, row);
    if (found != NULL)
      PL_CHECK_STR(found->colour, colours[i].colour, row);
  }
}

/* ISO 8820-3 families without the rows above: from memory. */
static void fuse_ratings(void) {
  static const double bolt_down[] =
      {40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 500};
  static const double glass[] = {1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30};
  const size_t bolts = sizeof bolt_down / sizeof bolt_down[0];
  const size_t glasses = sizeof glass / sizeof glass[0];
  for (size_t i = 0; i < bolts; i++)
    PL_CHECK(fuse("bolt-down", bolt_down[i]) != NULL, "bolt-down");
  for (size_t i = 0; i < glasses; i++)
    PL_CHECK(fuse("glass", glass[i]) != NULL, "glass");
  PL_CHECK(fuse("maxi blade", 35) != NULL && fuse("maxi blade", 100) != NULL, "maxi blade");
  PL_CHECK_INT(pl_fuse_count,
               sizeof colours / sizeof colours[0] + bolts + glasses + 2,
               "no others");
}

static void fuse_table(void) {
  for (uint32_t i = 0; i < pl_fuse_count; i++) {
    const struct pl_fuse_row *row = &pl_fuses[i];
    PL_CHECK(row->source[0] != '\0' && pl_fuse_family_known(row->family), row->family);
    if (i > 0 && strcmp(row[-1].family, row->family) == 0)
      PL_CHECK(row->rating > row[-1].rating, row->family);
    PL_CHECK_CLOSE(pl_fuse_at_least(row->family, row->rating), row->rating, 1e-12, row->family);
    PL_CHECK_CLOSE(pl_fuse_at_most(row->family, row->rating), row->rating, 1e-12, row->family);
  }
  PL_CHECK(pl_fuse_family_known("Maxi-Blade") && pl_fuse_family_known("bolt-down"),
           "letter case and hyphens");
  PL_CHECK(!pl_fuse_family_known("") && !pl_fuse_family_known("maxi") &&
               !pl_fuse_family_known("blades"),
           "unknown");
}

/* Cold resistances of blade fuses in milliohms, from makers' sheets as quoted in engineering notes.
 */
static void fuse_resistance(void) {
  static const struct {
    const char *family;
    double rating, milliohms;
  } rows[] = {
      {"blade", 1, 123},
      {"blade", 2, 53.5},
      {"blade", 4, 22.8},
      {"blade", 10, 7.70},
      {"blade", 40, 1.44},
      {"maxi blade", 30, 1.9},
      {"maxi blade", 35, 1.7},
      {"maxi blade", 40, 1.4},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    char row[40];
    snprintf(row, sizeof row, "%s %g A", rows[i].family, rows[i].rating);
    PL_CHECK_CLOSE(pl_fuse_ohms(rows[i].family, rows[i].rating) * 1000,
                   rows[i].milliohms,
                   1e-9,
                   row);
    PL_CHECK(strstr(pl_fuse_ohms_source(rows[i].family, rows[i].rating), "estimated") == NULL, row);
  }
  /* the same notes: 2.4 mV over a cold 10 A blade fuse is 312 mA */
  PL_CHECK_CLOSE(0.0024 / pl_fuse_ohms("blade", 10), 0.312, 2e-3, "2.4 mV");
}

static void fuse_estimates(void) {
  /* arithmetic: 22.8 x (7.70/22.8)^(ln(5/4)/ln(10/4)) = 17.505 milliohm */
  PL_CHECK_CLOSE(pl_fuse_ohms("blade", 5) * 1000, 17.505, 1e-3, "blade 5 A");
  PL_CHECK_CLOSE(pl_fuse_ohms("mini blade", 5),
                 pl_fuse_ohms("blade", 5),
                 1e-12,
                 "mini blade as blade");
  /* arithmetic: 1.4 x (100/40)^-1.2 = 0.4662 milliohm */
  PL_CHECK_CLOSE(pl_fuse_ohms("bolt-down", 100) * 1000, 0.4662, 1e-3, "bolt-down 100 A");
  PL_CHECK(strstr(pl_fuse_ohms_source("blade", 5), "estimated") != NULL, "blade 5 A says so");
  PL_CHECK(strstr(pl_fuse_ohms_source("mini blade", 10), "estimated") != NULL,
           "mini blade says so");
  PL_CHECK(strstr(pl_fuse_ohms_source("bolt-down", 40), "maxi blade") != NULL,
           "bolt-down says from what");
  PL_CHECK(isnan(pl_fuse_ohms("blade", 0)) && isnan(pl_fuse_ohms("blade", NAN)) &&
               isnan(pl_fuse_ohms("blade", -5)),
           "no rating");
  static const char *const families[] =
      {"mini blade", "blade", "maxi blade", "bolt-down", "glass", "of no family"};
  for (size_t k = 0; k < sizeof families / sizeof families[0]; k++) {
    for (double rating = 0.25; rating < 600; rating *= 1.05) {
      double ohms = pl_fuse_ohms(families[k], rating);
      PL_CHECK(ohms > pl_fuse_ohms(families[k], rating * 1.05), families[k]);
      /* common practice: a fuse drops some 20 to 250 mV at its rating, cold */
      PL_CHECK(ohms * rating > 0.02 && ohms * rating < 0.25, families[k]);
    }
  }
}

static void fuse_choice(void) {
  PL_CHECK_CLOSE(pl_fuse_at_least("blade", 11), 15, 1e-12, "at least 11 A");
  PL_CHECK_CLOSE(pl_fuse_at_least("blade", 5.1), 7.5, 1e-12, "at least 5.1 A");
  PL_CHECK_CLOSE(pl_fuse_at_most("blade", 14.9), 10, 1e-12, "at most 14.9 A");
  PL_CHECK_CLOSE(pl_fuse_at_least("blade", 41) + 1, 1, 1e-12, "none so large");
  PL_CHECK_CLOSE(pl_fuse_at_most("maxi blade", 19) + 1, 1, 1e-12, "none so small");
  PL_CHECK_CLOSE(pl_fuse_at_least("nothing", 1) + pl_fuse_at_most("nothing", 1) + 1,
                 1,
                 1e-12,
                 "no such family");
  /* published fuse guide: an 80 A load asks for 125 % = 100 A at least, 150 A at most */
  PL_CHECK_CLOSE(pl_fuse_at_least("bolt-down", 80 * 1.25), 100, 1e-12, "80 A load");
  PL_CHECK_CLOSE(pl_fuse_at_most("bolt-down", 150), 150, 1e-12, "80 A load, largest");
}

static void limits(void) {
  static const struct {
    const char *row;
    const struct pl_limit *limit;
    double value;
    const char *unit, *source;
  } rows[] = {
      {"drop, critical", &pl_limit_drop_critical, 3, "%", "ISO 13297"},
      {"drop, other", &pl_limit_drop_other, 10, "%", "ISO 13297"},
      {"fuse share", &pl_limit_fuse_share, 75, "%", "common practice"},
      {"fuse over wire", &pl_limit_fuse_over_wire, 150, "%", "33 CFR 183.455(c)(1)"},
      {"unfused, bare", &pl_limit_unfused_bare, 7, "in", "33 CFR 183.455(b)(1)"},
      {"unfused, sheathed", &pl_limit_unfused_sheathed, 40, "in", "33 CFR 183.455(b)(2)"},
      {"unfused, battery", &pl_limit_unfused_battery, 72, "in", "common practice"},
      {"small current", &pl_limit_small_current, 1, "A", "33 CFR 183.425(g)"},
      {"module loop", &pl_limit_module_loop, 50, "mohm", "common practice"},
      {"brief", &pl_limit_brief, 60, "s", "common practice"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    PL_CHECK_CLOSE(rows[i].limit->value, rows[i].value, 1e-12, rows[i].row);
    PL_CHECK_STR(rows[i].limit->unit, rows[i].unit, rows[i].row);
    PL_CHECK(strstr(rows[i].limit->source, rows[i].source) != NULL, rows[i].row);
  }
}

/* IEC 60757, in its order; German letters: common practice. */
static void colour_letters(void) {
  static const char *const codes[] = {
      "BK",
      "BN",
      "RD",
      "OG",
      "YE",
      "GN",
      "BU",
      "VT",
      "GY",
      "WH",
      "PK",
      "GD",
      "TQ",
      "SR",
      "GNYE",
  };
  static const char *const german[] = {
      "sw",
      "br",
      "rt",
      "or",
      "ge",
      "gn",
      "bl",
      "vi",
      "gr",
      "ws",
      "rs",
      "",
      "tk",
      "",
      "gnge",
  };
  PL_CHECK_INT(pl_colour_count, 15, "colours");
  for (uint32_t i = 0; i < pl_colour_count; i++) {
    PL_CHECK_STR(pl_colours[i].code, codes[i], codes[i]);
    PL_CHECK_STR(pl_colours[i].german, german[i], codes[i]);
    PL_CHECK_INT(pl_colour_find(codes[i], (uint32_t)strlen(codes[i])), i, codes[i]);
    if (german[i][0] != '\0')
      PL_CHECK_INT(pl_colour_find(german[i], (uint32_t)strlen(german[i])), i, german[i]);
    PL_CHECK(strlen(pl_colours[i].rgb) == 7 &&
                 strspn(pl_colours[i].rgb + 1, "0123456789abcdef") == 6,
             codes[i]);
    PL_CHECK(pl_colours[i].rgb[0] == '#' && pl_colours[i].source[0] != '\0' &&
                 pl_colours[i].name[0] != '\0',
             codes[i]);
  }
  PL_CHECK_INT(pl_colour_find("rd", 2), 2, "letter case");
  PL_CHECK_INT(pl_colour_find("RD/WH", 2), 2, "the first letters of more");
  PL_CHECK_INT(pl_colour_find("WS", 2), 9, "German in upper case");
  PL_CHECK(pl_colour_find("", 0) == UINT32_MAX && pl_colour_find("R", 1) == UINT32_MAX,
           "too short");
  PL_CHECK(pl_colour_find("XX", 2) == UINT32_MAX && pl_colour_find("RDX", 3) == UINT32_MAX,
           "unknown");
  PL_CHECK(pl_colour_find("R\0", 2) == UINT32_MAX, "a NUL byte");
}

/* DIN 72552, second hand; the relay rows from memory. */
static void terminals(void) {
  static const struct {
    const char *terminal, *word;
  } rows[] = {
      {"15", "ignition switch"},
      {"30", "battery plus"},
      {"31", "ground"},
      {"49a", "flasher"},
      {"50", "starter"},
      {"53a", "park"},
      {"56b", "low beam"},
      {"58d", "instrument"},
      {"61", "tell-tale"},
      {"85", "coil"},
      {"86", "coil"},
      {"87", "make contact"},
      {"87a", "break"},
      {"B+", "battery plus"},
      {"DF", "field"},
      {"L", "left"},
      {"33L", "anticlockwise"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    const char *meaning = pl_din_meaning(rows[i].terminal);
    PL_CHECK(meaning != NULL && strstr(meaning, rows[i].word) != NULL, rows[i].terminal);
  }
  PL_CHECK(pl_din_meaning("99") == NULL && pl_din_meaning("") == NULL &&
               pl_din_meaning("b+") == NULL,
           "no meaning");
  for (uint32_t i = 0; i < pl_din_count; i++) {
    PL_CHECK(pl_din_meaning(pl_din_terminals[i].terminal) == pl_din_terminals[i].meaning,
             pl_din_terminals[i].terminal);
    PL_CHECK(strstr(pl_din_terminals[i].source, "DIN 72552") != NULL, pl_din_terminals[i].terminal);
  }
}

static void battery(void) {
  /* SAE J537: 7.2 V held at the cranking amps, 12.6 V at rest: 500 A is 10.8 milliohm, 1167 A into
   * a short */
  PL_CHECK_CLOSE(pl_battery_ohms(12, 500), 0.0108, 1e-9, "500 A");
  PL_CHECK_CLOSE(12.6 / pl_battery_ohms(12, 500), 1167, 1e-3, "into a short");
  PL_CHECK_CLOSE(12.6 - 500 * pl_battery_ohms(12, 500), 7.2, 1e-9, "7.2 V at 500 A");
  PL_CHECK_CLOSE(pl_battery_ohms(24, 500), 0.0216, 1e-9, "two in series");
  PL_CHECK(isnan(pl_battery_ohms(12, 0)) && isnan(pl_battery_ohms(NAN, 500)) &&
               isnan(pl_battery_ohms(12, -1)),
           "not stated");
}

CU_TestInfo standard_limits_tests[] = {
    {"fuse colours", fuse_colours},
    {"fuse ratings", fuse_ratings},
    {"fuse table", fuse_table},
    {"fuse cold resistance", fuse_resistance},
    {"fuse estimates", fuse_estimates},
    {"fuse choice", fuse_choice},
    {"limits", limits},
    {"colour letters", colour_letters},
    {"terminal numbers", terminals},
    {"battery resistance", battery},
    CU_TEST_INFO_NULL,
};
