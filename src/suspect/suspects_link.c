/* Data links with the power off: ohms between the two lines at every plug, and who is heard no
 * more.  A link is a handful of wires, plugs, splices and terminators: they are taken out of the
 * network and solved by themselves, once a fault.  Modules see it with thousands of ohms; they are
 * left out. */
#include <math.h>
#include <string.h>

#include "standard/defaults.h"
#include "standard/likely.h"
#include "suspect/suspects_inner.h"

enum {
  MOST = 256
}; /* nodes of all links together; above that they are not asked about */
static const double leak = 1e-9; /* siemens from every node: what nothing joins reads as open */
static const double least_ohms = 1e-4; /* of a piece: contacts without ohms do not divide by 0 */

struct edge {
  uint32_t a, b;
  double ohms;
  pl_id wire, device;
};

static const struct edge no_edge = {.ohms = INFINITY, .wire = PL_NONE, .device = PL_NONE};

struct links {
  struct pl_suspects *table;
  const struct pl_harness *harness;
  const struct pl_network *network;
  struct pl_solution rest;
  uint32_t *local; /* by node: 1 + its place here; 0: not of a link */
  uint32_t nodes[MOST], n;
  PL_VEC(struct edge) edges; /* the last is the fault's own */
  uint32_t *asked;           /* questions of BETWEEN */
  uint32_t count;
  double *matrix; /* n x n, factored */
  double *ohms;   /* by question of `asked`, under the fault in hand */
};

/* ---- what belongs to it ---- */

static void take_node(struct links *l, uint32_t node) {
  if (node == pl_network_reference(l->network))
    return;
  if (l->local[node] != 0)
    return;
  if (l->n >= MOST)
    return;
  l->nodes[l->n++] = node;
  l->local[node] = l->n;
}

static void find_nodes(struct links *l) {
  for (uint32_t i = 0; i < l->count; i++) {
    pl_id high = l->table->questions.at[l->asked[i]].id;
    take_node(l, pl_network_pin_node(l->network, high));
    take_node(l, pl_network_pin_node(l->network, pl_suspects_low_of(l->harness, high)));
  }
  for (uint32_t i = 0; i < l->n; i++)
    for (uint32_t k = 0; k < l->rest.element_count; k++) {
      const struct pl_element *e = &l->rest.elements[k];
      if (e->open)
        continue;
      if (e->kind != PL_ELEMENT_WIRE && e->kind != PL_ELEMENT_CONTACT)
        continue;
      if (e->node_a == l->nodes[i])
        take_node(l, e->node_b);
      if (e->node_b == l->nodes[i])
        take_node(l, e->node_a);
    }
}

static bool joins(const struct pl_element *e) {
  if (e->open)
    return false;
  if (e->kind == PL_ELEMENT_WIRE)
    return true;
  if (e->kind == PL_ELEMENT_CONTACT)
    return true;
  return e->kind == PL_ELEMENT_RESISTANCE;
}

static void find_edges(struct links *l) {
  for (uint32_t k = 0; k < l->rest.element_count; k++) {
    const struct pl_element *e = &l->rest.elements[k];
    uint32_t a = l->local[e->node_a];
    uint32_t b = l->local[e->node_b];
    if (!joins(e) || a == 0)
      continue;
    if (b == 0 || a == b)
      continue;
    struct edge edge = {a - 1, b - 1, fmax(e->ohms, least_ohms), e->wire, e->device};
    PL_PUSH(l->table->arena, &l->edges, edge);
  }
  PL_PUSH(l->table->arena, &l->edges, no_edge);
}

/* ---- ohms ---- */

/* L and U of the conductance matrix in one array, without pivots: it is symmetric and heavier on
 * its diagonal (Golub and Van Loan, Matrix Computations, ch. 4).  n^3 / 3 steps once a fault, n^2
 * for each pair of lines asked; a link has a few dozen nodes. */
static void factor(struct links *l) {
  uint32_t n = l->n;

  memset(l->matrix, 0, (size_t)n * n * sizeof *l->matrix);
  for (uint32_t i = 0; i < n; i++)
    l->matrix[i * n + i] = leak;
  for (uint32_t k = 0; k < l->edges.n; k++) {
    const struct edge *e = &l->edges.at[k];
    if (!isfinite(e->ohms))
      continue;
    if (e->a == e->b)
      continue;
    double *row_a = l->matrix + (size_t)e->a * n;
    double *row_b = l->matrix + (size_t)e->b * n;
    double siemens = 1 / e->ohms;
    row_a[e->a] += siemens;
    row_b[e->b] += siemens;
    row_a[e->b] -= siemens;
    row_b[e->a] -= siemens;
  }
  for (uint32_t p = 0; p < n; p++) {
    const double *pivot = l->matrix + (size_t)p * n;
    for (uint32_t i = p + 1; i < n; i++) {
      double *row = l->matrix + (size_t)i * n;
      double times = row[p] / pivot[p];
      if (times == 0)
        continue;
      row[p] = times;
      for (uint32_t j = p + 1; j < n; j++)
        row[j] -= times * pivot[j];
    }
  }
}

static double between(const struct links *l, uint32_t a, uint32_t b) {
  double volts[MOST] = {0};
  uint32_t n = l->n;

  if (a == b)
    return 0;
  volts[a] = 1;
  volts[b] = -1;
  for (uint32_t i = 0; i < n; i++) {
    const double *row = l->matrix + (size_t)i * n;
    for (uint32_t j = 0; j < i; j++)
      volts[i] -= row[j] * volts[j];
  }
  for (uint32_t i = n; i-- > 0;) {
    const double *row = l->matrix + (size_t)i * n;
    for (uint32_t j = i + 1; j < n; j++)
      volts[i] -= row[j] * volts[j];
    volts[i] /= row[i];
  }
  double ohms = volts[a] - volts[b];
  if (ohms > PL_LIKELY(OPEN_OHMS))
    return INFINITY;
  if (isnan(ohms))
    return INFINITY;
  return fmax(ohms, 0);
}

static uint32_t place_of(const struct links *l, pl_id pin) {
  if (pin == PL_NONE)
    return 0;
  return l->local[pl_network_pin_node(l->network, pin)];
}

/* Of the pair that is asked about. */
static pl_id high_pin(const struct links *l, uint32_t i) {
  return l->table->questions.at[l->asked[i]].id;
}

static pl_id device_asked(const struct links *l, uint32_t i) {
  return l->harness->pins.at[high_pin(l, i)].device;
}

static void measure(struct links *l) {
  factor(l);
  for (uint32_t i = 0; i < l->count; i++) {
    pl_id high = high_pin(l, i);
    pl_id low = pl_suspects_low_of(l->harness, high);
    l->ohms[i] = between(l, place_of(l, high) - 1, place_of(l, low) - 1);
  }
}

/* ---- faults ---- */

static bool pin_at(const struct pl_pin *pin, const struct pl_suspect *suspect) {
  if (suspect->connector != PL_NONE)
    return pin->connector == suspect->connector;
  return pin->device == suspect->device;
}

static bool wire_at(const struct links *l, pl_id wire, const struct pl_suspect *suspect) {
  const struct pl_wire *w = &l->harness->wires.at[wire];

  for (int i = 0; i < 2; i++)
    if (w->end[i] != PL_NONE && pin_at(&l->harness->pins.at[w->end[i]], suspect))
      return true;
  return false;
}

static bool is_inline_pair(const struct links *l, const struct pl_suspect *suspect) {
  if (suspect->kind != PL_SUSPECT_UNPLUGGED)
    return false;
  return pl_device_is(l->harness, suspect->device, PL_IS_INLINE);
}

/* What a cause that many wires share makes of this piece. */
static double
shared_ohms(const struct links *l, const struct edge *e, const struct pl_suspect *suspect) {
  if (is_inline_pair(l, suspect))
    return e->device == suspect->device ? INFINITY : e->ohms;
  if (e->wire == PL_NONE)
    return e->ohms;
  if (!wire_at(l, e->wire, suspect))
    return e->ohms;
  if (suspect->kind == PL_SUSPECT_UNPLUGGED)
    return INFINITY;
  if (suspect->kind == PL_SUSPECT_JOINT)
    return e->ohms + PL_DEFAULT(FAULT_HIGH_SIGNAL);
  return e->ohms;
}

static bool is_at(const struct edge *e, const struct pl_fault *fault) {
  if (e->wire != PL_NONE && e->wire == fault->wire)
    return true;
  if (e->device == PL_NONE)
    return false;
  if (e->device != fault->device)
    return false;
  return fault->pin_a == PL_NONE;
}

/* What the fault makes of this piece. */
static double broken_ohms(const struct links *l,
                          const struct edge *e,
                          const struct pl_suspect *suspect,
                          const struct pl_fault *fault) {
  if (suspect->kind != PL_SUSPECT_FAULT)
    return shared_ohms(l, e, suspect);
  if (!is_at(e, fault))
    return e->ohms;
  if (fault->kind == PL_FAULT_OPEN)
    return INFINITY;
  if (fault->kind == PL_FAULT_RESISTANCE)
    return e->ohms + fault->ohms;
  if (fault->kind == PL_FAULT_SHORTED)
    return fault->ohms;
  return e->ohms;
}

/* Breaks the link; returns whether anything of it is broken.  `own`: its edges as they were. */
static bool break_link(struct links *l,
                       const struct edge *own,
                       const struct pl_suspect *suspect,
                       const struct pl_fault *fault) {
  uint32_t a = place_of(l, fault->pin_a);
  uint32_t b = place_of(l, fault->pin_b);
  uint32_t last = l->edges.n - 1;
  struct edge *joint = &l->edges.at[last];
  bool broken = false;

  for (uint32_t k = 0; k < last; k++) {
    double ohms = broken_ohms(l, &own[k], suspect, fault);
    broken = broken || ohms != own[k].ohms;
    l->edges.at[k].ohms = ohms;
  }
  *joint = no_edge;
  if (suspect->kind != PL_SUSPECT_FAULT)
    return broken;
  if (fault->kind != PL_FAULT_SHORTED)
    return broken;
  if (a == 0 || b == 0)
    return broken;
  if (a == b)
    return broken;
  joint->a = a - 1;
  joint->b = b - 1;
  joint->ohms = fault->ohms;
  return true;
}

/* The node of a line that something foreign holds; 0: none. */
static uint32_t
held(const struct links *l, const struct pl_suspect *suspect, const struct pl_fault *fault) {
  uint32_t a = place_of(l, fault->pin_a);
  uint32_t b = place_of(l, fault->pin_b);

  if (suspect->kind != PL_SUSPECT_FAULT)
    return 0;
  if (fault->kind == PL_FAULT_TO_CHASSIS)
    return a;
  if (fault->kind == PL_FAULT_TO_BATTERY)
    return a;
  if (fault->kind == PL_FAULT_SHORTED && fault->pin_b != PL_NONE && (a == 0) != (b == 0))
    return a != 0 ? a : b;
  return 0;
}

static bool is_heard(const struct links *l, uint32_t i, uint32_t holds) {
  uint32_t high = place_of(l, high_pin(l, i));

  if (l->ohms[i] < PL_LIKELY(LINK_LEAST))
    return false;
  if (l->ohms[i] > PL_LIKELY(LINK_MOST))
    return false;
  if (holds == 0)
    return true;
  return isinf(between(l, high - 1, holds - 1));
}

static void put_answers(struct links *l,
                        pl_raws *raws,
                        uint32_t variant,
                        const struct pl_suspect *suspect,
                        const struct pl_fault *fault) {
  uint32_t holds = held(l, suspect, fault);
  bool bad_wire = fault->wire != PL_NONE && fault->kind == PL_FAULT_RESISTANCE;
  bool slow = suspect->kind == PL_SUSPECT_JOINT || bad_wire; /* it may do, or not */

  for (uint32_t i = 0; i < l->count; i++) {
    pl_id device = device_asked(l, i);
    uint32_t q = pl_suspects_question(l->table, PL_ASK_LINK, PL_NONE, device);
    bool dead = suspect->kind == PL_SUSPECT_MODULE && suspect->device == device;
    pl_suspects_put(l->table, raws, variant, l->asked[i], pl_suspects_ohms(l->ohms[i]));
    if (i > 0 && device_asked(l, i - 1) == device)
      continue; /* its first link speaks for it */
    int16_t unheard = slow ? PL_ANSWER_UNKNOWN : dead || !is_heard(l, i, holds);
    pl_suspects_put(l->table, raws, variant, q, unheard);
  }
}

/* ---- the whole ---- */

static void find_asked(struct links *l) {
  l->asked = PL_NEW_ARRAY(l->table->arena, uint32_t, l->harness->pins.n + 1);
  for (uint32_t q = 0; q < l->table->questions.n; q++) {
    struct pl_question *question = &l->table->questions.at[q];
    if (question->ask == PL_ASK_BETWEEN || question->ask == PL_ASK_LINK)
      question->healthy = PL_ANSWER_UNKNOWN;
    if (question->ask == PL_ASK_BETWEEN)
      l->asked[l->count++] = q;
  }
}

static void healthy(struct links *l) {
  measure(l);
  for (uint32_t i = 0; i < l->count; i++) {
    uint32_t link = pl_suspects_question(l->table, PL_ASK_LINK, PL_NONE, device_asked(l, i));
    l->table->questions.at[l->asked[i]].healthy = pl_suspects_ohms(l->ohms[i]);
    l->table->questions.at[link].healthy = 0;
  }
}

void pl_suspects_links(struct pl_suspects *table, struct pl_network *network, pl_raws *raws) {
  struct links *l = PL_NEW(table->arena, struct links);

  l->table = table;
  l->harness = table->harness;
  l->network = network;
  find_asked(l);
  pl_network_solve(network, PL_NONE, &l->rest, NULL);
  if (l->count == 0)
    return;
  if (l->rest.status != PL_SOLVED)
    return;
  if (pl_network_reference(network) == PL_NONE)
    return;
  l->local = PL_NEW_ARRAY(table->arena, uint32_t, (size_t)pl_network_node_count(network) + 1);
  find_nodes(l);
  if (l->n == MOST)
    return;
  find_edges(l);
  l->matrix = PL_NEW_ARRAY(table->arena, double, (size_t)l->n * l->n + 1);
  l->ohms = PL_NEW_ARRAY(table->arena, double, l->count + 1);
  struct edge *own = PL_NEW_ARRAY(table->arena, struct edge, l->edges.n);
  memcpy(own, l->edges.at, l->edges.n * sizeof *own);
  healthy(l);
  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *suspect = &table->suspects.at[s];
    for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++) {
      struct pl_fault fault = pl_suspects_fault(suspect, v);
      bool broken = break_link(l, own, suspect, &fault);
      bool module = suspect->kind == PL_SUSPECT_MODULE;
      if (!broken && !module && held(l, suspect, &fault) == 0)
        continue;
      measure(l);
      put_answers(l, raws, v, suspect, &fault);
    }
  }
}
