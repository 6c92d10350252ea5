/* Figures of findings against figures worked out by hand; limits at their edges. */
#include <time.h>

#include "standard/limits_data.h"
#include "standard/wire.h"
#include "test_rules.h"

/* A 12 V battery of 600 CCA (9 mohm), everything at 40 degC, with what follows. */
#define BENCH "machine \"Bench\"\n  drop at most 10 %\nbattery BAT\n  cca 600 A\n"
#define BENCH_FORMAT \
  "machine \"Bench\"\n  drop at most 10 %%\nbattery BAT\n  cca 600 A\n" /* in a format */

static void heat_above_an_engine_space(void) {
  static const struct {
    double rated, hot, factor;
    const char *row;
  } rows[] = {
      {105, 50, 0.85, "33 CFR 183.425, 105 degC wire in 50 degC"},
      {125, 60, 0.89 * 0.93095, "sqrt(65/75) by hand"},
      {125, 110, 0.89 * 0.44721, "sqrt(15/75) by hand"},
      {125, 125, 0, "nothing left"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct pl_wire wire = pl_wire_blank();
    wire.area = pl_awg_area_mm2(16);
    for (uint32_t k = 0; k < pl_insulation_count; k++)
      if (fabs(pl_insulations[k].hot - rows[i].rated) < 0.1)
        wire.insulation = k;
    wire.hot = 30;
    double cool = pl_rule_wire_amps(&wire, 1, NULL);
    wire.hot = rows[i].hot;
    PL_CHECK_CLOSE(pl_rule_wire_amps(&wire, 1, NULL), cool * rows[i].factor, 1e-3, rows[i].row);
  }
  /* the published factors follow the square-root law: 33 CFR 183.425 prints 0.85 for 105 degC wire
   */
  PL_CHECK_CLOSE(sqrt((105.0 - 50) / (105 - 30)), 0.85, 0.01, "105 degC");
  PL_CHECK_CLOSE(sqrt((90.0 - 50) / (90 - 30)), 0.82, 0.01, "90 degC");
}

static void copper_heat(void) {
  /* ICEA P-32-382, printed closed forms: I = 0.07195 A / sqrt(t) takes copper from 90 to 250 degC,
   * 0.0677 from 105 */
  PL_CHECK_CLOSE(pl_copper_heat(10, 0.07195 * 19735 / sqrt(2), 2, 90), 250, 2e-3, "90 to 250 degC");
  PL_CHECK_CLOSE(pl_copper_heat(10, 0.06777 * 19735, 1, 105), 250, 2e-3, "105 to 250 degC");
  PL_CHECK_CLOSE(pl_copper_heat(10, 0, 1000, 40), 40, 1e-12, "no current");
}

static void bundle_of_eight(void) {
  struct judged judged;
  char text[4096];
  size_t n = (size_t)snprintf(
      text,
      sizeof text,
      "%s",
      "machine \"Bench\"\n  drop at most 20 %\nplace bay\nplace cab\nrun bay to cab\n  length 1 m\n"
      "battery BAT at bay\n  cca 900 A\n");
  for (int i = 0; i < 8; i++)
    n += (size_t)snprintf(
        text + n,
        sizeof text - n,
        "fuse F%d at bay\n  rating 25 A\nload R%d at cab\n  draws %d A\n  steady current\n",
        i,
        i,
        i == 0 ? 16 : 4);
  n += (size_t)snprintf(text + n, sizeof text - n, "stud G at cab\nwires of loads\n");
  for (int i = 0; i < 8; i++)
    n +=
        (size_t)snprintf(text + n,
                         sizeof text - n,
                         "  %d BAT.+ F%d.in 14 AWG RD length 0.15 m\n  %d F%d.out R%d.+ 16 AWG RD\n"
                         "  %d R%d.- G 14 AWG BK length 0.2 m\n",
                         10 + i,
                         i,
                         20 + i,
                         i,
                         i,
                         30 + i,
                         i);
  snprintf(text + n, sizeof text - n, "  40 G BAT.- 2 AWG BK length 1 m\nstate on\n");
  judge(&judged, "eight", text);
  const struct pl_finding *f = judged_only(&judged, "wire-current", "wire 20", "eight wires");
  PL_CHECK_CLOSE(f->figure, 16, 1e-6, "amps");
  PL_CHECK_CLOSE(f->limit,
                 30 * 0.5,
                 1e-9,
                 "33 CFR 183.425 Table 5, 16 AWG at 125 degC; 183.435(b), 7 to 24 wires");
  PL_CHECK_INT(f->severity, PL_FAULT, "only the bundle factor, no law below 50 V");
  PL_CHECK_STR(
      f->text,
      "wire 20 carries 16 A, allowed is 15 A for 16 AWG GXL with 9 loaded wires in run bay to cab",
      "eight and their return");
  PL_CHECK_STR(f->remedy, "use 14 AWG, which may carry 20 A here", "Table 5: 40 A x 0.5");
  PL_CHECK_STR(f->state, "on", "state");
  judge_end(&judged);
}

static void drop_by_hand(void) {
  struct judged judged;
  judge(&judged, pl_test_path("harnesses/mistakes/wire-drop.loom"), NULL);
  const struct pl_finding *f = judged_only(&judged, "wire-drop", "wire 2", "by hand");
  /* ASTM B258 areas, 0.017241 ohm mm2/m at 20 degC, (234.5 + 40)/254.5; contacts 2 mohm, battery
   * lug 0.1 mohm, fuse 7.7 mohm */
  double per_mm2 = 0.017241 * 274.5 / 254.5;
  double loop = per_mm2 * (2 / 0.8231 + 2.15 / 2.0809) + 0.004 + 0.0021 + 0.0021 + 0.0077;
  PL_CHECK_CLOSE(f->figure, 100 * 5 * loop / 12, 0.015, "percent");
  PL_CHECK_CLOSE(f->limit, 3, 1e-9, "limit");
  /* the good end: 4.5 A, copper 95 %, contacts half, fuse 90 % (standard/defaults.h, "bands") */
  const char *end = strstr(f->text, "good parts it would be ");
  double good = 0;
  if (end != NULL)
    good = strtod(end + strlen("good parts it would be "), NULL);
  PL_CHECK_CLOSE(good,
                 100 * 4.5 *
                     (0.95 * per_mm2 * (2 / 0.8231 + 2.15 / 2.0809) + 0.5 * 0.0082 + 0.9 * 0.0077) /
                     12,
                 0.015,
                 f->text);
  PL_CHECK(strstr(f->text, ", within the limit") != NULL, f->text);
  judge_end(&judged);
}

#define CONTROLLER(cca, awg)                                                                  \
  "machine \"Bench\"\n  drop at most 30 %\nbattery BAT\n  cca " cca                           \
  " A\nfuse F1\n  rating 20 A\nmodule ECM\n  A1 battery feed, 10 A, 11.2..16 V\n"             \
  "  A2 ground\nwires of all\n  1 BAT.+ F1.in 10 AWG RD length 0.1 m\n  2 F1.out ECM.A1 " awg \
  " AWG RD length 3 m\n"                                                                      \
  "  3 ECM.A2 BAT.- " awg " AWG BK length 3 m\nstate on\n"

/* By hand: 6 m of 16 AWG, warm 0.0865 ohm, contacts 0.0066, fuse 0.0034: 10 A leave 11.5 V of 12.6
 * V behind 9 mohm.  At worst 11 A, 12.398 V, 11.25 mohm, copper 0.0908, contacts 0.0132, fuse
 * 0.0037 ohm: 12.398 - 11 x 0.119 = 11.09 V. */
static void controller_in_doubt(void) {
  struct judged judged;
  judge(&judged, "doubt", CONTROLLER("600", "16"));
  const struct pl_finding *f = judged_only(&judged,
                                           "load-starved",
                                           "ECM.A1",
                                           "enough as described, too little at its worst");
  PL_CHECK_INT(f->severity, PL_ADVICE, f->text);
  PL_CHECK_CLOSE(f->figure, 11.5, 0.005, "volts as described");
  const char *end = strstr(
      f->text,
      "it needs at least 11.2 V; with long wires, worn contacts and poor parts it would be ");
  PL_CHECK_CLOSE(end == NULL ? 0 : strtod(strstr(end, "would be ") + strlen("would be "), NULL),
                 11.09,
                 0.01,
                 f->text);
  judge_end(&judged);
  judge(&judged, "no doubt", CONTROLLER("600", "12"));
  PL_CHECK_INT(judged_count(&judged, "load-starved"), 0, "12 AWG leaves room");
  judge_end(&judged);
}

/* docs/rules.md, crank-volts: 400 CCA.  Poor: 1.25 x 13.5 mohm = 16.9, starter 0.9 x 22.5 = 20.25,
 * cables about 1.2: 12.4 x 20.25/38.3 = 6.55 V, less the feed. */
static void cranking_in_doubt(void) {
  struct judged judged;
  judge(&judged, pl_test_path("harnesses/mistakes/crank-volts.loom"), NULL);
  const struct pl_finding *f = judged_only(&judged, "crank-volts", "ECM.A1", "by hand");
  const char *end = strstr(f->text, "poor parts it would be ");
  PL_CHECK_CLOSE(end == NULL ? 0 : strtod(end + strlen("poor parts it would be "), NULL),
                 6.55,
                 0.03,
                 f->text);
  judge_end(&judged);
  judge(
      &judged,
      "window",
      BENCH
      "switch KEY\n  position off\n  position start: B to ST\nfuse F1\n  rating 30 A\nfuse F2\n  "
      "rating 10 A\n"
      "starter M1\n  cranks 300 A at 9 V\nmodule ECM\n  A1 battery feed, 2 A, 9..16 V\n  A2 "
      "ground\n"
      "wires of all\n  1 BAT.+ M1.30 2/0 AWG RD length 1 m\n  2 M1.31 BAT.- 2/0 AWG BK length 1 m\n"
      "  3 BAT.+ F1.in 10 AWG RD length 0.1 m\n  4 F1.out KEY.B 10 AWG RD length 1 m\n"
      "  5 KEY.ST M1.50 10 AWG RD length 1 m\n  6 BAT.+ F2.in 12 AWG RD length 0.1 m\n"
      "  7 F2.out ECM.A1 12 AWG RD length 1 m\n  8 ECM.A2 BAT.- 12 AWG BK length 1 m\n"
      "state cranking\n  KEY in start\n  engine cranking\n  lasts 10 s\n");
  f = judged_only(&judged, "crank-volts", "ECM.A1", "9.6 V as described");
  PL_CHECK(f->severity == PL_ADVICE && f->figure > 9, f->text);
  PL_CHECK(strstr(f->text, "poor parts it would be 8.") != NULL &&
               strstr(f->text, "and under 9 V it starts over") != NULL,
           f->text);
  PL_CHECK_INT(judged_count(&judged, "load-starved"), 0, "said once");
  judge_end(&judged);
}

static double after(const char *text, const char *words) {
  const char *at = strstr(text, words);
  if (at == NULL)
    return 0;
  return strtod(at + strlen(words), NULL);
}

/* Loads 10 % under what is said, a sender 10 % over (standard/defaults.h, "bands"). */
static void supply_and_sender_in_doubt(void) {
  struct judged judged;
  judge(&judged, pl_test_path("harnesses/mistakes/charge-balance.loom"), NULL);
  const struct pl_finding *f =
      judged_only(&judged, "charge-balance", "G1", "35 A, 32 A is the limit");
  PL_CHECK_CLOSE(after(f->text, "good parts it would be "), 31.5, 1e-6, f->text);
  judge_end(&judged);
  for (int draws = 54; draws <= 60; draws += 6) {
    char text[800];
    snprintf(text,
             sizeof text,
             BENCH_FORMAT
             "fuse F1\n  rating 10 A\nload R1\n  draws %d mA\n  steady current\nswitch S1\n  "
             "position off\n  position on: in to out\nlamp E1\n  draws 1 A\nwires of cab\n"
             "  1 BAT.+ F1.in 14 AWG RD length 0.1 m\n  2 F1.out R1.+ 18 AWG RD length 1 m\n  3 "
             "R1.- BAT.- 18 AWG BK length 1 m\n  4 F1.out S1.in 18 AWG RD length 1 m\n"
             "  5 S1.out E1.+ 18 AWG YE length 1 m\n  6 E1.- BAT.- 18 AWG BK length 1 m\nstate "
             "parked\nstate light\n  S1 in on\n",
             draws);
    judge(&judged, "drain", text);
    f = judged_only(&judged, "key-off-drain", "BAT", "over 50 mA");
    PL_CHECK_CLOSE(after(f->text, "good parts it would be "),
                   draws == 54 ? 48.6 : 0,
                   1e-6,
                   f->text);
    judge_end(&judged);
  }
  for (int full = 145; full <= 160;
       full += 15) { /* needle at 85.3 or 79.4 of 100; 170.5 or 159.5 ohm: 94.4 or 87.9 */
    char text[800];
    snprintf(text,
             sizeof text,
             BENCH_FORMAT
             "fuse F1\n  rating 5 A\ngauge P1\n  part fuel gauge 10-180 12 V\nsender B1\n  reading "
             "0 %% at 10 ohm, 100 %% at %d ohm\nwires of fuel\n"
             "  1 BAT.+ F1.in 12 AWG RD length 0.1 m\n  4 F1.out P1.+ 18 AWG RD length 1 m\n  5 "
             "P1.- BAT.- 18 AWG BK length 1 m\n  6 B1.signal P1.S 18 AWG YE length 1 m\n"
             "  9 B1.case BAT.- 18 AWG BK length 1 m\nstate on\n",
             full);
    judge(&judged, "sender", text);
    f = judged_only(&judged, "gauge-mismatch", "P1", "more than a tenth of the dial");
    PL_CHECK_CLOSE(f->figure, 100 * (180 - full) / 170.0, 1e-6, f->text);
    PL_CHECK_INT(strstr(f->text, "within the limit") != NULL, full == 160, f->text);
    judge_end(&judged);
  }
}

static void starved_names_the_battery(void) {
  struct judged judged;
  judge(
      &judged,
      "sag",
      BENCH
      "switch KEY\n  position off\n  position start: B to ST\nfuse F1\n  rating 30 A\nfuse F2\n  "
      "rating 10 A\n"
      "starter M1\n  cranks 900 A at 6 V\nmodule ECM\n  A1 battery feed, 2 A, 9..16 V\n  A2 "
      "ground\n"
      "module TCM\n  A1 battery feed, 1 A, 9..16 V\n  A2 ground\n"
      "wires of all\n  1 BAT.+ M1.30 2/0 AWG RD length 1 m\n  2 M1.31 BAT.- 2/0 AWG BK length 1 m\n"
      "  3 BAT.+ F1.in 10 AWG RD length 0.1 m\n  4 F1.out KEY.B 10 AWG RD length 1 m\n"
      "  5 KEY.ST M1.50 10 AWG RD length 1 m\n  6 BAT.+ F2.in 12 AWG RD length 0.1 m\n"
      "  7 F2.out ECM.A1 12 AWG RD length 1 m\n  8 ECM.A2 BAT.- 12 AWG BK length 1 m\n"
      "  9 F2.out TCM.A1 12 AWG RD length 1 m\n  10 TCM.A2 BAT.- 12 AWG BK length 1 m\n"
      "state cranking\n  KEY in start\n  engine cranking\n  lasts 10 s\n");
  const struct pl_finding *f =
      judged_only(&judged, "load-starved", "ECM.A1", "one sagging battery, one finding");
  PL_CHECK(strstr(f->text, "too little for TCM.A1 too") != NULL, f->text);
  PL_CHECK(f->figure < 9 && f->figure > 4, "volts while cranking");
  PL_CHECK_STR(f->remedy, "a stronger battery, or less load in that state", "remedy");
  judge_end(&judged);
}

static void unfused_at_its_edges(void) {
  static const struct {
    const char *run, *wires;
    unsigned findings;
    const char *place, *row;
  } rows[] = {
      {"",
       "  1 BAT.+ F1.in 14 AWG RD length 177 mm\n",
       0,
       "",
       "33 CFR 183.455(b)(1): 7 in are 177.8 mm"},
      {"", "  1 BAT.+ F1.in 14 AWG RD length 179 mm\n", 1, "wire 1", "just above 7 in"},
      {"",
       "  1 BAT.+ S 14 AWG RD length 100 mm\n  4 S F1.in 14 AWG RD length 100 mm\n",
       1,
       "wire 4",
       "two short ones in line"},
      {"  covering conduit\n",
       "  1 BAT.+ F1.in 14 AWG RD length 1015 mm\n",
       0,
       "",
       "33 CFR 183.455(b)(2): 40 in are 1016 mm"},
      {"  covering conduit\n",
       "  1 BAT.+ F1.in 14 AWG RD length 1017 mm\n",
       1,
       "wire 1",
       "just above 40 in"},
      {"",
       "  1 BAT.+ S 14 AWG RD length 1 m\n  4 S F1.in 14 AWG RD length 3 m\n",
       1,
       "wire 1",
       "what follows is no second cause"},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct judged judged;
    char text[1024];
    snprintf(text,
             sizeof text,
             "machine \"Bench\"\n  drop at most 20 %%\nplace bay\nplace cab\nrun bay to cab\n  "
             "length 0.3 m\n%s"
             "battery BAT at bay\n  cca 600 A\nfuse F1 at cab\n  rating 10 A\nlamp E1\n  draws 3 "
             "A\nstud S\n"
             "wires of lamp\n%s  2 F1.out E1.+ 14 AWG RD length 1 m\n  3 E1.- BAT.- 14 AWG BK "
             "length 1 m\nstate on\n",
             rows[i].run,
             rows[i].wires);
    judge(&judged, "unfused", text);
    PL_CHECK_INT(judged_count(&judged, "unfused-wire"), rows[i].findings, rows[i].row);
    if (rows[i].findings == 1)
      PL_CHECK_STR(judged_find(&judged, "unfused-wire", 0)->place, rows[i].place, rows[i].row);
    judge_end(&judged);
  }
}

#define STARTER                                                                                   \
  "disconnect DISC\nstud POST\nstarter M1\n  cranks 300 A at 9 V\nswitch KEY\n  position off\n  " \
  "position start: B to "                                                                         \
  "ST\n"                                                                                          \
  "fuse F1\n  rating 30 A\nwires of starting\n  1 BAT.+ DISC.in 2/0 AWG RD length 1 m\n  2 "      \
  "DISC.out M1.30 2/0 AWG RD "                                                                    \
  "length 2 m\n"                                                                                  \
  "  3 M1.31 BAT.- 2/0 AWG BK length 2 m\n  5 F1.out KEY.B 10 AWG RD length 1 m\n  6 KEY.ST "     \
  "M1.50 10 AWG RD length 1 "                                                                     \
  "m\n"

static void starter_cables_are_exempt(void) {
  struct judged judged;
  judge(&judged, "starter", BENCH STARTER "  4 M1.30 F1.in 10 AWG RD length 0.15 m\nstate rest\n");
  PL_CHECK_INT(judged_count(&judged, "unfused-wire"),
               0,
               "33 CFR 183.455: cranking circuits; taken off at the starter's stud");
  judge_end(&judged);
  judge(&judged,
        "starter",
        BENCH STARTER "  4 DISC.out F1.in 10 AWG RD length 0.5 m\nstate rest\n");
  judged_only(&judged, "unfused-wire", "wire 4", "measured from the end of the exempt cable");
  judge_end(&judged);
}

static void alternator_limits_itself(void) {
  static const struct {
    const char *size;
    unsigned findings;
  } rows[] = {{"8 AWG", 0}, {"12 AWG", 1}};
  for (size_t i = 0; i < 2; i++) { /* 33 CFR 183.425 Table 5 at 125 degC: 8 AWG 90 A, 12 AWG 50 A */
    struct judged judged;
    char text[1024];
    snprintf(text,
             sizeof text,
             BENCH_FORMAT
             "alternator G1\n  output 30..80 A\nfuse F1\n  rating 100 A\n  family maxi "
             "blade\nwires of charging\n"
             "  1 BAT.+ F1.in 8 AWG RD length 0.1 m\n  2 F1.out G1.B+ %s RD length 2 m\n"
             "  3 G1.B- BAT.- 8 AWG BK length 2 m\nstate run\n  engine speed\n",
             rows[i].size);
    judge(&judged, "charging", text);
    PL_CHECK_INT(judged_count(&judged, "unfused-wire"), rows[i].findings, rows[i].size);
    judge_end(&judged);
  }
}

static void fuses_by_hand(void) {
  struct judged judged;
  judge(&judged, pl_test_path("harnesses/mistakes/fuse-over-wire.loom"), NULL);
  const struct pl_finding *f = judged_only(&judged, "fuse-over-wire", "F1", "18 AWG GXL");
  PL_CHECK_CLOSE(f->limit, 37.5, 1e-9, "33 CFR 183.425 Table 5: 25 A; 183.455(c)(1): 150 %");
  judge_end(&judged);
  /* two levels: what lies behind F2 is F2's business, also through a switch */
  judge(&judged,
        "levels",
        BENCH "fuse F1\n  rating 60 A\n  family maxi blade\nfuse F2\n  rating 10 A\nswitch S1\n  "
              "position off\n  "
              "position on: in to out\n"
              "lamp E1\n  draws 3 A\nstud P\nwires of lamp\n  1 BAT.+ F1.in 10 AWG RD length 0.1 "
              "m\n  2 F1.out P 10 "
              "AWG RD length 1 m\n"
              "  3 P F2.in 16 AWG RD length 0.17 m\n  4 F2.out S1.in 18 AWG RD length 1 m\n  5 "
              "S1.out E1.+ 18 AWG RD "
              "length 1 m\n"
              "  6 E1.- BAT.- 18 AWG BK length 1 m\nstate on\n  S1 in on\n");
  PL_CHECK_INT(judged_count(&judged, "fuse-over-wire") + judged_count(&judged, "unfused-wire"),
               0,
               "two levels of fuses");
  judge_end(&judged);
  judge(&judged,
        "long tap",
        BENCH
        "fuse F1\n  rating 60 A\n  family maxi blade\nfuse F2\n  rating 10 A\nlamp E1\n  draws 3 "
        "A\nwires of lamp\n"
        "  1 BAT.+ F1.in 10 AWG RD length 0.1 m\n  2 F1.out F2.in 16 AWG RD length 179 mm\n"
        "  3 F2.out E1.+ 18 AWG RD length 1 m\n  4 E1.- BAT.- 18 AWG BK length 1 m\nstate on\n");
  judged_only(&judged, "fuse-over-wire", "F1", "a tap longer than 7 in, 33 CFR 183.455(b)(1)");
  judge_end(&judged);
  /* written the other way round, and before the switch: direction comes from the battery */
  judge(&judged,
        "reversed",
        BENCH "fuse F1\n  rating 40 A\nswitch S1\n  position off\n  position on: in to out\nlamp "
              "E1\n  draws 3 "
              "A\nwires of lamp\n"
              "  1 BAT.+ F1.out 10 AWG RD length 0.1 m\n  4 F1.in S1.in 10 AWG RD length 1 m\n  5 "
              "S1.out E1.+ 18 AWG "
              "RD length 1 m\n"
              "  6 E1.- BAT.- 18 AWG BK length 1 m\nstate on\n  S1 in on\n");
  PL_CHECK(strstr(judged_only(&judged, "fuse-over-wire", "F1", "reversed")->text, "wire 5") != NULL,
           "behind the switch");
  judge_end(&judged);
}

static void waivers(void) {
  struct judged judged;
  const char *text =
      BENCH "fuse F1\n  rating 10 A\nlamp E1\n  draws 3 A\nwires of lamp\n  1 BAT.+ F1.in 14 AWG "
            "RD length 1 m\n"
            "  2 F1.out E1.+ 14 AWG RD length 1 m\n  3 E1.- BAT.- 14 AWG BK length 1 m\nstate on\n"
            "waive unfused-wire at wire 1 because \"in steel pipe\"\n"
            "waive unfused-wyre at wire 1 because \"a slip of the finger\"\n"
            "waive wire-drop at wire 2 because \"nothing there\"\n";
  judge(&judged, "waivers", text);
  PL_CHECK_STR(judged_only(&judged, "unfused-wire", "wire 1", "waived")->waived,
               "in steel pipe",
               "reason");
  PL_CHECK_INT(judged_count(&judged, "idle-waiver"), 2, "two match nothing");
  PL_CHECK_STR(judged_find(&judged, "idle-waiver", 0)->remedy,
               "did you mean unfused-wire?",
               "slip");
  PL_CHECK_STR(judged_find(&judged, "idle-waiver", 1)->text,
               "accepts nothing: wire-drop finds nothing at wire 2",
               "idle");
  judge_end(&judged);
}

/* In every combination of S1 and S2, whatever states are declared: E1 hangs on S1 alone. */
static void four_forms_of_require(void) {
  static const struct {
    const char *require;
    unsigned broken;
  } rows[] = {
      {"require E1 off unless S1 in on", 0},
      {"require E1 on when S1 in on", 0},
      {"require E1 on unless S1 in off", 0},
      {"require E1 off when S1 in off", 0},
      {"require E1 off unless S2 in a", 1},
      {"require E1 on when S2 in b", 1},
      {"require E1 on unless S2 in a", 1},
      {"require E1 off when S2 in b", 1},
      {"require E1 on when S1 in on and S2 in b", 0},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
    for (int on = 0; on < 2; on++) {
      struct judged judged;
      char text[1024];
      snprintf(text,
               sizeof text,
               BENCH_FORMAT
               "fuse F1\n  rating 10 A\nswitch S1\n  position off\n  position on: in to "
               "out\nswitch S2\n  position a\n"
               "  position b: 1 to 2\nlamp E1\n  draws 3 A\nwires of lamp\n  1 BAT.+ F1.in 14 AWG "
               "RD length 0.1 m\n"
               "  2 F1.out S1.in 14 AWG RD length 1 m\n  3 S1.out E1.+ 14 AWG RD length 1 m\n"
               "  4 E1.- BAT.- 14 AWG BK length 1 m\nstate trial\n  S1 in %s\n  S2 in b\n%s\n",
               on ? "on" : "off",
               rows[i].require);
      judge(&judged, "require", text);
      PL_CHECK_INT(judged_count(&judged, "require-broken"), rows[i].broken, rows[i].require);
      PL_CHECK_INT(judged_count(&judged, "require-defeated"), 0, "a lamp hurts nobody");
      judge_end(&judged);
    }
}

/* 5,000 wires in 4 states: the rules must not grow with the square.  The bound is wide: sanitizers,
 * a busy machine. */
static void large_harness(void) {
  struct judged judged;
  struct pl_arena arena;
  struct pl_buffer text;
  pl_test_arena(&arena);
  pl_buffer_init(&text, &arena);
  pl_buffer_puts(&text, BENCH "fuse FM\n  rating 300 A\n  family bolt-down\nstud MAIN\nstud G\n");
  for (int i = 0; i < 1250; i++)
    pl_buffer_printf(
        &text,
        "fuse F%d\n  rating 10 A\nswitch S%d\n  position off\n  position on: in to out\nlamp E%d\n"
        "  draws 0.2 A\n  needs 9..16 V\n",
        i,
        i,
        i);
  pl_buffer_puts(&text,
                 "wires of all\n  1 BAT.+ FM.in 2/0 AWG RD length 0.1 m\n  2 FM.out MAIN 2/0 AWG "
                 "RD length 1 m\n"
                 "  3 G BAT.- 2/0 AWG BK length 1 m\n");
  for (int i = 0; i < 1250; i++)
    pl_buffer_printf(
        &text,
        "  %d MAIN F%d.in 14 AWG RD length 0.1 m\n  %d F%d.out S%d.in 14 AWG RD length 1 m\n"
        "  %d S%d.out E%d.+ 14 AWG RD length 1 m\n  %d E%d.- G 14 AWG BK length 1 m\n",
        10 + 4 * i,
        i,
        11 + 4 * i,
        i,
        i,
        12 + 4 * i,
        i,
        i,
        13 + 4 * i,
        i);
  for (int s = 0; s < 4; s++) {
    pl_buffer_printf(&text, "state s%d\n", s);
    for (int i = s; i < 1250; i += 4)
      pl_buffer_printf(&text, "  S%d in on\n", i);
  }
  judge(&judged, "large", text.at);
  PL_CHECK_INT(judged.harness.wires.n, 5003, "wires");
  PL_CHECK_STR(judged.findings.list.n == 0 ? "" : judged.findings.list.at[0].text, "", "large");
  struct pl_check check = {.harness = &judged.harness,
                           .network = judged.network,
                           .solutions = judged.solutions,
                           .arena = &judged.arena,
                           .findings = &judged.findings};
  clock_t start = clock();
  pl_rules_run(&check);
  double seconds = (double)(clock() - start) / CLOCKS_PER_SEC;
  printf("(rules on 5,003 wires in 4 states: %.0f ms) ", 1000 * seconds);
  PL_CHECK(seconds < 2, "time");
  judge_end(&judged);
  pl_arena_release(&arena);
}

/* 5 A from an alternator behind 3 m of 8 AWG: the charging cable is the supply's.  From the battery
 * posts, 40 degC (factor 1.079): 2.5 m of 18 AWG 0.02095 x 2.5 x 1.079 x 5 = 0.283 V and 0.02 V in
 * its contacts, 2 m of 14 AWG 0.1 V, fuse 0.0231 V (0.0046 ohm), lead 0.0172 V: 0.443 V, 3.7 %.
 * With 16 AWG: 0.178 V instead of 0.283 V, 2.8 %. */
static void a_drop_is_counted_from_the_battery_posts(void) {
  static const char before[] = "machine \"Bench\"\n  drop at most 3 %\nbattery BAT\n  cca 600 A\n"
                               "fuse FG\n  rating 80 A\n  family bolt-down\n"
                               "fuse F1\n  rating 15 A\n"
                               "alternator G1\n  output 40..60 A\n  self-exciting\n"
                               "load R1\n  draws 5 A\n  steady current\n"
                               "wires of load\n"
                               "  1 BAT.+  FG.in  6 AWG RD length 0.15 m\n"
                               "  2 FG.out G1.B+  8 AWG RD length 3 m\n"
                               "  3 G1.B-  BAT.-  6 AWG BK length 2 m\n"
                               "  4 BAT.+  F1.in  14 AWG RD length 0.15 m\n";
  static const char behind[] = "  6 R1.-   BAT.-  14 AWG BK length 2 m\n"
                               "state on\n  engine speed\n";
  static const char *const sizes[] = {"18 AWG", "16 AWG"};
  char text[1200];
  struct judged judged;
  for (int i = 0; i < 2; i++) {
    snprintf(text,
             sizeof text,
             "%s  5 F1.out R1.+ %s RD length 2.5 m\n%s",
             before,
             sizes[i],
             behind);
    judge(&judged, "drop.loom", text);
    PL_CHECK_INT(judged_count(&judged, "wire-drop"), i == 0 ? 1 : 0, sizes[i]);
    if (i == 0) {
      const struct pl_finding *f = judged_only(&judged, "wire-drop", "wire 5", "charging");
      PL_CHECK_CLOSE(f->figure, 3.7, 0.02, "of 12 V");
      PL_CHECK(strstr(f->text, "from the posts of BAT, beside 0.") != NULL, f->text);
      PL_CHECK(strstr(f->text, "between G1 and there") != NULL, f->text);
    }
    judge_end(&judged);
  }
}

CU_TestInfo rules_hand_tests[] = {
    {"a drop is counted from the battery posts", a_drop_is_counted_from_the_battery_posts},
    {"amps where it is hotter than an engine space", heat_above_an_engine_space},
    {"copper heated briefly", copper_heat},
    {"eight loaded wires in one run", bundle_of_eight},
    {"drop worked out by hand", drop_by_hand},
    {"a controller in doubt", controller_in_doubt},
    {"cranking in doubt", cranking_in_doubt},
    {"a supply and a sender in doubt", supply_and_sender_in_doubt},
    {"a sagging battery is one finding", starved_names_the_battery},
    {"unfused wire at 7 and 40 in", unfused_at_its_edges},
    {"starter cables are exempt", starter_cables_are_exempt},
    {"an alternator limits itself", alternator_limits_itself},
    {"fuses and the wires behind them", fuses_by_hand},
    {"waivers", waivers},
    {"require in its four forms", four_forms_of_require},
    {"5,000 wires", large_harness},
    CU_TEST_INFO_NULL,
};
