/* What the wires of a run amount to: how thick they are together.  Looks at records and published
 * diameters only. */
#include <math.h>

#include "harness/harness.h"
#include "standard/fuse_gates.h"
#include "standard/wire.h"

const struct pl_insulation *pl_wire_insulation(const struct pl_wire *wire) {
  return &pl_insulations[wire->insulation < pl_insulation_count ? wire->insulation
                                                                : PL_INSULATION_DEFAULT];
}

struct pl_bundle pl_run_bundle(const struct pl_harness *harness, const struct pl_run *run) {
  struct pl_bundle bundle = {0, 0};
  double sum = 0;
  double least = INFINITY;
  double most = 0;
  uint32_t count = 0;
  for (uint32_t i = 0; i < run->wires.n; i++) {
    const struct pl_wire *wire = &harness->wires.at[run->wires.at[i]];
    if (wire->status == PL_WIRE_DONOR_REMOVED)
      continue;
    bundle.wires++;
    double mm = pl_wire_outside_mm(wire->area, pl_wire_insulation(wire)->wall, NULL);
    if (isnan(mm))
      continue;
    sum += mm * mm;
    least = fmin(least, mm);
    most = fmax(most, mm);
    count++;
  }
  bool equal = count > 0 && most - least < 0.01 * most && !isnan(pl_bundle_of_equal(count));
  if (equal)
    bundle.mm = most * pl_bundle_of_equal(count);
  else
    bundle.mm = fmax(1.2 * sqrt(sum), most);
  return bundle;
}
