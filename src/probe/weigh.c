/* Bayes' rule over the table of suspects; it knows no network. */
#include "probe/weigh.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "standard/likely.h"

/* ---- how well a suspect explains a reading ---- */

static const double root_two_pi = 2.5066282746310002;
enum { FAR = 3, TWICE = 2 };            /* spreads: beyond FAR unexplained, within TWICE not to be told apart */
static const double decades = 8;        /* of ohms a meter shows, from 0.01 ohm to open */
static const double far_fetched = 0.2;  /* a word less likely than this does not explain */

static double healthy_or(const struct pl_suspects *table, uint32_t variant, uint32_t question, bool *open, bool *known) {
  int16_t answer = variant < table->variants.n ? pl_suspects_answer(table, variant, question) : table->questions.at[question].healthy;

  *open = answer == PL_ANSWER_OPEN;
  *known = answer != PL_ANSWER_UNKNOWN;
  return *open || !*known ? 0 : answer;
}

/* What is expected and how far off a reading may be; false: not known. */
static bool expect_volts(const struct pl_suspects *table, uint32_t variant, const struct pl_evidence *e, double *volts, double *spread) {
  bool open, known, open_too = false, known_too = true;
  double a = healthy_or(table, variant, e->question, &open, &known), b = 0;

  if (e->other != PL_NONE) b = healthy_or(table, variant, e->other, &open_too, &known_too);
  *volts = open || open_too ? 0 : (a - b) * table->volt;
  *spread = open || open_too ? PL_LIKELY(GHOST) : pl_suspects_spread(*volts);
  return known && known_too;
}

static bool expect_ohms(const struct pl_suspects *table, uint32_t variant, const struct pl_evidence *e, double *value, double *read) {
  bool open, known = true;

  *read = pl_suspects_ohms(e->value) / 1000.0;
  if (e->said == PL_SAID_BETWEEN) {
    double ohms = e->predicted[variant];
    *value = isnan(ohms) ? 0 : pl_suspects_ohms(ohms) / 1000.0;
    return !isnan(ohms);
  }
  *value = healthy_or(table, variant, e->question, &open, &known) / 1000.0;
  return known;
}

/* Ohms of parts on a bench vary with cold and warm; between two pins the text says more. */
static double ohms_spread(const struct pl_evidence *e, double value) {
  if (e->said != PL_SAID_BETWEEN) return PL_LIKELY(OHMS_SPREAD);
  return PL_LIKELY(OHMS_BETWEEN) * (1 + 2 * PL_LIKELY(LEADS) / pow(10, value));
}

static double bell(double off, double spread, double range) {
  double z = off / spread, m = PL_LIKELY(MISREAD);

  return (1 - m) * exp(-z * z / 2) / (spread * root_two_pi) + m / range;
}

static bool is_word(enum pl_said said) {
  return said == PL_SAID_RUNS || said == PL_SAID_WARM || said == PL_SAID_FUSE || said == PL_SAID_CODE || said == PL_SAID_FOUND;
}

/* A finding of several kinds: right, or as good as any other when misread. */
static double found_chance(const struct pl_suspects *table, uint32_t variant, const struct pl_evidence *e) {
  bool open, known;
  double answer = healthy_or(table, variant, e->question, &open, &known), m = PL_LIKELY(MISREAD);

  if (!known) return 0.5;
  return answer == e->value ? 1 - m : m;
}

static double word_chance(const struct pl_suspects *table, uint32_t variant, const struct pl_evidence *e) {
  bool open, known, open_too, known_too;
  double answer;

  if (e->said == PL_SAID_FOUND) return found_chance(table, variant, e);
  answer = healthy_or(table, variant, e->question, &open, &known);
  int word = (int)e->value, is = (int)answer;

  if (!known) return e->said == PL_SAID_RUNS ? 1.0 / 3 : 0.5;
  if (e->said == PL_SAID_RUNS) return pl_standard_words[is][word];
  if (e->said == PL_SAID_CODE) {
    double healthy = healthy_or(table, table->variants.n, e->question, &open_too, &known_too);
    is = open != open_too || fabs(answer - healthy) * table->volt > PL_LIKELY(CODE);
  }
  const double *seen = pl_standard_seen[e->said == PL_SAID_FUSE ? 0 : e->said == PL_SAID_WARM ? 1 : 2];
  return word ? seen[is] : 1 - seen[is];
}

double pl_weigh_fit(const struct pl_suspects *table, uint32_t variant, const struct pl_evidence *e) {
  double volts, spread, value, read, range = 2 * table->harness->machine.volts;

  if (e->said == PL_SAID_SEEN) return 1;
  if (is_word(e->said)) return word_chance(table, variant, e);
  if (e->said == PL_SAID_VOLTS) return expect_volts(table, variant, e, &volts, &spread) ? bell(e->value - volts, spread, range) : 1 / range;
  return expect_ohms(table, variant, e, &value, &read) ? bell(read - value, ohms_spread(e, value), decades) : 1 / decades;
}

bool pl_weigh_explains(const struct pl_suspects *table, uint32_t variant, const struct pl_evidence *e) {
  double volts, spread, value, read;

  if (e->said == PL_SAID_SEEN) return true;
  if (is_word(e->said)) return word_chance(table, variant, e) >= far_fetched;
  if (e->said == PL_SAID_VOLTS) return !expect_volts(table, variant, e, &volts, &spread) || fabs(e->value - volts) <= FAR * spread;
  return !expect_ohms(table, variant, e, &value, &read) || fabs(read - value) <= FAR * ohms_spread(e, value);
}

/* ---- ranking ---- */

/* By variant: log of the prior times all fits. */
static double *log_weights(const struct pl_suspects *table, const pl_evidences *evidences, struct pl_arena *arena) {
  double *logs = PL_NEW_ARRAY(arena, double, table->variants.n + 1);

  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *suspect = &table->suspects.at[s];
    for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++) {
      logs[v] = log(suspect->weight * table->variants.at[v].share);
      for (uint32_t i = 0; i < evidences->n; i++) logs[v] += log(pl_weigh_fit(table, v, &evidences->at[i]));
    }
  }
  return logs;
}

/* By variant: share of all weight, from logs of weights. */
static void share_out(const struct pl_suspects *table, double *w) {
  double most = -INFINITY, sum = 0;

  for (uint32_t v = 0; v < table->variants.n; v++) most = fmax(most, w[v]);
  for (uint32_t v = 0; v < table->variants.n; v++) sum += w[v] = exp(w[v] - most);
  for (uint32_t v = 0; v < table->variants.n; v++) w[v] /= sum;
}

static double *shares_of(const struct pl_suspects *table, const pl_evidences *evidences, struct pl_arena *arena) {
  double *w = log_weights(table, evidences, arena);

  share_out(table, w);
  return w;
}

static int by_weight(const void *a, const void *b) {
  const struct pl_ranked *x = a, *y = b;

  if (x->weight != y->weight) return x->weight < y->weight ? 1 : -1;
  return (x->suspect > y->suspect) - (x->suspect < y->suspect);
}

static uint32_t heaviest_variant(const struct pl_suspect *suspect, const double *shares) {
  uint32_t best = suspect->first;

  for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++)
    if (shares[v] > shares[best]) best = v;
  return best;
}

static uint32_t count_against(const struct pl_suspects *table, uint32_t variant, const pl_evidences *evidences, uint32_t *which) {
  uint32_t n = 0;

  for (uint32_t i = 0; i < evidences->n; i++) {
    if (pl_weigh_explains(table, variant, &evidences->at[i])) continue;
    *which = i;
    n++;
  }
  return n;
}

enum { HEAD = 200 };                     /* so many of the list are compared with each other */
static const double negligible = 1e-4;   /* of all weight: not compared, not asked about */

static void group_up(const struct pl_suspects *table, struct pl_verdict *verdict) {
  uint32_t leaders[HEAD], n = 0;

  for (verdict->grouped = 0; verdict->grouped < verdict->n && verdict->grouped < HEAD; verdict->grouped++) {
    struct pl_ranked *r = &verdict->at[verdict->grouped];
    uint32_t g = 0;
    if (verdict->grouped > 0 && r->weight < negligible) break;
    while (g < n && !pl_weigh_alike(table, leaders[g], r->suspect)) g++;
    if (g == n) leaders[n++] = r->suspect;
    r->group = g;
  }
}

enum { TELLING = 24 };   /* readings looked at one by one and in pairs */

/* Readings that speak for the first suspect: not the many that are as they should be, and should be so. */
static uint32_t telling_ones(const struct pl_suspects *table, const struct pl_verdict *verdict, const pl_evidences *evidences, uint32_t *which) {
  uint32_t n = 0, first = table->suspects.at[verdict->at[0].suspect].first;

  for (uint32_t i = evidences->n; i-- > 0 && n < TELLING;) {
    const struct pl_evidence *e = &evidences->at[i];
    if (e->said == PL_SAID_SEEN || e->question == PL_NONE) continue;
    if (is_word(e->said) && e->value == table->questions.at[e->question].healthy && pl_suspects_answer(table, first, e->question) == e->value) continue;
    which[n++] = i;
  }
  return n;
}

/* Without those two readings (or one, twice), would one of another group come first? */
static bool hang_on(const struct pl_suspects *table, const struct pl_verdict *verdict, const double *logs, const double *a, const double *b) {
  double best = -INFINITY;
  uint32_t first = PL_NONE;

  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *suspect = &table->suspects.at[s];
    for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++) {
      double weight = logs[v] - a[v] - (a == b ? 0 : b[v]);
      if (weight <= best) continue;
      best = weight;
      first = s;
    }
  }
  return first != verdict->at[0].suspect && !pl_weigh_alike(table, first, verdict->at[0].suspect);
}

/* The reading that the first hangs on alone or together with another: the last of several. */
static uint32_t find_hanging(const struct pl_suspects *table, const struct pl_verdict *verdict, const pl_evidences *evidences, const double *logs,
                             struct pl_arena *arena) {
  uint32_t which[TELLING], n = telling_ones(table, verdict, evidences, which);
  double *fits = PL_NEW_ARRAY(arena, double, (size_t)n * table->variants.n + 1);

  for (uint32_t i = 0; i < n; i++)
    for (uint32_t v = 0; v < table->variants.n; v++) fits[(size_t)i * table->variants.n + v] = log(pl_weigh_fit(table, v, &evidences->at[which[i]]));
  for (uint32_t apart = 0; apart < n; apart++)  /* single ones before pairs */
    for (uint32_t i = 0; i + apart < n; i++) {
      const double *a = fits + (size_t)i * table->variants.n, *b = fits + (size_t)(i + apart) * table->variants.n;
      if (hang_on(table, verdict, logs, a, b)) return which[i];
    }
  return PL_NONE;
}

void pl_weigh(const struct pl_suspects *table, const pl_evidences *evidences, struct pl_arena *arena, struct pl_verdict *verdict) {
  double *logs = log_weights(table, evidences, arena), *shares = PL_NEW_ARRAY(arena, double, table->variants.n + 1), first = 0;
  uint32_t which = PL_NONE;

  memcpy(shares, logs, table->variants.n * sizeof *shares);
  share_out(table, shares);
  *verdict = (struct pl_verdict){.at = PL_NEW_ARRAY(arena, struct pl_ranked, table->suspects.n + 1), .n = table->suspects.n, .shares = shares, .contradiction = PL_NONE,
                                 .hangs_on = PL_NONE};
  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *suspect = &table->suspects.at[s];
    struct pl_ranked *r = &verdict->at[s];
    *r = (struct pl_ranked){.suspect = s, .group = PL_NONE};
    for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++) r->weight += shares[v];
    r->against = count_against(table, heaviest_variant(suspect, shares), evidences, &which);
  }
  qsort(verdict->at, verdict->n, sizeof *verdict->at, by_weight);
  group_up(table, verdict);
  verdict->healthy = count_against(table, table->variants.n, evidences, &which) == 0;
  if (verdict->n == 0) return;
  for (uint32_t i = 0; i < verdict->grouped; i++)
    if (verdict->at[i].group == 0) first += verdict->at[i].weight;
  if (verdict->at[0].against > 0)
    count_against(table, heaviest_variant(&table->suspects.at[verdict->at[0].suspect], shares), evidences, &verdict->contradiction);
  if (first < PL_LIKELY(CERTAIN) || verdict->at[0].against > 0) return;
  verdict->hangs_on = find_hanging(table, verdict, evidences, logs, arena);
  verdict->certain = verdict->hangs_on == PL_NONE;
}

/* ---- alike ---- */

static bool answers_alike(const struct pl_suspects *table, uint32_t question, int16_t a, int16_t b) {
  enum pl_ask what = table->questions.at[question].ask;

  if (a == b || a == PL_ANSWER_UNKNOWN || b == PL_ANSWER_UNKNOWN) return true;
  if (what == PL_ASK_VOLTS) {
    double x = a == PL_ANSWER_OPEN ? 0 : a * table->volt, y = b == PL_ANSWER_OPEN ? 0 : b * table->volt;
    double spread = fmax(a == PL_ANSWER_OPEN ? PL_LIKELY(GHOST) : pl_suspects_spread(x), b == PL_ANSWER_OPEN ? PL_LIKELY(GHOST) : pl_suspects_spread(y));
    return fabs(x - y) <= TWICE * spread;
  }
  if (what == PL_ASK_WIRE || what == PL_ASK_LEAK || what == PL_ASK_INSIDE) return abs(a - b) <= TWICE * 1000 * PL_LIKELY(OHMS_SPREAD);
  return false;
}

bool pl_weigh_alike(const struct pl_suspects *table, uint32_t a, uint32_t b) {
  const struct pl_variant *x = &table->variants.at[table->suspects.at[a].first], *y = &table->variants.at[table->suspects.at[b].first];
  uint32_t i = x->first, j = y->first, i_end = x->first + x->count, j_end = y->first + y->count;

  while (i < i_end || j < j_end) {
    uint32_t p = i < i_end ? table->entry_questions.at[i] : PL_NONE, q = j < j_end ? table->entry_questions.at[j] : PL_NONE, at = p < q ? p : q;
    int16_t healthy = table->questions.at[at].healthy;
    int16_t of_x = p == at ? table->entry_answers.at[i++] : healthy, of_y = q == at ? table->entry_answers.at[j++] : healthy;
    if (isfinite(table->questions.at[at].effort) && !answers_alike(table, at, of_x, of_y)) return false;
  }
  return true;
}

/* ---- the next reading ---- */

struct outcome { uint32_t question; int16_t answer; double weight; };

struct chooser {
  const struct pl_suspects *table;
  struct outcome *at;      /* by question, exceptions of the suspects still there */
  uint32_t *start;         /* by question */
  double all;              /* their weight */
};

static double bits_of(double p) { return p > 0 ? -p * log2(p) : 0; }

static int by_answer(const void *a, const void *b) {
  const struct outcome *x = a, *y = b;
  int p = x->answer == PL_ANSWER_OPEN ? 0 : x->answer, q = y->answer == PL_ANSWER_OPEN ? 0 : y->answer;

  return (p > q) - (p < q);
}

/* Answers that a reading can tell apart, as clusters of neighbouring ones; the weight of each divides the list. */
static double bits_of_clusters(const struct pl_suspects *table, struct outcome *at, uint32_t n, double known) {
  double bits = 0, cluster = 0;

  qsort(at, n, sizeof *at, by_answer);
  for (uint32_t i = 0; i < n; i++) {
    if (i > 0 && !answers_alike(table, at[i].question, at[i - 1].answer, at[i].answer)) {
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
  double rest = c->all, known = c->all, weight[3] = {0};

  for (uint32_t i = c->start[question]; i < c->start[question + 1]; i++) {
    rest -= c->at[i].weight;
    if (c->at[i].answer == PL_ANSWER_UNKNOWN)
      known -= c->at[i].weight;
    else
      room[n++] = c->at[i];
  }
  if (q->healthy == PL_ANSWER_UNKNOWN || n == 0 || !(known > 0)) return 0;
  room[n++] = (struct outcome){question, q->healthy, fmax(rest, 0)};
  if (q->ask == PL_ASK_RUNS || q->ask == PL_ASK_WARM || q->ask == PL_ASK_FUSE) {
    for (uint32_t i = 0; i < n; i++) weight[room[i].answer] += room[i].weight;
    return known / c->all * bits_of_words(q->ask, weight, known);
  }
  return known / c->all * bits_of_clusters(c->table, room, n, known);
}

static void gather(struct chooser *c, const double *shares, struct pl_arena *arena) {
  const struct pl_suspects *table = c->table;
  uint32_t total = 0;

  c->start = PL_NEW_ARRAY(arena, uint32_t, table->questions.n + 2);
  for (uint32_t v = 0; v < table->variants.n; v++) {
    if (shares[v] < negligible) continue;
    c->all += shares[v];
    total += table->variants.at[v].count;
    for (uint32_t i = 0; i < table->variants.at[v].count; i++) c->start[table->entry_questions.at[table->variants.at[v].first + i] + 2]++;
  }
  for (uint32_t q = 2; q < table->questions.n + 2; q++) c->start[q] += c->start[q - 1];
  c->at = PL_NEW_ARRAY(arena, struct outcome, total + 1);
  for (uint32_t v = 0; v < table->variants.n; v++) {
    if (shares[v] < negligible) continue;
    for (uint32_t k = table->variants.at[v].first; k < table->variants.at[v].first + table->variants.at[v].count; k++) {
      uint32_t q = table->entry_questions.at[k];
      c->at[c->start[q + 1]++] = (struct outcome){q, table->entry_answers.at[k], shares[v]};
    }
  }
}

static bool is_asked(const pl_evidences *evidences, uint32_t question) {
  for (uint32_t i = 0; i < evidences->n; i++)
    if (evidences->at[i].question == question && evidences->at[i].other == PL_NONE && evidences->at[i].said != PL_SAID_CODE) return true;
  return false;
}

static const double least_bits = 0.01;

uint32_t pl_weigh_next(const struct pl_suspects *table, const pl_evidences *evidences, const struct pl_verdict *verdict, struct pl_arena *arena,
                       uint32_t most, struct pl_next *next) {
  struct chooser c = {.table = table};
  struct outcome *room = PL_NEW_ARRAY(arena, struct outcome, table->variants.n + 1);
  uint32_t n = 0;

  if (verdict->hangs_on != PL_NONE && most > 0) {  /* once more what all hangs on */
    next[0] = (struct pl_next){.question = evidences->at[verdict->hangs_on].question, .again = true};
    return 1;
  }
  gather(&c, shares_of(table, evidences, arena), arena);
  for (uint32_t q = 0; q < table->questions.n; q++) {
    if (c.start[q + 1] == c.start[q] || isinf(table->questions.at[q].effort) || is_asked(evidences, q)) continue;
    double bits = bits_of_question(&c, q, room), score = bits / table->questions.at[q].effort;
    if (bits < least_bits || (n == most && score <= next[n - 1].score)) continue;
    uint32_t at = n < most ? n++ : n - 1;
    while (at > 0 && next[at - 1].score < score) {
      next[at] = next[at - 1];
      at--;
    }
    next[at] = (struct pl_next){.question = q, .bits = bits, .score = score};
  }
  return n;
}

/* ---- words ---- */

const char *pl_weigh_answer_text(const struct pl_suspects *table, uint32_t question, int16_t answer, struct pl_arena *arena) {
  static const char *const runs[] = {"dead", "weak", "runs"};
  char number[PL_NUMBER_SIZE];

  if (answer == PL_ANSWER_UNKNOWN) return "not known";
  switch (table->questions.at[question].ask) {
    case PL_ASK_VOLTS:
      if (answer == PL_ANSWER_OPEN) return "open (0 V)";
      return pl_arena_printf(arena, "%s V", pl_number_fixed(number, answer * table->volt, abs(answer) * table->volt < 0.995 ? 2 : 1));
    case PL_ASK_RUNS: return runs[answer];
    case PL_ASK_WARM: return answer ? "warm" : "cold";
    case PL_ASK_FUSE: return answer ? "blown" : "good";
    default: break;
  }
  double ohms = pow(10, answer / 1000.0);
  if (answer >= pl_suspects_ohms(INFINITY)) return "open";
  if (ohms < 1000) return pl_arena_printf(arena, "%s ohm", pl_number_print(number, fmax(ohms - PL_LIKELY(LEADS), 0), ohms < 10 ? 1 : 2));
  return pl_arena_printf(arena, "%s kohm", pl_number_print(number, ohms / 1000, 2));
}
