/* Fuzz target: any bytes as a harness text, read into the tree, and the findings printed both ways.  Every word must lie
 * inside the text. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "finding/finding.h"
#include "text/tree.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void out_of_memory(void *context) {
  (void)context;
  abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
  struct pl_arena arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_tree tree;
  struct pl_buffer people, machine;

  pl_arena_init(&arena, out_of_memory, NULL);
  pl_sources_init(&sources, &arena);
  pl_findings_init(&findings, &arena);
  uint32_t file = pl_sources_add(&sources, "fuzz.loom", pl_arena_strndup(&arena, (const char *)data, size), size);
  pl_tree_init(&tree, &arena);
  pl_tree_read(&tree, &sources, file, &findings);
  for (uint32_t i = 0; i < tree.words.n; i++)
    if (tree.words.at[i].span.start > tree.words.at[i].span.end || tree.words.at[i].span.end > size) abort();
  pl_findings_sort(&findings, &sources);
  pl_buffer_init(&people, &arena);
  pl_findings_print(&people, &findings, &sources);
  pl_buffer_init(&machine, &arena);
  pl_findings_print_json(&machine, &findings, &sources);
  if (strlen(people.at != NULL ? people.at : "") != people.n || machine.n == 0) abort();
  pl_arena_release(&arena);
  return 0;
}
