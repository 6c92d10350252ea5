#include "cli/write.h"

#include <string.h>

#include "base/file.h"
#include "base/limits.h"
#include "cli/cli.h"
#include "model/parts_data.h"

static const char *base_name(const char *path) {
  const char *slash = strrchr(path, '/');
  return slash == NULL ? path : slash + 1;
}

const char *pl_write_default_folder(struct pl_arena *arena, const char *path) {
  const char *name = base_name(path);
  size_t n = strlen(name);
  if (n > 5 && strcmp(name + n - 5, ".loom") == 0)
    n -= 5;
  return pl_arena_printf(arena, "out/%.*s", (int)n, name);
}

static int make_folder(struct pl_arena *arena, const char *folder, const char *name) {
  const char *slash = strrchr(name, '/');
  const char *path = folder;
  if (slash != NULL)
    path = pl_arena_printf(arena, "%s/%.*s", folder, (int)(slash - name), name);
  enum pl_file_status status = pl_folder_make(path);
  if (status == PL_FILE_OK)
    return 0;
  return pl_cli_complain(PL_EXIT_MACHINE,
                         "cannot make the folder %s: %s",
                         path,
                         pl_file_status_text(status));
}

int pl_write_outputs(struct pl_arena *arena,
                     const char *folder,
                     const pl_outputs *outputs,
                     int status) {
  const char *made = "";
  for (uint32_t i = 0; i < outputs->n; i++) {
    const struct pl_output *output = &outputs->at[i];
    const char *slash = strrchr(output->name, '/');
    const char *below = ".";
    if (slash != NULL)
      below = pl_arena_strndup(arena, output->name, (size_t)(slash - output->name));
    if (strcmp(below, made) != 0 && make_folder(arena, folder, output->name) != 0)
      return PL_EXIT_MACHINE;
    made = below;
    const char *path = pl_arena_printf(arena, "%s/%s", folder, output->name);
    enum pl_file_status written = pl_file_write(path, output->bytes, output->size, false);
    if (written != PL_FILE_OK)
      return pl_cli_complain(PL_EXIT_MACHINE,
                             "cannot write %s: %s",
                             path,
                             pl_file_status_text(written));
  }
  const char *said = pl_arena_printf(arena, "%u files written to %s\n", outputs->n, folder);
  return pl_cli_print(said, strlen(said), status);
}

/* The starter text with the machine's name in it; quotes in the name would end the text. */
static const char *starter_text(struct pl_arena *arena, const char *title, size_t *size) {
  static const char token[] = "@NAME@";
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  const char *text = pl_arena_strndup(arena, (const char *)pl_starter_text, pl_starter_size);
  for (const char *at; (at = strstr(text, token)) != NULL; text = at + sizeof token - 1) {
    pl_buffer_add(&out, text, (size_t)(at - text));
    for (const char *c = title; *c != '\0'; c++)
      pl_buffer_add(&out, *c == '"' || (unsigned char)*c < ' ' ? "'" : c, 1);
  }
  pl_buffer_puts(&out, text);
  *size = out.n;
  return out.at;
}

int pl_write_starter(struct pl_arena *arena, const char *name) {
  size_t n = strlen(name);
  size_t size;
  if (n > 5 && strcmp(name + n - 5, ".loom") == 0)
    name = pl_arena_strndup(arena, name, n - 5);
  if (base_name(name)[0] == '\0' || strlen(base_name(name)) > PL_LIMIT_NAME)
    return pl_cli_complain(PL_EXIT_TEXT, "`%s` is no name for a file", name);
  const char *path = pl_arena_printf(arena, "%s.loom", name);
  const char *text = starter_text(arena, base_name(name), &size);
  enum pl_file_status status = pl_file_write(path, text, size, true);
  if (status == PL_FILE_EXISTS)
    return pl_cli_complain(PL_EXIT_TEXT,
                           "%s exists already and is left as it is; choose another name",
                           path);
  if (status != PL_FILE_OK)
    return pl_cli_complain(PL_EXIT_MACHINE,
                           "cannot write %s: %s",
                           path,
                           pl_file_status_text(status));
  const char *said = pl_arena_printf(arena,
                                     strpbrk(path, " ()&'\"") != NULL
                                         ? "%s written; look at it, then: pinloom check \"%s\"\n"
                                         : "%s written; look at it, then: pinloom check %s\n",
                                     path,
                                     path);
  return pl_cli_print(said, strlen(said), PL_EXIT_FINE);
}
