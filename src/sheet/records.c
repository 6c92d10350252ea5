/* A harness as records of plain facts, so that two texts can be held against each other. */
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "base/number.h"
#include "sheet/changes.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

struct teller {
  const struct pl_harness *harness;
  struct pl_arena *arena;
  pl_records *records;
  struct pl_table times; /* how often a key came */
};

static void record(struct teller *teller, const char *group, const char *name, const char *owner) {
  const char *key = pl_arena_printf(teller->arena, "%s %s", group, name);
  const char *numbered = key;
  for (uint32_t n = 2; !pl_table_add(&teller->times, numbered, 0); n++)
    numbered = pl_arena_printf(teller->arena, "%s %u", key, n);
  struct pl_record one = {.group = group, .name = name, .key = numbered, .owner = owner};
  PL_PUSH(teller->arena, teller->records, one);
}

static void tell(struct teller *teller, const char *aspect, const char *value) {
  struct pl_fact fact = {aspect, value == NULL ? "" : value};
  PL_PUSH(teller->arena, &teller->records->at[teller->records->n - 1].facts, fact);
}

/* As it is read back: "" when nothing is said. */
static const char *number(const struct teller *teller, double value) {
  char text[PL_NUMBER_SIZE];
  if (isnan(value))
    return "";
  return isinf(value) ? "no end" : pl_arena_strdup(teller->arena, pl_number_print(text, value, 6));
}

static void tell_number(struct teller *teller, const char *aspect, double value) {
  tell(teller, aspect, number(teller, value));
}
static void tell_whether(struct teller *teller, const char *aspect, bool value) {
  tell(teller, aspect, value ? "yes" : "no");
}

static const char *pin_name(const struct teller *teller, pl_id pin) {
  return pin < teller->harness->pins.n ? teller->harness->pins.at[pin].full : "in the air";
}
static const char *place_name(const struct teller *teller, pl_id place) {
  return place < teller->harness->places.n ? teller->harness->places.at[place].name : "";
}
static const char *device_name(const struct teller *teller, pl_id id) {
  return id < teller->harness->devices.n ? teller->harness->devices.at[id].name : "";
}
static const char *terminal_name(const struct teller *teller, pl_id id) {
  return id < teller->harness->terminals.n ? teller->harness->terminals.at[id].name : "";
}
static const char *quantity_name(const struct teller *teller, pl_id id) {
  return id < teller->harness->quantities.n ? teller->harness->quantities.at[id].name : "";
}

/* ---- machine, places, runs, terminals, circuits ---- */

static void tell_machine(struct teller *teller) {
  const struct pl_machine *m = &teller->harness->machine;
  record(teller, "machine", "", "");
  tell(teller, "title", m->title);
  tell(teller, "revision", m->revision);
  tell(teller, "date", m->date);
  tell(teller, "author", m->author);
  tell_number(teller, "supply V", m->volts);
  tell(teller, "earthed pole", m->positive_earth ? "plus" : "minus");
  tell_number(teller, "drop limit", m->drop_limit);
  tell_number(teller, "fuse share", m->fuse_share);
  tell_number(teller, "spare share", m->spare);
  tell(teller, "labels", m->flags ? "flag" : "sleeve");
  tell(teller, "units", m->units == PL_UNITS_US ? "US" : "metric");
}

static void tell_places(struct teller *teller) {
  for (pl_id i = 0; i < teller->harness->places.n; i++) {
    const struct pl_place *p = &teller->harness->places.at[i];
    record(teller, "place", p->name, "");
    tell(teller, "text", p->text);
    tell_number(teller, "cold degC", p->cold);
    tell_number(teller, "hot degC", p->hot);
    tell_whether(teller, "engine space", p->engine_space);
    tell_number(teller, "reach", p->reach);
  }
}

static void tell_runs(struct teller *teller) {
  for (pl_id i = 0; i < teller->harness->runs.n; i++) {
    const struct pl_run *r = &teller->harness->runs.at[i];
    record(teller,
           "run",
           pl_arena_printf(teller->arena,
                           "%s to %s",
                           place_name(teller, r->a),
                           place_name(teller, r->b)),
           "");
    tell_number(teller, "length m", r->length);
    tell(teller, "covering", r->covering);
    tell_number(teller, "bore mm", r->bore);
    tell_number(teller, "cold degC", r->cold);
    tell_number(teller, "hot degC", r->hot);
    tell_whether(teller, "engine space", r->engine_space);
  }
}

static void tell_terminals(struct teller *teller) {
  for (pl_id i = 0; i < teller->harness->terminals.n; i++) {
    const struct pl_terminal *t = &teller->harness->terminals.at[i];
    record(teller, "terminal", t->name, "");
    tell_number(teller, "area from mm2", t->area_min);
    tell_number(teller, "area to mm2", t->area_max);
    tell_number(teller, "seal from mm", t->od_min);
    tell_number(teller, "seal to mm", t->od_max);
    tell_number(teller, "A", t->amps);
    tell_number(teller, "ohm", t->ohms);
    tell_number(teller, "wires", t->wires_max);
    tell_number(teller, "strip m", t->strip);
  }
}

static void tell_circuits(struct teller *teller) {
  for (pl_id i = 0; i < teller->harness->circuits.n; i++) {
    record(teller, "circuit", teller->harness->circuits.at[i].name, "");
    tell(teller, "title", teller->harness->circuits.at[i].title);
    tell_number(teller, "drop limit", teller->harness->circuits.at[i].drop_limit);
  }
}

/* ---- wires ---- */

/* Written from its other end: what it had at one end it has at the other. */
static bool
is_turned(const struct teller *teller, const struct pl_harness *like, const struct pl_wire *wire) {
  uint32_t other;
  if (like == NULL || !pl_table_find(&like->wire_numbers, wire->number, &other))
    return false;
  const struct pl_wire *was = &like->wires.at[other];
  struct teller of = {.harness = like};
  const char *a = pin_name(teller, wire->end[0]);
  const char *b = pin_name(teller, wire->end[1]);
  const char *c = pin_name(&of, was->end[0]);
  const char *d = pin_name(&of, was->end[1]);
  if (strcmp(a, c) == 0 || strcmp(b, d) == 0)
    return false;
  return strcmp(a, d) == 0 || strcmp(b, c) == 0;
}

static void tell_wires(struct teller *teller, const struct pl_harness *like) {
  for (pl_id i = 0; i < teller->harness->wires.n; i++) {
    const struct pl_wire *w = &teller->harness->wires.at[i];
    char colour[16], metres[PL_NUMBER_SIZE];
    bool turned = is_turned(teller, like, w);
    record(teller, "wire", w->number, "");
    tell(teller, "from", pin_name(teller, w->end[turned ? 1 : 0]));
    tell(teller, "to", pin_name(teller, w->end[turned ? 0 : 1]));
    tell(teller, "size", w->size);
    tell(teller, "colour", pl_arena_strdup(teller->arena, pl_colour_text(&w->colour, colour)));
    tell(teller,
         "insulation",
         w->insulation < pl_insulation_count ? pl_insulations[w->insulation].name : "");
    tell(teller,
         "length m",
         isfinite(w->length) ? pl_arena_strdup(teller->arena, pl_number_fixed(metres, w->length, 2))
                             : "");
    tell(teller,
         "circuit",
         w->circuit < teller->harness->circuits.n ? teller->harness->circuits.at[w->circuit].name
                                                  : "");
    tell(teller, "twisted", w->twist);
    tell_whether(teller, "shielded", w->shield);
    tell(teller, "status", pl_wire_status_name(w->status));
    tell_number(teller, "spliced on m", w->extension);
    tell(teller, "note", w->note);
  }
}

/* ---- devices, plugs, pins ---- */

#define FIGURE(text, field) \
  { text, offsetof(struct pl_device, field) }
static const struct {
  const char *aspect;
  size_t at;
} figures[] = {FIGURE("rating A", rating),
               FIGURE("own volts", volts),
               FIGURE("ohms", ohms),
               FIGURE("draws A", load_amps),
               FIGURE("at V", load_volts),
               FIGURE("coil ohm", coil_ohms),
               FIGURE("pulls in V", pull_in),
               FIGURE("drops out V", drop_out),
               FIGURE("emf V", emf),
               FIGURE("cold cranking A", cca),
               FIGURE("Ah", amp_hours),
               FIGURE("set V", set_volts),
               FIGURE("idle A", idle_amps),
               FIGURE("speed A", speed_amps),
               FIGURE("exciter ohm", exciter_ohms),
               FIGURE("crank A", crank_amps),
               FIGURE("crank V", crank_volts),
               FIGURE("inrush times", inrush),
               FIGURE("inrush s", inrush_seconds),
               FIGURE("locked times", locked),
               FIGURE("beta", beta),
               FIGURE("beta ohm", beta_ohms),
               FIGURE("beta degC", beta_at),
               FIGURE("tolerance", tolerance),
               FIGURE("needs from V", need_min),
               FIGURE("needs to V", need_max),
               FIGURE("diode V", drop),
               FIGURE("signal share", signal_share)};

static void add_joins(struct teller *teller, struct pl_buffer *out, const pl_joins *joins) {
  for (uint32_t i = 0; i < joins->n; i++)
    pl_buffer_printf(out,
                     "%s%s to %s",
                     i > 0 ? ", " : "",
                     pin_name(teller, joins->at[i].a),
                     pin_name(teller, joins->at[i].b));
}

static const char *joins_text(struct teller *teller, const pl_joins *joins) {
  struct pl_buffer out;
  pl_buffer_init(&out, teller->arena);
  add_joins(teller, &out, joins);
  return out.n > 0 ? out.at : "";
}

static const char *coil_text(struct teller *teller, pl_id a, pl_id b) {
  return a == PL_NONE && b == PL_NONE
             ? ""
             : pl_arena_printf(teller->arena, "%s to %s", pin_name(teller, a), pin_name(teller, b));
}

static const char *positions_text(struct teller *teller, const struct pl_device *d) {
  struct pl_buffer out;
  pl_buffer_init(&out, teller->arena);
  for (uint32_t t = 0; t < d->throws.n; t++) {
    pl_buffer_printf(&out,
                     "%s%s%s: ",
                     t > 0 ? "; " : "",
                     d->throws.at[t].name,
                     d->throws.at[t].momentary ? " (momentary)" : "");
    add_joins(teller, &out, &d->throws.at[t].joins);
  }
  for (uint32_t t = 0; t < d->thresholds.n; t++)
    pl_buffer_printf(&out,
                     "; %s %s %s",
                     d->thresholds.at[t].position < d->throws.n
                         ? d->throws.at[d->thresholds.at[t].position].name
                         : "?",
                     d->thresholds.at[t].above ? "above" : "below",
                     number(teller, d->thresholds.at[t].at));
  return out.n > 0 ? out.at : "";
}

static const char *points_text(struct teller *teller, const struct pl_device *d) {
  struct pl_buffer out;
  pl_buffer_init(&out, teller->arena);
  for (uint32_t i = 0; i < d->points.n; i++)
    pl_buffer_printf(&out,
                     "%s%s at %s",
                     i > 0 ? ", " : "",
                     number(teller, d->points.at[i].x),
                     number(teller, d->points.at[i].ohms));
  return out.n > 0 ? out.at : "";
}

/* A fuse's own ohms follow from its rating when the text does not say them. */
static bool is_usual(const struct pl_device *d) {
  return pl_kind_is_protection(d->kind) &&
         !(fabs(d->ohms - pl_fuse_ohms(d->family[0] != '\0' ? d->family : "blade", d->rating)) > 0);
}

static void tell_device(struct teller *teller, const struct pl_device *d) {
  static const char *const laws[] = {"", "steady amps", "steady watts"};
  record(teller, "device", d->name, "");
  tell(teller, "kind", pl_kind_name(d->kind));
  tell(teller, "what it is", d->text);
  tell(teller, "place", place_name(teller, d->place));
  tell(teller, "part", d->part);
  tell(teller, "family", d->family);
  tell(teller, "suppression", d->suppression);
  tell(teller, "comes from", d->donor ? "donor" : "");
  for (size_t i = 0; i < sizeof figures / sizeof figures[0]; i++) {
    double value;
    memcpy(&value, (const char *)d + figures[i].at, sizeof value);
    if (figures[i].at == offsetof(struct pl_device, ohms) && is_usual(d))
      value = NAN;
    tell_number(teller, figures[i].aspect, value);
  }
  tell(teller, "law", pl_kind_is_load(d->kind) ? laws[d->law] : "");
  tell(teller, "quantity", quantity_name(teller, d->quantity));
  tell(teller, "reading", points_text(teller, d));
  tell(teller, "positions", positions_text(teller, d));
  tell(teller, "rests in", d->rest < d->throws.n ? d->throws.at[d->rest].name : "");
  tell(teller, "coil", coil_text(teller, d->coil_a, d->coil_b));
  tell(teller, "reset coil", coil_text(teller, d->reset_a, d->reset_b));
  tell(teller, "makes", joins_text(teller, &d->make));
  tell(teller, "breaks", joins_text(teller, &d->brk));
  tell(teller, "joined inside", joins_text(teller, &d->fixed));
  tell(teller, "on chassis", device_name(teller, d->body));
  tell_whether(teller, "latching", d->latching);
  tell_whether(teller, "excites itself", d->self_exciting);
}

static void tell_connectors(struct teller *teller, const struct pl_device *d) {
  for (uint32_t i = 0; i < d->connector_count; i++) {
    const struct pl_connector *c = &teller->harness->connectors.at[d->first_connector + i];
    record(
        teller,
        "plug",
        pl_arena_printf(teller->arena, "%s%s%s", d->name, c->name[0] != '\0' ? " " : "", c->name),
        d->name);
    tell_number(teller, "cavities", c->pin_count);
    tell_number(teller, "rows", c->rows);
    tell(teller, "shape", c->shape == PL_SHAPE_ROUND ? "round" : "");
    tell_whether(teller, "sealed", c->sealed);
    tell(teller, "harness half", c->pin_half ? "pins" : "sockets");
    tell(teller, "terminal", terminal_name(teller, c->terminal));
    tell(teller, "colour", c->colour);
    tell(teller, "key", c->key);
    tell(teller, "mate", c->mate);
    tell(teller, "part", c->part);
  }
}

static void tell_pins(struct teller *teller, const struct pl_device *d) {
  static const char *const needs[] = {"optional", "required", "unused"};
  for (uint32_t i = 0; i < d->pin_count; i++) {
    const struct pl_pin *p = &teller->harness->pins.at[d->first_pin + i];
    record(teller, "pin", p->full, d->name);
    tell(teller, "function", p->text);
    tell(teller, "role", pl_role_name(p->role));
    tell(teller, "need", needs[p->need]);
    tell_whether(teller, "off in settings", p->set_off);
    tell_whether(teller, "cavity plug", p->plugged);
    tell(teller, "terminal", terminal_name(teller, p->terminal));
    tell_number(teller, "A", p->amps);
    tell_number(teller, "asleep A", p->sleep_amps);
    tell_number(teller, "from V", p->volts_min);
    tell_number(teller, "to V", p->volts_max);
    tell_number(teller, "supplies V", p->volts);
    tell_number(teller, "pull ohm", p->pull_ohms);
    tell_number(teller, "pull V", p->pull_volts);
    tell(teller,
         "known from",
         pl_arena_printf(teller->arena, "%s %s", pl_sure_name(p->sure), p->sure_text));
  }
}

/* ---- states, requirements, waivers ---- */

static const char *settings_text(struct teller *teller, const struct pl_state *state) {
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
  return out.n > 0 ? out.at : "";
}

static const char *conditions_text(struct teller *teller, const struct pl_state *state) {
  struct pl_buffer out;
  pl_buffer_init(&out, teller->arena);
  for (uint32_t i = 0; i < state->levels.n; i++)
    pl_buffer_printf(&out,
                     "%s %s; ",
                     quantity_name(teller, state->levels.at[i].quantity),
                     number(teller, state->levels.at[i].value));
  for (uint32_t i = 0; i < state->outputs_on.n; i++)
    pl_buffer_printf(&out, "%s on; ", pin_name(teller, state->outputs_on.at[i]));
  for (uint32_t i = 0; i < state->locked.n; i++)
    pl_buffer_printf(&out, "%s locked; ", device_name(teller, state->locked.at[i]));
  for (uint32_t i = 0; i < state->set.n; i++)
    pl_buffer_printf(&out, "%s set; ", device_name(teller, state->set.at[i]));
  return out.n > 0 ? out.at : "";
}

static void tell_states(struct teller *teller) {
  for (pl_id i = 0; i < teller->harness->states.n; i++) {
    const struct pl_state *s = &teller->harness->states.at[i];
    record(teller, "state", s->name, "");
    tell(teller, "title", s->title);
    tell(teller, "engine", pl_engine_name(s->engine));
    tell_number(teller, "lasts s", s->lasts);
    tell(teller, "switches", settings_text(teller, s));
    tell(teller, "conditions", conditions_text(teller, s));
    tell_number(teller, "battery V", s->battery_volts);
    tell_number(teller, "battery worn", s->battery_worn);
    tell_number(teller, "ambient degC", s->ambient);
  }
}

static void tell_requires(struct teller *teller) {
  for (uint32_t i = 0; i < teller->harness->requires.n; i++) {
    const struct pl_require *r = &teller->harness->requires.at[i];
    struct pl_buffer out;
    pl_buffer_init(&out, teller->arena);
    pl_buffer_printf(&out,
                     "%s %s %s ",
                     device_name(teller, r->subject),
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
    record(teller, "requirement", out.at, "");
  }
}

static void tell_waivers(struct teller *teller) {
  for (uint32_t i = 0; i < teller->harness->waivers.n; i++) {
    const struct pl_waiver *w = &teller->harness->waivers.at[i];
    record(teller, "waiver", pl_arena_printf(teller->arena, "%s at %s", w->rule, w->place), "");
    tell(teller, "reason", w->reason);
  }
}

void pl_records_of(const struct pl_harness *harness,
                   const struct pl_harness *like,
                   struct pl_arena *arena,
                   pl_records *records) {
  struct teller teller = {.harness = harness, .arena = arena, .records = records};
  pl_table_init(&teller.times, arena);
  tell_wires(&teller, like);
  for (pl_id d = 0; d < harness->devices.n; d++)
    tell_device(&teller, &harness->devices.at[d]);
  for (pl_id d = 0; d < harness->devices.n; d++)
    tell_connectors(&teller, &harness->devices.at[d]);
  for (pl_id d = 0; d < harness->devices.n; d++)
    if (!pl_kind_is_node(harness->devices.at[d].kind))
      tell_pins(&teller, &harness->devices.at[d]);
  tell_places(&teller);
  tell_runs(&teller);
  tell_terminals(&teller);
  tell_circuits(&teller);
  tell_states(&teller);
  tell_requires(&teller);
  tell_waivers(&teller);
  tell_machine(&teller);
}
