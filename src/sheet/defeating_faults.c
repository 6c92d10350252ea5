/* The single faults that defeat a requirement: a short list for whoever signs the machine off. */
#include "prove/prove.h"
#include "sheet/rows.h"

static const char *require_text(const struct pl_sheet_maker *maker,
                                const struct pl_require *require) {
  const struct pl_harness *harness = maker->harness;
  struct pl_buffer out;

  pl_buffer_init(&out, maker->arena);
  pl_buffer_printf(&out,
                   "%s off %s ",
                   harness->devices.at[require->subject].name,
                   require->unless ? "unless" : "when");
  for (uint32_t i = 0; i < require->clauses.n; i++) {
    const struct pl_device *d = &harness->devices.at[require->clauses.at[i].device];
    uint32_t position = require->clauses.at[i].position;
    pl_buffer_printf(&out,
                     "%s%s in %s",
                     i > 0 ? " and " : "",
                     d->name,
                     position < d->throws.n ? d->throws.at[position].name : "?");
  }
  return out.at;
}

void pl_sheet_defeats(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  struct pl_proof *proof = harness->requires.n > 0 ? pl_sheet_proof(maker) : NULL;

  if (proof == NULL)
    return;
  pl_sheet_begin(maker,
                 "defeats",
                 "Single faults that defeat a requirement",
                 "One thing broken, and what must be off is on. Every one of them wants somebody "
                 "to stand clear, or a second interlock.");
  pl_sheet_column(maker, "requirement")->key = true;
  pl_sheet_column(maker, "what is broken");
  pl_sheet_column(maker, "positions in which it is on");
  for (uint32_t i = 0; i < harness->requires.n; i++) {
    pl_defeats defeats = {0};
    struct pl_covered covered;
    uint32_t undecided;
    if (harness->requires.at[i].on)
      continue; /* the failure table says what stops it */
    pl_prove_defeats(proof, i, &defeats, &covered, &undecided);
    const char *text = require_text(maker, &harness->requires.at[i]);
    for (uint32_t k = 0; k < defeats.n; k++) {
      pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
      pl_sheet_text(maker, text);
      pl_sheet_text(maker, defeats.at[k].fault_text);
      pl_sheet_text(maker, defeats.at[k].combination);
    }
  }
  pl_sheet_end(maker);
}
