/* Questions with the power off: a wire from end to end, what hangs on a wire to chassis, the inside
 * of a load or coil.  They are told by looking at what is broken, not by solving: everything that
 * could lead round it is off. */
#include <math.h>
#include <string.h>

#include "standard/likely.h"
#include "suspect/suspects_inner.h"

struct off {
  struct pl_suspects *table;
  const struct pl_harness *harness;
  const struct pl_network *network;
  pl_raws *raws;
  const struct pl_solution *rest; /* everything at rest */
  uint32_t *wire_element, *main;  /* by wire; by device: what INSIDE measures.  PL_NONE */
  uint32_t *hard, *hard_start;    /* by node: wires and contacts, without fuses */
  uint32_t *mark, turn, *queue;   /* by node: the turn in which it was found hanging on a wire */
  bool *ground;                   /* by node: hangs on the chassis */
};

/* ---- inside ---- */

/* Cold and still, as work on a bench finds it. */
static double cold_ohms(const struct pl_device *d, double ohms) {
  double times = 1;
  if (pl_kind_is_load(d->kind))
    times = pl_device_inrush(d, NULL);

  return times > 1 ? ohms / times : ohms;
}

static bool is_inside(const struct pl_element *e) {
  static const char *const parts[] =
      {"load", "coil", "sensor", "sender", "gauge", "resistor", "terminator"};

  for (size_t i = 0; i < sizeof parts / sizeof *parts && e->kind == PL_ELEMENT_RESISTANCE; i++)
    if (strcmp(e->what, parts[i]) == 0)
      return true;
  return false;
}

void pl_suspects_off_healthy(struct pl_suspects *table, const struct pl_solution *any) {
  const struct pl_harness *h = table->harness;

  for (uint32_t q = 0; q < table->questions.n; q++) {
    struct pl_question *question = &table->questions.at[q];
    if (question->ask == PL_ASK_WIRE)
      question->healthy = pl_suspects_ohms(pl_wire_copper_ohms(&h->wires.at[question->id]));
    if (question->ask == PL_ASK_FUSE || question->ask == PL_ASK_PANEL ||
        question->ask == PL_ASK_REFIT || question->ask == PL_ASK_SEARCH)
      question->healthy = 0;
    if (question->ask == PL_ASK_LEAK || question->ask == PL_ASK_INSIDE)
      question->healthy = PL_ANSWER_UNKNOWN;
  }
  for (uint32_t k = any == NULL ? 0 : any->element_count; k-- > 0;) {
    const struct pl_element *e = &any->elements[k];
    uint32_t q = PL_NONE;
    if (e->device != PL_NONE && is_inside(e))
      q = pl_suspects_question(table, PL_ASK_INSIDE, PL_NONE, e->device);
    if (q != PL_NONE)
      table->questions.at[q].healthy =
          pl_suspects_ohms(cold_ohms(&h->devices.at[e->device], e->ohms));
  }
}

static double inside_ohms(const struct off *o, pl_id device) {
  uint32_t k = o->main[device];

  if (k == PL_NONE)
    return NAN;
  return cold_ohms(&o->harness->devices.at[device], o->rest->elements[k].ohms);
}

/* With its coil open a meter still sees a suppression resistor beside it. */
static double open_inside(const struct off *o, pl_id device) {
  for (uint32_t k = 0; k < o->rest->element_count; k++)
    if (o->rest->elements[k].device == device &&
        strcmp(o->rest->elements[k].what, "suppression") == 0)
      return o->rest->elements[k].ohms;
  return INFINITY;
}

/* ---- what hangs on a wire ---- */

static bool is_hard(const struct off *o, const struct pl_element *e) {
  if (e->kind != PL_ELEMENT_WIRE && e->kind != PL_ELEMENT_CONTACT)
    return false;
  if (e->device == PL_NONE)
    return true;
  return !pl_kind_is_protection(o->harness->devices.at[e->device].kind);
}

static void find_hard(struct off *o, struct pl_arena *arena) {
  uint32_t nodes = pl_network_node_count(o->network);
  uint32_t *at;

  o->hard_start = PL_NEW_ARRAY(arena, uint32_t, (size_t)nodes + 2);
  for (uint32_t k = 0; k < o->rest->element_count; k++) {
    const struct pl_element *e = &o->rest->elements[k];
    if (!is_hard(o, e))
      continue;
    o->hard_start[e->node_a + 1]++;
    o->hard_start[e->node_b + 1]++;
  }
  for (uint32_t i = 0; i < nodes; i++)
    o->hard_start[i + 1] += o->hard_start[i];
  o->hard = PL_NEW_ARRAY(arena, uint32_t, (size_t)o->hard_start[nodes] + 1);
  at = PL_NEW_ARRAY(arena, uint32_t, (size_t)nodes + 1);
  memcpy(at, o->hard_start, nodes * sizeof *at);
  for (uint32_t k = 0; k < o->rest->element_count; k++) {
    const struct pl_element *e = &o->rest->elements[k];
    if (!is_hard(o, e))
      continue;
    o->hard[at[e->node_a]++] = k;
    o->hard[at[e->node_b]++] = k;
  }
}

/* Marks all that hangs on a node, not through the wire given.  `worked`: switches are worked and
 * relays bridged, except those to the chassis. */
static void spread(struct off *o, uint32_t node, uint32_t but, bool worked) {
  uint32_t n = 0;

  o->turn++;
  o->queue[n++] = node;
  o->mark[node] = o->turn;
  for (uint32_t i = 0; i < n; i++)
    for (uint32_t j = o->hard_start[o->queue[i]]; j < o->hard_start[o->queue[i] + 1]; j++) {
      const struct pl_element *e = &o->rest->elements[o->hard[j]];
      uint32_t other;
      if (e->node_a == o->queue[i])
        other = e->node_b;
      else
        other = e->node_a;
      if (o->hard[j] == but)
        continue;
      if (o->mark[other] == o->turn)
        continue;
      if (e->open && (!worked || o->ground[other]))
        continue;
      o->mark[other] = o->turn;
      o->queue[n++] = other;
    }
}

static bool hangs(const struct off *o, uint32_t node) {
  return o->mark[node] == o->turn;
}

/* One end of it hangs there, the other on the chassis. */
static bool leads_down(const struct off *o, uint32_t a, uint32_t b) {
  if (hangs(o, a) && o->ground[b])
    return true;
  return hangs(o, b) && o->ground[a];
}

static double down_siemens(const struct off *o, pl_id but) {
  double siemens = 0;

  for (uint32_t k = 0; k < o->rest->element_count; k++) {
    const struct pl_element *e = &o->rest->elements[k];
    if (!is_inside(e))
      continue;
    if (e->device == but)
      continue;
    if (!leads_down(o, e->node_a, e->node_b))
      continue;
    siemens += 1 / cold_ohms(&o->harness->devices.at[e->device], e->ohms);
  }
  return siemens;
}

static bool fault_leads_down(const struct off *o, const struct pl_fault *fault, pl_id wire) {
  if (fault->kind == PL_FAULT_TO_CHASSIS)
    return fault->wire == wire || hangs(o, pl_network_pin_node(o->network, fault->pin_a));
  if (fault->kind != PL_FAULT_SHORTED)
    return false;
  if (fault->device != PL_NONE && o->main[fault->device] != PL_NONE) {
    const struct pl_element *e = &o->rest->elements[o->main[fault->device]];
    return leads_down(o, e->node_a, e->node_b);
  }
  if (fault->pin_b == PL_NONE)
    return false;
  return leads_down(o,
                    pl_network_pin_node(o->network, fault->pin_a),
                    pl_network_pin_node(o->network, fault->pin_b));
}

static bool connector_hangs(const struct off *o, pl_id connector) {
  const struct pl_connector *c = &o->harness->connectors.at[connector];

  for (pl_id pin = c->first_pin; pin < c->first_pin + c->pin_count; pin++)
    if (hangs(o, pl_network_pin_node(o->network, pin)))
      return true;
  return false;
}

static bool wire_touches(const struct off *o, pl_id wire) {
  uint32_t k = o->wire_element[wire];

  if (k == PL_NONE)
    return false;
  return hangs(o, o->rest->elements[k].node_a) || hangs(o, o->rest->elements[k].node_b);
}

static void leak_of(struct off *o, uint32_t q, uint32_t s, pl_id wire, double siemens) {
  const struct pl_suspect *suspect = &o->table->suspects.at[s];
  int16_t answer;

  if (suspect->kind == PL_SUSPECT_UNPLUGGED && connector_hangs(o, suspect->connector))
    answer = PL_ANSWER_UNKNOWN;
  else if (suspect->kind != PL_SUSPECT_FAULT)
    return;
  else if (fault_leads_down(o, &suspect->fault, wire))
    answer = pl_suspects_ohms(suspect->fault.ohms);
  else if (suspect->fault.kind == PL_FAULT_OPEN && suspect->fault.device != PL_NONE && siemens > 0)
    answer = pl_suspects_ohms(1 / down_siemens(o, suspect->fault.device));
  else if (suspect->fault.kind == PL_FAULT_OPEN && suspect->fault.wire != PL_NONE && siemens > 0 &&
           wire_touches(o, suspect->fault.wire))
    answer = PL_ANSWER_UNKNOWN; /* the way down may be the one that is broken */
  else
    return;
  for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++)
    pl_suspects_put(o->table, o->raws, v, q, answer);
}

static void leaks(struct off *o) {
  for (pl_id id = 0; id < 2 * o->harness->wires.n; id++) {
    pl_id wire = id / 2;
    uint32_t q = pl_suspects_question(o->table, PL_ASK_LEAK, PL_NONE, id);
    uint32_t k = o->wire_element[wire];
    if (q == PL_NONE || k == PL_NONE)
      continue;
    spread(o,
           pl_network_pin_node(o->network, o->harness->wires.at[wire].end[id % 2 == 0 ? 1 : 0]),
           k,
           false);
    if (hangs(o, pl_network_reference(o->network)))
      continue; /* the chassis itself */
    double siemens = down_siemens(o, PL_NONE);
    o->table->questions.at[q].healthy = pl_suspects_ohms(siemens > 0 ? 1 / siemens : INFINITY);
    for (uint32_t s = 0; s < o->table->suspects.n; s++)
      leak_of(o, q, s, wire, siemens);
  }
}

/* ---- the search along a branch ---- */

/* By node: the first wire of the piece it belongs to, when everything but splices is undone;
 * PL_NONE: none. */
static uint32_t *pieces(const struct off *o, struct pl_arena *arena) {
  const struct pl_harness *h = o->harness;
  uint32_t *piece = PL_NEW_ARRAY(arena, uint32_t, h->wires.n + 1);
  bool changed = true;

  for (pl_id id = 0; id < h->wires.n; id++)
    piece[id] = id;
  while (changed) { /* as often as splices stand in line, at most */
    changed = false;
    for (pl_id pin = 0; pin < h->pins.n; pin++) {
      const struct pl_pin *p = &h->pins.at[pin];
      uint32_t least = PL_NONE;
      if (!pl_device_is(h, p->device, PL_IS_SPLICE))
        continue;
      for (uint32_t i = 0; i < p->wires.n; i++)
        least = piece[p->wires.at[i]] < least ? piece[p->wires.at[i]] : least;
      for (uint32_t i = 0; i < p->wires.n; i++) {
        changed = changed || piece[p->wires.at[i]] != least;
        piece[p->wires.at[i]] = least;
      }
    }
  }
  return piece;
}

static bool wire_hangs(const struct off *o, pl_id wire) {
  uint32_t k = o->wire_element[wire];

  if (k == PL_NONE)
    return false;
  if (!hangs(o, o->rest->elements[k].node_a))
    return false;
  return hangs(o, o->rest->elements[k].node_b);
}

/* From the battery: a wire of the ground side that chafes on a live feed is a short, and it goes
 * when that wire is off. */
static bool shorts_feed(const struct off *o, const struct pl_fault *fault) {
  if (fault->kind != PL_FAULT_TO_BATTERY)
    return false;
  if (fault->wire == PL_NONE)
    return false;
  return o->ground[pl_network_pin_node(o->network, fault->pin_a)];
}

static int16_t search_answer(const struct off *o,
                             const struct pl_fault *fault,
                             const uint32_t *piece,
                             bool from_battery) {
  if (from_battery && shorts_feed(o, fault))
    return (int16_t)(1 + piece[fault->wire]);
  if (fault->kind == PL_FAULT_TO_CHASSIS && fault->wire != PL_NONE)
    return wire_hangs(o, fault->wire) ? (int16_t)(1 + piece[fault->wire]) : 0;
  if (!fault_leads_down(o, fault, PL_NONE))
    return 0;
  pl_id device;
  if (fault->device != PL_NONE)
    device = fault->device;
  else
    device = o->harness->pins.at[fault->pin_a].device;
  return (int16_t)(1 + o->harness->wires.n + device);
}

static void search_from(struct off *o, uint32_t q, uint32_t node, const uint32_t *piece) {
  struct pl_question *question = &o->table->questions.at[q];
  bool from_battery = pl_device_is(o->harness, question->id, PL_IS_STORE);
  uint32_t count = 0;

  spread(o, node, PL_NONE, true);
  if (o->harness->wires.n + o->harness->devices.n > 32000 ||
      hangs(o, pl_network_reference(o->network))) {
    question->healthy = PL_ANSWER_UNKNOWN;
    return;
  }
  for (pl_id id = 0; id < o->harness->wires.n; id++)
    count += piece[id] == id && wire_hangs(o, id); /* ground wires are seldom it */
  question->effort += count * PL_LIKELY(PIECE);
  for (uint32_t s = 0; s < o->table->suspects.n; s++) {
    const struct pl_suspect *suspect = &o->table->suspects.at[s];
    if (suspect->kind != PL_SUSPECT_FAULT)
      continue;
    int16_t answer = search_answer(o, &suspect->fault, piece, from_battery);
    for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++)
      pl_suspects_put(o->table, o->raws, v, q, answer);
  }
}

static void searches(struct off *o, struct pl_arena *arena) {
  const struct pl_harness *h = o->harness;
  const uint32_t *piece = pieces(o, arena);

  for (uint32_t k = 0; k < o->rest->element_count; k++) {
    const struct pl_element *e = &o->rest->elements[k];
    if (e->device == PL_NONE)
      continue;
    if (!pl_device_is(h, e->device, PL_IS_PROTECTION | PL_IS_STORE))
      continue;
    uint32_t q = pl_suspects_question(o->table, PL_ASK_SEARCH, PL_NONE, e->device);
    bool store = pl_device_is(h, e->device, PL_IS_STORE);
    bool from_first = store && !h->machine.positive_earth;
    if (q != PL_NONE)
      search_from(o, q, from_first ? e->node_a : e->node_b, piece);
  }
}

/* ---- faults ---- */

static void put_if(struct off *o, uint32_t variant, enum pl_ask what, pl_id id, int16_t answer) {
  uint32_t question = pl_suspects_question(o->table, what, PL_NONE, id);

  if (question != PL_NONE && o->table->questions.at[question].healthy != PL_ANSWER_UNKNOWN)
    pl_suspects_put(o->table, o->raws, variant, question, answer);
}

static void off_wire(struct off *o, uint32_t variant, const struct pl_fault *fault) {
  if (fault->kind == PL_FAULT_OPEN)
    put_if(o, variant, PL_ASK_WIRE, fault->wire, pl_suspects_ohms(INFINITY));
  if (fault->kind == PL_FAULT_RESISTANCE)
    put_if(o, variant, PL_ASK_WIRE, fault->wire, pl_suspects_ohms(fault->ohms));
}

static void off_device(struct off *o, uint32_t variant, const struct pl_fault *fault) {
  const struct pl_device *d = &o->harness->devices.at[fault->device];

  if (pl_kind_is_protection(d->kind) && fault->kind == PL_FAULT_OPEN)
    put_if(o, variant, PL_ASK_FUSE, fault->device, 1);
  if (fault->kind == PL_FAULT_OPEN)
    put_if(o,
           variant,
           PL_ASK_INSIDE,
           fault->device,
           pl_suspects_ohms(open_inside(o, fault->device)));
  if (fault->kind == PL_FAULT_SHORTED)
    put_if(o, variant, PL_ASK_INSIDE, fault->device, pl_suspects_ohms(fault->ohms));
  if (fault->kind == PL_FAULT_RESISTANCE)
    put_if(o,
           variant,
           PL_ASK_INSIDE,
           fault->device,
           pl_suspects_ohms(inside_ohms(o, fault->device) + fault->ohms));
}

static void faults_off(struct off *o, const struct pl_blown *blown) {
  for (uint32_t s = 0; s < o->table->suspects.n; s++) {
    const struct pl_suspect *suspect = &o->table->suspects.at[s];
    for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++) {
      for (uint32_t i = 0; i < blown[v].n; i++) {
        put_if(o, v, PL_ASK_FUSE, blown[v].fuse[i], 1);
        put_if(o, v, PL_ASK_REFIT, blown[v].fuse[i], (int16_t)(1 + blown[v].state[i]));
      }
      if (suspect->kind != PL_SUSPECT_FAULT)
        continue;
      struct pl_fault fault = pl_suspects_fault(suspect, v);
      if (fault.wire != PL_NONE)
        off_wire(o, v, &fault);
      else if (fault.device != PL_NONE && fault.pin_a == PL_NONE)
        off_device(o, v, &fault);
    }
  }
}

/* ---- the whole ---- */

static void find_elements(struct off *o) {
  for (pl_id id = 0; id < o->harness->wires.n; id++)
    o->wire_element[id] = PL_NONE;
  for (pl_id id = 0; id < o->harness->devices.n; id++)
    o->main[id] = PL_NONE;
  for (uint32_t k = o->rest->element_count; k-- > 0;) {
    const struct pl_element *e = &o->rest->elements[k];
    if (e->wire != PL_NONE)
      o->wire_element[e->wire] = k;
    if (e->device != PL_NONE && is_inside(e))
      o->main[e->device] = k;
  }
}

void pl_suspects_off(struct pl_suspects *table,
                     struct pl_network *network,
                     const struct pl_blown *blown,
                     pl_raws *raws) {
  struct pl_arena *arena = table->arena;
  struct pl_solution *rest = PL_NEW(arena, struct pl_solution);
  uint32_t nodes = pl_network_node_count(network);
  struct off o = {.table = table,
                  .harness = table->harness,
                  .network = network,
                  .raws = raws,
                  .rest = rest};

  pl_network_solve(network, PL_NONE, rest, NULL);
  o.wire_element = PL_NEW_ARRAY(arena, uint32_t, o.harness->wires.n + 1);
  o.main = PL_NEW_ARRAY(arena, uint32_t, o.harness->devices.n + 1);
  find_elements(&o);
  faults_off(&o, blown);
  if (rest->status != PL_SOLVED)
    return;
  if (pl_network_reference(network) == PL_NONE)
    return;
  find_hard(&o, arena);
  o.mark = PL_NEW_ARRAY(arena, uint32_t, (size_t)nodes + 1);
  o.queue = PL_NEW_ARRAY(arena, uint32_t, (size_t)nodes + 1);
  o.ground = PL_NEW_ARRAY(arena, bool, (size_t)nodes + 1);
  spread(&o, pl_network_reference(network), PL_NONE, false);
  for (uint32_t i = 0; i < nodes; i++)
    o.ground[i] = hangs(&o, i);
  leaks(&o);
  searches(&o, arena);
}
