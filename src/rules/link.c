/* Data links: terminators, lengths, stubs, modules, shield, by the kind that the circuit says. */
#include <math.h>

#include "rules/facts_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"
#include "standard/data_link.h"
#include "standard/defaults.h"
#include "standard/limits_data.h"

struct link {
  pl_id high, low; /* nets */
  uint32_t nodes, ends;
  pl_id first, end; /* a pin with the role; a terminator's pin on the high net */
  pl_id other_end;
  double siemens;
  const struct pl_data_link *kind;
  const char *circuit; /* that says its kind; "" */
};
typedef PL_VEC(struct link) data_links;

static data_links find_links(const struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  data_links list = {0};
  uint32_t *slot = PL_BY_PIN(check, uint32_t);
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    pl_id high = PL_NONE;
    for (pl_id p = device->first_pin; p < pl_pins_end(device);
         p++) { /* each high with the low that follows it */
      if (h->pins.at[p].role == PL_ROLE_DATA_HIGH && pl_pin_wires_there(h, p) > 0)
        high = p;
      if (h->pins.at[p].role != PL_ROLE_DATA_LOW)
        continue;
      if (high == PL_NONE)
        continue;
      if (pl_pin_wires_there(h, p) == 0)
        continue;
      pl_id net = check->facts->net[high];
      if (slot[net] == 0) {
        struct link link = {.high = net,
                            .low = check->facts->net[p],
                            .first = high,
                            .end = PL_NONE,
                            .other_end = PL_NONE};
        PL_PUSH(check->arena, &list, link);
        slot[net] = list.n;
      }
      struct link *link = &list.at[slot[net] - 1];
      link->nodes += pl_kind_is(device->kind, PL_IS_MODULE);
      if (pl_kind_is(device->kind, PL_IS_MODULE))
        link->siemens += 1 / (2 * PL_DEFAULT(DATA));
      high = PL_NONE;
    }
  }
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_RESISTANCE))
      continue;
    if (device->pin_count < 2)
      continue;
    pl_id a = device->first_pin;
    pl_id b = a + 1;
    pl_id net_a = check->facts->net[a];
    pl_id net_b = check->facts->net[b];
    for (uint32_t i = 0; i < list.n; i++) {
      const struct link *link = &list.at[i];
      bool forward = net_a == link->high && net_b == link->low;
      bool turned = net_b == link->high && net_a == link->low;
      if (!forward && !turned)
        continue;
      double ohms = INFINITY;
      if (device->ohms > 0)
        ohms = device->ohms;
      else if (pl_kind_is(device->kind, PL_IS_TERMINATOR))
        ohms = PL_DEFAULT(TERMINATOR);
      list.at[i].siemens += 1 / ohms;
      if (list.at[i].ends++ == 0)
        list.at[i].end = forward ? a : b;
      else
        list.at[i].other_end = forward ? a : b;
    }
  }
  return list;
}

static void report_link(struct pl_check *check,
                        pl_id pin,
                        enum pl_severity severity,
                        double figure,
                        double limit,
                        const char *unit,
                        const char *source,
                        const char *text,
                        const char *remedy) {
  const struct pl_harness *h = check->harness;
  struct pl_finding f =
      pl_finding_new("data-link", severity, pl_pin_wiring_span(h, pin), h->pins.at[pin].full);
  f.figure = figure;
  f.limit = limit;
  f.unit = unit;
  f.source = source;
  f.text = text;
  f.remedy = remedy;
  pl_findings_add(check->findings, f);
}

static bool
is_on(const struct pl_check *check, const struct link *link, const struct pl_wire *wire) {
  if (!pl_wire_joins(wire))
    return false;
  pl_id net = check->facts->net[wire->end[0]];
  return net == link->high || net == link->low;
}

/* The kind that the circuit of one of its wires says. */
static void find_kind(struct pl_check *check, struct link *link) {
  const struct pl_harness *h = check->harness;
  link->kind = &pl_data_link_unsaid;
  link->circuit = "";
  for (pl_id w = 0; w < h->wires.n; w++) {
    const struct pl_wire *wire = &h->wires.at[w];
    const struct pl_circuit *circuit;
    if (wire->circuit == PL_NONE)
      circuit = NULL;
    else
      circuit = &h->circuits.at[wire->circuit];
    if (circuit == NULL || circuit->link == PL_NONE)
      continue;
    if (!is_on(check, link, wire))
      continue;
    const struct pl_data_link *kind = &pl_data_links[circuit->link];
    if (link->kind == &pl_data_link_unsaid) {
      link->kind = kind;
      link->circuit = circuit->name;
    } else if (kind != link->kind) {
      report_link(check,
                  link->first,
                  PL_FAULT,
                  kind->bits,
                  link->kind->bits,
                  "bit/s",
                  kind->bits_source,
                  pl_arena_printf(check->arena,
                                  "circuit %s calls this link %s, circuit %s calls it %s: all that "
                                  "hangs on one pair must talk alike",
                                  link->circuit,
                                  link->kind->title,
                                  circuit->name,
                                  kind->title),
                  "say it once, as the controllers' papers have it; what talks otherwise needs a "
                  "pair of its own");
      return;
    }
  }
}

/* Metres along the wires of the high line from where `far` is 0; `back` gives the pin before. */
static void
measure(const struct pl_check *check, double *far, pl_id *back, pl_id *queue, uint32_t n) {
  const struct pl_facts *facts = check->facts;
  for (uint32_t i = 0; i < n && n < 4 * (check->harness->pins.n + 1); i++) {
    pl_id p = queue[i];
    for (uint32_t k = facts->first[p]; k < facts->first[p + 1]; k++) {
      const struct pl_link *link = pl_link_at(facts, k);
      pl_id q = pl_link_other(link, p);
      if (link->tie > PL_TIE_FIXED)
        continue;
      double metres = far[p];
      if (link->tie == PL_TIE_WIRE)
        metres += fmax(check->harness->wires.at[link->wire].length, 0);
      if (!(metres < far[q]))
        continue;
      far[q] = metres;
      back[q] = p;
      queue[n++] = q;
    }
  }
}

static void check_lengths(struct pl_check *check, const struct link *link) {
  const struct pl_harness *h = check->harness;
  size_t room = (size_t)h->pins.n + 1;
  double *far = PL_NEW_ARRAY(check->arena, double, room);
  double *stub = PL_NEW_ARRAY(check->arena, double, room);
  pl_id *back = PL_NEW_ARRAY(check->arena, pl_id, room);
  pl_id *queue = PL_NEW_ARRAY(check->arena, pl_id, 5 * room);
  for (size_t p = 0; p < room; p++) {
    far[p] = stub[p] = INFINITY;
    back[p] = PL_NONE;
  }
  far[link->end] = 0;
  queue[0] = link->end;
  measure(check, far, back, queue, 1);
  if (!isfinite(far[link->other_end]))
    return;
  if (far[link->other_end] > link->kind->backbone)
    report_link(check,
                link->end,
                PL_FAULT,
                far[link->other_end],
                link->kind->backbone,
                "m",
                link->kind->backbone_source,
                pl_arena_printf(check->arena,
                                "%s of data link lie between its two terminators",
                                pl_say(check->arena, far[link->other_end], "m")),
                "a shorter way, or a second link with a module between the two");
  uint32_t n = 0;
  for (pl_id p = link->other_end; p != PL_NONE; p = back[p]) {
    stub[p] = 0;
    queue[n++] = p;
  }
  for (size_t p = 0; p < room; p++)
    back[p] = PL_NONE;
  measure(check, stub, back, queue, n);
  for (pl_id p = 0; p < h->pins.n; p++) {
    if (h->pins.at[p].role != PL_ROLE_DATA_HIGH)
      continue;
    if (!isfinite(stub[p]))
      continue;
    if (!(stub[p] > link->kind->stub * (1 + 1e-9)))
      continue;
    report_link(check,
                p,
                PL_FAULT,
                stub[p],
                link->kind->stub,
                "m",
                link->kind->stub_source,
                pl_arena_printf(check->arena,
                                "%s hangs %s off the line between the terminators",
                                h->pins.at[p].full,
                                pl_say(check->arena, stub[p], "m")),
                "lead the pair past the module and tap it there, or move a terminator to this end");
  }
}

/* " (RT1; RT2 hangs on one line only)": the terminators across the pair, and those that miss it. */
static const char *say_terminators(const struct pl_check *check, const struct link *link) {
  const struct pl_harness *h = check->harness;
  PL_VEC(const char *) across = {0}, beside = {0};
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    bool on[2] = {false, false};
    if (!pl_kind_is(device->kind, PL_IS_TERMINATOR))
      continue;
    for (pl_id p = device->first_pin; p < pl_pins_end(device); p++) {
      on[0] = on[0] || check->facts->net[p] == link->high;
      on[1] = on[1] || check->facts->net[p] == link->low;
    }
    if (on[0] && on[1])
      PL_PUSH(check->arena, &across, device->name);
    else if (on[0] || on[1])
      PL_PUSH(check->arena, &beside, device->name);
  }
  if (across.n == 0 && beside.n == 0)
    return "";
  return pl_arena_printf(check->arena,
                         " (%s%s%s%s)",
                         pl_say_some(check, across.at, across.n, 6),
                         across.n > 0 && beside.n > 0 ? "; " : "",
                         pl_say_some(check, beside.at, beside.n, 6),
                         beside.n == 0   ? ""
                         : beside.n == 1 ? " hangs on one line only"
                                         : " hang on one line only");
}

static void check_ends(struct pl_check *check, const struct link *link) {
  double ohms = 1 / link->siemens;
  if (link->kind->terminators == 0) {
    if (link->ends > 0)
      report_link(check,
                  link->end,
                  PL_FAULT,
                  link->ends,
                  0,
                  "terminators",
                  link->kind->terminator_source,
                  pl_arena_printf(check->arena,
                                  "%s has no terminators, this one has %u: it may fall silent",
                                  link->kind->title,
                                  link->ends),
                  "take the resistor across the pair out");
    return;
  }
  if (ohms >= pl_limit_link_low.value && ohms <= pl_limit_link_high.value) {
    if (link->ends == 2)
      check_lengths(check, link);
    return;
  }
  report_link(check,
              link->first,
              PL_FAULT,
              ohms,
              60,
              "ohm",
              pl_arena_printf(check->arena,
                              "%s; common practice: 60 ohm, a tenth more or less",
                              link->kind->terminator_source),
              pl_arena_printf(check->arena,
                              "between high and low of the data link a meter shows %s with the "
                              "power off: %u terminator%s instead of two%s",
                              pl_say(check->arena, ohms, "ohm"),
                              link->ends,
                              link->ends == 1 ? "" : "s",
                              say_terminators(check, link)),
              link->ends < 2 ? "a terminator of 120 ohm at each end of the line"
                             : "leave the two at the far ends, take the others out");
}

/* Wires of a shielded kind that have no shield, as one finding. */
static void check_shield(struct pl_check *check, const struct link *link) {
  const struct pl_harness *h = check->harness;
  pl_ids bare = {0};
  if (!link->kind->shield)
    return;
  for (pl_id w = 0; w < h->wires.n; w++) {
    if (!is_on(check, link, &h->wires.at[w]))
      continue;
    if (h->wires.at[w].shield)
      continue;
    if (!(h->wires.at[w].length > link->kind->stub))
      continue;
    PL_PUSH(check->arena, &bare, w);
  }
  if (bare.n == 0)
    return;
  report_link(check,
              link->first,
              PL_FAULT,
              bare.n,
              0,
              "wires",
              link->kind->bits_source,
              pl_arena_printf(check->arena,
                              "%s runs in a shielded pair; %s %s no shield",
                              link->kind->title,
                              pl_say_wires(check, bare.at, bare.n),
                              bare.n == 1 ? "has" : "have"),
              "a shielded pair, its shield grounded at one place only, near the middle; or "
              "J1939-15, which needs none, where every controller's paper allows it");
}

void pl_rule_data_link(struct pl_check *check) {
  data_links list = find_links(check);
  for (uint32_t i = 0; i < list.n; i++) {
    struct link *link = &list.at[i];
    if (link->nodes < 2 && link->ends == 0)
      continue; /* one module alone: nothing to talk to, input-undriven and the like say more */
    find_kind(check, link);
    check_ends(check, link);
    check_shield(check, link);
    if (link->nodes > link->kind->nodes)
      report_link(check,
                  link->first,
                  link->circuit[0] == '\0' ? PL_ADVICE : PL_FAULT,
                  link->nodes,
                  link->kind->nodes,
                  "",
                  link->kind->nodes_source,
                  pl_arena_printf(check->arena,
                                  "%u modules on one %s, it bears %u",
                                  link->nodes,
                                  link->kind->title,
                                  link->kind->nodes),
                  link->circuit[0] != '\0'
                      ? "split it in two with a module between them"
                      : "say its kind in its circuit, for example `data link J1939-11`; or split "
                        "it in two with a module between them");
  }
}
