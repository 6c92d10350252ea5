/* The describing lines and words of the language as rows, for whoever lists them: the documents'
 * test, help, completion.  What a row is: model/facts.def. */
#ifndef PL_MODEL_FACTS_H
#define PL_MODEL_FACTS_H

#include <stddef.h>

#include "harness/harness.h"
#include "standard/defaults.h"
#include "standard/limits_data.h"

/* Which kinds a line fits: all, or those with any of the properties, or one; but none with those
 * of `none`. */
struct pl_fits {
  pl_properties any, none;
  uint64_t only; /* bit 1 << kind */
};
bool pl_fits(const struct pl_fits *fits, enum pl_kind kind);

struct pl_fact_row {
  const char *thing; /* "device", "machine", "place" ..., "connector fact", "pin fact" */
  const char *word;  /* "" of what has none: a figure alone, a quantity's name */
  struct pl_fits fits;
  const char *example, *other, *help;
};
extern const struct pl_fact_row pl_facts[];
extern const uint32_t pl_fact_count;

/* What a device's figure is where the text says nothing. */
enum pl_default_scale {
  PL_SCALE_PLAIN,
  PL_SCALE_VOLTS,        /* a share of the device's nominal volts */
  PL_SCALE_VOLTS_SQUARED /* ohms at 12 V, that draw the same watts at the device's */
};
struct pl_fact_default {
  const char *word; /* of its line */
  struct pl_fits fits;
  size_t field; /* in struct pl_device */
  enum pl_standard_default_id id;
  enum pl_default_scale scale;
  const char *what, *unit; /* as `pinloom defaults` prints them */
};
extern const struct pl_fact_default pl_fact_defaults[];
extern const uint32_t pl_fact_default_count;

/* The default for a device of these nominal volts. */
double pl_fact_default_value(const struct pl_fact_default *row, double volts);

/* The same of the machine. */
struct pl_machine_default {
  const char *word;
  size_t field; /* in struct pl_machine */
  const struct pl_limit *limit;
  double scale;       /* a field of 1 is this much of the limit's unit */
  const char *source; /* "": the limit's own */
};
extern const struct pl_machine_default pl_machine_defaults[];
extern const uint32_t pl_machine_default_count;

#endif
