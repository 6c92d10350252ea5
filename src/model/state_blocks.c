/* States, what must hold in them, and what is accepted. */
#include <math.h>
#include <string.h>

#include "model/builder_inner.h"

/* name in position -> device and position; false after an error. */
static bool read_clause(struct pl_builder *builder,
                        struct pl_cursor *cursor,
                        pl_id *device_id,
                        uint32_t *position) {
  const struct pl_word *word = pl_cursor_name(cursor, "the name of a switch");
  if (word == NULL)
    return false;
  *device_id = pl_builder_device(builder, cursor, word);
  if (!pl_cursor_need(cursor, "in"))
    return false;
  const struct pl_word *name = pl_cursor_name(cursor, "the name of a position");
  if (name == NULL || *device_id == PL_NONE)
    return false;
  const struct pl_device *device = &builder->harness->devices.at[*device_id];
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, name->text);
  for (uint32_t i = 0; i < device->throws.n; i++) {
    if (strcmp(device->throws.at[i].name, name->text) == 0) {
      *position = i;
      return true;
    }
    pl_nearest_offer(&nearest, device->throws.at[i].name);
  }
  struct pl_buffer known;
  pl_buffer_init(&known, builder->arena);
  for (uint32_t i = 0; i < device->throws.n && i < 10; i++)
    pl_buffer_printf(&known, "%s%s", i > 0 ? ", " : "", device->throws.at[i].name);
  if (device->throws.n == 0)
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(builder->arena,
                                    "%s is a %s and has no positions",
                                    device->name,
                                    pl_kind_name(device->kind)),
                    "only a switch or a disconnect has positions");
  else
    pl_cursor_error(
        cursor,
        name,
        pl_arena_printf(builder->arena, "%s has no position `%s`", device->name, name->text),
        nearest.best != NULL ? pl_builder_mean(builder, &nearest)
                             : pl_arena_printf(builder->arena, "its positions: %s", known.at));
  return false;
}

static void state_engine(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  for (int i = 0; i <= PL_ENGINE_SPEED; i++)
    if (pl_cursor_take(cursor, pl_engine_name((enum pl_engine)i))) {
      ((struct pl_state *)target)->engine = (enum pl_engine)i;
      return;
    }
  pl_cursor_error(cursor,
                  pl_cursor_peek(cursor),
                  "expected what the engine does",
                  "write engine stopped, engine cranking, engine idle or engine speed");
}

static void state_lasts(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  pl_cursor_quantity(cursor, PL_UNIT_TIME, &((struct pl_state *)target)->lasts);
}

static void state_battery(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_state *state = target;
  const struct pl_word *word = pl_cursor_peek(cursor);
  (void)builder;
  if (!pl_cursor_quantity(cursor, PL_UNIT_VOLTAGE, &state->battery_volts))
    return;
  if (!(state->battery_volts >= 0.0 && state->battery_volts <= 20.0))
    pl_cursor_error(cursor,
                    word,
                    "the open-circuit volts of 12 V of battery lie between 0 V and 20 V",
                    "they are given for each 12 V: a 24 V set at 24.4 V is battery 12.2 V");
}

static void state_worn(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_state *state = target;
  const struct pl_word *word = pl_cursor_peek(cursor);
  (void)builder;
  if (pl_cursor_quantity(cursor, PL_UNIT_MULTIPLE, &state->battery_worn) &&
      !(state->battery_worn > 0.0))
    pl_cursor_error(cursor, word, "this figure must be above zero", "");
}

static void state_ambient(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  pl_cursor_quantity(cursor, PL_UNIT_TEMPERATURE, &((struct pl_state *)target)->ambient);
}

/* clang-format off */
const struct pl_body_row pl_state_rows[] = {
#define PL_STATE_LINE(word, read, told, example, other, help) {word, read, example},
#include "model/facts.def"
};
const uint32_t pl_state_row_count = sizeof pl_state_rows / sizeof pl_state_rows[0];
/* clang-format on */

static void state_level(struct pl_builder *builder,
                        struct pl_cursor *cursor,
                        struct pl_state *state,
                        pl_id quantity) {
  const struct pl_word *word = pl_cursor_next(cursor);
  struct pl_level level = {.quantity = quantity, .span = word->span};
  cursor->example = NULL;
  if (!pl_builder_level(cursor, builder->harness->quantities.at[quantity].measure, &level.value))
    return;
  if (!isnan(pl_state_level(state, quantity)))
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(builder->arena, "%s is given twice in this state", word->text),
                    "");
  PL_PUSH(builder->arena, &state->levels, level);
}

static bool can_be_locked(const struct pl_device *d) {
  return pl_kind_is(d->kind, PL_IS_MOTOR);
}

static bool can_be_set(const struct pl_device *d) {
  return d->latching;
}

static bool can_be_excited(const struct pl_device *d) {
  return pl_kind_is(d->kind, PL_IS_GENERATOR);
}

/* DEVICE locked, DEVICE set, ALTERNATOR excited: what the device was before. */
static const struct {
  const char *word;
  bool (*fits)(const struct pl_device *);
  const char *wrong, *remedy;
  bool lock;
} befores[] = {
    {"locked", can_be_locked, "cannot be held fast", "a motor, pump or fan can be locked", true},
    {"set", can_be_set, "does not stay set", "a relay that says `latching` can be set", false},
    {"excited", can_be_excited, "is no alternator", "an alternator can be excited", false}};
enum {
  BEFORES = sizeof befores / sizeof befores[0]
};

static int before_of(const struct pl_word *after) {
  for (int i = 0; after != NULL && i < BEFORES; i++)
    if (strcmp(after->text, befores[i].word) == 0)
      return i;
  return -1;
}

static void state_before(struct pl_builder *builder,
                         struct pl_cursor *cursor,
                         struct pl_state *state,
                         int which) {
  const struct pl_word *word = pl_cursor_next(cursor);
  pl_id device = pl_builder_device(builder, cursor, word);
  pl_cursor_next(cursor);
  if (device == PL_NONE)
    return;
  const struct pl_device *d = &builder->harness->devices.at[device];
  if (!befores[which].fits(d))
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(builder->arena,
                                    "%s %s %s",
                                    pl_kind_name(d->kind),
                                    d->name,
                                    befores[which].wrong),
                    befores[which].remedy);
  else if (befores[which].lock)
    PL_PUSH(builder->arena, &state->locked, device);
  else
    PL_PUSH(builder->arena, &state->set, device);
}

static void unknown_line(struct pl_builder *builder, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  const struct pl_word *after = pl_cursor_peek_at(cursor, 1);
  bool figure = after != NULL && strpbrk(after->text, "0123456789") != NULL;
  uint32_t broken;
  struct pl_nearest nearest;
  if (figure && (builder->lines_lost || pl_table_find(&builder->broken, word->text, &broken))) {
    cursor->failed = true;
    return;
  }
  pl_nearest_init(&nearest, word->text);
  for (uint32_t i = 0; i < pl_state_row_count; i++)
    pl_nearest_offer(&nearest, pl_state_rows[i].word);
  for (pl_id q = 0; q < builder->harness->quantities.n; q++)
    pl_nearest_offer(&nearest, builder->harness->quantities.at[q].name);
  const char *remedy = "write KEY in run, ECM.A12 on, engine idle, lasts 10 s, coolant 90 degC, "
                       "battery 12.2 V, ambient -18 degC or M1 locked";
  if (nearest.best != NULL)
    remedy = pl_builder_mean(builder, &nearest);
  else if (figure)
    remedy =
        pl_arena_printf(builder->arena,
                        "a sensor, sender, gauge or switch declares it with a line: measures %s",
                        word->text);
  pl_cursor_error(
      cursor,
      word,
      pl_arena_printf(builder->arena,
                      figure ? "nothing measures `%s`" : "`%s` does not describe a state",
                      word->text),
      remedy);
}

static void
state_output(struct pl_builder *builder, struct pl_cursor *cursor, struct pl_state *state) {
  const struct pl_word *word = pl_cursor_next(cursor);
  pl_id pin = pl_builder_pin(builder, cursor, word);
  if (!pl_cursor_need(cursor, "on"))
    return;
  if (pin == PL_NONE)
    return;
  enum pl_role role = builder->harness->pins.at[pin].role;
  if (role != PL_ROLE_LOW_SIDE && role != PL_ROLE_HIGH_SIDE)
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(builder->arena, "%s is no output of a module", word->text),
                    "only a high-side or low-side output can be on");
  else
    PL_PUSH(builder->arena, &state->outputs_on, pin);
}

static void
state_line(struct pl_builder *builder, struct pl_cursor *cursor, struct pl_state *state) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  const struct pl_word *after = pl_cursor_peek_at(cursor, 1);
  for (uint32_t i = 0; i < pl_state_row_count; i++) {
    if (!pl_cursor_take_words(cursor, pl_state_rows[i].word))
      continue;
    cursor->example = pl_state_rows[i].example;
    pl_state_rows[i].read(builder, cursor, state);
    pl_cursor_end(cursor);
    return;
  }
  cursor->example = "KEY in run";
  if (before_of(after) >= 0 && word->kind == PL_WORD) {
    state_before(builder, cursor, state, before_of(after));
  } else if (word->kind == PL_WORD && pl_builder_measured(builder, word->text) != PL_NONE &&
             !(after != NULL &&
               (strcmp(after->text, "in") == 0 || strcmp(after->text, "on") == 0))) {
    state_level(builder, cursor, state, pl_builder_measured(builder, word->text));
  } else if (after != NULL && strcmp(after->text, "on") == 0 && word->kind == PL_WORD) {
    state_output(builder, cursor, state);
  } else if (after != NULL && strcmp(after->text, "in") == 0) {
    struct pl_setting setting = {.span = word->span};
    if (!read_clause(builder, cursor, &setting.device, &setting.position))
      return;
    for (uint32_t i = 0; i < state->settings.n; i++)
      if (state->settings.at[i].device == setting.device)
        pl_cursor_error(
            cursor,
            word,
            pl_arena_printf(builder->arena, "%s is set twice in this state", word->text),
            "");
    PL_PUSH(builder->arena, &state->settings, setting);
  } else {
    unknown_line(builder, cursor);
    return;
  }
  pl_cursor_end(cursor);
}

/* state = "state" name [ TEXT ] . */
void pl_read_state(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  pl_cursor_next(&cursor);
  const struct pl_word *word = pl_cursor_name(&cursor, "the name of the state");
  if (word == NULL)
    return;
  struct pl_state state = pl_state_blank();
  state.name = word->text;
  state.title = pl_cursor_text_if(&cursor);
  state.span = word->span;
  if (state.title[0] != '\0')
    pl_cursor_end(&cursor);
  else
    pl_builder_end(builder, &cursor, false);
  if (state.title[0] == '\0')
    state.title = state.name;
  for (uint32_t i = 0; i < item->statement->body_count; i++) {
    struct pl_cursor line;
    pl_builder_open(builder, item, item->statement->body_first + i, NULL, &line);
    state_line(builder, &line, &state);
  }
  if (!pl_table_add(&builder->harness->state_names, state.name, builder->harness->states.n)) {
    pl_cursor_error(&cursor,
                    word,
                    pl_arena_printf(builder->arena, "the state `%s` is declared twice", state.name),
                    "give one of them another name");
    return;
  }
  PL_PUSH(builder->arena, &builder->harness->states, state);
}

/* require = "require" name ( "on" | "off" ) ( "when" | "unless" ) clause { "and" clause } . */
void pl_read_require(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  struct pl_require require = {.span = pl_cursor_next(&cursor)->span};
  const struct pl_word *word = pl_cursor_name(&cursor, "the name of a load, starter or relay");
  if (word == NULL)
    return;
  require.subject = pl_builder_device(builder, &cursor, word);
  if (require.subject != PL_NONE) {
    enum pl_kind kind = builder->harness->devices.at[require.subject].kind;
    if (!pl_kind_is(kind, PL_IS_USER))
      pl_cursor_error(
          &cursor,
          word,
          pl_arena_printf(builder->arena, "a %s is neither on nor off", pl_kind_name(kind)),
          "a requirement speaks of a load, a starter, a relay or a module");
  }
  if (pl_cursor_take(&cursor, "on"))
    require.on = true;
  else
    pl_cursor_need(&cursor, "off");
  if (pl_cursor_take(&cursor, "unless"))
    require.unless = true;
  else if (!pl_cursor_take(&cursor, "when"))
    pl_cursor_error(&cursor,
                    pl_cursor_peek(&cursor),
                    "expected `unless` or `when`",
                    "write require STARTER off unless GEARBOX in neutral");
  do {
    struct pl_clause clause;
    if (!read_clause(builder, &cursor, &clause.device, &clause.position))
      return;
    PL_PUSH(builder->arena, &require.clauses, clause);
  } while (pl_cursor_take(&cursor, "and"));
  if (pl_cursor_end(&cursor))
    PL_PUSH(builder->arena, &builder->harness->requires, require);
}

/* waive = "waive" name "at" words "because" TEXT . */
void pl_read_waive(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  struct pl_waiver waiver = {.span = pl_cursor_next(&cursor)->span};
  const struct pl_word *rule =
      pl_cursor_name(&cursor, "the name of a rule, as findings print it in brackets");
  if (rule == NULL)
    return;
  waiver.rule = rule->text;
  pl_cursor_need(&cursor, "at");
  if (cursor.failed)
    waiver.place = NULL;
  else
    waiver.place = pl_cursor_words(&cursor,
                                   "because",
                                   "the place as the finding prints it, such as wire 41 or ECM.A12",
                                   NULL);
  pl_cursor_need(&cursor, "because");
  if (cursor.failed)
    waiver.reason = NULL;
  else
    waiver.reason = pl_cursor_text(&cursor, "the reason");
  if (!pl_cursor_end(&cursor))
    return;
  if (strspn(waiver.reason, " ") == strlen(waiver.reason)) {
    pl_cursor_error(&cursor,
                    NULL,
                    "a finding is waived with a reason, and this one is empty",
                    "write down why it is acceptable: it is printed on the sheets");
    return;
  }
  if (item->statement->body_count > 0)
    pl_findings_error(builder->findings,
                      item->tree->lines.at[item->statement->body_first].span,
                      "a waiver has no describing lines",
                      "");
  PL_PUSH(builder->arena, &builder->harness->waivers, waiver);
}
