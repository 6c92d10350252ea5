/* What to buy, counted, with the spare share on top.  What came with the engine is not bought
 * again. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "sheet/rows_inner.h"
#include "standard/wire.h"

enum spare {
  NO_SPARE,
  SHARE,
  ONE_AT_LEAST
};

struct want {
  const char *what, *item, *unit;
  double count, buy; /* buy NAN: count and its spare */
  enum spare spare;
};

struct list {
  struct pl_sheet_maker *maker;
  PL_VEC(struct want) wants;
  struct pl_table names;
};

static struct want *want(struct list *list, const char *what, const char *item, enum spare spare) {
  struct pl_arena *arena = list->maker->arena;
  uint32_t id;
  const char *name = pl_arena_printf(arena, "%s\n%s", what, item);
  if (pl_table_find(&list->names, name, &id))
    return &list->wants.at[id];
  pl_table_add(&list->names, name, list->wants.n);
  PL_PUSH(arena,
          &list->wants,
          ((struct want){.what = what, .item = item, .unit = "", .buy = NAN, .spare = spare}));
  return &list->wants.at[list->wants.n - 1];
}

static void count(struct list *list, const char *what, const char *item, enum spare spare) {
  want(list, what, item, spare)->count++;
}

/* ---- what there is to count ---- */

static void add_wire(struct list *list) {
  struct pl_sheet_maker *maker = list->maker;
  const struct pl_harness *harness = maker->harness;
  bool feet = pl_sheet_in_feet(maker);
  pl_ids wires = {0};
  pl_sheet_cut_order(maker, &wires);
  for (uint32_t i = 0, end; i < wires.n; i = end) {
    const struct pl_wire *first = &harness->wires.at[wires.at[i]];
    char colour[16];
    double metres = pl_sheet_spool(harness, &wires, i, &end);
    struct want *one = want(list,
                            "wire",
                            pl_arena_printf(maker->arena,
                                            "%s %s %s",
                                            first->insulation < pl_insulation_count
                                                ? pl_insulations[first->insulation].name
                                                : "",
                                            first->size,
                                            pl_colour_text(&first->colour, colour)),
                            SHARE);
    one->unit = feet ? "ft" : "m";
    one->count += feet ? metres * PL_FEET_PER_METRE : metres;
    one->buy = pl_sheet_to_buy(maker, metres);
  }
}

static const char *terminal_item(struct list *list, pl_id pin, const struct pl_wire *wire) {
  return pl_arena_printf(list->maker->arena,
                         "%s, for %s",
                         pl_sheet_terminal(list->maker->harness, pin),
                         wire->size);
}

static void add_ends(struct list *list) {
  struct pl_sheet_maker *maker = list->maker;
  const struct pl_harness *harness = maker->harness;
  for (int seals = 0; seals < 2; seals++)
    for (pl_id id = 0; id < harness->wires.n; id++)
      for (int end = 0; end < 2; end++) {
        const struct pl_wire *wire = &harness->wires.at[id];
        if (!pl_sheet_new_end(harness, wire, end))
          continue;
        pl_id pin = wire->end[end];
        const char *seal = pl_sheet_seal(maker, pin);
        if (pl_device_is(harness, harness->pins.at[pin].device, PL_IS_SPLICE))
          continue;
        if (seals == 0)
          count(list, "terminal", terminal_item(list, pin, wire), SHARE);
        if (seals == 1 && seal[0] != '\0')
          count(list,
                "wire seal",
                pl_arena_printf(maker->arena,
                                "for %s, wire of %s mm outside",
                                pl_sheet_terminal(harness, pin),
                                seal),
                SHARE);
      }
}

static void add_plugs(struct list *list) {
  const struct pl_harness *harness = list->maker->harness;
  for (pl_id p = 0; p < harness->pins.n; p++) {
    const struct pl_pin *pin = &harness->pins.at[p];
    if (pin->connector == PL_NONE)
      continue;
    if (!pin->plugged)
      continue;
    if (pin->wires.n > 0)
      continue;
    count(list,
          "cavity plug",
          pl_arena_printf(list->maker->arena, "for %s", pl_sheet_terminal(harness, p)),
          SHARE);
  }
}

/* The joint of an extended wire at each end that stays the donor's; what is capped. */
static void add_joints(struct list *list) {
  struct pl_sheet_maker *maker = list->maker;
  const struct pl_harness *harness = maker->harness;
  for (pl_id id = 0; id < harness->devices.n; id++) {
    const struct pl_device *device = &harness->devices.at[id];
    if (!pl_kind_is(device->kind, PL_IS_SPLICE))
      continue;
    if (device->pin_count == 0)
      continue;
    const struct pl_pin *pin = &harness->pins.at[device->first_pin];
    if (pin->wires.n > 0)
      count(list,
            "splice",
            pl_arena_printf(maker->arena,
                            "crimp splice %s, with sealing sleeve",
                            pl_sheet_splice(maker, pin)),
            SHARE);
  }
  for (pl_id id = 0; id < harness->wires.n; id++) {
    const struct pl_wire *wire = &harness->wires.at[id];
    int joints;
    if (wire->status != PL_WIRE_DONOR_EXTENDED)
      joints = 0;
    else
      joints = 2 - pl_sheet_new_end(harness, wire, 0) - pl_sheet_new_end(harness, wire, 1);
    for (int i = 0; i < joints; i++)
      count(list,
            "splice",
            pl_arena_printf(maker->arena, "sealed butt splice for %s", wire->size),
            SHARE);
  }
  for (pl_id id = 0; id < harness->wires.n; id++)
    if (harness->wires.at[id].status == PL_WIRE_DONOR_CAPPED)
      count(list,
            "end cap",
            pl_arena_printf(maker->arena, "sealing cap for %s", harness->wires.at[id].size),
            SHARE);
}

static void add_connectors(struct list *list) {
  const struct pl_harness *harness = list->maker->harness;
  for (pl_id id = 0; id < harness->connectors.n; id++) {
    const struct pl_connector *connector = &harness->connectors.at[id];
    struct pl_buffer item;
    if (harness->devices.at[connector->device].donor)
      continue;
    pl_buffer_init(&item, list->maker->arena);
    if (connector->part[0] != '\0')
      pl_buffer_printf(&item, "%s: ", connector->part);
    pl_buffer_printf(&item,
                     connector->pin_count == 1 ? "%u cavity, %s, with %s"
                                               : "%u cavities, %s, with %s",
                     connector->pin_count,
                     connector->sealed ? "sealed" : "not sealed",
                     connector->pin_half ? "pins" : "sockets");
    if (connector->rows > 1)
      pl_buffer_printf(&item, ", %u rows", connector->rows);
    if (connector->shape == PL_SHAPE_ROUND)
      pl_buffer_puts(&item, ", round");
    if (connector->colour[0] != '\0')
      pl_buffer_printf(&item, ", %s", connector->colour);
    if (connector->key[0] != '\0')
      pl_buffer_printf(&item, ", keyed %s", connector->key);
    if (connector->terminal < harness->terminals.n)
      pl_buffer_printf(&item, ", for %s", harness->terminals.at[connector->terminal].name);
    count(list, "connector", item.at, NO_SPARE);
  }
}

static void add_devices(struct list *list) {
  const struct pl_harness *harness = list->maker->harness;
  char number[PL_NUMBER_SIZE];
  for (int fuses = 1; fuses >= 0; fuses--)
    for (pl_id id = 0; id < harness->devices.n; id++) {
      const struct pl_device *device = &harness->devices.at[id];
      bool fuse = pl_kind_is_protection(device->kind);
      bool bought = !pl_kind_is(device->kind, PL_IS_SPLICE) &&
                    !pl_kind_is_but(device->kind, PL_IS_GROUND, PL_IS_BOND);
      if (fuse != (fuses == 1))
        continue;
      if (device->donor || !bought)
        continue;
      if (pl_kind_is(device->kind, PL_IS_PLUG))
        continue; /* among the connectors */
      const char *item;
      if (device->part[0] != '\0')
        item = device->part;
      else
        item = device->text;
      if (fuse && device->part[0] == '\0')
        item = pl_arena_printf(list->maker->arena,
                               "%s %s A",
                               device->family,
                               pl_number_print(number, device->rating, 4));
      count(list,
            pl_kind_name(device->kind),
            item[0] != '\0' ? item : device->name,
            fuse ? ONE_AT_LEAST : NO_SPARE);
    }
}

static void add_coverings(struct list *list) {
  const struct pl_harness *harness = list->maker->harness;
  bool feet = pl_sheet_in_feet(list->maker);
  for (uint32_t i = 0; i < harness->runs.n; i++) {
    const struct pl_run *run = &harness->runs.at[i];
    if (run->covering[0] == '\0')
      continue;
    if (run->wires.n == 0)
      continue;
    struct want *one = want(list, "covering", run->covering, SHARE);
    one->unit = feet ? "ft" : "m";
    one->count += feet ? run->length * PL_FEET_PER_METRE : run->length;
  }
}

/* ---- rows ---- */

static const char *heading_of(const struct want *one) {
  static const char *const headings[][2] = {{"wire", "Wire"},
                                            {"terminal", "Terminals"},
                                            {"wire seal", "Wire seals"},
                                            {"cavity plug", "Cavity plugs"},
                                            {"splice", "Splices"},
                                            {"end cap", "End caps"},
                                            {"connector", "Connectors"},
                                            {"covering", "Coverings"}};
  for (size_t i = 0; i < sizeof headings / sizeof headings[0]; i++)
    if (strcmp(one->what, headings[i][0]) == 0)
      return headings[i][1];
  return one->spare == ONE_AT_LEAST ? "Fuses and breakers" : "Devices";
}

static void want_row(struct pl_sheet_maker *maker, const struct want *one) {
  char text[PL_NUMBER_SIZE];
  double spare;
  if (one->spare == NO_SPARE)
    spare = 0;
  else
    spare = ceil(one->count * maker->harness->machine.spare - 1e-9);
  if (one->spare == ONE_AT_LEAST)
    spare = fmax(spare, 1);
  double buy;
  if (isfinite(one->buy))
    buy = one->buy;
  else
    buy = ceil(one->count - 1e-9) + spare;
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_text(maker, one->what);
  pl_sheet_text(maker, one->item);
  pl_sheet_text(maker,
                one->unit[0] != '\0'
                    ? pl_arena_strdup(maker->arena, pl_number_fixed(text, one->count, 2))
                    : pl_arena_strdup(maker->arena, pl_number_print(text, one->count, 9)));
  pl_sheet_figure(maker, buy, 9);
  pl_sheet_text(maker, one->unit);
}

void pl_sheet_shopping(struct pl_sheet_maker *maker) {
  struct list list = {.maker = maker};
  char spare[PL_NUMBER_SIZE];
  pl_table_init(&list.names, maker->arena);
  add_wire(&list);
  add_ends(&list);
  add_plugs(&list);
  add_joints(&list);
  add_connectors(&list);
  add_devices(&list);
  add_coverings(&list);
  pl_sheet_begin(
      maker,
      "shopping",
      "Shopping list",
      pl_arena_printf(
          maker->arena,
          "To buy: counted and %s %% spare, rounded up; of each fuse one more at least; connectors "
          "and devices as counted. One "
          "terminal is counted for each new wire end. What came with the engine is left out.",
          pl_number_print(spare, 100 * maker->harness->machine.spare, 3)));
  maker->sheet.tick = true;
  pl_sheet_column(maker, "kind")->csv_only = true;
  pl_sheet_column(maker, "item")->key = true;
  pl_sheet_number(maker, "counted");
  pl_sheet_number(maker, "to buy");
  pl_sheet_narrow(maker, "unit");
  for (uint32_t i = 0; i < list.wants.n; i++) {
    const struct want *one = &list.wants.at[i];
    if (i == 0 || strcmp(heading_of(&list.wants.at[i - 1]), heading_of(one)) != 0)
      pl_sheet_heading(maker, heading_of(one), "");
    want_row(maker, one);
  }
  pl_sheet_end(maker);
}
