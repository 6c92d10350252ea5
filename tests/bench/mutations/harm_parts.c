/* Harm done to parts: fuses, suppression, volts, loads. */
#include "bench.h"

#define HARNESS(edit) (&(edit)->machine->sound.harness)
#define DEVICE(edit, id) (&HARNESS(edit)->devices.at[id])

static bool is_fuse(const struct bench_edit *edit, pl_id device) {
  return pl_kind_is(DEVICE(edit, device)->kind, PL_IS_PROTECTION) &&
         bench_in_text(edit, DEVICE(edit, device)->span) && DEVICE(edit, device)->rating > 0;
}

#define LEAD 0.178 /* metres: a shorter lead needs no fuse of its own, 33 CFR 183.455(b) */

/* The least that any wire on the load's side of the fuse bears by the published table. */
static double least_behind(const struct bench_edit *edit, pl_id fuse) {
  const struct pl_harness *h = HARNESS(edit);
  const struct pl_device *d = DEVICE(edit, fuse);
  double least = INFINITY;
  for (pl_id w = 0; w < h->wires.n; w++) {
    const struct pl_wire *wire = &h->wires.at[w];
    if (wire->end[0] == PL_NONE || wire->end[1] == PL_NONE || wire->length <= LEAD)
      continue;
    for (pl_id p = d->first_pin; p < d->first_pin + d->pin_count; p++)
      if (strcmp(h->pins.at[p].name, "out") == 0 &&
          edit->machine->copper[p] == edit->machine->copper[wire->end[0]])
        least = fmin(least, bench_table_amps(wire, wire->area));
  }
  return least;
}

static bool fuse_larger(struct bench_edit *edit) {
  pl_id fuse = bench_pick_device(edit, is_fuse);
  if (fuse == PL_NONE)
    return false;
  double rating = DEVICE(edit, fuse)->rating, larger = rating * (bench_below(edit, 2) ? 2 : 4);
  bench_describe(edit, fuse, "rating", bench_say(edit, "rating %g A", larger));
  bench_name_device(edit, fuse);
  edit->what = bench_say(edit,
                         "fuse %s of %g A instead of %g A",
                         DEVICE(edit, fuse)->name,
                         2 * rating,
                         rating);
  double least = least_behind(edit, fuse);
  for (pl_id p = DEVICE(edit, fuse)->first_pin; p < DEVICE(edit, fuse)->first_pin + 2; p++)
    for (uint32_t k = 0; k < HARNESS(edit)->pins.at[p].wires.n; k++)
      bench_name_wire(edit, HARNESS(edit)->pins.at[p].wires.at[k]);
  if (1.5 * least >= larger) /* 33 CFR 183.455(c)(1) */
    edit->spared = "every wire behind it may be behind that fuse by 33 CFR 183.455(c)(1)";
  return true;
}

/* Largest ratings sold: mini blade 30 A, blade 40 A (ISO 8820-3 series, second hand). */
static bool is_large_fuse(const struct bench_edit *edit, pl_id device) {
  return is_fuse(edit, device) && DEVICE(edit, device)->kind == PL_KIND_FUSE &&
         DEVICE(edit, device)->rating > 40;
}
static bool wrong_family(struct bench_edit *edit) {
  pl_id fuse = bench_pick_device(edit, is_large_fuse);
  if (fuse == PL_NONE)
    return false;
  bench_describe(edit, fuse, "family", bench_below(edit, 2) ? "family blade" : "family mini blade");
  bench_name_device(edit, fuse);
  edit->what = bench_say(edit,
                         "fuse %s of %g A said to be of a blade family, sold to 40 A",
                         DEVICE(edit, fuse)->name,
                         DEVICE(edit, fuse)->rating);
  return true;
}

static bool on_output(const struct bench_edit *edit, pl_id pin) {
  const struct pl_harness *h = HARNESS(edit);
  if (pin == PL_NONE)
    return false;
  for (pl_id p = 0; p < h->pins.n; p++)
    if ((h->pins.at[p].role == PL_ROLE_HIGH_SIDE || h->pins.at[p].role == PL_ROLE_LOW_SIDE) &&
        edit->machine->copper[p] == edit->machine->copper[pin])
      return true;
  return false;
}
static bool is_driven_relay(const struct bench_edit *edit, pl_id device) {
  const struct pl_device *d = DEVICE(edit, device);
  return d->kind == PL_KIND_RELAY && bench_in_text(edit, d->span) &&
         (on_output(edit, d->coil_a) || on_output(edit, d->coil_b));
}
static bool suppression_off(struct bench_edit *edit) {
  pl_id relay = bench_pick_device(edit, is_driven_relay);
  if (relay == PL_NONE)
    return false;
  bench_describe(edit, relay, "suppression", "suppression none");
  bench_name_device(edit, relay);
  edit->what = bench_say(edit, "suppression of relay %s left out", DEVICE(edit, relay)->name);
  return true;
}

/* "part mini relay 12 V" -> "part mini relay 24 V", where such a part is shipped. */
static const char *other_volts(struct bench_edit *edit, const char *part) {
  struct pl_part_entry *entries;
  uint32_t n;
  const char *at = strstr(part, "12 V"), *to = "24 V";
  if (at == NULL) {
    at = strstr(part, "24 V");
    to = "12 V";
  }
  if (at == NULL)
    return NULL;
  pl_build_list_parts(edit->arena, &entries, &n);
  for (uint32_t i = 0; i < n; i++) { /* its amps may differ, its name up to the volts may not */
    size_t head = (size_t)(at - part);
    const char *volts = strstr(entries[i].name, to);
    if (volts != NULL && (size_t)(volts - entries[i].name) == head &&
        strncmp(entries[i].name, part, head) == 0)
      return entries[i].name;
  }
  return NULL;
}

static bool is_user(const struct bench_edit *edit, pl_id device) {
  const struct pl_device *d = DEVICE(edit, device);
  return bench_in_text(edit, d->span) && d->part[0] != '\0' &&
         (pl_kind_is(d->kind, PL_IS_USER) || pl_kind_is(d->kind, PL_IS_GAUGE) ||
          pl_kind_is(d->kind, PL_IS_GENERATOR));
}
static bool wrong_volts(struct bench_edit *edit) {
  pl_id device = bench_pick_device(edit, is_user);
  struct pl_span line;
  if (device == PL_NONE || !bench_described(edit, device, "part", &line))
    return false;
  const char *part = other_volts(edit, DEVICE(edit, device)->part);
  if (part == NULL)
    return false;
  bench_replace(edit, line, bench_say(edit, "part %s", part));
  bench_name_device(edit, device);
  edit->what = bench_say(edit,
                         "%s is a \"%s\" instead of a \"%s\"",
                         DEVICE(edit, device)->name,
                         part,
                         DEVICE(edit, device)->part);
  return true;
}

/* A load that takes three times as much, where its fuse cannot bear that. */
static bool is_fused_load(const struct bench_edit *edit, pl_id device) {
  const struct pl_device *d = DEVICE(edit, device);
  return bench_in_text(edit, d->span) && pl_kind_is(d->kind, PL_IS_LOAD) && d->load_amps > 1;
}
static bool load_larger(struct bench_edit *edit) {
  pl_id device = bench_pick_device(edit, is_fused_load);
  if (device == PL_NONE)
    return false;
  const struct pl_device *d = DEVICE(edit, device);
  struct pl_span plain;
  bool ohmic = bench_described(edit, device, "resistance", &plain);
  if (ohmic)
    return false;
  bench_describe(edit,
                 device,
                 "draws",
                 bench_say(edit, "draws %g A at %g V", 4 * d->load_amps, d->load_volts));
  bench_name_device(edit, device);
  for (pl_id p = d->first_pin; p < d->first_pin + d->pin_count; p++)
    for (uint32_t k = 0; k < HARNESS(edit)->pins.at[p].wires.n; k++)
      bench_name_wire(edit, HARNESS(edit)->pins.at[p].wires.at[k]);
  edit->what =
      bench_say(edit, "%s draws %g A instead of %g A", d->name, 4 * d->load_amps, d->load_amps);
  double reserve = bench_reserve(edit, device);
  if (!(reserve < 3 * d->load_amps))
    edit->spared = "no fuse of it is passed in a lasting state by its new amps";
  return true;
}

const struct bench_class bench_part_classes[] = {
    {"fuse twice or four times as large",
     "the wires behind it burn before it opens",
     "every wire behind it may be behind that fuse, 33 CFR 183.455(c)(1)",
     fuse_larger,
     false},
    {"fuse of a wrong family", "not sold, and cannot break a short", "", wrong_family, false},
    {"suppression off", "the coil's kick kills the output", "", suppression_off, false},
    {"12 V part in 24 V or other way", "burns, or is too weak", "", wrong_volts, false},
    {"load four times as large",
     "its fuse opens",
     "no fuse is passed in a lasting state",
     load_larger,
     false},
    {NULL, NULL, NULL, NULL, false}};
