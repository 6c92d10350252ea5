/* Options and commands: reading argv, help, and the last word when memory or disk fails. */
#include "cli/cli.h"
#include "cli/help_words.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/nearest.h"
#include "base/pages.h"
#include "finding/finding.h"

#ifndef PACKAGE_VERSION
#define PACKAGE_VERSION "unknown"
#endif

struct option {
  char letter; /* as commands name it */
  const char *word, *value, *help;
};

static const struct option options_table[] = {
    {'o', "-o", "DIR", "folder to write to (default out/ and the name of the file)"},
    {'s', "--state", "STATE", "state to solve"},
    {'n', "--only", "SECTIONS", "sections of the book, commas between"},
    {'j', "--json", NULL, "for machines: JSON on standard output"},
    {'r', "--proofs", NULL, "how far each requirement is proven"},
    {'t', "--table", NULL, "the fault table as JSON, for other programs"},
    {'f', "--full-length", NULL, "assembly board: no run shortened, as many tiles as it takes"},
    {'a', "--all", NULL, "also what follows from other findings, each by itself"},
    {'y',
     "--apply",
     NULL,
     "write the remedies that were tried into the text; the old one is kept as FILE.bak"},
    {'p', "--spice", NULL, "the solved network as a SPICE netlist"},
};
enum {
  OPTION_COUNT = sizeof options_table / sizeof options_table[0]
};

int pl_cli_print(const char *text, size_t n, int status) {
  if (fwrite(text, 1, n, stdout) != n || fflush(stdout) != 0)
    return pl_cli_complain(PL_EXIT_MACHINE, "cannot write the output; is the disk full?");
  return status;
}

int pl_cli_complain(int status, const char *format, ...) {
  va_list arguments;
  fputs("pinloom: error: ", stderr);
  va_start(arguments, format);
  vfprintf(stderr, format, arguments);
  va_end(arguments);
  fputc('\n', stderr);
  return status;
}

static void out_of_memory(void *context) {
  (void)context;
  fputs("pinloom: error: out of memory; nothing was written\n", stderr);
  _Exit(PL_EXIT_MACHINE);
}

/* ---- help ---- */

static const struct pl_command *find_command(const char *name) {
  for (int i = 0; i < pl_command_count; i++)
    if (strcmp(pl_commands[i].name, name) == 0)
      return &pl_commands[i];
  return NULL;
}

static void help_command(struct pl_buffer *out, const struct pl_command *command) {
  pl_buffer_printf(out,
                   "  pinloom %s%s%s\n      %s\n",
                   command->name,
                   command->usage[0] != '\0' ? " " : "",
                   command->usage,
                   command->help);
}

static void help_option(struct pl_buffer *out, const struct option *option) {
  pl_buffer_printf(out,
                   "  %s %-*s  %s\n",
                   option->word,
                   (int)(15 - strlen(option->word)),
                   option->value != NULL ? option->value : "",
                   option->help);
}

static int help(struct pl_arena *arena, const char *name) {
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  pl_buffer_puts(&out,
                 "Pinloom: the electrical plan of an engine in a machine it was not made for.\n\n");
  for (int i = 0; i < pl_command_count; i++)
    if (name == NULL || strcmp(name, pl_commands[i].name) == 0)
      help_command(&out, &pl_commands[i]);
  const struct pl_command *only = NULL;
  if (name != NULL)
    only = find_command(name);
  if (only == NULL || only->options[0] != '\0')
    pl_buffer_puts(&out, "\nOptions:\n");
  for (int i = 0; i < OPTION_COUNT; i++)
    if (only == NULL || strchr(only->options, options_table[i].letter) != NULL)
      help_option(&out, &options_table[i]);
  pl_buffer_puts(
      &out,
      "\nExit status: 0 fine, 1 findings, 2 the text or the command cannot be read, 3 the machine "
      "failed (disk, memory).\n"
      "The language of harness texts: docs/language.md. A first harness: pinloom new NAME.\n");
  return pl_cli_print(out.at, out.n, PL_EXIT_FINE);
}

/* A word of the language; false when it is none. */
static bool help_word(struct pl_arena *arena, const char *word, int *status) {
  struct pl_buffer out;
  pl_buffer_init(&out, arena);
  if (!pl_help_word(&out, word))
    return false;
  *status = pl_cli_print(out.at, out.n, PL_EXIT_FINE);
  return true;
}

/* ---- reading argv ---- */

static bool is_text_file(const char *word) {
  size_t n = strlen(word);
  if (!(n > 5))
    return false;
  return strcmp(word + n - 5, ".loom") == 0;
}

static int unknown_command(const char *name) {
  struct pl_nearest nearest;
  if (is_text_file(name))
    return pl_cli_complain(PL_EXIT_TEXT,
                           "say what to do with %s, for example: pinloom check %s",
                           name,
                           name);
  pl_nearest_init(&nearest, name);
  for (int i = 0; i < pl_command_count; i++)
    pl_nearest_offer(&nearest, pl_commands[i].name);
  if (nearest.best != NULL)
    return pl_cli_complain(PL_EXIT_TEXT,
                           "there is no command `%s`; did you mean `%s`?",
                           name,
                           nearest.best);
  return pl_cli_complain(PL_EXIT_TEXT, "there is no command `%s`; `pinloom help` lists them", name);
}

static bool set_option(struct pl_options *options, char letter, const char *value) {
  switch (letter) {
    case 'o':
      options->folder = value;
      return true;
    case 's':
      options->state = value;
      return true;
    case 'n':
      options->only = value;
      return true;
    case 'j':
      options->json = true;
      return true;
    case 'r':
      options->proofs = true;
      return true;
    case 'f':
      options->full_length = true;
      return true;
    case 'p':
      options->spice = true;
      return true;
    case 't':
      options->table = true;
      return true;
    case 'a':
      options->all = true;
      return true;
    case 'y':
      options->apply = true;
      return true;
    default:
      return false;
  }
}

static const struct option *find_option(const char *word) {
  for (int i = 0; i < OPTION_COUNT; i++)
    if (strcmp(options_table[i].word, word) == 0)
      return &options_table[i];
  return NULL;
}

static const char *usage_of(const struct pl_command *command, char *line, size_t size) {
  snprintf(line,
           size,
           "pinloom %s%s%s",
           command->name,
           command->usage[0] != '\0' ? " " : "",
           command->usage);
  return line;
}

/* 0, or an exit status after a complaint. */
static int read_arguments(const struct pl_command *command,
                          int argc,
                          char **argv,
                          struct pl_options *options) {
  bool words_only = false;
  char line[128];
  for (int i = 0; i < argc; i++) {
    if (!words_only && strcmp(argv[i], "--") == 0) {
      words_only = true;
    } else if (!words_only && argv[i][0] == '-' && argv[i][1] != '\0') {
      const struct option *option = find_option(argv[i]);
      if (option == NULL || strchr(command->options, option->letter) == NULL)
        return pl_cli_complain(PL_EXIT_TEXT,
                               "`pinloom %s` takes no `%s`; it is used: %s",
                               command->name,
                               argv[i],
                               usage_of(command, line, sizeof line));
      if (option->value != NULL && i + 1 >= argc)
        return pl_cli_complain(PL_EXIT_TEXT,
                               "`%s` needs a value: %s %s",
                               argv[i],
                               option->word,
                               option->value);
      set_option(options, option->letter, option->value != NULL ? argv[++i] : NULL);
    } else if (options->argument_count >= command->arguments_max) {
      return pl_cli_complain(PL_EXIT_TEXT,
                             "`%s` is one word too many; it is used: %s",
                             argv[i],
                             usage_of(command, line, sizeof line));
    } else {
      options->arguments[options->argument_count++] = argv[i];
    }
  }
  if (command->stage != PL_STAGE_NONE && options->argument_count > 1 &&
      is_text_file(options->arguments[1]) && !is_text_file(options->arguments[0]))
    return pl_cli_complain(PL_EXIT_TEXT,
                           "the file comes first; it is used: %s",
                           usage_of(command, line, sizeof line));
  if (options->argument_count < command->arguments_min)
    return pl_cli_complain(PL_EXIT_TEXT,
                           "something is missing; it is used: %s",
                           usage_of(command, line, sizeof line));
  return 0;
}

/* The text cannot be read: its errors, and 2; 3 when the first file could not be had because the
 * machine failed. */
int pl_cli_print_errors(struct pl_session *session, const struct pl_options *options) {
  struct pl_buffer out;
  pl_buffer_init(&out, session->arena);
  if (options->json) {
    pl_findings_print_json(&out, &session->findings, &session->sources);
    return pl_cli_print(out.at, out.n, PL_EXIT_TEXT);
  }
  pl_findings_print(&out, &session->findings, &session->sources);
  fwrite(out.at, 1, out.n, stderr);
  return PL_EXIT_TEXT;
}

static int run_command(const struct pl_command *command, const struct pl_options *options) {
  struct pl_arena arena;
  struct pl_session session;
  pl_arena_init(&arena, out_of_memory, NULL);
  pl_session_init(&session, &arena);
  session.all = options->all;
  int status;
  if (!pl_session_run(&session, options->arguments[0], &pl_reader_disk, command->stage))
    status = pl_cli_print_errors(&session, options);
  else
    status = command->run(&session, options);
  pl_session_release(&session);
  pl_arena_release(&arena);
  return status;
}

static int run_help(const char *name) {
  struct pl_arena arena;
  if (name != NULL && strcmp(name, "help") == 0)
    name = NULL;
  pl_arena_init(&arena, out_of_memory, NULL);
  int status = PL_EXIT_FINE;
  if (name == NULL || find_command(name) != NULL)
    status = help(&arena, name);
  else if (!help_word(&arena, name, &status))
    status = unknown_command(name);
  pl_arena_release(&arena);
  return status;
}

int pl_cli_main(int argc, char **argv) {
  struct pl_options options = {0};
  pl_pages_keep();
  if (argc < 2)
    return pl_cli_complain(PL_EXIT_TEXT, "say what to do; `pinloom help` lists the commands");
  if (strcmp(argv[1], "help") == 0 || strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0)
    return run_help(argc > 2 ? argv[2] : NULL);
  if (strcmp(argv[1], "version") == 0 || strcmp(argv[1], "--version") == 0)
    return pl_cli_print("pinloom " PACKAGE_VERSION "\n",
                        sizeof "pinloom " PACKAGE_VERSION "\n" - 1,
                        PL_EXIT_FINE);
  const struct pl_command *command = find_command(argv[1]);
  if (command == NULL)
    return unknown_command(argv[1]);
  for (int i = 2; i < argc; i++)
    if (strcmp(argv[i], "--help") == 0)
      return run_help(command->name);
  int status = read_arguments(command, argc - 2, argv + 2, &options);
  if (status != 0)
    return status;
  return run_command(command, &options);
}
