/* `pinloom trace`: every way that conducts between two pins, with the drop of each piece. */
#include <math.h>

#include "base/number.h"
#include "cli/find_names.h"
#include "cli/pin.h"
#include "probe/probe.h"
#include "probe/ways_between.h"

static const char *pin_name(const struct pl_harness *harness, pl_id pin) {
  if (pin < harness->pins.n)
    return harness->pins.at[pin].full;
  return "inside";
}

/* Drops of wires and contacts are small: millivolts below one volt. */
static const char *drop_words(struct pl_arena *arena, double volts) {
  char number[PL_NUMBER_SIZE];

  if (isnan(volts))
    return "not known";
  if (fabs(volts) < 0.9995)
    return pl_arena_printf(arena,
                           "%s mV",
                           pl_number_fixed(number, 1000 * volts, fabs(volts) < 0.00995 ? 1 : 0));
  return pl_arena_printf(arena, "%s V", pl_number_fixed(number, volts, 2));
}

static void put_step(struct pl_buffer *out,
                     struct pl_session *session,
                     const struct pl_solution *solution,
                     struct pl_path_step step) {
  const struct pl_harness *harness = &session->harness;
  const struct pl_element *e = &solution->elements[step.element];
  char number[PL_NUMBER_SIZE];
  double amps = step.reversed ? -e->amps : e->amps;

  pl_buffer_puts(out, "    ");
  if (e->wire != PL_NONE)
    pl_cli_put_wire(out, &harness->wires.at[e->wire]);
  else if (e->device != PL_NONE)
    pl_buffer_printf(out,
                     "%s %s (%s)",
                     pl_kind_name(harness->devices.at[e->device].kind),
                     harness->devices.at[e->device].name,
                     e->what);
  pl_buffer_printf(out,
                   ", to %s: %s at %s A\n",
                   pin_name(harness, step.reversed ? e->pin_a : e->pin_b),
                   drop_words(session->arena, pl_probe_step_drop(solution, step)),
                   pl_number_print(number, fabs(amps) < 1e-6 ? 0 : amps, 3));
}

static void put_path(struct pl_buffer *out,
                     struct pl_session *session,
                     const struct pl_solution *solution,
                     const struct pl_path *path,
                     uint32_t number) {
  double sum = 0;

  pl_buffer_printf(out, "\nWay %u\n", number);
  for (uint32_t i = 0; i < path->steps.n; i++) {
    put_step(out, session, solution, path->steps.at[i]);
    sum += pl_probe_step_drop(solution, path->steps.at[i]);
  }
  pl_buffer_printf(out, "    in all %s\n", drop_words(session->arena, sum));
}

static void put_paths(struct pl_buffer *out,
                      struct pl_session *session,
                      const struct pl_solution *solution,
                      const struct pl_paths *paths) {
  if (paths->list.n == 0 && !paths->more) {
    pl_buffer_puts(out,
                   "\nNothing that conducts joins them in this state, not even through one load "
                   "(ways through the chassis or a source do not count).\n");
    return;
  }
  if (paths->through_loads)
    pl_buffer_puts(out,
                   "\nNo wires, fuses and closed contacts alone join them; these ways go through "
                   "one load, coil, sensor or module.\n");
  for (uint32_t i = 0; i < paths->list.n; i++)
    put_path(out, session, solution, &paths->list.at[i], i + 1);
  if (paths->more)
    pl_buffer_printf(out,
                     "\nThere may be more ways: the search ends after %d ways or %d steps.\n",
                     PL_PATHS_MOST,
                     PL_PATHS_STEPS);
}

int pl_run_trace(struct pl_session *session, const struct pl_options *options) {
  struct pl_buffer out;
  struct pl_paths paths;
  pl_id from = pl_cli_find_pin(session, options->arguments[1]);
  pl_id to = PL_NONE;
  if (from != PL_NONE)
    to = pl_cli_find_pin(session, options->arguments[2]);
  pl_id state = PL_NONE;
  if (to != PL_NONE)
    state = pl_cli_find_state(session, options->state);

  if (from == PL_NONE || to == PL_NONE)
    return PL_EXIT_TEXT;
  if (state == PL_NONE)
    return PL_EXIT_TEXT;
  if (from == to)
    return pl_cli_complain(PL_EXIT_TEXT,
                           "`%s` twice: a way has two ends; name another pin",
                           options->arguments[1]);
  const struct pl_solution *solution = &session->solutions[state];
  if (solution->status != PL_SOLVED)
    return pl_cli_complain(PL_EXIT_FINDINGS,
                           "state %s has no solution: %s",
                           session->harness.states.at[state].name,
                           solution->failure);
  pl_buffer_init(&out, session->arena);
  pl_probe_paths(&session->harness, session->network, solution, from, to, session->arena, &paths);
  pl_buffer_printf(&out,
                   "%s (%s) to %s (%s), state %s\n",
                   pin_name(&session->harness, from),
                   pl_probe_reading(solution, from, session->arena),
                   pin_name(&session->harness, to),
                   pl_probe_reading(solution, to, session->arena),
                   session->harness.states.at[state].name);
  put_paths(&out, session, solution, &paths);
  return pl_cli_print(out.at, out.n, PL_EXIT_FINE);
}
