/* A combination in words: what stands otherwise than at rest, and what the question names. */
#include "prove/prove_inner.h"

const char *pl_combo_text(const struct pl_proof *proof, const struct pl_cone *cone) {
  struct pl_buffer out;
  const struct pl_harness *h = proof->harness;

  pl_buffer_init(&out, proof->arena);
  pl_buffer_puts(&out, "");
  for (uint32_t i = 0; i < cone->factors.n; i++) {
    const struct pl_factor *f = &cone->factors.at[i];
    const char *comma = "";
    if (out.n > 0)
      comma = ", ";
    if (f->kind == PL_FACTOR_SWITCH) {
      const struct pl_device *d = &h->devices.at[f->id];
      uint32_t position = proof->look.position[f->id];
      if (f->tell || position != f->at_rest)
        pl_buffer_printf(&out, "%s%s in %s", comma, d->name, d->throws.at[position].name);
    } else if (f->kind == PL_FACTOR_OUTPUT && proof->look.output_on[f->id])
      pl_buffer_printf(&out, "%s%s on", comma, h->pins.at[f->id].full);
    else if (f->kind == PL_FACTOR_LATCH && proof->look.set[f->id])
      pl_buffer_printf(&out, "%s%s set", comma, h->devices.at[f->id].name);
    else if (f->kind == PL_FACTOR_ENGINE && proof->look.turning)
      pl_buffer_printf(&out, "%sengine running", comma);
  }
  if (out.n > 0)
    return out.at;
  return "everything at rest";
}
