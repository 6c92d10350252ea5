/* A device while it is read: its part's lines first, then its own; pins and connectors in loose
 * lists until all is known. */
#ifndef PL_MODEL_DRAFT_INNER_H
#define PL_MODEL_DRAFT_INNER_H

#include "model/builder_inner.h"

struct pl_draft_pin {
  struct pl_pin pin;
  uint32_t connector; /* index into draft connectors, PL_NONE = loose */
};

struct pl_draft_stand { /* a threshold, its position by name until all are known */
  const char *position;
  struct pl_span span;
  bool above;
  double at;
};

struct pl_draft {
  struct pl_builder *builder;
  struct pl_device device;
  PL_VEC(struct pl_connector) connectors;
  PL_VEC(struct pl_draft_pin) pins;
  struct pl_table pin_names; /* name -> index into pins */
  PL_VEC(struct pl_fixup) fixups;
  const char *rests; /* name of the position at rest, NULL */
  struct pl_span rests_span;
  bool part_lines;      /* reading the part's lines now: places are those of the device */
  uint32_t depth;       /* parts within parts */
  enum pl_load_law law; /* PL_LAW_CURRENT or PL_LAW_POWER when a load says so */
  const char *measures; /* the quantity, NULL */
  struct pl_span measures_span;
  PL_VEC(struct pl_draft_stand) stands;
  bool measure_known; /* device.measure is that of a table or threshold read */
  bool shares;        /* its table is one of shares of the supply */
  bool silent; /* a connector or part of it is broken and reported: unknown pins and lines follow
                  from that */
};

/* Index of a pin; made loose when it is not there and `make`; PL_NONE otherwise. */
uint32_t pl_draft_pin(struct pl_draft *draft, const char *name, bool make, struct pl_span span);

/* "connector" [ name ] INTEGER "cavities" { "," fact } .  For inline pairs both halves. */
void pl_draft_connector(struct pl_draft *draft, struct pl_cursor *cursor);

/* "cavities" INTEGER { "," fact } , the connector line of things that are a connector.  The cursor
 * stands before the number. */
void pl_draft_cavities(struct pl_draft *draft, struct pl_cursor *cursor);

/* [ "pin" ] name [ ".." name ] [ role ] { "," fact } [ TEXT ] .  The cursor stands before the name.
 */
void pl_draft_pin_row(struct pl_draft *draft, struct pl_cursor *cursor);

/* Would the first words of the line be a pin row of this device? */
bool pl_draft_is_pin_row(struct pl_draft *draft, const struct pl_cursor *cursor);

/* A describing line of a device: true when the keyword is known for its kind (and was read). */
bool pl_draft_line(struct pl_draft *draft, struct pl_cursor *cursor);
void pl_draft_offer_words(const struct pl_draft *draft, struct pl_nearest *nearest);
const char *pl_draft_other_kinds(struct pl_draft *draft,
                                 const char *word); /* "fuse, relay" that know the word; "" */

/* measure.c: lines about quantities, and what is made of them when the device is complete. */
void pl_draft_line_measures(struct pl_draft *draft, struct pl_cursor *cursor);
void pl_draft_line_reading(struct pl_draft *draft, struct pl_cursor *cursor);
void pl_draft_line_signal(struct pl_draft *draft,
                          struct pl_cursor *cursor); /* "signal" share "at" quantity ... */
void pl_draft_line_beta(struct pl_draft *draft, struct pl_cursor *cursor);
void pl_draft_line_stands(struct pl_draft *draft, struct pl_cursor *cursor);
void pl_draft_finish_measure(struct pl_draft *draft, struct pl_cursor *cursor);
void pl_draft_register_quantity(struct pl_draft *draft, pl_id device);

/* "sensor B1 WHAT": an error about the device as a whole. */
void pl_draft_wrong(struct pl_draft *draft,
                    struct pl_cursor *cursor,
                    const char *what,
                    const char *remedy);

/* Pins a kind has by itself, and defaults where the text is silent. */
void pl_draft_begin(struct pl_draft *draft);
void pl_draft_finish(struct pl_draft *draft, struct pl_cursor *cursor);

#endif
