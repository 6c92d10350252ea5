/* Everything that goes to the user's folder, made in memory. */
#include "out/output.h"

#include <string.h>

#include "out/csv.h"
#include "out/svg.h"
#include "out/xhtml.h"

static void add(pl_outputs *outputs, struct pl_arena *arena, const char *name, const struct pl_buffer *bytes) {
  struct pl_output output = {.name = name, .bytes = bytes->at, .size = bytes->n};
  PL_PUSH(arena, outputs, output);
}

void pl_output_sheets(const struct pl_output_inputs *in, struct pl_arena *arena, pl_sheets *sheets) {
  uint32_t before = sheets->n;
  pl_sheets_make(in->harness, in->network, in->solutions, in->findings, in->sources, arena, sheets);
  if (in->proof != NULL) pl_sheet_defeats(in->harness, in->proof, arena, sheets);
  for (uint32_t i = before; i < sheets->n; i++) {
    struct pl_sheet *sheet = &sheets->at[i];
    if (sheet->connector == PL_NONE) continue;
    sheet->drawing = pl_connector_file(arena, in->harness, sheet->connector);
    sheet->file = pl_arena_strndup(arena, sheet->drawing, strlen(sheet->drawing) - strlen(".svg"));
  }
}

static void add_drawings(const pl_scenes *scenes, struct pl_arena *arena, pl_outputs *outputs) {
  for (uint32_t i = 0; i < scenes->n; i++) {
    struct pl_buffer out;
    pl_buffer_init(&out, arena);
    pl_svg_write(&out, &scenes->at[i]);
    add(outputs, arena, scenes->at[i].file, &out);
  }
}

static void add_tables(const struct pl_output_inputs *in, const pl_sheets *sheets, const pl_scenes *scenes,
                       struct pl_arena *arena, pl_outputs *outputs) {
  struct pl_buffer page;
  pl_buffer_init(&page, arena);
  pl_xhtml_tables(&page, in->harness, sheets, scenes, arena);
  add(outputs, arena, "tables.html", &page);
  for (uint32_t i = 0; i < sheets->n; i++) {
    struct pl_buffer out;
    pl_buffer_init(&out, arena);
    pl_csv_write(&out, &sheets->at[i]);
    add(outputs, arena, pl_arena_printf(arena, "csv/%s.csv", sheets->at[i].file), &out);
  }
}

void pl_output_drawings(const struct pl_output_inputs *in, struct pl_arena *arena, pl_outputs *outputs) {
  pl_scenes scenes = {0};
  pl_draw_power(in->harness, in->network, in->solutions, arena, &scenes);
  pl_draw_all(in->harness, arena, &scenes);
  add_drawings(&scenes, arena, outputs);
}

void pl_output_tables(const struct pl_output_inputs *in, struct pl_arena *arena, pl_outputs *outputs) {
  pl_sheets sheets = {0};
  pl_scenes faces = {0};
  pl_output_sheets(in, arena, &sheets);
  for (pl_id c = 0; c < in->harness->connectors.n; c++) pl_draw_connector(in->harness, c, arena, &faces);
  add_tables(in, &sheets, &faces, arena, outputs);
}

void pl_output_book(const struct pl_output_inputs *in, struct pl_arena *arena, pl_outputs *outputs) {
  pl_sheets sheets = {0};
  pl_scenes scenes = {0};
  struct pl_buffer index;
  pl_output_sheets(in, arena, &sheets);
  pl_draw_power(in->harness, in->network, in->solutions, arena, &scenes);
  pl_draw_all(in->harness, arena, &scenes);
  pl_buffer_init(&index, arena);
  pl_xhtml_index(&index, in->harness, in->findings, &sheets, &scenes, arena);
  add(outputs, arena, "index.html", &index);
  add_drawings(&scenes, arena, outputs);
  add_tables(in, &sheets, &scenes, arena, outputs);
}
