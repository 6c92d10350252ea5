/* Ohms between two pins with everything plugged in: solved for the suspects that can matter, those
 * with something broken on a way between the pins. */
#include <math.h>

#include "standard/likely.h"
#include "suspect/said_readings.h"
#include "suspect/suspects_inner.h"

struct predict {
  const struct pl_suspects *table;
  struct pl_network *network;
  struct pl_solution rest;
  bool *reached; /* by node: on some way between the pins, not through the chassis */
  uint32_t *queue;
};

static void reach_from(struct predict *p, pl_id pin, uint32_t reference) {
  uint32_t n = 0;
  uint32_t node = pl_network_pin_node(p->network, pin);

  if (node == reference || p->reached[node])
    return;
  p->reached[node] = true;
  p->queue[n++] = node;
  for (uint32_t i = 0; i < n; i++)
    for (uint32_t k = 0; k < p->rest.element_count; k++) {
      const struct pl_element *e = &p->rest.elements[k];
      uint32_t other = reference;
      if (e->node_a == p->queue[i])
        other = e->node_b;
      else if (e->node_b == p->queue[i])
        other = e->node_a;
      if (other == reference)
        continue;
      if (p->reached[other])
        continue;
      if (e->kind == PL_ELEMENT_SOURCE)
        continue;
      if (e->kind == PL_ELEMENT_CURRENT || e->open)
        continue;
      p->reached[other] = true;
      p->queue[n++] = other;
    }
}

static bool device_reached(const struct predict *p, pl_id device) {
  const struct pl_device *d = &p->table->harness->devices.at[device];

  for (pl_id pin = d->first_pin; pin < d->first_pin + d->pin_count; pin++)
    if (p->reached[pl_network_pin_node(p->network, pin)])
      return true;
  return false;
}

static bool pin_reached(const struct predict *p, pl_id pin) {
  if (pin == PL_NONE)
    return false;
  return p->reached[pl_network_pin_node(p->network, pin)];
}

static bool matters(const struct predict *p, const struct pl_suspect *suspect) {
  const struct pl_fault *f = &suspect->fault;

  if (suspect->kind != PL_SUSPECT_FAULT)
    return false;
  if (f->wire != PL_NONE && (pin_reached(p, p->table->harness->wires.at[f->wire].end[0]) ||
                             pin_reached(p, p->table->harness->wires.at[f->wire].end[1])))
    return true;
  if (f->device != PL_NONE && device_reached(p, f->device))
    return true;
  if (pin_reached(p, f->pin_a))
    return true;
  return pin_reached(p, f->pin_b);
}

static double stated(struct pl_meter *meter, pl_id a, pl_id b) {
  double ohms = pl_meter_ohms(meter, a, b).ohms;

  pl_meter_release(meter);
  return ohms;
}

/* A connector that is off, a loose joint: not told by these ohms unless it touches the way; then
 * not known. */
static bool shares_way(const struct predict *p, const struct pl_suspect *suspect) {
  if (suspect->kind == PL_SUSPECT_FAULT)
    return false;
  if (suspect->kind == PL_SUSPECT_BATTERY)
    return false;
  if (suspect->device == PL_NONE)
    return false;
  return device_reached(p, suspect->device);
}

static void
predict_one(struct predict *p, const struct pl_between *between, struct pl_evidence *evidence) {
  const struct pl_suspects *table = p->table;
  double *ohms = PL_NEW_ARRAY(table->arena, double, table->variants.n + 1);
  uint32_t nodes = pl_network_node_count(p->network);
  uint32_t reference = pl_network_reference(p->network);
  pl_id b;
  if (between->b != PL_NONE)
    b = between->b;
  else
    b = pl_network_node_pin(p->network, reference);

  p->reached = PL_NEW_ARRAY(table->arena, bool, (size_t)nodes + 1);
  p->queue = PL_NEW_ARRAY(table->arena, uint32_t, (size_t)nodes + 1);
  reach_from(p, between->a, reference);
  reach_from(p, b, reference);
  double healthy = stated(pl_meter_new(p->network, NULL, NULL, table->arena), between->a, b);
  for (uint32_t v = 0; v <= table->variants.n; v++)
    ohms[v] = healthy;
  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *suspect = &table->suspects.at[s];
    if (shares_way(p, suspect))
      ohms[suspect->first] = NAN;
    if (!matters(p, suspect))
      continue;
    for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++) {
      struct pl_arena once;
      struct pl_fault fault = pl_suspects_fault(suspect, v);
      pl_arena_init(&once, table->arena->on_oom, table->arena->oom_context);
      ohms[v] = stated(pl_meter_new_fault(p->network, &fault, &once), between->a, b);
      pl_arena_release(&once);
    }
  }
  evidence->predicted = ohms;
}

void pl_readings_predict(const struct pl_suspects *table,
                         struct pl_network *network,
                         const pl_betweens *betweens,
                         pl_evidences *evidences) {
  struct predict p = {.table = table, .network = network};

  if (betweens->n == 0)
    return;
  pl_network_solve(network, PL_NONE, &p.rest, NULL);
  for (uint32_t i = 0; i < betweens->n; i++)
    predict_one(&p, &betweens->at[i], &evidences->at[betweens->at[i].evidence]);
}
