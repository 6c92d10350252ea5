/* All sheets of a harness, in the order they are read. */
#include "sheet/rows.h"

struct pl_title_block pl_title_block_of(const struct pl_harness *harness) {
  const struct pl_machine *machine = &harness->machine;
  return (struct pl_title_block){.machine = machine->title,
                                 .revision = machine->revision,
                                 .date = machine->date,
                                 .author = machine->author,
                                 .digest = harness->digest};
}

void pl_sheets_make(const struct pl_harness *harness, const struct pl_network *network,
                    const struct pl_solution *solutions, const struct pl_findings *findings,
                    const struct pl_sources *sources, struct pl_arena *arena, pl_sheets *sheets) {
  (void)network; /* the solutions say all that is printed */
  struct pl_sheet_maker maker = {.harness = harness,
                                 .solutions = solutions,
                                 .findings = findings,
                                 .sources = sources,
                                 .arena = arena,
                                 .sheets = sheets};
  pl_sheet_findings(&maker);
  pl_sheet_waivers(&maker);
  pl_sheet_states(&maker);
  pl_sheet_connectors(&maker);
  pl_sheet_devices_pins(&maker);
  pl_sheet_wires(&maker);
  pl_sheet_fuses(&maker);
  pl_sheet_donor(&maker);
  pl_sheet_device_list(&maker);
  pl_sheet_defaults(&maker);
}
