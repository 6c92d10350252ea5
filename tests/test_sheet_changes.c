/* Two texts held against each other: nothing where nothing is, and of random edits exactly these.
 */
#include "model/build.h"
#include "sheet/changes.h"
#include "sheet_kit.h"

static uint32_t next(uint32_t *seed) {
  return *seed = *seed * 1664525u + 1013904223u;
} /* Numerical Recipes (from memory) */
static uint32_t pick(uint32_t *seed, uint32_t n) {
  return (next(seed) >> 8) % n;
}

static struct pl_harness *
built(struct pl_arena *arena, const char *path, const struct pl_reader *reader) {
  struct pl_sources *sources = PL_NEW(arena, struct pl_sources);
  struct pl_findings *findings = PL_NEW(arena, struct pl_findings);
  struct pl_harness *harness = PL_NEW(arena, struct pl_harness);
  pl_sources_init(sources, arena);
  pl_findings_init(findings, arena);
  pl_harness_init(harness, arena);
  CU_ASSERT_FATAL(pl_build(path, reader, sources, findings, harness));
  return harness;
}

static struct pl_harness *built_from(struct pl_arena *arena, const char *text) {
  struct pl_reader reader = pl_reader_text(text);
  return built(arena, "m.loom", &reader);
}

/* ---- a machine of modules and wires, that can be written again with edits ---- */

enum {
  MODULES = 6,
  CAVITIES = 8,
  WIRES = 30
};
struct plan {
  bool module_there[MODULES];
  unsigned text[MODULES];
  struct {
    bool there, turned;
    unsigned from, to; /* module x CAVITIES + cavity */
    unsigned size, colour, length;
  } wires[WIRES];
};
static const char *const sizes[] = {"18 AWG", "16 AWG", "14 AWG", "1.5 mm2"}, *const colours[] = {
                                                                                  "RD",
                                                                                  "BK",
                                                                                  "GN/YE",
                                                                                  "BU"};

static const char *pin_text(struct pl_arena *arena, unsigned pin) {
  return pl_arena_printf(arena, "M%u.A%u", pin / CAVITIES, pin % CAVITIES + 1);
}

static const char *written(struct pl_arena *arena, const struct plan *plan) {
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  pl_buffer_puts(&out, "machine \"m\"\n");
  for (unsigned m = 0; m < MODULES; m++)
    if (plan->module_there[m])
      pl_buffer_printf(&out,
                       "module M%u \"text %u\"\n  connector A %d cavities\n",
                       m,
                       plan->text[m],
                       CAVITIES);
  pl_buffer_puts(&out, "wires of all\n");
  for (unsigned w = 0; w < WIRES; w++) {
    unsigned a;
    if (plan->wires[w].turned)
      a = plan->wires[w].to;
    else
      a = plan->wires[w].from;
    unsigned b;
    if (plan->wires[w].turned)
      b = plan->wires[w].from;
    else
      b = plan->wires[w].to;
    if (plan->wires[w].there)
      pl_buffer_printf(&out,
                       "  w%u %s %s %s %s length %u m\n",
                       w,
                       pin_text(arena, a),
                       pin_text(arena, b),
                       sizes[plan->wires[w].size],
                       colours[plan->wires[w].colour],
                       plan->wires[w].length);
  }
  return out.at;
}

static void make_plan(struct plan *plan, uint32_t *seed) {
  memset(plan, 0, sizeof *plan);
  for (unsigned m = 0; m < MODULES; m++)
    plan->module_there[m] = m < MODULES - 1;
  for (unsigned w = 0; w < WIRES; w++) {
    plan->wires[w].there = w < WIRES - 5;
    plan->wires[w].from = pick(seed, 2 * CAVITIES);
    plan->wires[w].to = (2 + pick(seed, MODULES - 3)) * CAVITIES + pick(seed, CAVITIES);
    plan->wires[w].size = pick(seed, 4);
    plan->wires[w].colour = pick(seed, 4);
    plan->wires[w].length = 1 + pick(seed, 9);
  }
}

struct expected {
  const char *at[2 * WIRES];
  uint32_t n;
};

static void expect(struct pl_arena *arena,
                   struct expected *expected,
                   enum pl_change_kind kind,
                   const char *group,
                   const char *name,
                   const char *aspect,
                   const char *was,
                   const char *is) {
  expected->at[expected->n++] =
      pl_arena_printf(arena, "%d|%s|%s|%s|%s|%s", kind, group, name, aspect, was, is);
}

static void edit_wire(struct pl_arena *arena,
                      struct plan *plan,
                      unsigned w,
                      uint32_t *seed,
                      struct expected *expected) {
  const char *name = pl_arena_printf(arena, "w%u", w);
  if (!plan->wires[w].there) {
    plan->wires[w].there = true;
    expect(arena, expected, PL_CHANGE_ADDED, "wire", name, "", "", "");
    return;
  }
  unsigned was;
  switch (pick(seed, 7)) {
    case 0:
      plan->wires[w].there = false;
      expect(arena, expected, PL_CHANGE_REMOVED, "wire", name, "", "", "");
      break;
    case 1:
      was = plan->wires[w].size;
      plan->wires[w].size = (was + 1) % 4;
      expect(arena,
             expected,
             PL_CHANGE_CHANGED,
             "wire",
             name,
             "size",
             sizes[was],
             sizes[(was + 1) % 4]);
      break;
    case 2:
      was = plan->wires[w].colour;
      plan->wires[w].colour = (was + 1) % 4;
      expect(arena,
             expected,
             PL_CHANGE_CHANGED,
             "wire",
             name,
             "colour",
             colours[was],
             colours[(was + 1) % 4]);
      break;
    case 3: /* moved, and perhaps written from its other end: the same move */
      was = plan->wires[w].from;
      plan->wires[w].from = (was + 1) % (2 * CAVITIES);
      plan->wires[w].turned = pick(seed, 2) == 1;
      expect(arena,
             expected,
             PL_CHANGE_CHANGED,
             "wire",
             name,
             "from",
             pin_text(arena, was),
             pin_text(arena, plan->wires[w].from));
      break;
    case 4:
      was = plan->wires[w].to;
      plan->wires[w].to = was / CAVITIES * CAVITIES + (was + 1) % CAVITIES;
      expect(arena,
             expected,
             PL_CHANGE_CHANGED,
             "wire",
             name,
             "to",
             pin_text(arena, was),
             pin_text(arena, plan->wires[w].to));
      break;
    case 5:
      was = plan->wires[w].length++;
      expect(arena,
             expected,
             PL_CHANGE_CHANGED,
             "wire",
             name,
             "length m",
             pl_arena_printf(arena, "%u.00", was),
             pl_arena_printf(arena, "%u.00", was + 1));
      break;
    default:
      plan->wires[w].turned = true;
      break; /* no change at all */
  }
}

static void
edit(struct pl_arena *arena, struct plan *plan, uint32_t *seed, struct expected *expected) {
  for (unsigned w = 0; w < WIRES; w++)
    if (pick(seed, 4) == 0)
      edit_wire(arena, plan, w, seed, expected);
  unsigned m = pick(seed, MODULES - 1);
  plan->text[m]++;
  expect(arena,
         expected,
         PL_CHANGE_CHANGED,
         "device",
         pl_arena_printf(arena, "M%u", m),
         "what it is",
         "text 0",
         "text 1");
  if (pick(seed, 2) == 0) {
    plan->module_there[MODULES - 1] = true;
    expect(arena,
           expected,
           PL_CHANGE_ADDED,
           "device",
           pl_arena_printf(arena, "M%d", MODULES - 1),
           "",
           "",
           "");
  }
}

static void check_cavities(struct pl_arena *arena,
                           const struct pl_harness *old,
                           const struct pl_harness *harness,
                           const pl_sheets *sheets) {
  const struct pl_sheet *sheet = NULL;
  for (uint32_t i = 0; i < sheets->n; i++)
    if (strcmp(sheets->at[i].file, "changes-cavities") == 0)
      sheet = &sheets->at[i];
  for (pl_id w = 0; w < harness->wires.n; w++)
    for (int end = 0; end < 2; end++) { /* a wire that was not at this pin stands under "put in"
                                           there, once; one that was does not */
      const char *pin = harness->pins.at[harness->wires.at[w].end[end]].full;
      const char *number = harness->wires.at[w].number;
      uint32_t was;
      uint32_t n = 0;
      bool there = pl_table_find(&old->wire_numbers, number, &was) &&
                   (strcmp(old->pins.at[old->wires.at[was].end[0]].full, pin) == 0 ||
                    strcmp(old->pins.at[old->wires.at[was].end[1]].full, pin) == 0);
      for (uint32_t r = 0; sheet != NULL && r < sheet->rows.n; r++)
        if (strcmp(kit_cell(sheet, r, "cavity or pin"), pin) == 0)
          n += strstr(pl_arena_printf(arena, " %s,", kit_cell(sheet, r, "put in")),
                      pl_arena_printf(arena, " %s,", number)) != NULL;
      if (n != (there ? 0 : 1))
        PL_CHECK_INT(n, there ? 0 : 1, pl_arena_printf(arena, "wire %s at %s", number, pin));
    }
}

static void random_edits(void) {
  uint32_t seed = 11;
  uint32_t edits = 0;
  for (int round = 0; round < 120; round++) {
    struct pl_arena arena;
    struct plan plan;
    struct expected expected = {.n = 0};
    pl_changes changes = {0};
    pl_sheets sheets = {0};
    pl_test_arena(&arena);
    make_plan(&plan, &seed);
    struct pl_harness *old = built_from(&arena, written(&arena, &plan));
    edit(&arena, &plan, &seed, &expected);
    struct pl_harness *harness = built_from(&arena, written(&arena, &plan));
    pl_changes_find(old, harness, &arena, &changes);
    PL_CHECK_INT(changes.n, expected.n, "as many as were made");
    for (uint32_t i = 0; i < changes.n; i++) {
      const struct pl_change *c = &changes.at[i];
      const char *text = pl_arena_printf(&arena,
                                         "%d|%s|%s|%s|%s|%s",
                                         c->kind,
                                         c->group,
                                         c->name,
                                         c->aspect,
                                         c->was,
                                         c->is);
      bool found = false;
      for (uint32_t k = 0; k < expected.n; k++)
        found = found || strcmp(expected.at[k], text) == 0;
      PL_CHECK(found, text);
    }
    struct pl_network *network = pl_network_new(harness, &arena);
    pl_sheets_changes(old, harness, network, NULL, &arena, &sheets);
    check_cavities(&arena, old, harness, &sheets);
    edits += expected.n;
    pl_network_release(network);
    pl_arena_release(&arena);
  }
  CU_ASSERT_TRUE(edits > 500);
}

/* Every new or moved wire is rung out again. */
static void tests_again(void) {
  struct pl_arena arena;
  pl_sheets sheets = {0};
  pl_test_arena(&arena);
  struct pl_harness *old =
      built_from(&arena,
                 "machine \"m\"\nmodule M \"x\"\n  connector A 4 cavities\nmodule N\n  connector A "
                 "4 cavities\nwires of all\n"
                 "  1 M.A1 N.A1 16 AWG RD length 1 m\n  2 M.A2 N.A2 16 AWG RD length 1 m\n");
  struct pl_harness *harness =
      built_from(&arena,
                 "machine \"m\"\nmodule M \"x\"\n  connector A 4 cavities\nmodule N\n  connector A "
                 "4 cavities\nwires of all\n"
                 "  1 M.A1 N.A1 16 AWG RD length 1 m\n  2 M.A3 N.A2 16 AWG RD length 1 m\n");
  struct pl_network *network = pl_network_new(harness, &arena);
  pl_sheets_changes(old, harness, network, NULL, &arena, &sheets);
  const struct pl_sheet *tests = kit_sheet(&sheets, "changes-tests");
  PL_CHECK_STR(kit_cell(tests, 0, "test"), "ring out", "the moved wire");
  PL_CHECK_STR(kit_cell(tests, 0, "at"), "M.A3", "its new cavity");
  PL_CHECK_STR(kit_cell(tests, 0, "through wires"), "2", "itself");
  PL_CHECK(strcmp(kit_cell(tests, 1, "test"), "ring out") != 0, "the other one is as it was");
  pl_network_release(network);
  pl_arena_release(&arena);
}

/* The same copper under another number, written from its other end; coil pins that change places;
 * an input that was switched off. */
static void renumbered(void) {
  static const char text[] = "machine \"m\"\nmodule M \"x\"\n  connector A 4 cavities\n  A3 switch "
                             "input%s\nstarter S\n  cranks 300 A at 10 V\n"
                             "relay K\n  coil 90 ohm\n  latching\n  reset coil %s\n"
                             "wires of all\n  %s\n  2 M.A2 S.50 16 AWG RD length 1 m\n";
  struct pl_arena arena;
  pl_changes changes = {0};
  pl_sheets sheets = {0};
  pl_test_arena(&arena);
  struct pl_harness *old =
      built_from(&arena,
                 pl_arena_printf(&arena, text, "", "88 to 85", "1 M.A1 S.30 16 AWG RD length 1 m"));
  struct pl_harness *harness = built_from(&arena,
                                          pl_arena_printf(&arena,
                                                          text,
                                                          ", off in settings",
                                                          "85 to 88",
                                                          "71 S.30 M.A1 16 AWG RD length 1 m"));
  pl_changes_find(old, harness, &arena, &changes);
  CU_ASSERT_EQUAL_FATAL(changes.n, 3);
  PL_CHECK_STR(changes.at[0].aspect, "number", "renumbered");
  PL_CHECK_STR(changes.at[0].was, "1", "its old number");
  PL_CHECK_STR(changes.at[0].is, "71", "its new number");
  PL_CHECK_STR(changes.at[1].aspect, "reset coil", "the relay's");
  PL_CHECK_STR(changes.at[1].is, "K.85 to K.88", "the relay's");
  PL_CHECK_STR(changes.at[2].aspect, "off in settings", "of M.A3");
  struct pl_network *network = pl_network_new(harness, &arena);
  pl_sheets_changes(old, harness, network, NULL, &arena, &sheets);
  PL_CHECK_STR(kit_cell(kit_sheet(&sheets, "changes"), 0, "what to do"),
               "new labels at both ends; nothing else",
               "no wire is touched");
  for (uint32_t i = 0; i < sheets.n; i++)
    PL_CHECK(strcmp(sheets.at[i].file, "changes-cavities") != 0, "no cavity is touched");
  pl_network_release(network);
  pl_arena_release(&arena);
}

static void nothing_changed(void) {
  static const char *const demos[] = {"harnesses/pump-skid/pump-skid.loom",
                                      "harnesses/snowplow/snowplow.loom"};
  for (size_t d = 0; d < sizeof demos / sizeof demos[0]; d++) {
    struct pl_arena arena;
    pl_changes changes = {0};
    pl_sheets sheets = {0};
    pl_test_arena(&arena);
    struct pl_harness *a = built(&arena, pl_test_path(demos[d]), &pl_reader_disk);
    struct pl_harness *b = built(&arena, pl_test_path(demos[d]), &pl_reader_disk);
    pl_changes_find(a, b, &arena, &changes);
    PL_CHECK_INT(changes.n, 0, demos[d]);
    struct pl_network *network = pl_network_new(b, &arena);
    pl_sheets_changes(a, b, network, NULL, &arena, &sheets);
    PL_CHECK_INT(sheets.n, 0, demos[d]);
    pl_network_release(network);
    pl_arena_release(&arena);
  }
}

CU_TestInfo sheet_change_tests[] = {{"a text and itself", nothing_changed},
                                    {"120 machines with random edits: exactly these", random_edits},
                                    {"what is tested again", tests_again},
                                    {"renumbered wires, coil pins, settings", renumbered},
                                    CU_TEST_INFO_NULL};
