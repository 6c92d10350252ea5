/* What is printed on labels: each wire twice, its own end first; each connector once. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "sheet/rows_inner.h"
#include "standard/label_sizes.h"
#include "standard/wire.h"

static const char *pin_name(struct pl_sheet_maker *maker, const struct pl_wire *wire, int end) {
  if (wire->end[end] < maker->harness->pins.n)
    return maker->harness->pins.at[wire->end[end]].full;
  return wire->status == PL_WIRE_DONOR_CAPPED ? "capped" : "in the air";
}

/* Unreserved characters as they are, all others as %XX: RFC 3986. */
static const char *page_of(struct pl_sheet_maker *maker, pl_id pin) {
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  pl_buffer_puts(&out, "shop.html#pin=");
  for (const char *c = maker->harness->pins.at[pin].full; *c != '\0'; c++) {
    bool plain = (*c >= '0' && *c <= '9') || (*c >= 'A' && *c <= 'Z') || (*c >= 'a' && *c <= 'z') ||
                 strchr("-._~", *c) != NULL;
    if (plain)
      pl_buffer_add(&out, c, 1);
    else
      pl_buffer_printf(&out, "%%%02X", (unsigned)(unsigned char)*c);
  }
  return out.at;
}

static double outside_of(const struct pl_wire *wire) {
  const char *wall = "";
  if (wire->insulation < pl_insulation_count)
    wall = pl_insulations[wire->insulation].wall;
  return pl_wire_outside_mm(wire->area, wall, NULL);
}

static void wire_rows(struct pl_sheet_maker *maker, pl_id id, uint32_t sleeve) {
  const struct pl_wire *wire = &maker->harness->wires.at[id];
  bool flag = maker->harness->machine.flags;
  char colour[16];
  const char *below =
      pl_arena_printf(maker->arena, "%s %s", pl_colour_text(&wire->colour, colour), wire->size);
  for (int end = 0; end < 2; end++) {
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, flag ? "flag" : "sleeve");
    pl_sheet_text(maker,
                  pl_arena_printf(maker->arena,
                                  "%s  %s > %s",
                                  wire->number,
                                  pin_name(maker, wire, end),
                                  pin_name(maker, wire, 1 - end)));
    pl_sheet_text(maker, below);
    pl_sheet_text(maker,
                  flag && wire->end[end] < maker->harness->pins.n ? page_of(maker, wire->end[end])
                                                                  : "");
    pl_sheet_figure(maker, outside_of(wire), 3);
    pl_sheet_figure(maker,
                    !flag && sleeve < pl_sleeve_count ? pl_sleeves[sleeve].supplied : NAN,
                    3);
  }
}

static void connector_row(struct pl_sheet_maker *maker, pl_id id) {
  const struct pl_harness *harness = maker->harness;
  const struct pl_connector *connector = &harness->connectors.at[id];
  const struct pl_device *device = &harness->devices.at[connector->device];
  struct pl_buffer below;
  pl_id shown = connector->first_pin;
  for (pl_id p = device->first_pin + device->pin_count;
       p-- > device->first_pin;) /* the first cavity with a wire */
    if (harness->pins.at[p].connector == id && harness->pins.at[p].wires.n > 0)
      shown = p;
  pl_buffer_init(&below, maker->arena);
  if (device->text[0] != '\0')
    pl_buffer_printf(&below, "%s, ", device->text);
  pl_buffer_printf(&below,
                   connector->pin_count == 1 ? "%u cavity" : "%u cavities",
                   connector->pin_count);
  if (device->place < harness->places.n)
    pl_buffer_printf(&below, ", at %s", harness->places.at[device->place].name);
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_text(maker, "connector");
  pl_sheet_text(maker,
                connector->name[0] == '\0'
                    ? device->name
                    : pl_arena_printf(maker->arena, "%s  %s", device->name, connector->name));
  pl_sheet_text(maker, below.at);
  pl_sheet_text(maker, shown < harness->pins.n ? page_of(maker, shown) : "");
}

void pl_sheet_labels(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  pl_sheet_begin(maker, "labels", "Labels", "");
  maker->sheet.csv_only = true;
  pl_sheet_column(maker, "kind");
  pl_sheet_column(maker, "text");
  pl_sheet_column(maker, "second line");
  pl_sheet_column(maker, "code");
  pl_sheet_number(maker, "around mm");
  pl_sheet_number(maker, "sleeve mm");
  for (uint32_t sleeve = 0; sleeve <= pl_sleeve_count;
       sleeve++) /* by sleeve, so that one reel after the other is used */
    for (pl_id id = 0; id < harness->wires.n; id++) {
      const struct pl_wire *wire = &harness->wires.at[id];
      uint32_t own = harness->machine.flags ? 0 : pl_sleeve_for(outside_of(wire));
      if (wire->status == PL_WIRE_DONOR_REMOVED)
        continue;
      if ((own < pl_sleeve_count ? own : pl_sleeve_count) != sleeve)
        continue;
      wire_rows(maker, id, sleeve);
    }
  for (pl_id id = 0; id < harness->connectors.n; id++)
    connector_row(maker, id);
  pl_sheet_end(maker);
}
