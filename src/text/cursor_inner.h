/* What the cursor's two files share.  Private to this room. */
#ifndef PL_TEXT_CURSOR_INNER_H
#define PL_TEXT_CURSOR_INNER_H

#include "text/cursor.h"

/* A word as messages show it: "too" in quotes, a comma, the end of the line (NULL). */
const char *pl_cursor_shown(const struct pl_cursor *cursor, const struct pl_word *word);

/* As pl_cursor_error, at a span. */
void pl_cursor_error_at(struct pl_cursor *cursor,
                        struct pl_span span,
                        const char *text,
                        const char *remedy);

#endif
