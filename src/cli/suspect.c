/* `pinloom suspect`: readings in, suspects and the next reading out.  The weighing is src/probe's;
 * here the table is kept in a file and words are printed. */
#include "cli/suspect.h"

#include <math.h>
#include <string.h>

#include "base/json.h"
#include "base/number.h"
#include "cli/fault_table.h"
#include "cli/write.h"
#include "standard/likely.h"
#include "suspect/said_readings.h"
#include "write/suspects_json.h"

enum {
  SHOWN = 12,
  WAYS = 3,
  OUTCOMES = 6
}; /* suspects, further readings, and what they would read, on one screen */
static const double least_shown = 0.003;

struct search {
  struct pl_session *session;
  const struct pl_options *options;
  struct pl_suspects table;
  pl_evidences evidences;
  struct pl_verdict verdict;
  struct pl_next next[WAYS];
  uint32_t ways;
};

/* ---- the table and its file ---- */

static void get_table(struct search *s) {
  const char *folder;
  if (s->options->folder != NULL)
    folder = s->options->folder;
  else
    folder = pl_write_default_folder(s->session->arena, s->options->arguments[0]);

  pl_build_digest(&s->session->sources, &s->session->harness);
  pl_cli_fault_table(s->session, folder, &s->table);
}

/* ---- readings ---- */

/* An argument that names a file is read as one; anything else is a reading itself. */
static int read_readings(struct search *s) {
  struct pl_session *session = s->session;
  pl_betweens betweens = {0};
  bool good = true;

  for (int i = 1; i < s->options->argument_count; i++) {
    const char *argument = s->options->arguments[i];
    const char *text = argument;
    const char *name = "reading";
    size_t size = strlen(argument);
    size_t n = strlen(argument);
    if (n > 4 && strcmp(argument + n - 4, ".txt") == 0) {
      enum pl_file_status status = pl_file_read(session->arena, argument, &text, &size);
      if (status != PL_FILE_OK)
        return pl_cli_complain(PL_EXIT_TEXT,
                               "cannot read the readings in %s: %s",
                               argument,
                               pl_file_status_text(status));
      name = argument;
    }
    uint32_t file = pl_sources_add(&session->sources, name, text, size);
    good = pl_readings_read(&s->table,
                            &session->sources,
                            file,
                            &session->findings,
                            &s->evidences,
                            &betweens) &&
           good;
  }
  if (!good)
    return PL_EXIT_TEXT;
  if (betweens.n > 0 && session->network == NULL)
    session->network = pl_network_new(&session->harness, session->arena);
  pl_readings_predict(&s->table, session->network, &betweens, &s->evidences);
  return PL_EXIT_FINE;
}

/* ---- words ---- */

static const char *percent(double share, char number[PL_NUMBER_SIZE]) {
  return pl_number_print(number,
                         100 * share < 0.95 ? 100 * share : round(100 * share),
                         1 + (share >= 0.095));
}

static const char *state_words(const struct search *s, pl_id state) {
  const struct pl_state *at = &s->session->harness.states.at[state];

  if (at->title == NULL)
    return at->name;
  if (at->title[0] == '\0')
    return at->name;
  if (strcmp(at->title, at->name) == 0)
    return at->name;
  return pl_arena_printf(s->session->arena, "%s (%s)", at->name, at->title);
}

static const char *place_words(const struct search *s, pl_id device) {
  const struct pl_harness *h = &s->session->harness;
  pl_id place = h->devices.at[device].place;

  if (place < h->places.n)
    return pl_arena_printf(s->session->arena, " [%s]", h->places.at[place].name);
  return "";
}

static const char *wire_words(const struct search *s, pl_id wire) {
  const struct pl_wire *w = &s->session->harness.wires.at[wire];
  const struct pl_harness *h = &s->session->harness;

  return pl_arena_printf(s->session->arena,
                         "wire %s (%s to %s)",
                         w->number,
                         w->end[0] != PL_NONE ? h->pins.at[w->end[0]].full : "the air",
                         w->end[1] != PL_NONE ? h->pins.at[w->end[1]].full : "the air");
}

/* What to do, as a line of the list. */
static const char *question_words(const struct search *s, uint32_t question) {
  const struct pl_question *q = &s->table.questions.at[question];
  const struct pl_harness *h = &s->session->harness;
  struct pl_arena *arena = s->session->arena;

  switch (q->ask) {
    case PL_ASK_VOLTS:
      return pl_arena_printf(arena,
                             "volts at %s to ground, %s%s",
                             h->pins.at[q->id].full,
                             state_words(s, q->state),
                             place_words(s, h->pins.at[q->id].device));
    case PL_ASK_RUNS:
    case PL_ASK_WARM:
      return pl_arena_printf(arena,
                             "%s %s, %s%s",
                             q->ask == PL_ASK_WARM ? "feel fuse"
                             : pl_device_is(h, q->id, PL_IS_RELAY)
                                 ? "listen and feel: does it pull in,"
                                 : "look at",
                             h->devices.at[q->id].name,
                             state_words(s, q->state),
                             place_words(s, q->id));
    case PL_ASK_LOOK:
      return pl_arena_printf(arena,
                             "state %s: look and listen, what does not do what it should?",
                             state_words(s, q->id));
    case PL_ASK_FUSE:
      return pl_arena_printf(arena,
                             "look at fuse %s%s",
                             h->devices.at[q->id].name,
                             place_words(s, q->id));
    case PL_ASK_PANEL:
      return pl_arena_printf(arena, "look at all fuses at %s", h->places.at[q->id].name);
    case PL_ASK_REFIT:
      return pl_arena_printf(arena,
                             "a lamp in place of fuse %s (bright: short), or a new fuse: in which "
                             "state does it blow?%s",
                             h->devices.at[q->id].name,
                             place_words(s, q->id));
    case PL_ASK_SEARCH:
      return pl_arena_printf(arena,
                             "search for the short: power off, fuses out, meter from behind %s to "
                             "chassis, work its switches and pull plugs until it goes%s",
                             h->devices.at[q->id].name,
                             place_words(s, q->id));
    case PL_ASK_WIRE:
      return pl_arena_printf(arena, "ohms of %s, power off, both ends off", wire_words(s, q->id));
    case PL_ASK_LEAK: {
      pl_id pin = h->wires.at[q->id / 2].end[q->id % 2];
      return pl_arena_printf(arena,
                             "ohms to chassis from %s, taken off at %s; power off, fuses out%s",
                             wire_words(s, q->id / 2),
                             h->pins.at[pin].full,
                             place_words(s, h->pins.at[pin].device));
    }
    case PL_ASK_BETWEEN:
      return pl_arena_printf(arena,
                             "ohms from %s to %s, power off, everything plugged in%s",
                             h->pins.at[q->id].full,
                             h->pins.at[pl_suspects_low_of(h, q->id)].full,
                             place_words(s, h->pins.at[q->id].device));
    case PL_ASK_LINK:
      return pl_arena_printf(arena,
                             "is %s heard on the data link?%s",
                             h->devices.at[q->id].name,
                             place_words(s, q->id));
    case PL_ASK_GAUGE:
      return pl_arena_printf(arena,
                             "look at gauge %s, %s%s",
                             h->devices.at[q->id].name,
                             state_words(s, q->state),
                             place_words(s, q->id));
    case PL_ASK_INSIDE:
      return pl_arena_printf(arena,
                             "ohms inside %s, unplugged%s",
                             h->devices.at[q->id].name,
                             place_words(s, q->id));
  }
  return "";
}

/* An answer in words; of looks and searches what was seen or found. */
static const char *sight_words(const struct search *s, uint32_t question, uint32_t variant) {
  const struct pl_suspects *t = &s->table;
  struct pl_buffer out;
  uint32_t told = 0;
  uint32_t more = 0;

  pl_buffer_init(&out, s->session->arena);
  for (uint32_t q = 0; q < t->questions.n; q++) {
    if (!pl_suspects_is_seen(t, question, q))
      continue;
    int16_t answer = pl_suspects_answer(t, variant, q);
    if (answer == t->questions.at[q].healthy)
      continue;
    if (told == 4) {
      more++;
      continue;
    }
    pl_buffer_printf(&out,
                     "%s%s %s",
                     told++ > 0 ? ", " : "",
                     s->session->harness.devices.at[t->questions.at[q].id].name,
                     pl_weigh_answer_text(t, q, answer, s->session->arena));
  }
  if (more > 0)
    pl_buffer_printf(&out, " and %u more", more);
  if (told > 0)
    return out.at;
  if (t->questions.at[question].ask == PL_ASK_PANEL)
    return "all good";
  return "all as it should be";
}

static const char *found_words(const struct search *s, uint32_t question, int16_t answer) {
  const struct pl_harness *h = &s->session->harness;
  struct pl_arena *arena = s->session->arena;
  bool refit = s->table.questions.at[question].ask == PL_ASK_REFIT;

  if (answer <= 0)
    return refit ? "holds" : "no short";
  if (refit)
    return pl_arena_printf(arena, "blows in %s", h->states.at[answer - 1].name);
  if ((uint32_t)answer <= h->wires.n)
    return pl_arena_printf(arena,
                           "wire %s or what is spliced to it",
                           h->wires.at[answer - 1].number);
  return pl_arena_printf(arena,
                         "%s or its plug",
                         h->devices.at[(uint32_t)answer - 1 - h->wires.n].name);
}

static const char *answer_words(const struct search *s, uint32_t question, uint32_t variant) {
  enum pl_ask what = s->table.questions.at[question].ask;
  int16_t answer = pl_suspects_answer(&s->table, variant, question);

  if (answer == PL_ANSWER_UNKNOWN)
    return "not known";
  if (what == PL_ASK_LOOK || what == PL_ASK_PANEL)
    return sight_words(s, question, variant);
  if (what == PL_ASK_REFIT || what == PL_ASK_SEARCH)
    return found_words(s, question, answer);
  return pl_weigh_answer_text(&s->table, question, answer, s->session->arena);
}

/* ---- the list ---- */

static double group_weight(const struct pl_verdict *v, uint32_t group) {
  double weight = 0;

  for (uint32_t i = 0; i < v->grouped; i++)
    if (v->at[i].group == group)
      weight += v->at[i].weight;
  return weight;
}

static void put_member(const struct search *s,
                       struct pl_buffer *out,
                       const struct pl_ranked *r,
                       const char *lead) {
  const struct pl_suspect *suspect = &s->table.suspects.at[r->suspect];

  pl_buffer_printf(out,
                   "%s%s%s%s%s",
                   lead,
                   suspect->text,
                   suspect->where[0] != '\0' ? "  [" : "",
                   suspect->where,
                   suspect->where[0] != '\0' ? "]" : "");
  if (r->against > 0)
    pl_buffer_printf(out, "; does not explain %u reading%s", r->against, r->against > 1 ? "s" : "");
  pl_buffer_puts(out, "\n");
}

static void
put_group(const struct search *s, struct pl_buffer *out, uint32_t group, double weight) {
  const struct pl_verdict *v = &s->verdict;
  char number[PL_NUMBER_SIZE];
  uint32_t members = 0;

  for (uint32_t i = 0; i < v->grouped; i++)
    members += v->at[i].group == group;
  pl_buffer_printf(out, "%5s %%  ", percent(weight, number));
  if (members > 1)
    pl_buffer_printf(out, "one of these %u, which no reading tells apart:\n", members);
  for (uint32_t i = 0; i < v->grouped; i++)
    if (v->at[i].group == group)
      put_member(s, out, &v->at[i], members > 1 ? "           " : "");
}

static void put_list(const struct search *s, struct pl_buffer *out) {
  const struct pl_verdict *v = &s->verdict;
  char number[PL_NUMBER_SIZE];
  uint32_t groups = 0;
  uint32_t shown = 0;
  double rest = 1;

  for (uint32_t i = 0; i < v->grouped; i++)
    groups = v->at[i].group + 1 > groups ? v->at[i].group + 1 : groups;
  pl_buffer_puts(out,
                 s->evidences.n > 0 ? "What explains the readings, likeliest first\n"
                                    : "Nothing is read yet; what fails most often comes first\n");
  for (uint32_t g = 0; g < groups && shown < SHOWN; g++) {
    double weight = group_weight(v, g);
    if (shown > 0 && weight < least_shown)
      continue;
    put_group(s, out, g, weight);
    rest -= weight;
    shown++;
  }
  if (rest > 0.0005)
    pl_buffer_printf(out, "%5s %%  all others together\n", percent(rest, number));
}

/* How far the first may be trusted. */
static void put_sureness(const struct search *s, struct pl_buffer *out) {
  const struct pl_verdict *v = &s->verdict;

  if (v->certain)
    pl_buffer_printf(out,
                     "\nThat is it, as far as readings can say: any %u of them may be wrong and it "
                     "would still be.\nMend it, then check that everything does what it should.\n",
                     v->borne);
  else if (v->likely)
    pl_buffer_printf(out,
                     "\nLikely, not certain: %s wrong reading%s could make it look so. Mend it now "
                     "if that is quick; else make sure first.\n",
                     v->borne == 0   ? "one"
                     : v->borne == 1 ? "two"
                                     : "a few",
                     v->borne == 0 ? "" : "s");
}

static void put_verdict(const struct search *s, struct pl_buffer *out) {
  const struct pl_verdict *v = &s->verdict;

  if (s->evidences.n == 0)
    return;
  if (v->n == 0)
    return;
  if (v->healthy)
    pl_buffer_puts(
        out,
        "\nA sound machine reads all of this too: nothing of it says that something is wrong.\n");
  else if (v->contradiction != PL_NONE)
    pl_buffer_printf(out,
                     "\nNo single fault explains every reading. The first of the list does not "
                     "explain:\n    %s\n"
                     "Read that again (right pin, right state, meter range); else two things are "
                     "wrong at once.\n",
                     s->evidences.at[v->contradiction].text);
  else
    put_sureness(s, out);
}

static void put_outcomes(const struct search *s, struct pl_buffer *out, uint32_t question) {
  const struct pl_verdict *v = &s->verdict;
  uint32_t shown = 0;
  uint32_t last = PL_NONE;

  for (uint32_t i = 0; i < v->grouped && shown < OUTCOMES; i++) {
    const struct pl_suspect *suspect = &s->table.suspects.at[v->at[i].suspect];
    if (v->at[i].group == last)
      continue;
    if (v->at[i].weight < least_shown)
      continue;
    last = v->at[i].group;
    pl_buffer_printf(out,
                     "         %s: %s\n",
                     answer_words(s, question, suspect->first),
                     suspect->text);
    shown++;
  }
  pl_buffer_printf(out,
                   "         %s: nothing wrong\n",
                   answer_words(s, question, s->table.variants.n));
}

static const char *heading(const struct pl_next *next) {
  if (next->again)
    return "\nRead once more (and say it once more)\n";
  if (next->sure)
    return "\nTo be sure, read next\n";
  return "\nRead next\n";
}

static void put_next(const struct search *s, struct pl_buffer *out) {
  char number[PL_NUMBER_SIZE];

  if (s->ways == 0) {
    if (!s->verdict.certain)
      pl_buffer_puts(out, "\nNo further reading tells these apart.\n");
    return;
  }
  pl_buffer_puts(out, heading(&s->next[0]));
  for (uint32_t i = 0; i < s->ways; i++) {
    const struct pl_question *q = &s->table.questions.at[s->next[i].question];
    pl_buffer_printf(out,
                     "  %s  %s%s\n",
                     i == 0 ? "1st" : "or ",
                     question_words(s, s->next[i].question),
                     i > 0 && s->next[i].again ? ", once more" : "");
    if (isfinite(q->effort))
      pl_buffer_printf(out, "         about %s minutes", pl_number_print(number, q->effort, 2));
    if (!s->next[i].sure && !s->next[i].again)
      pl_buffer_printf(out, ", worth %s bits", pl_number_print(number, s->next[i].bits, 2));
    pl_buffer_puts(out,
                   i > 0                 ? "\n"
                   : isfinite(q->effort) ? "; it would read\n"
                                         : "         it would be\n");
    if (i == 0)
      put_outcomes(s, out, s->next[0].question);
  }
  pl_buffer_puts(out,
                 "\nBefore a plug or a wire comes off: key off, disconnect open, the controllers "
                 "shut down. Machine blocked. Never bridge an interlock.\n");
}

/* ---- JSON ---- */

static void put_ranked(struct pl_json *json, const struct search *s, const struct pl_ranked *r) {
  pl_json_line(json, 1);
  pl_json_object(json, NULL);
  pl_json_number(json, "suspect", r->suspect);
  pl_json_text(json, "text", s->table.suspects.at[r->suspect].text);
  pl_json_number(json, "weight", r->weight);
  pl_json_number(json, "group", r->group);
  pl_json_number(json, "against", r->against);
  pl_json_close(json);
}

static void put_question(struct pl_json *json, const struct search *s, const struct pl_next *next) {
  pl_json_line(json, 1);
  pl_json_object(json, NULL);
  pl_json_number(json, "question", next->question);
  pl_json_text(json, "text", question_words(s, next->question));
  pl_json_number(json, "bits", next->bits);
  pl_json_number(json, "minutes", s->table.questions.at[next->question].effort);
  pl_json_bool(json, "again", next->again);
  pl_json_bool(json, "sure", next->sure);
  pl_json_close(json);
}

static void put_json(const struct search *s, struct pl_buffer *out) {
  struct pl_json json;

  pl_json_begin(&json, out, false);
  pl_json_object(&json, NULL);
  pl_json_bool(&json, "certain", s->verdict.certain);
  pl_json_bool(&json, "likely", s->verdict.likely);
  pl_json_number(&json, "borne", s->verdict.borne);
  pl_json_bool(&json, "healthy", s->verdict.healthy);
  pl_json_list(&json, "suspects");
  for (uint32_t i = 0; i < s->verdict.grouped; i++)
    put_ranked(&json, s, &s->verdict.at[i]);
  pl_json_close(&json);
  pl_json_line(&json, 0);
  pl_json_list(&json, "next");
  for (uint32_t i = 0; i < s->ways; i++)
    put_question(&json, s, &s->next[i]);
  pl_json_finish(&json);
  pl_buffer_puts(out, "\n");
}

/* ---- the command ---- */

int pl_run_suspect(struct pl_session *session, const struct pl_options *options) {
  struct search *s = PL_NEW(session->arena, struct search);
  struct pl_buffer out;

  pl_buffer_init(&out, session->arena);
  s->session = session;
  s->options = options;
  get_table(s);
  if (options->table) {
    pl_suspects_write_json(&out, &s->table);
    return pl_cli_print(out.at, out.n, PL_EXIT_FINE);
  }
  int status = read_readings(s);
  if (status != PL_EXIT_FINE)
    return status == PL_EXIT_TEXT && session->findings.errors > 0
               ? pl_cli_print_errors(session, options)
               : status;
  pl_weigh(&s->table, &s->evidences, session->arena, &s->verdict);
  s->ways = pl_weigh_next(&s->table, &s->evidences, &s->verdict, session->arena, WAYS, s->next);
  if (options->json) {
    put_json(s, &out);
  } else {
    put_list(s, &out);
    put_verdict(s, &out);
    put_next(s, &out);
  }
  bool unexplained = s->evidences.n > 0 && s->verdict.n > 0 && s->verdict.at[0].against > 0;
  return pl_cli_print(out.at, out.n, unexplained ? PL_EXIT_FINDINGS : PL_EXIT_FINE);
}
