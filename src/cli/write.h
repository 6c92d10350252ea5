/* Writing a command's files: whole or not at all, each by its own name, and never outside the
 * folder. */
#ifndef PL_CLI_WRITE_H
#define PL_CLI_WRITE_H

#include "write/output.h"

/* "out/snowplow" for ".../snowplow.loom". */
const char *pl_write_default_folder(struct pl_arena *arena, const char *path);

/* Makes the folder, writes every output, says where on stdout; `status`, or PL_EXIT_MACHINE after a
 * complaint. */
int pl_write_outputs(struct pl_arena *arena,
                     const char *folder,
                     const pl_outputs *outputs,
                     int status);

/* NAME.loom from the starter text; never over a file that exists. */
int pl_write_starter(struct pl_arena *arena, const char *name);

#endif
