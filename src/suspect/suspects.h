/* What is wrong with the machine: every single fault (and faults that share a cause) is a suspect,
 * and what a meter, an eye or an ear finds under each of them is one row of a table of whole
 * numbers.  Readings then weigh the suspects (weigh.h); nothing is solved any more.  The same table
 * goes to the shop page, so that a small script there finds the same ranking.  Formulas and the
 * table's form: docs/troubleshooting.md.
 *
 * A question is one reading that can be taken; its answer is a whole number:
 *   PL_ASK_VOLTS   volts from a pin to the battery's earthed post in a state, everything plugged
 *                  in: units of `volt` (10 mV, coarse enough to compress, fine enough for any
 *                  meter); PL_ANSWER_OPEN: nothing joins the pin to anything
 *   PL_ASK_RUNS    a load, relay, starter or module in a state: 0 dead, 1 weakly, 2 as it should
 *   PL_ASK_WARM    a fuse in a state: 0 cold, 1 warm
 *   PL_ASK_LOOK    everything in a state at once: a number for what all loads do together, 0 as it
 *                  should
 *   PL_ASK_FUSE    a fuse: 0 good, 1 blown.  Fuses that any state blows under a fault are blown in
 *                  all of them
 *   PL_ASK_PANEL   all fuses at a place at once: a number for which are blown together, 0 none
 *   PL_ASK_REFIT   a new fuse (better a lamp in its place): 0 it holds (the lamp stays dim) in
 *                  every state, else 1 + the first state in which not
 *   PL_ASK_SEARCH  the meter clipped from behind a fuse (or from the live cable, taken off the
 *                  battery) to chassis, power off, fuses out, and all that hangs there unplugged
 *                  one after the other: 0 no short; 1 + the first wire of the piece (wires joined
 *                  by splices) that has it; or what a device has inside: 1 + wires + device
 *   PL_ASK_WIRE    ohms of a wire from end to end, power off, both ends off: thousandths of
 *                  log10(ohms + leads); open counts as OPEN_OHMS
 *   PL_ASK_LEAK    ohms from a wire taken off at one end, and all that hangs on its other end, to
 *                  chassis; power off, fuses out; likewise
 *   PL_ASK_INSIDE  ohms of a load, coil, sensor, resistor or terminator, unplugged, likewise
 *   PL_ASK_BETWEEN ohms between a data link's high pin and the low one beside it, power off,
 *                  everything plugged in, likewise
 *   PL_ASK_LINK    a module or diagnostic connector on a data link: 0 it is heard, 1 not
 *   PL_ASK_GAUGE   a gauge in a state: the ohms its needle shows on its own scale, likewise;
 *                  PL_ANSWER_OPEN: it is not fed and shows nothing */
#ifndef PL_SUSPECT_SUSPECTS_H
#define PL_SUSPECT_SUSPECTS_H

#include "base/buffer.h"
#include "fault/fault.h"

enum pl_ask {
  PL_ASK_VOLTS,
  PL_ASK_RUNS,
  PL_ASK_WARM,
  PL_ASK_LOOK,
  PL_ASK_FUSE,
  PL_ASK_PANEL,
  PL_ASK_REFIT,
  PL_ASK_SEARCH,
  PL_ASK_WIRE,
  PL_ASK_LEAK,
  PL_ASK_INSIDE,
  PL_ASK_BETWEEN,
  PL_ASK_LINK,
  PL_ASK_GAUGE
};
enum {
  PL_ASK_COUNT = PL_ASK_GAUGE + 1
};

/* Unknown: that state has no solution under the fault. */
enum {
  PL_ANSWER_OPEN = -32768,
  PL_ANSWER_UNKNOWN = -32767
};

struct pl_question {
  enum pl_ask ask;
  pl_id state; /* PL_NONE: power off, or none */
  pl_id id;    /* pin, device, wire, place; BETWEEN: the high pin; LEAK: wire x 2 + the end that is
                  off; LOOK: the state */
  double effort;   /* minutes; INFINITY: never advised, only taken when told */
  int16_t healthy; /* the answer when nothing is broken */
};

enum pl_suspect_kind {
  PL_SUSPECT_FAULT,     /* a single fault of network/fault.h */
  PL_SUSPECT_BATTERY,   /* `device` weak */
  PL_SUSPECT_MODULE,    /* `device` dead */
  PL_SUSPECT_UNPLUGGED, /* `connector` off */
  PL_SUSPECT_JOINT      /* all wires at `device` high in resistance */
};

struct pl_suspect {
  enum pl_suspect_kind kind;
  struct pl_fault fault;
  pl_id device, connector;
  const char *text;      /* "wire 31 chafed to chassis" */
  const char *where;     /* "rear of the frame", "dash to gearbox"; "" */
  double weight;         /* prior; only ratios matter */
  uint32_t first, count; /* of its variants: a high resistance may be more or less.  The first is
                            the usual one */
};

struct pl_variant {
  double share; /* of its suspect's weight; a suspect's shares sum to 1 */
  uint32_t first,
      count; /* of its entries: answers that differ from the healthy ones, by question */
};

struct pl_suspects {
  struct pl_arena *arena;
  const struct pl_harness *harness;
  const char *digest;                  /* of the text it was made from */
  double volt;                         /* volts of one unit of a volts answer */
  uint32_t *question_of[PL_ASK_COUNT]; /* [id], or [state * ids + id] of what is asked in a state;
                                          PL_NONE where there is none */
  PL_VEC(struct pl_question) questions;
  PL_VEC(struct pl_suspect) suspects;
  PL_VEC(struct pl_variant) variants;
  PL_VEC(uint32_t) entry_questions; /* parallel */
  PL_VEC(int16_t) entry_answers;
  const char *packed; /* the answers packed, kept by _save and _load; NULL */
  size_t packed_size;
};

/* Questions, suspects and their texts, without answers: what the text alone says.  The harness must
 * outlive it; memory is the arena's. */
void pl_suspects_list(const struct pl_harness *harness,
                      struct pl_arena *arena,
                      struct pl_suspects *table);

/* All answers.  Solves every fault in every state: the slow part.  `solutions`: the healthy states,
 * as many as the harness has. */
void pl_suspects_solve(struct pl_suspects *table,
                       struct pl_network *network,
                       const struct pl_solution *solutions);

/* The whole in one go. */
void pl_suspects_make(const struct pl_harness *harness,
                      struct pl_network *network,
                      const struct pl_solution *solutions,
                      struct pl_arena *arena,
                      struct pl_suspects *table);

/* What the variant answers: its entry, else the healthy answer.  variants.n: nothing is broken. */
int16_t pl_suspects_answer(const struct pl_suspects *table, uint32_t variant, uint32_t question);

/* The question there is for this, PL_NONE when there is none. */
uint32_t
pl_suspects_question(const struct pl_suspects *table, enum pl_ask ask, pl_id state, pl_id id);

/* Is `part` (RUNS of a load or starter, FUSE) one of the things seen at the glance `look` (LOOK,
 * PANEL)? */
bool pl_suspects_is_seen(const struct pl_suspects *table, uint32_t look, uint32_t part);

/* The low pin of a data link that stands beside this high one on its device; PL_NONE: it is none,
 * or no wire ends there. */
pl_id pl_suspects_low_of(const struct pl_harness *harness, pl_id high);

/* What a needle does: 0 nothing, 1 less than it should, 2 as it should, 3 more. */
int pl_suspects_needle(const struct pl_suspects *table, uint32_t question, int16_t answer);

/* The answers packed (base/pack.h), as docs/troubleshooting.md says under "The table": the same
 * bytes in the file and on the shop page. */
void pl_suspects_pack(const struct pl_suspects *table, struct pl_buffer *out);

/* Answers as bytes for a file, and back; `bytes` must outlive the table.  False when they are not
 * of this text, this version of Pinloom's table, or not whole: then nothing in the table is
 * changed.  `table` must come from pl_suspects_list. */
void pl_suspects_save(struct pl_suspects *table, struct pl_buffer *out);
bool pl_suspects_load(struct pl_suspects *table, const char *bytes, size_t size);

/* What a volts reading is off by, give or take: the meter's part and the parts' together, volts. */
double pl_suspects_spread(double volts);

/* Thousandths of log10 of what a meter shows at these ohms, leads included; INFINITY: as OPEN_OHMS.
 */
int16_t pl_suspects_ohms(double ohms);

#endif
