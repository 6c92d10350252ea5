/* What a kind of device brings by itself: its pins, and the figures it takes where the text is
 * silent.  Every default used is noted with its source. */
#include <string.h>

#include "model/draft.h"
#include "standard/defaults.h"
#include "standard/limits_data.h"

static const char *const pins_of[PL_KIND_COUNT] = {[PL_KIND_BATTERY] = "+ -",
                                                   [PL_KIND_ALTERNATOR] = "B+ D+ W B-",
                                                   [PL_KIND_STARTER] = "30 50 31",
                                                   [PL_KIND_FUSE] = "in out",
                                                   [PL_KIND_BREAKER] = "in out",
                                                   [PL_KIND_FUSIBLE_LINK] = "in out",
                                                   [PL_KIND_DISCONNECT] = "in out",
                                                   [PL_KIND_RELAY] = "30 85 86 87",
                                                   [PL_KIND_LAMP] = "+ -",
                                                   [PL_KIND_MOTOR] = "+ -",
                                                   [PL_KIND_PUMP] = "+ -",
                                                   [PL_KIND_FAN] = "+ -",
                                                   [PL_KIND_SOLENOID] = "+ -",
                                                   [PL_KIND_HEATER] = "+ -",
                                                   [PL_KIND_HORN] = "+ -",
                                                   [PL_KIND_BUZZER] = "+ -",
                                                   [PL_KIND_LOAD] = "+ -",
                                                   [PL_KIND_SENSOR] = "signal return",
                                                   [PL_KIND_SENDER] = "signal case",
                                                   [PL_KIND_GAUGE] = "+ - S",
                                                   [PL_KIND_DIODE] = "A K",
                                                   [PL_KIND_RESISTOR] = "1 2",
                                                   [PL_KIND_TERMINATOR] = "1 2",
                                                   [PL_KIND_STUD] = "",
                                                   [PL_KIND_SPLICE] = "",
                                                   [PL_KIND_CHASSIS] = "",
                                                   [PL_KIND_BOND] = ""};

void pl_draft_begin(struct pl_draft *draft) {
  const char *names = pins_of[draft->device.kind];
  if (names == NULL)
    return;
  if (names[0] == '\0') {
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

/* A default of the table, scaled to the device's volts by `scale`. */
static void take_default(struct pl_draft *draft,
                         double *field,
                         enum pl_standard_default_id id,
                         double scale,
                         const char *what,
                         const char *unit) {
  note_default(draft,
               field,
               pl_standard_defaults[id].value * scale,
               what,
               unit,
               pl_standard_defaults[id].source);
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
  if (d->kind == PL_KIND_BATTERY) {
    d->plus = pin(draft, "+");
    d->minus = pin(draft, "-");
    take_default(draft, &d->emf, PL_DEFAULT_EMF, d->volts, "open-circuit volts", "V");
    if (isnan(d->ohms) && isnan(d->cca)) {
      missing(draft, cursor, "how strong it is", "add a line: cca 900 A");
      return;
    }
    if (isnan(d->ohms))
      d->ohms = pl_battery_ohms(d->volts, d->cca);
  } else {
    d->plus = pin(draft, "B+");
    d->minus = pin(draft, "B-");
    take_default(draft, &d->set_volts, PL_DEFAULT_ALTERNATOR_SET, d->volts, "set volts", "V");
    take_default(draft, &d->ohms, PL_DEFAULT_ALTERNATOR, 1.0, "inner resistance", "ohm");
    take_default(draft, &d->exciter_ohms, PL_DEFAULT_EXCITER, 1.0, "exciter resistance", "ohm");
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
  double square = (d->volts / 12.0) * (d->volts / 12.0);
  struct pl_join make = {pin(draft, "30"), pin(draft, "87")};
  struct pl_join rest = {pin(draft, "30"), pin(draft, "87a")};
  if (d->kind == PL_KIND_STARTER) {
    d->coil_a = pin(draft, "50");
    d->coil_b = d->minus = pin(draft, "31");
    d->plus = pin(draft, "30");
    take_default(draft, &d->coil_ohms, PL_DEFAULT_STARTER_COIL, square, "coil resistance", "ohm");
    take_default(draft, &d->pull_in, PL_DEFAULT_STARTER_IN, d->volts, "pull-in volts", "V");
    take_default(draft, &d->drop_out, PL_DEFAULT_STARTER_OUT, d->volts, "drop-out volts", "V");
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
    take_default(draft, &d->coil_ohms, PL_DEFAULT_RELAY_COIL, square, "coil resistance", "ohm");
    take_default(draft, &d->pull_in, PL_DEFAULT_RELAY_IN, d->volts, "pull-in volts", "V");
    take_default(draft, &d->drop_out, PL_DEFAULT_RELAY_OUT, d->volts, "drop-out volts", "V");
    take_default(draft, &d->ohms, PL_DEFAULT_RELAY, 1.0, "contact resistance", "ohm");
  }
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
    d->family = d->kind == PL_KIND_FUSE ? "blade" : pl_kind_name(d->kind);
  if (d->kind == PL_KIND_FUSE && !pl_fuse_family_known(d->family)) {
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
  double ohms = d->kind == PL_KIND_FUSE ? pl_fuse_ohms(d->family, d->rating) : NAN;
  if (isnan(ohms))
    ohms = 0.1 / d->rating;
  note_default(draft,
               &d->ohms,
               ohms,
               "resistance",
               "ohm",
               d->kind == PL_KIND_FUSE ? "cold resistance of its family"
                                       : "100 mV at its rating, common practice");
}

static void finish_switch(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  bool disconnect = d->kind == PL_KIND_DISCONNECT;
  if (disconnect && d->throws.n == 0) {
    struct pl_throw closed = {.name = "closed"};
    struct pl_throw open = {.name = "open"};
    struct pl_join join = {pin(draft, "in"), pin(draft, "out")};
    PL_PUSH(draft->builder->arena, &closed.joins, join);
    PL_PUSH(draft->builder->arena, &d->throws, closed);
    PL_PUSH(draft->builder->arena, &d->throws, open);
  }
  take_default(draft,
               &d->ohms,
               disconnect ? PL_DEFAULT_DISCONNECT : PL_DEFAULT_SWITCH,
               1.0,
               "contact resistance",
               "ohm");
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
  bool motor = d->kind == PL_KIND_MOTOR || d->kind == PL_KIND_PUMP || d->kind == PL_KIND_FAN;
  enum pl_load_law law = draft->law != PL_LAW_RESISTANCE ? draft->law
                         : motor                         ? PL_LAW_CURRENT
                                                         : PL_LAW_RESISTANCE;
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
  d->law = isnan(d->ohms) ? law : PL_LAW_RESISTANCE;
}

static void finish_sensor(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  d->signal = pin(draft, d->kind == PL_KIND_GAUGE ? "S" : "signal");
  d->minus = pin(draft,
                 d->kind == PL_KIND_GAUGE    ? "-"
                 : d->kind == PL_KIND_SENDER ? "case"
                                             : "return");
  d->plus = pin(draft, d->kind == PL_KIND_GAUGE ? "+" : "supply");
  pl_draft_finish_measure(draft, cursor);
  double middle =
      pl_device_reading(d, pl_device_middle(d)); /* what it has where no state says more */
  if (d->kind != PL_KIND_GAUGE && isfinite(middle)) {
    double *figure = draft->shares ? &d->signal_share : &d->ohms;
    if (isnan(*figure))
      *figure = middle;
  }
  take_default(draft,
               &d->ohms,
               d->kind == PL_KIND_GAUGE    ? PL_DEFAULT_GAUGE
               : d->kind == PL_KIND_SENDER ? PL_DEFAULT_SENDER
                                           : PL_DEFAULT_SENSOR,
               1.0,
               "resistance",
               "ohm");
  if (d->kind == PL_KIND_SENSOR && d->plus != PL_NONE)
    take_default(draft, &d->signal_share, PL_DEFAULT_SENSOR_SHARE, 1.0, "signal", "of its supply");
}

static void join_halves(struct pl_draft *draft) {
  uint32_t half = draft->pins.n / 2;
  for (uint32_t i = 0; i < half; i++) {
    struct pl_join join = {i, i + half};
    PL_PUSH(draft->builder->arena, &draft->device.fixed, join);
  }
}

void pl_draft_finish(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  if (isnan(d->volts))
    d->volts = draft->builder->harness->machine.volts;
  switch (d->kind) {
    case PL_KIND_BATTERY:
    case PL_KIND_ALTERNATOR:
      finish_source(draft, cursor);
      break;
    case PL_KIND_STARTER:
    case PL_KIND_RELAY:
      finish_coil(draft, cursor);
      break;
    case PL_KIND_FUSE:
    case PL_KIND_BREAKER:
    case PL_KIND_FUSIBLE_LINK:
      finish_protection(draft, cursor);
      break;
    case PL_KIND_SWITCH:
    case PL_KIND_DISCONNECT:
      finish_switch(draft, cursor);
      break;
    case PL_KIND_SENSOR:
    case PL_KIND_SENDER:
    case PL_KIND_GAUGE:
      finish_sensor(draft, cursor);
      break;
    case PL_KIND_DIODE:
      take_default(draft, &d->drop, PL_DEFAULT_DIODE_DROP, 1.0, "forward drop", "V");
      break;
    case PL_KIND_RESISTOR:
      if (isnan(d->ohms))
        missing(draft, cursor, "its resistance", "add a line: resistance 150 ohm");
      break;
    case PL_KIND_TERMINATOR:
      take_default(draft, &d->ohms, PL_DEFAULT_TERMINATOR, 1.0, "resistance", "ohm");
      break;
    case PL_KIND_BOND:
      take_default(draft, &d->ohms, PL_DEFAULT_BOND, 1.0, "resistance", "ohm");
      if (draft->fixups.n == 0)
        missing(draft, cursor, "which chassis it is bonded to", "add a line: to FRAME");
      break;
    case PL_KIND_INLINE:
      if (draft->connectors.n == 0)
        missing(draft,
                cursor,
                "how many cavities it has",
                "add a line: cavities 12, 2 rows, sealed");
      take_default(draft, &d->ohms, PL_DEFAULT_TERMINAL, 1.0, "contact resistance", "ohm");
      join_halves(draft);
      break;
    case PL_KIND_CONNECTOR:
      if (draft->connectors.n == 0)
        missing(draft,
                cursor,
                "how many cavities it has",
                "add a line: cavities 9, round, named A B C D E F G H J");
      break;
    default:
      if (pl_kind_is_load(d->kind))
        finish_load(draft, cursor);
      break;
  }
}
