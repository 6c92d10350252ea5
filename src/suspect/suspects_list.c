/* Who is suspected and what can be asked: from the text alone, in its order.  Nothing is solved
 * here. */
#include "suspect/suspects_inner.h"

#include <math.h>
#include <string.h>

#include "base/buffer.h"
#include "standard/defaults.h"
#include "standard/likely.h"

/* ---- questions ---- */

static double reach_of(const struct pl_harness *harness, pl_id place) {
  int reach = 2;
  if (place < harness->places.n)
    reach = harness->places.at[place].reach;

  if (reach == 1)
    return PL_LIKELY(REACH_EASY);
  if (reach == 3)
    return PL_LIKELY(REACH_HARD);
  return PL_LIKELY(REACH_MIDDLING);
}

static pl_id place_of(const struct pl_harness *harness, pl_id pin) {
  if (pin < harness->pins.n)
    return harness->devices.at[harness->pins.at[pin].device].place;
  return PL_NONE;
}

static double state_effort(const struct pl_state *state) {
  if (state->engine == PL_ENGINE_CRANKING)
    return PL_LIKELY(CRANKING);
  if (state->engine == PL_ENGINE_STOPPED)
    return 0;
  return PL_LIKELY(RUNNING);
}

static bool is_in_state(enum pl_ask what) {
  return what == PL_ASK_VOLTS || what == PL_ASK_RUNS || what == PL_ASK_WARM || what == PL_ASK_GAUGE;
}

/* How many things there are that can be asked so. */
static uint32_t ids_of(const struct pl_harness *h, enum pl_ask what) {
  switch (what) {
    case PL_ASK_VOLTS:
    case PL_ASK_BETWEEN:
      return h->pins.n;
    case PL_ASK_LOOK:
      return h->states.n;
    case PL_ASK_PANEL:
      return h->places.n;
    case PL_ASK_WIRE:
      return h->wires.n;
    case PL_ASK_LEAK:
      return 2 * h->wires.n;
    case PL_ASK_RUNS:
    case PL_ASK_WARM:
    case PL_ASK_FUSE:
    case PL_ASK_REFIT:
    case PL_ASK_SEARCH:
    case PL_ASK_INSIDE:
    case PL_ASK_LINK:
    case PL_ASK_GAUGE:
      break;
  }
  return h->devices.n;
}

/* Where the number of a question stands; `state` is not looked at when it is not asked in one. */
static uint32_t *
question_at(const struct pl_suspects *table, enum pl_ask what, pl_id state, pl_id id) {
  size_t first = 0;
  if (is_in_state(what))
    first = (size_t)state * ids_of(table->harness, what);

  return &table->question_of[what][first + id];
}

static void ask(struct pl_suspects *table, enum pl_ask what, pl_id state, pl_id id, double effort) {
  struct pl_question question = {.ask = what,
                                 .state = state,
                                 .id = id,
                                 .effort = effort + PL_LIKELY(READING)};

  *question_at(table, what, state, id) = table->questions.n;
  PL_PUSH(table->arena, &table->questions, question);
}

static bool shows_running(const struct pl_device *d) {
  return pl_kind_is(d->kind, PL_IS_USER);
}

/* Things whose ohms say something: electronics (steady amps, three wires) do not. */
static bool has_inside(const struct pl_device *d) {
  if (pl_kind_is_load(d->kind))
    return d->law == PL_LAW_RESISTANCE;
  if (pl_kind_row(d->kind)->elements == PL_ELEMENTS_SENSOR)
    return d->plus == PL_NONE || d->plus == d->signal;
  return pl_kind_is(d->kind, PL_IS_RELAY | PL_IS_MEASURING | PL_IS_RESISTANCE);
}

static double pin_effort(const struct pl_harness *h, pl_id pin) {
  bool wrapped = pl_device_is(h, h->pins.at[pin].device, PL_IS_SPLICE);

  return reach_of(h, place_of(h, pin)) + (wrapped ? PL_LIKELY(UNWRAP) : 0);
}

static void ask_device_in_state(struct pl_suspects *table, pl_id state, pl_id id, double more) {
  const struct pl_harness *h = table->harness;
  const struct pl_device *d = &h->devices.at[id];
  bool heard = pl_kind_is(d->kind, PL_IS_RELAY); /* its click, when one stands beside it */

  if (shows_running(d))
    ask(table, PL_ASK_RUNS, state, id, heard ? reach_of(h, d->place) + more : INFINITY);
  if (pl_kind_is_protection(d->kind))
    ask(table, PL_ASK_WARM, state, id, INFINITY);
  if (pl_kind_is(d->kind, PL_IS_GAUGE))
    ask(table, PL_ASK_GAUGE, state, id, PL_LIKELY(LOOK) + more);
}

static void ask_in_state(struct pl_suspects *table, pl_id state) {
  const struct pl_harness *h = table->harness;
  double more = state_effort(&h->states.at[state]);

  for (pl_id pin = 0; pin < h->pins.n; pin++)
    if (h->pins.at[pin].wires.n > 0)
      ask(table, PL_ASK_VOLTS, state, pin, pin_effort(h, pin) + more);
  for (pl_id id = 0; id < h->devices.n; id++)
    ask_device_in_state(table, state, id, more);
  ask(table, PL_ASK_LOOK, state, state, PL_LIKELY(LOOK) + more);
}

static void ask_fuses(struct pl_suspects *table) {
  const struct pl_harness *h = table->harness;

  for (pl_id id = 0; id < h->devices.n; id++) {
    const struct pl_device *d = &h->devices.at[id];
    bool fuse = pl_kind_is_protection(d->kind);
    double reach = reach_of(h, d->place);
    if (fuse) {
      ask(table, PL_ASK_FUSE, PL_NONE, id, reach);
      ask(table, PL_ASK_REFIT, PL_NONE, id, reach + PL_LIKELY(LOOK) * h->states.n);
    }
    if (fuse || pl_kind_is(d->kind, PL_IS_STORE)) /* its pieces are counted later */
      ask(table, PL_ASK_SEARCH, PL_NONE, id, reach + PL_LIKELY(UNPLUG));
    if (!fuse)
      continue;
    if (d->place >= h->places.n)
      continue;
    if (*question_at(table, PL_ASK_PANEL, PL_NONE, d->place) == PL_NONE)
      ask(table, PL_ASK_PANEL, PL_NONE, d->place, reach + PL_LIKELY(PANEL));
  }
}

/* A wire does not come off a splice. */
static double leak_effort(const struct pl_harness *h, pl_id pin) {
  if (pl_device_is(h, h->pins.at[pin].device, PL_IS_SPLICE))
    return INFINITY;
  return reach_of(h, place_of(h, pin)) + PL_LIKELY(UNPLUG);
}

static void ask_wires(struct pl_suspects *table) {
  const struct pl_harness *h = table->harness;

  for (pl_id id = 0; id < h->wires.n; id++) {
    const struct pl_wire *w = &h->wires.at[id];
    if (w->end[0] == PL_NONE)
      continue;
    if (w->end[1] == PL_NONE)
      continue;
    if (w->status == PL_WIRE_DONOR_REMOVED)
      continue;
    double a = reach_of(h, place_of(h, w->end[0]));
    double b = reach_of(h, place_of(h, w->end[1]));
    ask(table, PL_ASK_WIRE, PL_NONE, id, a + b + PL_LIKELY(UNPLUG));
    for (pl_id end = 0; end < 2; end++)
      ask(table, PL_ASK_LEAK, PL_NONE, 2 * id + end, leak_effort(h, w->end[end]));
  }
}

pl_id pl_suspects_low_of(const struct pl_harness *h, pl_id high) {
  const struct pl_pin *p = &h->pins.at[high];
  const struct pl_device *d = &h->devices.at[p->device];

  if (p->role != PL_ROLE_DATA_HIGH)
    return PL_NONE;
  if (p->wires.n == 0)
    return PL_NONE;
  for (pl_id low = high + 1; low < d->first_pin + d->pin_count; low++)
    if (h->pins.at[low].role == PL_ROLE_DATA_LOW)
      return h->pins.at[low].wires.n > 0 ? low : PL_NONE;
  return PL_NONE;
}

static void ask_links(struct pl_suspects *table) {
  const struct pl_harness *h = table->harness;

  for (pl_id high = 0; high < h->pins.n; high++)
    if (pl_suspects_low_of(h, high) != PL_NONE)
      ask(table, PL_ASK_BETWEEN, PL_NONE, high, pin_effort(h, high));
  for (pl_id high = 0; high < h->pins.n; high++) {
    pl_id device = h->pins.at[high].device;
    if (*question_at(table, PL_ASK_BETWEEN, PL_NONE, high) == PL_NONE)
      continue;
    if (*question_at(table, PL_ASK_LINK, PL_NONE, device) == PL_NONE)
      ask(table, PL_ASK_LINK, PL_NONE, device, INFINITY);
  }
}

static void no_questions_yet(struct pl_suspects *table) {
  const struct pl_harness *h = table->harness;

  for (int i = 0; i < PL_ASK_COUNT; i++) {
    enum pl_ask what = (enum pl_ask)i;
    size_t n = (size_t)ids_of(h, what) * (is_in_state(what) ? h->states.n : 1);
    table->question_of[i] = PL_NEW_ARRAY(table->arena, uint32_t, n + 1);
    for (size_t k = 0; k < n; k++)
      table->question_of[i][k] = PL_NONE;
  }
}

static void ask_questions(struct pl_suspects *table) {
  const struct pl_harness *h = table->harness;

  no_questions_yet(table);
  for (pl_id s = 0; s < h->states.n; s++)
    ask_in_state(table, s);
  ask_fuses(table);
  for (pl_id id = 0; id < h->devices.n; id++) {
    const struct pl_device *d = &h->devices.at[id];
    if (has_inside(d))
      ask(table, PL_ASK_INSIDE, PL_NONE, id, reach_of(h, d->place) + PL_LIKELY(UNPLUG));
  }
  ask_wires(table);
  ask_links(table);
}

uint32_t
pl_suspects_question(const struct pl_suspects *table, enum pl_ask what, pl_id state, pl_id id) {
  const struct pl_harness *h = table->harness;

  if (id >= ids_of(h, what))
    return PL_NONE;
  if (is_in_state(what) && state >= h->states.n)
    return PL_NONE;
  return *question_at(table, what, state, id);
}

/* ---- weights ---- */

static double end_weight(const struct pl_harness *harness, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  bool open_air = pl_device_is(harness, p->device, PL_IS_NODE | PL_IS_STORE | PL_IS_STARTER);

  if (open_air && p->connector == PL_NONE)
    return PL_LIKELY(END_OPEN_AIR);
  return PL_LIKELY(END_CONNECTOR);
}

static double wire_weight(const struct pl_harness *harness, const struct pl_fault *fault) {
  const struct pl_wire *w = &harness->wires.at[fault->wire];
  double weight = PL_LIKELY(WIRE_RUN);
  double hot = 1;
  if (w->engine_space)
    hot = PL_LIKELY(ENGINE_SPACE);

  if (fault->kind == PL_FAULT_TO_CHASSIS)
    return PL_LIKELY(CHAFED) * hot;
  if (fault->kind == PL_FAULT_TO_BATTERY)
    return PL_LIKELY(CHAFED_LIVE) * hot;
  for (int i = 0; i < 2; i++)
    if (w->end[i] != PL_NONE)
      weight += end_weight(harness, w->end[i]);
  return weight * hot;
}

/* The row of its kind: how likely it is what is wrong when something is. */
static double usual_weight(enum pl_kind kind) {
  return pl_standard_likely[pl_kind_row(kind)->likely].value;
}

/* A relay that does not work has an open coil or does not pull in: half of its weight each. */
static double open_weight(enum pl_kind kind) {
  if (pl_kind_is(kind, PL_IS_RELAY))
    return usual_weight(kind) / 2;
  return usual_weight(kind);
}

static double device_weight(const struct pl_harness *harness, const struct pl_fault *fault) {
  const struct pl_device *d = &harness->devices.at[fault->device];
  bool sensing = pl_kind_is(d->kind, PL_IS_SENSING);

  switch (fault->kind) {
    case PL_FAULT_OPEN:
      return open_weight(d->kind);
    case PL_FAULT_SHORTED:
      return sensing ? usual_weight(d->kind) / 2 : PL_LIKELY(SHORTED);
    case PL_FAULT_RESISTANCE:
      return sensing ? usual_weight(d->kind) / 2 : open_weight(d->kind);
    case PL_FAULT_STUCK_IN:
      return PL_LIKELY(RELAY_WELDED);
    case PL_FAULT_STUCK_OUT:
      return PL_LIKELY(RELAY) / 2;
    case PL_FAULT_STUCK_POSITION:
      return PL_LIKELY(SWITCH) / (d->throws.n > 0 ? d->throws.n : 1);
    case PL_FAULT_STUCK_ON:
    case PL_FAULT_STUCK_OFF:
      return PL_LIKELY(OUTPUT);
    case PL_FAULT_TO_CHASSIS: /* of wires */
    case PL_FAULT_TO_BATTERY:
    case PL_FAULT_UNPLUGGED: /* suspects of their own: add_connector, add_device */
    case PL_FAULT_LOOSE:
    case PL_FAULT_DEAD:
      break;
  }
  return PL_LIKELY(OUTPUT);
}

static double weight_of(const struct pl_harness *harness, const struct pl_fault *fault) {
  if (fault->wire != PL_NONE)
    return wire_weight(harness, fault);
  if (fault->device != PL_NONE)
    return device_weight(harness, fault);
  return PL_LIKELY(JOINED);
}

/* ---- suspects ---- */

static const char *place_name(const struct pl_harness *harness, pl_id place) {
  if (place < harness->places.n)
    return harness->places.at[place].name;
  return "";
}

static const char *wire_where(const struct pl_suspects *table, pl_id wire) {
  const struct pl_harness *h = table->harness;
  const struct pl_wire *w = &h->wires.at[wire];
  const char *a = place_name(h, place_of(h, w->end[0]));
  const char *b = place_name(h, place_of(h, w->end[1]));

  if (a[0] == '\0')
    return b;
  if (strcmp(a, b) == 0)
    return b;
  if (b[0] == '\0')
    return a;
  return pl_arena_printf(table->arena, "%s to %s", a, b);
}

static void add_variants(struct pl_suspects *table,
                         struct pl_suspect suspect,
                         const double *shares,
                         uint32_t count) {
  suspect.first = table->variants.n;
  suspect.count = count;
  for (uint32_t i = 0; i < count; i++) {
    struct pl_variant variant = {.share = shares[i]};
    PL_PUSH(table->arena, &table->variants, variant);
  }
  PL_PUSH(table->arena, &table->suspects, suspect);
}

static void add(struct pl_suspects *table, struct pl_suspect suspect) {
  static const double all[] = {1};

  add_variants(table, suspect, all, 1);
}

/* A high resistance is the usual one, less, or more. */
static const double resistance_shares[] = {0.5, 0.25, 0.25};
static const struct pl_fault no_fault = {.wire = PL_NONE,
                                         .device = PL_NONE,
                                         .pin_a = PL_NONE,
                                         .pin_b = PL_NONE};

/* Where it is looked for. */
static const char *fault_where(const struct pl_suspects *table, const struct pl_fault *fault) {
  const struct pl_harness *h = table->harness;
  pl_id device = fault->device;

  if (fault->wire != PL_NONE)
    return wire_where(table, fault->wire);
  if (device == PL_NONE && fault->pin_a != PL_NONE)
    device = h->pins.at[fault->pin_a].device;
  if (device != PL_NONE)
    return place_name(h, h->devices.at[device].place);
  return "";
}

static void add_fault(struct pl_suspects *table, const struct pl_fault *fault) {
  struct pl_suspect suspect = {.kind = PL_SUSPECT_FAULT,
                               .fault = *fault,
                               .device = PL_NONE,
                               .connector = PL_NONE,
                               .text = pl_fault_text(table->harness, fault, table->arena),
                               .where = fault_where(table, fault),
                               .weight = weight_of(table->harness, fault)};

  if (fault->kind == PL_FAULT_RESISTANCE)
    add_variants(table, suspect, resistance_shares, 3);
  else
    add(table, suspect);
}

static void add_drifted(struct pl_suspects *table, pl_id id) {
  struct pl_fault fault = no_fault;

  if (!pl_kind_breaks(table->harness->devices.at[id].kind, PL_BREAKS_DRIFT))
    return;
  fault.kind = PL_FAULT_RESISTANCE;
  fault.device = id;
  fault.ohms = PL_LIKELY(DRIFTED);
  add_fault(table, &fault);
}

static const char *shared_text(const struct pl_suspects *table, const struct pl_suspect *suspect) {
  struct pl_fault fault = pl_suspects_shared(table->harness, suspect);

  return pl_fault_text(table->harness, &fault, table->arena);
}

static uint32_t wires_at(const struct pl_harness *h, pl_id first_pin, uint32_t count) {
  uint32_t wires = 0;

  for (uint32_t i = 0; i < count; i++)
    wires += h->pins.at[first_pin + i].wires.n;
  return wires;
}

static void add_device(struct pl_suspects *table, pl_id id) {
  const struct pl_harness *h = table->harness;
  const struct pl_device *d = &h->devices.at[id];
  struct pl_suspect suspect = {.fault = no_fault,
                               .device = id,
                               .connector = PL_NONE,
                               .where = place_name(h, d->place)};

  if (pl_kind_breaks(d->kind, PL_BREAKS_WEAK)) {
    suspect.kind = PL_SUSPECT_BATTERY;
    suspect.weight = usual_weight(d->kind);
    suspect.text = pl_arena_printf(table->arena, "battery %s weak", d->name);
    add(table, suspect);
    return;
  }
  if (pl_kind_breaks(d->kind, PL_BREAKS_DEAD)) {
    suspect.kind = PL_SUSPECT_MODULE;
    suspect.weight = usual_weight(d->kind);
  } else if (pl_kind_breaks(d->kind, PL_BREAKS_LOOSE) &&
             wires_at(h, d->first_pin, d->pin_count) >= 2) {
    suspect.kind = PL_SUSPECT_JOINT;
    suspect.weight = PL_LIKELY(JOINT);
  } else {
    return;
  }
  suspect.text = shared_text(table, &suspect);
  add(table, suspect);
}

/* Two wires twisted together that wore through on each other.  Each with the next of its twist. */
static bool is_twisted(const struct pl_wire *w) {
  return w->twist != NULL && w->twist[0] != '\0';
}

/* The next wire of the same twist; PL_NONE. */
static pl_id next_of_twist(const struct pl_harness *h, pl_id id) {
  const char *twist = h->wires.at[id].twist;

  for (pl_id other = id + 1; other < h->wires.n; other++)
    if (is_twisted(&h->wires.at[other]) && strcmp(h->wires.at[other].twist, twist) == 0)
      return other;
  return PL_NONE;
}

static bool can_chafe(const struct pl_wire *w) {
  return w->end[0] != PL_NONE && w->status != PL_WIRE_DONOR_REMOVED;
}

/* Two wires twisted together that wore through on each other.  Each with the next of its twist. */
static void add_twisted(struct pl_suspects *table, pl_id id) {
  const struct pl_harness *h = table->harness;
  const struct pl_wire *w = &h->wires.at[id];
  pl_id next = PL_NONE;
  if (is_twisted(w) && can_chafe(w))
    next = next_of_twist(h, id);

  if (next == PL_NONE)
    return;
  if (!can_chafe(&h->wires.at[next]))
    return;
  const struct pl_wire *other = &h->wires.at[next];
  struct pl_suspect suspect = {.kind = PL_SUSPECT_FAULT,
                               .fault = no_fault,
                               .device = PL_NONE,
                               .connector = PL_NONE,
                               .weight = PL_LIKELY(CHAFED_TOGETHER),
                               .where = wire_where(table, id)};
  suspect.fault.kind = PL_FAULT_SHORTED;
  suspect.fault.pin_a = w->end[0];
  suspect.fault.pin_b = other->end[0];
  suspect.fault.ohms = PL_DEFAULT(FAULT_CHAFED);
  suspect.text = pl_arena_printf(table->arena,
                                 "wires %s and %s chafed on each other",
                                 w->number,
                                 other->number);
  add(table, suspect);
}

/* The second half of an inline pair is the first once more. */
static void add_connector(struct pl_suspects *table, pl_id id) {
  const struct pl_harness *h = table->harness;
  const struct pl_connector *c = &h->connectors.at[id];
  const struct pl_device *d = &h->devices.at[c->device];
  struct pl_suspect suspect = {.kind = PL_SUSPECT_UNPLUGGED,
                               .fault = no_fault,
                               .device = c->device,
                               .connector = id,
                               .weight = PL_LIKELY(UNPLUGGED),
                               .where = place_name(h, d->place)};

  if (pl_kind_is(d->kind, PL_IS_INLINE) && id != d->first_connector)
    return;
  if (wires_at(h, c->first_pin, c->pin_count) < 2)
    return;
  suspect.text = shared_text(table, &suspect);
  add(table, suspect);
}

void pl_suspects_list(const struct pl_harness *harness,
                      struct pl_arena *arena,
                      struct pl_suspects *table) {
  pl_faults faults;

  *table = (struct pl_suspects){.arena = arena,
                                .harness = harness,
                                .digest = harness->digest == NULL ? "" : harness->digest};
  table->volt = 0.01;
  ask_questions(table);
  pl_faults_list(harness, arena, &faults);
  for (uint32_t i = 0; i < faults.n; i++)
    add_fault(table, &faults.at[i]);
  for (pl_id id = 0; id < harness->devices.n; id++)
    add_drifted(table, id);
  for (pl_id id = 0; id < harness->devices.n; id++)
    add_device(table, id);
  for (pl_id id = 0; id < harness->connectors.n; id++)
    add_connector(table, id);
  for (pl_id id = 0; id < harness->wires.n; id++)
    add_twisted(table, id);
}
