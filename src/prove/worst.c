/* The most that a fuse, breaker or link may have to carry in any combination of positions.
 *
 * Branch and bound: of a set of combinations the sum of the rated amps of all that may be on behind
 * it is an upper bound; the set is cut at a contact on the way of its largest load that may or may
 * not be on, the closed half first, and left when its bound is no more than the best sum known.
 * What hangs behind other loads counts with all its rated amps, so the sum is never too small. */
#include <math.h>
#include <string.h>

#include "prove/search_inner.h"

enum {
  WORST_SETS = 5000 /* looked at for one fuse */
};

struct worst {
  struct pl_proof *proof;
  struct pl_positions *p;
  struct pl_worst_load *found;
  uint32_t *behind; /* by node: joints alone, without the fuse */
  bool *in;         /* by joint of these: reached from the fuse's far end */
  PL_VEC(uint32_t) queue;
  PL_VEC(uint32_t) loads;  /* elements that draw, in the cone */
  PL_VEC(uint32_t) diodes; /* of the machine: they lead on, whichever way round */
  uint32_t near_end, far_end;
  uint32_t sets;
  uint64_t *best;
};

static uint32_t root_of(uint32_t *parent, uint32_t n) {
  while (parent[n] != n) {
    parent[n] = parent[parent[n]];
    n = parent[n];
  }
  return n;
}

/* Nodes that joints tie together when the fuse is out. */
static void label(struct pl_proof *proof, struct worst *w, uint32_t fuse) {
  for (uint32_t n = 0; n < proof->node_count; n++)
    w->behind[n] = n;
  for (uint32_t k = 0; k < proof->element_count; k++) {
    if (k == fuse)
      continue;
    if (pl_branch_at(proof, k) != PL_BRANCH_JOINT)
      continue;
    uint32_t a = root_of(w->behind, proof->elements[k].node_a);
    uint32_t b = root_of(w->behind, proof->elements[k].node_b);
    w->behind[b] = a;
  }
  for (uint32_t n = 0; n < proof->node_count; n++)
    w->behind[n] = root_of(w->behind, n);
}

static bool has_source(const struct pl_proof *proof, const struct worst *w, uint32_t joint) {
  for (uint32_t i = 0; i < proof->sources.n; i++) {
    const struct pl_element *e = &proof->elements[proof->sources.at[i]];
    if (w->behind[e->node_a] == joint)
      return true;
    if (w->behind[e->node_b] == joint)
      return true;
  }
  return false;
}

static void reach(struct worst *w, uint32_t joint) {
  if (w->in[joint])
    return;
  w->in[joint] = true;
  PL_PUSH(w->proof->arena, &w->queue, joint);
}

/* Spreads over one element with two ends; false when it leads nowhere new. */
static bool step_over(struct worst *w, uint32_t k) {
  uint32_t a = w->behind[w->proof->elements[k].node_a];
  uint32_t b = w->behind[w->proof->elements[k].node_b];

  if (w->in[a] == w->in[b])
    return false;
  if (a == w->near_end)
    return false;
  if (b == w->near_end)
    return false;
  reach(w, w->in[a] ? b : a);
  return true;
}

static bool step_over_diodes(struct worst *w) {
  bool moved = false;

  for (uint32_t i = 0; i < w->diodes.n; i++)
    moved = step_over(w, w->diodes.at[i]) || moved;
  return moved;
}

/* What contacts that may be closed, and diodes, join to the fuse's far end. */
static void spread(struct worst *w) {
  const pl_ids *active = &w->p->cone->active;

  for (uint32_t i = 0; i < w->queue.n; i++)
    w->in[w->queue.at[i]] = false;
  w->queue.n = 0;
  reach(w, w->far_end);
  for (bool moved = true; moved;) {
    moved = step_over_diodes(w);
    for (uint32_t i = 0; i < active->n; i++)
      if (pl_positions_contact(w->p, active->at[i]) != PL_HOLD_OPEN)
        moved = step_over(w, active->at[i]) || moved;
  }
}

static double rated_amps(const struct pl_proof *proof, uint32_t k) {
  const struct pl_element *e = &proof->elements[k];
  const struct pl_device *d = &proof->harness->devices.at[e->device];

  if (pl_kind_is(d->kind, PL_IS_LOAD) && d->load_amps > 0)
    return d->load_amps;
  if (pl_kind_is(d->kind, PL_IS_MODULE) && strcmp(e->what, "draw") == 0 && e->pin_a != PL_NONE)
    return fmax(proof->harness->pins.at[e->pin_a].amps, 0); /* awake; NAN counts as 0 */
  if (e->kind == PL_ELEMENT_CURRENT)
    return fabs(e->limit);
  return pl_prove_supply(proof->harness, d) / fmax(e->ohms, 1e-6);
}

static bool is_behind(const struct worst *w, uint32_t k) {
  const struct pl_element *e = &w->proof->elements[k];
  if (w->in[w->behind[e->node_a]])
    return true;
  return w->in[w->behind[e->node_b]];
}

/* A starter's motor draws when it is pulled in. */
static bool may_draw(struct worst *w, uint32_t k) {
  const struct pl_proof *proof = w->proof;

  if (!is_behind(w, k))
    return false;
  if (pl_branch_at(proof, k) == PL_BRANCH_MOTOR && !w->p->may[proof->elements[k].device])
    return false;
  return pl_positions_may_carry(w->p, k, 0);
}

/* Upper bound of the settled set; `split`: where to cut it; false: nothing more to decide. */
static bool bound(struct worst *w, double *sum, struct pl_split *split) {
  struct pl_proof *proof = w->proof;
  double largest = 0;
  uint32_t open = PL_NONE;

  *sum = 0;
  spread(w);
  for (uint32_t i = 0; i < w->loads.n; i++) {
    uint32_t k = w->loads.at[i];
    if (!may_draw(w, k))
      continue;
    double amps = rated_amps(proof, k);
    struct pl_split here;
    *sum += amps;
    if (amps <= largest)
      continue;
    if (!pl_positions_pick_way(w->p, k, &here))
      continue;
    largest = amps;
    open = k;
    *split = here;
  }
  if (open != PL_NONE)
    return true;
  for (uint32_t i = 0; i < w->p->cone->active.n; i++) { /* all are on: by which side? */
    uint32_t k = w->p->cone->active.at[i];
    const struct pl_element *e = &proof->elements[k];
    if (w->in[w->behind[e->node_a]] && pl_positions_contact(w->p, k) == PL_HOLD_MAYBE &&
        pl_positions_pick_contact(w->p, k, split))
      return true;
  }
  return false;
}

static void explore(struct worst *w, uint64_t *left) {
  struct pl_proof *proof = w->proof;
  struct pl_split split;
  double sum;

  for (uint32_t f = 0; f < w->p->cone->factors.n; f++)
    if (pl_value_count(w->p, left, f) == 0)
      return;
  if (w->sets >= WORST_SETS) {
    w->found->covered.all = false;
    w->found->covered.why = "more than 5,000 sets of positions would have to be looked at";
    return;
  }
  w->sets++;
  pl_positions_settle(w->p, left);
  if (w->p->shorted)
    return;
  bool open = bound(w, &sum, &split);
  if (sum <= w->found->rated)
    return;
  if (!open) {
    w->found->rated = sum;
    memcpy(w->best, left, w->p->words * sizeof *left);
    return;
  }
  uint64_t *closed = PL_NEW_ARRAY(proof->arena, uint64_t, w->p->words + 1);
  uint64_t *opened = PL_NEW_ARRAY(proof->arena, uint64_t, w->p->words + 1);
  pl_positions_cut(w->p, &split, left, closed, opened);
  explore(w, closed);
  explore(w, opened);
}

static bool draws(const struct pl_proof *proof, uint32_t k) {
  enum pl_branch branch = pl_branch_at(proof, k);
  if (proof->elements[k].device == PL_NONE)
    return false;
  return branch == PL_BRANCH_LOAD || branch == PL_BRANCH_MOTOR;
}

/* The cone of all that the fuse can feed: from its far end through contacts to loads, and what
 * drives those contacts. */
static void fuse_cone(struct pl_proof *proof, struct worst *w, struct pl_cone *cone) {
  pl_cone_init(proof, cone);
  for (uint32_t k = 0; k < proof->element_count; k++)
    if (pl_branch_at(proof, k) == PL_BRANCH_DIODE)
      PL_PUSH(proof->arena, &w->diodes, k);
  reach(w, w->far_end);
  for (bool moved = true; moved;) {
    moved = step_over_diodes(w);
    for (uint32_t i = 0; i < proof->moving.n; i++)
      moved = step_over(w, proof->moving.at[i]) || moved;
  }
  for (uint32_t k = 0; k < proof->element_count; k++) {
    if (!draws(proof, k))
      continue;
    if (!is_behind(w, k))
      continue;
    PL_PUSH(proof->arena, &w->loads, k);
    pl_cone_add_element(proof, cone, k);
  }
}

static uint32_t element_of(const struct pl_proof *proof, pl_id protection) {
  for (uint32_t k = 0; k < proof->element_count; k++)
    if (proof->elements[k].device == protection && pl_branch_at(proof, k) == PL_BRANCH_JOINT)
      return k;
  return PL_NONE;
}

/* The best combination, looked at, told and solved. */
static void tell(struct worst *w, const struct pl_cone *cone, uint32_t fuse) {
  struct pl_proof *proof = w->proof;

  w->p->wishes.n = 0;
  pl_search_show(w->p, w->best);
  w->found->combination = pl_combo_text(proof, cone);
  pl_positions_settle(w->p, w->best);
  spread(w);
  for (uint32_t i = 0; i < w->loads.n; i++)
    if (may_draw(w, w->loads.at[i]))
      PL_PUSH(proof->arena, &w->found->loads, proof->elements[w->loads.at[i]].device);
  const struct pl_solution *solution = pl_look_solve(proof);
  if (solution != NULL && solution->status == PL_SOLVED)
    w->found->amps = fabs(solution->elements[fuse].amps);
}

void pl_prove_worst(struct pl_proof *proof, pl_id protection, struct pl_worst_load *worst) {
  uint32_t fuse = element_of(proof, protection);
  struct worst w = {.proof = proof, .found = worst};
  struct pl_cone cone;

  *worst =
      (struct pl_worst_load){.amps = NAN, .combination = "", .covered = {.all = true, .why = ""}};
  if (proof->reference == PL_NONE || fuse == PL_NONE)
    return;
  w.behind = PL_NEW_ARRAY(proof->arena, uint32_t, proof->node_count);
  w.in = PL_NEW_ARRAY(proof->arena, bool, proof->node_count);
  label(proof, &w, fuse);
  w.near_end = w.behind[proof->elements[fuse].node_a];
  w.far_end = w.behind[proof->elements[fuse].node_b];
  if (!has_source(proof, &w, w.near_end) && has_source(proof, &w, w.far_end)) {
    uint32_t other = w.near_end;
    w.near_end = w.far_end;
    w.far_end = other;
  }
  if (w.near_end == w.far_end) {
    worst->covered.all = false;
    worst->covered.why = "a wire goes round it";
    return;
  }
  fuse_cone(proof, &w, &cone);
  w.p = pl_positions_of(proof, &cone);
  pl_search_rest(proof, &cone);
  w.best = PL_NEW_ARRAY(proof->arena, uint64_t, w.p->words + 1);
  uint64_t *all = PL_NEW_ARRAY(proof->arena, uint64_t, w.p->words + 1);
  pl_search_all(w.p, all);
  memcpy(w.best, all, w.p->words * sizeof *all);
  worst->covered.there_are = pl_search_size(w.p, all);
  explore(&w, all);
  worst->covered.sets = w.sets;
  tell(&w, &cone, fuse);
  pl_positions_end(w.p);
}
