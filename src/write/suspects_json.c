#include "write/suspects_json.h"

#include <math.h>

#include "base/number.h"
#include "base/pack.h"
#include "finding/finding.h"
#include "standard/likely.h"

static void put_value(struct pl_buffer *out, double value) {
  char number[PL_NUMBER_SIZE];

  pl_buffer_puts(out, isfinite(value) ? pl_number_exact(number, value) : "null");
}

static void put_standard(struct pl_buffer *out) {
  pl_buffer_puts(out, "\"likely\":{");
  for (int i = 0; i < PL_STANDARD_LIKELY_COUNT; i++) {
    pl_buffer_printf(out, "%s\"%s\":", i > 0 ? "," : "", pl_standard_likely[i].name);
    put_value(out, pl_standard_likely[i].value);
  }
  pl_buffer_puts(out, "},\n\"words\":[");
  for (int is = 0; is < 3; is++)
    for (int word = 0; word < 3; word++) {
      pl_buffer_puts(out, word == 0 ? is > 0 ? ",[" : "[" : ",");
      put_value(out, pl_standard_words[is][word]);
      if (word == 2)
        pl_buffer_puts(out, "]");
    }
  pl_buffer_puts(out, "],\n\"seen\":[");
  for (int i = 0; i < 3; i++) {
    pl_buffer_puts(out, i > 0 ? ",[" : "[");
    put_value(out, pl_standard_seen[i][0]);
    pl_buffer_puts(out, ",");
    put_value(out, pl_standard_seen[i][1]);
    pl_buffer_puts(out, "]");
  }
  pl_buffer_puts(out, "],\n\"needle\":[");
  for (int is = 0; is < 4; is++)
    for (int word = 0; word < 4; word++) {
      pl_buffer_puts(out, word == 0 ? is > 0 ? ",[" : "[" : ",");
      put_value(out, pl_standard_needle[is][word]);
      if (word == 3)
        pl_buffer_puts(out, "]");
    }
  pl_buffer_puts(out, "],\n");
}

/* [device, unit, 1 when more ohms show more, the figures of its scale, what they are as answers]:
 * enough of them to go straight between */
enum {
  SCALE = 24
};

static void put_gauge(struct pl_buffer *out, const struct pl_harness *h, pl_id id) {
  const struct pl_device *d = &h->devices.at[id];
  double low = d->points.at[0].x;
  double high = d->points.at[d->points.n - 1].x;
  const char *unit;

  pl_measure_shown(d->measure, 0, &unit);
  pl_buffer_printf(out, "[%u,", id);
  pl_json_string(out, unit);
  pl_buffer_printf(out,
                   ",%d",
                   pl_device_reading(d, fmax(low, high)) > pl_device_reading(d, fmin(low, high)));
  for (int what = 0; what < 2; what++) {
    for (int i = 0; i <= SCALE; i++) {
      double x = low + (high - low) * i / SCALE;
      pl_buffer_puts(out, i == 0 ? ",[" : ",");
      put_value(out,
                what == 0 ? pl_measure_shown(d->measure, x, &unit)
                          : pl_suspects_ohms(pl_device_reading(d, x)));
    }
    pl_buffer_puts(out, "]");
  }
  pl_buffer_puts(out, "]");
}

static void put_gauges(struct pl_buffer *out, const struct pl_harness *h) {
  bool any = false;

  pl_buffer_puts(out, "\"gauges\":[");
  for (pl_id id = 0; id < h->devices.n; id++) {
    if (h->devices.at[id].kind != PL_KIND_GAUGE || h->devices.at[id].points.n < 2)
      continue;
    pl_buffer_puts(out, any ? ",\n" : "");
    put_gauge(out, h, id);
    any = true;
  }
  pl_buffer_puts(out, "],\n");
}

/* Runs of questions of one kind in one state whose ids rise: [ask, state, [ids]]. */
static void put_questions(struct pl_buffer *out, const struct pl_suspects *table) {
  pl_buffer_puts(out, "\"questions\":[");
  for (uint32_t q = 0; q < table->questions.n;) {
    const struct pl_question *first = &table->questions.at[q];
    pl_buffer_printf(out,
                     "%s[%d,%ld,[",
                     q > 0 ? ",\n" : "",
                     (int)first->ask,
                     first->state == PL_NONE ? -1L : (long)first->state);
    for (uint32_t i = q; q < table->questions.n && table->questions.at[q].ask == first->ask &&
                         table->questions.at[q].state == first->state;
         q++)
      pl_buffer_printf(out, "%s%u", q > i ? "," : "", table->questions.at[q].id);
    pl_buffer_puts(out, "]]");
  }
  pl_buffer_puts(out, "],\n");
}

static void put_id(struct pl_buffer *out, pl_id id) {
  if (id == PL_NONE)
    pl_buffer_puts(out, ",-1");
  else
    pl_buffer_printf(out, ",%u", id);
}

/* [text, where, weight, shares of its variants, wire, device, connector] */
static void put_suspects(struct pl_buffer *out, const struct pl_suspects *table) {
  pl_buffer_puts(out, "\"suspects\":[");
  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *suspect = &table->suspects.at[s];
    pl_buffer_puts(out, s > 0 ? ",\n[" : "[");
    pl_json_string(out, suspect->text);
    pl_buffer_puts(out, ",");
    pl_json_string(out, suspect->where);
    pl_buffer_puts(out, ",");
    put_value(out, suspect->weight);
    for (uint32_t v = 0; v < suspect->count; v++) {
      pl_buffer_puts(out, v == 0 ? ",[" : ",");
      put_value(out, table->variants.at[suspect->first + v].share);
    }
    pl_buffer_puts(out, "]");
    put_id(out, suspect->fault.wire);
    put_id(out, suspect->device != PL_NONE ? suspect->device : suspect->fault.device);
    put_id(out, suspect->connector);
    pl_buffer_puts(out, "]");
  }
  pl_buffer_puts(out, "],\n");
}

void pl_suspects_write_json(struct pl_buffer *out, const struct pl_suspects *table) {
  struct pl_buffer packed;

  pl_buffer_puts(out, "{\"form\":1,\n\"digest\":");
  pl_json_string(out, table->digest);
  pl_buffer_puts(out, ",\n\"supply\":");
  put_value(out, table->harness->machine.volts);
  pl_buffer_puts(out, ",\n\"volt\":");
  put_value(out, table->volt);
  pl_buffer_puts(out, ",\n");
  put_standard(out);
  put_gauges(out, table->harness);
  put_questions(out, table);
  put_suspects(out, table);
  pl_buffer_init(&packed, table->arena);
  pl_suspects_pack(table, &packed);
  pl_buffer_puts(out, "\"answers\":\"");
  pl_base64(out, packed.at, packed.n);
  pl_buffer_puts(out, "\"}\n");
}
