/* The commands that search for a fault. */
#ifndef PL_CLI_SUSPECT_H
#define PL_CLI_SUSPECT_H

#include "cli/cli.h"

int pl_run_suspect(struct pl_session *session, const struct pl_options *options);

#endif
