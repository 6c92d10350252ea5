#include "write/suspects_json.h"

#include <math.h>

#include "base/json.h"
#include "base/pack.h"
#include "standard/likely.h"

static void put_row(struct pl_json *json, const double *figures, int n) {
  pl_json_list(json, NULL);
  for (int i = 0; i < n; i++)
    pl_json_number(json, NULL, figures[i]);
  pl_json_close(json);
}

static void put_standard(struct pl_json *json) {
  pl_json_object(json, "likely");
  for (int i = 0; i < PL_STANDARD_LIKELY_COUNT; i++)
    pl_json_number(json, pl_standard_likely[i].name, pl_standard_likely[i].value);
  pl_json_close(json);
  pl_json_line(json, 0);
  pl_json_list(json, "words");
  for (int is = 0; is < 3; is++)
    put_row(json, pl_standard_words[is], 3);
  pl_json_close(json);
  pl_json_line(json, 0);
  pl_json_list(json, "seen");
  for (int i = 0; i < 3; i++)
    put_row(json, pl_standard_seen[i], 2);
  pl_json_close(json);
  pl_json_line(json, 0);
  pl_json_list(json, "needle");
  for (int is = 0; is < 4; is++)
    put_row(json, pl_standard_needle[is], 4);
  pl_json_close(json);
}

/* [device, unit, 1 when more ohms show more, the figures of its scale, what they are as answers]:
 * enough of them to go straight between */
enum {
  SCALE = 24
};

static void put_gauge(struct pl_json *json, const struct pl_harness *h, pl_id id) {
  const struct pl_device *d = &h->devices.at[id];
  double low = d->points.at[0].x;
  double high = d->points.at[d->points.n - 1].x;
  double shown[SCALE + 1], ohms[SCALE + 1];
  const char *unit;

  for (int i = 0; i <= SCALE; i++) {
    double x = low + (high - low) * i / (double)SCALE;
    shown[i] = pl_measure_shown(d->measure, x, &unit);
    ohms[i] = pl_suspects_ohms(pl_device_reading(d, x));
  }
  pl_json_list(json, NULL);
  pl_json_number(json, NULL, id);
  pl_json_text(json, NULL, unit);
  pl_json_number(json,
                 NULL,
                 pl_device_reading(d, fmax(low, high)) > pl_device_reading(d, fmin(low, high)));
  put_row(json, shown, SCALE + 1);
  put_row(json, ohms, SCALE + 1);
  pl_json_close(json);
}

static void put_gauges(struct pl_json *json, const struct pl_harness *h) {
  bool first = true;

  pl_json_list(json, "gauges");
  for (pl_id id = 0; id < h->devices.n; id++) {
    if (!pl_device_is(h, id, PL_IS_GAUGE))
      continue;
    if (h->devices.at[id].points.n < 2)
      continue;
    if (!first)
      pl_json_line(json, 0);
    put_gauge(json, h, id);
    first = false;
  }
  pl_json_close(json);
}

/* -1 for none. */
static void put_id(struct pl_json *json, pl_id id) {
  pl_json_number(json, NULL, id == PL_NONE ? -1 : (double)id);
}

static bool same_run(const struct pl_question *a, const struct pl_question *b) {
  return a->ask == b->ask && a->state == b->state;
}

/* Runs of questions of one kind in one state whose ids rise: [ask, state, [ids]]. */
static void put_questions(struct pl_json *json, const struct pl_suspects *table) {
  pl_json_list(json, "questions");
  for (uint32_t q = 0; q < table->questions.n;) {
    const struct pl_question *first = &table->questions.at[q];
    if (q > 0)
      pl_json_line(json, 0);
    pl_json_list(json, NULL);
    pl_json_number(json, NULL, first->ask);
    put_id(json, first->state);
    pl_json_list(json, NULL);
    for (; q < table->questions.n && same_run(first, &table->questions.at[q]); q++)
      pl_json_number(json, NULL, table->questions.at[q].id);
    pl_json_close(json);
    pl_json_close(json);
  }
  pl_json_close(json);
}

/* [text, where, weight, shares of its variants, wire, device, connector] */
static void put_suspect(struct pl_json *json,
                        const struct pl_suspects *table,
                        const struct pl_suspect *suspect) {
  pl_json_list(json, NULL);
  pl_json_text(json, NULL, suspect->text);
  pl_json_text(json, NULL, suspect->where == NULL ? "" : suspect->where);
  pl_json_number(json, NULL, suspect->weight);
  pl_json_list(json, NULL);
  for (uint32_t v = 0; v < suspect->count; v++)
    pl_json_number(json, NULL, table->variants.at[suspect->first + v].share);
  pl_json_close(json);
  put_id(json, suspect->fault.wire);
  put_id(json, suspect->device != PL_NONE ? suspect->device : suspect->fault.device);
  put_id(json, suspect->connector);
  pl_json_close(json);
}

static void put_suspects(struct pl_json *json, const struct pl_suspects *table) {
  pl_json_list(json, "suspects");
  for (uint32_t s = 0; s < table->suspects.n; s++) {
    if (s > 0)
      pl_json_line(json, 0);
    put_suspect(json, table, &table->suspects.at[s]);
  }
  pl_json_close(json);
}

static void put_answers(struct pl_json *json, const struct pl_suspects *table) {
  struct pl_buffer packed, letters;

  pl_buffer_init(&packed, table->arena);
  pl_buffer_init(&letters, table->arena);
  pl_suspects_pack(table, &packed);
  pl_base64(&letters, packed.at, packed.n);
  pl_json_text(json, "answers", letters.at);
}

void pl_suspects_write_json(struct pl_buffer *out, const struct pl_suspects *table) {
  struct pl_json json;

  pl_json_begin(&json, out, false);
  pl_json_object(&json, NULL);
  pl_json_number(&json, "form", 1);
  pl_json_line(&json, 0);
  pl_json_text(&json, "digest", table->digest);
  pl_json_line(&json, 0);
  pl_json_number(&json, "supply", table->harness->machine.volts);
  pl_json_line(&json, 0);
  pl_json_number(&json, "volt", table->volt);
  pl_json_line(&json, 0);
  put_standard(&json);
  pl_json_line(&json, 0);
  put_gauges(&json, table->harness);
  pl_json_line(&json, 0);
  put_questions(&json, table);
  pl_json_line(&json, 0);
  put_suspects(&json, table);
  pl_json_line(&json, 0);
  put_answers(&json, table);
  pl_json_finish(&json);
  pl_buffer_puts(out, "\n");
}
