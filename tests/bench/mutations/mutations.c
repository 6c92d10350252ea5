/* mutate [--seed N] [--tries N] [--random N] [--class WORD] [--misses] [--floor FOUND NAMED FALSE]
 * [--write DOCUMENT] [--faults] [--mirror] FILE...: breaks each machine in every way of the
 * classes, `tries` times each, and prints class, tried, found, named; changes that do no harm
 * likewise, and false alarms.
 * --remedies: the remedies of each edited machine are done to a copy; one that does not work counts
 * against the floor.  --misses tells each that was silent, found but not named, or a false alarm.
 * --floor: exit 1 when fewer per cent are found or named, or more alarms are false.  --write puts
 * the table between the two marks of a document.  --random adds machines made by chance.  --faults:
 * the fault table of each machine against brute force instead; exit 1 when anything is missing.
 * --mirror: each machine and its mirror, the other pole earthed; exit 1 when they differ. */
#include "bench.h"

struct tally {
  unsigned tried, found, named, spared, unread;
};

struct run {
  struct pl_arena *arena; /* of the whole run */
  uint64_t seed;
  unsigned tries;
  const char *only;
  bool misses;
  double floor[3]; /* per cent found, per cent named, false alarms; NAN: none */
  const char *document;
  unsigned random; /* machines made by chance */
  bool faults, mirror;
  bool remedies; /* each is sought and done */
  struct bench_remedies mended;
  struct pl_buffer table;
  unsigned machines;
  struct bench_machine *machine;
};

static const struct bench_class *const families[] = {bench_wire_classes,
                                                     bench_pin_classes,
                                                     bench_part_classes,
                                                     bench_link_classes,
                                                     bench_quiet_classes};
enum {
  FAMILIES = sizeof families / sizeof *families,
  ATTEMPTS = 30 /* for one place that fits */
};

static void no_memory(void *context) {
  (void)context;
  fputs("mutations: out of memory\n", stderr);
  exit(3);
}

static void show(const struct run *run,
                 const struct bench_machine *machine,
                 const struct bench_class *class,
                 const char *what,
                 const char *verdict,
                 const char *said) {
  if (run->misses)
    printf("  %s, %s, %s: %s%s%s\n",
           machine->name,
           class->name,
           verdict,
           what,
           said[0] == '\0' ? "" : " | ",
           said);
}

static void try_remedies(struct run *run,
                         const struct bench_machine *machine,
                         const struct bench_class *class,
                         struct bench_edit *edit,
                         struct bench_judged *changed,
                         const char *text,
                         size_t size) {
  const char *said = NULL;
  bench_remedies_try(changed, text, size, &run->mended, &said, edit->arena);
  if (said != NULL)
    show(run, machine, class, edit->what, "REMEDY FAILS", said);
}

/* One edit judged.  False: it was none, or one that had been tried, or one that does not count. */
static bool try_one(struct run *run,
                    const struct bench_machine *machine,
                    const struct bench_class *class,
                    struct pl_table *seen,
                    struct tally *tally) {
  struct pl_arena arena;
  pl_arena_init(&arena, no_memory, NULL);
  struct bench_edit edit = {.arena = &arena, .machine = machine, .seed = &run->seed};
  size_t size = 0;
  const char *text = class->make(&edit) ? bench_edit_apply(&edit, &size) : NULL;
  bool fresh = text != NULL && pl_table_add(seen, pl_arena_strdup(seen->arena, edit.what), 0);
  bool counts = fresh && edit.spared == NULL;
  tally->spared += fresh && !counts;
  if (counts) {
    struct bench_judged changed;
    bench_judge(&changed, text, size, true);
    struct bench_outcome outcome = bench_compare(&edit, &changed, &arena);
    tally->tried++;
    tally->unread += !outcome.read;
    tally->found += outcome.found;
    tally->named += outcome.named;
    if (class->harmless ? outcome.found || !outcome.read : !outcome.named)
      show(run,
           machine,
           class,
           edit.what,
           !outcome.read     ? "not read"
           : class->harmless ? "false alarm"
           : !outcome.found  ? "SILENT"
                             : "found, not named",
           outcome.read || changed.findings.list.n == 0 ? outcome.said
                                                        : changed.findings.list.at[0].text);
    if (run->remedies && outcome.read)
      try_remedies(run, machine, class, &edit, &changed, text, size);
    bench_judged_end(&changed);
  }
  pl_arena_release(&arena);
  return counts;
}

/* A stream of chance of its own for each machine and class: one more class moves no other. */
static uint64_t stream(uint64_t seed, const char *machine, const char *class) {
  const char *texts[2] = {machine, class};
  for (int k = 0; k < 2; k++)
    for (const char *c = texts[k]; *c != '\0'; c++)
      seed = (seed ^ (unsigned char)*c) * UINT64_C(1099511628211); /* FNV-1a */
  return seed;
}

static struct tally try_class(struct run *run, const struct bench_class *class) {
  struct tally sum = {0};
  uint64_t seed = run->seed;
  for (unsigned m = 0; m < run->machines; m++) {
    run->seed = stream(seed, run->machine[m].name, class->name);
    struct pl_table seen;
    pl_table_init(&seen, run->arena);
    unsigned done = 0;
    for (unsigned attempt = 0; done < run->tries && attempt < run->tries * ATTEMPTS; attempt++)
      done += try_one(run, &run->machine[m], class, &seen, &sum);
  }
  run->seed = seed;
  return sum;
}

/* To stdout and to the table of the document. */
__attribute__((format(printf, 2, 3))) static void say(struct run *run, const char *format, ...) {
  char line[512];
  va_list list;
  va_start(list, format);
  vsnprintf(line, sizeof line, format, list);
  va_end(list);
  fputs(line, stdout);
  fflush(stdout);
  pl_buffer_puts(&run->table, line);
}

static void say_row(struct run *run, const struct bench_class *class, const struct tally *t) {
  if (t->tried + t->spared == 0)
    return;
  if (class->harmless)
    say(run, "| %s | %u | | | %u | %s |\n", class->name, t->tried, t->found, class->why);
  else
    say(run,
        "| %s | %u | %u | %u | | %u %s |\n",
        class->name,
        t->tried,
        t->found,
        t->named,
        t->spared,
        t->spared > 0 ? class->spares : "");
}

static void add(struct tally *sum, const struct tally *t) {
  sum->tried += t->tried;
  sum->found += t->found;
  sum->named += t->named;
  sum->spared += t->spared;
  sum->unread += t->unread;
}

static void run_all(struct run *run, struct tally *harm, struct tally *quiet) {
  say(run,
      "Seed %llu, at most %u of each class on each of",
      (unsigned long long)run->seed,
      run->tries);
  for (unsigned m = 0; m < run->machines; m++)
    say(run, "%s %s", m == 0 ? "" : ",", run->machine[m].name);
  say(run, ".\n\n| class | tried | found | named | false alarms | not counted, why |\n");
  say(run, "| --- | ---: | ---: | ---: | ---: | --- |\n");
  for (int f = 0; f < FAMILIES; f++)
    for (const struct bench_class *class = families[f]; class->name != NULL; class ++) {
      if (run->only != NULL && strstr(class->name, run->only) == NULL)
        continue;
      struct tally t = try_class(run, class);
      say_row(run, class, &t);
      add(class->harmless ? quiet : harm, &t);
    }
  say(run,
      "| **all** | %u + %u | %u | %u | %u | %u |\n",
      harm->tried,
      quiet->tried,
      harm->found,
      harm->named,
      quiet->found,
      harm->spared);
}

/* The document with the table between its marks; false when it has no marks or cannot be written.
 */
static bool write_table(struct run *run) {
  static const char begin[] = "<!-- mutation bench: begin -->\n",
                    end[] = "<!-- mutation bench: end";
  const char *text;
  size_t size;
  if (pl_file_read(run->arena, run->document, &text, &size) != PL_FILE_OK)
    return false;
  const char *from = strstr(text, begin), *to = strstr(text, end);
  if (from == NULL || to == NULL || to < from)
    return false;
  struct pl_buffer out;
  pl_buffer_init(&out, run->arena);
  pl_buffer_add(&out, text, (size_t)(from - text) + sizeof begin - 1);
  pl_buffer_puts(&out, run->table.at);
  pl_buffer_puts(&out, to);
  return pl_file_write(run->document, out.at, out.n, false) == PL_FILE_OK;
}

static double share(unsigned part, unsigned whole) {
  return whole == 0 ? 100 : 100.0 * part / whole;
}

/* The three figures against their floors; how many are missed. */
static int
judge_floors(const struct run *run, const struct tally *harm, const struct tally *quiet) {
  double found = share(harm->found, harm->tried), named = share(harm->named, harm->tried);
  int missed = 0;
  printf("seed %llu: %.1f %% found, %.1f %% named, %u false alarms\n",
         (unsigned long long)run->seed,
         found,
         named,
         quiet->found + quiet->unread);
  if (run->remedies)
    printf("%u remedies tried, %u work, on %u machines; %u copies and %.2f s of CPU to find them\n",
           run->mended.tried,
           run->mended.working,
           run->mended.machines,
           run->mended.trials,
           run->mended.seconds);
  if (isnan(run->floor[0]))
    return 0;
  missed += found < run->floor[0];
  missed += named < run->floor[1];
  missed += quiet->found + quiet->unread > run->floor[2];
  missed += run->mended.working < run->mended.tried;
  printf("mutations: %d passed, %d failed\n", 4 - missed, missed);
  return missed;
}

static int usage(void) {
  fputs("usage: mutate [--seed N] [--tries N] [--class WORD] [--misses] [--random N]\n"
        "              [--floor FOUND NAMED FALSE] [--write DOCUMENT] [--faults] [--mirror] "
        "[--remedies] "
        "FILE...\n",
        stderr);
  return 2;
}

/* The options; the index of the first file, 0 when they cannot be understood. */
static int read_options(struct run *run, int argc, char **argv) {
  int at = 1;
  for (; at < argc && strncmp(argv[at], "--", 2) == 0; at++) {
    int left = argc - at - 1;
    if (strcmp(argv[at], "--misses") == 0)
      run->misses = true;
    else if (strcmp(argv[at], "--floor") == 0 && left > 2)
      for (int k = 0; k < 3; k++)
        run->floor[k] = strtod(argv[++at], NULL);
    else if (strcmp(argv[at], "--seed") == 0 && left > 0)
      run->seed = strtoull(argv[++at], NULL, 10);
    else if (strcmp(argv[at], "--tries") == 0 && left > 0)
      run->tries = (unsigned)strtoul(argv[++at], NULL, 10);
    else if (strcmp(argv[at], "--class") == 0 && left > 0)
      run->only = argv[++at];
    else if (strcmp(argv[at], "--faults") == 0)
      run->faults = true;
    else if (strcmp(argv[at], "--remedies") == 0)
      run->remedies = true;
    else if (strcmp(argv[at], "--mirror") == 0)
      run->mirror = true;
    else if (strcmp(argv[at], "--random") == 0 && left > 0)
      run->random = (unsigned)strtoul(argv[++at], NULL, 10);
    else if (strcmp(argv[at], "--write") == 0 && left > 0)
      run->document = argv[++at];
    else
      return 0;
  }
  return at < argc || run->random > 0 ? at : 0;
}

/* Machines made by chance behind those that were named; false: one cannot be read. */
static bool add_random(struct run *run) {
  for (unsigned k = 0; k < run->random; k++) {
    uint64_t seed = stream(run->seed + k, "by chance", "");
    const char *name = pl_arena_printf(run->arena, "chance-%u", k + 1);
    struct bench_machine *machine = &run->machine[run->machines++];
    bench_machine_take(machine, name, bench_random_machine(&seed, run->arena));
    if (!machine->sound.read) {
      fprintf(stderr, "mutate: %s: %s\n", name, machine->sound.findings.list.at[0].text);
      return false;
    }
  }
  return true;
}

/* How many states of all machines differ from those of their mirrors. */
static unsigned try_mirrors(struct run *run) {
  unsigned wrong = 0;
  for (unsigned m = 0; m < run->machines; m++) {
    struct bench_mirror sum = {0};
    if (!bench_mirror_try(&run->machine[m], &sum, run->arena)) {
      printf("%s: no mirror in the language (controllers)\n", run->machine[m].name);
      continue;
    }
    printf("%s: %u states, %u otherwise than in the mirror%s%s; %u findings, %u in the mirror\n",
           run->machine[m].name,
           sum.states,
           sum.wrong,
           sum.wrong > 0 ? ": " : "",
           sum.first,
           sum.findings,
           sum.mirrored_findings);
    wrong += sum.wrong;
  }
  return wrong;
}

/* How many things that stop by full solve the fault tables do not say. */
static unsigned try_faults(struct run *run) {
  unsigned missing = 0;
  for (unsigned m = 0; m < run->machines; m++) {
    struct bench_brute sum = {0};
    bench_brute(&run->machine[m], run->misses, &sum, run->arena);
    printf("%s: %u wires and devices taken out, %u things stop, %u of them not in the fault table "
           "(%u states not solved)\n",
           run->machine[m].name,
           sum.tried,
           sum.stopped,
           sum.missing,
           sum.unsolved);
    missing += sum.missing;
  }
  return missing;
}

int main(int argc, char **argv) {
  struct pl_arena arena;
  struct run run = {.arena = &arena, .seed = 1, .tries = 3, .floor = {NAN, NAN, NAN}};
  struct tally harm = {0}, quiet = {0};
  int at = read_options(&run, argc, argv);
  if (at == 0)
    return usage();
  pl_arena_init(&arena, no_memory, NULL);
  pl_buffer_init(&run.table, &arena);
  run.machine = PL_NEW_ARRAY(&arena, struct bench_machine, (size_t)(argc - at) + run.random);
  for (; at < argc; at++)
    if (!bench_machine_read(&run.machine[run.machines++], argv[at], &arena))
      return 2;
  if (!add_random(&run))
    return 2;
  if (run.faults)
    return try_faults(&run) > 0;
  if (run.mirror)
    return try_mirrors(&run) > 0;
  run_all(&run, &harm, &quiet);
  int missed = judge_floors(&run, &harm, &quiet);
  if (run.document != NULL && !write_table(&run)) {
    fprintf(stderr, "mutate: %s has no marks for the table, or cannot be written\n", run.document);
    missed = 1;
  }
  for (unsigned m = 0; m < run.machines; m++)
    bench_machine_end(&run.machine[m]);
  pl_arena_release(&arena);
  return missed > 0;
}
