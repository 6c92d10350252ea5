/* A harness as records of plain facts, so that two texts can be held against each other. */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "base/number.h"
#include "sheet/records_inner.h"
#include "standard/data_link.h"
#include "standard/wire.h"

void pl_tell_record(struct pl_teller *teller,
                    const char *group,
                    const char *name,
                    const char *owner) {
  const char *key = pl_arena_printf(teller->arena, "%s %s", group, name);
  const char *numbered = key;
  for (uint32_t n = 2; !pl_table_add(&teller->times, numbered, 0); n++)
    numbered = pl_arena_printf(teller->arena, "%s %u", key, n);
  struct pl_record one = {.group = group, .name = name, .key = numbered, .owner = owner};
  PL_PUSH(teller->arena, teller->records, one);
}

void pl_tell(struct pl_teller *teller, const char *aspect, const char *value) {
  struct pl_record *record = &teller->records->at[teller->records->n - 1];
  struct pl_fact fact = {aspect, value == NULL ? "" : value};
  for (uint32_t i = 0; i < record->facts.n; i++)
    if (strcmp(record->facts.at[i].aspect, aspect) == 0)
      return;
  PL_PUSH(teller->arena, &record->facts, fact);
}

/* As it is read back: "" when nothing is said. */
const char *pl_teller_number(const struct pl_teller *teller, double value) {
  char text[PL_NUMBER_SIZE];
  if (isnan(value))
    return "";
  if (isinf(value))
    return "no end";
  return pl_arena_strdup(teller->arena, pl_number_print(text, value, 6));
}

void pl_tell_number(struct pl_teller *teller, const char *aspect, double value) {
  pl_tell(teller, aspect, pl_teller_number(teller, value));
}
void pl_tell_whether(struct pl_teller *teller, const char *aspect, bool value) {
  pl_tell(teller, aspect, value ? "yes" : "no");
}

const char *pl_teller_pin(const struct pl_teller *teller, pl_id pin) {
  if (pin < teller->harness->pins.n)
    return teller->harness->pins.at[pin].full;
  return "in the air";
}
const char *pl_teller_place(const struct pl_teller *teller, pl_id place) {
  if (place < teller->harness->places.n)
    return teller->harness->places.at[place].name;
  return "";
}
const char *pl_teller_device(const struct pl_teller *teller, pl_id id) {
  if (id < teller->harness->devices.n)
    return teller->harness->devices.at[id].name;
  return "";
}
const char *pl_teller_terminal(const struct pl_teller *teller, pl_id id) {
  if (id < teller->harness->terminals.n)
    return teller->harness->terminals.at[id].name;
  return "";
}
const char *pl_teller_quantity(const struct pl_teller *teller, pl_id id) {
  if (id < teller->harness->quantities.n)
    return teller->harness->quantities.at[id].name;
  return "";
}

/* ---- machine, places, runs, terminals, circuits: a function for each line of theirs ---- */

static void tell_machine_revision(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell(teller, "revision", machine->revision);
}

static void tell_machine_date(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell(teller, "date", machine->date);
}

static void tell_machine_author(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell(teller, "author", machine->author);
}

static void tell_machine_supply(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell_number(teller, "supply V", machine->volts);
}

static void tell_machine_earth(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell(teller, "earthed pole", machine->positive_earth ? "plus" : "minus");
}

static void tell_machine_drop(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell_number(teller, "drop limit", machine->drop_limit);
}

static void tell_machine_fuse_share(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell_number(teller, "fuse share", machine->fuse_share);
}

static void tell_machine_slack(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell_number(teller, "slack", machine->slack);
}

static void tell_machine_tail(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell_number(teller, "tail m", machine->tail);
}

static void tell_machine_spare(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell_number(teller, "spare share", machine->spare);
}

static void tell_machine_insulation(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell(teller,
          "insulation",
          machine->insulation < pl_insulation_count ? pl_insulations[machine->insulation].name
                                                    : "");
}

static void tell_machine_labels(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell(teller, "labels", machine->flags ? "flag" : "sleeve");
}

static void tell_machine_units(struct pl_teller *teller, const struct pl_machine *machine) {
  pl_tell(teller, "units", machine->units == PL_UNITS_US ? "US" : "metric");
}

static void tell_place_temperature(struct pl_teller *teller, const struct pl_place *place) {
  pl_tell_number(teller, "cold degC", place->cold);
  pl_tell_number(teller, "hot degC", place->hot);
}

static void tell_place_engine_space(struct pl_teller *teller, const struct pl_place *place) {
  pl_tell_whether(teller, "engine space", place->engine_space);
}

static void tell_run_temperature(struct pl_teller *teller, const struct pl_run *run) {
  pl_tell_number(teller, "cold degC", run->cold);
  pl_tell_number(teller, "hot degC", run->hot);
}

static void tell_run_engine_space(struct pl_teller *teller, const struct pl_run *run) {
  pl_tell_whether(teller, "engine space", run->engine_space);
}

static void tell_place_inside(struct pl_teller *teller, const struct pl_place *place) {
  pl_tell_whether(teller, "inside", place->inside);
}

static void tell_place_reach(struct pl_teller *teller, const struct pl_place *place) {
  pl_tell_number(teller, "reach", place->reach);
}

static void tell_run_length(struct pl_teller *teller, const struct pl_run *run) {
  pl_tell_number(teller, "length m", run->length);
}

static void tell_run_covering(struct pl_teller *teller, const struct pl_run *run) {
  pl_tell(teller, "covering", run->covering);
  pl_tell_number(teller, "bore mm", run->bore);
}

static void tell_terminal_crimp(struct pl_teller *teller, const struct pl_terminal *terminal) {
  pl_tell_number(teller, "area from mm2", terminal->area_min);
  pl_tell_number(teller, "area to mm2", terminal->area_max);
}

static void tell_terminal_seal(struct pl_teller *teller, const struct pl_terminal *terminal) {
  pl_tell_number(teller, "seal from mm", terminal->od_min);
  pl_tell_number(teller, "seal to mm", terminal->od_max);
}

static void tell_terminal_rating(struct pl_teller *teller, const struct pl_terminal *terminal) {
  pl_tell_number(teller, "A", terminal->amps);
}

static void tell_terminal_contact(struct pl_teller *teller, const struct pl_terminal *terminal) {
  pl_tell_number(teller, "ohm", terminal->ohms);
}

static void tell_terminal_wires(struct pl_teller *teller, const struct pl_terminal *terminal) {
  pl_tell_number(teller, "wires", terminal->wires_max);
}

static void tell_terminal_strip(struct pl_teller *teller, const struct pl_terminal *terminal) {
  pl_tell_number(teller, "strip m", terminal->strip);
}

static void tell_circuit_drop(struct pl_teller *teller, const struct pl_circuit *circuit) {
  pl_tell_number(teller, "drop limit", circuit->drop_limit);
}

static void tell_circuit_link(struct pl_teller *teller, const struct pl_circuit *circuit) {
  pl_tell(teller,
          "data link",
          circuit->link < pl_data_link_count ? pl_data_links[circuit->link].name : "");
}

static void tell_machine_lines(struct pl_teller *teller, const struct pl_machine *machine) {
#define PL_MACHINE_LINE(word, read, told, example, other, help) \
  tell_machine_##told(teller, machine);
#include "model/facts.def"
}

static void tell_place_lines(struct pl_teller *teller, const struct pl_place *place) {
#define PL_PLACE_LINE(word, read, told, example, other, help) tell_place_##told(teller, place);
#include "model/facts.def"
}

static void tell_run_lines(struct pl_teller *teller, const struct pl_run *run) {
#define PL_RUN_LINE(word, read, told, example, other, help) tell_run_##told(teller, run);
#include "model/facts.def"
}

static void tell_terminal_lines(struct pl_teller *teller, const struct pl_terminal *terminal) {
#define PL_TERMINAL_LINE(word, read, told, example, other, help) \
  tell_terminal_##told(teller, terminal);
#include "model/facts.def"
}

static void tell_circuit_lines(struct pl_teller *teller, const struct pl_circuit *circuit) {
#define PL_CIRCUIT_LINE(word, read, told, example, other, help) \
  tell_circuit_##told(teller, circuit);
#include "model/facts.def"
}

static void tell_machine(struct pl_teller *teller) {
  pl_tell_record(teller, "machine", "", "");
  pl_tell(teller, "title", teller->harness->machine.title);
  tell_machine_lines(teller, &teller->harness->machine);
}

static void tell_places(struct pl_teller *teller) {
  for (pl_id i = 0; i < teller->harness->places.n; i++) {
    const struct pl_place *place = &teller->harness->places.at[i];
    pl_tell_record(teller, "place", place->name, "");
    pl_tell(teller, "text", place->text);
    tell_place_lines(teller, place);
  }
}

static void tell_runs(struct pl_teller *teller) {
  for (pl_id i = 0; i < teller->harness->runs.n; i++) {
    const struct pl_run *run = &teller->harness->runs.at[i];
    const char *from = pl_teller_place(teller, run->a);
    const char *to = pl_teller_place(teller, run->b);
    pl_tell_record(teller, "run", pl_arena_printf(teller->arena, "%s to %s", from, to), "");
    tell_run_lines(teller, run);
  }
}

static void tell_terminals(struct pl_teller *teller) {
  for (pl_id i = 0; i < teller->harness->terminals.n; i++) {
    const struct pl_terminal *terminal = &teller->harness->terminals.at[i];
    pl_tell_record(teller, "terminal", terminal->name, "");
    tell_terminal_lines(teller, terminal);
  }
}

static void tell_circuits(struct pl_teller *teller) {
  for (pl_id i = 0; i < teller->harness->circuits.n; i++) {
    const struct pl_circuit *circuit = &teller->harness->circuits.at[i];
    pl_tell_record(teller, "circuit", circuit->name, "");
    pl_tell(teller, "title", circuit->title);
    tell_circuit_lines(teller, circuit);
  }
}

/* ---- wires ---- */

/* Written from its other end: what it had at one end it has at the other. */
static bool is_turned(const struct pl_teller *teller,
                      const struct pl_harness *like,
                      const struct pl_wire *wire) {
  uint32_t other;
  if (like == NULL)
    return false;
  if (!pl_table_find(&like->wire_numbers, wire->number, &other))
    return false;
  const struct pl_wire *was = &like->wires.at[other];
  struct pl_teller of = {.harness = like};
  const char *a = pl_teller_pin(teller, wire->end[0]);
  const char *b = pl_teller_pin(teller, wire->end[1]);
  const char *c = pl_teller_pin(&of, was->end[0]);
  const char *d = pl_teller_pin(&of, was->end[1]);
  if (strcmp(a, c) == 0)
    return false;
  if (strcmp(b, d) == 0)
    return false;
  if (strcmp(a, d) == 0)
    return true;
  return strcmp(b, c) == 0;
}

static void tell_wires(struct pl_teller *teller, const struct pl_harness *like) {
  for (pl_id i = 0; i < teller->harness->wires.n; i++) {
    const struct pl_wire *w = &teller->harness->wires.at[i];
    char colour[16], metres[PL_NUMBER_SIZE];
    bool turned = is_turned(teller, like, w);
    pl_tell_record(teller, "wire", w->number, "");
    pl_tell(teller, "from", pl_teller_pin(teller, w->end[turned ? 1 : 0]));
    pl_tell(teller, "to", pl_teller_pin(teller, w->end[turned ? 0 : 1]));
    pl_tell(teller, "size", w->size);
    pl_tell(teller, "colour", pl_arena_strdup(teller->arena, pl_colour_text(&w->colour, colour)));
    pl_tell(teller,
            "insulation",
            w->insulation < pl_insulation_count ? pl_insulations[w->insulation].name : "");
    pl_tell(teller,
            "length m",
            isfinite(w->length)
                ? pl_arena_strdup(teller->arena, pl_number_fixed(metres, w->length, 2))
                : "");
    pl_tell(teller,
            "circuit",
            w->circuit < teller->harness->circuits.n ? teller->harness->circuits.at[w->circuit].name
                                                     : "");
    pl_tell(teller, "twisted", w->twist);
    pl_tell_whether(teller, "shielded", w->shield);
    pl_tell(teller, "status", pl_wire_status_name(w->status));
    pl_tell_number(teller, "spliced on m", w->extension);
    pl_tell(teller, "note", w->note);
  }
}

/* ---- states, requirements, waivers ---- */

static const char *settings_text(struct pl_teller *teller, const struct pl_state *state) {
  struct pl_buffer out;
  pl_buffer_init(&out, teller->arena);
  for (uint32_t i = 0; i < state->settings.n; i++) {
    const struct pl_device *d = &teller->harness->devices.at[state->settings.at[i].device];
    pl_buffer_printf(&out,
                     "%s%s in %s",
                     i > 0 ? ", " : "",
                     d->name,
                     state->settings.at[i].position < d->throws.n
                         ? d->throws.at[state->settings.at[i].position].name
                         : "?");
  }
  if (out.n > 0)
    return out.at;
  return "";
}

static const char *conditions_text(struct pl_teller *teller, const struct pl_state *state) {
  struct pl_buffer out;
  pl_buffer_init(&out, teller->arena);
  for (uint32_t i = 0; i < state->levels.n; i++)
    pl_buffer_printf(&out,
                     "%s %s; ",
                     pl_teller_quantity(teller, state->levels.at[i].quantity),
                     pl_teller_number(teller, state->levels.at[i].value));
  for (uint32_t i = 0; i < state->outputs_on.n; i++)
    pl_buffer_printf(&out, "%s on; ", pl_teller_pin(teller, state->outputs_on.at[i]));
  for (uint32_t i = 0; i < state->locked.n; i++)
    pl_buffer_printf(&out, "%s locked; ", pl_teller_device(teller, state->locked.at[i]));
  for (uint32_t i = 0; i < state->set.n; i++)
    pl_buffer_printf(&out, "%s set; ", pl_teller_device(teller, state->set.at[i]));
  if (out.n > 0)
    return out.at;
  return "";
}

static void tell_state_engine(struct pl_teller *teller, const struct pl_state *state) {
  pl_tell(teller, "engine", pl_engine_name(state->engine));
}

static void tell_state_lasts(struct pl_teller *teller, const struct pl_state *state) {
  pl_tell_number(teller, "lasts s", state->lasts);
}

static void tell_state_settings(struct pl_teller *teller, const struct pl_state *state) {
  pl_tell(teller, "switches", settings_text(teller, state));
}

static void tell_state_conditions(struct pl_teller *teller, const struct pl_state *state) {
  pl_tell(teller, "conditions", conditions_text(teller, state));
}

static void tell_state_battery(struct pl_teller *teller, const struct pl_state *state) {
  pl_tell_number(teller, "battery V", state->battery_volts);
}

static void tell_state_worn(struct pl_teller *teller, const struct pl_state *state) {
  pl_tell_number(teller, "battery worn", state->battery_worn);
}

static void tell_state_ambient(struct pl_teller *teller, const struct pl_state *state) {
  pl_tell_number(teller, "ambient degC", state->ambient);
}

static void tell_state_lines(struct pl_teller *teller, const struct pl_state *state) {
#define PL_STATE_LINE(word, read, told, example, other, help) tell_state_##told(teller, state);
#define PL_STATE_FORM(word, told, example, other, help) tell_state_##told(teller, state);
#include "model/facts.def"
}

static void tell_states(struct pl_teller *teller) {
  for (pl_id i = 0; i < teller->harness->states.n; i++) {
    const struct pl_state *state = &teller->harness->states.at[i];
    pl_tell_record(teller, "state", state->name, "");
    pl_tell(teller, "title", state->title);
    tell_state_lines(teller, state);
  }
}

static void tell_requires(struct pl_teller *teller) {
  for (uint32_t i = 0; i < teller->harness->requires.n; i++) {
    const struct pl_require *r = &teller->harness->requires.at[i];
    struct pl_buffer out;
    pl_buffer_init(&out, teller->arena);
    pl_buffer_printf(&out,
                     "%s %s %s ",
                     pl_teller_device(teller, r->subject),
                     r->on ? "on" : "off",
                     r->unless ? "unless" : "when");
    for (uint32_t k = 0; k < r->clauses.n; k++) {
      const struct pl_device *d = &teller->harness->devices.at[r->clauses.at[k].device];
      pl_buffer_printf(&out,
                       "%s%s in %s",
                       k > 0 ? " and " : "",
                       d->name,
                       r->clauses.at[k].position < d->throws.n
                           ? d->throws.at[r->clauses.at[k].position].name
                           : "?");
    }
    pl_tell_record(teller, "requirement", out.at, "");
  }
}

static void tell_waivers(struct pl_teller *teller) {
  for (uint32_t i = 0; i < teller->harness->waivers.n; i++) {
    const struct pl_waiver *w = &teller->harness->waivers.at[i];
    pl_tell_record(teller,
                   "waiver",
                   pl_arena_printf(teller->arena, "%s at %s", w->rule, w->place),
                   "");
    pl_tell(teller, "reason", w->reason);
  }
}

void pl_records_of(const struct pl_harness *harness,
                   const struct pl_harness *like,
                   struct pl_arena *arena,
                   pl_records *records) {
  struct pl_teller teller = {.harness = harness, .arena = arena, .records = records};
  pl_table_init(&teller.times, arena);
  tell_wires(&teller, like);
  pl_tell_devices(&teller);
  tell_places(&teller);
  tell_runs(&teller);
  tell_terminals(&teller);
  tell_circuits(&teller);
  tell_states(&teller);
  tell_requires(&teller);
  tell_waivers(&teller);
  tell_machine(&teller);
}
