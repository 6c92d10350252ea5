/* Requirements, how they were proven, and the single faults that defeat them: short lists for
 * whoever signs the machine off. */
#include "prove/prove.h"
#include "sheet/rows_inner.h"

/* NULL: nothing is required, or nothing was solved. */
static struct pl_proof *proof_of_requires(struct pl_sheet_maker *maker) {
  if (maker->harness->requires.n == 0)
    return NULL;
  return pl_sheet_proof(maker);
}

/* What the machine was proven to do: the certificate of each requirement. */
void pl_sheet_proofs(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  struct pl_proof *proof = proof_of_requires(maker);
  if (proof == NULL)
    return;
  pl_sheet_begin(
      maker,
      "requirements",
      "Requirements and their proofs",
      "Asked in every combination of positions, outputs and engine that can matter, with "
      "nothing broken. A proof is about the text: the machine is proven when it is tried.");
  pl_sheet_column(maker, "requirement")->key = true;
  pl_sheet_column(maker, "proof");
  for (uint32_t i = 0; i < harness->requires.n; i++) {
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, pl_prove_require_text(harness, i, maker->arena));
    pl_sheet_text(maker, pl_prove_certificate(proof, i));
  }
  pl_sheet_end(maker);
}

void pl_sheet_defeats(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  struct pl_proof *proof = proof_of_requires(maker);
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
    const char *text = pl_prove_require_text(harness, i, maker->arena);
    for (uint32_t k = 0; k < defeats.n; k++) {
      pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
      pl_sheet_text(maker, text);
      pl_sheet_text(maker, defeats.at[k].fault_text);
      pl_sheet_text(maker, defeats.at[k].combination);
    }
  }
  pl_sheet_end(maker);
}
