/* Sheets of the work: every wire end once, every pair against the network, every figure of the
 * power-up against a harness that was made without the parts that are unplugged there. */
#include "base/file.h"
#include "model/build.h"
#include "sheet_kit.h"

/* ---- a demo, solved, with its sheets ---- */

struct demo {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_network *network;
  struct pl_solution *solutions;
  pl_sheets sheets;
};

static const char *const demos[] = {"harnesses/pump-skid/pump-skid.loom",
                                    "harnesses/snowplow/snowplow.loom"};
enum {
  DEMOS = sizeof demos / sizeof demos[0]
};

static void demo_sheets(struct demo *demo) {
  pl_sheets_make(&(struct pl_sheet_inputs){.harness = &demo->harness,
                                           .network = demo->network,
                                           .solutions = demo->solutions,
                                           .findings = &demo->findings,
                                           .sources = &demo->sources},
                 &demo->arena,
                 &demo->sheets);
}

static void demo_read(struct demo *demo, const char *path, const struct pl_reader *reader) {
  memset(demo, 0, sizeof *demo);
  pl_test_arena(&demo->arena);
  pl_sources_init(&demo->sources, &demo->arena);
  pl_findings_init(&demo->findings, &demo->arena);
  pl_harness_init(&demo->harness, &demo->arena);
  CU_ASSERT_FATAL(pl_build(path, reader, &demo->sources, &demo->findings, &demo->harness));
  demo->network = pl_network_new(&demo->harness, &demo->arena);
  demo->solutions = PL_NEW_ARRAY(&demo->arena, struct pl_solution, demo->harness.states.n);
  for (pl_id s = 0; s < demo->harness.states.n; s++)
    pl_network_solve(demo->network, s, &demo->solutions[s], NULL);
  demo_sheets(demo);
}

static void demo_make(struct demo *demo, const char *path) {
  demo_read(demo, pl_test_path(path), &pl_reader_disk);
}

static void demo_make_text(struct demo *demo, const char *text) {
  struct pl_reader reader = pl_reader_text(text);
  demo_read(demo, "m.loom", &reader);
}

static void demo_release(struct demo *demo) {
  pl_network_release(demo->network);
  pl_arena_release(&demo->arena);
}

static uint32_t column_of(const struct pl_sheet *sheet, const char *head) {
  for (uint32_t c = 0; c < sheet->column_count; c++)
    if (strcmp(sheet->columns[c].head, head) == 0)
      return c;
  CU_FAIL_FATAL("no such column");
  return 0;
}

/* ---- the build sheet ---- */

/* The row of a connector's or pin's own table about the same end. */
static bool
agrees(const struct demo *demo, const struct pl_sheet *ends, uint32_t row, pl_id pin, pl_id wire) {
  for (uint32_t s = 0; s < demo->sheets.n; s++) {
    const struct pl_sheet *sheet = &demo->sheets.at[s];
    for (uint32_t r = 0; r < sheet->rows.n; r++) {
      const struct pl_row *one = &sheet->rows.at[r];
      if (one->subject.kind != PL_LINK_PIN)
        continue;
      if (one->subject.id != pin)
        continue;
      uint32_t c = column_of(sheet, "wire");
      if (one->links[c].kind != PL_LINK_WIRE)
        continue;
      if (one->links[c].id != wire)
        continue;
      static const char *const same[] = {"wire", "colour", "size", "goes to"};
      bool good = true;
      for (size_t i = 0; i < sizeof same / sizeof same[0]; i++)
        good = good && strcmp(kit_cell(sheet, r, same[i]), kit_cell(ends, row, same[i])) == 0;
      const char *terminal = kit_cell(sheet, r, "terminal");
      return good &&
             (terminal[0] == '\0' || strcmp(terminal, kit_cell(ends, row, "terminal")) == 0);
    }
  }
  return false;
}

static void every_end_once(void) {
  for (int d = 0; d < DEMOS; d++) {
    struct demo demo;
    demo_make(&demo, demos[d]);
    const struct pl_sheet *ends = kit_sheet(&demo.sheets, "build-ends");
    uint32_t pin_column = column_of(ends, "cavity or pin");
    uint32_t wire_column = column_of(ends, "wire");
    uint32_t due = 0;
    for (pl_id w = 0; w < demo.harness.wires.n; w++)
      for (int end = 0; end < 2; end++) {
        const struct pl_wire *wire = &demo.harness.wires.at[w];
        uint32_t n = 0;
        uint32_t row = 0;
        if (wire->end[end] == PL_NONE)
          continue;
        due++;
        for (uint32_t r = 0; r < ends->rows.n; r++) {
          const struct pl_link *links = ends->rows.at[r].links;
          if (links[pin_column].id != wire->end[end])
            continue;
          if (links[wire_column].id != w)
            continue;
          n++;
          row = r;
        }
        PL_CHECK_INT(n, 1, pl_arena_printf(&demo.arena, "%s, wire %s", demos[d], wire->number));
        PL_CHECK(
            n == 1 && agrees(&demo, ends, row, wire->end[end], w),
            pl_arena_printf(&demo.arena, "wire %s agrees with the tables of pins", wire->number));
      }
    PL_CHECK_INT(ends->rows.n, due, "no row beyond");
    demo_release(&demo);
  }
}

/* Every wire that is cut stands once under Cut and once under Label; every splice and twisted group
 * has its step. */
static void steps_name_every_wire(void) {
  struct demo demo;
  demo_make(&demo, demos[1]);
  const struct pl_sheet *steps = kit_sheet(&demo.sheets, "build-steps");
  for (pl_id w = 0; w < demo.harness.wires.n; w++) {
    const struct pl_wire *wire = &demo.harness.wires.at[w];
    uint32_t cut = 0;
    uint32_t label = 0;
    uint32_t due = wire->status == PL_WIRE_NEW || wire->status == PL_WIRE_DONOR_EXTENDED;
    const char *heading = "";
    for (uint32_t r = 0; r < steps->rows.n; r++) {
      const char *list = pl_arena_printf(&demo.arena, ", %s,", kit_cell(steps, r, "wires"));
      if (steps->rows.at[r].heading != NULL)
        heading = steps->rows.at[r].heading;
      if (strstr(list, pl_arena_printf(&demo.arena, " %s,", wire->number)) == NULL)
        continue;
      cut += strstr(heading, ". Cut") != NULL;
      label += strstr(heading, ". Label") != NULL;
    }
    if (cut != due || label != due)
      PL_CHECK_INT(10 * cut + label, 11 * due, wire->number);
  }
  CU_ASSERT_TRUE(steps->rows.n > 100);
  demo_release(&demo);
}

/* ---- pairs, by a machine that is nothing but wires, a battery and its own ohms ---- */

/* Ohms between two pins of wires alone: a battery of one volt across them, solved by the network as
 * any machine. */
static double measured(struct demo *demo, pl_id a, pl_id b) {
  struct pl_harness harness = demo->harness;
  struct pl_solution solution = {0};
  double amps = 0;
  double drop = NAN;
  harness.devices.at = PL_NEW_ARRAY(&demo->arena, struct pl_device, harness.devices.n + 1);
  harness.pins.at = PL_NEW_ARRAY(&demo->arena, struct pl_pin, harness.pins.n + 2);
  harness.wires.at = PL_NEW_ARRAY(&demo->arena, struct pl_wire, harness.wires.n + 2);
  memcpy(harness.devices.at,
         demo->harness.devices.at,
         harness.devices.n * sizeof *harness.devices.at);
  memcpy(harness.pins.at, demo->harness.pins.at, harness.pins.n * sizeof *harness.pins.at);
  memcpy(harness.wires.at, demo->harness.wires.at, harness.wires.n * sizeof *harness.wires.at);
  for (pl_id d = 0; d < harness.devices.n; d++) {
    struct pl_device *device = &harness.devices.at[d];
    device->fixed.n = 0;
    if (device->kind == PL_KIND_BOND)
      device->kind = PL_KIND_STUD;
    if (!pl_kind_is_node(device->kind))
      device->kind = PL_KIND_CONNECTOR;
    device->body = PL_NONE;
  }
  for (pl_id w = 0; w < harness.wires.n; w++)
    harness.wires.at[w].hot = 20;
  struct pl_device battery = pl_device_blank();
  battery.kind = PL_KIND_BATTERY;
  battery.name = "meter";
  battery.emf = 1;
  battery.ohms = 1;
  battery.first_pin = battery.plus = harness.pins.n;
  battery.minus = battery.plus + 1;
  battery.pin_count = 2;
  pl_id meter = harness.devices.n;
  harness.devices.at[harness.devices.n++] = battery;
  for (int i = 0; i < 2; i++) {
    struct pl_pin pin = pl_pin_blank();
    pin.device = meter;
    pin.name = i == 0 ? "+" : "-";
    harness.pins.at[harness.pins.n++] = pin;
    struct pl_wire lead = pl_wire_blank();
    PL_PUSH(&demo->arena, &harness.pins.at[harness.pins.n - 1].wires, harness.wires.n);
    lead.number = "lead";
    lead.end[0] = battery.plus + (pl_id)i;
    lead.end[1] = i == 0 ? a : b;
    lead.area = NAN;
    lead.length = 1;
    lead.hot = 20;
    lead.ohms_per_m = 1e-9;
    harness.wires.at[harness.wires.n++] = lead;
  }
  struct pl_network *network = pl_network_new(&harness, &demo->arena);
  struct pl_state state = pl_state_blank();
  state.name = "ohms";
  pl_network_solve_as(network, &state, &solution, NULL);
  if (solution.status == PL_SOLVED) {
    amps = fabs(solution.device_amps[meter]);
    drop = fabs(solution.pin_volts[a] - solution.pin_volts[b]);
  }
  pl_network_release(network);
  return amps > 1e-9 ? drop / amps : INFINITY;
}

static void pairs_conduct(void) {
  for (int d = 0; d < DEMOS; d++) {
    struct demo demo;
    demo_make(&demo, demos[d]);
    const struct pl_sheet *pairs = kit_sheet(&demo.sheets, "check-continuity");
    bool *proven = PL_NEW_ARRAY(&demo.arena, bool, demo.harness.wires.n);
    for (uint32_t r = 0; r < pairs->rows.n; r++) {
      const struct pl_link *links = pairs->rows.at[r].links;
      const char *list = pl_arena_printf(&demo.arena, ", %s,", kit_cell(pairs, r, "through wires"));
      for (pl_id w = 0; w < demo.harness.wires.n; w++)
        if (strstr(list, pl_arena_printf(&demo.arena, " %s,", demo.harness.wires.at[w].number)) !=
            NULL)
          proven[w] = true;
      if (kit_cell(pairs, r, "how")[0] != '\0' || (d == 1 && r % 3 != 0))
        continue; /* every third: a solve each */
      double ohms = measured(&demo, links[0].id, links[1].id);
      PL_CHECK(isfinite(ohms), demo.harness.pins.at[links[1].id].full);
      PL_CHECK_STR(kit_cell(pairs, r, "solved"),
                   pl_probe_ohms(ohms, &demo.arena),
                   demo.harness.pins.at[links[1].id].full);
    }
    for (pl_id w = 0; w < demo.harness.wires.n; w++) {
      const struct pl_wire *wire = &demo.harness.wires.at[w];
      bool joins = wire->end[0] != PL_NONE && wire->end[1] != PL_NONE &&
                   wire->status != PL_WIRE_DONOR_REMOVED;
      PL_CHECK(proven[w] == joins, wire->number);
    }
    demo_release(&demo);
  }
}

/* By names alone: the pairs of neighbours, and pins against the frame. */
static void pairs_do_not(void) {
  for (int d = 0; d < DEMOS; d++) {
    struct demo demo;
    demo_make(&demo, demos[d]);
    uint32_t pairs = 0;
    for (uint32_t s = 0; s < demo.sheets.n; s++) {
      const struct pl_sheet *sheet = &demo.sheets.at[s];
      if (strcmp(sheet->file, "check-neighbours") != 0)
        continue;
      for (uint32_t r = 0; r < sheet->rows.n; r++) {
        char *names = pl_arena_strdup(&demo.arena, kit_cell(sheet, r, "open to"));
        char *name;
        pl_id from = pl_harness_find_pin(&demo.harness, kit_cell(sheet, r, "from"));
        for (; (name = strstr(names, ", ")) != NULL || names[0] != '\0';
             names = name == NULL ? names + strlen(names) : name + 2) {
          if (name != NULL)
            *name = '\0';
          pl_id to = pl_harness_find_pin(&demo.harness, names);
          CU_ASSERT_FATAL(from != PL_NONE && to != PL_NONE);
          if (pairs++ % 5 == 0)
            PL_CHECK(isinf(measured(&demo, from, to)), names);
        }
      }
    }
    const struct pl_sheet *chassis = kit_sheet(&demo.sheets, "check-chassis");
    for (pl_id p = 0; p < demo.harness.pins.n; p++) {
      if (demo.harness.devices.at[demo.harness.pins.at[p].device].kind != PL_KIND_CHASSIS)
        continue;
      for (uint32_t r = 0; r < chassis->rows.n; r += 4)
        PL_CHECK(isinf(measured(&demo, p, chassis->rows.at[r].links[0].id)),
                 kit_cell(chassis, r, "pin"));
    }
    CU_ASSERT_TRUE(d == 0 || pairs > 100);
    demo_release(&demo);
  }
}

/* ---- power-up ---- */

static void fuses_once(void) {
  for (int d = 0; d < DEMOS; d++) {
    struct demo demo;
    demo_make(&demo, demos[d]);
    const struct pl_sheet *stages = kit_sheet(&demo.sheets, "power-stages");
    for (pl_id f = 0; f < demo.harness.devices.n; f++) {
      const struct pl_device *device = &demo.harness.devices.at[f];
      uint32_t n = 0;
      if (!pl_kind_is_protection(device->kind))
        continue;
      for (uint32_t r = 0; r < stages->rows.n; r++) {
        const char *text = kit_cell(stages, r, "do");
        size_t k = strlen(device->name);
        n += strncmp(text, device->name, k) == 0 &&
             (text[k] == ',' || strncmp(text + k, " (", 2) == 0);
      }
      PL_CHECK_INT(n, 1, device->name);
    }
    demo_release(&demo);
  }
}

/* A fuse that is live, one behind the key, a lamp that a controller sinks: what the unplugged plug
 * reads. */
static void unplugged_plugs(void) {
  struct demo demo;
  static const char text[] =
      "machine \"m\"\n"
      "battery BAT\n  cca 900 A\n"
      "fuse F1\n  rating 10 A\n"
      "fuse F2\n  rating 5 A\n"
      "switch KEY\n  position off\n  position run: 1 to 2\n"
      "module ECM\n  connector A 4 cavities\n"
      "  A1 battery feed, 2 A\n  A2 ground\n  A3 keyed input\n  A4 low-side output, at most 1 A\n"
      "lamp E1\n  draws 2 W at 12 V\n"
      "wires of power\n"
      "  1 BAT.+ F1.in 14 AWG RD length 1 m\n  2 F1.out ECM.A1 14 AWG RD length 1 m\n"
      "  3 ECM.A2 BAT.- 14 AWG BK length 1 m\n  4 BAT.+ KEY.1 14 AWG RD length 1 m\n"
      "  5 KEY.2 F2.in 14 AWG RD length 1 m\n  6 F2.out ECM.A3 14 AWG RD length 1 m\n"
      "  7 F2.out E1.+ 14 AWG RD length 1 m\n  8 E1.- ECM.A4 14 AWG RD length 1 m\n"
      "state off\nstate on\n  KEY in run\n  ECM.A4 on\n";
  demo_make_text(&demo, text);
  const struct pl_sheet *plugs = kit_sheet(&demo.sheets, "power-plugs");
  /* 12.6 V: the open-circuit volts of a 12 V battery, 2.1 V a cell (common practice); no load, so
   * no drop */
  static const char *const expected[][2] = {{"12.6 V", "12.6 V"},
                                            {"0 V", "0 V"},
                                            {"open", "12.6 V"},
                                            {"open", "12.6 V"}};
  CU_ASSERT_EQUAL_FATAL(plugs->rows.n, 4);
  for (uint32_t r = 0; r < 4; r++) {
    PL_CHECK_STR(kit_cell(plugs, r, "key off"), expected[r][0], kit_cell(plugs, r, "cavity"));
    PL_CHECK_STR(kit_cell(plugs, r, "key on"), expected[r][1], kit_cell(plugs, r, "cavity"));
  }
  demo_release(&demo);
}

/* ---- readings ---- */

/* Every wired pin, every state: the figure is the solution's, the band holds it, and the CSV's text
 * is no other. */
static void volts_are_the_solution(void) {
  for (int d = 0; d < DEMOS; d++) {
    struct demo demo;
    demo_make(&demo, demos[d]);
    const struct pl_sheet *volts = kit_sheet(&demo.sheets, "readings-volts");
    uint32_t wired = 0;
    for (pl_id p = 0; p < demo.harness.pins.n; p++)
      wired += demo.harness.pins.at[p].wires.n > 0;
    CU_ASSERT_EQUAL_FATAL(volts->rows.n, wired);
    for (uint32_t r = 0; r < volts->rows.n; r++)
      for (pl_id s = 0; s < demo.harness.states.n; s++) {
        const char *cell = volts->rows.at[r].cells[2 + s];
        const char *band = strstr(cell, " (");
        pl_id pin = volts->rows.at[r].links[0].id;
        double volt = demo.solutions[s].pin_volts[pin];
        double step = fabs(volt) < 0.995 ? 0.005001 : 0.050001;
        double low;
        double high;
        if (isnan(volt)) {
          PL_CHECK_STR(cell, "open", demo.harness.pins.at[pin].full);
          continue;
        }
        PL_CHECK(fabs(strtod(cell, NULL) - volt) <= step,
                 pl_arena_printf(&demo.arena, "%s: %s", demo.harness.pins.at[pin].full, cell));
        if (band == NULL)
          continue;
        char *end;
        low = strtod(band + 2, &end);
        high = strtod(end + 2, NULL);
        PL_CHECK(low <= volt + step && volt <= high + step, cell);
      }
    demo_release(&demo);
  }
}

/* A sender of 240 to 33 ohm in series with 150 ohm of the gauge at 12.6 V (2.1 V a cell): worked by
 * hand; wires have no ohms to speak of. */
static void sender_volts(void) {
  struct demo demo;
  static const char text[] =
      "machine \"m\"\n"
      "battery BAT\n  emf 12.6 V\n  resistance 0.001 mohm\n"
      "gauge P\n  resistance 150 ohm\n"
      "sender B\n  reading 0 % at 240 ohm, 100 % at 33 ohm\n"
      "wires of gauge\n"
      "  1 BAT.+ P.+ 2 AWG RD length 0.1 m\n  2 P.S B.signal 2 AWG GY length 0.1 m\n"
      "  3 B.case BAT.- 2 AWG BK length 0.1 m\n  4 P.- BAT.- 2 AWG BK length 0.1 m\n"
      "state on\n";
  demo_make_text(&demo, text);
  const struct pl_sheet *sensors = kit_sheet(&demo.sheets, "readings-sensors");
  CU_ASSERT_EQUAL_FATAL(sensors->rows.n, 2);
  PL_CHECK_STR(kit_cell(sensors, 0, "at"), "0 %", "empty");
  PL_CHECK_STR(kit_cell(sensors, 0, "part"), "240 ohm", "empty");
  PL_CHECK_STR(kit_cell(sensors, 0, "signal at"), "P.S", "empty");
  PL_CHECK_STR(kit_cell(sensors, 0, "signal V"), "7.8 V", "12.6 x 240 / 390 = 7.75");
  PL_CHECK_STR(kit_cell(sensors, 1, "signal V"), "2.3 V", "12.6 x 33 / 183 = 2.27");
  demo_release(&demo);
}

static uint32_t row_with(const struct pl_sheet *sheet, const char *head, const char *text) {
  for (uint32_t r = 0; r < sheet->rows.n; r++)
    if (strcmp(kit_cell(sheet, r, head), text) == 0)
      return r;
  PL_CHECK(false, text);
  return 0;
}

/* What the lines `spare`, `labels`, `strip`, `donor extended by` and `off in settings` come to on
 * the sheets. */
static void lines_on_sheets(void) {
  struct demo demo;
  static const char text[] =
      "machine \"m\"\n  spare 50 %\n  labels flag\n"
      "battery BAT\n  emf 12.6 V\n  resistance 5 mohm\n"
      "terminal sealed 1.5\n  insulation 1.2..2.4 mm\n  strip 6 mm\n"
      "module ECM \"engine controller\"\n  donor\n  connector A 2 cavities, sealed, terminal "
      "sealed 1.5\n"
      "  A1 signal input, off in settings\n  A2 signal input, pull-up 1 kohm to 5 V\n"
      "lamp E1\n  draws 1 A at 12 V\nlamp E2\n  draws 1 A at 12 V\n  connector 2 cavities, named + "
      "-, sealed, terminal sealed 1.5\n"
      "wires of all\n"
      "  1 ECM.A2 E1.- 18 AWG BK length 3 m, donor extended by 1.2 m\n"
      "  2 BAT.+ E2.+ 18 AWG RD length 4 m\n  3 E2.- BAT.- 18 AWG BK length 1 m\n"
      "state on\n";
  demo_make_text(&demo, text);
  const struct pl_sheet *cutting = kit_sheet(&demo.sheets, "cutting");
  const struct pl_sheet *shopping = kit_sheet(&demo.sheets, "shopping");
  const struct pl_sheet *labels = kit_sheet(&demo.sheets, "labels");
  uint32_t extended = row_with(cutting, "wire", "1");
  uint32_t whole = row_with(cutting, "wire", "2");
  PL_CHECK_STR(kit_cell(cutting, extended, "cut mm"), "1200", "what is spliced on");
  PL_CHECK_STR(kit_cell(cutting, whole, "cut mm"), "4000", "a new wire");
  PL_CHECK_STR(kit_cell(cutting, whole, "strip to"), "6", "its terminal says it");
  PL_CHECK_STR(kit_cell(cutting, whole, "seal to mm"), "1.2 to 2.4", "its terminal says it");
  uint32_t seals = row_with(shopping, "kind", "wire seal");
  PL_CHECK_STR(kit_cell(shopping, seals, "counted"), "2", "E2");
  PL_CHECK_STR(kit_cell(shopping, seals, "to buy"), "3", "half on top");
  PL_CHECK_STR(kit_cell(labels, 0, "kind"), "flag", "of wires");
  PL_CHECK_STR(kit_cell(labels, 0, "code"), "shop.html#pin=ECM.A2", "its own end");
  const struct pl_sheet *expects = kit_sheet(&demo.sheets, "expects");
  PL_CHECK_STR(kit_cell(expects, row_with(expects, "pin", "ECM.A1"), "so it is"),
               "off in the settings",
               "the module was told");
  demo_release(&demo);
}

/* Names that are markup, formulas, or turn the direction of text stand in the cells as they are. */
static void names_are_text(void) {
  struct kit kit;
  pl_sheets sheets;
  uint32_t seen = 0;
  static const char hostile[] = "<b>=1+1\"&\xE2\x80\xAE'";
  kit_make(&kit, hostile);
  kit_sheets(&kit, true, &sheets);
  for (uint32_t s = 0; s < sheets.n; s++)
    for (uint32_t r = 0; strncmp(sheets.at[s].file, "build-", 6) == 0 && r < sheets.at[s].rows.n;
         r++)
      for (uint32_t c = 0; c < sheets.at[s].column_count; c++)
        seen += strstr(sheets.at[s].rows.at[r].cells[c], hostile) != NULL;
  CU_ASSERT_TRUE(seen > 5);
  kit_release(&kit);
}

/* ---- the document ---- */

/* The line of docs/output.md whose first cell names the file; NULL. */
static const char *documented_row(struct pl_arena *arena, const char *docs, const char *file) {
  const char *name = pl_arena_printf(arena, "`%s.csv`", file);

  for (const char *line = docs; *line != '\0';) {
    size_t n = strcspn(line, "\n");
    const char *row = pl_arena_strndup(arena, line, n);
    const char *cell_end = row[0] == '|' ? strchr(row + 1, '|') : NULL;
    const char *found = cell_end != NULL ? strstr(row, name) : NULL;
    if (found != NULL && found < cell_end)
      return cell_end;
    line += n + (line[n] == '\n');
  }
  return NULL;
}

static const char *file_of(const struct pl_sheet *sheet) {
  return sheet->connector == PL_NONE ? sheet->file : "connector-*";
}

/* The columns of one sheet, in their order, in the row of its own file: a name that stands in
 * another file's row does not count. */
static void check_row(struct pl_arena *arena, const char *docs, const struct pl_sheet *sheet) {
  const char *file = file_of(sheet);
  const char *at = documented_row(arena, docs, file);

  PL_CHECK(at != NULL, file);
  if (at == NULL)
    return;
  bool as_connectors = strstr(at, "then as for connectors") != NULL;
  for (uint32_t c = 0; c < sheet->column_count; c++) {
    if (sheet->columns[c].reading)
      continue; /* `STATE V` */
    if (c == 1 && as_connectors)
      at = documented_row(arena, docs, "connector-*");
    const char *head = pl_arena_printf(arena, "`%s`", sheet->columns[c].head);
    const char *found = strstr(at, head);
    PL_CHECK(found != NULL, pl_arena_printf(arena, "%s.csv: column %s", file, head));
    if (found != NULL)
      at = found;
  }
}

static void every_column_in_its_row(void) {
  static const enum pl_units units[] = {PL_UNITS_METRIC, PL_UNITS_US};

  for (int d = 0; d < 2 * DEMOS; d++) {
    struct demo demo;
    const char *docs;
    size_t size;
    demo_make(&demo, demos[d / 2]);
    enum pl_file_status status =
        pl_file_read(&demo.arena, pl_test_path("docs/output.md"), &docs, &size);
    CU_ASSERT_EQUAL_FATAL(status, PL_FILE_OK);
    demo.harness.machine.units = units[d % 2];
    demo.sheets.n = 0;
    demo_sheets(&demo);
    PL_CHECK(demo.sheets.n > 20, "sheets");
    for (uint32_t s = 0; s < demo.sheets.n; s++)
      check_row(&demo.arena, docs, &demo.sheets.at[s]);
    demo_release(&demo);
  }
}

CU_TestInfo sheet_work_tests[] = {
    {"every column in its file's row of the document", every_column_in_its_row},
    {"every wire end once, as the tables of pins say", every_end_once},
    {"steps name every wire", steps_name_every_wire},
    {"pairs that must conduct, against the network", pairs_conduct},
    {"pairs that must not, against the network", pairs_do_not},
    {"every fuse goes in once", fuses_once},
    {"unplugged controllers", unplugged_plugs},
    {"volts are the solution's", volts_are_the_solution},
    {"a sender over its table", sender_volts},
    {"lines of the work on sheets", lines_on_sheets},
    {"hostile names", names_are_text},
    CU_TEST_INFO_NULL};
