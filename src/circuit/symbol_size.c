/* Symbols of the current-path pages: the texts that stand at them and the room that they take. */
#include <math.h>
#include <string.h>

#include "circuit/refer_inner.h"
#include "circuit/symbol_inner.h"
#include "draw/frame.h"
#include "draw/metrics.h"
#include "draw/shape.h"
#include "draw/sign.h"

#define NONE UINT32_MAX

const struct pl_piece *pl_symbol_piece(const struct pl_page *page, const struct pl_part *part) {
  if (part->piece == NONE)
    return NULL;
  return &page->paths->pieces.at[part->piece];
}

enum pl_sign pl_symbol_sign(const struct pl_page *page, const struct pl_part *part) {
  const struct pl_piece *piece = pl_symbol_piece(page, part);
  if (piece == NULL || piece->device == PL_NONE)
    return PL_SIGN_SPLICE;
  return pl_kind_row(page->paths->harness->devices.at[piece->device].kind)->sign;
}

bool pl_symbol_is_relay(const struct pl_page *page, const struct pl_part *part) {
  return pl_symbol_sign(page, part) == PL_SIGN_RELAY;
}

static const char *pin_name(const struct pl_page *page, pl_id pin) {
  if (pin == PL_NONE)
    return "";
  return page->paths->harness->pins.at[pin].name;
}

const char *pl_symbol_pin_label(const struct pl_page *page, pl_id pin) {
  return pl_text_fit(page->arena, pin_name(page, pin), PL_TEXT_SIZE, true, 14);
}

double pl_symbol_lines_width(const struct pl_part *part) {
  double width = 0;
  for (uint32_t i = 0; i < part->line_count; i++)
    width =
        fmax(width, pl_text_width(part->lines[i], i == 0 ? PL_NAME_SIZE : PL_TEXT_SIZE, i == 0));
  return width;
}

double pl_symbol_lines_height(const struct pl_part *part) {
  return part->line_count * PL_LEADING;
}

double pl_symbol_rail_y(const struct pl_page *page, const char *rail) {
  for (uint32_t i = 0; i < page->rails.n; i++)
    if (strcmp(page->rails.at[i], rail) == 0)
      return page->rows[0].y1 + 2 + i * PL_SYMBOL_RAIL_PITCH;
  return page->rows[0].y1 + 2;
}

/* ---- sizes ---- */

static void widen(struct pl_page *page, uint32_t cell, double left, double right) {
  struct pl_cell *one = &page->cells.at[cell];
  one->left = fmax(one->left, left);
  one->right = fmax(one->right, right);
}

/* Pin names, and what bare pins carry above or below. */
static void measure_spots(struct pl_page *page, struct pl_part *part, bool names) {
  part->above = part->below = 0;
  for (uint32_t i = 0; i < part->tops.n + part->bottoms.n; i++) {
    const struct pl_spot *spot = pl_part_spot(page, part, i);
    if (names)
      widen(page,
            spot->cell,
            pl_text_width(pl_symbol_pin_label(page, spot->pin), PL_TEXT_SIZE, false) + 1.9,
            0);
    double need = 0;
    if (spot->edge == NONE && pl_refer_line_count(spot) > 0) {
      widen(page, spot->cell, 4.4, pl_refer_width(page, spot) - 2.4);
      need = pl_refer_height(spot) + PL_SYMBOL_STUB;
    } else if (spot->edge == NONE && spot->earthed) {
      widen(page, spot->cell, 4, 4);
      need = 4.4;
    }
    if (spot->top)
      part->above = fmax(part->above, need);
    else
      part->below = fmax(part->below, need);
  }
}

#define FUNCTION_WIDTH 17.0

uint32_t pl_symbol_function_lines(const struct pl_page *page, pl_id pin, const char **lines) {
  if (pin == PL_NONE)
    return 0;
  return pl_text_wrap(page->arena,
                      page->paths->harness->pins.at[pin].text,
                      PL_TEXT_SIZE,
                      false,
                      FUNCTION_WIDTH,
                      lines,
                      2);
}

/* Lines inside a box along one edge: the pin's name, then its function. */
uint32_t pl_symbol_side_lines(const struct pl_page *page, const uint32_t *spots, uint32_t n) {
  uint32_t most = 0;
  for (uint32_t i = 0; i < n; i++) {
    const char *lines[2];
    uint32_t count = pl_symbol_function_lines(page, page->spots.at[spots[i]].pin, lines);
    if (count + 1 > most)
      most = count + 1;
  }
  return most;
}

static void measure_box(struct pl_page *page, struct pl_part *part) {
  for (uint32_t i = 0; i < part->tops.n + part->bottoms.n; i++) {
    const struct pl_spot *spot = pl_part_spot(page, part, i);
    const char *lines[2];
    uint32_t n = pl_symbol_function_lines(page, spot->pin, lines);
    double width = pl_text_width(pl_symbol_pin_label(page, spot->pin), PL_TEXT_SIZE, true);
    for (uint32_t k = 0; k < n; k++)
      width = fmax(width, pl_text_width(lines[k], PL_TEXT_SIZE, false));
    widen(page, spot->cell, PL_SYMBOL_INSET + 1.6, width - PL_SYMBOL_INSET + 1.8);
  }
  double inner = 0;
  if (pl_sign_has_inner(pl_symbol_sign(page, part)))
    inner = 9.5;
  double band = fmax(pl_symbol_lines_height(part), inner > 0 ? 9 : 0);
  double share = (pl_symbol_lines_width(part) + inner + 4) / part->cell_count;
  for (uint32_t k = 0; k < part->cell_count; k++) {
    const struct pl_cell *cell = &page->cells.at[part->first_cell + k];
    widen(page, part->first_cell + k, 4, share - fmax(cell->left, 4));
  }
  part->height = band + 1.6 + (part->tops.n > 0 ? PL_SYMBOL_BOX_LEAD : 0) +
                 (part->bottoms.n > 0 ? PL_SYMBOL_BOX_LEAD : 0) +
                 PL_LEADING * (pl_symbol_side_lines(page, part->tops.at, part->tops.n) +
                               pl_symbol_side_lines(page, part->bottoms.at, part->bottoms.n));
}

/* A wire at the other half of a relay, which is drawn in another circuit; PL_NONE. */
pl_id pl_symbol_twin_wire(const struct pl_page *page, const struct pl_piece *piece) {
  const struct pl_harness *harness = page->paths->harness;
  const struct pl_device *device = &harness->devices.at[piece->device];
  for (pl_id pin = device->first_pin; pin < device->first_pin + device->pin_count; pin++) {
    bool coil = pin == device->coil_a || pin == device->coil_b;
    if (coil != (piece->symbol == PL_SYM_COIL) && harness->pins.at[pin].wires.n > 0)
      return harness->pins.at[pin].wires.at[0];
  }
  return PL_NONE;
}

const char *pl_symbol_twin_word(const struct pl_piece *piece) {
  return piece->symbol == PL_SYM_COIL ? "contact:" : "coil:";
}

/* Room for where the other half of a relay stands. */
uint32_t pl_symbol_twin_lines(const struct pl_page *page, const struct pl_part *part) {
  const struct pl_piece *piece = pl_symbol_piece(page, part);
  if (piece == NULL)
    return 0;
  if (!pl_symbol_is_relay(page, part))
    return 0;
  if (piece->symbol != PL_SYM_COIL && piece->symbol != PL_SYM_CONTACTS)
    return 0;
  if (piece->twin == NONE && pl_symbol_twin_wire(page, piece) != PL_NONE)
    return 2;
  return 1;
}

static double twin_width(const struct pl_page *page, const struct pl_part *part) {
  const struct pl_piece *piece = pl_symbol_piece(page, part);
  uint32_t lines = pl_symbol_twin_lines(page, part);
  if (lines == 0)
    return 0;
  if (lines == 2)
    return pl_refer_plain_width(page, pl_symbol_twin_wire(page, piece), pl_symbol_twin_word(piece));
  return pl_text_width("contact: " PL_PLACE_TEXT, PL_TEXT_SIZE, false);
}

/* One contact: its texts stand beside it, else above the bar. */
bool pl_symbol_is_beside(const struct pl_piece *piece) {
  return piece->symbol == PL_SYM_CONTACTS && piece->contacts.n == 1;
}

const char *pl_symbol_position_words(const struct pl_page *page, const struct pl_piece *piece) {
  if (piece->contacts.at[0].label[0] == '\0')
    return "";
  return pl_text_fit(page->arena,
                     pl_arena_printf(page->arena, "closed in: %s", piece->contacts.at[0].label),
                     PL_TEXT_SIZE,
                     false,
                     26);
}

const char *pl_symbol_feeder_word(const struct pl_part *part) {
  return part->symbol == PL_SYM_RAIL ? "from" : "to";
}

void pl_symbol_measure(struct pl_page *page, uint32_t id) {
  struct pl_part *part = &page->parts.at[id];
  const struct pl_piece *piece = pl_symbol_piece(page, part);
  double text = pl_symbol_lines_width(part);
  double high = pl_symbol_lines_height(part) + pl_symbol_twin_lines(page, part) * PL_LEADING;
  text = fmax(text, twin_width(page, part));
  if (part->feeder != PL_NONE) {
    text = fmax(text, pl_refer_plain_width(page, part->feeder, pl_symbol_feeder_word(part)));
    high += 2 * PL_LEADING;
  }
  bool names = part->symbol != PL_SYM_BAR && piece != NULL && part->symbol != PL_SYM_AIR &&
               part->symbol != PL_SYM_BOX;
  measure_spots(page, part, names);
  switch (part->symbol) {
    case PL_SYM_RAIL:
      part->height = 2 + page->rails.n * PL_SYMBOL_RAIL_PITCH - PL_SYMBOL_RAIL_PITCH + 1 + high;
      widen(page, part->first_cell, 2, text + 2.4);
      break;
    case PL_SYM_EARTH:
      part->height = high + 0.6 + 4.2;
      widen(page, part->first_cell, 3.4, fmax(text + 2.4, 3.4));
      break;
    case PL_SYM_AIR:
      part->height = 3.6;
      widen(page, part->first_cell, 2.4, text + 4.4);
      break;
    case PL_SYM_REFERENCE: {
      const struct pl_spot *spot = pl_part_spot(page, part, 0);
      part->height = pl_refer_height(spot);
      part->above = part->below = 0;
      widen(page, part->first_cell, 4.4, pl_refer_width(page, spot) - 2.4);
      break;
    }
    case PL_SYM_BAR:
      part->height = high + 1.2 + 3.2;
      widen(page, part->first_cell, 2.4, text + 3.0);
      break;
    case PL_SYM_TWO:
    case PL_SYM_COIL:
      part->height = fmax(PL_SYMBOL_LEAD * 2 + (part->symbol == PL_SYM_COIL ? 6 : 9), high + 0.6);
      widen(page, part->first_cell, 5.4, 5.6 + text + 1.4);
      break;
    case PL_SYM_CAVITY:
      part->height = fmax(PL_SYMBOL_LEAD * 2 + 5, high + 0.6);
      widen(page, part->first_cell, 3.4, 4 + text + 1.4);
      break;
    case PL_SYM_CONTACTS:
      if (pl_symbol_is_beside(piece)) {
        bool label = piece->contacts.at[0].label[0] != '\0';
        part->height = fmax(PL_SYMBOL_LEAD * 2 + PL_CONTACT, high + (label ? PL_LEADING : 0) + 0.6);
        widen(page,
              part->first_cell,
              6.4,
              3.4 +
                  fmax(text,
                       pl_text_width(pl_symbol_position_words(page, piece), PL_TEXT_SIZE, false)) +
                  1.4);
        break;
      }
      part->height = PL_SYMBOL_LEAD * 2 + fmax(high - 1.6, 0) + 0.8 + PL_CONTACT;
      widen(page, part->first_cell, 6.4, 1.6 + text + 1.4);
      for (uint32_t i = 0; i < piece->contacts.n;
           i++) /* any of them may come to stand in any cell */
        for (uint32_t k = 0; k < part->cell_count; k++)
          widen(page,
                part->first_cell + k,
                4.4,
                2.6 + pl_text_width(piece->contacts.at[i].label, PL_TEXT_SIZE, false));
      break;
    case PL_SYM_BOX:
      measure_box(page, part);
      break;
  }
}
