/* What is seen at one glance: all loads in a state, all fuses at a place.  Each different sight is a number, 0 the healthy one, then in the order of the
 * suspects that show it. */
#include <string.h>

#include "probe/suspects_inner.h"

bool pl_suspects_is_seen(const struct pl_suspects *table, uint32_t look, uint32_t index) {
  const struct pl_question *to = &table->questions.at[look], *part = &table->questions.at[index];
  const struct pl_device *d;

  if (to->ask == PL_ASK_LOOK) {
    if (part->ask != PL_ASK_RUNS || part->state != to->id) return false;
    d = &table->harness->devices.at[part->id];
    return pl_kind_is_load(d->kind) || d->kind == PL_KIND_STARTER;
  }
  return part->ask == PL_ASK_FUSE && table->harness->devices.at[part->id].place == to->id;
}

/* The next entry of a variant, from i on, that belongs; the end when there is none. */
static uint32_t next_part(const struct pl_suspects *table, const struct pl_variant *variant, uint32_t look, uint32_t i) {
  while (i < variant->first + variant->count && !pl_suspects_is_seen(table, look, table->entry_questions.at[i])) i++;
  return i;
}

static bool same_sight(const struct pl_suspects *table, uint32_t a, uint32_t b, uint32_t look) {
  const struct pl_variant *x = &table->variants.at[a], *y = &table->variants.at[b];
  uint32_t i = next_part(table, x, look, x->first), j = next_part(table, y, look, y->first);

  while (i < x->first + x->count && j < y->first + y->count) {
    if (table->entry_questions.at[i] != table->entry_questions.at[j] || table->entry_answers.at[i] != table->entry_answers.at[j]) return false;
    i = next_part(table, x, look, i + 1);
    j = next_part(table, y, look, j + 1);
  }
  return i == x->first + x->count && j == y->first + y->count;
}

static void sights(struct pl_suspects *table, uint32_t question, pl_raws *raws) {
  PL_VEC(uint32_t) shown = {0};  /* a variant for each sight */

  for (uint32_t v = 0; v < table->variants.n; v++) {
    const struct pl_variant *variant = &table->variants.at[v];
    uint32_t i = next_part(table, variant, question, variant->first), n = 0;
    if (i == variant->first + variant->count) continue;
    if (table->entry_answers.at[i] == PL_ANSWER_UNKNOWN) {
      pl_suspects_put(table, raws, v, question, PL_ANSWER_UNKNOWN);
      continue;
    }
    while (n < shown.n && !same_sight(table, shown.at[n], v, question)) n++;
    if (n == shown.n) PL_PUSH(table->arena, &shown, v);
    pl_suspects_put(table, raws, v, question, (int16_t)(n < 32000 ? n + 1 : 32000));
  }
}

void pl_suspects_patterns(struct pl_suspects *table, pl_raws *raws) {
  for (uint32_t q = 0; q < table->questions.n; q++)
    if (table->questions.at[q].ask == PL_ASK_LOOK || table->questions.at[q].ask == PL_ASK_PANEL) sights(table, q, raws);
}
