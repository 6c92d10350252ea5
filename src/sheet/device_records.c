/* Devices, their plugs and their pins as records, line by line of model/facts.def: a row whose
 * telling is not here does not compile, a telling without a row neither. */
#include <math.h>
#include <string.h>

#include "sheet/records_inner.h"
#include "standard/limits_data.h"

static void add_joins(struct pl_teller *teller, struct pl_buffer *out, const pl_joins *joins) {
  for (uint32_t i = 0; i < joins->n; i++)
    pl_buffer_printf(out,
                     "%s%s to %s",
                     i > 0 ? ", " : "",
                     pl_teller_pin(teller, joins->at[i].a),
                     pl_teller_pin(teller, joins->at[i].b));
}

static const char *joins_text(struct pl_teller *teller, const pl_joins *joins) {
  struct pl_buffer out;
  pl_buffer_init(&out, teller->arena);
  add_joins(teller, &out, joins);
  if (out.n > 0)
    return out.at;
  return "";
}

static const char *coil_text(struct pl_teller *teller, pl_id a, pl_id b) {
  if (a == PL_NONE && b == PL_NONE)
    return "";
  const char *from = pl_teller_pin(teller, a);
  const char *to = pl_teller_pin(teller, b);
  return pl_arena_printf(teller->arena, "%s to %s", from, to);
}

static const char *position_name(const struct pl_device *d, uint32_t position) {
  if (position < d->throws.n)
    return d->throws.at[position].name;
  return "?";
}

static const char *positions_text(struct pl_teller *teller, const struct pl_device *d) {
  struct pl_buffer out;

  pl_buffer_init(&out, teller->arena);
  for (uint32_t t = 0; t < d->throws.n; t++) {
    const char *momentary = "";
    if (d->throws.at[t].momentary)
      momentary = " (momentary)";
    pl_buffer_printf(&out, "%s%s%s: ", t > 0 ? "; " : "", d->throws.at[t].name, momentary);
    add_joins(teller, &out, &d->throws.at[t].joins);
  }
  for (uint32_t t = 0; t < d->thresholds.n; t++)
    pl_buffer_printf(&out,
                     "; %s %s %s",
                     position_name(d, d->thresholds.at[t].position),
                     d->thresholds.at[t].above ? "above" : "below",
                     pl_teller_number(teller, d->thresholds.at[t].at));
  if (out.n > 0)
    return out.at;
  return "";
}

static const char *points_text(struct pl_teller *teller, const struct pl_device *d) {
  struct pl_buffer out;
  pl_buffer_init(&out, teller->arena);
  for (uint32_t i = 0; i < d->points.n; i++)
    pl_buffer_printf(&out,
                     "%s%s at %s",
                     i > 0 ? ", " : "",
                     pl_teller_number(teller, d->points.at[i].x),
                     pl_teller_number(teller, d->points.at[i].ohms));
  if (out.n > 0)
    return out.at;
  return "";
}

/* A fuse's own ohms follow from its rating when the text does not say them. */
static bool is_usual(const struct pl_device *d) {
  const char *family = "blade";
  if (d->family[0] != '\0')
    family = d->family;

  if (!pl_kind_is_protection(d->kind))
    return false;
  return !(fabs(d->ohms - pl_fuse_ohms(family, d->rating)) > 0);
}

/* ---- a function for each line of a device ---- */

/* What it makes is told as records of its own: plugs and pins. */
static void tell_device_own_records(struct pl_teller *teller, const struct pl_device *device) {
  (void)teller;
  (void)device;
}

static void tell_device_place(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller, "place", pl_teller_place(teller, device->place));
}

static void tell_device_origin(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller, "comes from", device->donor ? "donor" : "");
}

static void tell_device_chassis(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller, "on chassis", pl_teller_device(teller, device->body));
}

static void tell_device_family(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller, "family", device->family);
}

static void tell_device_ohms(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "ohms", is_usual(device) ? NAN : device->ohms);
}

static void tell_device_output(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "idle A", device->idle_amps);
  pl_tell_number(teller, "speed A", device->speed_amps);
}

static void tell_device_cranks(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "crank A", device->crank_amps);
  pl_tell_number(teller, "crank V", device->crank_volts);
}

static void tell_device_contacts(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller, "makes", joins_text(teller, &device->make));
  pl_tell(teller, "breaks", joins_text(teller, &device->brk));
}

static void tell_device_suppression(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller, "suppression", device->suppression);
}

static void tell_device_positions(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller, "positions", positions_text(teller, device));
}

static void tell_device_rest(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller,
          "rests in",
          device->rest < device->throws.n ? device->throws.at[device->rest].name : "");
}

static void tell_device_draws(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "draws A", device->load_amps);
  pl_tell_number(teller, "at V", device->load_volts);
}

static void tell_device_law(struct pl_teller *teller, const struct pl_device *device) {
  static const char *const laws[] = {"", "steady amps", "steady watts"};
  pl_tell(teller, "law", pl_kind_is_load(device->kind) ? laws[device->law] : "");
}

static void tell_device_inrush(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "inrush times", device->inrush);
  pl_tell_number(teller, "inrush s", device->inrush_seconds);
}

static void tell_device_locked(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "locked times", device->locked);
}

static void tell_device_needs(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "needs from V", device->need_min);
  pl_tell_number(teller, "needs to V", device->need_max);
}

static void tell_device_signal(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "signal share", device->signal_share);
}

static void tell_device_reading(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller, "reading", points_text(teller, device));
}

static void tell_device_quantity(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller, "quantity", pl_teller_quantity(teller, device->quantity));
}

static void tell_device_beta(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "beta", device->beta);
  pl_tell_number(teller, "beta ohm", device->beta_ohms);
  pl_tell_number(teller, "beta degC", device->beta_at);
}

static void tell_device_latching(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_whether(teller, "latching", device->latching);
}

static void tell_device_reset(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell(teller, "reset coil", coil_text(teller, device->reset_a, device->reset_b));
}

static void tell_device_spare(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_whether(teller, "spare", device->spare);
}

static void tell_device_self_exciting(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_whether(teller, "excites itself", device->self_exciting);
}

static void tell_device_poles(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "poles", device->poles);
}

static void tell_device_pulleys(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "pulley ratio", device->pulley_ratio);
}

static void tell_device_pulses(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_number(teller, "pulses", device->pulses);
}

static void tell_device_hears(struct pl_teller *teller, const struct pl_device *device) {
  struct pl_buffer out;
  pl_buffer_init(&out, teller->arena);
  for (uint32_t i = 0; i < device->hears.n; i++)
    pl_buffer_printf(&out, "%s%s", i > 0 ? ", " : "", device->hears.at[i].name);
  pl_tell(teller, "hears", out.n > 0 ? out.at : "");
}

static void tell_device_codes(struct pl_teller *teller, const struct pl_device *device) {
  struct pl_buffer out;
  pl_buffer_init(&out, teller->arena);
  for (uint32_t i = 0; i < device->codes.n; i++) {
    const struct pl_codes *codes = &device->codes.at[i];
    pl_buffer_puts(&out, i > 0 ? "; " : "");
    for (uint32_t k = 0; k < codes->pins.n; k++)
      pl_buffer_printf(&out, "%s ", pl_teller_pin(teller, codes->pins.at[k]));
    for (uint32_t k = 0; k < codes->legal.n; k++)
      pl_buffer_printf(&out, "%s%s", k > 0 ? ", " : "", codes->legal.at[k]);
  }
  pl_tell(teller, "codes", out.n > 0 ? out.at : "");
}

/* Of a fuse the ohms alone are told only when they are not its usual ones. */
static void tell_figure(struct pl_teller *teller,
                        const struct pl_device *device,
                        const char *aspect,
                        const double *field) {
  if (field == &device->ohms)
    tell_device_ohms(teller, device);
  else
    pl_tell_number(teller, aspect, *field);
}

static void tell_device_lines(struct pl_teller *teller, const struct pl_device *device) {
#define PL_FIGURE(word, kinds, unit, field, aspect, example, other, help) \
  tell_figure(teller, device, aspect, &device->field);
#define PL_LINE(word, kinds, read, told, example, other, help) tell_device_##told(teller, device);
#include "model/facts.def"
}

static void tell_device(struct pl_teller *teller, const struct pl_device *device) {
  pl_tell_record(teller, "device", device->name, "");
  pl_tell(teller, "kind", pl_kind_name(device->kind));
  pl_tell(teller, "what it is", device->text);
  pl_tell(teller, "part", device->part);
  tell_device_lines(teller, device);
  pl_tell(teller, "coil", coil_text(teller, device->coil_a, device->coil_b));
  pl_tell(teller, "joined inside", joins_text(teller, &device->fixed));
}

/* ---- plugs and pins: a function for each fact of theirs ---- */

static void tell_connector_rows(struct pl_teller *teller, const struct pl_connector *connector) {
  pl_tell_number(teller, "rows", connector->rows);
}

static void tell_connector_shape(struct pl_teller *teller, const struct pl_connector *connector) {
  pl_tell(teller, "shape", connector->shape == PL_SHAPE_ROUND ? "round" : "");
}

static void tell_connector_sealed(struct pl_teller *teller, const struct pl_connector *connector) {
  pl_tell_whether(teller, "sealed", connector->sealed);
}

static void tell_connector_half(struct pl_teller *teller, const struct pl_connector *connector) {
  pl_tell(teller, "harness half", connector->pin_half ? "pins" : "sockets");
}

static void tell_connector_terminal(struct pl_teller *teller,
                                    const struct pl_connector *connector) {
  pl_tell(teller, "terminal", pl_teller_terminal(teller, connector->terminal));
}

static void tell_connector_colour(struct pl_teller *teller, const struct pl_connector *connector) {
  pl_tell(teller, "colour", connector->colour);
}

static void tell_connector_key(struct pl_teller *teller, const struct pl_connector *connector) {
  pl_tell(teller, "key", connector->key);
}

static void tell_connector_mate(struct pl_teller *teller, const struct pl_connector *connector) {
  pl_tell(teller, "mate", connector->mate);
}

static void tell_connector_part(struct pl_teller *teller, const struct pl_connector *connector) {
  pl_tell(teller, "part", connector->part);
}

/* The names of its cavities are those of its pins, which are records of their own. */
static void tell_connector_named(struct pl_teller *teller, const struct pl_connector *connector) {
  (void)teller;
  (void)connector;
}

static void tell_connector_lines(struct pl_teller *teller, const struct pl_connector *connector) {
#define PL_CONNECTOR_FACT(word, read, told, example, other, help) \
  tell_connector_##told(teller, connector);
#include "model/facts.def"
}

static void tell_connectors(struct pl_teller *teller, const struct pl_device *device) {
  for (uint32_t i = 0; i < device->connector_count; i++) {
    const struct pl_connector *connector =
        &teller->harness->connectors.at[device->first_connector + i];
    const char *blank = "";
    if (connector->name[0] != '\0')
      blank = " ";
    pl_tell_record(teller,
                   "plug",
                   pl_arena_printf(teller->arena, "%s%s%s", device->name, blank, connector->name),
                   device->name);
    pl_tell_number(teller, "cavities", connector->pin_count);
    tell_connector_lines(teller, connector);
  }
}

static void tell_pin_need(struct pl_teller *teller, const struct pl_pin *pin) {
  static const char *const needs[] = {"optional", "required", "unused"};
  pl_tell(teller, "need", needs[pin->need]);
}

static void tell_pin_memory_only(struct pl_teller *teller, const struct pl_pin *pin) {
  pl_tell_whether(teller, "memory only", pin->memory_only);
}

static void tell_pin_set_off(struct pl_teller *teller, const struct pl_pin *pin) {
  pl_tell_whether(teller, "off in settings", pin->set_off);
}

static void tell_pin_plug(struct pl_teller *teller, const struct pl_pin *pin) {
  pl_tell_whether(teller, "cavity plug", pin->plugged);
}

static void tell_pin_terminal(struct pl_teller *teller, const struct pl_pin *pin) {
  pl_tell(teller, "terminal", pl_teller_terminal(teller, pin->terminal));
}

static void tell_pin_amps(struct pl_teller *teller, const struct pl_pin *pin) {
  pl_tell_number(teller, "A", pin->amps);
}

static void tell_pin_asleep(struct pl_teller *teller, const struct pl_pin *pin) {
  pl_tell_number(teller, "asleep A", pin->sleep_amps);
}

static void tell_pin_window(struct pl_teller *teller, const struct pl_pin *pin) {
  pl_tell_number(teller, "from V", pin->volts_min);
  pl_tell_number(teller, "to V", pin->volts_max);
}

static void tell_pin_volts(struct pl_teller *teller, const struct pl_pin *pin) {
  pl_tell_number(teller, "supplies V", pin->volts);
}

static void tell_pin_pull(struct pl_teller *teller, const struct pl_pin *pin) {
  pl_tell_number(teller, "pull ohm", pin->pull_ohms);
  pl_tell_number(teller, "pull V", pin->pull_volts);
}

static void tell_pin_known_from(struct pl_teller *teller, const struct pl_pin *pin) {
  const char *sure = pl_sure_name(pin->sure);
  pl_tell(teller, "known from", pl_arena_printf(teller->arena, "%s %s", sure, pin->sure_text));
}

static void tell_pin_lines(struct pl_teller *teller, const struct pl_pin *pin) {
#define PL_PIN_FACT(word, read, told, example, other, help) tell_pin_##told(teller, pin);
#define PL_PIN_FIGURE(unit, read, told, example, other, help) tell_pin_##told(teller, pin);
#define PL_PIN_RANGE(unit, read, told, example, other, help) tell_pin_##told(teller, pin);
#include "model/facts.def"
}

static void tell_pins(struct pl_teller *teller, const struct pl_device *device) {
  for (uint32_t i = 0; i < device->pin_count; i++) {
    const struct pl_pin *pin = &teller->harness->pins.at[device->first_pin + i];
    pl_tell_record(teller, "pin", pin->full, device->name);
    pl_tell(teller, "function", pin->text);
    pl_tell(teller, "role", pl_role_name(pin->role));
    tell_pin_lines(teller, pin);
  }
}

void pl_tell_devices(struct pl_teller *teller) {
  const struct pl_harness *harness = teller->harness;
  for (pl_id d = 0; d < harness->devices.n; d++)
    tell_device(teller, &harness->devices.at[d]);
  for (pl_id d = 0; d < harness->devices.n; d++)
    tell_connectors(teller, &harness->devices.at[d]);
  for (pl_id d = 0; d < harness->devices.n; d++)
    if (!pl_kind_is_node(harness->devices.at[d].kind))
      tell_pins(teller, &harness->devices.at[d]);
}
