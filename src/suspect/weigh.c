/* Bayes' rule over the table of suspects; it knows no network.
 *
 * Idea: the weight of a variant is its prior times how likely it makes each reading (naive Bayes:
 * readings err independently of each other; Pearl, Probabilistic Reasoning in Intelligent Systems,
 * 1988, chapter 2).  A reading in volts or ohms has a bell about what is expected plus a flat share
 * for a misread meter, so that no single reading can rule anything out; a word has a chance from
 * standard/likely.h.  All in logarithms; the sum is taken relative to the largest.  Certain is only
 * what would stay first whichever BORNE readings were wrong: the strongest so many are left out of
 * the balance against every rival.  Cost: variants times readings, each a binary search. */
#include "suspect/weigh.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "standard/likely.h"
#include "suspect/weigh_inner.h"

/* ---- how well a suspect explains a reading ---- */

static const double root_two_pi = 2.5066282746310002;
static const double far = 3;           /* spreads: beyond it unexplained */
static const double twice = 2;         /* spreads: within it not to be told apart */
static const double decades = 8;       /* of ohms a meter shows, from 0.01 ohm to open */
static const double nowhere = -100;    /* decades of ohms */
static const double far_fetched = 0.2; /* a word less likely than this does not explain */

/* What a variant answers; of an open pin, or of what is not known, the value is 0. */
struct expected {
  double value;
  bool open, known;
};

static struct expected
expect(const struct pl_suspects *table, uint32_t variant, uint32_t question) {
  int16_t answer = pl_suspects_answer(table, variant, question);
  struct expected e = {.open = answer == PL_ANSWER_OPEN, .known = answer != PL_ANSWER_UNKNOWN};

  if (!e.open && e.known)
    e.value = answer;
  return e;
}

/* What is expected and how far off a reading may be; false: not known. */
static bool expect_volts(const struct pl_suspects *table,
                         uint32_t variant,
                         const struct pl_evidence *e,
                         double *volts,
                         double *spread) {
  struct expected a = expect(table, variant, e->question);
  struct expected b = {.known = true};

  if (e->other != PL_NONE)
    b = expect(table, variant, e->other);
  if (a.open || b.open) {
    *volts = 0;
    *spread = PL_LIKELY(GHOST);
  } else {
    *volts = (a.value - b.value) * table->volt;
    *spread = pl_suspects_spread(*volts);
  }
  return a.known && b.known;
}

/* Decades of ohms: those expected, and those read. */
static bool expect_ohms(const struct pl_suspects *table,
                        uint32_t variant,
                        const struct pl_evidence *e,
                        double *value,
                        double *read) {
  *read = pl_suspects_ohms(e->value) / 1000.0;
  if (e->said == PL_SAID_BETWEEN) {
    double ohms = e->predicted[variant];
    if (isnan(ohms))
      *value = 0;
    else
      *value = pl_suspects_ohms(ohms) / 1000.0;
    return !isnan(ohms);
  }
  struct expected answer = expect(table, variant, e->question);
  *value = answer.value / 1000.0;
  if (e->said == PL_SAID_GAUGE && answer.open)
    *value = nowhere; /* not fed: its needle stands nowhere that ohms put it */
  return answer.known;
}

/* Ohms of parts on a bench vary with cold and warm; between two pins the text says more. */
static double
ohms_spread(const struct pl_suspects *table, const struct pl_evidence *e, double value) {
  if (e->said == PL_SAID_GAUGE)
    return PL_LIKELY(GAUGE_SPREAD);
  if (e->said != PL_SAID_BETWEEN && table->questions.at[e->question].ask != PL_ASK_BETWEEN)
    return PL_LIKELY(OHMS_SPREAD);
  return PL_LIKELY(OHMS_BETWEEN) * (1 + 2 * PL_LIKELY(LEADS) / pow(10, value));
}

static double bell(double off, double spread, double range) {
  double z = off / spread;
  double m = PL_LIKELY(MISREAD);

  return (1 - m) * exp(-z * z / 2) / (spread * root_two_pi) + m / range;
}

static bool is_word(enum pl_said said) {
  if (said == PL_SAID_LINK)
    return true;
  if (said == PL_SAID_NEEDLE)
    return true;
  if (said == PL_SAID_RUNS)
    return true;
  if (said == PL_SAID_WARM)
    return true;
  if (said == PL_SAID_FUSE)
    return true;
  if (said == PL_SAID_CODE)
    return true;
  return said == PL_SAID_FOUND;
}

/* A finding of several kinds: right, or as good as any other when misread. */
static double
found_chance(const struct pl_suspects *table, uint32_t variant, const struct pl_evidence *e) {
  struct expected answer = expect(table, variant, e->question);
  double misread = PL_LIKELY(MISREAD);

  if (!answer.known)
    return 0.5;
  if (answer.value == e->value)
    return 1 - misread;
  return misread;
}

int pl_suspects_needle(const struct pl_suspects *table, uint32_t question, int16_t answer) {
  const struct pl_question *q = &table->questions.at[question];
  const struct pl_device *d = &table->harness->devices.at[q->id];
  uint32_t n = d->points.n;
  bool rising = n >= 2 && (d->points.at[n - 1].ohms > d->points.at[0].ohms) ==
                              (d->points.at[n - 1].x > d->points.at[0].x);

  if (answer == PL_ANSWER_OPEN)
    return 0;
  if (q->healthy == PL_ANSWER_OPEN)
    return 3;
  if (abs(answer - q->healthy) <= twice * 1000 * PL_LIKELY(GAUGE_SPREAD))
    return 2;
  if ((answer > q->healthy) == rising)
    return 3;
  return 1;
}

/* Of a word when the answer is not known: as likely as its fellows. */
static double chance_of_any(enum pl_said said) {
  const double words_of_runs = 3;
  const double words_of_needles = 4;

  if (said == PL_SAID_RUNS)
    return 1 / words_of_runs;
  return said == PL_SAID_NEEDLE ? 1 / words_of_needles : 0.5;
}

/* A module complains of an input whose volts are far from the healthy ones. */
static bool
complains(const struct pl_suspects *table, uint32_t question, const struct expected *answer) {
  struct expected healthy = expect(table, table->variants.n, question);

  if (answer->open != healthy.open)
    return true;
  return fabs(answer->value - healthy.value) * table->volt > PL_LIKELY(CODE);
}

/* Row of pl_standard_seen. */
static int seen_row(enum pl_said said) {
  if (said == PL_SAID_FUSE)
    return 0;
  return said == PL_SAID_WARM ? 1 : 2;
}

static double
word_chance(const struct pl_suspects *table, uint32_t variant, const struct pl_evidence *e) {
  struct expected answer = expect(table, variant, e->question);
  int word = (int)e->value;
  int is = (int)answer.value;

  if (e->said == PL_SAID_FOUND)
    return found_chance(table, variant, e);
  if (!answer.known)
    return chance_of_any(e->said);
  if (e->said == PL_SAID_NEEDLE) {
    int16_t shown = answer.open ? PL_ANSWER_OPEN : (int16_t)answer.value;
    return pl_standard_needle[pl_suspects_needle(table, e->question, shown)][word];
  }
  if (e->said == PL_SAID_RUNS)
    return pl_standard_words[is][word];
  if (e->said == PL_SAID_CODE)
    is = complains(table, e->question, &answer);
  double yes = pl_standard_seen[seen_row(e->said)][is];
  return word ? yes : 1 - yes;
}

double
pl_weigh_fit(const struct pl_suspects *table, uint32_t variant, const struct pl_evidence *e) {
  double range = 2 * table->harness->machine.volts;
  double expected, spread, read;

  if (e->said == PL_SAID_SEEN)
    return 1;
  if (is_word(e->said))
    return word_chance(table, variant, e);
  if (e->said == PL_SAID_VOLTS) {
    if (!expect_volts(table, variant, e, &expected, &spread))
      return 1 / range;
    return bell(e->value - expected, spread, range);
  }
  if (!expect_ohms(table, variant, e, &expected, &read))
    return 1 / decades;
  return bell(read - expected, ohms_spread(table, e, expected), decades);
}

bool pl_weigh_explains(const struct pl_suspects *table,
                       uint32_t variant,
                       const struct pl_evidence *e) {
  double expected, spread, read;

  if (e->said == PL_SAID_SEEN)
    return true;
  if (is_word(e->said))
    return word_chance(table, variant, e) >= far_fetched;
  if (e->said == PL_SAID_VOLTS) {
    if (!expect_volts(table, variant, e, &expected, &spread))
      return true;
    return fabs(e->value - expected) <= far * spread;
  }
  if (!expect_ohms(table, variant, e, &expected, &read))
    return true;
  return fabs(read - expected) <= far * ohms_spread(table, e, expected);
}

/* ---- alike ---- */

static bool volts_alike(const struct pl_suspects *table, int16_t a, int16_t b) {
  double x = 0;
  if (a != PL_ANSWER_OPEN)
    x = a * table->volt;
  double y = 0;
  if (b != PL_ANSWER_OPEN)
    y = b * table->volt;
  double spread_x = a == PL_ANSWER_OPEN ? PL_LIKELY(GHOST) : pl_suspects_spread(x);
  double spread_y = b == PL_ANSWER_OPEN ? PL_LIKELY(GHOST) : pl_suspects_spread(y);

  return fabs(x - y) <= twice * fmax(spread_x, spread_y);
}

static bool within_decades(int16_t a, int16_t b, double spread) {
  return abs(a - b) <= twice * 1000 * spread;
}

bool pl_weigh_answers_alike(const struct pl_suspects *table,
                            uint32_t question,
                            int16_t a,
                            int16_t b) {
  if (a == b || a == PL_ANSWER_UNKNOWN)
    return true;
  if (b == PL_ANSWER_UNKNOWN)
    return true;
  switch (table->questions.at[question].ask) {
    case PL_ASK_VOLTS:
      return volts_alike(table, a, b);
    case PL_ASK_WIRE:
    case PL_ASK_LEAK:
    case PL_ASK_INSIDE:
      return within_decades(a, b, PL_LIKELY(OHMS_SPREAD));
    case PL_ASK_BETWEEN:
      return within_decades(a, b, PL_LIKELY(OHMS_BETWEEN));
    case PL_ASK_GAUGE:
      if (a == PL_ANSWER_OPEN || b == PL_ANSWER_OPEN)
        return false;
      return within_decades(a, b, PL_LIKELY(GAUGE_SPREAD));
    case PL_ASK_RUNS: /* words and findings: another is another */
    case PL_ASK_WARM:
    case PL_ASK_LOOK:
    case PL_ASK_FUSE:
    case PL_ASK_PANEL:
    case PL_ASK_REFIT:
    case PL_ASK_SEARCH:
    case PL_ASK_LINK:
      break;
  }
  return false;
}

bool pl_weigh_step(const struct pl_suspects *table,
                   const struct pl_variant *x,
                   const struct pl_variant *y,
                   uint32_t *i,
                   uint32_t *j,
                   uint32_t *question,
                   int16_t *of_x,
                   int16_t *of_y) {
  uint32_t p = PL_NONE;
  if (*i < x->first + x->count)
    p = table->entry_questions.at[*i];
  uint32_t q = PL_NONE;
  if (*j < y->first + y->count)
    q = table->entry_questions.at[*j];

  *question = p < q ? p : q;
  if (*question == PL_NONE)
    return false;
  int16_t healthy = table->questions.at[*question].healthy;
  if (p == *question)
    *of_x = table->entry_answers.at[(*i)++];
  else
    *of_x = healthy;
  if (q == *question)
    *of_y = table->entry_answers.at[(*j)++];
  else
    *of_y = healthy;
  return true;
}

static bool variants_alike(const struct pl_suspects *table, uint32_t a, uint32_t b) {
  const struct pl_variant *x = &table->variants.at[a];
  const struct pl_variant *y = &table->variants.at[b];
  uint32_t i = x->first;
  uint32_t j = y->first;
  uint32_t at;
  int16_t of_x, of_y;

  while (pl_weigh_step(table, x, y, &i, &j, &at, &of_x, &of_y))
    if (isfinite(table->questions.at[at].effort) && !pl_weigh_answers_alike(table, at, of_x, of_y))
      return false;
  return true;
}

bool pl_weigh_alike(const struct pl_suspects *table, uint32_t a, uint32_t b) {
  return variants_alike(table, table->suspects.at[a].first, table->suspects.at[b].first);
}

/* ---- ranking ---- */

/* By variant: log of the prior, and of every fit. */
struct logs {
  double *prior, *fit; /* fit[v * readings + i] */
  uint32_t readings;
};

static struct logs
take_logs(const struct pl_suspects *table, const pl_evidences *evidences, struct pl_arena *arena) {
  struct logs logs = {.readings = evidences->n};

  logs.prior = PL_NEW_ARRAY(arena, double, table->variants.n + 1);
  logs.fit = PL_NEW_ARRAY(arena, double, (size_t)table->variants.n * evidences->n + 1);
  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *suspect = &table->suspects.at[s];
    for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++) {
      logs.prior[v] = log(suspect->weight * table->variants.at[v].share);
      for (uint32_t i = 0; i < evidences->n; i++)
        logs.fit[(size_t)v * evidences->n + i] = log(pl_weigh_fit(table, v, &evidences->at[i]));
    }
  }
  return logs;
}

/* By variant: share of all weight. */
static double *
shares_of(const struct pl_suspects *table, const struct logs *logs, struct pl_arena *arena) {
  double *w = PL_NEW_ARRAY(arena, double, table->variants.n + 1);
  double most = -INFINITY;
  double sum = 0;

  for (uint32_t v = 0; v < table->variants.n; v++) {
    w[v] = logs->prior[v];
    for (uint32_t i = 0; i < logs->readings; i++)
      w[v] += logs->fit[(size_t)v * logs->readings + i];
    most = fmax(most, w[v]);
  }
  for (uint32_t v = 0; v < table->variants.n; v++)
    sum += w[v] = exp(w[v] - most);
  for (uint32_t v = 0; v < table->variants.n; v++)
    w[v] /= sum;
  return w;
}

static int by_weight(const void *a, const void *b) {
  const struct pl_ranked *x = a;
  const struct pl_ranked *y = b;

  if (x->weight != y->weight)
    return x->weight < y->weight ? 1 : -1;
  return (x->suspect > y->suspect) - (x->suspect < y->suspect);
}

uint32_t pl_weigh_heaviest(const struct pl_suspect *suspect, const double *shares) {
  uint32_t best = suspect->first;

  for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++)
    if (shares[v] > shares[best])
      best = v;
  return best;
}

static uint32_t
count_against(const struct pl_suspects *table, uint32_t variant, const pl_evidences *evidences) {
  uint32_t n = 0;

  for (uint32_t i = 0; i < evidences->n; i++)
    n += pl_weigh_explains(table, variant, &evidences->at[i]) ? 0 : 1;
  return n;
}

/* So many of the list are compared with each other. */
enum {
  HEAD = 200
};

static void group_up(const struct pl_suspects *table, struct pl_verdict *verdict) {
  uint32_t leaders[HEAD];
  uint32_t n = 0;

  for (verdict->grouped = 0; verdict->grouped < verdict->n && verdict->grouped < HEAD;
       verdict->grouped++) {
    struct pl_ranked *r = &verdict->at[verdict->grouped];
    uint32_t g = 0;
    if (verdict->grouped > 0 && r->weight < PL_WEIGH_NEGLIGIBLE)
      break;
    while (g < n && !pl_weigh_alike(table, leaders[g], r->suspect))
      g++;
    if (g == n)
      leaders[n++] = r->suspect;
    r->group = g;
  }
}

/* ---- how sure ---- */

/* The same thing read once more, or said once more. */
static bool same_reading(const struct pl_evidence *a, const struct pl_evidence *b) {
  if (a->said != b->said)
    return false;
  if (a->question != b->question)
    return false;
  if (a->other != b->other)
    return false;
  return a->question != PL_NONE;
}

/* Was it read otherwise twice or more since or before, as the variant explains it? */
static bool is_outvoted(const struct pl_suspects *table,
                        uint32_t variant,
                        const pl_evidences *evidences,
                        uint32_t i) {
  uint32_t against = 0;

  for (uint32_t k = 0; k < evidences->n; k++)
    if (same_reading(&evidences->at[k], &evidences->at[i]))
      against += pl_weigh_explains(table, variant, &evidences->at[k]) ? 1 : 0;
  return against >= 2;
}

static uint32_t find_contradiction(const struct pl_suspects *table,
                                   uint32_t variant,
                                   const pl_evidences *evidences) {
  for (uint32_t i = evidences->n; i-- > 0;)
    if (!pl_weigh_explains(table, variant, &evidences->at[i]) &&
        !is_outvoted(table, variant, evidences, i))
      return i;
  return PL_NONE;
}

/* So many readings, the strongest first, may be left out and the others still speak against the
 * rival (CERTAIN to the rest, even when it fails as often as the first); at most BORNE. */
static uint32_t borne_against(const struct logs *logs, uint32_t first, uint32_t rival) {
  double strongest[PL_WEIGH_BORNE_MOST] = {0};
  double rest = fmin(0, logs->prior[first] - logs->prior[rival]);
  double enough = log(PL_LIKELY(CERTAIN) / (1 - PL_LIKELY(CERTAIN)));
  uint32_t most = (uint32_t)PL_LIKELY(BORNE);
  uint32_t n = 0;

  for (uint32_t i = 0; i < logs->readings; i++) {
    double speaks = logs->fit[(size_t)first * logs->readings + i] -
                    logs->fit[(size_t)rival * logs->readings + i];
    rest += speaks;
    for (uint32_t k = 0; k < most; k++) {
      if (speaks <= strongest[k])
        continue;
      double less = strongest[k];
      strongest[k] = speaks;
      speaks = less;
    }
  }
  while (n < most && (rest -= strongest[n]) >= enough)
    n++;
  return n;
}

/* Weighs the rivals that too few readings speak against; what no reading can tell from the first is
 * none. */
static void find_doubt(const struct pl_suspects *table,
                       const struct logs *logs,
                       struct pl_arena *arena,
                       struct pl_verdict *verdict) {
  uint32_t suspect = verdict->at[0].suspect;
  uint32_t first = pl_weigh_heaviest(&table->suspects.at[suspect], verdict->shares);
  uint32_t most = (uint32_t)PL_LIKELY(BORNE);
  double *doubt = PL_NEW_ARRAY(arena, double, table->variants.n + 1);

  verdict->borne = most;
  verdict->doubt = doubt;
  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *rival = &table->suspects.at[s];
    for (uint32_t v = rival->first; v < rival->first + rival->count && s != suspect; v++) {
      uint32_t borne = borne_against(logs, first, v);
      if (borne == most)
        continue;
      if (pl_weigh_alike(table, suspect, s))
        continue;
      if (variants_alike(table, first, v))
        continue;
      doubt[v] = rival->weight * table->variants.at[v].share;
      if (borne < verdict->borne)
        verdict->borne = borne;
    }
  }
}

static void judge(const struct pl_suspects *table,
                  const pl_evidences *evidences,
                  const struct logs *logs,
                  struct pl_arena *arena,
                  struct pl_verdict *verdict) {
  double first = 0;

  for (uint32_t i = 0; i < verdict->grouped; i++)
    if (verdict->at[i].group == 0)
      first += verdict->at[i].weight;
  verdict->likely = first >= PL_LIKELY(CERTAIN);
  verdict->contradiction = find_contradiction(
      table,
      pl_weigh_heaviest(&table->suspects.at[verdict->at[0].suspect], verdict->shares),
      evidences);
  if (!verdict->likely)
    return;
  find_doubt(table, logs, arena, verdict);
  verdict->certain =
      verdict->contradiction == PL_NONE && verdict->borne == (uint32_t)PL_LIKELY(BORNE);
}

void pl_weigh(const struct pl_suspects *table,
              const pl_evidences *evidences,
              struct pl_arena *arena,
              struct pl_verdict *verdict) {
  struct logs logs = take_logs(table, evidences, arena);
  double *shares = shares_of(table, &logs, arena);

  *verdict = (struct pl_verdict){.at = PL_NEW_ARRAY(arena, struct pl_ranked, table->suspects.n + 1),
                                 .n = table->suspects.n,
                                 .shares = shares,
                                 .contradiction = PL_NONE};
  for (uint32_t s = 0; s < table->suspects.n; s++) {
    const struct pl_suspect *suspect = &table->suspects.at[s];
    struct pl_ranked *r = &verdict->at[s];
    *r = (struct pl_ranked){.suspect = s, .group = PL_NONE};
    for (uint32_t v = suspect->first; v < suspect->first + suspect->count; v++)
      r->weight += shares[v];
    r->against = count_against(table, pl_weigh_heaviest(suspect, shares), evidences);
  }
  qsort(verdict->at, verdict->n, sizeof *verdict->at, by_weight);
  group_up(table, verdict);
  verdict->healthy = count_against(table, table->variants.n, evidences) == 0;
  if (verdict->n > 0)
    judge(table, evidences, &logs, arena, verdict);
}
