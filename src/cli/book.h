/* The commands that write a folder. */
#ifndef PL_CLI_BOOK_H
#define PL_CLI_BOOK_H

#include "cli/cli.h"

int pl_run_book(struct pl_session *session, const struct pl_options *options);
int pl_run_draw(struct pl_session *session, const struct pl_options *options);
int pl_run_tables(struct pl_session *session, const struct pl_options *options);

/* 0, or an exit status after a complaint: what writes drawings and sheets is loaded now, not with
 * the program. */
int pl_book_ready(void);

#endif
