/* Harm done at pins: two wires changed over at each kind of device. */
#include "bench.h"

#define HARNESS(edit) (&(edit)->machine->sound.harness)

static bool is_node(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_NODE);
}

/* A wire at the pin whose row is in the text, and which end of it that is; PL_NONE. */
static pl_id wire_at(struct bench_edit *edit, pl_id pin, int *end) {
  const struct pl_pin *p = &HARNESS(edit)->pins.at[pin];
  if (p->wires.n == 0)
    return PL_NONE;
  pl_id wire = p->wires.at[bench_below(edit, p->wires.n)];
  if (!bench_wire_is_new(edit, wire))
    return PL_NONE;
  *end = HARNESS(edit)->wires.at[wire].end[0] == pin ? 0 : 1;
  return wire;
}

static bool swap(struct bench_edit *edit, pl_id a, pl_id b) {
  const struct pl_harness *h = HARNESS(edit);
  int at_a, at_b;
  pl_id wire_a = wire_at(edit, a, &at_a), wire_b = wire_at(edit, b, &at_b);
  if (wire_a == PL_NONE || wire_b == PL_NONE || wire_a == wire_b)
    return false;
  bench_replace(edit, h->wires.at[wire_a].end_span[at_a], h->pins.at[b].full);
  bench_replace(edit, h->wires.at[wire_b].end_span[at_b], h->pins.at[a].full);
  bench_name_wire(edit, wire_a);
  bench_name_wire(edit, wire_b);
  edit->what = bench_say(edit,
                         "wires %s and %s changed over at %s and %s",
                         h->wires.at[wire_a].number,
                         h->wires.at[wire_b].number,
                         h->pins.at[a].full,
                         h->pins.at[b].full);
  if (edit->machine->copper[a] == edit->machine->copper[b])
    edit->spared = "both are one piece of copper";
  return true;
}

static bool is_wired(const struct bench_edit *edit, pl_id pin) {
  return bench_pin_wires(HARNESS(edit), pin) > 0;
}

/* Two wired pins of a device of that kind; the first and one other, all pairs alike likely. */
static bool pair_at(struct bench_edit *edit, bench_fits fits, pl_id *a, pl_id *b) {
  pl_id device = bench_pick_device(edit, fits);
  if (device == PL_NONE)
    return false;
  const struct pl_device *d = &HARNESS(edit)->devices.at[device];
  pl_ids wired = {NULL, 0, 0};
  for (pl_id p = d->first_pin; p < d->first_pin + d->pin_count; p++)
    if (is_wired(edit, p))
      PL_PUSH(edit->arena, &wired, p);
  if (wired.n < 2)
    return false;
  uint32_t i = bench_below(edit, wired.n), j = bench_below(edit, wired.n - 1);
  j = j < i ? j : j + 1;
  *a = wired.at[i < j ? i : j];
  *b = wired.at[i < j ? j : i];
  return true;
}

#define IS_KIND(name, test)                                         \
  static bool name(const struct bench_edit *edit, pl_id device) {   \
    const struct pl_device *d = &HARNESS(edit)->devices.at[device]; \
    return test;                                                    \
  }
IS_KIND(is_module, d->kind == PL_KIND_MODULE)
IS_KIND(is_switch, d->kind == PL_KIND_SWITCH || d->kind == PL_KIND_DISCONNECT)
IS_KIND(is_relay, d->kind == PL_KIND_RELAY)
IS_KIND(is_gauge, d->kind == PL_KIND_GAUGE)
IS_KIND(is_sensor, d->kind == PL_KIND_SENSOR)
IS_KIND(is_plug, d->kind == PL_KIND_INLINE)
IS_KIND(is_bare, d->kind == PL_KIND_CONNECTOR)
IS_KIND(is_alternator, d->kind == PL_KIND_ALTERNATOR)
IS_KIND(is_starter, d->kind == PL_KIND_STARTER)
IS_KIND(is_battery, d->kind == PL_KIND_BATTERY)
IS_KIND(is_diode, d->kind == PL_KIND_DIODE)
IS_KIND(is_turning, pl_kind_is(d->kind, PL_IS_MOTOR))

/* The one device at the far end of the one wire at a pin; NULL. */
static const struct pl_device *only_user(const struct bench_edit *edit, pl_id pin) {
  const struct pl_harness *h = HARNESS(edit);
  if (h->pins.at[pin].wires.n != 1)
    return NULL;
  pl_id far = pl_wire_other_end(&h->wires.at[h->pins.at[pin].wires.at[0]], pin);
  const struct pl_device *d = far == PL_NONE ? NULL : &h->devices.at[h->pins.at[far].device];
  return d == NULL || is_node(d->kind) || pl_kind_is(d->kind, PL_IS_PLUG) ? NULL : d;
}

/* Two pins of one role and rating, each with one part of the same make straight behind it: the text
 * holds nothing but words for people that tells which belongs where. */
static bool told_by_words_only(const struct bench_edit *edit, pl_id a, pl_id b) {
  const struct pl_pin *x = &HARNESS(edit)->pins.at[a], *y = &HARNESS(edit)->pins.at[b];
  const struct pl_device *of_x = only_user(edit, a), *of_y = only_user(edit, b);
  bool alike = x->role == y->role && (x->amps == y->amps || (isnan(x->amps) && isnan(y->amps))) &&
               (x->pull_ohms == y->pull_ohms || (isnan(x->pull_ohms) && isnan(y->pull_ohms)));
  return alike && of_x != NULL && of_y != NULL && of_x->part[0] != '\0' &&
         strcmp(of_x->part, of_y->part) == 0 && of_x->quantity == PL_NONE &&
         of_y->quantity == PL_NONE;
}

static bool swap_module(struct bench_edit *edit) {
  pl_id a, b;
  if (!pair_at(edit, is_module, &a, &b) || !swap(edit, a, b))
    return false;
  enum pl_role role = HARNESS(edit)->pins.at[a].role;
  if (role == HARNESS(edit)->pins.at[b].role &&
      (role == PL_ROLE_BATTERY_FEED || role == PL_ROLE_GROUND || role == PL_ROLE_SENSOR_RETURN))
    edit->spared = "two feeds, two grounds or two returns of one controller are one inside";
  if (told_by_words_only(edit, a, b))
    edit->spared = "two pins of one role and rating with the same part behind each";
  return true;
}

static bool alone(const struct bench_edit *edit, pl_id pin) {
  return bench_pin_wires(HARNESS(edit), pin) == 1;
}

static bool swap_switch(struct bench_edit *edit) {
  pl_id a, b;
  if (!pair_at(edit, is_switch, &a, &b) || !swap(edit, a, b))
    return false;
  if (alone(edit, a) && alone(edit, b) && bench_alike_contacts(HARNESS(edit), a, b))
    edit->spared = "the contact has no direction";
  return true;
}

static bool has_diode(const struct pl_device *d) {
  return d->suppression != NULL && strstr(d->suppression, "diode") != NULL;
}

static bool swap_relay(struct bench_edit *edit) {
  pl_id a, b;
  if (!pair_at(edit, is_relay, &a, &b) || !swap(edit, a, b))
    return false;
  const struct pl_device *d = &HARNESS(edit)->devices.at[HARNESS(edit)->pins.at[a].device];
  bool coil = (a == d->coil_a && b == d->coil_b) || (a == d->coil_b && b == d->coil_a);
  if (!alone(edit, a) || !alone(edit, b))
    return true;
  if (coil && !has_diode(d))
    edit->spared = "a coil without a diode has no direction";
  bool contact = d->make.n == 1 && d->brk.n == 0 &&
                 ((a == d->make.at[0].a && b == d->make.at[0].b) ||
                  (a == d->make.at[0].b && b == d->make.at[0].a));
  if (contact)
    edit->spared = "a single contact has no direction";
  return true;
}

static bool swap_gauge(struct bench_edit *edit) {
  pl_id a, b;
  return pair_at(edit, is_gauge, &a, &b) && swap(edit, a, b);
}

static bool swap_sensor(struct bench_edit *edit) {
  pl_id a, b;
  if (!pair_at(edit, is_sensor, &a, &b) || !swap(edit, a, b))
    return false;
  if (HARNESS(edit)->devices.at[HARNESS(edit)->pins.at[a].device].pin_count == 2 &&
      alone(edit, a) && alone(edit, b))
    edit->spared = "two wires on a plain resistance have no direction";
  return true;
}

static bool swap_plug(struct bench_edit *edit) {
  pl_id a, b;
  return pair_at(edit, is_plug, &a, &b) &&
         HARNESS(edit)->pins.at[a].connector == HARNESS(edit)->pins.at[b].connector &&
         swap(edit, a, b);
}

static bool swap_bare(struct bench_edit *edit) {
  pl_id a, b;
  return pair_at(edit, is_bare, &a, &b) && swap(edit, a, b);
}

static bool swap_alternator(struct bench_edit *edit) {
  pl_id a, b;
  return pair_at(edit, is_alternator, &a, &b) && swap(edit, a, b);
}

static bool swap_starter(struct bench_edit *edit) {
  pl_id a, b;
  return pair_at(edit, is_starter, &a, &b) && swap(edit, a, b);
}

static bool swap_turning(struct bench_edit *edit) {
  pl_id a, b;
  return pair_at(edit, is_turning, &a, &b) && swap(edit, a, b);
}

/* Every wire of the two pins changes over. */
static bool turn(struct bench_edit *edit, pl_id a, pl_id b, const char *what) {
  const struct pl_harness *h = HARNESS(edit);
  pl_id pins[2] = {a, b};
  for (int k = 0; k < 2; k++)
    for (uint32_t i = 0; i < h->pins.at[pins[k]].wires.n; i++) {
      pl_id wire = h->pins.at[pins[k]].wires.at[i];
      if (!bench_wire_is_new(edit, wire))
        return false;
      int end = h->wires.at[wire].end[0] == pins[k] ? 0 : 1;
      bench_replace(edit, h->wires.at[wire].end_span[end], h->pins.at[pins[1 - k]].full);
      bench_name_wire(edit, wire);
    }
  if (edit->changes.n == 0)
    return false;
  bench_name_pin(edit, a);
  edit->what = bench_say(edit, "%s %s turned", what, h->devices.at[h->pins.at[a].device].name);
  return true;
}

static bool battery_turned(struct bench_edit *edit) {
  pl_id battery = bench_pick_device(edit, is_battery);
  if (battery == PL_NONE)
    return false;
  const struct pl_device *d = &HARNESS(edit)->devices.at[battery];
  return turn(edit, d->first_pin, d->first_pin + 1, "battery");
}

static bool diode_turned(struct bench_edit *edit) {
  pl_id diode = bench_pick_device(edit, is_diode);
  if (diode == PL_NONE)
    return false;
  const struct pl_device *d = &HARNESS(edit)->devices.at[diode];
  return turn(edit, d->first_pin, d->first_pin + 1, "diode");
}

IS_KIND(is_diode_relay, d->kind == PL_KIND_RELAY && has_diode(d))
static bool coil_turned(struct bench_edit *edit) {
  pl_id relay = bench_pick_device(edit, is_diode_relay);
  if (relay == PL_NONE)
    return false;
  const struct pl_device *d = &HARNESS(edit)->devices.at[relay];
  return turn(edit, d->coil_a, d->coil_b, "coil with diode of relay");
}

/* The sender wires of two gauges of different quantities. */
static bool senders_crossed(struct bench_edit *edit) {
  const struct pl_harness *h = HARNESS(edit);
  pl_id one = bench_pick_device(edit, is_gauge), two = bench_pick_device(edit, is_gauge);
  if (one == PL_NONE || one >= two || h->devices.at[one].quantity == h->devices.at[two].quantity)
    return false;
  pl_id signal[2], plus, minus;
  pl_gauge_pins(h, one, &plus, &minus, &signal[0]);
  pl_gauge_pins(h, two, &plus, &minus, &signal[1]);
  if (signal[0] == PL_NONE || signal[1] == PL_NONE)
    return false;
  return swap(edit, signal[0], signal[1]);
}

/* Two wires at two joints: the commonest mistake inside a loom. */
IS_KIND(is_splice, is_node(d->kind))
static bool swap_joints(struct bench_edit *edit) {
  pl_id one = bench_pick_device(edit, is_splice), two = bench_pick_device(edit, is_splice);
  if (one == PL_NONE || one >= two)
    return false;
  return swap(edit,
              HARNESS(edit)->devices.at[one].first_pin,
              HARNESS(edit)->devices.at[two].first_pin);
}

#define COPPER "both pins are one piece of copper"

const struct bench_class bench_pin_classes[] = {
    {"swap at a module",
     "two functions trade places",
     "two feeds, grounds or returns of one module; one role, rating and part behind both",
     swap_module,
     false},
    {"swap at a switch", "works in the wrong position", "no direction", swap_switch, false},
    {"swap at a relay", "coil and contact trade places", "no direction", swap_relay, false},
    {"swap at a gauge", "the needle lies or stays down", COPPER, swap_gauge, false},
    {"swap at a sensor (turned)",
     "a three-wire sensor is dead or damaged",
     "two wires on a plain resistance",
     swap_sensor,
     false},
    {"swap at a bulkhead plug", "two functions trade places", COPPER, swap_plug, false},
    {"swap at a bare connector", "what is plugged in is harmed", COPPER, swap_bare, false},
    {"swap at the alternator", "it cannot charge or burns", COPPER, swap_alternator, false},
    {"swap at the starter", "it turns always or never", COPPER, swap_starter, false},
    {"motor turned", "it runs backwards", COPPER, swap_turning, false},
    {"battery turned", "diodes burn and controllers die", "", battery_turned, false},
    {"diode turned", "it blocks what it should let pass", "", diode_turned, false},
    {"coil with diode turned", "its diode is a short", "", coil_turned, false},
    {"sender on the wrong gauge", "both needles lie", "", senders_crossed, false},
    {"swap at two joints", "two wires of two functions trade places", COPPER, swap_joints, false},
    {NULL, NULL, NULL, NULL, false}};
