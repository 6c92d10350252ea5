/* What is seen at one glance: all loads in a state, all fuses at a place.  Each different sight is
 * a number, 0 the healthy one, then in the order of the suspects that show it. */
#include <stdlib.h>

#include "suspect/suspects_inner.h"

/* The look or panel that a question is seen at; PL_NONE. */
static uint32_t sight_of(const struct pl_suspects *table, const struct pl_question *part) {
  if (part->ask != PL_ASK_RUNS && part->ask != PL_ASK_FUSE)
    return PL_NONE;
  const struct pl_device *d = &table->harness->devices.at[part->id];
  if (part->ask == PL_ASK_FUSE)
    return pl_suspects_question(table, PL_ASK_PANEL, PL_NONE, d->place);
  if (part->ask != PL_ASK_RUNS)
    return PL_NONE;
  if (!pl_kind_is(d->kind, PL_IS_LOAD | PL_IS_STARTER))
    return PL_NONE;
  return pl_suspects_question(table, PL_ASK_LOOK, PL_NONE, part->state);
}

bool pl_suspects_is_seen(const struct pl_suspects *table, uint32_t look, uint32_t index) {
  return sight_of(table, &table->questions.at[index]) == look;
}

enum {
  MOST_SIGHTS = 32000
}; /* those after it are told as one */

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

struct patterns {
  struct pl_suspects *table;
  pl_raws *raws;
  PL_VEC(struct part) parts;
  PL_VEC(struct shown) shown; /* of the sight in hand */
};

/* All answers that are part of a sight, sight by sight and variant by variant. */
static void find_parts(struct patterns *p) {
  struct pl_arena *arena = p->table->arena;
  uint32_t *sight = PL_NEW_ARRAY(arena, uint32_t, p->table->questions.n + 1);

  for (uint32_t q = 0; q < p->table->questions.n; q++)
    sight[q] = sight_of(p->table, &p->table->questions.at[q]);
  for (uint32_t i = 0; i < p->raws->n; i++) {
    const struct pl_raw *raw = pl_raw_at(p->raws, i);
    struct part part = {sight[raw->question], raw->variant, raw->question, raw->answer};
    if (part.sight != PL_NONE)
      PL_PUSH(arena, &p->parts, part);
  }
  if (p->parts.n > 0)
    qsort(p->parts.at, p->parts.n, sizeof *p->parts.at, in_order);
}

/* Which of the sights shown so far these parts are; a new one when none. */
static uint32_t number_of(struct patterns *p, uint32_t first, uint32_t count) {
  uint32_t number = 0;

  for (; number < p->shown.n; number++) {
    const struct shown *shown = &p->shown.at[number];
    if (shown->count == count && same_sight(p->parts.at + shown->first, p->parts.at + first, count))
      return number;
  }
  PL_PUSH(p->table->arena, &p->shown, ((struct shown){first, count}));
  return number;
}

/* Parts are sorted by sight, then variant, so that what a variant shows at a glance lies together
 * and is compared with the few sights that differ: parts x log(parts), and parts x sights. */
void pl_suspects_patterns(struct pl_suspects *table, pl_raws *raws) {
  struct patterns p = {.table = table, .raws = raws};
  uint32_t count;

  find_parts(&p);
  for (uint32_t i = 0; i < p.parts.n; i += count) {
    const struct part *part = &p.parts.at[i];
    int16_t answer = PL_ANSWER_UNKNOWN;
    count = run_of(p.parts.at, p.parts.n, i);
    if (i == 0 || part->sight != part[-1].sight)
      p.shown.n = 0;
    if (part->answer != PL_ANSWER_UNKNOWN) {
      uint32_t number = number_of(&p, i, count);
      answer = (int16_t)(number < MOST_SIGHTS ? number + 1 : MOST_SIGHTS);
    }
    pl_suspects_put(table, raws, part->variant, part->sight, answer);
  }
}
