/* The certificate of a requirement in plain words, and its proof, made once. */
#include <math.h>

#include "prove/prove_inner.h"

const char *pl_prove_count_text(struct pl_arena *arena, double count) {
  static const double countable = 1e9;
  unsigned n = (unsigned)fmin(count, countable);

  if (count > countable)
    return "more than 1,000,000,000";
  if (n >= 1000000)
    return pl_arena_printf(arena, "%u,%03u,%03u", n / 1000000, n / 1000 % 1000, n % 1000);
  if (n >= 1000)
    return pl_arena_printf(arena, "%u,%03u", n / 1000, n % 1000);
  return pl_arena_printf(arena, "%u", n);
}

const struct pl_broken *pl_proof_of(struct pl_proof *proof, uint32_t require) {
  if (proof->proven == NULL)
    proof->proven = PL_NEW_ARRAY(proof->arena, struct pl_broken *, proof->harness->requires.n + 1);
  if (proof->proven[require] == NULL) {
    struct pl_broken *broken = PL_NEW(proof->arena, struct pl_broken);
    pl_prove_require(proof, require, broken);
    proof->proven[require] = broken;
  }
  return proof->proven[require];
}

const char *
pl_prove_require_text(const struct pl_harness *harness, uint32_t index, struct pl_arena *arena) {
  const struct pl_require *require = &harness->requires.at[index];
  struct pl_buffer out;

  pl_buffer_init(&out, arena);
  pl_buffer_printf(&out,
                   "%s %s %s ",
                   harness->devices.at[require->subject].name,
                   require->on ? "on" : "off",
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

enum pl_proof_result pl_prove_result(const struct pl_broken *broken) {
  if (broken->broken)
    return PL_PROOF_BROKEN;
  if (!broken->covered.all)
    return PL_PROOF_OPEN;
  return PL_PROOF_PROVEN;
}

const char *pl_prove_certificate(struct pl_proof *proof, uint32_t require) {
  const struct pl_broken *broken = pl_proof_of(proof, require);
  const char *count = pl_prove_count_text(proof->arena, broken->covered.there_are);

  switch (pl_prove_result(broken)) {
    case PL_PROOF_BROKEN:
      if (broken->state != PL_NONE)
        return pl_arena_printf(proof->arena, "broken in state %s", broken->combination);
      return pl_arena_printf(proof->arena, "broken with %s", broken->combination);
    case PL_PROOF_OPEN:
      return pl_arena_printf(proof->arena, "not proven: %s", broken->covered.why);
    case PL_PROOF_PROVEN:
      break;
  }
  if (broken->covered.there_are == 1)
    return "proven for the one combination of positions there is";
  return pl_arena_printf(proof->arena, "proven for all %s combinations of positions", count);
}
