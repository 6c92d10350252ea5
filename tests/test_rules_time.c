/* Fuse gates, heat of copper, derating and packing against their sources; the rules of protection
 * over time, starting, controllers and signals against figures worked out by hand. */
#include "standard/fuse_gates.h"
#include "standard/wire.h"
#include "test_rules.h"

static void gates(void) {
  static const struct {
    const char *family;
    double rating, percent, least, most;
  } rows[] = {
      /* engineering notes that cite the datasheet page, second hand; ISO 8820-3 not seen */
      {"blade", 40, 135, 0.75, 600},
      {"blade", 40, 200, 0.15, 5},
      {"blade", 40, 350, 0.08, 0.5},
      {"blade", 10, 160, 0.25, 50},
      {"mini blade", 10, 200, 0.15, 5},
      {"mini blade", 10, 350, 0.08, 0.5},
      {"mini blade", 10, 600, 0.03, 0.1},
      {"maxi blade", 40, 135, 60, 1800},
      {"maxi blade", 40, 200, 2, 50},
      {"maxi blade", 40, 350, 0.2, 7},
      {"maxi blade", 40, 600, 0.04, 1},
      {"Maxi-Blade", 40, 350, 0.2, 7},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    double amps = rows[i].rating * rows[i].percent / 100;
    PL_CHECK_CLOSE(pl_fuse_holds_for(rows[i].family, rows[i].rating, amps),
                   rows[i].least,
                   1e-9,
                   rows[i].family);
    PL_CHECK_CLOSE(pl_fuse_opens_within(rows[i].family, rows[i].rating, amps),
                   rows[i].most,
                   1e-9,
                   rows[i].family);
  }
  PL_CHECK(isinf(pl_fuse_opens_within("blade", 40, 40)), "carries its rating for ever");
  PL_CHECK_CLOSE(pl_fuse_opens_within("glass", 10, 13.5),
                 3600,
                 1e-9,
                 "UL 248-14, second hand: an hour at 135 %");
  PL_CHECK_CLOSE(pl_fuse_opens_within("blade", 40, 480),
                 0.15 / 4,
                 1e-9,
                 "amps squared seconds held beyond 600 % (our choice)");
  PL_CHECK(isnan(pl_fuse_opens_within("breaker", 10, 100)), "no gates");
  PL_CHECK_CLOSE(pl_fuse_amps_to_open("blade", 15, 5), 30, 1e-6, "200 % in 5 s");
  for (double amps = 41; amps < 400; amps *= 1.1) /* the band is a band, and falls */
    PL_CHECK(pl_fuse_holds_for("maxi blade", 40, amps) <=
                     pl_fuse_opens_within("maxi blade", 40, amps) &&
                 pl_fuse_opens_within("maxi blade", 40, amps * 1.1) <=
                     pl_fuse_opens_within("maxi blade", 40, amps),
             "band");
}

static double mm2(double circular_mils) {
  return circular_mils / 1973.5;
}

static void heat_of_copper(void) {
  /* ICEA P-32-382 as printed: 4/0 (211,600 circular mils) 1 s 90 to 250 degC: 15,225 A; 10 AWG
   * (10,380) 1 s 105 to 250 degC: 703 A */
  PL_CHECK_CLOSE(pl_copper_seconds(mm2(211600), 15225, 90, 250), 1, 1e-3, "4/0");
  PL_CHECK_CLOSE(pl_copper_seconds(mm2(10380), 703, 105, 250), 1, 2e-3, "10 AWG");
  PL_CHECK_CLOSE(pl_copper_seconds(mm2(105600), 10745, 90, 250), 0.5, 1e-3, "1/0, half a second");
  /* Onderdonk's form, right sign: 14 AWG (4,110), 400 A, 25 degC to 1083 degC: 2.26 s with 1/33 for
   * 0.0297 */
  PL_CHECK_CLOSE(pl_copper_seconds(mm2(4110), 400, 25, 1083), 2.26 * 0.0297 * 33, 3e-3, "14 AWG");
  /* Preece, copper: 0.0524 in 123 A; 0.0098 in 10 A; 0.0457 in 100 A (verified in three places) */
  PL_CHECK_CLOSE(pl_copper_fusing_amps(0.0524 * 25.4), 122.9, 1e-3, "0.0524 in");
  PL_CHECK_CLOSE(pl_copper_fusing_amps(0.0098 * 25.4), 10, 0.01, "0.0098 in");
  PL_CHECK_CLOSE(pl_copper_fusing_amps(0.0457 * 25.4), 100, 2e-3, "0.0457 in");
  /* joined to the steady limit: for ever at the steady amps, the bare equation at a hundred times
   * them */
  PL_CHECK(isinf(pl_wire_damage_seconds(1.309, 30, 40, 125, 250, 30)), "steady");
  PL_CHECK_CLOSE(pl_wire_damage_seconds(1.309, 3000, 40, 125, 250, 30) /
                     pl_copper_seconds(1.309, 3000, 40, 250),
                 1,
                 1e-3,
                 "brief");
  PL_CHECK_CLOSE(pl_wire_damage_seconds(1.309, 80, 40, 125, 250, 30),
                 9.40,
                 2e-3,
                 "by hand: 7.65 s x 1.229");
}

static void derating_and_packing(void) {
  /* AC 43.13-1B, switch derating factors: 28 V lamp 8, coil 4, heater 2, motor 3; 12 V 5, 2, 1, 2
   */
  PL_CHECK_CLOSE(pl_switch_derating(PL_CLASS_LAMP, 24), 8, 0, "28 V lamp");
  PL_CHECK_CLOSE(pl_switch_derating(PL_CLASS_INDUCTIVE, 24), 4, 0, "28 V coil");
  PL_CHECK_CLOSE(pl_switch_derating(PL_CLASS_RESISTIVE, 24), 2, 0, "28 V heater");
  PL_CHECK_CLOSE(pl_switch_derating(PL_CLASS_MOTOR, 24), 3, 0, "28 V motor");
  PL_CHECK_CLOSE(pl_switch_derating(PL_CLASS_LAMP, 12), 5, 0, "12 V lamp");
  PL_CHECK_CLOSE(pl_switch_derating(PL_CLASS_INDUCTIVE, 12), 2, 0, "12 V coil");
  PL_CHECK_CLOSE(pl_switch_derating(PL_CLASS_RESISTIVE, 12), 1, 0, "12 V heater");
  PL_CHECK_CLOSE(pl_switch_derating(PL_CLASS_MOTOR, 12), 2, 0, "12 V motor");
  /* exact geometry: three circles 1 + 2/sqrt(3), four 1 + sqrt(2), seven 3, nineteen 1 + sqrt(2) +
   * sqrt(6) */
  PL_CHECK_CLOSE(pl_bundle_of_equal(3), 1 + 2 / sqrt(3), 1e-3, "three");
  PL_CHECK_CLOSE(pl_bundle_of_equal(4), 1 + sqrt(2), 1e-3, "four");
  PL_CHECK_CLOSE(pl_bundle_of_equal(7), 3, 0, "seven");
  PL_CHECK_CLOSE(pl_bundle_of_equal(19), 1 + sqrt(2) + sqrt(6), 1e-3, "nineteen");
  PL_CHECK(isnan(pl_bundle_of_equal(21)), "beyond the table");
}

/* What findings say against the worked examples of docs/rules.md: figure and limit within a
 * hundredth. */
static void figures_by_hand(void) {
  static const struct {
    const char *rule, *place;
    double figure, limit, within;
  } rows[] = {
      {"fuse-too-slow", "F1", 50, 9.40, 0.002},
      {"short-too-weak", "F1", 12.6 / (0.009 + 0.678 + 0.0128), 30, 0.01},
      {"fuse-order", "F2", 15, 30, 1e-9},
      {"fuse-interrupt", "F1", 12.6 / 0.0101, 1000, 0.01},
      {"inrush", "F1", 45, 10, 1e-6},
      {"crank-volts", "ECM.A1", 12.6 - 355 * 0.0135, 9, 0.01},
      {"charge-balance", "G1", 35, 32, 0.001},
      {"key-off-drain", "BAT", 105, 50, 0.01},
      {"relay-weak", "K1", 10.9, 8.0 * 0.66670 / 0.66667 * (234.5 + 120) / 254.5, 0.01},
      {"bundle-too-thick", "run bay to cab", 5.67, 5, 0.01},
      {"data-link", "ECM.A3", 120, 60, 0.01},
      {"gauge-mismatch", "P1", 100, 10, 0.01},
      {"module-loop", "ECM", 69, 50, 0.02},
      {"contact-overload", "S1", 6.1, 5, 0.01},
      {"sensor-ground-lifted", "B1", 137, 50, 0.03},
      {"crank-circuit", "M1", 4.14, 2, 0.03},
      {"ground-thin", "wire 6", 2009, 125, 0.02},
      {"wire-hot", "wire 2", 49 + 38.3 / 40 * 38.3 / 40 * 95, 125, 0.01},
      {"signal-range", "ECM.A4", 5 * 0.03, 0.5, 0.01},
      {"heavy-load", "R1", 89, 60, 0.01},
      {"tach-pulses",
       "P1",
       8,
       150.0 / 90 * 12 / 2,
       1e-6}, /* common practice: pulley ratio x poles / 2 */
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct judged judged;
    struct pl_arena arena;
    pl_test_arena(&arena);
    judge(&judged,
          pl_test_path(pl_arena_printf(&arena, "harnesses/mistakes/%s.loom", rows[i].rule)),
          NULL);
    const struct pl_finding *f = judged_only(&judged, rows[i].rule, rows[i].place, rows[i].rule);
    PL_CHECK_CLOSE(f->figure, rows[i].figure, rows[i].within, rows[i].rule);
    PL_CHECK_CLOSE(f->limit, rows[i].limit, rows[i].within, rows[i].rule);
    judge_end(&judged);
    pl_arena_release(&arena);
  }
}

#define FEED "  1 BAT.+ F1.in 12 AWG RD length 0.1 m\n"
#define BENCH \
  "machine \"Bench\"\n  drop at most 10 %\nbattery BAT\n  cca 600 A\nfuse F1\n  rating 10 A\n"

static void what_else_they_see(void) {
  struct judged judged;
  /* a coil diode the wrong way round: 86 must be plus (DIN 72552, common practice) */
  judge(&judged,
        "diode",
        BENCH "switch S1\n  position off\n  position on: in to out\nrelay K1\n  suppression "
              "diode\nwires of relay\n" FEED
              "  2 F1.out S1.in 14 AWG RD length 1 m\n  3 S1.out K1.85 14 AWG RD length 1 m\n  4 "
              "K1.86 BAT.- 14 AWG BK length 1 m\n"
              "state on\n  S1 in on\n");
  PL_CHECK_INT(judged_only(&judged, "coil-unsuppressed", "K1", "turned diode")->severity,
               PL_DANGER,
               "a short circuit");
  judge_end(&judged);
  /* the exciter's lamp on the node of a run solenoid, without a diode: the alternator keeps the
   * engine alive */
  judge(&judged,
        "exciter",
        BENCH "alternator G1\n  output 20..40 A\nfuse F2\n  rating 60 A\n  family "
              "bolt-down\nswitch KEY\n  position off\n  position run: B to IGN\n"
              "lamp H1\n  draws 2 W at 12 V\nsolenoid Y1 \"run solenoid\"\n  draws 1 A\nwires of "
              "charging\n" FEED "  2 F1.out KEY.B 14 AWG RD length 1 m\n  3 KEY.IGN H1.+ 18 AWG BU "
              "length 1 m\n  4 H1.- G1.D+ 18 AWG BU length 1 m\n"
              "  5 KEY.IGN Y1.+ 18 AWG PK length 1 m\n  6 Y1.- BAT.- 18 AWG BK length 1 m\n  7 "
              "BAT.+ F2.in 6 AWG RD length 0.15 m\n"
              "  8 F2.out G1.B+ 6 AWG RD length 1 m\n  9 G1.B- BAT.- 6 AWG BK length 1 m\nstate "
              "run\n  KEY in run\n  engine speed\n");
  PL_CHECK_INT(judged_only(&judged, "no-exciter", "G1.D+", "no diode")->severity,
               PL_DANGER,
               "the engine may not stop");
  judge_end(&judged);
  /* a stub of 1.4 m off the line between the terminators (1 m: SAE J1939-11, second hand) */
  judge(&judged,
        "stub",
        BENCH "module ECM\n  A1 battery feed, 1 A\n  A2 ground\n  A3 data high\n  A4 data "
              "low\nmodule TCM\n  A3 data high\n  A4 data low\n"
              "terminator T1\nterminator T2\nsplice H\nsplice L\nwires of link\n" FEED
              "  2 F1.out ECM.A1 14 AWG RD length 1 m\n"
              "  3 ECM.A2 BAT.- 14 AWG BK length 1 m\n  4 T1.1 H 20 AWG YE length 1 m twist a\n  5 "
              "T1.2 L 20 AWG GN length 1 m twist a\n"
              "  6 H T2.1 20 AWG YE length 1 m twist b\n  7 L T2.2 20 AWG GN length 1 m twist b\n  "
              "8 H ECM.A3 20 AWG YE length 1.4 m twist c\n"
              "  9 L ECM.A4 20 AWG GN length 1.4 m twist c\n  10 H TCM.A3 20 AWG YE length 0.4 m "
              "twist d\n  11 L TCM.A4 20 AWG GN length 0.4 m twist d\n"
              "state on\n");
  PL_CHECK_CLOSE(judged_only(&judged, "data-link", "ECM.A3", "long stub")->figure,
                 1.4,
                 1e-9,
                 "metres");
  judge_end(&judged);
  /* a lamp on the middle of two batteries in series */
  judge(&judged,
        "middle",
        "machine \"Bench\"\n  supply 24 V\nbattery B1\n  volts 12 V\n  cca 600 A\nbattery B2\n  "
        "volts 12 V\n  cca 600 A\nfuse F1\n  rating 5 A\n"
        "lamp E1\n  volts 12 V\n  draws 1 A at 12 V\nwires of lamp\n  1 B1.+ B2.- 2 AWG RD length "
        "0.2 m\n  2 B1.+ F1.in 14 AWG RD length 0.1 m\n"
        "  3 F1.out E1.+ 14 AWG RD length 1 m\n  4 E1.- B1.- 14 AWG BK length 1 m\nstate on\n");
  judged_only(&judged, "wrong-volts", "E1.+", "half the batteries");
  judge_end(&judged);
  /* a filament of 4.6 A behind a switch of 20 A: 22.9 A by AC 43.13-1B; 25 A will do */
  for (int rated = 20; rated <= 25; rated += 5) {
    char text[1024];
    snprintf(text,
             sizeof text,
             "machine \"Bench\"\n  drop at most 10 %%\nbattery BAT\n  cca 600 A\nfuse F1\n  rating "
             "10 A\nswitch S1\n  position off\n  position on: in to out\n"
             "  rating %d A\nlamp E1\n  draws 55 W at 12 V\nwires of lamp\n" FEED
             "  2 F1.out S1.in 14 AWG RD length 1 m\n  3 S1.out E1.+ 14 AWG RD length 1 m\n"
             "  4 E1.- BAT.- 14 AWG BK length 1 m\nstate on\n  S1 in on\n",
             rated);
    judge(&judged, "filament", text);
    PL_CHECK_INT(judged_count(&judged, "contact-overload"),
                 rated == 20,
                 "a switch of 20 A, then of 25 A");
    judge_end(&judged);
  }
}

/* Kirchhoff's laws by hand where a short has two ways: neither is judged by the better one alone.
 */
static void shorts_with_two_ways(void) {
  struct judged judged;
  /* two fuses side by side, 3 m of 18 AWG each, one return of 10 m.  By one way 40 A, enough for
   * blade 15 A (30 A); together 46 A, half in each */
  judge(&judged,
        "shared",
        "machine \"Bench\"\n  drop at most 20 %\nbattery BAT\n  cca 600 A\nfuse F1\n  rating 15 "
        "A\nfuse F2\n  rating 15 A\nlamp E1\n  draws 1 A\n"
        "wires of lamp\n  1 BAT.+ F1.in 14 AWG RD length 0.1 m\n  2 F1.out E1.+ 18 AWG RD length 3 "
        "m\n  3 BAT.+ F2.in 14 AWG RD length 0.1 m\n"
        "  4 F2.out E1.+ 18 AWG RD length 3 m\n  5 E1.- BAT.- 18 AWG BK length 10 m\nstate on\n");
  PL_CHECK_CLOSE(judged_find(&judged, "short-too-weak", 0)->figure,
                 12.6 / (0.009 + (0.0678 + 0.0128) / 2 + 0.2261) / 2,
                 0.02,
                 "half of 46 A");
  judge_end(&judged);
  /* two leads of 1.5 m of 8 AWG (3.5 mohm each with their ends) to one fuse: 950 A by one of them,
   * 1,100 A by both, 1,000 A is what it breaks */
  for (int leads = 1; leads <= 2; leads++) {
    char text[1024];
    snprintf(text,
             sizeof text,
             "machine \"Bench\"\n  drop at most 10 %%\nbattery BAT\n  cca 650 A\nfuse F1\n  rating "
             "40 A\n  family maxi blade\nload R1\n  draws 10 A\n"
             "wires of load\n  1 BAT.+ F1.in 8 AWG RD length 1.5 m\n%s  3 F1.out R1.+ 8 AWG RD "
             "length 1 m\n  4 R1.- BAT.- 8 AWG BK length 1 m\nstate on\n",
             leads == 2 ? "  2 BAT.+ F1.in 8 AWG RD length 1.5 m\n" : "");
    judge(&judged, "leads", text);
    PL_CHECK_INT(judged_count(&judged, "fuse-interrupt"), leads == 2, "leads");
    judge_end(&judged);
  }
}

/* A line of five modules, stubs of 1.4 m: what each kind of link says to it. */
static void links_by_their_kind(void) {
  static const struct {
    const char *kind, *wire, *end;
    unsigned stubs, shields, ends, kinds;
  } rows[] = {
      {"", "", "120", 3, 0, 0, 0},                       /* not said: 1 m */
      {"  data link J1939-11\n", "", "120", 3, 1, 0, 0}, /* SAE J1939-11, second hand: 1 m, shielded
                                                          */
      {"  data link J1939-11\n", "shield", "120", 3, 0, 0, 0},
      {"  data link J1939-14\n", "", "120", 0, 0, 0, 0}, /* from memory: 1.67 m */
      {"  data link J1939-15\n", "", "120", 0, 0, 0, 0}, /* from memory: 3 m */
      {"  data link J1708\n", "", "120", 0, 0, 1, 0}, /* SAE J1708, second hand: no terminators */
      {"  data link J1939-15\ncircuit power\n  data link J1939-14\n", "", "120", 0, 0, 0, 1},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct judged judged;
    char text[4000];
    int n = snprintf(text,
                     sizeof text,
                     "%sterminator T1\n  resistance %s ohm\nterminator T2\n  resistance %s "
                     "ohm\nsplice H\nsplice L\n",
                     BENCH,
                     rows[i].end,
                     rows[i].end);
    for (int m = 0; m < 3; m++)
      n +=
          snprintf(text + n,
                   sizeof text - (size_t)n,
                   "module M%d\n  1 battery feed, 0.1 A\n  2 ground\n  3 data high\n  4 data low\n",
                   m);
    n += snprintf(text + n,
                  sizeof text - (size_t)n,
                  "circuit link\n%swires of power\n" FEED,
                  rows[i].kind);
    for (int m = 0; m < 3; m++)
      n += snprintf(
          text + n,
          sizeof text - (size_t)n,
          "  %d F1.out M%d.1 14 AWG RD length 1 m\n  %d M%d.2 BAT.- 14 AWG BK length 1 m\n",
          10 + m,
          m,
          20 + m,
          m);
    n += snprintf(
        text + n,
        sizeof text - (size_t)n,
        "  30 H M0.3 18 AWG YE length 1.4 m twist A shield\n  31 L M0.4 18 AWG GN length 1.4 m "
        "twist A shield\nwires of link\n"
        "  32 H T1.1 18 AWG YE length 5 m twist B %s\n  33 L T1.2 18 AWG GN length 5 m twist B %s\n"
        "  34 H T2.1 18 AWG YE length 5 m twist C shield\n  35 L T2.2 18 AWG GN length 5 m twist C "
        "shield\n",
        rows[i].wire,
        rows[i].wire);
    for (int m = 1; m < 3; m++)
      n += snprintf(text + n,
                    sizeof text - (size_t)n,
                    "  4%d H M%d.3 18 AWG YE length 1.4 m twist D%d shield\n  5%d L M%d.4 18 AWG "
                    "GN length 1.4 m twist D%d shield\n",
                    m,
                    m,
                    m,
                    m,
                    m,
                    m);
    snprintf(text + n, sizeof text - (size_t)n, "state on\n");
    judge(&judged, "link", text);
    unsigned stubs = 0;
    unsigned shields = 0;
    unsigned ends = 0;
    unsigned kinds = 0;
    const struct pl_finding *f;
    for (unsigned k = 0; (f = judged_find(&judged, "data-link", k)) != NULL; k++) {
      stubs += strstr(f->text, "off the line") != NULL;
      shields += strstr(f->text, "no shield") != NULL;
      ends += strstr(f->text, "no terminators") != NULL;
      kinds += strstr(f->text, "calls it") != NULL;
    }
    PL_CHECK_INT(stubs, rows[i].stubs, rows[i].kind);
    PL_CHECK_INT(shields, rows[i].shields, rows[i].kind);
    PL_CHECK_INT(ends, rows[i].ends, rows[i].kind);
    PL_CHECK_INT(kinds, rows[i].kinds, rows[i].kind);
    judge_end(&judged);
  }
}

CU_TestInfo rules_time_tests[] = {
    {"links are judged by their kind", links_by_their_kind},
    {"fuse gates as printed", gates},
    {"heat of copper as printed", heat_of_copper},
    {"derating and packing as printed", derating_and_packing},
    {"figures of findings by hand", figures_by_hand},
    {"shorts with two ways", shorts_with_two_ways},
    {"what else the rules see", what_else_they_see},
    CU_TEST_INFO_NULL,
};
