/* The fault table against brute force: every wire taken out of the text, every device with all its
 * wires, solved in full, and what then stops looked for in what `pinloom faults` says. */
#include "bench.h"

#include "prove/prove.h"

struct search {
  const struct bench_machine *machine;
  const pl_effects *effects;
  struct bench_brute *sum;
  struct pl_arena *arena;
  bool misses;
};

/* What a thing does in a solved state: the amps of loads and sources, on or off of the rest. */
static double does(const struct bench_judged *judged, pl_id state, pl_id device) {
  const struct pl_solution *x = &judged->solutions[state];
  enum pl_kind kind = judged->harness.devices.at[device].kind;
  if (pl_kind_is(kind, PL_IS_LOAD) || pl_kind_is(kind, PL_IS_STARTER) ||
      pl_kind_is(kind, PL_IS_GENERATOR))
    return fabs(x->device_amps[device]);
  return pl_kind_is(kind, PL_IS_RELAY) || pl_kind_is(kind, PL_IS_MODULE) ? x->device_on[device] : 0;
}

/* Under a quarter of what it did; a current under a tenth of an ampere is no work of a source. */
static bool stops(const struct search *search, const struct bench_judged *after, pl_id s, pl_id d) {
  const struct bench_judged *sound = &search->machine->sound;
  bool source = pl_kind_is(sound->harness.devices.at[d].kind, PL_IS_GENERATOR);
  double before = does(sound, s, d);
  pl_id same = pl_harness_find_device(&after->harness, sound->harness.devices.at[d].name);
  return before > (source ? 0.1 : 0.005) && same != PL_NONE && does(after, s, same) < 0.25 * before;
}

static bool lists(const char *list, const char *name) {
  size_t n = strlen(name);
  for (const char *at = strstr(list, name); at != NULL; at = strstr(at + 1, name))
    if ((at == list || at[-1] == ' ') && (at[n] == '\0' || at[n] == ',' || at[n] == ' '))
      return true;
  return false;
}

static bool
is_of(const struct search *search, const struct pl_fault *fault, pl_id wire, pl_id device) {
  if (wire != PL_NONE)
    return fault->kind == PL_FAULT_OPEN && fault->wire == wire;
  bool its = fault->device == device ||
             (fault->pin_a != PL_NONE &&
              search->machine->sound.harness.pins.at[fault->pin_a].device == device);
  return its && fault->wire == PL_NONE &&
         (fault->kind == PL_FAULT_OPEN || fault->kind == PL_FAULT_DEAD ||
          fault->kind == PL_FAULT_STUCK_OUT || fault->kind == PL_FAULT_UNPLUGGED);
}

static bool is_said(const struct search *search, pl_id wire, pl_id device, pl_id state, pl_id d) {
  const char *name = search->machine->sound.harness.devices.at[d].name;
  for (uint32_t i = 0; i < search->effects->n; i++) {
    const struct pl_effect *e = &search->effects->at[i];
    if (e->state == state && is_of(search, &e->fault, wire, device) && lists(e->stops, name))
      return true;
  }
  return false;
}

static void
compare(const struct search *search, const struct bench_judged *after, pl_id wire, pl_id device) {
  const struct bench_judged *sound = &search->machine->sound;
  search->sum->tried++;
  for (pl_id s = 0; s < sound->harness.states.n; s++) {
    if (sound->solutions[s].status != PL_SOLVED || after->solutions[s].status != PL_SOLVED) {
      search->sum->unsolved++;
      continue;
    }
    for (pl_id d = 0; d < sound->harness.devices.n; d++) {
      if (d == device || !stops(search, after, s, d))
        continue;
      search->sum->stopped++;
      if (is_said(search, wire, device, s, d))
        continue;
      search->sum->missing++;
      if (search->misses)
        printf("  %s, faults: %s %s stops %s in %s; the table does not say so\n",
               search->machine->name,
               wire != PL_NONE ? "wire" : "device",
               wire != PL_NONE ? sound->harness.wires.at[wire].number
                               : sound->harness.devices.at[device].name,
               sound->harness.devices.at[d].name,
               sound->harness.states.at[s].name);
    }
  }
}

/* Takes a wire out, or all wires of a device. */
static void try_without(const struct search *search, pl_id wire, pl_id device) {
  const struct pl_harness *h = &search->machine->sound.harness;
  struct bench_edit edit = {.arena = search->arena, .machine = search->machine};
  for (pl_id w = 0; w < h->wires.n; w++) {
    bool its = w == wire;
    for (int end = 0; end < 2 && device != PL_NONE; end++)
      its = its || (h->wires.at[w].end[end] != PL_NONE &&
                    h->pins.at[h->wires.at[w].end[end]].device == device);
    if (its && bench_wire_is_new(&edit, w))
      bench_delete_line(&edit, h->wires.at[w].span.start);
  }
  size_t size;
  const char *text = edit.changes.n == 0 ? NULL : bench_edit_apply(&edit, &size);
  struct bench_judged after;
  if (text == NULL)
    return;
  bench_judge(&after, text, size, false);
  if (after.read)
    compare(search, &after, wire, device);
  bench_judged_end(&after);
}

/* Taken out with all its wires it is as if dead inside, but where it joins two wires on a pin. */
static bool can_be_dead(const struct pl_harness *h, pl_id device) {
  enum pl_kind kind = h->devices.at[device].kind;
  const struct pl_device *d = &h->devices.at[device];
  for (pl_id p = d->first_pin; p < d->first_pin + d->pin_count; p++)
    if (bench_pin_wires(h, p) > 1)
      return false;
  return pl_kind_is(kind, PL_IS_PROTECTION) || pl_kind_is(kind, PL_IS_USER) ||
         pl_kind_is(kind, PL_IS_GENERATOR) || pl_kind_is(kind, PL_IS_ONE_WAY) ||
         pl_kind_is(kind, PL_IS_RESISTANCE) || pl_kind_is(kind, PL_IS_INLINE) ||
         pl_kind_is(kind, PL_IS_BOND);
}

void bench_brute(const struct bench_machine *machine,
                 bool misses,
                 struct bench_brute *sum,
                 struct pl_arena *arena) {
  const struct bench_judged *sound = &machine->sound;
  struct pl_proof *proof = pl_proof_new(&sound->harness, sound->network, sound->solutions, arena);
  pl_effects effects = {NULL, 0, 0};
  pl_prove_effects(proof, &effects);
  struct search search = {machine, &effects, sum, arena, misses};
  struct bench_edit whole = {.machine = machine};
  for (pl_id w = 0; w < sound->harness.wires.n; w++)
    if (bench_wire_is_new(&whole, w))
      try_without(&search, w, PL_NONE);
  for (pl_id d = 0; d < sound->harness.devices.n; d++)
    if (can_be_dead(&sound->harness, d))
      try_without(&search, PL_NONE, d);
}
