/* One fault at a time on a shadow of the network, and its full solution from rest: the reference
 * for sweep.c.  The healthy network is never changed. */
#include "fault/shadow_inner.h"

#include <math.h>
#include <string.h>

/* ---- the shadow ---- */

static void list_by_device(struct pl_shadow *shadow) {
  const struct pl_network *network = &shadow->network;
  uint32_t devices = network->harness->devices.n;
  uint32_t *start = PL_NEW_ARRAY(network->arena, uint32_t, (size_t)devices + 2);

  shadow->of_device = PL_NEW_ARRAY(network->arena, uint32_t, network->elements.n);
  for (uint32_t k = 0; k < network->elements.n; k++)
    if (network->elements.at[k].device != PL_NONE)
      start[network->elements.at[k].device + 2]++;
  for (uint32_t d = 0; d < devices; d++)
    start[d + 2] += start[d + 1];
  for (uint32_t k = 0; k < network->elements.n; k++)
    if (network->elements.at[k].device != PL_NONE)
      shadow->of_device[start[network->elements.at[k].device + 1]++] = k;
  shadow->of_start = start;
}

/* The battery with an end at `node`, else PL_NONE. */
static uint32_t battery_at(const struct pl_network *network, uint32_t node, uint32_t *other) {
  bool positive = network->harness->machine.positive_earth;

  for (pl_id id = 0; id < network->harness->devices.n; id++) {
    uint32_t k = network->main[id];
    if (!pl_kind_is(network->harness->devices.at[id].kind, PL_IS_STORE))
      continue;
    if (k == PL_NONE)
      continue;
    const struct pl_element *e = &network->elements.at[k];
    if ((positive ? e->node_a : e->node_b) != node)
      continue;
    *other = positive ? e->node_b : e->node_a;
    return k;
  }
  return PL_NONE;
}

/* The unearthed post; of batteries in series the last one's, found along wires. */
static uint32_t live_node(const struct pl_network *network) {
  uint32_t *queue = PL_NEW_ARRAY(network->arena, uint32_t, network->node_count);
  uint32_t live;
  uint32_t next;
  bool *seen = PL_NEW_ARRAY(network->arena, bool, network->node_count);

  if (network->reference == PL_NONE)
    return PL_NONE;
  if (battery_at(network, network->reference, &live) == PL_NONE)
    return PL_NONE;
  seen[network->reference] = true;
  for (;;) {
    uint32_t head = 0;
    uint32_t tail = 0;
    uint32_t found = PL_NONE;
    if (seen[live])
      return live;
    seen[live] = true;
    queue[tail++] = live;
    for (; head < tail && found == PL_NONE; head++) {
      if (battery_at(network, queue[head], &next) != PL_NONE)
        found = next;
      for (uint32_t i = network->touch_start[queue[head]];
           i < network->touch_start[queue[head] + 1];
           i++) {
        const struct pl_element *e = &network->elements.at[network->touch[i]];
        uint32_t other = e->node_a == queue[head] ? e->node_b : e->node_a;
        if (e->kind != PL_ELEMENT_WIRE || seen[other])
          continue;
        seen[other] = true;
        queue[tail++] = other;
      }
    }
    if (found == PL_NONE || seen[found])
      return live;
    live = found;
  }
}

static void make_equations(struct pl_shadow *shadow) {
  struct pl_network *network = &shadow->network;

  shadow->stamps = PL_NEW_ARRAY(network->arena, struct pl_stamp, network->elements.n);
  for (uint32_t k = 0; k < network->elements.n; k++)
    shadow->stamps[k] = (struct pl_stamp){pl_row_of(network, network->elements.at[k].node_a),
                                          pl_row_of(network, network->elements.at[k].node_b)};
  network->sparse =
      pl_sparse_new(network->arena, network->node_count - 1, shadow->stamps, network->elements.n);
}

struct pl_shadow *pl_shadow_new(struct pl_network *healthy) {
  struct pl_arena *arena = healthy->arena;
  struct pl_shadow *shadow = PL_NEW(arena, struct pl_shadow);
  struct pl_network *network = &shadow->network;
  uint32_t home = healthy->reference == PL_NONE ? 0 : healthy->reference;

  *network = *healthy;
  network->elements.at = NULL;
  network->elements.n = network->elements.cap = 0;
  network->drives.at = NULL;
  network->drives.n = network->drives.cap = 0;
  network->touch = network->touch_start = NULL;
  network->sparse = NULL;
  network->trial = NULL;
  network->attached = NULL;
  shadow->healthy = healthy;
  for (uint32_t k = 0; k < healthy->elements.n; k++) {
    PL_PUSH(arena, &network->elements, healthy->elements.at[k]);
    PL_PUSH(arena, &network->drives, healthy->drives.at[k]);
  }
  shadow->join = network->elements.n;
  shadow->aimed_a = shadow->aimed_b = home;
  PL_PUSH(arena,
          &network->elements,
          ((struct pl_element){.kind = PL_ELEMENT_CONTACT,
                               .wire = PL_NONE,
                               .device = PL_NONE,
                               .what = "fault",
                               .pin_a = PL_NONE,
                               .pin_b = PL_NONE,
                               .node_a = home,
                               .node_b = home,
                               .ohms = 1,
                               .limit = INFINITY}));
  PL_PUSH(arena, &network->drives, ((struct pl_drive){.kind = PL_DRIVE_NEVER}));
  if (network->node_count > 0)
    pl_network_touch(network);
  list_by_device(shadow);
  shadow->touched = PL_NEW_ARRAY(arena, uint32_t, network->elements.n);
  shadow->live = live_node(network);
  shadow->held.device = shadow->setting.device = PL_NONE;
  if (healthy->reference != PL_NONE)
    make_equations(shadow);
  return shadow;
}

/* ---- breaking ---- */

static void
touch(struct pl_shadow *shadow, uint32_t k, enum pl_drive_kind drive, double more_ohms) {
  struct pl_network *network = &shadow->network;

  for (uint32_t i = 0; i < shadow->touched_count; i++)
    if (shadow->touched[i] == k)
      return;
  shadow->touched[shadow->touched_count++] = k;
  network->drives.at[k].kind = drive;
  network->elements.at[k].ohms += more_ohms;
}

static void set_join(struct pl_shadow *shadow, uint32_t a, uint32_t b, double ohms) {
  struct pl_element *e = &shadow->network.elements.at[shadow->join];

  if (a == PL_NONE || b == PL_NONE)
    return;
  if (a == b)
    return;
  e->node_a = a;
  e->node_b = b;
  touch(shadow, shadow->join, PL_DRIVE_NONE, 0);
  e->ohms = fmax(ohms, PL_DEFAULT(LEAST));
}

/* Of these the main element is what breaks: coil, motor, load, bond; contacts and cases stay. */
static const pl_properties main_alone = PL_IS_RELAY | PL_IS_STARTER | PL_IS_BOND | PL_IS_LOAD;

/* Which elements of a device the fault opens (or puts ohms in series with). */
static bool is_broken(const struct pl_shadow *shadow, uint32_t k, pl_id device, bool open) {
  const struct pl_network *network = &shadow->network;
  enum pl_kind kind = network->harness->devices.at[device].kind;

  if (pl_kind_is(kind, PL_IS_RELAY) && !open)
    return network->elements.at[k].kind == PL_ELEMENT_CONTACT;
  if (pl_kind_is(kind, main_alone))
    return k == network->main[device];
  return true;
}

static void break_device(struct pl_shadow *shadow, pl_id device, bool open, double ohms) {
  for (uint32_t i = shadow->of_start[device]; i < shadow->of_start[device + 1]; i++) {
    uint32_t k = shadow->of_device[i];
    if (!is_broken(shadow, k, device, open))
      continue;
    touch(shadow, k, open ? PL_DRIVE_NEVER : shadow->network.drives.at[k].kind, open ? 0 : ohms);
  }
}

static void break_output(struct pl_shadow *shadow, pl_id device, pl_id pin, bool on) {
  for (uint32_t i = shadow->of_start[device]; i < shadow->of_start[device + 1]; i++) {
    uint32_t k = shadow->of_device[i];
    const struct pl_drive *drive = &shadow->healthy->drives.at[k];
    if (drive->kind == PL_DRIVE_OUTPUT && drive->index == pin)
      touch(shadow, k, on ? PL_DRIVE_NONE : PL_DRIVE_NEVER, 0);
  }
}

/* A stuck switch: the contacts whose position the state may name; they follow the stuck one through
 * the setting. */
static void stick_switch(struct pl_shadow *shadow, pl_id device, uint32_t position) {
  shadow->setting = (struct pl_setting){.device = device, .position = position, .span = PL_NO_SPAN};
  for (uint32_t i = shadow->of_start[device]; i < shadow->of_start[device + 1]; i++) {
    uint32_t k = shadow->of_device[i];
    if (shadow->healthy->drives.at[k].kind == PL_DRIVE_THROW)
      touch(shadow, k, PL_DRIVE_THROW, 0);
  }
}

static double ohms_or(double ohms, double otherwise) {
  if (isfinite(ohms) && ohms > 0)
    return ohms;
  return otherwise;
}

static void open_device(struct pl_shadow *shadow, pl_id device) {
  for (uint32_t i = shadow->of_start[device]; i < shadow->of_start[device + 1]; i++)
    touch(shadow, shadow->of_device[i], PL_DRIVE_NEVER, 0);
}

static void open_connector(struct pl_shadow *shadow, pl_id pin) {
  const struct pl_network *network = &shadow->network;
  const struct pl_harness *h = network->harness;
  pl_id id = PL_NONE;
  if (pin < h->pins.n)
    id = h->pins.at[pin].connector;

  if (id == PL_NONE)
    return;
  const struct pl_connector *c = &h->connectors.at[id];
  if (pl_kind_is(h->devices.at[c->device].kind, PL_IS_INLINE)) {
    open_device(shadow, c->device);
    return;
  }
  for (pl_id p = c->first_pin; p < c->first_pin + c->pin_count; p++)
    for (uint32_t i = 0; i < h->pins.at[p].wires.n; i++) {
      uint32_t k = network->wire_element[h->pins.at[p].wires.at[i]];
      if (k != PL_NONE)
        touch(shadow, k, PL_DRIVE_NEVER, 0);
    }
}

static void loosen_wires(struct pl_shadow *shadow, pl_id device, double ohms) {
  const struct pl_network *network = &shadow->network;
  const struct pl_device *d = &network->harness->devices.at[device];

  for (pl_id p = d->first_pin; p < d->first_pin + d->pin_count; p++) {
    const struct pl_pin *pin = &network->harness->pins.at[p];
    for (uint32_t i = 0; i < pin->wires.n; i++) {
      uint32_t k = network->wire_element[pin->wires.at[i]];
      if (k != PL_NONE)
        touch(shadow, k, network->drives.at[k].kind, ohms);
    }
  }
}

static void join_fault(struct pl_shadow *shadow, const struct pl_fault *fault) {
  const struct pl_network *network = &shadow->network;
  uint32_t a = pl_network_pin_node(network, fault->pin_a);
  uint32_t b = PL_NONE;
  double ohms = ohms_or(fault->ohms,
                        fault->kind == PL_FAULT_SHORTED ? PL_DEFAULT(FAULT_SHORTED)
                                                        : PL_DEFAULT(FAULT_CHAFED));

  if (fault->kind == PL_FAULT_TO_CHASSIS) {
    b = network->reference;
  } else if (fault->kind == PL_FAULT_TO_BATTERY) {
    b = shadow->live;
  } else if (fault->device < network->harness->devices.n &&
             network->main[fault->device] != PL_NONE) {
    a = network->elements.at[network->main[fault->device]].node_a;
    b = network->elements.at[network->main[fault->device]].node_b;
  } else {
    b = pl_network_pin_node(network, fault->pin_b);
  }
  set_join(shadow, a, b, ohms);
}

void pl_shadow_break(struct pl_shadow *shadow, const struct pl_fault *fault) {
  const struct pl_network *network = &shadow->network;
  bool wire = fault->wire < network->harness->wires.n;
  bool device = fault->device < network->harness->devices.n;
  double high = ohms_or(fault->ohms, PL_DEFAULT(FAULT_HIGH));

  for (uint32_t i = 0; i < fault->blown_count; i++)
    open_device(shadow, fault->blown[i]);
  switch (fault->kind) {
    case PL_FAULT_OPEN:
    case PL_FAULT_RESISTANCE: {
      bool open = fault->kind == PL_FAULT_OPEN;
      uint32_t k = PL_NONE;
      if (wire)
        k = network->wire_element[fault->wire];
      if (k != PL_NONE)
        touch(shadow, k, open ? PL_DRIVE_NEVER : network->drives.at[k].kind, open ? 0 : high);
      else if (device)
        break_device(shadow, fault->device, open, high);
      break;
    }
    case PL_FAULT_TO_CHASSIS:
    case PL_FAULT_TO_BATTERY:
    case PL_FAULT_SHORTED:
      join_fault(shadow, fault);
      break;
    case PL_FAULT_STUCK_IN:
    case PL_FAULT_STUCK_OUT:
      if (!device || network->coil[fault->device] == PL_NONE)
        break;
      shadow->held = (struct pl_held){fault->device, fault->kind == PL_FAULT_STUCK_IN};
      shadow->network.held = &shadow->held;
      break;
    case PL_FAULT_STUCK_POSITION:
      if (device)
        stick_switch(shadow, fault->device, fault->position);
      break;
    case PL_FAULT_STUCK_ON:
    case PL_FAULT_STUCK_OFF:
      if (device)
        break_output(shadow, fault->device, fault->pin_a, fault->kind == PL_FAULT_STUCK_ON);
      break;
    case PL_FAULT_UNPLUGGED:
      open_connector(shadow, fault->pin_a);
      break;
    case PL_FAULT_LOOSE:
      if (device)
        loosen_wires(shadow, fault->device, high);
      break;
    case PL_FAULT_DEAD:
      if (device)
        open_device(shadow, fault->device);
      break;
  }
}

void pl_shadow_mend(struct pl_shadow *shadow) {
  struct pl_network *network = &shadow->network;

  for (uint32_t i = 0; i < shadow->touched_count; i++) {
    uint32_t k = shadow->touched[i];
    if (k == shadow->join) {
      network->elements.at[k].node_a = network->elements.at[k].node_b = network->reference;
      network->drives.at[k].kind = PL_DRIVE_NEVER;
    } else {
      network->elements.at[k].ohms = shadow->healthy->elements.at[k].ohms;
      network->drives.at[k] = shadow->healthy->drives.at[k];
    }
  }
  shadow->touched_count = 0;
  shadow->setting.device = PL_NONE;
  network->held = NULL;
}

/* ---- the full solution ---- */

/* The state with the stuck switch where it is stuck; valid until the next call. */
static const struct pl_state *stuck_state(struct pl_shadow *shadow, const struct pl_state *state) {
  uint32_t n = state->settings.n;
  struct pl_setting *room = shadow->state.settings.at;
  uint32_t cap = shadow->state.settings.cap;

  if (shadow->setting.device == PL_NONE)
    return state;
  if (cap < n + 1) {
    cap = n + 1;
    room = PL_NEW_ARRAY(shadow->network.arena, struct pl_setting, cap);
  }
  if (n > 0)
    memcpy(room, state->settings.at, n * sizeof *room);
  room[n] = shadow->setting; /* the last of several holds */
  shadow->state = *state;
  shadow->state.settings.at = room;
  shadow->state.settings.n = n + 1;
  shadow->state.settings.cap = cap;
  return &shadow->state;
}

/* A place in the equations for the join, when it has none yet. */
static void aim(struct pl_shadow *shadow) {
  struct pl_network *network = &shadow->network;
  const struct pl_element *e = &network->elements.at[shadow->join];

  if (e->node_a == e->node_b)
    return;
  pl_network_touch(network);
  if (e->node_a == shadow->aimed_a && e->node_b == shadow->aimed_b)
    return;
  shadow->aimed_a = e->node_a;
  shadow->aimed_b = e->node_b;
  if (e->node_b == network->reference || e->node_a == network->reference) {
    pl_sparse_aim(network->sparse,
                  shadow->join,
                  pl_row_of(network, e->node_a == network->reference ? e->node_b : e->node_a));
    return;
  }
  shadow->stamps[shadow->join] =
      (struct pl_stamp){pl_row_of(network, e->node_a), pl_row_of(network, e->node_b)};
  pl_sparse_renew(network->sparse, shadow->stamps);
}

void pl_shadow_solve(struct pl_shadow *shadow,
                     const struct pl_state *state,
                     struct pl_solution *solution) {
  struct pl_network *network = &shadow->network;
  bool joined =
      network->elements.at[shadow->join].node_a != network->elements.at[shadow->join].node_b;

  if (network->sparse != NULL)
    aim(shadow);
  pl_network_solve_again(network, stuck_state(shadow, state), solution, NULL);
  if (network->trial != NULL)
    network->trial->state = NULL;
  if (joined) { /* the lists of touching elements as without the join */
    uint32_t a = network->elements.at[shadow->join].node_a;
    uint32_t b = network->elements.at[shadow->join].node_b;
    network->elements.at[shadow->join].node_a = network->elements.at[shadow->join].node_b =
        network->reference;
    pl_network_touch(network);
    network->elements.at[shadow->join].node_a = a;
    network->elements.at[shadow->join].node_b = b;
  }
}

void pl_shadow_warm(struct pl_shadow *shadow, const struct pl_state *state) {
  struct pl_network *network = &shadow->network;
  uint32_t wires = network->harness->wires.n;

  network->wires_at = NULL;
  pl_shadow_solve(shadow, state, &shadow->warm);
  if (shadow->warm.status != PL_SOLVED)
    return;
  if (shadow->wires_at == NULL)
    shadow->wires_at = PL_NEW_ARRAY(network->arena, double, wires);
  if (wires > 0)
    memcpy(shadow->wires_at, shadow->warm.wire_temperature, wires * sizeof *shadow->wires_at);
  network->wires_at = shadow->wires_at;
}

void pl_shadow_at_places(struct pl_shadow *shadow) {
  const struct pl_harness *harness = shadow->network.harness;

  if (shadow->wires_at == NULL)
    shadow->wires_at = PL_NEW_ARRAY(shadow->network.arena, double, harness->wires.n);
  for (pl_id w = 0; w < harness->wires.n; w++)
    shadow->wires_at[w] = harness->wires.at[w].hot;
  shadow->network.wires_at = shadow->wires_at;
}
