/* From a device of the model to its elements: one function for each kind.  Laws and defaults:
 * docs/electrical.md.  No state is looked at here; what a state changes is written down as a
 * drive. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "network/network_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

static const struct pl_drive always = {.kind = PL_DRIVE_NONE};

/* A pin given by the model, else the device's pin of that name. */
static pl_id pin_or(const struct pl_network *network,
                    const struct pl_device *device,
                    pl_id pin,
                    const char *name) {
  if (pin != PL_NONE)
    return pin;
  for (uint32_t i = 0; i < device->pin_count; i++)
    if (strcmp(network->harness->pins.at[device->first_pin + i].name, name) == 0)
      return device->first_pin + i;
  return PL_NONE;
}

static uint32_t add_two_ends(struct pl_network *network,
                             enum pl_element_kind kind,
                             pl_id device,
                             const char *what,
                             pl_id a,
                             pl_id b,
                             double ohms) {
  return pl_network_add(network, pl_element_at(network, kind, device, what, a, b, ohms), always);
}

static const struct pl_device *device_at(const struct pl_network *network, pl_id id) {
  return &network->harness->devices.at[id];
}

static void add_battery(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  double supply = pl_network_supply(network->harness, d);
  double ohms = pl_first_good(
      d->ohms,
      pl_first_good(pl_battery_ohms(supply, d->cca), PL_DEFAULT(BATTERY) * supply / 12.0));
  struct pl_element e = pl_element_at(network,
                                      PL_ELEMENT_SOURCE,
                                      id,
                                      "battery",
                                      pin_or(network, d, d->plus, "+"),
                                      pin_or(network, d, d->minus, "-"),
                                      fmin(ohms, PL_DEFAULT(MOST)));

  e.volts = pl_first_good(d->emf, supply * PL_DEFAULT(EMF));
  network->main[id] = pl_network_add(network, e, always);
  PL_PUSH(network->arena, &network->conditioned, id);
}

static void add_alternator(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  double volts = pl_first_good(d->set_volts,
                               pl_network_supply(network->harness, d) * PL_DEFAULT(ALTERNATOR_SET));
  double exciter = pl_first_good(d->exciter_ohms, PL_DEFAULT(EXCITER));
  pl_id plus = pin_or(network, d, d->plus, "B+");
  pl_id minus = pin_or(network, d, d->minus, "B-");
  pl_id field = pin_or(network, d, PL_NONE, "D+");
  struct pl_element e = pl_element_at(network,
                                      PL_ELEMENT_SOURCE,
                                      id,
                                      "alternator",
                                      plus,
                                      minus,
                                      pl_first_good(d->ohms, PL_DEFAULT(ALTERNATOR)));

  e.volts = volts;
  network->main[id] =
      pl_network_add(network,
                     e,
                     (struct pl_drive){.kind = PL_DRIVE_ALTERNATOR,
                                       .blocks = true,
                                       .asleep = pl_first_good(d->idle_amps, INFINITY),
                                       .awake = pl_first_good(d->speed_amps, INFINITY)});
  e = pl_element_at(network, PL_ELEMENT_SOURCE, id, "exciter", field, minus, exciter);
  e.volts = volts;
  pl_network_add(network, e, (struct pl_drive){.kind = PL_DRIVE_EXCITER, .blocks = true});
  e = pl_element_at(network, PL_ELEMENT_RESISTANCE, id, "exciter", field, minus, exciter);
  network->standing[id] = pl_network_add(network, e, (struct pl_drive){.kind = PL_DRIVE_STANDING});
  PL_PUSH(network->arena, &network->alternators, id);
}

/* Coils are wound for their voltage: the same watts, so ohms rise with its square. */
static double coil_default(double ohms, double supply) {
  return ohms * (supply / 12.0) * (supply / 12.0);
}

static void add_starter(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  double supply = pl_network_supply(network->harness, d);
  pl_id battery = pin_or(network, d, PL_NONE, "30");
  pl_id minus = pin_or(network, d, PL_NONE, "31");
  pl_id coil_a = pin_or(network, d, d->coil_a, "50");
  pl_id coil_b = pin_or(network, d, d->coil_b, "31");
  double motor = pl_first_good(d->crank_volts, supply * PL_DEFAULT(CRANK_VOLTS)) /
                 pl_first_good(d->crank_amps, PL_DEFAULT(CRANK_AMPS));

  if (battery == PL_NONE)
    battery = d->plus;
  if (minus == PL_NONE)
    minus = d->minus;
  network->coil[id] =
      add_two_ends(network,
                   PL_ELEMENT_RESISTANCE,
                   id,
                   "coil",
                   coil_a,
                   coil_b,
                   pl_first_good(d->coil_ohms, coil_default(PL_DEFAULT(STARTER_COIL), supply)));
  network->main[id] = pl_network_add(
      network,
      pl_element_at(network, PL_ELEMENT_RESISTANCE, id, "motor", battery, minus, motor),
      (struct pl_drive){.kind = PL_DRIVE_MAKE});
}

static void add_fuse(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  double ohms = pl_first_good(
      d->ohms,
      pl_first_good(pl_fuse_ohms(d->family[0] != '\0' ? d->family : "blade", d->rating),
                    PL_DEFAULT(FUSE)));

  network->main[id] = add_two_ends(network,
                                   PL_ELEMENT_CONTACT,
                                   id,
                                   "element",
                                   pin_or(network, d, d->plus, "in"),
                                   pin_or(network, d, d->minus, "out"),
                                   ohms);
}

static void add_switch(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  bool disconnect = pl_kind_is(d->kind, PL_IS_DISCONNECT);
  double usual = disconnect ? PL_DEFAULT(DISCONNECT) : PL_DEFAULT(SWITCH);
  double ohms = pl_first_good(d->ohms, usual);

  for (uint32_t t = 0; t < d->throws.n; t++)
    for (uint32_t j = 0; j < d->throws.at[t].joins.n; j++) {
      struct pl_join join = d->throws.at[t].joins.at[j];
      pl_network_add(
          network,
          pl_element_at(network, PL_ELEMENT_CONTACT, id, "contact", join.a, join.b, ohms),
          (struct pl_drive){.kind = PL_DRIVE_THROW, .index = t});
    }
  if (disconnect && d->throws.n == 0)
    add_two_ends(network,
                 PL_ELEMENT_CONTACT,
                 id,
                 "contact",
                 pin_or(network, d, PL_NONE, "in"),
                 pin_or(network, d, PL_NONE, "out"),
                 ohms);
}

/* What its electronics take, and its output as a contact that the state sets. */
static void add_proximity(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  double ohms = pl_network_supply(network->harness, d) / PL_DEFAULT(PROXIMITY);

  network->main[id] =
      add_two_ends(network, PL_ELEMENT_RESISTANCE, id, "supply", d->plus, d->minus, ohms);
  add_switch(network, id);
}

static void add_contacts(struct pl_network *network,
                         pl_id id,
                         const pl_joins *joins,
                         enum pl_drive_kind drive) {
  double ohms = pl_first_good(device_at(network, id)->ohms, PL_DEFAULT(RELAY));

  for (uint32_t j = 0; j < joins->n; j++)
    pl_network_add(network,
                   pl_element_at(network,
                                 PL_ELEMENT_CONTACT,
                                 id,
                                 "contact",
                                 joins->at[j].a,
                                 joins->at[j].b,
                                 ohms),
                   (struct pl_drive){.kind = drive});
}

/* Ohms of "resistor 680 ohm"; 0 for anything else: a diode across a coil carries nothing once the
 * coil is settled. */
static double suppression_ohms(const char *text) {
  const char *word = "resistor ";
  const char *unit;
  double ohms;
  size_t used;

  if (text == NULL)
    return 0;
  if (strncmp(text, word, strlen(word)) != 0)
    return 0;
  text += strlen(word);
  if (!pl_number_parse(text, strlen(text), &ohms, &used))
    return 0;
  if (ohms <= 0)
    return 0;
  unit = text + used;
  while (*unit == ' ')
    unit++;
  if (strncmp(unit, "kohm", 4) == 0)
    ohms *= 1000;
  return ohms;
}

static void add_relay(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  double supply = pl_network_supply(network->harness, d);
  double across = suppression_ohms(d->suppression);
  pl_id a = pin_or(network, d, d->coil_a, "86");
  pl_id b = pin_or(network, d, d->coil_b, "85");

  network->main[id] =
      add_two_ends(network,
                   PL_ELEMENT_RESISTANCE,
                   id,
                   "coil",
                   a,
                   b,
                   pl_first_good(d->coil_ohms, coil_default(PL_DEFAULT(RELAY_COIL), supply)));
  network->coil[id] = network->main[id];
  if (d->latching)
    network->reset_coil[id] =
        add_two_ends(network,
                     PL_ELEMENT_RESISTANCE,
                     id,
                     "reset coil",
                     d->reset_a,
                     d->reset_b,
                     pl_first_good(d->coil_ohms, coil_default(PL_DEFAULT(RELAY_COIL), supply)));
  if (across > 0)
    add_two_ends(network, PL_ELEMENT_RESISTANCE, id, "suppression", a, b, across);
  add_contacts(network, id, &d->make, PL_DRIVE_MAKE);
  add_contacts(network, id, &d->brk, PL_DRIVE_BREAK);
}

static void add_load(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  double volts = pl_first_good(d->load_volts, pl_network_supply(network->harness, d));
  bool rated = isfinite(d->load_amps) && d->load_amps > 0;
  struct pl_element e = pl_element_at(network,
                                      PL_ELEMENT_RESISTANCE,
                                      id,
                                      "load",
                                      pin_or(network, d, d->plus, "+"),
                                      pin_or(network, d, d->minus, "-"),
                                      0);
  struct pl_drive drive = always;

  if (d->law != PL_LAW_RESISTANCE && rated) {
    e.kind = PL_ELEMENT_CURRENT;
    e.limit = d->load_amps;
    e.volts = pl_first_good(d->need_min, volts * PL_DEFAULT(KNEE));
    e.ohms = e.volts / e.limit;
    if (d->law == PL_LAW_POWER) {
      e.watts = volts * d->load_amps;
      e.limit = e.watts / e.volts;
      e.ohms = e.volts / e.limit;
      drive.awake = volts;
    }
  } else {
    e.ohms = pl_first_good(d->ohms, rated ? volts / d->load_amps : INFINITY);
  }
  network->main[id] = pl_network_add(network, e, drive);
  if (network->main[id] != PL_NONE && e.watts > 0)
    PL_PUSH(network->arena, &network->powers, network->main[id]);
  if (suppression_ohms(d->suppression) > 0) /* a solenoid may have one as a relay has */
    add_two_ends(network,
                 PL_ELEMENT_RESISTANCE,
                 id,
                 "suppression",
                 e.pin_a,
                 e.pin_b,
                 suppression_ohms(d->suppression));
}

static void add_sensor(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  pl_id signal = pin_or(network, d, d->signal, "signal");
  pl_id back = pin_or(network, d, d->minus, "return");
  pl_id supply = pin_or(network, d, d->plus, "supply");
  double middle = pl_device_reading(d, pl_device_middle(d));

  PL_PUSH(network->arena, &network->conditioned, id);
  if (supply == PL_NONE || supply == signal) { /* two wires */
    network->main[id] = pl_network_add(
        network,
        pl_element_at(network,
                      PL_ELEMENT_RESISTANCE,
                      id,
                      "sensor",
                      signal,
                      back,
                      pl_first_good(d->ohms, pl_first_good(middle, PL_DEFAULT(SENSOR)))),
        (struct pl_drive){.kind = PL_DRIVE_QUANTITY});
    return;
  }
  double ohms = pl_first_good(d->ohms, PL_DEFAULT(SENSOR));
  double share = d->signal_share;
  if (!(share >= 0 && share <= 1))
    share = middle >= 0 && middle <= 1 ? middle : PL_DEFAULT(SENSOR_SHARE);
  network->main[id] = pl_network_add(network,
                                     pl_element_at(network,
                                                   PL_ELEMENT_RESISTANCE,
                                                   id,
                                                   "sensor, upper part",
                                                   supply,
                                                   signal,
                                                   ohms * (1 - share)),
                                     (struct pl_drive){.kind = PL_DRIVE_UPPER, .awake = ohms});
  pl_network_add(network,
                 pl_element_at(network,
                               PL_ELEMENT_RESISTANCE,
                               id,
                               "sensor, lower part",
                               signal,
                               back,
                               ohms * share),
                 (struct pl_drive){.kind = PL_DRIVE_LOWER, .awake = ohms});
}

static void add_sender(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  double middle = pl_device_reading(d, pl_device_middle(d));
  double ohms = pl_first_good(d->ohms, pl_first_good(middle, PL_DEFAULT(SENDER)));

  PL_PUSH(network->arena, &network->conditioned, id);
  network->main[id] = pl_network_add(network,
                                     pl_element_at(network,
                                                   PL_ELEMENT_RESISTANCE,
                                                   id,
                                                   "sender",
                                                   pin_or(network, d, d->signal, "signal"),
                                                   pin_or(network, d, d->minus, "case"),
                                                   ohms),
                                     (struct pl_drive){.kind = PL_DRIVE_QUANTITY});
}

static void add_gauge(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  pl_id plus = pin_or(network, d, d->plus, "+");
  double ohms = pl_first_good(d->ohms, PL_DEFAULT(GAUGE));

  network->main[id] = add_two_ends(network,
                                   PL_ELEMENT_RESISTANCE,
                                   id,
                                   "gauge",
                                   plus,
                                   pin_or(network, d, d->minus, "-"),
                                   ohms);
  add_two_ends(network,
               PL_ELEMENT_RESISTANCE,
               id,
               "gauge, sender side",
               plus,
               pin_or(network, d, d->signal, "S"),
               ohms);
}

static void add_diode(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  struct pl_element e = pl_element_at(network,
                                      PL_ELEMENT_DIODE,
                                      id,
                                      "diode",
                                      pin_or(network, d, d->plus, "A"),
                                      pin_or(network, d, d->minus, "K"),
                                      pl_first_good(d->ohms, PL_DEFAULT(DIODE)));

  e.volts = pl_first_good(d->drop, PL_DEFAULT(DIODE_DROP));
  network->main[id] = pl_network_add(network, e, always);
}

static void add_resistor(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  bool end = pl_kind_is(d->kind, PL_IS_TERMINATOR);
  double ohms = pl_first_good(d->ohms, end ? PL_DEFAULT(TERMINATOR) : INFINITY);

  network->main[id] = add_two_ends(network,
                                   PL_ELEMENT_RESISTANCE,
                                   id,
                                   end ? "terminator" : "resistor",
                                   pin_or(network, d, d->plus, "1"),
                                   pin_or(network, d, d->minus, "2"),
                                   ohms);
}

static void add_bond(struct pl_network *network, pl_id id) {
  const struct pl_device *d = device_at(network, id);
  const struct pl_device *body = NULL;
  if (d->body < network->harness->devices.n)
    body = device_at(network, d->body);

  if (d->pin_count == 0 || body == NULL)
    return;
  if (body->pin_count == 0)
    return;
  network->main[id] = add_two_ends(network,
                                   PL_ELEMENT_CONTACT,
                                   id,
                                   "bond",
                                   d->first_pin,
                                   body->first_pin,
                                   pl_first_good(d->ohms, PL_DEFAULT(BOND)));
}

static bool is_same_join(const struct pl_element *e, pl_id a, pl_id b) {
  if (e->pin_a == a && e->pin_b == b)
    return true;
  return e->pin_a == b && e->pin_b == a;
}

/* Pins joined inside, whatever the kind: inline halves, a case on its chassis.  A bond's way to its
 * chassis is there already. */
static void add_fixed(struct pl_network *network, pl_id id) {
  const struct pl_harness *harness = network->harness;
  const struct pl_device *d = device_at(network, id);
  bool line = pl_kind_is(d->kind, PL_IS_PLUG);

  for (uint32_t j = 0; j < d->fixed.n; j++) {
    struct pl_join join = d->fixed.at[j];
    double ohms = PL_DEFAULT(CASE);
    if (join.a >= harness->pins.n)
      continue;
    if (join.b >= harness->pins.n)
      continue;
    if (network->main[id] != PL_NONE &&
        is_same_join(&network->elements.at[network->main[id]], join.a, join.b))
      continue;
    if (line && harness->terminals.n > 0)
      ohms = pl_first_good(
          d->ohms,
          pl_first_good(pl_pin_terminal(harness, join.a)->ohms, PL_DEFAULT(TERMINAL)));
    add_two_ends(network,
                 PL_ELEMENT_CONTACT,
                 id,
                 line ? "inline contact" : "case",
                 join.a,
                 join.b,
                 ohms);
  }
}

/* What the kind's row says it is made of, and whatever is joined inside. */
void pl_network_add_device(struct pl_network *network, pl_id id) {
  switch (pl_kind_row(device_at(network, id)->kind)->elements) {
    case PL_ELEMENTS_BATTERY:
      add_battery(network, id);
      break;
    case PL_ELEMENTS_ALTERNATOR:
      add_alternator(network, id);
      break;
    case PL_ELEMENTS_STARTER:
      add_starter(network, id);
      break;
    case PL_ELEMENTS_FUSE:
      add_fuse(network, id);
      break;
    case PL_ELEMENTS_SWITCH:
      add_switch(network, id);
      break;
    case PL_ELEMENTS_PROXIMITY:
      add_proximity(network, id);
      break;
    case PL_ELEMENTS_RELAY:
      add_relay(network, id);
      break;
    case PL_ELEMENTS_LOAD:
      add_load(network, id);
      break;
    case PL_ELEMENTS_MODULE:
      pl_network_add_module(network, id);
      break;
    case PL_ELEMENTS_SENSOR:
      add_sensor(network, id);
      break;
    case PL_ELEMENTS_SENDER:
      add_sender(network, id);
      break;
    case PL_ELEMENTS_GAUGE:
      add_gauge(network, id);
      break;
    case PL_ELEMENTS_DIODE:
      add_diode(network, id);
      break;
    case PL_ELEMENTS_RESISTOR:
      add_resistor(network, id);
      break;
    case PL_ELEMENTS_BOND:
      add_bond(network, id);
      break;
    case PL_ELEMENTS_PLUG:
    case PL_ELEMENTS_NONE:
      break;
  }
  add_fixed(network, id);
}
