/* Everything that goes to the user's folder, made in memory. */
#include "write/output.h"

#include <string.h>

#include "circuit/circuit.h"
#include "draw/drawings.h"
#include "draw/file_names.h"
#include "write/formats.h"
#include "write/label_pages_inner.h"
#include "write/shop.h"
#include "write/svg.h"
#include "write/xhtml_inner.h"

static void
add(pl_outputs *outputs, struct pl_arena *arena, const char *name, const struct pl_buffer *bytes) {
  struct pl_output output = {.name = name, .bytes = bytes->at, .size = bytes->n};
  PL_PUSH(arena, outputs, output);
}

void pl_output_sheets(const struct pl_output_inputs *in,
                      struct pl_arena *arena,
                      pl_sheets *sheets) {
  struct pl_sheet_inputs from = {.harness = in->harness,
                                 .network = in->network,
                                 .solutions = in->solutions,
                                 .findings = in->findings,
                                 .sources = in->sources,
                                 .proof = in->proof,
                                 .chosen = in->sections,
                                 .progress = in->progress,
                                 .progress_context = in->progress_context};
  pl_sheets_make(&from, arena, sheets);
  for (uint32_t i = 0; i < sheets->n; i++) {
    struct pl_sheet *sheet = &sheets->at[i];
    if (sheet->connector == PL_NONE)
      continue;
    sheet->drawing = pl_connector_file(arena, in->harness, sheet->connector);
    sheet->file = pl_arena_strndup(arena, sheet->drawing, strlen(sheet->drawing) - strlen(".svg"));
  }
}

void pl_output_scenes(const struct pl_output_inputs *in,
                      struct pl_arena *arena,
                      pl_scenes *scenes) {
  pl_draw_power(in->harness, in->network, in->solutions, arena, scenes);
  pl_draw_panels(in->harness, arena, scenes);
  pl_draw_plan(in->harness, arena, scenes);
  pl_draw_board(in->harness, in->full_length, arena, scenes);
  pl_draw_all_in(in->harness, in->shown, arena, scenes);
}

static void add_drawings(const pl_scenes *scenes, struct pl_arena *arena, pl_outputs *outputs) {
  for (uint32_t i = 0; i < scenes->n; i++) {
    struct pl_buffer out;
    pl_buffer_init(&out, arena);
    pl_svg_write(&out, &scenes->at[i]);
    add(outputs, arena, scenes->at[i].file, &out);
  }
  struct pl_buffer board;
  pl_buffer_init(&board, arena);
  if (pl_xhtml_board(&board, scenes, arena))
    add(outputs, arena, "board.html", &board);
}

static void add_book(const struct pl_book *book, struct pl_arena *arena, pl_outputs *outputs) {
  struct pl_buffer page;
  pl_buffer_init(&page, arena);
  pl_xhtml_book(&page, book, arena);
  add(outputs, arena, book->file, &page);
  for (uint32_t i = 0; i < book->sheets->n; i++)
    pl_table_files(&book->sheets->at[i], arena, outputs);
}

static struct pl_book
book_of(const struct pl_output_inputs *in, const pl_sheets *sheets, const pl_scenes *drawings) {
  return (struct pl_book){.harness = in->harness,
                          .findings = in->findings,
                          .sheets = sheets,
                          .drawings = drawings,
                          .chosen = in->sections};
}

void pl_output_drawings(const struct pl_output_inputs *in,
                        struct pl_arena *arena,
                        pl_outputs *outputs) {
  pl_scenes scenes = {0};
  pl_output_scenes(in, arena, &scenes);
  add_drawings(&scenes, arena, outputs);
}

void pl_output_tables(const struct pl_output_inputs *in,
                      struct pl_arena *arena,
                      pl_outputs *outputs) {
  pl_sheets sheets = {0};
  pl_scenes none = {0};
  struct pl_book book = book_of(in, &sheets, &none);
  pl_output_sheets(in, arena, &sheets);
  book.what = "Tables";
  book.file = "tables.html";
  add_book(&book, arena, outputs);
}

static pl_scenes circuits_of(const pl_scenes *scenes, struct pl_arena *arena) {
  pl_scenes circuits = {0};
  for (uint32_t i = 0; i < scenes->n; i++)
    if (strncmp(scenes->at[i].file, "circuit-", 8) == 0)
      PL_PUSH(arena, &circuits, scenes->at[i]);
  return circuits;
}

void pl_output_book(const struct pl_output_inputs *in,
                    struct pl_arena *arena,
                    pl_outputs *outputs) {
  pl_sheets sheets = {0};
  pl_scenes scenes = {0};
  struct pl_book book = book_of(in, &sheets, &scenes);
  struct pl_buffer index, shop;
  pl_output_sheets(in, arena, &sheets);
  pl_output_scenes(in, arena, &scenes);
  pl_scenes circuits = circuits_of(&scenes, arena);
  pl_output_labels(&sheets, arena, &scenes);
  book.what = "Book";
  book.file = "book.html";
  book.plates = true;
  pl_buffer_init(&index, arena);
  pl_buffer_init(&shop, arena);
  pl_xhtml_index(&index, &book, arena);
  add(outputs, arena, "index.html", &index);
  add_drawings(&scenes, arena, outputs);
  pl_shop_write(&shop, in, &circuits, arena);
  add(outputs, arena, "shop.html", &shop);
  add_book(&book, arena, outputs);
}
