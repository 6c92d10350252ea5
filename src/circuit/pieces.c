/* A circuit as pieces: which symbol stands for what, which pin faces up, where wires end on a
 * supply line or on ground. Knows no places. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "circuit/make_inner.h"
#include "draw/frame.h"
#include "draw/metrics.h"
#include "draw/supply.h"

struct end_of {
  pl_id pin;
  uint32_t wire;
  int end;
  uint32_t device_turn;
};

struct maker {
  struct pl_paths *paths;
  struct end_of *ends;
  uint32_t n; /* ends that are ports, by device as first touched, pin, wire */
};

static const struct pl_device *device_of(const struct pl_paths *paths, pl_id pin) {
  return &paths->harness->devices.at[paths->harness->pins.at[pin].device];
}

static const struct pl_wire *wire_of(const struct pl_paths *paths, uint32_t wire) {
  return &paths->harness->wires.at[paths->wires.at[wire].wire];
}

/* ---- ports ---- */

static uint32_t new_piece(struct pl_paths *paths, enum pl_symbol symbol, pl_id device) {
  struct pl_piece piece = {.symbol = symbol,
                           .device = device,
                           .first_port = paths->ports.n,
                           .twin = UINT32_MAX};
  PL_PUSH(paths->arena, &paths->pieces, piece);
  return paths->pieces.n - 1;
}

static void add_port(struct pl_paths *paths, uint32_t piece, struct pl_port port) {
  port.piece = piece;
  if (port.wire != UINT32_MAX) {
    uint32_t *mine = &paths->wires.at[port.wire].end[port.end].port;
    if (*mine == UINT32_MAX)
      *mine = paths->ports.n;
    else
      port.wire = UINT32_MAX; /* the pin belongs to two symbols: the wire is at the first */
  }
  PL_PUSH(paths->arena, &paths->ports, port);
  paths->pieces.at[piece].port_count++;
}

/* A pin without a wire in this circuit. */
static struct pl_port bare_port(struct pl_paths *paths, pl_id pin, bool top) {
  struct pl_port port = {.pin = pin, .wire = UINT32_MAX, .top = top};
  const struct pl_pin *one = &paths->harness->pins.at[pin];
  const struct pl_device *device = device_of(paths, pin);
  if (one->wires.n > 0) {
    port.elsewhere = pl_elsewhere_at(paths, pin);
  } else if (device->body != PL_NONE && !top) {
    port.earthed = true;
  }
  return port;
}

/* All wire ends of one pin, and a bare port for what goes on in other circuits; a bare port when
 * there are none. */
static void add_pin(struct maker *maker,
                    uint32_t piece,
                    const struct end_of *ends,
                    uint32_t n,
                    pl_id pin,
                    bool top) {
  bool any = false;
  for (uint32_t i = 0; i < n; i++) {
    if (ends[i].pin != pin)
      continue;
    add_port(maker->paths,
             piece,
             (struct pl_port){.pin = pin, .wire = ends[i].wire, .end = ends[i].end, .top = top});
    any = true;
  }
  if (!any || pl_elsewhere_at(maker->paths, pin).n > 0)
    add_port(maker->paths, piece, bare_port(maker->paths, pin, top));
}

static bool touched(const struct end_of *ends, uint32_t n, pl_id pin) {
  for (uint32_t i = 0; i < n; i++)
    if (ends[i].pin == pin)
      return true;
  return false;
}

/* ---- the symbols of each kind ---- */

static void make_bar(struct maker *maker, pl_id device, const struct end_of *ends, uint32_t n) {
  struct pl_paths *paths = maker->paths;
  uint32_t piece = new_piece(paths, PL_SYM_BAR, device);
  paths->pieces.at[piece].split = true;
  struct pl_elsewhere elsewhere = pl_elsewhere_at(paths, ends[0].pin);
  if (elsewhere.n > 0) /* stays with the first wire: see circuit.c */
    add_port(paths,
             piece,
             (struct pl_port){.pin = ends[0].pin,
                              .wire = UINT32_MAX,
                              .top = pl_elsewhere_feeds(paths, &elsewhere, ends[0].pin),
                              .elsewhere = elsewhere});
  for (uint32_t i = 0; i < n; i++) {
    bool top = paths->wires.at[ends[i].wire].upper != ends[i].end;
    add_port(
        paths,
        piece,
        (struct pl_port){.pin = ends[i].pin, .wire = ends[i].wire, .end = ends[i].end, .top = top});
  }
  pl_piece_add_texts(paths, &paths->pieces.at[piece], PL_PIECE_TEXT_WIDTH, 2, false);
}

static void make_two(struct maker *maker,
                     enum pl_symbol symbol,
                     pl_id device,
                     const struct end_of *ends,
                     uint32_t n,
                     pl_id a,
                     pl_id b) {
  struct pl_paths *paths = maker->paths;
  uint32_t piece = new_piece(paths, symbol, device);
  double high_a = pl_flow_height(paths->flow, a);
  double high_b = pl_flow_height(paths->flow, b);
  bool flipped = high_b < high_a;
  /* ends that hang on a line say it more surely */
  for (uint32_t i = 0; i < n; i++) {
    enum pl_end_kind other = paths->wires.at[ends[i].wire].end[!ends[i].end].kind;
    if (other == PL_END_PORT)
      continue;
    if (ends[i].pin != a && ends[i].pin != b)
      continue;
    flipped = (other == PL_END_RAIL) != (ends[i].pin == a);
    break;
  }
  paths->pieces.at[piece].flipped = flipped;
  add_pin(maker, piece, ends, n, flipped ? b : a, true);
  add_pin(maker, piece, ends, n, flipped ? a : b, false);
  if (symbol == PL_SYM_COIL) {
    pl_piece_add_texts(paths, &paths->pieces.at[piece], PL_PIECE_TEXT_WIDTH, 1, false);
    const struct pl_device *row = &paths->harness->devices.at[device];
    if (!isnan(row->coil_ohms))
      pl_piece_add_line(&paths->pieces.at[piece], pl_piece_ohms(paths, row->coil_ohms));
    if (row->suppression[0] != '\0' && strcmp(row->suppression, "none") != 0)
      pl_piece_add_line(&paths->pieces.at[piece],
                        pl_text_fit(paths->arena,
                                    row->suppression,
                                    PL_TEXT_SIZE,
                                    false,
                                    PL_PIECE_TEXT_WIDTH + 3));
  } else if (symbol == PL_SYM_CAVITY) {
    struct pl_piece *one = &paths->pieces.at[piece];
    pl_piece_add_line(one,
                      pl_text_fit(paths->arena,
                                  paths->harness->devices.at[device].name,
                                  PL_NAME_SIZE,
                                  true,
                                  PL_PIECE_TEXT_WIDTH));
  } else {
    pl_piece_add_texts(paths, &paths->pieces.at[piece], PL_PIECE_TEXT_WIDTH, 3, true);
  }
}

static bool module_low_side_hangs(const struct pl_flow *flow, pl_id pin) {
  pl_id source = flow->source[pin];
  if (source == PL_NONE)
    return false;
  return pl_kind_is(flow->harness->devices.at[flow->harness->pins.at[source].device].kind,
                    PL_IS_MODULE);
}

static bool is_bare_connector(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_PLUG) && !pl_kind_is(kind, PL_IS_INLINE);
}

/* Does a module's pin of this role face up? */
static bool module_pin_top(const struct pl_flow *flow, const struct pl_pin *one, pl_id pin) {
  bool fed = pl_flow_fed(flow, pin) && !module_low_side_hangs(flow, pin);
  switch (one->role) {
    case PL_ROLE_BATTERY_FEED:
    case PL_ROLE_KEYED_INPUT:
    case PL_ROLE_PLUS:
      return true;
    case PL_ROLE_LOW_SIDE:
      return !module_low_side_hangs(flow, pin);
    case PL_ROLE_SWITCH_INPUT: {
      bool pulled_to_ground = one->pull_volts >= 0 && one->pull_volts <= 0;
      return pulled_to_ground || fed;
    }
    case PL_ROLE_PASSIVE:
      return fed;
    case PL_ROLE_GROUND:
    case PL_ROLE_HIGH_SIDE:
    case PL_ROLE_SENSOR_SUPPLY:
    case PL_ROLE_SENSOR_RETURN:
    case PL_ROLE_SIGNAL_INPUT:
    case PL_ROLE_DATA_HIGH:
    case PL_ROLE_DATA_LOW:
    case PL_ROLE_SHIELD:
    case PL_ROLE_MINUS:
    case PL_ROLE_UNUSED:
      return false;
  }
  return false;
}

/* Does a pin of a box face up, to the supply? */
static bool box_pin_top(const struct pl_paths *paths, pl_id pin) {
  const struct pl_flow *flow = paths->flow;
  enum pl_kind kind = device_of(paths, pin)->kind;
  bool fed = pl_flow_fed(flow, pin) && !module_low_side_hangs(flow, pin);
  if (pl_kind_is(kind, PL_IS_MODULE))
    return module_pin_top(flow, &paths->harness->pins.at[pin], pin);
  if (pl_piece_is_sensor(kind))
    return true;
  if (pl_kind_is(kind, PL_IS_TERMINATOR))
    return true;
  if (pl_kind_is(kind, PL_IS_GENERATOR))
    return !pl_flow_grounded(flow, pin);
  if (is_bare_connector(kind))
    return !pl_flow_grounded(flow, pin) || fed;
  return fed;
}

static void make_box(struct maker *maker, pl_id device, const struct end_of *ends, uint32_t n) {
  struct pl_paths *paths = maker->paths;
  uint32_t piece = new_piece(paths, PL_SYM_BOX, device);
  paths->pieces.at[piece].split = true;
  const struct pl_device *row = &paths->harness->devices.at[device];
  for (uint32_t i = 0; i < n; i++)
    if (i == 0 || ends[i].pin != ends[i - 1].pin)
      add_pin(maker, piece, ends, n, ends[i].pin, box_pin_top(paths, ends[i].pin));
  /* small devices show all their pins */
  if (row->pin_count <= 4 && !pl_kind_is(row->kind, PL_IS_MODULE) && !is_bare_connector(row->kind))
    for (pl_id pin = row->first_pin; pin < row->first_pin + row->pin_count; pin++) {
      if (touched(ends, n, pin))
        continue;
      if (!((row->body != PL_NONE && pin == row->minus) ||
            paths->harness->pins.at[pin].wires.n > 0))
        continue;
      add_pin(maker, piece, ends, n, pin, box_pin_top(paths, pin));
    }
  pl_piece_add_texts(paths, &paths->pieces.at[piece], 34, 2, true);
}

/* ---- switches and relay contacts ---- */

typedef PL_VEC(struct pl_contact) contacts;

static void add_contact(struct pl_paths *paths,
                        contacts *all,
                        struct pl_join join,
                        bool closed,
                        const char *label) {
  bool swap = pl_flow_height(paths->flow, join.b) < pl_flow_height(paths->flow, join.a);
  pl_id common = swap ? join.b : join.a;
  pl_id out = swap ? join.a : join.b;
  for (uint32_t i = 0; i < all->n; i++) {
    struct pl_contact *one = &all->at[i];
    if (!((one->common == common && one->out == out) || (one->common == out && one->out == common)))
      continue;
    one->closed = one->closed || closed;
    if (label[0] != '\0')
      one->label = one->label[0] == '\0'
                       ? label
                       : pl_arena_printf(paths->arena, "%s, %s", one->label, label);
    return;
  }
  struct pl_contact contact = {.common = common, .out = out, .closed = closed, .label = label};
  PL_PUSH(paths->arena, all, contact);
}

static void contacts_of(struct pl_paths *paths, const struct pl_device *device, contacts *all) {
  for (uint32_t i = 0; i < device->make.n; i++)
    add_contact(paths, all, device->make.at[i], false, "");
  for (uint32_t i = 0; i < device->brk.n; i++)
    add_contact(paths, all, device->brk.at[i], true, "");
  for (uint32_t t = 0; t < device->throws.n; t++)
    for (uint32_t i = 0; i < device->throws.at[t].joins.n; i++)
      add_contact(paths,
                  all,
                  device->throws.at[t].joins.at[i],
                  t == device->rest,
                  device->throws.at[t].name);
}

/* Gives every contact's pins one number for each set of pins that belong together. */
static void number_sets(const contacts *all, uint32_t *set) {
  for (uint32_t i = 0; i < all->n; i++)
    set[i] = i;
  for (bool more = true; more;) {
    more = false;
    for (uint32_t i = 0; i < all->n; i++)
      for (uint32_t k = 0; k < i; k++) {
        const struct pl_contact *a = &all->at[i];
        const struct pl_contact *b = &all->at[k];
        bool common_meets = a->common == b->common || a->common == b->out;
        bool out_meets = a->out == b->common || a->out == b->out;
        if (set[i] == set[k])
          continue;
        if (!(common_meets || out_meets))
          continue;
        uint32_t least;
        if (set[i] < set[k])
          least = set[i];
        else
          least = set[k];
        set[i] = least;
        set[k] = least;
        more = true;
      }
  }
}

enum {
  MOST_CONTACTS = 8
};

/* One fan: all contacts share a pin.  Returns false when they do not. */
static bool fan(contacts *some, bool *common_below) {
  bool above = true;
  bool below = true;
  for (uint32_t i = 1; i < some->n; i++) {
    above = above && some->at[i].common == some->at[0].common;
    below = below && some->at[i].out == some->at[0].out;
  }
  if (some->n > 2 && !above &&
      !below) { /* perhaps they only disagree on which end is the upper one */
    pl_id tries[2] = {some->at[0].common, some->at[0].out};
    for (int t = 0; t < 2 && !above; t++) {
      uint32_t same = 0;
      for (uint32_t i = 0; i < some->n; i++)
        same += some->at[i].common == tries[t] || some->at[i].out == tries[t];
      if (same < some->n)
        continue;
      for (uint32_t i = 0; i < some->n; i++)
        if (some->at[i].out == tries[t]) {
          some->at[i].out = some->at[i].common;
          some->at[i].common = tries[t];
        }
      above = true;
    }
  }
  *common_below = !above && below;
  return (above || below) && some->n <= MOST_CONTACTS;
}

/* Positions in which a contact closes, for contacts that need a list. */
static void list_contacts(struct pl_paths *paths, struct pl_piece *piece, const contacts *some) {
  for (uint32_t i = 0; i < some->n && piece->line_count < PL_PIECE_LINES; i++) {
    const struct pl_contact *one = &some->at[i];
    const char *when = one->closed ? "closed at rest" : "open at rest";
    const char *rest = "";
    if (one->label[0] != '\0') {
      when = one->label;
      rest = one->closed ? " (rest)" : "";
    }
    const char *text = pl_arena_printf(paths->arena,
                                       "%s-%s %s%s",
                                       paths->harness->pins.at[one->common].name,
                                       paths->harness->pins.at[one->out].name,
                                       when,
                                       rest);
    pl_piece_add_line(piece, pl_text_fit(paths->arena, text, PL_TEXT_SIZE, false, 40));
  }
}

static void
make_contacts(struct maker *maker, pl_id device, const struct end_of *ends, uint32_t n) {
  struct pl_paths *paths = maker->paths;
  const struct pl_device *row = &paths->harness->devices.at[device];
  contacts all = {0};
  contacts_of(paths, row, &all);
  uint32_t *set = PL_NEW_ARRAY(paths->arena, uint32_t, all.n + 1);
  number_sets(&all, set);
  bool first = true;
  for (uint32_t s = 0; s < all.n; s++) {
    contacts some = {0};
    for (uint32_t i = 0; i < all.n; i++) {
      if (set[i] != s)
        continue;
      if (!(touched(ends, n, all.at[i].common) || touched(ends, n, all.at[i].out)))
        continue;
      PL_PUSH(paths->arena, &some, all.at[i]);
    }
    if (some.n == 0)
      continue;
    bool below = false;
    bool good = fan(&some, &below);
    uint32_t piece = new_piece(paths, good ? PL_SYM_CONTACTS : PL_SYM_BOX, device);
    paths->pieces.at[piece].split = !good;
    paths->pieces.at[piece].flipped = below;
    if (good) {
      add_pin(maker, piece, ends, n, below ? some.at[0].out : some.at[0].common, !below);
      for (uint32_t i = 0; i < some.n; i++) {
        add_pin(maker, piece, ends, n, below ? some.at[i].common : some.at[i].out, below);
        some.at[i].label = pl_text_fit(paths->arena, some.at[i].label, PL_TEXT_SIZE, false, 34);
        PL_PUSH(paths->arena, &paths->pieces.at[piece].contacts, some.at[i]);
      }
    } else {
      for (pl_id pin = row->first_pin; pin < row->first_pin + row->pin_count; pin++) {
        bool common = false;
        bool out = false;
        for (uint32_t i = 0; i < some.n; i++) {
          common = common || some.at[i].common == pin;
          out = out || some.at[i].out == pin;
        }
        if (common || out)
          add_pin(maker, piece, ends, n, pin, common && !out);
      }
    }
    pl_piece_add_texts(paths,
                       &paths->pieces.at[piece],
                       good ? PL_PIECE_TEXT_WIDTH : 40,
                       first ? 2 : 1,
                       false);
    if (!good)
      list_contacts(paths, &paths->pieces.at[piece], &some);
    first = false;
  }
  /* pins that no position joins */
  for (uint32_t i = 0; i < n; i++) {
    pl_id pin = ends[i].pin;
    bool known = pin == row->coil_a || pin == row->coil_b || (i > 0 && ends[i - 1].pin == pin);
    for (uint32_t k = 0; k < all.n; k++)
      known = known || all.at[k].common == pin || all.at[k].out == pin;
    if (known)
      continue;
    uint32_t piece = new_piece(paths, PL_SYM_BOX, device);
    paths->pieces.at[piece].split = true;
    add_pin(maker, piece, ends, n, pin, pl_flow_fed(paths->flow, pin));
    pl_piece_add_texts(paths, &paths->pieces.at[piece], 34, 2, false);
  }
}

static void make_relay(struct maker *maker, pl_id device, const struct end_of *ends, uint32_t n) {
  struct pl_paths *paths = maker->paths;
  const struct pl_device *row = &paths->harness->devices.at[device];
  uint32_t first = paths->pieces.n;
  if (row->coil_a != PL_NONE && row->coil_b != PL_NONE &&
      (touched(ends, n, row->coil_a) || touched(ends, n, row->coil_b)))
    make_two(maker, PL_SYM_COIL, device, ends, n, row->coil_a, row->coil_b);
  make_contacts(maker, device, ends, n);
  for (uint32_t i = first; i + 1 < paths->pieces.n; i++)
    paths->pieces.at[i].twin = i + 1;
  if (paths->pieces.n > first + 1)
    paths->pieces.at[paths->pieces.n - 1].twin = first;
}

/* The pin of the other half of a plug that mates with this one; PL_NONE. */
static pl_id mate_of(const struct pl_device *device, pl_id pin) {
  for (uint32_t i = 0; i < device->fixed.n; i++) {
    const struct pl_join *join = &device->fixed.at[i];
    if (join->a == pin && join->b != PL_NONE)
      return join->b;
    if (join->b == pin && join->a != PL_NONE)
      return join->a;
  }
  return PL_NONE;
}

static void make_inline(struct maker *maker, pl_id device, const struct end_of *ends, uint32_t n) {
  struct pl_paths *paths = maker->paths;
  const struct pl_device *row = &paths->harness->devices.at[device];
  for (uint32_t i = 0; i < n; i++) {
    pl_id pin = ends[i].pin;
    pl_id mate = mate_of(row, pin);
    if (i > 0 && ends[i - 1].pin == pin)
      continue;
    if (mate != PL_NONE && mate < pin && touched(ends, n, mate))
      continue; /* made with its mate */
    uint32_t same = 1;
    while (i + same < n && ends[i + same].pin == pin)
      same++;
    if (mate == PL_NONE)
      make_box(maker, device, ends + i, same);
    else
      make_two(maker,
               PL_SYM_CAVITY,
               device,
               ends,
               n,
               pin < mate ? pin : mate,
               pin < mate ? mate : pin);
  }
}

/* So many wires on one pin that they may have to be shared out over pages. */
static bool crowded(const struct end_of *ends, uint32_t n) {
  for (uint32_t i = 0; i + MOST_CONTACTS - 1 < n; i++)
    if (ends[i].pin == ends[i + MOST_CONTACTS - 1].pin)
      return true;
  return false;
}

static void make_device(struct maker *maker, pl_id device, const struct end_of *ends, uint32_t n) {
  const struct pl_device *row = &maker->paths->harness->devices.at[device];
  if (!pl_kind_is(row->kind, PL_IS_NODE) && crowded(ends, n)) {
    make_box(maker, device, ends, n);
    return;
  }
  switch (pl_kind_row(row->kind)->form) {
    case PL_FORM_NODE:
      make_bar(maker, device, ends, n);
      return;
    case PL_FORM_RELAY:
      make_relay(maker, device, ends, n);
      return;
    case PL_FORM_CONTACTS:
      make_contacts(maker, device, ends, n);
      return;
    case PL_FORM_HALVES:
      make_inline(maker, device, ends, n);
      return;
    case PL_FORM_BOX:
      make_box(maker, device, ends, n);
      return;
    case PL_FORM_TWO_ENDS:
      if (row->pin_count == 2)
        make_two(maker, PL_SYM_TWO, device, ends, n, row->first_pin, row->first_pin + 1);
      else
        make_box(maker, device, ends, n);
      return;
  }
}

static int by_place(const void *left, const void *right) {
  const struct end_of *a = left;
  const struct end_of *b = right;
  if (a->device_turn != b->device_turn)
    return a->device_turn < b->device_turn ? -1 : 1;
  if (a->pin != b->pin)
    return a->pin < b->pin ? -1 : 1;
  if (a->wire != b->wire)
    return a->wire < b->wire ? -1 : 1;
  return a->end - b->end;
}

/* An end in the air is a piece of its own. */
static void make_air(struct pl_paths *paths, uint32_t wire, int end) {
  uint32_t piece = new_piece(paths, PL_SYM_AIR, PL_NONE);
  const char *status = "open end";
  if (wire_of(paths, wire)->status == PL_WIRE_DONOR_REMOVED)
    status = "removed";
  else if (wire_of(paths, wire)->status == PL_WIRE_DONOR_CAPPED)
    status = "capped";
  /* it hangs below a pin of a lower edge and stands above one of an upper edge */
  uint32_t other = paths->wires.at[wire].end[!end].port;
  bool top;
  if (other != UINT32_MAX)
    top = !paths->ports.at[other].top;
  else
    top = paths->wires.at[wire].upper != end;
  add_port(paths, piece, (struct pl_port){.pin = PL_NONE, .wire = wire, .end = end, .top = top});
  pl_piece_add_line(&paths->pieces.at[piece], status);
}

static pl_id battery_between_rails(const struct pl_paths *paths) {
  for (uint32_t w = 0; w < paths->wires.n; w++)
    for (int e = 0; e < 2; e++) {
      pl_id pin = wire_of(paths, w)->end[e];
      if (pin == PL_NONE)
        continue;
      if (!pl_kind_is(device_of(paths, pin)->kind, PL_IS_STORE))
        continue;
      pl_id device = paths->harness->pins.at[pin].device;
      pl_id live = pl_supply_pole(paths->harness, device, false);
      pl_id earthed = pl_supply_pole(paths->harness, device, true);
      if (live == PL_NONE || earthed == PL_NONE)
        continue;
      if (pin != live)
        continue;
      if (pl_wire_end_of(paths, live).kind != PL_END_RAIL)
        continue;
      if (pl_wire_end_of(paths, earthed).kind != PL_END_EARTH)
        continue;
      for (uint32_t other = 0; other < paths->wires.n; other++)
        if (wire_of(paths, other)->end[0] == earthed || wire_of(paths, other)->end[1] == earthed)
          return device;
    }
  return PL_NONE;
}

/* Drawn from line to line, without wires: its own are where they end on the lines. */
static void make_battery(struct pl_paths *paths) {
  paths->battery = battery_between_rails(paths);
  if (paths->battery == PL_NONE)
    return;
  uint32_t piece = new_piece(paths, PL_SYM_TWO, paths->battery);
  pl_id live = pl_supply_pole(paths->harness, paths->battery, false);
  pl_id earthed = pl_supply_pole(paths->harness, paths->battery, true);
  paths->pieces.at[piece].flipped = paths->harness->machine.positive_earth;
  add_port(paths, piece, (struct pl_port){.pin = live, .wire = UINT32_MAX, .top = true});
  add_port(paths, piece, (struct pl_port){.pin = earthed, .wire = UINT32_MAX});
  pl_piece_add_texts(paths, &paths->pieces.at[piece], PL_PIECE_TEXT_WIDTH, 2, true);
}

void pl_paths_make(struct pl_paths *paths,
                   const struct pl_flow *flow,
                   const struct pl_solution *solution,
                   pl_id circuit,
                   struct pl_arena *arena) {
  *paths = (struct pl_paths){.harness = flow->harness,
                             .flow = flow,
                             .arena = arena,
                             .circuit = circuit,
                             .battery = PL_NONE,
                             .solution = solution};
  const struct pl_harness *harness = flow->harness;
  const struct pl_circuit *row = &harness->circuits.at[circuit];
  for (uint32_t i = 0; i < row->wires.n; i++) {
    struct pl_path_wire wire = {.wire = row->wires.at[i]};
    PL_PUSH(arena, &paths->wires, wire);
    pl_wire_ends_find(paths, &paths->wires.at[paths->wires.n - 1]);
  }
  make_battery(paths);
  struct maker maker = {.paths = paths,
                        .ends = PL_NEW_ARRAY(arena, struct end_of, 2 * (size_t)paths->wires.n + 1)};
  struct pl_table turns;
  pl_table_init(&turns, arena);
  uint32_t turn = 0;
  for (uint32_t w = 0; w < paths->wires.n; w++)
    for (int e = 0; e < 2; e++) {
      pl_id pin = wire_of(paths, w)->end[e];
      if (paths->wires.at[w].end[e].kind != PL_END_PORT)
        continue;
      if (pin == PL_NONE)
        continue;
      const char *name = device_of(paths, pin)->name;
      uint32_t mine = turn;
      if (!pl_table_find(&turns, name, &mine))
        pl_table_add(&turns, name, turn++);
      maker.ends[maker.n++] = (struct end_of){.pin = pin, .wire = w, .end = e, .device_turn = mine};
    }
  qsort(maker.ends, maker.n, sizeof maker.ends[0], by_place);
  for (uint32_t i = 0, k; i < maker.n; i = k) {
    for (k = i; k < maker.n && maker.ends[k].device_turn == maker.ends[i].device_turn; k++)
      continue;
    make_device(&maker, harness->pins.at[maker.ends[i].pin].device, maker.ends + i, k - i);
  }
  for (uint32_t w = 0; w < paths->wires.n; w++)
    for (int e = 0; e < 2; e++)
      if (wire_of(paths, w)->end[e] == PL_NONE)
        make_air(paths, w, e);
}
