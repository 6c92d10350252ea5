/* What differs between two texts of one machine: the change sheet of a harness that is already
 * built. */
#ifndef PL_SHEET_CHANGES_H
#define PL_SHEET_CHANGES_H

#include "sheet/sheet.h"

/* One thing said of one record: "wire" "41" "size" "14 AWG". */
struct pl_fact {
  const char *aspect, *value;
};
/* A record with all that is said of it. */
struct pl_record {
  const char *group; /* "wire", "device", "pin" ... */
  const char *name;
  const char *key; /* group and name; of several with the same the second and so on are numbered */
  const char *owner; /* the device of a pin or plug: when that is new or gone, they are not listed
                        beside it; "" */
  PL_VEC(struct pl_fact) facts;
};
typedef PL_VEC(struct pl_record) pl_records;

/* Everything the harness says, record by record, in the order of the text.  `like`: the harness it
 * is held against, so that a wire written from its other end is the same wire; NULL. */
void pl_records_of(const struct pl_harness *harness,
                   const struct pl_harness *like,
                   struct pl_arena *arena,
                   pl_records *records);

/* A difference; `aspect`, `was` and `is` are "" where the record as a whole came or went. */
enum pl_change_kind {
  PL_CHANGE_ADDED,
  PL_CHANGE_REMOVED,
  PL_CHANGE_CHANGED
};
struct pl_change {
  enum pl_change_kind kind;
  const char *group, *name, *aspect, *was, *is;
};
typedef PL_VEC(struct pl_change) pl_changes;

/* In the order of the groups, then of the new text, what is gone last. */
void pl_changes_find(const struct pl_harness *old,
                     const struct pl_harness *harness,
                     struct pl_arena *arena,
                     pl_changes *changes);

/* A page of the printed set that is not the same any more. */
struct pl_changed_page {
  const char *title, *section;
  enum pl_change_kind kind;
};
typedef PL_VEC(struct pl_changed_page) pl_changed_pages;

/* The change sheet: what differs, cavities to change, what to test again, pages to print again.
 * `network`: of the new text, solved or not. */
void pl_sheets_changes(const struct pl_harness *old,
                       const struct pl_harness *harness,
                       struct pl_network *network,
                       const pl_changed_pages *pages,
                       struct pl_arena *arena,
                       pl_sheets *sheets);

#endif
