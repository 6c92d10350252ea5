/* Allowed amperage against the printed tables of the regulation and of the aircraft circular;
 * insulations. */
#include "pl_test.h"
#include "test_standard.h"

#include "standard/wire.h"

static uint32_t insulation(const char *name) {
  uint32_t row = pl_insulation_find(name);
  PL_CHECK(row != UINT32_MAX, name);
  return row;
}

static struct pl_amperage
awg_amps(const char *size, const char *type, bool engine_space, uint32_t carrying) {
  int awg = 99;
  PL_CHECK(pl_awg_parse(size, &awg), size);
  return pl_wire_amperage(pl_awg_area_mm2(awg), false, insulation(type), engine_space, carrying);
}

static double metric_amps(double area, const char *type) {
  return pl_wire_amperage(area, true, insulation(type), false, 1).amps;
}

/* 33 CFR 183.425 Table 5: the columns 80, 90, 105, 125 and 200 degC. */
static const struct {
  const char *awg;
  double amps[5];
} table5[] = {
    {"18", {15, 20, 20, 25, 25}},
    {"16", {20, 25, 25, 30, 35}},
    {"14", {25, 30, 35, 40, 45}},
    {"12", {35, 40, 45, 50, 55}},
    {"10", {50, 55, 60, 70, 70}},
    {"8", {70, 70, 80, 90, 100}},
    {"6", {100, 100, 120, 125, 135}},
    {"4", {130, 135, 160, 170, 180}},
    {"3", {150, 155, 180, 195, 210}},
    {"2", {175, 180, 210, 225, 240}},
    {"1", {210, 210, 245, 265, 280}},
    {"1/0", {245, 245, 285, 305, 325}},
    {"2/0", {285, 285, 330, 355, 370}},
    {"3/0", {330, 330, 385, 410, 430}},
    {"4/0", {385, 385, 445, 475, 510}},
};

static void regulation_table(void) {
  /* ISO class B is 100 degC, class F 200 degC: the column is the highest not above the rating */
  static const char *const types[5] = {"GPT", "ISO B", "UL 1426", "GXL", "ISO F"};
  static const char *const columns[5] = {" 80 degC",
                                         " 90 degC",
                                         " 105 degC",
                                         " 125 degC",
                                         " 200 degC"};
  for (size_t i = 0; i < sizeof table5 / sizeof table5[0]; i++) {
    for (size_t k = 0; k < 5; k++) {
      char row[40];
      snprintf(row, sizeof row, "%s AWG %s", table5[i].awg, types[k]);
      struct pl_amperage found = awg_amps(table5[i].awg, types[k], false, 2);
      PL_CHECK_CLOSE(found.amps, table5[i].amps[k], 1e-12, row);
      PL_CHECK_CLOSE(found.table, table5[i].amps[k], 1e-12, row);
      PL_CHECK(strstr(found.source, "33 CFR 183.425 Table 5") != NULL &&
                   strstr(found.source, columns[k]) != NULL,
               row);
      PL_CHECK(strstr(found.source, "interpolated") == NULL &&
                   strstr(found.source, "factor") == NULL,
               row);
    }
  }
}

static void columns_by_rating(void) {
  static const struct {
    const char *type;
    double amps;
  } rows[] = {
      /* 14 AWG in 33 CFR 183.425 Table 5 */
      {"ISO A", 25},
      {"PVC", 25},
      {"ISO B", 30},
      {"ISO C", 40},
      {"ISO D", 40},
      {"ISO E", 40},
      {"ISO F", 45},
      {"ISO H", 45},
      {"TXL", 40},
      {"SXL", 40},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    PL_CHECK_CLOSE(awg_amps("14", rows[i].type, false, 0).amps, rows[i].amps, 1e-12, rows[i].type);
  }
}

/* Boat cable catalogue, 105 degC insulation: amperes outside and inside engine spaces, for up to 2,
 * 3, 4 to 6 and 7 to 24 wires. */
static const struct {
  const char *awg;
  double amps[8];
} grid[] = {
    {"18", {20, 17, 14, 11.9, 12, 10.2, 10, 8.5}},
    {"16", {25, 21.3, 17.5, 14.9, 15, 12.8, 12.5, 10.6}},
    {"14", {35, 29.8, 24.5, 20.8, 21, 17.9, 17.5, 14.9}},
    {"12", {45, 38.3, 31.5, 26.8, 27, 23, 22.5, 19.1}},
    {"10", {60, 51, 42, 35.7, 36, 30.6, 30, 25.5}},
    {"8", {80, 68, 56, 47.6, 48, 40.8, 40, 34}},
    {"6", {120, 102, 84, 71.4, 72, 61.2, 60, 51}},
    {"4", {160, 136, 112, 95.2, 96, 81.6, 80, 68}},
    {"2", {210, 178.5, 147, 125, 126, 107.1, 105, 89.3}},
    {"1", {245, 208.3, 171.5, 145.8, 147, 125, 122.5, 104.1}},
    {"1/0", {285, 242.3, 199.5, 169.6, 171, 145.4, 142.5, 121.1}},
    {"2/0", {330, 280.5, 231, 196.4, 198, 168.3, 165, 140.3}},
    {"3/0", {385, 327.3, 269.5, 229.1, 231, 196.4, 192.5, 163.6}},
    {"4/0", {445, 378.3, 311.5, 264.8, 267, 227, 222.5, 189.1}},
};

static void bundled_grid(void) {
  static const uint32_t carrying[4][2] = {{0, 2}, {3, 3}, {4, 6}, {7, 24}};
  int cells = 0;
  for (size_t i = 0; i < sizeof grid / sizeof grid[0]; i++) {
    for (size_t k = 0; k < 8; k++, cells++) {
      for (size_t end = 0; end < 2; end++) {
        char row[60];
        snprintf(row,
                 sizeof row,
                 "%s AWG, %u wires%s",
                 grid[i].awg,
                 (unsigned)carrying[k / 2][end],
                 k % 2 ? ", engine" : "");
        struct pl_amperage found =
            awg_amps(grid[i].awg, "UL 1426", k % 2 == 1, carrying[k / 2][end]);
        PL_CHECK(fabs(found.amps - grid[i].amps[k]) <= 0.05 + 1e-9, row);
        PL_CHECK((strstr(found.source, "engine space") != NULL) == (k % 2 == 1), row);
        PL_CHECK((strstr(found.source, "law from 50 V up, a cautious choice below") != NULL) ==
                     (k >= 2),
                 row);
      }
    }
  }
  PL_CHECK_INT(cells, 112, "printed cells");
  /* USCG compliance guideline: 25 and more wires, 0.4 */
  PL_CHECK_CLOSE(awg_amps("10", "UL 1426", false, 25).amps, 24, 1e-12, "25 wires");
  PL_CHECK_CLOSE(awg_amps("10", "UL 1426", false, 4000000000u).amps, 24, 1e-12, "very many wires");
}

static void engine_space_factors(void) {
  /* a published boat table prints 135 A and 111 A for 4 AWG, 90 degC: 0.82 */
  PL_CHECK_CLOSE(awg_amps("4", "ISO B", true, 1).amps, 111, 3e-3, "4 AWG, 90 degC");
  /* from memory */
  PL_CHECK_CLOSE(awg_amps("4", "GPT", true, 1).engine_factor, 0.78, 1e-12, "80 degC");
  PL_CHECK_CLOSE(awg_amps("4", "GXL", true, 1).engine_factor, 0.89, 1e-12, "125 degC");
  PL_CHECK_CLOSE(awg_amps("4", "ISO F", true, 1).engine_factor, 1, 1e-12, "200 degC");
  PL_CHECK(strstr(awg_amps("4", "GXL", true, 1).source, "from memory") != NULL, "125 degC says so");
  PL_CHECK(strstr(awg_amps("4", "UL 1426", true, 1).source, "from memory") == NULL,
           "105 degC was seen in print");
}

/* AC 43.13-1B Table 11-9, 105 degC column: 20 AWG 4 A, 22 AWG 3 A, 24 AWG 2.5 A. */
static void small_wire(void) {
  static const struct {
    const char *awg;
    double amps;
  } rows[] = {
      {"20", 4},
      {"22", 3},
      {"24", 2.5},
      {"19", 4},
      {"21", 3},
      {"23", 2.5},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_amperage found = awg_amps(rows[i].awg, "GXL", false, 1);
    PL_CHECK_CLOSE(found.amps, rows[i].amps, 1e-12, rows[i].awg);
    PL_CHECK(strstr(found.source, "AC 43.13-1B Table 11-9") != NULL, rows[i].awg);
    PL_CHECK((strstr(found.source, "next smaller") != NULL) == (i >= 3), rows[i].awg);
    PL_CHECK_CLOSE(awg_amps(rows[i].awg, "GXL", true, 30).amps, rows[i].amps, 1e-12, rows[i].awg);
    PL_CHECK_CLOSE(awg_amps(rows[i].awg, "GXL", true, 30).bundle_factor, 1, 1e-12, rows[i].awg);
    PL_CHECK_CLOSE(awg_amps(rows[i].awg, "GPT", true, 30).amps,
                   rows[i].amps * 0.78,
                   1e-12,
                   rows[i].awg);
  }
  /* 0.05176 mm2 of 30 AWG is 0.25 of 24 AWG's: arithmetic, 6 sizes are a factor of 1.12293^12
   * = 4.0202 */
  PL_CHECK_CLOSE(awg_amps("30", "GXL", false, 1).amps, 2.5 / 4.0202, 1e-4, "30 AWG");
  PL_CHECK(strstr(awg_amps("30", "GXL", false, 1).source, "scaled down") != NULL, "30 AWG says so");
}

static void sizes_between(void) {
  /* AWG that the regulation leaves out: the next smaller row of 33 CFR 183.425 Table 5 */
  PL_CHECK_CLOSE(awg_amps("13", "UL 1426", false, 1).amps, 35, 1e-12, "13 as 14");
  PL_CHECK_CLOSE(awg_amps("5", "UL 1426", false, 1).amps, 120, 1e-12, "5 as 6");
  PL_CHECK(strstr(awg_amps("13", "UL 1426", false, 1).source, "next smaller") != NULL,
           "13 says so");
  /* arithmetic: 25 x (1.5/1.3087)^(ln(35/25)/ln(2.0809/1.3087)) = 27.60 between 16 and 14 AWG */
  PL_CHECK_CLOSE(metric_amps(1.5, "UL 1426"), 27.60, 1e-3, "1.5 mm2");
  PL_CHECK(strstr(pl_wire_amperage(1.5, true, 0, false, 1).source, "interpolated") != NULL,
           "1.5 mm2 says so");
  /* arithmetic: 3 x (0.35/0.3255)^(ln(4/3)/ln(0.5176/0.3255)) = 3.139 between 22 and 20 AWG of
   * AC 43.13-1B Table 11-9 */
  PL_CHECK_CLOSE(metric_amps(0.35, "GXL"), 3.139, 1e-3, "0.35 mm2");
  /* arithmetic: 4 x (0.75/0.5176)^(ln(6/4)/ln(0.823/0.5176)) = 5.53 between 20 and 18 AWG */
  PL_CHECK_CLOSE(metric_amps(0.75, "GXL"), 5.53, 1e-3, "0.75 mm2");
  PL_CHECK_CLOSE(metric_amps(120, "GXL"), 475, 1e-12, "larger than 4/0: held");
  PL_CHECK(strstr(pl_wire_amperage(120, true, 0, false, 1).source, "held") != NULL,
           "120 mm2 says so");
}

static void never_less_for_more_copper(void) {
  for (uint32_t type = 0; type < pl_insulation_count; type++) {
    for (int metric = 0; metric < 2; metric++) {
      double before = 0;
      for (double area = 0.04; area < 200; area *= 1.013) {
        char row[60];
        snprintf(row, sizeof row, "%s, %g mm2", pl_insulations[type].name, area);
        struct pl_amperage found = pl_wire_amperage(area, metric != 0, type, false, 1);
        PL_CHECK(found.amps >= before, row);
        PL_CHECK(pl_wire_amperage(area, metric != 0, type, true, 30).amps <= found.amps, row);
        before = found.amps;
      }
    }
  }
}

static void odd_questions(void) {
  PL_CHECK(isnan(pl_wire_amperage(0, true, 0, false, 1).amps), "no copper");
  PL_CHECK(isnan(pl_wire_amperage(-1, false, 0, false, 1).amps), "less than none");
  PL_CHECK(isnan(pl_wire_amperage(NAN, false, 0, true, 9).amps), "not stated");
  PL_CHECK(isnan(pl_wire_amperage(INFINITY, true, 0, false, 1).amps), "without end");
  PL_CHECK_CLOSE(pl_wire_amperage(pl_awg_area_mm2(14), false, UINT32_MAX, false, 1).amps,
                 40,
                 1e-12,
                 "unknown insulation");
}

/* Published amp-foot table: 100 A at 24 V, 3 %, 10 ft needs 6 AWG by amperage whatever the drop
 * allows. */
static void amperage_decides(void) {
  PL_CHECK(awg_amps("8", "UL 1426", false, 1).amps < 100, "8 AWG");
  PL_CHECK(awg_amps("6", "UL 1426", false, 1).amps >= 100, "6 AWG");
}

static void insulations(void) {
  static const struct {
    const char *name;
    double hot;
  } rows[] = {
      /* SAE J1128 as quoted in wire guides */
      {"GXL", 125},
      {"TXL", 125},
      {"SXL", 125},
      {"GPT", 80},
      {"ISO A", 85},
      {"ISO B", 100},
      {"ISO C", 125},
      {"ISO D", 150},
      {"ISO E", 175}, /* ISO 6722 classes */
      {"ISO F", 200},
      {"ISO G", 225},
      {"ISO H", 250},
      {"UL 1426", 105}, /* boat cable catalogues */
      {"HDT", 80},
      {"SGT", 80},
      {"TWP", 80},
      {"SGX", 125}, /* from memory */
      {"PVC", 80},  /* common practice */
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    PL_CHECK_CLOSE(pl_insulations[insulation(rows[i].name)].hot, rows[i].hot, 1e-12, rows[i].name);
  }
  PL_CHECK_STR(pl_insulations[PL_INSULATION_DEFAULT].name, "GXL", "the default");
  PL_CHECK_INT(pl_insulation_find("gxl"), 0, "letter case");
  PL_CHECK_INT(pl_insulation_find("iso-c"), pl_insulation_find("ISO C"), "a hyphen for the space");
  PL_CHECK_INT(pl_insulation_find("isoc"), pl_insulation_find("ISO C"), "no space");
  static const char *const unknown[] = {"", "GX", "GXLL", "ISO", "ISO I", "14", "RD"};
  for (size_t i = 0; i < sizeof unknown / sizeof unknown[0]; i++) {
    PL_CHECK(pl_insulation_find(unknown[i]) == UINT32_MAX, unknown[i]);
  }
  for (uint32_t i = 0; i < pl_insulation_count; i++) {
    PL_CHECK_INT(pl_insulation_find(pl_insulations[i].name), i, pl_insulations[i].name);
    PL_CHECK(pl_insulations[i].source[0] != '\0' && pl_insulations[i].text[0] != '\0',
             pl_insulations[i].name);
    /* -40 degC by SAE J1128 and ISO 6722; -20 for boat cable and PVC of unknown make, from memory
     */
    bool mild = i == insulation("PVC") || i == insulation("UL 1426");
    PL_CHECK_CLOSE(pl_insulations[i].cold, mild ? -20 : -40, 1e-12, pl_insulations[i].name);
  }
}

CU_TestInfo standard_amperage_tests[] = {
    {"33 CFR 183.425 Table 5", regulation_table},
    {"the column by the insulation's rating", columns_by_rating},
    {"bundles and engine spaces: 112 printed cells", bundled_grid},
    {"engine space factors", engine_space_factors},
    {"wire smaller than 18 AWG", small_wire},
    {"sizes between the rows", sizes_between},
    {"more copper never carries less", never_less_for_more_copper},
    {"odd questions", odd_questions},
    {"amperage decides", amperage_decides},
    {"insulations", insulations},
    CU_TEST_INFO_NULL,
};
