/* Memory from the system in whole pages, and as large ones as it has: on some machines asking for pages one by one, as
 * they are touched, costs more than filling them. */
#ifndef PL_BASE_PAGES_H
#define PL_BASE_PAGES_H

#include <stddef.h>

/* At least *size bytes, zeroed; *size becomes what there is.  NULL when they cannot be had. */
void *pl_pages_new(size_t *size);
void pl_pages_free(void *pages, size_t size);

/* Lets the C library keep the memory that libraries of others give back, instead of handing it to the system and
 * asking for it again page by page.  Of the whole process: only the command says it, once, when it starts. */
void pl_pages_keep(void);

/* What the C library gives out next, up to about `size` bytes, comes from large pages: for a library that asks it for much in
 * small pieces.  The answer is to be held until those were asked for, then given to free(); NULL: it cannot be had. */
void *pl_pages_ahead(size_t size);

#endif
