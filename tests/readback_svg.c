/* Takes a written SVG apart.  Reads only what the drawings use; anything else makes the page
 * "broken", so that nothing is overlooked. */
#include "readback.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <libxml/parser.h>

#define NONE UINT32_MAX

struct walk {
  struct rb_page *page;
  struct pl_arena *arena;
  uint32_t turn;
};

static const char *attribute(struct walk *walk, xmlNode *node, const char *name) {
  xmlChar *value = xmlGetProp(node, (const xmlChar *)name);
  if (value == NULL)
    return "";
  const char *copy = pl_arena_strdup(walk->arena, (const char *)value);
  xmlFree(value);
  return copy;
}

static double number(struct walk *walk, xmlNode *node, const char *name) {
  const char *text = attribute(walk, node, name);
  char *end;
  double value = text[0] == '\0' ? 0 : strtod(text, &end);
  return value;
}

static bool has_class(const char *classes, const char *name) {
  size_t n = strlen(name);
  for (const char *at = classes; (at = strstr(at, name)) != NULL; at += n)
    if ((at == classes || at[-1] == ' ') && (at[n] == '\0' || at[n] == ' '))
      return true;
  return false;
}

static void broken(struct walk *walk, const char *why) {
  if (walk->page->broken == NULL)
    walk->page->broken = why;
}

/* Widths as the style sheet of the drawings gives them. */
static double half_of(const char *classes, enum rb_weight *weight) {
  if (has_class(classes, "pl-t"))
    *weight = RB_THIN;
  else if (has_class(classes, "pl-o"))
    *weight = RB_BOLD;
  else if (has_class(classes, "pl-d"))
    *weight = RB_DASHED;
  else
    *weight = RB_PLAIN;
  if (has_class(classes, "pl-x"))
    return 0;
  if (*weight == RB_THIN)
    return 0.09;
  if (*weight == RB_BOLD)
    return 0.35;
  if (*weight == RB_DASHED)
    return 0.125;
  return 0.175;
}

static void
add_ink(struct walk *walk, struct rb_mm a, struct rb_mm b, const char *classes, uint32_t group) {
  struct rb_ink ink = {.a = a, .b = b, .group = group, .turn = walk->turn};
  ink.half = half_of(classes, &ink.weight);
  if (ink.half > 0)
    PL_PUSH(walk->arena, &walk->page->ink, ink);
}

/* ---- paths ---- */

struct pen {
  struct walk *walk;
  struct rb_mm at, start, shift, handle;
  const char *classes;
  uint32_t group;
};

static void line_to(struct pen *pen, double x, double y) {
  struct rb_mm to = {x, y};
  add_ink(pen->walk,
          (struct rb_mm){pen->at.x + pen->shift.x, pen->at.y + pen->shift.y},
          (struct rb_mm){to.x + pen->shift.x, to.y + pen->shift.y},
          pen->classes,
          pen->group);
  pen->at = to;
}

static void curve_to(struct pen *pen, struct rb_mm c1, struct rb_mm c2, struct rb_mm to) {
  struct rb_mm from = pen->at;
  for (int i = 1; i <= 8; i++) {
    double t = i / 8.0;
    double u = 1 - t;
    line_to(pen,
            u * u * u * from.x + 3 * u * u * t * c1.x + 3 * u * t * t * c2.x + t * t * t * to.x,
            u * u * u * from.y + 3 * u * u * t * c1.y + 3 * u * t * t * c2.y + t * t * t * to.y);
  }
  pen->handle = c2;
}

/* Circular arcs only; SVG 1.1 appendix F.6.5 for the centre. */
static void arc_to(struct pen *pen, double r, bool large, bool sweep, struct rb_mm to) {
  double dx = (pen->at.x - to.x) / 2;
  double dy = (pen->at.y - to.y) / 2;
  double d = hypot(dx, dy);
  r = fmax(r, d);
  double h = sqrt(fmax(0, r * r - d * d)) / (d > 0 ? d : 1) * (large == sweep ? -1 : 1);
  struct rb_mm centre = {h * dy + (pen->at.x + to.x) / 2, -h * dx + (pen->at.y + to.y) / 2};
  double a = atan2(pen->at.y - centre.y, pen->at.x - centre.x);
  double b = atan2(to.y - centre.y, to.x - centre.x);
  if (sweep && b < a)
    b += 2 * acos(-1.0);
  if (!sweep && b > a)
    b -= 2 * acos(-1.0);
  for (int i = 1; i <= 12; i++) {
    double angle = a + (b - a) * i / 12;
    line_to(pen, centre.x + r * cos(angle), centre.y + r * sin(angle));
  }
}

static uint32_t numbers_of(char command) {
  switch (command) {
    case 'M':
    case 'L':
      return 2;
    case 'H':
    case 'V':
      return 1;
    case 'C':
      return 6;
    case 'S':
      return 4;
    case 'A':
      return 7;
    default:
      return 0;
  }
}

static void stroke(struct pen *pen, char command, bool relative, const double *v) {
  double ox = relative ? pen->at.x : 0;
  double oy = relative ? pen->at.y : 0;
  struct rb_mm mirrored = {2 * pen->at.x - pen->handle.x, 2 * pen->at.y - pen->handle.y};
  switch (command) {
    case 'M':
      pen->at = pen->start = (struct rb_mm){v[0] + ox, v[1] + oy};
      break;
    case 'L':
      line_to(pen, v[0] + ox, v[1] + oy);
      break;
    case 'H':
      line_to(pen, v[0] + ox, pen->at.y);
      break;
    case 'V':
      line_to(pen, pen->at.x, v[0] + oy);
      break;
    case 'C':
      curve_to(pen,
               (struct rb_mm){v[0] + ox, v[1] + oy},
               (struct rb_mm){v[2] + ox, v[3] + oy},
               (struct rb_mm){v[4] + ox, v[5] + oy});
      return;
    case 'S':
      curve_to(pen,
               mirrored,
               (struct rb_mm){v[0] + ox, v[1] + oy},
               (struct rb_mm){v[2] + ox, v[3] + oy});
      return;
    case 'A':
      arc_to(pen, v[0], v[3] > 0, v[4] > 0, (struct rb_mm){v[5] + ox, v[6] + oy});
      break;
    default:
      break;
  }
  pen->handle = pen->at;
}

static void read_path(struct pen *pen, const char *data) {
  char command = '\0';
  for (const char *at = data; *at != '\0';) {
    if (*at == ' ' || *at == ',') {
      at++;
      continue;
    }
    bool letter = (*at >= 'a' && *at <= 'z') || (*at >= 'A' && *at <= 'Z');
    if (letter)
      command = *at++;
    char upper = command;
    if (command >= 'a')
      upper = (char)(command - 32);
    if (upper == 'Z') {
      line_to(pen, pen->start.x, pen->start.y);
      continue;
    }
    double v[7] = {0};
    uint32_t n = numbers_of(upper);
    if (n == 0) {
      broken(pen->walk, "a path with a command that is not known");
      return;
    }
    for (uint32_t i = 0; i < n; i++) {
      char *end;
      v[i] = strtod(at, &end);
      if (end == at) {
        broken(pen->walk, "a path with a number missing");
        return;
      }
      at = end + strspn(end, " ,");
    }
    stroke(pen, upper, command >= 'a', v);
    if (command == 'M')
      command = 'L';
  }
}

static struct rb_mm translation(struct walk *walk, xmlNode *node) {
  struct rb_mm shift = {0, 0};
  const char *text = attribute(walk, node, "transform");
  if (text[0] != '\0' && sscanf(text, "translate(%lf %lf)", &shift.x, &shift.y) != 2)
    broken(walk, "a transformation that is not known");
  return shift;
}

/* ---- elements ---- */

static void add_box(struct walk *walk, xmlNode *node, uint32_t group) {
  const char *classes = attribute(walk, node, "class");
  struct rb_mm a = {number(walk, node, "x"), number(walk, node, "y")};
  struct rb_mm c = {a.x + number(walk, node, "width"), a.y + number(walk, node, "height")};
  struct rb_box box = {.area = {a.x, a.y, c.x, c.y},
                       .group = group,
                       .turn = walk->turn,
                       .filled = !has_class(classes, "pl-f")};
  const char *own = attribute(walk, node, "fill");
  if (own[0] != '\0')
    box.fill = own;
  else if (has_class(classes, "pl-i"))
    box.fill = "#1a1a1a";
  else if (has_class(classes, "pl-g"))
    box.fill = "#e9e9e9";
  else
    box.fill = "#ffffff";
  PL_PUSH(walk->arena, &walk->page->boxes, box);
  if (walk->turn == 0)
    return; /* the paper */
  struct rb_mm b = {c.x, a.y};
  struct rb_mm d = {a.x, c.y};
  struct rb_mm corners[] = {a, b, c, d, a};
  for (int i = 0; i < 4; i++)
    add_ink(walk, corners[i], corners[i + 1], classes, group);
}

static void add_disc(struct walk *walk, xmlNode *node, uint32_t group) {
  const char *classes = attribute(walk, node, "class");
  struct rb_disc disc = {.at = {number(walk, node, "cx"), number(walk, node, "cy")},
                         .radius = number(walk, node, "r"),
                         .filled = !has_class(classes, "pl-f"),
                         .inked = has_class(classes, "pl-i"),
                         .group = group,
                         .turn = walk->turn};
  PL_PUSH(walk->arena, &walk->page->discs, disc);
  for (int i = 0; i < 24; i++) {
    double a = acos(-1.0) * i / 12;
    double b = acos(-1.0) * (i + 1) / 12;
    add_ink(walk,
            (struct rb_mm){disc.at.x + disc.radius * cos(a), disc.at.y + disc.radius * sin(a)},
            (struct rb_mm){disc.at.x + disc.radius * cos(b), disc.at.y + disc.radius * sin(b)},
            classes,
            group);
  }
}

static struct rb_area turned(struct rb_area area, double x, double y, double degrees) {
  double c = cos(degrees * acos(-1.0) / 180);
  double s = sin(degrees * acos(-1.0) / 180);
  struct rb_area result = {INFINITY, INFINITY, -INFINITY, -INFINITY};
  for (int i = 0; i < 4; i++) {
    double dx = (i % 2 == 0 ? area.x1 : area.x2) - x;
    double dy = (i < 2 ? area.y1 : area.y2) - y;
    double px = x + c * dx - s * dy;
    double py = y + s * dx + c * dy;
    result = (struct rb_area){fmin(result.x1, px),
                              fmin(result.y1, py),
                              fmax(result.x2, px),
                              fmax(result.y2, py)};
  }
  return result;
}

static void add_text(struct walk *walk, xmlNode *node, uint32_t group) {
  const char *classes = attribute(walk, node, "class");
  const char *transform = attribute(walk, node, "transform");
  xmlChar *content = xmlNodeGetContent(node);
  struct rb_text text = {
      .x = number(walk, node, "x"),
      .y = number(walk, node, "y"),
      .size = number(walk, node, "font-size"),
      .bold = has_class(classes, "pl-b"),
      .anchor = has_class(classes, "pl-m")   ? 'm'
                : has_class(classes, "pl-e") ? 'e'
                                             : 's',
      .text = pl_arena_strdup(walk->arena, content == NULL ? "" : (const char *)content),
      .group = group,
      .turn = walk->turn};
  xmlFree(content);
  double advance;
  double degrees = 0;
  double cx;
  double cy;
  struct rb_area em = rb_font_area(text.text, text.bold, &advance);
  double left = text.x - (text.anchor == 's'   ? 0
                          : text.anchor == 'm' ? advance / 2
                                               : advance) *
                             text.size;
  text.area = (struct rb_area){left + em.x1 * text.size,
                               text.y + em.y1 * text.size,
                               left + em.x2 * text.size,
                               text.y + em.y2 * text.size};
  if (transform[0] != '\0') {
    text.turned = true;
    if (sscanf(transform, "rotate(%lf %lf %lf)", &degrees, &cx, &cy) == 3)
      text.area = turned(text.area, cx, cy, degrees);
    else
      broken(walk, "a text turned in a way that is not known");
  }
  PL_PUSH(walk->arena, &walk->page->texts, text);
}

/* A line in a wire's colours: casing, base, stripes. */
static void add_wire(struct walk *walk, xmlNode *node, uint32_t group) {
  struct rb_wire wire = {.group = group, .turn = walk->turn, .colours = ""};
  const char *first = NULL;
  uint32_t layer = 0;
  for (xmlNode *path = node->children; path != NULL; path = path->next) {
    if (path->type != XML_ELEMENT_NODE)
      continue;
    const char *data = attribute(walk, path, "d");
    if (first == NULL) {
      first = data;
      wire.half = number(walk, path, "stroke-width") / 2;
    } else if (strcmp(first, data) != 0) {
      broken(walk, "layers of a wire that do not lie on each other");
    }
    if (layer == 1 || (layer > 1 && layer % 2 == 1)) /* casing, base, edge, stripe, edge, stripe */
      wire.colours = pl_arena_printf(walk->arena,
                                     "%s%s%s",
                                     wire.colours,
                                     wire.colours[0] == '\0' ? "" : " ",
                                     attribute(walk, path, "stroke"));
    layer++;
  }
  if (first == NULL || first[0] != 'M') {
    broken(walk, "a wire without a line");
    return;
  }
  wire.points = PL_NEW_ARRAY(walk->arena, struct rb_mm, strlen(first) / 3 + 2);
  for (const char *at = first; *at == 'M' || *at == 'L';) {
    char *end;
    double x = strtod(at + 1, &end);
    double y = strtod(end, &end);
    wire.points[wire.count++] = (struct rb_mm){x, y};
    at = end;
  }
  PL_PUSH(walk->arena, &walk->page->wires, wire);
}

static void read_children(struct walk *walk, xmlNode *node, uint32_t group, const char *link);

static void read_group(struct walk *walk, xmlNode *node, uint32_t parent, const char *link) {
  if (has_class(attribute(walk, node, "class"), "pl-w")) {
    add_wire(walk, node, parent);
    return;
  }
  struct rb_group group = {.what = attribute(walk, node, "data-what"),
                           .name = attribute(walk, node, "data-name"),
                           .id = attribute(walk, node, "id"),
                           .link = link,
                           .parent = parent};
  PL_PUSH(walk->arena, &walk->page->groups, group);
  if (attribute(walk, node, "transform")[0] != '\0')
    broken(walk, "a group that is moved");
  read_children(walk, node, walk->page->groups.n - 1, "");
}

static void read_element(struct walk *walk, xmlNode *node, uint32_t group, const char *link) {
  const char *name = (const char *)node->name;
  const char *classes = attribute(walk, node, "class");
  if (strcmp(name, "g") == 0) {
    read_group(walk, node, group, link);
  } else if (strcmp(name, "a") == 0) {
    xmlChar *href = xmlGetNsProp(node,
                                 (const xmlChar *)"href",
                                 (const xmlChar *)"http://www.w3.org/1999/xlink");
    const char *to = "";
    if (href != NULL)
      to = pl_arena_strdup(walk->arena, (const char *)href);
    xmlFree(href);
    if (group != NONE)
      walk->page->groups.at[group].link = to;
    read_children(walk, node, group, to);
  } else if (strcmp(name, "text") == 0) {
    add_text(walk, node, group);
  } else if (strcmp(name, "rect") == 0) {
    add_box(walk, node, group);
  } else if (strcmp(name, "circle") == 0) {
    add_disc(walk, node, group);
  } else if (strcmp(name, "line") == 0) {
    add_ink(walk,
            (struct rb_mm){number(walk, node, "x1"), number(walk, node, "y1")},
            (struct rb_mm){number(walk, node, "x2"), number(walk, node, "y2")},
            classes,
            group);
  } else if (strcmp(name, "path") == 0) {
    struct pen pen = {.walk = walk,
                      .shift = translation(walk, node),
                      .classes = classes,
                      .group = group};
    read_path(&pen, attribute(walk, node, "d"));
  } else {
    broken(walk, pl_arena_printf(walk->arena, "an element <%s>", name));
  }
  walk->turn++;
}

static void read_children(struct walk *walk, xmlNode *node, uint32_t group, const char *link) {
  for (xmlNode *child = node->children; child != NULL; child = child->next)
    if (child->type == XML_ELEMENT_NODE)
      read_element(walk, child, group, link);
}

static void read_head(struct walk *walk, xmlNode *root) {
  struct rb_page *page = walk->page;
  char unit_x[3] = "";
  char unit_y[3] = "";
  double left, top, width, height;
  if (sscanf(attribute(walk, root, "width"), "%lf%2s", &page->width, unit_x) != 2 ||
      strcmp(unit_x, "mm") != 0 ||
      sscanf(attribute(walk, root, "height"), "%lf%2s", &page->height, unit_y) != 2 ||
      strcmp(unit_y, "mm") != 0 ||
      sscanf(attribute(walk, root, "viewBox"), "%lf %lf %lf %lf", &left, &top, &width, &height) !=
          4 ||
      fabs(left) + fabs(top) + fabs(width - page->width) + fabs(height - page->height) > 1e-9)
    broken(walk, "a page that is not 1:1 in millimetres");
  for (xmlNode *child = root->children; child != NULL; child = child->next) {
    if (child->type != XML_ELEMENT_NODE)
      continue;
    const char *name = (const char *)child->name;
    bool head =
        strcmp(name, "title") == 0 || strcmp(name, "desc") == 0 || strcmp(name, "style") == 0;
    if (!head) {
      read_element(walk, child, NONE, "");
      continue;
    }
    xmlChar *content = xmlNodeGetContent(child);
    const char *text = pl_arena_strdup(walk->arena, (const char *)content);
    xmlFree(content);
    if (strcmp(name, "desc") == 0)
      page->description = text;
    const char *fill = NULL;
    if (strcmp(name, "style") == 0)
      fill = strstr(text, ".pl-s text{fill:");
    if (fill != NULL)
      page->text_fill = pl_arena_strndup(walk->arena, fill + strlen(".pl-s text{fill:"), 7);
  }
}

void rb_read(struct rb_page *page,
             const char *file,
             const char *svg,
             size_t size,
             struct pl_arena *arena) {
  *page = (struct rb_page){.file = file, .description = "", .text_fill = ""};
  struct walk walk = {.page = page, .arena = arena};
  xmlDoc *doc =
      xmlReadMemory(svg,
                    (int)size,
                    file,
                    "UTF-8",
                    XML_PARSE_NONET | XML_PARSE_NOERROR | XML_PARSE_NOWARNING | XML_PARSE_HUGE);
  if (doc == NULL) {
    page->broken = "not well-formed XML";
    return;
  }
  xmlNode *root = xmlDocGetRootElement(doc);
  if (strcmp((const char *)root->name, "svg") != 0 || root->ns == NULL ||
      strcmp((const char *)root->ns->href, "http://www.w3.org/2000/svg") != 0)
    page->broken = "no SVG";
  else
    read_head(&walk, root);
  xmlFreeDoc(doc);
}

bool rb_inside(const struct rb_page *page, uint32_t group, uint32_t outer) {
  for (; group != NONE; group = page->groups.at[group].parent)
    if (group == outer)
      return true;
  return outer == NONE;
}

uint32_t rb_group_of(const struct rb_page *page, uint32_t group, const char *what) {
  for (; group != NONE; group = page->groups.at[group].parent)
    if (strcmp(page->groups.at[group].what, what) == 0)
      return group;
  return NONE;
}

void rb_fault(struct rb_faults *faults, const struct rb_page *page, const char *format, ...) {
  char text[400];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  const char *line = pl_arena_printf(faults->arena,
                                     "%s, %s: %s",
                                     faults->row,
                                     page == NULL ? "-" : page->file,
                                     text);
  PL_PUSH(faults->arena, &faults->lines, line);
}
