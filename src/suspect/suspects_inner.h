/* Between the files that fill the table of suspects.  Nobody outside includes this. */
#ifndef PL_SUSPECT_SUSPECTS_INNER_H
#define PL_SUSPECT_SUSPECTS_INNER_H

#include "suspect/suspects.h"

/* Fuses one fault may blow. */
enum {
  PL_BLOWN = 4
};

/* In the order of the text; the first state that blows it. */
struct pl_blown {
  uint32_t n;
  pl_id fuse[PL_BLOWN], state[PL_BLOWN];
};

struct pl_raw {
  uint32_t variant, question;
  int16_t answer;
};

/* There are millions of them: in blocks that stay where they are. */
enum {
  PL_RAWS = 1 << 16
};
typedef struct {
  PL_VEC(struct pl_raw *) blocks;
  uint32_t n;
} pl_raws;
static inline struct pl_raw *pl_raw_at(const pl_raws *raws, uint32_t i) {
  return &raws->blocks.at[i / PL_RAWS][i % PL_RAWS];
}

/* Keeps the answer when it is not the healthy one, or as good as. */
void pl_suspects_put(const struct pl_suspects *table,
                     pl_raws *raws,
                     uint32_t variant,
                     uint32_t question,
                     int16_t answer);

/* The fault that a variant is: high resistances are the usual one, less, or more. */
struct pl_fault pl_suspects_fault(const struct pl_suspect *suspect, uint32_t variant);

/* The fault of the network that a shared cause is (not a battery), without its ohms. */
struct pl_fault pl_suspects_shared(const struct pl_harness *harness,
                                   const struct pl_suspect *suspect);

/* suspects_off.c: the healthy answers with the power off, and those of every fault. */
void pl_suspects_off_healthy(struct pl_suspects *table, const struct pl_solution *any);
void pl_suspects_off(struct pl_suspects *table,
                     struct pl_network *network,
                     const struct pl_blown *blown,
                     pl_raws *raws);

/* suspects_link.c: BETWEEN and LINK, the healthy answers and every suspect's. */
void pl_suspects_links(struct pl_suspects *table, struct pl_network *network, pl_raws *raws);

/* suspects_pattern.c: LOOK and PANEL, from the answers that are there, as further raw answers. */
void pl_suspects_patterns(struct pl_suspects *table, pl_raws *raws);

#endif
