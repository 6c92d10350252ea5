/* Steps as edits of the text, and in words. */
#include <string.h>

#include "base/number.h"
#include "remedy/remedy_inner.h"
#include "standard/wire.h"

/* The text of a span that lies in a file of the user's; NULL: in a shipped part, or nowhere. */
static const char *
text_of(const struct pl_check *check, const struct pl_sources *sources, struct pl_span span) {
  if (span.file >= check->harness->texts)
    return NULL;
  if (span.file >= sources->files.n)
    return NULL;
  return sources->files.at[span.file].text;
}

static void push(const struct pl_check *check,
                 pl_fixes *fixes,
                 uint32_t file,
                 uint32_t start,
                 uint32_t end,
                 const char *text) {
  struct pl_fix fix = {{file, start, end}, text};
  PL_PUSH(check->arena, fixes, fix);
}

static const char *say(const struct pl_check *check, double value, const char *unit) {
  char number[PL_NUMBER_SIZE];
  return pl_arena_printf(check->arena, "%s %s", pl_number_print(number, value, 4), unit);
}

/* ---- lines ---- */

static uint32_t line_end(const char *text, uint32_t at) {
  return at + (uint32_t)strcspn(text + at, "\r\n");
}

static uint32_t next_line(const char *text, uint32_t at) {
  at = line_end(text, at);
  if (text[at] == '\r')
    at++;
  if (text[at] == '\n')
    at++;
  return at;
}

static uint32_t line_start(const char *text, uint32_t at) {
  while (at > 0 && text[at - 1] != '\n' && text[at - 1] != '\r')
    at--;
  return at;
}

static bool begins_with(const char *line, const char *word) {
  size_t n = strlen(word);
  if (strncmp(line, word, n) != 0)
    return false;
  return line[n] == ' ' || line[n] == '\t';
}

/* What a line says, without a comment behind it. */
static uint32_t words_end(const char *text, uint32_t at) {
  uint32_t end = at;
  for (bool quoted = false; text[end] != '\0' && text[end] != '\n' && text[end] != '\r'; end++) {
    quoted = quoted != (text[end] == '"');
    if (text[end] == '#' && !quoted)
      break;
  }
  while (end > at && (text[end - 1] == ' ' || text[end - 1] == '\t'))
    end--;
  return end;
}

/* A describing line of a device is replaced, or one is put under its opening line. */
static bool describe(const struct pl_check *check,
                     const struct pl_sources *sources,
                     pl_id device,
                     const char *word,
                     const char *line,
                     pl_fixes *fixes) {
  struct pl_span opening = check->harness->devices.at[device].span;
  const char *text = text_of(check, sources, opening);
  if (text == NULL)
    return false;
  uint32_t under = opening.start;
  for (uint32_t at = next_line(text, opening.start); text[at] == ' ' || text[at] == '\t';
       at = next_line(text, at)) {
    uint32_t first = at + (uint32_t)strspn(text + at, " \t");
    if (begins_with(text + first, word)) {
      push(check, fixes, opening.file, first, words_end(text, first), line);
      return true;
    }
    if (begins_with(text + first, "part"))
      under = at; /* what is said behind a part counts */
  }
  uint32_t end = line_end(text, under);
  push(check, fixes, opening.file, end, end, pl_arena_printf(check->arena, "\n  %s", line));
  return true;
}

static bool is_part(const struct pl_check *check, const char *name) {
  struct pl_part_entry *parts;
  uint32_t n;
  pl_build_list_parts(check->arena, &parts, &n);
  for (uint32_t i = 0; i < n; i++)
    if (strcmp(parts[i].name, name) == 0)
      return true;
  return false;
}

/* "part blade fuse 5 A" becomes "part blade fuse 7.5 A", where such a part is shipped. */
static bool other_part(const struct pl_check *check,
                       const struct pl_sources *sources,
                       pl_id device,
                       const char *from,
                       const char *to,
                       pl_fixes *fixes) {
  struct pl_span opening = check->harness->devices.at[device].span;
  const char *text = text_of(check, sources, opening);
  if (text == NULL)
    return false;
  for (uint32_t at = next_line(text, opening.start); text[at] == ' ' || text[at] == '\t';
       at = next_line(text, at)) {
    uint32_t first = at + (uint32_t)strspn(text + at, " \t");
    if (begins_with(text + first, "rating"))
      return false; /* that line says it */
    if (!begins_with(text + first, "part"))
      continue;
    uint32_t name = first + 4 + (uint32_t)strspn(text + first + 4, " \t");
    const char *old = pl_arena_strndup(check->arena, text + name, words_end(text, name) - name);
    const char *figure = strstr(old, from);
    if (figure == NULL || figure == old)
      return false;
    if (figure[-1] != ' ')
      return false;
    const char *new = pl_arena_printf(check->arena,
                                      "%.*s%s%s",
                                      (int)(figure - old),
                                      old,
                                      to,
                                      figure + strlen(from));
    if (!is_part(check, new))
      return false;
    push(check, fixes, opening.file, name, name + (uint32_t)strlen(old), new);
    return true;
  }
  return false;
}

/* ---- steps ---- */

static bool edit_size(const struct pl_check *check,
                      const struct pl_sources *sources,
                      const struct pl_step *step,
                      pl_fixes *fixes) {
  const struct pl_wire *wire = &check->harness->wires.at[step->what];
  char size[24];
  if (text_of(check, sources, wire->size_span) == NULL)
    return false;
  pl_wire_size_text(size, step->value, wire->metric);
  push(check,
       fixes,
       wire->size_span.file,
       wire->size_span.start,
       wire->size_span.end,
       pl_arena_strdup(check->arena, size));
  return true;
}

/* Wires at one pin go to the other. */
static bool move_wires(const struct pl_check *check,
                       const struct pl_sources *sources,
                       pl_id from,
                       pl_id to,
                       pl_fixes *fixes) {
  const struct pl_harness *h = check->harness;
  const struct pl_pin *pin = &h->pins.at[from];
  for (uint32_t k = 0; k < pin->wires.n; k++) {
    const struct pl_wire *wire = &h->wires.at[pin->wires.at[k]];
    struct pl_span span = wire->end_span[wire->end[0] == from ? 0 : 1];
    if (wire->end[0] == wire->end[1])
      return false;
    if (text_of(check, sources, span) == NULL)
      return false;
    push(check, fixes, span.file, span.start, span.end, h->pins.at[to].full);
  }
  return pin->wires.n > 0;
}

/* An edit never spans lines: the line end stays. */
static bool delete_line(const struct pl_check *check,
                        const struct pl_sources *sources,
                        struct pl_span span,
                        pl_fixes *fixes) {
  const char *text = text_of(check, sources, span);
  if (text == NULL)
    return false;
  push(check, fixes, span.file, line_start(text, span.start), line_end(text, span.start), "");
  return true;
}

/* Behind the size and the colour of the row. */
static bool add_twist(const struct pl_check *check,
                      const struct pl_sources *sources,
                      pl_id w,
                      const char *name,
                      pl_fixes *fixes) {
  const struct pl_wire *wire = &check->harness->wires.at[w];
  const char *text = text_of(check, sources, wire->size_span);
  if (text == NULL)
    return false;
  if (wire->twist[0] != '\0')
    return false;
  uint32_t at = wire->size_span.end;
  if (wire->colour.base[0] != '\0') {
    at += (uint32_t)strspn(text + at, " \t");
    at += (uint32_t)strcspn(text + at, " \t\r\n");
  }
  push(check,
       fixes,
       wire->size_span.file,
       at,
       at,
       pl_arena_printf(check->arena, " twist %s", name));
  return true;
}

bool pl_step_edit(const struct pl_check *check,
                  const struct pl_sources *sources,
                  const struct pl_step *step,
                  pl_fixes *fixes) {
  const struct pl_harness *h = check->harness;
  const char *name;
  switch (step->kind) {
    case PL_STEP_SIZE:
      return edit_size(check, sources, step, fixes);
    case PL_STEP_RATING:
      name = say(check, step->value, "A");
      if (other_part(check,
                     sources,
                     step->what,
                     say(check, h->devices.at[step->what].rating, "A"),
                     name,
                     fixes))
        return true;
      name = pl_arena_printf(check->arena, "rating %s", name);
      return describe(check, sources, step->what, "rating", name, fixes);
    case PL_STEP_TURN:
      return move_wires(check, sources, step->what, step->other, fixes) &&
             move_wires(check, sources, step->other, step->what, fixes);
    case PL_STEP_OUT:
      return delete_line(check, sources, h->wires.at[step->what].span, fixes);
    case PL_STEP_TWIST:
      name = pl_arena_printf(check->arena, "pair-%s", h->wires.at[step->what].number);
      if (!add_twist(check, sources, step->what, name, fixes))
        return false;
      return add_twist(check, sources, step->other, name, fixes);
    case PL_STEP_PULSES:
      name = pl_arena_printf(check->arena, "pulses %u", (unsigned)step->value);
      return describe(check, sources, step->what, "pulses", name, fixes);
    case PL_STEP_SUPPRESS:
      name =
          pl_arena_printf(check->arena, "suppression resistor %s", say(check, step->value, "ohm"));
      return describe(check, sources, step->what, "suppression", name, fixes);
    case PL_STEP_WAIVER:
      return delete_line(check, sources, h->waivers.at[step->what].span, fixes);
  }
  return false;
}

/* ---- in words ---- */

static const char *say_end(const struct pl_harness *h, pl_id pin) {
  if (pin == PL_NONE)
    return "the air";
  return h->pins.at[pin].full;
}

static const char *say_size(const struct pl_check *check, const struct pl_step *step) {
  const struct pl_wire *wire = &check->harness->wires.at[step->what];
  char size[24];
  return pl_arena_printf(check->arena,
                         "%s instead of %s on wire %s",
                         pl_wire_size_text(size, step->value, wire->metric),
                         wire->size,
                         wire->number);
}

const char *pl_step_say(const struct pl_check *check, const struct pl_step *step) {
  const struct pl_harness *h = check->harness;
  const struct pl_wire *wire;
  switch (step->kind) {
    case PL_STEP_SIZE:
      return say_size(check, step);
    case PL_STEP_RATING:
      return pl_arena_printf(check->arena,
                             "%s instead of %s at %s",
                             say(check, step->value, "A"),
                             say(check, h->devices.at[step->what].rating, "A"),
                             h->devices.at[step->what].name);
    case PL_STEP_TURN:
      return pl_arena_printf(check->arena,
                             "change over what is wired to %s and %s",
                             h->pins.at[step->what].full,
                             h->pins.at[step->other].full);
    case PL_STEP_OUT:
      wire = &h->wires.at[step->what];
      return pl_arena_printf(check->arena,
                             "take wire %s out (%s to %s)",
                             wire->number,
                             say_end(h, wire->end[0]),
                             say_end(h, wire->end[1]));
    case PL_STEP_TWIST:
      return pl_arena_printf(check->arena,
                             "wires %s and %s as a twisted pair",
                             h->wires.at[step->what].number,
                             h->wires.at[step->other].number);
    case PL_STEP_PULSES:
      return pl_arena_printf(check->arena,
                             "set %s to %u pulses, after counting the poles and measuring both "
                             "pulleys",
                             h->devices.at[step->what].name,
                             (unsigned)step->value);
    case PL_STEP_SUPPRESS:
      return pl_arena_printf(check->arena,
                             "%s with a resistor of %s across its coil",
                             h->devices.at[step->what].name,
                             say(check, step->value, "ohm"));
    case PL_STEP_WAIVER:
      return "take the waiver out";
  }
  return "";
}
