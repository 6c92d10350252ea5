/* Inside the prove room: the network as joints and branches, one combination of it, and the cone of
 * a subject.  Nobody outside includes this. */
#ifndef PL_PROVE_INNER_H
#define PL_PROVE_INNER_H

#include "prove/prove.h"

enum pl_branch {
  PL_BRANCH_JOINT, /* always joins: wire, fuse, inline contact, bond */
  PL_BRANCH_THROW, /* joins in some positions of its switch */
  PL_BRANCH_MAKE,  /* joins while its device is pulled in */
  PL_BRANCH_BREAK,
  PL_BRANCH_OUTPUT,   /* joins while output pin_a is on and the module awake */
  PL_BRANCH_MOTOR,    /* a starter's motor: passes current while pulled in */
  PL_BRANCH_LOAD,     /* passes current either way: load, coil, resistor, sensor, draw */
  PL_BRANCH_STANDING, /* the same, while the alternator is not excited */
  PL_BRANCH_DIODE,    /* from node_a to node_b only */
  PL_BRANCH_BATTERY,  /* a source: its unearthed end is live */
  PL_BRANCH_TURNING,  /* alternator: live while it turns */
  PL_BRANCH_EXCITER,  /* feeds node_a weakly while it turns */
  PL_BRANCH_SUPPLY,   /* feeds node_a weakly while its module is awake */
  PL_BRANCH_PULL      /* the same, else a load to ground */
};

enum {
  PL_POLE_LIVE = 1,
  PL_POLE_EARTH = 2
};

enum pl_factor_kind {
  PL_FACTOR_SWITCH,
  PL_FACTOR_OUTPUT,
  PL_FACTOR_LATCH,
  PL_FACTOR_ENGINE
};
/* What a combination gives a value: the term of combinatorial testing (NIST SP 800-142). */
struct pl_factor {
  enum pl_factor_kind kind;
  pl_id id;             /* device, pin, or PL_NONE */
  uint32_t value_count; /* positions of a switch, else 2: off and on */
  uint32_t at_rest;     /* the value that it has at rest */
  bool tell;            /* said even at rest */
};

/* One combination; what is in no cone stands at rest. */
struct pl_look {
  uint32_t *position;    /* by device */
  bool *output_on, *set; /* by pin; by latching relay */
  bool turning;
  const struct pl_fault *fault; /* NULL: nothing is broken */
  /* found: */
  bool shorted, unsure; /* the poles meet with no load between; a coil or input gets some part of
                           its volts, only the solver can tell */
  bool *on;             /* by device: firmly pulled in or awake */
  bool *doubted;        /* by device: got some part of its volts on the way there; it may hang on */
  uint32_t departures;  /* from rest */
};

struct pl_ask { /* what is closed on the usual way of a subject's current, in one declared state */
  PL_VEC(uint32_t) elements; /* throws, makes, breaks, outputs on it */
  bool clean;                /* it goes through no other load */
};

struct pl_subject {
  pl_id device, pin; /* as in pl_sneak */
  uint32_t element;  /* of the load, coil or input */
  bool to_minus;     /* an input that is asked by a way to ground */
  PL_VEC(struct pl_ask) asks;
};

struct pl_proof {
  const struct pl_harness *harness;
  struct pl_network *network;
  const struct pl_solution *solutions;
  struct pl_arena *arena;
  const struct pl_element *elements;
  uint32_t element_count, node_count, reference;
  uint8_t *branch;    /* by element */
  bool **closed_in;   /* by element of a throw: by position */
  uint32_t *coil;     /* by device: the element of its coil, PL_NONE */
  uint32_t *ground;   /* by device: a module's node of ground inside, PL_NONE */
  pl_ids switching;   /* relays, starters, modules: whatever can be on */
  pl_ids *wakes;      /* by device: keyed inputs of a module */
  pl_ids *feeds;      /* by device: battery feeds with which a module runs */
  pl_ids moving;      /* elements of throws, makes, breaks, outputs */
  pl_ids disconnects; /* of these: of battery disconnects */
  pl_ids sources;     /* elements of batteries and alternators */
  /* by node, nets of joints alone (disconnects at rest count as joints); renewed for each fault: */
  uint32_t *net, net_count;
  uint32_t *net_a, *net_b;       /* by element */
  uint32_t *identity;            /* 0, 1, 2 ...: roots to begin with */
  uint8_t *base[2];              /* poles to begin with, by net: alternators standing, turning */
  uint32_t *start, *around;      /* elements that are no joints, by net */
  bool *live_rail, *earth_rail;  /* by net: joined to a source's unearthed end, or the reference,
                                    whatever the switches do */
  bool *broken;                  /* by element: open by the fault */
  uint32_t *root;                /* by net, of one look */
  uint8_t *pole;                 /* by root: 1 live, 2 earth */
  uint32_t *queue, *mark, stamp; /* of walks */
  uint32_t *net_seen, *device_seen, *element_seen, cone_stamp; /* of the cone being made */
  uint8_t *usual; /* by element: 1 = carries current from a to b in some declared state, 2 = from b
                     to a */
  struct pl_look look;
  struct pl_state asked;     /* the combination last handed to the network */
  struct pl_solution exact;  /* of the last healthy combination solved */
  struct pl_solution faulty; /* of the last one solved under a fault; its arrays are used again */
  pl_faults faults;     /* the harness's single faults but higher resistances, once asked for */
  uint32_t sets;        /* of combinations looked at so far */
  uint32_t solves;      /* combinations handed to the network so far */
  pl_ids watch, active; /* of the cone at hand: devices that can be on, elements of `moving` */
  bool dead_at_rest;    /* the poles meet with everything at rest */
  struct pl_broken **proven;      /* by requirement; made when first asked for */
  struct pl_positions *positions; /* made when first asked for */
};
enum {
  PL_PROVE_SOLVES =
      4000, /* of one run; beyond that what only the network can tell is not decided */
  PL_PROVE_SETS = 100000, /* of one run; beyond that a question may only have few */
  PL_PROVE_FEW_SETS = 500
};

static inline enum pl_branch pl_branch_at(const struct pl_proof *proof, uint32_t element) {
  return (enum pl_branch)proof->branch[element];
}

/* A contact of a switch or relay: it joins in some combinations. */
static inline bool pl_branch_is_contact(enum pl_branch branch) {
  return branch == PL_BRANCH_THROW || branch == PL_BRANCH_MAKE || branch == PL_BRANCH_BREAK;
}

/* ... or an output, which does so too. */
static inline bool pl_branch_moves(enum pl_branch branch) {
  return pl_branch_is_contact(branch) || branch == PL_BRANCH_OUTPUT;
}

/* A battery or alternator. */
static inline bool pl_branch_is_source(enum pl_branch branch) {
  return branch == PL_BRANCH_BATTERY || branch == PL_BRANCH_TURNING;
}

/* The net at the other end of an element, numbered without a fault. */
static inline uint32_t
pl_proof_far_net(const struct pl_proof *proof, uint32_t element, uint32_t net) {
  uint32_t a = proof->net[proof->elements[element].node_a];
  if (a != net)
    return a;
  return proof->net[proof->elements[element].node_b];
}

/* model.c */
void pl_proof_nets(struct pl_proof *proof, const struct pl_fault *fault);
const pl_faults *pl_proof_faults(struct pl_proof *proof);

/* look.c: the quick look */
/* The fault of the look when it is of this kind and in this device; NULL. */
const struct pl_fault *
pl_prove_fault_at(const struct pl_proof *proof, enum pl_fault_kind kind, pl_id device);
uint8_t pl_prove_plus(const struct pl_proof *proof); /* the pole that is plus */
void pl_look(struct pl_proof *proof);                /* proof->look in, found out */
bool pl_look_is_firm(const struct pl_proof *proof,
                     uint32_t element); /* between live and earth through contacts alone */
bool pl_look_may_carry(
    struct pl_proof *proof,
    uint32_t element); /* on some way from live to earth, if only through other loads */
bool pl_look_may_be_live(struct pl_proof *proof, uint32_t node);
bool pl_look_may_be_earthed(struct pl_proof *proof, uint32_t node);
bool pl_look_closed(const struct pl_proof *proof,
                    uint32_t element); /* a throw, make, break or output conducts */
const struct pl_solution *
pl_look_solve(struct pl_proof *
                  proof); /* the same combination by the network, under its fault; NULL: too many */

/* Looks once more, with what the solution says is pulled in; for a look that was unsure.  False:
 * the poles meet with no load between. */
bool pl_look_as_solved(struct pl_proof *proof, const struct pl_solution *solution);
/* Do they meet anywhere in the machine, outside the cone too? */
bool pl_look_shorts_elsewhere(struct pl_proof *proof, const struct pl_solution *solution);

/* cone.c */
struct pl_cone {
  PL_VEC(struct pl_factor) factors;
  pl_ids held;   /* outputs that stand on in every combination */
  pl_ids nets;   /* as numbered without a fault */
  pl_ids watch;  /* relays, starters and modules in it */
  pl_ids active; /* elements of `moving` in it, and disconnects */
  pl_ids diodes; /* elements */
};
/* One cone is made at a time: between init and the last add no other is begun. */
void pl_cone_init(struct pl_proof *proof, struct pl_cone *cone);
void pl_cone_add_element(struct pl_proof *proof, struct pl_cone *cone, uint32_t element);
void pl_cone_add_node(struct pl_proof *proof, struct pl_cone *cone, uint32_t node);
void pl_cone_add_switch(struct pl_proof *proof, struct pl_cone *cone, pl_id device);
bool pl_prove_is_declared_on(const struct pl_harness *harness, pl_id pin);

/* combo_words.c: the combination of proof->look, in words */
const char *pl_combo_text(const struct pl_proof *proof, const struct pl_cone *cone);

/* keys.c: by net, the key that alone feeds it, PL_NONE */
pl_id *pl_prove_keyed_nets(struct pl_proof *proof);

/* misread.c */
struct pl_readings;
struct pl_readings *pl_readings_new(struct pl_proof *proof);
/* Appends gauges that go dead, and what reads wrong under the fault, ", " between. */
void pl_readings_judge(struct pl_proof *proof,
                       struct pl_readings *readings,
                       const struct pl_solution *healthy,
                       const struct pl_fault_view *view,
                       struct pl_buffer *dead,
                       struct pl_buffer *out);

/* way_words.c */
const char *
pl_prove_path(struct pl_proof *proof, const struct pl_solution *solution, pl_id pin, bool to_minus);
bool pl_prove_is_sneaky(struct pl_proof *proof,
                        const struct pl_solution *solution,
                        pl_id pin,
                        bool to_minus,
                        uint32_t subject,
                        bool reverse_counts);
pl_id pl_prove_crossing(struct pl_proof *proof,
                        const struct pl_solution *solution,
                        pl_id pin,
                        bool to_minus,
                        uint32_t subject);
double pl_prove_supply(const struct pl_harness *harness, const struct pl_device *device);

#endif
