/* Files in whole and out whole: nobody ever sees half a file. */
#ifndef PL_BASE_FILE_H
#define PL_BASE_FILE_H

#include <stdbool.h>

#include "base/arena.h"

enum pl_file_status {
  PL_FILE_OK,
  PL_FILE_MISSING,
  PL_FILE_DENIED,
  PL_FILE_NOT_REGULAR,
  PL_FILE_TOO_LARGE,
  PL_FILE_EXISTS,
  PL_FILE_FAILED
};

/* Reads a regular file of at most PL_LIMIT_FILE bytes; the text is followed by a NUL that *size
 * does not count. */
enum pl_file_status
pl_file_read(struct pl_arena *arena, const char *path, const char **text, size_t *size);

/* Writes beside the target, syncs, renames over it.  With `create_only` an existing target is left
 * alone (PL_FILE_EXISTS), without a race.  On failure nothing is left behind.  Otherwise a symbolic
 * link is written through, the mode of an existing file is kept, and a file that may not be written
 * is left alone (PL_FILE_DENIED). */
enum pl_file_status
pl_file_write(const char *path, const char *bytes, size_t size, bool create_only);

enum pl_file_status
pl_folder_make(const char *path); /* with its parents; an existing folder is fine */

const char *pl_file_status_text(enum pl_file_status status); /* "no such file", ... */

/* `name` as seen from the folder of `from` ("a/b.loom" + "c.loom" -> "a/c.loom"); absolute names
 * stay. "./" and "x/../" are folded, so that one file has one name. */
const char *pl_path_beside(struct pl_arena *arena, const char *from, const char *name);

#endif
