/* Large pages.  A system that has none gives plain ones, and is none the worse. */
#define _DEFAULT_SOURCE /* MAP_ANONYMOUS, madvise */
#include "base/pages.h"

#include <stdint.h>
#include <sys/mman.h>

#ifdef __GLIBC__
#include <malloc.h>
#endif

/* What x86-64 and 64-bit ARM mostly have; elsewhere only the advice is wrong, which is then not
 * followed. */
enum {
  LARGE = 2 * 1024 * 1024,
  KEPT = 1024 * 1024 * 1024
};

static size_t whole(size_t size, size_t page) {
  return (size + page - 1) / page * page;
}

static void *map(size_t size) {
  void *at = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);

  return at == MAP_FAILED ? NULL : at;
}

/* Pages that begin where a large one may.  Newer systems see to that; else more are taken than
 * needed, and those before and behind given back. */
static void *map_large(size_t size) {
  unsigned char *at = map(size);
  size_t before;

  if (at == NULL)
    return at;
  if ((uintptr_t)at % LARGE == 0)
    return at;
  munmap(at, size);
  at = map(size + LARGE);
  if (at == NULL)
    return NULL;
  before = whole((uintptr_t)at, LARGE) - (uintptr_t)at;
  if (before > 0)
    munmap(at, before);
  munmap(at + before + size, LARGE - before);
  return at + before;
}

void *pl_pages_new(size_t *size) {
  void *at;

  if (*size > PTRDIFF_MAX / 2)
    return NULL;
  *size = whole(*size, LARGE);
  at = map_large(*size);
  if (at != NULL)
    pl_pages_large(at, *size);
  return at;
}

void pl_pages_free(void *pages, size_t size) {
  munmap(pages, size);
}

size_t pl_pages_before(uintptr_t at) {
  return (LARGE - at % LARGE) % LARGE;
}

size_t pl_pages_whole(size_t size) {
  return whole(size, LARGE);
}

void pl_pages_large(void *at, size_t size) {
#ifdef MADV_HUGEPAGE
  (void)madvise((unsigned char *)at + pl_pages_before((uintptr_t)at),
                whole(size, LARGE),
                MADV_HUGEPAGE);
#else
  (void)at;
  (void)size;
#endif
}

void pl_pages_keep(void) {
#if defined(__GLIBC__) && defined(M_MMAP_THRESHOLD)
  (void)mallopt(M_MMAP_THRESHOLD, KEPT);
  (void)mallopt(M_TRIM_THRESHOLD, KEPT);
#endif
}
