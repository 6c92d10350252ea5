/* The words that all rules use: numbers with units, wires, pins and lists of them. */
#include <math.h>

#include "base/number.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

struct pl_finding pl_finding_new(const char *rule,
                                 enum pl_severity severity,
                                 struct pl_span span,
                                 const char *place) {
  const struct pl_rule *row = pl_rule_find(rule);
  return (struct pl_finding){.rule = rule,
                             .severity = severity,
                             .span = span,
                             .place = place,
                             .state = "",
                             .figure = NAN,
                             .limit = NAN,
                             .unit = "",
                             .text = "",
                             .remedy = "",
                             .source = row == NULL ? "" : row->source};
}

const char *pl_say(struct pl_arena *arena, double value, const char *unit) {
  char number[PL_NUMBER_SIZE];
  return pl_arena_printf(arena,
                         "%s%s%s",
                         pl_number_print(number, value, 3),
                         unit[0] == '\0' ? "" : " ",
                         unit);
}

const char *pl_say_wire(const struct pl_check *check, pl_id wire) {
  return pl_arena_printf(check->arena, "wire %s", check->harness->wires.at[wire].number);
}

const char *
pl_say_list(struct pl_arena *arena, const char *const *texts, uint32_t n, uint32_t most) {
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  uint32_t shown = n > most ? most : n;
  for (uint32_t i = 0; i < shown; i++) {
    if (i > 0)
      pl_buffer_puts(&out, i + 1 == n ? " and " : ", ");
    pl_buffer_puts(&out, texts[i]);
  }
  if (n > shown)
    pl_buffer_printf(&out, " and %u more", n - shown);
  if (out.at == NULL)
    return "";
  return out.at;
}

const char *
pl_say_some(const struct pl_check *check, const char *const *texts, uint32_t n, uint32_t most) {
  return pl_say_list(check->arena, texts, n, check->keep_all ? n : most);
}

const char *pl_say_wires(const struct pl_check *check, const pl_id *wires, uint32_t n) {
  enum {
    MOST = 6
  };
  const char **numbers = PL_NEW_ARRAY(check->arena, const char *, (size_t)n + 1);
  for (uint32_t i = 0; i < n; i++)
    numbers[i] = check->harness->wires.at[wires[i]].number;
  return pl_arena_printf(check->arena,
                         "%s %s",
                         n == 1 ? "wire" : "wires",
                         pl_say_some(check, numbers, n, MOST));
}

const char *pl_say_place(const struct pl_check *check, pl_id pin) {
  const struct pl_pin *p = &check->harness->pins.at[pin];
  if (p->text[0] != '\0')
    return pl_arena_printf(check->arena, "%s (%s)", p->full, p->text);
  if (p->role == PL_ROLE_PASSIVE)
    return p->full;
  if (p->role == PL_ROLE_PLUS)
    return p->full;
  if (p->role == PL_ROLE_MINUS)
    return p->full;
  return pl_arena_printf(check->arena, "%s (%s)", p->full, pl_role_name(p->role));
}

const char *pl_say_connector(const struct pl_check *check, pl_id connector) {
  const struct pl_connector *c = &check->harness->connectors.at[connector];
  const char *device = check->harness->devices.at[c->device].name;
  if (c->name[0] == '\0')
    return device;
  return pl_arena_printf(check->arena, "%s.%s", device, c->name);
}

const char *pl_state_name(const struct pl_check *check, pl_id state) {
  if (state == PL_NONE)
    return "";
  return check->harness->states.at[state].name;
}

struct pl_span pl_pin_wiring_span(const struct pl_harness *harness, pl_id pin) {
  const struct pl_pin *p = &harness->pins.at[pin];
  for (uint32_t i = 0; i < p->wires.n; i++) {
    const struct pl_wire *wire = &harness->wires.at[p->wires.at[i]];
    if (wire->status == PL_WIRE_DONOR_REMOVED)
      continue;
    struct pl_span span = wire->end_span[wire->end[0] == pin ? 0 : 1];
    if (span.file != PL_NO_FILE)
      return span;
    if (wire->span.file != PL_NO_FILE)
      return wire->span;
  }
  if (p->span.file != PL_NO_FILE)
    return p->span;
  return harness->devices.at[p->device].span;
}
