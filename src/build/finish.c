/* What a kind of device brings by itself: its pins, and the figures it takes where the text is silent.  Every default used is noted with its source. */
#include <string.h>

#include "build/draft.h"
#include "standard/limits_data.h"

/* Defaults of devices, in one place.  All are common practice or from memory, as the last column says. */
#define DEFAULT_CONTACT_OHMS 0.010      /* hand switch */
#define DEFAULT_DISCONNECT_OHMS 0.0005  /* battery disconnect */
#define DEFAULT_RELAY_OHMS 0.005        /* ~50 mV at 10 A */
#define DEFAULT_BOND_OHMS 0.001
#define DEFAULT_INLINE_OHMS 0.005
#define DEFAULT_ALTERNATOR_OHMS 0.010
#define DEFAULT_EXCITER_OHMS 10.0
#define DEFAULT_SENSOR_OHMS 2500.0      /* thermistor near 20 degC */
#define DEFAULT_SENDER_OHMS 90.0
#define DEFAULT_GAUGE_OHMS 150.0
#define DEFAULT_TERMINATOR_OHMS 120.0   /* SAE J1939-11 */
#define DEFAULT_DIODE_DROP 0.7
#define CELL_VOLTS 2.1                  /* open-circuit volts of a charged lead-acid cell */

static const char *const pins_of[PL_KIND_COUNT] = {
    [PL_KIND_BATTERY] = "+ -", [PL_KIND_ALTERNATOR] = "B+ D+ W B-", [PL_KIND_STARTER] = "30 50 31", [PL_KIND_FUSE] = "in out",
    [PL_KIND_BREAKER] = "in out", [PL_KIND_FUSIBLE_LINK] = "in out", [PL_KIND_DISCONNECT] = "in out", [PL_KIND_RELAY] = "30 85 86 87",
    [PL_KIND_LAMP] = "+ -", [PL_KIND_MOTOR] = "+ -", [PL_KIND_PUMP] = "+ -", [PL_KIND_FAN] = "+ -", [PL_KIND_SOLENOID] = "+ -",
    [PL_KIND_HEATER] = "+ -", [PL_KIND_HORN] = "+ -", [PL_KIND_BUZZER] = "+ -", [PL_KIND_LOAD] = "+ -", [PL_KIND_SENSOR] = "signal return",
    [PL_KIND_SENDER] = "signal case", [PL_KIND_GAUGE] = "+ - S", [PL_KIND_DIODE] = "A K", [PL_KIND_RESISTOR] = "1 2",
    [PL_KIND_TERMINATOR] = "1 2", [PL_KIND_STUD] = "", [PL_KIND_SPLICE] = "", [PL_KIND_CHASSIS] = "", [PL_KIND_BOND] = ""};

void pl_draft_begin(struct pl_draft *draft) {
  const char *names = pins_of[draft->device.kind];
  if (names == NULL) return;
  if (names[0] == '\0') {
    pl_draft_pin(draft, "", true, draft->device.span);
    return;
  }
  while (*names != '\0') {
    size_t n = strcspn(names, " ");
    pl_draft_pin(draft, pl_arena_strndup(draft->builder->arena, names, n), true, draft->device.span);
    names += n + (names[n] == ' ');
  }
}

static pl_id pin(struct pl_draft *draft, const char *name) { return pl_draft_pin(draft, name, false, draft->device.span); }

static void role(struct pl_draft *draft, pl_id id, enum pl_role value) {
  if (id != PL_NONE && draft->pins.at[id].pin.role == PL_ROLE_PASSIVE) draft->pins.at[id].pin.role = value;
}

static void take_default(struct pl_draft *draft, double *field, double value, const char *what, const char *unit, const char *source) {
  if (!isnan(*field)) return;
  *field = value;
  pl_builder_default(draft->builder, pl_arena_printf(draft->builder->arena, "%s of %s %s", what, pl_kind_name(draft->device.kind), draft->device.name),
                     pl_builder_quantity(draft->builder, value, unit), source);
}

static void wrong(struct pl_draft *draft, struct pl_cursor *cursor, const char *what, const char *remedy) {
  cursor->failed = false;
  pl_cursor_error(cursor, &cursor->tree->words.at[cursor->line->first],
                  pl_arena_printf(draft->builder->arena, "%s %s %s", pl_kind_name(draft->device.kind), draft->device.name, what), remedy);
}

static void missing(struct pl_draft *draft, struct pl_cursor *cursor, const char *what, const char *remedy) {
  wrong(draft, cursor, pl_arena_printf(draft->builder->arena, "does not say %s", what), remedy);
}

static void finish_source(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  if (d->kind == PL_KIND_BATTERY) {
    double cells = round(d->volts / 2.0);
    d->plus = pin(draft, "+");
    d->minus = pin(draft, "-");
    take_default(draft, &d->emf, cells * CELL_VOLTS, "open-circuit volts", "V", "2.1 V a cell, common practice");
    if (isnan(d->ohms) && isnan(d->cca)) {
      missing(draft, cursor, "how strong it is", "add a line: cca 900 A");
      return;
    }
    if (isnan(d->ohms)) d->ohms = pl_battery_ohms(d->volts, d->cca);
  } else {
    d->plus = pin(draft, "B+");
    d->minus = pin(draft, "B-");
    take_default(draft, &d->set_volts, d->volts / 12.0 * 14.2, "set volts", "V", "common practice");
    take_default(draft, &d->ohms, DEFAULT_ALTERNATOR_OHMS, "inner resistance", "ohm", "from memory");
    take_default(draft, &d->exciter_ohms, DEFAULT_EXCITER_OHMS, "exciter resistance", "ohm", "from memory");
    if (isnan(d->idle_amps)) missing(draft, cursor, "what it can give", "add a line: output 40..110 A (at idle .. at speed)");
  }
  role(draft, d->plus, PL_ROLE_PLUS);
  role(draft, d->minus, PL_ROLE_MINUS);
}

static void finish_coil(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  double scale = d->volts / 12.0;
  struct pl_join make = {pin(draft, "30"), pin(draft, "87")}, rest = {pin(draft, "30"), pin(draft, "87a")};
  if (d->kind == PL_KIND_STARTER) {
    d->coil_a = pin(draft, "50");
    d->coil_b = d->minus = pin(draft, "31");
    d->plus = pin(draft, "30");
    take_default(draft, &d->coil_ohms, 0.6 * scale * scale, "coil resistance", "ohm", "from memory");
    take_default(draft, &d->pull_in, 8.0 * scale, "pull-in volts", "V", "common practice");
    take_default(draft, &d->drop_out, 3.0 * scale, "drop-out volts", "V", "from memory");
    if (isnan(d->crank_amps)) missing(draft, cursor, "what it draws", "add a line: cranks 400 A at 9 V");
  } else {
    d->coil_a = pin(draft, "86");
    d->coil_b = pin(draft, "85");
    PL_PUSH(draft->builder->arena, &d->make, make);
    if (rest.b != PL_NONE) PL_PUSH(draft->builder->arena, &d->brk, rest);
    take_default(draft, &d->coil_ohms, 90.0 * scale * scale, "coil resistance", "ohm", "common practice, 60 to 110 ohm at 12 V");
    take_default(draft, &d->pull_in, 8.0 * scale, "pull-in volts", "V", "common practice");
    take_default(draft, &d->drop_out, 1.5 * scale, "drop-out volts", "V", "from memory");
    take_default(draft, &d->ohms, DEFAULT_RELAY_OHMS, "contact resistance", "ohm", "common practice, 50 mV at 10 A");
  }
  if (d->drop_out >= d->pull_in) wrong(draft, cursor, "lets go at no less volts than it pulls in at", "give it a `drops out` below its `pulls in`");
}

static void finish_protection(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  if (isnan(d->rating)) {
    missing(draft, cursor, "its rating", "add a line: rating 15 A");
    return;
  }
  if (d->family[0] == '\0') d->family = d->kind == PL_KIND_FUSE ? "blade" : pl_kind_name(d->kind);
  if (d->kind == PL_KIND_FUSE && !pl_fuse_family_known(d->family)) {
    struct pl_nearest nearest;
    pl_nearest_init(&nearest, d->family);
    for (uint32_t i = 0; i < pl_fuse_count; i++) pl_nearest_offer(&nearest, pl_fuses[i].family);
    wrong(draft, cursor, pl_arena_printf(draft->builder->arena, "is of the family `%s`, which is not known", d->family),
            nearest.best != NULL ? pl_builder_mean(draft->builder, &nearest) : "known are: mini blade, blade, maxi blade, bolt-down, glass");
    return;
  }
  double ohms = d->kind == PL_KIND_FUSE ? pl_fuse_ohms(d->family, d->rating) : NAN;
  if (isnan(ohms)) ohms = 0.1 / d->rating;
  take_default(draft, &d->ohms, ohms, "resistance", "ohm", d->kind == PL_KIND_FUSE ? "cold resistance of its family" : "100 mV at its rating, common practice");
}

static void finish_switch(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  bool disconnect = d->kind == PL_KIND_DISCONNECT;
  if (disconnect && d->throws.n == 0) {
    struct pl_throw closed = {.name = "closed"}, open = {.name = "open"};
    struct pl_join join = {pin(draft, "in"), pin(draft, "out")};
    PL_PUSH(draft->builder->arena, &closed.joins, join);
    PL_PUSH(draft->builder->arena, &d->throws, closed);
    PL_PUSH(draft->builder->arena, &d->throws, open);
  }
  take_default(draft, &d->ohms, disconnect ? DEFAULT_DISCONNECT_OHMS : DEFAULT_CONTACT_OHMS, "contact resistance", "ohm", "common practice");
  if (d->throws.n == 0) {
    missing(draft, cursor, "its positions", "add lines: position off, and: position on: in to out");
    return;
  }
  if (draft->rests == NULL) return;
  for (uint32_t i = 0; i < d->throws.n; i++)
    if (strcmp(d->throws.at[i].name, draft->rests) == 0) {
      d->rest = i;
      return;
    }
  pl_findings_error(draft->builder->findings, draft->rests_span,
                    pl_arena_printf(draft->builder->arena, "%s has no position `%s`", d->name, draft->rests), "it rests in one of its positions");
  cursor->failed = true;
}

static void finish_load(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  d->plus = pin(draft, "+");
  d->minus = pin(draft, "-");
  role(draft, d->plus, PL_ROLE_PLUS);
  role(draft, d->minus, PL_ROLE_MINUS);
  bool motor = d->kind == PL_KIND_MOTOR || d->kind == PL_KIND_PUMP || d->kind == PL_KIND_FAN;
  if (isnan(d->load_amps) && isnan(d->ohms)) {
    missing(draft, cursor, "what it draws", "add a line: draws 40 W at 12 V, or draws 3 A");
    return;
  }
  if (isnan(d->load_volts)) d->load_volts = d->volts;
  if (!isnan(d->ohms)) d->load_amps = d->load_volts / d->ohms;
  if (!(d->load_amps > 0.0)) {
    missing(draft, cursor, "a current above zero", "add a line: draws 3 A");
    return;
  }
  d->law = isnan(d->ohms) && (motor || draft->steady) ? PL_LAW_CURRENT : PL_LAW_RESISTANCE;
}

static void finish_sensor(struct pl_draft *draft) {
  struct pl_device *d = &draft->device;
  d->signal = pin(draft, d->kind == PL_KIND_GAUGE ? "S" : "signal");
  d->minus = pin(draft, d->kind == PL_KIND_GAUGE ? "-" : d->kind == PL_KIND_SENDER ? "case" : "return");
  d->plus = pin(draft, d->kind == PL_KIND_GAUGE ? "+" : "supply");
  if (d->kind == PL_KIND_SENDER && isnan(d->ohms) && d->points.n >= 2)
    d->ohms = (d->points.at[0].ohms + d->points.at[d->points.n - 1].ohms) / 2.0;
  double ohms = d->kind == PL_KIND_GAUGE ? DEFAULT_GAUGE_OHMS : d->kind == PL_KIND_SENDER ? DEFAULT_SENDER_OHMS : DEFAULT_SENSOR_OHMS;
  take_default(draft, &d->ohms, ohms, "resistance", "ohm", "from memory");
  if (d->kind == PL_KIND_SENSOR && d->plus != PL_NONE) take_default(draft, &d->signal_share, 0.5, "signal", "of its supply", "middle of the range");
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
  if (isnan(d->volts)) d->volts = draft->builder->harness->machine.volts;
  switch (d->kind) {
    case PL_KIND_BATTERY:
    case PL_KIND_ALTERNATOR: finish_source(draft, cursor); break;
    case PL_KIND_STARTER:
    case PL_KIND_RELAY: finish_coil(draft, cursor); break;
    case PL_KIND_FUSE:
    case PL_KIND_BREAKER:
    case PL_KIND_FUSIBLE_LINK: finish_protection(draft, cursor); break;
    case PL_KIND_SWITCH:
    case PL_KIND_DISCONNECT: finish_switch(draft, cursor); break;
    case PL_KIND_SENSOR:
    case PL_KIND_SENDER:
    case PL_KIND_GAUGE: finish_sensor(draft); break;
    case PL_KIND_DIODE: take_default(draft, &d->drop, DEFAULT_DIODE_DROP, "forward drop", "V", "common practice, silicon"); break;
    case PL_KIND_RESISTOR:
      if (isnan(d->ohms)) missing(draft, cursor, "its resistance", "add a line: resistance 150 ohm");
      break;
    case PL_KIND_TERMINATOR: take_default(draft, &d->ohms, DEFAULT_TERMINATOR_OHMS, "resistance", "ohm", "SAE J1939-11"); break;
    case PL_KIND_BOND:
      take_default(draft, &d->ohms, DEFAULT_BOND_OHMS, "resistance", "ohm", "common practice, bare metal");
      if (draft->fixups.n == 0) missing(draft, cursor, "which chassis it is bonded to", "add a line: to FRAME");
      break;
    case PL_KIND_INLINE:
      if (draft->connectors.n == 0) missing(draft, cursor, "how many cavities it has", "add a line: cavities 12, 2 rows, sealed");
      take_default(draft, &d->ohms, DEFAULT_INLINE_OHMS, "contact resistance", "ohm", "from memory");
      join_halves(draft);
      break;
    case PL_KIND_CONNECTOR:
      if (draft->connectors.n == 0) missing(draft, cursor, "how many cavities it has", "add a line: cavities 9, round, named A B C D E F G H J");
      break;
    default:
      if (pl_kind_is_load(d->kind)) finish_load(draft, cursor);
      break;
  }
}
