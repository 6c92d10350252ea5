/* Cutting: the cut list, totals by spool, twisted pairs.
 *
 * Wires are sorted by the spool they come from (insulation, size, colour), the longest of each
 * first, so that what is left of a spool that ends is of use for a shorter one.  It is a list to
 * cut by, not a packing of pieces into lengths that are sold (that is the cutting-stock problem:
 * Gilmore and Gomory, Operations Research 9, 1961): wire is bought by the spool, with a share to
 * spare.  Cost: one sort. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "sheet/rows_inner.h"
#include "standard/wire.h"

#define ROUND_UP 0.999999 /* a spool's total is bought in whole metres or feet */

static const char *insulation_of(const struct pl_wire *wire) {
  if (wire->insulation < pl_insulation_count)
    return pl_insulations[wire->insulation].name;
  return "";
}

/* Millimetres, or inches to a tenth. */
static void length_cell(struct pl_sheet_maker *maker, double metres) {
  char text[PL_NUMBER_SIZE];

  if (!isfinite(metres)) {
    pl_sheet_text(maker, "");
    return;
  }
  if (pl_sheet_in_feet(maker))
    pl_number_fixed(text, metres * 12 * PL_FEET_PER_METRE, 1);
  else
    pl_number_fixed(text, metres * 1000, 0);
  pl_sheet_text(maker, pl_arena_strdup(maker->arena, text));
}

/* What the length has on top of the way along the runs. */
static double allowance_of(const struct pl_harness *harness, const struct pl_wire *wire) {
  double way = 0;
  if (wire->length_written || wire->status != PL_WIRE_NEW)
    return NAN;
  for (uint32_t i = 0; i < wire->route.n; i++)
    way += harness->runs.at[wire->route.at[i]].length;
  return wire->length - way;
}

static void end_cells(struct pl_sheet_maker *maker, const struct pl_wire *wire, int end) {
  const struct pl_harness *harness = maker->harness;
  pl_id pin = wire->end[end];
  pl_sheet_wire_end(maker, wire, end);
  if (!pl_sheet_new_end(harness, wire, end)) {
    pl_sheet_text(maker, "");
    pl_sheet_text(maker, pin < harness->pins.n ? "as it is" : "");
    pl_sheet_text(maker, "");
    return;
  }
  bool node = pl_kind_is_node(harness->devices.at[harness->pins.at[pin].device].kind);
  pl_sheet_strip(maker, node ? NAN : pl_pin_terminal(harness, pin)->strip);
  pl_sheet_text(maker, pl_sheet_terminal(harness, pin));
  pl_sheet_text(maker, pl_sheet_seal(maker, pin));
}

static const char *cut_note(struct pl_sheet_maker *maker, const struct pl_wire *wire) {
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  if (wire->status == PL_WIRE_DONOR_EXTENDED)
    pl_buffer_puts(&out,
                   isfinite(wire->extension) ? "spliced to the donor's wire"
                                             : "spliced to the donor's; measure first");
  if (wire->twist[0] != '\0')
    pl_buffer_printf(&out, "%stwisted: %s", out.n > 0 ? "; " : "", wire->twist);
  if (wire->shield)
    pl_buffer_printf(&out, "%sshielded", out.n > 0 ? "; " : "");
  if (wire->note[0] != '\0')
    pl_buffer_printf(&out, "%s%s", out.n > 0 ? "; " : "", wire->note);
  return out.at;
}

bool pl_sheet_same_wire(const struct pl_wire *a, const struct pl_wire *b) {
  if (a->insulation != b->insulation)
    return false;
  return strcmp(a->size, b->size) == 0;
}

const char *pl_sheet_wire_kind(const struct pl_sheet_maker *maker, const struct pl_wire *wire) {
  return pl_arena_printf(maker->arena, "%s %s", wire->size, insulation_of(wire));
}

static void cut_list(struct pl_sheet_maker *maker, const pl_ids *wires) {
  const struct pl_harness *harness = maker->harness;
  bool inches = pl_sheet_in_feet(maker);
  pl_sheet_begin(maker,
                 "cutting",
                 "Cut list",
                 "Cut length has strip, slack and tails in it; slack: how much of it is slack and "
                 "tails. Cut the longest of a colour first. Where no strip "
                 "length is said: the terminal's barrel and 1 mm (common practice). Measure first: "
                 "the whole way stands here, and the donor's wire is part of it.");
  maker->sheet.wide = maker->sheet.tick = true;
  pl_sheet_wire_columns(maker);
  pl_sheet_narrow(maker, "insulation");
  maker->sheet.columns[maker->sheet.column_count - 1].csv_only =
      maker->sheet.columns[maker->sheet.column_count - 2].csv_only = true; /* the headings say it */
  pl_sheet_number(maker, inches ? "cut in" : "cut mm");
  pl_sheet_number(maker, inches ? "slack in" : "slack mm");
  pl_sheet_column(maker, "from");
  pl_sheet_number(maker, "strip from");
  pl_sheet_column(maker, "terminal from");
  pl_sheet_column(maker, "seal from mm")->csv_only = true;
  pl_sheet_column(maker, "to");
  pl_sheet_number(maker, "strip to");
  pl_sheet_column(maker, "terminal to");
  pl_sheet_column(maker, "seal to mm")->csv_only = true;
  pl_sheet_column(maker, "note");
  for (uint32_t i = 0; i < wires->n; i++) {
    const struct pl_wire *wire = &harness->wires.at[wires->at[i]];
    if (i == 0 || !pl_sheet_same_wire(wire, &harness->wires.at[wires->at[i - 1]]))
      pl_sheet_heading(maker, pl_sheet_wire_kind(maker, wire), "");
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_wire_cells(maker, wires->at[i]);
    pl_sheet_text(maker, insulation_of(wire));
    length_cell(maker, pl_sheet_cut_length(wire));
    length_cell(maker, allowance_of(harness, wire));
    end_cells(maker, wire, 0);
    end_cells(maker, wire, 1);
    pl_sheet_text(maker, cut_note(maker, wire));
  }
  pl_sheet_end(maker);
}

/* ---- totals by spool ---- */

static bool same_spool(const struct pl_wire *a, const struct pl_wire *b) {
  char left[16], right[16];
  if (!pl_sheet_same_wire(a, b))
    return false;
  return strcmp(pl_colour_text(&a->colour, left), pl_colour_text(&b->colour, right)) == 0;
}

double pl_sheet_spool(const struct pl_harness *harness,
                      const pl_ids *wires,
                      uint32_t from,
                      uint32_t *end) {
  double metres = 0;
  for (*end = from; *end < wires->n; (*end)++) {
    const struct pl_wire *wire = &harness->wires.at[wires->at[*end]];
    if (!same_spool(&harness->wires.at[wires->at[from]], wire))
      break;
    metres += pl_sheet_cut_length(wire);
  }
  return metres;
}

double pl_sheet_to_buy(const struct pl_sheet_maker *maker, double metres) {
  double units = metres;
  if (pl_sheet_in_feet(maker))
    units = PL_FEET_PER_METRE * metres;

  return floor(units * (1 + maker->harness->machine.spare) + ROUND_UP);
}

static void spools(struct pl_sheet_maker *maker, const pl_ids *wires) {
  const struct pl_harness *harness = maker->harness;
  bool feet = pl_sheet_in_feet(maker);
  char spare[PL_NUMBER_SIZE], text[PL_NUMBER_SIZE];
  pl_sheet_begin(maker,
                 "spools",
                 "Totals by spool",
                 pl_arena_printf(maker->arena,
                                 "To buy: %s %% on top, whole %s.",
                                 pl_number_print(spare, 100 * harness->machine.spare, 3),
                                 feet ? "feet" : "metres"));
  pl_sheet_column(maker, "insulation")->csv_only = true;
  pl_sheet_column(maker, "size")->csv_only = true;
  struct pl_column *colour_column = pl_sheet_column(maker, "colour");
  colour_column->narrow = colour_column->key = true;
  pl_sheet_number(maker, "wires");
  pl_sheet_number(maker, feet ? "longest ft" : "longest m");
  pl_sheet_number(maker, feet ? "total ft" : "total m");
  pl_sheet_number(maker, feet ? "to buy ft" : "to buy m");
  for (uint32_t i = 0, end; i < wires->n; i = end) {
    const struct pl_wire *first = &harness->wires.at[wires->at[i]];
    char colour[16];
    double metres = pl_sheet_spool(harness, wires, i, &end);
    double scale = feet ? PL_FEET_PER_METRE : 1;
    if (i == 0 || !pl_sheet_same_wire(first, &harness->wires.at[wires->at[i - 1]]))
      pl_sheet_heading(maker, pl_sheet_wire_kind(maker, first), "");
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, insulation_of(first));
    pl_sheet_text(maker, first->size);
    pl_sheet_link(maker,
                  pl_arena_strdup(maker->arena, pl_colour_text(&first->colour, colour)),
                  PL_LINK_COLOUR,
                  wires->at[i]);
    pl_sheet_figure(maker, end - i, 6);
    pl_sheet_text(maker,
                  pl_arena_strdup(maker->arena,
                                  pl_number_fixed(text, scale * pl_sheet_cut_length(first), 2)));
    pl_sheet_text(maker, pl_arena_strdup(maker->arena, pl_number_fixed(text, scale * metres, 2)));
    pl_sheet_figure(maker, pl_sheet_to_buy(maker, metres), 6);
  }
  pl_sheet_end(maker);
}

/* ---- twisted pairs ---- */

static void twist_row(struct pl_sheet_maker *maker, pl_id first) {
  const struct pl_harness *harness = maker->harness;
  const char *twist = harness->wires.at[first].twist;
  struct pl_buffer numbers, ends;
  char text[PL_NUMBER_SIZE];
  double longest = 0;
  bool shield = false;
  pl_buffer_init(&numbers, maker->arena);
  pl_buffer_init(&ends, maker->arena);
  for (pl_id id = first; id < harness->wires.n; id++) {
    const struct pl_wire *wire = &harness->wires.at[id];
    char colour[16];
    if (strcmp(wire->twist, twist) != 0)
      continue;
    pl_buffer_printf(&numbers,
                     "%s%s (%s)",
                     numbers.n > 0 ? ", " : "",
                     wire->number,
                     pl_colour_text(&wire->colour, colour));
    for (int end = 0; end < 2; end++)
      if (wire->end[end] < harness->pins.n) {
        const char *between = end == 0 ? ", " : " to ";
        pl_buffer_puts(&ends, ends.n == 0 ? "" : between);
        pl_buffer_puts(&ends, harness->pins.at[wire->end[end]].full);
      }
    longest = fmax(longest, isfinite(wire->length) ? wire->length : 0);
    shield = shield || wire->shield;
  }
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_text(maker, twist);
  pl_sheet_text(maker, numbers.at);
  pl_sheet_text(maker, ends.at);
  if (pl_sheet_in_feet(maker))
    longest *= PL_FEET_PER_METRE;
  pl_sheet_text(maker, pl_arena_strdup(maker->arena, pl_number_fixed(text, longest, 2)));
  pl_sheet_text(maker, shield ? "shielded" : "");
}

static void twists(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  struct pl_table seen;
  pl_table_init(&seen, maker->arena);
  pl_sheet_begin(maker,
                 "twists",
                 "Twisted together",
                 "Twist from end to end, no splice inside; a data pair stays twisted to within 50 "
                 "mm of its pins (common practice).");
  maker->sheet.tick = true;
  pl_sheet_column(maker, "group")->key = true;
  pl_sheet_column(maker, "wires");
  pl_sheet_column(maker, "ends");
  pl_sheet_number(maker, pl_sheet_in_feet(maker) ? "longest ft" : "longest m");
  pl_sheet_column(maker, "shield");
  for (pl_id id = 0; id < harness->wires.n; id++) {
    if (harness->wires.at[id].twist[0] == '\0')
      continue;
    if (!pl_table_add(&seen, harness->wires.at[id].twist, id))
      continue;
    twist_row(maker, id);
  }
  pl_sheet_end(maker);
}

void pl_sheet_cutting(struct pl_sheet_maker *maker) {
  pl_ids wires = {0};
  pl_sheet_cut_order(maker, &wires);
  cut_list(maker, &wires);
  spools(maker, &wires);
  twists(maker);
}
