/* What is new among the findings, and whether it speaks of what was edited. */
#include "bench.h"

static bool is_mark(char c) {
  return c != '\0' && strchr(" ,;:()\"'`!?", c) == NULL;
}

/* `name` as a word of its own, or as the device of a pin ("ECM" in "ECM.A12"). */
static bool speaks_of(const char *text, const char *name) {
  size_t n = strlen(name);
  for (const char *at = strstr(text, name); at != NULL; at = strstr(at + 1, name))
    if ((at == text || !is_mark(at[-1])) && (!is_mark(at[n]) || at[n] == '.'))
      return true;
  return false;
}

/* "wire 41", "wires 40, 41 and 42". */
static bool speaks_of_wire(const char *text, const char *number) {
  size_t n = strlen(number);
  for (const char *at = strstr(text, "wire"); at != NULL; at = strstr(at + 4, "wire")) {
    const char *word = at + (at[4] == 's' ? 5 : 4);
    while (*word == ' ') {
      word++;
      size_t length = strcspn(word, " ,;:()");
      if (length == n && strncmp(word, number, n) == 0)
        return true;
      word += length;
      if (*word == ',')
        word++;
      if (strncmp(word, " and ", 5) == 0)
        word += 4;
      else if (word[-1] != ',')
        break;
    }
  }
  return false;
}

static bool names_edit(const struct bench_edit *edit, const struct pl_finding *f) {
  const char *said[] = {f->place, f->text, f->remedy, f->blames, f->follows};
  for (size_t k = 0; k < sizeof said / sizeof *said; k++) {
    for (uint32_t i = 0; i < edit->wires.n; i++)
      if (speaks_of_wire(said[k], edit->wires.at[i]))
        return true;
    for (uint32_t i = 0; i < edit->things.n; i++)
      if (speaks_of(said[k], edit->things.at[i]))
        return true;
  }
  return false;
}

/* A place by its old name, where the edit gave it another. */
static const char *as_before(const struct bench_edit *edit, const char *place, char buffer[256]) {
  const char *at = edit->new_name == NULL ? NULL : strstr(place, edit->new_name);
  if (at == NULL)
    return place;
  snprintf(buffer,
           256,
           "%.*s%s%s",
           (int)(at - place),
           place,
           edit->old_name,
           at + strlen(edit->new_name));
  return buffer;
}

/* The sound machine has it too, waived or not. */
static bool is_old(const struct bench_edit *edit, const struct pl_finding *f) {
  const struct pl_findings *old = &edit->machine->sound.findings;
  char buffer[256];
  const char *place = as_before(edit, f->place, buffer);
  for (uint32_t i = 0; i < old->list.n; i++)
    if (strcmp(old->list.at[i].rule, f->rule) == 0 && strcmp(old->list.at[i].place, place) == 0)
      return true;
  return false;
}

/* A waiver without its finding says only that something changed, not what is wrong. */
static bool counts(const struct pl_finding *f) {
  return f->waived == NULL && strcmp(f->rule, "idle-waiver") != 0;
}

struct bench_outcome bench_compare(const struct bench_edit *edit,
                                   const struct bench_judged *changed,
                                   struct pl_arena *arena) {
  struct bench_outcome outcome = {.read = changed->read, .said = ""};
  for (uint32_t i = 0; i < changed->findings.list.n; i++) {
    const struct pl_finding *f = &changed->findings.list.at[i];
    if (!counts(f) || is_old(edit, f))
      continue;
    bool names = names_edit(edit, f);
    if (!outcome.found || (names && !outcome.named))
      outcome.said = pl_arena_printf(arena, "%s at %s: %s", f->rule, f->place, f->text);
    outcome.found = true;
    outcome.named = outcome.named || names;
  }
  return outcome;
}
