/* Every end of every wire, plug by plug and place by place, and what is to be done to it. */
#include <math.h>
#include <string.h>

#include "sheet/work_inner.h"

static const char *
work_of(const struct pl_harness *harness, pl_id pin, const struct pl_wire *wire) {
  bool donor = harness->devices.at[harness->pins.at[pin].device].donor;
  switch (wire->status) {
    case PL_WIRE_NEW:
      return "new";
    case PL_WIRE_DONOR_KEPT:
      return "there: keep";
    case PL_WIRE_DONOR_EXTENDED:
      return donor ? "there: keep, extend" : "new, joins the donor's";
    case PL_WIRE_DONOR_CAPPED:
      return "there: cut back, cap, tag";
    case PL_WIRE_DONOR_REMOVED:
      return "pull out";
  }
  return "";
}

const char *
pl_work_end(const struct pl_sheet_maker *maker, pl_id pin, uint32_t at, enum pl_block_kind kind) {
  const struct pl_harness *harness = maker->harness;
  const pl_ids *wires = &harness->pins.at[pin].wires;
  const struct pl_wire *wire = &harness->wires.at[wires->at[at]];
  const char *work = work_of(harness, pin, wire);
  bool crimped = kind == PL_BLOCK_PLUG || kind == PL_BLOCK_LOOSE;
  pl_ids others = {0};

  for (uint32_t i = 0; i < wires->n; i++)
    if (i != at)
      PL_PUSH(maker->arena, &others, wires->at[i]);
  if (wire->twist[0] != '\0')
    work = pl_arena_printf(maker->arena, "%s; twisted: %s", work, wire->twist);
  if (others.n == 0 || !crimped)
    return work;
  const char *with = pl_work_wires(maker, &others);
  return pl_arena_printf(maker->arena, "%s; in one terminal with %s", work, with);
}

static void end_rows(struct pl_sheet_maker *maker, const struct pl_block *block, pl_id id) {
  const struct pl_harness *harness = maker->harness;
  const struct pl_pin *pin = &harness->pins.at[id];
  bool plug = block->kind == PL_BLOCK_PLUG;
  bool node = block->kind == PL_BLOCK_SPLICES || block->kind == PL_BLOCK_STUDS;
  const char *row_and_place = "";

  if (plug && pin->row > 0)
    row_and_place = pl_arena_printf(maker->arena, "%u, %u", pin->row, pin->column);
  for (uint32_t i = 0; i < pin->wires.n; i++) {
    const struct pl_wire *wire = &harness->wires.at[pin->wires.at[i]];
    bool crimped = pl_sheet_new_end(harness, wire, wire->end[0] == id ? 0 : 1);
    double strip = NAN;
    if (crimped && !node)
      strip = pl_pin_terminal(harness, id)->strip;
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, block->name);
    pl_sheet_link(maker, plug ? pin->cavity : pin->full, PL_LINK_PIN, id);
    pl_sheet_text(maker, row_and_place);
    pl_sheet_wire_cells(maker, pin->wires.at[i]);
    pl_sheet_text(maker, pl_sheet_terminal(harness, id));
    pl_sheet_text(maker, crimped ? pl_sheet_seal(maker, id) : "");
    pl_sheet_strip(maker, strip);
    pl_sheet_text(maker, pl_work_end(maker, id, i, block->kind));
    pl_sheet_end_cell(maker, pin->wires.at[i], id);
  }
}

void pl_sheet_build_ends(struct pl_sheet_maker *maker) {
  pl_blocks blocks = {0};
  pl_blocks_make(maker, &blocks);
  pl_sheet_begin(maker, "build-ends", "Every wire end, plug by plug", "");
  maker->sheet.csv_only = true; /* on paper the tables of connectors and pins say it */
  pl_sheet_column(maker, "at");
  struct pl_column *pin = pl_sheet_column(maker, "cavity or pin");
  pin->narrow = pin->key = true;
  pl_sheet_narrow(maker, "row, place");
  pl_sheet_wire_columns(maker);
  pl_sheet_column(maker, "terminal");
  pl_sheet_narrow(maker, "seal mm");
  pl_sheet_number(maker, pl_sheet_in_feet(maker) ? "strip in" : "strip mm");
  pl_sheet_column(maker, "what to do");
  pl_sheet_column(maker, "goes to");
  for (uint32_t b = 0; b < blocks.n; b++)
    for (uint32_t i = 0; i < blocks.at[b].pins.n; i++)
      end_rows(maker, &blocks.at[b], blocks.at[b].pins.at[i]);
  pl_sheet_end(maker);
}
