/* A library of others that is loaded when it is first needed, not with the program: what draws
 * brings two dozen libraries with it, for which a command that draws nothing would wait longer than
 * for its own work. */
#ifndef PL_BASE_LIBRARY_H
#define PL_BASE_LIBRARY_H

#include <stdbool.h>
#include <stddef.h>

/* One function or variable of it: its name, and which member of the caller's struct gets its
 * address. */
struct pl_library_name {
  const char *name;
  size_t member;
};

/* Such a struct has members called as the names are, each PL_LIBRARY_MEMBER(name), and its list is
 * made of PL_LIBRARY_NAME(struct, name). */
#define PL_LIBRARY_MEMBER(name) __typeof__(name) *name;
#define PL_LIBRARY_NAME(type, name) \
  { #name, offsetof(type, name) }

/* Fills the struct from the library of that file name, looked for as the system does when it starts
 * a program.  False when it is not there or lacks a name.  Once loaded it stays, and another call
 * costs little. */
bool pl_library_load(const char *file,
                     const struct pl_library_name *names,
                     size_t count,
                     void *members);

#endif
