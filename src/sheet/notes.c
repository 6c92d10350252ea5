/* Sheets that are no wiring: findings, waivers, states, devices, defaults. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "sheet/rows_inner.h"

static const char *where(struct pl_sheet_maker *maker, struct pl_span span) {
  if (maker->sources == NULL)
    return "";
  if (span.file >= maker->sources->files.n)
    return "";
  struct pl_position position = pl_source_position(maker->sources, span);
  return pl_arena_printf(maker->arena,
                         "%s:%u:%u",
                         maker->sources->files.at[span.file].path,
                         position.line,
                         position.column);
}

/* The place as findings print it: "wire 41", "ECM.A12", "F3". */
static void place_cell(struct pl_sheet_maker *maker, const char *place) {
  struct pl_link link = {PL_LINK_NONE, PL_NONE};
  uint32_t wire;
  if (strncmp(place, "wire ", 5) == 0 &&
      pl_table_find(&maker->harness->wire_numbers, place + 5, &wire)) {
    link = (struct pl_link){PL_LINK_WIRE, wire};
  } else if ((link.id = pl_harness_find_pin(maker->harness, place)) != PL_NONE) {
    link.kind = PL_LINK_PIN;
  } else if ((link.id = pl_harness_find_device(maker->harness, place)) != PL_NONE) {
    link.kind = PL_LINK_DEVICE;
  }
  pl_sheet_link(maker, place, link.kind, link.id);
}

void pl_sheet_findings(struct pl_sheet_maker *maker) {
  pl_sheet_begin(
      maker,
      "findings",
      "Findings",
      "Worst first within a line of the text. Nothing is powered while a danger stands.");
  maker->sheet.wide = maker->sheet.tick = true;
  pl_sheet_column(maker, "severity")->narrow = true;
  pl_sheet_column(maker, "place")->key = true;
  pl_sheet_column(maker, "in state");
  pl_sheet_column(maker, "what is wrong");
  pl_sheet_column(maker, "what to do");
  pl_sheet_column(maker, "figure")->csv_only = true;
  pl_sheet_column(maker, "limit")->csv_only = true;
  pl_sheet_column(maker, "unit")->csv_only = true;
  pl_sheet_column(maker, "limit from");
  pl_sheet_column(maker, "rule");
  pl_sheet_column(maker, "text");
  for (uint32_t i = 0; maker->findings != NULL && i < maker->findings->list.n; i++) {
    const struct pl_finding *finding = &maker->findings->list.at[i];
    if (finding->waived != NULL)
      continue;
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, pl_severity_name(finding->severity));
    place_cell(maker, finding->place);
    pl_sheet_text(maker, finding->state);
    pl_sheet_text(maker, finding->text);
    pl_sheet_text(maker, finding->remedy);
    pl_sheet_figure(maker, finding->figure, 4);
    pl_sheet_figure(maker, finding->limit, 4);
    pl_sheet_text(maker, finding->unit);
    pl_sheet_text(maker, finding->source);
    pl_sheet_text(maker, finding->rule);
    pl_sheet_text(maker, where(maker, finding->span));
  }
  pl_sheet_end(maker);
}

void pl_sheet_waivers(struct pl_sheet_maker *maker) {
  pl_sheet_begin(maker,
                 "waivers",
                 "Accepted, with reasons",
                 "Findings that somebody looked at and wrote down why they may stand.");
  pl_sheet_column(maker, "severity")->narrow = true;
  pl_sheet_column(maker, "place")->key = true;
  pl_sheet_column(maker, "in state");
  pl_sheet_column(maker, "what was found");
  pl_sheet_column(maker, "why it may stand");
  pl_sheet_column(maker, "rule");
  for (uint32_t i = 0; maker->findings != NULL && i < maker->findings->list.n; i++) {
    const struct pl_finding *finding = &maker->findings->list.at[i];
    if (finding->waived == NULL)
      continue;
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, pl_severity_name(finding->severity));
    place_cell(maker, finding->place);
    pl_sheet_text(maker, finding->state);
    pl_sheet_text(maker, finding->text);
    pl_sheet_text(maker, finding->waived);
    pl_sheet_text(maker, finding->rule);
  }
  pl_sheet_end(maker);
}

/* ---- states ---- */

static void add_condition(struct pl_buffer *out, const char *what, double value, const char *unit) {
  char number[PL_NUMBER_SIZE];
  if (isfinite(value))
    pl_buffer_printf(out,
                     ", %s %s%s%s",
                     what,
                     pl_number_print(number, value, 4),
                     unit[0] == '\0' ? "" : " ",
                     unit);
}

/* What a state says beyond switches: quantities, battery, weather, what is held fast, set or
 * excited. */
static void
add_conditions(struct pl_sheet_maker *maker, struct pl_buffer *out, const struct pl_state *state) {
  const struct pl_harness *h = maker->harness;
  for (uint32_t i = 0; i < state->levels.n; i++) {
    const struct pl_quantity *quantity = &h->quantities.at[state->levels.at[i].quantity];
    const char *unit;
    double shown = pl_measure_shown(quantity->measure, state->levels.at[i].value, &unit);
    add_condition(out, quantity->name, shown, unit);
  }
  add_condition(out, "battery", state->battery_volts, "V for each 12 V");
  add_condition(out, "battery worn", 100 * state->battery_worn, "%");
  add_condition(out, "ambient", state->ambient, "degC");
  for (uint32_t i = 0; i < state->locked.n; i++)
    pl_buffer_printf(out, ", %s locked", h->devices.at[state->locked.at[i]].name);
  for (uint32_t i = 0; i < state->set.n; i++) {
    const struct pl_device *device = &h->devices.at[state->set.at[i]];
    pl_buffer_printf(out,
                     ", %s %s",
                     device->name,
                     pl_kind_is(device->kind, PL_IS_GENERATOR) ? "excited" : "set");
  }
}

static const char *settings_text(struct pl_sheet_maker *maker, const struct pl_state *state) {
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  for (uint32_t i = 0; i < state->settings.n; i++) {
    const struct pl_device *device = &maker->harness->devices.at[state->settings.at[i].device];
    uint32_t position = state->settings.at[i].position;
    const char *name = "?";
    if (position < device->throws.n)
      name = device->throws.at[position].name;
    pl_buffer_printf(&out, "%s%s in %s", out.n > 0 ? ", " : "", device->name, name);
  }
  if (out.n == 0)
    pl_buffer_puts(&out, "all at rest");
  add_conditions(maker, &out, state);
  return out.at;
}

static const char *outputs_text(struct pl_sheet_maker *maker, const struct pl_state *state) {
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  for (uint32_t i = 0; i < state->outputs_on.n; i++)
    pl_buffer_printf(&out,
                     "%s%s",
                     out.n > 0 ? ", " : "",
                     maker->harness->pins.at[state->outputs_on.at[i]].full);
  return out.at;
}

void pl_sheet_states(struct pl_sheet_maker *maker) {
  pl_sheet_begin(maker,
                 "states",
                 "States the readings are for",
                 "Switches that are not named are at rest.");
  pl_sheet_column(maker, "state")->key = true;
  pl_sheet_column(maker, "what it is");
  pl_sheet_narrow(maker, "engine");
  pl_sheet_number(maker, "lasts s");
  pl_sheet_column(maker, "switches and conditions");
  pl_sheet_column(maker, "outputs on");
  pl_sheet_column(maker, "computed");
  for (pl_id id = 0; id < maker->harness->states.n; id++) {
    const struct pl_state *state = &maker->harness->states.at[id];
    const struct pl_solution *solution;
    if (maker->solutions == NULL)
      solution = NULL;
    else
      solution = &maker->solutions[id];
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, state->name);
    pl_sheet_text(maker, state->title);
    pl_sheet_text(maker, pl_engine_name(state->engine));
    pl_sheet_figure(maker, state->lasts, 4);
    pl_sheet_text(maker, settings_text(maker, state));
    pl_sheet_text(maker, outputs_text(maker, state));
    if (solution == NULL)
      pl_sheet_text(maker, "no");
    else if (solution->status == PL_SOLVED)
      pl_sheet_text(maker, "yes");
    else
      pl_sheet_text(maker,
                    solution->failure == NULL
                        ? "no"
                        : pl_arena_printf(maker->arena, "no: %s", solution->failure));
  }
  pl_sheet_end(maker);
}

/* ---- devices, defaults ---- */

static uint32_t wires_at(const struct pl_harness *harness, const struct pl_device *device) {
  uint32_t n = 0;
  for (uint32_t i = 0; i < device->pin_count; i++)
    n += harness->pins.at[device->first_pin + i].wires.n;
  return n;
}

/* Only what people look for on the part: rating, load, cranking, battery. */
static const char *figures_text(struct pl_sheet_maker *maker, const struct pl_device *device) {
  const struct {
    const char *before;
    double value;
    const char *after;
  } figures[] = {{"rating ", device->rating, " A"},
                 {"draws ", device->load_amps, " A"},
                 {"at ", device->load_volts, " V"},
                 {"coil ", device->coil_ohms, " ohm"},
                 {"pulls in at ", device->pull_in, " V"},
                 {"cranks ", device->crank_amps, " A"},
                 {"", device->cca, " A cold cranking"},
                 {"", device->amp_hours, " Ah"},
                 {"set ", device->set_volts, " V"},
                 {"gives ", device->speed_amps, " A"}};
  struct pl_buffer out;
  char number[PL_NUMBER_SIZE];
  pl_buffer_init(&out, maker->arena);
  for (size_t i = 0; i < sizeof figures / sizeof figures[0]; i++) {
    if (!isfinite(figures[i].value))
      continue;
    if (i == 2 && !isfinite(device->load_amps))
      continue;
    pl_buffer_printf(&out,
                     "%s%s%s%s",
                     out.n == 0 ? ""
                     : i == 2   ? " "
                                : ", ",
                     figures[i].before,
                     pl_number_print(number, figures[i].value, 3),
                     figures[i].after);
  }
  return out.at;
}

void pl_sheet_device_list(struct pl_sheet_maker *maker) {
  const struct pl_harness *harness = maker->harness;
  pl_sheet_begin(maker, "devices", "Device list", "");
  struct pl_column *name = pl_sheet_column(maker, "device");
  name->narrow = name->key = true;
  pl_sheet_column(maker, "kind");
  pl_sheet_column(maker, "what it is");
  pl_sheet_column(maker, "place");
  pl_sheet_column(maker, "part");
  pl_sheet_column(maker, "figures");
  pl_sheet_narrow(maker, "comes from");
  pl_sheet_number(maker, "wire ends");
  for (pl_id id = 0; id < harness->devices.n; id++) {
    const struct pl_device *device = &harness->devices.at[id];
    pl_sheet_row(maker, PL_LINK_DEVICE, id);
    pl_sheet_link(maker, device->name, PL_LINK_DEVICE, id);
    pl_sheet_text(maker, pl_kind_name(device->kind));
    pl_sheet_text(maker, device->text);
    pl_sheet_place_cell(maker, device->place);
    pl_sheet_text(maker, device->part);
    pl_sheet_text(maker, figures_text(maker, device));
    pl_sheet_text(maker, device->donor ? "donor" : "");
    pl_sheet_figure(maker, wires_at(harness, device), 6);
  }
  pl_sheet_end(maker);
}

void pl_sheet_defaults(struct pl_sheet_maker *maker) {
  pl_sheet_begin(
      maker,
      "defaults",
      "Figures the text does not say",
      "Taken because nothing was written. Where one matters, look at the part and write it down.");
  pl_sheet_column(maker, "what")->key = true;
  pl_sheet_column(maker, "taken as");
  pl_sheet_column(maker, "source");
  for (uint32_t i = 0; i < maker->harness->defaults.n; i++) {
    const struct pl_default *one = &maker->harness->defaults.at[i];
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, one->what);
    pl_sheet_text(maker, one->value);
    pl_sheet_text(maker, one->source);
  }
  pl_sheet_end(maker);
}
