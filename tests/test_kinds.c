/* Every kind of harness/kinds.def, walked: a small machine is written with it, and every room that
 * must know a kind is asked whether it does.  A kind without a row here fails the test. */
#define _GNU_SOURCE /* strcasestr */
#include "base/file.h"
#include "circuit/circuit.h"
#include "cli/help_words.h"
#include "draw/drawings.h"
#include "fault/fault.h"
#include "model/build.h"
#include "pl_test.h"
#include "rules/rules.h"
#include "sheet/changes.h"
#include "suspect/suspects.h"

/* The lines that describe the device `T1`, another of its figures for compare, and its wires. */
struct sample {
  const char *lines, *other, *wires;
};

#define TWO_WIRES "  1 F1.out T1.+ 18 AWG RD length 1 m\n  2 T1.- FRAME 18 AWG BK length 1 m\n"
#define DRAWS \
  { "  draws 3 A\n", "  draws 4 A\n", TWO_WIRES }
#define GUARDS                                                                    \
  "  1 F1.out T1.in 18 AWG RD length 1 m\n  2 T1.out H1.+ 18 AWG RD length 1 m\n" \
  "  3 H1.- FRAME 18 AWG BK length 1 m\n"

static const struct sample samples[PL_KIND_COUNT] = {
    [PL_KIND_BATTERY] =
        {"  cca 600 A\n",
         "  cca 700 A\n",
         "  1 T1.+ BAT.+ 4 AWG RD length 1 m\n  2 T1.- FRAME 4 AWG BK length 1 m\n"},
    [PL_KIND_ALTERNATOR] = {"  output 40..90 A\n  case on FRAME\n",
                            "  output 40..95 A\n  case on FRAME\n",
                            "  1 T1.B+ BAT.+ 6 AWG RD length 1 m\n"
                            "  2 F1.out T1.D+ 18 AWG RD length 1 m\n"},
    [PL_KIND_STARTER] = {"  cranks 300 A at 9 V\n  case on FRAME\n",
                         "  cranks 310 A at 9 V\n  case on FRAME\n",
                         "  1 BAT.+ T1.30 1/0 AWG RD length 1 m\n"
                         "  2 F1.out T1.50 14 AWG RD length 1 m\n"},
    [PL_KIND_FUSE] = {"  rating 5 A\n", "  rating 7.5 A\n", GUARDS},
    [PL_KIND_BREAKER] = {"  rating 5 A\n", "  rating 10 A\n", GUARDS},
    [PL_KIND_FUSIBLE_LINK] = {"  rating 5 A\n", "  rating 10 A\n", GUARDS},
    [PL_KIND_SWITCH] = {"  position off\n  position on: in to out\n  rating 5 A\n",
                        "  position off\n  position on: in to out\n  rating 10 A\n",
                        GUARDS},
    [PL_KIND_PROXIMITY] = {"  rating 0.2 A\n",
                           "  rating 0.3 A\n",
                           TWO_WIRES "  3 T1.out H1.+ 18 AWG WH length 1 m\n"
                                     "  4 H1.- FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_DISCONNECT] = {"  rating 50 A\n", "  rating 60 A\n", GUARDS},
    [PL_KIND_RELAY] = {"  coil 90 ohm\n",
                       "  coil 80 ohm\n",
                       "  1 F1.out T1.30 18 AWG RD length 1 m\n"
                       "  2 T1.87 H1.+ 18 AWG RD length 1 m\n"
                       "  3 H1.- FRAME 18 AWG BK length 1 m\n"
                       "  4 F1.out T1.86 18 AWG RD length 1 m\n"
                       "  5 T1.85 FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_LAMP] = DRAWS,
    [PL_KIND_MOTOR] = DRAWS,
    [PL_KIND_PUMP] = DRAWS,
    [PL_KIND_FAN] = DRAWS,
    [PL_KIND_SOLENOID] = DRAWS,
    [PL_KIND_HEATER] = DRAWS,
    [PL_KIND_HORN] = DRAWS,
    [PL_KIND_BUZZER] = DRAWS,
    [PL_KIND_LOAD] = DRAWS,
    [PL_KIND_MODULE] = {"  A1 battery feed, 2 A, 9..16 V, required\n  A2 ground, required\n",
                        "  A1 battery feed, 3 A, 9..16 V, required\n  A2 ground, required\n",
                        "  1 F1.out T1.A1 18 AWG RD length 1 m\n"
                        "  2 T1.A2 FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_SENSOR] = {"  resistance 500 ohm\n",
                        "  resistance 600 ohm\n",
                        "  1 F1.out T1.signal 18 AWG RD length 1 m\n"
                        "  2 T1.return FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_SENDER] = {"  resistance 90 ohm\n",
                        "  resistance 80 ohm\n",
                        "  1 F1.out T1.signal 18 AWG RD length 1 m\n"
                        "  2 T1.case FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_GAUGE] = {"  resistance 100 ohm\n",
                       "  resistance 120 ohm\n",
                       TWO_WIRES "  3 T1.S B9.signal 18 AWG WH length 1 m\n"
                                 "  4 B9.case FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_DIODE] = {"  drop 0.7 V\n",
                       "  drop 0.8 V\n",
                       "  1 F1.out T1.A 18 AWG RD length 1 m\n"
                       "  2 T1.K H1.+ 18 AWG RD length 1 m\n"
                       "  3 H1.- FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_RESISTOR] = {"  resistance 50 ohm\n",
                          "  resistance 60 ohm\n",
                          "  1 F1.out T1.1 18 AWG RD length 1 m\n"
                          "  2 T1.2 FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_TERMINATOR] = {"  resistance 120 ohm\n",
                            "  resistance 110 ohm\n",
                            "  1 F1.out T1.1 18 AWG RD length 1 m\n"
                            "  2 T1.2 FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_STUD] = {"",
                      "  donor\n",
                      "  1 F1.out T1 18 AWG RD length 1 m\n  2 T1 H1.+ 18 AWG RD length 1 m\n"
                      "  3 H1.- FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_SPLICE] = {"",
                        "  donor\n",
                        "  1 F1.out T1 18 AWG RD length 1 m\n  2 T1 H1.+ 18 AWG RD length 1 m\n"
                        "  3 H1.- FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_CHASSIS] = {"",
                         "  donor\n",
                         "  1 F1.out H1.+ 18 AWG RD length 1 m\n  2 H1.- T1 18 AWG BK length 1 m\n"
                         "  3 T1 FRAME 8 AWG BK length 1 m\n"},
    [PL_KIND_BOND] = {"  to FRAME\n",
                      "  to FRAME\n  resistance 2 mohm\n",
                      "  1 F1.out H1.+ 18 AWG RD length 1 m\n  2 H1.- T1 18 AWG BK length 1 m\n"},
    [PL_KIND_INLINE] = {"  cavities 2\n",
                        "  cavities 3\n",
                        "  1 F1.out T1.P.1 18 AWG RD length 1 m\n"
                        "  2 T1.S.1 H1.+ 18 AWG RD length 1 m\n"
                        "  3 H1.- FRAME 18 AWG BK length 1 m\n"},
    [PL_KIND_CONNECTOR] = {"  cavities 2\n",
                           "  cavities 3\n",
                           "  1 F1.out T1.1 18 AWG RD length 1 m\n"
                           "  2 T1.2 FRAME 18 AWG BK length 1 m\n"},
};

struct machine {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  pl_id device;
};

static bool uses(const char *wires, const char *device) {
  return strstr(wires, device) != NULL;
}

static void describe(struct machine *m, enum pl_kind kind, const char *lines) {
  const struct sample *sample = &samples[kind];
  pl_test_arena(&m->arena);
  pl_sources_init(&m->sources, &m->arena);
  pl_findings_init(&m->findings, &m->arena);
  pl_harness_init(&m->harness, &m->arena);
  char *text = pl_arena_printf(&m->arena,
                               "machine \"Kinds\"\nbattery BAT\n  cca 600 A\nchassis FRAME\n"
                               "fuse F1\n  rating 10 A\n%s%s%s T1\n%s"
                               "wires of test\n"
                               "  90 BAT.- FRAME 4 AWG BK length 1 m\n"
                               "  91 BAT.+ F1.in 12 AWG RD length 0.1 m\n%s"
                               "state on\n",
                               uses(sample->wires, "H1") ? "lamp H1\n  draws 1 A\n" : "",
                               uses(sample->wires, "B9") ? "sender B9\n  resistance 90 ohm\n" : "",
                               pl_kind_name(kind),
                               lines,
                               sample->wires);
  struct pl_reader reader = pl_reader_text(text);
  bool read = pl_build("kinds.loom", &reader, &m->sources, &m->findings, &m->harness);
  if (!read) {
    struct pl_buffer out;
    pl_buffer_init(&out, &m->arena);
    pl_findings_print(&out, &m->findings, &m->sources);
    printf("%s", out.at);
  }
  CU_ASSERT_TRUE_FATAL(read);
  m->device = pl_harness_find_device(&m->harness, "T1");
  CU_ASSERT_FATAL(m->device != PL_NONE);
  PL_CHECK(m->harness.devices.at[m->device].kind == kind, pl_kind_name(kind));
}

static bool is_said(const struct pl_scene *scene, const char *text) {
  for (uint32_t i = 0; i < scene->items.n; i++)
    if (scene->items.at[i].text != NULL && strcasestr(scene->items.at[i].text, text) != NULL)
      return true;
  return false;
}

/* ---- what each room must do ---- */

static void has_a_sample(enum pl_kind kind) {
  PL_CHECK(samples[kind].wires != NULL, pl_kind_name(kind));
  CU_ASSERT_FATAL(samples[kind].wires != NULL);
}

static void is_solved(struct machine *m, enum pl_kind kind) {
  struct pl_network *network = pl_network_new(&m->harness, &m->arena);
  struct pl_solution solution;
  pl_network_solve(network, 0, &solution, NULL);
  PL_CHECK(solution.status == PL_SOLVED, pl_kind_name(kind));
  bool node = pl_kind_is(kind, PL_IS_NODE | PL_IS_PLUG);
  bool modelled = node;
  for (uint32_t i = 0; i < solution.element_count; i++)
    modelled = modelled || solution.elements[i].device == m->device;
  PL_CHECK(modelled, pl_arena_printf(&m->arena, "%s has elements", pl_kind_name(kind)));
  pl_network_release(network);
}

static void is_drawn(struct machine *m, enum pl_kind kind) {
  pl_scenes pages = {0};
  bool drawn = false;
  pl_draw_circuit(&m->harness, 0, &m->arena, &pages);
  for (uint32_t p = 0; p < pages.n; p++)
    drawn = drawn || is_said(&pages.at[p], "T1");
  PL_CHECK(drawn, pl_arena_printf(&m->arena, "%s is drawn", pl_kind_name(kind)));
}

static void is_in_the_legend(struct machine *m, enum pl_kind kind) {
  pl_scenes pages = {0};
  const char *word;
  if (kind == PL_KIND_BOND)
    word = "chassis";
  else if (kind == PL_KIND_INLINE)
    word = "plug";
  else if (kind == PL_KIND_MODULE)
    word = "controller";
  else if (kind == PL_KIND_LOAD)
    word = "another load";
  else
    word = pl_kind_name(kind);
  pl_draw_legend(&m->harness, &m->arena, &pages);
  bool there = false;
  for (uint32_t p = 0; p < pages.n; p++)
    there = there || is_said(&pages.at[p], word);
  PL_CHECK(there, pl_arena_printf(&m->arena, "%s is in the legend", pl_kind_name(kind)));
}

static bool is_about(const struct machine *m, const struct pl_fault *fault) {
  const struct pl_harness *h = &m->harness;
  if (fault->device == m->device)
    return true;
  return fault->pin_a != PL_NONE && h->pins.at[fault->pin_a].device == m->device;
}

static void is_in_the_fault_table(struct machine *m, enum pl_kind kind) {
  pl_faults faults = {0};
  bool wanted = pl_kind_breaks(kind,
                               PL_BREAKS_OPEN | PL_BREAKS_SHORTED | PL_BREAKS_RESISTANCE |
                                   PL_BREAKS_STUCK_IN | PL_BREAKS_POSITION);
  bool there = !wanted;
  pl_faults_list(&m->harness, &m->arena, &faults);
  for (uint32_t i = 0; i < faults.n; i++)
    there = there || is_about(m, &faults.at[i]);
  PL_CHECK(there, pl_arena_printf(&m->arena, "%s is in the fault table", pl_kind_name(kind)));
}

static void is_suspected(struct machine *m, enum pl_kind kind) {
  struct pl_suspects table;
  bool there = pl_kind_row(kind)->breaks == 0;
  pl_suspects_list(&m->harness, &m->arena, &table);
  for (uint32_t i = 0; i < table.suspects.n; i++) {
    const struct pl_suspect *s = &table.suspects.at[i];
    bool plug =
        s->connector != PL_NONE && m->harness.connectors.at[s->connector].device == m->device;
    there = there || plug || s->device == m->device || is_about(m, &s->fault);
  }
  PL_CHECK(there, pl_arena_printf(&m->arena, "%s is suspected", pl_kind_name(kind)));
}

static void is_compared(struct machine *m, enum pl_kind kind) {
  struct machine other;
  pl_changes changes = {0};
  describe(&other, kind, samples[kind].other);
  pl_changes_find(&m->harness, &other.harness, &m->arena, &changes);
  bool told = false;
  for (uint32_t i = 0; i < changes.n; i++)
    told = told || strstr(changes.at[i].name, "T1") != NULL;
  PL_CHECK(told, pl_arena_printf(&m->arena, "a changed %s is told", pl_kind_name(kind)));
  pl_arena_release(&other.arena);
}

static void is_documented(struct machine *m, enum pl_kind kind) {
  const char *text;
  size_t size;
  const char *mark = pl_arena_printf(&m->arena, "`%s`", pl_kind_name(kind));
  CU_ASSERT_FATAL(pl_file_read(&m->arena, pl_test_path("docs/language.md"), &text, &size) ==
                  PL_FILE_OK);
  PL_CHECK(strstr(text, mark) != NULL,
           pl_arena_printf(&m->arena, "%s is in docs/language.md", pl_kind_name(kind)));
}

static void is_in_help(struct machine *m, enum pl_kind kind) {
  struct pl_buffer out;
  pl_buffer_init(&out, &m->arena);
  bool known = pl_help_word(&out, pl_kind_name(kind));
  PL_CHECK(known && strstr(out.at, pl_kind_row(kind)->example) != NULL,
           pl_arena_printf(&m->arena, "%s is in help", pl_kind_name(kind)));
}

static void every_kind(void) {
  for (int k = 0; k < PL_KIND_COUNT; k++) {
    enum pl_kind kind = (enum pl_kind)k;
    struct machine m;
    has_a_sample(kind);
    describe(&m, kind, samples[kind].lines);
    is_solved(&m, kind);
    is_drawn(&m, kind);
    is_in_the_legend(&m, kind);
    is_in_the_fault_table(&m, kind);
    is_suspected(&m, kind);
    is_compared(&m, kind);
    is_documented(&m, kind);
    is_in_help(&m, kind);
    pl_arena_release(&m.arena);
  }
}

/* Every word opens a line, and the example of a row begins with it. */
static void rows_are_whole(void) {
  for (int k = 0; k < PL_KIND_COUNT; k++) {
    const struct pl_kind_row *row = pl_kind_row((enum pl_kind)k);
    PL_CHECK(strncmp(row->example, row->word, strlen(row->word)) == 0, row->word);
    PL_CHECK(row->help[0] != '\0' && row->properties != 0, row->word);
    for (int other = 0; other < k; other++)
      PL_CHECK(strcmp(pl_kind_row((enum pl_kind)other)->word, row->word) != 0, row->word);
  }
}

static CU_TestInfo tests[] = {
    {"every kind is known everywhere", every_kind},
    {"the rows are whole", rows_are_whole},
    CU_TEST_INFO_NULL,
};

int main(void) {
  CU_SuiteInfo suites[] = {{"kinds", NULL, NULL, NULL, NULL, tests}, CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
