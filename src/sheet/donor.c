/* The donor's harness: what becomes of each of its wires. */
#include "sheet/rows.h"

static const char *donor_work(const struct pl_wire *wire) {
  switch (wire->status) {
    case PL_WIRE_DONOR_KEPT:
      return "keep as it is";
    case PL_WIRE_DONOR_EXTENDED:
      return "extend: splice on, sealed, same size or larger";
    case PL_WIRE_DONOR_CAPPED:
      return "cut back and cap, tag with number";
    case PL_WIRE_DONOR_REMOVED:
      return "remove; plug the cavity";
    case PL_WIRE_NEW:
      break;
  }
  return "";
}

static void donor_row(struct pl_sheet_maker *maker, pl_id id, int end) {
  const struct pl_wire *wire = &maker->harness->wires.at[id];
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_wire_end(maker, wire, end);
  pl_sheet_wire_cells(maker, id);
  pl_sheet_wire_end(maker, wire, 1 - end);
  pl_sheet_text(maker, pl_wire_status_name(wire->status));
  pl_sheet_text(maker, donor_work(wire));
  pl_sheet_text(maker, wire->note);
}

/* Each wire once, in the order of the donor's cavities, so that one connector after the other is gone through. */
void pl_sheet_donor(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  bool *done = PL_NEW_ARRAY(maker->arena, bool, harness->wires.n);
  pl_sheet_begin(maker, "donor", "Donor wires, cavity by cavity",
                 "What came with the engine and what becomes of it. Colour never proves function: ring each one out.");
  maker->sheet.tick = true;
  pl_sheet_column(maker, "cavity")->key = true;
  pl_sheet_wire_columns(maker);
  pl_sheet_column(maker, "other end");
  pl_sheet_narrow(maker, "status");
  pl_sheet_column(maker, "what to do");
  pl_sheet_column(maker, "note");
  for (int donor = 1; donor >= 0; donor--) {
    for (pl_id p = 0; p < harness->pins.n; p++) {
      const struct pl_pin *pin = &harness->pins.at[p];
      if (donor == 1 && !harness->devices.at[pin->device].donor) continue;
      for (uint32_t i = 0; i < pin->wires.n; i++) {
        pl_id id = pin->wires.at[i];
        if (done[id] || harness->wires.at[id].status == PL_WIRE_NEW) continue;
        done[id] = true;
        donor_row(maker, id, harness->wires.at[id].end[0] == p ? 0 : 1);
      }
    }
  }
  for (pl_id id = 0; id < harness->wires.n; id++)
    if (!done[id] && harness->wires.at[id].status != PL_WIRE_NEW) donor_row(maker, id, 0);
  pl_sheet_end(maker);
}
