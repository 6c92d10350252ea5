/* Connections: what sits in which cavity, wire ends in the air, inputs nobody drives, colours side
 * by side, pin facts that are guesses. */
#include <math.h>
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "rules/stretch_inner.h"

static bool wired(const struct pl_check *check, pl_id pin, bool count_capped) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  for (uint32_t i = 0; i < p->wires.n; i++) {
    enum pl_wire_status status = check->harness->wires.at[p->wires.at[i]].status;
    if (status != PL_WIRE_DONOR_REMOVED && (count_capped || status != PL_WIRE_DONOR_CAPPED))
      return true;
  }
  return false;
}

void pl_rule_required_pin_empty(struct pl_check *check) {
  for (pl_id p = 0; p < check->harness->pins.n; p++) {
    const struct pl_pin *pin = &check->harness->pins.at[p];
    if (pin->need != PL_NEED_REQUIRED)
      continue;
    if (wired(check, p, false))
      continue;
    bool supply = pin->role == PL_ROLE_BATTERY_FEED || pin->role == PL_ROLE_GROUND;
    struct pl_finding f =
        pl_finding_new("required-pin-empty", supply ? PL_DANGER : PL_FAULT, pin->span, pin->full);
    const char *why = "has no wire";
    if (wired(check, p, true))
      why = "holds only a capped donor wire";
    f.text =
        pl_arena_printf(check->arena,
                        "%s must be wired and %s%s",
                        pl_say_place(check, p),
                        why,
                        !supply                       ? ""
                        : pin->role == PL_ROLE_GROUND ? ": the other grounds would carry its share"
                                                      : ": the other feeds would carry its share");
    f.remedy = pl_arena_printf(check->arena,
                               "run a wire to %s%s",
                               pin->full,
                               pin->sure == PL_SURE_GUESS || pin->sure == PL_SURE_WEB
                                   ? ", after checking the pin against the maker's sheet"
                                   : "");
    pl_findings_add(check->findings, f);
  }
}

void pl_rule_unused_pin_wired(struct pl_check *check) {
  for (pl_id p = 0; p < check->harness->pins.n; p++) {
    const struct pl_pin *pin = &check->harness->pins.at[p];
    if (pin->need != PL_NEED_UNUSED && pin->role != PL_ROLE_UNUSED)
      continue;
    if (!wired(check, p, false))
      continue;
    struct pl_finding f = pl_finding_new("unused-pin-wired",
                                         PL_FAULT,
                                         pl_pin_wiring_span(check->harness, p),
                                         pin->full);
    f.text = pl_arena_printf(check->arena,
                             "%s is said to be unused, but %s %s there",
                             pin->full,
                             pl_say_wires(check, pin->wires.at, pin->wires.n),
                             pin->wires.n == 1 ? "ends" : "end");
    f.remedy = "look the pin up again: move the wire, or say what the pin is for";
    pl_findings_add(check->findings, f);
  }
}

/* A switch, sensor or the like with a wire at one pin only, where a plug alone would hide that
 * another is missing. */
static bool half_wired(const struct pl_check *check, pl_id d) {
  const struct pl_device *device = &check->harness->devices.at[d];
  uint32_t n = 0;
  if (pl_kind_is(device->kind, PL_IS_MODULE | PL_IS_PLUG))
    return false;
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++)
    n += wired(check, p, true);
  return n == 1 && device->pin_count > 1;
}

static void check_cavities(struct pl_check *check, pl_id c) {
  const struct pl_connector *connector = &check->harness->connectors.at[c];
  PL_VEC(const char *) open = {0};
  for (pl_id p = connector->first_pin; p < connector->first_pin + connector->pin_count; p++) {
    const struct pl_pin *pin = &check->harness->pins.at[p];
    if (pin->plugged)
      continue;
    if (wired(check, p, true))
      continue;
    if (pin->need == PL_NEED_REQUIRED)
      continue;
    if (pin->role == PL_ROLE_PLUS || pin->role == PL_ROLE_MINUS)
      continue; /* it lacks a wire, not a plug: load-without-feed, -return */
    PL_PUSH(check->arena, &open, pin->cavity[0] == '\0' ? pin->name : pin->cavity);
  }
  if (open.n == 0)
    return;
  const char *name = pl_say_connector(check, c);
  struct pl_finding f = pl_finding_new("cavity-unplugged", PL_FAULT, connector->span, name);
  f.figure = open.n;
  f.limit = 0;
  f.unit = "cavities";
  f.text = pl_arena_printf(check->arena,
                           "sealed connector %s lets water in: %s %s %s empty and without a plug",
                           name,
                           open.n == 1 ? "cavity" : "cavities",
                           pl_say_some(check, open.at, open.n, 12),
                           open.n == 1 ? "is" : "are");
  if (half_wired(check, connector->device))
    f.remedy = "wire what is missing there; where nothing belongs, fit a cavity plug and write "
               "`plug` at the pin";
  else if (open.n == 1)
    f.remedy = "fit a cavity plug and write `plug` at the pin";
  else
    f.remedy = "fit cavity plugs and write `plug` at the pins";
  pl_findings_add(check->findings, f);
}

void pl_rule_cavity_unplugged(struct pl_check *check) {
  for (pl_id c = 0; c < check->harness->connectors.n; c++)
    if (check->harness->connectors.at[c].sealed)
      check_cavities(check, c);
}

/* Most volts seen at a pin against the earthed pole, and in which state. */
static double most_volts(const struct pl_check *check, pl_id pin, pl_id *state) {
  double most = 0;
  for (pl_id s = 0; s < check->harness->states.n; s++) {
    if (check->solutions[s].status != PL_SOLVED)
      continue;
    double volts = fabs(check->solutions[s].pin_volts[pin]);
    if (volts > most) {
      most = volts;
      *state = s;
    }
  }
  return most;
}

void pl_rule_wire_end_in_air(struct pl_check *check) {
  for (pl_id w = 0; w < check->harness->wires.n; w++) {
    const struct pl_wire *wire = &check->harness->wires.at[w];
    if (wire->status == PL_WIRE_DONOR_REMOVED)
      continue;
    if (wire->status == PL_WIRE_DONOR_CAPPED)
      continue;
    if (wire->end[0] != PL_NONE && wire->end[1] != PL_NONE)
      continue;
    pl_id pin;
    if (wire->end[0] != PL_NONE)
      pin = wire->end[0];
    else
      pin = wire->end[1];
    pl_id state = PL_NONE;
    double volts = 0;
    if (pin != PL_NONE)
      volts = most_volts(check, pin, &state);
    bool live = volts > 0.5 * check->harness->machine.volts;
    struct pl_span span = wire->end_span[wire->end[0] == PL_NONE ? 0 : 1];
    struct pl_finding f = pl_finding_new("wire-end-in-air",
                                         live ? PL_DANGER : PL_FAULT,
                                         span.file == PL_NO_FILE ? wire->span : span,
                                         pl_say_wire(check, w));
    if (live) {
      f.state = pl_state_name(check, state);
      f.figure = volts;
      f.unit = "V";
    }
    const char *from = "hangs with both ends";
    if (pin != PL_NONE)
      from = pl_arena_printf(check->arena,
                             "comes from %s and ends",
                             check->harness->pins.at[pin].full);
    f.text = pl_arena_printf(
        check->arena,
        "wire %s %s in the air%s",
        wire->number,
        from,
        live ? pl_arena_printf(check->arena, " with %s on it", pl_say(check->arena, volts, "V"))
             : "");
    f.remedy = "join the end to a pin, or cut the wire back, cap it and write `donor capped`";
    pl_findings_add(check->findings, f);
  }
}

/* ---- inputs ---- */

/* What only joins: a switch drives an input by what its contacts lead to. */
static bool is_between(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_NODE | PL_IS_PLUG) || pl_passes_on(kind);
}

/* Nothing comes from another input that only listens. */
static bool only_listens(const struct pl_check *check, pl_id pin) {
  enum pl_role role = check->harness->pins.at[pin].role;
  return role == PL_ROLE_SWITCH_INPUT || role == PL_ROLE_SIGNAL_INPUT;
}

/* The poles that can drive it: of a switch input the other one than its pull goes to. */
static uint8_t driving_poles(const struct pl_pin *pin) {
  if (pin->role != PL_ROLE_SWITCH_INPUT)
    return PL_POLE_PLUS | PL_POLE_MINUS;
  if (isnan(pin->pull_ohms))
    return PL_POLE_PLUS | PL_POLE_MINUS;
  if (pin->pull_volts == 0)
    return PL_POLE_PLUS;
  return PL_POLE_MINUS;
}

/* Anything but joints, plugs, contacts and other inputs on the way, or a wire end in the air
 * (reported by itself). */
static bool is_driven(const struct pl_check *check, pl_id input, const pl_id *stretch, uint32_t n) {
  const struct pl_harness *h = check->harness;
  uint8_t poles = driving_poles(&h->pins.at[input]);
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_pin *pin = &h->pins.at[stretch[i]];
    bool driver = !is_between(h->devices.at[pin->device].kind) && !only_listens(check, stretch[i]);
    if (check->facts->reach[stretch[i]] & poles)
      return true;
    if (driver)
      return true;
    for (uint32_t k = 0; k < pin->wires.n; k++)
      if (h->wires.at[pin->wires.at[k]].status != PL_WIRE_DONOR_REMOVED &&
          !pl_wire_joins(&h->wires.at[pin->wires.at[k]]))
        return true;
  }
  return false;
}

static bool is_wired_input(const struct pl_check *check, pl_id pin) {
  return only_listens(check, pin) && wired(check, pin, false);
}

/* One finding for all inputs of the stretch. */
static void
report_undriven(struct pl_check *check, pl_id input, const pl_id *stretch, uint32_t n, bool *told) {
  const struct pl_harness *h = check->harness;
  pl_id gap = pl_stretch_gap(check, stretch, n);
  PL_VEC(const char *) others = {0};
  for (uint32_t i = 0; i < n; i++) {
    if (!is_wired_input(check, stretch[i]))
      continue;
    told[stretch[i]] = true;
    if (stretch[i] != input)
      PL_PUSH(check->arena, &others, h->pins.at[stretch[i]].full);
  }
  struct pl_finding f = pl_finding_new("input-undriven",
                                       PL_FAULT,
                                       pl_pin_wiring_span(h, input),
                                       h->pins.at[input].full);
  f.text = pl_arena_printf(
      check->arena,
      "%s%s%s wired, but no sensor, output or closing switch can drive %s: "
      "the way ends at %s",
      pl_say_place(check, input),
      others.n == 0 ? " is" : " and ",
      others.n == 0
          ? ""
          : pl_arena_printf(check->arena, "%s are", pl_say_some(check, others.at, others.n, 4)),
      others.n == 0 ? "it" : "them",
      h->pins.at[gap].full);
  f.remedy = pl_arena_printf(check->arena,
                             "carry the way on from %s to what should drive this input",
                             h->pins.at[gap].full);
  f.blames = h->pins.at[gap].full;
  pl_findings_add(check->findings, f);
}

void pl_rule_input_undriven(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  pl_id *queue = PL_BY_PIN(check, pl_id);
  uint32_t *stamp = PL_BY_PIN(check, uint32_t);
  bool *told = PL_BY_PIN(check, bool);
  uint32_t turn = 0;
  for (pl_id p = 0; p < h->pins.n; p++) {
    if (!is_wired_input(check, p))
      continue;
    if (told[p])
      continue;
    if (check->facts->pole[p] != 0)
      continue;
    uint32_t n = pl_stretch(check, p, ++turn, stamp, queue);
    if (!is_driven(check, p, queue, n))
      report_undriven(check, p, queue, n, told);
  }
}

/* ---- colours ---- */

static pl_id only_wire(const struct pl_check *check, pl_id pin) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  pl_id only = PL_NONE;
  for (uint32_t i = 0; i < p->wires.n; i++) {
    if (check->harness->wires.at[p->wires.at[i]].status == PL_WIRE_DONOR_REMOVED)
      continue;
    if (only != PL_NONE)
      return PL_NONE;
    only = p->wires.at[i];
  }
  return only;
}

static bool mixed_up(const struct pl_check *check, pl_id p, pl_id q) {
  pl_id v = only_wire(check, p);
  pl_id w = only_wire(check, q);
  if (v == PL_NONE || w == PL_NONE)
    return false;
  if (v == w)
    return false;
  const struct pl_wire *a = &check->harness->wires.at[v];
  const struct pl_wire *b = &check->harness->wires.at[w];
  if (a->colour.base[0] == '\0')
    return false;
  if (strcmp(a->colour.base, b->colour.base) != 0)
    return false;
  if (strcmp(a->colour.stripe, b->colour.stripe) != 0)
    return false;
  if (strcmp(a->colour.stripe2, b->colour.stripe2) != 0)
    return false;
  if (a->area != b->area)
    return false;                   /* told apart by their size */
  return !pl_same_net(check, p, q); /* of one net: swapping them does no harm */
}

static void check_colours(struct pl_check *check, pl_id c) {
  const struct pl_connector *connector = &check->harness->connectors.at[c];
  uint32_t rows = connector->rows;
  uint32_t columns = connector->columns;
  if (rows == 0 || columns == 0)
    return;
  if ((uint64_t)rows * columns > 4096)
    return;
  pl_id *face = PL_NEW_ARRAY(check->arena, pl_id, (size_t)rows * columns);
  for (uint32_t i = 0; i < rows * columns; i++)
    face[i] = PL_NONE;
  for (pl_id p = connector->first_pin; p < connector->first_pin + connector->pin_count; p++) {
    const struct pl_pin *pin = &check->harness->pins.at[p];
    if (pin->row >= 1 && pin->row <= rows && pin->column >= 1 && pin->column <= columns)
      face[(pin->row - 1) * columns + pin->column - 1] = p;
  }
  PL_VEC(const char *) pairs = {0};
  for (uint32_t i = 0; i < rows * columns; i++)
    for (int down = 0; down < 2; down++) {
      uint32_t j = down ? i + columns : i + 1;
      if (down ? j >= rows * columns : i % columns == columns - 1)
        continue;
      if (face[i] == PL_NONE)
        continue;
      if (face[j] == PL_NONE)
        continue;
      if (!mixed_up(check, face[i], face[j]))
        continue;
      char colour[16];
      const struct pl_wire *wire = &check->harness->wires.at[only_wire(check, face[i])];
      PL_PUSH(check->arena,
              &pairs,
              pl_arena_printf(check->arena,
                              "%s and %s (%s)",
                              check->harness->pins.at[face[i]].cavity,
                              check->harness->pins.at[face[j]].cavity,
                              pl_colour_text(&wire->colour, colour)));
    }
  if (pairs.n == 0)
    return;
  const char *name = pl_say_connector(check, c);
  struct pl_finding f =
      pl_finding_new("same-colour-side-by-side", PL_ADVICE, connector->span, name);
  f.figure = pairs.n;
  if (pairs.n == 1)
    f.unit = "pair";
  else
    f.unit = "pairs";
  f.text = pl_arena_printf(check->arena,
                           "wires of one colour and size sit side by side in connector %s: %s",
                           name,
                           pl_say_some(check, pairs.at, pairs.n, 4));
  f.remedy = "give one of them another colour or stripe, or number both at the connector";
  pl_findings_add(check->findings, f);
}

void pl_rule_same_colour(struct pl_check *check) {
  for (pl_id c = 0; c < check->harness->connectors.n; c++)
    check_colours(check, c);
}

/* ---- how sure the pin facts are ---- */

void pl_rule_guess(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    PL_VEC(const char *) unsure = {0};
    pl_id first = PL_NONE;
    for (pl_id p = device->first_pin; p < pl_pins_end(device); p++) {
      const struct pl_pin *pin = &h->pins.at[p];
      if (pin->sure != PL_SURE_GUESS && pin->sure != PL_SURE_WEB)
        continue;
      if (!wired(check, p, false))
        continue;
      if (first == PL_NONE)
        first = p;
      PL_PUSH(check->arena,
              &unsure,
              pl_arena_printf(check->arena, "%s (%s)", pin->name, pl_sure_name(pin->sure)));
    }
    if (unsure.n == 0)
      continue;
    struct pl_finding f = pl_finding_new("guess", PL_ADVICE, h->pins.at[first].span, device->name);
    f.figure = unsure.n;
    if (unsure.n == 1)
      f.unit = "pin";
    else
      f.unit = "pins";
    f.text = pl_arena_printf(check->arena,
                             "%s: neither from the maker nor measured is what stands here of %s %s",
                             device->name,
                             unsure.n == 1 ? "pin" : "pins",
                             pl_say_some(check, unsure.at, unsure.n, 8));
    f.remedy = "check against the maker's sheet or measure before power goes on, then write `from "
               "maker` or `from measured`";
    pl_findings_add(check->findings, f);
  }
}
