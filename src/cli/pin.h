/* What one pin is, and the ways between two. */
#ifndef PL_CLI_PIN_H
#define PL_CLI_PIN_H

#include "cli/cli.h"

int pl_run_pin(struct pl_session *session, const struct pl_options *options);
int pl_run_trace(struct pl_session *session, const struct pl_options *options);

#endif
