/* The only file that sees zlib. */
#include "base/pack.h"

#include <string.h>
#include <zlib.h>

/* zlib's memory from the arena: nothing is left behind when the arena's handler does not return. */
static voidpf take(voidpf arena, uInt count, uInt size) {
  return pl_arena_alloc(arena, count, size);
}
static void leave(voidpf arena, voidpf at) {
  (void)arena;
  (void)at;
}

enum {
  CHUNK = 1 << 16
};

void pl_pack(struct pl_buffer *out, const void *bytes, size_t n) {
  unsigned char *room = pl_arena_alloc(out->arena, CHUNK, 1);
  const unsigned char *at = bytes;
  z_stream z = {.zalloc = take, .zfree = leave, .opaque = out->arena};

  if (deflateInit(&z, Z_DEFAULT_COMPRESSION) != Z_OK)
    return;
  for (bool last = false; !last;) {
    size_t piece = n < CHUNK ? n : CHUNK;
    last = piece == n;
    z.next_in = (unsigned char *)at;
    z.avail_in = (uInt)piece;
    at += piece;
    n -= piece;
    do {
      z.next_out = room;
      z.avail_out = CHUNK;
      deflate(&z, last ? Z_FINISH : Z_NO_FLUSH);
      pl_buffer_add(out, (const char *)room, CHUNK - z.avail_out);
    } while (z.avail_out == 0);
  }
  deflateEnd(&z);
}

bool pl_unpack(struct pl_buffer *out, const void *packed, size_t n, size_t most) {
  unsigned char *room = pl_arena_alloc(out->arena, CHUNK, 1);
  z_stream z = {.zalloc = take,
                .zfree = leave,
                .opaque = out->arena,
                .next_in = (unsigned char *)packed,
                .avail_in = (uInt)n};
  size_t before = out->n;
  int status = Z_OK;

  if (n > UINT32_MAX / 2)
    return false;
  if (inflateInit(&z) != Z_OK)
    return false;
  while (status == Z_OK && out->n - before <= most) {
    z.next_out = room;
    z.avail_out = CHUNK;
    status = inflate(&z, Z_NO_FLUSH);
    if (status == Z_OK || status == Z_STREAM_END)
      pl_buffer_add(out, (const char *)room, CHUNK - z.avail_out);
    if (status == Z_OK && z.avail_in == 0 && z.avail_out > 0)
      status = Z_BUF_ERROR;
  }
  bool whole = status == Z_STREAM_END && z.avail_in == 0 && out->n - before <= most;
  inflateEnd(&z);
  return whole;
}

void pl_base64(struct pl_buffer *out, const void *bytes, size_t n) {
  static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  const unsigned char *b = bytes;

  for (size_t i = 0; i < n; i += 3) {
    uint32_t three = (uint32_t)b[i] << 16 | (i + 1 < n ? (uint32_t)b[i + 1] << 8 : 0) |
                     (i + 2 < n ? b[i + 2] : 0);
    char four[4] = {letters[three >> 18],
                    letters[three >> 12 & 63],
                    i + 1 < n ? letters[three >> 6 & 63] : '=',
                    i + 2 < n ? letters[three & 63] : '='};
    pl_buffer_add(out, four, 4);
  }
}
