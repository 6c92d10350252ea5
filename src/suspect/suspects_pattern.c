/* What is seen at one glance: all loads in a state, all fuses at a place.  Each different sight is
 * a number, 0 the healthy one, then in the order of the suspects that show it. */
#include <stdlib.h>

#include "suspect/suspects_inner.h"

/* The look or panel that a question is seen at; PL_NONE. */
static uint32_t sight_of(const struct pl_suspects *table, const struct pl_question *part) {
  const struct pl_device *d = part->ask == PL_ASK_RUNS || part->ask == PL_ASK_FUSE
                                  ? &table->harness->devices.at[part->id]
                                  : NULL;

  if (part->ask == PL_ASK_FUSE)
    return pl_suspects_question(table, PL_ASK_PANEL, PL_NONE, d->place);
  if (part->ask != PL_ASK_RUNS || !pl_kind_is(d->kind, PL_IS_LOAD | PL_IS_STARTER))
    return PL_NONE;
  return pl_suspects_question(table, PL_ASK_LOOK, PL_NONE, part->state);
}

bool pl_suspects_is_seen(const struct pl_suspects *table, uint32_t look, uint32_t index) {
  return sight_of(table, &table->questions.at[index]) == look;
}

struct part {
  uint32_t sight, variant, question;
  int16_t answer;
};

static int in_order(const void *a, const void *b) {
  const struct part *x = a;
  const struct part *y = b;

  if (x->sight != y->sight)
    return x->sight < y->sight ? -1 : 1;
  if (x->variant != y->variant)
    return x->variant < y->variant ? -1 : 1;
  return (x->question > y->question) - (x->question < y->question);
}

static uint32_t run_of(const struct part *parts, uint32_t n, uint32_t i) {
  uint32_t to = i;

  while (to < n && parts[to].sight == parts[i].sight && parts[to].variant == parts[i].variant)
    to++;
  return to - i;
}

static bool same_sight(const struct part *a, const struct part *b, uint32_t n) {
  for (uint32_t i = 0; i < n; i++)
    if (a[i].question != b[i].question || a[i].answer != b[i].answer)
      return false;
  return true;
}

struct shown {
  uint32_t first, count;
}; /* the parts of the variant that shows it first */

void pl_suspects_patterns(struct pl_suspects *table, pl_raws *raws) {
  PL_VEC(struct part) parts = {0};
  PL_VEC(struct shown) shown = {0};
  uint32_t *sight = PL_NEW_ARRAY(table->arena, uint32_t, table->questions.n + 1);
  uint32_t count;

  for (uint32_t q = 0; q < table->questions.n; q++)
    sight[q] = sight_of(table, &table->questions.at[q]);
  for (uint32_t i = 0; i < raws->n; i++) {
    const struct pl_raw *raw = pl_raw_at(raws, i);
    if (sight[raw->question] != PL_NONE)
      PL_PUSH(table->arena,
              &parts,
              ((struct part){sight[raw->question], raw->variant, raw->question, raw->answer}));
  }
  if (parts.n > 0)
    qsort(parts.at, parts.n, sizeof *parts.at, in_order);
  for (uint32_t i = 0; i < parts.n; i += count) {
    uint32_t number = 0;
    count = run_of(parts.at, parts.n, i);
    if (i == 0 || parts.at[i].sight != parts.at[i - 1].sight)
      shown.n = 0;
    if (parts.at[i].answer == PL_ANSWER_UNKNOWN) {
      pl_suspects_put(table, raws, parts.at[i].variant, parts.at[i].sight, PL_ANSWER_UNKNOWN);
      continue;
    }
    while (number < shown.n &&
           (shown.at[number].count != count ||
            !same_sight(parts.at + shown.at[number].first, parts.at + i, count)))
      number++;
    if (number == shown.n)
      PL_PUSH(table->arena, &shown, ((struct shown){i, count}));
    pl_suspects_put(table,
                    raws,
                    parts.at[i].variant,
                    parts.at[i].sight,
                    (int16_t)(number < 32000 ? number + 1 : 32000));
  }
}
