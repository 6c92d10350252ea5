/* What the shop page's script reads, as JSON.  Readings are the very words of the `pin` command. */
#include <math.h>

#include "base/json.h"
#include "base/number.h"
#include "probe/probe.h"
#include "standard/limits_data.h"
#include "write/shop_inner.h"

struct writer {
  struct pl_json json;
  const struct pl_output_inputs *in;
  const struct pl_harness *harness;
  struct pl_arena *arena;
  struct pl_band *bands; /* of every pin's volts, state after state; NULL: not solved */
};

/* ---- small pieces ---- */

/* Nothing is written of an empty text: the script takes what is missing for "". */
static void text(struct writer *w, const char *name, const char *value) {
  if (value != NULL && value[0] != '\0')
    pl_json_text(&w->json, name, value);
}

static void number(struct writer *w, const char *name, double value) {
  pl_json_rounded(&w->json, name, value, 9);
}

static void id(struct writer *w, const char *name, pl_id value) {
  if (value != PL_NONE)
    number(w, name, value);
}

static void item_text(struct writer *w, const char *value) {
  pl_json_text(&w->json, NULL, value);
}

/* An id in a list; -1 where there is none. */
static void item_id(struct writer *w, pl_id value) {
  number(w, NULL, value == PL_NONE ? -1 : (double)value);
}

static void ids(struct writer *w, const char *name, const pl_ids *list) {
  if (list->n == 0)
    return;
  pl_json_list(&w->json, name);
  for (uint32_t i = 0; i < list->n; i++)
    item_id(w, list->at[i]);
  pl_json_close(&w->json);
}

/* ---- the lists ---- */

static void put_machine(struct writer *w) {
  struct pl_title_block block = pl_title_block_of(w->harness);
  pl_json_object(&w->json, "machine");
  text(w, "title", block.machine);
  text(w, "revision", block.revision);
  text(w, "date", block.date);
  text(w, "digest", block.digest);
  pl_json_close(&w->json);
}

static void put_places(struct writer *w) {
  pl_json_list(&w->json, "places");
  for (uint32_t i = 0; i < w->harness->places.n; i++) {
    const struct pl_place *place = &w->harness->places.at[i];
    pl_json_object(&w->json, NULL);
    text(w, "name", place->name);
    text(w, "text", place->text);
    number(w, "reach", place->reach);
    pl_json_close(&w->json);
  }
  pl_json_close(&w->json);
}

static void put_states(struct writer *w) {
  pl_json_list(&w->json, "states");
  for (uint32_t i = 0; i < w->harness->states.n; i++) {
    const struct pl_state *state = &w->harness->states.at[i];
    pl_json_object(&w->json, NULL);
    text(w, "name", state->name);
    text(w, "text", state->title);
    pl_json_close(&w->json);
  }
  pl_json_close(&w->json);
}

static void put_devices(struct writer *w) {
  pl_json_list(&w->json, "devices");
  for (uint32_t i = 0; i < w->harness->devices.n; i++) {
    const struct pl_device *device = &w->harness->devices.at[i];
    pl_json_object(&w->json, NULL);
    text(w, "name", device->name);
    text(w, "text", device->text);
    text(w, "kind", pl_kind_name(device->kind));
    id(w, "place", device->place);
    number(w, "firstPin", device->first_pin);
    number(w, "pinCount", device->pin_count);
    if (pl_kind_is_protection(device->kind) && isfinite(device->rating))
      number(w, "rating", device->rating);
    pl_json_close(&w->json);
  }
  pl_json_close(&w->json);
}

static void put_connectors(struct writer *w) {
  pl_json_list(&w->json, "connectors");
  for (uint32_t i = 0; i < w->harness->connectors.n; i++) {
    const struct pl_connector *connector = &w->harness->connectors.at[i];
    pl_json_object(&w->json, NULL);
    id(w, "device", connector->device);
    text(w, "name", connector->name);
    number(w, "rows", connector->rows);
    number(w, "columns", connector->columns);
    if (connector->shape == PL_SHAPE_ROUND)
      number(w, "round", 1);
    number(w, "firstPin", connector->first_pin);
    number(w, "pinCount", connector->pin_count);
    text(w, "colour", connector->colour);
    text(w, "key", connector->key);
    pl_json_close(&w->json);
  }
  pl_json_close(&w->json);
}

static void put_hops(struct writer *w, pl_id pin) {
  pl_hops hops = {0};
  pl_probe_trace(w->harness, pin, w->arena, &hops);
  if (hops.n == 0)
    return;
  pl_json_list(&w->json, "hops");
  for (uint32_t i = 0; i < hops.n; i++) {
    item_id(w, hops.at[i].wire);
    item_id(w, hops.at[i].device);
    item_id(w, hops.at[i].from);
    item_id(w, hops.at[i].to);
    item_id(w, hops.at[i].depth);
  }
  pl_json_close(&w->json);
}

static void take_bands(struct writer *w) {
  const struct pl_output_inputs *in = w->in;
  if (in->network == NULL)
    return;
  if (in->solutions == NULL)
    return;
  w->bands =
      PL_NEW_ARRAY(w->arena, struct pl_band, (size_t)w->harness->states.n * w->harness->pins.n);
  for (uint32_t i = 0; i < w->harness->states.n; i++)
    if (in->solutions[i].status == PL_SOLVED)
      pl_band_pins(pl_bands_take(in->network, &in->solutions[i]),
                   &w->bands[(size_t)i * w->harness->pins.n]);
}

static void put_volts(struct writer *w, pl_id pin) {
  if (w->bands == NULL)
    return;
  pl_json_list(&w->json, "volts");
  for (uint32_t i = 0; i < w->harness->states.n; i++) {
    const struct pl_solution *solution = &w->in->solutions[i];
    bool solved = solution->status == PL_SOLVED;
    item_text(w,
              solved ? pl_probe_reading_band(w->harness,
                                             solution,
                                             pin,
                                             w->bands[(size_t)i * w->harness->pins.n + pin],
                                             w->arena)
                     : pl_probe_reading(solution, pin, w->arena));
  }
  pl_json_close(&w->json);
}

static void put_pins(struct writer *w) {
  pl_json_list(&w->json, "pins");
  for (uint32_t i = 0; i < w->harness->pins.n; i++) {
    const struct pl_pin *pin = &w->harness->pins.at[i];
    pl_json_object(&w->json, NULL);
    text(w, "name", pin->full);
    text(w, "text", pin->text);
    text(w, "role", pl_role_name(pin->role));
    id(w, "device", pin->device);
    id(w, "connector", pin->connector);
    text(w, "cavity", pin->cavity);
    if (pin->connector != PL_NONE) {
      number(w, "row", pin->row);
      number(w, "column", pin->column);
    }
    if (pin->plugged)
      number(w, "plugged", 1);
    text(w, "known", pl_sure_name(pin->sure));
    text(w, "source", pin->sure_text);
    ids(w, "wires", &pin->wires);
    if (pin->wires.n > 0) {
      put_volts(w, i);
      put_hops(w, i);
    }
    pl_json_close(&w->json);
  }
  pl_json_close(&w->json);
}

static void put_amps(struct writer *w, pl_id wire) {
  char digits[PL_NUMBER_SIZE];
  if (w->in->solutions == NULL)
    return;
  pl_json_list(&w->json, "amps");
  for (uint32_t i = 0; i < w->harness->states.n; i++) {
    const struct pl_solution *solution = &w->in->solutions[i];
    bool solved = solution->status == PL_SOLVED;
    item_text(w,
              solved ? pl_arena_printf(w->arena,
                                       "%s A",
                                       pl_number_print(digits, fabs(solution->wire_amps[wire]), 3))
                     : "not known");
  }
  pl_json_close(&w->json);
}

static void put_wires(struct writer *w) {
  char letters[16], metres[PL_NUMBER_SIZE];
  pl_json_list(&w->json, "wires");
  for (uint32_t i = 0; i < w->harness->wires.n; i++) {
    const struct pl_wire *wire = &w->harness->wires.at[i];
    pl_json_object(&w->json, NULL);
    text(w, "number", wire->number);
    text(w, "size", wire->size);
    text(w, "colour", pl_colour_text(&wire->colour, letters));
    text(w, "length", pl_arena_printf(w->arena, "%s m", pl_number_print(metres, wire->length, 3)));
    id(w, "from", wire->end[0]);
    id(w, "to", wire->end[1]);
    id(w, "circuit", wire->circuit);
    if (wire->status != PL_WIRE_NEW)
      text(w, "status", pl_wire_status_name(wire->status));
    text(w, "twist", wire->twist);
    text(w, "note", wire->note);
    put_amps(w, i);
    pl_json_close(&w->json);
  }
  pl_json_close(&w->json);
}

static void put_circuits(struct writer *w) {
  pl_json_list(&w->json, "circuits");
  for (uint32_t i = 0; i < w->harness->circuits.n; i++) {
    const struct pl_circuit *circuit = &w->harness->circuits.at[i];
    item_text(w, circuit->title[0] != '\0' ? circuit->title : circuit->name);
  }
  pl_json_close(&w->json);
}

/* Letters, word and what to paint with. */
static void put_colours(struct writer *w) {
  pl_json_object(&w->json, "colours");
  for (uint32_t i = 0; i < pl_colour_count; i++) {
    pl_json_list(&w->json, pl_colours[i].code);
    item_text(w, pl_colours[i].name);
    item_text(w, pl_colours[i].rgb);
    pl_json_close(&w->json);
  }
  pl_json_close(&w->json);
}

void pl_shop_data(struct pl_buffer *out,
                  const struct pl_output_inputs *in,
                  struct pl_arena *arena) {
  struct writer w = {.in = in, .harness = in->harness, .arena = arena};
  take_bands(&w);
  pl_json_begin(&w.json, out, false);
  pl_json_object(&w.json, NULL);
  put_machine(&w);
  put_places(&w);
  put_states(&w);
  put_devices(&w);
  put_connectors(&w);
  put_pins(&w);
  put_wires(&w);
  put_circuits(&w);
  put_colours(&w);
  pl_json_finish(&w.json);
}
