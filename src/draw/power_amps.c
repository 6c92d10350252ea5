/* Power distribution: what flows, from the solved states, and the few words that layout and drawing
 * share. */
#include <math.h>

#include "base/number.h"
#include "draw/power_page_inner.h"
#include "standard/limits_data.h"

#define NOTHING 5e-5 /* amps: less than a tenth of a milliamp, as no clamp shows it */

/* A state that sizes fuses: solved, lasting, not cranking. */
static bool lasting(const struct pl_power_book *book, pl_id s) {
  const struct pl_state *state = &book->harness->states.at[s];
  if (book->solutions[s].status != PL_SOLVED)
    return false;
  if (state->lasts < pl_limit_brief.value)
    return false;
  return state->engine != PL_ENGINE_CRANKING;
}

static double amps_into(const struct pl_power_book *book, pl_id s, const pl_ids *pins) {
  double sum = 0;
  for (uint32_t i = 0; i < pins->n; i++) {
    const struct pl_pin *pin = &book->harness->pins.at[pins->at[i]];
    for (uint32_t k = 0; k < pin->wires.n; k++) {
      const struct pl_wire *wire = &book->harness->wires.at[pin->wires.at[k]];
      double amps = book->solutions[s].wire_amps[pin->wires.at[k]];
      if (wire->end[0] != wire->end[1])
        sum += wire->end[1] == pins->at[i] ? amps : -amps;
    }
  }
  return fabs(sum);
}

/* Of a fuse, or of the pins something is fed at. */
struct pl_power_worst
pl_power_worst(const struct pl_power_book *book, pl_id device, const pl_ids *pins) {
  struct pl_power_worst worst = {NAN, PL_NONE};
  for (pl_id s = 0; book->solutions != NULL && s < book->harness->states.n; s++) {
    if (!lasting(book, s))
      continue;
    double amps;
    if (pins != NULL)
      amps = amps_into(book, s, pins);
    else
      amps = fabs(book->solutions[s].device_amps[device]);
    if (isnan(worst.amps))
      worst.amps = 0;
    if (!(amps > worst.amps))
      continue;
    if (amps < NOTHING)
      continue;
    worst = (struct pl_power_worst){amps, s};
  }
  return worst;
}

/* ---- drops ---- */

/* Through another load (a lamp in a coil's lead) the wiring alone is not to blame. */
static bool passes_a_load(const struct pl_power_book *book,
                          const struct pl_solution *solution,
                          pl_id pin,
                          bool minus) {
  uint32_t *path = NULL;
  uint32_t n = pl_solution_path(book->network, solution, pin, minus, book->arena, &path);
  for (uint32_t i = 0; i < n; i++) {
    enum pl_element_kind kind = solution->elements[path[i]].kind;
    if (kind == PL_ELEMENT_RESISTANCE || kind == PL_ELEMENT_CURRENT)
      return true;
  }
  return false;
}

/* NAN unless it is on as far as the harness is concerned: a tenth of its volts. */
static double
drop_in(const struct pl_power_book *book, pl_id s, pl_id plus, pl_id minus, double volts) {
  const struct pl_solution *solution = &book->solutions[s];
  if (!(fabs(solution->pin_volts[plus] - solution->pin_volts[minus]) >= 0.1 * volts))
    return NAN;
  if (passes_a_load(book, solution, plus, false))
    return NAN;
  if (passes_a_load(book, solution, minus, true))
    return NAN;
  return pl_solution_drop(book->network, solution, plus, minus) / volts;
}

static double drop_of(const struct pl_power_book *book, pl_id d) {
  const struct pl_harness *h = book->harness;
  const struct pl_device *device = &h->devices.at[d];
  double volts = device->volts > 0 ? device->volts : h->machine.volts;
  double worst = NAN;
  pl_id minus = pl_device_return(h, d);
  bool module = pl_kind_is(device->kind, PL_IS_MODULE);
  if (minus == PL_NONE)
    return NAN;
  if (!(module || pl_kind_is_load(device->kind)))
    return NAN;
  for (uint32_t i = 0; i < device->pin_count; i++) {
    pl_id plus = device->first_pin + i;
    if (module ? h->pins.at[plus].role != PL_ROLE_BATTERY_FEED : plus != device->plus)
      continue;
    for (pl_id s = 0; s < h->states.n; s++)
      if (lasting(book, s))
        worst = fmax(worst, drop_in(book, s, plus, minus, volts)); /* fmax leaves out what is NAN */
  }
  return worst;
}

void pl_power_find_drops(struct pl_power_book *book) {
  uint32_t stops = book->power.stops.n;
  book->drop = PL_NEW_ARRAY(book->arena, double, (size_t)book->harness->devices.n + 1);
  book->worst_drop = PL_NEW_ARRAY(book->arena, double, stops);
  for (pl_id d = 0; d < book->harness->devices.n; d++)
    book->drop[d] = book->solutions == NULL ? NAN : drop_of(book, d);
  for (uint32_t s = 0; s < stops; s++)
    book->worst_drop[s] = NAN;
  for (uint32_t s = 0; s < stops; s++) {
    const struct pl_stop *stop = &book->power.stops.at[s];
    double own = NAN;
    for (uint32_t i = 0; i < stop->fed.n; i++)
      own = fmax(own, book->drop[stop->fed.at[i].device]);
    uint32_t up = s;
    for (uint32_t hops = 0; up != UINT32_MAX && hops < 64;
         hops++, up = book->power.stops.at[up].parent)
      book->worst_drop[up] = fmax(book->worst_drop[up], own);
  }
}

const char *pl_power_drop_text(const struct pl_power_book *book, double share) {
  char text[PL_NUMBER_SIZE];
  return pl_arena_printf(book->arena, "%s %%", pl_number_fixed(text, 100 * share, 1));
}

const char *pl_power_figure(const struct pl_power_book *book, double value) {
  char text[PL_NUMBER_SIZE];
  if (value < 0.1)
    value = round(value * 1e4) / 1e4;
  return pl_arena_strdup(book->arena, pl_number_print(text, value, value < 0.1 ? 2 : 3));
}

const char *
pl_power_join(const struct pl_power_book *book, const char *a, const char *between, const char *b) {
  if (a[0] == '\0' || b[0] == '\0')
    return a[0] == '\0' ? b : a;
  return pl_arena_printf(book->arena, "%s%s%s", a, between, b);
}

const struct pl_device *pl_power_device(const struct pl_power_book *book, uint32_t stop) {
  return &book->harness->devices.at[book->power.stops.at[stop].device];
}

bool pl_power_is_fuse(const struct pl_power_book *book, uint32_t stop) {
  return stop != 0 && pl_kind_is_protection(pl_power_device(book, stop)->kind);
}
