/* Which reading to take next: the one that divides the weight best for its minutes; when one
 * suspect has nearly all of it, the one that would speak against most of what could still be it.
 *
 * Idea: a question is worth the bits by which its answer is expected to lower the uncertainty
 * (Shannon 1948; one step of looking ahead, as in Lindley, On a measure of the information provided
 * by an experiment, 1956), over the minutes it takes.  Answers that no meter can tell apart count
 * as one.  Only the answers that differ from the healthy one are looked at, of suspects that still
 * weigh something: all others answer alike.  Cost: those entries, sorted question by question. */
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
  if (p > 0)
    return -p * log2(p);
  return 0;
}

static int volts_or_none(int16_t answer) {
  return answer == PL_ANSWER_OPEN ? 0 : answer;
}

static int by_answer(const void *a, const void *b) {
  const struct outcome *x = a;
  const struct outcome *y = b;
  int p = volts_or_none(x->answer);
  int q = volts_or_none(y->answer);

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

/* How likely `word` is said of what is so. */
static double chance_of(enum pl_ask what, int is, int word) {
  if (what == PL_ASK_RUNS)
    return pl_standard_words[is][word];
  double yes = pl_standard_seen[what == PL_ASK_FUSE ? 0 : 1][is];
  return word ? yes : 1 - yes;
}

/* Words are not always right: what is learnt is less the doubt that each leaves. */
static double bits_of_words(enum pl_ask what, const double *weight, double known) {
  int words = what == PL_ASK_RUNS ? 3 : 2;
  double bits = 0;

  for (int word = 0; word < words; word++) {
    double said = 0;
    for (int is = 0; is < words; is++) {
      double share = weight[is] / known;
      double chance = chance_of(what, is, word);
      said += share * chance;
      bits -= share * bits_of(chance);
    }
    bits += bits_of(said);
  }
  return fmax(bits, 0);
}

static bool is_answered_in_words(enum pl_ask what) {
  return what == PL_ASK_RUNS || what == PL_ASK_WARM || what == PL_ASK_FUSE;
}

/* `room`: for as many outcomes as there are variants and one more. */
static double bits_of_question(const struct chooser *c, uint32_t question, struct outcome *room) {
  const struct pl_question *q = &c->table->questions.at[question];
  uint32_t n = 0;
  double healthy = c->all;
  double known = c->all;
  double weight[3] = {0};

  for (uint32_t i = c->start[question]; i < c->start[question + 1]; i++) {
    healthy -= c->at[i].weight;
    if (c->at[i].answer == PL_ANSWER_UNKNOWN)
      known -= c->at[i].weight;
    else
      room[n++] = c->at[i];
  }
  if (q->healthy == PL_ANSWER_UNKNOWN || n == 0)
    return 0;
  if (!(known > 0))
    return 0;
  room[n++] = (struct outcome){question, q->healthy, fmax(healthy, 0)};
  if (!is_answered_in_words(q->ask))
    return known / c->all * bits_of_clusters(c->table, room, n, known);
  for (uint32_t i = 0; i < n; i++)
    weight[room[i].answer] += room[i].weight;
  return known / c->all * bits_of_words(q->ask, weight, known);
}

/* The entries of all variants that still weigh something, laid down by question: counted first. */
static void gather(struct chooser *c, const double *shares, struct pl_arena *arena) {
  const struct pl_suspects *table = c->table;
  uint32_t total = 0;

  c->start = PL_NEW_ARRAY(arena, uint32_t, table->questions.n + 2);
  for (uint32_t v = 0; v < table->variants.n; v++) {
    const struct pl_variant *variant = &table->variants.at[v];
    if (shares[v] < PL_WEIGH_NEGLIGIBLE)
      continue;
    c->all += shares[v];
    total += variant->count;
    for (uint32_t k = variant->first; k < variant->first + variant->count; k++)
      c->start[table->entry_questions.at[k] + 2]++;
  }
  for (uint32_t q = 2; q < table->questions.n + 2; q++)
    c->start[q] += c->start[q - 1];
  c->at = PL_NEW_ARRAY(arena, struct outcome, total + 1);
  for (uint32_t v = 0; v < table->variants.n; v++) {
    const struct pl_variant *variant = &table->variants.at[v];
    if (shares[v] < PL_WEIGH_NEGLIGIBLE)
      continue;
    for (uint32_t k = variant->first; k < variant->first + variant->count; k++) {
      uint32_t q = table->entry_questions.at[k];
      struct outcome outcome = {q, table->entry_answers.at[k], shares[v]};
      c->at[c->start[q + 1]++] = outcome;
    }
  }
}

static bool is_asked(const pl_evidences *evidences, uint32_t question) {
  for (uint32_t i = 0; i < evidences->n; i++) {
    const struct pl_evidence *e = &evidences->at[i];
    if (e->question == question && e->other == PL_NONE && e->said != PL_SAID_CODE)
      return true;
  }
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
  const struct pl_suspect *first = &table->suspects.at[verdict->at[0].suspect];
  uint32_t heaviest = pl_weigh_heaviest(first, verdict->shares);
  const struct pl_variant *x = &table->variants.at[heaviest];

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
    double minutes = table->questions.at[q].effort;
    if (!(worth[q] > 0))
      continue;
    if (isinf(minutes))
      continue;
    struct pl_next one = {.question = q, .again = is_asked(evidences, q), .sure = true};
    one.score = worth[q] * (one.again ? PL_LIKELY(AGAIN) : 1) / minutes;
    n = insert(next, n, most, one);
  }
  return n;
}

/* Is the contradiction worth reading once more: it can be, and was not said twice already. */
static bool may_err(const pl_evidences *evidences, uint32_t contradiction) {
  const struct pl_evidence *e = &evidences->at[contradiction];

  if (e->question == PL_NONE)
    return false;
  if (e->other != PL_NONE)
    return false;
  if (e->said == PL_SAID_CODE)
    return false;
  for (uint32_t i = 0; i < contradiction; i++) {
    const struct pl_evidence *before = &evidences->at[i];
    bool same = before->question == e->question && before->said == e->said;
    if (same && before->value == e->value)
      return false;
  }
  return true;
}

/* The best by bits for the minute. */
static uint32_t divide(const struct pl_suspects *table,
                       const pl_evidences *evidences,
                       const struct pl_verdict *verdict,
                       struct pl_arena *arena,
                       uint32_t most,
                       struct pl_next *next) {
  struct chooser c = {.table = table};
  struct outcome *room = PL_NEW_ARRAY(arena, struct outcome, table->variants.n + 1);
  uint32_t n = 0;

  gather(&c, verdict->shares, arena);
  for (uint32_t q = 0; q < table->questions.n; q++) {
    double minutes = table->questions.at[q].effort;
    if (c.start[q + 1] == c.start[q])
      continue;
    if (isinf(minutes))
      continue;
    if (is_asked(evidences, q))
      continue;
    struct pl_next one = {.question = q, .bits = bits_of_question(&c, q, room)};
    one.score = one.bits / minutes;
    if (one.bits >= least_bits)
      n = insert(next, n, most, one);
  }
  return n;
}

uint32_t pl_weigh_next(const struct pl_suspects *table,
                       const pl_evidences *evidences,
                       const struct pl_verdict *verdict,
                       struct pl_arena *arena,
                       uint32_t most,
                       struct pl_next *next) {
  uint32_t contradiction = verdict->contradiction;

  if (most == 0 || verdict->certain)
    return 0;
  if (!verdict->likely)
    return divide(table, evidences, verdict, arena, most, next);
  if (contradiction == PL_NONE)
    return confirm(table, evidences, verdict, arena, most, next);
  if (!may_err(evidences, contradiction))
    return divide(table, evidences, verdict, arena, most, next);
  next[0] = (struct pl_next){.question = evidences->at[contradiction].question, .again = true};
  return 1;
}
