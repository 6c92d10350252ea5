/* What stands beside a symbol: designation, purpose, the figure that says most. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "circuit/make_inner.h"
#include "draw/frame.h"
#include "draw/metrics.h"

static const char *with_unit(struct pl_paths *paths, double value, int digits, const char *unit) {
  char text[PL_NUMBER_SIZE];
  return pl_arena_printf(paths->arena, "%s %s", pl_number_print(text, value, digits), unit);
}

const char *pl_piece_ohms(struct pl_paths *paths, double ohms) {
  if (ohms >= 1000)
    return with_unit(paths, ohms / 1000, 3, "kohm");
  return with_unit(paths, ohms, 3, "ohm");
}

static const char *ohms_or_nothing(struct pl_paths *paths, double ohms) {
  if (isnan(ohms))
    return "";
  return pl_piece_ohms(paths, ohms);
}

static const char *amps_or_nothing(struct pl_paths *paths, double amps) {
  if (isnan(amps))
    return "";
  return with_unit(paths, amps, 3, "A");
}

static const char *load_text(struct pl_paths *paths, const struct pl_device *device) {
  if (isnan(device->load_amps))
    return ohms_or_nothing(paths, device->ohms);
  if (pl_kind_is(device->kind, PL_IS_LAMP) && !isnan(device->load_volts))
    return with_unit(paths, device->load_amps * device->load_volts, 3, "W");
  return with_unit(paths, device->load_amps, 3, "A");
}

/* What gives a controller its ohms; a gauge's sender shows no figure. */
bool pl_piece_is_sensor(enum pl_kind kind) {
  return pl_kind_is(kind, PL_IS_SENSING) && pl_kind_row(kind)->form == PL_FORM_BOX;
}

/* The figure that says most of a device; "" when it has none. */
static const char *value_text(struct pl_paths *paths, const struct pl_device *device) {
  pl_properties is = pl_kind_row(device->kind)->properties;
  if ((is & (PL_IS_PROTECTION | PL_IS_ONE_WAY)) != 0)
    return amps_or_nothing(paths, device->rating);
  if ((is & PL_IS_RESISTANCE) != 0 || pl_piece_is_sensor(device->kind))
    return ohms_or_nothing(paths, device->ohms);
  if ((is & PL_IS_STORE) != 0) {
    double volts;
    if (isnan(device->volts))
      volts = paths->harness->machine.volts;
    else
      volts = device->volts;
    return with_unit(paths, volts, 3, "V");
  }
  if ((is & PL_IS_GENERATOR) != 0)
    return amps_or_nothing(paths, device->speed_amps);
  if ((is & PL_IS_STARTER) != 0)
    return amps_or_nothing(paths, device->crank_amps);
  if ((is & PL_IS_LOAD) != 0)
    return load_text(paths, device);
  return "";
}

void pl_piece_add_line(struct pl_piece *piece, const char *text) {
  if (text[0] != '\0' && piece->line_count < PL_PIECE_LINES)
    piece->lines[piece->line_count++] = text;
}

void pl_piece_add_texts(struct pl_paths *paths,
                        struct pl_piece *piece,
                        double width,
                        uint32_t most,
                        bool value) {
  const struct pl_device *device = &paths->harness->devices.at[piece->device];
  pl_piece_add_line(piece, pl_text_fit(paths->arena, device->name, PL_NAME_SIZE, true, width + 6));
  const char *lines[PL_PIECE_LINES];
  uint32_t n = pl_text_wrap(paths->arena, device->text, PL_TEXT_SIZE, false, width, lines, most);
  for (uint32_t i = 0; i < n; i++)
    pl_piece_add_line(piece, lines[i]);
  if (value)
    pl_piece_add_line(piece, value_text(paths, device));
}
