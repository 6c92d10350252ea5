/* Files in whole and out whole.  Must not know what is in them.  No memory of its own: nothing is
 * open while the arena is asked, so a handler that jumps leaves no descriptor behind. */
#define _XOPEN_SOURCE 700 /* realpath */

#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/buffer.h"
#include "base/limits.h"

#ifndef PATH_MAX
#define PATH_MAX 4096
#endif

enum {
  TEMP_TRIES = 1000,
  READ_TRIES = 8
};

static enum pl_file_status status_of(int error) {
  switch (error) {
    case ENOENT:
    case ENOTDIR:
      return PL_FILE_MISSING;
    case EACCES:
    case EPERM:
    case EROFS:
      return PL_FILE_DENIED;
    case EISDIR:
    case ENXIO:
      return PL_FILE_NOT_REGULAR;
    case EEXIST:
      return PL_FILE_EXISTS;
    case EFBIG:
    case EOVERFLOW:
      return PL_FILE_TOO_LARGE;
    default:
      return PL_FILE_FAILED;
  }
}

const char *pl_file_status_text(enum pl_file_status status) {
  switch (status) {
    case PL_FILE_OK:
      return "no error";
    case PL_FILE_MISSING:
      return "no such file or folder";
    case PL_FILE_DENIED:
      return "permission denied";
    case PL_FILE_NOT_REGULAR:
      return "not a regular file";
    case PL_FILE_TOO_LARGE:
      return "the file is too large";
    case PL_FILE_EXISTS:
      return "a file of that name exists already";
    case PL_FILE_FAILED:
      break;
  }
  return "reading or writing failed";
}

/* Fills text[0..room-1] until the file ends or the room does. */
static enum pl_file_status read_some(const char *path, char *text, size_t room, size_t *size) {
  int file =
      open(path, O_RDONLY | O_NONBLOCK | O_NOCTTY | O_CLOEXEC); /* a pipe must not make us wait */
  enum pl_file_status status = PL_FILE_OK;
  struct stat about;

  if (file < 0)
    return status_of(errno);
  if (fstat(file, &about) != 0)
    status = status_of(errno);
  else if (!S_ISREG(about.st_mode))
    status = PL_FILE_NOT_REGULAR;
  *size = 0;
  while (status == PL_FILE_OK && *size < room) {
    ssize_t got = read(file, text + *size, room - *size);

    if (got == 0)
      break;
    if (got > 0)
      *size += (size_t)got;
    else if (errno != EINTR)
      status = status_of(errno);
  }
  close(file);
  return status;
}

enum pl_file_status
pl_file_read(struct pl_arena *arena, const char *path, const char **text, size_t *size) {
  struct stat about;
  size_t room;

  if (stat(path, &about) != 0)
    return status_of(errno);
  if (!S_ISREG(about.st_mode))
    return PL_FILE_NOT_REGULAR;
  if (about.st_size > PL_LIMIT_FILE)
    return PL_FILE_TOO_LARGE;
  room = (size_t)about.st_size + 1; /* one more byte tells whether the file has grown since */
  for (int i = 0; i < READ_TRIES; i++) {
    char *bytes = pl_arena_alloc(arena, room + 1, 1);
    enum pl_file_status status = read_some(path, bytes, room, size);

    if (status != PL_FILE_OK)
      return status;
    if (*size > PL_LIMIT_FILE)
      return PL_FILE_TOO_LARGE;
    if (*size < room) {
      bytes[*size] = '\0';
      *text = bytes;
      return PL_FILE_OK;
    }
    if (room > PL_LIMIT_FILE / 8)
      room = PL_LIMIT_FILE + 1;
    else
      room = room * 8 + 4096;
  }
  return PL_FILE_FAILED;
}

/* Opens a file of a name nobody has, in the folder of `path`; `temp` has PATH_MAX bytes. */
static int open_temp(const char *path, char *temp) {
  const char *slash = strrchr(path, '/');
  int folder = 0;
  if (slash != NULL)
    folder = (int)(slash - path) + 1;

  for (int i = 0; i < TEMP_TRIES; i++) {
    int length = snprintf(temp, PATH_MAX, "%.*s.pinloom-%ld-%d", folder, path, (long)getpid(), i);
    int file;

    if (length < 0 || length >= PATH_MAX) {
      errno = ENAMETOOLONG;
      return -1;
    }
    file = open(temp, O_WRONLY | O_CREAT | O_EXCL | O_NOCTTY | O_CLOEXEC, 0666);
    if (file >= 0 || errno != EEXIST)
      return file;
  }
  return -1;
}

static enum pl_file_status write_all(int file, const char *bytes, size_t size) {
  while (size > 0) {
    ssize_t put = write(file, bytes, size);

    if (put < 0 && errno != EINTR)
      return status_of(errno);
    if (put == 0)
      return PL_FILE_FAILED;
    if (put > 0) {
      bytes += put;
      size -= (size_t)put;
    }
  }
  if (fsync(file) == 0)
    return PL_FILE_OK;
  return status_of(errno);
}

/* Gives the finished file its name, unless the name is taken.  Where the disk knows no links
 * (memory sticks), the name is taken first, empty, and then replaced. */
static enum pl_file_status name_new(const char *temp, const char *path) {
  int file;

  if (link(temp, path) == 0) {
    unlink(temp);
    return PL_FILE_OK;
  }
  if (errno != EPERM && errno != ENOSYS && errno != ENOTSUP && errno != EOPNOTSUPP &&
      errno != EMLINK)
    return status_of(errno);
  file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_NOCTTY | O_CLOEXEC, 0666);
  if (file < 0)
    return status_of(errno);
  close(file);
  if (rename(temp, path) == 0)
    return PL_FILE_OK;
  unlink(path);
  return PL_FILE_FAILED;
}

/* Where to write: behind a symbolic link, so that the link stays.  The mode of an existing file is
 * kept. */
static enum pl_file_status
look_at_target(const char *path, char resolved[PATH_MAX], bool create_only, mode_t *mode) {
  struct stat about;

  *mode = 0;
  if (strlen(path) >= PATH_MAX)
    return PL_FILE_FAILED;
  strcpy(resolved, path);
  if (lstat(path, &about) != 0)
    return errno == ENOENT && path[0] != '\0' ? PL_FILE_OK : status_of(errno);
  if (create_only)
    return PL_FILE_EXISTS;
  if (S_ISLNK(about.st_mode) && (realpath(path, resolved) == NULL || stat(resolved, &about) != 0))
    return status_of(errno);
  if (!S_ISREG(about.st_mode))
    return PL_FILE_NOT_REGULAR;
  if (access(resolved, W_OK) != 0)
    return status_of(errno);
  *mode = about.st_mode & 07777;
  return PL_FILE_OK;
}

enum pl_file_status
pl_file_write(const char *path, const char *bytes, size_t size, bool create_only) {
  char target[PATH_MAX], temp[PATH_MAX];
  enum pl_file_status status;
  mode_t mode;
  int file;

  status = look_at_target(path, target, create_only, &mode);
  if (status != PL_FILE_OK)
    return status;
  file = open_temp(target, temp);
  if (file < 0)
    return errno == EEXIST ? PL_FILE_FAILED : status_of(errno);
  status = write_all(file, bytes, size);
  if (status == PL_FILE_OK && mode != 0 && fchmod(file, mode) != 0 && errno != EPERM)
    status = status_of(errno);
  if (close(file) != 0 && status == PL_FILE_OK)
    status = status_of(errno);
  if (status == PL_FILE_OK && create_only)
    status = name_new(temp, target);
  else if (status == PL_FILE_OK && rename(temp, target) != 0)
    status = status_of(errno);
  if (status != PL_FILE_OK)
    unlink(temp);
  return status;
}

static enum pl_file_status make_one(const char *path) {
  struct stat about;

  if (stat(path, &about) == 0)
    return S_ISDIR(about.st_mode) ? PL_FILE_OK : PL_FILE_EXISTS;
  if (errno == ENOTDIR)
    return PL_FILE_EXISTS;
  if (mkdir(path, 0777) == 0)
    return PL_FILE_OK;
  if (errno == EEXIST && stat(path, &about) == 0 && S_ISDIR(about.st_mode))
    return PL_FILE_OK;
  return status_of(errno);
}

enum pl_file_status pl_folder_make(const char *path) {
  char part[PATH_MAX];
  size_t n = strlen(path);

  if (n == 0)
    return PL_FILE_MISSING;
  if (n >= PATH_MAX)
    return PL_FILE_FAILED;
  memcpy(part, path, n + 1);
  for (size_t i = 1; i <= n; i++) {
    enum pl_file_status status;

    if (part[i] != '/' && part[i] != '\0')
      continue;
    part[i] = '\0';
    status = make_one(part);
    if (status != PL_FILE_OK)
      return status;
    part[i] = path[i];
  }
  return PL_FILE_OK;
}

/* Appends the parts of `name` to a folded path: "." falls away, ".." takes the last part away where
 * there is one. */
static void add_parts(struct pl_buffer *path, const char *name, size_t n) {
  size_t at = 0;

  while (at < n) {
    size_t length = 0;
    size_t last = path->n;

    while (at + length < n && name[at + length] != '/')
      length++;
    while (last > 0 && path->at[last - 1] != '/')
      last--;
    if (length == 2 && memcmp(name + at, "..", 2) == 0 && strcmp(path->at, "/") == 0) {
      /* above the root is the root */
    } else if (length == 2 && memcmp(name + at, "..", 2) == 0 && path->n > 0 &&
               strcmp(path->at + last, "..") != 0) {
      if (last > 1)
        path->n = last - 1;
      else
        path->n = last;
      path->at[path->n] = '\0';
    } else if (length > 0 && !(length == 1 && name[at] == '.')) {
      if (path->n > 0 && path->at[path->n - 1] != '/')
        pl_buffer_puts(path, "/");
      pl_buffer_add(path, name + at, length);
    }
    at += length + 1;
  }
}

const char *pl_path_beside(struct pl_arena *arena, const char *from, const char *name) {
  const char *slash = strrchr(from, '/');
  struct pl_buffer path;

  pl_buffer_init(&path, arena);
  if (name[0] == '/' || (slash != NULL && from[0] == '/'))
    pl_buffer_puts(&path, "/");
  if (name[0] != '/' && slash != NULL)
    add_parts(&path, from, (size_t)(slash - from));
  add_parts(&path, name, strlen(name));
  if (path.n == 0)
    pl_buffer_puts(&path, ".");
  return path.at;
}
