/* What the shop page's files hand each other: the data that the script reads, and the script. */
#ifndef PL_OUT_SHOP_INNER_H
#define PL_OUT_SHOP_INNER_H

#include "write/shop.h"

/* The harness and what was solved of it as JSON.  A record's place in its list is its id here;
 * names of the fields: src/write/shop/model.js. */
void pl_shop_data(struct pl_buffer *out, const struct pl_output_inputs *in, struct pl_arena *arena);

/* Embedded at build time from src/write/shop/, NUL at the end. */
extern const unsigned char pl_shop_script[], pl_shop_style[];

#endif
