/* Reading the lines that describe a device.  The rows are those of facts.def: plain figures fill
 * their field, every other line has a function here or in quantities.c. */
#include <stddef.h>
#include <string.h>

#include "model/draft_inner.h"
#include "model/facts.h"

typedef void (*line_fn)(struct pl_draft *draft, struct pl_cursor *cursor);

static void line_connector(struct pl_draft *draft, struct pl_cursor *cursor) {
  pl_draft_connector(draft, cursor);
  if (cursor->failed)
    draft->silent = true;
}

static void line_cavities(struct pl_draft *draft, struct pl_cursor *cursor) {
  pl_draft_cavities(draft, cursor);
  if (cursor->failed)
    draft->silent = true;
}

static void line_at(struct pl_draft *draft, struct pl_cursor *cursor) {
  draft->device.place = pl_builder_place(draft->builder, cursor);
}

static void line_donor(struct pl_draft *draft, struct pl_cursor *cursor) {
  (void)cursor;
  draft->device.donor = true;
}

static void line_chassis(struct pl_draft *draft, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_name(cursor, "the name of a chassis");
  if (word == NULL)
    return;
  struct pl_fixup fixup = {PL_NONE,
                           word->text,
                           draft->part_lines ? draft->device.span : word->span};
  PL_PUSH(draft->builder->arena, &draft->fixups, fixup);
}

static void line_family(struct pl_draft *draft, struct pl_cursor *cursor) {
  const char *name = pl_cursor_words(cursor, NULL, "the fuse's family", NULL);
  if (name != NULL)
    draft->device.family = name;
}

static void line_output(struct pl_draft *draft, struct pl_cursor *cursor) {
  pl_cursor_range(cursor, PL_UNIT_CURRENT, &draft->device.idle_amps, &draft->device.speed_amps);
}

static void line_cranks(struct pl_draft *draft, struct pl_cursor *cursor) {
  pl_cursor_quantity(cursor, PL_UNIT_CURRENT, &draft->device.crank_amps);
  pl_cursor_need(cursor, "at");
  pl_cursor_quantity(cursor, PL_UNIT_VOLTAGE, &draft->device.crank_volts);
}

/* draws = "draws" ( power | current ) [ "at" volts ] . */
static void line_draws(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *device = &draft->device;
  const struct pl_word *word = pl_cursor_peek(cursor);
  double watts = NAN;
  if (pl_cursor_is_quantity(cursor, PL_UNIT_POWER))
    pl_cursor_quantity(cursor, PL_UNIT_POWER, &watts);
  else if (word != NULL && word->kind == PL_WORD && pl_cursor_peek_at(cursor, 1) == NULL &&
           strspn(word->text, "0123456789.") == strlen(word->text))
    pl_cursor_error(cursor,
                    word,
                    "expected watts or amps, found a number without a unit",
                    pl_arena_printf(draft->builder->arena,
                                    "write draws %s W or draws %s A",
                                    word->text,
                                    word->text));
  else
    pl_cursor_quantity(cursor, PL_UNIT_CURRENT, &device->load_amps);
  device->load_volts = NAN;
  if (pl_cursor_take(cursor, "at"))
    pl_cursor_quantity(cursor, PL_UNIT_VOLTAGE, &device->load_volts);
  if (cursor->failed)
    return;
  if (isnan(device->load_volts))
    device->load_volts =
        isnan(device->volts) ? draft->builder->harness->machine.volts : device->volts;
  if (!(device->load_volts > 0.0)) {
    pl_cursor_error(cursor, word, "the volts must be above zero", "write draws 40 W at 12 V");
    return;
  }
  if (!isnan(watts))
    device->load_amps = watts / device->load_volts;
  device->ohms = NAN;
}

static void line_steady(struct pl_draft *draft, struct pl_cursor *cursor) {
  (void)cursor;
  draft->law = PL_LAW_CURRENT;
}

static void line_steady_power(struct pl_draft *draft, struct pl_cursor *cursor) {
  (void)cursor;
  draft->law = PL_LAW_POWER;
}

static bool multiple(struct pl_cursor *cursor, double *value) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (!pl_cursor_quantity(cursor, PL_UNIT_MULTIPLE, value))
    return false;
  if (*value >= 1.0)
    return true;
  pl_cursor_error(cursor, word, "this is a multiple of its rated current, and not below 1", "");
  return false;
}

/* inrush = "inrush" multiple [ "," time ] . */
static void line_inrush(struct pl_draft *draft, struct pl_cursor *cursor) {
  if (!multiple(cursor, &draft->device.inrush))
    return;
  draft->device.inrush_seconds = NAN;
  if (pl_cursor_take_kind(cursor, PL_COMMA))
    pl_cursor_quantity(cursor, PL_UNIT_TIME, &draft->device.inrush_seconds);
}

static void line_locked(struct pl_draft *draft, struct pl_cursor *cursor) {
  multiple(cursor, &draft->device.locked);
}

static void line_spare(struct pl_draft *draft, struct pl_cursor *cursor) {
  (void)cursor;
  draft->device.spare = true;
}

static void line_self_exciting(struct pl_draft *draft, struct pl_cursor *cursor) {
  (void)cursor;
  draft->device.self_exciting = true;
}

static void line_needs(struct pl_draft *draft, struct pl_cursor *cursor) {
  pl_cursor_range(cursor, PL_UNIT_VOLTAGE, &draft->device.need_min, &draft->device.need_max);
}

static void line_signal(struct pl_draft *draft, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (pl_cursor_quantity(cursor, PL_UNIT_SHARE, &draft->device.signal_share) &&
      !(draft->device.signal_share >= 0.0 && draft->device.signal_share <= 1.0))
    pl_cursor_error(cursor, word, "the signal lies between 0 % and 100 % of its supply", "");
}

static void line_supply(struct pl_draft *draft, struct pl_cursor *cursor) {
  pl_draft_pin(draft, "supply", true, draft->device.span);
  pl_cursor_quantity(cursor, PL_UNIT_RESISTANCE, &draft->device.ohms);
}

static void line_changeover(struct pl_draft *draft, struct pl_cursor *cursor) {
  (void)cursor;
  pl_draft_pin(draft, "87a", true, draft->device.span);
}

static void line_suppression(struct pl_draft *draft, struct pl_cursor *cursor) {
  if (pl_cursor_take(cursor, "resistor")) {
    double ohms;
    if (pl_cursor_quantity(cursor, PL_UNIT_RESISTANCE, &ohms))
      draft->device.suppression = pl_arena_printf(draft->builder->arena,
                                                  "resistor %s",
                                                  pl_builder_quantity(draft->builder, ohms, "ohm"));
  } else if (pl_cursor_take(cursor, "diode")) {
    draft->device.suppression = "diode";
  } else if (pl_cursor_take(cursor, "none")) {
    draft->device.suppression = "none";
  } else {
    pl_cursor_error(cursor,
                    pl_cursor_peek(cursor),
                    "expected what quenches the coil",
                    "write suppression diode, suppression resistor 680 ohm or suppression none");
  }
}

static pl_id join_pin(struct pl_draft *draft, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_name(cursor, "the name of a pin");
  if (word == NULL)
    return PL_NONE;
  return pl_draft_pin(draft, word->text, true, word->span);
}

static void line_latching(struct pl_draft *draft, struct pl_cursor *cursor) {
  (void)cursor;
  draft->device.latching = true;
}

/* "reset" "coil" name "to" name . */
static void line_reset_coil(struct pl_draft *draft, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  draft->device.reset_a = join_pin(draft, cursor);
  pl_cursor_need(cursor, "to");
  draft->device.reset_b = join_pin(draft, cursor);
  if (!cursor->failed && draft->device.reset_a == draft->device.reset_b)
    pl_cursor_error(cursor, word, "a coil has two ends", "");
}

/* position = "position" name [ ":" join { "," join } ] [ "," "momentary" ] . */
static void line_position(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_throw position = {0};
  const struct pl_word *word = pl_cursor_name(cursor, "the name of a position");
  if (word == NULL)
    return;
  position.name = word->text;
  for (uint32_t i = 0; i < draft->device.throws.n; i++)
    if (strcmp(draft->device.throws.at[i].name, position.name) == 0)
      pl_cursor_error(cursor,
                      word,
                      pl_arena_printf(draft->builder->arena,
                                      "the position `%s` is described twice",
                                      position.name),
                      "");
  bool colon = pl_cursor_take_kind(cursor, PL_COLON);
  while (!pl_cursor_done(cursor)) {
    if (pl_cursor_take(cursor, "momentary")) {
      position.momentary = true;
    } else if (!colon) {
      pl_cursor_error(cursor,
                      pl_cursor_peek(cursor),
                      "expected a colon behind the position's name",
                      "write position run: B to IGN, B to ACC");
    } else {
      struct pl_join join;
      join.a = join_pin(draft, cursor);
      pl_cursor_need(cursor, "to");
      join.b = join_pin(draft, cursor);
      if (!cursor->failed)
        PL_PUSH(draft->builder->arena, &position.joins, join);
    }
    if (!pl_cursor_done(cursor) && !pl_cursor_take_kind(cursor, PL_COMMA))
      pl_cursor_error(cursor,
                      pl_cursor_peek(cursor),
                      "expected a comma between the joins",
                      "write position run: B to IGN, B to ACC");
  }
  if (!cursor->failed)
    PL_PUSH(draft->builder->arena, &draft->device.throws, position);
}

static void line_rests(struct pl_draft *draft, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_name(cursor, "the name of a position");
  if (word == NULL)
    return;
  draft->rests = word->text;
  if (draft->part_lines)
    draft->rests_span = draft->device.span;
  else
    draft->rests_span = word->span;
}

/* "poles" INTEGER . */
static void line_poles(struct pl_draft *draft, struct pl_cursor *cursor) {
  uint32_t poles;
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (!pl_cursor_count(cursor, 1000, &poles))
    return;
  if (poles < 2 || poles % 2 != 0)
    pl_cursor_error(cursor, word, "an alternator has an even number of poles, often 12 or 14", "");
  draft->device.poles = poles;
}

/* "pulleys" length "to" length . */
static void line_pulleys(struct pl_draft *draft, struct pl_cursor *cursor) {
  double engine = NAN;
  double own = NAN;
  const struct pl_word *word = pl_cursor_peek(cursor);
  pl_cursor_quantity(cursor, PL_UNIT_LENGTH, &engine);
  pl_cursor_need(cursor, "to");
  pl_cursor_quantity(cursor, PL_UNIT_LENGTH, &own);
  if (cursor->failed)
    return;
  if (engine > 0 && own > 0)
    draft->device.pulley_ratio = engine / own;
  else
    pl_cursor_error(cursor, word, "a pulley's diameter is above zero", "");
}

/* "pulses" number . */
static void line_pulses(struct pl_draft *draft, struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (pl_cursor_number(cursor, &draft->device.pulses) && !(draft->device.pulses > 0))
    pl_cursor_error(cursor, word, "this figure must be above zero", "");
}

/* "hears" name { "," name } . */
static void line_hears(struct pl_draft *draft, struct pl_cursor *cursor) {
  do {
    const struct pl_word *word = pl_cursor_name(cursor, "the name of a module");
    if (word == NULL)
      return;
    struct pl_heard heard = {word->text, draft->part_lines ? draft->device.span : word->span};
    PL_PUSH(draft->builder->arena, &draft->device.hears, heard);
  } while (pl_cursor_take_kind(cursor, PL_COMMA));
}

/* codes = "codes" name { name } ":" pattern { "," pattern } . */
static void line_codes(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_codes codes = {.span = draft->part_lines || pl_cursor_peek(cursor) == NULL
                                       ? draft->device.span
                                       : pl_cursor_peek(cursor)->span};
  const struct pl_word *word;
  while (!pl_cursor_done(cursor) && !pl_cursor_take_kind(cursor, PL_COLON)) {
    if ((word = pl_cursor_name(cursor, "the name of a pin")) == NULL)
      return;
    uint32_t pin = pl_draft_pin(draft, word->text, draft->silent, word->span);
    if (pin == PL_NONE) {
      pl_cursor_error(cursor,
                      word,
                      pl_arena_printf(draft->builder->arena,
                                      "%s has no pin `%s`",
                                      draft->device.name,
                                      word->text),
                      "write its pin rows before its codes");
      return;
    }
    PL_PUSH(draft->builder->arena, &codes.pins, pin);
  }
  do {
    if ((word = pl_cursor_name(cursor, "a code such as 0101")) == NULL)
      return;
    if (strspn(word->text, "01") != strlen(word->text) || strlen(word->text) != codes.pins.n) {
      pl_cursor_error(
          cursor,
          word,
          pl_arena_printf(draft->builder->arena,
                          "a code has one figure for each of the %u pins: 1 closed, 0 open",
                          codes.pins.n),
          "for example: codes A10 A11: 10, 01");
      return;
    }
    PL_PUSH(draft->builder->arena, &codes.legal, word->text);
  } while (pl_cursor_take_kind(cursor, PL_COMMA));
  if (!cursor->failed)
    PL_PUSH(draft->builder->arena, &draft->device.codes, codes);
}

struct line {
  const char *word;
  struct pl_fits fits;
  enum pl_unit unit; /* of a figure */
  size_t field;      /* in pl_device, of a figure; NO_FIELD: `read` */
  line_fn read;
  const char *example;
};
#define NO_FIELD SIZE_MAX

/* clang-format off */
static const struct line lines[] = {
#define PL_FIGURE(word, kinds, unit, field, aspect, example, other, help) \
  {word, kinds, PL_UNIT_##unit, offsetof(struct pl_device, field), NULL, example},
#define PL_LINE(word, kinds, read, told, example, other, help) \
  {word, kinds, PL_UNIT_LENGTH, NO_FIELD, read, example},
#include "model/facts.def"
};
/* clang-format on */
enum {
  LINE_COUNT = sizeof lines / sizeof lines[0]
};

static bool is_positive(enum pl_unit unit) {
  return unit != PL_UNIT_VOLTAGE;
}

bool pl_draft_line(struct pl_draft *draft, struct pl_cursor *cursor) {
  const struct pl_word *first = pl_cursor_peek(cursor);
  const struct pl_cursor before = *cursor;
  for (uint32_t i = 0; first != NULL && i < LINE_COUNT; i++) {
    const struct line *line = &lines[i];
    if (line->word[0] != first->text[0])
      continue;
    if (!pl_fits(&line->fits, draft->device.kind))
      continue;
    if (!pl_cursor_take_words(cursor, line->word))
      continue;
    if (line->read == pl_draft_line_signal &&
        !pl_cursor_is_quantity(cursor, PL_UNIT_SHARE)) { /* a row about the pin of that name */
      *cursor = before;
      continue;
    }
    cursor->example = line->example;
    if (line->field == NO_FIELD) {
      line->read(draft, cursor);
      return true;
    }
    const struct pl_word *word = pl_cursor_peek(cursor);
    double value = NAN;
    if (!pl_cursor_quantity(cursor, line->unit, &value))
      return true;
    if (is_positive(line->unit) ? !(value > 0.0) : !(value >= 0.0))
      pl_cursor_error(cursor, word, "this figure must be above zero", "");
    else
      *(double *)((char *)&draft->device + line->field) = value;
    return true;
  }
  return false;
}

void pl_draft_offer_words(const struct pl_draft *draft, struct pl_nearest *nearest) {
  for (uint32_t i = 0; i < LINE_COUNT; i++)
    if (pl_fits(&lines[i].fits, draft->device.kind))
      pl_nearest_offer(nearest, lines[i].word);
  pl_nearest_offer(nearest, "part");
  pl_nearest_offer(nearest, "pin");
}

const char *pl_draft_other_kinds(struct pl_draft *draft, const char *word) {
  struct pl_buffer kinds;
  pl_buffer_init(&kinds, draft->builder->arena);
  for (uint32_t i = 0; i < LINE_COUNT; i++) {
    size_t n = strcspn(lines[i].word, " ");
    if (strncmp(lines[i].word, word, n) != 0)
      continue;
    if (word[n] != '\0')
      continue;
    for (int kind = 0; kind < PL_KIND_COUNT; kind++)
      if (pl_fits(&lines[i].fits, (enum pl_kind)kind))
        pl_buffer_printf(&kinds, "%s%s", kinds.n > 0 ? ", " : "", pl_kind_name((enum pl_kind)kind));
  }
  if (kinds.n > 0)
    return kinds.at;
  return "";
}

const char *pl_builder_describes(struct pl_builder *builder, const struct pl_cursor *cursor) {
  struct pl_draft draft = {.builder = builder};
  const char *thing = pl_builder_describes_thing(cursor);
  if (thing[0] != '\0')
    return thing;
  for (uint32_t i = 0; i < LINE_COUNT; i++) {
    struct pl_cursor look = *cursor;
    if (!pl_cursor_take_words(&look, lines[i].word))
      continue;
    const char *kinds = pl_draft_other_kinds(&draft, pl_cursor_peek(cursor)->text);
    return strlen(kinds) <= 60 ? kinds : "device";
  }
  return "";
}

uint32_t pl_language_words(const struct pl_language_word **words, struct pl_arena *arena) {
  uint32_t n = 0;
  struct pl_language_word *list =
      PL_NEW_ARRAY(arena, struct pl_language_word, pl_opening_count + LINE_COUNT);
  for (uint32_t i = 0; i < pl_opening_count; i++)
    list[n++] = (struct pl_language_word){pl_openings[i].word, pl_openings[i].example};
  for (uint32_t i = 0; i < LINE_COUNT; i++)
    list[n++] = (struct pl_language_word){lines[i].word, lines[i].example};
  *words = list;
  return n;
}
