/* Building sheets row by row, and the cells that several of them share.  Knows no file format. */
#include "sheet/rows_inner.h"

#include <math.h>
#include <string.h>

#include "base/number.h"
#include "prove/prove.h"

#define NOTHING 5e-5 /* amps: less than a tenth of a milliamp, as no clamp shows it */

void pl_sheet_begin(struct pl_sheet_maker *maker,
                    const char *file,
                    const char *title,
                    const char *note) {
  maker->sheet = (struct pl_sheet){.file = file,
                                   .section = maker->section,
                                   .title = title,
                                   .note = note,
                                   .drawing = "",
                                   .connector = PL_NONE};
  maker->column_room = 0;
  maker->heading = NULL;
}

struct pl_column *pl_sheet_column(struct pl_sheet_maker *maker, const char *head) {
  struct pl_sheet *sheet = &maker->sheet;
  if (sheet->column_count == maker->column_room)
    sheet->columns = pl_vec_grow(maker->arena,
                                 sheet->columns,
                                 sheet->column_count,
                                 &maker->column_room,
                                 sizeof *sheet->columns);
  sheet->columns[sheet->column_count] = (struct pl_column){.head = head};
  return &sheet->columns[sheet->column_count++];
}

void pl_sheet_narrow(struct pl_sheet_maker *maker, const char *head) {
  pl_sheet_column(maker, head)->narrow = true;
}

void pl_sheet_number(struct pl_sheet_maker *maker, const char *head) {
  struct pl_column *column = pl_sheet_column(maker, head);
  column->narrow = column->number = true;
}

void pl_sheet_end(struct pl_sheet_maker *maker) {
  if (maker->sheet.rows.n > 0)
    PL_PUSH(maker->arena, maker->sheets, maker->sheet);
}

void pl_sheet_heading(struct pl_sheet_maker *maker, const char *heading, const char *note) {
  maker->heading = heading;
  maker->heading_note = note;
}

void pl_sheet_row(struct pl_sheet_maker *maker, enum pl_link_kind kind, pl_id subject) {
  uint32_t n = maker->sheet.column_count;
  struct pl_row row = {.cells = PL_NEW_ARRAY(maker->arena, const char *, n),
                       .links = PL_NEW_ARRAY(maker->arena, struct pl_link, n),
                       .subject = {kind, subject},
                       .heading = maker->heading,
                       .note = maker->heading == NULL ? "" : maker->heading_note};
  maker->heading = NULL;
  for (uint32_t i = 0; i < n; i++) {
    row.cells[i] = "";
    row.links[i] = (struct pl_link){PL_LINK_NONE, PL_NONE};
  }
  PL_PUSH(maker->arena, &maker->sheet.rows, row);
  maker->row = row;
  maker->filled = 0;
}

const char *pl_sheet_say_once(struct pl_sheet_maker *maker, const char *head, const char *what) {
  struct pl_sheet *sheet = &maker->sheet;
  const char *text = "";
  uint32_t c = 0;
  while (c < sheet->column_count && strcmp(sheet->columns[c].head, head) != 0)
    c++;
  for (uint32_t r = 0; c < sheet->column_count && r < sheet->rows.n; r++) {
    const char *cell = sheet->rows.at[r].cells[c];
    if (cell[0] == '\0')
      continue;
    if (text[0] != '\0' && strcmp(text, cell) != 0)
      return "";
    text = cell;
  }
  if (text[0] == '\0')
    return "";
  sheet->columns[c].csv_only = true;
  return pl_arena_printf(maker->arena, " %s: %s.", what, text);
}

void pl_sheet_link(struct pl_sheet_maker *maker,
                   const char *text,
                   enum pl_link_kind kind,
                   pl_id id) {
  if (maker->filled >= maker->sheet.column_count)
    return;
  maker->row.links[maker->filled] = (struct pl_link){kind, id};
  maker->row.cells[maker->filled++] = text == NULL ? "" : text;
}

void pl_sheet_text(struct pl_sheet_maker *maker, const char *text) {
  pl_sheet_link(maker, text, PL_LINK_NONE, PL_NONE);
}

void pl_sheet_figure(struct pl_sheet_maker *maker, double value, int digits) {
  char text[PL_NUMBER_SIZE];

  if (isfinite(value))
    pl_sheet_text(maker, pl_arena_strdup(maker->arena, pl_number_print(text, value, digits)));
  else
    pl_sheet_text(maker, "");
}

void pl_sheet_amps(struct pl_sheet_maker *maker, double amps) {
  if (amps < 0.1)
    pl_sheet_figure(maker, round(amps * 1e4) / 1e4, 2); /* to a tenth of a milliamp */
  else
    pl_sheet_figure(maker, amps, 3);
}

static struct pl_worst worst_of(const struct pl_sheet_maker *maker, pl_id id, bool wire) {
  struct pl_worst worst = {NAN, PL_NONE};
  for (pl_id s = 0; maker->solutions != NULL && s < maker->harness->states.n; s++) {
    const struct pl_solution *solution = &maker->solutions[s];
    if (solution->status != PL_SOLVED)
      continue;
    double amps = fabs(wire ? solution->wire_amps[id] : solution->device_amps[id]);
    if (isnan(worst.amps))
      worst.amps = 0;
    if (amps <= worst.amps || amps < NOTHING)
      continue;
    worst.amps = amps;
    worst.state = s;
  }
  return worst;
}

struct pl_worst pl_worst_wire(const struct pl_sheet_maker *maker, pl_id wire) {
  return worst_of(maker, wire, true);
}

struct pl_worst pl_worst_device(const struct pl_sheet_maker *maker, pl_id device) {
  return worst_of(maker, device, false);
}

const char *pl_sheet_state(const struct pl_sheet_maker *maker, pl_id state) {
  if (state < maker->harness->states.n)
    return maker->harness->states.at[state].name;
  return "";
}

void pl_sheet_wire_columns(struct pl_sheet_maker *maker) {
  struct pl_column *number = pl_sheet_column(maker, "wire");
  number->narrow = number->key = true;
  pl_sheet_narrow(maker, "colour");
  pl_sheet_narrow(maker, "size");
}

void pl_sheet_wire_cells(struct pl_sheet_maker *maker, pl_id wire) {
  const struct pl_wire *w = &maker->harness->wires.at[wire];
  char colour[16];
  pl_sheet_link(maker, w->number, PL_LINK_WIRE, wire);
  pl_sheet_link(maker,
                pl_arena_strdup(maker->arena, pl_colour_text(&w->colour, colour)),
                PL_LINK_COLOUR,
                wire);
  pl_sheet_text(maker, w->size);
}

void pl_sheet_place_cell(struct pl_sheet_maker *maker, pl_id place) {
  pl_sheet_text(maker,
                place < maker->harness->places.n ? maker->harness->places.at[place].name : "");
}

void pl_sheet_end_cell(struct pl_sheet_maker *maker, pl_id wire, pl_id pin) {
  const struct pl_wire *w = &maker->harness->wires.at[wire];
  pl_id other = pl_wire_other_end(w, pin);
  bool there = other < maker->harness->pins.n && w->status != PL_WIRE_DONOR_REMOVED;
  pl_sheet_link(maker,
                pl_probe_far_end(maker->harness, wire, pin),
                there ? PL_LINK_PIN : PL_LINK_NONE,
                other);
}

const char *pl_pin_unsure(const struct pl_pin *pin) {
  if (pin->sure == PL_SURE_WEB || pin->sure == PL_SURE_GUESS)
    return pl_sure_name(pin->sure);
  return "";
}

void pl_sheet_wire_end(struct pl_sheet_maker *maker, const struct pl_wire *wire, int end) {
  pl_id pin = wire->end[end];
  if (pin < maker->harness->pins.n)
    pl_sheet_link(maker, maker->harness->pins.at[pin].full, PL_LINK_PIN, pin);
  else
    pl_sheet_text(maker, wire->status == PL_WIRE_DONOR_CAPPED ? "capped" : "in the air");
}

bool pl_sheet_in_feet(const struct pl_sheet_maker *maker) {
  return maker->harness->machine.units == PL_UNITS_US;
}

struct pl_proof *pl_sheet_proof(struct pl_sheet_maker *maker) {
  if (maker->proof == NULL && maker->network != NULL && maker->solutions != NULL)
    maker->proof = pl_proof_new(maker->harness, maker->network, maker->solutions, maker->arena);
  return maker->proof;
}
