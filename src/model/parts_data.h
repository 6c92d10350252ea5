/* The shipped parts library (harnesses/parts/), built into the program; the table itself is written
 * by tools/embed while building.  In the order of the file names. */
#ifndef PL_BUILD_PARTS_DATA_H
#define PL_BUILD_PARTS_DATA_H

struct pl_parts_file {
  const char *name;          /* "relays.loom" */
  const unsigned char *text; /* followed by a NUL that size does not count */
  unsigned size;
};

extern const struct pl_parts_file pl_parts_files[];
extern const unsigned pl_parts_count;

/* The text `pinloom new` writes, with @NAME@ where the machine's name goes; followed by a NUL. */
extern const unsigned char pl_starter_text[];
extern const unsigned pl_starter_size;

#endif
