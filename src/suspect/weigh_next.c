/* Which reading to take next: the one that divides the weight best for its minutes; when one
 * suspect has nearly all of it, the one that would speak against most of what could still be it. */
#include <math.h>
#include <stdlib.h>

#include "standard/likely.h"
#include "suspect/weigh_inner.h"

/* ---- bits for the minute ---- */

struct outcome {
  uint32_t question;
  int16_t answer;
  double weight;
};

struct chooser {
  const struct pl_suspects *table;
  struct outcome *at; /* by question, exceptions of the suspects still there */
  uint32_t *start;    /* by question */
  double all;         /* their weight */
};

static double bits_of(double p) {
  return p > 0 ? -p * log2(p) : 0;
}

static int by_answer(const void *a, const void *b) {
  const struct outcome *x = a;
  const struct outcome *y = b;
  int p = x->answer == PL_ANSWER_OPEN ? 0 : x->answer;
  int q = y->answer == PL_ANSWER_OPEN ? 0 : y->answer;

  return (p > q) - (p < q);
}

/* Answers that a reading can tell apart, as clusters of neighbouring ones; the weight of each
 * divides the list. */
static double
bits_of_clusters(const struct pl_suspects *table, struct outcome *at, uint32_t n, double known) {
  double bits = 0;
  double cluster = 0;

  qsort(at, n, sizeof *at, by_answer);
  for (uint32_t i = 0; i < n; i++) {
    if (i > 0 && !pl_weigh_answers_alike(table, at[i].question, at[i - 1].answer, at[i].answer)) {
      bits += bits_of(cluster / known);
      cluster = 0;
    }
    cluster += at[i].weight;
  }
  return bits + bits_of(cluster / known);
}

/* Words are not always right: what is learnt is less the doubt that each leaves. */
static double bits_of_words(enum pl_ask what, const double *weight, double known) {
  double bits = 0;
  int words = what == PL_ASK_RUNS ? 3 : 2;

  for (int w = 0; w < words; w++) {
    double said = 0;
    for (int is = 0; is < words; is++) {
      const double *seen = pl_standard_seen[what == PL_ASK_FUSE ? 0 : 1];
      double chance = what == PL_ASK_RUNS ? pl_standard_words[is][w] : w ? seen[is] : 1 - seen[is];
      said += weight[is] / known * chance;
      bits -= weight[is] / known * bits_of(chance);
    }
    bits += bits_of(said);
  }
  return fmax(bits, 0);
}

static double bits_of_question(const struct chooser *c, uint32_t question, struct outcome *room) {
  const struct pl_question *q = &c->table->questions.at[question];
  uint32_t n = 0;
  double rest = c->all;
  double known = c->all;
  double weight[3] = {0};

  for (uint32_t i = c->start[question]; i < c->start[question + 1]; i++) {
    rest -= c->at[i].weight;
    if (c->at[i].answer == PL_ANSWER_UNKNOWN)
      known -= c->at[i].weight;
    else
      room[n++] = c->at[i];
  }
  if (q->healthy == PL_ANSWER_UNKNOWN || n == 0 || !(known > 0))
    return 0;
  room[n++] = (struct outcome){question, q->healthy, fmax(rest, 0)};
  if (q->ask == PL_ASK_RUNS || q->ask == PL_ASK_WARM || q->ask == PL_ASK_FUSE) {
    for (uint32_t i = 0; i < n; i++)
      weight[room[i].answer] += room[i].weight;
    return known / c->all * bits_of_words(q->ask, weight, known);
  }
  return known / c->all * bits_of_clusters(c->table, room, n, known);
}

static void gather(struct chooser *c, const double *shares, struct pl_arena *arena) {
  const struct pl_suspects *table = c->table;
  uint32_t total = 0;

  c->start = PL_NEW_ARRAY(arena, uint32_t, table->questions.n + 2);
  for (uint32_t v = 0; v < table->variants.n; v++) {
    if (shares[v] < PL_WEIGH_NEGLIGIBLE)
      continue;
    c->all += shares[v];
    total += table->variants.at[v].count;
    for (uint32_t i = 0; i < table->variants.at[v].count; i++)
      c->start[table->entry_questions.at[table->variants.at[v].first + i] + 2]++;
  }
  for (uint32_t q = 2; q < table->questions.n + 2; q++)
    c->start[q] += c->start[q - 1];
  c->at = PL_NEW_ARRAY(arena, struct outcome, total + 1);
  for (uint32_t v = 0; v < table->variants.n; v++) {
    if (shares[v] < PL_WEIGH_NEGLIGIBLE)
      continue;
    for (uint32_t k = table->variants.at[v].first;
         k < table->variants.at[v].first + table->variants.at[v].count;
         k++) {
      uint32_t q = table->entry_questions.at[k];
      c->at[c->start[q + 1]++] = (struct outcome){q, table->entry_answers.at[k], shares[v]};
    }
  }
}

static bool is_asked(const pl_evidences *evidences, uint32_t question) {
  for (uint32_t i = 0; i < evidences->n; i++)
    if (evidences->at[i].question == question && evidences->at[i].other == PL_NONE &&
        evidences->at[i].said != PL_SAID_CODE)
      return true;
  return false;
}

static const double least_bits = 0.01;

/* In its place in the list, best first; what stands first stays before its equals. */
static uint32_t insert(struct pl_next *next, uint32_t n, uint32_t most, struct pl_next one) {
  if (n == most && one.score <= next[n - 1].score)
    return n;
  uint32_t at = n < most ? n++ : n - 1;

  while (at > 0 && next[at - 1].score < one.score) {
    next[at] = next[at - 1];
    at--;
  }
  next[at] = one;
  return n;
}

/* ---- to be sure ---- */

/* By question: the doubt about rivals that would read otherwise there than the first. */
static double *doubt_by_question(const struct pl_suspects *table,
                                 const struct pl_verdict *verdict,
                                 struct pl_arena *arena) {
  double *worth = PL_NEW_ARRAY(arena, double, table->questions.n + 1);
  const struct pl_variant *x =
      &table->variants
           .at[pl_weigh_heaviest(&table->suspects.at[verdict->at[0].suspect], verdict->shares)];

  for (uint32_t v = 0; v < table->variants.n; v++) {
    const struct pl_variant *y = &table->variants.at[v];
    uint32_t i = x->first;
    uint32_t j = y->first;
    uint32_t at;
    int16_t of_x, of_y;
    if (!(verdict->doubt[v] > 0))
      continue;
    while (pl_weigh_step(table, x, y, &i, &j, &at, &of_x, &of_y))
      if (!pl_weigh_answers_alike(table, at, of_x, of_y))
        worth[at] += verdict->doubt[v];
  }
  return worth;
}

/* Another kind of reading that speaks against what could still be it; the same once more is worth
 * half. */
static uint32_t confirm(const struct pl_suspects *table,
                        const pl_evidences *evidences,
                        const struct pl_verdict *verdict,
                        struct pl_arena *arena,
                        uint32_t most,
                        struct pl_next *next) {
  const double *worth = doubt_by_question(table, verdict, arena);
  uint32_t n = 0;

  for (uint32_t q = 0; q < table->questions.n; q++) {
    if (!(worth[q] > 0) || isinf(table->questions.at[q].effort))
      continue;
    bool again = is_asked(evidences, q);
    double score = worth[q] * (again ? PL_LIKELY(AGAIN) : 1) / table->questions.at[q].effort;
    n = insert(next,
               n,
               most,
               (struct pl_next){.question = q, .score = score, .again = again, .sure = true});
  }
  return n;
}

/* Is the contradiction worth reading once more: it can be, and was not said twice already. */
static bool may_err(const pl_evidences *evidences, uint32_t contradiction) {
  const struct pl_evidence *e = &evidences->at[contradiction];

  if (e->question == PL_NONE || e->other != PL_NONE || e->said == PL_SAID_CODE)
    return false;
  for (uint32_t i = 0; i < contradiction; i++)
    if (evidences->at[i].question == e->question && evidences->at[i].said == e->said &&
        evidences->at[i].value == e->value)
      return false;
  return true;
}

uint32_t pl_weigh_next(const struct pl_suspects *table,
                       const pl_evidences *evidences,
                       const struct pl_verdict *verdict,
                       struct pl_arena *arena,
                       uint32_t most,
                       struct pl_next *next) {
  struct chooser c = {.table = table};
  struct outcome *room = PL_NEW_ARRAY(arena, struct outcome, table->variants.n + 1);
  uint32_t n = 0;

  if (most == 0 || verdict->certain)
    return 0;
  if (verdict->likely && verdict->contradiction != PL_NONE &&
      may_err(evidences, verdict->contradiction)) {
    next[0] =
        (struct pl_next){.question = evidences->at[verdict->contradiction].question, .again = true};
    return 1;
  }
  if (verdict->likely && verdict->contradiction == PL_NONE)
    return confirm(table, evidences, verdict, arena, most, next);
  gather(&c, verdict->shares, arena);
  for (uint32_t q = 0; q < table->questions.n; q++) {
    if (c.start[q + 1] == c.start[q] || isinf(table->questions.at[q].effort) ||
        is_asked(evidences, q))
      continue;
    double bits = bits_of_question(&c, q, room);
    if (bits >= least_bits)
      n = insert(next,
                 n,
                 most,
                 (struct pl_next){.question = q,
                                  .bits = bits,
                                  .score = bits / table->questions.at[q].effort});
  }
  return n;
}
