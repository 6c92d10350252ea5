/* The answers as bytes: for a file that saves solving them again, and for the shop page.  Four
 * lines of text, then packed numbers; nothing of it is believed before it is whole and of this
 * text, this program's tables and this form. */
#include <math.h>
#include <string.h>

#include "base/digest.h"
#include "base/pack.h"
#include "standard/defaults.h"
#include "standard/likely.h"
#include "suspect/suspects.h"

static const char form[] = "pinloom fault table 2\n";
enum {
  HEX = 64,
  HEAD = sizeof form - 1 + 3 * (HEX + 1),
  MOST = 1 << 30
};

/* ---- numbers ---- */

static void put_number(struct pl_buffer *out, uint32_t n) {
  for (; n >= 128; n >>= 7)
    pl_buffer_add(out, (char[]){(char)((n & 127) | 128)}, 1);
  pl_buffer_add(out, (char[]){(char)n}, 1);
}

/* 0, -1, 1, -2 ... as 0, 1, 2, 3 ... */
static void put_signed(struct pl_buffer *out, int32_t n) {
  put_number(out, n >= 0 ? (uint32_t)n * 2 : (uint32_t)-n * 2 - 1);
}

struct take {
  const unsigned char *at, *end;
  bool bad;
};

static uint32_t take_number(struct take *t) {
  uint32_t n = 0;

  for (int shift = 0; shift < 32 && t->at < t->end; shift += 7) {
    unsigned char byte = *t->at++;
    n |= (uint32_t)(byte & 127) << shift;
    if (byte < 128)
      return n;
  }
  t->bad = true;
  return 0;
}

static int32_t take_signed(struct take *t) {
  uint32_t n = take_number(t);

  if (n % 2 == 0)
    return (int32_t)(n / 2);
  return -(int32_t)(n / 2) - 1;
}

/* ---- what it hangs on ---- */

static void hex_of(const void *bytes, size_t n, char hex[HEX + 1]) {
  struct pl_digest digest;

  pl_digest_init(&digest);
  pl_digest_add(&digest, bytes, n);
  pl_digest_finish(&digest, hex);
}

/* The figures of this program that the answers come from. */
static void tables_hex(struct pl_arena *arena, char hex[HEX + 1]) {
  size_t count = (size_t)PL_STANDARD_LIKELY_COUNT + PL_STANDARD_DEFAULT_COUNT;
  double *values = PL_NEW_ARRAY(arena, double, count);

  for (int i = 0; i < PL_STANDARD_LIKELY_COUNT; i++)
    values[i] = pl_standard_likely[i].value;
  for (int i = 0; i < PL_STANDARD_DEFAULT_COUNT; i++)
    values[PL_STANDARD_LIKELY_COUNT + i] = pl_standard_defaults[i].value;
  hex_of(values, count * sizeof *values, hex);
}

/* ---- out ---- */

struct column {
  uint32_t variant;
  int16_t answer;
};

/* By question: start[q]..start[q + 1] in the array returned. */
static struct column *columns_of(const struct pl_suspects *table, uint32_t **start) {
  struct column *columns = PL_NEW_ARRAY(table->arena, struct column, table->entry_questions.n + 1);
  uint32_t *at = PL_NEW_ARRAY(table->arena, uint32_t, table->questions.n + 2);

  for (uint32_t i = 0; i < table->entry_questions.n; i++)
    at[table->entry_questions.at[i] + 2]++;
  for (uint32_t q = 2; q < table->questions.n + 2; q++)
    at[q] += at[q - 1];
  for (uint32_t v = 0; v < table->variants.n; v++)
    for (uint32_t i = table->variants.at[v].first;
         i < table->variants.at[v].first + table->variants.at[v].count;
         i++)
      columns[at[table->entry_questions.at[i] + 1]++] =
          (struct column){v, table->entry_answers.at[i]};
  *start = at;
  return columns;
}

void pl_suspects_pack(const struct pl_suspects *table, struct pl_buffer *out) {
  uint32_t *start;
  struct column *columns;
  struct pl_buffer plain;

  if (table->packed != NULL) {
    pl_buffer_add(out, table->packed, table->packed_size);
    return;
  }
  columns = columns_of(table, &start);
  pl_buffer_init(&plain, table->arena);
  put_number(&plain, table->questions.n);
  put_number(&plain, table->variants.n);
  for (uint32_t q = 0; q < table->questions.n; q++) {
    const struct pl_question *question = &table->questions.at[q];
    uint32_t last = 0;
    int32_t before = question->healthy;
    put_signed(&plain, question->healthy);
    put_number(&plain, isinf(question->effort) ? 0 : (uint32_t)lround(10 * question->effort));
    put_number(&plain, start[q + 1] - start[q]);
    for (uint32_t i = start[q]; i < start[q + 1]; i++) {
      put_number(&plain, columns[i].variant - last);
      put_signed(&plain, columns[i].answer - before);
      last = columns[i].variant;
      before = columns[i].answer;
    }
  }
  pl_pack(out, plain.at, plain.n);
}

void pl_suspects_save(struct pl_suspects *table, struct pl_buffer *out) {
  struct pl_buffer packed;
  char sum[HEX + 1], tables[HEX + 1];

  pl_buffer_init(&packed, table->arena);
  pl_suspects_pack(table, &packed);
  table->packed = packed.at;
  table->packed_size = packed.n;
  hex_of(packed.at, packed.n, sum);
  tables_hex(table->arena, tables);
  pl_buffer_printf(out, "%s%s\n%s\n%s\n", form, table->digest, tables, sum);
  pl_buffer_add(out, packed.at, packed.n);
}

/* ---- back ---- */

static bool is_ours(const struct pl_suspects *table, const char *bytes, size_t size) {
  char sum[HEX + 1], tables[HEX + 1];
  const char *at = bytes + sizeof form - 1;

  if (size < HEAD)
    return false;
  if (memcmp(bytes, form, sizeof form - 1) != 0)
    return false;
  if (strlen(table->digest) != HEX)
    return false;
  hex_of(bytes + HEAD, size - HEAD, sum);
  tables_hex(table->arena, tables);
  if (at[HEX] != '\n')
    return false;
  if (at[2 * HEX + 1] != '\n')
    return false;
  if (at[3 * HEX + 2] != '\n')
    return false;
  if (memcmp(at, table->digest, HEX) != 0)
    return false;
  if (memcmp(at + HEX + 1, tables, HEX) != 0)
    return false;
  return memcmp(at + 2 * (HEX + 1), sum, HEX) == 0;
}

struct loaded {
  PL_VEC(struct column) columns;
  uint32_t *start; /* by question */
  int16_t *healthy;
  double *effort;
};

static void
take_question(struct take *t, struct loaded *l, const struct pl_suspects *table, uint32_t q) {
  int32_t answer = take_signed(t);
  uint32_t effort;
  uint32_t count;
  uint32_t variant = 0;

  l->healthy[q] = (int16_t)answer;
  effort = take_number(t);
  if (effort == 0)
    l->effort[q] = INFINITY;
  else
    l->effort[q] = effort / 10.0;
  count = take_number(t);
  l->start[q] = l->columns.n;
  for (uint32_t i = 0; i < count && !t->bad; i++) {
    variant += take_number(t);
    answer += take_signed(t);
    if (variant >= table->variants.n || answer < INT16_MIN || answer > INT16_MAX)
      t->bad = true;
    PL_PUSH(table->arena, &l->columns, ((struct column){variant, (int16_t)answer}));
  }
}

static void fill(struct pl_suspects *table, const struct loaded *l) {
  uint32_t *at = PL_NEW_ARRAY(table->arena, uint32_t, table->variants.n + 1);
  uint32_t n = l->columns.n;
  uint32_t *questions = PL_NEW_ARRAY(table->arena, uint32_t, (size_t)n + 1);
  int16_t *answers = PL_NEW_ARRAY(table->arena, int16_t, (size_t)n + 1);

  for (uint32_t v = 0; v < table->variants.n; v++)
    table->variants.at[v].count = 0;
  for (uint32_t i = 0; i < n; i++)
    table->variants.at[l->columns.at[i].variant].count++;
  for (uint32_t v = 0, first = 0; v < table->variants.n; first += table->variants.at[v++].count)
    table->variants.at[v].first = at[v] = first;
  for (uint32_t q = 0; q < table->questions.n; q++) {
    table->questions.at[q].healthy = l->healthy[q];
    table->questions.at[q].effort = l->effort[q];
    for (uint32_t i = l->start[q]; i < l->start[q + 1]; i++) {
      questions[at[l->columns.at[i].variant]] = q;
      answers[at[l->columns.at[i].variant]++] = l->columns.at[i].answer;
    }
  }
  table->entry_questions.at = questions;
  table->entry_answers.at = answers;
  table->entry_questions.n = table->entry_questions.cap = table->entry_answers.n =
      table->entry_answers.cap = n;
}

bool pl_suspects_load(struct pl_suspects *table, const char *bytes, size_t size) {
  struct pl_buffer plain;
  struct loaded l = {0};

  pl_buffer_init(&plain, table->arena);
  if (!is_ours(table, bytes, size))
    return false;
  if (!pl_unpack(&plain, bytes + HEAD, size - HEAD, MOST))
    return false;
  struct take t = {(const unsigned char *)plain.at,
                   (const unsigned char *)plain.at + plain.n,
                   false};
  if (take_number(&t) != table->questions.n)
    return false;
  if (take_number(&t) != table->variants.n)
    return false;
  l.start = PL_NEW_ARRAY(table->arena, uint32_t, (size_t)table->questions.n + 1);
  l.healthy = PL_NEW_ARRAY(table->arena, int16_t, (size_t)table->questions.n + 1);
  l.effort = PL_NEW_ARRAY(table->arena, double, (size_t)table->questions.n + 1);
  for (uint32_t q = 0; q < table->questions.n && !t.bad; q++)
    take_question(&t, &l, table, q);
  if (t.bad)
    return false;
  if (t.at != t.end)
    return false;
  l.start[table->questions.n] = l.columns.n;
  fill(table, &l);
  table->packed = bytes + HEAD;
  table->packed_size = size - HEAD;
  return true;
}
