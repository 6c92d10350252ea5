/* Volts: what is lost from the source to a load and back, and whether loads and modules get what
 * they need.
 *
 * The drop of a load is what the elements of one way lose, the way of most current from its plus to
 * the source and from its minus back (network/path.c).  Each element has its share, amps times its
 * ohms, split into copper and contacts, so that the message can say what would help.  Loads that
 * lose most in the same element are one finding. */
#include <math.h>
#include <string.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/margin_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/wire.h"

struct ask {
  pl_id device, plus, minus;
  const char *place;
}; /* a load, or one feed of a module */
typedef PL_VEC(struct ask) asks;

static asks collect(const struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  asks list = {0};
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    struct ask ask = {d, device->plus, device->minus, device->name};
    if (pl_kind_is_load(device->kind) && device->plus != PL_NONE && device->minus != PL_NONE)
      PL_PUSH(check->arena, &list, ask);
    if (!pl_kind_is(device->kind, PL_IS_MODULE))
      continue;
    ask.minus = pl_device_return(h, d);
    for (pl_id p = device->first_pin; ask.minus != PL_NONE && p < pl_pins_end(device); p++) {
      if (h->pins.at[p].role != PL_ROLE_BATTERY_FEED)
        continue;
      if (pl_pin_wires_there(h, p) == 0)
        continue;
      ask.plus = p;
      ask.place = h->pins.at[p].full;
      PL_PUSH(check->arena, &list, ask);
    }
  }
  return list;
}

static double volts_across(const struct pl_solution *solution, const struct ask *ask) {
  return solution->pin_volts[ask->plus] - solution->pin_volts[ask->minus];
}

/* On as far as the harness is concerned: a tenth of its volts; NAN is no. */
static bool
energised(const struct pl_check *check, const struct pl_solution *solution, const struct ask *ask) {
  return fabs(volts_across(solution, ask)) >= 0.1 * pl_nominal_volts(check->harness, ask->device);
}

/* ---- drop ---- */

static double limit_of(const struct pl_check *check, const struct ask *ask) {
  const struct pl_harness *h = check->harness;
  pl_id pins[2] = {ask->plus, ask->minus};
  for (int i = 0; i < 2; i++)
    for (uint32_t k = 0; k < h->pins.at[pins[i]].wires.n; k++) {
      pl_id wire = h->pins.at[pins[i]].wires.at[k];
      pl_id circuit = h->wires.at[wire].circuit;
      if (circuit == PL_NONE)
        continue;
      if (isnan(h->circuits.at[circuit].drop_limit))
        return h->machine.drop_limit;
      return h->circuits.at[circuit].drop_limit;
    }
  return h->machine.drop_limit;
}

struct part {
  double volts, copper;
  uint32_t element;
}; /* of a path: what it loses, and its copper alone */
typedef PL_VEC(struct part) parts;

struct loss {
  const struct ask *ask;
  pl_id state;
  double drop, limit; /* volts */
  parts parts;        /* largest first */
  uint32_t worst;     /* element that loses most of what can be mended in the harness */
  uint32_t others;    /* more loads that lose most in the same place */
  pl_id posts;        /* an alternator feeds it, and volts are counted from this battery; PL_NONE */
  double beside;      /* volts that the supply loses between both */
};
typedef PL_VEC(struct loss) losses;

/* ---- where the volts are counted from ---- */

/* The source that the current of its plus comes from; PL_NONE. */
static pl_id
source_of(const struct pl_check *check, const struct pl_solution *solution, const struct ask *ask) {
  uint32_t *path = NULL;
  uint32_t n = pl_solution_path(check->network, solution, ask->plus, false, check->arena, &path);
  if (n == 0)
    return PL_NONE;
  if (solution->elements[path[n - 1]].kind != PL_ELEMENT_SOURCE)
    return PL_NONE;
  return solution->elements[path[n - 1]].device;
}

/* While an alternator feeds a load, what is lost in its charging cable is the supply's: at the load
 * volts are counted from the posts of the battery beside it, as a meter is held.  The battery:
 * PL_NONE where the load is fed by a battery, or none stands between. */
static pl_id posts_of(const struct pl_check *check,
                      const struct pl_solution *solution,
                      const struct ask *ask,
                      double drop,
                      double *beside) {
  const struct pl_harness *h = check->harness;
  pl_id from = source_of(check, solution, ask);
  if (from == PL_NONE)
    return PL_NONE;
  if (!pl_kind_is(h->devices.at[from].kind, PL_IS_GENERATOR))
    return PL_NONE;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *battery = &h->devices.at[d];
    if (!pl_kind_is(battery->kind, PL_IS_STORE))
      continue;
    if (battery->plus == PL_NONE)
      continue;
    if (battery->minus == PL_NONE)
      continue;
    double posts = solution->pin_volts[battery->plus] - solution->pin_volts[battery->minus];
    *beside = drop - (posts - volts_across(solution, ask));
    if (*beside >= 0 && *beside < posts / 2)
      return d; /* neither one of a string, nor one that nothing joins to this load */
  }
  return PL_NONE;
}

static const char *counted_from(const struct pl_check *check, const struct loss *loss) {
  const struct pl_harness *h = check->harness;
  pl_id from = source_of(check, &check->solutions[loss->state], loss->ask);
  if (from == PL_NONE)
    return "";
  if (loss->posts == PL_NONE)
    return pl_arena_printf(check->arena,
                           " from %s%s",
                           pl_kind_is(h->devices.at[from].kind, PL_IS_STORE) ? "the posts of " : "",
                           h->devices.at[from].name);
  return pl_arena_printf(check->arena,
                         " from the posts of %s, beside %s that the supply loses between %s and "
                         "there",
                         h->devices.at[loss->posts].name,
                         pl_say(check->arena, loss->beside, "V"),
                         h->devices.at[from].name);
}

/* The way from a pin as far as `end` (PL_NONE: the source).  False when it passes through another
 * load: then no limit of the wiring is meant. */
static bool add_way(const struct pl_check *check,
                    const struct pl_solution *solution,
                    pl_id pin,
                    bool minus,
                    pl_id end,
                    parts *list) {
  uint32_t *path = NULL;
  uint32_t n = pl_solution_path(check->network, solution, pin, minus, check->arena, &path);
  uint32_t at = pl_network_pin_node(check->network, pin);
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_element *e = &solution->elements[path[i]];
    if (end != PL_NONE && at == pl_network_pin_node(check->network, end))
      break;
    if (e->node_a == at)
      at = e->node_b;
    else
      at = e->node_a;
    if (e->kind == PL_ELEMENT_RESISTANCE)
      return false;
    if (e->kind == PL_ELEMENT_CURRENT)
      return false;
    if (e->kind == PL_ELEMENT_SOURCE)
      continue;
    struct part part = {fabs(e->amps) * e->ohms,
                        fabs(e->amps) * (e->ohms - e->contact_ohms),
                        path[i]};
    if (e->kind == PL_ELEMENT_DIODE)
      part.volts += e->volts;
    if (e->kind != PL_ELEMENT_WIRE)
      part.copper = 0;
    PL_PUSH(check->arena, list, part);
    uint32_t k = list->n - 1; /* into its place: the largest first */
    while (k > 0 && part.volts > list->at[k - 1].volts) {
      list->at[k] = list->at[k - 1];
      k--;
    }
    list->at[k] = part;
  }
  return true;
}

static const char *part_name(const struct pl_check *check, const struct pl_element *e) {
  if (e->kind == PL_ELEMENT_WIRE)
    return pl_say_wire(check, e->wire);
  const struct pl_device *device = &check->harness->devices.at[e->device];
  bool contact = pl_kind_is_protection(device->kind) || device->throws.n > 0 ||
                 pl_kind_is(device->kind, PL_IS_RELAY | PL_IS_ONE_WAY | PL_IS_NODE);
  return pl_arena_printf(check->arena,
                         "%s%s %s",
                         contact                                  ? ""
                         : pl_kind_is(device->kind, PL_IS_MODULE) ? "inside "
                         : strcmp(e->what, "case") == 0           ? "the case of "
                                                                  : "",
                         pl_kind_name(device->kind),
                         device->name);
}

static const char *shares(const struct pl_check *check, const struct loss *loss) {
  const char *texts[4] = {0};
  uint32_t n = 0;
  const struct pl_element *elements = check->solutions[loss->state].elements;
  for (uint32_t i = 0; i < loss->parts.n && n < 4; i++) {
    const struct part *part = &loss->parts.at[i];
    if (part->volts < 0.02 * loss->drop && n > 0)
      break;
    double contacts = 0;
    if (part->copper > 0)
      contacts = part->volts - part->copper;
    const char *of = "";
    if (contacts > 0.3 * part->volts)
      of = pl_arena_printf(check->arena,
                           ", %s of it in its contacts",
                           pl_say(check->arena, contacts, "V"));
    texts[n++] = pl_arena_printf(check->arena,
                                 "%s (%s%s)",
                                 part_name(check, &elements[part->element]),
                                 pl_say(check->arena, part->volts, "V"),
                                 of);
  }
  return pl_say_some(check, texts, n, 4);
}

/* What the drop would be with the copper of the part `only` (PL_NONE: of all) made `step` sizes
 * thicker; NAN when there is no such size.  The current is held: a thicker wire lets a little more
 * through, and stays cooler, which about make up for each other. */
static double
thicker_drop(const struct pl_check *check, const struct loss *loss, uint32_t only, int step) {
  const struct pl_element *elements = check->solutions[loss->state].elements;
  double drop = loss->drop;
  for (uint32_t i = 0; i < loss->parts.n; i++) {
    const struct part *part = &loss->parts.at[i];
    if (!(part->copper > 0))
      continue;
    if (only != PL_NONE && i != only)
      continue;
    const struct pl_wire *wire = &check->harness->wires.at[elements[part->element].wire];
    double area = pl_wire_next_area(wire->area, wire->metric, step);
    if (!(area > 0))
      return NAN;
    drop -= part->copper * (1 - pl_wire_ohms_per_m(area, wire->metric) /
                                    pl_wire_ohms_per_m(wire->area, wire->metric));
  }
  return drop;
}

static const char *percent(const struct pl_check *check, double share) {
  return pl_say(check->arena, 100 * share, "%");
}

static const char *drop_remedy(const struct pl_check *check, const struct loss *loss) {
  const struct pl_element *elements = check->solutions[loss->state].elements;
  double volts = pl_nominal_volts(check->harness, loss->ask->device);
  uint32_t best = PL_NONE;
  pl_ids wires = {0};
  for (uint32_t i = 0; i < loss->parts.n; i++) {
    if (!(loss->parts.at[i].copper > 0))
      continue;
    if (best == PL_NONE || loss->parts.at[i].copper > loss->parts.at[best].copper)
      best = i;
    PL_PUSH(check->arena, &wires, elements[loss->parts.at[i].element].wire);
  }
  if (best == PL_NONE)
    return "look for the bad contact named first";
  const struct pl_wire *wire =
      &check->harness->wires.at[elements[loss->parts.at[best].element].wire];
  for (int step = 1; step <= 5; step++) {
    double drop = thicker_drop(check, loss, best, step);
    char size[24];
    if (drop <= loss->limit)
      return pl_arena_printf(
          check->arena,
          "%s on wire %s would drop %s",
          pl_wire_size_text(size, pl_wire_next_area(wire->area, wire->metric, step), wire->metric),
          wire->number,
          percent(check, drop / volts));
  }
  for (int step = 1; step <= 5; step++) {
    double drop = thicker_drop(check, loss, PL_NONE, step);
    if (drop <= loss->limit)
      return pl_arena_printf(check->arena,
                             "%d size%s more on %s would drop %s",
                             step,
                             step == 1 ? "" : "s",
                             pl_say_wires(check, wires.at, wires.n),
                             percent(check, drop / volts));
  }
  return "thicker wire alone does not cure it: shorten the way, take a relay near the load, or "
         "mend what is named "
         "first";
}

/* The wires on its way, those whose copper loses most first. */
static const uint32_t *
lossy_wires(const struct pl_check *check, const struct loss *loss, uint32_t *count) {
  const struct pl_element *elements = check->solutions[loss->state].elements;
  pl_ids wires = {0};
  for (uint32_t i = 0; i < loss->parts.n; i++)
    if (loss->parts.at[i].copper > 0)
      PL_PUSH(check->arena, &wires, elements[loss->parts.at[i].element].wire);
  *count = wires.n;
  return wires.at;
}

static void report_loss(struct pl_check *check, const struct loss *loss) {
  const struct pl_harness *h = check->harness;
  const struct pl_element *worst = &check->solutions[loss->state].elements[loss->worst];
  double volts = pl_nominal_volts(h, loss->ask->device);
  bool wire = worst->kind == PL_ELEMENT_WIRE;
  struct pl_span span;
  if (wire)
    span = h->wires.at[worst->wire].size_span;
  else
    span = h->devices.at[worst->device].span;
  if (wire && span.file == PL_NO_FILE)
    span = h->wires.at[worst->wire].span;
  struct pl_finding f =
      pl_finding_new("wire-drop",
                     PL_FAULT,
                     span,
                     wire ? pl_say_wire(check, worst->wire) : h->devices.at[worst->device].name);
  f.state = pl_state_name(check, loss->state);
  f.figure = 100 * loss->drop / volts;
  f.limit = 100 * loss->limit / volts;
  f.unit = "%";
  struct pl_margin near = {loss->state,
                           {PL_READING_DROP, loss->ask->plus, loss->ask->minus, PL_NONE},
                           100 / volts,
                           f.limit,
                           false};
  const char *others;
  if (loss->others == 0)
    others = "";
  else
    others = pl_arena_printf(check->arena,
                             " (%u more load%s too)",
                             loss->others,
                             loss->others == 1 ? "" : "s");
  f.text = pl_arena_printf(check->arena,
                           "%s%s loses %s of %s there and back%s (%s, limit %s), most in %s%s",
                           loss->ask->place,
                           others,
                           pl_say(check->arena, loss->drop, "V"),
                           pl_say(check->arena, volts, "V"),
                           counted_from(check, loss),
                           percent(check, loss->drop / volts),
                           percent(check, loss->limit / volts),
                           shares(check, loss),
                           loss->posts != PL_NONE ? "" : pl_say_good_end(check, near, "%"));
  f.remedy = drop_remedy(check, loss);
  f.wires = lossy_wires(check, loss, &f.wire_count);
  pl_findings_add(check->findings, f);
}

/* What a module loses inside is not the harness's: something else is named when
 * there is anything. */
static uint32_t offender(const struct pl_check *check, const struct loss *loss) {
  const struct pl_element *elements = check->solutions[loss->state].elements;
  for (uint32_t i = 0; i < loss->parts.n; i++) {
    const struct pl_element *e = &elements[loss->parts.at[i].element];
    if (e->kind == PL_ELEMENT_WIRE || !pl_device_is(check->harness, e->device, PL_IS_MODULE))
      return loss->parts.at[i].element;
  }
  return loss->parts.at[0].element;
}

static void
keep_loss(struct pl_check *check, losses *list, struct loss loss, uint32_t *by_element) {
  const struct pl_solution *solution = &check->solutions[loss.state];
  pl_id plus;
  if (loss.posts == PL_NONE)
    plus = PL_NONE;
  else
    plus = check->harness->devices.at[loss.posts].plus;
  pl_id minus;
  if (loss.posts == PL_NONE)
    minus = PL_NONE;
  else
    minus = check->harness->devices.at[loss.posts].minus;
  if (!add_way(check, solution, loss.ask->plus, false, plus, &loss.parts))
    return;
  if (!add_way(check, solution, loss.ask->minus, true, minus, &loss.parts))
    return;
  if (loss.parts.n == 0)
    return;
  loss.worst = offender(check, &loss);
  uint32_t *slot = &by_element[loss.worst];
  if (*slot == 0) {
    PL_PUSH(check->arena, list, loss);
    *slot = list->n;
    return;
  }
  struct loss *other = &list->at[*slot - 1];
  loss.others = other->others + 1;
  other->others++;
  if (loss.drop / loss.limit > other->drop / other->limit)
    *other = loss;
}

void pl_rule_wire_drop(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  asks list = collect(check);
  losses found = {0};
  uint32_t *by_element = NULL;
  for (uint32_t i = 0; i < list.n; i++) {
    struct loss worst = {.ask = &list.at[i],
                         .state = PL_NONE,
                         .posts = PL_NONE,
                         .limit =
                             limit_of(check, &list.at[i]) * pl_nominal_volts(h, list.at[i].device)};
    for (pl_id s = 0; s < h->states.n; s++) {
      const struct pl_solution *solution = &check->solutions[s];
      if (!check->facts->live[s])
        continue;
      if (!energised(check, solution, &list.at[i]))
        continue;
      double drop = pl_solution_drop(check->network, solution, list.at[i].plus, list.at[i].minus);
      if (!(drop > worst.limit))
        continue;
      if (!(drop > worst.drop))
        continue;
      double beside = 0;
      pl_id posts = posts_of(check, solution, &list.at[i], drop, &beside);
      if (posts != PL_NONE)
        drop -= beside;
      if (!(drop > worst.limit))
        continue;
      if (!(drop > worst.drop))
        continue;
      worst.drop = drop;
      worst.state = s;
      worst.posts = posts;
      worst.beside = beside;
    }
    if (worst.state == PL_NONE)
      continue;
    if (by_element == NULL)
      by_element = PL_NEW_ARRAY(check->arena,
                                uint32_t,
                                (size_t)check->solutions[worst.state].element_count + 1);
    keep_loss(check, &found, worst, by_element);
  }
  for (uint32_t i = 0; i < found.n; i++)
    report_loss(check, &found.at[i]);
}

/* ---- volts needed ---- */

/* What only dims or slows while the engine cranks. */
static bool may_dim(enum pl_kind kind) {
  return pl_kind_is(kind, PL_MAY_DIM);
}

struct lack {
  const struct ask *ask;
  pl_id state;
  double volts, limit, by;
  PL_VEC(const char *) others; /* starved by the same sagging battery */
};
typedef PL_VEC(struct lack) lacks;

static void judge_volts(const struct pl_check *check, const struct ask *ask, struct lack *worst) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *device = &h->devices.at[ask->device];
  bool module = pl_kind_is(device->kind, PL_IS_MODULE);
  double least;
  if (module)
    least = h->pins.at[ask->plus].volts_min;
  else
    least = device->need_min;
  double most;
  if (module)
    most = h->pins.at[ask->plus].volts_max;
  else
    most = device->need_max;
  if (isnan(least) && isnan(most))
    return;
  for (pl_id s = 0; s < h->states.n; s++) {
    const struct pl_solution *solution = &check->solutions[s];
    if (solution->status != PL_SOLVED)
      continue;
    if (!energised(check, solution, ask))
      continue;
    if (h->states.at[s].engine == PL_ENGINE_CRANKING && may_dim(device->kind))
      continue;
    double volts = fabs(volts_across(solution, ask));
    double low = least - volts;
    double high = volts - most;
    struct lack lack = {.ask = ask, .state = s, .volts = volts};
    if (low > 1e-6 && low > worst->by) {
      *worst = lack;
      worst->limit = least;
      worst->by = low;
    }
    if (high > 1e-6 && high > worst->by) {
      *worst = lack;
      worst->limit = most;
      worst->by = high;
    }
  }
}

static double battery_volts(const struct pl_check *check, pl_id state) {
  double most = NAN;
  for (pl_id d = 0; d < check->harness->devices.n; d++) {
    double volts = fabs(check->solutions[state].device_volts[d]);
    if (pl_device_is(check->harness, d, PL_IS_STORE) && isfinite(volts) && !(most >= volts))
      most = volts;
  }
  return most;
}

static bool flat(const struct pl_check *check, const struct lack *lack) {
  if (!(lack->volts < lack->limit))
    return false;
  return battery_volts(check, lack->state) < lack->limit;
}

static void report_lack(struct pl_check *check, const struct lack *lack) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *device = &h->devices.at[lack->ask->device];
  bool low = lack->volts < lack->limit;
  bool module = pl_kind_is(device->kind, PL_IS_MODULE);
  struct pl_finding f = pl_finding_new("load-starved",
                                       PL_FAULT,
                                       module ? h->pins.at[lack->ask->plus].span : device->span,
                                       lack->ask->place);
  f.state = pl_state_name(check, lack->state);
  f.figure = lack->volts;
  f.limit = lack->limit;
  f.unit = "V";
  double battery = battery_volts(check, lack->state);
  const char *source;
  if (isnan(battery))
    source = "";
  else
    source = pl_arena_printf(check->arena,
                             "; the battery itself stands at %s",
                             pl_say(check->arena, battery, "V"));
  const char *others;
  if (lack->others.n == 0)
    others = "";
  else
    others = pl_arena_printf(check->arena,
                             " (too little for %s too)",
                             pl_say_some(check, lack->others.at, lack->others.n, 4));
  struct pl_margin near = {lack->state,
                           {PL_READING_VOLTS, lack->ask->plus, lack->ask->minus, PL_NONE},
                           1,
                           lack->limit,
                           low};
  f.text = pl_arena_printf(check->arena,
                           "%s gets %s, it needs at %s %s%s%s%s",
                           lack->ask->place,
                           pl_say(check->arena, lack->volts, "V"),
                           low ? "least" : "most",
                           pl_say(check->arena, lack->limit, "V"),
                           source,
                           others,
                           pl_say_good_end(check, near, "V"));
  if (!low)
    f.remedy = "look for the wrong battery tap or regulator volts, or feed it through a converter";
  else if (flat(check, lack))
    f.remedy = "a stronger battery, or less load in that state";
  else
    f.remedy = "thicker or shorter wires on its feed and return (see `wire-drop`), or a feed "
               "straight from the battery posts";
  pl_findings_add(check->findings, f);
}

/* A controller that has what it needs as described, but not with every part at its worst: in the
 * state where least is to spare.  While cranking: `crank-volts`. */
static void doubt_module(struct pl_check *check, const struct ask *ask) {
  const struct pl_harness *h = check->harness;
  struct pl_margin near = {PL_NONE,
                           {PL_READING_VOLTS, ask->plus, ask->minus, PL_NONE},
                           1,
                           h->pins.at[ask->plus].volts_min,
                           true};
  double volts = INFINITY;
  for (pl_id s = 0; s < h->states.n; s++) {
    if (check->solutions[s].status != PL_SOLVED)
      continue;
    if (h->states.at[s].engine == PL_ENGINE_CRANKING)
      continue;
    if (!energised(check, &check->solutions[s], ask))
      continue;
    double now = fabs(volts_across(&check->solutions[s], ask));
    if (!(now < volts))
      continue;
    volts = now;
    near.state = s;
  }
  const char *end = "";
  if (near.state != PL_NONE && volts >= near.limit)
    end = pl_say_bad_end(check, near, "V");
  if (end[0] == '\0')
    return;
  struct pl_finding f =
      pl_finding_new("load-starved", PL_ADVICE, h->pins.at[ask->plus].span, ask->place);
  f.state = pl_state_name(check, near.state);
  f.figure = volts;
  f.limit = near.limit;
  f.unit = "V";
  f.text = pl_arena_printf(check->arena,
                           "%s gets %s, it needs at least %s%s",
                           ask->place,
                           pl_say(check->arena, volts, "V"),
                           pl_say(check->arena, near.limit, "V"),
                           end);
  f.remedy = "thicker or shorter wires on its feed and return, or a feed straight from the battery "
             "posts, leave room for wear";
  pl_findings_add(check->findings, f);
}

void pl_rule_load_starved(struct pl_check *check) {
  asks list = collect(check);
  lacks found = {0};
  for (uint32_t i = 0; i < list.n;) { /* the feeds of one module together */
    struct lack worst = {.state = PL_NONE};
    pl_id device = list.at[i].device;
    const struct ask *first = &list.at[i];
    for (; i < list.n && list.at[i].device == device; i++)
      judge_volts(check, &list.at[i], &worst);
    if (worst.state == PL_NONE && pl_device_is(check->harness, device, PL_IS_MODULE))
      doubt_module(check, first);
    if (worst.state == PL_NONE)
      continue;
    bool same = false;
    for (uint32_t k = 0; k < found.n && !same && flat(check, &worst); k++) {
      same = found.at[k].state == worst.state && flat(check, &found.at[k]);
      if (same)
        PL_PUSH(check->arena, &found.at[k].others, worst.ask->place);
    }
    if (!same)
      PL_PUSH(check->arena, &found, worst);
  }
  for (uint32_t i = 0; i < found.n; i++)
    report_lack(check, &found.at[i]);
}
