/* Fuzz target: any bytes as a whole harness: built into the model, solved in every state and held
 * against every rule; nothing is read from the disk.  A zero byte splits the input: what follows it
 * is the file "b.loom", which the first may include.  Findings are printed both ways. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "model/build.h"
#include "network/network.h"
#include "rules/rules.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

struct input {
  const char *text[2];
  size_t size[2];
};

static void out_of_memory(void *context) {
  (void)context;
  abort();
}

static void must(bool holds) {
  if (!holds)
    abort();
}

static enum pl_file_status read_input(void *context,
                                      struct pl_arena *arena,
                                      const char *path,
                                      const char **text,
                                      size_t *size) {
  const struct input *input = context;
  int which = strcmp(path, "a.loom") == 0 ? 0 : 1;
  if (which == 1 && strcmp(path, "b.loom") != 0)
    return PL_FILE_MISSING;
  *text = pl_arena_strndup(arena, input->text[which], input->size[which]);
  *size = input->size[which];
  return PL_FILE_OK;
}

static void
check(const struct pl_harness *harness, struct pl_findings *findings, struct pl_arena *arena) {
  struct pl_network *network = pl_network_new(harness, arena);
  struct pl_solution *solutions = PL_NEW_ARRAY(arena, struct pl_solution, harness->states.n);
  for (pl_id state = 0; state < harness->states.n; state++) {
    pl_network_solve(network, state, &solutions[state], findings);
    must(solutions[state].status == PL_SOLVED || solutions[state].failure != NULL);
  }
  struct pl_check all = {.harness = harness,
                         .network = network,
                         .solutions = solutions,
                         .arena = arena,
                         .findings = findings};
  pl_rules_run(&all);
  pl_network_release(network);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  const char *bytes = (const char *)data;
  const char *cut = NULL;
  if (size > 0)
    cut = memchr(bytes, 0, size);
  size_t first = size;
  if (cut != NULL)
    first = (size_t)(cut - bytes);
  struct input input = {{bytes, cut != NULL ? cut + 1 : bytes},
                        {first, cut != NULL ? size - first - 1 : 0}};
  struct pl_reader reader = {read_input, &input};
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_buffer people, machine;

  pl_arena_init(&arena, out_of_memory, NULL);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  pl_harness_init(&harness, &arena);
  bool good = pl_build("a.loom", &reader, &sources, &findings, &harness);
  must(good == (findings.errors == 0));
  if (good)
    check(&harness, &findings, &arena);
  pl_findings_sort(&findings, &sources);
  pl_buffer_init(&people, &arena);
  pl_findings_print(&people, &findings, &sources);
  must(pl_utf8_check(people.at, people.n) == people.n);
  pl_buffer_init(&machine, &arena);
  pl_findings_print_json(&machine, &findings, &sources);
  must(pl_utf8_check(machine.at, machine.n) == machine.n);
  pl_arena_release(&arena);
  return 0;
}
