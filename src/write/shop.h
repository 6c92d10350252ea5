/* The shop page: one HTML file that works from a phone's storage, without a network: find a pin,
 * wire or connector, see its way on the drawings, what to read there in each state, and what the
 * readings say is broken.  The script's own sources are in src/write/shop/. */
#ifndef PL_OUT_SHOP_H
#define PL_OUT_SHOP_H

#include "write/output.h"

/* `circuits`: the circuit pages to show.  False: something was refused on the way, a fault of the
 * program. */
bool pl_shop_write(struct pl_buffer *out,
                   const struct pl_output_inputs *in,
                   const pl_scenes *circuits,
                   struct pl_arena *arena);

#endif
