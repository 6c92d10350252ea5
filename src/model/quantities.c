/* Quantities: what a sensor, sender, gauge or threshold switch measures, its table, and that all
 * who measure one quantity speak in one kind of unit. */
#include <string.h>

#include "model/draft_inner.h"

static const struct {
  enum pl_measure measure;
  enum pl_unit unit;
  const char *noun;
} kinds[] = {{PL_MEASURE_TEMPERATURE, PL_UNIT_TEMPERATURE, "a temperature"},
             {PL_MEASURE_PRESSURE, PL_UNIT_PRESSURE, "a pressure"},
             {PL_MEASURE_SHARE, PL_UNIT_SHARE, "a share"},
             {PL_MEASURE_SPEED, PL_UNIT_SPEED, "a speed"}};
enum {
  KINDS = sizeof kinds / sizeof kinds[0]
};

static const char *noun_of(enum pl_measure measure) {
  for (int i = 0; i < KINDS; i++)
    if (kinds[i].measure == measure)
      return kinds[i].noun;
  return "a plain number";
}

bool pl_builder_level(struct pl_cursor *cursor, enum pl_measure measure, double *value) {
  for (int i = 0; i < KINDS; i++)
    if (kinds[i].measure == measure)
      return pl_cursor_quantity(cursor, kinds[i].unit, value);
  return pl_cursor_number(cursor, value);
}

/* A figure of the quantity; the first of a table decides its kind of unit. */
static bool read_figure(struct pl_draft *draft, struct pl_cursor *cursor, double *value) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  enum pl_measure measure = PL_MEASURE_NUMBER;
  for (int i = 0; i < KINDS && measure == PL_MEASURE_NUMBER; i++)
    if (pl_cursor_is_quantity(cursor, kinds[i].unit))
      measure = kinds[i].measure;
  if (!pl_builder_level(cursor, measure, value))
    return false;
  if (draft->measure_known && draft->device.measure != measure) {
    pl_cursor_error(cursor,
                    word,
                    pl_arena_printf(draft->builder->arena,
                                    "the figures before this one are %s, this one is %s",
                                    noun_of(draft->device.measure),
                                    noun_of(measure)),
                    "give all of them in units of one kind, or all without");
    return false;
  }
  draft->device.measure = measure;
  draft->measure_known = true;
  return true;
}

static void begin_table(struct pl_draft *draft, bool shares) {
  draft->device.points.n = 0;
  draft->device.beta = NAN;
  draft->measure_known = false;
  draft->shares = shares;
}

static int direction(double from, double to) {
  if (to > from)
    return 1;
  if (to < from)
    return -1;
  return 0;
}

/* The last point must go on in the direction of those before. */
static void
check_order(struct pl_draft *draft, struct pl_cursor *cursor, const struct pl_word *word) {
  uint32_t n = draft->device.points.n;
  const struct pl_point *p = draft->device.points.at;
  if (n < 2 || cursor->failed)
    return;
  int quantity = direction(p[n - 2].x, p[n - 1].x);
  int figure = direction(p[n - 2].ohms, p[n - 1].ohms);
  if (quantity == 0 || (n > 2 && quantity != direction(p[n - 3].x, p[n - 2].x)))
    pl_cursor_error(cursor,
                    word,
                    "the readings turn back here",
                    "write them in order, from one end of the range to the other");
  else if (draft->device.kind == PL_KIND_GAUGE &&
           (figure == 0 || (n > 2 && figure != direction(p[n - 3].ohms, p[n - 2].ohms))))
    pl_cursor_error(cursor,
                    word,
                    "the ohms turn back here: one resistance would show two readings",
                    "a gauge's ohms rise or fall all along its scale");
}

/* reading = "reading" figure "at" ohms { "," figure "at" ohms } . */
void pl_draft_line_reading(struct pl_draft *draft, struct pl_cursor *cursor) {
  begin_table(draft, false);
  do {
    struct pl_point point;
    const struct pl_word *word = pl_cursor_peek(cursor);
    if (!read_figure(draft, cursor, &point.x))
      return;
    if (!pl_cursor_need(cursor, "at"))
      return;
    if (!pl_cursor_quantity(cursor, PL_UNIT_RESISTANCE, &point.ohms))
      return;
    PL_PUSH(draft->builder->arena, &draft->device.points, point);
    check_order(draft, cursor, word);
  } while (pl_cursor_take_kind(cursor, PL_COMMA));
  if (draft->device.points.n < 2)
    pl_cursor_error(cursor, NULL, "expected at least two readings, so that there is a range", "");
}

/* signal = "signal" share "at" figure { "," share "at" figure } . */
void pl_draft_line_signal(struct pl_draft *draft, struct pl_cursor *cursor) {
  begin_table(draft, true);
  draft->device.signal_share = NAN;
  pl_draft_pin(draft, "supply", true, draft->device.span);
  do {
    struct pl_point point;
    const struct pl_word *word = pl_cursor_peek(cursor);
    if (!pl_cursor_quantity(cursor, PL_UNIT_SHARE, &point.ohms))
      return;
    if (!pl_cursor_need(cursor, "at"))
      return;
    if (!read_figure(draft, cursor, &point.x))
      return;
    PL_PUSH(draft->builder->arena, &draft->device.points, point);
    check_order(draft, cursor, word);
  } while (pl_cursor_take_kind(cursor, PL_COMMA));
  if (draft->device.points.n < 2)
    pl_cursor_error(cursor, NULL, "expected at least two points, so that there is a range", "");
}

/* beta = "beta" number "from" ohms "at" temperature . */
void pl_draft_line_beta(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  const struct pl_word *word = pl_cursor_peek(cursor);
  begin_table(draft, false);
  if (!pl_cursor_number(cursor, &d->beta))
    return;
  if (!(d->beta > 0.0 && d->beta <= 20000.0)) {
    pl_cursor_error(cursor,
                    word,
                    "a thermistor's beta lies above 0 and below 20000",
                    "most lie between 2500 and 5000 (from memory)");
    return;
  }
  pl_cursor_need(cursor, "from");
  const struct pl_word *ohms = pl_cursor_peek(cursor);
  if (pl_cursor_quantity(cursor, PL_UNIT_RESISTANCE, &d->beta_ohms) && !(d->beta_ohms > 0.0))
    pl_cursor_error(cursor, ohms, "this figure must be above zero", "");
  pl_cursor_need(cursor, "at");
  pl_cursor_quantity(cursor, PL_UNIT_TEMPERATURE, &d->beta_at);
  d->measure = PL_MEASURE_TEMPERATURE;
  draft->measure_known = true;
}

/* "measures" name . */
void pl_draft_line_measures(struct pl_draft *draft, struct pl_cursor *cursor) {
  const struct pl_word *word =
      pl_cursor_name(cursor, "the name of a quantity: coolant, oil-pressure, fuel");
  if (word == NULL)
    return;
  for (uint32_t i = 0; i < pl_state_row_count; i++)
    if (strcmp(word->text, pl_state_rows[i].word) == 0) {
      pl_cursor_error(
          cursor,
          word,
          pl_arena_printf(
              draft->builder->arena,
              "a quantity cannot be called `%s`: the word has a meaning of its own in a state",
              word->text),
          "choose another name, such as coolant or oil-pressure");
      return;
    }
  draft->measures = word->text;
  if (draft->part_lines)
    draft->measures_span = draft->device.span;
  else
    draft->measures_span = word->span;
}

/* "stands" "in" name ( "below" | "above" ) figure . */
void pl_draft_line_stands(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_draft_stand stand = {0};
  const struct pl_word *word = pl_cursor_name(cursor, "the name of a position");
  if (word == NULL)
    return;
  stand.position = word->text;
  if (draft->part_lines)
    stand.span = draft->device.span;
  else
    stand.span = word->span;
  stand.above = pl_cursor_take(cursor, "above");
  if (!stand.above && !pl_cursor_take(cursor, "below")) {
    pl_cursor_error(cursor,
                    pl_cursor_peek(cursor),
                    "expected `below` or `above`",
                    "write stands in closed below 50 kPa");
    return;
  }
  if (read_figure(draft, cursor, &stand.at))
    PL_PUSH(draft->builder->arena, &draft->stands, stand);
}

/* ---- when the device is complete ---- */

static void finish_stands(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  for (uint32_t i = 0; i < draft->stands.n; i++) {
    const struct pl_draft_stand *stand = &draft->stands.at[i];
    struct pl_threshold threshold = {.position = PL_NONE, .above = stand->above, .at = stand->at};
    struct pl_nearest nearest;
    pl_nearest_init(&nearest, stand->position);
    for (uint32_t t = 0; t < d->throws.n; t++) {
      if (strcmp(d->throws.at[t].name, stand->position) == 0)
        threshold.position = t;
      pl_nearest_offer(&nearest, d->throws.at[t].name);
    }
    if (threshold.position == PL_NONE) {
      const char *mean = pl_builder_mean(draft->builder, &nearest);
      pl_findings_error(draft->builder->findings,
                        stand->span,
                        pl_arena_printf(draft->builder->arena,
                                        "%s has no position `%s`",
                                        d->name,
                                        stand->position),
                        mean[0] != '\0' ? mean : "it stands in one of its positions");
      cursor->failed = true;
      return;
    }
    PL_PUSH(draft->builder->arena, &d->thresholds, threshold);
  }
}

void pl_draft_finish_measure(struct pl_draft *draft, struct pl_cursor *cursor) {
  struct pl_device *d = &draft->device;
  if (draft->stands.n > 0 && draft->measures == NULL) {
    pl_draft_wrong(draft,
                   cursor,
                   "does not say what it measures",
                   "add a line: measures oil-pressure");
    return;
  }
  if (draft->measures != NULL && draft->stands.n == 0 && d->kind == PL_KIND_SWITCH) {
    pl_draft_wrong(draft,
                   cursor,
                   "does not say at which figure it moves",
                   "add a line: stands in closed below 50 kPa");
    return;
  }
  if (d->kind == PL_KIND_SENSOR && d->plus != PL_NONE && (d->points.n > 0 || isfinite(d->beta)) &&
      !draft->shares) {
    pl_draft_wrong(draft,
                   cursor,
                   "has three wires, so its signal is a share of its supply and no resistance",
                   "write signal 10 % at 0 bar, 90 % at 10 bar");
    return;
  }
  finish_stands(draft, cursor);
}

pl_id pl_builder_measured(const struct pl_builder *builder, const char *name) {
  for (pl_id i = 0; i < builder->harness->quantities.n; i++)
    if (strcmp(builder->harness->quantities.at[i].name, name) == 0)
      return i;
  return PL_NONE;
}

void pl_draft_register_quantity(struct pl_draft *draft, pl_id device) {
  struct pl_builder *builder = draft->builder;
  struct pl_quantity quantity = {draft->measures, PL_MEASURE_NUMBER, draft->measures_span};
  struct pl_measuring measuring = {device, draft->measure_known, draft->measures_span};
  pl_id id = pl_builder_measured(builder, draft->measures);
  if (id == PL_NONE) {
    id = builder->harness->quantities.n;
    PL_PUSH(builder->arena, &builder->harness->quantities, quantity);
  }
  builder->harness->devices.at[device].quantity = id;
  PL_PUSH(builder->arena, &builder->measuring, measuring);
}

void pl_build_measures(struct pl_builder *builder) {
  struct pl_harness *h = builder->harness;
  pl_id *by = PL_NEW_ARRAY(builder->arena, pl_id, h->quantities.n + 1);
  for (pl_id q = 0; q < h->quantities.n; q++)
    by[q] = PL_NONE;
  for (uint32_t i = 0; i < builder->measuring.n; i++) { /* the first with a unit decides */
    const struct pl_device *d = &h->devices.at[builder->measuring.at[i].device];
    if (!builder->measuring.at[i].table)
      continue;
    if (d->measure == PL_MEASURE_NUMBER)
      continue;
    if (by[d->quantity] != PL_NONE)
      continue;
    by[d->quantity] = builder->measuring.at[i].device;
    h->quantities.at[d->quantity].measure = d->measure;
  }
  for (uint32_t i = 0; i < builder->measuring.n; i++) {
    const struct pl_device *d = &h->devices.at[builder->measuring.at[i].device];
    const struct pl_quantity *quantity = &h->quantities.at[d->quantity];
    if (!builder->measuring.at[i].table)
      continue;
    if (d->measure == quantity->measure)
      continue;
    pl_findings_error(
        builder->findings,
        builder->measuring.at[i].span,
        pl_arena_printf(builder->arena,
                        "%s gives %s as %s, but %s gives it as %s",
                        d->name,
                        quantity->name,
                        noun_of(d->measure),
                        h->devices.at[by[d->quantity]].name,
                        noun_of(quantity->measure)),
        "give the figures of both in units of one kind, or let them measure two quantities");
  }
}
