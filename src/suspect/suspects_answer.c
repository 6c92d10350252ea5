/* One answer: how it is rounded, when it counts as another than the healthy one, where it is kept,
 * and of which fault it is. */
#include <math.h>
#include <stdlib.h>

#include "standard/likely.h"
#include "suspect/suspects_inner.h"

int16_t pl_suspects_ohms(double ohms) {
  if (isnan(ohms))
    return PL_ANSWER_UNKNOWN;
  return (int16_t)lround(1000 * log10(fmin(ohms + PL_LIKELY(LEADS), PL_LIKELY(OPEN_OHMS))));
}

double pl_suspects_spread(double volts) {
  double meter = PL_LIKELY(METER_LEAST) + PL_LIKELY(METER_SHARE) * fabs(volts);
  double parts = PL_LIKELY(PARTS_LEAST) + PL_LIKELY(PARTS_SHARE) * fabs(volts);

  return sqrt(meter * meter + parts * parts);
}

/* Volts that differ by a small part of what meter and parts leave open are the healthy ones. */
static bool differs(const struct pl_suspects *table, const struct pl_question *q, int16_t answer) {
  if (answer == q->healthy)
    return false;
  if (q->ask == PL_ASK_GAUGE && answer > PL_ANSWER_UNKNOWN && q->healthy > PL_ANSWER_UNKNOWN)
    return abs(answer - q->healthy) > 1000 * PL_LIKELY(NEGLIGIBLE) * PL_LIKELY(GAUGE_SPREAD);
  if (q->ask != PL_ASK_VOLTS || answer <= PL_ANSWER_UNKNOWN)
    return true;
  if (q->healthy <= PL_ANSWER_UNKNOWN)
    return true;
  return abs(answer - q->healthy) * table->volt >
         PL_LIKELY(NEGLIGIBLE) * pl_suspects_spread(q->healthy * table->volt);
}

void pl_suspects_put(const struct pl_suspects *table,
                     pl_raws *raws,
                     uint32_t variant,
                     uint32_t question,
                     int16_t answer) {
  if (!differs(table, &table->questions.at[question], answer))
    return;
  if (raws->n == raws->blocks.n * PL_RAWS)
    PL_PUSH(table->arena, &raws->blocks, PL_NEW_ARRAY(table->arena, struct pl_raw, PL_RAWS));
  *pl_raw_at(raws, raws->n++) = (struct pl_raw){variant, question, answer};
}

struct pl_fault pl_suspects_shared(const struct pl_harness *harness,
                                   const struct pl_suspect *suspect) {
  struct pl_fault fault = suspect->fault;

  if (suspect->kind == PL_SUSPECT_MODULE)
    fault.kind = PL_FAULT_DEAD;
  else if (suspect->kind == PL_SUSPECT_JOINT)
    fault.kind = PL_FAULT_LOOSE;
  else
    fault.kind = PL_FAULT_UNPLUGGED;
  if (fault.kind == PL_FAULT_UNPLUGGED)
    fault.pin_a = harness->connectors.at[suspect->connector].first_pin;
  else
    fault.device = suspect->device;
  return fault;
}

struct pl_fault pl_suspects_fault(const struct pl_suspect *suspect, uint32_t variant) {
  struct pl_fault fault = suspect->fault;
  uint32_t i = variant - suspect->first;

  if (i > 0)
    fault.ohms *= i == 1 ? PL_LIKELY(HIGH_LESS) : PL_LIKELY(HIGH_MORE);
  return fault;
}

int16_t pl_suspects_answer(const struct pl_suspects *table, uint32_t variant, uint32_t question) {
  if (variant >= table->variants.n) /* there is no row for a healthy machine */
    return table->questions.at[question].healthy;
  const struct pl_variant *v = &table->variants.at[variant];
  uint32_t low = v->first;
  uint32_t high = v->first + v->count;

  while (low < high) {
    uint32_t middle = low + (high - low) / 2;
    if (table->entry_questions.at[middle] < question)
      low = middle + 1;
    else
      high = middle;
  }
  if (low < v->first + v->count && table->entry_questions.at[low] == question)
    return table->entry_answers.at[low];
  return table->questions.at[question].healthy;
}
