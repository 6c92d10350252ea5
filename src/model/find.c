/* Names to ids, with a useful word when a name is not known. */
#include <string.h>

#include "base/limits.h"
#include "base/nearest.h"
#include "model/builder_inner.h"

enum {
  UNKNOWN_LINES = 6
}; /* lines that an error about an unknown name lists */

/* Reported already where it was declared, or perhaps declared on a line that could not be read: the
 * line at hand goes on, so that its other mistakes are found. */
static bool is_broken(const struct pl_builder *builder, const char *name) {
  uint32_t value;
  if (builder->lines_lost)
    return true;
  return pl_table_find(&builder->broken, name, &value);
}

/* True when the same unknown name was reported before: this line is added to that error and goes
 * on. */
static bool
is_known_unknown(struct pl_builder *builder, const char *what, const struct pl_word *word) {
  uint32_t index;
  if (!pl_table_find(&builder->unknown_names, what, &index))
    return false;
  struct pl_unknown *unknown = &builder->unknowns.at[index];
  struct pl_position at = pl_source_position(builder->sources, word->span);
  const struct pl_finding *finding = &builder->findings->list.at[unknown->finding];
  if (at.line == unknown->last_line)
    return true;
  unknown->last_line = at.line;
  if (++unknown->others > UNKNOWN_LINES)
    return true;
  pl_buffer_printf(&unknown->lines, "%s%u", unknown->others > 1 ? ", " : "", at.line);
  if (word->span.file != finding->span.file)
    pl_buffer_printf(&unknown->lines, " of %s", builder->sources->files.at[word->span.file].path);
  return true;
}

static void unknown_name(struct pl_builder *builder,
                         struct pl_cursor *cursor,
                         const char *what,
                         const struct pl_word *word,
                         const char *text,
                         const char *remedy) {
  uint32_t before = builder->findings->list.n;
  pl_cursor_error(cursor, word, text, remedy);
  if (builder->findings->list.n == before)
    return;
  struct pl_unknown unknown = {.finding = before,
                               .last_line = pl_source_position(builder->sources, word->span).line};
  pl_buffer_init(&unknown.lines, builder->arena);
  pl_table_add(&builder->unknown_names, what, builder->unknowns.n);
  PL_PUSH(builder->arena, &builder->unknowns, unknown);
}

void pl_builder_unknowns(struct pl_builder *builder) {
  for (uint32_t i = 0; i < builder->unknowns.n; i++) {
    const struct pl_unknown *unknown = &builder->unknowns.at[i];
    struct pl_finding *finding = &builder->findings->list.at[unknown->finding];
    if (unknown->others == 0)
      continue;
    finding->text = pl_arena_printf(builder->arena,
                                    "%s, here and in line%s %s",
                                    finding->text,
                                    unknown->others > 1 ? "s" : "",
                                    unknown->lines.at);
    if (unknown->others > UNKNOWN_LINES)
      finding->text = pl_arena_printf(builder->arena,
                                      "%s and %u more",
                                      finding->text,
                                      unknown->others - UNKNOWN_LINES);
  }
}

bool pl_builder_end(struct pl_builder *builder, struct pl_cursor *cursor, bool may_sit) {
  struct pl_buffer rest;
  uint32_t id;
  const struct pl_word *word = pl_cursor_peek(cursor);
  const struct pl_word *more;
  if (word == NULL || word->kind != PL_WORD || strlen(word->text) > PL_LIMIT_NAME)
    return pl_cursor_end(cursor);
  if (may_sit && pl_table_find(&builder->places, word->text, &id)) {
    pl_cursor_error(
        cursor,
        word,
        pl_arena_printf(builder->arena, "expected `at` before the place `%s`", word->text),
        pl_arena_printf(builder->arena, "write at %s", word->text));
    return false;
  }
  pl_buffer_init(&rest, builder->arena);
  for (uint32_t i = 0; (more = pl_cursor_peek_at(cursor, i)) != NULL && more->kind == PL_WORD; i++)
    pl_buffer_printf(&rest, "%s%s", i > 0 ? " " : "", more->text);
  pl_cursor_error(
      cursor,
      word,
      pl_arena_printf(builder->arena, "expected the end of the line, found \"%s\"", word->text),
      rest.n <= PL_LIMIT_NAME ? pl_arena_printf(builder->arena,
                                                "text for people stands in double quotes: \"%s\"",
                                                rest.at)
                              : "text for people stands in \"double quotes\"");
  return false;
}

/* A device whose name was taken and which has that pin may have been meant to be this one, which
 * nothing declares: one error for one slip. */
static bool
is_meant_by_double(struct pl_builder *builder, const char *name, const struct pl_word *word) {
  const char *dot = strchr(word->text, '.');
  const char *pin = pl_arena_printf(builder->arena, " %s ", dot == NULL ? "" : dot + 1);
  for (uint32_t i = 0; i < builder->doubled.n; i++) {
    struct pl_double *twice = &builder->doubled.at[i];
    if (strstr(twice->pins, pin) == NULL)
      continue;
    if (twice->finding >= builder->findings->list.n)
      continue;
    struct pl_finding *finding = &builder->findings->list.at[twice->finding];
    finding->remedy = pl_arena_printf(
        builder->arena,
        "%s. Line %u asks for `%s`, which nothing declares: is this one meant to be that?",
        finding->remedy,
        pl_source_position(builder->sources, word->span).line,
        name);
    twice->pins = ""; /* it explains one name */
    pl_table_add(&builder->broken, name, 0);
    return true;
  }
  return false;
}

pl_id pl_builder_place(struct pl_builder *builder, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_name(cursor, "the name of a place");
  uint32_t id;
  if (word == NULL)
    return PL_NONE;
  if (pl_table_find(&builder->places, word->text, &id))
    return id;
  const char *what = pl_arena_printf(builder->arena, "place %s", word->text);
  if (is_broken(builder, word->text))
    return PL_NONE;
  if (is_known_unknown(builder, what, word))
    return PL_NONE;
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, word->text);
  for (uint32_t i = 0; i < builder->harness->places.n; i++)
    pl_nearest_offer(&nearest, builder->harness->places.at[i].name);
  unknown_name(
      builder,
      cursor,
      what,
      word,
      pl_arena_printf(builder->arena, "no place is called `%s`", word->text),
      nearest.best != NULL
          ? pl_builder_mean(builder, &nearest)
          : pl_arena_printf(builder->arena, "add a line at the margin: place %s", word->text));
  return PL_NONE;
}

pl_id pl_builder_device(struct pl_builder *builder,
                        struct pl_cursor *cursor,
                        const struct pl_word *word) {
  pl_id id = pl_harness_find_device(builder->harness, word->text);
  if (id != PL_NONE)
    return id;
  const char *what = pl_arena_printf(builder->arena, "device %s", word->text);
  if (is_broken(builder, word->text))
    return PL_NONE;
  if (is_known_unknown(builder, what, word))
    return PL_NONE;
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, word->text);
  for (uint32_t i = 0; i < builder->harness->devices.n; i++)
    pl_nearest_offer(&nearest, builder->harness->devices.at[i].name);
  unknown_name(builder,
               cursor,
               what,
               word,
               pl_arena_printf(builder->arena, "no device is called `%s`", word->text),
               nearest.best != NULL ? pl_builder_mean(builder, &nearest)
                                    : "declare it at the margin, for example: fuse F3 at cab");
  return PL_NONE;
}

/* "has 30, 85, 86 and 87", shortened when there are many. */
static const char *pin_list(struct pl_builder *builder, const struct pl_device *device) {
  struct pl_buffer list;
  pl_buffer_init(&list, builder->arena);
  for (uint32_t i = 0; i < device->pin_count; i++) {
    if (i == 8) {
      pl_buffer_printf(&list,
                       " ... %s",
                       builder->harness->pins.at[device->first_pin + device->pin_count - 1].name);
      break;
    }
    pl_buffer_printf(&list,
                     "%s%s",
                     i == 0                       ? ""
                     : i + 1 == device->pin_count ? " and "
                                                  : ", ",
                     builder->harness->pins.at[device->first_pin + i].name);
  }
  if (list.n == 0)
    return "no pins";
  return list.at;
}

static void unknown_pin(struct pl_builder *builder,
                        struct pl_cursor *cursor,
                        const struct pl_word *word,
                        pl_id id) {
  const struct pl_device *device = &builder->harness->devices.at[id];
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, word->text);
  for (uint32_t i = 0; i < device->pin_count; i++)
    pl_nearest_offer(&nearest, builder->harness->pins.at[device->first_pin + i].full);
  const char *remedy = pl_arena_printf(builder->arena,
                                       "%s%s%s has %s",
                                       pl_builder_mean(builder, &nearest),
                                       nearest.best != NULL ? " " : "",
                                       device->name,
                                       pin_list(builder, device));
  if (strcmp(device->name, word->text) == 0)
    pl_cursor_error(
        cursor,
        word,
        pl_arena_printf(builder->arena, "`%s` has several pins: which one?", word->text),
        pl_arena_printf(builder->arena,
                        "write it as %s.PIN; it has %s",
                        device->name,
                        pin_list(builder, device)));
  else
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(builder->arena,
                                    "%s %s has no pin `%s`",
                                    pl_kind_name(device->kind),
                                    device->name,
                                    word->text + strlen(device->name) + 1),
                    remedy);
}

pl_id pl_builder_pin(struct pl_builder *builder,
                     struct pl_cursor *cursor,
                     const struct pl_word *word) {
  pl_id id = pl_harness_find_pin(builder->harness, word->text);
  if (id != PL_NONE)
    return id;
  const char *dot = strchr(word->text, '.');
  const char *name;
  if (dot == NULL)
    name = word->text;
  else
    name = pl_arena_strndup(builder->arena, word->text, (size_t)(dot - word->text));
  pl_id device = pl_harness_find_device(builder->harness, name);
  if (device != PL_NONE) {
    unknown_pin(builder, cursor, word, device);
    return PL_NONE;
  }
  const char *what = pl_arena_printf(builder->arena, "device %s", name);
  if (is_broken(builder, name))
    return PL_NONE;
  if (is_known_unknown(builder, what, word))
    return PL_NONE;
  if (is_meant_by_double(builder, name, word))
    return PL_NONE;
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, name);
  for (uint32_t i = 0; dot == NULL && i < builder->harness->pins.n; i++)
    pl_nearest_offer(&nearest, builder->harness->pins.at[i].full);
  for (uint32_t i = 0; i < builder->harness->devices.n; i++)
    pl_nearest_offer(&nearest, builder->harness->devices.at[i].name);
  unknown_name(builder,
               cursor,
               what,
               word,
               pl_arena_printf(builder->arena, "no device is called `%s`", name),
               nearest.best != NULL ? pl_builder_mean(builder, &nearest)
                                    : "a pin is written DEVICE.PIN, and the device is declared at "
                                      "the margin, for example: fuse F3 at cab");
  return PL_NONE;
}

pl_id pl_builder_terminal(struct pl_builder *builder, struct pl_cursor *cursor, const char *name) {
  uint32_t id;
  if (pl_table_find(&builder->terminals, name, &id))
    return id;
  if (is_broken(builder, name))
    return PL_NONE;
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, name);
  for (uint32_t i = 0; i < builder->harness->terminals.n; i++)
    pl_nearest_offer(&nearest, builder->harness->terminals.at[i].name);
  struct pl_cursor back = *cursor;
  const struct pl_word *word = NULL;
  if (back.at > cursor->line->first)
    word = &cursor->tree->words.at[back.at - 1];
  pl_cursor_error(cursor,
                  word,
                  pl_arena_printf(builder->arena, "no terminal family is called `%s`", name),
                  nearest.best != NULL ? pl_builder_mean(builder, &nearest)
                                       : "declare it at the margin: terminal NAME");
  return PL_NONE;
}
