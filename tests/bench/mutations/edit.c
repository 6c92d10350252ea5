/* Edits of a text, and what is what in it. */
#include "bench.h"

#include "standard/wire.h"

/* ---- chance: Knuth's MMIX generator, upper bits ---- */

uint64_t bench_random(uint64_t *seed) {
  *seed = *seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
  return *seed >> 33;
}

uint32_t bench_below(struct bench_edit *edit, uint32_t n) {
  return n == 0 ? 0 : (uint32_t)(bench_random(edit->seed) % n);
}

static pl_id pick(struct bench_edit *edit, uint32_t n, bench_fits fits) {
  uint32_t fitting = 0;
  pl_id chosen = PL_NONE;
  for (pl_id id = 0; id < n; id++) /* each of those that fit is kept with 1/k: all alike likely */
    if (fits(edit, id) && bench_below(edit, ++fitting) == 0)
      chosen = id;
  return chosen;
}

pl_id bench_pick_wire(struct bench_edit *edit, bench_fits fits) {
  return pick(edit, edit->machine->sound.harness.wires.n, fits);
}

pl_id bench_pick_device(struct bench_edit *edit, bench_fits fits) {
  return pick(edit, edit->machine->sound.harness.devices.n, fits);
}

/* ---- changes ---- */

static int by_start(const void *a, const void *b) {
  const struct bench_change *x = a, *y = b;
  if (x->start != y->start)
    return x->start < y->start ? -1 : 1;
  return (x->end > y->end) - (x->end < y->end);
}

const char *bench_edit_apply(struct bench_edit *edit, size_t *size) {
  struct pl_buffer out;
  uint32_t at = 0;
  pl_buffer_init(&out, edit->arena);
  qsort(edit->changes.at, edit->changes.n, sizeof *edit->changes.at, by_start);
  for (uint32_t i = 0; i < edit->changes.n; i++) {
    const struct bench_change *change = &edit->changes.at[i];
    if (change->start < at)
      return NULL;
    pl_buffer_add(&out, edit->machine->text + at, change->start - at);
    pl_buffer_puts(&out, change->text);
    at = change->end;
  }
  pl_buffer_add(&out, edit->machine->text + at, edit->machine->size - at);
  *size = out.n;
  return out.at;
}

void bench_replace(struct bench_edit *edit, struct pl_span span, const char *text) {
  struct bench_change change = {span.start, span.end, text};
  PL_PUSH(edit->arena, &edit->changes, change);
}

static uint32_t line_start(const struct bench_edit *edit, uint32_t offset) {
  while (offset > 0 && edit->machine->text[offset - 1] != '\n')
    offset--;
  return offset;
}

static uint32_t next_line(const struct bench_edit *edit, uint32_t offset) {
  while (offset < edit->machine->size && edit->machine->text[offset] != '\n')
    offset++;
  return offset < edit->machine->size ? offset + 1 : offset;
}

void bench_delete_line(struct bench_edit *edit, uint32_t offset) {
  struct bench_change change = {line_start(edit, offset), next_line(edit, offset), ""};
  PL_PUSH(edit->arena, &edit->changes, change);
}

void bench_insert_after_line(struct bench_edit *edit, uint32_t offset, const char *line) {
  uint32_t at = next_line(edit, offset);
  struct bench_change change = {at, at, bench_say(edit, "%s\n", line)};
  PL_PUSH(edit->arena, &edit->changes, change);
}

void bench_insert_before_line(struct bench_edit *edit, uint32_t offset, const char *line) {
  uint32_t at = line_start(edit, offset);
  struct bench_change change = {at, at, bench_say(edit, "%s\n", line)};
  PL_PUSH(edit->arena, &edit->changes, change);
}

static bool begins_with(const char *line, const char *word) {
  size_t n = strlen(word);
  return strncmp(line, word, n) == 0 && (line[n] == ' ' || line[n] == '\n' || line[n] == '\0');
}

bool bench_described(const struct bench_edit *edit,
                     pl_id device,
                     const char *word,
                     struct pl_span *line) {
  const char *text = edit->machine->text;
  struct pl_span opening = edit->machine->sound.harness.devices.at[device].span;
  for (uint32_t at = next_line(edit, opening.start); text[at] == ' '; at = next_line(edit, at)) {
    uint32_t first = at;
    while (text[first] == ' ')
      first++;
    if (!begins_with(text + first, word))
      continue;
    *line = (struct pl_span){opening.file, first, first + (uint32_t)strcspn(text + first, "\n")};
    return true;
  }
  return false;
}

void bench_describe(struct bench_edit *edit, pl_id device, const char *word, const char *line) {
  struct pl_span span;
  if (bench_described(edit, device, word, &span)) {
    bench_replace(edit, span, line);
    return;
  }
  struct pl_span part;
  uint32_t at = edit->machine->sound.harness.devices.at[device].span.start;
  if (bench_described(edit, device, "part", &part))
    at = part.start;
  bench_insert_after_line(edit, at, bench_say(edit, "  %s", line));
}

void bench_add_wire(struct bench_edit *edit, pl_id beside, const char *row) {
  uint32_t at = edit->machine->sound.harness.wires.at[beside].span.start;
  bench_insert_after_line(edit, at, bench_say(edit, "  %s", row));
}

bool bench_wire_fact(const struct bench_edit *edit,
                     pl_id wire,
                     const char *word,
                     uint32_t words,
                     struct pl_span *span) {
  const char *text = edit->machine->text;
  struct pl_span number = edit->machine->sound.harness.wires.at[wire].span;
  for (uint32_t at = number.start; text[at] != '\n' && text[at] != '\0' && text[at] != '"'; at++) {
    if (text[at - 1] != ' ' || !begins_with(text + at, word))
      continue;
    uint32_t end = at;
    for (uint32_t k = 0; k < words; k++) {
      end += (uint32_t)strspn(text + end, " ");
      end += (uint32_t)strcspn(text + end, " \n");
    }
    *span = (struct pl_span){number.file, at, end};
    return true;
  }
  return false;
}

void bench_wire_add_fact(struct bench_edit *edit, pl_id wire, const char *fact) {
  const struct pl_wire *row = &edit->machine->sound.harness.wires.at[wire];
  uint32_t at = row->size_span.end;
  if (row->colour.base[0] != '\0') { /* facts come behind the colour */
    at += (uint32_t)strspn(edit->machine->text + at, " ");
    at += (uint32_t)strcspn(edit->machine->text + at, " \n");
  }
  struct bench_change change = {at, at, bench_say(edit, " %s", fact)};
  PL_PUSH(edit->arena, &edit->changes, change);
}

/* ---- names ---- */

static void thing(struct bench_edit *edit, const char *name) {
  PL_PUSH(edit->arena, &edit->things, name);
}

enum {
  STEP_WIRES = 4 /* a joint of more wires than this is a place, not a neighbour */
};

static bool is_joint(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_NODE) || pl_kind_is(kind, PL_IS_INLINE);
}

/* The wires at a pin, and what stands at their other ends. */
static void name_beyond(struct bench_edit *edit, pl_id pin) {
  const struct pl_harness *h = &edit->machine->sound.harness;
  const struct pl_pin *at = &h->pins.at[pin];
  if (at->wires.n > STEP_WIRES)
    return;
  for (uint32_t k = 0; k < at->wires.n; k++) {
    const struct pl_wire *wire = &h->wires.at[at->wires.at[k]];
    pl_id other = pl_wire_other_end(wire, pin);
    PL_PUSH(edit->arena, &edit->wires, wire->number);
    if (other == PL_NONE)
      continue;
    thing(edit, h->pins.at[other].full);
    thing(edit, h->devices.at[h->pins.at[other].device].name);
  }
}

void bench_name_device(struct bench_edit *edit, pl_id device) {
  thing(edit, edit->machine->sound.harness.devices.at[device].name);
}

void bench_name_pin(struct bench_edit *edit, pl_id pin) {
  const struct pl_harness *h = &edit->machine->sound.harness;
  if (pin == PL_NONE)
    return;
  const struct pl_device *device = &h->devices.at[h->pins.at[pin].device];
  thing(edit, h->pins.at[pin].full);
  thing(edit, device->name);
  if (!is_joint(device->kind))
    return;
  name_beyond(edit, pin);
  for (uint32_t k = 0; k < device->fixed.n; k++) { /* the other half of a plug */
    pl_id mate = device->fixed.at[k].a == pin   ? device->fixed.at[k].b
                 : device->fixed.at[k].b == pin ? device->fixed.at[k].a
                                                : PL_NONE;
    if (mate != PL_NONE)
      name_beyond(edit, mate);
  }
}

void bench_name_wire(struct bench_edit *edit, pl_id wire) {
  const struct pl_wire *w = &edit->machine->sound.harness.wires.at[wire];
  PL_PUSH(edit->arena, &edit->wires, w->number);
  bench_name_pin(edit, w->end[0]);
  bench_name_pin(edit, w->end[1]);
}

/* ---- what is what ---- */

const char *bench_say(struct bench_edit *edit, const char *format, ...) {
  char line[2048];
  va_list list;
  va_start(list, format);
  vsnprintf(line, sizeof line, format, list);
  va_end(list);
  return pl_arena_strdup(edit->arena, line);
}

bool bench_in_text(const struct bench_edit *edit, struct pl_span span) {
  return span.file == edit->machine->sound.harness.machine.span.file;
}

bool bench_wire_is_new(const struct bench_edit *edit, pl_id wire) {
  const struct pl_wire *w = &edit->machine->sound.harness.wires.at[wire];
  return bench_in_text(edit, w->span) && w->end[0] != PL_NONE && w->end[1] != PL_NONE &&
         w->status != PL_WIRE_DONOR_CAPPED && w->status != PL_WIRE_DONOR_REMOVED;
}

enum pl_kind bench_kind_at(const struct bench_edit *edit, pl_id wire, int end) {
  const struct pl_harness *h = &edit->machine->sound.harness;
  return h->devices.at[h->pins.at[h->wires.at[wire].end[end]].device].kind;
}

uint32_t bench_pin_wires(const struct pl_harness *harness, pl_id pin) {
  uint32_t n = 0;
  for (uint32_t k = 0; k < harness->pins.at[pin].wires.n; k++)
    n += harness->wires.at[harness->pins.at[pin].wires.at[k]].status != PL_WIRE_DONOR_REMOVED;
  return n;
}

double bench_most_amps(const struct bench_judged *judged, pl_id wire) {
  double most = 0;
  for (pl_id s = 0; s < judged->harness.states.n; s++)
    if (judged->solutions[s].status == PL_SOLVED)
      most = fmax(most, fabs(judged->solutions[s].wire_amps[wire]));
  return most;
}

/* The fuse with the least left on the way to a load, in the state where that is least. */
static double tightest(const struct bench_edit *edit, pl_id load, double *rated) {
  const struct bench_judged *sound = &edit->machine->sound;
  const struct pl_device *d = &sound->harness.devices.at[load];
  double least = NAN;
  *rated = NAN;
  for (pl_id s = 0; s < sound->harness.states.n && d->plus != PL_NONE; s++) {
    const struct pl_solution *x = &sound->solutions[s];
    uint32_t *path;
    if (x->status != PL_SOLVED || sound->harness.states.at[s].lasts < 60 ||
        x->device_amps[load] == 0)
      continue;
    uint32_t n = pl_solution_path(sound->network, x, d->plus, false, edit->arena, &path);
    for (uint32_t k = 0; k < n; k++) {
      pl_id fuse = x->elements[path[k]].device;
      if (fuse == PL_NONE || !pl_kind_is(sound->harness.devices.at[fuse].kind, PL_IS_PROTECTION))
        continue;
      double rating = sound->harness.devices.at[fuse].rating;
      if (rating > 20 * d->load_amps)
        continue; /* this load is nothing to it */
      double left = rating - fabs(x->device_amps[fuse]);
      if (isnan(least) || left / rating < least / *rated) {
        least = left;
        *rated = rating;
      }
    }
  }
  return least;
}

double bench_reserve(const struct bench_edit *edit, pl_id load) {
  double rated;
  return tightest(edit, load, &rated);
}

double bench_rated_before(const struct bench_edit *edit, pl_id load) {
  double rated;
  tightest(edit, load, &rated);
  return rated;
}

/* ---- switches ---- */

/* Joined in one position, over as many contacts as it takes. */
static bool joined(const struct pl_throw *t, pl_id a, pl_id b) {
  pl_id reached[16] = {a};
  uint32_t n = 1;
  for (uint32_t i = 0; i < n; i++) {
    if (reached[i] == b)
      return true;
    for (uint32_t k = 0; k < t->joins.n && n < 16; k++) {
      const struct pl_join *j = &t->joins.at[k];
      pl_id next = j->a == reached[i] ? j->b : j->b == reached[i] ? j->a : PL_NONE;
      bool there = next == PL_NONE;
      for (uint32_t m = 0; m < n; m++)
        there = there || reached[m] == next;
      if (!there)
        reached[n++] = next;
    }
  }
  return false;
}

static const struct pl_device *device_of(const struct pl_harness *h, pl_id pin) {
  return &h->devices.at[h->pins.at[pin].device];
}

bool bench_alike_contacts(const struct pl_harness *h, pl_id a, pl_id b) {
  const struct pl_device *d = device_of(h, a);
  for (uint32_t t = 0; t < d->throws.n; t++)
    for (pl_id c = d->first_pin; c < d->first_pin + d->pin_count; c++)
      if (c != a && c != b && joined(&d->throws.at[t], a, c) != joined(&d->throws.at[t], b, c))
        return false;
  return true;
}

bool bench_one_contact(const struct pl_harness *h, pl_id a, pl_id b) {
  const struct pl_device *d = device_of(h, a);
  for (uint32_t t = 0; t < d->throws.n; t++) {
    bool used = false;
    for (uint32_t k = 0; k < d->throws.at[t].joins.n; k++) {
      const struct pl_join *j = &d->throws.at[t].joins.at[k];
      used = used || j->a == a || j->b == a || j->a == b || j->b == b;
    }
    if (used && !joined(&d->throws.at[t], a, b))
      return false;
  }
  return true;
}

/* ---- terminals ---- */

bool bench_fits_terminals(const struct bench_edit *edit, const struct pl_wire *w, double area) {
  for (int end = 0; end < 2; end++) {
    const struct pl_terminal *t = pl_pin_terminal(&edit->machine->sound.harness, w->end[end]);
    double od = pl_wire_outside_mm(area, pl_wire_insulation(w)->wall, NULL);
    if (area > t->area_max || area < t->area_min || od > t->od_max || od < t->od_min)
      return false;
  }
  return true;
}
