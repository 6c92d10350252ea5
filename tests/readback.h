/* A drawing as a reader sees it: the written SVG text taken apart into texts, ink, wires and
 * groups, with the extents of texts measured on the real font.  Knows nothing of how scenes are
 * made. */
#ifndef PL_TEST_READBACK_H
#define PL_TEST_READBACK_H

#include "base/table.h"
#include "harness/harness.h"

struct rb_mm {
  double x, y;
};
struct rb_area {
  double x1, y1, x2, y2;
};

struct rb_text {
  struct rb_area area; /* what its glyphs may cover */
  double x, y, size;
  char anchor; /* s, m, e */
  bool bold, turned;
  const char *text;
  uint32_t group, turn; /* turn: in the order of drawing */
};

enum rb_weight {
  RB_THIN,
  RB_PLAIN,
  RB_BOLD,
  RB_DASHED
};

struct rb_ink { /* a straight stretch of ink; arcs and curves come as several */
  struct rb_mm a, b;
  double half; /* of its width */
  enum rb_weight weight;
  uint32_t group, turn;
};

struct rb_disc {
  struct rb_mm at;
  double radius;
  bool filled, inked; /* filled with paper or ink; with ink */
  uint32_t group, turn;
};

struct rb_box {
  struct rb_area area;
  bool filled;
  const char *fill; /* "#rrggbb" */
  uint32_t group, turn;
};

struct rb_wire { /* a line in a wire's colours */
  struct rb_mm *points;
  uint32_t count;
  double half;
  const char *colours; /* base and stripes as written, "#d62728 #ffffff" */
  uint32_t group, turn;
};

struct rb_group {
  const char *what, *name, *id, *link;
  uint32_t parent; /* UINT32_MAX: the page */
};

struct rb_page {
  const char *file;
  double width, height;
  const char *description, *text_fill;
  PL_VEC(struct rb_text) texts;
  PL_VEC(struct rb_ink) ink;
  PL_VEC(struct rb_disc) discs;
  PL_VEC(struct rb_box) boxes;
  PL_VEC(struct rb_wire) wires;
  PL_VEC(struct rb_group) groups;
  const char *broken; /* why it cannot be read; NULL */
};
typedef PL_VEC(struct rb_page) rb_pages;

/* What was found wrong, one line each. */
struct rb_faults {
  struct pl_arena *arena;
  const char *row; /* what is being looked at */
  PL_VEC(const char *) lines;
};
void rb_fault(struct rb_faults *faults, const struct rb_page *page, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* readback_font.c: Liberation Sans by FreeType.  `false` when the font is not there. */
bool rb_font_open(void);
void rb_font_close(void);
/* The box of the glyphs of a text that starts at the origin, in ems, y downward; `advance`: its
 * advance width. */
struct rb_area rb_font_area(const char *text, bool bold, double *advance);

/* readback_svg.c */
void rb_read(struct rb_page *page,
             const char *file,
             const char *svg,
             size_t size,
             struct pl_arena *arena);
bool rb_inside(const struct rb_page *page,
               uint32_t group,
               uint32_t outer); /* group is outer or lies in it */
uint32_t rb_group_of(const struct rb_page *page,
                     uint32_t group,
                     const char *what); /* innermost; UINT32_MAX */

/* readback_overlap.c: text on text, on ink, on a wire, off the page; ink over text; contrast; wires
 * over symbols and along each other, labels. */
void rb_check_texts(const struct rb_page *page, struct rb_faults *faults);
void rb_check_wires(const struct rb_page *page, struct rb_faults *faults);
uint32_t rb_crossings(const struct rb_page *page);
double rb_contrast(const char *a, const char *b); /* WCAG 2.1: (L1 + 0.05) / (L2 + 0.05) */

/* readback_net.c: the pages of one circuit read as a netlist and held against the model. */
void rb_check_net(const struct pl_harness *harness,
                  pl_id circuit,
                  const struct rb_page *pages,
                  uint32_t count,
                  struct rb_faults *faults);
/* All pages of all circuits: what they say of each other, and where their links lead. */
void rb_check_references(const struct pl_harness *harness,
                         const rb_pages *pages,
                         struct rb_faults *faults);
double rb_to_ink(struct rb_mm at, const struct rb_ink *ink);

#endif
