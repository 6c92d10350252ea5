/* Every pin has a duty: signal meets signal, supply meets supply, return meets return.  Sensors,
 * gauges and sockets whose wires trade places are found by what they are joined to; no solution is
 * needed. */
#include "rules/duty_inner.h"

#include <string.h>

#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

struct pl_duties pl_duties_of(const struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  uint32_t *roles = PL_BY_PIN(check, uint32_t);
  pl_id *head = PL_BY_PIN(check, pl_id);
  pl_id *next = PL_BY_PIN(check, pl_id);
  for (pl_id p = 0; p <= h->pins.n; p++)
    head[p] = next[p] = PL_NONE;
  for (pl_id p = h->pins.n; p-- > 0;) {
    if (!pl_device_is(h, h->pins.at[p].device, PL_IS_MODULE))
      continue;
    pl_id net = check->facts->net[p];
    roles[net] |= PL_ROLE_BIT(h->pins.at[p].role);
    next[p] = head[net];
    head[net] = p;
  }
  for (pl_id p = 0; p < h->pins.n; p++)
    roles[p] = roles[check->facts->net[p]];
  return (struct pl_duties){roles, head, next};
}

pl_id pl_duty_pin(const struct pl_check *check,
                  const struct pl_duties *duties,
                  pl_id pin,
                  uint32_t roles,
                  pl_id module) {
  const struct pl_harness *h = check->harness;
  for (pl_id p = duties->head[check->facts->net[pin]]; p != PL_NONE; p = duties->next[p]) {
    if (!(PL_ROLE_BIT(h->pins.at[p].role) & roles))
      continue;
    if (module == PL_NONE)
      return p;
    if (h->pins.at[p].device == module)
      return p;
  }
  return PL_NONE;
}

/* ---- what an end meets ---- */

enum meets {
  MEETS_NOTHING, /* nothing that says what it is for */
  MEETS_INPUT,
  MEETS_SUPPLY,
  MEETS_BACK, /* a sensor return, a ground, the pole that is the machine's metal */
  MEETS_OUTPUT,
  MEETS_DATA
};

static enum meets met_by(const struct pl_check *check, const struct pl_duties *duties, pl_id pin) {
  uint32_t roles = duties->roles[pin];
  uint8_t pole = check->facts->pole[pin];
  if (pole == PL_POLE_MINUS || (roles & PL_ROLES_BACK))
    return MEETS_BACK;
  if (pole == PL_POLE_PLUS)
    return MEETS_SUPPLY;
  if (roles & PL_ROLE_BIT(PL_ROLE_SENSOR_SUPPLY))
    return MEETS_SUPPLY;
  if (roles & PL_ROLES_DATA)
    return MEETS_DATA;
  if (roles & PL_ROLES_OUTPUT)
    return MEETS_OUTPUT;
  if (roles & PL_ROLES_INPUT)
    return MEETS_INPUT;
  if (check->facts->reach[pin] == PL_POLE_PLUS)
    return MEETS_SUPPLY;
  if (check->facts->reach[pin] == PL_POLE_MINUS)
    return MEETS_BACK;
  return MEETS_NOTHING;
}

/* The module pin that says so, else the pole, in words. */
static const char *
say_met(const struct pl_check *check, const struct pl_duties *duties, pl_id pin) {
  static const uint32_t wanted[] = {PL_ROLES_BACK,
                                    PL_ROLE_BIT(PL_ROLE_SENSOR_SUPPLY),
                                    PL_ROLES_DATA,
                                    PL_ROLES_OUTPUT,
                                    PL_ROLES_INPUT};
  for (uint32_t i = 0; i < sizeof wanted / sizeof wanted[0]; i++) {
    pl_id met = pl_duty_pin(check, duties, pin, wanted[i], PL_NONE);
    if (met != PL_NONE)
      return pl_say_place(check, met);
  }
  if (met_by(check, duties, pin) == MEETS_SUPPLY)
    return "a source's plus";
  return "a source's minus";
}

/* "signal (wire D5)". */
static const char *say_end(const struct pl_check *check, pl_id pin) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  const char *name = p->name;
  if (name[0] == '\0')
    name = p->full;
  if (p->wires.n == 0)
    return name;
  return pl_arena_printf(check->arena,
                         "%s (%s)",
                         name,
                         pl_say_wires(check, p->wires.at, p->wires.n));
}

/* ---- sensors ---- */

struct ends { /* those of one device that meet what they are not for */
  pl_id pins[3];
  uint32_t n;
  bool harm; /* supply and return trade places: what is inside may burn */
};

static void add_end(struct ends *wrong, pl_id pin) {
  wrong->pins[wrong->n++] = pin;
}

static void look_at_three(const struct pl_check *check,
                          const struct pl_duties *duties,
                          const struct pl_device *sensor,
                          struct ends *wrong) {
  enum meets signal = met_by(check, duties, sensor->signal);
  enum meets supply = met_by(check, duties, sensor->plus);
  enum meets back = met_by(check, duties, sensor->minus);
  if (signal != MEETS_INPUT && signal != MEETS_NOTHING)
    add_end(wrong, sensor->signal);
  if (supply != MEETS_SUPPLY && supply != MEETS_NOTHING)
    add_end(wrong, sensor->plus);
  if (back != MEETS_BACK && back != MEETS_NOTHING)
    add_end(wrong, sensor->minus);
  wrong->harm = supply == MEETS_BACK || back == MEETS_SUPPLY;
}

/* A plain resistance has no direction: an input at one end, a return or supply at the other. */
static void look_at_two(const struct pl_check *check,
                        const struct pl_duties *duties,
                        const struct pl_device *sensor,
                        struct ends *wrong) {
  enum meets a = met_by(check, duties, sensor->signal);
  enum meets b = met_by(check, duties, sensor->minus);
  if (a == MEETS_NOTHING || b == MEETS_NOTHING)
    return;
  if (a != MEETS_INPUT && b == MEETS_INPUT) {
    if (a != MEETS_BACK && a != MEETS_SUPPLY)
      add_end(wrong, sensor->signal);
    return;
  }
  if (a != MEETS_INPUT)
    add_end(wrong, sensor->signal);
  if (b != MEETS_BACK && b != MEETS_SUPPLY)
    add_end(wrong, sensor->minus);
}

/* The module that reads a sensor; PL_NONE. */
static pl_id reader_of(const struct pl_check *check, const struct pl_duties *duties, pl_id pin) {
  pl_id input = PL_NONE;
  if (pin != PL_NONE)
    input = pl_duty_pin(check, duties, pin, PL_ROLES_INPUT, PL_NONE);
  if (input == PL_NONE)
    return PL_NONE;
  return check->harness->pins.at[input].device;
}

/* An end on the supply or return of another module than the one that reads the sensor; PL_NONE. */
static pl_id of_another(const struct pl_check *check,
                        const struct pl_duties *duties,
                        const struct pl_device *sensor) {
  pl_id module = reader_of(check, duties, sensor->signal);
  pl_id ends[2] = {sensor->minus, sensor->plus};
  uint32_t roles[2] = {PL_ROLE_BIT(PL_ROLE_SENSOR_RETURN), PL_ROLE_BIT(PL_ROLE_SENSOR_SUPPLY)};
  if (module == PL_NONE)
    return PL_NONE;
  for (int k = 0; k < 2; k++) {
    if (ends[k] == PL_NONE)
      continue;
    if (check->facts->pole[ends[k]] != 0)
      continue;
    if (pl_duty_pin(check, duties, ends[k], roles[k], PL_NONE) == PL_NONE)
      continue;
    if (pl_duty_pin(check, duties, ends[k], roles[k], module) == PL_NONE)
      return ends[k];
  }
  return PL_NONE;
}

/* One cause, one finding: what meets the wrong thing by the same net is told with the first. */
struct told {
  pl_id net, finding;
};
typedef PL_VEC(struct told) tolds;

static struct pl_finding *already(const struct pl_check *check, const tolds *list, pl_id pin) {
  for (uint32_t i = 0; i < list->n; i++)
    if (list->at[i].net == check->facts->net[pin])
      return &check->findings->list.at[list->at[i].finding];
  return NULL;
}

static void add_duty(struct pl_check *check,
                     tolds *list,
                     pl_id pin,
                     enum pl_severity severity,
                     const char *text,
                     const char *remedy) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *device = pl_pin_device(h, pin);
  struct pl_finding *old = already(check, list, pin);
  if (old != NULL) {
    old->text = pl_arena_printf(check->arena, "%s; so does %s", old->text, device->name);
    return;
  }
  struct told told = {check->facts->net[pin], check->findings->list.n};
  struct pl_finding f =
      pl_finding_new("pin-duty", severity, pl_pin_wiring_span(h, pin), device->name);
  f.text = text;
  f.remedy = remedy;
  pl_findings_add(check->findings, f);
  PL_PUSH(check->arena, list, told);
}

static void report_sensor(struct pl_check *check,
                          const struct pl_duties *duties,
                          const struct pl_device *sensor,
                          const struct ends *wrong,
                          tolds *list) {
  PL_VEC(const char *) parts = {0};
  for (uint32_t i = 0; i < wrong->n; i++)
    PL_PUSH(check->arena,
            &parts,
            pl_arena_printf(check->arena,
                            "its %s leads to %s",
                            say_end(check, wrong->pins[i]),
                            say_met(check, duties, wrong->pins[i])));
  const char *harm = ": its controller takes it for broken or reads nonsense";
  if (wrong->harm)
    harm = ": the wrong way round across its supply it may burn";
  add_duty(check,
           list,
           wrong->pins[0],
           PL_FAULT,
           pl_arena_printf(check->arena,
                           "sensor %s: %s%s",
                           sensor->name,
                           pl_say_some(check, parts.at, parts.n, 3),
                           harm),
           "signal to a signal input, supply to its controller's sensor supply, return to its "
           "sensor return: look where two wires trade places");
}

static void check_sensor(struct pl_check *check,
                         const struct pl_duties *duties,
                         const struct pl_device *sensor,
                         tolds *list) {
  struct ends wrong = {{PL_NONE, PL_NONE, PL_NONE}, 0, false};
  if (sensor->signal == PL_NONE)
    return;
  if (sensor->minus == PL_NONE)
    return;
  if (sensor->plus != PL_NONE)
    look_at_three(check, duties, sensor, &wrong);
  else
    look_at_two(check, duties, sensor, &wrong);
  if (wrong.n > 0) {
    report_sensor(check, duties, sensor, &wrong, list);
    return;
  }
  pl_id end = of_another(check, duties, sensor);
  if (end == PL_NONE)
    return;
  pl_id module = reader_of(check, duties, sensor->signal);
  const char *reader = check->harness->devices.at[module].name;
  add_duty(check,
           list,
           end,
           PL_FAULT,
           pl_arena_printf(check->arena,
                           "sensor %s is read by %s, but its %s leads to %s: what differs between "
                           "the two controllers adds to the reading",
                           sensor->name,
                           reader,
                           say_end(check, end),
                           say_met(check, duties, end)),
           pl_arena_printf(check->arena, "run it to %s, which reads this sensor", reader));
}

/* ---- gauges ---- */

/* The sender whose signal is on this net; PL_NONE. */
static pl_id sender_on(const struct pl_check *check, const pl_id *senders, pl_id pin) {
  if (pin == PL_NONE)
    return PL_NONE;
  return senders[check->facts->net[pin]];
}

static pl_id *senders_by_net(const struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  pl_id *by = PL_BY_PIN(check, pl_id);
  for (pl_id p = 0; p <= h->pins.n; p++)
    by[p] = PL_NONE;
  for (pl_id d = 0; d < h->devices.n; d++) {
    if (!pl_device_is(h, d, PL_FEEDS_GAUGE))
      continue;
    if (h->devices.at[d].signal == PL_NONE)
      continue;
    by[check->facts->net[h->devices.at[d].signal]] = d;
  }
  return by;
}

static const char *say_turned(const struct pl_check *check, pl_id pin, pl_id sender) {
  return pl_arena_printf(check->arena,
                         "%s leads to sender %s",
                         say_end(check, pin),
                         check->harness->devices.at[sender].name);
}

/* A gauge's minus belongs to the pole that its sender's case is on, its plus to the other. */
static bool is_turned(const struct pl_check *check, pl_id plus, pl_id minus, pl_id sender) {
  pl_id ground = pl_case_pin(check->harness, sender);
  if (ground == PL_NONE)
    return false;
  uint8_t earth = check->facts->reach[ground];
  uint8_t live = (PL_POLE_PLUS | PL_POLE_MINUS) ^ earth;
  if (earth != PL_POLE_PLUS && earth != PL_POLE_MINUS)
    return false;
  if (check->facts->reach[plus] != earth)
    return false;
  return check->facts->reach[minus] == live;
}

/* What is wrong with where its wires go; NULL. */
static const char *
gauge_fault(const struct pl_check *check, const pl_id *senders, pl_id g, pl_id *where) {
  const struct pl_harness *h = check->harness;
  pl_id plus, minus, signal;
  pl_gauge_pins(h, g, &plus, &minus, &signal);
  if (plus == PL_NONE || minus == PL_NONE)
    return NULL;
  if (signal == PL_NONE)
    return NULL;
  pl_id sender = sender_on(check, senders, signal);
  pl_id others[2] = {plus, minus};
  for (int k = 0; k < 2; k++) {
    *where = others[k];
    if (sender == PL_NONE && sender_on(check, senders, others[k]) != PL_NONE)
      return say_turned(check, others[k], sender_on(check, senders, others[k]));
  }
  *where = plus;
  if (sender == PL_NONE)
    return NULL;
  if (!is_turned(check, plus, minus, sender))
    return NULL;
  return pl_arena_printf(check->arena,
                         "its %s and %s trade places: its minus belongs where sender %s has its "
                         "ground",
                         say_end(check, plus),
                         say_end(check, minus),
                         h->devices.at[sender].name);
}

static void check_turned_gauge(struct pl_check *check, const pl_id *senders, pl_id g) {
  const struct pl_device *gauge = &check->harness->devices.at[g];
  pl_id where = PL_NONE;
  tolds alone = {0};
  const char *why = gauge_fault(check, senders, g, &where);
  if (why == NULL)
    return;
  add_duty(check,
           &alone,
           where,
           PL_FAULT,
           pl_arena_printf(check->arena, "gauge %s: %s: the needle lies", gauge->name, why),
           "sender to S, plus to the keyed feed, minus to the sender's ground");
}

/* A gauge of one quantity on a sender of another; two that trade places are one finding. */
static void check_quantity(struct pl_check *check, const pl_id *senders, pl_id g, bool *done) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *gauge = &h->devices.at[g];
  pl_id plus, minus, signal;
  pl_gauge_pins(h, g, &plus, &minus, &signal);
  pl_id s = sender_on(check, senders, signal);
  if (s == PL_NONE || done[g])
    return;
  const struct pl_device *sender = &h->devices.at[s];
  if (gauge->quantity == PL_NONE)
    return;
  if (sender->quantity == PL_NONE)
    return;
  if (gauge->quantity == sender->quantity)
    return;
  const char *also = "";
  for (pl_id d = 0; d < h->devices.n; d++) {
    if (!pl_device_is(h, d, PL_IS_GAUGE))
      continue;
    if (h->devices.at[d].quantity != sender->quantity)
      continue;
    pl_gauge_pins(h, d, &plus, &minus, &signal);
    pl_id its = sender_on(check, senders, signal);
    if (its == PL_NONE)
      continue;
    if (h->devices.at[its].quantity != gauge->quantity)
      continue;
    done[d] = true;
    also = pl_arena_printf(check->arena, "; %s shows that instead", h->devices.at[d].name);
  }
  tolds alone = {0};
  pl_gauge_pins(h, g, &plus, &minus, &signal);
  add_duty(check,
           &alone,
           signal,
           PL_FAULT,
           pl_arena_printf(check->arena,
                           "gauge %s measures %s, but its %s leads to sender %s, which measures "
                           "%s%s",
                           gauge->name,
                           h->quantities.at[gauge->quantity].name,
                           say_end(check, signal),
                           sender->name,
                           h->quantities.at[sender->quantity].name,
                           also),
           "lead each sender to the gauge of what it measures");
}

/* ---- bare connectors: the other side's duties stand at their pins ---- */

static bool
socket_fits(const struct pl_check *check, const struct pl_duties *duties, pl_id pin, bool *harm) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  uint8_t reach = check->facts->reach[pin];
  uint32_t roles = duties->roles[pin];
  bool data = (roles & PL_ROLES_DATA) != 0;
  bool plus = p->role == PL_ROLE_PLUS || p->role == PL_ROLE_BATTERY_FEED;
  bool minus = p->role == PL_ROLE_MINUS || p->role == PL_ROLE_GROUND;
  if (plus || minus) {
    *harm = reach == (plus ? PL_POLE_MINUS : PL_POLE_PLUS);
    return !*harm && !data;
  }
  if (p->role != PL_ROLE_DATA_HIGH && p->role != PL_ROLE_DATA_LOW)
    return true;
  if (roles & PL_ROLE_BIT(p->role))
    return true;
  *harm = check->facts->pole[pin] == PL_POLE_PLUS;
  return !data && check->facts->pole[pin] == 0;
}

static void check_socket(struct pl_check *check, const struct pl_duties *duties, pl_id d) {
  const struct pl_harness *h = check->harness;
  const struct pl_device *device = &h->devices.at[d];
  PL_VEC(const char *) parts = {0};
  pl_id first = PL_NONE;
  bool any_harm = false;
  for (pl_id p = device->first_pin; p < pl_pins_end(device); p++) {
    bool harm = false;
    if (pl_pin_wires_there(h, p) == 0)
      continue;
    if (socket_fits(check, duties, p, &harm))
      continue;
    if (first == PL_NONE)
      first = p;
    any_harm = any_harm || harm;
    PL_PUSH(check->arena,
            &parts,
            pl_arena_printf(check->arena,
                            "%s, meant as %s, leads to %s",
                            say_end(check, p),
                            pl_role_name(h->pins.at[p].role),
                            say_met(check, duties, p)));
  }
  if (first == PL_NONE)
    return;
  tolds alone = {0};
  add_duty(check,
           &alone,
           first,
           any_harm ? PL_DANGER : PL_FAULT,
           pl_arena_printf(check->arena,
                           "connector %s: %s: what is plugged in there is harmed or hears nothing",
                           device->name,
                           pl_say_some(check, parts.at, parts.n, 4)),
           "change the wires over at the connector, then measure before anything is plugged in");
}

/* ---- loads where none belongs ---- */

/* An input that reads small volts: pulled to, or good for, less than half the machine's. */
static bool is_small(const struct pl_harness *h, const struct pl_pin *pin) {
  double half = h->machine.volts / 2;
  if (pin->pull_volts > 0)
    return pin->pull_volts < half;
  return pin->volts_max < half;
}

/* A module whose supply gives as much as a battery feeds loads from it, and takes them back. */
static bool feeds_loads(const struct pl_harness *h, pl_id d) {
  const struct pl_device *module = &h->devices.at[d];
  for (pl_id p = module->first_pin; p < pl_pins_end(module); p++) {
    const struct pl_pin *pin = &h->pins.at[p];
    if (pin->role == PL_ROLE_SENSOR_SUPPLY && pin->volts >= h->machine.volts / 2)
      return true;
  }
  return false;
}

static bool bears_no_load(const struct pl_harness *h, const struct pl_pin *pin) {
  switch (pin->role) {
    case PL_ROLE_SIGNAL_INPUT:
      return is_small(h, pin);
    case PL_ROLE_SENSOR_RETURN:
      return !feeds_loads(h, pin->device);
    case PL_ROLE_DATA_HIGH:
    case PL_ROLE_DATA_LOW:
    case PL_ROLE_SHIELD:
      return true;
    case PL_ROLE_PASSIVE:
    case PL_ROLE_BATTERY_FEED:
    case PL_ROLE_GROUND:
    case PL_ROLE_KEYED_INPUT:
    case PL_ROLE_HIGH_SIDE:
    case PL_ROLE_LOW_SIDE:
    case PL_ROLE_SENSOR_SUPPLY:
    case PL_ROLE_SWITCH_INPUT:
    case PL_ROLE_PLUS:
    case PL_ROLE_MINUS:
    case PL_ROLE_UNUSED:
      return false;
  }
  return false;
}

/* By net: the first end of a load or coil there. */
static pl_id *loads_by_net(const struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  pl_id *by = PL_BY_PIN(check, pl_id);
  for (pl_id p = 0; p <= h->pins.n; p++)
    by[p] = PL_NONE;
  for (pl_id d = h->devices.n; d-- > 0;) {
    const struct pl_device *device = &h->devices.at[d];
    pl_id ends[4] = {device->plus, device->minus, device->coil_a, device->coil_b};
    if (!pl_kind_is(device->kind, PL_IS_LOAD | PL_IS_COIL))
      continue;
    for (int k = 0; k < 4; k++) {
      if (ends[k] == PL_NONE)
        continue;
      if (!(pl_pin_wires_there(h, ends[k]) > 0))
        continue;
      by[check->facts->net[ends[k]]] = ends[k];
    }
  }
  return by;
}

static void check_loads(struct pl_check *check, const struct pl_duties *duties) {
  const struct pl_harness *h = check->harness;
  const pl_id *loads = loads_by_net(check);
  for (pl_id net = 0; net < h->pins.n; net++) {
    if (loads[net] == PL_NONE)
      continue;
    if (check->facts->pole[net] != 0)
      continue;
    pl_id at = duties->head[net];
    while (at != PL_NONE && !bears_no_load(h, &h->pins.at[at]))
      at = duties->next[at];
    if (at == PL_NONE)
      continue;
    tolds alone = {0};
    add_duty(check,
             &alone,
             at,
             PL_FAULT,
             pl_arena_printf(check->arena,
                             "%s, whose %s is joined to %s, may bear no load's current or volts",
                             pl_say_place(check, at),
                             say_end(check, at),
                             h->pins.at[loads[net]].full),
             "lead the load to its own feed, ground or output; look where two wires trade places");
  }
}

void pl_rule_pin_duty(struct pl_check *check) {
  const struct pl_harness *h = check->harness;
  struct pl_duties duties = pl_duties_of(check);
  const pl_id *senders = senders_by_net(check);
  bool *done = PL_BY_DEVICE(check, bool);
  tolds list = {0};
  for (pl_id d = 0; d < h->devices.n; d++) {
    const struct pl_device *device = &h->devices.at[d];
    if (pl_kind_is_but(device->kind, PL_IS_SENSING, PL_FEEDS_GAUGE | PL_IS_TERMINATOR))
      check_sensor(check, &duties, device, &list);
    if (pl_kind_is(device->kind, PL_IS_GAUGE)) {
      check_turned_gauge(check, senders, d);
      check_quantity(check, senders, d, done);
    }
    if (pl_kind_is_but(device->kind, PL_IS_PLUG, PL_IS_INLINE))
      check_socket(check, &duties, d);
  }
  check_loads(check, &duties);
}
