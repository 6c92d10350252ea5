/* What a kind of device brings by itself: its pins, and the figures it takes where the text is
 * silent.  Every default used is noted with its source. */
#include <string.h>

#include "model/draft_inner.h"
#include "model/facts.h"
#include "standard/defaults.h"
#include "standard/limits_data.h"

void pl_draft_begin(struct pl_draft *draft) {
  const char *names = pl_kind_row(draft->device.kind)->pins;
  if (pl_kind_is(draft->device.kind, PL_IS_NODE)) {
    pl_draft_pin(draft, "", true, draft->device.span);
    return;
  }
  while (*names != '\0') {
    size_t n = strcspn(names, " ");
    pl_draft_pin(draft,
                 pl_arena_strndup(draft->builder->arena, names, n),
                 true,
                 draft->device.span);
    names += n + (names[n] == ' ');
  }
}

static pl_id pin(struct pl_draft *draft, const char *name) {
  return pl_draft_pin(draft, name, false, draft->device.span);
}

static void role(struct pl_draft *draft, pl_id id, enum pl_role value) {
  if (id != PL_NONE && draft->pins.at[id].pin.role == PL_ROLE_PASSIVE)
    draft->pins.at[id].pin.role = value;
}

static void note_default(struct pl_draft *draft,
                         double *field,
                         double value,
                         const char *what,
                         const char *unit,
                         const char *source) {
  if (!isnan(*field))
    return;
  *field = value;
  pl_builder_default(draft->builder,
                     pl_arena_printf(draft->builder->arena,
                                     "%s of %s %s",
                                     what,
                                     pl_kind_name(draft->device.kind),
                                     draft->device.name),
                     pl_builder_quantity(draft->builder, value, unit),
                     source);
}

/* What facts.def says of the figures that this kind has and the text is silent about. */
static void take_defaults(struct pl_draft *draft) {
  struct pl_device *device = &draft->device;
  for (uint32_t i = 0; i < pl_fact_default_count; i++) {
    const struct pl_fact_default *row = &pl_fact_defaults[i];
    if (!pl_fits(&row->fits, device->kind))
      continue;
    double *field = (double *)(void *)((char *)device + row->field);
    if (field == &device->signal_share && device->plus == PL_NONE)
      continue; /* a sensor of two wires gives ohms, no share of a supply */
    note_default(draft,
                 field,
                 pl_fact_default_value(row, device->volts),
                 row->what,
                 row->unit,
                 pl_standard_defaults[row->id].source);
  }
}

void pl_draft_wrong(struct pl_draft *draft,
                    struct pl_cursor *cursor,
                    const char *what,
                    const char *remedy) {
  cursor->failed = false;
  pl_cursor_error(cursor,
                  &cursor->tree->words.at[cursor->line->first],
                  pl_arena_printf(draft->builder->arena,
                                  "%s %s %s",
                                  pl_kind_name(draft->device.kind),
                                  draft->device.name,
                                  what),
                  remedy);
}

static void
missing(struct pl_draft *draft, struct pl_cursor *cursor, const char *what, const char *remedy) {
  pl_draft_wrong(draft,
                 cursor,
                 pl_arena_printf(draft->builder->arena, "does not say %s", what),
                 remedy);
}

static void finish_source(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  if (pl_kind_is(d->kind, PL_IS_STORE)) {
    d->plus = pin(draft, "+");
    d->minus = pin(draft, "-");
    take_defaults(draft);
    if (isnan(d->ohms) && isnan(d->cca)) {
      missing(draft, cursor, "how strong it is", "add a line: cca 900 A");
      return;
    }
    if (isnan(d->ohms))
      d->ohms = pl_battery_ohms(d->volts, d->cca);
  } else {
    d->plus = pin(draft, "B+");
    d->minus = pin(draft, "B-");
    take_defaults(draft);
    if (isnan(d->idle_amps))
      missing(draft,
              cursor,
              "what it can give",
              "add a line: output 40..110 A (at idle .. at speed)");
  }
  role(draft, d->plus, PL_ROLE_PLUS);
  role(draft, d->minus, PL_ROLE_MINUS);
}

static void finish_coil(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  struct pl_join make = {pin(draft, "30"), pin(draft, "87")};
  struct pl_join rest = {pin(draft, "30"), pin(draft, "87a")};
  if (pl_kind_is(d->kind, PL_IS_STARTER)) {
    d->coil_a = pin(draft, "50");
    d->coil_b = d->minus = pin(draft, "31");
    d->plus = pin(draft, "30");
    if (isnan(d->crank_amps))
      missing(draft, cursor, "what it draws", "add a line: cranks 400 A at 9 V");
  } else {
    d->coil_a = pin(draft, "86");
    d->coil_b = pin(draft, "85");
    PL_PUSH(draft->builder->arena, &d->make, make);
    if (d->latching && d->reset_a == PL_NONE)
      missing(draft, cursor, "where its second coil is", "add a line: reset coil 88 to 85");
    if (!d->latching && d->reset_a != PL_NONE)
      pl_draft_wrong(draft,
                     cursor,
                     "has a coil that resets it, but does not stay set by itself",
                     "add a line: latching");
    if (rest.b != PL_NONE)
      PL_PUSH(draft->builder->arena, &d->brk, rest);
  }
  take_defaults(draft);
  if (d->drop_out >= d->pull_in)
    pl_draft_wrong(draft,
                   cursor,
                   "lets go at no less volts than it pulls in at",
                   "give it a `drops out` below its `pulls in`");
}

static void finish_protection(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  if (isnan(d->rating)) {
    missing(draft, cursor, "its rating", "add a line: rating 15 A");
    return;
  }
  if (d->family[0] == '\0')
    d->family = pl_kind_is(d->kind, PL_HAS_FAMILY) ? "blade" : pl_kind_name(d->kind);
  if (pl_kind_is(d->kind, PL_HAS_FAMILY) && !pl_fuse_family_known(d->family)) {
    struct pl_nearest nearest;
    pl_nearest_init(&nearest, d->family);
    for (uint32_t i = 0; i < pl_fuse_count; i++)
      pl_nearest_offer(&nearest, pl_fuses[i].family);
    pl_draft_wrong(draft,
                   cursor,
                   pl_arena_printf(draft->builder->arena,
                                   "is of the family `%s`, which is not known",
                                   d->family),
                   nearest.best != NULL
                       ? pl_builder_mean(draft->builder, &nearest)
                       : "known are: mini blade, blade, maxi blade, bolt-down, glass");
    return;
  }
  double ohms = NAN;
  if (pl_kind_is(d->kind, PL_HAS_FAMILY))
    ohms = pl_fuse_ohms(d->family, d->rating);
  if (isnan(ohms))
    ohms = 0.1 / d->rating;
  note_default(draft,
               &d->ohms,
               ohms,
               "resistance",
               "ohm",
               pl_kind_is(d->kind, PL_HAS_FAMILY) ? "cold resistance of its family"
                                                  : "100 mV at its rating, common practice");
}

/* Without positions of its own it gives plus when something is near. */
static void begin_proximity(struct pl_draft *draft) {
  struct pl_device *d = &draft->device;
  d->plus = pin(draft, "+");
  d->minus = pin(draft, "-");
  d->signal = pin(draft, "out");
  role(draft, d->plus, PL_ROLE_PLUS);
  role(draft, d->minus, PL_ROLE_MINUS);
  if (d->throws.n > 0)
    return;
  struct pl_throw away = {.name = "away"};
  struct pl_throw near = {.name = "near"};
  struct pl_join join = {d->plus, d->signal};
  PL_PUSH(draft->builder->arena, &near.joins, join);
  PL_PUSH(draft->builder->arena, &d->throws, away);
  PL_PUSH(draft->builder->arena, &d->throws, near);
}

static void finish_switch(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  if (pl_kind_is(d->kind, PL_IS_DISCONNECT) && d->throws.n == 0) {
    struct pl_throw closed = {.name = "closed"};
    struct pl_throw open = {.name = "open"};
    struct pl_join join = {pin(draft, "in"), pin(draft, "out")};
    PL_PUSH(draft->builder->arena, &closed.joins, join);
    PL_PUSH(draft->builder->arena, &d->throws, closed);
    PL_PUSH(draft->builder->arena, &d->throws, open);
  }
  take_defaults(draft);
  if (d->throws.n == 0) {
    missing(draft, cursor, "its positions", "add lines: position off, and: position on: in to out");
    return;
  }
  pl_draft_finish_measure(draft, cursor);
  if (draft->rests == NULL)
    return;
  for (uint32_t i = 0; i < d->throws.n; i++)
    if (strcmp(d->throws.at[i].name, draft->rests) == 0) {
      d->rest = i;
      return;
    }
  pl_findings_error(
      draft->builder->findings,
      draft->rests_span,
      pl_arena_printf(draft->builder->arena, "%s has no position `%s`", d->name, draft->rests),
      "it rests in one of its positions");
  cursor->failed = true;
}

static void finish_load(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  d->plus = pin(draft, "+");
  d->minus = pin(draft, "-");
  role(draft, d->plus, PL_ROLE_PLUS);
  role(draft, d->minus, PL_ROLE_MINUS);
  bool motor = pl_kind_is(d->kind, PL_IS_MOTOR);
  enum pl_load_law law = PL_LAW_RESISTANCE;
  if (draft->law != PL_LAW_RESISTANCE)
    law = draft->law;
  else if (motor)
    law = PL_LAW_CURRENT;
  if (isnan(d->load_amps) && isnan(d->ohms)) {
    missing(draft, cursor, "what it draws", "add a line: draws 40 W at 12 V, or draws 3 A");
    return;
  }
  if (isnan(d->load_volts))
    d->load_volts = d->volts;
  if (!isnan(d->ohms))
    d->load_amps = d->load_volts / d->ohms;
  if (!(d->load_amps > 0.0)) {
    missing(draft, cursor, "a current above zero", "add a line: draws 3 A");
    return;
  }
  if (isnan(d->ohms))
    d->law = law;
  else
    d->law = PL_LAW_RESISTANCE;
}

static void finish_sensor(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  bool gauge = pl_kind_is(d->kind, PL_IS_GAUGE);
  bool sender = pl_kind_row(d->kind)->elements == PL_ELEMENTS_SENDER;
  const char *minus = "return";
  if (gauge)
    minus = "-";
  else if (sender)
    minus = "case";
  d->signal = pin(draft, gauge ? "S" : "signal");
  d->minus = pin(draft, minus);
  d->plus = pin(draft, gauge ? "+" : "supply");
  pl_draft_finish_measure(draft, cursor);
  double middle =
      pl_device_reading(d, pl_device_middle(d)); /* what it has where no state says more */
  if (!gauge && isfinite(middle)) {
    double *figure = draft->shares ? &d->signal_share : &d->ohms;
    if (isnan(*figure))
      *figure = middle;
  }
  take_defaults(draft);
}

static void join_halves(struct pl_draft *draft) {
  uint32_t half = draft->pins.n / 2;
  for (uint32_t i = 0; i < half; i++) {
    struct pl_join join = {i, i + half};
    PL_PUSH(draft->builder->arena, &draft->device.fixed, join);
  }
}

static void finish_plug(struct pl_draft *draft, struct pl_cursor *cursor) {
  bool halves = pl_kind_is(draft->device.kind, PL_IS_INLINE);
  if (draft->connectors.n == 0)
    missing(draft,
            cursor,
            "how many cavities it has",
            halves ? "add a line: cavities 12, 2 rows, sealed"
                   : "add a line: cavities 9, round, named A B C D E F G H J");
  take_defaults(draft);
  if (halves)
    join_halves(draft);
}

void pl_draft_finish(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  if (isnan(d->volts))
    d->volts = draft->builder->harness->machine.volts;
  switch (pl_kind_row(d->kind)->elements) {
    case PL_ELEMENTS_BATTERY:
    case PL_ELEMENTS_ALTERNATOR:
      finish_source(draft, cursor);
      break;
    case PL_ELEMENTS_STARTER:
    case PL_ELEMENTS_RELAY:
      finish_coil(draft, cursor);
      break;
    case PL_ELEMENTS_FUSE:
      finish_protection(draft, cursor);
      break;
    case PL_ELEMENTS_PROXIMITY:
      begin_proximity(draft);
      finish_switch(draft, cursor);
      break;
    case PL_ELEMENTS_SWITCH:
      finish_switch(draft, cursor);
      break;
    case PL_ELEMENTS_SENSOR:
    case PL_ELEMENTS_SENDER:
    case PL_ELEMENTS_GAUGE:
      finish_sensor(draft, cursor);
      break;
    case PL_ELEMENTS_LOAD:
      finish_load(draft, cursor);
      break;
    case PL_ELEMENTS_RESISTOR:
      take_defaults(draft);
      if (isnan(d->ohms))
        missing(draft, cursor, "its resistance", "add a line: resistance 150 ohm");
      break;
    case PL_ELEMENTS_BOND:
      take_defaults(draft);
      if (draft->fixups.n == 0)
        missing(draft, cursor, "which chassis it is bonded to", "add a line: to FRAME");
      break;
    case PL_ELEMENTS_PLUG:
      finish_plug(draft, cursor);
      break;
    case PL_ELEMENTS_DIODE:
    case PL_ELEMENTS_MODULE:
    case PL_ELEMENTS_NONE:
      take_defaults(draft);
      break;
  }
}
