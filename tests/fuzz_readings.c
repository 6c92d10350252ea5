/* Fuzz target: any bytes as readings of a small machine that has one of everything a reading can
 * speak of.  Whatever was understood is weighed, and the next reading asked for; shares sum to one,
 * questions exist, errors lie within the text. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "model/build.h"
#include "suspect/said_readings.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const char machine[] =
    "machine \"All\"\n  supply 12 V\n  earth negative\nplace dash \"dash\"\nbattery BAT\n  part "
    "battery 12 V 750 CCA\nfuse F1 at dash\n  part blade fuse 10 A\n"
    "switch KEY at dash\n  part toggle switch 20 A\nlamp H1\n  part warning lamp 2 W 12 V\nmodule "
    "A\n  1 battery feed, 300 mA\n  2 ground\n  3 data high\n  4 data low\n"
    "terminator R1\n  part terminator 120 ohm\nterminator R2\n  part terminator 120 ohm\ngauge "
    "P1\n  part fuel gauge 240-33 12 V\n  measures fuel\n"
    "sender B1\n  part fuel sender 240-33\n  measures fuel\nwires of all\n  1 BAT.+ F1.in 14 AWG "
    "RD length 1 m\n  2 F1.out KEY.1 14 AWG RD length 1 m\n"
    "  3 KEY.2 H1.+ 18 AWG RD length 1 m\n  4 H1.- BAT.- 18 AWG BK length 1 m\n  5 F1.out A.1 18 "
    "AWG RD length 1 m\n  6 A.2 BAT.- 18 AWG BK length 1 m\n"
    "  10 A.3 R1.1 20 AWG YE length 1 m\n  11 A.4 R1.2 20 AWG GN length 1 m\n  12 A.3 R2.1 20 AWG "
    "YE length 1 m\n  13 A.4 R2.2 20 AWG GN length 1 m\n"
    "  20 F1.out P1.+ 18 AWG RD length 1 m\n  21 P1.- BAT.- 18 AWG BK length 1 m\n  22 P1.S "
    "B1.signal 18 AWG VT length 1 m\n  23 B1.case BAT.- 18 AWG BK length 1 m\n"
    "state off\n  fuel 50 %\nstate run\n  KEY in on\n  fuel 50 %\n";

static void out_of_memory(void *context) {
  (void)context;
  abort();
}

static void must(bool holds) {
  if (!holds)
    abort();
}

static enum pl_file_status read_machine(void *context,
                                        struct pl_arena *arena,
                                        const char *path,
                                        const char **text,
                                        size_t *size) {
  (void)context;
  (void)path;
  *text = pl_arena_strdup(arena, machine);
  *size = sizeof machine - 1;
  return PL_FILE_OK;
}

/* The machine is made once: only the readings change. */
static struct pl_suspects *table_of(void) {
  static struct pl_arena arena;
  static struct pl_suspects table;
  static struct pl_harness harness;
  static bool ready;
  if (!ready) {
    static struct pl_sources sources;
    static struct pl_findings findings;
    struct pl_reader reader = {read_machine, NULL};
    pl_arena_init(&arena, out_of_memory, NULL);
    pl_sources_init(&sources, &arena);
    pl_findings_init(&findings, &arena);
    pl_harness_init(&harness, &arena);
    must(pl_build("all.loom", &reader, &sources, &findings, &harness));
    struct pl_network *made = pl_network_new(&harness, &arena);
    struct pl_solution *healthy = PL_NEW_ARRAY(&arena, struct pl_solution, harness.states.n);
    for (pl_id s = 0; s < harness.states.n; s++)
      pl_network_solve(made, s, &healthy[s], NULL);
    pl_suspects_make(&harness, made, healthy, &arena, &table);
    pl_network_release(made);
    ready = true;
  }
  return &table;
}

static void
check(const struct pl_suspects *table, const pl_evidences *evidences, struct pl_arena *arena) {
  struct pl_verdict verdict;
  struct pl_next next[3];
  double sum = 0;
  for (uint32_t i = 0; i < evidences->n; i++)
    must(evidences->at[i].question < table->questions.n ||
         evidences->at[i].said == PL_SAID_BETWEEN);
  pl_weigh(table, evidences, arena, &verdict);
  for (uint32_t i = 0; i < verdict.n; i++)
    sum += verdict.at[i].weight;
  must(fabs(sum - 1) < 1e-6 && (!verdict.certain || verdict.likely));
  uint32_t n = pl_weigh_next(table, evidences, &verdict, arena, 3, next);
  for (uint32_t i = 0; i < n; i++)
    must(next[i].question < table->questions.n);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  struct pl_suspects table = *table_of();
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  pl_evidences evidences = {0};
  pl_betweens betweens = {0};
  pl_arena_init(&arena, out_of_memory, NULL);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  table.arena = &arena;
  size_t n = size < 2000 ? size : 2000;
  uint32_t file =
      pl_sources_add(&sources, "readings", pl_arena_strndup(&arena, (const char *)data, n), n);
  bool good = pl_readings_read(&table, &sources, file, &findings, &evidences, &betweens);
  must(good == (findings.errors == 0));
  for (uint32_t i = 0; i < findings.list.n; i++)
    must(findings.list.at[i].span.start <= findings.list.at[i].span.end &&
         findings.list.at[i].span.end <= n);
  if (betweens.n > 0 && betweens.n <= 2) {
    struct pl_network *network = pl_network_new(table.harness, &arena);
    pl_readings_predict(&table, network, &betweens, &evidences);
    pl_network_release(network);
  }
  if (betweens.n <= 2 && evidences.n < 100)
    check(&table, &evidences, &arena);
  pl_arena_release(&arena);
  return 0;
}
