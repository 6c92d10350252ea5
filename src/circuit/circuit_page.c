/* One page of a circuit: collects what stands on it, has it ordered and routed, and gives
 * everything its millimetres. Wires that would make the page too high are cut, with a reference at
 * both ends. */
#include <math.h>
#include <string.h>

#include "circuit/symbol_inner.h"
#include "draw/frame.h"
#include "draw/metrics.h"

#define NONE UINT32_MAX

/* ---- what is on the page ---- */

static uint32_t new_part(struct pl_page *page, enum pl_symbol symbol, uint32_t piece) {
  struct pl_part part = {.symbol = symbol, .piece = piece, .rail = "", .feeder = PL_NONE};
  PL_PUSH(page->arena, &page->parts, part);
  return page->parts.n - 1;
}

static uint32_t new_spot(struct pl_page *page, uint32_t part, struct pl_spot spot) {
  spot.part = part;
  spot.edge = NONE;
  PL_PUSH(page->arena, &page->spots, spot);
  uint32_t id = page->spots.n - 1;
  if (spot.top)
    PL_PUSH(page->arena, &page->parts.at[part].tops, id);
  else
    PL_PUSH(page->arena, &page->parts.at[part].bottoms, id);
  return id;
}

static void collect_parts(struct pl_page *page) {
  const struct pl_paths *paths = page->paths;
  page->spot_of_port = PL_NEW_ARRAY(page->arena, uint32_t, (size_t)paths->ports.n + 1);
  for (uint32_t i = 0; i < paths->ports.n; i++)
    page->spot_of_port[i] = NONE;
  for (uint32_t p = 0; p < paths->pieces.n; p++) {
    const struct pl_piece *piece = &paths->pieces.at[p];
    uint32_t part = NONE;
    for (uint32_t i = piece->first_port; i < piece->first_port + piece->port_count; i++) {
      if (page->page_of[i] != page->number)
        continue;
      if (part == NONE) {
        part = new_part(page, piece->symbol, p);
        for (uint32_t l = 0; l < piece->line_count; l++)
          page->parts.at[part].lines[l] = piece->lines[l];
        page->parts.at[part].line_count = piece->line_count;
      }
      const struct pl_port *port = &paths->ports.at[i];
      struct pl_spot spot = {.source = i,
                             .pin = port->pin,
                             .top = port->top,
                             .earthed = port->earthed,
                             .far_port = NONE,
                             .elsewhere = port->elsewhere};
      page->spot_of_port[i] = new_spot(page, part, spot);
    }
  }
}

static void new_edge(struct pl_page *page, uint32_t wire, uint32_t upper, uint32_t lower) {
  struct pl_edge edge = {.wire = wire,
                         .spot = {upper, lower},
                         .label_tie =
                             page->spots.at[lower].top || !page->spots.at[upper].top ? 1 : 0};
  /* the label stands above a pin it comes down to, if it comes down to one */
  if (!page->spots.at[lower].top && page->spots.at[upper].top)
    edge.label_tie = 0;
  page->spots.at[upper].edge = page->spots.at[lower].edge = page->edges.n;
  PL_PUSH(page->arena, &page->edges, edge);
}

static const char *full_name(const struct pl_page *page, pl_id pin) {
  if (pin == PL_NONE)
    return "";
  return page->paths->harness->pins.at[pin].full;
}

static bool seen_text(const struct pl_page *page, uint32_t before, const char *name) {
  for (uint32_t i = 0; i < before; i++) {
    const struct pl_part *part = &page->parts.at[i];
    if ((part->symbol == PL_SYM_RAIL || part->symbol == PL_SYM_EARTH) && part->line_count > 0 &&
        strcmp(part->lines[0], name) == 0)
      return true;
  }
  return false;
}

/* The wire of another circuit by which a point hangs on supply (or ground). */
static pl_id feeder_of(const struct pl_page *page, pl_id pin, bool supply) {
  const struct pl_paths *paths = page->paths;
  const double *hops = supply ? paths->flow->feed : paths->flow->ground;
  const struct pl_pin *one = &paths->harness->pins.at[pin];
  for (uint32_t i = 0; i < one->wires.n; i++) {
    const struct pl_wire *wire = &paths->harness->wires.at[one->wires.at[i]];
    pl_id other = pl_wire_other_end(wire, pin);
    if (wire->circuit != paths->circuit && other != PL_NONE && hops[other] < hops[pin])
      return one->wires.at[i];
  }
  return PL_NONE;
}

static uint32_t
line_end(struct pl_page *page, const struct pl_wire_end *end, pl_id pin, bool named) {
  bool rail = end->kind == PL_END_RAIL;
  uint32_t id = new_part(page, rail ? PL_SYM_RAIL : PL_SYM_EARTH, NONE);
  struct pl_part *part = &page->parts.at[id];
  if (named) {
    const struct pl_device *device =
        &page->paths->harness->devices.at[page->paths->harness->pins.at[pin].device];
    part->lines[part->line_count++] =
        pl_text_fit(page->arena, full_name(page, pin), PL_NAME_SIZE, true, 24);
    if (!seen_text(page, id, part->lines[0])) {
      part->feeder = feeder_of(page, pin, rail);
      part->line_count +=
          pl_text_wrap(page->arena, device->text, PL_TEXT_SIZE, false, 19, part->lines + 1, 2);
    }
  }
  part->rail = end->rail;
  if (rail) {
    bool known = false;
    for (uint32_t i = 0; i < page->rails.n; i++)
      known = known || strcmp(page->rails.at[i], end->rail) == 0;
    if (!known)
      PL_PUSH(page->arena, &page->rails, end->rail);
  } else {
    page->has_earth = true;
  }
  return new_spot(page,
                  id,
                  (struct pl_spot){.source = NONE, .pin = pin, .top = !rail, .far_port = NONE});
}

static uint32_t reference_to(struct pl_page *page, uint32_t far_port, bool top) {
  uint32_t part = new_part(page, PL_SYM_REFERENCE, NONE);
  struct pl_spot spot = {.source = NONE, .pin = PL_NONE, .top = top, .far_port = far_port};
  const struct pl_port *far = &page->paths->ports.at[far_port];
  const char *text = pl_arena_printf(page->arena,
                                     "to %s",
                                     far->pin == PL_NONE ? "open end" : full_name(page, far->pin));
  spot.reference = pl_text_fit(page->arena, text, PL_TEXT_SIZE, false, 24);
  return new_spot(page, part, spot);
}

/* The pin whose wire is drawn elsewhere says where. */
static void refer_back(struct pl_page *page, uint32_t spot, uint32_t far_port, uint32_t wire) {
  const char *number = page->paths->harness->wires.at[page->paths->wires.at[wire].wire].number;
  page->spots.at[spot].far_port = far_port;
  page->spots.at[spot].reference = pl_text_fit(page->arena,
                                               pl_arena_printf(page->arena, "wire %s", number),
                                               PL_TEXT_SIZE,
                                               false,
                                               20);
}

static void collect_edge(struct pl_page *page, uint32_t w) {
  const struct pl_paths *paths = page->paths;
  const struct pl_path_wire *wire = &paths->wires.at[w];
  const struct pl_wire *row = &paths->harness->wires.at[wire->wire];
  int up = wire->upper;
  int down = !up;
  uint32_t spots[2] = {NONE, NONE};
  for (int e = 0; e < 2; e++) {
    if (wire->end[e].kind != PL_END_PORT)
      continue;
    if (wire->end[e].port == NONE)
      continue;
    spots[e] = page->spot_of_port[wire->end[e].port];
  }
  if (spots[0] == NONE && spots[1] == NONE)
    return;
  for (int e = 0; e < 2; e++)
    if (wire->end[e].kind != PL_END_PORT)
      spots[e] = line_end(page, &wire->end[e], row->end[e], true);
  if (spots[0] != NONE && spots[1] != NONE && !page->cut[w]) {
    new_edge(page, w, spots[up], spots[down]);
    return;
  }
  if (spots[up] != NONE) {
    uint32_t end = reference_to(page, wire->end[down].port, !page->spots.at[spots[up]].top);
    if (page->spots.at[spots[up]].top)
      new_edge(page, w, end, spots[up]);
    else
      new_edge(page, w, spots[up], end);
  }
  if (spots[down] != NONE)
    refer_back(page, spots[down], wire->end[up].port, w);
}

static void collect_battery(struct pl_page *page) {
  const struct pl_paths *paths = page->paths;
  if (paths->battery == PL_NONE)
    return;
  if (page->spot_of_port[0] == NONE)
    return;
  struct pl_wire_end live = {.kind = PL_END_RAIL,
                             .rail = pl_flow_rail(paths->flow, paths->ports.at[0].pin)};
  struct pl_wire_end earth = {.kind = PL_END_EARTH, .rail = ""};
  uint32_t from = line_end(page, &live, paths->ports.at[0].pin, false);
  uint32_t to = line_end(page, &earth, paths->ports.at[1].pin, false);
  new_edge(page, NONE, from, page->spot_of_port[0]);
  new_edge(page, NONE, page->spot_of_port[1], to);
}

static uint32_t rail_turn(const char *rail) {
  static const char *const known[] = {"30", "30a", "15", "15a"};
  for (uint32_t i = 0; i < 4; i++)
    if (strcmp(known[i], rail) == 0)
      return i;
  if (strcmp(rail, "+") == 0)
    return 9;
  return 5;
}

static void sort_rails(struct pl_page *page) {
  for (uint32_t i = 1; i < page->rails.n; i++)
    for (uint32_t k = i; k > 0 && rail_turn(page->rails.at[k]) < rail_turn(page->rails.at[k - 1]);
         k--) {
      const char *swap = page->rails.at[k];
      page->rails.at[k] = page->rails.at[k - 1];
      page->rails.at[k - 1] = swap;
    }
}

static void collect(struct pl_page *page) {
  page->spots.n = page->parts.n = page->cells.n = page->links.n = page->edges.n = page->rails.n = 0;
  page->has_earth = false;
  collect_parts(page);
  collect_battery(page);
  for (uint32_t w = 0; w < page->paths->wires.n; w++)
    collect_edge(page, w);
  sort_rails(page);
}

/* ---- sizes ---- */

static void measure_columns(struct pl_page *page) {
  uint32_t n = page->column_count;
  page->column_x = PL_NEW_ARRAY(page->arena, double, (size_t)n + 1);
  page->column_left = PL_NEW_ARRAY(page->arena, double, (size_t)n + 1);
  page->column_right = PL_NEW_ARRAY(page->arena, double, (size_t)n + 1);
  for (uint32_t c = 0; c < n; c++) {
    page->column_left[c] = 2.4;
    page->column_right[c] = 3.6;
  }
  for (uint32_t i = 0; i < page->cells.n; i++) {
    const struct pl_cell *cell = &page->cells.at[i];
    if (cell->left > page->column_left[cell->column])
      page->column_left[cell->column] = cell->left;
    if (cell->right > page->column_right[cell->column])
      page->column_right[cell->column] = cell->right;
  }
  double x = 0;
  for (uint32_t c = 0; c < n; c++) {
    page->column_x[c] = x + page->column_left[c];
    x = page->column_x[c] + page->column_right[c];
  }
  page->width = x + page->rail_width;
}

static void measure_rows(struct pl_page *page) {
  for (uint32_t i = 0; i < page->parts.n; i++) {
    const struct pl_part *part = &page->parts.at[i];
    double height = part->above + part->height + part->below;
    struct pl_row *row = &page->rows[part->rank];
    if (height > row->y2)
      row->y2 = height; /* for now the height */
  }
  for (uint32_t e = 0; e < page->edges.n; e++) {
    struct pl_edge *edge = &page->edges.at[e];
    if (edge->wire == NONE)
      continue;
    const struct pl_spot *spot = &page->spots.at[edge->spot[edge->label_tie]];
    edge->label_width = pl_label_width(page, edge);
    struct pl_cell *cell = &page->cells.at[spot->cell];
    cell->right = fmax(cell->right, edge->label_width + 2.4);
    uint32_t channel = page->parts.at[spot->part].rank + (spot->top ? 0 : 1);
    if (spot->top)
      page->channels[channel].down = pl_label_height(page);
    else
      page->channels[channel].up = pl_label_height(page);
  }
}

static double channel_height(const struct pl_page *page, uint32_t c) {
  const struct pl_channel *channel = &page->channels[c];
  double lanes = channel->lanes == 0 ? 0 : channel->lanes * PL_LANE + 1;
  double height = channel->up + lanes + (channel->jogs ? PL_LANE : 0) + channel->down;
  if (c == 0 || c == page->row_count)
    return height;
  return fmax(height, 2.0);
}

static void measure(struct pl_page *page) {
  for (uint32_t i = 0; i < page->parts.n; i++)
    pl_symbol_measure(page, i);
  measure_rows(page);
  page->rail_width = 0;
  for (uint32_t i = 0; i < page->rails.n; i++)
    page->rail_width = fmax(page->rail_width, pl_text_width(page->rails.at[i], 3.2, true) + 3);
  if (page->has_earth)
    page->rail_width = fmax(page->rail_width, 6.6);
  measure_columns(page);
  page->height = 0;
  for (uint32_t r = 0; r < page->row_count; r++)
    page->height += page->rows[r].y2;
  for (uint32_t c = 0; c <= page->row_count; c++)
    page->height += channel_height(page, c);
}

/* ---- too high: cut wires ---- */

static bool can_be_cut(const struct pl_page *page, const struct pl_edge *edge) {
  if (edge->wire == NONE)
    return false;
  for (int i = 0; i < 2; i++)
    if (page->parts.at[page->spots.at[edge->spot[i]].part].piece == NONE ||
        page->spots.at[edge->spot[i]].pin == PL_NONE)
      return false;
  return true;
}

static bool cut_below(struct pl_page *page, uint32_t rank) {
  bool any = false;
  for (uint32_t e = 0; e < page->edges.n; e++) {
    const struct pl_edge *edge = &page->edges.at[e];
    uint32_t a = page->parts.at[page->spots.at[edge->spot[0]].part].rank;
    uint32_t b = page->parts.at[page->spots.at[edge->spot[1]].part].rank;
    if (a > b) {
      uint32_t swap = a;
      a = b;
      b = swap;
    }
    if (a >= rank || b < rank)
      continue;
    if (!can_be_cut(page, edge))
      continue;
    page->cut[edge->wire] = true;
    any = true;
  }
  return any;
}

/* Cuts where the page is full; false when there is nothing to cut. */
static bool cut_somewhere(struct pl_page *page, double room) {
  double used = page->rows[page->row_count - 1].y2 + 14;
  uint32_t rank = 0;
  for (uint32_t r = 0; r + 1 < page->row_count; r++) {
    used += page->rows[r].y2 + channel_height(page, r + 1);
    if (used > room)
      break;
    rank = r + 1;
  }
  if (rank + 1 > page->row_count)
    rank = page->row_count - 1;
  for (; rank >= 2; rank--)
    if (cut_below(page, rank))
      return true;
  return false;
}

static void plan_once(struct pl_page *page) {
  collect(page);
  pl_order_ranks(page);
  page->rows = PL_NEW_ARRAY(page->arena, struct pl_row, (size_t)page->row_count + 1);
  page->channels = PL_NEW_ARRAY(page->arena, struct pl_channel, (size_t)page->row_count + 2);
  pl_cells_make(page);
  pl_order_cells(page);
  pl_order_columns(page);
  pl_route_lanes(page);
  measure(page);
}

/* Labels of two lines where there is height for them, else of one line, which take width; last of
 * all wires are cut. */
void pl_page_plan(struct pl_page *page,
                  const struct pl_paths *paths,
                  const uint32_t *page_of,
                  uint32_t number,
                  double room_height,
                  struct pl_arena *arena) {
  *page = (struct pl_page){.paths = paths, .page_of = page_of, .number = number, .arena = arena};
  page->cut = PL_NEW_ARRAY(arena, bool, (size_t)paths->wires.n + 1);
  plan_once(page);
  if (page->height <= room_height)
    return;
  page->flat_labels = true;
  plan_once(page);
  for (uint32_t turn = 0;
       page->height > room_height && turn < 40 && cut_somewhere(page, room_height);
       turn++)
    plan_once(page);
}

/* ---- millimetres ---- */

static void place_parts(struct pl_page *page) {
  for (uint32_t i = 0; i < page->parts.n; i++) {
    struct pl_part *part = &page->parts.at[i];
    const struct pl_row *row = &page->rows[part->rank];
    uint32_t first = page->cells.at[part->first_cell].column;
    uint32_t last = page->cells.at[part->first_cell + part->cell_count - 1].column;
    part->x1 = page->column_x[first] - page->column_left[first];
    part->x2 = page->column_x[last] + page->column_right[last];
    double height = part->above + part->height + part->below;
    bool low =
        part->symbol == PL_SYM_EARTH || (part->symbol == PL_SYM_REFERENCE && part->tops.n == 0);
    if (low)
      part->y1 = row->y2 - height;
    else
      part->y1 = row->y1;
    part->y2 = part->y1 + height;
    for (uint32_t k = 0; k < part->tops.n + part->bottoms.n; k++) {
      struct pl_spot *spot = pl_part_spot(page, part, k);
      spot->x = page->column_x[page->cells.at[spot->cell].column];
      if (spot->top)
        spot->y = part->y1 + part->above;
      else
        spot->y = part->y2 - part->below;
      if (part->symbol == PL_SYM_BAR)
        spot->y = part->y2 - part->below - 1.6; /* pl_symbol draws the bar there */
      if (part->symbol == PL_SYM_RAIL)
        spot->y = pl_symbol_rail_y(page, part->rail);
      if (part->symbol == PL_SYM_EARTH)
        spot->y = part->y2 - 4.2;
    }
  }
}

void pl_page_place(struct pl_page *page,
                   double x,
                   double y,
                   double room_width,
                   double room_height) {
  double spare = room_width - page->width;
  double more = 0;
  if (spare > 0 && page->column_count > 0)
    more = fmin(spare / page->column_count, 5);
  double at = x + page->rail_width;
  for (uint32_t c = 0; c < page->column_count; c++) {
    page->column_x[c] = at + page->column_left[c];
    page->column_right[c] += more;
    at = page->column_x[c] + page->column_right[c];
  }
  double gap = 0;
  if (room_height > page->height && page->row_count > 1)
    gap = fmin((room_height - page->height) / (page->row_count - 1), 12);
  at = y;
  for (uint32_t r = 0; r <= page->row_count; r++) {
    struct pl_channel *channel = &page->channels[r];
    double height = channel_height(page, r);
    double extra = 0;
    if (r > 0 && r < page->row_count)
      extra = gap;
    channel->y_up = at;
    double lanes = at + channel->up + extra / 2;
    channel->y_lanes = lanes + 0.5 + PL_LANE / 2;
    channel->y_jog = lanes + (channel->lanes == 0 ? 0 : channel->lanes * PL_LANE + 1) + PL_LANE / 2;
    at += height + extra;
    channel->y_down = at;
    if (r == page->row_count)
      break;
    double row = page->rows[r].y2;
    page->rows[r].y1 = at;
    page->rows[r].y2 = at + row;
    at += row;
  }
  page->height = at - y;
  place_parts(page);
}
