/* The rows of facts.def as tables, for whoever lists them. */
#include "model/facts.h"

bool pl_fits(const struct pl_fits *fits, enum pl_kind kind) {
  if (pl_kind_is(kind, fits->none))
    return false;
  if (fits->only != 0)
    return (fits->only >> kind & 1) != 0;
  return fits->any == 0 || pl_kind_is(kind, fits->any);
}

/* clang-format off */
const struct pl_fact_row pl_facts[] = {
#define PL_FIGURE(word, kinds, unit, field, aspect, example, other, help) \
  {"device", word, kinds, example, other, help},
#define PL_LINE(word, kinds, read, told, example, other, help) \
  {"device", word, kinds, example, other, help},
#define ROW(thing, word, example, other, help) {thing, word, {0, 0, 0}, example, other, help},
#define PL_MACHINE_LINE(word, read, told, ...) ROW("machine", word, __VA_ARGS__)
#define PL_PLACE_LINE(word, read, told, ...) ROW("place", word, __VA_ARGS__)
#define PL_RUN_LINE(word, read, told, ...) ROW("run", word, __VA_ARGS__)
#define PL_TERMINAL_LINE(word, read, told, ...) ROW("terminal", word, __VA_ARGS__)
#define PL_CIRCUIT_LINE(word, read, told, ...) ROW("circuit", word, __VA_ARGS__)
#define PL_STATE_LINE(word, read, told, ...) ROW("state", word, __VA_ARGS__)
#define PL_STATE_FORM(word, told, ...) ROW("state", word, __VA_ARGS__)
#define PL_CONNECTOR_FACT(word, read, told, ...) ROW("connector", word, __VA_ARGS__)
#define PL_PIN_FACT(word, read, told, ...) ROW("pin", word, __VA_ARGS__)
#define PL_PIN_RANGE(unit, read, told, ...) ROW("pin", "", __VA_ARGS__)
#define PL_PIN_FIGURE(unit, read, told, ...) ROW("pin", "", __VA_ARGS__)
#include "model/facts.def"
};
const uint32_t pl_fact_count = sizeof pl_facts / sizeof pl_facts[0];

const struct pl_fact_default pl_fact_defaults[] = {
#define PL_DEFAULT_FIGURE(word, kinds, field, id, scale, what, unit) \
  {word, kinds, offsetof(struct pl_device, field), PL_DEFAULT_##id, PL_SCALE_##scale, what, unit},
#include "model/facts.def"
};
const uint32_t pl_fact_default_count = sizeof pl_fact_defaults / sizeof pl_fact_defaults[0];

const struct pl_machine_default pl_machine_defaults[] = {
#define PL_MACHINE_DEFAULT(word, field, limit, scale, source) \
  {word, offsetof(struct pl_machine, field), &limit, scale, source},
#include "model/facts.def"
};
const uint32_t pl_machine_default_count =
    sizeof pl_machine_defaults / sizeof pl_machine_defaults[0];
/* clang-format on */

double pl_fact_default_value(const struct pl_fact_default *row, double volts) {
  double value = pl_standard_defaults[row->id].value;
  switch (row->scale) {
    case PL_SCALE_PLAIN:
      return value;
    case PL_SCALE_VOLTS:
      return value * volts;
    case PL_SCALE_VOLTS_SQUARED:
      return value * ((volts / 12.0) * (volts / 12.0));
  }
  return value;
}
