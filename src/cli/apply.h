/* `pinloom check FILE --apply`: writes remedies that were tried into the texts of the harness. */
#ifndef PL_CLI_APPLY_H
#define PL_CLI_APPLY_H

#include "cli/cli.h"

/* Says what was done and what is left; the old text of each file stands beside it, FILE.bak, or
 * FILE.bak.2 and on where that is taken.  Writes nothing when a file is no longer what was read. */
int pl_cli_apply(struct pl_session *session, const struct pl_options *options);

#endif
