/* Terminals: crimp, seal, amps and number of wires, for every cavity of a connector and every pin
 * that names its terminal. */
#include <math.h>

#include "base/number.h"
#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/wire.h"

#define SIZE_SLACK 0.01 /* a size written in AWG and one in mm2 are the same within a hundredth */

/* The family in force, or NULL where the description speaks of none: studs, posts
 * and the default. */
static const struct pl_terminal *family(const struct pl_check *check, pl_id pin) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  if (p->terminal != PL_NONE)
    return &check->harness->terminals.at[p->terminal];
  if (p->connector == PL_NONE)
    return NULL;
  if (check->harness->connectors.at[p->connector].terminal == PL_NONE)
    return NULL;
  return pl_pin_terminal(check->harness, pin);
}

static const struct pl_wire *wire_there(const struct pl_check *check, pl_id pin, uint32_t i) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  const struct pl_wire *wire = &check->harness->wires.at[p->wires.at[i]];
  if (wire->status == PL_WIRE_DONOR_REMOVED)
    return NULL;
  return wire;
}

static struct pl_span size_span(const struct pl_check *check, pl_id pin) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  for (uint32_t i = 0; i < p->wires.n; i++) {
    const struct pl_wire *wire = wire_there(check, pin, i);
    if (wire != NULL && wire->size_span.file != PL_NO_FILE)
      return wire->size_span;
  }
  return pl_pin_wiring_span(check->harness, pin);
}

static const char *named(const struct pl_check *check, pl_id pin) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  return pl_say_wires(check, p->wires.at, p->wires.n);
}

static const char *
range(const struct pl_check *check, double least, double most, const char *unit) {
  if (isnan(least))
    return pl_arena_printf(check->arena, "up to %s", pl_say(check->arena, most, unit));
  if (isnan(most))
    return pl_arena_printf(check->arena, "from %s up", pl_say(check->arena, least, unit));
  return pl_arena_printf(check->arena,
                         "%s to %s",
                         pl_say(check->arena, least, ""),
                         pl_say(check->arena, most, unit));
}

/* Copper in the crimp: in a cavity all wires share it, on a stud or post each has its own lug and
 * the worst counts. */
static double crimped(const struct pl_check *check, pl_id pin, const struct pl_terminal *terminal) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  double sum = 0;
  double worst = 0;
  double off = -1;
  for (uint32_t i = 0; i < p->wires.n; i++) {
    const struct pl_wire *wire = wire_there(check, pin, i);
    if (wire == NULL)
      continue;
    double by = fmax(terminal->area_min / wire->area, wire->area / terminal->area_max);
    sum += wire->area;
    if (by <= off)
      continue;
    off = by;
    worst = wire->area;
  }
  return p->connector != PL_NONE ? sum : worst;
}

static int misfit(const struct pl_terminal *terminal, double area) {
  if (area < terminal->area_min * (1 - SIZE_SLACK))
    return -1;
  return area > terminal->area_max * (1 + SIZE_SLACK);
}

/* The finding hangs on the size of that wire. */
static void set_wire(const struct pl_check *check, struct pl_finding *f, pl_id pin, uint32_t i) {
  pl_ids wires = {0};
  PL_PUSH(check->arena, &wires, check->harness->pins.at[pin].wires.at[i]);
  f->wires = wires.at;
  f->wire_count = 1;
}

void pl_rule_terminal_crimp(struct pl_check *check) {
  for (pl_id p = 0; p < check->harness->pins.n; p++) {
    const struct pl_terminal *terminal = family(check, p);
    uint32_t n = 0;
    if (terminal != NULL)
      n = pl_pin_wires_there(check->harness, p);
    if (n == 0 || n > terminal->wires_max)
      continue; /* too many wires is said by terminal-wires */
    double area = crimped(check, p, terminal);
    int fit = misfit(terminal, area);
    if (fit == 0)
      continue;
    bool thin = fit < 0;
    struct pl_finding f = pl_finding_new("terminal-crimp",
                                         PL_FAULT,
                                         size_span(check, p),
                                         check->harness->pins.at[p].full);
    f.figure = area;
    if (thin)
      f.limit = terminal->area_min;
    else
      f.limit = terminal->area_max;
    f.unit = "mm2";
    f.text = pl_arena_printf(check->arena,
                             "%s (%s) %s too %s for terminal `%s`, whose crimp takes %s",
                             named(check, p),
                             pl_say(check->arena, area, "mm2"),
                             n == 1 ? "is" : "are",
                             thin ? "thin" : "thick",
                             terminal->name,
                             range(check, terminal->area_min, terminal->area_max, "mm2"));
    if (thin)
      f.remedy = "use a thicker wire, or a terminal for thin wire: a loose crimp pulls out";
    else
      f.remedy = "use a terminal for this size, or a short thinner tail with a splice if the "
                 "current allows it";
    if (n == 1)
      set_wire(check, &f, p, 0);
    pl_findings_add(check->findings, f);
  }
}

void pl_rule_seal_range(struct pl_check *check) {
  for (pl_id p = 0; p < check->harness->pins.n; p++) {
    const struct pl_pin *pin = &check->harness->pins.at[p];
    const struct pl_terminal *terminal = family(check, p);
    if (terminal == NULL || pin->connector == PL_NONE)
      continue;
    if (!check->harness->connectors.at[pin->connector].sealed)
      continue;
    if (isnan(terminal->od_min) && isnan(terminal->od_max))
      continue;
    if (misfit(terminal, crimped(check, p, terminal)) != 0)
      continue; /* another terminal will bring another seal */
    for (uint32_t i = 0; i < pin->wires.n; i++) {
      const struct pl_wire *wire = wire_there(check, p, i);
      if (wire == NULL)
        continue;
      const struct pl_insulation *insulation = pl_wire_insulation(wire);
      bool memory = false;
      double od = pl_wire_outside_mm(wire->area, insulation->wall, &memory);
      bool thin = od < terminal->od_min;
      bool thick = od > terminal->od_max;
      if (!thin && !thick)
        continue;
      struct pl_finding f = pl_finding_new("seal-range", PL_FAULT, wire->size_span, pin->full);
      if (f.span.file == PL_NO_FILE)
        f.span = wire->span;
      f.figure = od;
      if (thin)
        f.limit = terminal->od_min;
      else
        f.limit = terminal->od_max;
      f.unit = "mm";
      f.text = pl_arena_printf(check->arena,
                               "wire %s, %s %s, is about %s over its insulation%s, too %s for the "
                               "seal of `%s`, which takes %s",
                               wire->number,
                               wire->size,
                               insulation->name,
                               pl_say(check->arena, od, "mm"),
                               memory ? " (from memory)" : "",
                               thin ? "thin" : "thick",
                               terminal->name,
                               range(check, terminal->od_min, terminal->od_max, "mm"));
      if (thin)
        f.remedy =
            "use the seal for thinner wire, or insulation with a thicker wall; measure the wire";
      else
        f.remedy = "use the seal for thicker wire, or insulation with a thinner wall; measure the "
                   "wire";
      set_wire(check, &f, p, i);
      pl_findings_add(check->findings, f);
      break;
    }
  }
}

/* Amps through the contact: what its wires bring in together. */
static double
contact_amps(const struct pl_check *check, const struct pl_solution *solution, pl_id pin) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  double amps = 0;
  for (uint32_t i = 0; i < p->wires.n; i++) {
    pl_id w = p->wires.at[i];
    amps += check->harness->wires.at[w].end[1] == pin ? solution->wire_amps[w]
                                                      : -solution->wire_amps[w];
  }
  return fabs(amps);
}

double pl_rule_pin_amps(const struct pl_check *check, pl_id state, pl_id pin) {
  return contact_amps(check, &check->solutions[state], pin);
}

void pl_rule_terminal_current(struct pl_check *check) {
  for (pl_id p = 0; p < check->harness->pins.n; p++) {
    const struct pl_terminal *terminal = family(check, p);
    if (terminal == NULL)
      continue;
    if (!(terminal->amps > 0))
      continue;
    if (check->harness->pins.at[p].wires.n == 0)
      continue;
    double amps = 0;
    pl_id state = PL_NONE;
    for (pl_id s = 0; s < check->harness->states.n; s++) {
      double now = 0;
      if (check->facts->live[s])
        now = contact_amps(check, &check->solutions[s], p);
      if (now <= amps)
        continue;
      amps = now;
      state = s;
    }
    if (!(amps > terminal->amps * (1 + 1e-9)))
      continue;
    struct pl_finding f = pl_finding_new("terminal-current",
                                         PL_DANGER,
                                         pl_pin_wiring_span(check->harness, p),
                                         check->harness->pins.at[p].full);
    f.state = pl_state_name(check, state);
    f.figure = amps;
    f.limit = terminal->amps;
    f.unit = "A";
    f.blames = check->harness->devices.at[check->harness->pins.at[p].device]
                   .name; /* in at one pin and out at the other: one mistake */
    f.text = pl_arena_printf(
        check->arena,
        "%s carries %s, terminal `%s` is rated %s: it overheats and burns its cavity",
        pl_say_place(check, p),
        pl_say(check->arena, amps, "A"),
        terminal->name,
        pl_say(check->arena, terminal->amps, "A"));
    f.remedy = pl_arena_printf(check->arena,
                               "use a terminal rated %s or more, share the current over %u "
                               "cavities, or take a relay near the load",
                               pl_say(check->arena, amps, "A"),
                               (unsigned)ceil(amps / terminal->amps));
    pl_findings_add(check->findings, f);
  }
}

void pl_rule_terminal_wires(struct pl_check *check) {
  for (pl_id p = 0; p < check->harness->pins.n; p++) {
    const struct pl_terminal *terminal = family(check, p);
    uint32_t n = pl_pin_wires_there(check->harness, p);
    if (n < 2)
      continue;
    if (terminal == NULL && check->harness->pins.at[p].connector != PL_NONE)
      terminal = pl_pin_terminal(check->harness, p);
    if (terminal == NULL || n <= terminal->wires_max)
      continue;
    struct pl_finding f = pl_finding_new("terminal-wires",
                                         PL_FAULT,
                                         pl_pin_wiring_span(check->harness, p),
                                         check->harness->pins.at[p].full);
    f.figure = n;
    f.limit = terminal->wires_max;
    f.unit = "wires";
    f.text = pl_arena_printf(check->arena,
                             "%u wires in %s (%s), terminal `%s` takes %u",
                             n,
                             check->harness->pins.at[p].full,
                             named(check, p),
                             terminal->name,
                             terminal->wires_max);
    f.remedy = "join them in a splice and run one wire from there into the cavity";
    pl_findings_add(check->findings, f);
  }
}
