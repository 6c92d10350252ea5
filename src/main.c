/* The command; everything it can do is in the library and in cli/. */
#include "cli/cli.h"

int main(int argc, char **argv) {
  return pl_cli_main(argc, argv);
}
