/* The words that open a statement: one row each. */
#include "model/builder_inner.h"

#define DEVICE(word, kind, example) \
  { word, PL_PASS_DEVICES, pl_read_device, kind, example }
#define OTHER(word, pass, read, example) \
  { word, pass, read, PL_KIND_CONNECTOR, example }

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
    DEVICE("battery", PL_KIND_BATTERY, "battery BAT at bay"),
    DEVICE("alternator", PL_KIND_ALTERNATOR, "alternator G1 at engine"),
    DEVICE("starter", PL_KIND_STARTER, "starter M1 at engine"),
    DEVICE("fuse", PL_KIND_FUSE, "fuse F3 at cab"),
    DEVICE("breaker", PL_KIND_BREAKER, "breaker F4 at cab"),
    DEVICE("fusible link", PL_KIND_FUSIBLE_LINK, "fusible link F5 at bay"),
    DEVICE("switch", PL_KIND_SWITCH, "switch KEY at cab \"key switch\""),
    DEVICE("disconnect", PL_KIND_DISCONNECT, "disconnect DISC at bay"),
    DEVICE("relay", PL_KIND_RELAY, "relay K1 at cab"),
    DEVICE("lamp", PL_KIND_LAMP, "lamp E1 at roof"),
    DEVICE("motor", PL_KIND_MOTOR, "motor M2 at cab"),
    DEVICE("pump", PL_KIND_PUMP, "pump M3 at tank"),
    DEVICE("fan", PL_KIND_FAN, "fan M4 at cooler"),
    DEVICE("solenoid", PL_KIND_SOLENOID, "solenoid Y1 at gearbox"),
    DEVICE("heater", PL_KIND_HEATER, "heater R1 at engine"),
    DEVICE("horn", PL_KIND_HORN, "horn H1 at front"),
    DEVICE("buzzer", PL_KIND_BUZZER, "buzzer H2 at rear"),
    DEVICE("load", PL_KIND_LOAD, "load X1 at cab \"radio\""),
    DEVICE("module", PL_KIND_MODULE, "module ECM at engine-left \"Engine controller\""),
    DEVICE("sensor", PL_KIND_SENSOR, "sensor B1 at engine"),
    DEVICE("sender", PL_KIND_SENDER, "sender B2 at tank"),
    DEVICE("gauge", PL_KIND_GAUGE, "gauge P1 at dash"),
    DEVICE("diode", PL_KIND_DIODE, "diode V1 at dash"),
    DEVICE("resistor", PL_KIND_RESISTOR, "resistor R2 at dash"),
    DEVICE("terminator", PL_KIND_TERMINATOR, "terminator R3 at engine"),
    DEVICE("stud", PL_KIND_STUD, "stud T1 at bay"),
    DEVICE("splice", PL_KIND_SPLICE, "splice SP1 at cab"),
    DEVICE("chassis", PL_KIND_CHASSIS, "chassis FRAME \"main frame\""),
    DEVICE("bond", PL_KIND_BOND, "bond G1 at bay"),
    DEVICE("inline", PL_KIND_INLINE, "inline X5 at firewall"),
    DEVICE("connector", PL_KIND_CONNECTOR, "connector X9 at cab"),
};
const uint32_t pl_opening_count = sizeof pl_openings / sizeof pl_openings[0];
