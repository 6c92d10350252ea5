/* Graph search, before any matrix: which node is 0 V, and which nodes the conducting elements join
 * to it.  The rest floats and is left out, because a solver may factor a floating ring without
 * complaint. */
#include <string.h>

#include "network/network_inner.h"

/* ---- the reference ---- */

static uint32_t root_of(uint32_t *parent, uint32_t node) {
  while (parent[node] != node) {
    parent[node] = parent[parent[node]];
    node = parent[node];
  }
  return node;
}

/* Nodes joined by wires alone. */
static uint32_t *wire_groups(const struct pl_network *network) {
  uint32_t *parent = PL_NEW_ARRAY(network->arena, uint32_t, network->node_count);

  for (uint32_t n = 0; n < network->node_count; n++)
    parent[n] = n;
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_element *e = &network->elements.at[k];
    if (e->kind != PL_ELEMENT_WIRE)
      continue;
    uint32_t a = root_of(parent, e->node_a);
    uint32_t b = root_of(parent, e->node_b);
    if (a < b)
      parent[b] = a;
    else
      parent[a] = b;
  }
  return parent;
}

/* The earthed pole of the first battery in the text; of batteries in series the one whose earthed
 * pole hangs on no other battery's opposite pole. */
uint32_t pl_islands_reference(const struct pl_network *network) {
  const struct pl_harness *harness = network->harness;
  bool positive = harness->machine.positive_earth;
  uint32_t first = PL_NONE;
  uint32_t n = 0;
  uint32_t *groups;
  uint32_t *batteries = PL_NEW_ARRAY(network->arena, uint32_t, harness->devices.n);
  bool *opposite = PL_NEW_ARRAY(network->arena, bool, network->node_count);

  for (pl_id id = 0; id < harness->devices.n; id++) {
    if (!pl_kind_is(harness->devices.at[id].kind, PL_IS_STORE))
      continue;
    if (network->main[id] == PL_NONE)
      continue;
    batteries[n++] = network->main[id];
  }
  if (n == 0)
    return PL_NONE;
  groups = wire_groups(network);
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_element *e = &network->elements.at[batteries[i]];
    opposite[root_of(groups, positive ? e->node_b : e->node_a)] = true;
  }
  for (uint32_t i = 0; i < n; i++) {
    const struct pl_element *e = &network->elements.at[batteries[i]];
    uint32_t earthed = positive ? e->node_a : e->node_b;
    if (first == PL_NONE)
      first = earthed;
    if (!opposite[root_of(groups, earthed)])
      return earthed;
  }
  return first;
}

/* ---- the search ---- */

/* May this element, reached from `node`, be made to conduct when nothing else leads on? */
static bool is_last_resort(const struct pl_element *e, enum pl_mode mode, uint32_t node) {
  if (mode == PL_MODE_STEADY)
    return true;
  if (mode != PL_MODE_BLOCKS)
    return false;
  if (e->kind == PL_ELEMENT_DIODE) /* the way its current may flow */
    return e->node_a == node;
  return e->node_b == node;
}

/* A diode that still stands as conducting from the step before joins nothing to its cathode: no
 * current can come that way.  So what only hangs behind it floats, and does not read a diode's drop
 * above the cathode. */
static bool is_against(const struct pl_element *e, uint32_t node) {
  return e->kind == PL_ELEMENT_DIODE && e->node_b == node;
}

struct search {
  struct pl_trial *trial;
  uint32_t tail, waiting;
}; /* of its queue and of what is deferred */

/* From `node` along element k. */
static void follow(struct search *search, uint32_t node, uint32_t k) {
  struct pl_trial *trial = search->trial;
  uint32_t other = pl_element_other(&trial->elements[k], node);

  if (trial->reached[other])
    return;
  if (trial->mode[k] == PL_MODE_CONDUCTS && !is_against(&trial->elements[k], node)) {
    trial->reached[other] = true;
    trial->queue[search->tail++] = other;
  } else if (is_last_resort(&trial->elements[k], trial->mode[k], node)) {
    trial->deferred[search->waiting++] = k;
  }
}

/* Follows everything at the nodes in the queue from `head` on; returns where the queue ends. */
static uint32_t follow_all(struct search *search, uint32_t head) {
  const struct pl_trial *trial = search->trial;
  const struct pl_network *network = trial->network;
  const struct pl_element *loose = NULL;

  if (network->loose != PL_NONE)
    loose = &trial->elements[network->loose];
  for (; head < search->tail; head++) {
    uint32_t node = trial->queue[head];
    const uint32_t *end = pl_touch_end(network, node);
    for (const uint32_t *at = pl_touch_first(network, node); at < end; at++)
      follow(search, node, *at);
    if (loose != NULL && (loose->node_a == node || loose->node_b == node))
      follow(search, node, network->loose);
  }
  return head;
}

/* Breadth first along what conducts; where that ends, through the first last resort that was put
 * off, and on.  Every element is looked at twice, from either end. */
void pl_islands_search(struct pl_trial *trial) {
  const struct pl_network *network = trial->network;
  struct search search = {.trial = trial};
  uint32_t head = 0;

  memset(trial->reached, 0, network->node_count * sizeof *trial->reached);
  memset(trial->forced, 0, network->elements.n * sizeof *trial->forced);
  trial->reached[network->reference] = true;
  trial->queue[search.tail++] = network->reference;
  head = follow_all(&search, head);
  for (uint32_t next = 0; next < search.waiting; next++) {
    uint32_t k = trial->deferred[next];
    const struct pl_element *e = &trial->elements[k];
    if (pl_trial_reaches(trial, e))
      continue;
    uint32_t other = trial->reached[e->node_a] ? e->node_b : e->node_a;
    trial->forced[k] = true;
    trial->mode[k] = PL_MODE_CONDUCTS;
    trial->reached[other] = true;
    trial->queue[search.tail++] = other;
    head = follow_all(&search, head);
  }
}
