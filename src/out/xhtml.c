/* The page of all tables. */
#include "out/xhtml.h"

#include <string.h>

#include "out/faces.h"
#include "out/page.h"

static const struct pl_scene *scene_of(const pl_scenes *drawings, const char *file) {
  for (uint32_t i = 0; file[0] != '\0' && i < drawings->n; i++)
    if (strcmp(drawings->at[i].file, file) == 0) return &drawings->at[i];
  return NULL;
}

static bool starts_group(const pl_sheets *sheets, uint32_t i) {
  return i == 0 || strcmp(sheets->at[i].group, sheets->at[i - 1].group) != 0;
}

static void put_contents(struct pl_page *page, const pl_sheets *sheets) {
  struct pl_xml *xml = &page->xml;
  pl_xml_start(xml, "nav");
  pl_xml_attribute(xml, "aria-label", "Contents");
  pl_xml_break(xml);
  pl_page_line(page, "h2", "Contents");
  for (uint32_t i = 0; i < sheets->n; i++) {
    if (starts_group(sheets, i)) {
      if (i > 0) pl_xml_end(xml);
      pl_page_line(page, "h3", sheets->at[i].group);
      pl_xml_start(xml, "ul");
    }
    pl_xml_start(xml, "li");
    pl_page_link(page, pl_arena_printf(page->arena, "#s-%s", sheets->at[i].file), sheets->at[i].title);
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  if (sheets->n > 0) pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

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

bool pl_xhtml_tables(struct pl_buffer *out, const struct pl_harness *harness, const pl_sheets *sheets,
                     const pl_scenes *drawings, struct pl_arena *arena) {
  struct pl_page page;
  pl_page_begin(&page, out, harness, arena, "Tables");
  pl_page_know(&page, sheets);
  pl_page_title_block(&page);
  pl_page_cautions(&page);
  put_contents(&page, sheets);
  for (uint32_t i = 0; i < sheets->n; i++) {
    if (starts_group(sheets, i)) {
      bool several = i + 1 < sheets->n && !starts_group(sheets, i + 1);
      pl_page_start(&page, "h2", sheets->at[i].wide ? "new lying" : several ? "new" : "");
      pl_xml_text(&page.xml, sheets->at[i].group);
      pl_xml_end(&page.xml);
      pl_xml_break(&page.xml);
      if (has_readings(&sheets->at[i])) put_how_to_read(&page);
    }
    const struct pl_scene *drawing = scene_of(drawings, sheets->at[i].drawing);
    struct pl_scene faces;
    bool cut = drawing != NULL && pl_faces_cut(drawing, arena, &faces);
    pl_page_sheet(&page, &sheets->at[i], cut ? &faces : drawing, "h3");
  }
  return pl_page_end(&page);
}
