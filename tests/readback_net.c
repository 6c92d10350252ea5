/* The pages of a circuit read as a netlist, by what is visible: a wire's label gives its number,
 * size and colours, its ends the pin whose name stands there, the node or supply line they touch,
 * or a reference that is followed to its page and column.  Held against the model. */
#include "readback.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/file_names.h"

#define NONE UINT32_MAX
#define TOUCH 0.06
#define NAME 2.8 /* mm: the height of devices' names */
#define NEAR 3.3 /* mm between a pin and its name at most */

struct net {
  const struct pl_harness *harness;
  const struct rb_page *pages;
  uint32_t count;
  struct rb_faults *faults;
  uint32_t *drawn; /* by wire: how often an end of it was read */
};

struct end {
  const char *device, *pin; /* pin NULL: `device` is the whole name */
  bool air;
  const char *what; /* why it could not be read; NULL */
};

/* ---- what stands where ---- */

static double to_area(struct rb_mm at, const struct rb_area *area) {
  double dx = fmax(0, fmax(area->x1 - at.x, at.x - area->x2));
  double dy = fmax(0, fmax(area->y1 - at.y, at.y - area->y2));
  return hypot(dx, dy);
}

static bool is_name(const struct rb_text *text) {
  return text->bold && fabs(text->size - NAME) < 0.01;
}

static const char *name_in(const struct rb_page *page, uint32_t group) {
  for (uint32_t i = 0; i < page->texts.n; i++)
    if (is_name(&page->texts.at[i]) && page->texts.at[i].group == group)
      return page->texts.at[i].text;
  return NULL;
}

/* The device whose ink the point lies on. */
static uint32_t device_at(const struct rb_page *page, struct rb_mm at) {
  for (uint32_t i = 0; i < page->ink.n; i++) {
    const struct rb_ink *ink = &page->ink.at[i];
    if (ink->group == NONE)
      continue;
    if (ink->weight == RB_THIN)
      continue;
    if (strcmp(page->groups.at[ink->group].what, "device") != 0)
      continue;
    if (rb_to_ink(at, ink) < TOUCH)
      return ink->group;
  }
  for (uint32_t i = 0; i < page->discs.n; i++) {
    const struct rb_disc *disc = &page->discs.at[i];
    if (disc->group != NONE && strcmp(page->groups.at[disc->group].what, "device") == 0 &&
        hypot(at.x - disc->at.x, at.y - disc->at.y) < TOUCH)
      return disc->group;
  }
  return NONE;
}

/* A ring or dot of a splice or stud. */
static bool node_at(const struct rb_page *page, uint32_t group, struct rb_mm at) {
  for (uint32_t i = 0; i < page->discs.n; i++) {
    const struct rb_disc *disc = &page->discs.at[i];
    if (disc->group == group && disc->filled && disc->radius > 1.1 &&
        hypot(at.x - disc->at.x, at.y - disc->at.y) < TOUCH)
      return true;
  }
  return false;
}

enum {
  MOST_POINTS = 256
};

/* Everything that bold bars of the device join the point with. */
static uint32_t flood(const struct rb_page *page,
                      uint32_t group,
                      struct rb_mm at,
                      struct rb_mm points[MOST_POINTS]) {
  uint32_t n = 0;
  points[n++] = at;
  for (uint32_t head = 0; head < n; head++)
    for (uint32_t i = 0; i < page->ink.n; i++) {
      const struct rb_ink *ink = &page->ink.at[i];
      if (ink->group != group)
        continue;
      if (ink->weight != RB_BOLD)
        continue;
      if (rb_to_ink(points[head], ink) > TOUCH)
        continue;
      struct rb_mm ends[2] = {ink->a, ink->b};
      for (int e = 0; e < 2; e++) {
        bool known = false;
        for (uint32_t k = 0; k < n; k++)
          known = known || hypot(points[k].x - ends[e].x, points[k].y - ends[e].y) < TOUCH;
        if (!known && n < MOST_POINTS)
          points[n++] = ends[e];
      }
    }
  return n;
}

/* The name that stands at a pin: the nearest text of the device. */
static const char *
pin_name(const struct rb_page *page, uint32_t group, struct rb_mm at, const char **why) {
  struct rb_mm points[MOST_POINTS];
  uint32_t n = flood(page, group, at, points);
  const char *best = NULL;
  double nearest = NEAR;
  double second = INFINITY;
  for (uint32_t i = 0; i < page->texts.n; i++) {
    const struct rb_text *text = &page->texts.at[i];
    if (text->group != group || is_name(text))
      continue;
    struct rb_area line = text->area; /* a dash is small, its line is not */
    line.y1 = fmin(line.y1, text->y - 0.72 * text->size);
    line.y2 = fmax(line.y2, text->y);
    double away = INFINITY;
    for (uint32_t k = 0; k < n; k++)
      away = fmin(away, to_area(points[k], &line));
    if (away < nearest) {
      second = nearest;
      nearest = away;
      best = text->text;
    } else if (away < second) {
      second = away;
    }
  }
  if (best != NULL && second < NEAR && second - nearest < 0.25)
    *why = "two names stand at the pin";
  return best;
}

static struct end
read_device(struct net *net, const struct rb_page *page, uint32_t group, struct rb_mm at) {
  struct end end = {.device = name_in(page, group)};
  if (end.device == NULL) {
    end.what = "a device without a name";
    return end;
  }
  if (node_at(page, group, at))
    return end;
  end.pin = pin_name(page, group, at, &end.what);
  if (end.pin == NULL)
    end.what = pl_arena_printf(net->faults->arena, "no name at a pin of %s", end.device);
  return end;
}

/* ---- references ---- */

static uint32_t reference_at(const struct rb_page *page, struct rb_mm at) {
  for (uint32_t i = 0; i < page->boxes.n; i++) {
    const struct rb_box *box = &page->boxes.at[i];
    if (box->group == NONE)
      continue;
    if (strcmp(page->groups.at[box->group].what, "reference") != 0)
      continue;
    bool inside = at.x > box->area.x1 - TOUCH && at.x < box->area.x2 + TOUCH;
    if (inside && (fabs(at.y - box->area.y1) < TOUCH || fabs(at.y - box->area.y2) < TOUCH))
      return box->group;
  }
  return NONE;
}

static const char *line_of(const struct rb_page *page, uint32_t group, uint32_t line) {
  for (uint32_t i = 0; i < page->texts.n; i++)
    if (page->texts.at[i].group == group && line-- == 0)
      return page->texts.at[i].text;
  return "";
}

/* Where the column's number stands at the foot of the page: the lowest of the texts that say it. */
static double column_x(const struct rb_page *page, uint32_t column) {
  char text[16];
  snprintf(text, sizeof text, "%u", column);
  double x = NAN;
  double y = 0;
  for (uint32_t i = 0; i < page->texts.n; i++) {
    const struct rb_text *one = &page->texts.at[i];
    bool foot = one->group != NONE && strncmp(page->groups.at[one->group].id, "c-", 2) == 0;
    if (!foot)
      continue;
    if (strcmp(one->text, text) != 0)
      continue;
    if (one->y < y)
      continue;
    x = one->x;
    y = one->y;
  }
  return x;
}

/* From the edge of a reference box at a bare pin along its stub to the pin. */
static bool stub_end(const struct rb_page *page, uint32_t reference, double x, struct rb_mm *at) {
  uint32_t device = page->groups.at[reference].parent;
  for (uint32_t b = 0; b < page->boxes.n; b++) {
    if (page->boxes.at[b].group != reference)
      continue;
    const struct rb_area *area = &page->boxes.at[b].area;
    for (uint32_t i = 0; i < page->ink.n; i++) {
      const struct rb_ink *ink = &page->ink.at[i];
      if (ink->group != device)
        continue;
      if (!(fabs(ink->a.x - x) < TOUCH))
        continue;
      if (!(fabs(ink->b.x - x) < TOUCH))
        continue;
      for (int e = 0; e < 2; e++) {
        struct rb_mm near = e == 0 ? ink->a : ink->b;
        struct rb_mm far = e == 0 ? ink->b : ink->a;
        if (fabs(near.y - area->y1) > TOUCH && fabs(near.y - area->y2) > TOUCH)
          continue;
        *at = far;
        return true;
      }
    }
  }
  return false;
}

static bool place_of(const char *text, uint32_t own, uint32_t *page, uint32_t *column) {
  *page = own;
  return sscanf(text, "page %u, col. %u", page, column) == 2 ||
         sscanf(text, "col. %u", column) == 1;
}

/* Follows a reference to its page and column, and from there looks back. */
static struct end
follow(struct net *net, uint32_t own, uint32_t group, const struct rb_wire *wire) {
  const struct rb_page *here = &net->pages[own];
  const char *number = here->groups.at[wire->group].name;
  struct end end = {.what = "a reference that leads nowhere"};
  uint32_t page, column;
  if (!place_of(line_of(here, group, 1), own + 1, &page, &column))
    return end;
  if (page < 1 || page > net->count)
    return end;
  const struct rb_page *there = &net->pages[page - 1];
  double x = column_x(there, column);
  for (uint32_t g = 0; g < there->groups.n; g++) {
    uint32_t device = there->groups.at[g].parent;
    struct rb_mm at;
    char words[80];
    snprintf(words, sizeof words, "wire %s", number);
    const char *line = line_of(there, g, 0);
    if (strcmp(there->groups.at[g].what, "reference") != 0)
      continue;
    if (device == NONE)
      continue;
    if (strcmp(line, words) != 0)
      continue;
    if (!stub_end(there, g, x, &at))
      continue;
    uint32_t back_page, back_column;
    if (!place_of(line_of(there, g, 1), page, &back_page, &back_column))
      continue;
    if (back_page != own + 1)
      continue;
    double back = column_x(here, back_column);
    if (!(fabs(back - wire->points[0].x) < TOUCH) &&
        !(fabs(back - wire->points[wire->count - 1].x) < TOUCH))
      continue;
    return read_device(net, there, device, at);
  }
  return end;
}

/* ---- ends on lines and in the air ---- */

static bool on_line(const struct rb_page *page, struct rb_mm at) {
  for (uint32_t i = 0; i < page->ink.n; i++) {
    const struct rb_ink *ink = &page->ink.at[i];
    if (ink->group == NONE && ink->weight == RB_BOLD && fabs(ink->a.y - ink->b.y) < TOUCH &&
        rb_to_ink(at, ink) < TOUCH)
      for (uint32_t d = 0; d < page->discs.n; d++)
        if (page->discs.at[d].inked &&
            hypot(page->discs.at[d].at.x - at.x, page->discs.at[d].at.y - at.y) < TOUCH)
          return true;
  }
  return false;
}

static const char *name_beside(const struct rb_page *page, struct rb_mm at) {
  const char *best = NULL;
  double nearest = 40;
  for (uint32_t i = 0; i < page->texts.n; i++) {
    const struct rb_text *text = &page->texts.at[i];
    if (text->group != NONE)
      continue;
    if (!is_name(text))
      continue;
    if (fabs(text->x - at.x - 1.4) > 0.3)
      continue;
    if (fabs(text->y - at.y) >= nearest)
      continue;
    nearest = fabs(text->y - at.y);
    best = text->text;
  }
  return best;
}

static bool in_the_air(const struct rb_page *page, struct rb_mm at) {
  static const char *const words[] = {"open end", "capped", "removed"};
  for (uint32_t i = 0; i < page->texts.n; i++)
    for (int w = 0; w < 3; w++)
      if (page->texts.at[i].group == NONE && strcmp(page->texts.at[i].text, words[w]) == 0 &&
          to_area(at, &page->texts.at[i].area) < 4)
        return true;
  return false;
}

static struct end
read_end(struct net *net, uint32_t p, const struct rb_wire *wire, struct rb_mm at) {
  const struct rb_page *page = &net->pages[p];
  uint32_t reference = reference_at(page, at);
  if (reference != NONE)
    return follow(net, p, reference, wire);
  uint32_t device = device_at(page, at);
  if (device != NONE)
    return read_device(net, page, device, at);
  struct end end = {.device = on_line(page, at) ? name_beside(page, at) : NULL};
  if (end.device != NULL)
    return end;
  if (in_the_air(page, at))
    end.air = true;
  else
    end.what = "it ends on no pin, junction or reference";
  return end;
}

/* ---- against the model ---- */

/* A shown text may be cut short with "...". */
static bool shows(const char *shown, const char *full, size_t n) {
  size_t length = strlen(shown);
  if (length == n && strncmp(shown, full, n) == 0)
    return true;
  return length >= 3 && strcmp(shown + length - 3, "...") == 0 && length - 3 <= n &&
         strncmp(shown, full, length - 3) == 0;
}

static bool is_pin(const struct net *net, const struct end *end, pl_id pin) {
  if (pin == PL_NONE || end->air)
    return pin == PL_NONE && end->air;
  const struct pl_pin *one = &net->harness->pins.at[pin];
  const char *device = net->harness->devices.at[one->device].name;
  if (end->pin == NULL)
    return shows(end->device, one->full, strlen(one->full));
  return shows(end->device, device, strlen(device)) &&
         shows(end->pin, one->name, strlen(one->name));
}

static const char *told(const struct net *net, const struct end *end) {
  if (end->air)
    return "in the air";
  if (end->pin == NULL)
    return end->device;
  return pl_arena_printf(net->faults->arena, "%s.%s", end->device, end->pin);
}

static const char *wanted(const struct net *net, pl_id pin) {
  if (pin == PL_NONE)
    return "in the air";
  return net->harness->pins.at[pin].full;
}

static bool has_text(const struct rb_page *page, uint32_t group, const char *text, bool bold) {
  for (uint32_t i = 0; i < page->texts.n; i++)
    if (page->texts.at[i].group == group && page->texts.at[i].bold == bold &&
        shows(page->texts.at[i].text, text, strlen(text)))
      return true;
  return text[0] == '\0';
}

static void check_words(struct net *net,
                        const struct rb_page *page,
                        uint32_t group,
                        const struct pl_wire *wire) {
  char colour[16];
  pl_colour_text(&wire->colour, colour);
  if (!has_text(page, group, wire->number, true))
    rb_fault(net->faults, page, "wire %s: its number is not on it", wire->number);
  if (!has_text(page, group, colour, false))
    rb_fault(net->faults, page, "wire %s: its colour is not on it", wire->number);
  if (!has_text(page, group, wire->size, false))
    rb_fault(net->faults, page, "wire %s: its size is not on it", wire->number);
}

static void check_wire(struct net *net, uint32_t p, const struct rb_wire *line) {
  const struct rb_page *page = &net->pages[p];
  const char *number = page->groups.at[line->group].name;
  uint32_t id;
  if (!pl_table_find(&net->harness->wire_numbers, number, &id)) {
    rb_fault(net->faults, page, "wire %s is not in the harness", number);
    return;
  }
  net->drawn[id]++;
  const struct pl_wire *wire = &net->harness->wires.at[id];
  check_words(net, page, line->group, wire);
  struct end ends[2];
  for (int e = 0; e < 2; e++) {
    ends[e] = read_end(net, p, line, line->points[e == 0 ? 0 : line->count - 1]);
    if (ends[e].what != NULL) {
      rb_fault(net->faults, page, "wire %s: %s", number, ends[e].what);
      return;
    }
  }
  for (int turn = 0; turn < 2; turn++)
    if (is_pin(net, &ends[0], wire->end[turn]) && is_pin(net, &ends[1], wire->end[!turn]))
      return;
  rb_fault(net->faults,
           page,
           "wire %s is drawn from %s to %s; it goes from %s to %s",
           number,
           told(net, &ends[0]),
           told(net, &ends[1]),
           wanted(net, wire->end[0]),
           wanted(net, wire->end[1]));
}

void rb_check_net(const struct pl_harness *harness,
                  pl_id circuit,
                  const struct rb_page *pages,
                  uint32_t count,
                  struct rb_faults *faults) {
  struct net net = {.harness = harness,
                    .pages = pages,
                    .count = count,
                    .faults = faults,
                    .drawn = PL_NEW_ARRAY(faults->arena, uint32_t, (size_t)harness->wires.n + 1)};
  for (uint32_t p = 0; p < count; p++)
    for (uint32_t i = 0; i < pages[p].wires.n; i++) {
      const struct rb_wire *line = &pages[p].wires.at[i];
      if (line->group == NONE || strcmp(pages[p].groups.at[line->group].what, "wire") != 0)
        rb_fault(faults, &pages[p], "a wire that says of itself no number");
      else
        check_wire(&net, p, line);
    }
  for (uint32_t w = 0; w < harness->wires.n; w++) {
    uint32_t due = 0;
    if (harness->wires.at[w].circuit == circuit)
      due = 1;
    if (net.drawn[w] != due)
      rb_fault(faults,
               count > 0 ? &pages[0] : NULL,
               "wire %s is drawn %u times instead of %u",
               harness->wires.at[w].number,
               net.drawn[w],
               due);
  }
}

/* ---- references between circuits ---- */

static const struct rb_page *page_of(const rb_pages *pages, const char *file, size_t n) {
  for (uint32_t p = 0; p < pages->n; p++)
    if (strlen(pages->at[p].file) == n && strncmp(pages->at[p].file, file, n) == 0)
      return &pages->at[p];
  return NULL;
}

static void check_link(const rb_pages *pages,
                       const struct rb_page *page,
                       uint32_t group,
                       struct rb_faults *faults) {
  const char *link = page->groups.at[group].link;
  const char *id = strchr(link, '#');
  if (link[0] == '\0')
    return;
  const struct rb_page *there =
      page_of(pages, link, id == NULL ? strlen(link) : (size_t)(id - link));
  bool found = id == NULL && there != NULL;
  for (uint32_t g = 0; id != NULL && there != NULL && g < there->groups.n; g++)
    found = found || strcmp(there->groups.at[g].id, id + 1) == 0;
  if (!found)
    rb_fault(faults, page, "a link leads nowhere: %s", link);
}

/* The wire is drawn on that page, with an end in that column. */
static bool stands_at(const struct rb_page *page, const char *number, uint32_t column) {
  double x = column_x(page, column);
  for (uint32_t i = 0; i < page->wires.n; i++) {
    const struct rb_wire *wire = &page->wires.at[i];
    if (wire->group == NONE)
      continue;
    if (strcmp(page->groups.at[wire->group].name, number) != 0)
      continue;
    if (fabs(wire->points[0].x - x) < TOUCH)
      return true;
    if (fabs(wire->points[wire->count - 1].x - x) < TOUCH)
      return true;
  }
  return false;
}

/* "wire 401, page 1, col. 4" below the title of a circuit. */
static void check_place(const struct pl_harness *harness,
                        const rb_pages *pages,
                        const struct rb_page *page,
                        const char *title,
                        const char *place,
                        const struct end *end,
                        struct rb_faults *faults) {
  char number[80];
  uint32_t id, where, column;
  const char *comma = strstr(place, ", ");
  if (comma == NULL || (size_t)(comma - place) >= sizeof number) {
    rb_fault(faults, page, "a reference without a place: <%s>", place);
    return;
  }
  snprintf(number, sizeof number, "%.*s", (int)(comma - place - 5), place + 5);
  if (!place_of(comma + 2, 1, &where, &column) ||
      !pl_table_find(&harness->wire_numbers, number, &id)) {
    rb_fault(faults, page, "a reference to nothing: <%s>", place);
    return;
  }
  const struct pl_wire *wire = &harness->wires.at[id];
  const struct pl_circuit *circuit = &harness->circuits.at[wire->circuit];
  const char *name;
  if (circuit->title != NULL && circuit->title[0] != '\0')
    name = circuit->title;
  else
    name = circuit->name;
  const char *file = pl_circuit_file(faults->arena, harness, wire->circuit, where);
  const struct rb_page *there = page_of(pages, file, strlen(file));
  struct net net = {.harness = harness, .faults = faults};
  if (!shows(title, name, strlen(name)))
    rb_fault(faults, page, "wire %s is not of circuit <%s>", number, title);
  if (there == NULL || !stands_at(there, number, column))
    rb_fault(faults, page, "wire %s is not where a reference says: %s", number, place);
  if (end != NULL && !is_pin(&net, end, wire->end[0]) && !is_pin(&net, end, wire->end[1]))
    rb_fault(faults, page, "wire %s does not end on the pin that refers to it", number);
}

static void check_reference(const struct pl_harness *harness,
                            const rb_pages *pages,
                            const struct rb_page *page,
                            uint32_t group,
                            struct rb_faults *faults) {
  uint32_t device = page->groups.at[group].parent;
  const char *second = line_of(page, group, 1);
  if (device == NONE || strncmp(second, "wire ", 5) != 0)
    return; /* one within the circuit */
  double x = NAN;
  for (uint32_t b = 0; b < page->boxes.n; b++)
    if (page->boxes.at[b].group == group)
      x = page->boxes.at[b].area.x1 + 3.6;
  struct rb_mm at;
  struct net net = {.harness = harness, .faults = faults};
  if (!stub_end(page, group, x, &at)) {
    rb_fault(faults, page, "a reference box that no pin leads to: <%s>", second);
    return;
  }
  struct end end = read_device(&net, page, device, at);
  for (uint32_t line = 0; strncmp(line_of(page, group, line + 1), "wire ", 5) == 0; line += 2)
    check_place(harness,
                pages,
                page,
                line_of(page, group, line),
                line_of(page, group, line + 1),
                &end,
                faults);
}

void rb_check_references(const struct pl_harness *harness,
                         const rb_pages *pages,
                         struct rb_faults *faults) {
  for (uint32_t p = 0; p < pages->n; p++) {
    const struct rb_page *page = &pages->at[p];
    for (uint32_t g = 0; g < page->groups.n; g++) {
      check_link(pages, page, g, faults);
      if (strcmp(page->groups.at[g].what, "reference") == 0)
        check_reference(harness, pages, page, g, faults);
    }
  }
}
