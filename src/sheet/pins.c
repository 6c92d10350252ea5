/* Tables of pins, with all it takes to build them: one for each plug; one each for blades and
 * leads, splices, and studs, place by place. */
#include <math.h>
#include <string.h>

#include "sheet/live_inner.h"
#include "sheet/work_inner.h"

static bool has_readings(const struct pl_sheet_maker *maker) {
  return maker->solutions != NULL && maker->harness->states.n > 0;
}

/* The state whose readings are shown where there is room for one: the key on, engine stopped; else
 * the first. */
static pl_id chief_state(const struct pl_sheet_maker *maker) {
  struct pl_solution none = {.status = PL_SOLVE_FAILED};
  struct pl_live rest = {maker->network, &none};
  pl_id on = maker->network == NULL ? PL_NONE : pl_live_key_on(maker, &rest);

  return on == PL_NONE ? 0 : on;
}

static void pin_columns(struct pl_sheet_maker *maker, const char *first) {
  struct pl_column *name = pl_sheet_column(maker, first);
  name->narrow = name->key = true;
  if (maker->sheet.connector != PL_NONE)
    pl_sheet_column(maker, "pin")->csv_only = true;
  pl_sheet_wire_columns(maker);
  pl_sheet_column(maker, "goes to");
  pl_sheet_column(maker, "function")->key = true;
  pl_sheet_column(maker, "role")->csv_only = true;
  pl_sheet_narrow(maker, "terminal");
  pl_sheet_narrow(maker, "seal mm");
  pl_sheet_number(maker, pl_sheet_in_feet(maker) ? "strip in" : "strip mm");
  pl_sheet_column(maker, "what to do");
  pl_sheet_column(maker, "known from")->csv_only = true;
  pl_id chief = PL_NONE;
  if (has_readings(maker))
    chief = chief_state(maker);
  for (pl_id s = 0; has_readings(maker) && s < maker->harness->states.n; s++) {
    struct pl_column *column =
        pl_sheet_column(maker,
                        pl_arena_printf(maker->arena, "%s V", maker->harness->states.at[s].name));
    column->number = column->narrow = column->reading = true;
    column->chief = s == chief;
  }
}

/* "pedal position (web)": a fact nobody vouches for says so wherever it stands. */
static const char *
marked(struct pl_sheet_maker *maker, const char *text, const struct pl_pin *pin) {
  const char *unsure = pl_pin_unsure(pin);

  if (unsure[0] == '\0')
    return text;
  return pl_arena_printf(maker->arena, "%s%s(%s)", text, text[0] != '\0' ? " " : "", unsure);
}

/* What the text says of it; else what its role says, unless that is nothing. */
static const char *function_of(const struct pl_pin *pin, const char *text) {
  if (text[0] != '\0')
    return text;
  if (pin->role == PL_ROLE_PASSIVE)
    return text;
  return pl_role_name(pin->role);
}

static const char *known_from(struct pl_sheet_maker *maker, const struct pl_pin *pin) {
  const char *sure = pl_sure_name(pin->sure);

  if (pin->sure_text[0] == '\0')
    return sure;
  return pl_arena_printf(maker->arena, "%s: %s", sure, pin->sure_text);
}

/* The column's head has the unit. */
static const char *reading(struct pl_sheet_maker *maker, pl_id state, pl_id pin) {
  const char *text = pl_probe_reading(&maker->solutions[state], pin, maker->arena);
  size_t n = strlen(text);

  if (n > 2 && strcmp(text + n - 2, " V") == 0)
    return pl_arena_strndup(maker->arena, text, n - 2);
  return text;
}

static const char *empty_cavity(const struct pl_sheet_maker *maker, const struct pl_pin *pin) {
  if (pin->connector == PL_NONE)
    return "no wire";
  if (pin->plugged)
    return "cavity plug";
  if (maker->harness->connectors.at[pin->connector].sealed)
    return "empty, no plug";
  return "empty";
}

static void
wire_end_cells(struct pl_sheet_maker *maker, pl_id id, uint32_t i, enum pl_block_kind kind) {
  const struct pl_harness *harness = maker->harness;
  const struct pl_pin *pin = &harness->pins.at[id];
  const struct pl_wire *wire = NULL;
  if (i < pin->wires.n)
    wire = &harness->wires.at[pin->wires.at[i]];
  bool node = kind == PL_BLOCK_SPLICES || kind == PL_BLOCK_STUDS;
  bool crimped = wire != NULL && pl_sheet_new_end(harness, wire, wire->end[0] == id ? 0 : 1);
  pl_sheet_text(maker, wire == NULL ? "" : pl_sheet_terminal(harness, id));
  pl_sheet_text(maker, crimped ? pl_sheet_seal(maker, id) : "");
  pl_sheet_strip(maker, crimped && !node ? pl_pin_terminal(harness, id)->strip : NAN);
  pl_sheet_text(maker, wire == NULL ? "" : pl_work_end(maker, id, i, kind));
}

/* Its wire and where that goes; what the cavity is when there is none. */
static void pin_wire_cells(struct pl_sheet_maker *maker, pl_id id, uint32_t i) {
  const struct pl_pin *pin = &maker->harness->pins.at[id];

  if (pin->wires.n > 0) {
    pl_sheet_wire_cells(maker, pin->wires.at[i]);
    pl_sheet_end_cell(maker, pin->wires.at[i], id);
    return;
  }
  for (int blank = 0; blank < 3; blank++)
    pl_sheet_text(maker, "");
  pl_sheet_text(maker, empty_cavity(maker, pin));
}

/* One row for each wire at the pin; one row when there is none. */
static void
pin_rows(struct pl_sheet_maker *maker, pl_id id, enum pl_block_kind kind, const char *function) {
  const struct pl_pin *pin = &maker->harness->pins.at[id];
  bool plug = kind == PL_BLOCK_PLUG;
  bool node = kind == PL_BLOCK_SPLICES || kind == PL_BLOCK_STUDS;
  const char *role = marked(maker, pl_role_name(pin->role), pin);

  if (node)
    role = pl_kind_name(maker->harness->devices.at[pin->device].kind);
  else
    function = function_of(pin, function);
  for (uint32_t i = 0; i == 0 || i < pin->wires.n; i++) {
    pl_sheet_row(maker, PL_LINK_PIN, id);
    pl_sheet_text(maker, plug ? pin->cavity : pin->full);
    if (plug)
      pl_sheet_text(maker, pin->full);
    pin_wire_cells(maker, id, i);
    pl_sheet_text(maker, marked(maker, function, pin));
    pl_sheet_text(maker, role);
    wire_end_cells(maker, id, i, kind);
    pl_sheet_text(maker, known_from(maker, pin));
    for (pl_id s = 0; has_readings(maker) && s < maker->harness->states.n; s++)
      pl_sheet_text(maker, reading(maker, s, id));
  }
}

/* ---- plugs ---- */

static void add_fact(struct pl_buffer *note, const char *fact) {
  if (fact[0] == '\0')
    return;
  pl_buffer_puts(note, note->n > 0 ? ", " : "");
  pl_buffer_puts(note, fact);
}

static void add_named(struct pl_sheet_maker *maker,
                      struct pl_buffer *note,
                      const char *name,
                      const char *fact) {
  if (fact[0] != '\0')
    add_fact(note, pl_arena_printf(maker->arena, "%s %s", name, fact));
}

/* "1 to 9, 23": the cavities from pins[i] on that are known from the same; marks them. */
static void add_run(struct pl_sheet_maker *maker,
                    struct pl_buffer *note,
                    const pl_ids *pins,
                    uint32_t i,
                    bool *told) {
  const struct pl_pin *all = maker->harness->pins.at;
  const char *source = known_from(maker, &all[pins->at[i]]);
  uint32_t runs = 0;

  for (uint32_t k = i; k < pins->n; k++)
    told[k] = told[k] || strcmp(source, known_from(maker, &all[pins->at[k]])) == 0;
  for (uint32_t k = i, last; k < pins->n; k = last + 1) {
    last = k;
    if (strcmp(source, known_from(maker, &all[pins->at[k]])) != 0)
      continue;
    while (last + 1 < pins->n && strcmp(source, known_from(maker, &all[pins->at[last + 1]])) == 0)
      last++;
    pl_buffer_printf(note, "%s%s", runs++ > 0 ? ", " : "", all[pins->at[k]].cavity);
    if (last == k)
      continue;
    pl_buffer_puts(note, last > k + 1 ? " to " : ", ");
    pl_buffer_puts(note, all[pins->at[last]].cavity);
  }
}

/* "maker: sheet 3: 1 to 9, 23; web: 30": where what is said of its cavities is known from. */
static void add_sources(struct pl_sheet_maker *maker, struct pl_buffer *note, const pl_ids *pins) {
  bool *told = PL_NEW_ARRAY(maker->arena, bool, pins->n);
  uint32_t sources = 0;

  for (uint32_t i = 0; i < pins->n; i++) {
    const char *source = known_from(maker, &maker->harness->pins.at[pins->at[i]]);
    if (told[i])
      continue;
    if (source[0] == '\0')
      continue;
    pl_buffer_printf(note, "%s%s (", sources++ == 0 ? " Pins known from " : "; ", source);
    add_run(maker, note, pins, i, told);
    pl_buffer_puts(note, ")");
  }
  if (sources > 0)
    pl_buffer_puts(note, ".");
}

static void add_cavities(struct pl_buffer *note,
                         const struct pl_harness *harness,
                         const pl_ids *pins,
                         bool plugged,
                         const char *before) {
  uint32_t n = 0;
  for (uint32_t i = 0; i < pins->n; i++) {
    const struct pl_pin *pin = &harness->pins.at[pins->at[i]];
    if (pin->wires.n == 0 && pin->plugged == plugged)
      pl_buffer_printf(note, "%s%s", n++ == 0 ? before : ", ", pin->cavity);
  }
  if (n > 0)
    pl_buffer_puts(note, ".");
}

static const char signed_by[] = " Built by ____________ date ________ seen by ____________";

static const char *connector_note(struct pl_sheet_maker *maker, const struct pl_block *block) {
  const struct pl_harness *harness = maker->harness;
  const struct pl_connector *connector = &harness->connectors.at[block->id];
  const struct pl_device *device = &harness->devices.at[connector->device];
  struct pl_buffer note;
  pl_buffer_init(&note, maker->arena);
  add_fact(&note, device->text);
  add_fact(&note, pl_work_at(maker, device->place));
  add_fact(&note,
           pl_arena_printf(maker->arena,
                           connector->pin_count == 1 ? "%u cavity" : "%u cavities",
                           connector->pin_count));
  add_fact(&note, connector->shape == PL_SHAPE_ROUND ? "round" : "");
  add_fact(&note, connector->sealed ? "sealed" : "not sealed");
  add_fact(&note,
           connector->pin_half ? "harness half carries pins" : "harness half carries sockets");
  add_fact(&note, connector->colour);
  add_named(maker, &note, "keyed", connector->key);
  add_named(maker, &note, "mates", connector->mate);
  add_named(maker, &note, "part", connector->part);
  pl_buffer_puts(&note, ".");
  add_cavities(&note, harness, &block->pins, true, " Cavity plugs into ");
  add_cavities(&note,
               harness,
               &block->pins,
               false,
               connector->sealed ? " Left empty, no plug said: " : " Left empty: ");
  add_sources(maker, &note, &block->pins);
  return note.at;
}

static bool has_new_end(const struct pl_sheet_maker *maker, const struct pl_block *block) {
  for (uint32_t i = 0; i < block->wires.n; i++)
    if (pl_work_cut(&maker->harness->wires.at[block->wires.at[i]]))
      return true;
  return false;
}

static void connector_sheet(struct pl_sheet_maker *maker, const struct pl_block *block) {
  pl_sheet_begin(maker, "", block->name, "");
  maker->sheet.connector = block->id;
  maker->sheet.tick = true;
  pin_columns(maker, "cavity");
  for (uint32_t i = 0; i < block->pins.n; i++)
    pin_rows(maker,
             block->pins.at[i],
             block->kind,
             maker->harness->pins.at[block->pins.at[i]].text);
  maker->sheet.note = pl_arena_printf(maker->arena,
                                      "%s%s%s",
                                      connector_note(maker, block),
                                      pl_sheet_say_once(maker, "what to do", "All wires"),
                                      has_new_end(maker, block) ? signed_by : "");
  pl_sheet_end(maker);
}

void pl_sheet_connectors(struct pl_sheet_maker *maker) {
  pl_blocks blocks = {0};
  pl_blocks_make(maker, &blocks);
  for (uint32_t b = 0; b < blocks.n; b++)
    if (blocks.at[b].kind == PL_BLOCK_PLUG)
      connector_sheet(maker, &blocks.at[b]);
}

/* ---- what sits in no plug, place by place ---- */

/* "lift pump relay": the device; its pin says the rest.  Of a splice what is bought for it, too. */
static const char *
loose_function(struct pl_sheet_maker *maker, const struct pl_pin *pin, enum pl_block_kind kind) {
  const char *device = maker->harness->devices.at[pin->device].text;

  if (kind == PL_BLOCK_SPLICES && pin->wires.n > 0) {
    const char *between = "";
    if (device[0] != '\0')
      between = "; ";
    return pl_arena_printf(maker->arena, "%s%s%s", device, between, pl_sheet_splice(maker, pin));
  }
  if (device[0] == '\0')
    return pin->text;
  if (pin->text[0] == '\0')
    return device;
  if (strcmp(device, pin->text) == 0)
    return device;
  return pl_arena_printf(maker->arena, "%s: %s", device, pin->text);
}

static const struct loose {
  enum pl_block_kind kind;
  const char *file, *title, *note;
} looses[] = {{PL_BLOCK_LOOSE, "pins-loose", "Blades, posts and leads, place by place", ""},
              {PL_BLOCK_SPLICES,
               "splices",
               "Splices, place by place",
               "Sleeve over the wires first; splices stand apart from each other along the bundle, "
               "at the place that is said."},
              {PL_BLOCK_STUDS,
               "studs",
               "Ground points and studs, place by place",
               "Rings are bolted on when the harness is fitted: metal bright under a ground, the "
               "largest ring on it, tight as the maker of the part says, sealed "
               "after. Where the size of a ring is not said: measure the stud, and write it on the "
               "row. Write down what it was tightened to."}};

void pl_sheet_devices_pins(struct pl_sheet_maker *maker) {
  pl_blocks blocks = {0};
  pl_blocks_make(maker, &blocks);
  for (size_t k = 0; k < sizeof looses / sizeof looses[0]; k++) {
    pl_sheet_begin(maker, looses[k].file, looses[k].title, looses[k].note);
    maker->sheet.tick = true;
    pin_columns(maker, "pin");
    for (uint32_t b = 0; b < blocks.n; b++) {
      const struct pl_block *block = &blocks.at[b];
      if (block->kind != looses[k].kind)
        continue;
      pl_sheet_heading(maker, block->name, has_new_end(maker, block) ? signed_by + 1 : "");
      for (uint32_t i = 0; i < block->pins.n; i++)
        pin_rows(maker,
                 block->pins.at[i],
                 block->kind,
                 loose_function(maker, &maker->harness->pins.at[block->pins.at[i]], block->kind));
    }
    pl_sheet_end(maker);
  }
}
