/* Power distribution: what flows, from the solved states, and the few words that layout and drawing share. */
#include <math.h>

#include "base/number.h"
#include "draw/power_page.h"
#include "standard/limits_data.h"

#define NOTHING 5e-5 /* amps: less than a tenth of a milliamp, as no clamp shows it */

/* A state that sizes fuses: solved, lasting, not cranking. */
static bool lasting(const struct pl_power_book *book, pl_id s) {
  const struct pl_state *state = &book->harness->states.at[s];
  return book->solutions[s].status == PL_SOLVED && !(state->lasts < pl_limit_brief.value) &&
         state->engine != PL_ENGINE_CRANKING;
}

static double amps_into(const struct pl_power_book *book, pl_id s, const pl_ids *pins) {
  double sum = 0;
  for (uint32_t i = 0; i < pins->n; i++) {
    const struct pl_pin *pin = &book->harness->pins.at[pins->at[i]];
    for (uint32_t k = 0; k < pin->wires.n; k++) {
      const struct pl_wire *wire = &book->harness->wires.at[pin->wires.at[k]];
      double amps = book->solutions[s].wire_amps[pin->wires.at[k]];
      if (wire->end[0] != wire->end[1]) sum += wire->end[1] == pins->at[i] ? amps : -amps;
    }
  }
  return fabs(sum);
}

/* Of a fuse, or of the pins something is fed at. */
struct pl_power_worst pl_power_worst(const struct pl_power_book *book, pl_id device, const pl_ids *pins) {
  struct pl_power_worst worst = {NAN, PL_NONE};
  for (pl_id s = 0; book->solutions != NULL && s < book->harness->states.n; s++) {
    if (!lasting(book, s)) continue;
    double amps = pins != NULL ? amps_into(book, s, pins) : fabs(book->solutions[s].device_amps[device]);
    if (isnan(worst.amps)) worst.amps = 0;
    if (!(amps > worst.amps) || amps < NOTHING) continue;
    worst = (struct pl_power_worst){amps, s};
  }
  return worst;
}

const char *pl_power_figure(const struct pl_power_book *book, double value) {
  char text[PL_NUMBER_SIZE];
  if (value < 0.1) value = round(value * 1e4) / 1e4;
  return pl_arena_strdup(book->arena, pl_number_print(text, value, value < 0.1 ? 2 : 3));
}

const char *pl_power_join(const struct pl_power_book *book, const char *a, const char *between, const char *b) {
  if (a[0] == '\0' || b[0] == '\0') return a[0] == '\0' ? b : a;
  return pl_arena_printf(book->arena, "%s%s%s", a, between, b);
}

const struct pl_device *pl_power_device(const struct pl_power_book *book, uint32_t stop) {
  return &book->harness->devices.at[book->power.stops.at[stop].device];
}

bool pl_power_is_fuse(const struct pl_power_book *book, uint32_t stop) {
  return stop != 0 && pl_kind_is_protection(pl_power_device(book, stop)->kind);
}
