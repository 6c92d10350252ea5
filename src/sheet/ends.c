/* What sits on the ends of wires: terminals, seals, strip lengths; and which wires are cut new. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "sheet/rows_inner.h"
#include "standard/wire.h"

static const struct pl_device *device_at(const struct pl_harness *harness, pl_id pin) {
  return &harness->devices.at[harness->pins.at[pin].device];
}

const char *pl_sheet_terminal(const struct pl_harness *harness, pl_id pin) {
  enum pl_kind kind = device_at(harness, pin)->kind;
  if (pl_kind_is(kind, PL_IS_SPLICE))
    return "splice";
  if (pl_kind_is_node(kind) && harness->pins.at[pin].terminal == PL_NONE)
    return "ring";
  return pl_pin_terminal(harness, pin)->name;
}

static bool is_sealed(const struct pl_harness *harness, pl_id pin) {
  if (!(!pl_kind_is_node(device_at(harness, pin)->kind)))
    return false;
  return isfinite(pl_pin_terminal(harness, pin)->od_max);
}

const char *pl_sheet_seal(const struct pl_sheet_maker *maker, pl_id pin) {
  char low[PL_NUMBER_SIZE], high[PL_NUMBER_SIZE];
  if (!is_sealed(maker->harness, pin))
    return "";
  const struct pl_terminal *terminal = pl_pin_terminal(maker->harness, pin);
  return pl_arena_printf(maker->arena,
                         "%s to %s",
                         pl_number_print(low, terminal->od_min, 3),
                         pl_number_print(high, terminal->od_max, 3));
}

const char *pl_sheet_splice(const struct pl_sheet_maker *maker, const struct pl_pin *splice) {
  char number[PL_NUMBER_SIZE];
  double area = 0;
  for (uint32_t i = 0; i < splice->wires.n; i++)
    area += maker->harness->wires.at[splice->wires.at[i]].area;
  return pl_arena_printf(maker->arena,
                         "for %u wires, %s mm2 together",
                         splice->wires.n,
                         pl_number_print(number, area, 3));
}

bool pl_sheet_new_end(const struct pl_harness *harness, const struct pl_wire *wire, int end) {
  if (wire->end[end] >= harness->pins.n)
    return false;
  if (wire->status == PL_WIRE_NEW)
    return true;
  if (wire->status != PL_WIRE_DONOR_EXTENDED)
    return false;
  return !device_at(harness, wire->end[end])->donor;
}

double pl_sheet_cut_length(const struct pl_wire *wire) {
  if (wire->status == PL_WIRE_NEW)
    return wire->length;
  if (wire->status != PL_WIRE_DONOR_EXTENDED)
    return 0;
  if (isfinite(wire->extension))
    return wire->extension;
  return wire->length;
}

/* ---- the order of cutting ---- */

struct cut {
  pl_id wire;
  uint32_t insulation;
  double area, length;
  char colour[16];
};

static int by_spool(const void *left, const void *right) {
  const struct cut *a = left;
  const struct cut *b = right;
  int letters;
  if (a->insulation != b->insulation)
    return a->insulation < b->insulation ? -1 : 1;
  if (a->area < b->area || a->area > b->area)
    return a->area > b->area ? -1 : 1;
  if ((letters = strcmp(a->colour, b->colour)) != 0)
    return letters;
  if (a->length < b->length || a->length > b->length)
    return a->length > b->length ? -1 : 1;
  if (a->wire < b->wire)
    return -1;
  return a->wire > b->wire;
}

void pl_sheet_cut_order(const struct pl_sheet_maker *maker, pl_ids *wires) {
  const struct pl_harness *harness = maker->harness;
  struct cut *cuts = PL_NEW_ARRAY(maker->arena, struct cut, harness->wires.n + 1);
  uint32_t n = 0;
  for (pl_id id = 0; id < harness->wires.n; id++) {
    const struct pl_wire *wire = &harness->wires.at[id];
    if (wire->status != PL_WIRE_NEW && wire->status != PL_WIRE_DONOR_EXTENDED)
      continue;
    cuts[n] = (struct cut){id, wire->insulation, wire->area, pl_sheet_cut_length(wire), ""};
    pl_colour_text(&wire->colour, cuts[n++].colour);
  }
  qsort(cuts, n, sizeof *cuts, by_spool);
  for (uint32_t i = 0; i < n; i++)
    PL_PUSH(maker->arena, wires, cuts[i].wire);
}

/* ---- terminals and seals, by crimp ---- */

struct crimp { /* one setting of one tool */
  const char *terminal, *seal;
  double strip; /* metres; not above zero when not said */
  pl_id first;  /* the first wire with it: its size */
  uint32_t ends;
  struct pl_buffer pins;
};
typedef PL_VEC(struct crimp) crimp_list;

static struct crimp *
crimp_of(struct pl_sheet_maker *maker, crimp_list *crimps, pl_id wire, pl_id pin) {
  const struct pl_harness *harness = maker->harness;
  const char *terminal = pl_sheet_terminal(harness, pin);
  const char *size = harness->wires.at[wire].size;
  for (uint32_t i = 0; i < crimps->n; i++)
    if (strcmp(crimps->at[i].terminal, terminal) == 0 &&
        strcmp(harness->wires.at[crimps->at[i].first].size, size) == 0)
      return &crimps->at[i];
  struct crimp crimp = {.terminal = terminal, .seal = pl_sheet_seal(maker, pin), .first = wire};
  if (!pl_kind_is_node(device_at(harness, pin)->kind))
    crimp.strip = pl_pin_terminal(harness, pin)->strip;
  pl_buffer_init(&crimp.pins, maker->arena);
  PL_PUSH(maker->arena, crimps, crimp);
  return &crimps->at[crimps->n - 1];
}

static int by_terminal(const void *left, const void *right) {
  const struct crimp *a = left;
  const struct crimp *b = right;
  int names = strcmp(a->terminal, b->terminal);

  if (names != 0)
    return names;
  return (a->first > b->first) - (a->first < b->first);
}

void pl_sheet_ends(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  crimp_list crimps = {0};
  for (pl_id id = 0; id < harness->wires.n; id++)
    for (int end = 0; end < 2; end++) {
      const struct pl_wire *wire = &harness->wires.at[id];
      if (!pl_sheet_new_end(harness, wire, end))
        continue;
      if (pl_kind_is(device_at(harness, wire->end[end])->kind, PL_IS_SPLICE))
        continue; /* in the list of splices */
      struct crimp *crimp = crimp_of(maker, &crimps, id, wire->end[end]);
      pl_buffer_printf(&crimp->pins,
                       "%s%s",
                       crimp->ends++ > 0 ? ", " : "",
                       harness->pins.at[wire->end[end]].full);
    }
  if (crimps.n > 0)
    qsort(crimps.at, crimps.n, sizeof *crimps.at, by_terminal);
  pl_sheet_begin(maker,
                 "ends",
                 "Terminals and seals, by crimp",
                 "One row is one tool and one setting: crimp all its ends before the tool is "
                 "changed, pull-test the first. The seal "
                 "goes on the wire before the terminal does.");
  maker->sheet.tick = true;
  pl_sheet_column(maker, "terminal")->key = true;
  pl_sheet_narrow(maker, "size");
  pl_sheet_number(maker, "ends");
  pl_sheet_number(maker, pl_sheet_in_feet(maker) ? "strip in" : "strip mm");
  pl_sheet_narrow(maker, "seal mm");
  pl_sheet_column(maker, "at");
  for (uint32_t i = 0; i < crimps.n; i++) {
    const struct crimp *crimp = &crimps.at[i];
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, crimp->terminal);
    pl_sheet_text(maker, harness->wires.at[crimp->first].size);
    pl_sheet_figure(maker, crimp->ends, 6);
    pl_sheet_strip(maker, crimp->strip);
    pl_sheet_text(maker, crimp->seal);
    pl_sheet_text(maker, crimp->pins.at);
  }
  pl_sheet_end(maker);
}

void pl_sheet_strip(struct pl_sheet_maker *maker, double metres) {
  char text[PL_NUMBER_SIZE];
  bool inches = pl_sheet_in_feet(maker);
  pl_sheet_text(maker,
                metres > 0 ? pl_arena_strdup(
                                 maker->arena,
                                 pl_number_fixed(text,
                                                 metres * (inches ? 12 * PL_FEET_PER_METRE : 1000),
                                                 inches ? 2 : 0))
                           : "");
}
