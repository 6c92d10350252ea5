/* Every limit of the program in one place; each has a test. */
#ifndef PL_BASE_LIMITS_H
#define PL_BASE_LIMITS_H

enum {
  PL_LIMIT_FILE = 64 * 1024 * 1024, /* bytes of one text file */
  PL_LIMIT_LINE = 4096,             /* bytes of one line */
  PL_LIMIT_NAME = 64,               /* bytes of one name */
  PL_LIMIT_TEXT = 1000,             /* bytes of one "text" */
  PL_LIMIT_FILES = 200,             /* files of one harness */
  PL_LIMIT_DEPTH = 20,              /* includes within includes */
  PL_LIMIT_CAVITIES = 1000,         /* of one connector */
  PL_LIMIT_DEVICES = 200000,
  PL_LIMIT_PINS = 1000000,
  PL_LIMIT_WIRES = 500000,
  PL_LIMIT_ERRORS = 100, /* reported for one run; the rest are counted */
  PL_LIMIT_MODES = 400   /* steps towards a consistent set of relay and diode positions */
};

#endif
