/* The nearest known word: optimal string alignment (insert, delete, replace, swap of neighbours; no
 * piece edited twice) over characters, given up as soon as the limit is passed. */
#include "base/nearest.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

#include "base/utf8.h"

enum {
  WORD_MAX = 128
}; /* characters; names are at most PL_LIMIT_NAME bytes, longer words are no slips of them */

/* Characters of a word; a broken byte stands for itself.  WORD_MAX + 1 when it is longer. */
static int spell(const char *word, uint32_t letters[WORD_MAX]) {
  size_t left = strnlen(word, 4 * WORD_MAX + 1);
  int n = 0;

  while (left > 0) {
    uint32_t code;
    size_t took = pl_utf8_decode(word, left, &code);

    if (took == 0) {
      code = 0x110000u + (unsigned char)*word;
      took = 1;
    }
    if (n == WORD_MAX)
      return WORD_MAX + 1;
    letters[n++] = code;
    word += took;
    left -= took;
  }
  return n;
}

static uint32_t fold(uint32_t code) {
  if (code >= 'A' && code <= 'Z')
    return code - 'A' + 'a';
  return code;
}

static bool same(uint32_t x, uint32_t y, bool any_case) {
  if (x == y)
    return true;
  return any_case && fold(x) == fold(y);
}

static int least(int a, int b) {
  return a < b ? a : b;
}

static int slips(const char *word, const char *other, int limit, bool any_case) {
  uint32_t a[WORD_MAX], b[WORD_MAX];
  int rows[3][WORD_MAX + 1];
  int *above2 = rows[0];
  int *above = rows[1];
  int *row = rows[2];
  int n = spell(word, a);
  int m = spell(other, b);

  if (n > WORD_MAX || m > WORD_MAX)
    return strcmp(word, other) == 0 ? 0 : limit + 1;
  if (n - m > limit)
    return limit + 1;
  if (m - n > limit)
    return limit + 1;
  for (int j = 0; j <= m; j++)
    above[j] = above2[j] = j;
  for (int i = 1; i <= n; i++) {
    int lowest = row[0] = i;
    int *spare = above2;

    for (int j = 1; j <= m; j++) {
      row[j] = least(least(above[j], row[j - 1]) + 1,
                     above[j - 1] + !same(a[i - 1], b[j - 1], any_case));
      if (i > 1 && j > 1 && same(a[i - 1], b[j - 2], any_case) &&
          same(a[i - 2], b[j - 1], any_case))
        row[j] = least(row[j], above2[j - 2] + 1);
      lowest = least(lowest, row[j]);
    }
    if (lowest > limit) /* a swap costs as much as going through the row between: no way back */
      return limit + 1;
    above2 = above;
    above = row;
    row = spare;
  }
  if (above[m] > limit)
    return limit + 1;
  return above[m];
}

int pl_word_distance(const char *a, const char *b, int limit) {
  return slips(a, b, limit, true);
}

void pl_nearest_init(struct pl_nearest *nearest, const char *word) {
  *nearest = (struct pl_nearest){.word = word, .distance = PL_NEAREST_MAX + 1};
}

void pl_nearest_offer(struct pl_nearest *nearest, const char *candidate) {
  int distance = slips(nearest->word, candidate, nearest->distance, true);
  size_t longer = strlen(nearest->word);
  size_t length = strlen(candidate);

  if (length > longer)
    longer = length;
  if (distance > PL_NEAREST_MAX || distance > nearest->distance)
    return;
  if ((size_t)distance * 2 > longer)
    return;
  if (distance == nearest->distance && slips(nearest->word, candidate, WORD_MAX, false) >=
                                           slips(nearest->word, nearest->best, WORD_MAX, false))
    return;
  nearest->best = candidate;
  nearest->distance = distance;
}
