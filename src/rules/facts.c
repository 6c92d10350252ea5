/* Working out, once for all rules, who is joined to whom, what the poles of the sources reach and
 * the worst currents. */
#include "rules/facts_inner.h"

#include <math.h>
#include <string.h>

#include "rules/families_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

typedef PL_VEC(struct pl_link) links;

static void add(const struct pl_check *check, links *list, struct pl_link link) {
  if (link.a == PL_NONE)
    return;
  if (link.b == PL_NONE)
    return;
  if (link.a != link.b)
    PL_PUSH(check->arena, list, link);
}

static void add_wire(const struct pl_check *check, links *list, pl_id wire) {
  const struct pl_wire *w = &check->harness->wires.at[wire];
  struct pl_link link = {.tie = PL_TIE_WIRE,
                         .a = w->end[0],
                         .b = w->end[1],
                         .wire = wire,
                         .device = PL_NONE};
  if (pl_wire_joins(w))
    add(check, list, link);
}

static void add_inside(const struct pl_check *check,
                       links *list,
                       enum pl_tie tie,
                       pl_id device,
                       pl_id a,
                       pl_id b) {
  struct pl_link link = {.tie = tie, .a = a, .b = b, .wire = PL_NONE, .device = device};
  if (tie == PL_TIE_OUTPUT)
    link.position = 1;
  add(check, list, link);
}

/* Contacts that are closed in one position. */
static void add_contacts(const struct pl_check *check,
                         links *list,
                         pl_id device,
                         const pl_joins *joins,
                         uint32_t position) {
  for (uint32_t i = 0; i < joins->n; i++) {
    struct pl_link link = {.tie = PL_TIE_CONTACT,
                           .a = joins->at[i].a,
                           .b = joins->at[i].b,
                           .wire = PL_NONE,
                           .device = device,
                           .position = position};
    add(check, list, link);
  }
}

pl_id pl_pin_named(const struct pl_harness *harness, pl_id device, const char *name) {
  const struct pl_device *d = &harness->devices.at[device];
  for (pl_id p = d->first_pin; p < pl_pins_end(d); p++)
    if (strcmp(harness->pins.at[p].name, name) == 0)
      return p;
  return PL_NONE;
}

pl_id pl_case_pin(const struct pl_harness *harness, pl_id device) {
  static const char *const names[] = {"31", "B-", "case", "-"};
  const struct pl_device *d = &harness->devices.at[device];
  if (pl_kind_is(d->kind, PL_IS_BOND))
    return d->first_pin;
  if (d->minus != PL_NONE)
    return d->minus;
  for (uint32_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    pl_id pin = pl_pin_named(harness, device, names[i]);
    if (pin != PL_NONE)
      return pin;
  }
  return PL_NONE;
}

static void add_module(const struct pl_check *check, links *list, pl_id device) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *d = &h->devices.at[device];
  for (pl_id p = d->first_pin; p < pl_pins_end(d); p++) {
    enum pl_role role = h->pins.at[p].role;
    enum pl_role wanted = PL_ROLE_GROUND;
    bool from_feed = role == PL_ROLE_HIGH_SIDE || role == PL_ROLE_SENSOR_SUPPLY;
    if (from_feed)
      wanted = PL_ROLE_BATTERY_FEED;
    if (!from_feed && role != PL_ROLE_LOW_SIDE && role != PL_ROLE_SENSOR_RETURN)
      continue;
    for (pl_id q = d->first_pin; q < pl_pins_end(d); q++)
      if (h->pins.at[q].role == wanted)
        add_inside(check, list, PL_TIE_OUTPUT, device, p, q);
    if (d->body == PL_NONE || wanted != PL_ROLE_GROUND)
      continue;
    pl_id body = h->devices.at[d->body].first_pin; /* a case on a chassis is its ground */
    add_inside(check, list, PL_TIE_OUTPUT, device, p, body);
  }
}

static void add_device(const struct pl_check *check, links *list, pl_id device) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *d = &h->devices.at[device];
  pl_id on_case = pl_case_pin(h, device);
  for (uint32_t i = 0; i < d->fixed.n; i++) {
    const struct pl_join *join = &d->fixed.at[i];
    add_inside(check, list, PL_TIE_FIXED, device, join->a, join->b);
  }
  if (d->body != PL_NONE) {
    pl_id body = h->devices.at[d->body].first_pin;
    add_inside(check, list, PL_TIE_FIXED, device, on_case, body);
  }
  if (pl_kind_is_protection(d->kind)) {
    pl_id in = pl_pin_named(h, device, "in");
    pl_id out = pl_pin_named(h, device, "out");
    add_inside(check, list, PL_TIE_FUSE, device, in, out);
  }
  for (uint32_t t = 0; t < d->throws.n; t++)
    add_contacts(check, list, device, &d->throws.at[t].joins, t);
  if (pl_kind_is(d->kind, PL_IS_RELAY)) {
    add_contacts(check, list, device, &d->make, 1);
    add_contacts(check, list, device, &d->brk, 0);
  }
  bool series = pl_kind_is_but(d->kind, PL_IS_ONE_WAY | PL_IS_RESISTANCE, PL_IS_TERMINATOR);
  if (series && d->pin_count >= 2)
    add_inside(check, list, PL_TIE_SERIES, device, d->first_pin, d->first_pin + 1);
  if (pl_kind_is(d->kind, PL_IS_GENERATOR)) {
    struct pl_link link = {.tie = PL_TIE_OUTPUT,
                           .a = pl_pin_named(h, device, "D+"),
                           .b = on_case,
                           .wire = PL_NONE,
                           .device = device};
    add(check, list, link);
  }
  if (pl_kind_is(d->kind, PL_IS_MODULE))
    add_module(check, list, device);
}

static void collect_links(const struct pl_check *check, struct pl_facts *facts) {
  const struct pl_harness *h = check->harness;
  links list = {0};
  for (pl_id w = 0; w < h->wires.n; w++)
    add_wire(check, &list, w);
  for (pl_id d = 0; d < h->devices.n; d++)
    add_device(check, &list, d);
  facts->links = list.at;
  facts->link_count = list.n;
  uint32_t *first = PL_NEW_ARRAY(check->arena, uint32_t, (size_t)h->pins.n + 2);
  uint32_t *around = PL_NEW_ARRAY(check->arena, uint32_t, 2 * (size_t)list.n + 1);
  for (uint32_t i = 0; i < list.n; i++) {
    first[list.at[i].a + 2]++;
    first[list.at[i].b + 2]++;
  }
  for (uint32_t p = 2; p < h->pins.n + 2; p++)
    first[p] += first[p - 1];
  for (uint32_t i = 0; i < list.n; i++) {
    around[first[list.at[i].a + 1]++] = i;
    around[first[list.at[i].b + 1]++] = i;
  }
  facts->first = first;
  facts->around = around;
}

/* ---- nets and poles ---- */

static bool is_hard(const struct pl_harness *h, const struct pl_link *link) {
  if (link->tie == PL_TIE_CONTACT)
    return pl_device_is(h, link->device, PL_IS_DISCONNECT);
  return link->tie <= PL_TIE_FUSE;
}

static void find_nets(const struct pl_check *check, struct pl_facts *facts) {
  const struct pl_harness *h = check->harness;
  pl_id *net = PL_BY_PIN(check, pl_id);
  pl_id *stack = PL_BY_PIN(check, pl_id);
  for (pl_id p = 0; p < h->pins.n; p++)
    net[p] = PL_NONE;
  for (pl_id root = 0; root < h->pins.n; root++) {
    if (net[root] != PL_NONE)
      continue;
    uint32_t n = 0;
    stack[n++] = root;
    net[root] = root;
    while (n > 0) {
      pl_id p = stack[--n];
      for (uint32_t i = facts->first[p]; i < facts->first[p + 1]; i++) {
        const struct pl_link *link = pl_link_at(facts, i);
        pl_id q = pl_link_other(link, p);
        if (net[q] != PL_NONE)
          continue;
        if (!is_hard(h, link))
          continue;
        net[q] = root;
        stack[n++] = q;
      }
    }
  }
  facts->net = net;
}

static void find_poles(const struct pl_check *check, struct pl_facts *facts) {
  const struct pl_harness *h = check->harness;
  uint8_t *pole = PL_BY_PIN(check, uint8_t);
  for (int pass = 0; pass < 2; pass++) /* an alternator's poles where no battery says otherwise */
    for (pl_id d = 0; d < h->devices.n; d++) {
      const struct pl_device *device = &h->devices.at[d];
      if (!pl_kind_is(device->kind, pass == 0 ? PL_IS_STORE : PL_IS_GENERATOR))
        continue;
      if (device->plus != PL_NONE && (pass == 0 || pole[facts->net[device->plus]] == 0))
        pole[facts->net[device->plus]] |= PL_POLE_PLUS;
      if (device->minus != PL_NONE && (pass == 0 || pole[facts->net[device->minus]] == 0))
        pole[facts->net[device->minus]] |= PL_POLE_MINUS;
    }
  for (pl_id p = 0; p < h->pins.n; p++)
    if (facts->net[p] != p)
      pole[p] = pole[facts->net[p]];
  for (pl_id p = 0; p < h->pins.n; p++)
    if (pole[p] == (PL_POLE_PLUS | PL_POLE_MINUS))
      pole[p] = 0;
  facts->pole = pole;
}

/* A changeover contact does not carry one pole through the other: pins of the other pole are left
 * out. */
static void spread(const struct pl_check *check,
                   const struct pl_facts *facts,
                   uint8_t *reach,
                   uint8_t bit,
                   pl_id *queue) {
  const struct pl_harness *h = check->harness;
  uint32_t n = 0;
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_STORE) &&
        (!pl_kind_is(device->kind, PL_IS_GENERATOR) || bit == PL_POLE_MINUS))
      continue;
    pl_id start = bit == PL_POLE_PLUS ? device->plus : device->minus;
    if (start == PL_NONE)
      continue;
    if (reach[start] & bit)
      continue;
    reach[start] |= bit;
    queue[n++] = start;
  }
  for (uint32_t i = 0; i < n; i++) {
    pl_id p = queue[i];
    for (uint32_t k = facts->first[p]; k < facts->first[p + 1]; k++) {
      const struct pl_link *link = pl_link_at(facts, k);
      pl_id q = pl_link_other(link, p);
      if (reach[q] & bit)
        continue;
      if (link->tie == PL_TIE_OUTPUT && p == link->a)
        continue; /* feeds and grounds carry an output, an output carries no other feed */
      if (facts->pole[q] != 0 && facts->pole[q] != bit)
        continue;
      reach[q] |= bit;
      queue[n++] = q;
    }
  }
}

static void find_reach(const struct pl_check *check, struct pl_facts *facts) {
  uint32_t pins = check->harness->pins.n;
  uint8_t *reach = PL_NEW_ARRAY(check->arena, uint8_t, (size_t)pins + 1);
  pl_id *queue = PL_NEW_ARRAY(check->arena, pl_id, (size_t)pins + 1);
  spread(check, facts, reach, PL_POLE_PLUS, queue);
  spread(check, facts, reach, PL_POLE_MINUS, queue);
  facts->reach = reach;
}

/* ---- the starting circuit ---- */

static pl_id starter_stud(const struct pl_harness *h, pl_id d) {
  if (pl_device_is(h, d, PL_IS_STARTER))
    return pl_pin_named(h, d, "30");
  return PL_NONE;
}

/* Marks the cables on the shortest way from one battery pole to every starter it reaches without
 * protection, and their doubles. */
static void mark_starter_cables(const struct pl_check *check,
                                struct pl_facts *facts,
                                pl_id start,
                                uint32_t *back,
                                pl_id *queue) {
  const struct pl_harness *h = check->harness;
  for (pl_id p = 0; p < h->pins.n; p++)
    back[p] = UINT32_MAX;
  uint32_t n = 0;
  queue[n++] = start;
  back[start] = UINT32_MAX - 1;
  for (uint32_t i = 0; i < n; i++) {
    pl_id at = queue[i];
    for (uint32_t k = facts->first[at]; k < facts->first[at + 1]; k++) {
      const struct pl_link *link = pl_link_at(facts, k);
      pl_id q = pl_link_other(link, at);
      if (link->tie == PL_TIE_OUTPUT)
        continue;
      if (link->tie == PL_TIE_SERIES)
        continue;
      if (link->tie == PL_TIE_FUSE)
        continue;
      if (back[q] != UINT32_MAX)
        continue;
      back[q] = facts->around[k];
      queue[n++] = q;
    }
  }
  for (pl_id d = 0; d < h->devices.n; d++) {
    pl_id p = starter_stud(h, d);
    if (p == PL_NONE || back[p] == UINT32_MAX)
      continue;
    while (back[p] < UINT32_MAX - 1) {
      pl_id q = pl_link_other(&facts->links[back[p]], p);
      for (uint32_t k = facts->first[p]; k < facts->first[p + 1]; k++) {
        const struct pl_link *link = pl_link_at(facts, k);
        if (link->tie == PL_TIE_WIRE && pl_link_other(link, p) == q)
          facts->exempt[link->wire] = true;
      }
      p = q;
    }
  }
}

static void find_starting(const struct pl_check *check, struct pl_facts *facts) {
  const struct pl_harness *h = check->harness;
  facts->exempt = PL_BY_WIRE(check, bool);
  for (pl_id w = 0; w < h->wires.n; w++) { /* links within a bank: common practice */
    const struct pl_wire *wire = &h->wires.at[w];
    if (pl_wire_joins(wire) && pl_device_is(h, h->pins.at[wire->end[0]].device, PL_IS_STORE) &&
        pl_device_is(h, h->pins.at[wire->end[1]].device, PL_IS_STORE))
      facts->exempt[w] = true;
  }
  bool any = false;
  for (pl_id d = 0; d < h->devices.n; d++)
    if (starter_stud(h, d) != PL_NONE)
      any = true;
  if (!any)
    return;
  uint32_t *back = PL_BY_PIN(check, uint32_t);
  pl_id *queue = PL_BY_PIN(check, pl_id);
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    pl_id live = pl_live_pin(h, device);
    if (pl_kind_is(device->kind, PL_IS_STORE) && live != PL_NONE)
      mark_starter_cables(check, facts, live, back, queue);
  }
}

/* ---- what the solutions say ---- */

static bool device_works(const struct pl_harness *h, const struct pl_solution *solution, pl_id d) {
  const struct pl_device *device = &h->devices.at[d];
  if (pl_kind_is(device->kind, PL_IS_COIL | PL_IS_MODULE))
    return solution->device_on[d];
  double volts = solution->device_volts[d];
  double nominal = isnan(device->volts) ? h->machine.volts : device->volts;
  return isfinite(volts) && fabs(volts) >= 0.5 * nominal;
}

static bool output_is_on(const struct pl_harness *harness, pl_id state, pl_id pin) {
  const struct pl_state *s = &harness->states.at[state];
  for (uint32_t i = 0; i < s->outputs_on.n; i++)
    if (s->outputs_on.at[i] == pin)
      return true;
  return false;
}

static bool link_closed(const struct pl_harness *h,
                        const struct pl_solution *solution,
                        const struct pl_link *link) {
  const struct pl_device *device;
  if (link->device == PL_NONE)
    device = NULL;
  else
    device = &h->devices.at[link->device];
  if (link->tie == PL_TIE_CONTACT)
    return pl_kind_is(device->kind, PL_IS_RELAY)
               ? solution->device_on[link->device] == (link->position == 1)
               : pl_position_in(h, &h->states.at[solution->state], link->device) == link->position;
  if (link->tie != PL_TIE_OUTPUT)
    return true;
  if (!pl_kind_is(device->kind, PL_IS_MODULE))
    return true;
  enum pl_role role = h->pins.at[link->a].role;
  if (role == PL_ROLE_SENSOR_SUPPLY || role == PL_ROLE_SENSOR_RETURN)
    return true;
  return output_is_on(h, solution->state, link->a);
}

static void read_solutions(const struct pl_check *check, struct pl_facts *facts) {
  const struct pl_harness *h = check->harness;
  bool *live = PL_NEW_ARRAY(check->arena, bool, (size_t)h->states.n + 1);
  facts->live = live;
  facts->wires = PL_BY_WIRE(check, struct pl_worst);
  facts->device_on = PL_BY_DEVICE(check, bool);
  facts->device_most = PL_BY_DEVICE(check, double);
  facts->closed = PL_NEW_ARRAY(check->arena, bool, (size_t)facts->link_count + 1);
  for (pl_id w = 0; w < h->wires.n; w++)
    facts->wires[w].state = PL_NONE;
  for (pl_id s = 0; s < h->states.n; s++) {
    const struct pl_solution *solution = &check->solutions[s];
    if (solution->status != PL_SOLVED)
      continue;
    facts->any_solved = true;
    live[s] = !(h->states.at[s].lasts < pl_limit_brief.value) &&
              h->states.at[s].engine != PL_ENGINE_CRANKING;
    for (pl_id d = 0; d < h->devices.n; d++) {
      if (device_works(h, solution, d))
        facts->device_on[d] = true;
      facts->device_most[d] = fmax(facts->device_most[d], fabs(solution->device_amps[d]));
    }
    for (uint32_t i = 0; i < facts->link_count; i++)
      if (link_closed(h, solution, &facts->links[i]))
        facts->closed[i] = true;
    for (pl_id w = 0; live[s] && w < h->wires.n; w++) {
      double amps = fabs(solution->wire_amps[w]);
      if (amps > facts->wires[w].amps)
        facts->wires[w] = (struct pl_worst){amps, s};
    }
  }
}

const struct pl_facts *pl_facts_new(const struct pl_check *check) {
  struct pl_facts *facts = PL_NEW(check->arena, struct pl_facts);
  collect_links(check, facts);
  find_nets(check, facts);
  find_poles(check, facts);
  find_reach(check, facts);
  find_starting(check, facts);
  read_solutions(check, facts);
  struct pl_check with = *check; /* the ways look at the nets found above */
  with.facts = facts;
  facts->ways = pl_ways_new(&with,
                            facts->pole,
                            check->harness->machine.positive_earth ? PL_POLE_MINUS : PL_POLE_PLUS);
  return facts;
}

/* ---- asking ---- */

uint32_t pl_pin_wires_there(const struct pl_harness *harness, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  uint32_t n = 0;
  for (uint32_t i = 0; i < p->wires.n; i++)
    n += harness->wires.at[p->wires.at[i]].status != PL_WIRE_DONOR_REMOVED;
  return n;
}

bool pl_wire_is_sheathed(const struct pl_harness *harness, const struct pl_wire *wire) {
  for (uint32_t i = 0; i < wire->route.n; i++)
    if (harness->runs.at[wire->route.at[i]].covering[0] == '\0')
      return false;
  return wire->route.n > 0;
}

double pl_rule_wire_amps(const struct pl_wire *wire, uint32_t carrying, const char **source) {
  struct pl_amperage allowed = pl_wire_amperage(wire->area,
                                                wire->metric,
                                                wire->insulation,
                                                wire->engine_space || wire->hot >= 50,
                                                carrying);
  if (source != NULL)
    *source = allowed.source;
  if (wire->hot > 50) {
    double rated = pl_insulations[wire->insulation < pl_insulation_count ? wire->insulation
                                                                         : PL_INSULATION_DEFAULT]
                       .hot;
    double cut = 0;
    if (wire->hot < rated)
      cut = sqrt((rated - wire->hot) / (rated - 50));
    allowed.amps *= cut;
  }
  return allowed.amps;
}
