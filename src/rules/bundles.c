/* Bundles: do the wires fit their covering, and is a wire too thin to last on its own. */
#include <math.h>
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

void pl_rule_bundle_too_thick(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (uint32_t r = 0; r < h->runs.n; r++) {
    const struct pl_run *run = &h->runs.at[r];
    if (!(run->bore > 0))
      continue;
    struct pl_bundle bundle = pl_run_bundle(h, run);
    double mm = bundle.mm;
    if (!(mm > run->bore))
      continue;
    const char *name = pl_arena_printf(check->arena,
                                       "run %s to %s",
                                       h->places.at[run->a].name,
                                       h->places.at[run->b].name);
    struct pl_finding f = pl_finding_new("bundle-too-thick", PL_FAULT, run->span, name);
    f.figure = mm;
    f.limit = run->bore;
    f.unit = "mm";
    f.text = pl_arena_printf(check->arena,
                             "%u wires make a bundle of about %s, %s has a bore of %s",
                             bundle.wires,
                             pl_say(check->arena, mm, "mm"),
                             run->covering,
                             pl_say(check->arena, run->bore, "mm"));
    f.remedy = pl_arena_printf(check->arena,
                               "a covering of %s or more, or two of them",
                               pl_say(check->arena, ceil(mm / 0.8), "mm"));
    pl_findings_add(check->findings, f);
  }
}

void pl_rule_wire_too_small(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id w = 0; w < h->wires.n; w++) {
    const struct pl_wire *wire = &h->wires.at[w];
    if (!pl_wire_joins(wire))
      continue;
    if (!(wire->area > 0))
      continue;
    if (wire->area >= 0.98 * pl_limit_least_area.value)
      continue;
    if (wire->twist[0] != '\0')
      continue;
    if (wire->shield)
      continue;
    if (pl_wire_is_sheathed(h, wire))
      continue;
    struct pl_finding f =
        pl_finding_new("wire-too-small",
                       PL_ADVICE,
                       wire->size_span.file == PL_NO_FILE ? wire->span : wire->size_span,
                       pl_say_wire(check, w));
    f.figure = wire->area;
    f.limit = pl_limit_least_area.value;
    f.unit = "mm2";
    f.text = pl_arena_printf(
        check->arena,
        "wire %s, %s, lies uncovered and is thinner than %s: it breaks where machines shake",
        wire->number,
        wire->size,
        pl_say(check->arena, pl_limit_least_area.value, "mm2"));
    f.remedy = "20 AWG or 0.5 mm2 at least, or a covering all the way";
    pl_findings_add(check->findings, f);
  }
}
