/* A harness as a network: pins become nodes, wires and devices elements, and each node knows what
 * touches it. */
#include <string.h>

#include "network/network_inner.h"
#include "standard/limits_data.h"

/* ---- wires ---- */

/* One end of a wire: a terminal that the pin or its connector names, else a lug or a splice where
 * such a thing sits, else the default family. */
static double end_ohms(const struct pl_harness *harness, const struct pl_wire *wire, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  enum pl_kind kind = harness->devices.at[p->device].kind;

  if (p->terminal == PL_NONE &&
      (p->connector == PL_NONE || harness->connectors.at[p->connector].terminal == PL_NONE)) {
    if (pl_kind_is(kind, PL_IS_BOLTED) || wire->area >= PL_DEFAULT(BOLTED_FROM))
      return PL_DEFAULT(BOLTED);
    if (pl_kind_is(kind, PL_IS_SPLICE))
      return PL_DEFAULT(SPLICE);
  }
  if (harness->terminals.n == 0)
    return PL_DEFAULT(TERMINAL);
  return pl_first_good(pl_pin_terminal(harness, pin)->ohms, PL_DEFAULT(TERMINAL));
}

static void add_wires(struct pl_network *network) {
  const struct pl_harness *harness = network->harness;
  const struct pl_wire *before = NULL;
  const struct pl_heat *of_before = NULL;

  for (pl_id id = 0; id < harness->wires.n; id++) {
    const struct pl_wire *wire = &harness->wires.at[id];
    pl_id a = wire->end[0];
    pl_id b = wire->end[1];

    network->wire_element[id] = PL_NONE;
    if (a >= harness->pins.n)
      continue;
    if (b >= harness->pins.n)
      continue;
    if (wire->status == PL_WIRE_DONOR_REMOVED)
      continue;
    double contacts = end_ohms(harness, wire, a) + end_ohms(harness, wire, b);
    struct pl_element element = pl_element_at(network,
                                              PL_ELEMENT_WIRE,
                                              PL_NONE,
                                              "wire",
                                              a,
                                              b,
                                              contacts + pl_wire_copper_ohms(wire));
    element.wire = id;
    element.contact_ohms = contacts;
    network->heat[id] = pl_heat_of(wire, before, of_before);
    before = wire;
    of_before = &network->heat[id];
    network->wire_element[id] =
        pl_network_add(network, element, (struct pl_drive){.kind = PL_DRIVE_NONE});
  }
}

/* ---- the whole ---- */

static void number_pins(struct pl_network *network) {
  const struct pl_harness *harness = network->harness;

  for (pl_id pin = 0; pin < harness->pins.n; pin++) {
    const struct pl_device *d = &harness->devices.at[harness->pins.at[pin].device];
    bool shared = pl_kind_is_node(d->kind) && pin > d->first_pin;
    if (shared)
      network->pin_node[pin] = network->pin_node[d->first_pin];
    else
      network->pin_node[pin] = pl_network_add_node(network, pin, harness->pins.at[pin].device);
  }
}

void pl_network_touch(struct pl_network *network) {
  uint32_t *start = network->touch_start;

  if (start == NULL) {
    network->touch_start = start =
        PL_NEW_ARRAY(network->arena, uint32_t, (size_t)network->node_count + 2);
    network->touch = PL_NEW_ARRAY(network->arena, uint32_t, 2 * (size_t)network->elements.n);
  }
  memset(start, 0, ((size_t)network->node_count + 2) * sizeof *start);
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_element *e = &network->elements.at[k];
    if (e->node_a == e->node_b)
      continue;
    start[e->node_a + 2]++;
    start[e->node_b + 2]++;
  }
  for (uint32_t n = 0; n < network->node_count; n++)
    start[n + 2] += start[n + 1];
  for (uint32_t k = 0; k < network->elements.n;
       k++) { /* moves each start one place on: start[n + 1] becomes the start of n + 1 */
    const struct pl_element *e = &network->elements.at[k];
    if (e->node_a == e->node_b)
      continue;
    network->touch[start[e->node_a + 1]++] = k;
    network->touch[start[e->node_b + 1]++] = k;
  }
}

void pl_network_build(struct pl_network *network) {
  const struct pl_harness *harness = network->harness;
  size_t devices = harness->devices.n;
  size_t nodes = harness->pins.n + 2 * devices;

  network->pin_node = PL_NEW_ARRAY(network->arena, uint32_t, harness->pins.n);
  network->node_pin = PL_NEW_ARRAY(network->arena, uint32_t, nodes);
  network->node_device = PL_NEW_ARRAY(network->arena, uint32_t, nodes);
  network->inner_ground = PL_NEW_ARRAY(network->arena, uint32_t, devices);
  network->inner_feed = PL_NEW_ARRAY(network->arena, uint32_t, devices);
  network->main = PL_NEW_ARRAY(network->arena, uint32_t, devices);
  network->coil = PL_NEW_ARRAY(network->arena, uint32_t, devices);
  network->reset_coil = PL_NEW_ARRAY(network->arena, uint32_t, devices);
  network->standing = PL_NEW_ARRAY(network->arena, uint32_t, devices);
  network->wire_element = PL_NEW_ARRAY(network->arena, uint32_t, harness->wires.n);
  network->heat = PL_NEW_ARRAY(network->arena, struct pl_heat, harness->wires.n);
  network->told = PL_NEW_ARRAY(network->arena, bool, devices);
  network->loose = PL_NONE;
  PL_RESERVE(network->arena, &network->elements, harness->wires.n + devices);
  PL_RESERVE(network->arena, &network->drives, harness->wires.n + devices);
  number_pins(network);
  add_wires(network);
  for (pl_id id = 0; id < harness->devices.n; id++) {
    network->inner_ground[id] = network->inner_feed[id] = network->main[id] = network->coil[id] =
        PL_NONE;
    network->reset_coil[id] = network->standing[id] = PL_NONE;
    pl_network_add_device(network, id);
  }
  pl_network_touch(network);
  network->reference = pl_islands_reference(network);
}
