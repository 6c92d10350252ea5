/* Single faults on a solved network: the machine with one thing broken, in one state, by low-rank
 * updates of one factorisation instead of a new one. Modes (relays, steady-current loads, diodes
 * ...) are settled again under the fault.  Checked against full re-solves in tests. */
#ifndef PL_FAULT_FAULT_H
#define PL_FAULT_FAULT_H

#include "network/ohms.h"

enum pl_fault_kind {
  PL_FAULT_OPEN,       /* wire, fuse, contact, load or coil does not conduct */
  PL_FAULT_RESISTANCE, /* `ohms` in series with a wire or contact */
  PL_FAULT_TO_CHASSIS, /* the node of pin_a joined to the reference by `ohms` */
  PL_FAULT_TO_BATTERY, /* the node of pin_a joined to the battery's unearthed post by `ohms` */
  PL_FAULT_SHORTED,    /* the nodes of pin_a and pin_b joined: two pins of one connector, or a load
                          shorted inside */
  PL_FAULT_STUCK_IN,   /* relay or starter pulled in whatever its coil says */
  PL_FAULT_STUCK_OUT,  /* ... never pulls in */
  PL_FAULT_STUCK_POSITION, /* switch held in `position` */
  PL_FAULT_STUCK_ON,       /* output always on */
  PL_FAULT_STUCK_OFF,
  PL_FAULT_UNPLUGGED, /* the connector of pin_a is off: all its wires open; of an inline pair, its
                         contacts */
  PL_FAULT_LOOSE,     /* `ohms` in series with every wire at `device` */
  PL_FAULT_DEAD       /* nothing in `device` (a module) conducts */
};

struct pl_fault {
  enum pl_fault_kind kind;
  pl_id wire, device; /* what is broken: one of them, or both PL_NONE for pins */
  pl_id pin_a, pin_b;
  uint32_t position;
  double ohms;
  const pl_id
      *blown; /* fuses that are open besides: the fault blew them.  Whoever asks owns the list */
  uint32_t blown_count;
};
typedef PL_VEC(struct pl_fault) pl_faults;

/* Every single fault worth asking for: each wire open, high in resistance, chafed to chassis and to
 * battery; fuses, contacts and relays stuck or open; neighbouring pins of one connector shorted;
 * outputs stuck.  In the order of the text. */
void pl_faults_list(const struct pl_harness *harness, struct pl_arena *arena, pl_faults *faults);

/* "wire 31 chafed to a live feed", "relay K2 stuck pulled in": for findings and tables. */
const char *pl_fault_text(const struct pl_harness *harness,
                          const struct pl_fault *fault,
                          struct pl_arena *arena);

/* The state solved under one fault, from rest; as pl_network_solve_as otherwise.  Full re-solve:
 * the reference for the fast way.  Wires are as warm as they were before the fault: it shows at
 * once, long before they warm up.  solution->elements has one more than a healthy solution: the
 * last one is the chafe or short itself ("fault"), open when the fault is none. */
void pl_network_solve_fault(struct pl_network *network,
                            const struct pl_state *state,
                            const struct pl_fault *fault,
                            struct pl_solution *solution);

/* The same with every wire at the temperature of its hottest place instead of its own warmth in the
 * healthy state: half the work, for questions of on or off.  Zero the solution before its first use
 * here; its arrays are used again. */
void pl_network_ask_fault(struct pl_network *network,
                          const struct pl_state *state,
                          const struct pl_fault *fault,
                          struct pl_solution *solution);

/* The fast way, for many faults in one state.  `each` is called once a fault, in order; what it is
 * handed is valid only during the call. */
struct pl_fault_view {
  const struct pl_fault *fault;
  enum pl_solve_status status;
  const double *node_volts;          /* NAN where it floats */
  const bool *device_on;             /* as in pl_solution */
  const struct pl_element *elements; /* amps and modes under the fault; elements the fault cannot
                                        reach keep their healthy values */
  uint32_t element_count;            /* the last element is the chafe or short itself, as in
                                        pl_network_solve_fault */
  const char
      *failure;   /* why, when status is not PL_SOLVED: then all volts are NAN and all amps 0 */
  bool in_full;   /* too much changes for the fast way: solved afresh */
  bool unchanged; /* nothing is otherwise than in the healthy state (it may be so without this being
                     said) */
};
typedef void (*pl_fault_fn)(void *context, const struct pl_fault_view *view);
void pl_network_sweep(struct pl_network *network,
                      pl_id state,
                      const struct pl_fault *faults,
                      uint32_t count,
                      pl_fault_fn each,
                      void *context);

/* An ohm-meter (ohms.h) on the machine with this fault, everything at rest and plugged in; the
 * fault is mended again before it returns. */
struct pl_meter *pl_meter_new_fault(struct pl_network *network,
                                    const struct pl_fault *fault,
                                    struct pl_arena *arena);

#endif
