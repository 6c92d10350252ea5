/* Inside the network room: the parts of struct pl_network, what drives an element in a state, and
 * one trial of modes. Nobody outside includes this. */
#ifndef PL_NETWORK_INNER_H
#define PL_NETWORK_INNER_H

#include "network/network.h"
#include "network/sparse.h"
#include "standard/defaults.h"

/* What decides, in a state, whether and how an element conducts. */
enum pl_drive_kind {
  PL_DRIVE_NONE,       /* always as it is */
  PL_DRIVE_THROW,      /* the device stands in position `index` */
  PL_DRIVE_MAKE,       /* the device's coil is pulled in */
  PL_DRIVE_BREAK,      /* it is not */
  PL_DRIVE_OUTPUT,     /* output pin `index` is on and its module awake */
  PL_DRIVE_SUPPLY,     /* sensor supply: module awake and fed */
  PL_DRIVE_PULL,       /* pull-up to a regulated voltage: 0 V unless the module is awake and fed */
  PL_DRIVE_DRAW,       /* `awake` or `asleep` amps */
  PL_DRIVE_ALTERNATOR, /* turning and excited: `asleep` is its limit at idle, `awake` at speed */
  PL_DRIVE_EXCITER,    /* turning and excited */
  PL_DRIVE_STANDING,   /* not so */
  PL_DRIVE_LEVEL,      /* always; ohms by the quantity that the state names (condition.c) */
  PL_DRIVE_UPPER,      /* the part of a three-wire sensor towards its supply, */
  PL_DRIVE_LOWER,      /* and towards its return; `awake`: ohms of both together */
  PL_DRIVE_NEVER       /* broken: open in every state */
};

struct pl_drive {
  enum pl_drive_kind kind;
  uint32_t index;
  double awake, asleep;
  bool blocks; /* a source that takes no current back */
};

enum pl_mode {
  PL_MODE_OPEN,     /* nothing, as its drive says */
  PL_MODE_CONDUCTS, /* amps = (volts across - offset) / ohms */
  PL_MODE_STEADY,   /* a current element at its amps, a source at its limit */
  PL_MODE_BLOCKS    /* a diode or one-way source held off */
};

struct pl_trial;
struct pl_sweep;
struct pl_bands;

struct pl_heat {     /* of a wire */
  double ohms20;     /* its copper at 20 degC */
  double around;     /* degC of the hottest place on its way */
  double per_square; /* degC that one ampere squared adds; 0: not known */
};

/* By element: what a part at one end of its tolerance has more or less than the described one
 * (band.c). */
struct pl_shift {
  double *ohms, *volts, *times;
}; /* added; added; amps and watts multiplied */

struct pl_held {
  pl_id device;
  bool on;
}; /* stuck pulled in, or stuck out, whatever its coil says */

struct pl_network {
  const struct pl_harness *harness;
  struct pl_arena *arena;
  uint32_t node_count, reference;              /* reference PL_NONE: no battery */
  uint32_t *pin_node, *node_pin, *node_device; /* node_pin PL_NONE inside a module */
  uint32_t *inner_ground, *inner_feed;         /* by device: nodes inside a module, else PL_NONE */
  uint32_t *main;       /* by device: the element whose volts and amps stand for it, else PL_NONE */
  uint32_t *coil;       /* by device: the element that pulls it in, else PL_NONE */
  uint32_t *reset_coil; /* by device: the coil that resets a latching relay, else PL_NONE */
  uint32_t *standing; /* by device: an alternator's exciter while it is not excited, else PL_NONE */
  pl_ids alternators, conditioned; /* devices; conditioned: batteries, sensors, senders */
  PL_VEC(uint32_t) powers;         /* elements of steady power; drive `awake`: rated volts */
  struct pl_heat *heat;            /* by wire */
  const double *wires_at;          /* by wire, degC that the copper is held at (say, a solution's
                                      wire_temperature: a fault has not          warmed it yet); NULL:
                                      temperature and          current are solved together */
  uint32_t *wire_element;          /* by wire; PL_NONE: it joins nothing */
  PL_VEC(struct pl_element) elements;
  PL_VEC(struct pl_drive) drives; /* same indices */
  uint32_t *touch_start, *touch; /* elements at a node: touch[touch_start[n]..touch_start[n+1]); not
                                    those with both ends at it */
  uint32_t loose;                /* an element that was put in since the lists were made; PL_NONE */
  struct pl_sparse *sparse;      /* made at the first solve, like all below */
  struct pl_trial *trial;
  bool *told;                   /* by device: its floating source or buzzing is reported */
  const struct pl_held *held;   /* a relay or starter that is stuck; NULL: none is */
  const struct pl_shift *shift; /* parts at the ends of their tolerances; NULL: all as described */
  void (*watch)(void *context,
                const struct pl_trial *trial); /* told each time the modes rest, before relays and
                                                  modules move; may be NULL */
  void *watch_context;
  struct pl_sweep *sweep; /* fault_sweep.c: made at the first fault; NULL */
  struct pl_bands *bands; /* band.c: made at the first band; NULL */
};

struct pl_branch {
  uint32_t element, a, b;
  double siemens, offset, fixed;
}; /* of step.c: amps = siemens * (volts a above b - offset) + fixed */

/* One state being worked on; the arrays are the network's own and used again for the next state. */
struct pl_trial {
  struct pl_network *network;
  const struct pl_state *state;
  struct pl_element *elements; /* the solution's */
  uint32_t *position;          /* by device */
  bool *output_on;             /* by pin */
  uint8_t *mode;               /* by element, enum pl_mode */
  bool *reached;               /* by node */
  bool *forced; /* by element: made to conduct by the search, whatever its volts ask for */
  bool *hops, *hops_again; /* by device: it moves in a cycle */
  bool *on, *fed;          /* by device: pulled in or awake; a module's feeds are up */
  uint32_t *switching;     /* devices with something in `on`, in order */
  uint32_t switching_count;
  struct pl_branch *branches; /* what conducts in the modes of the last solve */
  uint32_t branch_count;
  uint32_t *moded, moded_count; /* elements of the kinds that have modes */
  double
      *tangent; /* by element of steady power: the volts about which its law is taken as a line */
  double *warm; /* by wire: degC of its copper */
  double *warm_before, *target_before; /* the round before */
  double *high, *low; /* by node: volts as the sum of two numbers, so that tiny currents beside
                         great ones close too */
  double *balance, *largest;  /* by node: amps left over, largest current through it */
  double *unknown;            /* by row */
  uint32_t *queue, *deferred; /* of the search */
  uint8_t *
      *sets; /* the sets of `on` and `fed` seen in this state, PL_LIMIT_MODES + 1 of them at most */
  double worst;        /* relative Kirchhoff error of the last solve */
  uint32_t worst_node; /* where; or where it was singular; PL_NONE */
  uint32_t steps;
};

/* elements.c, module.c */
void pl_network_build(struct pl_network *network);
uint32_t pl_network_add(struct pl_network *network,
                        struct pl_element element,
                        struct pl_drive drive); /* PL_NONE: joins nothing */
uint32_t pl_network_add_node(struct pl_network *network, pl_id pin, pl_id device);
void pl_network_add_module(struct pl_network *network, pl_id device);
struct pl_element pl_element_at(const struct pl_network *network,
                                enum pl_element_kind kind,
                                pl_id device,
                                const char *what,
                                pl_id pin_a,
                                pl_id pin_b,
                                double ohms);
double pl_network_supply(const struct pl_harness *harness,
                         const struct pl_device *device); /* nominal volts of a device */
double pl_first_good(double first, double second);        /* the first that is a number above 0 */

/* islands.c: which nodes the conducting elements join to the reference.  Where only a current
 * element, a held-off source or a diode leads on, that one is made to conduct, so that no node
 * hangs on a current source alone. */
void pl_islands_search(struct pl_trial *trial);
uint32_t pl_islands_reference(
    const struct pl_network *network); /* the node at 0 V, from batteries and wires; PL_NONE */

/* amps from a to b, from the volts of the trial; offset of an element that conducts */
double pl_trial_amps(const struct pl_trial *trial, uint32_t element);
double pl_trial_volts(const struct pl_trial *trial, uint32_t a, uint32_t b);
double pl_trial_siemens(
    const struct pl_trial *trial,
    uint32_t element); /* change of amps with volts: what is stamped; below 0 for steady power */
bool pl_trial_turning(
    const struct pl_trial *trial); /* the engine turns the alternator fast enough to charge */

/* condition.c */
void pl_trial_condition(
    struct pl_trial *trial); /* the state's conditions into the figures of the elements */
void pl_trial_rest(struct pl_trial *trial); /* relays, modules, alternators as they start out */

/* heat.c */
struct pl_heat pl_heat_of(const struct pl_wire *wire,
                          const struct pl_wire *before,
                          const struct pl_heat *of_before); /* the wire before it; NULL: none */
void pl_heat_begin(struct pl_trial *trial);                 /* every wire as warm as its place */
double pl_heat_step(struct pl_trial *trial); /* temperatures and ohms after the amps; the largest
                                                relative change of ohms */

/* step.c */
enum pl_step {
  PL_STEP_GOOD,
  PL_STEP_SINGULAR,
  PL_STEP_OPEN_SUM,
  PL_STEP_NO_MEMORY
};
void pl_trial_drive(struct pl_trial *trial); /* drives into elements and modes */
void pl_trial_drive_one(struct pl_trial *trial, uint32_t element);
enum pl_step pl_trial_solve(struct pl_trial *trial); /* one linear solve of the modes as they are */
enum pl_mode
pl_trial_wanted(const struct pl_trial *trial,
                uint32_t element); /* the mode its volts ask for; its own when it has but one */
enum pl_step pl_trial_again(struct pl_trial *trial); /* the same after small changes of figures, on
                                                        the factors that are there */
double pl_trial_tangents(struct pl_trial *trial);    /* laws of steady power about the volts of now;
                                                        the largest relative error that was */
bool pl_trial_flip(
    struct pl_trial *trial,
    bool all); /* modes that disagree with the volts: all of them, or the first; false: none */

/* solve.c */
bool pl_trial_move(
    struct pl_trial *trial,
    bool all); /* relays and modules that disagree with the volts move; false: none */
void pl_network_solve_again(
    struct pl_network *network,
    const struct pl_state *state,
    struct pl_solution *solution,
    struct pl_findings *findings); /* as pl_network_solve_as, into the arrays the solution has */

/* elements.c */
void pl_network_touch(
    struct pl_network *network); /* lists the elements at each node; again after an end was moved */

/* fault_sweep.c */
void pl_sweep_release(struct pl_sweep *sweep);

/* band.c */
void pl_bands_release(struct pl_bands *bands);

/* path.c: the node at the source's end of the way from a pin, see pl_solution_path; PL_NONE when no
 * current flows */
uint32_t pl_path_end(const struct pl_network *network,
                     const struct pl_solution *solution,
                     pl_id pin,
                     bool to_minus);

/* result.c */
void pl_solution_fill(const struct pl_trial *trial, struct pl_solution *solution);
void pl_solution_room(const struct pl_network *network,
                      struct pl_solution *solution); /* its arrays, where it has none */
void pl_solution_blank(const struct pl_network *network,
                       struct pl_solution *solution); /* nothing is solved: everything floats */
void pl_report_buzz(struct pl_trial *trial,
                    const bool *hops,
                    bool race,
                    struct pl_findings *findings);
void pl_report_floating(struct pl_trial *trial, struct pl_findings *findings);
void pl_report_failure(struct pl_trial *trial, const char *why, struct pl_findings *findings);

#endif
