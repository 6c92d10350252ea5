/* The XML writer's filters, and scenes as SVG: what is written reads back as well-formed XML,
 * whatever the user typed.
 */
#include "pl_test.h"
#include "test_write.h"

#include "base/utf8.h"
#include "write/svg.h"
#include "write/xml.h"

/* ---- a small reader: well-formedness as XML 1.0 asks, as far as our writers go ---- */

struct reader {
  const char *at, *start;
  const char *names[128];
  size_t lengths[128];
  uint32_t depth;
  const char *fault;
};

static bool name_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
         c == '-' || c == '.' || c == ':';
}

static bool fail(struct reader *reader, const char *why) {
  if (reader->fault == NULL)
    reader->fault = why;
  return false;
}

static bool read_reference(struct reader *reader) {
  static const char *const known[] = {"&lt;", "&gt;", "&amp;", "&quot;", "&#10;", "&#9;", "&#13;"};
  for (size_t i = 0; i < sizeof known / sizeof known[0]; i++)
    if (strncmp(reader->at, known[i], strlen(known[i])) == 0) {
      reader->at += strlen(known[i]);
      return true;
    }
  if (strncmp(reader->at, "&#x", 3) == 0) { /* letters beyond ASCII in a value */
    const char *at = reader->at + 3;
    while ((*at >= '0' && *at <= '9') || (*at >= 'A' && *at <= 'F'))
      at++;
    if (*at == ';' && at > reader->at + 3) {
      reader->at = at + 1;
      return true;
    }
  }
  return fail(reader, "a bare &");
}

static bool read_tag(struct reader *reader) {
  const char *seen[64];
  size_t seen_n[64];
  uint32_t count = 0;
  const char *name = ++reader->at;
  while (name_letter(*reader->at))
    reader->at++;
  size_t n = (size_t)(reader->at - name);
  if (n == 0)
    return fail(reader, "a tag without a name");
  for (;;) {
    bool gap = *reader->at == ' ';
    while (*reader->at == ' ')
      reader->at++;
    if (*reader->at == '/' && reader->at[1] == '>') {
      reader->at += 2;
      return true;
    }
    if (*reader->at == '>') {
      reader->at++;
      if (reader->depth == 128)
        return fail(reader, "too deep");
      reader->names[reader->depth] = name;
      reader->lengths[reader->depth++] = n;
      return true;
    }
    const char *attribute = reader->at;
    while (name_letter(*reader->at))
      reader->at++;
    size_t length = (size_t)(reader->at - attribute);
    if (!gap || length == 0 || reader->at[0] != '=' || reader->at[1] != '"')
      return fail(reader, "a broken attribute");
    for (uint32_t i = 0; i < count; i++)
      if (seen_n[i] == length && strncmp(seen[i], attribute, length) == 0)
        return fail(reader, "an attribute twice");
    if (count < 64) {
      seen[count] = attribute;
      seen_n[count++] = length;
    }
    reader->at += 2;
    while (*reader->at != '"') {
      if (*reader->at == '\0' || *reader->at == '<')
        return fail(reader, "a broken value");
      if (*reader->at == '&' && !read_reference(reader))
        return false;
      else if (*reader->at != '&' && *reader->at != '"')
        reader->at++;
    }
    reader->at++;
  }
}

static bool read_end(struct reader *reader) {
  const char *name = reader->at += 2;
  while (name_letter(*reader->at))
    reader->at++;
  size_t n = (size_t)(reader->at - name);
  if (*reader->at != '>' || reader->depth == 0)
    return fail(reader, "an end too many");
  reader->at++;
  reader->depth--;
  if (reader->lengths[reader->depth] != n || strncmp(reader->names[reader->depth], name, n) != 0)
    return fail(reader, "ends cross");
  return true;
}

/* NULL when well formed, else why not. */
static const char *ill_formed(const char *text) {
  struct reader reader = {.at = text, .start = text};
  size_t n = strlen(text);
  if (pl_utf8_check(text, n) != n)
    return "broken UTF-8";
  for (size_t i = 0; i < n; i++)
    if ((unsigned char)text[i] < 0x20 && text[i] != '\n' && text[i] != '\t')
      return "a control byte";
  if (strncmp(reader.at, "<?xml", 5) == 0)
    reader.at = strstr(reader.at, "?>") + 2;
  else if (strncmp(reader.at, "<!DOCTYPE html>", 15) == 0)
    reader.at += 15;
  while (*reader.at != '\0' && reader.fault == NULL) {
    if (strncmp(reader.at, "<![CDATA[", 9) == 0)
      reader.at = strstr(reader.at, "]]>") + 3;
    else if (reader.at[0] == '<' && reader.at[1] == '/')
      read_end(&reader);
    else if (reader.at[0] == '<')
      read_tag(&reader);
    else if (reader.at[0] == '&')
      read_reference(&reader);
    else
      reader.at++;
  }
  if (reader.fault != NULL)
    return reader.fault;
  if (reader.depth > 0)
    return "not closed";
  return NULL;
}

static void the_reader_itself(void) {
  static const char *const bad[] = {"<a>",
                                    "<a></b>",
                                    "<a b=\"1\" b=\"2\"/>",
                                    "<a>&</a>",
                                    "<a b=1/>",
                                    "<a b=\"<\"/>",
                                    "</a>",
                                    "<a>\x01</a>",
                                    "<a>\xFF</a>",
                                    "<a b=\"1\"c=\"2\"/>"};
  for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
    PL_CHECK(ill_formed(bad[i]) != NULL, bad[i]);
  PL_CHECK_STR(ill_formed("<?xml version=\"1.0\"?>\n<a b=\"1\"><c/>&lt;x</a>\n"), NULL, "good");
}

/* ---- the writer ---- */

static const char *const hostile[] = {
    "plain",
    "<script>alert(1)</script>",
    "a & b \"c\" 'd'",
    "]]>",
    "--><!--",
    "\x01\x02\x1B[31m",
    "\xFF\xFE broken",
    "\xED\xA0\x80 surrogate",
    "\xEF\xBF\xBE",
    "line\nbreak\ttab\r\nreturn\r",
    "\xC2\x80 C1",
    "\xF0\x9F\x9A\x9C",
    "&amp;",
    "\" onload=\"x",
    "",
    "%s%n",
    "\xC3",
};

static void filters(void) {
  for (size_t i = 0; i < sizeof hostile / sizeof hostile[0]; i++)
    for (int kind = 0; kind < 2; kind++) {
      struct pl_arena arena;
      struct pl_buffer out;
      struct pl_xml xml;
      pl_test_arena(&arena);
      pl_buffer_init(&out, &arena);
      pl_xml_begin(&xml, &out, kind == 0 ? PL_XML_PLAIN : PL_XML_XHTML);
      pl_xml_start(&xml, "a");
      pl_xml_attribute(&xml, "b", hostile[i]);
      pl_xml_text(&xml, hostile[i]);
      pl_xml_end(&xml);
      PL_CHECK(pl_xml_finish(&xml), hostile[i]);
      PL_CHECK_STR(ill_formed(out.at), NULL, hostile[i]);
      PL_CHECK(strstr(out.at, "<script") == NULL, hostile[i]);
      pl_arena_release(&arena);
    }
}

static void exact(void) {
  struct pl_arena arena;
  struct pl_buffer out;
  struct pl_xml xml;
  pl_test_arena(&arena);
  pl_buffer_init(&out, &arena);
  pl_xml_begin(&xml, &out, PL_XML_XHTML);
  pl_xml_start(&xml, "p");
  pl_xml_attribute(&xml, "class", "a\"<&");
  pl_xml_number(&xml, "w", 0.25);
  pl_xml_number(&xml, "x", -0.0001);
  pl_xml_number(&xml, "y", 100);
  pl_xml_text(&xml, "1 < 2 \x01 \xE2\x82\xAC");
  pl_xml_start(&xml, "br");
  pl_xml_end(&xml);
  pl_xml_element(&xml, "td", "");
  PL_CHECK(pl_xml_finish(&xml), "finish closes what is open");
  PL_CHECK_STR(out.at,
               "<!DOCTYPE html>\n<p class=\"a&quot;&lt;&amp;\" w=\"0.25\" x=\"0\" y=\"100\">1 &lt; "
               "2 \xEF\xBF\xBD "
               "\xE2\x82\xAC<br/><td></td></p>\n",
               "XHTML");
  pl_arena_release(&arena);
}

static void refused(void) {
  static const char *const names[] =
      {"", "1a", "a b", "a<", "a>b", "-a", "a:b:c", "a:", ":a", "\xC3\xA4", "a\"", "a="};
  for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
    struct pl_arena arena;
    struct pl_buffer out;
    struct pl_xml xml;
    pl_test_arena(&arena);
    pl_buffer_init(&out, &arena);
    pl_xml_begin(&xml, &out, PL_XML_PLAIN);
    pl_xml_start(&xml, "a");
    PL_CHECK(!pl_xml_attribute(&xml, names[i], "x"), names[i]);
    PL_CHECK(!pl_xml_start(&xml, names[i]), names[i]);
    pl_xml_text(&xml, "kept");
    pl_xml_end(&xml);
    PL_CHECK(!pl_xml_attribute(&xml, "late", "x"), "an attribute after content");
    PL_CHECK(!pl_xml_finish(&xml), names[i]);
    PL_CHECK_STR(out.at, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<a>kept</a>\n", names[i]);
    pl_arena_release(&arena);
  }
}

static void limits(void) {
  struct pl_arena arena;
  struct pl_buffer out;
  struct pl_xml xml;
  pl_test_arena(&arena);
  pl_buffer_init(&out, &arena);
  pl_xml_begin(&xml, &out, PL_XML_PLAIN);
  for (int i = 0; i < PL_XML_DEPTH; i++)
    PL_CHECK(pl_xml_start(&xml, "a"), "as deep as may be");
  PL_CHECK(!pl_xml_start(&xml, "b"), "one deeper");
  pl_xml_text(&xml, "text");
  pl_xml_end(&xml);
  for (int i = 0; i < PL_XML_DEPTH; i++)
    pl_xml_end(&xml);
  PL_CHECK(!pl_xml_finish(&xml), "refused was counted");
  PL_CHECK_STR(ill_formed(out.at), NULL, "well formed all the same");
  PL_CHECK(strstr(out.at, "<b") == NULL, "the refused element is left out");
  pl_buffer_init(&out, &arena);
  pl_xml_begin(&xml, &out, PL_XML_PLAIN);
  pl_xml_start(&xml, "a");
  PL_CHECK(pl_xml_attribute(&xml, "x", "1"), "once");
  PL_CHECK(!pl_xml_attribute(&xml, "x", "2"), "the same attribute twice");
  PL_CHECK(!pl_xml_code(&xml, "x </script>"), "code that would end its element");
  PL_CHECK(!pl_xml_code(&xml, "]]>"), "code that would end its section");
  PL_CHECK(pl_xml_code(&xml, "if (a < b && c) x();"), "code");
  pl_xml_finish(&xml);
  PL_CHECK(strstr(out.at, "/*<![CDATA[*/\nif (a < b && c) x();\n/*]]>*/") != NULL,
           "readable as XML and as HTML");
  PL_CHECK_STR(ill_formed(out.at), NULL, "code");
  /* a long text goes through in pieces, never cutting a character */
  char *text = pl_arena_alloc(&arena, 5000, 1);
  for (size_t i = 0; i + 3 < 4998; i += 3)
    memcpy(text + i, "\xE2\x82\xAC", 3);
  pl_buffer_init(&out, &arena);
  pl_xml_begin(&xml, &out, PL_XML_PLAIN);
  pl_xml_element(&xml, "a", text);
  PL_CHECK(pl_xml_finish(&xml), "long text");
  PL_CHECK(strstr(out.at, text) != NULL, "long text");
  pl_arena_release(&arena);
}

/* ---- SVG ---- */

static void fill_scene(struct pl_scene *scene, struct pl_arena *arena, const char *text) {
  pl_scene_init(scene, arena, "x.svg", text, 297, 210);
  scene->description = text;
  struct pl_mm points[] = {{10, 10}, {10, 40}, {60.25, 40}};
  pl_scene_open_of(scene, "w-41", text, "", "wire", text);
  pl_scene_wire(scene, (struct pl_colour){"RD", "WH", ""}, points, 3);
  pl_scene_close(scene);
  pl_scene_open(scene, "g", text, text);
  pl_scene_text(scene, 5, 5, 2.5, PL_ANCHOR_START, text);
  pl_scene_bold(scene, 5, 9, 2.5, PL_ANCHOR_END, text);
  pl_scene_line(scene, PL_STROKE_BOLD, 1, 2, 3, 4);
  pl_scene_box(scene, PL_STROKE_THIN, PL_FILL_GREY, 1, 2, 3, 4);
  pl_scene_circle(scene, PL_STROKE_DASHED, PL_FILL_INK, 1, 2, 3);
  pl_scene_path(scene, PL_STROKE_NORMAL, PL_FILL_NONE, 1, 2, "M0 0L1 1");
  pl_scene_close(scene);
  pl_scene_wire(scene, (struct pl_colour){"WH", "BK", "GN"}, points, 3);
  pl_scene_wire(scene, (struct pl_colour){"", "", ""}, points, 2);
}

static const char *written(struct pl_arena *arena, const char *text) {
  struct pl_scene scene;
  struct pl_buffer out;
  fill_scene(&scene, arena, text);
  pl_buffer_init(&out, arena);
  pl_svg_write(&out, &scene);
  return out.at;
}

static void svg_well_formed(void) {
  for (size_t i = 0; i < sizeof hostile / sizeof hostile[0]; i++) {
    struct pl_arena arena;
    pl_test_arena(&arena);
    const char *svg = written(&arena, hostile[i]);
    PL_CHECK_STR(ill_formed(svg), NULL, hostile[i]);
    PL_CHECK(strstr(svg, "<script") == NULL && strstr(svg, "<image") == NULL &&
                 strstr(svg, "@import") == NULL && strstr(svg, "url(") == NULL,
             hostile[i]);
    pl_arena_release(&arena);
  }
}

/* SVG 1.1: title and desc first, so that they name the drawing; WAI-ARIA graphics roles. */
static void svg_shape(void) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  const char *svg = written(&arena, "Fuel & air");
  const char *head =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" "
      "xmlns:xlink=\"http://www.w3.org/1999/xlink\" "
      "version=\"1.1\" width=\"297mm\" height=\"210mm\" viewBox=\"0 0 297 210\" "
      "role=\"graphics-document document\" "
      "aria-labelledby=\"t d\" class=\"pl-s\">\n<title id=\"t\">Fuel &amp; air</title>\n<desc "
      "id=\"d\">Fuel &amp; "
      "air</desc>\n";
  PL_CHECK(strncmp(svg, head, strlen(head)) == 0, "head");
  PL_CHECK(strstr(svg,
                  "<g id=\"w-41\" role=\"graphics-symbol img\" aria-label=\"Fuel &amp; air\" "
                  "data-what=\"wire\" "
                  "data-name=\"Fuel &amp; air\">") != NULL,
           "group");
  PL_CHECK(strstr(svg, "<a xlink:href=\"Fuel &amp; air\">") != NULL, "link");
  PL_CHECK(strstr(svg, ">Fuel &amp; air</text>") != NULL, "real text");
  PL_CHECK(strstr(svg, "<line x1=\"1\" y1=\"2\" x2=\"3\" y2=\"4\" class=\"pl-k pl-o\"/>") != NULL,
           "line");
  const char *http = strstr(strstr(svg, "http") + 1, "http");
  PL_CHECK(http != NULL && strstr(http + 1, "http") == NULL,
           "nothing outside but the two name spaces");
  pl_arena_release(&arena);
}

/* Dark casing, base colour, dashed stripe with a dark edge; colours of the IEC 60757 rows as the
 * house draws them. */
static void svg_wires(void) {
  struct pl_arena arena;
  pl_test_arena(&arena);
  const char *svg = written(&arena, "x");
  const char *path = "<path d=\"M10 10L10 40L60.25 40\" stroke=";
  const char *layers[] = {"\"#333333\" stroke-width=\"1.4\"/>",
                          "\"#d62728\" stroke-width=\"0.9\"/>",
                          "\"#333333\" stroke-width=\"0.62\" stroke-dasharray=\"2.24 1.76\"",
                          "\"#ffffff\" stroke-width=\"0.42\" stroke-dasharray=\"2 2\""};
  const char *at = svg;
  for (size_t i = 0; i < 4; i++) {
    at = strstr(at, path);
    PL_CHECK(at != NULL, layers[i]);
    if (at == NULL)
      break;
    at += strlen(path);
    PL_CHECK(strncmp(at, layers[i], strlen(layers[i])) == 0, layers[i]);
  }
  PL_CHECK(strstr(svg, "stroke-dasharray=\"2 6\" stroke-dashoffset=\"-5\"") != NULL,
           "a second stripe between the dashes of the first");
  PL_CHECK(strstr(svg, "\"#e4e4e4\"") != NULL, "no colour said");
  pl_arena_release(&arena);
}

static void svg_inside(void) {
  struct pl_arena arena;
  struct pl_scene scene;
  struct pl_buffer out;
  struct pl_xml xml;
  pl_test_arena(&arena);
  fill_scene(&scene, &arena, "x");
  pl_buffer_init(&out, &arena);
  pl_xml_begin(&xml, &out, PL_XML_XHTML);
  pl_xml_start(&xml, "body");
  pl_svg_element(&xml, &scene, "s1-");
  pl_svg_element(&xml, &scene, "s2-");
  PL_CHECK(pl_xml_finish(&xml), "two drawings in one page");
  PL_CHECK_STR(ill_formed(out.at), NULL, "two drawings in one page");
  PL_CHECK(strstr(out.at, "id=\"s1-w-41\"") != NULL && strstr(out.at, "id=\"s2-w-41\"") != NULL &&
               strstr(out.at, "id=\"w-41\"") == NULL,
           "ids");
  PL_CHECK(strstr(out.at, "aria-labelledby=\"s2-t s2-d\"") != NULL, "labels");
  PL_CHECK(strstr(out.at, "<style") == NULL, "the page carries the style");
  pl_arena_release(&arena);
}

/* A group too many or too few closes as well as it can. */
static void svg_unbalanced(void) {
  struct pl_arena arena;
  struct pl_scene scene;
  struct pl_buffer out;
  pl_test_arena(&arena);
  pl_scene_init(&scene, &arena, "x.svg", "x", 10, 10);
  pl_scene_close(&scene);
  for (int i = 0; i < 20; i++)
    pl_scene_open(&scene, "", "", i % 2 == 0 ? "a.svg" : "");
  pl_buffer_init(&out, &arena);
  pl_svg_write(&out, &scene);
  PL_CHECK_STR(ill_formed(out.at), NULL, "unbalanced");
  pl_arena_release(&arena);
}

CU_TestInfo out_xml_tests[] = {{"the test's own reader", the_reader_itself},
                               {"filters", filters},
                               {"exact bytes", exact},
                               {"bad names", refused},
                               {"limits", limits},
                               CU_TEST_INFO_NULL};
CU_TestInfo out_svg_tests[] = {{"well formed", svg_well_formed},
                               {"head and groups", svg_shape},
                               {"wires", svg_wires},
                               {"inside a page", svg_inside},
                               {"unbalanced groups", svg_unbalanced},
                               CU_TEST_INFO_NULL};
