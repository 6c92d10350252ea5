/* The table of suspects: taken from the book's folder when it was kept there for this very text,
 * else solved and kept. */
#ifndef PL_CLI_FAULT_TABLE_H
#define PL_CLI_FAULT_TABLE_H

#include "cli/cli.h"
#include "suspect/suspects.h"

/* The session is built; it is solved here when that is needed and was not done.  FOLDER/fault-table
 * may be deleted at any time; what does not fit the text and this program to the byte is not used.
 * That it cannot be written is told and does no harm. */
void pl_cli_fault_table(struct pl_session *session, const char *folder, struct pl_suspects *table);

#endif
