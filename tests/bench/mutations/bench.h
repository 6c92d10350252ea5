/* The mutation bench: edits the text of a sound machine, checks it again in process and judges what
 * the program says.  What a change does to a machine is decided here from the text, the published
 * tables and the solved network, never from the program's findings. */
#ifndef PL_BENCH_MUTATIONS_H
#define PL_BENCH_MUTATIONS_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "model/build.h"
#include "network/network.h"
#include "remedy/remedy.h"
#include "rules/rules.h"

/* ---- a text, read, solved in every state and checked ---- */

struct bench_judged {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_network *network;
  struct pl_solution *solutions; /* by state */
  struct pl_check check;         /* as the rules left it */
  bool read;                     /* false: an error of the text, in `findings` */
};
/* `text` is kept, not copied.  `rules` false: solved only. */
void bench_judge(struct bench_judged *judged, const char *text, size_t size, bool rules);
void bench_judged_end(struct bench_judged *judged);

/* ---- a machine: one text with its includes put in place ---- */

struct bench_machine {
  const char *name;
  const char *text;
  size_t size;
  struct bench_judged sound;
  pl_id *copper; /* by pin: first pin that wires, joints and bonds tie it to */
};
/* False when it cannot be read; says so on stderr. */
bool bench_machine_read(struct bench_machine *machine, const char *path, struct pl_arena *arena);
void bench_machine_take(struct bench_machine *machine, const char *name, const char *text);
void bench_machine_end(struct bench_machine *machine);

/* The copper nets with one wire (PL_NONE: none) left out. */
pl_id *bench_copper(const struct pl_harness *harness, pl_id without, struct pl_arena *arena);

/* ---- an edit of its text ---- */

struct bench_change { /* bytes start..end of the text become `text` */
  uint32_t start, end;
  const char *text;
};

struct bench_edit {
  struct pl_arena *arena;
  const struct bench_machine *machine;
  uint64_t *seed;
  PL_VEC(struct bench_change) changes;
  PL_VEC(const char *) wires;      /* numbers of wires that count as named */
  PL_VEC(const char *) things;     /* devices and pins that do */
  const char *old_name, *new_name; /* a thing or wire that only goes by another name; NULL */
  const char *what;                /* "wire 41 removed (F1.out to E1.+)" */
  const char *spared;              /* why this one does not matter after all; NULL */
};

/* The edited text; NULL when two changes touch the same bytes. */
const char *bench_edit_apply(struct bench_edit *edit, size_t *size);

void bench_replace(struct bench_edit *edit, struct pl_span span, const char *text);
void bench_delete_line(struct bench_edit *edit, uint32_t offset);
void bench_insert_after_line(struct bench_edit *edit, uint32_t offset, const char *line);
void bench_insert_before_line(struct bench_edit *edit, uint32_t offset, const char *line);

/* A describing line of a device: the one that begins with `word` is replaced, or one is added. */
void bench_describe(struct bench_edit *edit, pl_id device, const char *word, const char *line);
/* The rest of the line that begins with `word`, from its start; false when there is none. */
bool bench_described(const struct bench_edit *edit,
                     pl_id device,
                     const char *word,
                     struct pl_span *line);
/* A new row under the row of `beside`. */
void bench_add_wire(struct bench_edit *edit, pl_id beside, const char *row);
/* A fact of a wire's row: what stands from `word` up to two blanks or `words` words, replaced, or
 * added at the end of the row. */
bool bench_wire_fact(const struct bench_edit *edit,
                     pl_id wire,
                     const char *word,
                     uint32_t words,
                     struct pl_span *span);
void bench_wire_add_fact(struct bench_edit *edit, pl_id wire, const char *fact);

/* What a finding may speak of to have named the edit: a pin with its device and, one step on
 * through joints and plugs, what is joined to it. */
void bench_name_pin(struct bench_edit *edit, pl_id pin);
void bench_name_wire(struct bench_edit *edit, pl_id wire);
void bench_name_device(struct bench_edit *edit, pl_id device);

/* ---- chance ---- */

uint64_t bench_random(uint64_t *seed);
uint32_t bench_below(struct bench_edit *edit, uint32_t n); /* 0..n-1; 0 of nothing */

/* One of the wires or devices for which `fits` holds; PL_NONE when there is none. */
typedef bool (*bench_fits)(const struct bench_edit *edit, pl_id id);
pl_id bench_pick_wire(struct bench_edit *edit, bench_fits fits);
pl_id bench_pick_device(struct bench_edit *edit, bench_fits fits);

/* ---- what is what ---- */

const char *bench_say(struct bench_edit *edit, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
bool bench_in_text(const struct bench_edit *edit, struct pl_span span); /* not in a shipped part */
bool bench_wire_is_new(const struct bench_edit *edit, pl_id wire); /* in the text, joins two pins */
enum pl_kind bench_kind_at(const struct bench_edit *edit, pl_id wire, int end);
/* Two pins of a switch: joined in every position that uses one of them; trading places changes no
 * position. */
bool bench_one_contact(const struct pl_harness *harness, pl_id a, pl_id b);
bool bench_alike_contacts(const struct pl_harness *harness, pl_id a, pl_id b);
uint32_t bench_pin_wires(const struct pl_harness *harness, pl_id pin);
/* The most amps of a wire in any state. */
double bench_most_amps(const struct bench_judged *judged, pl_id wire);
/* Most amps that the copper bears where nothing is around it, by the published table. */
double bench_table_amps(const struct pl_wire *wire, double area);
/* Crimps and seals at both ends take a wire of this area. */
bool bench_fits_terminals(const struct bench_edit *edit, const struct pl_wire *wire, double area);
/* Over all lasting states, of the fuses and breakers on the way to a load that is on: the least
 * amps between what one carries and its rating, and that rating.  NAN when no fuse is on its way.
 */
double bench_reserve(const struct bench_edit *edit, pl_id load);
double bench_rated_before(const struct bench_edit *edit, pl_id load);
/* True when both machines, solved, give every pin the same volts within this share of the supply
 * in every state (pins by name). */
bool bench_same_volts(const struct bench_judged *a, const struct bench_judged *b, double share);

/* ---- classes ---- */

struct bench_class {
  const char *name;
  const char *why;    /* harm: why it must be found; harmless: why nothing may be said */
  const char *spares; /* when one of the class does not count; "" */
  bool (*make)(struct bench_edit *edit); /* false: no place for it was found */
  bool harmless;
};
extern const struct bench_class bench_wire_classes[], bench_pin_classes[], bench_part_classes[],
    bench_link_classes[], bench_quiet_classes[];

/* ---- machines by chance ---- */

const char *bench_random_machine(uint64_t *seed, struct pl_arena *arena);

/* ---- the fault table ---- */

struct bench_brute {
  unsigned tried;    /* wires and devices taken out */
  unsigned stopped;  /* things that stopped, by full solve, over all states */
  unsigned missing;  /* of those, not said in the fault table */
  unsigned unsolved; /* states without a solution */
};
void bench_brute(const struct bench_machine *machine,
                 bool misses,
                 struct bench_brute *sum,
                 struct pl_arena *arena);

/* ---- the mirror ---- */

struct bench_mirror {
  unsigned states, wrong; /* compared; with other volts or another end of the solution */
  unsigned findings, mirrored_findings;
  char first[160]; /* the last of those that are wrong, in words */
};
/* False: this machine has no mirror in the language. */
bool bench_mirror_try(const struct bench_machine *machine,
                      struct bench_mirror *sum,
                      struct pl_arena *arena);

/* ---- remedies ---- */

struct bench_remedies {
  unsigned tried, working; /* remedies with edits, of findings that are not waived */
  unsigned machines;       /* edited machines with any */
  unsigned trials;         /* copies that were checked to find them */
  double seconds;          /* CPU to seek them */
};
/* Seeks remedies for a judged text and does each of them to a copy of its own: it works when the
 * finding is gone and no other is there that was not. `said`: the first that does not. */
void bench_remedies_try(struct bench_judged *judged,
                        const char *text,
                        size_t size,
                        struct bench_remedies *sum,
                        const char **said,
                        struct pl_arena *arena);

/* ---- judging ---- */

struct bench_outcome {
  bool read, found, named;
  const char *said; /* the first new finding: "rule at place: text"; "" */
};
struct bench_outcome bench_compare(const struct bench_edit *edit,
                                   const struct bench_judged *changed,
                                   struct pl_arena *arena);

#endif
