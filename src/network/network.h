/* The network: harness + state -> elements -> sparse matrix -> solution, all by model ids.  It
 * knows no text and no rules. Modified nodal analysis over nodes; piecewise-linear devices (relays
 * that follow their coils, steady-current loads, diodes, alternator limit, modules that wake) carry
 * a mode each, and modes are stepped until they agree with the solution.  Laws: docs/electrical.md.
 */
#ifndef PL_NETWORK_NETWORK_H
#define PL_NETWORK_NETWORK_H

#include "finding/finding.h"
#include "harness/harness.h"

enum pl_element_kind {
  PL_ELEMENT_WIRE,       /* copper plus its two crimped contacts */
  PL_ELEMENT_CONTACT,    /* fuse, closed switch or relay contact, inline pair, bond, case: a small
                            resistance; `open` when not conducting */
  PL_ELEMENT_RESISTANCE, /* load, coil, sensor, pull-up, resistor */
  PL_ELEMENT_CURRENT, /* load of steady current or power, module's draw: amps down to volts_knee, a
                         resistance volts_knee/amps below */
  PL_ELEMENT_SOURCE,  /* battery, alternator, sensor supply: volts behind ohms; limit = most amps it
                         gives (INFINITY) */
  PL_ELEMENT_DIODE    /* volts drop plus ohms when conducting, open when blocking */
};

struct pl_element {
  enum pl_element_kind kind;
  pl_id wire, device; /* which of them it is: one is PL_NONE */
  const char *what; /* part of the device: "contact", "coil", "motor", "draw", "pull-up", "battery";
                       static text */
  pl_id pin_a, pin_b;      /* pins at its ends; PL_NONE for an inner node of a module */
  uint32_t node_a, node_b; /* nodes of the network */
  double ohms;
  double contact_ohms; /* of a wire: how much of `ohms` is its two contacts */
  double volts;        /* source volts (a above b), diode drop, knee volts of a current element */
  double limit; /* current element: its amps (of steady power: as they settled); source: most amps
                   it gives */
  double watts; /* current element of steady power: its watts; else 0 */
  /* solved, in one state: */
  bool open;    /* conducts nothing in this state */
  bool limited; /* gives or draws exactly `limit` in this state: a current source */
  double amps;  /* from a to b through the element */
};

enum pl_solve_status {
  PL_SOLVED,
  PL_SOLVE_NO_SOURCE, /* no battery, or nothing connects to it */
  PL_SOLVE_CYCLE,     /* modes never agree: a buzzing relay; reported as a finding */
  PL_SOLVE_FAILED /* singular, not finite, or Kirchhoff's law does not close to 1e-9: never shown;
                     reported */
};

struct pl_solution {
  pl_id state;
  enum pl_solve_status status;
  const char *failure; /* why, in plain words, when status is not PL_SOLVED */
  double *pin_volts;   /* by pin, against the earthed pole of the (first) battery; NAN = floats:
                          nothing joins it to that pole */
  double *wire_amps;   /* by wire, from end[0] to end[1]; 0 where it floats */
  double *wire_ohms;   /* by wire, as warm as it is in this state, with contacts */
  double *wire_temperature; /* by wire, degC of the copper: what is around it and what its own
                               current adds; as if it lay alone, bundles are hotter */
  bool *device_on;    /* by device: relay pulled in (latching: set), starter engaged, module awake,
                         alternator turning and excited */
  double *node_volts; /* by node of the network; NAN = floats */
  double *device_volts; /* by device: volts across a load, coil or source (plus minus minus); NAN
                           when it has no two ends or floats. Starter: its motor (30 to 31); relay:
                           its coil, coil_a minus coil_b; module: inside, feeds to grounds */
  double *device_amps;  /* by device: through the load, coil, fuse, or out of the source's plus; 0.
                           Loads: plus to minus; fuses, coils, bonds, contacts: no sign; switch: its
                           busiest contact; starter: its motor; module: all its feeds together */
  struct pl_element *elements;
  uint32_t element_count; /* the same indices in every state of one network */
  double residual;        /* worst relative Kirchhoff error */
  uint32_t steps;         /* mode steps taken */
};
/* When status is not PL_SOLVED all volts are NAN, all amps 0 and every device_on false. */

struct pl_network; /* elements and nodes of a harness; made once, solved in any state */

/* Never fails; a harness without a battery gives PL_SOLVE_NO_SOURCE later. */
struct pl_network *pl_network_new(const struct pl_harness *harness, struct pl_arena *arena);
void pl_network_release(
    struct pl_network *network); /* frees what KLU holds; the rest is the arena's */

/* Solves one state.  Cycles, floating sources and failures are reported once each to `findings`
 * (rules "buzzing-relay", "floating-source", "not-solved"); findings may be NULL. */
/* A state that does not exist (PL_NONE) is the machine at rest, engine stopped. */
void pl_network_solve(struct pl_network *network,
                      pl_id state,
                      struct pl_solution *solution,
                      struct pl_findings *findings);

/* The same for a state of the caller's own, which need not be in the harness (solution->state is
 * PL_NONE). */
void pl_network_solve_as(struct pl_network *network,
                         const struct pl_state *state,
                         struct pl_solution *solution,
                         struct pl_findings *findings);

/* As pl_network_solve_as, into the arrays the solution has. */
void pl_network_solve_again(struct pl_network *network,
                            const struct pl_state *state,
                            struct pl_solution *solution,
                            struct pl_findings *findings);

uint32_t pl_network_node_count(const struct pl_network *network);
uint32_t pl_network_pin_node(const struct pl_network *network, pl_id pin);
uint32_t pl_network_reference(
    const struct pl_network *network); /* the node at 0 V; PL_NONE without a battery */
pl_id pl_network_node_pin(const struct pl_network *network,
                          uint32_t node); /* the first pin on a node; PL_NONE inside a module */

/* The conducting way from `pin` to the supply: elements in order, each time through the one that
 * brings the most current in, to a source's plus
 * (`to_minus` false) or with the current out to a source's minus (true); the last element is that
 * source. Returns how many were stored in `path` (arena); 0 when no current flows. */
uint32_t pl_solution_path(const struct pl_network *network,
                          const struct pl_solution *solution,
                          pl_id pin,
                          bool to_minus,
                          struct pl_arena *arena,
                          uint32_t **path);

/* Volts lost from the source's plus to `plus` and from `minus` to the source's minus: the drop
 * there and back, NAN when no path. */
double pl_solution_drop(const struct pl_network *network,
                        const struct pl_solution *solution,
                        pl_id plus,
                        pl_id minus);

/* What a gauge sees at its sender terminal, ohms to its minus by its own volts (leads and shared
 * grounds included; INFINITY: open), and what its needle shows there by its own scale, in the unit
 * of that scale; NAN when it is not a gauge, is not fed or has no scale. */
double
pl_gauge_ohms(const struct pl_harness *harness, const struct pl_solution *solution, pl_id gauge);
double pl_gauge_ohms_at(const struct pl_harness *harness,
                        pl_id gauge,
                        double plus,
                        double minus,
                        double signal); /* at these volts */
void pl_gauge_pins(const struct pl_harness *harness,
                   pl_id gauge,
                   pl_id *plus,
                   pl_id *minus,
                   pl_id *signal); /* PL_NONE where it has none */
double
pl_gauge_reading(const struct pl_harness *harness, const struct pl_solution *solution, pl_id gauge);

/* Warm resistance of a wire without contacts: rho20 x length x (234.5 + T)/254.5 at the hottest
 * place on its way. */
double pl_wire_copper_ohms(const struct pl_wire *wire);

#endif
