/* A circuit as pieces (symbols) with ports (wire ends), still without places. */
#ifndef PL_CIRCUIT_PIECES_INNER_H
#define PL_CIRCUIT_PIECES_INNER_H

#include "circuit/flow_inner.h"
#include "network/network.h"

enum pl_symbol {
  PL_SYM_RAIL,
  PL_SYM_EARTH,
  PL_SYM_AIR,
  PL_SYM_REFERENCE, /* ends of wires */
  PL_SYM_BAR,       /* splice, stud: one node */
  PL_SYM_TWO,       /* upright, one pin above, one below */
  PL_SYM_CAVITY,    /* a cavity of an inline pair */
  PL_SYM_COIL,
  PL_SYM_CONTACTS,
  PL_SYM_BOX
};

struct pl_contact {
  pl_id common, out;
  bool closed;
  const char *label;
};

enum {
  PL_PIECE_LINES = 6
};

struct pl_piece {
  enum pl_symbol symbol;
  pl_id device;
  bool flipped; /* PL_SYM_TWO: its plus (first) pin is below; PL_SYM_CONTACTS: the common pin is
                   below */
  bool split;   /* may stand on several pages, some ports on each */
  uint32_t first_port, port_count;
  PL_VEC(struct pl_contact) contacts;
  const char *lines[PL_PIECE_LINES];
  uint32_t line_count; /* [0] is the designation */
  uint32_t twin; /* coil <-> contacts of the same relay: next piece of the device, UINT32_MAX */
};

/* The wires of other circuits at a pin: those from the supply side first. */
enum {
  PL_ELSEWHERE = 2
};
struct pl_elsewhere {
  pl_id wires[PL_ELSEWHERE];
  uint32_t n, all; /* kept; found */
};

struct pl_where {
  uint32_t page, column; /* from 1; page 0: nowhere, or not yet */
};

/* Where every wire of the harness came to stand, once all circuits are laid out. */
struct pl_atlas {
  struct pl_where *wires; /* by wire */
  uint32_t *pages;        /* by circuit */
};

struct pl_port {
  uint32_t piece;
  pl_id pin;     /* PL_NONE: an end in the air */
  uint32_t wire; /* index into pl_paths.wires; UINT32_MAX: no wire in this circuit */
  int end;
  bool top;
  struct pl_elsewhere elsewhere; /* without a wire: where it goes on */
  bool earthed;                  /* without a wire: through its case to the chassis */
  struct pl_where where;
};

enum pl_end_kind {
  PL_END_PORT,
  PL_END_RAIL,
  PL_END_EARTH
};

struct pl_wire_end {
  enum pl_end_kind kind;
  uint32_t port;
  const char *rail;
};

struct pl_path_wire {
  pl_id wire;
  struct pl_wire_end end[2];
  int upper; /* the end nearer to the top */
};

struct pl_paths {
  const struct pl_harness *harness;
  const struct pl_flow *flow;
  struct pl_arena *arena;
  pl_id circuit;
  PL_VEC(struct pl_path_wire) wires;
  PL_VEC(struct pl_piece) pieces;
  PL_VEC(struct pl_port) ports;
  pl_id battery; /* drawn between the rails when both its poles are touched; PL_NONE */
  const struct pl_atlas *atlas;       /* NULL while pages are planned */
  const struct pl_solution *solution; /* its volts and amps are shown; NULL */
};

void pl_paths_make(struct pl_paths *paths,
                   const struct pl_flow *flow,
                   const struct pl_solution *solution,
                   pl_id circuit,
                   struct pl_arena *arena);

/* ---- where a conductor goes on in other circuits (refer.c) ---- */

struct pl_elsewhere pl_elsewhere_at(const struct pl_paths *paths, pl_id pin);
/* The first of them comes from above the pin. */
bool pl_elsewhere_feeds(const struct pl_paths *paths,
                        const struct pl_elsewhere *elsewhere,
                        pl_id pin);

#endif
