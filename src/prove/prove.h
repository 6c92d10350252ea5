/* Proofs over combinations: every position of the switches and every output that can matter for a
 * thing, engine stopped and running, with and without a single fault.  A quick look at who is
 * joined to whom decides most combinations; what it cannot decide the network solves. It knows the
 * model and the network, no rules and no syntax.  How it thinks and what it leaves out:
 * docs/rules.md. */
#ifndef PL_PROVE_PROVE_H
#define PL_PROVE_PROVE_H

#include "fault/fault.h"

struct pl_proof; /* the harness prepared; one for a run, made once */

/* `solutions`: one for each declared state, in order.  All live in `arena`; the network is used to
 * solve combinations. */
struct pl_proof *pl_proof_new(const struct pl_harness *harness,
                              struct pl_network *network,
                              const struct pl_solution *solutions,
                              struct pl_arena *arena);

/* The certificate of a proof: what it says holds for all combinations there are, or not for all,
 * and why. */
struct pl_covered {
  double there_are; /* combinations of everything that can matter */
  uint32_t sets;    /* sets of combinations that were looked at to decide all of them */
  uint32_t solved;  /* combinations that the network was asked for */
  bool all;         /* every combination is decided */
  bool counted;     /* ... and those that were found are all counted; else there are more */
  const char *why;  /* when not all: what was left undecided; else "" */
};

/* ---- current that nothing asks for ---- */

struct pl_sneak {
  pl_id device,
      pin;       /* a load, relay or starter (pin PL_NONE), or a module's keyed or switch input */
  double figure; /* amps of a load, volts across a coil or on an input */
  double limit;  /* from which it counts as energised */
  const char *unit;
  const char *combination; /* "KEY in off, engine running" */
  const char *path;        /* "ALT.D+, wire 20, lamp H1 backwards, wire 18" */
  pl_id via;               /* the load on that way through which it comes; PL_NONE */
  double others;           /* further combinations with the same */
  bool undecided;          /* nothing was found, but not all is decided: nothing else is said */
  struct pl_covered covered;
};
typedef PL_VEC(struct pl_sneak) pl_sneaks;
void pl_prove_sneaks(struct pl_proof *proof, pl_sneaks *sneaks);

/* A net that only a key feeds, live with that key at rest. */
struct pl_keyed_live {
  pl_id key, pin; /* the switch; a keyed input on the net, else its first pin */
  double volts;
  const char *combination, *path;
  double others;
  struct pl_covered covered; /* not all and volts 0: nothing was found, but not all is decided */
};
typedef PL_VEC(struct pl_keyed_live) pl_keyed_lives;
void pl_prove_keyed(struct pl_proof *proof, pl_keyed_lives *found);

/* ---- requirements ---- */

struct pl_broken {
  bool broken;
  pl_id state;    /* the declared state it is broken in, else PL_NONE */
  bool by_output; /* only outputs that no declared state has on so break it: a module's program may
                     prevent it */
  const char *combination, *path; /* path "" when the subject is off */
  uint32_t departures;            /* of the combination, from rest: none has fewer */
  double others;                  /* further combinations that break it */
  struct pl_covered covered;
};
void pl_prove_require(struct pl_proof *proof, uint32_t require, struct pl_broken *broken);

/* The same, proven once for a run and kept. */
const struct pl_broken *pl_proof_of(struct pl_proof *proof, uint32_t require);

enum pl_proof_result {
  PL_PROOF_PROVEN,
  PL_PROOF_BROKEN,
  PL_PROOF_OPEN /* not proven: not every combination is decided */
};
enum pl_proof_result pl_prove_result(const struct pl_broken *broken);

/* "proven for all 6,140 combinations of positions", "broken with KEY in off", "not proven: ...". */
const char *pl_prove_certificate(struct pl_proof *proof, uint32_t require);
/* "STARTER off unless RANGE in neutral" */
const char *
pl_prove_require_text(const struct pl_harness *harness, uint32_t require, struct pl_arena *arena);
/* "6,140"; beyond a thousand million in words. */
const char *pl_prove_count_text(struct pl_arena *arena, double count);

struct pl_defeat {
  uint32_t require; /* index in harness->requires */
  struct pl_fault fault;
  const char *fault_text, *combination;
};
typedef PL_VEC(struct pl_defeat) pl_defeats;

/* Which single faults defeat a requirement.  Of one that something is on: only by what breaks a way
 * in its cone, in any combination; what blows a fuse or cuts a main feed is told for declared
 * states by pl_prove_switches_off.  Faults of wires and devices of its cone; equal conditions are
 * tried once.  `covered`: of the fault with the most combinations; sets and solved of all.
 * `undecided`: faults that could not be decided in every combination. */
void pl_prove_defeats(struct pl_proof *proof,
                      uint32_t require,
                      pl_defeats *defeats,
                      struct pl_covered *covered,
                      uint32_t *undecided);

/* ---- the most that a fuse may carry ---- */

struct pl_worst_load {
  double rated; /* sum of the rated amps of all that is on behind it in the worst combination;
                   what hangs behind other loads counts in full */
  double amps;  /* as the network solves that combination; NAN where it could not */
  pl_ids loads; /* devices that are on */
  const char *combination;
  struct pl_covered covered; /* all: no combination has a larger sum */
};

/* Over every position of every switch, output and engine, not only declared states. */
void pl_prove_worst(struct pl_proof *proof, pl_id protection, struct pl_worst_load *worst);

/* ---- what each fault does ---- */

struct pl_effect {
  struct pl_fault fault;
  pl_id state;
  const char *what;           /* the fault: "wire 31 open" */
  const char *stops, *starts; /* "E1, M2": loads, relays, modules, gauges that stop or start; "" */
  const char *opens;          /* fuses above their rating; "" */
  const char *warns;          /* warning lamps and buzzers that come on; "" */
  const char *misreads; /* "ECM.A7 sees 5 V for 2.31 V, P1 shows 100 % for 45 %": inputs and gauges
                           more than 5 % of their volts or 10 % of their dial off; "" */
  pl_ids stopped;       /* the devices of `stops`, gauges left out */
  bool solved;          /* false: it could not be solved, nothing else is said */
};
typedef PL_VEC(struct pl_effect) pl_effects;

/* One row for each fault and state that changes anything, faults in the order of the text, then
 * states.  Of the harness's faults all but higher resistances, and for a wire the end it starts
 * from; each module dead and each connector off besides. */
void pl_prove_effects(struct pl_proof *proof, pl_effects *effects);

/* The same for some faults only: of a donor wire that may go, PL_FAULT_OPEN; they cost a sweep in
 * each state, not the whole table. */
void pl_prove_effects_of(struct pl_proof *proof, const pl_faults *faults, pl_effects *effects);

/* Which single faults switch off what a requirement wants on, in a declared state in which it must
 * be on: rows of `effects`, each fault once. */
typedef PL_VEC(const struct pl_effect *) pl_effect_rows;
void pl_prove_switches_off(const struct pl_proof *proof,
                           uint32_t require,
                           const pl_effects *effects,
                           pl_effect_rows *rows);

#endif
