/* Names to ids, with a useful word when a name is not known. */
#include <string.h>

#include "base/nearest.h"
#include "build/builder.h"

/* Reported already where it was declared, or perhaps declared on a line that could not be read: the line at hand goes on, so that its other
 * mistakes are found. */
static bool is_broken(const struct pl_builder *builder, const char *name) {
  uint32_t value;
  return builder->lines_lost || pl_table_find(&builder->broken, name, &value);
}

pl_id pl_builder_place(struct pl_builder *builder, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_name(cursor, "the name of a place");
  uint32_t id;
  if (word == NULL) return PL_NONE;
  if (pl_table_find(&builder->places, word->text, &id)) return id;
  if (is_broken(builder, word->text)) return PL_NONE;
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, word->text);
  for (uint32_t i = 0; i < builder->harness->places.n; i++) pl_nearest_offer(&nearest, builder->harness->places.at[i].name);
  pl_cursor_error(cursor, word, pl_arena_printf(builder->arena, "no place is called `%s`", word->text),
                  nearest.best != NULL ? pl_builder_mean(builder, &nearest)
                                       : pl_arena_printf(builder->arena, "add a line at the margin: place %s", word->text));
  return PL_NONE;
}

pl_id pl_builder_device(struct pl_builder *builder, struct pl_cursor *cursor, const struct pl_word *word) {
  pl_id id = pl_harness_find_device(builder->harness, word->text);
  if (id != PL_NONE) return id;
  if (is_broken(builder, word->text)) return PL_NONE;
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, word->text);
  for (uint32_t i = 0; i < builder->harness->devices.n; i++) pl_nearest_offer(&nearest, builder->harness->devices.at[i].name);
  pl_cursor_error(cursor, word, pl_arena_printf(builder->arena, "no device is called `%s`", word->text),
                  nearest.best != NULL ? pl_builder_mean(builder, &nearest) : "declare it at the margin, for example: fuse F3 at cab");
  return PL_NONE;
}

/* "has 30, 85, 86 and 87", shortened when there are many. */
static const char *pin_list(struct pl_builder *builder, const struct pl_device *device) {
  struct pl_buffer list;
  pl_buffer_init(&list, builder->arena);
  for (uint32_t i = 0; i < device->pin_count; i++) {
    if (i == 8) {
      pl_buffer_printf(&list, " ... %s", builder->harness->pins.at[device->first_pin + device->pin_count - 1].name);
      break;
    }
    pl_buffer_printf(&list, "%s%s", i == 0 ? "" : i + 1 == device->pin_count ? " and " : ", ",
                     builder->harness->pins.at[device->first_pin + i].name);
  }
  return list.n == 0 ? "no pins" : list.at;
}

static void unknown_pin(struct pl_builder *builder, struct pl_cursor *cursor, const struct pl_word *word, pl_id id) {
  const struct pl_device *device = &builder->harness->devices.at[id];
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, word->text);
  for (uint32_t i = 0; i < device->pin_count; i++) pl_nearest_offer(&nearest, builder->harness->pins.at[device->first_pin + i].full);
  const char *remedy = pl_arena_printf(builder->arena, "%s%s%s has %s", pl_builder_mean(builder, &nearest), nearest.best != NULL ? " " : "",
                                       device->name, pin_list(builder, device));
  if (strcmp(device->name, word->text) == 0)
    pl_cursor_error(cursor, word, pl_arena_printf(builder->arena, "`%s` has several pins: which one?", word->text),
                    pl_arena_printf(builder->arena, "write it as %s.PIN; it has %s", device->name, pin_list(builder, device)));
  else
    pl_cursor_error(cursor, word, pl_arena_printf(builder->arena, "%s %s has no pin `%s`", pl_kind_name(device->kind), device->name,
                                                  word->text + strlen(device->name) + 1),
                    remedy);
}

pl_id pl_builder_pin(struct pl_builder *builder, struct pl_cursor *cursor, const struct pl_word *word) {
  pl_id id = pl_harness_find_pin(builder->harness, word->text);
  if (id != PL_NONE) return id;
  const char *dot = strchr(word->text, '.');
  const char *name = dot == NULL ? word->text : pl_arena_strndup(builder->arena, word->text, (size_t)(dot - word->text));
  pl_id device = pl_harness_find_device(builder->harness, name);
  if (device != PL_NONE) {
    unknown_pin(builder, cursor, word, device);
    return PL_NONE;
  }
  if (is_broken(builder, name)) return PL_NONE;
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, name);
  for (uint32_t i = 0; i < builder->harness->devices.n; i++) pl_nearest_offer(&nearest, builder->harness->devices.at[i].name);
  pl_cursor_error(cursor, word, pl_arena_printf(builder->arena, "no device is called `%s`", name),
                  nearest.best != NULL ? pl_builder_mean(builder, &nearest)
                                       : "a pin is written DEVICE.PIN, and the device is declared at the margin, for example: fuse F3 at cab");
  return PL_NONE;
}

pl_id pl_builder_terminal(struct pl_builder *builder, struct pl_cursor *cursor, const char *name, struct pl_span span) {
  uint32_t id;
  (void)span;
  if (pl_table_find(&builder->terminals, name, &id)) return id;
  if (is_broken(builder, name)) return PL_NONE;
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, name);
  for (uint32_t i = 0; i < builder->harness->terminals.n; i++) pl_nearest_offer(&nearest, builder->harness->terminals.at[i].name);
  struct pl_cursor back = *cursor;
  const struct pl_word *word = back.at > cursor->line->first ? &cursor->tree->words.at[back.at - 1] : NULL;
  pl_cursor_error(cursor, word, pl_arena_printf(builder->arena, "no terminal family is called `%s`", name),
                  nearest.best != NULL ? pl_builder_mean(builder, &nearest) : "declare it at the margin: terminal NAME");
  return PL_NONE;
}
