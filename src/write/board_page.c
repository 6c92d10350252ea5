/* board.html: the assembly board's map and tiles, each on paper of its own size without margins, so
 * that a browser prints them 1:1 in one go. */
#include <string.h>

#include "write/svg.h"
#include "write/xhtml_inner.h"

static bool is_board(const struct pl_scene *scene) {
  return strncmp(scene->file, "board", 5) == 0;
}

static void put_head(struct pl_xml *xml, const struct pl_scene *first) {
  static const char *const metas[][3] = {
      {"name", "viewport", "width=device-width, initial-scale=1"},
      {"http-equiv",
       "Content-Security-Policy",
       "default-src 'none'; style-src 'unsafe-inline'; img-src 'self' data:"},
      {"name", "generator", "pinloom"}};
  bool us = first->width < 290; /* Letter is 279.4 mm wide on its side, A4 297 mm */
  pl_xml_start(xml, "head");
  pl_xml_start(xml, "meta");
  pl_xml_attribute(xml, "charset", "utf-8");
  pl_xml_end(xml);
  for (size_t i = 0; i < sizeof metas / sizeof metas[0]; i++) {
    pl_xml_start(xml, "meta");
    pl_xml_attribute(xml, metas[i][0], metas[i][1]);
    pl_xml_attribute(xml, "content", metas[i][2]);
    pl_xml_end(xml);
  }
  pl_xml_element(xml, "title", "Assembly board");
  const char *const rules[] = {
      us ? "@page{size:letter landscape;margin:0}\n" : "@page{size:A4 landscape;margin:0}\n",
      "html,body{margin:0;background:#fff}\nsvg{display:block;margin:0 auto 8mm}\n"
      "h1{font:bold 5mm sans-serif;margin:6mm}\n@media "
      "print{h1{display:none}svg{margin:0;break-after:page}svg:last-child{break-after:auto}}\n",
      pl_svg_style};
  for (size_t i = 0; i < sizeof rules / sizeof rules[0]; i++) {
    pl_xml_start(xml, "style");
    pl_xml_code(xml, rules[i]);
    pl_xml_end(xml);
  }
  pl_xml_end(xml);
  pl_xml_break(xml);
}

bool pl_xhtml_board(struct pl_buffer *out, const pl_scenes *drawings, struct pl_arena *arena) {
  struct pl_xml xml;
  uint32_t first = 0;
  while (first < drawings->n && !is_board(&drawings->at[first]))
    first++;
  if (first == drawings->n)
    return false;
  pl_xml_begin(&xml, out, PL_XML_XHTML);
  pl_xml_start(&xml, "html");
  pl_xml_attribute(&xml, "xmlns", "http://www.w3.org/1999/xhtml");
  pl_xml_attribute(&xml, "lang", "en");
  pl_xml_attribute(&xml, "xml:lang", "en");
  put_head(&xml, &drawings->at[first]);
  pl_xml_start(&xml, "body");
  pl_xml_element(&xml, "h1", "Assembly board: print at 100 %, without margins");
  for (uint32_t i = first; i < drawings->n; i++)
    if (is_board(&drawings->at[i]))
      pl_svg_element(&xml, &drawings->at[i], pl_arena_printf(arena, "b%u-", i));
  pl_xml_end(&xml);
  pl_xml_end(&xml);
  return pl_xml_finish(&xml);
}
