/* Wires: current against what the wire may carry where it lies, brief heavy currents, and places
 * hotter than the insulation. */
#include <math.h>
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

/* No bundle factor of 33 CFR 183.435(b) is below this: a wire under that share of its free amperage
 * needs no second look. */
#define LEAST_BUNDLE_FACTOR 0.4

struct over {
  double ratio, amps, allowed;
  pl_id state, run;
  uint32_t carrying;
};

static void count_loaded(const struct pl_check *check,
                         const struct pl_solution *solution,
                         const double *table,
                         uint32_t *carrying) {
  const struct pl_harness *h = check->harness;
  memset(carrying, 0, h->runs.n * sizeof *carrying);
  for (pl_id w = 0; w < h->wires.n; w++) {
    if (!(fabs(solution->wire_amps[w]) > pl_limit_loaded.value / 100 * table[w]))
      continue;
    for (uint32_t i = 0; i < h->wires.at[w].route.n; i++)
      carrying[h->wires.at[w].route.at[i]]++;
  }
}

static void judge_wire(const struct pl_wire *wire,
                       double amps,
                       pl_id state,
                       const uint32_t *carrying,
                       struct over *worst) {
  uint32_t fullest = 1;
  pl_id run = PL_NONE;
  for (uint32_t i = 0; i < wire->route.n; i++)
    if (carrying[wire->route.at[i]] > fullest) {
      run = wire->route.at[i];
      fullest = carrying[run];
    }
  double allowed = pl_rule_wire_amps(wire, fullest, NULL);
  if (!(amps > allowed))
    return;
  if (!(amps / fmax(allowed, 1e-9) > worst->ratio))
    return;
  *worst = (struct over){amps / fmax(allowed, 1e-9), amps, allowed, state, run, fullest};
}

static const char *run_name(const struct pl_check *check, pl_id run) {
  const struct pl_run *r = &check->harness->runs.at[run];
  return pl_arena_printf(check->arena,
                         "run %s to %s",
                         check->harness->places.at[r->a].name,
                         check->harness->places.at[r->b].name);
}

/* The next size that carries `amps`: "12 AWG, which may carry 22.1 A here". */
static const char *
thicker(const struct pl_check *check, const struct pl_wire *wire, double amps, uint32_t carrying) {
  for (int step = 1; step < 24; step++) {
    struct pl_wire other = *wire;
    char size[24];
    other.area = pl_wire_next_area(wire->area, wire->metric, step);
    if (!(other.area > 0))
      break;
    double allowed = pl_rule_wire_amps(&other, carrying, NULL);
    if (allowed >= amps)
      return pl_arena_printf(check->arena,
                             "use %s, which may carry %s here",
                             pl_wire_size_text(size, other.area, other.metric),
                             pl_say(check->arena, allowed, "A"));
  }
  return "no size does: split the load over several wires, or take the wire out of the heat or the "
         "bundle";
}

static void report_over(struct pl_check *check, pl_id w, const struct over *over) {
  const struct pl_wire *wire = &check->harness->wires.at[w];
  bool bundle_only =
      over->amps <=
      pl_rule_wire_amps(wire, 1, NULL); /* law from 50 V up, a cautious choice below */
  struct pl_finding f = pl_finding_new("wire-current",
                                       bundle_only ? PL_FAULT : PL_DANGER,
                                       wire->size_span,
                                       pl_say_wire(check, w));
  if (f.span.file == PL_NO_FILE)
    f.span = wire->span;
  f.state = pl_state_name(check, over->state);
  f.figure = over->amps;
  f.limit = over->allowed;
  f.unit = "A";
  const char *where =
      pl_arena_printf(check->arena,
                      "%s%s%s",
                      wire->engine_space ? " in the engine space" : "",
                      wire->hot >= 50 ? " at " : "",
                      wire->hot >= 50 ? pl_say(check->arena, wire->hot, "degC") : "");
  const char *bundle;
  if (over->run == PL_NONE)
    bundle = "";
  else
    bundle = pl_arena_printf(check->arena,
                             " with %u loaded wires in %s",
                             over->carrying,
                             run_name(check, over->run));
  f.text = pl_arena_printf(check->arena,
                           "wire %s carries %s, allowed is %s for %s %s%s%s",
                           wire->number,
                           pl_say(check->arena, over->amps, "A"),
                           pl_say(check->arena, over->allowed, "A"),
                           wire->size,
                           pl_wire_insulation(wire)->name,
                           where,
                           bundle);
  f.remedy = thicker(check, wire, over->amps, over->carrying);
  pl_rule_wire_amps(wire, over->carrying, &f.source);
  pl_findings_add(check->findings, f);
}

void pl_rule_wire_current(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  double *table = PL_BY_WIRE(check, double);
  double *alone = PL_BY_WIRE(check, double);
  uint32_t *carrying = PL_NEW_ARRAY(check->arena, uint32_t, (size_t)h->runs.n + 1);
  struct over *worst = PL_BY_WIRE(check, struct over);
  for (pl_id w = 0; w < h->wires.n; w++) {
    const struct pl_wire *wire = &h->wires.at[w];
    table[w] = pl_wire_amperage(wire->area, wire->metric, wire->insulation, false, 1).table;
    alone[w] = pl_rule_wire_amps(wire, 1, NULL);
  }
  for (pl_id s = 0; s < h->states.n; s++) {
    if (!check->facts->live[s])
      continue;
    bool counted = false;
    for (pl_id w = 0; w < h->wires.n; w++) {
      double amps = fabs(check->solutions[s].wire_amps[w]);
      if (!(amps > LEAST_BUNDLE_FACTOR * alone[w]) || !(alone[w] > 0))
        continue; /* none allowed: place-too-hot says it */
      if (!counted)
        count_loaded(check, &check->solutions[s], table, carrying);
      counted = true;
      judge_wire(&h->wires.at[w], amps, s, carrying, &worst[w]);
    }
  }
  for (pl_id w = 0; w < h->wires.n; w++)
    if (worst[w].ratio > 0)
      report_over(check, w, &worst[w]);
}

/* ---- heat by its own current ---- */

struct hot_wire {
  double heat, amps;
  pl_id state;
  uint32_t carrying;
};

/* Solved warmth counts the wire alone; in a bundle the same rise takes `factor` of the amps, so the
 * same amps make 1 / factor^2 of the rise. */
static double bundled_heat(const struct pl_check *check, pl_id state, pl_id w, uint32_t carrying) {
  const struct pl_wire *wire = &check->harness->wires.at[w];
  double around = check->harness->states.at[state].ambient;
  double factor;
  if (isnan(around))
    around = wire->hot;
  factor = pl_wire_amperage(wire->area,
                            wire->metric,
                            wire->insulation,
                            wire->engine_space || wire->hot >= 50,
                            carrying)
               .bundle_factor;
  return around + (check->solutions[state].wire_temperature[w] - around) / (factor * factor);
}

static void report_hot(struct pl_check *check, pl_id w, const struct hot_wire *hot) {
  const struct pl_wire *wire = &check->harness->wires.at[w];
  double rated = pl_wire_insulation(wire)->hot;
  struct pl_finding f =
      pl_finding_new("wire-hot",
                     hot->carrying > 1 ? PL_FAULT : PL_DANGER,
                     wire->size_span.file == PL_NO_FILE ? wire->span : wire->size_span,
                     pl_say_wire(check, w));
  f.state = pl_state_name(check, hot->state);
  f.figure = hot->heat;
  f.limit = rated;
  f.unit = "degC";
  f.text = pl_arena_printf(
      check->arena,
      "wire %s, %s, gets %s at %s%s, %s insulation bears %s",
      wire->number,
      wire->size,
      hot->heat > 1083 ? "to the melting point of copper" : pl_say(check->arena, hot->heat, "degC"),
      pl_say(check->arena, hot->amps, "A"),
      hot->carrying > 1 ? pl_arena_printf(check->arena, " among %u loaded wires", hot->carrying)
                        : "",
      pl_wire_insulation(wire)->name,
      pl_say(check->arena, rated, "degC"));
  char size[24];
  struct pl_wire other = *wire;
  for (int step = 1; step < 24 && other.area > 0; step++) {
    other.area = pl_wire_next_area(wire->area, wire->metric, step);
    double now = pl_wire_amperage(wire->area, wire->metric, wire->insulation, false, 1).table;
    double then = 0;
    if (other.area > 0)
      then = pl_wire_amperage(other.area, wire->metric, wire->insulation, false, 1).table;
    if (!(then > 0))
      continue;
    if (wire->hot + (hot->heat - wire->hot) * (now / then) * (now / then) > rated)
      continue;
    f.remedy = pl_arena_printf(check->arena,
                               "use %s, or take the wire out of the heat or the bundle",
                               pl_wire_size_text(size, other.area, wire->metric));
    break;
  }
  if (f.remedy[0] == '\0')
    f.remedy = "split the load over several wires, or take the wire out of the heat or the bundle";
  pl_findings_add(check->findings, f);
}

void pl_rule_wire_hot(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  uint32_t *carrying = PL_NEW_ARRAY(check->arena, uint32_t, (size_t)h->runs.n + 1);
  double *table = PL_BY_WIRE(check, double);
  struct hot_wire *worst = PL_BY_WIRE(check, struct hot_wire);
  for (pl_id w = 0; w < h->wires.n; w++)
    table[w] = pl_wire_amperage(h->wires.at[w].area,
                                h->wires.at[w].metric,
                                h->wires.at[w].insulation,
                                false,
                                1)
                   .table;
  for (pl_id s = 0; s < h->states.n; s++) {
    bool counted = false;
    if (!check->facts->live[s])
      continue;
    for (pl_id w = 0; w < h->wires.n; w++) {
      const struct pl_wire *wire = &h->wires.at[w];
      double rated = pl_wire_insulation(wire)->hot;
      double rise = check->solutions[s].wire_temperature[w] - wire->hot;
      if (!(rise > 0))
        continue;
      if (wire->hot >= rated)
        continue;
      if (!(wire->hot + rise / (LEAST_BUNDLE_FACTOR * LEAST_BUNDLE_FACTOR) > rated))
        continue;
      if (!counted)
        count_loaded(check, &check->solutions[s], table, carrying);
      counted = true;
      uint32_t fullest = 1;
      for (uint32_t i = 0; i < wire->route.n; i++)
        if (carrying[wire->route.at[i]] > fullest)
          fullest = carrying[wire->route.at[i]];
      if (bundled_heat(check, s, w, 1) > rated)
        fullest = 1;
      double heat = bundled_heat(check, s, w, fullest);
      if (heat > rated && heat > worst[w].heat)
        worst[w] = (struct hot_wire){heat, fabs(check->solutions[s].wire_amps[w]), s, fullest};
    }
  }
  for (pl_id w = 0; w < h->wires.n; w++)
    if (worst[w].heat > 0)
      report_hot(check, w, &worst[w]);
}

/* ---- brief currents ---- */

/* Copper that stays within the insulation's rating; NAN when the place leaves nothing. */
static double brief_area(const struct pl_wire *wire, double amps, double seconds, double rated) {
  double area = wire->area;
  for (int step = 0; step < 40 && pl_copper_heat(area, amps, seconds, wire->hot) > rated; step++) {
    area = pl_wire_next_area(area, wire->metric, 1);
    if (!(area > 0))
      return NAN;
  }
  return area;
}

static void report_brief(struct pl_check *check,
                         pl_id w,
                         double heat,
                         double amps,
                         double seconds,
                         pl_id state) {
  const struct pl_wire *wire = &check->harness->wires.at[w];
  double rated = pl_wire_insulation(wire)->hot;
  double least = brief_area(wire, amps, seconds, rated);
  struct pl_finding f =
      pl_finding_new("wire-brief-current", PL_DANGER, wire->size_span, pl_say_wire(check, w));
  if (f.span.file == PL_NO_FILE)
    f.span = wire->span;
  f.state = pl_state_name(check, state);
  f.figure = heat;
  f.limit = rated;
  f.unit = "degC";
  f.text = pl_arena_printf(check->arena,
                           "%s for %s heat wire %s, %s, to %s, %s insulation bears %s",
                           pl_say(check->arena, amps, "A"),
                           pl_say(check->arena, seconds, "s"),
                           wire->number,
                           wire->size,
                           heat > 1083 ? "its melting point" : pl_say(check->arena, heat, "degC"),
                           pl_wire_insulation(wire)->name,
                           pl_say(check->arena, rated, "degC"));
  char size[24];
  if (least > 0)
    f.remedy = pl_arena_printf(check->arena,
                               "use %s, or keep this current off it by a heavier path beside it",
                               pl_wire_size_text(size, least, wire->metric));
  else
    f.remedy = "this wire is not meant to carry such a current: give it a heavier path";
  pl_findings_add(check->findings, f);
}

void pl_rule_wire_brief(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  for (pl_id w = 0; w < h->wires.n; w++) {
    const struct pl_wire *wire = &h->wires.at[w];
    double worst = -INFINITY;
    double amps = 0;
    double seconds = 0;
    pl_id state = PL_NONE;
    if (!(wire->area > 0))
      continue;
    for (pl_id s = 0; s < h->states.n; s++) {
      if (check->solutions[s].status != PL_SOLVED)
        continue;
      if (check->facts->live[s])
        continue;
      double now = fabs(check->solutions[s].wire_amps[w]);
      double lasts = h->states.at[s].lasts;
      if (h->states.at[s].engine == PL_ENGINE_CRANKING)
        lasts = fmin(lasts, pl_limit_crank.value);
      if (now * now * lasts <= amps * amps * seconds)
        continue;
      amps = now;
      seconds = lasts;
      state = s;
      worst = pl_copper_heat(wire->area, now, lasts, wire->hot);
    }
    if (!(amps > pl_rule_wire_amps(wire, 1, NULL)))
      continue; /* it may do so for ever */
    if (worst > pl_wire_insulation(wire)->hot &&
        pl_wire_insulation(wire)->hot > wire->hot) /* else place-too-hot says it */
      report_brief(check, w, worst, amps, seconds, state);
  }
}

/* ---- heat of the place ---- */

struct hot_group {
  pl_id first;
  uint32_t insulation, count;
  double hot;
};
typedef PL_VEC(struct hot_group) hot_groups;

static void add_hot(const struct pl_check *check, hot_groups *groups, pl_id w) {
  const struct pl_wire *wire = &check->harness->wires.at[w];
  for (uint32_t i = 0; i < groups->n; i++) {
    if (groups->at[i].insulation != wire->insulation)
      continue;
    if (!(fabs(groups->at[i].hot - wire->hot) < 0.05))
      continue;

    groups->at[i].count++;
    return;
  }
  struct hot_group group = {w, wire->insulation, 1, wire->hot};
  PL_PUSH(check->arena, groups, group);
}

void pl_rule_place_too_hot(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  hot_groups groups = {0};
  for (pl_id w = 0; w < h->wires.n; w++) {
    const struct pl_wire *wire = &h->wires.at[w];
    if (wire->status != PL_WIRE_DONOR_REMOVED && wire->hot > pl_wire_insulation(wire)->hot)
      add_hot(check, &groups, w);
  }
  for (uint32_t i = 0; i < groups.n; i++) {
    const struct pl_wire *wire = &h->wires.at[groups.at[i].first];
    const struct pl_insulation *insulation = pl_wire_insulation(wire);
    struct pl_finding f = pl_finding_new("place-too-hot",
                                         PL_DANGER,
                                         wire->span,
                                         pl_say_wire(check, groups.at[i].first));
    f.figure = wire->hot;
    f.limit = insulation->hot;
    f.unit = "degC";
    f.source = insulation->source;
    const char *others;
    if (groups.at[i].count == 1)
      others = "";
    else
      others = pl_arena_printf(check->arena,
                               " (%u other%s too)",
                               groups.at[i].count - 1,
                               groups.at[i].count == 2 ? "" : "s");
    f.text = pl_arena_printf(check->arena,
                             "wire %s passes a place of %s, %s insulation bears %s%s",
                             wire->number,
                             pl_say(check->arena, wire->hot, "degC"),
                             insulation->name,
                             pl_say(check->arena, insulation->hot, "degC"),
                             others);
    const struct pl_insulation *better = NULL;
    for (uint32_t k = 0; k < pl_insulation_count; k++) {
      if (!(pl_insulations[k].hot > wire->hot))
        continue;
      if (better == NULL || pl_insulations[k].hot < better->hot)
        better = &pl_insulations[k];
    }
    if (better == NULL)
      f.remedy = "take the harness another way, or shield it from the heat";
    else
      f.remedy = pl_arena_printf(check->arena,
                                 "use %s (%s), or take the harness another way",
                                 better->name,
                                 pl_say(check->arena, better->hot, "degC"));
    pl_findings_add(check->findings, f);
  }
}
