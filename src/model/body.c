/* Describing lines by table, for the statements that are not devices; and the statements about the
 * machine and where things are. */
#include <string.h>

#include "base/nearest.h"
#include "base/number.h"
#include "model/builder_inner.h"
#include "standard/wire.h"

static const struct pl_body_row *
find_row(struct pl_cursor *cursor, const struct pl_body_row *rows, uint32_t count) {
  for (uint32_t i = 0; i < count; i++)
    if (pl_cursor_take_words(cursor, rows[i].word))
      return &rows[i];
  return NULL;
}

bool pl_builder_body(struct pl_builder *builder,
                     struct pl_item *item,
                     const struct pl_body_row *rows,
                     uint32_t count,
                     void *target) {
  bool good = true;
  for (uint32_t i = 0; i < item->statement->body_count; i++) {
    struct pl_cursor cursor;
    pl_builder_open(builder, item, item->statement->body_first + i, NULL, &cursor);
    const struct pl_word *word = pl_cursor_peek(&cursor);
    const struct pl_body_row *row = find_row(&cursor, rows, count);
    if (row == NULL) {
      struct pl_nearest nearest;
      pl_nearest_init(&nearest, word->text);
      for (uint32_t k = 0; k < count; k++)
        pl_nearest_offer(&nearest, rows[k].word);
      pl_cursor_error(&cursor,
                      word,
                      pl_arena_printf(builder->arena,
                                      "`%s` does not describe a %s",
                                      word->text,
                                      item->opening->word),
                      pl_builder_mean(builder, &nearest));
    } else {
      cursor.example = row->example;
      if (target == &builder->harness->machine)
        pl_table_add(&builder->machine_said, row->word, i);
      row->read(builder, &cursor, target);
      pl_cursor_end(&cursor);
    }
    good = good && !cursor.failed;
  }
  return good;
}

/* ---- machine ---- */

static void machine_supply(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_machine *machine = target;
  const struct pl_word *word = pl_cursor_peek(cursor);
  (void)builder;
  if (pl_cursor_quantity(cursor, PL_UNIT_VOLTAGE, &machine->volts) &&
      !(machine->volts > 0.0 && machine->volts <= 60.0))
    pl_cursor_error(cursor,
                    word,
                    "the supply must lie above 0 V and at most 60 V",
                    "write supply 12 V or supply 24 V");
}

/* One of two words: sets `chosen` by which. */
static void take_either(struct pl_cursor *cursor,
                        const char *yes,
                        const char *no,
                        bool *chosen,
                        const char *expected,
                        const char *remedy) {
  if (pl_cursor_take(cursor, yes))
    *chosen = true;
  else if (!pl_cursor_take(cursor, no))
    pl_cursor_error(cursor, pl_cursor_peek(cursor), expected, remedy);
}

static void machine_earth(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_machine *machine = target;
  (void)builder;
  take_either(cursor,
              "positive",
              "negative",
              &machine->positive_earth,
              "expected which battery pole is earthed",
              "write earth negative or earth positive");
}

static void share(struct pl_cursor *cursor, double *value) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (pl_cursor_quantity(cursor, PL_UNIT_SHARE, value) && (*value <= 0.0 || *value > 1.0))
    pl_cursor_error(cursor, word, "a share lies above 0 % and at most 100 %", "");
}

static void machine_drop(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  share(cursor, &((struct pl_machine *)target)->drop_limit);
}

static void machine_fuse_share(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  share(cursor, &((struct pl_machine *)target)->fuse_share);
}

static void machine_slack(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  pl_cursor_quantity(cursor, PL_UNIT_SHARE, &((struct pl_machine *)target)->slack);
}

static void machine_tail(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  pl_cursor_quantity(cursor, PL_UNIT_LENGTH, &((struct pl_machine *)target)->tail);
}

static void machine_spare(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  const struct pl_word *word = pl_cursor_peek(cursor);
  double *spare = &((struct pl_machine *)target)->spare;
  if (pl_cursor_quantity(cursor, PL_UNIT_SHARE, spare) && *spare < 0.0)
    pl_cursor_error(cursor, word, "a spare share is not below zero", "write spare 10 %");
}

static void machine_insulation(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_span span;
  const struct pl_word *word = pl_cursor_peek(cursor);
  const char *name = pl_cursor_words(cursor, NULL, "the name of an insulation", &span);
  if (name == NULL)
    return;
  uint32_t row = pl_insulation_find(name);
  if (row != UINT32_MAX) {
    ((struct pl_machine *)target)->insulation = row;
    return;
  }
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, name);
  for (uint32_t i = 0; i < pl_insulation_count; i++)
    pl_nearest_offer(&nearest, pl_insulations[i].name);
  pl_cursor_error(cursor,
                  word,
                  pl_arena_printf(builder->arena, "no insulation is called `%s`", name),
                  nearest.best != NULL ? pl_builder_mean(builder, &nearest)
                                       : "known are GXL, TXL, SXL, GPT, PVC and ISO A to ISO H");
}

static void machine_units(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_machine *machine = target;
  (void)builder;
  bool us = false;
  take_either(cursor,
              "us",
              "metric",
              &us,
              "expected the units of the sheets",
              "write units metric or units us");
  if (us)
    machine->units = PL_UNITS_US;
}

static void machine_labels(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_machine *machine = target;
  (void)builder;
  take_either(cursor,
              "flag",
              "sleeve",
              &machine->flags,
              "expected what wires are labelled with",
              "write labels sleeve or labels flag");
}

static void take_text(struct pl_cursor *cursor, const char *what, const char **target) {
  const char *text = pl_cursor_text(cursor, what);
  if (text != NULL)
    *target = text;
}

static void machine_revision(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  take_text(cursor, "the revision", &((struct pl_machine *)target)->revision);
}

static void machine_author(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  take_text(cursor, "who drew it", &((struct pl_machine *)target)->author);
}

static void machine_date(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  take_text(cursor, "the date", &((struct pl_machine *)target)->date);
}

/* clang-format off */
static const struct pl_body_row machine_rows[] = {
#define PL_MACHINE_LINE(word, read, told, example, other, help) {word, read, example},
#include "model/facts.def"
};
/* clang-format on */

/* machine = "machine" TEXT . */
void pl_read_machine(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  const struct pl_word *word = pl_cursor_next(&cursor);
  struct pl_machine *machine = &builder->harness->machine;
  if (builder->machine_seen) {
    pl_cursor_error(&cursor,
                    word,
                    "the machine is described a second time",
                    "one harness has one machine: take one of them out");
    return;
  }
  builder->machine_seen = true;
  take_text(&cursor, "the machine's title", &machine->title);
  pl_cursor_end(&cursor);
  machine->span = word->span;
  pl_builder_body(builder,
                  item,
                  machine_rows,
                  sizeof machine_rows / sizeof machine_rows[0],
                  machine);
}

/* ---- places ---- */

static void place_temperature(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_place *place = target;
  (void)builder;
  pl_cursor_range(cursor, PL_UNIT_TEMPERATURE, &place->cold, &place->hot);
}

static void place_engine(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  (void)cursor;
  ((struct pl_place *)target)->engine_space = true;
}

static void place_inside(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  (void)cursor;
  ((struct pl_place *)target)->inside = true;
}

static void place_reach(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  static const char *const words[] = {"easy", "middling", "hard"};
  (void)builder;
  for (int i = 0; i < 3; i++)
    if (pl_cursor_take(cursor, words[i])) {
      ((struct pl_place *)target)->reach = i + 1;
      return;
    }
  pl_cursor_error(cursor,
                  pl_cursor_peek(cursor),
                  "expected how hard it is to get a meter there",
                  "write reach easy, reach middling or reach hard");
}

/* clang-format off */
static const struct pl_body_row place_rows[] = {
#define PL_PLACE_LINE(word, read, told, example, other, help) {word, read, example},
#include "model/facts.def"
};
/* clang-format on */

/* place = "place" name [ TEXT ] [ range ] . */
void pl_read_place(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  pl_cursor_next(&cursor);
  struct pl_place place = pl_place_blank();
  const struct pl_word *word = pl_cursor_name(&cursor, "the name of a place");
  if (word == NULL)
    return;
  place.name = word->text;
  place.span = word->span;
  place.text = pl_cursor_text_if(&cursor);
  if (pl_cursor_is_range(&cursor, PL_UNIT_TEMPERATURE))
    pl_cursor_range(&cursor, PL_UNIT_TEMPERATURE, &place.cold, &place.hot);
  if (place.text[0] != '\0')
    pl_cursor_end(&cursor);
  else
    pl_builder_end(builder, &cursor, false);
  if (!pl_builder_body(builder,
                       item,
                       place_rows,
                       sizeof place_rows / sizeof place_rows[0],
                       &place) ||
      cursor.failed)
    pl_table_add(&builder->broken, place.name, 0);
  else if (!pl_table_add(&builder->places,
                         place.name,
                         pl_harness_add_place(builder->harness, place)))
    pl_cursor_error(&cursor,
                    word,
                    pl_arena_printf(builder->arena, "the place `%s` is declared twice", place.name),
                    "give one of them another name");
}

/* ---- runs ---- */

static void run_length(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  pl_cursor_quantity(cursor, PL_UNIT_LENGTH, &((struct pl_run *)target)->length);
}

static void run_covering(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_run *run = target;
  struct pl_buffer words;
  const struct pl_word *word;
  pl_buffer_init(&words, builder->arena);
  if (pl_cursor_done(cursor)) {
    pl_cursor_error(cursor, NULL, "expected what covers the wires", "");
    return;
  }
  while (!pl_cursor_done(cursor)) {
    if (pl_cursor_is_quantity(cursor, PL_UNIT_LENGTH)) {
      double metres;
      char number[PL_NUMBER_SIZE];
      if (!pl_cursor_quantity(cursor, PL_UNIT_LENGTH, &metres))
        return;
      run->bore = metres * 1000.0;
      pl_buffer_printf(&words,
                       "%s%s mm",
                       words.n > 0 ? " " : "",
                       pl_number_print(number, run->bore, 4));
    } else if ((word = pl_cursor_next(cursor)) != NULL) {
      pl_buffer_printf(&words, "%s%s", words.n > 0 ? " " : "", word->text);
    }
  }
  run->covering = words.at;
}

static void run_temperature(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_run *run = target;
  (void)builder;
  pl_cursor_range(cursor, PL_UNIT_TEMPERATURE, &run->cold, &run->hot);
}

static void run_engine(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  (void)cursor;
  ((struct pl_run *)target)->engine_space = true;
}

/* clang-format off */
static const struct pl_body_row run_rows[] = {
#define PL_RUN_LINE(word, read, told, example, other, help) {word, read, example},
#include "model/facts.def"
};
/* clang-format on */

/* run = "run" name "to" name . */
void pl_read_run(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  const struct pl_word *word = pl_cursor_next(&cursor);
  struct pl_run run =
      {.length = NAN, .covering = "", .bore = NAN, .cold = NAN, .hot = NAN, .span = word->span};
  run.a = pl_builder_place(builder, &cursor);
  pl_cursor_need(&cursor, "to");
  run.b = pl_builder_place(builder, &cursor);
  pl_cursor_end(&cursor);
  bool good = pl_builder_body(builder, item, run_rows, sizeof run_rows / sizeof run_rows[0], &run);
  if (cursor.failed || !good)
    return;
  if (item->lost_lines || run.a == PL_NONE)
    return;
  if (run.b == PL_NONE)
    return;
  if (run.a == run.b) {
    pl_cursor_error(&cursor,
                    word,
                    "this run ends where it begins",
                    "a run joins two different places");
    return;
  }
  if (!(run.length > 0.0)) {
    pl_cursor_error(&cursor, word, "this run has no length", "add an indented line: length 1.8 m");
    return;
  }
  const struct pl_place *a = &builder->harness->places.at[run.a];
  const struct pl_place *b = &builder->harness->places.at[run.b];
  if (isnan(run.hot)) {
    run.cold = fmin(a->cold, b->cold);
    run.hot = fmax(a->hot, b->hot);
  }
  run.engine_space = run.engine_space || a->engine_space || b->engine_space;
  PL_PUSH(builder->arena, &builder->harness->runs, run);
}

/* ---- terminals ---- */

/* "20..16 AWG" or "0.5..1.5 mm2": two sizes with one unit; written as a range the lexer keeps as
 * one word. */
static void terminal_crimp(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_terminal *terminal = target;
  const struct pl_word *range = pl_cursor_peek(cursor);
  const struct pl_word *unit = pl_cursor_peek_at(cursor, 1);
  const char *dots = NULL;
  if (range != NULL)
    dots = strstr(range->text, "..");
  double low = 0.0;
  double high = 0.0;
  size_t used = 0;
  if (dots != NULL && unit != NULL && strcmp(unit->text, "AWG") == 0) {
    int a, b;
    if (pl_awg_parse(pl_arena_strndup(builder->arena, range->text, (size_t)(dots - range->text)),
                     &a) &&
        pl_awg_parse(dots + 2, &b)) {
      low = fmin(pl_awg_area_mm2(a), pl_awg_area_mm2(b));
      high = fmax(pl_awg_area_mm2(a), pl_awg_area_mm2(b));
    }
  } else if (dots != NULL && unit != NULL &&
             (strcmp(unit->text, "mm2") == 0 || strcmp(unit->text, "mm\xc2\xb2") == 0)) {
    if (!pl_number_parse(range->text, (size_t)(dots - range->text), &low, &used) ||
        !pl_number_parse(dots + 2, strlen(dots + 2), &high, &used))
      low = high = 0.0;
  }
  if (!(low > 0.0 && high >= low)) {
    pl_cursor_error(cursor,
                    range,
                    "expected the wire sizes the crimp takes, from the smallest to the largest",
                    "write crimp 0.5..1.5 mm2 or crimp 20..16 AWG");
    return;
  }
  pl_cursor_next(cursor);
  pl_cursor_next(cursor);
  terminal->area_min = low;
  terminal->area_max = high;
}

static void
terminal_insulation(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  struct pl_terminal *terminal = target;
  double low, high;
  (void)builder;
  if (!pl_cursor_range(cursor, PL_UNIT_LENGTH, &low, &high))
    return;
  terminal->od_min = low * 1000.0;
  terminal->od_max = high * 1000.0;
}

static void terminal_rating(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  pl_cursor_quantity(cursor, PL_UNIT_CURRENT, &((struct pl_terminal *)target)->amps);
}

static void terminal_contact(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  pl_cursor_quantity(cursor, PL_UNIT_RESISTANCE, &((struct pl_terminal *)target)->ohms);
}

static void terminal_wires(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  (void)builder;
  pl_cursor_count(cursor, 100, &((struct pl_terminal *)target)->wires_max);
}

static void terminal_strip(struct pl_builder *builder, struct pl_cursor *cursor, void *target) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  double *strip = &((struct pl_terminal *)target)->strip;
  (void)builder;
  if (pl_cursor_quantity(cursor, PL_UNIT_LENGTH, strip) && !(*strip > 0.0))
    pl_cursor_error(cursor, word, "this figure must be above zero", "write strip 5 mm");
}

/* clang-format off */
static const struct pl_body_row terminal_rows[] = {
#define PL_TERMINAL_LINE(word, read, told, example, other, help) {word, read, example},
#include "model/facts.def"
};
/* clang-format on */

/* terminal = "terminal" words . */
void pl_read_terminal(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  const struct pl_word *word = pl_cursor_next(&cursor);
  struct pl_terminal terminal = {.area_min = NAN,
                                 .area_max = NAN,
                                 .od_min = NAN,
                                 .od_max = NAN,
                                 .amps = NAN,
                                 .ohms = 0.005,
                                 .wires_max = 1};
  terminal.name = pl_cursor_words(&cursor, NULL, "the name of a terminal family", &terminal.span);
  pl_cursor_end(&cursor);
  if (terminal.name == NULL)
    return;
  bool good = pl_builder_body(builder,
                              item,
                              terminal_rows,
                              sizeof terminal_rows / sizeof terminal_rows[0],
                              &terminal);
  if (!good || cursor.failed) {
    pl_table_add(&builder->broken, terminal.name, 0);
    return;
  }
  uint32_t known;
  if (pl_table_find(&builder->terminals, terminal.name, &known)) {
    if (item->shipped)
      return; /* the user's own family of that name wins */
    pl_cursor_error(&cursor,
                    word,
                    pl_arena_printf(builder->arena,
                                    "the terminal family `%s` is declared twice",
                                    terminal.name),
                    "give one of them another name");
    return;
  }
  PL_PUSH(builder->arena, &builder->harness->terminals, terminal);
  pl_table_add(&builder->terminals, terminal.name, builder->harness->terminals.n - 1);
}

/* ---- lines that lost their indent ---- */

const char *pl_builder_describes_thing(const struct pl_cursor *cursor) {
  static const struct pl_body_row state_rows[] = {{"lasts", NULL, NULL},
                                                  {"engine stopped", NULL, NULL},
                                                  {"engine cranking", NULL, NULL},
                                                  {"engine idle", NULL, NULL},
                                                  {"engine speed", NULL, NULL}};
  const struct pl_word *second = pl_cursor_peek_at(cursor, 1);
#define THING(name, rows) \
  { name, rows, sizeof rows / sizeof rows[0] }
  static const struct {
    const char *name;
    const struct pl_body_row *rows;
    size_t count;
  } things[] = {THING("machine", machine_rows),
                THING("place", place_rows),
                THING("run", run_rows),
                THING("state", state_rows)};
#undef THING
  for (size_t i = 0; i < sizeof things / sizeof things[0]; i++)
    for (size_t k = 0; k < things[i].count; k++) {
      struct pl_cursor look = *cursor;
      if (pl_cursor_take_words(&look, things[i].rows[k].word))
        return things[i].name;
    }
  if (second != NULL && second->kind == PL_WORD &&
      (strcmp(second->text, "in") == 0 || strcmp(second->text, "on") == 0))
    return "state";
  return "";
}
