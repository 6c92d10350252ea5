/* Devices and parts: the opening line, the part's lines, the device's own lines, and the finished
 * record with its pins in the model. */
#include <string.h>

#include "model/draft_inner.h"

uint32_t pl_draft_pin(struct pl_draft *draft, const char *name, bool make, struct pl_span span) {
  uint32_t index;
  if (pl_table_find(&draft->pin_names, name, &index))
    return index;
  if (!make)
    return PL_NONE;
  struct pl_draft_pin pin = {.pin = pl_pin_blank(), .connector = PL_NONE};
  pin.pin.name = name;
  if (draft->part_lines)
    pin.pin.span = draft->device.span;
  else
    pin.pin.span = span;
  PL_PUSH(draft->builder->arena, &draft->pins, pin);
  pl_table_add(&draft->pin_names, name, draft->pins.n - 1);
  return draft->pins.n - 1;
}

static void read_part_lines(struct pl_draft *draft, struct pl_cursor *cursor);

static void unknown_line(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_builder *builder = draft->builder;
  const struct pl_word *word = pl_cursor_peek(cursor);
  const char *kind = pl_kind_name(draft->device.kind);
  struct pl_nearest nearest;
  if (draft->silent) {
    cursor->failed = true;
    return;
  }
  pl_nearest_init(&nearest, word->text);
  pl_draft_offer_words(draft, &nearest);
  for (uint32_t i = 0; i < draft->pins.n; i++)
    pl_nearest_offer(&nearest, draft->pins.at[i].pin.name);
  const char *others = pl_draft_other_kinds(draft, word->text);
  const char *remedy = pl_builder_mean(builder, &nearest);
  if (others[0] != '\0')
    remedy = pl_arena_printf(builder->arena, "`%s` belongs to: %s", word->text, others);
  else if (remedy[0] == '\0')
    remedy = "the reference lists the lines of each kind; a pin is written `pin NAME ROLE`";
  pl_cursor_error(cursor,
                  word,
                  pl_arena_printf(builder->arena,
                                  "`%s` does not describe a %s and is none of its pins",
                                  word->text,
                                  kind),
                  remedy);
}

static bool read_lines(struct pl_draft *draft, const struct pl_item *item) {
  bool good = true;
  for (uint32_t i = 0; i < item->statement->body_count; i++) {
    struct pl_cursor cursor;
    pl_builder_open(draft->builder, item, item->statement->body_first + i, NULL, &cursor);
    if (pl_cursor_is(&cursor, "part"))
      read_part_lines(draft, &cursor);
    else if (pl_draft_line(draft, &cursor))
      pl_cursor_end(&cursor);
    else if (pl_draft_is_pin_row(draft, &cursor))
      pl_draft_pin_row(draft, &cursor);
    else
      unknown_line(draft, &cursor);
    good = good && !cursor.failed;
  }
  return good;
}

/* The name of the part that a statement describes, `look` behind it; NULL: it describes none. */
static const char *
part_named(struct pl_builder *builder, const struct pl_item *item, struct pl_cursor *look) {
  pl_builder_open(builder, item, item->statement->line, NULL, look);
  if (!pl_cursor_take(look, "part"))
    return NULL;
  return pl_cursor_words(look, "is", "the name of a part", NULL);
}

static void unknown_part(struct pl_draft *draft,
                         struct pl_cursor *cursor,
                         const struct pl_word *word,
                         const char *name) {
  struct pl_builder *builder = draft->builder;
  struct pl_nearest nearest;
  uint32_t broken;
  if (builder->lines_lost ||
      pl_table_find(
          &builder->broken,
          name,
          &broken)) { /* reported where it was described: what follows from it stays silent */
    draft->silent = true;
    return;
  }
  pl_nearest_init(&nearest, name);
  for (uint32_t i = 0; i < builder->items.n; i++) {
    struct pl_cursor look;
    const char *offer = part_named(builder, &builder->items.at[i], &look);
    if (offer != NULL)
      pl_nearest_offer(&nearest, offer);
  }
  pl_cursor_error(cursor,
                  word,
                  pl_arena_printf(builder->arena, "no part is called `%s`", name),
                  nearest.best != NULL ? pl_builder_mean(builder, &nearest)
                                       : "describe it at the margin (part NAME is KIND), or see "
                                         "the shipped ones with: pinloom parts");
}

/* "part" words . */
static void read_part_lines(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_builder *builder = draft->builder;
  cursor->example = "part micro relay 12 V";
  pl_cursor_next(cursor);
  const struct pl_word *word = pl_cursor_peek(cursor);
  const char *name = pl_cursor_words(cursor, NULL, "the name of a part", NULL);
  if (!pl_cursor_end(cursor) || name == NULL)
    return;
  uint32_t index;
  if (!pl_table_find(&builder->parts, name, &index)) {
    unknown_part(draft, cursor, word, name);
    return;
  }
  const struct pl_item *part = &builder->items.at[index];
  if (part->kind->kind != draft->device.kind) {
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(builder->arena,
                                    "`%s` is a %s, but %s is a %s",
                                    name,
                                    part->kind->word,
                                    draft->device.name,
                                    pl_kind_name(draft->device.kind)),
                    "choose a part of the same kind");
    return;
  }
  if (draft->depth >= 8) {
    pl_cursor_error(cursor, word, "parts are nested too deep, or a part takes over itself", "");
    return;
  }
  if (draft->depth == 0)
    draft->device.part = name;
  bool before = draft->part_lines;
  draft->part_lines = true;
  draft->depth++;
  if (!read_lines(draft, part))
    cursor->failed = true;
  draft->depth--;
  draft->part_lines = before;
}

/* Is a part described under that name, anywhere? */
static bool is_part(struct pl_builder *builder, const char *name) {
  for (uint32_t i = 0; i < builder->items.n; i++) {
    struct pl_cursor look;
    const char *other = part_named(builder, &builder->items.at[i], &look);
    if (other != NULL && !pl_cursor_done(&look) && strcmp(other, name) == 0)
      return true;
  }
  return false;
}

/* part = "part" words "is" kind [ TEXT ] .  Only noted here; its lines are read where it is used,
 * and once here to find its mistakes. */
void pl_read_part(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  struct pl_span span = PL_NO_SPAN;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  pl_cursor_next(&cursor);
  const char *name = pl_cursor_words(&cursor, "is", "the name of a part", &span);
  if (name != NULL && pl_cursor_done(&cursor) && is_part(builder, name)) {
    if (item > builder->items.at)
      item[-1].lost_lines = true;
    pl_cursor_error(&cursor,
                    NULL,
                    "expected `is` and a kind behind the name of a part",
                    "to take this part over for the thing above, indent the line");
  }
  pl_cursor_need(&cursor, "is");
  const struct pl_word *word = pl_cursor_peek(&cursor);
  const struct pl_opening *kind = cursor.failed ? NULL : pl_opening_match(&cursor);
  if (!cursor.failed &&
      (kind == NULL || kind->pass != PL_PASS_DEVICES || kind->read != pl_read_device)) {
    struct pl_nearest nearest;
    pl_nearest_init(&nearest, word == NULL ? "" : word->text);
    for (uint32_t i = 0; i < PL_KIND_COUNT; i++)
      pl_nearest_offer(&nearest, pl_kind_name((enum pl_kind)i));
    pl_cursor_error(&cursor,
                    word,
                    "expected the kind of device this part is",
                    pl_builder_mean(builder, &nearest));
  }
  if (kind != NULL)
    pl_cursor_take_words(&cursor, kind->word);
  pl_cursor_text_if(&cursor);
  pl_cursor_end(&cursor);
  if (name == NULL)
    return;
  item->kind = kind;
  if (cursor.failed) {
    pl_table_add(&builder->broken, name, 0);
  } else if (!pl_table_add(&builder->parts, name, (uint32_t)(item - builder->items.at)) &&
             !item->shipped) {
    pl_cursor_error(&cursor,
                    NULL,
                    pl_arena_printf(builder->arena, "the part `%s` is described twice", name),
                    "give one of them another name");
  }
}

/* ---- into the model ---- */

static struct pl_join remap_join(struct pl_join join, const pl_id *map) {
  return (struct pl_join){map[join.a], map[join.b]};
}

static void remap_joins(pl_joins *joins, const pl_id *map) {
  for (uint32_t i = 0; i < joins->n; i++)
    joins->at[i] = remap_join(joins->at[i], map);
}

static pl_id remap(pl_id pin, const pl_id *map) {
  return pin == PL_NONE ? PL_NONE : map[pin];
}

static void
add_pin(struct pl_draft *draft, uint32_t index, pl_id device, pl_id connector, pl_id *map) {
  struct pl_pin pin = draft->pins.at[index].pin;
  pin.device = device;
  pin.connector = connector;
  map[index] = pl_harness_add_pin(draft->builder->harness, pin);
}

static const char *pin_names(const struct pl_draft *draft) {
  struct pl_buffer names;
  pl_buffer_init(&names, draft->builder->arena);
  pl_buffer_puts(&names, " ");
  for (uint32_t i = 0; i < draft->pins.n; i++)
    pl_buffer_printf(&names, "%s ", draft->pins.at[i].pin.name);
  return names.at;
}

/* Pins of the draft become pins of the model: connector by connector, then the loose ones; then
 * every mention is renumbered. */
static void commit(struct pl_draft *draft, struct pl_cursor *cursor, const struct pl_word *word) {
  struct pl_builder *builder = draft->builder;
  struct pl_harness *harness = builder->harness;
  pl_id id = pl_harness_add_device(harness, draft->device);
  if (id == PL_NONE) {
    struct pl_span other =
        harness->devices.at[pl_harness_find_device(harness, draft->device.name)].span;
    struct pl_position at = pl_source_position(builder->sources, other);
    struct pl_double twice = {builder->findings->list.n, pin_names(draft)};
    PL_PUSH(builder->arena, &builder->doubled, twice);
    pl_cursor_error(
        cursor,
        word,
        pl_arena_printf(builder->arena,
                        "the name `%s` is taken by another device",
                        draft->device.name),
        pl_arena_printf(builder->arena,
                        "it stands also in line %u of %s; every device has a name of its own",
                        at.line,
                        builder->sources->files.at[other.file].path));
    return;
  }
  pl_id *map = PL_NEW_ARRAY(builder->arena, pl_id, draft->pins.n + 1);
  for (uint32_t c = 0; c < draft->connectors.n; c++) {
    struct pl_connector connector = draft->connectors.at[c];
    connector.device = id;
    pl_id connector_id = pl_harness_add_connector(harness, connector);
    for (uint32_t i = 0; i < draft->pins.n; i++)
      if (draft->pins.at[i].connector == c)
        add_pin(draft, i, id, connector_id, map);
  }
  for (uint32_t i = 0; i < draft->pins.n; i++)
    if (draft->pins.at[i].connector == PL_NONE)
      add_pin(draft, i, id, PL_NONE, map);
  struct pl_device *device = &harness->devices.at[id];
  device->coil_a = remap(device->coil_a, map);
  device->coil_b = remap(device->coil_b, map);
  device->plus = remap(device->plus, map);
  device->minus = remap(device->minus, map);
  device->signal = remap(device->signal, map);
  device->reset_a = remap(device->reset_a, map);
  for (uint32_t c = 0; c < device->codes.n; c++)
    for (uint32_t i = 0; i < device->codes.at[c].pins.n; i++)
      device->codes.at[c].pins.at[i] = remap(device->codes.at[c].pins.at[i], map);
  device->reset_b = remap(device->reset_b, map);
  remap_joins(&device->make, map);
  remap_joins(&device->brk, map);
  remap_joins(&device->fixed, map);
  for (uint32_t i = 0; i < device->throws.n; i++)
    remap_joins(&device->throws.at[i].joins, map);
  if (draft->measures != NULL)
    pl_draft_register_quantity(draft, id);
  for (uint32_t i = 0; i < draft->fixups.n; i++) {
    struct pl_fixup fixup = draft->fixups.at[i];
    fixup.device = id;
    PL_PUSH(builder->arena, &builder->fixups, fixup);
  }
}

/* device = kind name [ "at" name ] [ TEXT ] . */
static void read_device(struct pl_builder *builder, struct pl_item *item, struct pl_draft *draft) {
  struct pl_cursor cursor;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  pl_cursor_take_words(&cursor, item->opening->word);
  bool named = pl_cursor_peek(&cursor) != NULL && pl_cursor_peek(&cursor)->kind == PL_WORD;
  const struct pl_word *word = pl_cursor_name(
      &cursor,
      named ? "the name"
            : pl_arena_printf(builder->arena, "the name of the %s", item->opening->word));
  if (word == NULL)
    return;
  draft->device.kind = item->opening->kind;
  draft->device.name = word->text;
  draft->device.span = word->span;
  if (strchr(word->text, '.') != NULL)
    pl_cursor_error(&cursor,
                    word,
                    "a device's name cannot have a dot in it",
                    "the dot stands between a device and its pin; use a hyphen");
  draft->device.text = pl_cursor_text_if(&cursor);
  if (pl_cursor_take(&cursor, "at"))
    draft->device.place = pl_builder_place(builder, &cursor);
  if (draft->device.text[0] == '\0')
    draft->device.text = pl_cursor_text_if(&cursor);
  if (draft->device.text[0] != '\0' && draft->device.place != PL_NONE)
    pl_cursor_end(&cursor);
  else
    pl_builder_end(builder, &cursor, draft->device.place == PL_NONE);
  pl_draft_begin(draft);
  bool good = read_lines(draft, item) && !cursor.failed;
  good = good && !draft->silent;
  if (good)
    pl_draft_finish(draft, &cursor);
  if (good && !cursor.failed)
    commit(draft, &cursor, word);
  if (good && !cursor.failed)
    return;
  pl_table_add(&builder->broken, draft->device.name, 0);
  if (draft->measures != NULL)
    pl_table_add(&builder->broken, draft->measures, 0);
}

/* The lists of one draft serve the next one too: only what the device keeps stays in the arena. */
void pl_read_device(struct pl_builder *builder, struct pl_item *item) {
  struct pl_draft draft = {.builder = builder,
                           .device = pl_device_blank(),
                           .silent = item->lost_lines};
  struct pl_draft *spare = builder->spare;
  if (spare == NULL) {
    spare = builder->spare = PL_NEW(builder->arena, struct pl_draft);
    pl_table_init(&spare->pin_names, builder->arena);
  }
  draft.connectors = spare->connectors;
  draft.pins = spare->pins;
  draft.fixups = spare->fixups;
  draft.pin_names = spare->pin_names;
  draft.connectors.n = draft.pins.n = draft.fixups.n = 0;
  pl_table_clear(&draft.pin_names);
  read_device(builder, item, &draft);
  *spare = draft;
}

static bool is_chassis(const struct pl_builder *builder, pl_id device) {
  return pl_kind_is_but(builder->harness->devices.at[device].kind, PL_IS_GROUND, PL_IS_BOND);
}

void pl_build_fixups(struct pl_builder *builder) {
  for (uint32_t i = 0; i < builder->fixups.n; i++) {
    struct pl_fixup *fixup = &builder->fixups.at[i];
    pl_id chassis = pl_harness_find_device(builder->harness, fixup->chassis);
    uint32_t broken;
    if (chassis == PL_NONE &&
        (builder->lines_lost || pl_table_find(&builder->broken, fixup->chassis, &broken)))
      continue;
    if (chassis == PL_NONE || !is_chassis(builder, chassis)) {
      struct pl_nearest nearest;
      pl_nearest_init(&nearest, fixup->chassis);
      for (uint32_t k = 0; k < builder->harness->devices.n; k++)
        if (is_chassis(builder, k))
          pl_nearest_offer(&nearest, builder->harness->devices.at[k].name);
      const char *mean = pl_builder_mean(builder, &nearest);
      pl_findings_error(
          builder->findings,
          fixup->span,
          pl_arena_printf(builder->arena, "no chassis is called `%s`", fixup->chassis),
          mean[0] != '\0' ? mean : "declare it at the margin: chassis FRAME \"main frame\"");
      continue;
    }
    struct pl_device *device = &builder->harness->devices.at[fixup->device];
    device->body = chassis;
    pl_id own = pl_kind_is(device->kind, PL_IS_BOND) ? PL_NONE : device->minus;
    struct pl_join join = {own, builder->harness->devices.at[chassis].first_pin};
    if (own != PL_NONE)
      PL_PUSH(builder->arena, &device->fixed, join);
  }
}
