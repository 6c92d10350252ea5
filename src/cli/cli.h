/* The command line: tables of commands and options, the driver that brings a harness through its
 * stages, exit codes.  The only room that prints. */
#ifndef PL_CLI_CLI_H
#define PL_CLI_CLI_H

#include "model/build.h"
#include "remedy/remedy.h"
#include "rules/rules.h"

enum pl_exit {
  PL_EXIT_FINE = 0,
  PL_EXIT_FINDINGS = 1,
  PL_EXIT_TEXT = 2,
  PL_EXIT_MACHINE = 3
};

enum {
  PL_CLI_ARGUMENTS = 64
};

struct pl_options {
  const char *folder; /* -o */
  const char *state;  /* --state */
  const char *only;   /* --only */
  bool json;          /* --json */
  bool proofs;        /* --proofs */
  bool spice;         /* --spice */
  bool table;         /* --table */
  bool full_length;   /* --full-length */
  bool all;           /* --all */
  bool apply;         /* --apply */
  const char *arguments[PL_CLI_ARGUMENTS];
  int argument_count;
};

/* One harness on its way through the stages; everything in one arena. */
struct pl_session {
  struct pl_arena *arena;
  struct pl_sources sources;
  struct pl_findings findings;
  struct pl_harness harness;
  struct pl_network *network;    /* NULL before solving */
  struct pl_solution *solutions; /* one for each state */
  struct pl_proof *proof;        /* NULL before checking, and when no rule proved anything */
  bool all;                      /* findings that follow from others are not folded: --all */
  struct pl_check check;         /* as it was left, for what tries remedies on */
  struct pl_remedy_counts remedies;
};

enum pl_stage {
  PL_STAGE_NONE,
  PL_STAGE_BUILT,
  PL_STAGE_SOLVED,
  PL_STAGE_CHECKED
};

struct pl_command {
  const char *name;
  const char *usage; /* "FILE [--json]" */
  const char *help;  /* one line */
  int arguments_min, arguments_max;
  enum pl_stage stage; /* the driver brings arguments[0] this far before `run` */
  const char
      *options; /* letters of the options it takes: o = -o, s = --state, j = --json, n =
                   --only, p = --spice, t = --table, f = --full-length, a = --all, y = --apply */
  int (*run)(struct pl_session *session, const struct pl_options *options);
};

extern const struct pl_command pl_commands[];
extern const int pl_command_count;

/* Runs the whole program; returns its exit status. */
int pl_cli_main(int argc, char **argv);

/* Brings a harness to `stage`.  False when its text cannot be read: the errors are in
 * session->findings. */
bool pl_session_run(struct pl_session *session,
                    const char *path,
                    const struct pl_reader *reader,
                    enum pl_stage stage);
void pl_session_init(struct pl_session *session, struct pl_arena *arena);
void pl_session_release(struct pl_session *session); /* what the solver holds; the arena stays */

/* Writes to stdout whole; PL_EXIT_MACHINE when that fails (a full disk behind a pipe), else
 * `status`. */
int pl_cli_print(const char *text, size_t n, int status);
/* "pinloom: error: text" on stderr; returns `status`. */
int pl_cli_complain(int status, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The text or the readings cannot be read: their errors, to stderr or as JSON; PL_EXIT_TEXT. */
int pl_cli_print_errors(struct pl_session *session, const struct pl_options *options);

/* PL_EXIT_FINDINGS when a finding stands that is not waived. */
int pl_session_status(const struct pl_session *session);

#endif
