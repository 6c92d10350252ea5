/* Measures texts on the real font, glyph by glyph, in the font's own units. */
#include "readback.h"

#include <ft2build.h>
#include FT_FREETYPE_H

#include <math.h>
#include <stdio.h>

#include "base/utf8.h"

static const char *const files[2][2] =
    {/* Debian's fonts-liberation, by its present and its former folder */
     {"/usr/share/fonts/truetype/liberation/LiberationSans-Regular.ttf",
      "/usr/share/fonts/truetype/liberation2/LiberationSans-Regular.ttf"},
     {"/usr/share/fonts/truetype/liberation/LiberationSans-Bold.ttf",
      "/usr/share/fonts/truetype/liberation2/LiberationSans-Bold.ttf"}};

static FT_Library library;
static FT_Face faces[2];

bool rb_font_open(void) {
  if (FT_Init_FreeType(&library) != 0)
    return false;
  for (int f = 0; f < 2; f++)
    if (FT_New_Face(library, files[f][0], 0, &faces[f]) != 0 &&
        FT_New_Face(library, files[f][1], 0, &faces[f]) != 0)
      return false;
  return true;
}

void rb_font_close(void) {
  for (int f = 0; f < 2; f++)
    if (faces[f] != NULL)
      FT_Done_Face(faces[f]);
  if (library != NULL)
    FT_Done_FreeType(library);
}

struct rb_area rb_font_area(const char *text, bool bold, double *advance) {
  FT_Face face = faces[bold ? 1 : 0];
  double em = face->units_per_EM;
  double at = 0;
  struct rb_area area = {INFINITY, INFINITY, -INFINITY, -INFINITY};
  for (size_t n = strlen(text), i = 0; i < n;) {
    uint32_t code = 0;
    size_t length = pl_utf8_decode(text + i, n - i, &code);
    if (length == 0)
      code = 0xFFFD;
    i += length == 0 ? 1 : length;
    FT_UInt glyph = FT_Get_Char_Index(face, code);
    if (glyph == 0) { /* another font will show it: a square of one em, which is what East Asian
                         glyphs take */
      double wide = pl_utf8_width(code) == 0 ? 0 : 1;
      if (wide > 0)
        area = (struct rb_area){fmin(area.x1, at),
                                fmin(area.y1, -0.88),
                                fmax(area.x2, at + 1),
                                fmax(area.y2, 0.12)};
      at += wide;
      continue;
    }
    if (FT_Load_Glyph(face, glyph, FT_LOAD_NO_SCALE) != 0)
      continue;
    const FT_Glyph_Metrics *metrics = &face->glyph->metrics;
    if (metrics->width > 0) {
      double left = at + (double)metrics->horiBearingX / em;
      double top = -(double)metrics->horiBearingY / em;
      area.x1 = fmin(area.x1, left);
      area.x2 = fmax(area.x2, left + (double)metrics->width / em);
      area.y1 = fmin(area.y1, top);
      area.y2 = fmax(area.y2, top + (double)metrics->height / em);
    }
    at += (double)metrics->horiAdvance / em;
  }
  if (advance != NULL)
    *advance = at;
  if (area.x1 > area.x2)
    area = (struct rb_area){0, 0, 0, 0};
  return area;
}
