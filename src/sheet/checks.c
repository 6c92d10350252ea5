/* Checks before power: what must conduct, what must not, what is plugged in and what is not, and
 * the poles of every supply pin.  All ohms are solved with the power off, the way a meter would see
 * them. */
#include <math.h>

#include "base/number.h"
#include "sheet/nets_inner.h"
#include "sheet/work_inner.h"
#include "standard/limits_data.h"

static void pin_link(struct pl_sheet_maker *maker, pl_id pin) {
  pl_sheet_link(maker, maker->harness->pins.at[pin].full, PL_LINK_PIN, pin);
}

/* A reading that is written down is a row that is done. */
static void read_column(struct pl_sheet_maker *maker) {
  pl_sheet_column(maker, "read")->blank = true;
}

/* ---- what must conduct ---- */

/* Under an ohm, as the trade asks; a long thin way may have more. */
static const char *accept_text(struct pl_sheet_maker *maker, struct pl_ohms ohms) {
  ohms.least = 0;
  ohms.most = fmax(ohms.most, pl_limit_continuity.value - pl_limit_meter.value);
  return pl_probe_ohms_band(ohms, maker->arena);
}

static void
pair_row(struct pl_sheet_maker *maker, struct pl_meter *meter, const struct pl_pair *pair) {
  bool alone = pair->lift != PL_NONE;
  struct pl_ohms ohms;
  if (alone)
    ohms = (struct pl_ohms){0, NAN, 0};
  else
    ohms = pl_meter_ohms(meter, pair->a, pair->b);
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pin_link(maker, pair->a);
  pin_link(maker, pair->b);
  pl_sheet_text(maker, pl_work_wires(maker, &pair->wires));
  pl_sheet_text(maker,
                alone ? "lift one end: it runs beside others, or nothing else tells of it" : "");
  pl_sheet_text(maker, alone ? "" : pl_probe_ohms(ohms.ohms, maker->arena));
  pl_sheet_text(maker, accept_text(maker, ohms));
}

static void
continuity(struct pl_sheet_maker *maker, const struct pl_nets *nets, struct pl_meter *meter) {
  pl_pairs pairs = {0};
  pl_nets_pairs(maker, nets, &pairs);
  pl_sheet_begin(maker,
                 "check-continuity",
                 "Must conduct",
                 "On the bench, every plug, fuse, relay and battery cable off, rings of one stud "
                 "held together with a screw. Black lead on the first pin, red on "
                 "each of the others; leads' own ohms taken off. Move the wire while you read: the "
                 "figure stays still.");
  struct pl_column *from = pl_sheet_column(maker, "from");
  from->narrow = from->key = true;
  pl_sheet_narrow(maker, "to");
  pl_sheet_column(maker, "through wires");
  pl_sheet_column(maker, "how");
  pl_sheet_narrow(maker, "solved");
  pl_sheet_column(maker, "good");
  read_column(maker);
  for (uint32_t i = 0; i < pairs.n; i++)
    pair_row(maker, meter, &pairs.at[i]);
  maker->sheet.note = pl_arena_printf(maker->arena,
                                      "%s%s",
                                      maker->sheet.note,
                                      pl_sheet_say_once(maker, "good", "Good"));
  pl_sheet_end(maker);
}

/* ---- what must not ---- */

static const char *least_open(struct pl_sheet_maker *maker) {
  char number[PL_NUMBER_SIZE];
  return pl_arena_printf(maker->arena,
                         "%s %s",
                         pl_number_print(number, pl_limit_insulation.value, 3),
                         pl_limit_insulation.unit);
}

static void neighbours(struct pl_sheet_maker *maker, const struct pl_nets *nets) {
  const struct pl_harness *harness = maker->harness;
  pl_sheet_begin(maker,
                 "check-neighbours",
                 "Must not conduct: neighbours in a plug",
                 pl_arena_printf(maker->arena,
                                 "The same, on the bench: from the first cavity to each of the "
                                 "others %s or more. Each pair stands here once.",
                                 least_open(maker)));
  pl_sheet_column(maker, "plug")->csv_only = true;
  struct pl_column *from = pl_sheet_column(maker, "from");
  from->narrow = from->key = true;
  pl_sheet_column(maker, "open to");
  read_column(maker);
  for (pl_id p = 0; p < harness->pins.n; p++) {
    pl_ids others = {0};
    struct pl_buffer names;
    pl_nets_neighbours(maker, nets, p, &others);
    if (others.n == 0)
      continue;
    const struct pl_connector *c = &harness->connectors.at[harness->pins.at[p].connector];
    const char *plug = pl_arena_printf(maker->arena,
                                       "%s%s%s",
                                       harness->devices.at[c->device].name,
                                       c->name[0] != '\0' ? ", connector " : "",
                                       c->name);
    pl_buffer_init(&names, maker->arena);
    for (uint32_t i = 0; i < others.n; i++)
      pl_buffer_printf(&names, "%s%s", i > 0 ? ", " : "", harness->pins.at[others.at[i]].full);
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, plug);
    pin_link(maker, p);
    pl_sheet_text(maker, names.at);
  }
  pl_sheet_end(maker);
}

static void chassis(struct pl_sheet_maker *maker, const struct pl_nets *nets) {
  const struct pl_harness *harness = maker->harness;
  pl_sheet_begin(
      maker,
      "check-chassis",
      "Must not conduct: to chassis",
      pl_arena_printf(
          maker->arena,
          "Fitted in the machine, everything still unplugged and both battery cables off: from "
          "bare metal of the frame to each pin %s or "
          "more. A lower reading is a chafed wire: find it before anything is plugged in.",
          least_open(maker)));
  struct pl_column *pin = pl_sheet_column(maker, "pin");
  pin->narrow = pin->key = true;
  pl_sheet_column(maker, "function");
  pl_sheet_column(maker, "wires")->csv_only = true;
  read_column(maker);
  for (uint32_t n = 0; n < nets->count; n++) {
    if (nets->ground[n])
      continue;
    if (nets->pins[n].n == 0)
      continue;
    pl_id first = nets->pins[n].at[0];
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pin_link(maker, first);
    pl_sheet_text(maker,
                  harness->pins.at[first].text[0] != '\0'
                      ? harness->pins.at[first].text
                      : harness->devices.at[harness->pins.at[first].device].text);
    pl_sheet_text(maker, pl_work_wires(maker, &harness->pins.at[first].wires));
  }
  pl_sheet_end(maker);
}

/* ---- plugs, fuses, positions ---- */

static void
position_row(struct pl_sheet_maker *maker, pl_id device, const char *what, const char *must) {
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_link(maker, maker->harness->devices.at[device].name, PL_LINK_DEVICE, device);
  pl_sheet_text(maker, what);
  pl_sheet_place_cell(maker, maker->harness->devices.at[device].place);
  pl_sheet_text(maker, must);
}

static const char *fuse_must_be(struct pl_sheet_maker *maker, const struct pl_device *fuse) {
  char rating[PL_NUMBER_SIZE];

  if (!isfinite(fuse->rating))
    return "out";
  return pl_arena_printf(maker->arena,
                         "out; a %s A %s lies ready",
                         pl_number_print(rating, fuse->rating, 3),
                         fuse->family[0] != '\0' ? fuse->family : "fuse");
}

/* NULL: it has nothing to be set. */
static const char *must_be(struct pl_sheet_maker *maker, const struct pl_device *device) {
  if (pl_kind_is(device->kind, PL_IS_STORE))
    return "both cables off and insulated; charged";
  if (pl_kind_is(device->kind, PL_IS_DISCONNECT))
    return "open and locked";
  if (pl_kind_is(device->kind, PL_IS_MODULE))
    return "every plug off";
  if (pl_kind_is(device->kind, PL_HAS_FAMILY))
    return fuse_must_be(maker, device);
  if (pl_kind_is(device->kind, PL_IS_RESET))
    return "open, or out";
  if (pl_kind_is(device->kind, PL_IS_PROTECTION))
    return "one end off and insulated";
  if (!pl_kind_is(device->kind, PL_IS_SETTABLE))
    return NULL;
  if (device->rest >= device->throws.n)
    return "at rest";
  return pl_arena_printf(maker->arena, "in position %s", device->throws.at[device->rest].name);
}

static void positions(struct pl_sheet_maker *maker) {
  pl_sheet_begin(maker,
                 "check-positions",
                 "How everything stands before power",
                 "All other plugs are in and latched, relays in their sockets. Nothing is changed "
                 "after this sheet is signed except by the first power-up.");
  maker->sheet.tick = true;
  struct pl_column *name = pl_sheet_column(maker, "device");
  name->narrow = name->key = true;
  pl_sheet_column(maker, "what it is");
  pl_sheet_column(maker, "place");
  pl_sheet_column(maker, "must be");
  for (pl_id d = 0; d < maker->harness->devices.n; d++) {
    const struct pl_device *device = &maker->harness->devices.at[d];
    const char *must = must_be(maker, device);
    if (must != NULL)
      position_row(maker,
                   d,
                   device->text[0] != '\0' ? device->text : pl_kind_name(device->kind),
                   must);
  }
  pl_sheet_end(maker);
}

/* ---- poles of supply pins ---- */

/* Modules unplugged, fuses in, all else as it is, power off. */
static struct pl_meter *fed_meter(struct pl_sheet_maker *maker, const struct pl_state *state) {
  const struct pl_harness *harness = maker->harness;
  bool *off = PL_NEW_ARRAY(maker->arena, bool, harness->pins.n);
  for (pl_id d = 0; d < harness->devices.n; d++)
    if (pl_device_is(harness, d, PL_IS_MODULE))
      pl_meter_unplug_device(harness, d, off);
  return pl_meter_new(maker->network, state, off, maker->arena);
}

/* The battery post that the pin reaches with the fewest ohms, and the one with the next; PL_NONE:
 * it reaches none. */
static pl_id
nearest_post(struct pl_sheet_maker *maker, struct pl_meter *meter, pl_id pin, pl_id *other) {
  const struct pl_harness *harness = maker->harness;
  double best = INFINITY;
  pl_id post = PL_NONE;
  *other = PL_NONE;
  for (pl_id d = 0; d < harness->devices.n; d++) {
    const struct pl_device *device = &harness->devices.at[d];
    if (!pl_kind_is(device->kind, PL_IS_STORE))
      continue;
    if (device->pin_count < 2)
      continue;
    for (pl_id p = device->first_pin; p < device->first_pin + device->pin_count; p++) {
      double ohms = pl_meter_ohms(meter, pin, p).ohms;
      if (!(ohms < best))
        continue;
      best = ohms;
      post = p;
      if (p == device->first_pin)
        *other = device->first_pin + 1;
      else
        *other = device->first_pin;
    }
  }
  return post;
}

/* The first state in which the pin has most of the supply, so that the way to it is closed;
 * PL_NONE: none. */
static pl_id state_with_power(const struct pl_sheet_maker *maker, pl_id pin) {
  const double most = 0.5; /* of the supply */
  for (pl_id s = 0; s < maker->harness->states.n; s++)
    if (maker->solutions[s].status == PL_SOLVED &&
        fabs(maker->solutions[s].pin_volts[pin]) > most * maker->harness->machine.volts)
      return s;
  return PL_NONE;
}

static void pole_row(struct pl_sheet_maker *maker, struct pl_meter *meter, pl_id pin, pl_id state) {
  const struct pl_pin *p = &maker->harness->pins.at[pin];
  pl_id other;
  pl_id post = nearest_post(maker, meter, pin, &other);
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pin_link(maker, pin);
  pl_sheet_text(maker, pl_role_name(p->role));
  pl_sheet_text(maker,
                p->role == PL_ROLE_KEYED_INPUT && state != PL_NONE
                    ? maker->harness->states.at[state].name
                    : "at rest");
  if (post == PL_NONE) {
    pl_sheet_text(maker, "no battery post");
    return;
  }
  pin_link(maker, post);
  pl_sheet_text(maker, accept_text(maker, pl_meter_ohms(meter, pin, post)));
  struct pl_ohms wrong = pl_meter_ohms(meter, pin, other);
  pin_link(maker, other);
  pl_sheet_text(maker,
                wrong.least > pl_limit_continuity.value ? pl_probe_ohms_band(wrong, maker->arena)
                                                        : "more than at the first");
}

static bool has_pole(const struct pl_pin *pin) {
  if (!(pin->wires.n > 0))
    return false;
  return (pin->role == PL_ROLE_BATTERY_FEED || pin->role == PL_ROLE_GROUND ||
          pin->role == PL_ROLE_KEYED_INPUT);
}

static void poles(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  struct pl_meter **meters = PL_NEW_ARRAY(maker->arena, struct pl_meter *, harness->states.n + 1);
  pl_sheet_begin(
      maker,
      "check-poles",
      "Poles of supply pins",
      "Connected, controllers unplugged, all fuses in for this sheet alone and both battery cables "
      "off, disconnect closed: the lug of each cable stands for its post. Switches as the "
      "state says. Reversed poles kill a controller at once. Fuses out again afterwards.");
  struct pl_column *name = pl_sheet_column(maker, "pin");
  name->narrow = name->key = true;
  pl_sheet_column(maker, "role");
  pl_sheet_column(maker, "switches");
  pl_sheet_narrow(maker, "to lug of");
  pl_sheet_column(maker, "good");
  pl_sheet_narrow(maker, "and to lug of");
  pl_sheet_column(maker, "good there");
  read_column(maker);
  for (pl_id p = 0; p < harness->pins.n; p++) {
    const struct pl_pin *pin = &harness->pins.at[p];
    if (!pl_device_is(harness, pin->device, PL_IS_MODULE))
      continue;
    if (!has_pole(pin))
      continue;
    pl_id state = PL_NONE;
    if (pin->role == PL_ROLE_KEYED_INPUT)
      state = state_with_power(maker, p);
    uint32_t slot = state;
    if (state == PL_NONE)
      slot = harness->states.n;
    if (meters[slot] == NULL)
      meters[slot] = fed_meter(maker, state == PL_NONE ? NULL : &harness->states.at[state]);
    pole_row(maker, meters[slot], p, state);
  }
  for (uint32_t i = 0; i <= harness->states.n; i++)
    pl_meter_release(meters[i]);
  pl_sheet_end(maker);
}

void pl_sheet_checks(struct pl_sheet_maker *maker) {
  struct pl_nets nets;
  if (maker->network == NULL)
    return;
  if (maker->solutions == NULL)
    return;
  struct pl_meter *meter = pl_bench_meter(maker);
  pl_nets_make(maker, &nets);
  continuity(maker, &nets, meter);
  neighbours(maker, &nets);
  chassis(maker, &nets);
  poles(maker);
  positions(maker);
  pl_meter_release(meter);
}
