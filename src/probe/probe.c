/* Where a pin goes and what to read there.
 *
 * The trace goes from pin to pin along wires and through what only passes current on, depth first
 * in the order of the text, each wire once.  Behind a fuse it goes on towards the source only: pins
 * know how many hops they are from a battery (one sweep breadth first).  It keeps its own stack, so
 * that a long chain of splices cannot exhaust the machine's.  Cost: wires and contacts, each
 * looked at twice at most. */
#include "probe/probe.h"

#include <math.h>
#include <string.h>

#include "base/number.h"

/* ---- tracing ---- */

enum {
  ANY_THROW = -1
};

struct step {
  struct pl_hop hop;
  int64_t group; /* which position's contacts brought us here; ANY_THROW = a wire did */
  bool upward; /* behind a fuse on its supply side: from here only towards the source, or the whole
                  machine would be listed */
};

struct trace {
  const struct pl_harness *harness;
  struct pl_arena *arena;
  bool *wire_seen, *pin_seen;
  uint32_t *far; /* by pin: hops from the nearest battery's plus; FAR where none leads */
  PL_VEC(struct step) stack, onward;
};

#define FAR UINT32_MAX

static void push_wires(struct trace *trace, pl_id pin) {
  const struct pl_pin *p = &trace->harness->pins.at[pin];

  for (uint32_t i = 0; i < p->wires.n; i++) {
    pl_id wire = p->wires.at[i];
    const struct pl_wire *w = &trace->harness->wires.at[wire];
    if (trace->wire_seen[wire])
      continue;
    if (w->status == PL_WIRE_DONOR_REMOVED)
      continue;
    struct pl_hop hop = {.wire = wire,
                         .device = PL_NONE,
                         .from = pin,
                         .to = pl_wire_other_end(w, pin)};
    struct step step = {.hop = hop, .group = ANY_THROW};
    PL_PUSH(trace->arena, &trace->onward, step);
  }
}

static bool is_planned(const struct trace *trace, pl_id to) {
  for (uint32_t i = 0; i < trace->onward.n; i++) {
    const struct pl_hop *hop = &trace->onward.at[i].hop;
    if (hop->wire == PL_NONE && hop->to == to)
      return true;
  }
  return false;
}

/* The other end of a contact; PL_NONE: it does not touch the pin. */
static pl_id across(const struct pl_join *join, pl_id pin) {
  if (join->a == pin)
    return join->b;
  if (join->b == pin)
    return join->a;
  return PL_NONE;
}

/* Contacts from `pin`; `came` says which position we are in already. */
static void
push_joins(struct trace *trace, pl_id pin, const pl_joins *joins, int64_t group, int64_t came) {
  pl_id device = trace->harness->pins.at[pin].device;

  if (came != ANY_THROW && came != group)
    return; /* A to B in one position, B to C in another: never A to C */
  for (uint32_t j = 0; j < joins->n; j++) {
    pl_id to = across(&joins->at[j], pin);
    if (to == PL_NONE)
      continue;
    if (trace->pin_seen[to])
      continue;
    if (is_planned(trace, to))
      continue;
    struct step step = {.hop = {.wire = PL_NONE, .device = device, .from = pin, .to = to},
                        .group = group};
    PL_PUSH(trace->arena, &trace->onward, step);
  }
}

static void push_pair(struct trace *trace, pl_id pin, pl_id a, pl_id b) {
  struct pl_join join = {a, b};
  pl_joins joins = {&join, 1, 1};

  push_joins(trace, pin, &joins, 0, ANY_THROW);
}

/* Two ends joined as long as nothing is wrong. */
static bool is_passed_through(const struct pl_device *d) {
  if (pl_kind_is(d->kind, PL_IS_DISCONNECT))
    return d->throws.n == 0;
  if (pl_kind_is(d->kind, PL_IS_PROTECTION | PL_IS_ONE_WAY))
    return true;
  return pl_kind_is_but(d->kind, PL_IS_RESISTANCE, PL_IS_TERMINATOR);
}

/* On through a device that only passes current on; sources, loads, modules and the like are where a
 * trace ends. */
static void push_inside(struct trace *trace, pl_id pin, int64_t came) {
  const struct pl_harness *h = trace->harness;
  const struct pl_device *d = &h->devices.at[h->pins.at[pin].device];

  if (is_passed_through(d) && d->pin_count == 2)
    push_pair(trace, pin, d->first_pin, d->first_pin + 1);
  if (pl_kind_is(d->kind, PL_IS_BOND) && d->body < h->devices.n) {
    const struct pl_device *body = &h->devices.at[d->body];
    if (body->pin_count > 0)
      push_pair(trace, pin, d->first_pin, body->first_pin);
  }
  for (uint32_t t = 0; t < d->throws.n; t++)
    push_joins(trace, pin, &d->throws.at[t].joins, 1 + (int64_t)t, came);
  push_joins(trace, pin, &d->make, -2, came);
  push_joins(trace, pin, &d->brk, -3, came);
  push_joins(trace, pin, &d->fixed, -4, came);
}

/* Where the wires at a pin are not followed on: everything on the machine hangs there. */
static bool is_common(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_STORE | PL_IS_GROUND);
}

static uint32_t far_of(const struct trace *trace, pl_id pin) {
  if (pin < trace->harness->pins.n)
    return trace->far[pin];
  return FAR;
}

/* What leads on from a pin into `onward`, in the order of the text. */
static void look_around(struct trace *trace, pl_id pin, int64_t came, bool start) {
  const struct pl_harness *h = trace->harness;
  enum pl_kind kind = h->devices.at[h->pins.at[pin].device].kind;
  bool chassis = pl_kind_is_but(kind, PL_IS_GROUND, PL_IS_BOND);

  trace->onward.n = 0;
  trace->pin_seen[pin] = true;
  if (start || !is_common(kind))
    push_wires(trace, pin);
  if (start || !chassis)
    push_inside(trace, pin, came);
}

static bool is_towards_source(const struct trace *trace, const struct pl_hop *hop) {
  return far_of(trace, hop->to) < far_of(trace, hop->from);
}

/* What leads on from the pin, last first onto the stack, so that it is walked in order. */
static void keep_towards_source(struct trace *trace) {
  uint32_t kept = 0;

  for (uint32_t i = 0; i < trace->onward.n; i++)
    if (is_towards_source(trace, &trace->onward.at[i].hop))
      trace->onward.at[kept++] = trace->onward.at[i];
  trace->onward.n = kept;
}

/* Through a fuse to its supply side. */
static bool passes_fuse_upward(const struct trace *trace, const struct pl_hop *hop) {
  if (hop->device == PL_NONE)
    return false;
  if (!pl_device_is(trace->harness, hop->device, PL_IS_PROTECTION))
    return false;
  return is_towards_source(trace, hop);
}

/* What leads on from the pin, last first onto the stack, so that it is walked in order. */
static void go_on(struct trace *trace, pl_id pin, const struct step *from) {
  uint32_t depth = 0;
  if (from != NULL)
    depth = from->hop.depth;
  bool upward = from != NULL && from->upward;

  look_around(trace, pin, from == NULL ? ANY_THROW : from->group, from == NULL);
  if (upward)
    keep_towards_source(trace);
  if (from != NULL && trace->onward.n > 1)
    depth++;
  for (uint32_t i = trace->onward.n; i-- > 0;) {
    struct step step = trace->onward.at[i];
    step.hop.depth = depth;
    step.upward = upward || passes_fuse_upward(trace, &step.hop);
    PL_PUSH(trace->arena, &trace->stack, step);
  }
}

/* Hops from the batteries' plus posts to every pin, breadth first, through contacts in any
 * position. */
static void measure(struct trace *trace) {
  const struct pl_harness *h = trace->harness;
  PL_VEC(pl_id) queue = {0};

  trace->far = PL_NEW_ARRAY(trace->arena, uint32_t, h->pins.n);
  for (pl_id i = 0; i < h->pins.n; i++)
    trace->far[i] = FAR;
  for (pl_id i = 0; i < h->devices.n; i++) {
    pl_id plus = h->devices.at[i].plus;
    if (!pl_device_is(h, i, PL_IS_STORE))
      continue;
    if (plus >= h->pins.n)
      continue;
    trace->far[plus] = 0;
    PL_PUSH(trace->arena, &queue, plus);
  }
  for (uint32_t k = 0; k < queue.n; k++) {
    pl_id pin = queue.at[k];
    look_around(trace, pin, ANY_THROW, trace->far[pin] == 0);
    for (uint32_t i = 0; i < trace->onward.n; i++) {
      pl_id to = trace->onward.at[i].hop.to;
      if (to >= h->pins.n)
        continue;
      if (trace->far[to] != FAR)
        continue;
      trace->far[to] = trace->far[pin] + 1;
      PL_PUSH(trace->arena, &queue, to);
    }
  }
  memset(trace->pin_seen, 0, h->pins.n * sizeof *trace->pin_seen);
}

static bool is_reached(const struct trace *trace, const struct pl_hop *hop) {
  if (hop->wire != PL_NONE)
    return trace->wire_seen[hop->wire];
  return trace->pin_seen[hop->to];
}

void pl_probe_trace(const struct pl_harness *harness,
                    pl_id pin,
                    struct pl_arena *arena,
                    pl_hops *hops) {
  struct trace trace = {.harness = harness, .arena = arena};

  if (pin >= harness->pins.n)
    return;
  trace.wire_seen = PL_NEW_ARRAY(arena, bool, harness->wires.n);
  trace.pin_seen = PL_NEW_ARRAY(arena, bool, harness->pins.n);
  measure(&trace);
  go_on(&trace, pin, NULL);
  while (trace.stack.n > 0) {
    struct step step = trace.stack.at[--trace.stack.n];
    const struct pl_hop *hop = &step.hop;
    if (is_reached(&trace, hop))
      continue; /* another way meanwhile */
    if (hop->wire != PL_NONE)
      trace.wire_seen[hop->wire] = true;
    PL_PUSH(arena, hops, *hop);
    if (hop->to < harness->pins.n && !trace.pin_seen[hop->to])
      go_on(&trace, hop->to, &step);
  }
}

/* ---- readings and ends ---- */

/* Volts are told to a tenth, small ones to a hundredth. */
static int places_of(double volts) {
  return fabs(volts) < 0.995 ? 2 : 1;
}

const char *
pl_probe_reading(const struct pl_solution *solution, pl_id pin, struct pl_arena *arena) {
  char text[PL_NUMBER_SIZE];

  if (solution->status == PL_SOLVE_CYCLE)
    return "not known";
  if (solution->status == PL_SOLVE_FAILED)
    return "not known";
  double volts = solution->pin_volts[pin];
  if (isnan(volts))
    return "open";
  if (fabs(volts) < 0.005)
    return "0 V";
  return pl_arena_printf(arena, "%s V", pl_number_fixed(text, volts, places_of(volts)));
}

static bool shows_no_volts(struct pl_band band) {
  return fmax(fabs(band.low), fabs(band.high)) < 0.005;
}

const char *pl_probe_reading_band(const struct pl_harness *harness,
                                  const struct pl_solution *solution,
                                  pl_id pin,
                                  struct pl_band band,
                                  struct pl_arena *arena) {
  const char *figure = pl_probe_reading(solution, pin, arena);
  const char *moves = "";
  char low[PL_NUMBER_SIZE], high[PL_NUMBER_SIZE];
  int places = places_of(solution->pin_volts[pin]);

  if (isnan(band.low))
    return figure;
  if (isnan(band.high))
    return figure;
  if (shows_no_volts(band) && band.moves == PL_NONE)
    return figure;
  if (band.moves != PL_NONE)
    moves = pl_arena_printf(arena,
                            "; other volts if %s changes over",
                            harness->devices.at[band.moves].name);
  return pl_arena_printf(arena,
                         "%s (%s to %s V%s)",
                         figure,
                         pl_number_fixed(low, band.low, places),
                         pl_number_fixed(high, band.high, places),
                         moves);
}

const char *pl_probe_far_end(const struct pl_harness *harness, pl_id wire, pl_id pin) {
  const struct pl_wire *w = &harness->wires.at[wire];
  pl_id end = pl_wire_other_end(w, pin);

  if (w->status == PL_WIRE_DONOR_REMOVED)
    return "removed";
  if (end < harness->pins.n)
    return harness->pins.at[end].full;
  return w->status == PL_WIRE_DONOR_CAPPED ? "capped" : "in the air";
}
