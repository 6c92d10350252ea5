/* What several rules need, worked out once: who is joined to whom and by what, what the poles
 * reach, and the worst currents.  Private to this room. */
#ifndef PL_RULES_FACTS_H
#define PL_RULES_FACTS_H

#include "network/band.h"
#include "rules/rules.h"
#include "rules/ways.h"

enum pl_tie {
  PL_TIE_WIRE,
  PL_TIE_FIXED, /* inline pair, bond, case on its chassis, joined inside */
  PL_TIE_FUSE,
  PL_TIE_CONTACT, /* closes in some position of a switch or relay */
  PL_TIE_OUTPUT,  /* inside a module: output to its battery feed or ground, alternator's exciter to
                     its case */
  PL_TIE_SERIES   /* resistor, diode */
};

struct pl_link {
  enum pl_tie tie;
  pl_id a, b;         /* pins */
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

const struct pl_facts *pl_facts_new(const struct pl_check *check);

/* A wire that is there and joins two pins: neither removed nor capped nor ending in the air. */
static inline bool pl_wire_joins(const struct pl_wire *wire) {
  return wire->status != PL_WIRE_DONOR_REMOVED && wire->status != PL_WIRE_DONOR_CAPPED &&
         wire->end[0] != PL_NONE && wire->end[1] != PL_NONE;
}

static inline pl_id pl_link_other(const struct pl_link *link, pl_id pin) {
  return link->a == pin ? link->b : link->a;
}

/* Position a switch stands in. */
uint32_t pl_state_position(const struct pl_harness *harness, pl_id state, pl_id device);
bool pl_output_is_on(const struct pl_harness *harness, pl_id state, pl_id pin);

/* Wires in a terminal: all that are not removed. */
uint32_t pl_pin_wires_there(const struct pl_harness *harness, pl_id pin);
/* Covered in every run on its way; a wire without a route is not. */
bool pl_wire_is_sheathed(const struct pl_harness *harness, const struct pl_wire *wire);

/* ---- words ---- */

struct pl_finding
pl_finding_new(const char *rule, enum pl_severity severity, struct pl_span span, const char *place);
const char *pl_say(struct pl_arena *arena, double value, const char *unit); /* "22.4 A" */
const char *pl_say_wire(const struct pl_check *check, pl_id wire);          /* "wire 41" */
const char *pl_say_wires(const struct pl_check *check,
                         const pl_id *wires,
                         uint32_t n);                              /* "wires 41, 42 and 7 more" */
const char *pl_say_place(const struct pl_check *check, pl_id pin); /* "ECM.A1 (battery feed)" */
const char *pl_say_connector(const struct pl_check *check, pl_id connector); /* "ECM.A", "E1" */
const char *pl_state_name(const struct pl_check *check, pl_id state);        /* "" for PL_NONE */
/* "a, b and 3 more" of texts; at most `most` are named. */
const char *
pl_say_list(struct pl_arena *arena, const char *const *texts, uint32_t n, uint32_t most);

/* ---- figures near their limits ---- */

struct pl_near {
  pl_id state;
  struct pl_reading reading;
  double times, limit; /* the finding's figure is the reading, without sign, times this */
  bool least;          /* it must not be under the limit; else not over it */
};

/* What the figure is with every part at the end of its tolerance that is best for it (`good`) or
 * worst; NAN when that does not carry it over its limit: when a broken limit stays broken, a kept
 * one kept.  *moves: " (K3 then changes over)" or "". */
double pl_near_end(const struct pl_check *check,
                   const struct pl_near *near,
                   bool good,
                   const char **moves);
/* For a finding whose limit is kept at the good end: "; with short wires, new contacts and good
 * parts it would be 2.9 %, within the limit"; else "". */
const char *pl_say_good_end(const struct pl_check *check, struct pl_near near, const char *unit);

/* For one whose limit is broken at the bad end: "; with long wires, worn contacts and poor parts it
 * would be 6.7 V"; else "". */
const char *pl_say_bad_end(const struct pl_check *check, struct pl_near near, const char *unit);

/* Where the wiring at a pin is written: the end of its first wire there, else the pin's own row. */
struct pl_span pl_pin_wiring_span(const struct pl_harness *harness, pl_id pin);
/* The pin that a device's case stands for: its minus; PL_NONE. */
pl_id pl_case_pin(const struct pl_harness *harness, pl_id device);
pl_id pl_pin_named(const struct pl_harness *harness, pl_id device, const char *name); /* PL_NONE */

#endif
