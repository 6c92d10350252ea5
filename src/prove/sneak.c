/* Current that nothing asks for: loads, coils and inputs energised while every usual way of theirs
 * is broken.
 *
 * Sneak circuit analysis looks for paths that work though no part has failed (common
 * practice in aerospace) by known shapes of circuit.  Here no shapes: every declared state teaches
 * which contacts, closed together, usually energise a subject (learn_asks); in every combination of
 * its cone where no such set is closed it must be dead (search.c). */
#include <math.h>
#include <string.h>

#include "prove/search_inner.h"
#include "standard/defaults.h"

/* ---- subjects and how they are usually asked ---- */

/* The end through which a subject is fed in a solution, and the other. */
static pl_id feed_pin(const struct pl_proof *proof,
                      const struct pl_solution *solution,
                      const struct pl_subject *subject,
                      pl_id *back) {
  const struct pl_element *e = &proof->elements[subject->element];
  bool forward = !(solution->elements[subject->element].amps < 0);

  *back = PL_NONE;
  if (subject->pin != PL_NONE)
    return subject->pin;
  *back = forward ? e->pin_b : e->pin_a;
  return forward ? e->pin_a : e->pin_b;
}

/* How strongly it is energised, and the figure from which it counts. */
static double figure_of(const struct pl_proof *proof,
                        const struct pl_solution *solution,
                        const struct pl_subject *subject,
                        double *limit,
                        const char **unit) {
  const struct pl_element *e = &solution->elements[subject->element];
  const struct pl_device *d = &proof->harness->devices.at[subject->device];
  double supply = pl_prove_supply(proof->harness, d);
  double volts = solution->node_volts[e->node_a] - solution->node_volts[e->node_b];
  bool starter = pl_kind_is(d->kind, PL_IS_STARTER);

  *unit = "V";
  if (isnan(volts))
    volts = 0;
  if (subject->pin != PL_NONE) {
    *limit = supply / 2;
    if (subject->to_minus)
      return *limit + (*limit - fabs(volts));
    return fabs(volts);
  }
  if (pl_kind_is(d->kind, PL_IS_RELAY) || starter) {
    if (d->drop_out > 0)
      *limit = d->drop_out;
    else
      *limit = supply * (starter ? PL_DEFAULT(STARTER_OUT) : PL_DEFAULT(RELAY_OUT));
    return fabs(volts);
  }
  if (d->load_amps > 0) {
    *limit = d->load_amps / 2;
    *unit = "A";
    return fabs(e->amps);
  }
  *limit = supply / 2;
  return fabs(volts);
}

static bool is_energised(const struct pl_proof *proof,
                         const struct pl_solution *solution,
                         const struct pl_subject *subject,
                         double *figure,
                         double *limit,
                         const char **unit) {
  *figure = figure_of(proof, solution, subject, limit, unit);
  return solution->status == PL_SOLVED && *figure >= *limit;
}

static void ask_along(struct pl_proof *proof,
                      const struct pl_solution *solution,
                      pl_id pin,
                      bool to_minus,
                      struct pl_ask *ask) {
  uint32_t *path;
  uint32_t n = pl_solution_path(proof->network, solution, pin, to_minus, proof->arena, &path);

  for (uint32_t i = 0; i < n; i++) {
    uint32_t k = path[i];
    enum pl_branch branch = pl_branch_at(proof, k);
    if (!pl_branch_moves(branch))
      continue;
    if (pl_device_is(proof->harness, proof->elements[k].device, PL_IS_DISCONNECT))
      continue;
    PL_PUSH(proof->arena, &ask->elements, k);
  }
}

/* A sneak in a declared state asks for nothing: where there is a way through no other load, ways
 * through one do not count. */
static void keep_clean(struct pl_subject *subject) {
  uint32_t kept = 0;
  uint32_t clean = 0;

  for (uint32_t i = 0; i < subject->asks.n; i++)
    clean += subject->asks.at[i].clean;
  if (clean == 0)
    return;
  for (uint32_t i = 0; i < subject->asks.n; i++)
    if (subject->asks.at[i].clean)
      subject->asks.at[kept++] = subject->asks.at[i];
  subject->asks.n = kept;
}

static void learn_asks(struct pl_proof *proof, struct pl_subject *subject) {
  static const double meant = 0.2; /* share of the limit: two lamps in series are on by halves */

  for (pl_id s = 0; s < proof->harness->states.n; s++) {
    const struct pl_solution *solution = &proof->solutions[s];
    double figure, limit;
    const char *unit;
    pl_id back;
    is_energised(proof, solution, subject, &figure, &limit, &unit);
    if (solution->status != PL_SOLVED)
      continue;
    if (figure < limit * meant)
      continue;
    pl_id feed = feed_pin(proof, solution, subject, &back);
    struct pl_ask ask = {0};
    if (feed != PL_NONE)
      ask_along(proof, solution, feed, subject->to_minus, &ask);
    if (back != PL_NONE)
      ask_along(proof, solution, back, true, &ask);
    ask.clean =
        (feed == PL_NONE ||
         !pl_prove_is_sneaky(proof, solution, feed, subject->to_minus, subject->element, false)) &&
        (back == PL_NONE ||
         !pl_prove_is_sneaky(proof, solution, back, true, subject->element, false));
    PL_PUSH(proof->arena, &subject->asks, ask);
  }
  keep_clean(subject);
}

/* Is every contact of some usual way closed in the combination at hand? */
static bool is_asked(const struct pl_proof *proof, const struct pl_subject *subject) {
  for (uint32_t i = 0; i < subject->asks.n; i++) {
    const struct pl_ask *ask = &subject->asks.at[i];
    uint32_t n = 0;
    while (n < ask->elements.n && pl_look_closed(proof, ask->elements.at[n]))
      n++;
    if (n == ask->elements.n)
      return true;
  }
  return false;
}

typedef PL_VEC(struct pl_subject) subjects;

static subjects list_subjects(struct pl_proof *proof) {
  subjects list = {0};

  for (uint32_t k = 0; k < proof->element_count; k++) {
    const struct pl_element *e = &proof->elements[k];
    if (e->device == PL_NONE)
      continue;
    if (proof->branch[k] != PL_BRANCH_LOAD && proof->branch[k] != PL_BRANCH_PULL)
      continue;
    const struct pl_device *d = &proof->harness->devices.at[e->device];
    struct pl_subject subject = {.device = e->device, .pin = PL_NONE, .element = k};
    if (pl_kind_is(d->kind, PL_IS_MODULE)) {
      if (e->pin_a == PL_NONE)
        continue;
      enum pl_role role = proof->harness->pins.at[e->pin_a].role;
      subject.pin = e->pin_a;
      subject.to_minus =
          role == PL_ROLE_SWITCH_INPUT && !(proof->harness->pins.at[e->pin_a].pull_volts <= 0);
      if (role != PL_ROLE_KEYED_INPUT && (role != PL_ROLE_SWITCH_INPUT || subject.to_minus))
        continue;
    } else if (proof->coil[e->device] != k &&
               (!pl_kind_is_load(d->kind) || strcmp(e->what, "load") != 0)) {
      continue;
    }
    bool fed = proof->live_rail[proof->net[e->node_a]];
    bool grounded = proof->earth_rail[proof->net[e->node_b]];
    if (fed && grounded)
      continue; /* always on */
    learn_asks(proof, &subject);
    PL_PUSH(proof->arena, &list, subject);
  }
  return list;
}

/* Where a current comes in (or, `to_minus`, leaves) by a way that it does not usually take. */
static bool comes_by(struct pl_proof *proof,
                     const struct pl_solution *solution,
                     const struct pl_subject *subject,
                     pl_id *pin,
                     bool *to_minus) {
  pl_id back;
  pl_id feed = feed_pin(proof, solution, subject, &back);
  bool reverse = subject->asks.n > 0;

  *pin = feed;
  *to_minus = subject->to_minus;
  if (feed != PL_NONE &&
      pl_prove_is_sneaky(proof, solution, feed, subject->to_minus, subject->element, reverse))
    return true;
  *pin = back;
  *to_minus = true;
  if (back == PL_NONE)
    return false;
  return pl_prove_is_sneaky(proof, solution, back, true, subject->element, reverse);
}

/* ---- the search ---- */

struct hunt {
  struct pl_subject *subject;
  const struct pl_cone *cone;
  struct pl_sneak *sneak; /* device PL_NONE: nothing yet */
};

/* Is every contact of some usual way surely closed?  `open`: a contact that decides it, of a way
 * that may be whole; PL_NONE. */
static bool
is_surely_asked(const struct pl_positions *p, const struct pl_subject *subject, uint32_t *open) {
  *open = PL_NONE;
  for (uint32_t i = 0; i < subject->asks.n; i++) {
    const struct pl_ask *ask = &subject->asks.at[i];
    uint32_t maybe = PL_NONE;
    uint32_t n = 0;
    for (; n < ask->elements.n; n++) {
      enum pl_hold hold = pl_positions_contact(p, ask->elements.at[n]);
      if (hold == PL_HOLD_OPEN)
        break;
      if (hold == PL_HOLD_MAYBE)
        maybe = ask->elements.at[n];
    }
    if (n < ask->elements.n)
      continue;
    if (maybe == PL_NONE)
      return true;
    *open = maybe;
  }
  return false;
}

/* The least volts across the subject at which it may count as energised. */
static double least_volts(const struct pl_proof *proof, const struct pl_subject *subject) {
  const struct pl_device *d = &proof->harness->devices.at[subject->device];
  double supply = pl_prove_supply(proof->harness, d);

  if (subject->pin != PL_NONE)
    return 0; /* one that is asked by a way to ground has few volts then */
  if (pl_kind_is(d->kind, PL_IS_STARTER))
    return d->drop_out > 0 ? d->drop_out : supply * PL_DEFAULT(STARTER_OUT);
  if (pl_kind_is(d->kind, PL_IS_RELAY))
    return d->drop_out > 0 ? d->drop_out : supply * PL_DEFAULT(RELAY_OUT);
  return 0.4 * supply;
}

static enum pl_verdict judge(struct pl_positions *p, void *context, struct pl_split *split) {
  const struct hunt *hunt = context;
  const struct pl_subject *subject = hunt->subject;
  uint32_t k = subject->element;
  uint32_t open;
  enum pl_worst worst = PL_WORST_HIGH;

  if (!pl_positions_may_carry(p, k, least_volts(p->proof, subject)))
    return PL_NONE_OF_THEM;
  if (is_surely_asked(p, subject, &open))
    return PL_NONE_OF_THEM;
  bool firm = pl_positions_firm(p, k);
  if (subject->asks.n == 0 && firm)
    return PL_NONE_OF_THEM;
  if (pl_positions_pick_way(p, k, split))
    return PL_CUT;
  if (open != PL_NONE && pl_positions_pick_contact(p, open, split))
    return PL_CUT;
  if (firm)
    worst = PL_WORST_WAY;
  else if (subject->to_minus)
    worst = PL_WORST_NONE;
  if (pl_positions_pick_near(p, p->proof->net_a[k], p->proof->net_b[k], worst, split))
    return PL_CUT;
  return PL_LIKE_ONE;
}

static enum pl_verdict confirm(struct pl_proof *proof, void *context) {
  const struct hunt *hunt = context;
  const struct pl_subject *subject = hunt->subject;
  double figure, limit;
  const char *unit;
  pl_id feed;
  bool to_minus;

  if (!proof->look.unsure) {
    if (!pl_look_may_carry(proof, subject->element))
      return PL_NONE_OF_THEM;
    if (is_asked(proof, subject))
      return PL_NONE_OF_THEM;
    if (subject->asks.n == 0 && pl_look_is_firm(proof, subject->element))
      return PL_NONE_OF_THEM;
  }
  enum pl_verdict unsolved;
  const struct pl_solution *solution = pl_search_solve(proof, &unsolved);
  if (solution == NULL)
    return unsolved;
  if (!is_energised(proof, solution, subject, &figure, &limit, &unit))
    return PL_NONE_OF_THEM;
  if (is_asked(proof, subject) || !comes_by(proof, solution, subject, &feed, &to_minus))
    return PL_LIKE_ONE; /* with other contacts it may come another way */
  return PL_ALL_OF_THEM;
}

static void keep(struct pl_proof *proof, void *context, double count) {
  struct hunt *hunt = context;
  struct pl_subject *subject = hunt->subject;
  struct pl_sneak *sneak = hunt->sneak;
  pl_id feed;
  bool to_minus;

  sneak->others += count;
  if (sneak->device != PL_NONE)
    return;
  const struct pl_solution *solution = pl_look_solve(proof);
  if (solution == NULL || solution->status != PL_SOLVED)
    return;
  if (!comes_by(proof, solution, subject, &feed, &to_minus))
    return;
  sneak->others = count - 1;
  sneak->device = subject->device;
  sneak->pin = subject->pin;
  is_energised(proof, solution, subject, &sneak->figure, &sneak->limit, &sneak->unit);
  sneak->combination = pl_combo_text(proof, hunt->cone);
  sneak->path = pl_prove_path(proof, solution, feed, to_minus);
  sneak->via = pl_prove_crossing(proof, solution, feed, to_minus, subject->element);
}

/* Combinations in which the key that alone feeds the subject stands at rest are the next rule's.
 * False: all are. */
static bool leave_out_key(const struct pl_positions *p, uint64_t *start, pl_id key) {
  if (key == PL_NONE)
    return true;
  uint32_t f = pl_search_factor(p, PL_FACTOR_SWITCH, key);
  if (f == PL_NONE)
    return false;
  pl_search_without(p, start, f, p->cone->factors.at[f].at_rest);
  return true;
}

static void
hunt_one(struct pl_proof *proof, struct pl_subject *subject, const pl_id *key, pl_sneaks *sneaks) {
  struct pl_sneak sneak = {.device = PL_NONE, .pin = PL_NONE, .via = PL_NONE};
  struct pl_cone cone;
  struct hunt hunt = {subject, &cone, &sneak};
  struct pl_goal goal = {&hunt, judge, confirm, keep};

  pl_cone_init(proof, &cone);
  pl_cone_add_element(proof, &cone, subject->element);
  struct pl_positions *p = pl_positions_of(proof, &cone);
  uint64_t *start = PL_NEW_ARRAY(proof->arena, uint64_t, p->words + 1);
  pl_search_all(p, start);
  if (leave_out_key(p, start, key[proof->net_a[subject->element]]) &&
      leave_out_key(p, start, key[proof->net_b[subject->element]])) {
    pl_search(p, start, 1, &goal, &sneak.covered);
    if (sneak.device == PL_NONE && !sneak.covered.all) {
      sneak.device = subject->device;
      sneak.pin = subject->pin;
      sneak.undecided = true;
    }
  }
  pl_positions_end(p);
  if (sneak.device != PL_NONE)
    PL_PUSH(proof->arena, sneaks, sneak);
}

void pl_prove_sneaks(struct pl_proof *proof, pl_sneaks *sneaks) {
  if (proof->reference == PL_NONE)
    return;
  subjects all = list_subjects(proof);
  pl_id *key = pl_prove_keyed_nets(proof);
  for (uint32_t i = 0; i < all.n; i++)
    hunt_one(proof, &all.at[i], key, sneaks);
}
