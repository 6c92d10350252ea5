/* The answers of every suspect, state by state, by the network's sweep; a weak battery on a copy of
 * the model.  A fuse that a fault blows in any state is open in all of them: the machine is looked
 * at afterwards. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "standard/defaults.h"
#include "standard/fuse_gates.h"
#include "standard/likely.h"
#include "standard/limits_data.h"
#include "suspect/suspects_inner.h"

static const double rounding = 1e-6; /* of one unit of a volts answer */

enum {
  ROUNDS = PL_BLOWN
}; /* fuses blow one after the other */

/* Volts of `node` between these two are answered as in the healthy state, or as good as. */
struct within {
  uint32_t node;
  double low, high;
};

struct work {
  struct pl_suspects *table;
  const struct pl_harness *harness;
  const struct pl_network *network;
  const struct pl_solution *healthy;
  pl_id state;
  uint32_t from, others, to; /* questions of `state`: volts first */
  struct within *within;     /* one for each question of volts */
  uint32_t *main;            /* by device: its element, PL_NONE */
  double *least_to_blow;     /* by device: amps from which a fuse opens in `state` */
  struct pl_blown *blown;    /* by variant */
  bool *more;                /* by variant: blew another fuse in this round */
  const uint32_t *variants;  /* of the faults swept now, in their order */
  uint32_t at;
  bool last; /* the last round: what is there now stays */
  pl_raws raws;
};

/* ---- answers ---- */

static int16_t volts_answer(const struct pl_suspects *table, double volts) {
  if (isnan(volts))
    return PL_ANSWER_OPEN;
  return (int16_t)lround(fmax(-32000, fmin(32000, volts / table->volt)));
}

/* As much as that, give or take rounding: steady loads may lie on the corner itself. */
static bool is_enough(double amps, double least) {
  return amps >= least * (1 - 1e-6);
}

static double
rated_amps(const struct pl_harness *h, const struct pl_device *d, const struct pl_element *e) {
  if (d->load_amps > 0)
    return d->load_amps;
  if (pl_kind_is(d->kind, PL_IS_STARTER) && d->crank_amps > 0)
    return d->crank_amps;
  return (d->volts > 0 ? d->volts : h->machine.volts) / e->ohms;
}

static int16_t
runs_answer(const struct work *w, pl_id id, const struct pl_element *elements, const bool *on) {
  const struct pl_device *d = &w->harness->devices.at[id];

  if (pl_kind_is(d->kind, PL_IS_STARTER) ? !on[id] : !pl_kind_is_load(d->kind))
    return on[id] ? 2 : 0;
  if (w->main[id] == PL_NONE)
    return PL_ANSWER_UNKNOWN;
  const struct pl_element *e = &elements[w->main[id]];
  double amps = fabs(e->amps);
  double rated = rated_amps(w->harness, d, e);
  double runs;
  if (pl_kind_is(d->kind, PL_IS_STARTER))
    runs = PL_LIKELY(SLOW);
  else
    runs = PL_LIKELY(RUNS);
  if (is_enough(amps, runs * rated))
    return 2;
  if (is_enough(amps, PL_LIKELY(WEAKLY) * rated))
    return 1;
  return 0;
}

static int16_t gauge_answer(const struct work *w, pl_id id, const double *node_volts) {
  pl_id plus, minus, signal;

  pl_gauge_pins(w->harness, id, &plus, &minus, &signal);
  if (plus == PL_NONE || minus == PL_NONE)
    return PL_ANSWER_UNKNOWN;
  if (signal == PL_NONE)
    return PL_ANSWER_UNKNOWN;
  double ohms = pl_gauge_ohms_at(w->harness,
                                 id,
                                 node_volts[pl_network_pin_node(w->network, plus)],
                                 node_volts[pl_network_pin_node(w->network, minus)],
                                 node_volts[pl_network_pin_node(w->network, signal)]);
  if (isnan(ohms))
    return PL_ANSWER_OPEN;
  return pl_suspects_ohms(ohms);
}

static int16_t answer_of(const struct work *w,
                         const struct pl_question *q,
                         const double *node_volts,
                         const bool *on,
                         const struct pl_element *elements) {
  if (q->ask == PL_ASK_VOLTS)
    return volts_answer(w->table, node_volts[pl_network_pin_node(w->network, q->id)]);
  if (q->ask == PL_ASK_LOOK)
    return 0; /* patterns come last */
  if (q->ask == PL_ASK_GAUGE)
    return gauge_answer(w, q->id, node_volts);
  if (q->ask == PL_ASK_RUNS)
    return runs_answer(w, q->id, elements, on);
  const struct pl_device *d = &w->harness->devices.at[q->id];
  if (w->main[q->id] == PL_NONE)
    return PL_ANSWER_UNKNOWN;
  if (!(d->rating > 0))
    return PL_ANSWER_UNKNOWN;
  if (is_enough(fabs(elements[w->main[q->id]].amps), PL_LIKELY(WARM) * d->rating))
    return 1;
  return 0;
}

/* The questions of the state in hand lie together; for volts, what lets them be passed over. */
static void find_questions(struct work *w) {
  const struct pl_suspects *table = w->table;

  w->from = 0;
  while (w->from < table->questions.n && table->questions.at[w->from].state != w->state)
    w->from++;
  for (w->others = w->from;
       w->others < table->questions.n && table->questions.at[w->others].state == w->state;
       w->others++) {
    const struct pl_question *q = &table->questions.at[w->others];
    double more =
        floor(PL_LIKELY(NEGLIGIBLE) * pl_suspects_spread(q->healthy * table->volt) / table->volt -
              rounding) +
        0.5 - rounding;
    bool open = q->healthy <= PL_ANSWER_UNKNOWN;
    if (q->ask != PL_ASK_VOLTS)
      break;
    w->within[w->others - w->from] =
        (struct within){pl_network_pin_node(w->network, q->id),
                        open ? NAN : (q->healthy - more) * table->volt,
                        open ? NAN : (q->healthy + more) * table->volt};
  }
  w->to = w->others;
  while (w->to < table->questions.n && table->questions.at[w->to].state == w->state)
    w->to++;
}

static void take_answers(struct work *w,
                         uint32_t variant,
                         bool solved,
                         const double *node_volts,
                         const bool *on,
                         const struct pl_element *elements) {
  for (uint32_t q = w->from; q < w->others && solved; q++) {
    const struct within *within = &w->within[q - w->from];
    double volts = node_volts[within->node];
    if (volts > within->low && volts < within->high)
      continue;
    if (isnan(volts) && isnan(within->low))
      continue;
    pl_suspects_put(w->table, &w->raws, variant, q, volts_answer(w->table, volts));
  }
  for (uint32_t q = solved ? w->others : w->from; q < w->to; q++) {
    const struct pl_question *question = &w->table->questions.at[q];
    if (question->ask == PL_ASK_LOOK)
      continue; /* patterns come last */
    pl_suspects_put(w->table,
                    &w->raws,
                    variant,
                    q,
                    solved ? answer_of(w, question, node_volts, on, elements) : PL_ANSWER_UNKNOWN);
  }
}

/* ---- fuses ---- */

static void find_mains(struct work *w, const struct pl_element *elements, uint32_t count) {
  for (pl_id id = 0; id < w->harness->devices.n; id++)
    w->main[id] = PL_NONE;
  for (uint32_t k = count; k-- > 0;) {
    const struct pl_element *e = &elements[k];
    if (e->device == PL_NONE)
      continue;
    enum pl_kind kind = w->harness->devices.at[e->device].kind;
    if (strcmp(e->what, "load") == 0 || strcmp(e->what, "motor") == 0 ||
        pl_kind_is_protection(kind))
      w->main[e->device] = k;
  }
}

/* Healthy amps never count as an overload: that is for the rules to say. */
static void find_limits(struct work *w) {
  const struct pl_state *state = &w->harness->states.at[w->state];
  double lasts = isfinite(state->lasts) ? state->lasts : PL_LIKELY(OVERLOAD_TIME);

  for (pl_id id = 0; id < w->harness->devices.n; id++) {
    const struct pl_device *d = &w->harness->devices.at[id];
    w->least_to_blow[id] = INFINITY;
    if (!pl_kind_is_protection(d->kind))
      continue;
    if (!(d->rating > 0))
      continue;
    double amps = pl_fuse_amps_to_open(d->family, d->rating, lasts);
    if (isnan(amps))
      amps = PL_LIKELY(OVERLOAD) * d->rating;
    w->least_to_blow[id] = fmax(amps, 1.05 * fabs(w->healthy[w->state].device_amps[id]));
  }
}

static void take_blown(struct work *w, uint32_t variant, const struct pl_element *elements) {
  struct pl_blown *blown = &w->blown[variant];
  pl_id worst = PL_NONE;
  double most = 1;

  for (pl_id id = 0; id < w->harness->devices.n; id++) {
    if (w->least_to_blow[id] == INFINITY)
      continue;
    if (w->main[id] == PL_NONE)
      continue;
    double share = fabs(elements[w->main[id]].amps) / w->least_to_blow[id];
    if (share <= most)
      continue;
    most = share;
    worst = id;
  }
  if (worst == PL_NONE || blown->n == PL_BLOWN)
    return;
  for (uint32_t i = 0; i < blown->n; i++)
    if (blown->fuse[i] == worst)
      return;
  uint32_t at = blown->n++;
  while (at > 0 && blown->fuse[at - 1] > worst) {
    blown->fuse[at] = blown->fuse[at - 1];
    blown->state[at] = blown->state[at - 1];
    at--;
  }
  blown->fuse[at] = worst;
  blown->state[at] = w->state;
  w->more[variant] = true;
}

/* ---- what the sweep finds ---- */

/* Causes that many faults share (and that blow no fuse) beside single faults. */
static bool shares_cause(const struct pl_fault *fault) {
  if (fault->kind == PL_FAULT_UNPLUGGED)
    return true;
  if (fault->kind == PL_FAULT_LOOSE)
    return true;
  return fault->kind == PL_FAULT_DEAD;
}

static void look_at(void *context, const struct pl_fault_view *view) {
  struct work *w = context;
  uint32_t variant = w->variants[w->at++];
  bool solved = view->status == PL_SOLVED;

  if (view->unchanged)
    return;
  take_answers(w, variant, solved, view->node_volts, view->device_on, view->elements);
  if (solved && !shares_cause(view->fault))
    take_blown(w, variant, view->elements);
}

static void sweep(struct work *w,
                  struct pl_network *network,
                  const uint32_t *variants,
                  const struct pl_fault *faults,
                  uint32_t count) {
  w->variants = variants;
  for (w->state = 0; w->state < w->harness->states.n; w->state++) {
    const struct pl_solution *healthy = &w->healthy[w->state];
    if (healthy->status != PL_SOLVED)
      continue;
    find_questions(w);
    find_mains(w, healthy->elements, healthy->element_count);
    find_limits(w);
    w->at = 0;
    pl_network_sweep(network, w->state, faults, count, look_at, w);
  }
}

/* Drops what was taken of variants that have to be looked at again with one fuse more blown. */
static void drop_again(struct work *w, uint32_t from) {
  uint32_t kept = from;

  if (w->last)
    return;
  for (uint32_t i = from; i < w->raws.n; i++)
    if (!w->more[pl_raw_at(&w->raws, i)->variant])
      *pl_raw_at(&w->raws, kept++) = *pl_raw_at(&w->raws, i);
  w->raws.n = kept;
}

/* All of `variants`, and those that blow a fuse again with it open, until none blows another. */
static void solve_faults(struct work *w,
                         struct pl_network *network,
                         uint32_t *variants,
                         struct pl_fault *faults,
                         uint32_t n) {
  for (int round = 0; round < ROUNDS && n > 0; round++) {
    uint32_t again = 0;
    uint32_t from = w->raws.n;
    memset(w->more, 0, w->table->variants.n * sizeof *w->more);
    w->last = round + 1 == ROUNDS;
    sweep(w, network, variants, faults, n);
    drop_again(w, from);
    for (uint32_t i = 0; i < n; i++) {
      const struct pl_blown *blown = &w->blown[variants[i]];
      if (!w->more[variants[i]])
        continue;
      faults[again] = faults[i];
      faults[again].blown = blown->fuse;
      faults[again].blown_count = blown->n;
      variants[again++] = variants[i];
    }
    n = again;
  }
}

/* Signals work with milliamps: what disturbs them is not what disturbs a lamp. */
static double loose_ohms(const struct work *w, pl_id device) {
  const struct pl_device *d = &w->harness->devices.at[device];
  double most = 0;

  for (pl_id pin = d->first_pin; pin < d->first_pin + d->pin_count; pin++)
    for (uint32_t i = 0; i < w->harness->pins.at[pin].wires.n; i++)
      for (pl_id s = 0; s < w->harness->states.n; s++)
        if (w->healthy[s].status == PL_SOLVED)
          most = fmax(most, fabs(w->healthy[s].wire_amps[w->harness->pins.at[pin].wires.at[i]]));
  if (most < 0.05)
    return PL_DEFAULT(FAULT_HIGH_SIGNAL);
  return PL_DEFAULT(FAULT_HIGH);
}

static void solve_swept(struct work *w, struct pl_network *network) {
  struct pl_suspects *table = w->table;
  struct pl_fault *faults = PL_NEW_ARRAY(table->arena, struct pl_fault, table->variants.n + 1);
  uint32_t *variants = PL_NEW_ARRAY(table->arena, uint32_t, table->variants.n + 1);
  uint32_t n = 0;

  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *suspect = &table->suspects.at[s];
    for (uint32_t v = suspect->first;
         v < suspect->first + suspect->count && suspect->kind != PL_SUSPECT_BATTERY;
         v++) {
      if (suspect->kind == PL_SUSPECT_FAULT)
        faults[n] = pl_suspects_fault(suspect, v);
      else
        faults[n] = pl_suspects_shared(w->harness, suspect);
      if (faults[n].kind == PL_FAULT_LOOSE)
        faults[n].ohms = loose_ohms(w, suspect->device);
      variants[n++] = v;
    }
  }
  solve_faults(w, network, variants, faults, n);
}

/* ---- the battery ---- */

static void weaken(const struct pl_harness *harness, struct pl_device *d) {
  double supply = d->volts > 0 ? d->volts : harness->machine.volts;
  double ohms = d->ohms;

  if (!(ohms > 0))
    ohms = pl_battery_ohms(supply, d->cca);
  if (!(ohms > 0))
    ohms = PL_DEFAULT(BATTERY) * supply / 12;
  d->ohms = ohms * PL_LIKELY(WEAK_WORN);
  d->cca = NAN;
  d->emf = PL_LIKELY(WEAK_EMF) * supply / 12;
}

/* On a copy of the model: the same nodes and elements, another battery. */
static void solve_battery(struct work *w, const struct pl_suspect *suspect) {
  struct pl_arena *own = w->table->arena;
  struct pl_harness copy = *w->harness;
  struct pl_solution solution = {.state = PL_NONE};

  copy.devices.at = PL_NEW_ARRAY(own, struct pl_device, copy.devices.n);
  memcpy(copy.devices.at, w->harness->devices.at, copy.devices.n * sizeof *copy.devices.at);
  weaken(&copy, &copy.devices.at[suspect->device]);
  struct pl_network *network = pl_network_new(&copy, own);
  for (w->state = 0; w->state < w->harness->states.n; w->state++) {
    if (w->healthy[w->state].status != PL_SOLVED)
      continue;
    pl_network_solve(network, w->state, &solution, NULL);
    find_questions(w);
    find_mains(w, solution.elements, solution.element_count);
    take_answers(w,
                 suspect->first,
                 solution.status == PL_SOLVED,
                 solution.node_volts,
                 solution.device_on,
                 solution.elements);
  }
  pl_network_release(network);
}

/* ---- the whole ---- */

static void healthy_answers(struct work *w) {
  struct pl_suspects *table = w->table;

  for (uint32_t q = 0; q < table->questions.n; q++) {
    struct pl_question *question = &table->questions.at[q];
    const struct pl_solution *solution;
    if (question->state == PL_NONE)
      solution = NULL;
    else
      solution = &w->healthy[question->state];
    if (solution != NULL && solution->status == PL_SOLVED) {
      if (w->state != question->state) {
        w->state = question->state;
        find_mains(w, solution->elements, solution->element_count);
      }
      question->healthy =
          answer_of(w, question, solution->node_volts, solution->device_on, solution->elements);
    } else if (solution != NULL) {
      question->healthy = PL_ANSWER_UNKNOWN;
    }
  }
}

/* raws[from..n) variant by variant, each by question: counted and laid down twice, first by
 * question.  *end: by variant, where its last one ends. */
static struct pl_raw *
sorted(const struct pl_suspects *table, const pl_raws *raws, uint32_t from, uint32_t **end) {
  struct pl_arena *arena = table->arena;
  uint32_t count = raws->n - from;
  uint32_t *question = PL_NEW_ARRAY(arena, uint32_t, table->questions.n + 2);
  uint32_t *variant = PL_NEW_ARRAY(arena, uint32_t, table->variants.n + 2);
  struct pl_raw *once = PL_NEW_ARRAY(arena, struct pl_raw, count + 1);
  struct pl_raw *twice = PL_NEW_ARRAY(arena, struct pl_raw, count + 1);

  for (uint32_t i = from; i < raws->n; i++) {
    question[pl_raw_at(raws, i)->question + 1]++;
    variant[pl_raw_at(raws, i)->variant + 1]++;
  }
  for (uint32_t q = 0; q < table->questions.n; q++)
    question[q + 1] += question[q];
  for (uint32_t v = 0; v < table->variants.n; v++)
    variant[v + 1] += variant[v];
  for (uint32_t i = from; i < raws->n; i++)
    once[question[pl_raw_at(raws, i)->question]++] = *pl_raw_at(raws, i);
  for (uint32_t i = 0; i < count; i++)
    twice[variant[once[i].variant]++] = once[i];
  *end = variant;
  return twice;
}

/* Entries variant by variant, each by question.  Those before `swept` come so for every variant;
 * each of the others is put where it belongs among them. */
static void lay_down(struct pl_suspects *table, const pl_raws *raws, uint32_t swept) {
  uint32_t *end;
  uint32_t *at = PL_NEW_ARRAY(table->arena, uint32_t, table->variants.n + 1);
  const struct pl_raw *others = sorted(table, raws, swept, &end);
  uint32_t *questions = PL_NEW_ARRAY(table->arena, uint32_t, raws->n + 1);
  int16_t *answers = PL_NEW_ARRAY(table->arena, int16_t, raws->n + 1);

  for (uint32_t i = 0; i < raws->n; i++)
    table->variants.at[pl_raw_at(raws, i)->variant].count++;
  for (uint32_t v = 0, n = 0; v < table->variants.n; n += table->variants.at[v++].count) {
    table->variants.at[v].first = n;
    at[v] = n + end[v] - (v == 0 ? 0 : end[v - 1]); /* room for the others before them */
  }
  for (uint32_t i = 0; i < swept; i++) {
    uint32_t place = at[pl_raw_at(raws, i)->variant]++;
    questions[place] = pl_raw_at(raws, i)->question;
    answers[place] = pl_raw_at(raws, i)->answer;
  }
  for (uint32_t v = 0, i = 0; v < table->variants.n; v++) {
    uint32_t to = table->variants.at[v].first;
    uint32_t from = to + end[v] - i;
    for (; i < end[v]; i++) {
      for (; from < at[v] && questions[from] < others[i].question; from++, to++) {
        questions[to] = questions[from];
        answers[to] = answers[from];
      }
      questions[to] = others[i].question;
      answers[to++] = others[i].answer;
    }
  }
  table->entry_questions.at = questions;
  table->entry_answers.at = answers;
  table->entry_questions.n = table->entry_questions.cap = table->entry_answers.n =
      table->entry_answers.cap = raws->n;
}

void pl_suspects_solve(struct pl_suspects *table,
                       struct pl_network *network,
                       const struct pl_solution *solutions) {
  struct work w = {.table = table,
                   .harness = table->harness,
                   .network = network,
                   .healthy = solutions,
                   .state = PL_NONE};
  uint32_t swept;

  w.main = PL_NEW_ARRAY(table->arena, uint32_t, table->harness->devices.n + 1);
  w.least_to_blow = PL_NEW_ARRAY(table->arena, double, table->harness->devices.n + 1);
  w.blown = PL_NEW_ARRAY(table->arena, struct pl_blown, table->variants.n + 1);
  w.within = PL_NEW_ARRAY(table->arena, struct within, table->questions.n + 1);
  w.more = PL_NEW_ARRAY(table->arena, bool, table->variants.n + 1);
  healthy_answers(&w);
  pl_suspects_off_healthy(table, table->harness->states.n > 0 ? &solutions[0] : NULL);
  solve_swept(&w, network);
  for (uint32_t s = 0; s < table->suspects.n; s++)
    if (table->suspects.at[s].kind == PL_SUSPECT_BATTERY)
      solve_battery(&w, &table->suspects.at[s]);
  swept = w.raws.n;
  pl_suspects_off(table, network, w.blown, &w.raws);
  pl_suspects_links(table, network, &w.raws);
  pl_suspects_patterns(table, &w.raws);
  lay_down(table, &w.raws, swept);
}

void pl_suspects_make(const struct pl_harness *harness,
                      struct pl_network *network,
                      const struct pl_solution *solutions,
                      struct pl_arena *arena,
                      struct pl_suspects *table) {
  pl_suspects_list(harness, arena, table);
  pl_suspects_solve(table, network, solutions);
}
