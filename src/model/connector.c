/* Connectors and pin rows of a device. */
#include <string.h>

#include "base/limits.h"
#include "base/number.h"
#include "model/draft_inner.h"

/* ---- connectors ---- */

static bool ends_in_digit(const char *name) {
  size_t n = strlen(name);
  return n > 0 && name[n - 1] >= '0' && name[n - 1] <= '9';
}

static const char *
pin_name(struct pl_builder *builder, const struct pl_connector *connector, const char *cavity) {
  if (connector->name[0] == '\0')
    return cavity;
  return pl_arena_printf(builder->arena,
                         ends_in_digit(connector->name) ? "%s.%s" : "%s%s",
                         connector->name,
                         cavity);
}

struct facts {
  struct pl_connector connector;
  PL_VEC(const char *) named;
};

static const char *fact_words(struct pl_cursor *cursor, const char *what) {
  const char *text = pl_cursor_text_if(cursor);
  return text[0] != '\0' ? text : pl_cursor_words(cursor, NULL, what, NULL);
}

static void read_named(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  const struct pl_word *word;
  while ((word = pl_cursor_peek(cursor)) != NULL && word->kind == PL_WORD) {
    PL_PUSH(draft->builder->arena, &facts->named, word->text);
    pl_cursor_next(cursor);
  }
  if (facts->named.n == 0)
    pl_cursor_error(cursor, word, "expected the names of the cavities", "write named A B C D");
}

static void read_fact(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  struct pl_connector *c = &facts->connector;
  const struct pl_word *word = pl_cursor_peek(cursor);
  static const char *const words[] = {"rows",
                                      "round",
                                      "sealed",
                                      "pins",
                                      "sockets",
                                      "named",
                                      "terminal",
                                      "colour",
                                      "key",
                                      "mates",
                                      "part"};
  uint32_t rows;
  if (word == NULL) {
    pl_cursor_error(cursor, NULL, "expected a fact about the connector behind the comma", "");
  } else if (word->text[0] >= '0' && word->text[0] <= '9') {
    if (pl_cursor_count(cursor, PL_LIMIT_CAVITIES, &rows) &&
        (pl_cursor_take(cursor, "row") || pl_cursor_need(cursor, "rows")))
      c->rows = rows;
  } else if (pl_cursor_take(cursor, "round")) {
    c->shape = PL_SHAPE_ROUND;
  } else if (pl_cursor_take(cursor, "sealed")) {
    c->sealed = true;
  } else if (pl_cursor_take(cursor, "pins")) {
    c->pin_half = true;
  } else if (pl_cursor_take(cursor, "sockets")) {
    c->pin_half = false;
  } else if (pl_cursor_take(cursor, "named")) {
    read_named(draft, cursor, facts);
  } else if (pl_cursor_take(cursor, "terminal")) {
    const char *name = pl_cursor_words(cursor, NULL, "the name of a terminal family", NULL);
    if (name != NULL)
      c->terminal = pl_builder_terminal(draft->builder, cursor, name);
  } else if (pl_cursor_take(cursor, "colour")) {
    c->colour = fact_words(cursor, "the colour of the housing");
  } else if (pl_cursor_take(cursor, "key")) {
    c->key = fact_words(cursor, "how it is keyed");
  } else if (pl_cursor_take(cursor, "mates")) {
    c->mate = fact_words(cursor, "what it mates with");
  } else if (pl_cursor_take(cursor, "part")) {
    c->part = fact_words(cursor, "the part's name");
  } else {
    struct pl_nearest nearest;
    pl_nearest_init(&nearest, word->text);
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
      pl_nearest_offer(&nearest, words[i]);
    pl_cursor_error(
        cursor,
        word,
        pl_arena_printf(draft->builder->arena, "`%s` is no fact about a connector", word->text),
        nearest.best != NULL ? pl_builder_mean(draft->builder, &nearest)
                             : "facts: 3 rows, round, sealed, pins, sockets, named A B C, terminal "
                               "NAME, colour, key, mates, part");
  }
}

static void add_cavities(struct pl_draft *draft,
                         struct pl_cursor *cursor,
                         struct facts *facts,
                         const char *half,
                         uint32_t cavities) {
  struct pl_builder *builder = draft->builder;
  struct pl_connector connector = facts->connector;
  if (half[0] != '\0') {
    connector.name = half;
    connector.pin_half = half[0] == 'P';
  }
  if (connector.rows == 0)
    connector.rows = 1;
  connector.columns = (cavities + connector.rows - 1) / connector.rows;
  uint32_t index = draft->connectors.n;
  PL_PUSH(builder->arena, &draft->connectors, connector);
  for (uint32_t i = 0; i < cavities; i++) {
    char number[PL_NUMBER_SIZE];
    const char *cavity = i < facts->named.n
                             ? facts->named.at[i]
                             : pl_arena_strdup(builder->arena, pl_number_print(number, i + 1, 6));
    const char *name = pin_name(builder, &connector, cavity);
    uint32_t known = draft->pins.n;
    uint32_t pin = pl_draft_pin(draft, name, true, connector.span);
    if (pin < known && draft->pins.at[pin].connector != PL_NONE) {
      pl_cursor_error(cursor,
                      NULL,
                      pl_arena_printf(builder->arena, "there are two cavities called `%s`", name),
                      "give the connectors names of their own");
      return;
    }
    struct pl_draft_pin *made = &draft->pins.at[pin];
    made->connector = index;
    made->pin.cavity = cavity;
    made->pin.row = i / connector.columns + 1;
    made->pin.column = i % connector.columns + 1;
  }
}

static bool has_own_pins(const struct pl_draft *draft) {
  for (uint32_t i = 0; i < draft->pins.n; i++)
    if (draft->pins.at[i].connector == PL_NONE)
      return true;
  return false;
}

/* What follows the number of cavities, and the connector they make. */
static void read_facts(struct pl_draft *draft,
                       struct pl_cursor *cursor,
                       const struct pl_word *word,
                       const char *name,
                       uint32_t cavities) {
  struct facts facts = {.connector = pl_connector_blank()};
  facts.connector.span = draft->part_lines ? draft->device.span : word->span;
  facts.connector.name = name;
  facts.connector.rows = 0;
  while (!pl_cursor_done(cursor) && pl_cursor_take_kind(cursor, PL_COMMA))
    read_fact(draft, cursor, &facts);
  if (!pl_cursor_end(cursor))
    return;
  if (cavities == 0) {
    pl_cursor_error(cursor, word, "a connector has at least one cavity", "");
  } else if (facts.named.n > 0 && facts.named.n != cavities) {
    pl_cursor_error(
        cursor,
        word,
        pl_arena_printf(draft->builder->arena,
                        "the connector has %u cavities, but %u names are given",
                        cavities,
                        facts.named.n),
        "name every cavity once, in order from the upper left, seen from the wire side");
  } else if (draft->device.kind == PL_KIND_INLINE) {
    add_cavities(draft, cursor, &facts, "P", cavities);
    if (!cursor->failed)
      add_cavities(draft, cursor, &facts, "S", cavities);
  } else if (facts.named.n == 0 && facts.connector.name[0] == '\0' && has_own_pins(draft) &&
             draft->device.kind != PL_KIND_MODULE && draft->device.kind != PL_KIND_SWITCH) {
    pl_cursor_error(
        cursor,
        word,
        pl_arena_printf(draft->builder->arena,
                        "which pin of the %s sits in which cavity?",
                        pl_kind_name(draft->device.kind)),
        "say it in order from the upper left, wire side: connector 2 cavities, named + -");
  } else {
    add_cavities(draft, cursor, &facts, "", cavities);
  }
}

void pl_draft_connector(struct pl_draft *draft, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  const struct pl_word *after = pl_cursor_peek_at(cursor, 1);
  const struct pl_word *name = NULL;
  uint32_t cavities;
  bool unnamed =
      after != NULL && (strcmp(after->text, "cavities") == 0 || strcmp(after->text, "cavity") == 0);
  if (!unnamed && word != NULL && after != NULL && after->kind == PL_WORD) {
    name = pl_cursor_name(cursor, "the name of the connector");
    if (name == NULL)
      return;
  }
  if (!pl_cursor_count(cursor, PL_LIMIT_CAVITIES, &cavities))
    return;
  if (!pl_cursor_take(cursor, "cavity") && !pl_cursor_need(cursor, "cavities"))
    return;
  read_facts(draft, cursor, word, name != NULL ? name->text : "", cavities);
}

void pl_draft_cavities(struct pl_draft *draft, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  uint32_t cavities;
  if (word == NULL)
    pl_cursor_error(cursor, NULL, "expected how many cavities", "");
  else if (pl_cursor_count(cursor, PL_LIMIT_CAVITIES, &cavities))
    read_facts(draft, cursor, word, "", cavities);
}

/* ---- pin rows ---- */

/* "A20..A24": the common front "A" and the numbers 20 and 24. */
static bool split_range(struct pl_builder *builder,
                        const char *text,
                        const char **front,
                        uint32_t *first,
                        uint32_t *last) {
  const char *dots = strstr(text, "..");
  if (dots == NULL || dots == text)
    return false;
  const char *digits = dots;
  while (digits > text && digits[-1] >= '0' && digits[-1] <= '9')
    digits--;
  size_t front_length = (size_t)(digits - text);
  const char *end = dots + 2;
  if (strncmp(end, text, front_length) == 0 && strlen(end) > front_length)
    end += front_length;
  double a, b;
  size_t used_a, used_b;
  if (!pl_number_parse(digits, (size_t)(dots - digits), &a, &used_a) ||
      !pl_number_parse(end, strlen(end), &b, &used_b))
    return false;
  if (used_b != strlen(end) || a < 0 || b < a || b - a >= (double)PL_LIMIT_CAVITIES || b > 1e6)
    return false;
  *front = pl_arena_strndup(builder->arena, text, front_length);
  *first = (uint32_t)a;
  *last = (uint32_t)b;
  return true;
}

static bool take_role(struct pl_cursor *cursor, enum pl_role *role) {
  for (int i = 0; i < PL_ROLE_COUNT; i++)
    if (pl_cursor_take_words(cursor, pl_role_name((enum pl_role)i))) {
      *role = (enum pl_role)i;
      return true;
    }
  return false;
}

bool pl_draft_is_pin_row(struct pl_draft *draft, const struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (word == NULL || word->kind != PL_WORD)
    return false;
  if (pl_cursor_is(cursor, "pin"))
    return true;
  if (draft->silent && strpbrk(word->text, "0123456789") != NULL)
    return true;
  if (pl_draft_pin(draft, word->text, false, word->span) != PL_NONE)
    return true;
  const char *front;
  uint32_t first, last;
  if (split_range(draft->builder, word->text, &front, &first, &last))
    return true;
  struct pl_cursor look = *cursor;
  enum pl_role role;
  pl_cursor_next(&look);
  return take_role(&look, &role);
}

static void read_pull(struct pl_cursor *cursor, struct pl_pin *pin, bool up) {
  if (!pl_cursor_quantity(cursor, PL_UNIT_RESISTANCE, &pin->pull_ohms))
    return;
  pin->pull_volts = up ? NAN : 0.0;
  if (up && pl_cursor_take(cursor, "to"))
    pl_cursor_quantity(cursor, PL_UNIT_VOLTAGE, &pin->pull_volts);
}

static void read_from(struct pl_cursor *cursor, struct pl_pin *pin) {
  for (int i = PL_SURE_MAKER; i <= PL_SURE_GUESS; i++)
    if (pl_cursor_take(cursor, pl_sure_name((enum pl_sure)i))) {
      pin->sure = (enum pl_sure)i;
      pin->sure_text = pl_cursor_text_if(cursor);
      return;
    }
  pl_cursor_error(cursor,
                  pl_cursor_peek(cursor),
                  "expected where the fact comes from",
                  "write from maker, from measured, from web or from guess");
}

/* Roles are offered by their first word; the whole role is what the message then shows. */
static void offer_roles(struct pl_arena *arena, struct pl_nearest *nearest) {
  for (int i = 0; i < PL_ROLE_COUNT; i++) {
    const char *role = pl_role_name((enum pl_role)i);
    const char *before = nearest->best;
    pl_nearest_offer(nearest, pl_arena_strndup(arena, role, strcspn(role, " ")));
    if (nearest->best != before)
      nearest->best = role;
  }
}

static void read_pin_fact(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  static const char *const words[] = {"required",
                                      "optional",
                                      "plug",
                                      "asleep",
                                      "at most",
                                      "pull-up",
                                      "pull-down",
                                      "terminal",
                                      "from",
                                      "off in settings"};
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (word->kind == PL_TEXT) {
    pin->text = pl_cursor_text_if(cursor);
  } else if (pl_cursor_take(cursor, "required")) {
    pin->need = PL_NEED_REQUIRED;
  } else if (pl_cursor_take(cursor, "optional")) {
    pin->need = PL_NEED_OPTIONAL;
  } else if (pl_cursor_take(cursor, "plug")) {
    pin->plugged = true;
  } else if (pl_cursor_take_words(cursor, "off in settings")) {
    pin->set_off = true;
  } else if (pl_cursor_take(cursor, "asleep")) {
    pl_cursor_quantity(cursor, PL_UNIT_CURRENT, &pin->sleep_amps);
  } else if (pl_cursor_take_words(cursor, "at most")) {
    pl_cursor_quantity(cursor, PL_UNIT_CURRENT, &pin->amps);
  } else if (pl_cursor_take(cursor, "pull-up")) {
    read_pull(cursor, pin, true);
  } else if (pl_cursor_take(cursor, "pull-down")) {
    read_pull(cursor, pin, false);
  } else if (pl_cursor_take(cursor, "terminal")) {
    const char *name = pl_cursor_words(cursor, NULL, "the name of a terminal family", NULL);
    if (name != NULL)
      pin->terminal = pl_builder_terminal(draft->builder, cursor, name);
  } else if (pl_cursor_take(cursor, "from")) {
    read_from(cursor, pin);
  } else if (pl_cursor_is_range(cursor, PL_UNIT_VOLTAGE)) {
    pl_cursor_range(cursor, PL_UNIT_VOLTAGE, &pin->volts_min, &pin->volts_max);
  } else if (pl_cursor_is_quantity(cursor, PL_UNIT_CURRENT)) {
    pl_cursor_quantity(cursor, PL_UNIT_CURRENT, &pin->amps);
  } else if (pl_cursor_is_quantity(cursor, PL_UNIT_VOLTAGE)) {
    pl_cursor_quantity(cursor, PL_UNIT_VOLTAGE, &pin->volts);
  } else if (pl_cursor_is_quantity(cursor, PL_UNIT_RESISTANCE)) {
    pl_cursor_quantity(cursor, PL_UNIT_RESISTANCE, &pin->pull_ohms);
    pin->pull_volts = 0.0;
  } else {
    struct pl_nearest nearest;
    pl_nearest_init(&nearest, word->text);
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
      pl_nearest_offer(&nearest, words[i]);
    offer_roles(draft->builder->arena, &nearest);
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(draft->builder->arena,
                                    "`%s` is neither a role nor a fact about a pin",
                                    word->text),
                    nearest.best != NULL
                        ? pl_builder_mean(draft->builder, &nearest)
                        : "for example: A7 keyed input, 20 mA, required \"wake-up\"");
  }
}

static void read_pin_facts(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  pl_cursor_take_kind(cursor, PL_COMMA);
  enum pl_role role;
  if (take_role(cursor, &role)) {
    pin->role = role;
    if (role == PL_ROLE_UNUSED)
      pin->need = PL_NEED_UNUSED;
  }
  while (!pl_cursor_done(cursor)) {
    if (pl_cursor_take_kind(cursor, PL_COMMA) && pl_cursor_done(cursor))
      return;
    read_pin_fact(draft, cursor, pin);
  }
}

static bool pins_may_be_new(const struct pl_draft *draft) {
  if (draft->silent)
    return true;
  switch (draft->device.kind) {
    case PL_KIND_MODULE:
    case PL_KIND_CONNECTOR:
      return draft->connectors.n == 0;
    case PL_KIND_SWITCH:
    case PL_KIND_SENSOR:
      return true;
    default:
      return false;
  }
}

static const char *cavity_hint(struct pl_draft *draft) {
  if (draft->connectors.n == 0 || draft->pins.n == 0)
    return "";
  uint32_t first = PL_NONE;
  uint32_t last = 0;
  for (uint32_t i = 0; i < draft->pins.n; i++)
    if (draft->pins.at[i].connector == draft->connectors.n - 1) {
      if (first == PL_NONE)
        first = i;
      last = i;
    }
  if (first == PL_NONE)
    return "";
  return pl_arena_printf(draft->builder->arena,
                         "the cavities go from %s to %s",
                         draft->pins.at[first].pin.name,
                         draft->pins.at[last].pin.name);
}

static uint32_t row_pin(struct pl_draft *draft,
                        struct pl_cursor *cursor,
                        const struct pl_word *word,
                        const char *name) {
  uint32_t index = pl_draft_pin(draft, name, pins_may_be_new(draft), word->span);
  if (index == PL_NONE && draft->silent)
    cursor->failed = true;
  else if (index == PL_NONE)
    pl_cursor_error(
        cursor,
        word,
        pl_arena_printf(draft->builder->arena, "%s has no pin `%s`", draft->device.name, name),
        cavity_hint(draft));
  else if (!draft->part_lines)
    draft->pins.at[index].pin.span = word->span;
  return index;
}

void pl_draft_pin_row(struct pl_draft *draft, struct pl_cursor *cursor) {
  const char *front;
  uint32_t first, last;
  cursor->example = "A7 keyed input, 20 mA, required";
  pl_cursor_take(cursor, "pin");
  const struct pl_word *word = pl_cursor_name(cursor, "the name of a pin");
  if (word == NULL)
    return;
  if (!split_range(draft->builder, word->text, &front, &first, &last)) {
    uint32_t index = row_pin(draft, cursor, word, word->text);
    if (index != PL_NONE)
      read_pin_facts(draft, cursor, &draft->pins.at[index].pin);
    pl_cursor_end(cursor);
    return;
  }
  struct pl_cursor facts = *cursor;
  for (uint32_t i = first; i <= last && !cursor->failed; i++) {
    const char *name = pl_arena_printf(draft->builder->arena, "%s%u", front, i);
    uint32_t index = row_pin(draft, cursor, word, name);
    if (index == PL_NONE)
      return;
    *cursor = facts;
    read_pin_facts(draft, cursor, &draft->pins.at[index].pin);
  }
  pl_cursor_end(cursor);
}
