/* Comparing names of table rows, the same in every locale: private to this room. */
#ifndef PL_STANDARD_WORDS_INNER_H
#define PL_STANDARD_WORDS_INNER_H

#include <stdbool.h>

static inline char pl_word_lower(char c) {
  return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

/* Letter case, spaces and hyphens do not matter. */
static inline bool pl_word_same(const char *a, const char *b) {
  for (;;) {
    while (*a == ' ' || *a == '-')
      a++;
    while (*b == ' ' || *b == '-')
      b++;
    if (pl_word_lower(*a) != pl_word_lower(*b))
      return false;
    if (*a == '\0')
      return true;
    a++;
    b++;
  }
}

#endif
