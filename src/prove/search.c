/* Branch and bound over sets of positions.
 *
 * A set is settled (positions.c).  Where the goal is surely missed, or surely met, in all of its
 * combinations, it is done with, however many they are; else it is cut in two at an undecided
 * contact on a way that matters.  Contacts that are on no such way are never cut at, so a proof
 * costs as many sets as there are ways to be broken, not combinations.  Sets with the fewest
 * departures from rest come first (a heap): what is found first is the shortest way to it.  Every
 * start set is exhausted, or the answer says why not. */
#include <string.h>

#include "prove/search_inner.h"

struct set {
  uint64_t *left;
  uint32_t rank, order;
};

struct search {
  struct pl_positions *p;
  const struct pl_goal *goal;
  struct pl_covered *covered;
  PL_VEC(struct set) heap;
  PL_VEC(uint64_t *) spare;
  uint32_t order, solves, after;
  bool found;
  uint64_t *closed, *open;
};

/* ---- sets ---- */

void pl_search_all(const struct pl_positions *p, uint64_t *left) {
  memset(left, 0, p->words * sizeof *left);
  for (uint32_t f = 0; f < p->cone->factors.n; f++)
    for (uint32_t value = 0; value < p->cone->factors.at[f].value_count; value++)
      left[p->first[f] + value / 64] |= (uint64_t)1 << (value % 64);
}

void pl_search_without(const struct pl_positions *p,
                       uint64_t *left,
                       uint32_t factor,
                       uint32_t value) {
  left[p->first[factor] + value / 64] &= ~((uint64_t)1 << (value % 64));
}

void pl_search_only(const struct pl_positions *p, uint64_t *left, uint32_t factor, uint32_t value) {
  bool there = pl_value_in(p, left, factor, value);

  for (uint32_t w = p->first[factor]; w < p->first[factor + 1]; w++)
    left[w] = 0;
  if (there)
    left[p->first[factor] + value / 64] = (uint64_t)1 << (value % 64);
}

uint32_t pl_search_factor(const struct pl_positions *p, enum pl_factor_kind kind, pl_id id) {
  for (uint32_t f = 0; f < p->cone->factors.n; f++)
    if (p->cone->factors.at[f].kind == kind && p->cone->factors.at[f].id == id)
      return f;
  return PL_NONE;
}

static bool is_empty(const struct pl_positions *p, const uint64_t *left) {
  for (uint32_t f = 0; f < p->cone->factors.n; f++)
    if (pl_value_count(p, left, f) == 0)
      return true;
  return false;
}

double pl_search_size(const struct pl_positions *p, const uint64_t *left) {
  double size = 1;

  for (uint32_t f = 0; f < p->cone->factors.n; f++)
    size *= pl_value_count(p, left, f);
  return size;
}

/* Departures that every combination of the set has; outputs that no declared state has on weigh
 * more than all others together. */
static uint32_t rank_of(const struct pl_positions *p, const uint64_t *left) {
  uint32_t rank = 0;

  for (uint32_t f = 0; f < p->cone->factors.n; f++) {
    const struct pl_factor *factor = &p->cone->factors.at[f];
    if (pl_value_in(p, left, f, factor->at_rest))
      continue;
    rank++;
    if (factor->kind == PL_FACTOR_OUTPUT && !pl_prove_is_declared_on(p->proof->harness, factor->id))
      rank += 1000000;
  }
  return rank;
}

/* ---- the heap ---- */

static bool comes_before(const struct set *a, const struct set *b) {
  if (a->rank != b->rank)
    return a->rank < b->rank;
  return a->order > b->order; /* the newest: it is nearer to an answer */
}

static void push(struct search *s, const uint64_t *left) {
  struct set set = {.rank = rank_of(s->p, left), .order = s->order++};
  uint32_t i = s->heap.n;

  if (is_empty(s->p, left))
    return;
  if (s->spare.n > 0)
    set.left = s->spare.at[--s->spare.n];
  else
    set.left = PL_NEW_ARRAY(s->p->proof->arena, uint64_t, s->p->words + 1);
  memcpy(set.left, left, s->p->words * sizeof *left);
  PL_PUSH(s->p->proof->arena, &s->heap, set);
  for (; i > 0 && comes_before(&set, &s->heap.at[(i - 1) / 2]); i = (i - 1) / 2)
    s->heap.at[i] = s->heap.at[(i - 1) / 2];
  s->heap.at[i] = set;
}

static uint64_t *pop(struct search *s) {
  uint64_t *first = s->heap.at[0].left;
  struct set last = s->heap.at[--s->heap.n];
  uint32_t i = 0;

  for (;;) {
    uint32_t child = 2 * i + 1;
    if (child >= s->heap.n)
      break;
    if (child + 1 < s->heap.n && comes_before(&s->heap.at[child + 1], &s->heap.at[child]))
      child++;
    if (!comes_before(&s->heap.at[child], &last))
      break;
    s->heap.at[i] = s->heap.at[child];
    i = child;
  }
  if (s->heap.n > 0)
    s->heap.at[i] = last;
  return first;
}

/* ---- one combination of a set ---- */

static uint32_t value_of(const struct pl_positions *p, const uint64_t *left, uint32_t f) {
  const struct pl_factor *factor = &p->cone->factors.at[f];

  for (uint32_t i = 0; i < factor->value_count; i++) { /* the one next after rest */
    uint32_t value = (factor->at_rest + i) % factor->value_count;
    if (pl_positions_grants(p, left, f, value))
      return value;
  }
  for (uint32_t i = 0; i < factor->value_count; i++) {
    uint32_t value = (factor->at_rest + i) % factor->value_count;
    if (pl_value_in(p, left, f, value))
      return value;
  }
  return factor->at_rest;
}

/* The one with the fewest departures from rest, as far as wishes leave it. */
void pl_search_show(const struct pl_positions *p, const uint64_t *left) {
  struct pl_look *look = &p->proof->look;

  look->departures = 0;
  for (uint32_t f = 0; f < p->cone->factors.n; f++) {
    const struct pl_factor *factor = &p->cone->factors.at[f];
    uint32_t value = value_of(p, left, f);
    look->departures += value != factor->at_rest;
    switch (factor->kind) {
      case PL_FACTOR_SWITCH:
        look->position[factor->id] = value;
        break;
      case PL_FACTOR_OUTPUT:
        look->output_on[factor->id] = value == 1;
        break;
      case PL_FACTOR_LATCH:
        look->set[factor->id] = value == 1;
        break;
      case PL_FACTOR_ENGINE:
        look->turning = value == 1;
        break;
    }
  }
}

void pl_search_rest(struct pl_proof *proof, const struct pl_cone *cone) {
  struct pl_look *look = &proof->look;

  for (pl_id d = 0; d < proof->harness->devices.n; d++)
    look->position[d] = proof->harness->devices.at[d].rest;
  memset(look->output_on, 0, proof->harness->pins.n * sizeof *look->output_on);
  memset(look->set, 0, proof->harness->devices.n * sizeof *look->set);
  memset(look->on, 0, proof->harness->devices.n * sizeof *look->on);
  look->turning = false;
  for (uint32_t i = 0; i < cone->held.n; i++)
    look->output_on[cone->held.at[i]] = true;
  proof->watch = cone->watch;
  proof->active = cone->active;
}

/* ---- the search ---- */

static void give_up(struct search *s, const char *why) {
  s->covered->all = false;
  if (s->covered->why[0] == '\0')
    s->covered->why = why;
}

/* At the combination in the look. */
static void give_up_at(struct search *s, const char *what) {
  struct pl_proof *proof = s->p->proof;
  const char *why = s->covered->why;

  if (why[0] == '\0')
    why = pl_arena_printf(proof->arena, "with %s %s", pl_combo_text(proof, s->p->cone), what);
  give_up(s, why);
}

static void cut(struct search *s, const struct pl_split *split, const uint64_t *left) {
  pl_positions_cut(s->p, split, left, s->closed, s->open);
  push(s, s->open);
  push(s, s->closed);
}

static void find(struct search *s, const uint64_t *left) {
  s->p->wishes.n = 0;
  pl_search_show(s->p, left);
  s->found = true;
  if (s->goal->found != NULL)
    s->goal->found(s->p->proof, s->goal->context, pl_search_size(s->p, left));
}

/* What was just solved shorts the battery somewhere else: its volts say nothing here.  A machine
 * that does so at rest is told by the rule dead-short; after a fault it is the fuse that opens. */
static bool is_blurred(struct pl_proof *proof) {
  if (proof->look.fault != NULL)
    return false;
  if (proof->dead_at_rest)
    return false;
  if (proof->exact.status != PL_SOLVED)
    return false;
  return pl_look_shorts_elsewhere(proof, &proof->exact);
}

/* The set is as its worst combination. */
static void ask(struct search *s, const uint64_t *left) {
  struct pl_proof *proof = s->p->proof;
  struct pl_split first = {.factor = PL_NONE};

  if (s->p->wishes.n > 0)
    first = s->p->wishes.at[0].split;
  pl_search_show(s->p, left);
  s->p->wishes.n = 0;
  pl_look(proof);
  if (proof->look.shorted)
    return; /* a fuse opens: not the question */
  uint32_t before = proof->solves;
  enum pl_verdict verdict = s->goal->confirm(proof, s->goal->context);
  s->covered->solved += proof->solves - before;
  if (proof->solves > before && is_blurred(proof))
    give_up_at(s, "another circuit shorts the battery");
  else if (verdict == PL_CUT && proof->solves >= PL_PROVE_SOLVES)
    give_up(s, "too many combinations would have to be solved one by one");
  else if (verdict == PL_CUT)
    give_up_at(s, "the network comes to no rest");
  else if (verdict != PL_NONE_OF_THEM && first.factor != PL_NONE)
    cut(s, &first, left); /* the worst is; which others are, is to be seen */
  else if (verdict == PL_ALL_OF_THEM)
    find(s, left);
}

static void step(struct search *s, uint64_t *left) {
  struct pl_split split;

  s->covered->sets++;
  s->p->proof->sets++;
  s->p->wishes.n = 0;
  pl_positions_settle(s->p, left);
  if (s->p->shorted)
    return;
  enum pl_verdict verdict = s->goal->judge(s->p, s->goal->context, &split);
  if (verdict == PL_NONE_OF_THEM)
    return;
  if (verdict != PL_CUT && pl_positions_pick_short(s->p, &split))
    verdict = PL_CUT;
  if (verdict == PL_LIKE_ONE && pl_positions_pick_early(s->p, &split))
    verdict = PL_CUT;
  if (verdict == PL_CUT)
    cut(s, &split, left);
  else if (verdict == PL_ALL_OF_THEM)
    find(s, left);
  else
    ask(s, left);
}

bool pl_search(struct pl_positions *p,
               const uint64_t *starts,
               uint32_t start_count,
               const struct pl_goal *goal,
               struct pl_covered *covered) {
  struct search s = {.p = p, .goal = goal, .covered = covered};

  *covered = (struct pl_covered){.all = true, .there_are = 1, .why = ""};
  for (uint32_t f = 0; f < p->cone->factors.n; f++)
    covered->there_are *= p->cone->factors.at[f].value_count;
  pl_search_rest(p->proof, p->cone);
  s.closed = PL_NEW_ARRAY(p->proof->arena, uint64_t, p->words + 1);
  s.open = PL_NEW_ARRAY(p->proof->arena, uint64_t, p->words + 1);
  for (uint32_t i = start_count; i-- > 0;)
    push(&s, starts + (size_t)i * p->words);
  while (s.heap.n > 0) {
    if (s.found && (goal->found == NULL || s.after++ >= PL_SEARCH_COUNT))
      break;
    if (covered->sets >= PL_SEARCH_SETS ||
        (p->proof->sets >= PL_PROVE_SETS && covered->sets >= PL_PROVE_FEW_SETS)) {
      give_up(&s, "too many sets of positions would have to be looked at");
      break;
    }
    if (covered->solved >= PL_SEARCH_SOLVES) {
      give_up(&s, "too many combinations would have to be solved one by one");
      break;
    }
    uint64_t *left = pop(&s);
    step(&s, left);
    PL_PUSH(p->proof->arena, &s.spare, left);
  }
  covered->counted = s.heap.n == 0;
  return s.found;
}

const struct pl_solution *pl_search_solve(struct pl_proof *proof, enum pl_verdict *verdict) {
  const struct pl_solution *solution = pl_look_solve(proof);

  *verdict = PL_CUT;
  if (solution == NULL)
    return NULL;
  if (solution->status == PL_SOLVE_NO_SOURCE)
    *verdict = PL_NONE_OF_THEM;
  if (solution->status != PL_SOLVED)
    return NULL;
  *verdict = PL_NONE_OF_THEM;
  if (proof->look.unsure && !pl_look_as_solved(proof, solution))
    return NULL;
  return solution;
}
