/* A module from outside: its pins against two nodes inside, the ground that its ground pins share
 * and the supply that the feeds share with which it runs (pl_pin_keeps_alive).  Sensor supplies and
 * pull-ups come from an ideal regulator on the ground inside: their amps are not taken from a feed.
 */
#include <math.h>

#include "network/network_inner.h"

static const struct pl_drive always = {.kind = PL_DRIVE_NONE};

/* Adds an element from the pin to a node inside. */
static void add_inside(struct pl_network *network,
                       enum pl_element_kind kind,
                       const char *what,
                       pl_id pin,
                       uint32_t node,
                       double ohms,
                       double volts,
                       double limit,
                       struct pl_drive drive) {
  struct pl_element e =
      pl_element_at(network, kind, network->harness->pins.at[pin].device, what, pin, PL_NONE, ohms);

  e.node_b = node;
  e.volts = volts;
  e.limit = limit;
  pl_network_add(network, e, drive);
}

/* The same for one that only resists, in every state. */
static void add_plain(struct pl_network *network,
                      enum pl_element_kind kind,
                      const char *what,
                      pl_id pin,
                      uint32_t node,
                      double ohms) {
  add_inside(network, kind, what, pin, node, ohms, 0, INFINITY, always);
}

static void add_feed(struct pl_network *network,
                     const struct pl_device *d,
                     pl_id pin,
                     uint32_t ground,
                     uint32_t feed) {
  const struct pl_pin *p = &network->harness->pins.at[pin];
  double awake = pl_first_good(p->amps, 0);
  double asleep = pl_first_good(p->sleep_amps, 0);
  double knee =
      pl_first_good(p->volts_min, pl_network_supply(network->harness, d) * PL_DEFAULT(KNEE));

  if (pl_pin_keeps_alive(network->harness, pin))
    add_plain(network, PL_ELEMENT_CONTACT, "feed", pin, feed, PL_DEFAULT(MODULE_JOIN));
  if (awake > 0 || asleep > 0) /* ohms and amps follow the module's sleep: set by the drive */
    add_inside(network,
               PL_ELEMENT_CURRENT,
               "draw",
               pin,
               ground,
               1.0,
               knee,
               awake,
               (struct pl_drive){.kind = PL_DRIVE_DRAW, .awake = awake, .asleep = asleep});
}

static void add_input(struct pl_network *network, pl_id pin, uint32_t ground, uint32_t feed) {
  const struct pl_pin *p = &network->harness->pins.at[pin];

  if (!(p->pull_ohms > 0))
    add_plain(network, PL_ELEMENT_RESISTANCE, "input", pin, ground, PL_DEFAULT(INPUT));
  else if (isnan(p->pull_volts))
    add_plain(network, PL_ELEMENT_RESISTANCE, "pull-up", pin, feed, p->pull_ohms);
  else if (!(p->pull_volts > 0))
    add_plain(network, PL_ELEMENT_RESISTANCE, "pull-down", pin, ground, p->pull_ohms);
  else
    add_inside(network,
               PL_ELEMENT_SOURCE,
               "pull-up",
               pin,
               ground,
               p->pull_ohms,
               p->pull_volts,
               INFINITY,
               (struct pl_drive){.kind = PL_DRIVE_PULL});
}

static void
add_keyed(struct pl_network *network, const struct pl_device *d, pl_id pin, uint32_t ground) {
  const struct pl_pin *p = &network->harness->pins.at[pin];
  double by_amps = NAN;
  if (p->amps > 0)
    by_amps = pl_network_supply(network->harness, d) / p->amps;

  add_plain(network,
            PL_ELEMENT_RESISTANCE,
            "keyed input",
            pin,
            ground,
            pl_first_good(p->pull_ohms, pl_first_good(by_amps, PL_DEFAULT(KEYED))));
}

static void add_pin(struct pl_network *network,
                    const struct pl_device *d,
                    pl_id pin,
                    uint32_t ground,
                    uint32_t feed) {
  const struct pl_pin *p = &network->harness->pins.at[pin];
  struct pl_drive output = {.kind = PL_DRIVE_OUTPUT, .index = pin};

  switch (p->role) {
    case PL_ROLE_BATTERY_FEED:
      add_feed(network, d, pin, ground, feed);
      break;
    case PL_ROLE_GROUND:
      add_plain(network, PL_ELEMENT_CONTACT, "ground", pin, ground, PL_DEFAULT(MODULE_JOIN));
      break;
    case PL_ROLE_KEYED_INPUT:
      add_keyed(network, d, pin, ground);
      break;
    case PL_ROLE_HIGH_SIDE:
      add_inside(network,
                 PL_ELEMENT_CONTACT,
                 "output",
                 pin,
                 feed,
                 PL_DEFAULT(OUTPUT),
                 0,
                 INFINITY,
                 output);
      break;
    case PL_ROLE_LOW_SIDE:
      add_inside(network,
                 PL_ELEMENT_CONTACT,
                 "output",
                 pin,
                 ground,
                 PL_DEFAULT(OUTPUT),
                 0,
                 INFINITY,
                 output);
      break;
    case PL_ROLE_SENSOR_SUPPLY:
      add_inside(network,
                 PL_ELEMENT_SOURCE,
                 "sensor supply",
                 pin,
                 ground,
                 PL_DEFAULT(SENSOR_SUPPLY),
                 pl_first_good(p->volts, PL_DEFAULT(SENSOR_VOLTS)),
                 pl_first_good(p->amps, INFINITY),
                 (struct pl_drive){.kind = PL_DRIVE_SUPPLY, .blocks = true});
      break;
    case PL_ROLE_SENSOR_RETURN:
      add_plain(network,
                PL_ELEMENT_CONTACT,
                "sensor return",
                pin,
                ground,
                PL_DEFAULT(SENSOR_RETURN));
      break;
    case PL_ROLE_SIGNAL_INPUT:
    case PL_ROLE_SWITCH_INPUT:
      add_input(network, pin, ground, feed);
      break;
    case PL_ROLE_DATA_HIGH:
    case PL_ROLE_DATA_LOW:
    case PL_ROLE_SHIELD:
      add_plain(network, PL_ELEMENT_RESISTANCE, "data", pin, ground, PL_DEFAULT(DATA));
      break;
    case PL_ROLE_PASSIVE:
    case PL_ROLE_PLUS:
    case PL_ROLE_MINUS:
    case PL_ROLE_UNUSED:
      break;
  }
}

void pl_network_add_module(struct pl_network *network, pl_id device) {
  const struct pl_device *d = &network->harness->devices.at[device];
  uint32_t ground = pl_network_add_node(network, PL_NONE, device);
  uint32_t feed = pl_network_add_node(network, PL_NONE, device);

  network->inner_ground[device] = ground;
  network->inner_feed[device] = feed;
  for (uint32_t i = 0; i < d->pin_count; i++)
    add_pin(network, d, d->first_pin + i, ground, feed);
  if (d->body < network->harness->devices.n && d->minus == PL_NONE &&
      network->harness->devices.at[d->body].pin_count > 0)
    add_plain(network,
              PL_ELEMENT_CONTACT,
              "case",
              network->harness->devices.at[d->body].first_pin,
              ground,
              PL_DEFAULT(CASE)); /* a case on a chassis is its ground */
}
