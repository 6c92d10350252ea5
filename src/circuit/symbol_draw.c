/* Symbols of the current-path pages: plain geometry with the meaning that IEC 60617 gives them
 * (common practice; own drawings).  Contacts stand at rest.  Two-terminal symbols stand upright. */
#include <math.h>

#include "circuit/refer_inner.h"
#include "circuit/symbol_inner.h"
#include "draw/file_names.h"
#include "draw/frame.h"
#include "draw/shape.h"
#include "draw/sign.h"

#define NONE UINT32_MAX

/* ---- details ---- */

static void draw_lines(struct pl_scene *scene, const struct pl_part *part, double x, double y) {
  for (uint32_t i = 0; i < part->line_count; i++) {
    double base = y + i * PL_LEADING + 2.4;
    if (i == 0)
      pl_scene_bold(scene, x, base, PL_NAME_SIZE, PL_ANCHOR_START, part->lines[i]);
    else
      pl_scene_text(scene, x, base, PL_TEXT_SIZE, PL_ANCHOR_START, part->lines[i]);
  }
}

static void line(struct pl_scene *scene, double x, double y, double x2, double y2) {
  pl_scene_line(scene, PL_STROKE_NORMAL, x, y, x2, y2);
}

static void draw_dot(struct pl_scene *scene, double x, double y) {
  pl_scene_circle(scene, PL_STROKE_THIN, PL_FILL_INK, x, y, 0.9);
}

/* Names beside the leads, references at bare pins, and the bar that joins several wires at one pin.
 */
static void draw_spots(const struct pl_page *page,
                       const struct pl_part *part,
                       bool names,
                       struct pl_scene *scene) {
  for (int side = 0; side < 2; side++) {
    uint32_t n = side == 0 ? part->tops.n : part->bottoms.n;
    const uint32_t *spots = side == 0 ? part->tops.at : part->bottoms.at;
    for (uint32_t i = 0; i < n; i++) {
      const struct pl_spot *spot = &page->spots.at[spots[i]];
      bool again = i > 0 && page->spots.at[spots[i - 1]].pin == spot->pin && spot->pin != PL_NONE;
      if (again) {
        const struct pl_spot *before = &page->spots.at[spots[i - 1]];
        pl_scene_line(scene, PL_STROKE_BOLD, before->x, before->y, spot->x, spot->y);
        draw_dot(scene, before->x, before->y);
        draw_dot(scene, spot->x, spot->y);
      } else if (names) {
        pl_scene_text(scene,
                      spot->x - 0.9,
                      side == 0 ? spot->y + 2.6 : spot->y - 0.9,
                      PL_TEXT_SIZE,
                      PL_ANCHOR_END,
                      pl_symbol_pin_label(page, spot->pin));
      }
      if (spot->edge != NONE)
        continue;
      if (pl_refer_line_count(spot) > 0) {
        line(scene,
             spot->x,
             spot->y,
             spot->x,
             side == 0 ? spot->y - PL_SYMBOL_STUB : spot->y + PL_SYMBOL_STUB);
        pl_refer_draw(page,
                      spot,
                      spot->x,
                      side == 0 ? spot->y - PL_SYMBOL_STUB - pl_refer_height(spot)
                                : spot->y + PL_SYMBOL_STUB,
                      scene);
      } else if (spot->earthed) {
        line(scene, spot->x, spot->y, spot->x, spot->y + 1);
        pl_shape_chassis(scene, spot->x, spot->y + 1);
      }
    }
  }
}

/* ---- contacts ---- */

static const struct pl_spot *
spot_of_pin(const struct pl_page *page, const struct pl_part *part, pl_id pin) {
  for (uint32_t i = 0; i < part->tops.n + part->bottoms.n; i++) {
    const struct pl_spot *spot = pl_part_spot(page, part, i);
    if (spot->pin == pin)
      return spot;
  }
  return NULL;
}

static void
draw_contacts(const struct pl_page *page, const struct pl_part *part, struct pl_scene *scene) {
  const struct pl_piece *piece = pl_symbol_piece(page, part);
  bool relay = pl_symbol_is_relay(page, part);
  bool momentary = false;
  double turn = piece->flipped ? -1 : 1;
  double edge;
  if (piece->flipped)
    edge = part->y2 - part->below;
  else
    edge = part->y1 + part->above;
  double far;
  if (piece->flipped)
    far = part->y1 + part->above;
  else
    far = part->y2 - part->below;
  double bar = far - turn * (PL_SYMBOL_LEAD + PL_CONTACT);
  if (pl_symbol_is_beside(piece))
    bar = far - turn * ((fabs(far - edge) - PL_CONTACT) / 2 + PL_CONTACT);
  const struct pl_spot *common =
      spot_of_pin(page,
                  part,
                  piece->flipped ? piece->contacts.at[0].out : piece->contacts.at[0].common);
  double left = common->x;
  double right = common->x;
  double middle = bar + turn * (PL_CONTACT / 2 + 0.4);
  line(scene, common->x, edge, common->x, bar);
  for (uint32_t i = 0; i < piece->contacts.n; i++) {
    const struct pl_contact *contact = &piece->contacts.at[i];
    const struct pl_spot *out =
        spot_of_pin(page, part, piece->flipped ? contact->common : contact->out);
    if (out == NULL)
      continue;
    pl_shape_contact(scene, out->x, bar, far, contact->closed, relay, turn);
    if (!pl_symbol_is_beside(piece))
      pl_scene_text(scene, out->x + 2.4, middle + 1, PL_TEXT_SIZE, PL_ANCHOR_START, contact->label);
    left = fmin(left, out->x);
    right = fmax(right, out->x);
  }
  if (right > left)
    line(scene, left, bar, right, bar);
  const struct pl_device *device = &page->paths->harness->devices.at[piece->device];
  for (uint32_t i = 0; i < device->throws.n; i++)
    momentary = momentary || device->throws.at[i].momentary;
  pl_shape_hand(scene, left, middle, relay, momentary);
  if (pl_symbol_is_beside(piece))
    return;
  double text = piece->flipped ? bar + 0.6 : edge + 0.2;
  draw_lines(scene, part, common->x + 1.6, text);
}

/* ---- boxes ---- */

static void
draw_box(const struct pl_page *page, const struct pl_part *part, struct pl_scene *scene) {
  double y1 = part->y1 + part->above + (part->tops.n > 0 ? PL_SYMBOL_BOX_LEAD : 0);
  double y2 = part->y2 - part->below - (part->bottoms.n > 0 ? PL_SYMBOL_BOX_LEAD : 0);
  double x1 = part->x1 + 0.6;
  double x2 = part->x2 - 0.8;
  uint32_t first = page->cells.at[part->first_cell].column;
  uint32_t last = page->cells.at[part->first_cell + part->cell_count - 1].column;
  /* a column may be wide because of others: the box need not be */
  x1 = fmax(x1, page->column_x[first] - fmax(page->cells.at[part->first_cell].left - 0.6, 3.4));
  double natural = page->column_x[last] +
                   fmax(page->cells.at[part->first_cell + part->cell_count - 1].right, 4) - 0.8;
  double text =
      pl_symbol_lines_width(part) + (pl_sign_has_inner(pl_symbol_sign(page, part)) ? 9.5 : 0) + 3.2;
  x2 = fmin(x2, fmax(natural, x1 + text));
  pl_scene_box(scene, PL_STROKE_NORMAL, PL_FILL_GREY, x1, y1, x2 - x1, y2 - y1);
  for (int side = 0; side < 2; side++) {
    uint32_t n = side == 0 ? part->tops.n : part->bottoms.n;
    const uint32_t *spots = side == 0 ? part->tops.at : part->bottoms.at;
    for (uint32_t i = 0; i < n; i++) {
      const struct pl_spot *spot = &page->spots.at[spots[i]];
      if (i > 0 && page->spots.at[spots[i - 1]].pin == spot->pin)
        continue;
      line(scene, spot->x, spot->y, spot->x, side == 0 ? y1 : y2);
      const char *lines[2];
      uint32_t count = pl_symbol_function_lines(page, spot->pin, lines);
      /* the name stands next to the pin, what it does behind it */
      double base = side == 0 ? y1 + 2.8 : y2 - 1;
      double next = side == 0 ? base + PL_LEADING : base - count * PL_LEADING;
      pl_scene_bold(scene,
                    spot->x - PL_SYMBOL_INSET,
                    base,
                    PL_TEXT_SIZE,
                    PL_ANCHOR_START,
                    pl_symbol_pin_label(page, spot->pin));
      for (uint32_t k = 0; k < count; k++)
        pl_scene_text(scene,
                      spot->x - PL_SYMBOL_INSET,
                      next + k * PL_LEADING,
                      PL_TEXT_SIZE,
                      PL_ANCHOR_START,
                      lines[k]);
    }
  }
  double top = y1 + pl_symbol_side_lines(page, part->tops.at, part->tops.n) * PL_LEADING + 0.6;
  double bottom = y2 - pl_symbol_side_lines(page, part->bottoms.at, part->bottoms.n) * PL_LEADING;
  double x = x1 + 1.6;
  if (pl_sign_has_inner(pl_symbol_sign(page, part))) {
    pl_shape_inner(scene, pl_symbol_sign(page, part), x1 + 5, (top + bottom) / 2);
    x = x1 + 10;
  }
  draw_lines(scene, part, x, (top + bottom) / 2 - pl_symbol_lines_height(part) / 2 - 0.2);
}

/* ---- nodes and ends ---- */

static void
draw_bar(const struct pl_page *page, const struct pl_part *part, struct pl_scene *scene) {
  double left = INFINITY;
  double right = -INFINITY;
  double y = part->y2 - part->below - 1.6;
  bool splice = pl_symbol_sign(page, part) == PL_SIGN_SPLICE;
  for (uint32_t i = 0; i < part->tops.n + part->bottoms.n; i++) {
    const struct pl_spot *spot = pl_part_spot(page, part, i);
    left = fmin(left, spot->x);
    right = fmax(right, spot->x);
  }
  if (right > left)
    pl_scene_line(scene, PL_STROKE_BOLD, left, y, right, y);
  for (uint32_t i = 0; i < part->tops.n + part->bottoms.n; i++) {
    const struct pl_spot *spot = pl_part_spot(page, part, i);
    if (spot->edge == NONE && pl_refer_line_count(spot) > 0) {
      double end;
      if (spot->top)
        end = part->y1 + part->above - PL_SYMBOL_STUB;
      else
        end = part->y2 - part->below + PL_SYMBOL_STUB;
      line(scene, spot->x, y, spot->x, end);
      pl_refer_draw(page, spot, spot->x, spot->top ? end - pl_refer_height(spot) : end, scene);
    }
    if (splice)
      pl_scene_circle(scene, PL_STROKE_THIN, PL_FILL_INK, spot->x, y, 1.2);
    else
      pl_scene_circle(scene, PL_STROKE_NORMAL, PL_FILL_PAPER, spot->x, y, 1.3);
  }
  draw_lines(scene,
             part,
             page->column_x[page->cells.at[part->first_cell].column] + 1.8,
             part->y1 + part->above);
}

static void
draw_air(const struct pl_page *page, const struct pl_part *part, struct pl_scene *scene) {
  const struct pl_spot *spot = pl_part_spot(page, part, 0);
  double y = spot->y + (spot->top ? 1 : -1);
  line(scene, spot->x, spot->y, spot->x, y);
  pl_scene_line(scene, PL_STROKE_BOLD, spot->x - 1.5, y, spot->x + 1.5, y);
  pl_scene_text(scene,
                spot->x + 2.4,
                part->y1 + 2.6,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                part->lines[0]);
}

static void draw_twin(const struct pl_page *page,
                      const struct pl_part *part,
                      double x,
                      double y,
                      struct pl_scene *scene) {
  const struct pl_piece *piece = pl_symbol_piece(page, part);
  if (pl_symbol_twin_lines(page, part) == 0)
    return;
  const char *what = "coil";
  if (piece->symbol == PL_SYM_COIL)
    what = "contact";
  y += part->line_count * PL_LEADING + 2.4;
  pl_id wire = pl_symbol_twin_wire(page, piece);
  if (piece->twin == NONE && wire != PL_NONE) {
    pl_refer_plain(page, wire, pl_symbol_twin_word(piece), x, y, scene);
    return;
  }
  const char *where;
  if (piece->twin == NONE)
    where = "not wired";
  else
    where = pl_refer_place(page, page->paths->pieces.at[piece->twin].first_port);
  pl_scene_text(scene,
                x,
                y,
                PL_TEXT_SIZE,
                PL_ANCHOR_START,
                pl_arena_printf(page->arena, "%s: %s", what, where));
}

/* Does this end sit on the machine's body itself? */
static bool is_body(const struct pl_page *page, const struct pl_part *part) {
  pl_id pin = page->spots.at[part->tops.at[0]].pin;
  enum pl_kind kind =
      page->paths->harness->devices.at[page->paths->harness->pins.at[pin].device].kind;
  return pl_kind_is(kind, PL_IS_GROUND);
}

/* The name of a point on a supply line or on ground, and what it hangs on. */
static void draw_point(const struct pl_page *page,
                       const struct pl_part *part,
                       double x,
                       double y,
                       struct pl_scene *scene) {
  draw_lines(scene, part, x, y);
  if (part->feeder != PL_NONE)
    pl_refer_plain(page,
                   part->feeder,
                   pl_symbol_feeder_word(part),
                   x,
                   y + pl_symbol_lines_height(part) + 2.4,
                   scene);
}

/* Where the other half of a relay is and when a single contact closes. */
static void draw_contact_texts(const struct pl_page *page,
                               const struct pl_part *part,
                               double x,
                               struct pl_scene *scene) {
  const struct pl_piece *piece = pl_symbol_piece(page, part);
  double y = part->y1 + part->above;
  double y2 = part->y2 - part->below;
  if (!pl_symbol_is_beside(piece)) {
    double bar = y + PL_SYMBOL_LEAD + PL_CONTACT;
    draw_twin(page, part, x + 1.6, piece->flipped ? bar + 0.6 : y + 0.2, scene);
    return;
  }
  const char *closed = pl_symbol_position_words(page, piece);
  double high = pl_symbol_lines_height(part) + pl_symbol_twin_lines(page, part) * PL_LEADING;
  if (closed[0] != '\0')
    high += PL_LEADING;
  double top = (y + y2) / 2 - high / 2;
  double last = top + high - PL_LEADING + 2.4;
  draw_lines(scene, part, x + 3.4, top);
  draw_twin(page, part, x + 3.4, top, scene);
  pl_scene_text(scene, x + 3.4, last, PL_TEXT_SIZE, PL_ANCHOR_START, closed);
}

static void
draw_shape(const struct pl_page *page, const struct pl_part *part, struct pl_scene *scene) {
  double x = page->column_x[page->cells.at[part->first_cell].column];
  double y = part->y1 + part->above;
  double y2 = part->y2 - part->below;
  switch (part->symbol) {
    case PL_SYM_RAIL:
      if (part->line_count > 0)
        draw_dot(scene, x, pl_symbol_rail_y(page, part->rail));
      draw_point(page,
                 part,
                 x + 1.4,
                 page->rows[0].y1 + 2 + (page->rails.n - 1) * PL_SYMBOL_RAIL_PITCH + 0.8,
                 scene);
      break;
    case PL_SYM_EARTH:
      if (part->line_count > 0)
        draw_dot(scene, x, part->y2 - 4.2);
      if (part->line_count > 0)
        draw_point(page, part, x + 1.4, part->y1, scene);
      if (is_body(page, part)) {
        line(scene, x, part->y2 - 4.2, x, part->y2 - 2.6);
        pl_shape_chassis(scene, x, part->y2 - 2.6);
      }
      break;
    case PL_SYM_AIR:
      draw_air(page, part, scene);
      break;
    case PL_SYM_REFERENCE:
      pl_refer_draw(page, pl_part_spot(page, part, 0), x, part->y1, scene);
      break;
    case PL_SYM_BAR:
      draw_bar(page, part, scene);
      break;
    case PL_SYM_TWO:
      pl_shape_two(scene,
                   pl_symbol_sign(page, part),
                   pl_symbol_piece(page, part)->flipped,
                   x,
                   y,
                   y2);
      draw_lines(scene, part, x + 5.6, (y + y2) / 2 - pl_symbol_lines_height(part) / 2);
      break;
    case PL_SYM_COIL: {
      double high = pl_symbol_lines_height(part) + pl_symbol_twin_lines(page, part) * PL_LEADING;
      pl_shape_coil(scene, x, y, y2);
      draw_lines(scene, part, x + 5.6, (y + y2) / 2 - high / 2);
      draw_twin(page, part, x + 5.6, (y + y2) / 2 - high / 2, scene);
      break;
    }
    case PL_SYM_CAVITY:
      pl_shape_cavity(scene, x, y, y2);
      draw_lines(scene, part, x + 3.2, (y + y2) / 2 - pl_symbol_lines_height(part) / 2);
      break;
    case PL_SYM_CONTACTS:
      draw_contacts(page, part, scene);
      draw_contact_texts(page, part, x, scene);
      break;
    case PL_SYM_BOX:
      draw_box(page, part, scene);
      break;
  }
}

void pl_symbol_draw(struct pl_page *page, uint32_t id, struct pl_scene *scene) {
  const struct pl_part *part = &page->parts.at[id];
  const struct pl_piece *piece = pl_symbol_piece(page, part);
  bool names = piece != NULL && part->symbol != PL_SYM_BAR && part->symbol != PL_SYM_AIR &&
               part->symbol != PL_SYM_BOX;
  if (piece == NULL || piece->device == PL_NONE) {
    draw_shape(page, part, scene);
    return;
  }
  const struct pl_device *device = &page->paths->harness->devices.at[piece->device];
  const char *title = pl_arena_printf(page->arena,
                                      "%s %s%s%s",
                                      pl_kind_name(device->kind),
                                      device->name,
                                      device->text[0] != '\0' ? ", " : "",
                                      device->text);
  pl_scene_open_of(
      scene,
      pl_arena_printf(page->arena, "d-%s_-%u", pl_safe_name(page->arena, device->name), id),
      title,
      "",
      "device",
      device->name);
  draw_shape(page, part, scene);
  if (part->symbol != PL_SYM_BAR && part->symbol != PL_SYM_AIR)
    draw_spots(page, part, names, scene);
  pl_scene_close(scene);
}
