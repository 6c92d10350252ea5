/* What controllers expect at their inputs: codes of coded switches, volts that count as a reading,
 * modules they must hear from. */
#include <math.h>
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

/* ---- codes ---- */

static pl_id ground_of(const struct pl_harness *h, pl_id d) {
  const struct pl_device *module = &h->devices.at[d];
  pl_id ground = PL_NONE;
  for (pl_id p = module->first_pin; p < pl_pins_end(module); p++) {
    if (h->pins.at[p].role == PL_ROLE_GROUND && pl_pin_wires_there(h, p) > 0)
      return p;
    if (h->pins.at[p].role == PL_ROLE_SENSOR_RETURN && pl_pin_wires_there(h, p) > 0)
      ground = p;
  }
  return ground;
}

/* An input counts as closed when its switch holds it on the other side of half its pull. */
static bool is_closed(const struct pl_check *check,
                      const struct pl_solution *solution,
                      pl_id pin,
                      pl_id ground) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  double volts = solution->pin_volts[pin] - (ground == PL_NONE ? 0 : solution->pin_volts[ground]);
  double pull = p->pull_volts > 0 ? p->pull_volts : check->harness->machine.volts;
  if (p->pull_volts == 0)
    return volts > pull / 2;
  return isfinite(volts) && volts < pull / 2;
}

static const char *code_in(const struct pl_check *check,
                           const struct pl_solution *solution,
                           pl_id module,
                           const struct pl_codes *codes) {
  char *code = PL_NEW_ARRAY(check->arena, char, (size_t)codes->pins.n + 1);
  pl_id ground = ground_of(check->harness, module);
  for (uint32_t i = 0; i < codes->pins.n; i++)
    code[i] = is_closed(check, solution, codes->pins.at[i], ground) ? '1' : '0';
  return code;
}

static bool is_legal(const struct pl_codes *codes, const char *code) {
  for (uint32_t i = 0; i < codes->legal.n; i++)
    if (strcmp(codes->legal.at[i], code) == 0)
      return true;
  return false;
}

/* Switches that a code's inputs lead to, through wires, plugs, fuses and contacts, up
 * to the poles. */
static pl_ids switches_of(const struct pl_check *check, const struct pl_codes *codes) {
  const struct pl_harness *h = check->harness;
  bool *seen = PL_BY_PIN(check, bool), *told = PL_BY_DEVICE(check, bool);
  pl_id *queue = PL_BY_PIN(check, pl_id);
  uint32_t n = 0;
  pl_ids found = {0};
  for (uint32_t i = 0; i < codes->pins.n; i++)
    if (!seen[codes->pins.at[i]]) {
      seen[codes->pins.at[i]] = true;
      queue[n++] = codes->pins.at[i];
    }
  for (uint32_t i = 0; i < n; i++) {
    pl_id at = queue[i];
    for (uint32_t k = check->facts->first[at]; k < check->facts->first[at + 1]; k++) {
      const struct pl_link *link = pl_link_at(check->facts, k);
      pl_id q = pl_link_other(link, at);
      if (link->tie == PL_TIE_CONTACT &&
          pl_kind_is_but(h->devices.at[link->device].kind, PL_IS_SETTABLE, PL_IS_DISCONNECT))
        told[link->device] = true;
      if (link->tie > PL_TIE_CONTACT)
        continue;
      if (seen[q])
        continue;
      if (check->facts->pole[at] != 0)
        continue;
      seen[q] = true;
      queue[n++] = q;
    }
  }
  for (pl_id d = 0; d < h->devices.n; d++)
    if (told[d])
      PL_PUSH(check->arena, &found, d);
  return found;
}

static void report_code(struct pl_check *check,
                        pl_id module,
                        const struct pl_codes *codes,
                        pl_id s,
                        const char *position,
                        const char *code) {
  const struct pl_harness *h = check->harness;
  PL_VEC(const char *) pins = {0};
  for (uint32_t i = 0; i < codes->pins.n; i++)
    PL_PUSH(check->arena, &pins, h->pins.at[codes->pins.at[i]].name);
  struct pl_finding f =
      pl_finding_new("code-illegal", PL_FAULT, codes->span, h->devices.at[s].name);
  f.text = pl_arena_printf(check->arena,
                           "with %s in %s %s sees the code %s on %s, which it does not know (%s): "
                           "it takes the switch for broken",
                           h->devices.at[s].name,
                           position,
                           h->devices.at[module].name,
                           code,
                           pl_say_some(check, pins.at, pins.n, 8),
                           pl_say_some(check, codes->legal.at, codes->legal.n, 8));
  f.remedy = "compare the switch's positions and these wires with the maker's table; 1 is a closed "
             "contact";
  pl_findings_add(check->findings, f);
}

/* A state in which the module is awake: the last declared one, switches may be moved in it. */
static pl_id awake_state(const struct pl_check *check, pl_id module) {
  for (pl_id s = check->harness->states.n; s-- > 0;)
    if (check->solutions[s].status == PL_SOLVED && check->solutions[s].device_on[module])
      return s;
  return PL_NONE;
}

static void check_codes(struct pl_check *check, pl_id module, const struct pl_codes *codes) {
  const struct pl_harness *h = check->harness;
  pl_id base = awake_state(check, module);
  pl_ids switches = switches_of(check, codes);
  struct pl_solution solution = {0};
  if (base == PL_NONE)
    return;
  for (uint32_t i = 0; i < switches.n; i++) {
    const struct pl_device *device = &h->devices.at[switches.at[i]];
    for (uint32_t t = 0; t < device->throws.n; t++) {
      struct pl_state state = h->states.at[base];
      struct pl_setting setting = {.device = switches.at[i], .position = t};
      state.settings.n = 0;
      state.settings.at = NULL;
      state.settings.cap = 0;
      for (uint32_t k = 0; k < h->states.at[base].settings.n; k++)
        if (h->states.at[base].settings.at[k].device != switches.at[i])
          PL_PUSH(check->arena, &state.settings, h->states.at[base].settings.at[k]);
      PL_PUSH(check->arena, &state.settings, setting);
      pl_network_solve_as(check->network, &state, &solution, NULL);
      if (solution.status != PL_SOLVED || !solution.device_on[module])
        continue; /* the key itself: asleep, it sees nothing */
      const char *code = code_in(check, &solution, module, codes);
      if (is_legal(codes, code))
        continue;
      report_code(check, module, codes, switches.at[i], device->throws.at[t].name, code);
      break;
    }
  }
}

void pl_rule_code_illegal(struct pl_check *check) {
  for (pl_id d = 0; d < check->harness->devices.n; d++)
    for (uint32_t c = 0; c < check->harness->devices.at[d].codes.n; c++)
      check_codes(check, d, &check->harness->devices.at[d].codes.at[c]);
}

/* ---- readings ---- */

/* The sensor on an input's net; PL_NONE. */
static pl_id sensor_of(const struct pl_check *check, pl_id pin) {
  for (pl_id d = 0; d < check->harness->devices.n; d++) {
    const struct pl_device *device = &check->harness->devices.at[d];
    if (pl_kind_is_but(device->kind, PL_IS_SENSING, PL_FEEDS_GAUGE) && device->signal != PL_NONE &&
        pl_same_net(check, device->signal, pin))
      return d;
  }
  return PL_NONE;
}

static bool is_outside(const struct pl_pin *pin, double volts, double *by) {
  double slack = 0.01 * (pin->volts_max - pin->volts_min);
  *by = fmax(pin->volts_min - volts, volts - pin->volts_max);
  return isfinite(volts) && *by > slack;
}

struct odd {
  double by, volts;
  const char *when;
};

static void look_at(const struct pl_check *check,
                    const struct pl_solution *solution,
                    pl_id p,
                    pl_id back,
                    const char *when,
                    struct odd *worst) {
  double volts = solution->pin_volts[p] - solution->pin_volts[back];
  double by;
  if (is_outside(&check->harness->pins.at[p], volts, &by) && by > worst->by)
    *worst = (struct odd){by, volts, when};
}

/* The sensor at either end of what it measures. */
static void look_at_ends(const struct pl_check *check,
                         pl_id p,
                         pl_id module,
                         pl_id back,
                         pl_id sensor,
                         struct odd *worst) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *device = &h->devices.at[sensor];
  pl_id base = awake_state(check, module);
  struct pl_solution solution = {0};
  if (base == PL_NONE || device->quantity == PL_NONE)
    return;
  if (device->points.n < 2)
    return;
  for (int end = 0; end < 2; end++) {
    double value = device->points.at[end == 0 ? 0 : device->points.n - 1].x;
    struct pl_state state =
        pl_state_with_level(&h->states.at[base], device->quantity, value, check->arena);
    const char *unit;
    pl_network_solve_as(check->network, &state, &solution, NULL);
    double shown = pl_measure_shown(device->measure, value, &unit);
    if (solution.status == PL_SOLVED)
      look_at(check,
              &solution,
              p,
              back,
              pl_arena_printf(check->arena,
                              "with %s at %s",
                              h->quantities.at[device->quantity].name,
                              pl_say(check->arena, shown, unit)),
              worst);
  }
}

void pl_rule_signal_range(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id p = 0; p < h->pins.n; p++) {
    const struct pl_pin *pin = &h->pins.at[p];
    pl_id sensor, back;
    struct odd worst = {0};
    if (pin->role != PL_ROLE_SIGNAL_INPUT)
      continue;
    if (isnan(pin->volts_min))
      continue;
    if (isnan(pin->volts_max))
      continue;
    if ((sensor = sensor_of(check, p)) == PL_NONE)
      continue;
    if ((back = h->devices.at[sensor].minus) == PL_NONE)
      continue;
    for (pl_id s = 0; s < h->states.n; s++) {
      if (check->solutions[s].status != PL_SOLVED)
        continue;
      if (!check->solutions[s].device_on[pin->device])
        continue;
      look_at(check,
              &check->solutions[s],
              p,
              back,
              pl_arena_printf(check->arena, "in state %s", h->states.at[s].name),
              &worst);
    }
    look_at_ends(check, p, pin->device, back, sensor, &worst);
    if (!(worst.by > 0))
      continue;
    struct pl_finding f =
        pl_finding_new("signal-range", PL_FAULT, pl_pin_wiring_span(h, p), pin->full);
    f.figure = worst.volts;
    if (worst.volts > pin->volts_max)
      f.limit = pin->volts_max;
    else
      f.limit = pin->volts_min;
    f.unit = "V";
    f.text = pl_arena_printf(
        check->arena,
        "%s gives %s %s %s; it takes %s to %s as a reading and anything else as a fault",
        h->devices.at[sensor].name,
        pl_say_place(check, p),
        pl_say(check->arena, worst.volts, "V"),
        worst.when,
        pl_say(check->arena, pin->volts_min, "V"),
        pl_say(check->arena, pin->volts_max, "V"));
    f.remedy = "a sensor of the kind that this controller is made for (see the maker's table), fed "
               "from its own supply and return";
    pl_findings_add(check->findings, f);
  }
}

/* ---- who must be heard ---- */

/* A pin of that role on either module that share a net. */
static bool shares_line(const struct pl_check *check, pl_id a, pl_id b, enum pl_role role) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *x = &h->devices.at[a];
  const struct pl_device *y = &h->devices.at[b];
  for (pl_id p = x->first_pin; p < pl_pins_end(x); p++)
    for (pl_id q = y->first_pin; q < pl_pins_end(y); q++)
      if (h->pins.at[p].role == role && h->pins.at[q].role == role && pl_same_net(check, p, q))
        return true;
  return false;
}

static bool has_role(const struct pl_harness *h, pl_id device, enum pl_role role) {
  const struct pl_device *d = &h->devices.at[device];
  for (pl_id p = d->first_pin; p < pl_pins_end(d); p++)
    if (h->pins.at[p].role == role)
      return true;
  return false;
}

/* The line that is broken between the two, PL_ROLE_PASSIVE: none. */
static enum pl_role broken_line(const struct pl_check *check, pl_id a, pl_id b) {
  if (!shares_line(check, a, b, PL_ROLE_DATA_HIGH))
    return PL_ROLE_DATA_HIGH;
  bool both = has_role(check->harness, a, PL_ROLE_DATA_LOW) &&
              has_role(check->harness, b, PL_ROLE_DATA_LOW);
  if (both && !shares_line(check, a, b, PL_ROLE_DATA_LOW))
    return PL_ROLE_DATA_LOW;
  return PL_ROLE_PASSIVE;
}

/* "SPH1": the joints on the module's side of a broken line, else its pin. */
static const char *side_of(const struct pl_check *check, pl_id device, enum pl_role role) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *d = &h->devices.at[device];
  PL_VEC(const char *) names = {0};
  pl_id pin = PL_NONE;
  for (pl_id p = d->first_pin; p < pl_pins_end(d); p++) {
    if (h->pins.at[p].role != role)
      continue;
    if (!(pin == PL_NONE || pl_pin_wires_there(h, pin) == 0))
      continue;
    pin = p;
  }
  if (pin == PL_NONE)
    return d->name;
  for (pl_id p = 0; p < h->pins.n; p++) {
    if (!pl_same_net(check, p, pin))
      continue;
    if (!pl_kind_is(pl_pin_device(h, p)->kind, PL_IS_NODE))
      continue;
    PL_PUSH(check->arena, &names, h->pins.at[p].full);
  }
  if (names.n == 0)
    return h->pins.at[pin].full;
  return pl_say_some(check, names.at, names.n, 4);
}

void pl_rule_must_hear(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++)
    for (uint32_t i = 0; i < h->devices.at[d].hears.n; i++) {
      const struct pl_heard *heard = &h->devices.at[d].hears.at[i];
      pl_id other = pl_harness_find_device(h, heard->name);
      enum pl_role broken = PL_ROLE_DATA_HIGH;
      if (other != PL_NONE)
        broken = broken_line(check, d, other);
      if (broken == PL_ROLE_PASSIVE)
        continue;
      struct pl_finding f =
          pl_finding_new("must-hear", PL_FAULT, heard->span, h->devices.at[d].name);
      f.blames = heard->name;
      if (other == PL_NONE)
        f.text = pl_arena_printf(check->arena,
                                 "%s must hear from %s to run, and no %s is here: it has to "
                                 "come along from the donor",
                                 h->devices.at[d].name,
                                 heard->name,
                                 heard->name);
      else
        f.text = pl_arena_printf(check->arena,
                                 "%s must hear from %s to run, and no %s joins the two: one side "
                                 "goes to %s, the other to %s",
                                 h->devices.at[d].name,
                                 heard->name,
                                 pl_role_name(broken),
                                 side_of(check, d, broken),
                                 side_of(check, other, broken));
      if (other == PL_NONE)
        f.remedy = "fit it and join it to the link, or have the calibration "
                   "changed so that it is not asked for, and take the line out";
      else
        f.remedy = "run the twisted pair to both";
      pl_findings_add(check->findings, f);
    }
}
