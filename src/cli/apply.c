/* Remedies into the text: all old texts are kept first, then the new ones are written, each file
 * whole or not at all. */
#include "cli/apply.h"

#include <string.h>

enum {
  KEPT = 99 /* old texts of one file */
};

static const char *place_of(struct pl_session *session, const struct pl_finding *f) {
  struct pl_position at = pl_source_position(&session->sources, f->span);
  if (f->span.file >= session->sources.files.n)
    return "pinloom";
  return pl_arena_printf(session->arena,
                         "%s:%u",
                         session->sources.files.at[f->span.file].path,
                         at.line);
}

/* 0, or an exit status after a complaint: somebody else wrote to it since it was read. */
static int is_unchanged(struct pl_session *session, uint32_t file) {
  const struct pl_source *source = &session->sources.files.at[file];
  const char *text;
  size_t size;
  enum pl_file_status status = pl_file_read(session->arena, source->path, &text, &size);
  if (status != PL_FILE_OK)
    return pl_cli_complain(PL_EXIT_MACHINE,
                           "%s: %s; nothing was written",
                           source->path,
                           pl_file_status_text(status));
  if (size != source->size || memcmp(text, source->text, size) != 0)
    return pl_cli_complain(PL_EXIT_TEXT,
                           "%s was changed while it was checked; nothing was written",
                           source->path);
  return 0;
}

/* The name under which the old text stands; NULL after a complaint. */
static const char *keep_old(struct pl_session *session, uint32_t file) {
  const struct pl_source *source = &session->sources.files.at[file];
  enum pl_file_status status = PL_FILE_EXISTS;
  const char *name = "";
  for (unsigned k = 1; k <= KEPT && status == PL_FILE_EXISTS; k++) {
    if (k == 1)
      name = pl_arena_printf(session->arena, "%s.bak", source->path);
    else
      name = pl_arena_printf(session->arena, "%s.bak.%u", source->path, k);
    status = pl_file_write(name, source->text, source->size, true);
  }
  if (status == PL_FILE_OK)
    return name;
  pl_cli_complain(PL_EXIT_MACHINE,
                  "%s: %s; no text was changed",
                  name,
                  pl_file_status_text(status));
  return NULL;
}

static bool is_touched(const struct pl_remedy_plan *plan, uint32_t file) {
  for (uint32_t i = 0; i < plan->fix_count; i++)
    if (plan->fixes[i].span.file == file)
      return true;
  return false;
}

/* 0, or an exit status after a complaint. */
static int
write_all(struct pl_session *session, const struct pl_remedy_plan *plan, struct pl_buffer *out) {
  uint32_t n = session->sources.files.n;
  const char **old = PL_NEW_ARRAY(session->arena, const char *, (size_t)n + 1);
  int status = 0;
  for (uint32_t i = 0; i < n && status == 0; i++)
    if (is_touched(plan, i))
      status = is_unchanged(session, i);
  for (uint32_t i = 0; i < n && status == 0; i++)
    if (is_touched(plan, i) && (old[i] = keep_old(session, i)) == NULL)
      status = PL_EXIT_MACHINE;
  for (uint32_t i = 0; i < n && status == 0; i++) {
    const char *path = session->sources.files.at[i].path;
    size_t size = 0;
    if (old[i] == NULL)
      continue;
    const char *text =
        pl_remedy_text(&session->sources, i, plan->fixes, plan->fix_count, session->arena, &size);
    enum pl_file_status wrote = pl_file_write(path, text, size, false);
    if (wrote != PL_FILE_OK)
      status = pl_cli_complain(PL_EXIT_MACHINE,
                               "%s: %s; its old text stands",
                               path,
                               pl_file_status_text(wrote));
    else
      pl_buffer_printf(out, "written: %s; the old text is kept as %s\n", path, old[i]);
  }
  return status;
}

static uint32_t say_findings(struct pl_session *session,
                             const struct pl_remedy_plan *plan,
                             bool done,
                             struct pl_buffer *out) {
  uint32_t count = 0;
  for (uint32_t i = 0; i < session->findings.list.n; i++) {
    const struct pl_finding *f = &session->findings.list.at[i];
    if (f->waived != NULL || plan->taken[i] != done)
      continue;
    count++;
    pl_buffer_printf(out,
                     "%s: %s [%s] %s: %s\n",
                     place_of(session, f),
                     done ? "done" : "left",
                     f->rule,
                     f->place,
                     done               ? f->remedy
                     : f->fix_count > 0 ? "its remedy does not go with those above; check again"
                                        : f->text);
  }
  return count;
}

int pl_cli_apply(struct pl_session *session, const struct pl_options *options) {
  struct pl_buffer out;
  if (options->json || options->proofs || options->all)
    return pl_cli_complain(PL_EXIT_TEXT, "--apply goes alone: it says in words what it did");
  pl_buffer_init(&out, session->arena);
  struct pl_remedy_plan plan =
      pl_remedies_plan(&session->check, &session->sources, options->arguments[0]);
  uint32_t done = say_findings(session, &plan, true, &out);
  uint32_t left = say_findings(session, &plan, false, &out);
  int status = plan.fix_count > 0 ? write_all(session, &plan, &out) : 0;
  if (status != 0)
    return status;
  if (plan.fix_count == 0)
    pl_buffer_puts(&out, "nothing was written: no finding has a remedy that was tried\n");
  pl_buffer_printf(&out, "%u done, %u left\n", (unsigned)done, (unsigned)left);
  return pl_cli_print(out.at, out.n, left > 0 ? PL_EXIT_FINDINGS : PL_EXIT_FINE);
}
