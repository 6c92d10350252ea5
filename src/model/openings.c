/* The words that open a statement: one row each. */
#include "model/builder_inner.h"

#define OTHER(word, pass, read, example) \
  { word, pass, read, PL_KIND_CONNECTOR, example }

/* Every kind opens a statement. */
#define PL_KIND(id, word, pins, properties, elements, sign, form, breaks, likely, help, example) \
  {word, PL_PASS_DEVICES, pl_read_device, PL_KIND_##id, example},

const struct pl_opening pl_openings[] = {
    OTHER("machine", PL_PASS_FIRST, pl_read_machine, "machine \"Rotary plow carrier\""),
    OTHER("place", PL_PASS_FIRST, pl_read_place, "place cab -20..40 degC"),
    OTHER("run", PL_PASS_DEVICES, pl_read_run, "run cab to engine-left"),
    OTHER("terminal", PL_PASS_FIRST, pl_read_terminal, "terminal sealed 1.5"),
    OTHER("part", PL_PASS_FIRST, pl_read_part, "part micro relay 12 V is relay"),
    OTHER("circuit", PL_PASS_WIRES, pl_read_circuit, "circuit work lights \"Work lights\""),
    OTHER("wires of", PL_PASS_WIRES, pl_read_wires, "wires of work lights"),
    OTHER("state", PL_PASS_STATES, pl_read_state, "state cranking \"Cranking, warm\""),
    OTHER("require",
          PL_PASS_STATES,
          pl_read_require,
          "require STARTER off unless GEARBOX in neutral"),
    OTHER("waive",
          PL_PASS_STATES,
          pl_read_waive,
          "waive unfused-wire at wire 1 because \"the reason\""),
#include "harness/kinds.def"
#undef PL_KIND
};
const uint32_t pl_opening_count = sizeof pl_openings / sizeof pl_openings[0];
