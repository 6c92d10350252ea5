/* Readings line by line.  The grammar has no order of words: each word by itself is a name of the
 * harness, a word of the trade or a figure with its unit (said_word.c) and fills a slot of the
 * line; which slots are filled says which reading it is (said_meaning.c).  People write the same
 * thing in any order, and a word that fits nowhere is told with the nearest one.  Each word is
 * compared with every name: a reading costs words x names, nothing beside one solve. */
#include <string.h>
#include <strings.h>

#include "suspect/said_inner.h"

static bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/* A comma between two figures belongs to the number. */
static bool is_decimal(const struct pl_said_reader *r, uint32_t start, uint32_t end, uint32_t at) {
  if (r->text[at] != ',')
    return false;
  if (!(at > start))
    return false;
  if (!(at + 1 < end))
    return false;
  if (!is_digit(r->text[at - 1]))
    return false;
  return is_digit(r->text[at + 1]);
}

static bool is_gap(char c) {
  if (c == ' ')
    return true;
  if (c == '\t')
    return true;
  if (c == ',')
    return true;
  if (c == ';')
    return true;
  return c == '\r';
}

static void read_line(struct pl_said_reader *r, uint32_t start, uint32_t end) {
  struct pl_said_line line = {.start = start,
                              .end = end,
                              .pins = {PL_NONE, PL_NONE},
                              .device = PL_NONE,
                              .wire = PL_NONE,
                              .place = PL_NONE,
                              .state = PL_NONE,
                              .switched = PL_NONE};
  bool any = false;

  while (line.start < end && is_gap(r->text[line.start]))
    line.start++;
  while (line.end > line.start && is_gap(r->text[line.end - 1]))
    line.end--;
  line.whole = pl_arena_strndup(r->arena, r->text + line.start, line.end - line.start);
  for (uint32_t at = line.start; at < line.end && !line.bad;) {
    uint32_t from = at;
    while (at < line.end && (!is_gap(r->text[at]) || is_decimal(r, line.start, line.end, at)))
      at++;
    uint32_t to = at;
    if (at > from && r->text[at - 1] == ':')
      to = at - 1;
    while (at < line.end && is_gap(r->text[at]))
      at++;
    if (to == from)
      continue;
    any = true;
    pl_said_word(r, &line, pl_arena_strndup(r->arena, r->text + from, to - from), from);
  }
  if (any && !line.bad)
    pl_said_understand(r, &line);
}

/* "all as it should" speaks of what no other line names: such lines are read last. */
static bool is_about_all(const char *text, uint32_t n) {
  static const char *const words[] =
      {"all ", "rest ", "everything ", "fuses ", "the rest ", "else "};

  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (n > strlen(words[i]) && strncasecmp(text, words[i], strlen(words[i])) == 0)
      return true;
  return false;
}

bool pl_readings_read(const struct pl_suspects *table,
                      const struct pl_sources *sources,
                      uint32_t file,
                      struct pl_findings *findings,
                      pl_evidences *evidences,
                      pl_betweens *betweens) {
  const struct pl_source *source = &sources->files.at[file];
  struct pl_said_reader r = {.table = table,
                             .harness = table->harness,
                             .findings = findings,
                             .evidences = evidences,
                             .betweens = betweens,
                             .arena = table->arena,
                             .text = source->text,
                             .file = file,
                             .good = true};

  for (int last = 0; last < 2; last++)
    for (uint32_t at = 0; at < source->size;) {
      uint32_t n = (uint32_t)strcspn(source->text + at, "\n");
      uint32_t words = (uint32_t)strcspn(source->text + at, "#\n");
      uint32_t lead = (uint32_t)strspn(source->text + at, " \t");
      if (is_about_all(source->text + at + lead, words - (lead < words ? lead : words)) ==
          (last == 1))
        read_line(&r, at, at + words);
      at += n + 1;
    }
  return r.good;
}
