/* Least resistance from and to the battery posts: Dijkstra's search over the elements of the
 * network, with a binary heap (Dijkstra 1959), O((n + m) log m) once for each pole.  Which of them
 * have no other way beside is told by the bridges of the graph of what is fed: depth first, low
 * points (Tarjan 1974), linear. */
#include "rules/ways_inner.h"

#include <math.h>
#include <string.h>

#include "rules/facts_inner.h"

struct search {
  struct pl_ways *ways;
  const uint32_t *first, *around; /* elements at a node */
  const uint8_t *side;            /* by node: the pole it lies on; 0 */
  uint8_t barred;                 /* the pole that this search does not enter */
  double *far;
  uint32_t *by;
  bool *done;
  struct {
    double far;
    uint32_t node;
  } * heap;
  uint32_t waiting;
};

static void push(struct search *s, double far, uint32_t node) {
  uint32_t i = s->waiting++;
  while (i > 0) {
    uint32_t parent = (i - 1) / 2;
    if (!(s->heap[parent].far > far))
      break;
    s->heap[i] = s->heap[parent];
    i = parent;
  }
  s->heap[i].far = far;
  s->heap[i].node = node;
}

static uint32_t pop(struct search *s) {
  uint32_t node = s->heap[0].node;
  uint32_t last = --s->waiting;
  uint32_t i = 0;
  for (;;) {
    uint32_t child = 2 * i + 1;
    if (child >= last)
      break;
    if (child + 1 < last && s->heap[child + 1].far < s->heap[child].far)
      child++;
    if (s->heap[last].far <= s->heap[child].far)
      break;
    s->heap[i] = s->heap[child];
    i = child;
  }
  s->heap[i] = s->heap[last];
  return node;
}

static void start(struct search *s, uint32_t node) {
  if (s->far[node] == 0)
    return;
  s->far[node] = 0;
  push(s, 0, node);
}

static void mark(const struct pl_check *check,
                 struct pl_ways *ways,
                 const struct pl_element *e,
                 uint32_t from,
                 uint32_t to) {
  ways->fuse[to] = ways->fuse[from];
  ways->gate[to] = ways->gate[from];
  if (e->device == PL_NONE)
    return;
  enum pl_kind kind = check->harness->devices.at[e->device].kind;
  if (pl_kind_is_protection(kind))
    ways->fuse[to] = e->device;
  if (pl_kind_is(kind, PL_IS_CONTACTS))
    ways->gate[to] = e->device;
}

static void run(const struct pl_check *check, struct search *s, bool feed) {
  while (s->waiting > 0) {
    uint32_t node = pop(s);
    if (s->done[node])
      continue;
    s->done[node] = true;
    if (node > 0 && pl_network_node_pin(check->network, node) == PL_NONE)
      continue; /* inside a module: its electronics, not copper, lead on */
    for (uint32_t i = s->first[node]; i < s->first[node + 1]; i++) {
      const struct pl_element *e = &s->ways->elements[s->around[i]];
      uint32_t to = pl_element_far_node(e, node);
      double far = s->far[node] + e->ohms;
      if (s->done[to])
        continue;
      if (!(far < s->far[to]))
        continue;
      if (s->side[to] & s->barred)
        continue;
      s->far[to] = far;
      s->by[to] = s->around[i];
      if (feed)
        mark(check, s->ways, e, node, to);
      push(s, far, to);
    }
  }
}

static bool copper(const struct pl_element *e) {
  return e->kind == PL_ELEMENT_WIRE || e->kind == PL_ELEMENT_CONTACT;
}

static void list_around(const struct pl_check *check, struct search *s) {
  const struct pl_ways *ways = s->ways;
  uint32_t *first = PL_NEW_ARRAY(check->arena, uint32_t, (size_t)ways->node_count + 3);
  uint32_t *around = PL_NEW_ARRAY(check->arena, uint32_t, 2 * (size_t)ways->element_count + 1);
  for (uint32_t i = 0; i < ways->element_count; i++)
    if (copper(&ways->elements[i])) {
      first[ways->elements[i].node_a + 2]++;
      first[ways->elements[i].node_b + 2]++;
    }
  for (uint32_t n = 2; n < ways->node_count + 2; n++)
    first[n] += first[n - 1];
  for (uint32_t i = 0; i < ways->element_count; i++)
    if (copper(&ways->elements[i])) {
      around[first[ways->elements[i].node_a + 1]++] = i;
      around[first[ways->elements[i].node_b + 1]++] = i;
    }
  s->first = first;
  s->around = around;
}

/* ---- ways that are the only ones ---- */

/* Depth-first over what is fed: an element is a bridge when nothing beyond it leads
 * back before it. */
struct depth {
  uint32_t *enter, *low, *next, *stack;
  uint32_t turn, n;
};

static bool is_fed(const struct pl_ways *ways, uint32_t node) {
  return isfinite(ways->feed[node]);
}

static void enter(struct depth *d, const struct search *s, uint32_t node) {
  d->enter[node] = d->low[node] = ++d->turn;
  d->next[node] = s->first[node];
  d->stack[d->n++] = node;
}

/* Back from a node whose ways are all walked: is the element that led there a bridge? */
static void leave(struct depth *d, struct pl_ways *ways, uint32_t node, uint32_t by) {
  const struct pl_element *e = &ways->elements[by];
  uint32_t before = pl_element_far_node(e, node);
  if (d->low[node] > d->enter[before])
    ways->bridge[by] = true;
  if (d->low[node] < d->low[before])
    d->low[before] = d->low[node];
}

static void
walk(const struct pl_check *check, struct search *s, struct depth *d, uint32_t root, uint32_t *by) {
  struct pl_ways *ways = s->ways;
  enter(d, s, root);
  while (d->n > 0) {
    uint32_t node = d->stack[d->n - 1];
    bool inside = node > 0 && pl_network_node_pin(check->network, node) ==
                                  PL_NONE; /* of a module, as in run() */
    if (inside || d->next[node] == s->first[node + 1]) {
      d->n--;
      if (node != root)
        leave(d, ways, node, by[node]);
      continue;
    }
    uint32_t k = s->around[d->next[node]++];
    uint32_t to;
    if (ways->elements[k].node_a == node)
      to = ways->elements[k].node_b;
    else
      to = ways->elements[k].node_a;
    if (k == by[node])
      continue;
    if (!is_fed(ways, to))
      continue;
    if (d->enter[to] > 0) {
      if (d->enter[to] < d->low[node])
        d->low[node] = d->enter[to];
    } else {
      by[to] = k;
      enter(d, s, to);
    }
  }
}

static void mark_only_feeds(const struct pl_check *check, struct search *s, uint32_t root) {
  struct pl_ways *ways = s->ways;
  size_t room = (size_t)ways->node_count + 1;
  struct depth d = {PL_NEW_ARRAY(check->arena, uint32_t, room),
                    PL_NEW_ARRAY(check->arena, uint32_t, room),
                    PL_NEW_ARRAY(check->arena, uint32_t, room),
                    PL_NEW_ARRAY(check->arena, uint32_t, room),
                    0,
                    0};
  uint32_t *by = PL_NEW_ARRAY(check->arena, uint32_t, room);
  for (uint32_t n = 0; n < room; n++)
    by[n] = UINT32_MAX;
  walk(check, s, &d, root, by);
  for (uint32_t n = 0; n < ways->node_count;
       n++) { /* up the least way, which takes every bridge that there is */
    uint32_t at = n;
    uint32_t turn = 0;
    while (is_fed(ways, n) && at != root && ways->feed_by[at] != UINT32_MAX &&
           ways->bridge[ways->feed_by[at]] && !ways->only_feed[at] && turn++ < ways->node_count) {
      const struct pl_element *e = &ways->elements[ways->feed_by[at]];
      if (e->node_a == at)
        at = e->node_b;
      else
        at = e->node_a;
    }
    ways->only_feed[n] = is_fed(ways, n) && (at == root || ways->only_feed[at]);
  }
}

/* Volts and ohms of the batteries in series that end in this one. */
static void add_bank(const struct pl_check *check,
                     struct pl_ways *ways,
                     pl_id battery,
                     bool live_is_plus,
                     const uint32_t *source,
                     double *siemens) {
  const struct pl_harness *h = check->harness;
  double volts = 0;
  double ohms = 0;
  pl_id at = battery;
  for (uint32_t turn = 0; at != PL_NONE && turn < h->devices.n; turn++) {
    const struct pl_device *device = &h->devices.at[at];
    if (source[at] != PL_NONE) {
      volts += ways->elements[source[at]].volts;
      ohms += ways->elements[source[at]].ohms;
    }
    pl_id other = live_is_plus ? device->minus : device->plus;
    pl_id next = PL_NONE;
    for (pl_id d = 0; other != PL_NONE && d < h->devices.n && next == PL_NONE; d++) {
      const struct pl_device *with = &h->devices.at[d];
      pl_id post = live_is_plus ? with->plus : with->minus;
      if (pl_kind_is(with->kind, PL_IS_STORE) && d != battery && d != at && post != PL_NONE &&
          pl_same_net(check, post, other))
        next = d;
    }
    at = next;
  }
  if (volts > ways->volts)
    ways->volts = volts;
  if (ohms > 0)
    *siemens += 1 / ohms;
}

static void make_room(const struct pl_check *check, struct pl_ways *ways) {
  ways->elements = check->solutions[0].elements;
  ways->element_count = check->solutions[0].element_count;
  ways->node_count = pl_network_node_count(check->network);
  size_t room = (size_t)ways->node_count + 1;
  ways->feed = PL_NEW_ARRAY(check->arena, double, room);
  ways->back = PL_NEW_ARRAY(check->arena, double, room);
  ways->feed_by = PL_NEW_ARRAY(check->arena, uint32_t, room);
  ways->back_by = PL_NEW_ARRAY(check->arena, uint32_t, room);
  ways->fuse = PL_NEW_ARRAY(check->arena, pl_id, room);
  ways->gate = PL_NEW_ARRAY(check->arena, pl_id, room);
  ways->only_feed = PL_NEW_ARRAY(check->arena, bool, room);
  ways->bridge = PL_NEW_ARRAY(check->arena, bool, (size_t)ways->element_count + 1);
  for (uint32_t n = 0; n < room; n++) {
    ways->feed[n] = ways->back[n] = INFINITY;
    ways->feed_by[n] = ways->back_by[n] = UINT32_MAX;
    ways->fuse[n] = ways->gate[n] = PL_NONE;
  }
}

/* By device: the element that is its source; PL_NONE. */
static uint32_t *sources_of(const struct pl_check *check, const struct pl_ways *ways) {
  const struct pl_harness *h = check->harness;
  uint32_t *source = PL_BY_DEVICE(check, uint32_t);
  for (pl_id d = 0; d < h->devices.n; d++)
    source[d] = PL_NONE;
  for (uint32_t i = 0; i < ways->element_count; i++) {
    if (ways->elements[i].kind != PL_ELEMENT_SOURCE)
      continue;
    if (ways->elements[i].device == PL_NONE)
      continue;
    source[ways->elements[i].device] = i;
  }
  return source;
}

const struct pl_ways *pl_ways_new(const struct pl_check *check, const uint8_t *pole, uint8_t live) {
  const struct pl_harness *h = check->harness;
  struct pl_ways *ways = PL_NEW(check->arena, struct pl_ways);
  double siemens = 0;
  uint32_t batteries = 0;
  uint32_t root = 0;
  if (h->states.n == 0)
    return ways;
  if (check->solutions[0].elements == NULL)
    return ways;
  if (!h->grounded)
    return ways;
  make_room(check, ways);
  size_t room = (size_t)ways->node_count + 1;
  uint8_t *side = PL_NEW_ARRAY(check->arena, uint8_t, room);
  for (pl_id p = 0; p < h->pins.n; p++)
    side[pl_network_pin_node(check->network, p)] |= pole[p];
  uint32_t *source = sources_of(check, ways);
  struct search s = {.ways = ways, .side = side};
  list_around(check, &s);
  s.heap = pl_arena_alloc(check->arena, 2 * (size_t)ways->element_count + room + 1, sizeof *s.heap);
  for (int way = 0; way < 2; way++) {
    bool feed = way == 0;
    if (feed)
      s.far = ways->feed;
    else
      s.far = ways->back;
    if (feed)
      s.by = ways->feed_by;
    else
      s.by = ways->back_by;
    s.done = PL_NEW_ARRAY(check->arena, bool, room);
    if (feed)
      s.barred = (uint8_t)(3 - live);
    else
      s.barred = live;
    for (pl_id d = 0; d < h->devices.n; d++) {
      const struct pl_device *device = &h->devices.at[d];
      if (!pl_kind_is(device->kind, PL_IS_STORE))
        continue;
      if (device->plus == PL_NONE)
        continue;
      if (device->minus == PL_NONE)
        continue;
      if (feed)
        batteries++;
      pl_id post = (live == PL_POLE_PLUS) == feed ? device->plus : device->minus;
      if (!(pole[post] & (feed ? live : 3 - live)))
        continue; /* amid a series */
      start(&s, pl_network_pin_node(check->network, post));
      if (feed)
        root = pl_network_pin_node(check->network, post);
      if (feed)
        add_bank(check, ways, d, live == PL_POLE_PLUS, source, &siemens);
    }
    run(check, &s, feed);
    if (feed && batteries == 1 && isfinite(ways->feed[root]))
      mark_only_feeds(check, &s, root);
  }
  if (siemens > 0)
    ways->ohms = 1 / siemens;
  else
    ways->ohms = INFINITY;
  return ways;
}

static uint32_t node_of(const struct pl_check *check, pl_id pin) {
  if (pin == PL_NONE)
    return PL_NONE;
  if (check->facts->ways->node_count == 0)
    return PL_NONE;
  return pl_network_pin_node(check->network, pin);
}

double pl_ways_feed(const struct pl_check *check, pl_id pin) {
  uint32_t node = node_of(check, pin);
  if (node == PL_NONE)
    return INFINITY;
  return check->facts->ways->feed[node];
}

double pl_ways_back(const struct pl_check *check, pl_id pin) {
  uint32_t node = node_of(check, pin);
  if (node == PL_NONE)
    return INFINITY;
  return check->facts->ways->back[node];
}

pl_id pl_ways_fuse(const struct pl_check *check, pl_id pin) {
  uint32_t node = node_of(check, pin);
  if (node == PL_NONE)
    return PL_NONE;
  return check->facts->ways->fuse[node];
}

pl_id pl_ways_gate(const struct pl_check *check, pl_id pin) {
  uint32_t node = node_of(check, pin);
  if (node == PL_NONE)
    return PL_NONE;
  return check->facts->ways->gate[node];
}

bool pl_ways_is_only_feed(const struct pl_check *check, pl_id pin) {
  uint32_t node = node_of(check, pin);
  return node != PL_NONE && check->facts->ways->only_feed[node];
}

bool pl_ways_fuse_is_bridge(const struct pl_check *check, pl_id pin) {
  const struct pl_ways *ways = check->facts->ways;
  uint32_t node = node_of(check, pin);
  pl_id fuse = PL_NONE;
  if (node != PL_NONE)
    fuse = ways->fuse[node];
  for (uint32_t turn = 0;
       fuse != PL_NONE && turn < ways->node_count && ways->feed_by[node] != UINT32_MAX;
       turn++) {
    const struct pl_element *e = &ways->elements[ways->feed_by[node]];
    if (e->device == fuse)
      return ways->bridge[ways->feed_by[node]];
    if (e->node_a == node)
      node = e->node_b;
    else
      node = e->node_a;
  }
  return false;
}

double pl_ways_short(const struct pl_check *check, pl_id plus, pl_id minus) {
  double ohms = check->facts->ways->ohms + pl_ways_feed(check, plus) +
                (minus == PL_NONE ? 0 : pl_ways_back(check, minus));
  if (isfinite(ohms) && ohms > 0)
    return check->facts->ways->volts / ohms;
  return 0;
}
