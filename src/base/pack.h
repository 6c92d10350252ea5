/* Bytes made small and back (zlib's form, RFC 1950), which browsers can undo too. */
#ifndef PL_BASE_PACK_H
#define PL_BASE_PACK_H

#include <stdbool.h>

#include "base/buffer.h"

/* Adds the packed bytes to `out`. */
void pl_pack(struct pl_buffer *out, const void *bytes, size_t n);

/* The bytes again, in the buffer's arena.  False when they are not whole, not packed, or would be
 * more than `most`. */
bool pl_unpack(struct pl_buffer *out, const void *packed, size_t n, size_t most);

/* Base 64 (RFC 4648) of bytes, for text files that carry them. */
void pl_base64(struct pl_buffer *out, const void *bytes, size_t n);

#endif
