/* QR codes (ISO/IEC 18004) as one path, by libqrencode, loaded when the first is drawn; the only
 * file that knows it. */
#include <qrencode.h>
#include <stdlib.h>
#include <string.h>

#include "base/buffer.h"
#include "base/library.h"
#include "base/number.h"
#include "draw/label_sheet.h"

enum {
  QUIET = 4
}; /* modules of white around a code: ISO/IEC 18004 */

#define NAMES(X) X(QRcode_encodeString8bit) X(QRcode_free)

struct library {
  NAMES(PL_LIBRARY_MEMBER)
};

static bool load(struct library *library) {
#define NAME(name) PL_LIBRARY_NAME(struct library, name),
  static const struct pl_library_name names[] = {NAMES(NAME)};
  return pl_library_load(PL_CODE_LIBRARY, names, sizeof names / sizeof names[0], library);
#undef NAME
}

static void put_mm(struct pl_buffer *out, const char *letter, double value) {
  char text[PL_NUMBER_SIZE];
  pl_buffer_printf(out, "%s%s", letter, pl_number_fixed(text, value, 2));
}

const char *pl_qr_path(struct pl_arena *arena, const char *text, double module, double *size) {
  struct pl_buffer path;
  struct library library;
  *size = 0;
  if (strlen(text) > PL_QR_LONGEST)
    return "";
  if (!load(&library))
    return "";
  QRcode *code = library.QRcode_encodeString8bit(text, 0, QR_ECLEVEL_M);
  if (code == NULL)
    return "";
  pl_buffer_init(&path, arena);
  *size = (code->width + 2 * QUIET) * module;
  for (int y = 0; y < code->width; y++)
    for (int x = 0, n; x < code->width; x += n) {
      bool dark = code->data[y * code->width + x] & 1;
      for (n = 1; x + n < code->width && (code->data[y * code->width + x + n] & 1) == dark; n++) {
      }
      if (!dark)
        continue;
      put_mm(&path, "M", (x + QUIET) * module);
      put_mm(&path, " ", (y + QUIET) * module);
      put_mm(&path, "h", n * module);
      put_mm(&path, "v", module);
      put_mm(&path, "h", -n * module);
      pl_buffer_puts(&path, "z");
    }
  library.QRcode_free(code);
  return path.at;
}
