/* The table of kinds, and what is asked of it. */
#include "harness/kind.h"

#include "standard/likely.h"

#define PL_KIND(id, word, pins, properties, elements, sign, form, breaks, likely, help, example) \
  [PL_KIND_##id] = {word,                                                                        \
                    pins,                                                                        \
                    properties,                                                                  \
                    PL_ELEMENTS_##elements,                                                      \
                    PL_SIGN_##sign,                                                              \
                    PL_FORM_##form,                                                              \
                    breaks,                                                                      \
                    PL_LIKELY_##likely,                                                          \
                    help,                                                                        \
                    example},
static const struct pl_kind_row rows[PL_KIND_COUNT] = {
#include "harness/kinds.def"
};
#undef PL_KIND

_Static_assert(PL_KIND_COUNT <= 64, "kinds fit in a 64-bit set");

const struct pl_kind_row *pl_kind_row(enum pl_kind kind) {
  return &rows[kind];
}

const char *pl_kind_name(enum pl_kind kind) {
  return rows[kind].word;
}

bool pl_kind_is(enum pl_kind kind, pl_properties any) {
  return (rows[kind].properties & any) != 0;
}

bool pl_kind_is_but(enum pl_kind kind, pl_properties any, pl_properties none) {
  return pl_kind_is(kind, any) && !pl_kind_is(kind, none);
}

bool pl_kind_breaks(enum pl_kind kind, unsigned any) {
  return (rows[kind].breaks & any) != 0;
}

uint64_t pl_kinds_with(pl_properties any) {
  uint64_t set = 0;
  for (int kind = 0; kind < PL_KIND_COUNT; kind++)
    if (pl_kind_is((enum pl_kind)kind, any))
      set |= (uint64_t)1 << kind;
  return set;
}

bool pl_kind_is_load(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_LOAD);
}

bool pl_kind_is_protection(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_PROTECTION);
}

bool pl_kind_is_node(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_NODE);
}
