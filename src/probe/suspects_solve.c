/* The answers of every suspect, state by state: single faults by the network's sweep, faults that share a cause on a copy of the model with all of it
 * broken.  A fuse that a fault blows in any state is open in all of them: the machine is looked at afterwards. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "probe/suspects_inner.h"
#include "standard/clearing.h"
#include "standard/defaults.h"
#include "standard/likely.h"
#include "standard/limits_data.h"

enum { ROUNDS = PL_BLOWN };  /* fuses blow one after the other */

struct work {
  struct pl_suspects *table;
  const struct pl_harness *harness;
  const struct pl_network *network;   /* the one solved now */
  const struct pl_solution *healthy;
  pl_id state;
  uint32_t *main;                     /* by device: its element, PL_NONE; of `network` */
  double *least_to_blow;              /* by device: amps from which a fuse opens in `state` */
  struct pl_blown *blown;                /* by variant */
  bool *more;                         /* by variant: blew another fuse in this round */
  const uint32_t *variants;           /* of the faults swept now, in their order */
  uint32_t at;
  bool last;                          /* the last round: what is there now stays */
  pl_raws raws;
};

/* ---- answers ---- */

int16_t pl_suspects_ohms(double ohms) {
  if (isnan(ohms)) return PL_ANSWER_UNKNOWN;
  return (int16_t)lround(1000 * log10(fmin(ohms + PL_LIKELY(LEADS), PL_LIKELY(OPEN_OHMS))));
}

double pl_suspects_spread(double volts) {
  double meter = PL_LIKELY(METER_LEAST) + PL_LIKELY(METER_SHARE) * fabs(volts), parts = PL_LIKELY(PARTS_LEAST) + PL_LIKELY(PARTS_SHARE) * fabs(volts);

  return sqrt(meter * meter + parts * parts);
}

static int16_t volts_answer(const struct pl_suspects *table, double volts) {
  if (isnan(volts)) return PL_ANSWER_OPEN;
  return (int16_t)lround(fmax(-32000, fmin(32000, volts / table->volt)));
}

static double rated_amps(const struct pl_harness *h, const struct pl_device *d, const struct pl_element *e) {
  if (d->load_amps > 0) return d->load_amps;
  return (d->volts > 0 ? d->volts : h->machine.volts) / e->ohms;
}

static int16_t runs_answer(const struct work *w, pl_id id, const struct pl_element *elements, const bool *on) {
  const struct pl_device *d = &w->harness->devices.at[id];

  if (!pl_kind_is_load(d->kind)) return on[id] ? 2 : 0;
  if (w->main[id] == PL_NONE) return PL_ANSWER_UNKNOWN;
  const struct pl_element *e = &elements[w->main[id]];
  double share = fabs(e->amps) / rated_amps(w->harness, d, e);
  return share >= PL_LIKELY(RUNS) ? 2 : share >= PL_LIKELY(WEAKLY) ? 1 : 0;
}

static int16_t answer_of(const struct work *w, const struct pl_question *q, const double *node_volts, const bool *on, const struct pl_element *elements) {
  if (q->ask == PL_ASK_VOLTS) return volts_answer(w->table, node_volts[pl_network_pin_node(w->network, q->id)]);
  if (q->ask == PL_ASK_LOOK) return 0;  /* patterns come last */
  if (q->ask == PL_ASK_RUNS) return runs_answer(w, q->id, elements, on);
  const struct pl_device *d = &w->harness->devices.at[q->id];
  if (w->main[q->id] == PL_NONE || !(d->rating > 0)) return PL_ANSWER_UNKNOWN;
  return fabs(elements[w->main[q->id]].amps) >= PL_LIKELY(WARM) * d->rating ? 1 : 0;
}

/* The questions of one state lie together. */
static void state_range(const struct pl_suspects *table, pl_id state, uint32_t *from, uint32_t *to) {
  uint32_t i = 0;

  while (i < table->questions.n && table->questions.at[i].state != state) i++;
  *from = i;
  while (i < table->questions.n && table->questions.at[i].state == state) i++;
  *to = i;
}

/* Volts that differ by a small part of what meter and parts leave open are the healthy ones. */
static bool differs(const struct pl_suspects *table, const struct pl_question *q, int16_t answer) {
  if (answer == q->healthy) return false;
  if (q->ask != PL_ASK_VOLTS || answer <= PL_ANSWER_UNKNOWN || q->healthy <= PL_ANSWER_UNKNOWN) return true;
  return abs(answer - q->healthy) * table->volt > PL_LIKELY(NEGLIGIBLE) * pl_suspects_spread(q->healthy * table->volt);
}

void pl_suspects_put(const struct pl_suspects *table, pl_raws *raws, uint32_t variant, uint32_t question, int16_t answer) {
  if (differs(table, &table->questions.at[question], answer)) PL_PUSH(table->arena, raws, ((struct pl_raw){variant, question, answer}));
}

static void take_answers(struct work *w, uint32_t variant, bool solved, const double *node_volts, const bool *on, const struct pl_element *elements) {
  uint32_t from, to;

  state_range(w->table, w->state, &from, &to);
  for (uint32_t q = from; q < to; q++)
    pl_suspects_put(w->table, &w->raws, variant, q, solved ? answer_of(w, &w->table->questions.at[q], node_volts, on, elements) : PL_ANSWER_UNKNOWN);
}

/* ---- fuses ---- */

static void find_mains(struct work *w, const struct pl_element *elements, uint32_t count) {
  for (pl_id id = 0; id < w->harness->devices.n; id++) w->main[id] = PL_NONE;
  for (uint32_t k = count; k-- > 0;) {
    const struct pl_element *e = &elements[k];
    if (e->device == PL_NONE) continue;
    enum pl_kind kind = w->harness->devices.at[e->device].kind;
    if (strcmp(e->what, "load") == 0 || pl_kind_is_protection(kind)) w->main[e->device] = k;
  }
}

/* Healthy amps never count as an overload: that is for the rules to say. */
static void find_limits(struct work *w) {
  const struct pl_state *state = &w->harness->states.at[w->state];
  double lasts = isfinite(state->lasts) ? state->lasts : PL_LIKELY(OVERLOAD_TIME);

  for (pl_id id = 0; id < w->harness->devices.n; id++) {
    const struct pl_device *d = &w->harness->devices.at[id];
    w->least_to_blow[id] = INFINITY;
    if (!pl_kind_is_protection(d->kind) || !(d->rating > 0)) continue;
    double amps = pl_fuse_amps_to_open(d->family, d->rating, lasts);
    if (isnan(amps)) amps = PL_LIKELY(OVERLOAD) * d->rating;
    w->least_to_blow[id] = fmax(amps, 1.05 * fabs(w->healthy[w->state].device_amps[id]));
  }
}

static void take_blown(struct work *w, uint32_t variant, const struct pl_element *elements) {
  struct pl_blown *blown = &w->blown[variant];
  pl_id worst = PL_NONE;
  double most = 1;

  for (pl_id id = 0; id < w->harness->devices.n; id++) {
    if (w->least_to_blow[id] == INFINITY || w->main[id] == PL_NONE) continue;
    double share = fabs(elements[w->main[id]].amps) / w->least_to_blow[id];
    if (share <= most) continue;
    most = share;
    worst = id;
  }
  if (worst == PL_NONE || blown->n == PL_BLOWN) return;
  for (uint32_t i = 0; i < blown->n; i++)
    if (blown->fuse[i] == worst) return;
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

/* ---- copies of the model ---- */

struct copy {
  struct pl_arena arena;
  struct pl_harness harness;
  struct pl_network *network;
};

static void *copy_of(struct pl_arena *arena, const void *at, uint32_t n, size_t size) {
  void *made = pl_arena_alloc(arena, (size_t)n + 1, size);

  if (n > 0) memcpy(made, at, n * size);
  return made;
}

static void copy_open(struct copy *copy, const struct pl_suspects *table) {
  const struct pl_harness *h = table->harness;

  pl_arena_init(&copy->arena, table->arena->on_oom, table->arena->oom_context);
  copy->harness = *h;
  copy->harness.arena = &copy->arena;
  copy->harness.devices.at = copy_of(&copy->arena, h->devices.at, h->devices.n, sizeof *h->devices.at);
  copy->harness.wires.at = copy_of(&copy->arena, h->wires.at, h->wires.n, sizeof *h->wires.at);
  copy->harness.pins.at = copy_of(&copy->arena, h->pins.at, h->pins.n, sizeof *h->pins.at);
  copy->network = NULL;
}

static void copy_close(struct copy *copy) {
  if (copy->network != NULL) pl_network_release(copy->network);
  pl_arena_release(&copy->arena);
}

static const double open_ohms = 1e9;  /* above PL_DEFAULT(MOST): counts as open */

/* ---- single faults ---- */

static void look_at(void *context, const struct pl_fault_view *view) {
  struct work *w = context;
  uint32_t variant = w->variants[w->at++];
  bool solved = view->status == PL_SOLVED;

  take_answers(w, variant, solved, view->node_volts, view->device_on, view->elements);
  if (solved) take_blown(w, variant, view->elements);
}

static void sweep(struct work *w, struct pl_network *network, const uint32_t *variants, const struct pl_fault *faults, uint32_t count) {
  struct pl_solution solution;

  w->network = network;
  w->variants = variants;
  for (w->state = 0; w->state < w->harness->states.n; w->state++) {
    if (w->healthy[w->state].status != PL_SOLVED) continue;
    memset(&solution, 0, sizeof solution);
    pl_network_solve(network, w->state, &solution, NULL);
    find_mains(w, solution.elements, solution.element_count);
    find_limits(w);
    w->at = 0;
    pl_network_sweep(network, w->state, faults, count, look_at, w);
  }
}

struct pl_fault pl_suspects_fault(const struct pl_suspect *suspect, uint32_t variant) {
  struct pl_fault fault = suspect->fault;
  uint32_t i = variant - suspect->first;

  if (i > 0) fault.ohms *= i == 1 ? PL_LIKELY(HIGH_LESS) : PL_LIKELY(HIGH_MORE);
  return fault;
}

static bool same_blown(const struct pl_blown *a, const struct pl_blown *b) {
  return a->n == b->n && memcmp(a->fuse, b->fuse, a->n * sizeof a->fuse[0]) == 0;
}

/* Drops what was taken of variants that have to be looked at again with one fuse more blown. */
static void drop_again(struct work *w, uint32_t from) {
  uint32_t kept = from;

  if (w->last) return;
  for (uint32_t i = from; i < w->raws.n; i++)
    if (!w->more[w->raws.at[i].variant]) w->raws.at[kept++] = w->raws.at[i];
  w->raws.n = kept;
}

static void sweep_blown(struct work *w, const struct pl_blown *blown, struct pl_network *network, const uint32_t *variants, const struct pl_fault *faults,
                        uint32_t count) {
  struct copy copy;
  uint32_t from = w->raws.n;

  if (blown->n == 0) {
    sweep(w, network, variants, faults, count);
  } else {
    copy_open(&copy, w->table);
    for (uint32_t i = 0; i < blown->n; i++) copy.harness.devices.at[blown->fuse[i]].ohms = open_ohms;
    copy.network = pl_network_new(&copy.harness, &copy.arena);
    sweep(w, copy.network, variants, faults, count);
    copy_close(&copy);
  }
  drop_again(w, from);
}

/* Those of `todo` that blew the same fuses as the first, in `group`; the others stay in `todo`.  Returns how many stay. */
static uint32_t take_group(const struct work *w, uint32_t *todo, uint32_t n, uint32_t *group, uint32_t *count) {
  struct pl_blown blown = w->blown[todo[0]];
  uint32_t kept = 0;

  *count = 0;
  for (uint32_t i = 0; i < n; i++)
    if (same_blown(&w->blown[todo[i]], &blown))
      group[(*count)++] = todo[i];
    else
      todo[kept++] = todo[i];
  return kept;
}

static void solve_faults(struct work *w, struct pl_network *network, struct pl_fault *faults, uint32_t *todo, uint32_t n) {
  struct pl_arena *arena = w->table->arena;
  struct pl_fault *now = PL_NEW_ARRAY(arena, struct pl_fault, n + 1);
  uint32_t *group = PL_NEW_ARRAY(arena, uint32_t, n + 1), *later = PL_NEW_ARRAY(arena, uint32_t, n + 1);

  for (int round = 0; round < ROUNDS && n > 0; round++) {
    uint32_t again = 0, count;
    memset(w->more, 0, w->table->variants.n * sizeof *w->more);
    w->last = round + 1 == ROUNDS;
    while (n > 0) {
      struct pl_blown blown = w->blown[todo[0]];
      n = take_group(w, todo, n, group, &count);
      for (uint32_t i = 0; i < count; i++) now[i] = faults[group[i]];
      sweep_blown(w, &blown, network, group, now, count);
      for (uint32_t i = 0; i < count; i++)
        if (w->more[group[i]]) later[again++] = group[i];
    }
    n = again;
    memcpy(todo, later, n * sizeof *todo);
  }
}

static void solve_singles(struct work *w, struct pl_network *network) {
  struct pl_suspects *table = w->table;
  struct pl_fault *faults = PL_NEW_ARRAY(table->arena, struct pl_fault, table->variants.n + 1);
  uint32_t *todo = PL_NEW_ARRAY(table->arena, uint32_t, table->variants.n + 1), n = 0;

  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *suspect = &table->suspects.at[s];
    for (uint32_t v = suspect->first; v < suspect->first + suspect->count && suspect->kind == PL_SUSPECT_FAULT; v++) {
      faults[v] = pl_suspects_fault(suspect, v);
      todo[n++] = v;
    }
  }
  solve_faults(w, network, faults, todo, n);
}

/* ---- faults that share a cause ---- */

static bool touches_device(const struct pl_harness *h, const struct pl_wire *wire, pl_id device) {
  for (int i = 0; i < 2; i++)
    if (wire->end[i] != PL_NONE && h->pins.at[wire->end[i]].device == device) return true;
  return false;
}

static bool touches_connector(const struct pl_harness *h, const struct pl_wire *wire, pl_id connector) {
  for (int i = 0; i < 2; i++)
    if (wire->end[i] != PL_NONE && h->pins.at[wire->end[i]].connector == connector) return true;
  return false;
}

static void break_battery(struct copy *copy, struct pl_device *d) {
  double supply = d->volts > 0 ? d->volts : copy->harness.machine.volts, ohms = d->ohms;

  if (!(ohms > 0)) ohms = pl_battery_ohms(supply, d->cca);
  if (!(ohms > 0)) ohms = PL_DEFAULT(BATTERY) * supply / 12;
  d->ohms = ohms * PL_LIKELY(WEAK_WORN);
  d->cca = NAN;
  d->emf = PL_LIKELY(WEAK_EMF) * supply / 12;
}

/* Signals work with milliamps: what disturbs them is not what disturbs a lamp. */
static void loosen(struct copy *copy, const struct work *w, pl_id device) {
  double most = 0;

  for (pl_id s = 0; s < w->harness->states.n; s++)
    for (pl_id i = 0; i < w->harness->wires.n && w->healthy[s].status == PL_SOLVED; i++)
      if (touches_device(w->harness, &w->harness->wires.at[i], device)) most = fmax(most, fabs(w->healthy[s].wire_amps[i]));
  double ohms = most < 0.05 ? PL_DEFAULT(FAULT_HIGH_SIGNAL) : PL_DEFAULT(FAULT_HIGH);
  for (pl_id i = 0; i < copy->harness.wires.n; i++) {
    struct pl_wire *wire = &copy->harness.wires.at[i];
    if (touches_device(w->harness, wire, device) && wire->length > 0) wire->ohms_per_m += ohms / wire->length;
  }
}

static void break_copy(struct copy *copy, const struct work *w, const struct pl_suspect *suspect) {
  struct pl_harness *h = &copy->harness;
  struct pl_device *d = suspect->device < h->devices.n ? &h->devices.at[suspect->device] : NULL;

  if (suspect->kind == PL_SUSPECT_BATTERY) {
    break_battery(copy, d);
  } else if (suspect->kind == PL_SUSPECT_MODULE) {
    for (pl_id pin = d->first_pin; pin < d->first_pin + d->pin_count; pin++) h->pins.at[pin].role = PL_ROLE_PASSIVE;
  } else if (suspect->kind == PL_SUSPECT_JOINT) {
    loosen(copy, w, suspect->device);
  } else if (d->kind == PL_KIND_INLINE) {
    d->fixed.n = 0;
  } else {
    for (pl_id i = 0; i < h->wires.n; i++)
      if (touches_connector(h, &h->wires.at[i], suspect->connector)) h->wires.at[i].status = PL_WIRE_DONOR_REMOVED;
  }
}

static void solve_shared(struct work *w, const struct pl_suspect *suspect) {
  struct copy copy;

  copy_open(&copy, w->table);
  break_copy(&copy, w, suspect);
  w->network = copy.network = pl_network_new(&copy.harness, &copy.arena);
  for (w->state = 0; w->state < w->harness->states.n; w->state++) {
    struct pl_solution solution = {.state = PL_NONE};
    if (w->healthy[w->state].status != PL_SOLVED) continue;
    pl_network_solve(copy.network, w->state, &solution, NULL);
    find_mains(w, solution.elements, solution.element_count);
    take_answers(w, suspect->first, solution.status == PL_SOLVED, solution.node_volts, solution.device_on, solution.elements);
  }
  copy_close(&copy);
}

/* ---- the whole ---- */

static void healthy_answers(struct work *w) {
  struct pl_suspects *table = w->table;

  for (uint32_t q = 0; q < table->questions.n; q++) {
    struct pl_question *question = &table->questions.at[q];
    const struct pl_solution *solution = question->state == PL_NONE ? NULL : &w->healthy[question->state];
    if (solution != NULL && solution->status == PL_SOLVED) {
      if (w->state != question->state) {
        w->state = question->state;
        find_mains(w, solution->elements, solution->element_count);
      }
      question->healthy = answer_of(w, question, solution->node_volts, solution->device_on, solution->elements);
    } else if (solution != NULL) {
      question->healthy = PL_ANSWER_UNKNOWN;
    }
  }
}

static int by_question(const void *a, const void *b) {
  const struct pl_raw *x = a, *y = b;

  return (x->question > y->question) - (x->question < y->question);
}

/* Entries variant by variant, each by question: counted, laid down, sorted. */
static void lay_down(struct pl_suspects *table, const pl_raws *raws) {
  struct pl_raw *sorted = PL_NEW_ARRAY(table->arena, struct pl_raw, raws->n + 1);
  uint32_t *at = PL_NEW_ARRAY(table->arena, uint32_t, table->variants.n + 1);

  for (uint32_t v = 0; v < table->variants.n; v++) table->variants.at[v].count = 0;
  for (uint32_t i = 0; i < raws->n; i++) table->variants.at[raws->at[i].variant].count++;
  for (uint32_t v = 0, n = 0; v < table->variants.n; n += table->variants.at[v++].count) table->variants.at[v].first = at[v] = n;
  for (uint32_t i = 0; i < raws->n; i++) sorted[at[raws->at[i].variant]++] = raws->at[i];
  for (uint32_t v = 0; v < table->variants.n; v++)
    qsort(sorted + table->variants.at[v].first, table->variants.at[v].count, sizeof *sorted, by_question);
  table->entry_questions.n = table->entry_answers.n = 0;
  for (uint32_t i = 0; i < raws->n; i++) {
    PL_PUSH(table->arena, &table->entry_questions, sorted[i].question);
    PL_PUSH(table->arena, &table->entry_answers, sorted[i].answer);
  }
}

void pl_suspects_solve(struct pl_suspects *table, struct pl_network *network, const struct pl_solution *solutions) {
  struct work w = {.table = table, .harness = table->harness, .network = network, .healthy = solutions, .state = PL_NONE};

  w.main = PL_NEW_ARRAY(table->arena, uint32_t, table->harness->devices.n + 1);
  w.least_to_blow = PL_NEW_ARRAY(table->arena, double, table->harness->devices.n + 1);
  w.blown = PL_NEW_ARRAY(table->arena, struct pl_blown, table->variants.n + 1);
  w.more = PL_NEW_ARRAY(table->arena, bool, table->variants.n + 1);
  healthy_answers(&w);
  pl_suspects_off_healthy(table, table->harness->states.n > 0 ? &solutions[0] : NULL);
  solve_singles(&w, network);
  for (uint32_t s = 0; s < table->suspects.n; s++)
    if (table->suspects.at[s].kind != PL_SUSPECT_FAULT) solve_shared(&w, &table->suspects.at[s]);
  pl_suspects_off(table, network, w.blown, &w.raws);
  lay_down(table, &w.raws);
  pl_suspects_patterns(table, &w.raws);
  lay_down(table, &w.raws);
}

void pl_suspects_make(const struct pl_harness *harness, struct pl_network *network, const struct pl_solution *solutions, struct pl_arena *arena,
                      struct pl_suspects *table) {
  pl_suspects_list(harness, arena, table);
  pl_suspects_solve(table, network, solutions);
}

int16_t pl_suspects_answer(const struct pl_suspects *table, uint32_t variant, uint32_t question) {
  const struct pl_variant *v = &table->variants.at[variant];
  uint32_t low = v->first, high = v->first + v->count;

  while (low < high) {
    uint32_t middle = low + (high - low) / 2;
    if (table->entry_questions.at[middle] < question)
      low = middle + 1;
    else
      high = middle;
  }
  return low < v->first + v->count && table->entry_questions.at[low] == question ? table->entry_answers.at[low] : table->questions.at[question].healthy;
}
