/* Between the files of the fast way through single faults: one point is the healthy state at one
 * rest of its relays and modules, with its factors; terms are what a fault changes there.  Nobody
 * outside includes this. */
#ifndef PL_FAULT_SWEEP_INNER_H
#define PL_FAULT_SWEEP_INNER_H

#include "fault/shadow_inner.h"

enum {
  PL_FAULT_TERMS = 40, /* changes on top of one factorisation; more are solved in full */
  PL_FAULT_AHEAD =
      8, /* columns solved at once: answers to one ampere in at one node and out at another */
  PL_FAULT_COLUMNS = 2 * PL_FAULT_TERMS + PL_FAULT_AHEAD, /* of them remembered at least, */
  PL_FAULT_ROOM = 1 << 20 /* and more as long as they have no more numbers than this */
};

/* How a device stands, as bits. */
enum {
  PL_STANDS_ON = 1, /* pulled in, awake, excited */
  PL_STANDS_FED = 2 /* a module's feeds are up */
};

/* Amps from a to b = siemens x (volts across - offset) + amps. */
struct pl_flow {
  uint32_t a, b;
  double siemens, offset, amps;
};

struct pl_term {
  uint32_t element; /* PL_NONE: an anchor, 1 S from node a to the reference */
  uint32_t a, b;
  struct pl_element before;
  struct pl_flow flow_before;
  double tangent_before, siemens, amps; /* change of siemens; change of amps at the healthy volts */
  uint8_t mode_before;
  bool idle;            /* within a part that floats before and after */
  uint32_t plus, minus; /* columns; minus PL_NONE: plus is the difference already */
};

struct pl_column {
  uint32_t key;
  uint64_t used;
}; /* key: a node, against the reference; or nodes + an element, between its ends */

struct pl_operating_point {
  struct pl_trial trial; /* its own elements, modes, volts; else the shadow's */
  struct pl_sparse *sparse;
  struct pl_flow *flows;               /* by element, as it is now */
  double *high, *low, *amps, *tangent; /* healthy; amps as shown */
  bool *reached;                       /* healthy */
  uint8_t *config;                     /* by place in `switching`: on, 2 x fed */
  uint32_t *part, *anchor; /* by node: 0 = joined to the reference, else a floating part; by part:
                              where it is held to 0 V */
  bool *mixed;             /* by part: something in it neither conducts nor is open */
  uint32_t parts;
  uint32_t *order, *enter, *last, *low_enter,
      *way; /* depth-first tree of what conducts both ways; by node: when, until when, lowest reach,
               element to parent */
  uint32_t first_tree;          /* nodes of the tree that hangs on the reference */
  uint32_t *modal, modal_count; /* elements that may have modes */
  uint8_t *kept;                /* by place in `modal`: its mode before a search */
  uint32_t *look, look_count;   /* nodes whose volts decide a mode or a move; not the reference */
  struct pl_term terms[PL_FAULT_TERMS];
  uint32_t term_count;
  bool too_many, reach_changed;
  bool still; /* no current changes: at most some nodes float now, or do no longer */
  bool amps_changed, flags_changed; /* since they were last shown as healthy */
  struct pl_column *columns;
  uint32_t column_count, column_room;
  uint32_t *place; /* by key: its place in `columns`; PL_NONE */
  double *column;  /* their answers by row, one behind the other */
  double matrix[PL_FAULT_TERMS][PL_FAULT_TERMS], share[PL_FAULT_TERMS];
  uint32_t swap[PL_FAULT_TERMS];
  struct pl_sweep *sweep;
};

struct pl_sweep {
  struct pl_network *network; /* the healthy one */
  struct pl_shadow *shadow;
  PL_VEC(struct pl_operating_point *) points;
  uint32_t used;  /* points of the state in hand */
  bool irregular; /* its way from rest is not a plain row of points */
  uint32_t steps;
  uint64_t turn;               /* counts uses of columns */
  const struct pl_fault *next; /* faults that follow, whose columns may be solved along */
  uint32_t next_count;
  const struct pl_state *state;
  struct pl_solution healthy, full;
  double *volts;               /* by node, as shown */
  double *work;                /* PL_FAULT_AHEAD x rows */
  double *amps;                /* by element, as they close */
  double *balance, *largest;   /* by node */
  uint32_t *queue, *mark;      /* by node */
  const uint32_t **next_touch; /* by node */
  uint8_t *want;               /* by place in `switching` */
};

/* operating_point.c */
struct pl_operating_point *pl_point_new(struct pl_sweep *sweep);
bool pl_point_take(struct pl_operating_point *point,
                   const struct pl_trial *trial); /* copies a rest of the healthy state; false: it
                                                     cannot be factored */
void pl_point_refresh(struct pl_operating_point *point, uint32_t element); /* its law, changed */
struct pl_flow pl_point_law(const struct pl_operating_point *point, uint32_t element);
void pl_point_flag(struct pl_operating_point *point,
                   uint32_t element); /* open and limited, as a solution shows them */
uint8_t pl_point_standing(const struct pl_trial *trial, pl_id device);
bool pl_point_is_one_way(const struct pl_operating_point *point, uint32_t element);

/* columns.c */
uint32_t pl_point_rows(const struct pl_operating_point *point);
double *pl_point_column(const struct pl_operating_point *point, uint32_t place);
/* Columns of all terms; false: the solver failed. */
bool pl_point_fetch_columns(struct pl_operating_point *point);
/* Volts at a node for one ampere through the term. */
double
pl_point_reply(const struct pl_operating_point *point, const struct pl_term *term, uint32_t node);

/* terms.c: changes on top of the factors */
struct pl_term *pl_point_touch(struct pl_operating_point *point,
                               uint32_t element); /* before changing it; NULL: too many */
void pl_point_hold(struct pl_operating_point *point, uint32_t node, double siemens);
void pl_point_forget_reach(struct pl_operating_point *point); /* what is cut off or joined */
void pl_point_undo(struct pl_operating_point *point);
bool pl_point_combine(struct pl_operating_point *point); /* false: no single answer */
void pl_point_look(struct pl_operating_point *point); /* volts of the nodes that decide something */
bool pl_point_close(
    struct pl_operating_point *point); /* all volts and amps, until Kirchhoff's law closes */

/* reach.c: what the changes cut off and what they join; false: better solved in full */
bool pl_point_reach(struct pl_operating_point *point);

#endif
