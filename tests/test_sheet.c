/* Sheets: what stands in their rows. */
#include "model/build.h"
#include "sheet_kit.h"

/* ---- every end of every wire, once ---- */

static uint32_t rows_with(const struct pl_sheet *sheet, pl_id pin, pl_id wire) {
  uint32_t n = 0;
  for (uint32_t r = 0; r < sheet->rows.n; r++) {
    const struct pl_row *row = &sheet->rows.at[r];
    if (row->subject.kind != PL_LINK_PIN)
      continue;
    if (row->subject.id != pin)
      continue;
    for (uint32_t c = 0; c < sheet->column_count; c++)
      n += row->links[c].kind == PL_LINK_WIRE && row->links[c].id == wire;
  }
  return n;
}

static void check_ends(const struct pl_harness *harness, const pl_sheets *sheets, const char *row) {
  for (pl_id w = 0; w < harness->wires.n; w++)
    for (int end = 0; end < 2; end++) {
      const struct pl_wire *wire = &harness->wires.at[w];
      uint32_t n = 0;
      uint32_t due = 1;
      if (wire->end[0] == wire->end[1])
        due = 2;
      if (wire->end[end] == PL_NONE)
        continue;
      for (uint32_t s = 0; s < sheets->n; s++)
        n += rows_with(&sheets->at[s], wire->end[end], w);
      if (n != due)
        PL_CHECK_INT(n, due, pl_arena_printf(harness->arena, "%s, wire %s", row, wire->number));
    }
  for (pl_id p = 0; p < harness->pins.n; p++) {
    uint32_t n = 0;
    uint32_t due = 1;
    if (harness->pins.at[p].wires.n > 0)
      due = harness->pins.at[p].wires.n;
    for (uint32_t s = 0; s < sheets->n; s++)
      for (uint32_t r = 0; r < sheets->at[s].rows.n; r++)
        n += sheets->at[s].rows.at[r].subject.kind == PL_LINK_PIN &&
             sheets->at[s].rows.at[r].subject.id == p;
    if (n != due)
      PL_CHECK_INT(n, due, harness->pins.at[p].full);
  }
}

static void ends_of_the_kit(void) {
  struct kit kit;
  pl_sheets sheets;
  kit_make(&kit, "text");
  kit_sheets(&kit, true, &sheets);
  check_ends(&kit.harness, &sheets, "kit");
  kit_release(&kit);
}

static void ends_of_the_demos(void) {
  static const char *const demos[] = {"harnesses/pump-skid/pump-skid.loom",
                                      "harnesses/snowplow/snowplow.loom"};
  for (size_t i = 0; i < sizeof demos / sizeof demos[0]; i++) {
    struct pl_arena arena;
    struct pl_sources sources;
    struct pl_findings findings;
    struct pl_harness harness;
    pl_sheets sheets = {0};
    pl_test_arena(&arena);
    pl_sources_init(&sources, &arena);
    pl_findings_init(&findings, &arena);
    pl_harness_init(&harness, &arena);
    PL_CHECK(pl_build(pl_test_path(demos[i]), &pl_reader_disk, &sources, &findings, &harness),
             demos[i]);
    pl_sheets_make(
        &(struct pl_sheet_inputs){.harness = &harness, .findings = &findings, .sources = &sources},
        &arena,
        &sheets);
    CU_ASSERT_TRUE(harness.wires.n > 20);
    check_ends(&harness, &sheets, demos[i]);
    pl_arena_release(&arena);
  }
}

/* ---- cells ---- */

static void whole_rows(void) {
  struct kit kit;
  pl_sheets sheets;
  kit_make(&kit, "text");
  for (int solved = 0; solved < 2; solved++) {
    kit_sheets(&kit, solved == 1, &sheets);
    CU_ASSERT_TRUE(sheets.n >= 10);
    for (uint32_t s = 0; s < sheets.n; s++) {
      const struct pl_sheet *sheet = &sheets.at[s];
      PL_CHECK(sheet->rows.n > 0 && sheet->column_count > 0, sheet->title);
      PL_CHECK((sheet->file[0] == '\0') == (sheet->connector != PL_NONE), sheet->title);
      for (uint32_t r = 0; r < sheet->rows.n; r++)
        for (uint32_t c = 0; c < sheet->column_count; c++)
          PL_CHECK(sheet->rows.at[r].cells[c] != NULL, sheet->title);
    }
  }
  kit_release(&kit);
}

static const struct pl_sheet *connector_sheet(const pl_sheets *sheets) {
  for (uint32_t i = 0; i < sheets->n; i++)
    if (sheets->at[i].connector != PL_NONE)
      return &sheets->at[i];
  CU_FAIL_FATAL("there is no connector's sheet");
  return NULL;
}

static void connector_cells(void) {
  struct kit kit;
  pl_sheets sheets;
  kit_make(&kit, "idle validation");
  kit_sheets(&kit, true, &sheets);
  const struct pl_sheet *sheet = connector_sheet(&sheets);
  CU_ASSERT_EQUAL_FATAL(sheet->rows.n, 5); /* A1: wires 3 and the capped one; A2: 5 and 6; A3 */
  PL_CHECK_STR(kit_cell(sheet, 0, "cavity"), "1", "first cavity");
  PL_CHECK_STR(kit_cell(sheet, 0, "wire"), "3", "its wire");
  PL_CHECK_STR(kit_cell(sheet, 0, "colour"), "RD/WH", "its colours");
  PL_CHECK_STR(kit_cell(sheet, 0, "size"), "14 AWG", "its size");
  PL_CHECK_STR(kit_cell(sheet, 0, "goes to"), "idle validation", "the splice at its far end");
  PL_CHECK_STR(kit_cell(sheet, 0, "role"), "battery feed", "its role");
  PL_CHECK_STR(kit_cell(sheet, 0, "off V"), "8.3", "12.3457 less four");
  PL_CHECK_STR(kit_cell(sheet, 1, "goes to"), "capped", "a capped wire");
  PL_CHECK_STR(kit_cell(sheet, 2, "function"), "idle validation (web)", "a function from the web");
  PL_CHECK_STR(kit_cell(sheet, 2, "role"), "low-side output (web)", "its role");
  PL_CHECK_STR(kit_cell(sheet, 2, "known from"), "web: idle validation", "and its source");
  PL_CHECK_STR(kit_cell(sheet, 4, "goes to"), "cavity plug", "a plugged cavity");
  PL_CHECK_STR(kit_cell(sheet, 4, "off V"), "open", "nothing joins it");
  kit_sheets(&kit, false, &sheets);
  PL_CHECK_STR(kit_cell(connector_sheet(&sheets), 0, "off V"), "(no such column)", "not solved");
  kit_release(&kit);
}

static void wire_cells(void) {
  struct kit kit;
  pl_sheets sheets;
  kit_make(&kit, "night");
  kit_sheets(&kit, true, &sheets);
  const struct pl_sheet *sheet = kit_sheet(&sheets, "wires");
  PL_CHECK_INT(sheet->rows.n, kit.harness.wires.n, "one row a wire");
  PL_CHECK_STR(kit_cell(sheet, 0, "from"), "BAT.+", "first end");
  PL_CHECK_STR(kit_cell(sheet, 0, "to"), "F1.in", "second end");
  PL_CHECK_STR(kit_cell(sheet, 0, "length m"), "10.00", "its length");
  PL_CHECK_STR(kit_cell(sheet, 0, "most A"), "7.5", "of 1.5 and -7.5");
  PL_CHECK_STR(kit_cell(sheet, 0, "in state"), "night", "where");
  PL_CHECK_STR(kit_cell(sheet, 0, "drop mV"), "75", "7.5 A x 10 mohm");
  PL_CHECK_STR(kit_cell(sheet, 4, "unsure ends"), "to: web", "an end from the web");
  PL_CHECK_STR(kit_cell(sheet, 7, "to"), "capped", "a capped end");
  PL_CHECK_STR(kit_cell(sheet, 7, "status"), "donor capped", "its status");
  kit.harness.machine.units = PL_UNITS_US;
  kit_sheets(&kit, false, &sheets);
  /* NIST SP 811: 1 ft = 0.3048 m; 10 m = 32.808 ft */
  PL_CHECK_STR(kit_cell(kit_sheet(&sheets, "wires"), 0, "length ft"), "32.8", "in feet");
  PL_CHECK_STR(kit_cell(kit_sheet(&sheets, "wires"), 0, "most A"), "", "not solved");
  kit_release(&kit);
}

static void fuse_cells(void) {
  struct kit kit;
  pl_sheets sheets;
  kit_make(&kit, "night");
  kit_sheets(&kit, true, &sheets);
  const struct pl_sheet *sheet = kit_sheet(&sheets, "fuses");
  PL_CHECK_STR(kit_cell(sheet, 0, "rating A"), "10", "rating");
  PL_CHECK_STR(kit_cell(sheet, 0, "colour of fuse"), "red", "ISO 8820-3 colour code, second hand");
  PL_CHECK_STR(kit_cell(sheet, 0, "feeds"), "night", "far end behind it");
  PL_CHECK_STR(kit_cell(sheet, 0, "share %"), "75", "7.5 of 10 A");
  kit_release(&kit);
}

static void donor_cells(void) {
  struct kit kit;
  pl_sheets sheets;
  kit_make(&kit, "night");
  kit_sheets(&kit, true, &sheets);
  const struct pl_sheet *sheet = kit_sheet(&sheets, "donor");
  CU_ASSERT_EQUAL(sheet->rows.n, 1);
  PL_CHECK_STR(kit_cell(sheet, 0, "cavity"), "ECM.A1", "its cavity");
  PL_CHECK_STR(kit_cell(sheet, 0, "other end"), "capped", "its other end");
  PL_CHECK_STR(kit_cell(sheet, 0, "what to do"), "cut back and cap, tag with number", "the work");
  PL_CHECK_STR(kit_cell(sheet, 0, "without it"), "ECM.A1 loses its battery feed", "what is missed");
  const struct pl_sheet *expects = kit_sheet(&sheets, "expects");
  CU_ASSERT_EQUAL(expects->rows.n,
                  2); /* A1 and A2; A3 is unused, but nobody says so: its need is */
  kit_release(&kit);
}

static void finding_cells(void) {
  struct kit kit;
  pl_sheets sheets;
  kit_make(&kit, "night");
  kit_sheets(&kit, true, &sheets);
  const struct pl_sheet *findings = kit_sheet(&sheets, "findings");
  const struct pl_sheet *waivers = kit_sheet(&sheets, "waivers");
  CU_ASSERT_EQUAL(findings->rows.n, 1);
  PL_CHECK_STR(kit_cell(findings, 0, "severity"), "danger", "severity");
  PL_CHECK_STR(kit_cell(findings, 0, "figure"), "7.5", "figure");
  CU_ASSERT_EQUAL(findings->rows.at[0].links[1].kind, PL_LINK_WIRE);
  CU_ASSERT_EQUAL(waivers->rows.n, 1);
  PL_CHECK_STR(kit_cell(waivers, 0, "why it may stand"), "night", "the reason");
  CU_ASSERT_EQUAL(waivers->rows.at[0].links[1].kind, PL_LINK_PIN);
  kit_release(&kit);
}

static void unsolved_states(void) {
  struct kit kit;
  pl_sheets sheets;
  kit_make(&kit, "night");
  kit.solutions[1].status = PL_SOLVE_CYCLE;
  kit.solutions[1].failure = "K1 buzzes";
  kit_sheets(&kit, true, &sheets);
  PL_CHECK_STR(kit_cell(kit_sheet(&sheets, "states"), 0, "computed"), "yes", "solved");
  PL_CHECK_STR(kit_cell(kit_sheet(&sheets, "states"), 1, "computed"),
               "no: K1 buzzes",
               "not solved");
  PL_CHECK_STR(kit_cell(kit_sheet(&sheets, "wires"), 0, "most A"), "1.5", "of what was solved");
  PL_CHECK_STR(kit_cell(connector_sheet(&sheets), 0, "night V"), "not known", "no reading");
  kit_release(&kit);
}

static void empty_harness(void) {
  struct pl_arena arena;
  struct pl_harness harness;
  pl_sheets sheets = {0};
  pl_test_arena(&arena);
  pl_harness_init(&harness, &arena);
  pl_sheets_make(&(struct pl_sheet_inputs){.harness = &harness}, &arena, &sheets);
  CU_ASSERT_EQUAL(sheets.n, 0);
  pl_arena_release(&arena);
}

static CU_TestInfo ends[] = {
    {"every end of the kit's wires once", ends_of_the_kit},
    {"every end of the demos' wires once", ends_of_the_demos},
    CU_TEST_INFO_NULL,
};
static CU_TestInfo cells[] = {
    {"rows are whole", whole_rows},
    {"connector", connector_cells},
    {"wire list", wire_cells},
    {"fuses", fuse_cells},
    {"donor", donor_cells},
    {"findings and waivers", finding_cells},
    {"a state without a solution", unsolved_states},
    {"a harness with nothing in it", empty_harness},
    CU_TEST_INFO_NULL,
};

int main(void) {
  CU_SuiteInfo suites[] = {PL_SUITE("ends of wires", ends),
                           PL_SUITE("cells", cells),
                           PL_SUITE("the work", sheet_work_tests),
                           PL_SUITE("changes", sheet_change_tests),
                           CU_SUITE_INFO_NULL};
  return pl_test_main(suites);
}
