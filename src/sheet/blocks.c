/* The harness in the pieces it is built in: plugs, then what has no plug, place by place. */
#include "sheet/work_inner.h"

#include <string.h>

static enum pl_block_kind kind_of(const struct pl_harness *harness, const struct pl_pin *pin) {
  enum pl_kind kind = harness->devices.at[pin->device].kind;
  if (pin->connector != PL_NONE)
    return PL_BLOCK_PLUG;
  if (!pl_kind_is_node(kind))
    return PL_BLOCK_LOOSE;
  return pl_kind_is(kind, PL_IS_SPLICE) ? PL_BLOCK_SPLICES : PL_BLOCK_STUDS;
}

const char *pl_work_at(const struct pl_sheet_maker *maker, pl_id place) {
  const struct pl_harness *harness = maker->harness;
  if (place < harness->places.n)
    return pl_arena_printf(maker->arena, "at %s", harness->places.at[place].name);
  return "";
}

static const char *
block_name(const struct pl_sheet_maker *maker, enum pl_block_kind kind, pl_id id) {
  static const char *const names[] = {"", "Blades and leads", "Splices", "Ground points and studs"};
  const struct pl_harness *harness = maker->harness;
  if (kind == PL_BLOCK_PLUG) {
    const struct pl_connector *connector = &harness->connectors.at[id];
    const char *device = harness->devices.at[connector->device].name;
    if (connector->name[0] == '\0')
      return pl_arena_printf(maker->arena, "Connector of %s", device);
    return pl_arena_printf(maker->arena, "%s, connector %s", device, connector->name);
  }
  if (id == PL_NONE)
    return pl_arena_printf(maker->arena, "%s, no place said", names[kind]);
  return pl_arena_printf(maker->arena, "%s %s", names[kind], pl_work_at(maker, id));
}

static void add_wires(const struct pl_sheet_maker *maker,
                      struct pl_block *block,
                      uint32_t *taken,
                      uint32_t turn) {
  for (uint32_t i = 0; i < block->pins.n; i++) {
    const struct pl_pin *pin = &maker->harness->pins.at[block->pins.at[i]];
    for (uint32_t k = 0; k < pin->wires.n; k++) {
      if (taken[pin->wires.at[k]] == turn)
        continue;
      taken[pin->wires.at[k]] = turn;
      PL_PUSH(maker->arena, &block->wires, pin->wires.at[k]);
    }
  }
}

/* Connectors first, then every kind without a plug place by place; no place said comes last. */
static uint32_t slot_of(const struct pl_harness *harness, enum pl_block_kind kind, pl_id id) {
  uint32_t places = harness->places.n + 1;

  if (kind == PL_BLOCK_PLUG)
    return id;
  uint32_t place = id < harness->places.n ? id : harness->places.n;
  return harness->connectors.n + ((uint32_t)kind - 1) * places + place;
}

void pl_blocks_make(const struct pl_sheet_maker *maker, pl_blocks *blocks) {
  const struct pl_harness *harness = maker->harness;
  uint32_t places = harness->places.n + 1;
  uint32_t count = harness->connectors.n + 3 * places;
  /* By connector, then by kind and place: block + 1. */
  uint32_t *at = PL_NEW_ARRAY(maker->arena, uint32_t, count);
  /* By wire: slot + 1 of the block that took it last. */
  uint32_t *taken = PL_NEW_ARRAY(maker->arena, uint32_t, harness->wires.n);
  pl_blocks made = {0};

  for (pl_id p = 0; p < harness->pins.n; p++) {
    const struct pl_pin *pin = &harness->pins.at[p];
    enum pl_block_kind kind = kind_of(harness, pin);
    pl_id place = harness->devices.at[pin->device].place;
    pl_id id = kind == PL_BLOCK_PLUG ? pin->connector : place;
    uint32_t slot = slot_of(harness, kind, id);
    if (at[slot] == 0) {
      struct pl_block block = {.kind = kind, .id = id};
      PL_PUSH(maker->arena, &made, block);
      at[slot] = made.n;
    }
    PL_PUSH(maker->arena, &made.at[at[slot] - 1].pins, p);
  }
  for (uint32_t slot = 0; slot < count; slot++) {
    if (at[slot] == 0)
      continue;
    struct pl_block *block = &made.at[at[slot] - 1];
    block->name = block_name(maker, block->kind, block->id);
    add_wires(maker, block, taken, slot + 1);
    PL_PUSH(maker->arena, blocks, *block);
  }
}

const char *pl_work_wires(const struct pl_sheet_maker *maker, const pl_ids *wires) {
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  for (uint32_t i = 0; i < wires->n; i++) {
    const char *number = maker->harness->wires.at[wires->at[i]].number;
    pl_buffer_printf(&out, "%s%s", i > 0 ? ", " : "", number);
  }
  if (out.n == 0)
    return "";
  return out.at;
}

bool pl_work_cut(const struct pl_wire *wire) {
  return wire->status == PL_WIRE_NEW || wire->status == PL_WIRE_DONOR_EXTENDED;
}
