/* Every end of every wire, plug by plug and place by place: what the helper has before him while he crimps, loads and
 * splices. */
#include <math.h>
#include <string.h>

#include "sheet/work.h"

static const char *work_of(const struct pl_harness *harness, pl_id pin, const struct pl_wire *wire) {
  bool donor = harness->devices.at[harness->pins.at[pin].device].donor;
  switch (wire->status) {
    case PL_WIRE_NEW: return "new";
    case PL_WIRE_DONOR_KEPT: return "there: keep";
    case PL_WIRE_DONOR_EXTENDED: return donor ? "there: keep, extend" : "new, joins the donor's";
    case PL_WIRE_DONOR_CAPPED: return "there: cut back, cap, tag";
    case PL_WIRE_DONOR_REMOVED: return "pull out";
  }
  return "";
}

/* "new; in one terminal with 12". */
static const char *work_cell(const struct pl_sheet_maker *maker, pl_id pin, uint32_t at, enum pl_block_kind kind) {
  const struct pl_harness *harness = maker->harness;
  const pl_ids *wires = &harness->pins.at[pin].wires;
  const char *work = work_of(harness, pin, &harness->wires.at[wires->at[at]]);
  pl_ids others = {0};
  for (uint32_t i = 0; i < wires->n; i++)
    if (i != at) PL_PUSH(maker->arena, &others, wires->at[i]);
  const char *twist = harness->wires.at[wires->at[at]].twist;
  if (twist[0] != '\0') work = pl_arena_printf(maker->arena, "%s; twisted: %s", work, twist);
  if (others.n == 0 || (kind != PL_BLOCK_PLUG && kind != PL_BLOCK_LOOSE)) return work;
  return pl_arena_printf(maker->arena, "%s; in one terminal with %s", work, pl_work_wires(maker, &others));
}

static void end_rows(struct pl_sheet_maker *maker, const struct pl_block *block, pl_id id) {
  const struct pl_pin *pin = &maker->harness->pins.at[id];
  bool plug = block->kind == PL_BLOCK_PLUG;
  for (uint32_t i = 0; i < pin->wires.n; i++) {
    const struct pl_wire *wire = &maker->harness->wires.at[pin->wires.at[i]];
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, block->name);
    pl_sheet_link(maker, plug ? pin->cavity : pin->full, PL_LINK_PIN, id);
    pl_sheet_text(maker, plug && pin->row > 0 ? pl_arena_printf(maker->arena, "%u, %u", pin->row, pin->column) : "");
    pl_sheet_wire_cells(maker, pin->wires.at[i]);
    bool crimped = pl_sheet_new_end(maker->harness, wire, wire->end[0] == id ? 0 : 1), node = block->kind == PL_BLOCK_SPLICES || block->kind == PL_BLOCK_STUDS;
    pl_sheet_text(maker, pl_sheet_terminal(maker->harness, id));
    pl_sheet_text(maker, crimped ? pl_sheet_seal(maker, id) : "");
    pl_sheet_strip(maker, crimped && !node ? pl_pin_terminal(maker->harness, id)->strip : NAN);
    pl_sheet_text(maker, work_cell(maker, id, i, block->kind));
    pl_sheet_end_cell(maker, pin->wires.at[i], id);
  }
}

/* ---- what is said over a block ---- */

static void add_cavities(struct pl_buffer *out, const struct pl_harness *harness, const struct pl_block *block, bool plugged,
                         const char *before) {
  uint32_t n = 0;
  for (uint32_t i = 0; i < block->pins.n; i++) {
    const struct pl_pin *pin = &harness->pins.at[block->pins.at[i]];
    if (pin->wires.n == 0 && pin->plugged == plugged) pl_buffer_printf(out, "%s%s", n++ == 0 ? before : ", ", pin->cavity);
  }
  if (n > 0) pl_buffer_puts(out, ".");
}

static const char *plug_note(struct pl_sheet_maker *maker, const struct pl_block *block) {
  const struct pl_harness *harness = maker->harness;
  const struct pl_connector *connector = &harness->connectors.at[block->id];
  const struct pl_device *device = &harness->devices.at[connector->device];
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  pl_buffer_printf(&out, "%s%s%s. ", device->text, device->text[0] != '\0' && device->place != PL_NONE ? ", " : "",
                   pl_work_at(maker, device->place));
  if (device->text[0] == '\0' && device->place == PL_NONE) pl_buffer_init(&out, maker->arena);
  pl_buffer_printf(&out, "%u cavities, %s, the harness half carries %s", connector->pin_count,
                   connector->sealed ? "sealed: seal on the wire before the terminal" : "not sealed",
                   connector->pin_half ? "pins" : "sockets");
  if (connector->colour[0] != '\0') pl_buffer_printf(&out, ", %s", connector->colour);
  if (connector->key[0] != '\0') pl_buffer_printf(&out, ", keyed %s", connector->key);
  if (connector->part[0] != '\0') pl_buffer_printf(&out, ", part %s", connector->part);
  pl_buffer_puts(&out, ".");
  add_cavities(&out, harness, block, true, " Cavity plugs into: ");
  add_cavities(&out, harness, block, false, connector->sealed ? " Left empty, no plug said: " : " Left empty: ");
  return out.at;
}

static const char *block_note(struct pl_sheet_maker *maker, const struct pl_block *block) {
  static const char sign[] = "Built by __________ date ______ seen by __________";
  static const char *const notes[] = {[PL_BLOCK_LOOSE] = "", [PL_BLOCK_SPLICES] = "Sleeve over the wires first; apart from each other along the bundle. ",
                                      [PL_BLOCK_STUDS] = "Rings are bolted on when the harness is fitted; the largest lies on the metal. "};
  bool new_ends = false;
  for (uint32_t i = 0; i < block->wires.n; i++) new_ends = new_ends || pl_work_cut(&maker->harness->wires.at[block->wires.at[i]]);
  const char *said = block->kind == PL_BLOCK_PLUG ? pl_arena_printf(maker->arena, "%s ", plug_note(maker, block)) : notes[block->kind];
  return pl_arena_printf(maker->arena, "%s%s", said, new_ends ? sign : "");
}

void pl_sheet_build_ends(struct pl_sheet_maker *maker) {
  pl_blocks blocks = {0};
  pl_blocks_make(maker, &blocks);
  pl_sheet_begin(maker, "build-ends", "Every wire end, plug by plug",
                 "Row and place: seen from the wire side, from the top and from the left, latch and key as the drawing of the plug shows. "
                 "Tick a row when the end is in and does not come out again.");
  maker->sheet.tick = true;
  pl_sheet_column(maker, "at")->csv_only = true;
  struct pl_column *pin = pl_sheet_column(maker, "cavity or pin");
  pin->narrow = pin->key = true;
  pl_sheet_narrow(maker, "row, place");
  pl_sheet_wire_columns(maker);
  pl_sheet_column(maker, "terminal");
  pl_sheet_column(maker, "seal");
  pl_sheet_number(maker, pl_sheet_in_feet(maker) ? "strip in" : "strip mm");
  pl_sheet_column(maker, "what to do");
  pl_sheet_column(maker, "goes to");
  for (uint32_t b = 0; b < blocks.n; b++) {
    if (blocks.at[b].wires.n == 0) continue;
    pl_sheet_heading(maker, blocks.at[b].name, block_note(maker, &blocks.at[b]));
    for (uint32_t i = 0; i < blocks.at[b].pins.n; i++) end_rows(maker, &blocks.at[b], blocks.at[b].pins.at[i]);
  }
  pl_sheet_end(maker);
}
