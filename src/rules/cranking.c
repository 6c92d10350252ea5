/* Cranking: volts at the controllers and ohms of the starter's loop while the engine cranks, and
 * what carries its return when the main ground is off. */
#include <math.h>

#include "fault/fault.h"
#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/margin_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

/* ---- modules ---- */

struct crank {
  pl_id pin, state;
  double volts, limit;
  PL_VEC(const char *) others;
};

static bool below_window(const struct pl_pin *pin, double volts) {
  return volts < pin->volts_min;
} /* load-starved says it */

static pl_id wired_feed(const struct pl_harness *h, const struct pl_device *module) {
  for (pl_id p = module->first_pin; p < pl_pins_end(module); p++)
    if (h->pins.at[p].role == PL_ROLE_BATTERY_FEED && pl_pin_wires_there(h, p) > 0)
      return p;
  return PL_NONE;
}

/* The volts inside a module against those it dies below: its window, else what
 * no controller bears. */
static struct pl_margin near_death(const struct pl_harness *h, pl_id state, pl_id feed) {
  pl_id module = h->pins.at[feed].device;
  double least;
  if (h->pins.at[feed].volts_min > 0)
    least = h->pins.at[feed].volts_min;
  else
    least = pl_limit_crank_least.value * pl_nominal_volts(h, module) / 12;
  return (
      struct pl_margin){state, {PL_READING_DEVICE_VOLTS, module, PL_NONE, PL_NONE}, 1, least, true};
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
    if (volts < 0.1 * pl_nominal_volts(h, d))
      continue;
    struct pl_margin near = near_death(h, state, feed);
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
    double twelve = pl_nominal_volts(h, d) / 12;
    if (!pl_kind_is(device->kind, PL_IS_MODULE))
      continue;
    if (isnan(volts))
      continue;
    if (volts < 0.1 * pl_nominal_volts(h, d))
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
    double twelve = pl_nominal_volts(h, pin->device) / 12;
    bool dead = worst.limit <= pl_limit_crank_least.value;
    struct pl_finding f =
        pl_finding_new("crank-volts", dead ? PL_FAULT : PL_ADVICE, pin->span, pin->full);
    f.state = pl_state_name(check, s);
    f.figure = worst.volts * twelve;
    f.limit = worst.limit * twelve;
    f.unit = "V";
    struct pl_margin near = near_death(h, s, worst.pin);
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

/* ---- the circuit ---- */

/* The starter is on and takes enough for its drop to be worth a figure. */
static bool is_cranking(const struct pl_solution *solution, pl_id starter) {
  if (solution->status != PL_SOLVED || !solution->device_on[starter])
    return false;
  return fabs(solution->device_amps[starter]) > 1;
}

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
      if (!is_cranking(solution, d))
        continue;
      double now =
          pl_solution_drop(check->network, solution, plus, minus) / fabs(solution->device_amps[d]);
      if (!(now > ohms))
        continue;
      ohms = now;
      state = s;
    }
    const char *source;
    double limit = circuit_limit(starter, pl_nominal_volts(h, d), &source);
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
    struct pl_margin near = {state, {PL_READING_LOOP, plus, minus, d}, 1000, limit, false};
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

/* ---- the return without its main cable ---- */

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
      if (!is_cranking(solution, d))
        continue;
      pl_id cable = main_ground(check, solution, minus);
      if (cable != PL_NONE)
        judge_thin(check, d, s, cable);
      break; /* one cranking state tells */
    }
  }
}
