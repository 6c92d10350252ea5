/* SHA-256 after FIPS 180-4: constants of section 4.2.2, functions of 4.1.2, padding of 5.1.1,
 * rounds of 6.2.2. */
#include "base/digest.h"

#include <string.h>

static const uint32_t round_words[64] = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
};

static uint32_t rotr(uint32_t x, int n) {
  return (x >> n) | (x << (32 - n));
}

static void spread(uint32_t w[64], const unsigned char *block) {
  for (int t = 0; t < 16; t++)
    w[t] = (uint32_t)block[4 * t] << 24 | (uint32_t)block[4 * t + 1] << 16 |
           (uint32_t)block[4 * t + 2] << 8 | (uint32_t)block[4 * t + 3];
  for (int t = 16; t < 64; t++) {
    uint32_t s0 = rotr(w[t - 15], 7) ^ rotr(w[t - 15], 18) ^ (w[t - 15] >> 3);
    uint32_t s1 = rotr(w[t - 2], 17) ^ rotr(w[t - 2], 19) ^ (w[t - 2] >> 10);

    w[t] = s1 + w[t - 7] + s0 + w[t - 16];
  }
}

/* One round: the letters of FIPS 180-4, which move on by one from round to round. */
static inline void mix_round(uint32_t a,
                             uint32_t b,
                             uint32_t c,
                             uint32_t *d,
                             uint32_t e,
                             uint32_t f,
                             uint32_t g,
                             uint32_t *h,
                             uint32_t word) {
  uint32_t big1 = rotr(e, 6) ^ rotr(e, 11) ^ rotr(e, 25);
  uint32_t choose = (e & f) ^ (~e & g);
  uint32_t big0 = rotr(a, 2) ^ rotr(a, 13) ^ rotr(a, 22);
  uint32_t majority = (a & b) ^ (a & c) ^ (b & c);
  uint32_t t1 = *h + big1 + choose + word;

  *d += t1;
  *h = t1 + big0 + majority;
}

static void mix_block(uint32_t state[8], const unsigned char *block) {
  uint32_t w[64];
  uint32_t a = state[0];
  uint32_t b = state[1];
  uint32_t c = state[2];
  uint32_t d = state[3];
  uint32_t e = state[4];
  uint32_t f = state[5];
  uint32_t g = state[6];
  uint32_t h = state[7];

  spread(w, block);
  for (int t = 0; t < 64; t++)
    w[t] += round_words[t];
  for (int t = 0; t < 64; t += 8) { /* after eight rounds every letter is back in its place */
    mix_round(a, b, c, &d, e, f, g, &h, w[t]);
    mix_round(h, a, b, &c, d, e, f, &g, w[t + 1]);
    mix_round(g, h, a, &b, c, d, e, &f, w[t + 2]);
    mix_round(f, g, h, &a, b, c, d, &e, w[t + 3]);
    mix_round(e, f, g, &h, a, b, c, &d, w[t + 4]);
    mix_round(d, e, f, &g, h, a, b, &c, w[t + 5]);
    mix_round(c, d, e, &f, g, h, a, &b, w[t + 6]);
    mix_round(b, c, d, &e, f, g, h, &a, w[t + 7]);
  }
  state[0] += a;
  state[1] += b;
  state[2] += c;
  state[3] += d;
  state[4] += e;
  state[5] += f;
  state[6] += g;
  state[7] += h;
}

void pl_digest_init(struct pl_digest *digest) {
  *digest = (struct pl_digest){.state = {0x6a09e667,
                                         0xbb67ae85,
                                         0x3c6ef372,
                                         0xa54ff53a,
                                         0x510e527f,
                                         0x9b05688c,
                                         0x1f83d9ab,
                                         0x5be0cd19}};
}

void pl_digest_add(struct pl_digest *digest, const void *bytes, size_t n) {
  const unsigned char *at = bytes;
  size_t held = (size_t)(digest->length % 64);

  digest->length += n;
  while (n > 0) {
    size_t take = n;
    if (64 - held < n)
      take = 64 - held;

    memcpy(digest->block + held, at, take);
    held += take;
    at += take;
    n -= take;
    if (held == 64) {
      mix_block(digest->state, digest->block);
      held = 0;
    }
  }
}

void pl_digest_finish(struct pl_digest *digest, char hex[65]) {
  static const char digits[] = "0123456789abcdef";
  static const unsigned char padding[64] = {0x80};
  uint64_t bits = digest->length * 8;
  size_t held = (size_t)(digest->length % 64);
  unsigned char tail[8];

  for (int i = 0; i < 8; i++)
    tail[i] = (unsigned char)(bits >> (56 - 8 * i) & 0xff);
  pl_digest_add(digest, padding, held < 56 ? 56 - held : 120 - held);
  pl_digest_add(digest, tail, sizeof tail);
  for (int i = 0; i < 64; i++)
    hex[i] = digits[digest->state[i / 8] >> (28 - 4 * (i % 8)) & 0xf];
  hex[64] = '\0';
}
