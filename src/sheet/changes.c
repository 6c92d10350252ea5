/* Two texts held against each other, and the sheets of what to do about it. */
#include "sheet/changes.h"

#include <math.h>
#include <string.h>

#include "sheet/nets_inner.h"
#include "sheet/work_inner.h"
#include "standard/limits_data.h"

/* ---- what differs ---- */

static void index_records(const pl_records *records, struct pl_table *table) {
  for (uint32_t i = 0; i < records->n; i++)
    pl_table_add(table, records->at[i].key, i);
}

/* Its device is there in both texts, so that it is listed for itself. */
static bool
is_listed(const struct pl_record *record, const struct pl_table *other, struct pl_arena *arena) {
  uint32_t at;
  if (record->owner[0] == '\0')
    return true;
  return pl_table_find(other, pl_arena_printf(arena, "device %s", record->owner), &at);
}

static void compare_facts(const struct pl_record *was,
                          const struct pl_record *is,
                          struct pl_arena *arena,
                          pl_changes *changes) {
  for (uint32_t i = 0; i < is->facts.n && i < was->facts.n;
       i++) /* records of one group tell the same aspects in the same order */
    if (strcmp(was->facts.at[i].value, is->facts.at[i].value) != 0)
      PL_PUSH(arena,
              changes,
              ((struct pl_change){PL_CHANGE_CHANGED,
                                  is->group,
                                  is->name,
                                  is->facts.at[i].aspect,
                                  was->facts.at[i].value,
                                  is->facts.at[i].value}));
}

static const char *fact_of(const struct pl_record *record, const char *aspect) {
  for (uint32_t i = 0; i < record->facts.n; i++)
    if (strcmp(record->facts.at[i].aspect, aspect) == 0)
      return record->facts.at[i].value;
  return "";
}

/* The same copper between the same pins; `turned`: written from its other end. */
static bool is_same_copper(const struct pl_record *a, const struct pl_record *b, bool *turned) {
  static const char *const same[] = {"size", "colour", "insulation", "status"};
  for (size_t i = 0; i < sizeof same / sizeof same[0]; i++)
    if (strcmp(fact_of(a, same[i]), fact_of(b, same[i])) != 0)
      return false;
  bool straight = strcmp(fact_of(a, "from"), fact_of(b, "from")) == 0 &&
                  strcmp(fact_of(a, "to"), fact_of(b, "to")) == 0;
  *turned = !straight;
  if (straight)
    return true;
  return (strcmp(fact_of(a, "from"), fact_of(b, "to")) == 0 &&
          strcmp(fact_of(a, "to"), fact_of(b, "from")) == 0);
}

static void turn(struct pl_record *wire) {
  struct pl_fact *from = NULL;
  struct pl_fact *to = NULL;
  for (uint32_t i = 0; i < wire->facts.n; i++) {
    if (strcmp(wire->facts.at[i].aspect, "from") == 0)
      from = &wire->facts.at[i];
    if (strcmp(wire->facts.at[i].aspect, "to") == 0)
      to = &wire->facts.at[i];
  }
  const char *value = from->value;
  from->value = to->value;
  to->value = value;
}

static bool is_wire(const struct pl_record *record) {
  return strcmp(record->group, "wire") == 0;
}

/* A wire that is there under another number takes its old key, so that it is held against itself.
 */
static void find_renumbered(const pl_records *was,
                            pl_records *is,
                            const struct pl_table *old_at,
                            const struct pl_table *new_at,
                            struct pl_arena *arena,
                            pl_changes *changes) {
  bool *taken = PL_NEW_ARRAY(arena, bool, was->n + 1), turned;
  uint32_t at;
  for (uint32_t i = 0; i < is->n; i++) {
    if (!is_wire(&is->at[i]))
      continue;
    if (pl_table_find(old_at, is->at[i].key, &at))
      continue;
    for (uint32_t o = 0; o < was->n; o++) {
      if (!is_wire(&was->at[o]))
        continue;
      if (taken[o])
        continue;
      if (pl_table_find(new_at, was->at[o].key, &at))
        continue;
      if (!is_same_copper(&was->at[o], &is->at[i], &turned))
        continue;
      taken[o] = true;
      if (turned)
        turn(&is->at[i]);
      is->at[i].key = was->at[o].key;
      PL_PUSH(arena,
              changes,
              ((struct pl_change){PL_CHANGE_CHANGED,
                                  "wire",
                                  is->at[i].name,
                                  "number",
                                  was->at[o].name,
                                  is->at[i].name}));
      break;
    }
  }
}

static void changes_of_group(const char *group,
                             const pl_records *was,
                             const pl_records *is,
                             const struct pl_table *old_at,
                             const struct pl_table *new_at,
                             struct pl_arena *arena,
                             pl_changes *changes) {
  uint32_t at;
  for (uint32_t i = 0; i < is->n; i++) {
    const struct pl_record *one = &is->at[i];
    if (strcmp(one->group, group) != 0)
      continue;
    if (pl_table_find(old_at, one->key, &at))
      compare_facts(&was->at[at], one, arena, changes);
    else if (is_listed(one, old_at, arena))
      PL_PUSH(arena, changes, ((struct pl_change){PL_CHANGE_ADDED, group, one->name, "", "", ""}));
  }
  for (uint32_t i = 0; i < was->n; i++) {
    if (strcmp(was->at[i].group, group) != 0)
      continue;
    if (pl_table_find(new_at, was->at[i].key, &at))
      continue;
    if (!is_listed(&was->at[i], new_at, arena))
      continue;
    PL_PUSH(arena,
            changes,
            ((struct pl_change){PL_CHANGE_REMOVED, group, was->at[i].name, "", "", ""}));
  }
}

static const struct group {
  const char *name, *title;
} groups[] = {{"wire", "Wires"},
              {"device", "Devices"},
              {"plug", "Plugs"},
              {"pin", "Pins"},
              {"place", "Places"},
              {"run", "Runs"},
              {"terminal", "Terminals"},
              {"circuit", "Circuits"},
              {"state", "States"},
              {"requirement", "Requirements"},
              {"waiver", "Waivers"},
              {"machine", "The machine"}};
enum {
  GROUPS = sizeof groups / sizeof groups[0]
};

void pl_changes_find(const struct pl_harness *old,
                     const struct pl_harness *harness,
                     struct pl_arena *arena,
                     pl_changes *changes) {
  pl_records was = {0};
  pl_records is = {0};
  struct pl_table old_at, new_at;
  pl_records_of(old, NULL, arena, &was);
  pl_records_of(harness, old, arena, &is);
  pl_table_init(&old_at, arena);
  pl_table_init(&new_at, arena);
  index_records(&was, &old_at);
  index_records(&is, &new_at);
  find_renumbered(&was, &is, &old_at, &new_at, arena, changes);
  index_records(&is, &new_at); /* under their old keys too */
  for (int g = 0; g < GROUPS; g++)
    changes_of_group(groups[g].name, &was, &is, &old_at, &new_at, arena, changes);
}

/* ---- the sheet of differences ---- */

struct advice {
  const char *group, *aspect, *what, *todo; /* aspect "+": added, "-": removed, "": any other */
};
static const struct advice advices[] = {
    {"wire", "+", "added", "cut, label, crimp, load; ring out"},
    {"wire", "-", "removed", "take out at both ends; plug the cavities"},
    {"wire", "number", "renumbered", "new labels at both ends; nothing else"},
    {"wire", "from", "moved", "move that end; ring out from end to end"},
    {"wire", "to", "moved", "move that end; ring out from end to end"},
    {"wire", "size", "resized", "take the wire out, cut one of the new size, crimp anew"},
    {"wire", "insulation", "changed", "take the wire out, cut one with the new insulation"},
    {"wire", "colour", "recoloured", "replace it, or tag both ends with number and new colour"},
    {"wire", "length m", "new length", "look whether the old one still reaches with slack"},
    {"wire", "twisted", "changed", "twist anew, or take apart"},
    {"wire", "", "changed", "correct label and sheets"},
    {"device", "+", "added", "fit it; then its wires"},
    {"device", "-", "removed", "its wires first; then take it off"},
    {"device",
     "rating A",
     "changed",
     "battery off; fit the new rating, never a larger one than this sheet says"},
    {"device", "place", "moved", "move it; look whether its wires reach"},
    {"device", "", "changed", "look at the part itself: is it the one described?"},
    {"plug", "", "changed", "look at the plug: housing, seals, cavities"},
    {"pin", "terminal", "changed", "crimp anew with the new terminal"},
    {"pin", "cavity plug", "changed", "fit the cavity plug, or take it out"},
    {"run", "", "changed", "lay, cover and clip anew where it differs"},
    {"requirement", "", "changed", "prove the interlock again, in every position"},
    {NULL, NULL, NULL, NULL}};

static const struct advice *advice_of(const struct pl_change *change) {
  static const struct advice none = {"", "", "changed", ""};
  const char *aspect;
  if (change->kind == PL_CHANGE_ADDED)
    aspect = "+";
  else if (change->kind == PL_CHANGE_REMOVED)
    aspect = "-";
  else
    aspect = change->aspect;
  for (const struct advice *a = advices; a->group != NULL; a++)
    if (strcmp(a->group, change->group) == 0 &&
        (strcmp(a->aspect, aspect) == 0 || a->aspect[0] == '\0'))
      return a;
  return &none;
}

static const char *what_of(const struct pl_change *change) {
  if (change->kind == PL_CHANGE_ADDED)
    return "added";
  if (change->kind == PL_CHANGE_REMOVED)
    return "removed";
  return advice_of(change)->what;
}

/* An added or removed wire says its ends, size and colour. */
static const char *
wire_summary(struct pl_sheet_maker *maker, const struct pl_harness *harness, const char *number) {
  uint32_t id;
  char colour[16];
  if (!pl_table_find(&harness->wire_numbers, number, &id))
    return "";
  const struct pl_wire *wire = &harness->wires.at[id];
  return pl_arena_printf(
      maker->arena,
      "%s to %s, %s %s",
      wire->end[0] < harness->pins.n ? harness->pins.at[wire->end[0]].full : "in the air",
      wire->end[1] < harness->pins.n ? harness->pins.at[wire->end[1]].full : "in the air",
      wire->size,
      pl_colour_text(&wire->colour, colour));
}

static void
differences(struct pl_sheet_maker *maker, const struct pl_harness *old, const pl_changes *changes) {
  const char *group = "";
  pl_sheet_begin(maker, "changes", "What is different", "");
  maker->sheet.tick = true;
  pl_sheet_column(maker, "group")->csv_only = true;
  pl_sheet_column(maker, "name")->key = true;
  pl_sheet_column(maker, "what")->narrow = true;
  pl_sheet_column(maker, "of it");
  pl_sheet_column(maker, "was");
  pl_sheet_column(maker, "is");
  pl_sheet_column(maker, "what to do");
  for (uint32_t i = 0; i < changes->n; i++) {
    const struct pl_change *change = &changes->at[i];
    bool wire = strcmp(change->group, "wire") == 0;
    for (int g = 0; strcmp(group, change->group) != 0 && g < GROUPS; g++)
      if (strcmp(groups[g].name, change->group) == 0)
        pl_sheet_heading(maker, groups[g].title, "");
    group = change->group;
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, change->group);
    pl_sheet_text(maker, change->name);
    pl_sheet_text(maker, what_of(change));
    pl_sheet_text(maker, change->aspect);
    pl_sheet_text(maker,
                  wire && change->kind == PL_CHANGE_REMOVED ? wire_summary(maker, old, change->name)
                                                            : change->was);
    pl_sheet_text(maker,
                  wire && change->kind == PL_CHANGE_ADDED
                      ? wire_summary(maker, maker->harness, change->name)
                      : change->is);
    pl_sheet_text(maker, advice_of(change)->todo);
  }
  pl_sheet_end(maker);
}

/* ---- cavities ---- */

/* The number of a wire in the other text; `back`: the new one's in the old. */
static const char *number_there(const pl_changes *changes, const char *number, bool back) {
  for (uint32_t i = 0; i < changes->n; i++) {
    const struct pl_change *change = &changes->at[i];
    if (strcmp(change->aspect, "number") == 0 &&
        strcmp(back ? change->is : change->was, number) == 0)
      return back ? change->was : change->is;
  }
  return number;
}

static bool has_wire(const struct pl_harness *harness, pl_id pin, const char *number) {
  for (uint32_t i = 0; pin != PL_NONE && i < harness->pins.at[pin].wires.n; i++)
    if (strcmp(harness->wires.at[harness->pins.at[pin].wires.at[i]].number, number) == 0)
      return true;
  return false;
}

/* Wires at a pin of one text that are not there in the other: "41, 52".  `back`: here is the new
 * text. */
static const char *wires_only(struct pl_sheet_maker *maker,
                              const struct pl_harness *here,
                              pl_id pin,
                              const struct pl_harness *there,
                              pl_id other,
                              const pl_changes *changes,
                              bool back) {
  struct pl_buffer out;
  pl_buffer_init(&out, maker->arena);
  for (uint32_t i = 0; pin != PL_NONE && i < here->pins.at[pin].wires.n; i++) {
    const char *number = here->wires.at[here->pins.at[pin].wires.at[i]].number;
    if (!has_wire(there, other, number_there(changes, number, back)))
      pl_buffer_printf(&out, "%s%s", out.n > 0 ? ", " : "", number);
  }
  if (out.n > 0)
    return out.at;
  return "";
}

/* Wires that stay, but want a new crimp: another size, or another terminal. */
static const char *wires_anew(struct pl_sheet_maker *maker,
                              const struct pl_harness *old,
                              pl_id was,
                              pl_id is,
                              const pl_changes *changes) {
  const struct pl_harness *harness = maker->harness;
  struct pl_buffer out;
  uint32_t id;
  pl_buffer_init(&out, maker->arena);
  if (was == PL_NONE || is == PL_NONE)
    return "";
  bool terminal = strcmp(pl_sheet_terminal(old, was), pl_sheet_terminal(harness, is)) != 0;
  for (uint32_t i = 0; i < harness->pins.at[is].wires.n; i++) {
    const struct pl_wire *wire = &harness->wires.at[harness->pins.at[is].wires.at[i]];
    const char *number = number_there(changes, wire->number, true);
    if (!has_wire(old, was, number))
      continue;
    if (!pl_table_find(&old->wire_numbers, number, &id))
      continue;
    if (terminal || strcmp(old->wires.at[id].size, wire->size) != 0)
      pl_buffer_printf(&out, "%s%s", out.n > 0 ? ", " : "", wire->number);
  }
  if (out.n > 0)
    return out.at;
  return "";
}

static const char *
plug_text(const struct pl_harness *old, pl_id was, const struct pl_harness *harness, pl_id is) {
  bool before = was != PL_NONE && old->pins.at[was].plugged;
  bool after = is != PL_NONE && harness->pins.at[is].plugged;
  if (before == after)
    return "";
  if (after)
    return "fit a cavity plug";
  return "take the plug out";
}

static void cavity_row(struct pl_sheet_maker *maker,
                       const struct pl_harness *old,
                       pl_id was,
                       pl_id is,
                       const pl_changes *changes) {
  const struct pl_harness *harness = maker->harness;
  const struct pl_harness *of = old;
  if (is != PL_NONE)
    of = harness;
  const struct pl_pin *pin = &of->pins.at[is != PL_NONE ? is : was];
  const char *out = wires_only(maker, old, was, harness, is, changes, false);
  const char *in = wires_only(maker, harness, is, old, was, changes, true);
  const char *anew = wires_anew(maker, old, was, is, changes);
  const char *plug = plug_text(old, was, harness, is);
  if (out[0] == '\0' && in[0] == '\0' && anew[0] == '\0' && plug[0] == '\0')
    return;
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_text(maker, pin->full);
  pl_sheet_text(maker,
                of->devices.at[pin->device].place < of->places.n
                    ? of->places.at[of->devices.at[pin->device].place].name
                    : "");
  pl_sheet_text(maker, out);
  pl_sheet_text(maker, in);
  pl_sheet_text(maker, anew);
  pl_sheet_text(maker, plug);
}

static void
cavities(struct pl_sheet_maker *maker, const struct pl_harness *old, const pl_changes *changes) {
  pl_sheet_begin(maker,
                 "changes-cavities",
                 "Cavities and pins to change",
                 "Battery disconnect open and locked, earthed cable off. Release tool, not a "
                 "screwdriver; each wire tugged after.");
  maker->sheet.tick = true;
  struct pl_column *name = pl_sheet_column(maker, "cavity or pin");
  name->narrow = name->key = true;
  pl_sheet_column(maker, "place");
  pl_sheet_column(maker, "take out");
  pl_sheet_column(maker, "put in");
  pl_sheet_column(maker, "crimp anew");
  pl_sheet_column(maker, "plug");
  for (pl_id p = 0; p < maker->harness->pins.n; p++)
    cavity_row(maker, old, pl_harness_find_pin(old, maker->harness->pins.at[p].full), p, changes);
  for (pl_id p = 0; p < old->pins.n; p++)
    if (pl_harness_find_pin(maker->harness, old->pins.at[p].full) == PL_NONE)
      cavity_row(maker, old, p, PL_NONE, changes);
  pl_sheet_end(maker);
}

/* ---- what to test again ---- */

static void test_row(struct pl_sheet_maker *maker,
                     const char *what,
                     const char *from,
                     const char *to,
                     const char *wires,
                     const char *good) {
  pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
  pl_sheet_text(maker, what);
  pl_sheet_text(maker, from);
  pl_sheet_text(maker, to);
  pl_sheet_text(maker, wires);
  pl_sheet_text(maker, good);
}

/* Wires that are new, or whose ends or copper are. */
static bool *touched_wires(struct pl_sheet_maker *maker, const pl_changes *changes) {
  bool *touched = PL_NEW_ARRAY(maker->arena, bool, maker->harness->wires.n);
  static const char *const metal[] = {"from", "to", "size", "insulation", "status", "twisted"};
  for (uint32_t i = 0; i < changes->n; i++) {
    const struct pl_change *change = &changes->at[i];
    uint32_t id;
    bool matters = change->kind == PL_CHANGE_ADDED;
    for (size_t k = 0; k < sizeof metal / sizeof metal[0]; k++)
      matters = matters || strcmp(change->aspect, metal[k]) == 0;
    if (matters && strcmp(change->group, "wire") == 0 &&
        pl_table_find(&maker->harness->wire_numbers, change->name, &id))
      touched[id] = true;
  }
  return touched;
}

static void
ring_rows(struct pl_sheet_maker *maker, const struct pl_nets *nets, const bool *touched) {
  const struct pl_harness *harness = maker->harness;
  pl_pairs pairs = {0};
  pl_nets_pairs(maker, nets, &pairs);
  pl_sheet_heading(maker,
                   "Must conduct",
                   "Everything unplugged, battery cables off, as for a new harness.");
  for (uint32_t i = 0; i < pairs.n; i++) {
    bool any = false;
    for (uint32_t k = 0; k < pairs.at[i].wires.n; k++)
      any = any || touched[pairs.at[i].wires.at[k]];
    if (any)
      test_row(maker,
               pairs.at[i].lift == PL_NONE ? "ring out" : "ring out, one end lifted",
               harness->pins.at[pairs.at[i].a].full,
               harness->pins.at[pairs.at[i].b].full,
               pl_work_wires(maker, &pairs.at[i].wires),
               "conducts");
  }
}

static bool is_touched(const struct pl_harness *harness, pl_id pin, const bool *touched) {
  for (uint32_t i = 0; i < harness->pins.at[pin].wires.n; i++)
    if (touched[harness->pins.at[pin].wires.at[i]])
      return true;
  return false;
}

static void
open_rows(struct pl_sheet_maker *maker, const struct pl_nets *nets, const bool *touched) {
  const struct pl_harness *harness = maker->harness;
  pl_sheet_heading(maker, "Must not conduct", "");
  for (pl_id p = 0; p < harness->pins.n; p++) {
    pl_ids others = {0};
    pl_nets_neighbours(maker, nets, p, &others);
    for (uint32_t i = 0; i < others.n; i++)
      if (is_touched(harness, p, touched) || is_touched(harness, others.at[i], touched))
        test_row(maker,
                 "neighbours",
                 harness->pins.at[p].full,
                 harness->pins.at[others.at[i]].full,
                 "",
                 "open");
  }
  for (uint32_t n = 0; n < nets->count; n++) {
    bool any = false;
    for (uint32_t i = 0; i < nets->pins[n].n; i++)
      any = any || is_touched(harness, nets->pins[n].at[i], touched);
    if (any && !nets->ground[n])
      test_row(maker,
               "to chassis",
               harness->pins.at[nets->pins[n].at[0]].full,
               "frame",
               "",
               "open");
  }
}

static void power_rows(struct pl_sheet_maker *maker, const pl_changes *changes, bool wires) {
  const struct pl_harness *harness = maker->harness;
  pl_sheet_heading(maker,
                   "Under power",
                   "Controllers unplugged first, as at the first power-up; machine blocked, "
                   "somebody at the disconnect.");
  for (uint32_t i = 0; i < changes->n; i++) {
    pl_id device = PL_NONE;
    if (strcmp(changes->at[i].group, "device") == 0)
      device = pl_harness_find_device(harness, changes->at[i].name);
    if (device == PL_NONE)
      continue;
    if ((i > 0 && strcmp(changes->at[i - 1].group, "device") == 0 &&
         strcmp(changes->at[i - 1].name, changes->at[i].name) == 0))
      continue;
    test_row(maker,
             "volts by the sheets of readings",
             harness->devices.at[device].name,
             "",
             "",
             "as the new book says");
  }
  if (wires)
    test_row(maker, "key off: every keyed point dies", "", "", "", "under 1 V");
  for (uint32_t i = 0; i < changes->n; i++)
    if (wires || strcmp(changes->at[i].group, "requirement") == 0 ||
        strcmp(changes->at[i].group, "device") == 0) {
      test_row(maker, "every interlock, in every position", "", "", "", "as the new book says");
      break;
    }
}

/* A label is changed, not the harness. */
static bool is_paper(const char *aspect) {
  if (strcmp(aspect, "number") == 0)
    return true;
  if (strcmp(aspect, "note") == 0)
    return true;
  return strcmp(aspect, "circuit") == 0;
}

static void tests(struct pl_sheet_maker *maker, const pl_changes *changes) {
  struct pl_nets nets;
  bool *touched = touched_wires(maker, changes), any = false;
  for (uint32_t i = 0; i < changes->n; i++)
    any = any || (strcmp(changes->at[i].group, "wire") == 0 && !is_paper(changes->at[i].aspect));
  pl_sheet_begin(maker, "changes-tests", "What to test again", "");
  maker->sheet.tick = true;
  pl_sheet_column(maker, "test")->key = true;
  pl_sheet_narrow(maker, "at");
  pl_sheet_narrow(maker, "to");
  pl_sheet_column(maker, "through wires");
  pl_sheet_column(maker, "must be");
  pl_sheet_column(maker, "read")->blank = true;
  pl_nets_make(maker, &nets);
  ring_rows(maker, &nets, touched);
  open_rows(maker, &nets, touched);
  power_rows(maker, changes, any);
  pl_sheet_end(maker);
}

/* ---- pages ---- */

static void pages_sheet(struct pl_sheet_maker *maker, const pl_changed_pages *pages) {
  static const char *const words[] = {"new: print it",
                                      "no longer there: throw it away",
                                      "out of date: print it again"};
  pl_sheet_begin(maker,
                 "changes-pages",
                 "Printed pages that are out of date",
                 "By their numbers in the book. The others differ in the digest of the text alone, "
                 "and perhaps in their number and the revision.");
  maker->sheet.tick = true;
  pl_sheet_column(maker, "section")->key = true;
  pl_sheet_column(maker, "page");
  pl_sheet_column(maker, "what of it");
  for (uint32_t i = 0; pages != NULL && i < pages->n; i++) {
    pl_sheet_row(maker, PL_LINK_NONE, PL_NONE);
    pl_sheet_text(maker, pages->at[i].section);
    pl_sheet_text(maker, pages->at[i].title);
    pl_sheet_text(maker, words[pages->at[i].kind]);
  }
  pl_sheet_end(maker);
}

void pl_sheets_changes(const struct pl_harness *old,
                       const struct pl_harness *harness,
                       struct pl_network *network,
                       const pl_changed_pages *pages,
                       struct pl_arena *arena,
                       pl_sheets *sheets) {
  struct pl_sheet_maker maker = {.harness = harness,
                                 .network = network,
                                 .arena = arena,
                                 .sheets = sheets};
  pl_changes changes = {0};
  pl_changes_find(old, harness, arena, &changes);
  differences(&maker, old, &changes);
  cavities(&maker, old, &changes);
  if (changes.n > 0)
    tests(&maker, &changes);
  pages_sheet(&maker, pages);
}
