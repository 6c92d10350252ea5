/* Two cavities of an inline plug crossed, told by what the wires themselves say: a colour or a
 * number that goes on in the other cavity, both ways.  A wire that only changes its colour at a
 * plug proves nothing and is silent. */
#include <string.h>

#include "rules/duty_inner.h"
#include "rules/families_inner.h"
#include "rules/rule_words_inner.h"

struct cavity { /* one mated pair with one wire on either side */
  pl_id pin[2];
  const struct pl_wire *wire[2];
};
typedef PL_VEC(struct cavity) cavities;

/* The one wire there; NULL. */
static const struct pl_wire *only_wire(const struct pl_harness *h, pl_id pin) {
  const struct pl_wire *only = NULL;
  const struct pl_pin *p = &h->pins.at[pin];
  for (uint32_t i = 0; i < p->wires.n; i++) {
    const struct pl_wire *wire = &h->wires.at[p->wires.at[i]];
    if (!pl_wire_joins(wire))
      continue;
    if (only != NULL)
      return NULL;
    only = wire;
  }
  return only;
}

static cavities mated(const struct pl_check *check, const struct pl_device *plug) {
  const struct pl_harness *h = check->harness;
  cavities list = {0};
  for (uint32_t i = 0; i < plug->fixed.n; i++) {
    const struct pl_join *join = &plug->fixed.at[i];
    struct cavity c = {{join->a, join->b}, {only_wire(h, join->a), only_wire(h, join->b)}};
    if (c.wire[0] != NULL && c.wire[1] != NULL)
      PL_PUSH(check->arena, &list, c);
  }
  return list;
}

typedef bool alike(const struct pl_wire *a, const struct pl_wire *b);

static bool same_colour(const struct pl_wire *a, const struct pl_wire *b) {
  if (a->colour.base[0] == '\0')
    return false;
  if (strcmp(a->colour.base, b->colour.base) != 0)
    return false;
  if (strcmp(a->colour.stripe, b->colour.stripe) != 0)
    return false;
  return strcmp(a->colour.stripe2, b->colour.stripe2) == 0;
}

/* How much of a number its two halves share: "73" of "73A" and "73-2". */
static size_t stem(const char *number) {
  size_t n = strlen(number);
  const char *dash = strpbrk(number, "-./");
  if (dash != NULL && dash > number)
    return (size_t)(dash - number);
  if (n > 1 && strchr("ABCDEFabcdef", number[n - 1]) != NULL)
    return n - 1;
  return n;
}

static bool same_number(const struct pl_wire *a, const struct pl_wire *b) {
  size_t n = stem(a->number);
  if (n != stem(b->number))
    return false;
  return strncmp(a->number, b->number, n) == 0;
}

/* Each goes on in the other's cavity, neither in its own. */
static bool crossed(const struct cavity *a, const struct cavity *b, alike *fits) {
  if (fits(a->wire[0], a->wire[1]))
    return false;
  if (fits(b->wire[0], b->wire[1]))
    return false;
  if (!fits(a->wire[0], b->wire[1]))
    return false;
  return fits(b->wire[0], a->wire[1]);
}

static const char *say_wire_here(const struct pl_check *check, const struct pl_wire *wire) {
  char colour[16];
  return pl_arena_printf(check->arena,
                         "wire %s%s%s",
                         wire->number,
                         wire->colour.base[0] == '\0' ? "" : " ",
                         wire->colour.base[0] == '\0' ? "" : pl_colour_text(&wire->colour, colour));
}

static void report(struct pl_check *check,
                   const struct pl_device *plug,
                   const struct cavity *a,
                   const struct cavity *b,
                   const char *what) {
  const struct pl_harness *h = check->harness;
  struct pl_finding f = pl_finding_new("cavity-crossed",
                                       PL_FAULT,
                                       pl_pin_wiring_span(h, a->pin[0]),
                                       h->pins.at[a->pin[0]].full);
  f.blames = h->pins.at[b->pin[0]].full;
  f.text = pl_arena_printf(check->arena,
                           "two cavities of %s are crossed: %s at %s goes on as %s, and %s at %s "
                           "as %s; by their %s they belong the other way",
                           plug->name,
                           say_wire_here(check, a->wire[0]),
                           h->pins.at[a->pin[0]].full,
                           say_wire_here(check, a->wire[1]),
                           say_wire_here(check, b->wire[0]),
                           h->pins.at[b->pin[0]].full,
                           say_wire_here(check, b->wire[1]),
                           what);
  f.remedy = "ring both wires out from end to end, then change them over in one half of the plug";
  pl_findings_add(check->findings, f);
}

/* Each cavity with the first it is crossed with.  Cavities squared, and a plug has few. */
static void check_plug(struct pl_check *check, const struct pl_device *plug) {
  cavities list = mated(check, plug);
  bool *done = PL_NEW_ARRAY(check->arena, bool, (size_t)list.n + 1);
  for (uint32_t i = 0; i < list.n; i++)
    for (uint32_t j = i + 1; j < list.n && !done[i]; j++) {
      const struct cavity *a = &list.at[i];
      const struct cavity *b = &list.at[j];
      if (done[j])
        continue;
      if (pl_same_net(check, a->pin[0], b->pin[0]))
        continue;
      const char *what = NULL;
      if (crossed(a, b, same_number))
        what = "numbers";
      if (crossed(a, b, same_colour))
        what = "colours";
      if (what == NULL)
        continue;
      report(check, plug, a, b, what);
      done[i] = done[j] = true;
    }
}

void pl_rule_cavity_crossed(struct pl_check *check) {
  for (pl_id d = 0; d < check->harness->devices.n; d++)
    if (pl_device_is(check->harness, d, PL_IS_INLINE))
      check_plug(check, &check->harness->devices.at[d]);
}
