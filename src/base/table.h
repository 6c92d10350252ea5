/* Hash table from text to a 32-bit value, in an arena.  Iteration order is never offered: output
 * order must not depend on hashing. */
#ifndef PL_BASE_TABLE_H
#define PL_BASE_TABLE_H

#include <stdbool.h>

#include "base/arena.h"

struct pl_table_slot {
  uint32_t hash, entry;
}; /* entry: its place among the keys, counted from 1; 0 when free */
struct pl_table_entry {
  const char *key;
  uint32_t value;
};

struct pl_table {
  struct pl_arena *arena;
  struct pl_table_slot *slots; /* hit by chance, so they are small */
  uint32_t cap;
  PL_VEC(struct pl_table_entry) entries;
};

void pl_table_init(struct pl_table *table, struct pl_arena *arena);

/* Forgets every key and keeps the room. */
void pl_table_clear(struct pl_table *table);

/* Makes room at once for `more` keys that are likely to come. */
void pl_table_reserve(struct pl_table *table, uint32_t more);

/* Keeps the first value: returns false (and changes nothing) when the key is there already.  The
 * key must outlive the table. */
bool pl_table_add(struct pl_table *table, const char *key, uint32_t value);

bool pl_table_find(const struct pl_table *table, const char *key, uint32_t *value);

#endif
