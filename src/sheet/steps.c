/* The work in order, for a helper who has never seen the machine: what to do, with what, and how to
 * see that it is right. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "sheet/work_inner.h"
#include "standard/limits_data.h"
#include "standard/wire.h"

struct step_maker {
  struct pl_sheet_maker *maker;
  pl_blocks blocks;
  const char *tool, *check; /* of the stage */
  uint32_t stage, step;
};

static const struct pl_harness *harness_of(const struct step_maker *steps) {
  return steps->maker->harness;
}

/* The heading waits for the first step, so that a stage without steps does not show and takes no
 * number. */
static void stage(struct step_maker *steps,
                  const char *title,
                  const char *tool,
                  const char *check,
                  const char *care) {
  struct pl_arena *arena = steps->maker->arena;
  if (steps->step > 0 || steps->stage == 0)
    steps->stage++;
  steps->step = 0;
  steps->tool = tool;
  steps->check = check;
  pl_sheet_heading(steps->maker,
                   pl_arena_printf(arena, "%u. %s", steps->stage, title),
                   pl_arena_printf(arena, "%s Tools: %s. Right when: %s.", care, tool, check));
}

/* `also`: what the stage's tools and check do not say. */
static void
step_with(struct step_maker *steps, const char *what, const char *wires, const char *also) {
  struct pl_sheet_maker *maker = steps->maker;
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_text(maker, pl_arena_printf(maker->arena, "%u.%u", steps->stage, ++steps->step));
  pl_sheet_text(maker, what);
  pl_sheet_text(maker, wires);
  pl_sheet_text(maker, also);
  pl_sheet_text(maker, steps->tool);
  pl_sheet_text(maker, steps->check);
}

static void step(struct step_maker *steps, const char *what, const char *wires) {
  step_with(steps, what, wires, "");
}

static const char *fixed(const struct step_maker *steps, double value, int decimals) {
  char number[PL_NUMBER_SIZE];
  return pl_arena_strdup(steps->maker->arena, pl_number_fixed(number, value, decimals));
}

static const char *length_text(const struct step_maker *steps, double metres) {
  struct pl_arena *arena = steps->maker->arena;

  if (pl_sheet_in_feet(steps->maker))
    return pl_arena_printf(arena, "%s ft", fixed(steps, metres * PL_FEET_PER_METRE, 1));
  return pl_arena_printf(arena, "%s m", fixed(steps, metres, 2));
}

static const char *
pieces(const struct step_maker *steps, uint32_t n, const char *one, const char *many) {
  return pl_arena_printf(steps->maker->arena, "%u %s", n, n == 1 ? one : many);
}

/* ---- cut and label ---- */

/* In the order of the cut list, one step for each of its headings. */
static void cut(struct step_maker *steps) {
  const struct pl_harness *harness = harness_of(steps);
  pl_ids order = {0};
  pl_sheet_cut_order(steps->maker, &order);
  for (uint32_t i = 0, end = 0; i < order.n; i = end) {
    const struct pl_wire *first = &harness->wires.at[order.at[i]];
    double metres = 0;
    uint32_t spools = 0;
    while (end < order.n && pl_sheet_same_wire(first, &harness->wires.at[order.at[end]])) {
      metres += pl_sheet_spool(harness, &order, end, &end);
      spools++;
    }
    pl_ids wires = {.at = order.at + i, .n = end - i};
    step(steps,
         pl_arena_printf(steps->maker->arena,
                         "Cut %s of %s, %s, %s",
                         pieces(steps, wires.n, "piece", "pieces"),
                         pl_sheet_wire_kind(steps->maker, first),
                         pieces(steps, spools, "colour", "colours"),
                         length_text(steps, metres)),
         pl_work_wires(steps->maker, &wires));
  }
}

static void label(struct step_maker *steps) {
  const struct pl_harness *harness = harness_of(steps);
  for (pl_id c = 0; c < harness->circuits.n; c++) {
    const struct pl_circuit *circuit = &harness->circuits.at[c];
    pl_ids wires = {0};
    for (uint32_t i = 0; i < circuit->wires.n; i++)
      if (pl_work_cut(&harness->wires.at[circuit->wires.at[i]]))
        PL_PUSH(steps->maker->arena, &wires, circuit->wires.at[i]);
    if (wires.n > 0)
      step(steps,
           pl_arena_printf(steps->maker->arena,
                           "Label %s of circuit %s",
                           pieces(steps, wires.n, "wire", "wires"),
                           circuit->name),
           pl_work_wires(steps->maker, &wires));
  }
}

/* ---- crimp, load, splice, twist ---- */

static pl_id terminal_of(const struct step_maker *steps, const struct pl_block *block, pl_id pin) {
  if (block->kind == PL_BLOCK_SPLICES)
    return PL_NONE;
  if (block->kind == PL_BLOCK_STUDS)
    return PL_NONE;
  return (pl_id)(pl_pin_terminal(harness_of(steps), pin) - harness_of(steps)->terminals.at);
}

static bool is_crimped(const struct pl_harness *harness, pl_id pin, const struct pl_wire *wire) {
  return pl_sheet_new_end(harness, wire, wire->end[0] == pin ? 0 : 1);
}

/* One sample for each terminal and size that meet. */
static void samples(struct step_maker *steps) {
  const struct pl_harness *harness = harness_of(steps);
  struct pl_table seen;
  pl_table_init(&seen, steps->maker->arena);
  for (uint32_t b = 0; b < steps->blocks.n; b++)
    for (uint32_t i = 0; i < steps->blocks.at[b].pins.n; i++) {
      const struct pl_block *block = &steps->blocks.at[b];
      pl_id pin = block->pins.at[i];
      pl_id terminal = terminal_of(steps, block, pin);
      for (uint32_t k = 0; terminal != PL_NONE && k < harness->pins.at[pin].wires.n; k++) {
        const struct pl_wire *wire = &harness->wires.at[harness->pins.at[pin].wires.at[k]];
        const char *pair = pl_arena_printf(steps->maker->arena,
                                           "%s on %s",
                                           harness->terminals.at[terminal].name,
                                           wire->size);
        double newtons = pl_crimp_newtons(wire->area);
        if (!is_crimped(harness, pin, wire))
          continue;
        if (!pl_table_add(&seen, pair, 0))
          continue;
        step_with(steps,
                  pl_arena_printf(steps->maker->arena, "Sample: %s", pair),
                  "",
                  isfinite(newtons)
                      ? pl_arena_printf(steps->maker->arena, "holds %s N", fixed(steps, newtons, 0))
                      : "as the maker says");
      }
    }
}

static const char *crimpers(const struct step_maker *steps, const struct pl_block *block) {
  const struct pl_harness *harness = harness_of(steps);
  bool *named = PL_NEW_ARRAY(steps->maker->arena, bool, harness->terminals.n);
  struct pl_buffer out;
  pl_buffer_init(&out, steps->maker->arena);
  for (uint32_t i = 0; i < block->pins.n; i++) {
    const struct pl_pin *pin = &harness->pins.at[block->pins.at[i]];
    pl_id terminal = terminal_of(steps, block, block->pins.at[i]);
    bool crimped = false;
    for (uint32_t k = 0; k < pin->wires.n; k++)
      crimped =
          crimped || is_crimped(harness, block->pins.at[i], &harness->wires.at[pin->wires.at[k]]);
    if (terminal == PL_NONE || !crimped)
      continue;
    if (named[terminal])
      continue;
    named[terminal] = true;
    pl_buffer_printf(&out,
                     "%s%s",
                     out.n == 0 ? "crimper for " : ", ",
                     harness->terminals.at[terminal].name);
  }
  if (out.n == 0)
    return "";
  return out.at;
}

static void count_ends(const struct pl_harness *harness,
                       const struct pl_block *block,
                       uint32_t *crimped,
                       uint32_t *there) {
  *crimped = *there = 0;
  for (uint32_t i = 0; i < block->pins.n; i++)
    for (uint32_t k = 0; k < harness->pins.at[block->pins.at[i]].wires.n; k++) {
      if (is_crimped(harness,
                     block->pins.at[i],
                     &harness->wires.at[harness->pins.at[block->pins.at[i]].wires.at[k]]))
        (*crimped)++;
      else
        (*there)++;
    }
}

static const char *block_work(const struct step_maker *steps, const struct pl_block *block) {
  uint32_t crimped, there;
  count_ends(harness_of(steps), block, &crimped, &there);
  const char *new_ends = pieces(steps, crimped, "end", "ends");
  const char *old_ends = pieces(steps, there, "end", "ends");
  struct pl_arena *arena = steps->maker->arena;
  if (crimped == 0)
    return pl_arena_printf(arena,
                           "%s: look over %s of the donor, row by row",
                           block->name,
                           old_ends);
  if (there == 0)
    return pl_arena_printf(arena, "%s: crimp and load %s", block->name, new_ends);
  return pl_arena_printf(arena,
                         "%s: crimp and load %s, look over %s of the donor",
                         block->name,
                         new_ends,
                         old_ends);
}

static void load(struct step_maker *steps) {
  for (uint32_t b = 0; b < steps->blocks.n; b++) {
    const struct pl_block *block = &steps->blocks.at[b];
    if (block->wires.n == 0)
      continue;
    if (block->kind != PL_BLOCK_PLUG && block->kind != PL_BLOCK_LOOSE)
      continue;
    step_with(steps,
              block_work(steps, block),
              pl_work_wires(steps->maker, &block->wires),
              crimpers(steps, block));
  }
}

static void splice(struct step_maker *steps) {
  const struct pl_harness *harness = harness_of(steps);
  struct pl_arena *arena = steps->maker->arena;
  for (uint32_t b = 0; b < steps->blocks.n; b++)
    for (uint32_t i = 0; i < steps->blocks.at[b].pins.n; i++) {
      const struct pl_pin *pin = &harness->pins.at[steps->blocks.at[b].pins.at[i]];
      if (steps->blocks.at[b].kind != PL_BLOCK_SPLICES)
        continue;
      if (pin->wires.n == 0)
        continue;
      step(steps,
           pl_arena_printf(arena,
                           "Splice %s %s: join %s",
                           pin->full,
                           pl_work_at(steps->maker, harness->devices.at[pin->device].place),
                           pieces(steps, pin->wires.n, "wire", "wires")),
           pl_work_wires(steps->maker, &pin->wires));
    }
  for (pl_id w = 0; w < harness->wires.n; w++) {
    pl_ids one = {0};
    if (harness->wires.at[w].status != PL_WIRE_DONOR_EXTENDED)
      continue;
    PL_PUSH(arena, &one, w);
    step(
        steps,
        pl_arena_printf(arena,
                        "Extend donor wire %s, rung out before it is cut: splice the new length on",
                        harness->wires.at[w].number),
        pl_work_wires(steps->maker, &one));
  }
}

static void twist(struct step_maker *steps) {
  const struct pl_harness *harness = harness_of(steps);
  struct pl_arena *arena = steps->maker->arena;
  struct pl_table table;
  pl_ids *groups = PL_NEW_ARRAY(arena, pl_ids, harness->wires.n);
  uint32_t n = 0;
  uint32_t at;
  pl_table_init(&table, arena);
  for (pl_id w = 0; w < harness->wires.n; w++) {
    if (harness->wires.at[w].twist[0] == '\0')
      continue;
    if (pl_table_add(&table, harness->wires.at[w].twist, n))
      n++;
    if (pl_table_find(&table, harness->wires.at[w].twist, &at))
      PL_PUSH(arena, &groups[at], w);
  }
  for (uint32_t i = 0; i < n; i++)
    step(steps,
         pl_arena_printf(arena, "Twist together: %s", harness->wires.at[groups[i].at[0]].twist),
         pl_work_wires(steps->maker, &groups[i]));
}

/* ---- board, covering, machine ---- */

static const char *run_name(const struct step_maker *steps, const struct pl_run *run) {
  const struct pl_harness *harness = harness_of(steps);
  return pl_arena_printf(steps->maker->arena,
                         "%s to %s",
                         harness->places.at[run->a].name,
                         harness->places.at[run->b].name);
}

static void lay(struct step_maker *steps) {
  const struct pl_harness *harness = harness_of(steps);
  for (pl_id r = 0; r < harness->runs.n; r++) {
    const struct pl_run *run = &harness->runs.at[r];
    if (run->wires.n == 0)
      continue;
    step(steps,
         pl_arena_printf(steps->maker->arena,
                         "Lay %s, %s, in the run %s",
                         pieces(steps, run->wires.n, "wire", "wires"),
                         length_text(steps, run->length),
                         run_name(steps, run)),
         pl_work_wires(steps->maker, &run->wires));
  }
}

static void cover(struct step_maker *steps) {
  const struct pl_harness *harness = harness_of(steps);
  for (pl_id r = 0; r < harness->runs.n; r++) {
    const struct pl_run *run = &harness->runs.at[r];
    if (run->wires.n == 0)
      continue;
    if (run->covering[0] == '\0')
      continue;
    step(steps,
         pl_arena_printf(steps->maker->arena,
                         "Cover %s with %s, %s",
                         run_name(steps, run),
                         run->covering,
                         length_text(steps, run->length)),
         pl_work_wires(steps->maker, &run->wires));
  }
}

static void fit(struct step_maker *steps) {
  const struct pl_harness *harness = harness_of(steps);
  for (pl_id r = 0; r < harness->runs.n; r++) {
    const struct pl_run *run = &harness->runs.at[r];
    if (run->wires.n == 0)
      continue;
    step_with(steps,
              pl_arena_printf(steps->maker->arena,
                              "Fit the run %s, %s",
                              run_name(steps, run),
                              length_text(steps, run->length)),
              "",
              run->engine_space ? "loop, heat sleeve" : "");
  }
}

static void grounds(struct step_maker *steps) {
  static const char on_metal[] =
      "%s%s %s: clean to bright metal, bolt on %s; tightened to ________";
  static const char on_stud[] = "%s%s %s: bolt on %s; tightened to ________";
  const struct pl_harness *harness = harness_of(steps);
  struct pl_arena *arena = steps->maker->arena;

  for (pl_id d = 0; d < harness->devices.n; d++) {
    const struct pl_device *device = &harness->devices.at[d];
    bool ground = pl_kind_is(device->kind, PL_IS_GROUND);
    if (!pl_kind_is(device->kind, PL_IS_GROUND | PL_IS_STUD))
      continue;
    if (device->pin_count == 0)
      continue;
    const pl_ids *wires = &harness->pins.at[device->first_pin].wires;
    if (wires->n == 0)
      continue;
    const char *text = "";
    if (device->text[0] != '\0')
      text = pl_arena_printf(arena, " (%s)", device->text);
    const char *rings = pieces(steps, wires->n, "ring", "rings");
    const char *at = pl_work_at(steps->maker, device->place);
    const char *what =
        pl_arena_printf(arena, ground ? on_metal : on_stud, device->name, text, at, rings);
    step(steps, what, pl_work_wires(steps->maker, wires));
  }
}

/* ---- connecting ---- */

static bool stays_open(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_MODULE | PL_IS_STORE | PL_IS_PROTECTION);
}

/* Plugs by the place they are at, so that each is gone to once. */
static void plug_in(struct step_maker *steps, pl_id place, struct pl_buffer *left) {
  const struct pl_harness *harness = harness_of(steps);
  struct pl_buffer names;
  pl_buffer_init(&names, steps->maker->arena);
  for (uint32_t b = 0; b < steps->blocks.n; b++) {
    const struct pl_block *block = &steps->blocks.at[b];
    if (block->kind != PL_BLOCK_PLUG)
      continue;
    if (block->wires.n == 0)
      continue;
    const struct pl_connector *connector = &harness->connectors.at[block->id];
    const struct pl_device *device = &harness->devices.at[connector->device];
    if (device->place != place)
      continue;
    struct pl_buffer *into = stays_open(device->kind) ? left : &names;
    pl_buffer_printf(into,
                     "%s%s%s%s",
                     into->n > 0 ? ", " : "",
                     device->name,
                     connector->name[0] != '\0' ? " " : "",
                     connector->name);
  }
  if (names.n > 0)
    step(steps,
         pl_arena_printf(steps->maker->arena,
                         "Plug in, %s: %s",
                         place == PL_NONE ? "no place said" : pl_work_at(steps->maker, place),
                         names.at),
         "");
}

static void connect(struct step_maker *steps) {
  const struct pl_harness *harness = harness_of(steps);
  struct pl_buffer left;
  pl_buffer_init(&left, steps->maker->arena);
  for (pl_id place = 0; place <= harness->places.n; place++)
    plug_in(steps, place < harness->places.n ? place : PL_NONE, &left);
  for (uint32_t b = 0; b < steps->blocks.n; b++) {
    const struct pl_block *block = &steps->blocks.at[b];
    if (block->kind == PL_BLOCK_LOOSE && block->wires.n > 0)
      step(steps,
           pl_arena_printf(steps->maker->arena, "Push on and bolt on: %s", block->name),
           pl_work_wires(steps->maker, &block->wires));
  }
  step(steps,
       pl_arena_printf(steps->maker->arena,
                       "Leave open: both battery cables, every fuse%s%s",
                       left.n > 0 ? "; unplugged: " : "",
                       left.n > 0 ? left.at : ""),
       "");
}

struct stage_row {
  const char *title, *tool, *check, *care;
  void (*make)(struct step_maker *steps);
};

static void ring_out(struct step_maker *steps) {
  step(steps, "Ring out the harness by the sheets of \"Checks before power\"", "");
}

/* Practice of the trade; figures with their sources: standard/limits.c, AC 43.13-1B chapter 11
 * where it is named. */
static const struct stage_row stages[] = {
    {"Cut",
     "cable cutter, tape measure",
     "length as the list says, ends square, insulation unmarked",
     "By the cut list, one spool at a time, longest pieces first. Lengths hold slack and tails "
     "already: do not trim by eye. Eyes covered.",
     cut},
    {"Label",
     "printed sleeves, hot air",
     "the same number at both ends, readable with the harness clipped down",
     "Both ends, and each branch, before the next spool is cut. Colour never proves function: the "
     "number does.",
     label},
    {"Twist",
     "drill at low speed",
     "even turns, the last 50 mm free for the plugs (common practice), numbers readable at both "
     "ends",
     "Before either end is crimped: two plugs cannot be twisted. The wires of a group are cut to "
     "the same length and end together.",
     twist},
    {"Sample crimps",
     "ratchet crimper of the terminal, pull scale",
     "the sample holds what is said, or what the terminal's maker says; keep it",
     "One for each terminal and size, before the first plug. Strip to the depth of the barrel and "
     "about 1 mm more, no strand cut.",
     samples},
    {"Crimp and load, plug by plug",
     "ratchet crimpers, tool to release a terminal",
     "each row ticked, each wire holds a tug of 45 N (10 lb), empty cavities plugged, lock shut",
     "The sheets of \"Connectors and pins\" have cavity, wire, terminal, seal, strip and far end "
     "of each. One plug to its end before the next. Seal on the wire before the terminal.",
     load},
    {"Splice",
     "splice crimper, adhesive sleeve, hot air",
     "holds a hard tug, adhesive shows at both ends of the sleeve",
     "Sleeves over the wires first. Stagger splices so that the bundle does not swell; none inside "
     "a twisted pair, none where the harness bends.",
     splice},
    {"Lay on the board",
     "board at full size, its ruler checked, ties that come off again",
     "the wires are as many as said, breakouts at their marks",
     "Heaviest wires first.",
     lay},
    {"Ring out on the bench",
     "ohm-meter; no insulation tester on electronics",
     "both sheets are signed",
     "Nothing is covered before every pair has been read.",
     ring_out},
    {"Cover",
     "cutter, tape",
     "slit down when fitted, ends taped, labels in sight",
     "Leave breakouts open for the last wrapping, after first power-up.",
     cover},
    {"Fit",
     "clips, edge guard, grommets",
     "clipped every 600 mm (24 in) or closer, drip loop before a plug that hangs, clear of pivots "
     "and exhaust",
     "Battery disconnect open and locked. Level ground, wheels or tracks blocked, attachments down "
     "or pinned, pressure released, before anyone crawls under. "
     "150 mm (6 in) from fuel lines, never under 50 mm (2 in) (AC 43.13-1B). Beside the engine: a "
     "loop where it moves, heat sleeve near exhaust and turbo.",
     fit},
    {"Ground points and studs",
     "wire brush, wrench, sealer",
     "bright metal under the ring, largest ring lowest, nut tight, sealed after; boot over a live "
     "stud",
     "Paint, powder coat and rust insulate. Battery cables stay off.",
     grounds},
    {"Connect",
     "by hand, wrench",
     "latch clicks, seal even all round, no pin pushed back; each by its number, not its colour",
     "Battery disconnect open and locked, both battery cables off. Airbags and seat belt wiring of "
     "a donor cab: stop, follow their maker.",
     connect}};

void pl_sheet_steps(struct pl_sheet_maker *maker) {
  struct step_maker steps = {.maker = maker};
  if (maker->harness->wires.n == 0)
    return;
  pl_blocks_make(maker, &steps.blocks);
  pl_sheet_begin(maker,
                 "build-steps",
                 "The work, step by step",
                 "Tick what is done and has been looked over; name and date behind it.");
  maker->sheet.tick = true;
  struct pl_column *number = pl_sheet_column(maker, "step");
  number->narrow = number->key = true;
  pl_sheet_column(maker, "what to do");
  pl_sheet_column(maker, "wires");
  pl_sheet_column(maker, "besides");
  pl_sheet_column(maker, "tools")->csv_only = true;
  pl_sheet_column(maker, "right when")->csv_only = true;
  pl_sheet_column(maker, "by, date")->blank = true;
  for (size_t i = 0; i < sizeof stages / sizeof stages[0]; i++) {
    stage(&steps, stages[i].title, stages[i].tool, stages[i].check, stages[i].care);
    stages[i].make(&steps);
  }
  pl_sheet_end(maker);
}
