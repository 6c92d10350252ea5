/* Devices that no row of wires names. */
#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

static bool has_row(const struct pl_harness *h, const struct pl_device *device) {
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++)
    if (h->pins.at[p].wires.n > 0)
      return true;
  return false;
}

/* `required` pins are told one by one. */
static bool has_required(const struct pl_harness *h, const struct pl_device *device) {
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++)
    if (h->pins.at[p].need == PL_NEED_REQUIRED)
      return true;
  return false;
}

/* A lever or valve that only stands in conditions needs no wire. */
static bool in_condition(const struct pl_harness *h, pl_id device) {
  for (uint32_t r = 0; r < h->requires.n; r++)
    for (uint32_t i = 0; i < h->requires.at[r].clauses.n; i++)
      if (h->requires.at[r].clauses.at[i].device == device)
        return true;
  return false;
}

static bool carries_case(const struct pl_harness *h, pl_id device) {
  for (pl_id d = 0; d < h->devices.n; d++)
    if (h->devices.at[d].body == device)
      return true;
  return false;
}

/* Steel, but not a stud bonded to it: that is there for a wire. */
static bool needs_no_wire(const struct pl_harness *h, pl_id device) {
  const struct pl_device *d = &h->devices.at[device];
  if (pl_kind_is(d->kind, PL_IS_PLUG))
    return true;
  if (pl_kind_is_but(d->kind, PL_IS_GROUND, PL_IS_BOND))
    return true;
  if (d->spare || carries_case(h, device))
    return true;
  return has_required(h, d) || in_condition(h, device);
}

void pl_rule_not_wired(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  if (h->wires.n == 0)
    return; /* a list of parts */
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (has_row(h, device))
      continue;
    if (needs_no_wire(h, d))
      continue;
    struct pl_finding f = pl_finding_new("not-wired", PL_FAULT, device->span, device->name);
    f.text = pl_arena_printf(check->arena,
                             "%s (%s) is described, but no wire leads to it",
                             device->name,
                             pl_kind_name(device->kind));
    f.remedy = pl_arena_printf(check->arena,
                               "wire it, take it out, or write `spare` under %s when it is there "
                               "for later",
                               device->name);
    pl_findings_add(check->findings, f);
  }
}
