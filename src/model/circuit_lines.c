/* Circuits: their names, and what is said about one. */
#include <math.h>

#include "model/builder_inner.h"
#include "standard/data_link.h"
#include "standard/limits_data.h"

pl_id pl_builder_circuit(struct pl_builder *builder, const char *name, struct pl_span span) {
  uint32_t id;
  if (pl_table_find(&builder->harness->circuit_names, name, &id))
    return id;
  struct pl_circuit circuit = {.name = name,
                               .title = name,
                               .drop_limit = NAN,
                               .link = PL_NONE,
                               .span = span};
  PL_PUSH(builder->arena, &builder->harness->circuits, circuit);
  pl_table_add(&builder->harness->circuit_names, name, builder->harness->circuits.n - 1);
  return builder->harness->circuits.n - 1;
}

static void circuit_drop(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  pl_cursor_quantity(cursor, PL_UNIT_SHARE, &((struct pl_circuit *)target)->drop_limit);
}

static void circuit_critical(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)cursor;
  ((struct pl_circuit *)target)->drop_limit =
      fmin(pl_limit_drop_critical.value / 100.0, builder->harness->machine.drop_limit);
}

static void circuit_link(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  const struct pl_word *word = pl_cursor_name(cursor, "the kind of data link");
  if (word == NULL)
    return;
  uint32_t row = pl_data_link_find(word->text);
  ((struct pl_circuit *)target)->link = row;
  if (row != UINT32_MAX)
    return;
  struct pl_nearest nearest;
  struct pl_buffer all;
  pl_nearest_init(&nearest, word->text);
  pl_buffer_init(&all, builder->arena);
  for (uint32_t i = 0; i < pl_data_link_count; i++) {
    pl_nearest_offer(&nearest, pl_data_links[i].name);
    pl_buffer_printf(&all, "%s%s", i > 0 ? ", " : "one of ", pl_data_links[i].name);
  }
  pl_cursor_error(cursor,
                  word,
                  pl_arena_printf(builder->arena, "no data link is called `%s`", word->text),
                  nearest.best != NULL ? pl_builder_mean(builder, &nearest) : all.at);
}

/* clang-format off */
static const struct pl_body_row circuit_rows[] = {
#define PL_CIRCUIT_LINE(word, read, told, example, other, help) {word, read, example},
#include "model/facts.def"
};
/* clang-format on */

/* circuit = "circuit" words [ TEXT ] . */
void pl_read_circuit(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  struct pl_span span;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  pl_cursor_take(&cursor, "circuit");
  const char *name = pl_cursor_words(&cursor, NULL, "the name of the circuit", &span);
  const char *title = pl_cursor_text_if(&cursor);
  if (!pl_cursor_end(&cursor))
    return;
  pl_id id = pl_builder_circuit(builder, name, span);
  struct pl_circuit circuit = builder->harness->circuits.at[id];
  if (title[0] != '\0')
    circuit.title = title;
  if (pl_builder_body(builder,
                      item,
                      circuit_rows,
                      sizeof circuit_rows / sizeof circuit_rows[0],
                      &circuit))
    builder->harness->circuits.at[id] = circuit;
}
