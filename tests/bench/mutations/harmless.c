/* Changes that do no harm: nothing new may be said about them. */
#include "bench.h"

#include "standard/wire.h"

#define HARNESS(edit) (&(edit)->machine->sound.harness)
#define WIRE(edit, id) (&HARNESS(edit)->wires.at[id])
#define DEVICE(edit, id) (&HARNESS(edit)->devices.at[id])

/* The bundle fills at most 85 % of the bore: one wire more or a thicker one stays inside. */
static bool has_room(const struct bench_edit *edit, const struct pl_wire *w) {
  for (uint32_t k = 0; k < w->route.n; k++) {
    const struct pl_run *run = &HARNESS(edit)->runs.at[w->route.at[k]];
    if (!isnan(run->bore) && pl_run_bundle(HARNESS(edit), run).mm > 0.85 * run->bore)
      return false;
  }
  return true;
}

static bool thicker_wire(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, bench_wire_is_new);
  if (wire == PL_NONE)
    return false;
  const struct pl_wire *w = WIRE(edit, wire);
  char buffer[24];
  double area = pl_wire_next_area(w->area, w->metric, 1);
  if (!(area > 0) || area > 6 || !bench_fits_terminals(edit, w, area) || !has_room(edit, w))
    return false; /* a thicker cable also lets more through a short */
  const char *size = bench_say(edit, "%s", pl_wire_size_text(buffer, area, w->metric));
  bench_replace(edit, w->size_span, size);
  edit->what = bench_say(edit, "wire %s made %s instead of %s", w->number, size, w->size);
  return true;
}

/* A colour that no other wire has, where the wire does not go on in that colour behind a plug. */
static bool is_between_devices(const struct bench_edit *edit, pl_id wire) {
  if (!bench_wire_is_new(edit, wire) || WIRE(edit, wire)->colour.base[0] == '\0')
    return false;
  for (int end = 0; end < 2; end++)
    if (pl_kind_is(bench_kind_at(edit, wire, end), PL_IS_NODE) ||
        bench_kind_at(edit, wire, end) == PL_KIND_INLINE)
      return false;
  return true;
}
static const char *free_colour(struct bench_edit *edit) {
  static const char *const letters[] = {"GY", "VT", "OG", "WH", "TQ", "PK"};
  for (int tries = 0; tries < 40; tries++) {
    const char *base = letters[bench_below(edit, 6)], *stripe = letters[bench_below(edit, 6)];
    bool taken = strcmp(base, stripe) == 0;
    for (pl_id w = 0; w < HARNESS(edit)->wires.n && !taken; w++)
      taken = strcmp(WIRE(edit, w)->colour.base, base) == 0 &&
              strcmp(WIRE(edit, w)->colour.stripe, stripe) == 0;
    if (!taken)
      return bench_say(edit, "%s/%s", base, stripe);
  }
  return NULL;
}
static bool other_colour(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, is_between_devices);
  const char *colour = free_colour(edit);
  if (wire == PL_NONE || colour == NULL)
    return false;
  const char *text = edit->machine->text;
  struct pl_span span = WIRE(edit, wire)->size_span;
  span.start = span.end + (uint32_t)strspn(text + span.end, " \t");
  span.end = span.start + (uint32_t)strcspn(text + span.start, " \t\n");
  bench_replace(edit, span, colour);
  edit->what = bench_say(edit, "wire %s in %s", WIRE(edit, wire)->number, colour);
  return true;
}

/* ---- things that lie there ---- */

static bool takes_spare_word(void) {
  static const char text[] = "machine \"m\"\nlamp L\n  draws 1 A\n  spare\nstate off\n";
  struct bench_judged judged;
  bench_judge(&judged, text, sizeof text - 1, false);
  bool reads = judged.read;
  bench_judged_end(&judged);
  return reads;
}
static bool spare_device(struct bench_edit *edit) {
  static const char *const openings[] = {
      "splice Z9910 \"spare joint\"",
      "stud Z9910 \"spare stud\"",
      "fuse Z9910 \"spare holder\"\n  rating 10 A\n  family blade",
      "lamp Z9910 \"spare lamp\"\n  draws 1 A",
      "relay Z9910 \"spare relay\"\n  coil 100 ohm\n  rating 20 A",
      "switch Z9910 \"spare switch\"\n  position off\n  position on: 1 to 2\n  rests in off"};
  bool marked = takes_spare_word();
  const char *opening = openings[bench_below(edit, marked ? 6 : 3)];
  bench_insert_before_line(edit,
                           HARNESS(edit)->states.at[0].span.start,
                           bench_say(edit, "%s%s", opening, marked ? "\n  spare" : ""));
  edit->what =
      bench_say(edit, "declared and not wired: %.*s", (int)strcspn(opening, "\n"), opening);
  return true;
}

/* A terminal at both ends takes one wire more. */
static bool takes_more(const struct bench_edit *edit, pl_id pin, double area) {
  const struct pl_pin *p = &HARNESS(edit)->pins.at[pin];
  const struct pl_terminal *t = pl_pin_terminal(HARNESS(edit), pin);
  enum pl_kind kind = DEVICE(edit, p->device)->kind;
  double sum = area;
  if (kind == PL_KIND_MODULE || kind == PL_KIND_INLINE || kind == PL_KIND_CONNECTOR)
    return false;
  for (uint32_t k = 0; k < p->wires.n; k++)
    sum += WIRE(edit, p->wires.at[k])->area;
  bool one_crimp = !pl_kind_is(kind, PL_IS_NODE); /* rings are stacked, each with its own */
  return bench_pin_wires(HARNESS(edit), pin) < t->wires_max && !(one_crimp && sum > t->area_max) &&
         isnan(t->od_max);
}
static bool is_second_ground(const struct bench_edit *edit, pl_id wire) {
  const struct pl_wire *w = WIRE(edit, wire);
  return bench_wire_is_new(edit, wire) && w->area < 10 && w->twist[0] == '\0' &&
         w->colour.base[0] == 'B' && w->colour.base[1] == 'K' &&
         takes_more(edit, w->end[0], w->area) && takes_more(edit, w->end[1], w->area) &&
         has_room(edit, w);
}
static bool second_ground(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, is_second_ground);
  if (wire == PL_NONE)
    return false;
  const struct pl_wire *w = WIRE(edit, wire);
  const char *row = bench_say(edit,
                              "9911 %s %s %s BK/WH %s length %.2f m",
                              HARNESS(edit)->pins.at[w->end[0]].full,
                              HARNESS(edit)->pins.at[w->end[1]].full,
                              w->size,
                              pl_wire_insulation(w)->name,
                              w->length);
  bench_add_wire(edit, wire, row);
  edit->what = bench_say(edit, "second ground beside wire %s", w->number);
  return true;
}

static bool longer_loom(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, bench_wire_is_new);
  struct pl_span span;
  if (wire == PL_NONE || WIRE(edit, wire)->twist[0] != '\0')
    return false;
  const struct pl_wire *w = WIRE(edit, wire);
  double amps = bench_most_amps(&edit->machine->sound, wire), more = 0.1 * w->length;
  if (w->length < 0.2 || amps * more * w->ohms_per_m > 0.0005 * HARNESS(edit)->machine.volts ||
      !bench_wire_fact(edit, wire, "length", 3, &span))
    return false;
  const char *fact = bench_say(edit, "length %.3f m", w->length + more);
  bench_replace(edit, span, fact);
  edit->what = bench_say(edit, "wire %s a tenth longer: %s", w->number, fact);
  return true;
}

static bool is_lamp(const struct bench_edit *edit, pl_id device) {
  const struct pl_device *d = DEVICE(edit, device);
  return d->kind == PL_KIND_LAMP && d->law == PL_LAW_RESISTANCE && d->load_amps > 1 &&
         bench_in_text(edit, d->span);
}
static bool larger_lamp(struct bench_edit *edit) {
  pl_id lamp = bench_pick_device(edit, is_lamp);
  if (lamp == PL_NONE)
    return false;
  const struct pl_device *d = DEVICE(edit, lamp);
  double left = bench_reserve(edit, lamp), rated = bench_rated_before(edit, lamp);
  if (!(left - 0.4 * rated > 10 / d->load_volts))
    return false;
  const char *line =
      bench_say(edit, "draws %.0f W at %g V", d->load_amps * d->load_volts + 5, d->load_volts);
  bench_describe(edit, lamp, "draws", line);
  edit->what = bench_say(edit, "lamp %s %s", d->name, line);
  return true;
}

/* ---- other words for the same ---- */

static bool is_word(char c) {
  return c != '\0' && strchr(" \t\r\n,:.\"", c) == NULL;
}
/* Every word `from` of the text outside quotes and comments becomes `to`. */
static void rename_all(struct bench_edit *edit, const char *from, const char *to) {
  const char *text = edit->machine->text;
  size_t n = strlen(from);
  bool quoted = false, comment = false;
  for (uint32_t at = 0; at < edit->machine->size; at++) {
    if (text[at] == '\n')
      quoted = comment = false;
    if (text[at] == '"' && !comment)
      quoted = !quoted;
    if (text[at] == '#' && !quoted && (at == 0 || text[at - 1] == ' ' || text[at - 1] == '\n'))
      comment = true;
    if (quoted || comment || strncmp(text + at, from, n) != 0 || is_word(text[at + n]) ||
        (at > 0 && (is_word(text[at - 1]) || text[at - 1] == '.')))
      continue;
    struct pl_span span = {0, at, at + (uint32_t)n};
    bench_replace(edit, span, to);
  }
}
static bool is_plain_name(const struct bench_edit *edit, pl_id device) {
  const char *name = DEVICE(edit, device)->name;
  for (const char *c = name; *c != '\0'; c++)
    if ((*c < 'A' || *c > 'Z') && (*c < '0' || *c > '9'))
      return false;
  return strlen(name) > 2 && bench_in_text(edit, DEVICE(edit, device)->span);
}
static bool renamed_device(struct bench_edit *edit) {
  pl_id device = bench_pick_device(edit, is_plain_name);
  if (device == PL_NONE)
    return false;
  edit->old_name = DEVICE(edit, device)->name;
  edit->new_name = "Q9912";
  rename_all(edit, edit->old_name, edit->new_name);
  edit->what = bench_say(edit, "%s renamed %s", edit->old_name, edit->new_name);
  return true;
}

static bool renumbered_wire(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, bench_wire_is_new);
  if (wire == PL_NONE)
    return false;
  const char *number = WIRE(edit, wire)->number;
  for (uint32_t k = 0; k < HARNESS(edit)->waivers.n; k++) {
    const char *place = HARNESS(edit)->waivers.at[k].place;
    if (strncmp(place, "wire ", 5) == 0 && strcmp(place + 5, number) == 0)
      return false;
  }
  struct pl_span span = WIRE(edit, wire)->span;
  span.end = span.start + (uint32_t)strlen(number);
  edit->old_name = number;
  edit->new_name = "9913";
  bench_replace(edit, span, "9913");
  edit->what = bench_say(edit, "wire %s numbered 9913", number);
  return true;
}

static const char *line_at(struct bench_edit *edit, uint32_t at, struct pl_span *span) {
  const char *text = edit->machine->text;
  uint32_t start = at;
  while (start > 0 && text[start - 1] != '\n')
    start--;
  *span = (struct pl_span){0, start, start + (uint32_t)strcspn(text + start, "\n")};
  return pl_arena_strndup(edit->arena, text + start, span->end - start);
}
static bool rows_reordered(struct bench_edit *edit) {
  pl_id a = bench_pick_wire(edit, bench_wire_is_new), b = bench_pick_wire(edit, bench_wire_is_new);
  struct pl_span span_a, span_b;
  if (a == PL_NONE || a == b || WIRE(edit, a)->circuit != WIRE(edit, b)->circuit)
    return false;
  const char *row_a = line_at(edit, WIRE(edit, a)->span.start, &span_a);
  const char *row_b = line_at(edit, WIRE(edit, b)->span.start, &span_b);
  bench_replace(edit, span_a, row_b);
  bench_replace(edit, span_b, row_a);
  edit->what = bench_say(edit,
                         "rows of wires %s and %s changed over",
                         WIRE(edit, a)->number,
                         WIRE(edit, b)->number);
  return true;
}

static bool ends_exchanged(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, bench_wire_is_new);
  if (wire == PL_NONE)
    return false;
  const struct pl_wire *w = WIRE(edit, wire);
  bench_replace(edit, w->end_span[0], HARNESS(edit)->pins.at[w->end[1]].full);
  bench_replace(edit, w->end_span[1], HARNESS(edit)->pins.at[w->end[0]].full);
  edit->what = bench_say(edit, "row of wire %s written from its other end", w->number);
  return true;
}

static bool has_room_for_joint(const struct bench_edit *edit, pl_id wire) {
  const struct pl_wire *w = WIRE(edit, wire);
  return bench_wire_is_new(edit, wire) && w->twist[0] == '\0' && w->area < 4 && w->area > 0.5 &&
         w->status == PL_WIRE_NEW && w->length_written &&
         bench_most_amps(&edit->machine->sound, wire) < 1;
}
static bool extra_splice(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, has_room_for_joint);
  if (wire == PL_NONE)
    return false;
  const struct pl_wire *w = WIRE(edit, wire);
  char colour[16];
  pl_id place = DEVICE(edit, HARNESS(edit)->pins.at[w->end[0]].device)->place;
  bench_replace(edit, w->end_span[1], "Z9914");
  struct pl_span span;
  if (!bench_wire_fact(edit, wire, "length", 3, &span))
    return false;
  bench_replace(edit, span, bench_say(edit, "length %.3f m", w->length / 2));
  bench_add_wire(edit,
                 wire,
                 bench_say(edit,
                           "9914 Z9914 %s %s %s %s length %.3f m",
                           HARNESS(edit)->pins.at[w->end[1]].full,
                           w->size,
                           pl_colour_text(&w->colour, colour),
                           pl_wire_insulation(w)->name,
                           w->length / 2));
  bench_insert_before_line(
      edit,
      HARNESS(edit)->states.at[0].span.start,
      place == PL_NONE
          ? "splice Z9914"
          : bench_say(edit, "splice Z9914 at %s", HARNESS(edit)->places.at[place].name));
  edit->old_name = w->number;
  edit->new_name = "9914";
  edit->what = bench_say(edit, "a splice amid wire %s", w->number);
  return true;
}

static bool is_own_terminal(const struct bench_edit *edit, pl_id device) {
  const struct pl_device *d = DEVICE(edit, device);
  return bench_in_text(edit, d->span) && d->kind != PL_KIND_MODULE &&
         !pl_kind_is(d->kind, PL_IS_PROTECTION) && /* lets more through a short */
         d->connector_count == 0 && d->pin_count >= 2 &&
         bench_pin_wires(HARNESS(edit), d->first_pin) > 0;
}
static bool better_terminal(struct bench_edit *edit) {
  pl_id device = bench_pick_device(edit, is_own_terminal);
  if (device == PL_NONE)
    return false;
  const struct pl_pin *pin = &HARNESS(edit)->pins.at[DEVICE(edit, device)->first_pin];
  bench_describe(edit,
                 device,
                 bench_say(edit, "pin %s", pin->name),
                 bench_say(edit, "pin %s terminal Z9915", pin->name));
  bench_insert_before_line(edit,
                           HARNESS(edit)->states.at[0].span.start,
                           "terminal Z9915\n  crimp 0.2..120 mm2\n  rating 800 A\n"
                           "  contact 0.04 mohm\n  wires at most 8");
  edit->what = bench_say(edit, "a better terminal at %s", pin->full);
  return true;
}

static bool comments_added(struct bench_edit *edit) {
  for (int k = 0; k < 4; k++) {
    pl_id wire = bench_pick_wire(edit, bench_wire_is_new);
    if (wire != PL_NONE)
      bench_insert_after_line(edit, WIRE(edit, wire)->span.start, "  # seen in autumn\n");
  }
  edit->what =
      bench_say(edit, "comments and blank lines behind four rows (%u)", bench_below(edit, 1000));
  return true;
}

static bool title_changed(struct bench_edit *edit) {
  struct pl_span line;
  const char *text = line_at(edit, HARNESS(edit)->machine.span.start, &line);
  line.start += (uint32_t)strcspn(text, "\"");
  bench_replace(edit, line, bench_say(edit, "\"Another title, no. %u\"", bench_below(edit, 1000)));
  edit->what = "the machine's title changed";
  return true;
}

/* A lamp of 20 mA across a load that is fed through a fuse and has terminals for it. */
static bool is_tappable(const struct bench_edit *edit, pl_id device) {
  const struct pl_device *d = DEVICE(edit, device);
  return pl_kind_is(d->kind, PL_IS_LOAD) && bench_in_text(edit, d->span) && d->plus != PL_NONE &&
         d->minus != PL_NONE && d->place != PL_NONE && takes_more(edit, d->plus, 0.82) &&
         takes_more(edit, d->minus, 0.82) && bench_pin_wires(HARNESS(edit), d->plus) > 0 &&
         bench_pin_wires(HARNESS(edit), d->minus) > 0 &&
         bench_reserve(edit, device) > 0.5 * bench_rated_before(edit, device);
}
static bool indicator_added(struct bench_edit *edit) {
  pl_id load = bench_pick_device(edit, is_tappable);
  if (load == PL_NONE)
    return false;
  const struct pl_device *d = DEVICE(edit, load);
  const char *plus = HARNESS(edit)->pins.at[d->plus].full;
  const char *minus = HARNESS(edit)->pins.at[d->minus].full;
  pl_id beside = HARNESS(edit)->pins.at[d->plus].wires.at[0];
  if (!bench_wire_is_new(edit, beside))
    return false;
  bench_add_wire(edit, beside, bench_say(edit, "9916 %s Z9916.+ 18 AWG TQ/OG length 0.3 m", plus));
  bench_add_wire(edit, beside, bench_say(edit, "9917 Z9916.- %s 18 AWG BK/OG length 0.3 m", minus));
  bench_insert_before_line(
      edit,
      HARNESS(edit)->states.at[0].span.start,
      bench_say(edit,
                "lamp Z9916 at %s \"indicator\"\n  volts %g V\n  draws 20 mA\n  needs %g..%g V",
                HARNESS(edit)->places.at[d->place].name,
                HARNESS(edit)->machine.volts,
                0.4 * HARNESS(edit)->machine.volts,
                1.4 * HARNESS(edit)->machine.volts));
  edit->what = bench_say(edit, "an indicator lamp across %s", d->name);
  return true;
}

static bool other_units(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, bench_wire_is_new);
  struct pl_span span;
  if (wire == PL_NONE || !bench_wire_fact(edit, wire, "length", 3, &span))
    return false;
  double length = WIRE(edit, wire)->length;
  bench_replace(edit, span, bench_say(edit, "length %.6g cm", 100 * length));
  edit->what = bench_say(edit, "length of wire %s in cm", WIRE(edit, wire)->number);
  return true;
}

static bool note_added(struct bench_edit *edit) {
  pl_id wire = bench_pick_wire(edit, bench_wire_is_new);
  if (wire == PL_NONE || WIRE(edit, wire)->note[0] != '\0')
    return false;
  bench_wire_add_fact(edit, wire, "\"in the new sleeve\"");
  edit->what = bench_say(edit, "a note on wire %s", WIRE(edit, wire)->number);
  return true;
}

static bool state_repeated(struct bench_edit *edit) {
  const struct pl_harness *h = HARNESS(edit);
  const char *text = edit->machine->text;
  pl_id state = bench_below(edit, h->states.n);
  struct pl_span line;
  line_at(edit, h->states.at[state].span.start, &line);
  uint32_t end = line.end + 1;
  while (text[end] == ' ')
    end += (uint32_t)strcspn(text + end, "\n") + 1;
  const char *body = pl_arena_strndup(edit->arena, text + line.end, end - line.end);
  bench_insert_before_line(edit,
                           line.start,
                           bench_say(edit, "state again9918 \"The same again\"%s", body));
  edit->what = bench_say(edit, "state %s declared a second time", h->states.at[state].name);
  return true;
}

static bool load_turned(struct bench_edit *edit) {
  pl_id lamp = bench_pick_device(edit, is_lamp);
  if (lamp == PL_NONE)
    return false;
  const struct pl_device *d = DEVICE(edit, lamp);
  pl_id pins[2] = {d->plus, d->minus};
  for (int k = 0; k < 2; k++) {
    const struct pl_pin *pin = &HARNESS(edit)->pins.at[pins[k]];
    if (pin->wires.n != 1 || !bench_wire_is_new(edit, pin->wires.at[0]))
      return false;
    const struct pl_wire *w = WIRE(edit, pin->wires.at[0]);
    bench_replace(edit,
                  w->end_span[w->end[0] == pins[k] ? 0 : 1],
                  HARNESS(edit)->pins.at[pins[1 - k]].full);
  }
  edit->what = bench_say(edit, "filament lamp %s turned", d->name);
  return true;
}

static bool dos_lines(struct bench_edit *edit) {
  for (uint32_t at = 0; at < edit->machine->size; at++)
    if (edit->machine->text[at] == '\n')
      bench_replace(edit, (struct pl_span){0, at, at}, "\r");
  edit->what = "line ends of another system";
  return true;
}

const struct bench_class bench_quiet_classes[] = {
    {"thicker wire", "fits crimps, seals, covering; to 6 mm2", "", thicker_wire, true},
    {"other colour", "no other wire has it", "", other_colour, true},
    {"spare device declared", "marked spare where the language can", "", spare_device, true},
    {"second ground", "same ends, size and length, under 10 mm2", "", second_ground, true},
    {"longer loom", "loses under 0.05 % of the supply more", "", longer_loom, true},
    {"lamp of 5 W more", "all its fuses stay under 65 %", "", larger_lamp, true},
    {"device renamed", "same machine", "", renamed_device, true},
    {"wire renumbered", "same machine", "", renumbered_wire, true},
    {"rows reordered", "same machine", "", rows_reordered, true},
    {"row from its other end", "same machine", "", ends_exchanged, true},
    {"extra splice", "under 1 A, length kept", "", extra_splice, true},
    {"better terminal", "takes and bears more", "", better_terminal, true},
    {"comment lines", "same machine", "", comments_added, true},
    {"title changed", "same machine", "", title_changed, true},
    {"indicator lamp added", "20 mA across a fused load", "", indicator_added, true},
    {"other unit", "same length", "", other_units, true},
    {"note added", "same machine", "", note_added, true},
    {"state declared twice", "same machine", "", state_repeated, true},
    {"filament lamp turned", "no direction", "", load_turned, true},
    {"line ends CR LF", "same text", "", dos_lines, true},
    {NULL, NULL, NULL, NULL, false}};
