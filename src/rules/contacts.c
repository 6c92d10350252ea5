/* Contacts and coils: what switches and relays break, what coils do to what drives them, relays
 * that pull in badly, devices of another voltage, switches that change nothing. */
#include <math.h>
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/margin_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/fuse_gates.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

/* ---- contacts ---- */

static enum pl_load_class class_of(const struct pl_device *device) {
  if (pl_kind_is(device->kind, PL_IS_LAMP) && device->law != PL_LAW_CURRENT)
    return PL_CLASS_LAMP;
  if (pl_kind_is(device->kind, PL_IS_MOTOR))
    return PL_CLASS_MOTOR;
  if (pl_kind_is(device->kind, PL_IS_INDUCTIVE))
    return PL_CLASS_INDUCTIVE;
  return PL_CLASS_RESISTIVE;
}

struct burden {
  double amps, derated; /* through the busiest contact; what its loads ask of its rating */
  pl_id state, load;
};

/* What loads behind each switch ask of its rating in one state: amps times the factor of
 * AC 43.13-1B. */
static void add_derated(const struct pl_check *check, pl_id state, double *asked, pl_id *load) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    double amps = fabs(check->solutions[state].device_amps[d]);
    pl_id pin = pl_live_pin(h, device);
    if (!pl_kind_is_load(device->kind))
      continue;
    if (pin == PL_NONE)
      continue;
    if (!(amps > 0))
      continue;
    pl_id gate = pl_ways_gate(check, pin);
    if (gate == PL_NONE)
      continue;
    if (!pl_kind_is_but(h->devices.at[gate].kind, PL_IS_SETTABLE, PL_IS_DISCONNECT))
      continue;
    asked[gate] += amps * pl_switch_derating(class_of(device), pl_nominal_volts(h, d));
    if (load[gate] == PL_NONE)
      load[gate] = d;
  }
}

static void report_contact(struct pl_check *check, pl_id d, const struct burden *burden) {
  const struct pl_device *device = &check->harness->devices.at[d];
  bool over = burden->amps > device->rating * (1 + 1e-9);
  struct pl_finding f =
      pl_finding_new("contact-overload", over ? PL_FAULT : PL_ADVICE, device->span, device->name);
  f.state = pl_state_name(check, burden->state);
  if (over)
    f.figure = burden->amps;
  else
    f.figure = burden->derated;
  f.limit = device->rating;
  f.unit = "A";
  if (over) {
    f.text = pl_arena_printf(check->arena,
                             "a contact of %s carries %s, its rating is %s",
                             device->name,
                             pl_say(check->arena, burden->amps, "A"),
                             pl_say(check->arena, device->rating, "A"));
    f.source = "the rating in the description";
  } else {
    f.text = pl_arena_printf(check->arena,
                             "%s of %s switches %s, %s%s: such a load asks for a contact rated %s",
                             device->name,
                             pl_say(check->arena, device->rating, "A"),
                             pl_say(check->arena, burden->amps, "A"),
                             check->harness->devices.at[burden->load].name,
                             class_of(&check->harness->devices.at[burden->load]) == PL_CLASS_LAMP
                                 ? " among them, whose filament is cold"
                                 : " among them",
                             pl_say(check->arena, burden->derated, "A"));
  }
  if (pl_kind_is_but(device->kind, PL_IS_SETTABLE, PL_IS_DISCONNECT))
    f.remedy = "let the switch work a relay, or take a switch of a higher rating";
  else
    f.remedy = "a relay or contactor of a higher rating";
  pl_findings_add(check->findings, f);
}

void pl_rule_contact_overload(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  struct burden *worst = PL_BY_DEVICE(check, struct burden);
  double *asked = PL_BY_DEVICE(check, double);
  double *busiest = PL_BY_DEVICE(check, double);
  pl_id *load = PL_BY_DEVICE(check, pl_id);
  for (pl_id s = 0; s < h->states.n; s++) {
    const struct pl_solution *solution = &check->solutions[s];
    if (solution->status != PL_SOLVED)
      continue;
    for (pl_id d = 0; d < h->devices.n; d++) {
      asked[d] = busiest[d] = 0;
      load[d] = PL_NONE;
    }
    add_derated(check, s, asked, load);
    for (uint32_t i = 0; i < solution->element_count; i++) {
      const struct pl_element *e = &solution->elements[i];
      if (e->device != PL_NONE && e->kind == PL_ELEMENT_CONTACT && !e->open)
        busiest[e->device] = fmax(busiest[e->device], fabs(e->amps));
    }
    for (pl_id d = 0; d < h->devices.n; d++) {
      const struct pl_device *device = &h->devices.at[d];
      bool contact = pl_kind_is(device->kind, PL_IS_CONTACTS);
      bool brief = pl_kind_is(device->kind, PL_IS_DISCONNECT) &&
                   !check->facts->live[s]; /* it is not opened while cranking, and bears that */
      if (!contact || brief)
        continue;
      if (!(device->rating > 0))
        continue;
      if (busiest[d] > fmax(worst[d].amps, device->rating * (1 + 1e-9)))
        worst[d] = (struct burden){busiest[d], asked[d], s, load[d]};
      else if (worst[d].amps <= device->rating &&
               asked[d] > fmax(worst[d].derated, device->rating * (1 + 1e-9)))
        worst[d] = (struct burden){busiest[d], asked[d], s, load[d]};
    }
  }
  for (pl_id d = 0; d < h->devices.n; d++)
    if (worst[d].amps > 0)
      report_contact(check, d, &worst[d]);
}

/* ---- coils on outputs ---- */

static bool has_coil(const struct pl_device *device, pl_id *a, pl_id *b) {
  if (pl_kind_is(device->kind, PL_IS_RELAY)) {
    *a = device->coil_a;
    *b = device->coil_b;
  } else {
    *a = device->plus;
    *b = device->minus;
  }
  if (*a == PL_NONE || *b == PL_NONE)
    return false;
  return pl_kind_is(device->kind, PL_IS_RELAY | PL_IS_WINDING);
}

void pl_rule_coil_unsuppressed(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  pl_id *output = PL_BY_PIN(check, pl_id);
  for (pl_id p = 0; p <= h->pins.n; p++)
    output[p] = PL_NONE;
  for (pl_id p = 0; p < h->pins.n; p++)
    if (h->pins.at[p].role == PL_ROLE_HIGH_SIDE || h->pins.at[p].role == PL_ROLE_LOW_SIDE)
      output[check->facts->net[p]] = p;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    pl_id a, b;
    if (!has_coil(device, &a, &b))
      continue;
    if (strncmp(device->suppression, "diode", 5) == 0) { /* across the coil, ring at coil_a */
      for (pl_id s = 0; s < h->states.n; s++) {
        if (check->solutions[s].status != PL_SOLVED)
          continue;
        if (!(check->solutions[s].device_volts[d] < -1))
          continue;
        struct pl_finding f =
            pl_finding_new("coil-unsuppressed", PL_DANGER, pl_pin_wiring_span(h, a), device->name);
        f.state = pl_state_name(check, s);
        f.figure = check->solutions[s].device_volts[d];
        f.unit = "V";
        f.text = pl_arena_printf(check->arena,
                                 "the coil of %s has its diode the wrong way round: %s must be "
                                 "plus, but %s is; the diode is a short circuit",
                                 device->name,
                                 h->pins.at[a].full,
                                 h->pins.at[b].full);
        f.remedy = "swap the two coil wires";
        pl_findings_add(check->findings, f);
        break;
      }
      continue;
    }
    bool none = strcmp(device->suppression, "none") == 0;
    bool silent = device->suppression[0] == '\0' && pl_kind_is(device->kind, PL_IS_RELAY);
    pl_id pin;
    if (output[check->facts->net[a]] != PL_NONE)
      pin = output[check->facts->net[a]];
    else
      pin = output[check->facts->net[b]];
    if (pin == PL_NONE)
      continue;
    if (!none && !silent)
      continue;
    struct pl_finding f = pl_finding_new("coil-unsuppressed",
                                         none ? PL_FAULT : PL_ADVICE,
                                         device->span,
                                         device->name);
    f.text = pl_arena_printf(check->arena,
                             "the coil of %s hangs on output %s %s: at switching off it kicks back "
                             "with a hundred volts and more",
                             device->name,
                             h->pins.at[pin].full,
                             none ? "with nothing across it"
                                  : "and the text does not say what is across it");
    f.remedy =
        "a relay with a resistor (680 ohm at 12 V, 2.7 kohm at 24 V) or a diode across its coil";
    pl_findings_add(check->findings, f);
  }
}

/* ---- weak relays ---- */

void pl_rule_relay_weak(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *relay = &h->devices.at[d];
    if (!pl_kind_is(relay->kind, PL_IS_RELAY))
      continue;
    double pulls;
    if (relay->pull_in > 0)
      pulls = relay->pull_in;
    else
      pulls = pl_nominal_volts(h, d) * 2 / 3;
    double hot;
    if (relay->place == PL_NONE)
      hot = 40;
    else
      hot = h->places.at[relay->place].hot;
    double need = pulls * pl_copper_factor(isnan(hot) ? 40 : hot);
    double worst = INFINITY;
    pl_id state = PL_NONE;
    for (pl_id s = 0; s < h->states.n; s++) {
      const struct pl_solution *solution = &check->solutions[s];
      enum pl_engine engine = h->states.at[s].engine;
      if (solution->status != PL_SOLVED || !solution->device_on[d] || engine == PL_ENGINE_CRANKING)
        continue; /* it pulled in before the sag */
      double volts = fabs(solution->device_volts[d]);
      if (relay->latching && volts < 1)
        continue; /* it stays set without its coil */
      if (engine == PL_ENGINE_STOPPED && isnan(h->states.at[s].battery_volts))
        volts *= pl_limit_low_battery.value / 12.6;
      if (!(volts < worst))
        continue;
      worst = volts;
      state = s;
    }
    if (!(worst < need))
      continue;
    struct pl_finding f = pl_finding_new("relay-weak", PL_FAULT, relay->span, relay->name);
    f.state = pl_state_name(check, state);
    f.figure = worst;
    f.limit = need;
    f.unit = "V";
    struct pl_margin near = {state,
                             {PL_READING_DEVICE_VOLTS, d, PL_NONE, PL_NONE},
                             worst / fabs(check->solutions[state].device_volts[d]),
                             need,
                             true};
    f.text = pl_arena_printf(check->arena,
                             "the coil of %s gets %s%s; at %s it needs %s to pull in (%s cold)%s",
                             relay->name,
                             pl_say(check->arena, worst, "V"),
                             h->states.at[state].engine == PL_ENGINE_STOPPED
                                 ? " from a battery that is nearly empty"
                                 : "",
                             pl_say(check->arena, isnan(hot) ? 40 : hot, "degC"),
                             pl_say(check->arena, need, "V"),
                             pl_say(check->arena, pulls, "V"),
                             pl_say_good_end(check, near, "V"));
    f.remedy = "feed the coil apart from what the contacts carry, by thicker wire, or put the "
               "relay in a cooler place";
    pl_findings_add(check->findings, f);
  }
}

/* ---- another voltage ---- */

static void report_volts(struct pl_check *check,
                         enum pl_severity severity,
                         struct pl_span span,
                         const char *place,
                         pl_id state,
                         double figure,
                         double limit,
                         const char *text,
                         const char *remedy) {
  struct pl_finding f = pl_finding_new("wrong-volts", severity, span, place);
  f.state = pl_state_name(check, state);
  f.figure = figure;
  f.limit = limit;
  f.unit = "V";
  f.text = text;
  f.remedy = remedy;
  pl_findings_add(check->findings, f);
}

/* Pins that hang on the middle of batteries in series. */
static void check_middle(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  bool *middle = PL_BY_PIN(check, bool), any = false;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *battery = &h->devices.at[d];
    pl_id posts[2] = {battery->plus, battery->minus};
    for (int i = 0; pl_kind_is(battery->kind, PL_IS_STORE) && i < 2; i++) {
      if (posts[i] == PL_NONE)
        continue;
      if (check->facts->pole[posts[i]] != 0)
        continue;
      if (check->facts->reach[posts[i]] == 0)
        continue;
      middle[check->facts->net[posts[i]]] = any = true;
    }
  }
  for (pl_id p = 0; any && p < h->pins.n; p++) {
    enum pl_kind kind = pl_pin_device(h, p)->kind;
    if (!middle[check->facts->net[p]])
      continue;
    if (!pl_kind_is(kind, PL_IS_LOAD | PL_IS_MODULE) &&
        !pl_kind_is_but(kind, PL_IS_CONTACTS, PL_IS_DISCONNECT))
      continue;
    report_volts(
        check,
        PL_FAULT,
        pl_pin_wiring_span(h, p),
        h->pins.at[p].full,
        PL_NONE,
        NAN,
        NAN,
        pl_arena_printf(
            check->arena,
            "%s hangs on the middle of batteries in series: one is emptied, the other boils",
            h->pins.at[p].full),
        "feed it from the whole battery through a converter");
    middle[check->facts->net[p]] = false; /* one cause, one finding */
  }
}

void pl_rule_wrong_volts(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  check_middle(check);
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    double own = pl_nominal_volts(h, d);
    double machine = h->machine.volts;
    double worst = 0;
    bool source = pl_kind_is(device->kind, PL_IS_GENERATOR | PL_IS_STARTER);
    bool asked = pl_kind_is(device->kind, PL_IS_USER | PL_IS_GENERATOR | PL_IS_GAUGE);
    pl_id state = PL_NONE;
    if (!asked || !(own > 0))
      continue;
    if (fabs(own / machine - 1) < 0.25)
      continue;
    for (pl_id s = 0; s < h->states.n; s++) {
      double volts = NAN;
      if (check->solutions[s].status == PL_SOLVED)
        volts = fabs(check->solutions[s].device_volts[d]);
      if (!(volts > worst))
        continue;
      worst = volts;
      state = s;
    }
    bool high = worst > 1.35 * own;
    bool low = worst > 0.1 * machine && worst < 0.75 * own;
    if (!source && !high && !low)
      continue;
    if (source && worst == 0)
      continue;
    report_volts(check,
                 high ? PL_DANGER : PL_FAULT,
                 device->span,
                 device->name,
                 state,
                 worst,
                 own,
                 pl_arena_printf(check->arena,
                                 "%s is made for %s and gets %s",
                                 device->name,
                                 pl_say(check->arena, own, "V"),
                                 pl_say(check->arena, worst, "V")),
                 pl_arena_printf(check->arena,
                                 "the same part for %s, or a converter",
                                 pl_say(check->arena, machine, "V")));
  }
}

/* ---- switches that change nothing ---- */

void pl_rule_switch_idle(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    bool wired = false;
    bool useful = false;
    pl_id a = PL_NONE;
    pl_id b = PL_NONE;
    if (!pl_kind_is_but(device->kind, PL_IS_SETTABLE, PL_IS_DISCONNECT))
      continue;
    if (device->throws.n < 2)
      continue;
    for (pl_id p = device->first_pin; p < pl_pins_end(device); p++)
      if (pl_pin_wires_there(h, p) > 0)
        wired = true;
    for (uint32_t t = 0; t < device->throws.n; t++)
      for (uint32_t i = 0; i < device->throws.at[t].joins.n; i++) {
        struct pl_join join = device->throws.at[t].joins.at[i];
        bool both = check->facts->first[join.a] < check->facts->first[join.a + 1] &&
                    !pl_same_net(check, join.a, join.b);
        useful = useful ||
                 (both && pl_pin_wires_there(h, join.a) > 0 && pl_pin_wires_there(h, join.b) > 0);
        if (pl_pin_wires_there(h, join.a) > 0 && pl_pin_wires_there(h, join.b) > 0) {
          a = join.a;
          b = join.b;
        }
      }
    if (!wired || useful || a == PL_NONE)
      continue; /* a half-wired switch is another rule's business */
    struct pl_finding f = pl_finding_new("switch-idle", PL_FAULT, device->span, device->name);
    f.text = pl_arena_printf(check->arena,
                             "%s changes nothing: %s and %s are joined outside it anyway",
                             device->name,
                             h->pins.at[a].full,
                             h->pins.at[b].full);
    f.remedy = "find the wire that goes round the switch";
    pl_findings_add(check->findings, f);
  }
}
