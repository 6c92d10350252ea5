/* Many combinations at once: by switch the set of positions that are left, by output, latch and
 * engine the same, and what is known of all combinations in that set.  Nobody outside the prove
 * room includes this.
 *
 * A contact is closed in all of them, open in all of them, or maybe.  From that follow, as in the
 * quick look but with both bounds kept: which relays and modules surely are on once the machine has
 * come to rest, which may be, what surely hangs on both poles, and what no way at all joins to
 * them. */
#ifndef PL_PROVE_POSITIONS_INNER_H
#define PL_PROVE_POSITIONS_INNER_H

#include "prove/prove_inner.h"

enum pl_hold {
  PL_HOLD_OPEN,
  PL_HOLD_MAYBE,
  PL_HOLD_CLOSED
};

/* Where a set of combinations is cut in two: the values of one factor. */
struct pl_split {
  uint32_t factor; /* index in the cone; PL_NONE: nothing is left to cut */
  uint32_t element;
  bool by_contact; /* the values in which `element`, a throw, is closed; else value 1 */
};

/* A wish for the worst combination of a set: the contact of this split open or closed. */
struct pl_wish {
  struct pl_split split;
  bool closed;
};

struct pl_positions {
  struct pl_proof *proof;
  const struct pl_cone *cone;
  /* by factor of the cone: its values are bits from first[f] on, in whole words */
  uint32_t *first, words;
  uint64_t *left; /* the values left */
  /* who is which factor; PL_NONE */
  uint32_t *switch_factor, *latch_factor; /* by device */
  uint32_t *output_factor;                /* by pin */
  uint32_t engine_factor;
  /* found, of all combinations left: */
  bool *may, *must; /* by device: on at rest in some, in all */
  bool shorted;     /* the poles meet with no load between, in all */
  double most_volts;
  /* inside: */
  uint32_t *parent, *fresh, fresh_stamp; /* by net: surely joined; made anew with each set */
  uint8_t *pole;                         /* by root */
  uint32_t *came, *from;                 /* by net: the element and the net it was reached by */
  uint32_t *island, island_stamp;        /* by net */
  uint32_t *weighed;                     /* by element */
  uint32_t *queue;                       /* nets of an island */
  uint32_t *visited, visit_stamp;        /* by device */
  pl_ids doubtful;
  pl_ids *made;           /* by device: its make contacts or outputs */
  PL_VEC(uint32_t) trail; /* contacts of ways under inspection */
  PL_VEC(struct pl_wish) wishes;
};

/* Those of a cone; one cone at a time, until the end. */
struct pl_positions *pl_positions_of(struct pl_proof *proof, const struct pl_cone *cone);
void pl_positions_end(struct pl_positions *p);

/* Works out `may`, `must` and the nets for the values in `left`; under proof->look.fault. */
void pl_positions_settle(struct pl_positions *p, uint64_t *left);

enum pl_hold pl_positions_contact(const struct pl_positions *p, uint32_t element);
bool pl_positions_firm(struct pl_positions *p, uint32_t element);
/* On some way between the poles, and strongly enough to bring `volts` across it (0: any). */
bool pl_positions_may_carry(struct pl_positions *p, uint32_t element, double volts);
bool pl_positions_may_be_live(struct pl_positions *p, uint32_t node);
bool pl_positions_may_reach(struct pl_positions *p, uint32_t net, uint8_t pole);

/* What to cut next for a question: on the ways of an element, a net to the live pole, a contact, or
 * a device.  False: nothing on them is undecided. */
bool pl_positions_pick_way(struct pl_positions *p, uint32_t element, struct pl_split *split);
bool pl_positions_pick_live(struct pl_positions *p, uint32_t node, struct pl_split *split);
bool pl_positions_pick_contact(struct pl_positions *p, uint32_t element, struct pl_split *split);
bool pl_positions_pick_device(struct pl_positions *p, pl_id device, struct pl_split *split);

/* A contact that is not surely open and by which the poles may meet with no load between. */
bool pl_positions_pick_short(struct pl_positions *p, struct pl_split *split);

/* For relays in doubt at rest: a contact that decides what they did at the first moment. */
bool pl_positions_pick_early(struct pl_positions *p, struct pl_split *split);

enum pl_worst {
  PL_WORST_NONE, /* every contact that matters is to be decided */
  PL_WORST_HIGH, /* the most volts decide */
  PL_WORST_LOW,
  PL_WORST_WAY /* both nets hang firmly: contacts by which the current may come another way */
};

/* Contacts that change the volts between two nets: one that is undecided.  What can only raise, or
 * only lower, the volts is not cut but wished for (p->wishes), unless PL_WORST_NONE. */
bool pl_positions_pick_near(struct pl_positions *p,
                            uint32_t net_a,
                            uint32_t net_b,
                            enum pl_worst worst,
                            struct pl_split *split);

/* Does this value of a factor grant every wish? */
bool pl_positions_grants(const struct pl_positions *p,
                         const uint64_t *left,
                         uint32_t f,
                         uint32_t value);

/* Sets of values. */
bool pl_value_in(const struct pl_positions *p, const uint64_t *left, uint32_t f, uint32_t value);
uint32_t pl_value_count(const struct pl_positions *p, const uint64_t *left, uint32_t f);
/* `closed` and `open` (words each): the two halves of `left`. */
void pl_positions_cut(const struct pl_positions *p,
                      const struct pl_split *split,
                      const uint64_t *left,
                      uint64_t *closed,
                      uint64_t *open);

#endif
