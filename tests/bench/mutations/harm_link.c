/* Harm done to the data link: its ends, its twist, its shield. */
#include "bench.h"

#define HARNESS(edit) (&(edit)->machine->sound.harness)
#define DEVICE(edit, id) (&HARNESS(edit)->devices.at[id])
#define WIRE(edit, id) (&HARNESS(edit)->wires.at[id])

static bool is_terminator(const struct bench_edit *edit, pl_id device) {
  return DEVICE(edit, device)->kind == PL_KIND_TERMINATOR;
}

/* The one wire at each pin of a terminator; false when it is not so. */
static bool its_wires(const struct bench_edit *edit, pl_id device, pl_id wires[2]) {
  for (uint32_t k = 0; k < 2; k++) {
    const struct pl_pin *pin = &HARNESS(edit)->pins.at[DEVICE(edit, device)->first_pin + k];
    if (pin->wires.n != 1)
      return false;
    wires[k] = pin->wires.at[0];
  }
  return true;
}

static bool terminator_off(struct bench_edit *edit) {
  pl_id wires[2], device = bench_pick_device(edit, is_terminator);
  if (device == PL_NONE || !its_wires(edit, device, wires))
    return false;
  for (int k = 0; k < 2; k++) {
    bench_delete_line(edit, WIRE(edit, wires[k])->span.start);
    bench_name_wire(edit, wires[k]);
  }
  edit->what = bench_say(edit, "terminator %s not plugged in", DEVICE(edit, device)->name);
  return true;
}

static bool is_twisted(const struct bench_edit *edit, pl_id wire) {
  return bench_wire_is_new(edit, wire) && WIRE(edit, wire)->twist[0] != '\0';
}

/* The other wire of a twisted pair; PL_NONE. */
static pl_id partner(const struct bench_edit *edit, pl_id wire) {
  for (pl_id w = 0; w < HARNESS(edit)->wires.n; w++)
    if (w != wire && strcmp(WIRE(edit, w)->twist, WIRE(edit, wire)->twist) == 0)
      return w;
  return PL_NONE;
}

/* The pin of `wire` on the same copper as `pin`, at either end; PL_NONE. */
static pl_id same_side(struct bench_edit *edit, pl_id wire, pl_id pin) {
  if (wire == PL_NONE ||
      edit->machine->copper[WIRE(edit, wire)->end[0]] != edit->machine->copper[pin])
    return PL_NONE;
  return WIRE(edit, wire)->end[bench_below(edit, 2)];
}

/* Metres of link between two pins, by the shortest way over its wires; INFINITY. */
static double link_metres(struct bench_edit *edit, pl_id from, pl_id to) {
  const struct pl_harness *h = HARNESS(edit);
  double *far = PL_NEW_ARRAY(edit->arena, double, h->pins.n);
  for (pl_id p = 0; p < h->pins.n; p++)
    far[p] = p == from ? 0 : INFINITY;
  for (bool moved = true; moved;) {
    moved = false;
    for (pl_id w = 0; w < h->wires.n; w++) {
      const struct pl_wire *wire = WIRE(edit, w);
      if (wire->twist[0] == '\0' || wire->end[0] == PL_NONE || wire->end[1] == PL_NONE)
        continue;
      for (int k = 0; k < 2; k++)
        if (far[wire->end[k]] + wire->length < far[wire->end[1 - k]]) {
          far[wire->end[1 - k]] = far[wire->end[k]] + wire->length;
          moved = true;
        }
    }
  }
  return far[to];
}

/* To the ends of another pair of the link: then it is not at the end, or both are at one. */
static bool terminator_moved(struct bench_edit *edit) {
  pl_id wires[2], device = bench_pick_device(edit, is_terminator);
  pl_id to = bench_pick_wire(edit, is_twisted);
  if (device == PL_NONE || to == PL_NONE || !its_wires(edit, device, wires))
    return false;
  pl_id other = partner(edit, to);
  int end = (int)bench_below(edit, 2);
  for (int k = 0; k < 2; k++) {
    const struct pl_wire *w = WIRE(edit, wires[k]);
    pl_id own = DEVICE(edit, device)->first_pin + (pl_id)k;
    int far = w->end[0] == own ? 1 : 0;
    pl_id now = same_side(edit, to, w->end[far]) != PL_NONE ? to : other;
    if (same_side(edit, now, w->end[far]) == PL_NONE || now == wires[0] || now == wires[1])
      return false;
    pl_id pin = WIRE(edit, now)->end[end];
    const struct pl_device *there = DEVICE(edit, HARNESS(edit)->pins.at[pin].device);
    if (there->kind != PL_KIND_SPLICE || pin == w->end[far])
      return false;
    bench_replace(edit, w->end_span[far], HARNESS(edit)->pins.at[pin].full);
    bench_name_wire(edit, wires[k]);
    bench_name_pin(edit, pin);
    if (link_metres(edit, w->end[far], pin) < 1)
      edit->spared = "what then lies beyond it is no longer than a stub of 1 m";
  }
  edit->what = bench_say(edit,
                         "terminator %s moved to wires %s and %s",
                         DEVICE(edit, device)->name,
                         WIRE(edit, to)->number,
                         WIRE(edit, other)->number);
  return true;
}

static bool twist_off(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, is_twisted);
  struct pl_span span;
  if (wire == PL_NONE)
    return false;
  pl_id pair[2] = {wire, partner(edit, wire)};
  for (int k = 0; k < 2; k++)
    if (pair[k] != PL_NONE && bench_wire_fact(edit, pair[k], "twist", 2, &span)) {
      bench_replace(edit, span, "");
      bench_name_wire(edit, pair[k]);
    }
  edit->what = bench_say(edit, "wires of %s not twisted", WIRE(edit, wire)->twist);
  return edit->changes.n > 0;
}

static bool is_shield(const struct bench_edit *edit, pl_id wire) {
  return bench_wire_is_new(edit, wire) && WIRE(edit, wire)->shield;
}

/* The shield's one ground. */
static bool is_shield_ground(const struct bench_edit *edit, pl_id wire) {
  if (!is_shield(edit, wire))
    return false;
  for (int end = 0; end < 2; end++) {
    enum pl_kind kind = bench_kind_at(edit, wire, end);
    if (pl_kind_is(kind, PL_IS_GROUND) || kind == PL_KIND_STUD)
      return true;
  }
  return false;
}
static bool shield_off(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, is_shield_ground);
  if (wire == PL_NONE)
    return false;
  bench_delete_line(edit, WIRE(edit, wire)->span.start);
  bench_name_wire(edit, wire);
  edit->what = bench_say(edit, "ground of the shield, wire %s, off", WIRE(edit, wire)->number);
  return true;
}

static bool is_bond(const struct bench_edit *edit, pl_id device) {
  return DEVICE(edit, device)->kind == PL_KIND_BOND;
}
static bool shield_twice(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, is_shield), bond = bench_pick_device(edit, is_bond);
  if (wire == PL_NONE || bond == PL_NONE || is_shield_ground(edit, wire))
    return false;
  const char *from = HARNESS(edit)->pins.at[WIRE(edit, wire)->end[1]].full;
  bench_add_wire(
      edit,
      wire,
      bench_say(edit, "9904 %s %s 20 AWG length 0.5 m shield", from, DEVICE(edit, bond)->name));
  PL_PUSH(edit->arena, &edit->wires, "9904");
  bench_name_wire(edit, wire);
  bench_name_device(edit, bond);
  edit->what =
      bench_say(edit, "shield grounded a second time, %s to %s", from, DEVICE(edit, bond)->name);
  return true;
}

static bool is_pair(const struct bench_edit *edit, pl_id wire) {
  return is_twisted(edit, wire) && partner(edit, wire) != PL_NONE;
}

/* A third terminator somewhere on the link. */
static bool third_terminator(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, is_pair);
  if (wire == PL_NONE || bench_pick_device(edit, is_terminator) == PL_NONE)
    return false;
  const struct pl_wire *one = WIRE(edit, wire), *two = WIRE(edit, partner(edit, wire));
  const char *a = HARNESS(edit)->pins.at[one->end[0]].full;
  const char *b = HARNESS(edit)->pins.at[two->end[0]].full;
  bench_add_wire(edit,
                 wire,
                 bench_say(edit, "9905 RT9905.1 %s 20 AWG length 0.2 m twist t9905", a));
  bench_add_wire(edit,
                 wire,
                 bench_say(edit, "9906 RT9905.2 %s 20 AWG length 0.2 m twist t9905", b));
  bench_insert_before_line(edit,
                           HARNESS(edit)->circuits.at[0].span.start,
                           "terminator RT9905\n  resistance 120 ohm");
  PL_PUSH(edit->arena, &edit->things, "RT9905");
  PL_PUSH(edit->arena, &edit->wires, "9905");
  bench_name_wire(edit, wire);
  edit->what = bench_say(edit, "a third terminator at %s and %s", a, b);
  return true;
}

/* Both wires of one stretch changed over at one end: high meets low beyond it. */
static bool pair_crossed(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, is_pair);
  if (wire == PL_NONE)
    return false;
  pl_id other = partner(edit, wire);
  int end = (int)bench_below(edit, 2);
  const struct pl_wire *one = WIRE(edit, wire), *two = WIRE(edit, other);
  bench_replace(edit, one->end_span[end], HARNESS(edit)->pins.at[two->end[end]].full);
  bench_replace(edit, two->end_span[end], HARNESS(edit)->pins.at[one->end[end]].full);
  bench_name_wire(edit, wire);
  bench_name_wire(edit, other);
  edit->what = bench_say(edit,
                         "wires %s and %s of the link crossed at %s",
                         one->number,
                         two->number,
                         HARNESS(edit)->pins.at[one->end[end]].full);
  const struct pl_harness *h = HARNESS(edit);
  for (int k = 0; k < 2; k++)
    if (h->devices.at[h->pins.at[one->end[k]].device].kind == PL_KIND_TERMINATOR)
      edit->spared = "a terminator has no direction";
  return true;
}

const struct bench_class bench_link_classes[] = {
    {"terminator off", "the link rings", "", terminator_off, false},
    {"terminator moved",
     "the link rings",
     "beyond it lies no more than a stub of 1 m (SAE J1939-11, second hand)",
     terminator_moved,
     false},
    {"third terminator", "the link is loaded down", "", third_terminator, false},
    {"twist off", "the link picks up noise", "", twist_off, false},
    {"link pair crossed", "beyond it nothing is heard", "a terminator", pair_crossed, false},
    {"shield not grounded", "it shields nothing", "", shield_off, false},
    {"shield grounded twice", "ground current runs in it", "", shield_twice, false},
    {NULL, NULL, NULL, NULL, false}};
