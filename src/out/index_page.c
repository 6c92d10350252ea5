/* index.html: the cover sheet of a folder. */
#include <string.h>

#include "out/page.h"
#include "out/xhtml.h"

enum { SHOWN = 12 }; /* findings told on the cover; the rest stand in the tables */

static const struct pl_sheet *sheet_named(const pl_sheets *sheets, const char *file) {
  for (uint32_t i = 0; i < sheets->n; i++)
    if (strcmp(sheets->at[i].file, file) == 0) return &sheets->at[i];
  return NULL;
}

/* ---- findings ---- */

static void put_worst(struct pl_page *page, const struct pl_findings *findings) {
  struct pl_xml *xml = &page->xml;
  uint32_t shown = 0;
  for (int severity = PL_ERROR; severity >= PL_FAULT; severity--) {
    for (uint32_t i = 0; i < findings->list.n && shown < SHOWN; i++) {
      const struct pl_finding *finding = &findings->list.at[i];
      if (finding->waived != NULL || (int)finding->severity != severity) continue;
      if (shown++ == 0) pl_xml_start(xml, "ul");
      pl_xml_start(xml, "li");
      pl_page_start(page, "span", severity >= PL_DANGER ? "danger" : "");
      pl_xml_text(xml, pl_severity_name(finding->severity));
      pl_xml_end(xml);
      pl_xml_text(xml, ": ");
      pl_xml_element(xml, "bdi", finding->text);
      if (finding->state[0] != '\0') {
        pl_xml_text(xml, "; in state ");
        pl_xml_element(xml, "bdi", finding->state);
      }
      pl_xml_end(xml);
      pl_xml_break(xml);
    }
  }
  if (shown > 0) pl_xml_end(xml);
}

static void put_findings(struct pl_page *page, const struct pl_findings *findings, const pl_sheets *sheets) {
  struct pl_xml *xml = &page->xml;
  pl_page_line(page, "h2", "Findings");
  if (findings == NULL) {
    pl_page_line(page, "p", "The harness was not checked.");
    return;
  }
  struct pl_finding_counts counts = pl_findings_count(findings);
  pl_page_line(page, "p",
               pl_arena_printf(page->arena, "Dangers: %u. Faults: %u. Advice: %u. Accepted with a written reason: %u.",
                               counts.of[PL_DANGER] + counts.of[PL_ERROR], counts.of[PL_FAULT], counts.of[PL_ADVICE],
                               counts.waived));
  if (counts.of[PL_DANGER] + counts.of[PL_ERROR] > 0) {
    pl_page_start(page, "p", "danger");
    pl_xml_text(xml, "Do not power the machine while a danger stands.");
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  put_worst(page, findings);
  if (sheet_named(sheets, "findings") == NULL && sheet_named(sheets, "waivers") == NULL) return;
  pl_page_start(page, "p", "screen");
  if (sheet_named(sheets, "findings") != NULL)
    pl_page_link(page, "tables.html#s-findings", "All findings, with what to do");
  if (sheet_named(sheets, "findings") != NULL && sheet_named(sheets, "waivers") != NULL) pl_xml_text(xml, ". ");
  if (sheet_named(sheets, "waivers") != NULL) pl_page_link(page, "tables.html#s-waivers", "What was accepted, and why");
  pl_xml_end(xml);
  pl_xml_break(xml);
}

/* ---- what is in the folder ---- */

static void put_print(struct pl_page *page, bool drawings) {
  static const char *const lines[] = {
      "Page of tables: print it from the browser, A4 or Letter, two-sided if you like. Background colours are "
      "not needed.",
      "Drawings: A4 or A3 on its side as each page says, at 100 %, not fitted to the page.",
      "For the helper at the bench: the connector tables, the wire list and the splices, with the drawings of "
      "the connectors.",
      "For the first power-up: this page, the fuses, and the volts to expect, with a pencil for the column "
      "where the readings go.",
      "Compare the text digest at the foot of each print before you use an old one."};
  pl_page_line(page, "h2", "What to print");
  pl_xml_start(&page->xml, "ul");
  pl_xml_break(&page->xml);
  for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++)
    if (i != 1 || drawings) pl_page_line(page, "li", lines[i]);
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

static void put_tables(struct pl_page *page, const pl_sheets *sheets) {
  struct pl_xml *xml = &page->xml;
  pl_page_start(page, "div", "screen");
  pl_page_line(page, "h2", "Tables");
  pl_xml_start(xml, "p");
  pl_page_link(page, "tables.html", "All tables on one page, ready to print");
  pl_xml_end(xml);
  pl_xml_break(xml);
  pl_xml_start(xml, "nav");
  pl_xml_attribute(xml, "aria-label", "Tables");
  pl_xml_start(xml, "ul");
  pl_xml_break(xml);
  for (uint32_t i = 0; i < sheets->n; i++) {
    const struct pl_sheet *sheet = &sheets->at[i];
    pl_xml_start(xml, "li");
    pl_page_link(page, pl_arena_printf(page->arena, "tables.html#s-%s", sheet->file), sheet->title);
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
  if (strncmp(scene->file, "connector-", 10) == 0) return 2;
  return strncmp(scene->file, "circuit-", 8) == 0 ? 1 : 0;
}

static void put_drawings(struct pl_page *page, const pl_scenes *drawings) {
  static const char *const heads[] = {"Power", "Circuits", "Connectors"},
                    *const classes[] = {"small", "small", "small many"};
  pl_page_start(page, "h2", drawings->n > 0 ? "new" : "");
  pl_xml_text(&page->xml, "Drawings");
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
  if (drawings->n == 0) pl_page_line(page, "p", "There is nothing to draw.");
  for (int kind = 0; kind < 3; kind++) {
    uint32_t n = 0;
    for (uint32_t i = 0; i < drawings->n; i++) {
      if (kind_of_drawing(&drawings->at[i]) != kind) continue;
      if (n++ == 0) {
        pl_page_line(page, "h3", heads[kind]);
        pl_page_start(page, "div", classes[kind]);
        pl_xml_break(&page->xml);
      }
      put_drawing(page, &drawings->at[i]);
    }
    if (n > 0) pl_xml_end(&page->xml);
  }
}

bool pl_xhtml_index(struct pl_buffer *out, const struct pl_harness *harness, const struct pl_findings *findings,
                    const pl_sheets *sheets, const pl_scenes *drawings, struct pl_arena *arena) {
  struct pl_page page;
  const struct pl_sheet *states = sheet_named(sheets, "states");
  pl_page_begin(&page, out, harness, arena, "Harness book");
  pl_page_title_block(&page);
  pl_page_cautions(&page);
  put_findings(&page, findings, sheets);
  put_tables(&page, sheets);
  put_print(&page, drawings->n > 0);
  if (states != NULL) {
    pl_page_line(&page, "h2", states->group);
    pl_page_sheet(&page, states, NULL, "h3");
  }
  put_drawings(&page, drawings);
  return pl_page_end(&page);
}
