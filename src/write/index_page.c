/* index.html: the cover sheet of a folder. */
#include <string.h>

#include "write/html_page_inner.h"
#include "write/xhtml_inner.h"

static const struct pl_sheet *sheet_named(const pl_sheets *sheets, const char *file) {
  for (uint32_t i = 0; i < sheets->n; i++)
    if (strcmp(sheets->at[i].file, file) == 0)
      return &sheets->at[i];
  return NULL;
}

/* ---- what is in the folder ---- */

static void put_print(struct pl_page *page, const pl_scenes *drawings) {
  static const char *const lines[] = {
      "The book: print it from the browser, A4 or Letter, two-sided if you like. Background "
      "colours are "
      "not needed.",
      "Drawings: A4 or A3 on its side as each page says, at 100 %, not fitted to the page.",
      "For the helper at the bench: the connector tables, the wire list and the splices, with the "
      "drawings of "
      "the connectors.",
      "The assembly board: board.html, at 100 %, without margins of the browser; measure the ruler "
      "on the first tile.",
      "For the first power-up: this page, the fuses, and the volts to expect, with a pencil for "
      "the column "
      "where the readings go.",
      "Compare the text digest at the foot of each print before you use an old one."};
  pl_page_line(page, "h2", "What to print");
  pl_xml_start(&page->xml, "ul");
  pl_xml_break(&page->xml);
  bool board = false;
  for (uint32_t i = 0; i < drawings->n; i++)
    board = board || strcmp(drawings->at[i].file, "board.svg") == 0;
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
    if (!(i != 1 || drawings->n > 0))
      continue;
    if (!(i != 3 || board))
      continue;
    pl_page_line(page, "li", lines[i]);
  }
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

static void put_tables(struct pl_page *page, const struct pl_book *book) {
  const pl_sheets *sheets = book->sheets;
  struct pl_xml *xml = &page->xml;
  pl_page_start(page, "div", "screen");
  pl_page_line(page, "h2", "Tables");
  pl_xml_start(xml, "p");
  pl_page_link(page,
               book->file,
               "The book: all drawings and tables in the order of the work, ready to print");
  pl_xml_text(xml, ". ");
  pl_page_link(
      page,
      "shop.html",
      "The shop page: one file for the phone, to find a pin, see its way and what to read there");
  pl_xml_end(xml);
  pl_xml_break(xml);
  pl_xml_start(xml, "nav");
  pl_xml_attribute(xml, "aria-label", "Tables");
  pl_xml_start(xml, "ul");
  pl_xml_break(xml);
  for (uint32_t i = 0; i < sheets->n; i++) {
    const struct pl_sheet *sheet = &sheets->at[i];
    pl_xml_start(xml, "li");
    if (sheet->csv_only)
      pl_xml_text(xml, sheet->title);
    else
      pl_page_link(page,
                   pl_arena_printf(page->arena, "%s#s-%s", book->file, sheet->file),
                   sheet->title);
    pl_xml_text(xml, " (");
    pl_page_link(page, pl_arena_printf(page->arena, "csv/%s.csv", sheet->file), "CSV");
    pl_xml_text(xml, ")");
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

static void put_drawing(struct pl_page *page, const struct pl_scene *scene) {
  struct pl_xml *xml = &page->xml;
  pl_xml_start(xml, "figure");
  pl_xml_start(xml, "a");
  pl_xml_attribute(xml, "href", scene->file);
  pl_xml_start(xml, "img");
  pl_xml_attribute(xml, "src", scene->file);
  pl_xml_attribute(xml, "alt", scene->title);
  pl_xml_number(xml, "width", scene->width);
  pl_xml_number(xml, "height", scene->height);
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_start(xml, "figcaption");
  pl_page_link(page, scene->file, scene->title);
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

/* Power, circuits, connectors. */
static int kind_of_drawing(const struct pl_scene *scene) {
  static const char *const beginnings[] =
      {"power", "circuit-", "routing", "board", "connector-", "panel-", "labels-"};
  for (int i = 0; i < 7; i++)
    if (strncmp(scene->file, beginnings[i], strlen(beginnings[i])) == 0)
      return i < 6 ? i : 5;
  return 0;
}

static void put_drawings(struct pl_page *page, const pl_scenes *drawings) {
  static const char *const heads[] = {"Power, legend",
                                      "Circuits",
                                      "Routing plan",
                                      "Assembly board, 1:1",
                                      "Connectors",
                                      "Panels, labels"};
  static const char *const classes[] =
      {"small", "small", "small", "small many", "small many", "small"};
  pl_page_start(page, "h2", drawings->n > 0 ? "new" : "");
  pl_xml_text(&page->xml, "Drawings");
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
  if (drawings->n == 0)
    pl_page_line(page, "p", "There is nothing to draw.");
  for (int kind = 0; kind < 6; kind++) {
    uint32_t n = 0;
    for (uint32_t i = 0; i < drawings->n; i++) {
      if (kind_of_drawing(&drawings->at[i]) != kind)
        continue;
      if (n++ == 0) {
        pl_page_line(page, "h3", heads[kind]);
        pl_page_start(page, "div", classes[kind]);
        pl_xml_break(&page->xml);
      }
      put_drawing(page, &drawings->at[i]);
    }
    if (n > 0)
      pl_xml_end(&page->xml);
  }
}

static const char *
sheet_href(const struct pl_book *book, const char *file, struct pl_arena *arena) {
  if (sheet_named(book->sheets, file) == NULL)
    return NULL;
  return pl_arena_printf(arena, "%s#s-%s", book->file, file);
}

bool pl_xhtml_index(struct pl_buffer *out, const struct pl_book *book, struct pl_arena *arena) {
  struct pl_page page;
  pl_page_begin(&page, out, book->harness, arena, "Harness book", NULL);
  pl_page_title_block(&page);
  pl_page_cautions(&page);
  pl_page_findings(&page,
                   book->findings,
                   sheet_href(book, "findings", arena),
                   sheet_href(book, "waivers", arena));
  put_tables(&page, book);
  put_print(&page, book->drawings);
  put_drawings(&page, book->drawings);
  return pl_page_end(&page);
}
