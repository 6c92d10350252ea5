#include "cli/fault_table.h"

#include "base/file.h"

static void solve_states(struct pl_session *session) {
  const struct pl_harness *h = &session->harness;

  session->network = pl_network_new(h, session->arena);
  session->solutions = PL_NEW_ARRAY(session->arena, struct pl_solution, h->states.n);
  for (pl_id i = 0; i < h->states.n; i++)
    pl_network_solve(session->network, i, &session->solutions[i], NULL);
}

/* A file that cannot be written costs time at the next run and nothing else. */
static void
keep(struct pl_suspects *table, struct pl_arena *arena, const char *folder, const char *path) {
  struct pl_buffer bytes;
  enum pl_file_status status = pl_folder_make(folder);

  pl_buffer_init(&bytes, arena);
  pl_suspects_save(table, &bytes);
  if (status == PL_FILE_OK)
    status = pl_file_write(path, bytes.at, bytes.n, false);
  if (status != PL_FILE_OK)
    pl_cli_complain(0,
                    "the fault table could not be kept in %s (%s); everything else is as it should "
                    "be, only slower the next time",
                    path,
                    pl_file_status_text(status));
}

void pl_cli_fault_table(struct pl_session *session, const char *folder, struct pl_suspects *table) {
  const char *path = pl_arena_printf(session->arena, "%s/fault-table", folder);
  const char *bytes;
  size_t size;

  pl_suspects_list(&session->harness, session->arena, table);
  if (pl_file_read(session->arena, path, &bytes, &size) == PL_FILE_OK &&
      pl_suspects_load(table, bytes, size))
    return;
  if (session->network == NULL)
    solve_states(session);
  pl_suspects_solve(table, session->network, session->solutions);
  keep(table, session->arena, folder, path);
}
