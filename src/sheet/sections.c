/* The sections of the printed set, in the order of the work.  A section is a row here and a
 * function that makes its sheets. */
#include "sheet/work_inner.h"

static const char *const battery_off[] = {
    "Key off, wait for the controllers to shut down, battery disconnect open and locked, earthed "
    "cable off first.",
    "Machine blocked, attachments down or pinned, hydraulic pressure released, before anyone "
    "reaches in or crawls under.",
    NULL};
static const char *const fuses[] = {
    "A battery pushes enough current through an unfused cable to set it alight: fuse close to the "
    "battery.",
    "Never a larger fuse than the sheet says; find out why one has opened before it is replaced.",
    NULL};
static const char *const donor_harness[] = {
    "Battery and capacitors off the donor harness before a wire of it is cut; no airbag or seat "
    "belt wire is touched.",
    "Colour never proves function: ring each wire out at both ends, tag it, then cut.",
    NULL};

static const char *const bench[] = {"Eyes covered when wire is cut; hot air and soldering iron "
                                    "away from fuel; a sharp strip cuts strands that are needed.",
                                    NULL};
static const char *const before_power[] = {
    "Battery cables off and insulated, disconnect open and locked, machine blocked. An ohm-meter "
    "is for dead wires only.",
    "A meter on its low ohm range: an insulation tester kills controllers. Controllers stay "
    "unplugged.",
    NULL};

static const char *const first_power[] = {
    "Machine blocked, wheels and attachments safe, fuel off until it says otherwise; a second "
    "person at the battery disconnect.",
    "Rings and watch off, eyes covered at the battery, extinguisher in reach. A dropped spanner "
    "carries hundreds of amps.",
    "Never bypass an interlock, never jump across the starter, never run with the battery off.",
    "Local codes, the makers' manuals and licensed practice come before this sheet.",
    NULL};

static const char *const running[] = {
    "Engine running: leads, sleeves and hands clear of fan, belts, exhaust and high-pressure fuel; "
    "injector wiring may carry over 100 V and is left alone.",
    "Wheels blocked, brake on, somebody at the shut-off.",
    NULL};

static void make_build(struct pl_sheet_maker *maker) {
  pl_sheet_steps(maker);
  pl_sheet_build_ends(maker);
}

static void make_findings(struct pl_sheet_maker *maker) {
  pl_sheet_findings(maker);
  pl_sheet_waivers(maker);
  pl_sheet_proofs(maker);
  pl_sheet_defeats(maker);
}

static void make_donor(struct pl_sheet_maker *maker) {
  pl_sheet_donor(maker);
  pl_sheet_expects(maker);
}

static void make_connectors(struct pl_sheet_maker *maker) {
  pl_sheet_connectors(maker);
  pl_sheet_devices_pins(maker);
}

static void make_fuses(struct pl_sheet_maker *maker) {
  pl_sheet_fuses(maker);
  pl_sheet_relays(maker);
}

static void make_lists(struct pl_sheet_maker *maker) {
  pl_sheet_wires(maker);
  pl_sheet_device_list(maker);
  pl_sheet_defaults(maker);
}

#define ROW(name, title, intro, plates, cautions, make) \
  { name, title, intro, plates, cautions, make }

/* clang-format off */
const struct pl_section pl_sections[] = {
    ROW("findings", "Findings",
        "What stands against powering the machine, and what was accepted.",
        "", NULL, make_findings),
    ROW("circuits", "How it works",
        "Current runs from the top of a page down to ground.",
        "legend- power circuit-", NULL, NULL),
    ROW("donor", "Donor harness",
        "What came with the engine, what becomes of each wire, and what the controllers still "
        "expect to see.",
        "", donor_harness, make_donor),
    ROW("shopping", "What to buy", "", "", NULL, pl_sheet_shopping),
    ROW("cutting", "Cutting",
        "Wires to cut, sorted by the spool they come from. Write the number on both ends before "
        "the next one is cut.",
        "", NULL, pl_sheet_cutting),
    ROW("labels", "Labels",
        "Print at 100 % and cut out: each wire twice, its own end first; each connector once.",
        "labels-", NULL, pl_sheet_labels),
    ROW("ends", "Terminals and seals", "", "", NULL, pl_sheet_ends),
    ROW("routing", "Where it runs, and the board it is built on",
        "The tiles of the assembly board must be 1:1 and are printed from board.html; here is "
        "their map.",
        "routing board.svg board_-p", NULL, NULL),
    ROW("connectors", "Connectors and pins",
        "One sheet for each plug, with all it takes to build it: seal on first, strip, crimp, "
        "load until it clicks, tug, tick; then plugs into the empty cavities, and the lock shut. "
        "Then what sits in no plug, place by place. Wire side: as seen from where the wires go "
        "in.",
        "", battery_off, make_connectors),
    ROW("fuses", "Fuses and relays",
        "Positions are numbered at each place in the order of the text; the colour of a fuse by "
        "ISO 8820-3.",
        "panel-", fuses, make_fuses),
    ROW("build", "Building it",
        "The work in its order; what each wire end wants stands in \"Connectors and pins\". Local "
        "codes, the makers' manuals and licensed practice come first.",
        "", bench, make_build),
    ROW("checks", "Checks before power",
        "Every pair is read and written down; what is wrong is found now, not at the first spark.",
        "", before_power, pl_sheet_checks),
    ROW("states", "States",
        "The ways of the machine that figures and readings are for.",
        "", NULL, pl_sheet_states),
    ROW("power-up", "First power-up",
        "Power comes on piece by piece, each piece proven before the next.",
        "", first_power, pl_sheet_powerup),
    ROW("readings", "Expected readings",
        "What a sound machine reads, pin by pin and state by state. A drawing is not a proof: "
        "what reads otherwise is looked into.",
        "", running, pl_sheet_readings),
    ROW("lists", "Lists",
        "To look things up: every wire, every device, every figure that was assumed.",
        "", NULL, make_lists),
};
/* clang-format on */
const uint32_t pl_section_count = sizeof pl_sections / sizeof pl_sections[0];
