/* One rule's paragraph, taken out of the document and wrapped for a terminal. */
#include "cli/explain.h"

#include <string.h>

enum {
  COLUMNS = 78
};

static const char *paragraph_of(const char *rule, size_t *size) {
  const char *text = (const char *)pl_rules_document;
  const char *mark = "\n### ";
  for (const char *at = strstr(text, mark); at != NULL; at = strstr(at, mark)) {
    at += strlen(mark);
    size_t name = strcspn(at, "\n");
    if (name != strlen(rule))
      continue;
    if (memcmp(at, rule, name) != 0)
      continue;
    at += name;
    const char *end = strstr(at, "\n#");
    if (end == NULL)
      *size = strlen(at);
    else
      *size = (size_t)(end - at);
    return at;
  }
  return NULL;
}

bool pl_explain(struct pl_buffer *out, const char *rule) {
  size_t size = 0;
  size_t column = 0;
  const char *at = paragraph_of(rule, &size);
  if (at == NULL)
    return false;
  pl_buffer_printf(out, "%s\n", rule);
  for (const char *end = at + size; at < end;) {
    size_t blanks = strspn(at, " \n");
    size_t word;
    if (at + blanks >= end)
      break;
    at += blanks;
    word = strcspn(at, " \n");
    if (at + word > end)
      word = (size_t)(end - at);
    if (column > 0 && column + 1 + word > COLUMNS)
      column = 0;
    pl_buffer_printf(out,
                     "%s%.*s",
                     column > 0                                  ? " "
                     : blanks > 0 && out->at[out->n - 1] != '\n' ? "\n  "
                                                                 : "  ",
                     (int)word,
                     at);
    column += (column > 0 ? 1 : 2) + word;
    at += word;
  }
  pl_buffer_puts(out, "\n");
  return true;
}
