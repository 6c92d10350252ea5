/* Connectors of a device. */
#include <string.h>

#include "base/limits.h"
#include "base/number.h"
#include "model/draft_inner.h"

/* ---- connectors ---- */

static bool ends_in_digit(const char *name) {
  size_t n = strlen(name);
  if (!(n > 0))
    return false;
  if (!(name[n - 1] >= '0'))
    return false;
  return name[n - 1] <= '9';
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
  if (text[0] != '\0')
    return text;
  return pl_cursor_words(cursor, NULL, what, NULL);
}

/* ---- the facts of a connector, one function each ---- */

static void fact_rows(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  (void)draft;
  uint32_t rows;
  if (!pl_cursor_count(cursor, PL_LIMIT_CAVITIES, &rows))
    return;
  if (pl_cursor_take(cursor, "row") || pl_cursor_need(cursor, "rows"))
    facts->connector.rows = rows;
}

static void fact_round(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  (void)draft;
  (void)cursor;
  facts->connector.shape = PL_SHAPE_ROUND;
}

static void fact_sealed(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  (void)draft;
  (void)cursor;
  facts->connector.sealed = true;
}

static void fact_pins(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  (void)draft;
  (void)cursor;
  facts->connector.pin_half = true;
}

static void fact_sockets(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  (void)draft;
  (void)cursor;
  facts->connector.pin_half = false;
}

static void fact_named(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  const struct pl_word *word;
  while ((word = pl_cursor_peek(cursor)) != NULL && word->kind == PL_WORD) {
    PL_PUSH(draft->builder->arena, &facts->named, word->text);
    pl_cursor_next(cursor);
  }
  if (facts->named.n == 0)
    pl_cursor_error(cursor, word, "expected the names of the cavities", "write named A B C D");
}

static void fact_terminal(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  const char *name = pl_cursor_words(cursor, NULL, "the name of a terminal family", NULL);
  if (name != NULL)
    facts->connector.terminal = pl_builder_terminal(draft->builder, cursor, name);
}

static void fact_colour(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  (void)draft;
  facts->connector.colour = fact_words(cursor, "the colour of the housing");
}

static void fact_key(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  (void)draft;
  facts->connector.key = fact_words(cursor, "how it is keyed");
}

static void fact_mates(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  (void)draft;
  facts->connector.mate = fact_words(cursor, "what it mates with");
}

static void fact_part(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  (void)draft;
  facts->connector.part = fact_words(cursor, "the part's name");
}

/* clang-format off */
static const struct {
  const char *word;
  void (*read)(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts);
} connector_facts[] = {
#define PL_CONNECTOR_FACT(word, read, told, example, other, help) {word, read},
#include "model/facts.def"
};
/* clang-format on */
enum {
  CONNECTOR_FACTS = sizeof connector_facts / sizeof connector_facts[0]
};

static void read_fact(struct pl_draft *draft, struct pl_cursor *cursor, struct facts *facts) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (word == NULL) {
    pl_cursor_error(cursor, NULL, "expected a fact about the connector behind the comma", "");
    return;
  }
  if (word->text[0] >= '0' && word->text[0] <= '9') { /* "3 rows": the word stands behind */
    fact_rows(draft, cursor, facts);
    return;
  }
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, word->text);
  for (int i = 0; i < CONNECTOR_FACTS; i++) {
    bool behind = connector_facts[i].read == fact_rows;
    if (!behind && pl_cursor_take(cursor, connector_facts[i].word)) {
      connector_facts[i].read(draft, cursor, facts);
      return;
    }
    pl_nearest_offer(&nearest, connector_facts[i].word);
  }
  pl_cursor_error(
      cursor,
      word,
      pl_arena_printf(draft->builder->arena, "`%s` is no fact about a connector", word->text),
      nearest.best != NULL ? pl_builder_mean(draft->builder, &nearest)
                           : "facts: 3 rows, round, sealed, pins, sockets, named A B C, terminal "
                             "NAME, colour, key, mates, part");
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
    const char *cavity;
    if (i < facts->named.n)
      cavity = facts->named.at[i];
    else
      cavity = pl_arena_strdup(builder->arena, pl_number_print(number, i + 1, 6));
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
  if (draft->part_lines)
    facts.connector.span = draft->device.span;
  else
    facts.connector.span = word->span;
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
  } else if (pl_kind_is(draft->device.kind, PL_IS_INLINE)) {
    add_cavities(draft, cursor, &facts, "P", cavities);
    if (!cursor->failed)
      add_cavities(draft, cursor, &facts, "S", cavities);
  } else if (facts.named.n == 0 && facts.connector.name[0] == '\0' && has_own_pins(draft) &&
             !pl_kind_is(draft->device.kind, PL_IS_MODULE | PL_IS_SETTABLE)) {
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
