/* The ohm-meter: the network without its sources as a net of resistors, three times over: every
 * part at the least it may have, as stated, at the most.  Each is factored once, with one node of
 * every island held; a reading is one ampere in at one pin and out at the other. */
#include "network/ohms.h"

#include <math.h>
#include <string.h>

#include "network/network_inner.h"
#include "standard/wire.h"

enum layer {
  LEAST,
  STATED,
  MOST,
  LAYERS
};

struct net {      /* of one layer */
  uint32_t *node; /* by node of the network: the first of the nodes that nothing resists between */
  uint32_t *island;         /* by node of the network: the first node of what hangs together */
  uint32_t *row;            /* by node; PL_NO_ROW: held */
  struct pl_sparse *sparse; /* NULL: could not be factored */
  double *x;
  uint32_t rows;
};

struct pl_meter {
  const struct pl_network *network;
  struct net nets[LAYERS];
};

/* ---- what a part may have ---- */

static const struct pl_ohms anything = {0, INFINITY, INFINITY},
                            nothing = {INFINITY, INFINITY, INFINITY};

static struct pl_ohms within(double ohms, double tolerance) {
  return (struct pl_ohms){ohms * (1 - tolerance), ohms, ohms * (1 + tolerance)};
}

static struct pl_ohms wire_ohms(const struct pl_network *network, const struct pl_element *e) {
  double copper = network->heat[e->wire].ohms20;
  double contacts = e->contact_ohms;
  double fault =
      e->ohms - contacts -
      copper * pl_copper_factor(network->heat[e->wire].around); /* resistance that a fault put in */
  struct pl_ohms ohms = within(copper, PL_DEFAULT(TOLERANCE));

  fault = fault > PL_DEFAULT(LEAST) ? fault : 0;
  ohms.least += fault;
  ohms.ohms += contacts + fault;
  ohms.most += 2 * contacts + fault;
  return ohms;
}

/* A filament is cold, a motor stands: the ohms that its switching on says, up to those of running.
 */
static struct pl_ohms load_ohms(const struct pl_network *network, const struct pl_element *e) {
  const struct pl_device *d = &network->harness->devices.at[e->device];
  double tolerance = pl_device_tolerance(d);
  double hot = e->ohms;
  double times = pl_device_inrush(d, NULL);

  if (e->kind == PL_ELEMENT_CURRENT) { /* steady amps: electronics, unless it is a motor */
    if (!(times > 1))
      return anything;
    if (pl_kind_is(d->kind, PL_IS_LAMP))
      return anything;
    hot = pl_first_good(d->load_volts, pl_network_supply(network->harness, d)) / d->load_amps;
  }
  if (!(times > 1))
    return within(hot, tolerance);
  return (struct pl_ohms){hot / times / 2, hot / times, hot * (1 + tolerance)};
}

static bool is_told(const struct pl_device *d) {
  return isfinite(d->ohms) && d->ohms > 0;
}

/* Where the state names no quantity a two-wire sensor or sender may be anywhere on its table; three
 * wires without stated ohms are electronics. */
static struct pl_ohms
sensor_ohms(const struct pl_network *network, const struct pl_state *state, uint32_t k) {
  const struct pl_element *e = &network->elements.at[k];
  const struct pl_drive *drive = &network->drives.at[k];
  const struct pl_device *d = &network->harness->devices.at[e->device];
  double tolerance = pl_device_tolerance(d);
  double level = pl_state_level(state, d->quantity);
  double share = pl_device_reading(d, level);

  if (drive->kind != PL_DRIVE_QUANTITY) {
    if (!is_told(d))
      return anything;
    if (isfinite(share))
      return within(drive->awake *
                        (drive->kind == PL_DRIVE_UPPER ? 1 - fmin(share, 1) : fmax(share, 0)),
                    tolerance);
    return (struct pl_ohms){0, e->ohms, drive->awake * (1 + tolerance)};
  }
  if (isfinite(share))
    return within(share, tolerance);
  if (d->points.n >= 2) {
    double a = d->points.at[0].ohms;
    double b = d->points.at[0].ohms;
    for (uint32_t i = 1; i < d->points.n; i++) {
      a = fmin(a, d->points.at[i].ohms);
      b = fmax(b, d->points.at[i].ohms);
    }
    return (struct pl_ohms){a * (1 - tolerance), e->ohms, b * (1 + tolerance)};
  }
  if (isfinite(d->beta))
    return (struct pl_ohms){0, e->ohms, INFINITY};
  if (is_told(d))
    return within(e->ohms, tolerance);
  return anything;
}

static struct pl_ohms
resistance_ohms(const struct pl_network *network, const struct pl_state *state, uint32_t k) {
  const struct pl_element *e = &network->elements.at[k];
  const struct pl_device *d = &network->harness->devices.at[e->device];

  if (pl_kind_is(d->kind, PL_IS_SENSING))
    return sensor_ohms(network, state, k);
  if (pl_kind_is_load(d->kind))
    return load_ohms(network, e);
  if (pl_kind_is(d->kind, PL_IS_MODULE | PL_IS_GENERATOR))
    return (struct pl_ohms){0, e->ohms, INFINITY}; /* nobody says what else is inside */
  return within(e->ohms, pl_device_tolerance(d));
}

/* What a pin's pull-up or a sensor supply is with the power off is the controller's secret. */
static struct pl_ohms source_ohms(const struct pl_network *network, const struct pl_element *e) {
  enum pl_kind kind = network->harness->devices.at[e->device].kind;

  if (pl_kind_is(kind, PL_IS_STORE))
    return nothing;
  if (pl_kind_is(kind, PL_IS_MODULE) && strcmp(e->what, "pull-up") == 0)
    return (struct pl_ohms){0, e->ohms, INFINITY};
  return anything;
}

static bool is_latched(const struct pl_state *state, pl_id device) {
  for (uint32_t i = 0; i < state->set.n; i++)
    if (state->set.at[i] == device)
      return true;
  return false;
}

/* Open because nothing is energised; `anything` where a transistor may leak. */
static bool is_open(const struct pl_network *network,
                    const struct pl_state *state,
                    uint32_t k,
                    struct pl_ohms *ohms) {
  const struct pl_element *e = &network->elements.at[k];
  const struct pl_drive *drive = &network->drives.at[k];
  const struct pl_device *d;
  if (e->device == PL_NONE)
    d = NULL;
  else
    d = &network->harness->devices.at[e->device];
  bool set = d != NULL && d->latching && is_latched(state, e->device);

  *ohms = nothing;
  switch (drive->kind) {
    case PL_DRIVE_THROW:
      return pl_position_in(network->harness, state, e->device) != drive->index;
    case PL_DRIVE_MAKE:
      return !set;
    case PL_DRIVE_BREAK:
      return set;
    case PL_DRIVE_OUTPUT:
    case PL_DRIVE_SUPPLY:
    case PL_DRIVE_ALTERNATOR:
      *ohms = anything;
      return true;
    case PL_DRIVE_EXCITER:
    case PL_DRIVE_NEVER:
      return true;
    case PL_DRIVE_NONE:
    case PL_DRIVE_PULL:
    case PL_DRIVE_DRAW:
    case PL_DRIVE_STANDING:
    case PL_DRIVE_QUANTITY:
    case PL_DRIVE_UPPER:
    case PL_DRIVE_LOWER:
      return false;
  }
  return false;
}

static struct pl_ohms
element_ohms(const struct pl_network *network, const struct pl_state *state, uint32_t k) {
  const struct pl_element *e = &network->elements.at[k];
  struct pl_ohms ohms;

  if (is_open(network, state, k, &ohms))
    return ohms;
  switch (e->kind) {
    case PL_ELEMENT_WIRE:
      return wire_ohms(network, e);
    case PL_ELEMENT_CONTACT:
      return e->device == PL_NONE ? within(e->ohms, 0) : (struct pl_ohms){0, e->ohms, 2 * e->ohms};
    case PL_ELEMENT_RESISTANCE:
      return resistance_ohms(network, state, k);
    case PL_ELEMENT_CURRENT:
      if (pl_kind_is(network->harness->devices.at[e->device].kind, PL_IS_MODULE))
        return anything;
      return load_ohms(network, e);
    case PL_ELEMENT_SOURCE:
      return source_ohms(network, e);
    case PL_ELEMENT_DIODE:
      return anything;
  }
  return nothing;
}

/* ---- nets ---- */

static uint32_t first_of(uint32_t *parent, uint32_t node) {
  while (parent[node] != node)
    node = parent[node] = parent[parent[node]];
  return node;
}

static void unite(uint32_t *parent, uint32_t a, uint32_t b) {
  a = first_of(parent, a);
  b = first_of(parent, b);
  parent[a > b ? a : b] = a > b ? b : a;
}

static double of_layer(struct pl_ohms ohms, enum layer layer) {
  if (layer == LEAST)
    return ohms.least;
  if (layer == STATED)
    return ohms.ohms;
  return ohms.most;
}

static bool is_path(double ohms) {
  return ohms <= PL_DEFAULT(MOST);
}

/* Nodes that nothing resists between are one, then islands, then a row for every node but the first
 * of each island. */
static void number_rows(const struct pl_network *network,
                        struct net *net,
                        const double *ohms,
                        struct pl_arena *arena) {
  uint32_t n = network->node_count;

  net->node = PL_NEW_ARRAY(arena, uint32_t, n);
  net->island = PL_NEW_ARRAY(arena, uint32_t, n);
  net->row = PL_NEW_ARRAY(arena, uint32_t, n);
  for (uint32_t i = 0; i < n; i++)
    net->node[i] = net->island[i] = i;
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_element *e = &network->elements.at[k];
    if (ohms[k] < PL_DEFAULT(LEAST))
      unite(net->node, e->node_a, e->node_b);
    if (is_path(ohms[k]))
      unite(net->island, e->node_a, e->node_b);
  }
  for (uint32_t i = 0; i < n; i++) {
    net->node[i] = first_of(net->node, i);
    net->island[i] = first_of(net->island, i);
    if (net->node[i] == net->node[net->island[i]])
      net->row[i] = PL_NO_ROW;
    else if (net->node[i] == i)
      net->row[i] = net->rows++;
    else
      net->row[i] = net->row[net->node[i]];
  }
}

static void make_net(const struct pl_network *network,
                     struct net *net,
                     const double *ohms,
                     struct pl_arena *arena) {
  struct pl_stamp *stamps = PL_NEW_ARRAY(arena, struct pl_stamp, network->elements.n);
  uint32_t bad;

  number_rows(network, net, ohms, arena);
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_element *e = &network->elements.at[k];
    bool there = is_path(ohms[k]) && ohms[k] >= PL_DEFAULT(LEAST);
    if (there)
      stamps[k].a = net->row[e->node_a];
    else
      stamps[k].a = PL_NO_ROW;
    if (there)
      stamps[k].b = net->row[e->node_b];
    else
      stamps[k].b = PL_NO_ROW;
  }
  net->x = PL_NEW_ARRAY(arena, double, net->rows);
  net->sparse = pl_sparse_new(arena, net->rows, stamps, network->elements.n);
  pl_sparse_clear(net->sparse);
  for (uint32_t k = 0; k < network->elements.n; k++)
    if (stamps[k].a != stamps[k].b)
      pl_sparse_add(net->sparse, k, 1 / ohms[k]);
  if (pl_sparse_factor(net->sparse, &bad) == PL_SPARSE_GOOD)
    return;
  pl_sparse_release(net->sparse);
  net->sparse = NULL;
}

struct pl_meter *pl_meter_new(const struct pl_network *network,
                              const struct pl_state *state,
                              const bool *off,
                              struct pl_arena *arena) {
  struct pl_meter *meter = PL_NEW(arena, struct pl_meter);
  struct pl_state rest = pl_state_blank();
  double *ohms[LAYERS];

  meter->network = network;
  for (int layer = 0; layer < LAYERS; layer++)
    ohms[layer] = PL_NEW_ARRAY(arena, double, network->elements.n);
  for (uint32_t k = 0; k < network->elements.n; k++) {
    const struct pl_element *e = &network->elements.at[k];
    bool unplugged =
        e->wire == PL_NONE && off != NULL &&
        ((e->pin_a != PL_NONE && off[e->pin_a]) || (e->pin_b != PL_NONE && off[e->pin_b]));
    struct pl_ohms all;
    if (unplugged)
      all = nothing;
    else
      all = element_ohms(network, state == NULL ? &rest : state, k);
    for (int layer = 0; layer < LAYERS; layer++)
      ohms[layer][k] = of_layer(all, (enum layer)layer);
  }
  for (int layer = 0; layer < LAYERS; layer++)
    make_net(network, &meter->nets[layer], ohms[layer], arena);
  return meter;
}

void pl_meter_release(struct pl_meter *meter) {
  for (int layer = 0; meter != NULL && layer < LAYERS; layer++)
    if (meter->nets[layer].sparse != NULL)
      pl_sparse_release(meter->nets[layer].sparse);
}

/* ---- reading ---- */

static double between(struct net *net, uint32_t a, uint32_t b) {
  uint32_t row_a = net->row[a];
  uint32_t row_b = net->row[b];
  double volts = 0;

  if (net->node[a] == net->node[b])
    return 0;
  if (net->island[a] != net->island[b])
    return INFINITY;
  if (net->sparse == NULL)
    return NAN;
  memset(net->x, 0, net->rows * sizeof *net->x);
  if (row_a != PL_NO_ROW)
    net->x[row_a] = 1;
  if (row_b != PL_NO_ROW)
    net->x[row_b] = -1;
  if (!pl_sparse_solve(net->sparse, net->x))
    return NAN;
  if (row_a != PL_NO_ROW)
    volts += net->x[row_a];
  if (row_b != PL_NO_ROW)
    volts -= net->x[row_b];
  if (is_path(volts))
    return fmax(volts, 0);
  return INFINITY;
}

struct pl_ohms pl_meter_ohms(struct pl_meter *meter, pl_id a, pl_id b) {
  uint32_t from = pl_network_pin_node(meter->network, a);
  uint32_t to = pl_network_pin_node(meter->network, b);

  if (from == PL_NONE || to == PL_NONE)
    return (struct pl_ohms){NAN, NAN, NAN};
  return (struct pl_ohms){between(&meter->nets[LEAST], from, to),
                          between(&meter->nets[STATED], from, to),
                          between(&meter->nets[MOST], from, to)};
}

/* ---- unplugging ---- */

void pl_meter_unplug_device(const struct pl_harness *harness, pl_id device, bool *off) {
  const struct pl_device *d = &harness->devices.at[device];

  for (uint32_t i = 0; i < d->pin_count; i++)
    off[d->first_pin + i] = true;
}

void pl_meter_unplug_connector(const struct pl_harness *harness, pl_id connector, bool *off) {
  const struct pl_connector *c = &harness->connectors.at[connector];
  const struct pl_device *d = &harness->devices.at[c->device];

  for (uint32_t i = 0; i < d->pin_count; i++)
    if (harness->pins.at[d->first_pin + i].connector == connector)
      off[d->first_pin + i] = true;
}
