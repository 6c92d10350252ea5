/* Starting and charging: volts and ohms while the engine cranks, what the alternator has to carry,
 * what drains the battery at rest, the exciter's one way, and what a battery disconnect leaves
 * live. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "fault/fault.h"
#include "rules/facts.h"
#include "rules/families.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

static double nominal(const struct pl_harness *h, pl_id d) {
  if (h->devices.at[d].volts > 0)
    return h->devices.at[d].volts;
  return h->machine.volts;
}

/* ---- cranking: modules ---- */

struct crank {
  pl_id pin, state;
  double volts, limit;
  PL_VEC(const char *) others;
};

static bool below_window(const struct pl_pin *pin, double volts) {
  return volts < pin->volts_min;
} /* load-starved says it */

static pl_id wired_feed(const struct pl_harness *h, const struct pl_device *module) {
  for (pl_id p = module->first_pin; p < module->first_pin + module->pin_count; p++)
    if (h->pins.at[p].role == PL_ROLE_BATTERY_FEED && pl_pin_wires_there(h, p) > 0)
      return p;
  return PL_NONE;
}

/* The volts inside a module against those it dies below: its window, else what no controller bears.
 */
static struct pl_near near_death(const struct pl_harness *h, pl_id state, pl_id feed) {
  pl_id module = h->pins.at[feed].device;
  double least;
  if (h->pins.at[feed].volts_min > 0)
    least = h->pins.at[feed].volts_min;
  else
    least = pl_limit_crank_least.value * nominal(h, module) / 12;
  return (
      struct pl_near){state, {PL_READING_DEVICE_VOLTS, module, PL_NONE, PL_NONE}, 1, least, true};
}

/* Enough while all is as described, but not with every part at its worst: the first module of which
 * that is so. */
static void doubt_crank(struct pl_check *check, pl_id state) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    double volts = fabs(check->solutions[state].device_volts[d]);
    pl_id feed = PL_NONE;
    if (pl_device_is(h, d, PL_IS_MODULE))
      feed = wired_feed(h, &h->devices.at[d]);
    if (feed == PL_NONE || isnan(volts))
      continue;
    if (volts < 0.1 * nominal(h, d))
      continue;
    struct pl_near near = near_death(h, state, feed);
    const char *end = "";
    if (volts >= near.limit)
      end = pl_say_bad_end(check, near, "V");
    if (end[0] == '\0')
      continue;
    struct pl_finding f =
        pl_finding_new("crank-volts", PL_ADVICE, h->pins.at[feed].span, h->pins.at[feed].full);
    f.state = pl_state_name(check, state);
    f.figure = volts;
    f.limit = near.limit;
    f.unit = "V";
    f.text = pl_arena_printf(check->arena,
                             "%s gets %s while the engine cranks%s, and under %s it starts over",
                             h->pins.at[feed].full,
                             pl_say(check->arena, volts, "V"),
                             end,
                             pl_say(check->arena, near.limit, "V"));
    f.remedy = "measure it while cranking in the cold; feeds and grounds straight from the battery "
               "posts and thicker starter cables help";
    pl_findings_add(check->findings, f);
    return;
  }
}

static void judge_crank(struct pl_check *check, pl_id state, struct crank *worst) {
  const struct pl_harness *h = check->harness;
  const struct pl_solution *solution = &check->solutions[state];
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    double volts = fabs(solution->device_volts[d]);
    double twelve = nominal(h, d) / 12;
    if (!pl_kind_is(device->kind, PL_IS_MODULE))
      continue;
    if (isnan(volts))
      continue;
    if (volts < 0.1 * nominal(h, d))
      continue;
    pl_id feed = wired_feed(h, device);
    if (feed == PL_NONE)
      continue;
    if (below_window(&h->pins.at[feed], volts))
      continue;
    bool stated = h->pins.at[feed].volts_min >
                  0; /* then the maker's own figure counts, as long as any controller lives */
    double limit = (stated ? pl_limit_crank_least.value : pl_limit_crank_low.value) * twelve;
    if (!(volts < limit))
      continue;
    PL_PUSH(check->arena, &worst->others, h->pins.at[feed].full);
    if (worst->pin != PL_NONE && volts / twelve >= worst->volts)
      continue;
    worst->pin = feed;
    worst->volts = volts / twelve;
    if (volts < pl_limit_crank_least.value * twelve)
      worst->limit = pl_limit_crank_least.value;
    else
      worst->limit = limit / twelve;
    worst->state = state;
  }
}

void pl_rule_crank_volts(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id s = 0; s < h->states.n; s++) {
    struct crank worst = {.pin = PL_NONE};
    if (h->states.at[s].engine != PL_ENGINE_CRANKING)
      continue;
    if (check->solutions[s].status != PL_SOLVED)
      continue;
    judge_crank(check, s, &worst);
    if (worst.pin == PL_NONE) {
      doubt_crank(check, s);
      continue;
    }
    const struct pl_pin *pin = &h->pins.at[worst.pin];
    double twelve = nominal(h, pin->device) / 12;
    bool dead = worst.limit <= pl_limit_crank_least.value;
    struct pl_finding f =
        pl_finding_new("crank-volts", dead ? PL_FAULT : PL_ADVICE, pin->span, pin->full);
    f.state = pl_state_name(check, s);
    f.figure = worst.volts * twelve;
    f.limit = worst.limit * twelve;
    f.unit = "V";
    struct pl_near near = near_death(h, s, worst.pin);
    if (dead)
      near.limit = f.limit;
    const char *end;
    if (dead)
      end = pl_say_good_end(check, near, "V");
    else
      end = pl_say_bad_end(check, near, "V");
    f.text = pl_arena_printf(
        check->arena,
        "%s gets %s while the engine cranks; under %s %s%s%s",
        pin->full,
        pl_say(check->arena, f.figure, "V"),
        pl_say(check->arena, f.limit, "V"),
        dead ? "a controller starts over and the engine does not start"
             : "starting becomes doubtful in the cold",
        worst.others.n < 2
            ? ""
            : pl_arena_printf(check->arena, " (too low at %u modules)", worst.others.n),
        end);
    f.remedy = "feeds and grounds of the module straight from the battery posts, thicker starter "
               "cables (see `crank-circuit`), or a stronger battery";
    pl_findings_add(check->findings, f);
  }
}

/* ---- cranking: the circuit ---- */

static double circuit_limit(const struct pl_device *starter, double volts, const char **source) {
  bool high = volts > 18;
  bool heavy = starter->crank_amps * (high ? 2 : 1) > pl_limit_crank_heavy_from.value;
  *source = heavy ? pl_limit_crank_heavy.source : pl_limit_crank_circuit.source;
  if (heavy)
    return (high ? 1.7 : 1) * pl_limit_crank_heavy.value;
  return pl_limit_crank_circuit.value * volts / 12;
}

/* The element that loses most between the battery and the starter, there and back. */
static const struct pl_element *worst_part(const struct pl_check *check,
                                           const struct pl_solution *solution,
                                           pl_id plus,
                                           pl_id minus) {
  const struct pl_element *worst = NULL;
  for (int way = 0; way < 2; way++) {
    uint32_t *path = NULL;
    uint32_t n = pl_solution_path(check->network,
                                  solution,
                                  way == 0 ? plus : minus,
                                  way == 1,
                                  check->arena,
                                  &path);
    for (uint32_t i = 0; i < n; i++) {
      const struct pl_element *e = &solution->elements[path[i]];
      if (e->kind != PL_ELEMENT_SOURCE &&
          (worst == NULL || fabs(e->amps) * e->ohms > fabs(worst->amps) * worst->ohms))
        worst = e;
    }
  }
  return worst;
}

void pl_rule_crank_circuit(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *starter = &h->devices.at[d];
    if (!pl_kind_is(starter->kind, PL_IS_STARTER))
      continue;
    pl_id plus = pl_pin_named(h, d, "30");
    pl_id minus = pl_pin_named(h, d, "31");
    pl_id state = PL_NONE;
    double ohms = 0;
    if (plus == PL_NONE || minus == PL_NONE)
      continue;
    if (h->machine.positive_earth) { /* current enters where plus is */
      pl_id swap = plus;
      plus = minus;
      minus = swap;
    }
    for (pl_id s = 0; s < h->states.n; s++) {
      const struct pl_solution *solution = &check->solutions[s];
      if (solution->status != PL_SOLVED)
        continue;
      if (!solution->device_on[d])
        continue;
      if (!(fabs(solution->device_amps[d]) > 1))
        continue;
      double now =
          pl_solution_drop(check->network, solution, plus, minus) / fabs(solution->device_amps[d]);
      if (!(now > ohms))
        continue;
      ohms = now;
      state = s;
    }
    const char *source;
    double limit = circuit_limit(starter, nominal(h, d), &source);
    if (!(1000 * ohms > limit))
      continue;
    struct pl_finding f = pl_finding_new("crank-circuit", PL_FAULT, starter->span, starter->name);
    const struct pl_solution *solution = &check->solutions[state];
    const struct pl_element *part = worst_part(check, solution, plus, minus);
    double amps = fabs(solution->device_amps[d]);
    f.state = pl_state_name(check, state);
    f.figure = 1000 * ohms;
    f.limit = limit;
    f.unit = "mohm";
    f.source = source;
    const char *most;
    if (part == NULL)
      most = "";
    else if (part->wire != PL_NONE)
      most = pl_say_wire(check, part->wire);
    else
      most = h->devices.at[part->device].name;
    f.blames = most;
    struct pl_near near = {state, {PL_READING_LOOP, plus, minus, d}, 1000, limit, false};
    f.text = pl_arena_printf(check->arena,
                             "from the battery to %s and back it is %s: %s are lost at %s%s%s%s",
                             starter->name,
                             pl_say(check->arena, f.figure, "mohm"),
                             pl_say(check->arena, ohms * amps, "V"),
                             pl_say(check->arena, amps, "A"),
                             part == NULL ? "" : ", most in ",
                             most,
                             pl_say_good_end(check, near, "mohm"));
    f.remedy = pl_arena_printf(check->arena,
                               "thicker or shorter cables until the loop is at most %s",
                               pl_say(check->arena, limit, "mohm"));
    pl_findings_add(check->findings, f);
  }
}

/* ---- cranking: the return without its main cable ---- */

/* The first wire on the way of most current from the starter back to the battery. */
static pl_id
main_ground(const struct pl_check *check, const struct pl_solution *solution, pl_id minus) {
  uint32_t *path = NULL;
  uint32_t n = pl_solution_path(check->network, solution, minus, true, check->arena, &path);
  for (uint32_t i = 0; i < n; i++)
    if (solution->elements[path[i]].wire != PL_NONE)
      return solution->elements[path[i]].wire;
  return PL_NONE;
}

static void judge_thin(struct pl_check *check, pl_id d, pl_id state, pl_id cable) {
  const struct pl_harness *h = check->harness;
  struct pl_fault fault = {.kind = PL_FAULT_OPEN,
                           .wire = cable,
                           .device = PL_NONE,
                           .pin_a = PL_NONE,
                           .pin_b = PL_NONE};
  struct pl_solution solution = {0};
  double seconds = fmin(h->states.at[state].lasts, pl_limit_crank.value);
  double worst = 0;
  pl_id thin = PL_NONE;
  pl_network_solve_fault(check->network, &h->states.at[state], &fault, &solution);
  if (solution.status != PL_SOLVED)
    return;
  if (!(fabs(solution.device_amps[d]) > 1))
    return;
  for (pl_id w = 0; w < h->wires.n; w++) {
    const struct pl_wire *wire = &h->wires.at[w];
    double amps = fabs(solution.wire_amps[w]);
    double rated = pl_wire_insulation(wire)->hot;
    if (w == cable || !pl_wire_joins(wire))
      continue;
    if (!(wire->area > 0))
      continue;
    if (!(amps > pl_rule_wire_amps(wire, 1, NULL)))
      continue;
    if (rated <= wire->hot)
      continue;
    double heat = pl_copper_heat(wire->area, amps, seconds, wire->hot);
    double healthy =
        pl_copper_heat(wire->area, fabs(check->solutions[state].wire_amps[w]), seconds, wire->hot);
    if (!(heat > rated) || healthy > rated || !((heat - rated) / rated > worst))
      continue; /* wire-brief-current says the latter */
    worst = (heat - rated) / rated;
    thin = w;
  }
  if (thin == PL_NONE)
    return;
  const struct pl_wire *wire = &h->wires.at[thin];
  double amps = fabs(solution.wire_amps[thin]);
  double rated = pl_wire_insulation(wire)->hot;
  double heat = pl_copper_heat(wire->area, amps, seconds, wire->hot);
  struct pl_finding f =
      pl_finding_new("ground-thin",
                     PL_DANGER,
                     wire->size_span.file == PL_NO_FILE ? wire->span : wire->size_span,
                     pl_say_wire(check, thin));
  f.state = pl_state_name(check, state);
  f.figure = heat;
  f.limit = rated;
  f.unit = "degC";
  f.text = pl_arena_printf(check->arena,
                           "with wire %s off (loose, rusted, forgotten) %s cranks through wire %s, "
                           "%s: %s heat it to %s in %s, %s insulation bears %s",
                           h->wires.at[cable].number,
                           h->devices.at[d].name,
                           wire->number,
                           wire->size,
                           pl_say(check->arena, amps, "A"),
                           heat > 1083 ? "its melting point" : pl_say(check->arena, heat, "degC"),
                           pl_say(check->arena, seconds, "s"),
                           pl_wire_insulation(wire)->name,
                           pl_say(check->arena, rated, "degC"));
  f.remedy = pl_arena_printf(check->arena,
                             "a second cable beside wire %s, as heavy as it, or take wire %s off "
                             "the starter's side and ground its loads at the battery",
                             h->wires.at[cable].number,
                             wire->number);
  pl_findings_add(check->findings, f);
}

void pl_rule_ground_thin(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    pl_id minus = PL_NONE;
    if (pl_device_is(h, d, PL_IS_STARTER))
      minus = pl_pin_named(h, d, "31");
    if (minus == PL_NONE || h->machine.positive_earth)
      continue; /* there the other pole is earthed: see docs */
    for (pl_id s = 0; s < h->states.n; s++) {
      const struct pl_solution *solution = &check->solutions[s];
      if (solution->status != PL_SOLVED)
        continue;
      if (!solution->device_on[d])
        continue;
      if (!(fabs(solution->device_amps[d]) > 1))
        continue;
      pl_id cable = main_ground(check, solution, minus);
      if (cable != PL_NONE)
        judge_thin(check, d, s, cable);
      break; /* one cranking state tells */
    }
  }
}

/* ---- charging ---- */

/* Batteries on the poles and alternators as one reading; false: too many for one. */
static bool supply_of(const struct pl_check *check, struct pl_reading *reading) {
  const struct pl_harness *h = check->harness;
  pl_id *const place[] = {&reading->a, &reading->b, &reading->c};
  uint32_t n = 0;
  *reading = (struct pl_reading){PL_READING_SUPPLY, PL_NONE, PL_NONE, PL_NONE};
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    bool battery =
        pl_kind_is(device->kind, PL_IS_STORE) &&
        check->facts->pole[h->machine.positive_earth ? device->minus : device->plus] != 0;
    if (!battery && !pl_kind_is(device->kind, PL_IS_GENERATOR))
      continue;
    if (n == 3)
      return false;
    *place[n++] = d;
  }
  return n > 0;
}

/* What good parts make of a supply that gives too much. */
static const char *good_supply(const struct pl_check *check,
                               pl_id state,
                               double times,
                               double limit,
                               const char *unit) {
  struct pl_near near = {.state = state, .times = times, .limit = limit};
  if (supply_of(check, &near.reading))
    return pl_say_good_end(check, near, unit);
  return "";
}

void pl_rule_charge_balance(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  pl_id alternator = PL_NONE;
  for (pl_id d = 0; d < h->devices.n && alternator == PL_NONE; d++)
    if (pl_device_is(h, d, PL_IS_GENERATOR))
      alternator = d;
  if (alternator == PL_NONE)
    return;
  double worst = 0;
  double worst_loads = 0;
  double worst_can = 0;
  pl_id state = PL_NONE;
  for (pl_id s = 0; s < h->states.n; s++) {
    enum pl_engine engine = h->states.at[s].engine;
    if (!check->facts->live[s])
      continue;
    if (engine != PL_ENGINE_IDLE && engine != PL_ENGINE_SPEED)
      continue;
    double can = 0;
    double gives = 0;
    double battery = 0;
    double posts = 0;
    for (pl_id d = 0; d < h->devices.n; d++) {
      const struct pl_device *device = &h->devices.at[d];
      if (pl_kind_is(device->kind, PL_IS_GENERATOR)) {
        can += engine == PL_ENGINE_IDLE ? device->idle_amps : device->speed_amps;
        gives += check->solutions[s].device_amps[d];
      }
      if (pl_kind_is(device->kind, PL_IS_STORE) &&
          (check->facts->pole[h->machine.positive_earth ? device->minus : device->plus] != 0)) {
        battery += check->solutions[s].device_amps[d];
        posts++;
      }
    }
    double loads = gives + battery;
    double share = engine == PL_ENGINE_IDLE ? 1 : pl_limit_charge_share.value / 100;
    if (!(can > 0))
      continue;
    if (posts == 0)
      continue;
    if (!(loads > share * can))
      continue;
    if (!(loads / (share * can) > worst))
      continue;
    worst = loads / (share * can);
    worst_loads = loads;
    worst_can = can;
    state = s;
  }
  if (state == PL_NONE)
    return;
  bool empties = worst_loads > worst_can;
  bool idle = h->states.at[state].engine == PL_ENGINE_IDLE;
  const struct pl_device *device = &h->devices.at[alternator];
  struct pl_finding f = pl_finding_new("charge-balance",
                                       empties && !idle ? PL_FAULT : PL_ADVICE,
                                       device->span,
                                       device->name);
  f.state = pl_state_name(check, state);
  f.figure = worst_loads;
  f.limit = idle ? worst_can : worst_can * pl_limit_charge_share.value / 100;
  f.unit = "A";
  f.text = pl_arena_printf(check->arena,
                           "the loads take %s, the alternator gives %s %s: %s%s",
                           pl_say(check->arena, worst_loads, "A"),
                           pl_say(check->arena, worst_can, "A"),
                           idle ? "at idle" : "at speed",
                           empties ? "the battery runs down while the engine runs"
                                   : "little is left to charge the battery",
                           good_supply(check, state, 1, f.limit, "A"));
  if (idle)
    f.remedy = "a larger alternator, a faster idle, or shed loads while idling";
  else
    f.remedy = "a larger alternator, or less load (lamps of less watts)";
  pl_findings_add(check->findings, f);
}

/* ---- key off ---- */

struct draw {
  double amps;
  pl_id device;
};

static int by_amps(const void *a, const void *b) {
  const struct draw *x = a;
  const struct draw *y = b;
  if (x->amps != y->amps)
    return x->amps > y->amps ? -1 : 1;
  return (x->device > y->device) - (x->device < y->device);
}

/* A declared state in which nothing is set: the machine parked.  Only a text that also has other
 * states shows that this is meant. */
static pl_id parked(const struct pl_harness *h) {
  pl_id found = PL_NONE;
  bool others = false;
  for (pl_id s = 0; s < h->states.n; s++) {
    const struct pl_state *state = &h->states.at[s];
    bool rest = state->engine == PL_ENGINE_STOPPED && state->settings.n == 0 &&
                state->outputs_on.n == 0 && state->set.n == 0 && isnan(state->battery_volts);
    if (rest && found == PL_NONE)
      found = s;
    others = others || !rest;
  }
  return others ? found : PL_NONE;
}

static const char *largest_draws(const struct pl_check *check, const struct pl_solution *solution) {
  const struct pl_harness *h = check->harness;
  struct draw *draws = PL_NEW_ARRAY(check->arena, struct draw, (size_t)h->devices.n + 1);
  uint32_t n = 0;
  for (pl_id d = 0; d < h->devices.n; d++) {
    enum pl_kind kind = h->devices.at[d].kind;
    double amps = fabs(solution->device_amps[d]);
    if (pl_kind_is(kind, PL_IS_LOAD | PL_IS_MODULE | PL_IS_RELAY | PL_IS_GAUGE) && amps > 1e-5)
      draws[n++] = (struct draw){amps, d};
  }
  qsort(draws, n, sizeof *draws, by_amps);
  const char *texts[4] = {0};
  for (uint32_t i = 0; i < n && i < 4; i++)
    texts[i] = pl_arena_printf(check->arena,
                               "%s %s",
                               h->devices.at[draws[i].device].name,
                               pl_say(check->arena, 1000 * draws[i].amps, "mA"));
  return pl_say_list(check->arena, texts, n, 4);
}

void pl_rule_key_off_drain(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  pl_id state = parked(h);
  pl_id battery = PL_NONE;
  if (state == PL_NONE)
    return;
  if (check->solutions[state].status != PL_SOLVED)
    return;
  const struct pl_solution *solution = &check->solutions[state];
  double amps = 0;
  double hours = 0;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_STORE))
      continue;
    if (check->facts->pole[h->machine.positive_earth ? device->minus : device->plus] == 0)
      continue;
    if (battery == PL_NONE)
      battery = d;
    amps += solution->device_amps[d];
    hours += device->amp_hours;
  }
  if (battery == PL_NONE)
    return;
  if (!(1000 * amps > pl_limit_drain.value))
    return;
  struct pl_finding f = pl_finding_new("key-off-drain",
                                       PL_FAULT,
                                       h->devices.at[battery].span,
                                       h->devices.at[battery].name);
  f.state = pl_state_name(check, state);
  f.figure = 1000 * amps;
  f.limit = pl_limit_drain.value;
  f.unit = "mA";
  double days = hours * pl_limit_flat.value / 100 / amps / 24;
  const char *when;
  if (!(days > 0))
    when = "";
  else if (days < 1)
    when = pl_arena_printf(check->arena,
                           ": after %s it will not crank",
                           pl_say(check->arena, 24 * days, "hours"));
  else
    when = pl_arena_printf(check->arena,
                           ": after %s it will not crank",
                           pl_say(check->arena, days, "days"));
  f.text = pl_arena_printf(check->arena,
                           "with everything off the battery gives %s%s; most goes to %s%s",
                           pl_say(check->arena, f.figure, "mA"),
                           when,
                           largest_draws(check, solution),
                           good_supply(check, state, 1000, f.limit, "mA"));
  f.remedy = "move what draws to a keyed feed, or behind the battery disconnect";
  pl_findings_add(check->findings, f);
}

/* ---- exciter ---- */

enum {
  RESISTS = 1,
  BLOCKS = 2
}; /* what lies on the way */

struct seek {
  uint8_t *seen; /* by pin, RESISTS | BLOCKS | 4 */
  pl_id *queue;
  uint32_t n;
  bool keyed, live, bare, shared_bare;
  uint32_t resistors;
  pl_id shared; /* a keyed input or run solenoid on the same node, with no diode between */
};

static void reach(struct seek *s, pl_id pin, uint8_t how) {
  if (pin == PL_NONE || s->seen[pin] != 0)
    return;
  s->seen[pin] = (uint8_t)(how | 4);
  s->queue[s->n++] = pin;
}

static pl_id through(const struct pl_device *device, pl_id pin) {
  if (device->plus == pin)
    return device->minus;
  if (device->minus == pin)
    return device->plus;
  if (device->pin_count == 2)
    return pin == device->first_pin ? device->first_pin + 1 : device->first_pin;
  return PL_NONE;
}

/* From D+ to what feeds it: through wires, plugs, fuses and diodes, and once through a lamp or
 * resistor. */
static void seek_feed(const struct pl_check *check, struct seek *s) {
  const struct pl_harness *h = check->harness;
  const struct pl_facts *facts = check->facts;
  uint8_t live = h->machine.positive_earth ? PL_POLE_MINUS : PL_POLE_PLUS;
  for (uint32_t i = 0; i < s->n; i++) {
    pl_id p = s->queue[i];
    uint8_t how = s->seen[p] & 3;
    const struct pl_device *device = &h->devices.at[h->pins.at[p].device];
    if (facts->pole[p] == live) {
      s->live = true;
      s->bare = s->bare || !(how & RESISTS);
      continue;
    }
    if (facts->pole[p] != 0)
      continue;
    bool resists = pl_kind_is(device->kind, PL_EXCITES);
    if (resists && !(how & RESISTS)) {
      s->resistors++;
      reach(s, through(device, p), how | RESISTS);
    }
    if (pl_kind_is(device->kind, PL_IS_ONE_WAY))
      reach(s, through(device, p), how | BLOCKS);
    if (h->pins.at[p].role == PL_ROLE_KEYED_INPUT ||
        (pl_kind_is(device->kind, PL_IS_WINDING) && p != device->minus)) {
      if (!(how & BLOCKS) && s->shared == PL_NONE)
        s->shared = p;
    }
    for (uint32_t k = facts->first[p]; k < facts->first[p + 1]; k++) {
      const struct pl_link *link = &facts->links[facts->around[k]];
      pl_id q = pl_link_other(link, p);
      if (link->tie == PL_TIE_CONTACT && (facts->reach[q] & live) &&
          !pl_device_is(h, link->device, PL_IS_DISCONNECT)) {
        s->keyed = true;
        s->bare = s->bare || !(how & RESISTS);
      }
      if (link->tie <= PL_TIE_FUSE)
        reach(s, q, how);
    }
  }
}

static void report_exciter(struct pl_check *check,
                           pl_id pin,
                           enum pl_severity severity,
                           const char *text,
                           const char *remedy,
                           pl_id blames) {
  struct pl_finding f = pl_finding_new("no-exciter",
                                       severity,
                                       pl_pin_wiring_span(check->harness, pin),
                                       check->harness->pins.at[pin].full);
  f.text = text;
  f.remedy = remedy;
  if (blames == PL_NONE)
    f.blames = "";
  else
    f.blames = check->harness->pins.at[blames].full;
  pl_findings_add(check->findings, f);
}

void pl_rule_no_exciter(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    pl_id pin = PL_NONE;
    if (pl_device_is(h, d, PL_IS_GENERATOR))
      pin = pl_pin_named(h, d, "D+");
    if (pin == PL_NONE || h->devices.at[d].self_exciting || pl_pin_wires_there(h, pin) == 0)
      continue; /* one that starts itself */
    struct seek s = {.seen = PL_NEW_ARRAY(check->arena, uint8_t, (size_t)h->pins.n + 1),
                     .queue = PL_NEW_ARRAY(check->arena, pl_id, (size_t)h->pins.n + 1),
                     .shared = PL_NONE};
    reach(&s, pin, 0);
    seek_feed(check, &s);
    const char *name = h->pins.at[pin].full;
    if (!s.keyed && !s.live)
      report_exciter(
          check,
          pin,
          PL_FAULT,
          pl_arena_printf(
              check->arena,
              "%s gets no exciting current from anywhere: the alternator may never begin to charge",
              name),
          "feed it from a node that is live in run, through the charge lamp or a resistor",
          PL_NONE);
    else if (s.bare)
      report_exciter(check,
                     pin,
                     PL_FAULT,
                     pl_arena_printf(check->arena,
                                     "%s is joined to its feed without lamp or resistor: running, "
                                     "the alternator feeds the machine through that wire",
                                     name),
                     "put the charge lamp, with a resistor beside it, into that wire",
                     PL_NONE);
    else if (s.live && !s.keyed)
      report_exciter(check,
                     pin,
                     PL_FAULT,
                     pl_arena_printf(check->arena,
                                     "%s is fed with the key off too: its field drains the battery",
                                     name),
                     "take the feed from a node that is live in run only",
                     PL_NONE);
    else if (s.shared != PL_NONE)
      report_exciter(check,
                     pin,
                     PL_DANGER,
                     pl_arena_printf(check->arena,
                                     "%s can feed back to %s through the charge lamp with the key "
                                     "off: the engine may not stop",
                                     name,
                                     pl_say_place(check, s.shared)),
                     "a diode in the exciter's wire, its ring (K) towards the alternator",
                     s.shared);
  }
}

/* ---- disconnect ---- */

/* What is not told: it feeds, joins or holds up the rest, or is meant to stay live. */
static bool held_off(const struct pl_device *device) {
  pl_properties feeds = PL_IS_STORE | PL_IS_PROTECTION | PL_IS_MODULE | PL_IS_DISCONNECT;
  pl_properties joins = PL_IS_NODE | PL_IS_PLUG | PL_IS_ONE_WAY | PL_IS_RESISTANCE;
  return pl_kind_is(device->kind, feeds | joins);
}

/* By copper: what a module's pull-ups hold up is no more than milliamps. */
static bool device_is_live(const struct pl_check *check,
                           const struct pl_solution *solution,
                           const struct pl_device *device) {
  const struct pl_harness *h = check->harness;
  bool plus = !h->machine.positive_earth;
  for (pl_id p = device->first_pin; p < device->first_pin + device->pin_count; p++)
    if (fabs(solution->pin_volts[p]) > 0.5 * h->machine.volts && pl_pin_wires_there(h, p) > 0 &&
        isfinite(pl_ways_feed(check, p)) &&
        check->facts->pole[p] != (plus ? PL_POLE_MINUS : PL_POLE_PLUS))
      return true; /* NAN is not */
  return false;
}

static uint32_t open_position(const struct pl_device *device) {
  for (uint32_t t = 0; t < device->throws.n; t++)
    if (device->throws.at[t].joins.n == 0)
      return t;
  return PL_NONE;
}

void pl_rule_disconnect(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *disconnect = &h->devices.at[d];
    uint32_t open =
        pl_kind_is(disconnect->kind, PL_IS_DISCONNECT) ? open_position(disconnect) : PL_NONE;
    if (open == PL_NONE)
      continue;
    struct pl_state state = pl_state_blank();
    struct pl_setting setting = {.device = d, .position = open};
    struct pl_solution stopped, running;
    state.name = "disconnect open";
    PL_PUSH(check->arena, &state.settings, setting);
    pl_network_solve_as(check->network, &state, &stopped, NULL);
    state.engine = PL_ENGINE_SPEED;
    pl_network_solve_as(check->network, &state, &running, NULL);
    if (stopped.status != PL_SOLVED)
      continue;
    PL_VEC(const char *) live = {0};
    uint32_t fed = 0;
    for (pl_id k = 0; k < h->devices.n; k++) {
      const struct pl_device *device = &h->devices.at[k];
      bool now = device_is_live(check, &stopped, device);
      if (now && !held_off(device))
        PL_PUSH(check->arena, &live, device->name);
      fed += !now && running.status == PL_SOLVED && pl_kind_is_load(device->kind) &&
             device_is_live(check, &running, device);
    }
    if (live.n == 0)
      continue;
    bool heavy = false;
    for (pl_id k = 0; k < h->devices.n; k++)
      heavy = heavy || (pl_device_is(h, k, PL_IS_STARTER | PL_IS_GENERATOR) &&
                        device_is_live(check, &stopped, &h->devices.at[k]));
    struct pl_finding f = pl_finding_new("disconnect-leaves-live",
                                         heavy ? PL_DANGER : PL_FAULT,
                                         disconnect->span,
                                         disconnect->name);
    f.text = pl_arena_printf(
        check->arena,
        "with %s open there is still battery volts on %s%s",
        disconnect->name,
        pl_say_list(check->arena, live.at, live.n, 5),
        fed == 0
            ? ""
            : pl_arena_printf(
                  check->arena,
                  "; and opened while the engine runs, the alternator goes on feeding %u load%s",
                  fed,
                  fed == 1 ? "" : "s"));
    f.remedy = "move their feeds to the far side of the disconnect; only fused memory feeds of "
               "controllers belong before it";
    pl_findings_add(check->findings, f);
  }
}
