/* Readings in words: what each line is taken for, and what is said of those that cannot be read. */
#include "model/build.h"
#include "test_suspect.h"

#include "suspect/said_readings.h"

struct told {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_network *network;
  struct pl_suspects table;
};

static void start(struct told *t) {
  pl_test_arena(&t->arena);
  pl_sources_init(&t->sources, &t->arena);
  pl_findings_init(&t->findings, &t->arena);
  pl_harness_init(&t->harness, &t->arena);
  CU_ASSERT_FATAL(pl_build(pl_test_path("harnesses/pump-skid/pump-skid.loom"),
                           &pl_reader_disk,
                           &t->sources,
                           &t->findings,
                           &t->harness));
  t->network = pl_network_new(&t->harness, &t->arena);
  struct pl_solution *healthy = PL_NEW_ARRAY(&t->arena, struct pl_solution, t->harness.states.n);
  for (pl_id s = 0; s < t->harness.states.n; s++)
    pl_network_solve(t->network, s, &healthy[s], NULL);
  pl_suspects_make(&t->harness, t->network, healthy, &t->arena, &t->table);
}

static bool tell(struct told *t, const char *text, pl_evidences *evidences, pl_betweens *betweens) {
  t->findings.list.n = t->findings.errors = 0;
  evidences->n = betweens->n = 0;
  return pl_readings_read(&t->table,
                          &t->sources,
                          pl_sources_add(&t->sources, "reading", text, strlen(text)),
                          &t->findings,
                          evidences,
                          betweens);
}

static void understood(void) {
  static const struct {
    const char *text;
    enum pl_said said;
    double value;
    enum pl_ask ask;
    const char *state, *pin, *device, *wire;
  } rows[] = {
      {"F3.out to ground, run: 24.4 V",
       PL_SAID_VOLTS,
       24.4,
       PL_ASK_VOLTS,
       "run",
       "F3.out",
       NULL,
       NULL},
      {"f3.OUT key run 24.4V", PL_SAID_VOLTS, 24.4, PL_ASK_VOLTS, "run", "F3.out", NULL, NULL},
      {"F3.out, run: 120 mV", PL_SAID_VOLTS, 0.12, PL_ASK_VOLTS, "run", "F3.out", NULL, NULL},
      {"GND run -0.1 V", PL_SAID_VOLTS, -0.1, PL_ASK_VOLTS, "run", "GND", NULL, NULL},
      {"pump M2 does not run, run", PL_SAID_RUNS, 0, PL_ASK_RUNS, "run", NULL, "M2", NULL},
      {"M2 dead in run", PL_SAID_RUNS, 0, PL_ASK_RUNS, "run", NULL, "M2", NULL},
      {"the lamp H1 is not dark, off", PL_SAID_RUNS, 2, PL_ASK_RUNS, "off", NULL, "H1", NULL},
      {"H1 is dim, run", PL_SAID_RUNS, 1, PL_ASK_RUNS, "run", NULL, "H1", NULL},
      {"M1 cranks, off", PL_SAID_RUNS, 2, PL_ASK_RUNS, "off", NULL, "M1", NULL},
      {"M1 does not crank", PL_SAID_RUNS, 0, PL_ASK_RUNS, "cranking", NULL, "M1", NULL},
      {"F3 blown", PL_SAID_FUSE, 1, PL_ASK_FUSE, NULL, NULL, "F3", NULL},
      {"fuse F3 is good", PL_SAID_FUSE, 0, PL_ASK_FUSE, NULL, NULL, "F3", NULL},
      {"F2 warm, run", PL_SAID_WARM, 1, PL_ASK_WARM, "run", NULL, "F2", NULL},
      {"wire 21: open", PL_SAID_OHMS, INFINITY, PL_ASK_WIRE, NULL, NULL, NULL, "21"},
      {"wire 21 0.3 ohm", PL_SAID_OHMS, 0.3, PL_ASK_WIRE, NULL, NULL, NULL, "21"},
      {"K1 inside: 2.2 kohm", PL_SAID_OHMS, 2200, PL_ASK_INSIDE, NULL, NULL, "K1", NULL},
      {"new F2 blows, run", PL_SAID_FOUND, 3, PL_ASK_REFIT, NULL, NULL, "F2", NULL},
      {"new F2 holds", PL_SAID_FOUND, 0, PL_ASK_REFIT, NULL, NULL, "F2", NULL},
      {"search from F2: nothing", PL_SAID_FOUND, 0, PL_ASK_SEARCH, NULL, NULL, "F2", NULL},
      {"M2 does not stop, off", PL_SAID_RUNS, 2, PL_ASK_RUNS, "off", NULL, "M2", NULL},
      {"M1 cranks slow, cranking", PL_SAID_RUNS, 1, PL_ASK_RUNS, "cranking", NULL, "M1", NULL},
      {"H1 as it should, run", PL_SAID_RUNS, 2, PL_ASK_RUNS, "run", NULL, "H1", NULL},
      {"M2 dead, run", PL_SAID_RUNS, 0, PL_ASK_RUNS, "run", NULL, "M2", NULL},
      {"M2 dead, key run", PL_SAID_RUNS, 0, PL_ASK_RUNS, "run", NULL, "M2", NULL},
      {"F3.out, run: 24,4 V", PL_SAID_VOLTS, 24.4, PL_ASK_VOLTS, "run", "F3.out", NULL, NULL},
      {"M2 dead, run # said the driver", PL_SAID_RUNS, 0, PL_ASK_RUNS, "run", NULL, "M2", NULL}};
  struct told t;
  pl_evidences evidences = {0};
  pl_betweens betweens = {0};
  start(&t);
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    if (!PL_CHECK(tell(&t, rows[i].text, &evidences, &betweens) && evidences.n == 1, rows[i].text))
      continue;
    const struct pl_evidence *e = &evidences.at[0];
    const struct pl_question *q = &t.table.questions.at[e->question];
    PL_CHECK(e->said == rows[i].said && q->ask == rows[i].ask, rows[i].text);
    PL_CHECK(isinf(rows[i].value) ? isinf(e->value) : fabs(e->value - rows[i].value) < 1e-9,
             rows[i].text);
    if (rows[i].state != NULL)
      PL_CHECK_STR(t.harness.states.at[q->state].name, rows[i].state, rows[i].text);
    if (rows[i].pin != NULL)
      PL_CHECK_STR(t.harness.pins.at[q->id].full, rows[i].pin, rows[i].text);
    if (rows[i].device != NULL)
      PL_CHECK_STR(t.harness.devices.at[q->id].name, rows[i].device, rows[i].text);
    if (rows[i].wire != NULL)
      PL_CHECK_STR(t.harness.wires.at[q->id].number, rows[i].wire, rows[i].text);
  }
  PL_CHECK(tell(&t, "rest as it should, run\nM2 dead, run\n\n# nothing\n", &evidences, &betweens) &&
               evidences.n > 4,
           "several lines");
  unsigned dead = 0;
  for (uint32_t i = 0; i < evidences.n; i++)
    dead += evidences.at[i].said == PL_SAID_RUNS && evidences.at[i].value == 0 &&
            strstr(evidences.at[i].text, "M2") != NULL;
  PL_CHECK_INT(dead, 1, "the rest is what is not named, wherever it stands");
  PL_CHECK(tell(&t, "", &evidences, &betweens) && evidences.n == 0, "nothing");
  pl_network_release(t.network);
  pl_arena_release(&t.arena);
}

static void not_understood(void) {
  static const struct {
    const char *text, *finding, *remedy;
  } rows[] = {
      {"M3 does not run", "`M3` is no pin, device, state or word of a reading", "did you mean"},
      {"M2 does not run, rnu", "`rnu` is no pin", "did you mean `run`?"},
      {"F3.out to ground: 24 V",
       "in which state was that?",
       "add one of: off, cranking, run, pumping"},
      {"F3.out run 24", "a figure without a unit", "say V or ohm"},
      {"F3.out run 24 furlongs", "`furlongs` is no pin", "write it like"},
      {"24 V, run", "volts, but at which pin?", "write DEVICE.PIN"},
      {"wire 999: open", "there is no wire `999`", "number"},
      {"M2 blown", "that is said of a fuse", "name a fuse"},
      {"F3 runs, run", "does not run or light by itself", "of a fuse say"},
      {"F3.out run 1,200 V", "may be a part of one or a thousand", "with a point"},
      {"F3.out run 24 V 25 V", "two figures in one reading", "one figure"},
      {"K1 inside, run: 92 ohm", "with the power on an ohm-meter shows anything", "key off"},
      {"H1 80 degC, run", "that unit is a gauge's", "name the gauge"},
      {"data link dead", "this harness has no data link", "data high"},
      {"M2 dead, zzzzzzzz", "`zzzzzzzz` is no pin", "the states are off, cranking, run, pumping"},
      {"wire 21: -3 ohm", "ohms below 0", "switch everything off"},
      {"run", "neither where something was read nor", "write it like"}};
  struct told t;
  pl_evidences evidences = {0};
  pl_betweens betweens = {0};
  start(&t);
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    PL_CHECK(!tell(&t, rows[i].text, &evidences, &betweens) && t.findings.list.n == 1,
             rows[i].text);
    if (t.findings.list.n != 1)
      continue;
    PL_CHECK(strstr(t.findings.list.at[0].text, rows[i].finding) != NULL, rows[i].text);
    PL_CHECK(strstr(t.findings.list.at[0].remedy, rows[i].remedy) != NULL, rows[i].remedy);
    if (strstr(t.findings.list.at[0].text, rows[i].finding) == NULL)
      printf("got: %s; %s\n", t.findings.list.at[0].text, t.findings.list.at[0].remedy);
  }
  pl_network_release(t.network);
  pl_arena_release(&t.arena);
}

/* Bytes from a hat: whatever they are, they end in evidence or errors. */
static void nonsense(void) {
  struct told t;
  pl_evidences evidences = {0};
  pl_betweens betweens = {0};
  static const char letters[] = " F3M2.run:wire,21-\n\t0V\xff\x80#to";
  uint32_t seed = 7;
  start(&t);
  for (int round = 0; round < 300; round++) {
    char text[200];
    for (size_t i = 0; i < sizeof text - 1; i++) {
      seed = seed * 1664525u + 1013904223u;
      text[i] = letters[(seed >> 16) % (sizeof letters - 1)];
    }
    text[sizeof text - 1] = '\0';
    PL_CHECK(tell(&t, text, &evidences, &betweens) == (t.findings.list.n == 0), "errors are told");
  }
  pl_network_release(t.network);
  pl_arena_release(&t.arena);
}

/* The coil of K1 through its own two pins; with that coil open the resistor across it, 2.7 kohm, is
 * left. */
static void between(void) {
  struct told t;
  pl_evidences evidences = {0};
  pl_betweens betweens = {0};
  start(&t);
  CU_ASSERT_FATAL(tell(&t, "K1.86 to K1.85, power off: 2.7 kohm", &evidences, &betweens) &&
                  betweens.n == 1);
  pl_readings_predict(&t.table, t.network, &betweens, &evidences);
  struct pl_verdict v;
  pl_weigh(&t.table, &evidences, &t.arena, &v);
  PL_CHECK_STR(t.table.suspects.at[v.at[0].suspect].text,
               "coil of relay K1 open",
               "the coil is gone, its suppression resistor is there");
  PL_CHECK(!v.healthy, "and a sound machine is not");
  pl_network_release(t.network);
  pl_arena_release(&t.arena);
}

CU_TestInfo suspect_reading_tests[] = {{"understood", understood},
                                       {"not understood", not_understood},
                                       {"nonsense", nonsense},
                                       {"between two pins", between},
                                       CU_TEST_INFO_NULL};
