#include "cli/find_names.h"

#include <string.h>

#include "base/nearest.h"
#include "base/number.h"

pl_id pl_cli_find_state(struct pl_session *session, const char *name) {
  const struct pl_harness *harness = &session->harness;
  uint32_t id;
  if (name == NULL)
    return 0;
  if (pl_table_find(&harness->state_names, name, &id))
    return id;
  for (uint32_t i = 0; i < harness->states.n;
       i++) /* the state that is there when none is declared */
    if (strcmp(harness->states.at[i].name, name) == 0)
      return i;
  struct pl_nearest nearest;
  struct pl_buffer known;
  pl_nearest_init(&nearest, name);
  pl_buffer_init(&known, session->arena);
  for (uint32_t i = 0; i < harness->states.n; i++) {
    pl_nearest_offer(&nearest, harness->states.at[i].name);
    pl_buffer_printf(&known, "%s%s", i > 0 ? ", " : "", harness->states.at[i].name);
  }
  if (nearest.best != NULL)
    pl_cli_complain(PL_EXIT_TEXT,
                    "there is no state `%s`; did you mean `%s`? (the states are: %s)",
                    name,
                    nearest.best,
                    known.at);
  else
    pl_cli_complain(PL_EXIT_TEXT, "there is no state `%s`; the states are: %s", name, known.at);
  return PL_NONE;
}

static void unknown_pin(struct pl_session *session, const char *name) {
  struct pl_nearest nearest;
  pl_id id = pl_harness_find_device(&session->harness, name);
  if (id != PL_NONE) { /* a device alone */
    const struct pl_device *device = &session->harness.devices.at[id];
    struct pl_buffer pins;
    pl_buffer_init(&pins, session->arena);
    for (uint32_t i = 0; i < device->pin_count; i++)
      pl_buffer_printf(&pins,
                       "%s%s",
                       i > 0 ? ", " : "",
                       session->harness.pins.at[device->first_pin + i].full);
    pl_cli_complain(PL_EXIT_TEXT,
                    "`%s` has several pins: which one? %s",
                    name,
                    pins.n > 0 ? pins.at : "none is described");
    return;
  }
  pl_nearest_init(&nearest, name);
  for (uint32_t i = 0; i < session->harness.pins.n; i++)
    pl_nearest_offer(&nearest, session->harness.pins.at[i].full);
  if (nearest.best != NULL)
    pl_cli_complain(PL_EXIT_TEXT, "there is no pin `%s`; did you mean `%s`?", name, nearest.best);
  else
    pl_cli_complain(PL_EXIT_TEXT,
                    "there is no pin `%s`; a pin is written DEVICE.PIN, for example F3.out",
                    name);
}

pl_id pl_cli_find_pin(struct pl_session *session, const char *name) {
  pl_id id = pl_harness_find_pin(&session->harness, name);

  if (id == PL_NONE)
    unknown_pin(session, name);
  return id;
}

void pl_cli_put_wire(struct pl_buffer *out, const struct pl_wire *wire) {
  char colour[16], metres[PL_NUMBER_SIZE];
  const char *letters = pl_colour_text(&wire->colour, colour);

  pl_buffer_printf(out,
                   "wire %s, %s%s%s, %s m",
                   wire->number,
                   wire->size,
                   letters[0] != '\0' ? " " : "",
                   letters,
                   pl_number_print(metres, wire->length, 3));
}
