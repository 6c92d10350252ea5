/* The printed set, section after section: drawings that take a page, then tables.  The page of all tables is the same
 * without the drawings. */
#include "out/xhtml.h"

#include <string.h>

#include "out/page.h"
#include "out/svg.h"

static const struct pl_scene *scene_of(const pl_scenes *drawings, const char *file) {
  for (uint32_t i = 0; file[0] != '\0' && i < drawings->n; i++)
    if (strcmp(drawings->at[i].file, file) == 0) return &drawings->at[i];
  return NULL;
}

#define UPRIGHT 191.0 /* mm: what is no wider fits the page of tables as it is, at its own scale */

/* ---- what each section holds ---- */

struct part { /* a section that holds something */
  uint32_t section, sheets, plates;
};
struct parts {
  struct part *at;
  uint32_t n;
};

/* "power circuit-": beginnings of names, blanks between. */
static bool is_plate_of(const struct pl_scene *scene, const char *plates) {
  while (*plates != '\0') {
    size_t n = strcspn(plates, " ");
    if (strncmp(scene->file, plates, n) == 0) return true;
    plates += n;
    plates += strspn(plates, " ");
  }
  return false;
}

static struct parts parts_of(const struct pl_book *book, struct pl_arena *arena) {
  struct parts parts = {PL_NEW_ARRAY(arena, struct part, pl_section_count), 0};
  for (uint32_t i = 0; i < pl_section_count; i++) {
    struct part part = {.section = i};
    if (book->chosen != NULL && !book->chosen[i]) continue;
    for (uint32_t s = 0; s < book->sheets->n; s++) part.sheets += book->sheets->at[s].section == i && !book->sheets->at[s].csv_only;
    for (uint32_t d = 0; book->plates && d < book->drawings->n; d++)
      part.plates += is_plate_of(&book->drawings->at[d], pl_sections[i].plates);
    if (part.sheets + part.plates > 0) parts.at[parts.n++] = part;
  }
  return parts;
}

static const char *id_of(struct pl_page *page, const struct part *part) {
  return pl_arena_printf(page->arena, "section-%s", pl_sections[part->section].name);
}

/* ---- contents ---- */

/* "9.3": what has a number of its own in a part. */
static const char *number_of(struct pl_page *page, uint32_t part, uint32_t count) {
  return pl_arena_printf(page->arena, "%u.%u", part, count);
}

static void put_entry(struct pl_page *page, const char *href, const char *number, const char *text) {
  pl_xml_start(&page->xml, "li");
  pl_page_link(page, href, pl_arena_printf(page->arena, "%s %s", number, text));
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

/* Every section, drawing and table by its number.  Number and title of the section stand in the margin of its pages,
 * those of a drawing in the margin of its own, those of a table over it. */
static void put_contents(struct pl_page *page, const struct pl_book *book, const struct parts *parts) {
  struct pl_xml *xml = &page->xml;
  pl_page_start(page, "nav", "contents");
  pl_xml_attribute(xml, "aria-label", "Contents");
  pl_xml_break(xml);
  pl_page_line(page, "h2", "Contents");
  pl_xml_start(xml, "ol");
  pl_xml_break(xml);
  for (uint32_t i = 0; i < parts->n; i++) {
    const struct part *part = &parts->at[i];
    const struct pl_section *section = &pl_sections[part->section];
    pl_xml_start(xml, "li");
    pl_page_link(page, pl_arena_printf(page->arena, "#%s", id_of(page, part)), section->title);
    if (section->intro[0] != '\0') {
      pl_xml_text(xml, " ");
      pl_xml_element(xml, "span", section->intro);
    }
    uint32_t count = 0;
    pl_xml_start(xml, "ul");
    pl_xml_break(xml);
    for (uint32_t d = 0; part->plates > 0 && d < book->drawings->n; d++)
      if (is_plate_of(&book->drawings->at[d], section->plates))
        put_entry(page, pl_arena_printf(page->arena, "#g-%u", d), number_of(page, i + 1, ++count), book->drawings->at[d].title);
    for (uint32_t s = 0; s < book->sheets->n; s++)
      if (book->sheets->at[s].section == part->section && !book->sheets->at[s].csv_only)
        put_entry(page, pl_arena_printf(page->arena, "#s-%s", book->sheets->at[s].file), number_of(page, i + 1, ++count), book->sheets->at[s].title);
    pl_xml_end(xml);
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

/* ---- a section ---- */

static bool has_readings(const struct pl_sheet *sheet) {
  return sheet->column_count > 0 && sheet->columns[sheet->column_count - 1].reading;
}

static void put_how_to_read(struct pl_page *page) {
  pl_page_line(page, "p",
               "Volts are computed from this text, with the black lead of the meter on the battery's earthed post and "
               "everything plugged in, "
               "in the states named. open: nothing joins the pin to the battery. A reading that is off by more than a "
               "few tenths wants an answer "
               "before you go on.");
}

static void put_heading(struct pl_page *page, const struct pl_section *section, uint32_t number, bool readings) {
  struct pl_xml *xml = &page->xml;
  pl_page_line(page, "h2", pl_arena_printf(page->arena, "%u %s", number, section->title));
  if (section->intro[0] != '\0') pl_page_line(page, "p", section->intro);
  if (section->cautions != NULL) {
    pl_page_start(page, "ul", "caution");
    pl_xml_break(xml);
    for (const char *const *line = section->cautions; *line != NULL; line++) pl_page_line(page, "li", *line);
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  if (readings) put_how_to_read(page);
}

static void put_plate(struct pl_page *page, const struct pl_scene *scene, uint32_t number) {
  struct pl_xml *xml = &page->xml;
  pl_xml_start(xml, "figure");
  pl_xml_attribute(xml, "id", pl_arena_printf(page->arena, "g-%u", number));
  pl_xml_break(xml);
  pl_svg_element(xml, scene, pl_arena_printf(page->arena, "g%u-", number));
  pl_xml_start(xml, "figcaption");
  pl_page_link(page, scene->file, pl_arena_printf(page->arena, "%s: the drawing alone", scene->title));
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

static bool takes_page(const struct pl_scene *scene) { return scene->width > UPRIGHT; }

/* A wide drawing turns the paper and takes the page. */
static const char *plate_class(struct pl_page *page, const struct pl_scene *scene, uint32_t number, bool first) {
  return takes_page(scene) ? pl_arena_printf(page->arena, "%s g%u", first ? "plate first" : "plate", number) : "upright";
}

/* Drawings that take a page, in the order of the book, with their numbers. */
static void name_plates(const struct pl_book *book, const struct parts *parts, struct pl_arena *arena, struct pl_page_parts *papers) {
  papers->plates = PL_NEW_ARRAY(arena, const char *, book->drawings->n + 1);
  for (uint32_t i = 0; i < parts->n; i++) {
    uint32_t count = 0;
    for (uint32_t d = 0; parts->at[i].plates > 0 && d < book->drawings->n; d++) {
      const struct pl_scene *scene = &book->drawings->at[d];
      if (!is_plate_of(scene, pl_sections[parts->at[i].section].plates)) continue;
      count++;
      if (takes_page(scene)) papers->plates[papers->plate_count++] = pl_arena_printf(arena, "%u.%u %s", i + 1, count, scene->title);
    }
  }
}

/* `plate`: number of the next drawing that takes a page. */
static void put_part(struct pl_page *page, const struct pl_book *book, const struct part *part, uint32_t number, uint32_t *plate) {
  const struct pl_section *section = &pl_sections[part->section];
  struct pl_xml *xml = &page->xml;
  bool begun = false;
  uint32_t count = 0;
  pl_page_part(page, number, id_of(page, part));
  for (uint32_t d = 0; part->plates > 0 && d < book->drawings->n; d++) {
    const struct pl_scene *scene = &book->drawings->at[d];
    if (!is_plate_of(scene, section->plates)) continue;
    count++;
    pl_page_start(page, "div", plate_class(page, scene, takes_page(scene) ? (*plate)++ : 0, !begun));
    pl_xml_break(xml);
    if (!begun) put_heading(page, section, number, false);
    begun = true;
    put_plate(page, scene, d);
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  for (uint32_t s = 0; s < book->sheets->n; s++) {
    const struct pl_sheet *sheet = &book->sheets->at[s];
    if (sheet->section != part->section || sheet->csv_only) continue;
    if (!begun) {
      pl_page_start(page, "div", pl_page_lies(page, sheet) ? "lying head" : "head");
      put_heading(page, section, number, has_readings(sheet));
      pl_xml_end(xml);
      pl_xml_break(xml);
    }
    begun = true;
    struct pl_scene faces;
    bool drawn = sheet->connector != PL_NONE && pl_draw_faces(book->harness, sheet->connector, page->arena, &faces);
    pl_page_sheet(page, sheet, drawn ? &faces : scene_of(book->drawings, sheet->drawing), "h3",
                  number_of(page, number, ++count));
  }
  pl_xml_end(xml);
  pl_xml_break(xml);
}

static const char *sheet_href(const struct pl_book *book, const char *file) {
  for (uint32_t i = 0; i < book->sheets->n; i++)
    if (strcmp(book->sheets->at[i].file, file) == 0)
      return pl_arena_printf(book->harness->arena, "#s-%s", file);
  return NULL;
}

bool pl_xhtml_book(struct pl_buffer *out, const struct pl_book *book, struct pl_arena *arena) {
  struct pl_page page;
  struct parts parts = parts_of(book, arena);
  struct pl_page_parts titles = {.titles = PL_NEW_ARRAY(arena, const char *, parts.n), .n = parts.n};
  uint32_t plate = 0;
  name_plates(book, &parts, arena, &titles);
  for (uint32_t i = 0; i < parts.n; i++) titles.titles[i] = pl_sections[parts.at[i].section].title;
  pl_page_begin(&page, out, book->harness, arena, book->what, &titles);
  pl_page_know(&page, book->sheets);
  page.brief = sheet_href(book, "readings-volts") != NULL;
  pl_page_title_block(&page);
  pl_page_findings(&page, book->findings, sheet_href(book, "findings"), sheet_href(book, "waivers"));
  pl_page_cautions(&page);
  put_contents(&page, book, &parts);
  for (uint32_t i = 0; i < parts.n; i++) put_part(&page, book, &parts.at[i], i + 1, &plate);
  return pl_page_end(&page);
}
