/* The system of equations behind a network, for those that work on it themselves: its elements,
 * what drives them in a state, and one trial of modes.  Single faults do (fault/), with changes on
 * top of the same equations; whoever only wants volts and amps has network.h.
 *
 * A state is solved by one trial.  Every element is in a mode, in which it is linear; the modes are
 * stepped until the volts ask for no other (step.c), then relays and modules move (solve.c), and so
 * on until nothing does.  See Chua and Lin, "Computer-Aided Analysis of Electronic Circuits"
 * (1975), on piecewise-linear resistive networks. */
#ifndef PL_NETWORK_SYSTEM_H
#define PL_NETWORK_SYSTEM_H

#include "network/network.h"
#include "network/sparse_inner.h"
#include "standard/defaults.h"

/* What decides, in a state, whether and how an element conducts. */
enum pl_drive_kind {
  PL_DRIVE_NONE,       /* always as it is */
  PL_DRIVE_THROW,      /* the device stands in position `index` */
  PL_DRIVE_MAKE,       /* the device's coil is pulled in */
  PL_DRIVE_BREAK,      /* it is not */
  PL_DRIVE_OUTPUT,     /* output pin `index` is on and its module awake */
  PL_DRIVE_SUPPLY,     /* sensor supply: module awake */
  PL_DRIVE_PULL,       /* pull-up to a regulated voltage: 0 V unless the module is awake */
  PL_DRIVE_DRAW,       /* `awake` or `asleep` amps */
  PL_DRIVE_ALTERNATOR, /* turning and excited: `asleep` is its limit at idle, `awake` at speed */
  PL_DRIVE_EXCITER,    /* turning and excited */
  PL_DRIVE_STANDING,   /* not so */
  PL_DRIVE_QUANTITY,   /* always; ohms by the quantity that the state names (condition.c) */
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

/* What somebody else keeps with a network for as long as it lives. */
struct pl_attached {
  struct pl_attached *next;
  void *what;
  void (*release)(void *what); /* tells whose it is, too */
};

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
                                      wire_temperature: a fault has not warmed it yet); NULL:
                                      temperature and current are solved together */
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
  struct pl_attached *attached; /* what others keep with it, see pl_network_attach */
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
  bool *cycling, *cycling_again; /* by device: it moves in a cycle */
  bool *on, *fed;                /* by device: pulled in or awake; a module's feeds are up */
  uint32_t *switching;           /* devices with something in `on`, in order */
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

/* ---- the network ---- */

/* Keeps `what` with the network; pl_network_release calls `release` for it. */
void pl_network_attach(struct pl_network *network, void *what, void (*release)(void *what));
/* What was kept with that `release`; NULL: nothing yet. */
void *pl_network_attached(const struct pl_network *network, void (*release)(void *what));

/* Lists the elements at each node; again after an end was moved. */
void pl_network_touch(struct pl_network *network);

/* The numbering of unknowns: one for each node but the reference, which has none. */
static inline uint32_t pl_row_of(const struct pl_network *network, uint32_t node) {
  if (node == network->reference)
    return PL_NO_ROW;
  return node - (node > network->reference);
}

/* ---- a trial ---- */

/* Volts of a above b; NAN where either floats. */
double pl_trial_volts(const struct pl_trial *trial, uint32_t a, uint32_t b);

/* Amps from a to b through the element, from the volts of the trial. */
double pl_trial_amps(const struct pl_trial *trial, uint32_t element);

/* Puts the element's drive into its figures and mode. */
void pl_trial_drive_one(struct pl_trial *trial, uint32_t element);

/* May the element have more than one mode? */
bool pl_trial_has_modes(const struct pl_trial *trial, uint32_t element);

/* The mode its volts ask for; its own when it has but one. */
enum pl_mode pl_trial_wanted(const struct pl_trial *trial, uint32_t element);

/* Moves relays and modules that disagree with the volts: all of them, or the first alone.  False:
 * none does. */
bool pl_trial_move(struct pl_trial *trial, bool all);

/* Which nodes the conducting elements join to the reference.  Where only a current element, a
 * held-off source or a diode leads on, that one is made to conduct, so that no node hangs on a
 * current source alone. */
void pl_islands_search(struct pl_trial *trial);

/* Are both ends of the element joined to the reference? */
static inline bool pl_trial_reaches(const struct pl_trial *trial, const struct pl_element *e) {
  return trial->reached[e->node_a] && trial->reached[e->node_b];
}

/* Is it a load of steady power that takes its watts, and not less, below its knee? */
static inline bool pl_trial_is_power(const struct pl_trial *trial, uint32_t k) {
  const struct pl_element *e = &trial->elements[k];

  return trial->mode[k] == PL_MODE_STEADY && e->watts > 0 && pl_trial_reaches(trial, e);
}

/* The elements at a node, one behind the other: from pl_touch_first on, up to pl_touch_end. */
static inline const uint32_t *pl_touch_first(const struct pl_network *network, uint32_t node) {
  return network->touch + network->touch_start[node];
}

static inline const uint32_t *pl_touch_end(const struct pl_network *network, uint32_t node) {
  return network->touch + network->touch_start[node + 1];
}

/* The end of the element that is not `node`. */
static inline uint32_t pl_element_other(const struct pl_element *e, uint32_t node) {
  return e->node_a == node ? e->node_b : e->node_a;
}

#endif
