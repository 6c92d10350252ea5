/* From text to model: goldens of every message, lengths by the shortest way, parts, pins, includes,
 * and the limits of reading. */
#include <dirent.h>
#include <setjmp.h>

#include "base/limits.h"
#include "model/build.h"
#include "pl_test.h"
#include "standard/wire.h"

struct built {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  bool good;
};

struct memory_file {
  const char *path, *text;
};

static enum pl_file_status read_memory(void *context,
                                       struct pl_arena *arena,
                                       const char *path,
                                       const char **text,
                                       size_t *size) {
  (void)arena;
  for (const struct memory_file *file = context; file->path != NULL; file++)
    if (strcmp(file->path, path) == 0) {
      *text = file->text;
      *size = strlen(file->text);
      return PL_FILE_OK;
    }
  return PL_FILE_MISSING;
}

static void build_with(struct built *built, const char *path, const struct pl_reader *reader) {
  pl_test_arena(&built->arena);
  pl_sources_init(&built->sources, &built->arena);
  pl_findings_init(&built->findings, &built->arena);
  pl_harness_init(&built->harness, &built->arena);
  built->good = pl_build(path, reader, &built->sources, &built->findings, &built->harness);
  pl_build_digest(&built->sources, &built->harness);
  pl_findings_sort(&built->findings, &built->sources);
}

static void build_files(struct built *built, struct memory_file *files) {
  struct pl_reader reader = {read_memory, files};
  build_with(built, files[0].path, &reader);
}

static void build_text(struct built *built, const char *text) {
  struct memory_file files[] = {{"a.loom", text}, {NULL, NULL}};
  build_files(built, files);
}

static const char *printed(struct built *built) {
  struct pl_buffer out;
  pl_buffer_init(&out, &built->arena);
  pl_findings_print(&out, &built->findings, &built->sources);
  return out.n > 0 ? out.at : "";
}

static void release(struct built *built) {
  pl_arena_release(&built->arena);
}

static const struct pl_wire *wire(struct built *built, const char *number) {
  uint32_t id;
  CU_ASSERT_FATAL(pl_table_find(&built->harness.wire_numbers, number, &id));
  return &built->harness.wires.at[id];
}

/* ---- goldens: NAME.loom and what it prints in NAME.txt; PL_REWRITE=1 writes the latter anew ----
 */

struct golden_reader {
  const char *folder;
};

static enum pl_file_status read_golden(void *context,
                                       struct pl_arena *arena,
                                       const char *path,
                                       const char **text,
                                       size_t *size) {
  const struct golden_reader *reader = context;
  return pl_file_read(arena, pl_arena_printf(arena, "%s/%s", reader->folder, path), text, size);
}

static void golden(const char *folder, const char *name) {
  struct built built;
  struct golden_reader context = {folder};
  struct pl_reader reader = {read_golden, &context};
  build_with(&built, name, &reader);
  const char *actual = printed(&built);
  const char *expected = "";
  size_t size;
  const char *path =
      pl_arena_printf(&built.arena, "%s/%.*s.txt", folder, (int)(strlen(name) - 5), name);
  if (getenv("PL_REWRITE") != NULL)
    pl_file_write(path, actual, strlen(actual), false);
  PL_CHECK(pl_file_read(&built.arena, path, &expected, &size) == PL_FILE_OK, name);
  PL_CHECK_STR(actual, expected, name);
  release(&built);
}

static int is_loom(const struct dirent *entry) {
  size_t n = strlen(entry->d_name);
  return n > 5 && strcmp(entry->d_name + n - 5, ".loom") == 0;
}

static void goldens(void) {
  const char *folder = pl_test_path("tests/goldens");
  struct dirent **names;
  int n = scandir(folder, &names, is_loom, alphasort);
  CU_ASSERT_FATAL(n >= 4);
  for (int i = 0; i < n; i++) {
    golden(folder, names[i]->d_name);
    free(names[i]);
  }
  free(names);
}

static void three_mistakes_give_three(void) {
  struct built built;
  build_text(&built,
             "machine \"m\"\nfuse F1\n  rating 15\nlamp E1\n  drows 3 A\nwires of x\n 1 F1.out "
             "E1.+ 14 AWG RD\n 2 E1.- F9.in 14 AWG\n"
             "state s\n  E1 in on\n");
  PL_CHECK_INT(built.findings.errors, 3, "three mistakes");
  PL_CHECK(!built.good, "three mistakes");
  release(&built);
}

/* ---- lengths ---- */

static const char routed[] =
    "machine \"m\"\n  slack 10 %\n  tail 100 mm\n"
    "place a 0..20 degC\nplace b 0..90 degC\nplace c -30..40 degC\nplace d\nplace far\n"
    "run a to b\n  length 1 m\nrun b to c\n  length 2 m\n  covering split conduit 13 mm\nrun a to "
    "c\n  length 4 m\n  engine space\n"
    "stud A at a\nstud B at b\nstud C at c\nstud D at d\nstud F at far\nstud N\n"
    "wires of x\n 1 A C 14 AWG\n 2 C A 14 AWG length 5 m\n 3 A A 14 AWG\n 4 A D 14 AWG\n 5 A N 14 "
    "AWG\n 6 A N 14 AWG length 7 ft\n 7 A - 14 AWG donor capped\n";

static void shortest_way(void) {
  struct built built;
  build_text(&built, routed);
  CU_ASSERT_FATAL(built.good);
  PL_CHECK_CLOSE(wire(&built, "1")->length,
                 (3.0 + 0.2) * 1.1,
                 1e-12,
                 "by two runs: (1 + 2 + two tails) and 10 %");
  PL_CHECK_INT(wire(&built, "1")->route.n, 2, "route");
  PL_CHECK_INT(wire(&built, "1")->route.at[0], 0, "from its first end");
  PL_CHECK_INT(wire(&built, "2")->route.at[0], 1, "the other way round");
  PL_CHECK_CLOSE(wire(&built, "1")->hot, 90.0, 1e-12, "hottest place on the way");
  PL_CHECK_CLOSE(wire(&built, "1")->cold, -30.0, 1e-12, "coldest place on the way");
  PL_CHECK(!wire(&built, "1")->engine_space, "the other run is in the engine space");
  PL_CHECK_CLOSE(wire(&built, "2")->length, 5.0, 1e-12, "written length wins");
  PL_CHECK_CLOSE(wire(&built, "3")->length, 0.2 * 1.1, 1e-12, "within one place: two tails");
  PL_CHECK_CLOSE(wire(&built, "6")->length, 7 * 0.3048, 1e-12, "feet");
  PL_CHECK_INT(built.harness.runs.at[0].wires.n, 2, "bundle of the first run");
  PL_CHECK_INT(built.harness.runs.at[2].wires.n, 0, "the long way round stays empty");
  PL_CHECK_CLOSE(built.harness.runs.at[1].bore, 13.0, 1e-12, "bore");
  PL_CHECK_STR(built.harness.runs.at[1].covering, "split conduit 13 mm", "covering");
  release(&built);
}

static void unknown_lengths_are_said(void) {
  struct built built;
  build_text(&built, routed);
  PL_CHECK_INT(built.findings.list.n, 2, "wires 4 and 5");
  for (uint32_t i = 0; i < built.findings.list.n; i++) {
    PL_CHECK_STR(built.findings.list.at[i].rule, "length-unknown", "rule");
    PL_CHECK_INT(built.findings.list.at[i].severity, PL_FAULT, "severity");
  }
  PL_CHECK(strstr(printed(&built), "no run leads from a to d") != NULL, "wire 4");
  PL_CHECK(strstr(printed(&built), "N has no place") != NULL, "wire 5");
  release(&built);
}

/* A pasted table's heading names columns in other words too; one that does not is one mistake, not
 * one in every row. */
static void headings_are_read(void) {
  struct built built;
  build_text(&built,
             "machine \"m\"\nstud A\nstud B\nwires of x\nWire No\tLength (about)\tColour\tFrom "
             "pin\tTo pin\tWire size\n"
             "1\t2 m\tRD\tA\tB\t14 AWG\n2\t\t\tB\tA\t16 AWG\n");
  CU_ASSERT_FATAL(built.good);
  PL_CHECK_CLOSE(wire(&built, "1")->length, 2.0, 1e-12, "length");
  PL_CHECK_STR(wire(&built, "1")->size, "14 AWG", "size");
  PL_CHECK_STR(wire(&built, "2")->colour.base, "", "an empty cell");
  release(&built);
  build_text(&built,
             "machine \"m\"\nstud A\nstud B\nwires of "
             "x\nnumber\tfrom\tto\tQuerschnitt\n1\tA\tB\t14 AWG\n2\tA\tB\t14 AWG\n");
  PL_CHECK_INT(built.findings.errors, 1, "one column");
  PL_CHECK(strstr(printed(&built), "a.loom:5:25: error: `Querschnitt` is no column") != NULL,
           "where");
  release(&built);
  build_text(&built,
             "machine \"m\"\nstud A\nstud B\nwires of x\n  colums number, from, to, size\n  1 A B "
             "14 AWG\n");
  PL_CHECK_INT(built.findings.errors, 1, "one slip");
  PL_CHECK(strstr(printed(&built), "did you mean `columns`?") != NULL, "columns");
  release(&built);
  build_text(&built,
             "machine \"m\"\nstud A\nstud B\nwires of x\n  columns number, von, to, size\n  1 A B "
             "14 AWG\n  2 A B 14 AWG\n");
  PL_CHECK_INT(built.findings.errors, 1, "one column");
  release(&built);
}

/* One cause, one finding: a run left out, and a device without a place, however many wires they
 * leave without a length. */
static void one_gap_is_said_once(void) {
  struct built built;
  build_text(&built,
             "machine \"m\"\nplace a\nplace b\nplace c\nrun a to b\n  length 1 m\nstud A at "
             "a\nstud B at b\nstud C at c\nstud N\n"
             "wires of x\n 1 A C 14 AWG\n 2 C B 14 AWG\n 3 A B 14 AWG\n 4 A N 14 AWG\n 5 B C 14 "
             "AWG\n 6 N B 14 AWG\n");
  CU_ASSERT_FATAL(built.good);
  PL_CHECK_INT(built.findings.list.n, 2, "the run and the place");
  PL_CHECK(strstr(printed(&built), "no run leads from a to c; 1 m was taken (so for wires 2, 5)") !=
               NULL,
           "wires 1, 2 and 5");
  PL_CHECK(strstr(printed(&built), "N has no place; 1 m was taken (so for wire 6)") != NULL,
           "wires 4 and 6");
  PL_CHECK_CLOSE(wire(&built, "5")->length, 1.0, 1e-12, "stands in for the others too");
  release(&built);
}

static void no_places_are_said_once(void) {
  struct built built;
  build_text(&built,
             "machine \"m\"\nstud A\nstud B\nstud C\nwires of x\n 1 A B 14 AWG\n 2 B C 14 AWG\n 3 "
             "A C 14 AWG length 2 m\n");
  CU_ASSERT_FATAL(built.good);
  PL_CHECK_INT(built.findings.list.n, 1, "one finding");
  PL_CHECK(strstr(printed(&built), "describe the places") != NULL, "what to do");
  release(&built);
}

/* A name that nothing declares is one mistake, and the error lists the lines that use it. */
static void an_unknown_name_is_said_once(void) {
  struct built built;
  build_text(&built,
             "machine \"m\"\nstud A\nwires of x\n 1 A B 14 AWG\n 2 A B 14 AWG\n 3 B A 14 AWG\n 4 B "
             "B 14 AWG\n 5 A B 14 AWG\n 6 A B 14 AWG\n 7 A B 14 AWG\n"
             " 8 A B 14 AWG\n 9 A B 14 AWG\n");
  PL_CHECK_INT(built.findings.errors, 1, "one error");
  PL_CHECK(strstr(printed(&built),
                  "no device is called `B`, here and in lines 5, 6, 7, 8, 9, 10 and 2 more") !=
               NULL,
           "lines");
  release(&built);
}

static void a_missing_file_is_guessed(void) {
  struct built built;
  struct memory_file files[] = {{"digger.loom", "machine \"m\"\n"}, {NULL, NULL}};
  struct pl_reader reader = {read_memory, files};
  build_with(&built, "digger", &reader);
  PL_CHECK(!built.good, "nothing read");
  PL_CHECK(strstr(printed(&built), "did you mean digger.loom?") != NULL,
           "the file's name ends in .loom");
  release(&built);
  build_with(&built, "dagger", &reader);
  PL_CHECK(strstr(printed(&built), "try:") == NULL, "no guess");
  release(&built);
}

/* ---- pins, connectors, parts ---- */

static void pins_by_both_names(void) {
  struct built built;
  build_text(&built,
             "machine \"m\"\nmodule ECM\n  connector A 6 cavities, 2 rows, sealed\n  connector J1 "
             "2 cavities\n  A2..A3 ground\n"
             "  A1 battery feed, 12 A, asleep 3 mA, 9..16 V, required, from maker \"sheet 14\" "
             "\"main feed\"\n"
             "inline X1\n  cavities 2, sealed\nconnector X9\n  cavities 3, round, named A B C\n  A "
             "minus\n");
  CU_ASSERT_FATAL(built.good);
  struct pl_harness *h = &built.harness;
  PL_CHECK_INT(pl_harness_find_pin(h, "ECM.A.1"),
               pl_harness_find_pin(h, "ECM.A1"),
               "two ways to write a pin");
  PL_CHECK(pl_harness_find_pin(h, "ECM.J1.2") != PL_NONE &&
               pl_harness_find_pin(h, "ECM.J12") == PL_NONE,
           "connector that ends in a digit");
  pl_id a1 = pl_harness_find_pin(h, "ECM.A1");
  pl_id a4 = pl_harness_find_pin(h, "ECM.A4");
  CU_ASSERT_FATAL(a1 != PL_NONE && a4 != PL_NONE);
  const struct pl_pin *pin = &h->pins.at[a1];
  PL_CHECK_INT(pin->role, PL_ROLE_BATTERY_FEED, "role");
  PL_CHECK_CLOSE(pin->amps, 12.0, 1e-12, "amps");
  PL_CHECK_CLOSE(pin->sleep_amps, 0.003, 1e-12, "asleep");
  PL_CHECK_CLOSE(pin->volts_min, 9.0, 1e-12, "window");
  PL_CHECK_STR(pin->text, "main feed", "function");
  PL_CHECK_STR(pin->sure_text, "sheet 14", "where from");
  PL_CHECK_INT(h->pins.at[a4].row, 2, "row of the fourth of six cavities in two rows");
  PL_CHECK_INT(h->pins.at[a4].column, 1, "column");
  PL_CHECK_INT(h->pins.at[pl_harness_find_pin(h, "ECM.A3")].role,
               PL_ROLE_GROUND,
               "a row for several cavities");
  PL_CHECK(pl_harness_find_pin(h, "X1.P2") != PL_NONE && pl_harness_find_pin(h, "X1.S2") != PL_NONE,
           "both halves of a pair");
  PL_CHECK_INT(h->devices.at[pl_harness_find_device(h, "X1")].fixed.n, 2, "halves are joined");
  PL_CHECK_INT(
      h->connectors.at[h->devices.at[pl_harness_find_device(h, "X9")].first_connector].shape,
      PL_SHAPE_ROUND,
      "round");
  release(&built);
}

static void own_lines_win_over_the_part(void) {
  struct built built;
  build_text(&built,
             "machine \"m\"\npart big is relay\n  coil 30 ohm\n  rating 100 A\n  changeover\nrelay "
             "K1\n  part big\n  coil 45 ohm\n");
  CU_ASSERT_FATAL(built.good);
  const struct pl_device *k1 = &built.harness.devices.at[0];
  PL_CHECK_CLOSE(k1->coil_ohms, 45.0, 1e-12, "own line");
  PL_CHECK_CLOSE(k1->rating, 100.0, 1e-12, "the part's line");
  PL_CHECK_INT(k1->brk.n, 1, "changeover from the part");
  PL_CHECK_STR(k1->part, "big", "part");
  release(&built);
}

static const struct pl_device *device(struct built *built, const char *name) {
  pl_id id = pl_harness_find_device(&built->harness, name);
  CU_ASSERT_FATAL(id != PL_NONE);
  return &built->harness.devices.at[id];
}

static const char measured[] =
    "machine \"m\"\nbattery BAT\n  cca 600 A\nsensor B1\n  measures coolant\n  beta 3450 from 2252 "
    "ohm at 77 degF\n  tolerance 5 %\n"
    "sensor B2\n  measures oil\n  supply resistance 500 ohm\n  signal 10 % at 0 bar, 90 % at 10 "
    "bar\n"
    "sender B3\n  measures fuel\n  reading 0 % at 240 ohm, 50 % at 103 ohm, 100 % at 33 ohm\ngauge "
    "P3\n  measures fuel\n"
    "  reading 0 % at 240 ohm, 50 % at 103 ohm, 100 % at 33 ohm\nswitch S4\n  position open\n  "
    "position closed: 1 to 2\n  rests in open\n"
    "  measures oil\n  stands in closed below 10 psi\nrelay K5\n  latching\n  reset coil 88 to "
    "85\nmotor M6\n  draws 4 A\n  steady power\n"
    "  inrush 6 times, 50 ms\n  locked 700 %\nalternator G7\n  output 10..20 A\n  "
    "self-exciting\nsender B8\n  reading 0 at 10 ohm, 10 at 180 ohm\n"
    "state s\n  coolant 212 degF\n  oil 0.5 bar\n  fuel 25 %\n  battery 12.2 V\n  battery worn 150 "
    "%\n  ambient -18 degC\n  M6 locked\n  K5 set\n"
    "  G7 excited\nstate t\n  oil 5 bar\nstate u\n  S4 in closed\n  oil 5 bar\n";

static void quantities_and_conditions(void) {
  struct built built;
  build_text(&built, measured);
  PL_CHECK(built.good, printed(&built));
  CU_ASSERT_FATAL(built.good);
  const struct pl_harness *h = &built.harness;
  const struct pl_device *b1 = device(&built, "B1");
  const struct pl_device *b2 = device(&built, "B2");
  const struct pl_device *b3 = device(&built, "B3");
  const struct pl_device *m6 = device(&built, "M6");
  const struct pl_device *k5 = device(&built, "K5");
  PL_CHECK_INT(h->quantities.n, 3, "coolant, oil, fuel");
  PL_CHECK_INT(h->quantities.at[b1->quantity].measure,
               PL_MEASURE_TEMPERATURE,
               "a thermistor: a temperature");
  PL_CHECK_INT(h->quantities.at[b2->quantity].measure, PL_MEASURE_PRESSURE, "bar: a pressure");
  PL_CHECK_INT(h->quantities.at[b3->quantity].measure, PL_MEASURE_SHARE, "%: a share");
  PL_CHECK_INT(device(&built, "P3")->quantity, b3->quantity, "gauge and sender measure one thing");
  PL_CHECK_INT(device(&built, "S4")->quantity, b2->quantity, "switch and sensor too");
  PL_CHECK_CLOSE(b1->beta_at, 25, 1e-12, "77 degF");
  PL_CHECK_CLOSE(b1->ohms, 2252, 1e-12, "where no state says more: where its beta is anchored");
  PL_CHECK_CLOSE(b1->tolerance, 0.05, 1e-12, "tolerance");
  PL_CHECK_CLOSE(b2->points.at[1].x, 1000, 1e-12, "10 bar in kPa");
  PL_CHECK_CLOSE(b2->points.at[1].ohms, 0.9, 1e-12, "of its supply");
  PL_CHECK_CLOSE(b2->signal_share, 0.5, 1e-12, "in the middle of its table");
  PL_CHECK(b2->plus != PL_NONE && strcmp(h->pins.at[b2->plus].full, "B2.supply") == 0,
           "it has a supply pin");
  PL_CHECK_CLOSE(b3->ohms, 103, 1e-12, "in the middle of its table");
  PL_CHECK_INT(device(&built, "B8")->quantity,
               PL_NONE,
               "a table alone measures nothing that has a name");
  PL_CHECK_CLOSE(device(&built, "B8")->ohms, 95, 1e-12, "plain numbers: straight");
  PL_CHECK_CLOSE(device(&built, "S4")->thresholds.at[0].at,
                 68.94757,
                 1e-6,
                 "10 psi: 68.94757 kPa, NIST SP 811");
  PL_CHECK(k5->latching && strcmp(h->pins.at[k5->reset_a].full, "K5.88") == 0 &&
               strcmp(h->pins.at[k5->reset_b].full, "K5.85") == 0,
           "reset coil");
  PL_CHECK_INT(m6->law, PL_LAW_POWER, "steady power wins over a motor's own law");
  PL_CHECK_CLOSE(m6->inrush, 6, 1e-12, "inrush");
  PL_CHECK_CLOSE(m6->inrush_seconds, 0.05, 1e-12, "for so long");
  PL_CHECK_CLOSE(m6->locked, 7, 1e-12, "700 %");
  PL_CHECK(device(&built, "G7")->self_exciting, "self-exciting");
  const struct pl_state *s = &h->states.at[0];
  PL_CHECK_CLOSE(pl_state_level(s, b1->quantity), 100, 1e-12, "212 degF");
  PL_CHECK_CLOSE(pl_state_level(s, b2->quantity), 50, 1e-12, "0.5 bar");
  PL_CHECK_CLOSE(pl_state_level(s, b3->quantity), 0.25, 1e-12, "25 %");
  PL_CHECK(isnan(pl_state_level(&h->states.at[1], b1->quantity)), "not said");
  PL_CHECK_CLOSE(s->battery_volts, 12.2, 1e-12, "battery");
  PL_CHECK_CLOSE(s->battery_worn, 1.5, 1e-12, "worn");
  PL_CHECK_CLOSE(s->ambient, -18, 1e-12, "ambient");
  PL_CHECK(s->locked.n == 1 && s->set.n == 2, "locked, set and excited");
  pl_id s4 = pl_harness_find_device(h, "S4");
  PL_CHECK_INT(pl_position_in(h, s, s4), 1, "50 kPa is below 10 psi");
  PL_CHECK_INT(pl_position_in(h, &h->states.at[1], s4), 0, "500 kPa is not: it rests");
  PL_CHECK_INT(pl_position_in(h, &h->states.at[2], s4), 1, "unless the state says so");
  release(&built);
}

static void defaults_are_listed(void) {
  struct built built;
  build_text(&built, "machine \"m\"\nrelay K1\n");
  bool found = false;
  for (uint32_t i = 0; i < built.harness.defaults.n; i++)
    found = found || strcmp(built.harness.defaults.at[i].what, "coil resistance of relay K1") == 0;
  PL_CHECK(found, "the coil's resistance was taken by default");
  PL_CHECK_INT(built.harness.states.n, 1, "a state at rest stands in when none is declared");
  release(&built);
}

static void sizes_come_from_the_tables(void) {
  struct built built;
  build_text(&built,
             "machine \"m\"\nstud A\nstud B\nwires of x\n 1 A B 2/0 AWG BU-RD TXL length 1 m\n 2 A "
             "B 1.5mm2 gnye length 1 m\n 3 A B 0.75 mm2 ISO C length 1 m\n");
  PL_CHECK(built.good, printed(&built));
  CU_ASSERT_FATAL(built.good);
  PL_CHECK_CLOSE(wire(&built, "1")->area, 67.43, 1e-3, "2/0 AWG, ASTM B258");
  PL_CHECK_STR(wire(&built, "1")->colour.stripe, "RD", "stripe behind a hyphen");
  PL_CHECK_STR(pl_insulations[wire(&built, "1")->insulation].name, "TXL", "insulation");
  PL_CHECK_CLOSE(wire(&built, "2")->ohms_per_m,
                 0.0133,
                 1e-9,
                 "IEC 60228 class 5, 1.5 mm2: 13.3 ohm/km");
  PL_CHECK_STR(pl_insulations[wire(&built, "3")->insulation].name,
               "ISO C",
               "insulation of two words");
  release(&built);
}

/* ---- files ---- */

static void includes_are_relative(void) {
  struct built built;
  struct memory_file files[] = {
      {"d/a.loom", "machine \"m\"\ninclude \"e/b.loom\"\ninclude \"e/b.loom\"\n"},
      {"d/e/b.loom", "include \"../c.loom\"\nstud B\n"},
      {"d/c.loom", "stud C\n"},
      {NULL, NULL}};
  build_files(&built, files);
  PL_CHECK(built.good, printed(&built));
  PL_CHECK_INT(built.harness.devices.n, 2, "each file is read once, in the order of the text");
  PL_CHECK_STR(built.harness.devices.at[0].name, "C", "order");
  release(&built);
}

static void cycle_is_shown(void) {
  struct built built;
  struct memory_file files[] = {{"a.loom", "machine \"m\"\ninclude \"b.loom\"\n"},
                                {"b.loom", "include \"a.loom\"\n"},
                                {NULL, NULL}};
  build_files(&built, files);
  PL_CHECK(strstr(printed(&built),
                  "b.loom:1:9: error: this file includes itself: a.loom -> b.loom -> a.loom") !=
               NULL,
           printed(&built));
  PL_CHECK_INT(built.findings.errors, 1, "once");
  release(&built);
}

static void missing_files_are_said(void) {
  struct built built;
  build_text(&built, "machine \"m\"\ninclude \"nowhere.loom\"\n");
  PL_CHECK(strstr(printed(&built), "a.loom:2:9: error: cannot read nowhere.loom: no such file") !=
               NULL,
           printed(&built));
  release(&built);
  struct memory_file none[] = {{NULL, NULL}};
  struct pl_reader reader = {read_memory, none};
  build_with(&built, "x.loom", &reader);
  PL_CHECK(strstr(printed(&built), "cannot read x.loom") != NULL, printed(&built));
  release(&built);
}

static enum pl_file_status read_endless(void *context,
                                        struct pl_arena *arena,
                                        const char *path,
                                        const char **text,
                                        size_t *size) {
  int *n = context;
  (void)path;
  *text = pl_arena_printf(arena, "include \"f%d.loom\"\n", ++*n);
  *size = strlen(*text);
  return PL_FILE_OK;
}

static void depth_has_an_end(void) {
  struct built built;
  int n = 0;
  struct pl_reader reader = {read_endless, &n};
  build_with(&built, "a.loom", &reader);
  PL_CHECK_INT(n, PL_LIMIT_DEPTH, "files opened");
  PL_CHECK(strstr(printed(&built), "nested too deep") != NULL, "message");
  release(&built);
}

static void parts_cannot_hold_themselves(void) {
  struct built built;
  build_text(&built, "machine \"m\"\npart a is lamp\n  part a\nlamp E1\n  part a\n");
  PL_CHECK(!built.good && strstr(printed(&built), "takes over itself") != NULL, printed(&built));
  PL_CHECK_INT(built.findings.errors, 1, "once");
  release(&built);
}

static void digest_follows_the_text(void) {
  struct built a, b, c;
  build_text(&a, "machine \"m\"\n");
  build_text(&b, "machine \"m\"\n");
  build_text(&c, "machine \"n\"\n");
  PL_CHECK_STR(a.harness.digest, b.harness.digest, "same text");
  PL_CHECK(strcmp(a.harness.digest, c.harness.digest) != 0, "other text");
  PL_CHECK_INT(strlen(a.harness.digest), 64, "SHA-256");
  release(&a);
  release(&b);
  release(&c);
}

static void demos_read(void) {
  const char *files[] = {"harnesses/pump-skid/pump-skid.loom",
                         "harnesses/snowplow/snowplow.loom",
                         "harnesses/starter/starter.loom"};
  for (size_t i = 0; i < sizeof files / sizeof files[0]; i++) {
    struct built built;
    build_with(&built, pl_test_path(files[i]), &pl_reader_disk);
    PL_CHECK(built.good, files[i]);
    if (!built.good)
      printf("%s", printed(&built));
    if (i == 1) {
      PL_CHECK(built.harness.devices.n >= 35 && built.harness.connectors.n >= 30 &&
                   built.harness.wires.n >= 160,
               "the snowplow is large enough");
    }
    release(&built);
  }
}

static void every_shipped_part_can_be_used(void) {
  struct pl_arena arena;
  struct pl_part_entry *entries;
  uint32_t count;
  pl_test_arena(&arena);
  pl_build_list_parts(&arena, &entries, &count);
  CU_ASSERT_FATAL(count >= 30);
  for (uint32_t i = 0; i < count; i++) {
    struct built built;
    build_text(&built,
               pl_arena_printf(&arena,
                               "machine \"m\"\nchassis FRAME\n%s D1\n  part %s\n%s",
                               pl_kind_name(entries[i].kind),
                               entries[i].name,
                               entries[i].kind == PL_KIND_BOND ? "  to FRAME\n" : ""));
    PL_CHECK(built.good, entries[i].name);
    if (!built.good)
      printf("%s", printed(&built));
    release(&built);
  }
  pl_arena_release(&arena);
}

/* Memory running out at any point is handed to the handler, and nothing leaks (the arena holds
 * all). */
static int oom_seen;
static jmp_buf oom_jump;
static void jump_back(void *context) {
  (void)context;
  oom_seen++;
  longjmp(oom_jump, 1);
}

static void any_allocation_may_fail(void) {
  static struct memory_file files[] = {{"a.loom", routed}, {NULL, NULL}};
  static struct built built;
  static uint64_t k;
  static bool finished;
  oom_seen = 0;
  finished = false;
  for (k = 1; !finished; k += 5) {
    pl_arena_init(&built.arena, jump_back, NULL);
    built.arena.fail_at = k;
    if (setjmp(oom_jump) == 0) {
      struct pl_reader reader = {read_memory, files};
      pl_sources_init(&built.sources, &built.arena);
      pl_findings_init(&built.findings, &built.arena);
      pl_harness_init(&built.harness, &built.arena);
      pl_build("a.loom", &reader, &built.sources, &built.findings, &built.harness);
      finished = true;
    }
    pl_arena_release(&built.arena);
  }
  PL_CHECK(oom_seen > 20, "the handler was called");
}

/* Lines that tell how the harness is cut, labelled and bought: what they set, and what stands when
 * they are left out. */
#define WORK                                                                                       \
  "terminal sealed 1.5\n  strip 6 mm\nterminal open 2.8\nmodule ECM \"engine controller\"\n  "     \
  "connector A 4 cavities, terminal sealed 1.5\n"                                                  \
  "  A1 signal input, off in settings\n  A2 signal input\nlamp E1\n  draws 1 A at 12 V\nwires of " \
  "all\n"                                                                                          \
  "  1 ECM.A1 E1.+ 18 AWG RD length 3 m, donor extended by 1.2 m\n  2 ECM.A2 E1.- 18 AWG BK "      \
  "length 3 m, donor extended\n"

static void lines_of_the_work(void) {
  struct built built;
  build_text(&built, "machine \"m\"\n  spare 20 %\n  labels flag\n" WORK);
  PL_CHECK(built.good, printed(&built));
  PL_CHECK(fabs(built.harness.machine.spare - 0.2) < 1e-12, "spare 20 %");
  PL_CHECK(built.harness.machine.flags, "labels flag");
  const struct pl_pin *off = &built.harness.pins.at[pl_harness_find_pin(&built.harness, "ECM.A1")];
  const struct pl_pin *on = &built.harness.pins.at[pl_harness_find_pin(&built.harness, "ECM.A2")];
  PL_CHECK(off->set_off && !on->set_off, "off in settings");
  PL_CHECK(
      fabs(pl_pin_terminal(&built.harness, pl_harness_find_pin(&built.harness, "ECM.A1"))->strip -
           0.006) < 1e-12,
      "strip 6 mm");
  PL_CHECK(fabs(wire(&built, "1")->extension - 1.2) < 1e-12 && isnan(wire(&built, "2")->extension),
           "donor extended by 1.2 m");
  PL_CHECK(wire(&built, "1")->status == PL_WIRE_DONOR_EXTENDED &&
               wire(&built, "2")->status == PL_WIRE_DONOR_EXTENDED,
           "extended");
  release(&built);
  build_text(&built, "machine \"m\"\n  labels sleeve\n" WORK);
  PL_CHECK(fabs(built.harness.machine.spare - 0.1) < 1e-12 && !built.harness.machine.flags,
           "a tenth, and sleeves");
  release(&built);
}

static CU_TestInfo message_tests[] = {
    {"goldens", goldens},
    {"three mistakes give three messages", three_mistakes_give_three},
    CU_TEST_INFO_NULL};
static CU_TestInfo model_tests[] = {
    {"shortest way", shortest_way},
    {"unknown lengths are said", unknown_lengths_are_said},
    {"headings are read", headings_are_read},
    {"one gap is said once", one_gap_is_said_once},
    {"no places are said once", no_places_are_said_once},
    {"an unknown name is said once", an_unknown_name_is_said_once},
    {"a missing file is guessed", a_missing_file_is_guessed},
    {"pins by both names", pins_by_both_names},
    {"own lines win over the part", own_lines_win_over_the_part},
    {"quantities and conditions", quantities_and_conditions},
    {"defaults are listed", defaults_are_listed},
    {"sizes come from the tables", sizes_come_from_the_tables},
    {"digest follows the text", digest_follows_the_text},
    {"lines of the work", lines_of_the_work},
    {"demos read", demos_read},
    {"every shipped part can be used", every_shipped_part_can_be_used},
    {"any allocation may fail", any_allocation_may_fail},
    CU_TEST_INFO_NULL};
static CU_TestInfo file_tests[] = {{"includes are relative", includes_are_relative},
                                   {"a cycle is shown", cycle_is_shown},
                                   {"missing files are said", missing_files_are_said},
                                   {"depth has an end", depth_has_an_end},
                                   {"parts cannot hold themselves", parts_cannot_hold_themselves},
                                   CU_TEST_INFO_NULL};

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("messages", message_tests),
                           PL_SUITE("model", model_tests),
                           PL_SUITE("files", file_tests),
                           CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
