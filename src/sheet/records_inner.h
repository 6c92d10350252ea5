/* What the files that turn a harness into records share.  How a describing line is told stands in
 * its row of model/facts.def, by the name of a function here. */
#ifndef PL_SHEET_RECORDS_INNER_H
#define PL_SHEET_RECORDS_INNER_H

#include "sheet/changes.h"

struct pl_teller {
  const struct pl_harness *harness;
  struct pl_arena *arena;
  pl_records *records;
  struct pl_table times; /* how often a key came */
};

/* Begins a record.  `owner`: see struct pl_record. */
void pl_tell_record(struct pl_teller *teller,
                    const char *group,
                    const char *name,
                    const char *owner);

/* Says one thing of the record begun last.  Lines that fill the same field tell the same aspect: it
 * is said once. */
void pl_tell(struct pl_teller *teller, const char *aspect, const char *value);
void pl_tell_number(struct pl_teller *teller, const char *aspect, double value);
void pl_tell_whether(struct pl_teller *teller, const char *aspect, bool value);

/* A figure as it is read back: "" when nothing is said. */
const char *pl_teller_number(const struct pl_teller *teller, double value);

/* Names; "" (of a pin "in the air") of what is not there. */
const char *pl_teller_pin(const struct pl_teller *teller, pl_id pin);
const char *pl_teller_place(const struct pl_teller *teller, pl_id place);
const char *pl_teller_device(const struct pl_teller *teller, pl_id device);
const char *pl_teller_terminal(const struct pl_teller *teller, pl_id terminal);
const char *pl_teller_quantity(const struct pl_teller *teller, pl_id quantity);

/* Devices first, then their plugs, then their pins. */
void pl_tell_devices(struct pl_teller *teller);

#endif
