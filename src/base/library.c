/* Loading by the system's own loader.  Must not know what for. */
#include "base/library.h"

#include <dlfcn.h>
#include <string.h>

bool pl_library_load(const char *file,
                     const struct pl_library_name *names,
                     size_t count,
                     void *members) {
  void *library = dlopen(file, RTLD_NOW);

  for (size_t i = 0; library != NULL && i < count; i++) {
    void *address = dlsym(library, names[i].name);

    if (address == NULL)
      return false;
    memcpy((char *)members + names[i].member, &address, sizeof address);
  }
  return library != NULL;
}
