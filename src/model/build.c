/* The order of building: files opened one into another, statements sorted out by their opening
 * word, then read in passes so that a name may be used before the line that declares it. */
#include "model/build.h"

#include <string.h>
#include <strings.h>

#include "base/digest.h"
#include "base/limits.h"
#include "base/nearest.h"
#include "base/number.h"
#include "model/builder_inner.h"
#include "model/facts.h"
#include "model/parts_data.h"
#include "standard/wire.h"

static enum pl_file_status read_disk(void *context,
                                     struct pl_arena *arena,
                                     const char *path,
                                     const char **text,
                                     size_t *size) {
  (void)context;
  return pl_file_read(arena, path, text, size);
}

const struct pl_reader pl_reader_disk = {read_disk, NULL};

static enum pl_file_status read_text(void *context,
                                     struct pl_arena *arena,
                                     const char *path,
                                     const char **text,
                                     size_t *size) {
  (void)arena;
  (void)path;
  *text = context;
  *size = strlen(*text);
  return PL_FILE_OK;
}

struct pl_reader pl_reader_text(const char *text) {
  return (struct pl_reader){read_text, (void *)(uintptr_t)text}; /* it is only read */
}

/* ---- small things for the whole room ---- */

void pl_builder_open(struct pl_builder *builder,
                     const struct pl_item *item,
                     uint32_t line,
                     const char *example,
                     struct pl_cursor *cursor) {
  pl_cursor_open(cursor, item->tree, line, example, builder->findings);
}

void pl_builder_fault(struct pl_builder *builder,
                      struct pl_span span,
                      const char *rule,
                      const char *place,
                      const char *text,
                      const char *remedy) {
  pl_findings_add(builder->findings,
                  (struct pl_finding){.rule = rule,
                                      .severity = PL_FAULT,
                                      .span = span,
                                      .place = place,
                                      .figure = NAN,
                                      .limit = NAN,
                                      .text = text,
                                      .remedy = remedy});
}

void pl_builder_default(struct pl_builder *builder,
                        const char *what,
                        const char *value,
                        const char *source) {
  struct pl_default used = {what, value, source};
  PL_PUSH(builder->arena, &builder->harness->defaults, used);
}

const char *pl_builder_quantity(struct pl_builder *builder, double value, const char *unit) {
  char number[PL_NUMBER_SIZE];
  return pl_arena_printf(builder->arena, "%s %s", pl_number_print(number, value, 4), unit);
}

const char *pl_builder_mean(struct pl_builder *builder, const struct pl_nearest *nearest) {
  if (nearest->best == NULL)
    return "";
  return pl_arena_printf(builder->arena, "did you mean `%s`?", nearest->best);
}

/* ---- opening words ---- */

const struct pl_opening *pl_opening_match(const struct pl_cursor *cursor) {
  const struct pl_word *first = pl_cursor_peek(cursor);
  for (uint32_t i = 0; first != NULL && i < pl_opening_count; i++) {
    if (pl_openings[i].word[0] != first->text[0])
      continue;
    struct pl_cursor look = *cursor;
    if (pl_cursor_take_words(&look, pl_openings[i].word))
      return &pl_openings[i];
  }
  return NULL;
}

/* Words of the trade that a line is begun with, and what opens the thing here. */
static const struct {
  const char *word, *remedy;
} trade_words[] = {
    {"wire", "write wires of CIRCUIT at the margin, then one row for every wire"},
    {"wires", "say of which circuit: wires of work lights"},
    {"circuits", "write wires of CIRCUIT at the margin, then one row for every wire"},
    {"light", "a light is a `lamp`"},
    {"bulb", "a bulb is a `lamp`"},
    {"led", "a light is a `lamp`"},
    {"button", "a push button is a `switch` with a `momentary` position"},
    {"contactor", "a contactor is a `relay`"},
    {"generator", "a generator that charges the battery is an `alternator`"},
    {"ground", "a ground stud is a `stud`, a steel frame is a `chassis`"},
    {"earth", "an earth stud is a `stud`, a steel frame is a `chassis`"},
    {"frame", "a steel frame is a `chassis`"},
    {"terminals", "a post that takes several cables is a `stud`"},
    {"busbar", "a busbar is a `stud`"},
    {"joint", "a joint of wires is a `splice`"},
    {"ecu", "a controller is a `module`"},
    {"ecm", "a controller is a `module`"},
    {"controller", "a controller is a `module`"},
    {"engine", "an engine is no device: a `place` says where it is, a `module` is its controller"},
    {"valve", "a valve moved by current is a `solenoid`"},
    {"coil", "a coil is a `solenoid`; that of a relay belongs to its `relay`"},
    {"plug", "a glow plug is a `heater`, a mated pair of connectors is an `inline`"},
    {"glow", "a glow plug is a `heater`"},
    {"hour", "what only draws current is a `load`"},
    {"meter", "a meter that only draws current is a `load`, one with a sender is a `gauge`"},
    {"radio", "what only draws current is a `load`"},
    {"key", "a key switch is a `switch`"},
    {"main", "begin with the kind of thing: fuse F1 \"main fuse\", disconnect Q1 \"main switch\""},
};

static const char *trade_word(const char *word) {
  for (size_t i = 0; i < sizeof trade_words / sizeof trade_words[0]; i++)
    if (strcasecmp(word, trade_words[i].word) == 0)
      return trade_words[i].remedy;
  return NULL;
}

/* One of the words behind an unknown opening is what the thing was to be called: it stays silent
 * elsewhere. */
static void mark_broken(struct pl_builder *builder, const struct pl_cursor *cursor) {
  const struct pl_word *name;
  for (uint32_t i = 1; (name = pl_cursor_peek_at(cursor, i)) != NULL && name->kind == PL_WORD &&
                       strcmp(name->text, "at") != 0;
       i++)
    pl_table_add(&builder->broken, name->text, 0);
}

static const char *
opening_remedy(struct pl_builder *builder, const struct pl_cursor *cursor, bool row) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  const struct pl_word *next = pl_cursor_peek_at(cursor, 1);
  struct pl_nearest nearest;
  if (strncmp(word->text, "//", 2) == 0)
    return "a comment begins with #";
  if (word->text[0] == ';')
    return "a comment begins with #";
  if (row)
    return "rows of a wire list stand below a line that says of which circuit: wires of work "
           "lights";
  const char *things = pl_builder_describes(builder, cursor);
  const char *trade = trade_word(word->text);
  bool figure = next != NULL && next->kind == PL_WORD &&
                (next->text[0] == '-' || (next->text[0] >= '0' && next->text[0] <= '9'));
  if (things[0] != '\0' &&
      (figure || trade == NULL || pl_builder_describes_thing(cursor)[0] != '\0')) {
    if (builder->items.n > 0)
      builder->items.at[builder->items.n - 1].lost_lines = true;
    return pl_arena_printf(builder->arena,
                           "`%s` describes a %s: indent the line and put it below one",
                           word->text,
                           things);
  }
  if (trade != NULL)
    return trade;
  pl_nearest_init(&nearest, word->text);
  for (uint32_t i = 0; i < pl_opening_count; i++)
    pl_nearest_offer(&nearest, pl_openings[i].word);
  if (nearest.best != NULL)
    return pl_builder_mean(builder, &nearest);
  return "a line at the margin begins with a kind of thing (fuse, relay, "
         "module, place, run, wires of, state ...); "
         "lines that describe it are indented";
}

static void unknown_opening(struct pl_builder *builder, struct pl_cursor *cursor, bool row) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  mark_broken(builder, cursor);
  pl_cursor_error(
      cursor,
      word,
      pl_arena_printf(builder->arena, "`%s` does not open anything at the margin", word->text),
      opening_remedy(builder, cursor, row));
}

/* ---- files ---- */

static void read_file(struct pl_builder *builder, const char *path, struct pl_cursor *includer);

/* include = "include" TEXT . */
static void open_include(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  pl_builder_open(builder, item, item->statement->line, "include \"engine.loom\"", &cursor);
  pl_cursor_next(&cursor);
  const struct pl_word *word = pl_cursor_peek(&cursor);
  const char *name = pl_cursor_text(&cursor, "the name of a file");
  if (!pl_cursor_end(&cursor))
    return;
  const char *from = builder->sources->files.at[word->span.file].path;
  cursor.failed = false;
  struct pl_cursor at = cursor;
  at.at = (uint32_t)(word - cursor.tree->words.at);
  read_file(builder, pl_path_beside(builder->arena, from, name), &at);
}

static const char *cycle_text(struct pl_builder *builder, uint32_t from, const char *path) {
  struct pl_buffer chain;
  pl_buffer_init(&chain, builder->arena);
  for (uint32_t i = from; i < builder->chain.n; i++)
    pl_buffer_printf(&chain, "%s -> ", builder->chain.at[i]);
  return pl_arena_printf(builder->arena, "this file includes itself: %s%s", chain.at, path);
}

/* An error of a file: at the include that named it, or without a place when it is the first file.
 */
static void file_error(struct pl_builder *builder,
                       struct pl_cursor *includer,
                       const char *text,
                       const char *remedy) {
  if (includer != NULL)
    pl_cursor_error(includer, pl_cursor_peek(includer), text, remedy);
  else
    pl_findings_error(builder->findings, PL_NO_SPAN, text, remedy);
}

/* Rows at the margin: cells separated by tabs, or a line that begins with a number, where no word
 * opens anything. */
static bool is_row(const struct pl_item *item) {
  const struct pl_line *line = &item->tree->lines.at[item->statement->line];
  const struct pl_word *word = &item->tree->words.at[line->first];
  if (line->tabbed)
    return true;
  return word->kind == PL_WORD && word->text[0] >= '0' && word->text[0] <= '9';
}

/* Rows pasted at the margin below `wires of` count as its describing lines. */
static bool take_pasted_row(struct pl_builder *builder, const struct pl_item *item) {
  if (builder->items.n == 0)
    return false;
  struct pl_item *wires = &builder->items.at[builder->items.n - 1];
  uint32_t next = wires->statement->body_first + wires->statement->body_count;
  if (wires->tree != item->tree)
    return false;
  if (wires->opening->read != pl_read_wires)
    return false;
  if (item->statement->line != next)
    return false;
  struct pl_statement *longer = PL_NEW(builder->arena, struct pl_statement);
  *longer = *wires->statement;
  longer->body_count += 1 + item->statement->body_count;
  wires->statement = longer;
  return true;
}

static void read_tree(struct pl_builder *builder, uint32_t file, bool shipped) {
  struct pl_tree *tree = PL_NEW(builder->arena, struct pl_tree);
  pl_tree_init(tree, builder->arena);
  uint32_t before = builder->findings->errors;
  pl_tree_read(tree, builder->sources, file, builder->findings);
  builder->lines_lost = builder->lines_lost || builder->findings->errors != before;
  bool headless = false; /* the line above rows at the margin was not understood: what the rows say
                            stays unsaid */
  for (uint32_t i = 0; i < tree->statements.n; i++) {
    struct pl_item item = {.tree = tree, .statement = &tree->statements.at[i], .shipped = shipped};
    struct pl_cursor cursor;
    pl_builder_open(builder, &item, item.statement->line, NULL, &cursor);
    if (pl_cursor_is(&cursor, "include")) {
      open_include(builder, &item);
      continue;
    }
    item.opening = pl_opening_match(&cursor);
    if (item.opening != NULL) {
      PL_PUSH(builder->arena, &builder->items, item);
      headless = false;
    } else if (is_row(&item) && headless) {
      mark_broken(builder, &cursor);
    } else if (!is_row(&item) || !take_pasted_row(builder, &item)) {
      unknown_opening(builder, &cursor, is_row(&item));
      headless = true;
    }
  }
}

static void read_file(struct pl_builder *builder, const char *path, struct pl_cursor *includer) {
  for (uint32_t i = 0; i < builder->chain.n; i++)
    if (strcmp(builder->chain.at[i], path) == 0) {
      file_error(builder, includer, cycle_text(builder, i, path), "take one of these includes out");
      return;
    }
  for (uint32_t i = 0; i < builder->files.n; i++)
    if (strcmp(builder->files.at[i], path) == 0)
      return;
  if (builder->chain.n >= PL_LIMIT_DEPTH || builder->files.n >= PL_LIMIT_FILES) {
    file_error(builder,
               includer,
               builder->files.n >= PL_LIMIT_FILES ? "too many files for one harness"
                                                  : "includes are nested too deep",
               "include the files from fewer places");
    return;
  }
  const char *text;
  size_t size;
  enum pl_file_status status =
      builder->reader->read(builder->reader->context, builder->arena, path, &text, &size);
  if (status != PL_FILE_OK) {
    const char *longer = pl_arena_printf(builder->arena, "%s.loom", path);
    const char *remedy = "";
    if (includer != NULL)
      remedy = "the name is relative to the file that includes it";
    else if (status == PL_FILE_MISSING && builder->reader->read(builder->reader->context,
                                                                builder->arena,
                                                                longer,
                                                                &text,
                                                                &size) == PL_FILE_OK)
      remedy = pl_arena_printf(builder->arena, "did you mean %s?", longer);
    file_error(
        builder,
        includer,
        pl_arena_printf(builder->arena, "cannot read %s: %s", path, pl_file_status_text(status)),
        remedy);
    return;
  }
  PL_PUSH(builder->arena, &builder->files, path);
  PL_PUSH(builder->arena, &builder->chain, path);
  read_tree(builder, pl_sources_add(builder->sources, path, text, size), false);
  builder->chain.n--;
}

static void read_shipped(struct pl_builder *builder) {
  for (unsigned i = 0; i < pl_parts_count; i++) {
    const struct pl_parts_file *part = &pl_parts_files[i];
    const char *path = pl_arena_printf(builder->arena, "<parts>/%s", part->name);
    char *text = pl_arena_strndup(builder->arena, (const char *)part->text, part->size);
    read_tree(builder, pl_sources_add(builder->sources, path, text, part->size), true);
  }
}

/* ---- passes ---- */

/* Counts what the statements declare; most devices have two pins, more come with connectors. */
static void reserve(struct pl_builder *builder) {
  uint32_t devices = 0;
  uint32_t wires = 0;
  for (uint32_t i = 0; i < builder->items.n; i++) {
    const struct pl_item *item = &builder->items.at[i];
    devices += item->opening->read == pl_read_device;
    if (item->opening->read == pl_read_wires)
      wires += item->statement->body_count;
  }
  pl_harness_reserve(builder->harness, devices, 2 * devices, wires);
}

static void run_pass(struct pl_builder *builder, enum pl_pass pass) {
  for (uint32_t i = 0; i < builder->items.n; i++) {
    struct pl_item *item = &builder->items.at[i];
    if (item->opening->pass != pass)
      continue;
    item->opening->read(builder, item);
  }
}

/* What the machine does not say, as facts.def has it. */
static void list_defaults(struct pl_builder *builder) {
  const struct pl_machine *machine = &builder->harness->machine;
  uint32_t line;
  for (uint32_t i = 0; i < pl_machine_default_count; i++) {
    const struct pl_machine_default *row = &pl_machine_defaults[i];
    double value = *(const double *)(const void *)((const char *)machine + row->field);
    if (pl_table_find(&builder->machine_said, row->word, &line))
      continue;
    pl_builder_default(builder,
                       row->word,
                       pl_builder_quantity(builder, value * row->scale, row->limit->unit),
                       row->source[0] != '\0' ? row->source : row->limit->source);
  }
  if (!pl_table_find(&builder->machine_said, "insulation", &line))
    pl_builder_default(builder,
                       "insulation",
                       pl_insulations[machine->insulation].name,
                       "common practice");
}

static void builder_init(struct pl_builder *builder,
                         const struct pl_reader *reader,
                         struct pl_sources *sources,
                         struct pl_findings *findings,
                         struct pl_harness *harness) {
  *builder = (struct pl_builder){.arena = harness->arena,
                                 .sources = sources,
                                 .findings = findings,
                                 .harness = harness,
                                 .reader = reader};
  pl_table_init(&builder->machine_said, builder->arena);
  pl_table_init(&builder->parts, builder->arena);
  pl_table_init(&builder->terminals, builder->arena);
  pl_table_init(&builder->places, builder->arena);
  pl_table_init(&builder->broken, builder->arena);
  pl_table_init(&builder->unknown_names, builder->arena);
  pl_table_add(&builder->terminals, harness->terminals.at[0].name, 0);
  harness->machine.insulation = PL_INSULATION_DEFAULT;
}

void pl_build_digest(const struct pl_sources *sources, struct pl_harness *harness) {
  struct pl_digest digest;
  char hex[65];
  pl_digest_init(&digest);
  for (uint32_t i = 0; i < harness->texts; i++)
    pl_digest_add(&digest, sources->files.at[i].text, sources->files.at[i].size);
  pl_digest_finish(&digest, hex);
  harness->digest = pl_arena_strdup(harness->arena, hex);
}

bool pl_build(const char *path,
              const struct pl_reader *reader,
              struct pl_sources *sources,
              struct pl_findings *findings,
              struct pl_harness *harness) {
  struct pl_builder builder;
  builder_init(&builder, reader, sources, findings, harness);
  read_file(&builder, path, NULL);
  harness->texts = sources->files.n;
  read_shipped(&builder);
  reserve(&builder);
  run_pass(&builder, PL_PASS_FIRST);
  run_pass(&builder, PL_PASS_DEVICES);
  pl_build_fixups(&builder);
  pl_build_measures(&builder);
  run_pass(&builder, PL_PASS_WIRES);
  run_pass(&builder, PL_PASS_STATES);
  pl_builder_unknowns(&builder);
  if (findings->errors > 0)
    return false;
  if (harness->states.n == 0) {
    struct pl_state rest = pl_state_blank();
    rest.name = "rest";
    rest.title = "Everything at rest";
    rest.span = harness->machine.span;
    PL_PUSH(builder.arena, &harness->states, rest);
    pl_builder_default(&builder,
                       "state",
                       "rest (every switch at rest, engine stopped)",
                       "no state is declared");
  }
  pl_build_routes(&builder);
  list_defaults(&builder);
  return true;
}

void pl_build_list_parts(struct pl_arena *arena, struct pl_part_entry **entries, uint32_t *count) {
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_builder builder;
  pl_sources_init(&sources, arena);
  pl_findings_init(&findings, arena);
  pl_harness_init(&harness, arena);
  builder_init(&builder, &pl_reader_disk, &sources, &findings, &harness);
  read_shipped(&builder);
  PL_VEC(struct pl_part_entry) list = {0};
  for (uint32_t i = 0; i < builder.items.n; i++) {
    struct pl_item *item = &builder.items.at[i];
    struct pl_cursor cursor;
    pl_builder_open(&builder, item, item->statement->line, NULL, &cursor);
    if (!pl_cursor_take(&cursor, "part"))
      continue;
    struct pl_part_entry entry = {.name =
                                      pl_cursor_words(&cursor, "is", "the name of a part", NULL),
                                  .text = ""};
    pl_cursor_take(&cursor, "is");
    const struct pl_opening *kind = pl_opening_match(&cursor);
    if (entry.name == NULL || kind == NULL)
      continue;
    pl_cursor_take_words(&cursor, kind->word);
    entry.kind = kind->kind;
    entry.text = pl_cursor_text_if(&cursor);
    struct pl_buffer lines;
    pl_buffer_init(&lines, arena);
    for (uint32_t k = 0; k < item->statement->body_count; k++) {
      struct pl_span span = item->tree->lines.at[item->statement->body_first + k].span;
      pl_buffer_add(&lines, sources.files.at[span.file].text + span.start, span.end - span.start);
      pl_buffer_puts(&lines, "\n");
    }
    if (lines.n > 0)
      entry.lines = lines.at;
    else
      entry.lines = "";
    PL_PUSH(arena, &list, entry);
  }
  *entries = list.at;
  *count = list.n;
}
