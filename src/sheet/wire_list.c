/* Sheets of wires: the list, and what protects them. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "sheet/rows_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

static void length_cell(struct pl_sheet_maker *maker, double metres) {
  char text[PL_NUMBER_SIZE];
  bool feet = pl_sheet_in_feet(maker);
  double length = feet ? metres * PL_FEET_PER_METRE : metres;
  pl_sheet_text(maker,
                isfinite(length)
                    ? pl_arena_strdup(maker->arena, pl_number_fixed(text, length, feet ? 1 : 2))
                    : "");
}

/* "bay > firewall > cab"; runs lie from end to end, so that each shares a place with the next. */
static const char *route_text(struct pl_sheet_maker *maker, const struct pl_wire *wire) {
  const struct pl_harness *harness = maker->harness;
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  pl_id at = PL_NONE;
  for (uint32_t i = 0; i < wire->route.n; i++) {
    const struct pl_run *run = &harness->runs.at[wire->route.at[i]];
    if (i == 0) {
      const struct pl_run *next = NULL;
      if (wire->route.n > 1)
        next = &harness->runs.at[wire->route.at[1]];
      pl_id start = PL_NONE;
      if (wire->end[0] < harness->pins.n)
        start = harness->devices.at[harness->pins.at[wire->end[0]].device].place;
      bool backward;
      if (next != NULL)
        backward = run->a == next->a || run->a == next->b;
      else
        backward = start == run->b;
      at = backward ? run->b : run->a;
      pl_buffer_puts(&out, harness->places.at[at].name);
    }
    if (run->a == at)
      at = run->b;
    else
      at = run->a;
    pl_buffer_printf(&out, " > %s", harness->places.at[at].name);
  }
  if (wire->route.n == 0) {
    pl_id end;
    if (wire->end[0] < harness->pins.n)
      end = wire->end[0];
    else
      end = wire->end[1];
    pl_id place = PL_NONE;
    if (end < harness->pins.n)
      place = harness->devices.at[harness->pins.at[end].device].place;
    if (place < harness->places.n)
      pl_buffer_printf(&out, "at %s", harness->places.at[place].name);
  }
  return out.at;
}

/* "from: web": which of the ends nobody vouches for. */
static const char *unsure_ends(struct pl_sheet_maker *maker, const struct pl_wire *wire) {
  static const char *const names[] = {"from", "to"};
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  for (int end = 0; end < 2; end++) {
    const char *unsure = "";
    if (wire->end[end] < maker->harness->pins.n)
      unsure = pl_pin_unsure(&maker->harness->pins.at[wire->end[end]]);
    if (unsure[0] != '\0')
      pl_buffer_printf(&out, "%s%s: %s", out.n > 0 ? ", " : "", names[end], unsure);
  }
  return out.at;
}

static const char *wire_note(struct pl_sheet_maker *maker, const struct pl_wire *wire) {
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  if (wire->twist[0] != '\0')
    pl_buffer_printf(&out, "twisted: %s", wire->twist);
  if (wire->shield)
    pl_buffer_printf(&out, "%sshielded", out.n > 0 ? "; " : "");
  if (wire->note[0] != '\0')
    pl_buffer_printf(&out, "%s%s", out.n > 0 ? "; " : "", wire->note);
  return out.at;
}

static void drop_cell(struct pl_sheet_maker *maker, pl_id wire, struct pl_worst worst) {
  double drop;
  if (isnan(worst.amps))
    drop = NAN;
  else if (worst.state == PL_NONE)
    drop = 0;
  else
    drop = 1000 * worst.amps * maker->solutions[worst.state].wire_ohms[wire];
  pl_sheet_figure(maker,
                  drop < 10 ? round(drop * 100) / 100 : drop,
                  3); /* no meter shows less than 0.01 mV */
}

void pl_sheet_wires(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  pl_sheet_begin(maker,
                 "wires",
                 "Wire list",
                 "Length: cut length with tails and slack. Amps: the most in any state; drop: over "
                 "the whole wire and its "
                 "two contacts at those amps.");
  maker->sheet.wide = true;
  pl_sheet_wire_columns(maker);
  pl_sheet_column(maker, "from");
  pl_sheet_column(maker, "to");
  pl_sheet_column(maker, "unsure ends")->csv_only = true;
  pl_sheet_column(maker, "circuit");
  pl_sheet_column(maker, "insulation")->csv_only = true;
  pl_sheet_number(maker, pl_sheet_in_feet(maker) ? "length ft" : "length m");
  pl_sheet_column(maker, "length from")->csv_only = true;
  pl_sheet_column(maker, "route");
  pl_sheet_number(maker, "most A");
  pl_sheet_column(maker, "in state");
  pl_sheet_number(maker, "drop mV");
  pl_sheet_column(maker, "status");
  pl_sheet_column(maker, "note")->csv_only =
      true; /* where the wire is cut, or the donor's is treated, it stands on paper */
  for (pl_id id = 0; id < harness->wires.n; id++) {
    const struct pl_wire *wire = &harness->wires.at[id];
    struct pl_worst worst = pl_worst_wire(maker, id);
    pl_sheet_row(maker, PL_LINK_WIRE, id);
    pl_sheet_wire_cells(maker, id);
    pl_sheet_wire_end(maker, wire, 0);
    pl_sheet_wire_end(maker, wire, 1);
    pl_sheet_text(maker, unsure_ends(maker, wire));
    pl_sheet_text(maker,
                  wire->circuit < harness->circuits.n ? harness->circuits.at[wire->circuit].name
                                                      : "");
    pl_sheet_text(maker,
                  wire->insulation < pl_insulation_count ? pl_insulations[wire->insulation].name
                                                         : "");
    length_cell(maker, wire->length);
    pl_sheet_text(maker, wire->length_written ? "text" : "runs");
    pl_sheet_text(maker, route_text(maker, wire));
    pl_sheet_amps(maker, worst.amps);
    pl_sheet_text(maker, pl_sheet_state(maker, worst.state));
    drop_cell(maker, id, worst);
    pl_sheet_text(maker, pl_wire_status_name(wire->status));
    pl_sheet_text(maker, wire_note(maker, wire));
  }
  pl_sheet_end(maker);
}

/* ---- protection ---- */

/* The far ends of the wires at its last pin. */
static const char *fuse_feeds(struct pl_sheet_maker *maker, const struct pl_device *device) {
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  if (device->pin_count == 0)
    return "";
  pl_id last = device->first_pin + device->pin_count - 1;
  const struct pl_pin *pin = &maker->harness->pins.at[last];
  for (uint32_t i = 0; i < pin->wires.n; i++)
    pl_buffer_printf(&out,
                     "%s%s",
                     out.n > 0 ? ", " : "",
                     pl_probe_far_end(maker->harness, pin->wires.at[i], last));
  return out.at;
}

void pl_sheet_fuses(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  char share[PL_NUMBER_SIZE];
  pl_number_print(share, 100 * harness->machine.fuse_share, 3);
  pl_sheet_begin(
      maker,
      "fuses",
      "Fuses and protection",
      pl_arena_printf(
          maker->arena,
          "A continuous load may use %s %% of a rating. Battery off before a fuse is changed; "
          "never a larger one. Pin in looks to the battery, pin out to what it feeds; "
          "their wires stand in \"Connectors and pins\", at its place.",
          share));
  maker->sheet.wide = maker->sheet.tick = true;
  struct pl_column *name = pl_sheet_column(maker, "device");
  name->narrow = name->key = true;
  pl_sheet_narrow(maker, "kind");
  pl_sheet_column(maker, "place");
  pl_sheet_number(maker, "no.");
  pl_sheet_number(maker, "rating A");
  pl_sheet_column(maker, "family");
  pl_sheet_column(maker, "colour of fuse");
  pl_sheet_column(maker, "what for");
  pl_sheet_column(maker, "feeds");
  pl_sheet_number(maker, "most A");
  pl_sheet_column(maker, "in state");
  pl_sheet_number(maker, "share %");
  for (pl_id id = 0; id < harness->devices.n; id++) {
    const struct pl_device *device = &harness->devices.at[id];
    if (!pl_kind_is_protection(device->kind))
      continue;
    struct pl_worst worst = pl_worst_device(maker, id);
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_link(maker, device->name, PL_LINK_DEVICE, id);
    pl_sheet_text(maker, pl_kind_name(device->kind));
    pl_sheet_place_cell(maker, device->place);
    pl_sheet_figure(maker, pl_device_position(harness, id), 6);
    pl_sheet_figure(maker, device->rating, 4);
    pl_sheet_text(maker, device->family);
    pl_sheet_text(maker,
                  pl_fuse_colour(device->family == NULL ? "" : device->family, device->rating));
    pl_sheet_text(maker, device->text);
    pl_sheet_text(maker, fuse_feeds(maker, device));
    pl_sheet_amps(maker, worst.amps);
    pl_sheet_text(maker, pl_sheet_state(maker, worst.state));
    pl_sheet_figure(maker, device->rating > 0 ? 100 * worst.amps / device->rating : NAN, 2);
  }
  pl_sheet_end(maker);
}

/* What the wires at a pin of that name lead to. */
static const char *
leads_to(struct pl_sheet_maker *maker, const struct pl_device *device, const char *name) {
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  for (pl_id p = device->first_pin; p < device->first_pin + device->pin_count; p++) {
    const struct pl_pin *pin = &maker->harness->pins.at[p];
    for (uint32_t i = 0; strcmp(pin->name, name) == 0 && i < pin->wires.n; i++)
      pl_buffer_printf(&out,
                       "%s%s",
                       out.n > 0 ? ", " : "",
                       pl_probe_far_end(maker->harness, pin->wires.at[i], p));
  }
  return out.at;
}

void pl_sheet_relays(struct pl_sheet_maker *maker) {
  static const char *const pins[] = {"30", "87", "85", "86"};
  const struct pl_harness *harness = maker->harness;
  pl_sheet_begin(maker,
                 "relays",
                 "Relay positions",
                 "Contact 30 to 87 closes when the coil between 85 and 86 is fed.");
  maker->sheet.wide = maker->sheet.tick = true;
  struct pl_column *name = pl_sheet_column(maker, "relay");
  name->narrow = name->key = true;
  pl_sheet_column(maker, "place");
  pl_sheet_number(maker, "no.");
  pl_sheet_column(maker, "what for");
  pl_sheet_column(maker, "part");
  pl_sheet_number(maker, "contact A");
  pl_sheet_number(maker, "coil ohm");
  pl_sheet_column(maker, "suppression");
  for (int i = 0; i < 4; i++)
    pl_sheet_column(maker, pins[i]);
  for (pl_id id = 0; id < harness->devices.n; id++) {
    const struct pl_device *device = &harness->devices.at[id];
    if (!pl_kind_is(device->kind, PL_IS_RELAY))
      continue;
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_link(maker, device->name, PL_LINK_DEVICE, id);
    pl_sheet_place_cell(maker, device->place);
    pl_sheet_figure(maker, pl_device_position(harness, id), 6);
    pl_sheet_text(maker, device->text);
    pl_sheet_text(maker, device->part);
    pl_sheet_figure(maker, device->rating, 4);
    pl_sheet_figure(maker, device->coil_ohms, 4);
    pl_sheet_text(maker, device->suppression);
    for (int i = 0; i < 4; i++)
      pl_sheet_text(maker, leads_to(maker, device, pins[i]));
  }
  pl_sheet_end(maker);
}
