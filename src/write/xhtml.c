/* The printed set, section after section: drawings that take a page, then tables.  The page of all
 * tables is the same without the drawings. */
#include "write/xhtml_inner.h"

#include <string.h>

#include "draw/drawings.h"
#include "write/html_page_inner.h"
#include "write/svg.h"

static const struct pl_scene *scene_of(const pl_scenes *drawings, const char *file) {
  for (uint32_t i = 0; file[0] != '\0' && i < drawings->n; i++)
    if (strcmp(drawings->at[i].file, file) == 0)
      return &drawings->at[i];
  return NULL;
}

#define UPRIGHT                                                                    \
  191.0 /* mm: what is no wider fits the page of tables as it is, at its own scale \
         */

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
    if (strncmp(scene->file, plates, n) == 0)
      return true;
    plates += n;
    plates += strspn(plates, " ");
  }
  return false;
}

static struct parts parts_of(const struct pl_book *book, struct pl_arena *arena) {
  struct parts parts = {PL_NEW_ARRAY(arena, struct part, pl_section_count), 0};
  for (uint32_t i = 0; i < pl_section_count; i++) {
    struct part part = {.section = i};
    if (book->chosen != NULL && !book->chosen[i])
      continue;
    for (uint32_t s = 0; s < book->sheets->n; s++)
      part.sheets += book->sheets->at[s].section == i && !book->sheets->at[s].csv_only;
    for (uint32_t d = 0; book->plates && d < book->drawings->n; d++)
      part.plates += is_plate_of(&book->drawings->at[d], pl_sections[i].plates);
    if (part.sheets + part.plates > 0)
      parts.at[parts.n++] = part;
  }
  return parts;
}

/* ---- what has a number ---- */

uint32_t pl_xhtml_entries(const struct pl_book *book,
                          struct pl_arena *arena,
                          struct pl_book_entry **entries) {
  struct parts parts = parts_of(book, arena);
  uint32_t n = 0;
  *entries =
      PL_NEW_ARRAY(arena, struct pl_book_entry, parts.n * book->drawings->n + book->sheets->n + 1);
  for (uint32_t i = 0; i < parts.n; i++) {
    uint32_t section = parts.at[i].section;
    uint32_t count = 0;
    for (uint32_t d = 0; parts.at[i].plates > 0 && d < book->drawings->n; d++)
      if (is_plate_of(&book->drawings->at[d], pl_sections[section].plates))
        (*entries)[n++] = (struct pl_book_entry){i + 1,
                                                 ++count,
                                                 section,
                                                 d,
                                                 PL_NONE,
                                                 book->drawings->at[d].title};
    for (uint32_t s = 0; s < book->sheets->n; s++) {
      if (book->sheets->at[s].section != section)
        continue;
      if (book->sheets->at[s].csv_only)
        continue;
      (*entries)[n++] =
          (struct pl_book_entry){i + 1, ++count, section, PL_NONE, s, book->sheets->at[s].title};
    }
  }
  return n;
}

static const char *id_of(struct pl_page *page, const struct part *part) {
  return pl_arena_printf(page->arena, "section-%s", pl_sections[part->section].name);
}

/* ---- contents ---- */

/* "9.3": what has a number of its own in a part. */
static const char *number_of(struct pl_page *page, uint32_t part, uint32_t count) {
  return pl_arena_printf(page->arena, "%u.%u", part, count);
}

static void
put_entry(struct pl_page *page, const struct pl_book *book, const struct pl_book_entry *entry) {
  const char *href;
  if (entry->sheet == PL_NONE)
    href = pl_arena_printf(page->arena, "#g-%u", entry->drawing);
  else
    href = pl_arena_printf(page->arena, "#s-%s", book->sheets->at[entry->sheet].file);
  pl_xml_start(&page->xml, "li");
  pl_page_link(page,
               href,
               pl_arena_printf(page->arena,
                               "%s %s",
                               number_of(page, entry->part, entry->number),
                               entry->title));
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

/* Every section, drawing and table by its number.  Number and title of the section stand in the
 * margin of its pages, those of a drawing in the margin of its own, those of a table over it. */
static void
put_contents(struct pl_page *page, const struct pl_book *book, const struct parts *parts) {
  struct pl_xml *xml = &page->xml;
  struct pl_book_entry *entries;
  uint32_t n = pl_xhtml_entries(book, page->arena, &entries);
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
    pl_xml_start(xml, "ul");
    pl_xml_break(xml);
    for (uint32_t e = 0; e < n; e++)
      if (entries[e].part == i + 1)
        put_entry(page, book, &entries[e]);
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
  if (!(sheet->column_count > 0))
    return false;
  return sheet->columns[sheet->column_count - 1].reading;
}

static void put_how_to_read(struct pl_page *page) {
  pl_page_line(page,
               "p",
               "Volts are computed from this text, with the black lead of the meter on the "
               "battery's earthed post and "
               "everything plugged in, "
               "in the states named. open: nothing joins the pin to the battery. A reading that is "
               "off by more than a "
               "few tenths wants an answer "
               "before you go on.");
}

static void put_heading(struct pl_page *page,
                        const struct pl_section *section,
                        uint32_t number,
                        bool readings) {
  struct pl_xml *xml = &page->xml;
  pl_page_line(page, "h2", pl_arena_printf(page->arena, "%u %s", number, section->title));
  if (section->intro[0] != '\0')
    pl_page_line(page, "p", section->intro);
  if (section->cautions != NULL) {
    pl_page_start(page, "ul", "caution");
    pl_xml_break(xml);
    for (const char *const *line = section->cautions; *line != NULL; line++)
      pl_page_line(page, "li", *line);
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  if (readings)
    put_how_to_read(page);
}

static void put_plate(struct pl_page *page, const struct pl_scene *scene, uint32_t number) {
  struct pl_xml *xml = &page->xml;
  pl_xml_start(xml, "figure");
  pl_xml_attribute(xml, "id", pl_arena_printf(page->arena, "g-%u", number));
  pl_xml_break(xml);
  pl_svg_element(xml, scene, pl_arena_printf(page->arena, "g%u-", number));
  pl_xml_start(xml, "figcaption");
  pl_page_link(page,
               scene->file,
               pl_arena_printf(page->arena, "%s: the drawing alone", scene->title));
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

static bool takes_page(const struct pl_scene *scene) {
  return scene->width > UPRIGHT;
}

/* A wide drawing turns the paper and takes the page. */
static const char *
plate_class(struct pl_page *page, const struct pl_scene *scene, uint32_t number, bool first) {
  if (takes_page(scene))
    return pl_arena_printf(page->arena, "%s g%u", first ? "plate first" : "plate", number);
  return "upright";
}

/* Drawings that take a page, in the order of the book, with their numbers. */
static void
name_plates(const struct pl_book *book, struct pl_arena *arena, struct pl_page_parts *papers) {
  struct pl_book_entry *entries;
  uint32_t n = pl_xhtml_entries(book, arena, &entries);
  papers->plates = PL_NEW_ARRAY(arena, const char *, n + 1);
  for (uint32_t e = 0; e < n; e++) {
    if (entries[e].sheet != PL_NONE)
      continue;
    if (!takes_page(&book->drawings->at[entries[e].drawing]))
      continue;
    papers->plates[papers->plate_count++] =
        pl_arena_printf(arena, "%u.%u %s", entries[e].part, entries[e].number, entries[e].title);
  }
}

/* `plate`: number of the next drawing that takes a page. */
static void put_part(struct pl_page *page,
                     const struct pl_book *book,
                     const struct part *part,
                     uint32_t number,
                     uint32_t *plate) {
  const struct pl_section *section = &pl_sections[part->section];
  struct pl_xml *xml = &page->xml;
  bool begun = false;
  uint32_t count = 0;
  pl_page_part(page, number, id_of(page, part));
  for (uint32_t d = 0; part->plates > 0 && d < book->drawings->n; d++) {
    const struct pl_scene *scene = &book->drawings->at[d];
    if (!is_plate_of(scene, section->plates))
      continue;
    count++;
    pl_page_start(page,
                  "div",
                  plate_class(page, scene, takes_page(scene) ? (*plate)++ : 0, !begun));
    pl_xml_break(xml);
    if (!begun)
      put_heading(page, section, number, false);
    begun = true;
    put_plate(page, scene, d);
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  for (uint32_t s = 0; s < book->sheets->n; s++) {
    const struct pl_sheet *sheet = &book->sheets->at[s];
    if (sheet->section != part->section)
      continue;
    if (sheet->csv_only)
      continue;
    if (!begun) {
      pl_page_start(page, "div", pl_page_lies(page, sheet) ? "lying head" : "head");
      put_heading(page, section, number, has_readings(sheet));
      pl_xml_end(xml);
      pl_xml_break(xml);
    }
    begun = true;
    struct pl_scene faces;
    bool drawn = sheet->connector != PL_NONE &&
                 pl_draw_faces(book->harness, sheet->connector, page->arena, &faces);
    pl_page_sheet(page,
                  sheet,
                  drawn ? &faces : scene_of(book->drawings, sheet->drawing),
                  "h3",
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
  struct pl_page_parts titles = {.titles = PL_NEW_ARRAY(arena, const char *, parts.n),
                                 .n = parts.n};
  uint32_t plate = 0;
  name_plates(book, arena, &titles);
  for (uint32_t i = 0; i < parts.n; i++)
    titles.titles[i] = pl_sections[parts.at[i].section].title;
  pl_page_begin(&page, out, book->harness, arena, book->what, &titles);
  pl_page_know(&page, book->sheets);
  page.brief = sheet_href(book, "readings-volts") != NULL;
  pl_page_title_block(&page);
  pl_page_findings(&page,
                   book->findings,
                   sheet_href(book, "findings"),
                   sheet_href(book, "waivers"));
  pl_page_cautions(&page);
  put_contents(&page, book, &parts);
  for (uint32_t i = 0; i < parts.n; i++)
    put_part(&page, book, &parts.at[i], i + 1, &plate);
  return pl_page_end(&page);
}
