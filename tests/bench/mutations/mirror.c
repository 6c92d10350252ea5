/* A machine and its mirror: the other pole of the battery earthed, everything that has a direction
 * turned.  By the laws of circuits every volt then has the other sign and nothing else is new.  An
 * alternator's exciter goes to its case and a controller's pins have their poles by role:
 * alternators are left off in both, machines with controllers are left out. */
#include "bench.h"

static const char *turned(const struct pl_harness *h, pl_id pin) {
  static const char *const pairs[][2] = {{"+", "-"}, {"B+", "B-"}, {"A", "K"}, {"86", "85"}};
  const struct pl_pin *p = &h->pins.at[pin];
  const struct pl_device *d = &h->devices.at[p->device];
  bool turns = pl_kind_is(d->kind, PL_IS_SOURCE) || pl_kind_is(d->kind, PL_IS_LOAD) ||
               pl_kind_is(d->kind, PL_IS_ONE_WAY) || d->kind == PL_KIND_RELAY;
  for (size_t k = 0; turns && k < sizeof pairs / sizeof *pairs; k++)
    for (int side = 0; side < 2; side++)
      if (strcmp(p->name, pairs[k][side]) == 0)
        return pairs[k][1 - side];
  return NULL;
}

/* The name of the pin that stands in the mirror for this one. */
static const char *mirrored(struct bench_edit *edit, pl_id pin) {
  const struct pl_harness *h = &edit->machine->sound.harness;
  const char *name = turned(h, pin);
  return name == NULL ? h->pins.at[pin].full
                      : bench_say(edit, "%s.%s", h->devices.at[h->pins.at[pin].device].name, name);
}

static bool mirror_text(struct bench_edit *edit) {
  const struct pl_harness *h = &edit->machine->sound.harness;
  for (pl_id d = 0; d < h->devices.n; d++)
    if (h->devices.at[d].kind == PL_KIND_MODULE)
      return false;
  for (pl_id w = 0; w < h->wires.n; w++)
    for (int end = 0; end < 2; end++)
      if (h->wires.at[w].end[end] != PL_NONE && turned(h, h->wires.at[w].end[end]) != NULL)
        bench_replace(edit, h->wires.at[w].end_span[end], mirrored(edit, h->wires.at[w].end[end]));
  const char *earth = strstr(edit->machine->text, "\n  earth ");
  const char *now = h->machine.positive_earth ? "  earth negative" : "  earth positive";
  if (earth == NULL) {
    bench_insert_after_line(edit, h->machine.span.start, now);
    return true;
  }
  uint32_t start = (uint32_t)(earth + 1 - edit->machine->text);
  struct pl_span span = {0, start, start + (uint32_t)strcspn(earth + 1, "\n")};
  bench_replace(edit, span, now);
  return true;
}

/* The text without the wires of its alternators. */
static const char *without_alternators(struct bench_edit *edit) {
  const struct pl_harness *h = &edit->machine->sound.harness;
  size_t size;
  for (pl_id w = 0; w < h->wires.n; w++)
    for (int end = 0; end < 2; end++)
      if (h->wires.at[w].end[end] != PL_NONE &&
          pl_kind_is(bench_kind_at(edit, w, end), PL_IS_GENERATOR)) {
        bench_delete_line(edit, h->wires.at[w].span.start);
        break;
      }
  return bench_edit_apply(edit, &size);
}

static void compare_state(struct bench_edit *edit,
                          const struct bench_judged *other,
                          pl_id state,
                          struct bench_mirror *sum) {
  const struct bench_judged *sound = &edit->machine->sound;
  const struct pl_harness *h = &sound->harness;
  const struct pl_solution *x = &sound->solutions[state], *y = &other->solutions[state];
  sum->states++;
  if (x->status != y->status) {
    sum->wrong++;
    return;
  }
  for (pl_id p = 0; p < h->pins.n && x->status == PL_SOLVED; p++) {
    pl_id q = pl_harness_find_pin(&other->harness, mirrored(edit, p));
    double u = x->pin_volts[p], v = q == PL_NONE ? NAN : y->pin_volts[q];
    if (isnan(u) != isnan(v) || fabs(u + v) > 1e-4 * h->machine.volts) {
      sum->wrong++;
      snprintf(sum->first,
               sizeof sum->first,
               "%s in %s: %.4g V, in the mirror %.4g V",
               h->pins.at[p].full,
               h->states.at[state].name,
               u,
               v);
      return;
    }
  }
}

bool bench_mirror_try(const struct bench_machine *machine,
                      struct bench_mirror *sum,
                      struct pl_arena *arena) {
  struct bench_edit off = {.arena = arena, .machine = machine};
  struct bench_machine still;
  bench_machine_take(&still, machine->name, without_alternators(&off));
  struct bench_edit edit = {.arena = arena, .machine = &still};
  size_t size;
  const char *text = still.sound.read && mirror_text(&edit) ? bench_edit_apply(&edit, &size) : NULL;
  struct bench_judged other = {.read = false};
  if (text != NULL) {
    bench_judge(&other, text, size, true);
    for (pl_id s = 0; other.read && s < still.sound.harness.states.n; s++)
      compare_state(&edit, &other, s, sum);
    sum->findings = still.sound.findings.list.n;
    sum->mirrored_findings = other.findings.list.n;
    bench_judged_end(&other);
  }
  bench_machine_end(&still);
  return text != NULL && sum->states > 0;
}
