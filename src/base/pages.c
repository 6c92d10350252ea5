/* Large pages.  A system that has none gives plain ones, and is none the worse. */
#define _DEFAULT_SOURCE /* MAP_ANONYMOUS, madvise */
#include "base/pages.h"

#include <stdint.h>
#include <stdlib.h>
#include <sys/mman.h>

#ifdef __GLIBC__
#include <malloc.h>
#endif

/* What x86-64 and 64-bit ARM mostly have; elsewhere only the advice is wrong, which is then not followed. */
enum { LARGE = 2 * 1024 * 1024, HEAD = 64, KEPT = 1024 * 1024 * 1024 };

static size_t whole(size_t size, size_t page) { return (size + page - 1) / page * page; }

static void *map(size_t size) {
  void *at = mmap(NULL, size, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);

  return at == MAP_FAILED ? NULL : at;
}

/* Pages that begin where a large one may.  Newer systems see to that; else more are taken than needed, and those before
 * and behind given back. */
static void *map_large(size_t size) {
  unsigned char *at = map(size);
  size_t before;

  if (at == NULL || (uintptr_t)at % LARGE == 0)
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
#ifdef MADV_HUGEPAGE
  if (at != NULL)
    (void)madvise(at, *size, MADV_HUGEPAGE);
#endif
  return at;
}

void pl_pages_free(void *pages, size_t size) { munmap(pages, size); }

/* The C library gives out its last free piece from its low end up.  That end is moved to where a large page may begin, less
 * what it writes before each piece, by holding what lies below. */
void *pl_pages_ahead(size_t size) {
  size_t wanted = whole(size, LARGE);
  void *room = malloc(wanted + LARGE), *below;
  uintptr_t end = (uintptr_t)room;

  free(room);
  below = malloc(whole(end + HEAD, LARGE) - end - HEAD);
  room = malloc(wanted + 2 * HEAD);
#ifdef MADV_HUGEPAGE
  if (room != NULL)
    (void)madvise((void *)whole((uintptr_t)room, LARGE), wanted, MADV_HUGEPAGE);
#endif
  free(room);
  return below;
}

void pl_pages_keep(void) {
#if defined(__GLIBC__) && defined(M_MMAP_THRESHOLD)
  (void)mallopt(M_MMAP_THRESHOLD, KEPT);
  (void)mallopt(M_TRIM_THRESHOLD, KEPT);
#endif
}
