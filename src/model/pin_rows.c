/* Pin rows of a device: name or names, role, facts. */
#include <string.h>

#include "base/limits.h"
#include "base/number.h"
#include "model/draft_inner.h"

/* "A20..A24": the common front "A" and the numbers 20 and 24. */
static bool split_range(struct pl_builder *builder,
                        const char *text,
                        const char **front,
                        uint32_t *first,
                        uint32_t *last) {
  const char *dots = strstr(text, "..");
  if (dots == NULL || dots == text)
    return false;
  const char *digits = dots;
  while (digits > text && digits[-1] >= '0' && digits[-1] <= '9')
    digits--;
  size_t front_length = (size_t)(digits - text);
  const char *end = dots + 2;
  if (strncmp(end, text, front_length) == 0 && strlen(end) > front_length)
    end += front_length;
  double a, b;
  size_t used_a, used_b;
  if (!pl_number_parse(digits, (size_t)(dots - digits), &a, &used_a))
    return false;
  if (!pl_number_parse(end, strlen(end), &b, &used_b))
    return false;
  if (used_b != strlen(end))
    return false;
  if (a < 0 || b < a)
    return false;
  if (b - a >= (double)PL_LIMIT_CAVITIES)
    return false;
  if (b > 1e6)
    return false;
  *front = pl_arena_strndup(builder->arena, text, front_length);
  *first = (uint32_t)a;
  *last = (uint32_t)b;
  return true;
}

static bool take_role(struct pl_cursor *cursor, enum pl_role *role) {
  for (int i = 0; i < PL_ROLE_COUNT; i++)
    if (pl_cursor_take_words(cursor, pl_role_name((enum pl_role)i))) {
      *role = (enum pl_role)i;
      return true;
    }
  return false;
}

bool pl_draft_is_pin_row(struct pl_draft *draft, const struct pl_cursor *cursor) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (word == NULL || word->kind != PL_WORD)
    return false;
  if (pl_cursor_is(cursor, "pin"))
    return true;
  if (draft->silent && strpbrk(word->text, "0123456789") != NULL)
    return true;
  if (pl_draft_pin(draft, word->text, false, word->span) != PL_NONE)
    return true;
  const char *front;
  uint32_t first, last;
  if (split_range(draft->builder, word->text, &front, &first, &last))
    return true;
  struct pl_cursor look = *cursor;
  enum pl_role role;
  pl_cursor_next(&look);
  return take_role(&look, &role);
}

/* ---- the facts of a pin, one function each ---- */

static void fact_required(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  (void)cursor;
  pin->need = PL_NEED_REQUIRED;
}

static void fact_optional(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  (void)cursor;
  pin->need = PL_NEED_OPTIONAL;
}

static void fact_plug(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  (void)cursor;
  pin->plugged = true;
}

static void fact_memory_only(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  (void)cursor;
  pin->memory_only = true;
}

static void fact_set_off(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  (void)cursor;
  pin->set_off = true;
}

static void fact_asleep(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  pl_cursor_quantity(cursor, PL_UNIT_CURRENT, &pin->sleep_amps);
}

static void fact_at_most(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  pl_cursor_quantity(cursor, PL_UNIT_CURRENT, &pin->amps);
}

static void fact_pull_up(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  if (!pl_cursor_quantity(cursor, PL_UNIT_RESISTANCE, &pin->pull_ohms))
    return;
  pin->pull_volts = NAN; /* to the battery feed */
  if (pl_cursor_take(cursor, "to"))
    pl_cursor_quantity(cursor, PL_UNIT_VOLTAGE, &pin->pull_volts);
}

static void fact_pull_down(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  if (pl_cursor_quantity(cursor, PL_UNIT_RESISTANCE, &pin->pull_ohms))
    pin->pull_volts = 0.0;
}

static void
fact_pin_terminal(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  const char *name = pl_cursor_words(cursor, NULL, "the name of a terminal family", NULL);
  if (name != NULL)
    pin->terminal = pl_builder_terminal(draft->builder, cursor, name);
}

static void fact_from(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  for (int i = PL_SURE_MAKER; i <= PL_SURE_GUESS; i++)
    if (pl_cursor_take(cursor, pl_sure_name((enum pl_sure)i))) {
      pin->sure = (enum pl_sure)i;
      pin->sure_text = pl_cursor_text_if(cursor);
      return;
    }
  pl_cursor_error(cursor,
                  pl_cursor_peek(cursor),
                  "expected where the fact comes from",
                  "write from maker, from measured, from web or from guess");
}

static void figure_window(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  pl_cursor_range(cursor, PL_UNIT_VOLTAGE, &pin->volts_min, &pin->volts_max);
}

static void figure_amps(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  pl_cursor_quantity(cursor, PL_UNIT_CURRENT, &pin->amps);
}

static void figure_volts(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  pl_cursor_quantity(cursor, PL_UNIT_VOLTAGE, &pin->volts);
}

static void figure_ohms(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  (void)draft;
  pl_cursor_quantity(cursor, PL_UNIT_RESISTANCE, &pin->pull_ohms);
  pin->pull_volts = 0.0;
}

typedef void (*pin_fact_fn)(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin);

/* clang-format off */
static const struct {
  const char *word;
  pin_fact_fn read;
} pin_facts[] = {
#define PL_PIN_FACT(word, read, told, example, other, help) {word, read},
#include "model/facts.def"
};

static const struct {
  bool range;
  enum pl_unit unit;
  pin_fact_fn read;
} pin_figures[] = {
#define PL_PIN_RANGE(unit, read, told, example, other, help) {true, PL_UNIT_##unit, read},
#define PL_PIN_FIGURE(unit, read, told, example, other, help) {false, PL_UNIT_##unit, read},
#include "model/facts.def"
};
/* clang-format on */
enum {
  PIN_FACTS = sizeof pin_facts / sizeof pin_facts[0],
  PIN_FIGURES = sizeof pin_figures / sizeof pin_figures[0]
};

/* Roles are offered by their first word; the whole role is what the message then shows. */
static void offer_roles(struct pl_arena *arena, struct pl_nearest *nearest) {
  for (int i = 0; i < PL_ROLE_COUNT; i++) {
    const char *role = pl_role_name((enum pl_role)i);
    const char *before = nearest->best;
    pl_nearest_offer(nearest, pl_arena_strndup(arena, role, strcspn(role, " ")));
    if (nearest->best != before)
      nearest->best = role;
  }
}

/* What a figure alone says by its unit; NULL when none stands here. */
static pin_fact_fn figure_here(const struct pl_cursor *cursor) {
  for (int i = 0; i < PIN_FIGURES; i++)
    if (pin_figures[i].range ? pl_cursor_is_range(cursor, pin_figures[i].unit)
                             : pl_cursor_is_quantity(cursor, pin_figures[i].unit))
      return pin_figures[i].read;
  return NULL;
}

static void
unknown_fact(struct pl_draft *draft, struct pl_cursor *cursor, const struct pl_word *word) {
  struct pl_nearest nearest;
  pl_nearest_init(&nearest, word->text);
  for (int i = 0; i < PIN_FACTS; i++)
    pl_nearest_offer(&nearest, pin_facts[i].word);
  offer_roles(draft->builder->arena, &nearest);
  pl_cursor_error(cursor,
                  word,
                  pl_arena_printf(draft->builder->arena,
                                  "`%s` is neither a role nor a fact about a pin",
                                  word->text),
                  nearest.best != NULL
                      ? pl_builder_mean(draft->builder, &nearest)
                      : "for example: A7 keyed input, 20 mA, required \"wake-up\"");
}

static void read_pin_fact(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  const struct pl_word *word = pl_cursor_peek(cursor);
  if (word->kind == PL_TEXT) {
    pin->text = pl_cursor_text_if(cursor);
    return;
  }
  for (int i = 0; i < PIN_FACTS; i++)
    if (pl_cursor_take_words(cursor, pin_facts[i].word)) {
      pin_facts[i].read(draft, cursor, pin);
      return;
    }
  pin_fact_fn read = figure_here(cursor);
  if (read != NULL)
    read(draft, cursor, pin);
  else
    unknown_fact(draft, cursor, word);
}

static void read_pin_facts(struct pl_draft *draft, struct pl_cursor *cursor, struct pl_pin *pin) {
  pl_cursor_take_kind(cursor, PL_COMMA);
  enum pl_role role;
  if (take_role(cursor, &role)) {
    pin->role = role;
    if (role == PL_ROLE_UNUSED)
      pin->need = PL_NEED_UNUSED;
  }
  while (!pl_cursor_done(cursor)) {
    if (pl_cursor_take_kind(cursor, PL_COMMA) && pl_cursor_done(cursor))
      return;
    read_pin_fact(draft, cursor, pin);
  }
}

/* Cavities of a module or bare connector are its pins: with them no other may be named. */
static bool pins_may_be_new(const struct pl_draft *draft) {
  enum pl_kind kind = draft->device.kind;
  if (draft->silent)
    return true;
  if (!pl_kind_is(kind, PL_NAMES_PINS))
    return false;
  return draft->connectors.n == 0 || !pl_kind_is(kind, PL_IS_MODULE | PL_IS_PLUG);
}

static const char *cavity_hint(struct pl_draft *draft) {
  if (draft->connectors.n == 0)
    return "";
  if (draft->pins.n == 0)
    return "";
  uint32_t first = PL_NONE;
  uint32_t last = 0;
  for (uint32_t i = 0; i < draft->pins.n; i++)
    if (draft->pins.at[i].connector == draft->connectors.n - 1) {
      if (first == PL_NONE)
        first = i;
      last = i;
    }
  if (first == PL_NONE)
    return "";
  return pl_arena_printf(draft->builder->arena,
                         "the cavities go from %s to %s",
                         draft->pins.at[first].pin.name,
                         draft->pins.at[last].pin.name);
}

static uint32_t row_pin(struct pl_draft *draft,
                        struct pl_cursor *cursor,
                        const struct pl_word *word,
                        const char *name) {
  uint32_t index = pl_draft_pin(draft, name, pins_may_be_new(draft), word->span);
  if (index == PL_NONE && draft->silent)
    cursor->failed = true;
  else if (index == PL_NONE)
    pl_cursor_error(
        cursor,
        word,
        pl_arena_printf(draft->builder->arena, "%s has no pin `%s`", draft->device.name, name),
        cavity_hint(draft));
  else if (!draft->part_lines)
    draft->pins.at[index].pin.span = word->span;
  return index;
}

void pl_draft_pin_row(struct pl_draft *draft, struct pl_cursor *cursor) {
  const char *front;
  uint32_t first, last;
  cursor->example = "A7 keyed input, 20 mA, required";
  pl_cursor_take(cursor, "pin");
  const struct pl_word *word = pl_cursor_name(cursor, "the name of a pin");
  if (word == NULL)
    return;
  if (!split_range(draft->builder, word->text, &front, &first, &last)) {
    uint32_t index = row_pin(draft, cursor, word, word->text);
    if (index != PL_NONE)
      read_pin_facts(draft, cursor, &draft->pins.at[index].pin);
    pl_cursor_end(cursor);
    return;
  }
  struct pl_cursor facts = *cursor;
  for (uint32_t i = first; i <= last && !cursor->failed; i++) {
    const char *name = pl_arena_printf(draft->builder->arena, "%s%u", front, i);
    uint32_t index = row_pin(draft, cursor, word, name);
    if (index == PL_NONE)
      return;
    *cursor = facts;
    read_pin_facts(draft, cursor, &draft->pins.at[index].pin);
  }
  pl_cursor_end(cursor);
}
