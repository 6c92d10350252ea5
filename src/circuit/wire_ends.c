/* Where the wires of a circuit end: at a port, on a supply line or on the ground line, and which
 * end is the upper one. */
#include <math.h>

#include "circuit/make_inner.h"
#include "draw/supply.h"

static const struct pl_device *device_of(const struct pl_paths *paths, pl_id pin) {
  return &paths->harness->devices.at[paths->harness->pins.at[pin].device];
}

/* Does a wire of this circuit lead from `pin` to a pin nearer to the supply (or to ground)? */
static bool continues(const struct pl_paths *paths, pl_id pin, const double *hops) {
  const struct pl_pin *one = &paths->harness->pins.at[pin];
  for (uint32_t i = 0; i < one->wires.n; i++) {
    const struct pl_wire *wire = &paths->harness->wires.at[one->wires.at[i]];
    pl_id other = pl_wire_other_end(wire, pin);
    if (wire->circuit == paths->circuit && other != PL_NONE && hops[other] < hops[pin])
      return true;
  }
  return false;
}

static bool is_battery_pole(const struct pl_paths *paths, pl_id pin, bool earthed) {
  pl_id device = paths->harness->pins.at[pin].device;
  if (!pl_kind_is(paths->harness->devices.at[device].kind, PL_IS_STORE))
    return false;
  return pin == pl_supply_pole(paths->harness, device, earthed);
}

struct pl_wire_end pl_wire_end_of(const struct pl_paths *paths, pl_id pin) {
  struct pl_wire_end end = {.kind = PL_END_PORT, .port = UINT32_MAX, .rail = ""};
  if (pin == PL_NONE)
    return end;
  enum pl_kind kind = device_of(paths, pin)->kind;
  const struct pl_flow *flow = paths->flow;
  bool live = pl_kind_is(kind, PL_IS_STUD | PL_IS_SPLICE);
  if (is_battery_pole(paths, pin, false))
    live = flow->feed[pin] <= 0;
  if (live) {
    const char *rail = pl_flow_rail(flow, pin);
    if (rail[0] != '\0' && !continues(paths, pin, flow->feed)) {
      end.kind = PL_END_RAIL;
      end.rail = rail;
      return end;
    }
  }
  bool node = pl_kind_is(kind, PL_IS_NODE) || is_battery_pole(paths, pin, true);
  if (node && pl_flow_grounded(flow, pin) && !pl_flow_fed(flow, pin) &&
      !continues(paths, pin, flow->ground))
    end.kind = PL_END_EARTH;
  return end;
}

void pl_wire_ends_find(struct pl_paths *paths, struct pl_path_wire *wire) {
  const struct pl_wire *row = &paths->harness->wires.at[wire->wire];
  for (int i = 0; i < 2; i++)
    wire->end[i] = pl_wire_end_of(paths, row->end[i]);
  double a;
  if (row->end[0] == PL_NONE)
    a = INFINITY;
  else
    a = pl_flow_height(paths->flow, row->end[0]);
  double b;
  if (row->end[1] == PL_NONE)
    b = INFINITY;
  else
    b = pl_flow_height(paths->flow, row->end[1]);
  wire->upper = b < a ? 1 : 0;
  struct pl_wire_end *upper = &wire->end[wire->upper];
  struct pl_wire_end *lower = &wire->end[!wire->upper];
  if (upper->kind == PL_END_PORT || lower->kind == PL_END_PORT) {
    /* an end on a supply line is above, one on ground below, whatever the distances say */
    if (upper->kind == PL_END_EARTH || lower->kind == PL_END_RAIL)
      wire->upper = !wire->upper;
    return;
  }
  /* both ends on lines: one becomes a node of its own, so that the wire is seen */
  if (upper->kind == PL_END_RAIL)
    lower->kind = PL_END_PORT;
  else
    upper->kind = PL_END_PORT;
}
