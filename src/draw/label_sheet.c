/* Lays labels out in rows, group after group. */
#include "draw/label_sheet.h"

#include <math.h>
#include <string.h>

#include "draw/metrics.h"
#include "standard/label_sizes.h"

#define WIDTH 190.0  /* mm: fits between the margins of A4 and Letter */
#define EDGE 0.3     /* so that no stroke is cut by the page's edge */
#define HEIGHT 222.0 /* leaves room for a heading on the first page */
#define TOP 11.0     /* the scale stands above */
#define GAP 1.2      /* between labels: room for the scissors */
#define HEAD 6.0     /* a group's heading */
#define PAD 1.5
#define CAPITAL 0.72  /* height of a capital letter, as a share of the size of the face */
#define TWO_LINES 6.5 /* mm: height from which a label has room for two */
#define LONGEST 88.0  /* a label's text is cut short beyond that */

struct sheet {
  struct pl_arena *arena;
  pl_scenes *pages;
  struct pl_scene *page;
  double x, y, row;
};

static void put_scale(struct pl_scene *page) {
  pl_scene_text(page,
                0,
                3.5,
                3,
                PL_ANCHOR_START,
                "Print at 100 %, not fitted to the page.  This line must measure 100 mm:");
  pl_scene_line(page, PL_STROKE_NORMAL, 85, 8, 185, 8);
  for (int i = 0; i <= 10; i++)
    pl_scene_line(page, PL_STROKE_THIN, 85 + 10 * i, i % 10 == 0 ? 5.5 : 6.8, 85 + 10 * i, 8);
}

static void new_page(struct sheet *sheet) {
  struct pl_scene page;
  uint32_t number = sheet->pages->n;
  uint32_t count = 1;
  for (uint32_t i = 0; i < number; i++)
    count += strncmp(sheet->pages->at[i].file, "labels-p", 8) == 0;
  pl_scene_init(&page,
                sheet->arena,
                pl_arena_printf(sheet->arena, "labels-p%u.svg", count),
                pl_arena_printf(sheet->arena, "Labels, page %u", count),
                WIDTH,
                HEIGHT);
  page.description = "Labels to print at full size and cut out";
  PL_PUSH(sheet->arena, sheet->pages, page);
  sheet->page = &sheet->pages->at[number];
  put_scale(sheet->page);
  sheet->x = EDGE;
  sheet->y = TOP;
  sheet->row = 0;
}

static void end_row(struct sheet *sheet) {
  if (sheet->x > EDGE)
    sheet->y += sheet->row + GAP;
  sheet->x = EDGE;
  sheet->row = 0;
}

/* Room for a label of this size; a new row or page where there is none. */
static void make_room(struct sheet *sheet, double width, double height, double head) {
  if (sheet->x > EDGE && sheet->x + width > WIDTH - EDGE)
    end_row(sheet);
  if (sheet->y + head + height > HEIGHT)
    new_page(sheet);
}

static void put_group(struct sheet *sheet, const char *group, double width, double height) {
  end_row(sheet);
  make_room(sheet, width, height, HEAD);
  pl_scene_bold(sheet->page, 0, sheet->y + 4, 3.2, PL_ANCHOR_START, group);
  sheet->y += HEAD;
}

/* A low label has one line only. */
static bool has_two(const struct pl_label *label) {
  return label->below[0] != '\0' && label->height >= TWO_LINES;
}

static double size_of(const struct pl_label *label) {
  if (label->code[0] != '\0')
    return 4;
  if (label->flag)
    return 4;
  return pl_label_text_height / CAPITAL;
}

static double width_of(const struct pl_label *label) {
  if (label->width > 0)
    return label->width;
  double size = size_of(label);
  double first = pl_text_width(label->text, size, true);
  double second = 0;
  if (has_two(label))
    second = pl_text_width(label->below, 0.8 * size, false);
  return fmin(fmax(fmax(first, second) + 2 * PAD + 0.2, 15), LONGEST);
}

#define LINE 2.5  /* mm: size of the short lines beside a code */
#define PITCH 2.9 /* from line to line */

/* Short lines, broken at blanks, down to `bottom`; where the next one would stand. */
static double put_lines(struct sheet *sheet,
                        const char *text,
                        double x,
                        double line,
                        double room,
                        double bottom) {
  for (; *text != '\0' && line < bottom; line += PITCH) {
    size_t n = strlen(text);
    while (n > 0 && pl_text_width(pl_arena_strndup(sheet->arena, text, n), LINE, false) > room) {
      size_t cut = n - 1;
      while (cut > 0 && text[cut] != ' ')
        cut--;
      if (cut == 0)
        break;
      n = cut;
    }
    pl_scene_text(
        sheet->page,
        x,
        line,
        LINE,
        PL_ANCHOR_START,
        pl_text_fit(sheet->arena, pl_arena_strndup(sheet->arena, text, n), LINE, false, room));
    text += n;
    text += strspn(text, " ");
  }
  return line;
}

/* "12  ECM.A1 > SPE1": the number large, then this end, the other end, colour and size, each on a
 * line of its own. */
static void
put_flag(struct sheet *sheet, const struct pl_label *label, double x, double size, double room) {
  size_t number = strcspn(label->text, " ");
  size_t gap = strspn(label->text + number, " ");
  const char *own = label->text + number + gap;
  const char *other = strstr(own, " > ");
  double y = sheet->y;
  double bottom = y + label->height - 0.5;
  pl_scene_bold(sheet->page,
                x,
                y + 4.2,
                size,
                PL_ANCHOR_START,
                pl_text_fit(sheet->arena,
                            pl_arena_strndup(sheet->arena, label->text, number),
                            size,
                            true,
                            room));
  double line = y + 4.2 + 0.8 * size;
  if (other != NULL)
    own = pl_arena_strndup(sheet->arena, own, (size_t)(other - own));
  pl_scene_bold(sheet->page,
                x,
                line,
                LINE,
                PL_ANCHOR_START,
                pl_text_fit(sheet->arena, own, LINE, true, room));
  line += PITCH;
  if (other != NULL) {
    pl_scene_text(sheet->page,
                  x,
                  line,
                  LINE,
                  PL_ANCHOR_START,
                  pl_text_fit(sheet->arena, other + 1, LINE, false, room));
    line += PITCH;
  }
  put_lines(sheet, label->below, x, line, room, bottom);
}

/* One half of a flag, or the whole of any other label. */
static void put_face(struct sheet *sheet, const struct pl_label *label, double x, double width) {
  struct pl_scene *page = sheet->page;
  double size = size_of(label);
  double code = 0;
  double y = sheet->y;
  const char *path = "";
  if (label->code[0] != '\0')
    path = pl_qr_path(sheet->arena, label->code, pl_code_module, &code);
  double room = width - code - 2 * PAD;
  bool two = has_two(label);
  if (code > 0)
    pl_scene_path(page,
                  PL_STROKE_NONE,
                  PL_FILL_INK,
                  x + width - code,
                  y + (label->height - code) / 2,
                  path);
  if (label->flag) {
    put_flag(sheet, label, x + PAD, size, room);
    return;
  }
  if (code <= 0) {
    double base = y + label->height / 2 + (two ? -0.08 * size : CAPITAL * size / 2);
    pl_scene_bold(page,
                  x + PAD,
                  base,
                  size,
                  PL_ANCHOR_START,
                  pl_text_fit(sheet->arena, label->text, size, true, room));
    if (two)
      pl_scene_text(page,
                    x + PAD,
                    base + 0.92 * size,
                    0.8 * size,
                    PL_ANCHOR_START,
                    pl_text_fit(sheet->arena, label->below, 0.8 * size, false, room));
    return;
  }
  /* beside a code there is room for several short lines */
  pl_scene_bold(page,
                x + PAD,
                y + 5,
                size,
                PL_ANCHOR_START,
                pl_text_fit(sheet->arena, label->text, size, true, room));
  put_lines(sheet, label->below, x + PAD, y + 5 + 0.95 * size, room, y + label->height - 0.5);
}

static void put_label(struct sheet *sheet, const struct pl_label *label) {
  double half = width_of(label);
  double width = half;
  if (label->flag)
    width = 2 * half + label->wrap;
  make_room(sheet, width, label->height, 0);
  pl_scene_box(sheet->page,
               PL_STROKE_THIN,
               PL_FILL_PAPER,
               sheet->x,
               sheet->y,
               width,
               label->height);
  put_face(sheet, label, sheet->x, half);
  if (label->flag) {
    for (int side = 0; side < 2; side++) {
      double x = sheet->x + half + side * label->wrap;
      pl_scene_line(sheet->page, PL_STROKE_DASHED, x, sheet->y, x, sheet->y + label->height);
    }
    put_face(sheet, label, sheet->x + half + label->wrap, half);
  }
  sheet->x += width + GAP;
  sheet->row = fmax(sheet->row, label->height);
}

void pl_draw_labels(const pl_labels *labels, struct pl_arena *arena, pl_scenes *pages) {
  struct sheet sheet = {.arena = arena, .pages = pages};
  for (uint32_t i = 0; i < labels->n; i++) {
    const struct pl_label *label = &labels->at[i];
    if (i == 0)
      new_page(&sheet);
    if (i == 0 || strcmp(label->group, labels->at[i - 1].group) != 0)
      put_group(&sheet,
                label->group,
                label->flag ? 2 * width_of(label) + label->wrap : width_of(label),
                label->height);
    put_label(&sheet, label);
  }
}
