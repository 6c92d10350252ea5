/* Wire rows.  A row is read in the order number, from, to, size, colour and then
 * facts; a `columns` line, or the heading row of a pasted table, says another order. */
#include <string.h>
#include <strings.h>

#include "base/limits.h"
#include "model/builder_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

enum column {
  COL_NUMBER,
  COL_FROM,
  COL_TO,
  COL_SIZE,
  COL_COLOUR,
  COL_LENGTH,
  COL_INSULATION,
  COL_NOTE,
  COL_COUNT
};

static const struct {
  const char *word;
  enum column column;
} column_words[] = {{"number", COL_NUMBER},
                    {"no", COL_NUMBER},
                    {"no.", COL_NUMBER},
                    {"wire", COL_NUMBER},
                    {"from", COL_FROM},
                    {"to", COL_TO},
                    {"size", COL_SIZE},
                    {"gauge", COL_SIZE},
                    {"colour", COL_COLOUR},
                    {"color", COL_COLOUR},
                    {"length", COL_LENGTH},
                    {"insulation", COL_INSULATION},
                    {"note", COL_NOTE},
                    {"notes", COL_NOTE}};
enum {
  COLUMN_WORDS = sizeof column_words / sizeof column_words[0],
  SIZES_KNOWN = 32
};

struct block {
  struct pl_builder *builder;
  pl_id circuit;
  enum column columns[16];
  uint32_t column_count; /* 0 = the usual order */
  bool headless;         /* the columns were not understood: no row is read */
  bool reopened;         /* the circuit has wires from an earlier block */
  bool silent;           /* an end of the row at hand is on something reported as broken */
};

static bool find_column(const char *word, enum column *column) {
  for (uint32_t i = 0; i < COLUMN_WORDS; i++)
    if (strcasecmp(word, column_words[i].word) == 0) {
      *column = column_words[i].column;
      return true;
    }
  return false;
}

/* ---- colours in words ---- */

/* Words and letters that people write for colours: English, German, and letters of three as
 * drawings carry them.  From memory. */
static const struct {
  const char *word, *code;
} colour_names[] = {
    {"black", "BK"},  {"blk", "BK"},         {"schwarz", "BK"},     {"brown", "BN"},
    {"brn", "BN"},    {"braun", "BN"},       {"red", "RD"},         {"rot", "RD"},
    {"orange", "OG"}, {"orn", "OG"},         {"org", "OG"},         {"yellow", "YE"},
    {"yel", "YE"},    {"gelb", "YE"},        {"green", "GN"},       {"grn", "GN"},
    {"gruen", "GN"},  {"gr\xc3\xbcn", "GN"}, {"blue", "BU"},        {"blu", "BU"},
    {"blau", "BU"},   {"violet", "VT"},      {"vio", "VT"},         {"violett", "VT"},
    {"purple", "VT"}, {"pur", "VT"},         {"ppl", "VT"},         {"grey", "GY"},
    {"gray", "GY"},   {"gry", "GY"},         {"grau", "GY"},        {"white", "WH"},
    {"wht", "WH"},    {"weiss", "WH"},       {"wei\xc3\x9f", "WH"}, {"pink", "PK"},
    {"pnk", "PK"},    {"rosa", "PK"},        {"turquoise", "TQ"},   {"t\xc3\xbcrkis", "TQ"},
    {"silver", "SR"}, {"gold", "GD"}};

static const char *colour_code(const char *text, size_t n) {
  uint32_t row = pl_colour_find(text, (uint32_t)n);
  if (row != UINT32_MAX)
    return pl_colours[row].code;
  for (size_t i = 0; i < sizeof colour_names / sizeof colour_names[0]; i++)
    if (strlen(colour_names[i].word) == n && strncasecmp(colour_names[i].word, text, n) == 0)
      return colour_names[i].code;
  return NULL;
}

/* "black", "rot/blau" and "BKWH" in the letters of IEC 60757; NULL when it is no colour. */
static const char *in_letters(struct pl_builder *builder, const char *text) {
  struct pl_buffer letters;
  size_t n = strlen(text);
  pl_buffer_init(&letters, builder->arena);
  if (n == 4 && colour_code(text, 4) == NULL && colour_code(text, 2) != NULL &&
      colour_code(text + 2, 2) != NULL)
    return pl_arena_printf(builder->arena, "%s/%s", colour_code(text, 2), colour_code(text + 2, 2));
  for (const char *at = text; *at != '\0';) {
    size_t length = strcspn(at, "/-");
    const char *code = colour_code(at, length);
    if (code == NULL)
      return NULL;
    pl_buffer_printf(&letters, "%s%s", at > text ? "/" : "", code);
    at += length + (at[length] != '\0');
  }
  if (letters.n > 0)
    return letters.at;
  return NULL;
}

/* ---- cells ---- */

static void read_number(struct block *block, struct pl_cursor *cursor, struct pl_wire *wire) {
  (void)block;
  const struct pl_word *word = pl_cursor_name(cursor, "the wire's number");
  if (word == NULL)
    return;
  wire->number = word->text;
  wire->span = word->span;
}

/* A size stands where the pin of an end should: the number or a pin was left out, or its cell is
 * empty. */
static bool
end_is_missing(struct block *block, struct pl_cursor *cursor, const struct pl_wire *wire, int end) {
  struct pl_builder *builder = block->builder;
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (word == NULL || word->kind != PL_WORD)
    return false;
  if (!pl_cursor_is_size(cursor))
    return false;
  if (end == 1 && pl_harness_find_pin(builder->harness, wire->number) != PL_NONE)
    pl_cursor_error(cursor,
                    &cursor->tree->words.at[cursor->line->first],
                    pl_arena_printf(builder->arena,
                                    "this wire has no number: the row begins with the pin %s",
                                    wire->number),
                    "begin the row with a number of its own: number, from, to, size, colour");
  else
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(builder->arena,
                                    "expected the pin that wire %s %s, found a size",
                                    wire->number,
                                    end == 0 ? "comes from" : "goes to"),
                    "write the pin, such as K2.30, or - for an end in the air");
  return true;
}

static void read_end(struct block *block, struct pl_cursor *cursor, struct pl_wire *wire, int end) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (word != NULL && word->kind == PL_WORD &&
      (wire->end[end] = pl_harness_find_pin(block->builder->harness, word->text)) != PL_NONE) {
    wire->end_span[end] = word->span;
    pl_cursor_next(cursor);
    return;
  }
  if (end_is_missing(block, cursor, wire, end))
    return;
  word = pl_cursor_name(cursor,
                        end == 0 ? "the pin it comes from, such as F3.out"
                                 : "the pin it goes to, such as K2.30");
  if (word == NULL)
    return;
  wire->end_span[end] = word->span;
  if (strcmp(word->text, "-") == 0)
    return;
  wire->end[end] = pl_builder_pin(block->builder, cursor, word);
  if (wire->end[end] == PL_NONE)
    block->silent = true;
}

/* A harness has few sizes: the same two words are worked out once. */
static bool
is_known_size(const struct pl_builder *builder, struct pl_cursor *cursor, struct pl_wire *wire) {
  const struct pl_word *figure = pl_cursor_peek(cursor);
  const struct pl_word *unit = pl_cursor_peek_at(cursor, 1);
  if (unit == NULL || figure->kind != PL_WORD)
    return false;
  if (unit->kind != PL_WORD)
    return false;
  for (uint32_t i = 0; i < builder->sizes.n; i++) {
    const struct pl_known_size *known = &builder->sizes.at[i];
    if (strcmp(known->figure, figure->text) != 0)
      continue;
    if (strcmp(known->unit, unit->text) != 0)
      continue;
    wire->metric = known->metric;
    wire->area = known->area;
    wire->size = known->text;
    wire->ohms_per_m = known->ohms_per_m;
    wire->size_span = (struct pl_span){figure->span.file, figure->span.start, unit->span.end};
    cursor->at += 2;
    return true;
  }
  return false;
}

static void read_size(struct block *block, struct pl_cursor *cursor, struct pl_wire *wire) {
  struct pl_builder *builder = block->builder;
  struct pl_size size;
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (is_known_size(builder, cursor, wire))
    return;
  if (!pl_cursor_size(cursor, &size))
    return;
  const struct pl_word *last = &cursor->tree->words.at[cursor->at - 1];
  char text[24];
  wire->metric = size.metric;
  if (size.metric)
    wire->area = size.area;
  else
    wire->area = pl_awg_area_mm2(size.awg);
  wire->size = pl_arena_strdup(builder->arena, pl_wire_size_text(text, wire->area, wire->metric));
  wire->ohms_per_m = pl_wire_ohms_per_m(wire->area, wire->metric);
  wire->size_span = (struct pl_span){word->span.file, word->span.start, last->span.end};
  struct pl_known_size known =
      {word->text, last->text, wire->metric, wire->area, wire->size, wire->ohms_per_m};
  if (last == word + 1 && builder->sizes.n < SIZES_KNOWN)
    PL_PUSH(builder->arena, &builder->sizes, known);
}

static bool colour_of(const char *text, struct pl_colour *colour) {
  const char *part[3] = {"", "", ""};
  int n = 0;
  while (*text != '\0') {
    size_t length = strcspn(text, "/-");
    uint32_t row = UINT32_MAX;
    if (n < 3)
      row = pl_colour_find(text, (uint32_t)length);
    if (row == UINT32_MAX)
      return false;
    part[n++] = pl_colours[row].code;
    text += length + (text[length] != '\0');
  }
  if (n == 0)
    return false;
  *colour = (struct pl_colour){part[0], part[1], part[2]};
  return true;
}

static bool insulation_of(struct pl_cursor *cursor, pl_id *insulation) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  uint32_t row = pl_insulation_find(word->text);
  if (row == UINT32_MAX) { /* two words: ISO C */
    const struct pl_word *after = pl_cursor_peek_at(cursor, 1);
    char both[2 * PL_LIMIT_NAME];
    if (after == NULL)
      return false;
    if (strlen(word->text) + strlen(after->text) + 2 > sizeof both)
      return false;
    strcpy(both, word->text);
    strcat(both, " ");
    strcat(both, after->text);
    row = pl_insulation_find(both);
    if (row == UINT32_MAX)
      return false;
    pl_cursor_next(cursor);
  }
  pl_cursor_next(cursor);
  *insulation = row;
  return true;
}

static void read_donor(struct pl_cursor *cursor, struct pl_wire *wire) {
  for (int i = PL_WIRE_DONOR_EXTENDED; i <= PL_WIRE_DONOR_REMOVED; i++)
    if (pl_cursor_take(cursor, pl_wire_status_name((enum pl_wire_status)i) + strlen("donor "))) {
      wire->status = (enum pl_wire_status)i;
      if (i != PL_WIRE_DONOR_EXTENDED)
        return;
      if (!pl_cursor_take(cursor, "by"))
        return;
      const struct pl_word *word = pl_cursor_peek(cursor);
      if (pl_cursor_quantity(cursor, PL_UNIT_LENGTH, &wire->extension) && !(wire->extension > 0.0))
        pl_cursor_error(cursor,
                        word,
                        "what is spliced on has a length above zero",
                        "write donor extended by 1.2 m");
      return;
    }
  wire->status = PL_WIRE_DONOR_KEPT;
}

static void wrong_fact(struct block *block, struct pl_cursor *cursor) {
  static const char *const words[] = {"length", "donor", "twist", "shield"};
  const struct pl_word *word = pl_cursor_peek(cursor);
  struct pl_nearest nearest;
  const char *letters = NULL;
  if (word->kind == PL_WORD)
    letters = in_letters(block->builder, word->text);
  if (letters != NULL) {
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(block->builder->arena,
                                    "a colour is two letters of IEC 60757, not `%s`",
                                    word->text),
                    pl_arena_printf(block->builder->arena, "write %s", letters));
    return;
  }
  pl_nearest_init(&nearest, word->text);
  for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
    pl_nearest_offer(&nearest, words[i]);
  for (uint32_t i = 0; i < pl_insulation_count; i++)
    pl_nearest_offer(&nearest, pl_insulations[i].name);
  for (uint32_t i = 0; i < pl_colour_count; i++)
    pl_nearest_offer(&nearest, pl_colours[i].code);
  pl_cursor_error(cursor,
                  word,
                  pl_arena_printf(block->builder->arena,
                                  "`%s` is neither a colour, an insulation nor a fact about a wire",
                                  word->text),
                  nearest.best != NULL
                      ? pl_builder_mean(block->builder, &nearest)
                      : "colours are IEC letters such as RD or RD/WH; facts: length 2.4 m, donor, "
                        "twist NAME, shield; notes stand in quotes");
}

static void read_length(struct pl_cursor *cursor, struct pl_wire *wire) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  wire->length_written = pl_cursor_quantity(cursor, PL_UNIT_LENGTH, &wire->length);
  if (wire->length_written && !(wire->length > 0.0))
    pl_cursor_error(cursor, word, "a wire has a length above zero", "");
}

static void read_fact(struct block *block, struct pl_cursor *cursor, struct pl_wire *wire) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (word->kind == PL_TEXT) {
    wire->note = pl_cursor_text_if(cursor);
  } else if (pl_cursor_take_kind(cursor, PL_COMMA)) {
    return;
  } else if (pl_cursor_take(cursor, "length")) {
    read_length(cursor, wire);
  } else if (pl_cursor_take(cursor, "donor")) {
    read_donor(cursor, wire);
  } else if (pl_cursor_take(cursor, "shield")) {
    wire->shield = true;
  } else if (pl_cursor_take(cursor, "twist")) {
    const struct pl_word *name = pl_cursor_name(cursor, "the name of the twisted group");
    if (name != NULL)
      wire->twist = name->text;
  } else if (colour_of(word->text, &wire->colour)) {
    pl_cursor_next(cursor);
  } else if (!insulation_of(cursor, &wire->insulation)) {
    wrong_fact(block, cursor);
  }
}

static void read_column(struct block *block,
                        struct pl_cursor *cursor,
                        enum column column,
                        struct pl_wire *wire) {
  switch (column) {
    case COL_NUMBER:
      read_number(block, cursor, wire);
      break;
    case COL_FROM:
      read_end(block, cursor, wire, 0);
      break;
    case COL_TO:
      read_end(block, cursor, wire, 1);
      break;
    case COL_SIZE:
      read_size(block, cursor, wire);
      break;
    case COL_LENGTH:
      read_length(cursor, wire);
      break;
    case COL_NOTE: {
      struct pl_buffer note;
      pl_buffer_init(&note, block->builder->arena);
      for (const struct pl_word *word; (word = pl_cursor_next(cursor)) != NULL;)
        pl_buffer_printf(&note,
                         "%s%s",
                         note.n > 0 && word->kind != PL_COMMA ? " " : "",
                         word->text);
      if (note.n > 0)
        wire->note = note.at;
      break;
    }
    case COL_COLOUR:
    case COL_INSULATION:
    case COL_COUNT:
      read_fact(block, cursor, wire);
      break;
  }
}

/* ---- rows ---- */

static void read_usual(struct block *block, struct pl_cursor *cursor, struct pl_wire *wire) {
  read_number(block, cursor, wire);
  read_end(block, cursor, wire, 0);
  read_end(block, cursor, wire, 1);
  read_size(block, cursor, wire);
  while (!pl_cursor_done(cursor))
    read_fact(block, cursor, wire);
}

/* Cells of a pasted row, each read on its own; an empty one says nothing. */
static void read_cells(struct block *block, struct pl_cursor *cursor, struct pl_wire *wire) {
  const struct pl_word *words = cursor->tree->words.at;
  uint32_t end = cursor->end;
  uint32_t at = cursor->at;
  uint32_t base = words[at].cell;
  for (uint32_t c = 0; c < block->column_count && !cursor->failed; c++) {
    cursor->at = at;
    while (at < end && words[at].cell <= base + c)
      at++;
    cursor->end = at;
    if (cursor->at == cursor->end)
      continue;
    read_column(block, cursor, block->columns[c], wire);
    if (!cursor->failed && cursor->at < cursor->end)
      pl_cursor_end(cursor);
  }
  cursor->end = end;
  cursor->at = at;
  while (!pl_cursor_done(cursor))
    read_fact(block, cursor, wire);
}

static void read_ordered(struct block *block, struct pl_cursor *cursor, struct pl_wire *wire) {
  if (cursor->line->tabbed) {
    read_cells(block, cursor, wire);
    return;
  }
  for (uint32_t c = 0; c < block->column_count && !pl_cursor_done(cursor); c++)
    read_column(block, cursor, block->columns[c], wire);
  while (!pl_cursor_done(cursor))
    read_fact(block, cursor, wire);
}

static bool whole(struct pl_cursor *cursor, const struct pl_wire *wire) {
  if (cursor->failed)
    return false;
  const char *what = NULL;
  if (wire->number[0] == '\0')
    what = "number";
  else if (isnan(wire->area))
    what = "size";
  else if (wire->end_span[0].file == PL_NO_FILE)
    what = "first end";
  else if (wire->end_span[1].file == PL_NO_FILE)
    what = "second end";
  if (what == NULL && wire->status == PL_WIRE_DONOR_CAPPED && wire->end[0] != PL_NONE &&
      wire->end[1] != PL_NONE) {
    pl_cursor_error(
        cursor,
        &cursor->tree->words.at[cursor->line->first],
        "a capped wire has an end that was cut, but both ends of this one sit on pins",
        "write `-` for the end that was cut back and capped, or `donor` for a wire that is kept");
    return false;
  }
  if (what == NULL)
    return true;
  pl_cursor_error(cursor,
                  &cursor->tree->words.at[cursor->line->first],
                  what[0] == 'n'                     ? "this wire has no number"
                  : what[0] == 's' && what[1] == 'i' ? "this wire has no size"
                                                     : "this wire lacks an end",
                  "a row is: number, from, to, size, colour");
  return false;
}

static void touch(struct block *block, pl_id pin) {
  if (pin == PL_NONE)
    return;
  struct pl_harness *harness = block->builder->harness;
  pl_id device = harness->pins.at[pin].device;
  struct pl_circuit *circuit = &harness->circuits.at[block->circuit];
  if (block->builder->touched[device] == block->circuit + 1)
    return; /* wires of one circuit mostly stand together */
  for (uint32_t i = circuit->devices.n; i-- > 0 && block->reopened;)
    if (circuit->devices.at[i] == device)
      return;
  block->builder->touched[device] = block->circuit + 1;
  PL_PUSH(harness->arena, &circuit->devices, device);
}

static void read_wire(struct block *block, struct pl_cursor *cursor) {
  struct pl_builder *builder = block->builder;
  struct pl_wire wire = pl_wire_blank();
  wire.insulation = builder->harness->machine.insulation;
  wire.circuit = block->circuit;
  block->silent = false;
  cursor->example = "41 F3.out K2.30 14 AWG RD/WH";
  if (block->column_count > 0)
    read_ordered(block, cursor, &wire);
  else
    read_usual(block, cursor, &wire);
  if (!whole(cursor, &wire) || block->silent) {
    if (wire.number[0] != '\0')
      pl_table_add(&builder->broken, wire.number, 0);
    return;
  }
  if (builder->harness->wires.n >= PL_LIMIT_WIRES) {
    pl_cursor_error(cursor, NULL, "too many wires for one harness", "");
    return;
  }
  pl_id id = pl_harness_add_wire(builder->harness, wire);
  if (id == PL_NONE) {
    uint32_t first = 0;
    pl_table_find(&builder->harness->wire_numbers, wire.number, &first);
    struct pl_position at =
        pl_source_position(builder->sources, builder->harness->wires.at[first].span);
    pl_cursor_error(
        cursor,
        &cursor->tree->words.at[cursor->line->first],
        pl_arena_printf(builder->arena, "the wire number %s is used twice", wire.number),
        pl_arena_printf(
            builder->arena,
            "it stands also in line %u of %s; every wire has a number of its own",
            at.line,
            builder->sources->files.at[builder->harness->wires.at[first].span.file].path));
    return;
  }
  struct pl_circuit *circuit = &builder->harness->circuits.at[block->circuit];
  PL_PUSH(builder->arena, &circuit->wires, id);
  touch(block, wire.end[0]);
  touch(block, wire.end[1]);
}

/* columns = "columns" word { "," word } . */
static void read_columns(struct block *block, struct pl_cursor *cursor) {
  cursor->example = "columns number, colour, size, from, to";
  block->column_count = 0;
  while (!pl_cursor_done(cursor)) {
    const struct pl_word *word = pl_cursor_name(cursor, "the name of a column");
    enum column column;
    if (word == NULL) {
      block->headless = true;
      return;
    }
    if (!find_column(word->text, &column) || block->column_count == 16) {
      struct pl_nearest nearest;
      pl_nearest_init(&nearest, word->text);
      for (uint32_t i = 0; i < COLUMN_WORDS; i++)
        pl_nearest_offer(&nearest, column_words[i].word);
      pl_cursor_error(
          cursor,
          word,
          pl_arena_printf(block->builder->arena, "`%s` is no column of a wire list", word->text),
          nearest.best != NULL
              ? pl_builder_mean(block->builder, &nearest)
              : "columns: number, from, to, size, colour, length, insulation, note");
      block->headless = true;
      return;
    }
    block->columns[block->column_count++] = column;
    pl_cursor_take_kind(cursor, PL_COMMA);
  }
}

/* The heading row of a pasted table: cells, and no digit in any of them, while every wire has a
 * size. */
static bool is_heading(const struct pl_cursor *cursor) {
  struct pl_cursor look = *cursor;
  if (!look.line->tabbed)
    return false;
  for (const struct pl_word *word; (word = pl_cursor_next(&look)) != NULL;)
    if (strpbrk(word->text, "0123456789") != NULL)
      return false;
  return true;
}

/* Each cell names a column by its last or its first word: "Wire size", "From pin", "Length (m)". */
static void read_heading(struct block *block, struct pl_cursor *cursor) {
  static const char known[] = "name them number, from, to, size, colour, length, insulation or "
                              "note, and leave other columns out";
  const struct pl_word *first, *last, *next;
  while ((first = pl_cursor_next(cursor)) != NULL) {
    for (last = first; (next = pl_cursor_peek(cursor)) != NULL && next->cell == first->cell;
         last = next)
      pl_cursor_next(cursor);
    enum column column;
    if (block->column_count == 16 ||
        (!find_column(last->text, &column) && !find_column(first->text, &column))) {
      pl_cursor_error(
          cursor,
          first,
          pl_arena_printf(block->builder->arena, "`%s` is no column of a wire list", first->text),
          known);
      block->headless = true;
      return;
    }
    block->columns[block->column_count++] = column;
  }
}

/* wires = "wires" "of" words . */
void pl_read_wires(struct pl_builder *builder, struct pl_item *item) {
  struct pl_cursor cursor;
  struct pl_span span;
  pl_builder_open(builder, item, item->statement->line, item->opening->example, &cursor);
  pl_cursor_take_words(&cursor, "wires of");
  const char *name = pl_cursor_words(&cursor, NULL, "the name of the circuit", &span);
  if (!pl_cursor_end(&cursor))
    return;
  struct block block = {.builder = builder, .circuit = pl_builder_circuit(builder, name, span)};
  block.reopened = builder->harness->circuits.at[block.circuit].wires.n > 0;
  if (builder->touched == NULL)
    builder->touched = PL_NEW_ARRAY(builder->arena, pl_id, builder->harness->devices.n + 1);
  for (uint32_t i = 0; i < item->statement->body_count; i++) {
    pl_builder_open(builder, item, item->statement->body_first + i, NULL, &cursor);
    const struct pl_word *word = pl_cursor_peek(&cursor);
    if (pl_cursor_take(&cursor, "columns")) {
      read_columns(&block, &cursor);
    } else if (i == 0 && !cursor.line->tabbed && strpbrk(word->text, "0123456789") == NULL &&
               pl_word_distance(word->text, "columns", 2) <= 2) {
      pl_cursor_error(&cursor,
                      word,
                      "expected a row, or the names of its columns",
                      "did you mean `columns`?");
      block.headless = true;
    } else if (i == 0 && is_heading(&cursor)) {
      read_heading(&block, &cursor);
    } else if (!block.headless) {
      read_wire(&block, &cursor);
    }
  }
}
