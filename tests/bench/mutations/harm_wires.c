/* Harm done to wires: one taken off, moved, made thin or long, one too many. */
#include "bench.h"

#include "standard/wire.h"

#define HARNESS(edit) (&(edit)->machine->sound.harness)
#define WIRE(edit, id) (&HARNESS(edit)->wires.at[id])

static const char *end_name(const struct bench_edit *edit, pl_id wire, int end) {
  return HARNESS(edit)->pins.at[WIRE(edit, wire)->end[end]].full;
}

static bool is_ground_net(const struct bench_edit *edit, pl_id pin) {
  const struct pl_harness *h = HARNESS(edit);
  const char *post = h->machine.positive_earth ? "+" : "-";
  for (pl_id d = 0; d < h->devices.n; d++)
    for (pl_id p = h->devices.at[d].first_pin;
         p < h->devices.at[d].first_pin + h->devices.at[d].pin_count;
         p++)
      if (edit->machine->copper[p] == edit->machine->copper[pin] &&
          (h->devices.at[d].kind == PL_KIND_CHASSIS ||
           (h->devices.at[d].kind == PL_KIND_BATTERY && strcmp(h->pins.at[p].name, post) == 0)))
        return true;
  return false;
}

/* ---- wires taken off ---- */

/* Another copper way of about the same resistance joins the two ends: the volts stay. */
static const char *redundant(struct bench_edit *edit, pl_id wire) {
  const struct pl_wire *w = WIRE(edit, wire);
  pl_id *left = bench_copper(HARNESS(edit), wire, edit->arena);
  if (left[w->end[0]] != left[w->end[1]])
    return NULL;
  size_t size;
  const char *text = bench_edit_apply(edit, &size);
  struct bench_judged changed;
  bench_judge(&changed, text, size, false);
  bool same = changed.read && bench_same_volts(&edit->machine->sound, &changed, 0.01);
  bench_judged_end(&changed);
  return same ? "other copper joins its two ends and no pin's volts change by 1 %" : NULL;
}

static bool take_off(struct bench_edit *edit, pl_id wire) {
  if (wire == PL_NONE)
    return false;
  bench_delete_line(edit, WIRE(edit, wire)->span.start);
  bench_name_wire(edit, wire);
  edit->what = bench_say(edit,
                         "wire %s (%s to %s) removed",
                         WIRE(edit, wire)->number,
                         end_name(edit, wire, 0),
                         end_name(edit, wire, 1));
  edit->spared = redundant(edit, wire);
  return true;
}

static bool wire_off(struct bench_edit *edit) {
  return take_off(edit, bench_pick_wire(edit, bench_wire_is_new));
}

static bool is_ground_wire(const struct bench_edit *edit, pl_id wire) {
  return bench_wire_is_new(edit, wire) && is_ground_net(edit, WIRE(edit, wire)->end[0]);
}
static bool ground_off(struct bench_edit *edit) {
  return take_off(edit, bench_pick_wire(edit, is_ground_wire));
}

static bool is_metal(enum pl_kind kind) {
  return kind == PL_KIND_BOND || kind == PL_KIND_CHASSIS;
}
static bool is_strap(const struct bench_edit *edit, pl_id wire) {
  return bench_wire_is_new(edit, wire) &&
         (is_metal(bench_kind_at(edit, wire, 0)) || is_metal(bench_kind_at(edit, wire, 1)));
}
static bool strap_off(struct bench_edit *edit) {
  return take_off(edit, bench_pick_wire(edit, is_strap));
}

static enum pl_role role_at(const struct bench_edit *edit, pl_id wire, int end) {
  return HARNESS(edit)->pins.at[WIRE(edit, wire)->end[end]].role;
}
static bool is_module_power(const struct bench_edit *edit, pl_id wire) {
  if (!bench_wire_is_new(edit, wire))
    return false;
  for (int end = 0; end < 2; end++) {
    enum pl_role role = role_at(edit, wire, end);
    if (bench_kind_at(edit, wire, end) == PL_KIND_MODULE &&
        (role == PL_ROLE_BATTERY_FEED || role == PL_ROLE_GROUND || role == PL_ROLE_KEYED_INPUT))
      return true;
  }
  return false;
}
static bool module_power_off(struct bench_edit *edit) {
  return take_off(edit, bench_pick_wire(edit, is_module_power));
}

static bool is_return(const struct bench_edit *edit, pl_id wire) {
  const struct pl_harness *h = HARNESS(edit);
  if (!bench_wire_is_new(edit, wire))
    return false;
  for (pl_id p = 0; p < h->pins.n; p++)
    if (h->pins.at[p].role == PL_ROLE_SENSOR_RETURN &&
        edit->machine->copper[p] == edit->machine->copper[WIRE(edit, wire)->end[0]])
      return true;
  return false;
}
static bool return_lifted(struct bench_edit *edit) {
  return take_off(edit, bench_pick_wire(edit, is_return));
}

static bool is_alternator_wire(const struct bench_edit *edit, pl_id wire) {
  return bench_wire_is_new(edit, wire) && (bench_kind_at(edit, wire, 0) == PL_KIND_ALTERNATOR ||
                                           bench_kind_at(edit, wire, 1) == PL_KIND_ALTERNATOR);
}
static bool alternator_off(struct bench_edit *edit) {
  return take_off(edit, bench_pick_wire(edit, is_alternator_wire));
}

/* ---- wires moved ---- */

static pl_id pin_of(const struct bench_edit *edit, pl_id device, const char *name) {
  const struct pl_device *d = &HARNESS(edit)->devices.at[device];
  for (pl_id p = d->first_pin; p < d->first_pin + d->pin_count; p++)
    if (strcmp(HARNESS(edit)->pins.at[p].name, name) == 0)
      return p;
  return PL_NONE;
}

static bool is_fuse(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_PROTECTION);
}

/* The end of the wire that sits on the load's side of a fuse; -1. */
static int fused_end(const struct bench_edit *edit, pl_id wire) {
  for (int end = 0; end < 2; end++)
    if (is_fuse(bench_kind_at(edit, wire, end)) &&
        strcmp(HARNESS(edit)->pins.at[WIRE(edit, wire)->end[end]].name, "out") == 0)
      return end;
  return -1;
}
static bool is_fused_wire(const struct bench_edit *edit, pl_id wire) {
  return bench_wire_is_new(edit, wire) && fused_end(edit, wire) >= 0;
}

static void move_end(struct bench_edit *edit, pl_id wire, int end, pl_id pin) {
  bench_replace(edit, WIRE(edit, wire)->end_span[end], HARNESS(edit)->pins.at[pin].full);
  bench_name_wire(edit, wire);
  bench_name_pin(edit, pin);
  edit->what = bench_say(edit,
                         "wire %s moved from %s to %s",
                         WIRE(edit, wire)->number,
                         end_name(edit, wire, end),
                         HARNESS(edit)->pins.at[pin].full);
}

static bool fed_before_fuse(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, is_fused_wire);
  if (wire == PL_NONE)
    return false;
  int end = fused_end(edit, wire);
  pl_id in = pin_of(edit, HARNESS(edit)->pins.at[WIRE(edit, wire)->end[end]].device, "in");
  if (in == PL_NONE)
    return false;
  move_end(edit, wire, end, in);
  return true;
}

static bool fuse_bypassed(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, is_fused_wire);
  if (wire == PL_NONE)
    return false;
  int end = fused_end(edit, wire);
  pl_id fuse = HARNESS(edit)->pins.at[WIRE(edit, wire)->end[end]].device;
  pl_id in = pin_of(edit, fuse, "in"), out = pin_of(edit, fuse, "out");
  if (in == PL_NONE || out == PL_NONE)
    return false;
  const char *from = HARNESS(edit)->pins.at[in].full, *to = HARNESS(edit)->pins.at[out].full;
  bench_add_wire(edit,
                 wire,
                 bench_say(edit, "9901 %s %s %s length 0.1 m", from, to, WIRE(edit, wire)->size));
  bench_name_wire(edit, wire);
  bench_name_device(edit, fuse);
  PL_PUSH(edit->arena, &edit->wires, "9901");
  edit->what = bench_say(edit, "new wire 9901 from %s to %s", from, to);
  return true;
}

static int contact_end(const struct bench_edit *edit, pl_id wire) {
  for (int end = 0; end < 2; end++) {
    const struct pl_pin *pin = &HARNESS(edit)->pins.at[WIRE(edit, wire)->end[end]];
    if (HARNESS(edit)->devices.at[pin->device].kind == PL_KIND_SWITCH &&
        HARNESS(edit)->devices.at[pin->device].pin_count > 2)
      return end;
  }
  return -1;
}
static bool is_contact_wire(const struct bench_edit *edit, pl_id wire) {
  return bench_wire_is_new(edit, wire) && contact_end(edit, wire) >= 0;
}
static bool other_contact(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, is_contact_wire);
  if (wire == PL_NONE)
    return false;
  int end = contact_end(edit, wire);
  pl_id was = WIRE(edit, wire)->end[end];
  const struct pl_device *d = &HARNESS(edit)->devices.at[HARNESS(edit)->pins.at[was].device];
  pl_id now = d->first_pin + bench_below(edit, d->pin_count);
  if (now == was || edit->machine->copper[now] == edit->machine->copper[was])
    return false;
  move_end(edit, wire, end, now);
  if (bench_one_contact(HARNESS(edit), was, now))
    edit->spared = "every position joins the two contacts";
  return true;
}

/* A neighbouring cavity of a controller that nothing was wired to. */
static bool one_cavity_off(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, bench_wire_is_new);
  if (wire == PL_NONE)
    return false;
  for (int end = 0; end < 2; end++) {
    pl_id was = WIRE(edit, wire)->end[end];
    const struct pl_pin *pin = &HARNESS(edit)->pins.at[was];
    const struct pl_device *d = &HARNESS(edit)->devices.at[pin->device];
    if (d->kind != PL_KIND_MODULE)
      continue;
    for (pl_id now = was > 0 ? was - 1 : was; now <= was + 1; now++)
      if (now >= d->first_pin && now < d->first_pin + d->pin_count &&
          bench_pin_wires(HARNESS(edit), now) == 0) {
        move_end(edit, wire, end, now);
        return true;
      }
  }
  return false;
}

/* ---- wires thin and long ---- */

static const char *stepped_size(struct bench_edit *edit, pl_id wire, int steps, double *area) {
  const struct pl_wire *w = WIRE(edit, wire);
  char buffer[24];
  *area = pl_wire_next_area(w->area, w->metric, steps);
  if (!(*area > 0))
    return NULL;
  return bench_say(edit, "%s", pl_wire_size_text(buffer, *area, w->metric));
}

double bench_table_amps(const struct pl_wire *wire, double area) {
  return pl_wire_amperage(area, wire->metric, wire->insulation, false, 0).amps;
}

/* The largest fuse whose loads' side this wire is joined to by copper; 0 when there is none. */
static double fuse_before(const struct bench_edit *edit, pl_id wire) {
  const struct pl_harness *h = HARNESS(edit);
  double most = 0;
  for (pl_id d = 0; d < h->devices.n; d++) {
    pl_id out = is_fuse(h->devices.at[d].kind) ? pin_of(edit, d, "out") : PL_NONE;
    if (out != PL_NONE &&
        edit->machine->copper[out] == edit->machine->copper[WIRE(edit, wire)->end[0]])
      most = fmax(most, h->devices.at[d].rating);
  }
  return most;
}

static double drop_limit(const struct bench_edit *edit, const struct pl_wire *w) {
  double limit = HARNESS(edit)->circuits.at[w->circuit].drop_limit;
  return isnan(limit) ? HARNESS(edit)->machine.drop_limit : limit;
}

static double most_while(const struct bench_edit *edit, pl_id wire, bool lasting) {
  const struct bench_judged *sound = &edit->machine->sound;
  double most = 0;
  for (pl_id s = 0; s < sound->harness.states.n; s++) {
    const struct pl_state *state = &sound->harness.states.at[s];
    bool lasts = state->lasts >= 60 && state->engine != PL_ENGINE_CRANKING;
    if (sound->solutions[s].status == PL_SOLVED && lasts == lasting)
      most = fmax(most, fabs(sound->solutions[s].wire_amps[wire]));
  }
  return most;
}

/* Degrees after the longest brief state at its amps, no heat leaving: ICEA P-32-382. */
static double hot_when_brief(const struct bench_edit *edit, pl_id wire, double area) {
  double seconds = 0, mils = area / 5.067e-4; /* circular mils */
  for (pl_id s = 0; s < HARNESS(edit)->states.n; s++) {
    const struct pl_state *state = &HARNESS(edit)->states.at[s];
    if (state->lasts < 60 || state->engine == PL_ENGINE_CRANKING)
      seconds = fmax(seconds, fmin(30, state->lasts)); /* 30 s of cranking: common practice */
  }
  double each = most_while(edit, wire, false) / mils;
  return (WIRE(edit, wire)->hot + 234) * pow(10, each * each * seconds / 0.0297) - 234;
}

#define LEAD 0.178 /* metres: a shorter lead needs no fuse of its own, 33 CFR 183.455(b) */

/* Why a wire may as well have this area; NULL: it may not. */
static const char *bears_it(const struct bench_edit *edit, pl_id wire, double area) {
  const struct pl_wire *w = WIRE(edit, wire);
  double bears = bench_table_amps(w, area);
  double lost = bench_most_amps(&edit->machine->sound, wire) *
                (pl_wire_ohms_per_m(area, w->metric) - w->ohms_per_m) * w->length;
  if (lost > 0.25 * drop_limit(edit, w) * HARNESS(edit)->machine.volts ||
      most_while(edit, wire, true) > 0.8 * bears || !bench_fits_terminals(edit, w, area))
    return NULL;
  if (w->length > LEAD && fuse_before(edit, wire) > 1.5 * bears) /* 33 CFR 183.455(c)(1) */
    return NULL;
  if (hot_when_brief(edit, wire, area) > pl_wire_insulation(w)->hot)
    return NULL;
  return "it bears its amps and its fuse by the published tables, fits its crimps, and loses less "
         "than a quarter of the circuit's limit more";
}

static bool thinner(struct bench_edit *edit, pl_id wire, int steps) {
  double area;
  if (wire == PL_NONE)
    return false;
  const struct pl_wire *w = WIRE(edit, wire);
  const char *size = stepped_size(edit, wire, -steps, &area);
  if (size == NULL)
    return false;
  bench_replace(edit, w->size_span, size);
  bench_name_wire(edit, wire);
  edit->what = bench_say(edit,
                         "wire %s (%s to %s) made %s instead of %s",
                         w->number,
                         end_name(edit, wire, 0),
                         end_name(edit, wire, 1),
                         size,
                         w->size);
  edit->spared = bears_it(edit, wire, area);
  return true;
}

/* A shield's drain carries nothing. */
static bool carries(const struct bench_edit *edit, pl_id wire) {
  return bench_wire_is_new(edit, wire) &&
         (!WIRE(edit, wire)->shield || WIRE(edit, wire)->twist[0] != '\0');
}
static bool gauge_down(struct bench_edit *edit) {
  return thinner(edit, bench_pick_wire(edit, carries), 3);
}

static bool is_starter_cable(const struct bench_edit *edit, pl_id wire) {
  return bench_wire_is_new(edit, wire) && WIRE(edit, wire)->area > 20 &&
         bench_most_amps(&edit->machine->sound, wire) > 100;
}
static bool starter_cable_thin(struct bench_edit *edit) {
  return thinner(edit, bench_pick_wire(edit, is_starter_cable), 5);
}

static bool length_times_four(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, bench_wire_is_new);
  if (wire == PL_NONE)
    return false;
  const struct pl_wire *w = WIRE(edit, wire);
  struct pl_span span;
  const char *fact = bench_say(edit, "length %.2f m", 4 * w->length);
  if (bench_wire_fact(edit, wire, "length", 3, &span))
    bench_replace(edit, span, fact);
  else
    bench_wire_add_fact(edit, wire, fact);
  bench_name_wire(edit, wire);
  edit->what = bench_say(edit,
                         "wire %s (%s to %s) %.2f m instead of %.2f m",
                         w->number,
                         end_name(edit, wire, 0),
                         end_name(edit, wire, 1),
                         4 * w->length,
                         w->length);
  double lost = bench_most_amps(&edit->machine->sound, wire) * w->ohms_per_m * 3 * w->length;
  if (w->twist[0] == '\0' && lost < drop_limit(edit, w) * HARNESS(edit)->machine.volts)
    edit->spared = "what it loses more is within the circuit's limit by itself";
  if (w->twist[0] != '\0' && 3 * w->length < 0.2)
    edit->spared = "a hand's breadth more";
  return true;
}

/* ---- one wire too many ---- */

static bool jumper(struct bench_edit *edit) {
  pl_id a = bench_pick_wire(edit, bench_wire_is_new), b = bench_pick_wire(edit, bench_wire_is_new);
  if (a == PL_NONE || b == PL_NONE)
    return false;
  pl_id from = WIRE(edit, a)->end[bench_below(edit, 2)];
  pl_id to = WIRE(edit, b)->end[bench_below(edit, 2)];
  if (edit->machine->copper[from] == edit->machine->copper[to])
    return false;
  const struct pl_harness *h = HARNESS(edit);
  const char *row =
      bench_say(edit, "9902 %s %s 16 AWG length 1 m", h->pins.at[from].full, h->pins.at[to].full);
  bench_add_wire(edit, a, row);
  bench_name_pin(edit, from);
  bench_name_pin(edit, to);
  PL_PUSH(edit->arena, &edit->wires, "9902");
  edit->what =
      bench_say(edit, "new wire 9902 from %s to %s", h->pins.at[from].full, h->pins.at[to].full);
  return true;
}

static bool outputs_tied(struct bench_edit *edit) {
  const struct pl_harness *h = HARNESS(edit);
  pl_ids outputs = {NULL, 0, 0};
  for (pl_id p = 0; p < h->pins.n; p++)
    if ((h->pins.at[p].role == PL_ROLE_HIGH_SIDE || h->pins.at[p].role == PL_ROLE_LOW_SIDE) &&
        bench_pin_wires(h, p) > 0)
      PL_PUSH(edit->arena, &outputs, p);
  if (outputs.n < 2)
    return false;
  pl_id a = outputs.at[bench_below(edit, outputs.n)], b = outputs.at[bench_below(edit, outputs.n)];
  if (edit->machine->copper[a] == edit->machine->copper[b])
    return false;
  const char *from = h->pins.at[a].full, *to = h->pins.at[b].full;
  bench_add_wire(edit,
                 h->pins.at[a].wires.at[0],
                 bench_say(edit, "9903 %s %s 18 AWG length 0.5 m", from, to));
  bench_name_pin(edit, a);
  bench_name_pin(edit, b);
  PL_PUSH(edit->arena, &edit->wires, "9903");
  edit->what = bench_say(edit, "new wire 9903 ties the outputs %s and %s", from, to);
  return true;
}

static bool end_in_air(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, bench_wire_is_new);
  if (wire == PL_NONE)
    return false;
  int end = (int)bench_below(edit, 2);
  bench_replace(edit, WIRE(edit, wire)->end_span[end], "-");
  bench_name_wire(edit, wire);
  edit->what = bench_say(edit,
                         "wire %s left off at %s",
                         WIRE(edit, wire)->number,
                         end_name(edit, wire, end));
  return true;
}

#define REDUNDANT "other copper joins the ends and no volts change by 1 % (solved)"

const struct bench_class bench_wire_classes[] = {
    {"wire removed", "what hung on it is dead or dark", REDUNDANT, wire_off, false},
    {"ground wire off", "its users have no return, or a wrong one", REDUNDANT, ground_off, false},
    {"strap off", "the return takes a way that was not made for it", REDUNDANT, strap_off, false},
    {"module feed, ground or key off",
     "the controller is dead, or its other pins carry its share",
     REDUNDANT,
     module_power_off,
     false},
    {"sensor return lifted", "the readings drift or are lost", REDUNDANT, return_lifted, false},
    {"alternator wire off", "it does not charge", REDUNDANT, alternator_off, false},
    {"wire end left in the air", "as removed, and live metal hangs free", "", end_in_air, false},
    {"fed from the unfused side", "no fuse guards it", "", fed_before_fuse, false},
    {"fuse bypassed", "no fuse guards what is behind it", "", fuse_bypassed, false},
    {"other contact of the switch",
     "works in the wrong position",
     "both contacts are one in every position",
     other_contact,
     false},
    {"one cavity off", "the pin beside it is not that function", "", one_cavity_off, false},
    {"gauge three sizes down",
     "too hot behind its fuse, or too many volts lost",
     "bears amps and fuse by the tables, fits its crimps, loses little more",
     gauge_down,
     false},
    {"starter cable five sizes down",
     "the starter turns slowly or the cable burns",
     "bears amps and fuse by the tables, fits its crimps, loses little more",
     starter_cable_thin,
     false},
    {"length times four",
     "more volts lost than the circuit may, or a stub too long",
     "the extra loss alone is within the limit",
     length_times_four,
     false},
    {"jumper between two pins", "joins what is meant apart", "same copper already", jumper, false},
    {"two outputs tied", "one shorts the other, or both run together", "", outputs_tied, false},
    {NULL, NULL, NULL, NULL, false}};
