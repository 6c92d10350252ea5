/* One solved state as JSON and as text in columns. */
#include "write/solution_json.h"

#include <math.h>
#include <string.h>

#include "base/json.h"
#include "base/number.h"
#include "base/utf8.h"

static const char *state_name(const struct pl_harness *harness, pl_id state) {
  if (state < harness->states.n)
    return harness->states.at[state].name;
  return "";
}

static bool can_be_on(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_COIL | PL_IS_MODULE);
}

/* ---- JSON ---- */

/* One for each line after the first: {"name": number,\n  "name": null} */
static void
put_figure(struct pl_json *json, bool first, const char *name, bool solved, const double *figure) {
  if (!first)
    pl_json_line(json, 2);
  pl_json_number(json, name, solved ? *figure : NAN);
}

void pl_solution_write_json(struct pl_buffer *out,
                            const struct pl_harness *harness,
                            const struct pl_solution *solution) {
  bool solved = solution->status == PL_SOLVED;
  struct pl_json json;

  pl_json_begin(&json, out, true);
  pl_json_object(&json, NULL);
  pl_json_text(&json, "state", state_name(harness, solution->state));
  pl_json_bool(&json, "solved", solved);
  if (!solved)
    pl_json_text(&json, "failure", solution->failure == NULL ? "" : solution->failure);
  pl_json_line(&json, 1);
  pl_json_object(&json, "volts");
  for (pl_id p = 0; p < harness->pins.n; p++)
    put_figure(&json, p == 0, harness->pins.at[p].full, solved, &solution->pin_volts[p]);
  pl_json_close(&json);
  pl_json_line(&json, 1);
  pl_json_object(&json, "amps");
  for (pl_id w = 0; w < harness->wires.n; w++)
    put_figure(&json, w == 0, harness->wires.at[w].number, solved, &solution->wire_amps[w]);
  pl_json_close(&json);
  pl_json_line(&json, 1);
  pl_json_list(&json, "on");
  for (pl_id d = 0; solved && d < harness->devices.n; d++) {
    if (!can_be_on(harness->devices.at[d].kind))
      continue;
    if (!solution->device_on[d])
      continue;
    pl_json_text(&json, NULL, harness->devices.at[d].name);
  }
  pl_json_finish(&json);
  pl_buffer_puts(out, "\n");
}

/* ---- text ---- */

static void put_blanks(struct pl_buffer *out, size_t n) {
  while (n-- > 0)
    pl_buffer_puts(out, " ");
}

/* A name set left in `width` columns, a figure set right in ten. */
static void put_line(struct pl_buffer *out,
                     const char *name,
                     size_t width,
                     const char *figure,
                     const char *unit,
                     const char *after) {
  size_t used;
  size_t digits = strlen(figure);
  pl_buffer_puts(out, "  ");
  used = pl_buffer_put_safe(out, name);
  put_blanks(out, (width > used ? width - used : 0) + (digits < 10 ? 10 - digits : 1));
  pl_buffer_printf(out, "%s%s", figure, unit);
  if (after[0] != '\0') {
    pl_buffer_puts(out, "  ");
    pl_buffer_put_safe(out, after);
  }
  pl_buffer_puts(out, "\n");
}

static void put_pins(struct pl_buffer *out,
                     const struct pl_harness *harness,
                     const struct pl_solution *solution) {
  size_t width = 0;
  for (pl_id p = 0; p < harness->pins.n; p++) {
    size_t columns = pl_buffer_put_safe(NULL, harness->pins.at[p].full);
    width = columns > width ? columns : width;
  }
  pl_buffer_puts(
      out,
      "\nVolts at the pins, black lead on the battery's earthed post, everything plugged in\n");
  for (pl_id p = 0; p < harness->pins.n; p++) {
    const struct pl_pin *pin = &harness->pins.at[p];
    char number[PL_NUMBER_SIZE];
    if (pin->wires.n == 0 && isnan(solution->pin_volts[p]))
      continue; /* an empty cavity */
    bool floats = isnan(solution->pin_volts[p]);
    put_line(out,
             pin->full,
             width,
             floats ? "open" : pl_number_fixed(number, solution->pin_volts[p], 3),
             floats ? "" : " V",
             pin->text);
  }
}

static const char *
wire_ends(const struct pl_harness *harness, struct pl_arena *arena, const struct pl_wire *wire) {
  const char *names[2];
  for (int end = 0; end < 2; end++)
    names[end] = wire->end[end] < harness->pins.n ? harness->pins.at[wire->end[end]].full : "-";
  return pl_arena_printf(arena, "%s to %s", names[0], names[1]);
}

static void put_wires(struct pl_buffer *out,
                      const struct pl_harness *harness,
                      const struct pl_solution *solution) {
  size_t width = 0;
  for (pl_id w = 0; w < harness->wires.n; w++) {
    size_t columns = pl_buffer_put_safe(NULL, harness->wires.at[w].number);
    width = columns > width ? columns : width;
  }
  pl_buffer_puts(out, "\nAmps in the wires, from the first end to the second\n");
  for (pl_id w = 0; w < harness->wires.n; w++) {
    char number[PL_NUMBER_SIZE];
    put_line(out,
             harness->wires.at[w].number,
             width,
             pl_number_fixed(number, solution->wire_amps[w], 3),
             " A",
             wire_ends(harness, out->arena, &harness->wires.at[w]));
  }
}

void pl_solution_write_table(struct pl_buffer *out,
                             const struct pl_harness *harness,
                             const struct pl_solution *solution) {
  bool any = false;
  pl_buffer_puts(out, "State ");
  pl_buffer_put_safe(out, state_name(harness, solution->state));
  if (solution->state < harness->states.n && harness->states.at[solution->state].title[0] != '\0') {
    pl_buffer_puts(out, ": ");
    pl_buffer_put_safe(out, harness->states.at[solution->state].title);
  }
  pl_buffer_puts(out, "\n");
  if (solution->status != PL_SOLVED) {
    pl_buffer_puts(out, "No solution: ");
    pl_buffer_put_safe(out, solution->failure == NULL ? "not known why" : solution->failure);
    pl_buffer_puts(out, "\n");
    return;
  }
  put_pins(out, harness, solution);
  put_wires(out, harness, solution);
  pl_buffer_puts(out, "\nOn: ");
  for (pl_id d = 0; d < harness->devices.n; d++) {
    if (!can_be_on(harness->devices.at[d].kind))
      continue;
    if (!solution->device_on[d])
      continue;
    pl_buffer_puts(out, any ? ", " : "");
    pl_buffer_put_safe(out, harness->devices.at[d].name);
    any = true;
  }
  pl_buffer_puts(out, any ? "\n" : "no relay, starter or module\n");
}
