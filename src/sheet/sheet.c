/* All sheets of a harness, section after section. */
#include "sheet/rows_inner.h"

struct pl_title_block pl_title_block_of(const struct pl_harness *harness) {
  const struct pl_machine *machine = &harness->machine;
  return (struct pl_title_block){.machine = machine->title,
                                 .revision = machine->revision,
                                 .date = machine->date,
                                 .author = machine->author,
                                 .digest = harness->digest};
}

void pl_sheets_make(const struct pl_sheet_inputs *in, struct pl_arena *arena, pl_sheets *sheets) {
  struct pl_sheet_maker maker = {.harness = in->harness,
                                 .network = in->network,
                                 .solutions = in->solutions,
                                 .findings = in->findings,
                                 .sources = in->sources,
                                 .proof = in->proof,
                                 .arena = arena,
                                 .sheets = sheets};
  for (uint32_t i = 0; i < pl_section_count; i++) {
    if (pl_sections[i].make == NULL)
      continue;
    if (in->chosen != NULL && !in->chosen[i])
      continue;
    if (in->progress != NULL)
      in->progress(in->progress_context, i);
    maker.section = i;
    pl_sections[i].make(&maker);
  }
}
