/* The shop page's frame: head with its content security policy, the parts that stand still, the
 * drawings, the data, the script.  The policy names the script and the styles by their SHA-256, so
 * nothing else that may have crept in runs (Content Security Policy Level 3, W3C). */
#include "write/shop_inner.h"

#include <string.h>

#include "base/digest.h"
#include "base/json.h"
#include "base/pack.h"
#include "write/html_page_inner.h"
#include "write/suspects_json.h"
#include "write/svg.h"

/* ---- the policy ---- */

static unsigned hex_digit(char c) {
  return (unsigned)(c <= '9' ? c - '0' : c - 'a' + 10);
}

/* Of what a browser takes for the element's text. */
static const char *hash_of(struct pl_arena *arena, const char *code) {
  struct pl_digest digest;
  struct pl_buffer letters;
  char hex[65];
  unsigned char bytes[32];
  pl_digest_init(&digest);
  pl_digest_add(&digest, PL_XML_CODE_BEFORE, strlen(PL_XML_CODE_BEFORE));
  pl_digest_add(&digest, code, strlen(code));
  pl_digest_add(&digest, PL_XML_CODE_AFTER, strlen(PL_XML_CODE_AFTER));
  pl_digest_finish(&digest, hex);
  for (size_t i = 0; i < sizeof bytes; i++)
    bytes[i] = (unsigned char)(hex_digit(hex[2 * i]) << 4 | hex_digit(hex[2 * i + 1]));
  pl_buffer_init(&letters, arena);
  pl_base64(&letters, bytes, sizeof bytes);
  return pl_arena_printf(arena, "'sha256-%s'", letters.at);
}

static const char *policy(struct pl_arena *arena, const char *style) {
  return pl_arena_printf(
      arena,
      "default-src 'none'; script-src %s; style-src %s %s; base-uri 'none'; form-action 'none'",
      hash_of(arena, (const char *)pl_shop_script),
      hash_of(arena, style),
      hash_of(arena, pl_svg_style));
}

/* ---- pieces ---- */

static void
put_meta(struct pl_page *page, const char *attribute, const char *name, const char *content) {
  pl_xml_start(&page->xml, "meta");
  pl_xml_attribute(&page->xml, attribute, name);
  if (content != NULL)
    pl_xml_attribute(&page->xml, "content", content);
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

static void put_code(struct pl_page *page, const char *element, const char *code) {
  pl_xml_start(&page->xml, element);
  pl_xml_code(&page->xml, code);
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

static void put_head(struct pl_page *page, const char *title) {
  const char *style = (const char *)pl_shop_style;
  pl_xml_start(&page->xml, "head");
  pl_xml_break(&page->xml);
  put_meta(page, "charset", "utf-8", NULL);
  put_meta(page, "http-equiv", "Content-Security-Policy", policy(page->arena, style));
  put_meta(page, "name", "viewport", "width=device-width, initial-scale=1");
  put_meta(page, "name", "generator", "pinloom");
  pl_page_line(page, "title", title);
  put_code(page, "style", style);
  put_code(page, "style", pl_svg_style);
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

static void start_with_id(struct pl_page *page, const char *name, const char *id) {
  pl_xml_start(&page->xml, name);
  pl_xml_attribute(&page->xml, "id", id);
}

static void put_button(struct pl_page *page, const char *id, const char *words) {
  start_with_id(page, "button", id);
  pl_xml_attribute(&page->xml, "type", "button");
  pl_xml_text(&page->xml, words);
  pl_xml_end(&page->xml);
}

static void put_header(struct pl_page *page, const char *title) {
  static const char *const links[][2] = {{"#", "Find"},
                                         {"#trouble", "Fault?"},
                                         {"#connectors", "Connectors"},
                                         {"#drawings", "Drawings"}};
  struct pl_xml *xml = &page->xml;
  pl_xml_start(xml, "header");
  pl_page_start(page, "div", "top");
  pl_xml_start(xml, "h1");
  pl_xml_element(xml, "bdi", title);
  pl_xml_end(xml);
  put_button(page, "print", "Print");
  put_button(page, "light", "Light/dark");
  pl_xml_end(xml);
  pl_xml_start(xml, "nav");
  pl_xml_attribute(xml, "aria-label", "Parts of this page");
  for (size_t i = 0; i < sizeof links / sizeof links[0]; i++)
    pl_page_link(page, links[i][0], links[i][1]);
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

static void put_find(struct pl_page *page) {
  struct pl_xml *xml = &page->xml;
  pl_page_start(page, "form", "find");
  pl_xml_attribute(xml, "role", "search");
  pl_xml_start(xml, "label");
  pl_xml_attribute(xml, "for", "find");
  pl_xml_text(xml, "Pin, wire, colour, connector or what it does");
  pl_xml_end(xml);
  start_with_id(page, "input", "find");
  static const char *const settings[][2] = {{"type", "search"},
                                            {"autocomplete", "off"},
                                            {"autocapitalize", "off"},
                                            {"spellcheck", "false"}};
  for (size_t i = 0; i < sizeof settings / sizeof settings[0]; i++)
    pl_xml_attribute(xml, settings[i][0], settings[i][1]);
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
  start_with_id(page, "p", "told");
  pl_xml_attribute(xml, "role", "status");
  pl_xml_end(xml);
  start_with_id(page, "ul", "found");
  pl_xml_attribute(xml, "aria-label", "Found");
  pl_xml_end(xml);
  pl_xml_break(xml);
}

/* The figures themselves come packed: put_figures. */
static void put_drawings(struct pl_page *page) {
  struct pl_xml *xml = &page->xml;
  start_with_id(page, "section", "drawings");
  pl_xml_attribute(xml, "aria-label", "On the circuit drawings");
  pl_page_start(page, "p", "screen");
  pl_xml_text(
      xml,
      "On the drawings the way stands out and the rest is dimmed. Tap a wire or a device. ");
  put_button(page, "larger", "Larger");
  pl_xml_text(xml, " ");
  put_button(page, "smaller", "Smaller");
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

static void put_foot(struct pl_page *page) {
  struct pl_title_block block = pl_title_block_of(page->harness);
  pl_page_start(page, "footer", "foot");
  pl_xml_text(&page->xml,
              pl_arena_printf(page->arena,
                              "Revision %s. Text %.12s.",
                              block.revision[0] != '\0' ? block.revision : "not said",
                              block.digest));
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

/* JSON, packed (RFC 1950) and in base 64 (RFC 4648): a third of the size, and nothing in it that
 * HTML or XML could take for an end. */
static void put_data(struct pl_page *page, const char *id, const struct pl_buffer *json) {
  struct pl_buffer packed, letters;
  pl_buffer_init(&packed, page->arena);
  pl_buffer_init(&letters, page->arena);
  pl_pack(&packed, json->at, json->n);
  pl_base64(&letters, packed.at, packed.n);
  start_with_id(page, "script", id);
  pl_xml_attribute(&page->xml, "type", "text/plain");
  pl_xml_data(&page->xml, letters.at);
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

static const char *figure_svg(struct pl_page *page, const struct pl_scene *scene, uint32_t n) {
  struct pl_xml svg;
  struct pl_buffer text;
  pl_buffer_init(&text, page->arena);
  pl_xml_begin(&svg, &text, PL_XML_PLAIN);
  pl_svg_element(&svg, scene, pl_arena_printf(page->arena, "c%u-", (unsigned)n));
  pl_xml_finish(&svg);
  return text.at;
}

/* [[file, title, svg], ...] */
static void put_figures(struct pl_page *page, const pl_scenes *circuits) {
  struct pl_buffer text;
  struct pl_json json;
  pl_buffer_init(&text, page->arena);
  pl_json_begin(&json, &text, false);
  pl_json_list(&json, NULL);
  for (uint32_t i = 0; i < circuits->n; i++) {
    const struct pl_scene *scene = &circuits->at[i];
    if (i > 0)
      pl_json_line(&json, 0);
    pl_json_list(&json, NULL);
    pl_json_text(&json, NULL, scene->file);
    pl_json_text(&json, NULL, scene->title);
    pl_json_text(&json, NULL, figure_svg(page, scene, i));
    pl_json_close(&json);
  }
  pl_json_finish(&json);
  put_data(page, "figures", &text);
}

/* What the readings are under every fault; empty when that was not worked out. */
static void put_faults(struct pl_page *page, const struct pl_suspects *suspects) {
  struct pl_buffer json;
  pl_buffer_init(&json, page->arena);
  if (suspects != NULL)
    pl_suspects_write_json(&json, suspects);
  put_data(page, "faults", &json);
}

bool pl_shop_write(struct pl_buffer *out,
                   const struct pl_output_inputs *in,
                   const pl_scenes *circuits,
                   struct pl_arena *arena) {
  struct pl_page page = {.arena = arena, .harness = in->harness};
  const char *machine = "Machine without a name";
  if (in->harness->machine.title[0] != '\0')
    machine = in->harness->machine.title;
  struct pl_buffer data;
  pl_buffer_init(&data, arena);
  pl_shop_data(&data, in, arena);
  pl_xml_begin(&page.xml, out, PL_XML_XHTML);
  pl_xml_start(&page.xml, "html");
  pl_xml_attribute(&page.xml, "xmlns", "http://www.w3.org/1999/xhtml");
  pl_xml_attribute(&page.xml, "lang", "en");
  pl_xml_break(&page.xml);
  put_head(&page, machine);
  pl_xml_start(&page.xml, "body");
  put_header(&page, machine);
  put_find(&page);
  start_with_id(&page, "main", "view");
  pl_xml_attribute(&page.xml, "tabindex", "-1");
  pl_xml_end(&page.xml);
  put_drawings(&page);
  pl_page_cautions(&page);
  put_foot(&page);
  put_data(&page, "harness", &data);
  put_figures(&page, circuits);
  put_faults(&page, in->suspects);
  put_code(&page, "script", (const char *)pl_shop_script);
  return pl_xml_finish(&page.xml);
}
