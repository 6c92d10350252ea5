/* What `pinloom compare` prints. */
#ifndef PL_CLI_COMPARE_H
#define PL_CLI_COMPARE_H

#include "cli/cli.h"

/* arguments[0], brought as far as the session is, against arguments[1]: the change sheet on stdout,
 * and in a folder when one is named. PL_EXIT_FINE when nothing is different, PL_EXIT_FINDINGS when
 * something is. */
int pl_run_compare(struct pl_session *session, const struct pl_options *options);

#endif
