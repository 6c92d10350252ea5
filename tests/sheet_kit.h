/* A small machine made by hand, with figures that are easy to check, for the tests of sheets and of
 * what is written from them.  No solver is needed: two solved states are made up. */
#ifndef SHEET_KIT_H
#define SHEET_KIT_H

#include "pl_test.h"
#include "sheet/sheet.h"
#include "standard/wire.h"

struct kit {
  struct pl_arena arena;
  struct pl_harness harness;
  struct pl_solution solutions[2];
  struct pl_findings findings;
  struct pl_sources sources;
  pl_id battery, fuse, ecm, splice, lamp, connector;
  pl_id plus, minus, fuse_in, fuse_out, feed, guess, plug, node, lamp_plus, lamp_minus;
};

static inline pl_id kit_pin(struct kit *kit, pl_id device, const char *name) {
  struct pl_pin pin = pl_pin_blank();
  pin.device = device;
  pin.name = name;
  return pl_harness_add_pin(&kit->harness, pin);
}

static inline pl_id kit_device(struct kit *kit, enum pl_kind kind, const char *name) {
  struct pl_device device = pl_device_blank();
  device.kind = kind;
  device.name = name;
  device.place = 0;
  return pl_harness_add_device(&kit->harness, device);
}

static inline pl_id kit_wire(struct kit *kit, const char *number, pl_id from, pl_id to) {
  struct pl_wire wire = pl_wire_blank();
  wire.number = number;
  wire.end[0] = from;
  wire.end[1] = to;
  wire.size = "14 AWG";
  wire.area = 2.08;
  wire.colour = (struct pl_colour){"RD", "WH", ""};
  wire.length = 10;
  wire.circuit = 0;
  wire.insulation = PL_INSULATION_DEFAULT;
  return pl_harness_add_wire(&kit->harness, wire);
}

/* `name`: put where the user's text goes: names, functions, notes, titles. */
static inline void kit_state(struct kit *kit, const char *name) {
  struct pl_state state = {.name = name, .title = name, .lasts = INFINITY, .span = PL_NO_SPAN};
  pl_table_add(&kit->harness.state_names, name, kit->harness.states.n);
  PL_PUSH(&kit->arena, &kit->harness.states, state);
}

static inline void kit_solution(struct kit *kit, pl_id state, double amps) {
  const struct pl_harness *harness = &kit->harness;
  struct pl_solution *solution = &kit->solutions[state];
  *solution =
      (struct pl_solution){.state = state,
                           .status = PL_SOLVED,
                           .pin_volts = PL_NEW_ARRAY(&kit->arena, double, harness->pins.n),
                           .wire_amps = PL_NEW_ARRAY(&kit->arena, double, harness->wires.n),
                           .wire_ohms = PL_NEW_ARRAY(&kit->arena, double, harness->wires.n),
                           .device_on = PL_NEW_ARRAY(&kit->arena, bool, harness->devices.n),
                           .device_volts = PL_NEW_ARRAY(&kit->arena, double, harness->devices.n),
                           .device_amps = PL_NEW_ARRAY(&kit->arena, double, harness->devices.n)};
  for (pl_id p = 0; p < harness->pins.n; p++)
    solution->pin_volts[p] = p == kit->plug ? NAN : 12.34567890123 - p;
  for (pl_id w = 0; w < harness->wires.n; w++) {
    solution->wire_amps[w] = amps;
    solution->wire_ohms[w] = 0.01;
  }
  solution->device_amps[kit->fuse] = fabs(amps);
  solution->device_on[kit->ecm] = state == 1;
}

static inline void kit_module(struct kit *kit, const char *text) {
  struct pl_connector connector = pl_connector_blank();
  kit->ecm = kit_device(kit, PL_KIND_MODULE, "ECM");
  kit->harness.devices.at[kit->ecm].text = text;
  kit->harness.devices.at[kit->ecm].donor = true;
  connector.device = kit->ecm;
  connector.name = "A";
  connector.columns = 3;
  connector.sealed = true;
  kit->connector = pl_harness_add_connector(&kit->harness, connector);
  for (uint32_t i = 0; i < 3; i++) {
    struct pl_pin pin = pl_pin_blank();
    pin.device = kit->ecm;
    pin.connector = kit->connector;
    pin.name = pl_arena_printf(&kit->arena, "A%u", i + 1);
    pin.cavity = pin.name + 1;
    pin.row = 1;
    pin.column = i + 1;
    pin.text = i == 2 ? "" : text;
    pin.role = i == 0 ? PL_ROLE_BATTERY_FEED : i == 1 ? PL_ROLE_LOW_SIDE : PL_ROLE_UNUSED;
    pin.plugged = i == 2;
    pin.sure = i == 1 ? PL_SURE_WEB : PL_SURE_NOT_SAID;
    pin.sure_text = i == 1 ? text : "";
    *(i == 0   ? &kit->feed
      : i == 1 ? &kit->guess
               : &kit->plug) = pl_harness_add_pin(&kit->harness, pin);
  }
}

static inline void kit_make(struct kit *kit, const char *text) {
  struct pl_harness *harness = &kit->harness;
  pl_test_arena(&kit->arena);
  pl_harness_init(harness, &kit->arena);
  pl_findings_init(&kit->findings, &kit->arena);
  pl_sources_init(&kit->sources, &kit->arena);
  harness->machine.title = text;
  harness->machine.revision = text;
  harness->digest = "0123456789abcdef0123456789abcdef";
  struct pl_place place = pl_place_blank();
  place.name = text;
  pl_harness_add_place(harness, place);
  struct pl_circuit circuit = {.name = text, .title = text, .drop_limit = NAN, .span = PL_NO_SPAN};
  PL_PUSH(&kit->arena, &harness->circuits, circuit);
  kit->battery = kit_device(kit, PL_KIND_BATTERY, "BAT");
  kit->plus = kit_pin(kit, kit->battery, "+");
  kit->minus = kit_pin(kit, kit->battery, "-");
  kit->fuse = kit_device(kit, PL_KIND_FUSE, "F1");
  harness->devices.at[kit->fuse].rating = 10;
  harness->devices.at[kit->fuse].family = "blade";
  kit->fuse_in = kit_pin(kit, kit->fuse, "in");
  kit->fuse_out = kit_pin(kit, kit->fuse, "out");
  kit_module(kit, text);
  kit->splice = kit_device(kit, PL_KIND_SPLICE, text);
  kit->node = kit_pin(kit, kit->splice, "");
  kit->lamp = kit_device(kit, PL_KIND_LAMP, "E1");
  kit->lamp_plus = kit_pin(kit, kit->lamp, "+");
  kit->lamp_minus = kit_pin(kit, kit->lamp, "-");
  kit_wire(kit, "1", kit->plus, kit->fuse_in);
  kit_wire(kit, "2", kit->fuse_out, kit->node);
  kit_wire(kit, "3", kit->node, kit->feed);
  kit_wire(kit, "4", kit->node, kit->lamp_plus);
  kit_wire(kit, "5", kit->lamp_minus, kit->guess);
  kit_wire(kit, "6", kit->guess, kit->minus);
  kit_wire(kit, "loop", kit->node, kit->node);
  harness->wires.at[2].twist = harness->wires.at[3].twist = text;
  pl_id capped = kit_wire(kit, text, kit->feed, PL_NONE);
  harness->wires.at[capped].status = PL_WIRE_DONOR_CAPPED;
  harness->wires.at[capped].note = text;
  kit_state(kit, "off");
  kit_state(kit, text);
  kit_solution(kit, 0, 1.5);
  kit_solution(kit, 1, -7.5);
  pl_findings_add(&kit->findings,
                  (struct pl_finding){.rule = "fuse-load",
                                      .severity = PL_DANGER,
                                      .span = PL_NO_SPAN,
                                      .place = "wire 1",
                                      .state = text,
                                      .figure = 7.5,
                                      .limit = 7,
                                      .unit = "A",
                                      .text = text,
                                      .remedy = text});
  pl_findings_add(&kit->findings,
                  (struct pl_finding){.rule = "guess",
                                      .severity = PL_ADVICE,
                                      .span = PL_NO_SPAN,
                                      .place = "ECM.A2",
                                      .figure = NAN,
                                      .limit = NAN,
                                      .text = text,
                                      .waived = text});
}

static inline void kit_release(struct kit *kit) {
  pl_arena_release(&kit->arena);
}

static inline void kit_sheets(struct kit *kit, bool solved, pl_sheets *sheets) {
  *sheets = (pl_sheets){0};
  struct pl_sheet_inputs in = {.harness = &kit->harness,
                               .solutions = solved ? kit->solutions : NULL,
                               .findings = &kit->findings,
                               .sources = &kit->sources};
  pl_sheets_make(&in, &kit->arena, sheets);
}

static inline const struct pl_sheet *kit_sheet(const pl_sheets *sheets, const char *file) {
  for (uint32_t i = 0; i < sheets->n; i++)
    if (strcmp(sheets->at[i].file, file) == 0)
      return &sheets->at[i];
  CU_FAIL("a sheet is missing");
  return NULL;
}

/* The cell of a row under a head; "(no such column)" when there is none. */
static inline const char *kit_cell(const struct pl_sheet *sheet, uint32_t row, const char *head) {
  for (uint32_t c = 0; sheet != NULL && row < sheet->rows.n && c < sheet->column_count; c++)
    if (strcmp(sheet->columns[c].head, head) == 0)
      return sheet->rows.at[row].cells[c];
  return "(no such column)";
}

/* The suites of test_sheet, one file each. */
extern CU_TestInfo sheet_work_tests[], sheet_change_tests[];

#endif
