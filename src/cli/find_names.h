/* What the user names on the command line: states and pins, found or complained of with the nearest
 * word. */
#ifndef PL_CLI_NAMES_H
#define PL_CLI_NAMES_H

#include "cli/cli.h"

/* PL_NONE after a complaint.  NULL is the first state. */
pl_id pl_cli_find_state(struct pl_session *session, const char *name);
pl_id pl_cli_find_pin(struct pl_session *session, const char *name);

/* "  wire 52, 8 AWG RD, 3.04 m" without what it leads to. */
void pl_cli_put_wire(struct pl_buffer *out, const struct pl_wire *wire);

#endif
