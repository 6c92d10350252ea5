/* Memory from the system in whole pages, and as large ones as it has: on some machines asking for
 * pages one by one, as they are touched, costs more than filling them. */
#ifndef PL_BASE_PAGES_H
#define PL_BASE_PAGES_H

#include <stddef.h>
#include <stdint.h>

/* At least *size bytes, zeroed; *size becomes what there is.  NULL when they cannot be had. */
void *pl_pages_new(size_t *size);
void pl_pages_free(void *pages, size_t size);

/* Lets the C library keep the memory that libraries of others give back, instead of handing it to
 * the system and asking for it again page by page.  Of the whole process: only the command says it,
 * once, when it starts. */
void pl_pages_keep(void);

/* For memory that others have from the C library: bytes from an address on to the next that a large
 * page may begin at; size in whole large pages; and the wish that those from that address on be
 * large ones, said before they are touched. */
size_t pl_pages_before(uintptr_t at);
size_t pl_pages_whole(size_t size);
void pl_pages_large(void *at, size_t size);

#endif
