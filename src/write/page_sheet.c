/* A sheet as tables of a page: the wiring, then the readings, state by state.  Rows that say what
 * they are about can be pointed at. */
#include <math.h>
#include <string.h>

#include "base/number.h"
#include "base/utf8.h"
#include "draw/file_names.h"
#include "standard/limits_data.h"
#include "write/html_page_inner.h"
#include "write/svg.h"

enum {
  READINGS = 8, /* columns of readings beside each other */
  WHOLE = 22,   /* lines of rows that are kept on one page */
  LONG = 24     /* a table of more rows says its title again on every page */
};

#define PAPER 190.0 /* mm between the margins, upright on A4; Letter has more */
#define LYING 259.0 /* on its side on Letter; A4 has more */
#define BOX 12.0    /* mm of the column of boxes to tick, or to write in */
#define GUTTER 6.0  /* between two columns of a table that is folded */
#define SMALL 0.95  /* of the text's size where many columns stand beside each other: 9 pt */

/* ---- what a cell points at ---- */

static bool is_row_kind(enum pl_link_kind kind) {
  return kind == PL_LINK_PIN || kind == PL_LINK_WIRE || kind == PL_LINK_DEVICE;
}

void pl_page_know(struct pl_page *page, const pl_sheets *sheets) {
  for (uint32_t s = 0; s < sheets->n; s++)
    for (uint32_t r = 0; r < sheets->at[s].rows.n; r++) {
      struct pl_link subject = sheets->at[s].rows.at[r].subject;
      if (is_row_kind(subject.kind) && page->rows[subject.kind][subject.id] == 0)
        page->rows[subject.kind][subject.id] = 1;
    }
}

static const char *row_id(struct pl_page *page, struct pl_link link) {
  const struct pl_harness *harness = page->harness;
  const char *name;
  if (link.kind == PL_LINK_PIN)
    name = harness->pins.at[link.id].full;
  else if (link.kind == PL_LINK_WIRE)
    name = harness->wires.at[link.id].number;
  else
    name = harness->devices.at[link.id].name;
  return pl_arena_printf(page->arena,
                         "%c-%s",
                         link.kind == PL_LINK_PIN    ? 'p'
                         : link.kind == PL_LINK_WIRE ? 'w'
                                                     : 'd',
                         pl_safe_name(page->arena, name));
}

/* NULL when the page has no row about it, or when it is the row itself: a device's own row points
 * at its first pin. */
static const char *target_of(struct pl_page *page, struct pl_link link, struct pl_link subject) {
  if (link.kind == PL_LINK_DEVICE && subject.kind == PL_LINK_DEVICE && link.id == subject.id) {
    const struct pl_device *device = &page->harness->devices.at[link.id];
    if (device->pin_count == 0)
      return NULL;
    link = (struct pl_link){PL_LINK_PIN, device->first_pin};
  }
  if (!is_row_kind(link.kind))
    return NULL;
  if (link.id == PL_NONE)
    return NULL;
  if (page->rows[link.kind][link.id] == 0)
    return NULL;
  if (link.kind == subject.kind && link.id == subject.id)
    return NULL;
  return row_id(page, link);
}

/* ---- colour samples ---- */

static const char *rgb_of(const char *letters) {
  uint32_t row = pl_colour_find(letters, (uint32_t)strlen(letters));
  if (row == UINT32_MAX)
    return NULL;
  return pl_colours[row].rgb;
}

static void put_rect(struct pl_page *page,
                     double x,
                     double y,
                     double width,
                     double height,
                     const char *fill,
                     const char *stroke) {
  struct pl_xml *xml = &page->xml;
  pl_xml_start(xml, "rect");
  pl_xml_number(xml, "x", x);
  pl_xml_number(xml, "y", y);
  pl_xml_number(xml, "width", width);
  pl_xml_number(xml, "height", height);
  pl_xml_attribute(xml, "fill", fill);
  pl_xml_attribute(xml, "stroke", stroke);
  pl_xml_attribute(xml, "stroke-width", ".8");
  pl_xml_end(xml);
}

/* Base with the stripes as dashes along its middle: told apart in grey print too.  The letters
 * stand beside it. */
static void put_sample(struct pl_page *page, const struct pl_colour *colour) {
  const char *base = rgb_of(colour->base);
  const char *stripes[2] = {rgb_of(colour->stripe), rgb_of(colour->stripe2)};
  struct pl_xml *xml = &page->xml;
  if (base == NULL)
    return;
  pl_page_start(page, "svg", "k");
  pl_xml_attribute(xml, "xmlns", "http://www.w3.org/2000/svg");
  pl_xml_attribute(xml, "viewBox", "0 0 30 11");
  pl_xml_attribute(xml, "aria-hidden", "true");
  put_rect(page, 0.5, 0.5, 29, 10, base, "#333");
  for (int i = 0; i < 4; i++) {
    const char *stripe = stripes[stripes[1] != NULL ? i % 2 : 0];
    if (stripe != NULL)
      put_rect(page, 2.2 + 7 * i, 3.4, 4.6, 4.2, stripe, "#333");
  }
  pl_xml_end(xml);
}

/* ---- cells ---- */

/* Characters of the longest word, so that only such a word is broken anywhere. */
static int longest_word(const char *text) {
  int longest = 0;
  int run = 0;
  size_t left = strlen(text);
  while (left > 0) {
    uint32_t code = 0;
    size_t took = pl_utf8_decode(text, left, &code);
    if (code == ' ' || code == '\t' || code == '\n')
      run = 0;
    else
      run = run + 1;
    longest = run > longest ? run : longest;
    took = took == 0 ? 1 : took;
    text += took;
    left -= took;
  }
  return longest;
}

static const char *cell_class(const struct pl_column *column, const char *text) {
  if (longest_word(text) > PL_PAGE_LONG_WORD)
    return "l";
  if (column->number)
    return strlen(text) <= PL_PAGE_NARROW ? "n s" : "n";
  if (column->narrow && strlen(text) <= PL_PAGE_NARROW)
    return "s";
  return "";
}

static void put_cell(struct pl_page *page,
                     const struct pl_sheet *sheet,
                     const struct pl_row *row,
                     uint32_t column,
                     bool first) {
  struct pl_link link = row->links[column];
  const char *target = target_of(page, link, row->subject);
  const char *text = row->cells[column];
  struct pl_xml *xml = &page->xml;
  enum pl_sure sure = PL_SURE_NOT_SAID;
  if (link.kind == PL_LINK_PIN && link.id != PL_NONE)
    sure = page->harness->pins.at[link.id].sure;
  bool unsure = sure == PL_SURE_WEB || sure == PL_SURE_GUESS;
  pl_page_start(page, first ? "th" : "td", unsure ? "" : cell_class(&sheet->columns[column], text));
  if (first)
    pl_xml_attribute(xml, "scope", "row");
  if (link.kind == PL_LINK_COLOUR)
    put_sample(page, &page->harness->wires.at[link.id].colour);
  if (target != NULL && text[0] != '\0')
    pl_page_link(page, pl_arena_printf(page->arena, "#%s", target), text);
  else
    pl_xml_text(xml, text);
  if (unsure) {
    pl_xml_text(xml, " ");
    pl_page_start(page, "span", "u");
    pl_xml_text(xml, pl_sure_name(sure));
    pl_xml_end(xml);
  }
  pl_xml_end(xml);
}

/* ---- tables ---- */

struct piece { /* some of the sheet's columns */
  const uint32_t *columns;
  uint32_t count;
  const char *caption;
  bool ids, meter; /* rows get ids; a column to write readings in */
  bool turned;     /* heads of readings stand upright */
  const struct look *look;
  const double *widths; /* of the columns, mm */
};

/* How a table lies on paper. */
struct look {
  double paper, scale, page; /* mm across; of the text's size; mm of rows on a page */
  const char *section, *head, *table, *box;
  double cost; /* pages that turning the paper wastes */
  bool wide;   /* only for sheets that may lie */
};
static const struct look looks[] = {
    {PAPER, 1, 255, "", "head", "", "scroll", 0, false},
    {PAPER, SMALL, 245, "", "head", "fine", "scroll", 0, false},
    {(PAPER - GUTTER) / 2, 1, 2 * 245, "", "head roomy", "", "scroll folded", 0, false},
    {LYING, SMALL, 180, "lying", "head", "fine", "scroll", 0.7, true}};
#define LOW 1.3 /* lines of a row, on average, in a table that is worth folding */
enum {
  LOOKS = sizeof looks / sizeof looks[0],
  FOLDED = 10,     /* rows of a table that is worth folding */
  FOLDED_LONG = 40 /* that may run over a page */
};

static double box_of(const struct pl_sheet *sheet, bool meter) {
  return sheet->tick || meter ? BOX : 0;
}

/* The look that takes the least paper. */
static const struct look *look_of(struct pl_page *page,
                                  const struct pl_sheet *sheet,
                                  const uint32_t *columns,
                                  uint32_t count,
                                  bool turned,
                                  bool meter) {
  const struct look *best = NULL;
  double pages = INFINITY;
  for (int i = 0; i < LOOKS; i++) {
    const struct look *look = &looks[i];
    if (look->wide && !sheet->wide)
      continue;
    if (look->paper < PAPER && sheet->rows.n < FOLDED)
      continue;
    struct pl_page_fit fit = pl_page_fit_of(page->arena,
                                            sheet,
                                            columns,
                                            count,
                                            turned,
                                            look->paper - look->scale * box_of(sheet, meter),
                                            look->scale);
    double takes = fit.height / look->page + look->cost;
    if (!fit.fits || takes >= pages)
      continue;
    if (look->paper < PAPER && fit.low > LOW)
      continue;
    best = look;
    pages = takes;
  }
  if (best != NULL)
    return best;
  return &looks[sheet->wide ? LOOKS - 1 : 1];
}

/* "cranking V" without its unit, which stands in the caption. */
static const char *without_volts(struct pl_page *page, const char *head) {
  size_t n = strlen(head);
  if (n > 2 && strcmp(head + n - 2, " V") == 0)
    return pl_arena_strndup(page->arena, head, n - 2);
  return head;
}

static void
put_head_cell(struct pl_page *page, const struct pl_column *column, const struct piece *piece) {
  const char *head;
  if (column->reading && piece->meter)
    head = without_volts(page, column->head);
  else
    head = column->head;
  bool turned = column->reading && piece->turned;
  pl_page_start(page,
                "th",
                turned                                   ? "v l"
                : longest_word(head) > PL_PAGE_LONG_WORD ? "l"
                : column->number                         ? "n"
                                                         : "");
  pl_xml_attribute(&page->xml, "scope", "col");
  if (turned)
    pl_xml_start(&page->xml, "span");
  pl_xml_text(&page->xml, head);
  if (turned)
    pl_xml_end(&page->xml);
  pl_xml_end(&page->xml);
}

static void put_column(struct pl_page *page, double share) {
  char number[PL_NUMBER_SIZE];
  pl_xml_start(&page->xml, "col");
  pl_xml_attribute(
      &page->xml,
      "style",
      pl_arena_printf(page->arena, "width:%s%%", pl_number_fixed(number, 100 * share, 2)));
  pl_xml_end(&page->xml);
}

static void
put_columns(struct pl_page *page, const struct pl_sheet *sheet, const struct piece *piece) {
  double box = piece->look->scale * box_of(sheet, piece->meter);
  double total = box;
  const double *width = piece->widths;
  for (uint32_t c = 0; c < piece->count; c++)
    total += width[c];
  pl_xml_start(&page->xml, "colgroup");
  for (uint32_t c = 0; c < piece->count; c++)
    put_column(page, width[c] / total);
  if (box > 0)
    put_column(page, box / total);
  pl_xml_end(&page->xml);
  pl_xml_break(&page->xml);
}

static void
put_head(struct pl_page *page, const struct pl_sheet *sheet, const struct piece *piece) {
  struct pl_xml *xml = &page->xml;
  bool tick = sheet->tick && !piece->meter;
  pl_xml_start(xml, "thead");
  if (sheet->rows.n > LONG) { /* says on the following pages what goes on there */
    pl_page_start(page, "tr", "again");
    pl_xml_start(xml, "th");
    pl_xml_number(xml, "colspan", piece->count + (tick || piece->meter));
    pl_xml_text(xml, sheet->title);
    pl_xml_end(xml);
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  pl_xml_start(xml, "tr");
  for (uint32_t c = 0; c < piece->count; c++)
    put_head_cell(page, &sheet->columns[piece->columns[c]], piece);
  if (tick || piece->meter) {
    pl_page_start(page, "th", piece->meter ? "m" : "");
    pl_xml_attribute(xml, "scope", "col");
    pl_xml_text(xml, piece->meter ? "read" : "done");
    pl_xml_end(xml);
  }
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

static uint32_t
lines_of(const struct pl_sheet *sheet, const struct piece *piece, uint32_t from, uint32_t to) {
  return pl_page_lines(sheet,
                       piece->columns,
                       piece->count,
                       piece->widths,
                       piece->look->scale,
                       from,
                       to);
}

/* "3. Crimp and load", with its note: a part of the table that stays whole when it is short. */
static void put_heading(struct pl_page *page,
                        const struct pl_sheet *sheet,
                        const struct piece *piece,
                        uint32_t row) {
  struct pl_xml *xml = &page->xml;
  const struct pl_row *head = &sheet->rows.at[row];
  uint32_t n = 1;
  while (row + n < sheet->rows.n && sheet->rows.at[row + n].heading == NULL)
    n++;
  if (row > 0)
    pl_xml_end(xml);
  pl_page_start(page,
                "tbody",
                lines_of(sheet, piece, row, row + n) <= WHOLE ? "under whole" : "under");
  pl_xml_break(xml);
  pl_page_start(page, "tr", "over");
  pl_xml_start(xml, "th");
  pl_xml_attribute(xml, "scope", "rowgroup");
  pl_xml_number(xml, "colspan", piece->count + (sheet->tick || piece->meter));
  pl_xml_element(xml, "b", head->heading);
  if (head->note[0] != '\0')
    pl_xml_element(xml, "span", head->note);
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

static void put_row(struct pl_page *page,
                    const struct pl_sheet *sheet,
                    const struct piece *piece,
                    const struct pl_row *row) {
  struct pl_xml *xml = &page->xml;
  struct pl_link subject = row->subject;
  pl_xml_start(xml, "tr");
  if (piece->ids && is_row_kind(subject.kind) && page->rows[subject.kind][subject.id] == 1) {
    page->rows[subject.kind][subject.id] = 2;
    pl_xml_attribute(xml, "id", row_id(page, subject));
  }
  for (uint32_t c = 0; c < piece->count; c++)
    put_cell(page, sheet, row, piece->columns[c], c == 0);
  if (piece->meter) {
    pl_xml_element(xml, "td", "");
  } else if (sheet->tick) {
    pl_xml_start(xml, "td");
    pl_page_start(page, "span", "b");
    pl_xml_end(xml);
    pl_xml_end(xml);
  }
  pl_xml_end(xml);
  pl_xml_break(xml);
}

/* A pin is read once, whatever its wires; an empty cavity is not. */
static bool is_read(const struct pl_page *page, const struct pl_sheet *sheet, uint32_t row) {
  struct pl_link pin = sheet->rows.at[row].subject;
  if (pin.kind != PL_LINK_PIN)
    return true;
  if (page->harness->pins.at[pin.id].wires.n == 0)
    return false;
  if (row == 0)
    return true;
  if (sheet->rows.at[row - 1].subject.kind != PL_LINK_PIN)
    return true;
  return sheet->rows.at[row - 1].subject.id != pin.id;
}

static void put_table(struct pl_page *page, const struct pl_sheet *sheet, struct piece *piece) {
  struct pl_xml *xml = &page->xml;
  const struct look *look = piece->look;
  piece->widths = pl_page_fit_of(page->arena,
                                 sheet,
                                 piece->columns,
                                 piece->count,
                                 piece->turned,
                                 look->paper - look->scale * box_of(sheet, piece->meter),
                                 look->scale)
                      .widths;
  bool whole =
      lines_of(sheet, piece, 0, sheet->rows.n) <= (look->paper < PAPER ? 2 * WHOLE : WHOLE);
  bool parts = sheet->rows.n > 0 && sheet->rows.at[0].heading != NULL;
  pl_page_start(page,
                "div",
                whole ? pl_arena_printf(page->arena, "%s whole", piece->look->box)
                      : piece->look->box);
  pl_page_start(page, "table", piece->look->table);
  pl_xml_break(xml);
  pl_page_start(page, "caption", piece->caption[0] == '\0' ? "hid" : "");
  pl_xml_text(xml, piece->caption[0] == '\0' ? sheet->title : piece->caption);
  pl_xml_end(xml);
  pl_xml_break(xml);
  put_columns(page, sheet, piece);
  put_head(page, sheet, piece);
  if (!parts) {
    pl_xml_start(xml, "tbody");
    pl_xml_break(xml);
  }
  for (uint32_t r = 0; r < sheet->rows.n; r++) {
    if (sheet->rows.at[r].heading != NULL)
      put_heading(page, sheet, piece, r);
    if (!piece->meter || is_read(page, sheet, r))
      put_row(page, sheet, piece, &sheet->rows.at[r]);
  }
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_end(xml);
  pl_xml_break(xml);
}

static bool has_text(const struct pl_sheet *sheet, uint32_t column) {
  for (uint32_t r = 0; r < sheet->rows.n; r++)
    if (sheet->rows.at[r].cells[column][0] != '\0')
      return true;
  return false;
}

/* The readings, at most READINGS states beside each other, in pieces of about the same size. */
static void put_readings(struct pl_page *page, const struct pl_sheet *sheet, uint32_t readings) {
  uint32_t pieces = (readings + READINGS - 1) / READINGS;
  uint32_t done = 0;
  uint32_t n;
  uint32_t *columns = PL_NEW_ARRAY(page->arena, uint32_t, sheet->column_count);
  const char *caption = pl_arena_printf(
      page->arena,
      "%s: volts to expect, black lead on the battery's earthed post, everything plugged in",
      sheet->title);
  for (uint32_t p = 0; p < pieces; p++) {
    uint32_t from = done;
    uint32_t to = readings * (p + 1) / pieces;
    uint32_t seen = 0;
    n = 0;
    for (uint32_t c = 0; c < sheet->column_count; c++) {
      const struct pl_column *column = &sheet->columns[c];
      if (column->key && !column->reading && (c == 0 || has_text(sheet, c)))
        columns[n++] = c;
      if (!column->reading)
        continue;
      if (seen >= from && seen < to)
        columns[n++] = c;
      seen++;
    }
    done = to;
    put_table(page,
              sheet,
              &(struct piece){columns,
                              n,
                              caption,
                              false,
                              true,
                              false,
                              look_of(page, sheet, columns, n, false, true),
                              NULL});
  }
}

static bool has_readings(const struct pl_page *page, const struct pl_sheet *sheet) {
  for (uint32_t r = 0; r < sheet->rows.n; r++)
    if (is_read(page, sheet, r))
      return true;
  return false;
}

/* What of a sheet stands in its first table. */
struct plan {
  uint32_t *columns, count, readings;
  bool turned, apart; /* readings: their heads upright; in a table of their own */
  bool wiring;        /* it has more than keys */
  const struct look *look;
};

static bool is_shown(const struct pl_sheet *sheet, uint32_t column) {
  const struct pl_column *c = &sheet->columns[column];
  if (!(!c->csv_only))
    return false;
  return column == 0 || c->blank || has_text(sheet, column);
}

/* A book that tells all readings in a section of its own shows one beside the wiring. */
static bool is_left_out(const struct pl_page *page, const struct pl_sheet *sheet, uint32_t column) {
  if (!page->brief)
    return false;
  if (sheet->columns[column].chief)
    return false;
  for (uint32_t c = 0; c < sheet->column_count; c++)
    if (sheet->columns[c].chief)
      return true;
  return false;
}

static struct plan plan_of(struct pl_page *page, const struct pl_sheet *sheet) {
  struct plan plan = {.columns = PL_NEW_ARRAY(page->arena, uint32_t, sheet->column_count)};
  double width = box_of(sheet, false);
  double readings = 0;
  double turned = 0;
  double paper = (sheet->wide ? LYING : PAPER) / SMALL;
  for (uint32_t c = 0; c < sheet->column_count; c++) {
    const struct pl_column *column = &sheet->columns[c];
    if (!column->reading && is_shown(sheet, c)) {
      width += pl_page_least_width(sheet, c, false);
      plan.wiring = plan.wiring || !column->key;
      plan.columns[plan.count++] = c;
    } else if (column->reading && !is_left_out(page, sheet, c)) {
      plan.readings++;
      readings += pl_page_least_width(sheet, c, false);
      turned += pl_page_least_width(sheet, c, true);
    }
  }
  plan.turned = plan.readings > 1 && width + readings > paper;
  plan.apart = plan.readings > 1 && width + turned > paper && has_readings(page, sheet);
  for (uint32_t c = 0; !plan.apart && c < sheet->column_count; c++) {
    if (!sheet->columns[c].reading)
      continue;
    if (is_left_out(page, sheet, c))
      continue;
    plan.columns[plan.count++] = c;
  }
  plan.look = look_of(page, sheet, plan.columns, plan.count, plan.turned, false);
  return plan;
}

bool pl_page_lies(struct pl_page *page, const struct pl_sheet *sheet) {
  if (!sheet->wide)
    return false;
  return plan_of(page, sheet).look->section[0] != '\0';
}

#define BESIDE 140.0 /* mm: a wider drawing leaves no room for the note */
#define CLOSE 150.0  /* mm: a drawing with its table that is kept on one page */

static bool is_beside(const struct pl_scene *scene) {
  return scene != NULL && scene->width <= BESIDE;
}

/* Title, and a drawing with the note beside it. */
static void put_sheet_head(struct pl_page *page,
                           const struct pl_sheet *sheet,
                           const struct look *look,
                           const struct pl_scene *scene,
                           const char *heading,
                           const char *number) {
  struct pl_xml *xml = &page->xml;
  pl_page_start(page, "div", sheet->rows.n > FOLDED_LONG ? look->head : "head");
  pl_page_line(page,
               heading,
               number[0] == '\0' ? sheet->title
                                 : pl_arena_printf(page->arena, "%s %s", number, sheet->title));
  if (scene != NULL) {
    pl_page_start(page, "figure", "face");
    pl_svg_element(xml, scene, pl_arena_printf(page->arena, "f-%s-", sheet->file));
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  if (is_beside(scene)) {
    char number_text[PL_NUMBER_SIZE];
    pl_page_start(page, "p", "by");
    pl_xml_attribute(xml,
                     "style",
                     pl_arena_printf(page->arena,
                                     "width:calc(100%% - %smm)",
                                     pl_number_print(number_text, scene->width + GUTTER, 4)));
    pl_xml_text(xml, sheet->note);
    pl_xml_end(xml);
    pl_xml_break(xml);
  }
  pl_xml_end(xml);
}

static bool
is_close(const struct pl_sheet *sheet, const struct plan *plan, const struct pl_scene *scene) {
  const double row = 7.5; /* mm, some of two lines */
  if (scene == NULL)
    return false;
  if (!(!plan->apart))
    return false;
  return scene->height + row * (sheet->rows.n + 2) < CLOSE;
}

void pl_page_sheet(struct pl_page *page,
                   const struct pl_sheet *sheet,
                   const struct pl_scene *scene,
                   const char *heading,
                   const char *number) {
  struct pl_xml *xml = &page->xml;
  struct plan plan = plan_of(page, sheet);
  const char *caption = is_beside(scene) ? "" : sheet->note;
  pl_page_start(page, "section", is_close(sheet, &plan, scene) ? "whole" : plan.look->section);
  pl_xml_attribute(xml, "id", pl_arena_printf(page->arena, "s-%s", sheet->file));
  pl_xml_break(xml);
  put_sheet_head(page, sheet, plan.look, scene, heading, number);
  if (!plan.apart || plan.wiring)
    put_table(page,
              sheet,
              &(struct piece){plan.columns,
                              plan.count,
                              caption,
                              true,
                              false,
                              plan.turned,
                              plan.look,
                              NULL});
  if (plan.apart && (!page->brief || !plan.wiring))
    put_readings(page, sheet, plan.readings);
  pl_xml_end(xml);
  pl_xml_break(xml);
}
