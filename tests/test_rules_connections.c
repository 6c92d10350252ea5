/* Connections, feeds and roles: one cause one finding, and what must not be found. */
#include "test_rules.h"

#define BENCH \
  "machine \"Bench\"\n  drop at most 20 %\nbattery BAT\n  cca 600 A\nfuse F1\n  rating 20 A\n"
#define BENCH_FORMAT /* the same in a format */ \
  "machine \"Bench\"\n  drop at most 20 %%\nbattery BAT\n  cca 600 A\nfuse F1\n  rating 20 A\n"
#define FEED "  1 BAT.+ F1.in 12 AWG RD length 0.1 m\n"

static void one_gap_one_finding(void) {
  struct judged judged;
  judge(&judged,
        "gap",
        BENCH
        "splice S\nlamp E1\n  draws 1 A\nlamp E2\n  draws 1 A\nlamp E3\n  draws 1 A\nlamp E4\n  "
        "draws 1 A\nwires of "
        "lamps\n" FEED "  2 S E1.+ 14 AWG RD length 1 m\n  3 S E2.+ 14 AWG RD length 1 m\n  4 S "
        "E3.+ 14 AWG RD length 1 m\n"
        "  5 F1.out E4.+ 14 AWG RD length 1 m\n  6 E1.- BAT.- 14 AWG BK length 1 m\n  7 E2.- BAT.- "
        "14 AWG BK length 1 m\n"
        "  8 E3.- BAT.- 14 AWG BK length 1 m\n  9 E4.- BAT.- 14 AWG BK length 1 m\nstate on\n");
  const struct pl_finding *f =
      judged_only(&judged, "load-without-feed", "E1", "three lamps behind one splice");
  PL_CHECK(strstr(f->text, "(E2 and E3 too)") != NULL, f->text);
  PL_CHECK_INT(judged.findings.list.n, 1, "and nothing else");
  judge_end(&judged);
}

static void explained_gaps_stay_silent(void) {
  struct judged judged;
  judge(&judged,
        "air",
        BENCH "lamp E1\n  draws 1 A\nwires of lamp\n" FEED
              "  2 - E1.+ 14 AWG RD length 1 m\n  3 E1.- BAT.- 14 AWG BK length 1 m\nstate on\n");
  judged_only(&judged, "wire-end-in-air", "wire 2", "the loose end is the cause");
  PL_CHECK_INT(judged_count(&judged, "load-without-feed"), 0, "no second finding");
  judge_end(&judged);
  judge(&judged,
        "ground",
        BENCH "module ECM\n  A1 battery feed, 1 A, required\n  A2 ground, required\n  A3 low-side "
              "output, at most 1 A\n"
              "lamp E1\n  draws 0.5 A\nwires of lamp\n" FEED
              "  2 F1.out ECM.A1 14 AWG RD length 1 m\n"
              "  3 F1.out E1.+ 14 AWG RD length 1 m\n  4 E1.- ECM.A3 14 AWG BU length 1 m\nstate "
              "on\n  ECM.A3 on\n");
  judged_only(&judged, "required-pin-empty", "ECM.A2", "the empty ground is the cause");
  PL_CHECK_INT(judged_count(&judged, "load-without-return"), 0, "no second finding");
  judge_end(&judged);
}

static void sound_circuits_are_left_alone(void) {
  struct judged judged;
  judge(&judged,
        "series", /* two 12 V lamps in series on 24 V */
        "machine \"Bench\"\n  supply 24 V\n  drop at most 20 %\nbattery BAT\n  cca 500 A\nfuse "
        "F1\n  rating 20 A\nlamp "
        "E1\n  volts 12 V\n"
        "  draws 2 A at 12 V\nlamp E2\n  volts 12 V\n  draws 2 A at 12 V\nwires of lamps\n" FEED
        "  2 F1.out E1.+ 14 AWG RD length 1 m\n  3 E1.- E2.+ 14 AWG RD length 1 m\n  4 E2.- BAT.- "
        "14 AWG BK length 1 "
        "m\nstate on\n");
  PL_CHECK_INT(judged.findings.list.n, 0, "two lamps in series");
  judge_end(&judged);
  judge(&judged,
        "reversing", /* a motor turned by two changeover relays: each end on plus or ground */
        BENCH "relay K1\n  changeover\nrelay K2\n  changeover\nswitch S1\n  position off\n  "
              "position up: C to U\n  "
              "position down: C to D\n"
              "motor M1\n  draws 5 A\nwires of motor\n" FEED
              "  2 F1.out K1.87 12 AWG RD length 0.2 m\n  3 F1.out K2.87 12 AWG RD length 0.2 m\n  "
              "4 BAT.- K1.87a 12 "
              "AWG BK length 0.2 m\n"
              "  5 BAT.- K2.87a 12 AWG BK length 0.2 m\n  6 K1.30 M1.+ 12 AWG GN length 1 m\n  7 "
              "K2.30 M1.- 12 AWG GY "
              "length 1 m\n"
              "  8 F1.out S1.C 14 AWG RD length 1 m\n  9 S1.U K1.86 18 AWG YE length 1 m\n  10 "
              "S1.D K2.86 18 AWG VT "
              "length 1 m\n"
              "  11 K1.85 BAT.- 18 AWG BK length 1 m\n  12 K2.85 BAT.- 18 AWG BK length 1 m\n"
              "state rest\nstate up\n  S1 in up\nstate down\n  S1 in down\n");
  PL_CHECK_INT(judged.findings.list.n, 0, "reversed motor");
  judge_end(&judged);
  judge(&judged,
        "removed", /* removed donor wires are not there: neither a tie nor a filled cavity */
        BENCH "lamp E1\n  draws 1 A\nwires of lamp\n" FEED
              "  2 F1.out E1.+ 14 AWG RD length 1 m\n  3 E1.- BAT.- 14 AWG BK length 1 m\n"
              "  D1 BAT.+ BAT.- 18 AWG RD length 1 m donor removed\n  D2 E1.+ - 18 AWG RD length 1 "
              "m donor capped\nstate on\n");
  PL_CHECK_INT(judged.findings.list.n, 0, "removed and capped wires");
  judge_end(&judged);
}

static void never_on_names_the_contact(void) {
  static const struct {
    const char *state, *text;
  } rows[] = {
      {"state on\n", "E1 is on in no declared state: output ECM.A3 is on in none"},
      {"state on\n  ECM.A3 on\n", NULL},
  };
  for (size_t i = 0; i < 2; i++) {
    struct judged judged;
    char text[1200];
    snprintf(text,
             sizeof text,
             BENCH_FORMAT
             "module ECM\n  A1 battery feed, 1 A\n  A2 ground\n  A3 low-side output, at most 1 "
             "A\nlamp E1\n  draws 0.5 A\n"
             "wires of lamp\n" FEED
             "  2 F1.out ECM.A1 14 AWG RD length 1 m\n  3 ECM.A2 BAT.- 14 AWG BK length 1 m\n"
             "  4 F1.out E1.+ 14 AWG RD length 1 m\n  5 E1.- ECM.A3 14 AWG BU length 1 m\n%s",
             rows[i].state);
    judge(&judged, "never", text);
    PL_CHECK_INT(judged.findings.list.n, rows[i].text != NULL, rows[i].state);
    if (rows[i].text != NULL)
      PL_CHECK_STR(judged_only(&judged, "load-never-on", "E1", "output")->text,
                   rows[i].text,
                   "text");
    judge_end(&judged);
  }
}

static void every_role_conflict(void) {
  static const struct {
    const char *a, *b, *tie;
    enum pl_severity severity;
  } rows[] = {
      {"low-side output, at most 1 A", "ground", "F1.out", PL_DANGER},
      {"high-side output, at most 1 A", "ground", "BAT.-", PL_DANGER},
      {"ground", "ground", "F1.out", PL_DANGER},
      {"battery feed, 1 A", "ground", "BAT.-", PL_FAULT},
      {"keyed input", "ground", "BAT.-", PL_FAULT},
      {"high-side output, at most 1 A", "ground", "F1.out", PL_FAULT},
      {"sensor supply, 5 V", "ground", "F1.out", PL_DANGER},
      {"sensor supply, 5 V", "ground", "BAT.-", PL_FAULT},
      {"sensor return", "ground", "F1.out", PL_DANGER},
      {"sensor return", "ground", "BAT.-", PL_FAULT},
      {"data low", "ground", "F1.out", PL_DANGER},
      {"data high", "ground", "BAT.-", PL_FAULT},
      {"low-side output, at most 1 A", "low-side output, at most 1 A", "ECM.A4", PL_FAULT},
      {"low-side output, at most 1 A", "high-side output, at most 1 A", "ECM.A4", PL_DANGER},
      {"sensor supply, 5 V", "sensor supply, 5 V", "ECM.A4", PL_FAULT},
      {"sensor supply, 5 V", "sensor return", "ECM.A4", PL_FAULT},
      {"data high", "data low", "ECM.A4", PL_FAULT},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct judged judged;
    char text[1200];
    bool tied = strcmp(rows[i].tie, "ECM.A4") == 0;
    snprintf(
        text,
        sizeof text,
        BENCH_FORMAT
        "module ECM\n  A1 battery feed, 1 A\n  A2 ground\n  A3 %s\n  A4 %s\nwires of module\n" FEED
        "  2 F1.out ECM.A1 14 AWG RD length 1 m\n  3 ECM.A2 BAT.- 14 AWG BK length 1 m\n"
        "  4 ECM.A3 %s 14 AWG BU length 1 m\nstate on\n",
        rows[i].a,
        tied ? rows[i].b : "unused",
        rows[i].tie);
    judge(&judged, rows[i].a, text);
    PL_CHECK_INT(judged_only(&judged,
                             "role-conflict",
                             tied && strstr(rows[i].b, "return") != NULL ? "ECM.A4" : "ECM.A3",
                             rows[i].a)
                     ->severity,
                 rows[i].severity,
                 rows[i].a);
    judge_end(&judged);
  }
}

static void shorts_and_series_batteries(void) {
  struct judged judged;
  judge(&judged,
        "short",
        BENCH "disconnect DISC\nwires of all\n" FEED "  2 F1.out DISC.in 14 AWG RD length 1 m\n"
              "  3 DISC.out BAT.- 14 AWG BK length 1 m\nstate on\n");
  PL_CHECK_INT(judged_only(&judged, "dead-short", "BAT", "dead short")->severity,
               PL_DANGER,
               "dead short");
  judge_end(&judged);
  judge(&judged,
        "series",
        "machine \"Bench\"\n  supply 24 V\nbattery B1\n  volts 12 V\n  cca 600 A\nbattery B2\n  "
        "volts 12 V\n  cca 600 "
        "A\nfuse F1\n  rating 10 A\n"
        "lamp E1\n  draws 1 A\nwires of lamp\n  1 B1.+ F1.in 14 AWG RD length 0.1 m\n  2 F1.out "
        "E1.+ 14 AWG RD length "
        "1 m\n"
        "  3 E1.- B2.- 14 AWG BK length 1 m\n  4 B1.- B2.+ 2 AWG RD length 0.4 m\nstate on\n");
  PL_CHECK_INT(judged.findings.list.n, 0, "two batteries in series");
  judge_end(&judged);
  judge(&judged,
        "positive", /* the live pole is the minus */
        "machine \"Bench\"\n  earth positive\n  drop at most 20 %\nbattery BAT\n  cca 600 A\nfuse "
        "F1\n  rating 10 "
        "A\nlamp E1\n  draws 1 A\n"
        "wires of lamp\n  1 BAT.- F1.in 14 AWG BK length 1 m\n  2 F1.out E1.- 14 AWG BK length 1 "
        "m\n  3 E1.+ BAT.+ 14 "
        "AWG RD length 3 m\nstate on\n");
  judged_only(&judged, "unfused-wire", "wire 1", "positive earth");
  PL_CHECK_INT(judged.findings.list.n, 1, "and nothing else");
  judge_end(&judged);
}

/* One mistake, one finding: what follows is counted; what has its own reason, or a waived cause,
 * stays. */
static void causes_swallow_what_follows(void) {
  static const struct {
    const char *change, *rule;
    uint32_t listed, follow;
  } rows[] = {
      {"  4 F1.out BAT.- 14 AWG BK length 1 m\nstate on\n", "dead-short", 1, 7},
      {"  4 F1.out S1.in 14 AWG RD length 1 m\n  5 S1.out BAT.- 14 AWG BK length 1 m\nstate "
       "off\nstate on\n  S1 in on\n",
       "dead-short",
       2,
       7},
      {"  4 F1.out BAT.- 14 AWG BK length 1 m\n  5 F1.out - 14 AWG RD length 1 m\nstate on\n",
       "wire-end-in-air",
       2,
       0},
      {"  4 F1.out BAT.- 14 AWG BK length 1 m\nstate on\nwaive dead-short at BAT because \"a bench "
       "test of the fuse\"\n",
       "wire-current",
       6,
       1},
  };
  for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
    struct judged judged;
    char text[1200];
    snprintf(text,
             sizeof text,
             BENCH_FORMAT
             "%slamp E1\n  draws 1 A\nwires of lamps\n" FEED
             "  2 F1.out E1.+ 14 AWG RD length 1 m\n  3 E1.- BAT.- 14 AWG BK length 1 m\n%s",
             strstr(rows[i].change, "S1") == NULL
                 ? ""
                 : "switch S1\n  position off\n  position on: in to out\n",
             rows[i].change);
    judge(&judged, rows[i].rule, text);
    const struct pl_finding *f = judged_find(&judged, rows[i].rule, 0);
    CU_ASSERT_FATAL(f != NULL);
    PL_CHECK_INT(judged.findings.list.n, rows[i].listed, rows[i].change);
    PL_CHECK_INT(f->follow_count, rows[i].follow, rows[i].change);
    judge_end(&judged);
  }
}

/* What to do must mend it: the wire is missing where the stretch ends, not at a load on it. */
#define TWO_LAMPS                                                                                \
  BENCH "stud GND\nsplice S\nlamp E1\n  draws 1 A\nlamp E2\n  draws 1 A\nswitch S1\n  position " \
        "off\n"                                                                                  \
        "  position on: 1 to 2\nwires of lamps\n" FEED                                           \
        "  2 S E1.+ 14 AWG RD length 1 m\n  3 S E2.+ 14 AWG RD length 1 m\n"

static void the_remedy_names_the_gap(void) {
  struct judged judged;
  judge(&judged,
        "stud",
        TWO_LAMPS "  4 F1.out S 14 AWG RD length 1 m\n  5 E1.- GND 14 AWG BK length 1 m\n"
                  "  6 S1.1 GND 14 AWG BK length 1 m\n  7 E2.- S1.2 14 AWG BK length 1 m\nstate "
                  "on\n  S1 in on\n");
  const struct pl_finding *f =
      judged_only(&judged, "load-without-return", "E1", "the stud's cable is missing");
  PL_CHECK(strstr(f->remedy, "wire GND to the battery's minus") != NULL, f->remedy);
  judge_end(&judged);
  judge(&judged,
        "switch",
        TWO_LAMPS "  4 S1.2 S 14 AWG RD length 1 m\n  5 E1.- BAT.- 14 AWG BK length 1 m\n"
                  "  6 E2.- BAT.- 14 AWG BK length 1 m\nstate on\n  S1 in on\n");
  f = judged_only(&judged, "load-without-feed", "E1", "the switch's feed is missing");
  PL_CHECK(strstr(f->remedy, "wire S1.1 to a fused feed") != NULL, f->remedy);
  judge_end(&judged);
  judge(&judged,
        "half",
        BENCH
        "lamp E1\n  draws 1 A\nswitch S1\n  part pressure switch\nwires of lamp\n" FEED
        "  2 F1.out E1.+ 14 AWG RD length 1 m\n  3 E1.- S1.1 16 AWG BK length 1 m\nstate on\n");
  f = judged_only(&judged, "load-without-return", "E1", "a plug alone would hide the missing wire");
  PL_CHECK(strstr(f->remedy, "wire S1.2 to ground") != NULL, f->remedy);
  PL_CHECK_INT(judged.findings.list.n, 1, "one mistake, one finding");
  PL_CHECK_INT(f->follow_count, 1, "the empty cavity follows from it");
  judge_end(&judged);
}

CU_TestInfo rules_connection_tests[] = {
    {"one gap, one finding", one_gap_one_finding},
    {"causes swallow what follows", causes_swallow_what_follows},
    {"the remedy names the gap", the_remedy_names_the_gap},
    {"explained gaps stay silent", explained_gaps_stay_silent},
    {"sound circuits are left alone", sound_circuits_are_left_alone},
    {"never on names the contact", never_on_names_the_contact},
    {"every role conflict", every_role_conflict},
    {"shorts, series batteries, positive earth", shorts_and_series_batteries},
    CU_TEST_INFO_NULL,
};
