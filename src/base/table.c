/* Hash table with open addressing: the keys in the order they came, and slots that say which;
 * power-of-two size, at most two thirds full, FNV-1a with a final mixing so that the low bits
 * depend on every byte. */
#include "base/table.h"

#include <string.h>

enum {
  TABLE_FIRST = 16
};

static uint32_t hash_of(const char *key) {
  uint32_t hash = 2166136261u; /* FNV-1a offset basis and prime, 32 bits */

  for (const unsigned char *at = (const unsigned char *)key; *at != '\0'; at++)
    hash = (hash ^ *at) * 16777619u;
  hash ^= hash >> 16;
  hash *= 0x85ebca6bu;
  hash ^= hash >> 13;
  hash *= 0xc2b2ae35u;
  return hash ^ (hash >> 16);
}

void pl_table_init(struct pl_table *table, struct pl_arena *arena) {
  *table = (struct pl_table){.arena = arena};
}

/* The slot that holds the key, or the free one where it belongs. */
static struct pl_table_slot *slot_of(const struct pl_table *table, const char *key, uint32_t hash) {
  uint32_t i = hash & (table->cap - 1);

  while (table->slots[i].entry != 0 &&
         (table->slots[i].hash != hash ||
          strcmp(table->entries.at[table->slots[i].entry - 1].key, key) != 0))
    i = (i + 1) & (table->cap - 1);
  return &table->slots[i];
}

static void widen(struct pl_table *table, size_t cap) {
  struct pl_table_slot *old = table->slots;
  uint32_t before = table->cap;

  table->slots = pl_arena_alloc(table->arena, cap, sizeof *table->slots);
  table->cap = (uint32_t)cap;
  for (uint32_t i = 0; i < before; i++) {
    uint32_t to = old[i].hash & (table->cap - 1);

    if (old[i].entry == 0)
      continue;
    while (table->slots[to].entry != 0)
      to = (to + 1) & (table->cap - 1);
    table->slots[to] = old[i];
  }
}

static void grow(struct pl_table *table) {
  /* a size that would not fit asks for more than there is: the arena reports it */
  widen(table,
        table->cap == 0               ? TABLE_FIRST
        : table->cap > UINT32_MAX / 2 ? SIZE_MAX
                                      : (size_t)table->cap * 2);
}

void pl_table_reserve(struct pl_table *table, uint32_t more) {
  size_t cap = table->cap == 0 ? TABLE_FIRST : table->cap;

  while (cap / 3 * 2 <= (size_t)table->entries.n + more && cap <= UINT32_MAX / 2)
    cap *= 2;
  if (cap > table->cap)
    widen(table, cap);
  PL_RESERVE(table->arena, &table->entries, more);
}

void pl_table_clear(struct pl_table *table) {
  if (table->entries.n != 0)
    memset(table->slots, 0, table->cap * sizeof *table->slots);
  table->entries.n = 0;
}

bool pl_table_add(struct pl_table *table, const char *key, uint32_t value) {
  uint32_t hash = hash_of(key);
  struct pl_table_slot *slot;
  struct pl_table_entry entry = {key, value};

  if (table->entries.n >= table->cap / 3 * 2)
    grow(table);
  slot = slot_of(table, key, hash);
  if (slot->entry != 0)
    return false;
  PL_PUSH(table->arena, &table->entries, entry);
  *slot = (struct pl_table_slot){hash, table->entries.n};
  return true;
}

bool pl_table_find(const struct pl_table *table, const char *key, uint32_t *value) {
  const struct pl_table_slot *slot;

  if (table->cap == 0)
    return false;
  slot = slot_of(table, key, hash_of(key));
  if (slot->entry == 0)
    return false;
  if (value != NULL)
    *value = table->entries.at[slot->entry - 1].value;
  return true;
}
