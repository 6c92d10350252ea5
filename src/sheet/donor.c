/* The donor's harness: what becomes of each of its wires, what is missed without it, and what its
 * controllers expect to see. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "prove/prove.h"
#include "sheet/rows_inner.h"

/* Inputs and gauges told of one wire. */
enum {
  MISREADS = 2
};

/* ---- what is missed without a wire ---- */

struct missed { /* of one wire */
  struct pl_buffer stops, starts, misreads;
  struct pl_table stopped, started, misread;
  uint32_t more;
};

struct losses {
  struct pl_sheet_maker *maker;
  struct missed *missed; /* by wire */
};

static void
add_names(struct pl_arena *arena, struct pl_buffer *out, struct pl_table *seen, const char *names) {
  while (*names != '\0') {
    size_t n = strcspn(names, ",");
    const char *name = pl_arena_strndup(arena, names, n);
    if (pl_table_add(seen, name, 0))
      pl_buffer_printf(out, "%s%s", out->n > 0 ? ", " : "", name);
    names += n;
    names += strspn(names, ", ");
  }
}

static const char *volts_text(struct pl_arena *arena, double volts) {
  char number[PL_NUMBER_SIZE];
  if (isfinite(volts))
    return pl_arena_printf(arena, "%s V", pl_number_fixed(number, volts, 1));
  return "open";
}

/* "ECM.A7 sees 5 V for 2.31 V, P1 shows 100 % for 45 %": the first state in which each misreads. */
static void
add_misreads(struct pl_sheet_maker *maker, struct missed *missed, const struct pl_effect *effect) {
  for (const char *at = effect->misreads; *at != '\0';) {
    const char *end = strstr(at, ", ");
    size_t n = end == NULL ? strlen(at) : (size_t)(end - at);
    const char *who = pl_arena_strndup(maker->arena, at, strcspn(at, " "));
    if (pl_table_add(&missed->misread, who, 0) && ++missed->more <= MISREADS)
      pl_buffer_printf(&missed->misreads,
                       "%s%.*s (%s)",
                       missed->misreads.n > 0 ? ", " : "",
                       (int)n,
                       at,
                       maker->harness->states.at[effect->state].name);
    at += n;
    at += strspn(at, ", ");
  }
}

static bool in_use(const struct pl_wire *wire) {
  return wire->status == PL_WIRE_DONOR_KEPT || wire->status == PL_WIRE_DONOR_EXTENDED;
}

/* Each kept wire broken, in every state. */
static void find_losses(struct losses *losses) {
  struct pl_sheet_maker *maker = losses->maker;
  const struct pl_harness *harness = maker->harness;
  struct pl_proof *proof = pl_sheet_proof(maker);
  pl_faults all = {0};
  pl_faults faults = {0};
  pl_effects effects = {0};
  if (proof == NULL)
    return;
  pl_faults_list(harness, maker->arena, &all);
  for (uint32_t i = 0; i < all.n; i++) {
    if (all.at[i].kind != PL_FAULT_OPEN)
      continue;
    if (!(all.at[i].wire < harness->wires.n))
      continue;
    if (!in_use(&harness->wires.at[all.at[i].wire]))
      continue;
    PL_PUSH(maker->arena, &faults, all.at[i]);
  }
  if (faults.n == 0)
    return;
  pl_prove_effects_of(proof, &faults, &effects);
  for (uint32_t i = 0; i < effects.n; i++) {
    struct missed *missed = &losses->missed[effects.at[i].fault.wire];
    add_names(maker->arena, &missed->stops, &missed->stopped, effects.at[i].stops);
    add_names(maker->arena, &missed->starts, &missed->started, effects.at[i].starts);
    add_names(maker->arena, &missed->starts, &missed->started, effects.at[i].warns);
    add_misreads(maker, missed, &effects.at[i]);
  }
}

static const char *loss_text(struct pl_sheet_maker *maker, const struct missed *missed) {
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  if (missed->stops.n > 0)
    pl_buffer_printf(&out, "stops %s", missed->stops.at);
  if (missed->starts.n > 0)
    pl_buffer_printf(&out, "%sturns on %s", out.n > 0 ? "; " : "", missed->starts.at);
  if (missed->misreads.n > 0)
    pl_buffer_printf(&out, "%s%s", out.n > 0 ? "; " : "", missed->misreads.at);
  if (missed->more > MISREADS)
    pl_buffer_printf(&out, " and %u more", missed->more - MISREADS);
  if (out.n > 0)
    return out.at;
  if (maker->proof == NULL)
    return out.at;
  return "nothing in the states of this text";
}

/* What a pin does that has lost its wire for good. */
static const char *pin_without(struct pl_sheet_maker *maker, pl_id id) {
  const struct pl_pin *pin = &maker->harness->pins.at[id];
  double volts = NAN;
  for (pl_id s = 0; maker->solutions != NULL && s < maker->harness->states.n && isnan(volts); s++) {
    if (maker->solutions[s].status != PL_SOLVED)
      continue;
    if (!maker->solutions[s].device_on[pin->device])
      continue;
    volts = maker->solutions[s].pin_volts[id];
  }
  if (pin->set_off)
    return "off in the settings: nothing is missed";
  switch (pin->role) {
    case PL_ROLE_SWITCH_INPUT:
    case PL_ROLE_SIGNAL_INPUT:
      return isfinite(volts)
                 ? pl_arena_printf(maker->arena,
                                   "%s stays at %s, as with a broken wire: have it switched off in "
                                   "the settings, or bear the code it sets",
                                   pin->full,
                                   volts_text(maker->arena, volts))
                 : pl_arena_printf(maker->arena, "%s reads as a broken wire", pin->full);
    case PL_ROLE_HIGH_SIDE:
    case PL_ROLE_LOW_SIDE:
      return pl_arena_printf(
          maker->arena,
          "%s drives nothing: a controller that looks for a load there sets a code",
          pin->full);
    case PL_ROLE_BATTERY_FEED:
    case PL_ROLE_GROUND:
    case PL_ROLE_KEYED_INPUT:
      return pl_arena_printf(maker->arena, "%s loses its %s", pin->full, pl_role_name(pin->role));
    case PL_ROLE_SENSOR_SUPPLY:
    case PL_ROLE_SENSOR_RETURN:
      return pl_arena_printf(maker->arena, "sensors on %s lose it", pin->full);
    case PL_ROLE_DATA_HIGH:
    case PL_ROLE_DATA_LOW:
      return pl_arena_printf(maker->arena, "%s is off the data link", pin->full);
    case PL_ROLE_PASSIVE:
    case PL_ROLE_SHIELD:
    case PL_ROLE_PLUS:
    case PL_ROLE_MINUS:
    case PL_ROLE_UNUSED:
      return "";
  }
  return "";
}

static const char *without(struct pl_sheet_maker *maker, const struct losses *losses, pl_id id) {
  const struct pl_wire *wire = &maker->harness->wires.at[id];
  struct pl_buffer out;
  if (in_use(wire))
    return loss_text(maker, &losses->missed[id]);
  pl_buffer_init(&out, maker->arena);
  for (int end = 0; end < 2; end++) {
    const char *text = "";
    if (wire->end[end] < maker->harness->pins.n)
      text = pin_without(maker, wire->end[end]);
    if (text[0] != '\0')
      pl_buffer_printf(&out, "%s%s", out.n > 0 ? "; " : "", text);
  }
  if (out.n > 0)
    return out.at;
  return "nothing of this machine hangs on it";
}

/* ---- cavity by cavity ---- */

static const char *donor_work(struct pl_sheet_maker *maker, const struct pl_wire *wire) {
  char number[PL_NUMBER_SIZE];
  bool feet = pl_sheet_in_feet(maker);
  switch (wire->status) {
    case PL_WIRE_DONOR_KEPT:
      return "keep as it is";
    case PL_WIRE_DONOR_EXTENDED:
      if (!isfinite(wire->extension))
        return "extend: splice on, sealed, same size or larger";
      return pl_arena_printf(
          maker->arena,
          "extend by %s %s: splice on, sealed, same size or larger",
          pl_number_print(number, feet ? wire->extension * PL_FEET_PER_METRE : wire->extension, 3),
          feet ? "ft" : "m");
    case PL_WIRE_DONOR_CAPPED:
      return "cut back and cap, tag with number";
    case PL_WIRE_DONOR_REMOVED:
      return "pull out; plug the cavity";
    case PL_WIRE_NEW:
      break;
  }
  return "";
}

static void
donor_row(struct pl_sheet_maker *maker, const struct losses *losses, pl_id id, int end) {
  const struct pl_wire *wire = &maker->harness->wires.at[id];
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_wire_end(maker, wire, end);
  pl_sheet_wire_cells(maker, id);
  pl_sheet_wire_end(maker, wire, 1 - end);
  pl_sheet_text(maker, pl_wire_status_name(wire->status));
  pl_sheet_text(maker, donor_work(maker, wire));
  pl_sheet_text(maker, without(maker, losses, id));
  pl_sheet_text(maker, wire->note);
}

static struct losses losses_of(struct pl_sheet_maker *maker) {
  struct losses losses = {maker,
                          PL_NEW_ARRAY(maker->arena, struct missed, maker->harness->wires.n + 1)};
  for (pl_id id = 0; id < maker->harness->wires.n; id++) {
    struct missed *missed = &losses.missed[id];
    if (maker->harness->wires.at[id].status == PL_WIRE_NEW)
      continue;
    pl_buffer_init(&missed->stops, maker->arena);
    pl_buffer_init(&missed->starts, maker->arena);
    pl_buffer_init(&missed->misreads, maker->arena);
    pl_table_init(&missed->stopped, maker->arena);
    pl_table_init(&missed->started, maker->arena);
    pl_table_init(&missed->misread, maker->arena);
  }
  find_losses(&losses);
  return losses;
}

/* Each wire once, in the order of the donor's cavities, so that one connector after the other is
 * gone through. */
void pl_sheet_donor(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  bool *done = PL_NEW_ARRAY(maker->arena, bool, harness->wires.n);
  struct losses losses = losses_of(maker);
  pl_sheet_begin(maker,
                 "donor",
                 "Donor wires, cavity by cavity",
                 "What becomes of each wire, and what stops, comes on or misreads without it, in "
                 "the states of this machine.");
  maker->sheet.wide = maker->sheet.tick = true;
  pl_sheet_column(maker, "cavity")->key = true;
  pl_sheet_wire_columns(maker);
  pl_sheet_column(maker, "other end");
  pl_sheet_narrow(maker, "status");
  pl_sheet_column(maker, "what to do");
  pl_sheet_column(maker, "without it");
  pl_sheet_column(maker, "note");
  for (int donor = 1; donor >= 0; donor--) {
    for (pl_id p = 0; p < harness->pins.n; p++) {
      const struct pl_pin *pin = &harness->pins.at[p];
      if (donor == 1 && !harness->devices.at[pin->device].donor)
        continue;
      for (uint32_t i = 0; i < pin->wires.n; i++) {
        pl_id id = pin->wires.at[i];
        if (done[id])
          continue;
        if (harness->wires.at[id].status == PL_WIRE_NEW)
          continue;
        done[id] = true;
        donor_row(maker, &losses, id, harness->wires.at[id].end[0] == p ? 0 : 1);
      }
    }
  }
  for (pl_id id = 0; id < harness->wires.n; id++) {
    if (done[id])
      continue;
    if (harness->wires.at[id].status == PL_WIRE_NEW)
      continue;
    donor_row(maker, &losses, id, 0);
  }
  pl_sheet_end(maker);
}

/* ---- what the controllers expect ---- */

static bool is_passed(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_NODE | PL_IS_PLUG);
}

/* The first thing on the way from a pin that is more than a joint; PL_NONE. */
static pl_id found_at(struct pl_sheet_maker *maker, pl_id pin) {
  const struct pl_harness *harness = maker->harness;
  pl_id own = harness->pins.at[pin].device;
  pl_hops hops = {0};
  pl_probe_trace(harness, pin, maker->arena, &hops);
  for (uint32_t i = 0; i < hops.n; i++) {
    if (hops.at[i].to >= harness->pins.n)
      continue;
    pl_id device = harness->pins.at[hops.at[i].to].device;
    if (device != own && !is_passed(harness->devices.at[device].kind))
      return device;
  }
  for (uint32_t i = 0; i < hops.n; i++) /* a ground: where it ends */
    if (hops.at[i].to < harness->pins.n && harness->pins.at[hops.at[i].to].device != own)
      return harness->pins.at[hops.at[i].to].device;
  return PL_NONE;
}

static void expect_row(struct pl_sheet_maker *maker, pl_id id) {
  static const char *const needs[] = {"", "required", ""};
  const struct pl_harness *harness = maker->harness;
  const struct pl_pin *pin = &harness->pins.at[id];
  pl_id found = found_at(maker, id);
  const struct pl_device *device = NULL;
  if (found != PL_NONE)
    device = &harness->devices.at[found];
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_link(maker, pin->full, PL_LINK_PIN, id);
  pl_sheet_text(maker,
                pin->text[0] != '\0' || pin->sure != PL_SURE_WEB ? pin->text : pin->sure_text);
  pl_sheet_text(maker, pl_role_name(pin->role));
  pl_sheet_text(maker, needs[pin->need]);
  if (device != NULL)
    pl_sheet_link(maker,
                  device->text[0] == '\0'
                      ? device->name
                      : pl_arena_printf(maker->arena, "%s, %s", device->name, device->text),
                  PL_LINK_DEVICE,
                  found);
  else
    pl_sheet_text(maker, "");
  if (pin->set_off)
    pl_sheet_text(maker, "off in the settings");
  else if (device == NULL)
    pl_sheet_text(maker, pin->need == PL_NEED_REQUIRED ? "MISSING" : "nothing there");
  else
    pl_sheet_text(maker, device->donor ? "present" : "replaced");
}

void pl_sheet_expects(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  pl_sheet_begin(maker,
                 "expects",
                 "What the controllers expect to see",
                 "Every pin of a donor's controller that looks for something. Present: the donor's "
                 "own part. Replaced: a part of this machine stands in. Nothing there: "
                 "replace it, or have it switched off. "
                 "Settings are changed by whoever has the maker's tool and the right to.");
  maker->sheet.tick = true;
  pl_sheet_column(maker, "pin")->key = true;
  pl_sheet_column(maker, "function");
  pl_sheet_column(maker, "role");
  pl_sheet_narrow(maker, "needed");
  pl_sheet_column(maker, "what is there");
  pl_sheet_column(maker, "so it is");
  for (pl_id p = 0; p < harness->pins.n; p++) {
    const struct pl_pin *pin = &harness->pins.at[p];
    const struct pl_device *device = &harness->devices.at[pin->device];
    if (!pl_kind_is(device->kind, PL_IS_MODULE))
      continue;
    if (!device->donor)
      continue;
    if (pin->need == PL_NEED_UNUSED)
      continue;
    if (pin->role == PL_ROLE_PASSIVE)
      continue;
    if (pin->role == PL_ROLE_UNUSED)
      continue;
    expect_row(maker, p);
  }
  pl_sheet_end(maker);
}
