/* The command: says how it is used. */
#include <stdio.h>

int main(void) {
  fputs("usage: pinloom COMMAND FILE\n", stderr);
  return 2;
}
