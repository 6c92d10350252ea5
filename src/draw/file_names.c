/* Names of files that every file system keeps apart. */
#include "draw/file_names.h"

#include <string.h>

#include "base/buffer.h"

const char *pl_safe_name(struct pl_arena *arena, const char *name) {
  static const char hex[] = "0123456789ABCDEF";
  if (name[0] == '\0')
    return "_";
  char *safe = pl_arena_alloc(arena, strlen(name) * 3 + 1, 1);
  char *to = safe;
  for (const char *from = name; *from != '\0'; from++) {
    char c = *from;
    if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-') {
      *to++ = c;
    } else if (c == '_') {
      *to++ = '_';
      *to++ = '_';
    } else {
      *to++ = '_';
      *to++ = hex[(unsigned char)c >> 4];
      *to++ = hex[(unsigned char)c & 15];
    }
  }
  *to = '\0';
  return safe;
}

static bool same_but_case(const char *a, const char *b) {
  for (;; a++, b++) {
    char x;
    if (*a >= 'A' && *a <= 'Z')
      x = (char)(*a + 32);
    else
      x = *a;
    char y;
    if (*b >= 'A' && *b <= 'Z')
      y = (char)(*b + 32);
    else
      y = *b;
    if (x != y)
      return false;
    if (x == '\0')
      return true;
  }
}

/* "_-2" and so on: no escape is followed by '-', so that it meets no name. */
static const char *suffix(struct pl_arena *arena, uint32_t twins) {
  if (twins == 0)
    return "";
  return pl_arena_printf(arena, "_-%u", twins + 1);
}

const char *pl_circuit_file(struct pl_arena *arena,
                            const struct pl_harness *harness,
                            pl_id circuit,
                            uint32_t page) {
  const char *name = harness->circuits.at[circuit].name;
  uint32_t twins = 0;
  for (pl_id i = 0; i < circuit; i++)
    twins += same_but_case(harness->circuits.at[i].name, name);
  const char *safe = pl_safe_name(arena, name);
  if (page <= 1)
    return pl_arena_printf(arena, "circuit-%s%s.svg", safe, suffix(arena, twins));
  return pl_arena_printf(arena, "circuit-%s%s_-p%u.svg", safe, suffix(arena, twins), page);
}

/* "power.svg", "power-p2.svg". */
static const char *numbered(struct pl_arena *arena, const char *stem, uint32_t page) {
  if (page <= 1)
    return pl_arena_printf(arena, "%s.svg", stem);
  return pl_arena_printf(arena, "%s-p%u.svg", stem, page);
}

const char *pl_power_file(struct pl_arena *arena, uint32_t page) {
  return numbered(arena, "power", page);
}

const char *pl_plan_file(struct pl_arena *arena, uint32_t page) {
  return numbered(arena, "routing", page);
}

const char *pl_board_map_file(struct pl_arena *arena, uint32_t page) {
  if (page <= 1)
    return "board.svg";
  return pl_arena_printf(arena, "board_-p%u.svg", page);
}

const char *pl_board_file(struct pl_arena *arena,
                          const struct pl_harness *harness,
                          pl_id place,
                          uint32_t part) {
  const char *name = harness->places.at[place].name;
  uint32_t twins = 0;
  for (pl_id i = 0; i < place; i++)
    twins += same_but_case(harness->places.at[i].name, name);
  const char *stem =
      pl_arena_printf(arena, "board-%s%s", pl_safe_name(arena, name), suffix(arena, twins));
  if (part == 0)
    return pl_arena_printf(arena, "%s.svg", stem);
  return pl_arena_printf(arena, "%s_-p%u.svg", stem, part + 1);
}

static const char *
connector_stem(struct pl_arena *arena, const struct pl_harness *harness, pl_id connector) {
  const struct pl_connector *one = &harness->connectors.at[connector];
  const char *device = pl_safe_name(arena, harness->devices.at[one->device].name);
  /* "_-" cannot come out of an escape, so that device "A-B" and connector B of device "A" differ */
  if (one->name[0] == '\0')
    return device;
  return pl_arena_printf(arena, "%s_-c-%s", device, pl_safe_name(arena, one->name));
}

const char *
pl_connector_file(struct pl_arena *arena, const struct pl_harness *harness, pl_id connector) {
  const char *stem = connector_stem(arena, harness, connector);
  uint32_t twins = 0;
  for (pl_id i = 0; i < connector; i++) {
    const struct pl_connector *one = &harness->connectors.at[i];
    const struct pl_connector *this = &harness->connectors.at[connector];
    if (!same_but_case(harness->devices.at[one->device].name,
                       harness->devices.at[this->device].name))
      continue;
    twins += same_but_case(one->name, this->name);
  }
  return pl_arena_printf(arena, "connector-%s%s.svg", stem, suffix(arena, twins));
}
