#include "write/formats.h"

#include <string.h>

#include "write/csv.h"

const struct pl_table_format pl_table_formats[] = {
    {"csv", false, pl_csv_write},
};
const uint32_t pl_table_format_count = sizeof pl_table_formats / sizeof pl_table_formats[0];

const struct pl_table_format *pl_table_format_of(const char *output) {
  size_t folder = strcspn(output, "/");
  for (uint32_t i = 0; i < pl_table_format_count && output[folder] == '/'; i++)
    if (strlen(pl_table_formats[i].name) == folder &&
        strncmp(pl_table_formats[i].name, output, folder) == 0)
      return &pl_table_formats[i];
  return NULL;
}

void pl_table_files(const struct pl_sheet *sheet, struct pl_arena *arena, pl_outputs *outputs) {
  for (uint32_t i = 0; i < pl_table_format_count; i++) {
    const char *form = pl_table_formats[i].name;
    struct pl_buffer out;
    pl_buffer_init(&out, arena);
    pl_table_formats[i].write(&out, sheet);
    struct pl_output file = {.name = pl_arena_printf(arena, "%s/%s.%s", form, sheet->file, form),
                             .bytes = out.at,
                             .size = out.n};
    PL_PUSH(arena, outputs, file);
  }
}
