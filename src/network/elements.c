/* Nodes and elements of a network that is being made, whatever they are made for. */
#include <math.h>

#include "network/network_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

double pl_first_good(double first, double second) {
  if (isfinite(first) && first > 0)
    return first;
  return second;
}

double pl_network_supply(const struct pl_harness *harness, const struct pl_device *device) {
  return pl_first_good(device->volts, pl_first_good(harness->machine.volts, 12.0));
}

double pl_wire_copper_ohms(const struct pl_wire *wire) {
  double per_m = pl_first_good(wire->ohms_per_m,
                               wire->area > 0 ? pl_wire_ohms_per_m(wire->area, wire->metric) : 0);

  return per_m * pl_first_good(wire->length, 0) *
         pl_copper_factor(isfinite(wire->hot) ? wire->hot : 20.0);
}

/* ---- nodes and elements ---- */

uint32_t pl_network_add_node(struct pl_network *network, pl_id pin, pl_id device) {
  uint32_t node = network->node_count++;

  network->node_pin[node] = pin;
  network->node_device[node] = device;
  return node;
}

static uint32_t node_of(const struct pl_network *network, pl_id pin) {
  if (pin < network->harness->pins.n)
    return network->pin_node[pin];
  return PL_NONE;
}

struct pl_element pl_element_at(const struct pl_network *network,
                                enum pl_element_kind kind,
                                pl_id device,
                                const char *what,
                                pl_id pin_a,
                                pl_id pin_b,
                                double ohms) {
  return (struct pl_element){.kind = kind,
                             .wire = PL_NONE,
                             .device = device,
                             .what = what,
                             .pin_a = pin_a,
                             .pin_b = pin_b,
                             .node_a = node_of(network, pin_a),
                             .node_b = node_of(network, pin_b),
                             .ohms = ohms,
                             .limit = INFINITY};
}

uint32_t
pl_network_add(struct pl_network *network, struct pl_element element, struct pl_drive drive) {
  if (element.node_a == PL_NONE)
    return PL_NONE;
  if (element.node_b == PL_NONE)
    return PL_NONE;
  if (element.node_a == element.node_b)
    return PL_NONE;
  if (!(element.ohms <= PL_DEFAULT(MOST)))
    return PL_NONE;
  if (element.ohms < PL_DEFAULT(LEAST))
    element.ohms = PL_DEFAULT(LEAST);
  PL_PUSH(network->arena, &network->elements, element);
  PL_PUSH(network->arena, &network->drives, drive);
  return network->elements.n - 1;
}
