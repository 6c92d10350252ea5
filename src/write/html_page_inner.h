/* The frame that all pages share: head, look on screen and paper, title block, cautions, sheets.
 * Private to this room. */
#ifndef PL_OUT_PAGE_H
#define PL_OUT_PAGE_H

#include "draw/scene.h"
#include "finding/finding.h"
#include "sheet/sheet.h"
#include "write/xml.h"

struct pl_page {
  struct pl_xml xml;
  struct pl_arena *arena;
  const struct pl_harness *harness;
  bool brief; /* readings that do not fit beside the wiring are left to a section of their own */
  uint8_t *rows[PL_LINK_DEVICE + 1]; /* by kind of link and id: the page has a row about it (1), and
                                        its id is written (2) */
};

/* Parts of a page, numbered from 1 in the order of their titles: each begins on paper of its own,
 * with number and title in the margin of its pages. */
struct pl_page_parts {
  const char **titles;
  uint32_t n;
  const char **plates; /* drawings that take a page, whose margin says it: "2.5 Head lamps"; class
                          "gN", from 0 */
  uint32_t plate_count;
};

/* Opens html, head and body.  `what`: "Tables"; the machine's title comes before it.  `parts`: NULL
 * for none. */
void pl_page_begin(struct pl_page *page,
                   struct pl_buffer *out,
                   const struct pl_harness *harness,
                   struct pl_arena *arena,
                   const char *what,
                   const struct pl_page_parts *parts);
/* What the sheets of the part `number` stand in: <section class="part pN">.  Sheets that lie turn
 * the paper. */
void pl_page_part(struct pl_page *page, uint32_t number, const char *id);
/* False: something was refused on the way, a fault of the program. */
bool pl_page_end(struct pl_page *page);

/* <name class="class">; class "" leaves it out. */
void pl_page_start(struct pl_page *page, const char *name, const char *class);
/* The whole element with text of ours in it; then a line end. */
void pl_page_line(struct pl_page *page, const char *name, const char *text);
void pl_page_link(struct pl_page *page, const char *href, const char *text);

void pl_page_title_block(struct pl_page *page);
void pl_page_cautions(struct pl_page *page);
/* What the rules found, in short.  `all`, `waived`: where all of them stand, or NULL. */
void pl_page_findings(struct pl_page *page,
                      const struct pl_findings *findings,
                      const char *all,
                      const char *waived);

/* Rows of the sheets become places that cells may point at. */
void pl_page_know(struct pl_page *page, const pl_sheets *sheets);
/* Whether its sheet turns the paper. */
bool pl_page_lies(struct pl_page *page, const struct pl_sheet *sheet);
/* Heading, drawing (scene NULL: none), table or tables.  `heading`: "h3"; `number`: "9.3" before
 * its title, or "". */
void pl_page_sheet(struct pl_page *page,
                   const struct pl_sheet *sheet,
                   const struct pl_scene *scene,
                   const char *heading,
                   const char *number);

enum {
  PL_PAGE_LONG_WORD = 22, /* characters; a longer word may be broken anywhere */
  PL_PAGE_NARROW = 14     /* bytes of a short text in a narrow column, which is never broken */
};
/* The least width of a column on paper, mm: no word broken, short texts on one line.  `turned`: its
 * head stands upright. */
double pl_page_least_width(const struct pl_sheet *sheet, uint32_t column, bool turned);
/* A table's columns on paper. */
struct pl_page_fit {
  double *widths; /* by column, mm; together more than the paper when they need it */
  double height;  /* mm of all rows, about */
  double low;     /* how much higher they are than rows of one line each */
  bool fits;
};
/* Widths for the `count` columns on `paper` mm that make the lowest rows.  `turned`: heads of
 * readings stand upright; `scale`: of the text's size. */
struct pl_page_fit pl_page_fit_of(struct pl_arena *arena,
                                  const struct pl_sheet *sheet,
                                  const uint32_t *columns,
                                  uint32_t count,
                                  bool turned,
                                  double paper,
                                  double scale);
/* Lines that the rows from `from` to before `to` take at those widths. */
uint32_t pl_page_lines(const struct pl_sheet *sheet,
                       const uint32_t *columns,
                       uint32_t count,
                       const double *widths,
                       double scale,
                       uint32_t from,
                       uint32_t to);

#endif
