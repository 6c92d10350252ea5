/* What several rules need, worked out once: who is joined to whom and by what, what the poles
 * reach, and the worst currents.  Private to this room. */
#ifndef PL_RULES_FACTS_INNER_H
#define PL_RULES_FACTS_INNER_H

#include "rules/rules.h"
#include "rules/ways_inner.h"

enum pl_tie {
  PL_TIE_WIRE,
  PL_TIE_FIXED, /* inline pair, bond, case on its chassis, joined inside */
  PL_TIE_FUSE,
  PL_TIE_CONTACT, /* closes in some position of a switch or relay */
  PL_TIE_OUTPUT,  /* inside a module: output, sensor supply or return to its battery feed or ground;
                     alternator's exciter to its case */
  PL_TIE_SERIES   /* resistor, diode */
};

struct pl_link {
  enum pl_tie tie;
  pl_id a, b;         /* pins; of PL_TIE_OUTPUT: the output, the feed or ground that carries it */
  pl_id wire, device; /* one of them */
  uint32_t position;  /* of a switch's contact; of a relay's: 1 pulled in, 0 at rest */
};

enum {
  PL_POLE_PLUS = 1,
  PL_POLE_MINUS = 2
};

struct pl_worst {
  double amps;
  pl_id state;
}; /* the most in any continuous state, PL_NONE when there is none */

struct pl_facts {
  struct pl_link *links;
  uint32_t link_count;
  const uint32_t *first, *around; /* links at pin p: around[first[p]] .. around[first[p + 1] - 1] */
  const pl_id
      *net; /* by pin: first pin of what wires, joints, fuses and disconnects tie together */
  const uint8_t
      *pole; /* by pin, of its net: PL_POLE_* of a battery or alternator; 0 amid a series of them */
  const uint8_t
      *reach; /* by pin: PL_POLE_* that gets here through any contact, output, diode or resistor */
  const bool *live;       /* by state: solved, lasting and not cranking: it sizes wires and fuses */
  struct pl_worst *wires; /* by wire */
  bool *exempt;           /* by wire: cable from a battery to a starter's main stud */
  bool *device_on;        /* by device: solved as working in some state */
  double *device_most;    /* by device: the most amps in any solved state */
  bool *closed; /* by link: a contact that is closed, an output that is on, in some solved state */
  bool any_solved;
  const struct pl_ways *ways; /* of least resistance, from and to the battery posts */
};

/* Arrays with one entry for each pin, device or wire, and one to spare. */
#define PL_BY_PIN(check, type) \
  PL_NEW_ARRAY((check)->arena, type, (size_t)(check)->harness->pins.n + 1)
#define PL_BY_DEVICE(check, type) \
  PL_NEW_ARRAY((check)->arena, type, (size_t)(check)->harness->devices.n + 1)
#define PL_BY_WIRE(check, type) \
  PL_NEW_ARRAY((check)->arena, type, (size_t)(check)->harness->wires.n + 1)

const struct pl_facts *pl_facts_new(const struct pl_check *check);

/* A wire that is there and joins two pins: neither removed nor capped nor ending in the air. */
static inline bool pl_wire_joins(const struct pl_wire *wire) {
  return wire->status != PL_WIRE_DONOR_REMOVED && wire->status != PL_WIRE_DONOR_CAPPED &&
         wire->end[0] != PL_NONE && wire->end[1] != PL_NONE;
}

/* The link at places first[p] .. first[p + 1] - 1 of `around`. */
static inline const struct pl_link *pl_link_at(const struct pl_facts *facts, uint32_t place) {
  return &facts->links[facts->around[place]];
}

static inline pl_id pl_link_other(const struct pl_link *link, pl_id pin) {
  return link->a == pin ? link->b : link->a;
}

static inline bool pl_same_net(const struct pl_check *check, pl_id pin, pl_id other) {
  return check->facts->net[pin] == check->facts->net[other];
}

static inline const struct pl_device *pl_pin_device(const struct pl_harness *harness, pl_id pin) {
  return &harness->devices.at[harness->pins.at[pin].device];
}

/* The end of a source or load that lies away from the earthed pole. */
static inline pl_id pl_live_pin(const struct pl_harness *harness, const struct pl_device *device) {
  if (harness->machine.positive_earth)
    return device->minus;
  return device->plus;
}

/* Its own volts where they are stated, else the machine's. */
static inline double pl_nominal_volts(const struct pl_harness *harness, pl_id device) {
  double own = harness->devices.at[device].volts;
  return own > 0 ? own : harness->machine.volts;
}

/* Wires in a terminal: all that are not removed. */
uint32_t pl_pin_wires_there(const struct pl_harness *harness, pl_id pin);
/* Covered in every run on its way; a wire without a route is not. */
bool pl_wire_is_sheathed(const struct pl_harness *harness, const struct pl_wire *wire);

/* The pin that a device's case stands for: its minus; PL_NONE. */
pl_id pl_case_pin(const struct pl_harness *harness, pl_id device);
pl_id pl_pin_named(const struct pl_harness *harness, pl_id device, const char *name); /* PL_NONE */

#endif
