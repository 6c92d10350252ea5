/* SHA-256 (FIPS 180-4): the digest of the harness text, so that an old print is recognised. */
#ifndef PL_BASE_DIGEST_H
#define PL_BASE_DIGEST_H

#include <stddef.h>
#include <stdint.h>

struct pl_digest {
  uint32_t state[8];
  uint64_t length;
  unsigned char block[64];
};

void pl_digest_init(struct pl_digest *digest);
void pl_digest_add(struct pl_digest *digest, const void *bytes, size_t n);
void pl_digest_finish(struct pl_digest *digest, char hex[65]);

#endif
