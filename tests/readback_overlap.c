/* What lies on what, on a drawing read back: millimetres and glyph boxes, no model. */
#include "readback.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define NONE UINT32_MAX
#define SLACK 0.02
#define EDGE 9.9 /* mm kept free at the paper's edge: the frame stands at 10 */
#define SMALLEST \
  2.5 /* mm: the smallest text (common practice of drawings: ISO 3098's smallest height) */
#define APART 1.5  /* mm between wires that run side by side */
#define AT_END 2.3 /* mm of a wire's end within which it may meet the ink it ends on */

static bool meet(const struct rb_area *a, const struct rb_area *b) {
  return a->x1 < b->x2 - SLACK && b->x1 < a->x2 - SLACK && a->y1 < b->y2 - SLACK &&
         b->y1 < a->y2 - SLACK;
}

/* Liang and Barsky's clipping: does the stretch from a to b enter the area? */
static bool enters(struct rb_mm a, struct rb_mm b, const struct rb_area *area) {
  double from = 0;
  double to = 1;
  double d[2] = {b.x - a.x, b.y - a.y};
  double low[2] = {area->x1 - a.x, area->y1 - a.y};
  double high[2] = {area->x2 - a.x, area->y2 - a.y};
  for (int i = 0; i < 2; i++) {
    if (fabs(d[i]) < 1e-12) {
      if (low[i] >= 0 || high[i] <= 0)
        return false;
      continue;
    }
    double s = low[i] / d[i];
    double e = high[i] / d[i];
    from = fmax(from, fmin(s, e));
    to = fmin(to, fmax(s, e));
  }
  return from < to;
}

static struct rb_area wider(const struct rb_area *area, double by) {
  return (struct rb_area){area->x1 - by, area->y1 - by, area->x2 + by, area->y2 + by};
}

/* ---- texts ---- */

static int channel(const char *colour, int i) {
  unsigned value = 0;
  char two[3] = {colour[1 + 2 * i], colour[2 + 2 * i], '\0'};
  if (sscanf(two, "%x", &value) == 1)
    return (int)value;
  return 0;
}

/* WCAG 2.1, "relative luminance". */
static double luminance(const char *colour) {
  static const double share[] = {0.2126, 0.7152, 0.0722};
  double sum = 0;
  for (int i = 0; i < 3; i++) {
    double c = channel(colour, i) / 255.0;
    sum += share[i] * (c <= 0.03928 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
  }
  return sum;
}

double rb_contrast(const char *a, const char *b) {
  double x = luminance(a) + 0.05;
  double y = luminance(b) + 0.05;
  return x > y ? x / y : y / x;
}

static void
check_ground(const struct rb_page *page, const struct rb_text *text, struct rb_faults *faults) {
  const char *fill = "#ffffff";
  for (uint32_t i = 0; i < page->boxes.n; i++) {
    const struct rb_box *box = &page->boxes.at[i];
    if (!box->filled)
      continue;
    if (!meet(&box->area, &text->area))
      continue;
    if (box->turn > text->turn)
      rb_fault(faults, page, "text <%s> is covered", text->text);
    fill = box->fill;
  }
  for (uint32_t i = 0; i < page->discs.n; i++) {
    const struct rb_disc *disc = &page->discs.at[i];
    struct rb_mm near = {fmin(fmax(disc->at.x, text->area.x1), text->area.x2),
                         fmin(fmax(disc->at.y, text->area.y1), text->area.y2)};
    if (!disc->filled)
      continue;
    if (hypot(near.x - disc->at.x, near.y - disc->at.y) > disc->radius - SLACK)
      continue;
    if (disc->turn > text->turn)
      rb_fault(faults, page, "text <%s> is covered by a circle", text->text);
    if (disc->inked)
      fill = "#1a1a1a";
  }
  if (page->text_fill[0] != '#' || rb_contrast(page->text_fill, fill) < 4.5) /* WCAG 2.1, 1.4.3 */
    rb_fault(faults,
             page,
             "text <%s> has too little contrast: %s on %s",
             text->text,
             page->text_fill,
             fill);
}

/* Wires end square at their last point: their width counts sideways only. */
static bool touches(const struct rb_wire *wire, uint32_t p, const struct rb_area *area) {
  bool up = fabs(wire->points[p].x - wire->points[p + 1].x) < 0.011;
  double side = up ? wire->half - SLACK : 0;
  double end = up ? 0 : wire->half - SLACK;
  struct rb_area wide = {area->x1 - side, area->y1 - end, area->x2 + side, area->y2 + end};
  return enters(wire->points[p], wire->points[p + 1], &wide);
}

static void check_text(const struct rb_page *page, uint32_t t, struct rb_faults *faults) {
  const struct rb_text *text = &page->texts.at[t];
  if (text->area.x1 < EDGE || text->area.y1 < EDGE || text->area.x2 > page->width - EDGE ||
      text->area.y2 > page->height - EDGE)
    rb_fault(faults, page, "text <%s> is off the page", text->text);
  if (text->size < SMALLEST - 1e-9)
    rb_fault(faults, page, "text <%s> is too small", text->text);
  for (uint32_t i = 0; i < t; i++)
    if (meet(&page->texts.at[i].area, &text->area))
      rb_fault(faults, page, "text <%s> on text <%s>", text->text, page->texts.at[i].text);
  for (uint32_t i = 0; i < page->ink.n; i++) {
    const struct rb_ink *ink = &page->ink.at[i];
    struct rb_area area = wider(&text->area, ink->half - SLACK);
    if (enters(ink->a, ink->b, &area)) {
      rb_fault(faults, page, "text <%s> on a line at %.1f %.1f", text->text, ink->a.x, ink->a.y);
      break;
    }
  }
  for (uint32_t i = 0; i < page->wires.n; i++) {
    const struct rb_wire *wire = &page->wires.at[i];
    for (uint32_t p = 0; p + 1 < wire->count; p++)
      if (touches(wire, p, &text->area))
        rb_fault(faults,
                 page,
                 "text <%s> on a wire at %.1f %.1f",
                 text->text,
                 wire->points[p].x,
                 wire->points[p].y);
  }
  check_ground(page, text, faults);
}

void rb_check_texts(const struct rb_page *page, struct rb_faults *faults) {
  if (page->broken != NULL)
    rb_fault(faults, page, "%s", page->broken);
  for (uint32_t t = 0; t < page->texts.n; t++)
    if (page->texts.at[t].area.x2 > page->texts.at[t].area.x1)
      check_text(page, t, faults);
}

/* ---- wires ---- */

static double clamp01(double t) {
  return t < 0 ? 0 : t > 1 ? 1 : t;
}

double rb_to_ink(struct rb_mm at, const struct rb_ink *ink) {
  double dx = ink->b.x - ink->a.x;
  double dy = ink->b.y - ink->a.y;
  double long2 = dx * dx + dy * dy;
  double t = 0;
  if (long2 > 0)
    t = clamp01(((at.x - ink->a.x) * dx + (at.y - ink->a.y) * dy) / long2);
  return hypot(at.x - ink->a.x - t * dx, at.y - ink->a.y - t * dy);
}

static const char *name_of(const struct rb_page *page, const struct rb_wire *wire) {
  if (wire->group == NONE)
    return "";
  return page->groups.at[wire->group].name;
}

static bool is_wire(const struct rb_page *page, const struct rb_wire *wire) {
  return wire->group != NONE && strcmp(page->groups.at[wire->group].what, "wire") == 0;
}

static struct rb_ink stretch(const struct rb_wire *wire, uint32_t p) {
  return (struct rb_ink){.a = wire->points[p], .b = wire->points[p + 1], .half = wire->half};
}

/* The stretch without what lies near the wire's own ends. */
static bool body(const struct rb_wire *wire, uint32_t p, struct rb_ink *part) {
  *part = stretch(wire, p);
  double length = hypot(part->b.x - part->a.x, part->b.y - part->a.y);
  double near = AT_END + fmax(0, wire->half - 0.7);
  double head = p == 0 ? near : 0;
  double tail = p + 2 == wire->count ? near : 0;
  if (length <= head + tail)
    return false;
  double ux = (part->b.x - part->a.x) / length;
  double uy = (part->b.y - part->a.y) / length;
  part->a = (struct rb_mm){part->a.x + ux * head, part->a.y + uy * head};
  part->b = (struct rb_mm){part->b.x - ux * tail, part->b.y - uy * tail};
  return true;
}

static struct rb_area around(const struct rb_ink *part) {
  struct rb_area area = {fmin(part->a.x, part->b.x),
                         fmin(part->a.y, part->b.y),
                         fmax(part->a.x, part->b.x),
                         fmax(part->a.y, part->b.y)};
  return wider(&area, part->half);
}

static void check_body(const struct rb_page *page,
                       const struct rb_wire *wire,
                       uint32_t p,
                       struct rb_faults *faults) {
  struct rb_ink part;
  if (!body(wire, p, &part))
    return;
  struct rb_area area = around(&part);
  for (uint32_t i = 0; i < page->ink.n; i++) {
    const struct rb_ink *ink = &page->ink.at[i];
    if (ink->group == NONE || ink->group == wire->group)
      continue; /* supply lines may be crossed */
    struct rb_area meets = wider(&area, ink->half - SLACK);
    if (!enters(ink->a, ink->b, &meets))
      continue;
    rb_fault(faults,
             page,
             "wire %s over a symbol or label at %.1f %.1f (%s %s)",
             name_of(page, wire),
             ink->a.x,
             ink->a.y,
             page->groups.at[ink->group].what,
             page->groups.at[ink->group].name);
    return;
  }
  for (uint32_t i = 0; i < page->boxes.n; i++) { /* covered by the paper of a label or box */
    const struct rb_box *box = &page->boxes.at[i];
    if (box->filled && box->turn > wire->turn && enters(part.a, part.b, &box->area))
      rb_fault(faults, page, "wire %s is covered by a box", name_of(page, wire));
  }
  for (uint32_t i = 0; i < page->discs.n; i++)
    if (page->discs.at[i].filled &&
        rb_to_ink(page->discs.at[i].at, &part) < page->discs.at[i].radius + part.half)
      rb_fault(faults, page, "wire %s runs through a dot", name_of(page, wire));
}

static bool upright(const struct rb_ink *part) {
  return fabs(part->a.x - part->b.x) < 0.011;
}

static void check_pair(const struct rb_page *page,
                       const struct rb_wire *a,
                       const struct rb_wire *b,
                       struct rb_faults *faults) {
  for (uint32_t i = 0; i + 1 < a->count; i++)
    for (uint32_t k = 0; k + 1 < b->count; k++) {
      struct rb_ink s = stretch(a, i);
      struct rb_ink t = stretch(b, k);
      if (upright(&s) != upright(&t))
        continue;
      double apart;
      if (upright(&s))
        apart = fabs(s.a.x - t.a.x);
      else
        apart = fabs(s.a.y - t.a.y);
      double from;
      if (upright(&s))
        from = fmax(fmin(s.a.y, s.b.y), fmin(t.a.y, t.b.y));
      else
        from = fmax(fmin(s.a.x, s.b.x), fmin(t.a.x, t.b.x));
      double to;
      if (upright(&s))
        to = fmin(fmax(s.a.y, s.b.y), fmax(t.a.y, t.b.y));
      else
        to = fmin(fmax(s.a.x, s.b.x), fmax(t.a.x, t.b.x));
      if (apart < APART && to - from > 0.01)
        rb_fault(faults,
                 page,
                 "wires %s and %s along each other",
                 name_of(page, a),
                 name_of(page, b));
    }
  for (int e = 0; e < 2; e++) { /* an end on the other wire's body would read as joined */
    struct rb_mm at = a->points[e == 0 ? 0 : a->count - 1];
    for (uint32_t k = 0; k + 1 < b->count; k++) {
      struct rb_ink part;
      if (body(b, k, &part) && rb_to_ink(at, &part) < a->half + b->half)
        rb_fault(faults, page, "wire %s ends on wire %s", name_of(page, a), name_of(page, b));
    }
  }
}

static double to_wire(const struct rb_area *area, const struct rb_wire *wire) {
  double best = INFINITY;
  for (uint32_t p = 0; p + 1 < wire->count; p++) {
    struct rb_ink part = stretch(wire, p);
    for (int i = 0; i <= 4;
         i++) { /* along the left and right edges, which stand beside upright wires */
      double y = area->y1 + (area->y2 - area->y1) * i / 4;
      best = fmin(best,
                  fmin(rb_to_ink((struct rb_mm){area->x1, y}, &part),
                       rb_to_ink((struct rb_mm){area->x2, y}, &part)));
    }
  }
  return best;
}

static void
check_label(const struct rb_page *page, const struct rb_wire *wire, struct rb_faults *faults) {
  const struct rb_box *label = NULL;
  for (uint32_t i = 0; i < page->boxes.n && label == NULL; i++)
    if (page->boxes.at[i].group == wire->group)
      label = &page->boxes.at[i];
  if (label == NULL) {
    rb_fault(faults, page, "wire %s has no label", name_of(page, wire));
    return;
  }
  double own = to_wire(&label->area, wire);
  if (own > 2)
    rb_fault(faults,
             page,
             "the label of wire %s stands %.1f mm away from it",
             name_of(page, wire),
             own);
  for (uint32_t i = 0; i < page->wires.n; i++)
    if (&page->wires.at[i] != wire && is_wire(page, &page->wires.at[i]) &&
        to_wire(&label->area, &page->wires.at[i]) < own)
      rb_fault(faults,
               page,
               "the label of wire %s stands nearer to wire %s",
               name_of(page, wire),
               name_of(page, &page->wires.at[i]));
}

void rb_check_wires(const struct rb_page *page, struct rb_faults *faults) {
  for (uint32_t i = 0; i < page->wires.n; i++) {
    const struct rb_wire *wire = &page->wires.at[i];
    if (!is_wire(page, wire))
      continue;
    for (uint32_t p = 0; p + 1 < wire->count; p++) {
      struct rb_ink part = stretch(wire, p);
      if (!upright(&part) && fabs(part.a.y - part.b.y) > 0.011)
        rb_fault(faults, page, "wire %s runs aslant", name_of(page, wire));
      check_body(page, wire, p, faults);
    }
    check_label(page, wire, faults);
    for (uint32_t k = 0; k < page->wires.n; k++)
      if (k != i && is_wire(page, &page->wires.at[k]))
        check_pair(page, wire, &page->wires.at[k], faults);
  }
}

static bool cross(const struct rb_ink *a, const struct rb_ink *b) {
  if (upright(a) == upright(b))
    return false;
  const struct rb_ink *up = upright(a) ? a : b;
  const struct rb_ink *flat = upright(a) ? b : a;
  double x = up->a.x;
  double y = flat->a.y;
  return x > fmin(flat->a.x, flat->b.x) + SLACK && x < fmax(flat->a.x, flat->b.x) - SLACK &&
         y > fmin(up->a.y, up->b.y) + SLACK && y < fmax(up->a.y, up->b.y) - SLACK;
}

/* Wires over wires, over supply lines and over the plain lines of the battery. */
uint32_t rb_crossings(const struct rb_page *page) {
  uint32_t n = 0;
  for (uint32_t i = 0; i < page->wires.n; i++) {
    if (!is_wire(page, &page->wires.at[i]))
      continue;
    for (uint32_t p = 0; p + 1 < page->wires.at[i].count; p++) {
      struct rb_ink part = stretch(&page->wires.at[i], p);
      for (uint32_t k = i + 1; k < page->wires.n; k++)
        for (uint32_t q = 0; is_wire(page, &page->wires.at[k]) && q + 1 < page->wires.at[k].count;
             q++) {
          struct rb_ink other = stretch(&page->wires.at[k], q);
          n += cross(&part, &other);
        }
      for (uint32_t k = 0; k < page->ink.n; k++)
        n += page->ink.at[k].group == NONE && cross(&part, &page->ink.at[k]);
    }
  }
  return n;
}
